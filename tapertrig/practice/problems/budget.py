"""Budget: what a graduation is worth in angle, how contributions combine, what the part feels."""

from __future__ import annotations

import math
from typing import Any

from tapertrig.angle import Angle
from tapertrig.budget import AngleBudget, diameter_error
from tapertrig.practice.mistakes import (
    COMPLEMENT_USED,
    DEGREES_FOR_MINUTES,
    DIAL,
    END_TO_END,
    HALVED_AGAIN,
    INCLUDED_AS_HALF,
    INVERSE_OPERATION,
    RADIANS,
    SINE_FOR_TANGENT,
    TAPER_ON_RADIUS,
    Somebody,
)
from tapertrig.practice.question import (
    TENTHS_OF_A_SECOND,
    Numbers,
    Picture,
    Question,
    lengths_within,
)
from tapertrig.practice.shop import Shop, dial_numbers
from tapertrig.setup import ARC_SECONDS_PER_RADIAN, angle_per_graduation

_CHECK = (
    "The included angle is {included_angle}; the compound slide travels {compound_travel}. "
    "{dial_words} "
)
_GRADUATION_IDEA = "By how much does the half angle change when the cross slide moves a little?"

_FAN = Picture(
    "budget",
    "The setup triangle with a small band of uncertainty at the end of the cross travel, and "
    "the fan of half angles that belongs to it.",
    lambda n: {"half_angle": n.half.degrees},
)


def _draw_check(shop: Shop) -> dict[str, float]:
    return {
        **dial_numbers(shop.cross_dial()),
        "compound_travel": shop.compound_travel(),
        **shop.included_angle(40, 100),
    }


def _one_graduation(n: Numbers) -> dict[str, Any]:
    answer = angle_per_graduation(n.compound_travel, n.half, n.dial)
    return {
        "answer": answer,
        "slide": n.dial.movement_per_graduation,
        "radians": answer / ARC_SECONDS_PER_RADIAN,
    }


def _one_graduation_slipped(who: Somebody) -> float:
    slide = who.dial_graduation / who.factor
    return slide / (who.compound_travel * who.cosine(who.half)) * ARC_SECONDS_PER_RADIAN


def _combined(n: Numbers) -> dict[str, Any]:
    known = AngleBudget(
        n.half,
        n.compound_travel,
        cross_reading=n.dial.movement_per_graduation / 2,
        datum=Angle.from_arc_seconds(n.datum_arc_seconds),
        datum_distribution="normal",
    )
    graduation = angle_per_graduation(n.compound_travel, n.half, n.dial)
    return {
        "answer": known.standard_uncertainty * ARC_SECONDS_PER_RADIAN,
        "graduation": graduation,
        "reading": graduation / 2 / math.sqrt(3),
    }


def _combined_slipped(who: Somebody) -> float:
    reading = _one_graduation_slipped(who) / 2 / math.sqrt(3)
    return math.sqrt(2 * reading**2 + who.datum_arc_seconds**2)


def _draw_error(shop: Shop) -> dict[str, float]:
    return {
        **shop.included_angle(30, 96),
        "length": shop.length((1.0, 2.0, 0.05), (25, 50, 1)),
        "error_minutes": int(shop.step(12, 30, 1)),
    }


def _diameter_error(n: Numbers) -> dict[str, Any]:
    steeper = n.half + Angle.from_arc_seconds(60 * n.error_minutes)
    return {
        "answer": diameter_error(n.length, n.half, (steeper - n.half).radians),
        "steeper": steeper,
        "difference": math.tan(steeper.radians) - n.tan,
    }


def _diameter_error_slipped(who: Somebody) -> float:
    steeper = who.tangent(who.half + who.error_minutes / 60)
    return who.walls * who.length * (steeper - who.tangent(who.half))


