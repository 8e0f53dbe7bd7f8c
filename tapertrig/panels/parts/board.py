"""The board of a panel: its picture and its words, changed together."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import anywidget
import traitlets

from tapertrig.draw.parts.drawing import Drawing, Mark
from tapertrig.panels.parts.view import script, style_sheet

ANSWERS_HIDDEN = "Answers are hidden: work them out, then show them."
ANSWER_FIRST = "Answers are hidden until each question is answered."


@dataclass(frozen=True)
class Row:
    """A result as text. `answer` rows can be hidden; `mark` is "", "wide" or "warning"."""

    name: str
    value: str
    answer: bool = True
    mark: str = ""


@dataclass(frozen=True)
class Words:
    """What a picture says: one sentence for all, and rows of named results.

    `sentence` stands for the picture where it cannot be seen, so it names the present numbers;
    `given` takes its place while answers are hidden: what is given, without any result.
    """

    sentence: str
    rows: tuple[Row, ...] = field(default=())
    given: str = ""


class Board(anywidget.AnyWidget):
    """Drawing, sentence and rows in the browser. `show` changes all of them in one message.

    `room` is what the view reports: "narrow" on a phone, else "wide". `whole` is everything that
    a view needs to begin with; after that only what changes is sent: 0 for a row that holds, a
    text where only the value is another.
    """

    _esm = script("drawing", "stepping", "handles", "sight", "board")
    _css = style_sheet("drawing", "panel", "handles")

    whole = traitlets.Dict({}).tag(sync=True)
    room = traitlets.Enum(["wide", "narrow"], "wide").tag(sync=True)
    notice = traitlets.Unicode("").tag(sync=True)
    news = traitlets.Unicode("").tag(sync=True)
    stale = traitlets.Bool(False).tag(sync=True)

    def __init__(self, title: str = "") -> None:
        self.title, self.turn, self.hidden_words = title, 0, ANSWERS_HIDDEN
        self.marks: dict[str, Mark] = {}
        self.handled: dict[str, str] = {}  # controls that a handle may move: name, id of the model
        self._handles: list[Any] = []
        self.words: dict[str, Any] = {"alt": "", "sentence": "", "rows": []}
        self._drawing: Drawing | None = None
        super().__init__()

    def show(self, drawing: Drawing, state: Any, words: Words, hide: bool) -> None:
        """Put up a state with its words; with no state the words alone."""
        changed = {} if state is None else drawing.show(state, hide)
        anew = drawing.anew or drawing is not self._drawing or state is None or not self.marks
        sentence = f"{words.given} {self.hidden_words}".strip() if hide else words.sentence
        rows = [
            [row.name, "?" if hide and row.answer else row.value, row.mark] for row in words.rows
        ]
        before = self.words["rows"]
        self.words = {"alt": f"{self.title}. {sentence}", "sentence": sentence, "rows": rows}
        self.marks = {} if state is None else drawing.marks
        motions = [motion for _control, _marks, motion in self._handles]
        self._handles = [
            [self.handled[control], marks, motion]
            for control, marks, motion in drawing.handles()
            if control in self.handled and self.marks
        ]
        self.turn += 1
        self.stale = False
        if anew:
            self._drawing = drawing
            self.whole = self._whole()
        else:
            kept = [
                0 if row == old else row[1] if row[::2] == old[::2] else row
                for row, old in zip(rows, [*before, *[[]] * len(rows)], strict=False)
            ]
            news = {"marks": changed, "sentence": sentence, "rows": kept, "turn": self.turn}
            now = [motion for _control, _marks, motion in self._handles]
            self.send(news if now == motions else {**news, "motions": now})

    def _whole(self) -> dict[str, Any]:
        assert self._drawing is not None
        style = self._drawing.scene.style
        return {
            "title": self.title,
            "size": [style.width, style.height],
            "placement": style.name,
            "marks": list(self.marks.items()),
            "handles": self._handles,
            "sentence": self.words["sentence"],
            "rows": self.words["rows"],
            "turn": self.turn,
        }

    def get_state(self, key: Any = None, drop_defaults: bool = False) -> dict[str, Any]:
        """The state that a view begins with; `whole` is what is shown now."""
        state = super().get_state(key, drop_defaults)
        return {**state, "whole": self._whole()} if "whole" in state and self._drawing else state
