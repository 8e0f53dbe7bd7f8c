"""Drawing workshop-like numbers: whole minutes, whole graduations, travels a slide can make."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

from tapertrig.lathe import Dial

T = TypeVar("T")


@dataclass(frozen=True)
class Shop:
    """Where one problem's numbers come from: a seeded source and the unit of its lengths.

    Only `random()` of the source is used, whose sequence Python promises to keep for a seed.
    """

    source: random.Random
    unit: str

    def one_of(self, choices: Sequence[T]) -> T:
        """One of the choices."""
        return choices[int(self.source.random() * len(choices))]

    def pick(self, inch: T, mm: T) -> T:
        """The value for this unit."""
        return inch if self.unit == "in" else mm

    def step(self, low: float, high: float, step: float) -> float:
        """A number from low to high in whole steps."""
        count = round((high - low) / step) + 1
        return round(low + int(self.source.random() * count) * step, 6)

    def length(self, inch: tuple[float, float, float], mm: tuple[float, float, float]) -> float:
        """A length from (low, high, step), in this unit."""
        return self.step(*self.pick(inch, mm))

    def angle(self, low: int, high: int) -> tuple[int, int]:
        """Whole degrees and whole minutes, 1 to 59."""
        return int(self.step(low, high, 1)), int(self.step(1, 59, 1))

    def included_angle(self, low: int = 24, high: int = 110) -> dict[str, float]:
        """An included angle, as the `included_degrees` and `included_minutes` of a problem."""
        degrees, minutes = self.angle(low, high)
        return {"included_degrees": degrees, "included_minutes": minutes}

    def compound_travel(self) -> float:
        """A compound travel within reach of a small lathe."""
        return self.length((2.0, 3.5, 0.05), (50, 90, 1))

    def cross_dial(self) -> Dial:
        """A cross dial as it may stand on such a lathe, reading radius or diameter."""
        radius = self.pick((Dial(0.001, 0.1), Dial(0.001, 0.125)), (Dial(0.02, 4), Dial(0.02, 3)))
        diameter = self.pick(
            (Dial(0.001, 0.2, "diameter"), Dial(0.001, 0.25, "diameter")),
            (Dial(0.05, 5, "diameter"), Dial(0.02, 4, "diameter")),
        )
        return self.one_of(self.one_of((radius, diameter)))

    @property
    def places(self) -> int:
        """Decimals of a length as a dial shows it."""
        return self.places_in(self.unit)

    @staticmethod
    def places_in(unit: str) -> int:
        """Decimals of a length of this unit as a dial shows it."""
        return 3 if unit == "in" else 2


def dial_numbers(dial: Dial) -> dict[str, float]:
    """The numbers of a dial, for a problem's `given`."""
    return {
        "dial_factor": dial.factor,
        "dial_graduation": dial.graduation,
        "dial_per_turn": dial.per_turn,
    }
