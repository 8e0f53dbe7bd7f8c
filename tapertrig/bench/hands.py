"""A practised hand that sets the compound on any bench, and a careless one with one bad habit."""

from __future__ import annotations

import math
import random
from dataclasses import dataclass

from tapertrig.angle import Angle
from tapertrig.bench.bench import Bench, angle_words
from tapertrig.bench.lost_motion import SCREWS
from tapertrig.bench.reviewing import (
    CARRIAGE_LOOSE,
    DIAMETER_AS_RADIUS,
    NOT_PROVED,
    NULL_AT_ONE_END,
    PAST_REACH,
    RADIUS_AS_DIAMETER,
    REVERSAL,
    WRONG_WAY,
    ZEROED_EARLY,
)
from tapertrig.bench.state import PAST, Pass
from tapertrig.lathe import length_text
from tapertrig.limits import one_of

MOST_PASSES = 5
HABITS = (
    REVERSAL,
    NULL_AT_ONE_END,
    ZEROED_EARLY,
    PAST_REACH,
    NOT_PROVED,
    CARRIAGE_LOOSE,
    DIAMETER_AS_RADIUS,
    RADIUS_AS_DIAMETER,
    WRONG_WAY,
)
# Shares of the indicator's range: how far it is pushed in to be zeroed, and how far short of
# null the quick feed stops.
_PRELOAD, _SHORT = 0.4, 1 / 3
# A handwheel set to a line stands within this share of a graduation of it.
_UNSTEADY = 0.15
_SHORT_OF_ROOM = 0.03


@dataclass(frozen=True, slots=True)
class Worked:
    """How the work ended: passes run, and whether one with the bolts snug was near enough.

    `aim` is the swing still needed that the hand was content with; `budget` the angle budget of
    the work, the aim and the most that a faultless pass can misread.
    """

    passes: int
    proven: bool
    aim: Angle
    budget: Angle


def habits_on(bench: Bench) -> tuple[str, ...]:
    """The habits a careless hand can have on this bench: a dial can be misread one way only."""
    other = {"diameter": RADIUS_AS_DIAMETER, "radius": DIAMETER_AS_RADIUS}
    cannot = other[bench.conditions.lathe.cross_dial.reads]
    return tuple(habit for habit in HABITS if habit != cannot)


def usual_aim(bench: Bench) -> Angle:
    """The swing still needed that is not worth another tap.

    What snugging up may shift, the smallest tap, and half of what a faultless pass can misread at
    most: finer than that, five passes do not always do.
    """
    conditions = bench.conditions
    return conditions.snug_shift + conditions.tap_step + bench.farthest_out().half()


def practised_hand(
    bench: Bench, aim: Angle | None = None, most_passes: int = MOST_PASSES
) -> Worked:
    """Set the compound as it should be done, from whatever state the bench is in.

    `aim` is the swing still needed to be content with (`usual_aim` if not given).
    """
    return _Hand(bench, "", "cross", aim, most_passes).work()


def careless_hand(
    bench: Bench,
    habit: str,
    screw: str = "cross",
    aim: Angle | None = None,
    most_passes: int = MOST_PASSES,
) -> Worked:
    """Set the compound with one bad habit, a name of `HABITS`, and everything else done well.

    `screw` tells on which screw a backlash habit is made. Whatever the passes say at the end, the
    bolts are snugged up and one more pass is read, unless leaving that out is the habit.
    """
    one_of("habit", habit, habits_on(bench))
    one_of("screw", screw, SCREWS)
    return _Hand(bench, habit, screw, aim, most_passes).work()


