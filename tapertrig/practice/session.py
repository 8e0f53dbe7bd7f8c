"""A practice session: where a learner stands, what was answered, and what to say next."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property

from tapertrig.practice.problem import Problem, Verdict, problem
from tapertrig.practice.problems import TOPICS
from tapertrig.practice.record import TRIES_BEFORE_SOLUTION, Record

COPIED = "The solution was in sight already, so this one is not counted as solved."


@dataclass(frozen=True)
class Feedback:
    """What to show after an answer: the verdict in words, a hint, the worked solution, or none."""

    message: str = ""
    hint: str = ""
    solution: str = ""


@dataclass(frozen=True)
class Session:
    """One learner at one problem; every change makes a new session.

    `typed` and `verdict` are the last answer to the present problem, and what it was.
    """

    topic: str = TOPICS[0]
    seed: int = 1
    record: Record = field(default_factory=Record)
    typed: str = ""
    verdict: Verdict | None = None

    @cached_property
    def problem(self) -> Problem:
        """The present problem; ValueError for an unknown topic or a seed that is none."""
        return problem(self.topic, self.seed)

    @property
    def tries(self) -> int:
        """How many answers were given to the present problem."""
        return self.record.tries(self.topic, self.seed)

    @property
    def solved(self) -> bool:
        """Whether the last answer was right."""
        return self.verdict is not None and self.verdict.correct

    @property
    def feedback(self) -> Feedback:
        """After a first wrong answer a hint, after a second one a plainer hint, then the solution.

        A right answer brings the worked solution too, to compare with one's own way. Text that was
        no answer is no try and brings nothing here; `verdict.message` says how to write one.
        """
        verdict = self.verdict
        if verdict is None or not verdict.understood:
            return Feedback()
        if verdict.correct:
            copied = self.tries > TRIES_BEFORE_SOLUTION
            told = verdict.message + (f" {COPIED}" if copied else "")
            return Feedback(told, solution=verdict.solution)
        if self.tries >= TRIES_BEFORE_SOLUTION:
            return Feedback(verdict.message, verdict.second_hint, verdict.solution)
        return Feedback(verdict.message, verdict.second_hint if self.tries > 1 else verdict.hint)

    @property
    def score(self) -> str:
        """The running record: problems solved, problems met, answers given."""
        entries = self.record.entries
        met = {(entry.topic, entry.seed) for entry in entries}
        solved = {(entry.topic, entry.seed) for entry in entries if entry.solved}
        answers = "answer" if len(entries) == 1 else "answers"
        return f"{len(solved)} right of {len(met)} tried, {len(entries)} {answers}"

    def answer(self, text: str, seconds: float) -> Session:
        """Check an answer and keep it in the record.

        The text just answered, sent once more, and any text after the right answer change nothing:
        a key held too long is no second try.
        """
        if self.solved or (self.verdict is not None and text.strip() == self.typed.strip()):
            return self
        verdict = self.problem.check(text)
        record = self.record.add(self.problem, text, verdict, seconds)
        return replace(self, record=record, typed=text, verdict=verdict)

    def at(self, topic: str, seed: int) -> Session:
        """The same learner at another problem."""
        return replace(self, topic=topic, seed=seed, typed="", verdict=None)

    def in_topic(self, topic: str) -> Session:
        """The same learner where they left a topic, or at its first problem of the present unit."""
        if any(entry.topic == topic for entry in self.record.entries):
            place = self.record.place(topic)
            return self.at(place.topic, place.seed)
        return self.at(topic, self.seed)

    def following(self, in_turn: bool = False) -> Session:
        """The next problem not yet done: of the same topic, or of the next topic in turn."""
        topic, seed = self.topic, self.seed
        while True:
            if in_turn:
                place = TOPICS.index(topic) + 1
                topic, seed = TOPICS[place % len(TOPICS)], seed + place // len(TOPICS)
            else:
                seed += 1
            if not self.record.done(topic, seed):
                return self.at(topic, seed)

    def with_record(self, record: Record, topic: str | None = None) -> Session:
        """Go on from a record: the last problem if it is unsolved, else the one after it."""
        place = record.place(topic)
        return Session(place.topic, place.seed, record)
