"""Panels of measuring a broken edge: the ball drawn where it rests, the verdict, the record."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from label_checks import assert_labels_are_clear

from tapertrig import Angle, demo, panels
from tapertrig.decision import CONFORMS, DOES_NOT_CONFORM, NOT_PROVEN
from tapertrig.draw.ball_in_bore import (
    AXIS_X,
    BAR_HALF,
    BAR_MIDDLE,
    FACE_Y,
    ball_circle,
    on_scale,
    units_per,
    wall_corners,
)
from tapertrig.draw.parts.style import STYLE_NAMES
from tapertrig.gauging.inspection import Inspection
from tapertrig.job import Job

UNITS = ("in", "mm")


def rows(panel):
    return {name: value for name, value, _mark in panel.board.words["rows"]}


def through(control):
    return (control.minimum, (control.minimum + control.maximum) / 2, control.maximum)


@pytest.fixture(params=[(u, s) for u in UNITS for s in STYLE_NAMES], ids="-".join)
def panel(request):
    unit, style = request.param
    return panels.ball_in_bore(unit=unit, style=style)


def assert_drawn_as_it_rests(panel):
    """The drawn circle touches the drawn wall, and its top is where the height says."""
    state, scene = panel.last_state, panel.picture().scene
    circle = scene.ball.get_xy()[:-1]
    k = units_per(state)
    radius = k * state.balls[0] / 2
    centre = (circle.max(axis=0) + circle.min(axis=0)) / 2
    assert centre[0] == pytest.approx(AXIS_X)
    assert circle[:, 1].max() == pytest.approx(FACE_Y + k * state.rests[0].height)
    wall = scene.part[0].get_xy()
    inner, end = wall[2], wall[3]
    drawn = math.degrees(math.atan2(inner[0] - end[0], inner[1] - end[1]))
    assert drawn == pytest.approx(state.measured.half_angle.degrees, abs=1e-6)
    if not state.refusal:
        across = np.array([inner[1] - end[1], -(inner[0] - end[0])])
        across /= np.hypot(*across)
        assert abs(across @ (centre - end)) == pytest.approx(radius, abs=1e-6)


def test_each_control_over_its_whole_length_keeps_picture_and_numbers_together(panel):
    for name in ("height", "ball", "edge_break", "floor_depth", "half_angle"):
        control = panel.controls[name]
        start = control.value
        for value in (*through(control), start):
            control.value = value
            assert "fault" not in panel.board.notice
            assert_labels_are_clear(panel, f"{name} = {control.text}")
            if panel.last_state.rests[0].height is not None:
                assert_drawn_as_it_rests(panel)


def test_height_gives_the_face_diameter_of_the_formula(panel):
    """D = d(tan α + 1/cos α) − 2h tan α, the one-ball relation in the trade's own words."""
    alpha = math.radians(20 + 43 / 60)
    control = panel.controls["height"]
    for value in through(control):
        control.value = value
        ball = panel.controls["ball"].value
        wanted = ball * (math.tan(alpha) + 1 / math.cos(alpha)) - 2 * control.value * math.tan(
            alpha
        )
        assert panel.last_state.face.value == pytest.approx(wanted, abs=1e-9)


def test_all_three_verdicts_and_the_pointer_in_their_zones():
    panel = panels.ball_in_bore()
    seen = set()
    control = panel.controls["height"]
    scene = panel.picture().scene
    for step in range(round((control.maximum - control.minimum) / control.step)):
        control.value = control.minimum + step * control.step
        verdict = panel.board.words["rows"][1][1].split(":")[0]
        seen.add(verdict)
        judged = panel.last_state.face.judgement
        y = scene.pointer.get_xy()[0][1]
        low, high = sorted(on_scale(panel.last_state, d) for d in judged.accept)
        if verdict == CONFORMS:
            assert low - 1e-9 <= y <= high + 1e-9
        else:
            assert not low + 1e-9 < y < high - 1e-9
        assert scene.verdict.label.text == verdict.upper()
    assert seen == {CONFORMS, NOT_PROVEN, DOES_NOT_CONFORM}


def test_the_zones_are_drawn_where_the_rule_puts_them(panel):
    state, zones = panel.last_state, panel.picture().scene.zones
    judged = state.face.judgement
    accept = [on_scale(state, end) for end in judged.accept]
    reject = [on_scale(state, end) for end in judged.reject]
    wanted = {
        "doubt": (reject[0], accept[0]),
        "accept": accept,
        "second doubt": (accept[1], reject[1]),
    }
    for name, ends in wanted.items():
        assert zones[name].get_visible()
        drawn = np.unique(zones[name].get_xy()[:, 1])
        assert drawn == pytest.approx(sorted(ends)), name
    panel.answers_switch.value = True
    assert not any(zone.get_visible() for zone in zones.values())


