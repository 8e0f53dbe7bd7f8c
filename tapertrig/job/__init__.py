"""A job: what the print calls for, on which lathe, the plan that follows, kept in a file.

`Job.plan()` is the arithmetic of the setup sheet in one place. A job file is JSON with a format
name, a version, the job's own identity and a checksum.
"""

from __future__ import annotations

import hashlib
import json
import math
import os
import re
import secrets
from dataclasses import dataclass, field, fields
from fractions import Fraction
from numbers import Real
from pathlib import Path
from typing import Any

from tapertrig.angle import Angle
from tapertrig.cone import Cone
from tapertrig.lathe import Dial, DialReading, Lathe, in_unit, length_text
from tapertrig.limits import not_negative, one_of, positive
from tapertrig.saving import plain_file_name, write_whole
from tapertrig.setup import (
    WholeGraduationSetup,
    angle_per_graduation,
    axial_travel,
    cross_reading_window,
    cross_travel,
    swing_words,
    whole_graduation_setups,
)
from tapertrig.standards import (
    GENERAL_CLASSES,
    GENERAL_TOLERANCE_SOURCE,
    general_angular_tolerance,
    standard_taper,
)

CALLOUT_KINDS = (
    "included angle",
    "half angle",
    "taper",
    "taper per foot",
    "two diameters",
    "standard taper",
)
TOLERANCE_ON = ("included angle", "half angle")
SETUP_ORDERS = ("angle error", "sensitivity")
STEEPEST_FOR_SINE = Angle.from_dms(45)

FORMAT = "tapertrig job"
VERSION = 1
ENDING = ".job.json"
LONGEST_SIDE_MM = 1e6
LARGEST_FILE = 1_000_000
LONGEST_LINE = 200
LONGEST_NOTES = 4000


def _text(name: str, value: object, longest: int = LONGEST_LINE) -> str:
    if not isinstance(value, str):
        raise ValueError(f"{name} is {value!r}; it must be text")
    if len(value) > longest:
        raise ValueError(f"{name} has {len(value)} characters; {longest} at most")
    return value


