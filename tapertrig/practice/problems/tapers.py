"""A known taper swept by the indicator; several cones in one bore, and the gauge plane."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from tapertrig.angle import Angle
from tapertrig.boring import seat_width, walls_meet
from tapertrig.cone import Cone
from tapertrig.practice import mistakes as slip
from tapertrig.practice import question as asked
from tapertrig.practice.shop import Shop
from tapertrig.setup import TaperSweep, swing_from_known_taper

_WITHIN = asked.lengths_within(0.0001, 0.002)
_BASE = asked.Picture(
    "base",
    "The compound base from above: the slide as it stands now, and the line it should follow.",
    lambda n: {"base_zero": "parallel to bed", "half_angle": n.half.degrees},
)
_CONE = asked.Picture(
    "cone",
    "A cone seen from the side with its axis, dimensioned as the print does it.",
    lambda n: {"half_angle": n.half.degrees},
)


def _draw_sweeps(shop: Shop) -> dict[str, float | str]:
    sense, leans = shop.one_of((-1, 1)), shop.one_of((-1, 1))
    mean = shop.length((0.02, 0.03, 0.0001), (0.5, 0.76, 0.002))
    lean = leans * shop.length((0.002, 0.005, 0.0001), (0.05, 0.12, 0.002))
    return {
        **shop.included_angle(34, 62),
        "compound_travel": shop.length((1.5, 2.4, 0.05), (38, 60, 1)),
        "pushed_in": round(sense * (mean + lean), 6), "turned_in": round(sense * (mean - lean), 6),
        "needle": "pushed in" if sense > 0 else "let out",
    }  # fmt: skip


def _swing(n: asked.Numbers) -> dict[str, Any]:
    let_out = TaperSweep(0.0, n.pushed_in, 0.0, n.turned_in).let_out
    past = swing_from_known_taper(let_out, n.compound_travel, n.half)
    way = "short of the plug: swing further" if let_out < 0 else "past the plug: swing back"
    first, turned, mean = (abs(change) for change in (n.pushed_in, n.turned_in, let_out))
    return {"answer": -past, "first": first, "turned": turned, "mean": mean, "way": way}


def _swing_slipped(who: slip.Somebody) -> float:
    change = (who.pushed_in + (who.pushed_in if who.makes(slip.NOT_TURNED) else who.turned_in)) / 2
    cosine = 1.0 if who.makes(slip.NO_COSINE) else who.cosine(who.half)
    swing = 60 * math.degrees(math.asin(change * cosine / who.compound_travel))
    return -swing if who.makes(slip.WRONG_WAY) else swing


def _meet(n: asked.Numbers) -> dict[str, Any]:
    included = Angle.from_dms(n.seat_degrees, n.seat_minutes)
    seat = included.half()
    depth = walls_meet(Cone(n.half, n.face_diameter), Cone(seat, n.seat_face)).depth
    close = n.tan - math.tan(seat.radians)
    return {"answer": depth, "seat_angle": included.dm(), "seat_half": seat, "close": close}


def _meet_slipped(who: slip.Somebody) -> float:
    angle = {"included_degrees": who.seat_degrees, "included_minutes": who.seat_minutes}
    close = who.tangent(who.half) - who.tangent(slip.Somebody(angle, who.slips).half)
    return (who.face_diameter - who.seat_face) / who.walls / close


QUESTIONS = (
    asked.Question(
        "swing from a known taper", "known taper", _draw_sweeps,
        "To set the compound slide, a true plug with an included angle of {included_angle} is "
        "swept with the indicator, its stem square to the spindle axis. Over {compound_travel} of "
        "the slide, from the small end to the large end, the needle is {needle} by {first:1}; with "
        "spindle and plug turned half round, by {turned:1}. How far must the slide be swung? Plus "
        "means further from parallel to the bed, minus means back.",
        replace(asked.TENTHS_OF_A_MINUTE, signed=True), _swing,
        _BASE.asking("swing", "included_angle", "compound_travel", first="{first:1}",
                     turned="{turned:1}"),
        (asked.HALVED, "Mean of both sweeps: ({first:1} + {turned:1}) / 2 = {mean:2} {needle}.",
         "Square to the slide: arcsin ({mean:2} × {cos:.6f} / {compound_travel}).",
         "The slide stands {way}, {answer.minutes:+.1f}′."),
        _swing_slipped,
        (slip.WRONG_WAY, slip.NOT_TURNED, slip.NO_COSINE, slip.INCLUDED_AS_HALF),
        ("Let out, does the slide leave the plug's side on its way to the large end, or near it?",
         "Let out it stands too steep. The mean of both sweeps, times the cosine of the half "
         "angle, over the travel is the sine of the swing."),
    ),
    asked.Question(
        "seat width along the wall", "several cones",
        lambda shop: {
            **shop.included_angle(50, 84),
            "large_diameter": shop.length((1.32, 1.36, 0.002), (33, 34.2, 0.05)),
            "small_diameter": shop.length((1.22, 1.27, 0.002), (30.4, 31.4, 0.05)),
        },
        "A seat with an included angle of {included_angle} runs from a diameter of "
        "{large_diameter} to {small_diameter}. How wide is it along its wall?",
        _WITHIN,
        lambda n: {"answer": seat_width(n.half, n.large_diameter, n.small_diameter),
                   "across": (n.large_diameter - n.small_diameter) / 2},
        _CONE.asking("seat_width", "included_angle", "small_diameter",
                     face_diameter="{large_diameter}"),
        (asked.HALVED, "Across, one wall: ({large_diameter} − {small_diameter}) / 2 = {across:1}.",
         "Along the wall: {across:1} / {sin:.6f} = {answer:2}."),
        lambda who: (who.large_diameter - who.small_diameter) / who.walls
        / (1 if who.makes(slip.ACROSS_FOR_ALONG) else who.sine(who.half)),
        (slip.ACROSS_FOR_ALONG, slip.TAPER_ON_RADIUS, *slip.ANGLE, slip.MINUTES_AS_DECIMALS,
         slip.TANGENT_FOR_SINE),
        ("Draw the seat's wall: which side of the triangle is it?",
         "The wall is the hypotenuse; opposite the half angle stands half of what the diameters "
         "differ by."),
        {slip.TANGENT_FOR_SINE: (
            "Is the width asked for along the axis, or along the wall?",
            "That is how deep the seat is along the axis. Its wall is the hypotenuse: the sine.")},
        further={slip.INVERSE_OPERATION: lambda n: n.across * n.sin},
    ),
    asked.Question(
        "face diameter from a gauge plane", "several cones",
        lambda shop: {
            **shop.included_angle(30, 84),
            "gauge_diameter": shop.length((0.8, 1.4, 0.002), (20, 36, 0.05)),
            "gauge_depth": shop.length((0.1, 0.25, 0.005), (2.5, 6.5, 0.1)),
        },
        "A bored cone with an included angle of {included_angle} has its large end at the face. "
        "The print gives {gauge_diameter} at a gauge plane {gauge_depth} below the face. What is "
        "the face diameter?",
        _WITHIN,
        lambda n: {
            "answer": Cone.from_gauge_plane(n.half, n.gauge_diameter, n.gauge_depth).face_diameter
        },
        _CONE.asking("face_diameter", "included_angle", small_diameter="{gauge_diameter}",
                     length="{gauge_depth}"),
        (asked.HALVED_FOR_TANGENT,
         "{gauge_diameter} + 2 × {gauge_depth} × {tan:.6f} = {answer:1}."),
        lambda who: who.gauge_diameter + who.walls * who.gauge_depth * who.tangent(who.half)
        * (-1 if who.makes(slip.GAUGE_DEPTH_SIGN) else 1),
        (slip.GAUGE_DEPTH_SIGN, slip.TAPER_ON_RADIUS, *slip.ANGLE, slip.MINUTES_AS_DECIMALS),
        ("Where is this bore wider, at its face or at the gauge plane?",
         "Up to the face each wall goes out by the depth × tangent of the half angle."),
        further={slip.SINE_FOR_TANGENT: lambda n: n.gauge_diameter + 2 * n.gauge_depth * n.sin},
    ),
    asked.Question(
        "depth where two walls meet", "several cones",
        lambda shop: {
            **shop.included_angle(110, 124),
            **dict(zip(("seat_degrees", "seat_minutes"), shop.angle(74, 87), strict=True)),
            "face_diameter": shop.length((1.46, 1.56, 0.002), (37, 39.6, 0.1)),
            "seat_face": shop.length((1.32, 1.40, 0.002), (33, 35.6, 0.1)),
        },
        "Carried up to one face, a relief with an included angle of {included_angle} measures "
        "{face_diameter} and a seat with an included angle of {seat_angle} measures {seat_face}. "
        "How deep below that face do their walls meet?",
        _WITHIN, _meet,
        _CONE.asking("length", "included_angle", "face_diameter", "seat_angle", "seat_face"),
        (asked.HALVED, "Seat: {seat_angle} / 2 = {seat_half}.",
         "For each unit of depth the walls close by tan {half} − tan {seat_half} = {close:.6f}.",
         "({face_diameter} − {seat_face}) / 2 / {close:.6f} = {answer:2}."),
        _meet_slipped,
        (slip.INCLUDED_AS_HALF, slip.TAPER_ON_RADIUS, slip.HALVED_AGAIN, slip.COMPLEMENT_USED),
        ("How far apart are the walls at the face, and by how much do they close on the way in?",
         "Half of what the diameters differ by, over the difference of the two tangents."),
    ),
)  # fmt: skip
