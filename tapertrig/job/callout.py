"""What the print calls for: one cone, with the tolerances it gives."""

from __future__ import annotations

import re
from dataclasses import dataclass

from tapertrig.angle import Angle
from tapertrig.cone import Cone
from tapertrig.limits import not_negative, one_of, positive
from tapertrig.standards import (
    standard_taper,
)

CALLOUT_KINDS = (
    "included angle",
    "half angle",
    "taper",
    "taper per foot",
    "two diameters",
    "standard taper",
)
TOLERANCE_ON = ("included angle", "half angle")
LONGEST_LINE = 200


def line_of_text(name: str, value: object, longest: int = LONGEST_LINE) -> str:
    """Return a line of text; ValueError when it is none, or longer than a page can hold."""
    if not isinstance(value, str):
        raise ValueError(f"{name} is {value!r}; it must be text")
    if len(value) > longest:
        raise ValueError(f"{name} has {len(value)} characters; {longest} at most")
    return value


@dataclass(frozen=True)
class Callout:
    """A cone as the print calls for it, lengths in `unit`.

    `kind` is one of CALLOUT_KINDS and `value` what stands beside it on the print, as text:
    "41°26′" (included or half angle), "1:20", "7:24", "5 %" or "0.05" (taper), "0.602" (taper per
    foot), "Morse 3" (standard taper). Two diameters need no value but `other_diameter` and
    `length`. The face diameter is the large one of an internal cone and the small one of an
    external cone; `diameter_plus` and `diameter_minus` are its limits, both ≥ 0 and None when the
    print gives none. `angle_tolerance` (an Angle, or text) is ± on the angle that `tolerance_on`
    names; None when the print gives none.
    """

    kind: str
    value: str
    face_diameter: float
    unit: str = "in"
    internal: bool = True
    diameter_plus: float | None = None
    diameter_minus: float | None = None
    angle_tolerance: Angle | None = None
    tolerance_on: str = "included angle"
    other_diameter: float | None = None
    length: float | None = None

    def __post_init__(self) -> None:
        one_of("callout", self.kind, CALLOUT_KINDS)
        if isinstance(self.value, Angle):
            object.__setattr__(self, "value", _shortest_text(self.value))
        line_of_text(self.kind, self.value)
        one_of("print unit", self.unit, ("in", "mm"))
        if not isinstance(self.internal, bool):
            raise ValueError(f"internal is {self.internal!r}; it must be True or False")
        positive("face diameter", self.face_diameter, 1.25)
        for name, limit in (("plus", self.diameter_plus), ("minus", self.diameter_minus)):
            if limit is not None:
                not_negative(f"face diameter tolerance, {name},", limit, 0.002)
        if (self.diameter_plus is None) != (self.diameter_minus is None):
            raise ValueError(
                "the face diameter has a tolerance on one side only; give both, for example "
                "plus 0.002 and minus 0"
            )
        if self.diameter_minus is not None and self.diameter_minus >= self.face_diameter:
            raise ValueError(
                f"face diameter tolerance, minus, is {self.diameter_minus:g}; "
                f"it must be less than the diameter itself, {self.face_diameter:g}"
            )
        if isinstance(self.angle_tolerance, str):
            object.__setattr__(self, "angle_tolerance", Angle.parse(self.angle_tolerance))
        if self.angle_tolerance is not None:
            if not isinstance(self.angle_tolerance, Angle):
                raise ValueError(
                    f"angle tolerance is {self.angle_tolerance!r}; "
                    "give it as 0°10′, or leave it out"
                )
            if not 0 < self.angle_tolerance.degrees < 90:
                raise ValueError(
                    f"angle tolerance is {self.angle_tolerance}; it must be more than zero and "
                    "below 90°, for example 0°10′"
                )
        one_of("angle tolerance on", self.tolerance_on, TOLERANCE_ON)
        self.cone()

    def cone(self) -> Cone:
        """The cone it defines, in the print's unit; ValueError when it defines none."""
        rest = {"length": self.length, "internal": self.internal}
        face = self.face_diameter
        if self.kind == "two diameters":
            if self.other_diameter is None or self.length is None:
                raise ValueError(
                    "two diameters need the other diameter and the length between them, "
                    "for example 1.25, 0.75 and 0.5"
                )
            large, small = face, self.other_diameter
            if not self.internal:
                large, small = small, large
            return Cone.from_diameters(large, small, self.length, self.internal)
        if self.kind == "included angle":
            return Cone.from_included(Angle.parse(self.value), face, **rest)
        if self.kind == "half angle":
            return Cone(Angle.parse(self.value), face, **rest)
        if self.kind == "taper":
            return Cone.from_taper(self.value, face, **rest)
        if self.kind == "taper per foot":
            return Cone.from_taper_per_foot(_number("taper per foot", self.value), face, **rest)
        return Cone(standard_taper(self.value).half_angle, face, **rest)

    @property
    def diameter_limits(self) -> tuple[float, float] | None:
        """Lowest and highest face diameter, print's unit; None when the print gives no limits."""
        if self.diameter_plus is None or self.diameter_minus is None:
            return None
        return (self.face_diameter - self.diameter_minus, self.face_diameter + self.diameter_plus)

    def words(self) -> str:
        """The callout in one line, as a print would have it."""
        if self.kind == "two diameters":
            return (
                f"{self.face_diameter:g} and {self.other_diameter:g} {self.unit} diameter, "
                f"{self.length:g} {self.unit} apart"
            )
        return f"{self.kind} {self.value.strip()}"


def _shortest_text(angle: Angle) -> str:
    """The shortest text that gives the angle back, to a millionth of an arc-second at most."""
    forms = (angle.dm(), angle.dms(), angle.dms(2), angle.dms(4))
    return next((text for text in forms if Angle.parse(text) == angle), angle.dms(6))


def _number(name: str, text: str) -> float:
    if not re.fullmatch(r"\s*(\d{1,9}(\.\d{0,12})?|\.\d{1,12})\s*", text, re.ASCII):
        raise ValueError(f"{name} is “{text[:40]}”; it must be a number, for example 0.602")
    return float(text)
