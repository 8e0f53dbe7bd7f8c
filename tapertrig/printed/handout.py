"""A handout: a lesson's prose, outputs and panels as one HTML file for a phone and no internet."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from tapertrig.printed.page import Markup, as_shown, packed


@dataclass(frozen=True)
class Stop:
    """What a panel shows at a stop of its sliders: all its marks, its words, what it stands at."""

    marks: dict[str, Any]
    at: str
    words: dict[str, Any]


@dataclass(frozen=True)
class Stepping:
    """A panel in a handout: a still, and the stops of its main slider and perhaps of a second.

    `grid` has the stops of the main slider one after another, in a row for each stop of the second
    one; a place whose values make no picture is None. `here` is where the lesson's own values
    stand: row, place. `drawing` is the still as SVG; `shown` is the drawing that the sliders
    change, another one where the still keeps its answers. `asks` are the questions that come
    before it. Of fewer than two stops it stands still. `only` says what only the lesson can do;
    `steps` are those a hand takes there, numbered.
    """

    number: int
    title: str
    still: Stop
    drawing: Markup
    asks: Sequence[Any] = ()
    label: str = ""
    grid: Sequence[Sequence[Stop | None]] = ()
    here: tuple[int, int] = (0, 0)
    second: str = ""
    at_second: Sequence[str] = ()
    shown: Markup | None = None
    only: str = ""
    steps: Sequence[tuple[str, str]] = ()

    @property
    def course(self) -> tuple[list[str], list[list[str]]]:
        """Head and rows of a table of what a hand did and what stood there after each step.

        Only of a panel whose slider is the step; a column is a reading that changes.
        """
        if self.label != "Step":
            return [], []
        stops = [stop for stop in self.grid[self.here[0]] if stop]
        read = [{name: shown for name, shown, _mark in stop.words["rows"]} for stop in stops]
        seen = {name: {one[name] for one in read} for name in read[0]}
        names = [
            name
            for name, all_of_it in seen.items()
            if len(all_of_it) > 1 and any(map(str.isdigit, "".join(all_of_it)))
        ]
        rows = [
            [stop.at, *(one[name] for name in names), stop.words["sentence"].partition(". ")[2]]
            for stop, one in zip(stops, read, strict=True)
        ]
        return ["Step", *(name.partition(" (")[0] for name in names), "What was done"], rows

    @property
    def told(self) -> Stop:
        """What answers a still that keeps its answers: at the end where it goes by steps."""
        last = self.grid[self.here[0]][-1] if self.label == "Step" else None
        return last or self.first

    @property
    def along(self) -> list[str]:
        """What the main slider says at each of its stops."""
        return [stop.at for stop in self.grid[self.here[0]] if stop] if self.grid else []

    @property
    def first(self) -> Stop:
        """The stop where the lesson's own values stand."""
        found = self.grid[self.here[0]][self.here[1]]
        assert found is not None
        return found

    def main_alone(self) -> Stepping:
        """With the main slider alone, the second one where the lesson has it."""
        row, place = self.here
        return replace(self, grid=[self.grid[row]], here=(0, place), second="", at_second=[""])

    @cached_property
    def packed(self) -> str:
        """All stops as deflated JSON in base64: each as what differs from the first."""
        first = self.first.marks
        grid = [
            [
                stop
                and [
                    stop.at,
                    {key: mark for key, mark in stop.marks.items() if mark != first[key]},
                    stop.words["sentence"],
                    stop.words["rows"],
                ]
                for stop in row
            ]
            for row in self.grid
        ]
        return packed({"marks": first, "grid": grid, "second": self.at_second, "here": self.here})


def prose(markdown: str) -> Markup:
    """A markdown cell as HTML. Markup in it is shown literally; nothing in it leads outside."""
    import mistune

    class Renderer(mistune.HTMLRenderer):
        def link(self, text: str, url: str, title: str | None = None) -> str:
            return text if text == url or url.startswith("#") else f"{text} ({as_shown(url)})"

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
