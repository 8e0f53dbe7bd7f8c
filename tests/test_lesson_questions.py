"""Questions of the lessons: right answers, named slips, and nothing told early.

The answers are worked again with mpmath from the numbers in the question's own text; the way each
is worked is plane trigonometry (common practice, no source). Words that answer are compared with
what the panel shows once it may.
"""

from __future__ import annotations

import ast
import json
import re
from pathlib import Path

import mpmath
import nbformat
import pytest

from tapertrig import panels, worked
from tapertrig.angle import Angle
from tapertrig.lathe import Dial
from tapertrig.practice.in_lessons import PRACTICE, practice, predictions
from tapertrig.setup import BLOCKS

NOTEBOOKS = sorted((Path(__file__).parents[1] / "notebooks").glob("*.ipynb"))

PANEL_OF = {
    "00 from print to setup": "job_sheet",
    "01 an angle in all forms": "angle_forms",
    "02 internal cone": "parallel_lines",
    "02 external cone": "parallel_lines",
    "03 travels": "setup_triangle",
    "04 backlash": "lost_motion",
    "05 too steep": "angle_budget",
    "05 where it touches": "angle_effect",
    "06 by the carriage": "opening_the_face",
    "06 below centre": "tool_height",
    "06 which is nearer": "sweep_clearance",
    "07 a ball stands proud": "ball_in_bore",
    "10 swept": "known_taper",
    "11 seat": "several_cones",
    "12 set over": "set_over",
    "12 seam": "two_runs",
}
# What a reader sees written at the first control that a question lets go.
IN_SIGHT = {
    "angle_error": "Half angle out by",
    "large_end": "Needle at the large end, + pushed in",
    "movement": "Movement",
    "cross": "Cross movement",
    "height": "Height of the ball's top",
    "height_error": "Tool above centre (below: minus)",
    "included_angle": "Included angle",
    "lathe": "Lathe",
    "internal": "Cone",
    "angle": "Angle of the line",
    "half_angle": "Half angle",
    "handwheel": "Handwheel",
}


def deg(degrees, minutes=0, seconds=0):
    return mpmath.mpf(degrees) + mpmath.mpf(minutes) / 60 + mpmath.mpf(seconds) / 3600


def sin(angle):
    return mpmath.sin(mpmath.radians(angle))


def cos(angle):
    return mpmath.cos(mpmath.radians(angle))


def tan(angle):
    return mpmath.tan(mpmath.radians(angle))


