"""The procedure performed on benches left by chance: nothing crushed, nothing reversed, proven.

Where the tip stands is worked out here once more, from the handwheels alone.
"""

import math
import random
from dataclasses import replace

import numpy as np
import pytest
from cases import cases
from test_procedure import Planned, wall

from tapertrig import Angle, Dial, Lathe
from tapertrig.bench import (
    PAST,
    Bench,
    BenchConditions,
    careless_hand,
    habits_on,
    perform,
    practised_hand,
    review,
)
from tapertrig.bench import reviewing as names
from tapertrig.budget import AngleBudget, route_budget
from tapertrig.demo import LATHES
from tapertrig.panels.watch_it_done_panel import WatchItDone
from tapertrig.procedure import AXIAL, BLOCKS, CROSS, TAPER, procedure

INCH, METRIC, OLD = LATHES.values()
DIALS = {
    "mm": ((0.02, 3.0), (0.02, 4.0), (0.01, 2.0), (0.05, 5.0)),
    "in": ((0.001, 0.1), (0.001, 0.125), (0.001, 0.2), (0.0005, 0.1)),
}
MANY = cases(150, 2000)


def any_plan(seed):
    """Both units, cones, base zeros, dial kinds and routes; 2° to 85°; backlash in both screws."""
    rng = random.Random(seed)
    unit = rng.choice(("in", "mm"))
    per_mm = 1.0 if unit == "mm" else 1 / 25.4
    compound = Dial(*rng.choice(DIALS[unit]))
    cross = Dial(*rng.choice(DIALS[unit]), rng.choice(("radius", "diameter")))
    reach = rng.uniform(55, 110) * per_mm
    lathe = Lathe(
        unit, reach, compound, cross, rng.choice(("parallel to bed", "square to bed")),
        rng.uniform(0.01, 0.5) * per_mm, rng.uniform(0.01, 0.5) * per_mm,
    )  # fmt: skip
    step = compound.movement_per_graduation
    travel = round(rng.uniform(0.5, 0.95) * (reach - 0.5 * compound.per_turn) / step) * step
    return Planned(
        lathe,
        Angle.from_arc_seconds(rng.randint(2 * 3600, 85 * 3600)),
        rng.random() < 0.5,
        rng.choice((CROSS, AXIAL)),
        travel,
        Angle.from_arc_seconds(60 * math.exp(rng.uniform(math.log(0.5), math.log(30)))),
    )


def without_back_off(made):
    """The steps as they were once printed: each pass over again from the run-up."""
    kept = tuple(step for step in made.steps if not step.id.endswith("back-off"))
    return replace(made, steps=kept)


class Replayed:
    """A bench's log once more, from where the handwheels were, by plain coordinates.

    Own play operator, own directions of wall, quill and face; of the kit's states only handwheels,
    angle, carriage and stack are taken.
    """

    def __init__(self, bench):
        self.conditions = c = bench.conditions
        self.nuts = {name: bench.log[0].state.screw(name).nut for name in ("compound", "cross")}
        self.deepest, self.reversed = -math.inf, False
        zero = {}
        for before, step in zip(bench.log, bench.log[1:], strict=False):
            state = step.state
            parts = 50 if step.action.kind in ("turn compound", "swing", "snug") else 1
            for part in np.linspace(0, 1, parts + 1)[1:]:
                for name in self.nuts:
                    here, there = before.state.screw(name).handwheel, state.screw(name).handwheel
                    wheel, lost = here + part * (there - here), c.backlash(name)
                    if wheel - self.nuts[name] > lost:
                        self.nuts[name] = wheel - lost
                    elif wheel < self.nuts[name]:
                        self.nuts[name] = wheel
                angle = before.state.half_angle
                angle += part * (state.half_angle - angle)
                self.deepest = max(self.deepest, self.pushed_in(state, angle))
            lag = {name: state.screw(name).handwheel - nut for name, nut in self.nuts.items()}
            if step.action.kind.startswith("zero"):
                zero[step.action.kind.split()[1]] = lag
            elif step.action.kind == "read":
                alone = c.route in (AXIAL, TAPER)
                screws = ("compound",) if alone else ("compound", "cross")
                self.reversed |= any(abs(lag[s] - zero[s][s]) > 1e-9 for s in screws)

    def pushed_in(self, state, angle):
        """How far the tip stands inside what it bears on: towards axis, or towards headstock."""
        c = self.conditions
        at = {name: nut * (1 + c.pitch(name).per_length) for name, nut in self.nuts.items()}
        along, outward = wall(angle, c.internal)
        run = at["compound"] - c.reach("compound") / 2
        x = run * along + state.carriage
        y = run * outward - (at["cross"] - c.cross_reach / 2)
        if c.route == AXIAL:
            return x + state.stack - (c.face + c.quill_slope * y)
        if c.route == TAPER:
            # The plug's side, growing towards the headstock, on the operator's side of the axis
            # or, for an internal cone, beyond it.
            lean = -c.taper_lean.radians if state.turned else c.taper_lean.radians
            grows, rises = wall(c.half_angle.radians + math.atan(c.quill_slope) + lean, False)
            return rises / grows * x + (y if c.internal else -y)
        return c.quill_slope * x - y


