"""A lesson made live: its cells run on its own kernel, so that it opens with the panels working.

Everything here runs inside the Jupyter server that serves the lesson, through the server's own
sessions, kernels and contents; it works alike for one learner and behind JupyterHub.
"""

from __future__ import annotations

import ast
import asyncio
import os
import time
from collections.abc import Callable, Collection, Mapping
from pathlib import Path
from typing import Any

import nbformat
from jupyter_server.utils import ensure_async, url_escape, url_path_join
from nbclient import NotebookClient
from nbclient.exceptions import CellControlSignal, DeadKernelError

from tapertrig.classroom.lessons import MARK, Lesson, copy_lesson
from tapertrig.saving import write_whole

STYLES = ("desk", "projector")
STYLE_VARIABLE = "TAPERTRIG_STYLE"
KERNEL = "python3"
SECONDS_PER_CELL = 60
SECONDS_TO_START = 60
SECONDS_BUSY = 5
WIDGET_VIEW = "application/vnd.jupyter.widget-view+json"
PLAIN = ("text/plain", "image/png", "image/jpeg")
RUN_AGAIN = "tapertrig.panels.parts.run_again"

# Said at a cell that is left un-run, and by which it is known the next time.
NOT_RUN = "Not run by itself: "
FOREIGN = "this cell is not the kit's; Shift+Enter runs it"
ENDED = "this cell ended Python when the lesson was opened"
SLOW = f"this cell took over {SECONDS_PER_CELL} seconds; Shift+Enter runs it"

BUSY = "Python is still busy with a cell; the lesson is as you left it"

Progress = Callable[[str], None]


async def open_live(
    server: Any, lesson: Lesson, style: str | None = None, progress: Progress = print
) -> str:
    """Copy a lesson, run it, and return the address path of the open lesson.

    A lesson already live on its kernel is left running, so that a second tab joins the first;
    when another style is asked for, the panels there are take it. Only the kit's own cells run by
    themselves. A cell that fails or takes over a minute does not stop the others: its error shows
    in place; one that ends Python leaves the lesson un-run.
    """
    copied = await asyncio.to_thread(copy_lesson, lesson, Path(server.root_dir))
    if copied.note:
        progress(copied.note)
    path = copied.path.name
    openings = _openings(server)
    task = asyncio.current_task()
    assert task is not None
    openings.add(task)
    try:
        async with lock_of(server, path):
            await _make_live(server, path, lesson, style, progress)
    finally:
        openings.discard(task)
    return url_path_join(server.base_url, "doc/tree", url_escape(path))


async def cancel_openings(server: Any) -> None:
    """Give up every lesson still being opened: a server cannot end while one goes on."""
    openings = list(_openings(server))
    for task in openings:
        task.cancel()
    await asyncio.gather(*openings, return_exceptions=True)


def _openings(server: Any) -> set[asyncio.Task[str]]:
    return server.web_app.settings.setdefault("tapertrig_openings", set())


def lock_of(server: Any, path: str) -> asyncio.Lock:
    """What one at a time holds on a server while it opens or makes what `path` names."""
    locks = server.web_app.settings.setdefault("tapertrig_locks", {})
    return locks.setdefault(path, asyncio.Lock())


def default_style() -> str:
    """The style of lessons for which none is asked: the server's own, or the desk style."""
    style = os.environ.get(STYLE_VARIABLE, "desk")
    return style if style in STYLES else "desk"


