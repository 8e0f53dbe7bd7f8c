"""Lesson 06 with a job: what was measured, the size to aim at, what to move next on these dials.

The zone that proves is worked out here from ISO 14253-1:2017 (limits less 1.65 u, Student's t for
few readings) by the record's own line; ball heights by plane geometry (trade handbook formula
h = (d/2)(1 + 1/sin α) − D/(2 tan α)).
"""

import dataclasses
import math
import re
from pathlib import Path

import numpy as np
import pytest

from tapertrig import Angle, demo, panels
from tapertrig.draw.opening_the_face import CARRIAGE
from tapertrig.gauging import CONFORMS, findings
from tapertrig.gauging.aim import aim_at_size
from tapertrig.job import Callout, Cutting, Gauge, Instrument, Job, Readings, StatedAngle
from tapertrig.lathe import Dial, Lathe
from tapertrig.lathe_book import FILE_NAME, LatheBook
from tapertrig.panels.parts.job_list import NO_JOB
from tapertrig.printed.inspection_record import inspection_record

BLUE = Lathe(
    "in", 3.7, Dial(0.001, 0.125), Dial(0.001, 0.25, "diameter"), base_zero=None, name="Blue lathe"
)
ALPHA = math.radians(26 + 20 / 60)
PRINT = Callout("included angle", "52°40′", 1.2, diameter_plus=0.004, diameter_minus=0.001)
SIX = 0.0001


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return tmp_path


def bored(diameter, lathe=BLUE, limit=SIX, **asked):
    """A job whose bore was measured by a ball of 1 in, five times."""
    height = 0.5 * (1 + 1 / math.sin(ALPHA)) - diameter / (2 * math.tan(ALPHA))
    found = Readings(
        "one ball", "in", (Gauge(1.0, limit),),
        (tuple(height + step * SIX / 2 for step in (0, 1, -1, 1, -1)),),
        instrument=Instrument("depth micrometer", SIX, limit), face_limit=SIX,
        stated_angle=StatedAngle(Angle.parse("26°20′"), Angle.parse("0°01′"), "sine bar"),
        measured_by="A", date="2031-03-09",
    )  # fmt: skip
    job = Job(dataclasses.replace(PRINT, **asked), lathe)
    return job.with_readings(found)


def rows(panel):
    return {name: value for name, value, _ in panel.board.words["rows"]}


def test_it_aims_at_the_middle_of_what_can_be_proven_and_not_at_a_limit():
    job = bored(1.18)
    aim = aim_at_size(job, "in")
    assert aim.measured == pytest.approx(1.18)
    found = findings(job)[0]
    guard = found.budget.guard_factor * found.standard_uncertainty
    low, high = 1.199 + guard, 1.204 - guard
    assert aim.size == pytest.approx((low + high) / 2)
    told = [float(each) for each in re.findall(r"\d\.\d+", aim.words)]
    assert told == pytest.approx([aim.size, low, high], abs=0.0001)
    assert low <= told[1] < told[2] <= high
    # A hair inside: the uncertainty changes a little with the height that is measured.
    for size in (told[0], told[1] + 0.0001, told[2] - 0.0001):
        assert findings(bored(size))[0].verdict == CONFORMS
    assert findings(bored(1.199 + guard / 2))[0].verdict != CONFORMS


@pytest.mark.parametrize(
    ("job", "size", "words"),
    [
        (Job(PRINT, BLUE), 1.2015, "and so of whatever the measuring will prove"),
        (bored(1.18, limit=0.01), 1.2015, "no size in them can be proven"),
        (bored(1.18, diameter_plus=None, diameter_minus=None), 1.2, "it gives no tolerance"),
    ],
)
def test_without_a_zone_it_says_on_what_the_aim_rests(job, size, words):
    aim = aim_at_size(job, "in")
    assert aim.size == pytest.approx(size)
    assert words in aim.words


