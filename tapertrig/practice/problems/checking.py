"""Correction and backlash: what the indicating check says, and what spoils it."""

from __future__ import annotations

import math
from dataclasses import replace

from tapertrig.angle import Angle
from tapertrig.lathe import Dial
from tapertrig.practice.mistakes import (
    BACKLASH,
    COMPLEMENT_USED,
    COSINE_FOR_SINE,
    DIAMETER_AS_RADIUS,
    HALVED_AGAIN,
    INCLUDED_AS_HALF,
    MINUTES_AS_DECIMALS,
    RADIANS,
    RADIUS_AS_DIAMETER,
    TANGENT_FOR_SINE,
    WRONG_WAY,
    Given,
    Slips,
    arcsine,
    dial_factor,
    half_angle_from_given,
    half_angle_stated,
)
from tapertrig.practice.question import (
    TENTHS_OF_A_MINUTE,
    TO_THE_MINUTE,
    Asked,
    Figure,
    Question,
    figure,
    length_within,
)
from tapertrig.practice.shop import Shop, dial_numbers, dial_words, included_angle, show_included
from tapertrig.setup import arc_at_base, correction, half_angle_from

_DIAL = (DIAMETER_AS_RADIUS, RADIUS_AS_DIAMETER)
_SINE = (COSINE_FOR_SINE, TANGENT_FOR_SINE)


def _checked(shop: Shop) -> tuple[dict[str, float], Dial, Angle, str]:
    """A slide that stands a little off: the numbers of its check, dial, half angle, sentences."""
    dial = shop.cross_dial()
    given = shop.included_angle(24, 96)
    travel = shop.compound_travel()
    off = shop.step(6, 50, 1) * shop.one_of((-1, 1))
    half = included_angle(given).half()
    actual = half + Angle.from_arc_seconds(60 * off)
    exact = dial.reading(travel * math.sin(actual.radians))
    # A practised eye splits a graduation into tenths.
    tenth = dial.graduation / 10
    reading = round(round(exact / tenth) * tenth, 6)
    text = (
        f"The print gives an included angle of {show_included(given)}. The compound slide "
        f"travelled {shop.show(travel)}. {dial_words(dial, shop.unit)} It read "
        f"{shop.show(reading, 1)} from zero when the indicator was back at null."
    )
    numbers = {**given, **dial_numbers(dial), "compound_travel": travel, "cross_reading": reading}
    return numbers, dial, half, text


def _check_figure(given: Given, half: Angle, labels: dict[str, str], asked: str) -> Figure:
    return figure(
        "base",
        "The compound base from above: the slide as it stands now, and the line it should follow.",
        {
            "base_zero": "parallel to bed",
            "half_angle": half.degrees,
            "compound_travel": given["compound_travel"],
        },
        labels,
        asked,
    )


def _angle_now_steps(given: Given, shop: Shop, half: Angle) -> tuple[str, ...]:
    travel = given["compound_travel"]
    cross = given["cross_reading"] / given["dial_factor"]
    now = half_angle_from(travel, cross)
    return (
        f"Wanted: {show_included(given)} / 2 = {half}.",
        f"The cross slide moved {shop.show(given['cross_reading'], 1)} / {given['dial_factor']} = "
        f"{shop.show(cross, 2)}.",
        f"Angle now: arcsin ({shop.show(cross, 2)} / {shop.show(travel)}) = {now}.",
    )


def _swing(shop: Shop) -> Asked:
    given, dial, half, text = _checked(shop)
    swing = correction(half, given["compound_travel"], given["cross_reading"], dial)
    return Asked(
        given=given,
        text=f"{text} How much further must the slide be swung? Plus means away from parallel "
        "to the bed, minus means back.",
        precision=replace(TENTHS_OF_A_MINUTE, signed=True),
        answer=swing.minutes,
        figure=_check_figure(
            given,
            half,
            {
                "included_angle": show_included(given),
                "compound_travel": shop.show(given["compound_travel"]),
                "cross_reading": shop.show(given["cross_reading"], 1),
            },
            "swing",
        ),
        steps=(
            *_angle_now_steps(given, shop, half),
            f"Wanted less now: {swing.minutes:+.1f}′; "
            f"swing {'further' if swing.minutes > 0 else 'back'}.",
        ),
    )


def _swing_degrees(given: Given, slips: Slips) -> float:
    wanted = half_angle_from_given(given, slips)
    cross = given["cross_reading"] / dial_factor(given, slips)
    swing = wanted - arcsine(cross / given["compound_travel"], slips)
    return -swing if WRONG_WAY in slips else swing


def _swing_slipped(given: Given, slips: Slips) -> float:
    return 60 * _swing_degrees(given, slips)


