"""Handouts made once for all the tests that look at them; making one takes seconds."""

from __future__ import annotations

import json
import re
from functools import cache
from pathlib import Path

from tapertrig.classroom.handout import handout
from tapertrig.classroom.lessons import find_lesson, lessons

NUMBERS = [lesson.number for lesson in lessons(Path(__file__).parents[1] / "notebooks")]


@cache
def made(number: str) -> str:
    """The handout of a lesson."""
    return handout(find_lesson(number))


def frames(text: str) -> list[list]:
    """The frames of every slider of a handout: picture, position, alternative, words, rows."""
    found = re.findall(r'<script type="application/json">(.*?)</script>', text, re.DOTALL)
    return [json.loads(one) for one in found]
