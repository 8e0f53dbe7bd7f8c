"""Lesson 02: equal and supplementary angles as drawn, and the figure's turn into the lathe."""

from __future__ import annotations

import math
from itertools import product

import numpy as np
import pytest
from label_checks import assert_labels_are_clear
from reference import check_value
from shapely.geometry import LineString, Point, Polygon

from tapertrig import Angle, panels
from tapertrig.draw.parallel_lines import (
    NUMBERS,
    PAIRS,
    crossings,
    place_in_wedge,
    placed,
    wedges,
)
from tapertrig.panels.parallel_lines_panel import EXTERNAL, INTERNAL

PARALLEL, SQUARE = "parallel to bed", "square to bed"
CONES = (INTERNAL, EXTERNAL)


def rows(panel) -> dict[str, str]:
    return {name: value for name, value, _mark in panel.board.words["rows"]}


def line_of(artist) -> LineString:
    return LineString(np.column_stack(artist.get_data()))


def direction(line: LineString) -> float:
    (x0, y0), (x1, y1) = line.coords[0], line.coords[-1]
    return math.degrees(math.atan2(y1 - y0, x1 - x0))


def measured_angles(panel) -> dict[int, float]:
    """Each marked angle in degrees, measured between the drawn lines round the drawn crossings.

    Of the four directions that leave a crossing, the one to the right along the parallel is
    first; the angles are numbered anticlockwise from it, upper crossing first.
    """
    scene = panel.picture().scene
    across = line_of(scene.across)
    found = {}
    for first, parallel in ((1, line_of(scene.upper)), (5, line_of(scene.lower))):
        crossing = parallel.intersection(across)
        assert isinstance(crossing, Point)
        right = direction(parallel)
        rays = [right, right + 180, direction(across), direction(across) + 180]
        around = sorted((ray - right) % 360 for ray in rays)
        turns = np.diff([*around, 360])
        found |= {first + place: float(turn) for place, turn in enumerate(turns)}
    return found


@pytest.mark.parametrize("cone", CONES)
@pytest.mark.parametrize("turn", [0.0, 0.3, 0.5, 0.8, 1.0])
@pytest.mark.parametrize("angle", ["20°", "31°20′", "45°", "60°59′", "75°"])
def test_corresponding_alternate_and_vertical_angles_stay_equal(angle, turn, cone):
    """Euclid, Elements I.15 and I.29, on the lines as drawn."""
    panel = panels.parallel_lines(angle=angle, turn=turn, cone=cone)
    size, found = Angle.parse(angle).degrees, measured_angles(panel)
    for one in NUMBERS:
        assert found[one] == pytest.approx(panel.last_state.size(one).degrees, abs=1e-9)
    for one in range(1, 5):
        assert found[one] == pytest.approx(found[one + 4], abs=1e-9), "corresponding"
    for one, other in ((1, 3), (2, 4), (5, 7), (6, 8)):
        assert found[one] == pytest.approx(found[other], abs=1e-9), "vertical"
    for one, other in ((3, 5), (4, 6)):
        assert found[one] == pytest.approx(found[other], abs=1e-9), "alternate"
    for one, other in ((1, 2), (3, 4), (5, 6), (4, 5), (3, 6)):
        assert found[one] + found[other] == pytest.approx(180, abs=1e-9)
    assert sorted(found.values())[:4] == pytest.approx([size] * 4, abs=1e-9)


@pytest.mark.parametrize("cone", CONES)
@pytest.mark.parametrize("turn", [0.0, 0.6, 1.0])
def test_equal_angles_carry_the_same_letter_and_the_same_arc(turn, cone):
    panel = panels.parallel_lines(turn=turn, cone=cone)
    scene, found = panel.picture().scene, measured_angles(panel)
    for number, mark in zip(NUMBERS, scene.marks, strict=True):
        is_acute = found[number] < 90
        assert mark.label.text == f"{'a' if is_acute else 'b'}{number}"
        corner, start, end = wedges(panel.last_state)[number - 1]
        bisector = np.array([math.cos((start + end) / 2), math.sin((start + end) / 2)])
        arc = line_of_arcs(scene.acute_arcs if is_acute else scene.obtuse_arcs)
        ray = LineString([corner, corner + 1.2 * bisector])
        assert len(arcs_met(arc, ray)) == (1 if is_acute else 2)


def line_of_arcs(artist) -> list[LineString]:
    points = np.column_stack(artist.get_data())
    gaps = np.flatnonzero(np.isnan(points[:, 0]))
    pieces = np.split(points, gaps)
    return [LineString(p[~np.isnan(p[:, 0])]) for p in pieces if (~np.isnan(p[:, 0])).sum() > 1]


