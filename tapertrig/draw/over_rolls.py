"""An external cone on a plate, two rolls against it low and high, and the measures over them."""

from __future__ import annotations

import contextlib
import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tapertrig.angle import Angle
from tapertrig.cone import Cone
from tapertrig.decision import CONFORMS, DOES_NOT_CONFORM, NOT_PROVEN
from tapertrig.draw.parts.scene import Scene, box
from tapertrig.gauging import RollContact, over_rolls, roll_contact
from tapertrig.gauging.inspection import NOT_MEASURED, Finding, Inspection
from tapertrig.lathe import places_written

AXIS_X, PLATE_Y, PLATE_DEEP = 5.7, 1.8, 0.35
HALF_WIDE, TALLEST = 2.7, 4.8
# A cone that leans further out than this in the picture is cut off there.
CUT_AT = 3.1
LOW_LINE, HIGH_LINE = 0.95, 7.5
AXIS_ENDS = 1.15, 7.2
ANVIL_LONG, ANVIL_HALF = 0.5, 0.14
BLOCK_LINE = 1.0
# Words beside low blocks stay this far above the plate.
LABEL_UP = 0.34
COLUMN_X = 12.3
HEAD_LONG, HEAD_HALF = 0.24, 0.08
_TURN = np.radians(np.arange(0, 361, 6))
_CIRCLE = np.column_stack([np.cos(_TURN), np.sin(_TURN)])
_GAP = np.array([[math.nan, math.nan]])


@dataclass(frozen=True)
class RollsState:
    """What is measured where. `cone` is the print's, its small diameter midway in its limits.

    `inspection` is None while nothing is measured, and `refusal` says why; rolls of `roll` on
    blocks of `block` are then drawn as they would stand on the print's cone, without a number.
    """

    cone: Cone
    unit: str
    inspection: Inspection | None
    roll: float
    block: float
    refusal: str = ""

    @cached_property
    def measured(self) -> Cone:
        """The cone that the readings tell, or the print's while there are none."""
        return self.cone if self.inspection is None else self.inspection.measured_cone()

    @cached_property
    def over(self) -> tuple[float, float]:
        """Mean measures over the low and over the high rolls."""
        if self.inspection is None:
            low, high = (over_rolls(self.cone, self.roll, at) for at in (0.0, self.block))
            return float(low), float(high)
        first, second = self.inspection.repeats()
        return first.mean, second.mean

    @cached_property
    def contacts(self) -> tuple[RollContact, RollContact]:
        """Where the low and the high rolls touch the cone that was measured."""
        low, high = (roll_contact(self.measured, self.roll, block) for block in (0.0, self.block))
        return low, high

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """The face diameter and the half angle found; nothing while nothing is measured."""
        return () if self.inspection is None else self.inspection.findings()

    @property
    def face(self) -> Finding | None:
        """The face (small) diameter found."""
        return self.findings[0] if self.findings else None

    @property
    def half_angle(self) -> Finding | None:
        """The half angle found."""
        return self.findings[1] if self.findings else None

    @property
    def verdict(self) -> str:
        """The worst verdict; empty while nothing is measured."""
        return "" if self.inspection is None else self.inspection.verdict

    @cached_property
    def by_print(self) -> tuple[float, float] | None:
        """What the print's cone would read low and high; None when these rolls do not touch it."""
        with contextlib.suppress(ValueError):
            low, high = (over_rolls(self.cone, self.roll, block) for block in (0.0, self.block))
            return float(low), float(high)
        return None

    @property
    def fitting_block(self) -> float:
        """The block height at which these readings would give the print's half angle."""
        low, high = self.over
        return (high - low) / self.cone.taper

    @property
    def top(self) -> float:
        """How far up the cone is drawn: its length, or past the high rolls when it has none."""
        return self.cone.length or 1.2 * (self.block + self.roll)


def units_per(state: RollsState) -> float:
    """Board units to a unit of length, such that rolls and cone go in."""
    tall = max(state.top, state.block + state.roll)
    return min(2 * HALF_WIDE / state.over[1], TALLEST / tall)


