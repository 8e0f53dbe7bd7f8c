"""`python -m tapertrig`: one step from a terminal to a live lesson in the browser."""

from __future__ import annotations

import argparse
import contextlib
import os
import secrets
import signal
import socket
import sys
import webbrowser
from pathlib import Path
from typing import Any
from urllib.request import urlopen

from tapertrig.classroom import skip_slow_library, use_jupyter_settings
from tapertrig.classroom.lessons import Lesson, default_folder, find_lesson, lessons

INSTALL = "python -m pip install -r requirements.txt"
ADDRESS = "127.0.0.1"


class StartError(Exception):
    """Why no lesson can be opened, in words for the person at the terminal."""


def main(arguments: list[str] | None = None) -> int:
    """Open a lesson as the arguments say; the exit code, 0 when it was closed by Ctrl-C."""
    choice = _read(arguments)
    try:
        if choice.list:
            for lesson in lessons():
                print(f"{lesson.number}  {lesson.title}")
            return 0
        lesson = _lesson(choice.lesson)
        folder = _folder(choice.folder)
        style = "projector" if choice.projector else "desk"
        if choice.unit:
            os.environ["TAPERTRIG_UNIT"] = choice.unit
        return _serve(lesson, folder, choice.port, style, browser=not choice.no_browser)
    except StartError as reason:
        print(f"tapertrig: {reason}", file=sys.stderr)
        return 1
    except OSError as error:
        told = f"{error.filename or 'this machine'} cannot be used ({error.strerror or error})"
        print(f"tapertrig: {told}; Jupyter needs a home folder to write in", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("\nClosed before the lesson was open.", file=sys.stderr)
        return 130


def _read(arguments: list[str] | None) -> argparse.Namespace:
    reader = argparse.ArgumentParser(
        prog="python -m tapertrig",
        description="Open a lesson, already running, in JupyterLab. Ctrl-C ends it.",
        epilog="For a phone, or without internet: `python -m tapertrig handout 03` writes a "
        "lesson to one file that any browser opens.",
    )
    reader.add_argument("lesson", nargs="?", default="00", help="its number, for example 04")
    reader.add_argument("--list", action="store_true", help="list the lessons and stop")
    reader.add_argument("--projector", action="store_true", help="large letters and lines")
    reader.add_argument("--unit", choices=("in", "mm"), help="of all panels; inches if left out")
    reader.add_argument("--port", type=_port, help="port on this machine; a free one when left out")
    reader.add_argument("--no-browser", action="store_true", help="print the address only")
    reader.add_argument(
        "--folder", type=Path, help=f"where your copies go; {default_folder()} when left out"
    )
    return reader.parse_args(arguments)


def _lesson(text: str) -> Lesson:
    try:
        return find_lesson(text)
    except (ValueError, FileNotFoundError) as error:
        raise StartError(error) from error


def _folder(wanted: Path | None) -> Path:
    folder = (wanted or default_folder()).expanduser().absolute()
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StartError(
            f"the folder {folder} cannot be made ({error.strerror}); name another, "
            "for example --folder my-lessons"
        ) from error
    return folder


def _port(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 1 <= int(text) <= 65535):
        raise argparse.ArgumentTypeError(
            f"“{text}” is no port; give one from 1 to 65535, for example 8890"
        )
    return int(text)


def _free_port(wanted: int | None) -> int:
    port = wanted or 0
    with socket.socket() as listener:
        if os.name == "posix":
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listener.bind((ADDRESS, port))
        except OSError as error:
            raise StartError(
                f"port {port} cannot be used ({error.strerror}); choose another, for example "
                f"--port {min(port + 1, 65535)}, or leave --port out to get a free one"
            ) from error
        return listener.getsockname()[1]


def _serve(
    lesson: Lesson, folder: Path, wanted_port: int | None, style: str, *, browser: bool
) -> int:
    use_jupyter_settings()
    os.environ["TAPERTRIG_STYLE"] = style
    print(f"Starting JupyterLab for lesson {lesson.number}: {lesson.title}", flush=True)
    skip_slow_library()
    try:
        from jupyterlab.labapp import LabApp
    except ImportError as error:
        raise StartError(
            f"JupyterLab is missing from this Python ({sys.executable}); install the kit: {INSTALL}"
        ) from error
    if (running := _running_in(folder)) is not None:
        return _join(running, lesson, style, browser=browser)
    port = _free_port(wanted_port)
    server = LabApp.initialize_server(
        argv=[
            f"--ServerApp.root_dir={folder}",
            f"--ServerApp.ip={ADDRESS}",
            f"--ServerApp.port={port}",
            "--ServerApp.port_retries=0",
            "--ServerApp.open_browser=False",
            "--ServerApp.answer_yes=True",
            f"--ServerApp.allow_root={_is_root()}",
            f"--IdentityProvider.token={secrets.token_hex(24)}",
            "--ServerApp.log_level=ERROR",
            "--LabApp.log_level=ERROR",
        ]
    )
    opening = _Opening(server, lesson, style, browser)
    for name in ("SIGINT", "SIGTERM", "SIGHUP", "SIGBREAK"):
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), opening.stop_by_signal)
    server.io_loop.add_callback(opening.run)
    server.start()
    print(f"\nClosed. Your copies are in {folder}", flush=True)
    return opening.exit_code


