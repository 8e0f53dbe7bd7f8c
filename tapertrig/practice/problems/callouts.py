"""Callouts: a taper ratio, a taper per foot, or two diameters and a length, and the half angle."""

from __future__ import annotations

import math
from typing import Any

from tapertrig.cone import Cone
from tapertrig.practice.mistakes import (
    ANGLE,
    HALVED_AFTER_ARCTANGENT,
    INVERSE_OPERATION,
    MINUTES_AS_DECIMALS,
    PER_FOOT_AS_PER_INCH,
    SINE_FOR_TANGENT,
    TAPER_ON_RADIUS,
    Somebody,
)
from tapertrig.practice.question import (
    HALVED_FOR_TANGENT,
    TO_TEN_SECONDS,
    Numbers,
    Picture,
    Precision,
    Question,
)
from tapertrig.practice.shop import Shop

_TO_HALF_ANGLE = (HALVED_AFTER_ARCTANGENT, TAPER_ON_RADIUS, *ANGLE)
_FOUND = "α = arctan {wall:.6f} = {half}."
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

_PRINT = Picture(
    "cone",
    "A cone seen from the side with its axis, dimensioned as the print does it.",
    lambda n: {"half_angle": n.half.degrees, "face_diameter": n.cone.face_diameter},
)


def _half_angle_of(cone: Cone) -> dict[str, Any]:
    half = cone.half_angle
    return {"answer": half, "half": half, "cone": cone}


def _from_ratio(n: Numbers) -> dict[str, Any]:
    return {
        **_half_angle_of(Cone.from_taper(1 / n.ratio, n.face_diameter)),
        "wall": 1 / n.ratio / 2,
    }


def _from_taper_per_foot(n: Numbers) -> dict[str, Any]:
    cone = Cone.from_taper_per_foot(n.taper_per_foot, n.face_diameter)
    return {
        **_half_angle_of(cone),
        "per_inch": n.taper_per_foot / 12,
        "wall": n.taper_per_foot / 24,
    }


def _per_foot_slipped(who: Somebody) -> float:
    return who.half_from_taper(who.taper_per_foot / _inches(who))


def _inches(who: Somebody) -> int:
    return 1 if who.makes(PER_FOOT_AS_PER_INCH) else 12


def _two_diameters(shop: Shop) -> dict[str, float]:
    large = shop.length((1.25, 2.5, 0.05), (30, 60, 1))
    small = round(large - shop.length((0.3, 0.9, 0.025), (8, 22, 0.5)), 6)
    length = shop.length((0.5, 1.5, 0.05), (14, 40, 1))
    return {"large_diameter": large, "small_diameter": small, "length": length}


def _from_diameters(n: Numbers) -> dict[str, Any]:
    cone = Cone.from_diameters(n.large_diameter, n.small_diameter, n.length)
    wall = (n.large_diameter - n.small_diameter) / n.length / 2
    return {**_half_angle_of(cone), "wall": wall}


def _from_diameters_slipped(who: Somebody) -> float:
    return who.half_from_taper((who.large_diameter - who.small_diameter) / who.length)


def _to_taper_per_foot(n: Numbers) -> dict[str, Any]:
    cone = Cone(n.half, 1.5)
    return {"answer": cone.taper_per_foot, "cone": cone, "per_inch": 2 * n.tan}


def _to_ratio(n: Numbers) -> dict[str, Any]:
    cone = Cone(n.half, 30.0)
    return {"answer": cone.ratio, "cone": cone, "taper": 2 * n.tan}


