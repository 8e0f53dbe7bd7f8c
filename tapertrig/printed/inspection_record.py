"""The inspection record: one printed page that says what was asked, read, found and proven."""

from __future__ import annotations

import math
from collections.abc import Sequence

from tapertrig.gauging.balls import broken_edge
from tapertrig.gauging.inspection import Finding, Inspection, as_given, small_text, two_figures
from tapertrig.gauging.remedies import settling
from tapertrig.job import Job
from tapertrig.lathe import places_written
from tapertrig.printed.page import Line, Rows, Strong, page, shorten

READINGS_SHOWN = 10


def inspection_record(
    inspection: Inspection,
    job: Job | None = None,
    drawing: str | bytes | None = None,
    drawing_words: str = "",
    *,
    balls: Sequence[float] = (),
    paper: str = "any",
) -> str:
    """The record of an inspection as one HTML page for A4 or Letter.

    `job` gives title, part and drawing number. `drawing` is SVG text, PNG bytes or a PNG data
    string, and `drawing_words` says what it shows. `balls` is the set at hand, for the advice on
    what is not proven. All text is escaped and cut to what one page holds.
    """
    findings = inspection.findings()
    title = shorten(job.title, 70) if job is not None else ""
    what_is_read, readings = _readings(inspection)
    return page(
        "inspection_record.html",
        title=f"Inspection record: {title or 'cone'}",
        record=f"inspection record {job.identity if job is not None else ''}".strip(),
        paper=paper,
        job=job,
        unit=inspection.unit,
        verdict=inspection.verdict,
        rule=inspection.rule.words(),
        asked=_print_rows(inspection),
        method=_method_rows(inspection),
        drawing=drawing,
        drawing_words=drawing_words or "Section of the cone with the gauges in place.",
        what_is_read=what_is_read,
        readings=readings,
        results=_results(inspection, findings),
        guard=_guard(inspection, findings),
        budget=_budget(inspection, findings),
        advice=_advice(inspection, balls),
        remarks=_remarks(inspection, job),
        signatures=_signatures(inspection),
    )


def _print_rows(inspection: Inspection) -> Rows:
    cone, unit = inspection.cone, inspection.unit
    side = "internal" if cone.internal else "external"
    yield "Callout", f"{shorten(inspection.callout, 60) or cone.included_angle.dms()}, {side}"
    yield "Half angle", _tolerance_words(inspection)
    face = _length(cone.face_diameter, unit)
    if inspection.diameter_limits is None:
        yield "Face diameter, sharp", f"{face}, no tolerance"
    else:
        low, high = (_length(limit, unit) for limit in inspection.diameter_limits)
        yield "Face diameter, sharp", f"{face}, from {low} to {high}"
    if inspection.edge_break and cone.half_angle.degrees < 45:
        edge = broken_edge(inspection.measured_cone(), inspection.edge_break)
        yield (
            "Edge break, 45°",
            f"{_length(inspection.edge_break, unit)} deep; calipers here read "
            f"{_length(edge.outer, unit)} on the outer edge, {_length(edge.inner, unit)} on the "
            "inner",
        )


def _tolerance_words(inspection: Inspection) -> str:
    words = inspection.cone.half_angle.dms()
    if inspection.half_angle_tolerance is None:
        return f"{words}, no tolerance"
    return f"{words} ± {inspection.half_angle_tolerance.dms()}"


def _method_rows(inspection: Inspection) -> Rows:
    unit, rolls = inspection.unit, inspection.method == "rolls and blocks"
    gauges = " and ".join(_length(gauge, unit) for gauge in inspection.gauges)
    yield "Method", inspection.method
    yield "Rolls" if rolls else "Balls", gauges + _within(inspection.gauge_limit)
    if rolls:
        blocks = _length(inspection.block_height, unit)
        yield "Blocks", blocks + _within(inspection.block_limit)
    tool = inspection.instrument
    reads = f"reads to {as_given(tool.graduation)} {unit}{_within(tool.limit_of_error)}"
    yield "Instrument", f"{shorten(tool.name, 60)}, {reads}"
    if inspection.reads == "depth" and inspection.parallel:
        yield "Parallels under it", _length(inspection.parallel, unit)
    shared = "Zero of the micrometer" if rolls else "Zero, face flatness"
    yield shared, f"± {as_given(inspection.face_limit)} {unit}"


def _within(limit: float) -> str:
    return f", within ± {as_given(limit)}" if limit else ""


