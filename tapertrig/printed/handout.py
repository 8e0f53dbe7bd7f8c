"""A handout: a lesson's prose, outputs and panels as one HTML file for a phone and no internet."""

from __future__ import annotations

import base64
import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from tapertrig.printed.page import Markup, as_shown


@dataclass(frozen=True)
class Frame:
    """A picture (lossless WebP) with its words, and what the slider says at it."""

    picture: bytes
    at: str
    words: dict[str, Any]

    @cached_property
    def encoded(self) -> str:
        """The picture in base64."""
        return base64.b64encode(self.picture).decode()

    def __len__(self) -> int:
        """Bytes it takes in the file, about."""
        return len(self.encoded) + len(json.dumps(self.words)) + len(self.at) + 20


@dataclass(frozen=True)
class Stepping:
    """A panel in a handout: a still, and the frames its main slider steps through.

    Of fewer than two frames it stands still; `hidden` when the still keeps its answers.
    """

    number: int
    title: str
    still: Frame
    frames: Sequence[Frame]
    label: str
    hidden: bool


def prose(markdown: str) -> Markup:
    """A markdown cell as HTML. Markup in it is shown literally; nothing in it leads outside."""
    import mistune

    class Renderer(mistune.HTMLRenderer):
        def link(self, text: str, url: str, title: str | None = None) -> str:
            return text if text == url else f"{text} ({as_shown(url)})"

        def image(self, text: str, url: str, title: str | None = None) -> str:
            return f"[{text}]"

    return Markup(
        mistune.create_markdown(renderer=Renderer(escape=True), plugins=["table"])(markdown)
    )


def worked(source: str, outputs: Iterable[dict[str, Any]]) -> tuple[str, list[tuple[str, str]]]:
    """A worked example's line, and each text it showed with its picture (base64 of a PNG) or ""."""
    shown = []
    for output in outputs:
        bundle = output.get("data", {})
        text = text_of(output.get("text", bundle.get("text/plain", ""))).rstrip()
        shown.append((text, "".join(text_of(bundle.get("image/png", "")).split())))
    return source, [some for some in shown if any(some)]


def text_of(parts: str | list[str]) -> str:
    return parts if isinstance(parts, str) else "".join(parts)
