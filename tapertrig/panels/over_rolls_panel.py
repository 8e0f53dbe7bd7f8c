"""Lesson 07: an external cone measured over two rolls, low on a plate and high on blocks."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import ipywidgets

from tapertrig import demo
from tapertrig.cone import Cone
from tapertrig.draw.over_rolls import OverRollsScene, RollsState
from tapertrig.draw.parts.magnified import arc_text
from tapertrig.gauging import over_rolls
from tapertrig.gauging.inspection import METHODS, Inspection, Instrument
from tapertrig.job import Job
from tapertrig.lathe import length_text, places_written
from tapertrig.panels.ball_in_bore_panel import result_rows
from tapertrig.panels.inspection_panel import (
    DEMO_SCATTER,
    InspectionPanel,
    invented_job,
    read_repeats,
    repeats_words,
    scattered,
    typed,
)
from tapertrig.panels.parts.board import Row, Words
from tapertrig.panels.parts.controls import Control, entry, quantity
from tapertrig.panels.parts.kept_file import KeptFile

# Rolls of the invented shop, and the steps its block heights are taken in, coarse to fine.
ROLL_SETS = {
    "in": (0.0625, 0.125, 0.1875, 0.25, 0.375, 0.5, 0.75, 1.0),
    "mm": (2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 25.0),
}
BLOCK_STEPS = {"in": (0.1, 0.01, 0.001), "mm": (5.0, 1.0, 0.1)}


class OverRolls(InspectionPanel):
    """The external cone of a job over rolls and blocks: result, verdict, record, job file."""

    title = "Over rolls"
    scene = OverRollsScene
    main = "block_height"
    main_span = (0.2, 0.88)
    can_hide = True
    gauge = "rolls"
    methods = METHODS[2:]
    long_lines = ("low", "high", "notes")

    def make_controls(self) -> None:
        self.add_class("tapertrig-controls-first")
        unit, inch = self.unit, self.unit == "in"
        self.job = invented_job(unit, demo.plug_job)
        self._template = made = self._inspection_of(self.job)
        (low,), (high,) = made.readings
        fine = 0.00001 if inch else 0.0001
        step, places = (0.005, 4) if inch else (0.1, 3)
        highest, largest = self._ends()
        example = "1.7362 1.7364 1.7360" if inch else "44.096 44.099 44.094"
        self.block_height = quantity(
            "Block height", made.block_height, 0.0, highest, step, unit, places
        )
        self.roll = quantity("Roll diameter", made.gauges[0], 0.0, largest, step, unit, places)
        self.low = entry("Readings over the low rolls", scattered(low, unit), example)
        self.high = entry(
            "Readings over the high rolls", scattered(high, unit, DEMO_SCATTER[::-1]), example
        )
        self._bench_controls("Zero")
        self.block_limit = quantity(
            "Blocks good to ±", made.block_limit, 0.0, 50 * fine, fine, unit
        )
        self._record_controls()

    def arrange(self) -> list[ipywidgets.Widget]:
        *rest, style_switch = super().arrange()
        return [*rest, self.answers_switch, style_switch]

    def _inspection_of(self, job: Job) -> Inspection:
        """A first inspection of a job: rolls and blocks that suit its cone, read as its print."""
        callout, inch = job.callout, self.unit == "in"
        if callout.internal:
            raise ValueError(
                "this job's cone is internal; rolls measure an external cone. Measure it by balls, "
                "with panels.inspection()"
            )
        self._check_unit(callout.unit, "over_rolls")
        cone = _middle(callout.cone(), callout.diameter_limits)
        roll, block = self._roll_and_block(cone)
        return Inspection.for_job(
            job,
            method="rolls and blocks",
            gauges=(roll,),
            readings=tuple((float(over_rolls(cone, roll, at)),) for at in (0.0, block)),
            block_height=block,
            instrument=Instrument(
                "outside micrometer", 0.0001 if inch else 0.002, 0.0001 if inch else 0.002
            ),
            gauge_limit=0.00005 if inch else 0.001,
            face_limit=0.00005 if inch else 0.001,
            block_limit=0.00001 if inch else 0.0003,
        )

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

    # -- controls that depend on each other -----------------------------------------------

    def moved(self, control: Control) -> None:
        KeptFile.moved(self, control)

    def _show_used(self) -> None:
        """Every control is always used."""

    def _ends(self) -> tuple[float, float]:
        """The highest blocks and the largest rolls on the sliders, by the size of the cone."""
        made = self._template
        return (
            max(_long(made.cone), made.block_height),
            max(0.75 * made.cone.face_diameter, made.gauges[0]),
        )

    def _fit_sliders(self) -> None:
        highest, largest = self._ends()
        self.block_height.limit(0.0, highest)
        self.roll.limit(0.0, largest)

    # -- one state ------------------------------------------------------------------------

    def inspection(self) -> Inspection:
        """The inspection that the controls describe."""
        rows = [
            read_repeats("readings over the low rolls", self.low.value),
            read_repeats("readings over the high rolls", self.high.value),
        ]
        return replace(
            self._template,
            gauges=(self.roll.value,),
            readings=tuple(rows),
            block_height=self.block_height.value,
            block_limit=self.block_limit.value,
            **self._shared_values(),
        )

    def read_state(self) -> RollsState:
        made = self.inspection()
        return RollsState(_middle(made.cone, made.diameter_limits), made.unit, made)

    def words(self, state: RollsState) -> Words:
        unit, made = self.unit, state.inspection
        low, high = made.repeats()
        rows = [
            Row("Over the low rolls, M₁", f"mean {repeats_words(low, unit)}", False, "wide"),
            Row("Over the high rolls, M₂", f"mean {repeats_words(high, unit)}", False, "wide"),
            _tangent_row(state),
            *result_rows(state),
            *self._print_rows(state),
            *_place_rows(state),
            Row("Decision rule", made.rule.words(), False, "wide"),
            *self._remark_rows(made),
        ]
        given = (
            f"{self._named()}{made.callout}, external, small end down, with rolls of "
            f"{length_text(state.roll, unit)} on the plate and on blocks of "
            f"{length_text(state.block, unit)}; over them M₁ is "
            f"{length_text(state.over[0], unit)} and M₂ {length_text(state.over[1], unit)}."
        )
        verdict = state.verdict or "no verdict, for the print gives no tolerance"
        return Words(
            f"{given} The half angle is {state.half_angle.words(unit)} and the face (small) "
            f"diameter {state.face.words(unit)}: {verdict}.",
            tuple(rows),
            given,
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

    def _values_of(self, made: Inspection) -> dict[str, Any]:
        low, high = made.readings
        return {
            "block_height": made.block_height,
            "roll": made.gauges[0],
            "low": typed(low, self.unit),
            "high": typed(high, self.unit),
            "block_limit": made.block_limit,
            **self._shared_of(made),
        }


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
    worth = arc_text(slope * state.inspection.instrument.graduation)
    rows.append(Row("One graduation over the high rolls", f"{worth} of half angle"))
    return rows
