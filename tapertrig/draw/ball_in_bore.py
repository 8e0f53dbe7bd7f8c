"""A ball at rest in a bored cone, a depth micrometer over it, and the heights it may show."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tapertrig.cone import Cone
from tapertrig.decision import CONFORMS, DOES_NOT_CONFORM, NOT_PROVEN
from tapertrig.draw.parts.scene import Scene, box
from tapertrig.gauging import BallRest, BrokenEdge, ball_rest, broken_edge
from tapertrig.gauging.inspection import Finding, Inspection
from tapertrig.lathe import places_written

AXIS_X, FACE_Y = 3.35, 3.75
FACE_WIDE, TALLEST = 3.72, 3.9
PART_HALF, PART_UP = 3.0, 8.85
BELOW_FLOOR = 0.35
COLUMN_X = 6.75
BAR_LEFT, BAR_RIGHT = 11.5, 12.35
BAR_MIDDLE, BAR_HALF = 3.85, 3.0
# The scale shows five times the width of the tolerance, its middle in the middle.
WIDTHS_SHOWN = 5.0
MOST_TICKS = 60
# Parallels of the invented shop: the step from one pair to the next, and that of a small set.
PARALLEL_STEPS = {"in": (0.25, 0.0625), "mm": (5.0, 1.0)}
SMALL_BORE = {"in": 1.0, "mm": 25.0}
_TURN = np.radians(np.arange(0, 361, 6))


@dataclass(frozen=True)
class BoreState:
    """What is measured where: print's cone, balls, break and floor, and the inspection made of it.

    `inspection` is None when a ball does not rest on the cone: nothing is then measured, and
    `refusal` says why. While nobody has given a ball (`ball_given`), the one in `balls` only sets
    the scale and is not drawn. Lengths in `unit`.
    """

    cone: Cone
    unit: str
    balls: tuple[float, ...]
    edge_break: float
    floor_depth: float | None
    inspection: Inspection | None
    graduation: float
    limits: tuple[float, float] | None = None
    refusals: tuple[str, ...] = field(default=())
    ball_given: bool = True
    break_given: bool = True
    was_read: bool = True

    @cached_property
    def measured(self) -> Cone:
        """The cone as measured, or the print's while nothing is."""
        return self.cone if self.inspection is None else self.inspection.measured_cone()

    @cached_property
    def rests(self) -> tuple[BallRest, ...]:
        """Where each ball comes to rest."""
        cone = self.measured
        return tuple(ball_rest(cone, d, self.edge_break, self.floor_depth) for d in self.balls)

    @property
    def refusal(self) -> str:
        """Why nothing is measured; empty when something is."""
        return next(filter(None, self.refusals), "")

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """What was found; nothing when nothing is measured."""
        return () if self.inspection is None else self.inspection.findings()

    @property
    def face(self) -> Finding | None:
        """The face diameter found."""
        return self.findings[0] if self.findings and self.findings[0].value is not None else None

    @property
    def verdict(self) -> str:
        """The verdict on the face diameter, which the scale shows; empty when there is none."""
        return "" if self.face is None else self.face.verdict

    @cached_property
    def edge(self) -> BrokenEdge | None:
        """The broken edge's two diameters; None where the edge is not broken."""
        cone = self.measured
        if not self.edge_break or cone.half_angle.radians >= math.pi / 4:
            return None
        return broken_edge(cone, self.edge_break)

    @property
    def parallel(self) -> float:
        """As it was read on; else the lowest of a set above the ball, zero when that is below."""
        if self.inspection is not None and self.inspection.readings.reads == "depth":
            return self.inspection.readings.parallel or 0.0
        top = self.rests[0].height
        step = PARALLEL_STEPS[self.unit][self.cone.face_diameter < SMALL_BORE[self.unit]]
        return 0.0 if top is None or top <= 0 else step * math.ceil(top / step - 1e-9)

    def height_at(self, face_diameter: float) -> float:
        """Height of the first ball's top in a cone of the measured angle and this diameter."""
        alpha = self.measured.half_angle.radians
        radius = self.balls[0] / 2
        return radius * (1 + 1 / math.sin(alpha)) - face_diameter / (2 * math.tan(alpha))

    @property
    def span(self) -> tuple[float, float]:
        """Face diameters at the bottom and the top of the scale: the larger one first."""
        limits = self.limits
        if limits is None:
            width = 0.002 * self.cone.face_diameter
            limits = self.cone.face_diameter - width / 2, self.cone.face_diameter + width / 2
        middle, reach = sum(limits) / 2, WIDTHS_SHOWN * (limits[1] - limits[0]) / 2
        return middle + reach, middle - reach


