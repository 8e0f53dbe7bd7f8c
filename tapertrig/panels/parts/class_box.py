"""What a learner's answers on a school's hub go through on their way to the class box.

Nothing is sent where no hub says where the box is. An answer is first kept in the learner's folder
and taken from there once the box has it; a thread sends, so that no check waits for a network.
"""

from __future__ import annotations

import json
import os
import threading
from collections.abc import Collection
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

from tapertrig.job.file import held
from tapertrig.practice.class_book import Classbook, classbook_of
from tapertrig.practice.record import Record, keep_as_found, load_record
from tapertrig.saving import write_whole

WHERE, KEY = "TAPERTRIG_CLASS_BOX", "TAPERTRIG_CLASS_BOX_KEY"
UNSENT = ".for the class box"
SECONDS, SECONDS_AGAIN = 5.0, 30.0
# Longer than anybody types; two hundred such answers are no larger than the box takes at once.
LONGEST_ANSWER, MOST_AT_ONCE = 500, 200
NOT_REACHED = "does not answer now"
REFUSED = "does not open for you: it shows the class to instructors, and takes what a learner gives"
KEPT_BACK = "Your answers are kept in your folder and sent later."


def ask(page: str, content: bytes | None = None, seconds: float = SECONDS) -> Any:
    """What the box answers, as JSON; ValueError in words when it does not, or refuses."""
    from urllib.error import HTTPError
    from urllib.request import ProxyHandler, Request, build_opener

    request = Request(f"{os.environ[WHERE].rstrip('/')}/{page}", content)
    request.add_header("Authorization", f"token {os.environ[KEY]}")
    request.method = "GET" if content is None else "PUT"
    try:
        # A school's proxy stands between its machines and the internet, not between two of them.
        with build_opener(ProxyHandler({})).open(request, timeout=seconds) as answer:
            return json.load(answer)
    except HTTPError as refused:
        refused.close()
        said = {403: REFUSED, 400: "takes no more of your answers"}.get(refused.code, NOT_REACHED)
        raise ValueError(f"The class box {said} ({refused.code})") from refused
    except (OSError, ValueError) as silent:
        raise ValueError(f"The class box {NOT_REACHED}") from silent


def read_class_box() -> Classbook:
    """The class as its box has it; ValueError where it is closed to this learner."""
    return classbook_of(ask("class", seconds=60.0))


class ClassBox:
    """One learner's way to the box: what is not there yet stands in a hidden file of `folder`."""

    def __init__(self, folder: Path) -> None:
        self.unsent = folder / UNSENT
        self.trouble = self._no_file = ""
        self._not_kept = Record()
        self._news = threading.Event()
        self._news.set()
        threading.Thread(target=self._send_on, daemon=True, name="class box").start()

    @property
    def said(self) -> str:
        """What a learner is told: that the answers go there, or why they do not yet."""
        told = (
            f"Your answers go to your instructors, as those of {os.environ.get('JUPYTERHUB_USER')}."
        )
        return self._no_file or self.trouble or told

    def take(self, record: Record) -> None:
        """Keep answers to be sent, and send them soon."""
        if not record.entries:
            return
        try:
            self._not_kept = replace(record, entries=(*self._not_kept.entries, *record.entries))
            self._change(self._not_kept)
            self._not_kept, self._no_file = Record(), ""
        except (ValueError, OSError) as refused:
            self._no_file = f"Answers do not reach the class box yet: {refused}"
        self._news.set()

    def _change(self, record: Record, taken: Collection[str] = ()) -> None:
        """Add answers to those kept, and let go of what the box has taken."""
        with held(self.unsent) as target:
            kept = Record()
            if target.exists():
                try:
                    kept = load_record(target).record
                except ValueError:
                    keep_as_found(target)
            left = tuple(
                replace(each, answer=each.answer[:LONGEST_ANSWER], further=())
                for each in kept.joined(record).entries
                if each.identity not in taken
            )
            if left:
                name, called = record.name or kept.name, record.called or kept.called
                write_whole(target, Record(left, name, called).as_csv())
            else:
                target.unlink(missing_ok=True)

    def _send_on(self) -> None:
        waits: float | None = None
        while True:
            self._news.wait(waits)
            self._news.clear()
            waits = None if self.send() else SECONDS_AGAIN

    def send(self) -> bool:
        """Send what is kept; whether the box has all of it now."""
        try:
            while self.unsent.exists():
                kept = load_record(self.unsent).record
                some = replace(kept, entries=kept.entries[:MOST_AT_ONCE])
                taken = set(ask("answers", some.as_csv().encode())["kept"])
                if not taken & {one.identity for one in some.entries}:
                    raise ValueError("The class box takes no answer")
                self._change(Record(), taken)
            self.trouble = ""
        except Exception as refused:  # whatever it is, the next try comes
            self.trouble = f"{refused}. {KEPT_BACK}"
            return False
        return True


@cache
def _class_box(folder: Path) -> ClassBox:
    return ClassBox(folder)


def box_here() -> bool:
    """Whether this server's hub has a class box, and gave a key to it."""
    return bool(os.environ.get(WHERE) and os.environ.get(KEY))


def class_box(folder: Path) -> ClassBox | None:
    """The way to the class box from a learner's folder; None where there is none."""
    return _class_box(folder.resolve()) if box_here() else None