QUESTIONS = (
    Question(
        "half angle from a ratio",
        "callouts",
        lambda shop: {
            "ratio": shop.one_of((1, 1.25, 1.5, 1.75, 2, 2.25, 2.5, 3, 3.5, 4, 4.5, 5)),
            "face_diameter": shop.length((0.75, 2.0, 0.05), (20, 50, 1)),
        },
        "The print calls for a taper of 1:{ratio:g} with a face diameter of {face_diameter}. What "
        "is the half angle?",
        TO_TEN_SECONDS,
        _from_ratio,
        _PRINT.asking("half_angle", taper="1:{ratio:g}", face_diameter="{face_diameter}"),
        (
            "One wall takes half of the change of diameter: tan α = 1 / (2 × {ratio:g}) = "
            "{wall:.6f}.",
            _FOUND,
        ),
        lambda who: who.half_from_taper(1 / who.ratio),
        _TO_HALF_ANGLE,
        _TO_ANGLE_HINTS,
        further={
            INVERSE_OPERATION: lambda n: math.degrees(math.atan(n.ratio / 2)),
            SINE_FOR_TANGENT: lambda n: math.degrees(math.asin(n.wall)),
        },
    ),
    Question(
        "half angle from taper per foot",
        "callouts",
        lambda shop: {
            "taper_per_foot": shop.step(1.75, 6, 0.125),
            "face_diameter": shop.step(0.75, 2.0, 0.05),
        },
        "The print calls for a taper of {taper_per_foot:.3f} in per foot with a face diameter of "
        "{face_diameter}. What is the half angle?",
        TO_TEN_SECONDS,
        _from_taper_per_foot,
        _PRINT.asking(
            "half_angle",
            taper="{taper_per_foot:.3f} in per foot",
            face_diameter="{face_diameter}",
        ),
        (
            "Per inch of length the diameter changes by {taper_per_foot:.3f} / 12 = "
            "{per_inch:.6f}.",
            "One wall takes half of it: tan α = {taper_per_foot:.3f} / 24 = {wall:.6f}.",
            _FOUND,
        ),
        _per_foot_slipped,
        (PER_FOOT_AS_PER_INCH, *_TO_HALF_ANGLE),
        _TO_ANGLE_HINTS,
        units=("in",),
        further={
            INVERSE_OPERATION: lambda n: math.degrees(math.atan(6 * n.taper_per_foot)),
            SINE_FOR_TANGENT: lambda n: math.degrees(math.asin(n.wall)),
        },
    ),
    Question(
        "half angle from two diameters",
        "callouts",
        _two_diameters,
        "The print shows a bored cone by its diameters: {large_diameter} at the face and "
        "{small_diameter} at a depth of {length}. What is the half angle?",
        TO_TEN_SECONDS,
        _from_diameters,
        _PRINT.asking(
            "half_angle",
            face_diameter="{large_diameter}",
            small_diameter="{small_diameter}",
            length="{length}",
        ),
        (
            "One wall takes half of the change of diameter: tan α = ({large_diameter} − "
            "{small_diameter}) / (2 × {length}) = {wall:.6f}.",
            _FOUND,
        ),
        _from_diameters_slipped,
        _TO_HALF_ANGLE,
        _TO_ANGLE_HINTS,
        further={
            SINE_FOR_TANGENT: lambda n: math.degrees(math.asin(n.wall)),
        },
    ),
    Question(
        "taper per foot from the included angle",
        "callouts",
        lambda shop: shop.included_angle(8, 40),
        "A cone has an included angle of {included_angle}. What is its taper per foot?",
        Precision(
            "in/ft",
            0.002,
            "in inches per foot, to the nearest 0.001 in/ft (±0.002 in/ft counts as right)",
        ),
        _to_taper_per_foot,
        _PRINT.asking("taper_per_foot", "included_angle"),
        (
            HALVED_FOR_TANGENT,
            "Over one inch the diameter changes by 2 × {tan:.6f} = {per_inch:.6f} in.",
            "Over one foot: 12 × {per_inch:.6f} = {answer:.4f} in.",
        ),
        lambda who: _inches(who) * who.walls * who.tangent(who.half),
        (PER_FOOT_AS_PER_INCH, TAPER_ON_RADIUS, *ANGLE, MINUTES_AS_DECIMALS),
        _TO_TAPER_HINTS,
        units=("in",),
        further={
            INVERSE_OPERATION: lambda n: n.per_inch / 12,
            SINE_FOR_TANGENT: lambda n: 24 * n.sin,
        },
    ),
    Question(
        "ratio from the included angle",
        "callouts",
        lambda shop: shop.included_angle(10, 60),
        "A cone has an included angle of {included_angle}. Write its taper as a ratio 1:x. What is "
        "x?",
        Precision(
            "1:x", 0.002, "to three decimals (±0.002 counts as right); you may write 1: before it"
        ),
        _to_ratio,
        _PRINT.asking("ratio", "included_angle"),
        (
            HALVED_FOR_TANGENT,
            "The taper on diameter is C = 2 × {tan:.6f} = {taper:.6f}.",
            "x = 1/C = {answer:.3f}, so the taper is 1:{answer:.3f}.",
        ),
        lambda who: 1 / (who.walls * who.tangent(who.half)),
        (TAPER_ON_RADIUS, *ANGLE, MINUTES_AS_DECIMALS),
        _TO_TAPER_HINTS,
        units=("mm",),
        further={
            INVERSE_OPERATION: lambda n: n.taper,
            SINE_FOR_TANGENT: lambda n: 1 / (2 * n.sin),
        },
    ),
)
