"""What every picture must keep to, over its whole slider, in both styles: checked on artists."""

from __future__ import annotations

import io
from itertools import combinations

import matplotlib
import numpy as np
import pytest
from matplotlib import colors
from PIL import Image

from tapertrig import panels
from tapertrig.draw.parts.label import boxes_cross_segments
from tapertrig.draw.parts.picture import BOARD_HEIGHT, BOARD_WIDTH, Picture, _bucket, palette
from tapertrig.draw.parts.style import COLOURS, STYLE_NAMES, STYLES
from tapertrig.panels.parts.panel import Panel

NAMES = [name for name in panels.__all__ if getattr(panels, name).main]
STEPS = 25
# A panel in projector style on a 1920-pixel screen is about this wide: 1,920 less the margins
# of the page and the column of controls.
SHOWN_WIDTH = 1320
TEXT_ROLES = ("ink", "axis", "compound", "cross", "axial", "angle")


@pytest.fixture(params=[(n, s) for n in NAMES for s in STYLE_NAMES], ids="-".join)
def panel(request: pytest.FixtureRequest) -> Panel:
    name, style = request.param
    return getattr(panels, name)(style=style)


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


def shown_labels(panel: Panel):
    return [one for one in panel.picture().scene.labels if one.get_visible() and one.text]


def test_labels_stay_in_the_frame_and_off_each_other(panel):
    style = panel.picture().scene.style
    for state in states(panel):
        boxes = [(label.text, label.box) for label in shown_labels(panel)]
        for text, (left, bottom, right, top) in boxes:
            inside = left >= 0 and bottom >= 0 and right <= style.width and top <= style.height
            assert inside, f"“{text}” leaves the frame at {state}"
        for (one, a), (other, b) in combinations(boxes, 2):
            apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
            assert apart, f"“{one}” over “{other}” at {state}"


def test_no_line_runs_through_a_label(panel):
    scene = panel.picture().scene
    for state in states(panel):
        segments = scene.obstacle_segments()
        for label in shown_labels(panel):
            touched = boxes_cross_segments(np.array([label.box]), segments).any()
            assert not touched, f"a line through “{label.text}” at {state}"


def test_equal_aspect_and_fixed_limits(panel):
    scene = panel.picture().scene
    for _state in states(panel):
        assert scene.axes.get_xlim() == (0, BOARD_WIDTH)
        assert scene.axes.get_ylim() == (0, BOARD_HEIGHT)
    style = scene.style
    assert style.width / style.height == pytest.approx(BOARD_WIDTH / BOARD_HEIGHT)


def test_frames_are_small_pngs_of_the_styles_size(panel):
    style = panel.picture().scene.style
    limit = 40_000 * (style.width * style.height) / (1280 * 720)
    for state in states(panel):
        frame = panel.board.frame
        assert len(frame) <= limit, f"{len(frame)} bytes at {state}"
        assert Image.open(io.BytesIO(frame)).size == (style.width, style.height)


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
    in_picture = " | ".join(label.text for label in shown_labels(panel))
    for value in told:
        number = value.split()[0]
        if len(number) >= 5:
            assert number not in in_picture, f"{number} stands in the picture"


def test_drawing_leaves_matplotlibs_settings_alone(panel):
    before = dict(matplotlib.rcParams)
    panel.picture_under_test = Picture(panel.make_scene(panel.style_name))
    panel.picture_under_test.frame(panel.scene_state(panel.last_state))
    assert dict(matplotlib.rcParams) == before


def test_projector_text_can_be_read_from_the_last_row():
    """Capitals of at least 20 px on a 1920-pixel screen: common practice, no source."""
    style = STYLES["projector"]
    for name in NAMES:
        panel = getattr(panels, name)(style="projector")
        for label in panel.picture().scene.labels:
            assert label.cap_height * SHOWN_WIDTH / style.width >= 20, f"{name}: “{label.text}”"


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.1."""
    parts = np.array(colors.to_rgb(colour))
    linear = np.where(parts <= 0.03928, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)
    return float(linear @ [0.2126, 0.7152, 0.0722])


@pytest.mark.parametrize("role", TEXT_ROLES)
def test_contrast_of_text_is_seven_to_one(role):
    """WCAG 2.1, success criterion 1.4.6 (enhanced contrast, 7:1)."""
    assert (luminance(COLOURS["paper"]) + 0.05) / (luminance(COLOURS[role]) + 0.05) >= 7


def test_no_label_is_written_in_another_colour():
    allowed = {COLOURS[role] for role in TEXT_ROLES}
    for name in NAMES:
        for label in getattr(panels, name)().picture().scene.labels:
            assert label.colour in allowed, f"{name}: “{label.text}” in {label.colour}"


def test_named_colours_come_out_of_a_frame_exactly():
    exact = [tuple(round(255 * p) for p in colors.to_rgb(c)) for c in COLOURS.values()]
    buckets = {int(_bucket(*(np.array(part) for part in colour))) for colour in exact}
    assert len(buckets) == len(set(exact)), "two named colours fall into one bucket"
    entries, nearest = palette(tuple(sorted(COLOURS.items())))
    table = np.frombuffer(entries, np.uint8).reshape(-1, 3)
    for red, green, blue in exact:
        packed = np.uint32(red | green << 8 | blue << 16) & np.uint32(0x00F0F0F0)
        gathered = np.array([packed]) * np.uint32(1 | 1 << 12 | 1 << 24)
        place = int(gathered[0] >> np.uint32(20))
        assert tuple(table[nearest[place]]) == (red, green, blue)
