"""The review of the bench's log, and the practised and careless hands, over seeded starts."""

import math
from dataclasses import replace

import pytest
from bench_starts import bench_start
from scipy.optimize import brentq

from tapertrig import Angle
from tapertrig.bench import (
    HABITS,
    MISTAKES,
    Bench,
    PitchError,
    careless_hand,
    error_sources,
    habits_on,
    practised_hand,
    review,
)
from tapertrig.bench import reviewing as names
from tapertrig.demo import LATHES
from tapertrig.practice import mistakes as practice

STARTS = 1000
INCH, METRIC, OLD = LATHES.values()
HALF = Angle.parse("20°43'")
BACKLASH_HABITS = (names.REVERSAL, names.ZEROED_EARLY)


def test_shared_mistakes_have_the_names_that_practice_gives_them():
    for mistake in (
        names.REVERSAL,
        names.DIAMETER_AS_RADIUS,
        names.RADIUS_AS_DIAMETER,
        names.WRONG_WAY,
    ):
        assert mistake in practice.MISTAKES
    assert set(HABITS) <= set(MISTAKES)


def test_starts_are_of_every_kind():
    starts = [bench_start(seed) for seed in range(STARTS)]
    for kind in (
        lambda c: c.lathe.unit,
        lambda c: c.lathe.cross_dial.reads,
        lambda c: c.lathe.base_zero,
        lambda c: c.internal,
    ):
        assert min(sum(kind(c) == k for c in starts) for k in {kind(c) for c in starts}) > 400
    mm = [c.lathe.cross_backlash * (25.4 if c.lathe.unit == "in" else 1) for c in starts]
    assert min(mm) == 0
    assert 0.49 < max(mm) <= 0.5
    assert any(c.compound_travel == c.lathe.compound_reach for c in starts)


@pytest.mark.slow
def test_practised_hand_lands_within_the_budget_from_every_start():
    covered = 0
    for seed in range(STARTS):
        bench = Bench.under(bench_start(seed))
        worked = practised_hand(bench)
        truth = bench.truth()
        assert worked.proven, seed
        assert worked.passes <= 5, seed
        assert abs(truth.error) <= worked.budget, seed
        verdict = review(bench)
        assert verdict.findings == (), seed
        assert len(verdict.well_done) == 7
        for line in bench.passes:
            at_read = bench.log[line.step].state.slide_angle()
            assert abs(line.implied - at_read) <= bench.farthest_out(at_read), (seed, line.number)
        # What is known of quill and screws beforehand is their limits, not their values.
        known = replace(
            bench.budget(),
            datum=Angle.from_radians(0.0003),
            screw_error=max(bench.budget().screw_error, 2e-4),
        )
        misread = bench.passes[-1].implied - truth.half_angle
        covered += abs(misread.radians) <= known.expanded()
    # JCGM 100: what the expanded uncertainty of 95 % covers.
    assert covered >= 0.95 * STARTS


@pytest.mark.slow
def test_each_careless_habit_is_named_from_every_start_and_nothing_else_is():
    for seed in range(STARTS):
        conditions = bench_start(seed)
        screw = ("cross", "compound")[seed % 2]
        for habit in habits_on(Bench.under(conditions)):
            bench = Bench.under(conditions)
            careless_hand(bench, habit, screw, most_passes=3)
            made = habit not in BACKLASH_HABITS or conditions.backlash(screw) > 0
            if habit == names.WRONG_WAY:
                made = any(action.kind == "swing" for action in bench.actions)
            verdict = review(bench)
            assert verdict.mistakes == ((habit,) if made else ()), (seed, habit, screw)
            for finding in verdict.findings:
                check_finding(bench, finding, screw)


def check_finding(bench, finding, screw):
    """Take the effect away: what is left must be no worse than a faultless pass can be."""
    if finding.mistake in BACKLASH_HABITS:
        assert finding.screw == screw
        assert 0 < finding.lost <= bench.conditions.backlash(screw) * (1 + 1e-9)
        assert bench.log[finding.step].action.kind.endswith(screw) or (
            bench.log[finding.step].action.kind == f"zero {screw} dial"
        )
    if finding.effect is None:
        return
    line = bench.passes[finding.pass_number - 1]
    true = bench.log[line.step].state.slide_angle()
    if true > Angle.from_dms(75):
        # Swung there by a misread dial; so near 90° the sine has lost its grip on the angle.
        return
    left = line.implied - finding.effect - true
    assert abs(left) <= bench.farthest_out(true) + Angle.from_arc_seconds(1), finding


