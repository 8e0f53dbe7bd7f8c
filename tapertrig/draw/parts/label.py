"""Labels: text measured by matplotlib's own font, and the finding of a clear place for it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.font_manager import FontProperties, findfont, get_font
from matplotlib.ft2font import LoadFlags
from matplotlib.lines import Line2D
from matplotlib.transforms import Bbox
from numpy.typing import NDArray

AT_A_TIME = 16
HAIR = 0.02  # pixels: a label may stand on a line, not in it
TURN = 2 * math.pi
# DejaVu Sans, in ems: above the baseline, below it, and the height of a capital.
ASCENT, DESCENT, CAPITAL = 1901 / 2048, 483 / 2048, 1493 / 2048
Segments = NDArray[np.float64]  # shape (n, 4): x0, y0, x1, y1 in pixels


@lru_cache(maxsize=2)
def _font(bold: bool) -> Any:
    return get_font(findfont(font_of(1.0, bold)))


@lru_cache(maxsize=64)
def font_of(points: float, bold: bool) -> FontProperties:
    """The font that every label is written in."""
    return FontProperties(family="DejaVu Sans", weight="bold" if bold else "normal", size=points)


@lru_cache(maxsize=1024)
def _advance(letter: str, bold: bool) -> float:
    font = _font(bold)
    return font.load_char(ord(letter), LoadFlags.NO_SCALE).horiAdvance / font.units_per_EM


def width_of(text: str, size: float, bold: bool = False) -> float:
    """Width of a text whose letters have an em of `size`, in the unit of `size`."""
    return size * sum(_advance(letter, bold) for letter in text)


class Label(Artist):
    """One line of level text at a pixel place.

    `box` is where it stands, from the lower left: left, bottom, right, top. It is drawn with
    `draw_text`, so that the same scene makes marks for a browser and a still picture.
    """

    def __init__(self, text: str, *, size: float, colour: str, bold: bool = False) -> None:
        super().__init__()
        self.size, self.bold, self.colour = size, bold, colour
        self.left = self.bottom = 0.0
        self.height = size * (ASCENT + DESCENT)
        self.cap_height = size * CAPITAL
        self.set_zorder(20)
        self.dropped = False  # where a small picture has no room for it
        self.text = ""
        self.width = 0.0
        self.set_text(text)

    def set_text(self, text: str) -> None:
        """Change the words; the place stays until it is placed again."""
        if text != self.text:
            self.text, self.width = text, width_of(text, self.size, self.bold)

    @property
    def shown(self) -> bool:
        """Whether it has words and stands in the picture."""
        return bool(self.text) and self.get_visible() and not self.dropped

    @property
    def look(self) -> tuple[Any, ...]:
        """All that its mark depends on."""
        return (self.text if self.shown else "", self.left, self.bottom, self.colour)

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, bottom, right, top in pixels from the lower left of the picture."""
        return self.left, self.bottom, self.left + self.width, self.bottom + self.height

    def get_window_extent(self, renderer: object = None) -> Bbox:
        """The box as matplotlib's Bbox."""
        return Bbox.from_extents(*self.box)

    def put(self, x: float, y: float, across: float = 0.5, up: float = 0.5) -> None:
        """Stand so that the fraction (across, up) of the box falls on pixel (x, y)."""
        self.left, self.bottom = x - across * self.width, y - up * self.height

    def draw(self, renderer: Any) -> None:
        """Write the text on its baseline."""
        if not self.shown:
            return
        renderer.open_group("text", self.get_gid())
        gc = renderer.new_gc()
        gc.set_foreground(self.colour)
        y = self.bottom + self.size * DESCENT
        if renderer.flipy():
            y = renderer.get_canvas_width_height()[1] - y
        prop = font_of(self.size / renderer.points_to_pixels(1.0), self.bold)
        renderer.draw_text(gc, self.left, y, self.text, prop, 0.0)
        gc.restore()
        renderer.close_group("text")


