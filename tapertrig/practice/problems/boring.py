"""Boring to size: what opens the face diameter, what does not, and what facing off does to it."""

from __future__ import annotations

import math

from tapertrig.boring import carriage_to_change, cross_to_change, face_diameter_change
from tapertrig.cone import Cone
from tapertrig.practice.mistakes import (
    COMPLEMENT_USED,
    COMPOUND_FEED,
    DIAMETER_AS_RADIUS,
    HALVED_AGAIN,
    INCLUDED_AS_HALF,
    MINUTES_AS_DECIMALS,
    RADIANS,
    RADIUS_AS_DIAMETER,
    TAPER_ON_RADIUS,
    Given,
    Slips,
    dial_factor,
    half_angle_from_given,
    sine,
    tangent,
)
from tapertrig.practice.question import Asked, Figure, Question, figure, length_within
from tapertrig.practice.shop import Shop, dial_numbers, dial_words, included_angle, show_included

_ANGLE = (INCLUDED_AS_HALF, HALVED_AGAIN, COMPLEMENT_USED, RADIANS, MINUTES_AS_DECIMALS)


def _bore_figure(cone: Cone, labels: dict[str, str], asked: str) -> Figure:
    return figure(
        "bore",
        "A bored cone in section with its large end at the face, and the boring tool at its wall.",
        {"half_angle": cone.half_angle.degrees, "face_diameter": cone.face_diameter},
        labels,
        asked,
    )


def _undersize(shop: Shop) -> tuple[dict[str, float], Cone, str]:
    """A cone bored too small: its numbers, the cone as it is now, and the sentences."""
    given = shop.included_angle(30, 96)
    wanted = shop.length((1.0, 2.0, 0.05), (26, 50, 0.5))
    missing = shop.length((0.05, 0.2, 0.002), (1.2, 5.0, 0.02))
    now = round(wanted - missing, 6)
    numbers = {**given, "face_diameter_now": now, "face_diameter_wanted": wanted}
    text = (
        f"A bored cone with an included angle of {show_included(given)} has a face diameter of "
        f"{shop.show(now)} now and shall have {shop.show(wanted)}."
    )
    return numbers, Cone(included_angle(given).half(), now), text


def _labels(given: Given, shop: Shop) -> dict[str, str]:
    return {
        "included_angle": show_included(given),
        "face_diameter": shop.show(given["face_diameter_now"]),
        "face_diameter_wanted": shop.show(given["face_diameter_wanted"]),
    }


def _missing(given: Given) -> float:
    return given["face_diameter_wanted"] - given["face_diameter_now"]


def _with_cross_slide(shop: Shop) -> Asked:
    given, cone, text = _undersize(shop)
    dial = shop.cross_dial()
    given = {**given, **dial_numbers(dial)}
    missing = _missing(given)
    answer = dial.reading(cross_to_change(missing))
    return Asked(
        given=given,
        text=f"{text} The compound and the carriage stay where they are; only the cross slide is "
        f"moved. {dial_words(dial, shop.unit)} How far must it be turned? You may also answer in "
        "turns + graduations.",
        precision=length_within(shop.unit, 0.0002, 0.005),
        answer=answer,
        figure=_bore_figure(cone, _labels(given, shop), "cross_reading"),
        steps=(
            f"The diameter must grow by {shop.show(missing)}, so each wall moves by half of it: "
            f"{shop.show(missing / 2, 1)}.",
            f"A dial that reads {dial.reads} shows {dial.factor} × that: {shop.show(answer, 1)}.",
        ),
        dial=dial,
    )


def _with_cross_slide_slipped(given: Given, slips: Slips) -> float:
    if COMPOUND_FEED in slips:
        return _missing(given) / 2 / math.sin(math.radians(half_angle_from_given(given, slips)))
    return _missing(given) / 2 * dial_factor(given, slips)


def _with_carriage(shop: Shop) -> Asked:
    given, cone, text = _undersize(shop)
    missing = _missing(given)
    answer = carriage_to_change(cone, missing)
    tan = math.tan(cone.half_angle.radians)
    return Asked(
        given=given,
        text=f"{text} The compound and the cross slide stay where they are; only the carriage is "
        "moved, towards the headstock. How far?",
        precision=length_within(shop.unit, 0.0002, 0.005),
        answer=answer,
        figure=_bore_figure(cone, _labels(given, shop), "carriage_travel"),
        steps=(
            f"Half angle: {show_included(given)} / 2 = {cone.half_angle}; its tangent is "
            f"{tan:.6f}.",
            f"The diameter must grow by {shop.show(missing)}; for each unit along the axis it "
            f"grows by 2 tan α = {2 * tan:.6f}.",
            f"{shop.show(missing)} / {2 * tan:.6f} = {shop.show(answer, 2)}.",
        ),
    )


def _with_carriage_slipped(given: Given, slips: Slips) -> float:
    half = half_angle_from_given(given, slips)
    walls = 1 if TAPER_ON_RADIUS in slips else 2
    along = sine if COMPOUND_FEED in slips else tangent
    return _missing(given) / (walls * along(half, slips))


