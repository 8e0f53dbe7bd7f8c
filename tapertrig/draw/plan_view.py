"""The lathe from above: cone, axis, quill, swung compound; and the setup triangle to scale."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tapertrig.angle import Angle
from tapertrig.draw.parts.label import Wish
from tapertrig.draw.parts.machine import (
    CHUCK,
    HEADSTOCK,
    POST_AHEAD,
    QUILL_RADIUS,
    Body,
    Carriage,
    Part,
    Quill,
    part_profile,
)
from tapertrig.draw.parts.scene import Scene

SIZE = 0.54  # board units for an inch of the lathe drawn
AXIS_Y, CHUCK_X, FACE_X, NOSE_X, TAILSTOCK_X, BED_END_X = 6.9, 2.6, 3.95, 5.0, 8.75, 15.2
PART_DEPTH, OUTER, MOUTH, SMALL_END = 1.35, 0.85, 0.62, 0.26
PIVOT = np.array([6.8, 3.9])
QUILL_HALF = QUILL_RADIUS * SIZE
ARC, SQUARE_ARC = 2.2, 1.6
TRIANGLE_CORNER_X, TRIANGLE_RUN = 15.1, 3.4
# The axial side's height for an internal and for an external cone. The latter hangs down: a shallow
# one stands lower, so that its words have room beneath the tailstock.
AXIAL_Y, AXIAL_Y_EXTERNAL, SHALLOW = 0.75, 3.75, 1.0


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
    hangs = AXIAL_Y_EXTERNAL - SHALLOW * (1 - math.sin(half_angle.radians))
    level = AXIAL_Y if internal else hangs
    start = np.array([TRIANGLE_CORNER_X, level])
    end = start + TRIANGLE_RUN * slide_direction(half_angle, internal)
    return np.array([start, end, [end[0], level]])


class PlanViewScene(Scene):
    """Plan view of the setup with the swing from parallel, and its triangle."""

    def build(self) -> None:
        for outline in (HEADSTOCK, CHUCK):
            Body(self, outline, 1, moving=False, named=True).put((CHUCK_X, AXIS_Y), SIZE)
        self.carriage = Carriage(self, SIZE, AXIS_Y, BED_END_X, whole=True)
        self.part = Part(self, named=True)
        Quill(self, named=True).move(NOSE_X, TAILSTOCK_X, AXIS_Y, QUILL_HALF)
        self.line("axis", [0.1, 9.9], [AXIS_Y, AXIS_Y], weight=0.6)
        self.parallel = self.line("guide", [PIVOT[0] - ARC - 0.2, PIVOT[0]], [PIVOT[1]] * 2)
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
        self.square_arc = self.line("angle", weight=1.0, linestyle=(0, (1, 1.65)), zorder=6)
        self.square_words = self.label(role="angle", leader=True)
        self.corner_words = self.label(role="angle", bold=True, leader=True)
        self.compound_words = self.label(role="compound", bold=True, leader=True)
        self.cross_words = self.label(role="cross", bold=True, leader=True)
        self.axial_words = self.label(role="axial", bold=True, leader=True)
        self.caption("operator's side", 0.2, 0.15, 0, 0)

    def move(self, state: PlanViewState) -> None:
        self._move_part(state)
        self._move_slide(state)
        self._move_triangle(state)

    def _move_part(self, state: PlanViewState) -> None:
        profile = part_profile(
            state.half_angle, state.internal, PART_DEPTH, OUTER, MOUTH, SMALL_END
        )
        self.part.move(profile, (FACE_X, AXIS_Y), CHUCK_X, SIZE)

    def _move_slide(self, state: PlanViewState) -> None:
        along = -slide_direction(state.half_angle, state.internal)
        post = PIVOT - POST_AHEAD * SIZE * along
        tip = np.array([post[0], AXIS_Y - QUILL_HALF])
        self.carriage.move(PIVOT, post, along, tip)
        head, handle = PIVOT - 3 * SIZE * along, PIVOT + 3 * SIZE * along
        self.slide_line.set_data(*np.array([handle, head]).T)
        alpha = state.half_angle.radians
        up = 1.0 if state.internal else -1.0
        radius = ARC
        turn = np.linspace(0, alpha, 16)
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
        self.say(wish, words, x, y, 200)

    def _move_square(self, words: str, alpha: float, up: float) -> None:
        """What a base whose zero is square to the bed reads: an arc of its own, from its zero."""
        radius = SQUARE_ARC
        turn = np.linspace(math.pi / 2, alpha, 16 if words else 0)
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
        turn = np.linspace(0, alpha, 12)
        self.corner_arc.set_data(
            start[0] - self.radius * np.cos(turn), start[1] + up * self.radius * np.sin(turn)
        )
        middle = corners.mean(axis=0)
        for wish, words, ends in (
            (self.compound_words, state.compound_words, (0, 1)),
            (self.cross_words, state.cross_words, (1, 2)),
            (self.axial_words, state.axial_words, (2, 0)),
        ):
            x, y = corners[list(ends)].mean(axis=0)
            outward = math.degrees(math.atan2(y - middle[1], x - middle[0]))
            self.say(wish, words, x, y, outward)
        self.say(
            self.corner_words,
            f"α {state.half_angle.brief()}",
            start[0] - self.radius * math.cos(alpha / 2),
            start[1] + up * self.radius * math.sin(alpha / 2),
            90 - up * 90,
        )