async def _make_live(
    server: Any, path: str, lesson: Lesson, style: str | None, progress: Progress
) -> None:
    def say(line: str) -> None:
        progress(f"Lesson {lesson.number}: {line}")

    kit = {cell.source: cell.outputs for cell in _code_cells(nbformat.read(lesson.path, 4))}
    _, notebook, trusted = _on_disk(server, path)
    cells = _code_cells(notebook)
    reached = await _reach(server, path, notebook, style, say)
    if reached is None:
        say(BUSY)
        return
    kernel_id, client = reached
    kernel: Any = client.km
    way: Any = client.kc
    python, text = _python(kernel), notebook.metadata.get(MARK)
    last = server.web_app.settings.setdefault("tapertrig_ran", {})
    made: dict[str, Any] = {}
    ended = None
    # Else a kernel that a cell ends is replaced before anybody has noticed.
    kernel.stop_restarter()
    try:
        if style and style != _styles(server).get(kernel_id):
            await _set_style(way, style)
            _styles(server)[kernel_id] = style
        live, shown = await _panels_on(way)
        seen = [{shown[_key(cell)]} if _key(cell) in shown else _views(cell) for cell in cells]
        ran_on, ran_text, ran = last.get(kernel_id, (None, None, {}))
        if python is not None and python is ran_on:
            joined = text == ran_text
        else:
            of_kit = [one for cell, one in zip(cells, seen, strict=True) if cell.source in kit]
            joined, ran = any(of_kit) and all(one <= live for one in of_kit), {}
        if joined and not trusted:
            made.update(ran)
        client.reset_execution_trackers()
        for count, (cell, views) in enumerate(zip(cells, seen, strict=True), 1):
            if not cell.source.strip() or (joined and views <= live):
                if joined and views != _views(cell):
                    made[_key(cell)] = cell
                    cell.outputs = [_view(model_id) for model_id in views]
                continue
            if reason := _left(cell, kit):
                say(f"{_named(cell, count)}: {reason}")
                made[_key(cell)] = cell
                _leave(cell, reason)
                continue
            say(f"running cell {count} of {len(cells)}")
            # As a browser says it: what the cell showed before is then closed.
            way.session.metadata = {"cellId": cell.get("id")}
            began = time.monotonic()
            try:
                index = notebook.cells.index(cell)
                await client.async_execute_cell(cell, index, execution_count=count)
            except CellControlSignal as stopped:
                say(f"cell {count} was stopped ({stopped})")
            except DeadKernelError:
                if (task := asyncio.current_task()) and task.cancelling():
                    raise
                say(f"{_named(cell, count)}: {ENDED}, so nothing of it is run")
                ended = cell
                break
            if time.monotonic() - began >= SECONDS_PER_CELL:
                _leave(cell, SLOW)
            made[_key(cell)] = cell
    except TimeoutError:
        say(BUSY)
        return
    finally:
        kernel.start_restarter()
        way.session.metadata = {}
        way.stop_channels()
    if ended is not None:
        await _end_session(server, path)
        for cell in cells:
            if cell.source in kit:
                cell.outputs, cell.execution_count = kit[cell.source], None
        _leave(ended, ENDED)
        made = {_key(cell): cell for cell in cells}
    else:
        last[kernel_id] = python, text, {**(ran if joined else {}), **made}
    _put_in(server, path, made)


def _left(cell: Any, kit: Collection[str]) -> str:
    """Why a cell does not run by itself: it is not the kit's, or did harm the last time."""
    if cell.source not in kit:
        return FOREIGN
    told = [one.get("text", "") for one in cell.outputs]
    return next((why for why in (ENDED, SLOW) if any(why in text for text in told)), "")


def _leave(cell: Any, reason: str) -> None:
    """Say at a cell why it is left un-run; what it showed stays, but for panels long gone."""
    kept = [one for one in cell.outputs if not str(one.get("text", "")).startswith(NOT_RUN)]
    for one in kept:
        one.get("data", {}).pop(WIDGET_VIEW, None)
    kept = [one for one in kept if one.get("data", True)]
    note = nbformat.v4.new_output("stream", name="stderr", text=f"{NOT_RUN}{reason}.\n")
    cell.outputs, cell.execution_count = [note, *kept], None


def _on_disk(server: Any, path: str) -> tuple[bytes, Any, bool]:
    """A copy as it is on disk now, and whether its outputs were made here.

    Of outputs made elsewhere only pictures and plain text stay: the others may hold scripts.
    """
    stored = Path(server.root_dir, path).read_bytes()
    notebook = nbformat.reads(stored.decode(), as_version=4)
    trusted = server.contents_manager.notary.check_signature(notebook)
    if not trusted:
        for cell in _code_cells(notebook):
            for one in cell.outputs:
                if "data" in one:
                    one.data = {kind: one.data[kind] for kind in PLAIN if kind in one.data}
    return stored, notebook, trusted


def _put_in(server: Any, path: str, made: Mapping[str, Any]) -> None:
    """Put what cells showed, by cell, into the copy as it is on disk now.

    Whatever was written there meanwhile stays: text, and a cell that was changed.
    """
    while True:
        stored, notebook, _ = _on_disk(server, path)
        for cell in _code_cells(notebook):
            new = made.get(_key(cell))
            if new is not None and new.source == cell.source:
                cell.outputs, cell.execution_count = new.outputs, new.execution_count
        server.contents_manager.notary.mark_cells(notebook, True)
        server.contents_manager.check_and_sign(notebook, path)
        if notebook == nbformat.reads(stored.decode(), as_version=4):
            return
        copy = Path(server.root_dir, path)
        if copy.read_bytes() == stored:
            write_whole(copy, nbformat.writes(notebook) + "\n")
            return


