"""Balls in a bore: heights, contact, resting places, window, broken edge."""

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
import sympy
from cases import cases
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from reference import check_value, check_values, row_id
from scipy.optimize import minimize_scalar

from tapertrig import Angle, Cone
from tapertrig.gauging import (
    ball_clearance,
    ball_contact,
    ball_height,
    ball_range,
    ball_rest,
    broken_edge,
    cone_from_two_balls,
    countersink_diameter,
    depth_reading,
    face_diameter_from_ball,
    half_angle_from_two_balls,
    height_from_depth,
    height_window,
)

SEAT = Cone(Angle.parse("20°43′"), 1.418, 0.64)
degrees = st.floats(0.5, 85.0)


@st.composite
def cones_and_balls(draw, count=1):
    """A bore and balls that rest on it, contact within the wall."""
    half_angle = Angle.from_degrees(draw(degrees))
    face = draw(st.floats(0.1, 400.0))
    point = face / (2 * math.tan(half_angle.radians))
    cone = Cone(half_angle, face, draw(st.floats(0.1, 0.95)) * point)
    small, large = ball_range(cone)
    parts = sorted(
        draw(st.lists(st.floats(0.001, 0.999), min_size=count, max_size=count, unique=True))
    )
    return cone, [small + part * (large - small) for part in parts]


def bore_profile(cone, edge_break=0.0, floor_depth=None):
    """Radius and depth of the bore's section as a polyline, face first, built by hand."""
    tan = math.tan(cone.half_angle.radians)
    start = cone.face_diameter / 2 - edge_break * tan
    end = cone.face_diameter / 2 - cone.length * tan
    points = [(start + edge_break, 0.0)] if edge_break else []
    points += [(start, edge_break), (end, cone.length)]
    if floor_depth is not None:
        points += [(end, floor_depth), (0.0, floor_depth)]
    return points


def lowest_top(points, ball):
    """Height of a ball's top over the face by brute force: scipy sinks it until it touches.

    The centre cannot be lower than z + √(R² − r²) over any point (r, −z) of the profile.
    """
    radius, best = ball / 2, -math.inf
    parts = np.linspace(0, 1, 401)

    def centre(part, one, other):
        r = one[0] + part * (other[0] - one[0])
        z = one[1] + part * (other[1] - one[1])
        return np.where(r <= radius, np.sqrt(np.maximum(radius**2 - r**2, 0)) - z, -np.inf)

    for one, other in pairwise(points):
        heights = centre(parts, one, other)
        at = int(np.argmax(heights))
        if heights[at] == -math.inf:
            continue
        found = minimize_scalar(
            lambda part, one=one, other=other: -max(float(centre(part, one, other)), -1e9),
            bounds=(parts[max(at - 1, 0)], parts[min(at + 1, 400)]),
            method="bounded",
            options={"xatol": 1e-12},
        )
        best = max(best, heights[at], -found.fun)
    return best + radius


@given(cones_and_balls())
@settings(max_examples=cases(60), deadline=None)
def test_height_is_where_scipy_lets_the_ball_rest(case):
    cone, (ball,) = case
    assert ball_height(cone, ball) == pytest.approx(
        lowest_top(bore_profile(cone), ball), abs=1e-7 * max(cone.face_diameter, ball)
    )


def test_height_and_contact_follow_from_tangency():
    # Sympy, exactly: the circle touches the wall line where its centre is one radius away.
    # Half angle with tangent 5/12, face diameter 10, ball 9.
    radius = sympy.Rational(9, 2)
    wall = sympy.Line((5, 0), slope=sympy.Rational(12, 5))
    height = sympy.Symbol("h", real=True)
    distance = wall.distance(sympy.Point(0, height - radius))
    roots = sympy.solve(sympy.Eq(distance**2, radius**2), height)
    # Of the two circles that touch the line, the ball in the bore is the higher one.
    top = max(roots)
    cone = Cone(Angle.from_radians(math.atan2(5, 12)), 10.0)
    assert ball_height(cone, 9.0) == pytest.approx(float(top), abs=1e-12)
    foot = wall.projection(sympy.Point(0, top - radius))
    contact = ball_contact(cone, 9.0)
    assert contact.diameter == pytest.approx(2 * float(foot.x), abs=1e-12)
    assert contact.depth == pytest.approx(-float(foot.y), abs=1e-12)


