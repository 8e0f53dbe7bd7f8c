"""What goes into a formula comes out of it: floats or arrays, and nothing that is no number."""

import math
import re
from types import SimpleNamespace

import numpy as np
import pytest

from tapertrig import Angle, Cone, Dial, boring, demo, setup
from tapertrig.budget.gauge_fit import blue_length, diameter_error, error_from_blue
from tapertrig.decision import judge
from tapertrig.gauging import ball_choice, balls, blocks, rolls
from tapertrig.lathe import in_unit
from tapertrig.limits import (
    finite,
    lengths,
    not_negative,
    numbers,
    one_of,
    positive,
    where_given,
    whole,
)

ALPHA = Angle.from_dms(17, 3)
BORE = Cone(ALPHA, 20.0, 15.0)
PLUG = Cone(ALPHA, 20.0, 60.0, internal=False)
DIAL = Dial(0.02, 3.0, "diameter")

# Every formula that takes floats or arrays, with values that it allows.
FORMULAS = {
    "cross_travel": (lambda s, a: setup.cross_travel(s, a), 40.0, 0.3),
    "axial_travel": (lambda s, a: setup.axial_travel(s, a), 40.0, 0.3),
    "by_carriage": (lambda z, a: setup.cross_travel_by_carriage(z, a), 40.0, 0.3),
    "set_over": (setup.set_over, 8.4, 0.02),
    "set_over_by_rule": (setup.set_over_by_rule, 8.4, 0.02),
    "seam_step": (setup.seam_step, 2.6, 0.3, 0.001, 0.002, 0.003),
    "blue_length": (blue_length, 0.0002, 0.001),
    "per_graduation": (lambda s, a: setup.angle_per_graduation(s, a, DIAL), 40.0, 0.3),
    "diameter_at": (BORE.diameter_at, 3.0),
    "reading": (DIAL.reading, 1.5),
    "movement": (DIAL.movement, 1.5),
    "nearest": (DIAL.nearest, 1.53),
    "in_unit": (lambda x: in_unit(x, "in", "mm"), 2.0),
    "face_change": (lambda *moved: boring.face_diameter_change(BORE, *moved), 0.1, 0.2, 0.3, 0.4),
    "cross_to_change": (boring.cross_to_change, 0.2),
    "carriage_to_change": (lambda x: boring.carriage_to_change(BORE, x), 0.2),
    "turned_radius": (boring.turned_radius, 10.0, 0.2),
    "diameter_error": (lambda x, e: diameter_error(x, ALPHA, e), 12.0, 0.001),
    "ball_height": (lambda d: balls.ball_height(BORE, d), 18.0),
    "ball_contact": (lambda d: balls.ball_contact(BORE, d).diameter, 18.0),
    "contact_depth": (lambda d: balls.ball_contact(BORE, d).depth, 18.0),
    "ball_sensitivity": (lambda d: ball_choice.ball_sensitivities(BORE, d).half_angle, 18.0),
    "face_from_ball": (balls.face_diameter_from_ball, 0.3, 18.0, 3.0),
    "countersink": (lambda d, h: balls.countersink_diameter(ALPHA.double(), d, h), 18.0, 3.0),
    "depth_reading": (balls.depth_reading, 3.0, 5.0),
    "height_from_depth": (balls.height_from_depth, 3.0, 5.0),
    "roll_constant": (rolls.roll_constant, 0.3),
    "roll_contact": (lambda d, b: rolls.roll_contact(PLUG, d, b).diameter, 6.0, 10.0),
    "roll_height": (lambda d, b: rolls.roll_contact(PLUG, d, b).height, 6.0, 10.0),
    "over_rolls": (lambda d, b: rolls.over_rolls(PLUG, d, b), 6.0, 10.0),
    "face_from_rolls": (rolls.face_diameter_from_rolls, 0.3, 6.0, 60.0, 10.0),
}
ANGLES = {
    "half_angle_from": (setup.half_angle_from, 40.0, 12.0),
    "half_angle_from_axial": (setup.half_angle_from_axial, 40.0, 12.0),
    "half_angle_of_set_over": (setup.half_angle_of_set_over, 8.4, 0.2),
    "error_from_blue": (error_from_blue, 0.0002, 0.3),
    "two_balls": (balls.half_angle_from_two_balls, 18.0, 10.0, 12.0, -5.0),
    "two_measures": (rolls.half_angle_from_rolls, 40.0, 45.0, 10.0),
}


