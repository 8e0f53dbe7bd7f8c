"""The class box: a service of a school's JupyterHub that keeps each learner's practice answers.

The hub runs `python -m tapertrig.classroom.class_box` (`jupyterhub_config.py`). A learner's lesson
brings answers as a record in CSV, with a key that the hub knows; whose they are is what the hub
says of the key, whatever stands in the record. They are kept in SQLite in the service's folder.
"""

from __future__ import annotations

import asyncio
import csv
import io
import os
import sqlite3
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from tornado import web
from tornado.httpserver import HTTPServer

KEEP, READ = "custom:tapertrig:keep-answers", "custom:tapertrig:read-class"
FOLDER_VARIABLE = "TAPERTRIG_CLASS_BOX_FOLDER"
FOLDER, FILE = "class-box", "answers.sqlite"
DAY = 24 * 3600
LONGEST_BODY = 1_000_000
LONGEST_CELL = 600
MOST_ANSWERS = 20_000
CELLS = (
    "id", "record", "name", "problem", "seed", "answer", "right", "mistake", "tries", "seconds",
)  # fmt: skip
_NAMED = ", ".join(f'"{cell}"' for cell in CELLS)
# By (login, id) an answer sent twice stands once; the order of the rows is that of arrival.
_TABLE = f"""
CREATE TABLE IF NOT EXISTS answers ("login" TEXT NOT NULL, {_NAMED}, "received" TEXT NOT NULL
    DEFAULT CURRENT_TIMESTAMP, PRIMARY KEY ("login", "id"));
CREATE INDEX IF NOT EXISTS by_id ON answers ("id");
"""
_KEEP = f"""INSERT OR IGNORE INTO answers ("login", {_NAMED})
    VALUES (?, {", ".join("?" * len(CELLS))})"""
_OWN = f"SELECT {_NAMED} FROM answers WHERE login = ? ORDER BY rowid"
# What came with a copy of somebody else's record counts for whoever sent it first.
_CLASS = f"""SELECT "login", {_NAMED} FROM answers AS this WHERE NOT EXISTS (
    SELECT 1 FROM answers AS first WHERE first.id = this.id AND first.rowid < this.rowid
    ) ORDER BY login, rowid"""

Who = Callable[[str], Awaitable[dict[str, Any] | None]]


class Answers:
    """The answers of a class, each under the login of who gave it."""

    def __init__(self, path: Path) -> None:
        self._rows = sqlite3.connect(path, isolation_level=None)
        self._rows.execute("PRAGMA journal_mode = WAL")
        # What is acknowledged must outlive a power cut: the learner's side forgets it.
        self._rows.execute("PRAGMA synchronous = FULL")
        self._rows.executescript(_TABLE)

    def keep(self, login: str, content: bytes) -> list[str]:
        """Keep the answers of a record; the ids of those that are kept now, old ones too.

        ValueError when it is no record, or a learner has brought more than anybody answers.
        """
        from tapertrig.practice.record import parse_record

        text = parse_record(content).record.as_csv()
        rows = [
            (login, *(str(row.get(cell) or "")[:LONGEST_CELL] for cell in CELLS))
            for row in csv.DictReader(io.StringIO(text))
        ]
        (there,) = self._rows.execute("SELECT count(*) FROM answers WHERE login = ?", (login,))
        if there[0] + len(rows) > MOST_ANSWERS:
            raise ValueError(f"no learner gives more than {MOST_ANSWERS} answers")
        self._rows.execute("BEGIN IMMEDIATE")
        with self._rows:
            self._rows.executemany(_KEEP, rows)
        return [row[1] for row in rows]

    def of(self, login: str) -> str:
        """One learner's answers, as a record in CSV."""
        return _as_csv(self._rows.execute(_OWN, (login,)).fetchall())

    def whole(self) -> dict[str, str]:
        """The records of the class by login."""
        found: dict[str, list[tuple]] = {}
        for login, *cells in self._rows.execute(_CLASS):
            found.setdefault(login, []).append(tuple(cells))
        return {login: _as_csv(rows) for login, rows in found.items()}


def _as_csv(rows: list[tuple]) -> str:
    stream = io.StringIO()
    csv.writer(stream, lineterminator="\n").writerows([CELLS, *rows])
    return stream.getvalue()


class _Page(web.RequestHandler):
    """Asks the hub whose key it is, and what it may be used for."""

    scope: str

    async def prepare(self) -> None:
        key = self.request.headers.get("Authorization", "").removeprefix("token ").strip()
        user = await self.settings["who"](key) if key else None
        if not user or user.get("kind", "user") != "user" or self.scope not in user["scopes"]:
            raise web.HTTPError(403)
        self.login: str = user["name"]
        self.answers: Answers = self.settings["answers"]


class _Own(_Page):
    scope = KEEP

    def get(self) -> None:
        self.set_header("Content-Type", "text/csv; charset=utf-8")
        self.finish(self.answers.of(self.login))

    def put(self) -> None:
        try:
            self.finish({"kept": self.answers.keep(self.login, self.request.body)})
        except ValueError as refused:
            raise web.HTTPError(400, "%s", refused) from refused


class _Class(_Page):
    scope = READ

    def get(self) -> None:
        self.finish(self.answers.whole())


def box(answers: Answers, who: Who) -> web.Application:
    """The service's pages; `who` asks the hub about a key: name, kind and scopes, or None."""
    pages = [(r".*/answers", _Own), (r".*/class", _Class)]
    return web.Application(pages, answers=answers, who=who)


def serve(application: web.Application, port: int, address: str) -> HTTPServer:
    """Answer at a port; nothing larger than a record is taken."""
    server = HTTPServer(application, max_body_size=LONGEST_BODY, idle_connection_timeout=60)
    server.listen(port, address)
    return server


def key_of(spawner: Any) -> str:
    """A key for one learner's server that opens the box alone, for JupyterHub's settings.

    Not the server's own token: whoever got hold of that could use the whole server.
    """
    from jupyterhub.scopes import get_scopes_for

    scopes = sorted(get_scopes_for(spawner.user) & {KEEP, READ})
    if not scopes:
        return ""
    return spawner.user.new_api_token(note="class box", scopes=scopes, expires_in=30 * DAY)


async def _serve() -> None:
    from jupyterhub.services.auth import HubAuth

    os.umask(0o077)
    folder = Path(os.environ.get(FOLDER_VARIABLE) or FOLDER)
    folder.mkdir(parents=True, exist_ok=True)
    hub = HubAuth(cache_max_age=60)

    async def who(key: str) -> dict[str, Any] | None:
        return await hub.user_for_token(key, sync=False)

    at = urlsplit(os.environ["JUPYTERHUB_SERVICE_URL"])
    serve(box(Answers(folder / FILE), who), at.port or 80, at.hostname or "127.0.0.1")
    await asyncio.Event().wait()


if __name__ == "__main__":
    asyncio.run(_serve())