@given(cones_and_balls())
@settings(max_examples=cases(60), deadline=None)
def test_ball_touches_the_wall_and_enters_nothing(case):
    # Shapely: the centre's distance to the section of the wall is the radius, at the contact.
    cone, (ball,) = case
    centre = shapely.Point(0, ball_height(cone, ball) - ball / 2)
    wall = shapely.LineString([(r, -z) for r, z in bore_profile(cone)])
    near = 1e-9 * (cone.face_diameter + cone.length)
    assert centre.distance(wall) == pytest.approx(ball / 2, abs=near)
    contact = ball_contact(cone, ball)
    touch = shapely.Point(contact.diameter / 2, -contact.depth)
    assert touch.distance(wall) < near
    assert touch.distance(centre) == pytest.approx(ball / 2, abs=near)


@given(cones_and_balls())
@settings(deadline=None)
def test_one_ball_gives_the_face_diameter_back(case):
    cone, (ball,) = case
    face = face_diameter_from_ball(cone.half_angle, ball, ball_height(cone, ball))
    assert face == pytest.approx(cone.face_diameter, rel=1e-9)


@given(cones_and_balls(count=2))
@settings(deadline=None)
def test_two_balls_give_the_cone_back(case):
    cone, (small, large) = case
    assume(large - small > 1e-3 * large)
    found = cone_from_two_balls(large, ball_height(cone, large), small, ball_height(cone, small))
    assert found.half_angle.radians == pytest.approx(cone.half_angle.radians, rel=1e-9)
    assert found.face_diameter == pytest.approx(cone.face_diameter, rel=1e-9)


@pytest.mark.parametrize("row", check_values("twoball-"), ids=row_id)
def test_two_ball_rows(row):
    # Geometry; the method is in Mechanical Engineer's Data Handbook 7.2.2.
    given_, wanted = row["given"], row["expected"]
    found = cone_from_two_balls(
        given_["big_dia_mm"], given_["P_mm"], given_["small_dia_mm"], -given_["h_mm"]
    )
    assert found.half_angle.degrees == pytest.approx(wanted["half_deg"], abs=1e-6)
    assert found.face_diameter == pytest.approx(wanted["face_dia_mm"], abs=1e-6)


@pytest.mark.parametrize("row", check_values("csk-"), ids=row_id)
def test_countersink_rows(row):
    # Geometry; the method is in Mechanical Engineer's Data Handbook 7.2.2.
    given_ = row["given"]
    mouth = countersink_diameter(
        Angle.from_degrees(given_["included_deg"]), given_["ball_dia"], given_["height_above"]
    )
    assert f"{mouth:.8g}" == f"{row['expected']['mouth_dia']:.8g}"


def test_contact_row():
    row = check_value("contact-60")
    ball = row["given"]["ball_dia"]
    cone = Cone.from_included(Angle.from_degrees(row["given"]["included_deg"]), 12.0)
    contact = ball_contact(cone, ball)
    centre_depth = ball / 2 - ball_height(cone, ball)
    assert contact.diameter == pytest.approx(row["expected"]["contact_dia"], abs=5e-7)
    assert contact.depth - centre_depth == pytest.approx(row["expected"]["below_centre"], abs=5e-7)


def test_proud_and_below_both_come_back():
    proud, below = ball_height(SEAT, 1.25), ball_height(Cone(SEAT.half_angle, 1.418), 0.9)
    assert proud > 0 > below
    for ball, height in ((1.25, proud), (0.9, below)):
        assert face_diameter_from_ball(SEAT.half_angle, ball, height) == pytest.approx(1.418)


def test_arrays_agree_with_floats():
    balls = np.array([1.0, 1.1, 1.25, 1.4])
    heights = ball_height(SEAT, balls)
    assert heights.tolist() == pytest.approx([ball_height(SEAT, ball) for ball in balls])
    faces = face_diameter_from_ball(np.full(4, SEAT.half_angle.radians), balls, heights)
    assert faces == pytest.approx(np.full(4, 1.418))
    angles = half_angle_from_two_balls(balls[1:], heights[1:], balls[0], heights[0])
    assert angles == pytest.approx(np.full(3, SEAT.half_angle.radians))


REFUSED = {
    "drops through the small end": {"ball_diameter": 0.9},
    "rests on the lower edge": {"ball_diameter": 0.95},
    "rides on the edge break": {"ball_diameter": 1.51, "edge_break": 0.02},
    "too big and sits above, on the face edge": {"ball_diameter": 1.6},
    "touches the bottom": {"ball_diameter": 1.2, "floor_depth": 0.70},
}


@pytest.mark.parametrize(("reason", "case"), REFUSED.items(), ids=list(REFUSED))
@pytest.mark.parametrize("function", [ball_height, ball_contact, ball_clearance])
def test_refused_with_the_reason(function, reason, case):
    with pytest.raises(ValueError, match=reason) as refusal:
        function(SEAT, **case)
    assert f"{case['ball_diameter']:g}" in str(refusal.value)
    assert "use a ball from" in str(refusal.value)