QUESTIONS = (
    Question(
        "half angle for one graduation",
        "budget",
        _draw_check,
        _CHECK + "How much half angle does one graduation of it stand for?",
        TENTHS_OF_A_SECOND,
        _one_graduation,
        _FAN.asking("half angle for one graduation", "included_angle", "compound_travel"),
        (
            "One graduation moves the slide by {dial.graduation:g} / {dial.factor} = {slide:1}.",
            "The half angle changes by cross travel / (compound travel × cos α) = {slide:g} / "
            "({compound_travel:g} × {cos:.6f}) = {radians:.4e} rad.",
            "Times 206 265″ for each radian: {answer:.1f}″.",
        ),
        _one_graduation_slipped,
        (*DIAL, INCLUDED_AS_HALF, HALVED_AGAIN, COMPLEMENT_USED, RADIANS),
        (
            _GRADUATION_IDEA,
            "A small cross movement, divided by the compound travel times the cosine of the half "
            "angle, is the change of half angle in radians. Ask first what one graduation moves "
            "the slide.",
        ),
        further={
            INVERSE_OPERATION: lambda n: n.answer * n.cos**2,
        },
    ),
    Question(
        "combined standard uncertainty",
        "budget",
        lambda shop: {**_draw_check(shop), "datum_arc_seconds": int(shop.step(10, 30, 1))},
        _CHECK + "Both points of the check are read to half a graduation either way (rectangular). "
        "The side of the quill is parallel to the axis with a standard uncertainty of "
        "{datum_arc_seconds:g}″. Nothing else counts. What is the combined standard uncertainty of "
        "the half angle?",
        TENTHS_OF_A_SECOND,
        _combined,
        _FAN.asking(
            "combined standard uncertainty",
            "included_angle",
            "compound_travel",
            datum="{datum_arc_seconds:g}″",
        ),
        (
            "One graduation stands for {graduation:.2f}″ of half angle (graduation as slide "
            "movement / (compound travel × cos α)).",
            "One reading, half a graduation, rectangular: divide by 2 and by √3: {reading:.2f}″.",
            "Two readings and the datum: √({reading:.2f}² + {reading:.2f}² + "
            "{datum_arc_seconds:g}²) = {answer:.1f}″.",
        ),
        _combined_slipped,
        (*DIAL, INCLUDED_AS_HALF, COMPLEMENT_USED),
        (
            _GRADUATION_IDEA,
            "Bring every contribution to seconds of half angle as a standard uncertainty, then add "
            "their squares and take the root.",
        ),
        further={
            END_TO_END: lambda n: 2 * n.reading + n.datum_arc_seconds,
        },
    ),
    Question(
        "diameter error from an angle error",
        "budget",
        _draw_error,
        "A cone with an included angle of {included_angle} is {length} long and right at its small "
        "end. The slide was set with a half angle {error_minutes:g}′ too large. By how much is the "
        "diameter at the large end too large?",
        lengths_within(0.0001, 0.002),
        _diameter_error,
        _FAN.asking("diameter error", "included_angle", "length", angle_error="{error_minutes:g}′"),
        (
            "Half angle wanted: {included_angle} / 2 = {half}; set: {steeper}.",
            "tan {steeper} − tan {half} = {difference:.6f}.",
            "Both walls, over the length: 2 × {length} × {difference:.6f} = {answer:2}.",
        ),
        _diameter_error_slipped,
        (TAPER_ON_RADIUS, INCLUDED_AS_HALF, HALVED_AGAIN, COMPLEMENT_USED),
        (
            "How far does one wall lie from where it should, at the far end of the cone?",
            "The wall is out by the length times the difference of the two tangents; the diameter "
            "by twice that.",
        ),
        further={
            SINE_FOR_TANGENT: lambda n: 2 * n.length * (math.sin(n.steeper.radians) - n.sin),
            DEGREES_FOR_MINUTES: lambda n: (
                2 * n.length * (math.tan(n.half.radians + math.radians(n.error_minutes)) - n.tan)
            ),
        },
    ),
)