# One mistake at a time, by hand ----------------------------------------------------------------


def at_first_end(lathe=METRIC, **conditions):
    """A bench without chance, locked, at its first end with all backlash out, nothing zeroed."""
    bench = Bench(
        lathe,
        HALF,
        eye_error=Angle.from_dms(0),
        snug_shift=Angle.from_dms(0),
        indicator_repeatability=0.0,
        **conditions,
    )
    bench.lock_carriage()
    onto_first_end(bench)
    return bench


def onto_first_end(bench):
    away, reach = bench.conditions.away, bench.conditions.lathe.compound_reach
    bench.turn_cross(-0.6 * reach)
    bench.turn_compound(-away * 2 * reach)
    bench.turn_compound(away * (0.05 * reach + bench.conditions.lathe.compound_backlash))
    touch(bench)


def touch(bench):
    """Feed in until the indicator is a third of its range onto the quill, lost motion and all."""
    slack = bench.conditions.lathe.cross_backlash - bench.state.cross.slack
    bench.turn_cross(slack + bench.conditions.indicator_range / 3 - bench.state.deflection)


def back_off(bench):
    bench.turn_cross(-0.6 * bench.conditions.lathe.compound_reach)


def run(bench):
    bench.turn_compound(bench.conditions.away * bench.conditions.compound_travel)


def to_null(bench):
    slack = bench.conditions.lathe.cross_backlash - bench.state.cross.slack
    bench.turn_cross(slack + bench.state.indicator_zero - bench.state.deflection)


def finish(bench):
    """Snug up and prove, faultlessly."""
    bench.snug()
    onto_first_end(bench)
    bench.zero_all()
    run(bench)
    to_null(bench)
    bench.read()
    return review(bench)


def test_faultless_by_hand():
    bench = at_first_end()
    verdict = finish(bench)
    assert verdict.findings == ()
    assert len(verdict.well_done) == 7
    assert verdict.remarks == ()
    assert abs(bench.passes[-1].swing_needed) <= bench.farthest_out()


@pytest.mark.parametrize("internal", [True, False])
def test_going_past_and_coming_back_the_right_way_is_no_mistake(internal):
    bench = at_first_end(internal=internal)
    bench.snug()
    bench.zero_all()
    away, cond = bench.conditions.away, bench.conditions
    run(bench)
    bench.turn_compound(away * 0.5)
    bench.turn_compound(-away * 2)
    bench.turn_compound(away * 1.5)
    to_null(bench)
    bench.turn_cross(0.2)
    bench.turn_cross(-2)
    to_null(bench)
    bench.read()
    assert review(bench).findings == ()
    assert cond.lathe.cross_backlash > 0


@pytest.mark.parametrize("internal", [True, False])
def test_running_towards_the_quill_is_as_good_when_both_ends_are_approached_alike(internal):
    bench = at_first_end(internal=internal)
    bench.snug()
    bench.turn_cross(-0.6 * bench.conditions.lathe.compound_reach)
    away, travel = bench.conditions.away, bench.conditions.compound_travel
    bench.turn_compound(away * (travel + 3))
    bench.turn_compound(-away * 3)
    touch(bench)
    bench.zero_all()
    bench.turn_cross(-0.6 * bench.conditions.lathe.compound_reach)
    bench.turn_compound(-away * travel)
    to_null(bench)
    bench.read()
    assert review(bench).findings == ()
    assert abs(bench.passes[-1].swing_needed) <= bench.farthest_out()


def test_reversal_on_both_screws_names_both_with_step_loss_and_minutes():
    bench = at_first_end()
    bench.snug()
    bench.zero_all()
    run(bench)
    away = bench.conditions.away
    bench.turn_compound(-away * 0.1)
    compound_step = bench.log[-1].number
    to_null(bench)
    bench.turn_cross(-0.05)
    cross_step = bench.log[-1].number
    bench.read()
    compound, cross = review(bench).findings
    assert (compound.mistake, compound.screw, compound.step) == (
        names.REVERSAL,
        "compound",
        compound_step,
    )
    assert (cross.mistake, cross.screw, cross.step) == (names.REVERSAL, "cross", cross_step)
    assert compound.lost == pytest.approx(0.1)
    assert cross.lost == pytest.approx(0.05)
    # Closed formulas b/(s cos α) and b tan α/s in minutes (derived, plane trigonometry), with
    # s = 68.8 mm, α = 20°43′: 0.05 mm short on the cross dial reads small, 0.1 mm short on the
    # compound dial reads large.
    assert cross.minutes == pytest.approx(-2.671, abs=0.01)
    assert compound.minutes == pytest.approx(1.890, abs=0.01)
    assert f"step {cross_step}" in cross.sentence
    assert "2.7′ too small" in cross.sentence
    assert "0.050 mm" in cross.sentence
    assert cross.remedy


