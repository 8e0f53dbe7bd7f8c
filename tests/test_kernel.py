"""The Python behind a lesson imports nothing from the folder that the lesson lies in."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest
from jupyter_client import KernelManager
from jupyter_client.kernelspec import KernelSpec

import tapertrig.classroom

SPEC = Path(tapertrig.classroom.__file__).parent / "jupyter/kernels/python3/kernel.json"


@pytest.mark.slow
def test_a_file_called_as_a_library_is_not_run_by_a_lesson(tmp_path):
    for name in ("ipywidgets", "random", "tapertrig", "anything"):
        (tmp_path / f"{name}.py").write_text("open('ran', 'a').write(__name__)")
    told = json.loads(SPEC.read_text(encoding="utf-8"))
    manager = KernelManager()
    argv = [sys.executable, *told["argv"][1:]]
    manager._kernel_spec = KernelSpec(argv=argv, display_name="", language="python")
    manager.start_kernel(cwd=str(tmp_path))
    client = manager.client()
    client.start_channels()
    try:
        client.wait_for_ready(timeout=60)
        ran = client.execute_interactive(
            "import random, ipywidgets\nfrom tapertrig import panels", timeout=60
        )
        assert ran["content"]["status"] == "ok", ran["content"]
        none = client.execute_interactive("import anything", timeout=60, output_hook=print)
        assert none["content"]["ename"] == "ModuleNotFoundError"
    finally:
        client.stop_channels()
        manager.shutdown_kernel(now=True)
    assert not (tmp_path / "ran").exists()
