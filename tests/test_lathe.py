"""Dial and Lathe: readings, turns and graduations, base zero, reach."""

import math

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from reference import check_value

from tapertrig import Angle, Dial, Lathe
from tapertrig.lathe import between, figure_text, in_unit, length_text

graduations = st.sampled_from([0.0001, 0.0005, 0.001, 0.002, 0.01, 0.02, 0.05, 1 / 64])
dials = st.builds(
    lambda graduation, count, reads: Dial(graduation, graduation * count, reads),
    graduations,
    st.integers(2, 400),
    st.sampled_from(["radius", "diameter"]),
)
LATHE = Lathe("in", 4.0, Dial(0.001, 0.1), Dial(0.001, 0.2, "diameter"))


# Nothing moves by less than an atom; below that a float cannot always be halved and doubled.
movements = st.floats(-500, 500).filter(lambda movement: movement == 0 or abs(movement) > 1e-9)


@given(dials, movements)
@settings(deadline=None)
def test_reading_and_movement_undo_each_other(dial, movement):
    assert dial.movement(dial.reading(movement)) == movement
    assert dial.reading(dial.movement(movement)) == movement
    row = np.array([movement, 2 * movement])
    assert (dial.movement(dial.reading(row)) == row).all()


def test_a_diameter_reading_dial_shows_twice_the_movement():
    assert Dial(0.001, 0.2, "diameter").reading(1.5) == 3.0
    assert Dial(0.001, 0.1).reading(1.5) == 1.5
    assert Dial(0.001, 0.2, "diameter").movement_per_graduation == 0.0005


@given(dials, st.floats(0, 500))
@example(Dial(0.001, 0.125), 0.878)
@example(Dial(0.001, 0.1), 3.0)
@example(Dial(0.02, 3.0), 83.28)
@settings(deadline=None)
def test_turns_graduations_and_remainder_make_up_the_reading(dial, reading):
    turns, graduations, remainder = dial.split(reading)
    assert isinstance(turns, int)
    assert 0 <= graduations < dial.graduations_per_turn
    assert 0 <= remainder < dial.graduation
    again = turns * dial.per_turn + graduations * dial.graduation + remainder
    assert again == pytest.approx(reading, abs=2e-6 * dial.graduation + 1e-9 * reading)


@given(dials, st.integers(0, 5000))
@settings(deadline=None)
def test_a_reading_on_a_line_leaves_no_remainder(dial, lines):
    turns, graduations, remainder = dial.split(lines * dial.graduation)
    assert remainder == 0
    assert turns * dial.graduations_per_turn + graduations == lines


@pytest.mark.parametrize(
    ("dial", "reading", "unit", "words"),
    [
        (Dial(0.001, 0.2, "diameter"), 3.123, "in", "15 turns, then .123"),
        (Dial(0.001, 0.1), 1.5615, "in", "15 turns, then .0615"),
        (Dial(0.001, 0.1), 0.947, "in", "9 turns, then .047"),
        (Dial(0.001, 0.1), 0.1, "in", "1 turn"),
        (Dial(0.001, 0.1), 0.001, "in", ".001"),
        (Dial(0.001, 0.1), 0.0, "in", "0"),
        (Dial(0.001, 1.25), 1.2, "in", "1.200"),
        # As good as on the third line: not two lines and a whole line over.
        (Dial(0.001, 0.125), 0.87799991, "in", "7 turns, then .003"),
        (Dial(0.001, 0.125), 0.87800004, "in", "7 turns, then .003"),
        (Dial(0.001, 0.125), 0.8749999, "in", "7 turns"),
        (Dial(0.02, 3.0), 29.46, "mm", "9 turns, then 2.46"),
        (Dial(0.02, 3.0), 29.4696, "mm", "9 turns, then 2.470"),
    ],
)
def test_a_reading_in_words(dial, reading, unit, words):
    # Arithmetic done by hand.
    assert dial.words(reading, unit) == words


