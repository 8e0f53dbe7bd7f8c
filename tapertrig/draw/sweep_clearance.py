"""What the swung compound covers on its way, from above, with chuck and quill."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from matplotlib.lines import Line2D
from numpy.typing import NDArray

from tapertrig.angle import Angle
from tapertrig.boring import SlideLayout, Sweep, sweep
from tapertrig.draw.parts.label import Wish
from tapertrig.draw.parts.machine import BASE, CHUCK, CHUCK_RADIUS, CRANK, TAILSTOCK, Body
from tapertrig.draw.parts.scene import BOARD_WIDTH, Scene
from tapertrig.lathe import length_text, places_written

CHUCK_FACE_X, AXIS_Y = 4.0, 5.3
SIZE = 0.56  # board units for an inch of the lathe drawn
UNITS_PER = {"in": SIZE, "mm": SIZE / 25.4}


@dataclass(frozen=True)
class SweepState:
    """Where chuck, quill and slide are, how the slide is swung and run, and the margin wanted."""

    layout: SlideLayout
    half_angle: Angle
    compound_travel: float
    internal: bool
    margin: float
    unit: str

    @cached_property
    def sweep(self) -> Sweep:
        """Outlines and least distances."""
        return sweep(self.layout, self.half_angle, self.compound_travel, self.internal)

    @property
    def verdict(self) -> str:
        """Whether the drawing clears."""
        least = min(self.sweep.to_chuck, self.sweep.to_quill)
        if least <= 0:
            return "it strikes"
        return "clears in this drawing" if self.sweep.clears(self.margin) else "too close"


def on_board(points: NDArray[np.float64], unit: str) -> NDArray[np.float64]:
    """Axial and cross positions as board points: the operator's side is down."""
    return np.array([CHUCK_FACE_X, AXIS_Y]) + UNITS_PER[unit] * np.asarray(points) * [1, -1]


def nearest_points(one: NDArray[np.float64], other: NDArray[np.float64]) -> NDArray[np.float64]:
    """The two points, one of each outline (n × 2), that lie nearest each other, shape (2, 2).

    For outlines that do not overlap; they are then a corner and a point of an edge.
    """
    pairs = []
    for corners, shape, swapped in ((one, other, False), (other, one, True)):
        edges = np.roll(shape, -1, 0) - shape
        offset = corners[:, None] - shape[None]
        part = np.clip((offset * edges).sum(-1) / (edges * edges).sum(-1), 0, 1)
        foot = shape[None] + part[..., None] * edges
        distance = np.linalg.norm(corners[:, None] - foot, axis=-1)
        corner, edge = np.unravel_index(int(distance.argmin()), distance.shape)
        pair = np.array([corners[corner], foot[corner, edge]])
        pairs.append((float(distance[corner, edge]), pair[::-1] if swapped else pair))
    return min(pairs, key=lambda found: found[0])[1]


