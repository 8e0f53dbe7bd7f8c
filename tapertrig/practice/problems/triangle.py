"""The setup triangle and the dials that show its sides."""

from __future__ import annotations

import math

from tapertrig.lathe import Dial
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
    Given,
    Slips,
    arcsine,
    cosine,
    dial_factor,
    half_angle_from_given,
    half_angle_stated,
    sine,
    tangent,
)
from tapertrig.practice.question import (
    TO_THE_MINUTE,
    Asked,
    Figure,
    Question,
    figure,
    length_within,
)
from tapertrig.practice.shop import Shop, dial_numbers, dial_words, included_angle, show_included
from tapertrig.setup import axial_travel, cross_travel, cross_travel_by_carriage, half_angle_from

_ANGLE = (INCLUDED_AS_HALF, HALVED_AGAIN, MINUTES_AS_DECIMALS, RADIANS)
_SINE = (COSINE_FOR_SINE, TANGENT_FOR_SINE)
_DIAL = (DIAMETER_AS_RADIUS, RADIUS_AS_DIAMETER)


def _triangle_figure(
    travel: float, half_degrees: float, labels: dict[str, str], asked: str
) -> Figure:
    return figure(
        "setup triangle",
        "The setup triangle: compound travel as the hypotenuse, cross travel opposite the half "
        "angle, axial travel beside it along the spindle axis.",
        {"compound_travel": travel, "half_angle": half_degrees},
        labels,
        asked,
    )


def _cross_travel(shop: Shop) -> Asked:
    given = shop.included_angle()
    travel = shop.compound_travel()
    half, shown = included_angle(given).half(), show_included(given)
    answer = cross_travel(travel, half)
    return Asked(
        given={**given, "compound_travel": travel},
        text=f"The included angle is {shown}. You run the compound slide through "
        f"{shop.show(travel)}. How far must the cross slide move to bring the indicator back to "
        "null?",
        precision=length_within(shop.unit, 0.001, 0.02),
        answer=answer,
        figure=_triangle_figure(
            travel,
            half.degrees,
            {"included_angle": shown, "compound_travel": shop.show(travel)},
            "cross_travel",
        ),
        steps=(
            f"Half angle: {shown} / 2 = {half}.",
            "The cross travel lies opposite the half angle, the compound travel is the hypotenuse: "
            "cross travel = compound travel × sin α.",
            f"{shop.show(travel)} × {math.sin(half.radians):.6f} = {shop.show(answer, 1)}.",
        ),
    )


def _cross_travel_slipped(given: Given, slips: Slips) -> float:
    return given["compound_travel"] * sine(half_angle_from_given(given, slips), slips)


def _compound_travel_wanted(shop: Shop) -> Asked:
    given = shop.included_angle()
    half, shown = included_angle(given).half(), show_included(given)
    wanted = shop.length((0.8, 2.4, 0.05), (20, 60, 1))
    # The travel that gives this cross travel: the setup triangle, solved for its hypotenuse.
    answer = wanted / cross_travel(1.0, half)
    return Asked(
        given={**given, "cross_travel": wanted},
        text=f"The included angle is {shown}. You want the cross slide to move exactly "
        f"{shop.show(wanted)} in the check. How far must the compound slide travel?",
        precision=length_within(shop.unit, 0.001, 0.02),
        answer=answer,
        figure=_triangle_figure(
            answer,
            half.degrees,
            {"included_angle": shown, "cross_travel": shop.show(wanted)},
            "compound_travel",
        ),
        steps=(
            f"Half angle: {shown} / 2 = {half}.",
            "cross travel = compound travel × sin α, so compound travel = cross travel / sin α.",
            f"{shop.show(wanted)} / {math.sin(half.radians):.6f} = {shop.show(answer, 1)}.",
        ),
    )


def _compound_travel_wanted_slipped(given: Given, slips: Slips) -> float:
    return given["cross_travel"] / sine(half_angle_from_given(given, slips), slips)


def _half_angle_from_travels(shop: Shop) -> Asked:
    travel = shop.compound_travel()
    cross = shop.step(*shop.pick((0.6, 2.4, 0.001), (15, 62, 0.02)))
    if not 0.2 * travel < cross < 0.8 * travel:
        cross = round(travel * shop.step(0.25, 0.75, 0.05), shop.places)
    half = half_angle_from(travel, cross)
    return Asked(
        given={"compound_travel": travel, "cross_travel": cross},
        text=f"The compound slide travelled {shop.show(travel)}; the cross slide had to move "
        f"{shop.show(cross)} to bring the indicator back to null. At what half angle does the "
        "slide stand?",
        precision=TO_THE_MINUTE,
        answer=half.degrees,
        figure=_triangle_figure(
            travel,
            half.degrees,
            {"compound_travel": shop.show(travel), "cross_travel": shop.show(cross)},
            "half_angle",
        ),
        steps=(
            "sin α = cross travel / compound travel.",
            f"{shop.show(cross)} / {shop.show(travel)} = {cross / travel:.6f}.",
            f"α = arcsin {cross / travel:.6f} = {half}.",
        ),
    )


