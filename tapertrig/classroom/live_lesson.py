"""A lesson made live: its cells run on its own kernel, so that it opens with the panels working.

Everything here runs inside the Jupyter server that serves the lesson, through the server's own
sessions, kernels and contents; it works alike for one learner and behind JupyterHub.
"""

from __future__ import annotations

import asyncio
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import nbformat
from jupyter_server.utils import ensure_async, url_escape, url_path_join
from nbclient import NotebookClient
from nbclient.exceptions import CellControlSignal

from tapertrig.classroom.lessons import Lesson, copy_lesson

STYLES = ("desk", "projector")
STYLE_VARIABLE = "TAPERTRIG_STYLE"
KERNEL = "python3"
SECONDS_PER_CELL = 60
SECONDS_TO_START = 60
WIDGET_VIEW = "application/vnd.jupyter.widget-view+json"

Progress = Callable[[str], None]


async def open_live(
    server: Any, lesson: Lesson, style: str | None = None, progress: Progress = print
) -> str:
    """Copy a lesson, run it, and return the address path of the open lesson.

    A lesson already live on its kernel is left running, so that a second tab joins the first;
    when another style is asked for, the panels there are take it. A cell that fails or takes
    over a minute does not stop the others: its error shows in place.
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
        async with _lock(server, path):
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


def _lock(server: Any, path: str) -> asyncio.Lock:
    locks = server.web_app.settings.setdefault("tapertrig_locks", {})
    return locks.setdefault(path, asyncio.Lock())


def default_style() -> str:
    """The style of lessons for which none is asked: the server's own, or the desk style."""
    style = os.environ.get(STYLE_VARIABLE, "desk")
    return style if style in STYLES else "desk"


async def _make_live(
    server: Any, path: str, lesson: Lesson, style: str | None, progress: Progress
) -> None:
    contents = server.contents_manager
    model = await ensure_async(contents.get(path, type="notebook", content=True))
    notebook = nbformat.from_dict(model["content"])
    styles = server.web_app.settings.setdefault("tapertrig_styles", {})
    for patience in (SECONDS_TO_START, 2 * SECONDS_TO_START):
        kernel_id = await _kernel_of(server, path)
        if kernel_id is None:
            progress(f"Lesson {lesson.number}: starting Python")
            kernel_id = await _start_kernel(server, path, style or default_style())
            styles[kernel_id] = style or default_style()
        client = NotebookClient(
            notebook,
            km=server.kernel_manager.get_kernel(kernel_id),
            timeout=SECONDS_PER_CELL,
            startup_timeout=patience,
            interrupt_on_timeout=True,
            allow_errors=True,
            store_widget_state=False,
            record_timing=False,
        )
        try:
            await client.async_start_new_kernel_client()
            break
        except RuntimeError:
            # A kernel that lost its port to another on a crowded machine never answers.
            if patience != SECONDS_TO_START:
                raise
            await _end_session(server, path)
    try:
        if style and style != styles.get(kernel_id):
            await _set_style(client, style)
            styles[kernel_id] = style
        if await _panels_live(client, notebook):
            return
        cells = [(i, cell) for i, cell in enumerate(notebook.cells) if cell.cell_type == "code"]
        client.reset_execution_trackers()
        for count, (index, cell) in enumerate(cells, 1):
            progress(f"Lesson {lesson.number}: running cell {count} of {len(cells)}")
            # As a browser says it: what the cell showed before is then closed.
            _channels(client).session.metadata = {"cellId": cell.get("id")}
            try:
                await client.async_execute_cell(cell, index, execution_count=count)
            except CellControlSignal as stopped:
                progress(f"Lesson {lesson.number}: cell {count} was stopped ({stopped})")
    finally:
        _channels(client).session.metadata = {}
        _channels(client).stop_channels()
    contents.notary.mark_cells(notebook, True)
    model = {"type": "notebook", "format": "json", "content": notebook}
    await ensure_async(contents.save(model, path))


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


async def _set_style(client: NotebookClient, style: str) -> None:
    code = f"__import__('tapertrig.panels.parts.panel', fromlist=['']).restyle({style!r})"
    await client.async_wait_for_reply(_channels(client).execute(code, silent=True))


async def _panels_live(client: NotebookClient, notebook: Any) -> bool:
    """Whether every widget shown in the notebook still exists on the kernel."""
    shown = {
        output.data[WIDGET_VIEW]["model_id"]
        for cell in notebook.cells
        if cell.cell_type == "code"
        for output in cell.outputs
        if WIDGET_VIEW in output.get("data", {})
    }
    if not shown:
        return False
    reply = await client.async_wait_for_reply(_channels(client).comm_info())
    return reply is not None and shown <= set(reply["content"].get("comms", {}))


def _channels(client: NotebookClient) -> Any:
    """The way to the kernel, which stands from `async_start_new_kernel_client` on."""
    return client.kc