@pytest.mark.parametrize(
    ("formula", "given"), [(f, v) for f, *v in FORMULAS.values()], ids=FORMULAS
)
def test_floats_give_a_float_and_any_array_gives_an_array(formula, given):
    alone = formula(*given)
    assert type(alone) is float
    assert type(formula(*map(np.float64, given))) is float
    for place in range(len(given)):
        some = list(given)
        some[place] = np.array([given[place]] * 3)
        found = formula(*some)
        assert type(found) is np.ndarray
        assert found.dtype == np.float64
        assert found == pytest.approx([alone] * 3, rel=1e-12)


@pytest.mark.parametrize(("formula", "given"), [(f, v) for f, *v in ANGLES.values()], ids=ANGLES)
def test_floats_give_an_angle_and_arrays_give_radians(formula, given):
    alone = formula(*given)
    assert isinstance(alone, Angle)
    found = formula(*(np.array([value] * 2) for value in given))
    assert type(found) is np.ndarray
    assert found == pytest.approx([alone.radians] * 2, rel=1e-12)


@pytest.mark.parametrize("wrong", [math.nan, math.inf, -math.inf, "3", None, True, 1j])
@pytest.mark.parametrize(
    ("formula", "given"),
    [(f, v) for f, *v in (FORMULAS | ANGLES).values()],
    ids=[*FORMULAS, *ANGLES],
)
def test_no_formula_takes_what_is_no_number(formula, given, wrong):
    # numpy makes 1.0 of a truth value among numbers, so that nobody can tell it any more.
    among = [] if isinstance(wrong, bool) else [np.array([given[0], wrong])]
    for place in range(len(given)):
        for value in (wrong, *among):
            some = [*given[:place], value, *given[place + 1 :]]
            with pytest.raises(ValueError, match=r"; (it must|every one must|give numbers)"):
                formula(*some)


def test_arrays_that_do_not_fit_each_other():
    with pytest.raises(ValueError, match=r"shape \(3,\) and \(2,\) do not go together; give"):
        setup.cross_travel(np.ones(3), np.full(2, 0.3))
    with pytest.raises(ValueError, match="arrays of one length, or single numbers"):
        balls.depth_reading(height=np.ones(3), parallel=np.full(2, 4.0))


@pytest.mark.parametrize(
    ("check", "value", "words"),
    [
        (finite, "2", "length is '2'; it must be a number, for example 2.5"),
        (finite, True, "length is True; it must be a number, for example 2.5"),
        (finite, 10**400, "length is inf; it must be a finite number, for example 2.5"),
        (finite, -math.inf, "length is -inf; it must be a finite number, for example 2.5"),
        (positive, 0, "length is 0; it must be more than zero, for example 2.5"),
        (positive, -1, "length is -1; it must be more than zero, for example 2.5"),
        (not_negative, -0.25, "length is -0.25; it must be zero or more, for example 0.2"),
        (numbers, math.nan, "length is nan; it must be a finite number, for example 2.5"),
        (numbers, [1.0, math.nan], "length holds nan; every one must be finite, for example 2.5"),
        (numbers, ["1"], "length is ['1']; give numbers only, for example 2.5"),
        (numbers, np.array([True]), "length is array([ True]); give numbers only, for example 2.5"),
        (lengths, 0.0, "length is 0; it must be more than zero, for example 2.5"),
        *(
            (
                lengths,
                (1.0, wrong),
                f"length holds {wrong:g}; every one must be finite and more than zero, "
                "for example 2.5",
            )
            for wrong in (0.0, -1.0, -0.5, math.inf, math.nan)
        ),
    ],
)
def test_the_words_when_a_value_will_not_do(check, value, words):
    with pytest.raises(ValueError, match=f"^{re.escape(words)}$"):
        check("length", value)


def test_what_will_do_comes_back_as_float_or_array():
    assert finite("x", np.float32(0.5)) == 0.5
    assert type(finite("x", 3)) is float
    assert type(not_negative("x", 0)) is float
    assert (positive("x", 0.5), not_negative("x", 0.5)) == (0.5, 0.5)
    assert lengths("x", [0, 2], zero=True).tolist() == [0.0, 2.0]
    assert lengths("x", np.array([1, 2])).dtype == np.float64
    with pytest.raises(ValueError, match="holds -1; every one must be finite and zero or more"):
        lengths("x", [0, -1], zero=True)
    with pytest.raises(ValueError, match="holds -1;"):
        lengths("x", [1, -1, 2, -3])


