"""Lesson 07: the inspection of a job: repeats in, result, verdict and printed record out."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any, ClassVar

import ipywidgets

from tapertrig import demo
from tapertrig.angle import Angle
from tapertrig.cone import Cone
from tapertrig.draw.ball_in_bore import BallInBoreScene, BoreState
from tapertrig.gauging import ball_height, ball_range, suitable_balls
from tapertrig.gauging.inspection import (
    METHODS,
    READS,
    Inspection,
    Instrument,
    Repeats,
    two_figures,
)
from tapertrig.job import Job
from tapertrig.lathe import in_unit, length_text, places_written
from tapertrig.panels.ball_in_bore_panel import (
    BALL_SETS,
    place_rows,
    result_rows,
    rule_choice,
    settling_words,
)
from tapertrig.panels.parts.board import Row, Words
from tapertrig.panels.parts.controls import Control, angle, choice, entry, quantity
from tapertrig.panels.parts.kept_file import KeptFile
from tapertrig.printed.inspection_record import inspection_record

RECORD_ENDING = " inspection record.html"
# Five repeats of the invented inspection, in steps of the last place about their mean.
DEMO_SCATTER = (0, 2, -2, 1, -1)
_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)", re.ASCII)


def repeats_words(found: Repeats, unit: str) -> str:
    """Mean, count and spread of a row of readings, after the word that says of what."""
    spread = "not known" if found.spread is None else two_figures(found.spread)
    mean = length_text(found.mean, unit, places_written(unit) + 1)
    return f"{mean} of {found.count}, spread s {spread}"


def typed(row: tuple[float, ...], unit: str) -> str:
    """A row of readings as it would be typed."""
    places = places_written(unit) + 1
    return " ".join(f"{reading:.{places}f}" for reading in row)


def scattered(value: float, unit: str, steps: tuple[int, ...] = DEMO_SCATTER) -> str:
    """Invented repeats about a value, typed: so many steps of the last place from it each."""
    places = places_written(unit)
    middle = round(value, places)
    return " ".join(f"{middle + step / 10**places:.{places}f}" for step in steps)


def read_repeats(name: str, text: str) -> tuple[float, ...]:
    """Readings typed with spaces between them; ValueError quoting what is no number."""
    words = text.replace("−", "-").replace(";", " ").split()
    if not words:
        raise ValueError(f"{name}: type one reading or more, for example 0.1032 0.1034 0.1031")
    for word in words:
        if not _NUMBER.fullmatch(word):
            comma = "; use a point for decimals and a space between readings" if "," in word else ""
            raise ValueError(
                f"{name}: “{word[:20]}” is no number{comma}, for example 0.1032 0.1034 0.1031"
            )
    return tuple(float(word) for word in words)


class InspectionPanel(KeptFile[Any]):
    """The cone of a job measured by one ball or two: result, verdict, record, job file."""

    title = "Inspection"
    scene = BallInBoreScene
    main = "limit_of_error"
    can_hide = False
    ending = ".job.json"
    # What this panel measures by, in a word, and the methods of `Inspection` that it shows.
    gauge: ClassVar[str] = "balls"
    methods: ClassVar[tuple[str, ...]] = METHODS[:2]
    # Their name stands above the line: several readings need all of its width.
    long_lines: ClassVar[tuple[str, ...]] = ("readings", "small_readings", "notes")

    def make_controls(self) -> None:
        self.add_class("tapertrig-controls-first")
        unit, inch = self.unit, self.unit == "in"
        self.job = invented_job(unit)
        self._template = self._inspection_of(self.job)
        least, most = (0.02, 10.0) if inch else (0.5, 250.0)
        fine = 0.0001 if inch else 0.001
        size = (least, most, fine, unit)
        small = 1.0625 if inch else 27.0
        first = self._demo_readings(self._template.gauges[0])
        second = self._demo_readings(small)
        self.method = choice("Method", list(self.methods))
        self.ball = quantity("Ball diameter", self._template.gauges[0], *size)
        self.readings = entry("Readings", first, "0.1032 0.1034 0.1031")
        self.small_ball = quantity("Smaller ball", small, *size)
        self.small_readings = entry("Readings, smaller ball", second, "0.1032 0.1034 0.1031")
        self.reads = choice(
            "Readings are",
            [
                ("heights, + proud", READS[0]),
                ("as on the micrometer", READS[1]),
            ],
        )
        self.parallel = quantity("Parallels under the micrometer", 0.0, 0.0, most, fine, unit)
        self.edge_break = quantity(
            "Edge break, axial depth", self._template.edge_break, 0.0, most / 4, 10 * fine, unit
        )
        self._bench_controls("Face and zero")
        self.half_angle_limit = angle(
            "Half angle known to ±", "0°02′", "0°00′10″", "1°", "0°00′10″"
        )
        self._record_controls()

    def _bench_controls(self, shared: str) -> None:
        """What the instrument and the gauges are good for; `shared` is what all readings share."""
        unit, inch = self.unit, self.unit == "in"
        fine, finest = (0.0001, 0.00005) if inch else (0.001, 0.0005)
        tool = self._template.instrument
        self.graduation = quantity(
            "Micrometer reads to", tool.graduation, fine, 20 * fine, fine, unit
        )
        self.limit_of_error = quantity(
            "Micrometer good to ±", tool.limit_of_error, 0.0, 20 * fine, finest / 5, unit
        )
        self.face_limit = quantity(
            f"{shared} good to ±", self._template.face_limit, 0.0, 20 * fine, finest, unit
        )
        self.gauge_limit = quantity(
            f"{self.gauge.capitalize()} good to ±",
            self._template.gauge_limit,
            0.0,
            10 * fine,
            finest / 5,
            unit,
        )

    def _record_controls(self) -> None:
        """Decision rule, what the record says of itself, and the file it belongs to."""
        self.rule = rule_choice()
        self.measured_by = entry("Measured by")
        self.date = entry("Date")
        self.notes = entry("Notes on the record")
        self.file_controls("File name", "my job", replace="Replace a different file")

    def arrange(self) -> list[ipywidgets.Widget]:
        self.file_presses("Save into job", "Load job")
        self.on_press(
            "Write record",
            self.write_record,
            "Write the inspection record to print",
            needs_entries=True,
        )
        self.on_press(
            "What would settle it",
            self.settle,
            "What turns “not proven” into a verdict",
            needs_entries=True,
        )
        for name in self.long_lines:
            self.controls[name].layout.flex_flow = "column"
            self.controls[name].layout.align_items = "stretch"
        self._show_used()
        return [*self.controls.values(), self.presses, self.style_switch]

    def _inspection_of(self, job: Job) -> Inspection:
        """A first inspection of a job, by one ball that would rest in the middle of its cone."""
        callout, unit = job.callout, self.unit
        cone = callout.cone()
        if not cone.internal:
            raise ValueError(
                "this job's cone is external; balls measure a bore. Measure it over rolls, with "
                "panels.over_rolls()"
            )
        self._check_unit(callout.unit, "inspection")
        inch = unit == "in"
        ball = self._middle_ball(job)
        return Inspection.for_job(
            job,
            method="one ball",
            gauges=(ball,),
            readings=((_height(cone, ball, callout.diameter_limits),),),
            instrument=Instrument(
                "depth micrometer", 0.001 if inch else 0.02, 0.0002 if inch else 0.004
            ),
            gauge_limit=0.00005 if inch else 0.001,
            face_limit=0.0001 if inch else 0.002,
            half_angle_limit=Angle.parse("0°02′"),
            edge_break=0.0 if cone.half_angle.degrees >= 45 else 0.02 if inch else 0.5,
        )

    def _check_unit(self, unit: str, panel: str) -> None:
        if unit != self.unit:
            raise ValueError(
                f"this job is in {unit} and this panel in {self.unit}; open the panel with "
                f'panels.{panel}(unit="{unit}")'
            )

    def _middle_ball(self, job: Job) -> float:
        cone = job.callout.cone()
        for one in suitable_balls(cone, BALL_SETS[self.unit]):
            if one.fits:
                return one.ball_diameter
        smallest, largest = ball_range(cone)
        return round((smallest + largest) / 2, 4 if self.unit == "in" else 2)

    def _demo_readings(self, ball: float) -> str:
        callout = self.job.callout
        return scattered(_height(callout.cone(), ball, callout.diameter_limits), self.unit)

    # -- controls that depend on each other -----------------------------------------------

    def moved(self, control: Control) -> None:
        if control in (self.method, self.reads):
            self._show_used()
        super().moved(control)

    def _show_used(self) -> None:
        two, depth = self.method.value == "two balls", self.reads.value == "depth"
        shown = {
            "small_ball": two,
            "small_readings": two,
            "half_angle_limit": not two,
            "parallel": depth,
        }
        for name, used in shown.items():
            self.controls[name].layout.display = None if used else "none"

    # -- one state ------------------------------------------------------------------------

    def inspection(self) -> Inspection:
        """The inspection that the controls describe."""
        two = self.method.value == "two balls"
        rows = [read_repeats("readings", self.readings.value)]
        if two:
            rows.append(read_repeats("readings of the smaller ball", self.small_readings.value))
        return dataclasses.replace(
            self._template,
            method=self.method.value,
            gauges=(self.ball.value, self.small_ball.value) if two else (self.ball.value,),
            readings=tuple(rows),
            reads=self.reads.value,
            parallel=self.parallel.value if self.reads.value == "depth" else 0.0,
            edge_break=self.edge_break.value,
            half_angle_limit=None if two else self.half_angle_limit.angle,
            **self._shared_values(),
        )

    def _shared_values(self) -> dict[str, Any]:
        """What the controls of every method say: instrument, limits, rule, and the record's own."""
        return {
            "instrument": Instrument(
                self._template.instrument.name,
                self.graduation.value,
                self.limit_of_error.value,
            ),
            "face_limit": self.face_limit.value,
            "gauge_limit": self.gauge_limit.value,
            "rule": dataclasses.replace(self._template.rule, kind=self.rule.value),
            "measured_by": self.measured_by.value,
            "date": self.date.value,
            "notes": self.notes.value,
        }

    def read_state(self) -> BoreState:
        made = self.inspection()
        return BoreState(
            made.cone,
            made.unit,
            made.gauges,
            made.edge_break,
            made.floor_depth,
            made,
            made.instrument.graduation,
            made.diameter_limits,
        )

    def words(self, state: BoreState) -> Words:
        unit, made = self.unit, state.inspection
        rows = []
        for ball, found in zip(made.gauges, made.repeats(), strict=True):
            name, told = f"Ball {length_text(ball, unit)}", repeats_words(found, unit)
            rows.append(Row(name, f"mean height {told}", mark="wide"))
        rows += result_rows(state)
        rows.append(Row("Decision rule", made.rule.words(), False, mark="wide"))
        rows += place_rows(state) + self._remark_rows(made)
        verdict = state.verdict or "no verdict, for the print gives no tolerance"
        return Words(
            f"{self._named()}{made.callout}; by {made.method} the face diameter is "
            f"{state.face.words(unit)}: {verdict}.",
            tuple(rows),
        )

    def _named(self) -> str:
        return f"“{self.job.title}”: " if self.job.title else ""

    def _remark_rows(self, made: Inspection) -> list[Row]:
        rows = [Row("Mind", remark, False, "warning") for remark in made.remarks()]
        return rows + [Row("Example", demo.MARK, False, "wide")] * self.job.invented

    # -- buttons --------------------------------------------------------------------------

    def read_file(self, path: Path) -> str:
        """Take a job with its measurements where it has any."""
        self.take(Job.load(path))
        return ", with its measurements" if self.job.inspection else ""

    def write_file(self, path: Path, replace: bool) -> str:
        """Keep the measurements in the job file."""
        job = dataclasses.replace(self.job, inspection=self.inspection().to_plain())
        job.save(path, replace=replace)
        self.job = job
        return ""

    def write_record(self) -> None:
        """Write the record of the present inspection."""
        frame, words = self.still()
        page = inspection_record(
            self.inspection(), self.job, frame, words.splitlines()[0], balls=BALL_SETS[self.unit]
        )
        self.write_page(RECORD_ENDING, page, "Record")

    def settle(self) -> None:
        """Tell what would turn “not proven” into a verdict."""
        self.tell(settling_words(self.inspection()))

    def take(self, job: Job) -> None:
        """Put a job into the panel: its measurements, or readings as its print expects them."""
        made = self._inspection_of(job)
        if job.inspection is not None:
            made = Inspection.from_plain(job.inspection)
            if made.method not in self.methods or made.unit != self.unit:
                raise ValueError(
                    f"this job was measured by {made.method} in {made.unit}; this panel shows "
                    f"{self.gauge} in {self.unit}"
                )
        with self.all_or_nothing():
            self.job, self._template = job, made
            self._fit_sliders()
            self.put(self._values_of(made))
            self.inspection()
        self._show_used()
        self.render()

    def _fit_sliders(self) -> None:
        """Ends of sliders that depend on the job; a ball's do not."""

    def _values_of(self, made: Inspection) -> dict[str, Any]:
        values: dict[str, Any] = {
            "method": made.method,
            "ball": made.gauges[0],
            "readings": typed(made.readings[0], self.unit),
            "reads": made.reads,
            "parallel": made.parallel,
            "edge_break": made.edge_break,
            **self._shared_of(made),
        }
        if len(made.gauges) > 1:
            second = typed(made.readings[1], self.unit)
            values |= {"small_ball": made.gauges[1], "small_readings": second}
        if made.half_angle_limit is not None:
            values["half_angle_limit"] = made.half_angle_limit.degrees
        return values

    def _shared_of(self, made: Inspection) -> dict[str, Any]:
        """What the controls of every method show of an inspection."""
        return {
            "graduation": made.instrument.graduation,
            "limit_of_error": made.instrument.limit_of_error,
            "face_limit": made.face_limit,
            "gauge_limit": made.gauge_limit,
            "rule": made.rule.kind,
            "measured_by": made.measured_by,
            "date": made.date,
            "notes": made.notes,
        }


def _height(cone: Cone, ball: float, limits: tuple[float, float] | None) -> float:
    face = cone.face_diameter if limits is None else sum(limits) / 2
    return float(ball_height(dataclasses.replace(cone, face_diameter=face), ball))


def invented_job(unit: str, make: Callable[..., Job] = demo.job) -> Job:
    """An invented job, with its print in the panel's unit."""
    job = make()
    if unit == job.callout.unit:
        return job
    callout = job.callout
    in_mm = {
        name: round(float(in_unit(getattr(callout, name), callout.unit, unit)), 2)
        for name in ("face_diameter", "diameter_plus", "diameter_minus", "length")
    }
    return dataclasses.replace(
        make(list(demo.LATHES)[1]), callout=dataclasses.replace(callout, unit=unit, **in_mm)
    )
