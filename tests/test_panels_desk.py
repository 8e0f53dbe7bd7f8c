"""The instructor's desk: worksheets and the picture of a class."""

from __future__ import annotations

import re

import numpy as np
import pytest
from matplotlib.patches import Polygon

from tapertrig import panels
from tapertrig.draw.class_picture import VIEWS, bar_corners
from tapertrig.panels.class_picture_panel import WHOLE_CLASS
from tapertrig.panels.worksheets_panel import read_learners
from tapertrig.practice import TOPICS, Record, problem


@pytest.fixture
def sheets(tmp_path):
    made = panels.worksheets()
    made.folder = tmp_path
    return made


def test_worksheets_are_written_with_figures_and_key(sheets, tmp_path):
    sheets.set(learners="Ada, Bo & Co, <i>Cai</i>", problems_each=3, class_seed=7, paper="Letter")
    told = []
    sheets.progress.observe(lambda change: told.append(change["new"]), names="value")
    sheets.presses.children[0].click()
    assert "Written: worksheets.html, 3 sheets" in sheets.board.news
    text = (tmp_path / "worksheets.html").read_text(encoding="utf-8")
    assert text.count("data:image/svg+xml;base64,") == 9
    assert "Bo &amp; Co" in text
    assert "<i>Cai</i>" not in text
    key = (tmp_path / "worksheets answer key.html").read_text(encoding="utf-8")
    assert "Answer key for the instructor: class seed 7" in key
    assert "size: letter" in text
    assert "size: letter" in key
    assert "Answer key" not in text
    assert told[-1] == sheets.progress.max == 9
    sheets.presses.children[0].click()
    assert (tmp_path / "worksheets.html").read_text(encoding="utf-8") == text


def test_the_sample_is_the_first_problem_of_the_first_sheet(sheets, tmp_path):
    sheets.set(class_seed=31, lengths="in")
    sample = sheets.last_state.sample
    assert (sample.topic, sample.seed) == ("angle units", 310102)
    assert sample.text in sheets.still()[1]
    sheets.presses.children[0].click()
    assert sample.text in (tmp_path / "worksheets.html").read_text(encoding="utf-8")


def test_what_is_in_the_way_is_not_overwritten(sheets, tmp_path):
    (tmp_path / "worksheets.html").write_text("<p>mine</p>")
    sheets.presses.children[0].click()
    assert "another file" in sheets.board.notice
    assert (tmp_path / "worksheets.html").read_text() == "<p>mine</p>"


def test_no_topic_and_no_learners_are_said_in_words(sheets):
    frame = sheets.board.marks
    for topic in TOPICS:
        sheets.controls[topic.replace(" ", "_")].value = False
    assert "No topic is chosen" in sheets.board.notice
    assert any(mark[0] for mark in sheets.board.marks.values())
    sheets.controls["dials"].value = True
    assert sheets.board.notice == ""
    sheets.controls["learners"].value = "0"
    assert "a class has 1 to 99" in sheets.board.notice
    assert sheets.board.marks != frame


@pytest.mark.parametrize(
    ("typed", "read"),
    [("30", 30), (" 1 ", 1), ("Ada, Bo", ("Ada", "Bo")), ("Ada;Bo\n Cai ", ("Ada", "Bo", "Cai"))],
)
def test_learners_are_a_number_or_names(typed, read):
    assert read_learners(typed) == read


@pytest.mark.parametrize("typed", ["", " , ", "100", "0", ",".join("abcdefghij" * 10)])
def test_learners_that_are_none_are_refused(typed):
    with pytest.raises(ValueError, match="Learners"):
        read_learners(typed)


@pytest.fixture
def folder(tmp_path):
    place = tmp_path / "records"
    place.mkdir()
    for name, wrongs in (("Ada of nowhere", ("1", "104.35")), ("Bo of nowhere", ("104.35",))):
        each = problem("angle units", 3)
        record = Record(name=name)
        for text in (*wrongs, each.answer_text):
            record = record.add(each, text, each.check(text), 10)
        record.save(place / f"{name[:2].strip()}.csv")
    (place / "prices.csv").write_text("item,price\nnut,2\n")
    (place / "broken.csv").write_bytes(b"\x00\xff\xfe")
    return place


def test_a_folder_becomes_a_picture_and_bad_files_are_named(folder):
    panel = panels.class_picture()
    panel.folder = folder.parent
    panel.controls["records"].value = "records"
    rows = panel.board.words["rows"]
    values = {name: value for name, value, _mark in rows}
    assert values["included angle used as half angle"] == "2"
    assert values["no known mistake"] == "1"
    left_out = [value for name, value, _mark in rows if name == "Left out"]
    assert len(left_out) == 2
    assert any(value.startswith("prices.csv:") for value in left_out)
    assert any(value.startswith("broken.csv:") for value in left_out)
    assert "Invented" not in panel.still()[1]
    panel.controls["who"].value = "Bo of nowhere"
    assert "2 answers, 1 of them right" in panel.board.words["sentence"]
    panel.controls["view"].value = "tries"
    assert {n: v for n, v, _ in panel.board.words["rows"]}["2 answers"] == "1"


