"""The instructor's desk in the browser: worksheets on paper, and the picture of a class."""

from __future__ import annotations

import io
import re
import shutil
import subprocess

import numpy as np
import pytest
from panels_seen import PanelSeen
from PIL import Image
from playwright.sync_api import expect
from pypdf import PdfReader

from tapertrig.practice import TOPICS, Record, problem
from tapertrig.printed.worksheets import answer_key

pytestmark = pytest.mark.browser


def test_worksheets_are_written_and_print_with_their_figures(open_lesson, kit, chromium, tmp_path):
    panel = PanelSeen(open_lesson("09", width=1366, height=768))
    learners = panel.entry("Learners: how many, or their names")
    learners.fill("Ada of nowhere, Bo of nowhere")
    learners.press("Enter")
    panel.root.get_by_text("2 sheets with 10 problems each").wait_for()
    panel.press("Write worksheets")
    panel.root.get_by_text("Written: worksheets.html, 2 sheets, and worksheets answer").wait_for()
    bar = panel.root.locator(".widget-hprogress .progress-bar")
    expect(bar).to_have_css("width", bar.locator("..").evaluate("e => getComputedStyle(e).width"))
    text = (kit.folder / "worksheets.html").read_text(encoding="utf-8")
    assert "Answer key" not in text
    page = chromium.new_page()
    try:
        page.set_content(text)
        page.wait_for_function("[...document.images].every(i => i.complete && i.naturalWidth)")
        assert page.evaluate("document.images.length") == 20
        # Each figure is within the frame of its problem, and below the words is room to work.
        room = page.evaluate(
            """[...document.querySelectorAll(".sheet li")].map(li => {
              const [frame, figure, words, answer] = [li, li.querySelector("figure"),
                ...li.querySelectorAll("p")].map(one => one.getBoundingClientRect());
              return figure.top >= frame.top && figure.bottom <= frame.bottom
                && figure.right <= frame.right ? answer.top - words.bottom : -1;
            })"""
        )
        assert min(room) > 12 * 96 / 25.4, "less than 12 mm to work in"
        page.emulate_media(media="print")
        assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
        for paper in ("A4", "Letter"):
            printed = page.pdf(format=paper, prefer_css_page_size=False)
            names = [f"{name} of nowhere" for name in ("Ada", "Ada", "Bo", "Bo")]
            for name, words in zip(names, _pages(printed), strict=True):
                assert name in words
        key = (kit.folder / "worksheets answer key.html").read_text(encoding="utf-8")
        page.set_content(key)
        assert "Bo of nowhere" in _pages(page.pdf(format="A4"))[-1]
    finally:
        page.close()
    if shutil.which("pdftoppm"):
        ink = _ink_of_first_page(printed, tmp_path)
        assert ink > 0.005, "the page is all but empty"


@pytest.mark.parametrize("each", [3, 8, 30])
def test_no_page_of_a_key_shows_rows_without_their_learner(chromium, each):
    names = [f"Learner {number} of nowhere" for number in range(1, 8)]
    page = chromium.new_page()
    try:
        page.set_content(answer_key(names, TOPICS[:4], 24, each))
        pages = _pages(page.pdf(format="A4"))
    finally:
        page.close()
    seed = 240_000
    for words in pages:
        told = sorted((words.index(name), name) for name in names if name in words)
        assert told
        for number in (n for n in range(1, 8) if f"{seed + 100 * n}"[:4] in words):
            for row in range(1, each + 1):
                at = words.find(str(seed + 100 * number + row))
                if at >= 0:
                    above = [name for place, name in told if place < at]
                    assert above, "rows without a name above them"
                    assert above[-1] == names[number - 1]
        # And no name at the foot of a page, its rows on the next.
        assert re.search(r"24\d{4}", words[told[-1][0] :]), "a name without a row"


def _pages(printed: bytes) -> list[str]:
    return [each.extract_text() for each in PdfReader(io.BytesIO(printed)).pages]


def _ink_of_first_page(printed: bytes, folder) -> float:
    """The share of coloured pixels: only the figures of a worksheet have colour."""
    path = folder / "sheets.pdf"
    path.write_bytes(printed)
    subprocess.run(
        ["pdftoppm", "-r", "60", "-f", "1", "-l", "1", "-png", str(path), str(folder / "sheet")],
        check=True,
    )
    picture = Image.open(next(folder.glob("sheet*.png"))).convert("HSV")
    return float((np.asarray(picture)[..., 1] > 20).mean())


def test_a_folder_of_records_becomes_the_picture_of_the_class(open_lesson, kit):
    folder = kit.folder / "records of nowhere"
    folder.mkdir(exist_ok=True)
    each = problem("angle units", 21)
    for name, typed in (("Ada", ("113°33′", each.answer_text)), ("Bo", ("113°33′",))):
        record = Record(name=f"{name} of nowhere")
        for text in typed:
            record = record.add(each, text, each.check(text), 20)
        record.save(folder / f"{name}.csv")
    (folder / "prices.csv").write_text("item,price\n")
    panel = PanelSeen(open_lesson("09", width=1366, height=768), 1)
    assert "Invented example" in panel.rows()["Example"]
    before = panel.picture()
    panel.type("Folder of records", "records of nowhere")
    assert panel.picture() != before
    assert panel.rows()["included angle used as half angle"] == "2"
    assert panel.rows()["Left out"].startswith("prices.csv")
    panel.choose("Whose", "Ada of nowhere")
    panel.settle()
    assert "2 answers, 1 of them right" in panel.sentence
    assert "Ada of nowhere" in panel.alternative
