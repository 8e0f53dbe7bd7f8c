"""Controls of a panel: a quantity (slider and typed entry in step), a choice, a switch, a press.

`Quantity` is a small view of our own because a slider of ipywidgets carries no accessible name
and has no typed entry for angles. The others are ipywidgets as they come.

A control that may be “not given” is made with `optional=True`; its value is then None until it
is used, and a type checker says where None was forgotten. So `quantity` gives a
`Quantity[float]`, and `quantity(…, optional=True)` a `Quantity[float | None]`.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Sequence
from typing import Any, Generic, Literal, Protocol, TypeAlias, TypeVar, cast, overload

import anywidget
import ipywidgets
import traitlets

from tapertrig.angle import Angle
from tapertrig.lathe import Dial, in_unit, length_text, places_written
from tapertrig.limits import finite
from tapertrig.panels.parts.view import script
from tapertrig.written import LENGTH_UNITS, point_for_comma, read_length, read_number

NOT_GIVEN = "not given"

T = TypeVar("T")
V = TypeVar("V")  # what a quantity holds: float, or float | None where it may be not given
A = TypeVar("A")  # what an angle holds: Angle, or Angle | None


class Field(Protocol[T]):
    """A control of ipywidgets, as far as a panel looks at it."""

    value: T
    options: Any
    index: Any
    layout: Any
    disabled: bool
    observe: Any


class _Amount(traitlets.Float[Any, Any]):
    """A float, or None where the control may be not given."""

    def validate(self, obj: Any, value: Any) -> float | None:
        return None if value is None and obj.optional else super().validate(obj, value)


class Quantity(anywidget.AnyWidget, Generic[V]):
    """A quantity with a named slider and a typed entry.

    `value` is a float: degrees for an angle, the panel's unit for a length; an `optional` one may
    be None, not given. `enter(text)` does what typing does: a length may carry a unit of its own
    (36 mm, 1.25 in). A text that cannot be taken leaves the value alone and sets `message`;
    `remark` says what a text was taken for where that is not plain to see.
    """

    _esm = script("stepping", "quantity")

    label = traitlets.Unicode().tag(sync=True)
    unit = traitlets.Unicode().tag(sync=True)
    hint = traitlets.Unicode().tag(sync=True)
    value: traitlets.TraitType[V, V] = cast(Any, _Amount().tag(sync=True))
    text = traitlets.Unicode().tag(sync=True)
    minimum = traitlets.Float().tag(sync=True)
    maximum = traitlets.Float().tag(sync=True)
    step = traitlets.Float(1.0).tag(sync=True)
    optional = traitlets.Bool(False).tag(sync=True)
    message = traitlets.Unicode().tag(sync=True)
    remark = traitlets.Unicode().tag(sync=True)
    disabled = traitlets.Bool(False).tag(sync=True)

    def __init__(self, places: int = 3, **settings: Any) -> None:
        self.places = places
        self.refusal = ""
        self._complaint = ""
        self._was: tuple[str, float, float] | None = None
        start = settings.pop("value")
        super().__init__(**settings)
        self.value = start
        self._write()
        self.on_msg(self._hear)

    def format(self, value: float) -> str:
        """The value as the typed entry shows it; a length with up to two places more if it has."""
        if self.unit not in LENGTH_UNITS:
            return f"{value:.{self.places}f}"
        whole, _, parts = f"{value:.{self.places + 2}f}".partition(".")
        parts = parts[: self.places] + parts[self.places :].rstrip("0")
        return f"{whole}.{parts}" if parts else whole

    def read(self, text: str) -> float:
        """The value of a typed text; ValueError in words when it is none."""
        example = f"{self.format((self.minimum + self.maximum) / 2)} or 1 1/4"
        try:
            if self.unit in LENGTH_UNITS:
                return read_length(text, self.unit, example).value
            return read_number(text.strip().removesuffix(self.unit), example)
        except ValueError as wrong:
            raise ValueError(f"{self.label}: {wrong}") from None

    def taken_for(self, text: str, value: float) -> str:
        """What to remark of a text that was taken: its value here, if in another unit."""
        if self.unit not in LENGTH_UNITS or read_length(text, self.unit, "").unit == self.unit:
            return ""
        fine = places_written(self.unit) + 1
        return f"{text.strip()} is {length_text(value, self.unit, fine)}"

    @traitlets.validate("value")
    def _check(self, proposal: dict[str, Any]) -> float | None:
        if proposal["value"] is None and self.optional:
            return None
        value = finite(self.label, proposal["value"])
        # A hair past an end is a float's rounding, not a wish.
        slack = self.step * 1e-6
        if not self.minimum - slack <= value <= self.maximum + slack:
            raise ValueError(self._outside(self.format(value)))
        return min(max(value, self.minimum), self.maximum)

    def _outside(self, shown: str) -> str:
        unit = f" {self.unit}" if self.unit else ""
        return (
            f"{self.label} is {shown}; it must lie between {self.format(self.minimum)} "
            f"and {self.format(self.maximum)}{unit}"
        )

    @traitlets.observe("value")
    def _write(self, _change: object = None) -> None:
        self.text = "" if self.value is None else self.format(cast(float, self.value))
        self.remark = ""
        self._refuse("")

    def _refuse(self, words: str) -> None:
        self.refusal = words
        self.message = self.refusal or self._complaint

    def complain(self, words: str) -> None:
        """Say what is wrong with the value where it stands; no words when nothing is.

        What the control says of a typed text that it could not take is another matter, and
        stays until something it can take is entered.
        """
        self._complaint = words
        self.message = self.refusal or self._complaint

    def enter(self, text: str) -> None:
        """Take a typed text, or say in `message` why not; an empty one makes it not given."""
        remark, value = "", None
        try:
            if text.strip() or not self.optional:
                value = self.read(text)
                if not self.minimum <= value <= self.maximum:
                    raise ValueError(self._outside(self.format(value)))
                remark = self.taken_for(text, value)
        except ValueError as wrong:
            self._refuse(str(wrong))
            return
        self.value = cast(V, value)
        self._write()
        self.remark = remark
        self.send({"taken": True})

    def limit(self, minimum: float, maximum: float) -> None:
        """New ends of the slider; the value moves inside them."""
        value = self.value
        if value is not None:
            value = cast(V, min(max(cast(float, value), minimum), maximum))
        with self.hold_sync():
            self.minimum, self.maximum = min(minimum, self.minimum), max(maximum, self.maximum)
            self.value = value
            self.minimum, self.maximum = minimum, maximum

    def become(self, made: Quantity[Any]) -> None:
        """Take unit, ends, step and places of a control made in the other unit.

        The length stays: 1.5 in is then 38.1 mm, and from there just 1.5 in again. An end moves
        out by whole steps for a length past it.
        """
        unit, low, high, step = self.unit, made.minimum, made.maximum, made.step
        there = here = cast("float | None", self.value)
        if there is not None:
            before = self._was
            back = before is not None and (before[0], before[2]) == (made.unit, there)
            here = (
                before[1] if before and back else round(float(in_unit(there, unit, made.unit)), 12)
            )
            low -= step * max(0, math.ceil((low - here) / step - 1e-6))
            high += step * max(0, math.ceil((here - high) / step - 1e-6))
        with self.hold_sync(), self.hold_trait_notifications():
            self.unit, self.step, self.places = made.unit, step, made.places
            self.minimum, self.maximum, self.value = low, high, cast(V, here)
        self._write()
        self._was = None if there is None else (unit, there, cast(float, self.value))

    def hold(self, low: float, high: float) -> None:
        """Ends that a converted length must keep to; a remark says what moved."""
        exact = cast("float | None", self.value)
        self.limit(low, high)
        if exact is not None and self.value != exact and self._was is not None:
            unit, there, _ = self._was
            self._was = unit, there, cast(float, self.value)
            self.remark = (
                f"{length_text(there, unit)} is {length_text(exact, self.unit)}; here it ends at "
                f"{length_text(cast(float, self.value), self.unit)}"
            )

    def _hear(self, _widget: object, content: dict[str, Any], _buffers: object) -> None:
        if isinstance(content.get("typed"), str):
            self.enter(content["typed"])


class Reading(Quantity["float | None"]):
    """What a dial or a needle reads, typed as one says it and heard key by key; no slider.

    With a `dial` it takes “9 turns .047” as well and echoes what it was taken for; a needle may
    stand below zero. What is typed so far and is no reading yet is no reading, and no complaint.
    """

    live = traitlets.Bool(True).tag(sync=True)

    def __init__(self, label: str, unit: str, dial: Dial | None = None, least: float = 0.0) -> None:
        self.dial, self.typing = dial, False
        super().__init__(
            places=places_written(unit), label=label, value=None, minimum=least, unit=unit,
            maximum=9999.0, step=10.0 ** -places_written(unit), optional=True,
        )  # fmt: skip
        self.add_class("tapertrig-reading")

    def format(self, value: float) -> str:
        """As a hand turns it, or as a length."""
        return self.dial.words(value, self.unit) if self.dial else super().format(value)

    def read(self, text: str) -> float:
        """The reading of a typed text."""
        return self.dial.read(text, self.unit) if self.dial else super().read(text)

    def taken_for(self, text: str, value: float) -> str:
        """The whole reading, where turns were counted."""
        return length_text(value, self.unit) if self.dial else super().taken_for(text, value)

    def empty(self) -> None:
        """Nothing is read, and nothing said of it."""
        self.value, self.typing = None, False
        self._write()

    def enter(self, text: str) -> None:
        """Take a whole text, or say in `message` why not."""
        self.typing = False
        super().enter(text)

    def _hear(self, widget: object, content: dict[str, Any], buffers: object) -> None:
        super()._hear(widget, content, buffers)
        if isinstance(content.get("typing"), str):
            self.typing = True
            try:
                self.value = self.read(content["typing"])
            except (ValueError, traitlets.TraitError):
                self.value = None


class AngleQuantity(Quantity[V], Generic[V, A]):
    """A quantity that is an angle, typed as people write angles; `value` in degrees."""

    @property
    def angle(self) -> A:
        """The angle, to a thousandth of an arc-second: what a float of degrees can carry."""
        value = cast("float | None", self.value)
        return cast(A, None if value is None else Angle.from_arc_seconds(round(value * 3600, 3)))

    def format(self, value: float) -> str:
        """As 38°24′, with seconds only when there are any."""
        return Angle.from_arc_seconds(round(value * 3600, 3)).brief()

    def read(self, text: str) -> float:
        """Degrees of a typed angle."""
        return Angle.parse(point_for_comma(text)).degrees

    def taken_for(self, text: str, value: float) -> str:
        """A decimal that looks like minutes, as 47.18, is said to be none."""
        parts = re.fullmatch(r"([+-]?\d+)[.,](\d\d)(\d\d)?", text.strip(), re.ASCII)
        if parts is None or any(int(part or 0) > 59 for part in parts.groups()[1:]):
            return ""
        other = " ".join(part for part in parts.groups() if part)
        if Angle.parse(other).degrees == value:
            return ""
        return (
            f"{text.strip()} is taken as a decimal, {self.format(value)}; "
            f"{Angle.parse(other).brief()} is written {other}"
        )


@overload
def angle(
    label: str, start: str | Angle, lowest: str, highest: str, step: str = ..., hint: str = ...
) -> AngleQuantity[float, Angle]: ...
@overload
def angle(
    label: str, start: str | Angle | None, lowest: str, highest: str, step: str = ...,
    hint: str = ..., *, optional: Literal[True],
) -> AngleQuantity[float | None, Angle | None]: ...  # fmt: skip
def angle(
    label: str,
    start: str | Angle | None,
    lowest: str,
    highest: str,
    step: str = "0°01′",
    hint: str = "",
    *,
    optional: bool = False,
) -> Any:
    """An angle control; start, ends and step as people write angles."""
    first = Angle.parse(start) if isinstance(start, str) else start
    return AngleQuantity(
        label=label,
        value=None if first is None else first.degrees,
        minimum=Angle.parse(lowest).degrees,
        maximum=Angle.parse(highest).degrees,
        step=Angle.parse(step).degrees,
        hint=hint,
        optional=optional,
    )


@overload
def quantity(
    label: str, start: float, lowest: float, highest: float, step: float, unit: str = ...,
    places: int | None = ..., hint: str = ...,
) -> Quantity[float]: ...  # fmt: skip
@overload
def quantity(
    label: str, start: float | None, lowest: float, highest: float, step: float, unit: str = ...,
    places: int | None = ..., hint: str = ..., *, optional: Literal[True],
) -> Quantity[float | None]: ...  # fmt: skip
def quantity(
    label: str,
    start: float | None,
    lowest: float,
    highest: float,
    step: float,
    unit: str = "",
    places: int | None = None,
    hint: str = "",
    *,
    optional: bool = False,
) -> Any:
    """A number control; `places` decimals shown, or as many as the step has."""
    if places is None:
        places = max(0, -math.floor(math.log10(step) + 1e-9))
    return Quantity(
        label=label,
        value=start,
        minimum=lowest,
        maximum=highest,
        step=step,
        unit=unit,
        places=places,
        hint=hint,
        optional=optional,
    )


@overload
def choice(label: str, options: Sequence[str], start: str | None = None) -> Field[str]: ...
@overload
def choice(label: str, options: Sequence[tuple[str, T]], start: T | None = None) -> Field[T]: ...
def choice(label: str, options: Sequence[Any], start: Any = None) -> Any:
    """One of several: an ipywidgets Dropdown; the first, unless `start` says which."""
    picked = {} if start is None else {"value": start}
    return _Choice(description=label, options=options, **picked)


class _Choice(ipywidgets.Dropdown):
    """A Dropdown that still names the option whose value is None, where there is one."""

    @traitlets.observe("value")
    def _propagate_value(self, change: Any) -> None:
        if change.new is None and None in self._options_values:
            self.index = self._options_values.index(None)
        else:
            super()._propagate_value(change)


def pick_list(label: str) -> Any:
    """A list of (words, value) all in sight, hidden until it has some: an ipywidgets Select."""
    listed = ipywidgets.Select(description=label, options=(), layout={"display": "none"})
    listed.add_class("tapertrig-list")
    return listed


def or_not_given(options: Iterable[T | tuple[str, T]]) -> list[tuple[str, T | None]]:
    """Options of a choice with “not given”, which is None, before them."""
    named = [one if isinstance(one, tuple) else (str(one), one) for one in options]
    return [(NOT_GIVEN, None), *cast("list[tuple[str, T]]", named)]


def switch(label: str, start: bool = False) -> Field[bool]:
    """On or off: an ipywidgets Checkbox."""
    return ipywidgets.Checkbox(description=label, value=start, indent=False)


def press(label: str, hint: str = "") -> ipywidgets.Button:
    """A button; the panel's `on_press` gives it something to do."""
    return ipywidgets.Button(description=label, tooltip=hint)


