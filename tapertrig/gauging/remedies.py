"""What would turn “not proven” into a verdict: each remedy tried on the inspection itself.

All of them suppose that the value stays where it was found and only the uncertainty changes.
"""

from __future__ import annotations

import contextlib
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Any

import numpy as np

from tapertrig.angle import Angle
from tapertrig.decision import NOT_PROVEN, judge
from tapertrig.gauging.ball_choice import suitable_balls
from tapertrig.gauging.inspection import (
    ONE_BALL,
    Finding,
    Inspection,
    as_given,
    small_text,
    two_figures,
)
from tapertrig.job.readings import MOST_REPEATS, Gauge
from tapertrig.lathe import places_written


@dataclass(frozen=True)
class Remedy:
    """One way tried for one requirement: whether it gives a verdict, which one, and how."""

    requirement: str
    means: str
    works: bool
    verdict: str
    words: str


def uncertainty_needed(finding: Finding, inspection: Inspection) -> float:
    """The largest standard uncertainty that gives a verdict at the value found; 0 when none does.

    Guard band and k are those of its budget. ValueError for a finding that has no limits.
    """
    value, limits = finding.value, finding.limits
    if limits is None or value is None:
        raise ValueError(
            f"the {finding.requirement} has no tolerance, so there is nothing to prove"
        )

    made = finding.budget
    factors = {"guard": made.guard_factor, "coverage": made.factor} if made else {}

    def settled(u: float) -> bool:
        return judge(value, *limits, u, inspection.rule, **factors).verdict != NOT_PROVEN

    return _largest(settled, limits[1] - limits[0])


def remedies(
    inspection: Inspection, balls: Sequence[float] = (), margin: float | None = None
) -> tuple[Remedy, ...]:
    """What would settle each requirement that is not proven; those that would not are named too.

    `balls` is the set at hand, and `margin` the least clearance wanted at either end of the cone,
    a twentieth of its depth when None. Empty when nothing is left unproven.
    """
    found = []
    for finding in inspection.findings():
        if finding.judgement is not None and finding.verdict == NOT_PROVEN:
            found += [
                _better_instrument(inspection, finding),
                _more_repeats(inspection, finding),
            ]
            if inspection.method == ONE_BALL:
                found.append(_better_half_angle(inspection, finding))
            if balls and inspection.callout.internal:
                found.append(_other_balls(inspection, finding, balls, margin))
    return tuple(found)


def settling(
    inspection: Inspection, balls: Sequence[float] = ()
) -> Iterator[tuple[Finding, list[str]]]:
    """Each finding that is not proven, with what would settle it in sentences for people."""
    tried = remedies(inspection, balls)
    for finding in inspection.findings():
        if finding.verdict != NOT_PROVEN:
            continue
        if finding.judgement is None or finding.budget is None:
            yield finding, [f"{finding.reason[0].upper()}{finding.reason[1:]}."]
            continue
        needed = uncertainty_needed(finding, inspection)
        most = small_text(finding.budget.factor * needed, finding.requirement, inspection.unit)
        first = f"U would have to be {most} or less."
        ways = [way.words for way in tried if way.requirement == finding.requirement and way.works]
        yield (
            finding,
            [
                first if needed else "At this value no measurement gives a verdict.",
                *(ways or ["None of the remedies tried alone would settle it; combine them."]),
            ],
        )


def _verdict(inspection: Inspection, requirement: str) -> str:
    return next(f.verdict for f in inspection.findings() if f.requirement == requirement)


def _largest(settled: Callable[[float], bool], most: float) -> float:
    """The largest value from 0 to `most` that settles the matter; 0 when none does."""
    if settled(most):
        return most
    if not settled(most * 1e-6):
        return 0.0
    low, high = most * 1e-6, most
    for _ in range(30):
        middle = (low + high) / 2
        low, high = (middle, high) if settled(middle) else (low, middle)
    return low


def _rounded_down(value: float) -> float:
    if value <= 0:
        return 0.0
    step = 10.0 ** (math.floor(math.log10(value)) - 1)
    return math.floor(value / step + 1e-9) * step


def _tried(finding: Finding, means: str, verdict: str, words: str) -> Remedy:
    return Remedy(finding.requirement, means, verdict != NOT_PROVEN, verdict, words)


def _scaled_down(
    finding: Finding, scaled: Callable[[float], Inspection], least: float
) -> tuple[float, str]:
    """The largest share of today's uncertainty that settles a finding, and the verdict then.

    Nothing settles it, and the share is 0, where less than `least` would be needed.
    """

    def verdict(share: float) -> str:
        return _verdict(scaled(share), finding.requirement)

    share = _largest(lambda share: verdict(share) != NOT_PROVEN, 1.0)
    return (share, verdict(share)) if share >= least else (0.0, NOT_PROVEN)


