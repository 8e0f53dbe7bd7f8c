"""The bench at one moment, and the one place where an action makes a new state of it.

Seen from above, the spindle axis lies along the bed. Positive handwheel movement feeds the
compound slide towards the headstock and the cross slide in, towards the axis. An internal cone's
slide nears the axis on its way to the headstock; an external cone's leaves it. The tip bears on
the quill's side, or on the axial route on a face at the headstock. No move drives it further in
than the indicator has: there it stops, and what going on would have cost is counted.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from tapertrig.angle import Angle
from tapertrig.bench.conditions import FLATTEST, STEEPEST, BenchConditions
from tapertrig.bench.lost_motion import WhichScrew, play
from tapertrig.lathe import length_text
from tapertrig.procedure import AXIAL, TAPER
from tapertrig.setup import half_angle_from, half_angle_from_axial, swing_from_known_taper

KINDS = (
    "start",
    "turn compound",
    "turn cross",
    "swing",
    "snug",
    "lock carriage",
    "loosen carriage",
    "zero indicator",
    "zero compound dial",
    "zero cross dial",
    "read",
    "move carriage",
    "lift tip",
    "lower tip",
    "put in blocks",
    "take out blocks",
    "half round",
    "note",
)
OFF = "off the quill"
PAST = "past its range"
CLEAR = "touching nothing"
LIFTED = "lifted"
# A tip stopped at the end of its range stands there to this share of it.
_HAIR = 1e-6


@lru_cache(maxsize=8192)
def _chance(seed: int, what: str, count: int) -> float:
    """A number from −1 to 1, the same for the same seed, cause and count."""
    return random.Random(f"{seed} {what} {count}").uniform(-1.0, 1.0)


def _as_read(shown: float, graduation: float) -> float:
    # A person divides the gap between two lines in half, no finer.
    return round(2 * shown / graduation) * graduation / 2 + 0.0


@dataclass(frozen=True, slots=True)
class Screw:
    """One screw: where handwheel and nut stand, and where the dial's ring was set to zero.

    The nut trails the handwheel by 0 (last turned back) to the lost motion (last turned forward).
    """

    handwheel: float
    nut: float
    ring_zero: float

    @property
    def slack(self) -> float:
        """Handwheel less nut: 0 to the lost motion. Equal at both ends of a faultless check."""
        return self.handwheel - self.nut

    @property
    def movement(self) -> float:
        """Handwheel movement since the ring was set to zero."""
        return self.handwheel - self.ring_zero


@dataclass(frozen=True, slots=True)
class IndicatorReading:
    """What the indicator says: a value as a person reads it, or None and the reason in words."""

    value: float | None
    words: str

    @property
    def at_null(self) -> bool:
        """Whether the needle is at its zero, as near as a person sees it."""
        return self.value == 0.0


@dataclass(frozen=True, slots=True)
class Pass:
    """One line of the column of passes: dial readings as read, what they imply, what is needed.

    `compound_reading` and `cross_reading` are what the dials show (signed from their zero).
    `read_as` is how the cross dial was taken, `travel` the compound travel it was worked out
    with. `implied` and `swing_needed` (positive: swing further) are None when the readings make
    no triangle. `snugged` tells whether the compound was snug, so that this pass proves it.
    `axial` is stack and needle together, on the axial route with the needle on its scale; along a
    known taper how far the needle was let out. Of the second of two sweeps, spindle half round,
    `implied` is the mean of both.
    """

    number: int
    step: int
    compound_reading: float
    cross_reading: float
    read_as: str
    travel: float
    indicator: str
    at_null: bool
    snugged: bool
    implied: Angle | None
    swing_needed: Angle | None
    axial: float | None = None


@dataclass(frozen=True)
class BenchState:
    """Everything about the bench at one moment, true values included; never changed.

    `half_angle` (radians) is the true angle of the slide to the spindle axis. `stray` and
    `carriage` are how far a loose carriage has let the tool go, square to the axis and along it;
    on the axial route `carriage` is where it stands. `turned` is whether the spindle stands half
    round, `turned_after` how many passes were read before it was turned. `overrun` is how much
    further than the indicator has the last action would have driven the tip, `overruns` how many
    actions would.
    """

    conditions: BenchConditions
    step: int
    compound: Screw
    cross: Screw
    half_angle: float
    snugged: bool = False
    locked: bool = False
    carriage: float = 0.0
    stray: float = 0.0
    indicator_zero: float = 0.0
    swings: int = 0
    snugs: int = 0
    moved_at: int = 0
    passes: tuple[Pass, ...] = ()
    lifted: bool = False
    stack: float = 0.0
    overrun: float = 0.0
    overruns: int = 0
    turned: bool = False
    turned_after: int = 0

    def screw(self, name: WhichScrew) -> Screw:
        """The compound or the cross screw."""
        return self.compound if name == "compound" else self.cross

    def slide(self, name: WhichScrew) -> float:
        """Where that slide truly stands, from the rear end of its reach."""
        conditions = self.conditions
        return conditions.pitch(name).slide(self.screw(name).nut, conditions.lead(name))

    def slide_angle(self) -> Angle:
        """The true angle of the slide to the spindle axis."""
        return Angle.from_radians(self.half_angle)

    @property
    def _along(self) -> float:
        return self.slide("compound") - self.conditions.reach("compound") / 2

    @property
    def _across(self) -> float:
        """How far the tip stands out from where it does with both slides in the middle."""
        conditions = self.conditions
        out = conditions.outward * self._along * math.sin(self.half_angle) + self.stray
        return out - (self.slide("cross") - conditions.cross_reach / 2)

    @property
    def tool_axial(self) -> float:
        """The indicator's place along the axis, towards the headstock, from the quill's middle."""
        return self.carriage + self._along * math.cos(self.half_angle)

    @property
    def deflection(self) -> float:
        """How far the tip is pushed in by what it bears on; negative is the gap left between."""
        conditions, slope = self.conditions, self.conditions.quill_slope
        if conditions.route == AXIAL:
            return self.tool_axial + self.stack - conditions.face - slope * self._across
        if conditions.route == TAPER:
            lean = conditions.taper_lean.radians * (-1 if self.turned else 1)
            side = conditions.half_angle.radians + math.atan(slope) + lean
            return math.tan(side) * self.tool_axial - conditions.bears_from * self._across
        return slope * self.tool_axial - self._across

    @property
    def tip_out(self) -> float:
        """Distance from the spindle axis to the indicator's tip, were the quill not in its way."""
        conditions = self.conditions
        if conditions.route == AXIAL:
            return 0.55 * conditions.reach("compound") + self._across
        side = conditions.quill_radius + conditions.quill_slope * self.tool_axial
        return side - self.deflection

    @property
    def on_quill(self) -> bool:
        """Whether the indicator stands beside the quill, or before the face, at all."""
        axial = self.conditions.route == AXIAL
        return axial or abs(self.tool_axial) <= self.conditions.quill_length / 2

    @property
    def crushed(self) -> float:
        """How much further the tip is driven in than the indicator has; 0 if it is not."""
        return max(self.deflection - self.conditions.indicator_range, 0.0) * self.on_quill

    @property
    def indicated(self) -> float:
        """Deflection with the scatter of the indicator, whether it touches or not."""
        conditions = self.conditions
        scatter = _chance(conditions.seed, "null", self.moved_at)
        return self.deflection + conditions.indicator_repeatability * scatter

    @property
    def indicator(self) -> IndicatorReading:
        """What a person reads from the indicator, to half a graduation."""
        conditions, deflection = self.conditions, self.deflection
        if self.lifted:
            return IndicatorReading(None, LIFTED)
        if deflection < 0 or not self.on_quill:
            return IndicatorReading(None, CLEAR if conditions.route == AXIAL else OFF)
        if deflection > conditions.indicator_range * (1 - _HAIR):
            return IndicatorReading(None, PAST)
        value = _as_read(self.indicated - self.indicator_zero, conditions.indicator_graduation)
        places = 5 if conditions.lathe.unit == "in" else 3
        sign = "+" if value > 0 else ""
        return IndicatorReading(value, sign + length_text(value, conditions.lathe.unit, places))

    def dial_shown(self, name: WhichScrew) -> float:
        """What that dial shows, exactly, signed from its zero; for drawing its face."""
        return float(self.conditions.dial(name).reading(self.screw(name).movement))

    def dial_read(self, name: WhichScrew) -> float:
        """What a person reads from that dial, to half a graduation."""
        return _as_read(self.dial_shown(name), self.conditions.dial(name).graduation)

    @property
    def base_shown(self) -> Angle:
        """What the compound's base shows, exactly; for drawing its scale."""
        square = self.conditions.lathe.base_zero == "square to bed"
        return self.slide_angle().complement() if square else self.slide_angle()

    @property
    def base_read(self) -> Angle:
        """What a person reads from the base's whole degrees, to half a degree."""
        return Angle.from_degrees(_as_read(self.base_shown.degrees, 1.0))


