"""What every picture must keep to, in all its placements: checked on artists and marks."""

from __future__ import annotations

import json
import random
import re
from xml.etree import ElementTree

import matplotlib
import numpy as np
import pytest
import shapely
from cases import cases
from label_checks import assert_labels_are_clear, shown_labels
from matplotlib import colors

from tapertrig import panels
from tapertrig.draw.indicating_bench import dial_words
from tapertrig.draw.parts.drawing import Drawing
from tapertrig.draw.parts.label import Label, Placer, Wish
from tapertrig.draw.parts.scene import BOARD_WIDTH
from tapertrig.draw.parts.style import COLOURS, NARROW, STYLE_NAMES, STYLES
from tapertrig.panels.parts.controls import Quantity
from tapertrig.panels.parts.panel import Panel
from tapertrig.panels.parts.view import style_sheet

NAMES = [name for name in panels.__all__ if getattr(panels, name).main]
STEPS = 25
# A panel that fills a 1920 × 1080 screen leaves the picture at least so much of its width, with
# four lines of words beneath it: measured in Chromium by the browser tests of presenting.
SHOWN_WIDTH = 1430
TEXT_ROLES = ("ink", "axis", "compound", "cross", "axial", "angle")


@pytest.fixture(params=[(n, s) for n in NAMES for s in (*STYLE_NAMES, NARROW)], ids="-".join)
def panel(request: pytest.FixtureRequest) -> Panel:
    name, style = request.param
    made = getattr(panels, name)(style="desk" if style == NARROW else style)
    if style == NARROW:
        made.board.room = "narrow"
    return made


def states(panel: Panel):
    """Moves the main slider over its span; yields its text at each state that is drawn."""
    control = panel.controls[panel.main]
    length = control.maximum - control.minimum
    low, high = panel.main_span
    yield "the start"
    for part in np.linspace(low, high, STEPS):
        before = panel.renders
        steps = round(part * length / control.step)
        control.value = min(control.minimum + steps * control.step, control.maximum)
        if panel.renders > before or part == low:
            yield control.text


def test_labels_stay_clear_all_along_the_slider(panel):
    for state in states(panel):
        assert_labels_are_clear(panel, state)


def put_if_it_goes(panel, control, value):
    """Put a value into a control; one that does not go with the others is put back."""
    before = control.value
    control.value = value
    try:
        panel.words(panel.read_state())
    except ValueError:
        control.value = before


@pytest.mark.parametrize("name", NAMES)
def test_labels_stay_clear_at_random_states(name):
    """Every number and every choice of a panel at random, in each placement and both units.

    What does not go with the others stays as it was: else some panels drew nothing.
    """
    chance = random.Random(name)
    count = cases(4, 420)
    for unit in ("in", "mm"):
        panel, drawn = getattr(panels, name)(unit=unit), 0
        for _ in range(count):
            for control in panel.controls.values():
                options = getattr(control, "_options_full", None)
                if options and chance.random() < 0.3:
                    put_if_it_goes(panel, control, chance.choice(options)[1])
            for control in panel.controls.values():
                if isinstance(control, Quantity) and not control.disabled:
                    with panel.quiet():
                        put_if_it_goes(
                            panel, control, chance.uniform(control.minimum, control.maximum)
                        )
            before = panel.renders
            panel.guard(panel.render)
            assert "fault" not in panel.board.notice
            if panel.renders == before:
                continue
            drawn += 1
            state = {key: getattr(c, "value", None) for key, c in panel.controls.items()}
            for placement in (*STYLE_NAMES, NARROW):
                panel.style_switch.value = placement == "projector"
                panel.board.room = "narrow" if placement == NARROW else "wide"
                assert_labels_are_clear(panel, (unit, placement, state))
                # Names of parts and numbers on a scale make room on a phone, nothing else.
                left_out = [
                    wish.label.text
                    for wish in panel.picture().scene.wishes
                    if wish.label.dropped and not wish.rank and not wish.has_one_place
                ]
                assert not any(left_out), (unit, placement, state)
        assert drawn > count / 5


