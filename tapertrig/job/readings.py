"""What was measured on the part: gauges, instrument, repeats, by whom and when. Never a limit."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from tapertrig.angle import Angle
from tapertrig.decision import RULES
from tapertrig.job.passes import new_identity
from tapertrig.lathe import UNITS, in_unit
from tapertrig.limits import (
    finite,
    line_of_text,
    not_negative,
    one_of,
    positive,
    where_given,
    whole,
)

METHODS = ("one ball", "two balls", "rolls and blocks")
READS = ("height", "depth")
LATER = {"later": True}  # files have not always had it
BY_A_PASS = "proving pass"
MOST_REPEATS = 25
LONGEST_TEXT = 400
_COUNTS = {"one ball": (1, 1), "two balls": (2, 2), "rolls and blocks": (1, 2)}


def _reason(what: str, text: str) -> None:
    if not line_of_text(what, text, LONGEST_TEXT).strip():
        raise ValueError(f"{what} is not given; say in a few words where it comes from")


def _lines(part: object, *names: str) -> None:
    for name in names:
        line_of_text(name.replace("_", " "), getattr(part, name), LONGEST_TEXT)


@dataclass(frozen=True)
class Instrument:
    """What the readings were taken with. What nobody has said is None or empty."""

    name: str = ""
    graduation: float | None = None
    limit_of_error: float | None = None
    identity: str = ""
    calibrated: str = ""

    def __post_init__(self) -> None:
        _lines(self, "name", "identity", "calibrated")
        where_given(self, positive, graduation=0.001)
        where_given(self, not_negative, limit_of_error=0.0002)


@dataclass(frozen=True)
class Gauge:
    """A ball, a pair of rolls or a block stack: its size, ± what it is certified to, which one."""

    size: float
    limit: float | None = None
    identity: str = ""
    calibrated: str = ""

    def __post_init__(self) -> None:
        positive("gauge diameter or height", self.size, 0.5)
        if self.limit is not None:
            not_negative("gauge limit", self.limit, 0.00005)
        _lines(self, "identity", "calibrated")


@dataclass(frozen=True)
class Scatter:
    """A scatter stated instead of repeats: standard deviation of one reading, and its origin."""

    value: float
    degrees_of_freedom: float
    origin: str

    def __post_init__(self) -> None:
        positive("scatter", self.value, 0.0003)
        if finite("degrees of freedom of the scatter", self.degrees_of_freedom, 9) < 1:
            raise ValueError(
                f"the scatter has {self.degrees_of_freedom:g} degrees of freedom; it must be 1 or "
                "more, for example 9 for ten readings"
            )
        _reason("origin of the scatter", self.origin)


@dataclass(frozen=True)
class StatedAngle:
    """A half angle taken from elsewhere for one ball: value, ± limit, and where it comes from.

    `rests_on` names the pass that proved it, where one did: it holds only as long as that pass. A
    file from before passes were named tells it by the origin's words alone.
    """

    half_angle: Angle
    limit: Angle
    origin: str
    rests_on: str | None = field(default=None, metadata=LATER)

    def __post_init__(self) -> None:
        for name in ("half angle", "limit"):
            angle = getattr(self, name.replace(" ", "_"))
            if not 0 < angle.degrees < 90:
                raise ValueError(
                    f"stated {name} is {angle}; it must be more than zero and below 90°, for "
                    "example 20°43′ ± 0°02′"
                )
        _reason("origin of the stated half angle", self.origin)
        line_of_text("pass it rests on", self.rests_on or "", LONGEST_TEXT)

    @property
    def by_a_pass(self) -> bool:
        """Whether a pass at the lathe stated it, named or not."""
        return self.rests_on is not None or self.origin.startswith(BY_A_PASS)


@dataclass(frozen=True)
class Outlier:
    """What somebody decided about a reading far from its fellows: struck out or kept, and why.

    `row` and `place` count from zero.
    """

    row: int
    place: int
    struck: bool
    reason: str

    def __post_init__(self) -> None:
        _reason("why the outlier is struck out or kept", self.reason)


@dataclass(frozen=True)
class Confirmation:
    """Somebody's word that readings are of a part and its print: a fingerprint, who, and when."""

    fingerprint: str
    by: str
    time: str = ""


