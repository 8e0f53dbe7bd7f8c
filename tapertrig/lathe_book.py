"""The lathe book: lathes by name, kept in one file of the learner's folder, outside any job."""

from __future__ import annotations

import os
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from tapertrig.job.file import Format, held, read_file, write_text
from tapertrig.job.plain import from_plain, to_plain
from tapertrig.lathe import Lathe, what_changed
from tapertrig.limits import LONGEST_LINE, line_of_text
from tapertrig.saving import write_whole

FILE_NAME = "my lathes.book.json"
BOOK = Format("lathe book", "tapertrig lathe book", 1, ".book.json")


# What each figure is called and how a machinist finds it, by its name in `Lathe`.
HOW_TO_FIND: dict[str, tuple[str, str]] = {
    "compound_reach": (
        "Usable compound travel",
        "Crank the compound from one end to the other by hand, counting the turns, and stop where "
        "the gib would leave the slide; take off half a turn of run-up.",
    ),
    "compound_dial": (
        "Compound dial",
        "Move it one turn against an indicator whose stem lies along the slide: what the dial "
        "shows for that turn, beside what the indicator shows, tells what it reads.",
    ),
    "cross_dial": (
        "Cross dial",
        "Is it diameter-reading? Take up the backlash, move it one graduation against an "
        "indicator on the cross slide: if the slide goes half of what the dial shows, it reads "
        "the diameter; if it goes the whole, the radius.",
    ),
    "base_zero": (
        "Base zero",
        "Swing the base to its 0 and look: the slide lies along the bed, or square across it.",
    ),
    "base_radius": (
        "Radius of the base's rim",
        "Lay a rule across the base, over its middle, at the degree lines: half of that.",
    ),
    "parked": (
        "How the slide is parked",
        "Where it is stiffest: how far back, which gib screws are nipped. A line in your words.",
    ),
    "compound_backlash": (
        "Compound backlash",
        "Indicator on the slide, along it. Crank one way till the needle moves, zero the dial, "
        "crank back till the needle just moves again: what the dial shows is the backlash. Do it "
        "three times, at three places, and write the day beside it.",
    ),
    "cross_backlash": (
        "Cross backlash",
        "Indicator on the cross slide, along it. Crank one way till the needle moves, zero the "
        "dial, crank back till the needle just moves again; of what a diameter-reading dial shows, "
        "take half. Do it three times, at three places, and write the day beside it.",
    ),
    "quill_slope": (
        "Quill's slope",
        "Indicator on the tool post, its stem square to the quill at centre height, quill out and "
        "locked. Run the carriage along the quill's side and read at both ends; then along a test "
        "bar in the spindle, once and again with the spindle turned half round by hand, and take "
        "the mean of the two. Quill less bar, over the length run. No reading is corrected by it, "
        "because clamping the tailstock anew may change it: it goes into the doubt of every pass "
        "by the cross travel, and takes as much from what proves.",
    ),
}


class NotInBookError(KeyError, ValueError):
    """The book has no lathe of that name."""

    __str__ = ValueError.__str__


def same_name(name: str) -> str:
    """What two names have in common that a machinist would take for one: “blue  Lathe”."""
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())


