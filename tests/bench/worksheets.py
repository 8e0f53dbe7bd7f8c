"""Time to make worksheets with figures for a class: `python tests/bench/worksheets.py`.

Thirty learners with ten problems each, of all topics, unless told otherwise.
"""

from __future__ import annotations

import argparse
import time

from tapertrig.draw.practice import sheet_drawing
from tapertrig.practice import TOPICS, Figure
from tapertrig.printed.worksheets import worksheet


def main() -> None:
    """Print the time, and the part of it that the figures took."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--learners", type=int, default=30)
    parser.add_argument("--problems", type=int, default=10)
    asked = parser.parse_args()
    drawing: list[float] = []

    def timed(figure: Figure) -> bytes:
        began = time.perf_counter()
        picture = sheet_drawing(figure)
        drawing.append(time.perf_counter() - began)
        return picture

    began, used = time.perf_counter(), time.process_time()
    text = worksheet(asked.learners, TOPICS, 12, asked.problems, draw=timed)
    took, used = time.perf_counter() - began, time.process_time() - used
    figures = len(drawing)
    print(
        f"{asked.learners} learners x {asked.problems} problems, {figures} figures: "
        f"{took:.1f} s ({used:.1f} s of processor time), figures {sum(drawing):.1f} s "
        f"({1000 * sum(drawing) / figures:.0f} ms each), {len(text) / 1e6:.1f} MB"
    )


if __name__ == "__main__":
    main()
