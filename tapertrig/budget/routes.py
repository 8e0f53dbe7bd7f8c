"""Every route to a set angle on one lathe: what each asks for, and how sure it leaves the slide."""

from __future__ import annotations

import math
from dataclasses import replace

from tapertrig.angle import Angle
from tapertrig.budget.other_ways import KNOWN_TAPER, MOUNTING, by_known_taper, compare
from tapertrig.budget.rows import Budget, Summed, Table
from tapertrig.budget.slide_angle import ASSUMED, NO_ANGLE, TYPICAL, AngleBudget, prospect
from tapertrig.lathe import Lathe, length_text
from tapertrig.limits import one_of
from tapertrig.setup import (
    AXIAL,
    BLOCKS,
    CROSS,
    EVERY_ROUTE,
    TAPER,
    TaperSweep,
    axial_travel,
    cross_travel,
)

NOT_GIVEN = "not given"
RESTS_ON_TAPER = (
    "How sure the check is rests on typical figures, nothing measured: a taper within 20″ of its "
    "half angle, as much again for how it is mounted, and what null and snugging up usually cost."
)


def route_budget(
    lathe: Lathe,
    half_angle: Angle,
    compound_travel: float,
    route: str,
    taper_error: Angle | None = KNOWN_TAPER,
    sweep: TaperSweep | None = None,
) -> Summed:
    """How sure the slide's angle is by a route, on this lathe's dials and typical figures.

    A known taper is swept twice, spindle half round, unless `sweep` says otherwise; an error of
    its own that is not given (None) counts as nothing, and the budget names it as left out.
    """
    if one_of("route", route, EVERY_ROUTE) != TAPER:
        return AngleBudget.on_lathe(lathe, half_angle, compound_travel, route=route)
    typical = TYPICAL[lathe.unit]
    found = by_known_taper(
        compound_travel,
        taper_error=taper_error or NO_ANGLE,
        null=typical["null"],
        mounting=MOUNTING,
        snugging=typical["snugging"],
        half_angle=half_angle,
        turned=sweep is None or sweep.turned,
    )
    own = taper_error is not KNOWN_TAPER
    rows = (
        row if own and row.group == "known taper" else replace(row, origin=ASSUMED)
        for row in found.rows
    )
    return Budget(found.title, tuple(rows))


def route_table(
    lathe: Lathe,
    half_angle: Angle,
    tolerance: Angle | None = None,
    compound_travel: float | None = None,
    taper_error: Angle | None = None,
) -> Table:
    """All routes side by side on this lathe: what each asks for, ± at 95 %, what that proves.

    `tolerance` is that of the half angle, `taper_error` the known taper's own; the compound
    travel is the longest that leaves half a turn of run-up. What is not given is said so.
    """
    unit, reach, travel = lathe.unit, lathe.compound_reach, compound_travel
    if travel is None and reach is not None:
        travel = max(reach - lathe.take_up, reach / 2)
    asks = dict.fromkeys(EVERY_ROUTE, "the compound's usable travel first: crank it end to end")
    sure: dict[str, Summed | None] = dict.fromkeys((*EVERY_ROUTE, "sine bar", "by eye"))
    scale = AngleBudget.on_lathe(lathe, half_angle, 1.0)
    _, eye, bar, _ = compare(scale if travel is None else replace(scale, compound_travel=travel),
                             unit)  # fmt: skip
    sure["by eye"] = eye.budget
    asks |= {"sine bar": bar.needs, "by eye": eye.needs}
    if travel is not None:
        lathe.check_reach(travel)
        sure |= {one: route_budget(lathe, half_angle, travel, one, taper_error)
                 for one in EVERY_ROUTE}  # fmt: skip
        sure["sine bar"] = bar.budget
        if taper_error is None:
            sure[TAPER] = None
        run = length_text(travel, unit, 2)
        side = length_text(float(cross_travel(travel, half_angle)), unit, 2)
        along = length_text(float(axial_travel(travel, half_angle)), unit, 2)
        asks |= {
            CROSS: f"both dials, an indicator, {along} of quill parallel to the axis",
            AXIAL: f"the compound's dial, an indicator, gauge blocks to {along}, {side} of a face "
            "square to the axis",
            BLOCKS: f"gauge blocks to {run} and a stop for the compound, the cross dial, an "
            f"indicator, {along} of quill",
            TAPER: f"a true taper or mating part of this very half angle, {along} of it, in the "
            "spindle or between centres, and an indicator; no dial has to be true",
        }
    rows = []
    for name, budget in sure.items():
        if budget is None:
            missing = "the taper's own error" if name == TAPER and travel else "the travel"
            rows.append((name, asks[name], f"{NOT_GIVEN}: {missing}", NOT_GIVEN))
            continue
        least = math.ceil(math.degrees(budget.expanded()) * 3600)
        proves = "no tolerance given"
        if tolerance is not None:
            proves = prospect(budget, tolerance).verdict
        rows.append((name, asks[name], f"± {Angle.from_arc_seconds(least).brief()}", proves))
    allowed = NOT_GIVEN if tolerance is None else f"± {tolerance.brief()}"
    ran = NOT_GIVEN if travel is None else length_text(travel, unit)
    return Table(
        f"Routes to {half_angle.brief()} on {lathe.name or 'this lathe'}",
        ("Route", "What it asks for", "± at 95 %", "Proves the tolerance"),
        tuple(rows),
        (
            f"Compound travel {ran}; tolerance of the half angle {allowed}. Half a line of each "
            "dial; what nobody has measured on this lathe is assumed (common practice, no "
            "source).",
        ),
    )
