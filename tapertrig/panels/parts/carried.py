"""Readings carried from the phone: the line of digits, or the small file that holds it."""

from __future__ import annotations

from pathlib import Path

from tapertrig.job import Job
from tapertrig.job.carried import take_in
from tapertrig.saving import plain_file_name

LABEL, PLACEHOLDER = "Readings carried from the phone", "its line of digits, or … readings.txt"
PRESS = "Take the readings in"
HINT = "Add the passes of the line to this job; taken in twice they change nothing"
LONGEST_FILE = 100_000


def taken_in(job: Job, typed: str, folder: Path) -> tuple[Job, str]:
    """The job with the passes that a line brings, and what to tell; ValueError when none do.

    `typed` is the line, or the name of a small file in the folder, which ends in .txt.
    """
    if typed.strip().lower().endswith(".txt"):
        path = folder / plain_file_name(typed, ".txt")
        try:
            typed = path.read_bytes()[:LONGEST_FILE].decode("utf-8-sig")
        except (OSError, UnicodeDecodeError) as error:
            raise ValueError(
                f"{path.name} cannot be read in this folder; paste its line"
            ) from error
    grown = take_in(job, typed)
    new = len(grown.passes) - len(job.passes)
    struck = sum(one.struck for one in grown.passes) - sum(one.struck for one in job.passes)
    if not new and not struck:
        return grown, "Nothing new is in it: this job has these passes already"
    told = f"{new} pass{'' if new == 1 else 'es'} taken in"
    return grown, told + (f", {struck} of all struck out" if struck else "")