def _arc(shop: Shop) -> Asked:
    given, dial, half, text = _checked(shop)
    radius = shop.length((2.0, 3.0, 0.125), (50, 75, 2.5))
    swing = correction(half, given["compound_travel"], given["cross_reading"], dial)
    answer = arc_at_base(swing, radius)
    return Asked(
        given={**given, "base_radius": radius},
        text=f"{text} The scale of the compound base has a radius of {shop.show(radius)}. By how "
        "much must a mark at the scale be moved? Plus means away from parallel to the bed, minus "
        "means back.",
        precision=length_within(shop.unit, 0.0002, 0.005, signed=True),
        answer=answer,
        figure=_check_figure(
            given,
            half,
            {
                "included_angle": show_included(given),
                "cross_reading": shop.show(given["cross_reading"], 1),
                "base_radius": shop.show(radius),
            },
            "arc_at_base",
        ),
        steps=(
            *_angle_now_steps(given, shop, half),
            f"Wanted less now: {swing.minutes:+.2f}′ = {swing.radians:+.6f} rad.",
            f"Arc: {shop.show(radius)} × {swing.radians:+.6f} = {answer:+.{shop.places + 2}f} "
            f"{shop.unit}.",
        ),
    )


def _arc_slipped(given: Given, slips: Slips) -> float:
    return given["base_radius"] * math.radians(_swing_degrees(given, slips))


def _lost_motion_figure(backlash: str, labels: dict[str, str], asked: str) -> Figure:
    return figure(
        "lost motion",
        "A feed screw and its nut: the gap between their flanks must be run through before the "
        "slide follows the handwheel the other way.",
        {},
        {"backlash": backlash, **labels},
        asked,
    )


def _backlash(shop: Shop) -> float:
    return shop.length((0.003, 0.012, 0.0005), (0.08, 0.3, 0.01))


def _movement_after_reversal(shop: Shop) -> Asked:
    dial = shop.cross_dial()
    backlash = _backlash(shop)
    turned = shop.step(*shop.pick((0.004, 0.08, 0.001), (0.1, 2.0, 0.1)))
    answer = max(0.0, dial.movement(turned) - backlash)
    follows = (
        f"{shop.show(dial.movement(turned), 1)} − {shop.show(backlash, 1)} = "
        f"{shop.show(answer, 1)}."
        if answer
        else "The handwheel has not run through the backlash yet; the slide has moved 0."
    )
    return Asked(
        given={**dial_numbers(dial), "backlash": backlash, "turned_back": turned},
        text=f"The cross slide has a backlash of {shop.show(backlash, 1)}, measured as slide "
        f"movement. {dial_words(dial, shop.unit)} You have just come up to a point turning the "
        f"handwheel inwards; now you turn it back outwards until the dial has gone "
        f"{shop.show(turned, 1)}. How far has the slide moved back?",
        precision=length_within(shop.unit, 0.0001, 0.002),
        answer=answer,
        figure=_lost_motion_figure(
            shop.show(backlash, 1), {"turned_back": shop.show(turned, 1)}, "movement"
        ),
        steps=(
            f"A dial that reads {dial.reads} shows {dial.factor} × the movement, so the handwheel "
            f"went through {shop.show(dial.movement(turned), 1)}.",
            f"The first {shop.show(backlash, 1)} of that only runs through the backlash.",
            follows,
        ),
    )


def _movement_after_reversal_slipped(given: Given, slips: Slips) -> float:
    wheel = given["turned_back"] / dial_factor(given, slips)
    return wheel if BACKLASH in slips else max(0.0, wheel - given["backlash"])


def _reading_when_it_follows(shop: Shop) -> Asked:
    dial = shop.cross_dial()
    backlash = _backlash(shop)
    start = shop.step(*shop.pick((0.04, 0.095, 0.001), (1.0, 2.8, 0.1)))
    answer = start - dial.reading(backlash)
    return Asked(
        given={**dial_numbers(dial), "backlash": backlash, "start_reading": start},
        text=f"The cross slide has a backlash of {shop.show(backlash, 1)}, measured as slide "
        f"movement. {dial_words(dial, shop.unit)} You came up to {shop.show(start)} with the "
        "reading rising. Now you turn back and the reading falls. What does the dial read when "
        "the slide begins to follow?",
        precision=length_within(shop.unit, 0.0001, 0.002),
        answer=answer,
        figure=_lost_motion_figure(
            shop.show(backlash, 1), {"start_reading": shop.show(start)}, "reading"
        ),
        steps=(
            f"The backlash is {shop.show(backlash, 1)} of slide movement; on this dial that is "
            f"{dial.factor} × {shop.show(backlash, 1)} = {shop.show(dial.reading(backlash), 1)}.",
            f"{shop.show(start)} − {shop.show(dial.reading(backlash), 1)} = "
            f"{shop.show(answer, 1)}.",
        ),
        dial=dial,
    )


