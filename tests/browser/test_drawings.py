"""Drawings as they are seen: sharp words of their size, in the dark, on a phone, in one message."""

from __future__ import annotations

import pytest
from looking import drawn, wait_idle
from panels_seen import PanelSeen

from tapertrig.panels.parts.view import script

pytestmark = pytest.mark.browser

# Words of all panels of a page: what is written, how wide it was placed, how wide the font is by
# itself, and how high it stands on the screen.
WORDS = """() => [...document.querySelectorAll('.tapertrig-drawing text')]
    .filter(text => text.textContent && text.getBoundingClientRect().width)
    .map(text => {
        const placed = Number(text.getAttribute('textLength'));
        text.removeAttribute('textLength');
        const natural = text.getComputedTextLength();
        text.setAttribute('textLength', placed);
        const scale = text.getScreenCTM().a;
        return [text.textContent, placed, natural, scale * text.getAttribute('font-size')];
    })"""
ALL_NARROW = """() => [...document.querySelectorAll('.tapertrig-board')]
    .every(board => board.dataset.placement === 'narrow')"""
CONTRAST = """selector => {
    const rgba = colour => {
        const pad = document.createElement('canvas').getContext('2d');
        pad.fillStyle = colour; pad.fillRect(0, 0, 1, 1);
        return [...pad.getImageData(0, 0, 1, 1).data];
    };
    const light = ([r, g, b]) => [r, g, b].map(part => part / 255)
        .map(part => part <= 0.03928 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4)
        .reduce((sum, part, index) => sum + part * [0.2126, 0.7152, 0.0722][index], 0);
    const ground = element => {
        for (let one = element; one; one = one.parentElement) {
            const paint = rgba(getComputedStyle(one).backgroundColor);
            if (paint[3] === 255) return paint;
        }
        return [255, 255, 255];
    };
    return [...document.querySelectorAll(selector)].filter(one => one.textContent.trim())
        .filter(one => one.getClientRects().length).map(one => {
            const style = getComputedStyle(one);
            const ink = light(rgba(one.ownerSVGElement ? style.fill : style.color));
            const paper = light(ground(one));
            const ratio = (Math.max(ink, paper) + 0.05) / (Math.min(ink, paper) + 0.05);
            return [one.textContent.trim().slice(0, 40), ratio];
        });
}"""
READ = ".tapertrig-sentence, .tapertrig-words dt, .tapertrig-words dd, .tapertrig-quantity label"


@pytest.mark.parametrize("lesson", ["03", "04", "07"])
def test_words_are_as_wide_as_they_were_placed(open_lesson, lesson):
    """The browser's own width of each label is within 5 % of the one it was placed by."""
    page = open_lesson(lesson, width=1366, height=900)
    PanelSeen(page).settle()
    words = page.evaluate(WORDS)
    assert len(words) > 10
    for text, placed, natural, _height in words:
        assert abs(natural - placed) <= 0.05 * placed, (text, placed, natural)


def test_words_hidden_when_a_view_opens_come_in_their_own_size_and_colour(new_page):
    """What is sent of them later is where they stand; the size came at the beginning."""
    page = new_page()
    page.set_content(f"<svg></svg><script>{script('drawing')}</script>")
    look = page.evaluate(
        """() => {
            const board = drawingIn(document.querySelector('svg'));
            const hidden = ['', 100, 200, 90, 'ink', 250, 'bold'];
            board.begin({size: [100, 100], marks: [['t1', hidden]]});
            board.change({t1: ['10', 300, 400, 318]});
            const [text] = document.querySelectorAll('text');
            return [text.textContent, ...['x', 'textLength', 'font-size', 'font-weight'].map(
                name => text.getAttribute(name)), text.style.fill];
        }"""
    )
    assert look == ["10", "300", "318", "250", "bold", "var(--tapertrig-ink)"]


@pytest.mark.parametrize("style", ["projector", "desk"])
def test_on_a_phone_a_drawing_has_room_of_its_own(open_lesson, style):
    """In both styles: a class at the projector leaves the learners' phones as they were."""
    page = open_lesson("03", style, width=390, height=844)
    panel = PanelSeen(page)
    board = panel.root.locator('.tapertrig-board[data-placement="narrow"]')
    board.wait_for()
    panel.settle()
    page.wait_for_function(ALL_NARROW)
    assert panel.image.evaluate("e => e.getBoundingClientRect().width") >= 318
    heights = [height for *_, height in page.evaluate(WORDS)]
    assert min(heights) >= 12
    panel.slider("Half angle").press("ArrowRight")
    panel.settle()
    assert panel.entry("Half angle").input_value() in panel.sentence
    page.set_viewport_size({"width": 1366, "height": 900})
    panel.root.locator(f'.tapertrig-board[data-placement="{style}"]').wait_for()


def test_in_the_dark_theme_all_words_can_be_read(open_lesson):
    """WCAG 2.1, 1.4.3: 4.5:1 for text; the drawing's own words 7:1."""
    page = open_lesson("03", width=1366, height=900)
    theme = "window.jupyterapp.commands.execute('apputils:change-theme', {theme: '%s'})"
    page.evaluate(theme % "JupyterLab Dark")
    page.wait_for_selector('body[data-jp-theme-light="false"]', state="attached")
    page.wait_for_timeout(500)
    try:
        for selector, least in ((READ, 4.5), (".tapertrig-drawing text", 7.0)):
            found = page.evaluate(CONTRAST, selector)
            assert len(found) > 5
            assert [one for one in found if one[1] < least] == []
    finally:
        page.evaluate(theme % "JupyterLab Light")
        page.wait_for_selector('body[data-jp-theme-light="true"]', state="attached")


def test_words_of_a_drawing_can_be_selected(open_lesson):
    page = open_lesson("03", width=1366, height=900)
    panel = PanelSeen(page)
    panel.settle()
    chosen = panel.image.evaluate(
        """svg => {
            const text = [...svg.querySelectorAll('text')].find(t => t.textContent.startsWith('α'));
            getSelection().selectAllChildren(text);
            return [text.textContent, getSelection().toString()];
        }"""
    )
    assert chosen[0] == chosen[1]


def test_a_page_opened_later_shows_what_is_shown_now(open_lesson):
    """What changes is sent once; a view that comes later begins with all of it."""
    page = open_lesson("03", width=1366, height=900)
    panel = PanelSeen(page)
    panel.type("Half angle", "44°20′")
    shown = drawn(panel.image)
    page.reload()
    wait_idle(page)
    again = PanelSeen(page)
    again.settle()
    assert drawn(again.image) == shown
    assert "44°20′" in again.sentence
    again.type("Half angle", "31°20′")
