"""The panel of an external cone over rolls: picture, numbers, job file, record, refusals."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from label_checks import assert_labels_are_clear
from reference import check_values, row_id

from tapertrig import Angle, demo, panels
from tapertrig.decision import CONFORMS, DOES_NOT_CONFORM, NOT_PROVEN
from tapertrig.draw.over_rolls import AXIS_X, PLATE_Y, units_per
from tapertrig.draw.parts.style import STYLE_NAMES
from tapertrig.gauging import findings
from tapertrig.job import Job

UNITS = ("in", "mm")


def rows(panel):
    return {name: value for name, value, _mark in panel.board.words["rows"]}


def press(panel, label):
    next(button for button in panel.presses.children if button.description == label).click()
    return panel.board.notice


@pytest.fixture(params=[(u, s) for u in UNITS for s in STYLE_NAMES], ids="-".join)
def panel(request):
    unit, style = request.param
    return panels.over_rolls(unit=unit, style=style)


@pytest.fixture
def plug(tmp_path):
    made = panels.over_rolls()
    made.folder = tmp_path
    return made


GOOD = {"graduation": 0.002, "block_limit": 0.0} | dict.fromkeys(
    ("limit_of_error", "face_limit", "gauge_limit"), 0.0
)


# -- numbers -------------------------------------------------------------------------------


def by_hand(low, high, block, roll):
    """Half angle in degrees and small diameter by the half-angle form of the trade's rule.

    M = D + d(1 + tan(45° + α/2)): the line from the middle of a roll to the corner where wall and
    plate meet halves the angle 90° + α between them. Common practice, no source.
    """
    alpha = math.atan((high - low) / (2 * block))
    return math.degrees(alpha), low - roll * (1 + math.tan(math.pi / 4 + alpha / 2))


@pytest.mark.parametrize("row", check_values("rolls-"), ids=row_id)
def test_words_and_picture_say_what_the_reference_says(row):
    """Geometry; the method is in Mechanical Engineer's Data Handbook 7.2.2."""
    given, wanted = row["given"], row["expected"]
    panel = panels.over_rolls(unit="mm")
    callout = replace(
        panel.job.callout,
        value=f"{2 * wanted['half_deg']:.8f}",
        face_diameter=wanted["small_dia_mm"],
        length=given["stack_H_mm"] * 1.5,
    )
    panel.take(replace(panel.job, callout=callout, readings=()))
    panel.set(
        roll=float(given["roll_dia_mm"]),
        block_height=float(given["stack_H_mm"]),
        low=f"{given['M1_mm']} {given['M1_mm']}",
        high=f"{given['M2_mm']} {given['M2_mm']}",
        **GOOD,
    )
    assert panel.board.notice == ""
    state = panel.last_state[1]
    assert state.half_angle.value == pytest.approx(math.radians(wanted["half_deg"]), abs=2e-8)
    assert state.face.value == pytest.approx(wanted["small_dia_mm"], abs=1e-6)
    angle, small = (rows(panel)[name].split(" ± ")[0] for name in ("Half angle", "Face diameter"))
    # As many places as its U is written with.
    assert Angle.parse(angle).degrees == pytest.approx(wanted["half_deg"], abs=0.6 / 3600)
    assert float(small) == pytest.approx(wanted["small_dia_mm"], abs=0.6e-4)
    told = [wish.label.text for wish, _y in panel.picture().scene.column.values()]
    assert told[0] == angle
    assert told[2] == f"⌀ {small}"
    assert angle in panel.board.words["sentence"]
    assert small in panel.board.words["sentence"]


def test_every_setting_agrees_with_the_closed_form(panel):
    on = panel.controls
    for name in ("block_height", "roll"):
        start = on[name].value
        for part in (0.75, 0.9, 1.0, 1.1, 1.25):
            on[name].value = start * part
            press(panel, "Confirm readings")
            state = panel.last_state[1]
            assert panel.board.notice == on[name].message == ""
            degrees, small = by_hand(*state.over, on["block_height"].value, on["roll"].value)
            assert math.degrees(state.half_angle.value) == pytest.approx(degrees, abs=1e-9)
            assert state.face.value == pytest.approx(small, rel=1e-9)
        on[name].value = start
        press(panel, "Confirm readings")


