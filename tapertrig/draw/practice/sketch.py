"""What every practice figure is drawn with: marks, arcs, dimensions, and what is asked as “?”."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapertrig.draw.parts.scene import Scene
from tapertrig.practice import Figure

# The short name of each quantity as a figure writes it.
NAMES = {
    "2α": ("included_angle",),
    "α": ("half_angle",),
    "α in decimals": ("half_angle_in_decimals",),
    "": (
        "acute angle at the parallel line",
        "obtuse angle at the parallel line",
        "angle between compound slide and cross slide",
        "contact below the edge break",
        "height_1",
        "height_2",
    ),
    "taper": ("taper",),
    "taper 1:": ("ratio",),
    "taper per foot": ("taper_per_foot",),
    "D": ("face_diameter",),
    "D wanted": ("face_diameter_wanted",),
    "D then": ("face diameter after facing",),
    "change of D": ("change of face diameter",),
    "D out by": ("diameter error",),
    "d": ("small_diameter",),
    "length": ("length",),
    "compound": ("compound_travel", "compound_feed"),
    "cross": ("cross_travel",),
    "axial": ("axial_travel",),
    "L": ("work_length",),
    "over all": ("over_all",),
    "set-over": ("set_over",),
    "run": ("run",),
    "step": ("step",),
    "film": ("film",),
    "shows over": ("blue_length",),
    "needle": ("first",),
    "turned": ("turned",),
    "along wall": ("seat_width",),
    "seat 2α": ("seat_angle",),
    "seat D": ("seat_face",),
    "carriage": ("carriage_travel",),
    "faced off": ("faced_off",),
    "dial": ("reading",),
    "dial at": ("start_reading",),
    "turned back": ("turned_back",),
    "slide": ("movement",),
    "backlash": ("backlash",),
    "cross dial": ("cross_reading",),
    "cross dial up to": ("highest cross reading",),
    "base": ("base_reading",),
    "swing": ("swing",),
    "arc": ("arc_at_base",),
    "radius": ("base_radius",),
    "u of quill": ("datum",),
    "u": ("standard_uncertainty", "combined standard uncertainty"),
    "1 graduation": ("half angle for one graduation",),
    "α out by": ("angle_error",),
    "α ±": ("tolerance on the half angle",),
    "α up to": ("largest half angle",),
    "zone ±": ("proven zone of the half angle",),
    "ball": ("ball_1", "ball_2", "largest ball"),
    "top": ("height", "height of the top of the ball"),
    "break": ("edge_break",),
    "roll": ("roll",),
    "over rolls": ("over_low", "over_high"),
    "block": ("block_height",),
}
NAME_OF = {key: name for name, keys in NAMES.items() for key in keys}
# Words after number and unit; the text of the problem has them, the drawing shows them.
WORDS_LEFT_OUT = (" proud of the face", " below the face")

LIST_TOP = 8.8

Point = ArrayLike


def unit(degrees: float) -> NDArray[np.float64]:
    """The unit vector in a direction, degrees anticlockwise from the right."""
    return np.array([math.cos(math.radians(degrees)), math.sin(math.radians(degrees))])


class Sketch:
    """Draws one Figure on a scene. A quantity neither given nor asked leaves no mark."""

    def __init__(self, scene: Scene, figure: Figure) -> None:
        self.scene = scene
        self.shape = dict(figure.shape)
        self.given = dict(figure.labels)
        self.asked = figure.asked
        self.told: set[str] = set()
        self.list_side = "right"
        self.list_top = LIST_TOP

    @property
    def half_angle(self) -> float:
        """The half angle of the figure in degrees."""
        return float(self.shape["half_angle"])

    def wants(self, *keys: str) -> bool:
        """Whether one of these quantities is given or asked."""
        return any(key in self.given or key == self.asked for key in keys)

    def words(self, key: str) -> str:
        """What the figure writes of a quantity: name and value, or a question mark."""
        name = NAME_OF.get(key, key.replace("_", " "))
        value = "?" if key == self.asked else self.given[key]
        for extra in WORDS_LEFT_OUT:
            value = value.removesuffix(extra)
        if name == "taper" and value.endswith(" in per foot"):
            name, value = "taper per foot", value.removesuffix(" per foot")
        return f"{name}{value}" if name.endswith((":", "±")) else f"{name} {value}".strip()

    def mark(self, key: str, point: Point, direction: float = 90.0, role: str = "ink") -> None:
        """Write a quantity near a point, if it is given or asked and not yet told."""
        if self.wants(key) and key not in self.told:
            self.told.add(key)
            wish = self.scene.label(role=role, bold=key == self.asked, leader=True)
            self.scene.say_at(wish, self.words(key), np.asarray(point, float), direction)

    def note(self, text: str, point: Point, direction: float = 90.0, role: str = "ink") -> None:
        """Words that name a part of the drawing."""
        wish = self.scene.label(role=role, size="small", leader=True)
        self.scene.say_at(wish, text, np.asarray(point, float), direction)

    def rest(self) -> None:
        """What has no place of its own in the drawing is listed in its upper corner."""
        x, across = (15.8, 1.0) if self.list_side == "right" else (0.2, 0.0)
        y = min(self.list_top, LIST_TOP)
        for key in [*self.given, self.asked]:
            if key not in self.told:
                self.told.add(key)
                wish = self.scene.label(bold=key == self.asked, free=False)
                self.scene.put(wish, self.words(key), x, y, across, 1.0)
                y -= wish.label.height / self.scene.pixels_per_unit

    # -- strokes --------------------------------------------------------------------------

    def line(self, role: str, *points: Point, weight: float = 1.0, clear: bool = True) -> None:
        """A polyline in the stroke of a role."""
        x, y = np.array(points, float).T
        self.scene.line(role, x, y, weight=weight, clear=clear)

    def area(self, fill: str, corners: ArrayLike, **settings: Any) -> None:
        """A filled polygon that labels keep off."""
        self.scene.area(fill, np.array(corners, float), **{"clear": True, **settings})

    def circle(self, centre: Point, radius: float, fill: str | None, role: str = "ink") -> None:
        """A circle, filled or as a line only."""
        turn = np.linspace(0, 2 * np.pi, 49)
        rim = np.asarray(centre, float) + radius * np.column_stack([np.cos(turn), np.sin(turn)])
        if fill is None:
            self.line(role, *rim, weight=0.8)
        else:
            self.area(fill, rim)

    def head(self, tip: Point, towards: NDArray[np.float64], role: str) -> None:
        """An arrow head whose tip is at a point."""
        size = 0.3
        side = np.array([-towards[1], towards[0]]) * size * 0.36
        tip = np.asarray(tip, float)
        back = tip - towards * size
        self.scene.area(role, [tip, back + side, back - side], edge=None, zorder=7, clear=True)

    def arrow(self, key: str, start: Point, end: Point, direction: float, role: str) -> None:
        """An arrow from start to end that stands for a movement."""
        if not self.wants(key):
            return
        start, end = np.asarray(start, float), np.asarray(end, float)
        self.line(role, start, end, weight=1.2)
        self.head(end, (end - start) / np.linalg.norm(end - start), role)
        self.mark(key, (start + end) / 2, direction, role)

    def span(
        self,
        key: str,
        start: Point,
        end: Point,
        direction: float,
        role: str = "guide",
        place: float = 0.5,
    ) -> None:
        """A dimension line from start to end with a head at each end, its words along it."""
        if not self.wants(key) or key in self.told:
            return
        start, end = np.asarray(start, float), np.asarray(end, float)
        length = float(np.linalg.norm(end - start))
        if length < 0.02:
            self.mark(key, start, direction, "ink" if role == "guide" else role)
            return
        along = (end - start) / length
        self.scene.line(role, *np.array([start, end]).T, weight=0.7, linestyle="solid")
        self.head(end, along, role)
        self.head(start, -along, role)
        at = start + place * (end - start)
        self.mark(key, at, direction, "ink" if role == "guide" else role)

    def thin(self, *points: Point) -> None:
        """A thin extension line."""
        x, y = np.array(points, float).T
        self.scene.line("guide", x, y, weight=0.45, linestyle="solid")

    def arc(
        self,
        key: str,
        centre: Point,
        radius: float,
        start: float,
        end: float,
        *,
        heads: bool = False,
        place: float = 0.5,
    ) -> None:
        """An arc from one direction to another, in degrees, and the quantity at its middle."""
        if not self.wants(key) or key in self.told:
            return
        centre = np.asarray(centre, float)
        turn = np.linspace(start, end, 31)
        self.line("angle", *(centre + radius * unit(one) for one in turn), weight=1.1)
        if heads:
            ahead = 90 if end > start else -90
            self.head(centre + radius * unit(end), unit(end + ahead), "angle")
            self.head(centre + radius * unit(start), unit(start - ahead), "angle")
        middle = start + place * (end - start)
        self.mark(key, centre + radius * unit(middle), middle, "angle")
