"""Numbers and lengths as people write them: 1.25, 1,25, 1 1/4, 9/16, 36 mm, 1.25″."""

from __future__ import annotations

import math
import re
import unicodedata
from fractions import Fraction
from typing import NamedTuple

from tapertrig.limits import one_of

LONGEST_TEXT = 60
LENGTH_UNITS = ("in", "mm")

# Why a text is no number; the pages' script says the same.
REFUSED = {
    "too long": "“{shown}” is too long for an answer; write it as {example}",
    "nothing": "nothing to read there; write the answer as {example}",
    "no number": "“{shown}” is no number I can read{comma}; write it as {example}",
    "zero": "“{shown}” divides by zero; write it as {example}",
    "an angle": "“{shown}” reads as an angle; a length is asked, as {example}",
}
COMMA = "; use a point for decimals"
MILLIMETRES = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "um": Fraction(1, 1000),
    "in": Fraction(254, 10),  # exactly (ISO 80000-3)
    "thou": Fraction(254, 10_000),
}
_UNIT_WORDS = (
    ("mm", r"mm|millimet(?:er|re)s?|mill?s"),
    ("cm", r"cm|centimet(?:er|re)s?"),
    ("um", r"µm|μm|um|micromet(?:er|re)s?|microns?"),
    ("in", r"in\.?|inch(?:es)?|\"|″|”|''|′′"),
    ("thou", r"thous?|thousandths?"),
)
DECIMAL = re.compile(r"(?:\d+(?:\.\d*)?|\.\d+)(?:e[+-]?\d{1,3})?", re.IGNORECASE | re.ASCII)
FRACTION = re.compile(r"(?:(\d+)\s*(?:[-+]|\s)\s*)?(\d+)\s*/\s*(\d+)", re.ASCII)
TRAILING_UNIT = re.compile(
    r"(?P<number>.*?[\d.])\s*(?:"
    + "|".join(f"(?P<{name}>{words})" for name, words in _UNIT_WORDS)
    + r")?",
    re.IGNORECASE | re.ASCII,
)
_LEADING_NAME = re.compile(r"^[^\W\d_]{0,12}\s*[=≈~]\s*")
_DECIMAL_COMMA = re.compile(r"(?<=\d),(?=\d)", re.ASCII)
_MINUS_SIGNS = ("−", "–", "‒", "—", "﹣")


class Written(NamedTuple):
    """A typed text: as messages quote it, its body in plain signs, and its sign, 1 or −1."""

    shown: str
    body: str
    sign: int


class Length(NamedTuple):
    """A written length: its value in the unit asked for, and the unit that stood there."""

    value: float
    unit: str


def written(text: str, example: str) -> Written:
    """A typed text with its sign taken off, dashes and ½ in plain signs, one comma as a point.

    ValueError, quoting it, for an empty text or one of more than 60 characters.
    """
    printable = "".join(c if c.isprintable() else " " for c in text)
    if len(text) > LONGEST_TEXT:
        shown = printable[:LONGEST_TEXT] + "…"
        raise ValueError(REFUSED["too long"].format(shown=shown, example=example))
    body = _LEADING_NAME.sub("", "".join(map(_plain, printable)).strip()).strip()
    body = point_for_comma(body)
    sign = -1 if body[:1] == "-" else 1
    body = body[1:].lstrip() if body[:1] in ("-", "+") else body
    if not body:
        raise ValueError(REFUSED["nothing"].format(example=example))
    return Written(printable, body, sign)


def point_for_comma(text: str) -> str:
    """A decimal comma as a point, where it is the only mark of its kind: 1,25 as 1.25."""
    return _DECIMAL_COMMA.sub(".", text) if text.count(",") == 1 and "." not in text else text


def _plain(character: str) -> str:
    """Dashes as -, ½ as 1/2 with a blank before it, everything else as it is."""
    if character.isascii():
        return character
    if character in _MINUS_SIGNS:
        return "-"
    if unicodedata.decomposition(character).startswith("<fraction>"):
        part = Fraction(unicodedata.numeric(character)).limit_denominator(100)
        return f" {part.numerator}/{part.denominator}"
    return "/" if character == "⁄" else character


def signs() -> dict[str, str]:
    """Every sign that is read as another: dashes, and fractions of one letter such as ½."""
    known = map(chr, (*range(0x80, 0x2200), *map(ord, _MINUS_SIGNS)))
    return {one: plain for one in known if (plain := _plain(one)) != one}


def unsigned(body: str, shown: str, example: str) -> Fraction:
    """A decimal or a fraction (9/16, 1 9/16, 1-9/16), exactly; ValueError when it is neither."""
    stripped = body.strip()
    if DECIMAL.fullmatch(stripped):
        return Fraction(stripped)
    match = FRACTION.fullmatch(stripped)
    told = {"shown": shown, "example": example, "comma": COMMA if "," in body else ""}
    if match is None:
        raise ValueError(REFUSED["no number"].format(**told))
    whole, over, under = (int(part or 0) for part in match.groups())
    if under == 0:
        raise ValueError(REFUSED["zero"].format(**told))
    return whole + Fraction(over, under)


def unsigned_length(body: str, unit: str, shown: str, example: str) -> Length:
    """A number with or without a length unit after it, in `unit`: 36 mm is 36/25.4 in."""
    one_of("unit", unit, LENGTH_UNITS)
    match = TRAILING_UNIT.fullmatch(body)
    if match is None:
        if any(mark in body.lower() for mark in ("°", "′", "deg")):
            raise ValueError(REFUSED["an angle"].format(shown=shown, example=example))
        return Length(nearest(unsigned(body, shown, example)), unit)
    found = next((name for name, _words in _UNIT_WORDS if match[name]), unit)
    number = unsigned(match["number"], shown, example)
    return Length(nearest(number * MILLIMETRES[found] / MILLIMETRES[unit]), found)


def nearest(number: Fraction) -> float:
    """The nearest float; infinite when no float is that large."""
    try:
        return float(number)
    except OverflowError:
        return math.inf


def read_number(text: str, example: str) -> float:
    """A typed number; ValueError quoting it when it is none."""
    shown, body, sign = written(text, example)
    return sign * nearest(unsigned(body, shown, example))


def read_length(text: str, unit: str, example: str) -> Length:
    """A typed length in `unit`, "in" or "mm", converted when it is written in another."""
    shown, body, sign = written(text, example)
    value, found = unsigned_length(body, unit, shown, example)
    return Length(sign * value, found)
