"""A practised hand that sets the compound on any bench, and a careless one with one bad habit."""

from __future__ import annotations

import math
import random
from dataclasses import dataclass

from tapertrig.angle import Angle
from tapertrig.bench.bench import Bench, angle_words
from tapertrig.bench.lost_motion import WhichScrew
from tapertrig.bench.reviewing import (
    CARRIAGE_LOOSE,
    DIAMETER_AS_RADIUS,
    NOT_PROVED,
    NULL_AT_ONE_END,
    OVERRUN,
    PAST_REACH,
    RADIUS_AS_DIAMETER,
    REVERSAL,
    WRONG_WAY,
    ZEROED_EARLY,
)
from tapertrig.bench.state import PAST, Pass
from tapertrig.budget.slide_angle import FEEL, TYPICAL
from tapertrig.limits import one_of, whole
from tapertrig.procedure import (
    AXIAL,
    BLOCKS,
    RUN_UP,
    START,
    TAPER,
    Procedure,
    Step,
    gauge_stack,
    procedure,
)

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
    OVERRUN,
)
# Without a cross dial and a quill there is less to get wrong.
_AXIAL_HABITS = (NOT_PROVED, WRONG_WAY, OVERRUN)
# Shares of the indicator's range: how far it is pushed in to be zeroed, and how far short of
# null the quick feed stops.
PRELOAD, _SHORT = 0.4, 1 / 3
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
    if bench.conditions.route == AXIAL:
        return _AXIAL_HABITS
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
    return Hand(bench, "", "cross", aim, most_passes).work()


def careless_hand(
    bench: Bench,
    habit: str,
    screw: WhichScrew = "cross",
    aim: Angle | None = None,
    most_passes: int = MOST_PASSES,
) -> Worked:
    """Set the compound with one bad habit, a name of `HABITS`, and everything else done well.

    `screw` tells on which screw a backlash habit is made. Whatever the passes say at the end, the
    bolts are snugged up and one more pass is read, unless leaving that out is the habit.
    """
    one_of("habit", habit, habits_on(bench))
    return Hand(bench, habit, screw, aim, most_passes).work()