HALF = deg(20, 43)
ANSWERS = {
    "00": [deg(53, 51) / 2, mpmath.mpf(10), mpmath.mpf("2.4") * sin(25), None],
    "01": [
        deg(8, 21),
        deg(53, 43) / 2,
        deg(17, 21, 38) / 2,
        mpmath.mpf("12.5"),
        mpmath.degrees(mpmath.atan(mpmath.mpf("0.88") / 24)),
        (HALF - mpmath.mpf("20.43")) * 60,
        2 * (90 - deg(65, 10)),
    ],
    "02": [
        180 - deg(24, 35), 90 - deg(65, 25), 2 * (90 - deg(24, 35)), deg(56, 12) / 2, None,
        mpmath.mpf(2),
    ],
    "03": [
        mpmath.mpf("2.85") * sin(17),
        mpmath.mpf("2.85") * cos(17),
        None,
        mpmath.mpf("0.02") / (80 * cos(22)) * 3600 * 180 / mpmath.pi,
        mpmath.mpf("1.553"),
    ],
    "04": [None, None, None, 90 - HALF],
    "04 slips": [None, None, None],
    "00 from print to setup": [
        mpmath.mpf("2.4") * sin(deg(41, 26)), mpmath.mpf("2.4") * sin(deg(23, 10)),
        90 - HALF, None,
    ],
    "01 an angle in all forms": [
        deg(35, 15) / 2, deg(35, 15), 1 / (2 * tan(deg(35, 15) / 2)),
    ],
    "02 internal cone": [None, 90 - deg(34, 10), None],
    "02 external cone": [None, deg(34, 10), None],
    "03 travels": [
        mpmath.mpf("2.2") * sin(27), mpmath.mpf("2.2") * cos(27), mpmath.mpf("4.4") * sin(27),
    ],
    "04 backlash": [mpmath.mpf("0.048")],
    "05": [
        mpmath.sqrt(30**2 + 40**2 + 10**2), mpmath.mpf(75), 20 * tan(70), None, None,
        None, 60 * mpmath.degrees(mpmath.atan(mpmath.mpf("0.0008"))),
    ],
    "05 too steep": [
        mpmath.mpf("0.0005") / (mpmath.mpf("2.8") * cos(72)) * 3600 * 180 / mpmath.pi, None, None,
    ],
    "05 where it touches": [None, mpmath.mpf("1.28") * (tan(HALF) - tan(HALF - deg(0, 4)))],
    "06": [
        mpmath.mpf("0.006"), mpmath.mpf("0.006") / tan(27), mpmath.mpf("0.2") * tan(38),
        mpmath.mpf(0), mpmath.mpf("0.3"),
    ],
    "06 by the carriage": [mpmath.mpf("0.12") * tan(27)] * 2,
    "06 below centre": [None, None],
    "06 which is nearer": [None],
    "07": [
        20 * (tan(17) + 1 / cos(17)) + 13 * tan(17), 26 * tan(17), 1 - tan(22),
        mpmath.mpf("36.0165"), None, None,
    ],
    "07 rolls": [None, None],
    "10": [
        None,
        60 * mpmath.degrees(mpmath.asin(mpmath.mpf("0.064") * cos(deg(21, 35)) / 60)), None,
        mpmath.mpf("4.7") * sin(deg(19, 10)),
    ],
    # Where a line at the taper's slope and one a little steeper are so far apart: the mean of
    # .0042 and .0028.
    "10 swept": [
        mpmath.mpf("0.0035"),
        60 * (mpmath.degrees(mpmath.findroot(
            lambda t: 2.2 * (mpmath.sin(t) - mpmath.cos(t) * tan(deg(16, 40)))
            - mpmath.mpf("0.0035"), 0.29)) - deg(16, 40)), None,
    ],
    "11": [
        mpmath.mpf("0.9") / sin(37), mpmath.mpf("18.6") + 7 * tan(22),
        mpmath.mpf("0.035") / (tan(56) - tan(38)), None, None, None,
    ],
    "11 seat": [mpmath.mpf("0.04") / sin(38), None],
    "12": [
        mpmath.mpf("10.5") * mpmath.sin(mpmath.atan(mpmath.mpf("0.018"))), None, None, None,
        84 * sin(deg(11, 10)),
    ],
    "12 set over": [
        mpmath.mpf("7.6") * sin(deg(2, 10)), None,
        60 * (mpmath.degrees(mpmath.asin(mpmath.mpf("7.9") / mpmath.mpf("7.6") * sin(deg(2, 10))))
              - deg(2, 10)),
    ],
    # Two walls at one slope, by their heights at the seam: plane geometry.
    "12 seam": [
        None, mpmath.mpf("1.7") * (tan(deg(7, 53)) - tan(deg(7, 50))),
    ],
    "07 a ball stands proud": [
        mpmath.mpf("1.25") * (tan(27) + 1 / cos(27)) - mpmath.mpf("1.218") * tan(27),
        mpmath.mpf("0.002") * tan(27), mpmath.mpf("0.04") * (1 - tan(27)),
    ],
}  # fmt: skip


def questions(name):
    return practice(name) if name in PRACTICE else predictions()[name].questions


def test_every_group_of_questions_is_checked():
    assert set(ANSWERS) == {*PRACTICE, *predictions()}
    assert set(PANEL_OF) == set(predictions())


@pytest.mark.parametrize("name", ANSWERS)
def test_every_stated_number_is_the_one_worked_elsewhere(name):
    asked = questions(name)
    assert len(asked) == len(ANSWERS[name])
    for question, wanted in zip(asked, ANSWERS[name], strict=True):
        assert (wanted is None) == (question.precision is None), question.text
        if wanted is not None:
            assert abs(question.answer - wanted) < 1e-9 * max(1, abs(wanted)), question.text


