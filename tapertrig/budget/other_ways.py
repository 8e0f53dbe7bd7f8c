"""Other ways of setting the slide: by eye, by a sine bar, by a known taper, side by side."""

from __future__ import annotations

import math
from typing import NamedTuple

from tapertrig.angle import Angle, half_angle_radians
from tapertrig.budget.rows import ANGLE, GIVEN, LENGTH, Budget, Source, Summed
from tapertrig.budget.slide_angle import NO_ANGLE, AngleBudget
from tapertrig.limits import one_of, positive, whole

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


def _turned(
    name: str, most: Angle, distribution: str = "rectangular", group: str = "datum"
) -> Source:
    return Source(name, most.radians, 1.0, ANGLE, distribution=distribution, group=group)


def _snugging(most: Angle) -> Source:
    return _turned("snugging up", most, "triangular", "snugging up")


def _null(null: float, repeats: int | None, travel: float, grip: float = 1.0) -> Source:
    """The indicator's null as a length: one scatter, known from so many repeats, at both ends."""
    known = math.inf if repeats is None else whole("null repeats", repeats, 2, None, 5) - 1
    by = math.sqrt(2) * grip / positive("compound travel", travel, 2.6)
    return Source("null, both ends", null, by, LENGTH, GIVEN, "normal", known, group="null")


def by_eye(
    estimate: Angle = BY_EYE,
    zero: Angle = BASE_ZERO,
    snugging: Angle = NO_ANGLE,
) -> Budget:
    """Setting by the base scale alone: half-widths of the estimate between lines and of the zero.

    A whole-degree base is estimated to about a quarter of a degree: common practice, no source.
    """
    rows = (
        _turned("reading the base scale", estimate, group="base scale"),
        _turned("zero of the base scale", zero, group="base scale"),
        _snugging(snugging),
    )
    return Budget("by eye", rows)


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
) -> Budget:
    """Indicating along a sine bar on gauge blocks: α = asin(blocks/bar) and a null at both ends.

    `block_error` and `bar_error` are half-widths of the stack and of the distance between the
    rolls; `travel` is the compound travel along the bar; `datum` is how far what the bar stands
    on may be out of parallel to the axis. Sine-bar relation: plane trigonometry.
    """
    alpha = half_angle_radians(half_angle)
    bar = positive("sine bar length", bar_length, 5.0)
    stack, per = bar * math.sin(alpha), 1 / (bar * math.cos(alpha))
    rows = (
        Source("gauge blocks", block_error, per, estimate=stack, group="blocks"),
        Source("sine bar", bar_error, -math.tan(alpha) / bar, estimate=bar, group="blocks"),
        _null(null, null_repeats, travel),
        _turned("datum", datum),
        _snugging(snugging),
    )
    return Budget("sine bar and gauge blocks", rows)


def by_known_taper(
    travel: float,
    *,
    taper_error: Angle,
    null: float,
    null_repeats: int | None = None,
    mounting: Angle = NO_ANGLE,
    snugging: Angle = NO_ANGLE,
    half_angle: Angle | None = None,
    turned: bool = False,
) -> Budget:
    """Indicating along a known taper of the same half angle, at centre height, null at both ends.

    `taper_error` and `mounting` are half-widths: of the taper's own half angle, and of the tilt
    of its axis to the spindle axis. `travel` is the compound travel along it. With the half angle,
    ∂θ/∂e = cos α/s, else at most 1/s; `turned` is the mean of two sweeps, spindle half round:
    two nulls, and of the mounting only what is told as such (a tailstock's offset stays).
    """
    grip = 1.0 if half_angle is None else math.cos(half_angle_radians(half_angle))
    rows = (
        _turned("the known taper", taper_error, group="known taper"),
        _turned("mounting", mounting, group="mounting"),
        _null(null, null_repeats, travel, grip / math.sqrt(1 + turned)),
        _snugging(snugging),
    )
    return Budget("a known taper", rows)


class Way(NamedTuple):
    """A way of setting the half angle, its budget, and what it asks for."""

    name: str
    budget: Summed
    needs: str

    def expanded(self) -> float:
        """U = k u, 95 %, radians."""
        return self.budget.expanded()


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
            budget,
            "an indicator and the lathe's own dials; good for any angle",
        ),
        Way(
            "by eye",
            by_eye(estimate_by_eye, snugging=budget.snugging),
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
