"""Dial and Lathe: graduations, radius or diameter reading, base zero, reach and backlash.

`LatheBook`, which keeps lathes by name in a file, is in `lathe_book.py` and can be had from here.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from importlib import import_module
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from tapertrig.angle import Angle, half_angle_radians
from tapertrig.limits import (
    Given,
    finite,
    line_of_text,
    not_negative,
    numbers,
    one_of,
    positive,
    real_date,
    where_given,
    whole,
)

if TYPE_CHECKING:
    from tapertrig.lathe_book import LatheBook as LatheBook

BASE_ZEROS = ("parallel to bed", "square to bed")
UNITS = ("in", "mm")
READS = ("radius", "diameter")
MM_PER_INCH = 25.4
REACH_SLACK = 1e-9  # of the reach: what rounding may add to a travel of the whole reach
UNIT_WORDS = {"in": "inches", "mm": "millimetres"}
TOO_FAR = "compound travel is {travel} {unit}; this slide reaches {reach} {unit}"
MEANT_TURNS = "; did you mean {turns} turns?"
_PLACES = {"in": 4, "mm": 3}
STEEPEST_QUILL = 0.05
# A reading as it is said, in small letters: turns, a number or a fraction, the unit. A page's
# script reads by the same pattern.
READING = (
    r"\s*(?:(\d{1,6})\s*(?:turns?|t)(?![a-z])[\s,;+]*(?:then|and)?\s*)?"
    r"(?:(\d{1,6}(?:[.,]\d{0,9})?|[.,]\d{1,9})|(?:(\d{1,4})[ -]+)?(\d{1,4})/([1-9]\d{0,3}))?"
    r"\s*(in|mm)?\s*"
)
READING_EXAMPLES = {"in": "9 turns .047, or 1.847", "mm": "15 turns 1.92, or 46.92"}
READING_REFUSED = {
    "no reading": "“{text}” is no dial reading I can take; write it as {example}",
    "other unit": "“{text}” is not in {named}, as this dial is; write it as {example}",
    "past a turn": "“{text}” has a turn or more beside the turns counted, and one turn of this "
    "dial is {turn} {unit}; write it as {example}",
}


def in_unit(length: float | Given, unit: str, wanted: str) -> Given:
    """A length of one unit in the other; 1 in is 25.4 mm exactly (ISO 80000-3)."""
    one_of("unit", unit, UNITS)
    one_of("unit", wanted, UNITS)
    length = numbers("length", length, 1.25)
    if unit == wanted:
        return length
    return length * MM_PER_INCH if unit == "in" else length / MM_PER_INCH


def places_written(unit: str) -> int:
    """Decimal places of a length as it is written: 4 in inches, 3 in millimetres."""
    return _PLACES[one_of("unit", unit, UNITS)]


def length_text(length: float, unit: str, places: int | None = None) -> str:
    """A length with its unit, to 0.0001 in or 0.001 mm unless `places` says otherwise."""
    places = places_written(unit) if places is None else whole("places", places, 0, 12, 4)
    return f"{length:z.{places}f} {unit}".replace("-", "−")


def figure_text(value: float, unit: str) -> str:
    """A dial's figure as it is said: .018 in inches, 0.36 in millimetres."""
    text = f"{value:.5f}".rstrip("0").rstrip(".")
    return (text.removeprefix("0") if unit == "in" else text) or "0"


def between(window: tuple[float, float], unit: str) -> str:
    """The two ends of a window as they are written, rounded inwards so that both lie in it."""
    for places in range(places_written(unit), 9):
        scale = 10**places
        low, high = math.ceil(window[0] * scale - 1e-6), math.floor(window[1] * scale + 1e-6)
        if low <= high:
            break
    ends = f"{low / scale:z.{places}f} and {high / scale:z.{places}f} {unit}"
    return ends.replace("-", "−")


class DialReading(NamedTuple):
    """A reading as a hand turns it: whole turns, whole graduations, and what is left over."""

    turns: int
    graduations: int
    remainder: float


