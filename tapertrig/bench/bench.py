"""The indicating bench to work on: actions, the log they leave, the budget and the truth.

Chance (by eye, taps, snugging, null) comes from the seed alone, so the same actions on the same
bench give the same states. Lengths are slide movements in the lathe's unit.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from tapertrig.angle import Angle
from tapertrig.bench.conditions import LEFT_OUT, BenchConditions
from tapertrig.bench.state import (
    KINDS,
    Action,
    BenchState,
    IndicatorReading,
    Pass,
    after,
    start,
)
from tapertrig.budget import AngleBudget
from tapertrig.lathe import READS, Lathe, length_text
from tapertrig.limits import not_negative, one_of, positive
from tapertrig.procedure import AXIAL, TAPER

# What is left of a length after floats have added it up, per unit of the slide's reach.
ROUNDING = 1e-9


def angle_words(angle: Angle) -> str:
    """A small angle as it is said: 2.5′, or 1°20′ from a degree on."""
    return angle.dm() if abs(angle.degrees) >= 1 else f"{angle.minutes:.1f}′"


@dataclass(frozen=True, slots=True)
class Step:
    """One line of the log: its number, what was done, the state after it, one sentence.

    `plain` tells that the sentence is the bench's own, not one given with the action.
    """

    number: int
    action: Action
    state: BenchState
    sentence: str
    plain: bool = True


@dataclass(frozen=True, slots=True)
class Truth:
    """What no dial shows. `error` is true less wanted half angle.

    `quill_effect` is what the quill's slope adds to every angle read (implied less true).
    """

    half_angle: Angle
    wanted: Angle
    error: Angle
    quill_effect: Angle

    @property
    def minutes(self) -> float:
        """The error in minutes of arc."""
        return self.error.minutes

    def diameter_error(self, length: float) -> float:
        """By how much the diameter changes too fast or too slow over a cone that long.

        2ℓ[tan(α + δ) − tan α], in the unit of `length`.
        """
        over = positive("cone length", length, 0.75)
        return 2 * over * (math.tan(self.half_angle.radians) - math.tan(self.wanted.radians))


def past_end(before: BenchState, action: Action) -> float:
    """How far a turn asked for more than the slide's reach; 0 for any other action."""
    if not action.kind.startswith("turn"):
        return 0.0
    name = action.kind.split()[1]
    over = max(action.value - before.conditions.farthest(name), -action.value)
    return over if over > ROUNDING * before.conditions.reach(name) else 0.0


def _describe(before: BenchState, action: Action, now: BenchState) -> str:
    """One sentence for the log, telling nothing that a person at the bench could not see."""
    unit, kind = now.conditions.lathe.unit, action.kind
    if kind.startswith("turn"):
        name = kind.split()[1]
        moved = now.screw(name).handwheel - before.screw(name).handwheel
        way = {
            "compound": ("towards the headstock", "towards the tailstock"),
            "cross": ("in", "out"),
        }[name][moved < 0]
        solid = "; it comes up solid at its end" if past_end(before, action) else ""
        by = length_text(abs(moved), unit)
        if (dial := now.conditions.dial(name)).factor != 1:
            by = f"{length_text(float(dial.reading(abs(moved))), unit)} on its dial, {by} of slide"
        return f"Turn the {name} handwheel {way} by {by}{solid}."
    if kind == "swing":
        asked = Angle.from_radians(action.value)
        way = "further" if asked.arc_seconds >= 0 else "back"
        return f"Tap the compound {way} by about {angle_words(abs(asked))}."
    if kind == "move carriage":
        if before.locked:
            return "Push at the carriage; it is locked."
        moved = now.carriage - before.carriage
        way = "headstock" if moved > 0 else "tailstock"
        return f"Move the carriage towards the {way} by {length_text(abs(moved), unit)}."
    if kind == "put in blocks":
        stack = f"a stack of {length_text(action.value, unit)}"
        if now.stack == action.value:
            return f"Put in {stack}."
        why = "it does not go in" if before.lifted else "the tip is in its way"
        return f"Try {stack}: {why}."
    if kind == "read":
        line = now.passes[-1]
        if line.implied is None:
            return f"Read the dials, pass {line.number}: the readings make no triangle."
        return f"Read the dials, pass {line.number}: they say {line.implied.dms()}."
    return {
        "snug": "Snug up the compound's bolts.",
        "lock carriage": "Lock the carriage.",
        "loosen carriage": "Loosen the carriage.",
        "zero indicator": "Set the indicator's bezel to zero.",
        "zero compound dial": "Set the compound dial to zero.",
        "zero cross dial": "Set the cross dial to zero.",
        "lift tip": "Lift the tip.",
        "lower tip": "Lower the tip.",
        "take out blocks": "Take the stack out.",
        "half round": "Turn the spindle half round by hand.",
        "note": "Look.",
    }[kind]


