"""How well the practice checker recognises the usual mistakes: one table for each mistake.

    python tests/bench/diagnosis.py [problems]

Draws problems of all topics (20,000 unless told otherwise), types every right answer in a third
of all forms (the next problem in the next third), every mistake's number (worked out in
tests/practice_numbers.py; exact in one problem, rounded as asked in the next) and random wrong
numbers, uniform from zero to 2.5 times the right answer. Leaves with status 1 when a promise is
missed.
"""

import math
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from practice_survey import survey

from tapertrig.practice import MISTAKES, TOPICS


def main(problems: int) -> int:
    """Run the survey, print its tables, return 0 when every promise is kept."""
    began = time.perf_counter()
    result = survey(range(math.ceil(problems / len(TOPICS))), every_form=False)
    took = time.perf_counter() - began

    print(f"{result.problems} problems, {took:.1f} s")
    print(f"right answers typed in {result.forms} forms, refused: {len(result.refused_right)}")
    print(f"answers that the tests' own formulas contradict: {len(result.disagreeing)}")
    print(f"\n{'mistake':46}{'typed':>8}{'refused %':>11}{'attributed %':>14}")
    for mistake in MISTAKES:
        typed, refused, attributed = result.by_mistake[mistake]
        print(
            f"{mistake:46}{typed:8}{100 * refused / max(1, typed):11.2f}"
            f"{100 * attributed / max(1, typed):14.2f}"
        )
    print(f"{'all mistakes':46}{'':8}{'':11}{100 * result.attributed_share:14.2f}")
    print(f"\n{'random wrong numbers':46}{'typed':>8}{'left alone %':>14}")
    for topic in TOPICS:
        typed, attributed = result.random_by_topic[topic]
        print(f"{topic:46}{typed:8}{100 - 100 * attributed / max(1, typed):14.2f}")
    print(f"{'all topics':46}{'':8}{100 * result.left_alone_share:14.2f}")

    for line in (*result.refused_right[:5], *result.disagreeing[:5], *result.unattributed[:5]):
        print("for example:", *line)
    seldom = [m for m in MISTAKES if result.by_mistake[m][0] < 20]
    accepted = [m for m, row in result.by_mistake.items() if row[1] < row[0]]
    kept = (
        not result.refused_right
        and not result.disagreeing
        and not seldom
        and not accepted
        and result.attributed_share >= 0.99
        and all(row[2] >= 0.99 * row[0] for row in result.by_mistake.values())
        and result.left_alone_share >= 0.98
    )
    print("\nevery promise kept" if kept else f"\nPROMISE MISSED {seldom} {accepted}")
    return 0 if kept else 1


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 20_000))
