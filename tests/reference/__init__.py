"""Published and derived values that the package is checked against, each with its source.

A row of `check_values.json` has id, topic, quantity, given, expected, tolerance, source and
evidence ("read": the document was read; "memory"; "derived"; "common practice").
"""

import json
from functools import cache
from pathlib import Path
from typing import Any


@cache
def _all_rows() -> dict[str, dict[str, Any]]:
    text = Path(__file__).with_name("check_values.json").read_text(encoding="utf-8")
    return {row["id"]: row for row in json.loads(text)}


def check_value(row_id: str) -> dict[str, Any]:
    """The row of that id."""
    return _all_rows()[row_id]


def check_values(*prefixes: str) -> list[dict[str, Any]]:
    """All rows whose id starts with one of the prefixes; LookupError when there are none."""
    rows = [row for row in _all_rows().values() if row["id"].startswith(prefixes)]
    if not rows:
        raise LookupError(f"no reference row starts with {prefixes}")
    return rows


def row_id(row: dict[str, Any]) -> str:
    """Name of a row, for the test report."""
    return row["id"]
