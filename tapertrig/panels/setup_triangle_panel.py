"""Lesson 03: the setup triangle, its travels and its dials."""

from __future__ import annotations

import math
from collections.abc import Iterable

import ipywidgets

from tapertrig.draw.parts.magnified import arc_text
from tapertrig.draw.setup_triangle import SetupTriangleScene, TriangleState
from tapertrig.lathe import MM_PER_INCH, Dial, Lathe, in_unit, length_text
from tapertrig.lathe_book import HOW_TO_FIND
from tapertrig.panels.parts.board import Row, Words
from tapertrig.panels.parts.controls import Control, angle, choice, pick_list, quantity, switch
from tapertrig.panels.parts.lathe_list import LatheList
from tapertrig.setup import WholeGraduationSetup, whole_graduation_setups

SETUPS_LISTED = 8
LESSON_LATHE = "invented lathe of this lesson"
LEAST, MOST = 0.25, 12.0  # inches


class SetupTriangle(LatheList[TriangleState]):
    """Compound travel, cross travel and axial travel for a half angle, with both dials.

    On a lathe of the lathe book it is one number, fast: lathe, half angle, travel.
    """

    title = "Setup triangle"
    scene = SetupTriangleScene
    main = "half_angle"

    def make_controls(self) -> None:
        inch = self.unit == "in"
        self.reach = 4.0 if inch else 100.0
        travel = (2.7, 0.25, self.reach, 0.001) if inch else (70.0, 6.0, self.reach, 0.02)
        self.lathe_list(first=[LESSON_LATHE])
        self.half_angle = angle("Half angle", "28°10′", "1°", "89°")
        self.compound_travel = quantity("Compound travel", *travel, self.unit)
        self.cross_dial = choice("Cross dial reads", ["radius", "diameter"], "diameter")
        self.whole = pick_list("Whole-graduation setups, one click takes it")
        self.compare = switch("Compare with the carriage")

    def arrange(self) -> list[ipywidgets.Widget]:
        list_them = self.make_press("List whole-graduation setups", self.list_setups)
        lathe, first, travel, *others = super().arrange()
        others.remove(self.whole)
        return [lathe, first, travel, list_them, self.whole, *others]

    def lathe_picked(self, lathe: Lathe | None) -> None:
        """The travel as long as before, within what this slide can make."""
        unit, travel = lathe.unit if lathe else self.unit, self.compound_travel
        made = lathe or self.lathe_in_use()
        at = 1.0 if unit == "in" else MM_PER_INCH
        reach = made.compound_reach or MOST * at
        length = float(in_unit(travel.value, travel.unit, unit))
        travel.unit, travel.step = unit, made.compound_dial.movement_per_graduation
        travel.places = 3 if unit == "in" else 2
        travel.limit(min(LEAST * at, reach / 2), max(reach, length))
        travel.value = round(round(min(length, reach) / travel.step) * travel.step, 9)
        travel.limit(travel.minimum, reach)
        self.cross_dial.layout.display = "none" if lathe else None
        self._offer(())

    def lathe_in_use(self) -> Lathe:
        """The lathe picked, or the invented lathe of this lesson with the cross dial chosen."""
        if picked := self.picked_lathe():
            return picked
        graduation, turn = (0.001, 0.1) if self.unit == "in" else (0.02, 2.0)
        reads = self.cross_dial.value
        shown_per_turn = turn * (2 if reads == "diameter" else 1)
        return Lathe(
            self.unit,
            self.reach,
            Dial(graduation, turn),
            Dial(graduation, shown_per_turn, reads),
            name="invented lathe",
        )

    def read_state(self) -> TriangleState:
        lathe = self.lathe_in_use()
        travel = lathe.check_reach(self.compound_travel.value)
        return TriangleState(self.half_angle.angle, travel, lathe, self.compare.value)

    def words(self, state: TriangleState) -> Words:
        lathe, unit = state.lathe, state.lathe.unit
        reading = float(lathe.cross_dial.reading(state.cross))
        travel = length_text(state.compound_travel, unit)
        sharpness = arc_text(radians(state.seconds_per_graduation))
        given = f"With the slide at a half angle of {state.half_angle.brief()}, a compound travel"
        rows = [
            Row("Cross travel", length_text(state.cross, unit)),
            Row("Axial travel", length_text(state.axial, unit)),
            Row("Cross dial shows", length_text(reading, unit)),
            Row("which is", lathe.cross_dial.words(reading, unit)),
            Row("One cross graduation", f"{sharpness} of half angle"),
        ]
        if state.compare:
            told = f"{length_text(state.by_carriage, unit)} (tangent)"
            rows.append(Row("Carriage, moved as far", told))
        if state.half_angle.degrees > 45:
            advice = "Past 45° the sine gets less sensitive: the axial travel tells it better."
            rows.append(Row("Mind", advice, answer=False, mark="wide"))
        if lathe.compound_reach is None:
            how = HOW_TO_FIND["compound_reach"][1]
            told = f"How far this slide goes is not given; look whether it can make {travel}. {how}"
            rows.append(Row("Not given", told, answer=False, mark="wide"))
        return Words(
            f"{given} of {travel} needs a cross travel of {length_text(state.cross, unit)}; "
            f"the cross dial shows {length_text(reading, unit)}.",
            tuple(rows),
            f"{given} of {travel}; the cross dial reads {lathe.cross_dial.reads}.",
        )

    def list_setups(self) -> None:
        """Fill the list with the best whole-graduation setups for the present angle."""
        lathe = self.lathe_in_use()
        places = 3 if lathe.unit == "in" else 2
        found = whole_graduation_setups(self.half_angle.angle, lathe, count=SETUPS_LISTED)
        self._offer(
            (
                f"{row.compound_travel:.{places}f}"
                + ("" if self.hiding else f" → {row.cross_reading:.{places}f}")
                + f": {error_words(row)}, 1 line {arc_text(radians(row.sensitivity))}",
                row.compound_travel,
            )
            for row in found
        )

    def _offer(self, setups: Iterable[tuple[str, float]]) -> None:
        with self.quiet():
            self.whole.options = tuple(setups)
            self.whole.rows = max(1, len(self.whole.options))
            self.whole.layout.display = None if self.whole.options else "none"

    def moved(self, control: Control) -> None:
        with self.quiet():
            if control is self.whole and control.value is not None:
                self.compound_travel.value = control.value
            elif control is self.compound_travel:
                travels = [travel for _words, travel in self.whole.options]
                at = control.value
                self.whole.index = travels.index(at) if at in travels else None
            elif control in (self.half_angle, self.cross_dial):
                self._offer(())
        super().moved(control)


def radians(arc_seconds: float) -> float:
    """Arc-seconds in radians."""
    return math.radians(arc_seconds / 3600)


def error_words(setup: WholeGraduationSetup) -> str:
    """How far from the half angle wanted a setup leaves the slide, and which way."""
    if abs(setup.angle_error) < 0.05:
        return "exact"
    side = "steep" if setup.angle_error > 0 else "shallow"
    return f"{arc_text(radians(setup.angle_error))} too {side}"
