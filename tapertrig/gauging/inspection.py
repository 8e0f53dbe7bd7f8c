"""An inspection: what the print asks for, what was read, the result with its U, the verdict.

An `Inspection` holds only what was given and read. `findings()` works out the rest by JCGM 100,
each input named, so that a record taken from a job file is worked out afresh.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields
from fractions import Fraction
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np

from tapertrig.angle import Angle
from tapertrig.cone import Cone
from tapertrig.decision import (
    CONFORMS,
    DOES_NOT_CONFORM,
    GUARD_BAND,
    NOT_PROVEN,
    Judgement,
    Rule,
    coverage_factor,
    guard_factor,
    judge,
)
from tapertrig.gauging.ball_choice import ball_sensitivities, two_ball_sensitivities
from tapertrig.gauging.balls import (
    ball_clearance,
    bare_face_diameter,
    bare_half_angle,
    face_diameter_from_ball,
    half_angle_from_two_balls,
    height_from_depth,
)
from tapertrig.gauging.rolls import face_diameter_from_rolls, half_angle_from_rolls, roll_contact
from tapertrig.job import Job
from tapertrig.lathe import UNITS, places_written
from tapertrig.limits import Number, finite, not_negative, one_of, positive
from tapertrig.uncertainty import Contribution, Input, Simulated, monte_carlo, propagate

METHODS = ("one ball", "two balls", "rolls and blocks")
READS = ("height", "depth")
QUANTITIES = ("face diameter", "half angle")
MOST_REPEATS = 25
LONGEST_TEXT = 200
VERSION = 1

_READINGS_FOR = {"one ball": 1, "two balls": 2, "rolls and blocks": 2}
_GAUGES_FOR = {"one ball": 1, "two balls": 2, "rolls and blocks": 1}


def as_given(value: float) -> str:
    """A length just as it was given and never as a power of ten: 0.00005."""
    return np.format_float_positional(value, trim="-")


def two_figures(value: float) -> str:
    """A small length to two figures and never as a power of ten: 0.000029."""
    if value <= 0:
        return "0"
    places = max(1 - math.floor(math.log10(float(f"{value:.1e}"))), 0)
    return f"{value:.{places}f}"


def small_text(value: float, quantity: str, unit: str) -> str:
    """A small amount of a quantity as it is written: arc-seconds of a half angle, else a length."""
    if quantity == "half angle":
        return f"{math.degrees(value) * 3600:.1f}″"
    return f"{two_figures(value)} {unit}"


class Repeats(NamedTuple):
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
        values = np.array([finite("reading", reading) for reading in readings])
        if len(values) == 1:
            return cls(1, float(values[0]), None, 0.0, None)
        known = Input.from_readings("readings", values)
        spread = known.standard_uncertainty * math.sqrt(len(values))
        return cls(len(values), known.estimate, spread, known.standard_uncertainty, len(values) - 1)


@dataclass(frozen=True)
class Instrument:
    """What the readings were taken with: its graduation, and ± its limit of error."""

    name: str
    graduation: float
    limit_of_error: float = 0.0

    def __post_init__(self) -> None:
        _text("instrument", self.name)
        positive("graduation", self.graduation, 0.001)
        not_negative("limit of error", self.limit_of_error, 0.0002)


@dataclass(frozen=True)
class Finding:
    """One quantity found: value, standard uncertainty, U = factor × u, limits, judgement.

    A face diameter is in the inspection's unit, a half angle in radians. `limits` and `judgement`
    are None where the print gives no tolerance.
    """

    quantity: str
    value: float
    standard_uncertainty: float
    degrees_of_freedom: float
    nominal: float
    limits: tuple[float, float] | None
    judgement: Judgement | None
    contributions: tuple[Contribution, ...]

    @cached_property
    def factor(self) -> float:
        """The coverage factor for 95 %: 2, or Student's t where that is larger."""
        return coverage_factor(self.degrees_of_freedom)

    @property
    def expanded(self) -> float:
        """Expanded uncertainty U."""
        return self.factor * self.standard_uncertainty

    @property
    def factor_words(self) -> str:
        """The factor as a record states it: “k = 2”, or t with its degrees of freedom."""
        if self.factor == 2:
            return "k = 2"
        whole = math.floor(self.degrees_of_freedom + 1e-9)
        return f"t = {self.factor:.2f} for {whole} effective degrees of freedom"

    def guard_words(self, rule: Rule, unit: str) -> str:
        """The guard band of this quantity in words; empty for a rule without one."""
        if self.judgement is None or rule.kind != "guard band":
            return ""
        factor = guard_factor(self.degrees_of_freedom)
        guard = factor * self.standard_uncertainty
        size = f"{two_figures(guard)} {unit}"
        if self.quantity == "half angle":
            size = f"{math.degrees(guard) * 3600:.0f}″"
        return f"{self.quantity} {size} ({factor:.2f} u)"

    def text(self, value: float, unit: str) -> str:
        """A value of this quantity as it is written."""
        if self.quantity == "half angle":
            return Angle.from_radians(value).dms()
        return f"{value:.{places_written(unit) + 1}f} {unit}"

    def words(self, unit: str) -> str:
        """Value ± U with the factor stated, U rounded up in its last place."""
        if self.quantity == "half angle":
            seconds = math.ceil(math.degrees(self.expanded) * 3600 - 1e-9)
            spread = Angle.from_arc_seconds(seconds).dms()
            return f"{Angle.from_radians(self.value).dms()} ± {spread} ({self.factor_words})"
        places = places_written(unit) + 1
        spread = math.ceil(self.expanded * 10**places - 1e-9) / 10**places
        return f"{self.value:.{places}f} ± {spread:.{places}f} {unit} ({self.factor_words})"