@dataclass(frozen=True, slots=True)
class Action:
    """One thing done. `value` is the handwheel position asked for, or the swing in radians.

    For "read", `value` is the compound travel it is worked out with (0: as the dial says) and
    `read_as` how the cross dial is taken.
    """

    kind: str
    value: float = 0.0
    read_as: str = ""


def start(conditions: BenchConditions) -> BenchState:
    """The bench as found: set by eye, slack anywhere, rings anywhere, carriage loose."""

    def chance(what: str) -> float:
        return _chance(conditions.seed, what, 0)

    def screw(name: str, nut: float) -> Screw:
        handwheel = nut + conditions.backlash(name) * (0.5 + 0.5 * chance(f"{name} slack"))
        return Screw(handwheel, nut, handwheel + conditions.lead(name) * chance(f"{name} ring"))

    reach = conditions.reach("compound")
    nut = reach * (0.5 + 0.3 * chance("compound place"))
    angle = conditions.half_angle.radians + conditions.eye_error.radians * chance("by eye")
    angle = min(max(angle, FLATTEST), STEEPEST)
    along = nut - reach / 2
    stand_off = reach * (0.12 + 0.05 * chance("stand-off"))
    axial = conditions.route == AXIAL
    touching = conditions.cross_reach / 2 + conditions.outward * along * math.sin(angle)
    if conditions.route == TAPER:
        slope = math.tan(conditions.half_angle.radians)
        touching -= conditions.outward * along * math.cos(angle) * slope
    return BenchState(
        conditions=conditions,
        step=0,
        compound=screw("compound", nut),
        cross=screw(
            "cross",
            conditions.cross_reach / 2 if axial else touching - conditions.bears_from * stand_off,
        ),
        half_angle=angle,
        carriage=conditions.face - along * math.cos(angle) - stand_off if axial else 0.0,
    )


