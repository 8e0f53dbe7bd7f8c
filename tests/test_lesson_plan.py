"""The instructor's lesson plan and striking cases are true of the panels and problems there are."""

from __future__ import annotations

import re
from pathlib import Path

import nbformat
import pytest

from tapertrig import panels
from tapertrig.classroom.lesson_plan import PLAN, lesson_plan
from tapertrig.panels.parts.controls import Quantity
from tapertrig.practice.in_lessons import practice
from tapertrig.practice.striking import STRIKING, striking_cases

NOTEBOOKS = Path(__file__).parents[1] / "notebooks"
# Rows with a slider; lessons 08 and 09 are practice and the desk itself.
WITH_SLIDER = [row for row in PLAN if row.slider]


def test_the_plan_has_rows_for_each_of_the_first_ten_lessons():
    assert [row.lesson for row in PLAN] == sorted(row.lesson for row in PLAN)
    assert {row.lesson for row in PLAN} >= {f"{number:02d}" for number in range(10)}
    assert {row.lesson for row in PLAN} - {row.lesson for row in WITH_SLIDER} == {"08", "09"}
    assert all(row.question.endswith("?") and row.minutes for row in PLAN)


def test_the_plan_takes_the_lessons_that_are_there(tmp_path, monkeypatch):
    told = lesson_plan()
    head, rule, *rows = told.splitlines()
    assert head.count("|") == rule.count("|") == 6
    assert all(row.count("|") == 6 for row in rows)
    assert {row[2:4] for row in rows} == {path.name[:2] for path in NOTEBOOKS.glob("*.ipynb")}
    assert told._repr_markdown_() == repr(told) == str(told)
    for name in ("03-setup-trigonometry", "09-instructors-desk"):
        (tmp_path / f"{name}.ipynb").write_bytes((NOTEBOOKS / f"{name}.ipynb").read_bytes())
    cells = [nbformat.v4.new_markdown_cell("# 77 · Something new")]
    lines = ("from tapertrig import panels", "panels.lost_motion()", 'panels.questions("04")')
    cells += [nbformat.v4.new_code_cell(line) for line in lines]
    nbformat.write(nbformat.v4.new_notebook(cells=cells), tmp_path / "77-new.ipynb")
    monkeypatch.setenv("TAPERTRIG_LESSONS", str(tmp_path))
    rows = lesson_plan().splitlines()[2:]
    assert [row[2:4] for row in rows] == ["03", "03", "09", "77"]
    assert rows[-1] == f"| 77 | `lost_motion` |  |  | {practice('04')[0].text} |"


@pytest.mark.parametrize("row", WITH_SLIDER, ids=lambda row: f"{row.panel}-{row.slider}")
def test_each_panel_of_the_plan_has_the_slider_it_names(row):
    controls = getattr(panels, row.panel)().controls.values()
    assert row.slider in [one.label for one in controls if isinstance(one, Quantity)]


@pytest.mark.parametrize("row", PLAN, ids=lambda row: f"{row.lesson}-{row.panel}")
def test_each_panel_of_the_plan_stands_in_its_lesson(row):
    (path,) = NOTEBOOKS.glob(f"{row.lesson}-*.ipynb")
    sources = [cell.source for cell in nbformat.read(path, as_version=4).cells]
    assert any(f"panels.{row.panel}(" in source for source in sources)


@pytest.mark.parametrize("case", STRIKING, ids=lambda case: case.topic)
def test_a_striking_case_is_refused_and_named_as_said(case):
    assert case.problem.check(case.problem.answer_text).correct
    verdict = case.problem.check(case.wrong_answer)
    assert not verdict.correct
    assert case.mistake in (*verdict.mistakes, *verdict.also)
    assert case.wrong_answer in striking_cases()


def test_what_the_striking_cases_are_said_to_show():
    shown = {case.topic: case for case in STRIKING}
    given = shown["angle units"].problem.given
    assert given["included_degrees"] % 2 == given["included_minutes"] % 2 == 1
    callout = shown["callouts"]
    assert abs(callout.problem.slipped(callout.mistake) - callout.problem.answer) > 2
    backlash = shown["backlash"]
    out = abs(backlash.problem.slipped(backlash.mistake) - backlash.problem.answer)
    assert out == pytest.approx(1 / 3, abs=0.05)
    assert shown["boring to size"].problem.answer == 0
    assert "below the face" in shown["two balls"].problem.text
    tolerance = shown["tolerances"].problem
    half = float(re.search(r"± (\d+)′", tolerance.text)[1]) / 2
    assert tolerance.answer < half / 2
