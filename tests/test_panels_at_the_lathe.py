"""At the lathe: readings in, the next tap out, every pass kept, none for a job it is not of."""

import dataclasses
import re
import tempfile
import threading
from pathlib import Path

import pytest
from cases import cases
from hypothesis import Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule
from label_checks import assert_clear

from tapertrig import Dial, demo
from tapertrig.budget import proves
from tapertrig.draw.at_the_lathe import AtTheLatheScene, AtTheLatheState, PassMark
from tapertrig.draw.parts.style import NARROW, STYLES
from tapertrig.job import Choices, Job
from tapertrig.job.carried import carried_line
from tapertrig.lathe import LatheBook
from tapertrig.lathe_book import FILE_NAME
from tapertrig.panels.at_the_lathe_panel import NOW, AtTheLathe
from tapertrig.panels.job_sheet_panel import JobSheet
from tapertrig.panels.parts.lathe_list import book_changed
from tapertrig.printed.setup_sheet import setup_sheet


@pytest.fixture
def panel(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return AtTheLathe()


def press(panel, label):
    next(one for one in panel.presses.children if one.description == label).click()
    return panel.board.notice


def add(panel, compound, cross, bolts="eased"):
    panel.set(compound=compound, cross=cross, bolts=bolts)
    return press(panel, "Add this pass")


def rows(panel):
    return {name: value for name, value, _mark in panel.board.words["rows"]}


def test_three_passes_lead_to_proven_and_each_is_kept(panel, tmp_path):
    title = panel.current().title
    sentence = panel.board.words["sentence"]
    assert sentence.startswith("No pass yet. Run the compound 32 turns, towards the tailstock")
    assert add(panel, "32 turns", "11 turns .051") == ""
    # asin((11 × .2 + .051) ÷ 6.4) is 20°35′33″; 7′27″ are missing of 20°43′.
    assert rows(panel)["Half angle now"] == "20°35′33″"
    assert "about 7′27″, .0046 in at the rim" in panel.board.words["sentence"]
    assert Job.load(tmp_path / f"{title}.job.json").passes == panel.current().passes
    add(panel, "3.2", "2,2645")
    assert "take the proving pass" in panel.board.words["sentence"]
    assert "Proof" not in rows(panel)
    assert panel.compound.value is None
    add(panel, "32 turns", "11 turns, then .0645", "tight")
    assert rows(panel)["Proof"].startswith("Slide set to 20°43′18″, proven within ± 0°06′")
    assert panel.bolts.value == "eased", "tight is what proves: it is said each time"
    assert press(panel, "Strike the last pass") == ""
    assert "Proof" not in rows(panel)
    kept = Job.load(tmp_path / f"{title}.job.json")
    assert [one.struck for one in kept.passes] == [False, False, True]
    # Another kernel, nothing pressed: all is there again.
    again = AtTheLathe()
    again.there.value = title
    assert again.current() == kept
    assert again.board.words["rows"] == panel.board.words["rows"]


def test_readings_carried_from_the_phone_are_kept_at_once(panel, tmp_path):
    bare = panel.current()
    taken = bare.with_pass(3.2, cross_reading=2.2014).with_pass(3.2, 2.264, bolts="tight")
    panel.carried.value = carried_line(taken)
    assert press(panel, "Take the readings in") == ""
    kept = Job.load(tmp_path / f"{bare.title}.job.json")
    assert [one.cross_reading for one in kept.passes] == [2.2014, 2.264]
    assert kept.passes == panel.current().passes
    assert rows(panel)["Proof"].startswith("Slide set to 20°43′01″")
    for line, told in ((carried_line(taken), ""), (carried_line(demo.plug_job()), "this is job")):
        panel.carried.value = line
        assert told in press(panel, "Take the readings in")
        assert Job.load(tmp_path / f"{bare.title}.job.json").passes == kept.passes


def test_what_is_typed_so_far_is_no_complaint_and_what_is_wrong_is_said_beside_it(panel):
    for part in ("3", "32", "32 t", "32 turns"):
        panel.compound._hear(panel.compound, {"typing": part}, [])
        assert panel.compound.message == ""
    for part in ("1", "11", "11 turns", "11 turns ,", "11 turns .051"):
        panel.cross._hear(panel.cross, {"typing": part}, [])
        assert panel.cross.message == ""
    assert panel.last_state.typed is not None
    assert panel.current().passes == ()
    panel.cross._hear(panel.cross, {"typed": "11 turns .251"}, [])
    assert "a turn or more beside the turns" in panel.cross.message
    assert "mend what is typed first" in press(panel, "Add this pass")
    panel.cross.enter("7 turns")
    panel.compound.enter(".1")
    assert "look at the turns" in panel.compound.message
    assert panel.board.stale
    assert panel.current().passes == ()
    panel.compound.enter("")
    assert "type what the dials read first" in press(panel, "Add this pass")
    assert "compound dial: nothing typed" in panel.board.notice
    assert "no pass stands here" in press(panel, "Strike the last pass")


def test_the_axial_route_takes_stack_and_needle(panel):
    job = dataclasses.replace(demo.job(), choices=Choices(route="axial travel"))
    panel.take(job)
    assert panel.cross.layout.display == "none"
    panel.set(compound="32 turns", stack="2.993", needle="-.0004")
    assert press(panel, "Add this pass") == ""
    # acos(2.9926 ÷ 3.2) is 20°44′30″.
    assert panel.current().passes[0].axial_reading == pytest.approx(2.9926)
    assert rows(panel)["Half angle now"] == "20°44′30″"


def test_passes_have_the_numbers_of_the_sheet_whoever_brought_them(panel):
    bare = panel.current()
    phone = bare.with_pass(3.2, 2.2014, time="2031-05-04T10:05:00+00:00")
    panel.take(bare.with_pass(3.2, 2.264, time="2031-05-04T10:10:00+00:00"))
    panel.carried.value = carried_line(phone)
    assert press(panel, "Take the readings in") == ""
    told = {name: value for name, value in rows(panel).items() if name.startswith("Pass ")}
    table = setup_sheet(panel.current()).split('id="passes">')[1].split("<tbody>")[1]
    paper = [re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row) for row in table.split("</tr>")[:2]]
    for number, one in enumerate(paper, 1):
        assert one[0] == str(number)
        assert told[f"Pass {number}"].startswith(f"{one[1]}, {one[2]}, ")


