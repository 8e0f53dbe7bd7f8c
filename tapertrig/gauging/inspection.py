"""An inspection: what the print asks and what was read make a value, its U, and a verdict.

`findings(job)` gives one `Finding` for each requirement of each cone; limits come from the print
alone. An `Inspection` is one callout with one set of readings, worked out by JCGM 100 with each
input named.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from statistics import NormalDist
from textwrap import shorten
from typing import Any, NamedTuple

import numpy as np

from tapertrig.angle import Angle
from tapertrig.budget.proof import no_longer_stated, part_by_proof, stated_by_proof
from tapertrig.budget.rows import ANGLE, LENGTH, NUMBER, WARMTH, Budget, Source
from tapertrig.cone import Cone
from tapertrig.decision import (
    CONFORMS,
    DOES_NOT_CONFORM,
    GUARD_BAND,
    NOT_PROVEN,
    Judgement,
    Rule,
    judge,
)
from tapertrig.gauging.balls import (
    ball_clearance,
    bare_face_diameter,
    bare_half_angle,
    face_diameter_from_ball,
    half_angle_from_two_balls,
    height_from_depth,
)
from tapertrig.gauging.rolls import face_diameter_from_rolls, half_angle_from_rolls, roll_contact
from tapertrig.job import METHODS, Callout, Instrument, Job, Readings, Scatter
from tapertrig.lathe import in_unit, places_written
from tapertrig.limits import InfiniteToo, Number, finite
from tapertrig.uncertainty import Contribution, Input, Propagated, propagate, student_t

NO_LIMIT = "no limit given"
NOT_MEASURED = "not measured"
REQUIREMENTS = FACE, HALF_ANGLE = ("face diameter", "half angle")
ONE_BALL, TWO_BALLS, ROLLS = METHODS
OUT_OF_ROUND = "out of round"
FURTHER = ("dirt", "re-seating", OUT_OF_ROUND)
FLAT = "rectangular", math.inf
# Two-sided significance from which ISO 5725-2:2019 calls a reading an outlier.
OUTLIER = 0.01
OUTLIER_TEST = "Grubbs' test at 1 % (ISO 5725-2, ASTM E178)"


def as_given(value: float) -> str:
    """A length just as it was given and never as a power of ten: 0.00005."""
    return np.format_float_positional(value, trim="-")


def two_figures(value: float) -> str:
    """A small length to two figures and never as a power of ten: 0.000029."""
    if value <= 0:
        return "0"
    places = max(1 - math.floor(math.log10(float(f"{value:.1e}"))), 0)
    return f"{value:.{places}f}"


def rounded_up(value: float) -> tuple[float, int]:
    """An expanded uncertainty to two figures, never down, and its decimal places."""
    if value <= 0:
        return 0.0, 0
    place = math.floor(math.log10(value)) - 1
    up = math.ceil(value / 10.0**place - 1e-9)
    if up == 100:
        up, place = 10, place + 1
    return up * 10.0**place, max(-place, 0)


def two_figures_signed(value: float) -> str:
    """A small length with its sign, to two figures."""
    return f"{'−' if value < 0 else '+'}{two_figures(abs(value))}"


def small_text(value: float, requirement: str, unit: str) -> str:
    """A small amount of a requirement as it is written: arc-seconds of an angle, else a length."""
    if requirement == HALF_ANGLE:
        return f"{math.degrees(value) * 3600:.1f}″"
    return f"{two_figures(value)} {unit}"


@dataclass(frozen=True)
class Repeats:
    """Repeated readings: how many, their mean, spread s, u = s/√n and n − 1 degrees of freedom.

    Spread and degrees of freedom are None for a single reading, whose spread nobody knows.
    """

    count: int
    mean: float
    spread: float | None
    standard_uncertainty: float
    degrees_of_freedom: int | None

    @classmethod
    def of(cls, readings: Sequence[float]) -> Repeats:
        """From the readings (JCGM 100 clause 4.2); ValueError when there is none."""
        if len(readings) == 0:
            raise ValueError("there is no reading; take at least one, better five")
        values = [finite("reading", reading) for reading in readings]
        if len(values) == 1:
            return cls(1, values[0], None, 0.0, None)
        known = Input.from_readings("readings", values)
        spread = known.standard_uncertainty * math.sqrt(len(values))
        return cls(len(values), known.estimate, spread, known.standard_uncertainty, len(values) - 1)


def grubbs_critical(count: int, significance: float = OUTLIER) -> float:
    """How many s from the mean the farthest of `count` ≥ 3 readings may lie, two-sided.

    F. E. Grubbs 1950 by way of Student's t: (n − 1)/√n √(t²/(n − 2 + t²)), t at α/2n with n − 2
    degrees of freedom. ISO 5725-2 calls it an outlier at 1 %.
    """
    t = student_t(1 - significance / count, count - 2)
    return (count - 1) / math.sqrt(count) * math.sqrt(t * t / (count - 2 + t * t))


def outlier_in(readings: Sequence[float], graduation: float = 0.0) -> int | None:
    """Place of the reading that Grubbs' test flags; None when none is, or there are fewer than 3.

    One that stands no more than a graduation from another reading is never flagged: what is
    rounded to whole graduations is not normal, and 3 3 3 4 would be flagged by rounding alone.
    """
    values = np.asarray(readings, dtype=float)
    if len(values) < 3 or values.std(ddof=1) == 0:
        return None
    far = np.abs(values - values.mean())
    place = int(far.argmax())
    nearest = np.abs(np.delete(values, place) - values[place]).min()
    too_far = far[place] > grubbs_critical(len(values)) * values.std(ddof=1)
    return place if too_far and nearest > graduation * (1 + 1e-6) else None


def scatters_more(found: Repeats, stated: Scatter) -> bool:
    """Whether readings scatter more than is stated: the variance ratio F, one-sided at 1 %.

    The quantile of F by E. Paulson 1942, after Wilson and Hilferty's cube root: from 5 stated
    degrees of freedom within a few parts in a hundred; with fewer it lets more pass.
    """
    if found.degrees_of_freedom is None or found.spread is None:
        return False
    here, there = 2 / (9 * found.degrees_of_freedom), 2 / (9 * stated.degrees_of_freedom)
    root = (found.spread / stated.value) ** (2 / 3)
    normal = ((1 - there) * root - (1 - here)) / math.sqrt(there * root**2 + here)
    return normal > NormalDist().inv_cdf(1 - OUTLIER)


def struck(readings: Readings) -> tuple[set[int], ...]:
    """For each row the places of the readings that were struck out as outliers."""
    return tuple(
        {one.place for one in readings.outliers if one.row == row and one.struck}
        for row in range(len(readings.rows))
    )


def struck_at_will(readings: Readings) -> tuple[tuple[int, int], ...]:
    """Row and place of each reading that was struck out and that the outlier test does not flag."""
    found, graduation = [], (readings.instrument or Instrument()).graduation or 0.0
    left = [list(range(len(row))) for row in readings.rows]
    for one in readings.outliers:
        if one.struck and one.place in (here := left[one.row]):
            place = outlier_in([readings.rows[one.row][i] for i in here], graduation)
            if place is None or here[place] != one.place:
                found.append((one.row, one.place))
            here.remove(one.place)
    return tuple(found)


def flagged(readings: Readings) -> tuple[tuple[int, int], ...]:
    """Row and place of each outlier that nobody has struck out or kept with a reason."""
    found = []
    tool = readings.instrument or Instrument()
    for row, (read, gone) in enumerate(zip(readings.rows, struck(readings), strict=True)):
        left = [place for place in range(len(read)) if place not in gone]
        place = outlier_in([read[i] for i in left], tool.graduation or 0.0)
        decided = {one.place for one in readings.outliers if one.row == row}
        if place is not None and left[place] not in decided:
            found.append((row, left[place]))
    return tuple(found)


@dataclass(frozen=True)
class HalfAngleUsed:
    """The half angle that the height of one ball is worked out with, and where it comes from.

    Radians. `spread` is a half-width, or the standard uncertainty where a budget tells it: the one
    it is the sum `of`. `words`, the `text` of the value and its `origin`, go on the record.
    """

    value: InfiniteToo
    spread: InfiniteToo
    text: str
    origin: str
    of: Budget | None = None

    @property
    def words(self) -> str:
        """The value and where it comes from."""
        return f"{self.text}, {self.origin}"


class Term(NamedTuple):
    """One input: its row of the budget, and the places of the formula it adds `by` times to."""

    row: Source
    places: tuple[int, ...]
    by: float = 1.0
    repeats: bool = False


@dataclass(frozen=True)
class Finding:
    """What was found of one requirement of one cone, and the verdict on it with its reason.

    A face diameter and its limits are in `unit`, a half angle in radians. `value` is None while
    nothing is measured, and `budget` while nobody knows how sure; `reason` then says why.
    `judgement` holds the zones of a verdict that was reached by the rule.
    """

    cone: int
    requirement: str
    verdict: str
    reason: str
    unit: str
    rule: Rule = GUARD_BAND
    nominal: float | None = None
    limits: tuple[float, float] | None = None
    value: float | None = None
    judgement: Judgement | None = None
    cone_name: str = ""
    readings: Readings | None = None
    budget: Budget | None = None

    @property
    def name(self) -> str:
        """The requirement, with its cone's name where the print has several."""
        named = f"{self.cone_name}, {self.requirement}" if self.cone_name else self.requirement
        return named[0].upper() + named[1:]

    @property
    def standard_uncertainty(self) -> float | None:
        """Combined standard uncertainty; None while it is not known."""
        return None if self.budget is None else self.budget.standard_uncertainty

    @property
    def expanded(self) -> float | None:
        """Expanded uncertainty U, 95 %; None while u is not known."""
        return None if self.budget is None else self.budget.expanded()

    @property
    def factor_words(self) -> str:
        """The factor as a record states it: “k = 2”, or what Student's t makes of it."""
        factor = 2.0 if self.budget is None else self.budget.factor
        return "k = 2" if factor < 2.005 else f"k = {factor:.2f} by Student's t"

    def guard_words(self) -> str:
        """The guard band of this requirement in words; empty where the rule has none."""
        if self.judgement is None or self.budget is None or self.rule.kind != "guard band":
            return ""
        guard = self.budget.guard_factor
        size = small_text(guard * self.budget.standard_uncertainty, self.requirement, self.unit)
        return f"{self.name[0].lower()}{self.name[1:]} {size} ({guard:.2f} u)"

    def _in(self, value: float, unit: str) -> float:
        return value if self.requirement == HALF_ANGLE else float(in_unit(value, self.unit, unit))

    def text(self, value: float, unit: str) -> str:
        """A value of this requirement as it is written."""
        if self.requirement == HALF_ANGLE:
            return Angle.from_radians(value).dms()
        return f"{self._in(value, unit):.{places_written(unit) + 1}f} {unit}"

    def result(self, unit: str) -> str:
        """Value ± U with the factor stated, U to two figures and rounded up."""
        if self.value is None:
            return NOT_MEASURED if self.verdict == NOT_MEASURED else "no value"
        if self.expanded is None:
            return f"{self.text(self.value, unit)}, U not known"
        if self.requirement == HALF_ANGLE:
            spread, places = rounded_up(math.degrees(self.expanded) * 3600)
            value = Angle.from_radians(self.value).dms(places)
            return f"{value} ± {Angle.from_arc_seconds(spread).dms(places)} ({self.factor_words})"
        spread, places = rounded_up(self._in(self.expanded, unit))
        value = f"{self._in(self.value, unit):.{places}f}"
        return f"{value} ± {spread:.{places}f} {unit} ({self.factor_words})"

    def words(self, unit: str) -> str:
        """The whole finding in a line: requirement, result, verdict and why."""
        if self.verdict == NOT_MEASURED:
            return f"{self.name}: {NOT_MEASURED}: {self.reason}"
        why = f", {self.reason}" if self.reason else ""
        return f"{self.name}: {self.result(unit)}: {self.verdict}{why}"