@pytest.mark.parametrize("name", ANSWERS)
def test_the_answer_as_told_is_right_and_every_slip_is_named(name):
    for question in questions(name):
        if question.answer is None:
            continue
        told = question.solution.partition(" (")[0]
        assert question.check(told).correct, (question.text, told)
        for slip, leads_to in question.slips.items():
            typed = leads_to if question.precision is None else f"{leads_to:.9f}"
            if question.precision and question.precision.unit == "°":
                typed += "°"
            verdict = question.check(typed)
            assert not verdict.correct
            assert slip in verdict.message, (question.text, slip, verdict.message)


@pytest.mark.parametrize("text", ["", "what?", "12 apples"])
def test_what_is_no_answer_is_said_to_be_none(text):
    for name in ("00", "02", "03 travels", "02 internal cone"):
        for question in questions(name):
            if question.answer is not None:
                verdict = question.check(text)
                assert not verdict.correct
                assert question.options or not verdict.understood or "mark" in question.text


@pytest.mark.parametrize(
    ("name", "number", "typed", "said"),
    [
        ("02 external cone", 0, "1 3 5 7", "parallel to the bed"),
        ("02 external cone", 0, "1 3 7 9", "1 missing"),
        ("02 external cone", 0, "2 4 6 8", "None of these"),
        ("02 internal cone", 0, "2 4 6 8 9", "square to the bed"),
        ("02 internal cone", 0, "1 2 4 6 8", "1 too many"),
        ("02 internal cone", 0, "1 2 3 4", "Some of these"),
        ("02 internal cone", 0, "2468", "as 2 4 6 8"),
        ("01 an angle in all forms", 2, ".635", "Divide 1 by it"),
        ("00", 0, "26.5530", "A dot is no degree sign: written so it is 26°33′10.80″"),
        ("01", 5, "43", "all of the 43′"),
        ("03", 3, "27.8", "radius dial read as diameter"),
        ("05", 0, "80", "They add as squares"),
        ("06", 3, "0.007", "compound feed thought to change size"),
        ("07", 0, "23.052", "ball height sign"),
    ],
)
def test_a_wrong_answer_of_a_beginner_is_told_what_is_wrong_with_it(name, number, typed, said):
    verdict = questions(name)[number].check(typed)
    assert not verdict.correct
    assert said in verdict.message
    assert verdict.understood == (typed != "2468")


@pytest.mark.parametrize("name", ANSWERS)
def test_the_other_of_two_is_wrong_for_a_reason_and_the_right_one_too(name):
    for question in questions(name):
        for other in set(question.options) - {question.answer}:
            assert len(question.check(other).message) > len("Not right. ") + 20, question.text
            assert question.way, question.text


@pytest.mark.parametrize("typed", ["9 turns .198", "9 turns 198 lines", "1.998"])
def test_the_cross_dial_may_be_answered_as_it_is_read(typed):
    assert questions("03 travels")[2].check(typed).correct


def test_a_question_without_an_entry_asks_for_no_writing():
    for name in ANSWERS:
        for question in questions(name):
            assert ("nothing to write" in question.words) == (question.answer is None)


def made(name):
    return getattr(panels, PANEL_OF[name])(ask=name)


def everything_sent(panel):
    """All that a browser holds of a panel: the state of every widget in it."""
    found = {}
    for widget in [panel]:
        stack = [widget]
        while stack:
            one = stack.pop()
            if one.model_id not in found:
                found[one.model_id] = {
                    key: value
                    for key, value in one.get_state().items()
                    if key not in ("_esm", "_css", "layout", "style")
                }
                stack += getattr(one, "children", ())
    return json.dumps(found, default=str, ensure_ascii=False)


@pytest.mark.parametrize("name", [name for name, one in predictions().items() if one.hides])
def test_the_hidden_answer_is_nowhere_until_it_is_given(name):
    panel = made(name)
    sent, text = everything_sent(panel), panel._repr_mimebundle_()[0]["text/plain"]
    given = " ".join(question.text for question in predictions()[name].questions)
    for question in predictions()[name].questions:
        told = question.solution.partition(" (")[0]
        # What the question itself gives is no secret: 34°10′ is given, and is one answer.
        if question.options or told in given:
            continue
        assert told not in sent, told
        assert told not in text, told
    for one in panel.asked:
        one.tell(one.question.solution)
    assert all(one.question.solution.partition(" (")[0] in everything_sent(panel)
               for one in panel.asked)  # fmt: skip


