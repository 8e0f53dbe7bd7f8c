"""Angle units, parallel lines, base zero: problems whose answer is an angle of the cone itself."""

from __future__ import annotations

from tapertrig.angle import Angle
from tapertrig.lathe import Dial, Lathe
from tapertrig.practice.mistakes import (
    COMPLEMENT_NOT_USED,
    COMPLEMENT_USED,
    HALVED_AGAIN,
    INCLUDED_AS_HALF,
    MINUTES_AS_DECIMALS,
    Given,
    Slips,
    half_angle_from_given,
    typed_angle,
)
from tapertrig.practice.question import (
    DECIMAL_DEGREES,
    TO_THE_SECOND,
    Asked,
    Figure,
    Question,
    figure,
)
from tapertrig.practice.shop import Shop, included_angle, show_included

_ANGLE_MISTAKES = (INCLUDED_AS_HALF, HALVED_AGAIN, COMPLEMENT_USED, MINUTES_AS_DECIMALS)
_HALVE = (
    "A cone has two walls, and the slide follows one of them. What share of the whole angle is "
    "that?",
    "Halve degrees and minutes separately; an odd degree leaves 30′, an odd minute 30″.",
)


def _angle_figure(half: Angle, labels: dict[str, str], asked: str) -> Figure:
    return figure(
        "angle",
        "A cone seen from the side with its axis; the included angle runs from wall to wall, the "
        "half angle from axis to wall.",
        {"half_angle": half.degrees},
        labels,
        asked,
    )


def _half_angle(shop: Shop) -> Asked:
    given = shop.included_angle(20, 120)
    half = included_angle(given).half()
    shown = show_included(given)
    degrees, minutes = given["included_degrees"], given["included_minutes"]
    return Asked(
        given=given,
        text=f"The print gives an included angle of {shown}. What half angle must the compound "
        "slide make with the spindle axis?",
        precision=TO_THE_SECOND,
        answer=half.degrees,
        figure=_angle_figure(half, {"included_angle": shown}, "half_angle"),
        steps=(
            "The half angle is the included angle divided by 2.",
            f"{degrees}° / 2 = {degrees // 2}°{30 * (degrees % 2):02d}′ and {minutes}′ / 2 = "
            f"{minutes // 2}′{30 * (minutes % 2):02d}″.",
            f"Together: {half}.",
        ),
    )


def _half_angle_slipped(given: Given, slips: Slips) -> float:
    return half_angle_from_given(given, slips)


def _half_angle_in_decimals(shop: Shop) -> Asked:
    degrees, minutes = shop.angle(10, 60)
    half = Angle.from_dms(degrees, minutes)
    shown = half.dm()
    return Asked(
        given={"half_degrees": degrees, "half_minutes": minutes},
        text=f"The half angle is {shown}. Your calculator takes decimal degrees. What do you type?",
        precision=DECIMAL_DEGREES,
        answer=half.degrees,
        figure=_angle_figure(half, {"half_angle": shown}, "half_angle_in_decimals"),
        steps=(
            "Minutes are sixtieths of a degree.",
            f"{minutes}′ = {minutes}/60 = {minutes / 60:.4f}°.",
            f"{degrees}° + {minutes / 60:.4f}° = {half.degrees:.4f}°.",
        ),
    )


def _half_angle_in_decimals_slipped(given: Given, slips: Slips) -> float:
    half = typed_angle(given["half_degrees"], given["half_minutes"], slips)
    return half / 2 if HALVED_AGAIN in slips else half


def _half_angle_from_decimals(shop: Shop) -> Asked:
    # Below 0.60° a decimal can be mistaken for minutes; the mistake must be possible.
    hundredths = int(shop.step(5, 59, 1))
    included = round(int(shop.step(20, 110, 1)) + hundredths / 100, 2)
    half = Angle.from_degrees(included).half()
    return Asked(
        given={"included_decimal": included},
        text=f"A drawing made on a computer gives an included angle of {included:.2f}°. What half "
        "angle is that in degrees, minutes and seconds?",
        precision=TO_THE_SECOND,
        answer=half.degrees,
        figure=_angle_figure(half, {"included_angle": f"{included:.2f}°"}, "half_angle"),
        steps=(
            f"Halve first: {included:.2f}° / 2 = {half.degrees:.3f}°.",
            f"The part after the point is in degrees; times 60 makes minutes: "
            f"{half.degrees % 1:.3f} × 60 = {half.degrees % 1 * 60:.2f}′.",
            f"That is {half}.",
        ),
    )


def _half_angle_from_decimals_slipped(given: Given, slips: Slips) -> float:
    whole, hundredths = divmod(round(given["included_decimal"] * 100), 100)
    divisor = 60 if MINUTES_AS_DECIMALS in slips else 100
    included = whole + hundredths / divisor
    half = included if INCLUDED_AS_HALF in slips else included / 2
    half = half / 2 if HALVED_AGAIN in slips else half
    return 90 - half if COMPLEMENT_USED in slips else half


