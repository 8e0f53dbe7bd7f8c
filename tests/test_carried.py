"""Carried lines: taken in again they give equal passes, and a slip of the hand is refused.

Check digits are held against python-stdnum's ISO/IEC 7064 MOD 97-10.
"""

import dataclasses
import random
from collections.abc import Iterator

import pytest
from cases import cases
from hypothesis import given
from hypothesis import strategies as st
from stdnum.iso7064 import mod_97_10

from tapertrig import Angle, Dial, Lathe, demo
from tapertrig.budget import proven_pass, proves
from tapertrig.job import Callout, Choices, Job
from tapertrig.job.carried import carried_line, job_number, take_in
from tapertrig.job.passes import moments
from tapertrig.spelled import LARGEST, spelled, unspelled

TAKEN = ("2026-02-03T07:40:00+00:00", "2026-02-03T09:52:00+02:00", "2026-02-03T08:31:00+00:00")


def told(job: Job) -> list[tuple]:
    """All of each pass but its name and the zone of its clock."""
    return [
        (one.compound_reading, one.cross_reading, one.axial_reading, one.half_angle, one.aim,
         one.compound_dial, one.cross_dial, one.unit, one.bolts, one.struck, one.base_radius, when)
        for when, one in moments(job.passes)
    ]  # fmt: skip


def random_job(rng: random.Random) -> Job:
    """A job of one or two cones on some lathe, its angles whole tenths of an arc-second."""
    unit = rng.choice(["in", "mm"])
    fine, turn = (0.001, 0.1) if unit == "in" else (0.02, 3.0)
    dials = (Dial(fine, turn, rng.choice(["radius", "diameter"])) for _ in range(2))
    lathe = Lathe(
        unit, None, *dials, rng.choice([None, "parallel to bed", "square to bed"]),
        base_radius=rng.choice([None, 2.125]), quill_slope=rng.choice([None, 0.0003, -0.001]),
    )  # fmt: skip
    cones = [
        Callout(
            "half angle",
            Angle.from_arc_seconds(rng.randrange(36_000, 3_000_000) / 10).dms(1),
            unit=unit,
            angle_tolerance=rng.choice([None, Angle.from_dms(0, rng.randrange(1, 40))]),
        )
        for _ in range(rng.choice([1, 1, 2]))
    ]
    route = rng.choice([None, "cross travel", "axial travel"])
    return Job(cones, lathe, Choices(compound_travel=2.5, route=route))


def with_passes(rng: random.Random, job: Job, cone: int = 0) -> Job:
    """The job with passes at one cone, some struck out, some within one minute."""
    plan, places = job.plan(cone), 5 if job.lathe.unit == "in" else 4
    minute, compound = rng.randrange(10_000, 30_000_000), 0.0
    for _ in range(rng.randrange(0, 7)):
        if not compound or rng.random() < 0.2:
            compound = round(plan.compound_reading * rng.uniform(0.5, 1.3), places)
        travel = job.lathe.compound_dial.movement(compound)
        share = rng.uniform(0.01, 0.99)
        if plan.route == "cross travel":
            reading = {"cross_reading": job.lathe.cross_dial.reading(travel * share)}
        else:
            reading = {"axial_reading": travel * share}
        reading = {name: round(value, places) for name, value in reading.items()}
        minute += rng.choice([0, 0, 4, 11, 3000])
        time = f"{2020 + minute // 400_000}-03-04T{minute // 60 % 24:02d}:{minute % 60:02d}:00Z"
        bolts = rng.choice(["eased", "tight"])
        job = job.with_pass(compound, **reading, bolts=bolts, cone=cone, time=time)
        if rng.random() < 0.2:
            job = job.strike(job.passes[-1].identity)
    return job


def random_lines(count: int, seed: int) -> Iterator[tuple[Job, Job, str]]:
    rng = random.Random(seed)
    for _ in range(count):
        bare = random_job(rng)
        cone = len(bare.callouts) - 1
        taken = with_passes(rng, bare, cone)
        yield bare, taken, carried_line(taken, cone)


