"""A practice page: problems as one HTML file for a phone, which checks answers by itself."""

from __future__ import annotations

from collections.abc import Callable

from tapertrig.practice import MISTAKES
from tapertrig.practice.answers import reader
from tapertrig.practice.assignment import KIND, MISTAKE_ROOM, TENS, Assignment, told
from tapertrig.practice.question import Figure
from tapertrig.practice.record import AND, COLUMNS, LONGEST_NAME, OWN, TRIES_BEFORE_SOLUTION
from tapertrig.practice.session import COPIED
from tapertrig.printed.page import Markup, packed, page
from tapertrig.spelled import LONGEST

RECORD = "tapertrig practice page"
SCRIPT = "reading.js answers.js spelled.js unpack.js practice_page.js print.js"
SAID = {
    "copied": COPIED,
    "uncounted": "{message}. It was not counted as a try.",
    "right": "This one is right already: go on with the next problem.",
    "same": "That was your last answer; it was not counted again.",
    "score": "{solved} right of {met} tried, {answers}",
    "kept": "Your answers stay in this browser until you begin anew.",
    "not_kept": "This browser keeps nothing here: save the record or copy the code before you "
    "close the page.",
    "copied_code": "Copied.",
    "not_copied": "This browser does not copy; hold the digits down and copy them.",
    "too_long": "too many answers for a code; save the record instead",
    "anew": "Begin anew? Your answers to this page are then gone from this browser. Where "
    "a solution was in sight, an answer is told right or wrong, and counts no more.",
}


def practice_page(assignment: Assignment, draw: Callable[[Figure], str]) -> str:
    """The problems of an assignment as one HTML document; the same one gives the same text.

    `draw` turns a problem's Figure into the SVG of a page. What is said to each answer is packed,
    so that nobody reads it by the way; it is no secret, since the page itself can unpack it.
    """
    problems = [
        (each, Markup(draw(each.figure)), table)
        for each in assignment.problems
        for table in (told(each),)
    ]
    facts = {
        "kind": KIND, "heading": assignment.heading, "places": assignment.places,
        "reader": reader(), "said": SAID, "mistakes": list(MISTAKES), "and": AND,
        "columns": [*COLUMNS, *OWN], "tries": TRIES_BEFORE_SOLUTION, "name": LONGEST_NAME,
        "longest": LONGEST, "tens": TENS, "room": MISTAKE_ROOM,
    }  # fmt: skip
    return page(
        "practice_page.html",
        title=f"Practice: {len(problems)} problems, number {assignment.seed}",
        record=RECORD,
        script=SCRIPT,
        problems=problems,
        held=packed([table for *_, table in problems]),
        facts=facts,
    )