def segments_of(points: NDArray[np.float64]) -> Segments:
    """A polyline of pixel points, shape (n, 2), as segments, shape (n − 1, 4)."""
    return np.concatenate([points[:-1], points[1:]], axis=1)


def boxes_cross_segments(boxes: NDArray[np.float64], segments: Segments) -> NDArray[np.bool_]:
    """Which boxes (m, 4) are touched by which segments (n, 4): shape (m, n). Slab method."""
    if not len(segments):
        return np.zeros((len(boxes), 0), bool)
    x0, y0, x1, y1 = (segments[:, i][None, :] for i in range(4))
    left, bottom, right, top = (boxes[:, i][:, None] for i in range(4))
    dx = np.where(np.abs(x1 - x0) < 1e-9, 1e-9, x1 - x0)
    dy = np.where(np.abs(y1 - y0) < 1e-9, 1e-9, y1 - y0)
    tx0, tx1 = (left - x0) / dx, (right - x0) / dx
    ty0, ty1 = (bottom - y0) / dy, (top - y0) / dy
    enter = np.maximum(np.minimum(tx0, tx1), np.minimum(ty0, ty1))
    leave = np.minimum(np.maximum(tx0, tx1), np.maximum(ty0, ty1))
    return (enter <= leave) & (leave >= 0) & (enter <= 1)


