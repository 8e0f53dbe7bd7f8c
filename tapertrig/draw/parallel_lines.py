"""A line across two parallels, which turns into the plan view of the lathe."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tapertrig.angle import Angle
from tapertrig.draw.parts.label import Wish
from tapertrig.draw.parts.machine import (
    BASE,
    CASE,
    CHUCK,
    HOLD,
    STEM,
    Body,
    Compound,
    Part,
    part_profile,
    quill_outline,
)
from tapertrig.draw.parts.scene import Scene
from tapertrig.draw.parts.style import DASHES
from tapertrig.lathe import Lathe

# Where things stand when the figure has become the lathe; before that all is turned by TILT.
AXIS_Y, SIDE_Y, MIDDLE_X = 6.65, 4.2, 8.6
CENTRE = np.array([MIDDLE_X, (AXIS_Y + SIDE_Y) / 2])
TILT = math.radians(16)
LINE_ENDS = (0.15, 15.85)
BEYOND_AXIS, BEYOND_SIDE = 2.0, 4.0
LATHE_FROM, LATHE_SEEN, NAMED_FROM = 0.25, 0.5, 0.95
ACUTE_ARC, OBTUSE_ARCS, WEDGE = 0.7, (0.36, 0.46), 1.3
SIZE = 0.5  # board units for an inch of the lathe drawn
CASE_SEEN = math.asin(CASE / (STEM + CASE))  # half of what the indicator's case hides, from its tip
FACE_X, PART_LEFT, MOUTH, OUTER, SMALL_END = 2.45, 0.85, 0.8, 1.15, 0.35
QUILL_LEFT, QUILL_RIGHT = 3.25, 17.5
NAMES_LEFT, NAMES_RIGHT = 3.7, 15.1
BASE_X, BASE_X_EXTERNAL, BASE_Y, BASE_RADIUS, BASE_ARC = 5.0, 11.75, 1.95, 1.05, 0.7
SUMS_X, SUMS_X_EXTERNAL, SUMS_Y, SUMS_STEP = 0.3, 12.95, 2.6, 0.7
LONG_SUMS = 1.0  # how much further left both stand where large words say the angle
NUMBERS = range(1, 9)
MARK_REACH = 2.9  # from the corner: further off a mark tells no angle
SHARES, FURTHER = ((0, 1), (0, 0.7), (0.3, 1), (0, 0.5), (0.5, 1)), np.arange(0, 2.6, 0.2)
BASE_NUMBER = 9

PAIRS: dict[str, tuple[()] | tuple[str, int, int]] = {
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
        pair = PAIRS[self.pair]
        if not pair:
            return None
        _kind, one, other = pair
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
    lean = lean_of(state)
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


def lean_of(state: ParallelLinesState) -> float:
    """How far the parallels are turned from level, radians anticlockwise."""
    return TILT * (1 - state.turn) * (-1 if state.internal else 1)


def ray_angles(state: ParallelLinesState) -> tuple[float, float, float, float]:
    """Directions from a crossing, as drawn: right, up the line, left, down the line; rising."""
    alpha = state.angle.radians
    lean = lean_of(state)
    up = math.pi - alpha if state.internal else alpha
    return lean, lean + up, lean + math.pi, lean + math.pi + up


def wedges(state: ParallelLinesState) -> list[tuple[NDArray[np.float64], float, float]]:
    """Corner of each marked angle as drawn, and the directions it lies between.

    1 to 4 run anticlockwise round the upper crossing from the upper right, 5 to 8 round the
    lower one.
    """
    corners = placed(state, crossings(state))
    first, *others = ray_angles(state)
    rays = (first, *others, first + 2 * math.pi)
    return [(corner, rays[n], rays[n + 1]) for corner in corners for n in range(4)]


def _round(corner: NDArray, radius: float, start: float, end: float, count: int = 13) -> NDArray:
    turn = np.linspace(start, end, count)
    points = np.empty((count, 2))
    points[:, 0], points[:, 1] = np.cos(turn), np.sin(turn)
    return corner + radius * points


def _joined(pieces: list[NDArray[np.float64]]) -> NDArray[np.float64]:
    gap = np.full((1, 2), np.nan)
    return np.vstack([gap, *(part for piece in pieces for part in (piece, gap))])


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


class ParallelLinesScene(Scene):
    """Eight marked angles, and the lathe that fades in round them."""

    def build(self) -> None:
        self.chuck = Body(self, CHUCK, 2)
        self.part = Part(self)
        self.quill = self.area("metal", clear=True, zorder=2)
        self.base = Body(self, replace(BASE, shapes=BASE.shapes[:2]), 2)
        self.cone_wall = self.line("compound", weight=1.4)
        self.compound_body = Compound(self, SIZE, base=False)
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
        on_base = (*self.base.pieces, self.base_zero, self.base_slide, self.base_arc)
        held = (*self.chuck.pieces, *self.part.walls, *self.part.jaws, self.quill, self.cone_wall)
        self.machine = (*held, *self.compound_body.artists, *on_base)
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
        # While answers are hidden the slide, along the bed, reaches to where the base stands.
        large = self.style.name == "projector" and not self.hide_answers
        self.longer = LONG_SUMS if large else 0.0
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
        marked = wedges(state)
        for number, mark in zip(NUMBERS, self.marks, strict=True):
            corner, start, end = marked[number - 1]
            # While answers are hidden, no arc tells which angles are equal.
            is_acute = self.hide_answers or number in state.acute
            if is_acute:
                acute.append(_round(corner, ACUTE_ARC, start, end))
            else:
                obtuse += [_round(corner, radius, start, end) for radius in OBTUSE_ARCS]
            told = f"{state.letter(number)}{number}"
            mark.label.set_text(str(number) if self.hide_answers else told)
            self._stand_in_wedge(
                mark,
                corner,
                self._beside_stem(state, number, start, end),
                ACUTE_ARC if is_acute else OBTUSE_ARCS[-1],
            )
        self.acute_arcs.set_data(*_joined(acute).T)
        self.obtuse_arcs.set_data(*_joined(obtuse).T)
        pair = state.looked_at
        self.looked_arcs.set_visible(pair is not None)
        arcs = []
        for area, number in zip(self.looked_at, pair or (1, 1), strict=True):
            area.set_visible(pair is not None)
            corner, start, end = marked[number - 1]
            area.set_xy(np.vstack([corner, _round(corner, WEDGE, start, end)]))
            is_acute = self.hide_answers or number in state.acute
            arc = ACUTE_ARC if is_acute else OBTUSE_ARCS[-1]
            arcs.append(_round(corner, arc, start, end))
        self.looked_arcs.set_data(*_joined(arcs).T)

    def _stand_in_wedge(
        self, mark: Wish, corner: NDArray, wedge: tuple[float, float], arc: float
    ) -> None:
        """In the middle of it, near its arc; where something is in the way, elsewhere in it."""
        unit = self.pixels_per_unit
        size = mark.label.width / unit, mark.label.height / unit
        start, spread = wedge[0], wedge[1] - wedge[0]

        def within(share: tuple[float, float], further: float = 0.0) -> NDArray[np.float64]:
            first, last = (start + part * spread for part in share)
            return place_in_wedge(corner, first, last, size, arc + further, 0.06)

        def spots() -> NDArray[np.float64]:
            found = np.array([within(share, further) for further in FURTHER for share in SHARES])
            near = np.hypot(*(found - corner).T) < MARK_REACH
            near[0] = True
            return (found[near] - [0, self.low]) * unit

        mark.spots = spots
        self.put(mark, mark.label.text, *within(SHARES[0]))

    @staticmethod
    def _beside_stem(
        state: ParallelLinesState, number: int, start: float, end: float
    ) -> tuple[float, float]:
        # The indicator's stem comes in square, through the obtuse angle on the slide's side.
        stem = lean_of(state) + 1.5 * math.pi
        if state.lathe_share and number == (7 if state.internal else 8):
            return (start, stem - CASE_SEEN) if state.internal else (stem + CASE_SEEN, end)
        return start, end

    def _move_machine(self, state: ParallelLinesState) -> None:
        lean = lean_of(state)
        level = np.array([math.cos(lean), math.sin(lean)])
        self.chuck.put(placed(state, np.array([[PART_LEFT, AXIS_Y]]))[0], 2 * SIZE * 0.6, level)
        half = AXIS_Y - SIDE_Y
        self.quill.set_xy(placed(state, quill_outline(QUILL_LEFT, QUILL_RIGHT, AXIS_Y, half)))
        profile = part_profile(
            state.angle, state.internal, FACE_X - PART_LEFT, OUTER, MOUTH, SMALL_END
        )
        face = FACE_X, AXIS_Y
        self.part.move(profile, face, PART_LEFT, SIZE, lambda points: placed(state, points))
        self.cone_wall.set_data(*placed(state, profile[:2] * [1, -1] + face).T)
        self._move_slide(state, level)
        self._move_base(state)
        for artist in self.machine:
            artist.set_visible(state.lathe_share > 0)
            artist.set_alpha(state.lathe_share)
        for artist in (self.base_slide, self.base_arc):
            artist.set_visible(state.lathe_share > 0 and not self.hide_answers)

    def _move_slide(self, state: ParallelLinesState, level: NDArray[np.float64]) -> None:
        # Which way it swings is asked: until then it stands along the bed.
        down = towards_operator(state) * (1 if state.internal else -1)
        ahead = np.array([1.0, 0.0]) if self.hide_answers else down
        tip = crossings(state)[1]
        ends = placed(state, np.array([tip, tip - [0, HOLD * SIZE], tip + ahead]))
        square = np.array([level[1], -level[0]])
        self.compound_body.move(ends[1], ends[2] - ends[0], ends[0], stem=square)

    def _move_base(self, state: ParallelLinesState) -> None:
        centre = np.array([BASE_X if state.internal else BASE_X_EXTERNAL - self.longer, BASE_Y])
        self.base.put(centre, BASE_RADIUS / 2)
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
        # While answers are hidden it stands where it shows no way to swing.
        place, outward = (centre, -90.0) if self.hide_answers else (arc[6], outward)
        self.say_at(self.base_mark, mark if state.is_named else "", place, outward)
        place = centre + (BASE_RADIUS + 0.22) * np.array([math.cos(zero), math.sin(zero)])
        self.put(self.zero_mark, "0" if state.is_named else "", *place)
        side = -1 if state.internal else 1
        self.put(
            self.base_words,
            ("9: base, 0 to slide" if self.hide_answers else "compound base") * state.is_named,
            centre[0],
            centre[1] + side * (BASE_RADIUS + 0.08),
            0.5,
            1 if state.internal else 0,
        )

    def _write_sums(self, state: ParallelLinesState) -> None:
        left = SUMS_X if state.internal or self.style.spare else SUMS_X_EXTERNAL - self.longer
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
        middle = self.compound_body.corners.mean(axis=0)
        self.say_at(self.slide_words, "compound slide" if shown else "", middle, 0)
