"""The rooms of the core have doors: what comes in is looked at once, before it is used.

What a parameter takes is written once, as its type. When a module of the core is first imported,
its public functions, methods and dataclasses are given doors that go by those types (`door.py`).
`limits` has none: its functions are what the doors refuse with, and look at every value themselves.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from importlib.abc import MetaPathFinder
from importlib.machinery import ModuleSpec, PathFinder, SourceFileLoader
from types import ModuleType

# The rooms whose public names have doors, and all that stands in them.
ROOMS = {
    "angle", "bench", "boring", "budget", "cone", "decision", "demo", "gauging", "job", "lathe",
    "lathe_book", "next_tap", "practice", "procedure", "saving", "setup", "several_cones",
    "spelled", "standards", "uncertainty", "worked", "written",
}  # fmt: skip


class _Loader(SourceFileLoader):
    def exec_module(self, module: ModuleType) -> None:
        super().exec_module(module)
        from tapertrig.door import put_doors

        put_doors(module)


class _Rooms(MetaPathFinder):
    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        kit, _, rest = fullname.partition(".")
        if kit != "tapertrig" or rest.partition(".")[0] not in ROOMS:
            return None
        spec = PathFinder.find_spec(fullname, path, target)
        if spec is not None and isinstance(spec.loader, SourceFileLoader):
            spec.loader = _Loader(spec.loader.name, spec.loader.path)
        return spec


def open_rooms() -> None:
    """Let modules of the core be imported with their doors; asking again changes nothing."""
    if not any(isinstance(finder, _Rooms) for finder in sys.meta_path):
        sys.meta_path.insert(0, _Rooms())