def test_the_tolerance_is_a_band_on_the_height_scale_and_higher_means_smaller(panel):
    state, scene = panel.last_state, panel.picture().scene
    y = np.unique(scene.limit_lines.get_ydata())
    assert y == pytest.approx([BAR_MIDDLE - BAR_HALF / 5, BAR_MIDDLE + BAR_HALF / 5])
    lower, upper = state.limits
    assert on_scale(state, lower) > on_scale(state, upper)
    assert state.height_at(lower) > state.height_at(upper)
    words = scene.height_words[1].label.text
    assert words.startswith("h +")
    assert float(words[2:]) == pytest.approx(state.height_at(lower), abs=5e-4)


@pytest.mark.parametrize(
    ("ball", "break_", "floor", "reason", "on"),
    [
        (0.90, 0.02, None, "drops through", "nothing"),
        (0.98, 0.02, 1.2, "lower edge", "lower edge"),
        (1.50, 0.08, 1.2, "rides on the edge break", "edge break"),
        (1.00, 0.02, 0.8, "touches the bottom", "bottom"),
        (1.5625, 0.0, 1.2, "sits above", "face edge"),
    ],
)
def test_a_ball_that_does_not_measure_is_refused_beside_its_control(
    ball, break_, floor, reason, on
):
    panel = panels.ball_in_bore()
    panel.controls["edge_break"].value = break_
    panel.controls["has_floor"].value = floor is not None
    if floor is not None:
        panel.controls["floor_depth"].value = floor
    panel.controls["ball"].value = ball
    state = panel.last_state
    assert reason in panel.controls["ball"].message
    assert state.rests[0].on == on
    assert state.inspection is None
    assert state.verdict == ""
    assert panel.picture().scene.verdict.label.text == "NOTHING MEASURED"
    assert "Face diameter" not in rows(panel)
    panel.controls["edge_break"].value = 0.02
    panel.controls["floor_depth"].value = 1.2
    panel.controls["ball"].value = 1.25
    assert panel.controls["ball"].message == ""
    assert panel.last_state.verdict == CONFORMS


def test_another_ball_stands_at_another_height_in_the_same_bore():
    panel = panels.ball_in_bore()
    before = panel.last_state.face.value
    panel.controls["from_set"].value = 1.375
    assert panel.controls["ball"].value == 1.375
    assert panel.last_state.face.value == pytest.approx(before, abs=1e-4)
    assert panel.controls["from_set"].value == 1.375
    panel.controls["ball"].value = 1.3333
    assert panel.controls["from_set"].value is None


def test_a_second_ball_measures_the_half_angle_too():
    panel = panels.ball_in_bore(graduation=0.0001)
    panel.controls["second"].value = True
    assert panel.controls["small_height"].layout.display is None
    state = panel.last_state
    assert len(state.rests) == 2
    assert state.measured.half_angle.degrees == pytest.approx(20.7167, abs=0.02)
    assert "Half angle" in rows(panel)
    second = panel.picture().scene.second
    assert second.get_visible()
    assert np.column_stack(second.get_data()) == pytest.approx(ball_circle(state, 1))
    panel.controls["small_height"].value -= 0.002
    assert panel.last_state.measured.half_angle.degrees < 20.7
    panel.controls["small_ball"].value = 1.3
    assert "must be smaller" in panel.controls["small_ball"].message


def test_calipers_across_the_break_read_too_large_by_twice_its_leg():
    """45° break of axial depth p: D + 2p(1 − tan α), plane geometry of the section."""
    panel = panels.ball_in_bore(edge_break=0.05)
    state, scene = panel.last_state, panel.picture().scene
    wanted = state.face.value + 0.1 * (1 - math.tan(state.cone.half_angle.radians))
    assert state.edge.outer == pytest.approx(wanted)
    x = scene.edges.get_xdata()
    assert (x[0] - x[3]) / units_per(state) == pytest.approx(wanted)
    assert wall_corners(state)[1, 0] == pytest.approx(x[0])
    panel.controls["edge_break"].value = 0
    assert not scene.edges.get_visible()


def test_what_would_settle_it_is_told_with_a_verdict_in_reach():
    panel = panels.ball_in_bore(half_angle_limit="0°10′", ball=1.0625)
    assert panel.last_state.verdict == NOT_PROVEN
    button = panel.presses.children[0]
    button.click()
    assert "The ball of 1.4375 in would settle it" in panel.board.news
    panel.controls["from_set"].value = 1.4375
    assert panel.last_state.verdict == CONFORMS
    button.click()
    assert panel.board.news == "There is a verdict: conforms."


