"""The record of a practice session: one row for each answer checked, kept as CSV."""

from __future__ import annotations

import contextlib
import csv
import hashlib
import io
import math
import os
import re
import secrets
import shutil
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import NamedTuple

from tapertrig.job.file import held
from tapertrig.practice.mistakes import MISTAKES
from tapertrig.practice.problem import Problem, Verdict
from tapertrig.practice.problems import TOPICS
from tapertrig.saving import read_whole, write_whole

COLUMNS = ("problem", "seed", "answer", "right", "mistake", "tries", "seconds")
ID_COLUMN, RECORD_COLUMN, NAME_COLUMN = OWN = ("id", "record", "name")
AND = " + "
# After so many wrong answers the worked solution is in sight, and what is right then is copied.
TRIES_BEFORE_SOLUTION = 3
MOST_TRIES = 1000
LONGEST_FILE = 5_000_000
LONGEST_NAME = 80
MOST_TOLD, MOST_COLUMNS, MOST_NOTE_LINES = 50, 500, 20
_YES, _NO = ("yes", "true", "1"), ("no", "false", "0")
# Letters alone: a spreadsheet makes a number of 12e45678.
_LETTERS = str.maketrans("0123456789abcdef", "ghijklmnopabcdef")
# A spreadsheet takes a cell that begins so for a formula; an apostrophe keeps it text.
_FORMULA = re.compile(r"[=@\t\r]|[+-](?![\d.])")


Cells = tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Entry:
    """One answer: the problem (topic and seed), what was typed, and what it was.

    `mistakes` are the names of the one or two usual mistakes recognised, `tries` counts the
    answers to this problem up to and including this one, `seconds` is the time it took. By its
    `identity` an answer is known again in another copy; `further` is what somebody has written
    beside it, column and cell.
    """

    topic: str
    seed: int
    answer: str
    right: bool
    mistakes: tuple[str, ...]
    tries: int
    seconds: float
    identity: str = field(
        default_factory=lambda: secrets.token_hex(6).translate(_LETTERS), compare=False
    )
    further: Cells = field(default=(), compare=False)

    @property
    def solved(self) -> bool:
        """Whether it was right before the worked solution was shown."""
        return self.right and self.tries <= TRIES_BEFORE_SOLUTION


class Place(NamedTuple):
    """Where a learner stands: the problem to go on with, and the answers given to it so far."""

    topic: str
    seed: int
    tries: int


@dataclass(frozen=True)
class Record:
    """A learner's answers in the order given. `name` is empty unless it was typed.

    `called` is the name the record was first saved under; it stays when the file gets another.
    """

    entries: tuple[Entry, ...] = ()
    name: str = ""
    called: str = ""

    def add(self, problem: Problem, text: str, verdict: Verdict, seconds: float) -> Record:
        """The record with one more answer; text that was no answer is not counted as a try."""
        if not verdict.understood:
            return self
        entry = Entry(
            problem.topic,
            problem.seed,
            " ".join(str(text).split()),
            verdict.correct,
            verdict.mistakes,
            self.tries(problem.topic, problem.seed) + 1,
            round(max(0.0, float(seconds)), 1) if math.isfinite(seconds) else 0.0,
        )
        return replace(self, entries=(*self.entries, entry))

    def tries(self, topic: str, seed: int) -> int:
        """How many answers were given to one problem."""
        return sum(entry.topic == topic and entry.seed == seed for entry in self.entries)

    def done(self, topic: str, seed: int) -> bool:
        """Whether a problem was answered rightly, be it from the worked solution."""
        return any(e.right for e in self.entries if (e.topic, e.seed) == (topic, seed))

    def place(self, topic: str | None = None) -> Place:
        """Where to go on, in one topic or wherever the learner was last.

        The last problem, if it is not done yet; else the next seed after the last one.
        """
        entries = [e for e in self.entries if topic is None or e.topic == topic]
        if not entries:
            return Place(topic or TOPICS[0], 1, 0)
        last = entries[-1]
        if not self.done(last.topic, last.seed):
            return Place(last.topic, last.seed, self.tries(last.topic, last.seed))
        following = last.seed + 1
        while self.done(last.topic, following):
            following += 1
        return Place(last.topic, following, self.tries(last.topic, following))

    def as_csv(self) -> str:
        """The record as CSV text; a column for the name only if one was typed."""
        further = list(dict.fromkeys(column for e in self.entries for column, _ in e.further))
        about = {ID_COLUMN: "", RECORD_COLUMN: self.called, NAME_COLUMN: self.name}
        own = [column for column in OWN if about[column] or column == ID_COLUMN]
        stream = io.StringIO()
        writer = csv.writer(stream, lineterminator="\n")
        writer.writerow((*COLUMNS, *own, *further))
        for entry in self.entries:
            beside = dict(entry.further)
            row = (
                entry.topic,
                entry.seed,
                _as_text(entry.answer),
                "yes" if entry.right else "no",
                AND.join(entry.mistakes),
                entry.tries,
                f"{entry.seconds:g}" if entry.seconds < 1e5 else round(entry.seconds),
                entry.identity,
                *(_as_text(about[column]) for column in own[1:]),
                *(_as_text(beside.get(column, "")) for column in further),
            )
            writer.writerow(row)
        return stream.getvalue()

    def joined(self, other: Record) -> Record:
        """These answers, then those of another record that are not among them.

        What somebody wrote beside an answer in either stays; where both did, this one's.
        """
        beside = {entry.identity: entry.further for entry in other.entries}
        known = {entry.identity for entry in self.entries}
        mine = (
            replace(one, further=_both(one.further, beside[one.identity]))
            if beside.get(one.identity)
            else one
            for one in self.entries
        )
        added = (entry for entry in other.entries if entry.identity not in known)
        entries = tuple(_in_order((*mine, *added)))
        return Record(entries, self.name or other.name, self.called or other.called)

    def save(self, path: str | os.PathLike[str]) -> Path:
        """Write the CSV, whole or not at all; ValueError in plain words when it cannot be."""
        return write_whole(path, self.as_csv())

    def add_to(self, path: str | os.PathLike[str]) -> Record:
        """Join these answers to a record's file; the record it then holds.

        Answers are only ever added: what somebody else has put there meanwhile stays. ValueError
        when it cannot be written, or when what stands there is no record.
        """
        with held(path) as target:
            new = not target.exists()
            there = Loaded(Record(), ()) if new else load_record(target)
            if there.skipped:
                keep_as_found(target)
            whole = there.record.joined(self)
            whole = replace(
                whole, name=self.name or whole.name, called=whole.called or Path(path).stem
            )
            write_whole(target, whole.as_csv(), new=new)
        return whole