def _readings(inspection: Inspection) -> tuple[str, Rows]:
    places = places_written(inspection.unit) + 1
    if inspection.method == "rolls and blocks":
        names, what = ["Over low rolls", "Over high rolls"], "Measure over the rolls"
    else:
        names = [f"Ball {_length(gauge, inspection.unit)}" for gauge in inspection.gauges]
        what = "Height of the ball's top over the face, + proud"
        if inspection.reads == "depth":
            what = "Depth micrometer; the mean is the height of the ball's top over the face"
    # The last place is shown only where a reading was estimated to it.
    coarse = places - 1
    exact = all(abs(x - round(x, coarse)) < 1e-9 for row in inspection.readings for x in row)
    as_read = coarse if exact else places
    rows = []
    for name, read, found in zip(names, inspection.readings, inspection.repeats(), strict=True):
        shown = "  ".join(f"{reading:.{as_read}f}" for reading in read[:READINGS_SHOWN])
        more = len(read) - READINGS_SHOWN
        rows.append(
            (
                name,
                shown + (f"  and {more} more" if more > 0 else ""),
                f"{found.mean:+.{places}f}" if names[0][0] == "B" else f"{found.mean:.{places}f}",
                "not known" if found.spread is None else two_figures(found.spread),
                str(found.count),
            )
        )
    return what, rows


def _results(inspection: Inspection, findings: Sequence[Finding]) -> Rows:
    unit = inspection.unit
    rows = []
    for finding in findings:
        judgement = finding.judgement
        if judgement is None or finding.limits is None:
            rows.append((finding.quantity.capitalize(), finding.words(unit), "none", "–", "–", "–"))
            continue
        accept = "nothing"
        if judgement.accept is not None:
            accept = _between(finding, judgement.accept, unit)
        reject = (
            _between(finding, judgement.reject, unit)
            if all(map(math.isfinite, judgement.reject))
            else "–"
        )
        rows.append(
            (
                finding.quantity.capitalize(),
                Strong(finding.words(unit)),
                _between(finding, finding.limits, unit),
                accept,
                reject,
                Strong(judgement.verdict),
            )
        )
    return rows


def _guard(inspection: Inspection, findings: Sequence[Finding]) -> str:
    guards = [finding.guard_words(inspection.rule, inspection.unit) for finding in findings]
    told = f"Guard band: {', '.join(filter(None, guards))}. " if any(guards) else ""
    correlation = inspection.correlation()
    if correlation is not None:
        signed = f"{correlation:+.2f}".replace("-", "−")
        told += f"Correlation of half angle and face diameter: {signed}."
    return told


def _between(finding: Finding, ends: tuple[float, float], unit: str) -> str:
    low, high = (finding.text(end, unit).removesuffix(f" {unit}") for end in ends)
    return f"{low} to {high}"


def _budget(inspection: Inspection, findings: Sequence[Finding]) -> tuple[Rows, list[str]]:
    head = ["Input", "Standard uncertainty"]
    for finding in findings:
        head += [f"Effect on {finding.quantity}", "Share"]
    rows = []
    for parts in zip(*(finding.contributions for finding in findings), strict=True):
        if not any(part.effect for part in parts):
            continue
        own = "half angle" if parts[0].name == "half angle" else "length"
        row = [parts[0].name, small_text(parts[0].standard_uncertainty, own, inspection.unit)]
        for finding, part in zip(findings, parts, strict=True):
            row += [small_text(part.effect, finding.quantity, inspection.unit), f"{part.share:.0%}"]
        rows.append(row)
    total = ["Together", ""]
    for finding in findings:
        together = small_text(finding.standard_uncertainty, finding.quantity, inspection.unit)
        total += [Strong(together), "100%"]
    return [*rows, total], head


def _advice(inspection: Inspection, balls: Sequence[float]) -> list[Line]:
    points: list[Line] = []
    for finding, (needed, *ways) in settling(inspection, balls):
        reason = finding.judgement.reason if finding.judgement else ""
        points += [(Strong(finding.quantity.capitalize()), f": {reason}. {needed}"), *ways]
    return points


def _remarks(inspection: Inspection, job: Job | None) -> str:
    told = [*inspection.remarks()]
    if job is not None and job.invented:
        told.insert(0, "Invented example: no such part, shop or lathe exists.")
    if inspection.notes:
        told.append(shorten(inspection.notes, 300))
    return " ".join(told)


def _signatures(inspection: Inspection) -> tuple[str, ...]:
    return (
        f"Measured by: {shorten(inspection.measured_by, 40)}",
        f"Date: {shorten(inspection.date, 20)}",
        "Checked by:",
        "Date:",
    )


def _length(length: float, unit: str) -> str:
    return f"{length:.{places_written(unit)}f} {unit}"
