"""Lessons 05 to 07: sliders dragged, picture and words agree, predictions first, one job."""

from __future__ import annotations

import dataclasses
import math

import pytest
from panels_seen import PanelSeen, open_folds
from playwright.sync_api import expect

from tapertrig import demo
from tapertrig.job import Cutting
from tapertrig.panels.parts.job_list import CHOSEN

pytestmark = pytest.mark.browser

TOOL = "Tool above centre (below: minus)"
# Lesson, the panel's place in it, its main slider, and a row that follows the slider.
SHOWN = [
    ("05", 0, "Half angle", "Standard uncertainty of α"),
    ("06", 0, "Movement", "Face diameter after the cut"),
    ("06", 3, TOOL, "Half angle too small by"),
]
ASKED = [
    ("05", 1, "Half angle", "Standard uncertainty of α"),
    ("05", 2, "Half angle out by", "Gap, on radius"),
    ("06", 1, "Movement", "Face diameter after the cut"),
    ("06", 2, TOOL, "Half angle too small by"),
    ("06", 4, "Half angle", "Least distance to the quill"),
    ("07", 1, "Height of the ball's top", "Face diameter"),
]


@pytest.mark.parametrize(("lesson", "place", "slider", "row"), SHOWN)
def test_picture_and_words_follow_the_slider(open_lesson, lesson, place, slider, row):
    panel = PanelSeen(open_lesson(lesson, style="desk", width=1366, height=768), place)
    panel.watch()
    panel.drag(slider, 0.3, 0.6)
    before, picture = panel.rows()[row], panel.picture()
    panel.drag(slider, 0.6, 0.75)
    assert panel.flickered() == []
    assert panel.notice == ""
    assert panel.picture() != picture
    assert panel.rows()[row] != before
    assert panel.sentence in panel.alternative


@pytest.mark.parametrize(("lesson", "place", "slider", "row"), ASKED)
def test_a_prediction_comes_first_and_then_the_slider_is_free(
    open_lesson, lesson, place, slider, row
):
    panel = PanelSeen(open_lesson(lesson, style="desk", width=1366, height=768), place)
    expect(panel.slider(slider)).to_be_disabled()
    assert panel.rows()[row] == "?"
    assert "Answers are hidden" in panel.alternative
    for question in panel.root.locator(".tapertrig-asking").all():
        question.get_by_role("button", name="Show me").click()
    shown = panel.root.locator(
        ".tapertrig-words dl > div", has=panel.page.get_by_text(row, exact=True)
    )
    expect(shown).not_to_contain_text("?")
    expect(panel.slider(slider)).to_be_enabled()
    before = panel.picture()
    panel.drag(slider, 0.3, 0.6)
    assert panel.picture() != before
    assert panel.notice == ""


@pytest.fixture
def ring(kit):
    """A job whose slide is proven and whose cut is known; nothing of it is left behind."""
    job = dataclasses.replace(demo.job(), cutting=Cutting(tool_height=0.004))
    reads = 2 * 2.8 * math.sin(job.callout.half_angle.radians)
    job = job.with_pass(2.8, reads, bolts="tight", time="2031-03-09T10:00:00")
    path = job.save(kit.folder / "chosen-ring.job.json")
    yield "chosen-ring"
    path.unlink()
    (kit.folder / CHOSEN).unlink(missing_ok=True)


def test_a_job_chosen_in_lesson_05_stands_in_06_and_gives_07_its_half_angle(open_lesson, ring):
    page = open_lesson("05", style="desk", width=1366, height=768)
    panel = PanelSeen(page)
    panel.choose("Job", ring)
    stated = panel.root.get_by_text("from the proving pass of 2031-03-09")
    expect(stated).to_be_visible()
    page = open_lesson("06", style="desk", width=1366, height=768)
    boring = page.locator(".tapertrig-panel")
    for place in (0, 3):
        chosen = boring.nth(place).get_by_label("Job", exact=True)
        expect(chosen.locator("option:checked")).to_have_text(ring)
    expect(PanelSeen(page, 3).entry(TOOL)).to_have_value("0.004")
    # Its face is not measured, so the plan is blank: for the checks that come, as it was.
    back = boring.nth(0).get_by_role("button", name="As the lesson left it")
    open_folds(boring.nth(0))
    back.click()
    expect(boring.nth(0).locator(".tapertrig-sentence")).not_to_contain_text("Nothing is planned")
    page = open_lesson("07", style="desk", width=1366, height=768)
    panel = PanelSeen(page, 2)
    expect(panel.root.locator(".tapertrig-sentence")).to_contain_text("not measured")
    panel.press("Half angle from the proving pass")
    expect(panel.entry("Half angle, stated")).to_have_value("20°43′")
    expect(panel.root.get_by_label("Half angle comes from")).to_have_value(
        "proving pass of 2031-03-09 and the part's budget; not measured on the part"
    )
    panel.press("As the lesson left it")
    expect(panel.root.get_by_label("Half angle comes from")).to_have_value(
        "invented sine bar check of the plug"
    )


def test_a_job_not_measured_blanks_the_plan_until_a_diameter_is_typed(open_lesson, ring):
    panel = PanelSeen(open_lesson("06", style="desk", width=1366, height=768))
    drawn = panel.root.locator(".tapertrig-drawing > *:visible")
    expect(drawn.first).to_be_visible()
    panel.choose("Job", ring)
    board = panel.root.locator(".tapertrig-seen")
    expect(board.locator(".tapertrig-sentence")).to_contain_text("Nothing is planned or drawn")
    expect(board.locator("text", has_text="in")).to_have_count(0)
    expect(panel.root.get_by_text("Move next", exact=True)).to_have_count(0)
    panel.type("Face diameter measured", "1.38")
    expect(panel.root.get_by_text("Move next", exact=True)).to_be_visible()
    expect(board.locator("text", has_text="wanted 1.41").first).to_be_visible()
    panel.press("As the lesson left it")
    expect(panel.root.get_by_text("Move next", exact=True)).to_have_count(0)


def test_the_face_opens_by_twice_what_the_cross_slide_moves(open_lesson):
    panel = PanelSeen(open_lesson("06", style="desk", width=1366, height=768))
    panel.type("Movement", "0.0315")
    assert panel.rows()["Face diameter after the cut"] == "1.3630 in"
    assert "1.3630 in" in panel.sentence
