"""Waiting for what a person would see in a lesson."""

from __future__ import annotations

import hashlib
import time


def wait_idle(page: object) -> None:
    """Wait until the open notebook's kernel is idle and every widget has been drawn."""
    page.wait_for_function(
        """() => {
            const app = window.jupyterapp;
            if (!app) return false;
            const open = [...app.shell.widgets('main')].find(w => w.sessionContext);
            const session = open && open.sessionContext.session;
            return Boolean(session && session.kernel) && session.kernel.status === 'idle';
        }"""
    )
    page.wait_for_function("() => !document.body.innerText.includes('Loading widget')")


def picture_hash(picture: object) -> str:
    """A hash of what a drawing shows now: its lines, areas and words."""
    shown = picture.evaluate("svg => svg.getAttribute('viewBox') + svg.innerHTML")
    return hashlib.sha256(shown.encode()).hexdigest()


def drawn(picture: object) -> list[str]:
    """What each mark of a drawing shows: its way, or its words and where they stand."""
    return picture.evaluate(
        """svg => [...svg.children].map(one => one.getAttribute('d') ?? (one.textContent
            && one.textContent + one.getAttribute('x') + one.getAttribute('y')))"""
    )


def wait_picture_change(picture: object, before: str, seconds: float = 10) -> str:
    """Wait until a picture differs from the hash `before`; its new hash."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        now = picture_hash(picture)
        if now != before:
            return now
        time.sleep(0.01)
    raise AssertionError(f"the picture did not change within {seconds} s")