def test_readings_stay_as_typed_and_the_words_say_what_the_print_would_read(plug):
    """On other blocks the print's cone reads M₁ + 2B tan α, by the section's similar triangles."""
    on = plug.controls
    typed = on["low"].value, on["high"].value
    low, _high = plug.last_state[1].over
    assert rows(plug)["Half angle"].startswith("12°3")
    for block in (0.6, 1.0, 1.4):
        on["block_height"].value = block
        assert (on["low"].value, on["high"].value) == typed
        told = rows(plug)
        high = low + 2 * block * math.tan(math.radians(12 + 32 / 60))
        read = told["The print's cone would read"].removesuffix(" in").split("on these blocks ")
        assert float(read[1]) == pytest.approx(high, abs=1.1e-4), "the mean reading is rounded"
        assert told["These readings fit the print's half angle"] == "on blocks of 1.0000 in"
        assert f"/ {2 * block:.4f} =" in told["tan α = (M₂ − M₁) / (2 B)"]
        assert (plug.last_state[1].verdict == CONFORMS) == (block == 1.0)
    on["block_height"].value = 0.6
    high = low + 1.2 * math.tan(math.radians(12 + 32 / 60))
    on["high"].value = f"{high - 0.0002:.4f} {high:.4f} {high + 0.0002:.4f}"
    assert plug.last_state[1].verdict == CONFORMS, "what the words promised conforms"


def test_higher_blocks_tell_the_half_angle_better(plug):
    spreads = []
    low = plug.last_state[1].over[0]
    for block in (0.4, 0.8, 1.4):
        high = low + 2 * block * math.tan(math.radians(12 + 32 / 60))
        plug.set(block_height=block, high=f"{high - 0.0002} {high} {high + 0.0002}")
        spreads.append(plug.last_state[1].half_angle.standard_uncertainty)
    assert spreads == sorted(spreads, reverse=True)


def test_mean_and_spread_of_each_row(plug):
    """Mean and s of the readings by hand."""
    plug.set(low="1.7360 1.7364 1.7362", high="2.1808")
    assert rows(plug)["Over the low rolls, M₁"] == "mean 1.73620 in of 3, spread s 0.00020"
    assert rows(plug)["Over the high rolls, M₂"] == "mean 2.18080 in of 1, spread s not known"
    assert "one reading says nothing of its scatter" in rows(plug)["Verdict on half angle"]


def test_all_three_verdicts(plug):
    seen = set()
    for over in range(0, 60, 2):
        plug.controls["high"].value = f"{2.1808 + over / 10_000} {2.1810 + over / 10_000}"
        state = plug.last_state[1]
        seen.add(state.verdict)
        assert plug.picture().scene.verdict.label.text == state.verdict.upper()
        assert state.verdict in plug.board.words["sentence"]
    assert seen == {CONFORMS, NOT_PROVEN, DOES_NOT_CONFORM}


# -- the picture ---------------------------------------------------------------------------


def circles(line):
    """Middle and radius of each circle of a polyline with gaps."""
    points = np.column_stack(line.get_data())
    gaps = np.flatnonzero(np.isnan(points[:, 0]))
    found = []
    for part in np.split(points, gaps):
        part = part[~np.isnan(part[:, 0])]
        if len(part):
            found.append(circle(part))
    return found


def circle(points):
    low, high = points.min(axis=0), points.max(axis=0)
    return (low + high) / 2, (high - low)[0] / 2


