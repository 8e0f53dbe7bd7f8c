"""Lesson 01, first panel: all forms of an angle, halving in words, the drawing of both figures."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from label_checks import assert_labels_are_clear
from mpmath import mp, mpf
from reference import check_value, check_values, row_id

from tapertrig import Angle, panels
from tapertrig.draw.angle_forms import AngleFormsState, angle_corners, cone_corners
from tapertrig.panels.angle_forms_panel import halving_in_words

ANGLES = ("1°", "1°01′", "8°10′", "37°25′", "60°", "90°", "119°59′59″", "150°")


def rows(panel) -> dict[str, str]:
    return {name: value for name, value, _mark in panel.board.words["rows"]}


def cells(panel) -> list[list[str]]:
    return [[cell.label.text for cell in column] for column in panel.picture().scene.cells]


@pytest.mark.parametrize("row", check_values("iso1119-ratio", "iso1119-sp-1"), ids=row_id)
def test_a_typed_taper_has_the_angle_of_the_standard(row):
    """ISO 1119 tables (read as GOST R 53440, or from memory where the row says so)."""
    panel = panels.angle_forms(unit="mm")
    panel.controls["taper"].value = row["given"]["ratio"]
    shown = panel.last_state.included_angle
    wanted = Angle.parse(row["expected"]["dms"])
    if wanted < Angle.from_dms(1):
        assert "this picture shows 1°00′ to 150°00′" in panel.board.notice
        assert panel.last_state.included_angle == Angle.parse("37°25′")
    else:
        assert abs(shown - wanted) <= Angle.from_arc_seconds(0.001)
        assert panel.board.notice == ""


@pytest.mark.parametrize("row", check_values("iso1119-angle"), ids=row_id)
def test_an_included_angle_has_the_ratio_and_radians_of_the_standard(row):
    """ISO 1119, general-purpose series (read as GOST R 53440)."""
    panel = panels.angle_forms(included_angle=str(row["given"]["included_angle_deg"]))
    assert rows(panel)["Taper as ratio"] == f"1:{row['expected']['x']:.4f}"
    assert rows(panel)["Included, radians"] == f"{row['expected']['rad']:.6f} rad"


@pytest.mark.parametrize("name", ["r8", "5c"])
def test_taper_per_foot_of_known_machine_tapers(name):
    """Trade standards, from memory."""
    row = check_value(name)
    given = row["given"]
    included = given.get("included", f"{given.get('included_deg')}").replace(" deg ", "°")
    panel = panels.angle_forms(included_angle=included.replace(" min", "′"))
    assert (
        rows(panel)["Taper on length"] == f"{row['expected']['taper_per_foot_in']:.4f} in per foot"
    )


@pytest.mark.parametrize("row", check_values("halve-"), ids=row_id)
def test_halving_of_the_reference_angles(row):
    included = Angle.parse(row["given"]["dms"])
    degrees, minutes, seconds = re.split(r"[d'\"]", row["expected"]["half_dms"])[:3]
    words = halving_in_words(included)
    told = Angle.parse(re.search(r"Together (\S+)\.$", words)[1])
    wanted = Angle.parse(f"{degrees} {minutes} {seconds}")
    assert abs(told - wanted) <= Angle.from_arc_seconds(0.00501)


def test_halving_tells_each_carry():
    assert halving_in_words(Angle.parse("37°25′")) == (
        "37° halves to 18° and carries 30′. 25′ halves to 12′ and carries 30″; with the 30′ "
        "carried that is 42′. Together 18°42′30″."
    )
    assert halving_in_words(Angle.parse("62°45′07″")) == (
        "62° halves to 31°. 45′ halves to 22′ and carries 30″. 7″ halves to 3.5″; with the 30″ "
        "carried that is 33.5″. Together 31°22′33.50″."
    )
    assert halving_in_words(Angle.parse("20°")) == "20° halves to 10°. Together 10°00′."


@given(st.integers(1, 150 * 3600))
@settings(deadline=None)
def test_the_steps_told_add_up_to_the_half(seconds):
    """What the words carry and halve, added by itself, is half the angle."""
    included = Angle.from_arc_seconds(seconds)
    words = halving_in_words(included)
    total = sum(
        float(number) * {"°": 3600, "′": 60, "″": 1}[mark]
        for number, mark in re.findall(r"(?:halves to|carries) ([\d.]+)([°′″])", words)
    )
    assert total == pytest.approx(seconds / 2, abs=1e-9)
    for number, mark in re.findall(r"carried that is ([\d.]+)([°′″])", words):
        part = {"′": 1, "″": 2}[mark]
        half = included.half().dms_parts(2)[1:]
        assert float(number) == pytest.approx(half[part], abs=1e-9)


@pytest.mark.parametrize("style", ["desk", "projector"])
@pytest.mark.parametrize("unit", ["in", "mm"])
@pytest.mark.parametrize("angle", ANGLES)
def test_words_table_and_drawing_say_the_same(angle, unit, style):
    panel = panels.angle_forms(unit=unit, style=style, included_angle=angle)
    included = Angle.parse(angle)
    mp.dps = 30
    alpha = mpf(included.arc_seconds.numerator) / included.arc_seconds.denominator / 3600 / 2
    tan = mp.tan(alpha * mp.pi / 180)
    shown = rows(panel)
    assert shown["Included angle"] == included.brief()
    assert shown["Half angle"] == included.half().brief()
    assert shown["Half, decimal"] == f"{float(alpha):.5f}°"
    assert shown["Half, radians"] == f"{float(alpha * mp.pi / 180):.6f} rad"
    assert shown["Taper as ratio"] == f"1:{float(1 / (2 * tan)):.4f}"
    assert shown["Taper in percent"] == f"{float(200 * tan):.3f} %"
    on_length = (
        f"{float(24 * tan):.4f} in per foot" if unit == "in" else f"{float(200 * tan):.2f} mm"
    )
    assert shown["Taper on length"].startswith(on_length)
    table = cells(panel)
    assert table[0] == [
        shown["Included angle"],
        shown["Included, decimal"],
        shown["Included, radians"],
    ]
    assert table[1] == [shown["Half angle"], shown["Half, decimal"], shown["Half, radians"]]
    assert table[2] == [
        shown["Taper as ratio"],
        shown["Taper in percent"],
        shown["Taper on length"],
    ]
    assert_labels_are_clear(panel, angle)


def drawn_angle(corner, one, other) -> float:
    """Angle at a corner from three points, in degrees."""
    a, b = np.subtract(one, corner), np.subtract(other, corner)
    return math.degrees(abs(math.atan2(a[0] * b[1] - a[1] * b[0], a @ b)))


@pytest.mark.parametrize("angle", ANGLES)
def test_both_figures_are_drawn_at_the_angle(angle):
    panel = panels.angle_forms(included_angle=angle)
    scene, included = panel.picture().scene, Angle.parse(angle).degrees
    upper, corner, lower = np.column_stack(scene.sides.get_data())
    assert drawn_angle(corner, upper, lower) == pytest.approx(included, abs=1e-9)
    point, top, bottom = scene.cone.get_xy()[:3]
    assert drawn_angle(point, top, bottom) == pytest.approx(included, abs=1e-9)
    for arc, size, at in (
        (scene.half_arc, included / 2, corner),
        (scene.whole_arc, included, corner),
        (scene.cone_arc, included / 2, point),
    ):
        ends = np.column_stack(arc.get_data())
        assert drawn_angle(at, ends[0], ends[-1]) == pytest.approx(size, abs=1e-9)
    # The cone is drawn to its own ratio: length over diameter is the x of 1:x.
    length, diameter = top[0] - point[0], top[1] - bottom[1]
    assert length / diameter == pytest.approx(panel.last_state.cone.ratio, rel=1e-9)


def test_the_figures_stay_in_their_halves():
    for degrees in np.linspace(1, 150, 60):
        state = AngleFormsState(Angle.from_degrees(float(degrees)))
        for corners, left, right in (
            (angle_corners(state), 0, 7.7),
            (cone_corners(state), 7.7, 13),
        ):
            assert corners[:, 0].min() >= left
            assert corners[:, 0].max() <= right
            assert corners[:, 1].min() > 4.0
            assert corners[:, 1].max() < 9.0


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("1:0", "divides by zero"),
        ("steep", "known are Morse 0 to 7 and 4½ (MT3), Brown & Sharpe 1 to 18"),
        ("1:500", "this picture shows"),
    ],
)
def test_a_taper_that_is_none_is_told_and_the_picture_kept(typed, said):
    panel = panels.angle_forms()
    frame, words = panel.board.marks, panel.board.words
    panel.controls["taper"].value = typed
    assert said in panel.board.notice
    assert "fault" not in panel.board.notice
    assert (panel.board.marks, panel.board.words) == (frame, words)
    panel.controls["included_angle"].value = 30.0
    assert panel.board.notice == ""
    assert panel.controls["taper"].value == "", "a taper of another angle still stands there"


def test_hidden_answers_leave_only_what_is_given():
    panel = panels.angle_forms(hide_answers=True, included_angle="41°26′")
    assert [text for column in cells(panel) for text in column] == ["41°26′", *["?"] * 8]
    assert "20°43′" not in str(panel.board.words)
    panel.answers_switch.value = False
    assert cells(panel)[1][0] == "20°43′"


def test_a_taper_typed_by_its_name_says_what_it_is_and_how_that_is_known():
    panel = panels.angle_forms()
    panel.controls["taper"].value = "MT3"
    # ISO 1119 Table 2, Morse 3, from memory.
    published = Angle.parse(check_value("iso1119-sp-1-19.922")["expected"]["dms"])
    assert abs(panel.last_state.included_angle - published) <= Angle.from_arc_seconds(0.001)
    told = rows(panel)["By its name"]
    assert "0.938 in (23.825 mm) at the gauge line" in told
    assert "from memory" in told
    panel.controls["included_angle"].value = 33.5
    assert "By its name" not in rows(panel)
    panel.controls["taper"].value = "1:20"
    assert "By its name" not in rows(panel)
