"""Tolerances: halving them with the angle, the window of readings, and what may be accepted."""

from __future__ import annotations

import math

from tapertrig.angle import Angle
from tapertrig.decision import GUARD_FACTOR
from tapertrig.practice.mistakes import (
    COMPLEMENT_USED,
    COSINE_FOR_SINE,
    DIAMETER_AS_RADIUS,
    HALVED_AGAIN,
    INCLUDED_AS_HALF,
    MINUTES_AS_DECIMALS,
    RADIANS,
    RADIUS_AS_DIAMETER,
    TANGENT_FOR_SINE,
    TOLERANCE_NOT_HALVED,
    Given,
    Slips,
    dial_factor,
    half_angle_from_given,
    sine,
)
from tapertrig.practice.question import (
    TENTHS_OF_A_MINUTE,
    TO_THE_SECOND,
    Asked,
    Figure,
    Question,
    figure,
    length_within,
)
from tapertrig.practice.shop import Shop, dial_numbers, dial_words, included_angle, show_included
from tapertrig.setup import cross_reading_window


def _tolerance_figure(half: float, labels: dict[str, str], asked: str) -> Figure:
    return figure(
        "tolerance",
        "A cone seen from the side; each wall may lie anywhere within a narrow fan.",
        {"half_angle": half},
        labels,
        asked,
    )


def _on_half_angle(tolerance: float, slips: Slips) -> float:
    """The tolerance on the half angle, in the unit of the tolerance on the included angle."""
    whole = TOLERANCE_NOT_HALVED in slips or INCLUDED_AS_HALF in slips
    half = tolerance if whole else tolerance / 2
    return half / 2 if HALVED_AGAIN in slips else half


def _half_tolerance(shop: Shop) -> Asked:
    given = {**shop.included_angle(), "tolerance_minutes": int(shop.step(9, 60, 1))}
    shown, tolerance = show_included(given), given["tolerance_minutes"]
    return Asked(
        given=given,
        text=f"The print gives an included angle of {shown} ± {tolerance}′. What tolerance, plus "
        "or minus, does that leave for the half angle?",
        precision=TENTHS_OF_A_MINUTE,
        answer=Angle.from_arc_seconds(60 * tolerance).half().minutes,
        figure=_tolerance_figure(
            included_angle(given).half().degrees,
            {"included_angle": f"{shown} ± {tolerance}′"},
            "tolerance on the half angle",
        ),
        steps=(
            "The two walls share the included angle, and they share its tolerance too.",
            f"{tolerance}′ / 2 = {tolerance / 2:.1f}′.",
        ),
    )


def _half_tolerance_slipped(given: Given, slips: Slips) -> float:
    return _on_half_angle(given["tolerance_minutes"], slips)


def _largest_half_angle(shop: Shop) -> Asked:
    given = {**shop.included_angle(), "tolerance_minutes": int(shop.step(6, 60, 1))}
    shown, tolerance = show_included(given), given["tolerance_minutes"]
    half = included_angle(given).half()
    allowed = Angle.from_arc_seconds(60 * tolerance).half()
    answer = half + allowed
    return Asked(
        given=given,
        text=f"The print gives an included angle of {shown} ± {tolerance}′. What is the largest "
        "half angle the slide may be set to?",
        precision=TO_THE_SECOND,
        answer=answer.degrees,
        figure=_tolerance_figure(
            half.degrees, {"included_angle": f"{shown} ± {tolerance}′"}, "largest half angle"
        ),
        steps=(
            f"Half angle: {shown} / 2 = {half}.",
            f"Its tolerance: {tolerance}′ / 2 = {tolerance / 2:.1f}′.",
            f"Largest: {half} + {allowed} = {answer}.",
        ),
    )


def _largest_half_angle_slipped(given: Given, slips: Slips) -> float:
    plain = slips - {COMPLEMENT_USED}
    tolerance = given["tolerance_minutes"] / (100 if MINUTES_AS_DECIMALS in slips else 60)
    half = half_angle_from_given(given, plain)
    largest = half + _on_half_angle(tolerance, slips)
    return 90 - largest if COMPLEMENT_USED in slips else largest