def arcs_met(arcs: list[LineString], ray: LineString) -> list[LineString]:
    return [arc for arc in arcs if arc.intersects(ray)]


@pytest.mark.parametrize("cone", CONES)
@pytest.mark.parametrize("turn", [0.0, 0.5, 1.0])
@pytest.mark.parametrize("angle", ["20°", "47°18′", "61°", "75°"])
@pytest.mark.parametrize("style", ["desk", "projector"])
def test_each_letter_stands_inside_its_angle(style, angle, turn, cone):
    """And none is left out for the lathe that stands there."""
    panel = panels.parallel_lines(angle=angle, turn=turn, cone=cone, style=style)
    scene = panel.picture().scene
    for number, mark in zip(NUMBERS, scene.marks, strict=True):
        assert mark.label.shown, number
        corner, start, end = wedges(panel.last_state)[number - 1]
        sides = np.array([[math.cos(t), math.sin(t)] for t in (start, end)]) * 6
        inside = Polygon([corner, corner + sides[0], corner + sides.sum(axis=0), corner + sides[1]])
        left, bottom, right, top = np.array(mark.label.box) / scene.pixels_per_unit
        assert inside.contains(
            Polygon([(left, bottom), (right, bottom), (right, top), (left, top)])
        )


def test_a_box_in_a_wedge_touches_neither_side_nor_the_arc():
    for start, width in product(np.linspace(0, 6, 9), np.radians([20, 75, 105, 160])):
        corner, size = np.array([8.0, 4.0]), (0.55, 0.48)
        middle = place_in_wedge(corner, start, start + width, size, 0.7, 0.05)
        text = Polygon(middle + np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]) * size / 2)
        for side in (start, start + width):
            ray = LineString([corner, corner + 9 * np.array([math.cos(side), math.sin(side)])])
            assert text.distance(ray) >= 0.0499
        assert text.distance(Point(corner)) >= 0.7


@pytest.mark.parametrize("style", ["desk", "projector"])
@pytest.mark.parametrize("cone", CONES)
@pytest.mark.parametrize("zero", [PARALLEL, SQUARE])
@pytest.mark.parametrize("hide", [False, True])
def test_labels_are_clear_over_both_sliders(hide, zero, cone, style):
    panel = panels.parallel_lines(style=style, cone=cone, base_zero=zero, hide_answers=hide)
    for turn in (0.0, 0.3, 0.6, 0.95, 1.0):
        for angle in (20.0, 24 + 1 / 60, 31.505, 45.0, 52.0, 68.0, 75.0):
            panel.set(turn=turn, angle=angle)
            assert_labels_are_clear(panel, (angle, turn))


@pytest.mark.parametrize("cone", CONES)
def test_the_figure_turns_into_the_plan_view_without_changing_shape(cone):
    panel = panels.parallel_lines(cone=cone)
    before = crossings(panel.last_state)
    lean = []
    for turn in (0.0, 0.25, 0.5, 0.75, 1.0):
        panel.controls["turn"].value = turn
        upper, lower = line_of(panel.picture().scene.upper), line_of(panel.picture().scene.lower)
        assert direction(upper) == pytest.approx(direction(lower), abs=1e-9)
        lean.append(abs(direction(upper)))
        drawn = placed(panel.last_state, before)
        apart = np.linalg.norm(drawn[1] - drawn[0])
        assert apart == pytest.approx(np.linalg.norm(before[1] - before[0]))
    assert lean == sorted(lean, reverse=True)
    assert lean[-1] == pytest.approx(0, abs=1e-9), "the spindle axis is level on the lathe"


@pytest.mark.parametrize("cone", CONES)
@pytest.mark.parametrize("angle", ["20°", "33°", "58°", "75°"])
def test_on_the_lathe_wall_slide_and_line_are_parallel(angle, cone):
    panel = panels.parallel_lines(angle=angle, turn=1.0, cone=cone)
    scene, alpha = panel.picture().scene, Angle.parse(angle).degrees
    slope = math.tan(math.radians(alpha)) * (-1 if cone == INTERNAL else 1)
    corners = scene.compound_body.slide.get_xy()
    for along in (
        np.diff(np.column_stack(scene.across.get_data()), axis=0)[0],
        np.diff(np.column_stack(scene.cone_wall.get_data()), axis=0)[0],
        corners[1] - corners[0],
        np.diff(np.column_stack(scene.base_slide.get_data()), axis=0)[0],
    ):
        assert along[1] / along[0] == pytest.approx(slope, rel=1e-9)


