"""How long the search for whole-graduation setups and a whole plan take.

    python tests/bench/setups.py [--json]

Prints, for a 5 in reach at 0.001 in and a 130 mm reach at 0.02 mm, the middle (p50) and the
slow end (p95) of 300 runs in milliseconds, each run at another angle. The goal of the search is
well under 50 ms.
"""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Callable

import numpy as np

from tapertrig import Angle, Dial, Lathe
from tapertrig.job import Callout, make_plan
from tapertrig.setup import whole_graduation_setups

RUNS = 300
LATHES = {
    "5 in at 0.001 in": Lathe("in", 5.0, Dial(0.001, 0.1), Dial(0.001, 0.2, "diameter")),
    "130 mm at 0.02 mm": Lathe("mm", 130.0, Dial(0.02, 3.0), Dial(0.02, 4.0)),
}


def milliseconds(call: Callable[[Angle], object]) -> tuple[float, float]:
    """Middle and 95th percentile of RUNS calls at RUNS angles."""
    times = []
    for run in range(RUNS):
        angle = Angle.from_dms(5 + run // 10, run % 60)
        start = time.perf_counter()
        call(angle)
        times.append((time.perf_counter() - start) * 1000)
    low, high = np.percentile(times, [50, 95])
    return float(low), float(high)


def measure() -> list[dict[str, object]]:
    """One row a lathe and a kind of work."""
    rows = []
    for name, lathe in LATHES.items():
        for work, call in (
            ("search", lambda angle, lathe=lathe: whole_graduation_setups(angle, lathe)),
            (
                "search over the whole reach",
                lambda angle, lathe=lathe: whole_graduation_setups(
                    angle, lathe, lathe.compound_dial.graduation
                ),
            ),
            (
                "whole plan",
                lambda angle, lathe=lathe: make_plan(Callout("half angle", angle, 1.25), lathe),
            ),
        ):
            p50, p95 = milliseconds(call)
            rows.append(
                {"lathe": name, "work": work, "p50_ms": round(p50, 3), "p95_ms": round(p95, 3)}
            )
    return rows


if __name__ == "__main__":
    measured = measure()
    if "--json" in sys.argv[1:]:
        print(json.dumps(measured, indent=1))
    else:
        for row in measured:
            print(
                f"{row['lathe']:<20}{row['work']:<30}"
                f"p50 {row['p50_ms']:7.3f} ms   p95 {row['p95_ms']:7.3f} ms"
            )
