"""All kinds of problem, by topic. To add one, write it in a topic's file and it is here."""

from __future__ import annotations

from tapertrig.practice.problems import (
    angles,
    boring,
    budget,
    callouts,
    checking,
    gauging,
    longer,
    tapers,
    tolerances,
    triangle,
)
from tapertrig.practice.question import Question

TOPICS = (
    "angle units",
    "parallel lines",
    "callouts",
    "setup triangle",
    "dials",
    "base zero",
    "correction",
    "backlash",
    "budget",
    "boring to size",
    "one ball",
    "two balls",
    "rolls",
    "tolerances",
    "longer than the slide",
    "showing blue",
    "known taper",
    "several cones",
)

QUESTIONS: dict[str, tuple[Question, ...]] = {
    topic: tuple(
        question
        for module in (
            angles,
            callouts,
            triangle,
            checking,
            budget,
            boring,
            gauging,
            tolerances,
            longer,
            tapers,
        )
        for question in module.QUESTIONS
        if question.topic == topic
    )
    for topic in TOPICS
}
