"""Frozen dataclasses as plain JSON values and back, by their type hints: one way for all files."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from fractions import Fraction
from functools import cache
from numbers import Real
from types import NoneType, UnionType
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

import numpy as np

from tapertrig.angle import Angle

Kind = TypeVar("Kind")
_EXACT = re.compile(r"-?\d{1,60}(/[1-9]\d{0,59})?", re.ASCII)


def to_plain(value: Any, hint: object = None) -> Any:
    """A dataclass, tuple or single value as plain values; an Angle as its exact arc-seconds.

    A whole number is written as a float where the type hint asks for one: as it will be read.
    """
    if isinstance(value, Angle):
        return str(value.arc_seconds)
    if is_dataclass(value):
        own: Any = type(value)
        here = {name: getattr(value, name) for name in _hints(own)}
        later = _later(own)
        kept = {name: one for name, one in here.items() if one is not None or name not in later}
        return {name: to_plain(one, _hints(own)[name]) for name, one in kept.items()}
    if isinstance(value, tuple):
        return [to_plain(item, hint) for item in value]
    if isinstance(value, (Real, np.number)) and not isinstance(value, bool):
        return value if isinstance(value, int) and "float" not in str(hint) else float(value)
    return value


def canonical(plain: Any) -> str:
    """Plain values as one text that depends on nothing but the values."""
    return json.dumps(plain, sort_keys=True, separators=(",", ":"), allow_nan=False)


def from_plain(kind: type[Kind], plain: Any, name: str = "") -> Kind:
    """A dataclass back from its plain values; ValueError naming what is missing or does not fit."""
    name = name or kind.__name__.lower()
    if not isinstance(plain, Mapping):
        raise ValueError(f"{name} is {_shown(plain)}; it must be a group of named values")
    wanted: Any = kind
    hints = _hints(wanted)
    if odd := sorted(map(str, (set(plain) ^ set(hints)) - (_later(wanted) - set(plain)))):
        raise ValueError(f"{name}: missing or unknown: {', '.join(odd)}")
    kept = [part for part in hints if part in plain]
    return kind(**{part: _value(hints[part], plain[part], f"{name}, {part}") for part in kept})


@cache
def _hints(kind: type) -> dict[str, Any]:
    hints = get_type_hints(kind)
    return {part.name: hints[part.name] for part in fields(kind) if part.compare}


@cache
def _later(kind: type) -> frozenset[str]:
    """Fields that files have not always had; None where one does not stand there."""
    later = [part.name for part in fields(kind) if part.metadata.get("later")]
    return frozenset(later)


def _value(hint: Any, plain: Any, name: str) -> Any:
    if get_origin(hint) in (Union, UnionType):
        kinds = get_args(hint)
        if plain is None and NoneType in kinds:
            return None
        hint = next(kind for kind in kinds if kind is not NoneType)
    if hint is Angle:
        if not isinstance(plain, str) or not _EXACT.fullmatch(plain):
            raise ValueError(f"{name} is {_shown(plain)}, which is no angle in arc-seconds")
        return Angle.from_arc_seconds(Fraction(plain))
    if is_dataclass(hint):
        return from_plain(hint, plain, name)  # type: ignore[arg-type]
    if get_origin(hint) is dict and isinstance(plain, dict):
        return plain
    if get_origin(hint) is tuple:
        if not isinstance(plain, list):
            raise ValueError(f"{name} is {_shown(plain)}; it must be a list")
        return tuple(_value(get_args(hint)[0], item, name) for item in plain)
    number = hint is float and isinstance(plain, (int, float)) and not isinstance(plain, bool)
    if not number and type(plain) is not hint:
        raise ValueError(f"{name} is {_shown(plain)}, which does not belong there")
    try:
        return float(plain) if number else plain
    except OverflowError:
        raise ValueError(f"{name} is larger than any number kept here") from None


def _shown(plain: Any) -> str:
    return repr(plain)[:60]
