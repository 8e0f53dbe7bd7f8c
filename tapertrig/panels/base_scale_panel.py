"""Lesson 01: setting an angle by eye on the degree scale of the compound base."""

from __future__ import annotations

from dataclasses import replace
from itertools import cycle

import ipywidgets

from tapertrig.angle import Angle
from tapertrig.draw.base_scale import BaseScaleScene, BaseScaleState, error_text
from tapertrig.lathe import BASE_ZEROS, Lathe, length_text
from tapertrig.panels.parts.board import Row, Words
from tapertrig.panels.parts.controls import AngleQuantity, angle, choice, or_not_given, quantity
from tapertrig.panels.parts.lathe_list import LatheList, needed

BY_EYE = "by eye"
OTHER_ANGLES = ("33°17′", "12°38′", "27°52′", "8°21′", "41°09′", "16°47′", "20°43′")
MISTAKEN_ZERO = Angle.from_dms(1)


class Swing(AngleQuantity):
    """The swing of the slide: moved by hand, with no number to read or type."""

    def format(self, value: float) -> str:
        return BY_EYE

    def read(self, text: str) -> float:
        raise ValueError(
            "the swing has no number to type: drag the slider, or tap it along with the arrow "
            "keys, and look at the scale"
        )

    def _outside(self, shown: str) -> str:
        return f"{self.label} must lie between 0° and 90°"


class BaseScale(LatheList[BaseScaleState]):
    """Set a half angle by eye, then see how many minutes it is out and what the part shows."""

    title = "Degree scale of the compound base"
    scene = BaseScaleScene
    main = "swing"
    stride = 1.0

    def make_controls(self) -> None:
        inch = self.unit == "in"
        self.lathe_list("Base of")
        lathe = self.lathes[self.lathe.value]
        self.others = cycle(OTHER_ANGLES)
        radius = (1.5, 4.5, 0.025) if inch else (38.0, 115.0, 0.5)
        length = (0.64, 0.1, 4.0, 0.01) if inch else (16.0, 2.0, 100.0, 0.5)
        self.swing = Swing(
            label="Swing the slide",
            value=12.0,
            minimum=0.0,
            maximum=90.0,
            step=1 / 60,
            hint="drag it, or tap it along with the arrow keys: a tap is one minute",
        )
        self.half_angle = angle("Half angle to set", "20°43′", "1°", "89°")
        self.base_zero = choice("Base zero", or_not_given(BASE_ZEROS), lathe.base_zero)
        self.cone_length = quantity("Cone length", *length, self.unit)
        self.base_radius = quantity(
            "Radius of the scale", lathe.base_radius, *radius, self.unit, 3, optional=True
        )

    def arrange(self) -> list[ipywidgets.Widget]:
        self.on_press("Another angle", self.another_angle, "a new angle to set, answers hidden")
        return super().arrange()

    def lathe_picked(self, lathe: Lathe | None) -> None:
        """Its zero and its rim; what is not given stays not given."""
        lathe = self.lathes[self.lathe.value]
        self.base_zero.value, rim = lathe.base_zero, lathe.base_radius
        if rim is not None:
            low, high = self.base_radius.minimum, self.base_radius.maximum
            self.base_radius.limit(min(low, rim), max(high, rim))
        self.base_radius.value = rim

    def another_angle(self) -> None:
        """Ask for another half angle, and hide how far out the slide stands."""
        with self.quiet():
            self.answers_switch.value = True
        self.set(half_angle=next(self.others))

    def read_state(self) -> BaseScaleState:
        lathe = replace(
            self.lathes[self.lathe.value],
            base_zero=self.base_zero.value,
            base_radius=self.base_radius.value,
        )
        for figure in ("base_zero", "base_radius"):
            needed(lathe, figure)
        return BaseScaleState(
            self.half_angle.angle, self.swing.angle, lathe, self.cone_length.value
        )

    def words(self, state: BaseScaleState) -> Words:
        lathe, unit = state.lathe, state.lathe.unit
        square = lathe.base_zero == "square to bed"
        out = state.diameter_error
        length = length_text(state.cone_length, unit)
        effect = "" if out is None else f"{length_text(abs(out), unit)} over {length}"
        degree = length_text(state.degree_width, unit)
        minute = length_text(state.degree_width / 60, unit)
        rows = [
            Row("Half angle wanted", state.wanted.brief(), answer=False),
            Row("Base must read", state.wanted_reading.brief(), answer=square),
            Row("Base reads", f"{state.reading.brief()}, slide at {state.swing.brief()}"),
            Row("Error of half angle", error_text(state.error)),
            Row("Diameter out by", effect or "not told so far out: set it nearer"),
            Row("One degree on the rim", degree, answer=False),
            Row("One minute on the rim", minute, answer=False),
        ]
        if state.far_off and abs(state.swing - state.wanted.complement()) < MISTAKEN_ZERO:
            advice = (
                f"that is the complement: with its zero {lathe.base_zero} this base must read "
                f"{state.wanted_reading.brief()}."
            )
            rows.append(Row("Mind", advice, mark="warning"))
        told = f", which puts the diameter out {effect} of cone" if effect else ""
        between = self._between(state.reading)
        return Words(
            f"The slide stands at {state.swing.brief()} instead of {state.wanted.brief()}: "
            f"{error_text(state.error)}{told}.",
            tuple(rows),
            f"Set the slide to a half angle of {state.wanted.brief()} by eye; the base's zero is "
            f"{lathe.base_zero}. The pointer stands {between}.",
        )

    @staticmethod
    def _between(reading: Angle) -> str:
        degrees = reading.arc_seconds / 3600
        low = int(degrees)
        return f"on the {low}° line" if degrees == low else f"between {low}° and {low + 1}°"