def test_equal_aspect_and_fixed_limits(panel):
    scene = panel.picture().scene
    style = scene.style
    for _state in states(panel):
        assert scene.axes.get_xlim() == (0, BOARD_WIDTH)
        low, high = scene.axes.get_ylim()
        assert (high - low) / BOARD_WIDTH == pytest.approx(style.height / style.width)
        assert low <= 0 < 9 <= high


CIRCLE = r"M-?\d+ -?\d+(a[\d.]+ [\d.]+ 0 1 0 -?\d+ 0){2}z"
NUMBERS = re.compile(CIRCLE + r"|M-?\d+ -?\d+(?:[hv]-?\d+|l-?\d+[ -]\d+|M-?\d+ -?\d+)*z?")


def test_a_move_sends_whole_numbers_of_known_roles_and_little_of_them(panel):
    sent = []
    panel.board.send = lambda message, buffers=None: sent.append(message)
    for _state in states(panel):
        pass
    assert sent
    for message in sent:
        told = json.dumps(message, ensure_ascii=False, separators=(",", ":"))
        assert len(told.encode()) <= 3000, f"{len(told.encode())} bytes"
    for mark_id, mark in panel.board.marks.items():
        if mark_id[0] == "t":
            assert not mark[0] or mark[4] in TEXT_ROLES
            assert all(isinstance(part, int) for part in mark[1:4])
        else:
            assert not mark[0] or NUMBERS.fullmatch(mark[0]), mark
            assert {mark[1], mark[2]} <= {"", *COLOURS}


def test_what_is_sent_adds_up_to_what_is_shown(panel):
    """A view that hears every message ends with the marks that a new view begins with."""
    shown, rows = dict(panel.board.marks), list(panel.board.words["rows"])

    def hear(message, buffers=None):
        told = zip(message["rows"], [*rows, *[[]] * len(message["rows"])], strict=False)
        rows[:] = [
            row if isinstance(row, list) else [old[0], row if row != 0 else old[1], old[2]]
            for row, old in told
        ]
        for mark_id, changed in message["marks"].items():
            shown[mark_id] = (*changed, *shown[mark_id][len(changed) :])

    panel.board.send = hear
    for _state in states(panel):
        assert shown == panel.board.marks
        assert rows == panel.board.words["rows"]
    assert [list(pair) for pair in shown.items()] == [
        list(pair) for pair in panel.board.get_state()["whole"]["marks"]
    ]
    assert panel.board.get_state()["whole"]["sentence"] == panel.board.words["sentence"]


def test_still_pictures_for_code_hosts_and_for_paper(panel):
    frame, words = panel.still()
    assert frame.startswith(b"\x89PNG")
    assert panel.still() == (frame, words), "the same each time"
    svg, told = panel.still_svg()
    assert told == words
    root = ElementTree.fromstring(svg)
    written = {text.text for text in root.iter("{http://www.w3.org/2000/svg}text")}
    if panel.placement != NARROW:
        assert written == {label.text for label in shown_labels(panel.picture().scene)}
    assert len(written) > 2


def test_hidden_answers_are_in_neither_words_nor_picture(panel):
    if not panel.can_hide:
        pytest.skip("nothing to hide")
    rows = panel.words(panel.last_state).rows
    given = {row.value for row in rows if not row.answer}
    told = {row.value for row in rows if row.answer} - given
    panel.answers_switch.value = True
    shown = {value for _name, value, _mark in panel.board.words["rows"]}
    assert not told & shown
    assert panel.words(panel.last_state).sentence != panel.board.words["sentence"]
    in_picture = " | ".join(label.text for label in shown_labels(panel.picture().scene))
    for value in told:
        number = value.split()[0]
        if len(number) >= 5:
            assert number not in in_picture, f"{number} stands in the picture"


def test_drawing_leaves_matplotlibs_settings_alone(panel):
    before = dict(matplotlib.rcParams)
    drawing = Drawing(panel.make_scene(panel.placement))
    drawing.show(panel.scene_state(panel.last_state))
    drawing.png()
    assert dict(matplotlib.rcParams) == before


def test_projector_text_can_be_read_from_the_last_row():
    """Capitals of at least 28 px of 1080: common practice, no source."""
    style = STYLES["projector"]
    for name in NAMES:
        panel = getattr(panels, name)(style="projector")
        for label in panel.picture().scene.labels:
            assert label.cap_height * SHOWN_WIDTH / style.width >= 28, f"{name}: “{label.text}”"


