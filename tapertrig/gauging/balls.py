"""Balls in a bored cone, a depth micrometer over them, and the broken edge.

α half angle, d ball diameter, D face diameter (theoretical sharp), h height of the ball's top
over the face: positive when it stands proud, negative below. A bore may have its edge broken at
45° to an axial depth, go on below the cone at its small diameter, and end in a flat floor.
Formulas: plane geometry of the section through the axis; the same methods are in Mechanical
Engineer's Data Handbook 7.2.2.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Generic, NamedTuple, overload

import numpy as np

from tapertrig.angle import Angle, AngleOrRadians, angle_or_radians, half_angle_radians
from tapertrig.cone import Cone
from tapertrig.limits import (
    Array,
    Given,
    Number,
    lengths,
    not_negative,
    numbers,
    positive,
)

RESTS = ("cone", "face edge", "edge break", "lower edge", "bottom", "nothing")
# Contact this near to an end, in face diameters, counts as on it: rounding of floats.
_HAIR = 1e-9


class BallContact(NamedTuple, Generic[Given]):
    """The circle where a ball touches the cone: its diameter, and its depth below the face."""

    diameter: Given
    depth: Given


@dataclass(frozen=True)
class _Bore:
    """An internal cone with its ends, in plain numbers; `bottom` is where the wall stops."""

    alpha: float
    face: float
    edge_break: float
    bottom: float
    floor: float

    @property
    def small_diameter(self) -> float:
        return max(self.face - 2 * self.bottom * math.tan(self.alpha), 0.0)

    @property
    def hair(self) -> float:
        return self.face * _HAIR


def _bore(cone: Cone, edge_break: float = 0.0, floor_depth: float | None = None) -> _Bore:
    if not cone.internal:
        raise ValueError(
            "this cone is external, and a ball finds no hold on it; measure it over rolls"
        )
    alpha = cone.half_angle.radians
    floor = math.inf
    if floor_depth is not None:
        floor = positive("floor depth", floor_depth, 0.75)
        if cone.length is not None and floor < cone.length * (1 - _HAIR):
            raise ValueError(
                f"floor depth is {floor:g}; the cone alone is {cone.length:g} long, so the floor "
                "must lie at that depth or deeper"
            )
    bottom = _bottom(cone, cone.face_diameter, floor)
    depth = not_negative("edge break", edge_break, 0.01)
    if depth > 0 and alpha >= math.pi / 4:
        raise ValueError(
            f"edge break is {depth:g}; a 45° break takes nothing off a bore whose half angle is "
            f"{cone.half_angle.dm()}, so leave it zero"
        )
    if depth >= bottom:
        raise ValueError(
            f"edge break is {depth:g}; the cone is only {bottom:.5g} deep, so nothing is left of it"
        )
    return _Bore(alpha, cone.face_diameter, depth, bottom, floor)


def _bottom(cone: Cone, face_diameter: float, floor: float) -> float:
    """Depth where the wall stops: at the cone's length, at the floor or at its point."""
    point = face_diameter / cone.taper
    return min(math.inf if cone.length is None else cone.length, floor, point)


def _height(alpha: float | Given, ball: float | Given, face: float | Given) -> Given:
    return ball / 2 * (1 + 1 / np.sin(alpha)) - face / (2 * np.tan(alpha))


def bare_face_diameter(alpha: float | Given, ball: float | Given, height: float | Given) -> Given:
    """`face_diameter_from_ball` in radians and without its checks, for random trials."""
    return np.multiply(ball, np.tan(alpha) + 1 / np.cos(alpha)) - np.multiply(
        height, 2 * np.tan(alpha)
    )


def _contact_depth(alpha: float | Given, ball: float | Given, face: float | Given) -> Given:
    return (face - ball * np.cos(alpha)) / (2 * np.tan(alpha))


def ball_range(
    cone: Cone, edge_break: float = 0.0, floor_depth: float | None = None
) -> tuple[float, float]:
    """Smallest and largest ball that touch the cone itself, between its bottom and the break.

    ValueError when no ball does. The smallest is zero for a cone that runs to its point.
    """
    smallest, largest = _range(_bore(cone, edge_break, floor_depth))
    if smallest > largest:
        raise ValueError(
            f"no ball fits: from {smallest:.5g} up it would clear the bottom, up to {largest:.5g} "
            "the edge; measure another way"
        )
    return smallest, largest


