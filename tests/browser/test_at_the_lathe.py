"""At the lathe as a person does it: the bench's dials read, typed, tapped as told, to proven."""

from __future__ import annotations

import re
import time

import pytest
from panels_seen import PanelSeen

from tapertrig import Angle, demo
from tapertrig.bench import Bench, BenchConditions
from tapertrig.bench.hands import Hand
from tapertrig.job import Job
from tapertrig.lathe import figure_text

pytestmark = pytest.mark.browser

MINUTES = re.compile(r"(further|back) (?:(\d+)°)?(?:(\d+)′)?(?:(\d+)″)?")


class Counted:
    """A person's keys and clicks, counted."""

    def __init__(self, panel: PanelSeen) -> None:
        self.panel, self.keys, self.clicks = panel, 0, 0

    def type(self, name: str, text: str) -> None:
        """Into an entry by click and keys, and on with Tab."""
        entry = self.panel.entry(name)
        entry.click()
        entry.press_sequentially(text)
        entry.press("Tab")
        self.keys, self.clicks = self.keys + len(text) + 1, self.clicks + 1

    def press(self, name: str) -> None:
        self.panel.press(name)
        self.clicks += 1

    def choose(self, name: str, option: str) -> None:
        self.panel.choose(name, option)
        self.clicks += 2


def until(said, seconds=20.0):
    """Wait until a check holds."""
    end = time.monotonic() + seconds
    while not said():
        assert time.monotonic() < end, "it did not come about"
        time.sleep(0.1)


def test_the_benchs_dials_lead_to_proven_as_told(open_lesson, kit):
    panel = PanelSeen(open_lesson("00", width=1366, height=768), 1)
    hand = Counted(panel)
    job = demo.job()
    plan = job.plan()
    # Backlash, a screw's scatter and a base set by eye, half a degree out: the bench's own.
    bench = Bench.under(
        BenchConditions(
            plan.lathe, plan.half_angle, plan.compound_travel, plan.internal, seed=11,
            half_angle_tolerance=plan.half_angle_tolerance,
        )
    )  # fmt: skip
    worker = Hand(bench, travel_known=True)
    worker._do_all("prepare")
    for number in range(1, 8):
        worker._do_all("prove" if bench.state.snugged else "pass")
        line = bench.passes[-1]
        turns, cents = divmod(round(abs(line.compound_reading) * 1000), 100)
        hand.type(
            "Compound dial reads",
            f"{turns} turns" + (f" {figure_text(cents / 1000, 'in')}" if cents else ""),
        )
        hand.type("Cross dial reads", f"{abs(line.cross_reading):.4f}")
        if bench.state.snugged:
            hand.choose("Bolts", "tight")
        hand.press("Add this pass")
        until(lambda number=number: f"Pass {number}" in panel.rows())
        panel.settle()
        rows = panel.rows()
        assert panel.entry("Cross dial reads").input_value() == "", "what is added is gone from it"
        if "Proof" in rows:
            break
        if "Tighten" in panel.sentence:
            bench.snug("as told")
            continue
        way, *parts = MINUTES.search(rows["Missing"]).groups()
        told = Angle.from_dms(*(int(part or 0) for part in parts))
        bench.swing(told if way == "further" else -told, "as told")
    assert "Proof" in rows, "told to tap seven times and never proven"
    # The bench knows what nobody at a lathe does: how far out the slide truly stands.
    assert abs(bench.truth().error) <= plan.half_angle_tolerance
    print(f"{number} passes, {hand.keys} keys and {hand.clicks} clicks to proven")
    (kept,) = kit.folder.glob(f"{job.title}*.job.json")
    passes = Job.load(kept).passes
    assert [one.bolts for one in passes] == ["eased"] * (number - 1) + ["tight"]
    assert rows["Proof"].startswith("Slide set to ")
    panel.press("Strike the last pass")
    until(lambda: "Proof" not in panel.rows())
    assert Job.load(kept).passes[-1].struck
