"""Lesson 01, second panel: the scale is to scale, the error is right, the swing has no number."""

from __future__ import annotations

import math

import numpy as np
import pytest
from label_checks import assert_labels_are_clear
from mpmath import mp, mpf
from reference import check_value

from tapertrig import Angle, panels
from tapertrig.draw.base_scale import (
    BOARD_WIDTH,
    GOOD_EYE_MINUTES,
    RIM_Y,
    UNITS_PER_INCH,
    error_text,
    lines_in_view,
    number_on_scale,
)

PARALLEL, SQUARE = "parallel to bed", "square to bed"


def rows(panel) -> dict[str, str]:
    return {name: value for name, value, _mark in panel.board.words["rows"]}


def drawn_lines(panel) -> tuple[np.ndarray, np.ndarray]:
    """Rim ends and inner ends of the degree lines, from the artist, in board units."""
    points = np.column_stack(panel.picture().scene.marks.get_data())
    return points[0::3], points[1::3]


def reading_as_drawn(panel) -> float:
    """What a person with a perfect eye reads: between the lines beside the pointer, by angle."""
    radius = panel.last_state.rim_radius
    outer, _inner = drawn_lines(panel)
    turn = np.degrees(np.arctan2(outer[:, 0] - BOARD_WIDTH / 2, outer[:, 1] - (RIM_Y - radius)))
    degrees = lines_in_view(panel.last_state)
    order = np.argsort(turn)
    return float(np.interp(0.0, turn[order], degrees[order]))


@pytest.mark.parametrize("style", ["desk", "projector"])
@pytest.mark.parametrize("unit", ["in", "mm"])
@pytest.mark.parametrize("zero", [PARALLEL, SQUARE])
@pytest.mark.parametrize("swing", [0.0, 12.0, 20 + 43 / 60, 45.0, 89.5, 90.0])
def test_the_lines_drawn_read_what_the_base_reads(swing, zero, unit, style):
    panel = panels.base_scale(unit=unit, style=style, base_zero=zero, swing=swing)
    wanted = swing if zero == PARALLEL else 90 - swing
    assert reading_as_drawn(panel) == pytest.approx(wanted, abs=1e-7)
    assert_labels_are_clear(panel, (swing, zero))


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_drawn_to_scale(unit):
    panel = panels.base_scale(unit=unit)
    state = panel.last_state
    inches = state.lathe.base_radius / (1 if unit == "in" else 25.4)
    assert state.rim_radius == pytest.approx(inches * UNITS_PER_INCH)
    outer, _inner = drawn_lines(panel)
    apart = np.linalg.norm(np.diff(outer, axis=0), axis=1) / UNITS_PER_INCH
    assert apart == pytest.approx(2 * inches * math.sin(math.radians(0.5)), rel=1e-9)
    assert UNITS_PER_INCH * 8 / BOARD_WIDTH == 5, "5× on a picture 8 in wide"
    bar = panel.picture().scene.size_bar.get_xdata()
    length = (bar[4] - bar[3]) / UNITS_PER_INCH
    assert length == pytest.approx(0.1 if unit == "in" else 2 / 25.4)
    half_a_place = 5.1e-5 if unit == "in" else 5.1e-4
    degree = math.radians(1) * state.lathe.base_radius
    for name, wanted in (("degree", degree), ("minute", degree / 60)):
        told = float(rows(panel)[f"One {name} on the rim"].split()[0])
        assert told == pytest.approx(wanted, abs=half_a_place)


