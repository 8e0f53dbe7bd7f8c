"""Reading an answer as people type it: lengths, dial turns, fractions, angles, tapers."""

from __future__ import annotations

import math
import re
import unicodedata
from fractions import Fraction

from tapertrig.angle import Angle
from tapertrig.lathe import Dial

LONGEST_ANSWER = 60
LARGEST_NUMBER = 1e9
LENGTH_UNITS = ("in", "mm")
ANGLE_UNITS = {"°": 1.0, "′": 1 / 60, "″": 1 / 3600}
TAPER_PER_FOOT = "in/ft"
RATIO = "1:x"

_EXAMPLES = {
    "in": "1.0029, 1.0029 in, 1 9/16 or 25.4 mm",
    "mm": "25.47, 25.47 mm or 1.0029 in",
    "°": "31°22′30″, 31 22 30 or 31.375",
    "′": "12.4, 12.4′ or 0°12′24″",
    "″": "48.2, 48.2″ or 0°00′48.2″",
    TAPER_PER_FOOT: "0.602 or 0.602 in/ft",
    RATIO: "1:20 or 20",
}
_MILLIMETRES = {"mm": 1.0, "cm": 10.0, "um": 0.001, "in": 25.4, "thou": 0.0254}
_UNIT_WORDS = (
    ("mm", r"mm|millimet(?:er|re)s?|mill?s"),
    ("cm", r"cm|centimet(?:er|re)s?"),
    ("um", r"µm|μm|um|micromet(?:er|re)s?|microns?"),
    ("in", r"in\.?|inch(?:es)?|\"|″|”|''|′′"),
    ("thou", r"thous?|thousandths?"),
)
_DIGITS = r"(?:\d+(?:\.\d*)?|\.\d+)(?:e[+-]?\d{1,3})?"
_FRACTION = re.compile(r"(?:(\d+)\s*(?:[-+]|\s)\s*)?(\d+)\s*/\s*(\d+)", re.ASCII)
_DECIMAL = re.compile(_DIGITS, re.IGNORECASE | re.ASCII)
_TRAILING_UNIT = re.compile(
    r"(?P<number>.*?[\d.])\s*(?:"
    + "|".join(f"(?P<{name}>{words})" for name, words in _UNIT_WORDS)
    + r")?",
    re.IGNORECASE | re.ASCII,
)
_TURNS = re.compile(
    r"(?P<turns>[\d./ +-]*?[\d.])\s*(?:turns?|revs?|revolutions?)\b\.?"
    r"(?:\s*(?:\+|,|and|&|plus)?\s*(?P<rest>[\d.].*))?",
    re.IGNORECASE | re.ASCII,
)
_LINES = re.compile(
    r"(?P<number>[\d./ +-]*?[\d.])\s*(?:graduations?|grads?|lines?|div(?:ision)?s?)\.?",
    re.IGNORECASE | re.ASCII,
)
_RADIANS = re.compile(r"(?P<number>.*?[\d.])\s*rad(?:ian)?s?\.?", re.IGNORECASE | re.ASCII)
# One marked number alone may be 60 or more, as 105″ or 75′; Angle.parse reads it as a part.
_ONE_PART = re.compile(
    _DIGITS + r"\s*(?:(?P<degree>°|º|deg(?:rees?)?)"
    r"|(?P<second>″|”|\"|''|′′|(?:arc[\s-]?)?sec(?:onds?)?)"
    r"|(?P<minute>′|’|'|(?:arc[\s-]?)?min(?:utes?)?))\.?",
    re.IGNORECASE | re.ASCII,
)
_LEADING_NAME = re.compile(r"^[^\W\d_]{0,12}\s*[=≈~]\s*")
_DECIMAL_COMMA = re.compile(r"(?<=\d),(?=\d)", re.ASCII)
_MINUS_SIGNS = ("−", "–", "‒", "—", "﹣")


def read_answer(text: str, unit: str, dial: Dial | None = None) -> tuple[float, ...]:
    """Read typed text as a number in `unit`: "in", "mm", "°", "′", "″", "in/ft" or "1:x".

    Returns every number the text may stand for, the likeliest first (nearly always one: only
    "10 turns + 0.5" leaves open whether 0.5 is graduations or length). A unit that is written
    is converted. `dial` is the dial that turns and graduations count on, where the answer is a
    dial reading. ValueError, quoting the text, when it is no such answer.
    """
    shown, body, sign = _cleaned(text, unit)
    if unit in ANGLE_UNITS:
        values = (sign * _angle(body, unit, shown),)
    elif unit in LENGTH_UNITS:
        values = tuple(sign * value for value in _length(body, unit, dial, shown))
    elif unit == TAPER_PER_FOOT:
        short = re.sub(r"\s*(?:in\.?|inch(?:es)?|\")?\s*(?:/|per)\s*(?:ft\.?|foot)$", "", body)
        values = (sign * _number(short, shown, unit),)
    elif unit == RATIO:
        values = (sign * _number(re.sub(r"^1\s*[:/]\s*", "", body), shown, unit),)
    else:
        raise ValueError(f"unit is {unit!r}; it must be one of {', '.join(_EXAMPLES)}")
    if any(not math.isfinite(value) or abs(value) > LARGEST_NUMBER for value in values):
        raise ValueError(f"“{shown}” is far too large; write it as {_EXAMPLES[unit]}")
    return values


