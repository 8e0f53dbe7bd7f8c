"""Lesson 11 as a class sees it: a relief cut deeper narrows the seat, typed and asked."""

from __future__ import annotations

import pytest
from panels_seen import PanelSeen
from playwright.sync_api import expect

pytestmark = pytest.mark.browser


def test_a_deeper_relief_narrows_the_seat_and_a_width_across_is_named(open_lesson):
    page = open_lesson("11", width=1366, height=768)
    panel = PanelSeen(page)
    sentence = panel.root.locator(".tapertrig-sentence")
    # (1.236 − 1.148) ÷ (2 × sin 41°40′), by hand.
    expect(sentence).to_contain_text("the seat 0.0662 in wide along its wall")
    panel.type("Cross movement", "0.008")
    expect(sentence).to_contain_text("the seat 0.0505 in wide")
    panel.type("Cross movement", "0.04")
    expect(sentence).to_contain_text("no seat left")
    asked = PanelSeen(page, 1)
    first = asked.root.locator(".tapertrig-asking").first
    first.get_by_role("textbox").fill(".040")
    first.get_by_role("textbox").press("Enter")
    first.get_by_role("alert").filter(has_text="across, square to the axis").wait_for()
