"""The practice panel: what it says to right, wrong and odd answers, and the record it keeps."""

from __future__ import annotations

import shutil
import tempfile
from collections import Counter
from pathlib import Path

import pytest
from cases import cases
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

from tapertrig import panels
from tapertrig.practice import TOPICS, problem
from tapertrig.practice.mistakes import INCLUDED_AS_HALF
from tapertrig.practice.record import load_record
from tapertrig.practice.session import Session


@pytest.fixture
def clock():
    class Clock:
        now = 100.0

        def __call__(self):
            return self.now

    return Clock()


@pytest.fixture
def panel(tmp_path, clock):
    made = panels.practice(topic="angle units", seed=3)
    made.folder = tmp_path
    made.clock = clock
    made._begun = clock()
    return made


def reply(panel, text):
    panel.controls["answer"].answer(text)
    return panel.board.words["sentence"]


def row(panel, name):
    return {key: value for key, value, _mark in panel.board.words["rows"]}.get(name)


def wrong_numbers(each):
    return {wrong.mistakes[0]: wrong.number for wrong in each.wrong_numbers()}


def press(panel, label):
    boxes = [panel.presses, *panel.control_side.children]
    buttons = [b for box in boxes for b in getattr(box, "children", ())]
    next(b for b in buttons if getattr(b, "description", "") == label).click()


def test_question_and_figure_are_there_before_any_answer(panel):
    each = problem("angle units", 3)
    assert each.text in panel.board.words["alt"]
    assert panel.board.words["sentence"] == each.text
    assert each.answer_text not in panel.still()[1]
    assert any(mark[0] for mark in panel.board.marks.values())


def test_a_usual_mistake_is_named_then_a_right_answer_is_right(panel):
    each = problem("angle units", 3)
    said = reply(panel, f"{wrong_numbers(each)[INCLUDED_AS_HALF]:.4f}")
    assert INCLUDED_AS_HALF in said
    assert "wall to wall, or wall to axis?" in said
    assert row(panel, "Question") == each.text
    said = reply(panel, each.answer_text)
    assert said == f"Right: {each.answer_text}."
    assert row(panel, "Worked solution")
    assert row(panel, "Your record") == "1 right of 1 tried, 2 answers"


def test_hints_come_one_after_another_and_the_solution_last(panel):
    each = problem("angle units", 3)
    said = [reply(panel, text) for text in ("1", "2", "3")]
    assert each.question.hints[0] in said[0]
    assert each.question.hints[1] not in said[0]
    assert each.question.hints[1] in said[1]
    assert row(panel, "Worked solution") == each.solution.replace("\n", " ")
    assert each.answer_text not in said[0] + said[1]


def test_text_that_is_no_answer_is_no_try_and_says_how_to_write_one(panel):
    said = reply(panel, "about fifty")
    assert said == problem("angle units", 3).text, "the question is gone"
    assert "not counted as a try" in panel.controls["answer"].message
    assert "about fifty" in panel.controls["answer"].message
    assert panel.session.record.entries == ()
    reply(panel, "52.175")
    assert panel.controls["answer"].message == ""
    assert panel.session.solved


def test_the_same_answer_twice_and_an_answer_after_the_right_one_change_nothing(panel):
    reply(panel, "17")
    reply(panel, "17")
    assert len(panel.session.record.entries) == 1
    assert "not counted again" in panel.board.news
    reply(panel, "52.175")
    reply(panel, "16")
    assert [entry.right for entry in panel.session.record.entries] == [False, True]
    assert "Next problem" in panel.board.news


def test_what_a_browser_sends_is_taken_whole(panel):
    entry = panel.controls["answer"]
    entry._hear(entry, {"answer": "52°10′30″"}, [])
    assert panel.session.solved
    entry._hear(entry, {"other": 1}, [])
    assert "fault" not in panel.board.notice


