"""A quantity by hand, with the control itself behind the view but no notebook around it."""

from __future__ import annotations

import io

import pytest
from PIL import Image
from playwright.sync_api import expect

from tapertrig.panels.parts.controls import quantity
from tapertrig.panels.parts.view import script, style_sheet

pytestmark = pytest.mark.browser

# The view's model, with the traits of a control in Python: `heard` and `moved` reach it.
MODEL = """
const heard = {};
const told = (name) => (heard[name] || []).forEach((act) => act());
window.model = {
  state: {},
  get(name) { return this.state[name]; },
  set(name, value) { this.state[name] = value; },
  save_changes() { moved(this.state.value).then((state) => this.take(state)); },
  send(content) {
    typed(content.typed).then(([state, taken]) => {
      this.take(state);
      if (taken) (heard["msg:custom"] || []).forEach((act) => act({ taken }));
    });
  },
  on(names, act) { names.split(" ").forEach((name) => (heard[name] ||= []).push(act)); },
  take(state) {
    const before = this.state;
    this.state = state;
    Object.keys(state).filter((n) => before[n] !== state[n]).forEach((n) => told(`change:${n}`));
  },
};
"""


class Seen:
    """A control of Python and its view in a page."""

    def __init__(self, page, control) -> None:
        self.page, self.control = page, control
        self.name = control.label
        page.expose_function("moved", self._moved)
        page.expose_function("typed", self._typed)
        page.set_content(
            f"<style>{style_sheet('drawing', 'panel')}</style><div class='tapertrig-panel'>"
            "<button>before</button><div id='here'></div></div>"
        )
        page.evaluate(MODEL + "; (state) => { model.state = state; }", self._state())
        view = script("stepping", "quantity").replace("export default", "window.view =")
        page.add_script_tag(content=view)
        page.evaluate("view.render({ model, el: document.querySelector('#here') })")
        self.slider = page.get_by_role("slider", name=self.name)
        self.entry = page.get_by_role("textbox", name=self.name)

    def _state(self) -> dict:
        skipped = ("layout", "tabbable", "tooltip", "comm", "keys")
        values = {name: getattr(self.control, name) for name in self.control.keys}
        return {
            name: value
            for name, value in values.items()
            if not name.startswith("_") and name not in skipped
        }

    def _moved(self, value):
        self.control.value = value
        return self._state()

    def _typed(self, text):
        taken = []
        self.control.send = taken.append
        self.control.enter(text)
        return self._state(), bool(taken)

    def type(self, text: str) -> None:
        self.entry.fill(text)
        self.entry.press("Enter")
        self.page.wait_for_timeout(50)

    def key(self, key: str) -> None:
        self.slider.press(key)
        self.page.wait_for_timeout(50)

    def words(self) -> str:
        return self.slider.get_attribute("aria-valuetext")

    def ink(self) -> int:
        """Strongly coloured or dark points of the slider."""
        image = Image.open(io.BytesIO(self.slider.screenshot())).convert("RGB")
        return sum(min(point) < 90 for point in image.get_flattened_data())


@pytest.fixture
def empty(new_page):
    return Seen(new_page(), quantity("Length", None, 0.0, 4.0, 0.5, "in", optional=True))


def test_an_empty_quantity_says_so_and_shows_no_thumb(empty):
    assert empty.words() == "not given"
    assert empty.entry.get_attribute("placeholder") == "not given"
    assert empty.entry.input_value() == ""
    empty.page.locator("button").focus()
    assert empty.ink() == 0
    empty.type("1 1/2")
    assert (empty.control.value, empty.words()) == (1.5, "1.5 in")
    empty.page.locator("button").focus()
    assert empty.ink() > 50
    empty.type("")
    assert (empty.control.value, empty.words(), empty.entry.input_value()) == (
        None,
        "not given",
        "",
    )
    empty.page.locator("button").focus()
    assert empty.ink() == 0