@dataclass(frozen=True)
class LatheBook(Mapping[str, Lathe]):
    """Lathes by name, in the order they came: `book["Blue lathe"]`. Each change gives a new book.

    `read_as` is what the file held when this book was last read or saved: it tells what has been
    changed here from what somebody else has changed there.
    """

    lathes: tuple[Lathe, ...] = ()
    read_as: tuple[Lathe, ...] = field(default=(), compare=False, repr=False)

    def __post_init__(self) -> None:
        names: dict[str, str] = {}
        for lathe in self.lathes:
            name = lathe.name
            if not line_of_text("lathe's name", name, LONGEST_LINE).strip():
                raise ValueError("this lathe has no name; call it as the shop does, “Blue lathe”")
            if name != " ".join(name.split()) or not name.isprintable():
                raise ValueError(f"lathe's name is {name!r}; write it without spaces round it")
            if other := names.get(same_name(name)):
                raise ValueError(f"the book has the name “{other}”; “{name}” would be taken for it")
            names[same_name(name)] = name

    @property
    def names(self) -> tuple[str, ...]:
        """The names, in the order the lathes came."""
        return tuple(lathe.name for lathe in self.lathes)

    def __getitem__(self, name: str) -> Lathe:
        """The lathe of that name; an error that is a KeyError and a ValueError where none is."""
        for lathe in self.lathes:
            if lathe.name == name:
                return lathe
        there = ", ".join(f"“{one}”" for one in self.names) or "no lathe yet"
        raise NotInBookError(f"the lathe book has no “{name}”; it has {there}")

    def __iter__(self) -> Iterator[str]:
        return iter(self.names)

    def __len__(self) -> int:
        return len(self.lathes)

    def with_lathe(self, lathe: Lathe) -> LatheBook:
        """The book with this lathe: in the place of the one of its name, or at the end."""
        if lathe.name not in self:
            return replace(self, lathes=(*self.lathes, lathe))
        kept = (lathe if one.name == lathe.name else one for one in self.lathes)
        return replace(self, lathes=tuple(kept))

    def without(self, name: str) -> LatheBook:
        """The book without the lathe of that name."""
        gone = self[name]
        return replace(self, lathes=tuple(one for one in self.lathes if one is not gone))

    def copy(self, name: str, new_name: str) -> LatheBook:
        """The book with a copy of a lathe under another name, at the end."""
        return replace(self, lathes=(*self.lathes, replace(self[name], name=new_name)))

    def rename(self, name: str, new_name: str) -> LatheBook:
        """The book with one lathe under another name, in its place."""
        old = self[name]
        new = replace(old, name=new_name)
        return replace(self, lathes=tuple(new if one is old else one for one in self.lathes))

    # -- the file -------------------------------------------------------------------------

    @classmethod
    def load(cls, path: str | os.PathLike[str]) -> LatheBook:
        """Read a book; ValueError when it is missing, torn, foreign or of a newer version."""
        kept = read_file(path, BOOK)
        try:
            lathes = from_plain(LatheBook, kept.job, "lathe book").lathes
        except (TypeError, ValueError) as error:
            raise ValueError(
                f"{Path(path).name} holds no sound lathe book ({error}); where something is "
                "unknown, a newer tapertrig has written it, so update this one"
            ) from error
        return cls(lathes, lathes)

    @classmethod
    def of_folder(cls, folder: str | os.PathLike[str]) -> LatheBook:
        """The book of a learner's folder; an empty one where none is kept yet."""
        path = Path(folder) / FILE_NAME
        return cls.load(path) if os.path.lexists(path) else cls()

    def save(self, path: str | os.PathLike[str], *, replace: bool = False) -> Path:
        """Keep the book in a file, whole or not at all; returns where it is. See `keep`."""
        self.keep(path, replace=replace)
        return Path(os.path.realpath(path))

    def keep(self, path: str | os.PathLike[str], *, replace: bool = False) -> LatheBook:
        """Save the book, and give it back as the file now holds it.

        Lathe by lathe: one changed, added or removed here alone is so in the file; one changed
        there alone stands as it is there. ValueError, with the file untouched, when one lathe has
        been changed in both, naming what differs; with `replace=True` it is then as it is here.
        Nobody else can save between the look and the writing.
        """
        with held(path) as target:
            there = os.path.lexists(target)
            lathes = self._with(LatheBook.load(target), target.name, replace) if there else self
            write_whole(target, write_text(None, to_plain(lathes), BOOK), new=not there)
        kept = LatheBook(lathes.lathes, lathes.lathes)
        agreed = [one for one in kept.lathes if self.get(one.name) == one]
        open_still = [one for one in self.read_as if self.get(one.name) != kept.get(one.name)]
        object.__setattr__(self, "read_as", (*agreed, *open_still))
        return kept

    def _with(self, there: LatheBook, file: str, wins: bool) -> LatheBook:
        """What the file shall hold: this book and what others have done to theirs meanwhile."""
        before = {lathe.name: lathe for lathe in self.read_as}
        kept: list[Lathe] = []
        for name in dict.fromkeys((*self, *there)):
            was, mine, theirs = before.get(name), self.get(name), there.get(name)
            if mine != theirs and was not in (mine, theirs) and not wins:
                raise ValueError(
                    f"“{name}” has been changed in {file} since it was read here "
                    f"({_told(mine, theirs)}); read the book again and make your change anew, or "
                    "keep yours under another name"
                )
            stands = theirs if mine == was else mine
            if stands is not None:
                kept.append(stands)
        return LatheBook(tuple(kept))


def _told(mine: Lathe | None, theirs: Lathe | None) -> str:
    if mine is None or theirs is None:
        return "removed here, changed there" if mine is None else "removed there, changed here"
    return "; ".join(what_changed(mine, theirs))


__all__ = ["FILE_NAME", "LatheBook"]
