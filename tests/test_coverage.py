"""U holds the truth as often as it says, from few readings: 20,000 simulations each when long."""

import math
import re
from itertools import product

import pytest
from bench.coverage import DEGREES, METHODS, REPEATS, RESTS, part_covered, slide_covered
from cases import LONG, cases, sampled

from tapertrig.budget import AXIAL, CROSS
from tapertrig.printed.inspection_record import INDEPENDENT

COUNT = cases(4_000, 20_000)
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


@pytest.mark.parametrize(
    ("kind", "count"),
    sampled(
        list(product(("rectangular", "arcsine", "correlated"), REPEATS)),
        [("arcsine", 2), ("correlated", 10)],
    ),
)
def test_repeats_of_another_kind_hold_what_the_record_says_of_them(kind, count):
    held = min(part_covered("two balls", 20, count, 0.0, kind, trials=COUNT))
    said = [int(one) / 100 for one in re.findall(r"(\d+) %", INDEPENDENT)]
    assert said == [0.95, 0.90, 0.75]
    spare = 4 * math.sqrt(0.1 * 0.9 / COUNT)
    if kind == "correlated":
        assert held < (said[2] + spare if count == 10 else said[1])
    else:
        assert held > said[1] - spare
        assert (held < said[0] - spare) == (count <= 3)