def assert_drawn_to_scale(panel):
    """Wall, rolls, blocks and dimension lines measured from the artists' own coordinates."""
    state, scene = panel.last_state[1], panel.picture().scene
    k, (low, high) = units_per(state), state.over
    foot, end = scene.cone.get_xy()[:2]
    assert foot[1] == pytest.approx(PLATE_Y)
    assert 2 * (foot[0] - AXIS_X) == pytest.approx(k * state.measured.face_diameter)
    drawn = math.atan2(end[0] - foot[0], end[1] - foot[1])
    alpha = state.measured.half_angle.radians
    assert drawn == pytest.approx(alpha, abs=1e-9)
    across = np.array([end[1] - foot[1], foot[0] - end[0]]) / np.hypot(*(end - foot))
    contacts = np.column_stack(scene.touching.get_data())[::2]
    on_plate, on_blocks = circles(scene.low_rolls), [circle(r.get_xy()) for r in scene.rolls]
    for rolls, over, lift in ((on_plate, low, 0.0), (on_blocks, high, state.block)):
        left, right = rolls
        for (x, y), radius in rolls:
            assert radius == pytest.approx(k * state.roll / 2)
            assert y - radius == pytest.approx(PLATE_Y + k * lift), "it stands on what is under it"
            towards = np.array([abs(x - AXIS_X) + AXIS_X, y])
            assert across @ (towards - foot) == pytest.approx(radius), "it touches the wall"
            touch = contacts[np.hypot(*(contacts - [x, y]).T).argmin()]
            assert np.hypot(*(touch - [x, y])) == pytest.approx(radius)
            to_wall = np.array([abs(touch[0] - AXIS_X) + AXIS_X, touch[1]])
            assert across @ (to_wall - foot) == pytest.approx(0, abs=1e-9)
        outside = right[0][0] + right[1] - (left[0][0] - left[1])
        assert outside == pytest.approx(k * over)
    for line, over in zip(scene.measures, (low, high), strict=True):
        assert np.ptp(line.get_xdata()) == pytest.approx(k * over)
    assert np.ptp(scene.block_line.get_ydata()) == pytest.approx(k * state.block)
    x, y = np.array(scene.arc.get_data())
    vertex = 2 * AXIS_X - foot[0]
    turned = math.atan2(vertex - x[-1], y[-1] - PLATE_Y)
    assert turned == pytest.approx(alpha), "the arc ends on the wall"
    assert x[0] == pytest.approx(vertex)
    places = 5 if state.unit == "in" else 4
    words = [wish.label.text for wish in scene.measure_words]
    if state.inspection is None:
        assert words == ["M₁ not read", "M₂ not read"]
    else:
        assert words == [f"M₁ {low:.{places}f}", f"M₂ {high:.{places}f}"]


def test_it_is_drawn_to_scale_with_clear_labels_wherever_it_is_drawn(panel):
    for name in ("block_height", "roll"):
        control = panel.controls[name]
        start, drawn = control.value, 0
        for part in np.linspace(0, 1, 21):
            before = panel.renders
            control.value = control.minimum + part * (control.maximum - control.minimum)
            if "other rolls" in control.message:
                press(panel, "Confirm readings")
            assert "fault" not in panel.board.notice
            if panel.renders == before:
                assert control.message or panel.board.notice, (
                    f"no picture at {control.text} and no word why"
                )
                continue
            drawn += 1
            assert_drawn_to_scale(panel)
            assert_labels_are_clear(panel, f"{name} = {control.text}")
        assert drawn >= 15
        control.value = start


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("style", STYLE_NAMES)
def test_jobs_of_any_size_are_drawn_to_scale_with_clear_labels(unit, style):
    panel = panels.over_rolls(unit=unit, style=style)
    at = 1 if unit == "in" else 25.4
    for value, face, length in (("120°", 3, None), ("3°", 5, 2), ("60°", 1, 1), ("2°", 0.2, 3)):
        length = length and length * at
        callout = replace(panel.job.callout, value=value, face_diameter=face * at, length=length)
        panel.take(replace(panel.job, callout=callout, readings=()))
        assert panel.board.notice == ""
        assert panel.last_state[1].cone.half_angle == Angle.parse(value).half()
        assert_drawn_to_scale(panel)
        assert_labels_are_clear(panel, value)


