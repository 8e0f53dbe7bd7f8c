"""A scene built once and then only moved, and the quick making of its frames.

The still part of a scene is drawn once and kept; for a new frame it is put back, the moving
artists are drawn over it, and the pixels go out as a PNG of at most 256 colours. A true-colour
PNG of the same frame takes four times as long to make and five times the bytes.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from functools import lru_cache
from typing import Any, ClassVar

import numpy as np
from matplotlib import colors
from matplotlib.artist import Artist
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Polygon
from numpy.typing import ArrayLike, NDArray
from PIL import Image

from tapertrig.draw.parts.label import Label, Placer, Segments, Wish, segments_of
from tapertrig.draw.parts.style import Style

DOTS_PER_INCH = 100
BOARD_WIDTH, BOARD_HEIGHT = 16.0, 9.0
LEADER_FROM = 24.0
BAND = 90


class Scene:
    """One picture: `build` makes its artists, `move` sets them to a state.

    The axes fill the frame, 16 by 9 units with the origin at the lower left, at equal aspect.
    Anything made with `moving=True` is redrawn in each frame; all else is drawn once.
    """

    kind: ClassVar[str] = ""

    def __init__(self, style: Style) -> None:
        self.style = style
        self.hide_answers = False
        self.moving: list[Artist] = []
        self.labels: list[Label] = []
        self.wishes: list[Wish] = []
        self.obstacles: list[Line2D | Polygon] = []
        self._still_segments: Segments | None = None
        self._moving_obstacles: list[Line2D | Polygon] = []
        with style.context():
            self.figure = Figure(
                figsize=(style.width / DOTS_PER_INCH, style.height / DOTS_PER_INCH),
                dpi=DOTS_PER_INCH,
                facecolor=style.colour("paper"),
            )
            self.axes = self.figure.add_axes((0, 0, 1, 1))
            self.axes.set_axis_off()
            self.axes.set_xlim(0, BOARD_WIDTH)
            self.axes.set_ylim(0, BOARD_HEIGHT)
            self.pixels_per_unit = style.width / BOARD_WIDTH
            self.placer = Placer(style.width, style.height, style.scale)
            self.build()
        self.moving.sort(key=lambda artist: artist.get_zorder())

    def build(self) -> None:
        """Make every artist. Called once."""
        raise NotImplementedError

    def move(self, state: Any) -> None:
        """Set the moving artists to a state, and place the labels."""
        raise NotImplementedError

    # -- making artists -------------------------------------------------------------------

    def _keep(self, artist: Artist, moving: bool, clear: bool) -> None:
        if moving:
            artist.set_animated(True)
            self.moving.append(artist)
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
        line = Line2D(np.asarray(x, float), np.asarray(y, float), zorder=zorder, **stroke)
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
    ) -> Polygon:
        """A closed polygon filled in a colour of the style; corners have shape (n, 2)."""
        patch = Polygon(
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

    def label(
        self,
        text: str = "",
        *,
        role: str = "ink",
        size: str = "label",
        bold: bool = False,
        paper: str | None = None,
        free: bool = True,
        direction: float = 90.0,
        leader: bool = False,
    ) -> Wish:
        """A label. With `free` it looks for a clear place near its anchor; else it is put.

        With `leader` a thin line joins it to its anchor when it stands far off.

        Returns the wish: `say(wish, text, x, y)` sets its words and where they belong.
        """
        label = Label(
            text,
            size=self.style.sizes[size],
            colour=self.style.colour(role),
            bold=bold,
            paper=paper,
        )
        label.set_figure(self.figure)
        self.labels.append(label)
        self.moving.append(label)
        wish = Wish(label, direction=direction)
        if leader:
            wish.leader = self.line(role, weight=0.45, clear=False, zorder=4, linestyle="solid")
        if free:
            self.wishes.append(wish)
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
        """A label that never moves or changes: drawn once, with the still part."""
        wish = self.label(role=role, size=size, bold=bold, free=False)
        self.put(wish, text, x, y, across, up)
        wish.label.set_animated(False)
        self.moving.remove(wish.label)
        self.figure.add_artist(wish.label)
        return wish

    def say(
        self, wish: Wish, text: str, x: float, y: float, direction: float | None = None
    ) -> None:
        """Words of a free label and the point, in board units, that it speaks of."""
        wish.label.set_text(text)
        wish.label.set_visible(bool(text))
        wish.anchor = (x * self.pixels_per_unit, y * self.pixels_per_unit)
        if direction is not None:
            wish.direction = direction

    def put(
        self, wish: Wish, text: str, x: float, y: float, across: float = 0.5, up: float = 0.5
    ) -> None:
        """Words of a fixed label, the fraction (across, up) of its box at point (x, y)."""
        wish.label.set_text(text)
        wish.label.set_visible(bool(text))
        wish.label.put(x * self.pixels_per_unit, y * self.pixels_per_unit, across, up)

    # -- keeping labels clear -------------------------------------------------------------

    def obstacle_segments(self) -> Segments:
        """Every visible obstacle as pixel segments, shape (n, 4)."""
        if self._still_segments is None:
            still = [artist for artist in self.obstacles if not artist.get_animated()]
            self._still_segments = self._segments(still)
            self._moving_obstacles = [one for one in self.obstacles if one.get_animated()]
        return np.concatenate([self._still_segments, self._segments(self._moving_obstacles)])

    def _segments(self, artists: Sequence[Line2D | Polygon]) -> Segments:
        pieces = [np.zeros((0, 4))]
        for artist in artists:
            if not artist.get_visible():
                continue
            if isinstance(artist, Polygon):
                points = artist.get_xy()
            else:
                points = np.column_stack(artist.get_data(orig=True))
            if len(points) > 1:
                pieces.append(segments_of(points * self.pixels_per_unit))
        segments = np.concatenate(pieces)
        return segments[np.isfinite(segments).all(axis=1)]

    def place_labels(self) -> None:
        """Give every free label a clear place; call at the end of `move`."""
        free = {id(wish.label) for wish in self.wishes}
        fixed = [
            label.box
            for label in self.labels
            if id(label) not in free and label.get_visible() and label.text
        ]
        boxes = np.array(fixed) if fixed else None
        self.placer.place(self.wishes, self.obstacle_segments(), boxes)
        for wish in self.wishes:
            if wish.leader is not None:
                self._lead(wish)

    def _lead(self, wish: Wish) -> None:
        left, bottom, right, top = wish.label.box
        x, y = wish.anchor
        near_x, near_y = min(max(x, left), right), min(max(y, bottom), top)
        far = np.hypot(near_x - x, near_y - y) > LEADER_FROM * self.style.scale
        wish.leader.set_visible(bool(far and wish.label.get_visible()))
        if wish.leader.get_visible():
            points = np.array([[x, y], [near_x, near_y]]) / self.pixels_per_unit
            wish.leader.set_data(*points.T)


class Picture:
    """Makes PNG frames of a scene."""

    def __init__(self, scene: Scene) -> None:
        self.scene = scene
        self._still: Any = None
        self._palette, self._nearest = palette(tuple(sorted(scene.style.colours.items())))
        self._packed, self._place, self._index = _work_arrays(scene.style.height, scene.style.width)

    def frame(self, state: Any, hide_answers: bool = False) -> bytes:
        """The picture of a state as PNG bytes, at the style's pixel size."""
        return png(self.image(state, hide_answers))

    def image(self, state: Any, hide_answers: bool = False) -> Image.Image:
        """The picture of a state; its pixels are overwritten by the next one of this size."""
        scene = self.scene
        scene.hide_answers = hide_answers
        scene.move(state)
        renderer = _renderer(scene.style.height, scene.style.width)
        if self._still is None:
            renderer.clear()
            with scene.style.context():
                scene.figure.draw(renderer)
            self._still = renderer.copy_from_bbox(scene.figure.bbox)
        renderer.restore_region(self._still)
        for artist in scene.moving:
            artist.draw(renderer)
        return self._in_palette(renderer)

    def _in_palette(self, renderer: RendererAgg) -> Image.Image:
        pixels = np.asarray(renderer.buffer_rgba()).view(np.uint32)[..., 0]
        # The upper four bits of red, green and blue, gathered into one number of twelve: the
        # multiplication lays them side by side, three times as fast as shifting each.
        # In bands, because a band stays in the processor's cache from one step to the next.
        height, width = pixels.shape
        for top in range(0, height, BAND):
            band = pixels[top : top + BAND]
            packed, place = self._packed[: len(band)], self._place[: len(band)]
            np.bitwise_and(band, np.uint32(0x00F0F0F0), out=packed)
            np.multiply(packed, np.uint32(1 | 1 << 12 | 1 << 24), out=packed)
            np.right_shift(packed, np.uint32(20), out=place, casting="unsafe")
            np.take(self._nearest, place, out=self._index[top : top + BAND], mode="clip")
        image = Image.frombuffer("P", (width, height), self._index, "raw", "P", 0, 1)
        image.putpalette(self._palette)
        return image


