"""Lessons are found, and a learner's changed copy is never touched."""

from __future__ import annotations

import errno
import json
import os
import shutil
import subprocess
import sys
import sysconfig
import zipfile
from pathlib import Path

import pytest
from cases import cases
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tapertrig.classroom import lessons as lessons_module
from tapertrig.classroom.kept_handouts import kept_handout
from tapertrig.classroom.lessons import (
    Lesson,
    copy_lesson,
    find_lesson,
    fingerprint,
    lessons,
    lessons_folder,
)

CHECKOUT = Path(__file__).parents[1]


def notebook(text: str) -> dict:
    cell = {"cell_type": "code", "source": text, "metadata": {}, "outputs": [], "id": "a"}
    words = ["# 04 · A lesson\n", "text"]
    title = {"cell_type": "markdown", "source": words, "metadata": {}, "id": "b"}
    return {
        "cells": [title, {**cell, "execution_count": None}],
        "metadata": {},
        "nbformat": 4,
        "nbformat_minor": 5,
    }


def put(path: Path, content: dict) -> None:
    path.write_text(json.dumps(content), encoding="utf-8")


@pytest.fixture
def lesson(tmp_path: Path) -> Lesson:
    folder = tmp_path / "kit"
    folder.mkdir()
    put(folder / "04-indicating.ipynb", notebook("1 + 1"))
    put(folder / "05-budget.ipynb", notebook("2 + 2"))
    (folder / "notes.ipynb").write_text("no lesson")
    return find_lesson("04", folder)


@pytest.fixture
def copies(tmp_path: Path) -> Path:
    return tmp_path / "copies"


@pytest.mark.parametrize("text", ["04", "4", " 04 ", "04-indicating", "04-indicating.ipynb"])
def test_a_lesson_is_found_as_people_name_it(lesson, text):
    assert find_lesson(text, lesson.path.parent) == lesson
    assert (lesson.number, lesson.title) == ("04", "A lesson")


@pytest.mark.parametrize("text", ["6", "", "indicating", "../05-budget", "٤", "004", "4.0"])
def test_an_unknown_lesson_lists_those_there_are(lesson, text):
    with pytest.raises(ValueError, match=r"the lessons are:\n  04  A lesson\n  05  A lesson$"):
        find_lesson(text, lesson.path.parent)


def test_only_numbered_notebooks_are_lessons(lesson):
    assert [found.number for found in lessons(lesson.path.parent)] == ["04", "05"]


def test_a_lesson_that_cannot_be_read_is_still_listed(lesson):
    (lesson.path.parent / "06-torn.ipynb").write_text('{"cells": [')
    assert find_lesson("06", lesson.path.parent).title == "06-torn"


def test_the_checkout_has_its_lessons_beside_the_package():
    assert lessons_folder() == CHECKOUT / "notebooks"


def test_a_school_can_name_its_own_folder(monkeypatch, lesson):
    monkeypatch.setenv("TAPERTRIG_LESSONS", str(lesson.path.parent))
    assert find_lesson("05").path == lesson.path.parent / "05-budget.ipynb"


def test_the_first_copy_is_the_lesson(lesson, copies):
    made = copy_lesson(lesson, copies)
    assert made.path == copies / "04-indicating.ipynb"
    assert made.note == ""
    assert json.loads(made.path.read_text())["cells"] == notebook("1 + 1")["cells"]
    assert sorted(path.name for path in copies.iterdir()) == ["04-indicating.ipynb"]


def test_running_a_copy_does_not_change_it(lesson, copies):
    path = copy_lesson(lesson, copies, "1.0").path
    ran = json.loads(path.read_text())
    ran["cells"][1] |= {"outputs": [{"output_type": "stream", "name": "stdout", "text": "2"}]}
    ran["cells"][1]["metadata"] = {"scrolled": True}
    ran["cells"][1]["execution_count"] = 7
    put(path, ran)
    put(lesson.path, notebook("1 + 2"))
    renewed = copy_lesson(lesson, copies, "2.0")
    assert renewed.path == path
    assert "renewed from version 1.0" in renewed.note
    assert json.loads(path.read_text())["cells"][1]["source"] == "1 + 2"


