"""At the lathe: where the slide is by a pass, how much further to swing, and what to do next.

One place for the words, so that a page's script says exactly the same. A `Target` is all that a
pass is judged by, as plain numbers; `Target.facts()` is it for JSON, beside `WORDS`, the
templates, whose {names} are filled in and nothing else. `next_tap` is then written in a script
line for line, because it takes floats alone and every number goes through one of three:

- `figures(value, places)`: n = floor(|value| × 10^places + ½), written as a whole number; never a
  language's own rounding, which is half to even here and half up there.
- `length_said`: to 4 places in inches, where the 0 before the point is left out, 3 in millimetres.
- `angle_said`: to a second, n = floor(|seconds| + ½); minutes and seconds of two figures behind
  something, seconds left out when 0: 4′20″, 35″, 1°04′; with `whole`, degrees always: 0°35′.

A dial is read by the pattern `lathe.READING` over the text in small letters (`Dial.read`), whose
refusals are `lathe.READING_REFUSED`.

Formulas: plane trigonometry; how sure, JCGM 100 by `budget.AngleBudget`, whose uncertainty is
√(a/s² + b) over a compound travel s; guard band of ISO 14253-1:2017.
"""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass, replace
from typing import Any

from tapertrig.budget import AngleBudget, not_of_now, proven_pass
from tapertrig.budget.proof import read_on
from tapertrig.job import Job, Pass, Plan
from tapertrig.job.passes import SWEPT
from tapertrig.job.plan import angle_text
from tapertrig.lathe import (
    MEANT_TURNS,
    REACH_SLACK,
    TOO_FAR,
    between,
    length_text,
    places_written,
)
from tapertrig.limits import whole
from tapertrig.procedure import BY_EYE, CROSS, NEVER, Procedure, lead, procedure
from tapertrig.setup import ARC_SECONDS_PER_RADIAN, AXIAL, BLOCKS, BY_SINE, TAPER

PROVES, IN_TOLERANCE, OUT, NO_TOLERANCE = STANDINGS = (
    "proves it",
    "in tolerance, not proven",
    "not in tolerance",
    "no tolerance on the print: nothing to judge",
)
# From here on a reading asks about a lost turn, in arc-seconds; a turn fits that brings it as near
# to the half angle as a base set by eye is.
ASKED_FROM = 3600.0
TURN_MORE_FROM = 1800.0
FITS_WITHIN = float(BY_EYE.arc_seconds)
# Further than this is nothing to tap; a length at the rim below the least is nothing to see.
BASE_FROM = 3 * 3600.0
LEAST_RIM = {"in": 0.0001, "mm": 0.002}
LIMITS = {
    "base_from": BASE_FROM,
    "least_rim": LEAST_RIM,
    "reach_slack": REACH_SLACK,
    "asked_from": ASKED_FROM,
    "turn_more_from": TURN_MORE_FROM,
    "fits_within": FITS_WITHIN,
}
_PER_TRAVEL = (
    "stop by feel",
    "compound dial readings",
    "cross dial readings",
    "axial readings",
    "null",
)

