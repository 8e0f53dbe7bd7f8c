"""The picture of a class on paper: a table learner by topic, the slips, and the bars drawn."""

from __future__ import annotations

from collections.abc import Sequence

from tapertrig.practice.class_book import Classbook, Share
from tapertrig.printed.page import Line, Strong, page

RECORD = "tapertrig class picture"
MOST_SLIPS = 3


def class_page(
    book: Classbook,
    pictures: Sequence[tuple[str | bytes, str]] = (),
    *,
    mark: str = "",
    paper: str = "any",
) -> str:
    """The class as one HTML document. `pictures` are drawings, each with what it shows in words.

    `mark` stands on top where the class is invented. ValueError for a class without an answer.
    """
    if not book.answers:
        raise ValueError("no answers to print; name a folder that holds records, as “records”")
    return page(
        "class_page.html",
        title=f"Class picture: {len(book.learners)} learners",
        record=RECORD,
        paper=paper,
        head=("Learner", *book.by_topic(), "All", "Most often wrong by"),
        rows=table_rows(book),
        pictures=pictures,
        mark=mark,
        left_out=(*book.skipped, *book.lost_lines),
    )


def table_rows(book: Classbook) -> list[tuple[Line, ...]]:
    """A row a learner, and one for the class: solved of met for each topic, and the usual slips.

    A topic that nothing was met of stays blank; one met and nothing of it solved is strong.
    """
    told: list[tuple[Line, ...]] = []
    for name, one in (*((each, book.of(each)) for each in book.learners), ("All", book)):
        met = one.by_topic()
        solved = [_solved(met.get(topic)) for topic in book.by_topic()]
        told.append((name, *solved, _solved(one.whole), _slips(one)))
    return told


def _solved(share: Share | None) -> str:
    if share is None:
        return ""
    told = f"{share.solved}/{share.problems}"
    return told if share.solved else Strong(told)


def _slips(book: Classbook) -> str:
    told = [f"{name} ({count})" for name, count in book.by_mistake().items()]
    return "; ".join(told[:MOST_SLIPS])
