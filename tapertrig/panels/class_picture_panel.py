"""Lesson 09: a folder of practice records as a picture of the class."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from tapertrig.draw.class_picture import VIEWS, ClassPictureScene, ClassPictureState
from tapertrig.draw.parts.drawing import Drawing
from tapertrig.panels.parts.board import Row, Words
from tapertrig.panels.parts.class_box import box_here, read_class_box
from tapertrig.panels.parts.controls import Control, choice, entry
from tapertrig.panels.parts.kept_file import KeptFile
from tapertrig.practice.class_book import Classbook, read_classbook
from tapertrig.practice.example_class import MARK, example_class
from tapertrig.printed.class_page import class_page
from tapertrig.printed.page import save_page

WHOLE_CLASS = "the whole class"
ROWS_SHOWN = 20
PICTURE_MARGIN = 4
ONE_NAME = "one name, counted as one learner; if they are two, give each a folder"


class ClassPicture(KeptFile[ClassPictureState]):
    """Which mistakes, which topics, who, how many tries: the whole class or one learner.

    `records` is the folder that holds the CSV files; without one an invented class is shown.
    """

    title = "Class picture"
    scene = ClassPictureScene
    can_hide = has_unit = False
    ending = ".html"

    def make_controls(self) -> None:
        self.book = example_class()
        self.mark = MARK
        self.records = entry("Folder of records", placeholder="records")
        self.view = choice("Show", VIEWS)
        self.who = choice("Whose", [WHOLE_CLASS, *self.book.learners])
        self.file_controls("File name", "class picture", replace="", listed=False)

    def arrange(self) -> list:
        self.on_press("Read the folder again", self.read_again)
        if box_here():
            self.on_press("Read the class box", self.read_box, "The class on this server")
        self.on_press("Write class picture", self.write, "A page to print, with the table")
        if self.records.value.strip():
            self._read()
        return super().arrange()

    def moved(self, control: Control) -> None:
        if control is self.records:
            self.board.notice = ""
            self.guard(self.read_again)
        else:
            super().moved(control)

    def write(self) -> None:
        """Write the table learner by topic and the bars of each view as a page to print."""
        state, path = self.read_state(), self.path()
        drawing = Drawing(self.make_scene("desk"))
        pictures = []
        for view in (view for view in VIEWS if view != "learners"):
            drawing.show(each := replace(state, view=view))
            bars = "; ".join(f"{bar.name} {bar.words}" for bar in each.bars)
            pictures.append((drawing.svg(PICTURE_MARGIN), f"{each.heading}: {bars}"))
        save_page(path, class_page(state.book, pictures, mark=state.mark))
        self.tell(f"Written: {path.name}. Open it from the file list and print it.")

    def read_again(self) -> None:
        """Read the folder, or show the invented class when none is named."""
        self._read()
        self._tell_read()

    def read_box(self) -> None:
        """Show the class as the class box of this server has it, to an instructor."""
        self._take_book(read_class_box())
        self._tell_read()

    def _tell_read(self) -> None:
        self.render()
        if not self.mark:
            files = f"{len(self.book.learners)} learners, {len(self.book.answers)} answers"
            skipped = len(self.book.skipped)
            self.tell(f"Read {files}" + (f"; {skipped} files left out." if skipped else "."))

    def _read(self) -> None:
        typed = self.records.value.strip()
        if typed:
            book = read_classbook((self.folder or Path.cwd()) / Path(typed).expanduser())
            if not (book.answers or book.skipped or book.lost_lines):
                raise ValueError(f"the folder “{typed}” holds no practice record (.csv)")
            self._take_book(book)
        else:
            self._take_book(example_class(), MARK)

    def _take_book(self, book: Classbook, mark: str = "") -> None:
        self.book, self.mark = book, mark
        who = self.who
        picked = who.value
        with self.quiet():
            who.options = [WHOLE_CLASS, *book.learners]
            who.value = picked if picked in who.options else WHOLE_CLASS

    def read_state(self) -> ClassPictureState:
        who = self.who.value
        book = self.book if who == WHOLE_CLASS else self.book.of(who)
        return ClassPictureState(book, self.view.value, who, self.mark)

    def words(self, state: ClassPictureState) -> Words:
        book = state.book
        answers = book.answers
        right = sum(answer.entry.right for answer in answers)
        rows = [Row(bar.name, bar.words) for bar in state.bars]
        if state.view == "learners":
            rows = [Row(name, _by_topic(book.of(name)), mark="wide") for name in book.learners]
        rows += [
            Row("Left out", f"{name}: {reason}", mark="warning")
            for name, reason in _shortened(book.skipped, "files")
        ]
        rows += [
            Row("Lines lost", f"{name}: {reason}", mark="warning")
            for name, reason in _shortened(book.lost_lines, "lines")
        ]
        rows += [
            Row("Two or one?", f"{told}: {ONE_NAME}", mark="warning")
            for told in (", ".join(files) for files in book.alike)
        ]
        if state.mark:
            rows.append(Row("Example", state.mark, mark="wide"))
        told = _commonest(book)
        return Words(
            f"{state.heading}, {state.who}: {len(answers)} answers, {right} of them right{told}.",
            tuple(rows),
        )


def _by_topic(book: Classbook) -> str:
    topics = book.by_topic().items()
    return ", ".join(f"{topic} {share.solved}/{share.problems}" for topic, share in topics)


def _commonest(book: Classbook) -> str:
    mistakes = book.by_mistake()
    if not mistakes:
        return ""
    name, count = next(iter(mistakes.items()))
    return f"; most often wrong by: {name} ({count} times)" if count > 1 else f"; wrong by: {name}"


def _shortened(items: tuple, what: str) -> list[tuple[str, str]]:
    if len(items) <= ROWS_SHOWN:
        return list(items)
    return [*items[:ROWS_SHOWN], (f"{len(items) - ROWS_SHOWN} more {what}", "not listed here")]
