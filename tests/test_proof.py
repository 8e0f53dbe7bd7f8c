"""Whether a pass proves what the print asks now, by sums written out here."""

import dataclasses
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tapertrig import Angle, Dial, Lathe
from tapertrig.budget import no_longer_stated, not_of_now, proven_pass, proves
from tapertrig.budget.proof import OTHER_DIALS
from tapertrig.job import Callout, Choices, Job, StatedAngle
from tapertrig.procedure import procedure

SECOND = math.pi / 648000
LATHES = {
    "in": Lathe("in", 3.25, Dial(0.001, 0.1), Dial(0.001, 0.2, "diameter")),
    "mm": Lathe("mm", 86.0, Dial(0.02, 3.0), Dial(0.02, 4.0)),
}


def job(angle="20°43'", tolerance="0°06'", unit="in", **changes):
    asked = Callout(
        "half angle", angle, angle_tolerance=tolerance, tolerance_on="half angle", **changes
    )
    return Job(asked, LATHES[unit])


def written_out(plan):
    """T − 1.65 u in radians, term by term: JCGM 100 with the sensitivities of trade.

    Where T is less than U = 2 u nothing is proven: a normal error of that u stays within less
    than ±2 u for no more than 95 %, wherever the slide reads (tables of the normal distribution).

    Two readings of each dial, rectangular of half a line; two screws, rectangular, .0003 of the
    travel; two nulls, normal; datum 20″ rectangular; snugging up 30″ triangular. Axial: two
    readings of the needle, rectangular, instead of the cross dial's.
    """
    lathe, alpha, s = plan.lathe, plan.half_angle.radians, plan.compound_travel
    inch = lathe.unit == "in"
    compound = lathe.compound_dial.graduation / lathe.compound_dial.factor / 2
    if plan.route == "cross travel":
        side, per_side = s * math.sin(alpha), 1 / (s * math.cos(alpha))
        read, per_s = lathe.cross_dial.graduation / lathe.cross_dial.factor / 2, math.tan(alpha) / s
    else:
        side, per_side = s * math.cos(alpha), 1 / (s * math.sin(alpha))
        read, per_s = 0.0005 if inch else 0.01, 1 / (s * math.tan(alpha))
    null = 0.0001 if inch else 0.002
    variance = (
        2 * (per_s * compound) ** 2 / 3
        + 2 * (per_side * read) ** 2 / 3
        + ((per_s * s * 0.0003) ** 2 + (per_side * side * 0.0003) ** 2) / 3
        + 2 * (per_side * null) ** 2
        + (20 * SECOND) ** 2 / 3
        + (30 * SECOND) ** 2 / 6
    )
    tolerance, u = plan.half_angle_tolerance.radians, math.sqrt(variance)
    return tolerance - 1.65 * u if tolerance >= 2 * u else -1.0


def passed(a_job, radians, bolts="tight"):
    """The job with a pass whose readings tell that half angle."""
    plan = a_job.plan()
    s = plan.compound_travel
    if plan.route == "cross travel":
        told = {"cross_reading": plan.lathe.cross_dial.factor * s * math.sin(radians)}
    else:
        told = {"axial_reading": s * math.cos(radians)}
    return a_job.with_pass(plan.lathe.compound_dial.reading(s), bolts=bolts, **told)


@given(st.floats(3, 84), st.floats(1, 20), st.sampled_from(["in", "mm"]), st.floats(-1.5, 1.5))
@settings(deadline=None, max_examples=80)
def test_a_pass_proves_within_the_tolerance_less_the_guard_band(degrees, minutes, unit, off):
    asked = Angle.from_degrees(round(degrees, 3))
    a_job = job(
        asked.dms(3), f"0 0 {round(minutes * 59)}" if minutes < 1 else f"0 {minutes:.3f}", unit
    )
    plan = a_job.plan()
    assert plan.route == ("axial travel" if asked > Angle.from_dms(45) else "cross travel")
    room = written_out(plan)
    window = procedure(plan).proven
    assert (window is None) == (room <= 0)
    told = plan.half_angle.radians + off * plan.half_angle_tolerance.radians
    if abs(abs(told - plan.half_angle.radians) - room) < 1e-9 or not 0 < told < 1.57:
        return
    done = passed(a_job, told)
    assert proves(done, done.passes[0]) == (abs(told - plan.half_angle.radians) < room)
    if window is not None:
        one = done.passes[0]
        reading = one.cross_reading or one.axial_reading
        assert proves(done, one) == (window[0] <= reading <= window[1])


def test_readings_in_tolerance_that_prove_nothing():
    # In tolerance by a hair is not proven: the old window took no account of the guard band.
    a_job = job()
    plan = a_job.plan()
    done = passed(a_job, plan.half_angle.radians + 0.98 * plan.half_angle_tolerance.radians)
    assert plan.window[0] < done.passes[0].cross_reading < plan.window[1]
    assert not proves(done, done.passes[0])