@dataclass(frozen=True)
class Dial:
    """A graduated collar. `graduation` and `per_turn` are what the dial shows, not the slide.

    A radius-reading dial shows slide movement; a diameter-reading one shows twice that.
    """

    graduation: float
    per_turn: float
    reads: str = "radius"

    def __post_init__(self) -> None:
        positive("dial graduation", self.graduation, 0.001)
        positive("dial reading per turn", self.per_turn, 0.1)
        one_of("dial reads", self.reads, READS)
        count = self.per_turn / self.graduation
        if count < 1.5 or abs(count - round(count)) > 1e-6 * count:
            raise ValueError(
                f"dial graduation {self.graduation:g} does not divide one turn of "
                f"{self.per_turn:g} into whole graduations; for example 0.001 into 0.100"
            )

    @property
    def factor(self) -> int:
        """What the dial shows per unit of slide movement: 1 (radius) or 2 (diameter)."""
        return 2 if self.reads == "diameter" else 1

    @property
    def graduations_per_turn(self) -> int:
        """How many graduations go round the dial."""
        return round(self.per_turn / self.graduation)

    @property
    def movement_per_graduation(self) -> float:
        """Slide movement for one graduation."""
        return self.graduation / self.factor

    def reading(self, movement: float | Given) -> Given:
        """What the dial shows for a slide movement (float or array)."""
        return numbers("slide movement", movement, 1.5) * self.factor

    def movement(self, reading: float | Given) -> Given:
        """The slide movement for a dial reading (float or array)."""
        return numbers("dial reading", reading, 1.5) / self.factor

    def split(self, reading: float) -> DialReading:
        """Whole turns, whole graduations, remainder; a remainder within 1e-6 of a line is zero."""
        total = finite("dial reading", reading, 1.5) / self.graduation
        whole = math.floor(total + 1e-6)
        remainder = (total - whole) * self.graduation
        if abs(total - whole) <= 1e-6:
            remainder = 0.0
        turns, graduations = divmod(whole, self.graduations_per_turn)
        return DialReading(turns, graduations, remainder)

    def settle(self, reading: float, unit: str) -> float:
        """The reading on the line it is as good as on, nearer than half the last place written.

        Without this 0.87799991 on a 0.001 in dial would be a graduation short and 0.0010 in over.
        """
        line = self.nearest(reading)
        half_a_place = 0.5 * 10.0 ** -places_written(unit)
        return line if abs(reading - line) <= half_a_place * (1 + 1e-6) else reading

    def words(self, reading: float, unit: str) -> str:
        """A reading as a hand turns it: “9 turns, then .047”, the last line split by eye."""
        turns, graduations, remainder = self.split(self.settle(reading, unit))
        places = len(f"{self.graduation:.6f}".rstrip("0").partition(".")[2])
        if remainder:
            places = max(places, places_written(unit))
        rest = f"{graduations * self.graduation + remainder:.{places}f}"
        if unit == "in":
            rest = rest.removeprefix("0")
        whole = f"{turns} turn{'' if turns == 1 else 's'}" if turns else ""
        if not graduations and not remainder:
            return whole or "0"
        return f"{whole}, then {rest}" if whole else rest

    def read(self, text: str, unit: str) -> float:
        """A reading as a hand says it: “9 turns .047”, 1.847, 0,047, 1 27/32; `words` back again.

        ValueError, quoting it, for what is none, is of another unit, or has a turn or more beside
        the turns that were counted.
        """
        said = re.fullmatch(READING, text.lower(), re.ASCII)
        turns, number, whole, over, under, own = said.groups() if said else [None] * 6
        rest = float((number or "0").replace(",", "."))
        if over:
            rest = float(whole or 0) + float(over) / float(under or 1)
        wrong = ""
        if not (turns or number or over):
            wrong = "no reading"
        elif own not in (None, unit):
            wrong = "other unit"
        elif turns and rest > self.per_turn * (1 - REACH_SLACK):
            wrong = "past a turn"
        if wrong:
            example = READING_EXAMPLES[one_of("unit", unit, UNITS)]
            told = {"text": text.strip()[:40], "unit": unit, "example": example}
            told["named"] = UNIT_WORDS[unit]
            turn = figure_text(self.per_turn, unit)
            raise ValueError(READING_REFUSED[wrong].format(**told, turn=turn))
        return float(turns or 0) * self.per_turn + rest

    def nearest(self, reading: float | Given) -> Given:
        """The reading at the nearest whole graduation (float or array)."""
        return np.round(numbers("dial reading", reading, 1.5) / self.graduation) * self.graduation