def test_next_problem_empties_the_entry_and_skips_what_is_solved(panel):
    reply(panel, "17")
    press(panel, "Next problem")
    assert panel.session.seed == 4
    assert panel.controls["seed"].value == "4"
    assert panel.controls["answer"].text == ""
    panel.controls["seed"].value = "3"
    reply(panel, "52.175")
    panel.controls["seed"].value = "2"
    press(panel, "Next problem")
    assert panel.session.seed == 4


def test_topics_in_turn_go_round_once_and_then_on():
    session = Session()
    met = []
    for _ in range(len(TOPICS) + 1):
        met.append((session.topic, session.seed))
        session = session.following(in_turn=True)
    assert [topic for topic, _seed in met[:-1]] == list(TOPICS)
    assert met[-1] == (TOPICS[0], 2)


def test_a_topic_is_gone_back_to_where_it_was_left(panel):
    reply(panel, "17")
    panel.controls["topic"].value = "dials"
    assert panel.session.topic == "dials"
    panel.controls["topic"].value = "angle units"
    assert (panel.session.topic, panel.session.seed) == ("angle units", 3)


@pytest.mark.parametrize("typed", ["", "x", "-3", "1.5", "٣", "9" * 30, "²"])
def test_a_problem_number_that_is_none_is_refused_and_the_problem_stays(panel, typed):
    frame = panel.board.marks
    panel.controls["seed"].value = typed
    if typed:
        assert "no whole number" in panel.board.notice
    assert panel.session.seed == 3
    assert panel.board.marks == frame


def test_wrong_starts_are_refused():
    with pytest.raises(ValueError, match="topic is 'sines'"):
        panels.practice(topic="sines")
    with pytest.raises(ValueError, match="no whole number"):
        panels.practice(seed="x")


def test_each_answer_is_in_the_file_at_once_with_its_seconds(panel, clock, tmp_path):
    panel.controls["file"].value = "ada"
    clock.now += 12.5
    reply(panel, "17")
    entries = load_record(tmp_path / "ada.csv").record.entries
    assert [(e.answer, e.right, e.tries, e.seconds) for e in entries] == [("17", False, 1, 12.5)]
    clock.now += 7
    reply(panel, "52.175")
    entries = load_record(tmp_path / "ada.csv").record.entries
    assert [(e.right, e.tries, e.seconds) for e in entries] == [(False, 1, 12.5), (True, 2, 7.0)]
    assert "name" not in (tmp_path / "ada.csv").read_text().splitlines()[0]


def test_after_a_restart_the_learner_goes_on_where_they_were(panel, tmp_path):
    panel.controls["name"].value = "Ada of nowhere"
    panel.controls["file"].value = "ada"
    reply(panel, "52.175")
    press(panel, "Next problem")
    reply(panel, "17")
    again = panels.practice()
    again.folder = tmp_path
    again.controls["file"].value = "ada"
    assert "Loaded ada.csv: 2 answers" in again.board.news
    assert (again.session.topic, again.session.seed, again.session.tries) == ("angle units", 4, 1)
    assert again.controls["name"].value == "Ada of nowhere"
    assert row(again, "Your record") == "1 right of 2 tried, 2 answers"
    reply(again, "18")
    assert len(load_record(tmp_path / "ada.csv").record.entries) == 3


def test_a_file_that_was_not_opened_here_is_never_written_over(panel, tmp_path):
    other = tmp_path / "ada.csv"
    other.write_text("not mine")
    panel.controls["file"].value = "ada"
    reply(panel, "17")
    assert other.read_text() == "not mine"
    assert "is no practice record" in panel.board.notice
    assert len(panel.session.record.entries) == 1
    press(panel, "Save record")
    assert "is no practice record" in panel.board.notice
    assert other.read_text() == "not mine"
    panel.controls["file"].value = "ada 2"
    assert (tmp_path / "ada 2.csv").exists()
    press(panel, "Save record")
    assert "Saved as ada 2.csv" in panel.board.news


def test_torn_lines_are_named_and_the_file_as_found_is_kept(panel, tmp_path):
    panel.controls["file"].value = "ada"
    reply(panel, "17")
    path = tmp_path / "ada.csv"
    torn = path.read_text() + 'dials,4,"half a li\n'
    path.write_text(torn)
    again = panels.practice()
    again.folder = tmp_path
    again.controls["file"].value = "ada"
    assert "line 3 skipped" in again.board.news
    reply(again, "19")
    assert (tmp_path / "ada.csv.as-found").read_text() == torn


