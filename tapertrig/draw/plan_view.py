"""The lathe from above: cone, axis, quill, swung compound; and the setup triangle to scale."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tapertrig.angle import Angle
from tapertrig.draw.machine import Compound, Quill
from tapertrig.draw.picture import Scene

AXIS_Y = 6.0
FACE_X = 3.7
PART_DEPTH = 1.7
QUILL_LEFT, QUILL_RIGHT, QUILL_HALF = 5.55, 9.3, 0.5
PIVOT = np.array([7.1, 2.75])
SLIDE_LENGTH, SLIDE_WIDTH = 4.3, 0.9
BASE_RADIUS = 1.35
TRIANGLE_CORNER_X, TRIANGLE_RUN = 15.35, 4.9


@dataclass(frozen=True)
class PlanViewState:
    """What the picture shows; the words are those beside the three sides of the triangle."""

    half_angle: Angle
    base_reading: Angle
    internal: bool
    compound_words: str
    cross_words: str
    axial_words: str


def slide_direction(half_angle: Angle, internal: bool) -> NDArray[np.float64]:
    """Unit vector along the slide towards the headstock, operator's side at the bottom."""
    up = 1.0 if internal else -1.0
    return np.array([-math.cos(half_angle.radians), up * math.sin(half_angle.radians)])


def triangle_corners(half_angle: Angle, internal: bool) -> NDArray[np.float64]:
    """Start, end of the compound travel, foot of the cross travel: board units, (3, 2)."""
    low = 2.0 if internal else 2.0 + TRIANGLE_RUN
    start = np.array([TRIANGLE_CORNER_X, low])
    end = start + TRIANGLE_RUN * slide_direction(half_angle, internal)
    return np.array([start, end, [end[0], low]])


def _box(x0: float, y0: float, x1: float, y1: float) -> list[tuple[float, float]]:
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]


class PlanViewScene(Scene):
    """Plan view of the setup with the swing from parallel, and its triangle."""

    kind = "plan view"

    def build(self) -> None:
        self.area(
            "metal", _box(-0.1, AXIS_Y - 1.7, 1.0, AXIS_Y + 1.7), moving=False, clear=True, zorder=1
        )
        self.area("metal", _box(1.0, AXIS_Y - 1.35, 2.0, AXIS_Y + 1.35), moving=False, clear=True)
        self.wall_far = self.area("brass", clear=True)
        self.wall_near = self.area("brass", clear=True)
        self.line("axis", [0.1, 10.3], [AXIS_Y, AXIS_Y], weight=0.6, moving=False)
        Quill(self, QUILL_LEFT, QUILL_RIGHT, AXIS_Y, QUILL_HALF)
        turn = np.linspace(0, 2 * np.pi, 60)
        self.area(
            "metal",
            np.column_stack(
                [PIVOT[0] + BASE_RADIUS * np.cos(turn), PIVOT[1] + BASE_RADIUS * np.sin(turn)]
            ),
            moving=False,
        )
        self.line(
            "guide", [PIVOT[0] - 2.5, PIVOT[0] + 1.0], [PIVOT[1]] * 2, weight=0.7, moving=False
        )
        self.compound_body = Compound(self, SLIDE_WIDTH)
        self.slide_line = self.line("compound", weight=1.6, zorder=6)
        self.arc = self.line("angle", weight=1.3, zorder=6)
        self.arrow = self.area("angle", edge=None, zorder=7, clear=True)
        self.axial = self.line("axial", weight=1.8)
        self.cross = self.line("cross", weight=1.8)
        self.compound = self.line("compound", weight=2.0, zorder=6)
        self.square = self.line("guide", weight=0.6, linestyle="solid")
        self.corner_arc = self.line("angle", weight=1.1)
        self.base_words = self.label(role="angle", bold=True, leader=True)
        self.corner_words = self.label(role="angle", bold=True, leader=True)
        self.compound_words = self.label(role="compound", bold=True, leader=True)
        self.cross_words = self.label(role="cross", bold=True, leader=True)
        self.axial_words = self.label(role="axial", bold=True, leader=True)
        for words, x, y, across in (
            ("headstock", 0.1, AXIS_Y + 1.76, 0),
            ("part", FACE_X - 0.1, AXIS_Y + 1.4, 0.5),
            ("quill", QUILL_RIGHT - 0.1, AXIS_Y + QUILL_HALF + 0.06, 1),
            ("spindle axis", 3.85, AXIS_Y + 0.62, 0),
            ("operator's side", 0.2, 0.15, 0),
        ):
            self.caption(words, x, y, across, 0)

    def move(self, state: PlanViewState) -> None:
        self._move_part(state)
        self._move_slide(state)
        self._move_triangle(state)
        self.place_labels()

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
        words = f"base reads {state.base_reading.brief()}"
        middle_of_arc = (
            PIVOT[0] - radius * math.cos(alpha / 2),
            PIVOT[1] + up * radius * math.sin(alpha / 2),
        )
        self.say(self.base_words, words, *middle_of_arc, 180 - up * math.degrees(alpha) / 2)

    def _point_arrow(self, radius: float, alpha: float, up: float) -> None:
        length, width = 0.32, 0.15
        back = max(0.0, alpha - length / radius)
        tip = PIVOT + radius * np.array([-math.cos(alpha), up * math.sin(alpha)])
        root = np.array([-math.cos(back), up * math.sin(back)])
        self.arrow.set_xy([tip, PIVOT + root * (radius + width), PIVOT + root * (radius - width)])

    def _move_triangle(self, state: PlanViewState) -> None:
        start, end, foot = corners = triangle_corners(state.half_angle, state.internal)
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
        radius = 1.5
        turn = np.linspace(0, alpha, 24)
        self.corner_arc.set_data(
            start[0] - radius * np.cos(turn), start[1] + up * radius * np.sin(turn)
        )
        self.say(
            self.corner_words,
            f"α {state.half_angle.brief()}",
            start[0] - radius * math.cos(alpha / 2),
            start[1] + up * radius * math.sin(alpha / 2),
            180 - up * math.degrees(alpha) / 2,
        )
        degrees = up * state.half_angle.degrees
        self.say(self.compound_words, state.compound_words, *((start + end) / 2), up * 90 - degrees)
        self.say(self.cross_words, state.cross_words, *((end + foot) / 2), 180)
        self.say(self.axial_words, state.axial_words, *((foot + start) / 2), -up * 90)
