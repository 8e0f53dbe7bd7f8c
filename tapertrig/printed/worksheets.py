"""Worksheets: one HTML file with a page a learner, numbers of their own, and an answer key."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from pathlib import Path

from tapertrig.limits import one_of
from tapertrig.practice.problem import Problem, problem
from tapertrig.practice.problems import TOPICS
from tapertrig.practice.question import Figure
from tapertrig.printed.page import PAPERS, page, save_page

MOST_LEARNERS = 99
MOST_PROBLEMS = 99
LARGEST_CLASS_SEED = 99_999
RECORD = "tapertrig worksheets"

Draw = Callable[[Figure], "str | bytes"]
Progress = Callable[[int, int], None]


def problem_seed(class_seed: int, learner: int, number: int) -> int:
    """The seed of a learner's problem, both counted from 1: class seed, learner, number in turn.

    So class seed 12, learner 3, problem 1 is seed 120301: the same problem can be called up by
    that number in the practice panel.
    """
    return class_seed * 10_000 + learner * 100 + number


def worksheet_problems(
    learners: int, topics: Sequence[str], class_seed: int, problems_each: int
) -> list[list[Problem]]:
    """Each learner's problems; topic by topic in turn, every learner with other numbers.

    ValueError for no topic, an unknown one, or counts and seeds out of range.
    """
    _whole("learners", learners, MOST_LEARNERS, 12)
    _whole("problems for each learner", problems_each, MOST_PROBLEMS, 10)
    _whole("class seed", class_seed, LARGEST_CLASS_SEED, 12)
    chosen = [topics] if isinstance(topics, str) else list(topics)
    if not chosen:
        raise ValueError(f"no topic is chosen; choose some of: {', '.join(TOPICS)}")
    for topic in chosen:
        one_of("topic", topic, TOPICS)
    return [
        [
            problem(chosen[(number - 1) % len(chosen)], problem_seed(class_seed, learner, number))
            for number in range(1, problems_each + 1)
        ]
        for learner in range(1, learners + 1)
    ]


def worksheet(
    learners: int | Sequence[str],
    topics: Sequence[str],
    class_seed: int,
    problems_each: int = 10,
    *,
    draw: Draw | None = None,
    progress: Progress | None = None,
    paper: str = "any",
    title: str = "Practice: setting the compound to an angle",
) -> str:
    """Worksheets for a class, with the answer key behind them, as one HTML document.

    `learners` is how many, or their names. `draw` turns a problem's Figure into SVG text or the
    bytes of a PNG (without it the sheets have no figures); `progress(done, of)` is called after
    each problem. The same arguments give the same document, byte for byte.
    """
    one_of("paper", paper, tuple(PAPERS))
    names = _names(learners)
    given = worksheet_problems(len(names), topics, class_seed, problems_each)
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
    return page(
        "worksheets.html",
        title=title,
        record=RECORD,
        paper=paper,
        sheets=sheets,
        keys=[(name, _key(problems)) for name, problems in zip(names, given, strict=True)],
        class_seed=class_seed,
    )


def save_worksheet(path: str | os.PathLike[str], text: str, *, replace: bool = False) -> Path:
    """Write worksheets to a file, whole or not at all; earlier worksheets are replaced."""
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


def _key(problems: list[Problem]) -> list[tuple[str, ...]]:
    return [
        (str(number), each.topic, str(each.seed), each.answer_text, each.asked.precision.margin)
        for number, each in enumerate(problems, start=1)
    ]