def _range(bore: _Bore) -> tuple[float, float]:
    tan, cos, sin = math.tan(bore.alpha), math.cos(bore.alpha), math.sin(bore.alpha)
    largest = (bore.face - 2 * bore.edge_break * tan) / cos
    smallest = bore.small_diameter / cos
    if math.isfinite(bore.floor):
        # d − h = floor depth, solved for d.
        above_floor = 2 * (bore.face / (2 * tan) - bore.floor) * sin / (1 - sin)
        smallest = max(smallest, above_floor)
    return smallest, largest


def _check_on_cone(bore: _Bore, ball: Number) -> None:
    """ValueError, with the reason, for the first ball that would not rest on the cone."""
    depth = _contact_depth(bore.alpha, ball, bore.face)
    lowest = np.asarray(ball - _height(bore.alpha, ball, bore.face))
    wrong = np.asarray(
        (depth < bore.edge_break - bore.hair)
        | (depth > bore.bottom + bore.hair)
        | (lowest > bore.floor + bore.hair)
    )
    if wrong.any():
        reason = _why_not(bore, float(np.asarray(ball)[wrong].flat[0]))
        raise ValueError(reason)


def _why_not(bore: _Bore, ball: float) -> str:
    """Why a ball does not rest on the cone; empty when it does."""
    on = _rest(bore, ball).on
    if on == "cone":
        return ""
    smallest, largest = _range(bore)
    fit = (
        f"use a ball from {smallest:.5g} to {largest:.5g}"
        if smallest <= largest
        else "no ball fits this bore"
    )
    touch = _contact_depth(bore.alpha, ball, bore.face)
    return {
        "face edge": (
            f"ball diameter is {ball:g}; the ball is too big and sits above, on the face edge: "
            f"the cone would have to be {ball * math.cos(bore.alpha):.5g} wide there; {fit}"
        ),
        "edge break": (
            f"ball diameter is {ball:g}; the ball rides on the edge break: it would touch the "
            f"cone {abs(touch):.4g} {'below' if touch > 0 else 'above'} the face, and the break "
            f"reaches {bore.edge_break:g} below; {fit}"
        ),
        "lower edge": (
            f"ball diameter is {ball:g}; the ball rests on the lower edge of the cone, "
            f"{bore.bottom:.5g} below the face, and not on its wall; {fit}"
        ),
        "bottom": (
            f"ball diameter is {ball:g}; the ball touches the bottom, {bore.floor:.5g} below the "
            f"face, before it touches the wall; {fit}"
        ),
        "nothing": (
            f"ball diameter is {ball:g}; the ball drops through the small end, "
            f"{bore.small_diameter:.5g} in diameter; {fit}"
        ),
    }[on]


class Clearance(NamedTuple):
    """How far a ball is from spoiling its hold: from the edge or its break, from the bottom."""

    above: float
    below: float


@dataclass(frozen=True)
class BallRest:
    """Where a ball truly comes to rest in a bore, on the cone or not.

    `on` is one of RESTS; the other numbers are None when it rests on nothing (drops through).
    `height` is of its top over the face; `contact` the circle where it touches, of diameter zero
    on a flat floor. `reason` says why it does not measure the cone; empty when it does, and
    `clearance` then says how safely.
    """

    on: str
    height: float | None
    contact: BallContact[float] | None
    reason: str = ""
    clearance: Clearance | None = None


def ball_rest(
    cone: Cone, ball_diameter: float, edge_break: float = 0.0, floor_depth: float | None = None
) -> BallRest:
    """Where a ball comes to rest in a bore with a broken edge and a floor.

    It is the highest of the places where break, wall, their edges and the floor would stop it.
    """
    bore = _bore(cone, edge_break, floor_depth)
    ball = positive("ball diameter", ball_diameter, 0.5)
    rest = _rest(bore, ball)
    if rest.on == "nothing":
        return BallRest(rest.on, None, None, _why_not(bore, ball))
    contact = BallContact(rest.contact_diameter, rest.contact_depth)
    reason = _why_not(bore, ball)
    clearance = None if reason else _clearance(bore, ball)
    return BallRest(rest.on, rest.centre + ball / 2, contact, reason, clearance)


