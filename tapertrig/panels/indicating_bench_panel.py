"""Lesson 04: the indicating bench, guided step by step or worked by one's own hand."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import ipywidgets

from tapertrig.angle import Angle
from tapertrig.bench import Bench, BenchConditions, BenchState, Review, review
from tapertrig.bench.bench import overrun_words
from tapertrig.bench.guided import Guided
from tapertrig.draw.indicating_bench import IndicatingBenchScene
from tapertrig.job.plan import STEEPEST_FOR_SINE
from tapertrig.lathe import READS, Lathe
from tapertrig.panels.parts.bench_words import (
    assumed_rows,
    pass_rows,
    state_rows,
    step_told,
    truth_rows,
    verdict_told,
    witness_row,
)
from tapertrig.panels.parts.board import Words
from tapertrig.panels.parts.controls import (
    Control,
    Quantity,
    Reading,
    angle,
    choice,
    fold,
    quantity,
    switch,
)
from tapertrig.panels.parts.lathe_list import LatheList
from tapertrig.procedure import AXIAL, CROSS, TRAVEL
from tapertrig.written import read_number

COMPOUND, CROSS_SLIDE, CARRIAGE, DIALS, BOLTS, TIP = (
    "the compound's crank",
    "the cross slide's crank",
    "the carriage",
    "needle and dials",
    "hammer and spanner",
    "tip and blocks",
)
FURTHER, BACK = "Swing further from parallel", "Swing back towards parallel"
PLUS, MINUS = 1, -1
ALONG = {"Towards the headstock": PLUS, "Towards the tailstock": MINUS}
# What each hand can do, by the words on its buttons: a way, for which an amount is typed, or an
# action of the bench or of its guide.
HANDS: dict[str, dict[str, int | str]] = {
    COMPOUND: {**ALONG},
    CROSS_SLIDE: {
        "In": PLUS, "Out": MINUS, "In until it touches": "touch", "Creep to the null": "creep",
    },
    CARRIAGE: {
        **ALONG, "Up until it touches": "carriage_up", "Lock it": "lock_carriage",
        "Unlock it": "loosen_carriage",
    },
    DIALS: {
        "Zero the needle": "zero_indicator", "Zero the cross dial": "zero_cross_dial",
        "Zero the compound dial": "zero_compound_dial", "Read": "read",
    },
    BOLTS: {FURTHER: PLUS, BACK: MINUS, "Tighten the bolts": "snug"},
    TIP: {
        "Lift the tip": "lift_tip", "Lower the tip": "lower_tip", "Put the stack in": "stack_in",
        "Take the stack out": "take_out_blocks",
    },
}  # fmt: skip
MOVES = {COMPOUND: "turn_compound", CROSS_SLIDE: "turn_cross", CARRIAGE: "move_carriage"}
SLIDES = {COMPOUND: "compound", CROSS_SLIDE: "cross"}
NOT_ON = {CROSS: TIP, AXIAL: CROSS_SLIDE}
SETTINGS = ("half_angle", "tolerance", "internal", "backlash", "quill_slope", "seed")
WHEELS = {"compound_wheel": "compound", "cross_wheel": "cross"}


@dataclass(frozen=True)
class BenchShown:
    """The bench's state and the words of the last step."""

    state: BenchState
    sentence: str
    judged: Review | None


class _Minutes(Quantity["float | None"]):
    """Minutes of arc, typed as 4.3, 4′20″ or 4 20."""

    def read(self, text: str) -> float:
        """The minutes of a typed text."""
        if any(mark in text for mark in "°′″'\""):
            return Angle.parse(text).minutes
        if apart := re.fullmatch(r"\s*(\d+)[ :]+([0-5]?\d)\s*", text):
            return int(apart[1]) + int(apart[2]) / 60
        return read_number(text, "4.3, 4′20″ or 4 20")