def test_zeroed_before_the_backlash_was_out():
    bench = at_first_end()
    bench.snug()
    bench.turn_cross(-0.1)
    bench.zero_all()
    zero_step = bench.log[-1].number
    run(bench)
    to_null(bench)
    bench.read()
    (finding,) = review(bench).findings
    assert finding.mistake == names.ZEROED_EARLY
    assert finding.step == zero_step
    assert finding.lost == pytest.approx(0.1)
    assert finding.minutes == pytest.approx(5.34, abs=0.02)


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (lambda b: b.zero_indicator(), "compound dial and cross dial was not zeroed"),
        (lambda b: (b.zero_all(), b.swing(Angle.from_dms(0, 3)), b.snug()), "was not zeroed"),
        (lambda b: (b.turn_cross(-5), b.zero_all()), "off the quill when it was zeroed"),
        (lambda b: (b.turn_cross(3), b.zero_all()), "past its range when it was zeroed"),
        (
            lambda b: (b.zero_indicator(), b.turn_cross(0.3), b.zero_all, b.zero_compound_dial(),
                       b.zero_cross_dial()),
            "a slide moved between",
        ),
    ],
)  # fmt: skip
def test_no_null_at_the_first_end(spoil, words):
    bench = at_first_end()
    bench.snug()
    spoil(bench)
    run(bench)
    to_null(bench)
    bench.read()
    findings = [f for f in review(bench).findings if f.mistake == names.NULL_AT_ONE_END]
    assert any(words in finding.sentence for finding in findings)


@pytest.mark.parametrize(
    ("stop_short", "words"),
    [(0.1, "read −0.100 mm"), (60.0, "was off the quill"), (-2.0, "was past its range")],
)
def test_no_null_at_the_second_end(stop_short, words):
    bench = at_first_end()
    bench.snug()
    bench.zero_all()
    run(bench)
    slack = bench.conditions.lathe.cross_backlash - bench.state.cross.slack
    bench.turn_cross(
        max(slack + bench.state.indicator_zero - bench.state.deflection - stop_short, 0.001)
    )
    bench.read()
    finding, *others = review(bench).findings
    if stop_short < 0:
        # Driven on past what the indicator has: that is told too.
        assert finding.mistake == names.OVERRUN
        (finding,) = others
    assert finding.mistake == names.NULL_AT_ONE_END
    assert words in finding.sentence
    if stop_short == 0.1:
        assert finding.minutes == pytest.approx(-5.34, abs=0.02)
    else:
        assert finding.minutes is None


def test_carriage_loose_only_where_it_matters():
    bench = at_first_end()
    bench.loosen_carriage()
    bench.turn_cross(-1)
    bench.lock_carriage()
    assert finish(bench).findings == ()
    bench.loosen_carriage()
    bench.read()
    (finding,) = review(bench).findings
    assert finding.mistake == names.CARRIAGE_LOOSE
    assert finding.pass_number == 2


def test_past_reach_outside_the_run_is_no_mistake_and_in_the_run_it_is():
    bench = at_first_end()
    bench.snug()
    bench.zero_all()
    travel, away = bench.conditions.compound_travel, bench.conditions.away
    bench.turn_compound(away * 2 * travel)
    to_null(bench)
    bench.read(travel=travel)
    (finding,) = review(bench).findings
    assert (finding.mistake, finding.screw) == (names.PAST_REACH, "compound")
    assert "came up solid" in finding.sentence


def test_travel_not_read_from_its_dial():
    bench = at_first_end()
    bench.snug()
    bench.zero_all()
    run(bench)
    to_null(bench)
    bench.read(travel=bench.conditions.compound_travel + 1)
    (finding,) = review(bench).findings
    assert finding.mistake == names.TRAVEL_NOT_READ
    # ∂α/∂s = −tan α/s: 1 mm more travel than there is reads 18.6′ too small.
    assert finding.minutes == pytest.approx(-18.6, abs=0.4)


