"""A scene as a list of marks: what a browser draws, and what has changed since the last list.

A matplotlib renderer of ours hears what the artists draw: a path with its role, width and dash,
or words with their place and size. Lengths are whole tenths of a pixel, so that a list is short
and the same on every machine. Colours go out as roles; a style sheet makes colours of them.
"""

from __future__ import annotations

import io
import math
from functools import lru_cache
from html import escape
from typing import Any

import numpy as np
from matplotlib import colors
from matplotlib.backend_bases import RendererBase
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.image import imsave
from matplotlib.path import Path
from numpy.typing import NDArray

from tapertrig.draw.parts.artists import Area, Dots, Stroke
from tapertrig.draw.parts.label import Label, width_of
from tapertrig.draw.parts.scene import DOTS_PER_INCH, Scene
from tapertrig.draw.parts.style import COLOURS

# A path: way, stroke, fill, width, dash, opacity; words: text, left, baseline, length, role,
# size, weight. A list sends a mark's first one or four parts where nothing else has changed.
Mark = tuple[Any, ...]
PATH_PLACE, TEXT_PLACE = 1, 4
TENTH, FEW_POINTS, FEW_CORNERS = 10, 40, 24
NOTHING_SEEN = frozenset("M 0123456789-z")
DOWN = np.array([1.0, -1.0])
FONT = "DejaVu Sans, Verdana, sans-serif"


@lru_cache(maxsize=64)
def _role(red: float, green: float, blue: float) -> str:
    shown = tuple(round(255 * part) for part in (red, green, blue))
    return next(
        role
        for role, colour in COLOURS.items()
        if tuple(round(255 * part) for part in colors.to_rgb(colour)) == shown
    )


