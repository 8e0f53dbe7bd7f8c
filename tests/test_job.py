"""Callouts, the plan that follows from them, and job files that are whole or refused."""

import dataclasses
import hashlib
import json
import math
import os
import random
import subprocess
import sys
from fractions import Fraction
from pathlib import Path

import pytest
from cases import cases
from hypothesis import example, given, settings
from hypothesis import strategies as st
from random_jobs import jobs, patient, planned_jobs

from tapertrig import Angle, Dial, Lathe, demo
from tapertrig.budget import proven_pass, proves
from tapertrig.job import (
    Callout,
    Choices,
    Job,
    job_file_name,
    make_plan,
)
from tapertrig.job.file import FORMAT
from tapertrig.setup import half_angle_from
from tapertrig.standards import FROM_MEMORY

PARALLEL = Lathe("in", 4.0, Dial(0.001, 0.1), Dial(0.001, 0.2, "diameter"), name="test lathe")
SQUARE = dataclasses.replace(PARALLEL, base_zero="square to bed")
METRIC = Lathe("mm", 100.0, Dial(0.02, 3.0), Dial(0.02, 4.0))
PRINT = Callout("included angle", "62°44'", 1.25, angle_tolerance="0°10'", length=0.5)


# ---------------------------------------------------------------- callouts


@pytest.mark.parametrize(
    ("callout", "half_angle"),
    [
        # Half angles worked out by hand or by the definition of each callout.
        (Callout("included angle", "62°44'", 1.25), "31°22′00.00″"),
        (Callout("included angle", "62 45", 1.25), "31°22′30.00″"),
        (Callout("half angle", "31.5", 1.25), "31°30′00.00″"),
        (Callout("taper", "1:20", 1.25), "1°25′55.55″"),  # ISO 1119, halved
        (Callout("taper", "5 %", 1.25), "1°25′55.55″"),
        (Callout("taper", "0.05", 1.25), "1°25′55.55″"),
        (Callout("taper per foot", "0.6", 1.25), "1°25′55.55″"),  # 0.6/12 = 1:20
        (Callout("standard taper", "metric 1:20", 1.25), "1°25′55.55″"),
        (Callout("standard taper", "60°", 1.25), "30°00′00.00″"),
        (Callout("taper", "ME 80", 1.25), "1°25′55.55″"),
        (Callout("two diameters", "", 1.25, other_diameter=1.2, length=1.0), "1°25′55.55″"),
        (
            Callout("two diameters", "", 1.2, internal=False, other_diameter=1.25, length=1.0),
            "1°25′55.55″",
        ),
    ],
)
def test_every_callout_of_a_print_gives_its_half_angle(callout, half_angle):
    assert callout.cone().half_angle.dms(2) == half_angle
    assert callout.cone().face_diameter == callout.face_diameter
    assert callout.words()


def test_an_angle_itself_may_stand_for_its_text():
    callout = Callout("half angle", Angle.parse("31°22'30.5″"), 1.25)
    assert callout.cone().half_angle == Angle.parse("31°22'30.5″")
    assert callout.value == "31°22′30.50″"
    assert Callout("half angle", Angle.from_dms(31, 22), 1.25).value == "31°22′"


