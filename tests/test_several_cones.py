"""Several cones in one bore, against areas that shapely cuts out of one another and sympy."""

from __future__ import annotations

import math

import numpy as np
import pytest
import sympy
from cases import cases
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import LineString, Polygon, unary_union
from shapely.affinity import translate

from tapertrig import Angle, Cone
from tapertrig.boring import face_diameter_change, seat_width, walls_meet
from tapertrig.budget import seat_and_plug
from tapertrig.several_cones import SeveralCones, Wall

ANGLES = tuple(Angle.parse(one) for one in ("57°35′", "41°40′", "24°50′"))
SEAT = SeveralCones.from_edges(ANGLES, (1.372, 1.236, 1.148, 1.02))
DEEP = 2000.0  # beyond every bore here
degrees = st.floats(4, 80)
sizes = st.floats(0.4, 40)


def void(bore: SeveralCones, stock: float = 0.0) -> Polygon:
    """What is empty, from the axis out: each cone and the hole cut out of it, put together."""
    areas = [Polygon([(-stock, 0), (-stock, bore.hole / 2), (DEEP, bore.hole / 2), (DEEP, 0)])]
    for cone in bore.cones:
        slope = math.tan(cone.half_angle.radians)
        point = cone.face_diameter / 2 / slope
        at_stock = cone.face_diameter / 2 + stock * slope
        areas.append(Polygon([(-stock, 0), (-stock, at_stock), (point, 0)]))
    return unary_union(areas)


def radius_of(area: Polygon, depth: float) -> float:
    return area.intersection(LineString([(depth, 0), (depth, 1e4)])).bounds[3]


@st.composite
def bores(draw: st.DrawFn) -> SeveralCones:
    """Three cones, each of which has at least a twentieth of the diameter left."""
    first = draw(st.floats(30, 80))
    second = first - draw(st.floats(3, 12))
    third = second - draw(st.floats(3, 12))
    hole = draw(sizes)
    steps = draw(st.lists(st.floats(0.05, 0.4), min_size=3, max_size=3))
    edges = (hole * np.cumsum([1.0, *steps])[::-1]).tolist()
    return SeveralCones.from_edges(map(Angle.from_degrees, (first, second, third)), edges)


@given(degrees, degrees, sizes, sizes, st.booleans())
@settings(max_examples=cases(80), deadline=None)
def test_two_walls_meet_where_shapely_crosses_their_lines(one, other, face, wide, internal):
    assume(abs(one - other) > 1)
    cones = [
        Cone(Angle.from_degrees(turn), size, None, internal)
        for turn, size in ((one, face), (other, wide))
    ]
    lines = [
        LineString([
            (depth, cone.face_diameter / 2 + side * depth * math.tan(cone.half_angle.radians))
            for depth in (-2e4, 2e4)
        ])
        for cone in cones
        for side in ((-1 if internal else 1),)
    ]  # fmt: skip
    crossing = lines[0].intersection(lines[1])
    if crossing.y <= 1e-6:
        with pytest.raises(ValueError, match="past the axis"):
            walls_meet(*cones)
        return
    depth, diameter = walls_meet(*cones)
    assert (depth, diameter / 2) == pytest.approx((crossing.x, crossing.y), rel=1e-6, abs=1e-6)
    assert walls_meet(*reversed(cones)) == pytest.approx((depth, diameter), rel=1e-9, abs=1e-9)


@given(bores())
@settings(max_examples=cases(60), deadline=None)
def test_a_bore_is_all_its_cones_cut_out_one_after_the_other(bore):
    area = void(bore)
    seen = area.simplify(1e-9).exterior.coords
    corners = sorted({(x, y) for x, y in seen if y > 1e-9 and x < DEEP - 1e-9})
    edges = [(edge.depth, edge.diameter / 2) for edge in bore.edges]
    assert np.array(edges) == pytest.approx(np.array(corners), abs=1e-7 * bore.hole)
    for (x, y), (x_next, y_next), wall in zip(corners[:-1], corners[1:], bore.walls, strict=True):
        assert wall.along == pytest.approx(math.hypot(x_next - x, y_next - y), rel=1e-7)
        assert (wall.deep, wall.across) == pytest.approx((x_next - x, y - y_next), rel=1e-7)
        assert seat_width(wall.half_angle, 2 * y, 2 * y_next) == pytest.approx(wall.along, rel=1e-7)
        assert wall.across < wall.along
    depths = np.linspace(0, corners[-1][0] * 1.3, 9)
    seen = [2 * radius_of(area, depth) for depth in depths]
    assert bore.diameter_at(depths) == pytest.approx(seen, rel=1e-9)


