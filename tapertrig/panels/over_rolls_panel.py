"""Lesson 07: an external cone measured over two rolls, low on a plate and high on blocks."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from tapertrig import demo
from tapertrig.cone import Cone
from tapertrig.draw.over_rolls import OverRollsScene, RollsState
from tapertrig.draw.parts.magnified import arc_text
from tapertrig.gauging import over_rolls
from tapertrig.gauging.inspection import ROLLS, headline, printed_cone
from tapertrig.job import Gauge, Instrument, Job, Readings
from tapertrig.lathe import length_text, places_written
from tapertrig.panels.parts.board import Row, Words
from tapertrig.panels.parts.controls import entry, quantity
from tapertrig.panels.parts.measuring import (
    DEMO_SCATTER,
    Measured,
    Measuring,
    correlation_rows,
    repeats_words,
    result_rows,
    scattered,
    typed,
)

# Rolls of the invented shop, and the steps its block heights are taken in, coarse to fine.
ROLL_SETS = {
    "in": (0.0625, 0.125, 0.1875, 0.25, 0.375, 0.5, 0.75, 1.0),
    "mm": (2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 25.0),
}
BLOCK_STEPS = {"in": (0.1, 0.01, 0.001), "mm": (5.0, 1.0, 0.1)}


class OverRolls(Measuring[Any]):
    """The external cone of a job over rolls and blocks: result, verdict, record, job file."""

    title = "Over rolls"
    scene = OverRollsScene
    main = "block_height"
    main_span = (0.2, 0.88)
    can_hide = True
    gauge, under = "rolls", "blocks"
    methods = (ROLLS,)
    internal = False
    elsewhere = (
        "rolls measure an external cone, and a bore is measured by balls, with panels.inspection()"
    )
    rows = ("low", "high")
    entries = ("block_height", "roll", "low", "high", "block_limit", *Measuring.entries)

    def make_controls(self) -> None:
        self.add_class("tapertrig-controls-first")
        v = self.take_example()
        unit, inch = self.unit, self.unit == "in"
        fine = 0.00001 if inch else 0.0001
        step, places = (0.005, 4) if inch else (0.1, 3)
        highest, largest = self._ends(self.kept)
        example = "1.7362 1.7364 1.7360" if inch else "44.096 44.099 44.094"

        def size(label: str, name: str, most: float, step: float, places: int | None) -> Any:
            return quantity(label, v[name], 0.0, most, step, unit, places, optional=True)

        self.block_height = size("Block height", "block_height", highest, step, places)
        self.roll = size("Roll diameter", "roll", largest, step, places)
        self.low = entry("Readings over the low rolls", v["low"], example)
        self.high = entry("Readings over the high rolls", v["high"], example)
        self.bench_controls("Zero", v)
        self.block_limit = size("Blocks good to ±", "block_limit", 50 * fine, fine, None)
        self.record_controls(v)

    def example(self) -> Job:
        job, unit, inch = demo.plug_job(unit=self.unit), self.unit, self.unit == "in"
        cone = _middle(job.callout.cone(), job.callout.diameter_limits)
        roll, block = self._roll_and_block(cone)
        low, high = (float(over_rolls(cone, roll, at)) for at in (0.0, block))
        made = Readings(
            ROLLS,
            unit,
            (Gauge(roll, 0.00005 if inch else 0.001, "invented pair", "2031-01-14"),),
            (scattered(low, unit), scattered(high, unit, DEMO_SCATTER[::-1])),
            blocks=Gauge(block, 0.00001 if inch else 0.0003, "invented set", "2031-01-14"),
            instrument=Instrument(
                "outside micrometer", 0.0001 if inch else 0.002, 0.0001 if inch else 0.002,
                "invented no. 3", "2031-01-14",
            ),
            face_limit=0.00005 if inch else 0.001,
            measured_by="nobody: an invented example",
            date="2031-03-09",
        )  # fmt: skip
        return job.with_readings(made)

    def _roll_and_block(self, cone: Cone) -> tuple[float, float]:
        """Rolls small beside the cone, and blocks that lift them most of the way up it."""
        long, unit = _long(cone), self.unit
        largest = min(cone.face_diameter / 4, long / 5)
        roll = max((one for one in ROLL_SETS[unit] if one <= largest), default=largest)
        block = 0.65 * long
        for step in BLOCK_STEPS[unit]:
            if block >= 4 * step:
                return roll, round(math.floor(block / step) * step, 4)
        return roll, block

    # -- readings from the controls, and back ---------------------------------------------

    def _ends(self, kept: Readings | None) -> tuple[float, float]:
        """The highest blocks and the largest rolls on the sliders, by the size of the cone."""
        callout = self.callout
        if callout.face_diameter is None or callout.kind is None:
            return (10.0, 2.0) if self.unit == "in" else (250.0, 50.0)
        cone = printed_cone(callout, self.unit)
        kept = kept and kept.in_unit(self.unit)
        block, roll = (kept.blocks.size, kept.gauges[0].size) if kept and kept.blocks else (0, 0)
        return max(_long(cone), block), max(0.75 * cone.face_diameter, roll)

    def fit_sliders(self, kept: Readings | None) -> None:
        highest, largest = self._ends(kept)
        self.block_height.limit(0.0, highest)
        self.roll.limit(0.0, largest)

    def pairs(self) -> list[tuple[str, tuple[Any, ...]]]:
        # In the example the blocks are there to be moved under readings that stay.
        block = None if self.job.invented else self.block_height.value
        roll = self.roll.value
        return [(self.low.value, (roll,)), (self.high.value, (roll, block))]

    def own_parts(self, rows: list[tuple[float, ...]]) -> dict[str, Any]:
        roll, block = self.roll.value, self.block_height.value
        for control in (self.roll, self.block_height):
            if control.value is None:
                raise ValueError(f"{control.label.lower()} is not given; give what it measures")
        blocks = Gauge(block, self.block_limit.value)
        if self.kept is not None and self.kept.blocks is not None:
            blocks = replace(self.kept.blocks, size=block, limit=self.block_limit.value)
        return {
            "method": ROLLS,
            "gauges": self.gauges(roll),
            "rows": tuple(rows),
            "blocks": blocks,
        }

    def values_of(self, kept: Readings) -> dict[str, Any]:
        blocks = kept.blocks or Gauge(1.0)
        return {
            "block_height": blocks.size,
            "roll": kept.gauges[0].size,
            "low": typed(kept.rows[0]),
            "high": typed(kept.rows[1]),
            "block_limit": blocks.limit,
            **super().values_of(kept),
        }

    # -- one state ------------------------------------------------------------------------

    def read_state(self) -> tuple[Measured, RollsState]:
        state = self.state_of_job()
        made = state.inspection
        cone = printed_cone(self.callout, self.unit, made)
        cone = _middle(cone, self.callout.in_unit(self.unit).diameter_limits)
        roll, block = self._roll_and_block(cone)
        if made is None:
            return state, RollsState(cone, self.unit, None, roll, block, state.why)
        return state, RollsState(cone, self.unit, made, made.gauges[0], made.block_height)

    def scene_state(self, state: tuple[Measured, RollsState]) -> RollsState:
        return state[1]

    def words(self, state: tuple[Measured, RollsState]) -> Words:
        measured, seen = state
        unit, made = self.unit, measured.inspection
        given = f"{self.callout.words()}, external, small end down"
        if made is None:
            rows = [*result_rows(measured.found, unit), *self.remark_rows(measured)]
            return Words(self.sentence(measured), tuple(rows), f"{given}.")
        low, high = made.repeats()
        rows = [
            Row("Over the low rolls, M₁", f"mean {repeats_words(low, unit)}", False, "wide"),
            Row("Over the high rolls, M₂", f"mean {repeats_words(high, unit)}", False, "wide"),
            _tangent_row(seen),
            *result_rows(measured.found, unit),
            *correlation_rows(made),
            *self._print_rows(seen),
            *_place_rows(seen),
            *self.remark_rows(measured),
        ]
        given = (
            f"{given}, with rolls of {length_text(seen.roll, unit)} on the plate and on blocks of "
            f"{length_text(seen.block, unit)}; over them M₁ is {length_text(seen.over[0], unit)} "
            f"and M₂ {length_text(seen.over[1], unit)}."
        )
        face, angle = measured.found
        told = f"The half angle is {angle.result(unit)}, the face (small) diameter "
        return Words(
            f"{given} {told}{face.result(unit)}. {headline(measured.found)}.", tuple(rows), given
        )

    def _print_rows(self, state: RollsState) -> list[Row]:
        """What these rolls and blocks would show on a cone as the print has it."""
        unit = self.unit
        expected = "these rolls and blocks do not touch it; use lower blocks or smaller rolls"
        if state.by_print is not None:
            low, high = (length_text(over, unit) for over in state.by_print)
            expected = f"over the low rolls {low}, on these blocks {high}"
        return [
            Row("The print's cone would read", expected, mark="wide"),
            Row(
                "These readings fit the print's half angle",
                f"on blocks of {length_text(state.fitting_block, unit)}",
                mark="wide",
            ),
        ]

    # -- buttons --------------------------------------------------------------------------

    def write_record(self) -> None:
        """Write the record of the present inspection."""
        self._check_shown()
        super().write_record()

    def settle(self) -> None:
        """Tell what would turn “not proven” into a verdict."""
        self._check_shown()
        super().settle()

    def _check_shown(self) -> None:
        if self.hiding:
            raise ValueError("answers are hidden; show them first")


def _middle(cone: Cone, limits: tuple[float, float] | None) -> Cone:
    """The print's cone with its small diameter midway between its limits."""
    return cone if limits is None else replace(cone, face_diameter=sum(limits) / 2)


