"""Labels: text that is quick to redraw, and the finding of a clear place for it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
from matplotlib import colors
from matplotlib.artist import Artist
from matplotlib.font_manager import FontProperties, findfont
from matplotlib.lines import Line2D
from matplotlib.transforms import Bbox
from numpy.typing import NDArray
from PIL import ImageFont

AT_A_TIME = 16
TURN = 2 * math.pi
Segments = NDArray[np.float64]  # shape (n, 4): x0, y0, x1, y1 in pixels


@lru_cache(maxsize=32)
def _font(size: int, bold: bool) -> ImageFont.FreeTypeFont:
    path = findfont(FontProperties(family="DejaVu Sans", weight="bold" if bold else "normal"))
    return ImageFont.truetype(path, size, layout_engine=ImageFont.Layout.BASIC)


@lru_cache(maxsize=64)
def _bytes_of(colour: str) -> NDArray[np.uint8]:
    return np.array([round(255 * part) for part in colors.to_rgba(colour)], np.uint8)


@lru_cache(maxsize=256)
def _cover(text: str, size: int, bold: bool) -> tuple[NDArray[np.uint8], int, int]:
    """How much of each pixel is inked, 0 to 255, and the offset from the text's place."""
    mask, (left, top) = _font(size, bold).getmask2(text, "L")
    width, height = mask.size
    return np.frombuffer(bytes(mask), np.uint8).reshape(height, width), int(left), int(top)


