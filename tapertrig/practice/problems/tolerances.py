"""Tolerances: halving them with the angle, the window of readings, and what may be accepted."""

from __future__ import annotations

import math
from typing import Any

from tapertrig.angle import Angle
from tapertrig.decision import GUARD_FACTOR
from tapertrig.practice.mistakes import (
    COMPLEMENT_USED,
    DEGREES_FOR_MINUTES,
    DIAL,
    HALVED_AGAIN,
    INCLUDED_AS_HALF,
    INVERSE_OPERATION,
    MINUTES_AS_DECIMALS,
    RADIANS,
    SINE,
    TOLERANCE_NOT_HALVED,
    Somebody,
)
from tapertrig.practice.question import (
    HALVED,
    TENTHS_OF_A_MINUTE,
    TO_THE_SECOND,
    TWICE_OR_ONCE,
    Numbers,
    Picture,
    Question,
    lengths_within,
)
from tapertrig.practice.shop import Shop, dial_numbers
from tapertrig.setup import cross_reading_window

_ANGLE_CALLED = "{included_angle} ± {tolerance_minutes:g}′"
_CALLED = f"The print gives an included angle of {_ANGLE_CALLED}. "
_SHARE_IDEA = (
    "The tolerance stands on the angle from wall to wall. What share of it falls to one wall?"
)
_SHARE_HINTS = (_SHARE_IDEA, "Halve the tolerance exactly as you halve the angle.")

_WALLS = Picture(
    "tolerance",
    "A cone seen from the side; each wall may lie anywhere within a narrow fan.",
    lambda n: {"half_angle": n.half.degrees},
)


def _on_half_angle(who: Somebody, minutes: float) -> float:
    """The tolerance on the half angle, of so many minutes on the included angle."""
    half = minutes if who.makes(TOLERANCE_NOT_HALVED, INCLUDED_AS_HALF) else minutes / 2
    return half / 2 if who.makes(HALVED_AGAIN) else half


def _allowed(n: Numbers) -> Angle:
    return Angle.from_arc_seconds(60 * n.tolerance_minutes).half()


def _half_tolerance(n: Numbers) -> dict[str, Any]:
    return {"answer": _allowed(n), "share": n.tolerance_minutes / 2}


def _largest(n: Numbers) -> dict[str, Any]:
    allowed = _allowed(n)
    return {"answer": n.half + allowed, "allowed": allowed, "share": n.tolerance_minutes / 2}


def _largest_slipped(who: Somebody) -> float:
    plain = Somebody(who.given, who.slips - {COMPLEMENT_USED})
    tolerance = who.tolerance_minutes / (100 if who.makes(MINUTES_AS_DECIMALS) else 60)
    largest = plain.half + _on_half_angle(who, tolerance)
    return 90 - largest if who.makes(COMPLEMENT_USED) else largest


def _draw_reading(shop: Shop) -> dict[str, float]:
    dial = shop.cross_dial()
    travel = shop.compound_travel()
    return {
        **shop.included_angle(24, 90),
        **dial_numbers(dial),
        "tolerance_minutes": int(shop.step(20, 60, 2)),
        "compound_travel": travel,
    }


def _largest_reading(n: Numbers) -> dict[str, Any]:
    allowed = _allowed(n)
    largest = n.half + allowed
    sine = math.sin(largest.radians)
    return {
        "answer": cross_reading_window(n.half, allowed, n.compound_travel, n.dial)[1],
        "largest": largest,
        "sine": sine,
        "cross": n.compound_travel * sine,
    }


def _largest_reading_slipped(who: Somebody) -> float:
    largest = who.half + _on_half_angle(who, who.tolerance_minutes / 60)
    return who.compound_travel * who.sine(largest) * who.factor


def _draw_proven(shop: Shop) -> dict[str, float]:
    tolerance = int(shop.step(16, 60, 1))
    uncertainty = shop.step(1.0, 4.0, 0.1)
    # Nearer than this both limits are in play, and 1.65 u proves less than 95 % (JCGM 106).
    while tolerance / 2 < 2.5 * uncertainty:
        uncertainty = shop.step(1.0, 4.0, 0.1)
    return {
        **shop.included_angle(),
        "tolerance_minutes": tolerance,
        "standard_uncertainty_minutes": uncertainty,
    }


def _still_proven(n: Numbers) -> dict[str, Any]:
    guard = GUARD_FACTOR * n.standard_uncertainty_minutes
    share = n.tolerance_minutes / 2
    return {
        "answer": _allowed(n).minutes - guard,
        "guard": guard,
        "share": share,
        "left": share - guard,
        "times": GUARD_FACTOR,
    }


