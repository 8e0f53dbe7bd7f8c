"""The setup triangle in the plan view, with the dials that measure it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tapertrig.angle import Angle
from tapertrig.draw.parts.dial import DialCollar
from tapertrig.draw.parts.label import segments_of
from tapertrig.draw.parts.machine import HOLD, Compound, Quill
from tapertrig.draw.parts.magnified import arc_text
from tapertrig.draw.parts.scene import Scene
from tapertrig.lathe import Lathe, places_written
from tapertrig.setup import (
    angle_per_graduation,
    axial_travel,
    cross_travel,
    cross_travel_by_carriage,
)

SIZE = 0.58  # board units for an inch of the lathe drawn
START_X, AXIS_Y, QUILL_HALF, RIGHT = 1.7, 8.1, 0.62, 10.25
QUILL_SIDE = AXIS_Y - QUILL_HALF
REACH_UNITS = 5.0
FLOOR = 0.3
SCALE_X, SCALE_UNITS, SCALE_MINUTES = 11.1, 4.0, 4
DIAL_X, COMPOUND_DIAL_Y = 13.15, 7.0
# Heights of the cross dial and of the scale: beside one another, and where words are large and
# there is room below.
WIDE, SPARE = (3.9, 0.95), (2.7, -0.5)


@dataclass(frozen=True)
class TriangleState:
    """What the picture shows. `compare` adds what the carriage, moved as far, would need."""

    half_angle: Angle
    compound_travel: float
    lathe: Lathe
    compare: bool = False

    @property
    def reach(self) -> float:
        """What the picture is to the scale of: how far the slide goes, or this travel alone."""
        return self.lathe.compound_reach or self.compound_travel

    @property
    def cross(self) -> float:
        """Cross travel, unit of the lathe."""
        return float(cross_travel(self.compound_travel, self.half_angle))

    @property
    def axial(self) -> float:
        """Axial travel, unit of the lathe."""
        return float(axial_travel(self.compound_travel, self.half_angle))

    @property
    def by_carriage(self) -> float:
        """Cross travel that a carriage travel of the same length would need."""
        return float(cross_travel_by_carriage(self.compound_travel, self.half_angle))

    @property
    def seconds_per_graduation(self) -> float:
        """Arc-seconds of half angle that one cross graduation stands for."""
        dial = self.lathe.cross_dial
        return float(angle_per_graduation(self.compound_travel, self.half_angle, dial))


def triangle_corners(state: TriangleState) -> NDArray[np.float64]:
    """Null at the start, end of the compound travel, null again: board units, shape (3, 2).

    The indicator's point leaves the quill side along the slide; the cross slide brings it back.
    """
    run = state.compound_travel * REACH_UNITS / state.reach
    alpha = state.half_angle.radians
    start = np.array([START_X, QUILL_SIDE])
    end = start + run * np.array([math.cos(alpha), -math.sin(alpha)])
    return np.array([start, end, [end[0], QUILL_SIDE]])


class SetupTriangleScene(Scene):
    """Compound, quill and axis from above; the three travels; both dial collars."""

    def build(self) -> None:
        Quill(self, named=True, right=RIGHT).move(0.2, 8.7, AXIS_Y, QUILL_HALF)
        self.line("axis", [0.05, RIGHT], [AXIS_Y, AXIS_Y], weight=0.6)
        self.caption("operator's side", RIGHT - 0.05, 0.1, 1, 0)
        self.compound_body = Compound(self, SIZE, base=False, named=True)
        body = self.compound_body
        self.handle("half_angle", body.slide, *body.crank.pieces).turns(
            START_X, QUILL_SIDE - HOLD * SIZE, -math.radians(1)
        )
        self.run = self.handle("compound_travel", *body.post.pieces)
        # Unseen: keeps the triangle's words from running in among the dials.
        if not self.style.spare:
            self.line("guide", [10.3, 10.3], [0.6, 9.0], moving=False, alpha=0.0)
        self.tangent = self.line("guide", weight=1.1, clear=True)
        self.axial = self.line("axial", weight=1.8)
        self.cross = self.line("cross", weight=1.8)
        self.compound = self.line("compound", weight=2.0, zorder=6)
        self.square = self.line("guide", weight=0.6, linestyle="solid")
        self.arc = self.line("angle", weight=1.1)
        self.ends = self.line(
            "compound", marker="o", markersize=4.5 * self.style.scale, linestyle="none", zorder=8
        )
        self.angle_words = self.label(role="angle", bold=True, leader=True)
        self.axial_words = self.label(role="axial", bold=True, free=False)
        self.cross_words = self.label(role="cross", bold=True, leader=True)
        self.compound_words = self.label(role="compound", bold=True, leader=True)
        self.tangent_words = self.label(leader=True, size="small")
        self.compound_dial = DialCollar(self, DIAL_X, COMPOUND_DIAL_Y, 5.3, 1.2, "compound_travel")
        cross_y, self.scale_y = SPARE if self.style.spare else WIDE
        self.cross_dial = DialCollar(self, DIAL_X, cross_y, 5.3, 1.2)
        self.compound_turns = self.label(size="small", free=False, role="compound", bold=True)
        self.cross_turns = self.label(size="small", free=False, role="cross", bold=True)
        self._build_band()

    def _build_band(self) -> None:
        ends = [SCALE_X, SCALE_X + SCALE_UNITS]
        self.line("ink", ends, [self.scale_y, self.scale_y], weight=0.6, moving=False)
        for minute in range(SCALE_MINUTES + 1):
            x = SCALE_X + SCALE_UNITS * minute / SCALE_MINUTES
            self.line(
                "ink", [x, x], [self.scale_y - 0.1, self.scale_y + 0.1], weight=0.6, moving=False
            )
            self.caption(f"{minute}′", x, self.scale_y - 0.12, 0.5, 1.0)
        self.band = self.area("band", edge="axial", clear=True, zorder=4)
        self.band_words = self.label(size="small", free=False, role="axial", bold=True)

    def move(self, state: TriangleState) -> None:
        start, end, foot = corners = triangle_corners(state)
        self._move_compound(state, start, end)
        self.compound.set_data(*corners[[0, 1]].T)
        self.cross.set_data(*corners[[1, 2]].T)
        self.axial.set_data(*corners[[2, 0]].T)
        self.ends.set_data(*corners[[0, 1]].T)
        self._move_angle(state.half_angle.radians, start, end, foot)
        self._say_sides(state, corners)
        self._move_tangent(state, start, end)
        sides = corners[[1, 2, 0]]  # cross and axial travel
        self.angle_words.shuns = segments_of((sides - [0, self.low]) * self.pixels_per_unit)
        self._move_band(state)
        self._turn_dials(state)

    def _move_compound(self, state: TriangleState, start: NDArray, end: NDArray) -> None:
        alpha = state.half_angle.radians
        along = np.array([math.cos(alpha), -math.sin(alpha)])
        # A lathe whose reach nobody gave is drawn as long as the travel: the post stays.
        self.run.slides(
            *along * REACH_UNITS / state.reach * (state.lathe.compound_reach is not None)
        )
        self.compound_body.move(end - np.array([0, HOLD * SIZE]), along, end)

    def _move_angle(self, alpha: float, start: NDArray, end: NDArray, foot: NDArray) -> None:
        shorter = min(float(np.linalg.norm(end - foot)), float(np.linalg.norm(start - foot)))
        corner = min(0.3, 0.4 * shorter)
        self.square.set_data(
            [foot[0] - corner, foot[0] - corner, foot[0]],
            [foot[1], foot[1] - corner, foot[1] - corner],
        )
        adjacent = float(np.linalg.norm(start - foot))
        self.radius = min(1.9, 0.6 * float(np.linalg.norm(end - start)), max(0.5, 0.8 * adjacent))
        turn = np.linspace(0, alpha, 24)
        self.arc.set_data(
            start[0] + self.radius * np.cos(turn), start[1] - self.radius * np.sin(turn)
        )

    def _say_sides(self, state: TriangleState, corners: NDArray) -> None:
        start, end, foot = corners
        places = places_written(state.lathe.unit)
        hidden = self.hide_answers
        # Named where its arc ends on the slide's line: from there no lead has to cross a travel.
        alpha = state.half_angle.radians
        turned = self.radius * np.array([math.cos(alpha), -math.sin(alpha)])
        said = f"α {state.half_angle.brief()}"
        self.say_at(self.angle_words, said, start + turned, -90 - state.half_angle.degrees)
        self.say_at(
            self.compound_words,
            f"travel {state.compound_travel:.{places}f}",
            (start + (end - start) * (0.7 if state.half_angle.degrees < 35 else 0.5)),
            # Below a short travel stand the words of its cross side.
            -15 if end[0] - start[0] < 2.0 else -90 - state.half_angle.degrees,
        )
        self.say_at(
            self.cross_words,
            "cross ?" if hidden else f"cross {state.cross:.{places}f}",
            ((end + foot) / 2),
            0,
        )
        self.put(
            self.axial_words,
            "axial ?" if hidden else f"axial {state.axial:.{places}f}",
            float((foot + start)[0] / 2),
            QUILL_SIDE + 0.06,
            0.5,
            0.0,
        )

    def _move_tangent(self, state: TriangleState, start: NDArray, end: NDArray) -> None:
        run = state.compound_travel * REACH_UNITS / state.reach
        drop = run * math.tan(state.half_angle.radians)
        foot = start + np.array([run, 0.0])
        shown = state.compare
        # Down to the edge of the picture, where the carriage would need more than it has room for.
        seen = min(1.0, (foot[1] - FLOOR) / drop)
        far = [foot - [0, drop * seen], start + (foot - start - [0, drop]) * seen]
        points = np.array([start, foot, far[0], [math.nan] * 2, far[1], end])
        self.tangent.set_data(*(points if shown else np.zeros((0, 2))).T)
        inside = shown and foot[1] - drop / 2 > 0.6
        places = places_written(state.lathe.unit)
        told = "?" if self.hide_answers else f"{state.by_carriage:.{places}f}"
        self.say_at(
            self.tangent_words,
            f"by carriage {told}" if inside else "",
            (foot - np.array([0, drop / 2])),
            0,
        )

    def _move_band(self, state: TriangleState) -> None:
        seconds = state.seconds_per_graduation
        share = seconds / 60 / SCALE_MINUTES
        beyond = share > 1
        right = SCALE_X + SCALE_UNITS * (0.0 if self.hide_answers else min(share, 1.0))
        tip = 0.35 if beyond and not self.hide_answers else 0.0
        top = self.scale_y + 0.42
        self.band.set_xy(
            [
                (SCALE_X, self.scale_y),
                (right, self.scale_y),
                (right + tip, self.scale_y + 0.21),
                (right, top),
                (SCALE_X, top),
            ]
        )
        told = "?" if self.hide_answers else arc_text(math.radians(seconds / 3600))
        self.put(self.band_words, f"1 graduation = {told}", DIAL_X, top + 0.1, 0.5, 0)

    def _turn_dials(self, state: TriangleState) -> None:
        lathe = state.lathe
        for name, collar, words, dial, movement, hidden in (
            (
                "compound dial",
                self.compound_dial,
                self.compound_turns,
                lathe.compound_dial,
                state.compound_travel,
                False,
            ),
            (
                "cross dial",
                self.cross_dial,
                self.cross_turns,
                lathe.cross_dial,
                state.cross,
                self.hide_answers,
            ),
        ):
            reading = float(dial.reading(movement))
            what = "diameter" if dial.reads == "diameter" else "travel"
            collar.move(dial, 0.0 if hidden else reading, f"{name}: {what}")
            middle = DIAL_X - 0.2 if self.style.spare else DIAL_X  # off the edge in large words
            told = dial.words(reading, lathe.unit)
            self.put(
                words, "how many turns?" if hidden else told, middle, collar.y - 0.74, 0.5, 1.0
            )
