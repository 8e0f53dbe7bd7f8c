"""Budget of the set angle: against mpmath, the uncertainties library and brute force."""

import math
import time
from dataclasses import FrozenInstanceError, replace

import mpmath
import numpy as np
import pytest
import uncertainties
from cases import cases
from hypothesis import given, settings
from hypothesis import strategies as st
from reference import check_value, check_values, row_id
from scipy import stats
from shapely import LineString, Point, Polygon
from shapely.affinity import translate
from uncertainties import umath

from tapertrig import Angle, Cone, Dial, Lathe
from tapertrig.budget import (
    AXIAL,
    CROSS,
    REMEDIES,
    ROUTES,
    AngleBudget,
    best_checks,
    by_eye,
    by_known_taper,
    by_sine_bar,
    compare,
    diameter_error,
    gauge_fit,
    prospect,
    proving_room,
)
from tapertrig.demo import LATHES
from tapertrig.setup import ARC_SECONDS_PER_RADIAN, BLOCKS
from tapertrig.uncertainty import first_order_holds

INCH, METRIC, OLD = LATHES.values()
HALF = Angle.parse("20°43'")
FULL = AngleBudget(
    HALF,
    3.0,
    compound_reading=0.0005,
    cross_reading=0.00025,
    axial_reading=0.0005,
    screw_error=0.0003,
    block_error=0.00008,
    null=0.0001,
    datum=Angle.from_dms(0, 0, 20),
    snugging=Angle.from_dms(0, 0, 30),
    null_repeats=5,
    quill_rise=Angle.from_dms(0, 3),
    tip_height=0.02,
    quill_radius=0.6,
)

budgets = st.builds(
    AngleBudget,
    half_angle=st.floats(1, 88).map(Angle.from_degrees),
    compound_travel=st.floats(0.5, 120),
    route=st.sampled_from(ROUTES),
    compound_reading=st.floats(0, 0.01),
    cross_reading=st.floats(0, 0.01),
    axial_reading=st.floats(0, 0.01),
    screw_error=st.floats(0, 0.001),
    null=st.floats(1e-5, 0.005),
    datum=st.floats(0, 300).map(Angle.from_arc_seconds),
    snugging=st.floats(0, 300).map(Angle.from_arc_seconds),
    screw_distribution=st.sampled_from(["rectangular", "triangular", "arcsine", "normal"]),
    datum_distribution=st.sampled_from(["rectangular", "triangular", "arcsine", "normal"]),
)


def exact_model(route):
    """The half angle in mpmath from the two readings of each slide, screws, nulls and datum."""

    def model(c1, c2, m1, m2, compound_screw, screw, null, *turned):
        inverse = mpmath.acos if route == AXIAL else mpmath.asin
        compound = (c2 - c1) * (1 + compound_screw)
        nulls = mpmath.sqrt(2) * null
        return inverse(((m2 - m1) * (1 + screw) + nulls) / compound) + sum(turned)

    return model


@pytest.mark.parametrize("route", [*ROUTES, BLOCKS])
@pytest.mark.parametrize("degrees", [0.5, 5.71, 20.7166, 45, 62, 88.5])
def test_sensitivities_are_the_partial_derivatives(route, degrees):
    # General library: mpmath.diff at 40 digits.
    budget = replace(FULL, route=route, half_angle=Angle.from_degrees(degrees))
    model = exact_model(route)
    with mpmath.workdps(40):
        alpha = mpmath.radians(mpmath.mpf(degrees))
        side = (mpmath.cos if route == AXIAL else mpmath.sin)(alpha) * 3
        at = [0, mpmath.mpf(3), 0, side, *([0] * (len(budget.inputs) - 4))]
        for index, part in enumerate(budget.contributions):
            order = tuple(int(i == index) for i in range(len(at)))
            exact = float(mpmath.diff(model, tuple(at), order))
            assert part.sensitivity == pytest.approx(exact, rel=1e-12), part.name
            assert part.effect == pytest.approx(
                abs(exact) * budget.inputs[index].standard_uncertainty, rel=1e-12
            )


