"""The practice page on a phone: it says what the core says, without a network, and by keyboard."""

from __future__ import annotations

import csv
import io
import json
import random
import re
import zlib
from base64 import b64decode
from functools import cache

import pytest
from cases import LONG, cases
from engines import firefox, webkit
from playwright.sync_api import expect
from pypdf import PdfReader
from sheet_steps import PHONE, STORAGE_REFUSED, come_back, sideways, too_small
from test_accessibility import axe, violations
from test_other_engines import opened

from tapertrig.angle import Angle
from tapertrig.classroom.practice_page import main
from tapertrig.draw.practice import sheet_drawing
from tapertrig.practice import MISTAKES, TOPICS, Problem
from tapertrig.practice.assignment import Assignment, record_from_code
from tapertrig.practice.record import parse_record
from tapertrig.practice.session import Session
from tapertrig.printed.practice_page import practice_page

pytestmark = pytest.mark.browser

__all__ = ["axe"]

NAMES = list(MISTAKES)


@cache
def written(*topics: str, count: int = 14, seed: int = 1, unit: str = "") -> tuple[Assignment, str]:
    """An assignment and its page."""
    assignment = Assignment(topics or TOPICS, count, seed, unit)
    return assignment, practice_page(assignment, lambda figure: sheet_drawing(figure, True))


@pytest.fixture
def phone(new_page, tmp_path):
    """Opens an assignment as a file on a phone without a network."""

    def open_it(*topics, without_storage=False, scheme="light", **wanted):
        assignment, text = written(*topics, **wanted)
        path = tmp_path / "practice.html"
        path.write_text(text, encoding="utf-8")
        page = new_page(**PHONE, color_scheme=scheme)
        if without_storage:
            page.add_init_script(STORAGE_REFUSED)
        page.context.set_offline(True)
        page.goto(path.as_uri())
        page.locator("#answer-1").wait_for()
        return page, assignment.problems

    return open_it


# ---------------------------------------------------------------- the script and the core


def one_way(rng: random.Random, value: float, each: Problem) -> str:
    """A number as one person or another would write it down as an answer."""
    plain = f"{value:.{rng.choice([0, 1, 2, 3, 4, 6])}f}"
    ways = [plain, plain, plain.replace(".", ","), f" {plain} {each.unit}", f"x = {plain}"]
    ways += [plain.replace("-", rng.choice("−–")), f"+{plain}", f"{value:.4e}"]
    if each.unit in ("in", "mm"):
        ways += [f"{value:.4f} in", f"{value:.3f}mm", f"{value * 1000:.1f} thou", f'{value:.3f}"']
        ways += [f"{value:.0f} {rng.randrange(64)}/64", f"{value:.0f}-{rng.randrange(9)}/8 inches"]
        ways += [f"{value:.0f}½", f"{value / 10:.4f} cm", f"{value * 1000:.0f} µm"]
        per_turn = each.dial.per_turn if each.dial else 0.1
        turns, rest = divmod(abs(value), per_turn)
        lines = rest / (each.dial.graduation if each.dial else 0.001)
        by_hand = [
            f"{turns:.0f} turns {lines:.1f} {rng.choice(['lines', 'graduations', 'div', ''])}",
            f"{turns:.0f} turns, then {rest:.4f} {each.unit}", f"{turns:.0f} revs + {rest:.3f}",
            f"{abs(value) / 0.001:.0f} graduations", f"{turns:.0f} turns",
        ]  # fmt: skip
        ways = by_hand if each.dial and rng.random() < 0.6 else ways + by_hand
    elif each.unit in ("°", "′", "″"):
        degrees = value / {"°": 1, "′": 60, "″": 3600}[each.unit]
        if abs(degrees) <= 360:
            angle = Angle.from_degrees(degrees)
            whole = angle.dms()
            ways += [whole, whole, angle.dm(), re.sub("[°′″]", " ", whole).strip(), whole.lower()]
            ways += [whole.replace("°", "-").replace("′", "-").replace("″", "")]
            ways += [whole.replace("°", "d").replace("′", "m").replace("″", "s")]
            ways += [f"{angle.radians:.6f} rad", f"{float(angle.arc_seconds) / 60:.2f} arcmin"]
            ways += [
                f"{float(angle.arc_seconds):.1f}''",
                f"{degrees:.0f} 3/4 deg",
                f"{degrees:.3f} deg",
            ]
    else:
        ways += [f"1:{plain}", f"1 / {plain}", f"{plain} in/ft", f"{plain} per foot"]
    return rng.choice(ways)


