"""The inspection record: a printed page that says what was asked, read, found and proven."""

from __future__ import annotations

import contextlib
import math
from collections.abc import Iterator, Sequence

from tapertrig.budget import RESTS_ON, Budget, Table, not_of_now, part_by_proof
from tapertrig.budget.proof import budget_of_pass
from tapertrig.budget.rows import side_by_side
from tapertrig.decision import GUARD_BAND
from tapertrig.gauging.balls import ball_rest, broken_edge
from tapertrig.gauging.inspection import (
    NOT_MEASURED,
    ONE_BALL,
    OUTLIER_TEST,
    ROLLS,
    Finding,
    Inspection,
    as_given,
    findings,
    headline,
    inspections,
    jointly,
    struck,
    struck_at_will,
    two_figures,
)
from tapertrig.gauging.remedies import settling
from tapertrig.job import Callout, Gauge, Job, Pass, real_date
from tapertrig.job.plan import angle_text
from tapertrig.lathe import places_written
from tapertrig.next_tap import set_to
from tapertrig.printed.page import PRINTING, Line, Rows, Strong, page, shorten
from tapertrig.printed.setup_sheet import OLDER

NOT_GIVEN = "not given"


def inspection_record(
    job: Job,
    drawing: str | bytes | None = None,
    drawing_words: str = "",
    *,
    balls: Sequence[float] = (),
    paper: str = "any",
) -> str:
    """The record of a job's inspection as HTML for A4 or Letter, one page in the usual cases.

    `drawing` is SVG text, PNG bytes or a PNG data string, and `drawing_words` says what it
    shows. `balls` is the set at hand, for the advice on what is not proven. All text is escaped.
    ValueError when nothing was measured, or when it does not say who measured it and when.
    """
    found = findings(job)
    counted = [one for cone in range(len(job.callouts)) for one in _counted(job, cone)]
    if not counted:
        why = found[0].reason if found else "nothing is entered from the print"
        raise ValueError(f"nothing is measured, so there is nothing to record: {why}")
    for one in counted:
        if not one.readings.measured_by.strip():
            raise ValueError("who measured is not given; a record says who and when")
        real_date(one.readings.date, "the date of the measurement")
    title = shorten(job.title, 70)
    unit = counted[0].unit
    return page(
        "inspection_record.html",
        script=PRINTING,
        title=f"Inspection record: {title or 'cone'}",
        paper=paper,
        job=job,
        unit=unit,
        headline=headline(found),
        rule=" · ".join(dict.fromkeys(one.rule.words() for one in counted)),
        part=_part_rows(job),
        asked=[row for one in job.callouts for row in _print_rows(one, counted)],
        slide=list(_slide_rows(job)),
        slide_budgets=list(_slide_budgets(job)),
        drawing=drawing,
        drawing_words=drawing_words or "Section of the cone with the gauges in place.",
        results=[_result(one) for one in found],
        guard=_guard(found, counted),
        measured=[_measured(one, found) for one in counted],
        advice=_advice(counted, found, balls),
        remarks=_remarks(job, counted),
        signatures=_signatures(counted),
    )


def _counted(job: Job, cone: int) -> Iterator[Inspection]:
    """The inspections that a finding, or the half angle of one ball, rests on."""
    try:
        made = inspections(job, cone)
    except ValueError:
        return
    seen: set[int] = set()
    for one in made:
        new = {place for place, f in enumerate(one.findings()) if f.verdict != NOT_MEASURED} - seen
        if new:
            seen |= new
            yield one


def _part_rows(job: Job) -> Rows:
    revision = f", revision {job.revision}" if job.revision else ", revision not given"
    yield "Part", job.part or NOT_GIVEN
    yield "Drawing", (job.drawing_number or NOT_GIVEN) + revision
    yield "Serial number, quantity", f"{job.serial or NOT_GIVEN}, {job.quantity or NOT_GIVEN}"
    yield "Material", job.material or NOT_GIVEN


