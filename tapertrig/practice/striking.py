"""Problems that make a point in front of a class: their seeds, and what each of them shows."""

from __future__ import annotations

from dataclasses import dataclass

from tapertrig.practice.mistakes import (
    BACKLASH,
    BALL_SIGN,
    COMPOUND_FEED,
    HALVED_AFTER_ARCTANGENT,
    INCLUDED_AS_HALF,
    TOLERANCE_NOT_HALVED,
)
from tapertrig.practice.problem import Problem, problem


@dataclass(frozen=True)
class StrikingCase:
    """A problem, the usual mistake to show on it, and what the class should see."""

    topic: str
    seed: int
    mistake: str
    shows: str

    @property
    def problem(self) -> Problem:
        """The problem itself."""
        return problem(self.topic, self.seed)

    @property
    def wrong_answer(self) -> str:
        """What somebody who makes the mistake writes down, as a key would write it."""
        number = self.problem.slipped(self.mistake)
        if number is None:
            raise ValueError(f"{self.mistake} leads to no number in {self.topic} {self.seed}")
        return self.problem.asked.precision.show(number)


STRIKING = (
    StrikingCase("angle units", 21, INCLUDED_AS_HALF, "an odd degree and an odd minute to halve"),
    StrikingCase(
        "callouts", 12, HALVED_AFTER_ARCTANGENT, "halving after the arctangent, degrees out"
    ),
    StrikingCase(
        "backlash", 16, BACKLASH, "one reversal, and the angle is a third of a degree out"
    ),
    StrikingCase("boring to size", 1, COMPOUND_FEED, "the tool fed, and the size unchanged"),
    StrikingCase("two balls", 3, BALL_SIGN, "the smaller ball lies below the face"),
    StrikingCase(
        "tolerances", 14, TOLERANCE_NOT_HALVED, "less than half the tolerance can be proven"
    ),
)


def striking_cases() -> str:
    """All of them in plain text: what they show, right answer, and the usual wrong one."""
    return "\n".join(
        f"{case.topic}, seed {case.seed}: {case.shows}. Right: {case.problem.answer_text}; "
        f"wrong by {case.mistake}: {case.wrong_answer}."
        for case in STRIKING
    )
