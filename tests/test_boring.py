"""Boring to size: against shapely, sympy, scipy, the off-centre rows and brute force."""

import math
import time

import numpy as np
import pytest
import sympy
from cases import cases
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from reference import check_values, row_id
from scipy.optimize import least_squares
from shapely import LineString, MultiPoint, Polygon, unary_union
from shapely.affinity import translate

from tapertrig import Angle, Cone
from tapertrig.boring import (
    SWEEP_CAUTION,
    SlideLayout,
    carriage_to_change,
    cross_to_change,
    distance_between,
    face_diameter_change,
    height_from_pip,
    height_from_rule,
    plan_cuts,
    sweep,
    tool_height_effect,
    turned_radius,
)
from tapertrig.demo import LATHES

INCH, METRIC, OLD = LATHES.values()
HALF = Angle.parse("20°43'")
CONE = Cone(HALF, 1.4195, 0.64)

cones = st.builds(
    lambda degrees, face, internal: Cone(Angle.from_degrees(degrees), face, None, internal),
    st.floats(1, 80),
    st.floats(0.2, 100),
    st.booleans(),
)
moves = st.floats(-0.5, 0.5)


@given(cones, moves, moves, moves, moves)
@settings(max_examples=cases(150), deadline=None)
def test_the_wall_is_moved_and_meets_the_face_again_by_shapely(
    cone, cross, carriage, compound, faced
):
    # General library: shapely. The tool's line is carried by each slide, then cut by the face.
    alpha = cone.half_angle.radians
    side = -1 if cone.internal else 1
    into = (-math.cos(alpha), side * math.sin(alpha))
    start = (0.0, 50.0)
    line = LineString([(start[0] + t * into[0], start[1] + t * into[1]) for t in (-40.0, 40.0)])
    moved = translate(line, -carriage + compound * into[0], cross + compound * into[1])
    face = LineString([(-faced, -2000.0), (-faced, 2000.0)])
    radius = moved.intersection(face).y
    change = face_diameter_change(cone, cross, carriage, compound, faced)
    assert change == pytest.approx(2 * (radius - 50.0), abs=1e-9)


def test_feeding_the_compound_changes_nothing_in_symbols():
    # General library: sympy. −f sin α + f cos α tan α is zero for every feed and angle.
    feed, alpha = sympy.symbols("feed alpha", positive=True)
    across, along = -feed * sympy.sin(alpha), feed * sympy.cos(alpha)
    assert sympy.simplify(across + along * sympy.tan(alpha)) == 0
    feeds = np.linspace(-3, 3, 13)
    for degrees in (0.5, 20.7, 45, 88):
        for internal in (True, False):
            cone = Cone(Angle.from_degrees(degrees), 1.0, None, internal)
            assert face_diameter_change(cone, compound=feeds) == pytest.approx(0, abs=1e-13)
            assert abs(face_diameter_change(cone, cross=0.01, compound=2.0)) == pytest.approx(0.02)


@given(cones, st.floats(-0.5, 0.5))
@settings(deadline=None)
def test_opening_by_either_slide_does_what_was_asked(cone, change):
    assert face_diameter_change(cone, cross=cross_to_change(change)) == pytest.approx(change)
    by_carriage = face_diameter_change(cone, carriage=carriage_to_change(cone, change))
    assert by_carriage == pytest.approx(change, abs=1e-12)


def test_opening_worked_by_hand():
    # 30°: tan = 0.57735. 0.010 more on diameter is 0.005 on the cross slide or 0.00866 on the
    # carriage; 0.020 faced off a bore takes 0.0231 off its face diameter.
    bore = Cone(Angle.from_dms(30), 1.0)
    assert cross_to_change(0.010) == pytest.approx(0.005)
    assert carriage_to_change(bore, 0.010) == pytest.approx(0.00866, abs=5e-6)
    assert face_diameter_change(bore, faced_off=0.020) == pytest.approx(-0.0231, abs=5e-5)
    assert face_diameter_change(bore, faced_off=0.020) == pytest.approx(
        bore.diameter_at(0.020) - bore.face_diameter
    )


plans = st.fixed_dictionaries(
    {
        "lathe": st.sampled_from([INCH, METRIC, OLD]),
        "degrees": st.floats(2, 70),
        "internal": st.booleans(),
        "left": st.floats(0.002, 0.4),
        "roughing": st.floats(0.01, 0.15),
        "allowance": st.floats(0.004, 0.05),
        "finish_cuts": st.integers(1, 4),
        "spring_pass": st.booleans(),
    }
)


