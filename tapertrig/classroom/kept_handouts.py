"""Handouts for the list of lessons: each made once, by a Python of its own, and kept."""

from __future__ import annotations

import asyncio
import hashlib
import os
import sys
from functools import cache
from pathlib import Path

from tapertrig.classroom.lessons import Lesson

SHARED = "TAPERTRIG_HANDOUTS"
KIT = Path(__file__).parents[1]


def kept_handout(lesson: Lesson, data: Path) -> Path:
    """Where a lesson's handout is, or will be once it is made.

    A school's own folder of them (the variable TAPERTRIG_HANDOUTS) comes first; else it stands in
    `data`, this person's Jupyter folder, by a name that tells lesson and kit from older ones.
    """
    if shared := os.environ.get(SHARED):
        made = Path(shared, f"{lesson.path.stem}.html")
        if made.is_file():
            return made
    kit = f"{_kit_changed()} {os.environ.get('TAPERTRIG_UNIT')}".encode()
    told = hashlib.sha256(lesson.path.read_bytes() + kit).hexdigest()[:12]
    return data / "tapertrig" / f"{lesson.path.stem}-{told}.html"


@cache
def _kit_changed() -> int:
    files = (path for path in KIT.rglob("*.*") if path.suffix != ".pyc" and path.is_file())
    return max(path.stat().st_mtime_ns for path in files)


async def make_handout(lesson: Lesson, data: Path) -> Path:
    """The handout of a lesson, made unless it is kept; ValueError, in words, when it cannot be.

    A Python of its own draws it: a learner's server would keep the memory that drawing takes.
    """
    made = kept_handout(lesson, data)
    if made.is_file():
        return made
    made.parent.mkdir(parents=True, exist_ok=True)
    command = [sys.executable, "-m", "tapertrig", "handout", lesson.number, "--out", str(made)]
    drawing = await asyncio.create_subprocess_exec(
        *command,
        "--replace",
        cwd=KIT.parent,
        stdin=asyncio.subprocess.DEVNULL,
        stdout=asyncio.subprocess.DEVNULL,
        stderr=asyncio.subprocess.PIPE,
    )
    try:
        _, said = await drawing.communicate()
    except asyncio.CancelledError:
        drawing.kill()
        raise
    if drawing.returncode:
        lines = said.decode(errors="replace").strip().splitlines() or ["it says nothing"]
        raise ValueError(lines[-1].removeprefix("tapertrig: "))
    for older in made.parent.glob(f"{lesson.path.stem}-????????????.html"):
        if older != made:
            older.unlink(missing_ok=True)
    return made
