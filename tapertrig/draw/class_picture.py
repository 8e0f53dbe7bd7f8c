"""A class's answers as bars: which mistakes, which topics, how many tries."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from tapertrig.draw.parts.label import Wish
from tapertrig.draw.parts.redrawn import RedrawnScene
from tapertrig.draw.parts.scene import box
from tapertrig.practice.class_book import Classbook, Share

VIEWS = ("mistakes", "topics", "learners", "tries")
MOST_BARS = {"mistakes": 8, "topics": 14, "learners": 14, "tries": 8}
# Bars with problems met as their outline; their words are longer.
MET = ("topics", "learners")
BARS_LEFT, BARS_RIGHT = 9.0, 14.6
TOP, BOTTOM = 7.7, 0.5
LONGEST_NAME = 46


@dataclass(frozen=True)
class Bar:
    """One bar: its name, its length, the part of it that is filled, and the words at its end."""

    name: str
    length: float
    filled: float
    words: str


@dataclass(frozen=True)
class ClassPictureState:
    """Whose answers, which view of them, and a mark where they are invented."""

    book: Classbook
    view: str = "mistakes"
    who: str = "the whole class"
    mark: str = ""

    @property
    def bars(self) -> tuple[Bar, ...]:
        """The bars of the view; those beyond the room are gathered in a last one."""
        bars = {
            "mistakes": self._mistakes,
            "topics": lambda: _met(self.book.by_topic()),
            "learners": lambda: _met(self.book.by_learner()),
            "tries": self._tries,
        }[self.view]()
        most = MOST_BARS[self.view]
        if len(bars) <= most:
            return tuple(bars)
        rest = bars[most - 1 :]
        count = sum(bar.length for bar in rest)
        return (
            *bars[: most - 1],
            Bar(f"{len(rest)} others", count, sum(bar.filled for bar in rest), f"{count:g}"),
        )

    @property
    def heading(self) -> str:
        """What the bars count."""
        return {
            "mistakes": "Wrong answers by mistake",
            "topics": "Problems met (outline) and solved (filled)",
            "learners": "Problems met (outline) and solved (filled)",
            "tries": "Solved problems by answers needed",
        }[self.view]

    def _mistakes(self) -> list[Bar]:
        return [Bar(name, n, n, str(n)) for name, n in self.book.by_mistake().items()]

    def _tries(self) -> list[Bar]:
        return [
            Bar(f"{tries} {'answer' if tries == 1 else 'answers'}", n, n, str(n))
            for tries, n in self.book.tries().items()
        ]


def _met(shares: Mapping[str, Share]) -> list[Bar]:
    bars = []
    for name, share in shares.items():
        tries = share.tries_to_solve
        mean = "" if tries is None else f", {tries:.1f} tries"
        bars.append(
            Bar(name, share.problems, share.solved, f"{share.solved}/{share.problems}{mean}")
        )
    return bars


def bar_corners(state: ClassPictureState) -> list[np.ndarray]:
    """The outline of each bar in board units, shape (4, 2), the first bar at the top."""
    bars = state.bars
    pitch = min(0.9, (TOP - BOTTOM) / max(1, len(bars)))
    longest = max((bar.length for bar in bars), default=1) or 1
    room = (BARS_RIGHT if state.view not in MET else 12.2) - _left(state)
    corners = []
    for index, bar in enumerate(bars):
        high = TOP - index * pitch
        low = high - 0.7 * pitch
        right = _left(state) + room * bar.length / longest
        left = _left(state)
        corners.append(np.array(box(left, low, right, high)))
    return corners


def _left(state: ClassPictureState) -> float:
    return BARS_LEFT if state.view == "mistakes" else 4.0


class ClassPictureScene(RedrawnScene):
    """Bars with their names to the left and their numbers at their ends."""

    def draw(self, state: ClassPictureState) -> None:
        self.caption(f"{state.heading}: {state.who}", 0.3, 8.85, 0, 1, size="label", bold=True)
        if state.mark:
            self.caption(state.mark, 15.8, 0.1, 1, 0)
        if not state.bars:
            self.caption("No such answers.", 8, 4.5, size="label")
        letter = 0.6 * self.style.sizes["small"] / self.pixels_per_unit
        longest = min(LONGEST_NAME, int((_left(state) - 0.3) / letter))
        for bar, corners in zip(state.bars, bar_corners(state), strict=True):
            left, low = corners[0]
            right, high = corners[2]
            if bar.filled < bar.length:
                self.area("paper", corners, edge="compound", weight=0.6)
            part = bar.filled / bar.length if bar.length else 0
            filled = corners.copy()
            filled[1:3, 0] = left + (right - left) * part
            if part:
                self.area("compound", filled, edge="compound", weight=0.6)
            middle = (low + high) / 2
            name = bar.name
            if len(name) > longest:
                name = name[: longest - 1].rstrip() + "…"
            self.caption(name, left - 0.2, middle, 1)
            self.caption(bar.words, right + 0.15, middle, 0, bold=True)

    def caption(
        self, text: str, x: float, y: float, across: float = 0.5, up: float = 0.5, **look: Any
    ) -> Wish:
        """Fixed words; nothing of this scene is kept from state to state."""
        look = {"size": "small", **look}
        wish = self.label(free=False, **look)
        self.put(wish, text, x, y, across, up)
        return wish