@dataclass(frozen=True)
class Callout:
    """A cone as the print calls for it, lengths in `unit`.

    `kind` is one of CALLOUT_KINDS and `value` what stands beside it on the print, as text:
    "41°26′" (included or half angle), "1:20", "7:24", "5 %" or "0.05" (taper), "0.602" (taper per
    foot), "Morse 3" (standard taper). Two diameters need no value but `other_diameter` and
    `length`. The face diameter is the large one of an internal cone and the small one of an
    external cone; `diameter_plus` and `diameter_minus` are its limits, both ≥ 0 and None when the
    print gives none. `angle_tolerance` (an Angle, or text) is ± on the angle that `tolerance_on`
    names; None when the print gives none.
    """

    kind: str
    value: str
    face_diameter: float
    unit: str = "in"
    internal: bool = True
    diameter_plus: float | None = None
    diameter_minus: float | None = None
    angle_tolerance: Angle | None = None
    tolerance_on: str = "included angle"
    other_diameter: float | None = None
    length: float | None = None

    def __post_init__(self) -> None:
        one_of("callout", self.kind, CALLOUT_KINDS)
        if isinstance(self.value, Angle):
            object.__setattr__(self, "value", _shortest_text(self.value))
        _text(self.kind, self.value)
        one_of("print unit", self.unit, ("in", "mm"))
        if not isinstance(self.internal, bool):
            raise ValueError(f"internal is {self.internal!r}; it must be True or False")
        positive("face diameter", self.face_diameter, 1.25)
        for name, limit in (("plus", self.diameter_plus), ("minus", self.diameter_minus)):
            if limit is not None:
                not_negative(f"face diameter tolerance, {name},", limit, 0.002)
        if (self.diameter_plus is None) != (self.diameter_minus is None):
            raise ValueError(
                "the face diameter has a tolerance on one side only; give both, for example "
                "plus 0.002 and minus 0"
            )
        if self.diameter_minus is not None and self.diameter_minus >= self.face_diameter:
            raise ValueError(
                f"face diameter tolerance, minus, is {self.diameter_minus:g}; "
                f"it must be less than the diameter itself, {self.face_diameter:g}"
            )
        if isinstance(self.angle_tolerance, str):
            object.__setattr__(self, "angle_tolerance", Angle.parse(self.angle_tolerance))
        if self.angle_tolerance is not None:
            if not isinstance(self.angle_tolerance, Angle):
                raise ValueError(
                    f"angle tolerance is {self.angle_tolerance!r}; "
                    "give it as 0°10′, or leave it out"
                )
            if not 0 < self.angle_tolerance.degrees < 90:
                raise ValueError(
                    f"angle tolerance is {self.angle_tolerance}; it must be more than zero and "
                    "below 90°, for example 0°10′"
                )
        one_of("angle tolerance on", self.tolerance_on, TOLERANCE_ON)
        self.cone()

    def cone(self) -> Cone:
        """The cone it defines, in the print's unit; ValueError when it defines none."""
        rest = {"length": self.length, "internal": self.internal}
        face = self.face_diameter
        if self.kind == "two diameters":
            if self.other_diameter is None or self.length is None:
                raise ValueError(
                    "two diameters need the other diameter and the length between them, "
                    "for example 1.25, 0.75 and 0.5"
                )
            large, small = face, self.other_diameter
            if not self.internal:
                large, small = small, large
            return Cone.from_diameters(large, small, self.length, self.internal)
        if self.kind == "included angle":
            return Cone.from_included(Angle.parse(self.value), face, **rest)
        if self.kind == "half angle":
            return Cone(Angle.parse(self.value), face, **rest)
        if self.kind == "taper":
            return Cone.from_taper(self.value, face, **rest)
        if self.kind == "taper per foot":
            return Cone.from_taper_per_foot(_number("taper per foot", self.value), face, **rest)
        return Cone(standard_taper(self.value).half_angle, face, **rest)

    @property
    def diameter_limits(self) -> tuple[float, float] | None:
        """Lowest and highest face diameter, print's unit; None when the print gives no limits."""
        if self.diameter_plus is None or self.diameter_minus is None:
            return None
        return (self.face_diameter - self.diameter_minus, self.face_diameter + self.diameter_plus)

    def words(self) -> str:
        """The callout in one line, as a print would have it."""
        if self.kind == "two diameters":
            return (
                f"{self.face_diameter:g} and {self.other_diameter:g} {self.unit} diameter, "
                f"{self.length:g} {self.unit} apart"
            )
        return f"{self.kind} {self.value.strip()}"


def _shortest_text(angle: Angle) -> str:
    """The shortest text that gives the angle back, to a millionth of an arc-second at most."""
    forms = (angle.dm(), angle.dms(), angle.dms(2), angle.dms(4))
    return next((text for text in forms if Angle.parse(text) == angle), angle.dms(6))


def _number(name: str, text: str) -> float:
    if not re.fullmatch(r"\s*(\d{1,9}(\.\d{0,12})?|\.\d{1,12})\s*", text, re.ASCII):
        raise ValueError(f"{name} is “{text[:40]}”; it must be a number, for example 0.602")
    return float(text)


@dataclass(frozen=True)
class Choices:
    """What the machinist chooses; lengths in the lathe's unit, None where the plan shall choose.

    `general_class` and `shorter_side` serve only when the print gives no angle tolerance.
    """

    compound_travel: float | None = None
    shortest_travel: float | None = None
    order: str = "angle error"
    general_class: str = "m"
    shorter_side: float | None = None

    def __post_init__(self) -> None:
        for name in ("compound_travel", "shortest_travel", "shorter_side"):
            value = getattr(self, name)
            if value is not None:
                positive(name.replace("_", " "), value, 2.5)
        one_of("order of setups", self.order, SETUP_ORDERS)
        one_of("general tolerance class", self.general_class, tuple(GENERAL_CLASSES))


