"""The instructor's desk in the browser: worksheets on paper, and the picture of a class."""

from __future__ import annotations

import io
import shutil
import subprocess

import numpy as np
import pytest
from panels_seen import PanelSeen
from PIL import Image
from pypdf import PdfReader

from tapertrig.practice import Record, problem

pytestmark = pytest.mark.browser


def test_worksheets_are_written_and_print_with_their_figures(open_lesson, kit, chromium, tmp_path):
    panel = PanelSeen(open_lesson("09", width=1366, height=768))
    learners = panel.entry("Learners: how many, or their names")
    learners.fill("Ada of nowhere, Bo of nowhere")
    learners.press("Enter")
    panel.root.get_by_text("2 sheets with 10 problems each").wait_for()
    panel.press("Write worksheets")
    panel.root.get_by_text("Written: worksheets.html, 2 sheets").wait_for()
    bar = panel.root.locator(".widget-hprogress .progress-bar")
    assert bar.evaluate("bar => bar.style.width") == "100%"
    text = (kit.folder / "worksheets.html").read_text(encoding="utf-8")
    page = chromium.new_page()
    try:
        page.set_content(text)
        page.wait_for_function("[...document.images].every(i => i.complete && i.naturalWidth)")
        assert page.evaluate("document.images.length") == 20
        page.emulate_media(media="print")
        assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
        for paper in ("A4", "Letter"):
            printed = page.pdf(format=paper, prefer_css_page_size=False)
            pages = [each.extract_text() for each in PdfReader(io.BytesIO(printed)).pages]
            assert "Ada of nowhere" in pages[0]
            bo = next(index for index, words in enumerate(pages) if "Bo of nowhere" in words)
            key = next(index for index, words in enumerate(pages) if "Answer key" in words)
            assert 0 < bo < key
            assert len(pages) == 3, f"{len(pages)} pages of {paper}"
    finally:
        page.close()
    if shutil.which("pdftoppm"):
        ink = _ink_of_first_page(printed, tmp_path)
        assert ink > 0.01, "the page is all but empty"


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