@dataclass(frozen=True)
class Lathe:
    """A lathe as this job sees it. Lengths in `unit`; backlash is of slide movement.

    `compound_reach` is the usable compound travel, end to end. `base_zero` says how the compound
    slide stands when its base reads zero, and `base_radius` is the radius of the base's rim.
    `parked` says in a line how the slide is parked where it is stiffest; the backlashes carry the
    day each was measured (2026-11-26); `quill_slope` is how far the quill's side comes towards
    you per unit of length towards the headstock, a ratio (0.0005 is 1.7′).
    What nobody has found out or measured is None.
    """

    unit: str
    compound_reach: float | None
    compound_dial: Dial
    cross_dial: Dial
    base_zero: str | None = "parallel to bed"
    compound_backlash: float | None = None
    cross_backlash: float | None = None
    base_radius: float | None = None
    name: str = ""
    parked: str | None = field(default=None, metadata={"later": True})
    compound_backlash_measured: str | None = field(default=None, metadata={"later": True})
    cross_backlash_measured: str | None = field(default=None, metadata={"later": True})
    quill_slope: float | None = field(default=None, metadata={"later": True})

    def __post_init__(self) -> None:
        one_of("unit", self.unit, UNITS)
        if self.base_zero is not None:
            one_of("base zero", self.base_zero, BASE_ZEROS)
        where_given(self, positive, compound_reach=4.0, base_radius=2.5)
        where_given(self, not_negative, compound_backlash=0.008, cross_backlash=0.008)
        if self.parked is not None and not line_of_text("how the slide is parked", self.parked):
            object.__setattr__(self, "parked", None)
        for name in ("compound backlash", "cross backlash"):
            day = getattr(self, f"{name.replace(' ', '_')}_measured")
            if day is not None:
                real_date(line_of_text(f"{name} measured", day), f"the day {name} was measured")
                if getattr(self, name.replace(" ", "_")) is None:
                    raise ValueError(f"{name} is not given, but was measured on {day}; give both")
        slope = self.quill_slope
        if slope is not None and abs(finite("quill's slope", slope, 0.0005)) > STEEPEST_QUILL:
            raise ValueError(
                f"quill's slope is {slope:g}; it must lie within ±{STEEPEST_QUILL}, as 0.0005"
            )

    def figures(self) -> dict[str, str]:
        """What is known of the lathe, by name and in words; “not given” where nothing is."""

        def length(value: float | None, day: str | None = None) -> str:
            told = "not given" if value is None else f"{value:.10g} {self.unit}"
            return told if day is None else f"{told}, measured {day}"

        def dial(one: Dial) -> str:
            shows = "the diameter" if one.reads == "diameter" else "slide movement"
            fine = figure_text(one.graduation, self.unit)
            turn = f"{one.per_turn:.{len(fine.partition('.')[2])}f}"
            turn = turn.removeprefix("0") if self.unit == "in" else turn
            return f"{fine} a graduation, {turn} a turn, reads {shows}"

        slope = self.quill_slope
        return {
            "Usable compound travel": length(self.compound_reach),
            "Compound dial": dial(self.compound_dial),
            "Cross dial": dial(self.cross_dial),
            "Base zero": "not given" if self.base_zero is None else f"slide {self.base_zero}",
            "Radius of the base's rim": length(self.base_radius),
            "Slide parked": self.parked or "not given",
            "Compound backlash": length(self.compound_backlash, self.compound_backlash_measured),
            "Cross backlash": length(self.cross_backlash, self.cross_backlash_measured),
            "Quill's slope": "not given"
            if slope is None
            else f"{slope:.10g} {self.unit} per {self.unit}",
        }

    def base_reading(self, half_angle: Angle) -> Angle:
        """What the base shows with the slide at the half angle: α, or 90° − α, exactly.

        ValueError when nobody has said which zero the base uses.
        """
        half_angle_radians(half_angle)
        return self._other_way(half_angle)

    def half_angle_at(self, base_reading: Angle) -> Angle:
        """The half angle that a base reading stands for: the way back from `base_reading`.

        ValueError for a reading past either end of the quarter turn that half angles lie in.
        """
        found = self._other_way(base_reading)
        if not 0 <= found.degrees <= 90:
            raise ValueError(
                f"base reading is {base_reading}, which would be a half angle of {found}; half "
                "angles lie between 0° and 90°, for example 26°55′"
            )
        return found

    def _other_way(self, angle: Angle) -> Angle:
        if self.base_zero is None:
            raise ValueError(
                "which zero the base uses is not given; say “parallel to bed” or “square to bed”"
            )
        return angle if self.base_zero == "parallel to bed" else angle.complement()

    def usable_travel(self) -> float:
        """How far the compound slide goes, end to end; ValueError when nobody has given it."""
        if self.compound_reach is None:
            raise ValueError(
                "how far the compound slide goes is not given; crank it from end to end and give "
                f"its usable travel, in {UNIT_WORDS[self.unit]}"
            )
        return self.compound_reach

    @property
    def take_up(self) -> float:
        """Slide movement of half a compound turn: what the run-up before the start needs."""
        return self.compound_dial.movement(self.compound_dial.per_turn) / 2

    def check_reach(self, compound_travel: float) -> float:
        """Return the travel; ValueError when the compound slide cannot make it."""
        travel = positive("compound travel", compound_travel, self.compound_reach or 2.5)
        if self.compound_reach is not None and travel > self.compound_reach * (1 + REACH_SLACK):
            raise ValueError(
                f"compound travel is {travel:g} {self.unit}; this slide reaches "
                f"{self.compound_reach:g} {self.unit}, so choose that or less"
            )
        return travel

    def check_read(self, compound_reading: float) -> float:
        """The travel that a compound dial's reading stands for; ValueError where it is too far."""
        dial, reach = self.compound_dial, self.compound_reach
        travel = dial.movement(compound_reading)
        if reach is None or travel <= reach * (1 + REACH_SLACK):
            return travel
        said = [f"{one:.{places_written(self.unit)}f}" for one in (travel, reach)]
        told = TOO_FAR.format(travel=said[0], reach=said[1], unit=self.unit)
        longest = reach * (1 + REACH_SLACK)
        fits = compound_reading % 1 == 0 and compound_reading * self.take_up * 2 <= longest
        if fits and compound_reading > 1:
            told += MEANT_TURNS.format(turns=f"{compound_reading:.0f}")
        raise ValueError(told)


def what_changed(lathe: Lathe, now: Lathe) -> tuple[str, ...]:
    """What is otherwise in `now`, each in words: “Cross dial was …, now …”; () when nothing is."""
    if lathe == now:
        return ()
    then, there = lathe.figures(), now.figures()
    told = [
        f"{name} was {then[name]}, now {there[name]}" for name in then if then[name] != there[name]
    ]
    if lathe.name != now.name:
        told.insert(0, f"name was “{lathe.name}”, now “{now.name}”")
    return tuple(told) or ("a figure, by less than is shown",)


def __getattr__(name: str) -> Any:
    """The lathe book stands a floor higher, beside the jobs; loaded when it is first asked for."""
    if name == "LatheBook":
        return getattr(import_module("tapertrig.lathe_book"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
