"""One job: what the print asks, the lathe, the setup, the passes at it, what was measured.

Each part is owned once and kept in one file; what nobody gave is None. `Job.plan()` is the
arithmetic of the setup sheet in one place.
"""

from tapertrig.job.callout import CALLOUT_KINDS, TOLERANCE_ON, Callout
from tapertrig.job.cutting import Cutting
from tapertrig.job.file import job_file_name
from tapertrig.job.job import Job
from tapertrig.job.passes import Aim, Pass
from tapertrig.job.plan import Choices, Plan, make_plan
from tapertrig.job.readings import (
    METHODS,
    READS,
    Gauge,
    Instrument,
    Outlier,
    Readings,
    Scatter,
    StatedAngle,
)
from tapertrig.limits import real_date

__all__ = [
    "CALLOUT_KINDS",
    "METHODS",
    "READS",
    "TOLERANCE_ON",
    "Aim",
    "Callout",
    "Choices",
    "Cutting",
    "Gauge",
    "Instrument",
    "Job",
    "Outlier",
    "Pass",
    "Plan",
    "Readings",
    "Scatter",
    "StatedAngle",
    "job_file_name",
    "make_plan",
    "real_date",
]