def _with_compound(shop: Shop) -> Asked:
    given = shop.included_angle(30, 96)
    diameter = shop.length((1.0, 2.0, 0.05), (26, 50, 0.5))
    feed = shop.length((0.01, 0.06, 0.005), (0.2, 1.5, 0.05))
    cone = Cone(included_angle(given).half(), diameter)
    return Asked(
        given={**given, "face_diameter_now": diameter, "compound_feed": feed},
        text=f"A bored cone with an included angle of {show_included(given)} has a face diameter "
        f"of {shop.show(diameter)}. Carriage and cross slide are locked. You set the tool at the "
        f"wall and run the compound slide {shop.show(feed)} further in. By how much does the face "
        "diameter change?",
        precision=length_within(shop.unit, 0.0002, 0.005),
        # The sum of opposite movements leaves rounding of the last place; adding 0 clears −0.
        answer=round(face_diameter_change(cone, compound=feed), 9) + 0.0,
        figure=_bore_figure(
            cone,
            {
                "included_angle": show_included(given),
                "face_diameter": shop.show(diameter),
                "compound_feed": shop.show(feed),
            },
            "change of face diameter",
        ),
        steps=(
            "The compound slide is set along the wall, so the tool runs along the cone it has "
            "already cut.",
            "It takes nothing off, however far it is fed: the change is 0.",
            "Size comes from the cross slide or from the carriage.",
        ),
    )


def _with_compound_slipped(given: Given, slips: Slips) -> float:
    if COMPOUND_FEED not in slips:
        return 0.0
    return 2 * given["compound_feed"] * sine(half_angle_from_given(given, slips), slips)


def _after_facing(shop: Shop) -> Asked:
    given = shop.included_angle(30, 96)
    diameter = shop.length((1.0, 2.0, 0.05), (26, 50, 0.5))
    faced = shop.length((0.03, 0.12, 0.005), (0.8, 3.0, 0.1))
    cone = Cone(included_angle(given).half(), diameter)
    answer = diameter + face_diameter_change(cone, faced_off=faced)
    tan = math.tan(cone.half_angle.radians)
    return Asked(
        given={**given, "face_diameter_now": diameter, "faced_off": faced},
        text=f"A bored cone with an included angle of {show_included(given)} has its large end, "
        f"{shop.show(diameter)}, at the face. Now {shop.show(faced)} is faced off. What is the "
        "face diameter then?",
        precision=length_within(shop.unit, 0.0005, 0.01),
        answer=answer,
        figure=_bore_figure(
            cone,
            {
                "included_angle": show_included(given),
                "face_diameter": shop.show(diameter),
                "faced_off": shop.show(faced),
            },
            "face diameter after facing",
        ),
        steps=(
            f"Half angle: {show_included(given)} / 2 = {cone.half_angle}; its tangent is "
            f"{tan:.6f}.",
            f"The diameter shrinks by 2 × {shop.show(faced)} × {tan:.6f} = "
            f"{shop.show(diameter - answer, 2)}.",
            f"{shop.show(diameter)} − {shop.show(diameter - answer, 2)} = {shop.show(answer, 1)}.",
        ),
    )


def _after_facing_slipped(given: Given, slips: Slips) -> float:
    walls = 1 if TAPER_ON_RADIUS in slips else 2
    tan = tangent(half_angle_from_given(given, slips), slips)
    return given["face_diameter_now"] - walls * given["faced_off"] * tan


_WALL_HINT = "How far must one wall move, square to the axis?"

QUESTIONS = (
    Question(
        "opening with the cross slide",
        "boring to size",
        _with_cross_slide,
        _with_cross_slide_slipped,
        (DIAMETER_AS_RADIUS, RADIUS_AS_DIAMETER, COMPOUND_FEED),
        _WALL_HINT,
        "Each wall moves by half of the change of diameter; then ask what this dial shows for it.",
    ),
    Question(
        "opening with the carriage",
        "boring to size",
        _with_carriage,
        _with_carriage_slipped,
        (COMPOUND_FEED, TAPER_ON_RADIUS, *_ANGLE),
        _WALL_HINT,
        "Half the change of diameter stands opposite the half angle, the carriage travel beside "
        "it. Which function joins those two?",
    ),
    Question(
        "feeding the compound",
        "boring to size",
        _with_compound,
        _with_compound_slipped,
        (COMPOUND_FEED,),
        "Along which line does the tool go when only the compound is fed?",
        "Compare the line of the compound slide with the wall of the cone.",
    ),
    Question(
        "face diameter after facing",
        "boring to size",
        _after_facing,
        _after_facing_slipped,
        # A cut this thin hides minutes typed as decimals within the tolerance.
        (TAPER_ON_RADIUS, INCLUDED_AS_HALF, HALVED_AGAIN, COMPLEMENT_USED, RADIANS),
        "How wide is the cone a little below its face?",
        "For each unit of depth the diameter shrinks by twice the tangent of the half angle.",
    ),
)