@dataclass(frozen=True)
class Plan:
    """Everything the setup sheet says; lengths in the lathe's unit, readings as the dials show.

    `window` holds the cross readings between which the half angle is in tolerance; `sensitivity`
    is the arc-seconds of half angle that one cross graduation stands for. `assumptions` and
    `warnings` are sentences to be shown wherever the numbers are.
    """

    lathe: Lathe
    cone: Cone
    half_angle_tolerance: Angle
    tolerance_is_assumed: bool
    base_reading: Angle
    swing: str
    compound_travel: float
    cross_travel: float
    axial_travel: float
    compound_reading: float
    cross_reading: float
    compound_split: DialReading
    cross_split: DialReading
    window: tuple[float, float]
    setups: tuple[WholeGraduationSetup, ...]
    sensitivity: float
    assumptions: tuple[str, ...]
    warnings: tuple[str, ...]

    @property
    def half_angle(self) -> Angle:
        """The angle the compound is swung to, between cone wall and spindle axis."""
        return self.cone.half_angle

    def rows(self) -> tuple[tuple[str, str], ...]:
        """Name and value of each number, in words for a sheet or a panel."""
        unit, low, high = self.lathe.unit, *self.window
        assumed = " (assumed)" if self.tolerance_is_assumed else ""
        return (
            ("Included angle", self.cone.included_angle.dms(1)),
            ("Half angle", f"{self.half_angle.dms(1)} ± {self.half_angle_tolerance}{assumed}"),
            ("Base reading, by eye", f"{self.base_reading.dm()} ({self.lathe.base_zero})"),
            ("Compound travel", length_text(self.compound_travel, unit)),
            ("Compound dial", self.lathe.compound_dial.words(self.compound_reading, unit)),
            ("Cross travel", length_text(self.cross_travel, unit)),
            (
                "Cross dial must show",
                f"{length_text(self.cross_reading, unit)} ({self.lathe.cross_dial.reads}-reading)",
            ),
            ("which is", self.lathe.cross_dial.words(self.cross_reading, unit)),
            ("In tolerance between", f"{length_text(low, unit)} and {length_text(high, unit)}"),
            ("Axial travel", length_text(self.axial_travel, unit)),
            ("One cross graduation is", f"{self.sensitivity:.0f}″ of half angle"),
        )


def _angle_tolerance(callout: Callout, cone: Cone, choices: Choices, lathe: Lathe):
    """The half angle's ± tolerance and, when the print gives none, the assumption made."""
    if callout.angle_tolerance is not None:
        on_included = callout.tolerance_on == "included angle"
        given = callout.angle_tolerance
        return (given.half() if on_included else given), None
    side, why = _shorter_side_mm(cone, choices, lathe)
    given = general_angular_tolerance(choices.general_class, side)
    on_half = callout.kind == "half angle"
    words = GENERAL_CLASSES[choices.general_class]
    return (given if on_half else given.half()), (
        f"The print gives no angle tolerance. Assumed: ±{given.dm()} on the "
        f"{'half' if on_half else 'included'} angle, class {choices.general_class} ({words}), "
        f"{why}. {GENERAL_TOLERANCE_SOURCE}."
    )


def _shorter_side_mm(cone: Cone, choices: Choices, lathe: Lathe) -> tuple[float, str]:
    if choices.shorter_side is not None:
        side = in_unit(choices.shorter_side, lathe.unit, "mm")
        return side, f"shorter side {length_text(side, 'mm', 1)} as entered"
    cosine = math.cos(cone.half_angle.radians)
    if cone.length is not None:
        side = in_unit(cone.length / cosine, lathe.unit, "mm")
        return side, f"shorter side {length_text(side, 'mm', 1)} along the cone's wall"
    if cone.internal:
        to_point = cone.face_diameter / (2 * math.sin(cone.half_angle.radians))
        side = in_unit(to_point, lathe.unit, "mm")
        return side, (
            f"cone length not given, so the longest it could be, {length_text(side, 'mm', 1)} "
            "along the wall to the point (the strictest reading)"
        )
    return LONGEST_SIDE_MM, "cone length not given, so the strictest column"


def _setups(half_angle: Angle, lathe: Lathe, choices: Choices) -> tuple[WholeGraduationSetup, ...]:
    return tuple(
        whole_graduation_setups(half_angle, lathe, choices.shortest_travel, order=choices.order)
    )


