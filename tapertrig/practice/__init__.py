"""Practice: problems without end, and a check that recognises the usual mistakes."""

from tapertrig.practice.mistakes import MISTAKES, Mistake
from tapertrig.practice.problem import Problem, Verdict, WrongNumber, mistakes_in, problem
from tapertrig.practice.problems import TOPICS
from tapertrig.practice.question import Figure
from tapertrig.practice.record import Entry, Record

__all__ = [
    "MISTAKES",
    "TOPICS",
    "Entry",
    "Figure",
    "Mistake",
    "Problem",
    "Record",
    "Verdict",
    "WrongNumber",
    "mistakes_in",
    "problem",
]
