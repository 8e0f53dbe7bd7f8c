"""Tapers that have a name, and the general tolerance for angles that have none of their own.

Each entry says where its figure comes from and how that is known: "read" (the document, or its
national edition, was read), "definition" (the name itself states the figure), "read at second
hand: check the handbook" (pages that reprint it), or "from memory: check the standard".
"""

from __future__ import annotations

import difflib
import math
import re
from bisect import bisect_left
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from tapertrig.angle import Angle
from tapertrig.cone import parse_taper
from tapertrig.limits import one_of, positive

FROM_MEMORY = "from memory: check the standard"
SECOND_HAND = "read at second hand: check the handbook"
_ISO_1119 = "ISO 1119 general series"
_ISO_1119_READ = "ISO 1119 general series (GOST R 53440-2009, clause 4.1, Table 1)"
_MORSE_READ = "GOST 25307-82 (Morse ratios), after ISO 296"
_MORSE = "ISO 1119 special series; ISO 296"


@dataclass(frozen=True)
class StandardTaper:
    """A named taper: by its included angle or its taper C on diameter, whichever defines it.

    `diameters` says where on the taper each stands, lengths in `unit`; empty where none is known
    here. `allows` is the tolerance a source gives, in words.
    """

    name: str
    defined_by: Angle | Fraction
    source: str
    known: str
    diameters: tuple[tuple[str, float], ...] = ()
    unit: str = "in"
    diameters_source: str = ""
    allows: str = ""

    @property
    def half_angle(self) -> Angle:
        """Half the included angle, exact where an angle defines it; else atan(C/2) (ISO 3040)."""
        if isinstance(self.defined_by, Angle):
            return self.defined_by.half()
        return Angle.from_radians(math.atan(float(self.defined_by / 2)))

    def words(self) -> str:
        """Taper, diameters and where each comes from, in one line."""
        told = "included angle"
        if isinstance(self.defined_by, Fraction):
            told = f"1:{float(1 / self.defined_by):.6g} on diameter"
        line = f"{self.name}: {told} ({self.source}; {self.known})"
        if self.diameters:
            ends = (f"{self._length(length)} {where}" for where, length in self.diameters)
            line += f"; {', '.join(ends)} ({self.diameters_source})"
        return line

    def _length(self, length: float) -> str:
        inches = f"{round(length, 5):g} {self.unit}"
        return inches if self.unit == "mm" else f"{inches} ({25.4 * length:.3f} mm)"


def _by_ratio(
    name: str, ratio: str | Fraction, source: str, known: str, **sizes: Any
) -> StandardTaper:
    taper = ratio if isinstance(ratio, Fraction) else parse_taper(ratio)
    return StandardTaper(name, taper, source, known, **sizes)


_MORSE_TABLE = "table of Morse standard taper shanks and sockets"
_MORSE_ALLOWS = (
    f"The {_MORSE_TABLE} ({SECOND_HAND}) allows 0.002 in per foot, 17″ of half angle: a shank only "
    "steeper, a socket only less steep."
)
_PER_FOOT_624 = Fraction("0.624") / 12
# Number, taper, where that comes from, diameters at the gauge line and at the plug's small end.
_MORSES = (
    ("0", "1:19.212", _MORSE, FROM_MEMORY, 0.3561, 0.252),
    ("1", "1:20.047", _MORSE_READ, "read", 0.475, 0.369),
    ("2", "1:20.020", _MORSE_READ, "read", 0.7, 0.572),
    ("3", "1:19.922", _MORSE, FROM_MEMORY, 0.938, 0.778),
    ("4", "1:19.254", _MORSE_READ, "read", 1.231, 1.02),
    ("4½", _PER_FOOT_624, _MORSE_TABLE, SECOND_HAND, 1.5, 1.266),
    ("5", "1:19.002", _MORSE, FROM_MEMORY, 1.748, 1.475),
    ("6", "1:19.180", _MORSE_READ, "read", 2.494, 2.116),
    ("7", _PER_FOOT_624, _MORSE_TABLE, SECOND_HAND, 3.27, 2.75),
)
_BROWN_SHARPE = "Machinery's Handbook, 19th ed., p. 1682"
# Taper per foot, small end and length of the plug, from number 1 on, in inches.
_BROWN_SHARPES = (
    ("0.50200", 0.2, 0.9375), ("0.50200", 0.25, 1.1875), ("0.50200", 0.3125, 1.5),
    ("0.50240", 0.35, 1.6875), ("0.50160", 0.45, 2.125), ("0.50329", 0.5, 2.375),
    ("0.50147", 0.6, 2.875), ("0.50100", 0.75, 3.5625), ("0.50085", 0.9001, 4.25),
    ("0.51612", 1.04465, 5.0), ("0.50100", 1.24995, 5.9375), ("0.49973", 1.5001, 7.125),
    ("0.50020", 1.75005, 7.75), ("0.5", 2.0, 8.25), ("0.5", 2.25, 8.75),
    ("0.5", 2.5, 9.25), ("0.5", 2.75, 9.75), ("0.5", 3.0, 10.25),
)  # fmt: skip
_JARNO = "Jarno's rule: number over 8, over 10 and over 2; Machinery's Handbook, 19th ed., p. 1683"


