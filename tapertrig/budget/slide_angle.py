"""How close is close: the uncertainty of a half angle set by slide travels and an indicator.

The check runs the compound slide through its travel s and reads how far another slide had to
move for the indicator to be null at both ends. Measured square to the axis that is the cross
travel, α = asin(cross/s); along the axis it is the axial travel, α = acos(axial/s), with the
indicator on a surface square to the axis. Backlash is not in the budget: both ends are
approached from the same side, and a reversal is a mistake, not an uncertainty.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np

from tapertrig.angle import Angle, half_angle_radians
from tapertrig.budget.rows import ANGLE, GIVEN, NUMBER, Group, Source, Summed
from tapertrig.decision import judge
from tapertrig.lathe import Dial, Lathe
from tapertrig.limits import Given, InfiniteToo, not_negative, one_of, positive, whole
from tapertrig.setup import AXIAL, BLOCKS, CROSS, ROUTES, axial_window, cross_reading_window
from tapertrig.uncertainty import DIVISORS, Input, Propagated, Simulated, monte_carlo, propagate

NO_ANGLE = Angle.from_dms(0)
# Starting values for a bench lathe in fair order: common practice, no source. Measure your own.
# `screw_error` is per unit of length; `null` a standard deviation; the rest are half-widths.
TYPICAL: dict[str, dict[str, Any]] = {
    unit: {
        "axial_reading": axial_reading,
        "screw_error": 0.0003,
        "block_error": 0.00005,
        "null": null,
        "datum": Angle.from_dms(0, 0, 20),
        "snugging": Angle.from_dms(0, 0, 30),
    }
    for unit, axial_reading, null in (("in", 0.0005, 0.0001), ("mm", 0.01, 0.002))
}
# A stop met by feel, a half-width: common practice, no source.
FEEL = {"in": 0.0002, "mm": 0.005}
ASSUMED = "assumed: common practice, no source; measure your own"
SLOPE = "measured on this lathe, and not corrected for"
WANTED_RATIO = 4.0


@dataclass(frozen=True)
class AngleBudget(Summed):
    """What is known of one check of the half angle, and how far each part of it may be out.

    Lengths are slide movements in one unit; every spread is a half-width but `null`:

    - `compound_reading`, `cross_reading`, `axial_reading`: of each of two readings, half a
      graduation as slide movement;
    - `screw_error`: per unit of length, of each screw over its travel; where blocks or a travel
      indicator stand for the compound's dial, `block_error` is theirs, and `compound_reading` what
      each of two contacts may be out;
    - `null`: standard deviation of the indicator's null, the same at both ends; known from
      `null_repeats` repeats when that is given, and so with one less degrees of freedom, once;
    - `datum`: how far the datum may be out of parallel (or square) to the axis;
    - `quill_rise`: how far the quill's side may climb, which turns the check where the tip stands
      off centre height by up to `tip_height` on a quill of `quill_radius`;
    - `snugging`: how far the slide may swing when the bolts are drawn up.

    What is not given counts as nothing, and the table says so. `rests_on` says where a figure
    comes from: field, value, words; another value in that field is simply given. Use
    `dataclasses.replace` for a changed budget.
    """

    half_angle: Angle
    compound_travel: float
    route: str = CROSS
    compound_reading: float = 0.0
    cross_reading: float = 0.0
    axial_reading: float = 0.0
    screw_error: float = 0.0
    null: float = 0.0
    datum: Angle = NO_ANGLE
    snugging: Angle = NO_ANGLE
    null_repeats: int | None = None
    reading_distribution: str = "rectangular"
    screw_distribution: str = "rectangular"
    datum_distribution: str = "rectangular"
    snugging_distribution: str = "triangular"
    quill_rise: Angle = NO_ANGLE
    tip_height: float = 0.0
    quill_radius: float | None = None
    block_error: float = 0.0
    rests_on: tuple[tuple[str, Any, str], ...] = field(default=(), compare=False, repr=False)

    title = "The slide's set angle"

    def __post_init__(self) -> None:
        half_angle_radians(self.half_angle)
        positive("compound travel", self.compound_travel, 2.6)
        one_of("route", self.route, (*ROUTES, BLOCKS))
        for name in ("compound_reading", "cross_reading", "axial_reading", "null", "tip_height"):
            not_negative(name.replace("_", " "), getattr(self, name), 0.0005)
        not_negative("screw error per unit of length", self.screw_error, 0.0003)
        not_negative("block error per unit of length", self.block_error, 0.00005)
        for name in ("datum", "quill_rise", "snugging"):
            spread = getattr(self, name)
            if not 0 <= spread.degrees < 45:
                raise ValueError(
                    f"{name.replace('_', ' ')} is {spread}; it must be from 0° to below 45°, for "
                    "example 0°00′30″"
                )
        for name in ("reading", "screw", "datum", "snugging"):
            one_of(f"{name} distribution", getattr(self, f"{name}_distribution"), tuple(DIVISORS))
        if self.null_repeats is not None:
            whole("null repeats", self.null_repeats, 2, None, 5)

    @classmethod
    def on_lathe(
        cls,
        lathe: Lathe,
        half_angle: Angle,
        compound_travel: float | None = None,
        **changes: Any,
    ) -> AngleBudget:
        """On this lathe's dials, half a graduation each reading; the rest from `TYPICAL`.

        The compound travel is the slide's whole reach if none is given. `changes` are fields.
        """
        travel = lathe.usable_travel() if compound_travel is None else compound_travel
        typical, dials = TYPICAL[lathe.unit], {}
        rests = [(name, value, ASSUMED) for name, value in typical.items()]
        for side, dial in (("compound", lathe.compound_dial), ("cross", lathe.cross_dial)):
            half = dials[f"{side}_reading"] = dial.movement_per_graduation / 2
            shows = f"; its dial shows {dial.graduation / 2:g}" if dial.factor == 2 else ""
            rests.append((f"{side}_reading", half, f"half a line, as slide movement{shows}"))
        if changes.get("route") == BLOCKS:
            dials["compound_reading"] = FEEL[lathe.unit]
            rests.append(("compound_reading", FEEL[lathe.unit], ASSUMED))
        given = {**dials, **typical, **changes}
        if lathe.quill_slope is not None and given.get("route") != AXIAL and "datum" not in changes:
            # What is known and not corrected for counts whole, as if it were a standard deviation.
            given["datum"] = Angle.from_radians(abs(math.atan(lathe.quill_slope)))
            given["datum_distribution"] = "normal"
            rests.append(("datum", given["datum"], SLOPE))
        given.setdefault("rests_on", tuple(rests))
        return cls(half_angle, lathe.check_reach(travel), **given)

    @property
    def measured_travel(self) -> float:
        """The other slide's travel: s·sin α by cross travel, s·cos α by axial travel."""
        along = math.cos if self.route == AXIAL else math.sin
        return self.compound_travel * along(self.half_angle.radians)

    def _rests(self, name: str) -> str:
        now = getattr(self, name)
        told = [words for at, was, words in self.rests_on if at == name and was == now]
        return told[-1] if told else GIVEN

    @cached_property
    def rise(self) -> float:
        """The most that a climbing quill turns the check, radians; nothing by the axial route.

        A tip off centre by h bears at √(R² − h²) from the quill's middle; the climb over the run
        changes h. Zero while rise or radius is not given.
        """
        run = self.compound_travel * math.cos(self.half_angle.radians)
        climb = run * math.tan(self.quill_rise.radians)
        if self.route == AXIAL or not climb or self.quill_radius is None:
            return 0.0
        radius = positive("quill radius", self.quill_radius, 0.75)
        off = self.tip_height + climb
        if off >= radius:
            raise ValueError(
                f"the tip would stand {off:g} off the middle of a quill of radius {radius:g}; "
                "bring it to centre height"
            )
        bears = math.sqrt(radius**2 - self.tip_height**2) - math.sqrt(radius**2 - off**2)
        return math.atan(bears / run)

    @cached_property
    def _rows(self) -> tuple[Source, ...]:
        alpha, travel = self.half_angle.radians, self.compound_travel
        if self.route != AXIAL:
            # ∂α/∂cross = 1/(s cos α), ∂α/∂s = −tan α/s; a screw's error grows with its travel.
            side, group, square = "cross", "cross dial readings", "quill's side out of parallel"
            per_side = 1 / (travel * math.cos(alpha))
            per_compound = -math.tan(alpha) / travel
        else:
            # ∂α/∂axial = −1/(s sin α), ∂α/∂s = 1/(s tan α).
            side, group, square = "axial", "axial readings", "face out of square"
            per_side = -1 / (travel * math.sin(alpha))
            per_compound = 1 / (travel * math.tan(alpha))
        measured = self.measured_travel
        degrees = math.inf if self.null_repeats is None else self.null_repeats - 1
        nulls = f"measured: {self.null_repeats} nulls" if self.null_repeats else self._rests("null")

        by_blocks = self.route == BLOCKS

        def dial(name: str, end: str, sign: int, value: float, per: float, group: str) -> Source:
            limit, origin = getattr(self, f"{name}_reading"), self._rests(f"{name}_reading")
            said = f"{name if group != 'stop by feel' else 'stop'} reading, {end} end"
            return Source(
                said, limit, sign * per, origin=origin, distribution=self.reading_distribution,
                estimate=value, group=group,
            )  # fmt: skip

        def screw(name: str, per: float) -> Source:
            return Source(
                f"{name} screw, per unit of travel", self.screw_error, per, NUMBER,
                self._rests("screw_error"), self.screw_distribution, group="screws",
            )  # fmt: skip

        def turn(name: str, said: str, limit: float, kind: str, group: str) -> Source:
            return Source(said, limit, 1.0, ANGLE, self._rests(name), kind, group=group)

        compound = "stop by feel" if by_blocks else "compound dial readings"
        blocks = Source(
            "gauge blocks, per unit of travel", self.block_error, per_compound * travel, NUMBER,
            self._rests("block_error"), self.screw_distribution, group="blocks",
        )  # fmt: skip
        rows = (
            dial("compound", "first", -1, 0.0, per_compound, compound),
            dial("compound", "second", 1, travel, per_compound, compound),
            dial(side, "first", -1, 0.0, per_side, group),
            dial(side, "second", 1, measured, per_side, group),
            blocks if by_blocks else screw("compound", per_compound * travel),
            screw(side, per_side * measured),
            Source(
                "null, both ends", self.null, math.sqrt(2) * per_side, origin=nulls,
                distribution="normal", degrees_of_freedom=degrees, group="null",
            ),
            turn("datum", square, self.datum.radians, self.datum_distribution, "datum"),
            turn("snugging", "snugging up", self.snugging.radians, self.snugging_distribution,
                 "snugging up"),
        )  # fmt: skip
        if self.route == AXIAL:
            return rows
        tip = "quill's rise with the tip off centre"
        return (*rows, turn("quill_rise", tip, self.rise, self.datum_distribution, "datum"))

    @property
    def sources(self) -> tuple[Source, ...]:
        """Every row of the budget, with its sensitivity in radians."""
        return self._rows

    @property
    def inputs(self) -> tuple[Input, ...]:
        """Every quantity that goes into the half angle, with its estimate and spread."""
        return tuple(row.input for row in self._rows)

    def model(self, *values: Given) -> Given:
        """The half angle in radians from values of `inputs`, in their order (floats or arrays)."""
        if len(values) != len(self._rows):
            raise ValueError(
                f"{len(values)} values for {len(self._rows)} inputs; give one for each"
            )
        c1, c2, m1, m2, compound_screw, screw, null, *turned = values
        compound = (c2 - c1) * (1 + compound_screw)
        measured = (m2 - m1) * (1 + screw) + math.sqrt(2) * null
        angle_of = np.arccos if self.route == AXIAL else np.arcsin
        ratio = measured / compound
        if self.null_repeats is not None:
            # So few repeats may send a trial past any triangle: it counts as at the end of them.
            ratio = np.clip(ratio, -1, 1)
        return angle_of(ratio) + sum(turned)

    @cached_property
    def propagated(self) -> Propagated:
        """The half angle with its combined standard uncertainty (JCGM 100 clause 5), radians."""
        return propagate(self.model, self.inputs, [row.sensitivity for row in self._rows])

    def monte_carlo(self, trials: int = 1_000_000, seed: int = 0) -> Simulated:
        """The half angle (radians) by random trials, JCGM 101; the same seed repeats them."""
        return monte_carlo(self.model, self.inputs, trials, seed)