@dataclass(frozen=True)
class Inspection:
    """The measurement of one cone. Lengths in `unit`; every limit is ±, taken as rectangular.

    `cone` is the print's; `diameter_limits` and `half_angle_tolerance` (± on the half angle) are
    its tolerances, None when it gives none. `gauges` are ball diameters, the larger first, or the
    roll diameter. `readings` holds the repeats, one row for each ball, or for the low and the
    high rolls: with `reads` "height" the height of the ball's top over the face, + proud, or the
    measure over the rolls; with "depth" what a depth micrometer read, standing on `parallel`.
    `gauge_limit` is of each ball's or roll's diameter, `face_limit` of what all readings share
    (flatness of the face, zero of the instrument, parallels), `block_limit` of the blocks.
    With one ball the half angle is not measured: `half_angle` is what it is taken to be (the
    print's when None) and `half_angle_limit` how far it may be out (the print's tolerance when
    None). ValueError when a reading cannot come from a ball that rests on the cone.
    """

    cone: Cone
    unit: str
    method: str
    gauges: tuple[float, ...]
    readings: tuple[tuple[float, ...], ...]
    instrument: Instrument
    diameter_limits: tuple[float, float] | None = None
    half_angle_tolerance: Angle | None = None
    reads: str = "height"
    parallel: float = 0.0
    gauge_limit: float = 0.0
    face_limit: float = 0.0
    block_height: float = 0.0
    block_limit: float = 0.0
    half_angle: Angle | None = None
    half_angle_limit: Angle | None = None
    edge_break: float = 0.0
    floor_depth: float | None = None
    rule: Rule = GUARD_BAND
    callout: str = ""
    assumption: str = ""
    measured_by: str = ""
    date: str = ""
    notes: str = ""

    def __post_init__(self) -> None:
        for name, value, kind in (
            ("cone", self.cone, Cone),
            ("instrument", self.instrument, Instrument),
            ("rule", self.rule, Rule),
        ):
            if not isinstance(value, kind):
                raise ValueError(f"{name} is {value!r}; it must be a {kind.__name__}")
        one_of("unit", self.unit, UNITS)
        one_of("method", self.method, METHODS)
        one_of("reads", self.reads, READS)
        for name in ("parallel", "gauge_limit", "face_limit", "block_limit", "edge_break"):
            not_negative(name.replace("_", " "), getattr(self, name), 0.0001)
        for name in ("callout", "assumption", "measured_by", "date", "notes"):
            _text(name.replace("_", " "), getattr(self, name), 2 * LONGEST_TEXT)
        self._check_tolerances()
        self._check_readings()
        self._check_contact()

    def _check_tolerances(self) -> None:
        if self.diameter_limits is not None:
            if len(self.diameter_limits) != 2:
                raise ValueError(
                    f"there must be two diameter limits, not {len(self.diameter_limits)}; give "
                    "the lower and the upper, or None"
                )
            lower, upper = (positive("diameter limit", x, 1.25) for x in self.diameter_limits)
            if not lower < upper:
                raise ValueError(
                    f"the diameter limits are {lower:g} and {upper:g}; the lower one must be less"
                )
            object.__setattr__(self, "diameter_limits", (lower, upper))
        for name in ("half_angle_tolerance", "half_angle_limit"):
            angle = getattr(self, name)
            if angle is not None and not (isinstance(angle, Angle) and angle.arc_seconds > 0):
                raise ValueError(
                    f"{name.replace('_', ' ')} is {angle!r}; give an Angle of more than zero, "
                    "for example 0°05′, or leave it out"
                )
        if self.method == "one ball" and not (self.half_angle_limit or self.half_angle_tolerance):
            raise ValueError(
                "one ball does not measure the half angle, and the print gives it no tolerance; "
                "say how far it may be out, for example half_angle_limit 0°02′"
            )

    def _check_readings(self) -> None:
        if not isinstance(self.cone.internal, bool):
            raise ValueError(f"internal is {self.cone.internal!r}; it must be True or False")
        if self.cone.internal == (self.method == "rolls and blocks"):
            kind, fit = ("internal", "balls") if self.cone.internal else ("external", "rolls")
            raise ValueError(f"method is “{self.method}”, but the cone is {kind}: use {fit}")
        gauges = tuple(positive("gauge diameter", gauge, 0.5) for gauge in self.gauges)
        rows = tuple(tuple(finite("reading", x) for x in row) for row in self.readings)
        want_gauges, want_rows = _GAUGES_FOR[self.method], _READINGS_FOR[self.method]
        if len(gauges) != want_gauges or len(rows) != want_rows:
            raise ValueError(
                f"“{self.method}” takes {want_gauges} gauge diameter(s) and {want_rows} row(s) of "
                f"readings; here are {len(gauges)} and {len(rows)}"
            )
        for row in rows:
            if not 1 <= len(row) <= MOST_REPEATS:
                raise ValueError(
                    f"a row has {len(row)} readings; take from 1 to {MOST_REPEATS}, better five"
                )
            if self.method == "rolls and blocks" or self.reads == "depth":
                for reading in row:
                    not_negative("reading", reading, 0.125)
        if self.method == "rolls and blocks":
            positive("block height", self.block_height, 1.0)
            one_of("reads, over rolls,", self.reads, ("height",))
        object.__setattr__(self, "gauges", gauges)
        object.__setattr__(self, "readings", rows)

    def _check_contact(self) -> None:
        cone = self.measured_cone()
        if not cone.internal:
            roll_contact(cone, self.gauges[0], self.block_height)
            return
        doubt = self.instrument.graduation + self.instrument.limit_of_error + self.face_limit
        for ball in self.gauges:
            clearance = ball_clearance(cone, ball, self.edge_break, self.floor_depth)
            if self.floor_depth is not None and clearance.below <= doubt:
                raise ValueError(
                    f"by its reading the ball of {ball:g} is within {doubt:g} of the bottom: it "
                    "touches the bottom, or may; use a larger ball"
                )

    @classmethod
    def for_job(cls, job: Job, **rest: Any) -> Inspection:
        """With cone, limits, tolerance and callout from a job, in the print's unit."""
        plan = job.plan()
        given = {
            "cone": job.callout.cone(),
            "unit": job.callout.unit,
            "diameter_limits": job.callout.diameter_limits,
            "half_angle_tolerance": plan.half_angle_tolerance,
            "callout": job.callout.words(),
            "assumption": " ".join(plan.assumptions)[: 2 * LONGEST_TEXT],
        }
        return cls(**(given | rest))

    def heights(self) -> tuple[tuple[float, ...], ...]:
        """The readings as heights over the face, or as measures over the rolls."""
        if self.reads == "height":
            return self.readings
        return tuple(
            tuple(float(height_from_depth(reading, self.parallel)) for reading in row)
            for row in self.readings
        )

    def repeats(self) -> tuple[Repeats, ...]:
        """Mean and spread of each row of `heights()`."""
        return self._repeats

    @cached_property
    def _repeats(self) -> tuple[Repeats, ...]:
        return tuple(Repeats.of(row) for row in self.heights())

    def measured_cone(self) -> Cone:
        """The cone that the mean readings tell, cut off where the print's cone ends."""
        return self._measured_cone

    @cached_property
    def _measured_cone(self) -> Cone:
        means = [row.mean for row in self.repeats()]
        if self.method == "one ball":
            half_angle = self.half_angle or self.cone.half_angle
            face = face_diameter_from_ball(half_angle, self.gauges[0], means[0])
        elif self.method == "two balls":
            large, small = self.gauges
            half_angle = half_angle_from_two_balls(large, means[0], small, means[1])
            face = face_diameter_from_ball(half_angle, large, means[0])
        else:
            half_angle = half_angle_from_rolls(*means, self.block_height)
            face = face_diameter_from_rolls(half_angle, self.gauges[0], means[0])
        length = self.cone.length
        if length is not None and self.cone.internal:
            length = min(length, float(face) / (2 * math.tan(half_angle.radians)))
        return Cone(half_angle, float(face), length, self.cone.internal)

    def inputs(self) -> tuple[Input, ...]:
        """Every input of the result, in the order of the models' arguments."""
        limit = self.half_angle_limit or self.half_angle_tolerance
        over_rolls = self.method == "rolls and blocks"
        face = Input("zero" if over_rolls else "face and zero", 0.0, self.face_limit)
        rows = self.repeats()
        if self.method == "one ball":
            half_angle = (self.half_angle or self.cone.half_angle).radians
            return (
                Input("ball diameter", self.gauges[0], self.gauge_limit),
                *self._reading_inputs("height", rows[0]),
                face,
                Input("half angle", half_angle, limit.radians),
            )
        if self.method == "two balls":
            return (
                Input("large ball diameter", self.gauges[0], self.gauge_limit),
                *self._reading_inputs("large ball height", rows[0]),
                Input("small ball diameter", self.gauges[1], self.gauge_limit),
                *self._reading_inputs("small ball height", rows[1]),
                face,
            )
        return (
            Input("roll diameter", self.gauges[0], self.gauge_limit),
            *self._reading_inputs("low rolls", rows[0]),
            *self._reading_inputs("high rolls", rows[1]),
            Input("block height", self.block_height, self.block_limit),
            face,
        )

    def _reading_inputs(self, name: str, row: Repeats) -> tuple[Input, Input, Input]:
        degrees = math.inf if row.degrees_of_freedom is None else row.degrees_of_freedom
        return (
            Input(f"{name}, repeats", row.mean, row.standard_uncertainty, "normal", degrees),
            Input.from_resolution(f"{name}, graduation", 0.0, self.instrument.graduation),
            Input(f"{name}, instrument", 0.0, self.instrument.limit_of_error),
        )

    def model(self, quantity: str) -> Callable[..., Any]:
        """The quantity as a function of the inputs; floats or arrays."""
        self._check_quantity(quantity)
        return _MODELS[self.method, quantity]

    def _sensitivities(self, quantity: str) -> list[float]:
        """∂quantity/∂input in closed form, in the order of the inputs."""
        cone = self.measured_cone()
        if self.method == "one ball":
            ball, height, half_angle = ball_sensitivities(cone, self.gauges[0])
            return [ball, height, height, height, height, half_angle]
        if self.method == "two balls":
            by_angle, by_face = two_ball_sensitivities(cone, *self.gauges).tolist()
            by_input = by_face if quantity == "face diameter" else by_angle
            large, top, small, low, common = by_input
            return [large, top, top, top, small, low, low, low, common]
        tan, cos = math.tan(cone.half_angle.radians), math.cos(cone.half_angle.radians)
        by_high = cos**2 / (2 * self.block_height)
        by_input = [0.0, -by_high, by_high, -2 * tan * by_high, 0.0]
        if quantity == "face diameter":
            # Direct part, and the part through the half angle: ∂D/∂α = −d_r(1 + sin α)/cos² α.
            through = -self.gauges[0] * (1 + math.sin(cone.half_angle.radians)) / cos**2
            direct = [-(1 + tan + 1 / cos), 1.0, 0.0, 0.0, 1.0]
            by_input = [own + through * half for own, half in zip(direct, by_input, strict=True)]
        roll, low, high, block, common = by_input
        return [roll, low, low, low, high, high, high, block, common]

    @property
    def quantities(self) -> tuple[str, ...]:
        """What this method measures."""
        return QUANTITIES[:1] if self.method == "one ball" else QUANTITIES

    def _check_quantity(self, quantity: str) -> None:
        one_of("quantity", quantity, QUANTITIES)
        if quantity not in self.quantities:
            raise ValueError("one ball does not measure the half angle; use two balls")

    def findings(self) -> tuple[Finding, ...]:
        """What was found: the face diameter and, except with one ball, the half angle.

        Uncertainty by JCGM 100 clause 5, effective degrees of freedom by its G.4.
        """
        return self._findings

    # Verdict, correlation and words all ask for the findings: they are worked out once.
    @cached_property
    def _findings(self) -> tuple[Finding, ...]:
        return tuple(self._finding(quantity) for quantity in self.quantities)

    def _finding(self, quantity: str) -> Finding:
        found = propagate(self.model(quantity), self.inputs(), self._sensitivities(quantity))
        degrees = math.inf if found.degrees_of_freedom is None else found.degrees_of_freedom
        if quantity == "face diameter":
            nominal, limits = self.cone.face_diameter, self.diameter_limits
        else:
            nominal, tolerance = self.cone.half_angle.radians, self.half_angle_tolerance
            limits = None
            if tolerance is not None:
                limits = (nominal - tolerance.radians, nominal + tolerance.radians)
        judgement = None
        if limits is not None:
            judgement = judge(
                found.estimate, *limits, found.standard_uncertainty, self.rule, degrees
            )
        return Finding(
            quantity,
            found.estimate,
            found.standard_uncertainty,
            degrees,
            nominal,
            limits,
            judgement,
            found.contributions,
        )

    def correlation(self) -> float | None:
        """Correlation of half angle and face diameter (JCGM 100 H.2.3); None with one ball."""
        if self.method == "one ball":
            return None
        face, angle = self.findings()
        both = face.standard_uncertainty * angle.standard_uncertainty
        covariance = sum(
            one.sensitivity * other.sensitivity * one.standard_uncertainty**2
            for one, other in zip(face.contributions, angle.contributions, strict=True)
        )
        return covariance / both if both else 0.0

    def monte_carlo(self, quantity: str, trials: int = 100_000, seed: int = 0) -> Simulated:
        """The same quantity by random trials (JCGM 101)."""
        return monte_carlo(self.model(quantity), self.inputs(), trials, seed)

    @property
    def verdict(self) -> str | None:
        """The verdict on all that is toleranced and was measured; None when nothing is.

        One quantity that does not conform decides; else one that is not proven does.
        """
        given = [f.judgement.verdict for f in self.findings() if f.judgement is not None]
        for verdict in (DOES_NOT_CONFORM, NOT_PROVEN, CONFORMS):
            if verdict in given:
                return verdict
        return None

    def remarks(self) -> tuple[str, ...]:
        """What a reader of the result must know, in sentences."""
        told = [self.assumption] if self.assumption else []
        if any(row.count == 1 for row in self.repeats()):
            told.append("A reading was taken once only: its spread is not known and not counted.")
        if self.method == "one ball":
            taken = self.half_angle or self.cone.half_angle
            limit = self.half_angle_limit or self.half_angle_tolerance
            told.append(
                f"The half angle was not measured here; it is taken as {taken.dms()} ± "
                f"{limit.dms()}, and no verdict is given on it."
            )
        return tuple(told)

    def to_plain(self) -> dict[str, Any]:
        """As plain values, for the job file."""
        plain = {part.name: _to_plain(getattr(self, part.name)) for part in fields(self)}
        return {"kind": "inspection", "version": VERSION, **plain}

    @classmethod
    def from_plain(cls, plain: Mapping[str, Any]) -> Inspection:
        """Back from plain values; ValueError when they are damaged or of a newer version."""
        if not isinstance(plain, Mapping) or plain.get("kind") != "inspection":
            raise ValueError("these values are no inspection of tapertrig")
        version = plain.get("version")
        if type(version) is not int or not 1 <= version <= VERSION:
            raise ValueError(
                f"the inspection is of version {version!r}; this tapertrig reads {VERSION}"
            )
        values = {name: plain[name] for name in plain if name not in ("kind", "version")}
        known = {part.name for part in fields(cls)}
        if set(values) != known:
            odd = ", ".join(sorted(map(str, set(values) ^ known)))
            raise ValueError(f"the inspection is damaged: missing or unknown: {odd}")
        try:
            values["cone"] = Cone(**_with_angles(values["cone"], "half_angle"))
            values["instrument"] = Instrument(**values["instrument"])
            values["rule"] = Rule(**values["rule"])
            values = _with_angles(values, "half_angle_tolerance", "half_angle", "half_angle_limit")
            values["gauges"] = tuple(values["gauges"])
            values["readings"] = tuple(tuple(row) for row in values["readings"])
            if values["diameter_limits"] is not None:
                values["diameter_limits"] = tuple(values["diameter_limits"])
            return cls(**values)
        except (KeyError, TypeError) as error:
            raise ValueError(f"the inspection is damaged: {error} does not belong there") from error


