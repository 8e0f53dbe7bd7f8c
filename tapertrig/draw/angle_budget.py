"""What each part adds to the uncertainty of the half angle, and the whole beside the tolerance."""

from __future__ import annotations

import math

import numpy as np
from matplotlib.lines import Line2D
from numpy.typing import NDArray

from tapertrig.budget.state import THE_CUT, BudgetState
from tapertrig.draw.parts.magnified import arc_end, arc_end_text, arc_text
from tapertrig.draw.parts.scene import DOTS_PER_INCH, Scene, box

BAR_LEFT, BAR_RUN = 0.3, 6.1
TOP_BAR_Y, BAR_PITCH = 8.3, 0.9
GROUPS = 7
MIDDLE_X, REACH, BASE_Y = 12.4, 3.05, 2.35
BAND_TOP, PEAK = 6.35, 3.55
HISTOGRAM_BARS = 32
CURVE = np.linspace(-4, 4, 81)


def seconds(radians: float | NDArray[np.float64]) -> float | NDArray[np.float64]:
    """Radians in arc-seconds."""
    return np.degrees(radians) * 3600


def effects(state: BudgetState) -> NDArray[np.float64]:
    """What each group adds, arc-seconds, in the order of the rows."""
    return np.asarray(seconds(np.array([group.effect for group in state.groups])))


def running_totals(state: BudgetState) -> NDArray[np.float64]:
    """All down to each row together, arc-seconds: the root of the sum of squares."""
    return np.sqrt(np.cumsum(effects(state) ** 2))


def spread_end(state: BudgetState) -> int:
    """End of the scale under the histogram, arc-seconds each way: spread and tolerance, whole."""
    spread = float(seconds(state.whole.standard_uncertainty))
    return arc_end(max(3.6 * spread, 1.12 * float(state.half_tolerance.arc_seconds), 1.0))


def histogram_outline(state: BudgetState) -> NDArray[np.float64]:
    """Outline of the histogram in board units, shape (n, 2); the normal curve peaks at PEAK."""
    simulated, spread = state.simulated, state.whole.standard_uncertainty
    if simulated is None or spread == 0:
        return np.zeros((1, 2))
    edges, density = simulated.histogram(HISTOGRAM_BARS)
    out = seconds(edges - state.budget.half_angle.radians) / spread_end(state)
    x = MIDDLE_X + REACH * np.clip(np.repeat(out, 2), -1, 1)
    height = np.concatenate([[0], np.repeat(density, 2), [0]])
    y = BASE_Y + PEAK * height * spread * math.sqrt(2 * math.pi)
    return np.column_stack([x, np.minimum(y, BAND_TOP)])


