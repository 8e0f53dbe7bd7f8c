"""A known taper swept by the indicator: its side, the line of the slide, and what lies between."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tapertrig.angle import Angle
from tapertrig.draw.parts.machine import CHUCK, INDICATOR, NORTH, SOUTH, STEM, Body
from tapertrig.draw.parts.magnified import magnification
from tapertrig.draw.parts.scene import Scene
from tapertrig.lathe import Lathe, length_text, places_written
from tapertrig.setup import TaperSweep, swing_from_known_taper

AXIS_Y, SMALL_X, SMALL = 4.9, 12.6, 0.45
LONGEST, HIGHEST, ROOM, SIZE = 8.4, 2.0, 0.9, 0.42
STUB, CHUCK_X = 0.9, 2.3
STEEPEST = Angle.from_dms(45)


@dataclass(frozen=True)
class KnownTaperState:
    """What the needle told over a run along a taper; None where something was not given.

    `taper_error` is how far the taper's own half angle may be out, `tolerance` the print's on the
    half angle.
    """

    half_angle: Angle
    compound_travel: float
    sweep: TaperSweep
    internal: bool
    lathe: Lathe
    taper_error: Angle | None = None
    tolerance: Angle | None = None

    @property
    def past(self) -> Angle:
        """How far the slide is swung past the taper; negative: not far enough."""
        travel = self.compound_travel
        return swing_from_known_taper(self.sweep.let_out, travel, self.half_angle)


def swept(state: KnownTaperState) -> tuple[NDArray[np.float64], float]:
    """Start, end on the taper's side, end of the slide's line; and how often the gap is drawn.

    Board units, (3, 2); the gap is magnified, square to the axis.
    """
    alpha, side = state.half_angle.radians, 1 if state.internal else -1
    run = np.array([-math.cos(alpha), side * math.sin(alpha)])
    k = min(LONGEST / -run[0], HIGHEST / abs(run[1])) / state.compound_travel
    start = np.array([SMALL_X - STUB, AXIS_Y + side * (SMALL + STUB * math.tan(alpha))])
    end = start + k * state.compound_travel * run
    gap = state.sweep.let_out
    times = magnification(abs(gap) * k, ROOM) if gap else 1.0
    return np.array([start, end, end + [0.0, side * k * times * gap]]), times


class KnownTaperScene(Scene):
    """From above: chuck, taper, the indicator at both ends of its run."""

    def build(self) -> None:
        Body(self, CHUCK, 1.5, moving=False).put((CHUCK_X, AXIS_Y), 0.85)
        self.line("axis", [0.1, 15.8], [AXIS_Y] * 2, weight=0.6)
        self.caption("spindle axis", 15.7, AXIS_Y + 0.08, 1, 0, role="axis")
        self.caption("operator's side", 15.7, 0.1, 1, 0)
        self.taper = self.area("brass", clear=True, zorder=3)
        self.side = self.line("guide", weight=1.4, zorder=6)
        self.slide = self.line("compound", weight=2.0, zorder=7)
        self.gap = self.line("cross", weight=2.4, zorder=8, linestyle="solid")
        self.arc = self.line("angle", weight=1.1, zorder=6)
        self.level = self.line("guide", weight=0.6, zorder=6)
        self.stems = [self.line("ink", weight=1.1, zorder=8) for _ in range(2)]
        self.indicators = [Body(self, INDICATOR, 8) for _ in range(2)]
        self.angle_words = self.label(role="angle", bold=True, leader=True)
        self.gap_words = self.label(role="cross", bold=True, leader=True)
        self.slide_words = self.label(role="compound", bold=True, leader=True)
        self.side_words = self.label(size="small", leader=True)
        self.swing_words = self.label(bold=True, free=False)
        self.drawn_words = self.label(size="small", free=False)

    def move(self, state: KnownTaperState) -> None:
        (start, end, far), times = swept(state)
        alpha, stem = state.half_angle.radians, NORTH if state.internal else SOUTH
        left = end[0] - STUB / 2
        large = SMALL + (SMALL_X - left) * math.tan(alpha)
        top = [(left, large), (SMALL_X, SMALL)]
        outline = [(CHUCK_X, 0.5), (left, 0.5), *top]
        mirrored = [(x, -y) for x, y in reversed(outline)]
        self.taper.set_xy(np.array([*outline, *mirrored]) + [0, AXIS_Y])
        self.side.set_data(*np.array([start, end]).T)
        self.slide.set_data(*np.array([start, far]).T)
        self.gap.set_data(*np.array([end, far]).T)
        for tip, line, body in zip((start, end), self.stems, self.indicators, strict=True):
            line.set_data(*np.array([tip, tip + STEM * SIZE * np.array(stem)]).T)
            body.put(tip, SIZE, stem)
        turn = np.linspace(0, alpha, 16)
        way = stem[1]
        radius = 0.55 * float(np.linalg.norm(end - start))
        self.level.set_data([start[0] - 1.15 * radius, start[0]], [start[1]] * 2)
        self.arc.set_data(start[0] - radius * np.cos(turn), start[1] + way * radius * np.sin(turn))
        unit, hidden = state.lathe.unit, self.hide_answers
        clear = 90 * way
        self.say_at(
            self.angle_words,
            f"α {state.half_angle.brief()}",
            start + radius * np.array([-math.cos(alpha / 2), way * math.sin(alpha / 2)]),
            -clear,
        )
        let_out = state.sweep.let_out
        told = "needle " + length_text(abs(let_out), unit, places_written(unit) + 1)
        told += " let out" if let_out > 0 else " pushed in" if let_out else ""
        self.say_at(self.gap_words, "needle ?" if hidden else told, (end + far) / 2, 180)
        told = f"slide, {length_text(state.compound_travel, unit)}"
        self.say_at(self.slide_words, told, start + 0.3 * (far - start), clear)
        self.say_at(self.side_words, "taper's side", start + 0.7 * (end - start), -clear)
        foot = 0.3 if state.internal else 8.8
        up = 0 if state.internal else 1
        said = "swing ?" if hidden else swing_said(state.past)
        self.put(self.swing_words, said, 0.3, foot, 0, up)
        drawn = f"the gap drawn {times:,.0f} times" if let_out and not hidden else ""
        self.put(self.drawn_words, drawn, 15.7, foot if not state.internal else 0.75, 1, up)


def swing_said(past: Angle) -> str:
    """What to do for a slide swung so far past: “swing back 2′08″”."""
    seconds = round(abs(past.arc_seconds))
    if not seconds:
        return "swing nothing"
    way = "back" if past.arc_seconds > 0 else "further"
    return f"swing {way} {Angle.from_arc_seconds(seconds).dms()}"