def _still_proven_slipped(who: Somebody) -> float:
    guard = GUARD_FACTOR * who.standard_uncertainty_minutes
    return _on_half_angle(who, who.tolerance_minutes) - guard


QUESTIONS = (
    Question(
        "tolerance on the half angle",
        "tolerances",
        lambda shop: {**shop.included_angle(), "tolerance_minutes": int(shop.step(9, 60, 1))},
        _CALLED + "What tolerance, plus or minus, does that leave for the half angle?",
        TENTHS_OF_A_MINUTE,
        _half_tolerance,
        _WALLS.asking("tolerance on the half angle", included_angle=_ANGLE_CALLED),
        (
            "The two walls share the included angle, and they share its tolerance too.",
            "{tolerance_minutes:g}′ / 2 = {share:.1f}′.",
        ),
        lambda who: _on_half_angle(who, who.tolerance_minutes),
        (TOLERANCE_NOT_HALVED, HALVED_AGAIN),
        _SHARE_HINTS,
        further={
            INVERSE_OPERATION: lambda n: 2 * n.tolerance_minutes,
        },
    ),
    Question(
        "largest half angle",
        "tolerances",
        lambda shop: {**shop.included_angle(), "tolerance_minutes": int(shop.step(6, 60, 1))},
        _CALLED + "What is the largest half angle the slide may be set to?",
        TO_THE_SECOND,
        _largest,
        _WALLS.asking("largest half angle", included_angle=_ANGLE_CALLED),
        (
            HALVED,
            "Its tolerance: {tolerance_minutes:g}′ / 2 = {share:.1f}′.",
            "Largest: {half} + {allowed} = {answer}.",
        ),
        _largest_slipped,
        (
            TOLERANCE_NOT_HALVED,
            INCLUDED_AS_HALF,
            HALVED_AGAIN,
            MINUTES_AS_DECIMALS,
            COMPLEMENT_USED,
        ),
        _SHARE_HINTS,
        further={
            INVERSE_OPERATION: lambda n: n.half.degrees + n.tolerance_minutes / 30,
            DEGREES_FOR_MINUTES: lambda n: n.half.degrees + n.share,
        },
    ),
    Question(
        "highest cross reading",
        "tolerances",
        _draw_reading,
        _CALLED + "The compound slide travels {compound_travel}. {dial_words} What is the highest "
        "reading from zero, with the indicator back at null, that is still within the tolerance?",
        lengths_within(0.001, 0.02),
        _largest_reading,
        _WALLS.asking(
            "highest cross reading",
            included_angle=_ANGLE_CALLED,
            compound_travel="{compound_travel}",
        ),
        (
            "Largest half angle: {included_angle} / 2 + {tolerance_minutes:g}′ / 2 = {largest}.",
            "Cross travel there: {compound_travel} × {sine:.6f} = {cross:2}.",
            TWICE_OR_ONCE + "that: {answer:1}.",
        ),
        _largest_reading_slipped,
        (TOLERANCE_NOT_HALVED, *DIAL, INCLUDED_AS_HALF, HALVED_AGAIN, *SINE, RADIANS),
        (
            _SHARE_IDEA,
            "Find the largest half angle first, then the slide movement for it, then what this "
            "dial shows for that movement.",
        ),
        turns=True,
        further={
            DEGREES_FOR_MINUTES: lambda n: n.dial.reading(
                n.compound_travel * math.sin(n.half.radians + math.radians(n.tolerance_minutes / 2))
            ),
        },
    ),
    Question(
        "zone that is proven",
        "tolerances",
        _draw_proven,
        _CALLED + "You measured the half angle with a standard uncertainty of "
        "{standard_uncertainty_minutes:.1f}′. By the rule of ISO 14253-1 a guard band of {times:g} "
        "standard uncertainties is kept inside the tolerance. How far may the measured half angle "
        "lie from nominal and still be proven to conform?",
        TENTHS_OF_A_MINUTE,
        _still_proven,
        _WALLS.asking(
            "proven zone of the half angle",
            included_angle=_ANGLE_CALLED,
            standard_uncertainty="{standard_uncertainty_minutes:.1f}′",
        ),
        (
            "Tolerance on the half angle: {tolerance_minutes:g}′ / 2 = {share:.1f}′.",
            "Guard band: {times:g} × {standard_uncertainty_minutes:.1f}′ = {guard:.2f}′.",
            "{share:.1f}′ − {guard:.2f}′ = {left:.2f}′.",
        ),
        _still_proven_slipped,
        (TOLERANCE_NOT_HALVED, HALVED_AGAIN),
        (_SHARE_IDEA, "Halve the tolerance, then keep the guard band clear of its end."),
        further={
            INVERSE_OPERATION: lambda n: 2 * n.tolerance_minutes - n.guard,
        },
    ),
)
