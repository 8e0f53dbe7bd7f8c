"""The steps at the machine: what they say, and whether hands that follow them crush anything."""

import dataclasses
import itertools
import math
import random
from dataclasses import dataclass

import mpmath
import pytest

from tapertrig import Angle, Dial, Lathe
from tapertrig.budget import proving_window, route_budget
from tapertrig.demo import LATHES
from tapertrig.gauging.blocks import BLOCK_SETS
from tapertrig.lathe import between
from tapertrig.procedure import AXIAL, BLOCKS, CROSS, PHASES, TAPER, back_off_turns, procedure

INCH, METRIC, OLD = LATHES.values()
HALF, TOLERANCE = Angle.parse("20°43'"), Angle.from_dms(0, 9)


@dataclass
class Planned:
    """The few things of a plan that the steps are made from."""

    lathe: Lathe = INCH
    half_angle: Angle = HALF
    internal: bool = True
    route: str = CROSS
    compound_travel: float = 2.4
    half_angle_tolerance: Angle | None = TOLERANCE


EVERY = [
    Planned(lathe, Angle.parse(angle), internal, route, travel)
    for (lathe, travel), internal, (route, angle) in itertools.product(
        ((INCH, 2.4), (METRIC, 60.0), (OLD, 1.875)),
        (True, False),
        ((CROSS, "20°43'"), (AXIAL, "66°10'"), (BLOCKS, "20°43'"), (TAPER, "20°43'")),
    )
]


@pytest.mark.parametrize("plan", EVERY)
def test_every_step_is_whole(plan):
    steps = procedure(plan).steps
    assert len({step.id for step in steps}) == len(steps)
    assert [phase for phase, _ in itertools.groupby(step.phase for step in steps)] == list(PHASES)
    for step in steps:
        for words in (step.words, step.expect):
            assert words.endswith("."), step
        for words in (step.words, step.why, step.caution, step.expect, step.record):
            assert "None" not in words, step
            assert "  " not in words, step


@pytest.mark.parametrize("plan", EVERY)
def test_the_proving_pass_is_the_pass_with_the_bolts_tight(plan):
    made = procedure(plan)
    cycle = [step for step in made.of("pass") if step.id != "swing"]
    tighten, *prove = made.of("prove")
    assert tighten.action.verb == "tighten"
    assert [(step.repeats, step.words, step.action) for step in prove] == [
        (step.id, step.words, step.action) for step in cycle
    ]


@pytest.mark.parametrize("plan", EVERY)
def test_a_pass_begins_and_ends_clear_and_is_only_swung_clear(plan):
    made = procedure(plan)
    assert made.of("prepare")[-1].action.until == "clear"
    # Between two sweeps of a taper the spindle is turned; the tip is clear by then, too.
    turned = [n for n, step in enumerate(made.of("pass")) if step.id == "half-round"]
    assert all(made.of("pass")[n - 1].action.until == "clear" for n in turned)
    assert bool(turned) == (plan.route == TAPER)
    *cycle, off, swing = (step for step in made.of("pass") if step.id != "half-round")
    assert (off.action.verb, off.action.until) == ("back off", "clear")
    assert swing.action.verb == "swing"
    # Between the first null and the back-off the compound runs one way only.
    null = next(n for n, step in enumerate(cycle) if step.id == "null")
    turns = [s.action.way for s in cycle[null:] if s.action.on == "compound"]
    assert turns == [made.run]
    run_up, start = cycle[0].action, cycle[1].action
    assert run_up.way != start.way == made.run
    assert run_up.by * 2 == pytest.approx(
        plan.lathe.compound_dial.per_turn / plan.lathe.compound_dial.factor
    )


def wall(alpha, internal):
    """Unit step along a cone's wall towards the headstock: (along the axis, away from it).

    Internal, large end at the face: the radius falls towards the headstock. External, small end
    at the tailstock: it grows. Built from two diameters a length apart, no sine of the kit.
    """
    length = 1.0
    small, large = 2.0, 2.0 + 2 * length * math.tan(alpha)
    tail, head = (large, small) if internal else (small, large)
    rise = (head - tail) / 2
    return length / math.hypot(length, rise), rise / math.hypot(length, rise)


