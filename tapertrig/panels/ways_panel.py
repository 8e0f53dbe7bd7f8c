"""The way to the lesson before, the lesson after and the list of all: `panels.ways("03")`."""

from __future__ import annotations

from typing import Any

import anywidget
import traitlets

from tapertrig.panels.parts.view import script

WORDS = "Previous lesson · All lessons · Next lesson"


class Ways(anywidget.AnyWidget):
    """Links beside a lesson; each opens live. Which lessons there are, the server knows."""

    _esm = script("ways")
    lesson = traitlets.Unicode().tag(sync=True)

    def __init__(self, lesson: str) -> None:
        super().__init__(lesson=lesson)

    def __repr__(self) -> str:
        return WORDS

    def _repr_mimebundle_(self, **settings: Any) -> tuple[dict[str, Any], dict[str, Any]]:
        shown = super()._repr_mimebundle_(**settings)
        bundle, metadata = shown if isinstance(shown, tuple) else (shown or {}, {})
        return {**bundle, "text/plain": WORDS}, metadata