def test_the_prints_cone_is_dashed_where_the_readings_tell_another(plug):
    scene = plug.picture().scene
    assert not scene.print_cone.get_visible()
    plug.controls["block_height"].value = 0.8
    assert scene.print_cone.get_visible()
    (x, _), (far, up), *_ = np.column_stack(scene.print_cone.get_data())
    drawn = math.degrees(math.atan2(far - x, up - PLATE_Y))
    assert drawn == pytest.approx(12 + 32 / 60)
    assert scene.dashed_words.label.text
    assert not scene.cut_words.label.text
    plug.controls["block_height"].value = 0.16
    assert scene.cut_words.label.text == "top not drawn", "it leans out of the picture"
    assert np.ptp(scene.cone.get_xy()[:, 1]) < 1.6 * units_per(plug.last_state[1])


def test_the_centre_line_is_seen_on_the_cone(plug):
    scene = plug.picture().scene
    shown = [mark_id for mark_id, mark in plug.board.marks.items() if mark[0]]
    axis = next(
        artist
        for artist in (*scene.still, *scene.moving)
        if artist.get_gid() in shown and plug.board.marks[artist.get_gid()][1] == "axis"
    )
    assert shown.index(axis.get_gid()) > shown.index(scene.cone.get_gid()), "drawn over it"
    assert plug.board.marks[axis.get_gid()][4], "a chain line"
    foot, end = scene.cone.get_xy()[:2]
    x, y = axis.get_data()
    assert (min(x), max(x)) == pytest.approx((AXIS_X, AXIS_X))
    assert min(y) < foot[1] < end[1] < max(y)


def test_hidden_answers_tell_neither_cone_nor_verdict(plug):
    plug.answers_switch.value = True
    shown = plug.still()[1] + " ".join(
        label.text for label in plug.picture().scene.labels if label.get_visible()
    )
    for answer in ("12°3", "1.1745", "conforms", "CONFORMS"):
        assert answer not in shown
    assert "1.73620" in shown, "what was read is given"
    assert "answers are hidden" in press(plug, "What would settle it")
    assert "answers are hidden" in press(plug, "Write record")
    assert not list(plug.folder.iterdir())


# -- what cannot be ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [
        ("low", "", "Readings over the low rolls: type one reading or more"),
        ("high", "  ", "Readings over the high rolls: type one reading or more"),
        ("high", "2.18 x", "“x” is no number"),
        ("high", "1.70 1.71", "the high one must be the larger"),
        ("low", "0.3", "leaves no diameter at the plate"),
        ("block_height", 0.0, "it must be more than zero"),
        ("block_height", 1.6, "use lower blocks or smaller rolls"),
        ("block_height", None, "block height is not given"),
        ("roll", 0.85, "typed with other rolls"),
    ],
)
def test_what_cannot_be_is_said_and_the_picture_stays(plug, name, value, said):
    frame, control = plug.board.marks, plug.controls[name]
    start = control.value
    control.value = value
    told = plug.board.notice or control.message
    assert said in told
    assert "fault" not in told
    assert plug.board.stale
    assert plug.board.marks == frame
    assert said in press(plug, "Save into job")
    assert said in press(plug, "Write record")
    assert not list(plug.folder.iterdir())
    control.value = start
    assert plug.board.notice == getattr(control, "message", "") == ""
    assert not plug.board.stale
    assert plug.board.marks == frame


def test_a_bore_is_refused_in_words(plug):
    before = plug.current(), plug.last_state
    with pytest.raises(ValueError, match=r"no external cone.*panels\.inspection\(\)"):
        plug.take(demo.job())
    assert (plug.current(), plug.last_state) == before


def test_a_job_that_nobody_measured_stays_unmeasured(plug):
    job = demo.plug_job()
    plug.take(job)
    assert plug.current() == job
    told = plug.still()[1]
    assert "Face diameter: not measured. Half angle: not measured." in told
    assert "conforms" not in told
    scene = plug.picture().scene
    assert scene.verdict.label.text == "NOTHING MEASURED"
    drawn = " ".join(label.text for label in scene.labels)
    assert not any(digit in drawn for digit in "0123456789"), "no number that nobody gave"
    assert "no readings are given" in press(plug, "Write record")
    assert not list(plug.folder.iterdir())