def _better_instrument(inspection: Inspection, finding: Finding) -> Remedy:
    now, read, unit = inspection.instrument, inspection.readings, inspection.unit
    step, limit = now.graduation or 0.0, now.limit_of_error or 0.0

    def scaled(share: float) -> Inspection:
        better = replace(now, graduation=step * share, limit_of_error=limit * share)
        return replace(inspection, readings=replace(read, instrument=better))

    # Past a fiftieth of today's graduation nothing at a bench is on offer.
    share, verdict = _scaled_down(finding, scaled, 0.02)
    if share:
        error = two_figures(_rounded_down(limit * share))
        words = (
            f"An instrument that reads to {two_figures(_rounded_down(step * share))} {unit}"
            f"{f', good to ± {error} {unit}' if limit else ''} would settle it (now "
            f"{as_given(step)} {unit}{f' and ± {as_given(limit)}' if limit else ''})."
        )
    else:
        words = (
            "A better instrument alone would not settle it: the rest of the uncertainty is too "
            "large, or the value too near the limit."
        )
    return _tried(finding, "better instrument", verdict, words)


def _better_half_angle(inspection: Inspection, finding: Finding) -> Remedy:
    now = inspection.known_half_angle
    assert now is not None
    # Of what a budget tells the spread is u; what people know is U.
    limit = Angle.from_radians(now.spread * (now.of.factor if now.of else 1))

    def scaled(share: float) -> Inspection:
        return replace(inspection, measured_angle=replace(now, spread=now.spread * share))

    whole_seconds = limit.degrees * 3600
    share, verdict = _scaled_down(finding, scaled, 1 / whole_seconds)
    words = "Knowing the half angle better would not settle it."
    if share:
        needed = Angle.from_arc_seconds(math.floor(whole_seconds * share))
        words = (
            f"Knowing the half angle to ± {needed.dms()} would settle it (now ± {limit.dms()}); "
            "measure it with two balls."
        )
    return _tried(finding, "better half angle", verdict, words)


def _more_repeats(inspection: Inspection, finding: Finding) -> Remedy:
    rows = inspection.repeats()

    def verdict_of(count: int) -> str:
        more = tuple(
            _readings_like(row.mean, row.spread or 0.0, max(count, row.count)) for row in rows
        )
        return _verdict(_read_as_heights(inspection, rows=more), finding.requirement)

    verdict = verdict_of(MOST_REPEATS)
    words = f"Repeats alone would not settle it, not even {MOST_REPEATS} of each."
    if verdict != NOT_PROVEN:
        counts = range(min(row.count for row in rows) + 1, MOST_REPEATS + 1)
        count = next(count for count in counts if verdict_of(count) != NOT_PROVEN)
        verdict = verdict_of(count)
        words = f"{count} readings of each would settle it, if they spread as these do."
    return _tried(finding, "more repeats", verdict, words)


def _readings_like(mean: float, spread: float, count: int) -> tuple[float, ...]:
    """So many readings with just this mean and spread."""
    pattern = np.linspace(-1, 1, count)
    return tuple((mean + spread * pattern / (pattern.std(ddof=1) if count > 1 else 1)).tolist())


def _read_as_heights(inspection: Inspection, **changed: Any) -> Inspection:
    read = replace(inspection.readings, reads="height", parallel=None, outliers=(), **changed)
    return replace(inspection, readings=read)


def _other_balls(
    inspection: Inspection, finding: Finding, balls: Sequence[float], margin: float | None
) -> Remedy:
    one = inspection.method == ONE_BALL
    verdict, words = (
        NOT_PROVEN,
        f"No other {'ball' if one else 'pair'} of this set would settle it.",
    )
    best = min(
        (
            (other, changed.gauges)
            for changed in _with_other_balls(inspection, balls, margin)
            for other in changed.findings()
            if other.requirement == finding.requirement and other.verdict != NOT_PROVEN
        ),
        key=lambda found: found[0].standard_uncertainty or math.inf,
        default=None,
    )
    if best is not None:
        other, gauges = best
        unit, verdict = inspection.unit, other.verdict
        named = " and ".join(f"{gauge:.{places_written(unit)}f}" for gauge in gauges)
        words = (
            f"The {'ball' if one else 'balls'} of {named} {unit} would settle it: U is then "
            f"{(other.expanded or 0) / (finding.expanded or 1):.0%} of what it is now."
        )
    return _tried(finding, "another ball" if one else "another pair", verdict, words)


def _with_other_balls(
    inspection: Inspection, balls: Sequence[float], margin: float | None
) -> Iterator[Inspection]:
    """The inspection as it would read with other balls in the cone that was measured."""
    cone, rows = inspection.measured_cone(), inspection.repeats()
    if margin is None:
        margin = (cone.length or cone.face_diameter / cone.taper) / 20
    choices = suitable_balls(
        cone,
        sorted(set(balls), reverse=True),
        inspection.readings.edge_break or 0.0,
        inspection.readings.floor_depth,
        margin,
    )
    tops = {
        choice.ball_diameter: choice.height
        for choice in choices
        if choice.fits and choice.height is not None
    }
    for gauges in combinations(sorted(tops, reverse=True), len(inspection.gauges)):
        if gauges == inspection.gauges:
            continue
        readings = tuple(
            tuple(height - row.mean + tops[ball] for height in heights)
            for ball, row, heights in zip(gauges, rows, inspection.heights(), strict=True)
        )
        like = inspection.readings.gauges[0]
        held = tuple(Gauge(ball, like.limit) for ball in gauges)
        # A ball may still stand too near the floor for its reading to prove that it does not.
        with contextlib.suppress(ValueError):
            yield _read_as_heights(inspection, gauges=held, rows=readings)