@pytest.mark.parametrize("plan", EVERY)
def test_the_run_leaves_what_the_tip_bears_on(plan):
    # Brute geometry: the tip stands on the operator's side of the axis.
    along, outward = wall(plan.half_angle.radians, plan.internal)
    made = procedure(plan)
    way = 1 if made.run == "towards the headstock" else -1
    if plan.route == TAPER:
        # A plug's small end is at the tailstock; the tip follows its side, which slopes as the
        # slide is swung: away from the axis on the operator's side, away from the operator beyond.
        assert way * along > 0
        side = "on the operator's side" if outward > 0 else "on the far side"
        assert side in made.step("indicator").words
        assert f"cross slide {'in' if outward > 0 else 'out'} until" in made.step("null").words
    elif plan.route != AXIAL:
        # The quill's side is a line along the axis; leaving it is growing distance.
        assert way * outward > 0
        place = made.step("place").words
        assert ("nose" in place) == (way < 0)
        assert ("tailstock end" in place) == (way > 0)
    else:
        # The face is a plane on the headstock side.
        assert way * along < 0
        words = made.step("indicator").words
        assert ("near the centre" in words) == (way * outward > 0)
        assert ("out from the centre or the edge of any hole" in words) == (way * outward < 0)


@pytest.mark.parametrize("plan", EVERY)
def test_a_pass_begun_again_begins_with_the_tip_clear(plan):
    # Begun again where the travel was overrun, or where the proving pass was read, the run-up
    # would press the tip into what it bears on by half a turn, or by the whole travel.
    made = procedure(plan)
    words = made.step("run").words
    if plan.route == TAPER:
        assert "near either end of its range stop" in words
    else:
        past = "Pressed on?" if plan.route == BLOCKS else "Past the line?"
        assert words.index(f"{past} Clear the tip") < words.index("begin again")
    words = made.step("tighten").words
    assert words.index("until the tip is clear") < words.index("Ease the bolts, swing")
    # A reading that proves is never exactly the one wanted: the swinging must come to an end.
    swing = made.step("swing").words
    assert "Within what proves it? Tighten, do not swing." in swing
    bare = procedure(dataclasses.replace(plan, half_angle_tolerance=None))
    assert "Nothing missing? Tighten, do not swing." in bare.step("swing").words
    assert "It moved? Ease" in bare.step("tighten").words


@pytest.mark.parametrize("plan", EVERY)
def test_the_lengths_in_the_words_are_those_of_the_triangle(plan):
    # Plane geometry in fifty digits; a half inch or 12 mm of room, common practice, no source.
    made, reach = procedure(plan), mpmath.mpf(plan.lathe.compound_reach)
    room, shown = (0.5, 0.005) if plan.lathe.unit == "in" else (12.0, 0.005)
    with mpmath.workdps(50):
        alpha = mpmath.radians(mpmath.mpf(plan.half_angle.degrees))
        per_turn = {id(INCH): 0.1, id(METRIC): 3.0, id(OLD): 0.125}[id(plan.lathe)]
        cross_turn = plan.lathe.cross_dial.per_turn / (
            2 if plan.lathe.cross_dial.reads == "diameter" else 1
        )

        def said(step, after):
            return float(made.step(step).words.partition(after)[2].split()[0])

        if plan.route == AXIAL:
            assert abs(said("clear", "tailstock by ") - (reach * mpmath.cos(alpha) + room)) <= shown
        else:
            clear = reach * mpmath.sin(alpha) + back_off_turns(plan) * cross_turn
            assert abs(said("clear", " by ") - clear) <= shown
        if plan.route in (CROSS, BLOCKS):
            quill = plan.compound_travel * mpmath.cos(alpha) + room
            assert abs(said("quill", "the quill ") - quill) <= shown
        if plan.route in (CROSS, AXIAL):
            assert said("run", "one turn is ") == per_turn


def test_a_wide_swing_leaves_the_tip_clear_of_being_crushed():
    # Internal, swung further: the tip, 100 mm from the pivot, comes nearer by the arc.
    words = procedure(Planned()).step("swing").words
    assert "More than half a degree? Back off a turn more for each half degree." in words
    for lead, minutes in itertools.product((2.0, 3.0, 5.0), range(1, 121)):
        lathe = Lathe("mm", 90.0, Dial(0.02, 2.0), Dial(0.02, lead), None, 0.3, 0.3)
        plan = Planned(lathe, Angle.parse("35°50'"), compound_travel=60.0)
        swung = Angle.from_arc_seconds(60 * minutes)
        turns = back_off_turns(plan) + minutes // 30 * (minutes > 30)
        rise = 1.3 * math.sin((plan.half_angle + swung).radians) + 100 * swung.radians
        assert 0.4 + rise - (turns * lead - 0.3) < 0.8


