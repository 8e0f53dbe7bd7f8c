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
    page.evaluate(LISTEN)


# What the page has asked of its kernel and the kernel is not done with. An answer's last message
# comes before the word that the kernel is idle again.
LISTEN = """() => {
    const open = [...jupyterapp.shell.widgets('main')].find(w => w.sessionContext);
    const kernel = open.sessionContext.session.kernel;
    if (window.listensTo === kernel) return;
    window.listensTo = kernel;
    const asked = window.unanswered = new Set();
    kernel.anyMessage.connect((_, {msg, direction}) => {
        if (direction === 'send' && msg.channel === 'shell') asked.add(msg.header.msg_id);
        else if (msg.header.msg_type === 'status' && msg.content.execution_state === 'idle')
            asked.delete(msg.parent_header.msg_id);
    });
    kernel.statusChanged.connect((_, now) => {
        if (/start|dead/.test(now)) asked.clear(); // it forgets what it was asked
    });
}"""
# Two frames on, so that what was pressed has been sent, and what was answered has been put up.
ANSWERED = """() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(
    () => done(!window.unanswered?.size))))"""


def answered(page: object) -> bool:
    """Whether the kernel is done with all that the page asked of it; true where there is none."""
    return page.evaluate(ANSWERED)


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


def wait_picture_change(picture: object, before: str, seconds: float = 60) -> str:
    """Wait until a picture differs from the hash `before`; its new hash."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        now = picture_hash(picture)
        if now != before:
            return now
        time.sleep(0.01)
    raise AssertionError(f"the picture did not change within {seconds} s")
