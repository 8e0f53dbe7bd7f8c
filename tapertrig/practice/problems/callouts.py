"""Callouts: a taper ratio, a taper per foot, or two diameters and a length, and the half angle."""

from __future__ import annotations

import math

from tapertrig.cone import Cone
from tapertrig.practice.mistakes import (
    COMPLEMENT_USED,
    HALVED_AFTER_ARCTANGENT,
    HALVED_AGAIN,
    INCLUDED_AS_HALF,
    MINUTES_AS_DECIMALS,
    PER_FOOT_AS_PER_INCH,
    RADIANS,
    TAPER_ON_RADIUS,
    Given,
    Slips,
    half_angle_from_given,
    half_angle_from_taper,
    tangent,
)
from tapertrig.practice.question import TO_TEN_SECONDS, Asked, Figure, Precision, Question, figure
from tapertrig.practice.shop import Shop, included_angle, show_included

_TO_HALF_ANGLE = (
    HALVED_AFTER_ARCTANGENT,
    TAPER_ON_RADIUS,
    INCLUDED_AS_HALF,
    HALVED_AGAIN,
    COMPLEMENT_USED,
    RADIANS,
)
_FROM_ANGLE = (INCLUDED_AS_HALF, HALVED_AGAIN, COMPLEMENT_USED, RADIANS, MINUTES_AS_DECIMALS)


def _cone_figure(cone: Cone, labels: dict[str, str], asked: str) -> Figure:
    return figure(
        "cone",
        "A cone seen from the side with its axis, dimensioned as the print does it.",
        {"half_angle": cone.half_angle.degrees, "face_diameter": cone.face_diameter},
        labels,
        asked,
    )


def _half_angle_steps(change: str, length: str, taper: float, cone: Cone) -> tuple[str, ...]:
    return (
        f"One wall takes half of the change of diameter: tan α = {change} / (2 × {length}) = "
        f"{taper / 2:.6f}.",
        f"α = arctan {taper / 2:.6f} = {cone.half_angle}.",
    )


def _from_ratio(shop: Shop) -> Asked:
    x = shop.one_of((1, 1.25, 1.5, 1.75, 2, 2.25, 2.5, 3, 3.5, 4, 4.5, 5))
    diameter = shop.length((0.75, 2.0, 0.05), (20, 50, 1))
    cone = Cone.from_taper(1 / x, diameter)
    return Asked(
        given={"ratio": x, "face_diameter": diameter},
        text=f"The print calls for a taper of 1:{x:g} with a face diameter of "
        f"{shop.show(diameter)}. What is the half angle?",
        precision=TO_TEN_SECONDS,
        answer=cone.half_angle.degrees,
        figure=_cone_figure(
            cone, {"taper": f"1:{x:g}", "face_diameter": shop.show(diameter)}, "half_angle"
        ),
        steps=_half_angle_steps("1", f"{x:g}", 1 / x, cone),
    )


def _from_ratio_slipped(given: Given, slips: Slips) -> float:
    return half_angle_from_taper(1 / given["ratio"], slips)


def _from_taper_per_foot(shop: Shop) -> Asked:
    per_foot = shop.step(1.75, 6, 0.125)
    diameter = shop.step(0.75, 2.0, 0.05)
    cone = Cone.from_taper_per_foot(per_foot, diameter)
    return Asked(
        given={"taper_per_foot": per_foot, "face_diameter": diameter},
        text=f"The print calls for a taper of {per_foot:.3f} in per foot with a face diameter of "
        f"{shop.show(diameter)}. What is the half angle?",
        precision=TO_TEN_SECONDS,
        answer=cone.half_angle.degrees,
        figure=_cone_figure(
            cone,
            {"taper": f"{per_foot:.3f} in per foot", "face_diameter": shop.show(diameter)},
            "half_angle",
        ),
        steps=(
            "Per inch of length the diameter changes by "
            f"{per_foot:.3f} / 12 = {per_foot / 12:.6f}.",
            f"One wall takes half of it: tan α = {per_foot:.3f} / 24 = {per_foot / 24:.6f}.",
            f"α = arctan {per_foot / 24:.6f} = {cone.half_angle}.",
        ),
    )


def _from_taper_per_foot_slipped(given: Given, slips: Slips) -> float:
    divisor = 1 if PER_FOOT_AS_PER_INCH in slips else 12
    return half_angle_from_taper(given["taper_per_foot"] / divisor, slips)


def _from_diameters(shop: Shop) -> Asked:
    large = shop.length((1.25, 2.5, 0.05), (30, 60, 1))
    small = round(large - shop.length((0.3, 0.9, 0.025), (8, 22, 0.5)), 6)
    length = shop.length((0.5, 1.5, 0.05), (14, 40, 1))
    cone = Cone.from_diameters(large, small, length)
    change = f"({shop.show(large)} − {shop.show(small)})"
    return Asked(
        given={"large_diameter": large, "small_diameter": small, "length": length},
        text=f"The print shows a bored cone by its diameters: {shop.show(large)} at the face and "
        f"{shop.show(small)} at a depth of {shop.show(length)}. What is the half angle?",
        precision=TO_TEN_SECONDS,
        answer=cone.half_angle.degrees,
        figure=_cone_figure(
            cone,
            {
                "face_diameter": shop.show(large),
                "small_diameter": shop.show(small),
                "length": shop.show(length),
            },
            "half_angle",
        ),
        steps=_half_angle_steps(change, shop.show(length), (large - small) / length, cone),
    )