class AngleBudgetScene(Scene):
    """Bars that add up as squares; trials, normal curve and tolerance band on one scale."""

    def build(self) -> None:
        # Large words in a small picture: there is room above and below.
        spare = self.style.spare
        top, pitch = (9.6, 1.3) if spare else (TOP_BAR_Y, BAR_PITCH)
        self.bar_y = top - pitch * np.arange(GROUPS + 1)
        self.told_y = (8.75, 8.0, 7.25) if spare else (8.2, 7.65, 7.05)
        points = self.pixels_per_unit * 72 / DOTS_PER_INCH

        def thick(role: str, height: float, zorder: float) -> Line2D:
            return self.line(
                role,
                linewidth=height * points,
                linestyle="solid",
                solid_capstyle="butt",
                zorder=zorder,
            )

        self.total_edge = thick("axial", 0.34, 4)
        self.total = thick("band", 0.27, 5)
        self.parts = thick("compound", 0.17, 6)
        self.first = thick("cross", 0.17, 7)
        self.whole = thick("angle", 0.27, 7)
        foot = self.bar_y[-1] - 0.28
        for share in (0.0, 0.5, 1.0):
            x = BAR_LEFT + BAR_RUN * share
            self.line("ink", [x, x], [foot, foot - 0.14], weight=0.6, moving=False)
        self.line("ink", [BAR_LEFT, BAR_LEFT + BAR_RUN], [foot, foot], weight=0.6, moving=False)
        self.scale_words = [self.label(size="small", free=False) for _ in range(2)]
        self.caption(
            "wide: all so far, added as squares",
            BAR_LEFT,
            -0.5 if spare else 0.1,
            0,
            0,
            role="axial",
        )
        self.row_words = [self.label(size="small", free=False) for _ in range(GROUPS)]
        self.values = [self.label(size="small", free=False) for _ in range(GROUPS)]
        self.whole_words = self.label(size="small", free=False, role="angle", bold=True)
        self.first_words = self.label(size="small", free=False, role="cross", bold=True)
        self._build_spread()

    def _build_spread(self) -> None:
        self.band = self.area("brass", edge="axial", clear=True, zorder=1)
        self.proven = self.area("band", clear=True, zorder=2)
        self.accept = self.line("axial", weight=0.6, zorder=5)
        self.bars = self.area("metal", zorder=3, clear=True)
        self.curve = self.line("compound", weight=1.2, zorder=6)
        self.bracket = self.line("angle", weight=1.1, zorder=6)
        ends = [MIDDLE_X - REACH, MIDDLE_X + REACH]
        self.line("ink", ends, [BASE_Y, BASE_Y], weight=0.7, moving=False)
        for share in (-1, -0.5, 0, 0.5, 1):
            x = MIDDLE_X + REACH * share
            self.line("ink", [x, x], [BASE_Y, BASE_Y - 0.12], weight=0.6, moving=False)
        self.caption("0", MIDDLE_X, BASE_Y - 0.6, 0.5, 1)
        self.caption("half angle out by", MIDDLE_X, 0.7, 0.5, 0)
        self.end_words = [self.label(size="small", free=False) for _ in range(2)]
        self.ratio_words = self.label(bold=True, free=False)
        self.verdict_words = self.label(size="small", free=False)
        self.expanded_words = self.label(size="small", free=False, role="angle", bold=True)
        self.tolerance_words = self.label(size="small", free=False, role="axial", bold=True)

    def move(self, state: BudgetState) -> None:
        self._move_bars(state)
        self._move_spread(state)
        self._say(state)

    def _rows(self, line: Line2D, lengths: NDArray, y: NDArray) -> None:
        gap = np.full_like(lengths, np.nan)
        ends = BAR_LEFT + BAR_RUN * np.minimum(lengths, 1.0)
        line.set_data(
            np.column_stack([np.full_like(lengths, BAR_LEFT), ends, gap]).ravel(),
            np.column_stack([y, y, gap]).ravel(),
        )

    def _move_bars(self, state: BudgetState) -> None:
        added, totals = effects(state), running_totals(state)
        end = arc_end(float(totals[-1]))
        y = self.bar_y[:-1]
        shown = 0.0 if self.hide_answers else 1.0
        first = int(np.argmax(added))
        others = np.arange(GROUPS) != first
        self._rows(self.total_edge, shown * totals / end, y)
        self._rows(self.total, shown * totals / end, y)
        self._rows(self.parts, shown * added[others] / end, y[others])
        self._rows(self.first, shown * added[[first]] / end, y[[first]])
        self._rows(self.whole, shown * totals[[-1]] / end, self.bar_y[[-1]])
        foot = self.bar_y[-1] - 0.46
        for wish, share in zip(self.scale_words, (0.5, 1.0), strict=True):
            words = "" if self.hide_answers else arc_end_text(end * share)
            self.put(wish, words, BAR_LEFT + BAR_RUN * share, foot, 0.5, 1)
        drop = -0.15 if self.style.spare else 0.0
        for index, group in enumerate(state.groups):
            row_y = y[index]
            self.put(self.row_words[index], group.name, BAR_LEFT, row_y + 0.2, 0, 0)
            told = "?" if self.hide_answers else arc_text(group.effect)
            if group.name == THE_CUT and state.part is None:
                told = "not given"
            self.put(self.values[index], told, BAR_LEFT + BAR_RUN + 0.2, row_y + drop, 0, 0.5)
        untold = self.hide_answers or self.style.spare or not added[first]
        words = "" if untold else "attack first"
        self.put(self.first_words, words, BAR_LEFT + BAR_RUN, y[first] + 0.2, 1, 0)
        total = "?" if self.hide_answers else arc_text(state.whole.standard_uncertainty)
        self.put(self.whole_words, f"together: u = {total}", BAR_LEFT, self.bar_y[-1] + 0.2, 0, 0)

    def _move_spread(self, state: BudgetState) -> None:
        end = spread_end(state)
        allowed = float(state.half_tolerance.arc_seconds) / end
        edge = REACH * allowed
        self.band.set_xy(box(MIDDLE_X - edge, BASE_Y, MIDDLE_X + edge, BAND_TOP))
        hidden = self.hide_answers
        inside = float(seconds(state.prospect.acceptance)) / end
        held, nothing = inside > 0 and not hidden, np.zeros((1, 2))
        self._uprights(self.accept, inside if held else math.nan)
        accepted = box(MIDDLE_X - REACH * inside, BASE_Y, MIDDLE_X + REACH * inside, BAND_TOP)
        self.proven.set_xy(accepted if held else nothing)
        self.bars.set_xy(nothing if hidden else histogram_outline(state))
        spread = float(seconds(state.whole.standard_uncertainty)) / end
        self.curve.set_data(
            MIDDLE_X + REACH * np.clip(CURVE * spread, -1, 1),
            BASE_Y + PEAK * np.exp(-(CURVE**2) / 2),
        )
        self.curve.set_visible(not hidden and spread > 0)
        reach = REACH * min(float(seconds(state.prospect.expanded)) / end, 1.0)
        low, high, y = MIDDLE_X - reach, MIDDLE_X + reach, BASE_Y - 0.33
        self.bracket.set_data(
            [low, low, low, high, high, high], [y - 0.12, y + 0.12, y, y, y + 0.12, y - 0.12]
        )
        self.bracket.set_visible(not hidden)
        for wish, sign in zip(self.end_words, (-1, 1), strict=True):
            words = "" if hidden else f"{'−' if sign < 0 else '+'}{arc_end_text(end)}"
            self.put(wish, words, MIDDLE_X + sign * REACH, BASE_Y - 0.6, 0.5, 1)

    def _uprights(self, line: Line2D, share: float) -> None:
        x = [MIDDLE_X - REACH * share] * 2 + [math.nan] + [MIDDLE_X + REACH * share] * 2
        line.set_data(x, [BASE_Y, BAND_TOP - 0.1, math.nan, BASE_Y, BAND_TOP - 0.1])

    def _say(self, state: BudgetState) -> None:
        hidden = self.hide_answers
        ratio = "?" if hidden else state.ratio_text
        self.put(self.ratio_words, f"tolerance ÷ U = {ratio}", MIDDLE_X, self.told_y[0], 0.5, 0)
        self.put(
            self.verdict_words, "" if hidden else state.verdict, MIDDLE_X, self.told_y[1], 0.5, 0
        )
        expanded = "?" if hidden else f"±{arc_text(state.prospect.expanded)}"
        self.put(self.expanded_words, f"U = {expanded} (95 %)", MIDDLE_X, self.told_y[2], 0.5, 0)
        words = f"tolerance of α ±{state.half_tolerance.brief()}"
        self.put(self.tolerance_words, words, MIDDLE_X, BAND_TOP + 0.1, 0.5, 0)