@pytest.mark.parametrize("name", PANEL_OF)
def test_a_panel_holds_still_until_its_question_is_answered(name):
    panel = made(name)
    assert all(control.disabled for control in panel.controls.values())
    freed = set()
    for one in panel.asked:
        one.mark("no answer at all")
        assert not one.done
        assert one.entry.message
        one.mark(one.question.solution.partition(" (")[0])
        assert one.done, one.entry.message
        assert one.entry.told.startswith("Right")
        for name in one.question.frees:
            placed = int(one.layout.order), int(panel.controls[name].layout.order)
            assert placed[1] == placed[0] + 1 < 0, "not between its question and the next"
        named = re.findall("Now move “(.*)”, just below", one.entry.told)
        assert named == [IN_SIGHT[name] for name in one.question.frees[:1]]
        freed |= set(one.question.frees)
        assert {n for n, c in panel.controls.items() if not c.disabled} == freed
    assert freed, "nothing is let go"
    assert not panel.hiding


def test_showing_an_answer_counts_as_done_and_a_later_text_changes_nothing():
    panel = made("03 travels")
    for one in panel.asked:
        one.show.click()
    assert not panel.controls["half_angle"].disabled
    assert panel.controls["cross_dial"].disabled, "what is not asked about is held still"
    panel.asked[0].mark("7")
    assert not panel.asked[0].entry.message


def rows(panel):
    return {name: value for name, value, _mark in panel.board.words["rows"]}


def test_what_lessons_05_to_07_ask_as_a_choice_is_what_their_panels_show():
    def told(name):
        panel = made(name)
        for one in panel.asked:
            one.show.click()
        return panel, [one.question.answer for one in panel.asked]

    steep, (_worth, proven, route) = told("05 too steep")
    assert proven == "no"
    assert "does not hold this print" in steep.board.words["sentence"]
    steep.set(route=route)
    assert "does not hold" not in steep.board.words["sentence"]
    touch, (where, _by) = told("05 where it touches")
    assert rows(touch)["Gauge touches at"] == where
    below, (angle, rides) = told("06 below centre")
    assert f"Half angle {angle} by" in rows(below)
    assert f"rides on the {rides}" in rows(below)["On a gauge"]
    clear, (nearer,) = told("06 which is nearer")
    left = {name: float(rows(clear)[f"Least distance to the {name}"].split()[0])
            for name in ("chuck", "quill")}  # fmt: skip
    assert min(left, key=left.get) == nearer
    over = panels.over_rolls()
    before = over.last_state[0].found
    over.set(block_height=0.9)
    over.confirm()
    after = over.last_state[0].found
    assert [one.answer for one in practice("07 rolls")] == ["too large", "too small"]
    assert after[1].value > before[1].value
    assert after[0].value < before[0].value
    over, (_offset, rule, _out) = told("12 set over")
    assert ("+" in rows(over)["Shop rule, L × taper ÷ 2"]) is (rule == "too steep")
    swept, (_mean, _minutes, which) = told("10 swept")
    assert rows(swept)["Swing"].startswith(which)
    swept.set(kind="internal")
    assert rows(swept)["Tip bears on"] == practice("10")[2].answer
    assert practice("10")[0].answer == BLOCKS
    seam, (deeper, _step) = told("12 seam")
    assert rows(seam)["Step at the seam"].endswith(f"the second run {deeper}")
    seam.set(joined="touching the wall at the seam")
    assert rows(seam)["Step at the seam"] == "none"
    assert practice("12")[3].answer == "the far end is out"
    assert practice("12")[1].answer == rows(over)["Small end at the tailstock"]
    longer = panels.set_over(half_angle="1°", work_length=8.0)
    offset = longer.last_state.set_over
    longer.set(work_length=8.4)
    assert longer.last_state.out_by(offset).arc_seconds < 0
    assert practice("12")[2].answer == "shallower"
    ring, too, blued, _about = practice("05")[3:]
    read = panels.angle_effect(shows_at="small end")
    assert f"swing {blued.answer} about" in rows(read)["My blue, read backwards"]
    assert (ring.answer, too.answer) == ("large end", "too wide")
    slim = panels.angle_effect(kind="external, with a ring gauge", angle_error="0°04′")
    assert rows(slim)["Gauge touches at"] == ring.answer


