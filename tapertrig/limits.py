"""What a value may be, and the machinist's words for when it is not."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import date
from numbers import Real
from typing import Annotated, Any, TypeVar, Union

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Number = Union[float, Array]
# What goes in comes out: `float | Given` in a signature takes single numbers beside arrays, and
# `Given` is then a float where all are single numbers, an array where any is one.
Given = TypeVar("Given", float, NDArray[np.float64])
# Infinite where an uncertainty is known for good or nothing is there to limit it; NaN where what
# was found leaves it open.
InfiniteToo = Annotated[float, "infinite or open too"]
LONGEST_LINE = 200


def finite(name: str, value: object, example: object = 2.5) -> float:
    """Return `value` as a float; ValueError if it is no finite number."""
    if isinstance(value, (bool, str)) or not isinstance(value, (float, Real, np.number)):
        raise ValueError(f"{name} is {value!r}; it must be a number, for example {example}")
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise ValueError(f"{name} is {number}; it must be a finite number, for example {example}")
    return number


def positive(name: str, value: object, example: object = 2.5) -> float:
    """Return `value` as a float; ValueError unless it is finite and more than zero."""
    number = finite(name, value, example)
    if number <= 0:
        raise ValueError(f"{name} is {number:g}; it must be more than zero, for example {example}")
    return number


def not_negative(name: str, value: object, example: object = 0.2) -> float:
    """Return `value` as a float; ValueError unless it is finite and zero or more."""
    number = finite(name, value, example)
    if number < 0:
        raise ValueError(f"{name} is {number:g}; it must be zero or more, for example {example}")
    return number


def where_given(
    part: object, check: Callable[[str, object, object], float], **examples: object
) -> None:
    """Check those attributes of `part` that are not None; `examples` names them, one value each."""
    for name, example in examples.items():
        if (value := getattr(part, name)) is not None:
            check(name.replace("_", " "), value, example)


def numbers(name: str, value: float | Given, example: object = 2.5) -> Given:
    """Return a float or an array of numbers; ValueError unless all are finite."""
    return _every(name, value, example, finite, "finite", np.isfinite)


def lengths(name: str, value: float | Given, example: object = 2.5, *, zero: bool = False) -> Given:
    """Return a float or an array of lengths; ValueError unless all are finite and positive.

    With `zero=True` zero is allowed too.
    """
    if zero:
        return _every(name, value, example, not_negative, "zero or more", lambda all_: all_ >= 0)
    return _every(name, value, example, positive, "more than zero", lambda all_: all_ > 0)


def _every(
    name: str,
    value: object,
    example: object,
    single: Callable[[str, object, object], float],
    wanted: str,
    right: Callable[[Array], NDArray[np.bool_]],
) -> Any:
    if not isinstance(value, (np.ndarray, list, tuple)):
        return single(name, value, example)
    try:
        array = np.asarray(value)
    except ValueError:
        raise ValueError(f"{name} is {value!r}; give rows of one length") from None
    if array.dtype.kind not in "iuf":
        raise ValueError(f"{name} is {value!r}; give numbers only, for example {example}")
    array = array.astype(float, copy=False)
    wrong = ~(right(array) & np.isfinite(array))
    if wrong.any():
        raise ValueError(
            f"{name} holds {array[wrong].flat[0]:g}; "
            f"every one must be finite{'' if wanted == 'finite' else f' and {wanted}'}, "
            f"for example {example}"
        )
    return array


def one_of(name: str, value: object, allowed: tuple[str, ...]) -> str:
    """Return `value`; ValueError unless it is one of the words allowed."""
    if not isinstance(value, str) or value not in allowed:
        words = " or ".join(f"“{word}”" for word in allowed)
        raise ValueError(f"{name} is {value!r}; it must be {words}")
    return value


def true_or_false(name: str, value: object) -> bool:
    """Return `value`; ValueError unless it is True or False: a word would always count as True."""
    if not isinstance(value, (bool, np.bool_)):
        raise ValueError(f"{name} is {value!r}; it must be True or False")
    return bool(value)


def whole(name: str, value: object, least: int, most: int | None, example: int) -> int:
    """Return `value`; ValueError unless it is a whole number from `least` to `most`."""
    counts = isinstance(value, (int, np.integer)) and not isinstance(value, bool)
    number = int(value) if counts else least - 1  # type: ignore[call-overload]
    if number < least or (most is not None and number > most):
        span = f"of {least} or more" if most is None else f"from {least} to {most}"
        raise ValueError(f"{name} is {value!r}; it must be a whole number {span}, as {example}")
    return number


def line_of_text(name: str, value: object, longest: int = LONGEST_LINE) -> str:
    """Return a line of text; ValueError when it is none, or longer than a page can hold."""
    if not isinstance(value, str):
        raise ValueError(f"{name} is {value!r}; it must be text")
    if len(value) > longest:
        raise ValueError(f"{name} has {len(value)} characters; {longest} at most")
    return value


def real_date(text: str, what: str = "the date") -> date:
    """A day of the calendar as it is typed, year first: 2026-11-26; ValueError for other words."""
    line_of_text(what, text)
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        shown = f"“{text.strip()[:30]}”" if text.strip() else "not given"
        raise ValueError(
            f"{what} is {shown}; give year, month and day, for example 2026-11-26"
        ) from None
