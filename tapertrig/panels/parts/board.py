"""The board of a panel: its picture and its words, changed together."""

from __future__ import annotations

from dataclasses import dataclass, field

import anywidget
import traitlets

from tapertrig.panels.parts.view import script, style_sheet

ANSWERS_HIDDEN = "Answers are hidden: work them out, then show them."


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
    """Image, sentence and rows in the browser. `show` changes all of them in one message."""

    _esm = script("board")
    _css = style_sheet()

    frame = traitlets.Bytes(b"").tag(sync=True)
    size = traitlets.List([1280, 720]).tag(sync=True)
    words = traitlets.Dict({"alt": "", "sentence": "", "rows": []}).tag(sync=True)
    notice = traitlets.Unicode("").tag(sync=True)
    news = traitlets.Unicode("").tag(sync=True)
    stale = traitlets.Bool(False).tag(sync=True)
    turn = traitlets.Int(0).tag(sync=True)

    def show(self, frame: bytes, size: tuple[int, int], words: Words, hide: bool, title: str):
        """Put up a new frame with its words."""
        sentence = f"{words.given} {ANSWERS_HIDDEN}".strip() if hide else words.sentence
        rows = [
            [row.name, "?" if hide and row.answer else row.value, row.mark] for row in words.rows
        ]
        with self.hold_sync():
            self.frame = frame
            self.size = list(size)
            self.words = {"alt": f"{title}. {sentence}", "sentence": sentence, "rows": rows}
            self.stale = False
            self.turn += 1
