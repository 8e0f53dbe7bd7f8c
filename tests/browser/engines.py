"""Firefox, and WebKit as in a phone's Safari: opened, asked and typed into in one way.

Firefox is driven by npm's puppeteer-core over WebDriver BiDi, WebKit by Selenium through
WebKitWebDriver, on an invisible screen. `run` takes one JavaScript expression.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

PUPPETEER = "puppeteer-core@25"
KEYS = {"ArrowRight": "\ue014", "ArrowLeft": "\ue012", "Tab": "\ue004", "Enter": "\ue007"}
SECONDS = 60


class MissingEngineError(Exception):
    """The engine, or what drives it, is not installed."""


class Engine:
    """A page of one engine."""

    def go(self, address: str) -> None:
        raise NotImplementedError

    def run(self, expression: str) -> Any:
        raise NotImplementedError

    def press(self, key: str) -> None:
        """A key, to whatever has the focus."""
        raise NotImplementedError

    def errors(self) -> list[str]:
        """What the page complained of, as far as the engine tells."""
        return []

    def wait(self, expression: str) -> Any:
        """Wait until an expression is true; what it then is."""
        end = time.monotonic() + SECONDS
        while not (now := self.run(expression)):
            assert time.monotonic() < end, f"never so within {SECONDS} s: {expression}"
            time.sleep(0.1)
        return now


class _Firefox(Engine):
    def __init__(self, running: subprocess.Popen) -> None:
        self.running = running

    def _order(self, order: str, given: str = "") -> Any:
        print(json.dumps([order, given]), file=self.running.stdin, flush=True)
        answer = json.loads(self.running.stdout.readline() or '{"error": "Firefox has gone"}')
        assert "error" not in answer, answer["error"]
        return answer.get("value")

    def go(self, address: str) -> None:
        self._order("go", address)

    def run(self, expression: str) -> Any:
        return self._order("run", expression)

    def press(self, key: str) -> None:
        self._order("press", key)

    def errors(self) -> list[str]:
        return self._order("errors")


class _WebKit(Engine):
    def __init__(self, driver: Any) -> None:
        self.driver = driver

    def go(self, address: str) -> None:
        self.driver.get(address)

    def run(self, expression: str) -> Any:
        return self.driver.execute_script(f"return {expression}")

    def press(self, key: str) -> None:
        self.driver.switch_to.active_element.send_keys(KEYS.get(key, key))


def _found(*names: str) -> str:
    for name in names:
        path = shutil.which(name) or next(map(str, Path("/usr/lib").glob(name)), None)
        if path:
            return path
    raise MissingEngineError(f"{names[0]} is not installed")


@contextmanager
def firefox(folder: Path, width: int, height: int) -> Iterator[Engine]:
    """Firefox, headless; `folder` is where its driver is installed."""
    path, npm, node = _found("firefox-esr", "firefox"), _found("npm"), _found("node")
    if not (folder / "node_modules").exists():
        told = [npm, "install", "--prefix", str(folder), "--no-audit", "--no-fund", PUPPETEER]
        setting = {**os.environ, "PUPPETEER_SKIP_DOWNLOAD": "1"}
        made = subprocess.run(told, capture_output=True, text=True, timeout=180, env=setting)
        if made.returncode:
            raise MissingEngineError(f"{PUPPETEER} cannot be installed: {made.stderr[-300:]}")
    script = shutil.copy(Path(__file__).with_name("firefox.mjs"), folder)
    with subprocess.Popen(
        [node, script, path, str(width), str(height)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as running:
        yield _Firefox(running)
        running.stdin.close()
        running.wait(30)


@contextmanager
def webkit(_folder: Path, width: int, height: int) -> Iterator[Engine]:
    """WebKitGTK's small browser, whose window is the page, on a screen nobody sees."""
    browser = _found("MiniBrowser", "*/webkit2gtk-4.*/MiniBrowser")
    service, screens = _found("WebKitWebDriver"), _found("Xvfb")
    from selenium import webdriver
    from selenium.webdriver.webkitgtk.service import Service

    reading, writing = os.pipe()
    size = f"{max(width, 1400)}x{max(height, 1000)}x24"
    told = [screens, "-displayfd", str(writing), "-screen", "0", size, "-nolisten", "tcp"]
    with subprocess.Popen(told, pass_fds=[writing], stderr=subprocess.DEVNULL) as screen:
        os.close(writing)
        with os.fdopen(reading) as number:
            display = f":{number.readline().strip()}"
        options = webdriver.WebKitGTKOptions()
        options.binary_location = browser
        options.add_argument("--automation")
        settings = {**os.environ, "DISPLAY": display, "GDK_BACKEND": "x11"}
        driver = webdriver.WebKitGTK(options, Service(service, env=settings))
        try:
            driver.set_window_size(width, height)
            yield _WebKit(driver)
        finally:
            driver.quit()
            screen.terminate()
