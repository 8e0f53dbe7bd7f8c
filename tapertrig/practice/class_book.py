"""A class's practice records: a folder of CSV files read together, and what they show."""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from tapertrig.practice.assignment import record_from_code
from tapertrig.practice.record import (
    LONGEST_FILE,
    Entry,
    Loaded,
    Record,
    load_record,
    parse_record,
)
from tapertrig.saving import read_whole, readable

MOST_FILES = 1000
# Where a learner's lessons lie in a home folder.
LESSONS = "tapertrig-lessons"
# Short codes of practice pages, one a line with the learner's name: “Bench 3: 4949 0123 …”.
CODES = "codes.txt"
NO_KNOWN_MISTAKE = "no known mistake"


class SkippedFile(NamedTuple):
    """A file that was left out, and why, in words."""

    file_name: str
    reason: str


class Answer(NamedTuple):
    """One answer of one learner."""

    learner: str
    entry: Entry


class Share(NamedTuple):
    """How one topic (or one learner) went: problems met, problems solved, answers given.

    `tries_to_solve` is the mean number of answers that a solved problem took, None when none was
    solved; `seconds` the time over all answers.
    """

    problems: int
    solved: int
    answers: int
    tries_to_solve: float | None
    seconds: float


@dataclass(frozen=True)
class Classbook:
    """The answers of a class, the files that were skipped, and the lines lost from good files.

    A learner goes by the name typed in the record, or else by the name of the file; a record that
    shares answers with one before it is that learner's, whatever name it bears; where records
    come by login, by that, so that two of one name stay two. An answer that stands in two copies of
    a learner's record counts once.
    """

    answers: tuple[Answer, ...] = ()
    skipped: tuple[SkippedFile, ...] = ()
    lost_lines: tuple[SkippedFile, ...] = ()
    alike: tuple[tuple[str, ...], ...] = ()

    @property
    def learners(self) -> tuple[str, ...]:
        """The learners, in alphabetical order."""
        return tuple(sorted({answer.learner for answer in self.answers}))

    def of(self, learner: str) -> Classbook:
        """The answers of one learner; ValueError, listing them, when there is no such learner."""
        if learner not in self.learners:
            raise ValueError(
                f"no learner goes by {learner!r}; there are: {', '.join(self.learners) or 'none'}"
            )
        kept = tuple(answer for answer in self.answers if answer.learner == learner)
        return Classbook(kept, self.skipped, self.lost_lines, self.alike)

    def by_mistake(self) -> dict[str, int]:
        """How often each mistake was made, the commonest first.

        Two mistakes at once count once each; wrong answers that no usual mistake explains are
        counted under "no known mistake".
        """
        counts: Counter[str] = Counter()
        for _, entry in self.answers:
            if not entry.right:
                counts.update(entry.mistakes or (NO_KNOWN_MISTAKE,))
        return dict(sorted(counts.items(), key=lambda item: (-item[1], item[0])))

    def by_topic(self) -> dict[str, Share]:
        """How each topic met went, in the order of first meeting."""
        return self._shares(lambda answer: answer.entry.topic)

    def by_learner(self) -> dict[str, Share]:
        """How each learner went, in alphabetical order."""
        shares = self._shares(lambda answer: answer.learner)
        return {learner: shares[learner] for learner in self.learners}

    @property
    def whole(self) -> Share:
        """How the whole class went."""
        return _share(list(self.answers))

    def tries(self) -> dict[int, int]:
        """How many solved problems took one answer, two, three, and so on."""
        return dict(sorted(Counter(_tries_to_solve(self.answers)).items()))

    def _shares(self, key_of: Callable[[Answer], str]) -> dict[str, Share]:
        groups: dict[str, list[Answer]] = {}
        for answer in self.answers:
            groups.setdefault(key_of(answer), []).append(answer)
        return {key: _share(group) for key, group in groups.items()}


def _problem_of(answer: Answer) -> tuple[str, str, int]:
    return answer.learner, answer.entry.topic, answer.entry.seed


def _tries_to_solve(answers: Iterable[Answer]) -> list[int]:
    """For each solved problem, the answers it took up to the first right one."""
    first: dict[tuple[str, str, int], int] = {}
    for answer in answers:
        if answer.entry.solved:
            first.setdefault(_problem_of(answer), answer.entry.tries)
    return list(first.values())


def _share(answers: list[Answer]) -> Share:
    tries = _tries_to_solve(answers)
    return Share(
        problems=len({_problem_of(answer) for answer in answers}),
        solved=len(tries),
        answers=len(answers),
        tries_to_solve=sum(tries) / len(tries) if tries else None,
        seconds=sum(answer.entry.seconds for answer in answers),
    )