def test_performed_on_lathes_of_every_kind():
    covered, kinds = 0, set()
    for seed in range(MANY):
        plan = any_plan(seed)
        made = perform(plan, seed)
        assert not made.overran, seed
        assert not made.reversed, seed
        again = Replayed(made.bench)
        most = made.bench.conditions.indicator_range
        assert 0.2 * most < again.deepest <= most, seed
        assert not again.reversed, seed
        budget = AngleBudget.on_lathe(
            plan.lathe, plan.half_angle, plan.compound_travel, route=plan.route
        )
        # Where T is less than U = 2 u, no reading keeps 95 % of a normal error within ±T.
        able = 2 * budget.standard_uncertainty <= plan.half_angle_tolerance.radians
        assert made.proven == able, seed
        last = made.bench.passes[-1]
        assert last.snugged
        if able:
            off = abs(last.implied.radians - plan.half_angle.radians)
            u = AngleBudget.on_lathe(
                plan.lathe, plan.half_angle, made.bench.conditions.compound_travel,
                route=plan.route,
            ).standard_uncertainty  # fmt: skip
            assert off <= plan.half_angle_tolerance.radians - 1.65 * u + 1e-9, seed
        true = math.degrees(made.bench.state.half_angle) - plan.half_angle.degrees
        assert made.half_angle_error == pytest.approx(3600 * true, abs=1e-6)
        covered += abs(made.half_angle_error) <= made.expanded
        kinds.add((plan.route, plan.internal, plan.lathe.base_zero, plan.lathe.cross_dial.reads))
    assert covered >= 0.94 * MANY
    assert len(kinds) == 16


@pytest.mark.parametrize("route", [BLOCKS, TAPER])
def test_performed_where_the_dials_will_not_do(route):
    many, covered = cases(40, 1000), 0
    for seed in range(many):
        plan = replace(any_plan(seed), route=route)
        made = perform(plan, seed)
        assert not made.overran, seed
        assert not made.reversed, seed
        assert review(made.bench).findings == (), seed
        again, conditions = Replayed(made.bench), made.bench.conditions
        assert 0.2 * conditions.indicator_range < again.deepest <= conditions.indicator_range, seed
        assert not again.reversed, seed
        u = route_budget(
            plan.lathe, plan.half_angle, conditions.compound_travel, route
        ).standard_uncertainty
        assert made.proven == (2 * u <= plan.half_angle_tolerance.radians), seed
        last = made.bench.passes[-1]
        assert last.snugged
        if made.proven:
            off = abs(last.implied.radians - plan.half_angle.radians)
            assert off <= plan.half_angle_tolerance.radians - 1.65 * u + 1e-9, seed
        covered += abs(made.half_angle_error) <= made.expanded
    assert covered >= 0.94 * many


def test_a_taper_swept_one_way_round_alone_is_not_told_from_a_leaning_one():
    # The proof that the half turn is played: left out, up to 2′ of lean stay in the angle.
    covered = 0
    for seed in range(30):
        plan = replace(any_plan(seed), route=TAPER, half_angle_tolerance=Angle.from_dms(0, 5))
        made = procedure(plan)
        alone = tuple(step for step in made.steps if not step.id.endswith("half-round"))
        done = perform(plan, seed, steps=replace(made, steps=alone))
        covered += abs(done.half_angle_error) <= done.expanded
    assert covered < 0.7 * 30