@dataclass(frozen=True)
class Readings:
    """One measurement of one cone; lengths in `unit`. None and empty: not given.

    `cone` is the place of its callout in the job. `rows` holds the repeats, one row for each
    ball (the larger first), or for the low and the high rolls. `reads` is "height" (top of the
    ball over the face, + proud; measure over rolls) or "depth" (as the depth micrometer read,
    standing on `parallel`). `gauges` are the balls, or the one pair of rolls; `face_limit` is ±
    what all readings share: flatness of the face, zero of the instrument. `outliers` says what
    was decided about readings far from the rest. `confirmed` says of which prints somebody said
    that these are the readings; `struck` ones are kept and count for nothing. `form` is how far
    the diameter may be out of round where a gauge touches, `dirt` and `reseating` how far they may
    put a height out, each ±. `part_expansion` and `gauge_expansion` are per °C, from
    `expansion_origin`; `temperature_limit` is ± of each thermometer. `floor_depth` is where
    the bore ends below its face.
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
    outliers: tuple[Outlier, ...] = ()
    confirmed: tuple[Confirmation, ...] = ()
    struck: bool = False
    identity: str = field(default_factory=new_identity)
    form: float | None = field(default=None, metadata=LATER)
    dirt: float | None = field(default=None, metadata=LATER)
    reseating: float | None = field(default=None, metadata=LATER)
    part_expansion: float | None = field(default=None, metadata=LATER)
    gauge_expansion: float | None = field(default=None, metadata=LATER)
    expansion_origin: str | None = field(default=None, metadata=LATER)
    temperature_limit: float | None = field(default=None, metadata=LATER)
    floor_depth: float | None = field(default=None, metadata=LATER)

    def __post_init__(self) -> None:
        one_of("method", self.method, METHODS)
        one_of("unit", self.unit, UNITS)
        one_of("reads", self.reads, READS)
        one_of("decision rule", self.rule, RULES)
        _lines(self, "measured_by", "date", "notes")
        where_given(self, not_negative, parallel=0.0001, face_limit=0.0001, edge_break=0.0001)
        where_given(self, not_negative, form=0.0001, dirt=0.0001, reseating=0.0001)
        where_given(self, not_negative, temperature_limit=0.5)
        where_given(self, finite, part_temperature=20, gauge_temperature=20)
        where_given(self, positive, part_expansion=0.000018, gauge_expansion=0.0000115)
        where_given(self, positive, floor_depth=0.75)
        for name in ("part_expansion", "gauge_expansion"):
            # Ten times what any metal has: a figure in millionths would pass for one per °C.
            if (getattr(self, name) or 0.0) > 0.0005:
                raise ValueError(
                    f"{name.replace('_', ' ')} is {getattr(self, name):g}; it is per °C, for "
                    "example 0.0000115 for steel"
                )
        line_of_text("expansion origin", self.expansion_origin or "", LONGEST_TEXT)
        whole("cone", self.cone, 0, None, 0)
        self._check_rows()
        for one in self.outliers:
            if not (0 <= one.row < len(self.rows) and 0 <= one.place < len(self.rows[one.row])):
                raise ValueError(f"reading {one.place + 1} of row {one.row + 1} is not there")

    def in_unit(self, unit: str) -> Readings:
        """The same measurement with its lengths in another unit, for showing.

        Readings are rounded to more than any instrument has: 0.0000001 in, 0.000001 mm.
        """
        if one_of("unit", unit, UNITS) == self.unit:
            return self

        def known(value: float, places: int = 12) -> float:
            return round(float(in_unit(value, self.unit, unit)), places)

        def length(value: float | None) -> float | None:
            return None if value is None else known(value)

        def gauge(one: Gauge) -> Gauge:
            return replace(one, size=known(one.size), limit=length(one.limit))

        tool, stated = self.instrument, self.scatter
        return replace(
            self,
            unit=unit,
            gauges=tuple(gauge(one) for one in self.gauges),
            rows=tuple(
                tuple(known(one, 7 if unit == "in" else 6) for one in row) for row in self.rows
            ),
            parallel=length(self.parallel),
            blocks=self.blocks and gauge(self.blocks),
            instrument=tool
            and replace(
                tool,
                graduation=length(tool.graduation),
                limit_of_error=length(tool.limit_of_error),
            ),
            face_limit=length(self.face_limit),
            scatter=stated and replace(stated, value=known(stated.value)),
            edge_break=length(self.edge_break),
            form=length(self.form),
            dirt=length(self.dirt),
            reseating=length(self.reseating),
            floor_depth=length(self.floor_depth),
        )

    def _check_rows(self) -> None:
        rolls = self.method == "rolls and blocks"
        want_gauges, want_rows = _COUNTS[self.method]
        if len(self.gauges) != want_gauges or len(self.rows) != want_rows:
            raise ValueError(
                f"“{self.method}” takes {want_gauges} gauge diameter(s) and {want_rows} row(s) of "
                f"readings; here are {len(self.gauges)} and {len(self.rows)}"
            )
        if want_gauges == 2 and not self.gauges[0].size > self.gauges[1].size:
            raise ValueError(
                f"the balls are {self.gauges[0].size:g} and {self.gauges[1].size:g}; "
                "give the larger first, and the smaller one must be smaller"
            )
        if rolls != (self.blocks is not None):
            raise ValueError(
                f"“{self.method}” {'needs' if rolls else 'has no'} gauge blocks; give the block "
                "height with rolls, and only there"
            )
        if rolls:
            one_of("reads, over rolls,", self.reads, ("height",))
        for row in self.rows:
            if not 1 <= len(row) <= MOST_REPEATS:
                raise ValueError(
                    f"a row has {len(row)} readings; take from 1 to {MOST_REPEATS}, better five"
                )
            for reading in row:
                (not_negative if rolls or self.reads == "depth" else finite)("reading", reading)
