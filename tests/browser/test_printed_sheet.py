"""The setup sheet on paper: one page of A4 and of Letter, nothing wider than the page."""

import dataclasses
import io

import pytest
from pypdf import PdfReader

from tapertrig import Dial, Lathe, demo
from tapertrig.job import Callout, Choices, Job
from tapertrig.printed.setup_sheet import setup_sheet

pytestmark = pytest.mark.browser

DRAWING = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="640" height="480" viewBox="0 0 640 480">'
    '<rect width="640" height="480" fill="#ddd"/></svg>'
)
INVENTED = {name: demo.job(name) for name in demo.LATHES}
FIRST = demo.job()
# Every mark and every line as long as it may be.
FULL = dataclasses.replace(
    FIRST,
    callout=Callout("half angle", "62°10'", 36.0, unit="mm", internal=False),
    lathe=dataclasses.replace(FIRST.lathe, name="Long name of a lathe " * 9),
    choices=Choices(compound_travel=0.0203),
    title="Title of many words " * 10,
    part="PART NUMBER " * 16,
    drawing_number="D" * 200,
    material="material " * 20,
    shop="shop " * 40,
    notes="Notes go on and on. " * 200,
)
BARE = Job(
    Callout("included angle", "53°50'"),
    Lathe("in", None, Dial(0.001, 0.1), Dial(0.001, 0.1), None),
    Choices(compound_travel=2.5),
)
METRIC = list(demo.LATHES)[1]
STEEP = dataclasses.replace(
    demo.job(METRIC),
    callout=Callout("half angle", "66°55'", 62.0, "mm", internal=False, angle_tolerance="0°15'"),
)
MEASURED = FIRST
for _ in range(9):
    MEASURED = MEASURED.with_pass(3.2, cross_reading=2.2645, bolts="tight")
JOBS = {
    **INVENTED,
    "external, mm": demo.plug_job(METRIC),
    "past 45°": STEEP,
    "nothing but dials": BARE,
    "passes taken": MEASURED,
    "everything at its longest": FULL,
    "its longest by the cross travel": dataclasses.replace(
        FULL,
        older=True,
        choices=Choices(compound_travel=3.2204, route="cross travel"),
        passes=MEASURED.passes,
    ),
}


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("name", list(JOBS))
def test_the_sheet_is_one_page(chromium, name, paper):
    page = chromium.new_page(viewport={"width": 800, "height": 1000})
    try:
        page.set_content(setup_sheet(JOBS[name], DRAWING, paper=paper))
        page.emulate_media(media="print")
        assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
        assert page.evaluate("document.images[0].naturalWidth") == 640
        printed = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True)))
    finally:
        page.close()
    assert len(printed.pages) == 1
    (sheet,) = printed.pages
    width, height = (round(float(side)) for side in sheet.mediabox[2:])
    assert (width, height) == {"A4": (595, 842), "Letter": (612, 792)}[paper]
    text = " ".join(sheet.extract_text().split())
    last = "Last" if JOBS[name].callout.half_angle_tolerance is None else "Proof"
    for words in ("Half angle", f"{last}, bolts tight", "Chuck key out.", "setup sheet · job"):
        assert words in text
