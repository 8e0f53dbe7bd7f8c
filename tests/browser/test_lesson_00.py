"""Lesson 00 as a newcomer works through it: callout and lathe in, sheet out."""

from __future__ import annotations

import pytest
from looking import wait_picture_change
from panels_seen import PanelSeen
from pypdf import PdfReader

from tapertrig.job import Job

pytestmark = pytest.mark.browser


@pytest.fixture
def panel(open_lesson):
    return PanelSeen(open_lesson("00", width=1366, height=768))


def test_a_newcomer_enters_a_callout_and_a_lathe(panel):
    before = panel.picture()
    panel.type("Included angle", "62°44'")
    assert panel.picture() != before
    assert panel.rows()["Half angle"].startswith("31°22′ ±")
    assert "31°22′" in panel.sentence
    assert "31°22′" in panel.alternative, "the picture's alternative text is out of date"
    _sliders_keep_entry_and_words_in_step(panel)
    _nonsense_is_answered_and_the_picture_stays(panel)
    _other_bases_cones_and_units(panel)


def _sliders_keep_entry_and_words_in_step(panel):
    panel.type("Included angle", "40°00′")
    before = panel.picture()
    panel.slider("Included angle").focus()
    panel.page.keyboard.press("ArrowRight")
    wait_picture_change(panel.image, before)
    panel.settle()
    assert panel.entry("Included angle").input_value() == "40°01′"
    assert panel.rows()["Half angle"].startswith("20°00′30")
    panel.drag("Included angle", 0.1, 0.4)
    typed = panel.entry("Included angle").input_value()
    assert panel.slider("Included angle").get_attribute("aria-valuetext") == typed
    assert panel.rows()["Included angle"].startswith(typed.rstrip("′"))


def _nonsense_is_answered_and_the_picture_stays(panel):
    before = panel.picture(), panel.sentence
    panel.type("Included angle", "forty-one", changes=False)
    assert "forty-one" in panel.message("Included angle")
    assert "38°24′" in panel.message("Included angle"), "no example of what can be read"
    assert panel.entry("Included angle").input_value() == "forty-one", "what was typed is lost"
    assert (panel.picture(), panel.sentence) == before
    panel.type("Included angle", "41 26")
    assert panel.message("Included angle") == ""


def _other_bases_cones_and_units(panel):
    panel.choose("Lathe", "Old Grey (invented): inch, base zero square to the bed")
    panel.settle()
    assert panel.rows()["Base reading, by eye"].startswith("69°17′")
    panel.choose("Cone", "external, small end at tailstock")
    panel.settle()
    assert "anticlockwise" in panel.rows()["Swing"]
    panel.choose("Lathe", "Window Bay (invented): mm, both dials read slide movement")
    panel.settle()
    assert panel.rows()["Cross travel"].endswith(" mm")


def test_a_job_is_saved_and_loaded_and_its_sheet_is_one_page(panel, kit, tmp_path):
    panel.type("Included angle", "50°10′")
    panel.type("File name", "browser job", changes=False)
    panel.press("Save job")
    panel.root.get_by_text("Saved as browser job.job.json").wait_for()
    panel.press("Write sheet")
    panel.root.get_by_text("Sheet written").wait_for()
    assert Job.load(kit.folder / "browser job.job.json").plan().half_angle.dms() == "25°05′00″"
    panel.type("Included angle", "33°")
    panel.press("Load job")
    panel.root.get_by_text("Loaded browser job.job.json").wait_for()
    panel.settle()
    assert panel.entry("Included angle").input_value() == "50°10′"
    panel.type("File name", "../outside", changes=False)
    panel.press("Save job")
    panel.root.get_by_text("type the name alone").wait_for()
    page = panel.page.context.new_page()
    page.goto(kit.address("/files/browser job setup sheet.html"))
    drawing = page.locator("img, svg").first
    assert drawing.evaluate("e => e.tagName === 'svg' || e.naturalWidth > 300")
    for paper in ("A4", "Letter"):
        page.pdf(path=tmp_path / "sheet.pdf", format=paper)
        reader = PdfReader(tmp_path / "sheet.pdf")
        assert len(reader.pages) == 1, f"the sheet takes more than one page of {paper}"
        text = reader.pages[0].extract_text()
        assert "25°05′" in text
        assert "chuck key" in text.lower(), "no safety cautions on the sheet"
        assert "headstock" in text, "no drawing on the printed page"
