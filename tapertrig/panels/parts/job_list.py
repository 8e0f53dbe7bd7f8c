"""A panel that takes a job: one of the folder picked by name, with the lathe it was set up on.

class Opening(JobList[OpeningState]):
    def make_controls(self) -> None:
        self.job_list()                    # self.there, a choice of jobs, and self.lathe

    def put_job(self, job: Job) -> None:
        self.half_angle.value = job.callout.half_angle.degrees      # what does not fit: ValueError
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from tapertrig.demo import LATHES
from tapertrig.job import Job
from tapertrig.job.file import ENDING
from tapertrig.lathe import Lathe
from tapertrig.panels.parts.controls import Control, Field, choice
from tapertrig.panels.parts.kept_file import names_in
from tapertrig.panels.parts.lathe_list import LatheList
from tapertrig.panels.parts.panel import State

NO_JOB, OF_JOB = "the invented part of this lesson", "the job's own lathe"


class JobList(LatheList[State]):
    """A panel with a list of the folder's jobs; a job's own copy of its lathe is the one used."""

    job: Job | None
    there: Field[Any]

    def job_list(self) -> None:
        """Make the choices `self.there` and `self.lathe`."""
        self.job = vars(self).get("job")
        self.there = choice("Job", [NO_JOB, *names_in(Path.cwd(), ENDING)])
        first = [OF_JOB] if self.job and self.job.lathe else []
        self.lathe_list(first=first, start=self._invented())

    def put_job(self, job: Job) -> None:
        """Put what is known of a job into the controls; ValueError when it does not fit."""
        raise NotImplementedError

    def _invented(self) -> str:
        return next(one.name for one in LATHES.values() if one.unit == self.unit)

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
                self.lathe.value = self._invented()
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

    def moved(self, control: Control) -> None:
        """A job has been picked, or anything else has moved."""
        if control is self.there and control.value != NO_JOB:
            self.guard(lambda: self.take(Job.load(Path.cwd() / f"{self.there.value}{ENDING}")))
            return
        super().moved(control)

    def begin_again(self) -> None:
        self.job = None
