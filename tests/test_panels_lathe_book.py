"""The panel of the lathe book: made, copied, changed, renamed and removed; two panels, one book."""

import dataclasses
import re

import pytest
from label_checks import assert_clear

from tapertrig import cautions, demo, panels
from tapertrig.draw.lathe_book import LatheShown
from tapertrig.lathe import BASE_ZEROS, Dial, Lathe
from tapertrig.lathe_book import FILE_NAME, HOW_TO_FIND, LatheBook

BLUE = Lathe(
    "in", 3.7, Dial(0.001, 0.125), Dial(0.001, 0.25, "diameter"), "square to bed", 0.005, 0.011,
    2.2, "Blue lathe", "well back, gibs nipped", "2031-05-04", "2031-05-06", -0.00035,
)  # fmt: skip
LONG = Lathe("mm", None, Dial(0.02, 3.0), Dial(0.05, 4.0), None, name="Long lathe")
TYPED = {
    "reach": "3.7", "compound_graduation": ".001", "compound_per_turn": ".125",
    "compound_reads": "radius", "cross_graduation": ".001", "cross_per_turn": ".250",
    "cross_reads": "diameter", "lathe_name": " Blue  lathe", "base_zero": "square to bed",
    "base_radius": "2.2", "compound_backlash": ".005", "cross_backlash": ".011",
    "compound_backlash_measured": "2031-05-04", "cross_backlash_measured": "2031-05-06",
    "parked": "well back, gibs nipped", "slope": "-.35",
}  # fmt: skip


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return tmp_path


def book():
    return LatheBook.load(FILE_NAME)


def press(panel, name):
    next(one for one in panel.presses.children if one.description == name).click()
    return panel.board.notice or panel.board.news


def test_a_lathe_as_it_is_typed_is_kept():
    panel = panels.lathe_book()
    assert "Not yet a lathe" in panel.board.words["sentence"]
    assert "not given" in press(panel, "Keep in the book")
    panel.set(**TYPED)
    assert press(panel, "Keep in the book") == "“Blue lathe” is in the book now."
    assert dict(book()) == {"Blue lathe": BLUE}
    again = panels.lathe_book()
    assert again.described() == BLUE
    assert again.there.value == "Blue lathe"


def test_what_is_not_given_stays_not_given():
    LatheBook((BLUE, LONG)).save(FILE_NAME)
    panel = panels.lathe_book()
    panel.there.value = "Long lathe"
    assert panel.described() == LONG
    press(panel, "Keep in the book")
    assert book()["Long lathe"] == LONG
    panel.there.value = "a new lathe"
    assert all(panel.controls[name].value in (None, "") for name in TYPED)


def test_changed_renamed_copied_removed():
    LatheBook((BLUE,)).save(FILE_NAME)
    panel = panels.lathe_book()
    panel.set(reach="3.6")
    assert press(panel, "Keep in the book") == "“Blue lathe” is kept in the book."
    panel.set(lathe_name="Green lathe", base_radius="2.25")
    press(panel, "Keep in the book")
    green = dataclasses.replace(BLUE, name="Green lathe", base_radius=2.25, compound_reach=3.6)
    assert dict(book()) == {"Green lathe": green}
    assert "has “Green lathe” already" in press(panel, "Keep as a copy")
    panel.set(lathe_name="Twin")
    press(panel, "Keep as a copy")
    assert dict(book()) == {"Green lathe": green, "Twin": dataclasses.replace(green, name="Twin")}
    assert "Keep puts it back" in press(panel, "Remove from the book")
    assert book().names == ("Green lathe",)
    press(panel, "Keep in the book")
    assert book().names == ("Green lathe", "Twin")


@pytest.mark.parametrize(
    ("typed", "word"),
    [
        ({"lathe_name": ""}, "no name"),
        ({"lathe_name": next(iter(demo.LATHES))}, "invented lathe"),
        ({"cross_per_turn": ".2505"}, "whole graduations"),
        ({"compound_backlash_measured": "Tuesday"}, "year, month and day"),
        ({"cross_backlash": ""}, "give both"),
    ],
)
def test_what_does_not_fit_is_refused_and_the_book_stays(typed, word):
    LatheBook((BLUE,)).save(FILE_NAME)
    panel = panels.lathe_book()
    panel.set(**typed)
    assert word in press(panel, "Keep in the book") + panel.board.notice
    assert dict(book()) == {"Blue lathe": BLUE}


def test_two_panels_never_take_one_change_for_the_other():
    LatheBook((BLUE, LONG)).save(FILE_NAME)
    one, other = panels.lathe_book(), panels.lathe_book()
    one.set(reach="3.6")
    press(one, "Keep in the book")
    other.set(reach="3.5")
    for _ in range(2):  # asking again is no way round it
        assert "Usable compound travel was 3.5 in, now 3.6 in" in press(other, "Keep in the book")
    assert book()["Blue lathe"].compound_reach == 3.6
    other.set(lathe_name="Blue lathe, mine")
    assert "is in the book now" in press(other, "Keep as a copy")
    assert {name: each.compound_reach for name, each in book().items()} == {
        "Blue lathe": 3.6, "Long lathe": None, "Blue lathe, mine": 3.5,
    }  # fmt: skip
    one.there.value = "Blue lathe, mine"
    assert one.described().compound_reach == 3.5


def test_lengths_keep_their_size_in_the_other_unit():
    LatheBook((BLUE,)).save(FILE_NAME)
    panel = panels.lathe_book()
    panel.lathe_unit.value = "mm"
    assert panel.described().compound_reach == pytest.approx(3.7 * 25.4)
    assert panel.described().quill_slope == BLUE.quill_slope


def test_a_damaged_book_is_said_and_left_alone(folder):
    LatheBook((BLUE,)).save(FILE_NAME)
    panel = panels.lathe_book()
    (folder / FILE_NAME).write_text("{")
    panel.there.value = "a new lathe"
    assert FILE_NAME in panel.board.notice
    panel.set(**TYPED | {"lathe_name": "Green lathe"})
    assert FILE_NAME in press(panel, "Keep in the book")
    assert (folder / FILE_NAME).read_text() == "{"
    assert FILE_NAME in panels.lathe_book().board.news


def test_every_figure_tells_how_it_is_found_and_the_cautions_stand():
    panel = panels.lathe_book()
    told = " ".join(
        getattr(one, "value", "") for one in panel.control_side.children
        if isinstance(getattr(one, "value", ""), str)
    )  # fmt: skip
    assert len(re.findall("<details>", told)) == len(HOW_TO_FIND)
    known = {part.name for part in dataclasses.fields(Lathe)} - {"name", "unit"}
    assert {name for name in known if not name.endswith("_measured")} == set(HOW_TO_FIND)
    assert cautions.MACHINE[0] in told
    assert any(cautions.MACHINE[0] in value for _name, value, _ in panel.board.words["rows"])


@pytest.mark.parametrize("style", ["desk", "projector", "narrow"])
def test_the_words_of_the_picture_stand_clear(style):
    scene = panels.lathe_book().make_scene(style)
    dials = (None, Dial(0.001, 0.125, "diameter"), Dial(0.0001, 0.05), Dial(0.02, 3.0))
    for zero in (None, *BASE_ZEROS):
        for radius, reach in ((None, None), (2.125, None), (None, 3.25), (1.0, 12.0), (58.25, 9.0)):
            for dial in dials:
                shown = LatheShown(
                    "mm" if radius == 58.25 else "in", dial, dial, zero, radius, reach
                )
                scene.show(shown)
                assert_clear(scene, shown)
