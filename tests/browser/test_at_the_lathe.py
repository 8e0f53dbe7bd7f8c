"""At the lathe as a person does it: lathe, print and passes by the keyboard, to proven."""

from __future__ import annotations

import re
import time
from pathlib import Path

import pytest
from panels_seen import PanelSeen
from tapping_as_told import TappingAsTold
from test_one_number import COUNT, book, panel_with, shot

from tapertrig.job import Job
from tapertrig.lathe import Dial
from tapertrig.lathe_book import LatheBook
from tapertrig.next_tap import set_to

pytestmark = pytest.mark.browser

__all__ = ["book"]

FOCUSED = """() => {
    const one = document.activeElement;
    return one.ariaLabel || one.labels?.[0]?.textContent.trim() || one.textContent.trim();
}"""
MOST_TABS = 80


class Keys:
    """A person at the keyboard; the page itself counts keys and clicks."""

    def __init__(self, page) -> None:
        self.page, self.before = page, {"keys": 0, "clicks": 0}
        page.evaluate(COUNT)

    def into(self, panel: PanelSeen, name: str) -> None:
        """A click into a panel; from there on keys alone."""
        one = panel.root.get_by_label(name, exact=True).first
        one.scroll_into_view_if_needed()
        one.click()
        self.page.keyboard.press("Escape")  # a list that the click has opened
        self.page.keyboard.press("Control+A")  # what is typed takes the place of what stands there

    def to(self, name: str, back: bool = False) -> None:
        """Tab, or back, until it stands there."""
        for _ in range(MOST_TABS):
            if self.page.evaluate(FOCUSED) == name:
                return
            self.page.keyboard.press("Shift+Tab" if back else "Tab")
        raise AssertionError(f"no way by Tab to {name}")

    def fill(self, *told: tuple[str, str]) -> None:
        """By Tab to each, and type."""
        for name, text in told:
            self.to(name)
            self.page.keyboard.type(text)
        self.page.keyboard.press("Tab")

    def press(self, name: str) -> None:
        self.to(name)
        self.page.keyboard.press("Enter")

    def counted(self, what: str) -> dict[str, int]:
        now = self.page.evaluate("counted")
        since = {name: now[name] - self.before[name] for name in now}
        print(f"{what}: {since['keys']} keys, {since['clicks']} clicks")
        self.before = now
        return since


def until(said, seconds=20.0):
    """Wait until a check holds."""
    end = time.monotonic() + seconds
    while not said():
        assert time.monotonic() < end, "it did not come about"
        time.sleep(0.1)


def test_lathe_print_and_three_passes_by_the_keyboard_to_proven(open_lesson, kit, book):
    page = open_lesson("00", width=1366, height=768)
    hands, made = Keys(page), []
    kept = Path(kit.folder) / "weir pin.job.json"
    try:
        lathes = panel_with(page, "How the slide is parked")
        made.append(lathes)
        hands.into(lathes, "Lathe's name")
        hands.fill(
            ("Lathe's name", "Weir lathe"),
            ("Usable compound travel", "3.1"),
            ("Compound dial, one graduation", ".001"),
            ("Compound dial, one turn", ".125"),
            ("Compound dial reads", "radius"),
            ("Cross dial, one graduation", ".001"),
            ("Cross dial, one turn", ".25"),
            ("Cross dial reads", "diameter"),
            ("Base zero: slide is", "square"),
            ("Radius of the base's rim", "1.94"),
            ("Compound backlash", ".011"),
            ("Cross backlash", ".016"),
        )
        hands.press("Keep in the book")
        until(book.exists)
        lathe = LatheBook.load(book)["Weir lathe"]
        assert (lathe.cross_dial, lathe.cross_backlash) == (Dial(0.001, 0.25, "diameter"), 0.016)
        hands.counted("a lathe for the book")

        sheet = PanelSeen(page, 0)
        made.append(sheet)
        hands.into(sheet, "The print gives")
        hands.fill(
            ("Included angle", "37 50"),
            ("Angle tolerance ±", "0 10"),
            ("Lathe", "Weir"),
            ("Title on the sheet", "Weir pin"),
            ("File name", "weir pin"),
        )
        hands.press("This is my job now")
        until(lambda: "now empty" in sheet.root.inner_text())
        hands.to("Save job", back=True)
        page.keyboard.press("Enter")
        until(kept.exists)
        job = Job.load(kept)
        assert (job.invented, job.lathe) == (False, lathe)
        hands.counted("a print for the sheet")

        panel = PanelSeen(page, 1)
        made.append(panel)
        hands.into(panel, "Job")
        page.keyboard.type("weir")
        until(lambda: "18°55′" in panel.image.text_content() and "No pass yet" in panel.sentence)
        assert "Example" not in panel.rows(), "it is a job of one's own now"

        def tell(said: list[str], tight: bool) -> str:
            number = len(Job.load(kept).passes) + 1
            hands.to("Compound dial reads", back=number > 1)
            hands.fill(("Compound dial reads", said[0]), ("Cross dial reads", said[1]))
            if tight:
                hands.fill(("Bolts", "tight"))
            hands.press("Add this pass")
            until(lambda: f"Pass {number}" in panel.rows())
            panel.settle()
            shot(page, f"pass-{number}")
            for part in (panel.root.locator(".tapertrig-sentence"), panel.image):
                box = part.bounding_box()
                assert box["y"] >= 0, part
                assert box["y"] + box["height"] <= 768, part
            if "Swing" in panel.sentence:
                before = panel.root.get_by_text("Never crank").bounding_box()
                assert before["y"] + before["height"] <= 740, "beneath the fold"
            shot(page, f"pass-{number}")
            return re.sub(r"^.*?half angle [\d°′″]+\. ", "", panel.sentence)

        hand = TappingAsTold(job, tell, seed=8)
        assert hand.work().proven
        done = Job.load(kept)
        assert [one.bolts for one in done.passes] == ["eased", "eased", "tight"]
        # The bench knows what nobody at a lathe does: how far out the slide truly stands.
        assert abs(hand.bench.truth().error) <= job.callout.half_angle_tolerance
        assert panel.rows()["Proof"] == set_to(done)
        counted = hands.counted("job chosen and three passes")
        assert counted["clicks"] <= 1
        assert counted["keys"] <= 150
        panel.press("Strike the last pass")
        until(lambda: "Proof" not in panel.rows())
        assert Job.load(kept).passes[-1].struck
    finally:
        for one in made:
            one.press("As the lesson left it")
            one.settle()
        kept.unlink(missing_ok=True)