@pytest.mark.parametrize(
    ("key", "value"),
    [("ArrowRight", 2.0), ("ArrowDown", 2.0), ("PageUp", 2.0), ("Home", 0.0), ("End", 4.0)],
)
def test_the_first_key_gives_an_empty_slider_a_place(empty, key, value):
    empty.key(key)
    assert empty.control.value == value
    empty.key("ArrowLeft")
    assert empty.control.value == max(0.0, value - 0.5)


def test_tab_alone_gives_nothing(empty):
    empty.entry.focus()
    empty.page.keyboard.press("Tab")
    assert empty.slider.evaluate("one => one === document.activeElement")
    empty.page.keyboard.press("Tab")
    assert empty.control.value is None


def test_pressed_or_dragged_it_has_a_value(empty):
    box = empty.slider.bounding_box()
    middle = box["y"] + box["height"] / 2
    empty.page.mouse.move(box["x"] + box["width"] * 0.4, middle)
    empty.page.mouse.down()
    empty.page.mouse.move(box["x"] + box["width"] * 0.75, middle, steps=6)
    empty.page.mouse.up()
    empty.page.wait_for_timeout(50)
    assert empty.control.value == 3.0
    empty.type("")
    empty.page.mouse.click(box["x"] + 3, middle)
    empty.page.wait_for_timeout(50)
    assert empty.control.value == 0.0, "a press where the unseen thumb rests is lost"


def test_a_text_in_the_other_unit_is_taken_and_said_beside_it(empty):
    empty.type("36 mm")
    assert empty.page.get_by_role("status").inner_text() == "36 mm is 1.41732 in"
    assert empty.entry.input_value() == "1.417"
    assert empty.entry.get_attribute("aria-invalid") is None
    empty.type("forty")
    assert "no number" in empty.page.get_by_role("alert").inner_text()
    assert empty.entry.input_value() == "forty", "what was typed is gone before it could be mended"
    assert empty.entry.get_attribute("aria-invalid") == "true"


def test_what_is_typed_next_outlasts_the_answer_to_what_came_before(empty):
    empty.entry.focus()
    empty.page.evaluate(
        """() => {
            const entry = document.activeElement;
            entry.value = "1.5";
            entry.dispatchEvent(new Event("change"));
            entry.value = "2.";
            entry.dispatchEvent(new Event("input"));
        }"""
    )
    empty.page.wait_for_function("() => model.get('value') === 1.5")
    empty.page.wait_for_timeout(50)
    assert (empty.words(), empty.entry.input_value()) == ("1.5 in", "2.")
    empty.page.keyboard.type("25")
    empty.page.keyboard.press("Enter")
    empty.page.wait_for_function("() => model.get('value') === 2.25")
    assert empty.words() == "2.25 in"
    empty.page.keyboard.type("9")
    empty.page.keyboard.press("Backspace")
    empty.page.locator("button").focus()
    empty.control.enter("3")
    empty.page.evaluate("state => model.take(state)", empty._state())
    assert empty.entry.input_value() == "3.0", "an entry that was left alone follows no more"


def test_a_click_takes_a_whole_reading_to_be_written_over(new_page):
    seen = Seen(new_page(), quantity("Reading", 2.6, 0.0, 400.0, 0.001, "in"))
    seen.page.locator("#here").evaluate("one => one.classList.add('tapertrig-reading')")
    expect(seen.entry).to_have_value("2.600")
    seen.entry.click()
    seen.page.keyboard.type("26")
    expect(seen.entry).to_have_value("26")
    # A second click goes into what stands there.
    chosen = "(one => one.selectionEnd - one.selectionStart)(document.activeElement)"
    seen.page.locator("button").focus()
    seen.entry.click()
    seen.page.wait_for_function(f"{chosen} > 1")
    seen.entry.click()
    seen.page.wait_for_function(f"{chosen} === 0")