Changes = dict[str, Any]


def _turned(state: BenchState, name: str, asked: float) -> Changes:
    conditions, screw, moment = state.conditions, state.screw(name), state.step + 1
    handwheel = min(max(asked, 0.0), conditions.farthest(name))
    nut = play(handwheel, screw.nut, conditions.backlash(name))
    changes: Changes = {name: Screw(handwheel, nut, screw.ring_zero), "moved_at": moment}
    if not state.locked:
        shake, seed = conditions.carriage_shake, conditions.seed
        changes["stray"] = shake * _chance(seed, "stray", moment)
        changes["carriage"] = state.carriage + shake * _chance(seed, "creep", moment)
    return changes


def _swung(state: BenchState, radians: float, **changes: Any) -> Changes:
    angle = min(max(state.half_angle + radians, FLATTEST), STEEPEST)
    return {"half_angle": angle, "moved_at": state.step + 1, **changes}


def _tap(state: BenchState, asked: float) -> float:
    """What a swing of so many radians by light blows comes to."""
    conditions, count = state.conditions, state.swings
    miss = conditions.tap_scatter * asked * _chance(conditions.seed, "tap share", count)
    return asked + miss + conditions.tap_step.radians * _chance(conditions.seed, "tap step", count)


def _bite(state: BenchState) -> float:
    """How far the compound swings as its bolts bite."""
    conditions = state.conditions
    shift = conditions.snug_shift.radians * _chance(conditions.seed, "snug", state.snugs)
    return 0.0 if state.snugged else shift


def _stopped(state: BenchState, part: Callable[[float], Changes]) -> Changes:
    """The move `part(1)`, or as much of it as does not drive the tip past what it has."""

    def after_part(share: float) -> BenchState:
        return replace(state, **part(share))

    whole = after_part(1.0)
    always = state.on_quill and whole.on_quill
    if always and not whole.crushed:
        return part(1.0)
    # Off the quill's end, that end may be met on the way, and passed.
    shares = [1.0] if always else [n / 32 for n in range(1, 33)]
    most = after_part(0.0).crushed + _HAIR * _HAIR
    low, high = 0.0, next((n for n in shares if after_part(n).crushed > most), 2.0)
    if high > 1:
        return part(1.0)
    over = max(whole.crushed, after_part(high).crushed)
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (low, middle) if after_part(middle).crushed > most else (middle, high)
    return {**part(low), "overrun": over, "overruns": state.overruns + 1}


