"""A job: what the print asks, the lathe, the choices, the passes, the readings; each once."""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, fields, is_dataclass, replace
from dataclasses import replace as dataclass_replace
from pathlib import Path
from typing import Any, TypeVar

from tapertrig.angle import Angle
from tapertrig.job.callout import Callout
from tapertrig.job.cutting import Cutting
from tapertrig.job.file import Kept, held, read_file, read_text, write_text
from tapertrig.job.older import from_first_edition
from tapertrig.job.passes import Aim, Pass, moments, new_identity, now
from tapertrig.job.plain import canonical, from_plain, to_plain
from tapertrig.job.plan import Choices, Plan, make_plan
from tapertrig.job.readings import LATER, Confirmation, Readings
from tapertrig.lathe import Lathe, what_changed
from tapertrig.limits import line_of_text, true_or_false
from tapertrig.saving import write_whole

LONGEST_NOTES = 4000
LINES = (
    "title", "part", "drawing_number", "revision", "serial", "quantity", "material", "shop",
    "made_by", "date",
)  # fmt: skip
Grown = TypeVar("Grown", Pass, Readings)


@dataclass(frozen=True, init=False)
class Job:
    """One job. `dataclasses.replace` makes a changed job of the same identity.

    `callouts` holds what the print asks, one for each cone; `callout` is the first. `lathe` is
    None until one is described, `cutting` what is known of the cut. Passes and readings are only
    ever added or struck out.
    `invented` marks an example; `older` a job from a first-edition file, in which entries and
    defaults cannot be told apart. `read_as` is what the file held when this job was last read or
    saved: it says whether somebody else has changed the file since, and is no part of the job.
    """

    callouts: tuple[Callout, ...] = ()
    lathe: Lathe | None = None
    choices: Choices = field(default_factory=Choices)
    passes: tuple[Pass, ...] = ()
    readings: tuple[Readings, ...] = ()
    title: str = ""
    part: str = ""
    drawing_number: str = ""
    revision: str = ""
    serial: str = ""
    quantity: str = ""
    material: str = ""
    shop: str = ""
    made_by: str = ""
    date: str = ""
    notes: str = ""
    invented: bool = False
    older: bool = False
    identity: str = ""
    cutting: Cutting | None = field(default=None, metadata=LATER)
    read_as: Job | None = field(default=None, compare=False, repr=False)

    def __init__(
        self,
        callouts: Callout | Iterable[Callout] = (),
        lathe: Lathe | None = None,
        choices: Choices | None = None,
        *,
        callout: Callout | None = None,
        passes: tuple[Pass, ...] = (),
        readings: tuple[Readings, ...] = (),
        **rest: Any,
    ) -> None:
        """As the fields say; `callout` puts the first cone, which is nearly always the only one."""
        cones = (callouts,) if isinstance(callouts, Callout) else tuple(callouts)
        if callout is not None:
            cones = (callout, *cones[1:])
        given = {
            "callouts": cones,
            "lathe": lathe,
            "choices": Choices() if choices is None else choices,
            "passes": passes,
            "readings": readings,
        }
        for part in fields(self):
            value = given.get(part.name, rest.pop(part.name, part.default))
            object.__setattr__(self, part.name, value)
        if rest:
            raise TypeError(f"a job has no {', '.join(rest)}")
        if not self.identity:
            object.__setattr__(self, "identity", new_identity())
        self._check()

    def _check(self) -> None:
        for name in LINES:
            line_of_text(name.replace("_", " "), getattr(self, name))
        if self.lathe is not None:
            line_of_text("lathe name", self.lathe.name)
        line_of_text("notes", self.notes, LONGEST_NOTES)
        for name in ("invented", "older"):
            true_or_false(name, getattr(self, name))
        if not isinstance(self.identity, str) or not re.fullmatch(r"[0-9a-f]{16}", self.identity):
            raise ValueError(f"job identity is {self.identity!r}; leave it out to get a new one")

    @property
    def callout(self) -> Callout:
        """The first cone that the print asks for; ValueError when it asks for none."""
        if not self.callouts:
            raise ValueError("nothing is entered from the print; give its angle first")
        return self.callouts[0]

    def asked(self, cone: int = 0) -> Callout:
        """What the print asks of one cone; ValueError when it asks nothing of such a one."""
        if not 0 <= cone < max(len(self.callouts), 1):
            raise ValueError(f"cone {cone + 1} is asked for; the print has {len(self.callouts)}")
        return self.callouts[cone] if cone else self.callout

    def _lathe(self) -> Lathe:
        if self.lathe is None:
            raise ValueError("no lathe is given; choose or describe one before the setup")
        return self.lathe

    def lathe_changed(self, book: Mapping[str, Lathe]) -> tuple[str, ...]:
        """What the lathe book says otherwise, by now, of the lathe of that name; () if nothing."""
        mine = self.lathe
        return what_changed(mine, book[mine.name]) if mine and mine.name in book else ()

    def plan(self, cone: int = 0) -> Plan:
        """The setup that one cone of this job needs: see `make_plan`."""
        return make_plan(self.asked(cone), self._lathe(), self.choices)

    def with_pass(
        self,
        compound_reading: float,
        cross_reading: float | None = None,
        axial_reading: float | None = None,
        bolts: str = "eased",
        cone: int = 0,
        time: str | None = None,
    ) -> Job:
        """The job with one more pass, aimed at what the print asks now.

        It comes after those that are there, though a clock that took them was fast.
        """
        _, lathe = self.asked(cone), self._lathe()
        taken = Pass(
            compound_reading=compound_reading,
            aim=self.aim(cone),
            compound_dial=lathe.compound_dial,
            cross_dial=lathe.cross_dial,
            unit=lathe.unit,
            cross_reading=cross_reading,
            axial_reading=axial_reading,
            base_radius=lathe.base_radius,
            bolts=bolts,
            time=now(self.passes) if time is None else time,
        )
        lathe.check_read(compound_reading)
        return replace(self, passes=(*self.passes, taken))

    def aim(self, cone: int = 0, route: str | None = None) -> Aim:
        """What a pass taken now is aimed at, by the route chosen unless another is named."""
        asked = self.asked(cone)
        route = route or self.choices.route_for(asked.half_angle)
        return Aim(asked.half_angle, asked.half_angle_tolerance, route, cone, asked.internal)

    def standing(self, cone: int = 0) -> tuple[Pass, ...]:
        """The passes at one cone that nobody has struck out, in the order they were taken."""
        return tuple(
            one for _, one in moments(self.passes) if one.aim.cone == cone and not one.struck
        )

    def with_readings(self, readings: Readings, by: str = "") -> Job:
        """The job with one more measurement, confirmed as of the present print."""
        return replace(self, readings=(*self.readings, readings)).confirm(
            readings.identity, by or readings.measured_by
        )

    def confirm(self, identity: str, by: str) -> Job:
        """Somebody says, by name, that these readings are of this part and its present print."""
        if not by.strip():
            raise ValueError("say who confirms it: a name, for example J. Fitter")

        def said(one: Readings) -> Readings:
            word = Confirmation(self._print_of(self.asked(one.cone)), by.strip(), now())
            return replace(one, confirmed=(*one.confirmed, word))

        return self._changed(identity, readings=said)

    def strike(self, identity: str) -> Job:
        """The job with one pass or measurement struck out; it stays in the file."""
        return self._changed(
            identity,
            passes=lambda one: replace(one, struck=True),
            readings=lambda one: replace(one, struck=True),
        )

    def _changed(self, identity: str, **change: Any) -> Job:
        if not any(one.identity == identity for name in change for one in getattr(self, name)):
            raise ValueError(f"this job holds nothing of identity {identity!r}")
        changed: dict[str, Any] = {
            name: tuple(do(one) if one.identity == identity else one for one in getattr(self, name))
            for name, do in change.items()
        }
        return replace(self, **changed)

    def is_of_this_print(self, readings: Readings) -> bool:
        """Whether somebody has said that these readings are of this part and its present print."""
        return self.confirmation(readings) is not None

    def confirmation(self, readings: Readings) -> Confirmation | None:
        """Who first said so, and when; None where nobody has."""
        if not 0 <= readings.cone < len(self.callouts):
            return None
        wanted = self._print_of(self.callouts[readings.cone])
        return next((word for word in readings.confirmed if word.fingerprint == wanted), None)

    def _print_of(self, callout: Callout) -> str:
        """Changes with what is asked, and with the part or drawing that it is asked of."""
        named = (self.part, self.drawing_number, self.revision, self.serial)
        return hashlib.sha256(canonical((callout.fingerprint, *named)).encode()).hexdigest()[:16]

    def rest(self) -> Job:
        """All of the job but what is only ever added to it."""
        return replace(self, passes=(), readings=(), read_as=None)

    def save(self, path: str | os.PathLike[str], *, replace: bool = False) -> Path:
        """Keep the job in a file, whole or not at all; returns where it is. See `keep`."""
        self.keep(path, replace=replace)
        return Path(os.path.realpath(path))

    def keep(self, path: str | os.PathLike[str], *, replace: bool = False) -> Job:
        """Save the job, and give it back as the file now holds it.

        Passes and readings that another holder has added meanwhile are kept beside this job's;
        what else has been changed there stands where nothing has been changed here. ValueError,
        with the file untouched, when another job or anything that is no whole job file stands
        there, or when both have been changed; with `replace=True` this job wins. Nobody else can
        save between the look and the writing.
        """
        with held(path) as target:
            there = os.path.lexists(target)
            kept = self._beside(target, replace) if there else self
            write_whole(target, kept.file_text(), new=not there)
        kept = dataclass_replace(kept, read_as=kept.rest())
        if kept.read_as == self.rest():
            object.__setattr__(self, "read_as", kept.read_as)
        return kept

    def as_kept(self, path: str | os.PathLike[str]) -> Job:
        """This job as its file has it, with the readings of both; itself where it has no file."""
        if not os.path.lexists(path) or (there := Job.load(path)).identity != self.identity:
            return self
        return dataclass_replace(
            there,
            passes=joined(self.passes, there.passes),
            readings=joined(self.readings, there.readings),
        )

    def _beside(self, target: Path, wins: bool) -> Job:
        """What the file shall hold: this job with what stands there already."""
        hint = "save under another name, or say that it shall be replaced"
        try:
            there = Job.load(target)
        except ValueError as error:
            if wins:
                return self
            raise ValueError(f"{target.name} is in the way: {error}; {hint}") from error
        if there.identity != self.identity:
            if wins:
                return self
            title = f", “{there.title}”" if there.title else ""
            raise ValueError(f"{target.name} holds a different job{title}; {hint}")
        mine, theirs, kept = self.rest(), there.rest(), self
        passes = joined(self.passes, there.passes)
        readings = joined(self.readings, there.readings)
        if not wins and theirs not in (mine, self.read_as):
            if mine != self.read_as or (passes, readings) == (there.passes, there.readings):
                changed = ", ".join(dict.fromkeys(differences(self.read_as or mine, theirs)))
                raise ValueError(
                    f"{target.name} has been changed since it was read here ({changed}); load it "
                    f"again and make your change anew, or {hint}"
                )
            kept = there
        return dataclass_replace(kept, passes=passes, readings=readings)

    @classmethod
    def load(cls, path: str | os.PathLike[str]) -> Job:
        """Read a job file; ValueError when it is missing, torn, foreign or of a newer version."""
        return cls._from_kept(read_file(path), Path(path).name)

    def file_text(self) -> str:
        """What a job file holds, as text."""
        plain = to_plain(self)
        return write_text(plain.pop("identity"), plain)

    @classmethod
    def from_file_text(cls, content: str | bytes, name: str = "this file") -> Job:
        """A job from the text of a job file; ValueError as for `load`."""
        return cls._from_kept(read_text(content, name), name)

    @classmethod
    def _from_kept(cls, kept: Kept, name: str) -> Job:
        try:
            plain = dict(kept.job)
            if "identity" in plain:
                raise KeyError("identity")
            if kept.version == 1:
                plain = from_first_edition(plain)
            job = from_plain(cls, plain | {"identity": kept.identity}, "job")
        except (KeyError, TypeError, ValueError) as error:
            raise ValueError(f"{name} holds no sound job: {error}") from error
        return dataclass_replace(job, read_as=job.rest())


