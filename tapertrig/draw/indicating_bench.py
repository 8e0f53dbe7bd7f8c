"""The indicating bench from above, with both dials and the indicator as faces to be read."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from tapertrig.bench.lost_motion import WhichScrew
from tapertrig.bench.state import BenchState
from tapertrig.draw.parts.dial import DialCollar
from tapertrig.draw.parts.machine import HOLD, POST_AHEAD, Carriage, Quill
from tapertrig.draw.parts.scene import Scene, box
from tapertrig.lathe import length_text
from tapertrig.setup import AXIAL

MIDDLE_X, REACH = 4.6, 3.25  # the compound's reach, in inches of the lathe drawn
DIAL_X = 13.05
# Heights of both dials, of the indicator's words and of its face, the face's radius, and how far
# out its numbers stand: beside one another, and where words are large and there is room below.
WIDE, SPARE = (7.75, 5.45, 3.65, 1.8, 1.1, 0.42), (9.7, 6.5, 2.8, 0.15, 1.5, 0.54)
FACE_GRADUATIONS = 80


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
        # Where words are large, those of the dials need more room; there is some above.
        spare = self.style.spare
        self.size, self.axis, right = (0.58, 10.3, 8.3) if spare else (0.72, 8.1, 10.1)
        # Unseen: keeps the names of parts from running in among the dials.
        if not spare:
            self.line("guide", [right, right], [0, 9], moving=False, alpha=0.0)
        self.carriage = Carriage(self, self.size, self.axis, right)
        self.quill = Quill(self, named=True, right=right)
        self.face = self.area("metal", zorder=4.5, clear=True)
        self.blocks = self.area("paper", zorder=5, clear=True)
        self.line("axis", [0.1, right], [self.axis, self.axis], weight=0.6)
        self.face_name = self.name()
        self.base_words = self.label(role="angle", size="small", free=False, bold=True)
        self.held_words = [self.label(size="small", free=False) for _ in range(2)]
        # In large words the zero's unit would reach the machine: the rows beside have it.
        self.dial_x = 12.4 if spare else DIAL_X
        *dials, self.told_y, self.face_y, self.radius, out = SPARE if spare else WIDE
        self.compound_dial, self.cross_dial = (
            DialCollar(self, self.dial_x, y, 5.3, 1.0) for y in dials
        )
        self.compound_words = self.label(role="compound", size="small", free=False, bold=True)
        self.cross_words = self.label(role="cross", size="small", free=False, bold=True)
        self._build_face(self.face_y, self.radius, out)
        self.needle = self.line("cross", weight=1.2, zorder=8, linestyle="solid", clear=False)
        self.face_words = self.label(size="small", free=False, bold=True)

    def _build_face(self, middle: float, radius: float, out: float) -> None:
        rim = _round(self.dial_x, middle, radius)
        self.area("paper", rim, moving=False, weight=1.0, clear=True)
        marks = np.arange(FACE_GRADUATIONS)
        turn = np.pi / 2 - 2 * np.pi * marks / FACE_GRADUATIONS
        depth = np.where(marks % 10 == 0, 0.3, np.where(marks % 5 == 0, 0.22, 0.14))
        ends = radius - 0.06 - np.stack([depth, np.zeros_like(turn)])
        gap = np.full_like(turn, np.nan)
        x = np.column_stack([*(self.dial_x + ends * np.cos(turn)), gap]).ravel()
        y = np.column_stack([*(middle + ends * np.sin(turn)), gap]).ravel()
        self.line("ink", x, y, weight=0.45, moving=False, clear=False, zorder=4)
        for mark in range(0, FACE_GRADUATIONS, 10):
            angle = math.pi / 2 - 2 * math.pi * mark / FACE_GRADUATIONS
            number = min(mark, FACE_GRADUATIONS - mark)
            across, up = (radius + out) * math.cos(angle), (radius + out) * math.sin(angle)
            self.caption(str(number), self.dial_x + across, middle + up)

    def move(self, state: BenchState) -> None:
        self._move_plan(state)
        self._turn_dials(state)
        self._move_needle(state)

    def _move_plan(self, state: BenchState) -> None:
        conditions = state.conditions
        scale = REACH * self.size / conditions.reach("compound")
        tip = np.array([MIDDLE_X - state.tool_axial * scale, self.axis - state.tip_out * scale])
        along = -slide_direction(state)
        axial = conditions.route == AXIAL
        self._datum(state, scale, tip)
        stem = np.array([1, 0]) if axial else np.array([0, -1])
        post = tip + HOLD * self.size * stem
        ahead = (state.slide("compound") - conditions.reach("compound") / 2) * scale
        base = post + along * (ahead + POST_AHEAD * self.size)
        self.carriage.move(base, post, along, tip, stem)
        reads = "?" if self.hide_answers else state.base_read.brief()
        # In large words the cross slide's handle, drawn far out, would stand on the long ones.
        said = (
            "base ≈" if self.style.name == "projector" else "base reads" + " about" * (reads != "?")
        )
        self.put(self.base_words, f"{said} {reads}", 0.15, 0.12, 0, 0)
        held = "carriage locked" if state.locked else "carriage loose"
        bolts = "bolts tight" if state.snugged else "bolts eased"
        # Two short lines, so that a steep slide stays clear of them.
        line = self.base_words.label.height / self.pixels_per_unit + 0.02
        for row, (wish, words) in enumerate(zip(self.held_words, (bolts, held), strict=True)):
            self.put(wish, words, 0.15, 0.12 + (row + 1) * line, 0, 0)

    def _datum(self, state: BenchState, scale: float, tip: NDArray[np.float64]) -> None:
        """The quill; on the axial route the face with its stack, the tailstock away."""
        conditions = state.conditions
        axial = conditions.route == AXIAL
        radius, half = conditions.quill_radius * scale, conditions.quill_length / 2 * scale
        self.quill.move(
            *(MIDDLE_X - half, MIDDLE_X + half + 0.3), self.axis, radius, conditions.quill_slope
        )
        self.quill.show(not axial)
        self.face.set_visible(axial)
        self.blocks.set_visible(axial and bool(state.stack))
        if axial:
            face = MIDDLE_X - conditions.face * scale
            out = 1.1 * conditions.reach("compound") * scale
            self.face.set_xy(box(face - 0.4, self.axis - out, face, self.axis + out))
            self.blocks.set_xy(box(face, tip[1] - 0.16, face + state.stack * scale, tip[1] + 0.16))
            self.say(self.face_name, "face", face - 0.2, self.axis - out + 0.2, -90)
        else:
            self.say(self.face_name, "", 0, 0)

    def _turn_dials(self, state: BenchState) -> None:
        for name, collar, words in (
            ("compound", self.compound_dial, self.compound_words),
            ("cross", self.cross_dial, self.cross_words),
        ):
            dial = state.conditions.dial(name)
            what = "diameter" if dial.reads == "diameter" else "travel"
            shown = state.dial_shown(name) * run_way(state, name)
            collar.move(dial, shown, f"{name} dial: {what}")
            read = "?" if self.hide_answers else dial_words(state, name)
            told = read if read.endswith("back") else f"from zero {read}"
            told = told.replace(f" {state.conditions.lathe.unit}", "") if self.style.spare else told
            self.put(words, told, self.dial_x, collar.y - 0.62, 0.5, 1)

    def _move_needle(self, state: BenchState) -> None:
        turn = math.pi / 2 - 2 * math.pi * needle_graduations(state) / FACE_GRADUATIONS
        reach = np.array([-0.35, self.radius - 0.12])
        self.needle.set_data(
            self.dial_x + reach * math.cos(turn), self.face_y + reach * math.sin(turn)
        )
        indicator = state.indicator
        told = indicator.words
        if indicator.value is not None:
            told = "indicator reads ?" if self.hide_answers else f"indicator: {told}"
        self.put(self.face_words, told, self.dial_x, self.told_y, 0.5, 0)


def run_way(state: BenchState, name: WhichScrew) -> int:
    """1 where that dial, as signed, counts up along the run of a pass; else −1."""
    return state.conditions.away if name == "compound" else 1


def dial_words(state: BenchState, name: str) -> str:
    """How far from its zero that dial is read; “back” on the side that a pass does not run to."""
    read = state.dial_read(name) * run_way(state, name)
    return length_text(abs(read), state.conditions.lathe.unit) + " back" * (read < 0)


def graduation_words(state: BenchState) -> str:
    """What one graduation of the indicator is worth."""
    conditions = state.conditions
    places = 5 if conditions.lathe.unit == "in" else 3
    return length_text(conditions.indicator_graduation, conditions.lathe.unit, places)
