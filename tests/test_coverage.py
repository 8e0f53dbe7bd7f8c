"""U holds the truth as often as it says, from few readings: 20,000 simulations each when long."""

import math
from itertools import product

import pytest
from bench.coverage import DEGREES, METHODS, REPEATS, RESTS, part_covered, slide_covered
from cases import LONG, cases, sampled

from tapertrig.budget import AXIAL, CROSS

COUNT = cases(400, 20_000)
# The promise, less four standard deviations of sampling in the short run.
LEAST = 0.94 if LONG else 0.94 - 4 * math.sqrt(0.06 * 0.94 / COUNT)
SLIDES = list(product((CROSS, AXIAL), DEGREES, REPEATS, RESTS))
PARTS = list(product(METHODS, DEGREES, REPEATS, RESTS))


@pytest.mark.parametrize(
    ("route", "degrees", "count", "rest"),
    sampled(SLIDES, [(CROSS, 20, 2, 0.3), (AXIAL, 70, 2, 0.0), (CROSS, 85, 5, 1.0)]),
)
def test_the_slide_lies_within_u(route, degrees, count, rest):
    held = slide_covered(route, degrees, count, rest, trials=COUNT)
    assert held >= LEAST
    if not rest:
        # One scatter counted as two inputs would hold 85 % at two nulls, and 99 % is no promise.
        assert held <= 0.96 + (not LONG) * 4 * math.sqrt(0.05 * 0.95 / COUNT)


@pytest.mark.parametrize(
    ("method", "degrees", "count", "rest"),
    sampled(PARTS, [("two balls", 20, 2, 0.3), ("rolls and blocks", 3, 3, 0.0)]),
)
def test_the_part_lies_within_u(method, degrees, count, rest):
    assert min(part_covered(method, degrees, count, rest, trials=COUNT)) >= LEAST