@given(plans)
@settings(max_examples=cases(150), deadline=None)
def test_every_plan_ends_at_size_in_cuts_no_deeper_than_asked(plan):
    lathe, dial = plan["lathe"], plan["lathe"].cross_dial
    scale = 25.4 if lathe.unit == "mm" else 1.0
    cone = Cone(Angle.from_degrees(plan["degrees"]), 1.5 * scale, None, plan["internal"])
    grow = 1 if plan["internal"] else -1
    measured = cone.face_diameter - grow * plan["left"] * scale
    roughing, allowance = plan["roughing"] * scale, plan["allowance"] * scale
    cuts = plan_cuts(
        cone, measured, lathe, roughing, allowance, plan["finish_cuts"], plan["spring_pass"]
    )
    # A dial reading is written to 0.0001 in or 0.001 mm; the last lies within half of that.
    places = 1e-4 if lathe.unit == "in" else 1e-3
    assert cuts[-1].face_diameter == pytest.approx(cone.face_diameter, abs=1.01 * places)
    kinds = [cut.kind for cut in cuts]
    order = ["roughing", "finishing", "spring pass"]
    assert kinds == sorted(kinds, key=order.index)
    assert (kinds[-1] == "spring pass") == plan["spring_pass"]
    working = [cut for cut in cuts if cut.kind != "spring pass"]
    assert kinds.count("finishing") >= 1
    line = dial.graduation
    for cut in working[:-1]:
        assert dial.split(cut.cross_reading).remainder == 0
    assert all(cut.taken > 0 for cut in working)
    rough = [cut for cut in cuts if cut.kind == "roughing"]
    finish = [cut for cut in cuts if cut.kind == "finishing"]
    assert all(cut.taken <= roughing * (1 + 1e-9) for cut in rough)
    if rough:
        left = abs(cone.face_diameter - rough[-1].face_diameter)
        assert left >= allowance * (1 - 1e-6) - 1e-9
        assert left < allowance + 2 * dial.movement(line) * (1 + 1e-6)
        assert [cut.measure_after for cut in rough] == [False] * (len(rough) - 1) + [True]
        fewest = math.ceil(sum(cut.taken for cut in rough) / roughing - 1e-6)
        assert len(rough) >= fewest
    depths = [dial.reading(cut.taken / 2) for cut in finish]
    if len(finish) == plan["finish_cuts"]:
        # Whole-line cuts differ by a line at most, the last by half a line more.
        assert max(depths) - min(depths) <= 1.51 * line
    before = measured
    for cut in cuts:
        # What each slide does for the cut, through the moved wall.
        change = cut.face_diameter - measured
        assert face_diameter_change(cone, cross=grow * cut.cross_movement) == pytest.approx(
            change, abs=1e-9
        )
        assert face_diameter_change(cone, carriage=cut.carriage_travel) == pytest.approx(
            change, abs=1e-9
        )
        assert dial.movement(cut.cross_reading) == pytest.approx(cut.cross_movement, abs=1e-11)
        assert grow * (cut.face_diameter - before) == pytest.approx(cut.taken, abs=1e-9)
        before = cut.face_diameter


def test_a_plan_worked_by_hand():
    # 1.281 to 1.4195, 0.040 at most a cut, 0.020 kept: 0.1385 on the diameter-reading dial;
    # 0.1185 to rough is 118 whole lines in three cuts, and 0.0205 is left for two.
    cuts = plan_cuts(CONE, 1.281, INCH, 0.040, 0.020)
    assert [(cut.kind, cut.cross_reading) for cut in cuts] == [
        ("roughing", 0.039),
        ("roughing", 0.079),
        ("roughing", 0.118),
        ("finishing", 0.128),
        ("finishing", 0.1385),
        ("spring pass", 0.1385),
    ]
    assert [cut.face_diameter for cut in cuts] == [1.32, 1.36, 1.399, 1.409, 1.4195, 1.4195]
    assert cuts[-1].taken == 0
    # A radius-reading dial shows half of it.
    assert plan_cuts(CONE, 1.281, OLD, 0.040, 0.020)[-1].cross_reading == 0.06925


def test_little_left_makes_finishing_cuts_only():
    cuts = plan_cuts(CONE, 1.41, INCH, 0.040, 0.020, 3, spring_pass=False)
    assert [cut.kind for cut in cuts] == ["finishing"] * 3
    hair = plan_cuts(CONE, 1.4185, INCH, 0.040, 0.020, 3, spring_pass=False)
    assert [cut.cross_reading for cut in hair] == [0.001]