@pytest.mark.parametrize(
    ("lathe", "read_as", "mistake"),
    [
        (INCH, "radius", names.DIAMETER_AS_RADIUS),
        (METRIC, "diameter", names.RADIUS_AS_DIAMETER),
        (OLD, "diameter", names.RADIUS_AS_DIAMETER),
    ],
)
def test_cross_dial_taken_for_the_other_kind(lathe, read_as, mistake):
    bench = at_first_end(lathe)
    bench.snug()
    bench.zero_all()
    run(bench)
    to_null(bench)
    bench.read(read_as)
    (finding,) = review(bench).findings
    assert finding.mistake == mistake
    bench.read()
    assert review(bench).mistakes == (mistake,)


def test_swing_the_wrong_way():
    bench = at_first_end()
    back_off(bench)
    bench.swing(Angle.from_dms(1))
    onto_first_end(bench)
    bench.zero_all()
    run(bench)
    to_null(bench)
    bench.read()
    back_off(bench)
    bench.swing(Angle.from_dms(0, 20))
    (finding, unproved) = review(bench).findings
    assert finding.mistake == names.WRONG_WAY
    assert "back" in finding.sentence
    assert unproved.mistake == names.NOT_PROVED
    # A second swing without another pass is not judged by the old pass.
    bench.swing(Angle.from_dms(0, 5))
    assert review(bench).mistakes.count(names.WRONG_WAY) == 1
    assert len([f for f in review(bench).findings if f.mistake == names.WRONG_WAY]) == 1


def test_snugging_must_be_the_last_word_but_one():
    bench = at_first_end()
    assert finish(bench).findings == ()
    bench.snug()
    assert review(bench).findings == ()
    bench.swing(Angle.from_dms(0, 1))
    assert review(bench).mistakes == (names.NOT_PROVED,)
    bench.snug()
    assert review(bench).mistakes == (names.NOT_PROVED,)
    assert finish(bench).mistakes == ()


def test_review_of_part_of_a_log_and_of_none():
    bench = at_first_end()
    practised_hand(bench)
    assert review(bench.log).findings == review(bench).findings == ()
    first = next(step.number for step in bench.log if step.action.kind == "read")
    assert review(bench.log[: first + 1]).mistakes == (names.NOT_PROVED,)
    empty = review(bench.log[:3])
    assert empty.findings == empty.well_done == ()
    assert "No pass" in empty.remarks[0]
    with pytest.raises(ValueError, match="begins with its start"):
        review(bench.log[2:])
    with pytest.raises(ValueError, match="begins with its start"):
        review(())


@pytest.mark.parametrize(
    ("internal", "slope", "too"), [(True, 0.002, "large"), (False, 0.002, "small"),
                                   (True, -0.002, "small"), (False, -0.002, "large")],
)  # fmt: skip
def test_a_quill_out_of_parallel_is_remarked_on(internal, slope, too):
    bench = Bench(METRIC, HALF, internal=internal, quill_slope=slope)
    practised_hand(bench)
    (remark,) = review(bench).remarks
    assert "6.9′" in remark
    assert f"too {too}" in remark
    # No pass shows it: the last says all is well while the slide is out by the quill's slope.
    read, true = bench.passes[-1].implied, bench.truth().half_angle
    assert (read > true) == (too == "large")
    assert abs((read - true).minutes) == pytest.approx(6.9, abs=0.6)


# What the error is made of --------------------------------------------------------------------


