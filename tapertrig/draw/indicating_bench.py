"""The indicating bench from above, with both dials and the indicator as faces to be read."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from tapertrig.bench.state import OFF, PAST, BenchState
from tapertrig.draw.parts.dial import DialCollar
from tapertrig.draw.parts.machine import Compound
from tapertrig.draw.parts.scene import Scene
from tapertrig.lathe import length_text
from tapertrig.setup import AXIAL

AXIS_Y, MIDDLE_X = 8.15, 5.0
REACH_UNITS = 4.7
STEM = 1.25
DIAL_X, COMPOUND_DIAL_Y = 13.15, 7.75
# Height of the cross dial, of the indicator's words and of its face, the face's radius, and how
# far out its numbers stand: beside one another, and where words are large and there is room below.
WIDE, SPARE = (5.45, 3.55, 1.75, 1.2, 0.32), (4.75, 2.55, -0.1, 1.5, 0.54)
FACE_GRADUATIONS = 80


def tip_place(state: BenchState) -> NDArray[np.float64]:
    """The indicator's tip in board units; headstock to the left, the operator below."""
    scale = REACH_UNITS / state.conditions.reach("compound")
    return np.array([MIDDLE_X - state.tool_axial * scale, AXIS_Y - state.tip_out * scale])


def slide_direction(state: BenchState) -> NDArray[np.float64]:
    """Unit vector along the slide towards the headstock."""
    rise = -state.conditions.outward * math.sin(state.half_angle)
    return np.array([-math.cos(state.half_angle), rise])


def needle_graduations(state: BenchState) -> float:
    """Where the needle stands, in graduations from its zero; it rests at the end of its range."""
    conditions = state.conditions
    pushed = min(max(state.indicated, 0.0), conditions.indicator_range)
    if not state.on_quill:
        pushed = 0.0
    return (pushed - state.indicator_zero) / conditions.indicator_graduation


def _round(x: float, y: float, radius: float) -> NDArray[np.float64]:
    turn = np.linspace(0, 2 * np.pi, 72)
    return np.column_stack([x + radius * np.cos(turn), y + radius * np.sin(turn)])


