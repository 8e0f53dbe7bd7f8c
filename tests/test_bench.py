"""The indicating bench: lost motion, geometry, dials, indicator, log."""

import math
import random
from dataclasses import replace
from itertools import pairwise

import mpmath
import numpy as np
import pytest
from bench_starts import bench_start
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from tapertrig import Angle, Dial, Lathe
from tapertrig.bench import (
    OFF,
    PAST,
    Action,
    Bench,
    BenchConditions,
    PitchError,
    play,
    play_path,
    practised_hand,
    reversal_cost,
)
from tapertrig.budget import AngleBudget
from tapertrig.demo import LATHES

INCH, METRIC, OLD = LATHES.values()
HALF = Angle.parse("20°43'")
STILL = {
    "eye_error": Angle.from_dms(0),
    "tap_scatter": 0.0,
    "tap_step": Angle.from_dms(0),
    "snug_shift": Angle.from_dms(0),
    "indicator_repeatability": 0.0,
}


def quiet(lathe=METRIC, half_angle=HALF, **conditions):
    """A bench without chance, its carriage locked."""
    bench = Bench(lathe, half_angle, **{**STILL, **conditions})
    bench.lock_carriage()
    return bench


# Lost motion ---------------------------------------------------------------------------------

inputs = st.lists(st.floats(-5, 5), min_size=1, max_size=40)


def centred_play(inputs, half_width, output):
    """Play operator F_r as in the literature: output is the middle, input moves within ±r of it.

    On each monotone piece F = max(u − r, min(u + r, F before)). Krasnosel'skii and Pokrovskii,
    Systems with Hysteresis (1989); also Brokate and Sprekels (1996). From memory.
    """
    outputs = []
    for value in inputs:
        output = max(value - half_width, min(value + half_width, output))
        outputs.append(output)
    return outputs


@given(inputs, st.floats(0, 2), st.floats(0, 1))
def test_lost_motion_is_the_play_operator(handwheels, lost, share):
    start = handwheels[0] - lost * share
    expected = centred_play([w - lost / 2 for w in handwheels], lost / 2, start)
    assert play_path(handwheels, lost, start) == pytest.approx(expected, abs=1e-12)


@given(inputs, st.floats(0.01, 2), st.floats(-1, 1))
def test_lost_motion_obeys_the_variational_inequality(handwheels, lost, v):
    # The definition by variational inequality: |u − w| ≤ r, and ẇ·(u − w − v) ≥ 0 for every v in
    # [−r, r]. Read in a review article on the play hysteresis operator (Bagagiolo and others,
    # 2020, are its source). Here u is the handwheel less half the lost motion.
    r = lost / 2
    fine = np.concatenate([np.linspace(a, b, 20) for a, b in pairwise([*handwheels, 0.0])])
    slides = play_path(fine, lost)
    gap = fine - r - slides
    assert (np.abs(gap) <= r + 1e-12).all()
    assert (np.diff(slides) * (gap[1:] - v * r) >= -1e-12).all()


def test_lost_motion_gives_a_published_example():
    # Python Control Systems Library, reference page of friction_backlash_nonlinearity: backlash
    # 2, centre at 0, inputs 0, 1, 2, 1, 0, −1 give 0, 0, 1, 1, 1, 0. Its input is centred.
    inputs, outputs = [0, 1, 2, 1, 0, -1], [0, 0, 1.0, 1.0, 1.0, 0.0]
    assert list(play_path([u + 1 for u in inputs], 2, 0.0)) == outputs


