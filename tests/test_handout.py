"""A lesson as one file: small, self-contained, the same every time, and right in its numbers."""

from __future__ import annotations

import json
import math
import re
import subprocess
import sys
from html import unescape
from html.parser import HTMLParser

import nbformat
import numpy as np
import pytest
from handouts import NOTEBOOKS, NUMBERS, held, made, stops
from markupsafe import escape

from tapertrig import demo, panels
from tapertrig.classroom.handout import MOST_BYTES, SAID_HERE, handout, main, round_values
from tapertrig.classroom.lessons import Lesson, lessons
from tapertrig.practice.in_lessons import practice, prediction, predictions
from tapertrig.printed.handout import prose
from tapertrig.procedure import procedure

# Every way an HTML document names something else that a browser would ask for or go to.
ADDRESSES = {"src", "href", "srcset", "action", "data", "poster", "background", "formaction"}


class Addresses(HTMLParser):
    """Collects every address and every handler in a document, and the text outside scripts."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: list[str] = []
        self.handlers: list[str] = []
        self.tags: set[str] = set()
        self.feed(text)

    def handle_starttag(self, tag, attributes):
        self.tags.add(tag)
        self.found += [value for name, value in attributes if name in ADDRESSES]
        self.handlers += [name for name, _ in attributes if name.startswith("on")]


def lesson(folder, *cells, name="05-test.ipynb") -> Lesson:
    path = folder / name
    nbformat.write(nbformat.v4.new_notebook(cells=list(cells)), path)
    return Lesson(name[:2], "A <b>test</b> & more", path)


def markdown(text):
    return nbformat.v4.new_markdown_cell(text)


def code(text, *outputs):
    return nbformat.v4.new_code_cell(text, outputs=list(outputs))


@pytest.mark.slow
@pytest.mark.parametrize("number", NUMBERS)
def test_every_lesson_is_one_small_file_that_asks_for_nothing(number):
    text = made(number)
    assert len(text.encode()) <= MOST_BYTES == 500_000
    assert "<svg" in text
    seen = Addresses(text)
    assert all(address.startswith("data:image/") for address in seen.found)
    assert not seen.handlers
    assert not seen.tags & {"link", "iframe", "object", "embed", "base", "form", "a"}
    style = re.search(r"<style>(.*?)</style>", text, re.DOTALL)[1]
    assert "url(" not in style
    assert "@import" not in style
    assert "default-src 'none'" in text
    for one in held(text):
        assert len(one["grid"]) in (1, 7), "a second slider has seven stops"
        row, place = one["here"]
        assert one["grid"][row][place][1] == {}, "the still is one of the stops"
        shown = one["grid"][row]
        assert len({sentence for _, _, sentence, _ in shown}) > 1
        few = shown[0][0] == "0" and len(shown) < 61
        assert len(shown) >= 61 or few, "only the steps of a procedure may be fewer"


@pytest.mark.slow
def test_every_main_slider_of_a_lesson_is_there():
    assert len(stops(made("04"))) == 3, "no bench: its handwheel alone would teach a slip"
    watched = [steps for steps in stops(made("04")) if steps[0][0] == "0"]
    assert len(watched) == 2, "the procedure done well, and with a reversal"
    for steps in watched:
        assert len(steps) > 12
        assert [at for at, *_ in steps] == [str(index) for index in range(len(steps))]


def test_numbers_beside_the_picture_are_the_sine_and_the_cosine():
    # Right triangle trigonometry; the lesson's compound travel is 2.7000 in.
    swept = stops(made("03"))[0]
    assert len(swept) >= 61
    for at, _marks, sentence, rows in swept:
        degrees, minutes = map(int, re.fullmatch(r"(\d+)°(\d\d)′", at).groups())
        angle = math.radians(degrees + minutes / 60)
        shown = {name: value for name, value, _ in rows}
        assert shown["Cross travel"] == f"{2.7 * math.sin(angle):.4f} in"
        assert shown["Axial travel"] == f"{2.7 * math.cos(angle):.4f} in"
        assert at in sentence


def test_every_stop_is_what_the_panel_draws_there():
    """Of both sliders: a panel made anew at the values draws the same lines, areas and words."""
    one = held(made("03"))[0]
    for row, place in ((0, 0), (len(one["grid"]) - 1, 7), (one["here"][0], 40)):
        at, marks, sentence, _rows = one["grid"][row][place]
        travel = {"compound_travel": one["second"][row].split()[0]} if one["second"][row] else {}
        panel = panels.setup_triangle(half_angle=at, style="desk", **travel)
        panel.board.room = "narrow"
        shown = {**one["marks"], **marks}
        lines = {key: list(mark) for key, mark in panel.board.marks.items() if key[0] == "p"}
        # A leader leads to a label, and a label may stand where the stop before had it.
        wishes = panel.picture().scene.wishes
        leaders = {wish.leader.get_gid() for wish in wishes if wish.leader}
        assert {key: shown[key] for key in lines if key not in leaders} == {
            key: mark for key, mark in lines.items() if key not in leaders
        }
        said = {mark[0] for key, mark in shown.items() if key[0] == "t"} - {""}
        assert len(said) > 10
        # Which of them find room may depend on where they stood before.
        assert said <= {label.text for label in panel.picture().scene.labels}
        assert sentence == panel.board.words["sentence"]


def test_words_are_at_least_twelve_pixels_high_on_a_phone():
    """390 px less the page's margins of 16 px each and the drawing's border."""
    text = made("03")
    width = int(re.search(r'<svg class="tapertrig-drawing"[^>]*viewBox="0 0 (\d+)', text)[1])
    sizes = [int(size) for size in re.findall(r'<text[^>]*font-size="([1-9]\d+)"', text)]
    assert len(sizes) > 10
    assert min(sizes) * (390 - 32 - 2) / width >= 12


def test_slack_counts_so_moves_are_there_and_back(tmp_path):
    text = handout(
        lesson(tmp_path, code("from tapertrig import panels"), code("panels.lost_motion()"))
    )
    moves = stops(text)[0]
    wheel = [float(at.split()[0]) for at, *_ in moves]
    slide = [float(dict(row[:2] for row in rows)["Slide"].split()[0]) for *_, rows in moves]
    top = wheel.index(max(wheel))
    assert 0 < top < len(wheel) - 1
    assert wheel == sorted(wheel[: top + 1]) + sorted(wheel[top + 1 :], reverse=True)
    # Slack of 0.012 in: forward the slide is behind by it; turned back, it stands until the
    # slack is out (definition of lost motion).
    both = set(wheel[1:top]) & set(wheel[top + 1 :])
    assert both
    for at in (at for at in both if at > 0.012):
        there, back = wheel.index(at), len(wheel) - 1 - wheel[::-1].index(at)
        assert slide[back] - slide[there] == pytest.approx(min(0.012, max(wheel) - at), abs=1e-9)
    assert "there and back" in text


def test_hidden_answers_are_behind_a_fold():
    text = made("03")
    first, _, rest = text.partition("<details><summary>Show the answers")
    asked, questions = first[first.rindex("<figure") :].split('<ol class="questions">')
    assert "Answers are hidden" in asked
    assert "<dd>?</dd>" in asked
    assert "0.9988 in" not in asked, "2.2 × sin 27°"
    told = questions.index("0.9988 in")
    assert questions.rindex("<details>", 0, told) > questions.rfind("</details>", 0, told)
    assert "0.9988 in" in rest


def test_on_paper_the_answers_of_all_questions_stand_at_the_end():
    """On screen they fold out one by one; a fold that is closed prints nothing."""
    for number in ("00", "03"):
        text = made(number)
        section = text[text.index('<section class="answers">') :]
        panel = next(iter(prediction for name, prediction in predictions().items()
                          if name.startswith(number)))  # fmt: skip
        for question in (*panel.questions, *practice(number)):
            assert str(escape(question.solution)) in section, question.text
            assert str(escape(question.words)) in text


def cells(table: str) -> list[list[str]]:
    """The texts of a table's rows, its head first."""
    return [
        [unescape(one) for one in re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row, re.DOTALL)]
        for row in re.findall(r"<tr>(.*?)</tr>", table, re.DOTALL)
    ]