WORDS = {
    **dict(zip(("proves", "in", "out", "no tolerance"), STANDINGS, strict=True)),
    "swing": "{way} {angle}{rim}",
    "further": "further",
    "back": "back",
    "nothing": "nothing",
    "rim": ", {length} {unit} at the rim",
    "no rim": " (the rim's radius is not given)",
    "doubt": "± {angle}{rim}",
    "no triangle": "{side} is {length} {unit} for a compound travel of {travel} {unit}; it must be "
    "the shorter of the two: look at the turns, and at {look}",
    "look cross": "which dial reads diameter",
    "look axial": "the stack and the needle's sign",
    "too far": TOO_FAR,
    "meant turns": MEANT_TURNS,
    "cross": "cross travel",
    "axial": "axial travel",
    "tap": "Swing {way} parallel, about {angle}{rim}: tip clear, light blows, the headstock end of "
    "the slide {side} you.",
    "a turn more": "Back the cross slide off first, a turn more for each half degree. {tap}",
    "begin again": "Set it by the base scale, bolts eased, clear of the {what}, and begin again.",
    "clear cross": "quill",
    "clear axial": "face",
    "further from": "further from",
    "back towards": "back towards",
    "away": "away from",
    "nearer": "towards",
    "ease": "Ease the bolts until light blows move the slide. {tap}",
    "prove": "Tighten the bolts by turns, a little each, and take the proving pass.",
    "proven": "Proven: leave it.",
    "chase": "What is missing is less than the reading's own doubt, and tapping chases the reading:"
    " {then}",
    "then longer": "run a longer travel, or read finer, before you tap again.",
    "then tighten": "tighten the bolts by turns, and pass once more.",
    "then leave": "leave it.",
    "asks": "More than a degree from what was aimed at. Look at the base before you swing. If it "
    "shows about {aimed}, a reading is wrong{why} If it shows about {stands}, it was set wrong, or "
    "the print was typed wrong; if the print does ask for {aim}: {tap}",
    "lost": ". Was a turn lost, {turns}? Count again.",
    "no turn": ", and no lost turn tells it: look at {look}.",
    "base": "{degrees}°",
    "no base": "{degrees}° from parallel",
    "other aim": "This pass was taken for {was}; the print asks for {aim} now.",
    "slope": "The quill's side is {angle} out of line by the lathe book: the slide stands that "
    "much {way} than read. Nothing is corrected by it; the doubt counts it.",
    "steeper": "further from parallel",
    "shallower": "nearer to parallel",
    "not of now": "Nothing is judged: {why}. Take a pass for the job as it is now.",
    "or": " or ",
    "compound more": "one compound turn more than counted",
    "compound less": "one compound turn less than counted",
    "cross more": "one cross turn more than counted",
    "cross less": "one cross turn less than counted",
    "hides": "One compound turn miscounted is only {angle} here and may pass for a swing: count "
    "aloud, and measure the travel with a rule.",
    "set to": "Slide set to {now}, proven within ± {within} of {aim} by the last pass, bolts "
    "tight. It proves the slide, not the part.",
    "cannot": "No reading of this check can prove ± {tolerance}: run a longer travel, or read "
    "finer.",
}


@dataclass(frozen=True)
class Target:
    """What a pass is judged by. Angles in arc-seconds, lengths in `unit`; None is not given.

    `aim` and `within` are the half angle and its tolerance as they are said. The factors are what
    a dial shows for a slide movement of 1, the turns slide movement in one turn. A check over a
    compound travel s is √(`per_travel`/s² + `fixed`) uncertain, standard, in radians; `coverage`
    times that is the reading's doubt, and `guard` times that less than the tolerance is proven.
    `slope` is how much further the slide stands than read by the quill's measured slope, `base`
    what the base was set to. `reach` is the longest travel that
    can have been made; a pass already taken has none.
    """

    half_angle: float
    aim: str
    tolerance: float | None
    within: str
    internal: bool
    route: str
    unit: str
    compound_factor: int
    cross_factor: int
    compound_turn: float
    cross_turn: float
    base_radius: float | None
    per_travel: float
    fixed: float
    coverage: float
    guard: float
    base: float
    reach: float | None = None
    base_zero: str | None = None
    slope: float = 0.0

    @classmethod
    def of(cls, job: Job, cone: int = 0, taken: Pass | None = None) -> Target:
        """What the print asks of a cone now, on the job's lathe, or on the dials of a pass."""
        asked = job.asked(taken.aim.cone if taken else cone)
        lathe, route = job.lathe, job.choices.route_for(asked.half_angle)
        if taken is not None:
            lathe, route = read_on(job, taken), taken.aim.route
        if lathe is None:
            raise ValueError("no lathe is given; choose or describe one before a pass")
        if route == TAPER:
            raise ValueError(SWEPT)
        reach = lathe.compound_reach or 1.0
        budget = AngleBudget.on_lathe(lathe, asked.half_angle, reach, route=route)
        parts = {True: 0.0, False: 0.0}
        for group in budget.groups:
            parts[group.name in _PER_TRAVEL] += group.effect**2
        tolerance, by_blocks = asked.half_angle_tolerance, route == BLOCKS
        slope = ARC_SECONDS_PER_RADIAN * math.atan(lathe.quill_slope or 0.0)
        return cls(
            half_angle=float(asked.half_angle.arc_seconds),
            aim=angle_text(asked.half_angle),
            tolerance=None if tolerance is None else float(tolerance.arc_seconds),
            within="" if tolerance is None else angle_text(tolerance),
            internal=asked.internal,
            # By blocks the compound's dial is not asked, and no turn of it can be lost.
            route=CROSS if by_blocks else route,
            unit=lathe.unit,
            compound_factor=1 if by_blocks else lathe.compound_dial.factor,
            cross_factor=lathe.cross_dial.factor,
            compound_turn=0.0 if by_blocks else lead(lathe.compound_dial),
            cross_turn=lead(lathe.cross_dial),
            base_radius=lathe.base_radius,
            per_travel=parts[True] * budget.compound_travel**2,
            fixed=parts[False],
            coverage=budget.factor,
            guard=budget.guard_factor,
            reach=lathe.compound_reach,
            base_zero=job.lathe.base_zero if job.lathe else None,
            slope=0.0 if route == AXIAL else -slope if asked.internal else slope,
            base=float((taken.aim if taken else asked).half_angle.arc_seconds),
        )

    def facts(self) -> dict[str, Any]:
        """All of it as plain values, for a page."""
        return asdict(self)

    def uncertainty(self, compound_travel: float) -> float:
        """Standard uncertainty of the half angle read over a compound travel, arc-seconds."""
        return (
            math.sqrt(self.per_travel / compound_travel / compound_travel + self.fixed)
            * ARC_SECONDS_PER_RADIAN
        )

    def room(self, compound_travel: float) -> float | None:
        """How far from the aim a half angle is proven, arc-seconds; None where none is."""
        u = self.uncertainty(compound_travel)
        if self.tolerance is None or self.tolerance < self.coverage * u:
            return None
        return self.tolerance - self.guard * u