def test_back_off_clears_the_quill_through_the_run_up_on_any_lathe():
    # Each end of the move in slide coordinates, by hand: the handwheel goes past its zero by the
    # turns said, the slide lags by the backlash, the tip then climbs by the half turn's rise.
    rng = random.Random(5)
    for _ in range(500):
        mm = rng.choice((True, False))
        scale = 1.0 if mm else 1 / 25.4
        leads = [rng.choice((2.0, 2.5, 3.0, 4.0, 5.0, 6.0)) * scale for _ in range(2)]
        slack = [rng.choice((0.0, rng.uniform(0, 0.5))) * scale for _ in range(2)]
        lathe = Lathe(
            "mm" if mm else "in", 90 * scale, Dial(leads[0] / 100, leads[0]),
            Dial(leads[1] / 50, 2 * leads[1], "diameter"),
            compound_backlash=slack[0], cross_backlash=slack[1],
        )  # fmt: skip
        plan = Planned(lathe, Angle.from_degrees(rng.uniform(2, 85)), rng.random() < 0.5)
        plan.compound_travel = 60 * scale
        pushed_in = 0.4 if mm else 0.015
        turns = back_off_turns(plan)
        out = turns * leads[1] - slack[1]
        alpha = plan.half_angle.radians
        climb = leads[0] / 2 * math.sin(alpha)
        # Swung after the back-off by the 40′ that a base set by eye may be out.
        climb += plan.compound_travel * (math.sin(alpha + math.radians(40 / 60)) - math.sin(alpha))
        assert pushed_in + climb - out < 1e-9
        assert turns == 1 or climb + pushed_in + slack[1] > (turns - 1) * leads[1] - 0.02 * scale


@pytest.mark.parametrize(
    ("lathe", "zero", "base"), [(INCH, "base at 0°", "20°43′"), (OLD, "reads zero", "69°17′")]
)
def test_both_base_zeros(lathe, zero, base):
    step = procedure(Planned(lathe, compound_travel=2.0)).step("base")
    assert zero in step.words
    assert f"the base reads about {base}." in step.words


@pytest.mark.parametrize(("lathe", "k"), [(INCH, 2), (METRIC, 1), (OLD, 1)])
def test_both_dial_kinds_in_the_reading(lathe, k):
    plan = Planned(lathe, compound_travel=2.4)
    step = procedure(plan).step("read")
    with mpmath.workdps(30):
        must = float(k * mpmath.mpf(2.4) * mpmath.sin(mpmath.radians(mpmath.mpf(1243) / 60)))
    places = 4 if lathe.unit == "in" else 3
    assert f"{must:.{places}f}" in step.expect
    assert ("÷ (2 × " in step.words) == (k == 2)


def test_the_window_that_proves_against_fifty_digits():
    for plan in EVERY:
        budget = route_budget(plan.lathe, plan.half_angle, plan.compound_travel, plan.route)
        made = procedure(plan)
        k = plan.lathe.cross_dial.factor
        with mpmath.workdps(50):
            a, t, u = (
                mpmath.mpf(x)
                for x in (
                    plan.half_angle.radians,
                    plan.half_angle_tolerance.radians,
                    budget.standard_uncertainty,
                )
            )
            left = t - mpmath.mpf("1.65") * u
            for window, part in ((made.in_tolerance, t), (made.proven, left)):
                sides = (
                    [k * mpmath.sin(a - part), k * mpmath.sin(a + part)]
                    if plan.route in (CROSS, BLOCKS)
                    else [s * mpmath.sin(part) / mpmath.cos(a) for s in (-1, 1)]
                    if plan.route == TAPER
                    else [mpmath.cos(a + part), mpmath.cos(a - part)]
                )
                expected = [float(plan.compound_travel * side) for side in sides]
                assert window == pytest.approx(expected, rel=1e-12)
        narrow = Angle.from_radians(1.64 * budget.standard_uncertainty)
        if plan.route != TAPER:
            assert proving_window(budget, narrow, plan.lathe.cross_dial) is None
        plan = Planned(**{**vars(plan), "half_angle_tolerance": narrow})
        assert "no reading can prove" in procedure(plan).step("read").expect


def test_no_tolerance_no_window():
    made = procedure(Planned(half_angle_tolerance=None))
    assert made.in_tolerance is made.proven is None
    assert "tolerance" not in made.step("read").expect


def test_the_stack_is_made_of_blocks_that_a_set_has():
    rng = random.Random(3)
    for _ in range(60):
        unit = rng.choice(("in", "mm"))
        lathe = INCH if unit == "in" else METRIC
        travel = rng.uniform(0.3, 0.95) * lathe.compound_reach
        plan = Planned(lathe, Angle.from_degrees(rng.uniform(2, 85)), route=AXIAL)
        plan.compound_travel = travel
        stack = procedure(plan).stack
        assert set(stack.blocks) <= set(BLOCK_SETS[unit])
        assert len(set(stack.blocks)) == len(stack.blocks)
        assert sum(stack.blocks) == pytest.approx(stack.height, abs=1e-9)
        wanted = travel * math.cos(plan.half_angle.radians)
        # Well within what the needle can show of it.
        assert abs(stack.height - wanted) < (0.02 if unit == "in" else 0.4)


