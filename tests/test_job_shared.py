"""One job file in several hands, and files of the first edition: nothing lost, nothing invented."""

import dataclasses
import hashlib
import json
import re
import tempfile
from pathlib import Path

import pytest
from cases import cases
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from tapertrig import Angle, demo, panels
from tapertrig.gauging import NO_LIMIT, NOT_MEASURED, findings
from tapertrig.job import Callout, Gauge, Instrument, Job, Readings, StatedAngle
from tapertrig.job.job import joined

PRINT = Callout("included angle", "52°40′", 1.2, diameter_plus=0.004, diameter_minus=0.001)
FACES = st.sampled_from([1.2, 1.21, 1.22])
WORDS = st.sampled_from(["", "bolts were loose", "second ring", "gib set"])
TEXTS = ("notes", "material")
THEN = st.sampled_from(["later", "save and go on", "save and take"])


def measured(height=0.414):
    """Five heights of one ball in the cone of the print: 0.4148 is 1.2 at its face."""
    return Readings(
        "one ball",
        "in",
        (Gauge(1.0, 0.0001),),
        (tuple(height + step / 10_000 for step in (0, 1, -1, 2, 0)),),
        instrument=Instrument("depth micrometer", 0.0001, 0.0001),
        face_limit=0.0001,
        stated_angle=StatedAngle(Angle.parse("26°20′"), Angle.parse("0°02′"), "sine bar"),
        measured_by="A",
        date="2031-03-09",
    )


def rest(job):
    """What of a job is not only ever added to, as this check sees it."""
    return {"face diameter": job.callout.face_diameter, **{one: getattr(job, one) for one in TEXTS}}


# ---------------------------------------------------------------- any edits, in any order


class TwoHolders(RuleBasedStateMachine):
    """Two programs with one file open: what a save said it kept is there ever after."""

    @initialize()
    def begin(self):
        self.folder = tempfile.TemporaryDirectory()
        self.path = Path(self.folder.name) / "ring.job.json"
        Job(PRINT, demo.job().lathe).save(self.path)
        self.held = [Job.load(self.path), Job.load(self.path)]
        self.base = [rest(one) for one in self.held]
        self.kept = {}
        self.said = {}

    def teardown(self):
        if hasattr(self, "folder"):
            self.folder.cleanup()

    who = st.integers(0, 1)

    @rule(who=who)
    def load(self, who):
        self.held[who] = Job.load(self.path)
        self.base[who] = rest(self.held[who])

    @rule(who=who, name=st.sampled_from(TEXTS), words=WORDS, then=THEN)
    def write(self, who, name, words, then):
        self.held[who] = dataclasses.replace(self.held[who], **{name: words})
        self.go(who, then)

    @rule(who=who, face=FACES, then=THEN)
    def change_the_print(self, who, face, then):
        asked = dataclasses.replace(self.held[who].callout, face_diameter=face)
        self.held[who] = dataclasses.replace(self.held[who], callout=asked)
        self.go(who, then)

    @rule(who=who, read=st.floats(0.5, 2.0), then=THEN)
    def pass_once(self, who, read, then):
        self.held[who] = self.held[who].with_pass(2.5, read)
        self.go(who, then)

    @rule(who=who, height=st.floats(0.39, 0.43), then=THEN)
    def measure(self, who, height, then):
        one = measured(height)
        self.held[who] = self.held[who].with_readings(one)
        self.said[one.identity] = {self.held[who].callout.face_diameter}
        self.go(who, then)

    @rule(who=who, which=st.integers(0, 20), of=st.sampled_from(["confirm", "strike"]))
    def look_again(self, who, which, of):
        job = self.held[who]
        grown = job.readings if of == "confirm" else (*job.passes, *job.readings)
        if not grown:
            return
        one = grown[which % len(grown)].identity
        if of == "confirm":
            self.said[one].add(job.callout.face_diameter)
        self.held[who] = job.confirm(one, "B") if of == "confirm" else job.strike(one)

    def go(self, who, then):
        if then != "later":
            self.save(who, then == "save and go on")

    @rule(who=who, goes_on=st.booleans())
    def save(self, who, goes_on):
        mine, there, before = self.held[who], Job.load(self.path), self.path.read_bytes()
        changed = {one for one, was in self.base[who].items() if rest(there)[one] != was}
        touched = rest(mine) != self.base[who]
        try:
            kept = mine.keep(self.path)
        except ValueError as refusal:
            assert changed
            assert rest(mine) != rest(there)
            assert self.path.read_bytes() == before
            named = re.search(r"since it was read here \((.*?)\)", str(refusal))[1]
            assert set(named.split(", ")) == changed
            return
        assert kept == Job.load(self.path)
        assert rest(kept) == (rest(mine) if touched else rest(there))
        assert not (changed and touched and rest(mine) != rest(there))
        for one in (*mine.passes, *mine.readings):
            self.kept[one.identity] = self.kept.get(one.identity, False) or one.struck
        if goes_on:  # with the job as it was, as a caller of `save` does
            kept = mine
        if rest(kept) == rest(Job.load(self.path)):
            self.base[who] = rest(kept)
        self.held[who] = kept

    @invariant()
    def nothing_is_lost(self):
        if not hasattr(self, "kept"):
            return
        job = Job.load(self.path)
        there = {one.identity: one.struck for one in (*job.passes, *job.readings)}
        assert {one: there[one] for one in self.kept} == self.kept
        assert len(there) == len(job.passes) + len(job.readings)

    @invariant()
    def no_verdict_but_on_readings_of_this_print(self):
        if not hasattr(self, "said"):
            return
        job = Job.load(self.path)
        of_this = [
            one
            for one in job.readings
            if not one.struck and job.callout.face_diameter in self.said[one.identity]
        ]
        for found in findings(job):
            if found.verdict not in (NO_LIMIT, NOT_MEASURED):
                assert of_this, found.words("in")


