"""The setup triangle, whole-graduation setups, window and correction."""

import math
import time
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest
from cases import cases
from hypothesis import example, given, settings
from hypothesis import strategies as st
from reference import check_values, row_id

from tapertrig import Angle, Dial, Lathe
from tapertrig.setup import (
    angle_per_graduation,
    arc_at_base,
    axial_travel,
    axial_window,
    correction,
    cross_reading_window,
    cross_travel,
    cross_travel_by_carriage,
    half_angle_from,
    half_angle_from_axial,
    nearest_line,
    set_by_eye_words,
    swing_words,
    whole_graduation_setups,
)

INCH = Lathe("in", 5.0, Dial(0.001, 0.1), Dial(0.001, 0.2, "diameter"))
METRIC = Lathe("mm", 130.0, Dial(0.02, 3.0), Dial(0.02, 4.0))

half_angles = st.floats(0.05, 89.9).map(Angle.from_degrees)
lathes = st.builds(
    lambda unit, reach, compound, cross, reads: Lathe(
        unit, reach, Dial(compound, compound * 100), Dial(cross, cross * 100, reads)
    ),
    st.sampled_from(["in", "mm"]),
    st.floats(0.5, 6.0),
    st.sampled_from([0.001, 0.002, 0.01, 0.05]),
    st.sampled_from([0.0005, 0.001, 0.005, 0.02]),
    st.sampled_from(["radius", "diameter"]),
)


def test_common_practice_example():
    # Common practice, no source: 62°44′ halves to 31°22′; 3.000 in of compound travel needs
    # 1.56 in (1.5615) of cross travel, and a diameter-reading dial shows 3.123.
    half = Angle.parse("62°44'").half()
    assert half == Angle.parse("31°22'")
    cross = cross_travel(3.0, half)
    assert f"{cross:.2f}" == "1.56"
    assert f"{cross:.4f}" == "1.5615"
    assert f"{INCH.cross_dial.reading(cross):.3f}" == "3.123"


@pytest.mark.parametrize("row", check_values("sine-"), ids=row_id)
def test_sine_bar_stacks_are_cross_travels(row):
    # Sine-bar relation, Mechanical Engineer's Data Handbook 7.2.3: stack = bar · sine.
    angle = Angle.from_degrees(row["given"]["angle_deg"])
    stack = row["expected"]["stack"]
    assert cross_travel(float(row["given"]["bar"]), angle) == pytest.approx(stack, rel=5e-8)
    assert half_angle_from(float(row["given"]["bar"]), stack).degrees == pytest.approx(
        angle.degrees, rel=2e-7
    )


@pytest.mark.parametrize("row", check_values("indicate-"), ids=row_id)
def test_compound_travel_is_a_sine_and_carriage_travel_a_tangent(row):
    angle = Angle.from_degrees(row["given"]["half_angle_deg"])
    travel = float(row["given"]["travel"])
    assert cross_travel(travel, angle) == pytest.approx(
        row["expected"]["compound_travel_sine"], rel=5e-8
    )
    assert cross_travel_by_carriage(travel, angle) == pytest.approx(
        row["expected"]["carriage_travel_tangent"], rel=5e-8
    )


def test_ten_to_one_reduction_on_the_cross_direction():
    # Geometry, and a common shop setting: 5°44′ moves the tool a tenth of the slide.
    (row,) = check_values("asin0.1")
    angle = half_angle_from(10.0, 10.0 * row["given"]["ratio"])
    assert angle.degrees == pytest.approx(row["expected"]["deg"], abs=0.5e-6)
    assert angle.dm() == "5°44′"


@pytest.mark.parametrize("row", check_values("resol-"), ids=row_id)
def test_angle_that_one_division_stands_for(row):
    # Geometry: near parallel one division over the travel is that many radians.
    division, travel = row["given"]["division_mm"], row["given"]["travel_mm"]
    tiny = Angle.from_dms(0, 0, 1)
    seconds = angle_per_graduation(travel, tiny, Dial(division, division * 100))
    assert seconds == pytest.approx(row["expected"]["arcsec"], rel=5e-5)