@pytest.mark.parametrize(
    # From the job's own description: .100 in 2.500 is 0.40° at 10° and 1.07° at 25°.
    ("degrees", "lost"), [(10, 0.40), (25, 1.07)],
)  # fmt: skip
def test_a_lost_turn(degrees, lost):
    plan = Planned(half_angle=Angle.from_degrees(degrees), compound_travel=2.5)
    words = procedure(plan).step("run").why.split("reads ")[1].split(" out")[0]
    assert Angle.parse(words).degrees == pytest.approx(lost, abs=0.01)


def test_what_is_not_given_is_said_so():
    lathe = Lathe("in", None, Dial(0.001, 0.1), Dial(0.001, 0.2, "diameter"), None)
    lathe_says = procedure(Planned(lathe, half_angle_tolerance=None))
    assert "not given: measure it" in lathe_says.step("witness").expect
    assert "backlash not given" in lathe_says.step("run-up").why
    assert "radius is not given" in lathe_says.step("swing").why
    assert "zero the base uses is not given" in lathe_says.step("base").words


@pytest.mark.parametrize("plan", EVERY)
def test_what_is_locked_is_free_before_the_cut(plan):
    # Both slides and the tailstock: what the steps lock, later steps or the last one let go.
    made = procedure(plan)
    last = made.of("finish")[-1].words
    if plan.route == AXIAL:
        assert made.step("unlock-carriage").action.verb == "unlock"
        assert "cross slide free" in last
    else:
        assert "tailstock back" in last
        assert plan.route == TAPER or "Take the bar out." in made.step("bar").words


def test_the_slide_is_measured_against_travel_and_run_up():
    # 2.4 in and half of a turn of .100 in.
    unknown = dataclasses.replace(INCH, compound_reach=None, compound_dial=Dial(0.001, 0.1))
    assert "goes: 2.45 in is needed." in procedure(Planned(unknown)).step("witness").words


def test_refuses():
    with pytest.raises(ValueError, match="route"):
        procedure(Planned(route="by eye"))
    with pytest.raises(ValueError, match="phase"):
        procedure(Planned()).of("cut")
    with pytest.raises(ValueError, match="step"):
        procedure(Planned()).step("cut")


def test_a_lesson_lists_each_step_of_a_phase_once_in_its_order():
    whole = procedure(Planned())
    for phase in ("prepare", "pass", "prove", "finish"):
        rows = whole.rows(phase)
        assert [name for name, _ in rows] == [f"{n + 1}." for n in range(len(rows))]
        assert [words for _, words in rows] == [step.words for step in whole.of(phase)]


def test_a_base_of_unknown_zero_is_swung_without_a_reading():
    unknown = dataclasses.replace(INCH, base_zero=None)
    step = procedure(Planned(unknown)).step("base")
    assert step.words.startswith("Start from parallel to the bed and swing 20°43′ clockwise")
    assert "Which zero the base uses is not given" in step.words
    step = procedure(Planned(OLD)).step("base")
    assert "zero with the slide square to the bed" in step.words
    assert "the base reads about 69°17′" in step.words  # 90° less 20°43′


def test_an_assumed_tolerance_proves_nothing():
    @dataclass
    class Assumed(Planned):
        tolerance_is_assumed: bool = True

    made, given = procedure(Assumed()), procedure(Planned())
    assert made.proven is None
    assert made.in_tolerance == given.in_tolerance
    assert "an assumed tolerance, which nothing can prove" in made.step("read").expect
    assert "; proven between" in given.step("read").expect


def test_a_window_is_said_so_that_both_ends_lie_in_it():
    # Rounded to the nearest, 2.27288 would be 2.2729 and out of it.
    assert between((2.255075, 2.272881), "in") == "2.2551 and 2.2728 in"
    assert between((29.5995, 29.8299), "mm") == "29.600 and 29.829 mm"
    assert between((2.25, 2.27), "in") == "2.2500 and 2.2700 in"
    assert between((-0.00004, 0.00003), "in") == "0.0000 and 0.0000 in"
    assert between((2.25001, 2.25008), "in") == "2.25001 and 2.25008 in"


def test_less_than_a_turn_of_travel_has_no_turn_to_lose():
    step = procedure(Planned(compound_travel=0.05)).step("run")
    assert "Less than a turn" in step.why