@pytest.mark.parametrize("name", ["../up", "a/b", "", "CON", "x" * 300])
def test_a_file_name_that_cannot_be_is_refused_in_words(panel, name, tmp_path):
    panel.controls["file"].value = name
    press(panel, "Save record")
    assert panel.board.notice
    assert "fault" not in panel.board.notice
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("topic", TOPICS)
def test_every_topic_takes_its_right_answer(topic):
    panel = panels.practice(topic=topic)
    reply(panel, panel.session.problem.answer_text)
    assert panel.session.solved
    assert not panel.board.notice


def test_two_panels_on_one_record_lose_no_answer(panel, tmp_path):
    # Item 11 of what was seen: each wrote its own answers over the other's.
    panel.file.value = "ada"
    reply(panel, "1")
    other = panels.practice(topic="angle units", seed=5)
    other.folder = tmp_path
    other.file.value = "ada"
    other.controls["seed"].value = "5"
    reply(panel, "2")
    reply(other, "3")
    reply(panel, problem("angle units", 3).answer_text)
    reply(other, problem("angle units", 5).answer_text)
    kept = load_record(tmp_path / "ada.csv").record.entries
    assert [(one.seed, one.answer, one.tries) for one in kept] == [
        (3, "1", 1), (3, "2", 2), (5, "3", 1),
        (3, problem("angle units", 3).answer_text, 3),
        (5, problem("angle units", 5).answer_text, 2),
    ]  # fmt: skip
    assert other.session.record.entries == kept
    (tmp_path / "ada.csv").unlink()
    other.controls["seed"].value = "6"
    reply(other, "4")
    assert len(load_record(tmp_path / "ada.csv").record.entries) == 6, "a file taken away is whole"


def another(tmp_path, **settings):
    made = panels.practice(**{"topic": "angle units", "seed": 3} | settings)
    made.folder = tmp_path
    return made


def kept(tmp_path, name):
    return [(one.seed, one.answer) for one in load_record(tmp_path / f"{name}.csv").record.entries]


def test_answers_given_before_an_old_name_is_typed_are_added_to_it(panel, tmp_path):
    panel.file.value = "ada"
    reply(panel, "1")
    again = another(tmp_path, seed=5)
    reply(again, "2")
    again.file.value = "ada"
    assert "2 answers, 1 answer of them added just now" in again.board.news
    assert kept(tmp_path, "ada") == [(3, "1"), (5, "2")]
    assert again.session.seed == 5, "the problem being worked at is gone"
    reply(again, "3")
    assert kept(tmp_path, "ada")[2:] == [(5, "3")]


def test_nobodys_answers_get_into_the_record_of_another(panel, tmp_path):
    panel.file.value, panel.name.value = "ada", "Ada of nowhere"
    reply(panel, "1")
    other = another(tmp_path)
    other.name.value = "Bo of nowhere"
    reply(other, "2")
    other.file.value = "ada"
    assert "is the record of Ada of nowhere" in other.board.notice
    reply(other, "3")
    press(other, "Save record")
    assert "is the record of Ada of nowhere" in other.board.notice
    assert kept(tmp_path, "ada") == [(3, "1")]
    assert len(other.session.record.entries) == 2
    other.file.value = "bo"
    assert kept(tmp_path, "bo") == [(3, "2"), (3, "3")]


def test_a_new_name_after_a_kept_record_begins_a_record_of_its_own(panel, tmp_path):
    panel.file.value, panel.name.value = "ada", "Ada of nowhere"
    reply(panel, "1")
    panel.file.value = "bo"
    assert "A new record begins in bo.csv; ada.csv is kept as it is" in panel.board.news
    assert panel.name.value == ""
    reply(panel, "1")
    assert kept(tmp_path, "bo") == kept(tmp_path, "ada") == [(3, "1")]
    loaded = load_record(tmp_path / "bo.csv").record
    assert (loaded.name, loaded.called) == ("", "bo")