def test_face_diameter_limits():
    assert PRINT.diameter_limits is None
    callout = dataclasses.replace(PRINT, diameter_plus=0.003, diameter_minus=0.0)
    assert callout.diameter_limits == pytest.approx((1.25, 1.253))


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"kind": "slope"}, "callout is 'slope'"),
        ({"value": "62°60'"}, "minutes run from 0 to below 60"),
        ({"value": "180"}, "included angle"),
        ({"value": "0"}, "included angle"),
        ({"value": 62.7}, "must be text"),
        ({"value": "1" * 300}, "300 characters"),
        ({"kind": "taper per foot", "value": "nan"}, "taper per foot is “nan”"),
        ({"kind": "taper per foot", "value": "1e400"}, "taper per foot is “1e400”"),
        ({"kind": "taper per foot", "value": "0"}, "taper per foot is 0"),
        ({"kind": "standard taper", "value": "Morse 9"}, "no standard taper"),
        ({"kind": "taper", "value": "MT9"}, "known are Morse 0 to 7 and 4½"),
        ({"kind": "two diameters", "value": ""}, "the other diameter and the length"),
        (
            {"kind": "two diameters", "value": "", "other_diameter": 1.3},
            "small diameter is 1.3 and large diameter 1.25",
        ),
        ({"face_diameter": 0.0}, "face diameter is 0"),
        ({"face_diameter": math.nan}, "face diameter is nan"),
        ({"face_diameter": "1.25"}, "must be a number"),
        ({"unit": "cm"}, "print unit is 'cm'"),
        ({"internal": "yes"}, "internal is 'yes'"),
        ({"diameter_plus": 0.002}, "one side only"),
        ({"diameter_plus": -0.1, "diameter_minus": 0.0}, "plus, is -0.1"),
        ({"diameter_plus": 0.0, "diameter_minus": 2.0}, "minus, is 2"),
        ({"angle_tolerance": "0"}, "angle tolerance is 0°00′00″"),
        ({"angle_tolerance": "ten minutes"}, "ten minutes"),
        ({"angle_tolerance": 10}, "angle tolerance is 10"),
        ({"tolerance_on": "taper"}, "angle tolerance on is 'taper'"),
        ({"length": 5.0}, "comes to a point"),
    ],
)
def test_refuses_a_callout_that_makes_no_cone_and_names_the_value(changes, words):
    with pytest.raises(ValueError, match=words):
        dataclasses.replace(PRINT, **changes)


# ---------------------------------------------------------------- the plan


def test_plan_of_the_common_practice_example():
    # Common practice, no source: 62°44′ → 31°22′; 3.000 in → 1.5615 in; 3.123 on the diameter.
    plan = make_plan(PRINT, PARALLEL, Choices(compound_travel=3.0))
    assert plan.half_angle == Angle.parse("31°22'")
    assert plan.half_angle_tolerance == Angle.parse("0°5'")
    assert not plan.tolerance_is_assumed
    assert plan.base_reading == Angle.parse("31°22'")
    assert f"{plan.cross_travel:.4f}" == "1.5615"
    assert f"{plan.cross_reading:.3f}" == "3.123"
    assert PARALLEL.cross_dial.split(plan.cross_reading)[:2] == (15, 123)
    assert PARALLEL.compound_dial.split(plan.compound_reading) == (30, 0, 0.0)
    assert plan.axial_travel == pytest.approx(3 * math.cos(math.radians(31 + 22 / 60)))
    assert plan.assumptions == ()
    assert plan.warnings == ()


def test_base_zero_square_to_the_bed_reads_the_complement():
    plan = make_plan(PRINT, SQUARE)
    assert plan.base_reading == Angle.parse("58°38'")
    assert "58°38′" in plan.swing
    assert "zero with the slide square to the bed" in plan.swing


def test_internal_and_external_swing_opposite_ways():
    outside = dataclasses.replace(PRINT, internal=False)
    assert "anticlockwise" in make_plan(outside, PARALLEL).swing
    inside = make_plan(PRINT, PARALLEL).swing
    assert "clockwise" in inside
    assert "anticlockwise" not in inside


def test_a_tolerance_on_the_half_angle_is_not_halved_again():
    on_half = dataclasses.replace(PRINT, tolerance_on="half angle")
    assert make_plan(on_half, PARALLEL).half_angle_tolerance == Angle.parse("0°10'")


def test_the_window_is_what_the_tolerance_allows():
    plan = make_plan(PRINT, PARALLEL, Choices(compound_travel=3.0))
    for reading, sign in zip(plan.window, (-1, 1), strict=True):
        angle = half_angle_from(3.0, PARALLEL.cross_dial.movement(reading))
        off = angle - plan.half_angle
        assert float(off.arc_seconds) == pytest.approx(sign * 300, abs=1e-6)


half_angles = st.floats(2, 85).map(Angle.from_degrees)
reaches = st.floats(0.3, 6.0)
compound_dials = st.sampled_from([(0.001, 0.1), (0.001, 0.125), (0.02, 3.0), (0.05, 5.0)])