def _parallel_figure(half: Angle, shown: str, asked: str) -> Figure:
    return figure(
        "parallel lines",
        "The spindle axis and the side of the tailstock quill, parallel to each other, both cut "
        "by the slanting line of the compound slide.",
        {"half_angle": half.degrees},
        {"included_angle": shown},
        asked,
    )


def _angle_at_the_quill(shop: Shop) -> Asked:
    given = shop.included_angle()
    half, shown = included_angle(given).half(), show_included(given)
    line = shop.one_of(("the side of the tailstock quill", "the bed ways", "the tailstock axis"))
    return Asked(
        given=given,
        text=f"The compound slide is set to follow the wall of a cone with an included angle of "
        f"{shown}. Its line runs on and cuts {line}, parallel to the spindle axis. What is "
        "the acute angle between them?",
        precision=TO_THE_SECOND,
        answer=half.degrees,
        figure=_parallel_figure(half, shown, "acute angle at the parallel line"),
        steps=(
            f"The slide makes the half angle with the spindle axis: {shown} / 2 = {half}.",
            "Corresponding angles at parallel lines are equal.",
            f"So the angle is {half}.",
        ),
    )


def _obtuse_angle(shop: Shop) -> Asked:
    given = shop.included_angle()
    half, shown = included_angle(given).half(), show_included(given)
    answer = Angle.from_degrees(180) - half
    return Asked(
        given=given,
        text=f"The compound slide is set to follow the wall of a cone with an included angle of "
        f"{shown}. Where its line cuts the side of the tailstock quill, parallel to the "
        "spindle axis, there are two acute angles and two obtuse ones. How large is an obtuse one?",
        precision=TO_THE_SECOND,
        answer=answer.degrees,
        figure=_parallel_figure(half, shown, "obtuse angle at the parallel line"),
        steps=(
            "The acute angle at the quill equals the half angle at the axis: "
            f"{shown} / 2 = {half}.",
            "Neighbouring angles on one line make 180° together.",
            f"180° − {half} = {answer}.",
        ),
    )


def _obtuse_angle_slipped(given: Given, slips: Slips) -> float:
    return 180 - half_angle_from_given(given, slips)


def _angle_to_the_cross_slide(shop: Shop) -> Asked:
    given = shop.included_angle()
    half, shown = included_angle(given).half(), show_included(given)
    return Asked(
        given=given,
        text=f"The compound slide is set to follow the wall of a cone with an included angle of "
        f"{shown}. The cross slide travels square to the spindle axis. What is the acute angle "
        "between the two slides?",
        precision=TO_THE_SECOND,
        answer=half.complement().degrees,
        figure=_parallel_figure(half, shown, "angle between compound slide and cross slide"),
        steps=(
            f"With the spindle axis the compound slide makes the half angle: {shown} / 2 = {half}.",
            "The cross slide is square to the axis, so the two angles make 90° together.",
            f"90° − {half} = {half.complement()}.",
        ),
    )


def _complement_slipped(given: Given, slips: Slips) -> float:
    half = half_angle_from_given(given, slips)
    return half if COMPLEMENT_NOT_USED in slips else 90 - half


def _lathe(shop: Shop, base_zero: str) -> Lathe:
    inch, mm = Dial(0.001, 0.1), Dial(0.02, 4)
    dial = shop.pick(inch, mm)
    return Lathe(shop.unit, shop.pick(4.0, 100.0), dial, dial, base_zero)


def _base_figure(base_zero: str, half: Angle, label: tuple[str, str], asked: str) -> Figure:
    return figure(
        "base",
        f"The compound base from above, its scale at zero when the slide stands {base_zero}.",
        {"base_zero": base_zero, "half_angle": half.degrees},
        dict([label]),
        asked,
    )


def _base_reading(shop: Shop, base_zero: str) -> Asked:
    given = shop.included_angle()
    half, shown = included_angle(given).half(), show_included(given)
    reading = _lathe(shop, base_zero).base_reading(half)
    stands = {
        "parallel to bed": "parallel to the bed",
        "square to bed": "square to the bed",
    }[base_zero]
    last = (
        "Parallel to the bed is parallel to the axis, so the base shows the half angle itself."
        if base_zero == "parallel to bed"
        else f"Counted from square to the bed it is 90° − {half} = {reading}."
    )
    return Asked(
        given=given,
        text=f"On this lathe the compound base reads zero when the slide stands {stands}. You "
        f"want a cone with an included angle of {shown}. What must the base read?",
        precision=TO_THE_SECOND,
        answer=reading.degrees,
        figure=_base_figure(base_zero, half, ("included_angle", shown), "base_reading"),
        steps=(f"Half angle: {shown} / 2 = {half}.", last, f"Base reading: {reading}."),
    )


