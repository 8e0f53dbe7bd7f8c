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
from tapertrig.gauging import findings
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
        assert scene.verdict.label.text == f"⌀ {verdict.upper()}"
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
    assert panel.board.news.startswith("Nothing is left unproven. Face diameter: conforms.")


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


@pytest.fixture
def loaded(inspection, tmp_path):
    """The panel with a job that nobody has measured."""
    demo.job().save(tmp_path / "seat.job.json")
    inspection.controls["file"].value = "seat"
    assert press(inspection, "Load job") == ""
    return inspection


GIVEN = {
    "ball": 1.25,
    "readings": "0.5148 0.5151 0.5150 0.5149",
    "graduation": 0.001,
    "limit_of_error": 0.0002,
    "face_limit": 0.0001,
    "gauge_limit": 0.00005,
    "half_angle": "20°43′",
    "half_angle_limit": "0°02′",
    "half_angle_origin": "sine bar check of the plug",
    "measured_by": "second bench",
    "date": "2025-03-11",
}


def press(panel, label):
    next(button for button in panel.presses.children if button.description == label).click()
    return panel.board.notice


def verdicts(panel):
    return [one.verdict for one in findings(panel.current())]


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("style", STYLE_NAMES)
def test_labels_are_clear_for_jobs_of_any_size(unit, style):
    panel = panels.inspection(unit=unit, style=style)
    job = panel.job
    at = 1 if unit == "in" else 25.4
    for value, face, length in (("120°", 3, None), ("90°", 0.4, None), ("3°", 5, 2), ("60°", 1, 1)):
        length = length and length * 0.8 * at
        callout = replace(job.callout, value=value, face_diameter=face * at, length=length)
        panel.take(replace(job, callout=callout, readings=()))
        assert panel.board.notice == ""
        assert panel.last_state[1].cone.half_angle == Angle.parse(value).half()
        assert_labels_are_clear(panel, value)


def test_repeats_give_mean_spread_and_degrees_of_freedom(inspection):
    """Mean and s of five readings by hand; t(4, 95 %) = 2.776 (JCGM 100 table G.2)."""
    inspection.controls["readings"].value = "0.510 0.514 0.512 0.516 0.508"
    (found,) = inspection.last_state[0].inspection.repeats()
    assert (found.count, found.degrees_of_freedom) == (5, 4)
    assert found.mean == pytest.approx(0.512)
    assert found.spread == pytest.approx(math.sqrt(1e-5))
    assert "k = 2.71 by" in rows(inspection)["Face diameter"]


@pytest.mark.parametrize(
    "typed", ["0.5152 0.5149", "0.5152, 0.5149", "0.5152,0.5149", "0,5152 0,5149", "0.5152;0.5149"]
)
def test_readings_with_commas_are_understood(inspection, typed):
    inspection.controls["readings"].value = typed
    assert inspection.board.notice == ""
    assert inspection.measured().rows == ((0.5152, 0.5149),)


@pytest.mark.parametrize(
    ("typed", "said"),
    [("0.5 nan", "“nan” is no number"), ("9.0 9.0", "proud at most"), ("1,2,3", "is no number")],
)
def test_readings_that_cannot_be_are_answered_and_the_picture_stays(inspection, typed, said):
    frame = inspection.board.marks
    inspection.controls["readings"].value = typed
    assert said in inspection.board.notice
    assert inspection.board.marks == frame
    assert inspection.board.stale
    for label in ("Save into job", "Write record"):
        assert said in press(inspection, label)
    assert not list(inspection.folder.iterdir())


def test_a_job_that_nobody_measured_stays_unmeasured(loaded):
    """Load, touch nothing: no reading, no ball, no break, no verdict, no record, the same job."""
    assert all(
        loaded.controls[name].value in (None, "", False)
        for name in ("ball", "readings", "edge_break", "graduation", "limit_of_error", "half_angle",
                     "half_angle_limit", "measured_by", "date", "temperature_corrected")
    )  # fmt: skip
    assert loaded.current() == Job.load(loaded.folder / "seat.job.json") == loaded.job
    told = loaded.still()[1]
    assert "Face diameter: not measured. Half angle: not measured." in told
    assert "conforms" not in told
    assert loaded.picture().scene.verdict.label.text == "NOTHING MEASURED"
    assert not loaded.picture().scene.ball.get_visible()
    drawn = {label.text for label in loaded.picture().scene.labels}
    assert {"not read", "not given", "break not given"} <= drawn
    assert "no readings are given" in press(loaded, "Write record")
    assert "no readings are given" in press(loaded, "What would settle it")
    assert [one.name for one in loaded.folder.iterdir()] == ["seat.job.json"]
    press(loaded, "Save into job")
    assert Job.load(loaded.folder / "seat.job.json") == loaded.job