def asked(
    callout: Callout, requirement: str, unit: str
) -> tuple[float | None, tuple[float, float] | None]:
    """Nominal value and limits that the print gives; None for what it does not."""
    if requirement == FACE:
        there = callout.in_unit(unit)
        return there.face_diameter, there.diameter_limits
    if callout.kind is None:
        return None, None
    angle, tolerance = callout.half_angle, callout.half_angle_tolerance
    if tolerance is None:
        return angle.radians, None
    return angle.radians, ((angle - tolerance).radians, (angle + tolerance).radians)


def jointly(found: Sequence[Finding]) -> str:
    """What several results at 95 % each promise together; empty for one."""
    count = sum(one.judgement is not None for one in found)
    if count < 2:
        return ""
    return (
        f"{count} results at 95 % each: all of them together hold at {100 - 5 * count} % or more, "
        "however they go together (Bonferroni). "
    )


def headline(found: Sequence[Finding]) -> str:
    """Every requirement with its verdict, in one line."""
    return ". ".join(f"{one.name}: {one.verdict}" for one in found) or "Nothing is asked for"


@dataclass(frozen=True)
class Inspection:
    """One cone of the print with one set of readings of it. Lengths in the readings' unit.

    Every ± limit of gauge, instrument and face is taken as rectangular. `measured_angle` is the
    half angle that other readings of this part, or a pass at the lathe, proved, for one ball; NaN
    for its spread where they no longer do, and why in its origin. ValueError when a reading
    cannot come from a ball or a roll that rests on such a cone.
    """

    callout: Callout
    readings: Readings
    measured_angle: HalfAngleUsed | None = None
    cone_name: str = ""

    def __post_init__(self) -> None:
        if self.callout.internal == (self.method == ROLLS):
            kind, fit = ("internal", "balls") if self.callout.internal else ("external", "rolls")
            raise ValueError(f"method is “{self.method}”, but the cone is {kind}: use {fit}")
        # Where an outlier moves the mean off the wall, the outlier is what there is to say.
        if self.known_half_angle is not None and not self.flagged:
            self._check_contact()

    def _check_contact(self) -> None:
        cone = self.measured_cone()
        if not cone.internal:
            roll_contact(cone, self.gauges[0], self.block_height)
            return
        tool = self.instrument
        doubt = sum((tool.graduation or 0, tool.limit_of_error or 0, self.readings.face_limit or 0))
        depth = self.readings.edge_break or 0.0
        for ball in self.gauges:
            # Contact lies (d/2)(1 + sin α) below the ball's top, so a reading moves it one for one.
            left = ball_clearance(cone, ball, depth, self.readings.floor_depth)
            if min(left) > doubt:
                continue
            if left.above <= left.below:
                end, other = "edge break" if depth else "face edge", "smaller"
            else:
                end, other = "bottom, or of the wall's lower end", "larger"
            raise ValueError(
                f"by its reading the ball of {ball:g} is within {doubt:g} of the {end}: it touches "
                f"there, or may; use a {other} ball"
            )

    # -- what was given ---------------------------------------------------------------------

    @property
    def unit(self) -> str:
        """The unit of the readings."""
        return self.readings.unit

    @property
    def method(self) -> str:
        """One of METHODS."""
        return self.readings.method

    @property
    def gauges(self) -> tuple[float, ...]:
        """Diameters of the balls, or of the rolls."""
        return tuple(gauge.size for gauge in self.readings.gauges)

    @property
    def block_height(self) -> float:
        """Height of the blocks under the high rolls; zero with balls."""
        return 0.0 if self.readings.blocks is None else self.readings.blocks.size

    @property
    def instrument(self) -> Instrument:
        """The instrument, as far as it is given."""
        return self.readings.instrument or Instrument()

    @property
    def rule(self) -> Rule:
        """How the verdict is reached."""
        return Rule(self.readings.rule)

    @cached_property
    def printed_angle(self) -> Angle | None:
        """The half angle the print asks for; None when it gives none."""
        return None if self.callout.kind is None else self.callout.half_angle

    @cached_property
    def known_half_angle(self) -> HalfAngleUsed | None:
        """For one ball: the half angle it takes and where that comes from; None when nowhere.

        Measured on this part, or stated with its origin, or the print's with its own tolerance
        as the widest it may be out. Without a tolerance the print's value alone, its spread NaN.
        """
        if self.method != ONE_BALL:
            return HalfAngleUsed(math.nan, math.nan, "", "")
        if self.measured_angle is not None:
            return self.measured_angle
        stated, printed = self.readings.stated_angle, self.printed_angle
        # What a pass proved only the job can tell.
        if stated is not None and not stated.by_a_pass:
            return HalfAngleUsed(
                stated.half_angle.radians,
                stated.limit.radians,
                f"{stated.half_angle.dms()} ± {stated.limit.dms()}",
                f"stated: {stated.origin}",
            )
        if printed is None:
            return None
        tolerance = self.callout.half_angle_tolerance
        if tolerance is None:
            unsure = "how sure: not given"
            return HalfAngleUsed(printed.radians, math.nan, printed.dms(), unsure)
        return HalfAngleUsed(
            printed.radians,
            tolerance.radians,
            f"{printed.dms()} ± {tolerance.dms()}",
            "the print's own tolerance taken as the widest it may be out; it was not measured",
        )

    # -- what was read ----------------------------------------------------------------------

    def heights(self) -> tuple[tuple[float, ...], ...]:
        """All readings as heights over the face, or as measures over the rolls."""
        if self.readings.reads == "height":
            return self.readings.rows
        parallel = self.readings.parallel or 0.0
        return tuple(
            tuple(float(height_from_depth(reading, parallel)) for reading in row)
            for row in self.readings.rows
        )

    @cached_property
    def flagged(self) -> tuple[tuple[int, int], ...]:
        """Row and place of each outlier that nobody has struck out or kept with a reason."""
        return flagged(self.readings)

    def repeats(self) -> tuple[Repeats, ...]:
        """Mean and spread of each row of `heights()`, without what was struck out."""
        return self._repeats

    @cached_property
    def _repeats(self) -> tuple[Repeats, ...]:
        return tuple(
            Repeats.of([h for place, h in enumerate(heights) if place not in gone])
            for heights, gone in zip(self.heights(), struck(self.readings), strict=True)
        )

    @cached_property
    def scatter(self) -> Scatter | None:
        """The one scatter behind every mean: as stated, or pooled from two rows of repeats.

        One instrument in one hand: s² = Σ(n − 1)s²/Σ(n − 1), with that sum as its degrees of
        freedom (JCGM 100 4.2.4). None where there is but one row, or no scatter at all.
        """
        if self.readings.scatter is not None or len(rows := self.repeats()) == 1:
            return self.readings.scatter
        degrees = sum(row.degrees_of_freedom or 0 for row in rows)
        squares = sum((row.degrees_of_freedom or 0) * (row.spread or 0) ** 2 for row in rows)
        return (
            Scatter(math.sqrt(squares / degrees), degrees, "both rows, pooled") if squares else None
        )

    def measured_cone(self) -> Cone:
        """The cone that the mean readings tell, cut off where the print's cone ends."""
        return self._measured_cone

    @cached_property
    def _measured_cone(self) -> Cone:
        means = [row.mean for row in self.repeats()]
        if self.method == ONE_BALL:
            if self.known_half_angle is None:
                raise ValueError(f"{_NO_ANGLE}, so its height tells no diameter")
            half_angle = Angle.from_radians(self.known_half_angle.value)
            face = face_diameter_from_ball(half_angle, self.gauges[0], means[0])
        elif self.method == TWO_BALLS:
            large, small = self.gauges
            half_angle = half_angle_from_two_balls(large, means[0], small, means[1])
            face = face_diameter_from_ball(half_angle, large, means[0])
        else:
            half_angle = half_angle_from_rolls(means[0], means[1], self.block_height)
            face = face_diameter_from_rolls(half_angle, self.gauges[0], means[0])
        length = self.callout.in_unit(self.unit).length
        if length is not None and self.callout.internal:
            length = min(length, float(face) / (2 * math.tan(half_angle.radians)))
        return Cone(half_angle, float(face), length, self.callout.internal)

    # -- how sure it is ---------------------------------------------------------------------

    def doubts(self) -> tuple[str, ...]:
        """Why no uncertainty can be stated, in sentences' ends; none when one can."""
        told, read = [], self.readings
        for row, place in self.flagged:
            reading = as_given(read.rows[row][place])
            told.append(
                f"the reading {reading} is an outlier by {OUTLIER_TEST}; strike it out or keep it, "
                "with the reason"
            )
        for row, place in struck_at_will(read):
            reading = as_given(read.rows[row][place])
            told.append(f"the reading {reading} was struck out and is no outlier by {OUTLIER_TEST}")
        if read.scatter and any(scatters_more(row, read.scatter) for row in self.repeats()):
            told.append(
                "the readings scatter more than is stated (F test at 1 %); leave the stated "
                "scatter out, or find why"
            )
        if read.scatter is None and any(row.count == 1 for row in self.repeats()):
            told.append(
                "one reading says nothing of its scatter; repeat it, better five times, or state "
                "a scatter with its degrees of freedom and where it comes from"
            )
        gauges, tool = (*read.gauges, *filter(None, (read.blocks,))), self.instrument
        missing = {
            "what the instrument reads to": tool.graduation,
            "how good the instrument is (±)": tool.limit_of_error,
            "how good zero and face are (±)": read.face_limit,
            "what the gauges are certified within (±)": None
            if any(gauge.limit is None for gauge in gauges)
            else 0,
        }
        told += [f"{name} is not given" for name, value in missing.items() if value is None]
        if self.known_half_angle is None:
            told.append(_NO_ANGLE)
        elif self.method == ONE_BALL and math.isnan(self.known_half_angle.spread):
            told.append(
                self.measured_angle.origin
                if self.measured_angle
                else "one ball does not measure the half angle, and how sure of it is not given: "
                "measure it with two balls, or state it with ± and where it comes from"
            )
        return tuple(told)

    def inputs(self) -> tuple[Input, ...]:
        """Every input of the result, in the order of the models' arguments.

        What is not given counts as nothing here; `doubts` says what that is.
        """
        return tuple(term.row.input for term in self._terms)

    @cached_property
    def _terms(self) -> tuple[Term, ...]:
        """What the formula is told, place by place; dirt, re-seating, form and warmth as given.

        Out of round by f on the diameter, a ball stands f/(2 tan α) off, and rolls f apart.
        """
        read, taken, names = self.readings, self.known_half_angle, _PLACES[self.method]
        rolls, heights = self.method == ROLLS, _HEIGHTS[self.method]
        rows, gauges = iter(self.repeats()), iter((*read.gauges, read.blocks))
        found: list[Term] = []
        for place, name in enumerate(names):
            if place in heights:
                found += self._read(name, place, next(rows))
            elif name != HALF_ANGLE and (gauge := next(gauges)):
                size = Source(name, gauge.limit or 0.0, 0.0, estimate=gauge.size)
                found.append(Term(size, (place,)))
        face = Source("zero" if rolls else "face and zero", read.face_limit or 0.0, 0.0)
        found.append(Term(face, heights))
        if self.method == ONE_BALL:
            assert taken is not None
            spread = 0.0 if math.isnan(taken.spread) else taken.spread
            told = shorten(taken.origin, 160, placeholder=" …")
            kind, known = ("normal", of.degrees_of_freedom) if (of := taken.of) else FLAT
            angle = Source(HALF_ANGLE, spread, 0.0, ANGLE, told, kind, known, taken.value, of=of)
            found.append(Term(angle, (2,)))
        for place in heights:
            for said, limit in zip(FURTHER, (read.dirt, read.reseating, read.form), strict=True):
                if limit is not None:
                    ball = said == OUT_OF_ROUND and not rolls
                    by = 0.5 / math.tan(self.measured_cone().half_angle.radians) if ball else 1.0
                    found.append(Term(Source(f"{names[place]}, {said}", limit, 0.0), (place,), by))
        for place, (said, kind, known, limit) in enumerate(self._warmth, len(names)):
            found.append(Term(Source(said, limit, 0.0, kind, estimate=known), (place,)))
        return tuple(found)

    def _read(self, name: str, place: int, row: Repeats) -> Iterator[Term]:
        u, degrees = row.standard_uncertainty, float(row.degrees_of_freedom or math.inf)
        if (once := self.scatter) is not None:
            u, degrees = once.value / math.sqrt(row.count), once.degrees_of_freedom
        tool, many = self.instrument, f"measured, mean of {row.count} readings"
        mean = Source(f"{name}, repeats", u, 0.0, LENGTH, many, "normal", degrees, row.mean)
        half, reads = (tool.graduation or 0.0) / 2, "half of what it reads to"
        yield Term(mean, (place,), repeats=True)
        yield Term(Source(f"{name}, graduation", half, 0.0, origin=reads), (place,))
        yield Term(Source(f"{name}, instrument", tool.limit_of_error or 0.0, 0.0), (place,))

    @property
    def _warmth(self) -> Iterator[tuple[str, str, float, float]]:
        """Name, kind, value and limit of what a correction to 20 °C rests on, if it is known."""
        read = self.readings
        if self.warmth_known:
            limit = read.temperature_limit or 0.0
            for whose in ("part", "gauge"):
                at, expands = (getattr(read, f"{whose}_{n}") for n in ("temperature", "expansion"))
                yield f"temperature of the {whose}", WARMTH, at, limit
                yield f"expansion of the {whose}", NUMBER, expands, 0.0

    @property
    def warmth_known(self) -> bool:
        """Whether the readings can be, and are still to be, corrected to 20 °C (ISO 1)."""
        read = self.readings
        known = (
            read.part_temperature, read.gauge_temperature, read.part_expansion, read.gauge_expansion
        )  # fmt: skip
        return None not in known and not read.temperature_corrected

    def model(self, requirement: str) -> Callable[..., Any]:
        """The requirement as a function of the inputs; floats or arrays.

        A warm part measures D(a ΔT − a_g ΔT_g) too large; even warmth changes no angle.
        """
        if (self.method, requirement) not in _FORMULAS:
            raise ValueError(f"{self.method} does not measure “{requirement}”; use two balls")
        bare, terms = _FORMULAS[self.method, requirement], self._terms
        count, warm = len(_PLACES[self.method]), requirement == FACE and self.warmth_known

        def whole(*values: Number) -> Number:
            at: list[Any] = [0.0] * (count + 4)
            for value, term in zip(values, terms, strict=True):
                for place in term.places:
                    at[place] = at[place] + (value if term.by == 1 else term.by * value)
            found = bare(*at[:count])
            return found / _grown(*at[count:]) if warm else found

        return whole

    def budget(self, requirement: str) -> Budget:
        """The budget of a requirement row by row; a scatter behind several means is one row."""
        parts, read, once = self.contributions(requirement), self.readings, self.scatter
        rows: list[Source] = []
        squares = 0.0
        for term, part in zip(self._terms, parts, strict=True):
            if term.repeats and once is not None:
                squares += part.effect**2
            else:
                rows.append(replace(term.row, sensitivity=part.sensitivity))
        if once is not None:
            by, n = math.sqrt(squares) / once.value, once.degrees_of_freedom
            first = Source(
                "scatter of a reading", once.value, by, origin=once.origin,
                distribution="normal", degrees_of_freedom=n,
            )  # fmt: skip
            rows.insert(0, first)
        given = dict(zip(FURTHER, (read.dirt, read.reseating, read.form), strict=True))
        missing = [said for said, limit in given.items() if limit is None]
        if not self.warmth_known and not read.temperature_corrected:
            missing.append("warmth of part and gauge, which changes size alone")
        rows += [Source(said, 0.0, 0.0) for said in missing]
        words = (self.warmth_words(),) if requirement == FACE and self.warmth_known else ()
        kind = LENGTH if requirement == FACE else ANGLE
        return Budget(requirement, tuple(rows), kind, words)

    def warmth_words(self) -> str:
        """What the face diameter was corrected by, and on whose figures; empty where it was not."""
        if not self.warmth_known:
            return ""
        part, part_by, gauge, gauge_by = (known for _, _, known, _ in self._warmth)
        times = float(_grown(part, part_by, gauge, gauge_by))
        changed = self._known[FACE].estimate * (1 - times)
        return (
            f"Corrected to 20 °C (ISO 1) by {two_figures_signed(changed)} {self.unit}: part at "
            f"{part:g} °C, {part_by * 1e6:g} × 10⁻⁶ per °C, gauges at {gauge:g} °C, "
            f"{gauge_by * 1e6:g} × 10⁻⁶; expansion: "
            f"{self.readings.expansion_origin or 'source not given'}."
        )

    def contributions(self, requirement: str) -> tuple[Contribution, ...]:
        """What each input adds, in the order of `inputs()` (JCGM 100 clause 5)."""
        self.model(requirement)
        return self._known[requirement].contributions

    @cached_property
    def _known(self) -> dict[str, Propagated]:
        inputs = self.inputs()
        measured = (one for one in REQUIREMENTS if (self.method, one) in _FORMULAS)
        return {one: propagate(self.model(one), inputs) for one in measured}

    # -- what was found ---------------------------------------------------------------------

    def findings(self) -> tuple[Finding, ...]:
        """What was found of the face diameter and of the half angle."""
        return self._findings

    # Verdict, correlation and words all ask for the findings: they are worked out once.
    @cached_property
    def _findings(self) -> tuple[Finding, ...]:
        return tuple(self._finding(requirement) for requirement in REQUIREMENTS)

    def _finding(self, requirement: str) -> Finding:
        nominal, limits = asked(self.callout, requirement, self.unit)

        def found(verdict: str, reason: str, **rest: Any) -> Finding:
            return Finding(
                self.readings.cone, requirement, verdict, reason, self.unit, self.rule, nominal,
                limits, cone_name=self.cone_name, readings=self.readings, **rest,
            )  # fmt: skip

        if requirement == HALF_ANGLE and self.method == ONE_BALL:
            return found(NOT_MEASURED, "one ball does not measure the half angle")
        unknown = NO_LIMIT if limits is None else NOT_PROVEN
        if self.known_half_angle is None:
            return found(unknown, _NO_ANGLE)
        doubts = self.doubts()
        if doubts:
            value = float(self.model(requirement)(*(x.estimate for x in self.inputs())))
            return found(unknown, "; ".join(doubts), value=value)
        value, budget = self._known[requirement].estimate, self.budget(requirement)
        rest: dict[str, Any] = {"value": value, "budget": budget}
        if limits is None:
            return found(NO_LIMIT, "the print gives no tolerance", **rest)
        judgement = judge(
            value, *limits, budget.standard_uncertainty, self.rule, budget.degrees_of_freedom,
            budget.guard_factor, budget.factor,
        )  # fmt: skip
        return found(judgement.verdict, judgement.reason, judgement=judgement, **rest)

    def correlation(self) -> float | None:
        """Correlation of half angle and face diameter (JCGM 100 H.2.3); None with one ball."""
        if self.method == ONE_BALL:
            return None
        face, angle = (self.contributions(requirement) for requirement in REQUIREMENTS)
        both = math.hypot(*(p.effect for p in face)) * math.hypot(*(p.effect for p in angle))
        covariance = sum(
            one.sensitivity * other.sensitivity * one.standard_uncertainty**2
            for one, other in zip(face, angle, strict=True)
        )
        return covariance / both if both else 0.0

    @property
    def verdict(self) -> str:
        """The worst verdict: does not conform, not proven, not measured, no limit, conforms."""
        given = [finding.verdict for finding in self.findings()]
        order = (DOES_NOT_CONFORM, NOT_PROVEN, NOT_MEASURED, NO_LIMIT, CONFORMS)
        return next(verdict for verdict in order if verdict in given)


