"""`python -m tapertrig [lesson]` opens a lesson; `python -m tapertrig handout 03` writes one.

`python -m tapertrig practice-page` writes problems for phones.

Where the kit is installed, `tapertrig` alone does the same.
"""

import io
import sys


def main() -> int:
    """Do what the command line asks; its exit code."""
    for stream in (sys.stdout, sys.stderr):
        # A terminal that has no … must not keep a lesson from being written.
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")
    if sys.argv[1:2] == ["handout"]:
        from tapertrig.classroom.handout import main as handout

        return handout(sys.argv[2:])
    if sys.argv[1:2] == ["practice-page"]:
        from tapertrig.classroom.practice_page import main as practice_page

        return practice_page(sys.argv[2:])
    from tapertrig.classroom.launcher import main as launch

    return launch()


if __name__ == "__main__":
    sys.exit(main())