@given(st.floats(0.5, 5), st.floats(0, 0.9))
def test_loop_area(amplitude, share):
    # A backlash loop is a parallelogram of width b and height 2A − b (plane geometry).
    lost = share * amplitude
    rise, fall = np.linspace(-amplitude, amplitude, 500), np.linspace(amplitude, -amplitude, 500)
    w = np.concatenate([rise, fall, rise, fall])
    p = play_path(w, lost)
    cycle = slice(len(w) // 2 - 1, None)
    area = -np.trapezoid(p[cycle], w[cycle])
    assert area == pytest.approx(lost * (2 * amplitude - lost), rel=0.01, abs=1e-9)


def test_an_unknown_slide_trails_by_half_the_lost_motion():
    assert play_path([1.0, 1.01, 1.06], 0.1).tolist() == pytest.approx([0.95, 0.95, 0.96])


def test_the_cost_of_one_reversal_is_a_plain_float():
    assert type(reversal_cost(0.002, 3.0, 0.5)) is float
    assert reversal_cost(np.array([0.002, 0.004]), 3.0, 0.5).shape == (2,)


@pytest.mark.parametrize("screw", ["compound", "cross"])
@given(st.floats(0.05, 1.2), st.floats(1, 100), st.floats(-0.02, 0.02))
def test_reversal_cost_against_fifty_digits(screw, alpha, travel, share):
    lost = share * travel
    with mpmath.workdps(50):
        s, b, sine = mpmath.mpf(travel), mpmath.mpf(lost), mpmath.sin(mpmath.mpf(alpha))
        sine = (s * sine + b) / s if screw == "cross" else (s - b) * sine / s
        expected = float(mpmath.asin(sine) - mpmath.mpf(alpha))
    assert reversal_cost(lost, travel, alpha, screw) == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize(
    ("screw", "closed"),
    [
        # Common practice, no source: a reversal costs up to b/(s cos α) on the cross screw.
        ("cross", lambda b, s, a: b / (s * math.cos(a))),
        # The compound's share by ∂α/∂s = −tan α/s (derived, plane trigonometry).
        ("compound", lambda b, s, a: b * math.tan(a) / s),
    ],
)
@pytest.mark.parametrize("lathe", [INCH, METRIC, OLD])
def test_one_reversal_on_the_bench_costs_the_closed_formula(lathe, screw, closed):
    bench = quiet(lathe)
    practised_hand(bench)
    bench = at_last_reading(bench)
    s, b = bench.conditions.compound_travel, bench.conditions.backlash(screw)
    before = abs(bench.state.dial_shown("cross")), abs(bench.state.dial_shown("compound"))
    # Past the second end on one screw and back until that slide stands where it stood.
    nut = bench.state.screw(screw).nut
    way = 1 if screw == "cross" else bench.conditions.away
    turn = bench.turn_cross if screw == "cross" else bench.turn_compound
    past = 0.3 * bench.conditions.indicator_range if screw == "cross" else s / 50
    turn(way * past)
    turn(-way * (past + b))
    assert bench.state.screw(screw).nut == pytest.approx(nut, abs=1e-9)
    after = abs(bench.state.dial_shown("cross")), abs(bench.state.dial_shown("compound"))
    k = lathe.cross_dial.factor
    read = [math.asin(cross / k / compound) for cross, compound in (before, after)]
    cost = abs(read[1] - read[0])
    assert cost == pytest.approx(closed(b, s, bench.state.half_angle), rel=0.02)
    # The compound's dial now says b less than before.
    dial_travel = s if screw == "cross" else s - b
    exact = reversal_cost(-b, dial_travel, bench.state.half_angle, screw)
    assert cost == pytest.approx(abs(exact), rel=0.005)


def test_a_reversal_anywhere_inside_the_backlash_costs_at_most_the_whole():
    lost = np.linspace(0, 0.009, 50)
    cost = reversal_cost(lost, 2.6, HALF)
    assert (np.diff(cost) > 0).all()
    assert cost[-1] * 180 * 60 / math.pi == pytest.approx(12.7, abs=0.1)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: play_path([0, math.nan], 0.1), "handwheels holds nan"),
        (lambda: play_path([[0.0]], 0.1), "one row"),
        (lambda: play_path(0.5, 0.1), "handwheels is 0.5"),
        (lambda: play_path([0], -0.1), "-0.1"),
        (lambda: reversal_cost(5.0, 3.0, HALF), "no triangle"),
        (lambda: reversal_cost(math.nan, 3.0, HALF), "lost motion is nan"),
        (lambda: reversal_cost(0.01, 3.0, HALF, "carriage"), "carriage"),
        (lambda: PitchError(0.5), "0.5"),
        (lambda: PitchError(0, math.inf), "inf"),
    ],
)
def test_lost_motion_refuses(call, words):
    with pytest.raises(ValueError, match=words):
        call()


