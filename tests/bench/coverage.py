"""How often a stated U holds the truth, when the scatter is known from few readings.

    python tests/bench/coverage.py [--count 20000] [--json]

Half angles of the slide by both routes, the null's scatter from n nulls, and of parts by two balls
and over rolls, each row read n times. Truth and readings are drawn here. U is the kit's: worked out
for all trials at once, and for some of them by the kit, which must agree. `rest` is all else over
the scatter, as standard deviations. Repeats are normal and independent, or else:
rectangular, arcsine, or correlated (each reading 0.5 with the one before it).
"""

from __future__ import annotations

import argparse
import json
import math
from itertools import product

import numpy as np
from scipy import signal, stats

from tapertrig import Angle
from tapertrig.budget import AXIAL, CROSS, AngleBudget
from tapertrig.gauging.inspection import Inspection
from tapertrig.job import Callout, Gauge, Instrument, Readings

KINDS = ("normal", "rectangular", "arcsine", "correlated")
METHODS = ("two balls", "rolls and blocks")
DEGREES = (3, 20, 45, 70, 85)
REPEATS = (2, 3, 5, 10)
RESTS = (0.0, 0.3, 1.0)
ASKED = 30


def repeats(random, kind, shape):
    """Readings about zero with standard deviation one, along the last axis."""
    if kind == "normal":
        return random.standard_normal(shape)
    if kind == "rectangular":
        return random.uniform(-math.sqrt(3), math.sqrt(3), shape)
    if kind == "arcsine":
        return math.sqrt(2) * np.sin(random.uniform(-math.pi, math.pi, shape))
    fresh = random.standard_normal(shape)
    fresh[..., 1:] *= math.sqrt(0.75)
    return signal.lfilter([1], [1, -0.5], fresh)


def agrees(held, told, within=1e-6):
    """That U worked out for all trials at once is the kit's, in those of them the kit was asked."""
    np.testing.assert_allclose(held[: len(told)], told, rtol=within)


def slide_covered(route, degrees, count, rest, kind="normal", trials=20_000, seed=1):
    """Share of slide checks whose half angle lies within U of the true one."""
    random, alpha, travel, null = np.random.default_rng(seed), math.radians(degrees), 2.6, 2e-5
    side = travel * (math.sin(alpha) if route == CROSS else math.cos(alpha))
    known = repeats(random, kind, (trials, count)).std(axis=1, ddof=1) * null
    ends = repeats(random, kind, (trials, 2)) * null
    line = rest * null
    off = random.standard_normal((trials, 2)) * line
    inverse = np.arcsin if route == CROSS else np.arccos
    found = inverse((side + np.diff(ends + off, axis=1)[:, 0]) / travel)

    def kits(spread):
        return AngleBudget(
            Angle.from_degrees(degrees), travel, route, cross_reading=line, axial_reading=line,
            null=float(spread), null_repeats=count, reading_distribution="normal",
        ).expanded()  # fmt: skip

    # The scatter adds its own square to that of all else.
    all_else = kits(0.0)
    held = np.sqrt(all_else**2 + (kits(null) ** 2 - all_else**2) * (known / null) ** 2)
    agrees(held, [kits(spread) for spread in known[:ASKED]])
    return float((abs(found - alpha) <= held).mean())


