"""Angle units, parallel lines, base zero: problems whose answer is an angle of the cone itself."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from tapertrig.angle import Angle
from tapertrig.lathe import Dial, Lathe
from tapertrig.practice.mistakes import (
    COMPLEMENT_NOT_USED,
    COMPLEMENT_USED,
    HALVED_AGAIN,
    INCLUDED_AS_HALF,
    INVERSE_OPERATION,
    MINUTES_AS_DECIMALS,
    SUPPLEMENT_USED,
    Somebody,
)
from tapertrig.practice.question import (
    DECIMAL_DEGREES,
    HALVED,
    TO_THE_SECOND,
    Numbers,
    Picture,
    Question,
)
from tapertrig.practice.shop import Shop

_FROM_THE_AXIS = (INCLUDED_AS_HALF, HALVED_AGAIN, COMPLEMENT_USED, MINUTES_AS_DECIMALS)
_FROM_SQUARE = (COMPLEMENT_NOT_USED, INCLUDED_AS_HALF, HALVED_AGAIN, MINUTES_AS_DECIMALS)
_FOLLOWS_THE_WALL = (
    "The compound slide is set to follow the wall of a cone with an included angle of "
    "{included_angle}. "
)

_CONE = Picture(
    "angle",
    "A cone seen from the side with its axis; the included angle runs from wall to wall, the "
    "half angle from axis to wall.",
    lambda n: {"half_angle": n.half.degrees},
)
_PARALLEL = Picture(
    "parallel lines",
    "The spindle axis and the side of the tailstock quill, parallel to each other, both cut "
    "by the slanting line of the compound slide.",
    lambda n: {"half_angle": n.half.degrees},
)
_BASE = Picture(
    "base",
    "The compound base from above, its scale at zero when the slide stands {base_zero}.",
    lambda n: {"base_zero": n.base_zero, "half_angle": n.half.degrees},
)


def _each_halved(n: Numbers) -> dict[str, Any]:
    degrees, minutes = n.included_degrees, n.included_minutes
    return {
        "answer": n.half,
        "halved_degrees": f"{degrees // 2}°{30 * (degrees % 2):02d}′",
        "halved_minutes": f"{minutes // 2}′{30 * (minutes % 2):02d}″",
    }


def _minutes_and_degrees(n: Numbers) -> dict[str, Any]:
    half = Angle.from_dms(n.half_degrees, n.half_minutes)
    return {"answer": half, "half": half, "shown": half.dm(), "part": n.half_minutes / 60}


def _draw_decimals(shop: Shop) -> dict[str, float]:
    # Below 0.60° a decimal can be mistaken for minutes; the mistake must be possible.
    hundredths = int(shop.step(5, 59, 1))
    return {"included_decimal": round(int(shop.step(20, 110, 1)) + hundredths / 100, 2)}


def _from_decimals(n: Numbers) -> dict[str, Any]:
    half = Angle.from_degrees(n.included_decimal).half()
    part = half.degrees % 1
    return {"answer": half, "half": half, "part": part, "minutes": part * 60}


def _from_decimals_slipped(who: Somebody) -> float:
    whole, hundredths = divmod(round(who.included_decimal * 100), 100)
    included = whole + hundredths / (60 if who.makes(MINUTES_AS_DECIMALS) else 100)
    return who.halved_again(included if who.makes(INCLUDED_AS_HALF) else included / 2)


def _from_square(who: Somebody) -> float:
    return who.half if who.makes(COMPLEMENT_NOT_USED) else 90 - who.half


def _obtuse(n: Numbers) -> dict[str, Any]:
    return {"answer": Angle.from_degrees(180) - n.half}


def _lathe(unit: str, base_zero: str) -> Lathe:
    dial = Dial(0.001, 0.1) if unit == "in" else Dial(0.02, 4)
    return Lathe(unit, 4.0 if unit == "in" else 100.0, dial, dial, base_zero)


def _base_reading(
    zero: str, last: str, direct: str, slipped: Callable[[Somebody], float], *mistakes: str
) -> Question:
    """What the base must read, when it reads zero with the slide standing so."""
    base_zero = f"{zero} to bed"
    return Question(
        f"base reading, zero {zero}",
        "base zero",
        lambda shop: {**shop.included_angle(), "base_zero": base_zero, "zero": zero},
        "On this lathe the compound base reads zero when the slide stands {zero} to the bed. You "
        "want a cone with an included angle of {included_angle}. What must the base read?",
        TO_THE_SECOND,
        lambda n: {"answer": _lathe(n.unit, base_zero).base_reading(n.half)},
        _BASE.asking("base_reading", "included_angle"),
        (HALVED, last, "Base reading: {answer}."),
        slipped,
        mistakes,
        (
            "How does the slide stand when the base reads zero, and from which line does the half "
            "angle count?",
            direct,
        ),
        further={SUPPLEMENT_USED: lambda n: 180 - n.answer.degrees},
    )


def _draw_base(shop: Shop) -> dict[str, float | str]:
    degrees, minutes = shop.angle(35, 80)
    return {"base_degrees": degrees, "base_minutes": minutes, "base_zero": "square to bed"}


def _from_the_base(n: Numbers) -> dict[str, Any]:
    reading = Angle.from_dms(n.base_degrees, n.base_minutes)
    half = _lathe(n.unit, n.base_zero).half_angle_at(reading)
    return {"answer": half.double(), "half": half, "base_reading": reading.dm()}


def _from_the_base_slipped(who: Somebody) -> float:
    reading = who.typed(who.base_degrees, who.base_minutes)
    half = reading if who.makes(COMPLEMENT_NOT_USED) else 90 - reading
    return half if who.makes(INCLUDED_AS_HALF) else 2 * half


QUESTIONS = (
    Question(
        "half angle from included",
        "angle units",
        lambda shop: shop.included_angle(20, 120),
        "The print gives an included angle of {included_angle}. What half angle must the compound "
        "slide make with the spindle axis?",
        TO_THE_SECOND,
        _each_halved,
        _CONE.asking("half_angle", "included_angle"),
        (
            "The half angle is the included angle divided by 2.",
            "{included_degrees:g}° / 2 = {halved_degrees} and {included_minutes:g}′ / 2 = "
            "{halved_minutes}.",
            "Together: {half}.",
        ),
        lambda who: who.half,
        _FROM_THE_AXIS,
        (
            "A cone has two walls, and the slide follows one of them. What share of the whole "
            "angle is that?",
            "Halve degrees and minutes separately; an odd degree leaves 30′, an odd minute 30″.",
        ),
        further={
            SUPPLEMENT_USED: lambda n: 180 - 2 * n.half.degrees,
            INVERSE_OPERATION: lambda n: 4 * n.half.degrees,
        },
    ),
    Question(
        "half angle in decimals",
        "angle units",
        lambda shop: dict(zip(("half_degrees", "half_minutes"), shop.angle(10, 60), strict=True)),
        "The half angle is {shown}. Your calculator takes decimal degrees. What do you type?",
        DECIMAL_DEGREES,
        _minutes_and_degrees,
        _CONE.asking("half_angle_in_decimals", half_angle="{shown}"),
        (
            "Minutes are sixtieths of a degree.",
            "{half_minutes:g}′ = {half_minutes:g}/60 = {part:.4f}°.",
            "{half_degrees:g}° + {part:.4f}° = {half.degrees:.4f}°.",
        ),
        lambda who: who.halved_again(who.typed(who.half_degrees, who.half_minutes)),
        (MINUTES_AS_DECIMALS, HALVED_AGAIN),
        (
            "How many minutes make one degree?",
            "Divide the minutes by 60 and add them to the whole degrees.",
        ),
        asked_in_parts=False,
    ),
    Question(
        "half angle from decimals",
        "angle units",
        _draw_decimals,
        "A drawing made on a computer gives an included angle of {included_decimal:.2f}°. What "
        "half angle is that in degrees, minutes and seconds?",
        TO_THE_SECOND,
        _from_decimals,
        _CONE.asking("half_angle", included_angle="{included_decimal:.2f}°"),
        (
            "Halve first: {included_decimal:.2f}° / 2 = {half.degrees:.3f}°.",
            "The part after the point is in degrees; times 60 makes minutes: {part:.3f} × 60 = "
            "{minutes:.2f}′.",
            "That is {half}.",
        ),
        _from_decimals_slipped,
        _FROM_THE_AXIS,
        (
            "What does a hundredth of a degree come to in minutes?",
            "Halve first; then multiply what stands after the point by 60 to get minutes.",
        ),
        {
            MINUTES_AS_DECIMALS: (
                "Are the two figures after the point minutes?",
                "The figures after the point are hundredths of a degree, not minutes: 0.30° is "
                "0.30 × 60 = 18′.",
            )
        },
        further={
            INVERSE_OPERATION: lambda n: 2 * n.included_decimal,
        },
        asked_in_parts=True,
    ),
    Question(
        "angle at the quill",
        "parallel lines",
        lambda shop: {
            **shop.included_angle(),
            "line": shop.one_of(
                ("the side of the tailstock quill", "the bed ways", "the tailstock axis")
            ),
        },
        _FOLLOWS_THE_WALL + "Its line runs on and cuts {line}, parallel to the spindle axis. What "
        "is the acute angle between them?",
        TO_THE_SECOND,
        lambda n: {"answer": n.half},
        _PARALLEL.asking("acute angle at the parallel line", "included_angle"),
        (
            "The slide makes the half angle with the spindle axis: {included_angle} / 2 = {half}.",
            "Corresponding angles at parallel lines are equal.",
            "So the angle is {half}.",
        ),
        lambda who: who.half,
        _FROM_THE_AXIS,
        (
            "Which angles are equal where one line cuts two parallel lines?",
            "Find the angle at the spindle axis; the corresponding angle at the other line equals "
            "it.",
        ),
        further={
            SUPPLEMENT_USED: lambda n: 180 - n.answer.degrees,
        },
    ),
    Question(
        "obtuse angle at the quill",
        "parallel lines",
        lambda shop: shop.included_angle(),
        _FOLLOWS_THE_WALL + "Where its line cuts the side of the tailstock quill, parallel to the "
        "spindle axis, there are two acute angles and two obtuse ones. How large is an obtuse one?",
        TO_THE_SECOND,
        _obtuse,
        _PARALLEL.asking("obtuse angle at the parallel line", "included_angle"),
        (
            "The acute angle at the quill equals the half angle at the axis: {included_angle} / 2 "
            "= {half}.",
            "Neighbouring angles on one line make 180° together.",
            "180° − {half} = {answer}.",
        ),
        lambda who: 180 - who.half,
        _FROM_THE_AXIS,
        (
            "Which angles are equal where one line cuts two parallel lines, and which make a "
            "straight line together?",
            "Find the half angle at the axis first, carry it to the quill, then see what is left "
            "of 180°.",
        ),
        further={
            SUPPLEMENT_USED: lambda n: 180 - n.answer.degrees,
        },
    ),
    Question(
        "angle to the cross slide",
        "parallel lines",
        lambda shop: shop.included_angle(),
        _FOLLOWS_THE_WALL + "The cross slide travels square to the spindle axis. What is the acute "
        "angle between the two slides?",
        TO_THE_SECOND,
        lambda n: {"answer": n.half.complement()},
        _PARALLEL.asking("angle between compound slide and cross slide", "included_angle"),
        (
            "With the spindle axis the compound slide makes the half angle: {included_angle} / 2 = "
            "{half}.",
            "The cross slide is square to the axis, so the two angles make 90° together.",
            "90° − {half} = {answer}.",
        ),
        _from_square,
        _FROM_SQUARE,
        (
            "What angle do the axis and the cross slide make with each other?",
            "Find the half angle at the axis; the other angle is what is left of 90°.",
        ),
        further={
            SUPPLEMENT_USED: lambda n: 180 - n.answer.degrees,
        },
    ),
    _base_reading(
        "parallel",
        "Parallel to the bed is parallel to the axis, so the base shows the half angle itself.",
        "Zero is parallel to the axis, so the base counts from the same line as the half angle.",
        lambda who: who.half,
        *_FROM_THE_AXIS,
    ),
    _base_reading(
        "square",
        "Counted from square to the bed it is 90° − {half} = {answer}.",
        "Zero is square to the axis, so the base shows what is left of 90°.",
        _from_square,
        *_FROM_SQUARE,
    ),
    Question(
        "included angle from the base",
        "base zero",
        _draw_base,
        "On this lathe the compound base reads zero when the slide stands square to the bed. "
        "Somebody has left it at {base_reading}. What included angle would the lathe cut now?",
        TO_THE_SECOND,
        _from_the_base,
        _BASE.asking("included_angle", "base_reading"),
        (
            "Counted from the axis the slide stands at 90° − {base_reading} = {half}.",
            "That is the half angle; the included angle is twice it.",
            "2 × {half} = {answer}.",
        ),
        _from_the_base_slipped,
        (COMPLEMENT_NOT_USED, INCLUDED_AS_HALF, MINUTES_AS_DECIMALS),
        (
            "From which line does the base count, and how many walls has a cone?",
            "Take the reading from 90° to have the half angle, then double it.",
        ),
        further={
            SUPPLEMENT_USED: lambda n: 90 + n.half.degrees,
            INVERSE_OPERATION: lambda n: n.half.degrees / 2,
        },
    ),
)