class Loaded(NamedTuple):
    """A record read from a file, and the lines that could not be read, each in words."""

    record: Record
    skipped: tuple[str, ...]


def keep_as_found(path: Path) -> str:
    """Copy a file with torn lines before it is written anew, once; the name of the copy."""
    copy = path.with_name(path.name + ".as-found")
    if not copy.exists():
        shutil.copyfile(path, copy)
    return copy.name


def load_record(path: str | os.PathLike[str]) -> Loaded:
    """Read a record from a CSV file.

    Torn or foreign lines are skipped and named. ValueError, naming the file and what is wrong,
    when it cannot be read or holds no record at all.
    """
    content, shown = read_whole(path, LONGEST_FILE, "a record saved as CSV"), Path(path).name
    if len(content) > LONGEST_FILE:
        raise ValueError(
            f"{shown} is larger than {LONGEST_FILE // 1_000_000} MB; no record grows that large"
        )
    return parse_record(content, shown)


def parse_record(content: bytes | str, shown: str = "this file") -> Loaded:
    """Read a record from the content of a CSV file; `shown` names it in messages."""
    text = content if isinstance(content, str) else _decoded(content)
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    header, *body = lines
    separator = max((",", ";", "\t"), key=header.count)
    names = _columns(header.lstrip("\ufeff"), separator)
    missing = [column for column in COLUMNS if column not in names]
    if missing:
        raise ValueError(
            f"{shown} is no practice record: its first line has no column "
            f"{', '.join(f'“{name}”' for name in missing)}"
        )
    further = [name for name in names if name not in (*COLUMNS, *OWN)]
    entries, skipped, lost, about = [], [], 0, dict.fromkeys(OWN, "")
    alike: Counter[str] = Counter()
    for number, line in _rows(body, separator, len(names) if further else 0):
        if not line.strip():
            continue
        try:
            cells = _cells(line, separator, names)
            entries.append(_entry(cells, further, alike))
        except ValueError as error:
            lost += 1
            if lost <= MOST_TOLD:
                skipped.append(f"line {number} skipped: {error}")
            continue
        for column in (RECORD_COLUMN, NAME_COLUMN):
            about[column] = about[column] or _plain(cells.get(column, ""))[:LONGEST_NAME]
    if lost > MOST_TOLD:
        skipped.append(f"{lost - MOST_TOLD} more lines skipped")
    ordered = tuple(_in_order(entries))
    return Loaded(Record(ordered, about[NAME_COLUMN], about[RECORD_COLUMN]), tuple(skipped))


def _columns(header: str, separator: str) -> list[str]:
    """The names of the columns: the record's own in small letters, others as they were written."""
    try:
        found = [cell.strip() for cell in next(csv.reader([header], delimiter=separator), [])]
    except csv.Error:
        return []
    if len(found) > MOST_COLUMNS:
        return []
    names: list[str] = []
    for place, cell in enumerate(found, start=1):
        name = cell.lower() if cell.lower() in (*COLUMNS, *OWN) else cell or f"column {place}"
        names.append(f"{name} ({place})" if name in names else name)
    return names


