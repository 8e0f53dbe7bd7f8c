"""A line across two parallels, which turns into the plan view of the lathe."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tapertrig.angle import Angle
from tapertrig.draw.parts.machine import Compound
from tapertrig.draw.parts.scene import Scene
from tapertrig.draw.parts.style import DASHES
from tapertrig.lathe import Lathe

# Where things stand when the figure has become the lathe; before that all is turned by TILT.
AXIS_Y, SIDE_Y, MIDDLE_X = 6.5, 4.6, 8.6
CENTRE = np.array([MIDDLE_X, (AXIS_Y + SIDE_Y) / 2])
TILT = math.radians(20)
LINE_ENDS = (0.15, 15.85)
BEYOND_AXIS, BEYOND_SIDE = 2.0, 4.0
LATHE_FROM, LATHE_SEEN, NAMED_FROM = 0.25, 0.5, 0.95
ACUTE_ARC, OBTUSE_ARCS, WEDGE = 0.7, (0.36, 0.46), 1.3
STEM_LEAN = math.radians(28)
SLIDE_ASIDE, SLIDE_MIDDLE, SLIDE_HALF, SLIDE_WIDTH = 1.35, 2.5, 1.25, 0.8
FACE_X, PART_LEFT, MOUTH, OUTER, SMALL_END = 2.35, 0.85, 0.95, 1.35, 0.4
QUILL_LEFT, QUILL_BEVEL = 3.25, 0.5
NAMES_LEFT, NAMES_RIGHT = 3.7, 15.1
BASE_X, BASE_X_EXTERNAL, BASE_Y, BASE_RADIUS, BASE_ARC = 5.0, 11.75, 1.95, 1.05, 0.7
SUMS_X, SUMS_X_EXTERNAL, SUMS_Y, SUMS_STEP = 0.3, 12.95, 2.6, 0.7
NUMBERS = range(1, 9)
BASE_NUMBER = 9

PAIRS = {
    "all eight": (),
    "vertical angles": ("vertical", 0, 2),
    "corresponding angles": ("corresponding", 0, 4),
    "alternate angles": ("alternate", 2, 4),
    "angles that make 180°": ("side by side", 0, 1),
}


@dataclass(frozen=True)
class ParallelLinesState:
    """What the picture shows. `turn` runs from 0, the bare figure, to 1, the lathe."""

    angle: Angle
    turn: float
    internal: bool
    lathe: Lathe
    pair: str = "all eight"

    @property
    def other(self) -> Angle:
        """The angle that makes 180° with it."""
        return self.angle.complement() + Angle.from_dms(90)

    @property
    def acute(self) -> tuple[int, ...]:
        """Numbers of the marked angles that equal the angle of the line."""
        return tuple(n for n in NUMBERS if (n % 2 == 0) == self.internal)

    @property
    def half_angle_marks(self) -> tuple[int, ...]:
        """Numbers of the marked angles that are the half angle, the base's own among them."""
        return self.acute if self.square else (*self.acute, BASE_NUMBER)

    @property
    def base_reading(self) -> Angle:
        """What the compound base shows."""
        return self.lathe.base_reading(self.angle)

    @property
    def square(self) -> bool:
        """Whether the base's zero is square to the bed."""
        return self.lathe.base_zero == "square to bed"

    @property
    def looked_at(self) -> tuple[int, int] | None:
        """Numbers of the pair looked at; None when all are."""
        if not PAIRS[self.pair]:
            return None
        _kind, one, other = PAIRS[self.pair]
        # Alternate angles lie between the parallels, on either side of the line across.
        first = 4 if one and self.internal else 3 if one else self.acute[0]
        return first, (first + 2 if one else first + other)

    @property
    def lathe_share(self) -> float:
        """How far the parts of the lathe have faded in, 0 to 1, with a soft start and end."""
        share = min(max((self.turn - LATHE_FROM) / (1 - LATHE_FROM), 0.0), 1.0)
        return share * share * (3 - 2 * share)

    @property
    def is_lathe(self) -> bool:
        """Whether the figure is more lathe than figure."""
        return self.turn >= LATHE_SEEN

    @property
    def is_named(self) -> bool:
        """Whether the parts of the lathe are near enough in place to bear their names."""
        return self.turn >= NAMED_FROM

    def size(self, number: int) -> Angle:
        """Size of the marked angle of that number."""
        return self.angle if number in self.acute else self.other

    def letter(self, number: int) -> str:
        """The letter of a marked angle: the same for equal ones."""
        if number == BASE_NUMBER:
            return "c" if self.square else "a"
        return "a" if number in self.acute else "b"


