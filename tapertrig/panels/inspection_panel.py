"""Lesson 07: the inspection of a job: repeats in, result, verdict and printed record out."""

from __future__ import annotations

import contextlib
import dataclasses
import math
from collections.abc import Mapping
from typing import Any

import ipywidgets

from tapertrig import demo
from tapertrig.angle import Angle
from tapertrig.budget import stated_by_proof
from tapertrig.draw.ball_in_bore import BallInBoreScene, BoreState
from tapertrig.gauging import ball_height, ball_range, suitable_balls
from tapertrig.gauging.inspection import ONE_BALL, TWO_BALLS, printed_cone
from tapertrig.job import READS, Gauge, Instrument, Job, Readings, StatedAngle
from tapertrig.lathe import length_text
from tapertrig.panels.ball_in_bore_panel import depth_words, place_rows
from tapertrig.panels.parts.board import Row, Words
from tapertrig.panels.parts.controls import angle, choice, entry, quantity
from tapertrig.panels.parts.measuring import (
    BALL_SETS,
    Measured,
    Measuring,
    correlation_rows,
    repeats_words,
    result_rows,
    scattered,
    typed,
)

PLACEHOLDER = "0.1032 0.1034 0.1031"


class InspectionPanel(Measuring[Any]):
    """The cone of a job measured by one ball or two: result, verdict, record, job file."""

    title = "Inspection"
    scene = BallInBoreScene
    main = "limit_of_error"
    gauge, under = "balls", "parallels, or as heights"
    methods = (ONE_BALL, TWO_BALLS)
    internal = True
    by_pass: StatedAngle | None
    elsewhere = "balls measure a bore; measure an external cone with panels.over_rolls()"
    rows = ("readings", "small_readings")
    entries = (
        "method", "ball", "readings", "small_ball", "small_readings", "reads", "parallel",
        "edge_break", "floor_depth", "half_angle", "half_angle_limit", "half_angle_origin",
        *Measuring.entries,
    )  # fmt: skip

    def make_controls(self) -> None:
        self.add_class("tapertrig-controls-first")
        v = self.take_example()
        self.by_pass = self.kept.stated_angle if self.kept else None
        unit, inch = self.unit, self.unit == "in"
        least, most, fine = (0.02, 10.0, 0.0001) if inch else (0.5, 250.0, 0.001)
        self.method = choice("Method", list(self.methods))

        def size(label: str, value: float | None, least: float, most: float, step: float) -> Any:
            return quantity(label, value, least, most, step, unit, optional=True)

        self.ball = size("Ball diameter", v["ball"], least, most, fine)
        self.readings = entry("Readings", v["readings"], PLACEHOLDER)
        self.small_ball = size("Smaller ball", 1.0625 if inch else 27.0, least, most, fine)
        second = scattered(self._height(self.small_ball.value), unit)
        self.small_readings = entry("Readings, smaller ball", typed(second), PLACEHOLDER)
        self.reads = choice(
            "Readings are", [("heights, + proud", READS[0]), ("as on the micrometer", READS[1])]
        )
        self.parallel = size("Parallels under the micrometer", None, 0.0, most, fine)
        self.edge_break = size("Edge break, axial depth", v["edge_break"], 0.0, most / 4, 10 * fine)
        self.floor_depth = size("Depth to the floor", v["floor_depth"], 10 * fine, most, 10 * fine)
        self.bench_controls("Face and zero", v)
        self.half_angle = angle(
            "Half angle, stated", v["half_angle"], "0°30′", "89°", optional=True
        )
        self.half_angle_limit = angle(
            "How sure of the half angle, ±", v["half_angle_limit"], "0°00′01″", "5°", "0°00′10″",
            optional=True,
        )  # fmt: skip
        self.half_angle_origin = entry("Half angle comes from", v["half_angle_origin"])
        self.record_controls(v)

    def example(self) -> Job:
        job, unit, inch = demo.job(unit=self.unit), self.unit, self.unit == "in"
        self.job = job
        balls = [one.ball_diameter for one in suitable_balls(job.callout.cone(), BALL_SETS[unit])]
        made = Readings(
            ONE_BALL,
            unit,
            (Gauge(balls[0], 0.00005 if inch else 0.001, "invented set", "2031-01-14"),),
            (scattered(self._height(balls[0]), unit),),
            instrument=Instrument(
                "depth micrometer", 0.001 if inch else 0.02, 0.0002 if inch else 0.004,
                "invented no. 7", "2031-01-14",
            ),
            face_limit=0.0001 if inch else 0.002,
            stated_angle=StatedAngle(
                job.callout.half_angle, Angle.parse("0°02′"), "invented sine bar check of the plug"
            ),
            edge_break=0.02 if inch else 0.5,
            measured_by="nobody: an invented example",
            date="2031-03-09",
        )  # fmt: skip
        return job.with_readings(made)

    def _height(self, ball: float) -> float:
        """Where a ball's top stands in the middle of the print's tolerance."""
        callout = self.job.callout
        cone, limits = callout.cone(), callout.diameter_limits
        face = cone.face_diameter if limits is None else sum(limits) / 2
        return float(ball_height(dataclasses.replace(cone, face_diameter=face), ball))

    def arrange(self) -> list[ipywidgets.Widget]:
        self.fit_sliders(self.kept)
        told = super().arrange()
        hint = "What the slide was proven at, and what the cut may have added"
        self.on_press("Half angle from the proving pass", self.from_the_pass, hint)
        return told

    def show_used(self) -> None:
        super().show_used()
        two, depth = self.method.value == TWO_BALLS, self.reads.value == "depth"
        for control in (self.small_ball, self.small_readings):
            self.in_sight(control, two)
        for control in (self.half_angle, self.half_angle_limit, self.half_angle_origin):
            self.in_sight(control, not two)
        self.in_sight(self.parallel, depth)

    def fit_sliders(self, kept: Readings | None) -> None:
        """Balls from half the smallest to twice the largest that this cone holds."""
        with contextlib.suppress(ValueError):  # a print that gives no such cone
            least, most = ball_range(printed_cone(self.callout, self.unit))
            sizes = [one.size for one in kept.in_unit(self.unit).gauges] if kept else []
            for control in (self.ball, self.small_ball):
                step = control.step
                low, high = min([least / 2, *sizes]), max([most * 2, *sizes])
                control.limit(math.floor(low / step) * step, math.ceil(high / step) * step)

    def from_the_pass(self) -> None:
        """State the half angle by the pass that proves the slide, and the part's budget."""
        self.reread()
        self.render()
        told = self.by_pass = stated_by_proof(self.job, self.cone.value)
        self.set(
            half_angle=told.half_angle, half_angle_limit=told.limit, half_angle_origin=told.origin
        )
        self.render()  # a new pass may say just what the one before it said
        self.tell(f"Stated: {told.half_angle.dms()} ± {told.limit.dms()}, {told.origin}.")

    # -- readings from the controls, and back ---------------------------------------------

    def pairs(self) -> list[tuple[str, tuple[Any, ...]]]:
        depth = self.parallel.value if self.reads.value == "depth" else -1.0
        told = [(self.readings.value, (self.ball.value, depth))]
        if self.method.value == TWO_BALLS:
            told.append((self.small_readings.value, (self.small_ball.value, depth)))
        return told

    def own_parts(self, rows: list[tuple[float, ...]]) -> dict[str, Any]:
        two, depth = self.method.value == TWO_BALLS, self.reads.value == "depth"
        sizes = []
        for control in (self.ball, self.small_ball)[: 1 + two]:
            if control.value is None:
                raise ValueError(f"{control.label} is not given; give what the ball measures")
            sizes.append(control.value)
        return {
            "method": self.method.value,
            "gauges": self.gauges(*sizes),
            "rows": tuple(rows),
            "reads": self.reads.value,
            "parallel": self.parallel.value if depth else None,
            "edge_break": self.edge_break.value,
            "floor_depth": self.floor_depth.value,
            "stated_angle": None if two else self._stated_angle(),
        }

    def _stated_angle(self) -> StatedAngle | None:
        value, limit = self.half_angle.angle, self.half_angle_limit.angle
        if value is None and limit is None:
            return None
        if value is None or limit is None:
            raise ValueError(
                "a stated half angle is a value and ± how sure it is; give both, or neither"
            )
        told, known = StatedAngle(value, limit, self.half_angle_origin.value), self.by_pass
        return known if known and dataclasses.replace(known, rests_on=None) == told else told

    def _entries(self) -> dict[str, Any]:
        told = None
        with contextlib.suppress(ValueError):  # half of a stated angle
            told = self._stated_angle()
        return {**super()._entries(), "rests_on": told and told.rests_on}

    def _put_readings(self, kept: Readings | None) -> None:
        self.by_pass = kept.stated_angle if kept else None
        super()._put_readings(kept)

    def unit_changed(self, before: Mapping[str, Any]) -> None:
        self.by_pass = before["by_pass"]
        super().unit_changed(before)

    def values_of(self, kept: Readings) -> dict[str, Any]:
        known = kept.stated_angle
        second: dict[str, Any] = {"small_ball": None, "small_readings": ""}
        if len(kept.gauges) > 1:
            second = {"small_ball": kept.gauges[1].size, "small_readings": typed(kept.rows[1])}
        return {
            "method": kept.method,
            "ball": kept.gauges[0].size,
            "readings": typed(kept.rows[0]),
            **second,
            "reads": kept.reads,
            "parallel": kept.parallel,
            "edge_break": kept.edge_break,
            "floor_depth": kept.floor_depth,
            "half_angle": known and known.half_angle,
            "half_angle_limit": known and known.limit,
            "half_angle_origin": known.origin if known else "",
            **super().values_of(kept),
        }

    # -- one state ------------------------------------------------------------------------

    def read_state(self) -> tuple[Measured, BoreState]:
        state = self.state_of_job()
        made, unit = state.inspection, self.unit
        cone = printed_cone(self.callout, unit, made)
        limits = self.callout.in_unit(unit).diameter_limits
        balls = made.gauges if made else (self.ball.value,)
        given = balls[0] is not None
        if not given:
            smallest, largest = ball_range(cone, 0.0, self.floor_depth.value)
            balls = ((smallest + largest) / 2,)
        bore = BoreState(
            cone,
            unit,
            balls,
            self.edge_break.value or 0.0,
            self.floor_depth.value,
            made,
            self.graduation.value or (0.001 if unit == "in" else 0.02),
            limits,
            (state.why,) if made is None else (),
            given,
            self.edge_break.value is not None,
            made is not None and made.readings.reads == "depth",
        )
        return state, bore

    def scene_state(self, state: tuple[Measured, BoreState]) -> BoreState:
        return state[1]

    def words(self, state: tuple[Measured, BoreState]) -> Words:
        measured, bore = state
        made, unit, rows = measured.inspection, self.unit, []
        if made is not None:
            for ball, found in zip(made.gauges, made.repeats(), strict=True):
                told = f"mean height {repeats_words(found, unit)}"
                if made.readings.reads == "depth":
                    told += f"; {depth_words(made.readings.parallel or 0.0, found.mean, unit)}"
                rows.append(Row(f"Ball {length_text(ball, unit)}", told, mark="wide"))
        rows += [*result_rows(measured.found, unit), *correlation_rows(made)]
        if made is not None:
            rows += place_rows(bore)
        rows += self.remark_rows(measured)
        return Words(self.sentence(measured), tuple(rows))