def _reading_when_it_follows_slipped(given: Given, slips: Slips) -> float:
    lost = 0.0 if BACKLASH in slips else given["backlash"] * dial_factor(given, slips)
    return given["start_reading"] - lost


def _angle_after_reversal(shop: Shop) -> Asked:
    dial = shop.cross_dial()
    backlash = _backlash(shop)
    travel = shop.compound_travel()
    sine = shop.step(0.25, 0.72, 0.0005)
    step = dial.graduation / 2
    reading = round(round(dial.reading(travel * sine + backlash) / step) * step, 6)
    cross = dial.movement(reading) - backlash
    half = half_angle_from(travel, cross)
    return Asked(
        given={
            **dial_numbers(dial),
            "backlash": backlash,
            "compound_travel": travel,
            "cross_reading": reading,
        },
        text=f"The compound slide travelled {shop.show(travel)}. {dial_words(dial, shop.unit)} "
        f"The cross slide has a backlash of {shop.show(backlash, 1)}, measured as slide movement. "
        "The dial was zeroed after turning the handwheel inwards, but it had to be turned "
        f"outwards to bring the indicator back to null, and then it read {shop.show(reading, 1)}. "
        "At what half angle does the slide really stand?",
        precision=TO_THE_MINUTE,
        answer=half.degrees,
        figure=_lost_motion_figure(
            shop.show(backlash, 1),
            {
                "compound_travel": shop.show(travel),
                "cross_reading": shop.show(reading, 1),
            },
            "half_angle",
        ),
        steps=(
            f"The handwheel went through {shop.show(reading, 1)} / {dial.factor} = "
            f"{shop.show(dial.movement(reading), 2)}, the first {shop.show(backlash, 1)} of it "
            "without the slide.",
            f"The slide moved {shop.show(cross, 2)}.",
            f"α = arcsin ({shop.show(cross, 2)} / {shop.show(travel)}) = {half}.",
            "At the machine, come up to both points in the same direction and there is nothing to "
            "take off.",
        ),
    )


def _angle_after_reversal_slipped(given: Given, slips: Slips) -> float:
    wheel = given["cross_reading"] / dial_factor(given, slips)
    cross = wheel if BACKLASH in slips else wheel - given["backlash"]
    return half_angle_stated(arcsine(cross / given["compound_travel"], slips), slips)


_CORRECTION = (
    WRONG_WAY,
    *_DIAL,
    INCLUDED_AS_HALF,
    HALVED_AGAIN,
    MINUTES_AS_DECIMALS,
    *_SINE,
    COMPLEMENT_USED,
    RADIANS,
)
_CORRECTION_HINTS = (
    "Two angles are in play: the one you want and the one the check has shown. What is each?",
    "Turn the reading into slide movement, divide by the compound travel, take the arcsine: that "
    "is the angle now. Take it from the angle you want.",
)
_BACKLASH_HINTS = (
    "What happens to the slide while the handwheel runs through the backlash?",
    "Turn the dial's reading into handwheel movement first; then take the backlash off, and what "
    "is left is the slide's movement.",
)

QUESTIONS = (
    Question(
        "swing still wanted", "correction", _swing, _swing_slipped, _CORRECTION, *_CORRECTION_HINTS
    ),
    Question(
        "arc at the base",
        "correction",
        _arc,
        _arc_slipped,
        _CORRECTION,
        _CORRECTION_HINTS[0],
        _CORRECTION_HINTS[1] + " The arc is the radius times that difference in radians.",
    ),
    Question(
        "movement after a reversal",
        "backlash",
        _movement_after_reversal,
        _movement_after_reversal_slipped,
        (BACKLASH, *_DIAL),
        *_BACKLASH_HINTS,
    ),
    Question(
        "reading when the slide follows",
        "backlash",
        _reading_when_it_follows,
        _reading_when_it_follows_slipped,
        (BACKLASH, *_DIAL),
        _BACKLASH_HINTS[0],
        "Turn the backlash into what the dial shows for it, and take that off the reading.",
    ),
    Question(
        "half angle after a reversal",
        "backlash",
        _angle_after_reversal,
        _angle_after_reversal_slipped,
        (BACKLASH, *_DIAL, *_SINE, RADIANS, INCLUDED_AS_HALF, HALVED_AGAIN, COMPLEMENT_USED),
        *_BACKLASH_HINTS,
    ),
)