@pytest.mark.parametrize("row", check_values("offcentre-"), ids=row_id)
def test_tool_off_centre_height(row):
    # Hyperboloid geometry (derived); the direction agrees with Turning and Boring Tapers,
    # 1902–03: the taper comes out slightly less.
    cone = Cone.from_taper("7:24", 40.0, row["given"]["axial_mm"])
    found = tool_height_effect(cone, row["given"]["height_error_mm"], right_at="far end")
    assert 2 * found.radius[0] == pytest.approx(row["expected"]["large_dia_mm"], abs=1e-5)
    assert -found.far_diameter_error == pytest.approx(row["expected"]["short_by_mm"], abs=1e-5)
    assert 2 * found.radius[-1] == pytest.approx(20.0, abs=1e-6)
    assert found.angle_error < 0


@given(
    st.floats(2, 70),
    st.floats(0.002, 0.1),
    st.booleans(),
    st.sampled_from(["face", "far end"]),
)
@settings(max_examples=cases(60), deadline=None)
def test_best_fit_cone_by_scipy(degrees, height, internal, right_at):
    # General library: scipy.optimize.least_squares, distances square to the wall, of points
    # made one by one as a work that turns past a fixed tool point makes them.
    half, length = Angle.from_degrees(degrees), 0.4
    slope = math.tan(half.radians)
    face = 2 * (0.15 + length * slope) if internal else 0.3
    cone = Cone(half, face, length, internal)
    found = tool_height_effect(cone, height, right_at)
    sized = (face if right_at == "face" else cone.diameter_at(length)) / 2
    start = math.sqrt(sized**2 - height**2)
    at = 0.0 if right_at == "face" else length
    sign = -1 if internal else 1
    radius = np.array([abs(complex(start + sign * (z - at) * slope, height)) for z in found.depth])
    assert found.radius == pytest.approx(radius, rel=1e-12)

    def residuals(fit):
        return ((radius - fit[0]) - sign * (found.depth - at) * math.tan(fit[1])) * math.cos(fit[1])

    fit = least_squares(residuals, (sized, half.radians), xtol=1e-15, ftol=1e-15, gtol=1e-15)
    error = fit.x[1] - half.radians
    assert found.angle_error == pytest.approx(error, abs=2e-9)
    assert found.half_angle.radians == pytest.approx(fit.x[1], abs=2e-9)
    assert found.departure == pytest.approx(residuals(fit.x), abs=2e-9)
    assert found.straightness == pytest.approx(np.ptp(residuals(fit.x)), abs=4e-9)
    other = -1 if right_at == "face" else 0
    assert found.far_diameter_error == pytest.approx(
        2 * radius[other] - cone.diameter_at(found.depth[other]), abs=1e-12
    )
    # The middle lies nearer the axis than the ends, in a bore and on a taper alike.
    assert found.departure[100] < 0 < min(found.departure[0], found.departure[-1])
    assert found.angle_error < 0


def test_a_tool_at_centre_height_cuts_the_cone_and_above_is_as_below():
    found = tool_height_effect(CONE, 0.0)
    assert (found.angle_error, found.straightness, found.far_diameter_error) == (0, 0, 0)
    assert 2 * found.radius == pytest.approx(CONE.diameter_at(found.depth), rel=1e-14)
    above, below = tool_height_effect(CONE, 0.02), tool_height_effect(CONE, -0.02)
    assert above.angle_error == below.angle_error
    # Twice the height error does four times the harm, near enough.
    twice = tool_height_effect(CONE, 0.04)
    assert twice.angle_error / above.angle_error == pytest.approx(4, rel=0.02)
    assert turned_radius(3.0, 4.0) == 5.0


@given(st.floats(0.0, 0.2), st.floats(0.5, 3.0), st.floats(0.0, 0.05), st.booleans())
@settings(deadline=None)
def test_height_from_a_pinched_rule_by_where_the_rule_lies(share, diameter, thickness, high):
    # The rule's far face is a line that stands off the bar by its thickness; the point of it
    # nearest the bar's middle is where the tool pinches it.
    radius = diameter / 2
    height = share * radius * (1 if high else -1)
    lean = math.asin(height / (radius + thickness))
    foot = np.array([math.cos(lean), math.sin(lean)]) * (radius + thickness)
    along = np.array([-math.sin(lean), math.cos(lean)])
    rule = LineString([foot - 5 * along, foot + 5 * along])
    middle = MultiPoint([(0, 0)])
    assert rule.distance(middle) == pytest.approx(radius + thickness, rel=1e-9)
    assert rule.project(middle.geoms[0]) == pytest.approx(5, abs=1e-9)
    # A tool too high leans the rule's top towards the bar, away from the tool.
    assert (along[0] < 0) == (height > 0) or height == 0
    found = height_from_rule(Angle.from_radians(lean), diameter, thickness)
    assert found == pytest.approx(height, abs=1e-12)


