"""Labels: text measured by matplotlib's own font, and the finding of a clear place for it."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
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

AT_A_TIME, FEW, CLEAR = 56, 12, 300.0
HAIR = 0.02  # pixels: a label may stand on a line, not in it
TURN = 2 * math.pi
CROSSED = 6.0  # what a lead costs for each line it crosses, where a ring further out costs 1 to 8
FAR_LEAD = 100.0  # what a name's long lead may cost, crossings and all
LEADER_FROM, DRIFT = 24.0, 16.0  # pixels, in the desk style
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
    """Which boxes (m, 4) are touched by which segments (n, 4): shape (m, n).

    Touched: the segment's own box overlaps, and the corners are not all on one side of its line.
    """
    touched = _near(boxes, segments)
    rows, columns = touched.nonzero()
    x0, y0, x1, y1 = segments[columns].T
    left, bottom, right, top = boxes[rows].T
    across, up = x1 - x0, y1 - y0
    low, high = across * (bottom - y0), across * (top - y0)
    near, far = up * (left - x0), up * (right - x0)
    touched[rows, columns] = (np.minimum(low, high) <= np.maximum(near, far)) & (
        np.maximum(low, high) >= np.minimum(near, far)
    )
    return touched


def _near(boxes: NDArray[np.float64], segments: Segments) -> NDArray[np.bool_]:
    """Which boxes (m, 4) overlap which segments' own boxes (n, 4)."""
    left, bottom, right, top = boxes.T[:, :, None].copy()  # in one piece each: twice as quick
    x0, y0, x1, y1 = segments.T.copy()
    near = left <= np.maximum(x0, x1)
    near &= right >= np.minimum(x0, x1)
    near &= bottom <= np.maximum(y0, y1)
    near &= top >= np.minimum(y0, y1)
    return near