def _text(name: str, value: object, longest: int = LONGEST_TEXT) -> None:
    if not isinstance(value, str):
        raise ValueError(f"{name} is {value!r}; it must be text")
    if len(value) > longest:
        raise ValueError(f"{name} has {len(value)} characters; {longest} at most")


def _to_plain(value: Any) -> Any:
    if isinstance(value, Angle):
        return str(value.arc_seconds)
    if hasattr(value, "__dataclass_fields__"):
        return {part.name: _to_plain(getattr(value, part.name)) for part in fields(value)}
    if isinstance(value, tuple):
        return [_to_plain(item) for item in value]
    return value


def _with_angles(values: Mapping[str, Any], *names: str) -> dict[str, Any]:
    """The values with the named angles made from their exact text; None stays None."""
    changed = dict(values)
    for name in names:
        text = changed[name]
        if text is None:
            continue
        if not isinstance(text, str) or not re.fullmatch(r"\d{1,60}(/\d{1,60})?", text, re.ASCII):
            raise ValueError(f"the inspection is damaged: {name} is {text!r}")
        try:
            changed[name] = Angle(Fraction(text))
        except ZeroDivisionError:
            raise ValueError(f"the inspection is damaged: {name} is {text!r}") from None
    return changed


def _one_ball_face(*inputs: Number) -> Number:
    ball, height, line, error, face, half_angle = inputs
    return bare_face_diameter(half_angle, ball, height + line + error + face)