def roll_centre(state: RollsState, high: bool, side: int) -> NDArray[np.float64]:
    """Middle of a roll in board units; `side` is −1 for the left one and 1 for the right one."""
    k = units_per(state)
    across = k * (state.over[high] - state.roll) / 2
    up = k * ((state.block if high else 0.0) + state.roll / 2)
    return np.array([AXIS_X + side * across, PLATE_Y + up])


def wall_ends(state: RollsState, cone: Cone) -> NDArray[np.float64]:
    """The right wall of a cone from the plate up, in board units, shape (2, 2)."""
    k, tan = units_per(state), math.tan(cone.half_angle.radians)
    foot = k * cone.face_diameter / 2
    tall = min(k * state.top, (CUT_AT - foot) / tan)
    return np.array([[AXIS_X + foot, PLATE_Y], [AXIS_X + foot + tall * tan, PLATE_Y + tall]])


def cone_corners(state: RollsState, cone: Cone) -> NDArray[np.float64]:
    """The section of a cone standing on the plate, in board units, shape (4, 2)."""
    return np.concatenate([wall_ends(state, cone), mirrored(wall_ends(state, cone)[::-1])])


def mirrored(points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Points on the other side of the axis."""
    return points * [-1, 1] + [2 * AXIS_X, 0]


def dimension(start: NDArray[np.float64], end: NDArray[np.float64]) -> NDArray[np.float64]:
    """A dimension line with an open arrowhead at either end, as one polyline."""
    along = end - start
    long = max(float(np.hypot(*along)), 1e-9)
    along = along / long
    head = min(1.0, 0.3 * long / HEAD_LONG)
    back, aside = along * HEAD_LONG * head, along[::-1] * [-1, 1] * HEAD_HALF * head
    return np.array(
        [
            start + back + aside,
            start,
            start + back - aside,
            start,
            end,
            end - back + aside,
            end,
            end - back - aside,
        ]
    )


class OverRollsScene(Scene):
    """Section through the axis, to scale: plate, cone, rolls low and on blocks, both measures."""

    def build(self) -> None:
        left, right = AXIS_X - 3.4, AXIS_X + 4.2
        low = PLATE_Y - PLATE_DEEP
        self.area(
            "metal",
            box(left, low, right, PLATE_Y),
            weight=0.6,
            moving=False,
            clear=True,
            zorder=1,
        )
        self.cone = self.area("metal", edge="ink", weight=0.9, clear=True, zorder=2)
        # It does not move, but the cone would be drawn over it if it were drawn once.
        self.axis = self.line("axis", [AXIS_X, AXIS_X], AXIS_ENDS, weight=0.6, zorder=3)
        self.print_cone = self.line("guide", weight=0.7, zorder=6)
        self.blocks = [
            self.area("band", edge="axial", weight=0.7, clear=True, zorder=3) for _ in range(2)
        ]
        self.rolls = [
            self.area("brass", edge="ink", weight=0.9, clear=True, zorder=4) for _ in range(2)
        ]
        self.anvils = [
            self.area("metal", edge="ink", weight=0.7, clear=True, zorder=4) for _ in range(2)
        ]
        self.low_rolls = self.line("ink", weight=0.7, linestyle="solid", zorder=5)
        self.radii = self.line("angle", weight=0.7, zorder=6)
        self.touching = self.line(
            "angle", marker="o", markersize=3.4 * self.style.scale, linestyle="none", zorder=8
        )
        self.upright = self.line("guide", weight=0.6, linestyle="solid", zorder=7)
        self.arc = self.line("angle", weight=1.2, zorder=7)
        self.extensions = self.line("cross", weight=0.4, linestyle="solid", zorder=6)
        self.measures = [
            self.line("cross", weight=0.9, linestyle="solid", zorder=7) for _ in range(2)
        ]
        self.rise = self.line("cross", weight=0.9, zorder=7)
        self.climb = self.line("axial", weight=0.9, zorder=7)
        self.block_line = self.line("axial", weight=0.9, linestyle="solid", zorder=7)
        self.block_extension = self.line("axial", weight=0.4, linestyle="solid", zorder=6)
        self._build_words()

    def _build_words(self) -> None:
        self.measure_words = [self.label(role="cross", bold=True, free=False) for _ in range(2)]
        self.block_words = self.label(role="axial", bold=True, free=False)
        self.angle_words = self.label(role="angle", bold=True, size="small", leader=True)
        self.verdict = self.label(bold=True, free=False)
        self.column = {}
        # Large words in a small picture: what belongs together needs room to stay together.
        heights, below, self.column_x, self.verdict_y, self.remarks = (
            ((9.9, 7.5, 1.7), (0.72, 1.44), 10.25, 10.9, (-0.4, -1.2))
            if self.style.spare
            else ((7.2, 5.3, 3.4), (0.55, 1.05), COLUMN_X, 8.45, (1.7, 1.15))
        )
        named = ("angle", "half angle"), ("face", "small diameter"), ("roll", "two rolls of")
        for y, (name, title) in zip(heights, named, strict=True):
            role = "angle" if name == "angle" else "ink"
            self.caption(title, self.column_x, y, 0, 0.5, role=role)
            value = self.label(role=role, bold=True, size="small", free=False)
            self.column[name] = value, y - below[0]
            if name != "roll":
                spread = self.label(role=role, size="small", free=False)
                self.column[f"{name} spread"] = spread, y - below[1]
        self.dashed_words = self.label(role="axis", size="small", free=False)
        self.cut_words = self.label(role="axis", size="small", free=False)

    def move(self, state: RollsState) -> None:
        self._move_cone(state)
        self._move_rolls(state)
        self._move_measures(state)
        self._move_angle(state)
        self._say(state)

    def _move_cone(self, state: RollsState) -> None:
        corners = cone_corners(state, state.measured)
        asked = cone_corners(state, state.cone)
        self.cone.set_xy(corners)
        # Under the width of a line apart, dashes would only make the edge look rough.
        apart = bool(np.abs(corners - asked).max() > 0.04)
        self.print_cone.set_visible(apart)
        self.print_cone.set_data(*asked.T)
        self.put(
            self.dashed_words,
            "dashed: the print" if apart else "",
            self.column_x,
            self.remarks[0],
            0,
            0.5,
        )
        whole = units_per(state) * state.top
        cut = corners[1, 1] - PLATE_Y < whole - 1e-9
        self.put(
            self.cut_words, "top not drawn" if cut else "", self.column_x, self.remarks[1], 0, 0.5
        )

    def _move_rolls(self, state: RollsState) -> None:
        k, alpha = units_per(state), state.measured.half_angle.radians
        radius = k * state.roll / 2
        to_wall = radius * np.array([-math.cos(alpha), math.sin(alpha)])
        low_circles, radii, points = [], [], []
        for index, side in enumerate((-1, 1)):
            low, high = roll_centre(state, False, side), roll_centre(state, True, side)
            self.rolls[index].set_xy(high + radius * _CIRCLE)
            low_circles += [low + radius * _CIRCLE, _GAP]
            near, far = high[0] - radius, high[0] + radius
            top = high[1] - radius
            self.blocks[index].set_xy(box(near, PLATE_Y, far, top))
            face = high[0] + side * radius
            end = face + side * ANVIL_LONG
            down, up = high[1] - ANVIL_HALF, high[1] + ANVIL_HALF
            self.anvils[index].set_xy(box(face, down, end, up))
            for centre in (low, high):
                touch = centre + to_wall * [side, 1]
                radii += [centre[None], touch[None], _GAP]
                points += [touch[None], _GAP]
        self.low_rolls.set_data(*np.concatenate(low_circles).T)
        self.radii.set_data(*np.concatenate(radii).T)
        self.touching.set_data(*np.concatenate(points).T)

    def _move_measures(self, state: RollsState) -> None:
        k, lines = units_per(state), []
        for upper, y, away in ((0, LOW_LINE, -0.07), (1, HIGH_LINE, 0.07)):
            half = k * state.over[upper] / 2
            level = roll_centre(state, bool(upper), 1)[1]
            ends = np.array([[AXIS_X - half, y], [AXIS_X + half, y]])
            self.measures[upper].set_data(*dimension(*ends).T)
            for x in ends[:, 0]:
                lines += [np.array([[x, level], [x, y + away]]), _GAP]
        self.extensions.set_data(*np.concatenate(lines).T)
        low, high = roll_centre(state, False, 1), roll_centre(state, True, 1)
        corner = np.array([low[0], high[1]])
        self.climb.set_data(*np.array([low, corner]).T)
        self.rise.set_data(*np.array([corner, high]).T)
        self.block_x = AXIS_X + k * state.over[1] / 2 + BLOCK_LINE
        top = PLATE_Y + k * state.block
        ends = np.array([[self.block_x, PLATE_Y], [self.block_x, top]])
        self.block_line.set_data(*dimension(*ends).T)
        edge = high[0] + k * state.roll / 2
        self.block_extension.set_data([edge, self.block_x + 0.15], [top, top])

    def _move_angle(self, state: RollsState) -> None:
        alpha = state.measured.half_angle.radians
        foot, end = mirrored(wall_ends(state, state.measured))
        radius = min(2.4, 0.8 * float(np.hypot(*(end - foot))))
        turn = math.pi / 2 + np.linspace(0, alpha, 20)
        self.arc.set_data(foot[0] + radius * np.cos(turn), foot[1] + radius * np.sin(turn))
        self.upright.set_data([foot[0], foot[0]], [foot[1], foot[1] + radius + 0.2])
        middle = turn[10]
        hidden = self.hide_answers or state.inspection is None
        told = "?" if hidden else Angle.from_radians(alpha).dms()
        self.say(
            self.angle_words,
            f"α {told}",
            foot[0] + radius * math.cos(middle),
            foot[1] + radius * math.sin(middle),
            180,
        )

    def _say(self, state: RollsState) -> None:
        places, hidden = places_written(state.unit), self.hide_answers
        low, high = (f"{mean:.{places + 1}f}" for mean in state.over)
        if state.inspection is None:
            low = high = "not read"
        self.put(self.measure_words[0], f"M₁ {low}", AXIS_X, LOW_LINE - 0.12, 0.5, 1)
        self.put(self.measure_words[1], f"M₂ {high}", AXIS_X, HIGH_LINE + 0.12, 0.5, 0)
        y = PLATE_Y + max(units_per(state) * state.block / 2, LABEL_UP)
        block = "B" if state.inspection is None else f"B {state.block:.{places}f}"
        self.put(self.block_words, block, self.block_x + 0.25, y, 0, 0.5)
        told = {}
        for name, finding in (("angle", state.half_angle), ("face", state.face)):
            result = NOT_MEASURED if finding is None else finding.result(state.unit)
            value, _, spread = result.split(" (")[0].split(", ")[0].partition(" ± ")
            told[name] = value if name == "angle" or finding is None else f"⌀ {value}"
            told[f"{name} spread"] = f"± {spread}" if spread else ""
        if hidden:
            told = dict.fromkeys(told, "?")
        told["roll"] = f"⌀ {state.roll:.{places}f} {state.unit}"
        if state.inspection is None:
            told["roll"] = "not read"
        for name, (label, up) in self.column.items():
            self.put(label, told[name], self.column_x, up, 0, 0.5)
        words, role = {
            CONFORMS: ("CONFORMS", "axial"),
            DOES_NOT_CONFORM: ("DOES NOT CONFORM", "cross"),
            NOT_PROVEN: ("NOT PROVEN", "angle"),
        }.get(state.verdict, ("NO VERDICT", "ink"))
        if state.inspection is None:
            words, role = "NOTHING MEASURED", "cross"
        self.verdict.label.colour = self.style.colour("ink" if hidden else role)
        self.put(self.verdict, "?" if hidden else words, 15.85, self.verdict_y, 1, 0.5)
