"""What the measuring panels share: repeats as typed, results in words, a job's readings."""

from __future__ import annotations

import contextlib
import dataclasses
import os
import re
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta
from pathlib import Path
from typing import Any, ClassVar

import ipywidgets

from tapertrig import demo
from tapertrig.decision import NOT_PROVEN, RULES
from tapertrig.gauging.inspection import (
    Finding,
    Inspection,
    Repeats,
    as_given,
    findings,
    findings_from,
    flagged,
    headline,
    inspections,
    two_figures,
    unfit,
)
from tapertrig.gauging.remedies import settling
from tapertrig.job import Callout, Gauge, Instrument, Job, Outlier, Readings, Scatter, real_date
from tapertrig.lathe import in_unit, length_text, places_written
from tapertrig.panels.parts.board import Row
from tapertrig.panels.parts.controls import Control, Quantity, choice, entry, quantity, switch
from tapertrig.panels.parts.job_list import chosen
from tapertrig.panels.parts.kept_file import KeptFile, names_in
from tapertrig.panels.parts.panel import State
from tapertrig.printed.inspection_record import inspection_record
from tapertrig.printed.setup_sheet import OLDER
from tapertrig.written import point_for_comma

# Ball sets of the invented shop: sixteenths of an inch, and whole millimetres.
BALL_SETS = {
    "in": tuple(n / 16 for n in range(6, 26)),
    "mm": tuple(float(n) for n in range(10, 41)),
}
RECORD = " inspection record"
OTHER_FILE = "{} now holds another print or other readings; load it again"
# Five repeats of the invented inspection, in steps of the last place about their mean.
DEMO_SCATTER = (0, 2, -2, 1, -1)
UNDECIDED, STRUCK, KEPT = "not decided", "struck out", "kept as read"
# Controls that hold a value of the readings under its own name, just as it is kept.
_AS_KEPT = (
    "face_limit", "part_temperature", "gauge_temperature", "temperature_corrected", "rule",
    "measured_by", "date", "notes", "form", "dirt", "reseating", "temperature_limit",
)  # fmt: skip
EXPANDING = ("part_expansion", "gauge_expansion")
_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)", re.ASCII)


def repeats_words(found: Repeats, unit: str) -> str:
    """Mean, count and spread of a row of readings, after the word that says of what."""
    spread = "not known" if found.spread is None else two_figures(found.spread)
    mean = length_text(found.mean, unit, places_written(unit) + 1)
    return f"{mean} of {found.count}, spread s {spread}"


def scattered(value: float, unit: str, steps: tuple[int, ...] = DEMO_SCATTER) -> tuple[float, ...]:
    """Invented repeats about a value: so many steps of the last place from it each."""
    places = places_written(unit)
    return tuple(round(round(value, places) + step / 10**places, places) for step in steps)


def typed(row: Sequence[float]) -> str:
    """A row of readings as it would be typed."""
    return " ".join(map(as_given, row))


def read_repeats(name: str, text: str) -> tuple[float, ...]:
    """Readings typed with spaces or commas between them; none for an empty text.

    A comma between digits is a decimal one where no point stands. ValueError quoting what is no
    number.
    """
    plain = text.replace("−", "-").replace(";", " ")
    words = (plain.replace(",", " ") if "." in plain else plain).split()
    words = [point_for_comma(word.strip(",")) for word in words]
    for word in words:
        if not _NUMBER.fullmatch(word):
            raise ValueError(
                f"{name}: “{word[:20]}” is no number, for example 0.1032 0.1034 0.1031"
            )
    return tuple(map(float, words))


def rule_choice() -> Any:
    """Choice between the decision rules."""
    return choice(
        "Decision rule",
        [
            ("guard band, ISO 14253-1", RULES[0]),
            ("simple acceptance 4:1, ASME B89.7.3.1", RULES[1]),
        ],
    )


