"""How long a million Monte Carlo trials of the angle budget take, and one change of the budget.

    python tests/bench/monte_carlo.py [--json]

The trials (drawing, model, mean, deviation, both intervals) are set against drawing the same
random numbers alone in the same run; the goal is four times that or less. A changed budget with
its groups and prospect should take less than 2 ms, to follow a slider. Middle of several runs.
"""

from __future__ import annotations

import json
import statistics
import sys
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from tapertrig import Angle
from tapertrig.budget import ROUTES, AngleBudget, prospect
from tapertrig.demo import LATHES

TRIALS = 1_000_000
RUNS = 7
BUDGET = AngleBudget.on_lathe(next(iter(LATHES.values())), Angle.parse("20°43'"), null_repeats=5)


def seconds(call: Callable[[], object]) -> float:
    """How long one call takes."""
    start = time.perf_counter()
    call()
    return time.perf_counter() - start


def draw_alone(budget: AngleBudget) -> None:
    """The random numbers that the budget's inputs need, and nothing else."""
    random = np.random.default_rng(0)
    for item in budget.inputs:
        if item.distribution == "normal":
            random.standard_normal(TRIALS)
        else:
            random.random(TRIALS)
            if item.distribution == "triangular":
                random.random(TRIALS)


def change_and_judge(arc_seconds: int) -> None:
    """What a panel does for one slider message."""
    changed = replace(BUDGET, datum=Angle.from_arc_seconds(arc_seconds))
    prospect(changed, Angle.from_dms(0, 6))
    assert len(changed.groups) == 6


def main() -> int:
    """Print the figures; fail when a goal is missed."""
    figures: dict[str, dict[str, float]] = {}
    for route in ROUTES:
        for kind in ("rectangular", "triangular", "arcsine"):
            budget = replace(
                BUDGET,
                route=route,
                reading_distribution=kind,
                screw_distribution=kind,
                datum_distribution=kind,
                snugging_distribution=kind,
            )
            alone, whole = [], []
            # Turn about, so that a busy spell falls on both.
            for seed in range(RUNS):
                alone.append(seconds(lambda budget=budget: draw_alone(budget)))
                whole.append(
                    seconds(lambda budget=budget, seed=seed: budget.monte_carlo(TRIALS, seed))
                )
            figures[f"{route}, {kind}"] = {
                "drawing alone, s": statistics.median(alone),
                "trials, s": statistics.median(whole),
                "times": statistics.median(whole) / statistics.median(alone),
            }
    changes = [seconds(lambda value=value: change_and_judge(value)) * 1e3 for value in range(300)]
    low, high = (float(value) for value in np.percentile(changes, [50, 95]))
    if "--json" in sys.argv:
        print(json.dumps({"monte carlo": figures, "change, ms": {"p50": low, "p95": high}}))
    else:
        for name, row in figures.items():
            print(
                f"{name:28} drawing alone {row['drawing alone, s'] * 1e3:6.1f} ms   "
                f"trials {row['trials, s'] * 1e3:6.1f} ms   {row['times']:.2f} times (goal 4)"
            )
        print(f"one change of the budget     p50 {low:.2f} ms   p95 {high:.2f} ms (goal 2)")
    return int(max(row["times"] for row in figures.values()) > 4 or low > 2)


if __name__ == "__main__":
    sys.exit(main())