def at_last_reading(bench):
    """The same bench again, as it stood when its last pass was read."""
    return Bench.replay(bench.conditions, bench.actions[: bench.passes[-1].step])


def feed_to(bench, deflection):
    """Feed the cross slide in, lost motion and all, until the indicator is pushed in so far."""
    slack = bench.conditions.lathe.cross_backlash - bench.state.cross.slack
    bench.turn_cross(slack + deflection - bench.state.deflection)


# Geometry ------------------------------------------------------------------------------------


@given(
    st.floats(2, 80),
    st.booleans(),
    st.floats(-0.002, 0.002),
    st.sampled_from([INCH, METRIC, OLD]),
)
@settings(max_examples=60, deadline=None)
def test_cross_travel_between_nulls_is_where_two_lines_meet(degrees, internal, slope, lathe):
    # Independent of the bench: the tip runs along the slide's line, then square to the axis
    # until it is as far from the quill's line as before. Linear algebra in the plan.
    angle = Angle.from_degrees(degrees)
    bench = quiet(lathe, angle, internal=internal, quill_slope=slope)
    travel = bench.conditions.compound_travel
    away = -1 if internal else 1
    headstock, outward = np.array([1.0, 0.0]), np.array([0.0, 1.0])
    wall = math.cos(angle.radians) * headstock + away * math.sin(angle.radians) * outward
    moved = away * travel * wall
    along_quill = headstock + slope * outward
    # moved − x·outward must lie along the quill.
    _, x = np.linalg.solve(np.column_stack([along_quill, outward]), moved)
    bench.turn_cross(-bench.state.cross.handwheel)
    bench.turn_compound(-away * 10 * travel)
    bench.turn_compound(away * bench.conditions.lathe.compound_backlash)
    feed_to(bench, 0.3 * bench.conditions.indicator_range)
    zero = bench.state.deflection
    then = bench.state.slide("cross")
    bench.turn_compound(away * travel)
    feed_to(bench, zero)
    assert bench.state.slide("cross") - then == pytest.approx(x, abs=1e-6 * travel)
    # What the quill's slope adds, one for one to first order.
    beta = -away * math.atan(slope)
    effect = bench.truth().quill_effect.radians
    assert effect == pytest.approx(math.asin(x / travel) - angle.radians, abs=1e-8)
    assert effect == pytest.approx(beta, abs=6 * slope**2 + 1e-9)


def test_drawn_places_agree_with_the_indicator():
    bench = quiet(quill_slope=0.001)
    practised_hand(bench)
    for step in bench.log:
        state = step.state
        side = bench.conditions.quill_radius + 0.001 * state.tool_axial
        assert side - state.tip_out == pytest.approx(state.deflection, abs=1e-9)


@pytest.mark.parametrize("internal", [True, False])
@pytest.mark.parametrize("lathe", [INCH, METRIC, OLD])
def test_swing_and_base_reading(lathe, internal):
    bench = quiet(lathe, internal=internal)
    start = bench.state.slide_angle()
    assert abs(start - HALF) < Angle.from_arc_seconds(1e-6)
    bench.swing(Angle.from_dms(2, 10))
    assert bench.state.slide_angle().degrees == pytest.approx(HALF.degrees + 2 + 10 / 60)
    true = HALF.degrees + 2 + 10 / 60
    shown = true if lathe.base_zero == "parallel to bed" else 90 - true
    assert bench.state.base_shown.degrees == pytest.approx(shown)
    assert bench.state.base_read.degrees == round(2 * shown) / 2