def _largest_reading(shop: Shop) -> Asked:
    dial = shop.cross_dial()
    travel = shop.compound_travel()
    given = {
        **shop.included_angle(24, 90),
        **dial_numbers(dial),
        "tolerance_minutes": int(shop.step(20, 60, 2)),
        "compound_travel": travel,
    }
    shown, tolerance = show_included(given), given["tolerance_minutes"]
    half = included_angle(given).half()
    allowed = Angle.from_arc_seconds(60 * tolerance).half()
    _, answer = cross_reading_window(half, allowed, travel, dial)
    largest = half + allowed
    return Asked(
        given=given,
        text=f"The print gives an included angle of {shown} ± {tolerance}′. The compound slide "
        f"travels {shop.show(travel)}. {dial_words(dial, shop.unit)} What is the highest reading "
        "from zero, with the indicator back at null, that is still within the tolerance?",
        precision=length_within(shop.unit, 0.001, 0.02),
        answer=answer,
        figure=_tolerance_figure(
            half.degrees,
            {
                "included_angle": f"{shown} ± {tolerance}′",
                "compound_travel": shop.show(travel),
            },
            "highest cross reading",
        ),
        steps=(
            f"Largest half angle: {shown} / 2 + {tolerance}′ / 2 = {largest}.",
            f"Cross travel there: {shop.show(travel)} × {math.sin(largest.radians):.6f} = "
            f"{shop.show(travel * math.sin(largest.radians), 2)}.",
            f"A dial that reads {dial.reads} shows {dial.factor} × that: {shop.show(answer, 1)}.",
        ),
        dial=dial,
    )


def _largest_reading_slipped(given: Given, slips: Slips) -> float:
    tolerance = given["tolerance_minutes"] / 60
    half = half_angle_from_given(given, slips)
    largest = half + _on_half_angle(tolerance, slips)
    cross = given["compound_travel"] * sine(largest, slips)
    return cross * dial_factor(given, slips)


def _still_proven(shop: Shop) -> Asked:
    tolerance = int(shop.step(16, 60, 1))
    uncertainty = shop.step(1.0, 4.0, 0.1)
    given = {
        **shop.included_angle(),
        "tolerance_minutes": tolerance,
        "standard_uncertainty_minutes": uncertainty,
    }
    shown = show_included(given)
    guard = GUARD_FACTOR * uncertainty
    return Asked(
        given=given,
        text=f"The print gives an included angle of {shown} ± {tolerance}′. You measured the half "
        f"angle with a standard uncertainty of {uncertainty:.1f}′. By the rule of ISO 14253-1 a "
        f"guard band of {GUARD_FACTOR:g} standard uncertainties is kept inside the tolerance. How "
        "far may the measured half angle lie from nominal and still be proven to conform?",
        precision=TENTHS_OF_A_MINUTE,
        answer=Angle.from_arc_seconds(60 * tolerance).half().minutes - guard,
        figure=_tolerance_figure(
            included_angle(given).half().degrees,
            {
                "included_angle": f"{shown} ± {tolerance}′",
                "standard_uncertainty": f"{uncertainty:.1f}′",
            },
            "proven zone of the half angle",
        ),
        steps=(
            f"Tolerance on the half angle: {tolerance}′ / 2 = {tolerance / 2:.1f}′.",
            f"Guard band: {GUARD_FACTOR:g} × {uncertainty:.1f}′ = {guard:.2f}′.",
            f"{tolerance / 2:.1f}′ − {guard:.2f}′ = {tolerance / 2 - guard:.2f}′.",
        ),
    )


def _still_proven_slipped(given: Given, slips: Slips) -> float:
    guard = GUARD_FACTOR * given["standard_uncertainty_minutes"]
    return _on_half_angle(given["tolerance_minutes"], slips) - guard


_SHARE_HINTS = (
    "The tolerance stands on the angle from wall to wall. What share of it falls to one wall?",
    "Halve the tolerance exactly as you halve the angle.",
)

QUESTIONS = (
    Question(
        "tolerance on the half angle",
        "tolerances",
        _half_tolerance,
        _half_tolerance_slipped,
        (TOLERANCE_NOT_HALVED, HALVED_AGAIN),
        *_SHARE_HINTS,
    ),
    Question(
        "largest half angle",
        "tolerances",
        _largest_half_angle,
        _largest_half_angle_slipped,
        (
            TOLERANCE_NOT_HALVED,
            INCLUDED_AS_HALF,
            HALVED_AGAIN,
            MINUTES_AS_DECIMALS,
            COMPLEMENT_USED,
        ),
        *_SHARE_HINTS,
    ),
    Question(
        "highest cross reading",
        "tolerances",
        _largest_reading,
        _largest_reading_slipped,
        (
            TOLERANCE_NOT_HALVED,
            DIAMETER_AS_RADIUS,
            RADIUS_AS_DIAMETER,
            INCLUDED_AS_HALF,
            HALVED_AGAIN,
            COSINE_FOR_SINE,
            TANGENT_FOR_SINE,
            RADIANS,
        ),
        _SHARE_HINTS[0],
        "Find the largest half angle first, then the slide movement for it, then what this "
        "dial shows for that movement.",
    ),
    Question(
        "zone that is proven",
        "tolerances",
        _still_proven,
        _still_proven_slipped,
        (TOLERANCE_NOT_HALVED, HALVED_AGAIN),
        _SHARE_HINTS[0],
        "Halve the tolerance, then keep the guard band clear of its end.",
    ),
)