def test_a_whole_number_within_its_ends_comes_back():
    assert [whole("count", n, 1, 5, 2) for n in (1, 3, 5)] == [1, 3, 5]
    assert whole("count", 10**6, 1, None, 2) == 10**6
    for wrong in (0, 6, 2.0, True, "3", None):
        with pytest.raises(ValueError, match="must be a whole number from 1 to 5, as 2"):
            whole("count", wrong, 1, 5, 2)


def test_what_is_left_out_is_not_checked():
    part = SimpleNamespace(bar_length=None, edge_break=0.0)
    where_given(part, positive, bar_length=5.0)
    where_given(part, not_negative, edge_break=0.01)
    part.bar_length = -1
    with pytest.raises(ValueError, match=r"bar length is -1; .*for example 5\.0"):
        where_given(part, positive, bar_length=5.0)


@pytest.mark.parametrize("value", ["Radius", True, None, 1, np.array(["radius"]), ["radius"]])
def test_a_word_is_one_of_those_allowed(value):
    assert one_of("dial reads", "radius", ("radius", "diameter")) == "radius"
    with pytest.raises(ValueError, match="it must be “radius” or “diameter”"):
        one_of("dial reads", value, ("radius", "diameter"))


LATHE = demo.LATHES[demo.FIRST_LATHE]
LAYOUT = boring.SlideLayout(3.0, 1.0, 8.0, 2.0, 5.0, 4.0, 3.0)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: Cone(ALPHA, 20.0, internal="external"), "internal is 'external'; it must be True"),
        (lambda: Cone.from_diameters(20.0, 10.0, 15.0, internal=1), "internal is 1; it must be"),
        (lambda: setup.swing_words("external"), "internal is 'external'; it must be True or False"),
        (lambda: boring.sweep(LAYOUT, ALPHA, 2.0, internal=None), "internal is None; it must be"),
        (
            lambda: boring.plan_cuts(Cone(ALPHA, 1.4), 1.3, LATHE, 0.04, 0.02, spring_pass="no"),
            "spring pass is 'no'; it must be True or False",
        ),
        (
            lambda: setup.arc_at_base(0.3, 2.0),
            "swing is 0.3; give an Angle, for example Angle",
        ),
        (
            lambda: setup.cross_reading_window(0.3, ALPHA, 2.0, DIAL),
            "half angle is 0.3; give an Angle, for example Angle.parse",
        ),
        (
            lambda: setup.cross_reading_window(ALPHA, 0.001, 2.0, DIAL),
            "tolerance is 0.001; give an Angle",
        ),
        (lambda: setup.correction(0.3, 2.0, 1.0, DIAL), "half angle is 0.3; give an Angle"),
        (lambda: LATHE.base_reading(0.3), "half angle is 0.3; give an Angle"),
        (lambda: LATHE.half_angle_at(17), "base reading is 17; give an Angle"),
        (
            lambda: judge(1.0, 0.9, 1.1, 0.01, "guard band"),
            "rule is 'guard band'; give a Rule",
        ),
        (
            lambda: setup.whole_graduation_setups(ALPHA, LATHE, count=True),
            "count is True; it must be a whole number, as 3",
        ),
        (
            lambda: boring.tool_height_effect(BORE, 0.01, points=2),
            "points is 2; it must be a whole number from 3 to 100001, as 201",
        ),
        (
            lambda: blocks.nearest_stack(1.0, [1.0], most=9),
            "most blocks is 9; it must be a whole number from 1 to 8, as 5",
        ),
        (
            lambda: blocks.nearest_stack(1.0, [1.0], most=2.0),
            "most is 2.0; it must be a whole number, as 3",
        ),
    ],
)
def test_no_word_passes_for_a_truth_value_and_no_number_for_an_angle(call, words):
    with pytest.raises(ValueError, match=f"^{re.escape(words)}"):
        call()


def test_numpys_whole_numbers_are_whole_numbers():
    found = whole("count", np.int64(3), 1, 5, 3)
    assert found == 3
    assert type(found) is int
    with pytest.raises(ValueError, match="count is True"):
        whole("count", True, 0, 5, 3)
