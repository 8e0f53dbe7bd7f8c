"""A setup guided on the bench: the procedure one step at a time, each done by the same hand."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from tapertrig.angle import Angle
from tapertrig.bench.bench import Bench
from tapertrig.bench.hands import PRELOAD, Hand
from tapertrig.bench.state import PAST, Pass
from tapertrig.job import Callout, Choices, Job
from tapertrig.next_tap import PROVES, TURN_MORE_FROM, WORDS, Tap, Target, next_tap
from tapertrig.procedure import (
    BRING_CARRIAGE,
    CROSS,
    HEADINGS,
    NULL,
    PASS,
    PREPARE,
    PROVE,
    RUN_UP,
    START,
    TRAVEL,
    Step,
)

CARRIAGE = "carriage"
# The rest of getting ready moves nothing on the bench and is done before it is handed over.
_HERE = ("place", "clear")
# Where the bench's carriage stands when it is handed over.
_PLACED = (
    BRING_CARRIAGE,
    "The carriage stands already where the start of the run, at the witness marks, lies",
)
# After these the hands go straight on to the next.
_STRAIGHT_ON = (
    "start", "lock-carriage", "lift", "blocks-in", "lift-again", "blocks-out", "unlock-carriage",
)  # fmt: skip


class Guided(Hand):
    """The present `step` of a setup until its slide is proven; `do` does it, and the next follows.

    What a pass told, `tap`, says whether the next step is to swing, to tighten or to leave it.
    """

    def __init__(self, bench: Bench) -> None:
        super().__init__(bench)
        asked = self.conditions
        self.target = Target.of(
            Job(
                Callout(
                    "half angle", asked.half_angle.dms(4), internal=asked.internal,
                    angle_tolerance=asked.half_angle_tolerance, tolerance_on="half angle",
                ),
                asked.lathe,
                Choices(route=asked.route),
            )
        )  # fmt: skip
        self._line: Pass | None = None
        self._tap: Tap | None = None
        self.begin()

    def begin(self) -> None:
        """From getting ready on: the tip is well clear before anything else, wherever it was."""
        self._next(step for step in self.steps.of(PREPARE) if step.id in _HERE)
        self.zeroed = False

    def _next(self, steps: Iterable[Step]) -> None:
        self.left: list[tuple[Step, ...]] = []
        for step in steps:
            before = self.left[-1] if self.left else ()
            if before and before[-1].id.removeprefix("prove-") in _STRAIGHT_ON:
                self.left[-1] = *before, step
            else:
                self.left.append((step,))
        self.many = len(self.left)

    @property
    def step(self) -> Step | None:
        """What is to be done now; None once the slide is proven and all is put away."""
        if not self.left:
            return None
        now = self.left[0]
        if now[0].id == "swing":
            return replace(now[0], words=self.told)

        def joined(name: str) -> str:
            return " ".join(dict.fromkeys(filter(None, (getattr(one, name) for one in now))))

        told = joined("words"), joined("why"), joined("caution")
        if now[0].id == "place":
            told = told[0].replace(*_PLACED), *told[1:]
        return replace(now[-1], words=told[0], why=told[1], caution=told[2])

    @property
    def press(self) -> str:
        """What the hands do at the present step, in a few words."""
        said = ", ".join(map(self._press, self.left[0] if self.left else ()))
        return said[:1].upper() + said[1:]

    def _press(self, step: Step) -> str:
        move = step.action
        if move.verb != "turn":
            return f"{move.verb} the {move.on}"
        first = not self.zeroed or move.on == CARRIAGE
        far = {
            RUN_UP: "half a turn past the start",
            START: "onto the start",
            TRAVEL: "that far",
            NULL: "until it touches" if first else "in until it touches, then creep to the null",
        }
        return f"crank the {move.on} {far[move.until]}"

    @property
    def heading(self) -> str:
        """Where in the setup the present step stands."""
        step, read = self.step, len(self.bench.passes)
        if step is None or step.phase == PREPARE:
            return HEADINGS[PREPARE] if step else ""
        if step.id in ("swing", "tighten"):
            return step.id.capitalize()
        to_read = any(one[-1].action.verb == "read" for one in self.left)
        name = f"Pass {read + to_read}{', the proving pass' * (step.phase == PROVE)}"
        return f"{name}: step {self.many - len(self.left) + 1} of {self.many}"

    @property
    def tap(self) -> Tap | None:
        """What the last pass told; None without one, or where its readings make no triangle."""
        line = next(iter(self.bench.passes[::-1]), None)
        if line is not self._line:
            self._line, self._tap = line, self._told_by(line)
        return self._tap

    def _told_by(self, line: Pass | None) -> Tap | None:
        if line is None or line.implied is None:
            return None
        other = abs(line.cross_reading) if line.axial is None else line.axial
        try:
            return next_tap(self.target, abs(line.compound_reading), other, line.snugged)
        except ValueError:
            return None

    @property
    def told(self) -> str:
        """What the last pass asks for, in words."""
        return self.tap.next if self.tap else "The readings make no triangle: pass once more."

    @property
    def proven(self) -> bool:
        """Whether the last pass proves the slide, and nothing has been touched since."""
        return bool(self.tap and self.tap.standing == PROVES and self.bench.state.snugged)

    @property
    def set_to(self) -> str:
        """What the slide is proven to be set to; empty until it is."""
        if not (self.tap and self.proven):
            return ""
        aim, within = self.target.aim, self.target.within
        return WORDS["set to"].format(now=self.tap.now, within=within, aim=aim)

    def do(self, travel: float | None = None, swing: Angle | None = None) -> None:
        """Do the present step: run the compound by `travel` of its slide, or swing by `swing`."""
        for step in self.left.pop(0):
            if step.id == "tighten":
                self._tighten()
            elif step.id == "swing":
                self._swing_by(swing)
            elif step.action.until == TRAVEL and travel is not None:
                self.bench.turn_compound(self.conditions.away * travel, why=step.words)
            else:
                self._do(step)
        if not self.left:
            self._next(self._follows(step))

    def carriage_up(self) -> None:
        """Bring the carriage up to the face until the needle is half-way through its range."""
        if self.conditions.route == CROSS:
            raise ValueError("the carriage stays locked here; the cross slide brings the tip on")
        self._carriage_up("")

    def touch(self) -> None:
        """Bring the tip on: the needle well on its scale, or just on it once it is zeroed."""
        conditions, state = self.conditions, self.bench.state
        done = [action.kind for action in self.bench.actions[::-1]]
        zeroed = "zero indicator" in done[: done.index("read") if "read" in done else None]
        most = conditions.indicator_range
        into = min(0.05 * most, state.indicator_zero / 2) if zeroed else PRELOAD * most
        into -= state.deflection
        slack = conditions.backlash("cross") - state.cross.slack
        if into <= 0:
            raise ValueError("the tip touches already; back off, or creep on to the null")
        self.bench.turn_cross(slack + into, why="Bring the cross slide in until it touches.")

    def creep(self) -> None:
        """The last bit in to the null; ValueError where the tip does not touch or is past it."""
        state, reading = self.bench.state, self.bench.indicator
        if reading.value is None and reading.words != PAST:
            raise ValueError("the tip does not touch yet; bring it in until it touches, then creep")
        to_null = state.indicator_zero - state.deflection
        if reading.value is None or (to_null < 0 and not reading.at_null):
            raise ValueError("the needle is past its zero; back off a turn and come in again")
        slack = self.conditions.backlash("cross") - state.cross.slack
        self.bench.turn_cross(slack + max(0.9 * to_null, 0.0), why="Creep in to the null.")
        self.bench.turn_cross(max(state.indicator_zero - self.bench.state.deflection, 0.0))

    def stack_in(self) -> None:
        """Hold the stack that the steps name under the tip, or the next smaller that goes in."""
        assert self.steps.stack is not None
        self._put_in(self.steps.stack.height, "")

    def _swing_by(self, swing: Angle | None) -> None:
        if swing is None:
            return
        more = math.floor(abs(swing).arc_seconds / TURN_MORE_FROM)
        if more and self.conditions.route == CROSS:
            words = "Back the cross slide off first, a turn more for each half degree."
            self.bench.turn_cross(-more * self.conditions.lead("cross"), why=words)
        self.bench.swing(swing, self.steps.step("swing").words)

    def _follows(self, done: Step) -> Iterable[Step]:
        tap, tight = self.tap, self.bench.state.snugged
        if done.action.verb == "back off" and done.phase != PREPARE and tap:
            enough = tap.chases if tap.room is None else abs(tap.missing) <= tap.room
            if enough and tight:
                return []  # clearing away, nothing of which the bench has
            return [self.steps.step("tighten" if enough else "swing")]
        again = self.steps.of(PROVE if tight else PASS)
        return (one for one in again if one.id not in ("swing", "tighten"))