_NO_ANGLE = "one ball does not measure the half angle, and neither print nor anybody states it"


def printed_cone(callout: Callout, unit: str, made: Inspection | None = None) -> Cone:
    """The print's cone in a unit; what the print does not give is as it was measured.

    ValueError when the print gives no cone and nothing is measured.
    """
    if made is not None and (callout.face_diameter is None or callout.kind is None):
        return made.measured_cone()
    return callout.in_unit(unit).cone()


def inspections(job: Job, cone: int) -> tuple[Inspection, ...]:
    """The inspections that count for one cone, the latest first; ValueError for readings that
    cannot come from such a cone.

    Those that somebody has confirmed as of this print and nobody has struck out. One ball takes
    the half angle that the latest two balls or rolls proved, or what its pass says by now.
    """
    callout = job.asked(cone)
    name = _cone_name(job, cone)
    ours = [
        one
        for one in reversed(job.readings)
        if one.cone == cone and not one.struck and job.is_of_this_print(one)
    ]
    told, angle = [], None
    for one in sorted(ours, key=lambda one: one.method == ONE_BALL):
        if one.method != ONE_BALL:
            made = Inspection(callout, one, cone_name=name)
            angle = angle or _proven_angle(made)
        else:
            made = Inspection(callout, one, angle or _by_pass(job, one), cone_name=name)
        told.append(made)
    return tuple(sorted(told, key=lambda made: ours.index(made.readings)))


