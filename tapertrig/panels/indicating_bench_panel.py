"""Lesson 04: the indicating bench, worked by hand."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import ipywidgets

from tapertrig import demo
from tapertrig.angle import Angle
from tapertrig.bench import Bench, BenchConditions, BenchState, review
from tapertrig.draw.indicating_bench import IndicatingBenchScene
from tapertrig.lathe import READS, Lathe
from tapertrig.panels.parts.bench_words import assumed_rows, pass_rows, state_rows, truth_rows
from tapertrig.panels.parts.board import Row, Words
from tapertrig.panels.parts.controls import Control, Quantity, angle, choice, fold, quantity
from tapertrig.panels.parts.lathe_list import LatheList

NUDGES = ("one graduation", "ten graduations", "one turn")
SETTINGS = ("half_angle", "internal", "backlash", "quill_slope", "seed")
WHEELS = {"compound_wheel": "compound", "cross_wheel": "cross"}


@dataclass(frozen=True)
class BenchShown:
    """The bench's state and the words of the last step."""

    state: BenchState
    sentence: str
    truth: tuple[Row, ...]


class IndicatingBench(LatheList[BenchShown]):
    """Two handwheels, two dials, an indicator on the quill; set the compound and be reviewed."""

    title = "Indicating bench"
    scene = IndicatingBenchScene
    main = "compound_wheel"

    def make_controls(self) -> None:
        first = next(one for one in demo.LATHES.values() if one.unit == self.unit)
        most = 0.02 if self.unit == "in" else 0.5
        step = most / 40
        self.compound_wheel = self._wheel("Compound handwheel", first, "compound")
        self.cross_wheel = self._wheel("Cross handwheel", first, "cross")
        self.nudge_ = choice("Buttons turn by", NUDGES, NUDGES[0])
        self.swing = angle("Tap the compound by", "0°", "-1°", "1°", "0°00′30″")
        self.read_as = choice("Take the cross dial as", READS, first.cross_dial.reads)
        self.lathe_list()
        self.half_angle = angle("Half angle wanted", "20°43′", "1°", "80°")
        self.internal = choice("Cone", [("internal", True), ("external", False)])
        self.backlash = quantity(
            "Backlash", 0.008 if self.unit == "in" else 0.2, 0.0, most, step,
            self.unit, 4, "empty: as measured on this lathe", optional=True,
        )  # fmt: skip
        self.quill_slope = quantity("Quill out of parallel", 0.0, -5.0, 5.0, 0.5, "′", 1)
        self.seed = quantity("Start number", 1, 1, 9999, 1, "", 0)

    def _wheel(self, label: str, lathe: Lathe, slide: str) -> Quantity:
        dial = lathe.compound_dial if slide == "compound" else lathe.cross_dial
        return quantity(label, 0.0, 0.0, 1e3, 1 / dial.graduations_per_turn, "turns", 3)

    def arrange(self) -> list[ipywidgets.Widget]:
        self.begin()
        rows = {
            "compound_wheel": (
                ("Compound −", lambda: self.nudge("compound", -1)),
                ("Compound +", lambda: self.nudge("compound", 1)),
            ),
            "cross_wheel": (
                ("Cross −", lambda: self.nudge("cross", -1)),
                ("Cross +", lambda: self.nudge("cross", 1)),
            ),
            "nudge": (
                ("Zero indicator", lambda: self.do("zero_indicator")),
                ("Zero compound dial", lambda: self.do("zero_compound_dial")),
                ("Zero cross dial", lambda: self.do("zero_cross_dial")),
            ),
            "swing": (
                ("Tap", self.tap),
                ("Snug up", lambda: self.do("snug")),
                ("Lock carriage", lambda: self.do("lock_carriage")),
                ("Loosen carriage", lambda: self.do("loosen_carriage")),
            ),
            "read_as": (("Read the dials", self.read),),
        }
        placed: list[ipywidgets.Widget] = []
        for name, control in self.controls.items():
            if name not in ("lathe", *SETTINGS):
                placed.append(control)
            if name in rows:
                placed.append(self._buttons(rows[name]))
        self.on_press("Show the truth", self.show_truth, "True angle, error and review")
        self.on_press("Start again", self.start_again, "The same bench as it was found")
        settings = [self.controls[name] for name in ("lathe", *SETTINGS)]
        return [*placed, self.presses, *fold("The bench", settings)]

    def _buttons(self, actions: tuple) -> ipywidgets.Box:
        box = ipywidgets.Box([self.make_press(label, action) for label, action in actions])
        box.add_class("tapertrig-buttons")
        return box

    # -- the bench ------------------------------------------------------------------------

    def conditions(self) -> BenchConditions:
        """What the controls say of the bench."""
        backlash = self.backlash.value
        lathe = self.lathes[self.lathe.value]
        if backlash is not None:
            lathe = replace(
                lathe,
                compound_backlash=backlash,
                cross_backlash=backlash,
                compound_backlash_measured=None,
                cross_backlash_measured=None,
            )
        return BenchConditions(
            lathe,
            self.half_angle.angle,
            internal=self.internal.value,
            seed=round(self.seed.value),
            quill_slope=Angle.from_arc_seconds(self.quill_slope.value * 60).radians,
        )

    def lathe_picked(self, lathe: Lathe | None) -> None:
        """Another lathe is another bench: its own backlash, and the quill's slope if given."""
        lathe = self.lathes[self.lathe.value]
        self.backlash.value = None
        minutes = Angle.from_radians(math.atan(lathe.quill_slope or 0.0)).minutes
        slope = self.quill_slope
        slope.limit(min(slope.minimum, minutes), max(slope.maximum, minutes))
        slope.value = minutes
        self.begin()

    def begin(self) -> None:
        """A fresh bench under the present conditions."""
        self.bench = Bench.under(self.conditions())
        self.truth_shown = False
        with self.quiet():
            self.read_as.value = self.bench.conditions.lathe.cross_dial.reads
        self._follow()

    def unit_changed(self, before: Mapping[str, Any]) -> None:
        super().unit_changed(before)
        self.begin()  # another lathe is another bench

    begin_again = begin

    def _follow(self) -> None:
        """The handwheel sliders stand where the handwheels stand."""
        conditions = self.bench.conditions
        with self.quiet():
            for name, slide in WHEELS.items():
                wheel = self.controls[name]
                lead = conditions.lead(slide)
                wheel.step = 1 / conditions.dial(slide).graduations_per_turn
                wheel.limit(0.0, conditions.farthest(slide) / lead)
                at = self.bench.state.screw(slide).handwheel / lead
                wheel.value = min(max(at, wheel.minimum), wheel.maximum)

    def turn(self, slide: str, turns: float) -> None:
        """Turn a handwheel to a number of turns from its rear stop."""
        here = self.bench.state.screw(slide).handwheel
        movement = turns * self.bench.conditions.lead(slide) - here
        if abs(movement) > 1e-9:
            getattr(self.bench, f"turn_{slide}")(movement)

    def nudge(self, slide: str, way: int) -> None:
        """Turn a handwheel by the amount chosen for the buttons."""
        size = self.nudge_.value
        turn = getattr(self.bench, f"turn_{slide}")
        if size == NUDGES[2]:
            turn(turns=way)
        else:
            turn(graduations=way * (10 if size == NUDGES[1] else 1))
        self._follow()
        self.render()

    def do(self, action: str) -> None:
        """One action of the bench that needs no amount."""
        getattr(self.bench, action)()
        self.render()

    def tap(self) -> None:
        """Swing by the typed angle."""
        self.bench.swing(self.swing.angle)
        self.render()

    def read(self) -> None:
        """One more line in the column of passes."""
        self.bench.read(self.read_as.value)
        self.render()

    def show_truth(self) -> None:
        """The true angle, the error, and the review of what was done."""
        self.truth_shown = True
        self.render()

    def start_again(self) -> None:
        """The same bench as it was found."""
        self.begin()
        self.render()

    def moved(self, control: Control) -> None:
        on = self.controls
        name = next((key for key, one in on.items() if one is control), "")
        if name in WHEELS:
            self.turn(WHEELS[name], control.value)
        elif name in SETTINGS:
            self.begin()
        if name not in ("nudge", "swing", "read_as"):
            super().moved(control)

    # -- picture and words ----------------------------------------------------------------

    def read_state(self) -> BenchShown:
        truth = tuple(truth_rows(self.bench, review(self.bench))) if self.truth_shown else ()
        return BenchShown(self.bench.state, self.bench.log[-1].sentence, truth)

    def scene_state(self, state: BenchShown) -> BenchState:
        return state.state

    def words(self, state: BenchShown) -> Words:
        bench = state.state
        wanted = f"Wanted: a half angle of {bench.conditions.half_angle.brief()}."
        return Words(
            f"{state.sentence} {wanted} Indicator: {bench.indicator.words}.",
            (*state_rows(bench), *pass_rows(bench), *assumed_rows(bench), *state.truth),
            f"{wanted} Read the dials and the indicator in the picture.",
        )
