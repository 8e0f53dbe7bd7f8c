"""Worksheets: the same sheets from the same seed, other numbers for each learner, a key."""

import html.parser
import re
import time

import pytest

from tapertrig.practice import TOPICS, problem
from tapertrig.printed.worksheets import problem_seed, save_worksheet, worksheet, worksheet_problems


def plain_drawing(figure):
    words = ", ".join(figure.state["labels"].values())
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 20">'
        f"<text>{figure.kind}: {words}</text></svg>"
    )


class Page(html.parser.HTMLParser):
    """Sections, pictures and words of a page, and whether its tags close in order."""

    EMPTY = ("meta", "img", "br", "link")

    def __init__(self, text):
        super().__init__()
        self.open, self.sheets, self.alternatives, self.words = [], 0, [], ""
        self.feed(text)
        assert self.open == []

    def handle_starttag(self, tag, attrs):
        named = dict(attrs)
        if tag not in self.EMPTY:
            self.open.append(tag)
        self.sheets += named.get("class") == "sheet"
        if tag == "img":
            self.alternatives.append(named["alt"])
        assert tag not in ("script", "iframe", "object")

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.words += data


def test_the_same_seed_gives_the_same_bytes():
    arguments = (4, ["setup triangle", "one ball"], 12, 6)
    first = worksheet(*arguments, draw=plain_drawing)
    assert worksheet(*arguments, draw=plain_drawing).encode() == first.encode()
    assert worksheet(4, ["setup triangle", "one ball"], 13, 6, draw=plain_drawing) != first


def test_a_sheet_for_each_learner_and_a_key():
    text = worksheet(5, TOPICS, 7, 14, draw=plain_drawing)
    page = Page(text)
    assert page.sheets == 6
    assert len(page.alternatives) == 5 * 14
    assert all(page.alternatives)
    sheets, _, key = page.words.partition("Answer key")
    for learner in range(1, 6):
        assert f"Learner {learner}" in sheets
        for number, topic in enumerate(TOPICS, start=1):
            each = problem(topic, problem_seed(7, learner, number))
            assert each.text in sheets
            assert f"{each.answer_text}" in key
            assert str(each.seed) in key
    assert "Spindle stopped and isolated" in sheets


def test_every_learner_has_numbers_of_their_own():
    sheets = worksheet_problems(30, ["setup triangle"], 3, 10)
    texts = [each.text for sheet in sheets for each in sheet]
    assert len(set(texts)) == len(texts) == 300


def test_the_key_marks_every_answer_right():
    for sheet in worksheet_problems(4, TOPICS, 99, 14):
        for each in sheet:
            assert each.check(each.answer_text).correct


def test_names_are_shown_and_escaped():
    text = worksheet(["<b>Alva</b>", "Bo & Co", " "], ["dials"], 1, 2)
    page = Page(text)
    assert "<b>Alva</b>" in page.words
    assert "Bo & Co" in page.words
    assert "Learner 3" in page.words
    assert "<b>" not in text


@pytest.mark.parametrize(("paper", "size"), [("A4", "A4"), ("Letter", "letter")])
def test_both_papers(paper, size):
    assert re.search(rf"@page \{{ size: {size};", worksheet(1, ["rolls"], 1, 1, paper=paper))


def test_progress_is_told_after_each_problem():
    told = []
    worksheet(3, ["rolls"], 1, 4, progress=lambda done, of: told.append((done, of)))
    assert told == [(done, 12) for done in range(1, 13)]


def test_thirty_learners_times_ten_are_quick():
    began = time.process_time()
    worksheet(30, TOPICS, 5, 10, draw=plain_drawing)
    # The figures have the rest of the 20 s a class may take.
    assert time.process_time() - began < 5


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ((0, ["dials"], 1), "learners is 0"),
        ((100, ["dials"], 1), "from 1 to 99"),
        (("Alva", ["dials"], 1), "list of their names"),
        (([], ["dials"], 1), "number of learners is 0"),
        ((3, [], 1), "no topic is chosen"),
        ((3, ["sines"], 1), "topic is 'sines'"),
        ((3, ["dials"], -1), "class seed is -1"),
        ((3, ["dials"], 1, 100), "problems for each learner is 100"),
        ((True, ["dials"], 1), "learners is True"),
    ],
)
def test_what_cannot_be_made_is_refused_in_words(arguments, says):
    with pytest.raises(ValueError, match=says):
        worksheet(*arguments)


def test_saved_worksheets_replace_worksheets_and_nothing_else(tmp_path):
    path = tmp_path / "class.html"
    save_worksheet(path, worksheet(2, "dials", 1, 2))
    save_worksheet(path, worksheet(2, "dials", 2, 2))
    assert "class seed 2" in path.read_text(encoding="utf-8")
    other = tmp_path / "other.html"
    other.write_text("<p>mine</p>")
    with pytest.raises(ValueError, match="another file"):
        save_worksheet(other, worksheet(2, "dials", 2, 2))
    assert other.read_text() == "<p>mine</p>"