class _Stop(NamedTuple):
    centre: float
    on: str
    contact_diameter: float
    contact_depth: float


def _rest(bore: _Bore, ball: float) -> _Stop:
    stops = list(_stops(bore, ball))
    if not stops:
        return _Stop(math.nan, "nothing", math.nan, math.nan)
    highest = max(stop.centre for stop in stops)
    # The wall stands first among equals: a ball that touches it measures the cone.
    return next(stop for stop in stops if stop.centre >= highest - bore.hair)


def _stops(bore: _Bore, ball: float) -> Iterable[_Stop]:
    """The centre heights at which each part of the bore would stop a ball from above."""
    radius = ball / 2
    wall = _contact_depth(bore.alpha, ball, bore.face)
    if bore.edge_break - bore.hair <= wall <= bore.bottom + bore.hair:
        centre = _height(bore.alpha, ball, bore.face) - radius
        yield _Stop(centre, "cone", ball * math.cos(bore.alpha), wall)
    if math.isfinite(bore.floor):
        yield _Stop(radius - bore.floor, "bottom", 0.0, bore.floor)
    start = bore.face - 2 * bore.edge_break * math.tan(bore.alpha)
    visible = start + 2 * bore.edge_break
    if bore.edge_break > 0:
        bevel = _contact_depth(math.pi / 4, ball, visible)
        if 0 <= bevel <= bore.edge_break:
            centre = _height(math.pi / 4, ball, visible) - radius
            yield _Stop(centre, "edge break", ball * math.cos(math.pi / 4), bevel)
        yield from _ring(radius, start, bore.edge_break, "edge break")
    yield from _ring(radius, visible, 0.0, "face edge")
    yield from _ring(radius, bore.small_diameter, bore.bottom, "lower edge")


def _ring(radius: float, diameter: float, depth: float, on: str) -> Iterable[_Stop]:
    if diameter / 2 <= radius:
        rise = math.sqrt(radius**2 - (diameter / 2) ** 2)
        yield _Stop(rise - depth, on, diameter, depth)


def ball_contact(
    cone: Cone,
    ball_diameter: float | Given,
    edge_break: float = 0.0,
    floor_depth: float | None = None,
) -> BallContact[Given]:
    """The circle where a ball touches the cone: diameter d cos α, and its depth below the face.

    Depth D/(2 tan α) − (d/2) cos²α/sin α; floats or arrays. ValueError, with the reason, for a
    ball that sits on the face edge, rides on the break, touches bottom or drops through.
    """
    bore = _bore(cone, edge_break, floor_depth)
    ball = lengths("ball diameter", ball_diameter, 0.5)
    _check_on_cone(bore, ball)
    return BallContact(ball * np.cos(bore.alpha), _contact_depth(bore.alpha, ball, bore.face))


def ball_clearance(
    cone: Cone, ball_diameter: float, edge_break: float = 0.0, floor_depth: float | None = None
) -> Clearance:
    """How far, along the axis, contact lies below the break (or face), and above the bottom.

    The second is the less of two: contact to the end of the wall, ball to the floor. ValueError
    as for `ball_contact`.
    """
    bore = _bore(cone, edge_break, floor_depth)
    ball = positive("ball diameter", ball_diameter, 0.5)
    _check_on_cone(bore, ball)
    return _clearance(bore, ball)


def _clearance(bore: _Bore, ball: float) -> Clearance:
    depth = _contact_depth(bore.alpha, ball, bore.face)
    under = bore.floor - (ball - _height(bore.alpha, ball, bore.face))
    return Clearance(depth - bore.edge_break, min(bore.bottom - depth, under))


def ball_height(
    cone: Cone,
    ball_diameter: float | Given,
    edge_break: float = 0.0,
    floor_depth: float | None = None,
) -> Given:
    """Height of the ball's top over the face: (d/2)(1 + 1/sin α) − D/(2 tan α).

    Positive when the ball stands proud; floats or arrays. ValueError as for `ball_contact`.
    """
    bore = _bore(cone, edge_break, floor_depth)
    ball = lengths("ball diameter", ball_diameter, 0.5)
    _check_on_cone(bore, ball)
    return _height(bore.alpha, ball, bore.face)