def _proven_angle(made: Inspection) -> HalfAngleUsed | None:
    found = made.findings()[1]
    if found.value is None or found.budget is None:
        return None
    return HalfAngleUsed(
        found.value,
        found.budget.standard_uncertainty,
        found.result(made.unit),
        f"measured on this part by {made.method}",
        found.budget,
    )


def _by_pass(job: Job, read: Readings) -> HalfAngleUsed | None:
    """The half angle that a pass proves, worked out anew from the job; no copy of it counts."""
    asked, stated = job.asked(read.cone), read.stated_angle
    if stated is None or not stated.by_a_pass or asked.kind is None:
        return None
    try:
        if why := no_longer_stated(job, read.cone, stated):
            raise ValueError(why)
        sure, now = part_by_proof(job, read.cone), stated_by_proof(job, read.cone)
    except ValueError as missing:
        printed = asked.half_angle
        return HalfAngleUsed(printed.radians, math.nan, printed.dms(), str(missing))
    return HalfAngleUsed(
        now.half_angle.radians,
        now.limit.radians / sure.factor,
        f"{now.half_angle.dms()} ± {now.limit.dms()} (k = {sure.factor:.3g})",
        f"stated: {now.origin}",
        sure,
    )


def findings(job: Job) -> tuple[Finding, ...]:
    """One finding for each requirement of each cone of a job, judged by its print alone.

    The latest readings that measure a requirement count: those that somebody has confirmed as of
    the print as it now is, and nobody has struck out.
    """
    told: list[Finding] = []
    for cone in range(len(job.callouts)):
        made: tuple[Inspection, ...] = ()
        why = ""
        try:
            made = inspections(job, cone)
        except ValueError as wrong:
            why = unfit(wrong)
        told += findings_from(job, cone, made, why)
    return tuple(told)