def test_carried_lines_give_equal_passes_and_taken_in_twice_change_nothing():
    seen = 0
    for bare, taken, line in random_lines(cases(400, 10_000), 3):
        assert mod_97_10.is_valid(line.replace(" ", ""))
        back = take_in(bare, line)
        assert told(back) == told(taken)
        assert take_in(back, line) == back
        assert take_in(taken, line) == taken, "what the job has already is not taken in beside it"
        assert carried_line(back, len(bare.callouts) - 1) == line
        seen += len(back.passes)
    assert seen > cases(400, 10_000)


def test_every_single_slip_and_every_two_neighbours_changed_over_are_refused():
    for bare, _, line in random_lines(cases(40, 1000), 4):
        digits = line.replace(" ", "")
        slips = [
            digits[:at] + other + digits[at + 1 :]
            for at, digit in enumerate(digits)
            for other in "0123456789OIlx"
            if other != digit
        ]
        slips += [
            digits[:at] + digits[at + 1] + digits[at] + digits[at + 2 :]
            for at in range(len(digits) - 1)
            if digits[at] != digits[at + 1]
        ]
        assert len(slips) > 13 * len(digits)
        for slip in slips:
            with pytest.raises(ValueError, match="digit"):
                take_in(bare, slip)


@given(st.lists(st.integers(0, LARGEST), min_size=1))
def test_numbers_come_back_however_the_line_is_broken(numbers):
    line = spelled(numbers)
    for between in ("", "-", "\n", " – ", "."):
        assert unspelled(line.replace(" ", between)) == numbers


def test_numbers_and_lines_that_cannot_be_are_refused():
    for number in (-1, LARGEST + 1):
        with pytest.raises(ValueError, match="cannot be carried"):
            spelled([number])
    for broken, why in (
        ("", "whole line"),
        ("98", "whole line"),
        ("7" * 5000, "whole line"),
        ("1234 5678", "check digits"),
        ("12٣4 5678", "“٣” is no digit"),
        # A number that begins with 0, and one that ends too early, with sound check digits.
        ("205" + mod_97_10.calc_check_digits("205"), "fit together"),
        ("31" + mod_97_10.calc_check_digits("31"), "fit together"),
    ):
        with pytest.raises(ValueError, match=why):
            unspelled(broken)


@pytest.fixture
def taken() -> Job:
    job = demo.job()
    for time, reading in zip(TAKEN, (2.2014, 2.2501, 2.2647), strict=True):
        bolts = "tight" if reading == 2.2647 else "eased"
        job = job.with_pass(3.2, cross_reading=reading, bolts=bolts, time=time)
    return job


def test_a_line_for_another_job_cone_or_lathe_is_refused_and_says_which(taken):
    line, bare = carried_line(taken), dataclasses.replace(taken, passes=())
    other = demo.job()
    with pytest.raises(ValueError, match=f"job {job_number(taken):06d}, and this is job"):
        take_in(other, line)
    with pytest.raises(ValueError, match="another lathe"):
        take_in(dataclasses.replace(bare, lathe=demo.LATHES[demo.METRIC_LATHE]), line)
    dial = Dial(0.001, 0.2, "radius")
    with pytest.raises(ValueError, match="another lathe"):
        take_in(
            dataclasses.replace(bare, lathe=dataclasses.replace(bare.lathe, cross_dial=dial)), line
        )
    with pytest.raises(ValueError, match="no lathe is given"):
        take_in(dataclasses.replace(bare, lathe=None), line)
    two = dataclasses.replace(bare, callouts=(bare.callout, bare.callout))
    with pytest.raises(ValueError, match="cone 2; the print has 1"):
        take_in(bare, carried_line(two.with_pass(3.2, cross_reading=2.2, cone=1), 1))
    for numbers in ([], [9, *unspelled(line)[1:]], unspelled(line)[:4]):
        with pytest.raises(ValueError, match=r"carries no passes|whole line"):
            take_in(bare, spelled(numbers))
    with pytest.raises(ValueError, match="ends within a pass"):
        take_in(bare, spelled(unspelled(line)[:-1]))


