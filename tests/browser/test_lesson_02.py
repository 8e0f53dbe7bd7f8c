"""Lesson 02 as a class sees it: equal angles, the turn into the lathe, the prediction."""

from __future__ import annotations

import pytest
from panels_seen import PanelSeen

pytestmark = pytest.mark.browser


@pytest.fixture
def page(open_lesson):
    return open_lesson("02", width=1366, height=768)


def test_the_figure_turns_into_the_lathe(page):
    panel = PanelSeen(page)
    panel.watch()
    panel.drag("Angle of the line", 0.05, 0.95, steps=40)
    panel.drag("Turn into the lathe", 0.0, 1.0, steps=40)
    assert panel.flickered() == []
    angle = panel.entry("Angle of the line").input_value()
    assert angle in panel.sentence
    assert "half angle of the internal cone" in panel.sentence
    assert panel.rows()["Base reads"].startswith(angle)
    panel.choose("Look at", "alternate angles")
    panel.settle()
    assert panel.rows()["Looked at"].startswith("4 and 6 are alternate")
    panel.choose("Cone", "external, small end at tailstock")
    panel.settle()
    assert panel.rows()["Headstock end swings"] == "towards you"


def test_the_prediction_is_kept_until_shown(page):
    panel = PanelSeen(page, 2)
    assert panel.rows()["Base reads"] == "?"
    assert "55°50′" not in panel.sentence
    assert "55°50′" not in page.content(), "the answer is in the page before it is given"
    assert panel.slider("Angle of the line").is_disabled()
    for number, wrong, right in (
        (1, "1 3 5 7", "2 4 6 8"), (2, "34 10", "55 50"), (3, "towards", "away"),
    ):  # fmt: skip
        entry = panel.root.locator(".tapertrig-asking").nth(number - 1)
        entry.get_by_role("textbox").fill(wrong)
        entry.get_by_role("textbox").press("Enter")
        entry.get_by_role("alert").filter(has_text="Not right").wait_for()
        entry.get_by_role("textbox").fill(right)
        entry.get_by_role("button", name="Check").click()
        entry.get_by_role("status").filter(has_text="Right").wait_for()
    panel.settle()
    assert panel.rows()["Base reads"] == "55°50′ = 90° − a"
    assert panel.rows()["Half angle"] == "marks 2, 4, 6, 8"
    panel.type("Angle of the line", "8", changes=False)
    assert "must lie between" in panel.message("Angle of the line")