def unfit(wrong: ValueError) -> str:
    """Why readings that cannot come from such a cone are no measurement of it."""
    return f"the readings do not fit this cone: {wrong}"


def findings_from(
    job: Job, cone: int, made: tuple[Inspection, ...], why: str = ""
) -> tuple[Finding, ...]:
    """The findings of one cone from its inspections; `why` is what to say where none counts."""
    callout, told = job.asked(cone), []
    for place, requirement in enumerate(REQUIREMENTS):
        found = [one.findings()[place] for one in made]
        measured = next((one for one in found if one.verdict != NOT_MEASURED), None)
        against = next((one for one in found if one.verdict == DOES_NOT_CONFORM), None)
        # Measured again until it passes is no proof: somebody must say which one is wrong.
        if measured and against and measured.verdict == CONFORMS:
            day = against.readings.date if against.readings else ""
            why_not = (
                f"it conforms by these readings, and does not by others ({day or 'no date'}) that "
                "nobody has struck out; strike out the wrong ones, and say in the notes why"
            )
            measured = replace(measured, verdict=NOT_PROVEN, reason=why_not, judgement=None)
        told.append(
            measured
            or (found[0] if found else None)
            or Finding(
                cone, requirement, NOT_MEASURED, why or _why_not(job, cone), callout.unit,
                GUARD_BAND, *asked(callout, requirement, callout.unit),
                cone_name=_cone_name(job, cone),
            )
        )  # fmt: skip
    return tuple(told)


