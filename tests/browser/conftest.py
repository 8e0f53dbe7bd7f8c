"""What the browser tests share: a started kit, headless Chromium, and eyes on what went wrong."""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from urllib.parse import urlsplit

import pytest
from looking import wait_idle
from running_kit import Kit, start_kit, stop_kit

CHROMIUM_NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
CHROMIUM_FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
SECONDS = 60
MILLISECONDS = SECONDS * 1000

# Console errors that say nothing about the kit: a pattern, and the reason it is let through.
HARMLESS: tuple[tuple[str, str], ...] = (
    (r"widget model not found", "JupyterLab looked two seconds; the page opens itself once more"),
    (r"reading 'schema'", "Notebook 7.6 itself, on a notebook of one empty cell too"),
)


@dataclass
class Seen:
    """What a page complained of, and where it asked for things."""

    console_errors: list[str] = field(default_factory=list)
    outside_requests: list[str] = field(default_factory=list)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """A browser check that fails is run once more; the summary names it, and two times is red.

    A kernel, a server and a browser beside one another on a busy machine do not always come in
    the order that a check was written by.
    """
    for item in items:
        if item.get_closest_marker("browser"):
            item.add_marker(pytest.mark.flaky(reruns=1))


@pytest.fixture(scope="session")
def chromium() -> Iterator[object]:
    """Debian's Chromium, headless; skips where there is none, fails when CI=true."""
    path = next(filter(None, map(shutil.which, CHROMIUM_NAMES)), None)
    if path is None:
        message = "no Chromium found; install it to run the browser tests: apt install chromium"
        if os.environ.get("CI") == "true":
            pytest.fail(message)
        pytest.skip(message)
    from playwright.sync_api import expect, sync_playwright

    expect.set_options(timeout=MILLISECONDS)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=CHROMIUM_FLAGS)
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def kit(tmp_path_factory: pytest.TempPathFactory, chromium: object) -> Iterator[Kit]:
    """One JupyterLab on 127.0.0.1 for all browser tests, started the learner's way."""
    folder = tmp_path_factory.mktemp("copies")
    running = start_kit(folder, tmp_path_factory.mktemp("settings"))
    yield running
    stop_kit(running)


@pytest.fixture
def new_page(chromium: object) -> Iterator[Callable]:
    """Makes watched pages; the test fails if one logs an error or asks outside 127.0.0.1."""
    seen = Seen()
    contexts = []

    def make(width: int = 1280, height: int = 900, **options: object):
        context = chromium.new_context(
            viewport={"width": width, "height": height}, accept_downloads=True, **options
        )
        contexts.append(context)
        context.set_default_timeout(MILLISECONDS)
        context.route("**/*", lambda route: _only_this_machine(route, seen))
        page = context.new_page()
        page.on("console", lambda message: _keep_error(message, seen))
        page.on("pageerror", lambda error: _keep(str(error), seen))
        return page

    yield make
    for context in contexts:
        context.close()
    assert not seen.outside_requests, f"asked outside this machine: {seen.outside_requests}"
    assert not seen.console_errors, "errors in the browser's console:\n" + "\n".join(
        seen.console_errors
    )


@pytest.fixture
def open_lesson(kit: Kit, new_page: Callable) -> Callable:
    """`open_lesson("04")` gives a page with that lesson open, its panels live, its kernel idle.

    The style is always asked for: one kit serves all tests, and another may have changed it.
    """

    def open_it(name: str, style: str = "desk", **page_options: object):
        page = new_page(**page_options)
        page.goto(kit.address(f"/tapertrig/lesson/{name}?style={style}"))
        page.wait_for_url("**/doc/tree/**")
        wait_idle(page)
        return page

    return open_it


def _only_this_machine(route: object, seen: Seen) -> None:
    address = urlsplit(route.request.url)
    if address.scheme in ("data", "blob", "about", "file") or address.hostname == "127.0.0.1":
        route.continue_()
    else:
        seen.outside_requests.append(route.request.url)
        route.abort()


def _keep_error(message: object, seen: Seen) -> None:
    if message.type != "error":
        return
    _keep(f"{message.text} ({message.location.get('url', '')})", seen)


def _keep(text: str, seen: Seen) -> None:
    if not any(re.search(pattern, text) for pattern, _ in HARMLESS):
        seen.console_errors.append(text)