@given(half_angles, reaches, compound_dials, st.sampled_from(["radius", "diameter"]))
@example(Angle.parse("20°43'"), 3.003, (0.001, 0.1), "radius")
@settings(deadline=None, max_examples=80)
def test_the_travel_is_of_whole_turns_and_leaves_half_a_turn(half_angle, turns, dial, reads):
    # Whole turns counted one by one in exact fractions, half a turn laid aside first.
    graduation, per_turn = (Fraction(str(part)) for part in dial)
    lead = per_turn / (2 if reads == "diameter" else 1)
    reach = turns * float(lead) * 5
    lathe = Lathe("in", reach, Dial(*dial, reads), Dial(0.001, 0.2, "diameter"))
    plan = make_plan(Callout("half angle", half_angle.dms(6)), lathe)
    fits = 0
    while float((fits + 1) * lead + lead / 2) <= reach * (1 + 1e-9):
        fits += 1
    if fits:
        assert plan.compound_travel == pytest.approx(float(fits * lead), rel=1e-12)
        assert f"{fits} whole turns" in plan.travel_words
    assert plan.compound_travel + float(lead) / 2 <= reach * (1 + 1e-9)
    lines = Fraction(plan.compound_travel).limit_denominator(10**6) / (graduation / per_turn * lead)
    assert lines.denominator == 1
    assert [row.compound_travel for row in plan.setups].count(plan.compound_travel) == 1
    assert len(plan.setups) <= 10
    for row in plan.setups:
        angle = math.asin(lathe.cross_dial.movement(row.cross_reading) / row.compound_travel)
        left = (math.degrees(angle) - half_angle.degrees) * 3600
        assert row.angle_error == pytest.approx(left, abs=1e-3)
        assert row.compound_travel + float(lead) / 2 <= reach * (1 + 1e-9)


def test_three_inches_are_never_given_up_for_four_seconds_of_arc():
    # By the least error alone 2.998 would come first, and the whole reach would be run.
    lathe = dataclasses.replace(PARALLEL, compound_reach=3.05, cross_dial=Dial(0.001, 0.1))
    plan = make_plan(PRINT, lathe)
    assert plan.compound_travel == 3.0
    assert plan.setups[0].compound_travel == 3.0
    assert plan.travel_words == (
        "3.0000 in is 30 whole turns of the compound, the longest that leaves half a turn to take "
        "up the backlash; nothing is estimated at its dial."
    )


def test_less_than_a_turn_of_travel_goes_by_tens_of_graduations():
    short = dataclasses.replace(PARALLEL, compound_reach=0.1389)
    plan = make_plan(PRINT, short)
    assert plan.compound_travel == 0.08
    assert "8 whole tens of compound graduations" in plan.travel_words
    nothing = make_plan(PRINT, dataclasses.replace(PARALLEL, compound_reach=0.05))
    assert any("less than half a turn of run-up" in warning for warning in nothing.warnings)
    assert "leaves half a turn" not in nothing.travel_words


def test_a_travel_chosen_by_hand_is_kept_listed_and_warned_of():
    plan = make_plan(PRINT, PARALLEL, Choices(compound_travel=3.9804))
    assert plan.compound_travel == 3.9804
    assert plan.setups[0].compound_travel == 3.9804
    assert plan.travel_words == "3.9804 in is as chosen."
    assert [w for w in plan.warnings if "less than half a turn of run-up" in w]
    assert [w for w in plan.warnings if "between two graduations" in w]


def test_without_a_known_reach_the_travel_must_be_chosen():
    unknown = dataclasses.replace(PARALLEL, compound_reach=None)
    with pytest.raises(ValueError, match="how far the compound slide goes is not given"):
        make_plan(PRINT, unknown)
    plan = make_plan(PRINT, unknown, Choices(compound_travel=3.0))
    assert (plan.compound_travel, plan.setups) == (3.0, ())
    assert "not given" in plan.travel_words


def test_the_order_and_shortest_travel_chosen_are_kept():
    plan = make_plan(PRINT, PARALLEL, Choices(shortest_travel=3.5, order="sensitivity"))
    travels = [row.compound_travel for row in plan.setups]
    assert travels == sorted(travels, reverse=True)
    assert min(travels) >= 3.5
    assert plan.compound_travel in travels


def test_says_when_no_travel_brings_the_cross_dial_to_a_line():
    tiny = Callout("half angle", "0°0'10″", 1.0, angle_tolerance="0°0'5″")
    plan = make_plan(tiny, PARALLEL)
    assert plan.compound_travel == pytest.approx(3.9)
    assert any("No travel within reach" in warning for warning in plan.warnings)


