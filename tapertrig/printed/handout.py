"""A handout: a lesson's prose, outputs and panels as one HTML file for a phone and no internet."""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from markupsafe import Markup as Html

from tapertrig.printed.page import as_shown as escape
from tapertrig.printed.page import block

HERE = Path(__file__).with_name("templates")
SCRIPT = (HERE / "handout.js").read_text(encoding="utf-8")
STYLE = (HERE / "handout.css").read_text(encoding="utf-8")
ABOUT = (
    "A handout to read without a network. Each picture steps through its main slider, in frames "
    "made beforehand; the lesson itself has every control, and is opened with"
)
THERE_AND_BACK = "Moves there and back, in order: what came before counts here."
STANDS_STILL = "This picture stands still here; it answers in the lesson."


@dataclass(frozen=True)
class Frame:
    """A picture (lossless WebP) with its words, and what the slider says at it."""

    picture: bytes
    at: str
    words: dict[str, Any]

    def __len__(self) -> int:
        """Bytes it takes in the file, about."""
        return len(self.picture) * 4 // 3 + len(json.dumps(self.words)) + len(self.at) + 20


def prose(markdown: str) -> Html:
    """A markdown cell as HTML. Markup in it is shown literally; nothing in it leads outside."""
    import mistune

    class Renderer(mistune.HTMLRenderer):
        def link(self, text: str, url: str, title: str | None = None) -> str:
            return text if text == url else f"{text} ({escape(url)})"

        def image(self, text: str, url: str, title: str | None = None) -> str:
            return f"[{text}]"

    return Html(
        mistune.create_markdown(renderer=Renderer(escape=True), plugins=["table"])(markdown)
    )


def worked(source: str, outputs: Iterable[dict[str, Any]]) -> Html:
    """What a cell showed when the lesson was last run, and the line that computed it."""
    shown = []
    for output in outputs:
        bundle = output.get("data", {})
        text = text_of(output.get("text", bundle.get("text/plain", "")))
        if "image/png" in bundle:
            png = "".join(text_of(bundle["image/png"]).split())
            shown.append(Html(f'<img alt="{escape(text)}" src="data:image/png;base64,{png}">'))
        elif text:
            shown.append(Html(f"<pre>{escape(text.rstrip())}</pre>"))
    if not shown:
        return Html("")
    line = f"<details><summary>The line that computes it</summary><pre>{escape(source)}</pre>"
    return Html(f'<div class="worked">{Html().join(shown)}{line}</details></div>')


def text_of(parts: str | list[str]) -> str:
    return parts if isinstance(parts, str) else "".join(parts)


def panel_html(number: int, panel: Any, still: Frame, frames: list[Frame], hidden: bool) -> Html:
    title = panel.title or type(panel).__name__
    if len(frames) < 2:
        return _figure(title, still, note=STANDS_STILL)
    label = panel.controls[panel.main].label
    note = THERE_AND_BACK if len({frame.at for frame in frames}) < len(frames) else ""
    if not hidden:
        return _figure(title, still, frames, label, number, note)
    # Prediction first: the still keeps its answers, and the frames are behind a fold.
    answers = _figure(title, frames[_start(frames, still)], frames, label, number, note)
    return Html(
        f"{_figure(title, still)}<details><summary>Show the answers: {escape(title)}</summary>"
        f"{answers}</details>"
    )


def _start(frames: Sequence[Frame], still: Frame) -> int:
    return next(index for index, frame in enumerate(frames) if frame.at == still.at)


def _figure(
    title: str,
    still: Frame,
    frames: Sequence[Frame] = (),
    label: str = "",
    number: int = 0,
    note: str = "",
) -> Html:
    """A panel's picture and words in plain HTML, and the slider that a script makes work."""
    words = still.words
    rows = "".join(
        f'<div class="{escape(mark)}"><dt>{escape(name)}</dt><dd>{escape(value)}</dd></div>'
        for name, value, mark in words["rows"]
    )
    source = f"data:image/webp;base64,{base64.b64encode(still.picture).decode()}"
    slider = data = ""
    if frames:
        place = _start(frames, still)
        listed = [
            [
                "" if index == place else base64.b64encode(frame.picture).decode(),
                frame.at,
                frame.words["alt"],
                frame.words["sentence"],
                frame.words["rows"],
            ]
            for index, frame in enumerate(frames)
        ]
        text = json.dumps(listed, ensure_ascii=False, separators=(",", ":"))
        data = f'<script type="application/json">{text.replace("<", chr(92) + "u003c")}</script>'
        slider = (
            f'<div class="slider" hidden><label for="slider-{number}">{escape(label)}</label>'
            f'<span class="at">{escape(still.at)}</span>'
            f'<input id="slider-{number}" aria-label="{escape(label)}, {escape(title)}"'
            f' type="range" min="0" max="{len(frames) - 1}" step="1"'
            f' value="{place}" aria-valuetext="{escape(still.at)}" autocomplete="off"></div>'
        )
    below = block("paragraph", note) if note else ""
    return Html(
        f'<figure class="panel"><div class="held"><img width="1280" height="720"'
        f' alt="{escape(words["alt"])}" src="{source}">{slider}</div>'
        f'<figcaption><p class="sentence">{escape(words["sentence"])}</p>'
        f'<dl>{rows}</dl>{below}</figcaption><div class="spoken" role="status"></div>'
        f"{data}</figure>\n"
    )


def document(number: str, title: str, blocks: Iterable[Html]) -> str:
    digest = base64.b64encode(hashlib.sha256(SCRIPT.encode()).digest()).decode()
    command = f"python -m tapertrig {number}"
    return f"""<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; img-src data:; \
style-src 'unsafe-inline'; script-src 'sha256-{digest}'">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{escape(number)} · {escape(title)}</title>
<style>{STYLE}</style>
</head>
<body>
<main>
<p class="about">{escape(ABOUT)} <code>{escape(command)}</code>.</p>
<p class="about" id="blocked">Scripts are blocked here, so each picture stands still.</p>
{Html(chr(10)).join(blocks)}
</main>
<script>{SCRIPT}</script>
</body>
</html>
"""
