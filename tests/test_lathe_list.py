"""The lathes of the lathe book in the lists of the panels: offered, followed, never filled in."""

import dataclasses
import itertools
import math

import pytest

from tapertrig import demo, panels
from tapertrig.lathe import Dial, Lathe
from tapertrig.lathe_book import FILE_NAME, LatheBook
from tapertrig.panels.parts.lathe_list import LatheList, book_changed

BLUE = Lathe(
    "in", 3.7, Dial(0.001, 0.125), Dial(0.001, 0.25, "diameter"), "square to bed", 0.005, 0.011,
    2.2, "Blue lathe", quill_slope=0.0002,
)  # fmt: skip
BARE = Lathe("in", None, Dial(0.001, 0.1), Dial(0.001, 0.1), None, name="Bare lathe")
LONG = Lathe("mm", 95.0, Dial(0.02, 3.0), Dial(0.05, 4.0), name="Long lathe")
WITH_A_LATHE = [n for n in panels.__all__ if issubclass(getattr(panels, n), LatheList)]


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    """A learner's folder with a book of three lathes."""
    monkeypatch.chdir(tmp_path)
    LatheBook((BLUE, BARE, LONG)).save(FILE_NAME)
    return tmp_path


def said(panel):
    words = panel.board.words
    return " ".join([words["sentence"], *(f"{name} {value}" for name, value, _ in words["rows"])])


def change(lathe, **figures):
    book = LatheBook.load(FILE_NAME)
    book.with_lathe(dataclasses.replace(lathe, **figures)).save(FILE_NAME)
    book_changed()


def test_the_triangle_tells_the_cross_reading_on_a_lathe_of_the_book():
    panel = panels.setup_triangle()
    panel.lathe.value = "Blue lathe"
    panel.half_angle.enter("17 25")
    panel.compound_travel.enter("3.125")
    reading = 2 * 3.125 * math.sin(math.radians(17 + 25 / 60))
    turns, rest = divmod(reading, 0.25)
    assert f"the cross dial shows {reading:.4f} in." in said(panel)
    assert f"which is {turns:.0f} turns, then {rest:.4f}".replace(", then 0", ", then ") in said(
        panel
    )
    assert panel.compound_travel.maximum == 3.7


def test_the_triangle_takes_the_unit_of_the_lathe_and_keeps_the_travel_as_long():
    panel = panels.setup_triangle(compound_travel=2.0)
    panel.lathe.value = "Long lathe"
    assert (panel.compound_travel.unit, panel.compound_travel.value) == ("mm", 50.8)
    panel.compound_travel.enter("3 in")
    assert panel.compound_travel.value == pytest.approx(76.2)
    panel.lathe.value = panel.lathe.options[0]
    assert (panel.compound_travel.unit, panel.compound_travel.text) == ("mm", "76.20")
    panel.unit_switch.value = "in"
    assert (panel.compound_travel.unit, panel.compound_travel.value) == ("in", 3.0)
    panel.lathe.value = "Blue lathe"
    panel.unit_switch.value = "mm"
    assert (panel.lathe.value, panel.last_state.lathe.unit) == (panel.lathe.options[0], "mm")


def test_a_travel_past_the_reach_is_refused_and_one_not_given_is_told_of():
    panel = panels.setup_triangle(lathe="Blue lathe")
    panel.compound_travel.enter("3.8")
    assert "must lie between" in panel.compound_travel.message
    panel.lathe.value = "Bare lathe"
    assert "How far this slide goes is not given" in said(panel)
    panel.guard(panel.list_setups)
    assert "how far the compound slide goes is not given" in panel.board.notice


def test_lists_follow_the_book():
    panel = panels.setup_triangle(lathe="Blue lathe")
    assert panel.lathe.options[1:4] == ("Blue lathe", "Bare lathe", "Long lathe")
    assert set(demo.LATHES) <= set(panel.lathe.options)
    change(BLUE, cross_dial=Dial(0.001, 0.125))
    assert panel.last_state.lathe.cross_dial == Dial(0.001, 0.125)
    change(BLUE, name="Green lathe")
    assert "Green lathe" in panel.lathe.options
    LatheBook.load(FILE_NAME).without("Blue lathe").save(FILE_NAME)
    book_changed()
    assert panel.lathe.value == "Blue lathe"  # what is picked stays picked, and what it was
    assert panel.last_state.lathe.cross_dial == Dial(0.001, 0.125)
    assert "Blue lathe" not in panels.setup_triangle().lathe.options


def test_a_book_that_cannot_be_read_is_told_of_and_the_panel_works(folder):
    (folder / FILE_NAME).write_text("{")
    panel = panels.setup_triangle()
    assert "The lathe book is left out" in panel.board.news
    assert set(demo.LATHES) <= set(panel.lathe.options)
    panel.half_angle.enter("20")
    assert panel.last_state.half_angle.degrees == 20


# ---------------------------------------------------------------- the job sheet