def theirs(budget):
    """The same budget in the uncertainties library, its own derivatives."""
    values = [
        uncertainties.ufloat(i.estimate, i.standard_uncertainty) if i.spread else i.estimate
        for i in budget.inputs
    ]
    c1, c2, m1, m2, compound_screw, screw, null, *turned = values
    inverse = umath.asin if budget.route == CROSS else umath.acos
    compound = (c2 - c1) * (1 + compound_screw)
    nulls = math.sqrt(2) * null
    angle = inverse(((m2 - m1) * (1 + screw) + nulls) / compound) + sum(turned)
    return values, angle


@given(budgets)
@settings(max_examples=cases(80), deadline=None)
def test_the_budget_through_the_uncertainties_library(budget):
    values, angle = theirs(budget)
    assert budget.standard_uncertainty == pytest.approx(angle.std_dev, rel=1e-9)
    assert budget.propagated.estimate == pytest.approx(budget.half_angle.radians, rel=1e-9)
    parts = angle.error_components()
    for value, part in zip(values, budget.contributions, strict=True):
        assert part.effect == pytest.approx(parts.get(value, 0.0), rel=1e-8, abs=1e-15)
        assert part.share == pytest.approx((part.effect / angle.std_dev) ** 2, rel=1e-8, abs=1e-12)
    groups = budget.groups
    assert math.hypot(*(g.effect for g in groups)) == pytest.approx(angle.std_dev, rel=1e-9)
    assert sum(g.share for g in groups) == pytest.approx(1)
    assert all(g.effect <= budget.attack_first.effect for g in groups)


@pytest.mark.parametrize(
    ("route", "degrees"),
    [(CROSS, 3), (CROSS, 20.7166), (CROSS, 70), (AXIAL, 20.7166), (AXIAL, 70), (AXIAL, 87)],
)
@pytest.mark.parametrize("kind", ["rectangular", "triangular", "arcsine", "normal"])
def test_monte_carlo_within_its_own_sampling_error(route, degrees, kind):
    budget = replace(
        FULL,
        route=route,
        half_angle=Angle.from_degrees(degrees),
        null_repeats=None,
        reading_distribution=kind,
        screw_distribution=kind,
        datum_distribution=kind,
        snugging_distribution=kind,
    )
    exact, count = theirs(budget)[1], 100_000
    trials = budget.monte_carlo(count, seed=17)
    spread = trials.values - trials.values.mean()
    second = (spread**2).mean()
    error = math.sqrt(((spread**4).mean() - second**2) / count) / (2 * math.sqrt(second))
    assert abs(trials.standard_uncertainty - exact.std_dev) < 4 * error
    # Past the first order the mean moves by half the curvature; far below the sampling error here.
    assert abs(trials.mean - exact.nominal_value) < 4 * exact.std_dev / math.sqrt(count)
    low, high = trials.symmetric
    assert ((trials.values > low) & (trials.values < high)).mean() == pytest.approx(0.95, abs=1e-3)
    assert trials.shortest[1] - trials.shortest[0] <= high - low


def test_trials_tell_where_the_first_order_no_longer_holds():
    # The cosine is flat near 0°: at 3° the axial route bends within its own spread.
    for half_angle, route, holds in (
        (Angle.from_dms(20), CROSS, True),
        (Angle.from_dms(3), CROSS, True),
        (Angle.from_dms(3), AXIAL, False),
    ):
        budget = replace(FULL, half_angle=half_angle, route=route, reading_distribution="arcsine")
        assert first_order_holds(budget.propagated, budget.monte_carlo(), 1) == holds