def test_the_mark_of_the_example_goes_with_the_claim(panel, tmp_path):
    add(panel, "32 turns", "11 turns .051")
    sheet = JobSheet()
    sheet.there.value = panel.file.value
    sheet.guard(sheet.load_file)
    assert "Example" in rows(panel)
    for label in ("This is my job now", "Save job"):
        press(sheet, label)
    assert "Example" not in rows(panel)
    assert panel.current().invented is False
    assert len(panel.current().passes) == 1


def test_another_lathe_is_refused_while_passes_of_this_one_stand(panel, tmp_path):
    add(panel, "3.2", "2.25")
    other = list(demo.LATHES)[2]
    panel.lathe.value = other
    assert "has passes" in panel.board.notice
    assert panel.lathe.value == panel.current().lathe.name == demo.FIRST_LATHE
    press(panel, "Strike the last pass")
    panel.lathe.value = other
    assert panel.current().lathe == demo.LATHES[other]
    assert panel.cross.dial == demo.LATHES[other].cross_dial
    # The book's figures of it by now are there to be taken; other dials are another matter.
    changed = dataclasses.replace(demo.LATHES[other], cross_backlash=0.02)
    LatheBook((changed,)).save(tmp_path / FILE_NAME)
    book_changed()
    assert panel.current().lathe == demo.LATHES[other]
    add(panel, "2.5", "0.88")
    panel.lathe.value = other + NOW
    assert panel.board.notice == ""
    assert panel.current().lathe == changed
    dials = dataclasses.replace(changed, cross_dial=Dial(0.001, 0.25, "diameter"))
    LatheBook.of_folder(tmp_path).with_lathe(dials).save(tmp_path / FILE_NAME)
    book_changed()
    panel.lathe.value = other + NOW
    assert "other dials" in panel.board.notice
    assert panel.current().lathe == changed


