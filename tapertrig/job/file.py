"""A job, kept in a file: JSON with a format name, a version, the job's identity, a checksum."""

from __future__ import annotations

import hashlib
import json
import os
import re
import secrets
from dataclasses import dataclass, field, fields
from fractions import Fraction
from numbers import Real
from pathlib import Path
from typing import Any

from tapertrig.angle import Angle
from tapertrig.job.callout import Callout, line_of_text
from tapertrig.job.plan import Choices, Plan, make_plan
from tapertrig.lathe import Dial, Lathe
from tapertrig.saving import plain_file_name, write_whole

FORMAT = "tapertrig job"
VERSION = 1
ENDING = ".job.json"
LARGEST_FILE = 1_000_000
LONGEST_NOTES = 4000


@dataclass(frozen=True)
class Job:
    """One job on one lathe. `dataclasses.replace` makes a changed job of the same identity.

    `inspection` holds the measurements, as plain JSON values that the inspection record gives
    their meaning; None before anything is measured. `invented` marks an example. `identity`
    tells jobs apart when they are saved.
    """

    callout: Callout
    lathe: Lathe
    choices: Choices = field(default_factory=Choices)
    inspection: dict[str, Any] | None = field(default=None, hash=False)
    title: str = ""
    part: str = ""
    drawing_number: str = ""
    material: str = ""
    shop: str = ""
    made_by: str = ""
    date: str = ""
    notes: str = ""
    invented: bool = False
    identity: str = field(default_factory=lambda: secrets.token_hex(8))

    def __post_init__(self) -> None:
        for name, value, kind in (
            ("callout", self.callout, Callout),
            ("lathe", self.lathe, Lathe),
            ("choices", self.choices, Choices),
        ):
            if not isinstance(value, kind):
                raise ValueError(f"{name} is {value!r}; it must be a {kind.__name__}")
        for name in ("title", "part", "drawing_number", "material", "shop", "made_by", "date"):
            line_of_text(name.replace("_", " "), getattr(self, name))
        line_of_text("lathe name", self.lathe.name)
        line_of_text("notes", self.notes, LONGEST_NOTES)
        if not isinstance(self.invented, bool):
            raise ValueError(f"invented is {self.invented!r}; it must be True or False")
        if not re.fullmatch(
            r"[0-9a-f]{16}", self.identity if isinstance(self.identity, str) else ""
        ):
            raise ValueError(f"job identity is {self.identity!r}; leave it out to get a new one")
        if self.inspection is not None:
            object.__setattr__(self, "inspection", _plain_values(self.inspection))

    def plan(self) -> Plan:
        """The setup this job needs: see `make_plan`."""
        return make_plan(self.callout, self.lathe, self.choices)

    def save(self, path: str | os.PathLike[str], *, replace: bool = False) -> Path:
        """Write the job to a file, whole or not at all; returns where it is.

        ValueError, with the file untouched, when another job or anything that is no whole job
        file stands there already, unless `replace` is True; and when the disk refuses.
        """
        target = Path(path)
        new = False
        if not replace:
            new = not os.path.lexists(target)
            if not new:
                self._check_same_job(target)
        return write_whole(target, self.file_text(), new=new)

    def _check_same_job(self, target: Path) -> None:
        hint = "save under another name, or say that it shall be replaced"
        try:
            there = Job.load(target)
        except ValueError as error:
            raise ValueError(f"{target.name} is in the way: {error}; {hint}") from error
        if there.identity != self.identity:
            title = f", “{there.title}”" if there.title else ""
            raise ValueError(f"{target.name} holds a different job{title}; {hint}")

    @classmethod
    def load(cls, path: str | os.PathLike[str]) -> Job:
        """Read a job file; ValueError when it is missing, torn, foreign or of a newer version."""
        target = Path(path)
        try:
            with target.open("rb") as stream:
                content = stream.read(LARGEST_FILE + 1)
        except OSError as error:
            reason = (error.strerror or str(error)).lower()
            raise ValueError(f"{target.name} cannot be read: {reason}") from error
        return cls.from_file_text(content, target.name)

    def file_text(self) -> str:
        """What a job file holds, as text."""
        whole = {
            "format": FORMAT,
            "version": VERSION,
            "identity": self.identity,
            "job": _to_plain(self),
        }
        whole["checksum"] = _checksum(whole)
        return json.dumps(whole, indent=1, allow_nan=False) + "\n"

    @classmethod
    def from_file_text(cls, content: str | bytes, name: str = "this file") -> Job:
        """A job from the text of a job file; ValueError as for `load`."""
        whole = _read_json(content, name)
        if not isinstance(whole, dict) or whole.get("format") != FORMAT:
            raise ValueError(f"{name} is no job file of tapertrig")
        version = whole.get("version")
        if type(version) is not int or version < 1:
            raise ValueError(f"{name} is damaged: its version is {version!r}")
        if version > VERSION:
            raise ValueError(
                f"{name} was written by a newer tapertrig (job format {version}); "
                f"this one reads format {VERSION}, so update it"
            )
        checksum = whole.pop("checksum", None)
        if checksum != _checksum(whole):
            raise ValueError(
                f"{name} is damaged or was changed by hand: its checksum does not fit; "
                "use a copy of it"
            )
        try:
            return _job_from_plain(whole["job"], whole["identity"])
        except (KeyError, TypeError, ValueError) as error:
            raise ValueError(f"{name} holds no sound job: {error}") from error


