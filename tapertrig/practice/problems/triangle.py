"""The setup triangle and the dials that show its sides."""

from __future__ import annotations

from typing import Any

from tapertrig.angle import Angle
from tapertrig.lathe import Dial
from tapertrig.practice.mistakes import (
    COMPLEMENT_USED,
    DIAL,
    HALVED_AGAIN,
    INCLUDED_AS_HALF,
    INVERSE_OPERATION,
    MINUTES_AS_DECIMALS,
    RADIANS,
    SINE,
    SINE_FOR_TANGENT,
)
from tapertrig.practice.question import (
    HALVED,
    TO_THE_MINUTE,
    TWICE_OR_ONCE,
    Numbers,
    Picture,
    Question,
    lengths_within,
)
from tapertrig.practice.shop import Shop, dial_numbers
from tapertrig.setup import axial_travel, cross_travel, cross_travel_by_carriage, half_angle_from

_ANGLE = (INCLUDED_AS_HALF, HALVED_AGAIN, MINUTES_AS_DECIMALS, RADIANS)
_WITHIN = lengths_within(0.001, 0.02)

_TRIANGLE = Picture(
    "setup triangle",
    "The setup triangle: compound travel as the hypotenuse, cross travel opposite the half "
    "angle, axial travel beside it along the spindle axis.",
    lambda n: {"compound_travel": n.compound_travel, "half_angle": n.half.degrees},
)
_COLLAR = Picture(
    "dial",
    "A cross-slide dial that reads {dial.reads}, beside the slide it moves.",
    lambda n: {
        "graduation": n.dial_graduation,
        "per_turn": n.dial_per_turn,
        "reads": n.dial.reads,
    },
)
_TRIANGLE_IDEA = (
    "Draw the setup triangle. Which side do you know, which do you want, and where is the half "
    "angle?"
)
_TRIANGLE_HINTS = (
    _TRIANGLE_IDEA,
    "The compound travel is the hypotenuse; opposite the half angle stands the cross travel. "
    "Which function joins those two?",
)
_DIAL_HINTS = (
    "What does this dial show when the slide moves by one graduation's worth?",
    "Read radius as slide movement, diameter as twice the slide movement; then count turns and "
    "graduations.",
)


def _angle_and_travel(shop: Shop) -> dict[str, float]:
    return {**shop.included_angle(), "compound_travel": shop.compound_travel()}


def _angle_and_cross_travel(shop: Shop) -> dict[str, float]:
    # Drawn from a travel that the slide can make: a small angle would ask for twice its length.
    included = shop.included_angle()
    half = Angle.from_dms(included["included_degrees"], included["included_minutes"]).half()
    exact = cross_travel(shop.compound_travel(), half)
    step = shop.pick(0.05, 1.0)
    return {**included, "cross_travel": round(round(exact / step) * step, 6)}


def _compound_travel_wanted(n: Numbers) -> dict[str, Any]:
    # The travel that gives this cross travel: the setup triangle, solved for its hypotenuse.
    answer = n.cross_travel / cross_travel(1.0, n.half)
    return {"answer": answer, "compound_travel": answer}


def _two_travels(shop: Shop) -> dict[str, float]:
    travel = shop.compound_travel()
    cross = shop.step(*shop.pick((0.6, 2.4, 0.001), (15, 62, 0.02)))
    if not 0.2 * travel < cross < 0.8 * travel:
        cross = round(travel * shop.step(0.25, 0.75, 0.05), shop.places)
    return {"compound_travel": travel, "cross_travel": cross}


def _half_angle_from_travels(n: Numbers) -> dict[str, Any]:
    half = half_angle_from(n.compound_travel, n.cross_travel)
    return {"answer": half, "half": half, "ratio": n.cross_travel / n.compound_travel}


def _by_carriage(n: Numbers) -> dict[str, Any]:
    return {
        "answer": cross_travel_by_carriage(n.carriage_travel, n.half),
        "compound_travel": n.carriage_travel / n.cos,
    }


def _turned(dial: Dial, reading: float) -> str:
    split = dial.split(reading)
    lines = split.graduations + split.remainder / dial.graduation
    return f"{split.turns} {'turn' if split.turns == 1 else 'turns'} + {lines:.1f} graduations"


def _reading_for_movement(n: Numbers) -> dict[str, Any]:
    reading = n.dial.reading(n.movement)
    return {"answer": reading, "turned": _turned(n.dial, reading)}