def test_only_a_standing_pass_with_tight_bolts_proves():
    a_job = job()
    right = a_job.plan().half_angle.radians
    eased, tight = passed(a_job, right, "eased"), passed(a_job, right)
    assert not proves(eased, eased.passes[0])
    assert proves(tight, tight.passes[0])
    assert proven_pass(tight) == tight.passes[0]
    struck = tight.strike(tight.passes[0].identity)
    assert not proves(struck, struck.passes[0])
    assert proven_pass(struck) is None
    # Eased again: where the slide stands now, nothing has proven.
    assert proven_pass(passed(tight, right, "eased")) is None


def test_judged_by_the_print_as_it_now_is_and_never_by_an_assumed_tolerance():
    done = passed(job(), Angle.parse("20°43'").radians)
    (one,) = done.passes

    def asks(**changes):
        return dataclasses.replace(done, callout=dataclasses.replace(done.callout, **changes))

    assert proves(done, one)
    assert not proves(asks(value="20°50'"), one)
    assert proves(asks(value="20°44'"), one)
    assert not proves(asks(angle_tolerance="0°0'20″"), one)  # 1.65 u is more
    assert not proves(asks(angle_tolerance=None), one)
    assert not proves(asks(kind=None, value=""), one)
    assert not proves(dataclasses.replace(done, callouts=()), one)


def test_the_uncertainty_is_of_the_dials_it_was_read_on():
    a_job = job(tolerance="0°01'30″")
    done = passed(a_job, a_job.plan().half_angle.radians)
    coarse = dataclasses.replace(LATHES["in"], cross_dial=Dial(0.02, 0.2))
    # Its angle stays, but all that is said beside it by now is of the dials the job's lathe has.
    assert not proves(dataclasses.replace(done, lathe=coarse), done.passes[0])
    assert not_of_now(dataclasses.replace(done, lathe=coarse), done.passes[0]) == OTHER_DIALS
    assert proves(dataclasses.replace(done, lathe=None), done.passes[0])
    rough = Job(a_job.callout, coarse)
    assert procedure(rough.plan()).proven is None
    again = passed(rough, a_job.plan().half_angle.radians)
    assert not proves(again, again.passes[0])


def test_the_route_is_that_of_the_pass():
    by_axis = dataclasses.replace(job(), choices=Choices(route="axial travel"))
    done = passed(by_axis, by_axis.plan().half_angle.radians)
    assert done.passes[0].aim.route == "axial travel"
    assert proves(done, done.passes[0]) == (written_out(by_axis.plan()) > 0)
    back = dataclasses.replace(done, choices=Choices())
    assert proves(back, back.passes[0]) == proves(done, done.passes[0])
    with pytest.raises(ValueError, match="measured by the cross travel"):
        back.with_pass(3.0, axial_reading=2.8)


def test_a_lathe_renamed_or_measured_since_voids_nothing():
    done = passed(job(), Angle.parse("20°43'").radians)
    lathe = dataclasses.replace(
        done.lathe, name="Renamed", base_radius=2.0, cross_backlash=0.01, compound_reach=3.0
    )
    assert proves(dataclasses.replace(done, lathe=lathe), done.passes[0])
    for changes in ({"unit": "mm", "compound_reach": 82.0}, {"compound_dial": Dial(0.002, 0.1)}):
        other = dataclasses.replace(done, lathe=dataclasses.replace(done.lathe, **changes))
        assert proven_pass(other) is None
        assert other.passes[0].half_angle == done.passes[0].half_angle


def test_a_cone_of_the_other_kind_is_not_what_it_was_aimed_at():
    # The same angle on the other side of the work: the slide stands the other way.
    done = passed(job(), Angle.parse("20°43'").radians)
    turned = dataclasses.replace(done.callout, internal=not done.callout.internal)
    other = dataclasses.replace(done, callout=turned)
    assert proven_pass(done) is not None
    assert proven_pass(other) is None
    assert "the aim was another" in not_of_now(other, done.passes[0])
    # A file from before it was kept does not say, and is not contradicted.
    (one,) = done.passes
    unknown = dataclasses.replace(one, aim=dataclasses.replace(one.aim, internal=None))
    plain = dataclasses.replace(other, passes=(unknown,))
    assert '"internal": null' not in plain.file_text()
    assert proves(Job.from_file_text(plain.file_text()), unknown)
    assert Job.from_file_text(done.file_text()).passes == done.passes


def test_a_half_angle_stated_by_an_earlier_pass_says_which_way_that_pass_is_gone():
    a_job = job("21°35'", "0°06'", face_diameter=1.9, length=0.7)
    first = passed(a_job, Angle.parse("21°35'").radians)
    stated = StatedAngle(
        Angle.parse("21°35'"), Angle.parse("0°02'"), "a pass", first.passes[-1].identity
    )
    assert no_longer_stated(first, 0, stated) == ""
    again = passed(first, Angle.parse("21°36'").radians)
    assert "not the last one any more" in no_longer_stated(again, 0, stated)
    assert "no longer proves" not in no_longer_stated(again, 0, stated)
    struck = first.strike(first.passes[-1].identity)
    assert "is struck out" in no_longer_stated(struck, 0, stated)
    other = dataclasses.replace(
        again, callouts=(dataclasses.replace(again.callout, value="21°55'"),)
    )
    assert "no longer proves the slide" in no_longer_stated(other, 0, stated)