@given(half_angles, st.floats(0.01, 200))
@settings(deadline=None)
def test_the_triangle_closes_and_gives_its_angle_back(half_angle, travel):
    cross, axial = cross_travel(travel, half_angle), axial_travel(travel, half_angle)
    assert math.hypot(cross, axial) == pytest.approx(travel, rel=1e-14)
    assert math.atan2(cross, axial) == pytest.approx(half_angle.radians, rel=1e-13)
    # The sine is the steep road past 45°, the cosine below it: each is held to its own limit.
    slack = 4 * math.ulp(1.0)
    assert half_angle_from(travel, cross).radians == pytest.approx(
        half_angle.radians, abs=slack * (1 + math.tan(half_angle.radians))
    )
    assert half_angle_from_axial(travel, axial).radians == pytest.approx(
        half_angle.radians, abs=slack * (1 + 1 / math.tan(half_angle.radians))
    )


def test_arrays_give_what_single_numbers_give():
    travels, radians = np.array([1.0, 2.0, 3.0]), np.radians([10.0, 31.0, 60.0])
    assert cross_travel(travels, radians).tolist() == pytest.approx(
        [cross_travel(s, a) for s, a in zip(travels.tolist(), radians.tolist(), strict=True)]
    )
    back = half_angle_from(travels, cross_travel(travels, radians))
    assert back == pytest.approx(radians)
    assert axial_travel(travels, Angle.from_dms(60)) == pytest.approx(travels / 2)


@given(half_angles, lathes, st.integers(1, 15))
@settings(max_examples=cases(40), deadline=None)
@example(Angle.from_dms(86), Lathe("in", 1.0, Dial(0.05, 5.0), Dial(0.02, 2.0)), 1)
def test_whole_graduation_setups_by_brute_force(half_angle, lathe, count):
    # One travel after the other in exact fractions of a graduation, the angle by math.asin.
    rows = whole_graduation_setups(half_angle, lathe, count=count)
    compound = Fraction(str(lathe.compound_dial.graduation)) / lathe.compound_dial.factor
    cross = Fraction(str(lathe.cross_dial.graduation)) / lathe.cross_dial.factor
    found = []
    line = 1
    while float(line * compound) <= lathe.compound_reach * (1 + 1e-9):
        travel = line * compound
        line += 1
        if float(travel) < lathe.compound_reach / 2 * (1 - 1e-9):
            continue
        whole = round(float(travel) * math.sin(half_angle.radians) / float(cross))
        sine = whole * cross / travel
        if whole and sine < 1:
            error = math.degrees(math.asin(float(sine)) - half_angle.radians) * 3600
            found.append((abs(error), float(travel), float(whole * cross)))
    best = sorted(found)[:count]
    assert len(rows) == len(best)
    for row, (error, _, _) in zip(rows, best, strict=True):
        assert abs(row.angle_error) == pytest.approx(error, abs=2e-3, rel=1e-9)
        match = [entry for entry in found if abs(entry[1] - row.compound_travel) < 1e-9]
        assert len(match) == 1
        assert lathe.cross_dial.movement(row.cross_reading) == pytest.approx(match[0][2])
        assert abs(row.angle_error) == pytest.approx(match[0][0], abs=1e-6, rel=1e-9)


