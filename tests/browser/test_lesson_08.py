"""Lesson 08 as a learner works it: a wrong answer, its reason, the right one, and the record."""

from __future__ import annotations

import pytest
from panels_seen import PanelSeen

from tapertrig.practice import problem
from tapertrig.practice.mistakes import INCLUDED_AS_HALF
from tapertrig.practice.record import load_record

pytestmark = pytest.mark.browser


@pytest.fixture
def panel(open_lesson):
    return PanelSeen(open_lesson("08", width=1366, height=768))


def show(panel, topic, seed):
    panel.choose("Topic", topic)
    number = panel.entry("Problem number")
    number.fill(str(seed))
    number.press("Enter")
    panel.root.get_by_text(problem(topic, seed).text).first.wait_for()


def test_wrong_then_the_reason_then_right_by_keyboard_alone(panel, kit):
    each = problem("angle units", 21)
    show(panel, "angle units", 21)
    assert each.text in panel.alternative
    record = panel.entry("Record file")
    record.fill("browser learner")
    record.press("Enter")
    wrong = next(w.number for w in each.wrong_numbers() if w.mistakes == (INCLUDED_AS_HALF,))
    answer = panel.entry("Your answer")
    answer.focus()
    # Typed key by key and fast: what is checked must be the whole of it.
    panel.page.keyboard.type(f"{wrong:.4f}")
    panel.page.keyboard.press("Enter")
    panel.root.get_by_text(f"usual mistakes: {INCLUDED_AS_HALF}").first.wait_for()
    assert "wall to wall, or wall to axis?" in panel.sentence
    spoken = panel.root.locator(".tapertrig-spoken")
    panel.page.wait_for_function(
        "([spoken, words]) => spoken.textContent.includes(words)",
        arg=[spoken.element_handle(), INCLUDED_AS_HALF],
    )
    answer.fill(each.answer_text)
    panel.page.keyboard.press("Tab")
    panel.page.keyboard.press("Enter")
    panel.root.get_by_text(f"Right: {each.answer_text}").first.wait_for()
    entries = load_record(kit.folder / "browser learner.csv").record.entries
    assert panel.rows()["Your record"].endswith(f", {len(entries)} answers")
    assert [(entry.right, entry.mistakes) for entry in entries[-2:]] == [
        (False, (INCLUDED_AS_HALF,)),
        (True, ()),
    ]
    panel.press("Next problem")
    panel.root.get_by_text(problem("angle units", 22).text).first.wait_for()
    assert answer.input_value() == ""


def test_a_restarted_kernel_loses_nothing_but_what_is_being_typed(open_lesson, kit):
    page = open_lesson("08", width=1366, height=768)
    panel = PanelSeen(page)
    show(panel, "dials", 4)
    record = panel.entry("Record file")
    record.fill("restarted learner")
    record.press("Enter")
    panel.entry("Your answer").fill("1.5")
    panel.entry("Your answer").press("Enter")
    panel.root.get_by_text("Not right").or_(
        panel.root.get_by_text("That is not it")
    ).first.wait_for()
    stood = panel.rows()["Your record"]
    page.evaluate(
        """async () => {
            const open = [...window.jupyterapp.shell.widgets('main')].find(w => w.sessionContext);
            await open.sessionContext.session.kernel.restart();
        }"""
    )
    page.close()
    again = PanelSeen(open_lesson("08", width=1366, height=768))
    again.entry("Record file").fill("restarted learner")
    again.entry("Record file").press("Enter")
    again.root.get_by_text(problem("dials", 4).text).first.wait_for()
    assert again.rows()["Your record"] == stood


def test_text_that_is_no_answer_is_said_beside_the_entry(panel):
    show(panel, "setup triangle", 5)
    panel.entry("Your answer").fill("<b>many</b>")
    panel.press("Check")
    panel.root.get_by_text("not counted as a try").first.wait_for()
    assert "<b>many</b>" in panel.message("Your answer")
    assert panel.entry("Your answer").input_value() == "<b>many</b>", "what was typed is lost"