def _way(points: NDArray[np.float64], closed: bool) -> str:
    """SVG path data of a polyline: whole tenths of a pixel, each point from the one before.

    A closed one of many points that all lie as far from their middle is a circle.
    """
    if closed and len(points) > FEW_CORNERS:
        middle = points[:-1].mean(axis=0)
        away = np.hypot(*(points - middle).T)
        if np.ptp(away) < 0.5 / TENTH:
            across = round(2 * TENTH * away[0])
            left, y = np.rint(TENTH * middle).astype(int) - (across // 2, 0)
            arc = f"a{across / 2:g} {across / 2:g} 0 1 0"
            return f"M{left} {y}{arc} {across} 0{arc} {-across} 0z"
    if not closed and len(points) > FEW_POINTS and np.isfinite(points).all():
        # What lies on a line between its neighbours says nothing; the last one is the stop.
        points = np.asarray(Path(points).cleaned(simplify=True, curves=False).vertices)[:-1]
    ways, pen, left, top = [], False, 0, 0
    for across, down in np.rint(points * TENTH).tolist():
        if drawn := math.isfinite(across + down):
            x, y = int(across), int(down)
            by, to = x - left, y - top
            step = f"v{to}" if not by else f"l{by}{to}" if to < 0 else f"l{by} {to}"
            ways.append(f"M{x} {y}" if not pen else step if to else f"h{by}")
            left, top = x, y
        pen = drawn
    return "".join([*ways[:-1], "z"] if closed else ways)


class Listing(RendererBase):
    """Keeps, for each artist that draws, the mark it makes: by the id the artist carries."""

    def __init__(self, width: float, height: float) -> None:
        super().__init__()
        self.width, self.height = width, height
        self.top = np.array([0.0, height])
        self.marks: dict[str, Mark] = {}
        self.id = ""
        self.gc = super().new_gc()

    def open_group(self, s: str, gid: str | None = None) -> None:
        self.id = gid or self.id

    def get_canvas_width_height(self) -> tuple[float, float]:
        return self.width, self.height

    def points_to_pixels(self, points: Any) -> Any:
        return points * DOTS_PER_INCH / 72

    def new_gc(self) -> Any:
        # One is enough: every artist of a scene sets all of it that is asked for here.
        return self.gc

    def way(self, points: Any, transform: Any, closed: bool) -> str:
        """The way through some points; none where it would not be seen."""
        way = _way(transform.transform_affine(points) * DOWN + self.top, closed)
        return "" if set(way) <= NOTHING_SEEN else way

    def draw_path(self, gc: Any, path: Path, transform: Any, rgbFace: Any = None) -> None:
        way = self.way(path.vertices, transform, rgbFace is not None)
        width = self.points_to_pixels(gc.get_linewidth())
        dash = gc.get_dashes()[1]
        solid = "" if gc.get_capstyle() == "round" or rgbFace is not None else "none"
        self.marks[self.id] = (
            way,
            _role(*gc.get_rgb()[:3]) if width else "",
            "" if rgbFace is None else _role(*rgbFace[:3]),
            round(width * TENTH),
            " ".join(str(round(self.points_to_pixels(d) * TENTH)) for d in dash) if dash else solid,
            round(gc.get_alpha(), 2),
        )

    def draw_markers(self, gc: Any, marker_path: Path, *more: Any, **_: Any) -> None:
        """Dots: lines of no length with round ends."""
        marker_trans, path, trans = more[:3]
        places = trans.transform(path.vertices) * DOWN + self.top
        places = np.rint(places[np.isfinite(places).all(axis=1)] * TENTH).astype(int)
        across = marker_trans.get_matrix()[0, 0] + self.points_to_pixels(gc.get_linewidth())
        way = "".join(f"M{x} {y}h0" for x, y in places.tolist())
        self.marks[self.id] = (way, _role(*gc.get_rgb()[:3]), "", round(across * TENTH), "", 1.0)

    def draw_text(self, gc: Any, x: float, y: float, s: str, *more: Any, **_: Any) -> None:
        prop = more[0]
        size, bold = self.points_to_pixels(prop.get_size_in_points()), prop.get_weight() == "bold"
        length = width_of(s, size, bold)
        places = (round(part * TENTH) for part in (x, y, length))
        look = _role(*gc.get_rgb()[:3]), round(size * TENTH), "bold" if bold else ""
        self.marks[self.id] = (s, *places, *look)


class Drawing:
    """The marks that a scene shows, kept in step with it."""

    def __init__(self, scene: Scene) -> None:
        self.scene = scene
        self.renderer = Listing(scene.style.width, scene.style.height)
        self._artists: list[tuple[str, Any]] = []
        self._looks: dict[str, tuple[Any, ...]] = {}
        self._of = -1
        self.anew = True

    @property
    def marks(self) -> dict[str, Mark]:
        """Every mark by its id, the lowest first; one that is not shown has an empty first part."""
        return self.renderer.marks

    def show(self, state: Any, hide_answers: bool = False) -> dict[str, Mark]:
        """Move the scene to a state; the marks that this changes, each as short as it can be.

        `anew` says whether they are other marks altogether.
        """
        scene = self.scene
        scene.show(state, hide_answers)
        self.anew = self._of != scene.generation
        if self.anew:
            self._of = scene.generation
            self._name_all()
        before = self.renderer.marks
        self.renderer.marks = marks = dict(before)
        drawn = []
        for mark_id, artist in self._artists:
            if isinstance(artist, Label):
                look = artist.look
                if look == self._looks.get(mark_id):
                    continue
                self._looks[mark_id] = look
            elif not (artist.stale or artist.moved):
                continue
            drawn.append(mark_id)
            old = before[mark_id]
            if old[0] and not isinstance(artist, (Label, Dots)) and not artist.stale:
                artist.moved = False
                way = self.renderer.way(artist.points, scene.to_pixels, isinstance(artist, Area))
                marks[mark_id] = (way, *old[1:])
            else:
                marks[mark_id] = ("", *old[1:])
                artist.draw(self.renderer)
        changed = {}
        for mark_id in drawn:
            mark, old = marks[mark_id], before[mark_id]
            if mark != old:
                place = TEXT_PLACE if mark_id[0] == "t" else PATH_PLACE
                changed[mark_id] = mark[:place] if mark[place:] == old[place:] else mark
        return changed

    def _name_all(self) -> None:
        self._artists, self._looks = [], {}
        for number, artist in enumerate(self.scene.artists):
            mark_id = f"{'t' if isinstance(artist, Label) else 'p'}{number}"
            artist.set_gid(mark_id)
            artist.stale = True
            self._artists.append((mark_id, artist))
        self.renderer.marks = {
            mark_id: ("", 0, 0, 0, "", 0, "") if mark_id[0] == "t" else ("", "", "", 0, "", 1.0)
            for mark_id, _artist in self._artists
        }

    def handles(self) -> list[tuple[str, list[str], list[float]]]:
        """Each handle: its control, its marks, and their motion in tenths of a pixel, y down."""
        scene, tenths = self.scene, TENTH * self.scene.pixels_per_unit
        found = []
        for handle in scene.handles:
            motion = [part * tenths for part in handle.motion[:2]]
            if len(handle.motion) == 3:
                motion[1] = TENTH * scene.style.height - (handle.motion[1] - scene.low) * tenths
                motion.append(-handle.motion[2])
            elif motion:
                motion[1] = -motion[1]
            marks = [str(artist.get_gid()) for artist in handle.artists]
            found.append((handle.control, marks, [float(f"{part:.7g}") for part in motion]))
        return found

    def png(self) -> bytes:
        """What is shown now as a PNG, at the style's pixel size."""
        style, out = self.scene.style, io.BytesIO()
        renderer = RendererAgg(style.width, style.height, DOTS_PER_INCH)
        pixels = np.asarray(renderer.buffer_rgba())
        pixels[...] = 255
        for artist in self.scene.artists:
            artist.draw(renderer)
        imsave(out, pixels, format="png")
        return out.getvalue()

    def svg(self, margin: float | None = None, alternative: str = "") -> str:
        """What is shown now as SVG text that stands alone: for paper, where it stays sharp.

        With a `margin` (pixels) all empty paper but that is cut away above and below. With an
        `alternative` in words it is part of a page: colours come from the page's style sheet, and
        every mark is there by its id, so that a script can change it.
        """
        top, width, height = 0.0, self.scene.style.width, float(self.scene.style.height)
        if margin is not None:
            top, bottom = self._inked()
            top, height = max(0.0, top - margin), min(height, bottom + margin)
            height -= top
        body = "".join(
            _element(mark_id, mark, bool(alternative))
            for mark_id, mark in self.marks.items()
            if mark[0] or alternative
        )
        head = f'viewBox="0 {top * TENTH:.0f} {width * TENTH} {height * TENTH:.0f}"'
        if alternative:
            return (
                f'<svg class="tapertrig-drawing" role="img" aria-label="{escape(alternative)}" '
                f"{head}>{body}</svg>"
            )
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height:.0f}" {head} '
            f'font-family="{FONT}" stroke-linejoin="round">{body}</svg>'
        )

    def _inked(self) -> tuple[float, float]:
        """Highest and lowest place of what is shown, in pixels from the top."""
        scene = self.scene
        boxes = [label.box for label in scene.labels if label.shown]
        for artist in (*scene.still, *scene.moving):
            if artist.get_visible() and isinstance(artist, (Stroke, Area)):
                y = (artist.points[:, 1] - scene.low) * scene.pixels_per_unit
                boxes.append((0, np.nanmin(y), 0, np.nanmax(y)))
        ends = np.array(boxes)
        return scene.style.height - ends[:, 3].max(), scene.style.height - ends[:, 1].min()


def _element(mark_id: str, mark: Mark, themed: bool) -> str:
    """A mark as SVG; `themed` leaves its colours to a style sheet and gives it its id."""

    def colour(role: str) -> str:
        if not role:
            return "none"
        return f"var(--tapertrig-{role.replace(' ', '-')})" if themed else COLOURS[role]

    name = f' data-mark="{mark_id}"' if themed else ""
    if mark_id[0] == "t":
        text, x, y, length, role, size, weight = mark
        look = f' textLength="{length}" lengthAdjust="spacingAndGlyphs"' if text else ""
        look += ' font-weight="bold"' if weight else ""
        return (
            f'<text{name} x="{x}" y="{y}" font-size="{size}" style="fill:{colour(role)}"{look}>'
            f"{escape(text)}</text>"
        )
    way, stroke, fill, width, dash, opacity = mark
    look = f";stroke:{colour(stroke)};stroke-width:{width}" if stroke else ""
    look += f";stroke-dasharray:{dash}" if dash else ";stroke-linecap:round"
    look += f";opacity:{opacity}" if opacity != 1 else ""
    return f'<path{name} d="{way}" style="fill:{colour(fill)}{look}"/>'