def test_a_budget_added_up_by_hand():
    # Worked on paper: s = 3, α = 30°, so 1/(s cos α) = 0.3849 and tan α/s = 0.19245; each
    # reading 0.0005/√3 = 0.00028868 on the cross slide and twice that on the compound.
    budget = AngleBudget(Angle.from_dms(30), 3.0, compound_reading=0.001, cross_reading=0.0005)
    assert [part.name for part in budget.contributions if part.effect] == [
        "compound reading, first end",
        "compound reading, second end",
        "cross reading, first end",
        "cross reading, second end",
    ]
    for part in budget.contributions[:4]:
        assert part.effect == pytest.approx(1.1111e-4, rel=1e-4)
        assert part.share == pytest.approx(0.25)
    assert budget.standard_uncertainty == pytest.approx(2.2222e-4, rel=1e-4)


@pytest.mark.parametrize("row", check_values("resol-"), ids=row_id)
def test_one_division_over_the_travel(row):
    # Geometry: near parallel one division over the travel is that many radians.
    division, travel = row["given"]["division_mm"], row["given"]["travel_mm"]
    budget = AngleBudget(Angle.from_dms(0, 0, 1), travel, cross_reading=division)
    half_width = budget.contributions[3].effect * math.sqrt(3)
    assert half_width * ARC_SECONDS_PER_RADIAN == pytest.approx(row["expected"]["arcsec"], rel=5e-5)


def test_a_screw_error_does_not_shrink_with_travel_but_readings_do():
    # By dimension: a reading's error is a length, a screw's a part of its travel.
    short = replace(FULL, quill_rise=Angle.from_dms(0))
    long = replace(short, compound_travel=6.0)
    for one, two in zip(short.groups, long.groups, strict=True):
        expected = {"screws": 1, "datum": 1, "snugging up": 1}.get(one.name, 0.5)
        assert two.effect == pytest.approx(expected * one.effect), one.name


def test_repeats_of_the_null_give_degrees_of_freedom():
    # Welch–Satterthwaite by hand: one scatter at both ends has 4, once; the rest no limit.
    u = FULL.standard_uncertainty
    both = math.sqrt(2) * FULL.null / (3 * math.cos(HALF.radians))
    assert FULL.propagated.degrees_of_freedom == pytest.approx(u**4 / (both**4 / 4))
    assert replace(FULL, null_repeats=None).propagated.degrees_of_freedom == math.inf
    # The null alone: Student's t of scipy for n − 1, 12.71 where it was nulled twice.
    for count in (2, 3, 5, 10):
        alone = AngleBudget(HALF, 3.0, null=0.001, null_repeats=count)
        assert alone.factor == pytest.approx(stats.t.ppf(0.975, count - 1), rel=1e-8)
        nulls = [
            part.degrees_of_freedom
            for way in compare(alone, "in")
            for part in way.budget.contributions
            if part.name.startswith("null")
        ]
        assert nulls == [count - 1] * 3


def test_on_a_lathe_each_reading_is_half_a_graduation_of_slide_movement():
    budget = AngleBudget.on_lathe(INCH, HALF)
    assert budget.compound_travel == 3.25
    assert budget.compound_reading == pytest.approx(0.0005)
    # Diameter-reading: 0.001 on the dial is 0.0005 of the slide.
    assert budget.cross_reading == pytest.approx(0.00025)
    assert AngleBudget.on_lathe(METRIC, HALF, 50.0, null=0.001).null == 0.001
    with pytest.raises(ValueError, match=r"reaches 3\.25 in"):
        AngleBudget.on_lathe(INCH, HALF, 4.0)


def plain_uncertainty(budget, route, travel):
    """Root sum of squares written out once more, for arrays of travels."""
    alpha = budget.half_angle.radians
    third = 1 / math.sqrt(3)
    if route == CROSS:
        side, over = budget.cross_reading, travel * math.cos(alpha)
        stretch = math.tan(alpha)
    else:
        side, over = budget.axial_reading, travel * math.sin(alpha)
        stretch = 1 / math.tan(alpha)
    return np.sqrt(
        2 * (side * third / over) ** 2
        + 2 * (budget.compound_reading * third * stretch / travel) ** 2
        + 2 * (budget.screw_error * third * stretch) ** 2
        + 2 * (budget.null / over) ** 2
        + (budget.datum.radians * third) ** 2
        + budget.snugging.radians**2 / 6
    )