def test_the_same_without_backing_off_drives_the_tip_into_the_quill():
    # The proof that the check above can fail: at the far null the tip stands on the quill.
    for seed in range(cases(40, 400)):
        plan = replace(any_plan(seed), route=CROSS)
        made = perform(plan, seed, steps=without_back_off(procedure(plan)))
        assert made.overran, seed
        assert names.OVERRUN in review(made.bench).mistakes


def test_the_same_seed_performs_the_same():
    plan = any_plan(3)
    first, again, other = perform(plan, 3), perform(plan, 3), perform(plan, 4)
    assert first.bench.log == again.bench.log
    assert first.half_angle_error == again.half_angle_error != other.half_angle_error


def test_no_tolerance_nothing_proven():
    plan = replace(any_plan(3), half_angle_tolerance=None)
    assert not perform(plan, 1).proven


def test_backlash_not_given_is_drawn_and_none_is_none():
    plan = any_plan(5)
    plan.lathe = replace(plan.lathe, compound_backlash=None, cross_backlash=None)
    conditions = [perform(plan, seed).bench.conditions for seed in range(4)]
    assert len({c.backlash("cross") for c in conditions}) == 4
    found = BenchConditions(plan.lathe, plan.half_angle)
    assert len(found.assumed) == 2
    bench = Bench.under(found)
    practised_hand(bench)
    for words in found.assumed:
        assert "not given" in words
        assert "assumed" in words
        assert words in bench.log[0].sentence
        assert words in review(bench).remarks
    found = BenchConditions(
        replace(plan.lathe, compound_reach=None, base_zero=None), plan.half_angle
    )
    assert "zero the base uses is not given" in found.assumed[2]
    assert "travel is not given" in found.assumed[3]
    assert practised_hand(Bench.under(found)).passes >= 2


# One overrun at a time, by hand ------------------------------------------------------------------


@pytest.mark.parametrize("internal", [True, False])
def test_cranking_back_with_the_tip_on_the_quill_stops_and_is_named(internal):
    bench = Bench(METRIC, Angle.parse("20°43'"), internal=internal, seed=3)
    practised_hand(bench)
    bench = Bench.replay(bench.conditions, bench.actions[: bench.passes[-1].step])
    assert names.OVERRUN not in review(bench).mistakes
    away = bench.conditions.away
    asked = bench.state.compound.handwheel - away * 68.0
    bench.turn_compound(-away * 68.0)
    assert bench.state.compound.handwheel != pytest.approx(asked, abs=1)
    assert bench.state.overruns == 1
    assert bench.state.deflection == pytest.approx(bench.conditions.indicator_range)
    assert bench.indicator.words == PAST
    # What going on would have cost, by the triangle: the climb less what the indicator still had.
    climb = (68.0 - METRIC.compound_backlash) * math.sin(bench.state.half_angle)
    had = bench.conditions.indicator_range * 0.6
    assert bench.state.overrun == pytest.approx(climb - had, abs=0.1)
    words = bench.log[-1].sentence
    assert "Stopped" in words
    assert f"{bench.state.overrun:.3f} mm more than it has" in words
    findings = [f for f in review(bench).findings if f.mistake == names.OVERRUN]
    assert [f.step for f in findings] == [bench.log[-1].number]
    assert "past its zero" in findings[0].expected
    assert not any("Tip clear" in words for words in review(bench).well_done)
    # Away from the quill nothing is in the way.
    bench.turn_cross(-5.0)
    bench.turn_compound(-away * 5.0)
    assert bench.state.overruns == 1
    assert Bench.replay(bench.conditions, bench.actions).state == bench.state


def test_swinging_and_the_quills_end_can_crush_too():
    bench = Bench(METRIC, Angle.parse("20°43'"), internal=True, seed=3)
    practised_hand(bench)
    bench = Bench.replay(bench.conditions, bench.actions[: bench.passes[-1].step])
    swung = bench.state.half_angle
    # At the tailstock end of its run the tip nears the axis when an internal cone is swung back.
    bench.swing(-Angle.from_dms(20))
    assert bench.state.overruns == 1
    assert swung - bench.state.half_angle < math.radians(5)
    # Past the quill's end the cross slide goes in freely; coming back meets the end.
    short = Bench(METRIC, Angle.parse("20°43'"), internal=True, quill_length=10.0)
    short.turn_cross(-short.state.cross.handwheel)
    short.turn_compound(-200)
    short.turn_cross(40 + short.conditions.cross_reach / 2)
    assert short.state.overruns == 0
    short.turn_compound(80)
    assert short.state.overruns == 1
    assert abs(short.state.tool_axial) == pytest.approx(5.0, abs=0.01)


