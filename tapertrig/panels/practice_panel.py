"""Lesson 08: practice without end, with a check that recognises the usual mistakes."""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import ipywidgets

from tapertrig.draw.practice import PracticeScene
from tapertrig.panels.parts.answer_entry import AnswerEntry
from tapertrig.panels.parts.board import Row, Words
from tapertrig.panels.parts.class_box import class_box
from tapertrig.panels.parts.controls import Control, choice, entry
from tapertrig.panels.parts.kept_file import KeptFile
from tapertrig.panels.parts.panel import unit_at_start
from tapertrig.practice import TOPICS, Figure
from tapertrig.practice.record import LONGEST_NAME, Entry, Record, keep_as_found, load_record
from tapertrig.practice.session import Session

IN_TURN = "all topics in turn"
LARGEST_SEED = 10**15


class Practice(KeptFile[Session]):
    """One problem after another: picture, question, typed answer, what went wrong, a record.

    `unit` is that of the first problem; the problems after it alternate between inch and
    millimetre. `topic` is one of the topics or "all topics in turn", `seed` the number of the
    first problem.
    """

    title = "Practice"
    scene = PracticeScene
    can_hide = has_unit = False
    ending = ".csv"
    clock: Callable[[], float] = staticmethod(time.monotonic)

    def __init__(
        self,
        topic: str | None = None,
        seed: int | None = None,
        unit: str | None = None,
        **settings: Any,
    ) -> None:
        self._topic = topic or IN_TURN
        self._seed = (1 if unit_at_start(unit) == "mm" else 2) if seed is None else seed
        if self._topic not in (IN_TURN, *TOPICS):
            raise ValueError(
                f"topic is {self._topic!r}; it must be one of {IN_TURN}, {', '.join(TOPICS)}"
            )
        first = TOPICS[0] if self._topic == IN_TURN else self._topic
        self.session = Session(first, _read_seed(str(self._seed)))
        self._begun = self.clock()
        self._kept: Path | None = None
        self._before: Path | None = None
        self._unsaved = 0
        super().__init__(unit=unit, **settings)

    def make_controls(self) -> None:
        self.topic = choice("Topic", [IN_TURN, *TOPICS], self._topic)
        self.seed = entry("Problem number", str(self.session.seed))
        self.answer = AnswerEntry("Your answer", "Check")
        self.answer.on_answer(lambda text: self._pressed(lambda: self.take_answer(text)))
        self.file_controls("Record file", placeholder="my record", replace="")
        self.name = entry("Your name, if you like")

    def arrange(self) -> list[ipywidgets.Widget]:
        self.on_press("Next problem", self.next_problem, "The next problem not yet solved")
        save = self.make_press("Save record", self.save_file, needs_entries=True)
        hint = "Add the answers of the record open before to this one"
        files = ipywidgets.Box([save, self.make_press("Join records", self.join_records, hint)])
        files.add_class("tapertrig-buttons")
        self.look()
        return [
            self.topic, self.seed, self.answer, self.presses, self.there, self.file, self.name,
            files,
        ]  # fmt: skip

    def begin_again(self) -> None:
        """The problem that the lesson began with; the record goes on."""
        first = TOPICS[0] if self._topic == IN_TURN else self._topic
        self._go(self.session.at(first, _read_seed(str(self._seed))))

    # -- one state ------------------------------------------------------------------------

    def read_state(self) -> Session:
        return self.session

    def scene_state(self, state: Session) -> Figure:
        return state.problem.figure

    def words(self, state: Session) -> Words:
        feedback, problem = state.feedback, state.problem
        rows = []
        if feedback.message:
            rows.append(Row("Question", problem.text, mark="wide"))
        if feedback.solution:
            steps = feedback.solution.replace("\n", " ")
            rows.append(Row("Worked solution", steps, mark="wide"))
        rows.append(Row("Problem", f"{state.topic}, number {state.seed}", mark="wide"))
        rows.append(Row("Your record", state.score, mark="wide"))
        if box := class_box(self.here):
            rows.append(Row("Class box", box.said, mark="wide"))
        said = f"{feedback.message} {feedback.hint}".strip()
        return Words(said or problem.text, tuple(rows))

    def moved(self, control: Control) -> None:
        if control is self.topic:
            if control.value != IN_TURN:
                self._go(self.session.in_topic(control.value))
        elif control is self.seed:
            self.board.notice = ""
            self.guard(self._go_to_number)
        elif control in (self.file, self.name):
            self.board.notice = ""
            self.guard(self._take_file if control is self.file else self._take_name)
        elif control is not self.answer:
            super().moved(control)

    def _go(self, session: Session) -> None:
        """Put up another problem."""
        self.session = session
        self._begun = self.clock()
        with self.quiet():
            self.seed.value = str(session.seed)
        self.answer.clear()
        self.render()

    def _go_to_number(self) -> None:
        seed = _read_seed(self.seed.value)
        self._go(self.session.at(self.session.topic, seed))

    def _take_name(self) -> None:
        name = " ".join(self.name.value.split())[:LONGEST_NAME]
        record = replace(self.session.record, name=name)
        self.session = replace(self.session, record=record)
        self._keep()

    # -- what a learner does --------------------------------------------------------------

    def take_answer(self, text: str) -> None:
        """Check a typed answer; keep it in the record file, if one is named."""
        before = self.session
        now = self.clock()
        self.session = before.answer(text, now - self._begun)
        verdict = self.session.verdict
        self.answer.message = (
            f"{verdict.message}. It was not counted as a try."
            if verdict is not None and not verdict.understood
            else ""
        )
        if self.session.record is not before.record:
            self._begun = now
            self._unsaved += 1
            self._to_box(self.session.record.entries[-1:])
        self.render()
        if self.session is before:
            right = before.solved
            self.tell(
                "This one is right already: go on with Next problem."
                if right
                else "That was your last answer; it was not counted again."
            )
        elif self._unsaved:
            self._keep()

    def next_problem(self) -> None:
        """The next problem of the topic, or of the next topic in turn."""
        self._go(self.session.following(self.topic.value == IN_TURN))

    # -- the record -----------------------------------------------------------------------

    def _to_box(self, entries: tuple[Entry, ...]) -> None:
        """Give answers to the class box, where a school's hub has one."""
        if box := class_box(self.here):
            box.take(replace(self.session.record, entries=entries))

    def _keep(self) -> None:
        """Save after each answer, once the learner has named a file."""
        if self.file.value.strip() and self.session.record.entries:
            self._write(self.path())

    def _write(self, path: Path) -> None:
        record = self.session.record
        if path != self._kept and path.exists():
            self._of_one_learner(load_record(path).record, path)
            own = record.entries[len(record.entries) - self._unsaved :]
            record = replace(record, entries=own, called="")
        self.session = replace(self.session, record=record.add_to(path))
        self._kept, self._unsaved = path, 0

    def _of_one_learner(self, record: Record, path: Path) -> None:
        mine = self.session.record.name
        if mine and record.name and mine != record.name:
            raise ValueError(
                f"{path.name} is the record of {record.name}, and these answers are {mine}’s: "
                "they are not put together; type another file name, or the name as it is there"
            )

    def _take_file(self) -> None:
        """Go on with the record of the typed name, or begin it."""
        if not self.file.value.strip() or self.path() == self._kept:
            return
        path = self.path()
        if path.exists():
            self.load_file()
        elif self._unsaved:
            self._write(path)
            self.tell(f"Your answers are kept in {path.name} from now on.")
        elif self._kept:
            left, self._before, self._kept = self._kept, self._kept, None
            with self.quiet():
                self.name.value = ""
            self._go(Session(self.session.topic, self.session.seed))
            self.tell(f"A new record begins in {path.name}; {left.name} is kept as it is.")

    def join_records(self) -> None:
        """Add the answers of the record open before to the one open now."""
        if self._before is None:
            raise ValueError(
                "only one record was open so far; type the name of one, then of the other, then "
                "press Join records"
            )
        other, path = load_record(self._before).record, self.path()
        self._of_one_learner(other, self._before)
        count, record = len(self.session.record.entries), self.session.record.joined(other)
        self.session = replace(self.session, record=record)
        self._unsaved += len(record.entries) - count
        self._write(path)
        self.render()
        self.tell(
            f"{path.name} holds the answers of {self._before.name} too, "
            f"{len(self.session.record.entries)} in all; {self._before.name} is kept as it is."
        )

    def write_file(self, path: Path, replace: bool) -> str:
        """Write the record beside the notebook."""
        self._write(path)
        return "; each further answer is added as you give it"

    def read_file(self, path: Path) -> str:
        """Go on where a saved record ends; answers that are in no file yet are added to it."""
        loaded = load_record(path)
        added = self._unsaved
        if added:
            self._write(path)
        else:
            self._before, self._kept = self._kept or self._before, path
            topic = None if self.topic.value == IN_TURN else self.topic.value
            self._go(self.session.with_record(loaded.record, topic))
        record = self.session.record
        self._to_box(record.entries)
        with self.quiet():
            self.name.value = record.name
        called = f" of the record “{record.called}”" if record.called not in ("", path.stem) else ""
        said = f": {_answers(len(record.entries))}{called}"
        if added:
            said += f", {_answers(added)} of them added just now"
        if loaded.skipped:
            copy = keep_as_found(path)
            said += f". {' '.join(loaded.skipped)} The file as it was is kept as {copy}"
        if self._before and not added:
            said += f". Join records adds those of {self._before.name}"
        return said


def _answers(count: int) -> str:
    return f"{count} answer{'' if count == 1 else 's'}"


def _read_seed(text: str) -> int:
    if not re.fullmatch(r"\s*\d{1,15}\s*", text, re.ASCII) or int(text) > LARGEST_SEED:
        raise ValueError(
            f"Problem number: “{text.strip()[:40]}” is no whole number; write it as 7 or 120301"
        )
    return int(text)