def joined(mine: tuple[Grown, ...], theirs: tuple[Grown, ...]) -> tuple[Grown, ...]:
    """Passes or readings of two holders of one job: all of both, theirs first, by identity.

    One struck out by either is struck out; what either has confirmed is confirmed. ValueError
    when anything else of one differs: that is not to be changed, and neither may be lost.
    """
    by_identity: dict[str, Grown] = {one.identity: one for one in theirs}
    for one in mine:
        other = by_identity.get(one.identity, one)
        changes: dict[str, Any] = {"struck": one.struck or other.struck}
        if isinstance(one, Readings):
            both: Any = (other, one)
            changes["confirmed"] = tuple(dict.fromkeys(w for each in both for w in each.confirmed))
        by_identity[one.identity] = replace(other, **changes)
        if replace(one, **changes) != by_identity[one.identity]:
            told = ", ".join(differences(replace(one, **changes), by_identity[one.identity]))
            raise ValueError(
                f"what was read is not changed afterwards, but {told} of it differs from the "
                "file; strike it out and add what was read"
            )
    return tuple(by_identity.values())


def differences(one: Any, other: Any, name: str = "") -> Iterator[str]:
    """What differs between two values of one kind, in words: “face diameter”, “notes”."""
    if one == other:
        return
    if is_dataclass(one) and type(one) is type(other) and not isinstance(one, Angle):
        for part in fields(one):
            if part.compare:
                here, there = getattr(one, part.name), getattr(other, part.name)
                yield from differences(here, there, part.name.replace("_", " "))
    elif isinstance(one, tuple) and isinstance(other, tuple) and len(one) == len(other):
        for pair in zip(one, other, strict=True):
            yield from differences(*pair, name)
    else:
        yield name
