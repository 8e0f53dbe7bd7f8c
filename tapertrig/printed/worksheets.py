"""Worksheets: a sheet a learner, numbers of their own; the answer key is a page of its own."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

from tapertrig.limits import one_of
from tapertrig.practice.problem import Problem, problem
from tapertrig.practice.problems import TOPICS
from tapertrig.practice.question import Figure
from tapertrig.printed.page import PAPERS, page, save_page

MOST_LEARNERS = 99
MOST_PROBLEMS = 99
LARGEST_CLASS_SEED = 99_999
RECORD, KEY_RECORD = "tapertrig worksheets", "tapertrig answer key"
# Which lengths a sheet has: those of each problem's own unit in turn, or of one alone.
UNITS = ("in and mm", "in", "mm")

Draw = Callable[[Figure], "str | bytes"]
Progress = Callable[[int, int], None]


def problem_seed(class_seed: int, learner: int, number: int, unit: str = UNITS[0]) -> int:
    """The seed of a learner's problem, both counted from 1: class seed, learner, number in turn.

    So class seed 12, learner 3, problem 1 is seed 120301: the same problem can be called up by
    that number in the practice panel. Even seeds are in inches and odd ones in millimetres; a
    sheet of one unit takes every other number.
    """
    every_other = {"in": 2 * number, "mm": 2 * number - 1}
    return class_seed * 10_000 + learner * 100 + every_other.get(unit, number)


def worksheet_problems(
    learners: int,
    topics: Sequence[str],
    class_seed: int,
    problems_each: int,
    unit: str = UNITS[0],
) -> list[list[Problem]]:
    """Each learner's problems; topic by topic in turn, every learner with other numbers.

    ValueError for no topic, an unknown one or unit, or counts and seeds out of range.
    """
    one_of("unit", unit, UNITS)
    _whole("learners", learners, MOST_LEARNERS, 12)
    most = MOST_PROBLEMS if unit == UNITS[0] else MOST_PROBLEMS // 2
    _whole("problems for each learner", problems_each, most, 10)
    _whole("class seed", class_seed, LARGEST_CLASS_SEED, 12)
    chosen = [topics] if isinstance(topics, str) else list(topics)
    if not chosen:
        raise ValueError(f"no topic is chosen; choose some of: {', '.join(TOPICS)}")
    for topic in chosen:
        one_of("topic", topic, TOPICS)
    return [
        [
            _drawn(chosen[(n - 1) % len(chosen)], problem_seed(class_seed, learner, n, unit))
            for n in range(1, problems_each + 1)
        ]
        for learner in range(1, learners + 1)
    ]


# The key is written after the sheets, and asks for the same problems.
_drawn = lru_cache(maxsize=MOST_LEARNERS * MOST_PROBLEMS)(problem)


def worksheet(
    learners: int | Sequence[str],
    topics: Sequence[str],
    class_seed: int,
    problems_each: int = 10,
    *,
    unit: str = UNITS[0],
    draw: Draw | None = None,
    progress: Progress | None = None,
    paper: str = "any",
    title: str = "Practice: setting the compound to an angle",
) -> str:
    """Worksheets for a class as one HTML document, each problem framed with its figure.

    `learners` is how many, or their names. `draw` turns a problem's Figure into SVG text or the
    bytes of a PNG (without it the sheets have no figures); `progress(done, of)` is called after
    each problem. The same arguments give the same document, byte for byte.
    """
    one_of("paper", paper, tuple(PAPERS))
    names = _names(learners)
    given = worksheet_problems(len(names), topics, class_seed, problems_each, unit)
    of = len(names) * problems_each
    sheets, done = [], 0
    for name, problems in zip(names, given, strict=True):
        drawn: list[tuple[Problem, str | bytes | None]] = []
        for each in problems:
            drawn.append((each, draw(each.figure) if draw else None))
            done += 1
            if progress is not None:
                progress(done, of)
        sheets.append((name, drawn))
    return page("worksheets.html", title=title, record=RECORD, paper=paper, sheets=sheets)


def answer_key(
    learners: int | Sequence[str],
    topics: Sequence[str],
    class_seed: int,
    problems_each: int = 10,
    *,
    unit: str = UNITS[0],
    paper: str = "any",
) -> str:
    """The key to the worksheets of the same arguments, a page for the teacher alone.

    Beside each right answer stand the wrong numbers that the usual slips lead to, by size.
    """
    one_of("paper", paper, tuple(PAPERS))
    names = _names(learners)
    given = worksheet_problems(len(names), topics, class_seed, problems_each, unit)
    keys = [
        (name, [(each, known_slips(each)) for each in problems])
        for name, problems in zip(names, given, strict=True)
    ]
    title = f"Answer key for the instructor: class seed {class_seed}"
    return page("answer_key.html", title=title, record=KEY_RECORD, paper=paper, keys=keys)


def known_slips(each: Problem) -> list[tuple[str, tuple[str, ...]]]:
    """The wrong numbers of a problem as somebody writes them, smallest first, each with its slips.

    Named as on the screen: the slip that the practice panel names first, then others that lead to
    the same number. A number that cannot be told from the right one is left out.
    """
    told: dict[str, tuple[str, ...]] = {}
    asked = each.asked.precision
    # A small number rounded as the answer is has lost the figures it is known by.
    finer = replace(asked, places=asked.places + 2)
    for wrong in sorted(each.wrong_numbers(), key=lambda wrong: wrong.number):
        for text in (asked.show(wrong.number), finer.show(wrong.number)):
            verdict = each.check(text)
            if verdict.correct or verdict.mistake:
                break
        if not verdict.correct and verdict.mistake:
            told[text] = (*verdict.mistakes, *verdict.also)
    return list(told.items())


def save_worksheet(path: str | os.PathLike[str], text: str, *, replace: bool = False) -> Path:
    """Write worksheets or a key to a file, whole or not at all; an earlier one is replaced."""
    return save_page(path, text, replace=replace)


def _whole(name: str, value: object, most: int, example: int) -> None:
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= most:
        raise ValueError(
            f"{name} is {value!r}; it must be a whole number from 1 to {most}, as {example}"
        )


def _names(learners: int | Sequence[str]) -> list[str]:
    if isinstance(learners, str):
        raise ValueError(f"learners is {learners!r}; give how many, or a list of their names")
    if not isinstance(learners, int):
        names = [" ".join(str(name).split())[:60] for name in learners]
        _whole("number of learners", len(names), MOST_LEARNERS, 12)
        return [name or f"Learner {number}" for number, name in enumerate(names, start=1)]
    _whole("learners", learners, MOST_LEARNERS, 12)
    return [f"Learner {number}" for number in range(1, learners + 1)]