def _reading_zero_parallel(shop: Shop) -> Asked:
    return _base_reading(shop, "parallel to bed")


def _reading_zero_square(shop: Shop) -> Asked:
    return _base_reading(shop, "square to bed")


def _included_from_base(shop: Shop) -> Asked:
    degrees, minutes = shop.angle(35, 80)
    reading = Angle.from_dms(degrees, minutes)
    half = _lathe(shop, "square to bed").half_angle_at(reading)
    return Asked(
        given={"base_degrees": degrees, "base_minutes": minutes},
        text="On this lathe the compound base reads zero when the slide stands square to the bed. "
        f"Somebody has left it at {reading.dm()}. What included angle would the lathe cut now?",
        precision=TO_THE_SECOND,
        answer=half.double().degrees,
        figure=_base_figure(
            "square to bed", half, ("base_reading", reading.dm()), "included_angle"
        ),
        steps=(
            f"Counted from the axis the slide stands at 90° − {reading.dm()} = {half}.",
            "That is the half angle; the included angle is twice it.",
            f"2 × {half} = {half.double()}.",
        ),
    )


def _included_from_base_slipped(given: Given, slips: Slips) -> float:
    reading = typed_angle(given["base_degrees"], given["base_minutes"], slips)
    half = reading if COMPLEMENT_NOT_USED in slips else 90 - reading
    return half if INCLUDED_AS_HALF in slips else 2 * half


_SUPPLEMENT = (
    "Which angles are equal where one line cuts two parallel lines, and which make a straight "
    "line together?",
    "Find the half angle at the axis first, carry it to the quill, then see what is left of 180°.",
)
_SQUARE = (
    "What angle do the axis and the cross slide make with each other?",
    "Find the half angle at the axis; the other angle is what is left of 90°.",
)

QUESTIONS = (
    Question(
        "half angle from included",
        "angle units",
        _half_angle,
        _half_angle_slipped,
        _ANGLE_MISTAKES,
        *_HALVE,
    ),
    Question(
        "half angle in decimals",
        "angle units",
        _half_angle_in_decimals,
        _half_angle_in_decimals_slipped,
        (MINUTES_AS_DECIMALS, HALVED_AGAIN),
        "How many minutes make one degree?",
        "Divide the minutes by 60 and add them to the whole degrees.",
    ),
    Question(
        "half angle from decimals",
        "angle units",
        _half_angle_from_decimals,
        _half_angle_from_decimals_slipped,
        _ANGLE_MISTAKES,
        "What does a hundredth of a degree come to in minutes?",
        "Halve first; then multiply what stands after the point by 60 to get minutes.",
        {
            MINUTES_AS_DECIMALS: (
                "Are the two figures after the point minutes?",
                "The figures after the point are hundredths of a degree, not minutes: 0.30° is "
                "0.30 × 60 = 18′.",
            )
        },
    ),
    Question(
        "angle at the quill",
        "parallel lines",
        _angle_at_the_quill,
        _half_angle_slipped,
        _ANGLE_MISTAKES,
        "Which angles are equal where one line cuts two parallel lines?",
        "Find the angle at the spindle axis; the corresponding angle at the other line equals it.",
    ),
    Question(
        "obtuse angle at the quill",
        "parallel lines",
        _obtuse_angle,
        _obtuse_angle_slipped,
        _ANGLE_MISTAKES,
        *_SUPPLEMENT,
    ),
    Question(
        "angle to the cross slide",
        "parallel lines",
        _angle_to_the_cross_slide,
        _complement_slipped,
        (COMPLEMENT_NOT_USED, INCLUDED_AS_HALF, HALVED_AGAIN, MINUTES_AS_DECIMALS),
        *_SQUARE,
    ),
    Question(
        "base reading, zero parallel",
        "base zero",
        _reading_zero_parallel,
        _half_angle_slipped,
        _ANGLE_MISTAKES,
        "How does the slide stand when the base reads zero, and from which line does the half "
        "angle count?",
        "Zero is parallel to the axis, so the base counts from the same line as the half angle.",
    ),
    Question(
        "base reading, zero square",
        "base zero",
        _reading_zero_square,
        _complement_slipped,
        (COMPLEMENT_NOT_USED, INCLUDED_AS_HALF, HALVED_AGAIN, MINUTES_AS_DECIMALS),
        "How does the slide stand when the base reads zero, and from which line does the half "
        "angle count?",
        "Zero is square to the axis, so the base shows what is left of 90°.",
    ),
    Question(
        "included angle from the base",
        "base zero",
        _included_from_base,
        _included_from_base_slipped,
        (COMPLEMENT_NOT_USED, INCLUDED_AS_HALF, MINUTES_AS_DECIMALS),
        "From which line does the base count, and how many walls has a cone?",
        "Take the reading from 90° to have the half angle, then double it.",
    ),
)