def _from_diameters_slipped(given: Given, slips: Slips) -> float:
    change = given["large_diameter"] - given["small_diameter"]
    return half_angle_from_taper(change / given["length"], slips)


def _to_taper_per_foot(shop: Shop) -> Asked:
    given = shop.included_angle(8, 40)
    shown = show_included(given)
    cone = Cone.from_included(included_angle(given), 1.5)
    tan = math.tan(cone.half_angle.radians)
    return Asked(
        given=given,
        text=f"A cone has an included angle of {shown}. What is its taper per foot?",
        precision=Precision(
            "in/ft",
            0.002,
            "in inches per foot, to the nearest 0.001 in/ft (±0.002 in/ft counts as right)",
        ),
        answer=cone.taper_per_foot,
        figure=_cone_figure(cone, {"included_angle": shown}, "taper_per_foot"),
        steps=(
            f"Half angle: {shown} / 2 = {cone.half_angle}; its tangent is {tan:.6f}.",
            f"Over one inch the diameter changes by 2 × {tan:.6f} = {2 * tan:.6f} in.",
            f"Over one foot: 12 × {2 * tan:.6f} = {cone.taper_per_foot:.4f} in.",
        ),
    )


def _to_taper_per_foot_slipped(given: Given, slips: Slips) -> float:
    walls = 1 if TAPER_ON_RADIUS in slips else 2
    inches = 1 if PER_FOOT_AS_PER_INCH in slips else 12
    return inches * walls * tangent(half_angle_from_given(given, slips), slips)


def _to_ratio(shop: Shop) -> Asked:
    given = shop.included_angle(10, 60)
    shown = show_included(given)
    cone = Cone.from_included(included_angle(given), 30.0)
    tan = math.tan(cone.half_angle.radians)
    return Asked(
        given=given,
        text=f"A cone has an included angle of {shown}. Write its taper as a ratio 1:x. What is x?",
        precision=Precision(
            "1:x", 0.002, "to three decimals (±0.002 counts as right); you may write 1: before it"
        ),
        answer=cone.ratio,
        figure=_cone_figure(cone, {"included_angle": shown}, "ratio"),
        steps=(
            f"Half angle: {shown} / 2 = {cone.half_angle}; its tangent is {tan:.6f}.",
            f"The taper on diameter is C = 2 × {tan:.6f} = {2 * tan:.6f}.",
            f"x = 1/C = {cone.ratio:.3f}, so the taper is 1:{cone.ratio:.3f}.",
        ),
    )


def _to_ratio_slipped(given: Given, slips: Slips) -> float:
    walls = 1 if TAPER_ON_RADIUS in slips else 2
    return 1 / (walls * tangent(half_angle_from_given(given, slips), slips))


_TO_ANGLE_HINTS = (
    "Which right triangle has the half angle in it, and what are its two legs?",
    "One leg is the length along the axis, the other is half the change of diameter; their ratio "
    "is the tangent of the half angle.",
)
_TO_TAPER_HINTS = (
    "How much does one wall move away from the axis for each unit of length?",
    "One wall moves by the tangent of the half angle for each unit of length; the diameter "
    "changes by twice that.",
)

QUESTIONS = (
    Question(
        "half angle from a ratio",
        "callouts",
        _from_ratio,
        _from_ratio_slipped,
        _TO_HALF_ANGLE,
        *_TO_ANGLE_HINTS,
    ),
    Question(
        "half angle from taper per foot",
        "callouts",
        _from_taper_per_foot,
        _from_taper_per_foot_slipped,
        (PER_FOOT_AS_PER_INCH, *_TO_HALF_ANGLE),
        *_TO_ANGLE_HINTS,
        units=("in",),
    ),
    Question(
        "half angle from two diameters",
        "callouts",
        _from_diameters,
        _from_diameters_slipped,
        _TO_HALF_ANGLE,
        *_TO_ANGLE_HINTS,
    ),
    Question(
        "taper per foot from the included angle",
        "callouts",
        _to_taper_per_foot,
        _to_taper_per_foot_slipped,
        (PER_FOOT_AS_PER_INCH, TAPER_ON_RADIUS, *_FROM_ANGLE),
        *_TO_TAPER_HINTS,
        units=("in",),
    ),
    Question(
        "ratio from the included angle",
        "callouts",
        _to_ratio,
        _to_ratio_slipped,
        (TAPER_ON_RADIUS, *_FROM_ANGLE),
        *_TO_TAPER_HINTS,
        units=("mm",),
    ),
)
