"""problem(topic, seed): one practice problem, the same on every machine; checking an answer."""

from __future__ import annotations

import itertools
import math
import operator
import random
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from tapertrig.lathe import Dial
from tapertrig.limits import one_of
from tapertrig.practice.answers import in_parts, read_answer
from tapertrig.practice.mistakes import (
    AFTER_HALVING,
    FORM_GIVEN,
    MINUTES_AS_DECIMALS,
    MISTAKES,
    Slips,
)
from tapertrig.practice.problems import QUESTIONS, TOPICS
from tapertrig.practice.question import Asked, Figure, Question
from tapertrig.practice.shop import Shop

MOST_DRAWS = 60
# A mistake's number stands at least so many tolerances from the right answer and, where the
# numbers allow it, from the number of another mistake.
CLEAR_OF_RIGHT = 3.0
CLEAR_OF_EACH_OTHER = 2.5
NEAR = 6.0
# So little over, in tolerances, is the computer's own rounding.
HAIR = 1e-9


@dataclass(frozen=True)
class Verdict:
    """What an answer was: right or not, the mistake that explains it, and what to say about it.

    `understood` is False when the text was no answer at all; `message` then says how to write
    one. `mistakes` holds the one or two usual mistakes that together lead to the number, `mistake`
    the first of them, None when none of them explains it. `also` holds single mistakes that would
    lead to the same number. `hint` points at the idea, `second_hint` is more direct, `solution` is
    the worked solution; which of them to show, and when, is for the caller to say.
    """

    correct: bool
    understood: bool
    value: float | None
    message: str
    mistakes: tuple[str, ...] = ()
    also: tuple[str, ...] = ()
    hint: str = ""
    second_hint: str = ""
    solution: str = ""

    @property
    def mistake(self) -> str | None:
        """The name of the (first) mistake, or None."""
        return self.mistakes[0] if self.mistakes else None


class WrongNumber(NamedTuple):
    """A number that one mistake, or two at once, lead to, known when it is met within `within`."""

    mistakes: tuple[str, ...]
    number: float
    within: float = math.inf