@given(half_angles, lathes)
@example(Angle.from_degrees(41.8125), Lathe("in", 3.32999999639, Dial(0.01, 1), Dial(0.001, 1)))
@settings(max_examples=cases(60), deadline=None)
def test_setups_are_whole_graduations_within_reach_best_first(half_angle, lathe):
    rows = whole_graduation_setups(half_angle, lathe)
    for row in rows:
        for dial, reading in (
            (lathe.compound_dial, lathe.compound_dial.reading(row.compound_travel)),
            (lathe.cross_dial, row.cross_reading),
        ):
            assert dial.split(reading).remainder == 0
        assert lathe.check_reach(row.compound_travel) == row.compound_travel
        assert row.sensitivity == pytest.approx(
            angle_per_graduation(row.compound_travel, half_angle, lathe.cross_dial)
        )
    errors = [abs(row.angle_error) for row in rows]
    assert all(a <= b + 2e-3 for a, b in pairwise(errors))
    by_length = whole_graduation_setups(half_angle, lathe, order="sensitivity")
    assert sorted(by_length, key=lambda row: -row.compound_travel) == by_length
    assert {row.compound_travel for row in by_length} == {row.compound_travel for row in rows}


def test_setup_that_is_exact_leaves_no_error():
    # sin 30° = 1/2, so every even travel is exact on a radius-reading dial.
    lathe = Lathe("in", 4.0, Dial(0.001, 0.1), Dial(0.001, 0.1))
    best = whole_graduation_setups(Angle.from_dms(30), lathe, count=1)[0]
    assert best.compound_travel == 4.0
    assert best.cross_reading == 2.0
    assert best.angle_error == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize("lathe", [INCH, METRIC], ids=["5 in at 0.001", "130 mm at 0.02"])
def test_the_search_is_quick_enough_to_drag_a_slider(lathe):
    times = []
    for minutes in range(8):
        start = time.perf_counter()
        whole_graduation_setups(Angle.from_dms(31, minutes), lathe)
        times.append(time.perf_counter() - start)
    assert min(times) < 0.02


@given(half_angles, st.floats(0.5, 5.0), st.floats(-0.4, 0.4))
@settings(deadline=None)
def test_a_correction_takes_the_slide_to_its_angle(half_angle, travel, off_degrees):
    now = half_angle + Angle.from_degrees(off_degrees)
    if not 0.01 < now.degrees < 89:
        return
    reading = INCH.cross_dial.reading(cross_travel(travel, now))
    swing = correction(half_angle, travel, reading, INCH.cross_dial)
    assert swing.degrees == pytest.approx(-off_degrees, abs=1e-9)
    assert (swing.arc_seconds > 0) == (now < half_angle) or abs(off_degrees) < 1e-9


def test_correction_at_the_base():
    # An arc is radius times angle: 2 in and 0°10′ make 0.0058 in.
    assert arc_at_base(Angle.from_dms(0, 10), 2.0) == pytest.approx(2 * math.pi / 180 / 6)


@given(st.floats(1, 88).map(Angle.from_degrees), st.floats(0.02, 0.9), st.floats(0.5, 5))
@settings(deadline=None)
def test_the_window_holds_the_readings_in_tolerance_and_no_other(half_angle, off, travel):
    tolerance = Angle.from_degrees(off)
    low, high = cross_reading_window(half_angle, tolerance, travel, INCH.cross_dial)
    middle = INCH.cross_dial.reading(cross_travel(travel, half_angle))
    assert low < middle < high
    for reading, inside in ((low, True), (high, True), (low, False), (high, False)):
        towards = 1 if (reading == low) == inside else -1
        moved = reading + towards * 1e-4 * (high - low)
        angle = half_angle_from(travel, INCH.cross_dial.movement(moved))
        assert (abs(angle - half_angle) <= tolerance) == inside


def test_the_window_stops_at_no_angle_and_at_a_right_angle():
    wide = Angle.from_dms(5)
    assert cross_reading_window(Angle.from_dms(2), wide, 3.0, INCH.cross_dial)[0] == 0
    high = cross_reading_window(Angle.from_dms(88), wide, 3.0, INCH.cross_dial)[1]
    assert high == pytest.approx(6.0)


def test_internal_and_external_cones_swing_opposite_ways():
    assert swing_words(True).startswith("clockwise")
    assert swing_words(False).startswith("anticlockwise")