def entry(label: str, start: str = "", placeholder: str = "") -> Field[str]:
    """A line of text: an ipywidgets Text, taken when Enter is pressed or the field is left."""
    return ipywidgets.Text(
        description=label, value=start, placeholder=placeholder, continuous_update=False
    )


def heading(words: str) -> ipywidgets.HTML:
    """A heading between controls."""
    made = ipywidgets.HTML(f"<h3>{words}</h3>")
    made.add_class("tapertrig-heading")
    return made


class Fold(anywidget.AnyWidget):
    """A button that shows and hides the widget after it."""

    _esm = script("fold")

    label = traitlets.Unicode().tag(sync=True)
    unfolded = traitlets.Bool(False).tag(sync=True)


def fold(
    label: str, inside: Iterable[ipywidgets.Widget], unfolded: bool = False
) -> list[ipywidgets.Widget]:
    """Widgets behind a button, which a panel places together."""
    return [Fold(label=label, unfolded=unfolded), ipywidgets.VBox(list(inside))]


Control: TypeAlias = Quantity[Any] | ipywidgets.Widget


def keep(control: Control) -> Callable[[], None]:
    """What puts a control back as it is now: value, ends, unit, options, and what it says."""
    names = ("options", "minimum", "maximum", "step", "unit", "places", "value", "text", "remark",
             "disabled")  # fmt: skip
    kept = {name: getattr(control, name) for name in names if hasattr(control, name)}
    display = control.layout.display
    said = (control.refusal, control._complaint) if isinstance(control, Quantity) else None

    def put_back() -> None:
        if said:
            with control.hold_trait_notifications():  # an end may cross the value on the way
                for name, value in kept.items():
                    setattr(control, name, value)
            control.remark = kept["remark"]
            control.refusal, control._complaint = said
            control.message = said[0] or said[1]
        else:
            for name, value in kept.items():
                if getattr(control, name) != value:
                    setattr(control, name, value)
        control.layout.display = display

    return put_back
