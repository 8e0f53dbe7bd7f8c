"""The review of a bench's log: what was done well, what was not, and what that did to the angle."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from tapertrig.angle import Angle
from tapertrig.bench.bench import ROUNDING, Bench, Step, angle_words, overrun_words, past_end
from tapertrig.bench.lost_motion import SCREWS, reversal_cost
from tapertrig.bench.state import BenchState, Pass
from tapertrig.lathe import length_text
from tapertrig.procedure import AXIAL, BLOCKS, TAPER, procedure
from tapertrig.setup import half_angle_from

REVERSAL = "reversal inside the backlash"
NULL_AT_ONE_END = "null read at one end only"
ZEROED_EARLY = "indicator zeroed before backlash was out"
PAST_REACH = "travel past reach"
NOT_PROVED = "snug not followed by a proving pass"
CARRIAGE_LOOSE = "carriage loose"
DIAMETER_AS_RADIUS = "diameter dial read as radius"
RADIUS_AS_DIAMETER = "radius dial read as diameter"
WRONG_WAY = "correction swung the wrong way"
TRAVEL_NOT_READ = "compound travel not read from its dial"
OVERRUN = "indicator driven past its range"

REMEDIES: dict[str, str] = {
    REVERSAL: "Go well past on the side you came from, more than the backlash, and come back onto "
    "the line or the null; approach both ends of the check the same way on each screw.",
    NULL_AT_ONE_END: "Zero the indicator and both dials at the first end after every swing and "
    "every snugging up, and bring the needle back to that zero at the second end.",
    ZEROED_EARLY: "Turn each handwheel the way it will run until its slide moves, and zero only "
    "then.",
    PAST_REACH: "Choose the first end so that the whole travel lies within the slide's reach.",
    NOT_PROVED: "Snug up, then run the whole check once more; only that pass proves the angle.",
    CARRIAGE_LOOSE: "Lock the carriage before the indicator is zeroed and leave it locked.",
    DIAMETER_AS_RADIUS: "This cross dial shows twice the slide's movement: halve what it reads.",
    RADIUS_AS_DIAMETER: "This cross dial shows the slide's movement itself: do not halve it.",
    WRONG_WAY: "Angle read too small: swing further. Angle read too large: swing back.",
    TRAVEL_NOT_READ: "Work with the travel that the compound dial shows.",
    OVERRUN: "Back off past the zero and one turn more before the compound goes back or is swung.",
}
MISTAKES = tuple(REMEDIES)
# The step of the procedure that was not done as it says.
_STEP_OF = {
    REVERSAL: "null-again",
    NULL_AT_ONE_END: "read",
    ZEROED_EARLY: "start",
    PAST_REACH: "witness",
    NOT_PROVED: "tighten",
    CARRIAGE_LOOSE: "place",
    DIAMETER_AS_RADIUS: "read",
    RADIUS_AS_DIAMETER: "read",
    WRONG_WAY: "swing",
    TRAVEL_NOT_READ: "run",
    OVERRUN: "back-off",
}
_ON_AXIAL = {"null-again": "run", "place": "lock-carriage"}


@dataclass(frozen=True, slots=True)
class Finding:
    """One mistake where it was made: step of the log, pass it spoilt (None: no pass).

    `lost` is the handwheel movement that moved nothing (backlash mistakes only). `effect` is what
    the mistake alone does to the angle read, positive when it reads too large; None when there is
    nothing to count it by. `expected` is the step of the procedure that asked for something else.
    """

    mistake: str
    step: int
    sentence: str
    pass_number: int | None = None
    screw: str | None = None
    lost: float | None = None
    effect: Angle | None = None
    expected: str = ""

    @property
    def minutes(self) -> float | None:
        """The effect in minutes of arc."""
        return None if self.effect is None else self.effect.minutes

    @property
    def remedy(self) -> str:
        """What to do instead."""
        return REMEDIES[self.mistake]


@dataclass(frozen=True, slots=True)
class Review:
    """Findings in the order of the log, what was done well, and remarks on the bench itself."""

    findings: tuple[Finding, ...]
    well_done: tuple[str, ...]
    remarks: tuple[str, ...]

    @property
    def mistakes(self) -> tuple[str, ...]:
        """The names of the mistakes made, each once, in the order of the log."""
        return tuple(dict.fromkeys(finding.mistake for finding in self.findings))


def _effect_words(effect: Angle | None) -> str:
    if effect is None:
        return ""
    if abs(effect.minutes) < 0.05:
        return " Here it changes the angle read by less than a tenth of a minute."
    size = "large" if effect.arc_seconds > 0 else "small"
    return f" The angle reads {angle_words(abs(effect))} too {size}."


def _of_line(
    mistake: str,
    step: int,
    line: Pass,
    words: str,
    screw: str | None = None,
    lost: float | None = None,
    effect: Angle | None = None,
) -> Finding:
    """A finding about one pass, with what it does to the angle read."""
    sentence = f"Pass {line.number}: {words}{_effect_words(effect)}"
    return Finding(mistake, step, sentence, line.number, screw, lost, effect)


class _Reviewer:
    """Walks through a log once, remembering the first end of the check under way."""

    def __init__(self, log: Sequence[Step]) -> None:
        self.log = log
        self.conditions = log[0].state.conditions
        self.unit = self.conditions.lathe.unit
        self.taper = self.conditions.route == TAPER
        # The compound alone is read beside the needle.
        self.axial = self.taper or self.conditions.route == AXIAL
        self.screws = SCREWS[:1] if self.axial else SCREWS
        self.zeroed: dict[str, int] = {}
        self.read_at = 0
        self.measured = False

    def findings(self) -> Iterator[Finding]:
        for number in range(1, len(self.log)):
            step, before = self.log[number], self.log[number - 1].state
            kind = step.action.kind
            if step.state.overrun:
                stopped = overrun_words(step.state).removeprefix(" Stopped: ")
                yield Finding(OVERRUN, number, f"Step {number}: {stopped}")
            if step.state.half_angle != before.half_angle:
                self.zeroed.clear()
            if kind.startswith("zero"):
                self.zeroed[kind.split()[1]] = number
            elif kind == "read":
                yield from self._of_pass(number)
                self.read_at, self.measured = number, True
            elif kind == "swing":
                yield from self._of_swing(number)
                self.measured = False
        yield from self._of_snugging()

    def _of_pass(self, number: int) -> Iterator[Finding]:
        state = self.log[number].state
        line = state.passes[-1]
        first = min(self.zeroed.values(), default=self.read_at)
        fault = self._fault_at_first_end()
        if fault:
            yield _of_line(NULL_AT_ONE_END, number, line, f"{fault}.")
        else:
            for screw in self.screws:
                yield from self._of_slack(number, screw)
        yield from self._of_second_null(number, not fault)
        yield from self._of_carriage(first, number, not fault)
        yield from self._of_travel(first, number)
        if not self.axial:
            yield from self._of_cross_dial(number)

    def _fault_at_first_end(self) -> str:
        missing = [name for name in ("indicator", *self.screws) if name not in self.zeroed]
        if missing:
            names = " and ".join(f"{n} dial" if n in SCREWS else n for n in missing)
            return f"the {names} was not zeroed at the first end after the slide last swung"
        at_zero = self.log[self.zeroed["indicator"]].state
        if at_zero.indicator.value is None:
            return f"the indicator was {at_zero.indicator.words} when it was zeroed"
        for screw in self.screws:
            at_ring = self.log[self.zeroed[screw]].state
            quarter = self.conditions.dial(screw).movement_per_graduation / 4
            if abs(at_ring.screw(screw).nut - at_zero.screw(screw).nut) > quarter:
                return f"a slide moved between zeroing the indicator and zeroing the {screw} dial"
        return ""

    def _effect(self, number: int, screw: str, more: float) -> Angle | None:
        """What `more` handwheel than slide, signed as the handwheel, does to the angle read."""
        at_ring, now = self.log[self.zeroed[screw]].state, self.log[number].state
        alpha, at_compound = now.half_angle, self.log[self.zeroed["compound"]].state.compound
        if screw == "compound":
            travel = abs(now.compound.handwheel - at_compound.handwheel)
        else:
            travel = abs(now.compound.nut - at_compound.nut)
        way = math.copysign(1.0, now.screw(screw).handwheel - at_ring.screw(screw).handwheel)
        if travel <= abs(more) or self.taper:
            return None
        if self.axial:
            cosine = math.cos(alpha) * (1 - more * way / travel)
            return Angle.from_radians(math.acos(min(cosine, 1.0)) - alpha)
        try:
            return Angle.from_radians(float(reversal_cost(more * way, travel, alpha, screw)))
        except ValueError:
            return None

    def _of_slack(self, number: int, screw: str) -> Iterator[Finding]:
        zero_step = self.zeroed[screw]
        lost_motion = self.conditions.backlash(screw)
        near = ROUNDING * self.conditions.reach(screw)
        if lost_motion <= 2 * near:
            return
        slack_then = self.log[zero_step].state.screw(screw).slack
        slack_now = self.log[number].state.screw(screw).slack
        more = slack_now - slack_then
        line = self.log[number].state.passes[-1]
        early = near < slack_then < lost_motion - near
        turned_back = abs(more) > near and (not early or near < slack_now < lost_motion - near)
        if not early and not turned_back:
            return
        effect = self._effect(number, screw, more)
        dial = self.conditions.dial(screw)
        lost = length_text(float(dial.reading(abs(more))), self.unit)
        if early:
            words = (
                f"the {screw} screw's backlash was not out when the zero was set at step "
                f"{zero_step}; {lost} on its dial then moved nothing."
            )
            yield _of_line(ZEROED_EARLY, zero_step, line, words, screw, abs(more), effect)
        if turned_back:
            step = self._last_turn(zero_step, number, screw)
            words = (
                f"at step {step} the {screw} screw was turned back inside its backlash; {lost} on "
                "its dial moved nothing."
            )
            yield _of_line(REVERSAL, step, line, words, screw, abs(more), effect)

    def _last_turn(self, first: int, number: int, screw: str) -> int:
        return next(
            (n for n in range(number, first, -1) if self.log[n].action.kind == f"turn {screw}"),
            number,
        )

    def _of_second_null(self, number: int, zeroed: bool) -> Iterator[Finding]:
        state = self.log[number].state
        line = state.passes[-1]
        if line.at_null or line.axial is not None:
            return
        effect = None
        # Off the quill the needle says nothing, and neither does what the slide lacks to the null.
        if zeroed and state.indicator.value is not None:
            effect = self._effect(number, "cross", state.deflection - state.indicator_zero)
        verb = "was" if state.indicator.value is None else "read"
        words = f"the dials were read while the indicator {verb} {line.indicator}, not at its null."
        yield _of_line(NULL_AT_ONE_END, number, line, words, effect=effect)

    def _of_carriage(self, first: int, number: int, zeroed: bool) -> Iterator[Finding]:
        if self.axial:
            first = self.zeroed.get("indicator", first)
        loose = [n for n in range(first, number + 1) if not self.log[n].state.locked]
        if not loose:
            return
        then, now = self.log[first].state, self.log[number].state
        effect = None
        if zeroed and not self.axial:
            then = self.log[self.zeroed["indicator"]].state
            slope = self.conditions.quill_slope
            more = (now.stray - then.stray) - slope * (now.carriage - then.carriage)
            effect = self._effect(number, "cross", more)
        words = "the carriage was loose and strayed as the handwheels were turned."
        yield _of_line(CARRIAGE_LOOSE, loose[0], now.passes[-1], words, effect=effect)

    def _of_travel(self, first: int, number: int) -> Iterator[Finding]:
        line = self.log[number].state.passes[-1]
        dial = self.conditions.lathe.compound_dial
        travel = abs(float(dial.movement(line.compound_reading)))
        most = dial.movement_per_graduation / 2 * (1 + 1e-9)
        differs = self.conditions.route != BLOCKS and abs(line.travel - travel) > most
        effect = None
        if differs and line.implied is not None and not self.axial:
            reads = self.conditions.lathe.cross_dial.reads
            effect = _apart(_implied(line.travel, line, reads), _implied(travel, line, reads))
        worked = (
            f" The angle was worked out with {length_text(line.travel, self.unit)}, the dial says "
            f"{length_text(travel, self.unit)}."
            if differs
            else ""
        )
        stopped = False
        for n in range(first + 1, number):
            over = past_end(self.log[n - 1].state, self.log[n].action)
            if over:
                screw = self.log[n].action.kind.split()[1]
                words = (
                    f"at step {n} the {screw} slide was asked to go {length_text(over, self.unit)} "
                    "past its reach and came up solid."
                )
                if screw == "compound":
                    stopped = True
                    yield _of_line(PAST_REACH, n, line, words + worked, screw, effect=effect)
                else:
                    yield _of_line(PAST_REACH, n, line, words, screw)
        if differs and not stopped:
            yield _of_line(TRAVEL_NOT_READ, number, line, worked.lstrip(), effect=effect)

    def _of_cross_dial(self, number: int) -> Iterator[Finding]:
        line = self.log[number].state.passes[-1]
        reads = self.conditions.lathe.cross_dial.reads
        if line.read_as == reads:
            return
        effect = _apart(line.implied, _implied(line.travel, line, reads))
        if reads == "diameter":
            mistake = DIAMETER_AS_RADIUS
            words = "taken for slide movement; this dial shows twice that"
        else:
            mistake = RADIUS_AS_DIAMETER
            words = "halved as if it showed twice the slide movement; this dial shows it once"
        nothing = " So taken, the readings make no triangle." if line.implied is None else ""
        read = length_text(abs(line.cross_reading), self.unit)
        words = f"{read} on the cross dial was {words}.{nothing}"
        yield _of_line(mistake, number, line, words, "cross", effect=effect)

    def _of_swing(self, number: int) -> Iterator[Finding]:
        if not self.measured:
            return
        line, asked = self.log[number].state.passes[-1], self.log[number].action.value
        needed = line.swing_needed
        # Which way a swing smaller than that should go, a pass can hardly tell.
        if needed is None or abs(needed) <= self.conditions.farthest_out().half():
            return
        if asked * needed.arc_seconds < 0:
            wanted = "further" if asked < 0 else "back"
            yield Finding(
                WRONG_WAY,
                number,
                f"Step {number}: pass {line.number} asked for "
                f"{angle_words(abs(needed))} {wanted}; the compound was tapped the "
                "other way.",
            )

    def _of_snugging(self) -> Iterator[Finding]:
        last = self.log[-1]
        if not last.state.passes:
            return
        if not last.state.snugged:
            yield Finding(
                NOT_PROVED, last.number, "The compound was left without its bolts snugged up."
            )
        elif not last.state.passes[-1].snugged or self.read_at < self._last_snug():
            yield Finding(
                NOT_PROVED,
                self._last_snug(),
                f"The bolts were snugged up at step {self._last_snug()} and no pass after that "
                "shows where the compound went.",
            )

    def _last_snug(self) -> int:
        """The step at which the compound last became snug."""
        return next(
            n
            for n in range(len(self.log) - 1, 0, -1)
            if self.log[n].state.snugged and not self.log[n - 1].state.snugged
        )


def _implied(travel: float, line: Pass, read_as: str) -> Angle | None:
    movement = abs(line.cross_reading) / (2 if read_as == "diameter" else 1)
    return half_angle_from(travel, movement) if 0 < movement < travel * (1 - 1e-12) else None


def _apart(wrong: Angle | None, right: Angle | None) -> Angle | None:
    """What a wrong angle is out by; None where there is no triangle for one of them."""
    return None if right is None or wrong is None else wrong - right


_WELL_DONE = (
    (CARRIAGE_LOOSE, "Carriage locked."),
    (ZEROED_EARLY, "Backlash out before anything was zeroed."),
    (REVERSAL, "Both ends come to the same way."),
    (NULL_AT_ONE_END, "Read from null to null."),
    (PAST_REACH, "Travel within reach."),
    (NOT_PROVED, "A pass read after tightening."),
    (OVERRUN, "Tip clear whenever the compound went back or was swung."),
)


def _log_of(bench: Bench | Sequence[Step]) -> tuple[Step, ...]:
    log = bench.log if isinstance(bench, Bench) else tuple(bench)
    if not log or log[0].action.kind != "start":
        raise ValueError("a log begins with its start, step 0; give bench.log, or bench.log[:20]")
    return log


def error_sources(bench: Bench | Sequence[Step]) -> tuple[tuple[str, Angle], ...]:
    """What the slide's error is made of: names and shares, positive where it is made too large.

    What the last pass had left, what misled that pass (read too large, the slide ends too small)
    and what turned the slide after it: together true less wanted, each taken on top of those
    before it. Plane geometry. Empty without a pass read from a zeroed indicator, along a taper too.
    """
    log = _log_of(bench)
    last, conditions = log[-1].state, log[-1].state.conditions
    if not last.passes or conditions.route == TAPER:
        return ()
    line = last.passes[-1]
    zeros = [n for n in range(1, line.step) if log[n].action.kind == "zero indicator"]
    then, now = log[zeros[-1] if zeros else 0].state, log[line.step].state
    alpha, implied, run = (
        now.half_angle,
        line.implied,
        now.slide("compound") - then.slide("compound"),
    )
    if not zeros or implied is None or then.half_angle != alpha or not run:
        return ()
    axial, slope = conditions.route == AXIAL, conditions.quill_slope
    across = conditions.outward * run * math.sin(alpha)
    first, second = now.indicator_zero - then.deflection, now.deflection - now.indicator_zero
    strayed, carried = now.stray - then.stray, now.carriage - then.carriage

    def of_screw(name: str, sign: float, reading: float, taken: float) -> list[tuple[str, float]]:
        read = float(conditions.dial(name).movement(abs(reading)))
        slide, (was, here) = now.slide(name) - then.slide(name), (then.screw(name), now.screw(name))
        nut, handwheel = here.nut - was.nut, here.handwheel - was.handwheel
        return [
            (f"{name} screw", sign * (nut - slide)),
            (f"backlash, {name} screw", sign * (handwheel - nut)),
            (f"{name} dial between lines", read - sign * handwheel),
            (f"{name} dial taken wrongly", taken - read),
        ]

    along = of_screw("compound", math.copysign(1.0, run), line.compound_reading, line.travel)
    if conditions.route == BLOCKS:
        along[2:] = [("blocks and stop", sum(more for _name, more in along[2:]))]
    if axial:
        moved = now.slide("cross") - then.slide("cross")
        side, measured = abs(run * math.cos(alpha)), line.axial or 0.0
        beside = [
            ("face out of square", slope * (across + strayed - moved)),
            ("carriage loose", -carried),
            ("null, first end", first),
            ("needle, second end", second + measured + then.stack - now.stack),
        ]
    else:
        measured = abs(line.cross_reading) / (2 if line.read_as == "diameter" else 1)
        side, sign = abs(across), math.copysign(1.0, across)
        beside = [
            ("quill out of parallel", -sign * slope * (now.tool_axial - then.tool_axial)),
            ("carriage loose", sign * strayed),
            ("null, first end", sign * first),
            ("null, second end", sign * second),
            *of_screw("cross", sign, line.cross_reading, measured),
        ]
    angle, travel, told = alpha, abs(run), math.acos if axial else math.asin
    shares = [(f"left by pass {line.number}", implied.radians - conditions.half_angle.radians)]
    for name, more in (*along, *beside):
        travel, side = (travel + more, side) if (name, more) in along else (travel, side + more)
        read_as = told(min(max(side / travel, -1.0), 1.0))
        shares.append((name, angle - read_as))
        angle = read_as
    for name, kind in (("taps after it", "swing"), ("bolts drawn up after it", "snug")):
        turned = (
            log[n].state.half_angle - log[n - 1].state.half_angle
            for n in range(line.step + 1, len(log))
            if log[n].action.kind == kind
        )
        shares.append((name, sum(turned)))
    return tuple((name, Angle.from_radians(share)) for name, share in shares)


def review(bench: Bench | Sequence[Step]) -> Review:
    """Review a bench's work, or its log up to any step, as if the work ended there."""
    log = _log_of(bench)
    state: BenchState = log[-1].state
    conditions, steps = state.conditions, procedure(state.conditions)

    def with_step(finding: Finding) -> Finding:
        asked = _STEP_OF[finding.mistake]
        if conditions.route == AXIAL or (conditions.route == TAPER and asked == "null-again"):
            asked = _ON_AXIAL.get(asked, asked)
        return replace(finding, expected=steps.step(asked).words)

    found = sorted(_Reviewer(log).findings(), key=lambda finding: finding.step)
    findings = tuple(map(with_step, found))
    if not state.passes:
        return Review(findings, (), ("No pass was read, so there is nothing to review yet.",))
    made = {finding.mistake for finding in findings}
    well_done = tuple(words for mistake, words in _WELL_DONE if mistake not in made)
    slope, remarks = conditions.outward * conditions.quill_slope, conditions.assumed
    if slope and conditions.route != TAPER:
        tilt = Angle.from_radians(abs(math.atan(slope)))
        axial = conditions.route == AXIAL
        what = "face was out of square" if axial else "quill's side was out of parallel"
        too = "large" if (slope > 0) == axial else "small"
        remarks = (
            f"The {what} by {angle_words(tilt)}: every pass read about that much too {too}, and no "
            f"pass on this {'face' if axial else 'quill'} can show it.",
            *remarks,
        )
    return Review(findings, well_done, remarks)