def _print_rows(callout: Callout, counted: Sequence[Inspection]) -> Rows:
    unit, name = callout.unit, f"{callout.name}: " if callout.name else ""
    side = "internal" if callout.internal else "external"
    asked, tolerance = callout.angle_tolerance, callout.half_angle_tolerance
    within = "" if asked is None else f", ± {angle_text(asked)} on the {callout.tolerance_on}"
    long = "" if callout.length is None else f", {_length(callout.length, unit)} long"
    yield f"{name}Callout", f"{shorten(callout.words(), 60)}{within}, {side}{long}"
    angle = callout.half_angle.dms() if callout.kind else NOT_GIVEN
    told = ", no tolerance" if tolerance is None else f" ± {angle_text(tolerance)}"
    yield "Half angle", f"{angle}{told}"
    if callout.face_diameter is None:
        yield "Face diameter, sharp", NOT_GIVEN
        return
    face, limits = _length(callout.face_diameter, unit), callout.diameter_limits
    if limits is None:
        yield "Face diameter, sharp", f"{face}, no tolerance"
    else:
        low, high = (_length(limit, unit) for limit in limits)
        yield "Face diameter, sharp", f"{face}, from {low} to {high}"


def _slide_rows(job: Job) -> Rows:
    """What the slide was set to: apart from the part, which is measured or is not."""
    for cone, callout in enumerate(job.callouts):
        named = f"{callout.name or f'cone {cone + 1}'}: " if len(job.callouts) > 1 else ""
        standing = job.standing(cone)
        told = "no reading with the bolts tight"
        if standing and standing[-1].bolts == "tight":
            last = standing[-1]
            told = set_to(job, cone).removeprefix("Slide set to ")
            why = f"; {not_of_now(job, last)}" if not_of_now(job, last) else ""
            told = told or f"not proven: read {last.half_angle.dms()}, bolts tight{why}."
            when = f" Taken {last.time[:16].replace('T', ' ')}." if last.time else ""
            told += f"{when} {_read_so(last)} {RESTS_ON}"
        elif any(one.bolts == "tight" for one in standing):
            told = "not proven: the bolts were eased after the last reading with them tight"
        yield f"{named}Slide set to", told
        gone = [one for one in job.passes if one.struck and one.aim.cone == cone]
        if gone:
            listed = (
                f"{one.half_angle.dms()}, bolts {one.bolts}"
                + (f", {one.time[:16].replace('T', ' ')}" if one.time else "")
                for one in gone
            )
            yield f"{named}Passes struck out", "; ".join(listed)


def _read_so(a_pass: Pass) -> str:
    """The readings of a pass, from which its angle follows."""
    unit, reading = a_pass.unit, f"{as_given(round(a_pass.reading, 7))} {a_pass.unit}"
    other = f"stack and needle {reading}"
    if a_pass.axial_reading is None:
        other = f"cross dial {reading}, which reads {a_pass.cross_dial.reads}"
    return f"Read over a compound travel of {as_given(a_pass.compound_travel)} {unit}: {other}."


def _slide_budgets(job: Job) -> Iterator[Table]:
    """The budget of each slide's last pass, bolts tight, row by row; and of what it then cut."""
    for cone, callout in enumerate(job.callouts):
        standing = job.standing(cone)
        if callout.kind and standing and standing[-1].bolts == "tight":
            last = standing[-1]
            yield budget_of_pass(job, last).table(last.unit)
            with contextlib.suppress(ValueError):  # nothing proven, or nothing known of the cut
                yield part_by_proof(job, cone).table(last.unit)


def _measured(made: Inspection, found: Sequence[Finding]) -> dict[str, object]:
    """One set of readings for the page: how, with what, every reading, the budget."""
    what, rows = _readings(made)
    named = f" ({made.cone_name})" if made.cone_name else ""
    return {
        "title": f"{made.method}{named}",
        "method": _method_rows(made),
        "what": what,
        "readings": rows,
        "unit": made.unit,
        "budget": side_by_side(budgets, made.unit) if (budgets := _budgets(made, found)) else None,
    }