def _code_cells(notebook: Any) -> list[Any]:
    return [cell for cell in notebook.cells if cell.cell_type == "code"]


def _key(cell: Any) -> str:
    return cell.get("id") or cell.source


def _named(cell: Any, count: int) -> str:
    line = cell.source.strip().splitlines()[0]
    return f"cell {count}, “{line[:40]}{'…' * (len(line) > 40)}”"


def _python(kernel: Any) -> Any:
    """The process of a kernel: another one after a restart."""
    return getattr(kernel.provisioner, "process", None)


def _styles(server: Any) -> dict[str, str]:
    return server.web_app.settings.setdefault("tapertrig_styles", {})


async def _reach(
    server: Any, path: str, notebook: Any, style: str | None, say: Progress
) -> tuple[str, NotebookClient] | None:
    """The lesson's kernel, started where there is none; None where a cell keeps it busy."""
    for patience in (SECONDS_TO_START, 2 * SECONDS_TO_START):
        kernel_id = await _kernel_of(server, path)
        if kernel_id is None:
            say("starting Python")
            kernel_id = await _start_kernel(server, path, style or default_style())
            _styles(server)[kernel_id] = style or default_style()
        kernel: Any = server.kernel_manager.get_kernel(kernel_id)
        python, young = _python(kernel), kernel.execution_state == "starting"
        client = NotebookClient(
            notebook,
            km=kernel,
            timeout=SECONDS_PER_CELL,
            interrupt_on_timeout=True,
            allow_errors=True,
            store_widget_state=False,
            record_timing=False,
        )
        way = client.kc = kernel.client()
        way.start_channels()
        way.allow_stdin = False
        try:
            await way.wait_for_ready(timeout=patience if young else SECONDS_BUSY)
            return kernel_id, client
        except RuntimeError:
            way.stop_channels()
            # A kernel that lost its port to another on a crowded machine never answers; one that
            # works on a cell is left alone, unless that cell has just ended it.
            same = not young and python is _python(kernel)
            if same and await ensure_async(kernel.is_alive()):
                return None
            if patience != SECONDS_TO_START:
                raise
            await _end_session(server, path)
    return None


async def _kernel_of(server: Any, path: str) -> str | None:
    for session in await ensure_async(server.session_manager.list_sessions()):
        if session["path"] == path and session["kernel"]:
            return session["kernel"]["id"]
    return None


async def _start_kernel(server: Any, path: str, style: str) -> str:
    sessions = server.session_manager
    environment = {**sessions.get_kernel_env(path, path), STYLE_VARIABLE: style}
    kernel_id = await server.kernel_manager.start_kernel(
        kernel_name=KERNEL, path=path, env=environment
    )
    await sessions.create_session(
        path=path, name=path, type="notebook", kernel_name=KERNEL, kernel_id=kernel_id
    )
    return kernel_id


async def _end_session(server: Any, path: str) -> None:
    for session in await ensure_async(server.session_manager.list_sessions()):
        if session["path"] == path:
            await ensure_async(server.session_manager.delete_session(session["id"]))


async def _set_style(way: Any, style: str) -> None:
    code = f"__import__('tapertrig.panels.parts.panel', fromlist=['']).restyle({style!r})"
    await way.execute(code, silent=True, reply=True, timeout=SECONDS_PER_CELL)


async def _panels_on(way: Any) -> tuple[set[str], dict[str, str]]:
    """The widgets that live on a kernel, and the one that each cell shows, saved or not."""
    comms = await way.comm_info(reply=True, timeout=SECONDS_PER_CELL)
    live = set(comms["content"].get("comms", {}))
    asked = {"shown": f"__import__('sys').modules[{RUN_AGAIN!r}].shown()"}
    told = await way.execute(
        "", silent=True, user_expressions=asked, reply=True, timeout=SECONDS_PER_CELL
    )
    answer = told["content"].get("user_expressions", {}).get("shown", {})
    shown = ast.literal_eval(answer["data"]["text/plain"]) if "data" in answer else {}
    return live, {cell: widget for cell, widget in shown.items() if widget in live}


def _views(cell: Any) -> set[str]:
    shown = [one.get("data", {}).get(WIDGET_VIEW) for one in cell.outputs]
    return {view["model_id"] for view in shown if view}


def _view(model_id: str) -> Any:
    shown = {WIDGET_VIEW: {"model_id": model_id, "version_major": 2, "version_minor": 0}}
    return nbformat.v4.new_output("display_data", data=shown)
