"""The lathe from above, drawn here once for every scene that shows it.

Headstock to the left, tailstock to the right, the operator below the picture. Shapes are in
inches of an ordinary lathe of some 12 in swing (common practice, no source), each about an
origin of its own; a scene puts them at a place, turned and sized.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any, cast

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapertrig.angle import Angle
from tapertrig.draw.parts.artists import Area
from tapertrig.draw.parts.scene import Scene, box

Points = NDArray[np.float64]  # shape (n, 2)
Shape = tuple[str, ArrayLike]  # a fill and its corners; no fill: a line, broken where not finite

BREAK = [(math.nan, math.nan)]
EAST, NORTH, SOUTH = (1.0, 0.0), (0.0, 1.0), (0.0, -1.0)
QUILL_RADIUS, CHUCK_RADIUS, CHUCK_DEPTH = 0.9, 3.1, 2.2
HOLD = 4.0  # from the indicator's tip to the middle of the tool post
POST_AHEAD = 1.3  # of the base's middle, the slide half run
STEM, CASE = 1.0, 0.75


def circle(radius: float, x: float = 0.0, y: float = 0.0, count: int = 26) -> Points:
    """A circle of many corners, as an area has them: the last is not the first again."""
    turn = np.linspace(0, 2 * math.pi, count, endpoint=False)
    return np.column_stack([x + radius * np.cos(turn), y + radius * np.sin(turn)])


def spokes(degrees: Iterable[float], inner: float, outer: float) -> Points:
    """Short lines towards a middle, as graduations are, as one broken line."""
    turn = np.radians(list(degrees))[:, None]
    ends = np.array([inner, outer, math.nan])
    return np.stack([ends * np.cos(turn), ends * np.sin(turn)], axis=-1).reshape(-1, 2)


def broken(*lines: Sequence[tuple[float, float]]) -> Points:
    """Several lines as one."""
    return np.array([point for line in lines for point in (*line, *BREAK)])


def _mirrored(upper: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    return [*upper, *((x, -y) for x, y in reversed(upper))]


@dataclass(frozen=True)
class Outline:
    """Shapes about an origin, and the name of what they show: the point named, and on which side
    of it the name stands best, in degrees. No other name stands within a `solid` one."""

    name: str
    at: tuple[float, float]
    side: float
    shapes: tuple[Shape, ...]
    solid: bool = False
    rank: int = 2  # those of rank 1 are named first


# From the chuck's face.
HEADSTOCK = Outline(
    "headstock",
    (-4.0, -3.0),
    -90,
    (
        ("metal", _mirrored([(-30, 4.6), (-4.0, 4.6), (-3.4, 3.6)])),
        ("metal", box(-3.4, -2.2, -CHUCK_DEPTH, 2.2)),
    ),
    solid=True,
)
CHUCK = Outline(
    "chuck",
    (-CHUCK_DEPTH / 2, -1.5),
    -90,
    (
        (
            "metal",
            _mirrored(
                [
                    *((-CHUCK_DEPTH, 2.9), (-CHUCK_DEPTH + 0.2, CHUCK_RADIUS)),
                    *((-0.2, CHUCK_RADIUS), (0, 2.9)),
                ]
            ),
        ),
    ),
    solid=True,
)
# From where the quill leaves it: base on the ways, barrel, hand wheel, lock of the quill.
TAILSTOCK = Outline(
    "tailstock",
    (4.0, -2.6),
    -90,
    (
        ("metal", [(1.0, -3.6), (6.6, -3.6), (7.2, -2.6), (7.2, 2.6), (6.6, 3.6), (1.0, 3.6)]),
        ("metal", _mirrored([(0, 1.3), (0.4, 1.6), (7.8, 1.6), (8.3, 1.2)])),
        ("metal", box(8.3, -0.5, 9.0, 0.5)),
        ("metal", box(9.0, -2.9, 9.5, 2.9)),
        ("metal", [(9.5, 1.9), (10.3, 1.8), (10.5, 2.1), (10.3, 2.4), (9.5, 2.3)]),
        ("paper", circle(0.32, 1.4, 0.8)),
        ("", [(1.4, 0.8), (2.3, 2.3)]),
    ),
    solid=True,
)
# From the spindle axis where the cross slide crosses it: apron, its hand wheel, saddle.
CARRIAGE = Outline(
    "carriage",
    (-4.4, -4.3),
    200,
    (
        ("metal", box(-4.4, -7.6, 3.9, -4.8)),
        ("metal", box(-3.5, -8.0, -3.0, -7.6)),
        ("metal", box(-4.9, -8.4, -1.6, -8.0)),
        (
            "metal",
            [
                *((-4.7, -5.0), (-2.7, -5.0), (-2.7, -8.0), (2.7, -8.0), (2.7, -5.0)),
                *((4.7, -5.0), (4.7, -3.0), (2.7, -2.4), (2.7, 2.4), (4.7, 3.0), (4.7, 4.8)),
                *((-4.7, 4.8), (-4.7, 3.0), (-2.7, 2.4), (-2.7, -2.4), (-4.7, -3.0)),
            ],
        ),
    ),
)
# From the end of a slide or of the saddle: bearing, dial, crank and its handle.
CRANK = Outline(
    "dial",
    (0.95, 0),
    0,
    (
        ("metal", box(0, -0.8, 0.45, 0.8)),
        ("paper", box(0.45, -0.65, 1.15, 0.65)),
        ("", broken(*([(0.45, y), (0.75, y)] for y in (-0.4, 0, 0.4)))),
        (
            "metal",
            _mirrored([(1.15, 0.25), (1.35, 0.25), (1.35, 1.6), (1.6, 1.6)]),
        ),
        ("metal", [(1.6, -1.1), (2.4, -1.0), (2.4, -1.7), (1.6, -1.6)]),
    ),
)
# From the middle of the compound's base.
CROSS_SLIDE = Outline(
    "cross slide", (-0.4, 6.9), 90, (("paper", box(-2.2, -2.3, 2.2, 8.4)),), rank=1
)
BASE = Outline(
    "base",
    (0.7, 1.5),
    60,
    (
        ("metal", circle(2.0)),
        ("", spokes((*range(45, 136, 18), *range(225, 316, 18)), 1.7, 2.0)),
        ("metal", box(-2.9, -0.8, 2.9, 0.8)),
    ),
)
# From the middle of the tool post, its crank to the right.
SLIDE_END = 3.9
SLIDE = Outline(
    "compound", (2.6, -0.5), -70, (("brass", box(-1.7, -1.05, SLIDE_END, 1.05)),), rank=1
)
POST = Outline(
    "tool post",
    (-0.85, 0),
    190,
    (
        ("metal", box(-1.05, -1.05, 1.05, 1.05)),
        ("", broken([(0.65, -1.05), (0.65, 1.05)])),
        ("paper", circle(0.4)),
    ),
)
# From the indicator's tip, its stem to the right.
INDICATOR = Outline(
    "indicator",
    (STEM + 0.7, -0.55),
    190,
    (
        ("paper", circle(CASE, STEM + CASE)),
        ("", [(STEM + CASE, 0), (STEM + 0.25, 0)]),
    ),
    rank=1,
)


class Body:
    """An outline put at a place, turned and sized, as one; with its name where that is wanted.

    It is cut off at `right`.
    """

    def __init__(
        self,
        scene: Scene,
        outline: Outline,
        zorder: float,
        *,
        moving: bool = True,
        named: bool = False,
        right: float = math.inf,
    ) -> None:
        self.scene, self.outline, self.right = scene, outline, right
        self.at, self.stands = outline.at, b""
        self.shapes = [np.asarray(points, float) for _fill, points in outline.shapes]
        self.pieces = [
            scene.area(fill, moving=moving, clear=True, zorder=zorder)
            if fill
            else scene.line("metal edge", weight=0.45, moving=moving, zorder=zorder)
            for fill, _points in outline.shapes
        ]
        self.name = scene.name(outline.rank) if named else None
        if outline.solid and self.name is not None:
            scene.solids += [(self.name, one) for one in self.pieces if isinstance(one, Area)]

    def put(self, at: ArrayLike, size: float, along: ArrayLike = EAST) -> None:
        """The origin to `at`, what lies to the right of it to the direction `along`."""
        stands = np.array([*at, size, *along, *self.at]).tobytes()  # type: ignore[misc]
        if stands == self.stands:
            return
        self.stands = stands
        x, y = np.asarray(along, float) * size
        frame = np.array([[x, y], [-y, x]])
        origin = np.asarray(at, float)
        for piece, shape in zip(self.pieces, self.shapes, strict=True):
            points = shape @ frame + origin
            if self.right < math.inf:
                points[:, 0] = np.minimum(points[:, 0], self.right)
            if isinstance(piece, Area):
                piece.set_xy(points)
            else:
                piece.set_data(*points.T)
        if self.name is not None:
            x, y = self.at @ frame + origin
            words = self.outline.name if x < self.right else ""
            self.scene.say(self.name, words, x, y, self.outline.side)


def part_profile(
    half_angle: Angle, internal: bool, depth: float, outer: float, mouth: float, end: float
) -> Points:
    """Half of the part, cut along the axis: place from its face and radius.

    `mouth` is the radius of an internal cone at the face, `end` that of an external one. The
    first two corners are the ends of the cone's wall.
    """
    slope = math.tan(half_angle.radians)
    if internal:
        deep = min(depth, (mouth - 0.12) / slope)
        inner = mouth - deep * slope
        corners = [(0, mouth), (-deep, inner), (-depth, inner), (-depth, outer), (0, outer)]
    else:
        deep = min(depth, (outer - end) / slope)
        large = end + deep * slope
        corners = [(0, end), (-deep, large), (-depth, large), (-depth, 0), (0, 0)]
    return np.array(corners)


class Part:
    """The part in the chuck, cut along the axis, and the jaws that hold it."""

    def __init__(self, scene: Scene, named: bool = False) -> None:
        self.scene, self.name = scene, scene.name() if named else None
        self.walls = [scene.area("brass", clear=True, zorder=2) for _ in range(2)]
        self.jaws = [scene.area("metal", clear=True, zorder=2.5) for _ in range(2)]

    def move(
        self,
        profile: Points,
        face: tuple[float, float],
        chuck: float,
        size: float,
        turned: Callable[[Points], Points] = np.asarray,
    ) -> None:
        """Put the part's face; `chuck` is the place of the chuck's face along the axis.

        All points are `turned` last, where the picture has the axis askew.
        """
        grip = profile[:, 1].max() / size
        steps = [(0, grip), (1.7, grip), (1.7, grip + 0.45), (1.0, grip + 0.45)]
        jaw = np.array([*steps, (1.0, grip + 0.9), (0, grip + 0.9)]) * size + [chuck, 0]
        for side, wall, held in zip((1, -1), self.walls, self.jaws, strict=True):
            wall.set_xy(turned(profile * [1, side] + face))
            held.set_xy(turned(jaw * [1, side] + [0, face[1]]))
        if self.name is not None:
            middle = (profile[0, 1] + profile[-1, 1] + profile[-2, 1]) / 3
            self.scene.say(self.name, "part", face[0] - 0.3 * size, face[1] - middle, -45)


def quill_outline(
    nose: float, tailstock: float, axis: float, half: float, lean: float = 0.0
) -> Points:
    """The quill from its nose to the tailstock; see `Quill.move`."""
    bevel, rise = 0.35 * half, lean * (tailstock - nose) / 2
    low, high = axis - half, axis + half
    corners = [(nose, low + bevel - rise), (nose + bevel, low - rise), (tailstock, low + rise)]
    far = [(tailstock, high + rise), (nose + bevel, high - rise), (nose, high - bevel - rise)]
    return np.array([*corners, *far])


class Quill:
    """The quill from its nose to the tailstock, and the tailstock; it stands over the slide."""

    def __init__(self, scene: Scene, named: bool = False, right: float = math.inf) -> None:
        self.scene, self.name = scene, scene.name() if named else None
        self.tailstock = Body(scene, TAILSTOCK, 4.4, named=named, right=right)
        self.quill = scene.area("metal", clear=True, zorder=4.5)
        if self.name is not None:
            scene.solids.append((self.name, self.quill))

    def move(
        self, nose: float, tailstock: float, axis: float, half: float, lean: float = 0.0
    ) -> None:
        """From the nose to the tailstock; `lean`: how far its side comes in per length."""
        self.quill.set_xy(quill_outline(nose, tailstock, axis, half, lean))
        self.tailstock.put((tailstock, axis), half / QUILL_RADIUS)
        if self.name is not None:
            self.scene.say(self.name, "quill", nose + 0.4 * half, axis - 0.6 * half, -135)

    def show(self, shown: bool) -> None:
        """Whether they stand there at all."""
        for piece in (self.quill, *self.tailstock.pieces):
            piece.set_visible(shown)
        for name in (self.name, self.tailstock.name):
            if name is not None:
                name.label.set_visible(shown)


class Compound:
    """The compound slide with crank, tool post and indicator; and, if wanted, its base."""

    def __init__(
        self,
        scene: Scene,
        size: float,
        *,
        base: bool = True,
        named: bool = False,
        dials: bool = False,
    ) -> None:
        self.size = size
        self.post = Body(scene, POST, 7.2, named=named)
        self.base = Body(scene, BASE, 3.1, named=named) if base else None
        self.body = Body(scene, SLIDE, 3.3, named=named)
        self.slide = cast(Area, self.body.pieces[0])
        self.crank = Body(scene, replace(CRANK, name="compound dial", side=10), 3.3, named=dials)
        self.rod = scene.line("metal edge", weight=2.4, zorder=7)
        self.stem = scene.line("ink", weight=1.1, zorder=8)
        self.indicator = Body(scene, INDICATOR, 8, named=named)
        self.point = scene.line(
            "ink",
            marker="o",
            markersize=4.5 * scene.style.scale,
            linestyle="none",
            zorder=9,
            clear=False,
        )

    def move(
        self,
        post: Points,
        along: Points,
        tip: Points,
        base: Points | None = None,
        stem: ArrayLike = SOUTH,
    ) -> None:
        """Put the post's middle, the direction from headstock end to crank, the tip, the base.

        `stem` is the direction from the tip along the indicator's stem.
        """
        size, stem = self.size, np.asarray(stem, float)
        if self.base is not None and base is not None:
            self.base.put(base, size, along)
        self.body.put(post, size, along)
        self.crank.put(post + SLIDE_END * size * along, size, along)
        self.post.put(post, size, along)
        self.indicator.put(tip, size, stem)
        case = tip + (STEM + CASE) * size * stem
        self.rod.set_data(*np.array([case + CASE * size * stem, post]).T)
        self.stem.set_data(*np.array([tip, tip + STEM * size * stem]).T)
        self.point.set_data([tip[0]], [tip[1]])

    @property
    def corners(self) -> Points:
        """The four corners of the slide."""
        return np.asarray(self.slide.get_xy())[:4]

    @property
    def artists(self) -> list[Any]:
        """All that it is drawn with."""
        bodies = (self.base, self.body, self.crank, self.post, self.indicator)
        pieces = [piece for body in bodies if body is not None for piece in body.pieces]
        return [*pieces, self.rod, self.stem, self.point]


class Carriage:
    """Bed, carriage, cross slide with its dial; the compound stands on it.

    `whole`: all of it is in the picture, and its dials have no faces of their own there.
    """

    def __init__(
        self, scene: Scene, size: float, axis: float, right: float, *, whole: bool = False
    ) -> None:
        self.size, self.axis, self.whole = size, axis, whole
        for way in (-1, 1):
            low, high = sorted((axis + 3.2 * way * size, axis + 4.3 * way * size))
            scene.area("paper", box(-0.1, low, right, high), moving=False, clear=True, zorder=1)
        self.saddle = Body(scene, CARRIAGE, 1.5, named=True)
        self.crank = Body(scene, replace(CRANK, name="cross dial", side=190), 1.5, named=whole)
        self.slide = Body(
            scene,
            CROSS_SLIDE if whole else replace(CROSS_SLIDE, at=(1.2, -2.1), side=-60, rank=2),
            3,
            named=True,
        )
        self.compound = Compound(scene, size, named=True, dials=whole)

    def move(
        self, base: Points, post: Points, along: Points, tip: Points, stem: ArrayLike = SOUTH
    ) -> None:
        """Put the compound, and all beneath it where it must then be."""
        if not self.whole:  # named at the corner that the compound leaves free
            self.slide.at = (math.copysign(1.4, along[1]), -2.1)
        self.saddle.put((base[0], self.axis), self.size)
        self.crank.put((base[0], self.axis - 8 * self.size), self.size, SOUTH)
        self.slide.put(base, self.size)
        self.compound.move(post, along, tip, base, stem)
