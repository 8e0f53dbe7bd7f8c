"""Which size to bore for: the middle of what the measuring can prove, never a limit."""

from __future__ import annotations

from dataclasses import dataclass

from tapertrig.decision import CONFORMS
from tapertrig.gauging.inspection import FACE, Finding, findings
from tapertrig.job import Job
from tapertrig.lathe import between, in_unit, length_text


@dataclass(frozen=True)
class SizeAim:
    """The face diameter to aim at and what is measured of it, in `unit`; None where unknown."""

    finding: Finding
    unit: str
    size: float | None
    measured: float | None
    words: str

    @property
    def proven(self) -> bool:
        """Whether the part is at size already: what is measured proves it."""
        return self.finding.verdict == CONFORMS


def aim_at_size(job: Job, unit: str, cone: int = 0) -> SizeAim:
    """The size to aim at on one cone of a job, in a unit; ValueError when it asks for no cone.

    The guard band takes as much off either limit, so the middle of the zone that proves is the
    middle of the limits (ISO 14253-1:2017); with no limits it is the print's own size.
    """
    job.asked(cone)
    found = next(one for one in findings(job) if (one.cone, one.requirement) == (cone, FACE))

    def here(value: float | None) -> float | None:
        return None if value is None else float(in_unit(value, found.unit, unit))

    size, zone = found.nominal, found.judgement and found.judgement.accept
    if found.limits is not None:
        size = sum(found.limits) / 2
    told = f"{length_text(here(size) or 0.0, unit)}, "
    if size is None:
        told = "the print gives no face diameter"
    elif found.limits is None:
        told += "the print's own size: it gives no tolerance"
    elif zone:
        ends = tuple(float(in_unit(end, found.unit, unit)) for end in zone)
        told += f"the middle of what this measuring proves, {between((ends[0], ends[1]), unit)}"
    elif found.judgement:
        told += "the middle of the limits; measured so, no size in them can be proven"
    else:
        told += "the middle of the limits, and so of whatever the measuring will prove"
    return SizeAim(found, unit, here(size), here(found.value), told)