def _half_angle_from_travels_slipped(given: Given, slips: Slips) -> float:
    half = arcsine(given["cross_travel"] / given["compound_travel"], slips)
    return half_angle_stated(half, slips)


def _axial_travel(shop: Shop) -> Asked:
    given = shop.included_angle()
    travel = shop.compound_travel()
    half, shown = included_angle(given).half(), show_included(given)
    answer = axial_travel(travel, half)
    return Asked(
        given={**given, "compound_travel": travel},
        text=f"The included angle is {shown}. You run the compound slide through "
        f"{shop.show(travel)}. How far along the spindle axis does the tool go?",
        precision=length_within(shop.unit, 0.001, 0.02),
        answer=answer,
        figure=_triangle_figure(
            travel,
            half.degrees,
            {"included_angle": shown, "compound_travel": shop.show(travel)},
            "axial_travel",
        ),
        steps=(
            f"Half angle: {shown} / 2 = {half}.",
            "The axial travel lies beside the half angle: axial travel = compound travel × cos α.",
            f"{shop.show(travel)} × {math.cos(half.radians):.6f} = {shop.show(answer, 1)}.",
        ),
    )


def _axial_travel_slipped(given: Given, slips: Slips) -> float:
    return given["compound_travel"] * cosine(half_angle_from_given(given, slips), slips)


def _carriage_travel(shop: Shop) -> Asked:
    given = shop.included_angle(24, 84)
    carriage = shop.length((1.0, 2.5, 0.05), (25, 60, 1))
    half, shown = included_angle(given).half(), show_included(given)
    answer = cross_travel_by_carriage(carriage, half)
    return Asked(
        given={**given, "carriage_travel": carriage},
        text=f"A finished cone with an included angle of {shown} is checked by moving the "
        f"carriage, not the compound: an indicator rides on the wall while the carriage goes "
        f"{shop.show(carriage)} along the axis. How far must the cross slide move to keep the "
        "indicator at null?",
        precision=length_within(shop.unit, 0.001, 0.02),
        answer=answer,
        figure=_triangle_figure(
            carriage / math.cos(half.radians),
            half.degrees,
            {"included_angle": shown, "axial_travel": shop.show(carriage)},
            "cross_travel",
        ),
        steps=(
            f"Half angle: {shown} / 2 = {half}.",
            "The carriage runs along the axis, beside the half angle: "
            "cross travel = carriage travel × tan α.",
            f"{shop.show(carriage)} × {math.tan(half.radians):.6f} = {shop.show(answer, 1)}.",
        ),
    )


def _carriage_travel_slipped(given: Given, slips: Slips) -> float:
    return given["carriage_travel"] * tangent(half_angle_from_given(given, slips), slips)


def _dial_figure(dial: Dial, labels: dict[str, str], asked: str) -> Figure:
    return figure(
        "dial",
        f"A cross-slide dial that reads {dial.reads}, beside the slide it moves.",
        {
            "graduation": dial.graduation,
            "per_turn": dial.per_turn,
            "reads": dial.reads,
        },
        labels,
        asked,
    )


def _turns_words(dial: Dial, reading: float) -> str:
    split = dial.split(reading)
    lines = split.graduations + split.remainder / dial.graduation
    turn_word = "turn" if split.turns == 1 else "turns"
    return f"{split.turns} {turn_word} + {lines:.1f} graduations"


def _reading_for_movement(shop: Shop) -> Asked:
    dial = shop.cross_dial()
    movement = shop.step(*shop.pick((0.15, 1.6, 0.0005), (4, 40, 0.01)))
    reading = dial.reading(movement)
    return Asked(
        given={**dial_numbers(dial), "movement": movement},
        text=f"{dial_words(dial, shop.unit)} Starting from zero, how far round must the dial be "
        f"turned for the slide to move {shop.show(movement, 1)}? You may also answer in turns + "
        "graduations.",
        precision=length_within(shop.unit, 0.001, 0.02),
        answer=reading,
        figure=_dial_figure(dial, {"movement": shop.show(movement, 1)}, "reading"),
        steps=(
            f"A dial that reads {dial.reads} shows {dial.factor} × the slide movement.",
            f"{dial.factor} × {shop.show(movement, 1)} = {shop.show(reading, 1)}.",
            f"On this dial that is {_turns_words(dial, reading)}.",
        ),
        dial=dial,
    )


def _reading_for_movement_slipped(given: Given, slips: Slips) -> float:
    return given["movement"] * dial_factor(given, slips)