@pytest.mark.parametrize(
    ("said", "unit", "reading"),
    [
        ("9 turns .047", "in", 0.947),
        (" 9 Turns, then .047 in", "in", 0.947),
        ("9t.047", "in", 0.947),
        ("1 turn and 0,047", "in", 0.147),
        ("9 turns", "in", 0.9),
        ("1.847", "in", 1.847),
        (",047", "in", 0.047),
        ("9 turns 1/32", "in", 0.93125),
        ("1-27/32", "in", 1.84375),
        ("15 turns, then 1.92", "mm", 46.92),
        ("46,92 mm", "mm", 46.92),
    ],
)
def test_a_reading_as_a_hand_says_it(said, unit, reading):
    # Arithmetic done by hand; a tenth of an inch a turn, three millimetres.
    dial = Dial(0.001, 0.1) if unit == "in" else Dial(0.02, 3.0)
    assert math.isclose(dial.read(said, unit), reading, rel_tol=1e-14)


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ("", "no dial reading"),
        ("turns", "no dial reading"),
        ("9 .047", "no dial reading"),
        ("9.5 turns", "no dial reading"),
        ("-.047", "no dial reading"),
        ("1e3", "no dial reading"),
        ("1/0", "no dial reading"),
        ("1.8.4", "no dial reading"),
        ("9 turns .1", "a turn or more beside the turns counted, and one turn of this dial is .1"),
        ("9 turns 47", "a turn or more"),
        ("46.92 mm", "is not in inches"),
    ],
)
def test_what_is_no_reading_is_refused_in_words(said, why):
    with pytest.raises(ValueError, match=why) as refused:
        Dial(0.001, 0.1).read(said, "in")
    assert f"“{said}”" in str(refused.value)
    assert "9 turns .047" in str(refused.value)


@given(dials, st.floats(0, 100), st.sampled_from(["in", "mm"]))
@settings(deadline=None)
def test_what_is_said_of_a_reading_is_read_back(dial, reading, unit):
    said = dial.words(reading, unit)
    assert abs(dial.read(said, unit) - reading) <= (0.5001e-4 if unit == "in" else 0.5001e-3)


@given(dials, st.floats(0, 100), st.sampled_from(["in", "mm"]))
@settings(deadline=None)
def test_settling_moves_a_reading_by_less_than_is_written(dial, reading, unit):
    settled = dial.settle(reading, unit)
    assert abs(settled - reading) <= (0.5001e-4 if unit == "in" else 0.5001e-3)
    remainder = dial.split(settled).remainder
    assert float(length_text(remainder, unit).split()[0]) < dial.graduation or not remainder


def test_base_zero_parallel_reads_the_half_angle_and_square_its_complement():
    half = Angle.parse("31°22'")
    square = Lathe("in", 4.0, Dial(0.001, 0.1), Dial(0.001, 0.1), "square to bed")
    assert LATHE.base_reading(half) == half
    assert square.base_reading(half) == Angle.parse("58°38'")
    for lathe in (LATHE, square):
        assert lathe.half_angle_at(lathe.base_reading(half)) == half


def test_published_base_zero_square_to_the_axis():
    # US Navy 14345 and Turning and Boring (1914), both read: with zero square to the axis the
    # scale shows 90° less the angle with the axis, so 60° for 30°.
    assert check_value("navy-zero")["expected"]["scale_reading_deg"] == "90 - a"
    row = check_value("boring1914-30axis")
    square = Lathe("in", 4.0, Dial(0.001, 0.1), Dial(0.001, 0.1), "square to bed")
    axis = Angle.from_degrees(row["given"]["angle_with_axis_deg"])
    assert square.base_reading(axis).degrees == row["expected"]["scale_deg"]


def test_lengths_change_unit_and_back():
    assert in_unit(1.0, "in", "mm") == 25.4  # ISO 80000-3: 1 in = 25.4 mm exactly
    assert in_unit(50.8, "mm", "in") == pytest.approx(2.0, rel=1e-15)
    assert in_unit(3.0, "mm", "mm") == 3.0
    assert length_text(1.41800001, "in") == "1.4180 in"
    assert length_text(29.46, "mm") == "29.460 mm"
    assert length_text(29.46, "mm", 1) == "29.5 mm"
    for call in (lambda: in_unit(1.0, "cm", "mm"), lambda: length_text(1.0, "ft")):
        with pytest.raises(ValueError, match=r"unit is '(cm|ft)'; it must be “in” or “mm”"):
            call()


