"""Worksheets: the same sheets from the same seed, other numbers for each learner, a key."""

import html.parser
import re
import time

import practice_numbers as own
import pytest

from tapertrig.practice import TOPICS, problem
from tapertrig.printed.worksheets import (
    answer_key,
    known_slips,
    problem_seed,
    save_worksheet,
    worksheet,
    worksheet_problems,
)


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


def test_a_sheet_for_each_learner_and_a_key_of_its_own():
    count = len(TOPICS)
    pages = -(-count // 5)
    text = worksheet(5, TOPICS, 7, count, draw=plain_drawing)
    page, key = Page(text), Page(answer_key(5, TOPICS, 7, count)).words
    # Five problems stand on a page, so that there is room to work them.
    assert page.sheets == 5 * pages
    assert len(page.alternatives) == 5 * count
    assert all(page.alternatives)
    for learner in range(1, 6):
        assert page.words.count(f"Learner {learner}") == pages
        assert key.count(f"Learner {learner}") == 1
        for number, topic in enumerate(TOPICS, start=1):
            each = problem(topic, problem_seed(7, learner, number))
            assert f"{number}. {topic}: {each.text}" in page.words
            assert each.answer_text in key
            assert str(each.seed) in key
            assert str(each.seed) not in page.words
    assert "Spindle stopped and isolated" in page.words
    assert "Answer key" not in page.words


def test_each_figure_stands_in_the_frame_of_its_problem():
    text = worksheet(2, TOPICS, 7, 14, draw=plain_drawing)
    frames = re.findall(r"<li>.*?</li>", text, re.DOTALL)
    given = [each for sheet in worksheet_problems(2, TOPICS, 7, 14) for each in sheet]
    for frame, each in zip(frames, given, strict=True):
        shown = Page(frame)
        assert shown.alternatives == [each.figure.words]
        assert each.text in shown.words


def test_the_key_names_the_wrong_numbers_of_the_usual_mistakes():
    """The numbers by the formulas of practice_numbers.py, written down without the package."""
    told = missing = 0
    for each in worksheet_problems(1, TOPICS, 31, 56)[0]:
        listed = dict(known_slips(each))
        for text, names in listed.items():
            verdict = each.check(text)
            assert not verdict.correct
            assert names == (*verdict.mistakes, *verdict.also)
        for mistake, numbers in own.all_numbers(each)[1].items():
            for number in numbers:
                if abs(number - each.answer) > each.tolerance:
                    text = each.asked.precision.show(number)
                    near = [names for shown, names in listed.items() if shown[:3] == text[:3]]
                    told += 1
                    missing += not any(mistake in names for names in near)
    assert told > 300
    assert missing <= 0.005 * told


def test_a_key_shows_each_slip_beside_the_right_answer():
    (each,) = worksheet_problems(1, ["setup triangle"], 24, 1)[0]
    key = Page(answer_key(["Alva"], ["setup triangle"], 24, 1)).words
    slips = known_slips(each)
    assert len(slips) > 3
    places = [key.index(each.answer_text)]
    places += [key.index(f"{text} {', or '.join(names)}") for text, names in slips]
    assert places == sorted(places)


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_one_unit_a_sheet_if_wished(unit):
    other = {"in": " mm", "mm": " in "}[unit]
    sheets = worksheet_problems(3, TOPICS, 5, 28, unit)
    texts = [each.text for sheet in sheets for each in sheet]
    assert len(set(texts)) == len(texts) == 84
    assert not any(re.search(rf"\d{other}", text) for text in texts)
    mixed = " ".join(each.text for each in worksheet_problems(1, TOPICS, 5, 28)[0])
    assert re.search(rf"\d{other}", mixed)


def test_every_learner_has_numbers_of_their_own():
    sheets = worksheet_problems(30, ["setup triangle"], 3, 10)
    texts = [each.text for sheet in sheets for each in sheet]
    assert len(set(texts)) == len(texts) == 300


def test_the_key_marks_every_answer_right():
    for sheet in worksheet_problems(4, TOPICS, 99, 14):
        for each in sheet:
            assert each.check(each.answer_text).correct


def test_names_are_shown_and_escaped():
    for made in (worksheet, answer_key):
        text = made(["<b>Alva</b>", "Bo & Co", " "], ["dials"], 1, 2)
        page = Page(text)
        assert "<b>Alva</b>" in page.words
        assert "Bo & Co" in page.words
        assert "Learner 3" in page.words
        assert "<b>Alva" not in text


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
        ((3, ["dials"], 1, 2, "cm"), "unit is 'cm'"),
        ((3, ["dials"], 1, 50, "mm"), "from 1 to 49"),
    ],
)
def test_what_cannot_be_made_is_refused_in_words(arguments, says):
    *asked, unit = (*arguments, "in and mm") if len(arguments) < 5 else arguments
    for made in (worksheet, answer_key):
        with pytest.raises(ValueError, match=says):
            made(*asked, unit=unit)


def test_saved_worksheets_replace_worksheets_and_nothing_else(tmp_path):
    path, key = tmp_path / "class.html", answer_key(2, "dials", 3, 2)
    save_worksheet(path, worksheet(2, "dials", 1, 2))
    save_worksheet(path, second := worksheet(2, "dials", 2, 2))
    with pytest.raises(ValueError, match="another page"):
        save_worksheet(path, key)
    assert path.read_text(encoding="utf-8") == second
    save_worksheet(tmp_path / "key.html", key)
    other = tmp_path / "other.html"
    other.write_text("<p>mine</p>")
    with pytest.raises(ValueError, match="another file"):
        save_worksheet(other, worksheet(2, "dials", 2, 2))
    assert other.read_text() == "<p>mine</p>"