def test_height_from_the_pip_left_on_a_face():
    # A point that crosses the face at height e never comes nearer the axis than e.
    height = 0.012
    nearest = min(math.hypot(x, height) for x in np.linspace(-1, 1, 2001))
    assert height_from_pip(2 * nearest) == pytest.approx(height)


layouts = st.builds(
    SlideLayout,
    chuck_radius=st.floats(1, 5),
    chuck_face=st.floats(-2, 2),
    slide_length=st.floats(3, 12),
    slide_width=st.floats(1, 4),
    pivot_axial=st.floats(3, 15),
    pivot_cross=st.floats(1, 9),
    nose_ahead=st.floats(-1, 5),
    quill_radius=st.floats(0.3, 1.5),
    quill_end=st.floats(3, 12),
)


@given(layouts, st.floats(1, 89), st.floats(0.1, 5), st.booleans())
@settings(max_examples=cases(60), deadline=None)
def test_the_sweep_and_its_clearances_by_shapely_step_by_step(layout, degrees, travel, internal):
    # General library: shapely. The slide is stepped along its travel and every step measured.
    half = Angle.from_degrees(degrees)
    found = sweep(layout, half, travel, internal)
    ahead = np.array([-math.cos(half.radians), math.sin(half.radians) * (-1 if internal else 1)])
    start = Polygon(found.start)
    assert start.area == pytest.approx(layout.slide_length * layout.slide_width)
    nose = np.array([layout.pivot_axial, layout.pivot_cross]) + layout.nose_ahead * ahead
    assert found.start[:2].mean(0) == pytest.approx(nose)
    steps = [translate(start, *(ahead * part)) for part in np.linspace(0, travel, 101)]
    swept = unary_union(steps)
    outline = Polygon(found.outline)
    assert outline.area == pytest.approx(swept.area, rel=1e-9)
    assert outline.symmetric_difference(swept).area == pytest.approx(0, abs=1e-6 * swept.area)
    for shape, distance in ((found.chuck, found.to_chuck), (found.quill, found.to_quill)):
        other = Polygon(shape)
        if distance > 0:
            least = min(step.distance(other) for step in steps)
            assert distance == pytest.approx(least, abs=travel / 100)
            assert distance == pytest.approx(outline.distance(other), abs=1e-9)
        else:
            assert outline.distance(other) == 0
    assert found.chuck[:, 0].max() == layout.chuck_face
    assert found.quill[:, 0].min() == layout.quill_end


# Corners a thousandth apart: nearer ones make edges that no outline of a machine has.
corner = st.integers(-3000, 3000).map(lambda n: n / 1000)
corners = st.lists(st.tuples(corner, corner), min_size=5, max_size=12, unique=True)


@given(corners, corners, corner.map(lambda x: 2 * x), corner.map(lambda x: 2 * x))
@settings(max_examples=cases(50), deadline=None)
def test_distance_between_outlines_by_shapely(one, other, right, up):
    hulls = [MultiPoint(points).convex_hull for points in (one, other)]
    assume(all(isinstance(hull, Polygon) and hull.area > 0.5 for hull in hulls))
    moved = translate(hulls[1], right, up)
    shapes = [np.array(hull.exterior.coords[:-1]) for hull in (hulls[0], moved)]
    found = distance_between(*shapes)
    if found > 0:
        assert found == pytest.approx(hulls[0].distance(moved), abs=1e-9)
        return
    assert hulls[0].distance(moved) == 0
    # A shift by the depth parts them in some direction, and a shorter one in none.
    turns = np.linspace(0, 2 * math.pi, 61)
    edges = np.concatenate([np.roll(shape, -1, 0) - shape for shape in shapes])
    turns = np.concatenate([turns, np.arctan2(edges[:, 0], -edges[:, 1])])
    turns = np.concatenate([turns, turns + math.pi])

    def parted(depth):
        shifted = (
            translate(moved, depth * math.cos(turn), depth * math.sin(turn)) for turn in turns
        )
        return any(hulls[0].intersection(shape).area < 1e-10 for shape in shifted)

    assert parted(-found + 1e-6)
    assert not parted(-found * 0.99 - 1e-4)


