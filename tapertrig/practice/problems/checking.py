"""Correction and backlash: what the indicating check says, and what spoils it."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from tapertrig.angle import Angle
from tapertrig.practice.mistakes import (
    BACKLASH,
    COMPLEMENT_USED,
    DIAL,
    HALVED_AGAIN,
    INCLUDED_AS_HALF,
    INVERSE_OPERATION,
    MINUTES_AS_DECIMALS,
    RADIANS,
    SINE,
    WRONG_WAY,
    Somebody,
)
from tapertrig.practice.question import (
    TENTHS_OF_A_MINUTE,
    TO_THE_MINUTE,
    TWICE_OR_ONCE,
    Numbers,
    Picture,
    Question,
    lengths_within,
)
from tapertrig.practice.shop import Shop, dial_numbers
from tapertrig.setup import arc_at_base, correction, half_angle_from

_CORRECTION = (
    WRONG_WAY,
    *DIAL,
    INCLUDED_AS_HALF,
    HALVED_AGAIN,
    MINUTES_AS_DECIMALS,
    *SINE,
    COMPLEMENT_USED,
    RADIANS,
)
_CHECKED = (
    "The print gives an included angle of {included_angle}. The compound slide travelled "
    "{compound_travel}. {dial_words} It read {cross_reading:1} from zero when the indicator was "
    "back at null. "
)
_ANGLE_NOW = (
    "Wanted: {included_angle} / 2 = {half}.",
    "The cross slide moved {cross_reading:1} / {dial.factor} = {cross:2}.",
    "Angle now: arcsin ({cross:2} / {compound_travel}) = {now}.",
)
_CORRECTION_IDEA = (
    "Two angles are in play: the one you want and the one the check has shown. What is each?"
)
_CORRECTION_DIRECT = (
    "Turn the reading into slide movement, divide by the compound travel, take the arcsine: that "
    "is the angle now. Take it from the angle you want."
)
_HAS_BACKLASH = "The cross slide has a backlash of {backlash:1}, measured as slide movement. "
_BACKLASH_IDEA = "What happens to the slide while the handwheel runs through the backlash?"
_BACKLASH_HINTS = (
    _BACKLASH_IDEA,
    "Turn the dial's reading into handwheel movement first; then take the backlash off, and what "
    "is left is the slide's movement.",
)

_BASE = Picture(
    "base",
    "The compound base from above: the slide as it stands now, and the line it should follow.",
    lambda n: {
        "base_zero": "parallel to bed",
        "half_angle": n.half.degrees,
        "compound_travel": n.compound_travel,
    },
)
_SCREW = Picture(
    "lost motion",
    "A feed screw and its nut: the gap between their flanks must be run through before the "
    "slide follows the handwheel the other way.",
    lambda n: {},
)


def _checked(shop: Shop) -> dict[str, float]:
    """The check of a slide that stands a little off."""
    dial = shop.cross_dial()
    included = shop.included_angle(24, 96)
    travel = shop.compound_travel()
    off = shop.step(6, 50, 1) * shop.one_of((-1, 1))
    half = Angle.from_dms(included["included_degrees"], included["included_minutes"]).half()
    actual = half + Angle.from_arc_seconds(60 * off)
    exact = dial.reading(travel * math.sin(actual.radians))
    # A practised eye splits a graduation into tenths.
    tenth = dial.graduation / 10
    return {
        **included,
        **dial_numbers(dial),
        "compound_travel": travel,
        "cross_reading": round(round(exact / tenth) * tenth, 6),
    }


def _swing(n: Numbers) -> dict[str, Any]:
    cross = n.cross_reading / n.dial_factor
    swing = correction(n.half, n.compound_travel, n.cross_reading, n.dial)
    return {
        "answer": swing,
        "swing": swing,
        "way": "further" if swing.minutes > 0 else "back",
        "cross": cross,
        "now": half_angle_from(n.compound_travel, cross),
    }


def _arc(n: Numbers) -> dict[str, Any]:
    swung = _swing(n)
    return {**swung, "answer": arc_at_base(swung["swing"], n.base_radius)}


def _swing_degrees(who: Somebody) -> float:
    cross = who.cross_reading / who.factor
    swing = who.half - who.arcsine(cross / who.compound_travel)
    return -swing if who.makes(WRONG_WAY) else swing


def _backlash(shop: Shop) -> float:
    return shop.length((0.003, 0.012, 0.0005), (0.08, 0.3, 0.01))


def _movement_after_reversal(n: Numbers) -> dict[str, Any]:
    wheel = n.dial.movement(n.turned_back)
    answer = max(0.0, wheel - n.backlash)
    numbers = {"answer": answer, "wheel": wheel}
    follows = (
        "{wheel:1} − {backlash:1} = {answer:1}."
        if answer
        else "The handwheel has not run through the backlash yet; the slide has moved 0."
    )
    vars(n).update(numbers)
    return {**numbers, "follows": n.write(follows)}


def _movement_slipped(who: Somebody) -> float:
    wheel = who.turned_back / who.factor
    return wheel if who.makes(BACKLASH) else max(0.0, wheel - who.backlash)


def _reading_when_it_follows(n: Numbers) -> dict[str, Any]:
    lost = n.dial.reading(n.backlash)
    return {"answer": n.start_reading - lost, "lost": lost}


def _reading_slipped(who: Somebody) -> float:
    return who.start_reading - (0.0 if who.makes(BACKLASH) else who.backlash * who.factor)


def _reversed_check(shop: Shop) -> dict[str, float]:
    dial = shop.cross_dial()
    backlash = _backlash(shop)
    travel = shop.compound_travel()
    sine = shop.step(0.25, 0.72, 0.0005)
    step = dial.graduation / 2
    return {
        **dial_numbers(dial),
        "backlash": backlash,
        "compound_travel": travel,
        "cross_reading": round(round(dial.reading(travel * sine + backlash) / step) * step, 6),
    }


def _angle_after_reversal(n: Numbers) -> dict[str, Any]:
    wheel = n.dial.movement(n.cross_reading)
    cross = wheel - n.backlash
    half = half_angle_from(n.compound_travel, cross)
    return {"answer": half, "half": half, "wheel": wheel, "cross": cross}


def _angle_slipped(who: Somebody) -> float:
    wheel = who.cross_reading / who.factor
    cross = wheel if who.makes(BACKLASH) else wheel - who.backlash
    return who.stated(who.arcsine(cross / who.compound_travel))


QUESTIONS = (
    Question(
        "swing still wanted",
        "correction",
        _checked,
        _CHECKED + "How much further must the slide be swung? Plus means away from parallel to the "
        "bed, minus means back.",
        replace(TENTHS_OF_A_MINUTE, signed=True),
        _swing,
        _BASE.asking(
            "swing", "included_angle", "compound_travel", cross_reading="{cross_reading:1}"
        ),
        (*_ANGLE_NOW, "Wanted less now: {swing.minutes:+.1f}′; swing {way}."),
        lambda who: 60 * _swing_degrees(who),
        _CORRECTION,
        (_CORRECTION_IDEA, _CORRECTION_DIRECT),
    ),
    Question(
        "arc at the base",
        "correction",
        lambda shop: {
            **_checked(shop),
            "base_radius": shop.length((2.0, 3.0, 0.125), (50, 75, 2.5)),
        },
        _CHECKED + "The scale of the compound base has a radius of {base_radius}. By how much must "
        "a mark at the scale be moved? Plus means away from parallel to the bed, minus means back.",
        lengths_within(0.0002, 0.005, signed=True),
        _arc,
        _BASE.asking(
            "arc_at_base",
            "included_angle",
            cross_reading="{cross_reading:1}",
            base_radius="{base_radius}",
        ),
        (
            *_ANGLE_NOW,
            "Wanted less now: {swing.minutes:+.2f}′ = {swing.radians:+.6f} rad.",
            "Arc: {base_radius} × {swing.radians:+.6f} = {answer:+2}.",
        ),
        lambda who: who.base_radius * math.radians(_swing_degrees(who)),
        _CORRECTION,
        (
            _CORRECTION_IDEA,
            _CORRECTION_DIRECT + " The arc is the radius times that difference in radians.",
        ),
    ),
    Question(
        "movement after a reversal",
        "backlash",
        lambda shop: {
            **dial_numbers(shop.cross_dial()),
            "backlash": _backlash(shop),
            "turned_back": shop.step(*shop.pick((0.004, 0.08, 0.001), (0.1, 2.0, 0.1))),
        },
        _HAS_BACKLASH + "{dial_words} You have just come up to a point turning the handwheel "
        "inwards; now you turn it back outwards until the dial has gone {turned_back:1}. How far "
        "has the slide moved back?",
        lengths_within(0.0001, 0.002),
        _movement_after_reversal,
        _SCREW.asking("movement", backlash="{backlash:1}", turned_back="{turned_back:1}"),
        (
            TWICE_OR_ONCE + "the movement, so the handwheel went through {wheel:1}.",
            "The first {backlash:1} of that only runs through the backlash.",
            "{follows}",
        ),
        _movement_slipped,
        (BACKLASH, *DIAL),
        _BACKLASH_HINTS,
        further={
            INVERSE_OPERATION: lambda n: max(0.0, n.turned_back * n.dial_factor - n.backlash),
        },
    ),
    Question(
        "reading when the slide follows",
        "backlash",
        lambda shop: {
            **dial_numbers(shop.cross_dial()),
            "backlash": _backlash(shop),
            "start_reading": shop.step(*shop.pick((0.04, 0.095, 0.001), (1.0, 2.8, 0.1))),
        },
        _HAS_BACKLASH + "{dial_words} You came up to {start_reading} with the reading rising. Now "
        "you turn back and the reading falls. What does the dial read when the slide begins to "
        "follow?",
        lengths_within(0.0001, 0.002),
        _reading_when_it_follows,
        _SCREW.asking("reading", backlash="{backlash:1}", start_reading="{start_reading}"),
        (
            "The backlash is {backlash:1} of slide movement; on this dial that is {dial.factor} × "
            "{backlash:1} = {lost:1}.",
            "{start_reading} − {lost:1} = {answer:1}.",
        ),
        _reading_slipped,
        (BACKLASH, *DIAL),
        (
            _BACKLASH_IDEA,
            "Turn the backlash into what the dial shows for it, and take that off the reading.",
        ),
        turns=True,
    ),
    Question(
        "half angle after a reversal",
        "backlash",
        _reversed_check,
        "The compound slide travelled {compound_travel}. {dial_words} " + _HAS_BACKLASH + "The "
        "dial was zeroed after turning the handwheel inwards, but it had to be turned outwards to "
        "bring the indicator back to null, and then it read {cross_reading:1}. At what half angle "
        "does the slide really stand?",
        TO_THE_MINUTE,
        _angle_after_reversal,
        _SCREW.asking(
            "half_angle",
            backlash="{backlash:1}",
            compound_travel="{compound_travel}",
            cross_reading="{cross_reading:1}",
        ),
        (
            "The handwheel went through {cross_reading:1} / {dial.factor} = {wheel:2}, the first "
            "{backlash:1} of it without the slide.",
            "The slide moved {cross:2}.",
            "α = arcsin ({cross:2} / {compound_travel}) = {half}.",
            "At the machine, come up to both points in the same direction and there is nothing to "
            "take off.",
        ),
        _angle_slipped,
        (BACKLASH, *DIAL, *SINE, RADIANS, INCLUDED_AS_HALF, HALVED_AGAIN, COMPLEMENT_USED),
        _BACKLASH_HINTS,
    ),
)
