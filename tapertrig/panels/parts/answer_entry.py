"""The entry for a typed answer, with its button."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import anywidget
import traitlets

from tapertrig.panels.parts.view import script

LONGEST_TEXT = 500


class AnswerEntry(anywidget.AnyWidget):
    """A line of text that is sent when Enter or its button is pressed, never half typed.

    `on_answer(action)` names what takes the text; `answer(text)` does what Enter does. `message`
    stands below the entry, for a text that was no answer or a wrong one, `told` for what is right.
    An open question has nothing to type into.
    """

    _esm = script("answer")
    _css = """
    .tapertrig-quantity.tapertrig-answer { grid-template-columns: 1fr auto; gap: 2px 8px; }
    .tapertrig-answer label { grid-column: 1 / -1; font-weight: 600; }
    .tapertrig-quantity.tapertrig-answer input[type="text"] { width: auto; min-width: 0;
      text-align: left; min-height: 2.1em; }
    """

    label = traitlets.Unicode().tag(sync=True)
    button = traitlets.Unicode().tag(sync=True)
    text = traitlets.Unicode().tag(sync=True)
    message = traitlets.Unicode().tag(sync=True)
    told = traitlets.Unicode().tag(sync=True)
    open_question = traitlets.Bool(False).tag(sync=True)
    clearings = traitlets.Int(0).tag(sync=True)
    # Panels watch the value of each of their controls.
    value = traitlets.Unicode()

    def __init__(self, label: str, button: str) -> None:
        super().__init__(label=label, button=button)
        self._take: Callable[[str], None] | None = None
        self.on_msg(self._hear)

    def on_answer(self, action: Callable[[str], None]) -> None:
        """What to do with an answer."""
        self._take = action

    def answer(self, text: str) -> None:
        """Take a text as if it had been typed and Enter pressed."""
        self.text = text
        if self._take is not None:
            self._take(text)

    def clear(self) -> None:
        """Empty the entry for another problem."""
        with self.hold_sync():
            self.text = self.message = self.told = ""
            self.clearings += 1

    def _hear(self, _widget: object, content: dict[str, Any], _buffers: object) -> None:
        if isinstance(content.get("answer"), str):
            self.answer(content["answer"][:LONGEST_TEXT])
