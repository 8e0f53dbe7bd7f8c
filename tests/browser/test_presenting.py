"""A panel alone on the screen, worked by a clicker; and a panel's keys kept from the notebook."""

from __future__ import annotations

import re

import pytest
from cases import sampled
from handouts import NUMBERS as LESSONS
from panels_seen import PanelSeen
from playwright.sync_api import expect
from test_accessibility import axe, violations  # noqa: F401 - axe is a fixture

pytestmark = pytest.mark.browser

SIZES = [(1366, 768), (1920, 1080), (390, 844)]
CAPITAL = 28 / 1080  # of the screen's height: common practice, no source
RUNS = ("Shift+Enter", "Control+Enter")  # a cell in command mode; a button is pressed by them
REFUSE = "() => { Element.prototype.requestFullscreen = () => Promise.reject(new Error('no')); }"
# What of the panel has words or takes a hand and is seen, and whether the page shows through.
SEEN = """root => {
    const shown = one => { for (let e = one; e !== root; e = e.parentElement)
        if (getComputedStyle(e).opacity === '0') return false;
        return one.getClientRects().length; };
    const parts = [...root.querySelectorAll('*')].filter(one => one.matches('input, select, button')
        || [...one.childNodes].some(node => node.nodeType === 3 && node.data.trim()));
    const through = [];
    for (let x = 2; x < innerWidth; x += 40) for (let y = 2; y < innerHeight; y += 40)
        if (!root.contains(document.elementFromPoint(x, y))) through.push([x, y]);
    return [parts.filter(shown).filter(one => !one.closest('.tapertrig-drawing, .tapertrig-spoken'))
        .map(one => one.matches('input') ? one.type : one.textContent), through];
}"""
# Height of a capital as a font draws it: of words beside the picture, and of words in it.
CAPITALS = """root => {
    const pad = document.createElement('canvas').getContext('2d');
    const capital = (style, size) => { pad.font = `100px ${style.fontFamily}`;
        return pad.measureText('H').actualBoundingBoxAscent / 100 * size; };
    const shown = one => one.getClientRects().length;
    const beside = ['.tapertrig-sentence', '.tapertrig-main label', '.tapertrig-main [type=text]',
        '.tapertrig-work p']
        .flatMap(name => [...root.querySelectorAll(name)]).filter(shown).map(one => {
            const style = getComputedStyle(one);
            return [one.textContent || one.value, capital(style, parseFloat(style.fontSize))]; });
    const within = [...root.querySelectorAll('text')].filter(one => one.textContent && shown(one))
        .map(one => [one.textContent, capital(getComputedStyle(one),
            one.getScreenCTM().a * one.getAttribute('font-size'))]);
    return [beside, within];
}"""


class Presented(PanelSeen):
    """A panel that fills the screen at the press of its button."""

    def enter(self) -> None:
        self.press("Fill the screen")
        self.page.wait_for_function(
            "root => root.matches('.tapertrig-presenting:is(:fullscreen, :popover-open)')",
            arg=self.root.element_handle(),
        )
        self.page.wait_for_selector(
            ".tapertrig-presenting .tapertrig-board:not([data-placement=desk])", state="attached"
        )
        self.settle()

    def leave(self) -> None:
        self.page.keyboard.press("Escape")
        self.page.locator(".tapertrig-presenting").wait_for(state="detached")
        # The browser leaves after the panel has; asked again meanwhile it would refuse.
        self.page.wait_for_function("() => !document.fullscreenElement")

    def key(self, key: str) -> str:
        self.page.keyboard.press(key)
        self.settle()
        return self.sentence


def focused(page) -> str:
    return page.evaluate("() => document.activeElement.textContent")


def cells(page) -> int:
    return page.evaluate("() => jupyterapp.shell.currentWidget.content.model.cells.length")


def state(panel: PanelSeen) -> tuple:
    values = panel.root.locator("input, select").evaluate_all(
        "all => all.map(one => one.type === 'checkbox' ? one.checked : one.value)"
    )
    scrolled = panel.page.evaluate(
        "() => document.querySelector('.jp-WindowedPanel-outer').scrollTop"
    )
    return values, panel.sentence, panel.image.get_attribute("viewBox"), scrolled


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("refused", [False, True])
def test_picture_sentence_and_slider_alone_fill_the_screen(open_lesson, size, refused):
    page = open_lesson("03", width=size[0], height=size[1])
    if refused:
        page.evaluate(REFUSE)
    panel = Presented(page)
    panel.root.get_by_role("button", name="Fill the screen").focus()
    panel.settle()
    before = state(panel)
    panel.enter()
    seen, through = panel.root.evaluate(SEEN)
    assert seen == [panel.sentence, "Half angle", "text", "range"]
    assert through == [], "the notebook shows through"
    assert page.evaluate("() => Boolean(document.fullscreenElement)") is not refused
    picture = panel.image.bounding_box()
    assert picture["width"] > 0.9 * size[0]
    assert picture["height"] > 0.5 * size[1]
    assert panel.slider("Half angle").bounding_box()["y"] < size[1] - 20
    panel.leave()
    panel.settle()
    assert focused(page) == "Fill the screen"
    assert state(panel) == before