def test_truth_and_what_it_does_to_the_part():
    bench = quiet()
    bench.swing(Angle.from_dms(0, 6))
    truth = bench.truth()
    assert truth.minutes == pytest.approx(6)
    # 2ℓ[tan(α+δ) − tan α], plane trigonometry, to 50 digits.
    with mpmath.workdps(50):
        a, d = (mpmath.radians(x) for x in (mpmath.mpf(1243) / 60, mpmath.mpf(1) / 10))
        out = float(2 * 16 * (mpmath.tan(a + d) - mpmath.tan(a)))
    assert truth.diameter_error(16) == pytest.approx(out, rel=1e-9)


# Chance --------------------------------------------------------------------------------------


def test_by_eye_taps_and_snugging_stay_within_their_limits_and_use_them():
    eye, tap, snug = [], [], []
    for seed in range(400):
        bench = Bench(METRIC, HALF, seed=seed)
        eye.append(bench.truth().minutes)
        bench.swing(Angle.from_dms(1))
        tap.append(bench.truth().minutes - eye[-1] - 60)
        before = bench.truth().minutes
        bench.snug()
        snug.append(bench.truth().minutes - before)
        settled = bench.state.half_angle
        bench.snug()
        assert bench.state.half_angle == settled
    for values, limit in ((eye, 40), (tap, 6.25), (snug, 1)):
        assert max(map(abs, values)) <= limit + 1e-9
        assert min(values) < -0.8 * limit
        assert max(values) > 0.8 * limit
        assert abs(np.mean(values)) < 0.15 * limit


def test_same_seed_same_bench_and_another_seed_another():
    first, again, other = (Bench(METRIC, HALF, seed=seed) for seed in (4, 4, 5))
    assert first.state == again.state
    assert first.state.half_angle != other.state.half_angle


def test_a_loose_carriage_strays_and_a_locked_one_does_not():
    bench = Bench(METRIC, HALF)
    for _ in range(5):
        bench.turn_cross(0.1)
        bench.turn_cross(-0.1)
    strays = {step.state.stray for step in bench.log}
    assert len(strays) > 5
    assert max(map(abs, strays)) <= bench.conditions.carriage_shake
    bench.lock_carriage()
    stray, carriage = bench.state.stray, bench.state.carriage
    bench.turn_cross(0.1)
    bench.turn_compound(-1)
    assert (bench.state.stray, bench.state.carriage) == (stray, carriage)


# Dials and indicator -------------------------------------------------------------------------


@given(
    st.integers(0, 10_000),
    st.lists(st.tuples(st.booleans(), st.floats(-3, 3)), min_size=1, max_size=8),
)
@settings(max_examples=50, deadline=None)
def test_a_person_reads_to_half_a_graduation_never_finer(seed, turns):
    bench = Bench.under(bench_start(seed))
    for compound, amount in turns:
        (bench.turn_compound if compound else bench.turn_cross)(amount)
    bench.read()
    line = bench.passes[-1]
    lathe = bench.conditions.lathe
    for dial, name, read in (
        (lathe.compound_dial, "compound", line.compound_reading),
        (lathe.cross_dial, "cross", line.cross_reading),
    ):
        halves = read / (dial.graduation / 2)
        assert abs(halves - round(halves)) < 1e-6
        moved = bench.state.screw(name).movement * (2 if dial.reads == "diameter" else 1)
        assert abs(read - moved) <= dial.graduation / 4 * (1 + 1e-6)


def test_diameter_dial_shows_twice_the_handwheel_and_read_as_radius_doubles_the_sine():
    bench = quiet(INCH)
    practised_hand(bench)
    bench = at_last_reading(bench)
    faithful = bench.passes[-1]
    bench.read("radius")
    wrong = bench.passes[-1]
    assert math.sin(wrong.implied.radians) == pytest.approx(
        2 * math.sin(faithful.implied.radians), rel=1e-12
    )
    assert wrong.swing_needed == HALF - wrong.implied