def _movement_for_turns(shop: Shop) -> Asked:
    dial = shop.cross_dial()
    turns = int(shop.step(2, 9, 1))
    lines = int(shop.step(1, dial.graduations_per_turn - 1, 1))
    reading = round(turns * dial.per_turn + lines * dial.graduation, 6)
    movement = dial.movement(reading)
    return Asked(
        given={**dial_numbers(dial), "turns": turns, "graduations": lines},
        text=f"{dial_words(dial, shop.unit)} You turned it {turns} turns and {lines} graduations "
        "from zero, all in one direction. How far did the slide move?",
        precision=length_within(shop.unit, 0.001, 0.02),
        answer=movement,
        figure=_dial_figure(dial, {"reading": f"{turns} turns + {lines} graduations"}, "movement"),
        steps=(
            f"Reading: {turns} × {dial.per_turn:g} + {lines} × {dial.graduation:g} = "
            f"{shop.show(reading)}.",
            f"A dial that reads {dial.reads} shows {dial.factor} × the slide movement.",
            f"{shop.show(reading)} / {dial.factor} = {shop.show(movement, 1)}.",
        ),
    )


def _movement_for_turns_slipped(given: Given, slips: Slips) -> float:
    reading = (
        given["turns"] * given["dial_per_turn"] + given["graduations"] * given["dial_graduation"]
    )
    return reading / dial_factor(given, slips)


def _reading_for_setup(shop: Shop) -> Asked:
    dial = shop.cross_dial()
    given = shop.included_angle()
    travel = shop.compound_travel()
    half, shown = included_angle(given).half(), show_included(given)
    cross = cross_travel(travel, half)
    reading = dial.reading(cross)
    return Asked(
        given={**given, **dial_numbers(dial), "compound_travel": travel},
        text=f"The included angle is {shown}; the compound slide travels {shop.show(travel)}. "
        f"{dial_words(dial, shop.unit)} What will it read from zero when the indicator is back at "
        "null? You may also answer in turns + graduations.",
        precision=length_within(shop.unit, 0.001, 0.02),
        answer=reading,
        figure=_dial_figure(
            dial, {"included_angle": shown, "compound_travel": shop.show(travel)}, "reading"
        ),
        steps=(
            f"Half angle: {shown} / 2 = {half}.",
            f"Cross travel: {shop.show(travel)} × sin {half} = {shop.show(cross, 2)}.",
            f"A dial that reads {dial.reads} shows {dial.factor} × that: {shop.show(reading, 1)}, "
            f"or {_turns_words(dial, reading)}.",
        ),
        dial=dial,
    )


def _reading_for_setup_slipped(given: Given, slips: Slips) -> float:
    return _cross_travel_slipped(given, slips) * dial_factor(given, slips)


_TRIANGLE_HINTS = (
    "Draw the setup triangle. Which side do you know, which do you want, and where is the half "
    "angle?",
    "The compound travel is the hypotenuse; opposite the half angle stands the cross travel. "
    "Which function joins those two?",
)
_DIAL_HINTS = (
    "What does this dial show when the slide moves by one graduation's worth?",
    "Read radius as slide movement, diameter as twice the slide movement; then count turns and "
    "graduations.",
)

QUESTIONS = (
    Question(
        "cross travel",
        "setup triangle",
        _cross_travel,
        _cross_travel_slipped,
        (*_ANGLE, *_SINE, COMPLEMENT_USED),
        *_TRIANGLE_HINTS,
    ),
    Question(
        "compound travel",
        "setup triangle",
        _compound_travel_wanted,
        _compound_travel_wanted_slipped,
        (*_ANGLE, *_SINE, COMPLEMENT_USED),
        *_TRIANGLE_HINTS,
    ),
    Question(
        "half angle from the travels",
        "setup triangle",
        _half_angle_from_travels,
        _half_angle_from_travels_slipped,
        (*_SINE, RADIANS, INCLUDED_AS_HALF, HALVED_AGAIN, COMPLEMENT_USED),
        *_TRIANGLE_HINTS,
    ),
    Question(
        "axial travel",
        "setup triangle",
        _axial_travel,
        _axial_travel_slipped,
        (*_ANGLE, COMPLEMENT_USED),
        _TRIANGLE_HINTS[0],
        "The axial travel lies beside the half angle, along the axis. Which function joins it to "
        "the hypotenuse?",
    ),
    Question(
        "cross travel when the carriage moves",
        "setup triangle",
        _carriage_travel,
        _carriage_travel_slipped,
        (*_ANGLE, COMPLEMENT_USED),
        _TRIANGLE_HINTS[0],
        "The carriage runs along the axis, beside the half angle; the cross travel stands "
        "opposite. Which function joins those two?",
    ),
    Question(
        "reading for a movement",
        "dials",
        _reading_for_movement,
        _reading_for_movement_slipped,
        _DIAL,
        *_DIAL_HINTS,
    ),
    Question(
        "movement for a reading",
        "dials",
        _movement_for_turns,
        _movement_for_turns_slipped,
        _DIAL,
        *_DIAL_HINTS,
    ),
    Question(
        "reading for a setup",
        "dials",
        _reading_for_setup,
        _reading_for_setup_slipped,
        (*_DIAL, *_ANGLE, *_SINE, COMPLEMENT_USED),
        "Two steps: how far must the slide move, and what does the dial show for that?",
        "Compound travel times the sine of the half angle is the slide movement; a dial that "
        "reads diameter shows twice that.",
    ),
)