def best_checks(
    budget: AngleBudget,
    lathe: Lathe,
    parallel_datum: float | None = None,
    square_datum: float | None = None,
) -> tuple[AngleBudget, ...]:
    """The budget by each route at that route's best compound travel, the least uncertain first.

    The travel is a whole number of compound graduations within the slide's reach. On the cross
    route the indicator runs s·cos α along the quill side, so `parallel_datum`, its length, may
    limit the travel; on the axial route it runs s·sin α along a face, `square_datum`. Nothing in
    the budget but a climbing quill grows with a longer travel, so the longest is taken as the
    best of its route.
    """
    alpha = budget.half_angle.radians
    step = lathe.compound_dial.movement_per_graduation
    found = []
    for route, datum, per_travel in (
        (CROSS, parallel_datum, math.cos(alpha)),
        (AXIAL, square_datum, math.sin(alpha)),
    ):
        longest = lathe.usable_travel()
        if datum is not None:
            name = "parallel datum length" if route == CROSS else "square datum length"
            longest = min(longest, positive(name, datum, 2.0) / per_travel)
        whole = math.floor(longest / step + 1e-6)
        if whole >= 1:
            travel = round(whole * step, 12)
            found.append(replace(budget, route=route, compound_travel=travel))
    if not found:
        raise ValueError(
            f"no compound travel of even one graduation ({step:g} {lathe.unit}) fits the reach "
            f"{lathe.usable_travel():g} {lathe.unit} and the datum lengths; use a longer datum"
        )
    return tuple(sorted(found, key=lambda choice: choice.standard_uncertainty))