def _plug(small: float, large: float, length: float) -> tuple[tuple[str, float], ...]:
    return (
        ("at the small end", small),
        (f"at the large end of a plug {length:g} in long", large),
    )


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
        *(
            _by_ratio(
                f"Morse {number}", taper, source, known,
                diameters=(("at the gauge line", large), ("at the small end", small)),
                diameters_source=f"{_MORSE_TABLE}; {SECOND_HAND}", allows=_MORSE_ALLOWS,
            )
            for number, taper, source, known, large, small in _MORSES
        ),
        *(
            _by_ratio(
                f"Brown & Sharpe {number}", Fraction(per_foot) / 12, _BROWN_SHARPE, SECOND_HAND,
                diameters=_plug(small, small + float(per_foot) * length / 12, length),
                diameters_source="the same; other lengths are made, with the same small end",
            )
            for number, (per_foot, small, length) in enumerate(_BROWN_SHARPES, 1)
        ),
        *(
            _by_ratio(
                f"Jarno {number}", "1:20", _JARNO, SECOND_HAND,
                diameters=_plug(number / 10, number / 8, number / 2), diameters_source="the same",
            )
            for number in range(2, 21)
        ),
        *(
            _by_ratio(
                f"metric {number}", "1:20", "ISO 296 metric 5 % tapers", "read",
                diameters=(("at the gauge line", number),), unit="mm",
                diameters_source=f"ISO 296: the number is the diameter; {FROM_MEMORY}",
            )
            for number in (4, 6, 80, 100, 120, 160, 200)
        ),
        _by_ratio("7:24", "7:24", "ISO 1119 special series; the name is the taper", "definition"),
        _by_ratio(
            "1:16 pipe", "1:16", "ASME B1.20.1 taper pipe threads, 0.750 in per foot", SECOND_HAND
        ),
        _by_ratio("metric 1:20", "1:20", "ISO 296 metric 5 % tapers", "read"),
    )
}  # fmt: skip
NAMES = (
    "Morse 0 to 7 and 4½ (MT3), Brown & Sharpe 1 to 18 (B&S 7), Jarno 2 to 20, metric 4, 6, 80, "
    "100, 120, 160 and 200, 1:16 pipe (NPT), 7:24, and the angles and ratios of ISO 1119"
)

_HALF = re.compile(r"(?<=\d)\s*-?\s*(?:½|1/2)")
_BLANK = re.compile(r"[\s#\-_’'\"]+")
_IDLE = re.compile(r"tapers?|number|(?<!jar)no\.?(?=\d)|\.(?!\d)")
_NUMBERED = re.compile(
    r"(?P<number>[\d.]+)(?P<word>[a-z&]+)|(?P<word_>[a-z&]+)(?P<number_>[\d.:]+)"
)
# Common practice: how a print or a workshop writes them.
_SHORT = {
    **dict.fromkeys(("mt", "mk", "cm"), "morse"),
    **dict.fromkeys(("b&s", "bs", "brownandsharpe"), "brown&sharpe"),
    "me": "metric",
}
_PIPE = re.compile(r"(?:1:16)?pipe|pipe1:16|1:16|[\d./]*(?:nptf?|bspt)[\d./]*")


def _key(name: str) -> str:
    key = _IDLE.sub("", _BLANK.sub("", _HALF.sub(".5", name.casefold())))
    if _PIPE.fullmatch(key):
        return "1:16pipe"
    found = _NUMBERED.fullmatch(key)
    if found is None:
        return key
    word = found["word"] or found["word_"]
    return _SHORT.get(word, word) + (found["number"] or found["number_"])


_BY_KEY = {_key(name): taper for name, taper in STANDARD_TAPERS.items()}


def standard_taper(name: str) -> StandardTaper:
    """The named taper as people write it: Morse 3, MT3, 3 MT, #7 B&S, Jarno 10, 1/2 NPT.

    Letter case and blanks count for nothing; ValueError names the nearest ones and the list.
    """
    if len(name) > 60 or _key(name) not in _BY_KEY:
        near = difflib.get_close_matches(_key(name[:60]), _BY_KEY, 3, 0.4)
        known = [_BY_KEY[key].name for key in near] or ["Morse 3", "7:24", "1:20"]
        raise ValueError(
            f"“{name[:60]}” is no standard taper known here; "
            f"the nearest are {', '.join(known)}; known are {NAMES}; "
            "or give its included angle or ratio"
        )
    return _BY_KEY[_key(name)]


def read_taper(text: str | float) -> StandardTaper:
    """A taper wherever one is typed: 1:20, 7:24, 5 % or 0.05 (no source), else by its name."""
    if isinstance(text, str) and any(letter.isalpha() for letter in text):
        return standard_taper(text)
    return StandardTaper(str(text), parse_taper(text), "", "definition")


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