TestTwoHolders = TwoHolders.TestCase
TestTwoHolders.settings = settings(
    deadline=None, max_examples=cases(15, 500), stateful_step_count=25
)


class TwoPanels(RuleBasedStateMachine):
    """Two notebooks with a job sheet of one file, and a third hand that adds passes."""

    @initialize()
    def begin(self):
        self.folder = tempfile.TemporaryDirectory()
        self.panels = [panels.job_sheet(), panels.job_sheet()]
        for one in self.panels:
            one.folder = Path(self.folder.name)
        self.path = self.panels[0].path()
        Job(PRINT, demo.job().lathe).save(self.path)
        self.base, self.passes = [{}, {}], 0
        for who in (0, 1):
            self.load(who)

    def teardown(self):
        if hasattr(self, "folder"):
            self.folder.cleanup()

    who = st.integers(0, 1)

    def press(self, who, label):
        buttons = self.panels[who].presses.children
        next(one for one in buttons if one.description == label).click()
        return self.panels[who].board.notice

    @rule(who=who)
    def load(self, who):
        assert self.press(who, "Load job") == ""
        assert self.panels[who].current() == Job.load(self.path)
        self.base[who] = rest(Job.load(self.path))

    @rule(who=who, name=st.sampled_from(TEXTS), words=WORDS)
    def write(self, who, name, words):
        self.panels[who].controls[name].value = words

    @rule(who=who, face=FACES)
    def change_the_print(self, who, face):
        self.panels[who].controls["face_diameter"].value = face

    @rule()
    def pass_once(self):
        Job.load(self.path).with_pass(2.5, 1.7).save(self.path)
        self.passes += 1

    @rule(who=who)
    def save(self, who):
        mine, there = self.panels[who].current(), Job.load(self.path)
        changed = {one for one, was in self.base[who].items() if rest(there)[one] != was}
        said = self.press(who, "Save job")
        if said:
            assert changed
            assert Job.load(self.path) == there
            assert self.panels[who].current() == mine
            assert all(one in said for one in changed)
        else:
            assert self.panels[who].current() == Job.load(self.path)
            self.base[who] = rest(Job.load(self.path))

    @invariant()
    def every_pass_is_there(self):
        if hasattr(self, "passes"):
            assert len(Job.load(self.path).passes) == self.passes


TestTwoPanels = TwoPanels.TestCase
TestTwoPanels.settings = settings(deadline=None, max_examples=cases(3, 60), stateful_step_count=12)


# ---------------------------------------------------------------- the rules one by one


@pytest.fixture
def path(tmp_path):
    Job(PRINT, demo.job().lathe, notes="as printed").save(tmp_path / "ring.job.json")
    return tmp_path / "ring.job.json"


def test_one_saves_a_note_the_other_its_readings(path):
    # Item 11 of what was seen: the readings were gone, without a word.
    sheet, inspection = Job.load(path), Job.load(path)
    inspection = inspection.with_readings(measured()).with_pass(2.5, 1.7)
    inspection.save(path)
    dataclasses.replace(sheet, notes="ring 2").save(path)
    both = Job.load(path)
    assert (both.notes, both.readings, both.passes) == (
        "ring 2", inspection.readings, inspection.passes,
    )  # fmt: skip


