"""An angle in all its forms: drawn as the angle and as the cone, written in a table."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tapertrig.angle import Angle
from tapertrig.cone import Cone
from tapertrig.draw.parts.scene import Scene

MIDDLE_Y = 6.45
HALF_HEIGHT = 2.1
CORNER_X, LONGEST_RAY = 0.6, 6.4
POINT_X, LONGEST_CONE = 8.3, 4.2
# Parts of the ray at which the two angles are marked.
HALF_MARK, WHOLE_MARK, CONE_MARK = 0.5, 0.8, 0.7
ROOM_INSIDE = math.radians(24)
ROW_HEADS_X, INCLUDED_X, HALF_X, TAPER_X = 0.3, 6.2, 9.9, 15.7
HEAD_Y, ROWS_Y = 2.75, (2.05, 1.25, 0.45)


@dataclass(frozen=True)
class AngleFormsState:
    """What the picture shows: an included angle, and the unit of its taper."""

    included_angle: Angle
    unit: str = "in"

    @property
    def half_angle(self) -> Angle:
        """Half of the included angle, exactly."""
        return self.included_angle.half()

    @property
    def cone(self) -> Cone:
        """The cone of that angle, one unit of length across."""
        return Cone.from_included(self.included_angle, 1.0)


def angle_in_forms(angle: Angle) -> tuple[str, str, str]:
    """An angle as degrees-minutes-seconds, decimal degrees and radians, as text."""
    return angle.brief(), f"{angle.degrees:.5f}°", f"{angle.radians:.6f} rad"


def taper_in_forms(cone: Cone, unit: str) -> tuple[str, str, str]:
    """A taper as ratio, percent, and on the length a shop of that unit speaks of, as text."""
    by_length = (
        f"{cone.taper_per_foot:.4f} in per foot"
        if unit == "in"
        else f"{100 * cone.taper:.2f} mm per 100 mm"
    )
    return f"1:{cone.ratio:.4f}", f"{100 * cone.taper:.3f} %", by_length


def angle_corners(state: AngleFormsState) -> NDArray[np.float64]:
    """End of the upper side, the corner, end of the lower side: board units, shape (3, 2)."""
    alpha = state.half_angle.radians
    ray = min(LONGEST_RAY, HALF_HEIGHT / math.sin(alpha))
    corner = np.array([CORNER_X, MIDDLE_Y])
    across, up = ray * math.cos(alpha), ray * math.sin(alpha)
    return np.array([corner + [across, up], corner, corner + [across, -up]])


def cone_corners(state: AngleFormsState) -> NDArray[np.float64]:
    """Point of the cone, upper and lower end of its face: board units, shape (3, 2)."""
    taper = state.cone.taper
    length = min(LONGEST_CONE, 2 * HALF_HEIGHT / taper)
    point = np.array([POINT_X, MIDDLE_Y])
    return np.array(
        [point, point + [length, length * taper / 2], point + [length, -length * taper / 2]]
    )


def _arc(centre: NDArray[np.float64], radius: float, start: float, end: float) -> NDArray:
    turn = np.linspace(start, end, 17)
    return centre + radius * np.column_stack([np.cos(turn), np.sin(turn)])


class AngleFormsScene(Scene):
    """Left the angle, right the cone 1 in diameter and x in length, below the table."""

    def build(self) -> None:
        self.axis = self.line("axis", weight=0.6)
        self.cone_axis = self.line("axis", weight=0.6)
        self.half = self.area("band", edge=None, zorder=1)
        self.sides = self.line("ink", weight=1.4)
        self.half_arc = self.line("angle", weight=1.3)
        self.whole_arc = self.line("angle", weight=1.3)
        self.cone = self.area("brass", edge="ink", weight=1.0, clear=True, zorder=3)
        self.cone_arc = self.line("angle", weight=1.3)
        self.sizes = self.line("guide", weight=0.6, linestyle="solid")
        self.whole_words = self.label(role="angle", bold=True, leader=True)
        self.half_words = self.label(role="angle", bold=True, leader=True)
        self.wall_words = self.label(role="angle", bold=True, leader=True)
        self.diameter_words = self.label(free=False)
        self.length_words = self.label(free=False)
        self._build_table()

    def _build_table(self) -> None:
        # Large words in a small picture: a unit says what its row is.
        spare, heads = self.style.spare, ("deg min sec", "decimal", "radians")
        lower = 0.75 if spare else 0.0
        self.rows = (0.9, -0.05, -1.0) if spare else ROWS_Y
        self.columns = (4.9, 9.4, TAPER_X) if spare else (INCLUDED_X, HALF_X, TAPER_X)
        included = "included 2α" if spare else "included angle 2α"
        for words, x in zip((included, "half angle α", "taper"), self.columns, strict=True):
            self.caption(words, x, HEAD_Y - lower, 1, 0)
        for words, y in zip(() if spare else heads, () if spare else self.rows, strict=True):
            self.caption(words, ROW_HEADS_X, y, 0, 0)
        ends = [ROW_HEADS_X, TAPER_X]
        for y in (HEAD_Y - lower - 0.06, HEAD_Y - lower + 0.75 if spare else HEAD_Y + 0.6):
            self.line("guide", ends, [y, y], weight=0.4, linestyle="solid", moving=False)
        self.cells = [[self.label(free=False) for _ in ROWS_Y] for _column in range(3)]

    def move(self, state: AngleFormsState) -> None:
        self._move_angle(state)
        self._move_cone(state)
        self._write_table(state)

    def _move_angle(self, state: AngleFormsState) -> None:
        alpha = state.half_angle.radians
        upper, corner, _lower = corners = angle_corners(state)
        ray = float(np.linalg.norm(upper - corner))
        self.sides.set_data(*corners.T)
        self.axis.set_data([corner[0] - 0.3, corner[0] + ray + 0.35], [MIDDLE_Y, MIDDLE_Y])
        half = _arc(corner, HALF_MARK * ray, 0, alpha)
        whole = _arc(corner, WHOLE_MARK * ray, -alpha, alpha)
        self.half.set_xy(np.vstack([corner, half]))
        self.half_arc.set_data(*half.T)
        self.whole_arc.set_data(*whole.T)
        half_told = "α ?" if self.hide_answers else f"α {state.half_angle.brief()}"
        self.say_at(
            self.whole_words,
            f"2α {state.included_angle.brief()}",
            whole[4],
            -math.degrees(alpha / 2),
        )
        self.say_at(self.half_words, half_told, half[8], self._beside_half(alpha))

    @staticmethod
    def _beside_half(alpha: float) -> float:
        # A narrow half angle has no room inside, and below the axis the words would be wrong.
        return math.degrees(alpha / 2) if alpha > ROOM_INSIDE else 90.0

    def _move_cone(self, state: AngleFormsState) -> None:
        alpha = state.half_angle.radians
        point, upper, lower = corners = cone_corners(state)
        self.cone.set_xy(corners)
        self.cone_axis.set_data([point[0] - 0.5, upper[0] + 0.3], [MIDDLE_Y, MIDDLE_Y])
        arc = _arc(point, CONE_MARK * (upper[0] - point[0]), 0, alpha)
        self.cone_arc.set_data(*arc.T)
        right, below, tick = upper[0] + 0.45, lower[1] - 0.28, 0.12
        gap = (np.nan, np.nan)
        self.sizes.set_data(
            *np.array(
                [
                    (right - tick, upper[1]),
                    (right + tick, upper[1]),
                    gap,
                    (right, upper[1]),
                    (right, lower[1]),
                    gap,
                    (right - tick, lower[1]),
                    (right + tick, lower[1]),
                    gap,
                    (point[0], below - tick),
                    (point[0], below + tick),
                    gap,
                    (point[0], below),
                    (upper[0], below),
                    gap,
                    (upper[0], below - tick),
                    (upper[0], below + tick),
                ]
            ).T
        )
        self.say_at(self.wall_words, "α wall to axis", arc[11], 100)
        self.put(self.diameter_words, "diameter 1", right + 0.2, MIDDLE_Y, 0, 0.5)
        length = "length ?" if self.hide_answers else f"length {state.cone.ratio:.4f}"
        self.put(self.length_words, length, (point[0] + upper[0]) / 2, below - 0.16, 0.5, 1)

    def _write_table(self, state: AngleFormsState) -> None:
        columns = (
            angle_in_forms(state.included_angle),
            angle_in_forms(state.half_angle),
            taper_in_forms(state.cone, state.unit),
        )
        for column, (cells, forms, x) in enumerate(
            zip(self.cells, columns, self.columns, strict=True)
        ):
            for row, (cell, form, y) in enumerate(zip(cells, forms, self.rows, strict=True)):
                given = column == 0 and row == 0
                self.put(cell, "?" if self.hide_answers and not given else form, x, y, 1, 0)