@pytest.mark.parametrize("size", [(1920, 1080), (1280, 720)])
def test_so_it_does_in_projector_style_where_controls_come_first(open_lesson, size):
    """A panel that fills in a form has its controls on the left, until it fills the screen."""
    page = open_lesson("00", style="projector", width=size[0], height=size[1])
    panel = Presented(page)
    panel.enter()
    picture = panel.image.bounding_box()
    assert picture["width"] > 0.9 * size[0]
    assert picture["height"] > 0.5 * size[1]
    label = panel.root.locator(".tapertrig-main label").bounding_box()
    assert label["height"] < 0.1 * size[1] < label["width"], "one line, not a letter a line"


def test_a_prediction_is_asked_before_the_clicker_moves_anything(open_lesson):
    page = open_lesson("01", width=1920, height=1080)
    panel = Presented(page, 1)
    panel.enter()
    asked = panel.root.locator(".tapertrig-asking")
    assert [one.is_visible() for one in asked.all()] == [True, False, False]
    assert panel.sentence.endswith("Answers are hidden until each question is answered.")
    for key in ("PageDown", "h"):
        page.evaluate("() => document.activeElement.blur()")
        panel.key(key)
        assert page.evaluate("() => document.activeElement.labels[0].textContent").startswith("1.")
    page.keyboard.type("12")
    page.keyboard.press("Enter")
    wrong = asked.first.locator(".tapertrig-message")
    wrong.filter(has_text=".").wait_for()
    box = wrong.bounding_box()
    assert 0.7 * 1920 < box["x"] < box["x"] + box["width"] <= 1920
    for number in range(3):
        asked.nth(number).get_by_role("button", name="Show me").click()
        asked.nth(number).locator(".tapertrig-remark:not(:empty)").wait_for()
        seen = [at for at, one in enumerate(asked.all()) if one.is_visible()]
        assert seen == [number, number + 1][: 3 - number], "what was told, and what is asked next"
        assert not asked.nth(number).get_by_role("textbox").is_visible()
    panel.settle()
    before = panel.sentence
    assert "is a half angle of 17°37′30″" in before
    assert panel.key("PageDown") != before


@pytest.mark.parametrize("lesson", sampled(LESSONS, ["04", "07"]))
def test_letters_can_be_read_from_the_last_row(open_lesson, lesson):
    """Every panel that has a picture; one that has no slider shows picture and sentence."""
    page = open_lesson(lesson, width=1920, height=1080)
    every = page.locator(".tapertrig-panel")
    for index in range(every.count()):
        if not every.nth(index).locator(".tapertrig-drawing").count():
            continue
        panel = Presented(page, index)
        panel.enter()
        beside, within = panel.root.evaluate(CAPITALS)
        if panel.root.locator(".tapertrig-work").count():
            assert len(beside) >= 2, "the bench's step, or its handwheel"
        else:
            assert len(beside) == (3 if panel.root.locator(".tapertrig-main").count() else 1)
        assert len(within) > 2
        for words, height in (*beside, *within):
            assert height >= CAPITAL * 1080, (words, height)
        panel.leave()


def test_a_clicker_goes_along_and_keys_hide_answers(open_lesson):
    page = open_lesson("03")
    panel = Presented(page)
    panel.type("Half angle", "31 20", changes=False)
    told = panel.root.get_by_role("button", name="Fill the screen").get_attribute("title")
    assert "H hides or shows answers, U changes the unit, R" in told
    panel.enter()
    start = panel.sentence
    on = panel.key("PageDown")
    assert "35°44′" in on, "a twentieth of the way from 1° to 89° is 4°24′"
    assert panel.key("PageUp") == start
    assert "Answers are hidden" in panel.key("h")
    assert panel.key("h") == start
    # A click on the picture takes the hand off the slider; the keys still work.
    panel.image.click(position={"x": 5, "y": 300})
    assert panel.key("PageDown") == on
    # What is typed is typed: no letter of it is a key.
    entry = panel.entry("Half angle")
    entry.fill("")
    entry.type("h12 40")
    assert entry.input_value() == "h12 40"
    assert panel.sentence == on
    entry.fill("12 40")
    entry.press("Enter")
    panel.settle()
    assert "12°40′" in panel.sentence
    panel.leave()
    assert "12°40′" in panel.sentence


