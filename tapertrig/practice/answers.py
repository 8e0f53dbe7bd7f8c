"""Reading an answer as people type it: lengths, dial turns, fractions, angles, tapers."""

from __future__ import annotations

import math
import re
from typing import Any

from tapertrig import angle as angles
from tapertrig import written as lengths
from tapertrig.angle import Angle
from tapertrig.lathe import READING_EXAMPLES, Dial
from tapertrig.written import (
    DECIMAL,
    FRACTION,
    LENGTH_UNITS,
    nearest,
    unsigned,
    unsigned_length,
    written,
)

LARGEST_NUMBER = 1e9
ANGLE_UNITS = {"°": 1.0, "′": 1 / 60, "″": 1 / 3600}
TAPER_PER_FOOT = "in/ft"
RATIO = "1:x"

_EXAMPLES = {
    "in": "1.0029, 1.0029 in, 1 9/16 or 25.4 mm",
    "mm": "25.47, 25.47 mm or 1.0029 in",
    "°": "26°55′30″, 26 55 30 or 26.925",
    "′": "12.4, 12.4′ or 0°12′24″",
    "″": "48.2, 48.2″ or 0°00′48.2″",
    TAPER_PER_FOOT: "0.602 or 0.602 in/ft",
    RATIO: "1:20 or 20",
}
_TURNS = re.compile(
    r"(?P<turns>[\d./ +-]*?[\d.])\s*(?:turns?|revs?|revolutions?)\b\.?"
    r"(?:[\s,;+]*(?:then|and|&|plus)?\s*(?P<rest>[\d.].*))?",
    re.IGNORECASE | re.ASCII,
)
_LINES = re.compile(
    r"(?P<number>[\d./ +-]*?[\d.])\s*(?:graduations?|grads?|lines?|div(?:ision)?s?)\.?",
    re.IGNORECASE | re.ASCII,
)
_PER_FOOT = re.compile(
    r"\s*(?:in\.?|inch(?:es)?|\")?\s*(?:/|per)\s*(?:ft\.?|foot)$", re.IGNORECASE | re.ASCII
)
_ONE_TO = re.compile(r"^1\s*[:/]\s*", re.ASCII)
_OF_A_DEGREE = re.compile(r"(.*/\s*\d+)\s*(?:°|º|deg|degrees?)", re.IGNORECASE | re.ASCII)
_ARC = re.compile(r"arc[\s-]?(?=min|sec)", re.IGNORECASE | re.ASCII)
_A_LENGTH = re.compile(r"\d\s*(?:mm|in|inch|inches)\b", re.IGNORECASE | re.ASCII)
_REFUSED = {
    "too large": "“{shown}” is far too large; write it as {plainly}",
    "counts": "“{shown}” counts on a dial; a length is asked here, so write it as {example}",
    "two signs": "“{shown}” has two signs; write it as {example}",
    "a length": "“{shown}” reads as a length; an angle is asked, as {example}",
}
_RADIANS = re.compile(r"(?P<number>.*?[\d.])\s*rad(?:ian)?s?\.?", re.IGNORECASE | re.ASCII)
# One marked number alone may be 60 or more, as 105″ or 75′; Angle.parse reads it as a part.
_ONE_PART = re.compile(
    rf"(?P<number>{DECIMAL.pattern})\s*(?:(?P<degree>°|º|deg(?:rees?)?)"
    r"|(?P<second>″|”|\"|''|′′|(?:arc[\s-]?)?sec(?:onds?)?)"
    r"|(?P<minute>′|’|'|(?:arc[\s-]?)?min(?:utes?)?))\.?",
    re.IGNORECASE | re.ASCII,
)


def example_of(unit: str, dial: Dial | None = None) -> str:
    """How an answer in this unit may be written."""
    return (READING_EXAMPLES if dial else _EXAMPLES).get(unit, "1.0029")


def read_answer(text: str, unit: str, dial: Dial | None = None) -> tuple[float, ...]:
    """Read typed text as a number in `unit`: "in", "mm", "°", "′", "″", "in/ft" or "1:x".

    Returns every number the text may stand for, the likeliest first (nearly always one: only
    "10 turns + 0.5" leaves open whether 0.5 is graduations or length). A unit that is written
    is converted. `dial` is the dial that turns and graduations count on, where the answer is a
    dial reading. ValueError, quoting the text, when it is no such answer.
    """
    example = example_of(unit, dial)
    shown, body, sign = written(text, example)
    values: tuple[float, ...]
    if unit in ANGLE_UNITS:
        values = (sign * _angle(body, unit, shown),)
    elif unit in LENGTH_UNITS:
        values = tuple(sign * value for value in _length(body, unit, dial, shown, example))
    elif unit == TAPER_PER_FOOT:
        values = (sign * _number(_PER_FOOT.sub("", body), shown, example),)
    elif unit == RATIO:
        values = (sign * _number(_ONE_TO.sub("", body), shown, example),)
    else:
        raise ValueError(f"unit is {unit!r}; it must be one of {', '.join(_EXAMPLES)}")
    if any(not math.isfinite(value) or abs(value) > LARGEST_NUMBER for value in values):
        raise ValueError(_REFUSED["too large"].format(shown=shown, plainly=_EXAMPLES[unit]))
    return values