@pytest.mark.parametrize(("reason", "case"), REFUSED.items(), ids=list(REFUSED))
def test_one_bad_ball_in_an_array_is_refused(reason, case):
    rest = {name: value for name, value in case.items() if name != "ball_diameter"}
    good = ball_range(SEAT, **rest)[0] * 1.01
    assert np.shape(ball_height(SEAT, np.array([good, good]), **rest)) == (2,)
    with pytest.raises(ValueError, match=reason):
        ball_height(SEAT, np.array([good, case["ball_diameter"]]), **rest)


def test_ball_far_too_big_for_a_broken_edge_sits_on_its_outer_edge():
    rest = ball_rest(SEAT, 2.5, edge_break=0.02)
    assert rest.on == "face edge"
    assert rest.contact.depth == 0
    assert rest.contact.diameter == pytest.approx(broken_edge(SEAT, 0.02).outer)


@st.composite
def bores(draw):
    """A bore with or without break and floor, and any ball at all."""
    half_angle = Angle.from_degrees(draw(st.floats(2.0, 44.0)))
    face = draw(st.floats(0.5, 50.0))
    point = face / (2 * math.tan(half_angle.radians))
    cone = Cone(half_angle, face, draw(st.floats(0.2, 0.95)) * point)
    edge_break = draw(st.sampled_from([0.0, 0.02, 0.2])) * cone.length
    floor = draw(st.sampled_from([None, 1.0, 1.2, 2.0]))
    floor_depth = None if floor is None else floor * cone.length
    return cone, draw(st.floats(0.05, 3.0)) * face, edge_break, floor_depth


@given(bores())
@settings(max_examples=cases(150), deadline=None)
def test_any_ball_rests_where_scipy_lets_it(case):
    cone, ball, edge_break, floor_depth = case
    rest = ball_rest(cone, ball, edge_break, floor_depth)
    wanted = lowest_top(bore_profile(cone, edge_break, floor_depth), ball)
    if rest.on == "nothing":
        assert wanted == -math.inf
    else:
        near = 2e-6 * (cone.face_diameter + ball)
        assert rest.height == pytest.approx(wanted, abs=near)
        # The circle of contact lies on the ball.
        below_centre = rest.contact.depth + rest.height - ball / 2
        assert math.hypot(rest.contact.diameter / 2, below_centre) == pytest.approx(ball / 2)


@given(bores())
@settings(max_examples=cases(150), deadline=None)
def test_refused_exactly_when_the_ball_does_not_rest_on_the_cone(case):
    cone, ball, edge_break, floor_depth = case
    rest = ball_rest(cone, ball, edge_break, floor_depth)
    if rest.on == "cone":
        assert rest.reason == ""
        assert ball_height(cone, ball, edge_break, floor_depth) == pytest.approx(rest.height)
    else:
        assert rest.reason
        with pytest.raises(ValueError, match="ball"):
            ball_height(cone, ball, edge_break, floor_depth)


@given(bores())
@settings(max_examples=cases(100), deadline=None)
def test_range_of_balls_is_where_they_begin_and_cease_to_rest(case):
    cone, _, edge_break, floor_depth = case
    try:
        small, large = ball_range(cone, edge_break, floor_depth)
    except ValueError:
        sizes = np.linspace(0.05, 3.0, 60) * cone.face_diameter
        assert all(ball_rest(cone, size, edge_break, floor_depth).on != "cone" for size in sizes)
        return
    assume(large > small * 1.001)
    assert ball_rest(cone, small * 1.0001, edge_break, floor_depth).on == "cone"
    assert ball_rest(cone, large * 0.9999, edge_break, floor_depth).on == "cone"
    assert ball_rest(cone, small * 0.9999, edge_break, floor_depth).on != "cone"
    assert ball_rest(cone, large * 1.0001, edge_break, floor_depth).on != "cone"


def test_clearance_counts_floor_and_break():
    contact = ball_contact(SEAT, 1.25)
    plain = ball_clearance(SEAT, 1.25)
    assert plain == pytest.approx((contact.depth, 0.64 - contact.depth))
    narrowed = ball_clearance(SEAT, 1.25, edge_break=0.02, floor_depth=0.75)
    assert narrowed.above == pytest.approx(contact.depth - 0.02)
    assert narrowed.below == pytest.approx(0.75 - (1.25 - ball_height(SEAT, 1.25)))


def test_window_of_heights_is_where_the_limits_lie():
    window = height_window(SEAT, 1.25, 1.418, 1.421)
    for height, face in ((window.highest, 1.418), (window.lowest, 1.421)):
        assert face_diameter_from_ball(SEAT.half_angle, 1.25, height) == pytest.approx(face)
    assert window.expected == pytest.approx(ball_height(SEAT, 1.25))
    assert window.graduations(0.001) == pytest.approx(0.003 / SEAT.taper / 0.001)


