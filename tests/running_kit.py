"""Starting and ending `python -m tapertrig`, or plain JupyterLab, as a person would."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path


@dataclass
class Kit:
    """A running server: where it answers, and the folders of copies and settings."""

    start: str
    token: str
    folder: Path
    settings: Path
    process: subprocess.Popen

    def address(self, path: str) -> str:
        """The whole address of a path on this server, with its token."""
        mark = "&" if "?" in path else "?"
        return f"{self.start}/{path.lstrip('/')}{mark}token={self.token}"


def start_kit(
    folder: Path, settings: Path, *arguments: str, browser: bool = False, **environment: str
) -> Kit:
    """Start the kit with Jupyter settings of its own and wait until its lesson is live."""
    if not browser:
        arguments = ("--no-browser", *arguments)
    told = ("tapertrig", "--folder", str(folder), *arguments)
    return _start(told, "Open now: ", folder, settings, environment)


def start_lab(folder: Path, settings: Path) -> Kit:
    """Start an ordinary JupyterLab on a folder, without the kit's settings and channels."""
    told = ("jupyterlab", "--no-browser", "--allow-root", "--ip=127.0.0.1", "--port=0", str(folder))
    return _start(told, " +", folder, settings, {})


def _start(
    told: tuple[str, ...], says: str, folder: Path, settings: Path, environment: dict[str, str]
) -> Kit:
    settings.mkdir(parents=True, exist_ok=True)
    (settings / "jupyter_lab_config.json").write_text(
        '{"LabApp": {"expose_app_in_browser": true}}', encoding="utf-8"
    )
    process = subprocess.Popen(
        [sys.executable, "-m", *told],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        env={
            **os.environ,
            "JUPYTER_CONFIG_DIR": str(settings),
            "JUPYTER_DATA_DIR": str(settings / "share"),
            "JUPYTER_RUNTIME_DIR": str(settings / "runtime"),
            **environment,
        },
    )
    printed: list[str] = []
    for line in process.stdout:
        printed.append(line)
        found = re.match(rf"{says}(http://127\.0\.0\.1:\d+)/\S*token=(\w+)", line)
        if found:
            return Kit(found[1], found[2], folder, settings, process)
    process.wait(10)
    raise AssertionError(f"{told[0]} did not start:\n" + "".join(printed))


def stop_kit(kit: Kit) -> None:
    """End the kit as Ctrl-C does."""
    kit.process.send_signal(signal.SIGINT)
    try:
        kit.process.wait(20)
    except subprocess.TimeoutExpired:
        kit.process.kill()
        raise
    finally:
        kit.process.stdout.close()