@dataclass(frozen=True)
class Tap:
    """What one reading tells: arc-seconds, and lengths at the base's rim (None: no radius given).

    `missing` is positive where the slide is to swing further. `doubt` is the reading's expanded
    uncertainty, 95 %; `room` as `Target.room`. `asks` is whether a lost turn is asked about and
    `turns` which would tell it. The rest is said: which `way` (empty: neither), how to swing, the
    doubt, what to do `next`, and what else is to be `minded`.
    """

    half_angle: float
    missing: float
    rim: float | None
    doubt: float
    doubt_rim: float | None
    room: float | None
    standing: str
    asks: bool
    turns: tuple[str, ...]
    now: str
    way: str
    swing: str
    doubted: str
    next: str
    minded: tuple[str, ...]

    @property
    def chases(self) -> bool:
        """Whether what is missing is less than the reading's own doubt."""
        return abs(self.missing) < self.doubt


def figures(value: float, places: int) -> str:
    """The size of a number to so many places, half a place upwards: see the module."""
    whole("places", places, 0, 12, 4)
    count = str(math.floor(abs(value) * 10**places + 0.5)).rjust(places + 1, "0")
    return f"{count[:-places]}.{count[-places:]}" if places else count


def length_said(length: float, unit: str) -> str:
    """The size of a length as it is said, without its unit: .0031, or 0.079 in millimetres."""
    said = figures(length, places_written(unit))
    return said[1:] if unit == "in" and said.startswith("0.") else said


def angle_said(seconds: float, whole: bool = False) -> str:
    """The size of an angle of so many arc-seconds: 4′20″, 35″, 1°04′; with `whole`, 0°04′20″."""
    count = math.floor(abs(seconds) + 0.5)
    degrees, minutes, rest = count // 3600, count // 60 % 60, count % 60
    said = f"{degrees}°{minutes:02d}′" if whole or degrees else f"{minutes}′" if minutes else ""
    return said + (f"{rest:02d}″" if said else f"{rest}″") * (rest > 0 or not said)


def half_angle_read(target: Target, compound_travel: float, side: float) -> float:
    """Half angle in arc-seconds, asin or acos of side ÷ compound travel; not a number if none."""
    share = side / compound_travel if compound_travel > 0 else math.inf
    if not 0 < share < 1:
        return math.nan
    return (math.asin if target.route == CROSS else math.acos)(share) * ARC_SECONDS_PER_RADIAN


