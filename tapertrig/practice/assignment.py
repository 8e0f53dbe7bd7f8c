"""An assignment: the problems of a practice page, and what the page says to each answer."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from tapertrig.limits import one_of, whole
from tapertrig.practice.answers import example_of
from tapertrig.practice.mistakes import MISTAKES
from tapertrig.practice.problem import Problem, problem
from tapertrig.practice.problems import TOPICS
from tapertrig.practice.record import Entry, Record
from tapertrig.spelled import unspelled

MOST_PROBLEMS = 40
LARGEST_SEED = 999_999
# What a short code is made of. The order of TOPICS and MISTAKES is part of every code written
# down: new ones go to the end.
KIND = 4
UNITS = ("", "in", "mm")
MISTAKE_ROOM, TENS = 50, 60
_LETTERS = str.maketrans("0123456789", "ghijklmnop")
_NAMES = tuple(MISTAKES)


@dataclass(frozen=True)
class Assignment:
    """So many problems of some topics, topic by topic in turn; the same on every machine.

    `unit` is "in" or "mm" for all lengths, or "" for the two in turn. Another `seed` (1 to
    999,999) is other problems. ValueError for an unknown topic or a number out of range.
    """

    topics: tuple[str, ...] = TOPICS
    count: int = 10
    seed: int = 1
    unit: str = ""

    def __post_init__(self) -> None:
        for topic in self.topics:
            one_of("topic", topic, TOPICS)
        if not self.topics:
            raise ValueError(f"no topic is chosen; choose some of: {', '.join(TOPICS)}")
        whole("number of problems", self.count, 1, MOST_PROBLEMS, 10)
        whole("seed", self.seed, 1, LARGEST_SEED, 1)
        one_of("unit", self.unit, UNITS)

    @property
    def chosen(self) -> tuple[str, ...]:
        """The topics in the order of the list of all."""
        return tuple(topic for topic in TOPICS if topic in self.topics)

    @property
    def places(self) -> tuple[tuple[str, int], ...]:
        """Topic and seed of each problem, by which the practice panel calls it up too."""
        found = []
        for place in range(self.count):
            turn, at = divmod(place, len(self.chosen))
            # An odd seed is in millimetres; of one unit every second seed, so that each turn
            # brings another kind.
            seed = 2 * (self.seed + turn) + (self.unit == "mm") if self.unit else self.seed + turn
            found.append((self.chosen[at], seed if self.unit else seed + at))
        return tuple(found)

    @cached_property
    def problems(self) -> tuple[Problem, ...]:
        """The problems themselves."""
        return tuple(problem(topic, seed) for topic, seed in self.places)

    @property
    def heading(self) -> tuple[int, int, int]:
        """What a short code says of it: its topics, how many in which unit, its seed."""
        topics = sum(2 ** TOPICS.index(topic) for topic in self.chosen)
        return topics, len(UNITS) * self.count + UNITS.index(self.unit), self.seed


def record_from_code(code: str, name: str = "") -> Record:
    """The record that a practice page's short code tells; `name` is the learner's, if known.

    A code has each answer's problem, whether it was right, its mistakes and its time to ten
    seconds, not what was typed. The same answer has one identity in every code and CSV of that
    page. ValueError in words for a mistyped digit, or a line that is no such code.
    """
    kind, *rest = unspelled(code.rpartition(":")[2])
    if kind != KIND or len(rest) < 4:
        raise ValueError(
            "these digits carry no practice record, or a newer one; a setup sheet's line belongs "
            "to its job"
        )
    who, topics, size, seed, *answers = rest
    count, unit = divmod(size, len(UNITS))
    chosen = tuple(topic for place, topic in enumerate(TOPICS) if topics >> place & 1)
    places = Assignment(chosen, count, seed, UNITS[unit]).places
    entries: list[Entry] = []
    for order, number in enumerate(answers):
        number, right = divmod(number, 2)
        number, place = divmod(number, count)
        number, tens = divmod(number, TENS)
        told = [mistake for mistake in divmod(number, MISTAKE_ROOM)[::-1] if mistake]
        if any(mistake > len(_NAMES) for mistake in told):
            raise ValueError("the code tells of a mistake that is not on the list; is it newer?")
        mistakes = tuple(_NAMES[mistake - 1] for mistake in told)
        topic, seed = places[place]
        tries = 1 + sum((entry.topic, entry.seed) == (topic, seed) for entry in entries)
        own = f"{who:09d}x{order}".translate(_LETTERS)
        entries.append(Entry(topic, seed, "", bool(right), mistakes, tries, 10.0 * tens, own))
    return Record(tuple(entries), name, f"phone {who:09d}")


def told(each: Problem) -> dict[str, Any]:
    """What a page's script looks up for one problem: stretches of the number line, their words.

    `ends` are the ends of the stretches in the answer's unit and `at` for each of them, and for
    what lies past the last, its place in `said`: right, understood, message, the mistakes counted
    from 1, hint, plainer hint. `other` is the place for the right angle in the form not asked.
    """
    ends, verdicts = each.stretches()
    said: list[list[Any]] = []
    places = []
    for verdict in (*verdicts, each.in_other_form(each.answer)):
        mistakes = [_NAMES.index(name) + 1 for name in verdict.mistakes]
        words = [verdict.message, mistakes, verdict.hint, verdict.second_hint]
        one = [int(verdict.correct), int(verdict.understood), *words]
        if one not in said:
            said.append(one)
        places.append(said.index(one))
    *places, other = places
    kept = [at for at in range(len(ends)) if places[at] != places[at + 1]]
    dial = each.dial
    return {
        "unit": each.unit,
        "example": example_of(each.unit, dial),
        "dial": dial and [dial.per_turn, dial.graduation],
        "parts": each.question.asked_in_parts,
        "ends": [ends[at] for at in kept],
        "at": [*(places[at] for at in kept), places[-1]],
        "said": said,
        "other": other,
        "solution": each.solution,
    }