def placed(state: ParallelLinesState, points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Points of the plan view, (n, 2), where the turn of the figure puts them."""
    lean = TILT * (1 - state.turn) * (-1 if state.internal else 1)
    cos, sin = math.cos(lean), math.sin(lean)
    away = np.asarray(points, float) - CENTRE
    return CENTRE + away @ np.array([[cos, sin], [-sin, cos]])


def towards_operator(state: ParallelLinesState) -> NDArray[np.float64]:
    """Unit vector along the line across, away from the axis on the operator's side."""
    alpha = state.angle.radians
    return np.array([math.cos(alpha) * (1 if state.internal else -1), -math.sin(alpha)])


def crossings(state: ParallelLinesState) -> NDArray[np.float64]:
    """Where the line crosses the upper and the lower parallel, in the plan view: shape (2, 2)."""
    half = towards_operator(state) * (AXIS_Y - SIDE_Y) / 2 / math.sin(state.angle.radians)
    return np.array([CENTRE - half, CENTRE + half])


def ray_angles(state: ParallelLinesState) -> tuple[float, float, float, float]:
    """Directions from a crossing, as drawn: right, up the line, left, down the line; rising."""
    alpha = state.angle.radians
    lean = TILT * (1 - state.turn) * (-1 if state.internal else 1)
    up = math.pi - alpha if state.internal else alpha
    return lean, lean + up, lean + math.pi, lean + math.pi + up


def wedges(state: ParallelLinesState) -> list[tuple[NDArray[np.float64], float, float]]:
    """Corner of each marked angle as drawn, and the directions it lies between.

    1 to 4 run anticlockwise round the upper crossing from the upper right, 5 to 8 round the
    lower one.
    """
    corners = placed(state, crossings(state))
    rays = ray_angles(state)
    rays = (*rays, rays[0] + 2 * math.pi)
    return [(corner, rays[n], rays[n + 1]) for corner in corners for n in range(4)]


def _round(corner: NDArray, radius: float, start: float, end: float, count: int = 13) -> NDArray:
    turn = np.linspace(start, end, count)
    points = np.empty((count, 2))
    points[:, 0], points[:, 1] = np.cos(turn), np.sin(turn)
    return corner + radius * points


def _joined(pieces: list[NDArray[np.float64]]) -> NDArray[np.float64]:
    gap = np.full((1, 2), np.nan)
    return np.vstack([part for piece in pieces for part in (piece, gap)])


def place_in_wedge(
    corner: NDArray[np.float64],
    start: float,
    end: float,
    size: tuple[float, float],
    arc: float,
    margin: float,
) -> NDArray[np.float64]:
    """Middle of a level box of that size, on the bisector, clear of both sides and of the arc."""
    middle = (start + end) / 2
    across, up = size[0] / 2, size[1] / 2
    far = arc + margin + across * abs(math.cos(middle)) + up * abs(math.sin(middle))
    for side in (start, end):
        support = across * abs(math.sin(side)) + up * abs(math.cos(side))
        far = max(far, (support + margin) / math.sin((end - start) / 2))
    return corner + far * np.array([math.cos(middle), math.sin(middle)])


def wall_profile(state: ParallelLinesState) -> NDArray[np.float64]:
    """Half of the part, cut along the axis: axial place and radius, shape (n, 2)."""
    slope = math.tan(state.angle.radians)
    if state.internal:
        depth = min(FACE_X - PART_LEFT, (MOUTH - 0.12) / slope)
        inner = MOUTH - depth * slope
        corners = [
            (FACE_X, MOUTH),
            (FACE_X - depth, inner),
            (PART_LEFT, inner),
            (PART_LEFT, OUTER),
            (FACE_X, OUTER),
        ]
    else:
        depth = min(FACE_X - PART_LEFT, (OUTER - SMALL_END) / slope)
        large = SMALL_END + depth * slope
        corners = [
            (FACE_X, SMALL_END),
            (FACE_X - depth, large),
            (PART_LEFT, large),
            (PART_LEFT, 0.0),
            (FACE_X, 0.0),
        ]
    return np.array(corners)


class ParallelLinesScene(Scene):
    """Eight marked angles, and the lathe that fades in round them."""

    def build(self) -> None:
        bodies = [self.area("metal", clear=True, zorder=2) for _ in range(3)]
        self.chuck, self.quill, self.base = bodies
        self.walls = [self.area("brass", clear=True, zorder=2) for _ in range(2)]
        self.cone_wall = self.line("compound", weight=1.4)
        self.compound_body = Compound(self, SLIDE_WIDTH)
        self.obstacles.append(self.compound_body.crank)
        self.looked_at = [self.area("band", edge=None, zorder=4) for _ in range(2)]
        self.looked_arcs = self.line("angle", weight=2.6)
        self.upper = self.line("axis", weight=1.0)
        self.lower = self.line("ink", weight=1.0)
        self.across = self.line("compound", weight=1.5, zorder=6)
        self.arrows = self.line("ink", weight=0.8)
        self.acute_arcs = self.line("angle", weight=1.2)
        self.obtuse_arcs = self.line("ink", weight=0.7)
        self.marks = [self.label(role="angle", bold=True, free=False) for _ in NUMBERS]
        self._build_base()
        body = self.compound_body
        slide = (body.slide, body.crank, body.post, body.stem, body.point)
        on_base = (self.base_zero, self.base_slide, self.base_arc)
        self.machine = (*bodies, *self.walls, self.cone_wall, *slide, *on_base)
        self.sums = [
            self.label(role="angle", bold=True, free=False, size="small") for _ in range(4)
        ]
        self.axis_words = self.label(role="axis", size="small", free=False)
        self.side_words = self.label(size="small", free=False)
        self.part_words = self.label(size="small", free=False)
        self.slide_words = self.label(role="compound", size="small", leader=True)

    def _build_base(self) -> None:
        self.base_zero = self.line("ink", weight=1.2)
        self.base_slide = self.line("compound", weight=1.5, zorder=6)
        self.base_arc = self.line("angle", weight=1.2)
        self.base_words = self.label(size="small", free=False)
        self.zero_mark = self.label("0", size="small", free=False)
        self.base_mark = self.label(role="angle", bold=True, leader=True)

    def move(self, state: ParallelLinesState) -> None:
        self._move_lines(state)
        self._mark_angles(state)
        self._move_machine(state)
        self._write_sums(state)
        self._name_parts(state)

    def _move_lines(self, state: ParallelLinesState) -> None:
        left, right = LINE_ENDS
        for line, y in ((self.upper, AXIS_Y), (self.lower, SIDE_Y)):
            line.set_data(*placed(state, np.array([[left, y], [right, y]])).T)
        self.upper.set_linestyle(DASHES["axis"] if state.lathe_share else "solid")
        down = towards_operator(state)
        over, under = crossings(state)
        ends = np.array([over - down * BEYOND_AXIS, under + down * BEYOND_SIDE])
        self.across.set_data(*placed(state, ends).T)
        heads = []
        for y in (AXIS_Y, SIDE_Y):
            tip = np.array([right - 0.35, y])
            heads.append(np.array([tip + [-0.2, 0.16], tip, tip + [-0.2, -0.16]]))
        self.arrows.set_data(*placed(state, _joined(heads)).T)

    def _mark_angles(self, state: ParallelLinesState) -> None:
        acute, obtuse = [], []
        margin = 0.06
        marked = wedges(state)
        for number, mark in zip(NUMBERS, self.marks, strict=True):
            corner, start, end = marked[number - 1]
            is_acute = number in state.acute
            if is_acute:
                acute.append(_round(corner, ACUTE_ARC, start, end))
            else:
                obtuse += [_round(corner, radius, start, end) for radius in OBTUSE_ARCS]
            told = f"{state.letter(number)}{number}"
            mark.label.set_text(str(number) if self.hide_answers else told)
            first, last = self._beside_stem(state, number, start, end)
            size = mark.label.width / self.pixels_per_unit, mark.label.height / self.pixels_per_unit
            arc = ACUTE_ARC if is_acute else OBTUSE_ARCS[-1]
            place = place_in_wedge(corner, first, last, size, arc, margin)
            self.put(mark, mark.label.text, *place)
        self.acute_arcs.set_data(*_joined(acute).T)
        self.obtuse_arcs.set_data(*_joined(obtuse).T)
        pair = state.looked_at
        self.looked_arcs.set_visible(pair is not None)
        arcs = []
        for area, number in zip(self.looked_at, pair or (1, 1), strict=True):
            area.set_visible(pair is not None)
            corner, start, end = marked[number - 1]
            area.set_xy(np.vstack([corner, _round(corner, WEDGE, start, end)]))
            arc = ACUTE_ARC if number in state.acute else OBTUSE_ARCS[-1]
            arcs.append(_round(corner, arc, start, end))
        self.looked_arcs.set_data(*_joined(arcs).T)

    @staticmethod
    def _beside_stem(
        state: ParallelLinesState, number: int, start: float, end: float
    ) -> tuple[float, float]:
        # The indicator's stem comes in through the obtuse angle on the slide's side.
        lean = STEM_LEAN * state.lathe_share
        if state.internal and number == 7:
            return start, end - lean
        if not state.internal and number == 8:
            return start + lean, end
        return start, end

    def _move_machine(self, state: ParallelLinesState) -> None:
        half = AXIS_Y - SIDE_Y
        left, bevel = QUILL_LEFT, QUILL_BEVEL
        for area, corners in (
            (self.chuck, self._stepped(0.25, 2.1, PART_LEFT, 1.7)),
            (
                self.quill,
                np.array(
                    [
                        (left + bevel, SIDE_Y),
                        (17.5, SIDE_Y),
                        (17.5, AXIS_Y + half),
                        (left + bevel, AXIS_Y + half),
                        (left, AXIS_Y + half - bevel),
                        (left, SIDE_Y + bevel),
                    ]
                ),
            ),
        ):
            area.set_xy(placed(state, corners))
        profile = wall_profile(state)
        for area, side in zip(self.walls, (1, -1), strict=True):
            area.set_xy(placed(state, profile * [1, side] + [0, AXIS_Y]))
        near = profile[:2] * [1, -1] + [0, AXIS_Y]
        self.cone_wall.set_data(*placed(state, near).T)
        self._move_slide(state)
        self._move_base(state)
        for artist in self.machine:
            artist.set_visible(state.lathe_share > 0)
            artist.set_alpha(state.lathe_share)

    @staticmethod
    def _stepped(left: float, tall: float, right: float, low: float) -> NDArray[np.float64]:
        upper = [(-0.6, tall), (left, tall), (left, low), (right, low)]
        lower = [(x, -y) for x, y in reversed(upper)]
        return np.array([*upper, *lower]) + [0, AXIS_Y]

    def _move_slide(self, state: ParallelLinesState) -> None:
        down = towards_operator(state)
        aside = np.array([-abs(down[1]) if state.internal else abs(down[1]), -abs(down[0])])
        tip = crossings(state)[1]
        beside = tip + aside * SLIDE_ASIDE
        post = beside + down * SLIDE_ASIDE / math.tan(STEM_LEAN)
        ends = beside + np.outer([SLIDE_MIDDLE - SLIDE_HALF, SLIDE_MIDDLE + SLIDE_HALF], down)
        # The crank is at the tailstock end, whichever end that is.
        head, handle = ends if state.internal else ends[::-1]
        self.compound_body.move(*placed(state, np.array([head, handle, post, tip])))

    def _move_base(self, state: ParallelLinesState) -> None:
        centre = np.array([BASE_X if state.internal else BASE_X_EXTERNAL, BASE_Y])
        self.base.set_xy(_round(centre, BASE_RADIUS, 0, 2 * math.pi, 48))
        slide = math.pi + (-1 if state.internal else 1) * state.angle.radians
        zero = (math.pi / 2 if state.internal else 1.5 * math.pi) if state.square else math.pi
        self.base_zero.set_data(*np.vstack([centre, *_round(centre, BASE_RADIUS, zero, zero, 1)]).T)
        ends = _round(centre, BASE_RADIUS, slide, slide + math.pi, 2)
        self.base_slide.set_data(*ends.T)
        arc = _round(centre, BASE_ARC, zero, slide)
        self.base_arc.set_data(*arc.T)
        told = f"{state.letter(BASE_NUMBER)}{BASE_NUMBER}"
        mark = str(BASE_NUMBER) if self.hide_answers else told
        outward = math.degrees((zero + slide) / 2)
        self.say(self.base_mark, mark if state.is_named else "", *arc[6], outward)
        place = centre + (BASE_RADIUS + 0.22) * np.array([math.cos(zero), math.sin(zero)])
        self.put(self.zero_mark, "0" if state.is_named else "", *place)
        side = -1 if state.internal else 1
        self.put(
            self.base_words,
            "compound base" if state.is_named else "",
            centre[0],
            centre[1] + side * (BASE_RADIUS + 0.08),
            0.5,
            1 if state.internal else 0,
        )

    def _write_sums(self, state: ParallelLinesState) -> None:
        left = SUMS_X if state.internal or self.style.spare else SUMS_X_EXTERNAL
        top, step = (0.2, 0.74) if self.style.spare else (SUMS_Y, SUMS_STEP)
        mark = f"{state.letter(BASE_NUMBER)}{BASE_NUMBER}"
        if self.hide_answers:
            lines = ("which are", "equal?", "", "")
            if state.is_lathe:
                lines = ("which is the", "half angle?", "", "")
        else:
            lines = (
                f"a = {state.angle.brief()}",
                f"b = {state.other.brief()}",
                "a + b = 180°",
                f"{mark} = {state.base_reading.brief()}" if state.is_named else "",
            )
        for row, (wish, line) in enumerate(zip(self.sums, lines, strict=True)):
            self.put(wish, line, left, top - step * row, 0, 0)

    def _name_parts(self, state: ParallelLinesState) -> None:
        shown = state.is_named
        # On the side of the axis that the line across leaves free.
        x, across = (NAMES_RIGHT, 1) if state.internal else (NAMES_LEFT, 0)
        self.put(self.axis_words, "spindle axis" if shown else "", x, AXIS_Y + 0.14, across, 0)
        self.put(self.side_words, "quill side" if shown else "", NAMES_RIGHT, SIDE_Y + 0.14, 1, 0)
        self.put(self.part_words, "part" if shown else "", 1.75, AXIS_Y + OUTER + 0.2, 0.5, 0)
        middle = self.compound_body.slide.get_xy()[:4].mean(axis=0)
        self.say(self.slide_words, "compound slide" if shown else "", *middle, 0)