@dataclass(frozen=True)
class Prospect:
    """Whether a check can prove an angle tolerance; angles in radians, all of the half angle.

    `ratio` is tolerance over expanded uncertainty (the N of N:1, ASME B89.7.3.1).
    `acceptance` is the half-width inside which a measured angle is accepted (`proving_room`), zero
    when no result can prove conformity.
    """

    tolerance: float
    expanded: float
    ratio: InfiniteToo
    acceptance: float
    verdict: str
    attack_first: Group


def prospect(budget: Summed, tolerance: Angle, wanted_ratio: float = WANTED_RATIO) -> Prospect:
    """Can ±`tolerance` on the *half* angle (already halved) be proven with this check?

    The verdict is "with room" (ratio reached), "near the middle only", or "not at all".
    """
    if tolerance.arc_seconds <= 0:
        raise ValueError(f"angle tolerance is {tolerance}; it must be more than zero, as 0°05′")
    positive("wanted ratio", wanted_ratio, 4)
    expanded, allowed = budget.expanded(), tolerance.radians
    room = proving_room(budget, tolerance)
    acceptance = room.radians if room else 0.0
    ratio = allowed / expanded if expanded else math.inf
    if ratio >= wanted_ratio:
        verdict = "with room"
    else:
        verdict = "near the middle only" if acceptance > 0 else "not at all"
    return Prospect(
        tolerance=allowed,
        expanded=expanded,
        ratio=ratio,
        acceptance=acceptance,
        verdict=verdict,
        attack_first=budget.attack_first,
    )


