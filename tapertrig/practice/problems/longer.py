"""Longer than the slide: set-over between centres, the step of two runs; and what blue tells."""

from __future__ import annotations

import math
from typing import Any

from tapertrig.angle import Angle
from tapertrig.budget import error_from_blue
from tapertrig.practice.mistakes import (
    COMPLEMENT_USED,
    DEGREES_FOR_MINUTES,
    HALVED_AGAIN,
    INCLUDED_AS_HALF,
    INVERSE_OPERATION,
    LENGTH_OVER_ALL,
    MINUTES_AS_DECIMALS,
    RADIANS,
    SINE,
    TANGENT_FOR_SINE,
    TAPER_ON_RADIUS,
    Somebody,
)
from tapertrig.practice.question import (
    HALVED,
    TENTHS_OF_A_MINUTE,
    Numbers,
    Picture,
    Question,
    lengths_within,
)
from tapertrig.practice.shop import Shop
from tapertrig.setup import seam_step, set_over

_WITHIN = lengths_within(0.0001, 0.002)
_FAN = Picture(
    "budget",
    "The line of the slide and the fan of half angles that a small error makes of it.",
    lambda n: {"half_angle": n.half.degrees if hasattr(n, "half") else 20.0},
)
_OVER = Picture(
    "setup triangle",
    "A right triangle: the work between its centre points as the hypotenuse, the set-over "
    "opposite the half angle.",
    lambda n: {"half_angle": n.half.degrees},
)


def _draw_work(shop: Shop) -> dict[str, float]:
    work = shop.length((6.0, 10.0, 0.05), (150, 250, 1))
    holes = shop.length((0.3, 0.6, 0.02), (8, 15, 1))
    return {**shop.included_angle(6, 8), "work_length": work, "over_all": round(work + holes, 3)}


def _draw_runs(shop: Shop) -> dict[str, float]:
    return {
        **shop.included_angle(40, 70),
        "run": shop.length((1.5, 2.6, 0.05), (38, 66, 1)),
        "error_minutes": int(shop.step(8, 20, 1)),
    }


def _step(n: Numbers) -> dict[str, Any]:
    error = Angle.from_arc_seconds(60 * n.error_minutes)
    stands = n.half + error
    return {
        "answer": 2 * seam_step(n.run, n.half, error.radians),
        "stands": stands,
        "sine": math.sin(error.radians),
        "cosine": math.cos(stands.radians),
    }


def _step_slipped(who: Somebody) -> float:
    out = who.error_minutes / 60
    return who.walls * who.run * who.plain_sine(out) / who.cosine(who.half + out)


def _draw_blue(shop: Shop) -> dict[str, float]:
    return {
        "film": shop.length((0.0001, 0.0005, 0.0001), (0.003, 0.012, 0.001)),
        "blue_length": shop.length((0.2, 0.6, 0.02), (5, 15, 0.5)),
    }


QUESTIONS = (
    Question(
        "set-over between centres",
        "longer than the slide",
        _draw_work,
        "An external taper with an included angle of {included_angle} is turned between centres, "
        "the tailstock set over. The work is {over_all} long over all and {work_length} between "
        "its centre points. How far is the tailstock set over?",
        _WITHIN,
        lambda n: {"answer": set_over(n.work_length, n.half)},
        _OVER.asking("set_over", "included_angle", "work_length", "over_all"),
        (
            HALVED,
            "Set over, the work is the hypotenuse: set-over = length between the centre points × "
            "sin α.",
            "{work_length} × {sin:.6f} = {answer:2}.",
        ),
        lambda who: (
            (who.over_all if who.makes(LENGTH_OVER_ALL) else who.work_length) * who.sine(who.half)
        ),
        (
            INCLUDED_AS_HALF, HALVED_AGAIN, MINUTES_AS_DECIMALS, RADIANS, *SINE, COMPLEMENT_USED,
            LENGTH_OVER_ALL,
        ),
        (
            "Draw the triangle of the work: which side does it lie along when the tailstock is set "
            "over?",
            "The work between its centre points is the hypotenuse; opposite the half angle stands "
            "the set-over.",
        ),
        {
            TANGENT_FOR_SINE: (
                "Is the length of this work measured along the bed, or along the work?",
                "Along the work, which is the hypotenuse: its partner is the sine. The shop rule, "
                "length × taper ÷ 2, is the tangent, and a hair too much.",
            )
        },
        further={INVERSE_OPERATION: lambda n: n.work_length / n.sin},
    ),
    Question(
        "step where two runs are joined",
        "longer than the slide",
        _draw_runs,
        "A cone with an included angle of {included_angle} is cut in two runs of the compound "
        "slide, {run} each. Between the runs carriage and cross slide are moved by just what the "
        "half angle asks; but the slide stands {error_minutes:g}′ too steep. How large is the step "
        "at the seam, on diameter?",
        _WITHIN,
        _step,
        _FAN.asking("step", "included_angle", "run", angle_error="{error_minutes:g}′"),
        (
            "Half angle wanted: {included_angle} / 2 = {half}; the slide stands at {stands}.",
            "Square to the wall the two runs lie run × sin {error_minutes:g}′ apart, on radius "
            "that ÷ cos {stands}.",
            "Both walls: 2 × {run} × {sine:.6f} / {cosine:.6f} = {answer:2}.",
        ),
        _step_slipped,
        (TAPER_ON_RADIUS, INCLUDED_AS_HALF, HALVED_AGAIN, COMPLEMENT_USED),
        (
            "Both runs lean alike. By how much has the first drifted off the wall by its end?",
            "Run × sine of the error, square to the wall; divided by the cosine of the angle as it "
            "stands, on radius; and a diameter has two walls.",
        ),
        further={
            DEGREES_FOR_MINUTES: lambda n: (
                2 * n.run * math.sin(math.radians(n.error_minutes))
                / math.cos(n.half.radians + math.radians(n.error_minutes))
            ),
        },
    ),
    Question(
        "angle error from blue",
        "showing blue",
        _draw_blue,
        "A true gauge is wiped with blue, a film about {film:1} thick. The cone takes it over "
        "{blue_length} of its wall from one end, and nowhere else. About how many minutes is the "
        "half angle out?",
        TENTHS_OF_A_MINUTE,
        lambda n: {
            "answer": error_from_blue(n.film, n.blue_length),
            "ratio": n.film / n.blue_length,
        },
        _FAN.asking("angle_error", film="{film:1}", blue_length="{blue_length}"),
        (
            "Where the blue ends, the gap is as wide as the film: tan of the error = {film:1} / "
            "{blue_length} = {ratio:.6f}.",
            "The inverse tangent of that is {answer.minutes:.1f}′. No figure is better than the "
            "film is known.",
        ),
        lambda who: 60 * who.stated(math.degrees(math.atan(who.film / who.blue_length))),
        (INCLUDED_AS_HALF, HALVED_AGAIN),
        (
            "How wide is the gap where the blue ends?",
            "There it is as wide as the film is thick. Film over length is the tangent of the "
            "error.",
        ),
    ),
)  # fmt: skip