def test_a_small_job_fits_its_sliders_and_back(plug):
    example = plug.current()
    (read,) = example.readings
    frame, ends = plug.board.marks, plug.controls["block_height"].maximum
    tiny = replace(
        example.callout, face_diameter=0.2, length=0.5, diameter_plus=None, diameter_minus=None
    )
    small = replace(demo.plug_job(), callout=tiny).with_readings(
        replace(
            read, gauges=(replace(read.gauges[0], size=0.05),), rows=((0.31,), (0.4,)),
            blocks=replace(read.blocks, size=0.2), notes="x" * 300, confirmed=(),
        )
    )  # fmt: skip
    plug.take(small)
    assert plug.controls["block_height"].maximum == 0.5
    assert plug.current() == small
    plug.take(example)
    assert plug.controls["block_height"].maximum == ends
    assert plug.current() == example
    assert plug.board.marks == frame


# -- the job file and the record -----------------------------------------------------------


@pytest.mark.parametrize("unit", UNITS)
def test_a_job_is_loaded_measured_saved_and_loaded_again(unit, tmp_path):
    panel = panels.over_rolls(unit=unit)
    panel.folder = tmp_path
    job = replace(panel.job, readings=())
    job.save(tmp_path / "plug.job.json")
    on = panel.controls
    on["file"].value = "plug"
    assert press(panel, "Load job") == ""
    assert panel.current() == panel.job == job
    at = 1 if unit == "in" else 25.4
    panel.set(
        block_height=0.9 * at,
        roll=0.25 * at,
        low=" ".join(f"{at * over:.4f}" for over in (1.7361, 1.7364, 1.7362)),
        high=" ".join(f"{at * over:.4f}" for over in (2.1361, 2.1364, 2.1362)),
        measured_by="second bench",
        date="2025-03-11",
        **GOOD | {"block_limit": 0.0001, "gauge_limit": 0.0002},
    )
    assert press(panel, "Save into job") == ""
    kept = Job.load(tmp_path / "plug.job.json")
    assert kept.identity == job.identity
    (made,) = kept.readings
    assert (made.method, made.blocks.limit, made.gauges[0].limit) == (
        "rolls and blocks", 0.0001, 0.0002
    )  # fmt: skip
    assert [one.verdict for one in findings(kept)] == [
        one.verdict for one in panel.last_state[0].found
    ]
    other = panels.over_rolls(unit=unit, style="desk")
    other.folder = tmp_path
    other.controls["file"].value = "plug"
    assert press(other, "Load job") == ""
    assert "with its readings" in other.board.news
    assert other.current() == kept
    assert other.board.words == panel.board.words


def test_the_record_holds_picture_method_readings_and_verdict(plug, tmp_path):
    plug.set(file="plug", measured_by="second bench", notes="Plate wiped first.")
    assert press(plug, "Write record") == ""
    text = (tmp_path / "plug inspection record.html").read_text(encoding="utf-8")
    state = plug.last_state[1]
    for finding in state.findings:
        assert finding.result("in").split(" (")[0] in text
    for words in (
        "rolls and blocks",
        "Over high rolls",
        "outside micrometer",
        "1.0000 in, within ± 0.00001; number invented set, calibrated 2031-01-14",
        "Face diameter: conforms. Half angle: conforms",
        "2.1808",
        "second bench",
        "Plate wiped first.",
        "Invented example",
        "data:image/svg+xml;base64",
        "Chuck key",
    ):
        assert words in text, words


def test_what_would_settle_it_is_told_and_holds(plug):
    plug.set(graduation=0.0005, limit_of_error=0.0005, high="2.1838 2.1840 2.1839")
    assert plug.last_state[1].verdict == NOT_PROVEN
    assert press(plug, "What would settle it") == ""
    assert "Half angle: U would have to be" in plug.board.news
    assert "An instrument that reads to" in plug.board.news
    plug.set(graduation=0.0001, limit_of_error=0.0001)
    assert plug.last_state[1].verdict != NOT_PROVEN
    press(plug, "What would settle it")
    assert plug.board.news.startswith("Nothing is left unproven")


def test_the_invented_plug_is_marked_as_invented(panel):
    assert rows(panel)["Example"] == demo.MARK
    assert demo.MARK in panel.job.notes
    assert panel.job.invented
    assert not panel.job.callout.internal
    assert panel.last_state[1].verdict == CONFORMS