def test_a_job_keeps_its_copy_and_the_sheet_says_what_the_book_has_otherwise(tmp_path):
    sheet = panels.job_sheet()
    sheet.lathe.value = "Blue lathe"
    assert sheet.current().lathe == BLUE
    sheet.file.value = "seat"
    sheet.guard(sheet.save_file)
    change(BLUE, compound_reach=3.5, compound_backlash=0.006)
    assert sheet.lathe.value == "my own lathe"
    assert sheet.current().lathe == BLUE
    assert "Usable compound travel was 3.7 in, now 3.5 in" in said(sheet)
    assert "Compound backlash was 0.005 in, now 0.006 in" in said(sheet)
    sheet.lathe.value = "Blue lathe"
    assert sheet.current().lathe.compound_reach == 3.5
    assert "has it otherwise" not in said(sheet)
    sheet.guard(sheet.load_file)
    assert sheet.current().lathe == BLUE
    assert "has it otherwise" in said(sheet)


def test_what_the_sheet_shows_no_control_for_stays_with_the_lathe():
    known = dataclasses.replace(
        BLUE, parked="well back", compound_backlash_measured="2031-05-04",
        cross_backlash_measured="2031-05-04",
    )  # fmt: skip
    sheet = panels.job_sheet()
    sheet.take(dataclasses.replace(demo.job(), lathe=known))
    sheet.controls["base_radius"].value = 2.25
    sheet.controls["cross_backlash"].value = 0.012
    wanted = dataclasses.replace(
        known, base_radius=2.25, cross_backlash=0.012, cross_backlash_measured=None
    )
    assert sheet.current().lathe == wanted


def test_half_an_entry_stays_while_the_book_changes():
    sheet = panels.job_sheet()
    sheet.lathe.value = "my own lathe"
    sheet.controls["compound_graduation"].value = 0.001
    change(BLUE, compound_reach=3.5)
    assert sheet.controls["compound_graduation"].value == 0.001
    assert sheet.lathe.value == "my own lathe"


# ---------------------------------------------------------------- the other panels

OTHERS = (
    "angle_budget", "base_scale", "indicating_bench", "lost_motion", "opening_the_face",
    "sweep_clearance", "watch_it_done",
)  # fmt: skip


@pytest.mark.parametrize("name", OTHERS)
def test_every_panel_with_a_lathe_offers_the_book_and_takes_its_unit(name):
    panel = getattr(panels, name)()
    assert {"Blue lathe", "Bare lathe", "Long lathe", *demo.LATHES} <= set(panel.lathe.options)
    first = panel.lathe.value
    panel.lathe.value = "Long lathe"
    assert panel.unit == panel.unit_switch.value == "mm"
    panel.lathe.value = "Blue lathe"
    assert panel.unit == "in"
    assert not panel.board.notice
    panel.lathe.value = first
    assert panel.picked_lathe() == demo.LATHES.get(first)
    assert getattr(panels, name)(lathe="Blue lathe").picked_lathe() == BLUE


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("angle_budget", "Usable compound travel of “Bare lathe” is not given. Crank"),
        ("base_scale", "Base zero of “Bare lathe” is not given. Swing"),
        ("indicating_bench", "Backlash of the cross screw is not given: 0.0100 in is assumed"),
        ("watch_it_done", "Quill's slope is not given"),
        ("lost_motion", "Cross backlash of “Bare lathe” is not given. Indicator"),
        ("sweep_clearance", "How far the compound of “Bare lathe” goes"),
    ],
)
def test_what_the_book_does_not_have_is_asked_for(name, words):
    panel = getattr(panels, name)(lathe="Blue lathe")
    # What the budget of a cut leaves out is no figure of the lathe.
    told = said(panel).replace("Left out, not given", "")
    assert "not given" not in told + panel.board.notice
    panel.lathe.value = "Bare lathe"
    assert words in said(panel) + panel.board.notice


def test_figures_of_the_lathe_are_what_the_panel_reckons_with():
    assert panels.base_scale(lathe="Blue lathe").last_state.lathe == BLUE
    budget = panels.angle_budget(lathe="Blue lathe")
    assert budget.compound_travel.maximum == 3.7
    assert budget.cross_reading.value == 0.00025
    bench = panels.indicating_bench(lathe="Blue lathe").bench.conditions
    assert bench.lathe == BLUE
    assert bench.quill_slope == pytest.approx(0.0002, abs=1e-7)
    slack = panels.lost_motion(lathe="Blue lathe")
    assert slack.last_state.lost_motion == 0.011
    slack.screw.value = "compound screw"
    assert slack.last_state.lost_motion == 0.005
    swept = panels.sweep_clearance(lathe="Blue lathe")
    swept.compound_travel.value = 3.9
    assert "this slide reaches 3.7 in" in swept.compound_travel.message


@pytest.mark.parametrize("name", WITH_A_LATHE)
def test_the_lathe_picked_is_the_one_there_whatever_the_unit_before(name):
    """From each lathe to each other; in the list they stay in one order."""
    panel = getattr(panels, name)()
    order = [one for one in panel.lathe.options if one in demo.LATHES]
    for before, after in itertools.permutations(("Blue lathe", "Long lathe", *demo.LATHES), 2):
        panel.lathe.value = before
        panel.lathe.value = after
        assert (before, panel.lathe.value) == (before, after)
        assert panel.picked_lathe().name == after
        assert not panel.has_unit or panel.unit == panel.picked_lathe().unit
        assert [one for one in panel.lathe.options if one in demo.LATHES] == order
