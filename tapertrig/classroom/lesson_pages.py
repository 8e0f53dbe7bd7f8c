"""Two pages in the Jupyter server: the list of lessons, and one that opens a lesson live.

A Jupyter server extension. It is switched on by the settings that `use_jupyter_settings` brings,
so a server started without them does not have it.
"""

from __future__ import annotations

import html
from typing import Any

from jupyter_server.base.handlers import JupyterHandler
from jupyter_server.utils import url_path_join
from tornado import web

from tapertrig.classroom.lessons import find_lesson, lessons
from tapertrig.classroom.live_lesson import STYLES, open_live

PAGE = """<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>{title}</title>
<meta name="viewport" content="width=device-width, initial-scale=1">
<style>
body {{ font: 1.1rem/1.6 system-ui, sans-serif; max-width: 44rem; margin: 2rem auto;
  padding: 0 1rem; color: #1a1a1a; background: #fff; }}
a {{ color: #0b4f8a; }} li {{ margin: .4rem 0; }}
</style></head><body><main><h1>{title}</h1>
"""


class LessonList(JupyterHandler):
    """The lessons, each a link that opens it live."""

    @web.authenticated
    def get(self) -> None:
        rows = "".join(
            f'<li><a href="lesson/{lesson.number}">{lesson.number} '
            f"{html.escape(lesson.title)}</a></li>\n"
            for lesson in lessons()
        )
        self.finish(PAGE.format(title="Lessons") + f"<ul>\n{rows}</ul></main></body></html>")


class OpenLesson(JupyterHandler):
    """Runs a lesson while saying what it does, then goes to it."""

    @web.authenticated
    async def get(self, name: str) -> None:
        style = self.get_query_argument("style", None)
        try:
            lesson = find_lesson(name)
            if style and style not in STYLES:
                raise ValueError(f"style is “{style}”; it must be {' or '.join(STYLES)}")
        except ValueError as error:
            self.set_status(404)
            self.finish(_page("No such lesson") + _paragraph(str(error)) + "</main></body></html>")
            return
        self.set_header("Cache-Control", "no-store")
        self.write(_page(f"Lesson {lesson.number}: {lesson.title}"))
        self.write('<div role="status">')
        await self.flush()

        def say(line: str) -> None:
            self.write(_paragraph(line))
            self.flush()

        try:
            address = html.escape(await open_live(self.settings["serverapp"], lesson, style, say))
        except Exception as error:
            self.log.exception("lesson %s was not opened", lesson.number)
            self.write(_paragraph(f"The lesson could not be opened: {_in_words(error)}"))
            self.finish('</div><p><a href="">Try again</a></p></main></body></html>')
            return
        self.finish(
            f'</div><p><a href="{address}">Open the lesson</a></p>'
            f'<meta http-equiv="refresh" content="0; url={address}"></main></body></html>'
        )


def _in_words(error: Exception) -> str:
    if isinstance(error, OSError):
        return f"your folder takes no file ({error.strerror or error})"
    return f"{type(error).__name__}: {error}"


def _page(title: str) -> str:
    return PAGE.format(title=html.escape(title))


def _paragraph(text: str) -> str:
    return "<p>" + html.escape(text).replace("\n", "<br>") + "</p>\n"


def _jupyter_server_extension_points() -> list[dict[str, str]]:
    return [{"module": "tapertrig.classroom.lesson_pages"}]


def _load_jupyter_server_extension(server: Any) -> None:
    start = url_path_join(server.base_url, "tapertrig")
    server.web_app.add_handlers(
        ".*$",
        [
            (start, web.RedirectHandler, {"url": start + "/"}),
            (start + "/", LessonList),
            (start + r"/lesson/([^/]+)", OpenLesson),
        ],
    )