def test_a_holder_that_saves_twice_does_not_take_back_what_another_changed(path):
    stale = Job.load(path).with_pass(2.5, 1.7)
    dataclasses.replace(Job.load(path), notes="mended").save(path)
    stale.save(path)
    stale.with_pass(2.5, 1.71).save(path)
    assert Job.load(path).notes == "mended"
    assert len(Job.load(path).passes) == 2


def test_a_copy_that_has_gone_its_own_way_is_not_passed_for_saved(path):
    copy = path.with_name("copy.job.json")
    Job.load(path).save(copy)
    dataclasses.replace(Job.load(copy), notes="the copy").save(copy)
    with pytest.raises(ValueError, match=r"changed since it was read here \(notes\)"):
        Job.load(path).save(copy)
    assert Job.load(copy).notes == "the copy"


def test_what_was_read_is_never_changed_in_the_file(path):
    job = Job.load(path).with_readings(measured())
    job.save(path)
    (one,) = job.readings
    bent = dataclasses.replace(job, readings=(dataclasses.replace(one, rows=((0.3,),)),))
    before = path.read_bytes()
    for leave in (False, True):
        with pytest.raises(ValueError, match="rows of it differs from the file"):
            bent.save(path, replace=leave)
    assert path.read_bytes() == before
    assert joined(job.readings, job.readings) == job.readings


def test_struck_twice_is_struck_and_what_is_not_there_is_said():
    job = Job(PRINT, demo.job().lathe).with_pass(2.5, 1.7)
    once = job.strike(job.passes[0].identity)
    assert once.strike(job.passes[0].identity) == once
    with pytest.raises(ValueError, match="holds nothing of identity 'nobody'"):
        job.strike("nobody")
    with pytest.raises(ValueError, match="cone 3 is asked for"):
        job.with_readings(dataclasses.replace(measured(), cone=2))


def test_a_pass_needs_no_known_reach():
    lathe = dataclasses.replace(demo.job().lathe, compound_reach=None)
    assert Job(PRINT, lathe).with_pass(2.5, 1.7).passes[0].aim.half_angle == Angle.parse("26°20′")


def test_whole_numbers_make_the_same_file_again(path):
    job = Job(Callout("half angle", "20", 2, length=1), dataclasses.replace(demo.job().lathe))
    whole = json.loads(job.file_text())["job"]
    assert json.loads(Job.from_file_text(job.file_text()).file_text())["job"] == whole


def test_a_job_too_long_to_be_read_again_is_not_written(path):
    long = Job.load(path)
    one = long.with_pass(2.5, 1.7, time="t" * 200).passes[0]
    many = tuple(dataclasses.replace(one, identity=f"{n:016x}") for n in range(2000))
    before = path.read_bytes()
    with pytest.raises(ValueError, match="1,000,000 at most"):
        dataclasses.replace(long, passes=many).save(path)
    assert path.read_bytes() == before


# ---------------------------------------------------------------- files of the first edition

ONE_BALL = """{
 "kind": "inspection", "version": 1,
 "cone": {"half_angle": "94800", "face_diameter": 1.2, "length": 0.5, "internal": true},
 "unit": "in", "method": "one ball", "gauges": [1.0], "readings": [[0.2101, 0.2103, 0.21]],
 "instrument": {"name": "depth micrometer", "graduation": 0.001, "limit_of_error": 0.0002},
 "diameter_limits": [1.199, 1.204], "half_angle_tolerance": "360", "reads": "depth",
 "parallel": 0.5, "gauge_limit": 0.0, "face_limit": 0.0001, "block_height": 0.0,
 "block_limit": 0.0, "half_angle": null, "half_angle_limit": "120", "edge_break": 0.0,
 "floor_depth": null, "rule": {"kind": "guard band", "ratio": 4.0},
 "callout": "included angle 52°40′", "assumption": "", "measured_by": "J. F.", "date": "",
 "notes": "second ring"
}"""
OVER_ROLLS = """{
 "kind": "inspection", "version": 1,
 "cone": {"half_angle": "45120", "face_diameter": 29.79, "length": 40.64, "internal": false},
 "unit": "mm", "method": "rolls and blocks", "gauges": [6.0],
 "readings": [[44.1, 44.102], [55.3, 55.301]],
 "instrument": {"name": "outside micrometer", "graduation": 0.002, "limit_of_error": 0.002},
 "diameter_limits": null, "half_angle_tolerance": null, "reads": "height", "parallel": 0.0,
 "gauge_limit": 0.001, "face_limit": 0.001, "block_height": 25.0, "block_limit": 0.0003,
 "half_angle": null, "half_angle_limit": null, "edge_break": 0.0, "floor_depth": null,
 "rule": {"kind": "simple acceptance", "ratio": 4.0}, "callout": "", "assumption": "",
 "measured_by": "", "date": "", "notes": ""
}"""
FIRST_EDITION = """{
 "format": "tapertrig job", "version": 1, "identity": "0123456789abcdef",
 "job": {
  "callout": {"kind": "included angle", "value": "52°40'", "face_diameter": 1.2, "unit": "in",
   "internal": %(internal)s, "diameter_plus": 0.0, "diameter_minus": 0.0,
   "angle_tolerance": "720", "tolerance_on": "included angle", "other_diameter": null,
   "length": 0.5},
  "lathe": {"unit": "in", "compound_reach": 3.0,
   "compound_dial": {"graduation": 0.001, "per_turn": 0.1, "reads": "diameter"},
   "cross_dial": {"graduation": 0.001, "per_turn": 0.2, "reads": "diameter"},
   "base_zero": "square to bed", "compound_backlash": 0.0, "cross_backlash": 0.009,
   "base_radius": null, "name": "my own lathe"},
  "choices": {"compound_travel": 2.5, "shortest_travel": null, "order": "angle error",
   "general_class": "m", "shorter_side": null},
  "inspection": %(inspection)s,
  "title": "Ring", "part": "", "drawing_number": "", "material": "bronze", "shop": "",
  "made_by": "", "date": "", "notes": "", "invented": false
 }
}"""