def overrun_words(state: BenchState) -> str:
    """What the last move would have cost, had it not been stopped; nothing if it was not."""
    if not state.overrun:
        return ""
    conditions = state.conditions
    what = {AXIAL: "face", TAPER: "taper"}.get(conditions.route, "quill")
    over = length_text(state.overrun, conditions.lathe.unit)
    return (
        f" Stopped: the tip is against the {what} and the indicator at its end. Going on would "
        f"have driven it in {over} more than it has: a broken indicator, a marked {what}, and the "
        "compound knocked off its angle."
    )


class Bench:
    """A bench to work on: its present `state`, and the `log` of every step that led to it.

    `Bench(lathe, half_angle, seed=7)`; further names are fields of `BenchConditions`. Every
    action takes `why`, a sentence for the log in place of the plain one. Turns of one handwheel
    in one direction, one after the other, make one step of the log.
    """

    def __init__(
        self,
        lathe: Lathe,
        half_angle: Angle,
        compound_travel: float = LEFT_OUT,
        **conditions: Any,
    ) -> None:
        self._begin(BenchConditions(lathe, half_angle, compound_travel, **conditions))

    def _begin(self, conditions: BenchConditions) -> None:
        self.conditions = conditions
        self.state = start(conditions)
        base = self.state.base_read
        found = f"The compound stands by eye at about {base.brief()} on its base."
        found = " ".join((found, *conditions.assumed))
        self._log = [Step(0, Action("start"), self.state, found)]

    @classmethod
    def under(cls, conditions: BenchConditions) -> Bench:
        """A fresh bench under these conditions."""
        bench = cls.__new__(cls)
        bench._begin(conditions)
        return bench

    @classmethod
    def replay(cls, conditions: BenchConditions, actions: Iterable[Action]) -> Bench:
        """The bench after these actions, as `bench.actions` gave them: the same states exactly."""
        bench = cls.under(conditions)
        for action in actions:
            if action.kind not in KINDS[1:]:
                raise ValueError(f"{action!r} is no action of a bench log, as Action('snug')")
            if action.kind == "read":
                one_of("cross dial read as", action.read_as, READS)
                not_negative("travel of a reading", action.value, 2.5)
            bench._do(action)
        return bench

    @property
    def log(self) -> tuple[Step, ...]:
        """Every step from the start (number 0) on, each with the state after it."""
        return tuple(self._log)

    @property
    def actions(self) -> tuple[Action, ...]:
        """What was done, without the start; `Bench.replay` does it again."""
        return tuple(step.action for step in self._log[1:])

    @property
    def indicator(self) -> IndicatorReading:
        """What the indicator says now: a reading, “off the quill” or “past its range”."""
        return self.state.indicator

    @property
    def passes(self) -> tuple[Pass, ...]:
        """The column of passes."""
        return self.state.passes

    def budget(self) -> AngleBudget:
        """The uncertainty of one pass on this bench, by its route.

        Each reading is to half a graduation, so out by a quarter at most; the null holds the
        indicator's scatter and, at the second end, the quarter graduation a person cannot see.
        Snugging is left out: the proving pass comes after it.
        """
        conditions = self.conditions
        run, axial = conditions.compound_travel, conditions.route == AXIAL
        scatter = conditions.indicator_repeatability**2 / 3
        unseen = (conditions.indicator_graduation / 4) ** 2 / 3
        side = run * math.sin(conditions.half_angle.radians)
        travels = {"compound": run} if axial else {"compound": run, "cross": side}
        return AngleBudget(
            conditions.half_angle,
            run,
            conditions.route,
            compound_reading=conditions.dial("compound").movement_per_graduation / 4,
            cross_reading=conditions.dial("cross").movement_per_graduation / 4,
            screw_error=max(
                conditions.pitch(name).most(travel) / travel for name, travel in travels.items()
            ),
            null=math.sqrt(scatter + unseen / 2),
            datum=Angle.from_radians(abs(math.atan(conditions.quill_slope))),
        )

    def farthest_out(self, half_angle: Angle | None = None) -> Angle:
        """The most that a faultless pass can misread the angle; see `BenchConditions`."""
        return self.conditions.farthest_out(half_angle)

    def truth(self) -> Truth:
        """The true angle and its error: what the learner is shown at the end."""
        conditions, true = self.conditions, self.state.slide_angle()
        # Read at the true angle, the datum's slope β makes the sine sin α ± β cos α, or the cosine
        # cos α ± β sin α.
        alpha, slope = true.radians, conditions.outward * conditions.quill_slope
        if conditions.route == TAPER:
            read = alpha - math.atan(conditions.quill_slope)
        elif conditions.route == AXIAL:
            cosine = math.cos(alpha) - slope * math.sin(alpha)
            read = math.acos(min(max(cosine, -1.0), 1.0))
        else:
            sine = math.sin(alpha) - slope * math.cos(alpha)
            read = math.asin(min(max(sine, -1.0), 1.0))
        return Truth(
            half_angle=true,
            wanted=conditions.half_angle,
            error=true - conditions.half_angle,
            quill_effect=Angle.from_radians(read - alpha),
        )

    def turn_compound(
        self,
        movement: float | None = None,
        *,
        graduations: float | None = None,
        turns: float | None = None,
        why: str = "",
    ) -> BenchState:
        """Turn the compound handwheel: slide movement, dial graduations or whole turns.

        Positive feeds the slide towards the headstock. It stops hard at either end.
        """
        return self._turn("compound", movement, graduations, turns, why)

    def turn_cross(
        self,
        movement: float | None = None,
        *,
        graduations: float | None = None,
        turns: float | None = None,
        why: str = "",
    ) -> BenchState:
        """Turn the cross handwheel: slide movement, dial graduations or whole turns.

        Positive feeds in, towards the axis. It stops hard at either end.
        """
        return self._turn("cross", movement, graduations, turns, why)

    def swing(self, angle: Angle, why: str = "") -> BenchState:
        """Ease the compound and tap it round by about this much; positive swings further."""
        return self._do(Action("swing", angle.radians), why)

    def snug(self, why: str = "") -> BenchState:
        """Draw up the compound's bolts; it may swing a little as they bite."""
        return self._do(Action("snug"), why)

    def lock_carriage(self, why: str = "") -> BenchState:
        """Lock the carriage to the bed."""
        return self._do(Action("lock carriage"), why)

    def loosen_carriage(self, why: str = "") -> BenchState:
        """Loosen the carriage: from now on it strays as handwheels are turned."""
        return self._do(Action("loosen carriage"), why)

    def move_carriage(self, movement: float, why: str = "") -> BenchState:
        """Move the carriage, positive towards the headstock; a locked one stays where it is."""
        return self._do(Action("move carriage", self.state.carriage + movement), why)

    def lift_tip(self, why: str = "") -> BenchState:
        """Lift the indicator's tip off what it bears on."""
        return self._do(Action("lift tip"), why)

    def lower_tip(self, why: str = "") -> BenchState:
        """Let the tip down again."""
        return self._do(Action("lower tip"), why)

    def put_in_blocks(self, height: float, why: str = "") -> BenchState:
        """Hold a stack on the face under the lifted tip; too tall a stack does not go in."""
        return self._do(Action("put in blocks", positive("stack height", height, 1.42)), why)

    def take_out_blocks(self, why: str = "") -> BenchState:
        """Take the stack away."""
        return self._do(Action("take out blocks"), why)

    def half_round(self, why: str = "") -> BenchState:
        """Turn the spindle half round by hand, and what is in it."""
        return self._do(Action("half round"), why)

    def note(self, why: str) -> BenchState:
        """Something done or looked at that moves nothing here; one line of the log."""
        return self._do(Action("note"), why)

    def zero_indicator(self, why: str = "") -> BenchState:
        """Turn the indicator's bezel until it reads zero here."""
        return self._do(Action("zero indicator"), why)

    def zero_compound_dial(self, why: str = "") -> BenchState:
        """Set the ring of the compound dial to zero here."""
        return self._do(Action("zero compound dial"), why)

    def zero_cross_dial(self, why: str = "") -> BenchState:
        """Set the ring of the cross dial to zero here."""
        return self._do(Action("zero cross dial"), why)

    def zero_all(self, why: str = "") -> BenchState:
        """Zero the indicator and both dials, three steps of the log; `why` stands at the first."""
        self.zero_indicator(why)
        self.zero_compound_dial()
        return self.zero_cross_dial()

    def read(
        self, cross_read_as: str | None = None, travel: float | None = None, why: str = ""
    ) -> BenchState:
        """Read both dials: one more line in the column of passes.

        `cross_read_as` is how the learner takes the cross dial, "radius" or "diameter" (as it is
        made, if not given). `travel` is the compound travel the learner works with (what the
        compound dial says, if not given).
        """
        if cross_read_as is None:
            cross_read_as = self.conditions.lathe.cross_dial.reads
        one_of("cross dial read as", cross_read_as, READS)
        taken = 0.0 if travel is None else positive("travel", travel, 2.5)
        return self._do(Action("read", taken, cross_read_as), why)

    def _turn(
        self,
        name: str,
        movement: float | None,
        graduations: float | None,
        turns: float | None,
        why: str,
    ) -> BenchState:
        given = [amount for amount in (movement, graduations, turns) if amount is not None]
        if len(given) != 1:
            raise ValueError(
                f"{len(given)} amounts given for the {name} handwheel; give one of movement, "
                "graduations or turns, for example graduations=10"
            )
        (amount,) = given
        if graduations is not None:
            amount *= self.conditions.dial(name).movement_per_graduation
        elif turns is not None:
            amount *= self.conditions.lead(name)
        if amount == 0:
            return self.state
        kind, asked = f"turn {name}", self.state.screw(name).handwheel + amount
        if not math.isfinite(asked):
            asked = math.copysign(1e300, asked)
        last = self._log[-1]
        if last.action.kind == kind and not why:
            before = self._log[-2].state
            earlier = last.action.value - before.screw(name).handwheel
            if earlier * amount > 0:
                farther = max if amount > 0 else min
                self._log.pop()
                self.state = before
                whole = Action(kind, farther(asked, last.action.value))
                said = last.sentence.removesuffix(overrun_words(last.state))
                kept = "" if last.plain else said
                return self._do(whole, kept)
        return self._do(Action(kind, asked), why)

    def _do(self, action: Action, why: str = "") -> BenchState:
        before = self.state
        self.state = after(before, action)
        sentence = (why or _describe(before, action, self.state)) + overrun_words(self.state)
        self._log.append(Step(self.state.step, action, self.state, sentence, plain=not why))
        return self.state
