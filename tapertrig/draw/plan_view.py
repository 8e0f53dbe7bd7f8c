"""The lathe from above: cone, axis, quill, swung compound; and the setup triangle to scale."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tapertrig.angle import Angle
from tapertrig.draw.parts.label import Wish
from tapertrig.draw.parts.machine import Compound, Quill
from tapertrig.draw.parts.scene import Scene, box

AXIS_Y = 6.0
FACE_X = 3.7
PART_DEPTH = 1.7
QUILL_LEFT, QUILL_RIGHT, QUILL_HALF = 5.55, 8.9, 0.5
PIVOT = np.array([7.1, 2.75])
SLIDE_LENGTH, SLIDE_WIDTH = 4.3, 0.9
BASE_RADIUS = 1.35
TRIANGLE_CORNER_X, TRIANGLE_RUN = 15.55, 3.8
# The axial side's height for an internal and for an external cone, and the steepest half angle
# that leaves its words room below that side.
AXIAL_Y, AXIAL_Y_EXTERNAL, SHALLOW = 2.6, 7.8, math.radians(40)
WORDS_LEFT, WORDS_RIGHT, GAP, LINE = 9.95, 15.9, 0.14, 0.5


@dataclass(frozen=True)
class PlanViewState:
    """What the picture shows; the words are those beside the three sides of the triangle.

    The base reads the half angle, counted from the bed, or with `square_zero` what is left of
    90°, counted from square to it; `base_reading` is None while nobody has said which.
    """

    half_angle: Angle
    base_reading: Angle | None
    internal: bool
    compound_words: str
    cross_words: str
    axial_words: str
    square_zero: bool = False


def slide_direction(half_angle: Angle, internal: bool) -> NDArray[np.float64]:
    """Unit vector along the slide towards the headstock, operator's side at the bottom."""
    up = 1.0 if internal else -1.0
    return np.array([-math.cos(half_angle.radians), up * math.sin(half_angle.radians)])


def triangle_corners(half_angle: Angle, internal: bool) -> NDArray[np.float64]:
    """Start, end of the compound travel, foot of the cross travel: board units, (3, 2)."""
    level = AXIAL_Y if internal else AXIAL_Y_EXTERNAL
    start = np.array([TRIANGLE_CORNER_X, level])
    end = start + TRIANGLE_RUN * slide_direction(half_angle, internal)
    return np.array([start, end, [end[0], level]])


