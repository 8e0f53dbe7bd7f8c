"""Readings taken at the lathe, one pass after another, and the half angle each one tells."""

from __future__ import annotations

import contextlib
import secrets
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import UTC, datetime

from tapertrig.angle import Angle
from tapertrig.lathe import UNITS, Dial, Lathe
from tapertrig.limits import line_of_text, one_of, positive
from tapertrig.setup import (
    AXIAL,
    BLOCKS,
    CROSS,
    EVERY_ROUTE,
    TAPER,
    arc_at_base,
    half_angle_from,
    half_angle_from_axial,
)

SWEPT = (
    "this setup is swept along a known taper, where the dials tell no angle; lesson 10 works the "
    "sweep out, or choose another route on the job sheet"
)
BOLTS = ("eased", "tight")


def new_identity() -> str:
    """Tells one job, pass or set of readings from every other."""
    return secrets.token_hex(8)


def now(after: Iterable[Pass] = ()) -> str:
    """The present time as it is kept: to the second, with the zone's offset; not before a pass."""
    here = datetime.now().astimezone()
    last = max((moment for moment, _ in moments(after)), default=here)
    return max(here, last).isoformat(timespec="seconds")


@dataclass(frozen=True)
class Aim:
    """What a pass was aimed at when it was taken: it stays, whatever the print says later.

    `internal` is None where an older file does not say on which side of the work it swung.
    """

    half_angle: Angle
    tolerance: Angle | None
    route: str
    cone: int = 0
    internal: bool | None = field(default=None, metadata={"later": True})


@dataclass(frozen=True)
class Pass:
    """One pass: what the dials read at the second null, both zeroed at the first one.

    `compound_reading` and `cross_reading` are as the dials show them; `axial_reading` is the
    gauge block stack and the needle together, on the axial route; where gauge blocks are the
    travel, `compound_reading` is their height. The dials are those it was read on, and `unit`
    theirs, so the angle depends on nothing that can change later. `struck` passes are kept and
    count for nothing.
    """

    compound_reading: float
    aim: Aim
    compound_dial: Dial
    cross_dial: Dial
    unit: str
    cross_reading: float | None = None
    axial_reading: float | None = None
    base_radius: float | None = None
    bolts: str = "eased"
    time: str = ""
    struck: bool = False
    identity: str = field(default_factory=new_identity)

    def __post_init__(self) -> None:
        positive("compound reading", self.compound_reading, 2.5)
        one_of("unit", self.unit, UNITS)
        if one_of("route", self.aim.route, EVERY_ROUTE) == TAPER:
            raise ValueError(SWEPT)
        one_of("bolts", self.bolts, BOLTS)
        line_of_text("time", self.time)
        wanted, other = "cross_reading", "axial_reading"
        if self.aim.route == AXIAL:
            wanted, other = other, wanted
        if getattr(self, wanted) is None or getattr(self, other) is not None:
            raise ValueError(
                f"this setup is measured by the {self.aim.route}; give the "
                f"{wanted.replace('_', ' ')} alone, for example 1.25"
            )
        positive(wanted.replace("_", " "), getattr(self, wanted), 1.25)
        self.half_angle  # noqa: B018 (refuses readings that make no triangle)

    @property
    def compound_travel(self) -> float:
        """The slide's movement that the compound dial's reading stands for."""
        by_blocks = self.aim.route == BLOCKS
        return (
            self.compound_reading
            if by_blocks
            else (self.compound_dial.movement(self.compound_reading))
        )

    @property
    def reading(self) -> float:
        """What tells the angle beside the compound: the cross reading, or stack and needle."""
        found = self.axial_reading if self.cross_reading is None else self.cross_reading
        assert found is not None
        return found

    @property
    def read_on(self) -> Lathe:
        """The lathe as far as the pass knows it: unit, both dials, and the rim's radius."""
        return Lathe(
            self.unit, None, self.compound_dial, self.cross_dial, None,
            base_radius=self.base_radius,
        )  # fmt: skip

    @property
    def half_angle(self) -> Angle:
        """What the slide stood at: asin(cross ÷ compound) or acos(axial ÷ compound)."""
        if self.axial_reading is not None:
            return half_angle_from_axial(self.compound_travel, self.axial_reading)
        assert self.cross_reading is not None
        return half_angle_from(self.compound_travel, self.cross_dial.movement(self.cross_reading))

    @property
    def swing(self) -> Angle:
        """How much further to swing to what it was aimed at; negative: swing back."""
        return self.aim.half_angle - self.half_angle

    @property
    def rim(self) -> float | None:
        """The swing as a length at the base's rim; None when nobody has measured its radius."""
        return None if self.base_radius is None else arc_at_base(self.swing, self.base_radius)


def moments(passes: Iterable[Pass]) -> list[tuple[datetime, Pass]]:
    """Passes with the minute they were taken in, in that order, whoever brought them together.

    One that does not say when comes right after the one before it; within a minute, which no pass
    is done in, they stand as they were brought.
    """
    timed, last = [], datetime.min.replace(tzinfo=UTC)
    for one in passes:
        with contextlib.suppress(ValueError, OverflowError):
            read = datetime.fromisoformat(one.time).astimezone(UTC)
            last = read.replace(second=0, microsecond=0)
        timed.append((last, one))
    return sorted(timed, key=lambda pair: pair[0])


__all__ = ["AXIAL", "BOLTS", "CROSS", "Aim", "Pass", "moments", "new_identity", "now"]