def next_tap(target: Target, compound_reading: float, other: float, tight: bool = False) -> Tap:
    """What a pass tells: `other` is the cross reading, or stack and needle on the axial route.

    ValueError, in words, where the slide cannot go as far or the two make no triangle.
    """
    unit, cross = target.unit, target.route == CROSS
    travel = compound_reading / target.compound_factor
    side = other / target.cross_factor if cross else other
    longest = math.inf if target.reach is None else target.reach * (1 + REACH_SLACK)
    if target.reach is not None and travel > longest:
        ends = {"travel": length_said(travel, unit), "reach": length_said(target.reach, unit)}
        said = WORDS["too far"].format(unit=unit, **ends)
        fits = compound_reading % 1 == 0 and 0 < compound_reading * target.compound_turn <= longest
        if fits and compound_reading > 1:
            said += WORDS["meant turns"].format(turns=figures(compound_reading, 0))
        raise ValueError(said)
    look = WORDS["look cross" if cross else "look axial"]
    now = half_angle_read(target, travel, side)
    if math.isnan(now):
        name = WORDS["cross" if cross else "axial"]
        told = {"length": length_said(side, unit), "travel": length_said(travel, unit)}
        raise ValueError(WORDS["no triangle"].format(side=name, unit=unit, look=look, **told))
    missing, u = target.half_angle - now, target.uncertainty(travel)
    doubt, room, within = target.coverage * u, target.room(travel), target.tolerance
    rim, doubt_rim = (_arc(target, seconds) for seconds in (missing, doubt))
    near = room is not None and abs(missing) <= room
    if within is None:
        standing = NO_TOLERANCE
    elif near and tight:
        standing = PROVES
    else:
        standing = IN_TOLERANCE if abs(missing) <= within else OUT

    further = missing > 0
    tap = WORDS["tap"].format(
        way=WORDS["further from" if further else "back towards"],
        angle=angle_said(missing),
        rim=_rim(target, rim),
        side=WORDS["away" if further == target.internal else "nearer"],
    )
    if tight:
        tap = WORDS["ease"].format(tap=tap)
    if abs(missing) > BASE_FROM:
        tap = WORDS["begin again"].format(what=WORDS["clear cross" if cross else "clear axial"])
    elif cross and abs(missing) > TURN_MORE_FROM:
        tap = WORDS["a turn more"].format(tap=tap)
    asks = min(abs(missing), abs(target.base - now)) > ASKED_FROM
    turns = tuple(_lost_turns(target, travel, side)) if asks else ()
    if asks:
        named = WORDS["or"].join(WORDS[turn] for turn in turns)
        why = WORDS["lost" if turns else "no turn"].format(turns=named, look=look)
        shown = {"aimed": _base_said(target, target.base), "stands": _base_said(target, now)}
        then = WORDS["asks"].format(why=why, aim=target.aim, tap=tap, **shown)
    elif near:
        then = WORDS["proven" if tight else "prove"]
    elif abs(missing) < doubt:
        how = "then longer" if within is not None else "then leave" if tight else "then tighten"
        then = WORDS["chase"].format(then=WORDS[how])
    else:
        then = tap

    minded = []
    if within is not None and room is None:
        minded.append(WORDS["cannot"].format(tolerance=target.within))
    if target.slope:
        way = WORDS["steeper" if target.slope > 0 else "shallower"]
        minded.append(WORDS["slope"].format(angle=angle_said(target.slope), way=way))
    hidden = _one_turn(target, travel)
    if 0 < hidden < ASKED_FROM:
        minded.append(WORDS["hides"].format(angle=angle_said(hidden)))
    way, swing = "", WORDS["nothing"]
    if math.floor(abs(missing) + 0.5) > 0:
        way = WORDS["further" if further else "back"]
        swing = WORDS["swing"].format(way=way, angle=angle_said(missing), rim=_rim(target, rim))
    return Tap(
        half_angle=now,
        missing=missing,
        rim=rim,
        doubt=doubt,
        doubt_rim=doubt_rim,
        room=room,
        standing=standing,
        asks=asks,
        turns=turns,
        now=angle_said(now, whole=True),
        way=way,
        swing=swing,
        doubted=WORDS["doubt"].format(
            angle=angle_said(doubt), rim="" if doubt_rim is None else _rim(target, doubt_rim)
        ),
        next=then,
        minded=tuple(minded),
    )