def proving_window(
    budget: AngleBudget, tolerance: Angle, cross_dial: Dial
) -> tuple[float, float] | None:
    """Lowest and highest readings that prove the *half* angle within ±tolerance; None if none do.

    Cross travel: readings of the cross dial, k·s·sin(α ∓ (T − 1.65 u)). Axial travel: stack and
    needle, s·cos(α ± (T − 1.65 u)). Guard band of ISO 14253-1:2017, u from the budget.
    """
    left = proving_room(budget, tolerance)
    if left is None:
        return None
    if budget.route == AXIAL:
        return axial_window(budget.half_angle, left, budget.compound_travel)
    return cross_reading_window(budget.half_angle, left, budget.compound_travel, cross_dial)


def proving_room(budget: Summed, tolerance: Angle) -> Angle | None:
    """How far a half angle may read from the one wanted and be proven; None if none does.

    T − 1.65 u, and less where both limits are in play (`decision.judge`). None where T is less
    than U: there even the middle is not within ±T for 95 %.
    """
    allowed, u = tolerance.radians, budget.standard_uncertainty
    if allowed < budget.expanded():
        return None
    accept = judge(0.0, -allowed, allowed, u, guard=budget.guard_factor).accept
    return Angle.from_radians(accept[1]) if accept else None
