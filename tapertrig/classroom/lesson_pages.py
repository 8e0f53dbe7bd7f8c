"""Pages in the Jupyter server: lessons, handouts and setup sheets; one that opens a lesson live.

A Jupyter server extension. It is switched on by the settings that `use_jupyter_settings` brings,
so a server started without them does not have it.
"""

from __future__ import annotations

import os
import secrets
from collections.abc import Callable
from pathlib import Path
from typing import Any, ClassVar
from urllib.parse import parse_qsl, urlencode

from jupyter_server.base.handlers import JupyterHandler
from jupyter_server.utils import url_path_join
from tornado import web

from tapertrig.classroom.kept_handouts import SHARED, kept_handout, make_handout
from tapertrig.classroom.lessons import Lesson, find_lesson, lessons, neighbour
from tapertrig.classroom.live_lesson import STYLE_VARIABLE, STYLES, lock_of, open_live
from tapertrig.printed.page import (
    HANDOUT_SCRIPTS,
    PRINTING,
    RECORD,
    SHEET_ENDING,
    SHEET_SCRIPTS,
    block,
    page,
    policy,
)
from tapertrig.printed.practice_page import SCRIPT as PRACTICE_SCRIPTS

ONCE = "once"
PAGE, HERE = "lesson_page.html", "<!-- said here -->"
# Nothing in a file of the folder runs with the learner's rights but the kit's own script.
CLOSED = "; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
# The pages of a folder that are listed, by their names, and the scripts of each.
LISTED = {
    f"*{SHEET_ENDING}": SHEET_SCRIPTS,
    f"*{RECORD}*.html": PRINTING,
    "*practice page*.html": PRACTICE_SCRIPTS,
}
HANDOUT_POLICY = policy(HANDOUT_SCRIPTS) + CLOSED


class KitPage(JupyterHandler):
    """A page whose address keeps no token: it lets the learner in, and a cookie does afterwards.

    Where it `starts` something, a number good for one start goes with whoever brought the token.
    """

    starts: ClassVar[bool] = False

    async def prepare(self) -> None:  # type: ignore[override]
        """Send a request with a token in its address on, without it."""
        await super().prepare()
        if not self.current_user or not self.get_query_arguments("token"):
            return
        if self.request.method == "GET" and not self._finished:
            query = [one for one in parse_qsl(self.request.query) if one[0] not in ("token", ONCE)]
            if self.starts and self.token_authenticated:
                query.append((ONCE, self.one_start()))
            self.redirect("?".join(filter(None, (self.request.path, urlencode(query)))))

    def one_start(self) -> str:
        """A number that starts one lesson, once."""
        number = secrets.token_urlsafe(16)
        self._good().add(number)
        return number

    def may_start(self) -> bool:
        """Whether the address brings such a number; it is then used up."""
        number = self.get_query_argument(ONCE, "")
        good = number in self._good()
        self._good().discard(number)
        return good

    def _good(self) -> set[str]:
        return self.settings.setdefault("tapertrig_starts", set())

    def show(self, title: str, **values: Any) -> str:
        """A page as large as the style that the kit was started in."""
        large = os.environ.get(STYLE_VARIABLE) == "projector"
        return page(PAGE, title=title, large=large, xsrf=self.xsrf_token.decode(), **values)

    @property
    def data(self) -> Path:
        """This person's folder of Jupyter's own files."""
        return Path(self.settings["serverapp"].data_dir)

    def lesson(self, name: str) -> Lesson | None:
        """The lesson of that name; where there is none, the page that says so is sent."""
        try:
            return find_lesson(name)
        except ValueError as error:
            self.no_page("No such lesson", str(error))
            return None

    def no_page(self, title: str, told: str) -> None:
        """Say that there is no such page, and why."""
        self.set_status(404)
        self.finish(self.show(title, refused=told))

    def give(self, made: Path, ours: str) -> None:
        """Send a page from a file, under a policy that lets only the kit's own script run."""
        self.set_header("Content-Type", "text/html; charset=utf-8")
        self.set_header("Content-Security-Policy", ours)
        self.set_header("Cache-Control", "no-store")
        self.finish(made.read_bytes())

    def begin(self, title: str) -> Callable[[str], None]:
        """Send a page's beginning; what says a further line on it, until `end`."""
        self.write(self.show(title).partition(HERE)[0])
        self.flush()

        def say(line: str) -> None:
            self.write(block("paragraph", line) + "\n")
            self.flush()

        return say

    def end(self, title: str, **told: Any) -> None:
        """Send the rest of a page that was begun."""
        self.finish(self.show(title, **told).partition(HERE)[2])


class LessonList(KitPage):
    """The lessons, each a press that opens it live; the setup sheets, for a phone at the lathe."""

    @web.authenticated
    def get(self) -> None:
        sheets = sorted(sheets_in(self.settings["serverapp"].root_dir))
        each = [(lesson, kept_handout(lesson, self.data).is_file()) for lesson in lessons()]
        self.finish(self.show("Lessons", lessons=each, sheets=sheets))


