"""Budget: what a graduation is worth in angle, how contributions combine, what the part feels."""

from __future__ import annotations

import math

from tapertrig.angle import Angle
from tapertrig.budget import AngleBudget, diameter_error
from tapertrig.practice.mistakes import (
    COMPLEMENT_USED,
    DIAMETER_AS_RADIUS,
    HALVED_AGAIN,
    INCLUDED_AS_HALF,
    RADIANS,
    RADIUS_AS_DIAMETER,
    TAPER_ON_RADIUS,
    Given,
    Slips,
    cosine,
    dial_factor,
    half_angle_from_given,
    tangent,
)
from tapertrig.practice.question import (
    TENTHS_OF_A_SECOND,
    Asked,
    Figure,
    Question,
    figure,
    length_within,
)
from tapertrig.practice.shop import Shop, dial_numbers, dial_words, included_angle, show_included
from tapertrig.setup import ARC_SECONDS_PER_RADIAN, angle_per_graduation

_DIAL = (DIAMETER_AS_RADIUS, RADIUS_AS_DIAMETER)


def _budget_figure(half: Angle, labels: dict[str, str], asked: str) -> Figure:
    return figure(
        "budget",
        "The setup triangle with a small band of uncertainty at the end of the cross travel, and "
        "the fan of half angles that belongs to it.",
        {"half_angle": half.degrees},
        labels,
        asked,
    )


def _one_graduation(shop: Shop) -> Asked:
    dial, travel = shop.cross_dial(), shop.compound_travel()
    angle = shop.included_angle(40, 100)
    half, shown = included_angle(angle).half(), show_included(angle)
    answer = angle_per_graduation(travel, half, dial)
    slide = dial.movement_per_graduation
    return Asked(
        given={**angle, **dial_numbers(dial), "compound_travel": travel},
        text=f"The included angle is {shown}; the compound slide travels {shop.show(travel)}. "
        f"{dial_words(dial, shop.unit)} How much half angle does one graduation of it stand for?",
        precision=TENTHS_OF_A_SECOND,
        answer=answer,
        figure=_budget_figure(
            half,
            {"included_angle": shown, "compound_travel": shop.show(travel)},
            "half angle for one graduation",
        ),
        steps=(
            f"One graduation moves the slide by {dial.graduation:g} / {dial.factor} = "
            f"{shop.show(slide, 1)}.",
            f"The half angle changes by cross travel / (compound travel × cos α) = "
            f"{slide:g} / ({travel:g} × {math.cos(half.radians):.6f}) = "
            f"{answer / ARC_SECONDS_PER_RADIAN:.4e} rad.",
            f"Times 206 265″ for each radian: {answer:.1f}″.",
        ),
    )


def _one_graduation_slipped(given: Given, slips: Slips) -> float:
    slide = given["dial_graduation"] / dial_factor(given, slips)
    axial = given["compound_travel"] * cosine(half_angle_from_given(given, slips), slips)
    return slide / axial * ARC_SECONDS_PER_RADIAN


def _combined(shop: Shop) -> Asked:
    dial, travel = shop.cross_dial(), shop.compound_travel()
    angle = shop.included_angle(40, 100)
    datum = int(shop.step(10, 30, 1))
    half, shown = included_angle(angle).half(), show_included(angle)
    known = AngleBudget(
        half,
        travel,
        cross_reading=dial.movement_per_graduation / 2,
        datum=Angle.from_arc_seconds(datum),
        datum_distribution="normal",
    )
    answer = known.standard_uncertainty * ARC_SECONDS_PER_RADIAN
    reading = angle_per_graduation(travel, half, dial) / 2 / math.sqrt(3)
    return Asked(
        given={
            **angle,
            **dial_numbers(dial),
            "compound_travel": travel,
            "datum_arc_seconds": datum,
        },
        text=f"The included angle is {shown}; the compound slide travels {shop.show(travel)}. "
        f"{dial_words(dial, shop.unit)} Both points of the check are read to half a graduation "
        "either way (rectangular). The side of the quill is parallel to the axis with a standard "
        f"uncertainty of {datum}″. Nothing else counts. What is the combined standard uncertainty "
        "of the half angle?",
        precision=TENTHS_OF_A_SECOND,
        answer=answer,
        figure=_budget_figure(
            half,
            {
                "included_angle": shown,
                "compound_travel": shop.show(travel),
                "datum": f"{datum}″",
            },
            "combined standard uncertainty",
        ),
        steps=(
            f"One graduation stands for {angle_per_graduation(travel, half, dial):.2f}″ of half "
            "angle (graduation as slide movement / (compound travel × cos α)).",
            f"One reading, half a graduation, rectangular: divide by 2 and by √3: {reading:.2f}″.",
            f"Two readings and the datum: √({reading:.2f}² + {reading:.2f}² + {datum}²) = "
            f"{answer:.1f}″.",
        ),
    )