def test_internal_and_external_cones_swing_opposite_ways():
    """Headstock left, operator below: where the slide's headstock end lies, and its crank."""
    for cone, said, above in ((INTERNAL, "away from you", True), (EXTERNAL, "towards you", False)):
        panel = panels.parallel_lines(turn=1.0, cone=cone)
        assert rows(panel)["Headstock end swings"] == said
        scene = panel.picture().scene
        crank = scene.compound_body.crank.pieces[0].get_xy().mean(axis=0)
        middle = scene.compound_body.slide.get_xy()[:4].mean(axis=0)
        assert crank[0] > middle[0], "the crank is at the tailstock end"
        assert (crank[1] < middle[1]) == above
        wall = np.column_stack(scene.cone_wall.get_data())
        face, inside = wall[np.argmax(wall[:, 0])], wall[np.argmin(wall[:, 0])]
        axis = scene.upper.get_ydata()[0]
        wider_at_face = abs(face[1] - axis) > abs(inside[1] - axis)
        assert wider_at_face == above, "internal: large end at the face; external: small end"
        assert face[1] < axis, "the wall marked is the one on the operator's side"


def test_the_indicator_bears_on_the_quill_side_where_the_line_crosses_it():
    for cone in CONES:
        panel = panels.parallel_lines(turn=1.0, cone=cone, angle="40°")
        scene = panel.picture().scene
        stem = np.column_stack(scene.compound_body.stem.get_data())
        assert stem[0][0] == pytest.approx(stem[1][0]), "the stem is not square to the quill"
        tip = np.array([scene.compound_body.point.get_xdata()[0], scene.lower.get_ydata()[0]])
        assert scene.compound_body.point.get_ydata()[0] == pytest.approx(tip[1])
        assert line_of(scene.across).distance(Point(tip)) < 1e-9
        assert scene.quill.get_xy()[:, 1].min() == pytest.approx(tip[1])
        assert scene.upper.get_ydata()[0] == pytest.approx(
            scene.quill.get_xy()[:, 1].mean(), abs=0.5
        )


@pytest.mark.parametrize("cone", CONES)
@pytest.mark.parametrize("zero", [PARALLEL, SQUARE])
@pytest.mark.parametrize("angle", ["20°", "31°20′", "75°"])
def test_base_drawn_and_told(angle, zero, cone):
    panel = panels.parallel_lines(angle=angle, turn=1.0, base_zero=zero, cone=cone)
    scene, alpha = panel.picture().scene, Angle.parse(angle)
    wanted = alpha if zero == PARALLEL else Angle.from_degrees(90) - alpha
    arc = np.column_stack(scene.base_arc.get_data())
    centre = np.column_stack(scene.base_slide.get_data()).mean(axis=0)
    first, last = arc[0] - centre, arc[-1] - centre
    swept = math.degrees(math.acos(first @ last / np.linalg.norm(first) / np.linalg.norm(last)))
    assert swept == pytest.approx(wanted.degrees, abs=1e-7)
    zero_line = np.diff(np.column_stack(scene.base_zero.get_data()), axis=0)[0]
    assert zero_line[1 if zero == PARALLEL else 0] == pytest.approx(0, abs=1e-9)
    letter = "a" if zero == PARALLEL else "c"
    texts = [label.text for label in scene.labels if label.get_visible()]
    assert f"{letter}9 = {wanted.brief()}" in texts
    assert rows(panel)["Base reads"].split()[0] == wanted.brief()


def test_square_zero_by_the_book():
    """Turning and Boring (1914): 30° to the axis is set as 60° on a base zeroed square."""
    row = check_value("boring1914-30axis")
    panel = panels.parallel_lines(
        angle=str(row["given"]["angle_with_axis_deg"]), turn=1.0, base_zero=SQUARE
    )
    assert rows(panel)["Base reads"] == f"{row['expected']['scale_deg']}°00′ = 90° − a"


