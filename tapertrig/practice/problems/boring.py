"""Boring to size: what opens the face diameter, what does not, and what facing off does to it."""

from __future__ import annotations

import math
from typing import Any

from tapertrig.boring import carriage_to_change, cross_to_change, face_diameter_change
from tapertrig.cone import Cone
from tapertrig.practice.mistakes import (
    ANGLE,
    COMPOUND_FEED,
    DIAL,
    GROWN_BY_FACING,
    INVERSE_OPERATION,
    MINUTES_AS_DECIMALS,
    TAPER_ON_RADIUS,
    Somebody,
)
from tapertrig.practice.question import (
    HALVED_FOR_TANGENT,
    TWICE_OR_ONCE,
    Numbers,
    Picture,
    Question,
    lengths_within,
)
from tapertrig.practice.shop import Shop, dial_numbers

_WITHIN = lengths_within(0.0002, 0.005)
_TO_OPEN = (
    "A bored cone with an included angle of {included_angle} has a face diameter of "
    "{face_diameter_now} now and shall have {face_diameter_wanted}. "
)
_WALL_IDEA = "How far must one wall move, square to the axis?"

_BORE = Picture(
    "bore",
    "A bored cone in section with its large end at the face, and the boring tool at its wall.",
    lambda n: {"half_angle": n.half.degrees, "face_diameter": n.face_diameter_now},
)
_OPENED = {
    "included_angle": "{included_angle}",
    "face_diameter": "{face_diameter_now}",
    "face_diameter_wanted": "{face_diameter_wanted}",
}


def _undersize(shop: Shop) -> dict[str, float]:
    """A cone bored too small."""
    included = shop.included_angle(30, 96)
    wanted = shop.length((1.0, 2.0, 0.05), (26, 50, 0.5))
    missing = shop.length((0.05, 0.2, 0.002), (1.2, 5.0, 0.02))
    return {
        **included,
        "face_diameter_now": round(wanted - missing, 6),
        "face_diameter_wanted": wanted,
    }


def _bored(shop: Shop) -> dict[str, float]:
    return {
        **shop.included_angle(30, 96),
        "face_diameter_now": shop.length((1.0, 2.0, 0.05), (26, 50, 0.5)),
    }


def _with_cross_slide(n: Numbers) -> dict[str, Any]:
    missing = n.face_diameter_wanted - n.face_diameter_now
    answer = n.dial.reading(cross_to_change(missing))
    return {"answer": answer, "missing": missing, "wall": missing / 2}


def _with_cross_slide_slipped(who: Somebody) -> float:
    wall = (who.face_diameter_wanted - who.face_diameter_now) / 2
    if who.makes(COMPOUND_FEED):
        return wall / math.sin(math.radians(who.half))
    return wall * who.factor


def _with_carriage(n: Numbers) -> dict[str, Any]:
    missing = n.face_diameter_wanted - n.face_diameter_now
    answer = carriage_to_change(Cone(n.half, n.face_diameter_now), missing)
    return {"answer": answer, "missing": missing, "growth": 2 * n.tan}


def _with_carriage_slipped(who: Somebody) -> float:
    along = who.sine if who.makes(COMPOUND_FEED) else who.tangent
    return (who.face_diameter_wanted - who.face_diameter_now) / (who.walls * along(who.half))


def _with_compound(n: Numbers) -> dict[str, Any]:
    change = face_diameter_change(Cone(n.half, n.face_diameter_now), compound=n.compound_feed)
    # The sum of opposite movements leaves rounding of the last place; adding 0 clears −0.
    return {"answer": round(change, 9) + 0.0}


def _with_compound_slipped(who: Somebody) -> float:
    return 2 * who.compound_feed * who.sine(who.half) if who.makes(COMPOUND_FEED) else 0.0


def _after_facing(n: Numbers) -> dict[str, Any]:
    cone = Cone(n.half, n.face_diameter_now)
    answer = n.face_diameter_now + face_diameter_change(cone, faced_off=n.faced_off)
    return {"answer": answer, "shrinks": n.face_diameter_now - answer}