def test_a_job_is_loaded_measured_saved_and_loaded_again(loaded, tmp_path):
    loaded.set(**GIVEN)
    assert loaded.board.notice == ""
    assert verdicts(loaded) == ["conforms", "not measured"]
    assert press(loaded, "Save into job") == ""
    kept = Job.load(tmp_path / "seat.job.json")
    (read,) = kept.readings
    assert read.rows == ((0.5148, 0.5151, 0.5150, 0.5149),)
    assert read.stated_angle.origin == "sine bar check of the plug"
    assert kept.is_of_this_print(read)
    other = panels.inspection(style="desk")
    other.folder = tmp_path
    other.controls["file"].value = "seat"
    assert press(other, "Load job") == ""
    assert "with its readings" in other.board.news
    assert other.current() == kept
    assert other.board.words == loaded.board.words


def test_a_typing_slip_mended_strikes_the_slip_and_adds_nothing_else(loaded):
    loaded.set(**GIVEN)
    press(loaded, "Save into job")
    loaded.controls["readings"].value = "0.5148 0.5151 0.5150 0.5150"
    first, second = loaded.current().readings
    assert first.struck
    assert second.rows == ((0.5148, 0.5151, 0.5150, 0.5150),)
    press(loaded, "Save into job")
    press(loaded, "New measurement")
    assert loaded.controls["readings"].value == ""
    loaded.set(**GIVEN)
    assert [one.struck for one in loaded.current().readings] == [True, False, False]


def test_who_and_when_are_required(loaded):
    loaded.set(**GIVEN | {"measured_by": " "})
    assert verdicts_seen(loaded) == "conforms"
    assert "who measured is not given" in press(loaded, "Save into job")
    loaded.set(measured_by="second bench", date="yesterday")
    for label in ("Save into job", "Write record"):
        assert "“yesterday”" in press(loaded, label)
    loaded.controls["date"].value = ""
    assert "not given; give year" in press(loaded, "Write record")
    assert len(list(loaded.folder.iterdir())) == 1


def verdicts_seen(panel):
    return rows(panel)["Verdict on face diameter"].split(":")[0]


def test_a_ball_changed_after_its_readings_waits_for_a_word(loaded):
    loaded.set(**GIVEN)
    loaded.controls["ball"].value = 1.2505
    assert loaded.board.stale
    assert "typed with other balls" in loaded.controls["ball"].message
    for label in ("Save into job", "Write record"):
        assert "typed with other balls" in press(loaded, label)
    press(loaded, "Confirm readings")
    assert not loaded.board.stale
    assert loaded.measured().gauges[0].size == 1.2505
    # Typed anew, readings need no other word.
    loaded.controls["ball"].value = 1.25
    loaded.controls["readings"].value = "0.5148 0.5151 0.5150"
    assert not loaded.board.stale


def test_readings_out_of_sight_or_spaced_anew_are_still_of_their_own_ball(loaded):
    second = {"method": "two balls", "small_ball": 1.0625, "small_readings": "0.0701 0.0703"}
    loaded.set(**GIVEN | second)
    loaded.controls["method"].value = "one ball"
    loaded.set(reads="depth", parallel=1.0, readings="0.4852 0.4849 0.4850 0.4851")
    assert loaded.board.notice == ""
    loaded.controls["method"].value = "two balls"
    assert "typed with other parallels" in loaded.board.notice
    loaded.set(**GIVEN | second | {"reads": "height", "small_readings": "0.0702 0.0703"})
    assert loaded.board.notice == ""
    loaded.controls["small_ball"].value = 1.125
    loaded.controls["small_readings"].value += " "
    assert "typed with other balls" in loaded.board.notice


def test_a_refused_entry_stops_saving_and_writing(loaded):
    loaded.set(**GIVEN)
    loaded.controls["limit_of_error"].enter("a hair")
    for label in ("Save into job", "Write record"):
        assert "mend what is typed first" in press(loaded, label)
    assert len(list(loaded.folder.iterdir())) == 1