def test_numbers_are_said_to_the_second_and_only_where_there_are_any():
    rows = dict(make_plan(PRINT, SQUARE).rows())
    assert rows["Included angle"] == "62°44′"
    assert rows["Half angle"] == "31°22′ ± 0°05′"
    assert rows["Compound dial"] == "39 turns"
    # 1:20 by definition: arctan(1/40) = 1°25′55.55″.
    rows = dict(make_plan(Callout("taper", "1:20", 1.25, angle_tolerance="30"), PARALLEL).rows())
    assert rows["Half angle"].startswith("1°25′56″ ±")


def test_a_travel_past_the_reach_is_refused():
    with pytest.raises(ValueError, match="reaches 4 in"):
        make_plan(PRINT, PARALLEL, Choices(compound_travel=4.5))


def test_a_metric_print_on_an_inch_lathe():
    callout = Callout("included angle", "62°44'", 31.75, "mm", length=12.7)
    plan = make_plan(callout, PARALLEL)
    assert plan.cone.face_diameter == pytest.approx(1.25)
    assert plan.cone.length == pytest.approx(0.5)
    assert plan.half_angle == Angle.parse("31°22'")


@pytest.mark.parametrize(
    ("callout", "lathe", "choices", "half_tolerance"),
    [
        # ISO 2768-1 Table 3 from memory, on the angle as dimensioned. Wall 0.5 in / cos 31°22′
        # = 14.87 mm: class m ±30′ included, so ±15′ half.
        (PRINT, PARALLEL, Choices(), "0°15'"),
        (PRINT, PARALLEL, Choices(general_class="c"), "0°30'"),
        (PRINT, PARALLEL, Choices(shorter_side=5.0), "0°5'"),  # 127 mm: ±10′ included
        # No length: at most (1.25 in / 2) / sin 31°22′ = 30.5 mm of wall.
        (dataclasses.replace(PRINT, length=None), PARALLEL, Choices(), "0°15'"),
        # An external cone of unknown length: the strictest column.
        (dataclasses.replace(PRINT, length=None, internal=False), PARALLEL, Choices(), "0°2'30"),
        (Callout("half angle", "31°22'", 30.0, "mm", length=12.0), METRIC, Choices(), "0°30'"),
    ],
)
def test_without_a_tolerance_the_general_one_is_assumed_and_said_to_be(
    callout, lathe, choices, half_tolerance
):
    callout = dataclasses.replace(callout, angle_tolerance=None)
    plan = make_plan(callout, lathe, choices)
    assert plan.half_angle_tolerance == Angle.parse(half_tolerance)
    assert plan.tolerance_is_assumed
    (assumption,) = plan.assumptions
    assert "ISO 2768-1:1989 Table 3" in assumption
    assert FROM_MEMORY in assumption
    assert "(assumed)" in dict(plan.rows())["Half angle"]
    proved = Job(callout, lathe, choices).with_pass(
        **{"compound_reading": plan.compound_reading, "bolts": "tight"},
        cross_reading=plan.cross_reading,
    )
    assert not proves(proved, proved.passes[0])


def test_the_shorter_side_is_the_wall_of_the_cone_in_millimetres():
    # 0.5 in = 12.7 mm along the axis, so 12.7 / cos 31°22′ = 14.87 mm along the wall.
    plan = make_plan(dataclasses.replace(PRINT, angle_tolerance=None), PARALLEL)
    assert "shorter side 14.9 mm along the cone's wall" in plan.assumptions[0]


def test_warns_past_45_degrees_and_not_at_45():
    def plan(value, route=None):
        callout = Callout("half angle", value, 1.0, angle_tolerance="0°5'")
        return make_plan(callout, PARALLEL, Choices(route=route))

    assert plan("45°").route == "cross travel"
    assert plan("45°01'").route == "axial travel"
    assert not any("past 45°" in text for text in plan("45°01'").warnings)
    assert any("past 45°" in text for text in plan("45°01'", "cross travel").warnings)
    assert not any("past 45°" in text for text in plan("45°", "cross travel").warnings)


def test_warns_when_the_dial_cannot_show_the_tolerance():
    tight = dataclasses.replace(PRINT, angle_tolerance="0°0'5″")
    plan = make_plan(tight, PARALLEL, Choices(compound_travel=0.5))
    assert any("narrower than one graduation" in text for text in plan.warnings)