class IndicatingBench(LatheList[BenchShown]):
    """Set the compound: each step said and done in turn, or one's own hand on everything."""

    title = "Indicating bench"
    scene = IndicatingBenchScene
    main = "compound_wheel"
    only_in_lesson = "Only the lesson has the handwheels, the guide and the verdict."

    def make_controls(self) -> None:
        self.hand_on = choice("Hand on", tuple(HANDS))
        self.compound_wheel, self.cross_wheel = (
            quantity(f"{name}, a line a press of an arrow key", 0.0, 0.0, 1e3, 0.01, "turns", 3)
            for name in ("Compound", "Cross slide")
        )
        for wheel in (self.compound_wheel, self.cross_wheel):
            wheel.add_class("tapertrig-wheel")
        self.turn_by = Reading("Turn it by", self.unit)
        self.swing_by = _Minutes(
            label="Swing it by", value=None, minimum=0.0, maximum=180.0, step=0.1, unit="′",
            places=1, optional=True,
        )  # fmt: skip
        self.swing_by.add_class("tapertrig-reading")
        self.read_as = choice("Take the cross dial as", READS)
        self.guide = switch("Guide me, step by step")
        self.lathe_list()
        most = 0.02 if self.unit == "in" else 0.5
        self.half_angle = angle("Half angle wanted", "20°43′", "1°", "80°")
        self.tolerance = angle("Its tolerance, ±", "0°06′", "0°01′", "1°", optional=True)
        self.internal = choice("Cone", [("internal", True), ("external", False)])
        self.backlash = quantity(
            "Backlash", 0.4 * most, 0.0, most, most / 40, self.unit, 4,
            "empty: as measured on this lathe", optional=True,
        )  # fmt: skip
        self.quill_slope = quantity("Quill or face out of line", 0.0, -5.0, 5.0, 0.5, "′", 1)
        self.seed = quantity("Start number", 1, 1, 9999, 1, "", 0)

    def arrange(self) -> list[ipywidgets.Widget]:
        self.told, self.verdict = ipywidgets.HTML(), ipywidgets.HTML()
        for one in (self.told, self.verdict):
            one.add_class("tapertrig-step")
        self.told.add_class("tapertrig-step-now")
        self.go = self.make_press("Do it", self.do_step)
        self.other_way = self.make_press(BACK, partial(self.do_step, -1))
        self.boxes = {"": self._buttons([self.go, self.other_way])}
        for hand, actions in HANDS.items():
            presses = [
                self.make_press(words, partial(self.act, hand, action))
                for words, action in actions.items()
            ]
            self.boxes[hand] = self._buttons(presses)
        self.begin()
        self.on_press("Show the truth", self.show_truth, "True angle, error and review")
        self.on_press("Start again", self.start_again, "The same bench as it was found")
        worked = [one for name, one in self.controls.items() if name not in ("lathe", *SETTINGS)]
        settings = [self.controls[name] for name in ("lathe", *SETTINGS)]
        work = ipywidgets.VBox([self.told, *worked[:-1], *self.boxes.values(), self.verdict])
        work.add_class("tapertrig-work")  # fills the screen with the picture
        return [work, self.guide, self.presses, *fold("The bench", settings)]

    def _buttons(self, inside: list[ipywidgets.Button]) -> ipywidgets.Box:
        box = ipywidgets.Box(inside)
        box.add_class("tapertrig-buttons")
        return box

    # -- the bench ------------------------------------------------------------------------

    def conditions(self) -> BenchConditions:
        """What the controls say of the bench; past 45° the check is along the axis."""
        backlash, wanted = self.backlash.value, self.half_angle.angle
        lathe = self.lathes[self.lathe.value]
        if backlash is not None:
            lathe = replace(
                lathe,
                compound_backlash=backlash,
                cross_backlash=backlash,
                compound_backlash_measured=None,
                cross_backlash_measured=None,
            )
        return BenchConditions(
            lathe,
            wanted,
            internal=self.internal.value,
            seed=round(self.seed.value),
            quill_slope=Angle.from_arc_seconds(self.quill_slope.value * 60).radians,
            route=AXIAL if wanted > STEEPEST_FOR_SINE else CROSS,
            half_angle_tolerance=self.tolerance.angle,
        )

    def lathe_picked(self, lathe: Lathe | None) -> None:
        """Another lathe is another bench: its own backlash, and the quill's slope if given."""
        lathe = self.lathes[self.lathe.value]
        self.backlash.value = None
        minutes = Angle.from_radians(math.atan(lathe.quill_slope or 0.0)).minutes
        slope = self.quill_slope
        slope.limit(min(slope.minimum, minutes), max(slope.maximum, minutes))
        slope.value = minutes
        self.begin()

    def begin(self) -> None:
        """A fresh bench under the present conditions."""
        self.bench = Bench.under(self.conditions())
        self.guided = Guided(self.bench)
        self.truth_shown, self.done = False, ""
        with self.quiet():
            self.read_as.value = self.bench.conditions.lathe.cross_dial.reads
            self.swing_by.value = None
            self.turn_by.empty()
            hands = tuple(one for one in HANDS if one != NOT_ON[self.bench.conditions.route])
            if hands != tuple(self.hand_on.options):
                self.hand_on.options = hands

    def steps_to_read(self) -> tuple[tuple[str, str], ...]:
        if not self.guide.value:
            return ()
        steps = self.guided.steps.steps
        return tuple((f"{at}.", f"{one.words} {one.why}") for at, one in enumerate(steps, 1))

    def unit_changed(self, before: Mapping[str, Any]) -> None:
        super().unit_changed(before)
        self.begin()  # another lathe is another bench

    begin_again = begin

    def _follow(self) -> None:
        """The sliders stand where the handwheels stand; what the hands need is in sight."""
        conditions, step = self.bench.conditions, self.guided.step if self.guide.value else None
        hand = "" if self.guide.value else self.hand_on.value
        swinging, running = step and step.id == "swing", step and step.action.until == TRAVEL
        with self.quiet():
            for name, slide in WHEELS.items():
                wheel, lead = self.controls[name], conditions.lead(slide)
                wheel.step = 1 / conditions.dial(slide).graduations_per_turn
                wheel.limit(0.0, conditions.farthest(slide) / lead)
                at = self.bench.state.screw(slide).handwheel / lead
                wheel.value = min(max(at, wheel.minimum), wheel.maximum)
            screw = SLIDES.get(hand or COMPOUND)
            dial = conditions.dial(screw) if screw else None
            if dial != self.turn_by.dial:  # so many turns of the other screw are another movement
                self.turn_by.dial, self.turn_by.unit = dial, conditions.lathe.unit
                self.turn_by.empty()
        self.go.description = FURTHER if swinging else self.guided.press
        shown = {
            self.told: self.guide.value,
            self.hand_on: not self.guide.value,
            self.compound_wheel: hand == COMPOUND,
            self.cross_wheel: hand == CROSS_SLIDE,
            self.turn_by: running or hand in MOVES,
            self.swing_by: swinging or hand == BOLTS,
            self.read_as: hand == DIALS and conditions.route == CROSS,
            self.go: bool(step),
            self.other_way: swinging,
            **{box: name == hand for name, box in self.boxes.items()},
        }
        for widget, wanted in shown.items():
            widget.layout.display = None if wanted else "none"
        self.presenter.work(
            main=self.go if self.guide.value else None,  # a clicker turns no handwheel
            answers=self.answers_switch,
            unit=self.unit_switch,
        )

    # -- what the hands do ----------------------------------------------------------------

    def _amount(self, hand: str) -> float:
        """How far to turn, as slide movement."""
        conditions, by = self.bench.conditions, self.turn_by.value
        if not by:
            raise ValueError("type how far to turn it, as its dial shows: 3 turns, or .001")
        if hand == COMPOUND:
            return conditions.lathe.check_read(by)
        return float(conditions.dial("cross").movement(by)) if hand == CROSS_SLIDE else by

    def _swing(self, way: int) -> Angle:
        if not self.swing_by.value:
            raise ValueError("type by how much to swing it, in minutes: 4.3, 4′20″ or 4 20")
        return Angle.from_arc_seconds(way * 60 * self.swing_by.value)

    def do_step(self, way: int = 1) -> None:
        """Do the present step of the guide, with what is typed where it asks for that."""
        step = self.guided.step
        if step is None:
            return
        running, swinging = step.action.until == TRAVEL, step.id == "swing" and self.guided.tap
        done = f"Done: {self.guided.press if way > 0 else BACK}."
        self.guided.do(
            self._amount(COMPOUND) if running else None, self._swing(way) if swinging else None
        )
        if swinging:
            self.swing_by.value = None
        self.done = done + overrun_words(self.bench.state)
        self.render()
        self.done = ""

    def act(self, hand: str, action: int | str) -> None:
        """What a button of one's own hand says, by the typed amount where there is one."""
        if isinstance(action, str):
            able = self.bench if hasattr(self.bench, action) else self.guided
            getattr(able, action)(*([self.read_as.value] if action == "read" else []))
        elif hand == BOLTS:
            self.bench.swing(self._swing(action))
            self.swing_by.value = None
        else:
            getattr(self.bench, MOVES[hand])(action * self._amount(hand))
        self.render()

    def show_truth(self) -> None:
        """The true angle, the error, and the review of what was done."""
        self.truth_shown = True
        self.render()

    def start_again(self) -> None:
        """The same bench as it was found."""
        self.begin()
        self.render()

    def moved(self, control: Control) -> None:
        on = self.controls
        name = next((key for key, one in on.items() if one is control), "")
        if name in WHEELS:
            slide = WHEELS[name]
            here = self.bench.state.screw(slide).handwheel
            movement = control.value * self.bench.conditions.lead(slide) - here
            if abs(movement) > 1e-9:
                getattr(self.bench, f"turn_{slide}")(movement)
        elif name in SETTINGS:
            self.begin()
        elif name == "guide" and self.guide.value:
            self.guided.begin()  # whatever the hand has left
        if name not in ("turn_by", "swing_by", "read_as"):
            super().moved(control)

    # -- picture and words ----------------------------------------------------------------

    def read_state(self) -> BenchShown:
        judged = review(self.bench) if self.truth_shown else None
        last = self.bench.log[-1]
        done = self.done or last.sentence
        if last.number and not self.guide.value:
            done = f"Step {last.number}. Done: {done[0].lower()}{done[1:]}"
        return BenchShown(self.bench.state, done, judged)

    def render(self, cause: Control | None = None) -> None:
        """Draw; the guide's step and the verdict stand beside the buttons."""
        self._follow()
        super().render(cause)
        judged = self.last_state.judged if self.last_state else None
        step = self.guided.step
        running = step and step.action.until == TRAVEL and self.bench.passes
        self.told.value = step_told(self.guided, bool(running and self.turn_by.value))
        self.verdict.value = "" if self.hiding else verdict_told(self.guided, judged)

    def scene_state(self, state: BenchShown) -> BenchState:
        return state.state

    def words(self, state: BenchShown) -> Words:
        bench = state.state
        wanted = f"Wanted: a half angle of {bench.conditions.half_angle.brief()}."
        marks = witness_row(self.guided)
        where = "" if self.guide.value else f" {marks.name}: {marks.value}."
        return Words(
            f"{state.sentence}{where} {wanted} Indicator: {bench.indicator.words}.",
            (
                *(truth_rows(self.bench, state.judged) if state.judged else ()),
                *state_rows(bench),
                marks,
                *pass_rows(bench),
                *assumed_rows(bench),
            ),
            f"{wanted} Read the dials and the indicator in the picture.",
        )