def units_per(state: BoreState) -> float:
    """Board units to a unit of length, such that the largest ball of the print's cone goes in."""
    alpha, face = state.cone.half_angle.radians, state.cone.face_diameter
    tallest = face / 2 * (1 / math.cos(alpha) + math.tan(alpha))
    return min(FACE_WIDE / face, TALLEST / tallest)


def wall_corners(state: BoreState) -> NDArray[np.float64]:
    """The right wall from the face's outer edge down to the floor, in board units, shape (n, 2).

    Outer end of the face, outer edge of the break, inner edge, end of the cone, then the bore
    below it down to the floor or out of the picture.
    """
    cone, k = state.measured, units_per(state)
    tan = math.tan(cone.half_angle.radians)
    length = cone.length if cone.length is not None else cone.face_diameter / (2 * tan)
    broken = state.edge_break if state.edge is not None else 0.0
    inner = cone.face_diameter / 2 - broken * tan
    small = max(cone.face_diameter / 2 - length * tan, 0.0)
    depth = math.inf if state.floor_depth is None else state.floor_depth
    end = min(k * depth, FACE_Y - 0.1)
    corners = [
        (PART_HALF, 0.0),
        (k * (inner + broken), 0.0),
        (k * inner, -k * broken),
        (k * small, -min(k * length, end)),
        (k * small, -end),
    ]
    return np.array(corners) + [AXIS_X, FACE_Y]


def ball_circle(state: BoreState, which: int) -> NDArray[np.float64]:
    """The outline of a ball where it rests, in board units; below the face when it drops out."""
    k = units_per(state)
    ball, rest = state.balls[which], state.rests[which]
    top = rest.height
    if top is None:
        deep = state.floor_depth or state.cone.length or ball
        top = ball - deep
    centre = np.array([AXIS_X, FACE_Y + k * (top - ball / 2)])
    return centre + k * ball / 2 * np.column_stack([np.cos(_TURN), np.sin(_TURN)])


def on_scale(state: BoreState, face_diameter: float) -> float:
    """Where a face diameter stands on the scale, in board units; the larger, the lower."""
    low, high = state.span
    part = (face_diameter - low) / (high - low)
    return BAR_MIDDLE + BAR_HALF * (2 * min(max(part, 0.0), 1.0) - 1)