def test_warns_when_the_travel_lies_between_two_lines():
    plan = make_plan(PRINT, PARALLEL, Choices(compound_travel=3.0004))
    assert any("between two graduations" in text for text in plan.warnings)


def test_warns_when_the_tolerance_is_as_wide_as_the_angle():
    wide = Callout("taper", "1:200", 1.0, length=0.3)
    plan = make_plan(wide, PARALLEL)
    assert any("as wide as the half angle" in text for text in plan.warnings)


@pytest.mark.parametrize("name", list(demo.LATHES))
def test_the_invented_job_plans_on_every_invented_lathe(name):
    job = demo.job(name)
    plan = job.plan()
    assert job.invented
    assert demo.MARK in job.notes
    assert "invented" in job.lathe.name
    assert plan.warnings == ()
    angle = half_angle_from(plan.compound_travel, job.lathe.cross_dial.movement(plan.cross_reading))
    assert angle.degrees == pytest.approx(20 + 43 / 60, abs=1e-9)
    assert all(text for row in plan.rows() for text in row)


# ---------------------------------------------------------------- saving and loading


def _but_for_the_time(job):
    whole = json.loads(job.file_text())
    return {name: whole[name] for name in whole if name not in ("saved", "checksum")}


@given(jobs())
@example(demo.job())
@settings(patient, max_examples=cases(100, 2000))
def test_any_job_saved_and_loaded_is_the_same_job(tmp_path_factory, job):
    path = tmp_path_factory.mktemp("round") / "any.job.json"
    assert job.save(path) == path.resolve()
    again = Job.load(path)
    assert again == job
    assert again.identity == job.identity
    assert _but_for_the_time(again) == _but_for_the_time(job)
    assert os.listdir(path.parent) == [path.name]


@given(planned_jobs)
@settings(patient, max_examples=cases(60, 2000))
def test_any_job_has_a_plan_that_sets_its_angle(job):
    plan = job.plan()
    assert 0 < plan.compound_travel <= job.lathe.compound_reach * (1 + 1e-9)
    assert plan.cross_travel / plan.compound_travel == pytest.approx(
        math.sin(plan.half_angle.radians), rel=1e-12
    )
    told = plan.axial_travel if plan.route == "axial travel" else plan.cross_reading
    if plan.route == "known taper":
        assert plan.window is None  # no dial tells the angle there
    elif plan.window is None:
        assert job.callout.kind in {"standard taper", "taper"}  # "mt 3" is a name in either
        assert job.callout.angle_tolerance is None
    else:
        assert plan.window[0] < told <= plan.window[1] * (1 + 1e-12)
    assert job.lathe.half_angle_at(plan.base_reading) == plan.half_angle
    for dial, reading in (
        (job.lathe.compound_dial, plan.compound_reading),
        (job.lathe.cross_dial, plan.cross_reading),
    ):
        split = dial.split(dial.settle(reading, job.lathe.unit))
        total = split.turns * dial.per_turn + split.graduations * dial.graduation + split.remainder
        assert total == pytest.approx(reading, abs=0.6e-3, rel=1e-9)


def test_a_changed_job_keeps_its_identity_and_saves_over_itself(tmp_path):
    path = tmp_path / "seat.job.json"
    job = demo.job()
    job.save(path)
    changed = dataclasses.replace(job, notes="bolts were loose")
    changed.save(path)
    assert Job.load(path) == changed


def test_two_jobs_never_share_an_identity():
    assert len({demo.job().identity for _ in range(200)}) == 200


def test_a_save_never_silently_replaces_a_different_job(tmp_path):
    path = tmp_path / "seat.job.json"
    first, second = demo.job(), dataclasses.replace(demo.job(), title="other")
    first.save(path)
    before = path.read_bytes()
    with pytest.raises(ValueError, match="a different job, “Clutch cup, bored cone”"):
        second.save(path)
    assert path.read_bytes() == before
    second.save(path, replace=True)
    assert Job.load(path) == second


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"{}",
        b"[1, 2]",
        b"null",
        b"a shopping list",
        b"\x89PNG\r\n\x1a\n\x00\x00",
        b"\xff\xfe{\x00}\x00",
        b'{"format": "something else", "version": 1}',
        b"[" * 100_000,
        b'{"format": "tapertrig job", "version": true}',
        b'{"format": "tapertrig job", "version": 0}',
        b'{"format": "tapertrig job", "version": "1"}',
        b'{"format": "tapertrig job", "version": 1}',
        b'{"format": "tapertrig job", "version": NaN}',
        b'{"format": "tapertrig job", "format": "tapertrig job", "version": 1}',
        b" " * 1_000_001,
    ],
    ids=range(16),
)
def test_a_foreign_file_is_refused_and_never_overwritten(tmp_path, content):
    path = tmp_path / "notes.json"
    path.write_bytes(content)
    with pytest.raises(ValueError, match=r"notes\.json"):
        Job.load(path)
    with pytest.raises(ValueError, match=r"notes\.json is in the way"):
        demo.job().save(path)
    assert path.read_bytes() == content
    assert os.listdir(tmp_path) == ["notes.json"]