def first_edition(inspection, internal="true"):
    """A file as that edition wrote it: sealed by sha-256 of its sorted, compact JSON."""
    whole = json.loads(FIRST_EDITION % {"inspection": inspection, "internal": internal})
    text = json.dumps(whole, sort_keys=True, separators=(",", ":"))
    return json.dumps(whole | {"checksum": hashlib.sha256(text.encode()).hexdigest()})


@pytest.mark.parametrize(
    ("inspection", "internal"), [("null", "true"), (ONE_BALL, "true"), (OVER_ROLLS, "false")]
)
def test_a_first_edition_file_is_migrated_once(tmp_path, inspection, internal):
    path = tmp_path / "ring.job.json"
    path.write_text(first_edition(inspection, internal), encoding="utf-8")
    job = Job.load(path)
    assert job == Job.load(path)
    job.save(path)
    second = path.read_text(encoding="utf-8")
    assert Job.load(path) == job
    Job.load(path).save(path)
    names = ("saved", "checksum")
    first, again = json.loads(second), json.loads(path.read_text(encoding="utf-8"))
    assert [first.pop(name) for name in names] != [""]
    assert [again.pop(name) for name in names] != [""]
    assert first == again
    assert first["version"] == 2


def test_what_the_first_edition_put_for_want_of_a_value_is_not_given():
    job = Job.from_file_text(first_edition(ONE_BALL))
    assert job.older
    assert (job.callout.diameter_plus, job.callout.diameter_minus) == (None, None)
    assert job.callout.angle_tolerance == Angle.parse("0°12′")
    assert (job.lathe.compound_backlash, job.lathe.cross_backlash) == (None, 0.009)
    assert job.lathe.compound_dial.reads == "diameter"
    assert (job.title, job.material, job.choices.compound_travel) == ("Ring", "bronze", 2.5)
    (one,) = job.readings
    assert one.rows == ((0.2101, 0.2103, 0.21),)
    assert (one.reads, one.parallel, one.edge_break) == ("depth", 0.5, None)
    assert (one.gauges[0].size, one.gauges[0].limit) == (1.0, None)
    assert (one.stated_angle, one.scatter) == (None, None)
    assert (one.measured_by, one.notes) == ("J. F.", "second ring")


def test_first_edition_rolls_keep_their_blocks():
    (one,) = Job.from_file_text(first_edition(OVER_ROLLS, "false")).readings
    assert (one.method, one.unit, one.gauges[0].size) == ("rolls and blocks", "mm", 6.0)
    assert (one.blocks.size, one.blocks.limit) == (25.0, 0.0003)
    assert one.rows == ((44.1, 44.102), (55.3, 55.301))
    assert (one.parallel, one.rule) == (None, "simple acceptance")


def test_first_edition_readings_give_no_verdict_until_somebody_confirms_them():
    job = Job.from_file_text(first_edition(ONE_BALL))
    assert {one.verdict for one in findings(job)} <= {NOT_MEASURED, NO_LIMIT}


def test_the_same_older_file_opened_twice_does_not_double_its_readings(tmp_path):
    path = tmp_path / "ring.job.json"
    path.write_text(first_edition(ONE_BALL), encoding="utf-8")
    one, other = Job.load(path), Job.load(path)
    one.with_pass(2.5, 1.0).save(path)
    other.with_pass(2.5, 1.1).save(path)
    assert (len(Job.load(path).readings), len(Job.load(path).passes)) == (1, 2)