def make_plan(callout: Callout, lathe: Lathe, choices: Choices | None = None) -> Plan:
    """The setup that a callout needs on a lathe.

    When no compound travel is chosen, the longest of the ten whole-graduation setups that leave
    the least angle error, or the whole reach when there is none. ValueError for a travel past
    the reach. Formulas: plane trigonometry; half angle and taper as in ISO 3040.
    """
    choices = Choices() if choices is None else choices
    printed = callout.cone()
    cone = Cone(
        printed.half_angle,
        in_unit(printed.face_diameter, callout.unit, lathe.unit),
        None if printed.length is None else in_unit(printed.length, callout.unit, lathe.unit),
        printed.internal,
    )
    alpha = cone.half_angle
    tolerance, assumption = _angle_tolerance(callout, cone, choices, lathe)
    setups = _setups(alpha, lathe, choices)
    travel = choices.compound_travel
    if travel is None:
        travel = max((row.compound_travel for row in setups), default=lathe.compound_reach)
    lathe.check_reach(travel)
    cross = float(cross_travel(travel, alpha))
    compound_reading = float(lathe.compound_dial.reading(travel))
    cross_reading = float(lathe.cross_dial.reading(cross))
    window = cross_reading_window(alpha, tolerance, travel, lathe.cross_dial)
    base = lathe.base_reading(alpha)
    return Plan(
        lathe=lathe,
        cone=cone,
        half_angle_tolerance=tolerance,
        tolerance_is_assumed=assumption is not None,
        base_reading=base,
        swing=_swing(cone, lathe, base),
        compound_travel=travel,
        cross_travel=cross,
        axial_travel=float(axial_travel(travel, alpha)),
        compound_reading=compound_reading,
        cross_reading=cross_reading,
        compound_split=_split(lathe.compound_dial, compound_reading, lathe.unit),
        cross_split=_split(lathe.cross_dial, cross_reading, lathe.unit),
        window=window,
        setups=setups,
        sensitivity=float(angle_per_graduation(travel, alpha, lathe.cross_dial)),
        assumptions=() if assumption is None else (assumption,),
        warnings=tuple(_warnings(cone, tolerance, travel, window, setups, lathe)),
    )


def _split(dial: Dial, reading: float, unit: str) -> DialReading:
    return dial.split(dial.settle(reading, unit))


def _swing(cone: Cone, lathe: Lathe, base: Angle) -> str:
    start = "0°" if lathe.base_zero == "parallel to bed" else "90°"
    return (
        f"Start from parallel to the bed (base reads {start}) and swing {cone.half_angle.dm()} "
        f"{swing_words(cone.internal)}. The base then reads about {base.dm()}."
    )


def _warnings(
    cone: Cone,
    tolerance: Angle,
    travel: float,
    window: tuple[float, float],
    setups: tuple[WholeGraduationSetup, ...],
    lathe: Lathe,
):
    if cone.half_angle > STEEPEST_FOR_SINE:
        yield (
            f"The half angle is {cone.half_angle.dm()}, past 45°: the cross reading loses its "
            "grip on the angle. Measure the axial travel instead: the half angle is the inverse "
            "cosine of axial ÷ compound travel."
        )
    if tolerance >= cone.half_angle:
        yield (
            f"The tolerance on the half angle, ±{tolerance.dm()}, is as wide as the half angle "
            "itself: ask what the print means."
        )
    if window[1] - window[0] < lathe.cross_dial.graduation:
        yield (
            "The whole window of cross readings is narrower than one graduation of the cross "
            "dial: use a longer travel, or a travel indicator instead of the dial."
        )
    lines = travel / lathe.compound_dial.movement_per_graduation
    if abs(lines - round(lines)) > 1e-6 * max(1.0, lines):
        yield "The compound travel falls between two graduations of the compound dial."
    if not setups:
        yield "No travel within reach brings the cross dial to a whole graduation."


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
            _text(name.replace("_", " "), getattr(self, name))
        _text("lathe name", self.lathe.name)
        _text("notes", self.notes, LONGEST_NOTES)
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