@pytest.mark.slow
def test_paper_has_every_step_that_a_slider_steps_through():
    """Each reading as the slider's stop has it; of a hidden slip, the readings and no words."""
    text = made("04")
    tables = [
        cells(one)
        for one in re.findall(r'<div class="(?:paper|course)">(.*?)</div>', text, re.DOTALL)
    ]
    watched = [steps for steps in stops(text) if steps[0][0] == "0"]
    assert len(tables) == len(watched) == 2
    for (head, *rows), steps in zip(tables, watched, strict=True):
        assert len(rows) == len(steps) > 40
        column = head.index("Cross dial")
        for row, (at, _marks, sentence, results) in zip(rows, steps, strict=True):
            assert row[0] == at
            assert row[column] == dict(one[:2] for one in results)["Cross dial"]
            if head[-1] == "What was done":
                assert row[-1]
                assert sentence.endswith(row[-1])
    assert [head[-1] == "What was done" for head, *_ in tables] == [True, False]
    # The review names the slip among the answers, of the lesson's own half angle.
    body, answers = text.split('<section class="answers">')
    assert "reversal inside the backlash</dt>" in answers
    assert "wanted 20°43′00″" in answers
    assert "reversal inside the backlash</dt>" not in body


@pytest.mark.slow
def test_a_handout_asks_for_nothing_that_only_the_lesson_has():
    text = made("04")
    listed = text[text.index('class="steps"') :]
    steps = procedure(demo.job().plan()).steps
    rows = cells(listed[: listed.index("</table>")])
    assert len(rows) == len(steps)
    assert [number for number, _ in rows] == [f"{at}." for at in range(1, len(steps) + 1)]
    assert text.count('class="steps"') == 1, "the same steps once"
    assert text.count("Only the lesson has the handwheels") == 3
    for number in ("00", "03", "04"):
        assert "press Enter" not in made(number)
        assert "Press <em>Forward" not in made(number)
    for asked in ("type one", "write them in", "Change <em>", "Try a longer", "find it."):
        assert asked not in made("01"), "a phone has no such control, nor a stop at that angle"
        assert made(number).count("In the lesson only:") == {"00": 1, "03": 0, "04": 2}[number]


