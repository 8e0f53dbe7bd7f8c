"""The setup sheet: one printed page to carry to the lathe."""

from __future__ import annotations

import math
import os
import re
from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

from tapertrig.angle import Angle
from tapertrig.budget import RESTS_ON, RESTS_ON_TYPICAL, not_of_now, proves
from tapertrig.budget.routes import RESTS_ON_TAPER
from tapertrig.cautions import MACHINE
from tapertrig.job import Job, Pass, Plan
from tapertrig.job.carried import heading, job_number, last_minute, reading_step
from tapertrig.job.plan import angle_text
from tapertrig.lathe import (
    REACH_SLACK,
    READING,
    READING_EXAMPLES,
    READING_REFUSED,
    UNIT_WORDS,
    Dial,
    between,
    figure_text,
    length_text,
    places_written,
)
from tapertrig.next_tap import (
    LEAST_RIM,
    LIMITS,
    WORDS,
    Target,
    angle_said,
    before_swing,
    length_said,
    set_now,
    set_to,
    tap_of,
)
from tapertrig.printed.page import SHEET_SCRIPTS, Line, Rows, Strong, page, shorten
from tapertrig.procedure import NEVER, TAPER, Procedure, Step, procedure
from tapertrig.setup import AXIAL, BLOCKS, BY_SINE, arc_at_base, cross_travel_by_carriage
from tapertrig.spelled import LARGEST

MOST_PASSES = 12
ROOM_FOR_PASSES = 4
FEWEST_PASSES = 2
SETUPS_SHOWN = 5
# Where there is room, these steps say why: what hands do against their habit.
WHYS = ("run-up", "run", "back-off", "blocks-in", "swing")
ROOM_FOR_WHYS = 2
NOT_GIVEN = "not given"
OLDER = "What was entered and what was filled in cannot be told apart there."
NO_RADIUS = "radius not given"
# What the page says by itself in the browser; what a pass tells it says in the core's words.
SAID = {
    "set": "Set now",
    "typed": "Pass {number}, not kept yet",
    "last": "Pass {number}",
    "keep": "Keep pass {number}",
    "struck": "struck out",
    "proof": "Proof, bolts tight",
    "no_radius": NO_RADIUS,
    "again": "{value} again",
    "other": "Type what the {box} shows, too.",
    "large": "That is more than any dial here shows; look at the point.",
    "kept": "What you keep stays in this browser on this device until you carry it to the job.",
    "not_kept": "This browser keeps nothing for this page: carry the readings to the job before "
    "you close it.",
    "not_proven": "The last pass, bolts tight, does not prove it.",
    "line": "Carried line",
    "earlier": "Readings of another sheet of this job are still in this browser. Their line: ",
    "copied": "Copied.",
    "not_copied": "The browser does not let the page copy: mark the line and copy it by hand.",
}
# The same where the print gives no tolerance, and nothing can be proven.
NOTHING_TO_PROVE = {
    "proof": "Last, bolts tight",
    "not_proven": "No tolerance on the print: nothing is proven.",
}


