"""What a practice question is made of: drawn numbers, text, answer, and how it goes wrong.

A `Question` states one kind of problem: which numbers are drawn, the text, how the answer is worked
out with the core, and how somebody with slips works it. With no slips that is the right answer by
a formula of its own, so that each checks the other.

Texts, steps and labels are templates. They name a problem's `Numbers`: "{compound_travel}" is a
length as a dial shows it, with its unit, "{answer:1}" shows one decimal more, "{answer:+1}" its
sign too, "{turns:g}" or "{sin:.6f}" a plain number, "{half}" an angle, "{dial.reads}" part of one.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from types import SimpleNamespace
from typing import Any

from tapertrig.angle import Angle
from tapertrig.lathe import Dial
from tapertrig.practice.mistakes import (
    DEGREES_FOR_MINUTES,
    FORM_GIVEN,
    TURN_MISCOUNTED,
    WRONG_UNIT,
    Given,
    Slips,
    Somebody,
)
from tapertrig.practice.shop import Shop

HALVED = "Half angle: {included_angle} / 2 = {half}."
HALVED_FOR_TANGENT = "Half angle: {included_angle} / 2 = {half}; its tangent is {tan:.6f}."
# The slip of answering in another unit, and by what factor the answer is then out.
_BY_UNIT = {"in": (WRONG_UNIT, 25.4), "′": (DEGREES_FOR_MINUTES, 60.0)}
TWICE_OR_ONCE = "A dial that reads {dial.reads} shows {dial.factor} × "


@dataclass(frozen=True)
class Precision:
    """How close an answer must be: its unit, what counts as right, and the words that say so.

    `unit` is "in", "mm", "°", "′", "″", "in/ft" or "1:x"; `tolerance` is in that unit and is
    never less than the rounding asked for, so an answer rounded as asked is always right.
    `signed` is True where plus and minus both occur and mean different things.
    """

    unit: str
    tolerance: float
    words: str
    places: int = 3
    decimal: bool = False
    signed: bool = False

    @property
    def margin(self) -> str:
        """The tolerance with its unit, as “±1′”."""
        if self.unit == "°" and not self.decimal:
            seconds = round(self.tolerance * 3600)
            return f"±{seconds // 60}′" if seconds % 60 == 0 else f"±{seconds}″"
        gap = "" if self.unit in ("°", "′", "″") else " "
        return f"±{self.tolerance:g}{gap}{'' if self.unit == '1:x' else self.unit}".strip()

    def show(self, value: float) -> str:
        """The answer as the key and the worked solution write it."""
        if self.unit == "°" and not self.decimal:
            angle = Angle.from_degrees(value)
            return angle.dms() if self.places else angle.dm()
        mark = self.unit if self.unit in ("°", "′", "″") else f" {self.unit}"
        if self.unit == "1:x":
            return f"1:{value:.{self.places}f}"
        return f"{value:{'+' if self.signed else ''}.{self.places}f}{mark}"


TO_THE_SECOND = Precision(
    "°", 2 / 3600, "in degrees, minutes and seconds, to the nearest second (±2″ counts as right)"
)
TO_TEN_SECONDS = Precision(
    "°", 10 / 3600, "in degrees, minutes and seconds, to the nearest 10″ (±10″ counts as right)"
)
TO_THE_MINUTE = Precision(
    "°", 1 / 60, "in degrees and minutes, to the nearest minute (±1′ counts as right)", 0
)
DECIMAL_DEGREES = Precision(
    "°", 0.001, "in decimal degrees, to three places (±0.001° counts as right)", 3, True
)
TENTHS_OF_A_MINUTE = Precision(
    "′", 0.1, "in minutes, to the nearest 0.1′ (±0.1′ counts as right)", 1
)
TENTHS_OF_A_SECOND = Precision(
    "″", 0.1, "in seconds of arc, to the nearest 0.1″ (±0.1″ counts as right)", 1
)


def lengths_within(inch: float, mm: float, *, signed: bool = False) -> dict[str, Precision]:
    """An answer that is a length, right within ±`inch` or ±`mm`: how close it must be, by unit."""
    return {
        unit: Precision(
            unit,
            tolerance,
            f"in {name}, to the nearest {tolerance:g} {unit} (±{tolerance:g} {unit} counts as "
            "right)",
            len(f"{tolerance:.6f}".rstrip("0").partition(".")[2]),
            signed=signed,
        )
        for unit, name, tolerance in (("in", "inches", inch), ("mm", "millimetres", mm))
    }


@dataclass(frozen=True)
class Figure:
    """What a picture of the problem would show, in plain values, for the draw floor to turn into
    a picture.

    `kind` names the scene: "angle", "parallel lines", "cone", "setup triangle", "dial", "base",
    "lost motion", "budget", "bore", "balls", "rolls" or "tolerance". `words` says what is to be
    seen, for a reader who cannot see it, and never gives the answer away. `shape` holds true
    sizes (degrees; lengths in the problem's unit), `labels` the text beside each quantity given,
    `asked` the quantity that bears a question mark. `.state` is all of these in one plain dict.
    """

    kind: str
    words: str
    shape: tuple[tuple[str, float | str | bool], ...]
    labels: tuple[tuple[str, str], ...]
    asked: str

    @property
    def state(self) -> dict[str, object]:
        """Sizes by name, with "labels" (a dict) and "asked" beside them."""
        return {**dict(self.shape), "labels": dict(self.labels), "asked": self.asked}


class Length(float):
    """A number that a template writes as a length of its unit."""

    unit: str

    def __format__(self, spec: str) -> str:
        if not re.fullmatch(r"\+?\d?", spec):
            return float(self).__format__(spec)
        places = Shop.places_in(self.unit) + int(spec.lstrip("+") or 0)
        return f"{float(self):{'+' if spec[:1] == '+' else ''}.{places}f} {self.unit}"


class Numbers(SimpleNamespace):
    """The numbers of one problem by name: those drawn, and what was worked out from them.

    An included angle brings its `half`, and a dial itself; sine, cosine and tangent are of `half`.
    """

    def __init__(self, unit: str, drawn: Mapping[str, float | str]) -> None:
        super().__init__(unit=unit, **drawn)
        if "included_degrees" in drawn:
            included = Angle.from_dms(self.included_degrees, self.included_minutes)
            self.included_angle, self.half = included.dm(), included.half()
        if "dial_factor" in drawn:
            reads = "diameter" if self.dial_factor == 2 else "radius"
            self.dial = Dial(self.dial_graduation, self.dial_per_turn, reads)
            self.dial_words = (
                f"The cross dial reads {reads}; one graduation is {self.dial_graduation:g} {unit}, "
                f"one turn {self.dial_per_turn:g} {unit}."
            )

    @property
    def sin(self) -> float:
        """Sine of the half angle."""
        return math.sin(self.half.radians)

    @property
    def cos(self) -> float:
        """Cosine of the half angle."""
        return math.cos(self.half.radians)

    @property
    def tan(self) -> float:
        """Tangent of the half angle."""
        return math.tan(self.half.radians)

    def __getitem__(self, name: str) -> Any:
        value = getattr(self, name)
        if not isinstance(value, int | float):
            return value
        length = Length(value)
        length.unit = self.unit
        return length

    def write(self, template: str) -> str:
        """A template with these numbers in it."""
        return template.format_map(self)


@dataclass(frozen=True)
class Picture:
    """A kind of figure: its scene, its words, and the sizes that give it its shape.

    `asking` names what bears a question mark and what is labelled: a bare name stands for the
    number of that name, a named template for itself.
    """

    kind: str
    words: str
    shape: Callable[[Numbers], Mapping[str, float | str | bool]]

    def asking(self, asked: str, *names: str, **templates: str) -> Callable[[Numbers], Figure]:
        """How the figure of a problem comes of its numbers."""
        labels = {name: f"{{{name}}}" for name in names} | templates

        def drawn(numbers: Numbers) -> Figure:
            return Figure(
                self.kind,
                numbers.write(self.words),
                tuple(self.shape(numbers).items()),
                tuple((name, numbers.write(template)) for name, template in labels.items()),
                asked,
            )

        return drawn


@dataclass(frozen=True)
class Asked:
    """One problem as drawn: the numbers, what is asked, the right answer and the way to it."""

    question: Question
    numbers: Numbers
    given: Mapping[str, float]
    precision: Precision
    answer: float

    @cached_property
    def text(self) -> str:
        """The problem in words."""
        return self.numbers.write(self.question.text)

    @cached_property
    def steps(self) -> tuple[str, ...]:
        """The worked solution."""
        return tuple(self.numbers.write(step) for step in self.question.steps)

    @cached_property
    def figure(self) -> Figure:
        """What a picture of it would show."""
        return self.question.figure(self.numbers)

    def further(self) -> Iterator[tuple[str, float, float]]:
        """Slips that have no part in the drawing: name, number, how near to it an answer must be.

        A number out by a factor is known by its figures alone: near 0 everything would be.
        """
        for name, slip in self.question.further.items():
            yield name, slip(self.numbers), math.inf
        if self.question.unit in _BY_UNIT:
            name, factor = _BY_UNIT[self.question.unit]
            for number in (self.answer * factor, self.answer / factor):
                yield name, number, 0.05 * abs(number)
        if self.dial is not None and self.answer >= self.dial.per_turn:
            for turn in (-self.dial.per_turn, self.dial.per_turn):
                yield TURN_MISCOUNTED, self.answer + turn, math.inf

    @property
    def dial(self) -> Dial | None:
        """The dial that an answer in turns + graduations counts on, where one may be given."""
        return self.numbers.dial if self.question.turns else None


@dataclass(frozen=True)
class Question:
    """A kind of problem: how to draw one, which usual mistakes it invites, and its own hints.

    `draw` brings the numbers given (what is a word, or `unsaid`, serves the text or the picture
    alone); `work` adds "answer" and whatever else the templates name; `slipped` is the number
    that somebody arrives at. `hints` points at the idea, then more directly; `hints_for` does so
    where one mistake needs other words here. `turns`: the answer may be given on the dial.
    `further` are slips whose numbers follow from the right ones; they do not choose what is drawn,
    since a record names its problems by seed. `asked_in_parts`: whether degrees and minutes, or
    (False) decimals, are the very thing asked for.
    """

    name: str
    topic: str
    draw: Callable[[Shop], Mapping[str, float | str]]
    text: str
    precision: Precision | Mapping[str, Precision]
    work: Callable[[Numbers], Mapping[str, Any]]
    figure: Callable[[Numbers], Figure]
    steps: tuple[str, ...]
    slipped: Callable[[Somebody], float]
    mistakes: tuple[str, ...]
    hints: tuple[str, str]
    hints_for: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    unsaid: tuple[str, ...] = ()
    units: tuple[str, ...] = ("in", "mm")
    turns: bool = False
    further: Mapping[str, Callable[[Numbers], float]] = field(default_factory=dict)
    asked_in_parts: bool | None = None

    @property
    def recognised(self) -> tuple[str, ...]:
        """Every usual mistake that an answer to this kind of problem may tell of."""
        return (
            *self.mistakes,
            *self.further,
            *_BY_UNIT.get(self.unit, ())[:1],
            *((TURN_MISCOUNTED,) if self.turns else ()),
            *(() if self.asked_in_parts is None else (FORM_GIVEN,)),
        )

    @property
    def unit(self) -> str:
        """The unit of its answers, "in" where that may be "mm" too."""
        precision = self.precision
        return precision.unit if isinstance(precision, Precision) else "in"

    def build(self, shop: Shop) -> Asked:
        """Draw one problem of this kind."""
        drawn = self.draw(shop)
        numbers = Numbers(shop.unit, drawn)
        vars(numbers).update(self.work(numbers))
        precision = self.precision
        if not isinstance(precision, Precision):
            precision = precision[shop.unit]
        answer = numbers.answer
        if isinstance(answer, Angle):
            answer = answer.minutes if precision.unit == "′" else answer.degrees
        given = {
            name: value
            for name, value in drawn.items()
            if not isinstance(value, str) and name not in self.unsaid
        }
        return Asked(self, numbers, given, precision, answer)

    def number(self, given: Given, slips: Slips) -> float:
        """The number that somebody with these slips arrives at."""
        return self.slipped(Somebody(given, slips))