def test_readings_that_make_no_triangle_imply_nothing():
    bench = quiet()
    bench.zero_compound_dial()
    bench.zero_cross_dial()
    bench.read()
    assert bench.passes[-1].implied is None
    bench.turn_compound(1)
    bench.turn_cross(2)
    bench.read()
    assert bench.passes[-1].implied is None
    assert bench.passes[-1].swing_needed is None


@pytest.mark.parametrize("lathe", [INCH, METRIC])
def test_indicator_says_where_it_is(lathe):
    bench = quiet(lathe)
    conditions = bench.conditions
    assert bench.indicator.value is None
    assert bench.indicator.words == OFF
    bench.turn_cross(-bench.state.deflection + conditions.lathe.cross_backlash)
    bench.turn_cross(0.5 * conditions.indicator_range - bench.state.deflection)
    bench.zero_indicator()
    assert bench.indicator.at_null
    bench.turn_cross(3.2 * conditions.indicator_graduation)
    assert bench.indicator.value == pytest.approx(3 * conditions.indicator_graduation)
    assert bench.indicator.words.startswith("+")
    assert bench.indicator.words.endswith(lathe.unit)
    assert not bench.indicator.at_null
    bench.turn_cross(conditions.indicator_range)
    assert bench.indicator.value is None
    assert bench.indicator.words == PAST


def test_indicator_beside_the_quills_end_is_off_the_quill():
    bench = quiet(quill_length=10.0)
    bench.turn_compound(-200)
    bench.turn_cross(-bench.state.deflection + bench.conditions.lathe.cross_backlash)
    bench.turn_cross(0.1)
    assert bench.state.deflection > 0
    assert not bench.state.on_quill
    assert bench.indicator.words == OFF


def test_turning_by_graduations_and_turns():
    bench = quiet(INCH)
    for turn, name, dial in (
        (bench.turn_compound, "compound", INCH.compound_dial),
        (bench.turn_cross, "cross", INCH.cross_dial),
    ):
        then = bench.state.dial_shown(name)
        turn(graduations=10)
        assert bench.state.dial_shown(name) - then == pytest.approx(10 * dial.graduation)
        turn(turns=-1)
        shown = bench.state.dial_shown(name) - then
        assert shown == pytest.approx(10 * dial.graduation - dial.per_turn)


def test_pitch_error_moves_the_slide_and_not_the_dial():
    pitch = PitchError(per_length=0.001, wave=0.004)
    bench = quiet(cross_pitch=pitch)
    bench.turn_cross(1.0)
    nut, lead = bench.state.cross.nut, bench.conditions.lead("cross")
    assert lead == 4.0
    expected = nut * 1.001 + 0.004 * math.sin(2 * math.pi * nut / 4.0)
    assert bench.state.slide("cross") == pytest.approx(expected, rel=1e-12)
    assert bench.state.slide("compound") == bench.state.compound.nut


# Log -----------------------------------------------------------------------------------------


def test_turns_of_one_handwheel_one_way_make_one_step():
    bench = quiet()
    count = len(bench.log)
    for _ in range(50):
        bench.turn_cross(0.01)
    assert len(bench.log) == count + 1
    bench.turn_cross(-0.01)
    bench.turn_compound(0.01)
    bench.turn_cross(-0.01)
    assert len(bench.log) == count + 4
    bench.turn_cross(0.0)
    assert len(bench.log) == count + 4
    assert [step.number for step in bench.log] == list(range(len(bench.log)))
    assert all(step.state.step == step.number for step in bench.log)


