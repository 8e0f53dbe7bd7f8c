"""The steps of setting the compound at the machine, once, as data, by every route.

Common practice, no source, and plane trigonometry. The compound always runs the way that takes
the tip off what it bears on; a pass begins and ends with the tip clear.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Protocol

from tapertrig.angle import Angle
from tapertrig.budget import AngleBudget, proving_room, proving_window, route_budget
from tapertrig.cautions import MACHINE
from tapertrig.gauging.blocks import Stack, gauge_stack
from tapertrig.lathe import Dial, Lathe, between, figure_text, length_text, places_written
from tapertrig.limits import one_of
from tapertrig.setup import (
    AXIAL,
    BLOCKS,
    BY_SINE,
    CROSS,
    EVERY_ROUTE,
    TAPER,
    arc_at_base,
    axial_window,
    cross_reading_window,
    set_by_eye_words,
)

PREPARE, PASS, PROVE, FINISH = PHASES = ("prepare", "pass", "prove", "finish")
HEADINGS = {PREPARE: "Get ready", PASS: "A pass", PROVE: "Prove", FINISH: "Finish"}
HEADSTOCK, TAILSTOCK = "towards the headstock", "towards the tailstock"
IN, OUT = "in", "out"
RUN_UP, START, NULL, TRAVEL, CLEAR = (
    "half a turn past the start", "the start", "the null", "the travel", "clear",
)  # fmt: skip
# Common practice, no source: how far out a base set by eye may be, what the carriage is drawn back
# beyond the stack, the most that an indicator can be pushed in, and the backlash allowed for where
# nobody has measured it.
BY_EYE = Angle.from_dms(0, 40)
ROOM = {"in": 0.5, "mm": 12.0}
TIP = {"in": 0.030, "mm": 0.8}
BACKLASH = {"in": 0.020, "mm": 0.5}
NEVER = "Never crank the compound towards a surface that the tip is touching."
BRING_CARRIAGE = "Bring the carriage to where the start lies"
_STOPPED, _KEY, _, _CARRIAGE, _, _SWEEP = MACHINE[:6]


class Setup(Protocol):
    """What the steps are made from: a job's plan, or a bench. Lengths in the lathe's unit."""

    @property
    def lathe(self) -> Lathe: ...
    @property
    def half_angle(self) -> Angle: ...
    @property
    def internal(self) -> bool: ...
    @property
    def route(self) -> str: ...
    @property
    def compound_travel(self) -> float: ...
    @property
    def half_angle_tolerance(self) -> Angle | None: ...


@dataclass(frozen=True, slots=True)
class Move:
    """One thing the hands do: a verb, what to, which way, until when, by how much.

    `by` is slide movement, or the height of the stack, in the lathe's unit; 0 where none is meant.
    """

    verb: str
    on: str
    way: str = ""
    until: str = ""
    by: float = 0.0


@dataclass(frozen=True, slots=True)
class Step:
    """One step: said as at the machine, with what is then seen and what is written down.

    `repeats` is the id of the step of the pass that a step of the proving pass says again.
    """

    id: str
    phase: str
    words: str
    action: Move
    why: str = ""
    caution: str = ""
    expect: str = ""
    record: str = ""
    repeats: str = ""


@dataclass(frozen=True)
class Procedure:
    """The steps in their order, and what they share.

    `run` is the way the compound runs in a pass; `stack` the gauge blocks of the axial route, or
    of the compound's travel; `in_tolerance` and `proven` are the readings (of the cross dial, stack
    and needle, or the needle along a known taper) that keep the half angle within its tolerance and
    that prove it, None where there are none.
    """

    steps: tuple[Step, ...]
    route: str
    run: str
    stack: Stack | None
    in_tolerance: tuple[float, float] | None
    proven: tuple[float, float] | None

    def of(self, phase: str) -> tuple[Step, ...]:
        """The steps of one phase."""
        one_of("phase", phase, PHASES)
        return tuple(step for step in self.steps if step.phase == phase)

    def rows(self, phase: str) -> tuple[tuple[str, str], ...]:
        """The steps of a phase with their numbers, as a lesson lists them."""
        return tuple((f"{at}.", step.words) for at, step in enumerate(self.of(phase), 1))

    def step(self, name: str) -> Step:
        """The step with that id."""
        one_of("step", name, tuple(step.id for step in self.steps))
        return next(step for step in self.steps if step.id == name)


def lead(dial: Dial) -> float:
    """Slide movement in one turn of the handwheel."""
    return float(dial.movement(dial.per_turn))


def back_off_turns(plan: Setup) -> int:
    """Turns of the cross handwheel past zero that clear the tip until it is at the start again.

    One, unless one turn is less than the tip's climb in the half turn past the start, half of what
    the indicator has, the backlash, and what a base set by eye may be out over the run.
    """
    lathe, alpha = plan.lathe, plan.half_angle.radians
    climb = lathe.take_up * math.sin(alpha)
    climb += plan.compound_travel * math.cos(alpha) * BY_EYE.radians
    slack = BACKLASH[lathe.unit] if lathe.cross_backlash is None else lathe.cross_backlash
    needed = climb + TIP[lathe.unit] / 2 + slack
    return max(1, math.ceil(needed / lead(lathe.cross_dial)))


def procedure(plan: Setup) -> Procedure:
    """The steps of a plan: prepare, a pass, the proving pass, finish."""
    return _Writer(plan).write()


class _Writer:
    def __init__(self, plan: Setup) -> None:
        one_of("route", plan.route, EVERY_ROUTE)
        self.plan, self.lathe, self.unit = plan, plan.lathe, plan.lathe.unit
        self.travel, self.alpha = plan.compound_travel, plan.half_angle.radians
        self.blocks, self.taper = plan.route == BLOCKS, plan.route == TAPER
        self.cross = plan.route in BY_SINE
        # Past the axis of a face or along a quill: the run is the one that leaves it. Along a
        # taper the tip follows, from the small end at the tailstock on.
        away_is_tailstock = not self.taper and (plan.internal or not self.cross)
        self.onto, self.off = (OUT, IN) if self.taper and plan.internal else (IN, OUT)
        self.run, self.back = (
            (TAILSTOCK, HEADSTOCK) if away_is_tailstock else (HEADSTOCK, TAILSTOCK)
        )
        self.start_side = self.back.removeprefix("towards the ")
        self.half_turn = self.lathe.take_up
        self.side = self.travel * math.sin(self.alpha)
        self.axial = self.travel * math.cos(self.alpha)
        self.stack = None
        if plan.route in (AXIAL, BLOCKS):
            self.stack = gauge_stack(self.travel if self.blocks else self.axial, self.unit)
        self.windows()

    def windows(self) -> None:
        plan, tolerance = self.plan, self.plan.half_angle_tolerance
        self.assumed = getattr(plan, "tolerance_is_assumed", False)
        self.within = self.proven = None
        if tolerance is None:
            return
        dial = self.lathe.cross_dial
        budget = route_budget(self.lathe, plan.half_angle, self.travel, plan.route)
        if self.taper:
            room = None if self.assumed else proving_room(budget, tolerance)
            self.within = self.let_out(tolerance)
            self.proven = None if room is None else self.let_out(room)
            return
        if self.cross:
            self.within = cross_reading_window(plan.half_angle, tolerance, self.travel, dial)
        else:
            self.within = axial_window(plan.half_angle, tolerance, self.travel)
        # Nothing is proven against a tolerance that nobody has given.
        if not self.assumed and isinstance(budget, AngleBudget):
            self.proven = proving_window(budget, tolerance, dial)

    def let_out(self, most: Angle) -> tuple[float, float]:
        """How much the needle may be let out, or pushed in, along a taper: s sin δ/cos α."""
        end = self.travel * math.sin(most.radians) / math.cos(self.alpha)
        return -end, end

    def write(self) -> Procedure:
        cycle = self.cross_pass if self.cross else self.axial_pass
        steps = [*self.prepare(), *(self.taper_pass() if self.taper else cycle())]
        prove = [
            replace(step, id=f"prove-{step.id}", phase=PROVE, repeats=step.id)
            for step in steps
            if step.phase == PASS and step.id != "swing"
        ]
        return Procedure(
            (*steps, self.tighten(), *prove, *self.finish()),
            self.plan.route,
            self.run,
            self.stack,
            self.within,
            self.proven,
        )

    def text(self, length: float, places: int | None = None) -> str:
        return length_text(length, self.unit, places)

    # -- prepare --------------------------------------------------------------------------

    def prepare(self) -> Iterator[Step]:
        unit, lathe = self.unit, self.lathe
        yield Step(
            "stop", PREPARE, "Stop the spindle and isolate it; chuck key out.",
            Move("check", "spindle"), "Hands go in beside the chuck from here on.",
            f"{_STOPPED} {_KEY}", "The spindle cannot start.",
        )  # fmt: skip
        reach = lathe.compound_reach
        needed = self.text(self.travel + self.half_turn, 2)
        goes = "not given: measure it" if reach is None else self.text(reach, 2)
        yield Step(
            "witness", PREPARE,
            f"Crank the compound fully back and find how far it goes: {needed} is needed. Set its "
            "gibs. Put a witness mark on slide and casting at the start, where the slide is stiff, "
            f"with half a turn or more left before it on the {self.start_side} side.",
            Move("mark", "compound"),
            "The half turn takes up the backlash; the mark finds the start again and shows a lost "
            "turn.",
            expect=f"The slide goes {needed} or more (usable compound travel: {goes}).",
            record="How far the compound goes.",
        )  # fmt: skip
        yield Step(
            "base", PREPARE,
            f"{set_by_eye_words(self.plan.half_angle, self.plan.internal, lathe)} Nip the bolts so "
            "that light blows of a soft hammer still move it.",
            Move("swing", "compound", until="by eye"),
            "Whole degrees are only a beginning: the passes find the rest.",
            expect="The slide stands about there.",
        )  # fmt: skip
        if self.blocks:
            yield self.stop_and_stack()
        prepare = self.cross_prepare if self.cross else self.axial_prepare
        yield from self.taper_prepare() if self.taper else prepare()
        whole = self.travel if reach is None else reach
        beyond = whole * math.sin(self.alpha) + back_off_turns(self.plan) * lead(lathe.cross_dial)
        draw = whole * math.cos(self.alpha) + ROOM[unit]
        words, move = (
            (
                f"Back the cross slide off well clear, {f'{self.off}, ' * self.taper}by "
                f"{self.text(beyond, 2)} or as far as it goes",
                Move("back off", "cross slide", self.off, CLEAR, beyond),
            )
            if self.cross or self.taper
            else (
                f"Draw the carriage back {TAILSTOCK} by {self.text(draw, 2)} or more",
                Move("back off", "carriage", TAILSTOCK, CLEAR, draw),
            )
        )
        yield Step(
            "clear", PREPARE,
            f"{words}; crank the compound by hand through its whole travel.",
            move, "The tip must not reach anything while the compound is cranked to the start.",
            f"{_SWEEP} {NEVER}", "Nothing touches anywhere.",
        )  # fmt: skip

    def stop_and_stack(self) -> Step:
        assert self.stack is not None
        blocks = " + ".join(f"{b:g}" for b in self.stack.blocks)
        return Step(
            "stop-block", PREPARE,
            f"Wring gauge blocks to {self.text(self.stack.height)}: {blocks}. Clamp a stop to the "
            f"compound's lower half, {self.run} of the slide, where the slide meets it bare at the "
            "end of its run, and with the blocks between at the start.",
            Move("check", "blocks", by=self.stack.height),
            "The blocks are the travel: neither the compound's dial nor its screw is asked.",
            expect="The blocks hold together; the stop does not give to a push.",
            record="The stack.",
        )  # fmt: skip

    def taper_prepare(self) -> Iterator[Step]:
        far = "on the far side of the taper, stem towards you; bring it round the small end"
        side = far if self.plan.internal else "on the operator's side"
        yield Step(
            "taper", PREPARE,
            "Put the known taper, or a mating plug, in the spindle or between centres, its small "
            f"end towards the tailstock: {self.text(self.axial, 2)} of its side are swept.",
            Move("check", "taper"),
            "What its own half angle is out goes into the half angle one for one; a tailstock out "
            "of line, too, where it runs between centres.",
            _STOPPED, "It runs true when turned round by hand.",
            "Which taper, and how well its half angle is known.",
        )  # fmt: skip
        yield Step(
            "indicator", PREPARE,
            "Carry the indicator on the tool post, stem square to the axis, its tip at centre "
            f"height {side}.",
            Move("check", "indicator"),
            "That side slopes the way the slide is swung; a tip off centre height follows "
            "another line.",
            expect="The needle is free.",
        )  # fmt: skip
        yield Step(
            "place", PREPARE,
            f"{BRING_CARRIAGE} near the taper's small end, so that the run {self.run} stays on "
            "the taper. Lock the carriage.",
            Move("lock", "carriage"), "A loose carriage strays as the handwheels are turned.",
            _CARRIAGE, "The carriage does not move.",
        )  # fmt: skip

    def cross_prepare(self) -> Iterator[Step]:
        extend = self.text(self.axial + ROOM[self.unit], 2)
        place = "nose" if self.plan.internal else "tailstock end"
        yield Step(
            "quill", PREPARE,
            f"Clamp the tailstock, extend the quill {extend} or more, and lock the quill.",
            Move("lock", "tailstock and quill"),
            f"The tip runs {self.text(self.axial, 2)} along it.", _SWEEP,
            "The quill does not shake.",
        )  # fmt: skip
        yield Step(
            "indicator", PREPARE,
            "Carry the indicator on the tool post, stem square to the quill, its tip at centre "
            "height on the operator's side.",
            Move("check", "indicator"),
            "A leaning stem reads long; a tip off centre height rides round the quill.",
            expect="The needle is free.",
        )  # fmt: skip
        yield Step(
            "bar", PREPARE,
            "Sweep a test bar in the spindle along its side, again with the spindle half round, "
            "and take the mean; back off, and sweep the quill's side: bar and quill must agree. "
            "Take the bar out.",
            Move("check", "quill"),
            "What the quill is out of line with the spindle goes into the half angle one for one.",
            _STOPPED, "Both show the same over the same length.",
            "How far bar and quill differ, over what length.",
        )  # fmt: skip
        yield Step(
            "place", PREPARE,
            f"{BRING_CARRIAGE} near the quill's {place}, so that the "
            f"run {self.run} stays on the quill. Lock the carriage.",
            Move("lock", "carriage"), "A loose carriage strays as the handwheels are turned.",
            _CARRIAGE, "The carriage does not move.",
        )  # fmt: skip

    def axial_prepare(self) -> Iterator[Step]:
        assert self.stack is not None
        start = (
            "near the centre, outside any hole"
            if self.plan.internal
            else f"{self.text(self.side, 2)} or more out from the centre or the edge of any hole"
        )
        yield Step(
            "feeds", PREPARE,
            "Feeds and half-nuts out; lock the cross slide; tailstock away.",
            Move("lock", "cross slide"), "Only carriage and compound may move the tip.",
            "Never power-feed onto blocks.", "The cross slide does not move.",
        )  # fmt: skip
        yield Step(
            "face", PREPARE,
            "Sweep the faceplate, or the faced part, on both sides of the centre; half the "
            "difference over the radius is how far it is out of square.",
            Move("check", "face"),
            "A face turned on this lathe is square to the cross slide, not to the axis; its error "
            "goes into the half angle one for one.",
            _STOPPED, "Both sides show the same.", "Half the difference, and the radius.",
        )  # fmt: skip
        yield Step(
            "indicator", PREPARE,
            "Carry the indicator on the tool post, stem parallel to the axis, its tip on the face "
            f"{start}.",
            Move("check", "indicator"), f"The tip runs {self.text(self.side, 2)} across the face.",
            expect="The whole run stays on the face.",
        )  # fmt: skip
        blocks = " + ".join(f"{b:g}" for b in self.stack.blocks)
        yield Step(
            "blocks", PREPARE,
            f"Wring gauge blocks to {self.text(self.stack.height)}: {blocks}.",
            Move("check", "blocks", by=self.stack.height),
            f"Compound travel times the cosine of the half angle is {self.text(self.axial)}.",
            expect="The blocks hold together.", record="The stack.",
        )  # fmt: skip

    # -- the pass -------------------------------------------------------------------------

    def compound_start(self) -> Iterator[Step]:
        backlash, dial = self.lathe.compound_backlash, self.lathe.compound_dial
        lost = (
            "backlash not given; half a turn is more than any screw in order has"
            if backlash is None
            else f"backlash {figure_text(float(dial.reading(backlash)), self.unit)} on the dial"
        )
        yield Step(
            "run-up", PASS,
            f"Crank the compound half a turn past the start on the {self.start_side} side.",
            Move("turn", "compound", self.back, RUN_UP, self.half_turn),
            f"Come onto both ends the same way ({lost}).", NEVER,
            "The witness mark stands half a turn past; the tip touches nothing.",
        )  # fmt: skip
        onto, only = f"Crank the compound onto the start, {self.run}.", ""
        if self.blocks:
            onto = (
                f"Hold the stack against the stop; crank the compound, {self.run}, until the slide "
                "meets it with a light drag. Draw the stack out."
            )
            only = " Where there is none, the blocks do; where there is, it tells a slip."
        yield Step(
            "start", PASS,
            f"{onto} Hands off it until the run.",
            Move("turn", "compound", self.run, START),
            "The backlash is out on the side that the run pushes from.",
            "Fingers out from between slide and stop." * self.blocks,
            "The witness marks meet.",
        )  # fmt: skip
        yield Step(
            "zero-compound", PASS, f"Zero the compound dial.{only}", Move("zero", "compound dial"),
            expect="The compound dial shows 0.",
        )  # fmt: skip

    def run_step(self) -> Step:
        dial = self.lathe.compound_dial
        if self.blocks:
            return Step(
                "run", PASS,
                f"Crank the compound, {self.run}, never reversing, until the slide meets the bare "
                "stop with the same light drag. Pressed on? Clear the tip as at the end of a pass, "
                "then begin again.",
                Move("turn", "compound", self.run, TRAVEL, self.travel),
                f"The stack, {self.text(self.travel)}, is the travel; the tip leaves what it bears "
                "on.",
                "Fingers out from between slide and stop.",
                f"A rule shows {self.text(self.travel, 2)} between the witness marks.",
            )  # fmt: skip
        shown = dial.words(float(dial.reading(self.travel)), self.unit)
        if self.taper:
            return Step(
                "run", PASS,
                f"Crank the compound {shown}, {self.run}, never reversing, and watch the needle: "
                "near either end of its range stop, and take the travel made till then.",
                Move("turn", "compound", self.run, TRAVEL, self.travel),
                "The tip follows the taper's side, and leaves it or presses on by what the slide "
                "is out.",
                "Stop before the needle comes to its end.",
                f"The compound dial shows {shown}, and the needle has hardly moved.",
            )  # fmt: skip
        return Step(
            "run", PASS,
            f"Crank the compound {shown}, {self.run}, never reversing: {self.text(self.travel)}, "
            f"one turn is {self.text(2 * self.half_turn)}. Count the turns aloud, and check "
            "between the marks with a rule. Past the line? Clear the tip as at the end of a pass, "
            "then begin again.",
            Move("turn", "compound", self.run, TRAVEL, self.travel),
            f"The tip leaves what it bears on. {self.lost()}",
            expect=f"The compound dial shows {shown}; a rule shows {self.text(self.travel, 2)} "
            "between the witness marks.",
        )  # fmt: skip

    def lost(self) -> str:
        turn = 2 * self.half_turn
        if turn > self.travel:
            return "Less than a turn: mind that none is added."
        grip = math.tan(self.alpha) if self.cross else 1 / math.tan(self.alpha)
        out = min(turn / self.travel * grip, math.pi / 2)
        return f"One turn miscounted reads {Angle.from_radians(out).dm()} out or so."

    def cross_pass(self) -> Iterator[Step]:
        dial = self.lathe.cross_dial
        must = float(dial.reading(self.side))
        turns = back_off_turns(self.plan)
        more = "one turn" if turns == 1 else f"{turns} turns"
        again = "Past it? Back off a turn and come in again."
        yield from self.compound_start()
        yield Step(
            "null", PASS,
            "Crank the cross slide in until the tip bears on the quill and the needle has gone a "
            f"third of its way. {again}",
            Move("turn", "cross slide", IN, NULL),
            "The needle can then show both sides of its zero, and the backlash is out.",
            expect="The needle follows the handwheel.",
        )  # fmt: skip
        yield Step(
            "zero-cross", PASS, "Zero the needle and the cross dial.",
            Move("zero", "needle and cross dial"),
            "This is the null that the other end is read at.",
            expect="Needle and cross dial show 0.",
        )  # fmt: skip
        yield self.run_step()
        yield Step(
            "null-again", PASS,
            f"Crank the cross slide in to the null, counting the turns. {again}",
            Move("turn", "cross slide", IN, NULL, self.side),
            "Come onto it the same way as the first one.",
            expect=f"The needle at zero, after {dial.words(must, self.unit)} or so: "
            f"{self.text(must)} on the dial, {self.text(dial.per_turn)} to a turn.",
        )  # fmt: skip
        product = self.text(self.travel)
        if dial.factor == 2:
            product = f"(2 × {product})"
        yield Step(
            "read", PASS,
            f"Read the cross dial. Half angle now = inverse sine of (reading ÷ {product}).",
            Move("read", "cross dial", by=self.side),
            f"This dial is {dial.reads}-reading.",
            expect=self.expected("The cross dial shows", must),
            record="Compound dial, cross dial, half angle now.",
        )  # fmt: skip
        yield Step(
            "back-off", PASS,
            f"Back the cross slide off past its zero and {more} more.",
            Move("back off", "cross slide", OUT, CLEAR, turns * lead(dial)),
            "Clear of the quill where it stands is not enough: as the compound goes back, the tip "
            f"climbs by {self.text(self.side, 2)} and the slack.",
            NEVER, "The needle is free, the cross dial on the other side of its zero.",
        )  # fmt: skip
        yield self.swing("reading")

    def taper_pass(self) -> Iterator[Step]:
        turns = back_off_turns(self.plan)
        more = "a turn" if turns == 1 else f"{turns} turns"
        yield from self.compound_start()
        yield Step(
            "null", PASS,
            f"Crank the cross slide {self.onto} until the tip bears on the taper and the needle is "
            "half-way through its range. Hands off the cross slide until the needle is read.",
            Move("turn", "cross slide", self.onto, NULL),
            "The needle can then show both ways.", expect="The needle follows the handwheel.",
        )  # fmt: skip
        yield Step(
            "zero-needle", PASS, "Zero the needle.", Move("zero", "needle"),
            expect="The needle shows 0.",
        )  # fmt: skip
        yield self.run_step()
        yield Step(
            "read", PASS,
            "Read how far the needle is let out since the small end, minus if pushed in. Swung "
            f"past the taper by the inverse sine of (that × {math.cos(self.alpha):.5f} ÷ "
            f"{self.text(self.travel)}).",
            Move("read", "needle"),
            "The needle moves square to the axis, the angle turns square to the slide: hence the "
            "cosine.",
            expect=self.expected("The mean of the two sweeps shows", 0.0),
            record="Travel and needle, of each sweep.",
        )  # fmt: skip
        yield Step(
            "back-off", PASS,
            f"Back the cross slide off, {self.off}, by {more} or more.",
            Move("back off", "cross slide", self.off, CLEAR, turns * lead(self.lathe.cross_dial)),
            "The compound goes back beside the taper, not along it.",
            NEVER, "The needle is free.",
        )  # fmt: skip
        yield Step(
            "half-round", PASS,
            "Turn the spindle half round by hand, taper and all, not reseated. Sweep once more, "
            "from the run-up until the tip is clear, and take the mean of the two readings.",
            Move("turn", "spindle", until="half round"),
            "A taper that leans reads as much too large one way as too small the other.",
            _STOPPED, "The mark on the taper stands opposite.",
        )  # fmt: skip
        yield self.swing("needle")

    def axial_pass(self) -> Iterator[Step]:
        assert self.stack is not None
        high = self.stack.height
        yield from self.compound_start()
        yield Step(
            "null", PASS,
            f"Carriage up {HEADSTOCK} until the tip bears on the face and the needle is half-way "
            "through its range.",
            Move("turn", "carriage", HEADSTOCK, NULL),
            "The needle can then show both sides of its zero.",
            "By hand; never under power.", "The needle follows the carriage.",
        )  # fmt: skip
        yield Step(
            "lock-carriage", PASS, "Lock the carriage.", Move("lock", "carriage"),
            "It stays locked until the reading is written down.", _CARRIAGE,
            "The needle moves no more.",
        )  # fmt: skip
        yield Step(
            "zero-needle", PASS, "Zero the needle.", Move("zero", "needle"),
            "Locking may have moved it.", expect="The needle shows 0.",
        )  # fmt: skip
        yield self.run_step()
        yield Step(
            "lift", PASS, "Lift the tip.", Move("lift", "tip"), expect="The gap is open."
        )  # fmt: skip
        yield Step(
            "blocks-in", PASS,
            f"Hold the stack, {self.text(high)}, against the face under the tip. It does not go "
            "in? Take a smaller one. The needle does not come onto its scale? Take a larger.",
            Move("put in", "blocks", by=high),
            "The carriage stays locked: nulling a carriage on its rack is poor practice.",
            "Fingers at the sides of the blocks; never power-feed onto them.",
            "The blocks lie flat on the face.", "The stack as used.",
        )  # fmt: skip
        yield Step(
            "lower", PASS, "Lower the tip onto the blocks.", Move("lower", "tip"),
            expect="The needle is on its scale.",
        )  # fmt: skip
        yield Step(
            "read", PASS,
            "Read the needle: plus if the gap is larger than the stack. Half angle now = inverse "
            f"cosine of ((stack + needle) ÷ {self.text(self.travel)}).",
            Move("read", "needle", by=self.axial),
            "Stack and needle together are the axial travel.",
            expect=self.expected("Stack and needle together are", self.axial),
            record="Compound dial, stack, needle, half angle now.",
        )  # fmt: skip
        yield Step(
            "lift-again", PASS, "Lift the tip.", Move("lift", "tip"),
            expect="The blocks are free.",
        )  # fmt: skip
        yield Step(
            "blocks-out", PASS, "Take the stack away; lower the tip.", Move("take out", "blocks"),
            expect="Nothing between tip and face.",
        )  # fmt: skip
        yield Step(
            "unlock-carriage", PASS, "Unlock the carriage.", Move("unlock", "carriage"),
            expect="The carriage moves freely.",
        )  # fmt: skip
        yield Step(
            "back-off", PASS,
            f"Carriage back {TAILSTOCK} by {self.text(high + ROOM[self.unit], 2)} or more.",
            Move("back off", "carriage", TAILSTOCK, CLEAR, high + ROOM[self.unit]),
            "As the compound goes back, the tip comes on towards the face by the stack and the "
            "half turn.",
            NEVER, "The tip is that far from the face.",
        )  # fmt: skip
        yield self.swing("gap")

    def expected(self, what: str, must: float) -> str:
        words = f"{what} {self.text(must)}"
        if self.within:
            words += f"; in tolerance between {between(self.within, self.unit)}"
            if self.assumed:
                words += " by an assumed tolerance, which nothing can prove"
            elif self.proven:
                words += f"; proven between {between(self.proven, self.unit)}"
            else:
                words += "; no reading can prove this tolerance"
        return f"{words}."

    def swing(self, seen: str) -> Step:
        radius = self.lathe.base_radius
        minute = Angle.from_dms(0, 1)
        rim = (
            "the base's radius is not given"
            if radius is None
            else "one minute is "
            + self.text(arc_at_base(minute, radius), places_written(self.unit) + 1)
            + " at the base's edge"
        )
        # Half a degree moves a tip that stands a hand's breadth from the pivot by less than a turn.
        nearer = "More than half a degree? Back off a turn more for each half degree. "
        small, large = ("further from", "back towards")[:: 1 if seen == "reading" else -1]
        told = f"{seen} too small, {small} parallel; too large, {large} parallel"
        if self.taper:
            told = "let out on the mean, back towards parallel; pushed in, further from parallel"
        return Step(
            "swing", PASS,
            f"Only now swing, by light blows, by what is missing: {told}. "
            f"{nearer * (self.cross or self.taper)}"
            "Then the next pass, null and zero afresh. "
            f"{'Within what proves it' if self.proven else 'Nothing missing'}? Tighten, "
            "do not swing.",
            Move("swing", "compound", until="by what is missing"),
            f"Swinging moves the tip, so every zero is gone ({rim}).",
            "The tip is clear before the compound is touched.",
            "The slide has moved by about that much.",
            record="How far it was swung, and which way.",
        )  # fmt: skip

    # -- prove and finish -----------------------------------------------------------------

    def tighten(self) -> Step:
        return Step(
            "tighten", PROVE,
            "Tighten the bolts by turns, a little each. Then pass once more, from the run-up until "
            f"the tip is clear: the proving pass. {'Not proven' if self.proven else 'It moved'}? "
            "Ease the bolts, swing, and begin again.",
            Move("tighten", "bolts"),
            "Locking moves things: read again after each lock. Where gibs yaw, take the check the "
            "way the cut will run.",
            expect="The slide does not give to a light blow.",
        )  # fmt: skip

    def finish(self) -> Iterator[Step]:
        away = "away, tailstock back" if self.cross else "and blocks away, cross slide free"
        if self.blocks or self.taper:
            away = f"and {'stop' if self.blocks else 'taper'} away, tailstock back"
        yield Step(
            "away", FINISH,
            f"Before power: indicator {away}, chuck key out; crank through the whole "
            "cut by hand for clearance.",
            Move("clear away", "indicator and blocks"),
            "The slide is proven; the part is measured when it is cut.", _SWEEP,
            "Nothing is left that the chuck could throw.", "Who, and when.",
        )  # fmt: skip


__all__ = [
    "AXIAL", "BLOCKS", "CROSS", "EVERY_ROUTE", "PHASES", "TAPER", "Move", "Procedure", "Setup",
    "Step", "back_off_turns", "gauge_stack", "procedure",
]  # fmt: skip