def png(image: Image.Image) -> bytes:
    """An image as PNG bytes, packed quickly rather than tightly."""
    out = io.BytesIO()
    image.save(out, "PNG", compress_level=1)
    return out.getvalue()


@lru_cache(maxsize=4)
def _renderer(height: int, width: int) -> RendererAgg:
    """The pixels all pictures of a size are drawn in, shared, for frames are made one by one."""
    return RendererAgg(width, height, DOTS_PER_INCH)


@lru_cache(maxsize=4)
def _work_arrays(
    height: int, width: int
) -> tuple[NDArray[np.uint32], NDArray[np.intp], NDArray[np.uint8]]:
    """Room to encode a frame in, shared, for frames are made one by one."""
    band = (BAND, width)
    return np.empty(band, np.uint32), np.empty(band, np.intp), np.empty((height, width), np.uint8)


def _bucket(red: NDArray[Any], green: NDArray[Any], blue: NDArray[Any]) -> NDArray[Any]:
    return (red >> 4 << 8) | (green >> 4 << 4) | (blue >> 4)


@lru_cache(maxsize=8)
def palette(named: Sequence[tuple[str, str]]) -> tuple[bytes, NDArray[np.uint8]]:
    """A palette of the named colours and their fades, and the nearest entry for each bucket.

    A bucket is a colour cut to four bits a part, 4,096 in all. A named colour is kept exactly;
    the fades towards paper and metal carry the smooth edges of lines and letters.
    """
    exact = np.array([[round(255 * p) for p in colors.to_rgb(text)] for _, text in named])
    exact = np.unique(exact, axis=0)
    grounds = [np.array([round(255 * p) for p in colors.to_rgb(dict(named)["paper"])])]
    steps = max(2, (256 - len(exact)) // (len(exact) * len(grounds)))
    fades = [
        colour + (ground - colour) * step / (steps + 1)
        for ground in grounds
        for colour in exact
        for step in range(1, steps + 1)
    ]
    entries = np.vstack([exact, np.round(fades)])[:256].astype(int)
    level = np.arange(16) * 17
    red, green, blue = np.meshgrid(level, level, level, indexing="ij")
    cube = np.stack([red, green, blue], axis=-1).reshape(-1, 1, 3)
    distance = ((cube - entries[None]) ** 2).sum(axis=2)
    by_red_green_blue = distance.argmin(axis=1).astype(np.uint8)
    by_red_green_blue[_bucket(*exact.T)] = np.arange(len(exact))
    # The gathering above leaves blue lowest and red highest in the twelve bits: red comes first
    # in memory, so it is the lowest byte, and the multiplication turns the order round.
    table = by_red_green_blue.reshape(16, 16, 16)
    gathered = np.arange(4096)
    nearest = table[gathered >> 8, gathered >> 4 & 15, gathered & 15].astype(np.uint8)
    return entries.astype(np.uint8).tobytes(), nearest
