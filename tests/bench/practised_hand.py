"""How near the practised hand comes: `python tests/bench/practised_hand.py --starts 1000`.

Works on that many seeded benches of every kind (both units, dial kinds, base zeros and cones;
backlash 0 to 0.5 mm) and prints how the true half angle's error is distributed, how many passes
it took, how the error stands against the angle budget, and what each careless habit ends with.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from bench_starts import bench_start

from tapertrig.bench import HABITS, Bench, careless_hand, habits_on, practised_hand, review

EDGES = (-8, -6, -5, -4, -3, -2, -1, 0, 1, 2, 3, 4, 5, 6, 8)


def spread(values: list[float]) -> str:
    """Median, 95 % and largest of the absolute values, in minutes."""
    median, most, worst = np.percentile(np.abs(values), (50, 95, 100))
    return f"median {median:6.1f}′   95 % {most:6.1f}′   largest {worst:7.1f}′"


def practised(starts: int) -> bool:
    errors, budgets, misread, passes, missed = [], [], [], Counter(), []
    began = time.process_time()
    for seed in range(starts):
        bench = Bench.under(bench_start(seed))
        worked = practised_hand(bench)
        truth = bench.truth()
        errors.append(truth.minutes)
        budgets.append(worked.budget.minutes)
        misread.append((bench.passes[-1].implied - truth.half_angle).minutes)
        passes[worked.passes] += 1
        within = abs(truth.error) <= worked.budget and worked.proven
        if not within or review(bench).findings:
            missed.append(seed)
    seconds = time.process_time() - began
    print(f"Practised hand, {starts} starts, {1000 * seconds / starts:.1f} ms of processor each")
    print(f"  error of the half angle    {spread(errors)}   mean {np.mean(errors):+.2f}′")
    print(f"  last pass, read less true  {spread(misread)}   mean {np.mean(misread):+.2f}′")
    share = np.abs(errors) / np.array(budgets)
    print(
        f"  angle budget {min(budgets):.1f}′ to {max(budgets):.1f}′; error at most {max(share):.0%}"
    )
    print("  passes:", ", ".join(f"{count} in {n}" for n, count in sorted(passes.items())))
    print("  starts out of budget, unproven or faulted:", missed or "none")
    counts, _ = np.histogram(errors, EDGES)
    longest = max(counts)
    for low, high, count in zip(EDGES, EDGES[1:], counts, strict=False):
        print(f"  {low:+3d}′ to {high:+3d}′ {count:5d} {'#' * round(50 * count / longest)}")
    return not missed


def careless(starts: int) -> None:
    print(f"\nCareless hands, {starts} starts each, on the cross screw: error they end with")
    errors: dict[str, list[float]] = {habit: [] for habit in HABITS}
    named = Counter()
    for seed in range(starts):
        conditions = bench_start(seed)
        for habit in habits_on(Bench.under(conditions)):
            bench = Bench.under(conditions)
            careless_hand(bench, habit)
            errors[habit].append(bench.truth().minutes)
            named[habit] += habit in review(bench).mistakes
    for habit, values in errors.items():
        print(f"  {habit:42} {spread(values)}   named {named[habit]} of {len(values)}")
    print("  (Not named where it cannot be made: no backlash on that screw, no swing needed.)")


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--starts", type=int, default=1000)
    parser.add_argument("--careless", type=int, default=100, help="starts for each careless habit")
    asked = parser.parse_args()
    good = practised(asked.starts)
    careless(asked.careless)
    sys.exit(0 if good else 1)
