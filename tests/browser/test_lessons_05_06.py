"""Lessons 05 and 06: each main slider dragged, picture and words agree, answers stay hidden."""

from __future__ import annotations

import pytest
from panels_seen import PanelSeen

pytestmark = pytest.mark.browser

TOOL = "Tool above centre (below: minus)"
# Lesson, the panel's place in it, its main slider, and a row that follows the slider.
SHOWN = [
    ("05", 0, "Half angle", "Standard uncertainty of α"),
    ("05", 1, "Half angle out by", "Gap, on radius"),
    ("06", 0, "Movement", "Face diameter after the cut"),
    ("06", 1, TOOL, "Half angle too small by"),
    ("06", 2, "Half angle", "Least distance to the quill"),
]
HIDDEN = [
    ("05", 2, "Half angle", "Standard uncertainty of α"),
    ("05", 3, "Half angle out by", "Gap, on radius"),
    ("06", 3, "Movement", "Face diameter after the cut"),
    ("06", 4, TOOL, "Half angle too small by"),
    ("06", 5, "Half angle", "Least distance to the quill"),
]


@pytest.mark.parametrize(("lesson", "place", "slider", "row"), SHOWN)
def test_picture_and_words_follow_the_slider(open_lesson, lesson, place, slider, row):
    panel = PanelSeen(open_lesson(lesson, style="desk", width=1366, height=768), place)
    panel.watch()
    panel.drag(slider, 0.3, 0.6)
    before, picture = panel.rows()[row], panel.picture()
    panel.drag(slider, 0.6, 0.75)
    assert panel.flickered() == []
    assert panel.notice == ""
    assert panel.picture() != picture
    assert panel.rows()[row] != before
    assert panel.sentence in panel.alternative


@pytest.mark.parametrize(("lesson", "place", "slider", "row"), HIDDEN)
def test_hidden_answers_stay_hidden_while_the_slider_is_dragged(
    open_lesson, lesson, place, slider, row
):
    panel = PanelSeen(open_lesson(lesson, style="desk", width=1366, height=768), place)
    panel.drag(slider, 0.3, 0.6)
    assert panel.rows()[row] == "?"
    assert "Answers are hidden" in panel.sentence
    assert "Answers are hidden" in panel.alternative
    panel.root.get_by_label("Hide answers").uncheck()
    panel.settle()
    assert panel.rows()[row] != "?"


def test_the_face_opens_by_twice_what_the_cross_slide_moves(open_lesson):
    panel = PanelSeen(open_lesson("06", style="desk", width=1366, height=768))
    panel.type("Movement", "0.0315")
    assert panel.rows()["Face diameter after the cut"] == "1.3630 in"
    assert "1.3630 in" in panel.sentence
