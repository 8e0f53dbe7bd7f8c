"""Gauge blocks and the sine bar: the stack for an angle, and a plug gauge checked on it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache, reduce

import numpy as np

from tapertrig.angle import Angle, half_angle_radians
from tapertrig.cone import Cone
from tapertrig.lathe import Dial, Lathe
from tapertrig.limits import finite, positive, whole
from tapertrig.setup import (
    ARC_SECONDS_PER_RADIAN,
    WholeGraduationSetup,
    whole_graduation_setups,
)

MOST_BLOCKS = 8
LONGEST_SEARCH = 1_000_000


def _row(first: int, last: int, step: int, unit: str) -> tuple[float, ...]:
    return tuple(float(Fraction(n) * Fraction(unit)) for n in range(first, last + 1, step))


# Sets as makers commonly sell them, 81 pieces in inches and 87 in millimetres; from memory.
BLOCK_SETS: dict[str, tuple[float, ...]] = {
    "in": (
        *_row(1001, 1009, 1, "0.0001"),
        *_row(101, 149, 1, "0.001"),
        *_row(50, 950, 50, "0.001"),
        *_row(1, 4, 1, "1"),
    ),
    "mm": (
        *_row(1001, 1009, 1, "0.001"),
        *_row(101, 149, 1, "0.01"),
        *_row(5, 95, 5, "0.1"),
        *_row(10, 100, 10, "1"),
    ),
}


# Without the finest blocks: three or four do, and the needle tells what they lack.
_FINE = {"in": 1e-3, "mm": 1e-2}


@dataclass(frozen=True)
class Stack:
    """Blocks wrung together, the largest first; `error` is their height less the one wanted."""

    blocks: tuple[float, ...]
    height: float
    error: float


def nearest_stack(wanted: float, blocks: Sequence[float], most: int = 5) -> Stack:
    """The stack of at most `most` blocks of a set, each used once, nearest to a height.

    Of equally near stacks the one with the fewest blocks. The search is complete: every sum the
    set can make is looked at, in steps of the finest block.
    """
    wanted = positive("stack height", wanted, 1.4272)
    whole("most blocks", most, 1, MOST_BLOCKS, 5)
    if len(blocks) == 0:
        raise ValueError("the block set is empty; give its blocks, for example (0.1, 0.2, 1.0)")
    exact = [Fraction(repr(positive("block", block, 0.1))) for block in blocks]
    step = reduce(_common_step, exact)
    sizes = [int(block / step) for block in exact]
    # A sum past twice the height is further off than no block at all.
    top = max(math.ceil(2 * wanted / step), min(sizes))
    if top > LONGEST_SEARCH:
        raise ValueError(
            f"blocks in steps of {float(step):g} make over {LONGEST_SEARCH:,} sums up to "
            f"{2 * wanted:g}; use fewer decimals or a smaller stack"
        )
    made_by = _sums(sizes, top, most)
    reached = [np.flatnonzero(row >= 0) for row in made_by]
    best = min(
        (abs(int(total) * step - Fraction(repr(wanted))), count, int(total))
        for count, totals in enumerate(reached)
        if count and len(totals)
        for total in _neighbours(totals, float(wanted / step))
    )
    _, count, total = best
    chosen, left = [], total
    for k in range(count, 0, -1):
        index = int(made_by[k, left])
        chosen.append(index)
        left -= sizes[index]
    height = float(total * step)
    stack = sorted((float(exact[i]) for i in chosen), reverse=True)
    return Stack(tuple(stack), height, height - wanted)


def _common_step(one: Fraction, other: Fraction) -> Fraction:
    return Fraction(
        math.gcd(one.numerator * other.denominator, other.numerator * one.denominator),
        one.denominator * other.denominator,
    )


def _neighbours(totals: np.ndarray, wanted: float) -> np.ndarray:
    place = int(np.searchsorted(totals, wanted))
    return totals[max(place - 2, 0) : place + 2]


def _sums(sizes: Sequence[int], top: int, most: int) -> np.ndarray:
    """For each count of blocks and each sum: the block that first made it, or −1.

    That block's predecessor sum was made by earlier blocks only, so following the chain back
    never uses a block twice.
    """
    made_by = np.full((most + 1, top + 1), -1, dtype=np.int32)
    made_by[0, 0] = len(sizes)
    for index, size in enumerate(sizes):
        if size > top:
            continue
        for count in range(most, 0, -1):
            below = made_by[count - 1, : top + 1 - size]
            here = made_by[count, size:]
            here[(below >= 0) & (here < 0)] = index
    return made_by


@lru_cache(maxsize=4096)
def gauge_stack(travel: float, unit: str) -> Stack:
    """The blocks of a common set, without its finest, nearest to a travel."""
    fine = _FINE[unit]
    blocks = tuple(b for b in BLOCK_SETS[unit] if abs(b / fine - round(b / fine)) < 1e-6)
    return nearest_stack(max(round(travel / fine), 1) * fine, blocks)


def travel_stack(
    half_angle: Angle, lathe: Lathe, longest: float | None = None
) -> tuple[Stack, WholeGraduationSetup]:
    """The stack to run the compound by, and what the cross dial must then show.

    Of the travels whose cross reading falls nearest to a line (`whole_graduation_setups`, the
    blocks' finest step for the compound's dial) the one with the fewest blocks. `longest` is
    the longest travel, by itself all that leaves half a turn of run-up.
    """
    if longest is None:
        longest = max(lathe.usable_travel() - lathe.take_up, lathe.usable_travel() / 2)
    fine = _FINE[lathe.unit]
    by_blocks = replace(lathe, compound_dial=Dial(fine, 100 * fine))
    found = whole_graduation_setups(half_angle, by_blocks, 0.75 * longest, 10, longest=longest)
    made = ((gauge_stack(one.compound_travel, lathe.unit), one) for one in found)
    return min(made, key=lambda pair: (len(pair[0].blocks), abs(pair[1].angle_error)))


def sine_bar_stack(angle: Angle, bar_length: float) -> float:
    """Stack under a sine bar for an angle: L sin θ (Mechanical Engineer's Data Handbook 7.2.3)."""
    length = positive("sine bar length", bar_length, 5.0)
    return length * math.sin(half_angle_radians(angle, "sine bar angle"))


def sine_bar_angle(stack: float, bar_length: float) -> Angle:
    """The angle a stack sets: asin(stack/L); ValueError for a stack as high as the bar is long."""
    stack = positive("stack height", stack, 1.4272)
    length = positive("sine bar length", bar_length, 5.0)
    if stack >= length:
        raise ValueError(
            f"the stack is {stack:g} and the sine bar {length:g}; the stack must be the lower"
        )
    return Angle.from_radians(math.asin(stack / length))


@dataclass(frozen=True)
class SineBarCheck:
    """A plug gauge on a sine bar: the stack it wants, and what the blocks at hand can make.

    `angle_error` is the angle set less the included angle, in arc-seconds; `rise` is what the
    indicator then shows for a perfect gauge, per unit of length, large end less small end.
    """

    wanted: float
    stack: Stack
    angle_set: Angle
    angle_error: float
    rise: float


def sine_bar_check(
    cone: Cone, bar_length: float, blocks: Sequence[float], most: int = 5
) -> SineBarCheck:
    """Set up a sine bar so that the top line of a plug gauge lying on it is level.

    The bar carries the whole included angle. ValueError for an internal cone or an included
    angle of 90° or more.
    """
    if cone.internal:
        raise ValueError("this cone is internal; a sine bar checks an external one, a plug gauge")
    wanted = sine_bar_stack(cone.included_angle, bar_length)
    stack = nearest_stack(wanted, blocks, most)
    angle = sine_bar_angle(stack.height, bar_length)
    error = (angle - cone.included_angle).radians
    return SineBarCheck(
        wanted=wanted,
        stack=stack,
        angle_set=angle,
        angle_error=error * ARC_SECONDS_PER_RADIAN,
        rise=-math.tan(error),
    )


def included_angle_on_sine_bar(
    stack: float, bar_length: float, rise: float = 0.0, run: float = 1.0
) -> Angle:
    """Included angle of a plug gauge from stack and indicator: asin(stack/L) + atan(rise/run).

    `rise` is the reading at the large end less that at the small end, over the length `run`.
    """
    rise, run = finite("rise", rise, 0.0002), positive("run", run, 2.0)
    return sine_bar_angle(stack, bar_length) + Angle.from_radians(math.atan(rise / run))