class PlanViewScene(Scene):
    """Plan view of the setup with the swing from parallel, and its triangle."""

    def build(self) -> None:
        self.area(
            "metal", box(-0.1, AXIS_Y - 1.7, 1.0, AXIS_Y + 1.7), moving=False, clear=True, zorder=1
        )
        self.area("metal", box(1.0, AXIS_Y - 1.35, 2.0, AXIS_Y + 1.35), moving=False, clear=True)
        self.wall_far = self.area("brass", clear=True)
        self.wall_near = self.area("brass", clear=True)
        self.line("axis", [0.1, 9.9], [AXIS_Y, AXIS_Y], weight=0.6, moving=False)
        Quill(self, QUILL_LEFT, QUILL_RIGHT, AXIS_Y, QUILL_HALF)
        turn = np.linspace(0, 2 * np.pi, 60)
        self.area(
            "metal",
            np.column_stack(
                [PIVOT[0] + BASE_RADIUS * np.cos(turn), PIVOT[1] + BASE_RADIUS * np.sin(turn)]
            ),
            moving=False,
            clear=True,
        )
        self.line(
            "guide", [PIVOT[0] - 2.5, PIVOT[0] + 1.0], [PIVOT[1]] * 2, weight=0.7, moving=False
        )
        self.compound_body = Compound(self, SLIDE_WIDTH)
        self.obstacles.append(self.compound_body.crank)
        self.slide_line = self.line("compound", weight=1.6, zorder=6)
        self.arc = self.line("angle", weight=1.3, zorder=6)
        self.arrow = self.area("angle", edge=None, zorder=7, clear=True)
        self.axial = self.line("axial", weight=1.8)
        self.cross = self.line("cross", weight=1.8)
        self.compound = self.line("compound", weight=2.0, zorder=6)
        self.square = self.line("guide", weight=0.6, linestyle="solid")
        self.corner_arc = self.line("angle", weight=1.1)
        self.base_words = self.label(role="angle", bold=True, leader=True)
        self.zero_line = self.line("guide", weight=0.7)
        self.square_arc = self.line("angle", weight=1.0, linestyle="dotted", zorder=6)
        self.square_words = self.label(role="angle", leader=True)
        self.corner_words = self.label(role="angle", bold=True, free=False)
        self.corner_leader = self.line("angle", weight=0.45, clear=False, zorder=4)
        self.compound_words = self.label(role="compound", bold=True, free=False)
        self.cross_words = [self.label(role="cross", bold=True, free=False) for _ in range(2)]
        self.axial_words = self.label(role="axial", bold=True, free=False)
        self.part_words = self.label(size="small", free=False)
        for words, x, y, across in (
            ("headstock", 0.1, AXIS_Y + 1.76, 0),
            ("quill", QUILL_RIGHT - 0.1, AXIS_Y + QUILL_HALF + 0.06, 1),
            ("spindle axis", 3.85, AXIS_Y + 0.62, 0),
            ("operator's side", 0.2, 0.15, 0),
        ):
            self.caption(words, x, y, across, 0)

    def move(self, state: PlanViewState) -> None:
        self._move_part(state)
        self._move_slide(state)
        self._move_triangle(state)

    def _move_part(self, state: PlanViewState) -> None:
        slope = math.tan(state.half_angle.radians)
        left = FACE_X - PART_DEPTH
        if state.internal:
            mouth = 0.95
            depth = min(PART_DEPTH, (mouth - 0.12) / slope)
            inner, outer = mouth - depth * slope, 1.3
            profile = [
                (left, inner),
                (FACE_X - depth, inner),
                (FACE_X, mouth),
                (FACE_X, outer),
                (left, outer),
            ]
        else:
            end = 0.4
            depth = min(PART_DEPTH, (1.3 - end) / slope)
            profile = [
                (left, 0.0),
                (FACE_X, 0.0),
                (FACE_X, end),
                (FACE_X - depth, end + depth * slope),
                (left, end + depth * slope),
            ]
        corners = np.array(profile)
        self.wall_far.set_xy(corners + [0, AXIS_Y])
        self.wall_near.set_xy(corners * [1, -1] + [0, AXIS_Y])
        self.put(self.part_words, "part", left + 0.75, AXIS_Y + corners[:, 1].max() + 0.1, 0.5, 0)

    def _move_slide(self, state: PlanViewState) -> None:
        along = slide_direction(state.half_angle, state.internal)
        head, handle = PIVOT + along * SLIDE_LENGTH / 2, PIVOT - along * SLIDE_LENGTH / 2
        tip = np.array([PIVOT[0], AXIS_Y - QUILL_HALF])
        self.compound_body.move(head, handle, PIVOT, tip)
        self.slide_line.set_data(*np.array([handle, head]).T)
        alpha = state.half_angle.radians
        up = 1.0 if state.internal else -1.0
        radius = 2.35
        turn = np.linspace(0, alpha, 30)
        self.arc.set_data(PIVOT[0] - radius * np.cos(turn), PIVOT[1] + up * radius * np.sin(turn))
        self._point_arrow(radius, alpha, up)
        reads = "" if state.base_reading is None else f"base reads {state.base_reading.brief()}"
        words = (
            f"half angle {state.half_angle.brief()}" if state.square_zero or not reads else reads
        )
        self._name_arc(self.base_words, words, radius, alpha / 2, up)
        self._move_square(reads if state.square_zero else "", alpha, up)

    def _name_arc(self, wish: Wish, words: str, radius: float, middle: float, up: float) -> None:
        x, y = PIVOT[0] - radius * math.cos(middle), PIVOT[1] + up * radius * math.sin(middle)
        self.say(wish, words, x, y, 180 - up * math.degrees(middle))

    def _move_square(self, words: str, alpha: float, up: float) -> None:
        """What a base whose zero is square to the bed reads: an arc of its own, from its zero."""
        radius = 1.75
        turn = np.linspace(math.pi / 2, alpha, 30 if words else 0)
        self.square_arc.set_data(
            PIVOT[0] - radius * np.cos(turn), PIVOT[1] + up * radius * np.sin(turn)
        )
        self.zero_line.set_data([PIVOT[0]] * 2, [PIVOT[1], PIVOT[1] + up * 2.1 * bool(words)])
        self._name_arc(self.square_words, words, radius, (math.pi / 2 + alpha) / 2, up)

    def _point_arrow(self, radius: float, alpha: float, up: float) -> None:
        length, width = 0.32, 0.15
        back = max(0.0, alpha - length / radius)
        tip = PIVOT + radius * np.array([-math.cos(alpha), up * math.sin(alpha)])
        root = np.array([-math.cos(back), up * math.sin(back)])
        self.arrow.set_xy([tip, PIVOT + root * (radius + width), PIVOT + root * (radius - width)])

    def _move_triangle(self, state: PlanViewState) -> None:
        start, _end, foot = corners = triangle_corners(state.half_angle, state.internal)
        alpha = state.half_angle.radians
        up = 1.0 if state.internal else -1.0
        self.compound.set_data(*corners[[0, 1]].T)
        self.cross.set_data(*corners[[1, 2]].T)
        self.axial.set_data(*corners[[2, 0]].T)
        shorter = TRIANGLE_RUN * min(math.sin(alpha), math.cos(alpha))
        size = min(0.3, 0.4 * shorter)
        self.square.set_data(
            [foot[0] + size, foot[0] + size, foot[0]],
            [foot[1], foot[1] + up * size, foot[1] + up * size],
        )
        self.radius = min(1.2, max(0.3, 0.7 * TRIANGLE_RUN * math.cos(alpha)))
        turn = np.linspace(0, alpha, 24)
        self.corner_arc.set_data(
            start[0] - self.radius * np.cos(turn), start[1] + up * self.radius * np.sin(turn)
        )
        self._name_sides(state, corners, up)

    def _name_sides(self, state: PlanViewState, corners: NDArray, up: float) -> None:
        """The words of the triangle, each beside its side and clear of the machine."""
        _start, end, foot = corners
        under = 1.0 if up > 0 else 0.0  # the part of a label that touches the side it names
        # Beside the middle of its side, but not below the axial side, where other words stand.
        middle = foot[1] + up * max(LINE, float(abs(end[1] - foot[1])) / 2)
        name, length = state.cross_words.split(" ", 1)
        for wish, words, rise in zip(self.cross_words, (name, length), (0.0, 1.0), strict=True):
            self.put(wish, words, foot[0] - 0.25, middle, 1, rise)
        wide = self._wide(self.compound_words, state.compound_words)
        left = min(max(WORDS_LEFT, float(end[0]) - GAP), WORDS_RIGHT - wide)
        self.put(self.compound_words, state.compound_words, left, end[1] + up * 0.2, 0, 1 - under)
        self._name_corner(state, corners, up, under)

    def _name_corner(self, state: PlanViewState, corners: NDArray, up: float, under: float) -> None:
        start, _end, foot = corners
        alpha = state.half_angle.radians
        row = start[1] - up * GAP
        arc = start[0] - self.radius * math.cos(alpha / 2)
        level = start[1] + up * self.radius * math.sin(alpha / 2)
        told = f"α {state.half_angle.brief()}"
        axial = self._wide(self.axial_words, state.axial_words)
        if alpha > SHALLOW:
            # The triangle is narrow: the angle is named from the left, through the cross side.
            self.put(self.corner_words, told, foot[0] - 0.25, row + up * 2 * GAP, 1, 1 - under)
            leader = ((foot[0] - 0.2, level), (arc, level))
            left = min(float(foot[0]), WORDS_RIGHT - axial)
        else:
            self.put(self.corner_words, told, WORDS_RIGHT, row - up * LINE, 1, under)
            leader = ((arc, row - up * LINE), (arc, level))
            left = min(float(foot[0]), arc - GAP - axial)
        self.put(self.axial_words, state.axial_words, left, row, 0, under)
        self.corner_leader.set_data(*np.array(leader).T)

    def _wide(self, wish: Wish, words: str) -> float:
        """Width of a label's words in board units."""
        wish.label.set_text(words)
        return wish.label.width / self.pixels_per_unit
