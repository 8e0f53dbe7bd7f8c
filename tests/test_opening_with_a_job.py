"""Lesson 06 with a job: what was measured, the size to aim at, what to move next on these dials.

The zone that proves is worked out here from ISO 14253-1:2017 (limits less 1.65 u, Student's t for
few readings) by the record's own line; ball heights by plane geometry (trade handbook formula
h = (d/2)(1 + 1/sin α) − D/(2 tan α)).
"""

import dataclasses
import math
import re

import pytest

from tapertrig import Angle, demo, panels
from tapertrig.gauging import CONFORMS, findings
from tapertrig.gauging.aim import aim_at_size
from tapertrig.job import Callout, Gauge, Instrument, Job, Readings, StatedAngle
from tapertrig.lathe import Dial, Lathe
from tapertrig.lathe_book import FILE_NAME, LatheBook

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
    panel.measured.enter("1.19")
    assert not panel.board.notice
    assert rows(panel)["Measured on the part"].startswith("not measured")
    assert panel.current().readings == ()


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