@dataclass(frozen=True)
class Problem:
    """One problem: what is asked, the numbers in it, the right answer, and how to check another.

    `answer` and `tolerance` are in `unit` ("in", "mm", "°", "′", "″", "in/ft" or "1:x"). `given`
    is a plain dict of the numbers used, lengths in inches or millimetres as the text says.
    """

    topic: str
    seed: int
    question: Question
    asked: Asked

    @property
    def kind(self) -> str:
        """Which kind of problem within the topic."""
        return self.question.name

    @property
    def text(self) -> str:
        """The problem in words, with the unit and tolerance of the answer."""
        return f"{self.asked.text} Answer {self.asked.precision.words}."

    @property
    def figure(self) -> Figure:
        """What a picture of it would show, in plain values."""
        return self.asked.figure

    @property
    def unit(self) -> str:
        """The unit of `answer` and `tolerance`."""
        return self.asked.precision.unit

    @property
    def tolerance(self) -> float:
        """How far an answer may lie from `answer` and still be right."""
        return self.asked.precision.tolerance

    @property
    def given(self) -> dict[str, float]:
        """The numbers used, as a dict of its own."""
        return dict(self.asked.given)

    @property
    def answer(self) -> float:
        """The right answer, unrounded."""
        return float(self.asked.answer)

    @property
    def answer_text(self) -> str:
        """The right answer as a key writes it, with its unit."""
        return self.asked.precision.show(self.asked.answer)

    @property
    def dial(self) -> Dial | None:
        """The dial that an answer in turns + graduations counts on, where one may be given."""
        return self.asked.dial

    @property
    def solution(self) -> str:
        """The worked solution, one step a line."""
        return "\n".join(self.asked.steps)

    def slipped(self, *mistakes: str) -> float | None:
        """The number that somebody with these mistakes arrives at; None where there is none."""
        return _number(self.question, self.asked, frozenset(mistakes))

    def wrong_numbers(self) -> tuple[WrongNumber, ...]:
        """The numbers that single mistakes lead to, those that differ from the right answer."""
        return self._singles

    @cached_property
    def _singles(self) -> tuple[WrongNumber, ...]:
        further = (
            WrongNumber((mistake,), number, within)
            for mistake, number, within in self.asked.further()
            if abs(number - self.answer) > self.tolerance
        )
        return (*_singles(self.question, self.asked), *further)

    @cached_property
    def _pairs(self) -> tuple[WrongNumber, ...]:
        return tuple(_pairs(self.question, self.asked))

    def check(self, text: str) -> Verdict:
        """Read a typed answer and say whether it is right, or which usual mistakes explain it."""
        try:
            values = read_answer(text, self.unit, self.dial)
        except ValueError as error:
            return self._wrong(None, str(error))
        verdicts = [self.judge(value) for value in values]
        found = next((v for v in verdicts if v.correct or not v.understood), verdicts[0])
        wanted = self.question.asked_in_parts
        if found.correct and wanted is not None and in_parts(text) is (not wanted):
            return self.in_other_form(found.value)
        return found

    def judge(self, value: float) -> Verdict:
        """What a number in `unit` is, however it was written."""
        if self._is_right(value):
            told = f"Right: {self.answer_text}."
            return Verdict(True, True, value, told, solution=self.solution)
        if not self.asked.precision.signed and value < 0 and self._is_right(-value):
            return self._wrong(
                None, "Did you mean the minus? No minus can stand here; write it once more without"
            )
        return self._diagnosis(value)

    def in_other_form(self, value: float | None) -> Verdict:
        """What the right angle is, in degrees and minutes for decimals or the other way."""
        message = "The angle is right, but it is not yet in the form asked for."
        return self._wrong(value, message, (FORM_GIVEN,))

    def stretches(self) -> tuple[list[float], list[Verdict]]:
        """The number line cut where the verdict may change: each end, and what lies up to it.

        One verdict more than ends, for what lies past the last. The ends stand clear of every
        number that is still within, by less than anybody types.
        """
        right = WrongNumber((), self.answer)
        near = WrongNumber((), self.answer, NEAR * self.tolerance)
        known = [
            (sign * one.number, min(one.within, self.tolerance))
            for one in (right, *self._singles, *self._pairs)
            for sign in (1, -1)
        ]
        cuts = {0.0}
        for number, reach in [*known, (near.number, near.within)]:
            cuts |= {number - reach * (1 + HAIR / 2), number + reach * (1 + HAIR / 2)}
        for (one, its), (two, other) in itertools.combinations(known, 2):
            if 0 < abs(two - one) <= its + other:
                # Where one explains as well as the other, the first named does.
                middle = one + (two - one) * its / (its + other)
                cuts |= {middle - HAIR * its, middle + HAIR * its}
        ends = sorted(cuts)
        middles = [(low + high) / 2 for low, high in itertools.pairwise(ends)]
        return ends, [self.judge(one) for one in (ends[0] - 1, *middles, ends[-1] + 1)]

    def _wrong(
        self,
        value: float | None,
        message: str,
        mistakes: tuple[str, ...] = (),
        also: tuple[str, ...] = (),
    ) -> Verdict:
        """A verdict with the hints of these mistakes, or of the problem where there are none."""
        hints = [
            self.question.hints_for.get(name) or (MISTAKES[name].idea, MISTAKES[name].direct)
            for name in mistakes
        ] or [self.question.hints]
        idea, direct = (" ".join(told) for told in zip(*hints, strict=True))
        understood = value is not None
        return Verdict(
            False, understood, value, message, mistakes, also, idea, direct, self.solution
        )

    def _is_right(self, value: float) -> bool:
        return self._within(value, 1)

    def _within(self, value: float, tolerances: float) -> bool:
        return abs(value - self.answer) <= tolerances * self.tolerance * (1 + HAIR)

    def _explains(self, wrong: WrongNumber, value: float) -> float:
        """How far a typed value is from a wrong number, in tolerances.

        A learner who gets a negative length or angle where there can be none writes it down
        without its sign, so that counts too.
        """
        distance = abs(value - wrong.number)
        if value > 0 > wrong.number and not self.asked.precision.signed:
            distance = abs(value + wrong.number)
        return distance / min(self.tolerance, wrong.within)

    def _diagnosis(self, value: float) -> Verdict:
        mistakes, also = self._explained(value)
        if len(mistakes) == 1:
            message = f"Not right. This number comes from one of the usual mistakes: {mistakes[0]}."
        elif mistakes:
            message = (
                "Not right. Two of the usual mistakes together lead to this number: "
                f"{mistakes[0]}, and {mistakes[1]}."
            )
        elif self._within(value, NEAR):
            message = (
                "Very near, but outside what counts as right. Keep all the decimals until the last "
                "step, then round."
            )
        else:
            message = "That is not it, and none of the usual mistakes leads to this number."
        return self._wrong(value, message, mistakes, also)

    def _explained(self, value: float) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """The mistakes that explain a value, and single ones that would do as well."""
        singles = _nearest(self._singles, value, self._explains)
        if singles:
            names = list(dict.fromkeys(wrong.mistakes[0] for wrong in singles))
            return (names[0],), tuple(names[1:])
        pairs = _nearest(self._pairs, value, self._explains)
        return (pairs[0].mistakes, ()) if pairs else ((), ())