def setup_sheet(
    job: Job,
    drawing: str | bytes | None = None,
    drawing_words: str = "",
    *,
    paper: str = "any",
    passes: int | None = None,
    cone: int = 0,
) -> str:
    """The setup sheet of one cone of a job as one HTML page for A4 or Letter.

    `drawing` is SVG text, PNG bytes or a PNG data string, and `drawing_words` says what it
    shows. `passes` is the number of rows before the proving row, the passes already taken first;
    when None, as many as the page has room for beside the warnings. Text of the job is escaped
    and cut to what one page holds.
    """
    plan = job.plan(cone)
    steps = procedure(plan)
    marks = list(_marks(job, plan))
    if passes is None:
        passes = max(FEWEST_PASSES, ROOM_FOR_PASSES - len(marks))
    if not isinstance(passes, int) or not 1 <= passes <= MOST_PASSES:
        raise ValueError(f"passes is {passes!r}; it must be a whole number from 1 to {MOST_PASSES}")
    cross, roomy = plan.route in BY_SINE, len(marks) <= ROOM_FOR_WHYS
    live = plan.route != TAPER
    said: set[str] = set()
    return page(
        "setup_sheet.html",
        title=f"Setup sheet: {shorten(job.title, 70) or 'compound slide to an angle'}",
        record=f"setup sheet {job.identity}{f' cone {cone + 1}' if cone else ''}",
        paper=paper,
        script=SHEET_SCRIPTS if live else "print.js",
        facts=_facts(job, plan, cone, passes) if live else None,
        live=live,
        run="Stack" if plan.route == BLOCKS else "Compound dial",
        number=job_number(job),
        small_file=f"{shorten(job.title, 60) or 'setup sheet'} readings.txt",
        cross=cross,
        set_now=set_now(plan, steps),
        before=(before_swing(steps).removesuffix(NEVER), Strong(NEVER)),
        typical=RESTS_ON_TYPICAL,
        job=job,
        unit=plan.lathe.unit,
        marks=marks,
        numbers=_number_rows(plan, steps),
        rests_on="" if steps.proven is None else RESTS_ON if live else RESTS_ON_TAPER,
        why=plan.travel_words,
        asked=_print_rows(job, plan, cone),
        drawing=drawing,
        roomy=roomy,
        drawing_words=drawing_words or "Plan view of the compound slide and the setup triangle.",
        setups=list(_setups(plan)) if cross else (),
        lathe=_lathe(plan),
        prepare=list(_said(steps.of("prepare"), said)),
        cycle=list(_said(steps.of("pass"), said, whys=roomy)),
        ending=[*_said((*steps.of("prove")[:1], *steps.of("finish")), said), *_to_size(plan)],
        reading="Cross dial" if cross else "Stack + needle" if live else "Needle, let out",
        passes=_pass_rows(job, plan, cone, passes),
        set_to=_set_to(job, cone),
        notes=shorten(job.notes, 300),
    )


def to_the_phone() -> str:
    """How a sheet that has been written gets to a phone, where its boxes take readings."""
    hub = os.environ.get("JUPYTERHUB_SERVICE_PREFIX")
    if hub:
        return f"On a phone: log in to the hub, and open it from the list at {hub}tapertrig/."
    return (
        "On a phone it takes readings: send the file as your shop sends files, and open it there "
        "in the browser; a preview may only show the paper."
    )


def _marks(job: Job, plan: Plan) -> Iterator[Line]:
    if job.invented:
        yield Strong("Invented example. "), "No such part, shop or lathe exists."
    if job.older:
        yield Strong("From an older file, check. "), OLDER
    for assumption in plan.assumptions:
        yield Strong("Assumed. " if plan.tolerance_is_assumed else "Not given. "), assumption
    for warning in plan.warnings:
        yield Strong("Look out. "), warning


def _print_rows(job: Job, plan: Plan, cone: int) -> Rows:
    callout, unit = job.callouts[cone], plan.lathe.unit
    if callout.name:
        yield "Cone", shorten(callout.name, 60)
    yield "Callout", f"{shorten(callout.words(), 60)}, {'in' if callout.internal else 'ex'}ternal"
    if callout.named_taper is not None:
        yield "By its name", callout.named_taper.words()
    tolerance = callout.angle_tolerance
    told = tolerance and f"± {angle_text(tolerance)} on the {callout.tolerance_on}"
    yield "Angle tolerance", told or NOT_GIVEN
    face = NOT_GIVEN
    if callout.face_diameter is not None:
        face = length_text(callout.face_diameter, callout.unit)
        limited = callout.diameter_plus is not None and callout.diameter_minus is not None
        if limited:
            places = places_written(callout.unit)
            face += f" +{callout.diameter_plus:.{places}f} / −{callout.diameter_minus:.{places}f}"
        if callout.unit != unit and plan.cone is not None:
            face += f" (is {length_text(plan.cone.face_diameter, unit)})"
        face += "" if limited else ", limits not given"
    yield "Face diameter, sharp", face
    yield "Cone length", _given(None if plan.cone is None else plan.cone.length, unit)


def _given(length: float | None, unit: str) -> str:
    return NOT_GIVEN if length is None else length_text(length, unit)


