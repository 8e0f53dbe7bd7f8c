"""Panels of lesson 06: drawn walls, dial and cuts, the hyperboloid, the sweep and its distances."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from label_checks import assert_labels_are_clear
from scipy.optimize import least_squares
from shapely import Polygon
from shapely.ops import nearest_points as by_shapely

from tapertrig import panels
from tapertrig.demo import LATHES
from tapertrig.draw.opening_the_face import (
    CARRIAGE,
    COMPOUND,
    CORNER_X,
    CROSS,
    FACING,
    MEANS,
    UNITS_PER,
    corners,
)
from tapertrig.draw.parts.magnified import signed_arc_text
from tapertrig.draw.sweep_clearance import nearest_points, on_board
from tapertrig.draw.tool_height import VIEW_X, VIEW_Y, bow, profiles, tool_point
from tapertrig.job import Callout, Job
from tapertrig.panels.sweep_clearance_panel import EXTERNAL, INTERNAL

UNITS, STYLES = ("in", "mm"), ("desk", "projector")


def rows(panel) -> dict[str, str]:
    return {name: value for name, value, _mark in panel.board.words["rows"]}


def slope_angle(line) -> float:
    """Angle of a drawn two-point line to the axis, radians."""
    x, y = (np.asarray(part, float) for part in line.get_data())
    return math.atan2(abs(y[1] - y[0]), abs(x[1] - x[0]))


# -- opening the face --------------------------------------------------------------------------


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("means", MEANS)
def test_the_drawn_corner_is_where_the_words_say(unit, style, means):
    panel = panels.opening_the_face(unit=unit, style=style, means=means)
    state, scene = panel.last_state, panel.picture().scene
    alpha = state.cone.half_angle.radians
    for line in (scene.before, scene.after):
        assert slope_angle(line) == pytest.approx(alpha)
    old, new = corners(state)
    grown = 2 * (old[1] - new[1]) / UNITS_PER[unit]
    # Plane geometry, each means by its own rule.
    rule = {
        CROSS: 2 * state.movement,
        CARRIAGE: 2 * state.movement * math.tan(alpha),
        COMPOUND: 0.0,
        FACING: -2 * state.movement * math.tan(alpha),
    }[means]
    assert grown == pytest.approx(rule, abs=1e-12)
    places = 4 if unit == "in" else 3
    assert rows(panel)["Face diameter after the cut"] == (
        f"{state.measured + rule:.{places}f} {unit}"
    )
    assert (new[0] < CORNER_X) == (means == FACING)


@pytest.mark.parametrize("means", [CROSS, CARRIAGE])
def test_the_two_sides_between_old_and_new_wall_make_the_half_angle(means):
    panel = panels.opening_the_face(means=means, half_angle="35°")
    scene = panel.picture().scene
    side = np.ptp(np.asarray(scene.cross.get_ydata()))
    along = np.ptp(np.asarray(scene.axial.get_xdata()))
    assert math.atan2(side, along) == pytest.approx(math.radians(35))


def test_feeding_the_compound_changes_nothing_but_the_tool():
    panel = panels.opening_the_face(means=COMPOUND, movement=0.0)
    scene = panel.picture().scene
    wall, tool = np.array(scene.after.get_data()), scene.tool.get_xy()[0]
    panel.controls["movement"].value = 0.1
    assert np.allclose(scene.after.get_data(), wall)
    moved = scene.tool.get_xy()[0] - tool
    assert np.linalg.norm(moved) == pytest.approx(0.1 * UNITS_PER["in"])
    assert math.atan2(moved[1], -moved[0]) == pytest.approx(math.radians(20 + 43 / 60))
    assert rows(panel)["Change"] == "+0.0000 in"


def test_hand_worked_opening():
    """45°, tan 45° = 1: carriage 0.010 opens by 0.020, facing off 0.010 closes by 0.020."""
    panel = panels.opening_the_face(half_angle="45°", measured=1.3, movement=0.010)
    for means, told in ((CROSS, "1.3200 in"), (CARRIAGE, "1.3200 in"), (FACING, "1.2800 in")):
        panel.controls["means"].value = means
        assert rows(panel)["Face diameter after the cut"] == told


def test_next_cut_goes_through_the_plan_to_size_and_then_says_so():
    panel = panels.opening_the_face()
    plan = [cut for cut in panel.last_state.cuts if cut.kind != "spring pass"]
    button = panel.presses.children[0]
    for cut in plan:
        # A first cut is ahead whatever slide was moved before.
        if cut is plan[0]:
            panel.set(means=CARRIAGE, movement=0.0)
        button.click()
        assert panel.board.notice == ""
        state = panel.last_state
        assert state.means == CROSS
        assert state.diameter == pytest.approx(cut.face_diameter, abs=1e-9)
        dial = float(state.lathe.cross_dial.reading(state.movement))
        assert dial == pytest.approx(cut.cross_reading)
        assert f"{dial:.4f} in" in panel.board.news
    assert panel.last_state.left == 0
    button.click()
    assert "every cut of this plan is taken" in panel.board.notice


@pytest.mark.parametrize("unit", UNITS)
def test_the_ladder_has_a_mark_for_each_cut(unit):
    panel = panels.opening_the_face(unit=unit)
    kinds = [cut.kind for cut in panel.last_state.cuts]
    scene = panel.picture().scene
    for line, kind in ((scene.roughing, "roughing"), (scene.finishing, "finishing")):
        assert len(np.asarray(line.get_xdata())) == 3 * kinds.count(kind)
    assert sum(name.startswith("Cut ") for name in rows(panel)) == len(kinds)


def test_a_millimetre_job_is_cut_in_round_millimetres():
    lathe = next(one for one in LATHES.values() if one.unit == "mm")
    asked = Callout(
        "half angle", "17°26′", 31.4, "mm", diameter_plus=0.05, diameter_minus=0.01, length=14.0
    )
    panel = panels.opening_the_face()  # begins in inches
    panel.set(roughing_cut=0.04)
    panel.take(Job(asked, lathe))
    assert panel.unit == "mm"
    assert panel.roughing_cut.value == pytest.approx(0.04 * 25.4)  # as typed, ISO 80000-3
    assert panel.finish_allowance.value == 0.8
    panel.take(
        Job(replace(asked, unit="in", face_diameter=1.2, length=None), next(iter(LATHES.values())))
    )
    assert panel.finish_allowance.value == 0.03


def test_too_large_is_warned_of():
    panel = panels.opening_the_face(movement=0.08)
    marks = {name: mark for name, _value, mark in panel.board.words["rows"]}
    assert marks["Mind"] == "warning"
    assert "Too large by 0.0405 in" in rows(panel)["Mind"]


def test_nothing_left_to_take_is_no_fault():
    panel = panels.opening_the_face(measured=1.4195, movement=0.0)
    assert panel.last_state.cuts == ()
    assert panel.picture().scene.left_words.label.text == "at size"


def test_a_movement_that_leaves_the_picture_is_refused_beside_its_control():
    panel = panels.opening_the_face(half_angle="75°", means=CARRIAGE)
    before = panel.board.marks
    panel.controls["movement"].value = 0.15
    assert "more than the picture holds" in panel.controls["movement"].message
    assert panel.board.marks == before
    panel.controls["movement"].value = 0.02
    assert panel.controls["movement"].message == ""


# -- tool height -------------------------------------------------------------------------------


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("kind", ["internal", "external"])
@pytest.mark.parametrize("right_at", ["face", "far end"])
def test_the_drawn_wall_is_the_hyperboloid_magnified(unit, style, kind, right_at):
    panel = panels.tool_height(unit=unit, style=style, kind=kind, right_at=right_at)
    state = panel.last_state
    cone, e = state.cone, state.height_error
    wanted, cut, fitted = profiles(state)
    rise = np.diff(wanted[[0, -1]], axis=0)[0]
    assert math.atan2(abs(rise[1]), abs(rise[0])) == pytest.approx(cone.half_angle.radians)
    # r = √(ρ² + e²) along a straight path, right at one end: written out here once more.
    depth = np.linspace(0, cone.length, len(cut))
    true = cone.face_diameter / 2 + (-1 if cone.internal else 1) * depth * math.tan(
        cone.half_angle.radians
    )
    sized = 0 if right_at == "face" else -1
    path = math.sqrt(true[sized] ** 2 - e**2) + true - true[sized]
    out = np.hypot(path, e) - true
    drawn = (cut - wanted)[:, 1] / state.scale / state.magnification
    assert drawn == pytest.approx(out, abs=1e-12)
    # General library: scipy. The drawn fit is the straight line of least squares to the wall.
    slope, start = least_squares(
        lambda v: (np.hypot(path, e) - v[0] * depth - v[1]) / math.sqrt(1 + v[0] ** 2),
        [0.1, 1.0],
        xtol=1e-15,
        ftol=1e-15,
        gtol=1e-15,
    ).x
    fit = (fitted - wanted)[:, 1] / state.scale / state.magnification + true
    assert fit == pytest.approx(slope * depth + start, abs=2e-7 * cone.face_diameter)
    beside = bow(state)[:, 1] - bow(state)[:, 1].mean()
    assert np.ptp(beside) / state.scale / state.bow_magnification == pytest.approx(
        state.effect.straightness
    )
    assert beside[len(beside) // 2] < min(beside[0], beside[-1]), "the middle lies nearer the axis"


@pytest.mark.parametrize("error", [-0.1, -0.03, 0.03, 0.1])
def test_the_tool_point_lies_on_the_bore_at_its_height(error):
    panel = panels.tool_height(height_error=error)
    x, y = tool_point(panel.last_state) - [VIEW_X, VIEW_Y]
    k = math.hypot(x, y) / (panel.last_state.cone.face_diameter / 2)
    assert y / k == pytest.approx(error)
    assert x < 0, "a boring tool cuts on the operator's side"
    above = "above" if error > 0 else "below"
    assert panel.picture().scene.height_words.label.text.endswith(above)


def test_above_and_below_spoil_alike():
    above = rows(panels.tool_height(height_error=0.05))
    below = rows(panels.tool_height(height_error=-0.05))
    assert above == below


@pytest.mark.parametrize("unit", UNITS)
def test_at_centre_height_the_wall_is_a_true_cone(unit):
    panel = panels.tool_height(unit=unit, height_error=0.0)
    wanted, cut, _ = profiles(panel.last_state)
    assert np.allclose(cut, wanted)
    assert "true cone" in panel.board.words["sentence"]
    assert not panel.picture().scene.bow.get_visible()


def test_the_smallest_error_is_told_in_full_on_a_phone_too():
    panel = panels.tool_height(half_angle="2°", height_error=-0.0005)
    panel.board.room = "narrow"
    scene = panel.picture().scene
    assert not [wish.label.text for wish in scene.wishes if wish.label.dropped]
    assert_labels_are_clear(panel, "narrow")


def test_a_tool_that_cannot_reach_is_refused_beside_its_control():
    panel = panels.tool_height(half_angle="60°", length=0.4)
    before = panel.board.marks
    panel.controls["height_error"].value = 0.15
    panel.controls["face_diameter"].value = panel.controls["face_diameter"].minimum
    assert panel.controls["face_diameter"].message
    assert panel.board.stale
    assert panel.board.marks != before, "the last good picture is the one before the last move"


# -- sweep -------------------------------------------------------------------------------------


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("kind", [INTERNAL, EXTERNAL])
@pytest.mark.parametrize("half_angle", ["1°", "20°43′", "60°", "89°"])
def test_the_swept_outline_and_its_distances_by_shapely(unit, style, kind, half_angle):
    panel = panels.sweep_clearance(unit=unit, style=style, kind=kind, half_angle=half_angle)
    state, scene = panel.last_state, panel.picture().scene
    k = {"in": 0.56, "mm": 0.56 / 25.4}[unit]
    covered = Polygon(scene.covered.get_xy())
    # General library: shapely, on the drawn outlines themselves.
    for shape, distance in (
        (scene.chuck, state.sweep.to_chuck),
        (scene.quill, state.sweep.to_quill),
    ):
        apart = covered.distance(Polygon(shape.get_xy())) / k
        assert apart == pytest.approx(max(distance, 0.0), abs=1e-9)
    along = covered.length / 2 / k - state.layout.slide_width
    assert along == pytest.approx(state.layout.slide_length + state.compound_travel)
    nose, tail = np.array(scene.centre.get_data()).T
    assert math.atan2(abs(nose[1] - tail[1]), tail[0] - nose[0]) == pytest.approx(
        state.half_angle.radians
    )
    # The headstock end swings away from the operator, up the picture, for an internal cone.
    assert (nose[1] > tail[1]) == (kind == INTERNAL)


@pytest.mark.parametrize("seed", range(20))
def test_nearest_points_by_shapely(seed):
    random = np.random.default_rng(seed)

    def box(x: float) -> np.ndarray:
        turn, half = random.uniform(0, np.pi), random.uniform(0.3, 1.5, 2)
        corners = np.array([[1, 1], [-1, 1], [-1, -1], [1, -1]]) * half
        rotation = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
        return corners @ rotation + [x, random.uniform(-1, 1)]

    one, other = box(0.0), box(6.0)
    pair = nearest_points(one, other)
    expected = Polygon(one).distance(Polygon(other))
    assert np.linalg.norm(pair[0] - pair[1]) == pytest.approx(expected)
    by = by_shapely(Polygon(one), Polygon(other))
    assert pair == pytest.approx(np.array([point.coords[0] for point in by]))


def test_operator_is_down_and_headstock_left():
    (x, y), (far_x, near_y) = on_board(np.array([[0.0, 0.0], [1.0, 1.0]]), "in")
    assert far_x > x
    assert near_y < y


@pytest.mark.parametrize(
    ("moved", "verdict"),
    [
        ({}, "clears in this drawing"),
        ({"pivot_axial": 4.0, "pivot_cross": 3.0}, "it strikes"),
        ({"half_angle": "60°"}, "too close"),
    ],
)
def test_verdict_warning_and_caution(moved, verdict):
    panel = panels.sweep_clearance(**moved)
    told = rows(panel)
    assert told["Verdict"] == verdict
    assert ("Do not run it" in told) == (verdict != "clears in this drawing")
    assert panel.picture().scene.verdict_words.label.text == verdict
    assert "by hand" in told["By hand, power off"]
    if verdict == "it strikes":
        assert "overlaps by" in told["Least distance to the chuck"]


def test_the_caution_stays_when_answers_are_hidden():
    panel = panels.sweep_clearance(hide_answers=True)
    assert "isolate the spindle" in rows(panel)["By hand, power off"]
    scene = panel.picture().scene
    assert not scene.to_chuck.get_visible()
    assert np.allclose(scene.covered.get_xy(), scene.slide.get_xy())


def test_a_wrong_length_is_refused_beside_its_control():
    panel = panels.sweep_clearance()
    before = panel.board.marks
    panel.controls["quill_end"].enter("-1")
    assert "must lie between" in panel.controls["quill_end"].message
    assert panel.board.marks == before


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("style", STYLES)
def test_labels_are_clear_in_other_states_too(unit, style):
    inch = 1 if unit == "in" else 25
    panel = panels.opening_the_face(unit=unit, style=style)
    for means, half_angle, movement in product(MEANS, ("2°", "45°", "61°"), (0.0, 0.05, 0.15)):
        panel.set(means=means, half_angle=half_angle, movement=movement * inch)
        assert_labels_are_clear(panel, (means, half_angle, movement))
    panel = panels.tool_height(unit=unit, style=style)
    for error, half_angle, right_at in product(
        (-0.15, 0.0, 0.02), ("2°", "45°"), ("face", "far end")
    ):
        panel.set(height_error=error * inch, half_angle=half_angle, right_at=right_at)
        assert_labels_are_clear(panel, (error, half_angle, right_at))
    panel = panels.sweep_clearance(unit=unit, style=style)
    for half_angle, kind, axial, cross in product(
        ("2°", "45°", "88°"), (INTERNAL, EXTERNAL), (3.5, 9.0), (2.5, 6.0)
    ):
        panel.set(
            half_angle=half_angle, kind=kind, pivot_axial=axial * inch, pivot_cross=cross * inch
        )
        assert_labels_are_clear(panel, (half_angle, kind, axial, cross))


@pytest.mark.parametrize(
    ("make", "told"),
    [
        (lambda **more: panels.sweep_clearance(half_angle="85°", **more), "Do not run it"),
        (lambda **more: panels.opening_the_face(movement=0.12, **more), "Mind"),
    ],
)
def test_no_row_that_gives_the_answer_away_stands_while_answers_are_hidden(make, told):
    def names(**more):
        return [line.partition(":")[0] for line in make(**more).still()[1].splitlines()]

    assert told in names()
    assert told not in names(hide_answers=True)


def test_what_rounds_to_nothing_has_no_minus():
    assert signed_arc_text(-1e-9) == "+0.0″"
    assert signed_arc_text(-1e-5) == "−2.1″"  # 206 265″ in a radian
    panel = panels.angle_effect(angle_error=-1e-6)
    rows = {name: value for name, value, _mark in panel.board.words["rows"]}
    out = next(value for name, value in rows.items() if name.startswith("Diameter out"))
    assert out == "+0.00000 in"