@given(
    st.floats(1, 89).map(Angle.from_degrees),
    st.sampled_from([INCH, METRIC, OLD]),
    st.floats(0.0001, 0.02),
    st.one_of(st.none(), st.floats(0.3, 4)),
    st.one_of(st.none(), st.floats(0.3, 4)),
)
@settings(max_examples=cases(80), deadline=None)
def test_best_route_and_travel_by_trying_them_all(
    half_angle, lathe, axial_reading, parallel, square
):
    budget = AngleBudget.on_lathe(lathe, half_angle, axial_reading=axial_reading)
    found = best_checks(budget, lathe, parallel, square)
    step = lathe.compound_dial.movement_per_graduation
    travels = np.arange(1, round(lathe.compound_reach / step) + 1) * step
    best = {}
    for route, datum, run in (
        (CROSS, parallel, math.cos(half_angle.radians)),
        (AXIAL, square, math.sin(half_angle.radians)),
    ):
        possible = travels if datum is None else travels[travels * run <= datum * (1 + 1e-9)]
        values = plain_uncertainty(budget, route, possible)
        best[route] = (values.min(), possible[values.argmin()])
    assert [choice.route for choice in found] == sorted(best, key=lambda route: best[route][0])
    for choice in found:
        least, travel = best[choice.route]
        assert choice.standard_uncertainty == pytest.approx(least, rel=1e-6)
        assert choice.compound_travel == pytest.approx(travel, abs=1.01 * step)


def test_the_routes_change_places_at_45_degrees_when_all_else_is_equal():
    # Symmetry of the triangle: sine and cosine swap.
    lathe = Lathe("in", 3.0, Dial(0.001, 0.1), Dial(0.001, 0.1))
    for degrees, first in ((30, CROSS), (44, CROSS), (46, AXIAL), (75, AXIAL)):
        budget = AngleBudget.on_lathe(lathe, Angle.from_degrees(degrees), axial_reading=0.0005)
        assert best_checks(budget, lathe)[0].route == first
    for degrees in (20, 45, 70):
        one = AngleBudget.on_lathe(lathe, Angle.from_degrees(degrees), axial_reading=0.0005)
        other = replace(one, half_angle=one.half_angle.complement(), route=AXIAL)
        assert other.standard_uncertainty == pytest.approx(one.standard_uncertainty)


def test_a_tolerance_against_the_published_ratio_and_guard_band():
    # ASME B89.7.3.1-2001 as applied in the reference row: ±5′ with U = 2′ is 2.5:1, short of 4:1.
    row = check_value("b89-4to1-fail")
    u = Angle.from_arc_seconds(row["given"]["U_min"] * 60 / 2)
    budget = AngleBudget(HALF, 3.0, datum=u, datum_distribution="normal")
    tolerance = Angle.from_dms(0, row["given"]["tolerance_pm_min"])
    found = prospect(budget, tolerance)
    assert found.ratio == pytest.approx(row["expected"]["ratio"], rel=1e-6)
    assert (found.verdict == "with room") == row["expected"]["meets_4to1"]
    assert found.verdict == "near the middle only"
    assert prospect(budget, tolerance, wanted_ratio=2.5 - 1e-6).verdict == "with room"
    # ISO 14253-1:2017 (from memory): accept inside T − 1.65 u.
    guard = check_value("14253-2017")["expected"]["g_over_u"]
    assert found.acceptance == pytest.approx(tolerance.radians - guard * u.radians)
    # Nothing is proven where even the middle of ±T is not within U = 2 u; past that just so much
    # that 95 % of scipy's normal curve about the reading lies within ±T, both limits counted.
    for times, verdict in (
        (199, "not at all"),
        (201, "near the middle only"),
        (230, "near"),
        (400, ""),
    ):
        narrow = prospect(budget, allowed := Angle.from_arc_seconds(u.arc_seconds * times / 100))
        assert narrow.verdict.startswith(verdict)
        room = proving_room(budget, allowed)
        assert (room.radians if room else 0.0) == narrow.acceptance
        if room:
            at = room.radians / u.radians
            within = stats.norm.cdf(times / 100 - at) - stats.norm.cdf(-times / 100 - at)
            assert 0.95 - 1e-9 <= within < 0.9506
    # Few readings widen the guard band to the one-sided t of scipy, each part by its own.
    few, wide = replace(FULL, null=0.002, null_repeats=3), Angle.from_dms(3)
    share = 1 - replace(few, null=0.0).standard_uncertainty ** 2 / few.standard_uncertainty**2
    factor = math.sqrt(share * stats.t.ppf(0.95, 2) ** 2 + (1 - share) * 1.65**2)
    assert prospect(few, wide).acceptance == pytest.approx(
        wide.radians - factor * few.standard_uncertainty
    )
    assert found.attack_first.name == "datum"