QUESTIONS = (
    Question(
        "opening with the cross slide",
        "boring to size",
        lambda shop: {**_undersize(shop), **dial_numbers(shop.cross_dial())},
        _TO_OPEN + "The compound and the carriage stay where they are; only the cross slide is "
        "moved. {dial_words} How far must it be turned? You may also answer in turns + "
        "graduations.",
        _WITHIN,
        _with_cross_slide,
        _BORE.asking("cross_reading", **_OPENED),
        (
            "The diameter must grow by {missing}, so each wall moves by half of it: {wall:1}.",
            TWICE_OR_ONCE + "that: {answer:1}.",
        ),
        _with_cross_slide_slipped,
        (*DIAL, COMPOUND_FEED),
        (
            _WALL_IDEA,
            "Each wall moves by half of the change of diameter; then ask what this dial shows for "
            "it.",
        ),
        turns=True,
        further={
            INVERSE_OPERATION: lambda n: 2 * n.missing * n.dial_factor,
        },
    ),
    Question(
        "opening with the carriage",
        "boring to size",
        _undersize,
        _TO_OPEN + "The compound and the cross slide stay where they are; only the carriage is "
        "moved, towards the headstock. How far?",
        _WITHIN,
        _with_carriage,
        _BORE.asking("carriage_travel", **_OPENED),
        (
            HALVED_FOR_TANGENT,
            "The diameter must grow by {missing}; for each unit along the axis it grows by "
            "2 tan α = {growth:.6f}.",
            "{missing} / {growth:.6f} = {answer:2}.",
        ),
        _with_carriage_slipped,
        (COMPOUND_FEED, TAPER_ON_RADIUS, *ANGLE, MINUTES_AS_DECIMALS),
        (
            _WALL_IDEA,
            "Half the change of diameter stands opposite the half angle, the carriage travel "
            "beside it. Which function joins those two?",
        ),
        further={
            INVERSE_OPERATION: lambda n: n.missing * n.growth,
        },
    ),
    Question(
        "feeding the compound",
        "boring to size",
        lambda shop: {
            **_bored(shop),
            "compound_feed": shop.length((0.01, 0.06, 0.005), (0.2, 1.5, 0.05)),
        },
        "A bored cone with an included angle of {included_angle} has a face diameter of "
        "{face_diameter_now}. Carriage and cross slide are locked. You set the tool at the wall "
        "and run the compound slide {compound_feed} further in. By how much does the face diameter "
        "change?",
        _WITHIN,
        _with_compound,
        _BORE.asking(
            "change of face diameter",
            "included_angle",
            face_diameter="{face_diameter_now}",
            compound_feed="{compound_feed}",
        ),
        (
            "The compound slide is set along the wall, so the tool runs along the cone it has "
            "already cut.",
            "It takes nothing off, however far it is fed: the change is 0.",
            "Size comes from the cross slide or from the carriage.",
        ),
        _with_compound_slipped,
        (COMPOUND_FEED,),
        (
            "Along which line does the tool go when only the compound is fed?",
            "Compare the line of the compound slide with the wall of the cone.",
        ),
    ),
    Question(
        "face diameter after facing",
        "boring to size",
        lambda shop: {
            **_bored(shop),
            "faced_off": shop.length((0.03, 0.12, 0.005), (0.8, 3.0, 0.1)),
        },
        "A bored cone with an included angle of {included_angle} has its large end, "
        "{face_diameter_now}, at the face. Now {faced_off} is faced off. What is the face diameter "
        "then?",
        lengths_within(0.0005, 0.01),
        _after_facing,
        _BORE.asking(
            "face diameter after facing",
            "included_angle",
            face_diameter="{face_diameter_now}",
            faced_off="{faced_off}",
        ),
        (
            HALVED_FOR_TANGENT,
            "The diameter shrinks by 2 × {faced_off} × {tan:.6f} = {shrinks:2}.",
            "{face_diameter_now} − {shrinks:2} = {answer:1}.",
        ),
        lambda who: who.face_diameter_now - who.walls * who.faced_off * who.tangent(who.half),
        # A cut this thin hides minutes typed as decimals within the tolerance.
        (TAPER_ON_RADIUS, *ANGLE),
        (
            "How wide is the cone a little below its face?",
            "For each unit of depth the diameter shrinks by twice the tangent of the half angle.",
        ),
        further={
            GROWN_BY_FACING: lambda n: n.face_diameter_now + n.shrinks,
        },
    ),
)
