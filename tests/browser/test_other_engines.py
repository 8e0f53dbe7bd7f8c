"""A lesson, a handout and a setup sheet in Firefox and in WebKit: keys, words, and their room."""

from __future__ import annotations

import json
import os
from contextlib import contextmanager

import pytest
from engines import MissingEngineError, firefox, webkit
from handouts import made
from sheet_steps import PHONE
from tapping_as_told import TappingAsTold

from tapertrig import demo
from tapertrig.job.carried import take_in
from tapertrig.next_tap import set_to
from tapertrig.printed.setup_sheet import setup_sheet

pytestmark = pytest.mark.browser

SLIDER = "document.querySelector('.tapertrig-panel input[type=range], input[type=range]')"
SENTENCE = "document.querySelector('.tapertrig-sentence, .sentence')?.textContent"
# Each word of the drawings: how wide it was placed, and how wide the engine's own font is.
WIDTHS = """[...document.querySelectorAll('.tapertrig-drawing text')]
    .filter(text => text.textContent && text.getBoundingClientRect().width).map(text => {
        const placed = Number(text.getAttribute('textLength'));
        text.removeAttribute('textLength');
        const natural = text.getComputedTextLength();
        text.setAttribute('textLength', placed);
        return [text.textContent, placed, natural];
    })"""


# What a person types and presses; the script's own words come back.
KEEP = """((said, bolts) => {
    const boxes = document.querySelectorAll('.entry input[type=text]');
    said.forEach((text, place) => {
        boxes[place].value = text;
        boxes[place].dispatchEvent(new Event('input', {bubbles: true}));
    });
    document.getElementById(bolts).click();
    document.getElementById('keep').click();
    return document.getElementById('next').textContent;
})"""


@contextmanager
def opened(start, folder, width, height):
    """An engine's page; skips where it is not installed, fails when CI=true."""
    try:
        with start(folder, width, height) as page:
            yield page
    except MissingEngineError as missing:
        if os.environ.get("CI") == "true":
            pytest.fail(str(missing))
        pytest.skip(str(missing))


@pytest.fixture(scope="module", params=[firefox, webkit], ids=["firefox", "webkit"])
def engine(request, tmp_path_factory):
    """One engine at a time, as on a desk."""
    with opened(request.param, tmp_path_factory.mktemp("engine"), 1366, 900) as page:
        yield page


def step_by_key(engine) -> None:
    """The main slider, moved by its key: the words follow."""
    before = engine.wait(SENTENCE)
    engine.run(f"{SLIDER}.focus() || 1")
    engine.press("ArrowRight")
    engine.wait(f"{SENTENCE} !== {before!r}")


def words_as_wide_as_placed(engine) -> None:
    words = engine.run(WIDTHS)
    assert len(words) > 10
    for text, placed, natural in words:
        assert abs(natural - placed) <= 0.05 * placed, (text, placed, natural)


def test_a_live_lesson(kit, engine):
    engine.go(kit.address("/tapertrig/lesson/03?style=desk"))
    engine.wait("Boolean(document.querySelector('.tapertrig-drawing text'))")
    step_by_key(engine)
    words_as_wide_as_placed(engine)
    assert engine.errors() == []


def test_a_handout(engine, tmp_path):
    page = tmp_path / "03.html"
    page.write_text(made("03"), encoding="utf-8")
    engine.go(page.as_uri())
    step_by_key(engine)
    words_as_wide_as_placed(engine)
    assert engine.errors() == []


@pytest.mark.parametrize("start", [firefox, webkit], ids=["firefox", "webkit"])
def test_a_setup_sheet_on_a_phone(start, tmp_path):
    job = demo.job()
    (tmp_path / "sheet.html").write_text(setup_sheet(job), encoding="utf-8")
    with opened(start, tmp_path, PHONE["width"], PHONE["height"]) as phone:
        phone.go((tmp_path / "sheet.html").as_uri())

        def tell(said: list[str], tight: bool) -> str:
            return phone.run(f"{KEEP}({json.dumps(said)}, '{'tight' if tight else 'eased'}')")

        assert TappingAsTold(job, tell, seed=4).work().proven
        line = phone.run("document.getElementById('line').value")
        done = take_in(job, line)
        assert phone.run("document.getElementById('proven').textContent") == set_to(done)
        assert phone.run("document.documentElement.scrollWidth <= innerWidth")
        kept = phone.run("document.getElementById('kept').textContent")
        assert "stays in this browser" in kept
        phone.go((tmp_path / "sheet.html").as_uri())
        assert phone.run("document.getElementById('line').value") == line
        phone.run("document.getElementById('compound').focus() || 1")
        for key in "32":
            phone.press(key)
        assert phone.run("document.getElementById('compound').value") == "32"
        assert "Type what the Cross dial shows" in phone.run(
            "document.getElementById('wrong').textContent"
        )
        assert phone.errors() == []