def _decoded(content: bytes) -> str:
    """UTF-8, UTF-16 with its mark, or, as old spreadsheets save, Windows-1252."""
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return content.decode("utf-16", "replace")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("cp1252", "replace")


def _rows(lines: list[str], separator: str, count: int) -> Iterator[tuple[int, str]]:
    """Each row with the number of its first line.

    A note in a column beside the answers may have several lines; then `count` fields make a row. An
    open quotation mark that no such note explains ends with its line, so that it cannot swallow the
    rest of the file.
    """
    at = 0
    while at < len(lines):
        row, end = lines[at], at + 1
        if count and row.count('"') % 2:
            ends = range(end, min(end + MOST_NOTE_LINES, len(lines)))
            closing = next((n + 1 for n in ends if lines[n].count('"') % 2), at)
            note = "\n".join(lines[at:closing])
            with contextlib.suppress(ValueError):
                if note and len(_fields(note, separator)) == count:
                    row, end = note, closing
        yield at + 2, row
        at = end


def _fields(row: str, separator: str) -> list[str]:
    try:
        if '"' in row:
            return next(csv.reader(io.StringIO(row), delimiter=separator, strict=True), [])
    except csv.Error as error:
        raise ValueError("its quotation marks do not close") from error
    return row.split(separator)


def _cells(line: str, separator: str, names: list[str]) -> dict[str, str]:
    row = _fields(line, separator)
    if len(row) != len(names):
        raise ValueError(f"it has {len(row)} fields where the first line has {len(names)}")
    return dict(zip(names, row, strict=True))


def _entry(cells: dict[str, str], further: list[str], alike: Counter[str]) -> Entry:
    topic = cells["problem"].strip()
    if topic not in TOPICS:
        raise ValueError(f"“{topic[:40]}” is no topic")
    right = cells["right"].strip().lower()
    if right not in (*_YES, *_NO):
        raise ValueError(f"“{right[:40]}” stands under “right”; it must be yes or no")
    mistakes = tuple(name.strip() for name in cells["mistake"].split(AND) if name.strip())
    unknown = [name for name in mistakes if name not in MISTAKES]
    if unknown:
        raise ValueError(f"“{unknown[0][:40]}” is no mistake on the list")
    identity = cells.get(ID_COLUMN, "").strip()[:LONGEST_NAME]
    if not identity:
        # A row without one gets the same in every copy, and another than the row like it before.
        row = "\n".join(cells[column].strip() for column in COLUMNS if column != "tries")
        alike[row] += 1
        told = f"{row}\n{alike[row]}".encode(errors="surrogatepass")
        identity = hashlib.sha256(told).hexdigest()[:12].translate(_LETTERS)
    return Entry(
        topic,
        _whole("seed", cells["seed"]),
        _plain(cells["answer"]),
        right in _YES,
        mistakes,
        min(max(1, _whole("tries", cells["tries"])), MOST_TRIES),
        _seconds(cells["seconds"]),
        identity,
        tuple((column, _plain(cells[column])) for column in further),
    )


def _whole(name: str, text: str) -> int:
    if not re.fullmatch(r"\s*-?\d{1,18}\s*", text, re.ASCII):
        raise ValueError(f"“{text[:40]}” stands under “{name}”; it must be a whole number")
    return int(text)


def _seconds(text: str) -> float:
    try:
        seconds = float(text.replace(",", "."))
    except ValueError:
        seconds = math.nan
    if not 0 <= seconds < 1e9:
        raise ValueError(f"“{text[:40]}” stands under “seconds”; it must be a number")
    return seconds


def _both(cells: Cells, others: Cells) -> Cells:
    written = {column for column, cell in cells if cell}
    kept = dict(cells) | {column: cell for column, cell in others if column not in written}
    return tuple(kept.items())


def _in_order(entries: Iterable[Entry]) -> Iterable[Entry]:
    """The entries with as many tries as there are before them, and never fewer than they say.

    So two copies count on from each other, and what was copied from the solution stays copied
    where the tries before it are lost or kept elsewhere.
    """
    tries: dict[tuple[str, int], int] = {}
    for entry in entries:
        key = (entry.topic, entry.seed)
        tries[key] = count = tries.get(key, 0) + 1
        # What was solved in one copy stays so, however often it was tried in the other.
        stays = entry.tries >= count or (entry.solved and count > TRIES_BEFORE_SOLUTION)
        yield entry if stays else replace(entry, tries=count)


def _as_text(text: str) -> str:
    cleaned = " ".join(text.replace("\x00", " ").split())
    return f"'{cleaned}" if _FORMULA.match(cleaned) or cleaned.startswith("'") else cleaned


def _plain(cell: str) -> str:
    text = cell.strip()
    return text[1:] if text[:1] == "'" and (_FORMULA.match(text[1:]) or text[1:2] == "'") else text
