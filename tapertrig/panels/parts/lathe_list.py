"""Lathes to choose from: those of the lathe book and the invented ones, the same in every panel.

class Triangle(LatheList[TriangleState]):
    def make_controls(self) -> None:
        self.lathe_list()                    # self.lathe, a choice of names
        …

    def lathe_picked(self, lathe: Lathe) -> None:
        self.base_zero.value = lathe.base_zero      # what is not given is None: say so, never fill

    def read_state(self) -> TriangleState:
        lathe = self.picked_lathe()          # a Lathe; None where the name stands for none
        radius = needed(lathe, "base_radius")       # or a ValueError that says how to find it

The list follows the book while the panel stands: `book_changed()` tells every panel here, and
picking looks into the file again.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any
from weakref import WeakSet

from tapertrig import demo
from tapertrig.lathe import Lathe
from tapertrig.lathe_book import HOW_TO_FIND, LatheBook
from tapertrig.panels.parts.controls import Control, Field, choice, or_not_given
from tapertrig.panels.parts.panel import Panel, State

_FOLLOWING: WeakSet[Any] = WeakSet()


def book_changed() -> None:
    """The lathe book has been written to: every list of lathes in this notebook looks again."""
    for panel in tuple(_FOLLOWING):
        panel.guard(panel.look_in_the_book)


def follow_the_book(panel: Any) -> None:
    """From now on `panel.look_in_the_book()` is called whenever the book has been written to."""
    _FOLLOWING.add(panel)


def needed(lathe: Lathe, figure: str) -> Any:
    """A figure of a lathe, by its name in `Lathe`; not given: ValueError saying how to find it."""
    value = getattr(lathe, figure)
    if value is None:
        what, how = HOW_TO_FIND[figure]
        whose = f"“{lathe.name}”" if lathe.name else "this lathe"
        raise ValueError(f"{what} of {whose} is not given. {how}")
    return value


class LatheList(Panel[State]):
    """A panel with a choice of lathes, by name: `lathe_list` makes it, `picked_lathe` answers.

    `folder` is that of the lathe book, the notebook's own unless said otherwise. The panel takes
    the unit of the lathe picked.
    """

    folder: Path | None = None
    lathe: Field[Any]

    def lathe_list(
        self,
        label: str = "Lathe",
        *,
        first: Iterable[str] = (),
        last: Iterable[str] = (),
        optional: bool = False,
        start: str | None = None,
    ) -> None:
        """Make the choice `self.lathe`; its value is a name, None for not given if `optional`.

        `first` and `last` are further names, which stand for no kept lathe. It starts with
        `start`, or the first of `first`, not given, or the first invented lathe of the unit.
        """
        self._ends, self._optional = (tuple(first), tuple(last)), optional
        self.lathes: dict[str, Lathe] = {}
        self.book, self.book_trouble = LatheBook(), ""
        self.lathe = choice(label, self._options(None))
        if start is not None:
            self.lathe.value = start
        elif not self._ends[0] and not optional:
            names = (one.name for one in demo.LATHES.values() if one.unit == self.unit)
            self.lathe.value = next(names)
        self._picked_before = self.lathe.value
        follow_the_book(self)

    def picked_lathe(self) -> Lathe | None:
        """The lathe picked, of the book or invented; None where none is."""
        return self.lathes.get(self.lathe.value)

    def lathe_picked(self, lathe: Lathe | None) -> None:
        """Put what is known of the lathe into controls; nothing is drawn meanwhile."""

    def unit_changed(self, before: Mapping[str, Any]) -> None:
        # Dials are read in their own unit: another unit is another lathe.
        made, lathe = self._picked_before, self.picked_lathe()
        if lathe and lathe.unit != self.unit:
            self.lathe.value = made
        self._picked_before = self.lathe.value
        now = self.picked_lathe()
        if lathe and (now is None or lathe not in demo.LATHES.values()):
            self.lathe_picked(now)

    def look_in_the_book(self) -> None:
        """List what the book holds now; where the lathe picked has changed, take it anew."""
        before = self.picked_lathe()
        self._list()
        if self.picked_lathe() != before:
            with self.quiet():
                self.lathe_picked(self.picked_lathe())
            self.render()
        self.board.news = self.book_trouble or self.board.news

    def _list(self) -> None:
        picked, options = self.lathe.value, self._options(self.picked_lathe())
        if tuple(options) != tuple(self.lathe.options):
            with self.quiet():
                self.lathe.options = options
                self.lathe.value = picked

    def _options(self, picked: Lathe | None) -> list[Any]:
        """All names; a lathe that is picked stays, though the book no longer has it."""
        self.book_trouble = ""
        try:
            self.book = LatheBook.of_folder(self.folder or Path.cwd())
        except ValueError as trouble:
            self.book, self.book_trouble = LatheBook(), f"The lathe book is left out: {trouble}."
        gone = {} if picked is None else {picked.name: picked}
        self.lathes = {**gone, **demo.LATHES, **self.book}
        first, last = self._ends
        names = [*first, *dict.fromkeys((*self.book, *demo.LATHES, *gone)), *last]
        return or_not_given(names) if self._optional else names

    def _take_picked(self) -> None:
        lathe = self.picked_lathe()
        if lathe and self.has_unit:
            self.to_unit(lathe.unit)
        self.lathe_picked(lathe)
        self._picked_before = self.lathe.value

    def _start(self, name: str, value: Any) -> None:
        super()._start(name, value)
        if name == "lathe":
            self._take_picked()

    def moved(self, control: Control) -> None:
        """A lathe has been picked, or anything else has moved."""
        if control is self.lathe:
            try:
                self._list()
                with self.all_or_nothing():
                    self._take_picked()
            except ValueError as wrong:
                with self.quiet():
                    self.lathe.value = self._picked_before
                self.board.notice = str(wrong)
                return
        super().moved(control)

    def render(self, cause: Control | None = None) -> None:
        """Draw; a book that cannot be read is told of."""
        super().render(cause)
        if self.book_trouble:
            self.board.news = self.book_trouble