def test_the_table_learner_by_topic_is_shown_and_printed(folder):
    panel = panels.class_picture(view="learners")
    panel.folder = folder.parent
    each = problem("dials", 4)
    unsolved = Record(name="Cai of nowhere")
    for text in ("1", "2", "3", each.answer_text):
        unsolved = unsolved.add(each, text, each.check(text), 10)
    unsolved.save(folder / "cai.csv")
    panel.controls["records"].value = "records"
    rows = {name: value for name, value, _mark in panel.board.words["rows"]}
    assert rows["Ada of nowhere"] == "angle units 1/1"
    assert rows["Cai of nowhere"] == "dials 0/1"
    panel.presses.children[-1].click()
    text = (folder.parent / "class picture.html").read_text(encoding="utf-8")
    cells = [
        re.findall(r"<t[hd](?: scope=\"\w+\")?>(.*?)</t[hd]>", row)
        for row in re.findall(r"<tr>.*?</tr>", text, re.DOTALL)
    ]
    assert [row[:4] for row in cells] == [
        ["Learner", "angle units", "dials", "All"],
        ["Ada of nowhere", "1/1", "", "1/1"],
        ["Bo of nowhere", "1/1", "", "1/1"],
        ["Cai of nowhere", "", "<strong>0/1</strong>", "<strong>0/1</strong>"],
        ["All", "2/2", "0/1".join(("<strong>", "</strong>")), "2/3"],
    ]
    assert "included angle used as half angle (1)" in cells[2][4]
    assert text.count("data:image/svg+xml") == 3
    assert "prices.csv" in text
    assert "Invented" not in text
    panel.controls["records"].value = ""
    panel.presses.children[-1].click()
    assert "Invented" in (folder.parent / "class picture.html").read_text(encoding="utf-8")


def test_a_folder_with_nothing_but_a_mistyped_code_says_what_is_wrong(tmp_path):
    (tmp_path / "class").mkdir()
    (tmp_path / "class" / "codes.txt").write_text("Ada of nowhere: 1494 1234", encoding="utf-8")
    panel = panels.class_picture()
    panel.folder = tmp_path
    panel.controls["records"].value = "class"
    lost = [value for name, value, _mark in panel.board.words["rows"] if name == "Lines lost"]
    assert len(lost) == 1
    assert "line 1, Ada of nowhere, skipped" in lost[0]


def test_two_files_of_one_name_are_asked_about(folder):
    panel = panels.class_picture()
    panel.folder = folder.parent
    first = next(path for path in folder.glob("*.csv") if b"Ada of nowhere" in path.read_bytes())
    each = problem("dials", 4)
    once = Record(name="Ada of nowhere").add(each, "1", each.check("1"), 10)
    once.save(folder / "other.csv")
    panel.controls["records"].value = "records"
    asked = [value for name, value, _mark in panel.board.words["rows"] if name == "Two or one?"]
    assert len(asked) == 1
    assert f"{first.name}, other.csv: one name, counted as one learner" in asked[0]


def test_a_folder_that_is_not_there_is_said_and_the_picture_kept(folder):
    panel = panels.class_picture()
    panel.folder = folder.parent
    frame = panel.board.marks
    panel.controls["records"].value = "nowhere"
    assert "cannot be read" in panel.board.notice
    assert panel.board.marks == frame
    assert "fault" not in panel.board.notice


def test_an_example_is_shown_and_marked_as_invented():
    panel = panels.class_picture()
    assert "Invented example" in panel.still()[1]
    assert any("Invented" in label.text for label in panel.picture().scene.labels)
    panel.controls["who"].value = panel.book.learners[0]
    assert panel.last_state.who != WHOLE_CLASS


@pytest.mark.parametrize("view", VIEWS)
def test_bars_are_as_long_as_what_they_count(view):
    panel = panels.class_picture(view=view)
    state = panel.last_state
    lengths = np.array([corners[2, 0] - corners[0, 0] for corners in bar_corners(state)])
    counts = np.array([bar.length for bar in state.bars])
    assert lengths / lengths.max() == pytest.approx(counts / counts.max())
    counted = {"mistakes": state.book.by_mistake(), "tries": state.book.tries()}
    if view in counted:
        assert counts.sum() == sum(counted[view].values())
    drawn = [a.get_xy() for a in panel.picture().scene.moving if isinstance(a, Polygon)]
    for corners, bar in zip(bar_corners(state), state.bars, strict=True):
        share = corners[0, 0] + (corners[2, 0] - corners[0, 0]) * bar.filled / bar.length
        assert any(
            np.allclose(points.min(axis=0), corners[0])
            and points[:, 0].max() == pytest.approx(share)
            for points in drawn
        ), bar.name


@pytest.mark.parametrize("style", ["desk", "projector"])
@pytest.mark.parametrize("view", VIEWS)
def test_words_of_the_picture_stay_in_the_frame_and_apart(view, style):
    panel = panels.class_picture(view=view, style=style)
    scene = panel.picture().scene
    boxes = [(label.text, label.box) for label in scene.labels if label.text]
    for text, (left, bottom, right, top) in boxes:
        inside = left >= 0 and bottom >= 0
        inside = inside and right <= scene.style.width and top <= scene.style.height
        assert inside, text
    for index, (one, a) in enumerate(boxes):
        for other, b in boxes[index + 1 :]:
            apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
            assert apart, f"“{one}” over “{other}”"
