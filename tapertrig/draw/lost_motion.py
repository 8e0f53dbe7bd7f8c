"""Lost motion: the screw's thread in the slot of the nut, and the loop it draws."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tapertrig.draw.parts.dial import DialCollar
from tapertrig.draw.parts.scene import Scene, box
from tapertrig.lathe import Dial, length_text

CHART_LEFT, CHART_LOW, CHART_SIZE = 1.35, 1.35, 6.2
SLOT_LEFT, SLOT_Y = 9.6, 3.2
SLOT_TRAVEL, SLOT_PER_SPAN = 3.2, 3.2
TOOTH = 0.55


@dataclass(frozen=True)
class LostMotionState:
    """Handwheel and slide positions so far, in order, both zero at first; lengths in `unit`."""

    handwheels: tuple[float, ...]
    slides: tuple[float, ...]
    lost_motion: float
    span: float
    dial: Dial
    unit: str

    @property
    def handwheel(self) -> float:
        """Where the handwheel stands now."""
        return self.handwheels[-1]

    @property
    def slide(self) -> float:
        """Where the slide stands now."""
        return self.slides[-1]

    @property
    def behind(self) -> float:
        """How far the slide lags the handwheel now, 0 to the whole lost motion."""
        return self.handwheel - self.slide


def chart_points(state: LostMotionState) -> NDArray[np.float64]:
    """The path on the chart in board units, shape (n, 2): handwheel across, slide up."""
    path = np.column_stack([state.handwheels, state.slides])
    return np.array([CHART_LEFT, CHART_LOW]) + path / state.span * CHART_SIZE


class LostMotionScene(Scene):
    """Chart of slide against handwheel, the thread in its slot, and the dial."""

    def build(self) -> None:
        right, top = CHART_LEFT + CHART_SIZE, CHART_LOW + CHART_SIZE
        self.line("ink", [CHART_LEFT, CHART_LEFT], [CHART_LOW, top], weight=0.7, moving=False)
        self.line("ink", [CHART_LEFT, right], [CHART_LOW, CHART_LOW], weight=0.7, moving=False)
        self.line("guide", [CHART_LEFT, right], [CHART_LOW, top], weight=0.5, moving=False)
        self.caption("handwheel, as its dial tells", CHART_LEFT + CHART_SIZE / 2, 0.75, 0.5, 1)
        self.caption("slide", CHART_LEFT, top + 0.12, 0.5, 0)
        self.caption("no lost motion", right + 0.1, top + 0.02, 1.0, 0)
        self.path = self.line("compound", weight=1.6, zorder=6)
        self.now = self.line(
            "cross", marker="o", markersize=6 * self.style.scale, linestyle="none", zorder=8
        )
        self.lag = self.line("cross", weight=1.1)
        self.lag_words = self.label(role="cross", bold=True, leader=True)
        self.slot = [self.area("brass", clear=True, zorder=3) for _ in range(3)]
        self.tooth = self.area("metal", clear=True, zorder=4, weight=0.9)
        self.shaft = self.area("metal", clear=True, zorder=2)
        self.gap = self.line("cross", weight=1.4, zorder=6)
        self.slide_words = self.label(role="ink", size="small", free=False)
        self.screw_words = self.label(role="ink", size="small", free=False)
        self.gap_words = self.label(role="cross", size="small", free=False, bold=True)
        self.dial = DialCollar(self, 12.7, 7.0, 5.6, 1.2, "handwheel")

    def move(self, state: LostMotionState) -> None:
        points = chart_points(state)
        self.path.set_data(*points.T)
        x, y = points[-1]
        hidden = self.hide_answers
        self.now.set_data([x], [CHART_LOW if hidden else y])
        diagonal = CHART_LOW + (x - CHART_LEFT)
        self.path.set_visible(not hidden)
        self.lag.set_data([x, x], [y, diagonal] if not hidden else [y, y])
        self.say(
            self.lag_words,
            "where is the slide?" if hidden else f"behind {length_text(state.behind, state.unit)}",
            x,
            CHART_LOW + 0.4 if hidden else (y + diagonal) / 2,
            -30,
        )
        self._move_slot(state)
        self.dial.move(state.dial, float(state.dial.reading(state.handwheel)), "dial")

    def _move_slot(self, state: LostMotionState) -> None:
        """The tooth moves with the handwheel; its slot, drawn magnified, with the slide."""
        scale = 0.9 / max(state.lost_motion, 0.002 * state.span)
        gap = state.lost_motion * scale
        slide = 0.0 if self.hide_answers else state.slide / state.span * SLOT_TRAVEL
        left = SLOT_LEFT + slide
        tooth = left + (gap / 2 if self.hide_answers else state.behind * scale)
        low, high = SLOT_Y - 0.8, SLOT_Y + 0.35
        jaw = 0.75
        for area, (x0, x1, bottom) in zip(
            self.slot,
            (
                (left - jaw, left, low),
                (left + gap + TOOTH, left + gap + TOOTH + jaw, low),
                (left - jaw, left + gap + TOOTH + jaw, high),
            ),
            strict=True,
        ):
            top = high if bottom == low else high + 0.55
            area.set_xy(box(x0, bottom, x1, top))
        self.tooth.set_xy(box(tooth, low - 0.4, tooth + TOOTH, high - 0.15))
        self.shaft.set_xy(box(8.6, low - 0.9, 15.8, low - 0.4))
        self.gap.set_data([left, tooth], [SLOT_Y - 0.3] * 2)
        self.gap.set_visible(not self.hide_answers and tooth - left > 0.05)
        middle = left + (gap + TOOTH) / 2
        self.put(self.slide_words, "slide, with its nut", middle, high + 0.62, 0.5, 0)
        self.put(self.screw_words, "screw, turned by the handwheel", 12.2, low - 1.0, 0.5, 1)
        told = "slack?" if self.hide_answers else f"slack {length_text(state.behind, state.unit)}"
        self.put(self.gap_words, told, middle, high + 1.05, 0.5, 0)