def _method_rows(made: Inspection) -> Rows:
    read, unit, rolls = made.readings, made.unit, made.method == ROLLS
    for gauge in read.gauges:
        yield "Rolls" if rolls else "Ball", _gauge(gauge, unit)
    if read.blocks is not None:
        yield "Blocks", _gauge(read.blocks, unit)
    tool = made.instrument
    reads = NOT_GIVEN if tool.graduation is None else f"{as_given(tool.graduation)} {unit}"
    yield (
        "Instrument",
        f"{shorten(tool.name, 60) or NOT_GIVEN}, reads to {reads}{_within(tool.limit_of_error)}; "
        + _paper(tool.identity, tool.calibrated),
    )
    if read.reads == "depth":
        under = "none" if not read.parallel else _length(read.parallel, unit)
        yield "Parallels under it", under
    limit = NOT_GIVEN if read.face_limit is None else f"± {as_given(read.face_limit)} {unit}"
    yield "Zero of the micrometer" if rolls else "Zero, face flatness", limit
    if (one := made.scatter) is not None:
        s = as_given(one.value) if read.scatter else two_figures(one.value)
        known = f"s = {s} {unit}, {one.degrees_of_freedom:g} degrees of freedom"
        yield "Stated scatter" if read.scatter else "Scatter", f"{known}: {shorten(one.origin, 90)}"
    used = made.known_half_angle
    if made.method == ONE_BALL and used is not None:
        yield "Half angle used", shorten(used.words, 160)
    yield "Temperature", _temperature(made)
    if not rolls:
        told = NOT_GIVEN if read.edge_break is None else f"{_length(read.edge_break, unit)} deep"
        if read.edge_break and made.measured_cone().half_angle.degrees < 45:
            edge = broken_edge(made.measured_cone(), read.edge_break)
            told += (
                f"; calipers here read {_length(edge.outer, unit)} on the outer edge, "
                f"{_length(edge.inner, unit)} on the inner"
            )
        yield "Edge break, 45°", told
        for ball in made.gauges if used is not None else ():
            at = ball_rest(made.measured_cone(), ball, read.edge_break or 0.0, read.floor_depth)
            if at.contact is not None:
                where, deep = (_length(one, unit) for one in at.contact)
                unsure = "; whether that clears the edge break was not measured"
                told = f"on ⌀ {where}, {deep} below the face"
                yield (
                    f"Ball {_length(ball, unit)} touches",
                    told + (unsure if read.edge_break is None else ""),
                )


def _gauge(gauge: Gauge, unit: str) -> str:
    limit = ", how good: not given" if gauge.limit is None else _within(gauge.limit)
    return f"{_length(gauge.size, unit)}{limit}; {_paper(gauge.identity, gauge.calibrated)}"


def _paper(identity: str, calibrated: str) -> str:
    return (
        f"number {shorten(identity, 30) or NOT_GIVEN}, calibrated "
        f"{shorten(calibrated, 20) or NOT_GIVEN}"
    )


def _within(limit: float | None) -> str:
    return ", how good: not given" if limit is None else f", within ± {as_given(limit)}"


def _temperature(made: Inspection) -> str:
    read = made.readings

    def told(degrees: float | None) -> str:
        return NOT_GIVEN if degrees is None else f"{degrees:g} °C"

    corrected = "corrected" if read.temperature_corrected else "not corrected"
    return (
        f"part {told(read.part_temperature)}, gauge {told(read.gauge_temperature)}; readings "
        f"{corrected} to 20 °C{'; the result is, see below' if made.warmth_known else ''}"
    )


def _readings(made: Inspection) -> tuple[str, Rows]:
    read, unit = made.readings, made.unit
    places = places_written(unit) + 1
    rolls, depth = made.method == ROLLS, read.reads == "depth"
    if rolls:
        names, what = ["Over low rolls", "Over high rolls"], "Measure over the rolls"
    else:
        names = [f"Ball {_length(gauge, unit)}" for gauge in made.gauges]
        what = "Height of the ball's top over the face, + proud"
        if depth:
            what = "Depth micrometer; height of the ball's top over the face = parallels − reading"
    # The last place is shown only where a reading was estimated to it.
    coarse = places - 1
    exact = all(abs(x - round(x, coarse)) < 1e-9 for row in read.rows for x in row)
    as_read = coarse if exact else places
    rows = []
    for name, row, gone, found in zip(names, read.rows, struck(read), made.repeats(), strict=True):
        sign = "" if rolls or depth else "+"
        shown = [f"{reading:{sign}.{as_read}f}".replace("-", "−") for reading in row]
        shown = [f"({x}) struck" if place in gone else x for place, x in enumerate(shown)]
        mean = f"{found.mean:{'' if rolls else '+'}.{places}f}".replace("-", "−")
        rows.append(
            (
                name,
                "  ".join(shown),
                mean,
                "not known" if found.spread is None else two_figures(found.spread),
                str(found.count),
            )
        )
    for one in read.outliers:
        reading = as_given(read.rows[one.row][one.place])
        done = "struck out" if one.struck else "kept"
        no = "no outlier by " if (one.row, one.place) in struck_at_will(read) else ""
        told = f"{done}: {one.reason}; {no}{OUTLIER_TEST}"
        rows.append((f"Outlier {reading}" if not no else f"Reading {reading}", told, "", "", ""))
    return what, rows


