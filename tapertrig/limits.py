"""What a value may be, and the machinist's words for when it is not."""

from __future__ import annotations

import math
from numbers import Real
from typing import Union

import numpy as np
from numpy.typing import NDArray

Number = Union[float, NDArray[np.float64]]


def finite(name: str, value: object, example: object = 2.5) -> float:
    """Return `value` as a float; ValueError if it is no finite number."""
    if isinstance(value, (bool, str)) or not isinstance(value, (Real, np.number)):
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


def lengths(name: str, value: Number, example: object = 2.5, *, zero: bool = False) -> Number:
    """Return a float or an array of lengths; ValueError unless all are finite and positive.

    With `zero=True` zero is allowed too.
    """
    if np.ndim(value) == 0 and not isinstance(value, np.ndarray):
        return (not_negative if zero else positive)(name, value, example)
    array = np.asarray(value, dtype=float)
    wrong = ~np.isfinite(array) | ((array < 0) if zero else (array <= 0))
    if wrong.any():
        least = "zero or more" if zero else "more than zero"
        raise ValueError(
            f"{name} holds {array[wrong].flat[0]:g}; "
            f"every one must be finite and {least}, for example {example}"
        )
    return array


def one_of(name: str, value: object, allowed: tuple[str, ...]) -> str:
    """Return `value`; ValueError unless it is one of the words allowed."""
    if value not in allowed:
        words = " or ".join(f"“{word}”" for word in allowed)
        raise ValueError(f"{name} is {value!r}; it must be {words}")
    return str(value)