class OpenSheet(KitPage):
    """A sheet, record or practice page of a folder, alive: only the kit's own script runs in it."""

    @web.authenticated
    def get(self, name: str) -> None:
        found = sheets_in(self.settings["serverapp"].root_dir)
        if name not in found:
            told = f"“{name}” is no sheet or record in your folder; write it again in its lesson."
            self.no_page("No such sheet", told)
            return
        made, scripts = found[name]
        self.give(made, policy(scripts) + CLOSED)


class Handout(KitPage):
    """A lesson's handout, for a phone: made at the first press, kept, and then a page like any."""

    @web.authenticated
    def get(self, name: str) -> None:
        if lesson := self.lesson(name):
            if (made := kept_handout(lesson, self.data)).is_file():
                self.give(made, HANDOUT_POLICY)
            else:
                self.finish(self.show(_handout_of(lesson), again="Make the handout"))

    @web.authenticated
    async def post(self, name: str) -> None:
        if (lesson := self.lesson(name)) is None:
            return
        title = _handout_of(lesson)
        self.begin(title)("It is drawn once, in up to a minute; then it opens at once.")
        try:
            async with lock_of(self.settings["serverapp"], "handouts"):
                await make_handout(lesson, self.data)
        except Exception as error:
            self.log.exception("the handout of lesson %s was not made", lesson.number)
            told = f"The handout could not be made: {_in_words(error)}"
            self.end(title, failed=told, again="Try again")
        else:
            self.end(title, address=lesson.number, what="Open the handout")


def _handout_of(lesson: Lesson) -> str:
    return f"Handout {lesson.number}: {lesson.title}"


def sheets_in(folder: str) -> dict[str, tuple[Path, str]]:
    """The sheets, records and practice pages of a folder by name, each with its scripts.

    The school's own folder of handouts is looked through too, for practice pages that a teacher
    has put there; a link that leads out of a folder is no page of it.
    """
    return {
        path.name: (path, scripts)
        for place in (os.environ.get(SHARED), folder)
        for name, scripts in LISTED.items()
        for path in (Path(place).glob(name) if place else ())
        if path.is_file() and not path.is_symlink()
    }


class Neighbour(KitPage):
    """Goes to the lesson before or after one, or to the list where there is none.

    A link pressed on a page of this server opens it at once: a browser says where it was pressed,
    which no page can say for it (W3C Fetch Metadata).
    """

    @web.authenticated
    def get(self, way: str, name: str) -> None:
        try:
            found = neighbour(way, name)
        except ValueError:
            found = None
        target = f"lesson/{found.number}" if found else ""
        pressed = [self.request.headers.get(f"Sec-Fetch-{one}") for one in ("Site", "Dest")]
        if found and pressed == ["same-origin", "document"]:
            target += f"?{ONCE}={self.one_start()}"
        self.redirect(url_path_join(self.base_url, "tapertrig/") + target)


class OpenLesson(KitPage):
    """Runs a lesson while saying what it does, then goes to it.

    Only a press on a page of this server starts one, or whoever brings the token: a mere address
    stands in any page, as a picture's.
    """

    starts = True

    @web.authenticated
    async def get(self, name: str) -> None:
        await self._open(name, self.may_start())

    @web.authenticated
    async def post(self, name: str) -> None:
        await self._open(name, True)

    async def _open(self, name: str, started: bool) -> None:
        style = self.get_query_argument("style", None)
        if (lesson := self.lesson(name)) is None:
            return
        if style and style not in STYLES:
            told = f"style is “{style}”; it must be {' or '.join(STYLES)}"
            self.no_page("No such style", told)
            return
        title = f"Lesson {lesson.number}: {lesson.title}"
        self.set_header("Cache-Control", "no-store")
        if not started:
            self.finish(self.show(title, again="Open the lesson"))
            return
        say = self.begin(title)
        try:
            address = await open_live(self.settings["serverapp"], lesson, style, say)
        except Exception as error:
            self.log.exception("lesson %s was not opened", lesson.number)
            told = f"The lesson could not be opened: {_in_words(error)}"
            self.end(title, failed=told, again="Try again")
        else:
            self.end(title, address=address, what="Open the lesson")


def _in_words(error: Exception) -> str:
    if type(error) is ValueError:
        return str(error)
    if isinstance(error, OSError):
        return f"your folder takes no file ({error.strerror or error})"
    return f"{type(error).__name__}: {error}"


def _jupyter_server_extension_points() -> list[dict[str, str]]:
    return [{"module": "tapertrig.classroom.lesson_pages"}]


def _load_jupyter_server_extension(server: Any) -> None:
    start = url_path_join(server.base_url, "tapertrig")
    server.web_app.add_handlers(
        ".*$",
        [
            (start, web.RedirectHandler, {"url": start + "/"}),
            (start + "/", LessonList),
            (start + r"/lesson/(before|after)-([^/]+)", Neighbour),
            (start + r"/lesson/([^/]+)", OpenLesson),
            (start + r"/sheet/([^/]+)", OpenSheet),
            (start + r"/handout/([^/]+)", Handout),
        ],
    )
