"""Handouts made once for all the tests that look at them; making one takes seconds."""

from __future__ import annotations

import json
import os
import re
import zlib
from base64 import b64decode
from functools import cache
from pathlib import Path

from filelock import FileLock

from tapertrig.classroom.handout import handout
from tapertrig.classroom.lessons import find_lesson, lessons

NOTEBOOKS = Path(__file__).parents[1] / "notebooks"
NUMBERS = [lesson.number for lesson in lessons(NOTEBOOKS)]


@cache
def made(number: str) -> str:
    """The handout of a lesson, made by the first of the parallel workers that asks for it."""
    kept = Path(os.environ["TAPERTRIG_TEST_HANDOUTS"], f"{number}.html")
    with FileLock(f"{kept}.lock"):
        if not kept.exists():
            kept.write_text(handout(find_lesson(number)), encoding="utf-8")
    return kept.read_text(encoding="utf-8")


def held(text: str) -> list[dict]:
    """What each panel with sliders holds: `marks`, `grid` of stops, `second`, `here`."""
    found = re.findall(r'<script type="application/octet-stream">(.*?)</script>', text, re.DOTALL)
    return [json.loads(zlib.decompress(b64decode(one), -zlib.MAX_WBITS)) for one in found]


def stops(text: str) -> list[list]:
    """The stops of every main slider, as the lesson has the second: at, marks, sentence, rows."""
    return [one["grid"][one["here"][0]] for one in held(text)]