def _cleaned(text: str, unit: str) -> tuple[str, str, int]:
    """The text as quoted in messages, its body without sign or leading name, and the sign."""
    example = _EXAMPLES.get(unit, "1.0029")
    if not isinstance(text, str):
        raise ValueError(f"{text!r} is no typed answer; write it as {example}")
    printable = text
    if not text.isprintable():
        printable = "".join(c if c.isprintable() else " " for c in text)
    shown = printable if len(printable) <= LONGEST_ANSWER else printable[:LONGEST_ANSWER] + "…"
    if len(text) > LONGEST_ANSWER:
        raise ValueError(f"“{shown}” is too long for an answer; write it as {example}")
    plain = printable if text.isascii() else "".join(_plain(c) for c in printable)
    body = plain.strip()
    body = _LEADING_NAME.sub("", body).strip()
    body = _DECIMAL_COMMA.sub(".", body) if body.count(",") == 1 and "." not in body else body
    sign = -1 if body[:1] == "-" else 1
    body = body[1:].lstrip() if body[:1] in ("-", "+") else body
    if not body:
        raise ValueError(f"nothing to read there; write the answer as {example}")
    return shown, body, sign


def _plain(character: str) -> str:
    """Dashes as -, ½ as 1/2 with a blank before it, everything else as it is."""
    if character in _MINUS_SIGNS:
        return "-"
    if unicodedata.decomposition(character).startswith("<fraction>"):
        part = Fraction(unicodedata.numeric(character)).limit_denominator(100)
        return f" {part.numerator}/{part.denominator}"
    return "/" if character == "⁄" else character


def _number(body: str, shown: str, unit: str) -> float:
    """A decimal or a fraction (9/16, 1 9/16, 1-9/16), without sign."""
    stripped = body.strip()
    if _DECIMAL.fullmatch(stripped):
        return float(stripped)
    match = _FRACTION.fullmatch(stripped)
    if match is None:
        raise ValueError(f"“{shown}” is no answer I can read; write it as {_EXAMPLES[unit]}")
    whole, over, under = (int(part or 0) for part in match.groups())
    if under == 0:
        raise ValueError(f"“{shown}” divides by zero; write it as {_EXAMPLES[unit]}")
    return float(whole + Fraction(over, under))


def _with_unit(body: str, unit: str, shown: str) -> float:
    """A number with or without a length unit after it, in `unit`."""
    match = _TRAILING_UNIT.fullmatch(body)
    if match is None:
        if any(mark in body.lower() for mark in ("°", "′", "deg")):
            raise ValueError(
                f"“{shown}” reads as an angle; a length is asked, as {_EXAMPLES[unit]}"
            )
        raise ValueError(f"“{shown}” is no answer I can read; write it as {_EXAMPLES[unit]}")
    number = _number(match["number"], shown, unit)
    written = next((name for name, _ in _UNIT_WORDS if match[name]), unit)
    return number if written == unit else number * _MILLIMETRES[written] / _MILLIMETRES[unit]


def _length(body: str, unit: str, dial: Dial | None, shown: str) -> tuple[float, ...]:
    turns, lines = _TURNS.fullmatch(body), _LINES.fullmatch(body)
    if turns is None and lines is None:
        return (_with_unit(body, unit, shown),)
    if dial is None:
        raise ValueError(
            f"“{shown}” counts on a dial; a length is asked here, so write it as {_EXAMPLES[unit]}"
        )
    if turns is None:
        return (_number(lines["number"], shown, unit) * dial.graduation,)
    whole = _number(turns["turns"], shown, unit) * dial.per_turn
    rest = turns["rest"]
    if rest is None:
        return (whole,)
    counted = _LINES.fullmatch(rest)
    if counted is not None:
        return (whole + _number(counted["number"], shown, unit) * dial.graduation,)
    length = _with_unit(rest, unit, shown)
    if rest[-1].isdigit() or rest[-1] == ".":
        return (whole + length * dial.graduation, whole + length)
    return (whole + length,)


def _angle(body: str, unit: str, shown: str) -> float:
    radians = _RADIANS.fullmatch(body)
    if radians is not None:
        return math.degrees(_number(radians["number"], shown, unit)) / ANGLE_UNITS[unit]
    if _DECIMAL.fullmatch(body) or _FRACTION.fullmatch(body):
        return _number(body, shown, unit)
    alone = _ONE_PART.fullmatch(body)
    if alone is not None:
        mark = "°" if alone["degree"] else "″" if alone["second"] else "′"
        number = float(_DECIMAL.match(body)[0])
        return number if mark == unit else number * ANGLE_UNITS[mark] / ANGLE_UNITS[unit]
    degrees = re.fullmatch(r"(.*/\s*\d+)\s*(?:°|º|deg|degrees?)", body, re.IGNORECASE)
    if degrees is not None:
        return _number(degrees[1], shown, unit) / ANGLE_UNITS[unit]
    if body.startswith(("-", "+")):
        raise ValueError(f"“{shown}” has two signs; write it as {_EXAMPLES[unit]}")
    marked = re.sub(r"arc[\s-]?(?=min|sec)", "", body, flags=re.IGNORECASE)
    if re.search(r"\d\s*(?:mm|in|inch|inches)\b", marked, re.IGNORECASE):
        raise ValueError(f"“{shown}” reads as a length; an angle is asked, as {_EXAMPLES[unit]}")
    try:
        angle = Angle.parse(marked)
    except ValueError as error:
        raise ValueError(f"{error}") from None
    return float(angle.arc_seconds / 3600) / ANGLE_UNITS[unit]
