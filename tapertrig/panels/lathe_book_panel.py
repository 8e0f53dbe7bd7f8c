"""The lathe book: the lathes you stand at, described once, and how each figure is found."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from html import escape
from pathlib import Path
from typing import Any

import ipywidgets

from tapertrig import cautions, demo
from tapertrig.draw.lathe_book import LatheBookScene, LatheShown
from tapertrig.lathe import UNIT_WORDS, Lathe, in_unit
from tapertrig.lathe_book import FILE_NAME, HOW_TO_FIND, LatheBook, same_name
from tapertrig.panels.parts.board import Row, Words
from tapertrig.panels.parts.controls import Control, choice, entry, quantity
from tapertrig.panels.parts.lathe_entries import LENGTHS, LatheEntries, entries_of
from tapertrig.panels.parts.lathe_list import book_changed, follow_the_book

NEW = "a new lathe"
# The controls as they are shown, and which figure's experiment is told after each.
ORDER = {
    "there": "", "lathe_name": "", "lathe_unit": "", "reach": "compound_reach",
    "compound_graduation": "", "compound_per_turn": "", "compound_reads": "compound_dial",
    "cross_graduation": "", "cross_per_turn": "", "cross_reads": "cross_dial",
    "base_zero": "base_zero", "base_radius": "base_radius", "parked": "parked",
    "compound_backlash": "", "compound_backlash_measured": "compound_backlash",
    "cross_backlash": "", "cross_backlash_measured": "cross_backlash", "slope": "quill_slope",
}  # fmt: skip
TEXTS = ("parked", "compound_backlash_measured", "cross_backlash_measured")


@dataclass(frozen=True)
class Described:
    """The lathe as it is described so far; no `lathe` yet while a dial is not."""

    shown: LatheShown
    lathe: Lathe | None


class LatheBookPanel(LatheEntries[Described]):
    """Make, copy, change and remove the lathes of the book in this folder."""

    title = "Lathe book"
    scene = LatheBookScene
    can_hide = has_unit = False  # a lathe has a unit of its own

    def make_controls(self) -> None:
        self.add_class("tapertrig-controls-first")
        self.path, self.book = Path.cwd() / FILE_NAME, LatheBook()
        self.there = choice("In the book", [NEW])
        self.lathe_name = entry("Lathe's name", "", "as the shop calls it")
        self.lathe_entries(self.unit)
        self.parked = entry("How the slide is parked", "", "how far back, which gibs nipped")
        self.compound_backlash_measured = entry("Compound backlash, day", "", "2026-11-26")
        self.cross_backlash_measured = entry("Cross backlash, day", "", "2026-11-26")
        self.slope = quantity(
            "Quill's slope, thousandths of its length", None, -20, 20, 0.01, "‰",
            hint="+ where it comes towards you as it goes to the headstock", optional=True,
        )  # fmt: skip

    def arrange(self) -> list[ipywidgets.Widget]:
        hint = "Add it, or change or rename the one picked"
        self.on_press("Keep in the book", self.keep, hint, needs_entries=True)
        hint = "A further lathe, under the name typed"
        self.on_press("Keep as a copy", self.keep_copy, hint, needs_entries=True)
        self.on_press("Remove from the book", self.remove, "Its figures stay here")
        try:
            self._read(LatheBook.of_folder(self.path.parent).names[:1])
        except ValueError as trouble:
            self.tell(f"{trouble}.")
        follow_the_book(self)
        placed: list[ipywidgets.Widget] = []
        for name, figure in ORDER.items():
            placed.append(self.controls[name])
            if figure:
                placed.append(_experiment(*HOW_TO_FIND[figure]))
        placed.insert(3, ipywidgets.HTML(f"<p>{escape(' '.join(cautions.MACHINE[:2]))}</p>"))
        return [*placed, self.presses]

    def begin_again(self) -> None:
        self._read([self.there.value])

    def _read(self, picked: Iterable[str]) -> None:
        """Read the book anew and show the lathe picked."""
        self.book = LatheBook.of_folder(self.path.parent)
        self._list(self.book, *picked)
        self.show(self.book.get(self.there.value))

    def _list(self, book: LatheBook, picked: str = NEW) -> None:
        with self.quiet():
            self.there.options = [NEW, *book.names]
            self.there.value = picked if picked in book else NEW

    def look_in_the_book(self) -> None:
        """List what another panel has put there; what is being described here stays as it is."""
        self._list(LatheBook.of_folder(self.path.parent), self.there.value)

    def keep(self) -> None:
        """Add the lathe described to the book, or change or rename the one picked."""
        lathe, picked, book = self.described(), self.there.value, self.book
        if picked == NEW:
            self.keep_copy()
            return
        if picked != lathe.name:
            book = book.rename(picked, lathe.name)
        self._save(book.with_lathe(lathe), lathe.name, f"“{lathe.name}” is kept in the book.")

    def keep_copy(self) -> None:
        """Add the lathe described under the name typed, beside the one picked."""
        lathe = self.described()
        if lathe.name in self.book:
            raise ValueError(f"the book has “{lathe.name}” already; type another name, or pick it")
        book = self.book.with_lathe(lathe)
        self._save(book, lathe.name, f"“{lathe.name}” is in the book now.")

    def remove(self) -> None:
        """Take the lathe picked out of the book; jobs keep their own copies."""
        name = self.there.value
        if name == NEW:
            raise ValueError("pick the lathe to remove from the list first")
        told = f"“{name}” is out of the book; jobs planned on it keep their copy. Its figures still"
        self._save(self.book.without(name), NEW, f"{told} stand here: Keep puts it back.")

    def _save(self, book: LatheBook, picked: str, told: str) -> None:
        self.book = book.keep(self.path)
        self._list(self.book, picked)
        self.render()
        book_changed()
        self.tell(told)

    def show(self, lathe: Lathe | None) -> None:
        """Put a lathe into the controls; None empties them."""
        blank: dict[str, Any] = {"lathe_name": "", "lathe_unit": self.unit}
        shown = entries_of(lathe) if lathe else blank
        slope = lathe.quill_slope if lathe else None
        shown["slope"] = None if slope is None else round(slope * 1000, 9)
        shown |= {name: (lathe and getattr(lathe, name)) or "" for name in TEXTS}
        with self.all_or_nothing():
            for name in LENGTHS:
                self.put_length(name, shown.get(name), shown["lathe_unit"])
            self.put({name: shown.get(name) for name in ORDER if name not in ("there", *LENGTHS)})

    def moved(self, control: Control) -> None:
        if control is self.there:
            try:
                self._read([self.there.value])
            except ValueError as trouble:
                self.board.notice = str(trouble)
                return
        if control is self.lathe_unit:
            unit = self.lathe_unit.value
            for name in LENGTHS:
                one = self.controls[name]
                value = None if one.value is None else in_unit(one.value, one.unit, unit)
                self.put_length(name, value, unit)
        super().moved(control)

    def described(self) -> Lathe:
        """The lathe of the controls; ValueError naming what is wanted or does not fit."""
        if lacking := self.lacking_of_dials():
            raise ValueError(lacking[1])
        slope = self.slope.value
        lathe = self.entered_lathe(
            " ".join(self.lathe_name.value.split()),
            quill_slope=None if slope is None else slope / 1000,
            **{name: self.controls[name].value.strip() or None for name in TEXTS},
        )
        if same_name(lathe.name) in map(same_name, demo.LATHES):
            raise ValueError(f"“{lathe.name}” is an invented lathe; give yours a name of its own")
        return lathe

    def read_state(self) -> Described:
        shown = LatheShown(
            self.lathe_unit.value,
            self.entered_dial("compound"),
            self.entered_dial("cross"),
            self.base_zero.value,
            self.controls["base_radius"].value,
            self.controls["reach"].value,
        )
        return Described(shown, None if self.lacking_of_dials() else self.described())

    def scene_state(self, state: Described) -> LatheShown:
        return state.shown

    def words(self, state: Described) -> Words:
        caution = Row(cautions.TITLE, " ".join(cautions.ALL), mark="wide")
        if lacking := self.lacking_of_dials():
            return Words(f"Not yet a lathe to set up on. {lacking[1]}.", (caution,))
        assert state.lathe is not None
        rows = [Row(name, told) for name, told in state.lathe.figures().items()]
        name = f"“{state.lathe.name}”" if state.lathe.name else "This lathe, still without a name,"
        missing = ", ".join(row.name for row in rows if row.value == "not given").lower()
        told = f"not given yet: {missing}" if missing else "nothing is left open"
        return Words(f"{name} is in {UNIT_WORDS[state.shown.unit]}; {told}.", (*rows, caution))


def _experiment(what: str, how: str) -> ipywidgets.HTML:
    title = f"How to find the {what[0].lower()}{what[1:]}".replace("the how", "how")
    return ipywidgets.HTML(
        f"<details><summary>{escape(title)}</summary><p>{escape(how)}</p></details>"
    )