class Hand:
    """A hand that does what the steps of a procedure say, on a bench, as a person would.

    `steps` are those of the bench's own setup if not given; `travel_known` works every angle out
    with the travel planned, as a sheet does, not with what the compound dial says.
    """

    def __init__(
        self,
        bench: Bench,
        habit: str = "",
        screw: WhichScrew = "cross",
        aim: Angle | None = None,
        most_passes: int = MOST_PASSES,
        steps: Procedure | None = None,
        travel_known: bool = False,
    ) -> None:
        if aim is not None and aim.arc_seconds <= 0:
            raise ValueError(f"aim is {aim!r}; give an Angle above zero, as Angle.from_dms(0, 2)")
        whole("most passes", most_passes, 3, 1000, 5)
        self.bench, self.conditions = bench, bench.conditions
        self.habit, self.screw = habit, screw
        self.aim = usual_aim(bench) if aim is None else aim
        self.most_passes = most_passes
        self.steps = procedure(self.conditions) if steps is None else steps
        self.travel_known = travel_known or habit == PAST_REACH
        self.chance = random.Random(f"{self.conditions.seed} hand")
        self.reads = self.conditions.lathe.cross_dial.reads
        self.blocks_long = self.chance.uniform(-1, 1) if self.conditions.route == BLOCKS else 0.0
        self.wrong_way_left = habit == WRONG_WAY
        self.zeroed = False

    def work(self) -> Worked:
        """Prepare, then pass after pass until one with the bolts tight is near enough."""
        already = len(self.bench.passes)
        self._do_all("prepare")
        proven = self._passes()
        run = len(self.bench.passes) - already
        return Worked(run, proven, self.aim, self.aim + self.bench.farthest_out())

    def near(self, line: Pass) -> bool:
        """Whether a pass leaves nothing worth another tap."""
        return line.swing_needed is not None and abs(line.swing_needed) <= self.aim

    def _passes(self) -> bool:
        for number in range(1, self.most_passes + 1):
            self._do_all("prove" if self.bench.state.snugged else "pass")
            line = self.bench.passes[-1]
            near = self.near(line)
            if near and line.snugged:
                self._do_all("finish")
                return True
            if near:
                self._tighten()
                if self.habit == NOT_PROVED:
                    return False
            elif number == self.most_passes:
                break
            else:
                self._swing(line)
                # Late in the day, or after a proof that failed, the next pass must be a proof.
                late = line.snugged or number >= self.most_passes - 2
                if late and self.habit != NOT_PROVED:
                    self._tighten()
        if self.habit and not self.bench.state.snugged:
            self._tighten()
            if self.habit != NOT_PROVED:
                self._do_all("prove")
        return False

    def _do_all(self, phase: str) -> None:
        for step in self.steps.of(phase):
            if step.action.verb not in ("swing", "tighten") or phase == "prepare":
                self._do(step)

    def _do(self, step: Step) -> None:
        """What one step says; where the hands move nothing, it is only noted."""
        bench, move, why = self.bench, step.action, step.words
        left_out = ("back off", "take out", "unlock") if step.phase == "pass" else ()
        if self.habit == OVERRUN and move.verb in left_out:
            return
        match move.verb, move.on:
            case "lock", "carriage" if self.habit == CARRIAGE_LOOSE:
                bench.loosen_carriage("Loosen the carriage and forget about it.")
            case "lock", "carriage":
                bench.lock_carriage(why)
            case "unlock", "carriage":
                bench.loosen_carriage(why)
            case "turn", "compound":
                self._turn_compound(step)
            case "turn", "cross slide":
                self._to_null(why) if self.zeroed else self._onto_quill(why)
            case "turn", "carriage":
                self._carriage_up(why)
            case "zero", what:
                self._zero(what, why)
            case "read", _:
                self._read(why)
            case "turn", "spindle":
                bench.half_round(why)
                sweep = self.steps.of(step.phase)
                for again in sweep[sweep[0].action.verb == "tighten" : sweep.index(step)]:
                    self._do(again)
            case "back off", "cross slide":
                self._back_off(step)
            case "back off", "carriage":
                if bench.state.locked:
                    bench.loosen_carriage()
                bench.move_carriage(-move.by, why)
            case "lift", _:
                bench.lift_tip(why)
            case "lower", _:
                self._lower(why)
            case "put in", _:
                self._put_in(move.by, why)
            case "take out", _:
                bench.take_out_blocks(why)
                bench.lower_tip()
            case _:
                bench.note(why)

    def _back_off(self, step: Step) -> None:
        """Past the dial's zero, or at first as far as the step says or the slide goes."""
        cross = self.bench.state.cross
        past_zero = step.phase != "prepare"
        way, taper = self.conditions.bears_from, self.conditions.route == TAPER
        slack = 0.0 if past_zero and not taper else self.conditions.backlash("cross")
        zero = cross.ring_zero if past_zero and not taper else cross.handwheel
        target = min(
            max(zero - way * (step.action.by + slack), 0.0), self.conditions.farthest("cross")
        )
        if way * (target - cross.handwheel) < 0:
            self.bench.turn_cross(target - cross.handwheel, why=step.words)

    def _compound_to(self, nut: float, way: int, why: str) -> None:
        """Turn the compound until its slide stands there, the handwheel pushing that way."""
        screw = self.bench.state.compound
        handwheel = nut + (self.conditions.backlash("compound") if way > 0 else 0.0)
        self.bench.turn_compound(handwheel - screw.handwheel, why=why)

    @property
    def start_at(self) -> float:
        """Where the compound's slide stands at the start, from the rear end of its reach."""
        reach, before = self.conditions.reach("compound"), self._before
        return reach - before if self.conditions.away < 0 else before

    @property
    def _before(self) -> float:
        conditions = self.conditions
        reach, travel = conditions.reach("compound"), conditions.compound_travel
        if self.habit == PAST_REACH:
            return reach - (1 - _SHORT_OF_ROOM) * travel
        # In the middle, but never with less than the half turn left before the start.
        return min(max((reach - travel) / 2, conditions.lathe.take_up), reach - travel)

    def _turn_compound(self, step: Step) -> None:
        away, first = self.conditions.away, self.start_at
        before, half_turn = self._before, self.conditions.lathe.take_up
        if step.action.until == RUN_UP:
            self.zeroed = False
            beyond = first - away * min(before, half_turn)
            if (beyond - self.bench.state.compound.nut) * away >= 0:
                self.bench.note(step.words)
                return
            self._compound_to(beyond, -away, step.words)
            if self.bench.state.overrun:
                self._well_clear("Back off well clear, now that it is too late.")
                self._compound_to(beyond, -away, step.words)
        elif step.action.until == START:
            self._compound_to(first, away, step.words)
            if self.habit == ZEROED_EARLY and self.screw == "compound":
                back = -away * self.conditions.backlash("compound") / 2
                self.bench.turn_compound(back, why="Crank the compound back a touch to a line.")
        else:
            self._run(step.words)

    def _well_clear(self, why: str) -> None:
        bench, conditions = self.bench, self.conditions
        if conditions.route == AXIAL:
            bench.take_out_blocks(why)
            bench.lower_tip()
            bench.loosen_carriage()
            bench.move_carriage(-conditions.reach("compound"))
        else:
            out = 0.0 if conditions.bears_from > 0 else conditions.farthest("cross")
            bench.turn_cross(out - bench.state.cross.handwheel, why=why)

    def _run(self, why: str) -> None:
        conditions, away = self.conditions, self.conditions.away
        dial, travel = conditions.lathe.compound_dial, conditions.compound_travel
        unsteady = _UNSTEADY * dial.movement_per_graduation * self.chance.uniform(-1, 1)
        screw = self.bench.state.compound
        room = screw.nut if away < 0 else conditions.reach("compound") - screw.nut
        room = max(room, travel)
        if conditions.route == TAPER:
            self._along_the_taper(min(travel + unsteady, room), why)
            return
        if conditions.route == BLOCKS:
            self._to_the_stop(away, why)
            return
        self.bench.turn_compound(away * min(travel + unsteady, room), why=why)
        if self.habit == REVERSAL and self.screw == "compound":
            backlash = conditions.backlash("compound")
            over = min(max(2 * backlash, travel / 50), room - travel)
            if over > 0:
                self.bench.turn_compound(away * over, why="Crank the compound past the line.")
            self.bench.turn_compound(
                -away * (over or backlash / 2), why="Crank it back to a line, and leave it."
            )

    def _along_the_taper(self, run: float, why: str) -> None:
        """A turn at a time, an eye on the needle: near either end of its range the run stops."""
        bench, most = self.bench, self.conditions.indicator_range
        # The steeper the taper, the faster the needle goes.
        turn, left = self.conditions.lead("compound"), run
        turn *= math.cos(self.conditions.half_angle.radians)
        while left > 0 and 0.15 * most < bench.state.deflection < 0.85 * most:
            bench.turn_compound(min(turn, left), why=why if left == run else "")
            left -= turn

    def _to_the_stop(self, away: int, why: str) -> None:
        """By the stack, whatever the screw makes of it: the stop met twice by feel."""
        conditions, state = self.conditions, self.bench.state
        unit, travel = conditions.lathe.unit, conditions.compound_travel
        made = travel * (1 + TYPICAL[unit]["block_error"] * self.blocks_long)
        made += FEEL[unit] * (self.chance.uniform(-1, 1) - self.chance.uniform(-1, 1))
        pitch, lead = conditions.pitch("compound"), conditions.lead("compound")
        here, turned = state.compound.nut, made
        for _ in range(8):
            slid = pitch.slide(here + away * turned, lead) - pitch.slide(here, lead)
            turned += made - away * slid
        self.bench.turn_compound(away * turned, why=why)

    def _onto_quill(self, why: str) -> None:
        conditions, state = self.conditions, self.bench.state
        if conditions.route == TAPER:
            way = conditions.bears_from
            slack = state.cross.slack - conditions.backlash("cross") * (way > 0)
            into = conditions.indicator_range / 2 - state.deflection
            self.bench.turn_cross(way * into - slack, why=why)
            return
        backlash = conditions.backlash("cross")
        into = backlash - state.cross.slack - state.deflection
        self.bench.turn_cross(into + PRELOAD * conditions.indicator_range, why=why)
        if self.habit == ZEROED_EARLY and self.screw == "cross":
            self.bench.turn_cross(-backlash / 2, why="Turn the cross handwheel back a touch.")

    def _carriage_up(self, why: str) -> None:
        # A rack and a hand on its wheel stop where they will, near the middle of the range.
        pushed = (0.5 + 0.1 * self.chance.uniform(-1, 1)) * self.conditions.indicator_range
        self.bench.move_carriage(pushed - self.bench.state.deflection, why)

    def _zero(self, what: str, why: str) -> None:
        if what == "compound dial":
            self.bench.zero_compound_dial(why)
            return
        self.zeroed = True
        both = "cross dial" in what
        self.bench.zero_indicator(why + " First the needle." * both)
        if both:
            self.bench.zero_cross_dial("Now the cross dial.")

    def _short_of_null(self, why: str) -> None:
        conditions, state = self.conditions, self.bench.state
        slack = conditions.backlash("cross") - state.cross.slack
        to_null = state.indicator_zero - state.deflection
        self.bench.turn_cross(slack + to_null - _SHORT * conditions.indicator_range, why=why)

    def _to_null(self, why: str) -> None:
        bench, conditions = self.bench, self.conditions
        self._short_of_null(why)
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
                bench.turn_cross(-conditions.lead("cross"), why="Past it: back off a turn.")
                self._short_of_null("And come in again.")
        if self.habit == REVERSAL and self.screw == "cross":
            self._over_null_and_back()

    def _over_null_and_back(self) -> None:
        bench, conditions = self.bench, self.conditions
        over = 0.1 * conditions.indicator_range
        bench.turn_cross(over, why="Feed in past the null.")
        bench.turn_cross(
            -(over / 2 + conditions.backlash("cross")), why="Turn back to the null, and leave it."
        )
        for _ in range(60):
            reading = bench.indicator
            if reading.value is None or reading.value <= 0:
                break
            # A little less than it reads, so as not to run through the null the other way.
            quarter = conditions.indicator_graduation / 4
            bench.turn_cross(-max(reading.value - quarter, quarter))

    def _put_in(self, height: float, why: str) -> None:
        bench, step = self.bench, 0.4 * self.conditions.indicator_range
        bench.put_in_blocks(height, why)
        while not bench.state.stack and height > step:
            height = gauge_stack(height - step, self.conditions.lathe.unit).height
            bench.put_in_blocks(height)

    def _lower(self, why: str) -> None:
        bench, step = self.bench, 0.4 * self.conditions.indicator_range
        bench.lower_tip(why)
        while bench.indicator.value is None and 0 < bench.state.stack < self.conditions.face:
            height = bench.state.stack + step
            bench.lift_tip("The needle is not on its scale: lift the tip again.")
            bench.take_out_blocks()
            bench.put_in_blocks(gauge_stack(height, self.conditions.lathe.unit).height)
            bench.lower_tip()

    def _read(self, why: str) -> None:
        read_as = self.reads
        if self.habit in (DIAMETER_AS_RADIUS, RADIUS_AS_DIAMETER):
            read_as = "radius" if self.reads == "diameter" else "diameter"
        travel = self.conditions.compound_travel if self.travel_known else None
        number = len(self.bench.passes) + 1
        self.bench.read(read_as, travel, why=f"Pass {number}. {why}")

    def _swing(self, line: Pass) -> None:
        needed = line.swing_needed
        if needed is None:
            # No triangle: the slide is swung so far that one travel seems the whole of the other.
            degree = Angle.from_dms(1)
            needed = degree if self.conditions.route == AXIAL else -degree
        if self.wrong_way_left:
            needed, self.wrong_way_left = -needed, False
        degrees = 0 if self.habit == OVERRUN else abs(needed).degrees
        if degrees >= 1:
            self._well_clear("So large a swing moves the tip far: back off well clear.")
        elif degrees > 0.5 and self.conditions.route != AXIAL:
            turn = self.conditions.lead("cross") * self.conditions.bears_from
            self.bench.turn_cross(-turn, why="More than half a degree: back off a turn more.")
        way = "further" if needed.arc_seconds >= 0 else "back"
        words = self.steps.step("swing").words
        self.bench.swing(needed, f"Swing {angle_words(abs(needed))} {way}. {words}")

    def _tighten(self) -> None:
        self.bench.snug(self.steps.step("tighten").words)