def change(path: Path, text: str = "my own note") -> bytes:
    changed = json.loads(path.read_text())
    changed["cells"][0]["source"] = text
    put(path, changed)
    return path.read_bytes()


def test_a_changed_copy_is_opened_as_left_while_its_lesson_is_the_same(lesson, copies):
    path = copy_lesson(lesson, copies, "1.0").path
    mine = change(path)
    for version in ("1.0", "1.1"):
        again = copy_lesson(lesson, copies, version)
        assert again.path == path
        assert "as you left it" in again.note
        assert path.read_bytes() == mine


def test_a_changed_copy_of_an_older_kit_is_kept_and_a_fresh_one_put_beside(lesson, copies):
    path = copy_lesson(lesson, copies, "1.0").path
    mine = change(path)
    put(lesson.path, notebook("new"))
    fresh = copy_lesson(lesson, copies, "2.0")
    assert fresh.path == copies / "04-indicating-2.0.ipynb"
    assert "04-indicating.ipynb (1.0): kept untouched" in fresh.note
    assert path.read_bytes() == mine
    assert copy_lesson(lesson, copies, "2.0").path == fresh.path
    mine_too = change(fresh.path)
    put(lesson.path, notebook("newer"))
    assert copy_lesson(lesson, copies, "2.0").path == copies / "04-indicating-2.0-2.ipynb"
    assert (path.read_bytes(), fresh.path.read_bytes()) == (mine, mine_too)


@pytest.mark.parametrize(
    "found",
    [
        b"[" * 100_000,
        b"",
        b"\xff\xfe\x00",
        b'{"cells": [',
        b"[]",
        b'{"cells": [], "metadata": {}}',
        b"null",
    ],
)
def test_a_file_of_that_name_that_is_no_copy_is_kept(lesson, copies, found):
    copies.mkdir()
    stranger = copies / "04-indicating.ipynb"
    stranger.write_bytes(found)
    made = copy_lesson(lesson, copies, "1.0")
    assert made.path.name == "04-indicating-1.0.ipynb"
    assert stranger.read_bytes() == found


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_of_that_name_is_not_waited_for(lesson, copies):
    copies.mkdir()
    os.mkfifo(copies / "04-indicating.ipynb")
    code = (
        "import sys; from pathlib import Path;"
        "from tapertrig.classroom.lessons import copy_lesson, find_lesson;"
        "lesson = find_lesson('04', Path(sys.argv[1]));"
        "print(copy_lesson(lesson, Path(sys.argv[2]), '1.0').path.name)"
    )
    made = subprocess.run(
        [sys.executable, "-c", code, lesson.path.parent, copies],
        capture_output=True,
        text=True,
        timeout=30,
        check=True,
    )
    assert made.stdout.strip() == "04-indicating-1.0.ipynb"


ACTS = st.lists(
    st.sampled_from(["open", "edit", "run", "tear", "new kit", "new lesson"]), max_size=14
)


@settings(max_examples=cases(60), deadline=None, suppress_health_check=list(HealthCheck))
@given(acts=ACTS)
def test_nothing_a_learner_wrote_is_ever_lost(tmp_path_factory, acts):
    """Whatever happens in whatever order, each text once written by hand is still there."""
    root = tmp_path_factory.mktemp("acts")
    put(root / "04-a.ipynb", notebook("0"))
    lesson = find_lesson("4", root)
    copies = root / "copies"
    version = 1
    written: dict[Path, bytes] = {}
    last = copy_lesson(lesson, copies, "1").path
    for count, act in enumerate(acts):
        if act == "open":
            last = copy_lesson(lesson, copies, str(version)).path
            now = json.loads(lesson.path.read_text())
            opened = json.loads(last.read_text())
            assert opened["metadata"]["tapertrig"]["fingerprint"] == fingerprint(now)
            assert last in written or fingerprint(opened) == fingerprint(now)
        elif act == "edit" and last not in written:
            written[last] = change(last, f"note {count}")
        elif act == "tear":
            last.write_bytes(last.read_bytes()[:-40])
            written[last] = last.read_bytes()
        elif act == "run" and last not in written:
            ran = json.loads(last.read_text())
            ran["cells"][1]["execution_count"] = count
            put(last, ran)
        elif act == "new kit":
            version += 1
        elif act == "new lesson":
            put(lesson.path, notebook(f"lesson {count}"))
        for path, text in written.items():
            assert path.read_bytes() == text