def _lathe(plan: Plan) -> Line:
    lathe, unit = plan.lathe, plan.lathe.unit
    by_quill = (lathe.quill_slope or 0.0) if plan.route in BY_SINE else 0.0
    slope = Angle.from_radians(math.atan(by_quill)).arc_seconds

    def dial(name: str, one: Dial, backlash: float | None) -> str:
        line, turn = figure_text(one.graduation, unit), figure_text(one.per_turn, unit)
        lost = NOT_GIVEN
        if backlash is not None:
            lost = f"{figure_text(one.reading(backlash), unit)} on the dial"
        reads = f"{one.reads}-reading"
        return f"{name}: {line} {unit} a line, {turn} a turn, {reads}, backlash {lost}. "

    return (
        Strong("Lathe: "),
        shorten(lathe.name, 60) or "name not given",
        ". ",
        dial("Compound dial", lathe.compound_dial, lathe.compound_backlash),
        dial("Cross dial", lathe.cross_dial, lathe.cross_backlash),
        f"Usable compound travel: {_given(lathe.compound_reach, unit)}. ",
        f"Base: zero {lathe.base_zero or NOT_GIVEN}, radius {_given(lathe.base_radius, unit)}.",
        f" Quill's side {angle_said(float(slope))} out of line: in what proves." if slope else "",
    )


def _number_rows(plan: Plan, steps: Procedure) -> Rows:
    unit = plan.lathe.unit
    strong = {"Half angle", "Cross dial must show", "which is", "Compound dial"}
    for name, value in plan.rows():
        yield name, (Strong(value) if name in strong else value)
        if name == "In tolerance between":
            yield "Proven between", Strong(_proven(plan, steps))
    high = 0.0
    if steps.stack is not None:
        blocks = " + ".join(f"{block:g}" for block in steps.stack.blocks)
        yield "Gauge block stack", Strong(f"{length_text(steps.stack.height, unit)}: {blocks}")
    if steps.stack is not None and plan.route == AXIAL:
        high = steps.stack.height
        needle = round(plan.axial_travel - high, places_written(unit)) + 0.0
        wanted = f"{needle:+.{places_written(unit)}f} {unit}"
        yield "Needle at the half angle", wanted.replace("-", "−")
    if plan.route not in BY_SINE:
        for name, window in (
            ("Needle, in tolerance between", steps.in_tolerance),
            ("Needle, proven between", steps.proven),
        ):
            if window is not None:
                ends = between((window[0] - high, window[1] - high), unit)
                yield name, ends.replace("-", "−")
    radius, minute = plan.lathe.base_radius, Angle.from_dms(0, 1)
    if radius is not None:
        arc = length_text(arc_at_base(minute, radius), unit, places_written(unit) + 1)
        yield "One minute at the base's edge", arc


def _proven(plan: Plan, steps: Procedure) -> str:
    if plan.tolerance_is_assumed:
        return "nothing to prove: no tolerance on the print"
    if steps.proven is None:
        return "none: the check is not sure enough for this tolerance"
    return between(steps.proven, plan.lathe.unit)


def _setups(plan: Plan) -> Rows:
    unit, travel = plan.lathe.unit, round(plan.compound_travel, 12)
    rows = sorted(plan.setups, key=lambda row: row.compound_travel != travel)
    for row in rows[:SETUPS_SHOWN]:
        chosen = row.compound_travel == travel
        yield (
            f"{length_text(row.compound_travel, unit)}{', chosen' if chosen else ''}",
            length_text(row.cross_reading, unit),
            f"{abs(row.angle_error):.1f}″",
            f"{row.sensitivity:.0f}″",
        )


def _said(steps: tuple[Step, ...], said: set[str], whys: bool = False) -> Iterator[Line]:
    """Steps in words. A caution of the list that stands below is said where it is first needed."""
    for step in steps:
        line: tuple[str, ...] = (step.words,)
        if step.action.verb == "read":
            line += (" ", Strong(step.expect))
        cautions = [one for one in re.findall(r"[^.]+\.", step.caution) if one.strip() not in said]
        said |= {one.strip() for one in cautions} & set(MACHINE)
        if cautions:
            line += (" ", Strong("".join(cautions).strip()))
        yield (*line, f" {step.why}") if whys and step.id in WHYS else line


