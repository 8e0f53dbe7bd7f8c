"""Lesson 06: does the swung compound clear chuck and quill through its whole travel?"""

from __future__ import annotations

import math

from tapertrig.boring import SWEEP_CAUTION, SlideLayout
from tapertrig.draw.sweep_clearance import SweepClearanceScene, SweepState
from tapertrig.lathe import MM_PER_INCH, length_text, places_written
from tapertrig.panels.parts.board import Row, Words
from tapertrig.panels.parts.controls import Quantity, angle, choice, quantity
from tapertrig.panels.parts.lathe_list import LatheList

NO_LATHE = "no lathe in particular"
INTERNAL, EXTERNAL = "internal cone", "external cone"


class SweepClearance(LatheList[SweepState]):
    """Dimensions in, sweep out: least distances to chuck and quill, and what they do not say."""

    title = "Sweep of the swung slide"
    scene = SweepClearanceScene
    main = "half_angle"

    def make_controls(self) -> None:
        inch = self.unit == "in"

        def length(label: str, start: float, least: float, most: float) -> Quantity[float]:
            """Ends and start in inches; whole millimetres on a metric panel."""
            if not inch:
                start, least, most = (
                    float(round(MM_PER_INCH * part)) for part in (start, least, most)
                )
            return quantity(label, start, least, most, 0.05 if inch else 1.0, self.unit)

        self.lathe_list("Travel of", first=[NO_LATHE])
        self.half_angle = angle("Half angle", "20°43′", "1°", "89°", "0°10′")
        self.compound_travel = length("Compound travel", 2.8, 0.25, 4.0)
        self.kind = choice("Swung for an", [INTERNAL, EXTERNAL])
        self.pivot_axial = length("Base, from the chuck face", 6.5, 3.0, 9.0)
        self.pivot_cross = length("Base, from the axis", 4.5, 2.0, 6.0)
        self.quill_end = length("Quill end, from the chuck face", 5.5, 1.0, 12.0)
        self.chuck_radius = length("Chuck with jaws, radius", 3.0, 1.0, 4.5)
        self.slide_width = length("Slide width", 2.0, 1.0, 3.0)
        self.nose_ahead = length("Slide ahead of its base at the start", 2.5, 0.5, 4.0)
        self.margin = length("Margin wanted", 0.5, 0.25, 1.5)

    def read_state(self) -> SweepState:
        if lathe := self.picked_lathe():
            lathe.check_reach(self.compound_travel.value)
        inch = self.unit == "in"
        return SweepState(
            SlideLayout(
                chuck_radius=self.chuck_radius.value,
                chuck_face=0.0,
                slide_length=7.0 if inch else 178.0,
                slide_width=self.slide_width.value,
                pivot_axial=self.pivot_axial.value,
                pivot_cross=self.pivot_cross.value,
                nose_ahead=self.nose_ahead.value,
                quill_radius=0.6 if inch else 15.0,
                quill_end=self.quill_end.value,
            ),
            self.half_angle.angle,
            self.compound_travel.value,
            self.kind.value == INTERNAL,
            self.margin.value,
            self.unit,
        )

    def words(self, state: SweepState) -> Words:
        found = state.sweep
        given = (
            f"The slide is swung {state.half_angle.brief()} for an "
            f"{INTERNAL if state.internal else EXTERNAL} and run "
            f"{length_text(state.compound_travel, self.unit, self.places)} towards the headstock."
        )
        distances = (("chuck", found.to_chuck), ("quill", found.to_quill))
        rows = [
            Row(f"Least distance to the {name}", self.distance_in_words(distance))
            for name, distance in distances
        ]
        rows.append(Row("Verdict", state.verdict))
        # While answers are hidden this row alone would give the answer away.
        if not found.clears(state.margin) and not self.hiding:
            least = length_text(state.margin, self.unit, self.places)
            rows.append(
                Row(
                    "Do not run it",
                    f"Less than {least} is left. Shorten the travel, move the base, or draw the "
                    "quill back.",
                    mark="warning",
                )
            )
        lathe = self.picked_lathe()
        if lathe and lathe.compound_reach is None:
            told = f"How far the compound of “{lathe.name}” goes: the travel is not held to it."
            rows.append(Row("Not given", told, answer=False, mark="wide"))
        rows.append(Row("By hand, power off", SWEEP_CAUTION, answer=False, mark="wide"))
        to_chuck, to_quill = (self.distance_in_words(distance) for _, distance in distances)
        return Words(
            f"{given} To the chuck: {to_chuck}; to the quill: {to_quill}; {state.verdict}.",
            tuple(rows),
            given,
        )

    @property
    def places(self) -> int:
        """Decimals that a rule can measure to."""
        return places_written(self.unit) - 2

    def distance_in_words(self, distance: float) -> str:
        """A least distance, or how deep the outlines overlap."""
        if math.isinf(distance):
            return "no quill out"
        told = length_text(abs(distance), self.unit, self.places)
        return told if distance > 0 else f"overlaps by {told}"
