"""The setup sheet: one printed page to carry to the lathe."""

from __future__ import annotations

from collections.abc import Iterator

from tapertrig.job import Job, Plan
from tapertrig.lathe import length_text, places_written
from tapertrig.printed.page import Line, Rows, Strong, page, shorten
from tapertrig.setup import arc_at_base, cross_travel_by_carriage

MOST_PASSES = 12
ROOM_FOR_PASSES = 6
FEWEST_PASSES = 3
SETUPS_SHOWN = 4


def setup_sheet(
    job: Job,
    drawing: str | bytes | None = None,
    drawing_words: str = "",
    *,
    paper: str = "any",
    passes: int | None = None,
) -> str:
    """The setup sheet of a job as one HTML page for A4 or Letter.

    `drawing` is SVG text, PNG bytes or a PNG data string, and `drawing_words` says what it
    shows. `passes` is the number of blank rows before the proving row; when None, as many as
    the page has room for beside the warnings. Text of the job is escaped and cut to what one
    page holds.
    """
    plan = job.plan()
    marks = _marks(job, plan)
    if passes is None:
        passes = max(FEWEST_PASSES, ROOM_FOR_PASSES - len(marks))
    if not isinstance(passes, int) or not 1 <= passes <= MOST_PASSES:
        raise ValueError(f"passes is {passes!r}; it must be a whole number from 1 to {MOST_PASSES}")
    return page(
        "setup_sheet.html",
        title=f"Setup sheet: {shorten(job.title, 70) or 'compound slide to an angle'}",
        record=f"setup sheet {job.identity}",
        paper=paper,
        job=job,
        unit=plan.lathe.unit,
        marks=marks,
        numbers=_number_rows(plan),
        asked=_print_rows(job, plan),
        drawing=drawing,
        drawing_words=drawing_words or "Plan view of the compound slide and the setup triangle.",
        setups=_setups(plan),
        lathe=_lathe(plan),
        steps=_steps(plan),
        passes=[(str(n),) for n in range(1, passes + 1)] + [("Proof, bolts tight",)],
        divisor="(2 × travel)" if plan.lathe.cross_dial.factor == 2 else "travel",
        notes=shorten(job.notes, 300),
    )


def _marks(job: Job, plan: Plan) -> list[Line]:
    marks = [
        *(("Assumed. ", assumption) for assumption in plan.assumptions),
        *(("Look out. ", warning) for warning in plan.warnings),
    ]
    if job.invented:
        marks.insert(0, ("Invented example. ", "No such part, shop or lathe exists."))
    return [(Strong(word), text) for word, text in marks]


def _print_rows(job: Job, plan: Plan) -> Rows:
    callout, cone = job.callout, plan.cone
    yield "Callout", f"{shorten(callout.words(), 60)}, {'in' if callout.internal else 'ex'}ternal"
    tolerance = callout.angle_tolerance
    if tolerance is not None:
        yield "Angle tolerance", f"± {tolerance} on the {callout.tolerance_on}"
    else:
        yield "Angle tolerance", "none on the print: see “Assumed”"
    yield "Face diameter, sharp", _face_diameter(job, plan)
    if cone.length is not None:
        yield "Cone length", length_text(cone.length, plan.lathe.unit)


def _face_diameter(job: Job, plan: Plan) -> str:
    callout, unit = job.callout, plan.lathe.unit
    text = length_text(callout.face_diameter, callout.unit)
    if callout.diameter_plus is not None and callout.diameter_minus is not None:
        places = places_written(callout.unit)
        text = f"{text} +{callout.diameter_plus:.{places}f} / −{callout.diameter_minus:.{places}f}"
    if callout.unit != unit:
        text += f" (is {length_text(plan.cone.face_diameter, unit)})"
    return text