def _long(cone: Cone) -> float:
    """Length of the cone, or of as much of it as anyone measures when the print gives none."""
    return cone.length or 2 * cone.face_diameter


def _tangent_row(state: RollsState) -> Row:
    """The relation with its numbers: the triangle between the middles of the rolls, doubled."""
    places = places_written(state.unit)
    low, high = state.over
    tangent = math.tan(state.measured.half_angle.radians)
    told = f"{high - low:.{places + 1}f} / {2 * state.block:.{places}f} = {tangent:.5f}"
    return Row("tan α = (M₂ − M₁) / (2 B)", told, mark="wide")


def _place_rows(state: RollsState) -> list[Row]:
    """Where the rolls touch, and what one graduation over the high rolls is worth."""
    unit, rows = state.unit, []
    for name, contact in zip(("Low rolls", "High rolls"), state.contacts, strict=True):
        clear = ""
        if state.cone.length is not None:
            clear = f", {length_text(state.cone.length - contact.height, unit)} from the large end"
        rows.append(
            Row(
                f"{name} touch",
                f"on ⌀ {length_text(contact.diameter, unit)}, "
                f"{length_text(contact.height, unit)} above the plate{clear}",
                mark="wide",
            )
        )
    slope = math.cos(state.measured.half_angle.radians) ** 2 / (2 * state.block)
    graduation = state.inspection and state.inspection.instrument.graduation
    if graduation:
        worth = arc_text(slope * graduation)
        rows.append(Row("One graduation over the high rolls", f"{worth} of half angle"))
    return rows
