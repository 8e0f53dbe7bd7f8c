"""Lesson 10 as a class sees it: a sweep tells the swing, and what is not given says so."""

from __future__ import annotations

import pytest
from panels_seen import PanelSeen
from playwright.sync_api import expect

pytestmark = pytest.mark.browser


def test_a_sweep_tells_the_swing(open_lesson):
    page = open_lesson("10", width=1366, height=768)
    panel = PanelSeen(page)
    sentence, words = (panel.root.locator(f".tapertrig-{one}") for one in ("sentence", "words"))
    panel.type("Needle at the large end, + pushed in", "0.0021")
    # The mean of −.0021 and .0019 is −.0001: × cos 13°25′ ÷ 2 in is 10″.
    expect(sentence).to_contain_text("swing further 0°00′10″")
    expect(words).to_contain_text("without the taper's own error, which is not given")
    panel.choose("Cone", "internal")
    expect(words).to_contain_text("the far side")