@pytest.mark.parametrize("style", ["desk", "projector"])
@pytest.mark.parametrize("radius", [1.5, 2.125, 4.5])
def test_lines_are_as_thick_as_the_gaps_between_them(radius, style):
    """Half a degree of the rim each, with ends cut square: an arc is angle times radius."""
    panel = panels.base_scale(style=style, base_radius=radius, swing=25.5, hide_answers=True)
    units = panel.picture().scene.pixels_per_unit
    scene = panel.picture().scene
    assert scene.pointer.get_linewidth() == scene.marks.get_linewidth()
    thick = scene.marks.get_linewidth() / 72 * scene.figure.dpi / units
    assert thick == pytest.approx(math.radians(0.5) * panel.last_state.rim_radius)
    _way, role, _fill, width, dash, _opacity = panel.board.marks[scene.marks.get_gid()]
    assert (role, dash) == ("ink", "none"), "square ends"
    assert width / 10 == pytest.approx(thick * units, abs=0.05)


def test_numbers_on_the_scale_fall_again_past_zero_and_ninety():
    assert [number_on_scale(n) for n in (-10, 0, 10, 80, 90, 100)] == [10, 0, 10, 80, 90, 80]
    panel = panels.base_scale(swing=1.0)
    scene = panel.picture().scene
    shown = [
        (wish.label.left, wish.label.text) for wish in scene.numbers if wish.label.get_visible()
    ]
    assert [text for _left, text in sorted(shown)] == ["20", "10", "0", "10", "20"]


@pytest.mark.parametrize("zero", [PARALLEL, SQUARE])
def test_swinging_turns_the_base_clockwise_whatever_its_zero(zero):
    """An internal cone's way: headstock end away from the operator, clockwise from above."""
    panel = panels.base_scale(swing=30.0, base_zero=zero)
    before = dict(zip(lines_in_view(panel.last_state), drawn_lines(panel)[0][:, 0], strict=True))
    panel.controls["swing"].value = 31.0
    after = dict(zip(lines_in_view(panel.last_state), drawn_lines(panel)[0][:, 0], strict=True))
    for degree in set(before) & set(after):
        assert after[degree] > before[degree]


def test_base_whose_zero_is_square_must_read_the_complement():
    """Turning and Boring (1914): 30° to the axis is set as 60°; US Navy 14345 says the same."""
    row = check_value("boring1914-30axis")
    wanted = str(row["given"]["angle_with_axis_deg"])
    panel = panels.base_scale(half_angle=wanted, base_zero=SQUARE)
    assert rows(panel)["Base must read"] == f"{row['expected']['scale_deg']}°00′"


@pytest.mark.parametrize(("unit", "length"), [("in", 0.64), ("mm", 16.0)])
@pytest.mark.parametrize("minutes", [-60, -7, 0, 1, 15, 240])
@pytest.mark.parametrize("wanted", ["8°21′", "20°43′", "60°"])
def test_error_and_what_it_does_to_the_diameter(wanted, minutes, unit, length):
    """2ℓ[tan(α + δ) − tan α] by mpmath at 30 digits."""
    alpha = Angle.parse(wanted)
    swing = alpha.degrees + minutes / 60
    panel = panels.base_scale(unit=unit, half_angle=wanted, swing=swing, cone_length=length)
    mp.dps = 30
    tan = [
        mp.tan(mpf(value) * mp.pi / 180) for value in (alpha.degrees + minutes / 60, alpha.degrees)
    ]
    out = abs(float(2 * length * (tan[0] - tan[1])))
    places = 4 if unit == "in" else 3
    shown = rows(panel)
    assert shown["Diameter out by"] == f"{out:.{places}f} {unit} over {length:.{places}f} {unit}"
    texts = [label.text for label in panel.picture().scene.labels if label.get_visible()]
    assert f"diameter out {out:.{places}f} {unit}" in texts
    assert f"out by {shown['Error of half angle']}" in texts
    assert state_minutes(shown["Error of half angle"]) == minutes


def state_minutes(text: str) -> float:
    sign = -1 if text[0] == "−" else 1
    degrees, _, minutes = text[1:].rpartition("°")
    return sign * (60 * float(degrees or 0) + float(minutes.strip("′") or 0))


def test_error_is_written_with_its_sign():
    assert error_text(Angle.from_dms(0, 7)) == "+7′"
    assert error_text(-Angle.from_dms(0, 7, 30)) == "−7.5′"
    assert error_text(-Angle.from_dms(2, 10)) == "−2°10′"