@pytest.mark.parametrize("fault", [errno.ENOSPC, errno.EROFS])
def test_a_full_or_read_only_disk_leaves_what_was_there(lesson, copies, monkeypatch, fault):
    path = copy_lesson(lesson, copies, "1.0").path
    before = path.read_bytes()
    put(lesson.path, notebook("new"))

    def refuse(*_: object) -> None:
        raise OSError(fault, os.strerror(fault))

    monkeypatch.setattr(lessons_module.os, "replace", refuse)
    with pytest.raises(ValueError, match=os.strerror(fault).lower()):
        copy_lesson(lesson, copies, "2.0")
    assert path.read_bytes() == before
    assert [found.name for found in copies.iterdir()] == [path.name]


def test_a_schools_own_handout_comes_first_and_a_kept_one_is_of_this_lesson_and_unit(
    lesson, tmp_path, monkeypatch
):
    own = kept_handout(lesson, tmp_path)
    assert own.parent == tmp_path / "tapertrig"
    monkeypatch.setenv("TAPERTRIG_HANDOUTS", str(tmp_path / "school"))
    assert kept_handout(lesson, tmp_path) == own
    school = tmp_path / "school" / "04-indicating.html"
    school.parent.mkdir()
    school.touch()
    assert kept_handout(lesson, tmp_path) == school
    school.unlink()
    monkeypatch.setenv("TAPERTRIG_UNIT", "mm")
    metric = kept_handout(lesson, tmp_path)
    put(lesson.path, notebook("a newer lesson"))
    assert len({own, metric, kept_handout(lesson, tmp_path)}) == 3


@pytest.mark.slow
def test_an_installed_kit_brings_its_lessons(tmp_path):
    """A wheel, installed by pip into a fresh environment, with no checkout in sight."""
    source = tmp_path / "source"
    keep = shutil.ignore_patterns(".*", "build", "*.egg-info", "__pycache__")
    shutil.copytree(CHECKOUT, source, ignore=keep)
    pip = [sys.executable, "-m", "pip"]
    subprocess.run([*pip, "wheel", "-q", "--no-deps", "-w", tmp_path, source], check=True)
    (wheel,) = tmp_path.glob("tapertrig-*.whl")
    held = {name for name in zipfile.ZipFile(wheel).namelist() if name.startswith("tapertrig/")}
    assert held == {
        path.relative_to(source).as_posix()
        for path in (source / "tapertrig").rglob("*")
        if path.is_file()
    }
    shutil.rmtree(source)
    fresh = tmp_path / "fresh"
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", fresh], check=True)
    programs = fresh / ("Scripts" if os.name == "nt" else "bin")
    python = programs / ("python.exe" if os.name == "nt" else "python")
    subprocess.run([*pip, "--python", python, "install", "-q", "--no-deps", wheel], check=True)
    # Only what the kit needs comes from the environment of the tests, and not the kit itself.
    here = os.environ | {"PYTHONPATH": sysconfig.get_path("purelib")}
    code = (
        "from tapertrig.classroom.lessons import lessons_folder, lessons;"
        "print(lessons_folder()); print(*(lesson.path.name for lesson in lessons()))"
    )

    def answer(*command: object) -> str:
        asked = subprocess.run(
            command, cwd=tmp_path, env=here, capture_output=True, text=True, check=False
        )
        assert asked.returncode == 0, asked.stderr
        return asked.stdout

    folder, names = answer(python, "-c", code).splitlines()
    assert Path(folder).is_relative_to(fresh)
    assert names.split() == sorted(path.name for path in (CHECKOUT / "notebooks").glob("*.ipynb"))
    listed = answer(programs / "tapertrig", "--list")
    assert [line[:2] for line in listed.splitlines()] == [name[:2] for name in names.split()]
    assert answer(python, "-m", "tapertrig", "--list") == listed
