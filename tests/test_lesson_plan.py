"""The instructor's lesson plan and striking cases are true of the panels and problems there are."""

from __future__ import annotations

import re
from pathlib import Path

import nbformat
import pytest

from tapertrig import panels
from tapertrig.panels.parts.controls import Quantity
from tapertrig.practice.striking import STRIKING, striking_cases

NOTEBOOKS = Path(__file__).parents[1] / "notebooks"
DESK = NOTEBOOKS / "09-instructors-desk.ipynb"
ROW = re.compile(r"^\| (\d\d) \| `(\w+)` \| (\d+) \| \*([^|]+)\* \| ([^|]+\?) \|$", re.MULTILINE)


def desk_text():
    cells = nbformat.read(DESK, as_version=4).cells
    return "\n".join(cell.source for cell in cells if cell.cell_type == "markdown")


PLAN = ROW.findall(desk_text())


def test_the_plan_has_a_question_for_every_lesson_before_practice():
    assert [row[0] for row in PLAN] == sorted(row[0] for row in PLAN)
    assert {row[0] for row in PLAN} == {f"{number:02d}" for number in range(8)}
    table = [line for line in desk_text().splitlines() if re.match(r"\| \d", line)]
    assert len(table) == len(PLAN), "a row of the plan does not read as one"


@pytest.mark.parametrize("row", PLAN, ids=lambda row: f"{row[1]}-{row[3]}")
def test_each_panel_of_the_plan_has_the_slider_it_names(row):
    _lesson, panel, _minutes, slider, _question = row
    names = [c.label for c in getattr(panels, panel)().controls.values() if isinstance(c, Quantity)]
    assert slider in names


@pytest.mark.parametrize("row", PLAN, ids=lambda row: f"{row[0]}-{row[1]}")
def test_each_panel_of_the_plan_stands_in_its_lesson(row):
    lesson, panel = row[:2]
    (path,) = NOTEBOOKS.glob(f"{lesson}-*.ipynb")
    sources = [cell.source for cell in nbformat.read(path, as_version=4).cells]
    assert any(f"panels.{panel}(" in source for source in sources)


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