def _turns_and_graduations(shop: Shop) -> dict[str, float]:
    dial = shop.cross_dial()
    turns = int(shop.step(2, 9, 1))
    lines = int(shop.step(1, dial.graduations_per_turn - 1, 1))
    return {**dial_numbers(dial), "turns": turns, "graduations": lines}


def _movement_for_turns(n: Numbers) -> dict[str, Any]:
    reading = round(n.turns * n.dial.per_turn + n.graduations * n.dial.graduation, 6)
    return {"answer": n.dial.movement(reading), "reading": reading}


def _reading_for_setup(n: Numbers) -> dict[str, Any]:
    cross = cross_travel(n.compound_travel, n.half)
    reading = n.dial.reading(cross)
    return {"answer": reading, "cross": cross, "turned": _turned(n.dial, reading)}


QUESTIONS = (
    Question(
        "cross travel",
        "setup triangle",
        _angle_and_travel,
        "The included angle is {included_angle}. You run the compound slide through "
        "{compound_travel}. How far must the cross slide move to bring the indicator back to null?",
        _WITHIN,
        lambda n: {"answer": cross_travel(n.compound_travel, n.half)},
        _TRIANGLE.asking("cross_travel", "included_angle", "compound_travel"),
        (
            HALVED,
            "The cross travel lies opposite the half angle, the compound travel is the hypotenuse: "
            "cross travel = compound travel × sin α.",
            "{compound_travel} × {sin:.6f} = {answer:1}.",
        ),
        lambda who: who.compound_travel * who.sine(who.half),
        (*_ANGLE, *SINE, COMPLEMENT_USED),
        _TRIANGLE_HINTS,
        further={
            INVERSE_OPERATION: lambda n: n.compound_travel / n.sin,
        },
    ),
    Question(
        "compound travel",
        "setup triangle",
        _angle_and_cross_travel,
        "The included angle is {included_angle}. You want the cross slide to move exactly "
        "{cross_travel} in the check. How far must the compound slide travel?",
        _WITHIN,
        _compound_travel_wanted,
        _TRIANGLE.asking("compound_travel", "included_angle", "cross_travel"),
        (
            HALVED,
            "cross travel = compound travel × sin α, so compound travel = cross travel / sin α.",
            "{cross_travel} / {sin:.6f} = {answer:1}.",
        ),
        lambda who: who.cross_travel / who.sine(who.half),
        (*_ANGLE, *SINE, COMPLEMENT_USED),
        _TRIANGLE_HINTS,
        further={
            INVERSE_OPERATION: lambda n: n.cross_travel * n.sin,
        },
    ),
    Question(
        "half angle from the travels",
        "setup triangle",
        _two_travels,
        "The compound slide travelled {compound_travel}; the cross slide had to move "
        "{cross_travel} to bring the indicator back to null. At what half angle does the slide "
        "stand?",
        TO_THE_MINUTE,
        _half_angle_from_travels,
        _TRIANGLE.asking("half_angle", "compound_travel", "cross_travel"),
        (
            "sin α = cross travel / compound travel.",
            "{cross_travel} / {compound_travel} = {ratio:.6f}.",
            "α = arcsin {ratio:.6f} = {half}.",
        ),
        lambda who: who.stated(who.arcsine(who.cross_travel / who.compound_travel)),
        (*SINE, RADIANS, INCLUDED_AS_HALF, HALVED_AGAIN, COMPLEMENT_USED),
        _TRIANGLE_HINTS,
    ),
    Question(
        "axial travel",
        "setup triangle",
        _angle_and_travel,
        "The included angle is {included_angle}. You run the compound slide through "
        "{compound_travel}. How far along the spindle axis does the tool go?",
        _WITHIN,
        lambda n: {"answer": axial_travel(n.compound_travel, n.half)},
        _TRIANGLE.asking("axial_travel", "included_angle", "compound_travel"),
        (
            HALVED,
            "The axial travel lies beside the half angle: axial travel = compound travel × cos α.",
            "{compound_travel} × {cos:.6f} = {answer:1}.",
        ),
        lambda who: who.compound_travel * who.cosine(who.half),
        (*_ANGLE, COMPLEMENT_USED),
        (
            _TRIANGLE_IDEA,
            "The axial travel lies beside the half angle, along the axis. Which function joins it "
            "to the hypotenuse?",
        ),
        further={
            INVERSE_OPERATION: lambda n: n.compound_travel / n.cos,
        },
    ),
    Question(
        "cross travel when the carriage moves",
        "setup triangle",
        lambda shop: {
            **shop.included_angle(24, 84),
            "carriage_travel": shop.length((1.0, 2.5, 0.05), (25, 60, 1)),
        },
        "A finished cone with an included angle of {included_angle} is checked by moving the "
        "carriage, not the compound: an indicator rides on the wall while the carriage goes "
        "{carriage_travel} along the axis. How far must the cross slide move to keep the indicator "
        "at null?",
        _WITHIN,
        _by_carriage,
        _TRIANGLE.asking("cross_travel", "included_angle", axial_travel="{carriage_travel}"),
        (
            HALVED,
            "The carriage runs along the axis, beside the half angle: "
            "cross travel = carriage travel × tan α.",
            "{carriage_travel} × {tan:.6f} = {answer:1}.",
        ),
        lambda who: who.carriage_travel * who.tangent(who.half),
        (*_ANGLE, COMPLEMENT_USED),
        (
            _TRIANGLE_IDEA,
            "The carriage runs along the axis, beside the half angle; the cross travel stands "
            "opposite. Which function joins those two?",
        ),
        further={
            INVERSE_OPERATION: lambda n: n.carriage_travel / n.tan,
            SINE_FOR_TANGENT: lambda n: n.carriage_travel * n.sin,
        },
    ),
    Question(
        "reading for a movement",
        "dials",
        lambda shop: {
            **dial_numbers(shop.cross_dial()),
            "movement": shop.step(*shop.pick((0.15, 1.6, 0.0005), (4, 40, 0.01))),
        },
        "{dial_words} Starting from zero, how far round must the dial be turned for the slide to "
        "move {movement:1}? You may also answer in turns + graduations.",
        _WITHIN,
        _reading_for_movement,
        _COLLAR.asking("reading", movement="{movement:1}"),
        (
            TWICE_OR_ONCE + "the slide movement.",
            "{dial.factor} × {movement:1} = {answer:1}.",
            "On this dial that is {turned}.",
        ),
        lambda who: who.movement * who.factor,
        DIAL,
        _DIAL_HINTS,
        turns=True,
        further={
            INVERSE_OPERATION: lambda n: n.movement / n.dial_factor,
        },
    ),
    Question(
        "movement for a reading",
        "dials",
        _turns_and_graduations,
        "{dial_words} You turned it {turns:g} turns and {graduations:g} graduations from zero, all "
        "in one direction. How far did the slide move?",
        _WITHIN,
        _movement_for_turns,
        _COLLAR.asking("movement", reading="{turns:g} turns + {graduations:g} graduations"),
        (
            "Reading: {turns:g} × {dial.per_turn:g} + {graduations:g} × {dial.graduation:g} = "
            "{reading}.",
            TWICE_OR_ONCE + "the slide movement.",
            "{reading} / {dial.factor} = {answer:1}.",
        ),
        lambda who: (
            (who.turns * who.dial_per_turn + who.graduations * who.dial_graduation) / who.factor
        ),
        DIAL,
        _DIAL_HINTS,
        further={
            INVERSE_OPERATION: lambda n: n.reading * n.dial_factor,
        },
    ),
    Question(
        "reading for a setup",
        "dials",
        lambda shop: {**dial_numbers(shop.cross_dial()), **_angle_and_travel(shop)},
        "The included angle is {included_angle}; the compound slide travels {compound_travel}. "
        "{dial_words} What will it read from zero when the indicator is back at null? You may also "
        "answer in turns + graduations.",
        _WITHIN,
        _reading_for_setup,
        _COLLAR.asking("reading", "included_angle", "compound_travel"),
        (
            HALVED,
            "Cross travel: {compound_travel} × sin {half} = {cross:2}.",
            TWICE_OR_ONCE + "that: {answer:1}, or {turned}.",
        ),
        lambda who: who.compound_travel * who.sine(who.half) * who.factor,
        (*DIAL, *_ANGLE, *SINE, COMPLEMENT_USED),
        (
            "Two steps: how far must the slide move, and what does the dial show for that?",
            "Compound travel times the sine of the half angle is the slide movement; a dial that "
            "reads diameter shows twice that.",
        ),
        turns=True,
        further={
            INVERSE_OPERATION: lambda n: n.cross / n.dial_factor,
        },
    ),
)
