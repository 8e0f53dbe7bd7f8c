"""Whole numbers as one line of digits, made to be copied, read aloud or typed.

Digits alone: none is taken for a letter, and the number pad of any phone has them. Each number
stands behind a digit that says how many digits it has; the last two digits are check digits by
ISO/IEC 7064, MOD 97-10. 97 is prime and divides neither the difference of two digits nor nine
times it, so every single wrong digit and any two neighbours changed over are found.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

GROUP = 4
LARGEST = 10**9 - 1
LONGEST = 4000
_BETWEEN = re.compile(r"[\s.\-\u2010-\u2015\u2212]+")
_DIGIT = re.compile(r"\d", re.ASCII)


def spelled(numbers: Iterable[int]) -> str:
    """The line of whole numbers from 0 to 999,999,999, in groups of four digits."""
    digits = ""
    for number in numbers:
        if not 0 <= number <= LARGEST:
            raise ValueError(f"{number} cannot be carried; from 0 to {LARGEST:,}")
        digits += f"{len(str(number))}{number}" if number else "0"
    digits += f"{98 - int(digits + '00') % 97:02d}"
    return " ".join(digits[at : at + GROUP] for at in range(0, len(digits), GROUP))


def unspelled(line: str) -> list[int]:
    """The numbers of a line; spaces, hyphens and points between its digits count for nothing.

    ValueError, saying what is wrong, for a line that is not whole or has a wrong digit in it.
    """
    digits = _BETWEEN.sub("", line)
    strange = _DIGIT.sub("", digits)
    if strange:
        raise ValueError(f"“{strange[0]}” is no digit; a carried line has digits alone")
    if not 3 <= len(digits) <= LONGEST:
        raise ValueError("that is no carried line; copy or type the whole line of digits")
    if int(digits) % 97 != 1:
        raise ValueError(
            "the line's check digits do not fit: a digit is wrong, missing or too many, or two "
            "have changed places; compare it group by group"
        )
    return list(_numbers(digits[:-2]))


def _numbers(digits: str) -> Iterator[int]:
    at = 0
    while at < len(digits):
        start, at = at + 1, at + 1 + int(digits[at])
        one = digits[start:at]
        if at > len(digits) or one.startswith("0"):
            raise ValueError("that is no carried line; its numbers do not fit together")
        yield int(one or 0)