def test_what_to_attack_first_is_what_would_help_most():
    # By brute force: take each group away in turn.
    tolerance = Angle.from_dms(0, 6)
    for lathe in (INCH, METRIC, OLD):
        for degrees in (3, 20.7, 60):
            budget = AngleBudget.on_lathe(lathe, Angle.from_degrees(degrees))
            off = Angle.from_dms(0)
            without = {
                "compound dial readings": replace(budget, compound_reading=0.0),
                "cross dial readings": replace(budget, cross_reading=0.0),
                "screws": replace(budget, screw_error=0.0),
                "null": replace(budget, null=0.0),
                "datum": replace(budget, datum=off),
                "snugging up": replace(budget, snugging=off),
            }
            best = min(without, key=lambda name: without[name].standard_uncertainty)
            found = prospect(budget, tolerance)
            assert found.attack_first.name == best
            assert found.attack_first.remedy == REMEDIES[best]


@pytest.mark.parametrize("row", check_values("sine-"), ids=row_id)
def test_sine_bar_by_its_published_stack_and_the_uncertainties_library(row):
    # Sine-bar relation, Mechanical Engineer's Data Handbook 7.2.3: stack = bar · sine.
    bar, angle = float(row["given"]["bar"]), Angle.from_degrees(row["given"]["angle_deg"])
    found = by_sine_bar(
        angle,
        bar,
        3.0,
        block_error=0.00005,
        bar_error=0.0002,
        null=0.0001,
        datum=Angle.from_dms(0, 0, 20),
        snugging=Angle.from_dms(0, 0, 30),
    )
    third = 1 / math.sqrt(3)
    stack = uncertainties.ufloat(row["expected"]["stack"], 0.00005 * third)
    rolls = uncertainties.ufloat(bar, 0.0002 * third)
    first, second = (uncertainties.ufloat(0, 0.0001) for _ in range(2))
    datum = uncertainties.ufloat(0, math.radians(20 / 3600) * third)
    snugging = uncertainties.ufloat(0, math.radians(30 / 3600) / math.sqrt(6))
    exact = umath.asin(stack / rolls) + (second - first) / 3 + datum + snugging
    blocks, between = (row.estimate for row in found.sources[:2])
    assert math.asin(blocks / between) == pytest.approx(exact.nominal_value, rel=5e-7)
    # The published stack is rounded, and near 90° the sine makes much of its last place.
    assert found.standard_uncertainty == pytest.approx(exact.std_dev, rel=1e-6)


