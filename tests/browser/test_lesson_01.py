"""Lesson 01 as a class sees it: forms of an angle, and the scale set by eye."""

from __future__ import annotations

import pytest
from panels_seen import PanelSeen

pytestmark = pytest.mark.browser


@pytest.fixture
def page(open_lesson):
    return open_lesson("01", width=1366, height=768)


def test_forms_of_an_angle_follow_the_slider_and_the_typed_taper(page):
    panel = PanelSeen(page)
    panel.watch()
    panel.drag("Included angle", 0.05, 0.95, steps=40)
    panel.drag("Included angle", 0.95, 0.3, steps=40)
    assert panel.flickered() == []
    shown = panel.entry("Included angle").input_value()
    assert shown in panel.sentence
    assert shown in panel.alternative
    panel.type("Or type a taper", "7:24")
    assert panel.rows()["Included angle"] == "16°35′39.44″"
    assert panel.entry("Included angle").input_value() == "16°35′39.44″"
    panel.type("Or type a taper", "steep", changes=False)
    assert "no standard taper known here" in panel.notice
    panel.type("Included angle", "62 45")
    assert panel.notice == ""
    assert "31°22′30″" in panel.sentence


def test_the_scale_is_set_by_eye_and_then_tells_the_error(page):
    panel = PanelSeen(page, 2)
    panel.watch()
    panel.drag("Swing the slide", 0.13, 0.24, steps=30)
    assert panel.flickered() == []
    assert panel.entry("Swing the slide").input_value() == "by eye"
    assert panel.slider("Swing the slide").get_attribute("aria-valuetext") == "by eye"
    assert panel.rows()["Error of half angle"] == "?"
    panel.slider("Swing the slide").focus()
    for _ in range(5):
        page.keyboard.press("ArrowRight")
    panel.settle()
    panel.type("Swing the slide", "20 43", changes=False)
    assert "no number to type" in panel.message("Swing the slide")
    panel.root.get_by_label("Hide answers").uncheck()
    panel.settle()
    error = panel.rows()["Error of half angle"]
    assert error[0] in "+−"
    assert error in panel.sentence
    panel.press("Another angle")
    panel.settle()
    assert panel.rows()["Error of half angle"] == "?"
    assert panel.root.get_by_label("Hide answers").is_checked()
