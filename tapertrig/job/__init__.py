"""A job: what the print calls for, on which lathe, the plan that follows, kept in a file.

`Job.plan()` is the arithmetic of the setup sheet in one place.
"""

from tapertrig.job.callout import CALLOUT_KINDS, TOLERANCE_ON, Callout
from tapertrig.job.file import Job, job_file_name
from tapertrig.job.plan import Choices, Plan, make_plan

__all__ = [
    "CALLOUT_KINDS",
    "TOLERANCE_ON",
    "Callout",
    "Choices",
    "Job",
    "Plan",
    "job_file_name",
    "make_plan",
]