def test_the_arrow_stands_at_the_error_on_its_scale():
    panel = panels.base_scale(half_angle="20°", swing=20.5)
    arrow = panel.picture().scene.arrow
    assert arrow.get_xy()[0][0] == pytest.approx(5.0 + 30 * 4 / 60)
    panel.controls["swing"].value = 19.75
    assert arrow.get_xy()[0][0] == pytest.approx(5.0 - 15 * 4 / 60)
    assert GOOD_EYE_MINUTES == 15  # about a quarter of a degree: common practice, no source


@pytest.mark.parametrize("style", ["desk", "projector"])
@pytest.mark.parametrize("radius", [1.5, 2.125, 4.5])
@pytest.mark.parametrize("zero", [PARALLEL, SQUARE])
def test_labels_are_clear_at_every_radius_and_error(style, radius, zero):
    panel = panels.base_scale(style=style, base_radius=radius, base_zero=zero)
    for swing in (0.0, 5.0, 14.0, 18.0, 20.0, 20 + 43 / 60, 21.5, 26.0, 33.0, 41.0, 69.3, 88.0):
        panel.controls["swing"].value = swing
        assert_labels_are_clear(panel, swing)


def test_the_place_wanted_is_marked_where_it_is():
    panel = panels.base_scale(half_angle="20°43′", swing=22.0)
    scene, state = panel.picture().scene, panel.last_state
    rim = np.column_stack(scene.aim.get_data())[0]
    turn = math.degrees(math.atan2(rim[0] - 8, rim[1] - (RIM_Y - state.rim_radius)))
    assert turn == pytest.approx(22.0 - (20 + 43 / 60), abs=1e-9)
    panel.controls["swing"].value = 70.0
    assert not scene.aim.get_visible()


def test_the_complement_on_the_wrong_zero_is_recognised():
    panel = panels.base_scale(base_zero=SQUARE, swing=69 + 17 / 60)
    assert rows(panel)["Base reads"].startswith("20°43′")
    assert "must read 69°17′" in rows(panel)["Mind"]
    panel.controls["swing"].value = 20.75
    assert "Mind" not in rows(panel)
    panel = panels.base_scale(base_zero=PARALLEL, swing=69 + 17 / 60)
    assert "must read 20°43′" in rows(panel)["Mind"]


def test_the_swing_tells_no_number_until_the_error_is_shown():
    panel = panels.base_scale(hide_answers=True, swing=20.75)
    control = panel.controls["swing"]
    said = f"{control.text} {control.message} {panel.board.words} {panel.still()[1]}"
    said += " ".join(label.text for label in panel.picture().scene.labels if label.get_visible())
    assert "20°45′" not in said
    assert "+2′" not in said
    assert "between 20° and 21°" in said
    assert not panel.picture().scene.arrow.get_visible()
    control.enter("20 43")
    assert "no number to type" in control.message
    assert panel.last_state.swing == Angle.parse("20°45′")
    panel.answers_switch.value = False
    assert "+2′" in panel.still()[1]
    assert panel.picture().scene.arrow.get_visible()


def test_a_swing_past_the_ends_is_refused_without_a_number():
    with pytest.raises(ValueError, match="must lie between 0° and 90°"):
        panels.base_scale(swing=91.0)


def test_another_angle_hides_the_error_again():
    panel = panels.base_scale()
    renders, first = panel.renders, panel.last_state.wanted
    panel.presses.children[0].click()
    assert panel.hiding
    assert panel.last_state.wanted != first
    assert panel.renders == renders + 1
    assert panel.board.notice == ""


def test_wrong_lengths_are_told_beside_their_controls():
    panel = panels.base_scale()
    frame = panel.board.marks
    for name, typed in (("cone_length", "0"), ("base_radius", "nought"), ("half_angle", "90")):
        panel.controls[name].enter(typed)
        assert panel.controls[name].message
        assert panel.board.marks == frame
