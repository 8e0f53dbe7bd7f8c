"""Lesson 03 as a class sees it: the slider dragged, nothing flickers, words keep up."""

from __future__ import annotations

import statistics

import pytest
from panels_seen import PanelSeen

pytestmark = pytest.mark.browser


@pytest.fixture
def page(open_lesson):
    return open_lesson("03", width=1366, height=768)


def test_a_class_drags_and_picks(page, record_property):
    panel = PanelSeen(page)
    panel.watch()
    panel.drag("Half angle", 0.05, 0.95, steps=60)
    panel.drag("Half angle", 0.95, 0.3, steps=60)
    assert panel.flickered() == []
    assert panel.page.evaluate("() => window.frames_seen") > 5
    shown = panel.entry("Half angle").input_value()
    assert shown in panel.sentence
    assert shown in panel.alternative

    panel.type("Half angle", "30°")
    times = [panel.timed_key("Half angle", "ArrowRight") for _ in range(20)]
    record_property("median_ms_from_key_to_picture", statistics.median(times))
    print(f"median from key to picture: {statistics.median(times):.0f} ms")
    panel.settle()
    assert panel.entry("Half angle").input_value() == "30°20′"

    panel.press("List whole-graduation setups")
    listed = panel.root.get_by_label("Whole-graduation setups", exact=False)
    listed.locator("option").nth(3).wait_for()
    words = listed.locator("option").nth(1).inner_text()
    listed.locator("option").nth(1).click()
    panel.settle()
    assert panel.entry("Compound travel").input_value() == words.replace("\xa0", " ").split(" ")[0]

    hidden = PanelSeen(page, 1)
    assert "27°00′" in hidden.sentence, "what is given is hidden too"
    assert hidden.rows()["Cross travel"] == "?"
    hidden.root.get_by_label("Hide answers").uncheck()
    hidden.settle()
    assert hidden.rows()["Cross travel"] == "0.9988 in"


def test_projector_style_without_a_restart(open_lesson):
    page = open_lesson("03", width=1920, height=1080)
    panel = PanelSeen(page)
    panel.root.get_by_label("Projector style").check()
    page.wait_for_function(
        "svg => svg.viewBox.baseVal.width === 16000", arg=panel.image.element_handle()
    )
    box = panel.image.bounding_box()
    assert box["width"] >= 1280, "too small for the last row"
    assert box["height"] <= 900, "taller than the screen leaves room for"