def boxes_overlap(boxes: NDArray[np.float64], others: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Which boxes (m, 4) overlap which others (n, 4): shape (m, n)."""
    if not len(others):
        return np.zeros((len(boxes), 0), bool)
    left, bottom, right, top = boxes.T[:, :, None]
    a, b, c, d = others.T
    return (left < c) & (a < right) & (bottom < d) & (b < top)


def segments_cross(one: Segments, other: Segments) -> NDArray[np.bool_]:
    """Which segments (m, 4) cross which others (n, 4): shape (m, n)."""

    def side(ends: NDArray, a: NDArray, b: NDArray) -> NDArray:
        x, y = b[:, 0] - a[:, 0], b[:, 1] - a[:, 1]
        return x * (ends[:, 1] - a[:, 1]) - y * (ends[:, 0] - a[:, 0])

    ends = np.sort(one.reshape(-1, 2, 2), axis=1).reshape(-1, 4)
    crossed = _near(ends, other)
    rows, columns = crossed.nonzero()
    a, b, c, d = one[rows, :2], one[rows, 2:], other[columns, :2], other[columns, 2:]
    apart = (side(c, a, b) * side(d, a, b) < 0) & (side(a, c, d) * side(b, c, d) < 0)
    crossed[rows, columns] = apart
    return crossed


@dataclass
class Wish:
    """Where a label would like to stand: near an anchor, best in one direction from it.

    With `pinned` its middle belongs on the anchor itself. `last` is where its middle stood
    before, in pixels; `given_up` the anchor for which no clear place was found.
    """

    label: Label
    anchor: tuple[float, float] = (0.0, 0.0)
    direction: float = 90.0  # degrees, anticlockwise from right
    leader: Line2D | None = None
    pinned: bool = False
    rank: int = 0  # names of parts, which may be left out, have one
    keep_off: NDArray[np.float64] | None = None  # boxes, shape (n, 4)
    shuns: Segments | None = None  # what its leader may not cross
    spots: Callable[[], NDArray[np.float64]] | None = None  # all it may stand on, the best first
    last: tuple[float, float] | None = field(default=None, repr=False)
    given_up: tuple[float, float] | None = None
    bare: bool = False  # its leader would cross another label, wherever it stands
    settled: float = 0.0  # how far it stood from its anchor when it was given its place

    def forget(self) -> None:
        """Know nothing of where it stood before."""
        self.last, self.given_up, self.bare, self.settled = None, None, False, 0.0
        self.keep_off = None
        if self.pinned:
            self.label.put(*self.anchor)

    @property
    def near(self) -> tuple[float, float]:
        """The point of the label that is nearest to its anchor."""
        label, (x, y) = self.label, self.anchor
        left, bottom = label.left, label.bottom
        right, top = left + label.width, bottom + label.height
        return (
            left if x < left else right if x > right else x,
            bottom if y < bottom else top if y > top else y,
        )

    def gap(self) -> float:
        """How far the label stands from its anchor."""
        return math.dist(self.near, self.anchor)

    def lead(self, far: float) -> tuple[float, float, float, float] | None:
        """The thin line from the anchor to the label, shape (4,), where it stands further off."""
        if self.leader is None or self.bare or not self.label.shown:
            return None
        near = self.near
        return (*self.anchor, *near) if math.dist(near, self.anchor) > far else None

    @property
    def has_one_place(self) -> bool:
        """Whether it is a number on a scale, which says something else a little further on."""
        return self.pinned and len(self.label.text) <= 3


class Placer:
    """Finds each label a clear place near its anchor: off all lines, boxes and other labels.

    The labels come in order of importance. Of the clear places the one nearest to the wished
    direction wins; the place of the frame before is preferred, so that labels do not flutter.
    With `drop`, what finds no clear place is left out; the first names are looked a place for
    all over the picture.
    """

    def __init__(self, width: float, height: float, scale: float, drop: bool = False) -> None:
        self.size, self.scale = (width, height), scale
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
        self.grid = np.stack(np.meshgrid(np.linspace(0, 1, 41), np.linspace(0, 1, 31)), axis=-1)
        # Aside and above, for a label that belongs on one spot: the spot itself first.
        steps = np.concatenate([[0.0], np.repeat(rings[:6], len(turns))])
        ways = np.concatenate([[0.0], np.tile(turns, 6)])
        self.nudges = np.array([steps * np.cos(ways), steps * np.sin(ways)])
        self.nudged = steps / rings[0]

    def _places(self, wish: Wish) -> tuple[NDArray, NDArray, NDArray]:
        """How far aside of and above its anchor a label may stand, and what each place costs."""
        if wish.spots is not None:
            aside, above = (wish.spots() - wish.anchor).T
            return aside, above, np.arange(len(aside)) / len(aside)
        if wish.pinned:
            few = 1 if wish.has_one_place else len(self.nudged)
            return self.nudges[0, :few], self.nudges[1, :few], self.nudged[:few].copy()
        half_width, half_height = wish.label.width / 2, wish.label.height / 2
        # The box touches the ring from outside: its centre lies further out by its reach.
        out = self.rings + np.minimum(half_width * self.across, half_height * self.up)
        off = math.pi - np.abs((self.turns - math.radians(wish.direction)) % TURN - math.pi)
        return self.cos * out, self.sin * out, self.nearness + 3.0 * off

    def _anywhere(self, wish: Wish) -> tuple[NDArray, NDArray, NDArray]:
        """The same for places all over the picture; what belongs on a spot stays near it."""
        half = np.array([wish.label.width / 2, wish.label.height / 2]) + HAIR
        low, high = self.frame[:2] + half, self.frame[2:] - half
        grid = self.grid[::2, ::2] if wish.rank else self.grid
        aside, above = (low + grid.reshape(-1, 2) * (high - low) - wish.anchor).T
        far = np.hypot(aside, above)
        return aside, above, far / self.rings[0] + 100.0 * (wish.pinned & (far > 200 * self.scale))

    def _best(
        self,
        wish: Wish,
        places: tuple[NDArray, NDArray, NDArray],
        segments: Segments,
        lines: int,
        taken: list[tuple[float, float, float, float]],
    ) -> tuple[tuple[float, float], float]:
        """The best of some places for a label's middle, and its cost: from 300 on, not clear.

        The places are looked at from the cheapest on, many at a time; a clear one is nearly always
        among the first. From number `lines` on, the segments are leads of other labels.
        """
        half_width, half_height = wish.label.width / 2, wish.label.height / 2
        aside, above, cost = places
        x, y = wish.anchor[0] + aside, wish.anchor[1] + above
        margin = 0.0 if wish.pinned else self.margin
        grown = np.empty((len(x), 4))
        grown[:, 0], grown[:, 2] = x - half_width - margin, x + half_width + margin
        grown[:, 1], grown[:, 3] = y - half_height - margin, y + half_height + margin
        others = np.array(taken).reshape(-1, 4)
        cost = cost + 1500.0 * boxes_overlap(grown, others).sum(axis=1)
        if wish.keep_off is not None and len(wish.keep_off):
            cost += 1500.0 * boxes_overlap(grown, wish.keep_off).any(axis=1)
        left, bottom, right, top = self.frame
        inside = (x >= left + half_width) & (x <= right - half_width)
        inside &= (y >= bottom + half_height) & (y <= top - half_height)
        cost[~inside] += 5000.0
        order, best, least = np.argsort(cost, kind="stable"), 0, math.inf
        for first in range(0, len(order), AT_A_TIME):
            some = order[first : first + AT_A_TIME]
            if cost[some[0]] >= least or least < CLEAR:
                break
            boxes, whole = grown[some], cost[some]
            low = np.minimum(boxes[:, :2].min(axis=0), wish.anchor)
            high = np.maximum(boxes[:, 2:].max(axis=0), wish.anchor)
            about = _near(np.array([[*low, *high]]), segments)[0]
            near, leading = segments[about], int(about[lines:].sum())
            whole += 1000.0 * boxes_cross_segments(boxes, near).sum(axis=1)
            if wish.leader is not None:
                leads = np.empty((len(some), 4))
                leads[:, :2] = wish.anchor
                low, high = boxes[:, :2] + margin, boxes[:, 2:] - margin
                leads[:, 2:] = np.clip(wish.anchor, low, high)
                far = np.hypot(*(leads[:, 2:] - leads[:, :2]).T) > LEADER_FROM * self.scale
                leads[~far, 2:] = leads[~far, :2]
                whole += 400.0 * boxes_cross_segments(others, leads).sum(axis=0)
                if leading:
                    whole += 300.0 * segments_cross(leads, near[-leading:]).sum(axis=1)
                if wish.shuns is not None:
                    whole += CLEAR * segments_cross(leads, wish.shuns).sum(axis=1)
                # Of those as good but for what their leads cross, the one whose lead crosses least.
                few = np.argsort(whole, kind="stable")[:FEW]
                some, whole = some[few], whole[few]
                whole += CROSSED * segments_cross(leads[few], near).sum(axis=1)
            if whole.min() < least:
                best, least = int(some[whole.argmin()]), float(whole.min())
        return (float(x[best]), float(y[best])), least

    def stays(self, wish: Wish) -> bool:
        """Whether a label is still near enough to its anchor to stand where it stood before."""
        if wish.last is None or wish.pinned:
            return False
        wish.label.put(*wish.last)
        return wish.gap() <= wish.settled + DRIFT * self.scale

    def keeping(self, wishes: Sequence[Wish], segments: Segments, placed: int = 0) -> list[bool]:
        """Which labels, the first served first, can stand where they stand now.

        In the picture, off every segment, and off every label and lead that keeps its place; the
        first ones, `placed` of them, keep theirs in any case.
        """
        can = [n < placed or wish.pinned or self.stays(wish) for n, wish in enumerate(wishes)]
        some = [wish for wish, stays in zip(wishes, can, strict=True) if stays]
        if not some:
            return can
        inner = np.array([wish.label.box for wish in some]) + HAIR * np.array([1, 1, -1, -1])
        inside = np.column_stack([inner[:, :2] >= 0, inner[:, 2:] <= self.size])
        good: NDArray[np.bool_] = np.asarray(inside.all(axis=1))
        good[:placed] = True
        good[placed:] &= ~boxes_cross_segments(inner[placed:], segments).any(axis=1)
        # Whose box or lead is in the way of whose.
        over = boxes_overlap(inner, inner)
        found = [wish.lead(LEADER_FROM * self.scale) for wish in some]
        leading = [n for n, lead in enumerate(found) if lead is not None]
        if leading:
            leads = np.array([found[n] for n in leading])
            for n, lead in zip(leading, leads, strict=True):
                if n >= placed and (shuns := some[n].shuns) is not None:
                    good[n] &= not segments_cross(lead[None], shuns).any()
            over[:, leading] |= boxes_cross_segments(inner, leads)
            over[np.ix_(leading, leading)] |= segments_cross(leads, leads)
        over |= over.T
        np.fill_diagonal(over, False)
        for index in np.flatnonzero(over.any(axis=1)):
            if good[index]:
                rest = slice(max(index + 1, placed), None)
                good[rest] &= ~over[index, rest]
        kept = iter(good.tolist())
        return [stays and next(kept) for stays in can]

    def place(self, wishes: Sequence[Wish], segments: Segments, kept: Sequence[Wish] = ()) -> None:
        """Put every visible label, clear of `segments` and of the labels that keep their place."""
        if not wishes:
            return
        lines = len(segments)
        taken = [wish.label.box for wish in kept]
        far = LEADER_FROM * self.scale
        leading = [lead for wish in kept if (lead := wish.lead(far)) is not None]
        segments = np.concatenate([segments, np.reshape(leading, (-1, 4))])
        for wish in wishes:
            label = wish.label
            if wish.given_up and math.dist(wish.given_up, wish.anchor) < 2 * DRIFT * self.scale:
                label.dropped = True
                continue
            spot, least = self._best(wish, self._places(wish), segments, lines, taken)
            crowded = least >= (140.0 if wish.rank else CLEAR)
            if crowded and not wish.has_one_place and not (wish.rank > 1 and self.drop):
                anywhere = self._best(wish, self._anywhere(wish), segments, lines, taken)
                if wish.rank < 2 or anywhere[1] < FAR_LEAD:
                    spot, least = min((spot, least), anywhere, key=lambda found: found[1])
            if (least >= 1000.0 and (self.drop or wish.has_one_place)) or (
                wish.rank and least >= 140.0
            ):
                label.dropped = True
                wish.given_up = wish.anchor if wish.rank else None
                continue
            wish.given_up, wish.bare = None, least >= CLEAR
            wish.last = spot
            label.put(*wish.last)
            wish.settled = wish.gap()
            taken.append(label.box)
            if wish.leader is not None:
                lead = wish.lead(far)
                segments = segments if lead is None else np.vstack([segments, [lead]])
