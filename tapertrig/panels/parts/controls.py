"""Controls of a panel: a quantity (slider and typed entry in step), a choice, a switch, a press.

`Quantity` is a small view of our own because a slider of ipywidgets carries no accessible name
and has no typed entry for angles. The others are ipywidgets as they come.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

import anywidget
import ipywidgets
import traitlets

from tapertrig.angle import Angle
from tapertrig.limits import finite
from tapertrig.panels.parts.view import script


class Quantity(anywidget.AnyWidget):
    """A quantity with a named slider and a typed entry.

    `value` is a float: degrees for an angle, the panel's unit for a length. `enter(text)` does
    what typing does. A text that cannot be taken leaves the value alone and sets `message`.
    """

    _esm = script("quantity")

    label = traitlets.Unicode().tag(sync=True)
    unit = traitlets.Unicode().tag(sync=True)
    hint = traitlets.Unicode().tag(sync=True)
    value = traitlets.Float().tag(sync=True)
    text = traitlets.Unicode().tag(sync=True)
    minimum = traitlets.Float().tag(sync=True)
    maximum = traitlets.Float().tag(sync=True)
    step = traitlets.Float(1.0).tag(sync=True)
    message = traitlets.Unicode().tag(sync=True)
    disabled = traitlets.Bool(False).tag(sync=True)

    def __init__(self, places: int = 3, **settings: Any) -> None:
        self.places = places
        self._refusal = ""
        self._complaint = ""
        start = settings.pop("value")
        super().__init__(**settings)
        self.value = start
        self.text = self.format(self.value)
        self.on_msg(self._hear)

    def format(self, value: float) -> str:
        """The value as the typed entry shows it."""
        return f"{value:.{self.places}f}"

    def read(self, text: str) -> float:
        """The value of a typed text; ValueError in words when it is none."""
        return _read_number(self.label, text, self.format((self.minimum + self.maximum) / 2))

    @traitlets.validate("value")
    def _check(self, proposal: dict[str, Any]) -> float:
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
    def _write(self, _change: object) -> None:
        self.text = self.format(self.value)
        self._refuse("")

    def _refuse(self, words: str) -> None:
        self._refusal = words
        self.message = self._refusal or self._complaint

    def complain(self, words: str) -> None:
        """Say what is wrong with the value where it stands; no words when nothing is.

        What the control says of a typed text that it could not take is another matter, and
        stays until something it can take is entered.
        """
        self._complaint = words
        self.message = self._refusal or self._complaint

    def enter(self, text: str) -> None:
        """Take a typed text, or say in `message` why not."""
        try:
            value = self.read(text)
            if not self.minimum <= value <= self.maximum:
                raise ValueError(self._outside(self.format(value)))
        except ValueError as wrong:
            self._refuse(str(wrong))
            return
        self._refuse("")
        self.value = value
        self.text = self.format(self.value)
        self.send({"taken": True})

    def limit(self, minimum: float, maximum: float) -> None:
        """New ends of the slider; the value moves inside them."""
        value = min(max(self.value, minimum), maximum)
        with self.hold_sync():
            self.minimum, self.maximum = min(minimum, self.minimum), max(maximum, self.maximum)
            self.value = value
            self.minimum, self.maximum = minimum, maximum

    def _hear(self, _widget: object, content: dict[str, Any], _buffers: object) -> None:
        if isinstance(content.get("typed"), str):
            self.enter(content["typed"])


class AngleQuantity(Quantity):
    """A quantity that is an angle, typed as people write angles; `value` in degrees."""

    @property
    def angle(self) -> Angle:
        """The angle, to a thousandth of an arc-second: what a float of degrees can carry."""
        return Angle.from_arc_seconds(round(self.value * 3600, 3))

    def format(self, value: float) -> str:
        """As 47°18′, with seconds only when there are any."""
        return Angle.from_arc_seconds(round(value * 3600, 3)).brief()

    def read(self, text: str) -> float:
        """Degrees of a typed angle."""
        return Angle.parse(text).degrees


def _read_number(name: str, text: str, example: str) -> float:
    """A typed number or fraction (1.25, 1 1/4, 5/16); ValueError quoting it when it is none."""
    shown = text.strip()[:40]
    body = shown.replace("−", "-")
    try:
        whole, _, fraction = body.rpartition(" ")
        if "/" in body:
            top, bottom = fraction.split("/")
            part = _plain(top) / _plain(bottom)
            number = part + math.copysign(_plain(whole), part) if whole else part
        else:
            number = _plain(body)
    except (ValueError, ZeroDivisionError):
        comma = "; use a point for decimals" if "," in shown else ""
        raise ValueError(
            f"{name}: “{shown}” is no number{comma}; write it as {example} or 1 1/4"
        ) from None
    if not math.isfinite(number):
        raise ValueError(f"{name}: “{shown}” is no finite number; write it as {example}")
    return number


def _plain(text: str) -> float:
    if not text.isascii() or not set(text) <= set("0123456789.+-"):
        raise ValueError(text)
    return float(text)


def angle(
    label: str, start: str | Angle, lowest: str, highest: str, step: str = "0°01′", hint: str = ""
) -> AngleQuantity:
    """An angle control; start, ends and step as people write angles."""
    first = start if isinstance(start, Angle) else Angle.parse(start)
    low, high = Angle.parse(lowest), Angle.parse(highest)
    return AngleQuantity(
        label=label,
        value=first.degrees,
        minimum=low.degrees,
        maximum=high.degrees,
        step=Angle.parse(step).degrees,
        hint=hint,
    )


def quantity(
    label: str,
    start: float,
    lowest: float,
    highest: float,
    step: float,
    unit: str = "",
    places: int | None = None,
    hint: str = "",
) -> Quantity:
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
    )


def choice(label: str, options: Sequence[str] | Sequence[tuple[str, Any]], start: Any = None):
    """One of several: an ipywidgets Dropdown."""
    picked = {} if start is None else {"value": start}
    return ipywidgets.Dropdown(description=label, options=options, **picked)


def switch(label: str, start: bool = False) -> ipywidgets.Checkbox:
    """On or off: an ipywidgets Checkbox."""
    return ipywidgets.Checkbox(description=label, value=start, indent=False)


def press(label: str, hint: str = "") -> ipywidgets.Button:
    """A button; the panel's `on_press` gives it something to do."""
    return ipywidgets.Button(description=label, tooltip=hint)


def entry(label: str, start: str = "", placeholder: str = "") -> ipywidgets.Text:
    """A line of text: an ipywidgets Text, taken when Enter is pressed or the field is left."""
    return ipywidgets.Text(
        description=label, value=start, placeholder=placeholder, continuous_update=False
    )


Control = Quantity | ipywidgets.Widget
Handler = Callable[[], None]