def test_it_says_that_the_books_lathe_has_changed(panel, tmp_path):
    own = panel.current().lathe
    assert "Lathe book" not in rows(panel)
    LatheBook((dataclasses.replace(own, cross_backlash=0.0321),)).save(tmp_path / FILE_NAME)
    book_changed()
    assert "now 0.0321 in" in rows(panel)["Lathe book"]
    panel.lathe.value = own.name + NOW
    assert "Lathe book" not in rows(panel)


def test_a_pass_for_the_other_kind_of_cone_is_not_judged(panel):
    add(panel, "3.2", "2.2645", "tight")
    assert "Proof" in rows(panel)
    assert "Before you swing" not in rows(panel), "beside “leave it”"
    assert "typical figures" in rows(panel)["The reading's own doubt"]
    job = panel.current()
    turned = dataclasses.replace(job.callout, internal=not job.callout.internal)
    panel.take(dataclasses.replace(job, callout=turned))
    assert "Proof" not in rows(panel)
    assert "the aim was another" in panel.board.words["sentence"]
    assert "the aim was another" in rows(panel)["This pass"]
    sheet = setup_sheet(panel.current())
    assert "Not proven: the aim was another" in sheet


@pytest.mark.parametrize("radius", [None, 2.125])
def test_the_picture_says_the_swing_once(panel, radius):
    job = panel.current()
    panel.take(dataclasses.replace(job, lathe=dataclasses.replace(job.lathe, base_radius=radius)))
    panel.set(compound="3.2", cross="2.251")
    said = panel.scene_state(panel.last_state).said
    assert said[0] == "further 7′27″"
    assert said[1] == (".0046 in at the rim" if radius else "the rim's radius is not given")
    panel.set(cross="2.2645")
    assert panel.scene_state(panel.last_state).said[1].startswith("missing: back 18″")


def test_the_cone_is_chosen_where_there_are_several(panel):
    job = demo.job()
    steep = dataclasses.replace(job.callout, value="25°04′", name="relief")
    panel.take(dataclasses.replace(job, callouts=(job.callout, steep)))
    panel.set(compound="32 turns", cross="11 turns")
    panel.cone.value = 1
    assert panel.compound.value is None, "a reading of the seat went over to the relief"
    add(panel, "32 turns", "6 turns .18")
    assert panel.current().passes[0].aim.cone == 1
    assert panel.current().standing(0) == ()
    panel.cone.value = 0
    assert "No pass yet" in panel.board.words["sentence"]


def test_what_cannot_be_saved_is_not_lost_and_says_so(panel, tmp_path):
    (tmp_path / "taken.job.json").write_text("{}")
    panel.file.value = "taken"
    assert "taken.job.json" in add(panel, "3.2", "2.25")
    assert len(panel.current().passes) == 1
    panel.file.value = "free"
    add(panel, "3.2", "2.26")
    assert len(Job.load(tmp_path / "free.job.json").passes) == 2


def test_a_reading_too_far_keeps_no_job_out(panel):
    panel.set(compound="32", cross="11")
    assert "this slide reaches" in panel.board.notice + panel.compound.message
    job = panel.current()
    turned = dataclasses.replace(job, title="another title")
    panel.take(turned)
    assert panel.current() == turned


def test_a_job_without_print_or_lathe_says_what_is_wanting(panel):
    panel.take(Job())
    assert "nothing is entered from the print" in rows(panel)["Set now"]
    assert "no lathe is given" in add(panel, "3.2", "2.25") or panel.board.notice
    assert panel.current().passes == ()


def test_one_panel_handles_one_message_at_a_time(panel, monkeypatch):
    """A server may send the messages of one panel's widgets to several threads."""
    inside, most, read_state = [], [], panel.read_state

    def slowly():
        inside.append(1)
        most.append(len(inside))
        threading.Event().wait(0.05)
        inside.pop()
        return read_state()

    monkeypatch.setattr(panel, "read_state", slowly)
    values = [(panel.bolts, "tight"), (panel.style_switch, True), (panel.cone, 0)]
    movers = [
        threading.Thread(target=lambda one=one: setattr(one[0], "value", one[1])) for one in values
    ]
    for mover in movers:
        mover.start()
    for mover in movers:
        mover.join()
    assert len(most) >= 2
    assert max(most) == 1


