"""The setup triangle, whole-graduation setups, the window of readings, the correction.

Compound travel s along the slide is the hypotenuse; cross travel s·sin α stands square to the
spindle axis; axial travel s·cos α lies along it. For what is longer than the slide: the tailstock
set over, and two runs joined. Formulas: plane trigonometry.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, overload

import numpy as np

from tapertrig.angle import (
    Angle,
    AngleOrRadians,
    angle_or_radians,
    half_angle_radians,
)
from tapertrig.lathe import REACH_SLACK, Dial, Lathe
from tapertrig.limits import (
    Array,
    Given,
    Number,
    finite,
    lengths,
    numbers,
    positive,
    whole,
)

ARC_SECONDS_PER_RADIAN = 180 * 3600 / math.pi
MOST_TRAVELS = 2_000_000

# What is measured beside the compound travel: square to the axis, or along it.
CROSS = "cross travel"
AXIAL = "axial travel"
ROUTES = (CROSS, AXIAL)
# Where the dials will not do: gauge blocks for the compound's dial and screw, or no travels at all.
BLOCKS = "travel by blocks"
TAPER = "known taper"
EVERY_ROUTE = (*ROUTES, BLOCKS, TAPER)
# Those that read the cross dial: the half angle is an inverse sine.
BY_SINE = (CROSS, BLOCKS)


def cross_travel(compound_travel: float | Given, half_angle: AngleOrRadians[Given]) -> Given:
    """Cross travel s·sin α, square to the axis; floats or arrays, unit as the compound travel."""
    travel = lengths("compound travel", compound_travel, 2.6)
    return travel * np.sin(half_angle_radians(half_angle))


def axial_travel(compound_travel: float | Given, half_angle: AngleOrRadians[Given]) -> Given:
    """Axial travel s·cos α, along the axis; floats or arrays, unit as the compound travel."""
    travel = lengths("compound travel", compound_travel, 2.6)
    return travel * np.cos(half_angle_radians(half_angle))


def cross_travel_by_carriage(
    carriage_travel: float | Given, half_angle: AngleOrRadians[Given]
) -> Given:
    """Cross travel z·tan α when the carriage, not the compound, is moved by z."""
    travel = lengths("carriage travel", carriage_travel, 2.6)
    return travel * np.tan(half_angle_radians(half_angle))


def _angle_of(
    name: str,
    side: Number,
    hypotenuse: Number,
    radians_of: Callable[[Any], Any],
    along: str = "compound travel",
) -> Any:
    hypotenuse = lengths(along, hypotenuse, 2.6)
    side = lengths(name, side, 1.5)
    if np.any(np.greater_equal(side, hypotenuse)):
        raise ValueError(
            f"{name} is {np.max(side):g} for a {along} of {np.max(hypotenuse):g}; "
            "it must be the shorter of the two, or they make no triangle"
        )
    return angle_or_radians(radians_of(np.divide(side, hypotenuse)))


@overload
def half_angle_from(compound_travel: float, cross_travel: float) -> Angle: ...
@overload
def half_angle_from(compound_travel: Array, cross_travel: Number) -> Array: ...
@overload
def half_angle_from(compound_travel: float, cross_travel: Array) -> Array: ...
def half_angle_from(compound_travel: Number, cross_travel: Number) -> Angle | Array:
    """Half angle asin(cross/s) from two slide movements: an Angle, or radians for arrays."""
    return _angle_of("cross travel", cross_travel, compound_travel, np.arcsin)


@overload
def half_angle_from_axial(compound_travel: float, axial_travel: float) -> Angle: ...
@overload
def half_angle_from_axial(compound_travel: Array, axial_travel: Number) -> Array: ...
@overload
def half_angle_from_axial(compound_travel: float, axial_travel: Array) -> Array: ...
def half_angle_from_axial(compound_travel: Number, axial_travel: Number) -> Angle | Array:
    """Half angle acos(axial/s): the better route past 45°. An Angle, or radians for arrays."""
    return _angle_of("axial travel", axial_travel, compound_travel, np.arccos)


def set_over(work_length: float | Given, half_angle: AngleOrRadians[Given]) -> Given:
    """Tailstock set-over S = L·sin α that turns a slight external taper between centres.

    `work_length` is L, the distance between the centre points and not the overall length: set
    over, it is the hypotenuse. Plane geometry; unit as the work length; floats or arrays.
    """
    return lengths("work length", work_length, 8.4) * np.sin(half_angle_radians(half_angle))


def set_over_by_rule(work_length: float | Given, half_angle: AngleOrRadians[Given]) -> Given:
    """What the shop rule L × taper ÷ 2 sets over: L·tan α, a little too much."""
    return lengths("work length", work_length, 8.4) * np.tan(half_angle_radians(half_angle))


@overload
def half_angle_of_set_over(work_length: float, set_over: float) -> Angle: ...
@overload
def half_angle_of_set_over(work_length: Array, set_over: Number) -> Array: ...
@overload
def half_angle_of_set_over(work_length: float, set_over: Array) -> Array: ...
def half_angle_of_set_over(work_length: Number, set_over: Number) -> Angle | Array:
    """Half angle asin(S/L) that a set-over turns: an Angle, or radians for arrays."""
    return _angle_of("set-over", set_over, work_length, np.arcsin, "work length")


def runs_needed(cone_length: float, half_angle: Angle, compound_travel: float) -> int:
    """How many runs of a compound travel make a cone of this length along the axis."""
    wall = positive("cone length", cone_length, 4.2) / math.cos(half_angle_radians(half_angle))
    runs = wall / positive("compound travel", compound_travel, 2.6)
    return max(1, math.ceil(runs * (1 - REACH_SLACK)))


def seam_step(
    run: float | Given,
    half_angle: AngleOrRadians[Given],
    angle_error: AngleOrRadians[Given],
    carriage_error: float | Given = 0.0,
    cross_error: float | Given = 0.0,
) -> Given:
    """Step on radius where two runs of a compound slide that is out by δ are joined.

    Between the runs, each s of the slide, the carriage goes s·cos α towards the headstock and the
    cross slide s·sin α along with the wall, of the half angle α wanted; `carriage_error` and
    `cross_error` are how much further they went. Both walls lean alike, at θ = α + δ, and
    stand apart by (s·sin δ + c·sin θ)/cos θ − x: positive where the second run cuts deeper.
    Plane geometry; unit as the run; `angle_error` an Angle or radians, signed.
    """
    alpha = half_angle_radians(half_angle)
    error = numbers("angle error", getattr(angle_error, "radians", angle_error), 0.001)
    stands = half_angle_radians(alpha + error, "half angle with its error")
    off = lengths("run", run, 2.6) * np.sin(error)
    off = off + numbers("carriage error", carriage_error, 0.001) * np.sin(stands)
    return off / np.cos(stands) - numbers("cross error", cross_error, 0.001)


def correction(
    half_angle: Angle, compound_travel: float, cross_reading: float, cross_dial: Dial
) -> Angle:
    """How much further to swing: α − asin(reading/(k s)); negative means swing back."""
    half_angle_radians(half_angle)
    movement = cross_dial.movement(positive("cross reading", cross_reading, 1.5))
    return half_angle - half_angle_from(compound_travel, movement)


def swing_from_known_taper(
    indicator_change: float, compound_travel: float, half_angle: Angle
) -> Angle:
    """How far the slide is swung past a true taper: asin(e cos α/s), with the sign of e.

    `indicator_change` e is how much the needle is let out over a run from the taper's small end
    to its large end, stem square to the axis; positive: swung too far, so swing back by as much.
    """
    alpha = half_angle_radians(half_angle)
    travel = positive("compound travel", compound_travel, 2.6)
    share = finite("indicator change", indicator_change, 0.003) * math.cos(alpha) / travel
    if abs(share) >= 1:
        raise ValueError(
            f"the needle's change is {indicator_change:g} over a travel of {travel:g}, which no "
            "slide can do; both are in one unit, for example 0.003 over 2.6"
        )
    return Angle.from_radians(math.asin(share))


@dataclass(frozen=True)
class TaperSweep:
    """What the needle showed at the small and the large end of a taper, plus pushed in.

    The turned ones are of a second sweep, spindle and taper turned half round and not reseated.
    """

    small_end: float
    large_end: float
    turned_small_end: float | None = None
    turned_large_end: float | None = None

    def __post_init__(self) -> None:
        if (self.turned_small_end is None) != (self.turned_large_end is None):
            raise ValueError(
                "one reading of the second sweep is missing; give both ends, or leave both out"
            )

    @property
    def turned(self) -> bool:
        """Whether it was swept a second time, turned half round."""
        return self.turned_small_end is not None

    @property
    def let_out(self) -> float:
        """How much the needle is let out from small end to large end: the mean of the sweeps."""
        first = self.small_end - self.large_end
        if self.turned_small_end is None or self.turned_large_end is None:
            return first
        return (first + self.turned_small_end - self.turned_large_end) / 2

    @property
    def out_of_true(self) -> float | None:
        """Half of what the sweeps differ by: how far the taper leans; None of one sweep."""
        return self.small_end - self.large_end - self.let_out if self.turned else None


def arc_at_base(swing: Angle, base_radius: float) -> float:
    """How far a mark at radius ρ of the base moves for a swing: ρ·Δα, in the unit of ρ."""
    return positive("base radius", base_radius, 2.5) * swing.radians


def angle_per_graduation(
    compound_travel: float | Given, half_angle: AngleOrRadians[Given], cross_dial: Dial
) -> Given:
    """Arc-seconds of half angle that one cross-dial graduation stands for: g/(k s cos α)."""
    return (
        cross_dial.movement_per_graduation
        / axial_travel(compound_travel, half_angle)
        * ARC_SECONDS_PER_RADIAN
    )


def cross_reading_window(
    half_angle: Angle, tolerance: Angle, compound_travel: float, cross_dial: Dial
) -> tuple[float, float]:
    """Lowest and highest cross readings that keep the half angle within ±tolerance.

    `tolerance` is that of the half angle, already halved. The window is cut off at 0° and 90°.
    """
    low, high = _ends(half_angle, tolerance)
    travel = positive("compound travel", compound_travel, 2.6)
    return (
        cross_dial.reading(travel * math.sin(low)),
        cross_dial.reading(travel * math.sin(high)),
    )


def axial_window(
    half_angle: Angle, tolerance: Angle, compound_travel: float
) -> tuple[float, float]:
    """Lowest and highest axial travels that keep the half angle within ±tolerance.

    s·cos(α + T) to s·cos(α − T), cut off at 90° and 0°; `tolerance` is that of the half angle.
    """
    plain = Dial(1.0, 2.0)
    return cross_reading_window(half_angle.complement(), tolerance, compound_travel, plain)


def _ends(half_angle: Angle, tolerance: Angle) -> tuple[float, float]:
    if tolerance.arc_seconds <= 0:
        raise ValueError(f"angle tolerance is {tolerance}; it must be more than zero, as 0°05′")
    low, high = (half_angle - tolerance).radians, (half_angle + tolerance).radians
    return max(low, 0.0), min(high, math.pi / 2)


@dataclass(frozen=True)
class WholeGraduationSetup:
    """A compound travel on a line whose cross reading falls on, or within a hair of, a line.

    `angle_error` is what setting to the line leaves, in arc-seconds, signed;
    `sensitivity` is the arc-seconds that one cross graduation stands for at this travel.
    """

    compound_travel: float
    cross_reading: float
    angle_error: float
    sensitivity: float


def _clean(length: float) -> float:
    # 1757 × 0.001 is 1.7570000000000001 in floats; no dial shows the twelfth place.
    return round(float(length), 12)


def nearest_line(half_angle: Angle, compound_travel: float, lathe: Lathe) -> WholeGraduationSetup:
    """The cross graduation nearest to what a compound travel asks, and what it leaves."""
    alpha = half_angle_radians(half_angle)
    travel = positive("compound travel", compound_travel, 2.6)
    line = lathe.cross_dial.movement_per_graduation
    # A cross travel as long as the compound travel would be no triangle.
    lines = min(round(travel * math.sin(alpha) / line), math.ceil(travel / line * (1 - 1e-9)) - 1)
    return WholeGraduationSetup(
        compound_travel=_clean(travel),
        cross_reading=_clean(lines * lathe.cross_dial.graduation),
        angle_error=(math.asin(lines * line / travel) - alpha) * ARC_SECONDS_PER_RADIAN,
        sensitivity=line / (travel * math.cos(alpha)) * ARC_SECONDS_PER_RADIAN,
    )


def whole_graduation_setups(
    half_angle: Angle,
    lathe: Lathe,
    shortest: float | None = None,
    count: int = 10,
    order: str = "angle error",
    longest: float | None = None,
) -> list[WholeGraduationSetup]:
    """Compound travels on whole graduations whose cross reading is nearly whole too.

    `longest` is the longest travel to be used (the reach when not given), `shortest` the least
    worth using (half the longest). The best `count` by angle error left (the longer travel first
    where two are equal), or, of those, with order="sensitivity", the longest first.
    """
    alpha = half_angle_radians(half_angle)
    whole("count", count, 1, None, 10)
    if order not in ("angle error", "sensitivity"):
        raise ValueError(f"order is {order!r}; it must be “angle error” or “sensitivity”")
    most = lathe.usable_travel() if longest is None else positive("longest", longest, 3.0)
    least = most / 2 if shortest is None else positive("shortest", shortest, 1.0)
    if least > most:
        raise ValueError(
            f"shortest travel is {least:g} {lathe.unit}; this slide reaches "
            f"{most:g} {lathe.unit}, so ask for that or less"
        )
    step = lathe.compound_dial.movement_per_graduation
    first = max(1, math.ceil(least * (1 - REACH_SLACK) / step))
    last = math.floor(most * (1 + REACH_SLACK) / step)
    if last - first > MOST_TRAVELS:
        raise ValueError(
            f"a compound graduation of {step:g} makes over {MOST_TRAVELS:,} travels in reach; "
            "check the graduation, for example 0.001 in or 0.02 mm"
        )
    travels = np.arange(first, last + 1) * step
    line = lathe.cross_dial.movement_per_graduation
    lines = np.round(travels * (math.sin(alpha) / line))
    sine = lines * line / travels
    # A cross travel as long as the compound travel may come out a hair below 1 in floats.
    possible = (lines > 0) & (sine < 1 - 1e-9)
    travels, error = travels[possible], np.abs(np.arcsin(sine[possible]) - alpha)
    # Equal errors differ by rounding; a thousandth of an arc-second is far below any dial.
    best = np.lexsort((-travels, np.round(error * ARC_SECONDS_PER_RADIAN, 3)))[:count]
    if order == "sensitivity":
        best = best[np.argsort(-travels[best], kind="stable")]
    return [nearest_line(half_angle, float(travels[i]), lathe) for i in best]


def swing_words(internal: bool) -> str:
    """Which way to swing the slide from parallel to the bed, tool on the operator's side.

    An internal cone with its large end at the face and an external cone with its small end at
    the tailstock swing opposite ways.
    """
    if internal:
        return (
            "clockwise seen from above: the headstock end of the slide goes away from you, "
            "so that the tool nears the axis as it goes in"
        )
    return (
        "anticlockwise seen from above: the headstock end of the slide comes towards you, "
        "so that the tool leaves the axis as it nears the headstock"
    )


def set_by_eye_words(half_angle: Angle, internal: bool, lathe: Lathe) -> str:
    """How to set the slide by its base, as near as the eye can: both zeros, or none given."""
    way = f"{half_angle.dm()} {swing_words(internal)}."
    if lathe.base_zero is None:
        return (
            f"Start from parallel to the bed and swing {way} Which zero the base uses is not given."
        )
    reads = f"the base reads about {lathe.base_reading(half_angle).dm()}."
    if lathe.base_zero == "square to bed":
        # Many such scales end at 45° or 60° and cannot show the slide parallel to the bed.
        return (
            f"Swing the slide until it stands off parallel to the bed by {way} This base reads "
            f"zero with the slide square to the bed: at that angle {reads}"
        )
    return f"Start from parallel to the bed, base at 0°, and swing {way} Then {reads}"