def test_setting_by_eye_and_along_a_known_taper_added_up_by_hand():
    # √(15² + 5²)/√3 minutes; √(20²/3 + 20²/3 + 2 (0.0001/3 rad)² + 30²/6) seconds.
    eye = by_eye()
    assert eye.standard_uncertainty == pytest.approx(math.radians(math.sqrt(250 / 3) / 60))
    second = math.radians(1 / 3600)
    taper = by_known_taper(
        3.0,
        taper_error=Angle.from_dms(0, 0, 20),
        null=0.0001,
        mounting=Angle.from_dms(0, 0, 20),
        snugging=Angle.from_dms(0, 0, 30),
    )
    expected = math.sqrt(800 / 3 + 150 + 2 * (0.0001 / 3 / second) ** 2) * second
    assert taper.standard_uncertainty == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("lathe", [INCH, METRIC, OLD], ids=["in", "mm", "old"])
def test_the_ways_compared(lathe):
    budget = AngleBudget.on_lathe(lathe, HALF)
    ways = {way.name: way.budget.standard_uncertainty for way in compare(budget, lathe.unit)}
    assert ways["slide travels and indicator"] == pytest.approx(budget.standard_uncertainty)
    # By eye is the worst by far; a sine bar and a true taper of this angle beat the dials.
    assert ways["by eye"] > 5 * budget.standard_uncertainty
    assert ways["sine bar and gauge blocks"] < budget.standard_uncertainty
    assert ways["a known taper"] < budget.standard_uncertainty
    # A sine bar gets worse with every degree.
    by_angle = [
        compare(replace(budget, half_angle=Angle.from_degrees(degrees)), lathe.unit)[2]
        for degrees in (5, 20, 45, 60, 75, 85)
    ]
    grows = [way.budget.standard_uncertainty for way in by_angle]
    assert grows == sorted(grows)
    assert grows[-1] > 2 * grows[0]


@given(st.floats(0.5, 80), st.floats(-1800, 1800), st.floats(0.1, 100))
@settings(deadline=None)
def test_diameter_error_against_mpmath(degrees, seconds, length):
    half, error = Angle.from_degrees(degrees), Angle.from_arc_seconds(seconds)
    if not 0 < (half + error).degrees < 90:
        return
    with mpmath.workdps(40):
        a, d = (mpmath.radians(mpmath.mpf(float(x.arc_seconds)) / 3600) for x in (half, error))
        exact = float(2 * length * (mpmath.tan(a + d) - mpmath.tan(a)))
    assert diameter_error(length, half, error) == pytest.approx(exact, rel=1e-11, abs=1e-15)


def test_diameter_error_of_arrays():
    errors = np.radians([-0.1, 0.0, 0.1])
    found = diameter_error(2.0, Angle.from_dms(20), errors)
    expected = 4 * (np.tan(math.radians(20) + errors) - math.tan(math.radians(20)))
    assert found == pytest.approx(expected, abs=1e-15)


@given(
    st.floats(3, 60),
    st.one_of(st.floats(-900, -20), st.floats(20, 900)),
    st.booleans(),
)
@settings(max_examples=cases(60), deadline=None)
def test_a_true_gauge_pushed_home_by_shapely(degrees, seconds, internal):
    # General library: shapely. The gauge's section is moved along the axis until it touches.
    half, error = Angle.from_degrees(degrees), Angle.from_arc_seconds(seconds)
    length, face = 1.0, 6.0
    cone = Cone(half, face, length, internal)
    found = gauge_fit(cone, error)
    sign = -1 if internal else 1
    steep = math.tan(half.radians + error.radians) * sign
    true = math.tan(half.radians) * sign
    wall = LineString([(0, face / 2), (length, face / 2 + length * steep)])

    def gauge_at(off):
        # Depth runs from the face; the gauge stands off towards the tailstock by `off`.
        reach = [(z, face / 2 + (z + off) * true) for z in (-3.0, 4.0)]
        far = -50.0 if internal else 50.0
        return Polygon([*reach, (4.0, far), (-3.0, far)])

    def overlaps(off):
        return gauge_at(off).intersection(wall).length > 1e-9

    low, high = -1.0, 2.0
    assert overlaps(low)
    assert not overlaps(high)
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if overlaps(middle) else (low, middle)
    gauge = gauge_at(high)
    assert found.stand_off == pytest.approx(high, abs=2e-6)
    ends = {
        ("large end" if internal else "small end"): Point(wall.coords[0]),
        ("small end" if internal else "large end"): Point(wall.coords[1]),
    }
    assert gauge.distance(ends[found.contact]) < 2e-6
    assert gauge.distance(ends[found.gap_at]) == pytest.approx(found.gap, abs=2e-6)
    along = translate(ends[found.gap_at], 0, sign * found.gap_on_radius)
    assert gauge.distance(along) < 2e-6 or gauge.exterior.distance(along) < 2e-6
    assert found.far_diameter_error == pytest.approx(2 * length * (steep - true), rel=1e-9)


