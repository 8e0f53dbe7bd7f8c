"""What a cut may add to the angle that the slide was set to, as far as somebody knows it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from tapertrig.angle import Angle
from tapertrig.lathe import UNITS, in_unit
from tapertrig.limits import line_of_text, not_negative, one_of, where_given

LENGTHS = ("straightness", "tool_height", "tool_wear", "spring")


@dataclass(frozen=True)
class Cutting:
    """What the cut may add, each a ± limit; None is not given, and left out. Lengths in `unit`.

    - `straightness`: how far the slide may run off the straight line between the ends of its
      check, at either end of the piece that the cone uses;
    - `tool_height`: how far the tool may stand off centre height;
    - `tool_wear`: how much the nose may wear off, square to the wall, along one cut. A round nose
      that keeps its shape only moves the wall, whatever its radius;
    - `load`: how far load and gibs may swing the slide between the check and the cut;
    - `spring`: how much more bar and part may give at one end of the cone, square to the wall;
    - `warmth`: how much warmer than its far end the face may be in the cut, °C, and `expansion`
      per °C of the part's material. Even warmth changes size, not angle.
    """

    straightness: float | None = None
    tool_height: float | None = None
    tool_wear: float | None = None
    load: Angle | None = None
    spring: float | None = None
    warmth: float | None = None
    expansion: float | None = None
    origin: str = "given"
    unit: str = "in"

    def __post_init__(self) -> None:
        lengths = dict.fromkeys(LENGTHS, 0.0005)
        where_given(self, not_negative, **lengths, warmth=5, expansion=0.0000115)
        if self.load is not None:
            not_negative("load", self.load.degrees, 0.01)
        line_of_text("origin of the cut's figures", self.origin)
        one_of("unit", self.unit, UNITS)

    @property
    def given(self) -> bool:
        """Whether anything of it is given."""
        return any(getattr(self, name) is not None for name in (*LENGTHS, "load", "warmth"))

    def in_unit(self, unit: str) -> Cutting:
        """The same figures with their lengths in another unit."""
        if unit == self.unit:
            return self
        there = {name: getattr(self, name) for name in LENGTHS}
        changed: dict[str, Any] = {
            name: None if value is None else float(in_unit(value, self.unit, unit))
            for name, value in there.items()
        }
        return replace(self, unit=unit, **changed)
