"""A handout: a lesson's prose, outputs and panels as one HTML file for a phone and no internet."""

from __future__ import annotations

import base64
import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from tapertrig.printed.page import Markup, as_shown, page


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
    frames: Sequence[Frame] = ()
    label: str = ""
    hidden: bool = False

    @property
    def there_and_back(self) -> bool:
        """Whether the slider comes past the same value twice."""
        return len({frame.at for frame in self.frames}) < len(self.frames)

    @property
    def place(self) -> int:
        """Which frame the still is."""
        return next(n for n, frame in enumerate(self.frames) if frame.at == self.still.at)

    @property
    def listed(self) -> list[list[Any]]:
        """Picture, place, alternative, sentence and rows of each frame; the still's is there."""
        return [
            [
                "" if place == self.place else frame.encoded,
                frame.at,
                *(frame.words[name] for name in ("alt", "sentence", "rows")),
            ]
            for place, frame in enumerate(self.frames)
        ]


@dataclass(frozen=True)
class Worked:
    """The line of a worked example, and what it showed: texts, each with a PNG (base64) or ""."""

    line: str
    shown: Sequence[tuple[str, str]]


Part = Markup | Worked | Stepping
KINDS = {Markup: "prose", Worked: "worked", Stepping: "panel"}


def handout_page(number: str, title: str, parts: Iterable[Part]) -> str:
    """The whole document of a lesson."""
    return page(
        "handout.html",
        title=f"{number} · {title}",
        script="handout.js",
        number=number,
        parts=[(KINDS[type(part)], part) for part in parts],
    )


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


def worked(source: str, outputs: Iterable[dict[str, Any]]) -> Worked | None:
    """What a cell showed when the lesson was last run; None when it showed nothing."""
    shown = []
    for output in outputs:
        bundle = output.get("data", {})
        text = text_of(output.get("text", bundle.get("text/plain", ""))).rstrip()
        png = "".join(text_of(bundle.get("image/png", "")).split())
        if png or text:
            shown.append((text, png))
    return Worked(source, shown) if shown else None


def text_of(parts: str | list[str]) -> str:
    return parts if isinstance(parts, str) else "".join(parts)
