"""Questions with an entry for their answers: before a panel moves, and at the end of a lesson."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import ipywidgets

from tapertrig.panels.parts.answer_entry import AnswerEntry
from tapertrig.panels.parts.controls import press
from tapertrig.practice.in_lessons import LessonQuestion

SHOW = "Show me"


class Asking(ipywidgets.VBox):
    """One question: an entry that marks its answer, and a button that tells it.

    `settled` is called once, when the answer is right or told, and says which control is let go.
    Nothing of the answer is in the widget before that.
    """

    def __init__(
        self, question: LessonQuestion, settled: Callable[[LessonQuestion], str], number: str = ""
    ) -> None:
        self.question, self.done, self._next = question, False, ""
        self._settled = settled
        self.entry = AnswerEntry(f"{number}{question.words}", "Check")
        self.entry.on_answer(self.mark)
        self.entry.open_question = question.answer is None
        self.show = press(SHOW, "The answer, and how it is found")
        self.show.on_click(lambda _button: self.tell(question.solution))
        super().__init__([self.entry, *([self.show] if question.solution else [])])
        self.add_class("tapertrig-asking")

    def mark(self, text: str) -> None:
        """Mark a typed answer; a slip is named, with a hint."""
        verdict = self.question.check(text)
        if verdict.correct:
            self.tell(verdict.message)
        elif not self.done:
            self.entry.message = f"{verdict.message} {verdict.hint}".strip()

    def tell(self, words: str) -> None:
        """Say the answer and let the panel go on."""
        self.entry.message = ""
        self.show.layout.display = "none"
        if not self.done:
            self.done = True
            self.add_class("tapertrig-answered")
            if freed := self._settled(self.question):
                self._next = f" Now move “{freed}”, just below, and see."
        self.entry.told = f"{words}{self._next}"


def nothing(_question: LessonQuestion) -> str:
    """What follows an answer where nothing does."""
    return ""


def asked(
    questions: Sequence[LessonQuestion], settled: Callable[[LessonQuestion], str] = nothing
) -> list[Asking]:
    """The questions in order, numbered where there are several."""
    many = len(questions) > 1
    return [
        Asking(question, settled, f"{number}. " if many else "")
        for number, question in enumerate(questions, 1)
    ]
