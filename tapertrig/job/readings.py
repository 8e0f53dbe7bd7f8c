"""What was measured on the part: gauges, instrument, repeats, by whom and when. Never a limit."""

from __future__ import annotations

from dataclasses import dataclass, field

from tapertrig.angle import Angle
from tapertrig.job.passes import new_identity


@dataclass(frozen=True)
class Instrument:
    """What the readings were taken with. What nobody has said is None or empty."""

    name: str = ""
    graduation: float | None = None
    limit_of_error: float | None = None
    identity: str = ""
    calibrated: str = ""


@dataclass(frozen=True)
class Gauge:
    """A ball, a pair of rolls or a block stack: its size, ± what it is certified to, which one."""

    size: float
    limit: float | None = None
    identity: str = ""
    calibrated: str = ""


@dataclass(frozen=True)
class Scatter:
    """A scatter stated instead of repeats: standard deviation of one reading, and its origin."""

    value: float
    degrees_of_freedom: float
    origin: str


@dataclass(frozen=True)
class StatedAngle:
    """A half angle taken from elsewhere for one ball: value, ± limit, and where it comes from."""

    half_angle: Angle
    limit: Angle
    origin: str


@dataclass(frozen=True)
class Confirmation:
    """Somebody's word that readings are of this print: its fingerprint, who, and when."""

    fingerprint: str
    by: str
    time: str = ""


@dataclass(frozen=True)
class Readings:
    """One measurement of one cone; lengths in `unit`. None and empty: not given.

    `cone` is the place of its callout in the job. `rows` holds the repeats, one row for each
    ball (the larger first), or for the low and the high rolls. `reads` is "height" (top of the
    ball over the face, + proud; measure over rolls) or "depth" (as the depth micrometer read,
    standing on `parallel`). `confirmed` says of which prints somebody said that these are the
    readings; `struck` ones are kept and count for nothing.
    """

    method: str
    unit: str
    gauges: tuple[Gauge, ...]
    rows: tuple[tuple[float, ...], ...]
    cone: int = 0
    reads: str = "height"
    parallel: float | None = None
    blocks: Gauge | None = None
    instrument: Instrument | None = None
    face_limit: float | None = None
    scatter: Scatter | None = None
    stated_angle: StatedAngle | None = None
    edge_break: float | None = None
    rule: str = "guard band"
    part_temperature: float | None = None
    gauge_temperature: float | None = None
    temperature_corrected: bool = False
    measured_by: str = ""
    date: str = ""
    notes: str = ""
    confirmed: tuple[Confirmation, ...] = ()
    struck: bool = False
    identity: str = field(default_factory=new_identity)
