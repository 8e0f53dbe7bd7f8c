"""A lesson opened by hand in Jupyter Notebook 7, without the kit's own server: run, then moved."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest
from looking import picture_hash, wait_idle, wait_picture_change
from panels_seen import PanelSeen

pytestmark = pytest.mark.browser

LESSON = next((Path(__file__).parents[2] / "notebooks").glob("03-*.ipynb"))
NOTEBOOK = "notebook==7.6.5"
RUN_ALL = "window.jupyterapp.commands.execute('notebook:run-all-cells')"
SETTINGS = "c.JupyterNotebookApp.expose_app_in_browser = True\nc.ServerApp.token = 'notebook7'\n"


@pytest.fixture
def notebook_seven(tmp_path):
    """The address of a Notebook 7 server that has the lesson."""
    shutil.copy(LESSON, tmp_path)
    (tmp_path / "settings.py").write_text(SETTINGS, encoding="utf-8")
    # In a folder of its own: in the environment it would join every server of the other tests.
    apart = tmp_path / "apart"
    told = [sys.executable, "-m", "pip", "install", "-q", "--no-deps", "--target", str(apart)]
    subprocess.run([*told, NOTEBOOK], check=True, timeout=180)
    own = {f"JUPYTER_{kind}_DIR": str(tmp_path / kind) for kind in ("CONFIG", "DATA", "RUNTIME")}
    own["PYTHONPATH"] = os.pathsep.join(filter(None, [str(apart), os.environ.get("PYTHONPATH")]))
    own["JUPYTER_PATH"] = str(apart / "share/jupyter")
    lab = Path("share/jupyter/lab")
    for name in ("schemas", "themes"):
        shutil.copytree(Path(sys.prefix, lab, name), apart / lab / name, dirs_exist_ok=True)
    own["JUPYTERLAB_DIR"] = str(apart / lab)
    own["JUPYTER_CONFIG_PATH"] = str(apart / "etc/jupyter")
    told = ["-m", "notebook", "--no-browser", "--allow-root", "--port=0"]
    with open(tmp_path / "log", "w+") as log:
        running = subprocess.Popen(
            [sys.executable, *told, f"--config={tmp_path / 'settings.py'}", f"{tmp_path}"],
            stdout=log,
            stderr=log,
            env={**os.environ, **own},
        )
        try:
            yield _address(tmp_path / "log")
        finally:
            running.terminate()
            running.wait(20)


def _address(log: Path) -> str:
    end = time.monotonic() + 60
    while not (found := re.search(r"http://127\.0\.0\.1:\d+", log.read_text())):
        assert time.monotonic() < end, log.read_text()
        time.sleep(0.2)
    return found[0]


def test_a_lesson_in_notebook_seven(notebook_seven, new_page):
    page = new_page(width=1366, height=900)
    page.goto(f"{notebook_seven}/notebooks/{LESSON.name}?token=notebook7")
    wait_idle(page)
    page.evaluate(RUN_ALL)
    page.locator(".tapertrig-drawing text").first.wait_for()
    panel = PanelSeen(page)
    # A press of the mouse makes the panel's cell the active one; the keys then stay with it.
    panel.slider("Half angle").click()
    panel.settle()
    before = picture_hash(panel.image)
    panel.slider("Half angle").press("ArrowRight")
    wait_picture_change(panel.image, before)
    assert panel.entry("Half angle").input_value() in panel.sentence