@given(bores(), st.integers(0, 2), st.floats(0, 0.15), st.floats(0, 0.3))
@settings(max_examples=cases(60), deadline=None)
def test_one_cut_moves_every_edge_as_if_the_tool_were_carried_there(bore, cut, cross, carriage):
    cross, carriage = cross * bore.hole, carriage * bore.hole
    # The tool's line, carried by both slides, and all that lies inside it taken away.
    cone = bore.cones[cut]
    slope = math.tan(cone.half_angle.radians)
    line = [(z, cone.face_diameter / 2 - z * slope) for z in (-DEEP, DEEP)]
    swept = translate(Polygon([*line, (-DEEP, line[1][1])]), carriage, cross)
    metal_side = Polygon([(0, 0), (0, 1e4), (DEEP, 1e4), (DEEP, 0)])
    area = void(bore).union(swept.intersection(metal_side))
    after = bore.after_cut(cut, cross, carriage)
    for depth in np.linspace(0, 2.5 * bore.edges[-1].depth, 12):
        assert after.diameter_at(depth) / 2 == pytest.approx(radius_of(area, depth), rel=1e-9)
    others = [i for i in range(3) if i != cut]
    assert all(after.cones[i] == bore.cones[i] for i in others)
    assert [wall is None for wall in after.walls].count(False) == len(after.edges) - 1


def test_what_one_cut_does_to_both_edges_of_a_seat_in_symbols():
    # General library: sympy, the two lines solved for where they cross, then differentiated.
    upper, seat, depth, steep, flat = sympy.symbols("D_1 D_2 z t_1 t_2", positive=True)
    at = sympy.solve(upper - 2 * depth * steep - seat + 2 * depth * flat, depth)[0]
    moved = sympy.diff(at, upper), sympy.diff(upper - 2 * at * steep, upper)
    relief, land = SEAT.cones[:2]
    numbers = {steep: math.tan(relief.half_angle.radians), flat: math.tan(land.half_angle.radians)}
    change = 0.004
    after = SEAT.after_cut(0, cross=change / 2)
    was, now = SEAT.walls[1].upper, after.walls[1].upper
    told = [float(one.subs(numbers)) * change for one in moved]
    assert (now.depth - was.depth, now.diameter - was.diameter) == pytest.approx(told, rel=1e-9)
    # A deeper relief narrows the seat from above and leaves its lower edge where it was.
    assert told[0] > 0 > told[1]
    assert after.walls[1].lower == pytest.approx(SEAT.walls[1].lower)
    # By the carriage it is the same cut: twice the tangent of what the cross slide moved.
    same = SEAT.after_cut(0, carriage=change / relief.taper)
    assert np.array(same.edges) == pytest.approx(np.array(after.edges))


def test_a_seat_that_its_neighbours_cut_away_is_gone_and_says_so():
    gone = SEAT.after_cut(0, cross=0.1)
    assert [wall is None for wall in gone.walls] == [False, True, False]
    meets = walls_meet(SEAT.cones[0], SEAT.cones[2])
    opened = gone.cones[0].face_diameter - SEAT.cones[0].face_diameter
    assert opened == pytest.approx(0.2)
    assert gone.edges[1] == pytest.approx(walls_meet(gone.cones[0], SEAT.cones[2]))
    assert gone.edges[1].depth > meets.depth


@given(bores(), st.sampled_from((0, 1, 2)))
@settings(max_examples=cases(40), deadline=None)
def test_the_order_of_cuts_ends_in_the_bore_and_each_cut_only_takes_metal(bore, seat):
    cuts = bore.order_of_cuts(seat)
    assert [cut.cone for cut in cuts] == [seat, *range(seat - 1, -1, -1), *range(seat + 1, 3)]
    before = SeveralCones((), bore.hole)
    for cut in cuts:
        wanted = bore.cones[cut.cone]
        old, touched = void(before), Cone(wanted.half_angle, wanted.face_diameter - 2 * cut.cross)
        # The tool's line where it starts lies in the open and touches metal in the edge told.
        rubbing = void(SeveralCones((touched,), bore.hole)).difference(old).area
        assert rubbing < 1e-9 * bore.hole**2
        assert touched.face_diameter - cut.touched.depth * touched.taper == pytest.approx(
            cut.touched.diameter
        )
        assert radius_of(old, cut.touched.depth) * 2 == pytest.approx(cut.touched.diameter)
        by_carriage = face_diameter_change(touched, carriage=cut.carriage)
        assert by_carriage == pytest.approx(2 * cut.cross)
        assert void(cut.bore).difference(old).area > 0
        before = cut.bore
    assert before == bore