def test_sentences_tell_no_secret():
    bench = Bench(METRIC, HALF, seed=2)
    bench.turn_cross(1.5)
    assert bench.log[-1].sentence == "Turn the cross handwheel in by 1.500 mm."
    bench.turn_cross(-0.1, why="Back off.")
    bench.turn_cross(-0.1)
    assert bench.log[-1].sentence == "Back off."
    bench.turn_compound(-500)
    assert "comes up solid" in bench.log[-1].sentence
    bench.swing(-Angle.from_dms(0, 5))
    assert bench.log[-1].sentence == "Tap the compound back by about 5.0′."


@given(st.integers(0, 100_000))
@settings(max_examples=15, deadline=None)
def test_the_log_replays_to_the_same_states(seed):
    bench = Bench.under(bench_start(seed))
    practised_hand(bench)
    again = Bench.replay(bench.conditions, bench.actions)
    assert [step.state for step in again.log] == [step.state for step in bench.log]
    other = Bench.replay(replace(bench.conditions, seed=seed + 1), bench.actions)
    assert other.state != bench.state


@pytest.mark.parametrize("seed", range(6))
def test_a_thousand_random_actions(seed):
    rng = random.Random(seed)
    bench = Bench.under(bench_start(seed))
    reach = bench.conditions.lathe.compound_reach
    for _ in range(1000):
        big = rng.choice((1e-4, 0.01, 1.0, 1.0, 1e300))
        amount = rng.uniform(-1, 1) * reach * big
        rng.choice(
            (
                lambda d=amount: bench.turn_compound(d),
                lambda d=amount: bench.turn_cross(d),
                lambda: bench.swing(Angle.from_arc_seconds(rng.uniform(-1, 1) * 300_000)),
                bench.snug,
                bench.lock_carriage,
                bench.loosen_carriage,
                bench.zero_indicator,
                bench.zero_compound_dial,
                bench.zero_cross_dial,
                lambda: bench.read(rng.choice((None, "radius", "diameter"))),
            )
        )()
        state = bench.state
        numbers = [
            state.half_angle,
            state.deflection,
            state.tip_out,
            state.tool_axial,
            state.stray,
            state.carriage,
            state.indicator.value or 0.0,
            *(f(name) for name in ("compound", "cross") for f in (state.slide, state.dial_read)),
            *(n for p in state.passes[-1:] for n in (p.travel, p.cross_reading)),
        ]
        assert all(map(math.isfinite, numbers))
        assert 0 < state.half_angle < math.pi / 2
    assert Bench.replay(bench.conditions, bench.actions).state == bench.state


