"""Lesson 03 as a class sees it: the slider dragged, nothing flickers, words keep up."""

from __future__ import annotations

import statistics

import pytest
from panels_seen import PanelSeen
from playwright.sync_api import expect

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
    assert hidden.slider("Half angle").is_disabled()
    first, second, third = hidden.root.locator(".tapertrig-asking").all()
    first.get_by_role("textbox").fill("1.9602")
    first.get_by_role("textbox").press("Enter")
    first.get_by_role("alert").filter(has_text="cosine for sine").wait_for()
    first.get_by_role("textbox").fill(".9988")
    first.get_by_role("button", name="Check").click()
    first.get_by_role("status").filter(has_text="Right: 0.9988 in").wait_for()
    second.get_by_role("button", name="Show me").click()
    third.get_by_role("textbox").fill("9 turns, then .1976")
    third.get_by_role("textbox").press("Enter")
    third.get_by_role("status").filter(has_text="Right: 1.9976 in").wait_for()
    hidden.settle()
    assert hidden.rows()["Cross travel"] == "0.9988 in"
    for freed in ("Half angle", "Compound travel"):
        expect(hidden.slider(freed)).to_be_enabled()
    expect(hidden.root.get_by_label("Compare with the carriage")).to_be_enabled()
    expect(hidden.root.get_by_label("Cross dial reads", exact=True)).to_be_disabled()


def test_a_lesson_leads_on_to_the_next_and_to_the_list(open_lesson):
    page = open_lesson("03", width=1366, height=768)
    ways = page.get_by_role("navigation", name="Lessons").first
    ways.scroll_into_view_if_needed()
    ways.get_by_role("link", name="Next lesson").click()
    page.wait_for_url("**/doc/tree/04-*", timeout=120_000)
    page.get_by_role("navigation", name="Lessons").first.get_by_role(
        "link", name="All lessons"
    ).click()
    page.get_by_role("button", name="03 Setup trigonometry").wait_for()


def test_practice_is_marked_in_place(open_lesson):
    page = open_lesson("03", width=1366, height=768)
    last = page.locator(".tapertrig-asking", has_text="7765")
    last.scroll_into_view_if_needed()
    last.get_by_role("textbox").fill("0.7765")
    last.get_by_role("textbox").press("Enter")
    last.get_by_role("alert").filter(has_text="diameter dial read as radius").wait_for()
    last.get_by_role("textbox").fill("7 turns 153 lines")
    last.get_by_role("textbox").press("Enter")
    last.get_by_role("status").filter(has_text="Right: 1.5530 in").wait_for()


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
