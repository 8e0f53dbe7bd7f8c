"""A panel with a file: what is in the folder, load, save, replace, and pages written beside it.

class Sheet(KeptFile[SheetState]):
    ending = ".job.json"

    def make_controls(self) -> None:
        …
        self.file_controls("File name", "my job")

    def arrange(self) -> list[ipywidgets.Widget]:
        self.file_presses("Save job", "Load job")
        …

    def read_file(self, path: Path) -> str:            # controls go back if this fails
        self.take(Job.load(path))
        return "with its measurements"                 # told behind “Loaded …”, or ""

    def write_file(self, path: Path, replace: bool) -> None:
        self.current().save(path, replace=replace)

    def write_sheet(self) -> None:                     # on_press(…, needs_entries=True)
        self.write_page(" setup sheet.html", setup_sheet(…), "Sheet")
"""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

import ipywidgets

from tapertrig.panels.parts.controls import Control, Field, choice, entry, switch
from tapertrig.panels.parts.panel import Panel, State
from tapertrig.printed.page import save_page
from tapertrig.saving import plain_file_name

IN_FOLDER = "choose one"
MOST_LISTED = 200


def names_in(folder: Path, ending: str) -> list[str]:
    """The names of a folder's files of one kind, without their ending."""
    return sorted(one.name[: -len(ending)] for one in folder.glob(f"*{ending}"))


class KeptFile(Panel[State]):
    """A panel that keeps what it shows in a file of the notebook's folder, or of `folder`."""

    ending: ClassVar[str]
    folder: Path | None = None
    file: Field[str]
    there: Field[str] | None = None
    replace: Field[bool] | None = None

    def file_controls(
        self,
        label: str,
        start: str = "",
        placeholder: str = "",
        replace: str = "Replace a file of that name",
        listed: bool = True,
        label_list: str = "In this folder",
    ) -> None:
        """Controls for the file: what is in the folder, the name, and leave to replace (or "")."""
        if listed:
            self.there = choice(label_list, [IN_FOLDER])
        self.file = entry(label, start, placeholder)
        if replace:
            self.replace = switch(replace)

    def file_presses(self, save: str, load: str) -> list[ipywidgets.Button]:
        """The buttons that save and load, in this order."""
        self.look()
        return [
            self.on_press(save, self.save_file, "Write the file of that name", needs_entries=True),
            self.on_press(load, self.load_file, "Read the file of that name"),
        ]

    def read_file(self, path: Path) -> str:
        """Take a file into the panel; what to tell behind its name."""
        raise NotImplementedError

    def write_file(self, path: Path, replace: bool) -> str:
        """Write what the panel shows; what to tell behind its name. ValueError when it cannot."""
        raise NotImplementedError

    # -- what the mixin does --------------------------------------------------------------

    @property
    def here(self) -> Path:
        """The folder of the files."""
        return self.folder or Path.cwd()

    def path(self, page: str = "") -> Path:
        """Where the file of the typed name stands, or a page beside it that ends in `page`."""
        name = plain_file_name(self.file.value, self.ending)
        if page:
            name = plain_file_name(name[: -len(self.ending)] + page, ".html")
        return self.here / name

    def look(self) -> None:
        """List what is in the folder."""
        if self.there is None:
            return
        found = names_in(self.here, self.ending)
        picked = self.there.value
        with self.quiet():
            self.there.options = [IN_FOLDER, *found[:MOST_LISTED]]
            self.there.value = picked if picked in self.there.options else IN_FOLDER

    def begin_again(self) -> None:
        self.look()

    def opened_again(self) -> None:
        """The lesson is opened again: list what the folder has by now."""
        self.look()

    def files_changed(self) -> None:
        """A file has been written: every panel with files in this notebook looks again."""
        for panel in [one for one in self.live if isinstance(one, KeptFile)]:
            news = panel.board.news
            panel.guard(panel.look)
            panel.board.news = news

    def moved(self, control: Control) -> None:
        if self.there is not None and control is self.there:
            if self.there.value != IN_FOLDER:
                self.file.value = self.there.value
        elif control not in (self.file, self.replace):
            self.render(control)

    def load_file(self) -> None:
        """Read the file of the typed name; if that fails, all stays as it was."""
        path = self.path()
        self.look()
        with self.all_or_nothing():
            told = self.read_file(path)
        self.render()
        self.tell(f"Loaded {path.name}{told}.")

    def save_file(self) -> None:
        """Write the file of the typed name."""
        path = self.path()
        told = self.write_file(path, self._may_replace())
        self.files_changed()
        self.tell(f"Saved as {path.name}{told}.")

    def write_page(self, ending: str, page: str, what: str, further: str = "") -> None:
        """Write a page to print beside the file; `further` says what else can be done with it."""
        path = self.path(ending)
        save_page(path, page, replace=self._may_replace())
        told = (
            f"{what} written: {path.name}. Open it from All lessons or the file list, and print it."
        )
        self.tell(f"{told} {further}".strip())

    def _may_replace(self) -> bool:
        return self.replace is not None and self.replace.value
