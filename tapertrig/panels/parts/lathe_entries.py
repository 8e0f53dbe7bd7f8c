"""Controls that describe a lathe, each of which may be left empty, for panels that have them."""

from __future__ import annotations

from typing import Any

from tapertrig.angle import Angle
from tapertrig.lathe import BASE_ZEROS, READS, UNITS, Dial, Lathe
from tapertrig.panels.parts.controls import (
    Control,
    Quantity,
    choice,
    or_not_given,
    quantity,
)
from tapertrig.panels.parts.panel import Panel, State
from tapertrig.panels.parts.run_again import close_whole

# Label, ends, and a step of the slider: in inches, the step in millimetres last.
Kinds = dict[str, tuple[str, float, float, float, float]]
LENGTHS: Kinds = {
    "reach": ("Usable compound travel", 0.1, 12, 0.01, 0.5),
    "compound_graduation": ("Compound dial, one graduation", 0.0001, 0.05, 0.0001, 0.005),
    "compound_per_turn": ("Compound dial, one turn", 0.01, 1, 0.005, 0.1),
    "cross_graduation": ("Cross dial, one graduation", 0.0001, 0.05, 0.0001, 0.005),
    "cross_per_turn": ("Cross dial, one turn", 0.01, 1, 0.005, 0.1),
    "compound_backlash": ("Compound backlash", 0, 0.1, 0.0005, 0.01),
    "cross_backlash": ("Cross backlash", 0, 0.1, 0.0005, 0.01),
    "base_radius": ("Radius of the base's rim", 0.2, 10, 0.005, 0.1),
}
DIALS = ("graduation", "per_turn", "reads")
PLAIN = ("base_zero", "compound_backlash", "cross_backlash", "base_radius")
OF_LATHE = ("lathe_name", "lathe_unit", "compound_reads", "cross_reads", "base_zero", *LENGTHS)


def length(kinds: Kinds, name: str, start: float | None, unit: str) -> Quantity[float | None]:
    """The control of a length, empty or not, in a unit."""
    label, least, most, fine, coarse = kinds[name]
    at, step = (1, fine) if unit == "in" else (25, coarse)
    places = 4 if fine < 0.001 else 3
    return quantity(label, start, least * at, most * at, step, unit, places, optional=True)


def widen(control: Quantity[Any], value: Any) -> None:
    """Move the slider's ends out for a value that they do not hold."""
    if value is not None:
        value = value.degrees if isinstance(value, Angle) else value
        control.limit(min(control.minimum, value), max(control.maximum, value))


def entries_of(lathe: Lathe) -> dict[str, Any]:
    """What the controls show of a lathe, by name of the control."""
    shown: dict[str, Any] = {name: getattr(lathe, name) for name in PLAIN}
    for slide, dial in (("compound", lathe.compound_dial), ("cross", lathe.cross_dial)):
        shown |= {f"{slide}_{name}": getattr(dial, name) for name in DIALS}
    named = {"lathe_name": lathe.name, "lathe_unit": lathe.unit, "reach": lathe.compound_reach}
    return {**shown, **named}


class LatheEntries(Panel[State]):
    """A panel whose controls describe a lathe."""

    kinds: Kinds = LENGTHS

    def lathe_entries(self, unit: str) -> None:
        """Make the controls, all of them empty."""
        self.lathe_unit = choice("Lathe's unit", UNITS, unit)
        for name in LENGTHS:
            setattr(self, name, length(LENGTHS, name, None, unit))
            if name.endswith("per_turn"):
                slide = name.removesuffix("_per_turn")
                reads = choice(f"{slide.capitalize()} dial reads", or_not_given(READS))
                setattr(self, f"{slide}_reads", reads)
        self.base_zero = choice("Base zero: slide is", or_not_given(BASE_ZEROS))

    def put_length(self, name: str, value: float | None, unit: str) -> None:
        """A length in a unit of its own; the slider's ends move out for one they do not hold."""
        made, control = length(self.kinds, name, None, unit), self.controls[name]
        with self.quiet():
            control.value, control.unit, control.step = None, unit, made.step
            control.limit(made.minimum, made.maximum)
            widen(control, value)
            control.value = value
        close_whole(made)

    def entered_dial(self, slide: str) -> Dial | None:
        """One of the dials; None while something of it is not given."""
        values = {name: self.controls[f"{slide}_{name}"].value for name in DIALS}
        return None if None in values.values() else Dial(**values)

    def lacking_of_dials(self) -> tuple[Control, str] | None:
        """The first control that a dial still wants, and what to say there."""
        for slide in ("compound", "cross"):
            for name in DIALS:
                control = self.controls[f"{slide}_{name}"]
                if control.value is None:
                    said = getattr(control, "label", "") or control.description
                    return control, f"{said}: not given, and there is no setup without it"
        return None

    def entered_lathe(self, name: str, was: Lathe | None = None, **rest: Any) -> Lathe:
        """The lathe of the entries, its dials given; what they do not show is as it was.

        The day a backlash was measured goes with the backlash.
        """
        if was is not None and was.name == name:
            days = {
                f"{each}_measured": getattr(was, f"{each}_measured")
                for each in ("compound_backlash", "cross_backlash")
                if self.controls[each].value == getattr(was, each)
            }
            rest = {"parked": was.parked, "quill_slope": was.quill_slope, **days, **rest}
        return Lathe(
            unit=self.lathe_unit.value,
            compound_reach=self.controls["reach"].value,
            compound_dial=self.entered_dial("compound"),  # type: ignore[arg-type]
            cross_dial=self.entered_dial("cross"),  # type: ignore[arg-type]
            name=name,
            **{each: self.controls[each].value for each in PLAIN},
            **rest,
        )
