"""Lesson 01: an angle in all its forms, as included and as half angle."""

from __future__ import annotations

from collections.abc import Iterator

from tapertrig.angle import Angle
from tapertrig.draw.angle_forms import (
    AngleFormsScene,
    AngleFormsState,
    angle_in_forms,
    taper_in_forms,
)
from tapertrig.panels.parts.board import Row, Words
from tapertrig.panels.parts.controls import Control, angle, entry
from tapertrig.panels.parts.panel import Panel
from tapertrig.standards import read_taper


def halving_in_words(angle: Angle) -> str:
    """How an angle is halved by hand, carries and all: an odd degree carries 30′, a minute 30″."""
    _sign, degrees, minutes, seconds = angle.dms_parts(2)
    half_degrees, odd_degree = divmod(degrees, 2)
    half_minutes, odd_minute = divmod(minutes, 2)
    steps = [f"{degrees}° halves to {half_degrees}°" + (" and carries 30′" if odd_degree else "")]
    if minutes:
        step = f"{minutes}′ halves to {half_minutes}′" + (" and carries 30″" if odd_minute else "")
        if odd_degree:
            step += f"; with the 30′ carried that is {half_minutes + 30}′"
        steps.append(step)
    if seconds:
        step = f"{seconds:g}″ halves to {seconds / 2:g}″"
        if odd_minute:
            step += f"; with the 30″ carried that is {seconds / 2 + 30:g}″"
        steps.append(step)
    return f"{'. '.join(steps)}. Together {angle.half().brief()}."


class AngleForms(Panel[AngleFormsState]):
    """One included angle: written every way, halved, and drawn as angle and as cone."""

    title = "An angle in all its forms"
    scene = AngleFormsScene
    main = "included_angle"

    def make_controls(self) -> None:
        self.included_angle = angle("Included angle", "37°25′", "1°", "150°")
        self.taper = entry("Or type a taper", placeholder="1:20, 7:24, 5 % or MT3")

        self._named = read_taper("1:20")

    def _by_name(self, included: Angle) -> Iterator[Row]:
        asked = self._named.half_angle.double()
        if self._named.source and abs(asked - included) < Angle.from_arc_seconds(0.01):
            yield Row("By its name", self._named.words(), mark="wide")

    def read_state(self) -> AngleFormsState:
        return AngleFormsState(self.included_angle.angle, self.unit)

    def words(self, state: AngleFormsState) -> Words:
        cone = state.cone
        _, included, included_radians = angle_in_forms(state.included_angle)
        half, half_decimal, half_radians = angle_in_forms(state.half_angle)
        ratio, percent, by_length = taper_in_forms(cone, state.unit)
        return Words(
            f"An included angle of {state.included_angle.brief()} is a half angle of {half}; "
            f"the taper is {ratio}.",
            (
                Row("Included angle", state.included_angle.brief(), answer=False),
                Row("Included, decimal", included),
                Row("Included, radians", included_radians),
                Row("Half angle", half),
                Row("Half, decimal", half_decimal),
                Row("Half, radians", half_radians),
                Row("Taper as ratio", ratio),
                Row("Taper in percent", percent),
                Row("Taper on length", by_length),
                Row("Halving", halving_in_words(state.included_angle), mark="wide"),
                *self._by_name(state.included_angle),
            ),
            f"The included angle is {state.included_angle.brief()}: write it the other ways, and "
            "halve it.",
        )

    def moved(self, control: Control) -> None:
        taper = self.taper
        if control is taper and taper.value.strip():
            self.guard(self.take_taper)
            return
        with self.quiet():
            taper.value = ""
        self.render(control)

    def take_taper(self) -> None:
        """Set the included angle to the typed taper's; ValueError when it is not shown here."""
        taper = self.taper.value
        named = read_taper(taper)
        wanted = named.half_angle.double()
        included = self.included_angle
        if not included.minimum <= wanted.degrees <= included.maximum:
            raise ValueError(
                f"the taper “{taper}” has an included angle of {wanted.brief()}; this picture "
                f"shows {included.format(included.minimum)} to "
                f"{included.format(included.maximum)}, for example 1:20"
            )
        with self.quiet():
            included.value = wanted.degrees
        self._named = named
        self.render(self.taper)