def axial_bench(angle="66°10'", **conditions):
    return Bench(
        METRIC, Angle.parse(angle), 60.0, route=AXIAL, eye_error=Angle.from_dms(0), seed=2,
        indicator_repeatability=0.0, **conditions,
    )  # fmt: skip


@pytest.mark.parametrize("internal", [True, False])
@pytest.mark.parametrize("slope", [0.0, 0.0004, -0.0004])
def test_stack_and_needle_tell_the_half_angle(internal, slope):
    bench = axial_bench(internal=internal, quill_slope=slope)
    worked = practised_hand(bench)
    assert worked.proven
    assert review(bench).findings == ()
    assert len(review(bench).well_done) == 7
    assert bool(review(bench).remarks) == bool(slope)
    line = bench.passes[-1]
    with_needle = math.degrees(math.acos(line.axial / line.travel))
    assert line.implied.degrees == pytest.approx(with_needle)
    # Out of square by β adds β one for one, outward for an external cone and inward for the other.
    effect = math.degrees(math.atan(slope)) * (-1 if internal else 1)
    assert bench.truth().quill_effect.degrees == pytest.approx(effect, abs=1e-4)
    misread = line.implied - bench.truth().half_angle
    assert misread.degrees == pytest.approx(effect, abs=0.02)
    assert abs(misread) <= bench.farthest_out()
    assert bench.budget().route == AXIAL
    assert bench.budget().expanded() < bench.farthest_out().radians


def test_a_stack_too_tall_does_not_go_in_and_one_too_low_leaves_the_needle():
    bench = axial_bench()
    bench.move_carriage(-bench.state.deflection + 0.4)
    bench.lock_carriage()
    bench.zero_indicator()
    bench.turn_compound(-60)
    gap = -bench.state.deflection
    bench.put_in_blocks(gap)
    assert "in its way" in bench.log[-1].sentence
    bench.lift_tip()
    assert bench.indicator.value is None
    bench.put_in_blocks(gap + 1.0)
    assert bench.state.stack == 0
    assert "does not go in" in bench.log[-1].sentence
    bench.put_in_blocks(gap - 0.1)
    bench.lower_tip()
    assert bench.indicator.value is None
    bench.lift_tip()
    bench.take_out_blocks()
    bench.put_in_blocks(gap + 0.3)
    bench.lower_tip()
    # 0.4 pushed in at the zero, 0.3 now: the gap is larger than the stack, and the needle let out.
    assert bench.indicator.value == pytest.approx(-0.1)
    bench.read(travel=60.0)
    assert bench.passes[-1].axial == pytest.approx(gap + 0.4, abs=0.005)
    bench.move_carriage(-5)
    assert "locked" in bench.log[-1].sentence
    # Back towards the face with the carriage still locked: the blocks are in the way.
    bench.turn_compound(20)
    assert bench.state.overruns == 1
    assert "face" in bench.log[-1].sentence
    assert Bench.replay(bench.conditions, bench.actions).state == bench.state


def test_each_habit_on_the_axial_route_is_named_and_nothing_else_is():
    for seed in range(cases(25, 400)):
        plan = any_plan(seed)
        angle = Angle.from_degrees(30 + plan.half_angle.degrees * 50 / 85)
        conditions = BenchConditions(
            plan.lathe, angle, plan.compound_travel, plan.internal, seed, route=AXIAL
        )
        bench = Bench.under(conditions)
        assert practised_hand(bench).proven, seed
        assert review(bench).findings == (), seed
        assert abs(bench.passes[-1].implied - bench.truth().half_angle) <= bench.farthest_out()
        for habit in habits_on(bench):
            bench = Bench.under(conditions)
            careless_hand(bench, habit, most_passes=3)
            made = habit != names.WRONG_WAY or any(a.kind == "swing" for a in bench.actions)
            assert review(bench).mistakes == ((habit,) if made else ()), (seed, habit)