def _nearest(
    wrong_numbers: Sequence[WrongNumber],
    value: float,
    distance: Callable[[WrongNumber, float], float],
) -> list[WrongNumber]:
    """Those within one tolerance of the value, the nearest first."""
    ranked = [(round(distance(wrong, value), 9), wrong) for wrong in wrong_numbers]
    within = [pair for pair in ranked if pair[0] <= 1]
    return [wrong for _, wrong in sorted(within, key=operator.itemgetter(0))]


def _number(question: Question, asked: Asked, slips: Slips) -> float | None:
    """The number these slips lead to; None where the calculator would show an error."""
    try:
        number = question.number(asked.given, slips)
    except (ValueError, ZeroDivisionError, OverflowError):
        return None
    return number if math.isfinite(number) else None


def _routes(mistake: str, asked: Asked) -> Iterator[Slips]:
    """The ways in which one mistake is made: nearly always one."""
    yield frozenset((mistake,))
    # Halving an even number of degrees leaves nothing over, and both ways give one number.
    if mistake == MINUTES_AS_DECIMALS and asked.given.get("included_degrees", 0) % 2:
        yield frozenset((mistake, AFTER_HALVING))


def _singles(question: Question, asked: Asked) -> Iterator[WrongNumber]:
    exact = 1e-6 * asked.precision.tolerance
    for mistake in question.mistakes:
        for slips in _routes(mistake, asked):
            number = _number(question, asked, slips)
            if number is not None and abs(number - asked.answer) > exact:
                yield WrongNumber((mistake,), number)


def _pairs(question: Question, asked: Asked) -> Iterator[WrongNumber]:
    """Numbers of two mistakes at once, where that is neither right nor the number of one."""
    singles: dict[str, list[float]] = {}
    for wrong in _singles(question, asked):
        singles.setdefault(wrong.mistakes[0], []).append(wrong.number)
    apart = 2 * asked.precision.tolerance
    for first, second in itertools.combinations(singles, 2):
        for one, two in itertools.product(_routes(first, asked), _routes(second, asked)):
            number = _number(question, asked, one | two)
            known = (asked.answer, *singles[first], *singles[second])
            if number is not None and all(abs(number - other) > apart for other in known):
                yield WrongNumber((first, second), number)


def _crowding(question: Question, asked: Asked) -> int:
    """How badly the mistakes of a drawn problem are told apart: 0 when all stand clear."""
    tolerance = asked.precision.tolerance
    wrong = list(_singles(question, asked))
    crowding = sum(
        100 for one in wrong if abs(one.number - asked.answer) < CLEAR_OF_RIGHT * tolerance
    )
    for one, two in itertools.combinations(wrong, 2):
        apart = abs(one.number - two.number)
        # Two mistakes that always lead to one number, as cosine for sine and the complement do,
        # cannot be told apart by any choice of numbers.
        same = apart <= 1e-6 * tolerance or one.mistakes == two.mistakes
        crowding += not same and apart < CLEAR_OF_EACH_OTHER * tolerance
    return crowding


def problem(topic: str, seed: int) -> Problem:
    """The problem of this topic and seed: the same text, numbers and answer on every machine.

    Even seeds are in inches and odd ones in millimetres, where the problem has lengths. ValueError
    for an unknown topic (the message lists them) or a seed that is no whole number.
    """
    one_of("topic", topic, TOPICS)
    seed = operator.index(seed)
    unit = "mm" if seed % 2 else "in"
    source = random.Random(f"{topic}:{seed}")
    shop = Shop(source, unit)
    kinds = [question for question in QUESTIONS[topic] if unit in question.units]
    # Each unit goes through all kinds in turn, and neighbouring seeds differ in kind.
    question = kinds[(seed // 2 + seed % 2 * ((len(kinds) + 1) // 2)) % len(kinds)]
    best = question.build(shop)
    least = _crowding(question, best)
    for _ in range(MOST_DRAWS - 1):
        if least == 0:
            break
        asked = question.build(shop)
        crowding = _crowding(question, asked)
        if crowding < least:
            best, least = asked, crowding
    return Problem(topic, seed, question, best)


def mistakes_in(topic: str) -> tuple[str, ...]:
    """The usual mistakes that a problem of this topic can recognise."""
    one_of("topic", topic, TOPICS)
    return tuple(dict.fromkeys(m for q in QUESTIONS[topic] for m in q.recognised))