def test_two_records_are_joined_and_the_first_stays(panel, tmp_path):
    panel.file.value = "home"
    reply(panel, "1")
    press(panel, "Join records")
    assert "only one record was open so far" in panel.board.notice
    panel.file.value = "school"
    reply(panel, "2")
    panel.file.value = "home"
    panel.file.value = "school"
    assert "Join records adds those of home.csv" in panel.board.news
    press(panel, "Join records")
    press(panel, "Join records")
    assert "school.csv holds the answers of home.csv too, 2 in all" in panel.board.news
    assert kept(tmp_path, "school") == [(3, "2"), (3, "1")]
    assert kept(tmp_path, "home") == [(3, "1")]
    assert row(panel, "Your record") == "0 right of 1 tried, 2 answers"


def test_a_join_that_cannot_be_written_is_made_up_for(panel, tmp_path, monkeypatch):
    panel.file.value = "home"
    reply(panel, "1")
    panel.file.value = "school"
    reply(panel, "2")
    with monkeypatch.context() as patched:

        def full(*_):
            raise OSError(28, "No space left on device")

        patched.setattr("os.replace", full)
        press(panel, "Join records")
        assert "no space left" in panel.board.notice
        assert kept(tmp_path, "school") == [(3, "2")]
    reply(panel, "3")
    assert kept(tmp_path, "school") == [(3, "2"), (3, "1"), (3, "3")]


class TwoPanelsTwoFiles(RuleBasedStateMachine):
    """Two panels, two files, and a teacher: whatever they do, each answer given stands somewhere,
    and no file holds one twice.

    The model is a list of what was typed, each text a number of its own.
    """

    sides, names = st.sampled_from([0, 1]), st.sampled_from(["ada", "bo"])

    def __init__(self):
        super().__init__()
        self.folder = Path(tempfile.mkdtemp())
        self.panels = [another(self.folder), another(self.folder)]
        self.given = []

    def teardown(self):
        shutil.rmtree(self.folder)

    @rule(side=sides)
    def answer(self, side):
        self.given.append(str(900_000 + len(self.given)))
        reply(self.panels[side], self.given[-1])

    @rule(side=sides, name=names)
    def type_a_file(self, side, name):
        self.panels[side].file.value = name

    @rule(side=sides, name=st.sampled_from(["", "Ada", "Bo"]))
    def type_a_name(self, side, name):
        self.panels[side].name.value = name

    @rule(side=sides, label=st.sampled_from(["Save record", "Join records", "Next problem"]))
    def press_one(self, side, label):
        press(self.panels[side], label)

    @rule(name=names)
    def a_teacher_adds_a_column(self, name):
        path = self.folder / f"{name}.csv"
        if path.exists():
            head, *rows = path.read_text().splitlines()
            path.write_text("\n".join([f"{head},seen", *(f"{row},x" for row in rows)]))

    @rule(side=sides)
    def come_back(self, side):
        """A lesson opened anew, once all that its panel holds is in a file."""
        if not self.panels[side]._unsaved:
            self.panels[side] = another(self.folder)

    @invariant()
    def nothing_is_lost_or_doubled(self):
        files = [[text for _, text in kept(self.folder, one.stem)] for one in self.folder.iterdir()]
        shown = [[one.answer for one in panel.session.record.entries] for panel in self.panels]
        for texts in (*files, *shown):
            assert max(Counter(texts).values(), default=1) == 1
        waiting = [
            texts[len(texts) - panel._unsaved :]
            for texts, panel in zip(shown, self.panels, strict=True)
        ]
        assert {text for texts in (*files, *waiting) for text in texts} == set(self.given)
        for panel in self.panels:
            assert "fault" not in panel.board.notice


TestTwoPanelsTwoFiles = TwoPanelsTwoFiles.TestCase
TestTwoPanelsTwoFiles.settings = settings(
    max_examples=cases(25), stateful_step_count=25, deadline=None
)