def test_a_true_cone_fits_its_gauge_at_both_ends():
    fit = gauge_fit(Cone(HALF, 1.4, 0.6), 0.0)
    assert (fit.contact, fit.gap_at) == ("both ends", "neither end")
    assert (fit.gap, fit.gap_on_radius, fit.stand_off, fit.far_diameter_error) == (0, 0, 0, 0)


def test_a_changed_budget_is_quick_enough_to_follow_a_slider():
    # Processor time, so that a busy machine does not count.
    times = []
    for second in range(30):
        start = time.process_time()
        budget = replace(FULL, datum=Angle.from_arc_seconds(second))
        prospect(budget, Angle.from_dms(0, 6))
        assert len(budget.groups) == 6
        times.append(time.process_time() - start)
    assert min(times) < 0.002


def test_a_budget_cannot_be_changed_in_place_and_equals_its_like():
    with pytest.raises(FrozenInstanceError):
        FULL.null = 0.1
    assert FULL.standard_uncertainty > 0
    assert replace(FULL) == FULL
    assert replace(FULL, null=0.0).standard_uncertainty < FULL.standard_uncertainty


CONE = Cone(HALF, 1.4, 0.6)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: replace(FULL, half_angle=20.7), "half angle is 20.7"),
        (lambda: replace(FULL, half_angle=Angle.from_dms(90)), "between 0° and 90°"),
        (lambda: replace(FULL, compound_travel=0.0), "compound travel is 0"),
        (lambda: replace(FULL, compound_travel=math.inf), "compound travel is inf"),
        (lambda: replace(FULL, route="tangent"), "route is 'tangent'"),
        (lambda: replace(FULL, cross_reading=-1.0), "cross reading is -1"),
        (lambda: replace(FULL, screw_error=math.nan), "screw error per unit of length is nan"),
        (lambda: replace(FULL, null="0.1"), "null is '0.1'"),
        (lambda: replace(FULL, datum=0.001), "datum is 0.001; give an Angle"),
        (lambda: replace(FULL, snugging=Angle.from_dms(50)), "snugging is 50°"),
        (lambda: replace(FULL, null_repeats=1), "null repeats is 1"),
        (lambda: replace(FULL, screw_distribution="bell"), "screw distribution is 'bell'"),
        (lambda: prospect(FULL, Angle.from_dms(0)), "angle tolerance is 0°00′00″"),
        (lambda: prospect(FULL, Angle.from_dms(1), 0), "wanted ratio is 0"),
        (lambda: best_checks(FULL, INCH, 0.0), "parallel datum length is 0"),
        (lambda: best_checks(FULL, INCH, 1e-5, 1e-5), "use a longer datum"),
        (lambda: compare(FULL, "cm"), "unit is 'cm'"),
        (lambda: gauge_fit(Cone(HALF, 1.4), 0.001), "has no length"),
        (lambda: gauge_fit(CONE, 1.3), "half angle with its error is 95"),
        (lambda: diameter_error(-1.0, HALF, 0.001), "cone length is -1"),
        (
            lambda: replace(FULL, half_angle=Angle.from_dms(89, 59), null_repeats=None).monte_carlo(
                5000
            ),
            "gave no finite value",
        ),
    ],
)
def test_refuses_what_makes_no_budget_and_names_the_value(call, words):
    with pytest.raises(ValueError, match=words):
        call()
