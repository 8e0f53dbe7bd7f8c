"""A procedure performed on a bench nobody has prepared, and what came of it."""

from __future__ import annotations

import math
import random
from dataclasses import dataclass, field, replace
from typing import Any

from tapertrig.angle import Angle
from tapertrig.bench.bench import Bench
from tapertrig.bench.conditions import USUAL, BenchConditions
from tapertrig.bench.hands import Hand
from tapertrig.bench.lost_motion import PitchError
from tapertrig.bench.reviewing import REVERSAL, ZEROED_EARLY, review
from tapertrig.bench.state import Pass
from tapertrig.budget import TYPICAL, AngleBudget, proving_room, proving_window, route_budget
from tapertrig.budget.other_ways import KNOWN_TAPER, MOUNTING
from tapertrig.budget.rows import Summed
from tapertrig.lathe import Lathe, places_written
from tapertrig.procedure import AXIAL, BLOCKS, TAPER, Procedure, Setup, gauge_stack, procedure
from tapertrig.setup import ARC_SECONDS_PER_RADIAN

# So many passes that only what cannot be done is given up.
MOST_PASSES = 600
MOST_TRAVELS = 200
# How far a taper may lean for a sweep that is then turned half round: common practice, no source.
LEAN = Angle.from_dms(0, 2)
SLACK = ("compound_backlash", "cross_backlash")


@dataclass(frozen=True)
class Performed:
    """What came of performing a procedure.

    `overran`: some move would have driven the tip past what the indicator has; `reversed`: a pass
    was read with backlash in it; `proven`: a pass with the bolts tight proved the tolerance.
    `half_angle_error` is the slide's true half angle less the one wanted, `misread` what the last
    pass said less the true one, `expanded` the 95 % uncertainty of its budget: all arc-seconds.
    """

    overran: bool
    reversed: bool
    proven: bool
    half_angle_error: float
    misread: float
    expanded: float
    passes: int
    bench: Bench = field(repr=False)


class _ProvingHand(Hand):
    """A hand that is content with what the window proves, or, where nothing can, with U/2."""

    window: tuple[float, float] | None = None

    def near(self, line: Pass) -> bool:
        window = self.window
        return super().near(line) and (window is None or within(window, reading_of(line)))


def reading_of(line: Pass) -> float:
    """What a pass read on the other slide: the cross dial, or stack and needle together."""
    return abs(line.cross_reading) if line.axial is None else line.axial


def within(window: tuple[float, float], reading: float) -> bool:
    """Whether a reading lies in a window, a float's rounding aside."""
    return window[0] * (1 - 1e-12) <= reading <= window[1] * (1 + 1e-12)


@dataclass(frozen=True)
class _Chosen:
    """A plan with its travel chosen anew."""

    lathe: Lathe
    half_angle: Angle
    internal: bool
    route: str
    compound_travel: float
    half_angle_tolerance: Angle | None

    def proves(self) -> bool:
        """Whether some reading that a person can make, to half a graduation, proves it."""
        unit, tolerance = self.lathe.unit, self.half_angle_tolerance
        budget = budget_of(self)
        if not isinstance(budget, AngleBudget):
            return tolerance is not None and proving_room(budget, tolerance) is not None
        window = tolerance and proving_window(budget, tolerance, self.lathe.cross_dial)
        if not window:
            return False
        offset, step = 0.0, self.lathe.cross_dial.graduation / 2
        if self.route == AXIAL:
            offset = gauge_stack(budget.measured_travel, unit).height
            step = USUAL[unit]["indicator_graduation"] / 2
        low, high = (math.floor((end - offset) / step + 1e-6) for end in window)
        return high > low or within(window, offset + low * step)


