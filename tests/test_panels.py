"""The machinery of panels: one way from control to picture, and nothing lost on the way."""

from __future__ import annotations

import math
import re
import subprocess
import sys
from fractions import Fraction

import ipywidgets
import pytest
import traitlets

from tapertrig import Angle, panels
from tapertrig.panels.parts.controls import (
    AngleQuantity,
    Quantity,
    angle,
    choice,
    or_not_given,
    quantity,
)

NAMES = list(panels.__all__)
UNITS = ("in", "mm")
IN_36_MM = float(Fraction(36) / Fraction("25.4"))


@pytest.fixture
def triangle():
    return panels.setup_triangle()


def message(**state):
    """What a browser sends when a trait of a view changes."""
    update = {"method": "update", "state": state, "buffer_paths": []}
    return {"content": {"data": update}, "buffers": []}


def every_value(control):
    """Least, middle and most of a control, or each of its options."""
    if isinstance(control, Quantity):
        middle = (control.minimum + control.maximum) / 2
        return [control.minimum, middle, control.maximum]
    if isinstance(control, ipywidgets.Dropdown):
        return [value for _label, value in control._options_full]
    if isinstance(control, ipywidgets.Checkbox):
        return [True, False]
    return []


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("name", NAMES)
def test_each_control_of_each_panel_draws_or_says_why_not(name, unit):
    panel = getattr(panels, name)(unit=unit)
    for key, control in panel.controls.items():
        start = getattr(control, "value", None)
        for value in every_value(control):
            before = panel.renders, panel.board.marks
            control.value = value
            said = panel.board.notice or getattr(control, "message", "")
            assert "fault" not in said, f"{key} = {value}: {said}"
            assert panel.board.marks, key
            if said and panel.renders == before[0]:
                assert panel.board.marks == before[1], "the last good picture is gone"
        if start is not None and control.value != start:
            control.value = start


@pytest.mark.parametrize("name", NAMES)
def test_unit_and_style_and_start_are_checked(name):
    make = getattr(panels, name)
    with pytest.raises(ValueError, match="unit is 'cm'"):
        make(unit="cm")
    with pytest.raises(ValueError, match="style is 'poster'"):
        make(style="poster")
    with pytest.raises(ValueError, match="no control of this panel"):
        make(no_such_control=1)


def test_one_move_is_one_render_and_one_message(triangle):
    sent, changes = [], []
    triangle.board.send = lambda message, buffers=None: sent.append(message)
    triangle.board.observe(lambda change: changes.append(change["name"]))
    before = triangle.renders
    triangle.controls["half_angle"].value = 40.0
    assert triangle.renders == before + 1
    assert len(sent) == 1
    assert not changes
    assert sent[0]["sentence"] == triangle.board.words["sentence"]
    assert sent[0]["marks"]


def test_a_slider_message_moves_the_typed_entry_and_back(triangle):
    control = triangle.controls["half_angle"]
    control._handle_msg(message(value=47.3))
    assert control.text == "47°18′"
    control._hear(control, {"typed": "12 30"}, [])
    assert control.value == 12.5
    assert triangle.last_state.half_angle == Angle.parse("12°30′")


@pytest.mark.parametrize("typed", ["", "nonsense", "47 61", "nan", "91", "0", "-5", "47.3.1"])
def test_wrong_typing_says_so_beside_the_control_and_keeps_all(triangle, typed):
    control = triangle.controls["half_angle"]
    before = control.value, triangle.board.marks, triangle.board.words
    control.enter(typed)
    assert control.message
    assert (control.value, triangle.board.marks, triangle.board.words) == before
    control.enter("30")
    assert control.message == ""
    assert control.value == 30


def test_retyping_the_same_good_text_clears_the_message(triangle):
    control = triangle.controls["half_angle"]
    control.enter("30")
    control.enter("nonsense")
    control.enter("30")
    assert control.message == ""


