"""Other ways of setting the slide: by eye, by a sine bar, by a known taper, side by side."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np

from tapertrig.angle import Angle, half_angle_radians
from tapertrig.budget.slide_angle import NO_ANGLE, AngleBudget
from tapertrig.decision import coverage_factor, of_parts
from tapertrig.limits import one_of, positive
from tapertrig.uncertainty import Input, Propagated, propagate

# Half-widths, common practice, no source: a whole-degree base is estimated to a quarter degree.
BY_EYE = Angle.from_dms(0, 15)
BASE_ZERO = Angle.from_dms(0, 5)
KNOWN_TAPER = Angle.from_dms(0, 0, 20)
MOUNTING = Angle.from_dms(0, 0, 20)
# Typical of a small shop's kit: common practice, no source.
SINE_BAR = {
    "in": {"bar_length": 5.0, "block_error": 0.00005, "bar_error": 0.0002},
    "mm": {"bar_length": 100.0, "block_error": 0.001, "bar_error": 0.005},
}


def _snugging(most: Angle) -> Input:
    return Input("snugging up", 0.0, most.radians, "triangular")


def _null(null: float, repeats: int | None) -> Input:
    """The indicator's null as a length: one scatter, known from so many repeats, at both ends."""
    known = math.inf if repeats is None else repeats - 1
    return Input("null, both ends", 0.0, null, "normal", known)


def by_eye(
    half_angle: Angle,
    estimate: Angle = BY_EYE,
    zero: Angle = BASE_ZERO,
    snugging: Angle = NO_ANGLE,
) -> Propagated:
    """Setting by the base scale alone: half-widths of the estimate between lines and of the zero.

    A whole-degree base is estimated to about a quarter of a degree: common practice, no source.
    """
    return propagate(
        lambda *parts: sum(parts),
        (
            Input("reading the base scale", half_angle_radians(half_angle), estimate.radians),
            Input("zero of the base scale", 0.0, zero.radians),
            _snugging(snugging),
        ),
        (1.0, 1.0, 1.0),
    )


def by_sine_bar(
    half_angle: Angle,
    bar_length: float,
    travel: float,
    *,
    block_error: float,
    bar_error: float,
    null: float,
    null_repeats: int | None = None,
    datum: Angle = NO_ANGLE,
    snugging: Angle = NO_ANGLE,
) -> Propagated:
    """Indicating along a sine bar on gauge blocks: α = asin(blocks/bar) and a null at both ends.

    `block_error` and `bar_error` are half-widths of the stack and of the distance between the
    rolls; `travel` is the compound travel along the bar; `datum` is how far what the bar stands
    on may be out of parallel to the axis. Sine-bar relation: plane trigonometry.
    """
    alpha = half_angle_radians(half_angle)
    bar = positive("sine bar length", bar_length, 5.0)
    travel = positive("compound travel", travel, 2.6)

    def model(blocks: Any, rolls: Any, nulls: Any, *turned: Any) -> Any:
        return np.arcsin(blocks / rolls) + math.sqrt(2) * nulls / travel + sum(turned)

    return propagate(
        model,
        (
            Input("gauge blocks", bar * math.sin(alpha), block_error),
            Input("sine bar", bar, bar_error),
            _null(null, null_repeats),
            Input("datum", 0.0, datum.radians),
            _snugging(snugging),
        ),
        (1 / (bar * math.cos(alpha)), -math.tan(alpha) / bar, math.sqrt(2) / travel, 1.0, 1.0),
    )


def by_known_taper(
    half_angle: Angle,
    travel: float,
    *,
    taper_error: Angle,
    null: float,
    null_repeats: int | None = None,
    mounting: Angle = NO_ANGLE,
    snugging: Angle = NO_ANGLE,
) -> Propagated:
    """Indicating along a known taper of the same half angle, at centre height, null at both ends.

    `taper_error` and `mounting` are half-widths: of the taper's own half angle, and of the tilt
    of its axis to the spindle axis. `travel` is the compound travel along it.
    """
    travel = positive("compound travel", travel, 2.6)
    return propagate(
        lambda taper, mounted, nulls, snug: taper + mounted + math.sqrt(2) * nulls / travel + snug,
        (
            Input("the known taper", half_angle_radians(half_angle), taper_error.radians),
            Input("mounting", 0.0, mounting.radians),
            _null(null, null_repeats),
            _snugging(snugging),
        ),
        (1.0, 1.0, math.sqrt(2) / travel, 1.0),
    )


class Way(NamedTuple):
    """A way of setting the half angle, its uncertainty, and what it asks for."""

    name: str
    propagated: Propagated
    needs: str

    def expanded(self) -> float:
        """U = k u, 95 %, by the rule of every budget here."""
        known = self.propagated
        return of_parts(coverage_factor, known.contributions) * known.standard_uncertainty


def compare(
    budget: AngleBudget,
    unit: str,
    estimate_by_eye: Angle = BY_EYE,
    taper_error: Angle = KNOWN_TAPER,
    mounting: Angle = MOUNTING,
) -> tuple[Way, ...]:
    """This check beside three other ways, with the same indicator, datum and snugging up.

    The other ways' own figures are typical ones (common practice, no source); a sine bar cannot
    be indicated over more than its length.
    """
    kit = SINE_BAR[one_of("unit", unit, tuple(SINE_BAR))]
    along = min(budget.compound_travel, kit["bar_length"])
    return (
        Way(
            "slide travels and indicator",
            budget.propagated,
            "an indicator and the lathe's own dials; good for any angle",
        ),
        Way(
            "by eye",
            by_eye(budget.half_angle, estimate_by_eye, snugging=budget.snugging),
            "nothing but the base scale",
        ),
        Way(
            "sine bar and gauge blocks",
            by_sine_bar(
                budget.half_angle,
                travel=along,
                null=budget.null,
                null_repeats=budget.null_repeats,
                datum=budget.datum,
                snugging=budget.snugging,
                **kit,
            ),
            "a sine bar, gauge blocks, and something parallel to the axis to stand them on; it "
            "gets less sensitive as the angle grows",
        ),
        Way(
            "a known taper",
            by_known_taper(
                budget.half_angle,
                budget.compound_travel,
                taper_error=taper_error,
                null=budget.null,
                null_repeats=budget.null_repeats,
                mounting=mounting,
                snugging=budget.snugging,
            ),
            "a taper of this very angle, true to the spindle axis, indicated at centre height",
        ),
    )