def _cone_name(job: Job, cone: int) -> str:
    """What tells a cone of several apart; empty for the only one."""
    return (job.callouts[cone].name or f"cone {cone + 1}") if len(job.callouts) > 1 else ""


def _why_not(job: Job, cone: int) -> str:
    """Why no readings count for a cone."""
    here = [one for one in job.readings if one.cone == cone]
    live = [one for one in here if not one.struck]
    if live:
        return (
            f"the readings of {live[-1].date or 'a day not given'} wait until somebody confirms, "
            "by name, that they are of this part and print"
        )
    return "its readings were struck out" if here else "no readings are given"


def _grown(part: Number, part_by: Number, gauge: Number, gauge_by: Number) -> Number:
    """How many times too large a warm part measures, temperatures in °C."""
    return (1 + part_by * (part - 20)) / (1 + gauge_by * (gauge - 20))


def _one_ball_face(ball: Number, height: Number, half_angle: Number) -> Number:
    return bare_face_diameter(half_angle, ball, height)


def _two_ball_face(large: Number, top: Number, small: Number, low: Number) -> Number:
    return bare_face_diameter(bare_half_angle(large, top, small, low), large, top)


def _roll_angle(_: Number, low: Number, high: Number, block: Number) -> Number:
    return np.arctan2(high - low, 2 * block)


def _roll_face(roll: Number, low: Number, high: Number, block: Number) -> Number:
    angle = _roll_angle(roll, low, high, block)
    return low - roll * (1 + np.tan(angle) + 1 / np.cos(angle))


# The places of each method's formulas, and which of them are read.
_PLACES = {
    ONE_BALL: ("ball diameter", "height", HALF_ANGLE),
    TWO_BALLS: (
        "large ball diameter", "large ball height", "small ball diameter", "small ball height"
    ),
    ROLLS: ("roll diameter", "low rolls", "high rolls", "block height"),
}  # fmt: skip
_HEIGHTS = {ONE_BALL: (1,), TWO_BALLS: (1, 3), ROLLS: (1, 2)}
_FORMULAS: dict[tuple[str, str], Callable[..., Any]] = {
    (ONE_BALL, FACE): _one_ball_face,
    (TWO_BALLS, HALF_ANGLE): bare_half_angle,
    (TWO_BALLS, FACE): _two_ball_face,
    (ROLLS, HALF_ANGLE): _roll_angle,
    (ROLLS, FACE): _roll_face,
}
