"""Lesson 04 by keyboard: the compound set as it should be, and with a slip; the verdicts read."""

from __future__ import annotations

import re
import time

import pytest
from panels_seen import PanelSeen

pytestmark = pytest.mark.browser

WITH_BACKLASH = 3  # its place among the lesson's panels
INCHES_PER_TURN = 0.1
SECONDS_FOR_A_TURN = 60


class BenchSeen(PanelSeen):
    """The indicating bench, worked by keys alone."""

    def act(self, name: str) -> None:
        """Press a button by keyboard and wait for what it does."""
        button = self.root.get_by_role("button", name=name, exact=True)
        before = self.turn
        button.focus()
        self.page.keyboard.press("Enter")
        self._wait_turn(before)

    def put(self, name: str, value: str) -> None:
        """Type a handwheel's turns, unless it stands there already, and wait for the picture."""
        if self.turns(name) == float(value):
            return
        before = self.turn
        self.enter(name, value)
        self._wait_turn(before)

    def enter(self, name: str, value: str) -> None:
        """Type an entry that by itself moves nothing."""
        self.entry(name).focus()
        self.page.keyboard.press("Control+A")
        self.page.keyboard.type(value)
        self.page.keyboard.press("Enter")

    @property
    def turn(self) -> str:
        return self.root.locator(".tapertrig-board").get_attribute("data-turn")

    def _wait_turn(self, before: str) -> None:
        end = time.monotonic() + SECONDS_FOR_A_TURN
        while self.turn == before:
            assert time.monotonic() < end, f"nothing happened within {SECONDS_FOR_A_TURN} s"
            time.sleep(0.02)

    def turns(self, name: str) -> float:
        return float(self.entry(name).input_value())

    @property
    def indicator(self) -> str:
        return next(v for k, v in self.rows().items() if k.startswith("Indicator"))

    def onto_the_quill(self) -> None:
        """Bring the cross slide in until the indicator touches and shows some way in."""
        at = self.turns("Cross handwheel")
        while self.indicator == "off the quill":
            at += 0.2
            self.put("Cross handwheel", f"{at:.4f}")
        self.put("Cross handwheel", f"{at + 0.05:.4f}")

    def to_null(self, start: float, past: float = 0.0) -> None:
        """Bring the cross slide in to the indicator's zero, never turning back.

        With `past`, overshoot by that many turns and turn back: the slip the lesson warns of.
        """
        at = start
        self.put("Cross handwheel", f"{at:.4f}")
        while self.indicator == "off the quill":
            at += 0.1
            self.put("Cross handwheel", f"{at:.4f}")
        for short in (0.02, 0.002):
            at += max(0.0, -_number(self.indicator) / INCHES_PER_TURN - short)
            self.put("Cross handwheel", f"{at:.4f}")
        while (reading := _number(self.indicator)) != 0:
            if reading > 0:  # past it: well back, further than the slack, and on again
                self.put("Cross handwheel", f"{at - 0.3:.4f}")
                at -= 0.003
            at += 0.001
            self.put("Cross handwheel", f"{at:.4f}")
        if past:
            self.put("Cross handwheel", f"{at + past:.4f}")
            self.put("Cross handwheel", f"{at:.4f}")


def _number(reading: str) -> float:
    return float(re.match(r"[+−-]?[\d.]+", reading)[0].replace("−", "-"))


def test_a_whole_setup_by_keyboard_right_and_wrong(open_lesson):
    page = open_lesson("04", width=1366, height=768)
    bench = BenchSeen(page, WITH_BACKLASH)
    bench.act("Lock carriage")
    first = _first_end(bench)
    _second_end(bench, first)
    bench.act("Read the dials")
    words = bench.rows()["Pass 1"]
    assert "→" in words, words
    needed = re.search(r"swing ([\d.]+)′ (further|back)", words)
    way = "" if needed[2] == "further" else "-"
    bench.enter("Tap the compound by", f"{way}0°{needed[1]}′")
    bench.put("Cross handwheel", "27.000")  # the tip is clear before the slide is swung
    bench.act("Tap")
    bench.act("Snug up")
    first = _first_end(bench)
    _second_end(bench, first)
    bench.act("Read the dials")
    assert "proving pass" in bench.rows()["Pass 2"]
    bench.act("Show the truth")
    rows = bench.rows()
    assert not [name for name in rows if name.startswith("Step")], rows
    error = float(re.match(r"[\d.]+", rows["Error"])[0])
    assert error < 6, rows["Error"]

    bench.act("Start again")
    bench.act("Lock carriage")
    first = _first_end(bench)
    _second_end(bench, first, past=0.1)
    bench.act("Read the dials")
    bench.act("Show the truth")
    blamed = [name for name in bench.rows() if "reversal inside the backlash" in name]
    assert blamed, "; ".join(f"{k}: {v}" for k, v in bench.rows().items())


def _first_end(bench: BenchSeen) -> float:
    """Indicator on the quill, well into its range, everything zeroed; the compound's turns."""
    bench.put("Cross handwheel", "27.000")
    bench.put("Compound handwheel", "29.000")
    bench.put("Compound handwheel", "28.000")
    bench.onto_the_quill()
    for name in ("Zero indicator", "Zero compound dial", "Zero cross dial"):
        bench.act(name)
    return bench.turns("Cross handwheel")


def _second_end(bench: BenchSeen, first: float, past: float = 0.0) -> None:
    """Back off, run the compound 26 turns back, bring the cross slide in to null."""
    bench.put("Cross handwheel", f"{first - 0.5:.3f}")
    bench.put("Compound handwheel", "2.000")
    bench.to_null(first + 8.6, past)