def test_the_picture_turns_over_to_the_results(open_lesson):
    page = open_lesson("00", width=1920, height=1080)
    panel = Presented(page)
    told = panel.root.get_by_role("button", name="Fill the screen").get_attribute("title")
    assert "PageDown" in told
    assert "changes the unit" not in told, "print and lathe have units of their own"
    panel.enter()
    rows = panel.root.locator(".tapertrig-words")
    expect(rows.get_by_text("Cross dial must show")).not_to_be_visible()
    page.keyboard.press("r")
    for name in ("Cross dial must show", "Travels to choose from"):
        expect(rows.get_by_text(name)).to_be_in_viewport(ratio=1)
    size = rows.get_by_text("Axial travel").evaluate("one => getComputedStyle(one).fontSize")
    assert 0.73 * float(size.removesuffix("px")) >= CAPITAL * 1080
    first = rows.locator("dd").first
    before = first.inner_text()
    page.keyboard.press("PageDown")
    expect(first).not_to_have_text(before)
    page.keyboard.press("PageUp")
    expect(first).to_have_text(before)
    page.keyboard.press("r")
    expect(rows.get_by_text("Cross dial must show")).not_to_be_visible()


def test_the_base_is_swung_by_degrees_and_tapped_by_minutes(open_lesson):
    page = open_lesson("01")
    panel = Presented.with_slider(page, "Swing the slide")
    swing = panel.slider("Swing the slide")
    swing.press("Home")
    panel.settle()
    panel.enter()
    at = float(swing.get_attribute("aria-valuenow") or swing.input_value())
    panel.key("PageDown")
    assert "between" in panel.sentence or "on the 1° line" in panel.sentence
    clicked = float(swing.get_attribute("aria-valuenow") or swing.input_value())
    panel.key("ArrowRight")
    tapped = float(swing.get_attribute("aria-valuenow") or swing.input_value())
    assert clicked - at == pytest.approx(60 * (tapped - clicked))


def test_the_slider_a_lesson_speaks_of_is_presented(open_lesson):
    page = open_lesson("02")
    panel = Presented(page, 1)
    panel.enter()
    turn = panel.slider("Turn into the lathe")
    assert turn.is_visible()
    assert not panel.slider("Angle of the line").is_visible()
    for _ in range(20):
        page.keyboard.press("PageDown")
    panel.settle()
    assert "Its headstock end swings" in panel.sentence


def test_the_way_out_covers_nothing_until_it_is_wanted(open_lesson):
    page = open_lesson("04", width=1920, height=1080)
    panel = Presented(page, 2)
    panel.enter()
    leave = panel.root.locator(".tapertrig-presenter")
    page.mouse.move(20, 1000)
    assert leave.evaluate("one => getComputedStyle(one).opacity") == "0"
    page.keyboard.press("Shift+Tab")
    assert leave.evaluate("one => getComputedStyle(one).opacity") == "1"


def test_steps_go_one_by_one(open_lesson):
    page = open_lesson("04")
    panel = Presented.with_slider(page, "Step")
    panel.slider("Step").press("Home")
    panel.settle()
    panel.enter()
    assert re.match(r"Step 0 of", panel.sentence)
    assert re.match(r"Step 1 of", panel.key("PageDown"))
    assert re.match(r"Step 2 of", panel.key("PageDown"))
    assert re.match(r"Step 1 of", panel.key("PageUp"))


ALL_READ = """root => [...root.querySelectorAll('.tapertrig-control-side, .tapertrig-sentence')]
    .every(one => one.scrollHeight <= one.clientHeight + 1)"""


@pytest.mark.parametrize("size", [(1366, 650), (1920, 1080)])
def test_a_clicker_goes_through_the_guided_passes_and_every_step_is_read_whole(open_lesson, size):
    """Up to the first pass of the second round; a number that is asked for gets the cursor."""
    page = open_lesson("04", width=size[0], height=size[1])
    panel = Presented(page, 2)
    step = panel.root.locator(".tapertrig-step-now")
    panel.press("Start again")
    expect(step).to_contain_text("Get ready.")
    panel.enter()

    def goes_on(key: str) -> str:
        before = step.inner_text()
        page.keyboard.press(key)
        page.wait_for_function(
            "([one, before]) => one.innerText !== before", arg=[step.element_handle(), before]
        )
        page.wait_for_function(ALL_READ, arg=panel.root.element_handle())
        return panel.sentence

    def asked(label: str) -> None:
        page.keyboard.press("PageDown")
        panel.entry(label).and_(page.locator(":focus")).wait_for()

    assert goes_on("PageDown").startswith("Done: Lock the carriage.")
    assert panel.key("PageUp").startswith("Done: Lock the carriage."), "a step done is done"
    assert goes_on("PageDown").startswith("Done: Back off the cross slide.")
    assert "half a turn past the start" in step.inner_text()
    while not panel.entry("Turn it by").is_visible():
        goes_on("PageDown")
    asked("Turn it by")
    page.keyboard.type("26 turns")
    assert goes_on("PageDown").startswith("Done: Crank the compound that far.")
    while not panel.entry("Swing it by").is_visible():
        goes_on("PageDown")
    asked("Swing it by")