def job_file_name(text: str) -> str:
    """A job's file name as typed, “.job.json” added where it has none; a path is refused."""
    return plain_file_name(text, ENDING)


_PARTS = {"callout": Callout, "lathe": Lathe, "choices": Choices}
_DIALS = ("compound_dial", "cross_dial")


def _to_plain(value: Any) -> Any:
    if isinstance(value, Angle):
        return str(value.arc_seconds)
    if hasattr(value, "__dataclass_fields__"):
        return {
            part.name: _to_plain(getattr(value, part.name))
            for part in fields(value)
            if part.name != "identity"
        }
    if isinstance(value, Real) and not isinstance(value, int):
        return float(value)
    return value


def _job_from_plain(plain: Any, identity: Any) -> Job:
    values = dict(plain)
    if "identity" in values:
        raise KeyError("identity")
    callout = dict(values["callout"])
    if callout["angle_tolerance"] is not None:
        callout["angle_tolerance"] = _exact_angle(callout["angle_tolerance"])
    lathe = dict(values["lathe"])
    for name in _DIALS:
        lathe[name] = _whole(Dial, lathe[name])
    values |= {
        "callout": _whole(Callout, callout),
        "lathe": _whole(Lathe, lathe),
        "choices": _whole(Choices, values["choices"]),
    }
    return _whole(Job, values | {"identity": identity})


def _whole(kind: type, values: Any) -> Any:
    missing = {part.name for part in fields(kind)} - set(values)
    if missing:
        raise KeyError(f"{kind.__name__} without {', '.join(sorted(missing))}")
    return kind(**values)


def _exact_angle(text: Any) -> Angle:
    if not isinstance(text, str) or not re.fullmatch(r"\d{1,60}(/[1-9]\d{0,59})?", text, re.ASCII):
        raise ValueError(f"an angle tolerance of {text!r} arc-seconds does not belong in a job")
    return Angle(Fraction(text))


def _canonical(value: Any) -> str:
    return json.dumps(value, sort_keys=True, separators=(",", ":"), allow_nan=False)


def _checksum(whole: dict[str, Any]) -> str:
    return hashlib.sha256(_canonical(whole).encode()).hexdigest()


def _plain_values(value: Any) -> Any:
    """A copy of plain JSON values; ValueError for anything that a file could not give back."""
    if not isinstance(value, dict):
        raise ValueError(f"inspection is {type(value).__name__}; it must be a dict of measurements")
    try:
        text = _canonical(value)
    except (TypeError, ValueError, RecursionError) as error:
        raise ValueError(f"inspection holds what a job file cannot keep: {error}") from error
    if len(text) > LARGEST_FILE // 2:
        raise ValueError(
            f"inspection is {len(text):,} characters long; {LARGEST_FILE // 2:,} at most"
        )
    return json.loads(text)


def _no_duplicates(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    if len(pairs) != len(dict(pairs)):
        raise ValueError("a name stands in it twice")
    return dict(pairs)


def _read_json(content: str | bytes, name: str) -> Any:
    if len(content) > LARGEST_FILE:
        raise ValueError(f"{name} is too big for a job file ({LARGEST_FILE:,} bytes at most)")
    if not content.strip():
        raise ValueError(f"{name} is empty")
    try:
        text = content.decode("utf-8") if isinstance(content, bytes) else content
        return json.loads(text, object_pairs_hook=_no_duplicates, parse_constant=_refuse_constant)
    except (ValueError, RecursionError) as error:
        raise ValueError(f"{name} is torn or is no job file: {error}") from error


def _refuse_constant(word: str) -> None:
    raise ValueError(f"{word} is no number")