def test_words_on_a_phone_are_twelve_pixels_high():
    """The picture is shown 320 px wide there; 12 px is common practice, no source."""
    style = STYLES[NARROW]
    assert min(style.sizes.values()) * 320 / style.width >= 12


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.1."""
    parts = np.array(colors.to_rgb(colour))
    linear = np.where(parts <= 0.03928, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)
    return float(linear @ [0.2126, 0.7152, 0.0722])


def themes() -> list[dict[str, str]]:
    """The colours of each role, by theme, as the style sheet has them: light, then dark."""
    rules = re.findall(r"{([^{}]*--tapertrig-paper: #[^{}]*)}", style_sheet("drawing"))
    return [dict(re.findall(r"--tapertrig-([\w-]+): (#\w+)", rule)) for rule in rules]


def test_the_style_sheet_has_the_colours_of_the_still_pictures():
    light, dark = themes()
    for role, colour in COLOURS.items():
        assert colors.to_rgb(light[role.replace(" ", "-")]) == colors.to_rgb(colour), role
        assert role.replace(" ", "-") in dark


@pytest.mark.parametrize("role", TEXT_ROLES)
def test_contrast_of_text_is_seven_to_one(role):
    """WCAG 2.1, success criterion 1.4.6 (enhanced contrast, 7:1), light and dark."""
    for theme in themes():
        pair = sorted((luminance(theme["paper"]), luminance(theme[role])))
        assert (pair[1] + 0.05) / (pair[0] + 0.05) >= 7


def test_no_label_is_written_in_another_colour():
    allowed = {COLOURS[role] for role in TEXT_ROLES}
    for name in NAMES:
        for label in getattr(panels, name)().picture().scene.labels:
            assert label.colour in allowed, f"{name}: “{label.text}” in {label.colour}"


@pytest.mark.parametrize("placement", STYLES)
def test_every_placement_shows_the_bench_its_dials_names_and_the_indicators_numbers(placement):
    panel = panels.indicating_bench()
    drawing = panel.picture(placement)
    drawing.show(panel.scene_state(panel.last_state))
    shown = [label.text for label in shown_labels(drawing.scene)]
    for start in ("compound dial: ", "cross dial: ", "off the quill", "from zero ", "compound"):
        assert any(text.startswith(start) for text in shown), start
    for number in ("0", "10", "20", "30", "40"):
        assert shown.count(number) >= (1 if number in ("0", "40") else 2), number


@pytest.mark.parametrize("name", ["indicating_bench", "job_sheet", "sweep_clearance"])
def test_at_a_desk_every_part_of_the_lathe_is_named_to_begin_with(name):
    for unit in ("in", "mm"):
        wishes = getattr(panels, name)(unit=unit).picture().scene.wishes
        named = [wish.label for wish in wishes if wish.rank and wish.label.text]
        assert len(named) >= 5
        assert not [label.text for label in named if not label.shown]


def test_on_a_phone_what_is_swung_run_and_read_is_named_beside_a_bore():
    """Where there is no room for all names, other parts go without."""
    panel = panels.job_sheet()
    panel.board.room = "narrow"
    for angle in (8.0, panel.included_angle.value, 72.0, 120.0, 174.0):
        panel.included_angle.value = angle
        shown = {label.text for label in shown_labels(panel.picture().scene)}
        assert shown >= {"compound", "cross slide", "indicator"}, angle


def test_on_a_phone_the_words_of_the_dials_stand_clear_of_the_edge_and_the_machine():
    """By a few pixels of 390; what a dial shows is the longest where it is below zero."""
    panel = panels.indicating_bench(seed=7)
    panel.board.room = "narrow"
    scene = panel.picture().scene
    pixels = scene.pixels_per_unit
    names = [scene.compound_dial.name.label, scene.cross_dial.name.label]
    told = [scene.compound_words.label, scene.cross_words.label]
    assert all("0.0" in label.text for label in told)
    for label in (*names, *told):
        left, _bottom, right, _top = label.box
        assert right < scene.style.width - 6, label.text
        assert left > 8.3 * pixels + 4, f"{label.text}: the tailstock ends at 8.3"


@pytest.mark.parametrize(
    ("name", "stacks"),
    [
        ("over_rolls", [["half angle", "12°", "± 0°"], ["small diameter", "⌀ 1.17", "± 0.0"]]),
        ("ball_in_bore", [["micrometer reads", "0.2"], ["ball", "⌀ 1.25"], ["calipers say", "⌀"]]),
    ],
)
def test_on_a_phone_a_value_stands_right_under_its_name(name, stacks):
    panel = getattr(panels, name)()
    panel.board.room = "narrow"
    shown = shown_labels(panel.picture().scene)
    for stack in stacks:
        above = next(label for label in shown if label.text == stack[0])
        for start in stack[1:]:
            near = [one for one in shown if abs(one.left - above.left) < 1 and one is not above]
            below = max((one for one in near if one.bottom < above.bottom), key=lambda x: x.bottom)
            assert below.text.startswith(start), (above.text, below.text)
            assert above.bottom - below.bottom < 1.3 * above.height
            above = below


def test_a_label_finds_the_one_strip_that_is_clear():
    """Ruled all over but for a strip at the right edge, hardly wider than the words."""
    wish = Wish(Label("gap 0.00317 in on radius", size=42, colour="black"), anchor=(200, 450))
    placer = Placer(1600, 900, 1.8)
    wall = placer.frame[2] - placer.margin - wish.label.width - 2
    ruled = [[0, y, wall, y] for y in range(0, 900, 30)]
    placer.place([wish], np.array([*ruled, [wall, 0, wall, 900]], float))
    left, low, right, high = wish.label.box
    assert wall < left < right < 1600
    assert 0 < low < high < 900


@pytest.mark.parametrize("unit", ["in", "mm"])
@pytest.mark.parametrize("placement", [*STYLE_NAMES, NARROW])
def test_the_line_to_the_half_angle_crosses_no_travel(placement, unit):
    """Over all angles, as the slider goes through them."""
    panel, led = panels.setup_triangle(unit=unit), 0
    drawing = panel.picture(placement)
    scene = drawing.scene
    for degrees in range(1, 90):
        panel.set(half_angle=f"{degrees}°")
        drawing.show(panel.scene_state(panel.last_state))
        lead = scene.angle_words.leader
        if lead.get_visible():  # else it stands close by
            led += 1
            way = shapely.LineString(np.column_stack(lead.get_data()))
            for travel in (scene.cross, scene.axial):
                side = shapely.LineString(np.column_stack(travel.get_data()))
                assert not way.intersects(side), degrees
    assert led > 10 or placement == "desk"


@pytest.mark.parametrize(
    "start",
    [
        {},
        {"unit": "mm"},
        {"half_angle": "52°20′"},
        {"hand": "reversal inside the backlash", "hide_answers": True},
    ],
)
def test_each_ring_of_the_bench_stands_at_what_is_told_from_its_zero(start):
    """The numbers beside the index are read as a class reads them: a run ends short of a turn."""
    panel, moved = panels.watch_it_done(**start), 0
    for number in range(0, int(panel.step.maximum) + 1):
        panel.set(step=number)
        state, scene = panel.scene_state(panel.last_state), panel.picture().scene
        for name, ring in (("compound", scene.compound_dial), ("cross", scene.cross_dial)):
            dial = state.conditions.dial(name)
            near = sorted(
                (one for one in ring.numbers if one.label.get_visible()),
                key=lambda one: abs(one.anchor[0] - ring.x * scene.pixels_per_unit),
            )[:2]
            (x, low), (other, high) = ((one.anchor[0], int(one.label.text)) for one in near)
            turn = dial.graduations_per_turn
            apart = (high - low + turn / 2) % turn - turn / 2
            at = low + apart * (ring.x * scene.pixels_per_unit - x) / (other - x)
            words = dial_words(state, name)
            told = float(words.split()[0]) * (-1) ** words.endswith("back") / dial.graduation
            assert abs((at - told + turn / 2) % turn - turn / 2) < 0.8, (number, name, at, told)
            moved += abs(told) > 5
    assert moved > 5
