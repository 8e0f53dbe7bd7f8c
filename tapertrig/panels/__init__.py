"""Panels of the lessons, each one line in a notebook: `panels.setup_triangle()`."""

from __future__ import annotations

from importlib import import_module
from typing import Any

# The line to add for a new panel: its name in a notebook, its file, its class.
PANELS = {
    "indicating_bench": ("indicating_bench", "IndicatingBench"),
    "watch_it_done": ("watch_it_done", "WatchItDone"),
    "lost_motion": ("lost_motion", "LostMotion"),
    "angle_budget": ("angle_budget", "AngleBudgetPanel"),
    "angle_effect": ("angle_effect", "AngleEffect"),
    "angle_forms": ("angle_forms", "AngleForms"),
    "ball_in_bore": ("ball_in_bore", "BallInBore"),
    "at_the_lathe": ("at_the_lathe", "AtTheLathe"),
    "base_scale": ("base_scale", "BaseScale"),
    "inspection": ("inspection", "InspectionPanel"),
    "job_sheet": ("job_sheet", "JobSheet"),
    "known_taper": ("known_taper", "KnownTaper"),
    "lathe_book": ("lathe_book", "LatheBookPanel"),
    "opening_the_face": ("opening_the_face", "OpeningTheFace"),
    "over_rolls": ("over_rolls", "OverRolls"),
    "parallel_lines": ("parallel_lines", "ParallelLines"),
    "class_picture": ("class_picture", "ClassPicture"),
    "practice": ("practice", "Practice"),
    "worksheets": ("worksheets", "Worksheets"),
    "set_over": ("set_over", "SetOver"),
    "setup_triangle": ("setup_triangle", "SetupTriangle"),
    "several_cones": ("several_cones", "SeveralConesPanel"),
    "sweep_clearance": ("sweep_clearance", "SweepClearance"),
    "tool_height": ("tool_height", "ToolHeight"),
    "two_runs": ("two_runs", "TwoRuns"),
}

# Beside the panels of a lesson: no picture, no unit.
BESIDE = {"questions": ("questions", "Questions"), "ways": ("ways", "Ways")}

__all__ = sorted(PANELS)


def __getattr__(name: str) -> Any:
    if name in PANELS or name in BESIDE:
        file, panel = (PANELS | BESIDE)[name]
        return getattr(import_module(f"tapertrig.panels.{file}_panel"), panel)
    raise AttributeError(f"there is no panel {name!r}; there are {', '.join(sorted(PANELS))}")


def __dir__() -> list[str]:
    return __all__