def test_simple_acceptance_asks_for_its_ratio():
    panel = panels.ball_in_bore(rule="simple acceptance", graduation=0.0001, ball=1.4375)
    assert panel.last_state.verdict == CONFORMS
    panel.controls["graduation"].value = 0.001
    panel.controls["half_angle_limit"].enter("0°10′")
    assert panel.last_state.verdict == NOT_PROVEN
    assert "the rule asks for 4 times" in rows(panel)["Verdict on face diameter"]


# -- the inspection of a job ---------------------------------------------------------------


@pytest.fixture
def inspection(tmp_path):
    made = panels.inspection()
    made.folder = tmp_path
    return made


def press(panel, label):
    next(button for button in panel.presses.children if button.description == label).click()
    return panel.board.notice


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("style", STYLE_NAMES)
def test_labels_are_clear_for_jobs_of_any_size(unit, style):
    panel = panels.inspection(unit=unit, style=style)
    job = panel.job
    at = 1 if unit == "in" else 25.4
    for value, face, length in (("120°", 3, None), ("90°", 0.4, None), ("3°", 5, 2), ("60°", 1, 1)):
        length = length and length * 0.8 * at
        callout = replace(job.callout, value=value, face_diameter=face * at, length=length)
        panel.take(replace(job, callout=callout))
        assert panel.board.notice == ""
        assert panel.last_state.cone.half_angle == Angle.parse(value).half()
        assert_labels_are_clear(panel, value)


def test_repeats_give_mean_spread_and_degrees_of_freedom(inspection):
    """Mean and s of five readings by hand; t(4, 95 %) = 2.776 (JCGM 100 table G.2)."""
    inspection.controls["readings"].value = "0.510 0.514 0.512 0.516 0.508"
    state = inspection.last_state
    (found,) = state.inspection.repeats()
    assert (found.count, found.degrees_of_freedom) == (5, 4)
    assert found.mean == pytest.approx(0.512)
    assert found.spread == pytest.approx(math.sqrt(1e-5))
    assert "t = 2.7" in rows(inspection)["Face diameter"]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("", "type one reading or more"),
        ("0,5152", "use a point for decimals"),
        ("0.5 nan", "“nan” is no number"),
        ("9.0", "proud at most"),
    ],
)
def test_readings_that_cannot_be_are_answered_and_the_picture_stays(inspection, typed, said):
    frame = inspection.board.frame
    inspection.controls["readings"].value = typed
    assert said in inspection.board.notice
    assert inspection.board.frame == frame
    assert said in press(inspection, "Save into job")
    assert not list(inspection.folder.iterdir())


def test_a_job_is_loaded_measured_saved_and_loaded_again(inspection, tmp_path):
    job = demo.job()
    job.save(tmp_path / "seat.job.json")
    on = inspection.controls
    on["file"].value = "seat"
    assert press(inspection, "Load job") == ""
    assert inspection.job == job
    on["readings"].value = "0.5148 0.5151 0.5150"
    on["limit_of_error"].value = 0.0004
    on["measured_by"].value = "second bench"
    assert press(inspection, "Save into job") == ""
    kept = Job.load(tmp_path / "seat.job.json")
    assert kept.identity == job.identity
    made = Inspection.from_plain(kept.inspection)
    assert made == inspection.last_state.inspection
    other = panels.inspection(style="desk")
    other.folder = tmp_path
    other.controls["file"].value = "seat"
    assert press(other, "Load job") == ""
    assert "with its measurements" in other.board.news
    assert other.last_state.inspection == made


def test_another_job_of_that_name_is_not_overwritten(inspection, tmp_path):
    path = demo.job().save(tmp_path / "seat.job.json")
    before = path.read_bytes()
    inspection.controls["file"].value = "seat"
    assert "holds a different job" in press(inspection, "Save into job")
    assert path.read_bytes() == before


def test_the_record_holds_picture_readings_result_rule_and_verdict(inspection, tmp_path):
    inspection.controls["file"].value = "seat"
    assert press(inspection, "Write record") == ""
    text = (tmp_path / "seat inspection record.html").read_text()
    state = inspection.last_state
    assert state.face.words("in").split(" (")[0] in text
    for words in ("CONFORMS", "ISO 14253-1:2017", "0.5152", "data:image/png;base64", "Chuck key"):
        assert words in text


def test_an_external_cone_or_another_unit_is_refused_in_words(inspection):
    job = demo.job()
    before = inspection.job
    outside = replace(job, callout=replace(job.callout, internal=False))
    with pytest.raises(ValueError, match="over rolls"):
        inspection.take(outside)
    with pytest.raises(ValueError, match=r'inspection\(unit="mm"\)'):
        inspection.take(panels.inspection(unit="mm").job)
    assert inspection.job == before