@given(degrees, sizes, st.floats(0, 0.45), st.floats(0.001, 0.3), st.booleans())
@settings(max_examples=cases(60), deadline=None)
def test_a_gauge_plane_and_stock_on_the_face_by_lines_that_shapely_cuts(
    turn, diameter, part, stock, internal
):
    slope, side = math.tan(math.radians(turn)), (-1 if internal else 1)
    depth, left = part * diameter / slope, stock * diameter
    assume(not (internal is False and depth * slope * 2 >= 0.95 * diameter))
    assume(internal or (left + depth) * slope * 2 < 0.95 * diameter)
    cone = Cone.from_gauge_plane(Angle.from_degrees(turn), diameter, depth, internal=internal)
    far = 10 * (depth + left + diameter)
    wall = LineString([(z, diameter / 2 + side * (z - depth) * slope) for z in (-far, far)])

    def seen(z):
        return 2 * wall.intersection(LineString([(z, -1e6), (z, 1e6)])).y

    assert cone.face_diameter == pytest.approx(seen(0.0), rel=1e-6)
    assert cone.diameter_at(depth) == pytest.approx(diameter)
    assert cone.depth_of(diameter) == pytest.approx(depth, abs=1e-9 * diameter)
    # With stock left on, the face to come lies deeper: a bore shows more than it will have.
    now = cone.face_diameter + face_diameter_change(cone, faced_off=-left)
    assert now == pytest.approx(seen(-left), rel=1e-6)
    assert (now > cone.face_diameter) is internal


@pytest.mark.parametrize(("plug", "end"), [("41°05′", "small end"), ("42°30′", "large end")])
def test_a_plug_of_another_angle_touches_in_one_edge_and_gapes_at_the_other(plug, end):
    """The plug is pushed in until shapely finds it in metal; then looked where it touches."""
    seat, angle = SEAT.walls[1], Angle.parse(plug)
    slope = math.tan(angle.radians)
    bore = void(SEAT, stock=0.0)

    def wall_at(face: float) -> Polygon:
        return Polygon([(0, 0), (0, face / 2), (face / 2 / slope, 0)])

    low, high = 0.5, 3.0
    for _ in range(60):
        middle = (low + high) / 2
        inside = wall_at(middle).difference(bore).area < 1e-16
        low, high = (middle, high) if inside else (low, middle)
    touched = SEAT.touches_at(angle)
    assert touched == (seat.upper if end == "large end" else seat.lower)
    assert low == pytest.approx(touched.diameter + 2 * touched.depth * slope, abs=1e-7)
    fit = seat_and_plug(seat, angle)
    assert fit.contact == end
    other = seat.lower if end == "large end" else seat.upper
    line = LineString([(0, low / 2), (low / 2 / slope, 0)])
    gap = line.distance(LineString([(other.depth, other.diameter / 2)] * 2))
    assert fit.gap == pytest.approx(gap, rel=1e-4)
    assert fit.gap > 1e-4


def test_a_plug_of_the_same_angle_sits_all_along():
    assert seat_and_plug(SEAT.walls[1], ANGLES[1]).contact == "both ends"


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: walls_meet(SEAT.cones[0], SEAT.cones[0]), "side by side"),
        (lambda: walls_meet(Cone(ANGLES[0], 1.0), Cone(ANGLES[1], 2.0, None, False)), "external"),
        (lambda: seat_width(ANGLES[1], 1.1, 1.2), "small one must be less"),
        (lambda: SeveralCones(SEAT.cones[::-1], 0.5), "largest half angle first"),
        (lambda: SeveralCones.from_edges(ANGLES, (1.3, 1.2, 1.1)), "one diameter more"),
        (lambda: SeveralCones.from_edges(ANGLES, (1.3, 1.2, 1.25, 1.0)), "more than the face"),
        (lambda: SEAT.after_cut(3, 0.01), "from 0 to 2"),
        (lambda: SEAT.after_cut(1, 0.2).order_of_cuts(1), "takes nothing off"),
        (lambda: Cone.from_gauge_plane(ANGLES[0], 1.0, 5.0, internal=False), "comes to a point"),
        (lambda: Cone.from_gauge_plane(ANGLES[0], 1.0, -0.1), "zero or more"),
    ],
)
def test_what_makes_no_such_bore_is_refused_in_words(call, words):
    with pytest.raises(ValueError, match=words):
        call()


def test_a_wall_is_looked_at_before_it_is_used():
    with pytest.raises((ValueError, TypeError)):
        Wall("41°", SEAT.edges[0], SEAT.edges[1])
