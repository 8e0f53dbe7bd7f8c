"""The indicating bench: lost motion, dials, indicator, quill, and the review of what was done."""

from tapertrig.bench.bench import Bench, Step, Truth, angle_words
from tapertrig.bench.conditions import BenchConditions
from tapertrig.bench.hands import HABITS, Worked, careless_hand, habits_on, practised_hand
from tapertrig.bench.lost_motion import PitchError, play, play_path, reversal_cost
from tapertrig.bench.performing import Performed, perform
from tapertrig.bench.reviewing import (
    MISTAKES,
    REMEDIES,
    Finding,
    Review,
    error_sources,
    review,
)
from tapertrig.bench.state import OFF, PAST, Action, BenchState, IndicatorReading, Pass, Screw

__all__ = [
    "HABITS",
    "MISTAKES",
    "OFF",
    "PAST",
    "REMEDIES",
    "Action",
    "Bench",
    "BenchConditions",
    "BenchState",
    "Finding",
    "IndicatorReading",
    "Pass",
    "Performed",
    "PitchError",
    "Review",
    "Screw",
    "Step",
    "Truth",
    "Worked",
    "angle_words",
    "careless_hand",
    "error_sources",
    "habits_on",
    "perform",
    "play",
    "play_path",
    "practised_hand",
    "reversal_cost",
    "review",
]
