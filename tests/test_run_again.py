"""What is shown again leaves nothing behind: live widgets and panels are counted."""

from __future__ import annotations

import subprocess
import sys

import pytest
from ipywidgets.widgets.widget import _instances

from tapertrig import panels
from tapertrig.panels.parts.panel import restyle
from tapertrig.panels.parts.run_again import close_whole

# An IPython shell as a kernel has it; a browser says with each run which cell it is.
SHELL = """
import gc, os, sys
from IPython.core.interactiveshell import InteractiveShell
from ipywidgets.widgets.widget import _instances
shell = InteractiveShell.instance()
shell.display_formatter.active_types = ["text/plain"]

def run(**cells):
    for cell, code in cells.items():
        shell.run_cell(code, store_history=True, cell_id=cell).raise_error()
    gc.collect()
    from tapertrig.panels.parts.panel import Panel
    return len(_instances), len(Panel.live)

def say(*found):
    print(*found, file=sys.stderr)

run(start="from tapertrig import panels")
"""


def counted(code: str, folder: object) -> list[str]:
    made = subprocess.run(
        [sys.executable, "-c", SHELL + code],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
        cwd=folder,
    )
    assert made.returncode == 0, made.stderr
    return made.stderr.splitlines()


@pytest.mark.parametrize("name", panels.__all__)
def test_a_panel_used_and_closed_leaves_no_widget(name, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    before = set(_instances)
    panel = getattr(panels, name)()
    made = len(_instances)
    for unit in ("mm", "in"):
        panel.unit_switch.value = unit
    panel.style_switch.value = True
    panel.set_back()
    assert len(_instances) == made
    close_whole(panel)
    assert set(_instances) == before


def test_cells_run_again_leave_one_set(tmp_path):
    told = counted(
        """
cells = {name: f"panels.{name}()" for name in ("setup_triangle", "lathe_book", "worksheets")}
cells |= {"again": cells["setup_triangle"], "asks": "panels.questions('04')"}
for _ in range(5):
    say(*run(**cells))
say(len(shell.history_manager.outputs))
""",
        tmp_path,
    )
    assert told[1:5] == [told[0]] * 4
    assert told[0].split()[1] == "4"
    assert told[5] == "0", "Python's list of outputs keeps their pictures"


def test_a_panel_that_a_name_or_another_cell_still_shows_stays(tmp_path):
    live = "shell.user_ns['panel'].comm is not None"
    told = counted(
        f"""
both = {{"made": "panel = panels.lost_motion()", "shown": "panel"}}
say(*run(**both))
say(*run(shown="panel"), {live})
say(*run(made=both["made"]))
say(*run(shown="panel"), {live})
shell.run_cell("1 / 0", cell_id="shown")
say(*run(other="panel"), {live})
""",
        tmp_path,
    )
    assert [line.split()[1:] for line in told] == [
        ["1"],
        ["1", "True"],
        ["2"],  # the first is still on the screen
        ["1", "True"],
        ["1", "True"],
    ]


def test_another_style_is_taken_by_every_panel_and_those_to_come(monkeypatch):
    monkeypatch.setenv("TAPERTRIG_STYLE", "desk")
    there = [panels.lost_motion(), panels.tool_height()]
    closed = panels.lost_motion()
    close_whole(closed)
    made = len(_instances)
    restyle("projector")
    assert len(_instances) == made
    assert [one.style_name for one in there] == ["projector"] * 2
    assert closed.style_name == "desk"
    assert panels.lost_motion().style_name == "projector"
    with pytest.raises(ValueError, match="huge"):
        restyle("huge")
