"""Gauge blocks and the sine bar."""

import math
import random
from itertools import combinations

import pytest
from cases import cases
from hypothesis import example, given, settings
from hypothesis import strategies as st
from reference import check_values, row_id

from tapertrig import Angle, Cone
from tapertrig.gauging import (
    BLOCK_SETS,
    included_angle_on_sine_bar,
    nearest_stack,
    sine_bar_angle,
    sine_bar_check,
    sine_bar_stack,
)

PLUG = Cone.from_taper("1:5", 20.0, internal=False)


@pytest.mark.parametrize("row", check_values("sine-"), ids=row_id)
def test_sine_bar_rows(row):
    # Sine-bar relation, Mechanical Engineer's Data Handbook 7.2.3.
    angle, bar = Angle.from_degrees(row["given"]["angle_deg"]), row["given"]["bar"]
    stack = row["expected"]["stack"]
    assert sine_bar_stack(angle, bar) == pytest.approx(stack, abs=6e-8 * bar)
    assert sine_bar_angle(stack, bar).degrees == pytest.approx(angle.degrees, abs=1e-5)


blocks_of = st.lists(
    st.integers(1, 400).map(lambda n: n / 1000), min_size=1, max_size=9, unique=True
)


@given(blocks_of, st.floats(0.001, 1.5), st.integers(1, 5))
@example([0.002, 0.003, 0.326], 0.33, 5)
@settings(max_examples=cases(200), deadline=None)
def test_no_stack_is_nearer_than_the_one_found(blocks, wanted, most):
    found = nearest_stack(wanted, blocks, most)
    assert set(found.blocks) <= set(blocks)
    assert len(set(found.blocks)) == len(found.blocks) <= most
    assert found.height == pytest.approx(sum(found.blocks))
    assert found.error == pytest.approx(found.height - wanted, abs=1e-12)
    every = [
        (abs(sum(pick) - wanted), count)
        for count in range(1, most + 1)
        for pick in combinations(blocks, count)
    ]
    least = min(every)[0]
    assert abs(found.error) == pytest.approx(least, abs=1e-9)
    assert len(found.blocks) == min(count for error, count in every if error < least + 1e-9)


@pytest.mark.parametrize(("unit", "step", "reach"), [("in", 1e-4, 4.0), ("mm", 1e-3, 100.0)])
def test_common_sets_make_every_height_in_steps(unit, step, reach):
    assert len(BLOCK_SETS[unit]) == {"in": 81, "mm": 87}[unit]
    chance = random.Random(4)
    for _ in range(12):
        wanted = round(chance.uniform(reach / 10, reach), 4 if unit == "in" else 3)
        found = nearest_stack(wanted, BLOCK_SETS[unit])
        assert abs(found.error) < step / 100
        assert math.fsum(found.blocks) == pytest.approx(wanted)


def test_sine_bar_check_of_a_plug_gauge():
    check = sine_bar_check(PLUG, 100.0, BLOCK_SETS["mm"])
    # 1:5 on a 100 mm bar: sin(2·atan 0.1) = 0.2/1.01.
    assert check.wanted == pytest.approx(20 / 1.01)
    assert check.stack.height == pytest.approx(19.802)
    slope = math.radians(PLUG.included_angle.degrees) - math.asin(0.19802)
    assert check.angle_error == pytest.approx(-math.degrees(slope) * 3600, abs=1e-6)
    assert check.rise == pytest.approx(math.tan(slope), abs=1e-12)


@given(st.floats(1.0, 40.0), st.floats(-0.01, 0.01))
@settings(deadline=None)
def test_indicator_gives_the_included_angle_back(included, off):
    # A plug steeper than the bar is set to rises at its large end by the tangent of the rest.
    stack = sine_bar_stack(Angle.from_degrees(included), 127.0)
    rise = 50.0 * math.tan(off)
    found = included_angle_on_sine_bar(stack, 127.0, rise, 50.0)
    assert found.radians == pytest.approx(math.radians(included) + off, abs=1e-12)


def test_check_and_indicator_agree():
    check = sine_bar_check(PLUG, 100.0, [10.0, 9.0, 0.5, 0.25, 0.05], most=4)
    found = included_angle_on_sine_bar(check.stack.height, 100.0, 40 * check.rise, 40.0)
    assert check.angle_error != 0
    assert found.radians == pytest.approx(PLUG.included_angle.radians, abs=1e-12)


BAD = [
    (lambda: nearest_stack(0.0, [1.0]), "more than zero"),
    (lambda: nearest_stack(1.0, []), "block set is empty"),
    (lambda: nearest_stack(1.0, [1.0, -1.0]), "more than zero"),
    (lambda: nearest_stack(1.0, [1.0], most=0), "whole number"),
    (lambda: nearest_stack(90.0, [1.00000001, 90.0]), "fewer decimals"),
    (lambda: sine_bar_angle(5.0, 5.0), "must be the lower"),
    (lambda: sine_bar_stack(Angle.from_degrees(90), 5.0), "between 0° and 90°"),
    (lambda: sine_bar_check(Cone.from_taper("1:5", 20.0), 100.0, [1.0]), "internal"),
]


@pytest.mark.parametrize(("call", "words"), BAD)
def test_bad_input_is_refused_in_words(call, words):
    with pytest.raises(ValueError, match=words):
        call()