def read_without(bench, source):
    """What the last pass would have read, radians, with one source turned off and all else as was.

    The bench's own places of slides and tip, with that one thing gone; scipy's root finder brings
    the needle back to where it stood (by the axial travel the needle reads the rest), then plane
    geometry. What it says with nothing turned off is checked against what the pass said.
    """
    line = bench.passes[-1]
    now, zeroed = bench.log[line.step].state, None
    for step in bench.log[: line.step]:
        zeroed = step.state if step.action.kind == "zero indicator" else zeroed
    was, zero = bench.conditions, now.indicator_zero
    gone = {
        "compound screw": {"compound_pitch": PitchError()},
        "cross screw": {"cross_pitch": PitchError()},
        "quill out of parallel": {"quill_slope": 0.0},
        "face out of square": {"quill_slope": 0.0},
    }.get(source, {})
    then, here = (replace(one, conditions=replace(was, **gone)) for one in (zeroed, now))
    if source == "carriage loose":
        here = replace(here, stray=then.stray, carriage=then.carriage)
    rise = now.deflection - zeroed.deflection
    rise -= (zero - zeroed.deflection) * (source == "null, first end")
    rise -= (now.deflection - zero) * (source == "null, second end")

    def handwheel(name, states=(zeroed, now)):
        return abs(states[1].screw(name).handwheel - states[0].screw(name).handwheel)

    def lost(name):
        run = now.screw(name).handwheel - zeroed.screw(name).handwheel
        slack = now.screw(name).slack - zeroed.screw(name).slack
        return math.copysign(1, run) * slack * (source == f"backlash, {name} screw")

    travel = line.travel - lost("compound")
    if source == "compound dial between lines":
        travel = handwheel("compound")
    if was.route == names.AXIAL:
        measured = line.axial - (here.deflection - then.deflection - rise)
        if source == "null, first end":
            measured = line.axial - (zero - zeroed.deflection)
        if source == "needle, second end":
            measured = now.stack - (now.deflection - zero)
        return math.acos(measured / travel)

    def out(nut):
        moved = replace(here, cross=replace(here.cross, nut=nut))
        return moved.deflection - then.deflection - rise

    nut = brentq(out, now.cross.nut - 0.5, now.cross.nut + 0.5, xtol=1e-15)
    turned = abs(nut + now.cross.slack - zeroed.cross.handwheel)
    read = float(was.lathe.cross_dial.movement(abs(line.cross_reading))) - handwheel("cross")
    read *= source != "cross dial between lines"
    return math.asin((turned + read - lost("cross")) / travel)


@pytest.mark.parametrize("internal", [True, False])
@pytest.mark.parametrize("lathe", [INCH, METRIC, OLD])
@pytest.mark.parametrize("hand", ["", names.REVERSAL, names.CARRIAGE_LOOSE])
@pytest.mark.parametrize("half", ["20°43′", "61°20′"])
def test_the_error_is_made_of_what_each_source_alone_would_take_away(lathe, internal, hand, half):
    steep = half > "45"
    bench = Bench(
        lathe, Angle.parse(half), seed=5, internal=internal, quill_slope=0.0004,
        cross_pitch=PitchError(0.0003, 2e-5), compound_pitch=PitchError(-0.0002, 1e-5),
        route=names.AXIAL if steep else "cross travel",
    )  # fmt: skip
    if hand and hand in habits_on(bench):
        careless_hand(bench, hand, "compound" if steep else "cross")
    else:
        practised_hand(bench)
    bench.swing(Angle.from_dms(0, 2))
    bench.snug()
    told, seconds = dict(error_sources(bench)), 3600 * 180 / math.pi
    line, wanted, after = bench.passes[-1], bench.conditions.half_angle, bench.log[-3].state
    assert read_without(bench, "") == pytest.approx(line.implied.radians, abs=1e-9)
    together = sum(share.arc_seconds for share in told.values())
    assert float(together) == pytest.approx(float(bench.truth().error.arc_seconds), abs=1e-6)
    shares = {name: float(share.arc_seconds) for name, share in told.items()}
    assert shares.pop(f"left by pass {line.number}") == pytest.approx(
        (line.implied - wanted).radians * seconds
    )
    taps = bench.log[-2].state.half_angle - after.half_angle
    assert shares.pop("taps after it") == pytest.approx(taps * seconds, abs=1e-6)
    bite = bench.state.half_angle - bench.log[-2].state.half_angle
    assert shares.pop("bolts drawn up after it") == pytest.approx(bite * seconds, abs=1e-6)
    assert bite
    for name, share in shares.items():
        # To second order: a hundredth of the largest, which turns the lever of the others.
        alone = (read_without(bench, name) - line.implied.radians) * seconds
        near = max(0.05, 0.012 * max(map(abs, shares.values())))
        assert share == pytest.approx(alone, abs=near), name
    lasting = {"compound screw", "face out of square" if steep else "quill out of parallel"}
    assert lasting <= {name for name, share in shares.items() if abs(share) > 5}
    if hand == names.REVERSAL and hand in habits_on(bench):
        screw = "compound" if steep else "cross"
        assert abs(shares[f"backlash, {screw} screw"]) == max(map(abs, shares.values()))