def boxes_overlap(boxes: NDArray[np.float64], others: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Which boxes (m, 4) overlap which others (n, 4): shape (m, n)."""
    if not len(others):
        return np.zeros((len(boxes), 0), bool)
    a, b = boxes[:, None, :], others[None, :, :]
    return (
        (a[..., 0] < b[..., 2])
        & (b[..., 0] < a[..., 2])
        & (a[..., 1] < b[..., 3])
        & (b[..., 1] < a[..., 3])
    )


def _cheapest(
    cost: NDArray[np.float64], boxes: NDArray[np.float64], segments: Segments
) -> tuple[int, float]:
    """The box of least cost when each segment that touches it adds 1,000, and that cost.

    The boxes are tried from the cheapest on, a few at a time, until no other can be cheaper:
    a clear one is nearly always among the first.
    """
    order = np.argsort(cost, kind="stable")
    best, least = 0, math.inf
    for first in range(0, len(order), AT_A_TIME):
        some = order[first : first + AT_A_TIME]
        if cost[some[0]] >= least:
            break
        whole = cost[some] + 1000.0 * boxes_cross_segments(boxes[some], segments).sum(axis=1)
        if whole.min() < least:
            best, least = int(some[whole.argmin()]), float(whole.min())
    return best, least


@dataclass
class Wish:
    """Where a label would like to stand: near an anchor, best in one direction from it.

    With `pinned` its middle belongs on the anchor itself.
    """

    label: Label
    anchor: tuple[float, float] = (0.0, 0.0)
    direction: float = 90.0  # degrees, anticlockwise from right
    leader: Line2D | None = None
    pinned: bool = False
    last: tuple[float, float] | None = field(default=None, repr=False)

    @property
    def has_one_place(self) -> bool:
        """Whether it is a number on a scale, which says something else a little further on."""
        return self.pinned and len(self.label.text) <= 3


class Placer:
    """Finds each label a clear place near its anchor: off all lines, boxes and other labels.

    The labels come in order of importance. Of the clear places the one nearest to the wished
    direction wins; the place of the frame before is preferred, so that labels do not flutter.
    With `drop`, what finds no clear place is left out.
    """

    def __init__(self, width: float, height: float, scale: float, drop: bool = False) -> None:
        self.size = (width, height)
        self.frame = (4.0 * scale, 4.0 * scale, width - 4.0 * scale, height - 4.0 * scale)
        turns = np.radians(np.arange(0, 360, 18))
        rings = np.array([8.0, 20.0, 38.0, 64.0, 100.0, 150.0, 210.0, 280.0]) * scale
        self.turns = np.tile(turns, len(rings))
        self.rings = np.repeat(rings, len(turns))
        self.cos, self.sin = np.cos(self.turns), np.sin(self.turns)
        self.across = 1 / np.maximum(np.abs(self.cos), 1e-9)
        self.up = 1 / np.maximum(np.abs(self.sin), 1e-9)
        self.nearness = self.rings / self.rings[0]
        self.margin = 3.0 * scale
        self.drop = drop
        # Aside and above, for a label that belongs on one spot: the spot itself first.
        steps = np.concatenate([[0.0], np.repeat(rings[:6], len(turns))])
        ways = np.concatenate([[0.0], np.tile(turns, 6)])
        self.nudges = np.array([steps * np.cos(ways), steps * np.sin(ways)])
        self.nudged = steps / rings[0]

    def _places(self, wish: Wish) -> tuple[NDArray, NDArray, NDArray]:
        """How far aside of and above its anchor a label may stand, and what each place costs."""
        if wish.pinned:
            few = 1 if wish.has_one_place else len(self.nudged)
            return self.nudges[0, :few], self.nudges[1, :few], self.nudged[:few].copy()
        half_width, half_height = wish.label.width / 2, wish.label.height / 2
        # The box touches the ring from outside: its centre lies further out by its reach.
        out = self.rings + np.minimum(half_width * self.across, half_height * self.up)
        off = math.pi - np.abs((self.turns - math.radians(wish.direction)) % TURN - math.pi)
        return self.cos * out, self.sin * out, self.nearness + 3.0 * off

    def clear(self, boxes: NDArray[np.float64], segments: Segments) -> NDArray[np.bool_]:
        """Which boxes (m, 4) stand in the picture, off every segment and every box before them."""
        if not len(boxes):
            return np.zeros(0, bool)
        inner = boxes + HAIR * np.array([1, 1, -1, -1])
        low, high = inner[:, :2] >= 0, inner[:, 2:] <= self.size
        over = np.tril(boxes_overlap(inner, inner), -1).any(axis=1)
        crossed = boxes_cross_segments(inner, segments).any(axis=1)
        return low.all(axis=1) & high.all(axis=1) & ~over & ~crossed

    def place(
        self, wishes: Sequence[Wish], segments: Segments, boxes: NDArray[np.float64] | None = None
    ) -> None:
        """Put every visible label; `boxes` (n, 4) are places to keep off besides `segments`."""
        taken = [] if boxes is None else [tuple(box) for box in boxes.tolist()]
        for wish in wishes:
            label = wish.label
            label.dropped = False
            if not label.shown:
                continue
            half_width, half_height = label.width / 2, label.height / 2
            aside, above, cost = self._places(wish)
            x, y = wish.anchor[0] + aside, wish.anchor[1] + above
            margin = 0.0 if wish.pinned else self.margin
            grown = np.empty((len(x), 4))
            grown[:, 0], grown[:, 2] = x - half_width - margin, x + half_width + margin
            grown[:, 1], grown[:, 3] = y - half_height - margin, y + half_height + margin
            if taken:
                others = np.array(taken)
                cost += 1500.0 * boxes_overlap(grown, others).sum(axis=1)
                if wish.leader is not None:
                    leads = np.empty((len(x), 4))
                    leads[:, :2], leads[:, 2], leads[:, 3] = wish.anchor, x, y
                    cost += 400.0 * boxes_cross_segments(others, leads).sum(axis=0)
            left, bottom, right, top = self.frame
            inside = (x >= left + half_width) & (x <= right - half_width)
            inside &= (y >= bottom + half_height) & (y <= top - half_height)
            cost[~inside] += 5000.0
            if wish.last is not None and not wish.pinned:
                moved = np.hypot(aside - wish.last[0], above - wish.last[1])
                cost += 2.5 * (moved > 4.0 * self.margin) + moved * (4 / self.rings[-1])
            best, least = _cheapest(cost, grown, segments)
            if least >= 400.0 and (self.drop or wish.has_one_place):
                label.dropped = True
                continue
            wish.last = (float(aside[best]), float(above[best]))
            label.left, label.bottom = float(x[best] - half_width), float(y[best] - half_height)
            taken.append(label.box)