def test_a_print_without_a_face_diameter_gives_no_aim():
    job = Job(Callout("half angle", "26°20′"), BLUE)
    assert aim_at_size(job, "in").size is None
    panel = panels.opening_the_face()
    before = panel.wanted.value, panel.job
    with pytest.raises(ValueError, match="gives no face diameter"):
        panel.take(job)
    assert (panel.wanted.value, panel.job) == before


def test_the_next_move_stands_on_the_dials_of_the_jobs_lathe():
    panel = panels.opening_the_face()
    job = bored(1.18)
    panel.take(job)
    assert panel.current() is job
    assert panel.last_state.lathe == BLUE
    assert panel.measured.value == pytest.approx(1.18)
    told = rows(panel)
    assert told["Measured on the part"].startswith("1.1800 in, does not conform")
    # What the dial shows is the growth of the diameter itself, as it reads the diameter.
    *_, last = (value for name, value in told.items() if name.startswith("Cut"))
    assert float(re.search(r"dial at (\d\.\d+)", last)[1]) == pytest.approx(0.0215, abs=0.0002)
    first = re.search(r"then (.*) away", told["Move next"])[1]
    assert first in told["Cut 1, finishing"]


def test_move_next_goes_on_with_the_cuts_taken():
    panel = panels.opening_the_face()
    panel.take(bored(1.1))
    plan = [cut for cut in panel.last_state.cuts if cut.kind != "spring pass"]
    assert len(plan) > 2
    for cut in plan:
        words = BLUE.cross_dial.words(cut.cross_reading, "in")
        assert rows(panel)["Move next"].endswith(f"then {words} away from the axis, all told")
        panel.presses.children[0].click()
    assert "Move next" not in rows(panel)


def test_at_size_and_proven_it_says_stop():
    panel = panels.opening_the_face()
    panel.take(bored(1.2015))
    assert "proven" in rows(panel)["Stop"]
    assert "Move next" not in rows(panel)


def test_nothing_measured_is_asked_for_and_nothing_put_in_for_it():
    panel = panels.opening_the_face()
    panel.take(Job(PRINT, BLUE))
    assert panel.measured.value is None
    assert "not measured yet" in panel.board.notice
    # Nothing of the lesson's own part is left to crank by, whatever is switched or pressed.
    for _ in range(2):
        shown = panel.board.get_state()["whole"]
        assert (shown["marks"], shown["handles"]) == ([], [])
        assert set(rows(panel)) == {"Measured on the part", "Aim at"}
        assert "typed" in panel.board.words["sentence"]
        assert not re.search(r"\d", panel.board.words["sentence"])
        assert not re.search(r"\d", re.sub(r"<[^>]*>", "", panel.still_svg()[0]))
        panel.style_switch.value = not panel.style_switch.value
        panel.presses.children[0].click()
        assert "not measured yet" in panel.board.notice
        assert not panel.board.news
    panel.measured.enter("1.19")
    assert panel.board.get_state()["whole"]["marks"]
    assert panel.last_state.lathe == BLUE
    assert not panel.board.notice
    assert rows(panel)["Measured on the part"].startswith("not measured")
    assert panel.current().readings == ()


def test_a_first_diameter_that_cannot_be_leaves_the_panel_blank():
    panel = panels.opening_the_face()
    panel.take(Job(PRINT, BLUE))
    panel.set(means=CARRIAGE, movement=0.15, half_angle="75°")
    panel.measured.enter("1.19")
    assert "more than the picture holds" in panel.measured.message
    assert not panel.board.marks
    panel.movement.value = 0.01
    assert panel.board.marks


@pytest.mark.parametrize("made", [panels.opening_the_face, panels.angle_budget])
def test_a_lathe_that_is_not_the_jobs_is_said_to_stand_in(made):
    bare = dataclasses.replace(PRINT, angle_tolerance="0°10′", length=0.5)
    panel = made()
    assert "Lathe" not in rows(panel)
    panel.take(Job(bare))
    assert rows(panel)["Lathe"].startswith(f"“{panel.lathe_in_use().name}” stands in")
    assert "names none" in rows(panel)["Lathe"]
    panel.take(Job(bare, BLUE))
    assert "Lathe" not in rows(panel)
    panel.lathe.value = next(name for name in demo.LATHES if demo.LATHES[name].unit == "mm")
    assert "has its own" in rows(panel)["Lathe"]