def _combined_slipped(given: Given, slips: Slips) -> float:
    reading = _one_graduation_slipped(given, slips) / 2 / math.sqrt(3)
    return math.sqrt(2 * reading**2 + given["datum_arc_seconds"] ** 2)


def _diameter_error(shop: Shop) -> Asked:
    angle = shop.included_angle(30, 96)
    length = shop.length((1.0, 2.0, 0.05), (25, 50, 1))
    error = int(shop.step(12, 30, 1))
    half, shown = included_angle(angle).half(), show_included(angle)
    steeper = half + Angle.from_arc_seconds(60 * error)
    answer = diameter_error(length, half, (steeper - half).radians)
    difference = math.tan(steeper.radians) - math.tan(half.radians)
    return Asked(
        given={**angle, "length": length, "error_minutes": error},
        text=f"A cone with an included angle of {shown} is {shop.show(length)} long and right at "
        f"its small end. The slide was set with a half angle {error}′ too large. By how much is "
        "the diameter at the large end too large?",
        precision=length_within(shop.unit, 0.0001, 0.002),
        answer=answer,
        figure=_budget_figure(
            half,
            {
                "included_angle": shown,
                "length": shop.show(length),
                "angle_error": f"{error}′",
            },
            "diameter error",
        ),
        steps=(
            f"Half angle wanted: {shown} / 2 = {half}; set: {steeper}.",
            f"tan {steeper} − tan {half} = {difference:.6f}.",
            f"Both walls, over the length: 2 × {shop.show(length)} × {difference:.6f} = "
            f"{shop.show(answer, 2)}.",
        ),
    )


def _diameter_error_slipped(given: Given, slips: Slips) -> float:
    half = half_angle_from_given(given, slips)
    error = given["error_minutes"] / 60
    walls = 1 if TAPER_ON_RADIUS in slips else 2
    return walls * given["length"] * (tangent(half + error, slips) - tangent(half, slips))


_GRADUATION_HINTS = (
    "By how much does the half angle change when the cross slide moves a little?",
    "A small cross movement, divided by the compound travel times the cosine of the half angle, "
    "is the change of half angle in radians. Ask first what one graduation moves the slide.",
)

QUESTIONS = (
    Question(
        "half angle for one graduation",
        "budget",
        _one_graduation,
        _one_graduation_slipped,
        (*_DIAL, INCLUDED_AS_HALF, HALVED_AGAIN, COMPLEMENT_USED, RADIANS),
        *_GRADUATION_HINTS,
    ),
    Question(
        "combined standard uncertainty",
        "budget",
        _combined,
        _combined_slipped,
        (*_DIAL, INCLUDED_AS_HALF, COMPLEMENT_USED),
        _GRADUATION_HINTS[0],
        "Bring every contribution to seconds of half angle as a standard uncertainty, then add "
        "their squares and take the root.",
    ),
    Question(
        "diameter error from an angle error",
        "budget",
        _diameter_error,
        _diameter_error_slipped,
        (TAPER_ON_RADIUS, INCLUDED_AS_HALF, HALVED_AGAIN, COMPLEMENT_USED),
        "How far does one wall lie from where it should, at the far end of the cone?",
        "The wall is out by the length times the difference of the two tangents; the diameter by "
        "twice that.",
    ),
)