def test_a_state_that_cannot_be_speaks_beside_the_control_that_caused_it():
    panel = panels.job_sheet(diameter_minus=0.1)
    frame = panel.board.marks
    control = panel.controls["face_diameter"]
    control.value = 0.05
    assert "less than the diameter itself" in control.message
    assert panel.board.stale
    assert panel.board.marks == frame
    panel.style_switch.value = True
    assert panel.board.whole["size"] == [1600, 900], "the style cannot be switched meanwhile"
    assert "less than the diameter itself" in control.message
    panel.controls["diameter_minus"].value = 0.001
    assert control.message == "", "the complaint outlived its cause"
    assert not panel.board.stale


def test_retyping_a_value_that_makes_no_state_keeps_the_complaint():
    panel = panels.job_sheet(diameter_minus=0.1)
    control = panel.controls["face_diameter"]
    control.enter("0.05")
    control.enter("0.05")
    assert "less than the diameter itself" in control.message


def test_set_takes_all_or_nothing(triangle):
    before = triangle.last_state
    with pytest.raises(ValueError, match="Compound travel is 99"):
        triangle.set(half_angle=20.0, compound_travel=99.0)
    assert triangle.controls["half_angle"].angle == before.half_angle
    with pytest.raises(ValueError, match="cross_dial cannot be 'sideways'; it can be 'radius'"):
        triangle.set(cross_dial="sideways")


def test_an_error_while_drawing_is_a_fault_not_the_learners(triangle, monkeypatch):
    def broken(state):
        raise ValueError("shapes do not match")

    monkeypatch.setattr(triangle.picture().scene, "move", broken)
    triangle.controls["half_angle"].value = 44.0
    assert "This panel has a fault" in triangle.board.notice
    assert triangle.controls["half_angle"].message == ""


def test_a_fault_is_shown_and_the_picture_kept(triangle, monkeypatch):
    frame = triangle.board.marks
    monkeypatch.setattr(triangle, "words", lambda state: 1 / 0)
    triangle.controls["half_angle"].value = 44.0
    assert "ZeroDivisionError" in triangle.board.notice
    assert triangle.board.marks == frame
    monkeypatch.undo()
    triangle.controls["half_angle"].value = 45.0
    assert triangle.board.notice == ""


def test_a_fault_in_a_button_is_shown(triangle):
    button = triangle.on_press("Try", lambda: {}["missing"])
    button.click()
    assert "KeyError" in triangle.board.notice


def test_style_is_switched_without_restarting(triangle):
    small = triangle.board.marks
    triangle.style_switch.value = True
    assert triangle.board.whole["size"] == [1600, 900]
    assert "tapertrig-projector" in triangle._dom_classes
    triangle.style_switch.value = False
    assert triangle.board.marks == small


def test_style_of_the_whole_notebook(monkeypatch):
    monkeypatch.setenv("TAPERTRIG_STYLE", "projector")
    assert panels.setup_triangle().board.whole["size"] == [1600, 900]
    assert panels.setup_triangle(style="desk").board.whole["size"] == [1280, 720]


def test_a_panel_without_a_kernel_is_a_picture_and_a_sentence(triangle):
    bundle, _metadata = triangle._repr_mimebundle_()
    assert bundle["image/png"].startswith(b"\x89PNG")
    assert "28°10′" in bundle["text/plain"]
    assert "Cross travel: 1.2745 in" in bundle["text/plain"]


def test_starting_values_are_taken_as_typed_or_as_numbers():
    panel = panels.setup_triangle(half_angle="30°", compound_travel=2.0)
    assert "Cross travel: 1.0000 in" in panel.still()[1]
    assert panels.setup_triangle(half_angle=Angle.parse("30°")).last_state.half_angle.degrees == 30
    with pytest.raises(ValueError, match="no angle"):
        panels.setup_triangle(half_angle="thirty")


