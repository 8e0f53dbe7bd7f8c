"""How many cases a check takes: a sample each time, thousands in the long command.

`python tests/long.py cases` sets TAPERTRIG_CASES=long. A check that makes no sense as a sample
carries `@pytest.mark.long` and runs there only.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from typing import Any

import pytest

LONG = os.environ.get("TAPERTRIG_CASES") == "long"


def cases(sample: int, thousands: int | None = None) -> int:
    """`sample`; in the long command `thousands`, or twenty times the sample."""
    if not LONG:
        return sample
    return 20 * sample if thousands is None else thousands


def sampled(values: Sequence[Any], kept: Iterable[Any]) -> list[Any]:
    """Values to parametrize by: those kept are taken each time, the rest in the long command."""
    kept = list(kept)
    return [
        one
        if one in kept
        else pytest.param(*(one if isinstance(one, tuple) else (one,)), marks=pytest.mark.long)
        for one in values
    ]