def test_a_print_changed_afterwards_waits_for_a_name(loaded):
    loaded.set(**GIVEN)
    press(loaded, "Save into job")
    job = loaded.job
    loaded.take(replace(job, callout=replace(job.callout, face_diameter=1.43)))
    assert "not measured" in rows(loaded)["Verdict on face diameter"]
    assert loaded.controls["readings"].value, "what was read is kept"
    assert "by name" in press(loaded, "Write record")
    assert "say who confirms" in press(loaded, "Confirm readings")
    loaded.controls["confirmed_by"].value = "J. Fitter"
    assert press(loaded, "Confirm readings") == ""
    assert verdicts(loaded) == ["does not conform", "not measured"]
    assert len(loaded.current().readings) == 1, "nothing was measured again"


def test_no_record_against_a_print_that_another_panel_has_changed(loaded, tmp_path):
    loaded.set(**GIVEN)
    assert press(loaded, "Save into job") == ""
    sheet = panels.job_sheet()
    sheet.folder = tmp_path
    sheet.controls["file"].value = "seat"
    press(sheet, "Load job")
    sheet.controls["notes"].value = "keep dry"
    press(sheet, "Save job")
    assert press(loaded, "Write record") == "", "a note asks nothing else of the part"
    for name, value in (("serial", "18"), ("diameter_plus", 0.001)):
        sheet.controls[name].value = value
        press(sheet, "Save job")
        assert "another print or other readings; load it again" in press(loaded, "Write record")
        press(loaded, "Load job")
        assert "by name" in press(loaded, "Write record")
        loaded.controls["confirmed_by"].value = "J. Fitter"
        assert press(loaded, "Confirm readings") == press(loaded, "Save into job") == ""
        press(sheet, "Load job")
    assert len(list(tmp_path.glob("*.html"))) == 1
    Job.load(path := tmp_path / "seat.job.json").strike(loaded.kept.identity).save(path)
    assert "other readings; load it again" in press(loaded, "Write record")


def test_an_outlier_gives_no_verdict_until_it_is_decided(loaded):
    """Grubbs' test, ISO 5725-2: 0.5448 among readings of 0.515."""
    loaded.set(**GIVEN | {"readings": "0.5148 0.5151 0.5150 0.5149 0.5448"})
    assert verdicts_seen(loaded) == "not proven"
    assert "Grubbs" in rows(loaded)["Verdict on face diameter"]
    loaded.controls["outlier"].value = "struck out"
    assert "why the outlier" in loaded.board.notice
    loaded.controls["outlier_reason"].value = "base stood on a chip"
    assert verdicts_seen(loaded) == "conforms"
    assert "chip" in rows(loaded)["Outlier 0.5448"]
    assert press(loaded, "Save into job") == ""
    (kept,) = loaded.job.readings
    assert kept.outliers[0].struck
    assert loaded.current() == Job.load(loaded.folder / "seat.job.json")


def test_another_job_of_that_name_is_not_overwritten(inspection, tmp_path):
    path = demo.job().save(tmp_path / "seat.job.json")
    before = path.read_bytes()
    inspection.controls["file"].value = "seat"
    assert "holds a different job" in press(inspection, "Save into job")
    assert path.read_bytes() == before


def test_the_record_holds_picture_readings_result_rule_and_verdict(inspection, tmp_path):
    inspection.controls["file"].value = "seat"
    assert press(inspection, "Write record") == ""
    text = (tmp_path / "seat inspection record.html").read_text(encoding="utf-8")
    face = inspection.last_state[1].face
    assert face.result("in").split(" (")[0] in text
    for words in (
        "Face diameter: conforms. Half angle: not measured",
        "ISO 14253-1:2017", "0.5152", "data:image/svg+xml;base64", "Chuck key", "Invented example",
    ):  # fmt: skip
        assert words in text
    # A second record stands beside the first.
    inspection.controls["notes"].value = "again"
    assert press(inspection, "Write record") == ""
    assert (tmp_path / "seat inspection record.html").read_text(encoding="utf-8") == text
    assert "again" in (tmp_path / "seat inspection record 2.html").read_text(encoding="utf-8")


def test_an_external_cone_is_refused_in_words(inspection):
    before = inspection.current()
    job = demo.job()
    outside = replace(job, callout=replace(job.callout, internal=False))
    with pytest.raises(ValueError, match="over_rolls"):
        inspection.take(outside)
    assert inspection.current() == before


def test_a_print_in_the_other_unit_is_measured_in_this_one():
    job = replace(panels.inspection(unit="mm").job, readings=())
    panel = panels.inspection()
    panel.take(job)
    assert panel.current() == job
    panel.unit_switch.value = "in"  # by inch balls all the same
    panel.set(**GIVEN)
    # 36.02 +0.08 −0 mm, ÷ 25.4.
    limits = panel.last_state[0].found[0].limits
    assert limits == pytest.approx((1.41811, 1.42126), abs=1e-5)


