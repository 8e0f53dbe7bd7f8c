"""A panel with a file: the folder listed, saved, loaded, replaced, and put back when it fails."""

from __future__ import annotations

from pathlib import Path

import pytest

from tapertrig.panels.parts.kept_file import IN_FOLDER, KeptFile
from tapertrig.panels.setup_triangle_panel import SetupTriangle, TriangleState


class KeptTriangle(SetupTriangle, KeptFile[TriangleState]):
    """The panel of the setup triangle, which keeps its half angle as a text."""

    ending = ".angle"

    def make_controls(self):
        super().make_controls()
        self.file_controls("File name", "mine")

    def arrange(self):
        self.file_presses("Save", "Load")
        return super().arrange()

    def moved(self, control):
        KeptFile.moved(self, control)

    def read_file(self, path: Path) -> str:
        self.compound_travel.limit(1.0, 2.0)
        self.put({"compare": True, "half_angle": path.read_text()})
        return ", with its half angle"

    def write_file(self, path: Path, replace: bool) -> str:
        if path.exists() and not replace:
            raise ValueError(f"{path.name} is there already")
        path.write_text(self.half_angle.text)
        return ""


@pytest.fixture
def panel(tmp_path):
    made = KeptTriangle(half_angle="20°43′")
    made.folder = tmp_path
    return made


def press(panel, name):
    next(one for one in panel.presses.children if one.description == name).click()
    return panel.board.notice or panel.board.news


def test_saved_listed_chosen_and_loaded(panel, tmp_path):
    assert press(panel, "Save") == "Saved as mine.angle."
    assert (tmp_path / "mine.angle").read_text() == "20°43′"
    (tmp_path / "other.angle").write_text("12°38′")
    (tmp_path / "other.txt").write_text("no angle of ours")
    panel.look()
    assert panel.there.options == (IN_FOLDER, "mine", "other")
    renders = panel.renders
    panel.there.value = "other"
    assert (panel.file.value, panel.renders) == ("other", renders)
    assert press(panel, "Load") == "Loaded other.angle, with its half angle."
    assert panel.last_state.half_angle.brief() == "12°38′"


def test_another_file_is_replaced_only_when_told(panel, tmp_path):
    (tmp_path / "mine.angle").write_text("12°38′")
    assert press(panel, "Save") == "mine.angle is there already"
    panel.replace.value = True
    assert press(panel, "Save") == "Saved as mine.angle."


@pytest.mark.parametrize("text", ["nonsense", "89°59′", ""])
def test_a_file_that_does_not_fit_leaves_all_as_it_was(panel, tmp_path, text):
    (tmp_path / "mine.angle").write_text(text)
    before = {name: control.value for name, control in panel.controls.items()}, panel.board.marks
    said = press(panel, "Load")
    assert "°" in said
    after = {name: control.value for name, control in panel.controls.items()}, panel.board.marks
    assert after == before
    assert panel.compound_travel.maximum == 4.0


def test_nothing_is_saved_while_a_typed_text_stands_refused(panel, tmp_path):
    panel.half_angle.enter("forty")
    assert "forty" in press(panel, "Save")
    assert list(tmp_path.iterdir()) == []


def test_a_page_stands_beside_the_file_and_takes_its_name(panel, tmp_path):
    panel.file.value = "seat ring.angle"
    panel.write_page(" sheet.html", "<p>20°43′</p>", "Sheet")
    assert (tmp_path / "seat ring sheet.html").read_text() == "<p>20°43′</p>"
    assert "Sheet written: seat ring sheet.html" in panel.board.news
    for name in ("../up", "a/b", ""):
        panel.file.value = name
        with pytest.raises(ValueError, match="name"):
            panel.path()