class IndicatingBenchScene(Scene):
    """Plan view to scale, compound dial, cross dial, indicator."""

    def build(self) -> None:
        self.line("axis", [0.1, 10.2], [AXIS_Y, AXIS_Y], weight=0.6, moving=False)
        self.caption("axis", 0.15, AXIS_Y + 0.05, 0, 0, role="axis")
        # The quill stands higher than the slide, which passes under it.
        self.quill = self.area("metal", zorder=5, clear=True)
        self.blocks = self.area("paper", zorder=5, clear=True)
        self.base = self.area("metal", clear=False)
        self.body = Compound(self, 0.8)
        self.quill_words = self.label(size="small", free=False)
        self.base_words = self.label(role="angle", size="small", free=False, bold=True)
        self.held_words = [self.label(size="small", free=False) for _ in range(2)]
        cross_y, self.told_y, self.face_y, self.radius, out = SPARE if self.style.spare else WIDE
        self.compound_dial = DialCollar(self, DIAL_X, COMPOUND_DIAL_Y, 5.3, 1.0)
        self.cross_dial = DialCollar(self, DIAL_X, cross_y, 5.3, 1.0)
        self.compound_words = self.label(role="compound", size="small", free=False, bold=True)
        self.cross_words = self.label(role="cross", size="small", free=False, bold=True)
        self._build_face(self.face_y, self.radius, out)
        self.needle = self.line("cross", weight=1.2, zorder=8, linestyle="solid", clear=False)
        self.face_words = self.label(size="small", free=False, bold=True)

    def _build_face(self, middle: float, radius: float, out: float) -> None:
        rim = _round(DIAL_X, middle, radius)
        self.area("paper", rim, moving=False, weight=1.0, clear=True)
        marks = np.arange(FACE_GRADUATIONS)
        turn = np.pi / 2 - 2 * np.pi * marks / FACE_GRADUATIONS
        depth = np.where(marks % 10 == 0, 0.3, np.where(marks % 5 == 0, 0.22, 0.14))
        ends = radius - 0.06 - np.stack([depth, np.zeros_like(turn)])
        gap = np.full_like(turn, np.nan)
        x = np.column_stack([*(DIAL_X + ends * np.cos(turn)), gap]).ravel()
        y = np.column_stack([*(middle + ends * np.sin(turn)), gap]).ravel()
        self.line("ink", x, y, weight=0.45, moving=False, clear=False, zorder=4)
        for mark in range(0, FACE_GRADUATIONS, 10):
            angle = math.pi / 2 - 2 * math.pi * mark / FACE_GRADUATIONS
            number = min(mark, FACE_GRADUATIONS - mark)
            x, y = (radius + out) * math.cos(angle), (radius + out) * math.sin(angle)
            self.caption(str(number), DIAL_X + x, middle + y)

    def move(self, state: BenchState) -> None:
        self._move_plan(state)
        self._turn_dials(state)
        self._move_needle(state)

    def _move_plan(self, state: BenchState) -> None:
        conditions = state.conditions
        scale = REACH_UNITS / conditions.reach("compound")
        tip, along = tip_place(state), slide_direction(state)
        axial = conditions.route == AXIAL
        datum = self._face(state, scale, tip) if axial else self._quill(state, scale)
        post = tip + np.array([STEM, 0] if axial else [0, -STEM])
        ahead = (state.slide("compound") - conditions.reach("compound") / 2) * scale
        base = post - along * ahead
        self.base.set_xy(_round(base[0], base[1], 1.0))
        reach = along * (REACH_UNITS / 2 + 0.45)
        self.body.move(base + reach, base - reach, post, tip)
        self.put(self.quill_words, *datum)
        reads = (
            "base reads ?" if self.hide_answers else f"base reads about {state.base_read.brief()}"
        )
        self.put(self.base_words, reads, 0.15, 0.12, 0, 0)
        held = "carriage locked" if state.locked else "carriage loose"
        bolts = "bolts snug" if state.snugged else "bolts eased"
        # Two short lines, so that a steep slide stays clear of them.
        for wish, words, y in zip(self.held_words, (held, bolts), (1.12, 0.62), strict=True):
            self.put(wish, words, 0.15, y, 0, 0)

    def _quill(self, state: BenchState, scale: float) -> tuple[str, float, float, float, float]:
        """The quill, and where its name stands."""
        conditions = state.conditions
        radius, half = conditions.quill_radius * scale, conditions.quill_length / 2 * scale
        left, right = MIDDLE_X - half, 10.25
        tilt = conditions.quill_slope * half
        lean = conditions.quill_slope * (right - MIDDLE_X)
        self.quill.set_xy(
            [
                (left, AXIS_Y - radius - tilt),
                (right, AXIS_Y - radius + lean),
                (right, 9.2),
                (left, 9.2),
            ]
        )
        self.blocks.set_xy([(0, 0)] * 4)
        return "quill", right - 0.15, AXIS_Y - radius + 0.1, 1, 0

    def _face(
        self, state: BenchState, scale: float, tip: NDArray[np.float64]
    ) -> tuple[str, float, float, float, float]:
        """The face of the axial route with its stack, and where its name stands."""
        face = MIDDLE_X - state.conditions.face * scale
        low = AXIS_Y - 1.1 * REACH_UNITS
        self.quill.set_xy([(face - 0.3, low), (face, low), (face, 9.2), (face - 0.3, 9.2)])
        end, high = face + state.stack * scale, 0.16 if state.stack else 0.0
        self.blocks.set_xy(
            [(x, tip[1] + y) for x, y in ((face, -high), (end, -high), (end, high), (face, high))]
        )
        return "face", face + 0.1, low, 0, 0

    def _turn_dials(self, state: BenchState) -> None:
        for name, collar, words in (
            ("compound", self.compound_dial, self.compound_words),
            ("cross", self.cross_dial, self.cross_words),
        ):
            dial = state.conditions.dial(name)
            what = "diameter" if dial.reads == "diameter" else "travel"
            collar.move(dial, state.dial_shown(name), f"{name} dial: {what}")
            told = f"from zero {length_text(state.dial_read(name), state.conditions.lathe.unit)}"
            self.put(
                words, "from zero ?" if self.hide_answers else told, DIAL_X, collar.y - 0.62, 0.5, 1
            )

    def _move_needle(self, state: BenchState) -> None:
        turn = math.pi / 2 - 2 * math.pi * needle_graduations(state) / FACE_GRADUATIONS
        reach = np.array([-0.35, self.radius - 0.12])
        self.needle.set_data(DIAL_X + reach * math.cos(turn), self.face_y + reach * math.sin(turn))
        indicator = state.indicator
        told = indicator.words
        if told not in (OFF, PAST) and self.hide_answers:
            told = "reads ?"
        self.put(self.face_words, f"indicator: {told}", DIAL_X, self.told_y, 0.5, 0)


def graduation_words(state: BenchState) -> str:
    """What one graduation of the indicator is worth."""
    conditions = state.conditions
    places = 5 if conditions.lathe.unit == "in" else 3
    return length_text(conditions.indicator_graduation, conditions.lathe.unit, places)