def test_a_job_in_millimetres_on_an_inch_lathe_and_an_external_one():
    metric = Job(Callout("half angle", "26°20′", 30.0, "mm", diameter_plus=0.1, diameter_minus=0.0))
    panel = panels.opening_the_face()
    panel.take(dataclasses.replace(metric, lathe=BLUE))
    assert panel.unit == "in"
    assert panel.wanted.value == pytest.approx(30.05 / 25.4)
    plug = dataclasses.replace(PRINT, internal=False)
    with pytest.raises(ValueError, match="external"):
        panel.take(Job(plug, BLUE))
    assert panel.current().callout == metric.callout
    assert panel.picked_lathe() == BLUE


def test_a_job_is_taken_from_its_file_and_keeps_its_own_lathe():
    bored(1.18).save("ring.job.json")
    LatheBook((dataclasses.replace(BLUE, cross_dial=Dial(0.001, 0.1)),)).save(FILE_NAME)
    panel = panels.opening_the_face()
    panel.there.value = "ring"
    assert panel.last_state.lathe == BLUE
    panel.lathe.value = "Blue lathe"
    assert panel.last_state.lathe.cross_dial == Dial(0.001, 0.1)
    panel.lathe.value = "the job's own lathe"
    assert panel.last_state.lathe == BLUE
    panel.unit_switch.value = "mm"
    assert panel.last_state.lathe.unit == "mm"
    panel.unit_switch.value = "in"
    panel.lathe.value = "the job's own lathe"
    assert panel.last_state.lathe == BLUE


def test_a_job_without_a_lathe_does_not_keep_that_of_the_job_before():
    panel = panels.opening_the_face()
    panel.take(demo.job())
    assert panel.picked_lathe() == demo.job().lathe
    bare = dataclasses.replace(demo.job(), lathe=None)
    panel.take(bare)
    assert panel.current() == bare
    assert panel.lathe.value in demo.LATHES
    assert len(panel.lathe.options) == len(demo.LATHES)


def cut_and_proven():
    """The job with a proving pass right on the angle, and two figures of the cut."""
    known = Cutting(straightness=0.0002, tool_height=0.01)
    job = dataclasses.replace(
        bored(1.19, angle_tolerance=Angle.parse("0°16′"), length=0.5), cutting=known
    )
    reads = 2 * 2.5 * math.sin(ALPHA)
    return job.with_pass(2.5, reads, bolts="tight", time="2031-03-09T10:00:00")


def test_job_and_lathe_are_chosen_once_for_the_panels_of_all_three_lessons():
    cut_and_proven().save("ring.job.json")
    first, beside = panels.angle_budget(), panels.angle_effect()
    first.there.value = "ring"
    assert beside.there.value == "ring"
    assert beside.half_angle.angle == Angle.parse("26°20′")
    # The next lesson has a kernel of its own, and the folder is the same.
    size, height, measured = panels.opening_the_face(), panels.tool_height(), panels.inspection()
    assert {one.job.identity for one in (first, size, height, measured)} == {size.job.identity}
    assert size.last_state.lathe == BLUE
    assert height.height_error.value == 0.01, "the cut's figure is the job's"
    assert first.last_state.cutting.straightness == 0.0002
    asks = panels.opening_the_face(half_angle="27°")
    assert asks.job is None, "a panel with numbers of its own keeps to them"
    rolls = panels.over_rolls()
    assert (rolls.job.invented, rolls.board.notice) == (True, "")
    other = next(name for name, one in demo.LATHES.items() if one.unit == "in")
    size.lathe.value = other
    assert first.last_state.lathe == panels.angle_budget().last_state.lathe == demo.LATHES[other]
    assert beside.unit == "in"
    size.there.value = NO_JOB
    assert (first.job, beside.job) == (None, None)
    assert panels.opening_the_face().job is None