@pytest.mark.parametrize("name", ["02 internal cone", "02 external cone"])
def test_words_that_answer_are_what_the_panel_shows(name):
    panel = made(name)
    for one in panel.asked:
        one.show.click()
    marks, reading, swing = (one.question for one in panel.asked)
    shown = rows(panel)
    assert shown["Half angle"] == f"marks {marks.answer}"
    assert shown["Base reads"].startswith(Angle.from_degrees(reading.answer).brief())
    assert shown["Headstock end swings"] == swing.answer


def test_the_setup_keeps_its_travel_while_something_else_is_asked_about():
    panel = made("00 from print to setup")
    before = rows(panel)
    for one in panel.asked:
        one.show.click()
    panel.set(included_angle="82°52′")
    assert rows(panel)["Compound travel"] == before["Compound travel"] == "2.4000 in"
    assert rows(panel)["Cross travel"] == "1.5882 in"
    old_grey = next(name for _words, name in panel.controls["lathe"]._options_full
                    if name and name.startswith("Old Grey"))  # fmt: skip
    panel.set(included_angle="46°20′", lathe=old_grey)
    shown = rows(panel)
    assert shown["Compound travel"] == "2.4000 in"
    assert shown["Cross dial must show"].startswith("0.9442 in")
    panel.set(included_angle="41°26′")
    assert rows(panel)["Base reading, by eye"].startswith("69°17′")
    panel.set(internal=False)
    assert "towards you" in rows(panel)["Swing"]


@pytest.mark.parametrize("lesson", PRACTICE)
def test_practice_questions_fold_their_answers(lesson):
    shown = panels.questions(lesson)
    html = shown._repr_html_()
    for question in shown.questions:
        assert question.solution, f"no answer: {question.text}"
        assert question.solution in repr(shown)
    assert html.count("<details>") == len(shown.questions)
    assert len(shown.children) == len(shown.questions)


WORKED = [
    (worked.halving("41°26′", "0°12′"), ["20°43′", "± 0°06′"]),
    (
        worked.cross_reading("24°35′", 2.750, "in", Dial(0.001, 0.2, "diameter")),
        [2.750 * sin(deg(24, 35)), 5.5 * sin(deg(24, 35))],
    ),
    (worked.by_carriage("24°35′", 2.750, "in"), [2.750 * tan(deg(24, 35))]),
    (worked.axial("52°10′", 70.0, "mm"), [70 * cos(deg(52, 10))]),
    (
        worked.eye_error("20°43′", 0.640, "in", "0°15′", "0°06′"),
        [1.28 * (tan(HALF + deg(0, m)) - tan(HALF)) for m in (15, 6)],
    ),
    (worked.other_angle("34°10′"), ["145°50′"]),
    (
        worked.reversal("24°35′", 0.008, "in", 2.6, 1.3),
        [
            60 * (mpmath.degrees(mpmath.asin(sin(deg(24, 35)) + 0.008 / s)) - deg(24, 35))
            for s in (2.6, 1.3)
        ],
    ),
    (
        worked.reading_as_angle("27°", 2.0, 0.0005, "in"),
        [
            0.0005 / mpmath.sqrt(3),
            0.0005 * mpmath.sqrt(2) / mpmath.sqrt(3),
            0.0005 * mpmath.sqrt(2) / mpmath.sqrt(3) / (2 * cos(27)) * 3600 * 180 / mpmath.pi,
        ],
    ),
    (worked.opening("20°43′", 1.4035, 1.4195, "in"), [0.016, 0.008, 0.008 / tan(HALF)]),
    (worked.moved("20°43′", "in", faced_off=0.005), [-0.01 * tan(HALF)]),
    (worked.moved("20°43′", "in", carriage=0.02, internal=False), [-0.04 * tan(HALF)]),
    (worked.tool_height(0.04, "2°18′", 1.0, "in"), [0.02, 0.5 * sin(deg(2, 18))]),
    (
        worked.ball_stands("20°43′", 1.4195, 1.25, 0.75, "in"),
        [
            TOP := 0.625 * (1 + 1 / sin(HALF)) - 1.4195 / (2 * tan(HALF)),
            0.75 - TOP,
            TOP,
            1.25 * cos(HALF),
            1.4195 / (2 * tan(HALF)) - 0.625 * cos(HALF) ** 2 / sin(HALF),
        ],
    ),
    (
        worked.face_from_ball("20°43′", 1.25, 0.516, "in"),
        [1.25 * (tan(HALF) + 1 / cos(HALF)) - 1.032 * tan(HALF)],
    ),
    (worked.across_the_break("20°43′", 1.4195, 0.02, "in"), [1.4195 + 0.04 * (1 - tan(HALF))]),
    (worked.two_balls(1.4375, 0.8721, 1.0625, 0.1566, "in"), ["20°48′01″"]),
    (
        worked.rolls(1.7362, 2.1806, 1.0, 0.25, "in"),
        [
            "12°31′39″",
            1.7362 - 0.25 * (1 + mpmath.mpf("0.2222") + mpmath.sqrt(1 + mpmath.mpf("0.2222") ** 2)),
        ],
    ),
    (
        worked.countersink("82°", 10.0, 4.6, "mm"),
        [10 * (tan(41) + 1 / cos(41)) - 9.2 * tan(41)],
    ),
]


