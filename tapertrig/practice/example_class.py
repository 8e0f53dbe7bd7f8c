"""An invented class: answers of six learners who do not exist, for the instructor's desk."""

from __future__ import annotations

from functools import lru_cache

from tapertrig.practice import TOPICS, Problem, Record, problem
from tapertrig.practice.class_book import Answer, Classbook

MARK = "Invented example: no such class."
LEARNERS = ("Bench 1", "Bench 2", "Bench 3", "Bench 4", "Bench 5", "Bench 6")
# Which of a topic's wrong numbers each bench falls for first, as places in the list of them;
# a bench whose place is past the end of the list answers rightly at once.
LEANINGS = (0, 0, 1, 9, 0, 2)
GIVES_UP, TRIES_ON = 4, 2
TOPICS_MET = 9
SECONDS_EACH = 90.0


@lru_cache(maxsize=1)
def example_class() -> Classbook:
    """The answers of the invented class, the same each time."""
    answers: list[Answer] = []
    for place, learner in enumerate(LEARNERS):
        record = Record(name=learner)
        for number, topic in enumerate(TOPICS[:TOPICS_MET]):
            each = problem(topic, 10 * (place + 1) + number)
            texts = _typed(each, LEANINGS[place] + (place * number) % 3)
            if place == GIVES_UP and number % 3 == 2:
                texts = texts[:-1]
            elif place == TRIES_ON and len(texts) > 1:
                texts = ("1", *texts)
            for text in texts:
                record = record.add(each, text, each.check(text), SECONDS_EACH)
        answers.extend(Answer(learner, entry) for entry in record.entries)
    return Classbook(tuple(answers))


def _typed(each: Problem, leaning: int) -> tuple[str, ...]:
    """What a learner types: the number of one mistake, if the problem has it, then the answer."""
    leanings = each.question.mistakes
    wrong = [known for known in each.wrong_numbers() if known.mistakes[0] in leanings]
    if leaning >= len(wrong):
        return (each.answer_text,)
    number = wrong[leaning].number
    return (f"{number:.6f}", each.answer_text)