def test_a_clicker_turns_no_handwheel(open_lesson):
    page = open_lesson("04")
    panel = Presented(page, 4)
    panel.enter()
    before = panel.sentence
    wheel = panel.slider("Compound, a line a press of an arrow key")
    for hold in (wheel.blur, wheel.focus):
        hold()
        assert panel.key("PageDown") == before
    page.keyboard.press("ArrowRight")  # by a line at a time the hand does
    expect(panel.root.locator(".tapertrig-sentence")).to_contain_text("turn the compound handwheel")


def test_tab_stays_in_front(open_lesson):
    page = open_lesson("03")
    panel = Presented(page)
    panel.enter()
    reached = set()
    for _ in range(6):
        page.keyboard.press("Tab")
        assert panel.root.evaluate("root => root.contains(document.activeElement)")
        reached.add(page.evaluate("() => document.activeElement.type"))
    assert reached == {"text", "range", "button"}
    page.keyboard.press("Shift+Tab")
    assert panel.root.evaluate("root => root.contains(document.activeElement)")


def test_a_page_closed_while_it_fills_the_screen_leaves_no_large_letters(open_lesson):
    page = open_lesson("03")
    Presented(page).enter()
    page.close()
    page = open_lesson("03")
    PanelSeen(page).root.locator('.tapertrig-board[data-placement="desk"]').wait_for()


def test_by_touch(open_lesson):
    page = open_lesson("03", width=390, height=844, has_touch=True, is_mobile=True)
    panel = Presented(page)
    panel.root.get_by_role("button", name="Fill the screen").tap()
    panel.settle()
    leave = panel.root.get_by_role("button", name="Leave")
    box = leave.bounding_box()
    assert min(box["width"], box["height"]) >= 32
    leave.tap()
    page.locator(".tapertrig-presenting").wait_for(state="detached")


@pytest.fixture
def in_theme(open_lesson):
    """Opens lesson 03 in JupyterLab's light or dark theme; afterwards it is light again."""
    pages = []

    def open_it(shade: str):
        pages.append(open_lesson("03"))
        change(shade)
        return pages[0]

    def change(shade: str) -> None:
        change = "t => jupyterapp.commands.execute('apputils:change-theme', {theme: t})"
        pages[0].evaluate(change, f"JupyterLab {shade}")
        light = str(shade == "Light").lower()
        pages[0].wait_for_selector(f"body[data-jp-theme-light='{light}']", state="attached")

    yield open_it
    change("Light")


@pytest.mark.parametrize("shade", ["Light", "Dark"])
def test_everyone_can_use_it(in_theme, axe, shade):  # noqa: F811
    page = in_theme(shade)
    panel = Presented(page)
    panel.enter()
    assert violations(page, axe, ".tapertrig-presenting") == []


def test_keys_typed_in_a_panel_never_reach_the_notebook(open_lesson):
    page = open_lesson("03")
    panel = PanelSeen(page)
    before = cells(page)
    kinds = panel.root.locator("input, select, button")
    reached = set()
    for index in range(kinds.count()):
        kind = kinds.nth(index)
        if kind.is_visible():
            reached.add(kind.evaluate("one => one.type"))
            runs = () if kind.evaluate("one => one.type") == "button" else RUNS
            for key in ("b", "a", "d", "d", "x", "m", "Shift+M", *runs):
                kind.focus()
                page.keyboard.press(key)
                assert cells(page) == before, (kind.evaluate("one => one.outerHTML"), key)
    assert reached >= {"text", "range", "select-one", "checkbox", "button"}
    panel.settle()
    kind = page.evaluate("() => jupyterapp.shell.currentWidget.content.activeCell.model.type")
    assert kind in ("code", "markdown")
    # The same keys in the notebook itself are the notebook's: this is what is kept from it.
    page.locator(".jp-MarkdownCell").first.click()
    page.keyboard.press("b")
    assert cells(page) == before + 1
