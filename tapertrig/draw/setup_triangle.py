"""The setup triangle in the plan view, with the dials that measure it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tapertrig.angle import Angle
from tapertrig.draw.dial_collar import DialCollar
from tapertrig.draw.picture import Scene
from tapertrig.lathe import Lathe
from tapertrig.setup import angle_per_graduation, axial_travel, cross_travel

START_X, START_Y = 8.75, 1.55
REACH_UNITS = 5.9
QUILL_WIDTH = 1.4
SLIDE_WIDTH = 0.84
SCALE_X, SCALE_Y, SCALE_UNITS, SCALE_MINUTES = 0.45, 7.75, 4.0, 4


@dataclass(frozen=True)
class TriangleState:
    """What the picture shows. `by_carriage`: the carriage made the axial travel instead."""

    half_angle: Angle
    compound_travel: float
    lathe: Lathe
    by_carriage: bool = False


def triangle_corners(state: TriangleState) -> NDArray[np.float64]:
    """Start, end of the compound travel, foot of the cross travel: board units, shape (3, 2)."""
    run = state.compound_travel * REACH_UNITS / state.lathe.compound_reach
    alpha = state.half_angle.radians
    start = np.array([START_X, START_Y])
    end = start + run * np.array([-math.cos(alpha), math.sin(alpha)])
    return np.array([start, end, [end[0], START_Y]])


class SetupTriangleScene(Scene):
    """Compound, quill and axis from above; the three travels; both dial collars."""

    kind = "setup triangle"

    def build(self) -> None:
        left, right = START_X - REACH_UNITS - 0.35, 10.3
        low, high = START_Y, START_Y + QUILL_WIDTH
        self.area(
            "metal",
            [
                (left + 0.25, low),
                (right, low),
                (right, high),
                (left + 0.25, high),
                (left, high - 0.25),
                (left, low + 0.25),
            ],
            moving=False,
            clear=True,
        )
        axis_y = (low + high) / 2
        self.line("axis", [0.15, right], [axis_y, axis_y], weight=0.6, moving=False)
        self.slide = self.area("brass", clear=True, zorder=3)
        self.axial = self.line("axial", weight=1.8)
        self.cross = self.line("cross", weight=1.8)
        self.compound = self.line("compound", weight=2.0, zorder=6)
        self.square = self.line("guide", weight=0.6, linestyle="solid")
        self.arc = self.line("angle", weight=1.1)
        self.ends = self.line(
            "compound", marker="o", markersize=4.5 * self.style.scale, linestyle="none", zorder=8
        )
        self.angle_words = self.label(role="angle", bold=True, leader=True)
        self.compound_words = self.label(role="compound", bold=True)
        self.cross_words = self.label(role="cross", bold=True)
        self.axial_words = self.label(role="axial", bold=True)
        self.caption("quill", right - 0.08, low + 0.03, 1, 0)
        self.caption("spindle axis", 0.2, axis_y + 0.06, 0, 0, role="axis")
        self._build_band()
        self.compound_dial = DialCollar(self, 13.15, 6.55, 5.3, 1.3)
        self.cross_dial = DialCollar(self, 13.15, 2.6, 5.3, 1.3)
        self.compound_turns = self.label(size="small", free=False, role="compound", bold=True)
        self.cross_turns = self.label(size="small", free=False, role="cross", bold=True)

    def _build_band(self) -> None:
        ends = [SCALE_X, SCALE_X + SCALE_UNITS]
        self.line("ink", ends, [SCALE_Y, SCALE_Y], weight=0.6, moving=False)
        for minute in range(SCALE_MINUTES + 1):
            x = SCALE_X + SCALE_UNITS * minute / SCALE_MINUTES
            self.line("ink", [x, x], [SCALE_Y - 0.1, SCALE_Y + 0.1], weight=0.6, moving=False)
            self.caption(f"{minute}′", x, SCALE_Y - 0.14, 0.5, 1.0)
        self.band = self.area("band", edge="axial", clear=True, zorder=4)
        self.band_words = self.label(size="small", free=False, role="axial", bold=True)

    def move(self, state: TriangleState) -> None:
        alpha = state.half_angle.radians
        start, end, foot = corners = triangle_corners(state)
        along = np.array([-math.cos(alpha), math.sin(alpha)])
        side = np.array([along[1], -along[0]]) * SLIDE_WIDTH / 2
        near, far = start - along * 0.35, start + along * (REACH_UNITS + 0.3)
        self.slide.set_xy([near - side, far - side, far + side, near + side])
        self.compound.set_data(*corners[[0, 1]].T)
        self.cross.set_data(*corners[[1, 2]].T)
        self.axial.set_data(*corners[[2, 0]].T)
        self.ends.set_data(*corners[[0, 1]].T)
        self.compound.set_linestyle((0, (4, 3)) if state.by_carriage else "solid")
        self._move_angle(alpha, start, end, foot)
        self._say_sides(state, corners)
        self._move_band(state)
        self._turn_dials(state)
        self.place_labels()

    def _move_angle(self, alpha: float, start: NDArray, end: NDArray, foot: NDArray) -> None:
        shorter = min(float(np.linalg.norm(end - foot)), float(np.linalg.norm(start - foot)))
        corner = min(0.3, 0.4 * shorter)
        self.square.set_data(
            [foot[0] + corner, foot[0] + corner, foot[0]],
            [foot[1], foot[1] + corner, foot[1] + corner],
        )
        radius = min(1.7, 0.55 * float(np.linalg.norm(end - start)))
        turn = np.linspace(0, alpha, 24)
        self.arc.set_data(start[0] - radius * np.cos(turn), start[1] + radius * np.sin(turn))
        self.arc_middle = (
            start[0] - radius * math.cos(alpha / 2),
            start[1] + radius * math.sin(alpha / 2),
        )

    def _say_sides(self, state: TriangleState, corners: NDArray) -> None:
        start, end, foot = corners
        places = 4 if state.lathe.unit == "in" else 3
        cross = float(cross_travel(state.compound_travel, state.half_angle))
        axial = float(axial_travel(state.compound_travel, state.half_angle))
        degrees = state.half_angle.degrees
        first = "carriage" if state.by_carriage else "axial"
        shown_axial = not self.hide_answers or state.by_carriage
        self.say(
            self.angle_words, f"α {state.half_angle.brief()}", *self.arc_middle, 180 - degrees / 2
        )
        self.say(
            self.compound_words,
            "" if state.by_carriage else f"compound {state.compound_travel:.{places}f}",
            *((start + end) / 2),
            90 - degrees,
        )
        self.say(
            self.cross_words,
            "cross ?" if self.hide_answers else f"cross {cross:.{places}f}",
            *((end + foot) / 2),
            180,
        )
        self.say(
            self.axial_words,
            f"{first} {axial:.{places}f}" if shown_axial else "axial ?",
            *((foot + start) / 2),
            270,
        )

    def _move_band(self, state: TriangleState) -> None:
        seconds = float(
            angle_per_graduation(state.compound_travel, state.half_angle, state.lathe.cross_dial)
        )
        width = SCALE_UNITS * min(seconds / 60 / SCALE_MINUTES, 1.0)
        self.band.set_xy(
            [
                (SCALE_X, SCALE_Y),
                (SCALE_X + width, SCALE_Y),
                (SCALE_X + width, SCALE_Y + 0.42),
                (SCALE_X, SCALE_Y + 0.42),
            ]
        )
        size = f"{seconds:.0f}″" if seconds < 120 else f"{seconds / 60:.1f}′"
        size = "?" if self.hide_answers else size
        self.put(self.band_words, f"one cross graduation = {size}", SCALE_X, SCALE_Y + 0.5, 0, 0)

    def _turn_dials(self, state: TriangleState) -> None:
        lathe, unit = state.lathe, state.lathe.unit
        places = 4 if unit == "in" else 3
        cross = float(cross_travel(state.compound_travel, state.half_angle))
        moved = 0.0 if state.by_carriage else state.compound_travel
        for name, collar, words, dial, movement, hidden in (
            (
                "compound dial",
                self.compound_dial,
                self.compound_turns,
                lathe.compound_dial,
                moved,
                False,
            ),
            (
                "cross dial",
                self.cross_dial,
                self.cross_turns,
                lathe.cross_dial,
                cross,
                self.hide_answers,
            ),
        ):
            reading = float(dial.reading(movement))
            turns, graduations, rest = dial.split(reading)
            part = graduations + rest / dial.graduation
            collar.move(dial, 0.0 if hidden else reading, f"{name}, reads {dial.reads}")
            told = f"{reading:.{places}f} = {turns} turns + {part:.1f}"
            self.put(words, "how many turns?" if hidden else told, 13.15, collar.y - 0.8, 0.5, 1.0)
