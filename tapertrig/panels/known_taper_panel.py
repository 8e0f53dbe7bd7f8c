"""Lesson 10: the slide set by a known taper, its travel by blocks, and every route side by side."""

from __future__ import annotations

from functools import lru_cache

from tapertrig.angle import Angle
from tapertrig.budget import route_budget, route_table
from tapertrig.cautions import MACHINE
from tapertrig.draw.known_taper import STEEPEST, KnownTaperScene, KnownTaperState, swing_said
from tapertrig.draw.parts.magnified import arc_text
from tapertrig.gauging.blocks import travel_stack
from tapertrig.lathe import Dial, Lathe, length_text, places_written
from tapertrig.lathe_book import HOW_TO_FIND
from tapertrig.panels.parts.board import Row, Words
from tapertrig.panels.parts.controls import angle, choice, quantity
from tapertrig.panels.parts.lathe_list import LatheList
from tapertrig.setup import TAPER, TaperSweep, arc_at_base, swing_from_known_taper

LESSON_LATHE = "invented lathe of this lesson"
INTERNAL, EXTERNAL = "internal", "external"
ONE_WAY = (
    "swept one way round only: what the taper leans is in the reading one for one; turn the "
    "spindle half round, taper and all, and sweep again"
)
MAY_BE = "Taper's own half angle may be out by"


class KnownTaper(LatheList[KnownTaperState]):
    """How far to swing after a sweep, how sure that is, and what the other routes would give."""

    title = "A known taper swept"
    scene = KnownTaperScene
    main = "large_end"

    def make_controls(self) -> None:
        inch, unit = self.unit == "in", self.unit
        most, step = (0.03, 0.0001) if inch else (0.8, 0.002)
        travel, least, longest, line = (2.0, 0.5, 4.0, 0.001) if inch else (50.0, 12.0, 100.0, 0.02)
        read = (0.0, -0.0031, 0.0, -0.0019) if inch else (0.0, -0.08, 0.0, -0.048)
        self.lathe_list(first=[LESSON_LATHE])
        names = ("Needle at the small end", "Needle at the large end")
        self.large_end = quantity(f"{names[1]}, + pushed in", read[1], -most, most, step, unit)
        self.small_end = quantity(f"{names[0]}, + pushed in", read[0], -most, most, step, unit)
        self.turned_large_end = quantity(
            f"Turned half round: {names[1].lower()}", read[3], -most, most, step, unit,
            optional=True,
        )  # fmt: skip
        self.turned_small_end = quantity(
            f"Turned half round: {names[0].lower()}", read[2], -most, most, step, unit,
            optional=True,
        )  # fmt: skip
        self.half_angle = angle("Half angle", "13°25′", "1°", STEEPEST.brief())
        self.compound_travel = quantity("Compound travel", travel, least, longest, line, unit)
        self.kind = choice("Cone", [EXTERNAL, INTERNAL])
        self.taper_error = angle(MAY_BE, None, "0°", "0°10′", "0°00′05″", optional=True)
        self.tolerance = angle(
            "Tolerance of the half angle ±", "0°06′", "0°00′30″", "2°", "0°00′30″", optional=True
        )

    def lathe_in_use(self) -> Lathe:
        """The lathe picked, or the invented one of this lesson."""
        if picked := self.picked_lathe():
            return picked
        reach, compound, cross, rim = (
            (3.4, Dial(0.001, 0.1), Dial(0.001, 0.2, "diameter"), 2.2)
            if self.unit == "in"
            else (86.0, Dial(0.02, 2.0), Dial(0.02, 4.0, "diameter"), 56.0)
        )
        return Lathe(self.unit, reach, compound, cross, base_radius=rim, name=LESSON_LATHE)

    def read_state(self) -> KnownTaperState:
        lathe = self.lathe_in_use()
        return KnownTaperState(
            self.half_angle.angle,
            lathe.check_reach(self.compound_travel.value),
            TaperSweep(
                self.small_end.value,
                self.large_end.value,
                self.turned_small_end.value,
                self.turned_large_end.value,
            ),
            self.kind.value == INTERNAL,
            lathe,
            self.taper_error.angle,
            self.tolerance.angle,
        )

    def words(self, state: KnownTaperState) -> Words:
        lathe, unit, sweep = state.lathe, state.lathe.unit, state.sweep
        fine = places_written(unit) + 1
        travel, half = state.compound_travel, state.half_angle
        given = (
            f"A known taper of half angle {half.brief()} swept over a compound travel of "
            f"{length_text(travel, unit)}, {'twice' if sweep.turned else 'once'}"
        )
        to_do, past = swing_said(state.past), state.past
        rim = "the rim's radius is not given"
        if lathe.base_radius is not None:
            rim = length_text(abs(arc_at_base(past, lathe.base_radius)), unit, fine)
        sure = route_budget(lathe, half, travel, TAPER, state.taper_error, sweep)
        told = f"± {arc_text(sure.expanded())}, 95 %, from typical figures"
        if state.taper_error is None:
            told += "; without the taper's own error, which is not given"
        rows = [
            Row("Needle let out, mean", length_text(sweep.let_out, unit, fine)),
            Row("Swing", to_do.removeprefix("swing ")),
            Row("At the rim", rim),
            Row("How sure", told, mark="wide"),
            Row("The taper leans", self.leans(state), mark="wide"),
            Row("Tip bears on", "the far side" if state.internal else "the operator's side",
                answer=False),
            Row("Stack for the compound", _stack(lathe, half), mark="wide"),
            *_routes(lathe, half, state.tolerance, state.taper_error),
            Row("Mind", " ".join((MACHINE[0], *MACHINE[3:6:2])), answer=False, mark="wide"),
        ]  # fmt: skip
        return Words(f"{given}: {to_do}.", tuple(rows), f"{given}.")

    def leans(self, state: KnownTaperState) -> str:
        """What the two sweeps differ by, as an angle."""
        out = state.sweep.out_of_true
        if out is None:
            return ONE_WAY
        leaning = swing_from_known_taper(out, state.compound_travel, state.half_angle)
        return f"about {arc_text(leaning.radians)}, which the mean leaves out"


# Neither goes by what the needle reads: they stand still while it is dragged.
@lru_cache(maxsize=64)
def _stack(lathe: Lathe, half_angle: Angle) -> str:
    """The stack the kit chooses for the compound, and what the cross dial then shows."""
    unit = lathe.unit
    if lathe.compound_reach is None:
        return f"not given how far this slide goes. {HOW_TO_FIND['compound_reach'][1]}"
    stack, line = travel_stack(half_angle, lathe)
    blocks = " + ".join(f"{block:g}" for block in stack.blocks)
    shows = length_text(line.cross_reading, unit)
    return f"{length_text(stack.height, unit)} ({blocks}); the cross dial must show {shows}"


@lru_cache(maxsize=64)
def _routes(
    lathe: Lathe, half_angle: Angle, tolerance: Angle | None, taper_error: Angle | None
) -> tuple[Row, ...]:
    """Every route on this lathe for this angle: how sure, and what it asks for."""
    table = route_table(lathe, half_angle, tolerance, taper_error=taper_error)
    verdicts = ("with room", "near the middle only", "not at all")
    told = {one: f", proves the tolerance {one}" for one in verdicts}
    return tuple(
        Row(name.capitalize(), f"{sure}{told.get(proves, '')}; asks for {asks}", mark="wide")
        for name, asks, sure, proves in table.rows
    )