PASSES = {
    "none": (),
    "far": (-2400.0,),
    "mid": (-2400.0, 447.0),
    "near": (-2400.0, 5000.0, 447.0, -90.0, 18.0),
    "beside one another": (30.0, 20.0, 10.0, 12.0, 11.0),
    "beyond the scale": (-90000.0,),
}


@pytest.mark.parametrize("placement", [*STYLES])
@pytest.mark.parametrize("off", PASSES.values(), ids=PASSES)
@pytest.mark.parametrize("tolerance", [None, 40.0, 360.0])
def test_labels_stay_clear_whatever_the_passes(placement, off, tolerance):
    scene = AtTheLatheScene(STYLES[placement])
    for sign in (1, -1):
        passes = tuple(
            PassMark(sign * one, f"pass {n}", struck=n == 2 and len(off) > 3)
            for n, one in enumerate(off, 1)
        )
        now = passes[-1].off if passes else None
        room = tolerance - 53 if tolerance and tolerance > 53 else None
        said = ("no pass yet",)
        if passes:
            said = ("further 1°07′27″", ".0046 in at the rim", "now 20°35′33″, ± 1′03″, .0007 in "
                    "at the rim", "no tolerance on the print: nothing to judge")  # fmt: skip
        scene.show(AtTheLatheState("20°43′", passes, now, 63.0, tolerance, room, said))
        assert_clear(scene, (placement, off, tolerance, sign))
        if placement != NARROW:
            shown = {label.text for label in scene.labels if label.shown}
            assert {said[0], "20°43′"} <= shown
            assert {one.name for one in passes if not one.struck} & shown or not passes