def _result(finding: Finding) -> tuple[Line, ...]:
    unit, judgement = finding.unit, finding.judgement
    limits = "none given" if finding.limits is None else _between(finding, finding.limits)
    zones = ("–", "–")
    if judgement is not None:
        accept = "nothing" if judgement.accept is None else _between(finding, judgement.accept)
        bounded = all(map(math.isfinite, judgement.reject))
        zones = (accept, _between(finding, judgement.reject) if bounded else "–")
    return (
        finding.name,
        Strong(finding.result(unit)),
        limits,
        *zones,
        (Strong(finding.verdict), f": {finding.reason}" if judgement is None else ""),
    )


# As tests/bench/coverage.py finds it: the least of rectangular and arcsine, and of correlated ones.
INDEPENDENT = (
    "95 % holds for repeats that scatter normally, each by itself; two or three that scatter "
    "evenly, or to and fro between ends, may hold 90 %, and drifting ones fewer than 75 %. "
)
OVER_TWO = "k over 2: t on what few readings scatter, 2 on the rest; the ν of u does not tell it. "


def _guard(found: Sequence[Finding], counted: Sequence[Inspection]) -> str:
    guards = [words for words in (finding.guard_words() for finding in found) if words]
    told = INDEPENDENT if counted else ""
    if any(f.budget and f.budget.factor >= 2.005 for f in found):
        told += OVER_TWO
    if guards:
        judged = [f.budget for f in found if f.judgement and f.budget and f.rule == GUARD_BAND]
        few = any(budget.guard_factor > 1.66 for budget in judged)
        own = "; few readings: Student's t, each part by its own"
        told = f"Guard band: {', '.join(guards)}{own if few else ''}. {told}{jointly(found)}"
    for made in counted:
        # Where one of the two comes from other readings, the other's correlation is not theirs.
        correlation = made.correlation() if len(_budgets(made, found)) == 2 else None
        if correlation is not None:
            signed = f"{correlation:+.2f}".replace("-", "−")
            told += f"Correlation of half angle and face diameter: {signed}. "
    return told.strip()


def _between(finding: Finding, ends: tuple[float, float]) -> str:
    low, high = (finding.text(end, finding.unit).removesuffix(f" {finding.unit}") for end in ends)
    return f"{low} to {high}"


def _budgets(made: Inspection, found: Sequence[Finding]) -> list[Budget]:
    """The budgets of what these readings, and no others, found."""
    return [
        one.budget
        for one in found
        if one.budget and one.readings and one.readings.identity == made.readings.identity
    ]


def _advice(
    counted: Sequence[Inspection], found: Sequence[Finding], balls: Sequence[float]
) -> list[Line]:
    points: list[Line] = []
    for made in counted:
        for finding, (needed, *ways) in settling(made, balls):
            if finding in found and finding.judgement is not None:
                reason = finding.judgement.reason
                points += [(Strong(finding.name), f": {reason}. {needed}"), *ways]
    return points


def _remarks(job: Job, counted: Sequence[Inspection]) -> str:
    told = []
    if job.older:
        told.append(f"From an older file, check. {OLDER}")
    if job.quantity.strip() not in ("", "1"):
        told.append(f"Quantity {shorten(job.quantity, 20)}: these are the readings of one part.")
    used = {one.readings.identity for one in counted}
    gave = {
        one.readings.identity: headline(one.findings())
        for cone in {one.readings.cone for one in counted}
        for one in inspections(job, cone)
    }
    for one in job.readings:
        if one.identity not in used:
            state = "struck out" if one.struck else "not used"
            state += f" ({gave[one.identity]})" if one.identity in gave else ""
            told.append(f"Also kept: {one.method}, {one.date or 'date not given'}, {state}.")
    for made in counted:
        word, read = job.confirmation(made.readings), made.readings
        if word and (word, word.by) != (read.confirmed[0], read.measured_by.strip()):
            said = f"confirmed by {shorten(word.by, 60)}, {word.time[:10]}"
            told.append(f"Readings of {read.date}, as of this part and print: {said}.")
    told += [shorten(one.readings.notes, 300) for one in counted if one.readings.notes]
    return " ".join(told)


def _signatures(counted: Sequence[Inspection]) -> tuple[str, ...]:
    who = dict.fromkeys(one.readings.measured_by.strip() for one in counted)
    when = dict.fromkeys(one.readings.date.strip() for one in counted)
    return (
        f"Measured by: {shorten(', '.join(who), 60)}",
        f"Date: {shorten(', '.join(when), 40)}",
        "Checked by:",
        "Date:",
    )


def _length(length: float, unit: str) -> str:
    return f"{length:.{places_written(unit)}f} {unit}"