def test_each_cone_of_a_print_is_measured_by_itself():
    job = demo.job()
    relief = replace(job.callout, name="relief", face_diameter=1.43)
    two = replace(job, callouts=(replace(job.callout, name="seat"), relief))
    panel = panels.inspection()
    panel.take(two)
    assert [name for name, _ in panel.controls["cone"].options] == ["seat", "relief"]
    panel.controls["cone"].value = 1
    panel.set(**GIVEN)
    assert verdicts(panel) == ["not measured", "not measured", "does not conform", "not measured"]
    assert panel.current().readings[0].cone == 1


def test_a_job_that_does_not_fit_leaves_all_as_it_was(inspection):
    held = {name: control.value for name, control in inspection.controls.items()}
    frame, before = inspection.board.marks, inspection.current()
    (read,) = before.readings
    wide = replace(read, instrument=replace(read.instrument, graduation=0.5))
    with pytest.raises(ValueError, match=r"Micrometer reads to is 0\.5"):
        inspection.take(replace(before, readings=(wide,)))
    assert {name: control.value for name, control in inspection.controls.items()} == held
    assert inspection.board.marks == frame
    assert inspection.current() == before


def test_filled_from_the_top_down_readings_on_parallels_count(loaded):
    """As they stand in the panel: ball, readings, that they are the micrometer's, its parallels."""
    loaded.set(**GIVEN | {"readings": ""})
    loaded.controls["readings"].value = "0.4852 0.4849 0.4850 0.4851"
    loaded.controls["reads"].value = "depth"
    assert "typed with other" not in loaded.board.notice
    loaded.controls["parallel"].value = 1.0
    assert loaded.board.notice == ""
    assert not loaded.board.stale
    assert loaded.measured().parallel == 1.0
    # Parallels that stand there and are changed make other heights of the same readings.
    loaded.controls["parallel"].value = 1.125
    assert "typed with other parallels" in loaded.board.notice + loaded.controls["parallel"].message


def test_a_depth_reading_that_nobody_took_stands_nowhere(loaded):
    loaded.set(**GIVEN)
    assert "Depth micrometer reads" not in rows(loaded)
    scene = loaded.picture().scene
    assert scene.rows["mic"][1].label.text == "not read"
    assert not any(block.get_visible() for block in (*scene.parallels, scene.spindle))
    # On the parallels that are given, and not on such as a set might hold.
    loaded.set(reads="depth", parallel=1.0, readings="0.4852 0.4848 0.4850")
    assert "on parallels of 1.0000 in" in rows(loaded)["Depth micrometer reads"]
    assert scene.rows["mic"][1].label.text == "0.4850"
    assert all(block.get_visible() for block in scene.parallels)


def test_two_balls_take_no_half_angle_and_say_nothing_of_one(inspection):
    inspection.controls["method"].value = "two balls"
    assert inspection.last_state[0].inspection is not None
    assert "Half angle used" not in rows(inspection)


def test_an_edge_break_that_nobody_gave_is_not_said_to_be_cleared(loaded):
    loaded.set(**GIVEN)
    touches = next(value for name, value in rows(loaded).items() if name.endswith("touches"))
    assert "clear of the face (edge break not given)" in touches
    loaded.set(edge_break=0.02)
    touches = next(value for name, value in rows(loaded).items() if name.endswith("touches"))
    assert "clear of the edge" in touches


def test_a_measurement_of_a_day_to_come_is_refused(loaded):
    loaded.take(replace(loaded.job, invented=False))
    loaded.set(**GIVEN | {"date": "2099-01-01"})
    for label in ("Save into job", "Write record"):
        assert "2099-01-01, which lies ahead" in press(loaded, label)
    assert not list(loaded.folder.glob("*.html"))
    loaded.set(date=GIVEN["date"])
    assert press(loaded, "Save into job") == ""


def test_a_new_measurement_shows_no_verdict_of_the_one_before(loaded):
    loaded.set(**GIVEN)
    press(loaded, "Save into job")
    press(loaded, "New measurement")
    told = loaded.board.words["sentence"]
    assert "Face diameter: not measured" in told
    assert "conform" not in told
    assert "not typed yet" in rows(loaded)["Not measured"]
    assert verdicts(loaded)[0] != "not measured", "those before stay in the job"


def test_a_job_not_measured_yet_is_shown_in_its_own_unit(loaded):
    metric = loaded.job.callout.in_unit("mm")
    loaded.take(replace(loaded.job, callout=metric, readings=()))
    assert (loaded.unit, loaded.ball.unit) == ("mm", "mm")