def test_a_lesson_opened_again_lists_new_jobs_and_takes_what_was_chosen_meanwhile():
    size, measured = panels.opening_the_face(), panels.inspection()
    cut_and_proven().save("ring.job.json")
    size.opened_again()
    assert "ring" in size.there.options
    first = panels.angle_budget()
    first.there.value = "ring"
    measured.opened_again()
    assert measured.job.identity == size.job.identity == first.job.identity
    # What was measured meanwhile is there too.
    struck = first.job.readings[0].identity
    first.job.strike(struck).save("ring.job.json")
    size.opened_again()
    assert size.job.readings[0].struck
    assert rows(size)["Measured on the part"].startswith("not measured") or size.board.notice


def test_a_choice_that_does_not_fit_or_is_gone_is_said_and_changes_nothing():
    path = dataclasses.replace(
        cut_and_proven(), callout=dataclasses.replace(PRINT, internal=False)
    ).save("plug.job.json")
    cut_and_proven().save("ring.job.json")
    panel = panels.opening_the_face()
    panel.there.value = "ring"
    panel.there.value = "plug"
    assert "external" in panel.board.notice
    assert (panel.there.value, panels.opening_the_face().there.value) == ("ring", "ring")
    path.with_name("ring.job.json").unlink()
    gone = panels.opening_the_face()
    assert (gone.job, gone.there.value) == (None, NO_JOB)
    assert "ring" in gone.board.notice
    assert not panels.inspection().board.notice


def test_the_cut_is_kept_with_the_job_and_states_the_half_angle_of_one_ball():
    dataclasses.replace(cut_and_proven(), cutting=None, readings=()).save("ring.job.json")
    panel = panels.angle_budget()
    keep = next(one for one in panel.presses.children if "Keep the cut" in one.description)
    keep.click()
    assert "pick a job of yours first" in panel.board.notice
    panel.there.value = "ring"
    measured = panels.inspection()
    press = next(b for b in measured.presses.children if "proving pass" in b.description)
    press.click()
    assert "nothing is known of the cut" in measured.board.notice
    panel.set(straightness=0.0002, tool_height=0.01)
    keep.click()
    assert Job.load("ring.job.json").cutting == Cutting(straightness=0.0002, tool_height=0.01)
    measured = panels.inspection()
    assert measured.half_angle.value is None
    next(b for b in measured.presses.children if "proving pass" in b.description).click()
    # By hand: the slide's rows with half a line, .0003 screws, null .0001, 20″ and 30″; then two
    # ends of the cone over its wall, and the best-fit cone of a tool .010 off, at its limit.
    s, cos, tan = 2.5, math.cos(ALPHA), math.tan(ALPHA)
    line, third = math.sqrt(2 / 3) * 0.0005, 1 / math.sqrt(3)
    slide = (
        line * tan / s, line / 2 / (s * cos), 0.0003 * tan * third, 0.0003 * tan * third,
        math.sqrt(2) * 0.0001 / (s * cos), math.radians(20 / 3600) * third,
        math.radians(30 / 3600) / math.sqrt(6),
    )  # fmt: skip
    wall = 0.5 / cos
    z = np.linspace(0, 0.5, 2001)
    path_radius = math.sqrt(0.6**2 - 0.01**2)
    slope = np.polyfit(z, np.hypot(path_radius - z * tan, 0.01), 1)[0]
    off = (ALPHA - math.atan(-slope)) * third
    straight = math.sqrt(2 / 3) * 0.0002 / wall
    whole = 2 * math.degrees(math.hypot(*slide, off, straight)) * 3600
    limit = measured.half_angle_limit.angle.arc_seconds
    assert whole <= float(limit) <= whole + 2
    assert measured.half_angle.angle == Angle.parse("26°20′")
    origin = "proving pass of 2031-03-09 and the part's budget; not measured on the part"
    assert measured.half_angle_origin.value == origin
    height = 0.5 * (1 + 1 / math.sin(ALPHA)) - 1.2015 / (2 * tan)
    measured.set(
        ball=1.0, readings=" ".join(f"{height + step:.5f}" for step in (0, 5e-5, -5e-5)),
        instrument="depth micrometer", graduation=SIX, limit_of_error=SIX, gauge_limit=SIX,
        face_limit=SIX, measured_by="A", date="2025-03-10",
    )  # fmt: skip
    told = rows(measured)["Half angle used"]
    assert told.endswith(f"stated: {origin}")
    page = inspection_record(measured.current())
    # In the line on the method, and whole in the budget's row.
    assert page.replace("&#39;", "'").count(origin) == 2
    assert "How sure of the part" in page
    assert "tool off centre height" in page
    # U is k u of a normal one, with k = 2 (JCGM 100, 6.2.1 and 4.3.4): u is half of it.
    (used,) = (row for row in measured.last_state[1].face.budget.rows if row.name == "half angle")
    assert used.distribution == "normal"
    assert math.degrees(used.standard_uncertainty) * 3600 == pytest.approx(whole / 2, abs=1.01)