def test_whole_graduation_setups_can_be_picked(triangle):
    listed = triangle.controls["whole"]
    assert listed.layout.display == "none"
    triangle.list_setups()
    assert listed.layout.display is None
    assert listed.rows == len(listed.options) > 3
    for words, travel in listed.options:
        listed.value = travel
        assert triangle.controls["compound_travel"].value == travel
        reading = triangle.last_state.lathe.cross_dial.reading(triangle.last_state.cross)
        assert words.startswith(f"{travel:.3f} → {reading:.3f}: ")
        # Which way a setup is out, by setting the nearest line and taking the inverse sine.
        line = round(reading / 0.001) * 0.001 / 2
        out = 3600 * (math.degrees(math.asin(line / travel)) - 28 - 10 / 60)
        side = "steep" if out > 0 else "shallow"
        assert (f"{abs(out):.1f}″ too {side}," in words) or (abs(out) < 0.06 and "exact" in words)
    triangle.controls["compound_travel"].value = 1.0
    assert listed.index is None, "a setup not in use stays picked"
    triangle.controls["half_angle"].value = 12.0
    assert not listed.options, "setups of another angle still listed"
    assert listed.layout.display == "none"


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ("1.25", 1.25), (" 1 1/4 ", 1.25), ("5/16", 0.3125), (".5", 0.5), ("2.", 2.0),
        ("1,25", 1.25), ("1½", 1.5), ("36 mm", IN_36_MM), ("36mm", IN_36_MM), ("1.25 in", 1.25),
        ('1.25"', 1.25), ("1.25″", 1.25), ("31,75 mm", 1.25),
    ],
)  # fmt: skip
def test_lengths_are_read_as_people_write_them(typed, value):
    control = quantity("Length", 1.0, 0.0, 3.0, 0.001, "in")
    control.enter(typed)
    assert control.message == ""
    assert control.value == value


@pytest.mark.parametrize(
    "typed", ["", "1/0", "1,2,3", "1e3", "inf", "1 2 3", "٣", "0x1", "4", "3 ft", "81 mm", "30°"]
)
def test_lengths_that_are_none_are_refused_by_name(typed):
    control = quantity("Length", 1.0, 0.0, 3.0, 0.001, "in")
    control.enter(typed)
    assert control.message.startswith("Length")
    assert control.value == 1.0


@pytest.mark.parametrize(
    ("unit", "typed", "value", "said"),
    [
        ("in", "36 mm", IN_36_MM, "36 mm is 1.41732 in"),
        ("mm", "1.25 in", 31.75, "1.25 in is 31.7500 mm"),
        ("mm", '1 1/4"', 31.75, '1 1/4" is 31.7500 mm'),
        ("mm", "31.75 mm", 31.75, ""),
    ],
)
def test_a_length_in_the_other_unit_is_converted_and_said(unit, typed, value, said):
    # 1 in is 25.4 mm exactly: international inch, ISO 80000-3.
    control = quantity("Length", 1.0, 0.0, 40.0, 0.01, unit)
    control.enter(typed)
    assert (control.message, control.remark, control.value) == ("", said, value)
    control.value = 2.0
    assert control.remark == "", "a remark outlived its entry"


def test_a_length_never_holds_more_than_it_shows():
    control = quantity("Length", 1.0, 0.0, 3.0, 0.01, "in")
    control.enter("1.2345")
    assert (control.value, control.text) == (1.2345, "1.2345")
    control.enter("1.2")
    assert control.text == "1.20"


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("47.18", "47.18 is taken as a decimal, 47°10′48″; 47°18′ is written 47 18"),
        ("-2,30", "-2,30 is taken as a decimal, -2°18′; -2°30′ is written -2 30"),
        ("16.3539", "16.3539 is taken as a decimal, 16°21′14.04″; 16°35′39″ is written 16 35 39"),
        ("47.75", ""), ("47.3", ""), ("47.00", ""), ("47 18", ""), ("47", ""),
    ],
)  # fmt: skip
def test_a_decimal_angle_that_looks_like_minutes_is_said_to_be_none(typed, said):
    control = angle("Angle", "10°", "-10°", "80°")
    control.enter(typed)
    assert (control.message, control.remark) == ("", said)