def answers(count: int):
    """Problems, and for each some texts: numbers near all that is known of it, and slips of the
    hand in them."""
    rng = random.Random(11)
    for seed in range(1, 1 - -count // 140):
        each_topic = written(seed=seed)[0].problems
        texts = []
        for place, each in enumerate(each_topic):
            known = [each.answer, each.answer, *(one.number for one in each.wrong_numbers())]
            for _ in range(10):
                off = rng.choice([0, 0, 0.4, 0.9, 1, 1.1, 3, 6, 50, 4000]) * rng.choice([1, -1])
                value = rng.choice(known) * rng.choice([1] * 6 + [-1]) + off * each.tolerance
                text = one_way(rng, value, each)
                if rng.random() < 0.15:
                    at = rng.randrange(len(text) + 1)
                    slip = rng.choice(
                        [*"0123456789 .,:;/-+=°′″'\"½é⁄e", " turns", "\u00a0", "x" * 60]
                    )
                    text = text[:at] + slip + text[at + rng.randrange(2) :]
                texts.append((place, text))
        yield seed, each_topic, texts


LOOK_UP = """texts => texts.map(([place, text]) => verdictOn(problems[place], text, reader))"""


def test_script_and_core_agree_text_for_text(phone, new_page, tmp_path):
    page, _ = phone()
    told, seen = set(), 0
    for seed, problems, texts in answers(cases(700, 20_000)):
        held = re.search(r'id="held">(.*?)</script>', written(seed=seed)[1])[1]
        page.evaluate("async held => { problems = await unpack(held); }", held)
        for (place, text), found in zip(texts, page.evaluate(LOOK_UP, texts), strict=True):
            verdict = problems[place].check(text)
            right, understood, message, mistakes, hint, plainer = found
            assert (right, understood, message) == (
                verdict.correct, verdict.understood, verdict.message,
            ), (problems[place].topic, seed, text)  # fmt: skip
            if verdict.understood:
                assert tuple(NAMES[one - 1] for one in mistakes) == verdict.mistakes, text
                assert (hint, plainer) == (verdict.hint, verdict.second_hint), text
            told.add((verdict.mistakes, verdict.message.split(";")[-1][:40]))
            seen += 1
    assert seen >= (20_000 if LONG else 700)
    assert len({mistake for mistakes, _ in told for mistake in mistakes}) > 18
    assert {message[:12] for _, message in told} > {"Not right. T", "Very near, b", " write it as"}


# ---------------------------------------------------------------- what a learner does


def answer(page, number: int, text: str) -> str:
    """Type an answer and press Enter; what is then said."""
    box = page.locator(f"#answer-{number}")
    box.fill(text)
    before = page.locator(".verdict").nth(number - 1).inner_text()
    box.press("Enter")
    page.wait_for_function(
        "([place, before]) => document.querySelectorAll('.verdict')[place].innerText !== before",
        arg=[number - 1, before],
    )
    return " ".join(page.locator(".verdict").nth(number - 1).inner_text().split())


def wrong_of(each: Problem) -> list[str]:
    return [f"{one.number:.5f}" for one in each.wrong_numbers() if len(one.mistakes) == 1]


def test_a_page_is_worked_as_a_session_is(phone):
    page, problems = phone("setup triangle", "one ball", count=4, unit="in")
    first = problems[0]
    session = Session(first.topic, first.seed)
    for text in [wrong_of(first)[0], "abc", wrong_of(first)[1], "12345", first.answer_text]:
        session = session.answer(text, 1)
        said = session.feedback if session.verdict.understood else None
        seen = answer(page, 1, text)
        wanted = f"{said.message} {said.hint}" if said else f"{session.verdict.message}. It was not"
        assert seen.startswith(wanted.strip()), (seen, wanted)
        fold = page.locator("details").first
        assert fold.is_visible() == bool(said and said.solution)
        if said and said.solution:
            assert fold.locator("p").text_content() == said.solution
    assert "not counted as solved" in seen
    assert "This one is right already" in answer(page, 1, "9")
    assert answer(page, 2, problems[1].answer_text).startswith("Right: ")
    assert page.locator("#score").inner_text() == "1 right of 2 tried, 5 answers"

    page.get_by_label("Your name, if you like").fill("Bench 3")
    with page.expect_download() as saved:
        page.get_by_role("button", name="Save the record").click()
    loaded = parse_record(saved.value.path().read_bytes())
    assert not loaded.skipped
    typed = loaded.record
    assert [(e.topic, e.seed) for e in typed.entries] == [
        *[(first.topic, first.seed)] * 4, (problems[1].topic, problems[1].seed),
    ]  # fmt: skip
    assert [e.mistakes for e in typed.entries[:4]] == [e.mistakes for e in session.record.entries]
    assert [e.answer for e in typed.entries[:4]] == [e.answer for e in session.record.entries]
    # Text for text what lesson 08 would write of it.
    assert typed.as_csv() == saved.value.path().read_text(encoding="utf-8")
    by_code = record_from_code(page.locator("#code").input_value(), "Bench 3")
    assert typed.joined(by_code).entries == typed.entries
    assert [(e.right, e.mistakes, e.tries) for e in by_code.entries] == [
        (e.right, e.mistakes, e.tries) for e in typed.entries
    ]

    come_back(page)
    page.locator("#score", has_text="1 right of 2 tried, 5 answers").wait_for()
    assert page.locator("#answer-2").input_value() == problems[1].answer_text
    page.on("dialog", lambda dialog: dialog.accept())
    page.get_by_role("button", name="Begin anew").click()
    page.locator("#score", has_text="0 right of 0 tried, 0 answers").wait_for()
    assert page.locator("#code").input_value() not in typed.called
    # What was solved, or had its solution in sight, counts no more; the rest does.
    for number, score in (
        (2, "0 right of 0 tried"),
        (1, "0 right of 0"),
        (3, "1 right of 1 tried"),
    ):
        assert answer(page, number, problems[number - 1].answer_text).startswith("Right")
        page.locator("#score", has_text=score).wait_for()


def test_cells_that_a_spreadsheet_would_take_for_formulas(phone):
    page, _problems = phone("setup triangle", count=1)
    nasty = [["=1+1", [1]], ['-5, "so"', [5, 2]], ["'quoted", []], ["−3 =", []], ["+.5", []]]
    text = page.evaluate(
        "rows => { record.answers = rows.map(([text, wrong]) => [0, text, false, wrong, 123456.7]);"
        " record.name = '@Ann, “B”'; return csv(); }",
        nasty,
    )
    record = parse_record(text).record
    assert [e.answer for e in record.entries] == [text for text, _ in nasty]
    assert record.name == "@Ann, “B”"
    assert record.as_csv() == text
    assert all(
        not cell.startswith(("=", "@")) for row in csv.reader(io.StringIO(text)) for cell in row
    )


def test_by_keyboard_alone(phone):
    page, problems = phone("base zero", "dials", count=2)
    page.keyboard.press("Tab")  # the button that prints
    for number, each in enumerate(problems, 1):
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.id") == f"answer-{number}"
        page.keyboard.type(f"{each.answer * 3 + 7:.4f}")
        page.keyboard.press("Enter")
        page.locator(".message").nth(number - 1).filter(has_text="not").wait_for()
        assert page.evaluate("document.activeElement.id") == f"answer-{number}"
        page.keyboard.press("Control+A")
        page.keyboard.type(each.answer_text)
        page.keyboard.press("Tab")
        page.keyboard.press("Space")
        page.locator(".message").nth(number - 1).filter(has_text="Right:").wait_for()
        page.keyboard.press("Tab")  # the worked solution
        page.keyboard.press("Enter")
        assert page.locator("details p").nth(number - 1).is_visible()
    for name in ("name", "csv", "code", "copy", "anew"):
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.id") == name
    assert page.locator("#score").inner_text() == "2 right of 2 tried, 4 answers"


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_phone_has_room_and_everyone_can_use_it(phone, axe, scheme):
    page, problems = phone("callouts", "dials", "rolls", count=3, scheme=scheme)
    answer(page, 1, wrong_of(problems[0])[0])
    answer(page, 2, problems[1].answer_text)
    answer(page, 3, "no number")
    assert not sideways(page)
    assert too_small(page) == []
    assert violations(page, axe) == []
    sizes = page.evaluate(
        """[...document.querySelectorAll('.tapertrig-drawing text')].filter(t => t.textContent)
        .map(t => t.getBoundingClientRect().height)"""
    )
    assert min(sizes) >= 12


def test_where_nothing_is_kept_it_says_so(phone):
    page, problems = phone("setup triangle", count=1, without_storage=True)
    assert answer(page, 1, problems[0].answer_text).startswith("Right")
    assert "keeps nothing here" in page.locator("#kept").inner_text()
    assert record_from_code(page.locator("#code").input_value()).entries[0].right


def test_two_open_pages_keep_both_answers(phone):
    page, problems = phone("setup triangle", count=2)
    other = page.context.new_page()
    other.goto(page.url)
    other.locator("#answer-2").wait_for()
    answer(page, 1, problems[0].answer_text)
    answer(other, 2, problems[1].answer_text)
    page.locator("#score", has_text="2 right of 2 tried").wait_for()


# ---------------------------------------------------------------- the file, and paper


def test_answers_are_not_plain_to_see(tmp_path):
    assignment, text = written()
    held = re.search(r'id="held">(.*?)</script>', text)[1]
    plain = text.replace(held, "")
    unpacked = zlib.decompress(b64decode(held), -15).decode()
    for each in assignment.problems:
        for words in (each.answer_text, each.solution.split("\n")[-1], f"{each.answer!r}"):
            assert words not in plain
        assert each.answer_text in unpacked
    assert len(text.encode()) < 200_000


def test_on_paper_each_problem_has_room(phone):
    page, problems = phone("setup triangle", "rolls", count=6)
    answer(page, 1, problems[0].answer_text)
    pages = PdfReader(io.BytesIO(page.pdf(format="A4"))).pages
    words = " ".join(" ".join(page.extract_text() for page in pages).split())
    assert words.count("Answer:") == 6
    for hidden in ("Right:", "Your answer", "Your record", "Short code", "Print"):
        assert hidden not in words
    assert len(pages) <= 4


def test_the_command_line(tmp_path, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    asked = ["dials", "one ball", "--problems", "3", "--seed", "5", "--unit", "mm"]
    assert main(asked) == 0
    text = (tmp_path / "practice page.html").read_text(encoding="utf-8")
    assert text == written("dials", "one ball", count=3, seed=5, unit="mm")[1]
    assert main(asked) == 1
    assert "there already" in capsys.readouterr().err
    assert main([*asked, "--replace"]) == 0
    assert main(["dial", "--out", "other.html"]) == 1
    assert "topic is 'dial'; it must be" in capsys.readouterr().err


TYPED = """((number, text) => {
    const box = document.getElementById(`answer-${number}`);
    box.value = text;
    box.form.requestSubmit();
    return document.querySelectorAll('.verdict')[number - 1].textContent.trim();
})"""


@pytest.mark.parametrize("start", [firefox, webkit], ids=["firefox", "webkit"])
def test_in_other_engines(start, tmp_path):
    assignment, text = written("base zero", "dials", count=2)
    (tmp_path / "practice.html").write_text(text, encoding="utf-8")
    with opened(start, tmp_path, PHONE["width"], PHONE["height"]) as page:
        page.go((tmp_path / "practice.html").as_uri())
        page.wait("!document.getElementById('record').hidden")
        first, second = assignment.problems
        page.run("document.getElementById('answer-1').focus() || 1")
        for key in "777":
            page.press(key)
        page.press("Enter")
        page.wait("document.querySelector('.message').textContent.includes('none of the usual')")
        said = page.run(f"{TYPED}(1, {json.dumps(wrong_of(first)[0])})")
        assert said.startswith(first.check(wrong_of(first)[0]).message)
        for number, each in enumerate((first, second), 1):
            assert page.run(f"{TYPED}({number}, {json.dumps(each.answer_text)})").startswith(
                "Right:"
            )
        assert page.run("document.documentElement.scrollWidth <= innerWidth")
        digits = page.run("document.getElementById('code').value")
        record = record_from_code(digits)
        assert [entry.right for entry in record.entries] == [False, False, True, True]
        page.go((tmp_path / "practice.html").as_uri())
        page.wait("!document.getElementById('record').hidden")
        assert page.run("document.getElementById('code').value") == digits
        assert page.errors() == []


def test_the_kits_list_offers_one_that_stands_in_the_folder(kit, new_page):
    """Served with the learner's rights, so under a policy: its own script still checks answers."""
    assignment, text = written("dials", count=2)
    there = kit.folder / "monday practice page.html"
    there.write_text(text, encoding="utf-8")
    page = new_page(**PHONE)
    page.goto(kit.address("/tapertrig/"))
    page.get_by_role("link", name=there.name, exact=True).click()
    page.locator("#answer-1").fill(assignment.problems[0].answer_text)
    page.locator("#answer-1").press("Enter")
    expect(page.get_by_text("Right:").first).to_be_visible()
    with page.expect_download() as saved:
        page.locator("#csv").click()
    assert "dials" in saved.value.path().read_text(encoding="utf-8")
    there.unlink()
