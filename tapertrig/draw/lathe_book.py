"""A lathe as it is described: its two dials, and the base with slide and rim from above."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tapertrig.draw.parts.dial import DialCollar
from tapertrig.draw.parts.label import Wish
from tapertrig.draw.parts.scene import Scene
from tapertrig.lathe import Dial, figure_text

# Middle and largest radius of the base; the four words; middle, width and height of the collars.
# Beside one another, and where words are large and there is room below.
WIDE = (4.0, 4.6, 3.3), ((0.2, 8.45), (4.9, 8.45), (0.2, 0.1), (4.5, 0.1)), (12.2, 6.6, 2.5, 6.4)
SPARE = (3.5, 8.6, 2.9), ((7.0, 11.0), (7.0, 10.2), (7.0, 6.9), (7.0, 6.1)), (8.0, 3.6, -0.3, 9.0)
USUAL_RIM, SLIDE_WIDTH = 0.55, 1.0
READS = {"radius": "reads slide movement", "diameter": "reads the diameter"}


@dataclass(frozen=True)
class LatheShown:
    """What the picture shows of a lathe; None where it is not given. Lengths in `unit`."""

    unit: str
    compound_dial: Dial | None = None
    cross_dial: Dial | None = None
    base_zero: str | None = None
    base_radius: float | None = None
    compound_reach: float | None = None

    @property
    def largest(self) -> float:
        """The larger of rim radius and half the travel, which the picture is to the scale of."""
        return max(self.base_radius or 0.0, (self.compound_reach or 0.0) / 2) or 1.0


class LatheBookScene(Scene):
    """Base and slide, the base at its zero; the two collars at theirs."""

    def build(self) -> None:
        base, words, (x, compound_y, cross_y, width) = SPARE if self.style.spare else WIDE
        (self.x, self.y, self.most), self.places = base, words
        self.rim = self.area("metal", zorder=1)
        self.scale = self.line("ink", weight=0.5, clear=False, zorder=2)
        self.slide = self.area("brass", zorder=3)
        ends = [self.x - self.most - 0.3, self.x + self.most + 0.3]
        self.line("axis", ends, [self.y, self.y], weight=0.6, moving=False, clear=False)
        self.caption("bed", ends[1] + 0.1, self.y, 0, 0.5, role="axis")
        self.travel = self.line("compound", weight=2.0, clear=False, zorder=6)
        self.radius = self.line("ink", weight=0.8, clear=False, zorder=6)
        self.words = [
            self.label(role="compound" if place == 2 else "ink", bold=place == 1, free=False)
            for place in range(4)
        ]
        self.collars = [
            (DialCollar(self, x, y, width, 1.2), self._under(role), self._under("ink"))
            for y, role in ((compound_y, "compound"), (cross_y, "cross"))
        ]

    def _under(self, role: str) -> Wish:
        return self.label(size="small", role=role, bold=role != "ink", free=False)

    def move(self, state: LatheShown) -> None:
        known, per_unit = state.base_zero is not None, self.most / state.largest
        rim = (state.base_radius or 0.0) * per_unit or USUAL_RIM * self.most
        half = (state.compound_reach or 0.0) * per_unit / 2 or 0.8 * rim
        self._move_rim(rim, state.base_radius is not None)
        along = np.array([0.0, 1.0] if state.base_zero == "square to bed" else [1.0, 0.0])
        across, middle = along[::-1] * SLIDE_WIDTH / 2, np.array([self.x, self.y])
        head, handle = middle - along * half, middle + along * half
        self.slide.set_xy([head - across, handle - across, handle + across, head + across])
        self.slide.set_visible(known)
        self.travel.set_data(*np.array([head, handle]).T)
        self.travel.set_visible(known and state.compound_reach is not None)
        told = (
            "slide at the base's 0:", state.base_zero or "not given",
            f"travel {_known(state.compound_reach, state.unit)}",
            f"rim radius {_known(state.base_radius, state.unit)}",
        )  # fmt: skip
        for wish, words, place in zip(self.words, told, self.places, strict=True):
            self.put(wish, words, *place, 0, 0)
        for name, dial, collar in zip(
            ("compound", "cross"),
            (state.compound_dial, state.cross_dial),
            self.collars,
            strict=True,
        ):
            self._move_dial(name, dial, state.unit, *collar)

    def _move_rim(self, rim: float, known: bool) -> None:
        self.rim.set_xy(self._round(rim, np.linspace(0, 360, 73)))
        outer, inner = (self._round(rim * each, np.arange(0.0, 360.0, 10.0)) for each in (1, 0.93))
        marks = np.stack([outer, inner, np.full_like(outer, np.nan)], axis=1)
        self.scale.set_data(*marks.reshape(-1, 2).T)
        self.radius.set_data(*np.vstack([self._round(0, np.zeros(1)), self._round(rim, 235.0)]).T)
        self.radius.set_visible(known)

    def _round(self, radius: float, degrees: NDArray[np.float64] | float) -> NDArray[np.float64]:
        turn = np.radians(np.atleast_1d(degrees))
        return [self.x, self.y] + radius * np.column_stack([np.cos(turn), np.sin(turn)])

    def _move_dial(
        self, name: str, dial: Dial | None, unit: str, collar: DialCollar, turn: Wish, line: Wish
    ) -> None:
        low = collar.y - collar.height / 2 - 0.12
        told = moves = ""
        if dial is None:
            collar.blank(f"{name} dial not given")
        else:
            collar.move(dial, 0.0, f"{name} dial {READS[dial.reads]}")
            told = f"{_known(dial.per_turn, unit)} a turn, {_known(dial.graduation, unit)} a line"
            moves = f"one line moves the slide {_known(dial.movement_per_graduation, unit)}"
        self.put(turn, told, collar.x, low, 0.5, 1)
        self.put(line, moves, collar.x, low - (0.75 if self.style.spare else 0.55), 0.5, 1)


def _known(value: float | None, unit: str) -> str:
    return "not given" if value is None else f"{figure_text(value, unit)} {unit}"