def test_lines_of_the_window_are_all_the_lines_in_it():
    window = height_window(SEAT, 1.25, 1.418, 1.421)
    first, last = window.lines(0.001, parallel=1.0)
    lines = np.arange(200, 700) / 1000
    faces = face_diameter_from_ball(SEAT.half_angle, 1.25, height_from_depth(lines, 1.0))
    inside = lines[(faces >= 1.418) & (faces <= 1.421)]
    assert (first, last) == pytest.approx((inside[0], inside[-1]))
    assert window.lines(0.025, parallel=1.0) is None
    with pytest.raises(ValueError, match="put parallels higher"):
        window.lines(0.001)


def test_window_refuses_a_ball_that_leaves_the_cone_at_a_limit():
    largest = ball_range(SEAT)[1]
    assert ball_height(SEAT, largest * 0.9999) > 0
    with pytest.raises(ValueError, match="face edge"):
        height_window(SEAT, largest * 0.9999, 1.41, 1.42)
    with pytest.raises(ValueError, match="lower one must be less"):
        height_window(SEAT, 1.25, 1.42, 1.41)


def test_depth_micrometer_and_back():
    assert depth_reading(-0.125) == 0.125
    assert depth_reading(0.375, parallel=0.5) == 0.125
    assert height_from_depth(0.125, parallel=0.5) == 0.375
    readings = depth_reading(np.array([-0.1, -0.2]))
    assert height_from_depth(readings) == pytest.approx([-0.1, -0.2])


@given(st.floats(1.0, 44.5), st.floats(1.0, 50.0), st.floats(0.001, 0.05), st.booleans())
@settings(deadline=None)
def test_broken_edge_against_intersecting_lines(half_angle, face, part, internal):
    # Shapely cuts the wall with the bevel and the bevel with the face.
    depth = part * face
    tan = math.tan(math.radians(half_angle))
    edge = broken_edge(Cone(Angle.from_degrees(half_angle), face, internal=internal), depth)
    side = 1 if internal else -1
    wall = shapely.LineString(
        [(face / 2 + side * face * tan, face), (face / 2 - side * face * tan, -face)]
    )
    level = shapely.LineString([(-9 * face, -depth), (9 * face, -depth)])
    inner = wall.intersection(level)
    bevel = shapely.LineString([(inner.x, -depth), (inner.x + side * face, -depth + face)])
    outer = bevel.intersection(shapely.LineString([(-9 * face, 0), (9 * face, 0)]))
    assert edge.inner == pytest.approx(2 * inner.x)
    assert edge.outer == pytest.approx(2 * outer.x)
    assert edge.outer_error == pytest.approx(edge.outer - face, abs=1e-9)
    assert edge.inner_error == pytest.approx(edge.inner - face, abs=1e-9)


BAD = [
    (lambda: ball_height(SEAT, 0.0), "more than zero"),
    (lambda: ball_height(SEAT, math.nan), "finite"),
    (lambda: ball_height(SEAT, 1.25, edge_break=-0.01), "zero or more"),
    (lambda: ball_height(SEAT, 1.25, edge_break=0.7), "nothing is left"),
    (lambda: ball_height(SEAT, 1.25, floor_depth=0.5), "floor"),
    (lambda: ball_height(Cone(SEAT.half_angle, 1.0, internal=False), 0.5), "rolls"),
    (lambda: ball_height(Cone(Angle.from_degrees(50), 1.0), 0.5, edge_break=0.01), "45°"),
    (lambda: ball_range(Cone(SEAT.half_angle, 1.418, 0.3), 0.02, 0.3), "no ball fits"),
    (lambda: face_diameter_from_ball(SEAT.half_angle, 1.25, 1.2), "proud at most"),
    (lambda: face_diameter_from_ball(SEAT.half_angle, 1.25, math.inf), "finite"),
    (lambda: half_angle_from_two_balls(1.0, 0.5, 1.25, 0.1), "larger first"),
    (lambda: half_angle_from_two_balls(1.25, 0.1, 1.0, 0.5), "more than"),
    (lambda: countersink_diameter(90, 0.5, 0.1), "Angle"),
    (lambda: broken_edge(Cone(Angle.from_degrees(45), 1.0), 0.01), "takes nothing off"),
    (lambda: broken_edge(SEAT, 0.7), "takes the whole cone away"),
    (lambda: depth_reading(0.2), "parallels"),
]


@pytest.mark.parametrize(("call", "words"), BAD)
def test_bad_input_is_refused_in_words(call, words):
    with pytest.raises(ValueError, match=words):
        call()
