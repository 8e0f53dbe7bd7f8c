"""The corner of face and wall of a bored cone, before and after a slide is moved."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tapertrig.angle import Angle
from tapertrig.boring import Cut, face_diameter_change, plan_cuts
from tapertrig.cone import Cone
from tapertrig.draw.parts.dial import DialCollar
from tapertrig.draw.parts.scene import Scene
from tapertrig.lathe import Lathe, length_text

# Short enough for the list to show each of them whole on a small screen.
CROSS, CARRIAGE = "cross slide, outwards", "carriage, to the headstock"
COMPOUND, FACING = "compound slide, feeding in", "nothing: face is cut back"
MEANS = (CROSS, CARRIAGE, COMPOUND, FACING)
_ARGUMENT = {CROSS: "cross", CARRIAGE: "carriage", COMPOUND: "compound", FACING: "faced_off"}
_SHORT = {CROSS: "cross slide", CARRIAGE: "carriage", COMPOUND: "compound", FACING: "faced off"}

CORNER_X, CORNER_Y = 7.4, 5.3
LEFT, TOP, BOTTOM = 0.3, 8.0, 0.9
UNITS_PER = {"in": 14.0, "mm": 14.0 / 25.4}
MOST_DOWN, MOST_UP = CORNER_Y - BOTTOM - 0.6, TOP - CORNER_Y - 0.5
DIAL_X, DIAL_Y = 13.2, 7.2
LADDER_LEFT, LADDER_RIGHT, LADDER_Y = 11.0, 15.4, 1.3


@dataclass(frozen=True)
class OpeningState:
    """The cone wanted, the face diameter measured, and what is moved how far before the next cut.

    `cone` is internal. `roughing_cut` and `finish_allowance` are on diameter.
    """

    cone: Cone
    measured: float
    lathe: Lathe
    means: str
    movement: float
    roughing_cut: float
    finish_allowance: float
    spring_pass: bool = True

    @property
    def change(self) -> float:
        """What the movement adds to the face diameter."""
        now = Cone(self.cone.half_angle, self.measured)
        return float(face_diameter_change(now, **{_ARGUMENT[self.means]: self.movement}))

    @property
    def diameter(self) -> float:
        """Face diameter after the next cut."""
        return self.measured + self.change

    @property
    def left(self) -> float:
        """What is then still to come off, on diameter; negative when it is too large."""
        # A sum of graduations carries float dust that no dial shows.
        return round(self.cone.face_diameter - self.diameter, 9)

    @property
    def cross_reading(self) -> float:
        """What the cross dial shows, zeroed before the movement."""
        moved = self.movement if self.means == CROSS else 0.0
        return float(self.lathe.cross_dial.reading(moved))

    @cached_property
    def cuts(self) -> tuple[Cut, ...]:
        """The cuts from the measured diameter to the one wanted; none when nothing is left."""
        if self.cone.face_diameter - self.measured < 1e-6:
            return ()
        return plan_cuts(
            self.cone,
            self.measured,
            self.lathe,
            self.roughing_cut,
            self.finish_allowance,
            spring_pass=self.spring_pass,
        )


def corners(state: OpeningState) -> NDArray[np.float64]:
    """Where the wall meets the face, before and after: board units, shape (2, 2)."""
    k = UNITS_PER[state.lathe.unit]
    faced = k * state.movement if state.means == FACING else 0.0
    after = [CORNER_X - faced, CORNER_Y - k * state.change / 2]
    return np.array([[CORNER_X, CORNER_Y], after])


def wall_from(corner: NDArray[np.float64], half_angle: Angle) -> NDArray[np.float64]:
    """The wall from its corner at the face to where it leaves the picture, shape (2, 2)."""
    slope = math.tan(half_angle.radians)
    run = min(corner[0] - LEFT, (TOP - corner[1]) / slope)
    return np.array([corner, corner + run * np.array([-1.0, slope])])


class OpeningTheFaceScene(Scene):
    """Plan view of the near wall, enlarged; cross dial and ladder of cuts beside it."""

    def build(self) -> None:
        self.taken = self.area("brass", edge=None, zorder=1)
        self.part = self.area("metal", clear=True, zorder=2)
        self.path = self.line("compound", weight=0.7, linestyle=(0, (2, 3)), zorder=3)
        self.before = self.line("guide", weight=1.0, zorder=4)
        self.after = self.line("compound", weight=1.8, zorder=5)
        self.cross = self.line("cross", weight=1.8, zorder=6)
        self.axial = self.line("axial", weight=1.8, zorder=6)
        self.wanted = self.line("ink", weight=1.0, zorder=6, linestyle="solid")
        self.tool = self.area("ink", edge=None, zorder=7, clear=True)
        self.wall_held = self.handle("movement", self.after)
        self.tool_held = self.handle("movement", self.tool)
        self.wanted_words = self.label(leader=True, size="small")
        self.cross_words = self.label(role="cross", bold=True, leader=True)
        self.axial_words = self.label(role="axial", bold=True, leader=True)
        self.moved_words = self.label(role="compound", bold=True, free=False)
        self.caption("spindle axis ↑", LEFT, 8.25, 0, 0, role="axis")
        self.caption("operator's side ↓  corner enlarged", LEFT, 0.15, 0, 0)
        self.dial = DialCollar(self, DIAL_X, DIAL_Y, 5.0, 1.2)
        self.diameter_words = self.label(bold=True, free=False)
        self.left_words = self.label(free=False, size="small")
        self.reading_words = self.label(free=False, size="small", role="cross", bold=True)
        self._build_ladder()

    def _build_ladder(self) -> None:
        ends = [LADDER_LEFT, LADDER_RIGHT]
        self.line("ink", ends, [LADDER_Y, LADDER_Y], weight=0.7, moving=False)
        self.caption("measured", LADDER_LEFT, LADDER_Y - 0.4, 0.35, 1)
        self.caption("wanted", LADDER_RIGHT, LADDER_Y - 0.4, 0.6, 1)
        self.roughing = self.line("cross", weight=1.1, linestyle="solid")
        self.finishing = self.line("axial", weight=1.1, linestyle="solid")
        self.pointer = self.area("compound", edge=None, clear=True, zorder=7)
        self.cuts_words = self.label(free=False, size="small")

    def move(self, state: OpeningState) -> None:
        self._move_walls(state)
        self._move_triangle(state)
        self._move_ladder(state)
        self._say(state)

    def _move_walls(self, state: OpeningState) -> None:
        old, new = corners(state)
        alpha = state.cone.half_angle
        if self.hide_answers:
            new = old
        self.taken.set_xy(_below(old, alpha))
        self.part.set_xy(_below(new, alpha))
        self.before.set_data(*wall_from(old, alpha).T)
        self.after.set_data(*wall_from(new, alpha).T)
        along = np.array([math.cos(alpha.radians), -math.sin(alpha.radians)])
        k = UNITS_PER[state.lathe.unit]
        fed = k * state.movement if state.means == COMPOUND else 0.0
        out = new + along * 1.3
        self.path.set_data(*np.array([new, out]).T)
        tip = new + along * (0.9 - fed)
        up = np.array([along[1], -along[0]]) * -1
        self._move_handles(state, along)
        self.tool.set_xy([tip, tip + up * 0.5 + along * 0.12, tip + up * 0.5 - along * 0.12])

    def _move_handles(self, state: OpeningState, along: NDArray[np.float64]) -> None:
        """The tool goes as it is moved; the wall square to itself, wherever it is taken hold of."""
        if self.hide_answers:  # how far it goes is the answer
            self.wall_held.rests()
            self.tool_held.rests()
            return
        slope = -along[1] / along[0]
        k = UNITS_PER[state.lathe.unit]
        ways = {CROSS: (0, -1), CARRIAGE: (0, -slope), COMPOUND: -along, FACING: (-1, slope)}
        way = k * np.asarray(ways[state.means], float)
        square = np.array([-along[1], along[0]])
        self.tool_held.slides(*way)
        self.wall_held.slides(*square * round(float(way @ square), 9))

    def _move_triangle(self, state: OpeningState) -> None:
        old, new = corners(state)
        unit = state.lathe.unit
        drop = old[1] - new[1]
        nothing = np.zeros((0, 2))
        shown = not self.hide_answers and state.means in (CROSS, CARRIAGE) and drop > 0
        run = drop / math.tan(state.cone.half_angle.radians)
        end = np.array([max(old[0] - run, LEFT), old[1]])
        self.cross.set_data(*(np.array([old, new]) if shown else nothing).T)
        self.axial.set_data(*(np.array([old, end]) if shown else nothing).T)
        half = state.change / 2
        along = half / math.tan(state.cone.half_angle.radians)
        cross = f"cross {length_text(half, unit)}"
        axial = f"carriage {length_text(along, unit)}"
        self.say_at(self.cross_words, cross if shown else "", ((old + new) / 2), 0)
        self.say_at(self.axial_words, axial if shown else "", ((old + end) / 2), 200)
        k = UNITS_PER[unit]
        y = old[1] - k * (state.cone.face_diameter - state.measured) / 2
        inside = BOTTOM < y < TOP
        self.wanted.set_data([new[0], new[0] + 0.9] if inside else [], [y, y] if inside else [])
        words = f"wanted {length_text(state.cone.face_diameter, unit)}"
        self.say(self.wanted_words, words if inside else "", new[0] + 0.9, y, 0)

    def _move_ladder(self, state: OpeningState) -> None:
        whole = state.cone.face_diameter - state.measured
        hidden = self.hide_answers
        for line, kind in ((self.roughing, "roughing"), (self.finishing, "finishing")):
            places = [c.face_diameter for c in state.cuts if c.kind == kind and not hidden]
            share = (np.array(places) - state.measured) / whole if places else np.zeros(0)
            x = LADDER_LEFT + (LADDER_RIGHT - LADDER_LEFT) * share
            gap = np.full_like(x, np.nan)
            line.set_data(
                np.column_stack([x, x, gap]).ravel(),
                np.column_stack(
                    [np.full_like(x, LADDER_Y - 0.2), np.full_like(x, LADDER_Y + 0.2), gap]
                ).ravel(),
            )
        now = state.change / whole if whole > 0 and not hidden else 0.0
        left = LADDER_LEFT + (LADDER_RIGHT - LADDER_LEFT) * min(max(now, -0.12), 1.08)
        y = LADDER_Y + 0.24
        self.pointer.set_xy([(left, y), (left + 0.16, y + 0.32), (left - 0.16, y + 0.32)])
        kinds = [cut.kind for cut in state.cuts]
        told = (
            f"cuts: {kinds.count('roughing')} roughing, {kinds.count('finishing')} finishing"
            if kinds
            else "nothing left to take off"
        )
        words = "how many cuts?" if hidden else told
        self.put(self.cuts_words, words, (LADDER_LEFT + LADDER_RIGHT) / 2, LADDER_Y + 0.75, 0.5, 0)

    def _say(self, state: OpeningState) -> None:
        unit, hidden = state.lathe.unit, self.hide_answers
        moved = f"{_SHORT[state.means]} {length_text(state.movement, unit)}"
        self.put(self.moved_words, moved, 9.9, 8.85, 1, 1)
        dial = state.lathe.cross_dial
        what = "diameter" if dial.reads == "diameter" else "slide movement"
        reading = 0.0 if hidden else state.cross_reading
        self.dial.move(dial, reading, f"cross dial: {what}")
        told = "?" if hidden else length_text(reading, unit)
        self.put(self.reading_words, f"reads {told}", DIAL_X, DIAL_Y - 0.74, 0.5, 1)
        now = "?" if hidden else length_text(state.diameter, unit)
        self.put(self.diameter_words, f"face {now}", DIAL_X, 4.7, 0.5, 0)
        if state.left > 0:
            told = f"still to take: {length_text(state.left, unit)}"
        else:
            told = f"too large by {length_text(-state.left, unit)}" if state.left else "at size"
        self.put(self.left_words, "still to take: ?" if hidden else told, DIAL_X, 4.0, 0.5, 0)


def _below(corner: NDArray[np.float64], half_angle: Angle) -> NDArray[np.float64]:
    """Outline of the part inside the picture: under its wall, left of its face."""
    (x, y), (end_x, end_y) = wall_from(corner, half_angle)
    return np.array([[x, BOTTOM], [x, y], [end_x, end_y], [LEFT, end_y], [LEFT, BOTTOM]])
