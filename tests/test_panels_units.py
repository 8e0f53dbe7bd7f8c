"""Inches and millimetres in every panel, live; and a panel set back to how the lesson left it."""

from __future__ import annotations

import random
import re
from fractions import Fraction

import pytest
from cases import cases

from tapertrig import panels
from tapertrig.draw.parts.drawing import Drawing
from tapertrig.panels.parts.controls import Quantity

MM = Fraction("25.4")  # the international inch, ISO 80000-3
NAMES = [name for name in panels.__all__ if getattr(panels, name).has_unit]
MEASURING = ("inspection", "over_rolls")
# Read once a bench is set up anew for another lathe, or left out with what they hold.
ANEW = {"compound_wheel", "cross_wheel", "step", "turn_by"}


def lengths(panel) -> dict[str, Quantity]:
    return {
        name: one
        for name, one in panel.controls.items()
        if isinstance(one, Quantity) and one.unit in ("in", "mm") and name not in ANEW
    }


def shown(panel) -> dict[str, object]:
    return {
        name: (one.text, one.unit) if isinstance(one, Quantity) else getattr(one, "value", None)
        for name, one in panel.controls.items()
        if name not in ANEW
    }


def at_random(panel, seed: int) -> None:
    """Every length somewhere along its slider, as a hand would leave it."""
    hand = random.Random(seed)
    for one in lengths(panel).values():
        steps = int((one.maximum - one.minimum) / one.step)
        one.value = min(one.minimum + hand.randint(0, steps) * one.step, one.maximum)


@pytest.mark.parametrize("unit", ["in", "mm"])
@pytest.mark.parametrize("name", NAMES)
def test_to_the_other_unit_and_back_is_as_it_was(name, unit):
    other = {"in": "mm", "mm": "in"}[unit]
    for seed in range(cases(4, 100)):
        panel = getattr(panels, name)(unit=unit)
        at_random(panel, seed)
        before, held = shown(panel), {key: one.value for key, one in lengths(panel).items()}
        fitted = not panel.board.stale
        panel.unit_switch.value = other
        assert "fault" not in panel.board.notice
        for key, one in lengths(panel).items():
            assert one.unit == other, key
            exact = Fraction(held[key]) * MM if other == "mm" else Fraction(held[key]) / MM
            if held[key] is not None and not one.remark:
                assert one.value == pytest.approx(float(exact), rel=1e-12, abs=1e-12), key
        assert fitted <= (not panel.board.stale), "a change of unit lost the picture"
        panel.unit_switch.value = unit
        assert shown(panel) == before


@pytest.mark.parametrize("name", [name for name in NAMES if getattr(panels, name).main])
def test_a_view_that_hears_of_another_unit_shows_what_a_new_scene_would(name):
    """Free labels may stand elsewhere, and say the same."""
    panel = getattr(panels, name)()
    shown = dict(panel.board.marks)

    def hear(message, buffers=None):
        for mark_id, changed in message["marks"].items():
            shown[mark_id] = (*changed, *shown[mark_id][len(changed) :])

    panel.board.send = hear
    panel.board.observe(lambda change: shown.update(change["new"]["marks"]), "whole")
    for unit in ("mm", "in", "mm"):
        panel.unit_switch.value = unit
        assert shown == panel.board.marks
        new = Drawing(panel.make_scene(panel.placement))
        new.show(panel.scene_state(panel.last_state), panel.hiding)
        free = {str(wish.label.get_gid()) for wish in new.scene.wishes if not wish.pinned}
        leads = {str(wish.leader.get_gid()) for wish in new.scene.wishes if wish.leader}
        assert set(shown) == set(new.marks)
        for mark_id, mark in new.marks.items():
            seen = shown[mark_id]
            if mark_id in free:
                assert seen[0] == mark[0] or "" in (seen[0], mark[0]), mark_id
            elif mark_id not in leads:
                assert seen == mark or not (seen[0] or mark[0]), mark_id


@pytest.mark.parametrize("name", NAMES)
def test_what_a_panel_says_is_in_the_unit_shown(name):
    panel = getattr(panels, name)()
    panel.answers_switch.value = False
    panel.unit_switch.value = "mm"
    words = panel.board.words
    told = [words["sentence"], *(f"{row}: {value}" for row, value, _ in words["rows"])]
    for line in told:
        if not line.startswith("Example"):
            assert not re.search(r"\d in\b", line), line
    assert re.search(r"\d mm\b", "".join(told))


def test_an_invented_lathe_becomes_the_one_of_the_unit_with_its_own_dials():
    panel = panels.setup_triangle(compound_travel=3.0)
    panel.set(unit="mm")
    lathe = panel.last_state.lathe
    assert (lathe.unit, lathe.cross_dial.graduation, lathe.compound_reach) == ("mm", 0.02, 100)
    assert panel.compound_travel.value == pytest.approx(76.2, rel=1e-12)
    assert panel.compound_travel.step == 0.02
    panel.set(unit="in", compound_travel=2.0)
    assert (panel.last_state.lathe.unit, panel.last_state.compound_travel) == ("in", 2.0)


