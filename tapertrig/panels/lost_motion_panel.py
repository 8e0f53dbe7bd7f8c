"""Lesson 04: one handwheel, one slide, and the lost motion between them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import ipywidgets

from tapertrig.bench.lost_motion import play
from tapertrig.draw.lost_motion import LostMotionScene, LostMotionState
from tapertrig.lathe import Dial, Lathe, in_unit, length_text
from tapertrig.panels.parts.board import Row, Words
from tapertrig.panels.parts.controls import Control, choice, quantity
from tapertrig.panels.parts.lathe_list import LatheList, needed

MOST_POINTS = 400
ANY, SCREWS = "any screw", ("cross screw", "compound screw")


class LostMotion(LatheList[LostMotionState]):
    """Turn the handwheel there and back and see where the slide is."""

    title = "Lost motion"
    scene = LostMotionScene
    main = "handwheel"

    def make_controls(self) -> None:
        inch = self.unit == "in"
        self.lathe_list("Screw of", first=[ANY])
        self.screw = choice("Which", SCREWS)
        self.handwheels: tuple[float, ...] = (0.0,)
        self.slides: tuple[float, ...] = (0.0,)
        graduation = 0.001 if inch else 0.02
        self.dial = Dial(graduation, 0.1 if inch else 2.0)
        most = 0.02 if inch else 0.5
        self.handwheel = quantity(
            "Handwheel", 0.0, 0.0, 0.1 if inch else 2.5, graduation / 2, self.unit, 4 if inch else 2
        )
        self.lost_motion = quantity(
            "Backlash",
            0.012 if inch else 0.3,
            0.0,
            most,
            graduation / 2,
            self.unit,
            4 if inch else 2,
            optional=True,
        )

    @property
    def of_screw(self) -> str:
        """The screw chosen, as its figures are named in a lathe."""
        return self.screw.value.removesuffix(" screw")

    def lathe_picked(self, lathe: Lathe | None) -> None:
        """The backlash measured of that screw, and its dial; the path begins anew."""
        self.screw.layout.display = None if lathe else "none"
        graduation, turn = (0.001, 0.1) if self.unit == "in" else (0.02, 2.0)
        self.dial = Dial(graduation, turn)
        if lathe:
            self.dial = getattr(lathe, f"{self.of_screw}_dial")
            found = getattr(lathe, f"{self.of_screw}_backlash")
            if found is not None:
                self.lost_motion.limit(0.0, max(self.lost_motion.maximum, found))
            self.lost_motion.value = found
        self.handwheels, self.slides, self.handwheel.value = (0.0,), (0.0,), 0.0

    def arrange(self) -> list[ipywidgets.Widget]:
        self.screw.layout.display = None if self.picked_lathe() else "none"
        self.on_press("Start again", self.start_again, "Handwheel and slide back at zero")
        return super().arrange()

    def moved(self, control: Control) -> None:
        slack = self.lost_motion.value
        if control is self.screw:
            with self.quiet():
                self.lathe_picked(self.picked_lathe())
        elif slack is None:
            pass
        elif control is self.lost_motion:
            # Another screw: the slide is where it was as far as the new slack lets it be.
            at = self.handwheel.value
            slide = play(at, self.slides[-1], slack)
            self.handwheels, self.slides = (at,), (slide,)
        elif control is self.handwheel:
            slide = play(control.value, self.slides[-1], slack)
            self.handwheels = (*self.handwheels, control.value)[-MOST_POINTS:]
            self.slides = (*self.slides, slide)[-MOST_POINTS:]
        super().moved(control)

    def unit_changed(self, before: Mapping[str, Any]) -> None:
        for path in ("handwheels", "slides"):
            there = (in_unit(at, before["unit"], self.unit) for at in before[path])
            setattr(self, path, tuple(map(float, there)))
        super().unit_changed(before)

    def start_again(self) -> None:
        """Handwheel and slide at zero, the path wiped."""
        with self.quiet():
            self.handwheel.value = 0.0
        self.handwheels, self.slides = (0.0,), (0.0,)
        self.render()

    def read_state(self) -> LostMotionState:
        if self.lost_motion.value is None:
            if lathe := self.picked_lathe():
                needed(lathe, f"{self.of_screw}_backlash")
            raise ValueError("the backlash is not given; put in what you found, .008 for example")
        return LostMotionState(
            self.handwheels,
            self.slides,
            self.lost_motion.value,
            self.handwheel.maximum,
            self.dial,
            self.unit,
        )

    def words(self, state: LostMotionState) -> Words:
        stands = f"The handwheel stands at {length_text(state.handwheel, state.unit)}"
        return Words(
            f"{stands}, the slide at {length_text(state.slide, state.unit)}: "
            f"{length_text(state.behind, state.unit)} behind.",
            (
                Row("Handwheel", length_text(state.handwheel, state.unit), answer=False),
                Row("Slide", length_text(state.slide, state.unit)),
                Row("Slide is behind by", length_text(state.behind, state.unit)),
            ),
            f"{stands}; the backlash is {length_text(state.lost_motion, state.unit)}.",
        )