def _lathe(**changes):
    return Lathe(
        **{
            "unit": "in",
            "compound_reach": 4.0,
            "compound_dial": Dial(0.001, 0.1),
            "cross_dial": Dial(0.001, 0.1),
        }
        | changes
    )


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: Dial(0.0, 0.1), "dial graduation is 0"),
        (lambda: Dial(-0.001, 0.1), "dial graduation is -0.001"),
        (lambda: Dial(math.nan, 0.1), "dial graduation is nan"),
        (lambda: Dial(0.001, 0.0), "reading per turn is 0"),
        (lambda: Dial(0.003, 0.1), "does not divide"),
        (lambda: Dial(0.1, 0.1), "does not divide"),
        (lambda: Dial(0.001, 0.1, "both"), "dial reads is 'both'"),
        (lambda: Dial("0.001", 0.1), "must be a number"),
        (lambda: Dial(0.001, 0.1).split(math.inf), "reading is inf"),
        (lambda: _lathe(unit="cm"), "unit is 'cm'"),
        (lambda: _lathe(compound_reach=0), "compound reach is 0"),
        (lambda: _lathe(compound_reach=math.inf), "compound reach is inf"),
        (lambda: _lathe(base_zero="sideways"), "base zero is 'sideways'"),
        (lambda: _lathe(cross_backlash=-0.001), "cross backlash is -0.001"),
        (lambda: _lathe(compound_backlash=math.nan), "compound backlash is nan"),
        (lambda: _lathe(base_radius=0), "base radius is 0"),
        (lambda: _lathe(cross_dial=0.001), "give a Dial"),
        (lambda: _lathe(compound_reach=10**400), "compound reach is inf"),
        (lambda: LATHE.base_reading(Angle.from_dms(90)), "between 0° and 90°"),
        (lambda: LATHE.check_reach(4.001), "this slide reaches 4 in"),
        (lambda: LATHE.check_reach(0.0), "compound travel is 0"),
    ],
)
def test_refuses_a_lathe_that_cannot_be_and_names_the_value(make, words):
    with pytest.raises(ValueError, match=words):
        make()


@pytest.mark.parametrize(
    ("window", "unit", "words"),
    [
        ((1.23451, 1.23679), "in", "1.2346 and 1.2367 in"),
        ((31.2341, 31.2399), "mm", "31.235 and 31.239 mm"),
        # On a written line an end stays where it is, floats or no.
        ((0.1 + 0.2, 0.7 + 0.1), "in", "0.3000 and 0.8000 in"),
        # Narrower than the last place written: as many more places as it takes.
        ((1.23412, 1.23416), "in", "1.23412 and 1.23416 in"),
        ((1.234121, 1.234126), "in", "1.234121 and 1.234126 in"),
    ],
)
def test_the_ends_of_a_window_are_written_inwards(window, unit, words):
    assert between(window, unit) == words


@pytest.mark.parametrize(
    ("value", "unit", "words"),
    [(0.018, "in", ".018"), (0.36, "mm", "0.36"), (1.5, "in", "1.5"), (0.0, "mm", "0"),
     (0.0, "in", "0"), (2.0, "in", "2")],
)  # fmt: skip
def test_a_dials_figure_as_it_is_said(value, unit, words):
    assert figure_text(value, unit) == words


def test_what_is_quoted_is_cut_and_the_nearest_line_is_a_plain_float():
    with pytest.raises(ValueError, match=f"^“{'x' * 40}” is no dial reading"):
        LATHE.cross_dial.read("x" * 60, "in")
    assert type(LATHE.cross_dial.nearest(1.2344)) is float


def test_half_a_compound_turn_takes_up_the_slack():
    assert LATHE.take_up == 0.05
    by_diameter = Lathe("mm", 80.0, Dial(0.02, 3.0, "diameter"), Dial(0.02, 4.0))
    assert by_diameter.take_up == 0.75


def test_the_whole_reach_is_within_reach():
    assert LATHE.check_reach(4.0) == 4.0