def tap_of(job: Job, taken: Pass) -> Tap:
    """What a pass tells by what the print asks now; its angle is of the dials it was read on.

    One that was aimed at a cone of the other kind, or read on other dials than the job's lathe has
    now, keeps its angle, and says so instead of being judged.
    """
    target = Target.of(job, taken=taken)
    tap = next_tap(target, taken.compound_reading, taken.reading, taken.bolts == "tight")
    if target.base != target.half_angle:
        said = WORDS["other aim"].format(was=angle_text(taken.aim.half_angle), aim=target.aim)
        tap = replace(tap, minded=(said, *tap.minded))
    if why := not_of_now(job, taken):
        told = WORDS["not of now"].format(why=why)
        return replace(tap, standing=why, room=None, next=told, asks=False, turns=(), minded=())
    return tap


def _arc(target: Target, seconds: float) -> float | None:
    radius = target.base_radius
    return None if radius is None else radius * seconds / ARC_SECONDS_PER_RADIAN


def _rim(target: Target, arc: float | None) -> str:
    if arc is None:
        return WORDS["no rim"]
    if abs(arc) < LEAST_RIM[target.unit]:
        return ""
    return WORDS["rim"].format(length=length_said(arc, target.unit), unit=target.unit)


def _base_said(target: Target, seconds: float) -> str:
    """What the base shows at a half angle, as an eye sees it: to a degree."""
    degrees = (324000 - seconds if target.base_zero == "square to bed" else seconds) / 3600
    return WORDS["base" if target.base_zero else "no base"].format(degrees=figures(degrees, 0))


def _lost_turns(target: Target, travel: float, side: float) -> list[str]:
    """Which turns, more or less than counted, bring the reading near what was aimed at."""
    tried = [
        ("compound more", travel + target.compound_turn, side),
        ("compound less", travel - target.compound_turn, side),
    ]
    if target.route == CROSS:
        tried += [
            ("cross more", travel, side + target.cross_turn),
            ("cross less", travel, side - target.cross_turn),
        ]
    return [
        name
        for name, run, moved in tried
        if abs(half_angle_read(target, run, moved) - target.base) <= FITS_WITHIN
    ]


def _one_turn(target: Target, travel: float) -> float:
    """What one compound turn miscounted reads out, arc-seconds: (turn ÷ s) × tan α, or cot α."""
    slope = math.tan(target.half_angle / ARC_SECONDS_PER_RADIAN)
    share = target.compound_turn / travel
    return share * (slope if target.route == CROSS else 1 / slope) * ARC_SECONDS_PER_RADIAN


def set_now(plan: Plan, steps: Procedure | None = None) -> str:
    """One line: what to run, and what must then be read. `steps` are the plan's, where at hand."""
    steps = steps or procedure(plan)
    unit, lathe = plan.lathe.unit, plan.lathe
    run = lathe.compound_dial.words(plan.compound_reading, unit)
    if plan.route == BLOCKS:
        run = f"by the stack of {length_text(plan.compound_travel, unit)}"
    told = f"Run the compound {run}, {steps.run}; "
    if plan.route == TAPER:
        told += "on the mean of two sweeps, spindle half round, the needle must not have moved"
    elif plan.route in BY_SINE:
        shown = lathe.cross_dial.words(plan.cross_reading, unit)
        told += f"the cross dial must show {shown} ({length_text(plan.cross_reading, unit)})"
    else:
        assert steps.stack is not None
        told += (
            f"stack {length_text(steps.stack.height, unit)} and needle together must be "
            f"{length_text(plan.axial_travel, unit)}"
        )
    return told + (f"; proven between {between(steps.proven, unit)}." if steps.proven else ".")


def before_swing(steps: Procedure) -> str:
    """What comes before the slide is swung: the tip clear, and on the axial route the stack out."""
    last = [step.id for step in steps.of("pass")]
    clear = steps.of("pass")[last.index("read") + 1 : last.index("back-off") + 1]
    return " ".join((*(step.words for step in clear), NEVER))


def set_to(job: Job, cone: int = 0) -> str:
    """What the slide is proven to be set to, and within what; empty where nothing is proven."""
    proof = proven_pass(job, cone)
    if proof is None:
        return ""
    tap, target = tap_of(job, proof), Target.of(job, cone)
    return WORDS["set to"].format(now=tap.now, within=target.within, aim=target.aim)
