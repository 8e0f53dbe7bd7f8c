"""Old names of modules that have moved: a learner's own copy of a lesson goes on working.

Kept for one version after the move.
"""

from __future__ import annotations

import importlib
import sys
from collections.abc import Sequence
from importlib.abc import Loader, MetaPathFinder
from importlib.machinery import ModuleSpec
from types import ModuleType

MOVED = {
    "tapertrig.balls": "tapertrig.gauging.balls",
    "tapertrig.ball_choice": "tapertrig.gauging.ball_choice",
    "tapertrig.rolls": "tapertrig.gauging.rolls",
    "tapertrig.blocks": "tapertrig.gauging.blocks",
    "tapertrig.inspection": "tapertrig.gauging.inspection",
    "tapertrig.remedies": "tapertrig.gauging.remedies",
    "tapertrig.page": "tapertrig.printed.page",
    "tapertrig.sheet": "tapertrig.printed.setup_sheet",
    "tapertrig.record": "tapertrig.printed.inspection_record",
    "tapertrig.worksheet": "tapertrig.printed.worksheets",
    "tapertrig.classbook": "tapertrig.practice.class_book",
    "tapertrig.example_class": "tapertrig.practice.example_class",
    "tapertrig.draw.magnified": "tapertrig.draw.parts.magnified",
    "tapertrig.draw.picture": "tapertrig.draw.parts.scene",
    "tapertrig.draw.style": "tapertrig.draw.parts.style",
    "tapertrig.panels.panel": "tapertrig.panels.parts.panel",
    "tapertrig.panels.controls": "tapertrig.panels.parts.controls",
    "tapertrig.panels.board": "tapertrig.panels.parts.board",
}


class _OldNames(MetaPathFinder, Loader):
    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        return ModuleSpec(fullname, self) if fullname in MOVED else None

    def create_module(self, spec: ModuleSpec) -> ModuleType:
        module = importlib.import_module(MOVED[spec.name])
        self._own = module.__spec__
        return module

    def exec_module(self, module: ModuleType) -> None:
        # The module has run under its new name and keeps it; here it only stands under both.
        module.__spec__ = self._own


def keep_old_names() -> None:
    """Let the old names be imported; asking again changes nothing."""
    if not any(isinstance(finder, _OldNames) for finder in sys.meta_path):
        sys.meta_path.append(_OldNames())