def settling_words(inspection: Inspection) -> str:
    """What would turn “not proven” into a verdict, in sentences."""
    if NOT_PROVEN not in [finding.verdict for finding in inspection.findings()]:
        return f"Nothing is left unproven. {headline(inspection.findings())}."
    return " ".join(
        f"{finding.name}: {' '.join(ways)}"
        for finding, ways in settling(inspection, BALL_SETS[inspection.unit])
    )


def result_rows(found: Sequence[Finding], unit: str) -> Iterator[Row]:
    """Result, verdict and reason of each requirement."""
    for one in found:
        yield Row(one.name, one.result(unit), mark="wide")
        for words in one.budget.remarks if one.budget else ():
            yield Row("Warmth", words, mark="wide")
        why = f": {one.reason}" if one.reason else ""
        yield Row(f"Verdict on {one.name[0].lower()}{one.name[1:]}", one.verdict + why, mark="wide")
    if NOT_PROVEN in [one.verdict for one in found]:
        yield Row("Not proven", "press “What would settle it” for the ways out", mark="wide")


def correlation_rows(inspection: Inspection | None) -> Iterator[Row]:
    """How angle and diameter go together, where both are measured."""
    correlation = None if inspection is None else inspection.correlation()
    if correlation is not None:
        yield Row("Correlation of angle and diameter", f"{correlation:+.2f}", mark="wide")


@dataclasses.dataclass(frozen=True)
class Measured:
    """What the controls say: the job with it, the readings shown, their inspection, the findings.

    `inspection` is None while nothing counts, and `why` says why.
    """

    job: Job
    readings: Readings | None
    inspection: Inspection | None
    found: tuple[Finding, ...]
    why: str = ""