class SweepClearanceScene(Scene):
    """Plan view of the sweep, with the least distances.

    Chuck, quill and slide are as large as they were given, and measured; what else there is of
    the lathe only shows whose they are.
    """

    def build(self) -> None:
        self.chuck = self.area("metal", clear=True, zorder=2)
        self.chuck_body = Body(self, CHUCK, 2, named=True)
        self.quill = self.area("metal", clear=True, zorder=2)
        self.tailstock = Body(self, TAILSTOCK, 1.9, named=True, right=BOARD_WIDTH)
        self.base = Body(self, BASE, 2.5, named=True)
        self.crank = Body(self, CRANK, 4)
        self.line("axis", [0.2, 15.8], [AXIS_Y, AXIS_Y], weight=0.6, zorder=4)
        self.covered = self.area("band", edge="axial", weight=0.8, clear=True, zorder=3)
        self.slide = self.area("brass", clear=True, zorder=4)
        self.centre = self.line("compound", weight=1.2, zorder=6)
        self.parallel = self.line("guide", weight=0.6, zorder=5)
        self.pivot = self.line(
            "ink", marker="o", markersize=5 * self.style.scale, linestyle="none", zorder=7
        )
        self.arc = self.line("angle", weight=1.1, zorder=6)
        self.to_chuck = self.line("cross", weight=1.6, zorder=8, linestyle="solid")
        self.to_quill = self.line("axial", weight=1.6, zorder=8, linestyle="solid")
        # The angle first: what is placed later leads its thin line round it.
        self.angle_words = self.label(role="angle", bold=True, leader=True)
        self.chuck_words = self.label(role="cross", bold=True, leader=True)
        self.quill_words = self.label(role="axial", bold=True, leader=True)
        self.verdict_words = self.label(bold=True, free=False)
        self.quill_name, self.slide_name = self.name(), self.name(1)
        self.caption("check it by hand, power off", 15.8, 8.8, 1, 1)
        self.caption("operator's side", 15.8, 0.15, 1, 0)
        self.covered_words = self.label(size="small", role="axial", free=False)

    def move(self, state: SweepState) -> None:
        found, unit = state.sweep, state.unit
        self.chuck.set_xy(on_board(found.chuck, unit))
        radius = UNITS_PER[unit] * state.layout.chuck_radius
        self.chuck_body.put((CHUCK_FACE_X, AXIS_Y), radius / CHUCK_RADIUS)
        if found.quill is not None:
            corners = on_board(found.quill, unit)
            corners[1:3, 0] += 2.4 * SIZE  # past the crank, which is not measured
            self.quill.set_xy(corners)
            self.tailstock.put((corners[1, 0], AXIS_Y), SIZE)
            self.say(self.quill_name, "quill", corners[:, 0].mean(), corners[:, 1].max(), 90)
        self.slide.set_xy(on_board(found.start, unit))
        middle = 0.8 * found.start[2:].mean(0) + 0.2 * found.start.mean(0)
        self.say_at(self.slide_name, "compound", on_board(middle, unit), -120)
        # Answers hidden: where the slide gets to is what is asked.
        covered = found.start if self.hide_answers else found.outline
        corners = on_board(covered, unit)
        self.covered.set_xy(corners)
        words = "" if self.hide_answers else "shaded: all that the slide covers"
        # In a place of its own: a thin line to the outline would cross what is measured there.
        self.put(self.covered_words, words, 0.2, 8.15, 0, 1)
        self._move_angle(state)
        self._mark(self.to_chuck, self.chuck_words, "chuck", found.chuck, found.to_chuck, state)
        self._mark(self.to_quill, self.quill_words, "quill", found.quill, found.to_quill, state)
        self.put(
            self.verdict_words,
            "does it clear?" if self.hide_answers else state.verdict,
            0.2,
            8.85,
            0,
            1,
        )

    def _move_angle(self, state: SweepState) -> None:
        layout, unit = state.layout, state.unit
        alpha = state.half_angle.radians
        up = 1.0 if state.internal else -1.0
        pivot = on_board(np.array([layout.pivot_axial, layout.pivot_cross]), unit)
        ahead = np.array([-math.cos(alpha), up * math.sin(alpha)])
        k = UNITS_PER[unit]
        ends = np.array(
            [
                pivot + k * layout.nose_ahead * ahead,
                pivot - k * (layout.slide_length - layout.nose_ahead) * ahead,
            ]
        )
        self.centre.set_data(*ends.T)
        self.pivot.set_data([pivot[0]], [pivot[1]])
        self.base.put(pivot, SIZE, -ahead)
        self.crank.put(ends[1], SIZE, -ahead)
        radius = 1.5
        self.parallel.set_data([pivot[0] - radius - 0.3, pivot[0]], [pivot[1]] * 2)
        turn = np.linspace(0, alpha, 20)
        self.arc.set_data(pivot[0] - radius * np.cos(turn), pivot[1] + up * radius * np.sin(turn))
        self.say(
            self.angle_words,
            f"α {state.half_angle.brief()}",
            pivot[0] - radius * math.cos(alpha / 2),
            pivot[1] + up * radius * math.sin(alpha / 2),
            180 + up * 40,
        )

    def _mark(
        self,
        line: Line2D,
        wish: Wish,
        name: str,
        shape: NDArray[np.float64] | None,
        distance: float,
        state: SweepState,
    ) -> None:
        if shape is None or self.hide_answers:
            line.set_visible(False)
            self.say(wish, "", 0, 0)
            return
        outline, unit = state.sweep.outline, state.unit
        if distance > 0:
            points = on_board(nearest_points(outline, shape), unit)
            told = f"to {name} {length_text(distance, unit, places_written(unit) - 2)}"
        else:
            corner = shape[np.linalg.norm(shape - outline.mean(0), axis=1).argmin()]
            points = on_board(np.array([corner, corner]), unit)
            told = f"strikes the {name}"
        line.set_visible(distance > 0)
        line.set_data(*points.T)
        self.say_at(wish, told, points.mean(0), 90 if name == "quill" else 135)
