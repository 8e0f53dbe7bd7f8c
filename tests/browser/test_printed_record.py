"""The inspection record on paper: one page of A4 and of Letter, nothing wider than the page."""

import dataclasses
import io

import pytest
from pypdf import PdfReader

from tapertrig import Angle, Cone, demo
from tapertrig.gauging import Rule, ball_height
from tapertrig.gauging.inspection import Inspection, Instrument
from tapertrig.printed.inspection_record import inspection_record

pytestmark = pytest.mark.browser

DRAWING = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="640" height="480" viewBox="0 0 640 480">'
    '<rect width="640" height="480" fill="#ddd"/></svg>'
)
BALLS = (1.0625, 1.125, 1.25, 1.375)
JOB = demo.job()
MADE = Cone(Angle.parse("20°43′"), 1.4203, 0.64)


def heights(ball, count):
    """Repeats that scatter a little."""
    return tuple(float(ball_height(MADE, ball)) + 0.0002 * (n % 3 - 1) for n in range(count))


ONE = Inspection.for_job(
    JOB,
    method="one ball",
    gauges=(1.25,),
    readings=(heights(1.25, 5),),
    instrument=Instrument("depth micrometer", 0.001, 0.0002),
    edge_break=0.02,
)
# Two quantities not proven, 25 repeats, every line as long as it may be.
FULL = dataclasses.replace(
    ONE,
    method="two balls",
    gauges=(1.25, 1.125),
    readings=(heights(1.25, 25), heights(1.125, 25)),
    instrument=Instrument("Depth micrometer of many words " * 6, 0.001, 0.0008),
    face_limit=0.0005,
    gauge_limit=0.00005,
    rule=Rule("simple acceptance", 4),
    callout="callout " * 50,
    assumption="Assumed. " * 44,
    measured_by="measurer " * 40,
    date="date " * 60,
    notes="Notes go on and on. " * 20,
)
FULL_JOB = dataclasses.replace(
    JOB,
    title="Title of many words " * 10,
    part="PART NUMBER " * 16,
    drawing_number="D" * 200,
    material="material " * 20,
    shop="shop " * 40,
)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize(
    ("inspection", "job"), [(ONE, JOB), (FULL, FULL_JOB)], ids=["one ball", "all at its longest"]
)
def test_the_record_is_one_page(chromium, inspection, job, paper):
    assert inspection.verdict == "not proven"
    page = chromium.new_page(viewport={"width": 800, "height": 1000})
    try:
        page.set_content(inspection_record(inspection, job, DRAWING, balls=BALLS, paper=paper))
        page.emulate_media(media="print")
        assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
        assert page.evaluate("document.images[0].naturalWidth") == 640
        printed = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True)))
    finally:
        page.close()
    assert len(printed.pages) == 1
    (record,) = printed.pages
    width, height = (round(float(side)) for side in record.mediabox[2:])
    assert (width, height) == {"A4": (595, 842), "Letter": (612, 792)}[paper]
    text = " ".join(record.extract_text().split())
    for words in ("NOT PROVEN", "Together", "Checked by:", "Chuck key out.", "inspection record ·"):
        assert words in text
