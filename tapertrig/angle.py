"""Angle: exact degrees, minutes and seconds; reading and writing them."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from functools import total_ordering
from typing import Any, NoReturn, Union

import numpy as np

from tapertrig.limits import Array, Given, finite, numbers, whole

HALF_ANGLE_EXAMPLE = 'Angle.parse("26°55\'")'
EXAMPLES = "38°24′, 38 24 30.5, 38-24, 38d24m or 38.4"
LARGEST_DEGREES = 360
LONGEST_TEXT = 60

PART = re.compile(
    r"(?P<number>\d+(?:\.\d*)?|\.\d+)\s*"
    r"(?:(?P<degree>°|º|˚|degrees?|deg|d)"
    r"|(?P<second>″|”|“|\"|''|′′|’’|seconds?|sec|s)"
    r"|(?P<minute>′|’|‘|'|´|`|minutes?|min|m))?\s*(?P<gap>[:-]?)\s*",
    re.IGNORECASE | re.ASCII,
)
_FIELDS = ("degree", "minute", "second")
# Why a text is no angle; the pages' script says the same.
REFUSED = {
    "comma": "“{shown}” has a comma; use a point for decimals and a blank between parts, as in "
    "{example}",
    "no angle": "“{shown}” is no angle I can read; write it as {example}",
    "decimals before": "“{shown}” has decimals before its last part; only the last part may have "
    "them, as in {example}",
    "sixty": "“{shown}” has {part} {name}; {name} run from 0 to below 60, as in {example}",
    "past a turn": "“{shown}” is past a full turn; an angle here lies within ±360°, as in "
    "{example}",
}


def _split_parts(body: str) -> dict[str, str] | None:
    """Degrees, minutes and seconds as written; None when the text is no row of such parts.

    A part without a mark is what follows the part before it, the first one degrees.
    """
    parts: dict[str, str] = {}
    place, field, match = 0, -1, None
    while place < len(body):
        match = PART.match(body, place)
        if match is None:
            return None
        marked = [index for index, name in enumerate(_FIELDS) if match[name]]
        following = marked[0] if marked else field + 1
        if following <= field or following > 2:
            return None
        field = following
        parts[_FIELDS[field]] = match["number"]
        place = match.end()
    return None if match is None or match["gap"] else parts


def _refused(why: str, shown: object, **told: str) -> ValueError:
    return ValueError(REFUSED[why].format(shown=shown, example=EXAMPLES, **told))


@total_ordering
@dataclass(frozen=True, slots=True, init=False)
class Angle:
    """An angle held exactly, as a fraction of arc-seconds.

    `Angle.parse("38°24'")`, `Angle.from_dms(38, 24)`, `Angle.from_degrees(38.4)` and
    `Angle.from_radians(0.6702)` make one, and nothing else does. Halving, doubling, adding and the
    complement are exact; only `.degrees` and `.radians` round, to the nearest float.
    """

    arc_seconds: Fraction

    def __init__(self, *given: object) -> None:
        raise TypeError(
            f"Angle{given} does not say whether that is degrees, radians or seconds; write "
            f'Angle.parse("38°24\'"), Angle.from_degrees(38.4) or Angle.from_radians(0.6702)'
        )

    @classmethod
    def _of(cls, arc_seconds: Fraction) -> Angle:
        angle = object.__new__(cls)
        object.__setattr__(angle, "arc_seconds", arc_seconds)
        return angle

    @classmethod
    def parse(cls, text: str) -> Angle:
        """Read an angle as people write it; ValueError, quoting the text, when it is none.

        Degrees, minutes and seconds with typographic or ASCII marks, letters, blanks, hyphens
        or colons between them; decimals are allowed in the last part only.
        """
        if not isinstance(text, str):
            raise ValueError(f"{text!r} is no angle text; write it as {EXAMPLES}")
        shown = text if len(text) <= LONGEST_TEXT else text[:LONGEST_TEXT] + "…"
        if len(text) > LONGEST_TEXT:
            raise ValueError(f"“{shown}” is too long for an angle; write it as {EXAMPLES}")
        body = text.strip()
        sign = -1 if body[:1] in ("-", "−") and body else 1
        if body[:1] in ("-", "−", "+"):
            body = body[1:].lstrip()
        if not body:
            raise ValueError(f"“{shown}” holds no angle; write it as {EXAMPLES}")
        if "," in body:
            raise _refused("comma", shown)
        parts = _split_parts(body)
        if parts is None:
            raise _refused("no angle", shown)
        if any("." in part for part in list(parts.values())[:-1]):
            raise _refused("decimals before", shown)
        degrees, minutes, seconds = (Fraction(parts.get(field, 0)) for field in _FIELDS)
        for name, value in (("minutes", minutes), ("seconds", seconds)):
            if value >= 60:
                raise _refused("sixty", shown, name=name, part=parts[name[:-1]])
        return cls._within(sign * (degrees * 3600 + minutes * 60 + seconds), shown)

    @classmethod
    def _within(cls, arc_seconds: Fraction, shown: object) -> Angle:
        if abs(arc_seconds) > LARGEST_DEGREES * 3600:
            raise _refused("past a turn", shown)
        return cls._of(arc_seconds)

    @classmethod
    def from_dms(cls, degrees: float, minutes: float = 0, seconds: float = 0) -> Angle:
        """From degrees, minutes and seconds, none negative; minutes and seconds below 60."""
        parts = []
        for name, value, limit in (
            ("degrees", degrees, LARGEST_DEGREES),
            ("minutes", minutes, 60),
            ("seconds", seconds, 60),
        ):
            number = finite(name, value, 18)
            if number < 0 or (number >= limit and limit == 60) or number > limit:
                raise ValueError(
                    f"{name} is {number:g}; it must be from 0 to "
                    f"{'below ' if limit == 60 else ''}{limit}, for example 18"
                )
            parts.append(Fraction(str(value)) if isinstance(value, float) else Fraction(value))
        return cls._of(parts[0] * 3600 + parts[1] * 60 + parts[2])

    @classmethod
    def from_degrees(cls, degrees: float) -> Angle:
        """From decimal degrees; the decimal as written is kept, so 38.4 is 38°24′ exactly."""
        if isinstance(degrees, Fraction):
            return cls._within(degrees * 3600, degrees)
        number = finite("degrees", degrees, 38.4)
        return cls._within(Fraction(repr(number)) * 3600, number)

    @classmethod
    def from_radians(cls, radians: float) -> Angle:
        """From radians, to the nearest float of degrees."""
        number = finite("radians", radians, 0.6702)
        return cls._within(Fraction(math.degrees(number)) * 3600, f"{number} rad")

    @classmethod
    def from_arc_seconds(cls, arc_seconds: float | Fraction) -> Angle:
        """From seconds of arc, a fraction of them exactly."""
        if isinstance(arc_seconds, Fraction):
            return cls._within(arc_seconds, arc_seconds)
        return cls._within(Fraction(finite("arc-seconds", arc_seconds, 30)), arc_seconds)

    @property
    def degrees(self) -> float:
        """Decimal degrees, the nearest float."""
        return self.arc_seconds.numerator / (3600 * self.arc_seconds.denominator)

    @property
    def minutes(self) -> float:
        """The whole angle in minutes of arc, the nearest float."""
        return float(self.arc_seconds / 60)

    @property
    def radians(self) -> float:
        """Radians, within two units in the last place."""
        return math.radians(self.degrees)

    def dms_parts(self, places: int = 0) -> tuple[int, int, int, float]:
        """Sign (1 or −1), degrees, minutes, seconds, rounded and carried at `places` decimals."""
        whole("places", places, 0, 12, 2)
        scale = 10**places
        units = round(abs(self.arc_seconds) * scale)
        sign = -1 if self.arc_seconds < 0 and units else 1
        minutes, second_units = divmod(units, 60 * scale)
        degrees, minutes = divmod(minutes, 60)
        return sign, degrees, minutes, second_units / scale

    def dms(self, places: int = 0) -> str:
        """Text as 38°24′00″, with `places` decimals in the seconds; `parse` reads it back."""
        sign, degrees, minutes, seconds = self.dms_parts(places)
        width = 3 + places if places else 2
        mark = "-" if sign < 0 else ""
        return f"{mark}{degrees}°{minutes:02d}′{seconds:0{width}.{places}f}″"

    def dm(self, places: int = 0) -> str:
        """Text as 38°24′, the minutes rounded to `places` decimals."""
        whole("places", places, 0, 12, 2)
        scale = 10**places
        units = round(abs(self.arc_seconds) / 60 * scale)
        degrees, minute_units = divmod(units, 60 * scale)
        mark = "-" if self.arc_seconds < 0 and units else ""
        width = 3 + places if places else 2
        return f"{mark}{degrees}°{minute_units / scale:0{width}.{places}f}′"

    def brief(self) -> str:
        """Text as 38°24′, with seconds only when there are any, to a hundredth at most."""
        if round(self.arc_seconds * 100) % 6000 == 0:
            return self.dm()
        return self.dms(0 if round(self.arc_seconds * 100) % 100 == 0 else 2)

    def half(self) -> Angle:
        """Half of it, exactly: 53°51′ halves to 26°55′30″."""
        return Angle._of(self.arc_seconds / 2)

    def double(self) -> Angle:
        """Twice it, exactly."""
        return Angle._of(self.arc_seconds * 2)

    def complement(self) -> Angle:
        """90° less it, exactly."""
        return Angle._of(90 * 3600 - self.arc_seconds)

    def _with(self, other: Angle, doing: str) -> Fraction:
        if not isinstance(other, Angle):
            raise TypeError(
                f"{doing} {self} and {other!r}: both must be angles; write the other one as "
                f"{HALF_ANGLE_EXAMPLE}"
            )
        return other.arc_seconds

    def __add__(self, other: Angle) -> Angle:
        return Angle._of(self.arc_seconds + self._with(other, "adding"))

    def __radd__(self, other: object) -> Angle:
        return self + other  # type: ignore[operator]

    def __sub__(self, other: Angle) -> Angle:
        return Angle._of(self.arc_seconds - self._with(other, "subtracting"))

    def __rsub__(self, other: object) -> Angle:
        return self - other  # type: ignore[operator]

    def __mul__(self, other: object) -> NoReturn:
        raise TypeError(
            f"{self} times or over {other!r}: angles are only added and subtracted; "
            ".half() halves one, .double() doubles it, .degrees is a number"
        )

    __rmul__ = __truediv__ = __rtruediv__ = __mul__

    def __neg__(self) -> Angle:
        return Angle._of(-self.arc_seconds)

    def __abs__(self) -> Angle:
        return Angle._of(abs(self.arc_seconds))

    def __lt__(self, other: Angle) -> bool:
        return self.arc_seconds < self._with(other, "comparing")

    def __str__(self) -> str:
        return self.dms()

    def __repr__(self) -> str:
        return f"Angle({self.dms(2)})"


AngleOrRadians = Union[Angle, float, Given]


def half_angle_radians(half_angle: AngleOrRadians[Given], name: str = "half angle") -> Given:
    """Return a half angle (an Angle, or radians as float or array) in radians.

    ValueError outside the open range 0° to 90°.
    """
    radians: Any = getattr(half_angle, "radians", half_angle)
    if not isinstance(radians, (np.ndarray, list, tuple)):
        radians = finite(name, radians, "26°55′")
        if not 0 < radians < math.pi / 2:
            raise ValueError(
                f"{name} is {math.degrees(radians):.4f}°; "
                "it must lie between 0° and 90°, for example 26°55′"
            )
        return radians
    radians = numbers(name, np.asarray(radians), "0.4698 (radians)")
    wrong = ~((radians > 0) & (radians < np.pi / 2))
    if wrong.any():
        raise ValueError(
            f"{name} holds {np.degrees(radians[wrong].flat[0]):.4f}°; "
            "every one must lie between 0° and 90°, for example 26°55′"
        )
    return radians


def angle_or_radians(radians: float | Array) -> Any:
    """What a formula found in radians: an Angle of a single number, an array as it is."""
    return Angle.from_radians(float(radians)) if np.ndim(radians) == 0 else radians