def read_classbook(folder: str | os.PathLike[str]) -> Classbook:
    """Read every CSV file of a folder as a practice record, in the order of their names.

    A folder in it is one learner's, and so are all records in it, or in its “tapertrig-lessons”.
    After them come the short codes of a file `codes.txt`, one a line behind a name and a colon.
    Bad and foreign files are named in `.skipped` with the reason; none stops the rest. ValueError
    when there is no such folder.
    """
    place = Path(folder)
    skipped: list[SkippedFile] = []
    with readable(f"the folder {place.name!r}"):
        files = [(path, "") for path in _records_in(place)]
        homes = sorted(one for one in place.iterdir() if not one.name.startswith("."))
    for home in homes:
        try:
            with readable(home.name):
                inside = [*_records_in(home), *_records_in(home / LESSONS)]
                files += [(path, home.name) for path in inside]
        except ValueError as error:
            skipped.append(SkippedFile(home.name, str(error)))
    found: list[tuple[str, str, Loaded]] = []
    # What was typed stands in a CSV alone, so an answer that is in both comes from there.
    for path, login in [*files[:MOST_FILES], *((path, "") for path in homes if _of_codes(path))]:
        shown = f"{login}/{path.name}" if login else path.name
        try:
            here = _by_code(path) if _of_codes(path) else [load_record(path)]
            found += [(shown, login, one) for one in here]
        except ValueError as error:
            skipped.append(SkippedFile(shown, str(error)))
    skipped.extend(
        SkippedFile(path.name, f"only the first {MOST_FILES} files are read")
        for path, _ in files[MOST_FILES:]
    )
    return _gathered(found, skipped)


def classbook_of(records: Mapping[str, str]) -> Classbook:
    """The class whose records, each the text of a CSV file, are given by login.

    A login is one learner, whatever name was typed, and two logins are two. ValueError for a text
    that is no record.
    """
    return _gathered([(login, login, parse_record(text)) for login, text in records.items()])


def _records_in(folder: Path) -> list[Path]:
    if not folder.is_dir():
        return []
    return sorted(
        path
        for path in folder.iterdir()
        if path.suffix.lower() == ".csv" and not path.name.startswith(".")
    )


def _gathered(
    found: Sequence[tuple[str, str, Loaded]], skipped: Iterable[SkippedFile] = ()
) -> Classbook:
    """A class from its records, each with the name of its file and a login, if it has one."""
    answers: list[Answer] = []
    lost: list[SkippedFile] = []
    whose: dict[tuple[str, str], str] = {}
    names: dict[str, str] = {}
    known: set[tuple[str, str]] = set()
    alike: dict[str, list[str]] = {}
    for _, login, (record, _) in found:
        names[login] = names.get(login) or record.name
    for shown, login, (record, torn) in found:
        # Thirty records may be called “record”; copies of one share answers besides.
        same = [whose.get((record.called, entry.identity)) for entry in record.entries]
        nameless = record.called if _of_codes(Path(shown)) else Path(shown).stem
        learner = next(filter(None, same), record.name or nameless)
        if login:
            name = names[login]
            learner = f"{name} ({login})" if name not in ("", login) else login
        apart = not any((learner, entry.identity) in known for entry in record.entries)
        if record.name and apart and not login and not _of_codes(Path(shown)):
            alike.setdefault(learner, []).append(shown)
        for entry in record.entries:
            if record.called and not login:
                whose.setdefault((record.called, entry.identity), learner)
            if (learner, entry.identity) not in known:
                known.add((learner, entry.identity))
                answers.append(Answer(learner, entry))
        lost.extend(SkippedFile(shown, reason) for reason in torn)
    doubtful = tuple(tuple(files) for files in alike.values() if len(files) > 1)
    return Classbook(tuple(answers), tuple(skipped), tuple(lost), doubtful)


def _of_codes(path: Path) -> bool:
    # An editor may hide an ending and write it twice.
    return path.name.lower() in (CODES, f"{CODES}.txt")


def _by_code(path: Path) -> Iterator[Loaded]:
    """The record of each line of a list of codes."""
    content = read_whole(path, LONGEST_FILE, "a list of short codes")
    for number, line in enumerate(content.decode("utf-8-sig", "replace").splitlines(), 1):
        name, _, code = line.rpartition(":")
        try:
            if line.strip():
                yield Loaded(record_from_code(code, " ".join(name.split())), ())
        except ValueError as error:
            reason = f"line {number}{f', {name.strip()}' if name else ''}, skipped: {error}"
            if not name and not line.lstrip()[:1].isdigit():
                reason += "; write a colon between the name and the code"
            yield Loaded(Record(), (reason,))
