"""What a cell showed is closed when it runs again: else each run leaves a set of widgets behind."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from IPython import get_ipython
from ipywidgets import Widget


def close_whole(widget: Widget) -> None:
    """Close a widget with all that it holds, in sight or not."""
    if widget.comm is not None:
        widget.close()
        for part in _widgets_in(list(vars(widget).values())):
            close_whole(part)


def _widgets_in(held: Any) -> Iterator[Widget]:
    if isinstance(held, Widget):
        yield held
    elif isinstance(held, (list, tuple, dict)):
        for one in held.values() if isinstance(held, dict) else held:
            yield from _widgets_in(one)


class Shown:
    """Which cell of a notebook shows which widget."""

    def __init__(self, shell: Any) -> None:
        self.shell, self.by_cell = shell, dict[str, Widget]()
        shell.events.register("post_run_cell", self.has_run)

    def has_run(self, result: Any) -> None:
        """A cell has run; what it showed before goes, unless another shows or a name means it."""
        shows = isinstance(result.result, Widget)
        if shows:  # Python's own list of outputs would keep each picture
            getattr(self.shell.history_manager, "outputs", {}).pop(result.execution_count, None)
        cell = getattr(result.info, "cell_id", None)
        if cell is None or not result.success:
            return
        before = self.by_cell.pop(cell, None)
        if shows:
            self.by_cell[cell] = result.result
        if before is None or any(one is before for one in self.by_cell.values()):
            return
        names = [name for name, value in self.shell.user_ns.items() if value is before]
        if all(name.startswith("_") for name in names):
            close_whole(before)
            for name in names[:1]:  # and by whatever other name the list of outputs has it
                self.shell.del_var(name)


def shown() -> dict[str, str]:
    """The widget that each cell shows now, cell and widget by their ids.

    Asked whenever the lesson is opened; one that lives on looks again at the folder's files.
    """
    for one in _here.by_cell.values() if _here else ():
        if one.comm and hasattr(one, "opened_again"):
            one.opened_again()
    return {cell: one.model_id for cell, one in _here.by_cell.items() if one.comm} if _here else {}


_here = Shown(shell) if (shell := get_ipython()) is not None else None