def test_the_base_is_set_by_eye_from_the_zero_it_has():
    half_angle = Angle.parse("28°10'")
    parallel, square = INCH, replace(INCH, base_zero="square to bed")
    by_parallel = set_by_eye_words(half_angle, True, parallel)
    assert "base at 0°" in by_parallel
    assert "reads about 28°10′" in by_parallel
    by_square = set_by_eye_words(half_angle, True, square)
    assert "zero with the slide square to the bed" in by_square
    assert "reads about 61°50′" in by_square
    unknown = set_by_eye_words(half_angle, False, replace(INCH, base_zero=None))
    assert "28°10′ anticlockwise" in unknown
    assert "not given" in unknown


def test_the_nearest_line_always_makes_a_triangle():
    """Near 90° the nearest line is as long as the compound travel: the one before it counts."""
    for travel in (0.05, 1.0, 2.5, 3.001):
        row = nearest_line(Angle.parse("89°50'"), travel, INCH)
        # This dial reads diameter: 0.0005 of slide movement a line.
        whole_lines = round(travel / 0.0005)
        assert row.cross_reading == pytest.approx((whole_lines - 1) * 0.001, abs=1e-12)
    assert nearest_line(Angle.parse("20°30'"), 2.5, INCH).cross_reading == pytest.approx(1.751)


def test_no_setup_without_cross_travel_is_offered():
    for row in whole_graduation_setups(Angle.from_dms(0, 1), INCH, 0.5, 400, longest=2.0):
        assert row.cross_reading > 0


@pytest.mark.parametrize("formula", [cross_travel, axial_travel, cross_travel_by_carriage])
def test_single_numbers_give_plain_floats(formula):
    assert type(formula(np.float64(2.5), 0.4)) is float


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: cross_travel(0.0, Angle.from_dms(30)), "compound travel is 0"),
        (lambda: cross_travel(math.nan, Angle.from_dms(30)), "compound travel is nan"),
        (lambda: cross_travel(np.array([1.0, -1.0]), 0.5), "compound travel holds -1"),
        (lambda: cross_travel(3.0, Angle.from_dms(0)), "between 0° and 90°"),
        (lambda: cross_travel(3.0, Angle.from_dms(90)), "between 0° and 90°"),
        (lambda: cross_travel(3.0, np.array([0.5, 2.0])), "between 0° and 90°"),
        (lambda: half_angle_from(3.0, 3.0), "make no triangle"),
        (lambda: half_angle_from(3.0, 4.0), "make no triangle"),
        (lambda: half_angle_from(3.0, -1.0), "cross travel is -1"),
        (lambda: half_angle_from_axial(3.0, 3.1), "axial travel is 3.1"),
        (
            lambda: cross_reading_window(
                Angle.from_dms(30), Angle.from_dms(0), 3.0, INCH.cross_dial
            ),
            "angle tolerance is 0°00′00″",
        ),
        (
            lambda: axial_window(Angle.from_dms(50), -Angle.from_dms(0, 5), 3.0),
            "angle tolerance is -0°05′00″",
        ),
        (lambda: whole_graduation_setups(Angle.from_dms(30), INCH, 6.0), "reaches 5 in"),
        (lambda: whole_graduation_setups(Angle.from_dms(30), INCH, count=0), "count is 0"),
        (lambda: whole_graduation_setups(Angle.from_dms(30), INCH, order="x"), "order is 'x'"),
        (lambda: correction(Angle.from_dms(30), 3.0, 6.0, INCH.cross_dial), "make no triangle"),
        (
            lambda: whole_graduation_setups(
                Angle.from_dms(30), Lathe("mm", 1e5, Dial(1e-4, 0.1), Dial(0.01, 1.0))
            ),
            "check the graduation",
        ),
    ],
)
def test_refuses_what_makes_no_setup_and_names_the_value(call, words):
    with pytest.raises(ValueError, match=words):
        call()