@pytest.mark.parametrize(("example", "results"), WORKED, ids=lambda one: str(one)[:24])
def test_worked_examples_give_formula_numbers_and_result(example, results):
    assert len(example.lines) == len(results)
    for line, result in zip(example.lines, results, strict=True):
        assert line.formula
        assert line.put_in
        if isinstance(result, str):
            assert line.result == result
        else:
            shown = re.match(r"[+−]?[\d.]+", line.result)[0].replace("−", "-")
            half_a_place = 0.5 * 10 ** -len(shown.partition(".")[2])
            assert abs(mpmath.mpf(shown) - result) <= half_a_place * 1.0001, line
        assert line.result.split()[0] in example._repr_html_()
        assert line.result in repr(example)


def test_a_taper_is_halved_before_the_inverse_tangent():
    half = worked.half_angle_of_taper("1:18").lines[-1].result
    assert abs(Angle.parse(half).degrees - mpmath.degrees(mpmath.atan(mpmath.mpf(1) / 36))) < 1e-5


LOOPS = (ast.For, ast.While, ast.comprehension, ast.JoinedStr, ast.Lambda)


def is_python_for_the_reader(source: str) -> bool:
    nodes = list(ast.walk(ast.parse(source)))
    formats = [n for n in nodes if isinstance(n, ast.Attribute) and n.attr in ("format", "join")]
    return bool(formats) or any(isinstance(node, LOOPS) for node in nodes)


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_no_lesson_holds_a_loop_or_a_format_string(path):
    for cell in nbformat.read(path, as_version=4).cells:
        if cell.cell_type == "code":
            assert not is_python_for_the_reader(cell.source), cell.source


def test_the_check_of_cells_would_find_one():
    for source in ("print(*(x for x in y))", "f'{x}'", "'{}'.format(x)", "[x for x in y]"):
        assert is_python_for_the_reader(source)


def test_what_a_slip_at_either_end_does_is_what_a_screw_with_slack_does():
    """A nut in 0.008 of slack, by hand: it moves only where a flank of the thread pushes it."""

    def run(nut, *handwheel):
        for at in handwheel:
            nut = min(max(nut, at - 0.008), at)
        return nut

    much, end, proved = practice("04 slips")
    assert [one.answer for one in (much, end, proved)] == ["too little", "the first", "nothing"]
    # Zeroed with the slack out, the second null at 0.9 of slide: past it by 0.05, and back to it.
    assert run(-0.008, 0.95, 0.9 - 0.008) == pytest.approx(0.9 - 0.008)
    straight = run(-0.008, 0.9)
    assert straight == pytest.approx(0.9 - 0.008), "0.9 on the dial where it is not turned back"
    # Zeroed with half the slack out: the dial counts in the other half, at its zero and for good.
    assert run(-0.004, 0.9) - -0.004 == pytest.approx(0.9 - 0.004)