def _running_in(folder: Path) -> str | None:
    """The tokened address of the lesson list of a kit already running on these copies."""
    from jupyter_server.serverapp import list_running_servers

    for server in list_running_servers():
        address = f"{server['url']}tapertrig/?token={server['token']}"
        with contextlib.suppress(OSError):
            if os.path.samefile(server["root_dir"], folder):
                with urlopen(address, timeout=5) as answer:
                    if answer.status == 200:
                        return address
    return None


def _join(running: str, lesson: Lesson, style: str, *, browser: bool) -> int:
    lesson_page = f"/tapertrig/lesson/{lesson.number}?style={style}&"
    address = running.replace("/tapertrig/?", lesson_page)
    print("The kit is running already, in another window; the lesson opens there.")
    print(f"Open now: {address}", flush=True)
    if browser:
        webbrowser.open(address)
    return 0


def _is_root() -> bool:
    return hasattr(os, "geteuid") and os.geteuid() == 0


class _Opening:
    """Opens the lesson once the server answers, and ends the server when asked to."""

    def __init__(self, server: Any, lesson: Lesson, style: str, browser: bool) -> None:
        self.server = server
        self.lesson = lesson
        self.style = style
        self.browser = browser
        self.exit_code = 0
        self.stopping = False

    async def run(self) -> None:
        from tapertrig.classroom.live_lesson import open_live

        try:
            path = await open_live(self.server, self.lesson, self.style, _progress)
        except BaseException as error:
            if not self.stopping:
                self.exit_code = 1
                told = getattr(error, "strerror", None) or error
                print(f"\ntapertrig: the lesson cannot be opened: {told}", file=sys.stderr)
                self.server.stop()
            return
        token = self.server.identity_provider.token
        start = f"http://{ADDRESS}:{self.server.port}"
        print(f"\nOpen now: {start}{path}?token={token}")
        print(f"All lessons: {start}{self.server.base_url}tapertrig/?token={token}")
        print("Leave this window open while you learn; Ctrl-C here ends it.", flush=True)
        if self.browser:
            self.server.default_url = path
            self.server.write_browser_open_file()
            self.server.launch_browser()

    def stop_by_signal(self, *_: object) -> None:
        if self.stopping:
            # Kernels end by themselves once the server that started them is gone.
            os._exit(130)
        self.stopping = True
        self.server.io_loop.add_callback_from_signal(self._stop)

    async def _stop(self) -> None:
        from tapertrig.classroom.live_lesson import cancel_openings

        await cancel_openings(self.server)
        self.server.stop()


def _progress(line: str) -> None:
    if sys.stdout.isatty():
        print(f"\r{line:78}", end="", flush=True)
    else:
        print(line, flush=True)
