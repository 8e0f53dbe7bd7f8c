"""A scene built once and then only moved; its artists carry ids, its colours are roles."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, cast

import numpy as np
from matplotlib.artist import Artist
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.transforms import Transform
from numpy.typing import ArrayLike

from tapertrig.draw.parts.artists import NOWHERE, Area, Dots, Stroke
from tapertrig.draw.parts.handle import Handle
from tapertrig.draw.parts.label import LEADER_FROM, Label, Placer, Segments, Wish, segments_of
from tapertrig.draw.parts.style import Style

DOTS_PER_INCH = 100
BOARD_WIDTH, BOARD_HEIGHT = 16.0, 9.0


def box(left: float, low: float, right: float, high: float) -> list[tuple[float, float]]:
    """The corners of an upright rectangle."""
    return [(left, low), (right, low), (right, high), (left, high)]


class Scene:
    """One picture: `build` makes its artists, `move` sets them to a state.

    The axes fill the frame, 16 units across, at equal aspect; what is drawn lies within 9 units
    of height, the origin at the lower left, and a placement may have room above and below.
    Anything made with `moving=True` may change; all else is drawn once, and lies beneath.
    """

    def __init__(self, style: Style) -> None:
        self.style = style
        self.hide_answers = False
        self.generation = 0  # counts on where all artists are made anew
        self.still: list[Artist] = []
        self.moving: list[Artist] = []
        self.labels: list[Label] = []
        self.wishes: list[Wish] = []
        self.each_anew = False  # where a label stands then depends on the state alone
        self.obstacles: list[Stroke | Area] = []
        self.handles: list[Handle] = []
        # What is named, with its name: no other name stands within.
        self.solids: list[tuple[Wish, Area]] = []
        self._still_segments: Segments | None = None
        self._moving_obstacles: list[Stroke | Area] = []
        self.figure = Figure(
            figsize=(style.width / DOTS_PER_INCH, style.height / DOTS_PER_INCH),
            dpi=DOTS_PER_INCH,
            facecolor=style.colour("paper"),
        )
        self.axes = self.figure.add_axes((0, 0, 1, 1))
        self.axes.set_axis_off()
        self.axes.set_xlim(0, BOARD_WIDTH)
        self.pixels_per_unit = style.width / BOARD_WIDTH
        self.low = (BOARD_HEIGHT - style.height / self.pixels_per_unit) / 2
        self.axes.set_ylim(self.low, BOARD_HEIGHT - self.low)
        self.to_pixels = self.axes.transData.frozen()
        self.placer = Placer(style.width, style.height, style.scale, style.spare)
        self.build()

    def build(self) -> None:
        """Make every artist. Called once."""
        raise NotImplementedError

    def move(self, state: Any) -> None:
        """Set the moving artists to a state."""
        raise NotImplementedError

    def show(self, state: Any, hide_answers: bool = False) -> None:
        """Move to a state and give every free label a clear place."""
        self.hide_answers = hide_answers
        self.move(state)
        self.place_labels()

    @property
    def artists(self) -> list[Artist]:
        """Everything that is drawn, the lowest first."""
        return [
            artist
            for layer in (self.still, [*self.moving, *self.labels])
            for artist in sorted(layer, key=lambda artist: artist.get_zorder())
        ]

    # -- making artists -------------------------------------------------------------------

    def _keep(self, artist: Artist, moving: bool, clear: bool) -> None:
        artist.set_transform(cast(Transform, self.to_pixels))
        artist.stale_callback = None  # nobody but the drawing asks
        (self.moving if moving else self.still).append(artist)
        if clear:
            self.obstacles.append(artist)  # type: ignore[arg-type]

    def line(
        self,
        role: str,
        x: ArrayLike = (),
        y: ArrayLike = (),
        *,
        weight: float = 1.0,
        moving: bool = True,
        clear: bool = True,
        zorder: float = 5,
        **settings: Any,
    ) -> Line2D:
        """A line in the stroke of a role; `clear` keeps labels off it."""
        stroke = {**self.style.stroke(role, weight), **settings}
        kind = Dots if "marker" in settings else Stroke
        line = kind(np.asarray(x, float), np.asarray(y, float), zorder=zorder, **stroke)
        self.axes.add_line(line)
        self._keep(line, moving, clear)
        return line

    def area(
        self,
        fill: str,
        corners: ArrayLike = ((0, 0), (0, 0), (0, 0)),
        *,
        edge: str | None = "metal edge",
        weight: float = 0.5,
        moving: bool = True,
        clear: bool = False,
        zorder: float = 2,
        **settings: Any,
    ) -> Area:
        """A closed polygon filled in a colour of the style; corners have shape (n, 2)."""
        patch = Area(
            np.asarray(corners, float),
            closed=True,
            facecolor=self.style.colour(fill),
            edgecolor=self.style.colour(edge) if edge else "none",
            linewidth=self.style.line * weight if edge else 0,
            zorder=zorder,
            **settings,
        )
        self.axes.add_patch(patch)
        self._keep(patch, moving, clear)
        return patch

    def handle(self, control: str, *artists: Artist) -> Handle:
        """These artists move the control of that name; a later handle lies over an earlier one."""
        self.handles.append(Handle(control, artists))
        return self.handles[-1]

    def label(
        self,
        text: str = "",
        *,
        role: str = "ink",
        size: str = "label",
        bold: bool = False,
        free: bool = True,
        direction: float = 90.0,
        leader: bool = False,
    ) -> Wish:
        """A label. With `free` it looks for a clear place near its anchor; else it is put.

        With `leader` a thin line joins it to its anchor when it stands far off.

        Returns the wish: `say(wish, text, x, y)` sets its words and where they belong.
        """
        label = Label(text, size=self.style.sizes[size], colour=self.style.colour(role), bold=bold)
        self.labels.append(label)
        wish = Wish(label, direction=direction, pinned=not free)
        if leader:
            wish.leader = self.line(role, weight=0.45, clear=False, zorder=12, linestyle="solid")
        self.wishes.append(wish)
        return wish

    def name(self, rank: int = 2) -> Wish:
        """A small label for a part that is drawn: served after all others, by rank, if at all."""
        wish = self.label(size="small", leader=True)
        wish.rank = rank
        return wish

    def caption(
        self,
        text: str,
        x: float,
        y: float,
        across: float = 0.5,
        up: float = 0.5,
        *,
        role: str = "ink",
        size: str = "small",
        bold: bool = False,
    ) -> Wish:
        """A label that never changes."""
        wish = self.label(role=role, size=size, bold=bold, free=False)
        self.put(wish, text, x, y, across, up)
        return wish

    def say(
        self, wish: Wish, text: str, x: float, y: float, direction: float | None = None
    ) -> None:
        """Words of a free label and the point, in board units, that it speaks of."""
        wish.label.set_text(text)
        wish.label.set_visible(bool(text))
        wish.anchor = (x * self.pixels_per_unit, (y - self.low) * self.pixels_per_unit)
        if direction is not None:
            wish.direction = direction

    def say_at(
        self, wish: Wish, text: str, point: ArrayLike, direction: float | None = None
    ) -> None:
        """The same with the point, shape (2,)."""
        x, y = np.asarray(point, float)
        self.say(wish, text, float(x), float(y), direction)

    def put(
        self, wish: Wish, text: str, x: float, y: float, across: float = 0.5, up: float = 0.5
    ) -> None:
        """Words of a fixed label, the fraction (across, up) of its box at point (x, y)."""
        wish.label.set_text(text)
        wish.label.set_visible(bool(text))
        label, per_unit = wish.label, self.pixels_per_unit
        label.put(x * per_unit, (y - self.low) * per_unit, across, up)
        wish.anchor = (label.left + label.width / 2, label.bottom + label.height / 2)

    # -- keeping labels clear -------------------------------------------------------------

    def obstacle_segments(self) -> Segments:
        """Every visible obstacle as pixel segments, shape (n, 4)."""
        if self._still_segments is None:
            still = set(self.still)
            self._still_segments = self._segments([one for one in self.obstacles if one in still])
            self._moving_obstacles = [one for one in self.obstacles if one not in still]
        return np.concatenate([self._still_segments, self._segments(self._moving_obstacles)])

    def _segments(self, artists: Sequence[Stroke | Area]) -> Segments:
        shown = [each for one in artists if one.get_visible() for each in (one.points, NOWHERE)]
        points = np.concatenate([NOWHERE, *shown])
        segments = segments_of((points - [0, self.low]) * self.pixels_per_unit)
        return segments[np.isfinite(segments).all(axis=1)]

    def place_labels(self) -> None:
        """Give every free label a clear place; where there is little room, every label.

        A fixed label stays where it belongs unless something has come in its way there.
        """
        segments = self.obstacle_segments()
        for wish in self.wishes:
            wish.label.dropped = False
            if self.each_anew:
                wish.forget()
        # Numbers on a scale have one place each; then what is put, what is named, and remarks.
        order = sorted(
            (wish for wish in self.wishes if wish.label.shown),
            key=lambda w: (
                not w.pinned,
                w.rank,
                self.style.spare and (not w.has_one_place, not w.label.bold),
            ),
        )
        placed: list[Wish] = []
        for names in (False, True):  # names of parts last: they make room for all else
            some = [wish for wish in order if bool(wish.rank) is names]
            if not some:
                break
            keeping = self.placer.keeping([*placed, *some], segments, len(placed))[len(placed) :]
            kept = [wish for wish, keeps in zip(some, keeping, strict=True) if keeps]
            others = [wish for wish, keeps in zip(some, keeping, strict=True) if not keeps]
            if names and others:
                ends = [(*one.points.min(0), *one.points.max(0)) for _own, one in self.solids]
                boxes = (np.reshape(ends, (-1, 4)) - [0, self.low] * 2) * self.pixels_per_unit
                for wish in others:
                    wish.keep_off = boxes[[own is not wish for own, _area in self.solids]]
            self.placer.place(others, segments, [*placed, *kept])
            placed = [wish for wish in some if wish.label.shown]
        for wish in self.wishes:
            if wish.leader is not None:
                self._lead(wish, wish.leader)

    def _lead(self, wish: Wish, leader: Line2D) -> None:
        lead = wish.lead(LEADER_FROM * self.style.scale)
        if leader.get_visible() is (lead is None):
            leader.set_visible(lead is not None)
        if lead is not None:
            leader.set_data(*(np.reshape(lead, (2, 2)) / self.pixels_per_unit + [0, self.low]).T)