def test_a_lathe_renamed_or_measured_since_takes_the_line(taken):
    lathe = dataclasses.replace(taken.lathe, name="Renamed", base_radius=None)
    job = take_in(dataclasses.replace(taken, lathe=lathe, passes=()), carried_line(taken))
    assert [one.half_angle for one in job.passes] == [one.half_angle for one in taken.passes]


def test_a_print_that_changed_keeps_the_angles_and_judges_anew(taken):
    line = carried_line(taken)
    assert proves(take_in(dataclasses.replace(taken, passes=()), line), taken.passes[-1])
    asked = dataclasses.replace(taken.callout, value="41°40′")
    job = take_in(dataclasses.replace(taken, callout=asked, passes=()), line)
    assert [one.half_angle for one in job.passes] == [one.half_angle for one in taken.passes]
    assert [one.aim for one in job.passes] == [one.aim for one in taken.passes]
    assert proven_pass(job) is None


def test_a_pass_carried_keeps_the_kind_of_cone_it_was_aimed_at(taken):
    line = carried_line(taken)
    bare = dataclasses.replace(taken, passes=())
    turned = dataclasses.replace(bare, callout=dataclasses.replace(bare.callout, internal=False))
    assert bare.callout.internal
    assert proven_pass(take_in(turned, line)) is None
    assert [one.aim for one in take_in(turned, line).passes] == [one.aim for one in taken.passes]
    # A sheet from before it was told does not say, and is not contradicted.
    older = take_in(bare, spelled([1, *unspelled(line)[1:]]))
    assert {one.aim.internal for one in older.passes} == {None}
    assert proven_pass(older) is not None


def test_an_angle_finer_than_the_line_keeps_the_prints_own():
    job = dataclasses.replace(demo.job(), callout=Callout("taper", "1:3", angle_tolerance="0°12′"))
    assert job.callout.half_angle.arc_seconds.denominator > 10
    aimed = job.with_pass(3.2, cross_reading=1.05, time=TAKEN[0])
    assert take_in(job, carried_line(aimed)).passes[0].aim == aimed.passes[0].aim


def test_a_pass_struck_out_on_either_side_stays_so(taken):
    line = carried_line(taken)
    struck = taken.strike(taken.passes[1].identity)
    assert [one.struck for one in take_in(taken, carried_line(struck)).passes] == [0, 1, 0]
    assert take_in(struck, line) == struck


def test_the_last_pass_is_the_one_taken_last_whoever_brings_it(taken):
    # A proof from the phone is none once the slide was swung and read again at the desk.
    line = carried_line(taken)
    later = dataclasses.replace(taken, passes=()).with_pass(
        3.2, cross_reading=2.21, time="2026-02-03T08:40:00+00:00"
    )
    job = take_in(later, line)
    assert job.standing()[-1].cross_reading == 2.21
    assert proven_pass(job) is None
    assert proven_pass(taken) is not None


def test_two_passes_alike_within_one_minute_are_two(taken):
    twice = dataclasses.replace(taken, passes=())
    for _ in range(2):
        twice = twice.with_pass(3.2, cross_reading=2.2, time=TAKEN[0])
    back = take_in(dataclasses.replace(taken, passes=()), carried_line(twice))
    assert len({one.identity for one in back.passes}) == 2
    both = take_in(take_in(taken, carried_line(twice)), carried_line(twice))
    assert len(both.passes) == len(taken.passes) + 2


def test_a_pass_carried_in_within_the_same_minute_comes_after_those_that_stood_here(taken):
    here = dataclasses.replace(taken, passes=()).with_pass(
        3.2, cross_reading=2.21, time=TAKEN[0].replace(":00+", ":31+")
    )
    assert [one.cross_reading for one in take_in(here, carried_line(taken)).standing()][:2] == [
        2.21, 2.2014,
    ]  # fmt: skip


def test_the_line_is_found_in_the_small_file(taken):
    bare = dataclasses.replace(taken, passes=())
    text = f"Setup sheet, cone 1\n1  3.2000  2.2014\nCarried line:\n{carried_line(taken)}\n"
    assert take_in(bare, text) == take_in(bare, carried_line(taken))
    assert len(take_in(bare, text).passes) == 3
