"""Lesson 12 as a class sees it: what is not given says so, and the step comes with its words."""

from __future__ import annotations

import pytest
from panels_seen import PanelSeen
from playwright.sync_api import expect

pytestmark = pytest.mark.browser


def test_the_tailstock_and_the_seam(open_lesson):
    page = open_lesson("12", width=1366, height=768)
    panel = PanelSeen(page)
    sentence = panel.root.locator(".tapertrig-sentence")
    panel.type("Half angle", "2°50′")
    expect(sentence).to_contain_text("set over by 0.4152 in")  # 8.4 × sin 2°50′
    panel.type("Tailstock sets over by at most", "0.4")
    expect(sentence).to_contain_text("further than this tailstock goes")
    panel.type("Tailstock sets over by at most", "")
    expect(sentence).to_contain_text("can it? not all is given")
    expect(panel.root.locator(".tapertrig-words")).to_contain_text("not given; loosen")
    seam = PanelSeen(page, 2)
    first, second = seam.root.locator(".tapertrig-asking").all()
    first.get_by_role("textbox").fill("proud")
    first.get_by_role("textbox").press("Enter")
    first.get_by_role("alert").filter(has_text="begins where it should").wait_for()
    first.get_by_role("button", name="Show me").click()
    second.get_by_role("textbox").fill(".00151")
    second.get_by_role("textbox").press("Enter")
    expect(seam.root.locator(".tapertrig-sentence")).to_contain_text("the second run deeper")
    seam.choose("Second run set by", "touching the wall at the seam")
    expect(seam.root.locator(".tapertrig-sentence")).to_contain_text("leaves no step")