def _sealed(whole):
    """The file text with a checksum that fits, as a newer or a careless program would write."""
    whole.pop("checksum", None)
    text = json.dumps(whole, sort_keys=True, separators=(",", ":"))
    return json.dumps(whole | {"checksum": hashlib.sha256(text.encode()).hexdigest()})


def test_a_newer_file_is_refused_and_told_apart_from_a_torn_one(tmp_path):
    path = tmp_path / "seat.job.json"
    whole = json.loads(demo.job().file_text())
    path.write_text(_sealed(whole | {"version": 3}))
    before = path.read_bytes()
    with pytest.raises(ValueError, match=r"newer tapertrig \(job format 3\)"):
        Job.load(path)
    with pytest.raises(ValueError, match="newer tapertrig"):
        demo.job().save(path)
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    "spoil",
    [
        lambda whole: whole["job"]["callouts"][0].pop("value"),
        lambda whole: whole["job"]["callouts"][0].update(surprise=1),
        lambda whole: whole["job"]["callouts"][0].update(value="1000°"),
        lambda whole: whole["job"]["callouts"][0].update(angle_tolerance="9/0"),
        lambda whole: whole["job"]["callouts"][0].update(angle_tolerance="1e9999999"),
        lambda whole: whole["job"]["callouts"][0].update(angle_tolerance=600),
        lambda whole: whole["job"]["callouts"][0].update(face_diameter=-1),
        lambda whole: whole["job"]["callouts"][0].update(face_diameter=10**400),
        lambda whole: whole["job"]["callouts"][0].update(face_diameter="1.25"),
        lambda whole: whole["job"].update(callouts=None),
        lambda whole: whole["job"].update(lathe=[1, 2]),
        lambda whole: whole["job"]["lathe"].update(cross_dial={}),
        lambda whole: whole["job"]["lathe"]["cross_dial"].update(graduation="0.001"),
        lambda whole: whole["job"].update(choices={}),
        lambda whole: whole["job"].update(title=7),
        lambda whole: whole["job"].update(readings=[1]),
        lambda whole: whole["job"].update(notes="n" * 5000),
        lambda whole: whole["job"].update(identity="0" * 16),
        lambda whole: whole.update(identity="../../etc"),
        lambda whole: whole.update(identity=None),
        lambda whole: whole.update(job="none"),
        lambda whole: whole.pop("job"),
        lambda whole: whole.pop("identity"),
    ],
)
def test_a_file_with_a_fitting_checksum_but_wrong_values_is_refused(tmp_path, spoil):
    path = tmp_path / "seat.job.json"
    whole = json.loads(demo.job().file_text())
    spoil(whole)
    path.write_text(_sealed(whole))
    with pytest.raises(ValueError, match=r"seat\.job\.json holds no sound job"):
        Job.load(path)


def _corrupted(content: bytes, luck: random.Random) -> bytes:
    place = luck.randrange(len(content))
    end = min(len(content), place + luck.randint(1, 40))
    kind = luck.randrange(7)
    if kind == 0:  # one bit
        return (
            content[:place]
            + bytes([content[place] ^ 1 << luck.randrange(8)])
            + content[place + 1 :]
        )
    if kind == 1:  # torn off
        return content[:place]
    if kind == 2:  # a piece missing
        return content[:place] + content[end:]
    if kind == 3:  # noise over a piece
        return content[:place] + luck.randbytes(end - place) + content[end:]
    if kind == 4:  # a piece twice
        return content[:end] + content[place:]
    if kind == 5:  # zeros over a piece, as after a power cut
        return content[:place] + bytes(end - place) + content[end:]
    digit = luck.choice("0123456789").encode()  # one character for another
    return content[:place] + digit + content[place + 1 :]