class _Hand:
    def __init__(
        self, bench: Bench, habit: str, screw: str, aim: Angle | None, most_passes: int
    ) -> None:
        if aim is not None and (not isinstance(aim, Angle) or aim.arc_seconds <= 0):
            raise ValueError(f"aim is {aim!r}; give an Angle above zero, as Angle.from_dms(0, 2)")
        if not isinstance(most_passes, int) or most_passes < 3:
            raise ValueError(f"most passes is {most_passes!r}; it must be 3 or more, as 5")
        self.bench, self.conditions = bench, bench.conditions
        self.habit, self.screw = habit, screw
        self.aim = usual_aim(bench) if aim is None else aim
        self.most_passes = most_passes
        self.unit = self.conditions.lathe.unit
        self.chance = random.Random(f"{self.conditions.seed} hand")
        self.reads = self.conditions.lathe.cross_dial.reads
        self.wrong_way_left = habit == WRONG_WAY

    def work(self) -> Worked:
        already = len(self.bench.passes)
        if self.habit == CARRIAGE_LOOSE:
            if self.bench.state.locked:
                self.bench.loosen_carriage("Loosen the carriage and forget about it.")
        elif not self.bench.state.locked:
            self.bench.lock_carriage("Lock the carriage, so that only the two slides move.")
        proven = self._passes()
        run = len(self.bench.passes) - already
        return Worked(run, proven, self.aim, self.aim + self.bench.farthest_out())

    def _passes(self) -> bool:
        for number in range(1, self.most_passes + 1):
            line = self._pass()
            needed = line.swing_needed
            near = needed is not None and abs(needed) <= self.aim
            if near and line.snugged:
                return True
            if near:
                self._snug()
                if self.habit == NOT_PROVED:
                    return False
            elif needed is None or number == self.most_passes:
                break
            else:
                self._swing(needed)
                # Late in the day, or after a proof that failed, the next pass must be a proof.
                late = line.snugged or number >= self.most_passes - 2
                if late and self.habit != NOT_PROVED:
                    self._snug()
        if self.habit and not self.bench.state.snugged:
            self._snug()
            if self.habit != NOT_PROVED:
                self._pass()
        return False

    def _pass(self) -> Pass:
        self._to_first_end()
        self._onto_quill()
        self._zero()
        self._run()
        self._to_null()
        return self._read()

    def _back_off(self, why: str, along: float = 0.0) -> None:
        """Back the cross slide out, clear of the quill wherever the compound moves by `along`."""
        state, conditions = self.bench.state, self.conditions
        gap = 2 * conditions.backlash("cross") + 2 * conditions.indicator_range
        nearer = -conditions.away * along * math.sin(state.half_angle)
        out = state.deflection + max(nearer, 0.0) + gap
        if out > 0:
            self.bench.turn_cross(-(out + state.cross.slack), why=why)

    def _compound_to(self, nut: float, way: int, why: str) -> None:
        """Turn the compound until its slide stands there, the handwheel pushing that way."""
        screw = self.bench.state.compound
        handwheel = nut + (self.conditions.backlash("compound") if way > 0 else 0.0)
        self.bench.turn_compound(handwheel - screw.handwheel, why=why)

    def _to_first_end(self) -> None:
        conditions, away = self.conditions, self.conditions.away
        reach, travel = conditions.lathe.compound_reach, conditions.compound_travel
        room = (reach - travel) / 2
        if self.habit == PAST_REACH:
            room = reach - (1 - _SHORT_OF_ROOM) * travel
        first = reach - room if away < 0 else room
        beyond = first - away * min(room, conditions.lead("compound") / 4)
        along = beyond - self.bench.state.compound.nut
        self._back_off(
            "Back the cross slide off far enough to stay clear while the compound comes back.",
            along,
        )
        if along * away < 0:
            self._compound_to(beyond, -away, "Run the compound to the first end and past it.")
        self._compound_to(
            first,
            away,
            "Come back onto the first end the way the check will run: the compound's backlash is "
            "out.",
        )
        if self.habit == ZEROED_EARLY and self.screw == "compound":
            back = -away * conditions.backlash("compound") / 2
            self.bench.turn_compound(back, why="Turn the compound back a touch to a handy line.")

    def _onto_quill(self) -> None:
        conditions, state = self.conditions, self.bench.state
        backlash = conditions.backlash("cross")
        self.bench.turn_cross(
            backlash - state.cross.slack - state.deflection + _PRELOAD * conditions.indicator_range,
            why="Feed the cross slide in until the indicator stands well on the quill: the cross "
            "slide's backlash is out too.",
        )
        if self.habit == ZEROED_EARLY and self.screw == "cross":
            self.bench.turn_cross(-backlash / 2, why="Turn the cross handwheel back a touch.")

    def _zero(self) -> None:
        self.bench.zero_indicator("Zero the indicator here.")
        self.bench.zero_compound_dial("Zero the compound dial and touch nothing else.")
        self.bench.zero_cross_dial("Zero the cross dial.")

    def _run(self) -> None:
        conditions, away = self.conditions, self.conditions.away
        dial, travel = conditions.lathe.compound_dial, conditions.compound_travel
        words = length_text(travel, self.unit)
        unsteady = _UNSTEADY * dial.movement_per_graduation * self.chance.uniform(-1, 1)
        screw = self.bench.state.compound
        room = screw.nut if away < 0 else conditions.lathe.compound_reach - screw.nut
        room = max(room, travel)
        self.bench.turn_compound(
            away * min(travel + unsteady, room),
            why=f"Run the compound {words} away from the quill by its dial, without turning back.",
        )
        if self.habit == REVERSAL and self.screw == "compound":
            backlash = conditions.backlash("compound")
            over = min(max(2 * backlash, travel / 50), room - travel)
            if over > 0:
                self.bench.turn_compound(away * over, why="Run the compound past the line.")
            self.bench.turn_compound(
                -away * (over or backlash / 2), why="Turn it back to a line, and leave it."
            )

    def _short_of_null(self) -> None:
        conditions, state = self.conditions, self.bench.state
        slack = conditions.backlash("cross") - state.cross.slack
        to_null = state.indicator_zero - state.deflection
        self.bench.turn_cross(
            slack + to_null - _SHORT * conditions.indicator_range,
            why="Feed the cross slide in until the indicator begins to move, and on towards null.",
        )

    def _to_null(self) -> None:
        bench, conditions = self.bench, self.conditions
        self._short_of_null()
        if self.habit == NULL_AT_ONE_END:
            return
        # Rounding and scatter may ask for a second try now and then, never for so many.
        for _ in range(60):
            reading = bench.indicator
            if reading.at_null:
                break
            if reading.value is not None and reading.value < 0:
                bench.turn_cross(-reading.value)
            elif reading.value is None and reading.words != PAST:
                bench.turn_cross(_SHORT * conditions.indicator_range)
            else:
                self._back_off("Past null: back the cross slide off, beyond its backlash.")
                self._short_of_null()
        if self.habit == REVERSAL and self.screw == "cross":
            self._over_null_and_back()

    def _over_null_and_back(self) -> None:
        bench, conditions = self.bench, self.conditions
        over = 0.1 * conditions.indicator_range
        bench.turn_cross(over, why="Feed in past the null.")
        bench.turn_cross(
            -(over / 2 + conditions.backlash("cross")),
            why="Turn back to the null, and leave it.",
        )
        for _ in range(60):
            reading = bench.indicator
            if reading.value is None or reading.value <= 0:
                break
            # A little less than it reads, so as not to run through the null the other way.
            quarter = conditions.indicator_graduation / 4
            bench.turn_cross(-max(reading.value - quarter, quarter))

    def _read(self) -> Pass:
        read_as, travel = self.reads, None
        if self.habit in (DIAMETER_AS_RADIUS, RADIUS_AS_DIAMETER):
            read_as = "radius" if self.reads == "diameter" else "diameter"
        if self.habit == PAST_REACH:
            travel = self.conditions.compound_travel
        number = len(self.bench.passes) + 1
        self.bench.read(
            read_as,
            travel,
            why=f"Pass {number}: read both dials and work out the angle.",
        )
        return self.bench.passes[-1]

    def _swing(self, needed: Angle) -> None:
        self._back_off("Back the cross slide off before touching the compound.")
        if self.wrong_way_left:
            needed, self.wrong_way_left = -needed, False
        way = "further" if needed.arc_seconds >= 0 else "back"
        self.bench.swing(
            needed, f"Ease the bolts and tap the compound {angle_words(abs(needed))} {way}."
        )

    def _snug(self) -> None:
        self._back_off("Back the cross slide off before drawing up the bolts.")
        self.bench.snug("Snug up the bolts; the next pass must prove that nothing moved.")