def _turn_to(state: BenchState, name: str, asked: float) -> Changes:
    here = state.screw(name).handwheel
    there = min(max(asked, 0.0), state.conditions.farthest(name))

    def part(share: float) -> Changes:
        return _turned(state, name, there if share == 1 else here + share * (there - here))

    return _stopped(state, part)


def _swing_by(state: BenchState, radians: float, **changes: Any) -> Changes:
    return _stopped(state, lambda share: _swung(state, share * radians, **changes))


def _carried(state: BenchState, asked: float) -> Changes:
    if state.locked:
        return {}
    here, moment = state.carriage, state.step + 1
    return _stopped(
        state, lambda share: {"carriage": here + share * (asked - here), "moved_at": moment}
    )


def _blocks_in(state: BenchState, height: float) -> Changes:
    # The tip can be lifted no further than the indicator has; a taller stack does not go in.
    fits = state.deflection - state.stack + height <= state.conditions.indicator_range
    return {"stack": height, "moved_at": state.step + 1} if state.lifted and fits else {}


def _ring_set(state: BenchState, name: str) -> Changes:
    screw = state.screw(name)
    return {name: Screw(screw.handwheel, screw.nut, screw.handwheel)}


def _read(state: BenchState, action: Action) -> Changes:
    conditions, indicator = state.conditions, state.indicator
    compound, cross = state.dial_read("compound"), state.dial_read("cross")
    travel = action.value or abs(float(conditions.lathe.compound_dial.movement(compound)))
    movement = abs(cross) / (2 if action.read_as == "diameter" else 1)
    axial, by_axial = None, conditions.route == AXIAL
    if by_axial:
        # The needle is plus where the gap is larger than the stack, so where it is let out.
        axial = None if indicator.value is None else state.stack - indicator.value
        movement = axial or 0.0
    implied = None
    if conditions.route == TAPER:
        movement, axial = 0.0, None if indicator.value is None else -indicator.value
        if axial is not None and travel > abs(axial):
            wanted = conditions.half_angle
            implied = wanted + swing_from_known_taper(axial, travel, wanted)
            before = state.passes[-1].implied if state.passes else None
            if before is not None and state.turned_after == len(state.passes):
                implied = (implied + before).half()
    if 0 < movement < travel * (1 - 1e-12):
        told_by = half_angle_from_axial if by_axial else half_angle_from
        implied = told_by(travel, movement)
    line = Pass(
        number=len(state.passes) + 1,
        step=state.step + 1,
        compound_reading=compound,
        cross_reading=cross,
        read_as=action.read_as,
        travel=travel,
        indicator=indicator.words,
        at_null=indicator.at_null,
        snugged=state.snugged,
        implied=implied,
        swing_needed=None if implied is None else conditions.half_angle - implied,
        axial=axial,
    )
    return {"passes": (*state.passes, line)}


def after(state: BenchState, action: Action) -> BenchState:
    """The state that an action makes of a state: the one place where anything changes."""
    match action.kind:
        case "turn compound":
            changes = _turn_to(state, "compound", action.value)
        case "turn cross":
            changes = _turn_to(state, "cross", action.value)
        case "swing":
            swing = _tap(state, action.value)
            changes = _swing_by(state, swing, swings=state.swings + 1, snugged=False)
        case "snug":
            changes = _swing_by(state, _bite(state), snugs=state.snugs + 1, snugged=True)
        case "move carriage":
            changes = _carried(state, action.value)
        case "lift tip" | "lower tip":
            changes = {"lifted": action.kind == "lift tip"}
        case "put in blocks":
            changes = _blocks_in(state, action.value)
        case "take out blocks":
            changes = {"stack": 0.0}
        case "half round":
            changes = {"turned": not state.turned, "turned_after": len(state.passes)}
        case "note":
            changes = {}
        case "lock carriage":
            changes = {"locked": True}
        case "loosen carriage":
            changes = {"locked": False}
        case "zero indicator":
            # The bezel follows the needle, which rests at either end of its range.
            needle = min(max(state.indicated, 0.0), state.conditions.indicator_range)
            changes = {"indicator_zero": needle}
        case "zero compound dial":
            changes = _ring_set(state, "compound")
        case "zero cross dial":
            changes = _ring_set(state, "cross")
        case "read":
            changes = _read(state, action)
        case kind:
            raise ValueError(f"action is {kind!r}; it must be one of {', '.join(KINDS[1:])}")
    return replace(state, **{"overrun": 0.0, **changes, "step": state.step + 1})