def by_the_pass(read=1.2015):
    """A panel whose one ball takes its half angle from the pass that proves the slide, saved."""
    dataclasses.replace(cut_and_proven(), readings=()).save("ring.job.json")
    panels.angle_budget().there.value = "ring"
    panel = panels.inspection()
    press(panel, "Half angle from the proving pass")
    height = 0.5 * (1 + 1 / math.sin(ALPHA)) - read / (2 * math.tan(ALPHA))
    panel.set(
        ball=1.0, readings=" ".join(f"{height + step:.5f}" for step in (0, 5e-5, -5e-5)),
        instrument="depth micrometer", graduation=SIX, limit_of_error=SIX, gauge_limit=SIX,
        face_limit=SIX, measured_by="A", date="2025-03-10",
    )  # fmt: skip
    press(panel, "Save into job")
    return panel


def press(panel, label):
    next(b for b in panel.presses.children if b.description == label).click()
    return panel.board.notice


def test_a_half_angle_stated_by_a_pass_falls_with_the_pass():
    panel = by_the_pass()
    job = Job.load("ring.job.json")
    assert findings(job)[0].verdict == CONFORMS
    assert "26°20′" in rows(panel)["Half angle used"]
    # Struck out beside the open panel, which the file alone can tell it.
    gone = job.strike(job.passes[-1].identity)
    gone.keep("ring.job.json")
    (face, _) = findings(gone)
    assert face.verdict == "not proven"
    assert "the half angle was stated by a proving pass of 2031-03-09 that is struck out" in (
        face.reason
    )
    page = inspection_record(gone)
    assert "conforms" not in page.replace("conforms to", "")
    assert "Passes struck out" in page
    assert "26°20′00″, bolts tight, 2031-03-09 10:00" in page
    assert "prove it first" in press(panel, "Half angle from the proving pass")
    assert rows(panel)["Verdict on face diameter"].startswith("not proven")
    # Another pass at the same angle says the same figures: they count once they are stated anew.
    again = gone.with_pass(2.5, 5 * math.sin(ALPHA), bolts="tight", time="2031-03-10T10:00:00")
    again.keep("ring.job.json")
    assert "no longer" not in findings(again)[0].reason
    assert findings(again)[0].verdict == "not proven"
    press(panel, "Half angle from the proving pass")
    assert rows(panel)["Verdict on face diameter"].startswith(CONFORMS)
    press(panel, "Save into job")
    assert findings(Job.load("ring.job.json"))[0].verdict == CONFORMS
    # A cut found out later is in what it says, for no copy of it counts.
    later = Job.load("ring.job.json")
    rough = dataclasses.replace(later, cutting=Cutting(straightness=0.002, tool_height=0.01))
    assert findings(rough)[0].expanded > 1.5 * findings(later)[0].expanded