def test_a_quantity_may_be_not_given():
    control = quantity("Length", None, 0.0, 3.0, 0.001, "in", optional=True)
    assert (control.value, control.text, control.optional) == (None, "", True)
    control.enter("1.25")
    assert (control.value, control.text) == (1.25, "1.250")
    control.enter("  ")
    assert (control.value, control.text, control.message) == (None, "", "")
    control.limit(1.0, 2.0)
    assert control.value is None
    slope = angle("Tolerance", None, "0°", "5°", optional=True)
    assert slope.angle is None
    slope.value = 0.2
    assert slope.angle == Angle.parse("0°12′")
    with pytest.raises(traitlets.TraitError, match="None"):
        quantity("Length", None, 0.0, 3.0, 0.001)
    picked = choice("Reads", or_not_given(["radius", "diameter"]))
    assert picked.value is None
    assert picked.options[1] == ("radius", "radius")


def test_values_are_put_in_all_or_none_and_nothing_else_has_moved():
    panel = panels.ball_in_bore()
    panel.controls["edge_break"].enter("nonsense")
    before = everything(panel)
    wrong = {"ball": 1.0, "half_angle": Angle.parse("31°"), "from_set": None, "second": True}
    # A tuple where a number belongs is what an older rollback fell over.
    for name, value in {"rule": "luck", "floor_depth": (1, 2), "ball": 99.0}.items():
        with pytest.raises(ValueError, match=re.escape(str(value).split(",")[0])):
            panel.put({**wrong, name: value})
        assert everything(panel) == before
    panel.put(wrong)
    assert panel.controls["ball"].value == 1.0
    assert everything(panel) != before


def everything(panel):
    """All that a learner sees or can do at the controls."""
    return {
        name: [
            getattr(control, trait, None)
            for trait in ("value", "text", "minimum", "maximum", "unit", "options", "message")
        ]
        + [control.layout.display]
        for name, control in panel.controls.items()
    }


def test_whatever_fails_while_a_panel_takes_something_leaves_it_as_it_was(triangle):
    triangle.job, before = "old", everything(triangle)

    def take():
        with triangle.all_or_nothing():
            triangle.job = "new"
            triangle.controls["compound_travel"].limit(1.0, 2.0)
            raise KeyError("unit")

    with pytest.raises(KeyError):
        take()
    assert (triangle.job, everything(triangle)) == ("old", before)
    renders = triangle.renders
    triangle.controls["half_angle"].value = 40.0
    assert triangle.renders == renders + 1, "the panel has stopped drawing"


def test_a_button_that_writes_waits_until_every_typed_text_is_taken(triangle):
    written = []
    button = triangle.on_press("Write", lambda: written.append(1), needs_entries=True)
    control = triangle.controls["half_angle"]
    control.enter("forty-one")
    button.click()
    assert "mend what is typed first" in triangle.board.notice
    assert "forty-one" in triangle.board.notice
    assert not written
    control.enter("41")
    button.click()
    assert (triangle.board.notice, written) == ("", [1])


def test_an_angle_control_keeps_seconds_exactly():
    control = angle("Angle", "62°45′", "1°", "90°")
    assert isinstance(control, AngleQuantity)
    assert control.angle.half().dms() == "31°22′30″"
    control.enter("16 35 39.44")
    assert control.text == "16°35′39.44″"


def test_a_value_past_the_ends_is_refused_by_name():
    control = quantity("Travel", 1.0, 0.5, 3.0, 0.001, "in")
    with pytest.raises(ValueError, match=r"Travel is 3.500; it must lie between 0.500 and 3.000"):
        control.value = 3.5


def test_importing_panels_opens_no_figure_of_pyplot():
    code = (
        "import sys; from tapertrig import panels; panels.setup_triangle(); "
        "sys.exit('matplotlib.pyplot' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
