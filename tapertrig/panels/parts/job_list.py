"""A panel that takes a job: one of the folder picked by name, with the lathe it was set up on.

class Opening(JobList[OpeningState]):
    def make_controls(self) -> None:
        self.job_list()                    # self.there, a choice of jobs, and self.lathe

    def put_job(self, job: Job) -> None:
        self.half_angle.value = job.callout.half_angle.degrees      # what does not fit: ValueError
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, ClassVar
from weakref import WeakSet

from tapertrig.angle import Angle
from tapertrig.demo import LATHES
from tapertrig.job import Job
from tapertrig.job.file import ENDING
from tapertrig.lathe import Lathe
from tapertrig.panels.parts.board import Row
from tapertrig.panels.parts.controls import Control, Field, Quantity, choice
from tapertrig.panels.parts.kept_file import names_in
from tapertrig.panels.parts.lathe_entries import widen
from tapertrig.panels.parts.lathe_list import LatheList
from tapertrig.panels.parts.panel import State
from tapertrig.saving import write_whole

NO_JOB, OF_JOB = "the invented part of this lesson", "the job's own lathe"
# Job and lathe are chosen once: what is chosen in one lesson, the panels of the next begin with.
CHOSEN = ".chosen job.json"
_TOGETHER: WeakSet[JobList[Any]] = WeakSet()


def chosen(folder: Path) -> dict[str, str]:
    """The names of job and lathe last chosen in a folder, as far as they were."""
    try:
        told = json.loads((folder / CHOSEN).read_text(encoding="utf-8"))
        return {name: told[name] for name in ("job", "lathe") if isinstance(told.get(name), str)}
    except (OSError, ValueError, AttributeError):
        return {}


class JobList(LatheList[State]):
    """A panel with a list of the folder's jobs; a job's own copy of its lathe is the one used."""

    job: Job | None
    there: Field[Any]
    _named: str
    # A panel in which no dial is read has the list for its unit alone.
    lathe_in_sight: ClassVar[bool] = True

    def __init__(self, *args: Any, **start: Any) -> None:
        super().__init__(*args, **start)
        # A panel that a lesson starts with numbers of its own keeps to them.
        if not start.keys() - {"unit", "style", "presents"}:
            _TOGETHER.add(self)
            self.guard(self.follow)

    def follow(self) -> None:
        """Take the job and the lathe that were chosen, here or in another lesson."""
        told = chosen(Path.cwd())
        job, now = told.get("job", NO_JOB), self.there.value
        if job != now or (self.job and now != NO_JOB and self._on_file(now) != self.job):
            self._take_named(job)
        own = OF_JOB if self.job and self.job.lathe else self._invented(self.job)
        if (lathe := told.get("lathe", own)) != self.lathe.value and lathe in self.lathe.options:
            self.set(lathe=lathe)

    def _pick(self) -> None:
        self._take_named(self.there.value)
        self._choose()

    def _choose(self) -> None:
        told = {"job": self.there.value, "lathe": self.lathe.value}
        kept = {name: one for name, one in told.items() if one not in (NO_JOB, OF_JOB)}
        write_whole(Path.cwd() / CHOSEN, json.dumps(kept))
        for panel in tuple(_TOGETHER - {self}):
            panel.guard(panel.follow)

    def _take_named(self, name: str) -> None:
        if name == NO_JOB:
            self.set_back()
            return
        self._list_jobs(name)
        try:
            self.take(self._on_file(name))
        except ValueError:
            self._list_jobs(self._named)
            raise
        self._named = name

    def _on_file(self, name: str) -> Job:
        return Job.load(Path.cwd() / f"{name}{ENDING}")

    def _list_jobs(self, picked: str) -> None:
        listed = [NO_JOB, *names_in(Path.cwd(), ENDING)]
        with self.quiet():
            self.there.options = listed
            self.there.value = picked if picked in listed else NO_JOB

    def opened_again(self) -> None:
        """List what the folder has by now, and take what was chosen meanwhile."""
        self._list_jobs(self.there.value)
        if self in _TOGETHER:
            self.guard(self.follow)

    def job_list(self) -> None:
        """Make the choices `self.there` and `self.lathe`."""
        self.job, self._named = vars(self).get("job"), vars(self).get("_named", NO_JOB)
        self.there = choice("Job", [NO_JOB, *names_in(Path.cwd(), ENDING)])
        first = [OF_JOB] if self.job and self.job.lathe else []
        self.lathe_list(first=first, start=self._invented())
        self.lathe.layout.display = None if self.lathe_in_sight else "none"

    def put_job(self, job: Job) -> None:
        """Put what is known of a job into the controls; ValueError when it does not fit."""
        raise NotImplementedError

    def put_cone(self, job: Job) -> None:
        """The print's cone into the controls of its names; one not given is asked for."""
        callout = job.callout.in_unit(self.unit)
        for name in ("half_angle", "face_diameter", "length"):
            control, value = self.controls[name], getattr(callout, name)
            assert isinstance(control, Quantity)
            if value is None and not control.optional:
                said = name.replace("_", " ")
                raise ValueError(f"this print gives no {said}; enter it in the job first")
            widen(control, value)
            control.value = value.degrees if isinstance(value, Angle) else value

    def _invented(self, job: Job | None = None) -> str:
        """The lathe that stands in; for a job in its print's unit, the same in every lesson."""
        unit = job.callouts[0].unit if job and job.callouts else self.unit
        return next(one.name for one in LATHES.values() if one.unit == unit)

    def take(self, job: Job) -> None:
        """Put a job in, with its lathe, or leave all as it was and say what does not fit."""
        with self.all_or_nothing():
            self.job = job
            if job.lathe:
                self.to_unit(job.lathe.unit)
                self._ends = (OF_JOB,), ()
                self._list()
                self.lathe.value = OF_JOB
            elif self.lathe.value == OF_JOB:
                # The lathe of the job before is none of this one's.
                self.lathe.value = self._invented(job)
                self._ends = (), ()
                self._list()
            self._take_picked()
            self.put_job(job)
        self.render()

    def current(self) -> Job | None:
        """The job taken, as it stands: nothing tried out here is a reading of its part."""
        return self.job

    def picked_lathe(self) -> Lathe | None:
        """The lathe picked; the job's own copy of its lathe where that is."""
        if self.lathe.value == OF_JOB:
            return self.job.lathe if self.job else None
        return super().picked_lathe()

    def lathe_in_use(self) -> Lathe:
        """The lathe picked: this list has no name for none."""
        lathe = self.picked_lathe()
        assert lathe is not None
        return lathe

    def stands_in(self) -> list[Row]:
        """That the lathe worked on is not the job's, where it is not."""
        own, used = self.job and self.job.lathe, self.lathe_in_use()
        if self.job is None or used == own:
            return []
        why = "the job has its own" if own else "the job names none; give it yours"
        told = f"“{used.name}” stands in, and is not the job's: {why}"
        return [Row("Lathe", told, answer=False, mark="warning")]

    def moved(self, control: Control) -> None:
        """A job has been picked, or anything else has moved."""
        if control is self.there:
            self.guard(self._pick)
            return
        lathe = self._picked_before
        super().moved(control)
        if control is self.lathe and self._picked_before != lathe:
            self.guard(self._choose)

    def begin_again(self) -> None:
        self.job = None
