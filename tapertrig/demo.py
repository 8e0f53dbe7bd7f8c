"""The invented scenario of the examples: a part, a shop and three lathes that do not exist."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from tapertrig.angle import Angle
from tapertrig.job import Callout, Job
from tapertrig.job.callout import LENGTHS
from tapertrig.lathe import UNITS, Dial, Lathe
from tapertrig.limits import one_of

MARK = "Invented example: no such part, shop, drawing or lathe exists."

LATHES: dict[str, Lathe] = {
    lathe.name: lathe
    for lathe in (
        Lathe(
            name="Bench Four (invented): inch, cross dial reads diameter",
            unit="in",
            compound_reach=3.25,
            compound_dial=Dial(0.001, 0.100, "radius"),
            cross_dial=Dial(0.001, 0.200, "diameter"),
            base_zero="parallel to bed",
            compound_backlash=0.006,
            cross_backlash=0.009,
            base_radius=2.125,
        ),
        Lathe(
            name="Window Bay (invented): mm, both dials read slide movement",
            unit="mm",
            compound_reach=86.0,
            compound_dial=Dial(0.02, 3.0, "radius"),
            cross_dial=Dial(0.02, 4.0, "radius"),
            base_zero="parallel to bed",
            compound_backlash=0.18,
            cross_backlash=0.24,
            base_radius=58.0,
        ),
        Lathe(
            name="Old Grey (invented): inch, base zero square to the bed",
            unit="in",
            compound_reach=2.6,
            compound_dial=Dial(0.001, 0.125, "radius"),
            cross_dial=Dial(0.001, 0.125, "radius"),
            base_zero="square to bed",
            compound_backlash=0.014,
            cross_backlash=0.018,
            base_radius=1.875,
        ),
    )
}
FIRST_LATHE, METRIC_LATHE, *_ = LATHES


def callout() -> Callout:
    """The cone of the invented clutch cup: 41°26′ ± 0°12′ included, its large end at the face."""
    return _callout("41°26′", 1.418, 0.64, internal=True)


def plug_callout() -> Callout:
    """The invented plug: 25°04′ ± 0°12′ included, an external cone, its small end at the face."""
    return _callout("25°04′", 1.173, 1.6, internal=False)


def _callout(included: str, face: float, length: float, internal: bool) -> Callout:
    return Callout(
        "included angle",
        included,
        face,
        internal=internal,
        diameter_plus=0.003,
        diameter_minus=0.0,
        angle_tolerance=Angle.from_dms(0, 12),
        length=length,
    )


def job(lathe: str | None = None, unit: str = "in") -> Job:
    """The invented job on one of the invented lathes, each time with an identity of its own.

    `unit` is the print's, “in” or “mm”; the lathe is of that unit unless one is named.
    """
    return _job(
        lathe,
        unit,
        callout(),
        title="Clutch cup, bored cone",
        part="Clutch cup, winch of a model sluice",
        drawing_number="EX-3108 sheet 2",
        material="aluminium bronze, cast blank",
        remark="Measure the face diameter before any edge break is put on it.",
    )


def plug_job(lathe: str | None = None, unit: str = "in") -> Job:
    """The invented external cone, otherwise as `job`."""
    return _job(
        lathe,
        unit,
        plug_callout(),
        title="Sluice plug, external cone",
        part="Sluice plug, mill-pond model",
        drawing_number="EX-3112 sheet 1",
        material="aluminium bronze, turned bar",
        remark="Measure over rolls, small end down, before any edge break is put on it.",
    )


def _job(lathe: str | None, unit: str, print_says: Callout, remark: str, **named: Any) -> Job:
    if one_of("unit", unit, UNITS) == "mm":
        metric = print_says.in_unit(unit)
        given = [name for name in LENGTHS if getattr(metric, name) is not None]
        print_says = replace(metric, **{name: round(getattr(metric, name), 2) for name in given})
    lathe = lathe or (FIRST_LATHE if unit == "in" else METRIC_LATHE)
    one_of("invented lathe", lathe, tuple(LATHES))
    return Job(
        callout=print_says,
        lathe=LATHES[lathe],
        shop="Millrace evening workshop",
        notes=f"{MARK} {remark}",
        invented=True,
        **named,
    )