def chosen(plan: Setup) -> tuple[_Chosen, bool]:
    """The plan, and whether it can be proven, with the travel nearest to its own that allows it.

    Where the readings that prove it all lie between two half graduations, a travel some compound
    graduations longer or shorter brings one of them onto a line.
    """
    travel, step = plan.compound_travel, plan.lathe.compound_dial.movement_per_graduation
    if plan.route == BLOCKS:
        unit = plan.lathe.unit
        travel, step = gauge_stack(travel, unit).height, 10.0 ** (1 - places_written(unit))
    own = _Chosen(
        plan.lathe, plan.half_angle, plan.internal, plan.route, travel, plan.half_angle_tolerance
    )
    if own.proves():
        return own, True
    tolerance = plan.half_angle_tolerance
    budget = budget_of(own)
    if tolerance is None or not isinstance(budget, AngleBudget):
        return own, False
    if not proving_window(budget, tolerance, plan.lathe.cross_dial):
        return own, False
    reach = plan.lathe.compound_reach or travel
    longest = max(travel, reach - plan.lathe.take_up)
    for away in range(1, MOST_TRAVELS):
        for other in (travel + away * step, travel - away * step):
            other = round(other, 12)
            if 0 < other <= longest and (made := replace(own, compound_travel=other)).proves():
                return made, True
    return own, False


def budget_of(plan: Setup) -> Summed:
    """The budget of a plan: its dials, the rest from `budget.TYPICAL`."""
    return route_budget(plan.lathe, plan.half_angle, plan.compound_travel, plan.route)


def perform(plan: Setup, seed: int = 0, steps: Procedure | None = None) -> Performed:
    """Play the steps of a plan on a bench that chance has left as it is; the same seed repeats it.

    Start, screws, datum, scatter and, where the lathe gives none, backlash are drawn within what
    the budget allows for (`budget.TYPICAL`). Passes go on until the half angle is read within
    half its uncertainty and, where that can be (`chosen`), inside the window that proves it; then
    the bolts are tightened and a pass proves it. Lengths in the lathe's unit; `steps`, where
    others than the plan's own are to be performed.
    """
    chance = random.Random(f"{seed} perform")
    plan, can = chosen(plan)
    made = procedure(plan)
    lathe, typical = plan.lathe, TYPICAL[plan.lathe.unit]

    def spread(most: float) -> float:
        return chance.uniform(-most, most)

    drawn = {name: 2 * USUAL[lathe.unit]["backlash"] * chance.random() for name in SLACK}
    changes: dict[str, Any] = {n: slack for n, slack in drawn.items() if getattr(lathe, n) is None}
    lathe = replace(lathe, **changes) if changes else lathe
    budget, taper = budget_of(plan), plan.route == TAPER
    slope, lean = spread(typical["datum"].radians), 0.0
    if taper:
        # Its own error and what no half turn tells; the lean that one does tell is a lean.
        slope = spread(KNOWN_TAPER.radians) + spread(MOUNTING.radians)
        lean = spread(LEAN.radians)
    conditions = BenchConditions(
        lathe,
        plan.half_angle,
        plan.compound_travel,
        plan.internal,
        seed=chance.randrange(2**31),
        quill_slope=math.tan(slope),
        compound_pitch=PitchError(spread(typical["screw_error"])),
        cross_pitch=PitchError(spread(typical["screw_error"])),
        snug_shift=typical["snugging"],
        route=plan.route,
        half_angle_tolerance=plan.half_angle_tolerance,
        taper_lean=Angle.from_radians(lean),
    )
    bench = Bench.under(conditions)
    # Along a taper the room is the window, whatever travel the needle allows; and as nothing but
    # the needle is read there, a hand taps on to a quarter of what is not sure.
    most = plan.half_angle_tolerance
    room = proving_room(budget, most) if taper and can and most is not None else None
    hand = _ProvingHand(
        bench,
        aim=min(
            Angle.from_radians(budget.expanded() / (4 if taper else 2)), room or Angle.from_dms(1)
        ),
        most_passes=MOST_PASSES,
        steps=made if steps is None else steps,
        travel_known=not taper,
    )
    hand.window = made.proven if can and not taper else None
    worked = hand.work()
    truth, last = bench.truth(), bench.passes[-1]
    said = plan.half_angle if last.implied is None else last.implied
    return Performed(
        overran=bench.state.overruns > 0,
        reversed=bool({REVERSAL, ZEROED_EARLY} & set(review(bench).mistakes)),
        proven=can and worked.proven,
        half_angle_error=float(truth.error.arc_seconds),
        misread=float((said - truth.half_angle).arc_seconds),
        expanded=budget.expanded() * ARC_SECONDS_PER_RADIAN,
        passes=worked.passes,
        bench=bench,
    )
