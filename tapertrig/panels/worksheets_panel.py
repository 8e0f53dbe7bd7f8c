"""Lesson 09: worksheets for a class, numbers of their own for each learner, and the key."""

from __future__ import annotations

import re
import time
from dataclasses import dataclass
from typing import Any

import ipywidgets

from tapertrig.draw.practice import PracticeScene, sheet_drawing
from tapertrig.panels.parts.board import Row, Words
from tapertrig.panels.parts.controls import Control, choice, entry, heading, quantity, switch
from tapertrig.panels.parts.kept_file import KeptFile
from tapertrig.practice import TOPICS, Figure, Problem
from tapertrig.printed.worksheets import (
    LARGEST_CLASS_SEED,
    MOST_LEARNERS,
    UNITS,
    answer_key,
    save_worksheet,
    worksheet,
    worksheet_problems,
)

FIRST_TOPICS = ("angle units", "setup triangle", "dials", "base zero")
MOST_PROBLEMS_EACH = 30
PAPERS = ("A4", "Letter")
KEY_ENDING = " answer key.html"


@dataclass(frozen=True)
class WorksheetsState:
    """What the controls ask for, and the first problem of the first sheet as a sample."""

    learners: int | tuple[str, ...]
    topics: tuple[str, ...]
    class_seed: int
    problems_each: int
    lengths: str
    paper: str
    sample: Problem

    @property
    def count(self) -> int:
        """How many learners there are."""
        return self.learners if isinstance(self.learners, int) else len(self.learners)


class Worksheets(KeptFile[WorksheetsState]):
    """Two HTML files: sheets for each learner with their own numbers, and the answer key."""

    title = "Worksheets"
    scene = PracticeScene
    can_hide = has_unit = False
    ending = ".html"

    def make_controls(self) -> None:
        self.learners = entry("Learners: how many, or their names", "12", "12, or Ada, Bo, Cai")
        self.class_seed = quantity("Class seed", 24, 1, LARGEST_CLASS_SEED, 1)
        self.problems_each = quantity("Problems each", 10, 1, MOST_PROBLEMS_EACH, 1)
        for topic in TOPICS:
            setattr(self, _name_of(topic), switch(topic, topic in FIRST_TOPICS))
        self.lengths = choice("Lengths in", UNITS)
        self.paper = choice("Paper", PAPERS)
        self.file_controls("File name", "worksheets", replace="", listed=False)

    def arrange(self) -> list[ipywidgets.Widget]:
        self.progress = ipywidgets.IntProgress(value=0, min=0, max=1, description="Progress")
        self.on_press(
            "Write worksheets",
            self.write,
            "Write the sheets beside this notebook",
            needs_entries=True,
        )
        topics = ipywidgets.GridBox(
            [self.controls[_name_of(topic)] for topic in TOPICS],
            layout=ipywidgets.Layout(grid_template_columns="1fr 1fr", width="100%"),
        )
        return [
            self.learners, self.class_seed, self.problems_each, heading("Topics"), topics,
            self.lengths, self.paper, self.file, self.presses, self.progress,
        ]  # fmt: skip

    def moved(self, control: Control) -> None:
        if control is not self.file:
            self.progress.value = 0
        super().moved(control)

    def read_state(self) -> WorksheetsState:
        learners = read_learners(self.learners.value)
        topics = tuple(topic for topic in TOPICS if self.controls[_name_of(topic)].value)
        if not topics:
            raise ValueError("No topic is chosen; tick at least one.")
        seed, each = round(self.class_seed.value), round(self.problems_each.value)
        lengths = self.lengths.value
        sample = worksheet_problems(1, topics, seed, 1, lengths)[0][0]
        return WorksheetsState(learners, topics, seed, each, lengths, self.paper.value, sample)

    def scene_state(self, state: WorksheetsState) -> Figure:
        return state.sample.figure

    def words(self, state: WorksheetsState) -> Words:
        of = state.count * state.problems_each
        rows = (
            Row("Topics, in turn", ", ".join(state.topics), mark="wide"),
            Row("First problem of the first sheet", state.sample.text, mark="wide"),
            Row("Its answer stands in the key as", state.sample.answer_text, mark="wide"),
        )
        sheets = "1 sheet" if state.count == 1 else f"{state.count} sheets"
        return Words(
            f"Class seed {state.class_seed}: {sheets} with {state.problems_each} problems each, "
            f"{of} in all, on {state.paper}, and the answer key in a file of its own. The same "
            "seed gives the same sheets again.",
            rows,
        )

    def write(self) -> None:
        """Write the worksheets; the progress bar runs meanwhile."""
        state = self.read_state()
        path, key = self.path(), self.path(KEY_ENDING)
        self.progress.max = state.count * state.problems_each
        begun = time.monotonic()
        asked = (state.learners, state.topics, state.class_seed, state.problems_each)
        kept: dict[str, Any] = {"unit": state.lengths, "paper": state.paper}
        text = worksheet(*asked, **kept, draw=sheet_drawing, progress=self._show_progress)
        save_worksheet(key, answer_key(*asked, **kept))
        save_worksheet(path, text)
        sheets = "1 sheet" if state.count == 1 else f"{state.count} sheets"
        self.tell(
            f"Written: {path.name}, {sheets}, and {key.name}, in {time.monotonic() - begun:.0f} s. "
            "Open each from the file list and print it."
        )

    def _show_progress(self, done: int, of: int) -> None:
        # A message for each problem would be slower than the problem.
        if done % max(1, of // 100) == 0 or done == of:
            self.progress.value = done


def read_learners(text: str) -> int | tuple[str, ...]:
    """How many learners, or their names parted by commas; ValueError when it is neither."""
    plain = text.strip()
    if re.fullmatch(r"\d{1,6}", plain, re.ASCII):
        if not 1 <= int(plain) <= MOST_LEARNERS:
            raise ValueError(
                f"Learners is {plain}; a class has 1 to {MOST_LEARNERS}, for example 12"
            )
        return int(plain)
    names = tuple(name for part in re.split(r"[,;\n]", plain) if (name := " ".join(part.split())))
    if not names:
        raise ValueError("Learners: type how many, for example 12, or their names with commas")
    if len(names) > MOST_LEARNERS:
        raise ValueError(f"Learners: {len(names)} names; {MOST_LEARNERS} at most")
    return names


def _name_of(topic: str) -> str:
    return topic.replace(" ", "_")
