"""Passes taken where the job is not, such as on a phone: one line of digits takes them along.

The line's numbers: its kind, which says the cone's, too (`KINDS`), the job, which cone and route,
the half angle aimed at and its tolerance in tenths of an arc-second, a mark of the dials, the
minute of the first pass; then for each pass the minutes since the one before with its flags, the
compound reading where it is another, and the reading. `printed/templates/setup_sheet.js` writes
the same line.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from fractions import Fraction

from tapertrig.angle import Angle
from tapertrig.job.job import Job
from tapertrig.job.passes import AXIAL, CROSS, Aim, Pass, moments
from tapertrig.job.plain import canonical, to_plain
from tapertrig.lathe import Lathe, places_written
from tapertrig.setup import BY_SINE
from tapertrig.spelled import spelled, unspelled

# What the first number says of the cone aimed at: internal or not; nothing on the oldest sheets.
KINDS: dict[int, bool | None] = {1: None, 2: False, 3: True}
JOBS = 10**6
TIGHT, STRUCK, OTHER_TRAVEL, FLAGS = 1, 2, 4, 8
FIRST_MINUTE = datetime(2020, 1, 1, tzinfo=UTC)
_MINUTE = timedelta(minutes=1)


@dataclass(frozen=True)
class Taken:
    """One pass as the line has it: readings in the finest step carried, see `reading_step`."""

    minute: int
    compound: int
    reading: int
    tight: bool
    struck: bool = False


def reading_step(unit: str) -> float:
    """The finest step of a reading that is carried: a tenth of the last place written."""
    return 10.0 ** -(places_written(unit) + 1)


def job_number(job: Job) -> int:
    """The six digits by which a line tells this job from others."""
    return int(job.identity, 16) % JOBS


def heading(job: Job, cone: int = 0) -> tuple[int, ...]:
    """What a line says before its passes: the job, and what they are aimed at on which dials."""
    aim = job.aim(cone)
    kind = 2 + job.callouts[cone].internal
    return kind, job_number(job), 2 * cone + (aim.route == AXIAL), *_asked(aim), _dials(_lathe(job))


def last_minute(job: Job) -> int:
    """The minute of the job's last pass: one taken where the job is not comes after it."""
    last = max((moment for moment, _ in moments(job.passes)), default=FIRST_MINUTE)
    return max(0, (last - FIRST_MINUTE) // _MINUTE)


def carried_line(job: Job, cone: int = 0) -> str:
    """The line that carries the passes of one cone, taken for the print and dials as they are."""
    return spelled((*heading(job, cone), *_numbers(taken for taken, _ in _taken_of(job, cone))))


def take_in(job: Job, line: str) -> Job:
    """The job with the passes of a line beside its own; taken in again, it changes nothing.

    `line` may be the text of the small file that holds it. A pass struck out in the line is struck
    out here. When the print asks for something else now, the passes keep what they were aimed at.
    ValueError, saying what is wrong, for a damaged line, another job's, or other dials'.
    """
    kind, *rest = unspelled(line.rpartition(":")[2])
    if kind not in KINDS or len(rest) < 5:
        raise ValueError("this line carries no passes of a setup sheet, or a newer one's")
    number, place, half_angle, tolerance, dials, *told = rest
    if number != job_number(job):
        raise ValueError(
            f"the line is of job {number:06d}, and this is job {job_number(job):06d}; "
            "open the job whose sheet it comes from"
        )
    cone = place // 2
    if cone >= len(job.callouts):
        raise ValueError(f"the line is of cone {cone + 1}; the print has {len(job.callouts)}")
    if dials != _dials(_lathe(job)):
        raise ValueError(
            "the line's dials were read on another lathe, or its unit or dials have been changed "
            "since the sheet was written; choose that lathe, and take the line in again"
        )
    chosen = job.aim(cone).route
    route = AXIAL if place % 2 else chosen if chosen in BY_SINE else CROSS
    aim = replace(job.aim(cone, route), internal=KINDS[kind])
    if _asked(aim) != (half_angle, tolerance):
        allowed = _angle(tolerance - 1) if tolerance else None
        aim = replace(aim, half_angle=_angle(half_angle), tolerance=allowed)
    return _union(job, aim, _passes(told))


def _union(job: Job, aim: Aim, carried: Iterable[Taken]) -> Job:
    there: dict[tuple[object, ...], Pass] = {}
    seen: Counter[object] = Counter()
    for taken, one in _taken_of(job, aim.cone, aim.route):
        there[_key(taken, seen)] = one
    seen.clear()
    for taken in carried:
        key = _key(taken, seen)
        if key not in there:
            job = replace(job, passes=(*job.passes, _pass(job, aim, taken, key)))
        elif taken.struck and not there[key].struck:
            job = job.strike(there[key].identity)
    return job


def _key(taken: Taken, seen: Counter[object]) -> tuple[object, ...]:
    """What makes a pass itself, and how many like it came before."""
    same = replace(taken, struck=False)
    seen[same] += 1
    return *to_plain(same).values(), seen[same]


def _pass(job: Job, aim: Aim, taken: Taken, key: tuple[object, ...]) -> Pass:
    lathe = _lathe(job)
    scale = round(1 / reading_step(lathe.unit))
    name = canonical([job.identity, aim.cone, aim.route, *key])
    time = FIRST_MINUTE + taken.minute * _MINUTE
    return Pass(
        compound_reading=taken.compound / scale,
        aim=aim,
        compound_dial=lathe.compound_dial,
        cross_dial=lathe.cross_dial,
        unit=lathe.unit,
        cross_reading=taken.reading / scale if aim.route != AXIAL else None,
        axial_reading=taken.reading / scale if aim.route == AXIAL else None,
        base_radius=lathe.base_radius,
        bolts="tight" if taken.tight else "eased",
        time=time.isoformat() if taken.minute else "",
        struck=taken.struck,
        identity=hashlib.sha256(name.encode()).hexdigest()[:16],
    )


def _taken_of(job: Job, cone: int, route: str | None = None) -> Iterator[tuple[Taken, Pass]]:
    """The passes that a line of this cone can carry, in the order they were taken."""
    aim, lathe = job.aim(cone, route), _lathe(job)
    step = reading_step(lathe.unit)
    for moment, one in moments(job.passes):
        if (one.aim.cone, one.aim.route) != (cone, aim.route) or _dials(one) != _dials(lathe):
            continue
        if route is None and _asked(one.aim) != _asked(aim):
            continue
        if route is None and one.aim.internal not in (None, aim.internal):
            continue
        minute = max(0, (moment - FIRST_MINUTE) // _MINUTE)
        compound = round(one.compound_reading / step)
        reading = round(one.reading / step)
        yield Taken(minute, compound, reading, one.bolts == "tight", one.struck), one


def _numbers(passes: Iterable[Taken]) -> Iterator[int]:
    before: Taken | None = None
    for one in passes:
        if before is None:
            yield one.minute
        other = before is None or one.compound != before.compound
        since = 0 if before is None else one.minute - before.minute
        yield FLAGS * since + TIGHT * one.tight + STRUCK * one.struck + OTHER_TRAVEL * other
        if other:
            yield one.compound
        yield one.reading
        before = one


def _passes(told: list[int]) -> Iterator[Taken]:
    numbers = iter(told)
    minute, compound = next(numbers, 0), 0
    for head in numbers:
        try:
            since, flags = divmod(head, FLAGS)
            minute += since
            compound = next(numbers) if flags & OTHER_TRAVEL else compound
            reading = next(numbers)
        except StopIteration:
            raise ValueError("the line ends within a pass; copy or type all of it") from None
        yield Taken(minute, compound, reading, bool(flags & TIGHT), bool(flags & STRUCK))


def _lathe(job: Job) -> Lathe:
    if job.lathe is None:
        raise ValueError("no lathe is given; choose or describe the one the dials were read on")
    return job.lathe


def _asked(aim: Aim) -> tuple[int, int]:
    """An aim's half angle, and its tolerance or 0 for none, as a line has them."""
    return _tenths(aim.half_angle), 0 if aim.tolerance is None else 1 + _tenths(aim.tolerance)


def _dials(read_on: Lathe | Pass) -> int:
    """Four digits that change with the unit and with anything of the two dials."""
    dials = [read_on.unit, to_plain(read_on.compound_dial), to_plain(read_on.cross_dial)]
    return int(hashlib.sha256(canonical(dials).encode()).hexdigest(), 16) % 9999 + 1


def _tenths(angle: Angle) -> int:
    return round(angle.arc_seconds * 10)


def _angle(tenths: int) -> Angle:
    return Angle.from_arc_seconds(Fraction(tenths, 10))