def test_a_travel_that_the_other_slide_has_not_moves_to_its_end_and_says_so():
    panel = panels.angle_budget(unit="mm", compound_travel=85.0)
    panel.compound_travel.value = panel.compound_travel.maximum
    panel.unit_switch.value = "in"
    assert panel.compound_travel.value == pytest.approx(3.25)
    assert "86.000 mm is 3.3858 in; here it ends at 3.2500 in" in panel.compound_travel.message + (
        panel.compound_travel.remark
    )
    panel.unit_switch.value = "mm"
    assert panel.compound_travel.text == "86.00"


def test_a_class_is_metric_without_a_word_in_its_lessons(monkeypatch):
    monkeypatch.setenv("TAPERTRIG_UNIT", "mm")
    bench = panels.indicating_bench(backlash=0.010, seed=7)
    assert (bench.bench.conditions.lathe.unit, bench.unit_switch.value) == ("mm", "mm")
    assert bench.backlash.value == pytest.approx(0.254)
    assert panels.setup_triangle().board.words == panels.setup_triangle(unit="mm").board.words
    assert panels.setup_triangle(compound_travel=3.0).compound_travel.text == "76.20"
    assert panels.setup_triangle(unit="in", compound_travel=3.0).compound_travel.text == "3.000"
    assert panels.job_sheet().current().callout.unit == "mm"
    monkeypatch.setenv("TAPERTRIG_UNIT", "cm")
    with pytest.raises(ValueError, match="unit is 'cm'"):
        panels.setup_triangle()


def test_the_path_of_a_slide_is_the_same_path_in_the_other_unit():
    panel = panels.lost_motion()
    for at in (0.05, 0.1, 0.03):
        panel.handwheel.value = at
    behind = panel.last_state.behind
    panel.unit_switch.value = "mm"
    assert panel.last_state.behind == pytest.approx(behind * 25.4)
    assert len(panel.handwheels) == 4


def test_a_print_stays_the_same_part_in_the_other_unit():
    panel = panels.ball_in_bore(half_angle="30°", ball=1.25, height=0.6450)
    found = panel.last_state.findings[0]
    panel.unit_switch.value = "mm"
    other = panel.last_state.findings[0]
    assert other.value == pytest.approx(found.value * 25.4, rel=1e-9)
    assert other.verdict == found.verdict
    assert panel.from_set.options[0][0] == "another size"


@pytest.mark.parametrize("name", MEASURING)
def test_readings_stay_as_they_were_read(name):
    panel = getattr(panels, name)()
    job, found = panel.current(), panel.state_of_job().found
    panel.unit_switch.value = "mm"
    assert panel.current() == job
    assert panel.state_of_job().found == found
    panel.controls["notes"].value = "seen again"
    kept = panel.current().readings[-1]
    assert (kept.unit, kept.rows) == ("in", job.readings[0].rows)
    assert kept.gauges == job.readings[0].gauges
    row = panel.controls[panel.rows[0]]
    row.value = " ".join(f"{float(one) + 0.001:.5f}" for one in row.value.split())
    assert panel.current().readings[-1].unit == "mm"
    metric = getattr(panels, name)(unit="mm")
    panel.take(metric.current())
    assert (panel.unit, panel.current()) == ("mm", metric.current())


def test_lengths_follow_the_unit_of_the_print_from_python_as_by_hand():
    by_hand, by_name = panels.job_sheet(), panels.job_sheet()
    by_hand.controls["print_unit"].value = "mm"
    by_name.set(print_unit="mm")
    assert shown(by_name) == shown(by_hand)
    assert by_name.controls["face_diameter"].unit == "mm"
    assert by_name.current() == by_hand.current() or by_name.current().callout == (
        by_hand.current().callout
    )
    by_name.set(print_unit="in")
    assert by_name.current().callout == panels.job_sheet().current().callout
    by_name.set(face_diameter=36, print_unit="mm")
    assert by_name.current().callout.face_diameter == 36
    assert by_name.current().lathe.unit == "in", "a print in millimetres keeps the lathe"


@pytest.mark.parametrize("name", panels.__all__)
def test_set_back_is_as_the_lesson_left_it(name):
    panel = getattr(panels, name)()
    before = shown(panel), panel.board.words, panel.unit
    for one in panel.controls.values():
        if isinstance(one, Quantity) and one.value is not None:
            one.value = (one.minimum + 2 * one.maximum) / 3
        elif options := getattr(one, "_options_full", ()):
            one.value = options[-1][1]
    if panel.has_unit:
        panel.unit_switch.value = "mm"
        if panel.can_hide:
            panel.answers_switch.value = True
    assert (shown(panel), panel.board.words) != before[:2]
    panel.set_back()
    assert (shown(panel), panel.board.words, panel.unit) == before
    assert "as the lesson left it" in panel.board.news
    main = panel.controls.get(panel.main)
    if main is not None:
        renders = panel.renders
        main.value = (main.minimum * 3 + main.maximum) / 4
        assert panel.renders > renders, "the panel has stopped drawing"


def test_set_back_keeps_a_practice_record():
    panel = panels.practice(seed=1)
    first = panel.board.words["sentence"]
    panel.answer.answer(panel.session.problem.answer_text)
    panel.next_problem()
    panel.set_back()
    assert len(panel.session.record.entries) == 1
    assert (panel.seed.value, panel.session.problem.text) == ("1", first)