def _balls_and_heights(inputs: Sequence[Number]) -> tuple[Number, Number, Number, Number]:
    large, top, top_line, top_error, small, low, low_line, low_error, face = inputs
    return large, top + top_line + top_error + face, small, low + low_line + low_error + face


def _two_ball_angle(*inputs: Number) -> Number:
    return bare_half_angle(*_balls_and_heights(inputs))


def _two_ball_face(*inputs: Number) -> Number:
    large, top, _, _ = _balls_and_heights(inputs)
    return bare_face_diameter(_two_ball_angle(*inputs), large, top)


def _roll_angle(*inputs: Number) -> Number:
    # A zero error of the micrometer is in both measures and leaves their difference alone.
    _, low, low_line, low_error, high, high_line, high_error, block, _ = inputs
    rise = (high + high_line + high_error) - (low + low_line + low_error)
    return np.arctan2(rise, 2 * block)


def _roll_face(*inputs: Number) -> Number:
    roll, low, low_line, low_error, _, _, _, _, zero = inputs
    angle = _roll_angle(*inputs)
    over = low + low_line + low_error + zero
    return over - roll * (1 + np.tan(angle) + 1 / np.cos(angle))


_MODELS: dict[tuple[str, str], Callable[..., Any]] = {
    ("one ball", "face diameter"): _one_ball_face,
    ("two balls", "half angle"): _two_ball_angle,
    ("two balls", "face diameter"): _two_ball_face,
    ("rolls and blocks", "half angle"): _roll_angle,
    ("rolls and blocks", "face diameter"): _roll_face,
}