def _means_the_same(content: bytes, original: bytes) -> bool:
    try:
        return json.loads(content) == json.loads(original)
    except (ValueError, RecursionError):
        return False


def test_a_thousand_random_corruptions_are_all_refused_and_the_original_stays(tmp_path):
    luck = random.Random(1119)
    original, spoilt = tmp_path / "seat.job.json", tmp_path / "copy.job.json"
    job = dataclasses.replace(demo.job(), notes="ü″").with_pass(3.0, 2.1)
    job.save(original)
    content = original.read_bytes()
    tried = 0
    while tried < 1000:
        corrupted = _corrupted(content, luck)
        # Blanks between two words, or 1.50 for 1.5, mean the same job and are no corruption.
        if _means_the_same(corrupted, content):
            continue
        tried += 1
        spoilt.write_bytes(corrupted)
        with pytest.raises(ValueError, match=r"copy\.job\.json"):
            Job.load(spoilt)
        with pytest.raises(ValueError, match=r"copy\.job\.json is in the way"):
            job.save(spoilt)
        assert spoilt.read_bytes() == corrupted
    assert original.read_bytes() == content
    assert Job.load(original) == job
    assert sorted(os.listdir(tmp_path)) == ["copy.job.json", "seat.job.json"]


@pytest.mark.parametrize("call", ["fsync", "replace"])
def test_a_save_that_fails_half_way_leaves_the_old_file_and_nothing_else(
    tmp_path, monkeypatch, call
):
    path = tmp_path / "seat.job.json"
    job = demo.job()
    job.save(path)
    before = path.read_bytes()

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, call, full)
    with pytest.raises(ValueError, match="no space left on device; what was there before"):
        dataclasses.replace(job, notes="more").save(path)
    monkeypatch.undo()
    assert path.read_bytes() == before
    assert os.listdir(tmp_path) == [path.name]


def _in_a_process(code: str, folder: Path) -> str:
    run = subprocess.run(
        [sys.executable, "-c", code, str(folder)], capture_output=True, text=True, timeout=60
    )
    assert run.returncode == 0, run.stderr
    return run.stdout


@pytest.mark.skipif(sys.platform == "win32", reason="file size limits are of POSIX")
def test_a_disk_that_takes_no_more_is_told_in_words(tmp_path):
    path = tmp_path / "seat.job.json"
    demo.job().save(path)
    before = path.read_bytes()
    said = _in_a_process(
        "import resource, signal, sys\n"
        "from tapertrig import demo\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (700, 700))\n"
        "try:\n    demo.job().save(sys.argv[1] + '/seat.job.json', replace=True)\n"
        "except ValueError as error:\n    print(error)\n",
        tmp_path,
    )
    assert "could not be saved" in said
    assert "what was there before is untouched" in said
    assert path.read_bytes() == before
    assert os.listdir(tmp_path) == [path.name]


@pytest.mark.skipif(sys.platform == "win32", reason="folder permissions are of POSIX")
def test_a_read_only_folder_is_told_in_words(tmp_path):
    folder = tmp_path / "locked"
    folder.mkdir()
    folder.chmod(0o555)
    for parent in (tmp_path, *tmp_path.parents):
        if parent.stat().st_uid == os.getuid() and parent != parent.parent:
            parent.chmod(parent.stat().st_mode | 0o755)
    said = _in_a_process(
        "import os, sys\n"
        "from tapertrig import demo\n"
        "import codecs\n"
        "codecs.lookup('ascii')  # afterwards Python's own files may be out of reach\n"
        "if os.getuid() == 0:\n    os.setuid(65534)\n"
        "try:\n    demo.job().save(sys.argv[1] + '/seat.job.json')\n"
        "except ValueError as error:\n    print(error)\n",
        folder,
    )
    assert "you may not write there" in said
    assert os.listdir(folder) == []


