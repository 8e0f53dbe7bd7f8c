"""Settings of all tests: property tests carry no clock, and repeat themselves exactly in CI."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path
from tempfile import mkdtemp

import pytest
from cases import LONG, cases
from hypothesis import settings

# A busy machine must not turn a true property red; and a change that lands is judged by the
# same examples each time. On a desk the examples stay random, to find what nobody thought of.
settings.register_profile("desk", deadline=None, max_examples=cases(100))
settings.register_profile("ci", deadline=None, max_examples=cases(100), derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") == "true" else "desk")


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """As many workers as processors, four at most: each has its own JupyterLab and Chromium.

    A single file is run without any; they would take longer to start than they save.
    """
    asked = {str(path).split("::")[0] for path in config.args}
    if len(asked) == 1 and Path(asked.pop()).is_file():
        return 0
    return min(4, os.cpu_count() or 1)


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave checks marked `long` to the long command."""
    if LONG:
        return
    left_out = [item for item in items if item.get_closest_marker("long")]
    if left_out:
        config.hook.pytest_deselected(items=left_out)
        items[:] = [item for item in items if item not in left_out]


def pytest_configure(config: pytest.Config) -> None:
    """A folder in which the workers of a run share the handouts they have made."""
    if not hasattr(config, "workerinput"):
        os.environ["TAPERTRIG_TEST_HANDOUTS"] = mkdtemp(prefix="tapertrig-handouts-")


def pytest_unconfigure(config: pytest.Config) -> None:
    """Take the folder away again."""
    if not hasattr(config, "workerinput"):
        shutil.rmtree(os.environ.pop("TAPERTRIG_TEST_HANDOUTS", ""), ignore_errors=True)


@pytest.fixture(autouse=True)
def _nothing_chosen(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """What one test chooses for the lessons, another does not begin with."""
    if "tapertrig.panels.parts.job_list" in sys.modules:
        place = str(tmp_path / "chosen job.json")
        monkeypatch.setattr("tapertrig.panels.parts.job_list.CHOSEN", place)


@pytest.fixture(autouse=True, scope="module")
def _widgets_let_go() -> Iterator[None]:
    """Widgets are kept alive until they are closed; a whole run would hold gigabytes of them."""
    yield
    widgets = sys.modules.get("ipywidgets")
    if widgets is not None:
        widgets.Widget.close_all()