def test_a_source_turned_off_leaves_the_others_as_they_were():
    """The same hands and the same places, with a quill out of parallel and one in line."""
    slope = 0.0003
    off, on = (Bench(METRIC, HALF, seed=5, quill_slope=one) for one in (0.0, slope))
    practised_hand(off)
    log = [replace(step, state=replace(step.state, conditions=on.conditions)) for step in off.log]
    before, now = dict(error_sources(off)), dict(error_sources(log))
    zero, at = (
        next(n for n in range(off.passes[-1].step, 0, -1) if off.log[n].action.kind == kind)
        for kind in ("zero indicator", "read")
    )
    run = off.log[at].state.tool_axial - off.log[zero].state.tool_axial
    assert not before.pop("quill out of parallel").radians
    # The needle has seen the slope: by what it stands off the null then, the null rows say.
    assert abs(now.pop("quill out of parallel").minutes) == pytest.approx(
        math.degrees(slope) * 60, rel=0.02
    )
    assert abs(run) > 10
    for name in before:
        if not name.startswith("null"):
            assert (before[name] - now[name]).arc_seconds == pytest.approx(0, abs=0.05), name


def test_by_blocks_no_dial_of_the_compound_is_blamed():
    bench = Bench(METRIC, HALF, seed=5, route=names.BLOCKS, compound_pitch=PitchError(0.0005))
    practised_hand(bench)
    told = dict(error_sources(bench))
    assert not {name for name in told if name.startswith("compound dial")}
    # ∂α/∂s = −tan α/s: a dial that shows too short a run reads too large, the slide ends too small.
    by_screw = -math.tan(HALF.radians) * 0.0005
    assert told["compound screw"].radians == pytest.approx(by_screw, rel=0.01)
    # ±0.005 mm at each end is all that the stop's feel leaves.
    assert abs(told["blocks and stop"].radians) < 0.012 / bench.passes[-1].travel
    together = sum(float(share.arc_seconds) for share in told.values())
    assert together == pytest.approx(float(bench.truth().error.arc_seconds), abs=1e-6)


def test_without_a_pass_or_a_zeroed_indicator_nothing_is_said_of_the_errors_sources():
    bench = Bench(METRIC, HALF, seed=5)
    assert error_sources(bench) == ()
    bench.turn_compound(-2)
    bench.read(travel=3.0)
    assert error_sources(bench) == ()


# Hands -----------------------------------------------------------------------------------------


def test_a_bad_habit_costs_what_it_should():
    # Common practice, no source: up to b/(s cos α). The hand sets its reading right, so the
    # slide ends wrong by that much.
    bench = Bench(OLD, HALF, seed=11)
    careless_hand(bench, names.REVERSAL, "cross")
    wrong = bench.truth().minutes
    cost = 0.018 / (bench.conditions.compound_travel * 0.9353) * 3437.75
    assert cost == pytest.approx(31.8, abs=0.2)
    assert wrong == pytest.approx(cost, abs=bench.farthest_out().minutes + 3)


def test_every_step_of_a_hand_has_its_sentence():
    bench = Bench(INCH, HALF, seed=3)
    practised_hand(bench)
    for step in bench.log:
        assert step.sentence.endswith(".")
        assert "None" not in step.sentence


def test_a_hand_can_take_over_from_any_state():
    bench = Bench(METRIC, HALF, seed=8)
    bench.turn_cross(3)
    bench.swing(Angle.from_dms(0, 30))
    bench.snug()
    bench.turn_compound(-500)
    assert practised_hand(bench).proven
    assert review(bench).findings == ()


def test_an_aim_too_fine_is_admitted():
    bench = Bench(METRIC, HALF, seed=8)
    worked = practised_hand(bench, aim=Angle.from_arc_seconds(0.5))
    assert not worked.proven
    assert worked.passes == 5


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda b: practised_hand(b, aim=Angle.from_dms(0)), "aim"),
        (lambda b: practised_hand(b, aim=0.1), "aim"),
        (lambda b: practised_hand(b, most_passes=2), "most passes"),
        (lambda b: careless_hand(b, "haste"), "haste"),
        (lambda b: careless_hand(b, names.DIAMETER_AS_RADIUS), "habit"),
        (lambda b: careless_hand(b, names.REVERSAL, "carriage"), "screw"),
    ],
)
def test_hands_refuse(call, words):
    bench = Bench(METRIC, HALF)
    with pytest.raises(ValueError, match=words):
        call(bench)
    assert len(bench.log) == 1
