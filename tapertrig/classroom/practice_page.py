"""`python -m tapertrig practice-page`: problems as one HTML file for phones, without internet."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from tapertrig.classroom.handout import check_place
from tapertrig.draw.practice import sheet_drawing
from tapertrig.practice import TOPICS
from tapertrig.practice.assignment import MOST_PROBLEMS, Assignment
from tapertrig.printed.practice_page import practice_page
from tapertrig.saving import write_whole


def main(arguments: list[str] | None = None) -> int:
    """Write a practice page as the arguments say; the exit code."""
    reader = argparse.ArgumentParser(
        prog="python -m tapertrig practice-page",
        description="Write practice problems as one HTML file for phones, without internet.",
    )
    told = f"such as “one ball”; all of them when left out: {', '.join(TOPICS)}"
    reader.add_argument("topics", nargs="*", metavar="topic", help=told)
    many = f"how many problems, 1 to {MOST_PROBLEMS}; 10 when left out"
    reader.add_argument("--problems", type=int, default=10, metavar="N", help=many)
    reader.add_argument(
        "--seed", type=int, default=1, metavar="N", help="another number gives other problems"
    )
    reader.add_argument("--unit", choices=("in", "mm"), default="", help="in turn when left out")
    reader.add_argument(
        "--out", type=Path, default=Path("practice page.html"), metavar="FILE", help="its name"
    )
    reader.add_argument("--replace", action="store_true", help="write over a file that is there")
    choice = reader.parse_args(arguments)
    try:
        topics = tuple(choice.topics) or TOPICS
        assignment = Assignment(topics, choice.problems, choice.seed, choice.unit)
        out = choice.out.expanduser()
        check_place(out, choice.replace)
        text = practice_page(assignment, lambda figure: sheet_drawing(figure, in_page=True))
        written = write_whole(out, text, new=not choice.replace)
    except (ValueError, OSError) as reason:
        print(f"tapertrig: {reason}", file=sys.stderr)
        return 1
    print(f"{written}  ({len(text.encode()) / 1e6:.2f} MB)")
    return 0
