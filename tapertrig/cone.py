"""Cone, and the callouts of a print that define one."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import numpy as np

from tapertrig.angle import Angle, half_angle_radians
from tapertrig.limits import Given, lengths, not_negative, positive

TAPER_EXAMPLES = "1:20, 7:24, 5 % or 0.05"
_TAPER = re.compile(
    r"(?P<a>\d+(?:\.\d*)?|\.\d+)\s*(?:(?P<mark>[:/])\s*(?P<b>\d+(?:\.\d*)?|\.\d+)|(?P<percent>%))?",
    re.ASCII,
)


def parse_taper(text: str | float) -> Fraction:
    """Read a taper C (diameter change per unit length): 1:20, 7:24, 5 % or 0.05.

    ValueError when it is none. Source of the meaning: ISO 3040 (C = (D − d)/L).
    """
    if not isinstance(text, str):
        return Fraction(repr(positive("taper", text, 0.05)))
    match = _TAPER.fullmatch(text.strip()) if len(text) <= 40 else None
    if match is None:
        raise ValueError(f"“{text[:40]}” is no taper I can read; write it as {TAPER_EXAMPLES}")
    taper = Fraction(match["a"])
    if match["percent"]:
        taper /= 100
    if match["b"] is not None:
        divisor = Fraction(match["b"])
        if divisor == 0:
            raise ValueError(f"“{text}” divides by zero; write the taper as {TAPER_EXAMPLES}")
        taper /= divisor
    if taper <= 0:
        raise ValueError(f"“{text}” has no taper; it must be more than zero, as {TAPER_EXAMPLES}")
    return taper


@dataclass(frozen=True)
class Cone:
    """A cone on a part: half angle, diameter at the face, and, if known, its axial length.

    An internal cone has its large end at the face and narrows with depth; an external cone has
    its small end at the face (the tailstock end) and widens with depth. Lengths in one unit.
    """

    half_angle: Angle
    face_diameter: float
    length: float | None = None
    internal: bool = True

    def __post_init__(self) -> None:
        half_angle_radians(self.half_angle)
        positive("face diameter", self.face_diameter, 1.25)
        if self.length is not None:
            positive("cone length", self.length, 0.75)
            end = self.face_diameter - 2 * self.length * math.tan(self.half_angle.radians)
            if self.internal and end < -1e-9 * self.face_diameter:
                deepest = self.face_diameter / (2 * math.tan(self.half_angle.radians))
                raise ValueError(
                    f"cone length is {self.length:g}; a bore of face diameter "
                    f"{self.face_diameter:g} at this angle comes to a point at {deepest:.4g}"
                )

    @classmethod
    def from_included(cls, angle: Angle, face_diameter: float, *rest: Any, **named: Any) -> Cone:
        """From the included angle 2α; the rest as for Cone."""
        if not 0 < angle.degrees < 180:
            raise ValueError(f"included angle is {angle}; it must lie between 0° and 180°")
        return cls(angle.half(), face_diameter, *rest, **named)

    @classmethod
    def from_taper(cls, taper: str | float, face_diameter: float, *rest: Any, **named: Any) -> Cone:
        """From a taper on diameter: "1:20", "7:24", "5 %" or 0.05. tan α = C/2 (ISO 3040)."""
        half_taper = float(parse_taper(taper) / 2)
        return cls(Angle.from_radians(math.atan(half_taper)), face_diameter, *rest, **named)

    @classmethod
    def from_taper_per_foot(
        cls, taper_per_foot: float, face_diameter: float, *rest: Any, **named: Any
    ) -> Cone:
        """From inches of diameter change per foot of length. tan α = TPF/24."""
        number = positive("taper per foot", taper_per_foot, 0.602)
        return cls(Angle.from_radians(math.atan(number / 24)), face_diameter, *rest, **named)

    @classmethod
    def from_diameters(
        cls, large: float, small: float, length: float, internal: bool = True
    ) -> Cone:
        """From two diameters and the axial length between them. tan α = (D − d)/(2L)."""
        large = positive("large diameter", large, 1.25)
        small = positive("small diameter", small, 0.75)
        length = positive("length", length, 0.5)
        if small >= large:
            raise ValueError(
                f"small diameter is {small:g} and large diameter {large:g}; "
                "the small one must be less, for example 0.75 and 1.25"
            )
        half_angle = Angle.from_radians(math.atan2(large - small, 2 * length))
        return cls(half_angle, large if internal else small, length, internal)

    @classmethod
    def from_gauge_plane(
        cls,
        half_angle: Angle,
        diameter: float,
        depth: float,
        length: float | None = None,
        internal: bool = True,
    ) -> Cone:
        """From a diameter at a gauge plane, that far below the face: D = D_g ± 2 z tan α.

        A bore is wider at its face than at the plane, an external cone narrower. Plane geometry.
        """
        widens = 2 * math.tan(half_angle_radians(half_angle)) * (1 if internal else -1)
        given = positive("diameter at the gauge plane", diameter, 1.1)
        below = not_negative("depth of the gauge plane", depth, 0.2)
        face = given + below * widens
        if face <= 0:
            raise ValueError(
                f"depth of the gauge plane is {below:g}; this cone comes to a point "
                f"{given / -widens:.4g} above its gauge plane, so the face lies nearer than that"
            )
        return cls(half_angle, face, length, internal)

    @property
    def included_angle(self) -> Angle:
        """The whole cone angle 2α."""
        return self.half_angle.double()

    @property
    def taper(self) -> float:
        """Diameter change per unit length, C = 2 tan α (ISO 3040)."""
        return 2 * math.tan(self.half_angle.radians)

    @property
    def ratio(self) -> float:
        """The x of a taper written 1:x, x = 1/C."""
        return 1 / self.taper

    @property
    def taper_per_foot(self) -> float:
        """Diameter change in inches per foot of length, 12 C."""
        return 12 * self.taper

    def diameter_at(self, depth: float | Given) -> Given:
        """Diameter at an axial depth below the face; floats or arrays, same unit as the cone.

        ValueError past the point of an internal cone.
        """
        change = lengths("depth", depth, 0.25, zero=True) * self.taper
        if not self.internal:
            return self.face_diameter + change
        diameter = self.face_diameter - change
        if np.any(np.asarray(diameter) < -1e-9 * self.face_diameter):
            raise ValueError(
                f"depth is {np.max(depth):g}; this cone comes to a point at "
                f"{self.face_diameter / self.taper:.4g} below the face"
            )
        return diameter

    def depth_of(self, diameter: float) -> float:
        """Depth below the face where the cone has a diameter; ValueError in front of the face."""
        wanted = positive("diameter", diameter, 1.1)
        depth = (self.face_diameter - wanted) / (self.taper if self.internal else -self.taper)
        if depth < 0:
            which = "more" if self.internal else "less"
            raise ValueError(
                f"diameter is {wanted:g}, {which} than the face diameter "
                f"{self.face_diameter:g}; this cone has it in front of its face"
            )
        return depth