def test_what_a_lesson_says_of_its_controls_is_still_said_there():
    """Else its handout would say again what no page can do."""
    said = "".join(lesson.path.read_text(encoding="utf-8") for lesson in lessons(NOTEBOOKS))
    assert len(SAID_HERE) > 3
    for words in SAID_HERE:
        assert words in said, words


def test_no_prediction_is_answered_by_where_its_panel_starts():
    asked = prediction("00 from print to setup")
    rows = panels.job_sheet(ask="00 from print to setup").board.words["rows"]
    shown = " ".join(value for _name, value, _mark in rows)
    for one in asked.questions:
        if one.precision:
            assert one.solution.split()[0] not in shown, one.text


def test_what_a_lesson_says_is_shown_and_never_run(tmp_path):
    bad = "<script>alert(1)</script><img src=x onerror=alert(1)>"
    stream = nbformat.v4.new_output("stream", text=f"shown {bad}")
    text = handout(
        lesson(
            tmp_path,
            markdown(f"# 05 · Test {bad}\n\n[a](javascript:alert(1)) ![b](https://example.org/p)"),
            markdown("see [there](https://example.org/x) and <https://example.org/y>"),
            markdown("| a | b |\n| --- | --- |\n| 1 | 2 |"),
            code("from tapertrig import panels"),
            code(f"print({bad!r})", stream),
            code("panels.practice()"),
        )
    )
    seen = Addresses(text)
    assert text.count("<script") == 1, "the kit's own, and no other"
    assert not seen.handlers
    assert "a" not in seen.tags
    assert all(address.startswith("data:image/") for address in seen.found)
    assert "shown &lt;script&gt;" in text
    assert "<td>1</td>" in text
    assert "there (https://example.org/x)" in text
    assert "A &lt;b&gt;test&lt;/b&gt; &amp; more" in text


def test_words_of_a_panel_cannot_end_the_scripts(tmp_path, monkeypatch):
    bad = "</script><script>alert(1)</script>"
    monkeypatch.setattr(panels.setup_triangle, "title", bad)
    text = handout(
        lesson(tmp_path, code("from tapertrig import panels"), code("panels.setup_triangle()"))
    )
    assert bad not in text
    assert text.count("<script") == 2, "the stops and the kit's own"


def test_prose_keeps_emphasis_and_lists():
    assert "<strong>sine</strong>" in prose("a **sine**")
    assert prose("- one\n- two").count("<li>") == 2


def test_round_values_are_round_and_within_and_enough():
    for low, high, fewest in ((0.02, 0.98, 61), (-1.5, 1.5, 61), (3.1, 3.2, 12), (1e-4, 2e-4, 61)):
        values = round_values(low, high, fewest)
        assert fewest <= len(values) <= 1.4 * fewest + 1
        assert low - 1e-9 <= min(values) <= max(values) <= high + 1e-9
        step = np.diff(values)
        assert step == pytest.approx(step[0])
        lead = step[0] / 10 ** math.floor(math.log10(step[0]) + 1e-9)
        assert round(lead, 6) in (1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 7.5, 8)


def test_the_command_writes_the_same_file_each_time_and_keeps_what_is_there(tmp_path):
    out = tmp_path / "on the phone.html"

    def run(*more):
        return subprocess.run(
            [sys.executable, "-m", "tapertrig", "handout", "03", "--out", str(out), *more],
            capture_output=True,
            text=True,
            cwd=tmp_path,
        )

    first = run()
    assert first.returncode == 0, first.stderr
    assert out.read_text(encoding="utf-8") == made("03")
    out.write_text("mine")
    refused = run()
    assert refused.returncode == 1
    assert "--replace" in refused.stderr
    assert out.read_text() == "mine"
    assert run("--replace").returncode == 0
    assert out.read_text(encoding="utf-8") == made("03")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["77"], "there is no lesson “77”"),
        (["03", "--out", "."], "is a folder"),
        (["03", "--out", "no/such/place.html"], "there is no folder"),
    ],
)
def test_what_cannot_be_done_is_said_at_once(arguments, words, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert main(arguments) == 1
    assert words in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_a_lesson_that_cannot_be_drawn_is_named(tmp_path):
    with pytest.raises(ValueError, match=r"panels\.no_such\(\)"):
        handout(lesson(tmp_path, code("from tapertrig import panels"), code("panels.no_such()")))
    torn = tmp_path / "06-torn.ipynb"
    torn.write_text(json.dumps({"cells": 1})[:8])
    with pytest.raises(ValueError, match=r"06-torn\.ipynb is no notebook"):
        handout(Lesson("06", "Torn", torn))
