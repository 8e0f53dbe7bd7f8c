"""Lesson 03: the setup triangle, its travels and its dials."""

from __future__ import annotations

import math

import ipywidgets

from tapertrig.draw.setup_triangle import SetupTriangleScene, TriangleState
from tapertrig.lathe import Dial, Lathe
from tapertrig.panels.board import Row, Words
from tapertrig.panels.controls import Control, angle, choice, quantity
from tapertrig.panels.panel import Panel
from tapertrig.setup import (
    WholeGraduationSetup,
    angle_per_graduation,
    axial_travel,
    cross_travel,
    whole_graduation_setups,
)

ROUTES = ("compound slide (sine)", "carriage (tangent)")
NOT_LISTED = ("list them first", None)


class SetupTriangle(Panel):
    """Compound travel, cross travel and axial travel for a half angle, with both dials."""

    title = "Setup triangle"
    scene = SetupTriangleScene
    main = "half_angle"

    def make_controls(self) -> dict[str, Control]:
        inch = self.unit == "in"
        self.reach = 4.0 if inch else 100.0
        travel = (3.0, 0.25, self.reach, 0.001) if inch else (75.0, 6.0, self.reach, 0.02)
        return {
            "half_angle": angle("Half angle", "31°20′", "1°", "89°"),
            "compound_travel": quantity("Travel", *travel, self.unit),
            "moved_by": choice("Travel made by", ROUTES, ROUTES[0]),
            "cross_dial": choice("Cross dial reads", ["radius", "diameter"], "diameter"),
            "whole": choice("Whole-graduation setups", [NOT_LISTED], None),
        }

    def arrange(self) -> list[ipywidgets.Widget]:
        self.on_press("List whole-graduation setups", self.list_setups)
        return super().arrange()

    def lathe(self) -> Lathe:
        """The invented lathe of this lesson, with the cross dial chosen."""
        graduation, turn = (0.001, 0.1) if self.unit == "in" else (0.02, 2.0)
        reads = self.controls["cross_dial"].value
        shown_per_turn = turn * (2 if reads == "diameter" else 1)
        return Lathe(
            self.unit,
            self.reach,
            Dial(graduation, turn),
            Dial(graduation, shown_per_turn, reads),
            name="invented lathe",
        )

    def read_state(self) -> TriangleState:
        half_angle = self.controls["half_angle"].angle
        travel = self.controls["compound_travel"].value
        by_carriage = self.controls["moved_by"].value == ROUTES[1]
        if by_carriage:
            travel /= math.cos(half_angle.radians)
            if travel > self.reach * 1.15:
                raise ValueError(
                    f"a carriage travel of {self.controls['compound_travel'].text} {self.unit} at "
                    f"{half_angle} needs a cross travel of "
                    f"{travel * math.sin(half_angle.radians):.2f} {self.unit}, more than fits the "
                    "picture or most cross slides; choose a shorter travel or a smaller angle"
                )
        return TriangleState(half_angle, travel, self.lathe(), by_carriage)

    def words(self, state: TriangleState) -> Words:
        lathe, unit = state.lathe, state.lathe.unit
        places = 4 if unit == "in" else 3
        cross = float(cross_travel(state.compound_travel, state.half_angle))
        axial = float(axial_travel(state.compound_travel, state.half_angle))
        reading = lathe.cross_dial.reading(cross)
        one = angle_per_graduation(state.compound_travel, state.half_angle, lathe.cross_dial)
        made, rule = (
            (f"carriage travel of {axial:.{places}f}", "travel × tan α")
            if state.by_carriage
            else (f"compound travel of {state.compound_travel:.{places}f}", "travel × sin α")
        )
        turns, graduations, rest = lathe.cross_dial.split(reading)
        part = graduations + rest / lathe.cross_dial.graduation
        rows = [
            Row("Cross travel", f"{cross:.{places}f} {unit}"),
            Row("Axial travel", f"{axial:.{places}f} {unit}", answer=not state.by_carriage),
            Row("Cross dial shows", f"{reading:.{places}f} {unit}"),
            Row("Turns + graduations", f"{turns} + {part:.1f}"),
            Row("One cross graduation", f"{one:.0f}″ of half angle"),
            Row("Rule", f"cross travel = {rule}", answer=False),
        ]
        if state.half_angle.degrees > 45 and not state.by_carriage:
            advice = "Past 45° the sine loses its grip: the axial travel tells the angle better."
            rows.append(Row("Note", advice, answer=False, mark="wide"))
        return Words(
            f"With the slide at {state.half_angle}, a {made} {unit} needs a cross travel of "
            f"{cross:.{places}f} {unit}; the cross dial shows {reading:.{places}f}.",
            tuple(rows),
        )

    def list_setups(self) -> None:
        """Fill the list with the best whole-graduation setups for the present angle."""
        lathe, half_angle = self.lathe(), self.controls["half_angle"].angle
        places = 4 if self.unit == "in" else 2
        found = whole_graduation_setups(half_angle, lathe, count=8)

        def line(row: WholeGraduationSetup) -> tuple[str, float]:
            shown = (
                f"{row.compound_travel:.{places - 1 if places == 4 else places}f} → "
                f"{row.cross_reading:.{places - 1 if places == 4 else places}f}, "
                f"leaves {abs(row.angle_error):.1f}″"
            )
            return shown, row.compound_travel

        self._quiet += 1
        self.controls["whole"].options = [("choose a travel", None), *map(line, found)]
        self.controls["whole"].value = None
        self._quiet -= 1

    def moved(self, control: Control) -> None:
        whole = self.controls["whole"]
        if control is whole and whole.value is not None:
            self.set(moved_by=ROUTES[0], compound_travel=whole.value)
            return
        if control in (self.controls["half_angle"], self.controls["cross_dial"]):
            self._forget_setups()
        self.render(control)

    def _forget_setups(self) -> None:
        whole = self.controls["whole"]
        if len(whole.options) > 1:
            self._quiet += 1
            whole.options = [NOT_LISTED]
            whole.value = None
            self._quiet -= 1
