"""Finding the lessons, and giving each learner a copy that is never overwritten once changed."""

from __future__ import annotations

import hashlib
import json
import os
import re
import site
import sysconfig
from collections.abc import Iterator
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path

from tapertrig.limits import one_of
from tapertrig.saving import readable, write_whole

MARK = "tapertrig"
MOST_FRESH_COPIES = 99


@dataclass(frozen=True)
class Lesson:
    """One lesson of the kit: its number ("04"), its title, and the notebook that holds it."""

    number: str
    title: str
    path: Path


@dataclass(frozen=True)
class LessonCopy:
    """A learner's copy of a lesson, and a sentence when there is something to know about it."""

    path: Path
    note: str = ""


def lessons_folder() -> Path:
    """Where the lessons are: beside the package in a checkout, else where pip put them.

    The environment variable TAPERTRIG_LESSONS names another folder, for a school with its own.
    """
    if own := os.environ.get("TAPERTRIG_LESSONS"):
        return Path(own)
    checkout = Path(__file__).parents[2]
    folders = [checkout / "notebooks"] if (checkout / "pyproject.toml").is_file() else []
    for root in (sysconfig.get_path("data"), site.getuserbase()):
        folders.append(Path(root, "share", "tapertrig", "notebooks"))
    for folder in folders:
        if folder.is_dir():
            return folder
    raise FileNotFoundError(
        "the lessons were not installed with the kit; install it again: "
        "python -m pip install -r requirements.txt"
    )


def lessons(folder: Path | None = None) -> list[Lesson]:
    """All lessons in order: notebooks whose name starts with two digits and a hyphen."""
    found = (folder or lessons_folder()).glob("[0-9][0-9]-*.ipynb")
    return [Lesson(path.name[:2], _title(path), path) for path in sorted(found)]


def find_lesson(text: str, folder: Path | None = None) -> Lesson:
    """The lesson meant by "4", "04", its file name or its name; ValueError when there is none."""
    wanted = text.strip().removesuffix(".ipynb")
    number = wanted.zfill(2) if re.fullmatch(r"\d{1,2}", wanted, re.ASCII) else None
    all_lessons = lessons(folder)
    for lesson in all_lessons:
        if number == lesson.number or wanted == lesson.path.stem:
            return lesson
    names = "\n".join(f"  {lesson.number}  {lesson.title}" for lesson in all_lessons)
    raise ValueError(f"there is no lesson “{text}”; the lessons are:\n{names or '  (none)'}")


def neighbour(way: str, text: str, folder: Path | None = None) -> Lesson | None:
    """The lesson "before" or "after" the one meant; None past either end."""
    steps = {"before": -1, "after": 1}[one_of("way", way, ("before", "after"))]
    all_lessons = lessons(folder)
    at = all_lessons.index(find_lesson(text, folder)) + steps
    return all_lessons[at] if 0 <= at < len(all_lessons) else None


def default_folder() -> Path:
    """Where a learner's copies go unless another folder is named."""
    return Path.home() / "tapertrig-lessons"


def fingerprint(notebook: dict) -> str:
    """A short hash of what a person wrote in a notebook: kinds and sources of its cells.

    Outputs, run counts and metadata do not count: running a lesson does not change it.
    """
    written = [(cell["cell_type"], _source(cell)) for cell in notebook["cells"]]
    return hashlib.sha256(json.dumps(written).encode()).hexdigest()[:16]


def copy_lesson(lesson: Lesson, folder: Path, version: str | None = None) -> LessonCopy:
    """Put a copy of the lesson into `folder`, unless the learner has changed one there.

    A copy nobody changed is renewed when the kit is newer. A changed copy stays as it is: it is
    handed back while the lesson it was made from is still the kit's, and otherwise a fresh copy
    goes beside it under a name with the kit's version. OSError when the folder cannot be
    made, ValueError when it takes no file or a copy in it cannot be read.
    """
    version = version or import_module("tapertrig").__version__
    original = json.loads(lesson.path.read_text(encoding="utf-8"))
    mark = {"lesson": lesson.number, "version": version, "fingerprint": fingerprint(original)}
    original["metadata"][MARK] = mark
    text = json.dumps(original, indent=1, ensure_ascii=False) + "\n"
    folder.mkdir(parents=True, exist_ok=True)
    kept: list[str] = []
    for name in _names(lesson.path.stem, version):
        target = folder / name
        if not target.exists():
            write_whole(target, text)
            return LessonCopy(target, _about(kept, name))
        made = _mark_of(target)
        if made and made["now"] == made["fingerprint"]:
            if {key: made[key] for key in mark} != mark:
                write_whole(target, text)
                return LessonCopy(target, f"{name} was renewed from version {made['version']}.")
            return LessonCopy(target, _about(kept, name))
        if made and made["fingerprint"] == mark["fingerprint"]:
            return LessonCopy(target, f"{name} is opened as you left it, with your changes.")
        kept.append(f"{name} ({made['version']})" if made else name)
    raise FileExistsError(f"{folder} holds too many changed copies of {lesson.path.name}")


def _names(stem: str, version: str) -> Iterator[str]:
    yield f"{stem}.ipynb"
    yield f"{stem}-{version}.ipynb"
    for count in range(2, MOST_FRESH_COPIES):
        yield f"{stem}-{version}-{count}.ipynb"


def _about(kept: list[str], name: str) -> str:
    if not kept:
        return ""
    return f"You changed {' and '.join(kept)}: kept untouched. The kit's lesson is in {name}."


def _mark_of(path: Path) -> dict | None:
    """The mark a copy was made with, and its fingerprint now; None when it is no copy of ours."""
    if path.is_fifo():  # it would be waited for without end
        return None
    with readable(path.name):
        content = path.read_bytes()
    try:
        notebook = json.loads(content)
        made = {key: str(notebook["metadata"][MARK][key]) for key in ("lesson", "version")}
        made["fingerprint"] = str(notebook["metadata"][MARK]["fingerprint"])
        return {**made, "now": fingerprint(notebook)}
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None


def _title(path: Path) -> str:
    """The first heading of a notebook without its number, or its file name when it has none."""
    try:
        cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
        for cell in cells:
            heading = re.match(r"#\s+(?:\d\d\s*·\s*)?(.+)", _source(cell))
            if cell["cell_type"] == "markdown" and heading:
                return heading[1].strip()
    except (ValueError, KeyError, TypeError):
        pass
    return path.stem


def _source(cell: dict) -> str:
    source = cell["source"]
    return source if isinstance(source, str) else "".join(source)
