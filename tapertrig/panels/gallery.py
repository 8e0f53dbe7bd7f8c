"""The pictures of README.md and the lessons: `python -m tapertrig.panels.gallery images`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

from tapertrig import panels

# File name, panel, and how it is set up for its portrait.
PORTRAITS: tuple[tuple[str, str, dict[str, Any]], ...] = (
    ("from-print-to-setup", "job_sheet", {}),
    ("setup-triangle", "setup_triangle", {"half_angle": "28°10′"}),
    ("indicating-bench", "watch_it_done", {"step": 25}),
    ("ball-in-bore", "ball_in_bore", {}),
    ("over-rolls", "over_rolls", {}),
    ("known-taper", "known_taper", {}),
    ("several-cones", "several_cones", {"cross": 0.008}),
    ("set-over", "set_over", {"half_angle": "2°50′"}),
)


def portrait(panel: str, start: dict[str, Any]) -> tuple[bytes, str]:
    """A panel's picture as PNG bytes, and what it says."""
    return getattr(panels, panel)(style="desk", **start).still()


def paint(folder: Path) -> list[Path]:
    """Write every portrait into a folder; returns the files."""
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for name, panel, start in PORTRAITS:
        frame, _words = portrait(panel, start)
        path = folder / f"{name}.png"
        path.write_bytes(frame)
        written.append(path)
    return written


if __name__ == "__main__":
    for path in paint(Path(sys.argv[1] if len(sys.argv) > 1 else "images")):
        print(path)