class BenchMachine(RuleBasedStateMachine):
    """Any bench, anything done to it in any order."""

    @initialize(seed=st.integers(0, 100_000))
    def found(self, seed):
        self.bench = Bench.under(bench_start(seed))
        self.near = 1e-9 * self.bench.conditions.lathe.compound_reach

    def turn(self, name, share, pieces):
        conditions = self.bench.conditions
        amount = share * conditions.lathe.compound_reach
        before = self.bench.state
        whole = Bench.under(conditions)
        whole.state, whole._log = before, list(self.bench._log)
        for bench, count in ((self.bench, pieces), (whole, 1)):
            turn = bench.turn_compound if name == "compound" else bench.turn_cross
            for _ in range(count):
                turn(amount / count)
        then, now = before.screw(name), self.bench.state.screw(name)
        in_one = whole.state.screw(name)
        assert now.handwheel == pytest.approx(in_one.handwheel, abs=self.near)
        assert now.nut == pytest.approx(in_one.nut, abs=self.near)
        slack, backlash = then.slack, conditions.backlash(name)
        moved = now.handwheel - then.handwheel
        inside = moved <= backlash - slack if moved > 0 else -moved <= slack
        if inside:
            assert now.nut == pytest.approx(then.nut, abs=self.near)
        else:
            taken = backlash - slack if moved > 0 else -slack
            assert now.nut - then.nut == pytest.approx(moved - taken, abs=self.near)

    @rule(share=st.floats(-0.3, 0.3), pieces=st.integers(1, 7))
    def turn_compound(self, share, pieces):
        self.turn("compound", share, pieces)

    @rule(share=st.floats(-0.005, 0.005), pieces=st.integers(1, 7))
    def nudge_cross(self, share, pieces):
        self.turn("cross", share, pieces)

    @rule(share=st.floats(-0.3, 0.3), pieces=st.integers(1, 7))
    def turn_cross(self, share, pieces):
        self.turn("cross", share, pieces)

    @rule(minutes=st.floats(-120, 120))
    def swing(self, minutes):
        before = self.bench.state
        self.bench.swing(Angle.from_arc_seconds(minutes * 60))
        assert not self.bench.state.snugged
        assert self.bench.state.compound == before.compound

    @rule()
    def snug(self):
        self.bench.snug()
        assert self.bench.state.snugged

    @precondition(lambda self: not self.bench.state.locked)
    @rule()
    def lock(self):
        self.bench.lock_carriage()

    @precondition(lambda self: self.bench.state.locked)
    @rule()
    def loosen(self):
        self.bench.loosen_carriage()

    @rule()
    def zero(self):
        nuts = self.bench.state.compound.nut, self.bench.state.cross.nut
        self.bench.zero_all()
        state = self.bench.state
        assert (state.compound.nut, state.cross.nut) == nuts
        assert state.dial_shown("compound") == state.dial_shown("cross") == 0
        assert state.indicator.at_null or state.indicator.value is None

    @rule()
    def read(self):
        count = len(self.bench.passes)
        self.bench.read()
        assert len(self.bench.passes) == count + 1

    @invariant()
    def handwheel_and_slide_never_part_by_more_than_the_backlash(self):
        if not hasattr(self, "bench"):
            return
        for name in ("compound", "cross"):
            screw, conditions = self.bench.state.screw(name), self.bench.conditions
            assert -self.near <= screw.slack <= conditions.backlash(name) + self.near
            assert 0 <= screw.nut <= conditions.reach(name) + self.near

    def teardown(self):
        if hasattr(self, "bench"):
            again = Bench.replay(self.bench.conditions, self.bench.actions)
            assert [step.state for step in again.log] == [step.state for step in self.bench.log]


TestBenchMachine = BenchMachine.TestCase
TestBenchMachine.settings = settings(max_examples=40, stateful_step_count=30, deadline=None)


# Budget --------------------------------------------------------------------------------------


def test_budget_holds_what_the_bench_is_made_of():
    bench = quiet(INCH, quill_slope=0.0004, indicator_repeatability=0.0001)
    budget = bench.budget()
    assert isinstance(budget, AngleBudget)
    assert budget.cross_reading == pytest.approx(0.000125)
    assert budget.compound_reading == pytest.approx(0.00025)
    assert budget.datum.radians == pytest.approx(0.0004, rel=1e-6)
    assert budget.half_angle == HALF
    # The worst case lies above the 95 % uncertainty of the same parts, and below four times it.
    assert budget.expanded() < bench.farthest_out().radians < 4 * budget.expanded()