def reader() -> dict[str, Any]:
    """What a page's script needs to read answers as `read_answer` does: patterns and words."""
    whole = {
        "decimal": DECIMAL, "fraction": FRACTION, "length": lengths.TRAILING_UNIT, "turns": _TURNS,
        "lines": _LINES, "radians": _RADIANS, "alone": _ONE_PART, "degrees": _OF_A_DEGREE,
    }  # fmt: skip
    within = {
        "per_foot": _PER_FOOT, "one_to": _ONE_TO, "arc": _ARC, "a_length": _A_LENGTH,
        "part": angles.PART,
    }  # fmt: skip
    return {
        "whole": {name: one.pattern.replace("?P<", "?<") for name, one in whole.items()},
        "within": {name: one.pattern.replace("?P<", "?<") for name, one in within.items()},
        "signs": lengths.signs(),
        "refused": {**lengths.REFUSED, **angles.REFUSED, **_REFUSED},
        "comma": lengths.COMMA,
        "angle_examples": angles.EXAMPLES,
        "examples": _EXAMPLES,
        "dial_examples": READING_EXAMPLES,
        "angles": ANGLE_UNITS,
        "millimetres": {name: float(size) for name, size in lengths.MILLIMETRES.items()},
        "longest": lengths.LONGEST_TEXT,
        "largest": LARGEST_NUMBER,
    }


def in_parts(text: str) -> bool | None:
    """Whether an angle is written in degrees and minutes, or (False) in decimal degrees.

    None where it is neither, as in radians, minutes alone or a fraction.
    """
    body = written(text, "").body
    alone = _ONE_PART.fullmatch(body)
    if DECIMAL.fullmatch(body) or (alone and alone["degree"]):
        return False
    return None if alone or "/" in body or _RADIANS.fullmatch(body) else True


def _number(body: str, shown: str, example: str) -> float:
    return nearest(unsigned(body, shown, example))


def _length(body: str, unit: str, dial: Dial | None, shown: str, example: str) -> tuple[float, ...]:
    turns, lines = _TURNS.fullmatch(body), _LINES.fullmatch(body)
    counted = turns or lines
    if counted is None:
        return (unsigned_length(body, unit, shown, example).value,)
    if dial is None:
        raise ValueError(_REFUSED["counts"].format(shown=shown, example=example))
    if turns is None:
        return (_number(counted["number"], shown, example) * dial.graduation,)
    whole = _number(turns["turns"], shown, example) * dial.per_turn
    rest = turns["rest"]
    if rest is None:
        return (whole,)
    counted = _LINES.fullmatch(rest)
    if counted is not None:
        return (whole + _number(counted["number"], shown, example) * dial.graduation,)
    length = unsigned_length(rest, unit, shown, example).value
    if rest[-1].isdigit() or rest[-1] == ".":
        return (whole + length * dial.graduation, whole + length)
    return (whole + length,)


def _angle(body: str, unit: str, shown: str) -> float:
    radians = _RADIANS.fullmatch(body)
    if radians is not None:
        return math.degrees(_number(radians["number"], shown, _EXAMPLES[unit])) / ANGLE_UNITS[unit]
    if DECIMAL.fullmatch(body) or FRACTION.fullmatch(body):
        return _number(body, shown, _EXAMPLES[unit])
    alone = _ONE_PART.fullmatch(body)
    if alone is not None:
        mark = "°" if alone["degree"] else "″" if alone["second"] else "′"
        number = float(alone["number"])
        return number if mark == unit else number * ANGLE_UNITS[mark] / ANGLE_UNITS[unit]
    degrees = _OF_A_DEGREE.fullmatch(body)
    if degrees is not None:
        return _number(degrees[1], shown, _EXAMPLES[unit]) / ANGLE_UNITS[unit]
    told = {"shown": shown, "example": _EXAMPLES[unit]}
    if body.startswith(("-", "+")):
        raise ValueError(_REFUSED["two signs"].format(**told))
    marked = _ARC.sub("", body)
    if _A_LENGTH.search(marked):
        raise ValueError(_REFUSED["a length"].format(**told))
    try:
        angle = Angle.parse(marked)
    except ValueError as error:
        raise ValueError(f"{error}") from None
    return float(angle.arc_seconds / 3600) / ANGLE_UNITS[unit]
