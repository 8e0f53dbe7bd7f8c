"""The instructor's lesson plan: what to put up, what to move, what to ask before moving it."""

from __future__ import annotations

import json
import re
from typing import NamedTuple

from tapertrig.classroom.lessons import Lesson, lessons
from tapertrig.practice.in_lessons import practice
from tapertrig.printed.handout import text_of


class Row(NamedTuple):
    """A stretch of a lesson. Minutes are our estimate for a class that is new to it, no source.

    `minutes` is 0 and `slider` empty where nothing is said of them.
    """

    lesson: str
    panel: str
    minutes: int
    slider: str
    question: str


# One row a line, as the plan is read.
# ruff: noqa: E501
PLAN = (
    Row("00", "job_sheet", 20, "Included angle", "If the included angle doubles, does the cross travel double?"),
    Row("01", "angle_forms", 15, "Included angle", "Halve 53°43′ in your head: where do the odd degree and the odd minute go?"),
    Row("01", "base_scale", 10, "Swing the slide", "The zero is square to the bed. What does the base read for a half angle of 22°?"),
    Row("02", "parallel_lines", 15, "Angle of the line", "Which of the eight angles are equal, and which make 180° together?"),
    Row("03", "setup_triangle", 25, "Half angle", "Which side grows with the angle, which shrinks, and where are they equal?"),
    Row("03", "setup_triangle", 10, "Compound travel", "Halve the travel: what happens to the half angle one graduation stands for?"),
    Row("04", "lost_motion", 10, "Handwheel", "I turn back by less than the backlash. What does the slide do, and what does the dial show?"),
    Row("04", "indicating_bench", 40, "Compound, a line a press of an arrow key", "From which side must we come to the first point, and from which to the second?"),
    Row("04", "watch_it_done", 10, "Step", "What would you do next, and what would you look at?"),
    Row("05", "angle_budget", 15, "Half angle", "At 22° and at 72°: which source is the largest?"),
    Row("05", "angle_effect", 10, "Half angle out by", "The slide is 5′ out. Which end of the cone shows it, and by how much?"),
    Row("06", "opening_the_face", 15, "Movement", "The compound is fed 0.020. How much larger is the face?"),
    Row("06", "tool_height", 10, "Tool above centre (below: minus)", "The tool stands low. Is the wall still straight?"),
    Row("06", "sweep_clearance", 10, "Half angle", "What touches first when the slide is swung further?"),
    Row("07", "ball_in_bore", 25, "Height of the ball's top", "The ball sits 0.001 higher. Is the face diameter larger or smaller, and by more or by less?"),
    Row("08", "practice", 10, "", "Which slip would lead to this wrong number?"),
    Row("09", "class_picture", 10, "", "Which slip did most of us make, and what would it do to the part?"),
    Row("10", "known_taper", 20, "Needle at the large end, + pushed in", "The needle is let out on its way to the large end. Is the slide swung too far, or not far enough?"),
    Row("11", "several_cones", 20, "Cross movement", "The relief is cut deeper. Which edges move, which way, and does the seat get wider or narrower?"),
    Row("12", "set_over", 15, "Half angle", "The shop rule, or the length taken over all: which of the two costs more?"),
    Row("12", "two_runs", 10, "Half angle out by", "The slide stands too steep for both runs. Does the second cut deeper, or stand proud?"),
)  # fmt: skip
HEAD = ("| Lesson | Panel | Minutes | Slider | Ask before you move it |", "| --- " * 5 + "|")


class Table(str):
    """A table in Markdown, which a notebook shows as one."""

    __slots__ = ()

    def _repr_markdown_(self) -> str:
        return str(self)

    __repr__ = str.__str__


def lesson_plan() -> Table:
    """The plan of the lessons there are; one that has no row here brings its own first question."""
    told = []
    for lesson, panel, minutes, slider, question in (r for one in lessons() for r in rows_of(one)):
        moved = slider and f"*{slider}*"
        told.append(f"| {lesson} | `{panel}` | {minutes or ''} | {moved} | {question} |")
    return Table("\n".join((*HEAD, *told)))


def rows_of(lesson: Lesson) -> list[Row]:
    """The rows of a lesson: those of the plan, or its first panel with its first question."""
    rows = [row for row in PLAN if row.lesson == lesson.number]
    if rows:
        return rows
    cells = json.loads(lesson.path.read_text(encoding="utf-8"))["cells"]
    lines = "\n".join(text_of(cell["source"]) for cell in cells if cell["cell_type"] == "code")
    panel = re.search(r"^panels\.(?!questions|ways)(\w+)\(", lines, re.MULTILINE)
    asked = re.search(r'^panels\.questions\("(\w+)"\)', lines, re.MULTILINE)
    first = practice(asked[1])[0].text if asked else lesson.title
    return [Row(lesson.number, panel[1] if panel else "", 0, "", first)]