class BallInBoreScene(Scene):
    """Section of the bore, face up, to scale; beside it the heights, enlarged, with the zones."""

    def build(self) -> None:
        self.part = [self.area("metal", zorder=1, weight=0.6) for _ in range(2)]
        self.floor = self.area("metal", zorder=1, weight=0.6)
        x = [AXIS_X, AXIS_X]
        self.line("axis", x, [0.15, PART_UP], weight=0.6, moving=False, zorder=2)
        self.ball = self.area("brass", weight=0.9, edge="ink", zorder=3)
        self.second = self.line("compound", weight=0.8, linestyle=(0, (4, 3)), zorder=4)
        self.contact = self.line("angle", weight=1.5, linestyle="solid", zorder=6)
        self.edges = self.line("cross", weight=1.6, linestyle="solid", zorder=6)
        self.parallels = [self.area("metal", edge="ink", weight=0.6, zorder=4) for _ in range(2)]
        self.base = self.area("metal", edge="ink", weight=0.9, zorder=5)
        self.spindle = self.area("metal", edge="ink", weight=0.9, zorder=4)
        self.leaders = self.line("guide", weight=0.5, linestyle="solid", zorder=7)
        self._build_column()
        self._build_scale()

    def _build_column(self) -> None:
        self.rows = {}
        # Large words in a small picture: what belongs together needs room to stay together.
        spare = self.style.spare
        self.below, self.verdict_y, self.found_y = (
            (0.73, 10.9, 10.1) if spare else (0.54, 8.45, 7.9)
        )
        heights = (9.1, 7.35, 5.6, 2.6) if spare else (8.35, 6.95, 5.55, 2.35)
        for y, (name, title, role) in zip(
            heights,
            (
                ("mic", "micrometer reads", "ink"),
                ("ball", "ball", "ink"),
                ("edge", "calipers say", "cross"),
                ("contact", "touches on", "angle"),
            ),
            strict=True,
        ):
            self.caption(title, COLUMN_X, y, 0, 0.5, role=role)
            self.rows[name] = y, self.label(role=role, bold=True, size="small", free=False)

    def _build_scale(self) -> None:
        self.zones = {
            name: self.area(fill, edge=None, zorder=1)
            for name, fill in (("doubt", "brass"), ("second doubt", "brass"), ("accept", "band"))
        }
        low, high = BAR_MIDDLE - BAR_HALF, BAR_MIDDLE + BAR_HALF
        outline = ((BAR_LEFT, low), (BAR_RIGHT, low), (BAR_RIGHT, high), (BAR_LEFT, high))
        self.line("ink", *np.array([*outline, outline[0]]).T, weight=0.7, moving=False)
        self.ticks = self.line("ink", weight=0.5, zorder=3)
        self.limit_lines = self.line("axial", weight=1.3, linestyle="solid", zorder=4)
        self.spread = self.line("compound", weight=1.6, zorder=6)
        self.pointer = self.area("compound", edge=None, zorder=7)
        self.lifted = self.handle("height", self.pointer, self.ball)
        self.caption("height", BAR_LEFT, high + 0.4, 0.7, 0.5)
        self.caption("face diameter", 13.0, high + 0.4, 0, 0.5, role="axial")
        self.caption("too small", 12.75, high - 0.3, 0, 0.5)
        self.caption("too large", 12.75, low + 0.3, 0, 0.5)
        self.zone_words = {
            name: self.label(size="small", leader=True) for name in ("accept", "doubt")
        }
        self.limit_words = [
            self.label(role="axial", bold=True, size="small", free=False) for _ in range(2)
        ]
        self.height_words = [self.label(size="small", free=False) for _ in range(3)]
        self.verdict = self.label(bold=True, free=False)
        self.found = self.label(size="small", role="compound", bold=True, free=False)

    def move(self, state: BoreState) -> None:
        self._move_part(state)
        self._move_balls(state)
        self._move_micrometer(state)
        self._move_scale(state)
        self._say(state)

    def _move_part(self, state: BoreState) -> None:
        right = wall_corners(state)
        outside = np.array([[AXIS_X + PART_HALF, 0.1]])
        bottom = np.array([[right[-1, 0], 0.1]])
        corners = np.concatenate([right, bottom, outside])
        self.part[0].set_xy(corners)
        self.part[1].set_xy(np.column_stack([2 * AXIS_X - corners[:, 0], corners[:, 1]]))
        x, y = right[-1]
        self.floor.set_visible(state.floor_depth is not None and y > 0.1)
        left = 2 * AXIS_X - x
        self.floor.set_xy(box(left, 0.1, x, y))
        outer = right[1]
        mirrored = 2 * AXIS_X - outer[0]
        broken = state.edge is not None
        up = np.array([-0.16, 0.0, math.nan])
        self.edges.set_visible(broken)
        self.edges.set_data(
            [outer[0], outer[0], math.nan, mirrored, mirrored, math.nan],
            np.concatenate([FACE_Y - up, FACE_Y - up]),
        )

    def _move_balls(self, state: BoreState) -> None:
        self.ball.set_visible(state.ball_given)
        self.ball.set_xy(ball_circle(state, 0))
        second = len(state.balls) > 1
        self.second.set_visible(second)
        if second:
            self.second.set_data(*ball_circle(state, 1).T)
        points = []
        k = units_per(state)
        for rest in state.rests:
            if rest.contact is None or not state.ball_given:
                continue
            reach, y = k * rest.contact.diameter / 2, FACE_Y - k * rest.contact.depth
            points += [(AXIS_X - reach, y), (AXIS_X + reach, y), (math.nan, math.nan)]
        self.contact.set_data(*(np.array(points).T if points else np.zeros((2, 0))))

    def _move_micrometer(self, state: BoreState) -> None:
        k, top = units_per(state), state.rests[0].height
        seen = top is not None and state.ball_given and state.was_read
        lift = min(FACE_Y + k * state.parallel, PART_UP - 0.6)
        half = PART_HALF - 0.1
        for side, block in zip((-1, 1), self.parallels, strict=True):
            block.set_visible(seen and state.parallel > 0)
            near, far = AXIS_X + side * (half - 0.45), AXIS_X + side * half
            block.set_xy(box(near, FACE_Y, far, lift))
        self.base.set_visible(seen)
        self.spindle.set_visible(seen)
        if top is None or not seen:
            return
        left, right = AXIS_X - half, AXIS_X + half
        self.base.set_xy(
            [
                (left, lift),
                (right, lift),
                (right, lift + 0.28),
                (AXIS_X + 0.5, lift + 0.42),
                (AXIS_X + 0.5, PART_UP),
                (AXIS_X - 0.5, PART_UP),
                (AXIS_X - 0.5, lift + 0.42),
                (left, lift + 0.28),
            ]
        )
        tip, width = FACE_Y + k * top, 0.11
        near, far = AXIS_X - width, AXIS_X + width
        self.spindle.set_xy(box(near, tip, far, lift))

    def _move_scale(self, state: BoreState) -> None:
        face = state.face
        judged = None if self.hide_answers or face is None else face.judgement
        for zone in self.zones.values():
            zone.set_visible(False)
        if judged is not None:
            accept, reject = judged.accept, judged.reject
            low, high = (on_scale(state, value) for value in reject)
            bands = {"doubt": (low, high)}
            if accept is not None:
                one, other = (on_scale(state, value) for value in accept)
                bands = {"doubt": (low, one), "accept": (one, other), "second doubt": (other, high)}
            for name, (one, other) in bands.items():
                self.zones[name].set_visible(abs(one - other) > 1e-9)
                self.zones[name].set_xy(box(BAR_LEFT, one, BAR_RIGHT, other))
        for name, words in (("accept", "conforms"), ("doubt", "not proven")):
            zone = self.zones[name]
            middle = zone.get_xy()[:4].mean(axis=0)[1]
            told = words if zone.get_visible() else ""
            self.say(self.zone_words[name], told, BAR_RIGHT, middle, 0)
        self.limit_lines.set_visible(state.limits is not None and not self.hide_answers)
        if state.limits is not None:
            ends = [on_scale(state, limit) for limit in state.limits]
            self.limit_lines.set_data(
                [BAR_LEFT, 12.75, math.nan] * 2, np.repeat(ends, 3).astype(float)
            )
        self.ticks.set_data(*_tick_lines(state))
        # To scale the ball hardly moves: the hand's way is the pointer's on the enlarged heights.
        large, small = state.span
        gear = 4 * BAR_HALF * math.tan(state.measured.half_angle.radians) / (large - small)
        self.lifted.slides(0, gear if face is not None and len(state.balls) == 1 else 0)
        value = None if self.hide_answers or face is None else face.value
        self.pointer.set_visible(value is not None)
        self.spread.set_visible(value is not None)
        if face is not None and value is not None:
            y = on_scale(state, value)
            self.pointer.set_xy(
                [(BAR_LEFT, y), (BAR_LEFT - 0.3, y + 0.16), (BAR_LEFT - 0.3, y - 0.16)]
            )
            reach = face.expanded or 0.0
            ends = [on_scale(state, value + side * reach) for side in (-1, 1)]
            x = (BAR_LEFT + BAR_RIGHT) / 2
            self.spread.set_data(
                [x - 0.15, x + 0.15, x, x, x - 0.15, x + 0.15],
                [ends[0], ends[0], ends[0], ends[1], ends[1], ends[1]],
            )

    def _say(self, state: BoreState) -> None:
        places = places_written(state.unit)
        rest, k = state.rests[0], units_per(state)
        hidden = self.hide_answers
        texts = {
            "mic": "nothing"
            if rest.height is None
            else f"{state.parallel - rest.height:.{places}f}",
            "ball": f"⌀ {state.balls[0]:.{places}f}",
            "edge": _edge_words(state, places),
            "contact": _contact_words(rest, places),
        }
        if not state.ball_given:
            texts |= {"ball": "not given", "contact": "nothing"}
        if not state.was_read:
            texts["mic"] = "not read"
        if hidden:
            texts |= {"mic": "?", "edge": "?", "contact": "?"}
        for name, (y, label) in self.rows.items():
            self.put(label, texts[name], COLUMN_X, y - self.below, 0, 0.5)
        self.leaders.set_data(*self._leader_points(state, k))
        self._say_on_scale(state, places)

    def _leader_points(self, state: BoreState, k: float) -> NDArray[np.float64]:
        rest = state.rests[0]
        start = COLUMN_X - 0.1
        points = []

        def lead(name: str, x: float, y: float) -> None:
            points.extend([(start, self.rows[name][0]), (x, y), (math.nan, math.nan)])

        if rest.height is not None and state.ball_given:
            if state.was_read:
                lead("mic", AXIS_X + 0.5, PART_UP - 0.3)
            radius = state.balls[0] / 2
            middle = FACE_Y + k * (rest.height - radius)
            lead("ball", AXIS_X + k * radius * math.cos(0.9), middle + k * radius * math.sin(0.9))
        if state.edge is not None:
            lead("edge", wall_corners(state)[1, 0], FACE_Y + 0.16)
        if rest.contact is not None and state.ball_given:
            x, y = AXIS_X + k * rest.contact.diameter / 2, FACE_Y - k * rest.contact.depth
            lead("contact", x, y)
        return np.array(points).T if points else np.zeros((2, 0))

    def _say_on_scale(self, state: BoreState, places: int) -> None:
        hidden, face = self.hide_answers, state.face
        limits = state.limits
        for which, (label, above) in enumerate(zip(self.limit_words, (False, True), strict=True)):
            # The larger diameter stands lower on the scale.
            limit = None if limits is None else limits[1 - which]
            text = "" if limit is None else f"⌀ {limit:.{places}f}"
            y = BAR_MIDDLE if limit is None else on_scale(state, limit)
            up = 0.08 if above else -0.08
            self.put(label, "" if hidden else text, 12.85, y + up, 0, 0 if above else 1)
            tall = (
                ""
                if limit is None or not state.ball_given
                else f"h {_signed(state.height_at(limit), places)}"
            )
            away = 0.5 if above else -0.5
            words = self.height_words[which]
            self.put(words, "" if hidden else tall, 12.85, y + up + away, 0, 0 if above else 1)
        words = self.height_words[2]
        if face is None or face.value is None or state.inspection is None:
            self.put(words, "", 0, 0)
        else:
            height = state.inspection.repeats()[0].mean
            y = BAR_MIDDLE if hidden else on_scale(state, face.value)
            self.put(words, _signed(height, places), BAR_LEFT - 0.4, y, 1, 0.5)
        verdict = {
            CONFORMS: ("⌀ CONFORMS", "axial"),
            DOES_NOT_CONFORM: ("⌀ DOES NOT CONFORM", "cross"),
            NOT_PROVEN: ("⌀ NOT PROVEN", "angle"),
        }.get(state.verdict, ("NO VERDICT", "ink"))
        if state.inspection is None:
            verdict = "NOTHING MEASURED", "cross"
        self.verdict.label.colour = self.style.colour(verdict[1])
        self.put(self.verdict, "?" if hidden else verdict[0], 15.85, self.verdict_y, 1, 0.5)
        found = "" if face is None else face.result(state.unit).split(" (")[0].split(",")[0]
        found = found.removesuffix(f" {state.unit}")
        self.put(
            self.found, "" if hidden else f"⌀ {found}" if found else "", 15.85, self.found_y, 1, 0.5
        )


def _signed(height: float, places: int) -> str:
    return f"{height:+z.{places}f}".replace("-", "−")


def _edge_words(state: BoreState, places: int) -> str:
    if not state.break_given:
        return "break not given"
    return "no break" if state.edge is None else f"⌀ {state.edge.outer:.{places}f}"


def _contact_words(rest: BallRest, places: int) -> str:
    if rest.contact is None:
        return "nothing"
    return "the floor" if rest.on == "bottom" else f"⌀ {rest.contact.diameter:.{places}f}"


def _tick_lines(state: BoreState) -> NDArray[np.float64]:
    """A tick for each graduation of the instrument, or for each tenth when they would crowd."""
    heights = sorted(state.height_at(value) for value in state.span)
    step = state.graduation
    while (heights[1] - heights[0]) / step > MOST_TICKS:
        step *= 10
    first, last = math.ceil(heights[0] / step), math.floor(heights[1] / step)
    lines = np.arange(first, last + 1) * step
    y = BAR_MIDDLE - BAR_HALF + 2 * BAR_HALF * (lines - heights[0]) / (heights[1] - heights[0])
    x = np.tile([BAR_LEFT, BAR_LEFT + 0.22, math.nan], len(lines))
    return np.array([x, np.repeat(y, 3)])
