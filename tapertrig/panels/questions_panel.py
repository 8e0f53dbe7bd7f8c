"""The questions at the end of a lesson: `panels.questions("03")`."""

from __future__ import annotations

from html import escape
from typing import Any

import ipywidgets

from tapertrig.panels.parts.asking import asked
from tapertrig.practice.in_lessons import practice


class Questions(ipywidgets.VBox):
    """The questions of a lesson: each is marked in place, and its answer told when asked for.

    Without a kernel each answer folds out below its question.
    """

    def __init__(self, lesson: str) -> None:
        self.questions = practice(lesson)
        super().__init__(asked(self.questions))
        self.add_class("tapertrig-panel")

    def __repr__(self) -> str:
        lines = [f"{number}. {one.words}" for number, one in enumerate(self.questions, 1)]
        told = [f"{number}. {one.solution}" for number, one in enumerate(self.questions, 1)]
        return "\n".join([*lines, "", "Answers:", *told])

    def _repr_html_(self) -> str:
        items = "".join(
            f"<li><p>{escape(one.words)}</p><details><summary>Answer</summary>"
            f"<p>{escape(one.solution)}</p></details></li>"
            for one in self.questions
        )
        return f'<ol class="tapertrig-questions">{items}</ol>'

    def _repr_mimebundle_(self, **settings: Any) -> tuple[dict[str, Any], dict[str, Any]]:
        shown = super()._repr_mimebundle_(**settings)
        bundle, metadata = shown if isinstance(shown, tuple) else (shown, {})
        return {**bundle, "text/html": self._repr_html_(), "text/plain": repr(self)}, metadata
