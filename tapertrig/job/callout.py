"""What the print calls for: one cone, with the tolerances it gives."""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

from tapertrig.angle import Angle
from tapertrig.cone import Cone
from tapertrig.job.plain import canonical, to_plain
from tapertrig.lathe import UNITS, in_unit
from tapertrig.limits import (
    line_of_text,
    not_negative,
    one_of,
    positive,
    where_given,
)
from tapertrig.standards import StandardTaper, read_taper, standard_taper

CALLOUT_KINDS = (
    "included angle",
    "half angle",
    "taper",
    "taper per foot",
    "two diameters",
    "standard taper",
)
LENGTHS = ("face_diameter", "diameter_plus", "diameter_minus", "other_diameter", "length")
TOLERANCE_ON = ("included angle", "half angle")


@dataclass(frozen=True)
class Callout:
    """A cone as the print calls for it, lengths in `unit`. What the print does not give is None.

    `kind` is one of CALLOUT_KINDS and `value` what stands beside it on the print, as text:
    "41°26′" (included or half angle), "1:20", "7:24", "5 %", "0.05" or "MT3" (taper), "0.602"
    (taper per foot), "Morse 3" (standard taper). Two diameters need no value but `other_diameter`
    and `length`. The face diameter is the large one of an internal cone and the small one of an
    external cone; `diameter_plus` and `diameter_minus` are its limits, both ≥ 0. `angle_tolerance`
    (an Angle, or text) is ± on the angle that `tolerance_on` names. `name` tells the cones of one
    print apart: clutch face, relief.
    """

    kind: str | None = None
    value: str = field(default="", metadata={"also": Angle})
    face_diameter: float | None = None
    unit: str = "in"
    internal: bool = True
    diameter_plus: float | None = None
    diameter_minus: float | None = None
    angle_tolerance: Angle | None = field(default=None, metadata={"also": str})
    tolerance_on: str = "included angle"
    other_diameter: float | None = None
    length: float | None = None
    name: str = ""

    def __post_init__(self) -> None:
        if self.kind is not None:
            one_of("callout", self.kind, CALLOUT_KINDS)
        if isinstance(self.value, Angle):
            object.__setattr__(self, "value", _shortest_text(self.value))
        line_of_text(self.kind or "value", self.value)
        line_of_text("name of the cone", self.name)
        one_of("print unit", self.unit, UNITS)
        where_given(self, positive, face_diameter=1.25, other_diameter=1.25, length=1.25)
        self._check_diameter_tolerance()
        if isinstance(self.angle_tolerance, str):
            object.__setattr__(self, "angle_tolerance", Angle.parse(self.angle_tolerance))
        if self.angle_tolerance is not None and not 0 < self.angle_tolerance.degrees < 90:
            raise ValueError(
                f"angle tolerance is {self.angle_tolerance}; it must be more than zero and "
                "below 90°, for example 0°10′"
            )
        one_of("angle tolerance on", self.tolerance_on, TOLERANCE_ON)
        if self.kind is not None:
            self.half_angle  # noqa: B018 (refuses a value that makes no angle)
            if self.face_diameter is not None:
                self.cone()

    def _check_diameter_tolerance(self) -> None:
        plus, minus = self.diameter_plus, self.diameter_minus
        for name, limit in (("plus", plus), ("minus", minus)):
            if limit is not None:
                not_negative(f"face diameter tolerance, {name},", limit, 0.002)
        if (plus is None) != (minus is None):
            raise ValueError(
                "the face diameter has a tolerance on one side only; give both, for example "
                "plus 0.002 and minus 0"
            )
        if plus == minus == 0:
            raise ValueError(
                "the face diameter's tolerance is +0 and −0, which no part can meet; give what the "
                "print says, for example plus 0.002 and minus 0, or leave both out"
            )
        if minus is not None and self.face_diameter is not None and minus >= self.face_diameter:
            raise ValueError(
                f"face diameter tolerance, minus, is {minus:g}; "
                f"it must be less than the diameter itself, {self.face_diameter:g}"
            )

    @cached_property
    def half_angle(self) -> Angle:
        """The half angle that the print asks for; ValueError when it gives none."""
        if self.kind is None:
            raise ValueError("the print gives no angle; give one, for example 41°26′ included")
        if self.kind == "two diameters":
            return self.cone().half_angle
        # An angle needs no diameter: any one serves to work it out.
        return self._cone(1.0, None).half_angle

    def cone(self) -> Cone:
        """The cone it defines, in the print's unit; ValueError when something is missing."""
        if self.face_diameter is None:
            raise ValueError(
                "the print gives no face diameter, and without it there is no cone to bore or "
                "measure; give it, for example 1.25"
            )
        return self._cone(self.face_diameter, self.length)

    def _cone(self, face: float, length: float | None) -> Cone:
        rest: dict[str, Any] = {"length": length, "internal": self.internal}
        if self.kind == "two diameters":
            if self.other_diameter is None or length is None:
                raise ValueError(
                    "two diameters need the other diameter and the length between them, "
                    "for example 1.25, 0.75 and 0.5"
                )
            large, small = face, self.other_diameter
            if not self.internal:
                large, small = small, large
            return Cone.from_diameters(large, small, length, self.internal)
        if self.kind == "included angle":
            return Cone.from_included(Angle.parse(self.value), face, **rest)
        if self.kind == "half angle":
            return Cone(Angle.parse(self.value), face, **rest)
        if self.kind == "taper per foot":
            return Cone.from_taper_per_foot(_number("taper per foot", self.value), face, **rest)
        taper = (
            standard_taper(self.value) if self.kind == "standard taper" else read_taper(self.value)
        )
        return Cone(taper.half_angle, face, **rest)

    @property
    def named_taper(self) -> StandardTaper | None:
        """The taper that goes by a name, where the print calls for it so."""
        if self.kind == "taper":
            taper = read_taper(self.value)
            return taper if taper.source else None
        return standard_taper(self.value) if self.kind == "standard taper" else None

    @property
    def half_angle_tolerance(self) -> Angle | None:
        """± on the half angle, as the print gives it: half of one on the included angle."""
        if self.angle_tolerance is None or self.tolerance_on == "half angle":
            return self.angle_tolerance
        return self.angle_tolerance.half()

    @cached_property
    def fingerprint(self) -> str:
        """Changes with anything the print asks of this cone; its name asks nothing."""
        return hashlib.sha256(canonical(to_plain(replace(self, name=""))).encode()).hexdigest()[:16]

    @property
    def diameter_limits(self) -> tuple[float, float] | None:
        """Lowest and highest face diameter, print's unit; None when the print gives no limits."""
        if self.diameter_plus is None or self.diameter_minus is None or self.face_diameter is None:
            return None
        return (self.face_diameter - self.diameter_minus, self.face_diameter + self.diameter_plus)

    def in_unit(self, unit: str) -> Callout:
        """The same callout with its lengths in this unit."""
        if one_of("unit", unit, UNITS) == self.unit:
            return self
        given = {name: getattr(self, name) for name in LENGTHS if getattr(self, name) is not None}
        lengths: dict[str, Any] = {
            name: float(in_unit(length, self.unit, unit)) for name, length in given.items()
        }
        return replace(self, unit=unit, **lengths)

    def words(self) -> str:
        """The callout in one line, as a print would have it."""
        if self.kind is None:
            return "angle not given"
        if self.kind == "two diameters":
            return (
                f"{self.face_diameter:g} and {self.other_diameter:g} {self.unit} diameter, "
                f"{self.length:g} {self.unit} apart"
            )
        taper, value = self.named_taper, self.value.strip()
        return f"{self.kind} {value}" + (
            f" ({taper.name})" if taper and taper.name != value else ""
        )


def _shortest_text(angle: Angle) -> str:
    """The shortest text that gives the angle back, to a millionth of an arc-second at most."""
    forms = (angle.dm(), angle.dms(), angle.dms(2), angle.dms(4))
    return next((text for text in forms if Angle.parse(text) == angle), angle.dms(6))


def _number(name: str, text: str) -> float:
    if not re.fullmatch(r"\s*(\d{1,9}(\.\d{0,12})?|\.\d{1,12})\s*", text, re.ASCII):
        raise ValueError(f"{name} is “{text[:40]}”; it must be a number, for example 0.602")
    return float(text)