class AtTheLatheMachine(RuleBasedStateMachine):
    """Passes added and undone, lathes changed in the book, prints changed, jobs changed over."""

    @initialize()
    def begin(self):
        self.tmp = tempfile.TemporaryDirectory()
        here = self.folder = Path(self.tmp.name)

        class Here(AtTheLathe):
            folder = here

        two = (demo.callout(), dataclasses.replace(demo.plug_callout(), internal=True))
        made = [demo.job(), demo.job(), dataclasses.replace(demo.job(), callouts=two)]
        for name, job in zip(("one", "same print", "two"), made, strict=True):
            job.save(here / f"{name}.job.json")
        self.panel = Here()
        self.typed_for, self.taken = None, {}

    def teardown(self):
        self.tmp.cleanup()

    def shown(self):
        job, cone = self.panel.current(), self.panel.cone.value
        dials = job.lathe and (job.lathe.unit, job.lathe.compound_dial, job.lathe.cross_dial)
        asked = job.callouts[cone] if cone < len(job.callouts) else None
        return job.identity, cone, asked, dials

    def changed_here_and_there(self):
        job = self.panel.current()
        if not self.panel.file.value or not self.panel.path().exists():
            return False
        there = Job.load(self.panel.path()).rest()
        return job.read_as != job.rest() and there not in (job.rest(), job.read_as)

    @rule(turns=st.integers(20, 32), share=st.floats(0.2, 0.4))
    def type(self, turns, share):
        turn, reach = self.panel.compound.dial.per_turn, self.panel.current().lathe.compound_reach
        turns = min(turns, int((reach or 9.0) / turn))
        travel = turns * turn
        cross = share * travel * self.panel.cross.dial.factor
        with_unit = self.panel.cross.dial.words(cross, self.panel.cross.unit)
        self.panel.compound.enter(f"{turns} turns")
        self.panel.cross.enter(with_unit)
        self.typed_for = self.shown()

    @rule(bolts=st.sampled_from(["eased", "tight"]))
    def add(self, bolts):
        before = self.panel.current()
        self.panel.bolts.value = bolts
        notice = press(self.panel, "Add this pass")
        new = [one for one in self.panel.current().passes if one.identity not in self.taken]
        if self.typed_for is None:
            assert new == [], "a pass out of nothing"
            assert notice
            return
        (one,) = new
        assert self.panel.current().identity == before.identity == self.typed_for[0]
        self.taken[one.identity] = self.typed_for
        if self.changed_here_and_there():  # nobody's change is lost: it is kept under another name
            assert "has been changed since it was read here" in notice
            self.panel.file.value = f"apart {len(self.taken)}"
            notice = press(self.panel, "Strike the last pass")
        assert notice == ""
        self.typed_for = None

    @rule()
    def strike(self):
        press(self.panel, "Strike the last pass")
        self.typed_for = None if self.panel.compound.value is None else self.typed_for

    @rule(name=st.sampled_from(["one", "same print", "two"]))
    def another_job(self, name):
        before = self.panel.current().identity
        self.panel.file.value = name
        self.panel.guard(self.panel.load_file)
        if self.panel.current().identity != before:
            self.typed_for = None

    @rule(cone=st.integers(0, 1))
    def another_cone(self, cone):
        if cone < len(self.panel.current().callouts) and cone != self.panel.cone.value:
            self.panel.cone.value = cone
            self.typed_for = None

    @rule(value=st.sampled_from(["41°26′", "42°10′", "25°04′", "12°"]), here=st.booleans())
    def another_print(self, value, here):
        job = self.panel.current()
        callouts = (dataclasses.replace(job.callouts[0], value=value), *job.callouts[1:])
        if here:
            self.panel.take(dataclasses.replace(job, callouts=callouts))
        elif self.panel.file.value:
            path = self.panel.path()
            there = Job.load(path)
            dataclasses.replace(there, callouts=callouts).save(path)
            self.panel.files_changed()

    @rule(backlash=st.floats(0.001, 0.02), reads=st.sampled_from(["radius", "diameter"]))
    def another_figure_in_the_book(self, backlash, reads):
        lathe = dataclasses.replace(
            demo.LATHES[demo.FIRST_LATHE],
            cross_backlash=backlash,
            cross_dial=Dial(0.001, 0.2, reads),
        )
        book = LatheBook.of_folder(self.folder).with_lathe(lathe)
        book.save(self.folder / FILE_NAME)
        book_changed()

    @rule(which=st.integers(0, 4))
    def another_lathe(self, which):
        names = [value for _label, value in self.panel.lathe._options_full if value]
        before = self.panel.current()
        self.panel.lathe.value = names[which % len(names)]
        after = self.panel.current()
        dials = [(one.lathe.compound_dial, one.lathe.cross_dial) for one in (before, after)]
        if dials[0] != dials[1]:
            assert all(one.struck for one in after.passes)

    @invariant()
    def every_pass_is_of_the_job_and_the_print_it_was_taken_for(self):
        job = self.panel.current()
        for one in job.passes:
            identity, cone, asked, dials = self.taken[one.identity]
            assert identity == job.identity
            assert one.aim.cone == cone
            assert one.aim.half_angle == asked.half_angle
            assert (one.unit, one.compound_dial, one.cross_dial) == dials

    @invariant()
    def what_is_typed_is_judged_for_what_it_was_typed_for(self):
        if self.panel.compound.value is not None:
            assert self.shown() == self.typed_for, "a reading slipped over to something else"
        elif self.typed_for is not None:
            self.typed_for = None  # emptied, as it must be where anything else is asked for now

    @invariant()
    def nothing_is_lost_and_nothing_proven_that_is_not(self):
        job, state = self.panel.current(), self.panel.last_state
        assert state.job == job
        if self.panel.file.value and job.passes:
            kept = Job.load(self.panel.path())
            assert {one.identity for one in job.passes} <= {one.identity for one in kept.passes}
        proof = rows(self.panel).get("Proof")
        last = state.last
        assert (proof is not None) == (
            state.typed is None and last is not None and proves(job, last)
        )


AtTheLatheMachine.TestCase.settings = settings(
    deadline=None,
    max_examples=cases(12, 300),
    stateful_step_count=20,
    phases=[Phase.explicit, Phase.reuse, Phase.generate],  # making it smaller takes minutes
)
TestAtTheLathe = AtTheLatheMachine.TestCase
