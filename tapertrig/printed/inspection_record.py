"""The inspection record: one printed page that says what was asked, read, found and proven."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from tapertrig import cautions
from tapertrig.decision import NOT_PROVEN
from tapertrig.gauging.balls import broken_edge
from tapertrig.gauging.inspection import Finding, Inspection, as_given, two_figures
from tapertrig.gauging.remedies import remedies, uncertainty_needed
from tapertrig.job import Job
from tapertrig.lathe import places_written
from tapertrig.printed.page import (
    Html,
    bold,
    bulleted,
    caution,
    clamp,
    columns,
    join,
    notice,
    page,
    picture,
    section,
    sentence,
    shorten,
    table,
)
from tapertrig.printed.setup_sheet import UNIT_WORDS

READINGS_SHOWN = 10
# The longest record fills a page of Letter to its last line, in wide letters too.
STYLE = """
.readings td:not(:nth-child(2)), .readings th { white-space: nowrap; }
.results td:last-child { overflow-wrap: normal; }
h2 { margin-top: 1mm; }
"""
_ARC_SECONDS = 180 * 3600 / math.pi


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
    left = join(
        section("From the print", table(_print_rows(inspection))),
        section("How it was measured", table(_method_rows(inspection))),
    )
    body: list[object] = [left]
    if drawing is not None:
        words = drawing_words or "Section of the cone with the gauges in place."
        body = [columns(left, picture(drawing, words))]
    title = shorten(job.title, 70) if job is not None else ""
    return page(
        f"Inspection record: {title or 'cone'}",
        _verdict(inspection),
        *body,
        section("Readings", _readings(inspection)),
        section("Result", _results(inspection, findings)),
        section("Where the uncertainty comes from (JCGM 100)", _budget(inspection, findings)),
        _advice(inspection, findings, balls),
        _remarks(inspection, job),
        table([_signatures(inspection)]),
        caution(cautions.TITLE, cautions.ALL),
        aside=_aside(job),
        footer="tapertrig inspection record"
        + (f" · job {job.identity}" if job is not None else "")
        + f" · {UNIT_WORDS[inspection.unit]}",
        paper=paper,
        style=STYLE,
        record=f"inspection record {job.identity if job is not None else ''}".strip(),
    )


def _aside(job: Job | None) -> Html | str:
    if job is None:
        return ""
    lines = (
        shorten(job.part, 60),
        shorten(" · ".join(filter(None, (job.drawing_number, job.material))), 80),
        shorten(" · ".join(filter(None, (job.shop, job.made_by))), 80),
    )
    return join(*(clamp(line, 1) for line in lines if line))


def _verdict(inspection: Inspection) -> Html:
    verdict = inspection.verdict
    if verdict is None:
        return notice("No verdict: the print gives no tolerance for what was measured.")
    return notice(
        sentence("Verdict: ", bold(verdict.upper()), f". Rule: {inspection.rule.words()}.")
    )


def _print_rows(inspection: Inspection) -> Iterator[tuple[object, object]]:
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


def _method_rows(inspection: Inspection) -> Iterator[tuple[object, object]]:
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


def _readings(inspection: Inspection) -> Html:
    places = places_written(inspection.unit) + 1
    if inspection.method == "rolls and blocks":
        names, what = ("Over low rolls", "Over high rolls"), "Measure over the rolls"
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
                found.count,
            )
        )
    head = ("", f"Readings, {inspection.unit}", "Mean", "Spread s", "n")
    return Html(f'<div class="readings">{table(rows, head, what)}</div>')


def _results(inspection: Inspection, findings: Sequence[Finding]) -> Html:
    unit = inspection.unit
    rows = []
    for finding in findings:
        judgement = finding.judgement
        if judgement is None:
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
                bold(finding.words(unit)),
                _between(finding, finding.limits, unit),
                accept,
                reject,
                bold(judgement.verdict),
            )
        )
    head = ("", "Found ± U, 95 %", "Print allows", "Accepted", "Rejected outside", "Verdict")
    guards = [finding.guard_words(inspection.rule, unit) for finding in findings]
    told = f"Guard band: {', '.join(filter(None, guards))}. " if any(guards) else ""
    correlation = inspection.correlation()
    if correlation is not None:
        signed = f"{correlation:+.2f}".replace("-", "−")
        told += f"Correlation of half angle and face diameter: {signed}."
    return Html(f'<div class="results">{table(rows, head, told)}</div>')


def _between(finding: Finding, ends: tuple[float, float], unit: str) -> str:
    low, high = (finding.text(end, unit).removesuffix(f" {unit}") for end in ends)
    return f"{low} to {high}"


def _budget(inspection: Inspection, findings: Sequence[Finding]) -> Html:
    head = ["Input", "Standard uncertainty"]
    for finding in findings:
        head += [f"Effect on {finding.quantity}", "Share"]
    rows = []
    for parts in zip(*(finding.contributions for finding in findings), strict=True):
        if not any(part.effect for part in parts):
            continue
        own = "half angle" if parts[0].name == "half angle" else "length"
        row = [parts[0].name, _small(parts[0].standard_uncertainty, own, inspection.unit)]
        for finding, part in zip(findings, parts, strict=True):
            row += [_small(part.effect, finding.quantity, inspection.unit), f"{part.share:.0%}"]
        rows.append(row)
    total = ["Together", ""]
    for finding in findings:
        together = _small(finding.standard_uncertainty, finding.quantity, inspection.unit)
        total += [bold(together), "100%"]
    return table([*rows, total], head)


def _small(value: float, quantity: str, unit: str) -> str:
    if quantity == "half angle":
        return f"{value * _ARC_SECONDS:.1f}″"
    return f"{two_figures(value)} {unit}"


def _advice(
    inspection: Inspection, findings: Sequence[Finding], balls: Sequence[float]
) -> Html | str:
    if inspection.verdict != NOT_PROVEN:
        return ""
    points = []
    for finding in findings:
        if finding.judgement is None or finding.judgement.verdict != NOT_PROVEN:
            continue
        needed = uncertainty_needed(finding, inspection)
        points.append(
            sentence(
                bold(finding.quantity.capitalize()),
                f": {finding.judgement.reason}. ",
                f"U would have to be {_small(2 * needed, finding.quantity, inspection.unit)} or "
                "less."
                if needed > 0
                else "At this value no measurement gives a verdict.",
            )
        )
        tried = [r for r in remedies(inspection, balls) if r.quantity == finding.quantity]
        points += [remedy.words for remedy in tried if remedy.works]
        if not any(remedy.works for remedy in tried):
            points.append("None of the remedies tried alone would settle it; combine them.")
    return section("What would turn “not proven” into a verdict", bulleted(points))


def _remarks(inspection: Inspection, job: Job | None) -> Html | str:
    told = [*inspection.remarks()]
    if job is not None and job.invented:
        told.insert(0, "Invented example: no such part, shop or lathe exists.")
    if inspection.notes:
        told.append(shorten(inspection.notes, 300))
    return clamp(sentence(bold("Remarks: "), " ".join(told)), 4) if told else ""


def _signatures(inspection: Inspection) -> tuple[object, ...]:
    return (
        f"Measured by: {shorten(inspection.measured_by, 40)}",
        f"Date: {shorten(inspection.date, 20)}",
        "Checked by:",
        "Date:",
    )


def _length(length: float, unit: str) -> str:
    return f"{length:.{places_written(unit)}f} {unit}"
