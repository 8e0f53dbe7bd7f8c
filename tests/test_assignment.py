"""A practice page's problems, what it looks up, and the short code it gives out."""

from __future__ import annotations

import bisect
import random

import pytest
from cases import cases

from tapertrig.practice import MISTAKES, TOPICS, Record, problem
from tapertrig.practice.assignment import Assignment, record_from_code, told
from tapertrig.practice.class_book import read_classbook
from tapertrig.practice.record import Entry
from tapertrig.spelled import spelled

# Written down by hand from the order of the lists: “setup triangle” (8), “one ball” (1024), five
# problems in inches, seed 7. First a wrong answer, cosine for sine (5), after 40 s; then the
# right one after 20 s; then one ball: ball height sign (18) and half angle halved again (2), 90 s.
WHO, HEADING = 123456789, (8 + 1024, 3 * 5 + 1, 7)
ANSWERS = (
    ((0 * 50 + 5) * 60 + 4) * 5 * 2,
    (2 * 5 + 0) * 2 + 1,
    (((2 * 50 + 18) * 60 + 9) * 5 + 1) * 2,
)
CODE = spelled((4, WHO, *HEADING, *ANSWERS))


def test_a_code_is_a_record():
    record = record_from_code(CODE, "Bench 3")
    assert [(e.topic, e.seed, e.right, e.mistakes, e.tries, e.seconds) for e in record.entries] == [
        ("setup triangle", 14, False, ("cosine for sine",), 1, 40),
        ("setup triangle", 14, True, (), 2, 20),
        ("one ball", 14, False, ("ball height sign", "half angle halved again"), 1, 90),
    ]
    assert record.name == "Bench 3"
    assert problem("one ball", 14).unit == "in"


def test_what_was_copied_after_three_tries_is_not_solved_by_a_code_either():
    wrong, right = 2 * (0 * 5 + 2), 2 * (0 * 5 + 2) + 1
    record = record_from_code(spelled((4, WHO, *HEADING, wrong, wrong, wrong, right)))
    assert [(e.right, e.solved, e.tries) for e in record.entries][2:] == [
        (False, False, 3), (True, False, 4),
    ]  # fmt: skip


def test_the_order_of_the_lists_holds_for_codes_written_down():
    assert list(MISTAKES)[:18:17] == ["included angle used as half angle", "ball height sign"]
    assert list(MISTAKES)[27] == "one turn miscounted"
    assert TOPICS[::13] == ("angle units", "tolerances")


def test_each_mistyped_digit_is_refused_in_words():
    digits = CODE.replace(" ", "")
    for at, digit in enumerate(digits):
        for other in "0123456789".replace(digit, ""):
            with pytest.raises(ValueError, match=r"check digits do not fit: a digit is wrong"):
                record_from_code(digits[:at] + other + digits[at + 1 :])
    with pytest.raises(ValueError, match="no digit; a carried line has digits alone"):
        record_from_code(CODE.replace("4", "A", 1))


@pytest.mark.parametrize(
    "numbers",
    [
        (3, *HEADING, WHO, 1, 2),
        (4, WHO, 2**29, 16, 7),
        (4, WHO, 0, 16, 7),
        (4, WHO, 8, 0, 7),
        (4, WHO, *HEADING, 49 * 60 * 10),
    ],
)
def test_a_line_that_fits_and_is_no_code_is_refused(numbers):
    with pytest.raises(ValueError, match=r"practice record|no topic|number of problems|mistake"):
        record_from_code(spelled(numbers))


def test_a_code_taken_in_twice_and_beside_its_csv_adds_nothing(tmp_path):
    once = record_from_code(CODE)
    assert once.joined(record_from_code(CODE)).entries == once.entries
    # The page's CSV has what was typed too, and one answer more.
    typed = Record(
        (*(Entry(e.topic, e.seed, "1.23", e.right, e.mistakes, e.tries, 41, e.identity)
           for e in once.entries), Entry("one ball", 14, "2", True, (), 2, 5, "hijklmnopxj")),
        "Bench 3", once.called,
    )  # fmt: skip
    typed.save(tmp_path / "sent by phone.csv")
    wrong = CODE[:-1] + str((int(CODE[-1]) + 1) % 10)
    (tmp_path / "codes.txt").write_text(
        f"Bench 3: {CODE}\n\nBench  3:{CODE}\n{CODE}\nBench 4: {wrong}\nBench 5: {CODE}\n"
    )
    book = read_classbook(tmp_path)
    assert [(a.learner, a.entry.answer) for a in book.answers] == [
        *[("Bench 3", "1.23")] * 3, ("Bench 3", "2"),
    ]  # fmt: skip
    [lost] = book.lost_lines
    assert lost.file_name == "codes.txt"
    assert lost.reason.startswith("line 5, Bench 4, skipped: the line’s check".replace("’", "'"))


def test_problems_in_turn_in_the_units_asked_for():
    both = Assignment(count=2 * len(TOPICS)).problems
    assert [each.topic for each in both] == [*TOPICS, *TOPICS]
    for topic in TOPICS:
        assert len({each.seed % 2 for each in both if each.topic == topic}) == 2
    for unit, parity in (("in", 0), ("mm", 1)):
        one = Assignment(("dials", "setup triangle"), 8, 3, unit)
        assert {seed % 2 for _, seed in one.places} == {parity}
        assert len(set(one.places)) == 8
        assert len({each.kind for each in one.problems if each.topic == "setup triangle"}) == 4
    with pytest.raises(ValueError, match=r"topic is 'dial'; it must be “angle units”"):
        Assignment(("dial",))


def values_about(rng, each):
    """Numbers of the right size: anywhere, and on either side of every number that is known."""
    known = [each.answer, 0.0, *(one.number for one in each.wrong_numbers())]
    for _ in range(30):
        near = rng.choice(known) * rng.choice([1, 1, 1, -1, 2])
        steps = rng.choice([0, 0.5, 0.999999, 1, 1.000001, 2, 6, 6.1, 400]) * rng.choice([1, -1])
        yield near + steps * each.tolerance
        yield round(near + steps * each.tolerance, rng.choice([2, 3, 4]))
    yield from (rng.uniform(-5, 5) * (abs(each.answer) + 1) for _ in range(20))


def test_what_is_looked_up_is_what_is_checked():
    rng, names, verdicts = random.Random(3), list(MISTAKES), set()
    for seed in range(1, 1 + cases(3, 40)):
        for topic in TOPICS:
            each = problem(topic, seed)
            held = told(each)
            for value in values_about(rng, each):
                verdict = each.judge(value)
                place = held["at"][bisect.bisect_left(held["ends"], value)]
                right, understood, message, mistakes, hint, plainer = held["said"][place]
                assert (right, understood, message, hint, plainer) == (
                    verdict.correct, verdict.understood, verdict.message, verdict.hint,
                    verdict.second_hint,
                ), (topic, seed, value)  # fmt: skip
                assert tuple(names[one - 1] for one in mistakes) == verdict.mistakes
                verdicts.add(message[:20])
    assert len(verdicts) > 20