def _lathe(plan: Plan) -> Line:
    lathe, unit = plan.lathe, plan.lathe.unit
    parts: list[str] = [Strong("Lathe: "), shorten(lathe.name, 60) or "as described", ". "]
    for name, dial, backlash in (
        ("Compound dial", lathe.compound_dial, lathe.compound_backlash),
        ("Cross dial", lathe.cross_dial, lathe.cross_backlash),
    ):
        lost = f", lost motion {dial.reading(backlash):g} on it" if backlash else ""
        parts.append(
            f"{name}: {dial.graduation:g} {unit} a line, {dial.per_turn:g} a turn, "
            f"{dial.reads}-reading{lost}. "
        )
    return tuple(parts)


def _number_rows(plan: Plan) -> Rows:
    strong = {"Half angle", "Cross dial must show", "which is", "Compound dial"}
    for name, value in plan.rows():
        yield name, (Strong(value) if name in strong else value)
    if plan.lathe.base_radius is not None:
        arc = arc_at_base(plan.half_angle.from_dms(0, 1), plan.lathe.base_radius)
        yield "One minute at the base's edge", length_text(arc, plan.lathe.unit)


def _setups(plan: Plan) -> Rows:
    places = places_written(plan.lathe.unit)
    return [
        (
            f"{plan.lathe.compound_dial.reading(row.compound_travel):.{places}f}",
            f"{row.cross_reading:.{places}f}",
            f"{round(row.angle_error, 2) + 0.0:+.2f}″".replace("-", "−"),
        )
        for row in plan.setups
        if row.compound_travel != plan.compound_travel
    ][:SETUPS_SHOWN]


def _steps(plan: Plan) -> Iterator[Line]:
    lathe, unit = plan.lathe, plan.lathe.unit
    # The slide is always run the way that takes the indicator off the quill, so that nothing
    # is crushed and the cross slide can come in, towards the axis, at both ends.
    away, back = "towards the headstock", "towards the tailstock"
    if plan.cone.internal:
        away, back = back, away
    compound = lathe.compound_dial.words(plan.compound_reading, unit)
    low, high = (length_text(reading, unit) for reading in plan.window)
    must = length_text(plan.cross_reading, unit)
    yield f"{plan.swing} Nip the base bolts so that taps still move it."
    yield (
        "Spindle stopped. Extend the quill more than "
        f"{length_text(plan.axial_travel, unit, 2)} and lock it; lock the carriage; wind the slide "
        "through its whole travel by hand: nothing may touch."
    )
    yield (
        "Hold the indicator on the tool post, square to the axis, its tip on the near side of the "
        "quill at centre height."
    )
    yield (
        f"Compound: wind well {back}, then {away} at least half a turn to take up the lost motion; "
        "stop on a line; zero its dial."
    )
    yield (
        "Cross slide: wind out, then in towards the axis until the indicator reads null. Set the "
        "indicator and the cross dial to zero."
    )
    yield (
        f"Compound: go on {away}, never back, by ",
        Strong(compound),
        "; the indicator leaves the quill.",
    )
    yield (
        "Cross slide: wind in, counting turns, until the indicator is null again. Gone past? Wind "
        "out half a turn and come in again. It must show ",
        Strong(must),
        f"; in tolerance from {low} to {high}. Write it in the next box.",
    )
    yield (
        "More than that: swung too far, so swing back towards parallel. Less: swing further. One "
        f"graduation is {plan.sensitivity:.0f}″. Tap; repeat from 4."
    )
    yield (
        "Tighten the base bolts and repeat from 4 once more, to prove that nothing moved. Write it "
        "in the last box."
    )
    thousandth = 0.001 if unit == "in" else 0.01
    dial = lathe.cross_dial.reading(thousandth / 2)
    carriage = thousandth / 2 / float(cross_travel_by_carriage(1.0, plan.half_angle))
    yield (
        f"{'Bore' if plan.cone.internal else 'Turn'} the cone. For {thousandth:g} {unit} of face "
        f"diameter move the cross slide {dial:g} on its dial, or the carriage "
        f"{length_text(carriage, unit)}; feeding the compound only follows the cone."
    )
