"""A lesson and a handout in Firefox and in WebKit: keys, words, and the room that words take."""

from __future__ import annotations

import os

import pytest
from engines import MissingEngineError, firefox, webkit
from handouts import made

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


@pytest.fixture(scope="module", params=[firefox, webkit], ids=["firefox", "webkit"])
def engine(request, tmp_path_factory):
    """One engine at a time; skips where it is not installed, fails when CI=true."""
    try:
        with request.param(tmp_path_factory.mktemp("engine"), 1366, 900) as page:
            yield page
    except MissingEngineError as missing:
        if os.environ.get("CI") == "true":
            pytest.fail(str(missing))
        pytest.skip(str(missing))


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
