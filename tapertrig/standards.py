"""Tapers that have a name, and the general tolerance for angles that have none of their own.

Each entry says where its figure comes from and how that is known: "read" (the document, or its
national edition, was read), "definition" (the name itself states the figure), or "from memory:
check the standard".
"""

from __future__ import annotations

import difflib
import math
from bisect import bisect_left
from dataclasses import dataclass
from fractions import Fraction

from tapertrig.angle import Angle
from tapertrig.cone import parse_taper
from tapertrig.limits import one_of, positive

FROM_MEMORY = "from memory: check the standard"
_ISO_1119 = "ISO 1119 general series"
_ISO_1119_READ = "ISO 1119 general series (GOST R 53440-2009, clause 4.1, Table 1)"
_MORSE_READ = "GOST 25307-82 (Morse ratios), after ISO 296"
_MORSE = "ISO 1119 special series; ISO 296"


@dataclass(frozen=True)
class StandardTaper:
    """A named taper: by its included angle or its taper C on diameter, whichever defines it."""

    name: str
    defined_by: Angle | Fraction
    source: str
    known: str

    @property
    def half_angle(self) -> Angle:
        """Half the included angle, exact where an angle defines it; else atan(C/2) (ISO 3040)."""
        if isinstance(self.defined_by, Angle):
            return self.defined_by.half()
        return Angle.from_radians(math.atan(float(self.defined_by / 2)))


def _by_ratio(name: str, ratio: str, source: str, known: str) -> StandardTaper:
    return StandardTaper(name, parse_taper(ratio), source, known)


STANDARD_TAPERS: dict[str, StandardTaper] = {
    taper.name: taper
    for taper in (
        *(
            StandardTaper(f"{degrees}°", Angle.from_dms(degrees), _ISO_1119_READ, "read")
            for degrees in (120, 75, 45, 30)
        ),
        *(
            StandardTaper(f"{degrees}°", Angle.from_dms(degrees), _ISO_1119, FROM_MEMORY)
            for degrees in (90, 60)
        ),
        *(
            _by_ratio(f"1:{x}", f"1:{x}", _ISO_1119_READ, "read")
            for x in (4, 6, 7, 10, 15, 20, 50, 200, 500)
        ),
        *(_by_ratio(f"1:{x}", f"1:{x}", _ISO_1119, FROM_MEMORY) for x in (3, 5, 8, 12, 30, 100)),
        _by_ratio("Morse 0", "1:19.212", _MORSE, FROM_MEMORY),
        _by_ratio("Morse 1", "1:20.047", _MORSE_READ, "read"),
        _by_ratio("Morse 2", "1:20.020", _MORSE_READ, "read"),
        _by_ratio("Morse 3", "1:19.922", _MORSE, FROM_MEMORY),
        _by_ratio("Morse 4", "1:19.254", _MORSE_READ, "read"),
        _by_ratio("Morse 5", "1:19.002", _MORSE, FROM_MEMORY),
        _by_ratio("Morse 6", "1:19.180", _MORSE_READ, "read"),
        _by_ratio("7:24", "7:24", "ISO 1119 special series; the name is the taper", "definition"),
        _by_ratio("1:16 pipe", "1:16", "ISO 7-1 and ASME B1.20.1 taper pipe threads", FROM_MEMORY),
        _by_ratio("metric 1:20", "1:20", "ISO 296 metric 5 % tapers", "read"),
    )
}


def _key(name: str) -> str:
    return "".join(name.split()).casefold()


_BY_KEY = {_key(name): taper for name, taper in STANDARD_TAPERS.items()}


def standard_taper(name: str) -> StandardTaper:
    """The named taper, letter case and blanks ignored; ValueError names the nearest ones."""
    if len(name) > 60 or _key(name) not in _BY_KEY:
        near = difflib.get_close_matches(_key(name[:60]), _BY_KEY, 3, 0.4)
        known = [_BY_KEY[key].name for key in near] or ["Morse 3", "7:24", "1:20"]
        raise ValueError(
            f"“{name[:60]}” is no standard taper known here; "
            f"the nearest are {', '.join(known)}; or give its included angle or ratio"
        )
    return _BY_KEY[_key(name)]


GENERAL_TOLERANCE_SOURCE = f"ISO 2768-1:1989 Table 3, {FROM_MEMORY}"
GENERAL_CLASSES = {"f": "fine", "m": "medium", "c": "coarse", "v": "very coarse"}
# Upper ends of the columns of the table, in millimetres of the shorter side of the angle.
_SHORTER_SIDES_MM = (10, 50, 120, 400)
_MINUTES = {
    "f": (60, 30, 20, 10, 5),
    "m": (60, 30, 20, 10, 5),
    "c": (90, 60, 30, 15, 10),
    "v": (180, 120, 60, 30, 20),
}


def general_angular_tolerance(tolerance_class: str, shorter_side_mm: float) -> Angle:
    """The ± tolerance of an angle that carries none, by class and shorter side (millimetres).

    Classes f, m, c, v. A side at the end of a column belongs to it ("over 10 up to 50").
    Source: ISO 2768-1:1989 Table 3, from memory: check the standard.
    """
    one_of("general tolerance class", tolerance_class, tuple(GENERAL_CLASSES))
    side = positive("shorter side", shorter_side_mm, 40)
    minutes = _MINUTES[tolerance_class][bisect_left(_SHORTER_SIDES_MM, side)]
    return Angle.from_arc_seconds(60 * minutes)