def part_covered(method, degrees, count, rest, kind="normal", trials=20_000, seed=1):
    """Shares of parts whose face diameter and half angle lie within U of the true ones.

    Of those whose U is stated: with an outlier that nobody has dealt with there is none.
    """
    random, alpha, face, spread = np.random.default_rng(seed), math.radians(degrees), 20.0, 2e-4
    tan, sin, cos = math.tan(alpha), math.sin(alpha), math.cos(alpha)
    limit, roll, rise = rest * spread * math.sqrt(3), 5.0, 20.0
    if method == "two balls":
        large, small = sizes = tuple(part * face / cos for part in (0.9, 0.6))
        truth = [ball / 2 * (1 + 1 / sin) - face / (2 * tan) for ball in sizes]
        gauges, blocks = tuple(Gauge(ball, 0.0) for ball in sizes), None

        def measured(top, low):
            angle = np.arcsin((large - small) / 2 / (top - low - (large - small) / 2))
            return large * (np.tan(angle) + 1 / np.cos(angle)) - 2 * top * np.tan(angle), angle
    else:
        truth = [face + 2 * block * tan + roll * (1 + tan + 1 / cos) for block in (0.0, rise)]
        gauges, blocks = (Gauge(roll, 0.0),), Gauge(rise, 0.0)

        def measured(low, high):
            angle = np.arctan((high - low) / (2 * rise))
            return low - roll * (1 + np.tan(angle) + 1 / np.cos(angle)), angle

    callout = Callout(internal=method == "two balls", unit="mm")
    noise = repeats(random, kind, (trials, 2, count)) * spread
    rows = noise + random.uniform(-limit, limit, (trials, 2, 1)) + np.array(truth)[:, None]
    means, spreads = rows.mean(axis=2), rows.std(axis=2, ddof=1)
    # An outlier by Grubbs' test at 1 %, ISO 5725-2; nobody has dealt with it, so there is no U.
    t = stats.t.ppf(1 - 0.005 / count, count - 2) if count > 2 else 0.0
    far = (count - 1) / math.sqrt(count) * math.sqrt(t * t / (count - 2 + t * t)) if t else math.inf
    stated = (abs(rows - means[..., None]).max(axis=2) <= far * spreads).all(axis=1)
    # One scatter, pooled from both rows, and one instrument; derivatives by a complex step.
    factor = max(2.0, stats.t.ppf(0.975, 2 * (count - 1)))
    squares = factor**2 * (spreads**2).mean(axis=1) / count + 4 * limit**2 / 3
    values, step = measured(*means.T), 1e-20
    by = [measured(*(means + [step * 1j * here for here in one]).T) for one in ((1, 0), (0, 1))]
    held = [np.sqrt(squares * sum((one[place].imag / step) ** 2 for one in by)) for place in (0, 1)]
    for asked, row in enumerate(rows[:ASKED].tolist()):
        read = Readings(
            method, "mm", gauges, tuple(map(tuple, row)), blocks=blocks, face_limit=0.0,
            instrument=Instrument("", 1e-9, limit),
        )  # fmt: skip
        for place, one in enumerate(Inspection(callout, read).findings()):
            assert (one.expanded is not None) == stated[asked]
            if one.expanded is not None:
                # Near 90° the kit's differences feel the formula bend within their step.
                agrees(held[place][asked:], [one.expanded], 1e-6 if degrees < 80 else 0.01)
    return tuple(
        float((abs(value - true) <= within)[stated].mean())
        for value, true, within in zip(values, (face, alpha), held, strict=True)
    )


def main() -> None:
    """Print a line for each case."""
    words = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    words.add_argument("--count", type=int, default=20_000)
    words.add_argument("--json", action="store_true")
    given = words.parse_args()
    told = []
    for kind, count, rest in product(KINDS, REPEATS, RESTS):
        slide = {
            route: [slide_covered(route, d, count, rest, kind, given.count) for d in DEGREES]
            for route in (CROSS, AXIAL)
        }
        part = {
            method: [part_covered(method, d, count, rest, kind, given.count) for d in DEGREES]
            for method in METHODS
        }
        told.append({"kind": kind, "readings": count, "rest": rest, **slide, **part})
        if not given.json:
            least = ", ".join(f"{name} {np.min(held):.1%}" for name, held in (slide | part).items())
            print(f"{kind}, n = {count}, rest {rest:g}: least over {DEGREES}°: {least}", flush=True)
    if given.json:
        print(json.dumps(told))


if __name__ == "__main__":
    main()