def test_a_folder_that_is_not_there_and_a_folder_in_the_way(tmp_path):
    with pytest.raises(ValueError, match="there is no such folder"):
        demo.job().save(tmp_path / "nowhere" / "seat.job.json")
    (tmp_path / "seat.job.json").mkdir()
    with pytest.raises(ValueError, match="in the way"):
        demo.job().save(tmp_path / "seat.job.json")
    with pytest.raises(ValueError, match="could not be saved"):
        demo.job().save(tmp_path / "seat.job.json", replace=True)
    with pytest.raises(ValueError, match="cannot be read: no such file"):
        Job.load(tmp_path / "absent.job.json")
    assert os.listdir(tmp_path) == ["seat.job.json"]


def test_a_name_taken_while_saving_is_not_overwritten(tmp_path, monkeypatch):
    path = tmp_path / "seat.job.json"
    real = os.fsync

    def somebody_else_saves(handle):
        real(handle)
        path.write_text("somebody else's")

    monkeypatch.setattr(os, "fsync", somebody_else_saves)
    with pytest.raises(ValueError, match="there already"):
        demo.job().save(path)
    monkeypatch.undo()
    assert path.read_text() == "somebody else's"
    assert os.listdir(tmp_path) == [path.name]


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("seat ring", "seat ring.job.json"),
        ("  Seat-3 ", "Seat-3.job.json"),
        ("seat.job.json", "seat.job.json"),
        ("Ventilsitz groß 47°18′", "Ventilsitz groß 47°18′.job.json"),
    ],
)
def test_a_file_name_as_typed(typed, name):
    assert job_file_name(typed) == name


@pytest.mark.parametrize(
    "typed",
    [
        "",
        "  ",
        ".",
        "..",
        "../seat",
        "a/b",
        "a\\b",
        "/etc/passwd",
        "C:seat",
        ".hidden",
        "seat.",
        "con",
        "NUL.job.json",
        "lpt1",
        "a\nb",
        "a\x00b",
        "a|b",
        "a*",
        "x" * 200,
        "ü" * 119,
        "\ud800",
        None,
    ],
)
def test_a_name_with_a_path_in_it_or_none_is_refused(typed):
    with pytest.raises(ValueError, match=r"for example|choose|text is None"):
        job_file_name(typed)


@given(st.text(max_size=130))
@settings(deadline=None, max_examples=300)
def test_any_accepted_name_stays_in_its_folder_and_can_be_written(tmp_path_factory, typed):
    try:
        name = job_file_name(typed)
    except ValueError:
        return
    folder = tmp_path_factory.getbasetemp()
    assert (folder / name).parent == folder
    assert Path(name).name == name
    target = folder / name
    target.write_text("x")
    target.unlink()


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"callout": "62°44'"}, "give a Callout"),
        ({"lathe": "the old one"}, "give a Lathe"),
        ({"choices": 3.0}, "give a Choices"),
        ({"title": "t" * 300}, "title has 300 characters"),
        ({"notes": 5}, "notes is 5"),
        ({"invented": 1}, "invented is 1"),
        ({"identity": "mine"}, "job identity is 'mine'"),
    ],
)
def test_refuses_a_job_that_cannot_be_kept(changes, words):
    with pytest.raises(ValueError, match=words):
        dataclasses.replace(demo.job(), **changes)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"compound_travel": 0}, "compound travel is 0"),
        ({"shortest_travel": math.inf}, "shortest travel is inf"),
        ({"order": "best"}, "order of setups is 'best'"),
        ({"general_class": "k"}, "general tolerance class is 'k'"),
        ({"shorter_side": -2}, "shorter side is -2"),
    ],
)
def test_refuses_choices_that_are_none(changes, words):
    with pytest.raises(ValueError, match=words):
        Choices(**changes)


def test_a_job_file_says_what_it_is(tmp_path):
    whole = json.loads(demo.job().file_text())
    assert whole["format"] == FORMAT
    assert whole["version"] == 2
    assert whole["job"]["callouts"][0]["value"] == "41°26′"
    assert set(whole) == {"format", "version", "saved", "identity", "job", "checksum"}


def test_a_pass_comes_after_those_that_are_there_whatever_the_clocks_say():
    job = demo.job().with_pass(3.2, 2.2645, bolts="tight", time="2099-01-01T10:00:30+00:00")
    done = job.with_pass(3.2, 2.25).with_pass(3.2, 2.26)
    assert [one.cross_reading for one in done.standing()] == [2.2645, 2.25, 2.26]
    assert proven_pass(job) is not None
    assert proven_pass(done) is None, "proven by a pass before the last"