def test_clearance_to_a_corner_worked_by_hand():
    # At 45° the slide's headstock end, run 2√2 in, comes to (4, 4) at its middle and its corner
    # to (4.5, 3.5) and (3.5, 4.5); the chuck's edge is at 3 square to the axis, its face at 0.
    layout = SlideLayout(3.0, 0.0, 6.0, math.sqrt(2), 6.0, 6.0, 0.0)
    found = sweep(layout, Angle.from_dms(45), 2 * math.sqrt(2))
    assert sorted(map(tuple, found.outline[:2].round(9).tolist())) == [(3.5, 4.5), (4.5, 3.5)]
    # From the chuck's corner (0, 3) straight to the end's corner (3.5, 4.5) is √14.5.
    assert found.to_chuck == pytest.approx(math.sqrt(3.5**2 + 1.5**2))
    assert found.to_quill == math.inf
    assert found.quill is None
    assert found.clears(3.8)
    assert not found.clears(3.81)


def test_the_sweep_comes_with_its_cautions():
    for words in ("stop and isolate", "chuck key", "by hand", "qualified instructor"):
        assert words in SWEEP_CAUTION


def test_quick_enough_to_follow_a_slider():
    # Processor time, so that a busy machine does not count.
    layout = SlideLayout(3.0, 0.0, 9.0, 2.5, 7.0, 4.5, 3.0, 0.75, 8.0)
    for call in (
        lambda: sweep(layout, HALF, 3.25),
        lambda: tool_height_effect(CONE, 0.02),
        lambda: plan_cuts(CONE, 1.281, INCH, 0.04, 0.02),
    ):
        times = []
        for _ in range(20):
            start = time.process_time()
            call()
            times.append(time.process_time() - start)
        assert min(times) < 0.002


LAYOUT = {
    "chuck_radius": 3.0,
    "chuck_face": 0.0,
    "slide_length": 9.0,
    "slide_width": 2.5,
    "pivot_axial": 7.0,
    "pivot_cross": 4.5,
    "nose_ahead": 3.0,
}


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: plan_cuts(CONE, 1.4195, INCH, 0.04, 0.02), "nothing is left to take off"),
        (lambda: plan_cuts(CONE, 1.5, INCH, 0.04, 0.02), "nothing is left to take off"),
        (lambda: plan_cuts(CONE, -1.0, INCH, 0.04, 0.02), "measured face diameter is -1"),
        (lambda: plan_cuts(CONE, 1.3, INCH, 0.0005, 0.02), "take at least 0.001"),
        (lambda: plan_cuts(CONE, 1.3, INCH, 0.04, 0.0), "finish allowance on diameter is 0"),
        (lambda: plan_cuts(CONE, 1.3, INCH, 0.04, 0.02, 0), "finish cuts is 0"),
        (lambda: plan_cuts(CONE, 0.3, INCH, 0.002, 0.02), "200 are allowed"),
        (lambda: tool_height_effect(Cone(HALF, 1.4), 0.01), "has no length"),
        (lambda: tool_height_effect(CONE, math.nan), "height error is nan"),
        (lambda: tool_height_effect(CONE, 0.8), "tool height error is 0.8"),
        (lambda: tool_height_effect(Cone(Angle.from_dms(45), 2.0, 0.99), 0.2), "pass the axis"),
        (lambda: tool_height_effect(CONE, 0.01, "middle"), "right at is 'middle'"),
        (lambda: tool_height_effect(CONE, 0.01, points=2), "points is 2"),
        (lambda: height_from_pip(-0.1), "pip diameter is -0.1"),
        (lambda: height_from_rule(Angle.from_dms(95), 1.0), "lean is 95°"),
        (lambda: height_from_rule(Angle.from_dms(5), 0.0), "bar diameter is 0"),
        (lambda: SlideLayout(**{**LAYOUT, "slide_width": 0.0}), "slide width is 0"),
        (lambda: SlideLayout(**{**LAYOUT, "pivot_cross": math.inf}), "pivot cross is inf"),
        (lambda: SlideLayout(**LAYOUT, quill_radius=0.6, quill_end=-1.0), "quill end is at -1"),
        (lambda: SlideLayout(**LAYOUT, quill_end=5.0), "quill radius is 0"),
        (lambda: sweep(SlideLayout(**LAYOUT), Angle.from_dms(90), 3.0), "between 0° and 90°"),
        (lambda: sweep(SlideLayout(**LAYOUT), HALF, 0.0), "compound travel is 0"),
        (lambda: sweep(SlideLayout(**LAYOUT), HALF, 1.0).clears(0.0), "margin is 0"),
    ],
)
def test_refuses_what_makes_no_cut_and_names_the_value(call, words):
    with pytest.raises(ValueError, match=words):
        call()
