"""Lesson 04 by keyboard: a guided setup by the panel's own words, and a slip made alone."""

from __future__ import annotations

import re
import time
from collections.abc import Callable

import pytest
from panels_seen import PanelSeen
from playwright.sync_api import Locator, expect

pytestmark = pytest.mark.browser

GUIDED, ALONE = 2, 4  # their places among the lesson's panels
MOST_KEYS = 60
SECONDS = 60
TURN_BY, SWING_BY = "Turn it by", "Swing it by"


class BenchSeen(PanelSeen):
    """The indicating bench, worked by keys alone, each of them counted."""

    keys = 0

    def key(self, name: str) -> None:
        self.keys += 1
        self.page.keyboard.press(name)

    def to(self, place: object) -> None:
        """Tab from where the focus stands to a control, backwards if that is the shorter way."""
        place.wait_for()
        steps = place.evaluate(
            """place => {
                const root = place.closest('.tapertrig-panel');
                const all = [...root.querySelectorAll('input, select, button, [tabindex="0"]')]
                    .filter((one) => one.offsetParent && !one.disabled);
                return all.indexOf(place) - all.indexOf(document.activeElement);
            }"""
        )
        for _ in range(abs(steps)):
            self.key("Tab" if steps > 0 else "Shift+Tab")
        assert place.evaluate("place => place === document.activeElement")

    def button(self, name: str):
        return self.root.get_by_role("button", name=name, exact=True)

    def act(self, button: object) -> None:
        """Press a button that has the focus, or is tabbed to, and wait for the next step.

        Not for another picture: one is drawn for a new width of the page too, and the words of
        the step come after theirs.
        """
        before = self.told
        self.to(button)
        self.key("Enter")
        self.wait_other(lambda: self.told, before)

    def wait_other(self, said: Callable[[], str], before: str) -> None:
        """Wait until it says something else than before."""
        end = time.monotonic() + SECONDS
        while said() == before:
            assert time.monotonic() < end, f"nothing happened: {self.notice}"
            time.sleep(0.02)

    def show_truth(self) -> dict[str, str]:
        """Press for the truth; the rows once it stands among them."""
        self.press("Show the truth")
        self.root.locator(".tapertrig-words dl > div", has_text="True half angle").wait_for()
        return self.rows()

    def say(self, name: str, text: str) -> None:
        """Type into an entry."""
        self.to(self.entry(name))
        for letter in text:
            self.key(letter)

    @property
    def told(self) -> str:
        return self.root.locator(".tapertrig-step-now").inner_text()

    @property
    def verdict(self) -> Locator:
        return self.root.locator(".tapertrig-step:not(.tapertrig-step-now)")


def test_a_newcomer_sets_it_by_the_panels_own_words_in_sixty_keys(open_lesson):
    page = open_lesson("04", width=1366, height=768)
    bench = BenchSeen(page, GUIDED)
    bench.press("Start again")  # a class may have stood before it
    bench.settle()
    expect(bench.root.locator(".tapertrig-step-now")).to_contain_text("Get ready.")
    step = bench.root.locator(".tapertrig-buttons:visible button").first
    first = bench.told
    step.click()  # a hand's first click brings the focus here
    bench.keys += 1
    bench.wait_other(lambda: bench.told, first)
    said = False
    while not (told := bench.told).startswith("Set, and proven"):
        press = step
        if travel := re.search(r"never reversing: ([\d.]+) in, one turn is 0\.1000 in", told):
            if not said:
                said = True
                bench.say(TURN_BY, travel[1].rstrip("0"))
        elif swing := re.search(r"Swing (further|back)[^,]*, about (?:(\d+)′)?(?:(\d\d?)″)?", told):
            minutes = int(swing[2] or 0) + int(swing[3] or 0) / 60
            bench.say(SWING_BY, f"{minutes:.1f}")
            if swing[1] == "back":
                press = bench.button("Swing back towards parallel")
        bench.act(press)
        assert bench.keys <= MOST_KEYS, told
    expect(bench.verdict).to_contain_text("proves it")
    expect(bench.verdict).to_contain_text("It proves the slide, not the part.")
    rows = bench.show_truth()
    assert float(re.match(r"[\d.]+", rows["Error"])[0]) < 6, rows["Error"]
    assert not [name for name in rows if name.startswith("Step")], rows
    # Verdict and review stand on the screen with the button that called them.
    bench.root.evaluate("root => root.scrollIntoView()")
    review = bench.root.locator(".tapertrig-words dl > div", has_text="Well done")
    for place in (bench.button("Show the truth"), review):
        box = place.bounding_box()
        assert 0 <= box["y"] < box["y"] + box["height"] <= 768


def test_alone_a_reversal_is_named_and_what_it_cost(open_lesson):
    page = open_lesson("04", width=1366, height=768)
    bench = BenchSeen(page, ALONE)
    assert not bench.root.locator(".tapertrig-step-now").is_visible()

    def hand(on: str, *presses: str, by: str = "") -> None:
        bench.choose("Hand on", on)
        bench.button(presses[0]).wait_for()
        if by:
            bench.entry(TURN_BY).fill(by)
        for name in presses:
            before = bench.sentence
            bench.press(name)
            bench.wait_other(lambda: bench.sentence, before)
            bench.settle()

    def marks() -> str:
        return bench.rows()["Witness marks"]

    hand("the carriage", "Lock it")
    hand("the cross slide's crank", "Out", by="10 turns")
    apart, end = re.match(r"([\d.]+) in apart, the slide's nearer the (\w+)", marks()).groups()
    past = float(apart) * (1 if end == "headstock" else -1)
    run_up = f"{abs(0.05 - past):.3f}"
    way = "Towards the headstock" if past < 0.05 else "Towards the tailstock"
    hand("the compound's crank", way, by=run_up)
    hand("the compound's crank", "Towards the tailstock", by=".05")
    hand("the cross slide's crank", "In until it touches")
    hand("needle and dials", "Zero the needle", "Zero the cross dial", "Zero the compound dial")
    hand("the compound's crank", "Towards the tailstock", by="26 turns")
    hand("the cross slide's crank", "In until it touches", "Creep to the null")
    hand("the cross slide's crank", "In", by=".02")
    hand("the cross slide's crank", "Out", by=".02")
    hand("needle and dials", "Read")
    expect(bench.verdict).to_contain_text("Pass 1")
    rows = bench.show_truth()
    blamed = [name for name in rows if "reversal inside the backlash" in name]
    assert blamed, rows
    assert "reads" in rows[blamed[0]]
