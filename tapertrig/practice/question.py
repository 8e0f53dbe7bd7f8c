"""What a practice question is made of: drawn numbers, text, answer, and how it goes wrong.

A `Question` is a kind of problem; its `build` draws numbers and returns `Asked`, one problem
with everything that is shown. `slipped(given, slips)` is the number that somebody with those
slips arrives at; with no slips it is the right answer by its own formula, while `Asked.answer`
comes from the core, so that each checks the other.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from tapertrig.angle import Angle
from tapertrig.lathe import Dial
from tapertrig.practice.mistakes import Given, Slips
from tapertrig.practice.shop import Shop


@dataclass(frozen=True)
class Precision:
    """How close an answer must be: its unit, what counts as right, and the words that say so.

    `unit` is "in", "mm", "°", "′", "″", "in/ft" or "1:x"; `tolerance` is in that unit and is
    never less than the rounding asked for, so an answer rounded as asked is always right.
    `signed` is True where plus and minus both occur and mean different things.
    """

    unit: str
    tolerance: float
    words: str
    places: int = 3
    decimal: bool = False
    signed: bool = False

    @property
    def margin(self) -> str:
        """The tolerance with its unit, as “±1′”."""
        if self.unit == "°" and not self.decimal:
            seconds = round(self.tolerance * 3600)
            return f"±{seconds // 60}′" if seconds % 60 == 0 else f"±{seconds}″"
        gap = "" if self.unit in ("°", "′", "″") else " "
        return f"±{self.tolerance:g}{gap}{'' if self.unit == '1:x' else self.unit}".strip()

    def show(self, value: float) -> str:
        """The answer as the key and the worked solution write it."""
        if self.unit == "°" and not self.decimal:
            angle = Angle.from_degrees(value)
            return angle.dms() if self.places else angle.dm()
        mark = self.unit if self.unit in ("°", "′", "″") else f" {self.unit}"
        if self.unit == "1:x":
            return f"1:{value:.{self.places}f}"
        return f"{value:{'+' if self.signed else ''}.{self.places}f}{mark}"


TO_THE_SECOND = Precision(
    "°", 2 / 3600, "in degrees, minutes and seconds, to the nearest second (±2″ counts as right)"
)
TO_TEN_SECONDS = Precision(
    "°", 10 / 3600, "in degrees, minutes and seconds, to the nearest 10″ (±10″ counts as right)"
)
TO_THE_MINUTE = Precision(
    "°", 1 / 60, "in degrees and minutes, to the nearest minute (±1′ counts as right)", 0
)
DECIMAL_DEGREES = Precision(
    "°", 0.001, "in decimal degrees, to three places (±0.001° counts as right)", 3, True
)
TENTHS_OF_A_MINUTE = Precision(
    "′", 0.1, "in minutes, to the nearest 0.1′ (±0.1′ counts as right)", 1
)
TENTHS_OF_A_SECOND = Precision(
    "″", 0.1, "in seconds of arc, to the nearest 0.1″ (±0.1″ counts as right)", 1
)


def length_within(unit: str, inch: float, mm: float, *, signed: bool = False) -> Precision:
    """An answer that is a length, right within ±`inch` or ±`mm`."""
    tolerance = inch if unit == "in" else mm
    words = f"in {'inches' if unit == 'in' else 'millimetres'}"
    places = len(f"{tolerance:.6f}".rstrip("0").partition(".")[2])
    return Precision(
        unit,
        tolerance,
        f"{words}, to the nearest {tolerance:g} {unit} (±{tolerance:g} {unit} counts as right)",
        places,
        signed=signed,
    )


@dataclass(frozen=True)
class Figure:
    """What a picture of the problem would show, in plain values, for the draw floor to turn into
    a picture.

    `kind` names the scene: "angle", "parallel lines", "cone", "setup triangle", "dial", "base",
    "lost motion", "budget", "bore", "balls", "rolls" or "tolerance". `words` says what is to be
    seen, for a reader who cannot see it, and never gives the answer away. `shape` holds true
    sizes (degrees; lengths in the problem's unit), `labels` the text beside each quantity given,
    `asked` the quantity that bears a question mark. `.state` is all of these in one plain dict.
    """

    kind: str
    words: str
    shape: tuple[tuple[str, float | str | bool], ...]
    labels: tuple[tuple[str, str], ...]
    asked: str

    @property
    def state(self) -> dict[str, object]:
        """Sizes by name, with "labels" (a dict) and "asked" beside them."""
        return {**dict(self.shape), "labels": dict(self.labels), "asked": self.asked}


def figure(
    kind: str,
    words: str,
    shape: Mapping[str, float | str | bool],
    labels: Mapping[str, str],
    asked: str,
) -> Figure:
    """A Figure from plain dicts."""
    return Figure(kind, words, tuple(shape.items()), tuple(labels.items()), asked)


@dataclass(frozen=True)
class Asked:
    """One problem as drawn: the numbers, what is asked, the right answer and the way to it."""

    given: Mapping[str, float]
    text: str
    precision: Precision
    answer: float
    figure: Figure
    steps: tuple[str, ...]
    dial: Dial | None = None


@dataclass(frozen=True)
class Question:
    """A kind of problem: how to draw one, which usual mistakes it invites, and its own hints."""

    name: str
    topic: str
    build: Callable[[Shop], Asked]
    slipped: Callable[[Given, Slips], float]
    mistakes: tuple[str, ...]
    idea: str
    direct: str
    hints: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    units: tuple[str, ...] = ("in", "mm")