@pytest.mark.parametrize(
    ("part", "across", "along"),
    [
        # What one part alone may do, square to the axis (over s cos α) or along the slide
        # (times tan α/s); common knowledge of ∂α/∂cross and ∂α/∂s, derived.
        ({}, 0.0, 0.0),
        ({"indicator_repeatability": 0.003}, 0.006, 0.0),
        ({"indicator_graduation": 0.02}, 0.005, 0.0),
        ({"cross_dial": Dial(0.04, 4.0)}, 0.01, 0.0),
        ({"cross_dial": Dial(0.04, 4.0, "diameter")}, 0.005, 0.0),
        ({"compound_dial": Dial(0.04, 4.0)}, 0.0, 0.01),
        ({"cross_pitch": PitchError(0.0, 0.004)}, 0.008, 0.0),
        ({"compound_pitch": PitchError(0.0, 0.004)}, 0.0, 0.008),
        ({"compound_pitch": PitchError(0.0003)}, 0.0, 0.018),
        ({"quill_slope": 0.0005}, 0.0005 * 60 * math.cos(HALF.radians), 0.0),
    ],
)
def test_what_each_part_of_the_worst_case_may_do(part, across, along):
    fine = Dial(1e-6, 4.0)
    part = dict(part)
    dials = [part.pop(name, fine) for name in ("compound_dial", "cross_dial")]
    still = {"indicator_repeatability": 0.0, "indicator_graduation": 1e-7}
    bench = Bench(Lathe("mm", 80.0, *dials), HALF, 60.0, **{**still, **part})
    alpha = HALF.radians
    expected = across / (60 * math.cos(alpha)) + along * math.tan(alpha) / 60
    assert bench.farthest_out().radians == pytest.approx(expected, rel=1e-3, abs=2e-8)


# Refusals ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("conditions", "words"),
    [
        ({"lathe": "old one"}, "lathe"),
        ({"half_angle": 0.3}, "Angle"),
        ({"half_angle": Angle.from_dms(0, 10)}, "0°30′"),
        ({"half_angle": Angle.from_dms(89, 45)}, "89°30′"),
        ({"compound_travel": 90.0}, "reach"),
        ({"compound_travel": math.nan}, "finite"),
        ({"internal": "yes"}, "True or False"),
        ({"seed": 1.5}, "whole number"),
        ({"seed": True}, "whole number"),
        ({"quill_slope": 0.2}, "quill slope"),
        ({"quill_length": 0}, "quill length"),
        ({"indicator_range": 0.02}, "fewer than four graduations"),
        ({"indicator_repeatability": -1}, "repeatability"),
        ({"eye_error": 0.3}, "eye error"),
        ({"snug_shift": Angle.from_dms(9)}, "snug shift"),
        ({"tap_scatter": 1.2}, "tap scatter"),
        ({"carriage_shake": -0.1}, "carriage shake"),
        ({"cross_pitch": PitchError(0, 0.5)}, "wave"),
    ],
)
def test_conditions_refused(conditions, words):
    with pytest.raises(ValueError, match=words):
        BenchConditions(**{"lathe": METRIC, "half_angle": HALF, **conditions})


@pytest.mark.parametrize(
    ("act", "words"),
    [
        (lambda b: b.turn_cross(math.nan), "finite"),
        (lambda b: b.turn_cross(math.inf), "finite"),
        (lambda b: b.turn_cross("0.1"), "number"),
        (lambda b: b.turn_cross(), "0 amounts"),
        (lambda b: b.turn_compound(1, turns=1), "2 amounts"),
        (lambda b: b.swing(0.1), "Angle"),
        (lambda b: b.read("half"), "half"),
        (lambda b: b.read(travel=-1), "travel"),
        (lambda b: Bench.replay(b.conditions, [Action("jump")]), "jump"),
        (lambda b: Bench.replay(b.conditions, ["snug"]), "snug"),
        (lambda b: Bench.replay(b.conditions, [Action("turn cross", math.nan)]), "finite"),
        (lambda b: Bench.replay(b.conditions, [Action("read", 0.0, "dial")]), "dial"),
        (lambda b: b.truth().diameter_error(0), "cone length"),
    ],
)
def test_a_refused_action_leaves_the_bench_as_it_was(act, words):
    bench = quiet()
    bench.turn_cross(0.5)
    log = bench.log
    with pytest.raises(ValueError, match=words):
        act(bench)
    assert bench.log == log


def test_play_by_hand():
    # b = 2: forward 3 from the middle moves 2, back 1 moves nothing, back 2 more moves 1.
    assert play(4.0, 0.0, 2.0) == 2.0
    assert play(3.0, 2.0, 2.0) == 2.0
    assert play(1.0, 2.0, 2.0) == 1.0