def test_an_older_file_that_names_no_pass_asks_for_its_half_angle_again():
    # As files were kept before a stated half angle named its pass.
    by_the_pass()
    job, kept = Job.load("ring.job.json"), Path("ring.job.json")
    (read,) = job.readings
    unnamed = dataclasses.replace(read.stated_angle, rests_on=None)
    old = dataclasses.replace(job, readings=(dataclasses.replace(read, stated_angle=unnamed),))
    kept.unlink()
    old.save(kept)
    assert "rests_on" not in kept.read_text("utf-8")
    for one in (old, old.strike(old.passes[-1].identity), Job.load(kept)):
        (face, _) = findings(one)
        assert (face.verdict, face.budget) == ("not proven", None)
        assert "by a proving pass that its file does not name" in face.reason
        assert "state it anew" in face.reason
    opened = panels.inspection()
    opened.take(Job.load(kept))
    assert rows(opened)["Verdict on face diameter"].startswith("not proven")
    press(opened, "Half angle from the proving pass")
    assert rows(opened)["Verdict on face diameter"].startswith(CONFORMS)
    assert opened.current().readings[-1].stated_angle.rests_on == job.passes[-1].identity


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_a_job_without_a_lathe_gets_one_and_the_same_in_every_lesson(unit):
    job = dataclasses.replace(demo.job(unit=unit), invented=False)
    job.save("bare.job.json")
    panels.angle_budget().there.value = "bare"
    # It had a lathe when it was chosen; the file has none by now.
    dataclasses.replace(job, lathe=None).keep("bare.job.json")
    lathe = next(one for one in demo.LATHES.values() if one.unit == unit)
    for begins in ("in", "mm"):
        for open_it in (panels.angle_budget, panels.opening_the_face, panels.tool_height):
            panel = open_it(unit=begins)
            assert (panel.there.value, panel.lathe_in_use(), panel.unit) == ("bare", lathe, unit)
            if panel.lathe_in_sight:
                told = rows(panel)["Lathe"]
                assert f"“{lathe.name}” stands in, and is not the job's" in told


def test_the_record_is_written_from_the_file_as_it_is_by_then(folder):
    panel = by_the_pass()
    job = Job.load("ring.job.json")
    job.strike(job.passes[-1].identity).keep("ring.job.json")
    press(panel, "Write record")
    (page,) = (one.read_text("utf-8") for one in folder.glob("*.html"))
    assert "is struck out" in page
    assert "Passes struck out" in page
    assert "not proven" in panel.board.words["sentence"]


def test_a_half_angle_typed_over_the_stated_one_rests_on_no_pass():
    panel = by_the_pass()
    panel.set(half_angle="26°21′", half_angle_origin="sine bar")
    job = panel.current()
    assert job.readings[-1].stated_angle.rests_on is None
    gone = job.strike(job.passes[-1].identity)
    assert findings(gone)[0].value == pytest.approx(findings(job)[0].value)
    assert "struck" not in findings(gone)[0].reason


def test_a_floor_and_the_sign_of_a_depth_reading_are_shown():
    panel = panels.inspection()
    # Of the invented cup a ball may measure from 1.1 to 1.5 in or so; no slider spans a yard.
    assert 0.4 < panel.ball.minimum < 0.7
    assert 2.0 < panel.ball.maximum < 3.3
    panel.set(reads="depth", parallel=0.75, readings="0.2346 0.2348 0.2350")
    told = next(value for name, value in rows(panel).items() if name.startswith("Ball 1.2500"))
    assert told.endswith(
        "0.2348 in on parallels of 0.7500 in: 0.7500 − 0.2348 in = +0.5152 in, proud"
    )
    assert panel.board.notice == ""
    panel.set(floor_depth=0.7)
    assert "bottom" in panel.board.notice + panel.board.words["sentence"]
    assert panels.inspection().floor_depth.value is None