def face_diameter_from_ball(
    half_angle: AngleOrRadians[Given], ball_diameter: float | Given, height: float | Given
) -> Given:
    """Face diameter D = d(tan α + 1/cos α) − 2h tan α from the height of a ball's top.

    `height` is positive when the ball stands proud; floats or arrays. ValueError when it would
    put the contact above the face.
    """
    alpha = half_angle_radians(half_angle)
    ball = lengths("ball diameter", ball_diameter, 0.5)
    height = numbers("height", height, -0.125)
    face = bare_face_diameter(alpha, ball, height)
    circle = ball * np.cos(alpha)
    if np.any(face < circle * (1 - _HAIR)):
        highest = _height(alpha, ball, circle)
        raise ValueError(
            f"height is {np.max(height):g}; a ball of {np.max(ball):g} touching this cone below "
            f"its face stands {np.min(highest):.5g} proud at most: it sits on the face edge, or "
            "the sign is wrong (proud is +, below the face is −)"
        )
    return face


def countersink_diameter(
    included_angle: Angle, ball_diameter: float | Given, height: float | Given
) -> Given:
    """Diameter of a countersink at the surface, from the height of a ball's top over it.

    The one-ball formula with half the included angle; floats or arrays.
    """
    return face_diameter_from_ball(included_angle.half(), ball_diameter, height)


@overload
def half_angle_from_two_balls(
    large_ball: float, large_height: float, small_ball: float, small_height: float
) -> Angle: ...
@overload
def half_angle_from_two_balls(
    large_ball: Number, large_height: Array, small_ball: Number, small_height: Number
) -> Array: ...
def half_angle_from_two_balls(
    large_ball: Number, large_height: Number, small_ball: Number, small_height: Number
) -> Angle | Array:
    """Half angle from two balls: sin α = (R − r)/((H − h) − (R − r)), R and r their radii.

    H, h are the heights of their tops over the face, + proud. An Angle, or radians for arrays.
    """
    large = lengths("large ball diameter", large_ball, 1.0)
    small = lengths("small ball diameter", small_ball, 0.75)
    top, low = (
        numbers("large ball height", large_height, -0.125),
        numbers("small ball height", small_height, -0.125),
    )
    if np.any(np.asarray(large) <= np.asarray(small)):
        raise ValueError(
            f"the large ball is {np.min(large):g} and the small one {np.max(small):g}; give the "
            "larger first"
        )
    if np.any(np.subtract(top, low) <= np.subtract(large, small)):
        raise ValueError(
            f"the large ball's top is {np.min(np.subtract(top, low)):g} above the small one's; "
            f"in any cone it is more than {np.min(np.subtract(large, small)):g}, the difference "
            "of their diameters. Proud is +, below the face is −"
        )
    return angle_or_radians(bare_half_angle(large, top, small, low))


def bare_half_angle(
    large: float | Given, top: float | Given, small: float | Given, low: float | Given
) -> Given:
    """`half_angle_from_two_balls` in radians and without its checks, for random trials."""
    radii = np.subtract(large, small) / 2
    apart = np.subtract(top, low) - radii
    # The arctangent keeps its grip where the arcsine loses it, near 90°.
    return np.arctan2(radii, np.sqrt((apart - radii) * (apart + radii)))


def cone_from_two_balls(
    large_ball: float, large_height: float, small_ball: float, small_height: float
) -> Cone:
    """Half angle and face diameter together, as an internal cone of unknown length."""
    half_angle = half_angle_from_two_balls(large_ball, large_height, small_ball, small_height)
    return Cone(half_angle, face_diameter_from_ball(half_angle, large_ball, large_height))