@pytest.mark.parametrize("route", [CROSS, AXIAL])
def test_the_practised_hand_says_the_steps(route):
    bench = Bench(METRIC, Angle.parse("52°20'"), route=route)
    practised_hand(bench)
    told = " ".join(step.sentence for step in bench.log)
    for step in procedure(bench.conditions).steps:
        if step.phase in ("prepare", "pass", "finish") and step.id != "swing":
            assert step.words in told, step.id
    assert review(bench).findings == ()


def test_watched_past_45_it_is_done_by_the_axial_travel():
    panel = WatchItDone()
    try:
        panel.half_angle.value = Angle.parse("61°40'").degrees
        assert panel.bench.conditions.route == AXIAL
        assert panel.review.findings == ()
        told = [step.sentence for step in panel.bench.log]
        assert any("Lower the tip onto the blocks." in words for words in told)
        panel.step.value = next(
            step.number for step in panel.bench.log if step.state.stack and not step.state.lifted
        )
        assert any(row.name == "Gauge blocks" for row in panel.words(panel.read_state()).rows)
        panel.hand.value = names.REVERSAL
        assert panel.bench.conditions.route == CROSS
        assert panel.review.mistakes == (names.REVERSAL,)
        panel.hand.value = names.OVERRUN
        assert panel.bench.conditions.route == AXIAL
        assert panel.review.mistakes == (names.OVERRUN,)
    finally:
        panel.close()


def test_a_slip_that_another_lathe_does_not_allow_gives_way_to_the_practised_hand():
    panel = WatchItDone(hand="diameter dial read as radius")
    try:
        reads_radius = list(LATHES)[2]
        assert LATHES[reads_radius].cross_dial.reads == "radius"
        panel.lathe.value = reads_radius
        assert panel.board.notice == ""
        assert panel.bench.conditions.lathe.name == panel.lathe.value == reads_radius
        assert panel.hand.value == "practised"
    finally:
        panel.close()


def test_what_is_not_drawn_is_said_and_no_list_tells_the_slip_by_name_or_place():
    panel, hidden = WatchItDone(), WatchItDone(hide_answers=True, hand=names.REVERSAL)
    try:
        before = None
        for step in panel.bench.log:
            told, now = panel.words(step).sentence, replace(step.state, step=0)
            still = "Already done here: " in told or "Not drawn: " in told
            # Later a dial may be zeroed where it stands at zero.
            assert still == (now == before) or step.action.kind.startswith("zero"), told
            before = now
        named, numbered = (dict(one.hand.options) for one in (panel, hidden))
        assert not {*named, *numbered} & set(names.MISTAKES)
        assert next(iter(named)) == "practised"
        assert sorted(named.values()) == sorted(numbered.values())
        assert sum(named[number] == numbered.get(number) for number in named) < 3
        assert hidden.hand.value == names.REVERSAL
    finally:
        panel.close()
        hidden.close()


def test_with_answers_hidden_no_hand_is_named():
    """Neither in the list of hands nor, at the last step, in the review of what was done."""
    panel = WatchItDone(hide_answers=True, hand="hand 4")
    try:
        slip = panel.hand.value
        assert panel.review.mistakes == (slip,)
        panel.step.value = panel.step.maximum
        for hidden in (True, False):
            panel.answers_switch.value = hidden
            told = [*panel.hand._options_labels, str(panel.words(panel.last_state))]
            assert any(slip in words for words in told) is not hidden
            assert panel.hand.value == slip
    finally:
        panel.close()


def test_every_swing_of_a_practised_hand_keeps_the_rule_that_its_step_reads_out():
    """The step's words: past its zero and the turns it says, a turn more for each half degree."""
    small = large = 0
    for seed in range(1, cases(60, 400)):
        lathe = (INCH, METRIC, OLD)[seed % 3]
        bench = Bench(lathe, Angle.parse("20°43′"), seed=seed)
        practised_hand(bench)
        for before, step in zip(bench.log, bench.log[1:], strict=False):
            if step.action.kind != "swing":
                continue
            state, needed = before.state, abs(before.state.passes[-1].swing_needed).degrees
            lead = bench.conditions.lead("cross")
            out = -state.cross.movement / lead
            assert out >= 1 + int(2 * needed) - 1e-9 or state.cross.handwheel == 0, (seed, needed)
            small, large = small + (needed < 0.5), large + (0.5 < needed < 1)
    assert min(small, large) > 5