class Label(Artist):
    """One line of level text at a pixel place, redrawn several times faster than Text.

    `anchor` is what it speaks of, in pixels from the lower left; `box` is where it stands:
    left, bottom, width, height. Matplotlib lays out and renders text anew for each change of a
    digit, which takes longer than all the lines of a scene; Pillow does it in a fraction.
    """

    def __init__(
        self, text: str, *, size: int, colour: str, bold: bool = False, paper: str | None = None
    ) -> None:
        super().__init__()
        self.size, self.bold, self.colour, self.paper = size, bold, colour, paper
        self.left = self.bottom = 0.0
        self.set_zorder(20)
        self.set_animated(True)
        self.text = ""
        self.set_text(text)

    def set_text(self, text: str) -> None:
        """Change the words; the place stays until it is placed again."""
        if text == self.text and text:
            return
        self.text = text
        font = _font(self.size, self.bold)
        self.width = math.ceil(font.getlength(text)) if text else 0
        ascent, descent = font.getmetrics()
        self.rise = ascent
        self.height = ascent + descent

    @property
    def cap_height(self) -> float:
        """Height of a capital letter in pixels."""
        box = _font(self.size, self.bold).getbbox("H")
        return box[3] - box[1]

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, bottom, right, top in pixels from the lower left of the picture."""
        return self.left, self.bottom, self.left + self.width, self.bottom + self.height

    def get_window_extent(self, renderer: object = None) -> Bbox:
        """The box as matplotlib's Bbox."""
        return Bbox.from_extents(*self.box)

    def put(self, x: float, y: float, across: float = 0.5, up: float = 0.5) -> None:
        """Stand so that the fraction (across, up) of the box falls on pixel (x, y)."""
        self.left = round(x - across * self.width)
        self.bottom = round(y - up * self.height)

    def draw(self, renderer: object) -> None:
        """Blend the text into the renderer's pixels."""
        if not self.get_visible() or not self.text:
            return
        pixels = np.asarray(renderer.buffer_rgba())  # type: ignore[attr-defined]
        rows, columns = pixels.shape[:2]
        if self.paper is not None:
            left, bottom, right, top = self.box
            pad = max(2, self.size // 10)
            area = pixels[
                max(0, round(rows - top) + pad // 2) : max(0, round(rows - bottom)),
                max(0, round(left) - pad) : max(0, round(right) + pad),
            ]
            area[...] = _bytes_of(self.paper)
        cover, left, top = _cover(self.text, self.size, self.bold)
        x = round(self.left) + left
        y = round(rows - self.bottom - self.height) + top
        x0, y0 = max(x, 0), max(y, 0)
        x1, y1 = min(x + cover.shape[1], columns), min(y + cover.shape[0], rows)
        if x0 >= x1 or y0 >= y1:
            return
        # All four parts of a pixel, opacity too, so that whole rows are blended in one sweep.
        part = np.repeat(cover[y0 - y : y1 - y, x0 - x : x1 - x, None], 4, axis=2)
        part = part.astype(np.uint16)
        # From 255 parts to 256, so that blending shifts instead of dividing. A difference below
        # nothing wraps around, and the sum wraps it back.
        part += part >> 7
        area = pixels[y0:y1, x0:x1]
        part *= _bytes_of(self.colour) - area.astype(np.uint16)
        part += area.astype(np.uint16) << 8
        part >>= 8
        area[...] = part


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


def _cheapest(cost: NDArray[np.float64], boxes: NDArray[np.float64], segments: Segments) -> int:
    """The box of least cost when each segment that touches it adds 1,000.

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
    return best


@dataclass
class Wish:
    """Where a label would like to stand: near an anchor, best in one direction from it."""

    label: Label
    anchor: tuple[float, float] = (0.0, 0.0)
    direction: float = 90.0  # degrees, anticlockwise from right
    leader: Line2D | None = None
    last: tuple[float, float] | None = field(default=None, repr=False)


class Placer:
    """Finds each label a clear place near its anchor: off all lines, boxes and other labels.

    The labels come in order of importance. Of the clear places the one nearest to the wished
    direction wins; the place of the frame before is preferred, so that labels do not flutter.
    """

    def __init__(self, width: int, height: int, scale: float) -> None:
        self.frame = (4.0, 4.0, width - 4.0, height - 4.0)
        turns = np.radians(np.arange(0, 360, 18))
        rings = np.array([8.0, 20.0, 38.0, 64.0, 100.0, 150.0, 210.0, 280.0]) * scale
        self.turns = np.tile(turns, len(rings))
        self.rings = np.repeat(rings, len(turns))
        self.cos, self.sin = np.cos(self.turns), np.sin(self.turns)
        self.across = 1 / np.maximum(np.abs(self.cos), 1e-9)
        self.up = 1 / np.maximum(np.abs(self.sin), 1e-9)
        self.nearness = self.rings / self.rings[0]
        self.margin = 3.0 * scale

    def place(
        self, wishes: Sequence[Wish], segments: Segments, boxes: NDArray[np.float64] | None = None
    ) -> None:
        """Put every visible label; `boxes` (n, 4) are places to keep off besides `segments`."""
        taken = [] if boxes is None else [tuple(box) for box in boxes]
        for wish in wishes:
            label = wish.label
            if not label.get_visible() or not label.text:
                continue
            half_width, half_height = label.width / 2, label.height / 2
            # The box touches the ring from outside: its centre lies further out by its reach.
            out = self.rings + np.minimum(half_width * self.across, half_height * self.up)
            aside, above = self.cos * out, self.sin * out
            x, y = wish.anchor[0] + aside, wish.anchor[1] + above
            grown = np.empty((len(x), 4))
            grown[:, 0], grown[:, 2] = x - half_width - self.margin, x + half_width + self.margin
            grown[:, 1], grown[:, 3] = y - half_height - self.margin, y + half_height + self.margin
            off = math.pi - np.abs((self.turns - math.radians(wish.direction)) % TURN - math.pi)
            cost = self.nearness + 3.0 * off
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
            if wish.last is not None:
                moved = np.hypot(aside - wish.last[0], above - wish.last[1])
                cost += 2.5 * (moved > 4.0 * self.margin) + moved * (4 / self.rings[-1])
            best = _cheapest(cost, grown, segments)
            wish.last = (float(aside[best]), float(above[best]))
            label.left, label.bottom = float(x[best] - half_width), float(y[best] - half_height)
            taken.append(label.box)
