"""Lesson 04: a practised hand, and a careless one, watched step by step."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import ipywidgets

from tapertrig import demo
from tapertrig.bench import (
    Bench,
    BenchConditions,
    BenchState,
    Step,
    careless_hand,
    habits_on,
    practised_hand,
    review,
)
from tapertrig.draw.indicating_bench import IndicatingBenchScene
from tapertrig.job.plan import STEEPEST_FOR_SINE
from tapertrig.lathe import Lathe
from tapertrig.panels.parts.bench_words import assumed_rows, pass_rows, state_rows, truth_rows
from tapertrig.panels.parts.board import Row, Words
from tapertrig.panels.parts.controls import Control, angle, choice, quantity
from tapertrig.panels.parts.lathe_list import LatheList
from tapertrig.setup import AXIAL

PRACTISED = "practised"
NUMBERED = tuple(f"hand {number}" for number in range(1, 21))


def hands_on(lathe: Lathe) -> tuple[str, ...]:
    """The practised hand, and those with a slip that this lathe allows."""
    return PRACTISED, *habits_on(Bench(lathe, demo.callout().cone().half_angle))


class WatchItDone(LatheList[Step]):
    """Every step of setting the compound, one sentence each, forward and back."""

    title = "Watch it done"
    scene = IndicatingBenchScene
    main = "step"

    def make_controls(self) -> None:
        self.lathe_list()
        self.step = quantity("Step", 0, 0, 999, 1, "", 0)
        self.hands = hands_on(self.lathes[self.lathe.value])
        self.hand = choice("Hand", self.hands)
        self.half_angle = angle("Half angle wanted", "20°43′", "1°", "80°")
        self.seed = quantity("Start number", 1, 1, 9999, 1, "", 0)

    def arrange(self) -> list[ipywidgets.Widget]:
        self.work()
        self.on_press("Back", lambda: self.go(-1))
        self.on_press("Forward", lambda: self.go(1))
        return [
            self.step,
            self.presses,
            self.hand,
            self.half_angle,
            self.lathe,
            self.seed,
        ]

    def lathe_picked(self, lathe: Lathe | None) -> None:
        """Another lathe is another bench, with the quill's slope where it is given."""
        self.work()
        self.step.value = 0

    def work(self) -> None:
        """Let the chosen hand set the compound; keep every step."""
        lathe, wanted = self.lathes[self.lathe.value], self.half_angle.angle
        self.hands = hands_on(lathe)
        self._name_hands()
        hand = self.hand.value
        conditions = BenchConditions(
            lathe, wanted, quill_slope=lathe.quill_slope or 0.0, seed=round(self.seed.value)
        )
        # Past 45° by the axial travel, but for a slip that only the cross travel has.
        axial = replace(conditions, route=AXIAL)
        if wanted > STEEPEST_FOR_SINE and hand in (PRACTISED, *habits_on(Bench.under(axial))):
            conditions = axial
        self.bench = Bench.under(conditions)
        if hand == PRACTISED:
            practised_hand(self.bench)
        else:
            careless_hand(self.bench, hand)
        self.review = review(self.bench)
        with self.quiet():
            self.step.limit(0, len(self.bench.log) - 1)

    def _start(self, name: str, value: Any) -> None:
        if name == "hand":
            value = dict(self._named_hands(True)).get(value, value)
        super()._start(name, value)

    def _named_hands(self, hidden: bool) -> list[tuple[str, str]]:
        """The hands of this lathe in no order, by number: a name would tell the slip.

        While answers are hidden the practised one is among them, and the numbers are others.
        """
        kept = [] if hidden else [(PRACTISED, PRACTISED)]
        some = list(self.hands[len(kept) :])
        random.Random(f"hands {hidden}").shuffle(some)
        return [*kept, *zip(NUMBERED, some, strict=False)]

    def _name_hands(self) -> None:
        with self.quiet():
            hand = self.hand.value
            self.hand.options = self._named_hands(self.hiding)
            self.hand.value = hand if hand in self.hands else PRACTISED

    def render(self, cause: Control | None = None) -> None:
        self._name_hands()
        super().render(cause)

    def unit_changed(self, before: Mapping[str, Any]) -> None:
        super().unit_changed(before)
        self.work()

    begin_again = work

    def go(self, steps: int) -> None:
        """So many steps forward or back."""
        step = self.step
        with self.quiet():
            step.value = min(max(step.value + steps, step.minimum), step.maximum)
        self.render()

    def moved(self, control: Control) -> None:
        if control in (self.hand, self.half_angle, self.seed):
            self.work()
            with self.quiet():
                self.step.value = 0
        super().moved(control)

    def read_state(self) -> Step:
        return self.bench.log[round(self.step.value)]

    def scene_state(self, state: Step) -> BenchState:
        return state.state

    def words(self, state: Step) -> Words:
        last = len(self.bench.log) - 1
        rows: list[Row] = []
        if state.number == last and not self.hiding:
            rows += truth_rows(self.bench, self.review)
        still = ""
        if state.action.kind == "note":  # nothing moves for it
            before = {one.action.kind for one in self.bench.log[: state.number]}
            still = "Not drawn: " if "turn cross" in before else "Already done here: "
        rows += (*state_rows(state.state), *pass_rows(state.state), *assumed_rows(state.state))
        return Words(
            f"Step {state.number} of {last}. {still}{state.sentence}",
            tuple(rows),
            f"Step {state.number} of {last}. What is being done, and why?",
        )