@pytest.mark.parametrize("cone", CONES)
@pytest.mark.parametrize("pair", [pair for pair, places in PAIRS.items() if places])
def test_the_pair_looked_at_is_such_a_pair(pair, cone):
    panel = panels.parallel_lines(pair=pair, cone=cone)
    scene, found = panel.picture().scene, measured_angles(panel)
    one, other = panel.last_state.looked_at
    told = rows(panel)["Looked at"]
    assert told.startswith(f"{one} and {other} are ")
    upper = [number for number in (one, other) if number <= 4]
    between = {3, 4, 5, 6}
    if pair == "vertical angles":
        assert len(upper) in (0, 2)
        assert abs(one - other) == 2
    elif pair == "corresponding angles":
        assert other - one == 4
    elif pair == "alternate angles":
        assert {one, other} in ({3, 5}, {4, 6})
        assert {one, other} <= between
    if pair == "angles that make 180°":
        assert found[one] + found[other] == pytest.approx(180)
        assert told.endswith("together 180°")
    else:
        assert found[one] == pytest.approx(found[other])
        assert told.endswith("equal")
    for area, number in zip(scene.looked_at, (one, other), strict=True):
        corner, start, end = wedges(panel.last_state)[number - 1]
        middle = corner + 0.9 * np.array([math.cos((start + end) / 2), math.sin((start + end) / 2)])
        assert area.get_visible()
        assert Polygon(area.get_xy()).contains(Point(middle))


def test_hidden_answers_leave_numbers_only():
    panel = panels.parallel_lines(turn=1.0, hide_answers=True, base_zero=SQUARE, angle="31°20′")
    scene = panel.picture().scene
    assert [mark.label.text for mark in scene.marks] == [str(number) for number in NUMBERS]
    assert scene.base_mark.label.text == "9"
    texts = " ".join(label.text for label in scene.labels if label.get_visible())
    assert "which is the half angle?" in texts
    words = str(panel.board.words)
    for told in ("58°40′", "2, 4, 6, 8", "148°40′", "away from you"):
        assert told not in words
        assert told not in texts
    panel.answers_switch.value = False
    assert rows(panel)["Half angle"] == "marks 2, 4, 6, 8"


@pytest.mark.parametrize("turn", [0.0, 1.0])
def test_with_answers_hidden_no_arc_and_no_slide_gives_them_away(turn):
    """All eight arcs alike; the slide along the bed, and nothing on the base but its zero."""
    for cone in CONES:
        panel = panels.parallel_lines(turn=turn, hide_answers=True, cone=cone, angle="40°")
        scene = panel.picture().scene
        arcs = np.column_stack(scene.acute_arcs.get_data())
        corners = {tuple(corner) for corner, _start, _end in wedges(panel.last_state)}
        away = [min(math.dist(at, c) for c in corners) for at in arcs[np.isfinite(arcs[:, 0])]]
        assert len(away) > 8 * 8
        assert np.ptp(away) < 1e-9
        assert not np.isfinite(scene.obtuse_arcs.get_xdata()).any()
        assert not scene.base_slide.get_visible()
        assert not scene.base_arc.get_visible()
        corners = scene.compound_body.slide.get_xy()
        level = np.diff(np.column_stack(scene.upper.get_data()), axis=0)[0]
        along = corners[1] - corners[0]
        assert along[1] / along[0] == pytest.approx(level[1] / level[0], abs=1e-9)
        if turn:
            nine = next(label for label in scene.labels if label.text == "9")
            zero = scene.base_zero.get_data()
            middle = (nine.left + nine.width / 2) / scene.pixels_per_unit
            assert middle == pytest.approx(zero[0][0], abs=0.3), "it leans one way"


@pytest.mark.parametrize("cone", CONES)
@pytest.mark.parametrize("zero", [PARALLEL, SQUARE])
def test_the_marks_told_are_those_as_large_as_the_half_angle(zero, cone):
    """Only on a base whose zero is parallel to the bed is the base's own angle one of them."""
    panel = panels.parallel_lines(turn=1.0, base_zero=zero, cone=cone, angle="31°20′")
    drawn = measured_angles(panel) | {9: panel.last_state.base_reading.degrees}
    wanted = [number for number, size in drawn.items() if abs(size - 31 - 20 / 60) < 1e-9]
    assert rows(panel)["Half angle"] == "marks " + ", ".join(map(str, wanted))
    assert (9 in wanted) == (zero == PARALLEL)


def test_the_bare_figure_speaks_of_no_lathe():
    panel = panels.parallel_lines()
    assert "Base reads" not in rows(panel)
    scene = panel.picture().scene
    for artist in scene.machine:
        assert not artist.get_visible()
    panel.controls["turn"].value = 0.6
    assert scene.quill.get_visible()
    assert "Base reads" in rows(panel)


def test_an_angle_past_the_picture_is_told_beside_its_control():
    panel = panels.parallel_lines(unit="mm")
    frame = panel.board.marks
    panel.controls["angle"].enter("8")
    assert "must lie between 20°00′ and 75°00′" in panel.controls["angle"].message
    assert panel.board.marks == frame
