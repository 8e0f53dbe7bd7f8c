"""The lathe book in the browser, and one number, fast: what the cross dial must read, here.

Keys and clicks are counted by the page itself: every key that goes down, every button pressed.
"""

from __future__ import annotations

import math
import os
from pathlib import Path

import pytest
from panels_seen import PanelSeen
from test_accessibility import axe, cut_off, violations  # noqa: F401 (axe is a fixture)

from tapertrig.lathe import Dial, Lathe
from tapertrig.lathe_book import FILE_NAME, LatheBook

pytestmark = pytest.mark.browser

BLUE = Lathe(
    "in", 3.7, Dial(0.001, 0.125), Dial(0.001, 0.25, "diameter"), "square to bed", name="Blue lathe"
)
COUNT = """() => {
    window.counted = {keys: 0, clicks: 0};
    addEventListener('keydown', event => { if (!event.repeat) counted.keys += 1; }, true);
    addEventListener('pointerdown', () => { counted.clicks += 1; }, true);
}"""


@pytest.fixture
def book(kit):
    """Where the book of the kit's folder is kept; nothing there before, nothing left behind."""
    path = Path(kit.folder) / FILE_NAME
    path.unlink(missing_ok=True)
    yield path
    path.unlink(missing_ok=True)


def panel_with(page, label: str) -> PanelSeen:
    panels = page.locator(".tapertrig-panel")
    panels.filter(has=page.get_by_label(label, exact=True)).first.scroll_into_view_if_needed()
    titles = panels.evaluate_all("all => all.map(one => one.textContent)")
    return PanelSeen(page, next(at for at, text in enumerate(titles) if label in text))


def shot(page, name: str) -> None:
    """Keep what is seen, where somebody wants to look at it."""
    if folder := os.environ.get("TAPERTRIG_SHOTS"):
        page.screenshot(path=Path(folder) / f"{name}.png")


def test_own_angle_and_travel_on_a_lathe_of_the_book_is_three_entries(open_lesson, book):
    LatheBook((BLUE,)).save(book)
    page = open_lesson("03", width=1366, height=768)
    panel = PanelSeen(page)
    # A lesson that was open before the book was written looks into it when a lathe is picked.
    panel.root.get_by_label("Lathe", exact=True).select_option(index=1)
    panel.root.locator("option", has_text="Blue lathe").first.wait_for(state="attached")
    panel.root.get_by_label("Lathe", exact=True).select_option(index=0)
    panel.settle()
    page.evaluate(COUNT)
    # Lathe, half angle, travel, from the one to the next by Tab, which takes hold of what stands
    # in the box; past the slider on the way.
    panel.root.get_by_label("Lathe", exact=True).focus()
    for keys in (("B", "Tab"), ("17 25", "Enter", "Tab", "Tab"), ("3.125", "Enter")):
        page.keyboard.type(keys[0])
        for key in keys[1:]:
            page.keyboard.press(key)
    reading = 2 * 3.125 * math.sin(math.radians(17 + 25 / 60))
    told = f"7 turns, then {reading - 7 * 0.25:.4f}".replace(" 0.", " .")
    panel.root.get_by_role("definition").filter(has_text=told).wait_for()
    assert f"the cross dial shows {reading:.4f} in." in panel.sentence
    counted = page.evaluate("counted")
    print(f"one number: {counted['keys']} keys, {counted['clicks']} clicks")
    assert counted["clicks"] == 0
    assert counted["keys"] <= 16
    shot(page, "one-number")
    for part in (panel.image, panel.root.locator(".tapertrig-sentence"), panel.entry("Half angle")):
        box = part.bounding_box()
        assert box["y"] >= 0, part
        assert box["y"] + box["height"] <= 768, part


def describe(panel, page) -> None:
    """A lathe as somebody types it who has found out all but one thing."""
    for name, text in (("Lathe's name", "Blue lathe"), ("How the slide is parked", "well back")):
        panel.root.get_by_label(name, exact=True).fill(text)
        page.keyboard.press("Tab")
    for name, text in (
        ("Usable compound travel", "3.7"),
        ("Compound dial, one graduation", ".001"),
        ("Compound dial, one turn", ".125"),
        ("Cross dial, one graduation", ".001"),
        ("Cross dial, one turn", ".250"),
    ):
        panel.entry(name).fill(text)
        panel.entry(name).press("Enter")
    panel.choose("Compound dial reads", "radius")
    panel.choose("Cross dial reads", "diameter")
    panel.choose("Base zero: slide is", "square to bed")
    panel.settle()


@pytest.mark.parametrize(("width", "height"), [(1366, 768), (390, 844)])
def test_a_lathe_is_made_in_the_panel(open_lesson, book, axe, width, height):  # noqa: F811
    page = open_lesson("00", width=width, height=height)
    panel = panel_with(page, "How the slide is parked")
    panel.choose("In the book", "a new lathe")  # the kernel may be live from another page
    panel.root.get_by_text("Not yet a lathe").first.wait_for()
    describe(panel, page)
    summary = panel.root.get_by_text("How to find the cross dial", exact=True)
    summary.click()
    panel.root.get_by_text("Is it diameter-reading?").wait_for()
    assert violations(page, axe, ".tapertrig-panel") == []
    assert cut_off(page, ".tapertrig-panel") == []
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    panel.image.scroll_into_view_if_needed()
    shot(page, f"lathe-book-{width}")
    panel.press("Keep in the book")
    panel.root.get_by_text("“Blue lathe” is in the book now.").wait_for()
    kept = LatheBook.load(book)["Blue lathe"]
    assert (kept.compound_reach, kept.cross_dial) == (3.7, BLUE.cross_dial)
    assert (kept.parked, kept.base_radius) == ("well back", None)
    sheet = PanelSeen(page, 0)
    sheet.choose("Lathe", "Blue lathe")
    sheet.settle()
    assert "square to bed" in " ".join(sheet.rows().values())
    page.emulate_media(color_scheme="dark")
    theme = "() => window.jupyterapp.commands.execute('apputils:change-theme', {theme: '%s'})"
    page.evaluate(theme % "JupyterLab Dark")
    page.wait_for_selector("[data-jp-theme-light='false']", state="attached")
    panel.image.scroll_into_view_if_needed()
    panel.settle()
    assert violations(page, axe, ".tapertrig-panel") == []
    shot(page, f"lathe-book-{width}-dark")
    page.evaluate(theme % "JupyterLab Light")
    page.wait_for_selector("[data-jp-theme-light='true']", state="attached")