def _to_size(plan: Plan) -> Iterator[Line]:
    lathe, unit = plan.lathe, plan.lathe.unit
    size = 0.001 if unit == "in" else 0.01
    small = figure_text(size, unit)
    dial = figure_text(lathe.cross_dial.reading(size / 2), unit)
    carriage = size / 2 / float(cross_travel_by_carriage(1.0, plan.half_angle))
    yield (
        f"{'Bore' if plan.internal else 'Turn'} the cone. For {small} {unit} of face diameter move "
        f"the cross slide {dial} on its dial, or the carriage {length_text(carriage, unit)}; "
        "feeding the compound only follows the cone."
    )


def _told(job: Job, cone: int) -> dict[str, str]:
    """What the page says by itself, for this print."""
    return SAID | (NOTHING_TO_PROVE if job.asked(cone).half_angle_tolerance is None else {})


def _ends(job: Job, one: Pass) -> bool:
    """Whether a pass has its place in the last row: it proves, or is tight with naught to prove."""
    nothing = job.asked(one.aim.cone).half_angle_tolerance is None and not not_of_now(job, one)
    return proves(job, one) or (nothing and one.bolts == "tight")


def _pass_rows(job: Job, plan: Plan, cone: int, rows: int) -> Rows:
    taken = list(job.standing(cone))
    proof = taken.pop() if taken and _ends(job, taken[-1]) else None
    for number, one in list(enumerate(taken, 1))[-rows:]:
        yield str(number), *_pass_cells(job, one, plan)
    for number in range(len(taken) + 1, rows + 1):
        yield (str(number),)
    yield _told(job, cone)["proof"], *(() if proof is None else _pass_cells(job, proof, plan))


def _pass_cells(job: Job, one: Pass, plan: Plan) -> tuple[str, ...]:
    """What a pass tells by the print as it now is, in the words of the core, cell by cell."""
    tap, unit, aim = tap_of(job, one), one.unit, one.aim.half_angle
    other = "" if one.aim.route == plan.route else f" ({one.aim.route})"
    was = "" if aim == plan.half_angle else f" (aim was {angle_text(aim)})"
    swing, rim = tap.way and f"{tap.way} {angle_said(tap.missing)}", NO_RADIUS
    if tap.rim is not None:
        seen = tap.way and abs(tap.rim) >= LEAST_RIM[unit]
        rim = f"{tap.way} {length_said(tap.rim, unit)} {unit}" if seen else WORDS["nothing"]
    return (
        length_text(one.compound_reading, unit),
        length_text(one.reading, unit) + other,
        tap.now,
        (swing or WORDS["nothing"]) + was,
        rim,
        one.bolts,
    )


def _facts(job: Job, plan: Plan, cone: int, rows: int) -> dict[str, Any]:
    """All that the page's script knows: what a pass is judged by, the words, the passes so far."""
    lathe, unit, standing = plan.lathe, plan.lathe.unit, job.standing(cone)
    head, step = heading(job, cone), reading_step(unit)
    dials = {
        name: {"turn": dial.per_turn, "said": figure_text(dial.per_turn, unit)}
        for name, dial in (("compound", lathe.compound_dial), ("cross", lathe.cross_dial))
    }
    dials["stack"] = dials["needle"] = {"turn": 0.0, "said": ""}
    return {
        "key": f"{job.identity} {'-'.join(map(str, head))}",
        "heading": head,
        "target": Target.of(job, cone).facts(),
        "words": WORDS,
        "limits": LIMITS,
        "dials": dials,
        "read": {
            "pattern": READING,
            "refused": READING_REFUSED,
            "example": READING_EXAMPLES[unit],
            "slack": REACH_SLACK,
            "units": UNIT_WORDS,
        },
        "scale": round(1 / step),
        "largest": LARGEST,
        "rows": rows,
        "since": last_minute(job),
        "taken": [(_pass_cells(job, one, plan), _ends(job, one)) for one in standing],
        "last": asdict(tap_of(job, standing[-1])) if standing else None,
        "said": _told(job, cone),
    }


def _set_to(job: Job, cone: int) -> Line:
    if said := set_to(job, cone):
        head, comma, rest = said.partition(",")
        return Strong(head), comma + rest
    standing = job.standing(cone)
    if standing and standing[-1].bolts == "tight":
        why = not_of_now(job, standing[-1])
        return f"Not proven: {why}." if why else _told(job, cone)["not_proven"]
    return ""