class Measuring(KeptFile[State]):
    """A panel that measures one cone of a job: its readings, what they prove, the record.

    `job` is as it was taken; `kept` the readings of it that are shown, None while there are none.
    Controls named in `entries` are what the readings are made of.
    """

    ending = ".job.json"
    can_hide = False
    job: Job
    kept: Readings | None
    # What it measures by and on, the methods it shows, and how it is opened, for messages.
    gauge: ClassVar[str]
    under: ClassVar[str]
    methods: ClassVar[tuple[str, ...]]
    internal: ClassVar[bool]
    elsewhere: ClassVar[str]
    # Their name stands above the line: several readings need all of its width.
    rows: ClassVar[tuple[str, ...]]
    entries: ClassVar[tuple[str, ...]] = (
        "instrument", "instrument_identity", "instrument_calibrated", "graduation",
        "limit_of_error", "face_limit", "gauge_limit", "gauge_identity", "gauge_calibrated",
        "scatter", "scatter_degrees", "scatter_origin", "form", "dirt", "reseating",
        "part_temperature", "gauge_temperature", "temperature_limit", *EXPANDING,
        "expansion_origin", "temperature_corrected", "rule", "measured_by", "date", "notes",
    )  # fmt: skip
    headings: ClassVar[dict[str, str]] = {
        "instrument": "Instrument and gauges", "scatter": "How sure", "measured_by": "The record",
    }  # fmt: skip

    def __init__(self, *args: Any, **start: Any) -> None:
        super().__init__(*args, **start)
        self.opened_again()

    def opened_again(self) -> None:
        """As long as the example stands here, take the job that was chosen for the lessons."""
        super().opened_again()
        if not self.job.invented or self.job.read_as:
            return
        name = chosen(self.here).get("job", "")
        # What lessons 05 and 06 were shown is measured here; of the other kind of cone it is not.
        if name in names_in(self.here, self.ending):
            self.file.value = name
            self.guard(self._load_fitting)

    def _load_fitting(self) -> None:
        if any(one.internal == self.internal for one in Job.load(self.path()).callouts):
            self.load_file()

    # -- controls -------------------------------------------------------------------------

    def example(self) -> Job:
        """The invented job with its invented readings."""
        raise NotImplementedError

    def take_example(self) -> dict[str, Any]:
        """Begin with the example; what its readings put into the controls."""
        self._rows_before: dict[tuple[str, str], str] = {}
        self.job = self.example()
        (self.kept,) = self.job.readings
        self.cone = choice("Cone", [("1", 0)])
        return self.values_of(self.kept)

    def bench_controls(self, shared: str, v: dict[str, Any]) -> None:
        """Instrument and gauges; `shared` is what all readings share, `v` the values to start."""
        unit, inch = self.unit, self.unit == "in"
        fine, finest = (0.0001, 0.00005) if inch else (0.001, 0.0005)
        self.instrument = entry("Instrument", v["instrument"])
        self.instrument_identity = entry("Instrument number", v["instrument_identity"])
        self.instrument_calibrated = entry("Instrument calibrated on", v["instrument_calibrated"])

        def limit(label: str, name: str, least: float, most: float, step: float) -> Any:
            return quantity(label, v[name], least, most, step, unit, optional=True)

        # From the finest step there is: a coarser start would refuse what a job may hold.
        self.graduation = limit("Micrometer reads to", "graduation", finest / 5, 20 * fine, fine)
        self.limit_of_error = limit(
            "Micrometer good to ±", "limit_of_error", 0.0, 20 * fine, finest / 5
        )
        self.face_limit = limit(f"{shared} good to ±", "face_limit", 0.0, 20 * fine, finest)
        named = self.gauge.capitalize()
        self.gauge_limit = limit(
            f"{named} certified within ±", "gauge_limit", 0.0, 10 * fine, finest / 5
        )
        self.gauge_identity = entry(f"{named}, number", v["gauge_identity"])
        self.gauge_calibrated = entry(f"{named} certified on", v["gauge_calibrated"])

    def record_controls(self, v: dict[str, Any]) -> None:
        """Scatter, outliers, temperatures, decision rule, who and when, and the file."""
        fine = 0.00001 if self.unit == "in" else 0.0001
        self.scatter = quantity(
            "Stated scatter s", v["scatter"], 0.0, 1000 * fine, fine, self.unit,
            optional=True,
        )  # fmt: skip
        self.scatter_degrees = quantity(
            "Degrees of freedom of s", v["scatter_degrees"], 1, 1000, 1, optional=True
        )
        self.scatter_origin = entry("Scatter comes from", v["scatter_origin"])
        for name, said in (
            ("form", "Out of round where touched ±"),
            ("dirt", "Dirt may lift it ±"),
            ("reseating", "Put back, it sits within ±"),
        ):
            most, step = 1000 * fine, 5 * fine
            setattr(self, name, quantity(said, v[name], 0.0, most, step, self.unit, optional=True))
        self.outlier = choice("An outlier is", [UNDECIDED, STRUCK, KEPT])
        self.outlier_reason = entry("Why struck out or kept")
        self.part_temperature = quantity(
            "Part at", v["part_temperature"], -40, 120, 0.5, "°C", optional=True
        )
        self.gauge_temperature = quantity(
            "Gauge at", v["gauge_temperature"], -40, 120, 0.5, "°C", optional=True
        )
        self.temperature_limit = quantity(
            "Thermometer good to ±", v["temperature_limit"], 0, 10, 0.1, "°C", optional=True
        )
        self.part_expansion, self.gauge_expansion = (
            quantity(f"{said} expands, 10⁻⁶ per °C", v[name], 0.5, 40, 0.5, optional=True)
            for said, name in zip(("Part", "Gauge"), EXPANDING, strict=True)
        )
        hint = "handbook; steel about 11.5, bronze 18"
        self.expansion_origin = entry("Expansion comes from", v["expansion_origin"], hint)
        self.temperature_corrected = switch(
            "Readings corrected to 20 °C", v["temperature_corrected"]
        )
        self.rule = rule_choice()
        self.measured_by = entry("Measured by", v["measured_by"])
        self.date = entry("Date", v["date"], "2026-11-26")
        self.notes = entry("Notes on the record", v["notes"])
        self.confirmed_by = entry("Confirmed by", "", "who says that they are of this print")
        self.file_controls("File name", "my job", replace="Replace a different file")
        self._as_taken = self._entries()
        self._read_with = self.pairs()

    def arrange(self) -> list[ipywidgets.Widget]:
        self.file_presses("Save into job", "Load job")
        for label, action, hint in (
            ("Write record", self.write_record, "Write the inspection record to print"),
            ("What would settle it", self.settle, "What turns “not proven” into a verdict"),
            ("Confirm readings", self.confirm, "They are of this ball or block, and of this print"),
            ("New measurement", self.begin_anew, "Empty readings beside those that are kept"),
        ):
            self.on_press(label, action, hint, needs_entries=label != "New measurement")
        for name in (*self.rows, "notes"):
            self.controls[name].layout.flex_flow = "column"
            self.controls[name].layout.align_items = "stretch"
        self.show_used()
        return [*self.sections(self.headings, ("instrument", "scatter")), self.presses]

    def show_used(self) -> None:
        """Show the controls that serve now."""
        self.in_sight(self.cone, len(self.cone.options) > 1)

    def in_sight(self, control: Any, used: bool) -> None:
        control.layout.display = None if used else "none"

    def moved(self, control: Control) -> None:
        if control is self.cone:
            with self.quiet():
                self._show_readings()
        self.show_used()
        super().moved(control)

    def begin_again(self) -> None:
        super().begin_again()
        self.job = dataclasses.replace(self.job, identity="")  # a new job, whatever was saved

    # -- readings from the controls, and back ---------------------------------------------

    def pairs(self) -> list[tuple[str, tuple[Any, ...]]]:
        """Each row of readings as typed, and what it was read with."""
        raise NotImplementedError

    def own_parts(self, rows: list[tuple[float, ...]]) -> dict[str, Any]:
        """What this way of measuring adds to the readings: method, gauges, rows and more."""
        raise NotImplementedError

    def values_of(self, kept: Readings) -> dict[str, Any]:
        """What the controls show of readings."""
        tool, gauge = kept.instrument or Instrument(), kept.gauges[0]
        stated = kept.scatter
        return {
            "instrument": tool.name,
            "instrument_identity": tool.identity,
            "instrument_calibrated": tool.calibrated,
            "graduation": tool.graduation,
            "limit_of_error": tool.limit_of_error,
            "gauge_limit": gauge.limit,
            "gauge_identity": gauge.identity,
            "gauge_calibrated": gauge.calibrated,
            "scatter": stated and stated.value,
            "scatter_degrees": stated and stated.degrees_of_freedom,
            "scatter_origin": stated.origin if stated else "",
            **{name: getattr(kept, name) for name in _AS_KEPT},
            **{n: (each := getattr(kept, n)) and round(each * 1e6, 6) for n in EXPANDING},
            "expansion_origin": kept.expansion_origin or "",
        }

    def _entries(self) -> dict[str, Any]:
        return {name: getattr(self, name).value for name in self.entries}

    def gauges(self, *sizes: float) -> tuple[Gauge, ...]:
        """Gauges of these sizes; what each one's own paper says stays while nobody changes it."""
        said = (self.gauge_limit.value, self.gauge_identity.value, self.gauge_calibrated.value)
        names = ("gauge_limit", "gauge_identity", "gauge_calibrated")
        own = () if self.kept is None else self.kept.in_unit(self.unit).gauges
        if said == tuple(self._as_taken[name] for name in names) and len(own) == len(sizes):
            return tuple(dataclasses.replace(g, size=s) for g, s in zip(own, sizes, strict=True))
        return tuple(Gauge(size, *said) for size in sizes)

    def measured(self) -> Readings | None:
        """The readings that the controls say, None while none are typed; ValueError in words."""
        pairs = self.pairs()
        rows = [read_repeats(name, text) for name, (text, _) in zip(self.rows, pairs, strict=False)]
        for (text, now), (before, then) in zip(pairs, self._read_with, strict=False):
            other = (
                what
                for what, new, old in zip((self.gauge, self.under), now, then, strict=False)
                if new != old and None not in (new, old)
            )
            if text.split() == before.split() != [] and (what := next(other, "")):
                raise ValueError(
                    f"the readings {text[:40]} were typed with other {what}; empty the box and "
                    "type them anew, or press “Confirm readings”"
                )
        # A row out of sight keeps what it was read with.
        self._read_with = [*pairs, *self._read_with[len(pairs) :]]
        if self._entries() == self._as_taken and self.outlier.value == UNDECIDED:
            return self.kept
        if not any(rows):
            return None
        for name, row in zip(self.rows, rows, strict=False):
            if not row:
                raise ValueError(
                    f"{self.controls[name].description}: type one reading or more, better five, "
                    "for example 0.1032 0.1034 0.1031"
                )
        own = self.own_parts(rows)
        tool = Instrument(
            self.instrument.value, self.graduation.value, self.limit_of_error.value,
            self.instrument_identity.value, self.instrument_calibrated.value,
        )  # fmt: skip
        kept = self.kept
        made = Readings(
            unit=self.unit,
            cone=self.cone.value,
            instrument=None if tool == Instrument() else tool,
            scatter=self._stated_scatter(),
            **{name: getattr(self, name).value for name in _AS_KEPT},
            **{n: (each := getattr(self, n).value) and each / 1e6 for n in EXPANDING},
            expansion_origin=self.expansion_origin.value or None,
            **own,
        )
        if (
            kept is not None
            and len(kept.rows) >= len(rows)
            and all(getattr(self, name).value == self._as_taken[name] for name in self.rows)
        ):
            # What was read in inches stays as it was read, though millimetres be shown.
            made = dataclasses.replace(made.in_unit(kept.unit), rows=kept.rows[: len(made.rows)])
        if kept is not None and kept.rows == made.rows:
            made = dataclasses.replace(made, outliers=kept.outliers)
        return self._decided(made)

    def _stated_scatter(self) -> Scatter | None:
        value, degrees = self.scatter.value, self.scatter_degrees.value
        if value is None:
            return None
        if degrees is None:
            raise ValueError(
                "the stated scatter has no degrees of freedom; give them, for example 9 for ten "
                "readings"
            )
        return Scatter(value, degrees, self.scatter_origin.value)

    def _decided(self, made: Readings) -> Readings:
        """The readings with what is decided about each reading that the outlier test flags."""
        while self.outlier.value != UNDECIDED and (open_ := flagged(made)):
            words = [
                Outlier(row, place, self.outlier.value == STRUCK, self.outlier_reason.value)
                for row, place in open_
            ]
            made = dataclasses.replace(made, outliers=(*made.outliers, *words))
        return made

    # -- the job ---------------------------------------------------------------------------

    @property
    def callout(self) -> Callout:
        """What the print asks of the cone that is measured."""
        return self.job.callouts[self.cone.value]

    def _with(self, made: Readings | None, by: str) -> Job:
        """The job with the readings shown: a changed set takes the place of the one it mends."""
        if made is self.kept:
            return self.job
        job = self.job if self.kept is None else self.job.strike(self.kept.identity)
        return job if made is None else job.with_readings(made, by)

    def current(self) -> Job:
        """The job as it stands. New or changed readings need who took them, and when."""
        state = self.state_of_job()
        made = state.readings
        if made is not None and made is not self.kept:
            if not made.measured_by.strip():
                raise ValueError("who measured is not given; type a name into “Measured by”")
            # A day on: somewhere it is tomorrow already. The invented example lies ahead by intent.
            if real_date(made.date) > date.today() + timedelta(days=1) and not self.job.invented:
                raise ValueError(
                    f"the date is {made.date.strip()}, which lies ahead; give the day it was "
                    "measured, for example 2026-11-26"
                )
            kept = self.kept
            if kept and kept.rows == made.rows and not self.job.is_of_this_print(kept):
                raise ValueError(
                    "these readings wait until somebody confirms that they are of this print: "
                    "give a name and press “Confirm readings”"
                )
        return state.job

    def state_of_job(self) -> Measured:
        """The job with what the controls say, and what that proves."""
        made = self.measured()
        changed = made is not None and made is not self.kept
        if made and changed and self.kept and self.kept.rows == made.rows:
            changed = self.job.is_of_this_print(self.kept)
        by = (made.measured_by.strip() or "not given") if made else ""
        job = self._with(made, by) if changed or made is None else self.job
        cone, unfitting = self.cone.value, ""
        all_: tuple[Inspection, ...] = ()
        try:
            all_ = inspections(job, cone)
        except ValueError as wrong:
            # What the job holds may not fit its print; what was typed just now must.
            if changed:
                raise
            unfitting = unfit(wrong)
        if made is None and all_:
            all_, unfitting = (), "the new readings are not typed yet; those before stay in the job"
        found = findings_from(job, cone, all_, unfitting)
        shown = made.identity if made else ""
        counted = next((one for one in all_ if one.readings.identity == shown), None)
        if counted is not None and counted.unit != self.unit:
            shown_as = counted.readings.in_unit(self.unit)
            counted = dataclasses.replace(counted, readings=shown_as)
        return Measured(job, made, counted, found, found[0].reason)

    def take(self, job: Job) -> None:
        """Put a job into the panel, with the readings of it that this panel shows."""
        fitting = [i for i, one in enumerate(job.callouts) if one.internal == self.internal]
        if not fitting:
            kind = "internal" if self.internal else "external"
            raise ValueError(f"this job has no {kind} cone; {self.elsewhere}")
        with self.all_or_nothing():
            self.job = job
            names = [(job.callouts[i].name or str(i + 1), i) for i in fitting]
            self.cone.options = names
            self.cone.value = fitting[0]
            self._show_readings()
            self.read_state()
        self.show_used()
        self.render()

    def _show_readings(self) -> None:
        """Put the latest readings of the chosen cone into the controls, or none."""
        shown = [
            one
            for one in self.job.readings
            if one.cone == self.cone.value and not one.struck and one.method in self.methods
        ]
        if not shown:
            self.to_unit(self.callout.unit)
        self._put_readings(shown[-1] if shown else None)

    def _put_readings(self, kept: Readings | None) -> None:
        if kept is not None:
            self.to_unit(kept.unit)
        self.kept = kept
        values = dict.fromkeys(self.entries)
        if kept is not None:
            values |= self.values_of(kept.in_unit(self.unit))
        for name, value in values.items():
            if value is None and not isinstance(getattr(self, name), Quantity):
                values[name] = _blank(getattr(self, name))
        self.fit_sliders(kept)
        self.put({**values, "outlier": UNDECIDED, "outlier_reason": "", "confirmed_by": ""})
        self._as_taken, self._read_with = self._entries(), self.pairs()

    def to_unit(self, unit: str) -> None:
        self._before = self._entries(), self.pairs()
        super().to_unit(unit)

    def unit_changed(self, before: Mapping[str, Any]) -> None:
        for name in ("job", "kept", "_rows_before"):
            setattr(self, name, before[name])
        for name in self.rows:
            control = getattr(self, name)
            with contextlib.suppress(ValueError):  # what is no number stays as it is typed
                control.value = self._row_in_unit(control.value, before["unit"])
        # What differed from the readings as taken still does, and nothing else.
        entries, pairs = self._before
        self._as_taken = {
            name: value if entries[name] == before["_as_taken"][name] else before["_as_taken"][name]
            for name, value in self._entries().items()
        }
        was = before["_read_with"]
        self._read_with = [
            (text, now if then == old else old)
            for (text, now), (_, then), (_, old) in zip(self.pairs(), pairs, was, strict=False)
        ] + was[len(pairs) :]
        self.fit_sliders(self.kept)

    def _row_in_unit(self, text: str, was: str) -> str:
        """A row of readings as typed, in the panel's unit; back again just as it was typed."""
        row = [
            round(float(in_unit(one, was, self.unit)), 7 if self.unit == "in" else 6)
            for one in read_repeats("readings", text)
        ]
        told = self._rows_before.get((text, self.unit)) or typed(row)
        self._rows_before[told, was] = text
        return told

    def fit_sliders(self, kept: Readings | None) -> None:
        """Ends of sliders that depend on the job; a ball's do not."""

    # -- buttons --------------------------------------------------------------------------

    def read_file(self, path: Path) -> str:
        """Take a job with its readings where it has any."""
        self.take(Job.load(path))
        return ", with its readings" if self.kept else ": not measured yet"

    def write_file(self, path: Path, replace: bool) -> str:
        """Keep the readings in the job file."""
        job = self.current().keep(path, replace=replace)
        cone = self.cone.value
        self.take(job)
        self.cone.value = cone
        return ""

    def confirm(self) -> None:
        """The readings in sight are of these gauges; and by name, of the print as it now is."""
        kept = self.kept
        if kept is not None and not self.job.is_of_this_print(kept):
            self.job = self.job.confirm(kept.identity, self.confirmed_by.value)
            self.kept = next(one for one in self.job.readings if one.identity == kept.identity)
        self._read_with = self.pairs()
        self.render()
        self.tell("Confirmed.")

    def begin_anew(self) -> None:
        """Empty readings, beside those the job keeps."""
        self.job = self.current()
        with self.all_or_nothing():
            self._put_readings(None)
        self.render()
        self.tell("Type the new readings; those before stay in the job.")

    def _record(self) -> str:
        frame, words = self.still_svg()
        made = self.measured()
        balls = BALL_SETS[made.unit if made else self.unit]
        return inspection_record(self.current(), frame, words.splitlines()[0], balls=balls)

    def reread(self) -> None:
        """Take what the job's file holds by now: passes taken or struck out meanwhile, the cut."""
        now = self.job.as_kept(self.path())
        if now.callouts != self.job.callouts:
            raise ValueError(OTHER_FILE.format(self.path().name))
        self.job = now

    def write_record(self) -> None:
        """Write the record of the present inspection, beside one that is there already."""
        page, mine = self._record(), self.current()
        kept = mine.as_kept(self.path())
        here, there = ([(f.readings, f.limits) for f in findings(one)] for one in (mine, kept))
        if here != there:
            raise ValueError(OTHER_FILE.format(self.path().name))
        if (kept.passes, kept.rest()) != (mine.passes, mine.rest()):
            self.reread()
            self.render()
            page = self._record()
        ending, number = f"{RECORD}.html", 1
        while not self._may_replace() and os.path.lexists(self.path(ending)):
            number += 1
            ending = f"{RECORD} {number}.html"
        self.write_page(ending, page, "Record")

    def settle(self) -> None:
        """Tell what would turn “not proven” into a verdict."""
        state = self.state_of_job()
        if state.inspection is None:
            raise ValueError(f"not measured: {state.why}")
        self.tell(settling_words(state.inspection))

    # -- words ----------------------------------------------------------------------------

    def sentence(self, state: Measured) -> str:
        """Title, callout and every requirement with its verdict."""
        named = f"“{state.job.title}”: " if state.job.title else ""
        return f"{named}{self.callout.words()}. {headline(state.found)}."

    def remark_rows(self, state: Measured) -> Iterator[Row]:
        """Decision rule, where a half angle comes from, outliers, and the mark of an example."""
        if state.inspection is None:
            yield Row("Not measured", state.why, False, "warning")
        else:
            yield Row("Decision rule", state.inspection.rule.words(), False, "wide")
            used = state.inspection.known_half_angle
            if used is not None and used.text:
                yield Row("Half angle used", used.words, False, "wide")
            for one in state.inspection.readings.outliers:
                reading = as_given(state.inspection.readings.rows[one.row][one.place])
                told = f"{STRUCK if one.struck else KEPT}: {one.reason}"
                yield Row(f"Outlier {reading}", told, False, "wide")
        if state.job.older:
            yield Row("From an older file, check", OLDER, False, "warning")
        if state.job.invented:
            yield Row("Example", demo.MARK, False, "wide")


def _blank(control: Any) -> Any:
    """What a control shows of nothing given."""
    if isinstance(control, ipywidgets.Dropdown):
        return (
            control.options[0][1] if isinstance(control.options[0], tuple) else control.options[0]
        )
    return False if isinstance(control, ipywidgets.Checkbox) else ""
