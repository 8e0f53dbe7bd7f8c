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

Segments = NDArray[np.float64]  # shape (n, 4): x0, y0, x1, y1 in pixels


@lru_cache(maxsize=32)
def _font(size: int, bold: bool) -> ImageFont.FreeTypeFont:
    path = findfont(FontProperties(family="DejaVu Sans", weight="bold" if bold else "normal"))
    return ImageFont.truetype(path, size, layout_engine=ImageFont.Layout.BASIC)


@lru_cache(maxsize=512)
def _glyphs(text: str, size: int, bold: bool) -> tuple[NDArray[np.uint16], int, int]:
    mask, (left, top) = _font(size, bold).getmask2(text, "L")
    width, height = mask.size
    cover = np.frombuffer(bytes(mask), np.uint8).reshape(height, width, 1).astype(np.uint16)
    # From 255 parts to 256, so that blending shifts instead of dividing.
    return cover + (cover >> 7), int(left), int(top)


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
                :3,
            ]
            area[...] = [round(255 * part) for part in colors.to_rgb(self.paper)]
        alpha, left, top = _glyphs(self.text, self.size, self.bold)
        x = round(self.left) + left
        y = round(rows - self.bottom - self.height) + top
        x0, y0 = max(x, 0), max(y, 0)
        x1, y1 = min(x + alpha.shape[1], columns), min(y + alpha.shape[0], rows)
        if x0 >= x1 or y0 >= y1:
            return
        cover = alpha[y0 - y : y1 - y, x0 - x : x1 - x]
        ink = np.array([round(255 * part) for part in colors.to_rgb(self.colour)], np.uint16)
        area = pixels[y0:y1, x0:x1, :3]
        area[...] = (area * (256 - cover) + ink * cover) >> 8


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
            reach = np.minimum(
                half_width / np.maximum(np.abs(self.cos), 1e-9),
                half_height / np.maximum(np.abs(self.sin), 1e-9),
            )
            x = wish.anchor[0] + self.cos * (self.rings + reach)
            y = wish.anchor[1] + self.sin * (self.rings + reach)
            spots = np.column_stack(
                [x - half_width, y - half_height, x + half_width, y + half_height]
            )
            grown = spots + np.array([-1, -1, 1, 1]) * self.margin
            off = np.abs(np.angle(np.exp(1j * (self.turns - math.radians(wish.direction)))))
            cost = self.rings / self.rings[0] + 3.0 * off
            cost += 1000.0 * boxes_cross_segments(grown, segments).sum(axis=1)
            if taken:
                others = np.array(taken)
                cost += 1500.0 * boxes_overlap(grown, others).sum(axis=1)
                if wish.leader is not None:
                    leads = np.column_stack([np.tile(wish.anchor, (len(x), 1)), x, y])
                    cost += 400.0 * boxes_cross_segments(others, leads).sum(axis=0)
            cost += 5000.0 * (
                (spots[:, 0] < self.frame[0])
                | (spots[:, 1] < self.frame[1])
                | (spots[:, 2] > self.frame[2])
                | (spots[:, 3] > self.frame[3])
            )
            if wish.last is not None:
                moved = np.hypot(
                    self.cos * (self.rings + reach) - wish.last[0],
                    self.sin * (self.rings + reach) - wish.last[1],
                )
                cost += np.where(moved > 4.0 * self.margin, 2.5, 0.0) + moved / self.rings[-1] * 4
            best = int(np.argmin(cost))
            far = self.rings[best] + reach[best]
            wish.last = (float(self.cos[best] * far), float(self.sin[best] * far))
            label.left, label.bottom = float(spots[best, 0]), float(spots[best, 1])
            taken.append(tuple(spots[best]))
