"""How a job or a lathe book is kept: JSON with a format name, a version and a checksum."""

from __future__ import annotations

import hashlib
import json
import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, NamedTuple

from filelock import FileLock, Timeout

from tapertrig.job.passes import now
from tapertrig.job.plain import canonical
from tapertrig.saving import plain_file_name, read_whole

FORMAT = "tapertrig job"
VERSION = 2
ENDING = ".job.json"
LARGEST_FILE = 1_000_000
LONGEST_WAIT = 20.0


class Format(NamedTuple):
    """What a file is called, its format's name and newest version, and its ending."""

    word: str
    name: str
    version: int
    ending: str


JOB = Format("job", FORMAT, VERSION, ENDING)


class Kept(NamedTuple):
    """What a file holds: the format's version, an identity, and job or book as plain values."""

    version: int
    identity: Any
    job: Any


def job_file_name(text: str) -> str:
    """A job's file name as typed, “.job.json” added where it has none; a path is refused."""
    return plain_file_name(text, ENDING)


@contextmanager
def held(path: str | os.PathLike[str]) -> Iterator[Path]:
    """One holder at a time reads, compares and writes a file; gives the file's real place.

    The lock stands among the system's temporary files, so that no folder of a learner fills up
    with locks. ValueError when another holder keeps it for too long.
    """
    target = Path(os.path.realpath(path))
    user = os.getuid() if hasattr(os, "getuid") else ""  # one may not open another's lock there
    name = hashlib.sha256(f"{user} {target}".encode(errors="surrogatepass")).hexdigest()[:32]
    try:
        with FileLock(Path(tempfile.gettempdir()) / f"tapertrig-{name}.lock", LONGEST_WAIT):
            yield target
    except Timeout:
        raise ValueError(f"{target.name} is being saved by somebody else; try again") from None


def read_file(path: str | os.PathLike[str], kind: Format = JOB) -> Kept:
    """Read such a file; ValueError when it is missing, torn, foreign or of a newer version."""
    content = read_whole(path, LARGEST_FILE, f"a {kind.word} file ({kind.ending})")
    return read_text(content, Path(path).name, kind)


def write_text(identity: str | None, job: Any, kind: Format = JOB) -> str:
    """What such a file holds, as text; ValueError when it would be too long to be read again."""
    whole = {
        "format": kind.name,
        "version": kind.version,
        "saved": now(),
        "identity": identity,
        kind.word: job,
    }
    whole["checksum"] = _checksum(whole)
    text = json.dumps(whole, indent=1, allow_nan=False) + "\n"
    if len(text) > LARGEST_FILE:
        raise ValueError(
            f"this {kind.word} takes {len(text):,} characters, {LARGEST_FILE:,} at most; begin a "
            f"new {kind.word}"
        )
    return text


def read_text(content: str | bytes, name: str, kind: Format = JOB) -> Kept:
    """What the text of such a file holds; ValueError as for `read_file`."""
    whole = _read_json(content, name, kind.word)
    if not isinstance(whole, dict) or whole.get("format") != kind.name:
        raise ValueError(f"{name} is no {kind.word} file of tapertrig")
    version = whole.get("version")
    if type(version) is not int or version < 1:
        raise ValueError(f"{name} is damaged: its version is {version!r}")
    if version > kind.version:
        raise ValueError(
            f"{name} was written by a newer tapertrig ({kind.word} format {version}); "
            f"this one reads format {kind.version}, so update it"
        )
    checksum = whole.pop("checksum", None)
    if checksum != _checksum(whole):
        raise ValueError(
            f"{name} is damaged or was changed by hand: its checksum does not fit; use a copy of it"
        )
    return Kept(version, whole.get("identity"), whole.get(kind.word))


def _checksum(whole: dict[str, Any]) -> str:
    return hashlib.sha256(canonical(whole).encode()).hexdigest()


def _no_duplicates(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    if len(pairs) != len(dict(pairs)):
        raise ValueError("a name stands in it twice")
    return dict(pairs)


def _read_json(content: str | bytes, name: str, word: str) -> Any:
    if len(content) > LARGEST_FILE:
        raise ValueError(f"{name} is too big for a {word} file ({LARGEST_FILE:,} bytes at most)")
    if not content.strip():
        raise ValueError(f"{name} is empty")
    try:
        text = content.decode("utf-8") if isinstance(content, bytes) else content
        return json.loads(text, object_pairs_hook=_no_duplicates, parse_constant=_refuse_constant)
    except RecursionError as error:
        raise ValueError(f"{name} is no {word} file: it is nested without end") from error
    except ValueError as error:
        raise ValueError(f"{name} is torn or is no {word} file: {error}") from error


def _refuse_constant(word: str) -> None:
    raise ValueError(f"{word} is no number")