def depth_reading(height: float | Given, parallel: float | Given = 0.0) -> Given:
    """What a depth micrometer on the face reads over the ball: parallel − h; floats or arrays.

    A ball that stands proud needs parallels under the base that are higher than the ball.
    ValueError when they are not.
    """
    height = numbers("height", height, -0.125)
    parallel = lengths("parallel", parallel, 0.5, zero=True)
    reading = parallel - height
    if np.any(np.asarray(reading) < 0):
        raise ValueError(
            f"the ball stands {np.max(height):.5g} proud; put parallels higher than that under "
            "the base of the depth micrometer"
        )
    return reading


def height_from_depth(reading: float | Given, parallel: float | Given = 0.0) -> Given:
    """Height of the ball's top over the face: parallel − depth reading; floats or arrays."""
    reading = lengths("depth reading", reading, 0.125, zero=True)
    return lengths("parallel", parallel, 0.5, zero=True) - reading


@dataclass(frozen=True)
class HeightWindow:
    """Heights of a ball's top over the face: for the nominal diameter, and at its two limits.

    The largest diameter lets the ball sink to `lowest`.
    """

    expected: float
    lowest: float
    highest: float

    def graduations(self, graduation: float) -> float:
        """Width of the window in graduations of the instrument."""
        return (self.highest - self.lowest) / positive("graduation", graduation, 0.001)

    def lines(self, graduation: float, parallel: float = 0.0) -> tuple[float, float] | None:
        """First and last whole line of a depth micrometer inside the window; None when none is.

        ValueError when the ball stands proud of the parallels.
        """
        step = positive("graduation", graduation, 0.001)
        first = math.ceil(depth_reading(self.highest, parallel) / step - 1e-6)
        last = math.floor(depth_reading(self.lowest, parallel) / step + 1e-6)
        return None if first > last else (first * step, last * step)


def height_window(
    cone: Cone,
    ball_diameter: float,
    lower: float,
    upper: float,
    edge_break: float = 0.0,
    floor_depth: float | None = None,
) -> HeightWindow:
    """The heights that face diameters from `lower` to `upper` allow a ball; ∂h/∂D = −1/(2 tan α).

    ValueError when the ball would leave the cone at a limit.
    """
    lower, upper = positive("lower limit", lower, 1.249), positive("upper limit", upper, 1.251)
    if not lower < upper:
        raise ValueError(
            f"the limits are {lower:g} and {upper:g}; the lower one must be less than the upper"
        )
    expected = ball_height(cone, ball_diameter, edge_break, floor_depth)
    bore = _bore(cone, edge_break, floor_depth)
    at_limits = []
    for face in (upper, lower):
        bottom = _bottom(cone, face, bore.floor)
        _check_on_cone(replace(bore, face=face, bottom=bottom), ball_diameter)
        at_limits.append(_height(bore.alpha, ball_diameter, face))
    return HeightWindow(expected, *at_limits)


@dataclass(frozen=True)
class BrokenEdge:
    """What is left of a broken edge, and what calipers on it would have read.

    `outer` is the visible edge in the face, `inner` the edge where break and cone meet;
    `outer_error` and `inner_error` are these less the face diameter that the print asks for.
    """

    outer: float
    inner: float
    outer_error: float
    inner_error: float


def broken_edge(cone: Cone, edge_break: float) -> BrokenEdge:
    """The two edges that a 45° break of an axial depth p leaves: D ± 2p(1 − tan α), D ∓ 2p tan α.

    Upper signs for an internal cone, lower for an external one. ValueError for a half angle of
    45° or more, where a 45° break takes nothing off.
    """
    depth = not_negative("edge break", edge_break, 0.01)
    if cone.half_angle.radians >= math.pi / 4:
        raise ValueError(
            f"half angle is {cone.half_angle.dm()}; a 45° break takes nothing off an edge of "
            "45° or more"
        )
    outward = 1 if cone.internal else -1
    tan = math.tan(cone.half_angle.radians)
    outer, inner = outward * 2 * depth * (1 - tan), -outward * 2 * depth * tan
    end = cone.length if cone.length is not None else math.inf
    if depth >= end or min(cone.face_diameter + outer, cone.face_diameter + inner) <= 0:
        raise ValueError(
            f"edge break is {depth:g}; it takes the whole cone away, so give less, for example "
            f"{cone.face_diameter / 100:.2g}"
        )
    return BrokenEdge(cone.face_diameter + outer, cone.face_diameter + inner, outer, inner)
