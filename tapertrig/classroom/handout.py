"""`python -m tapertrig handout 03`: a lesson as one HTML file, for a phone and no internet.

The file holds the lesson's prose, what its worked examples showed, and each panel as a drawing
with the stops of its sliders, every one computed. Nothing in it is fetched, and its pictures and
words are there with scripts blocked too.
"""

from __future__ import annotations

import argparse
import ast
import json
import math
import os
import re
import sys
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

from tapertrig.classroom.lessons import Lesson, find_lesson
from tapertrig.practice.in_lessons import LessonQuestion, practice
from tapertrig.printed.handout import Stepping, Stop, prose, text_of, worked
from tapertrig.printed.page import HANDOUT_SCRIPTS, Markup, page
from tapertrig.saving import write_whole

MOST_BYTES = 500_000
# What the prose, its outputs and the page itself may take of it.
KEPT_FOR_PROSE = 80_000
# What a lesson says of its own controls, and what its handout says there.
SAID_HERE = {
    "Write the other answers and press Enter. *Show me* tells each.": "Write the other answers "
    "down. They fold out below each question on a screen, and stand at the end on paper.",
    "Write each answer and press Enter. *Show me* tells it.": "Write each answer down. The "
    "answers fold out below each question on a screen, and stand at the end on paper.",
    "Press *Forward* and look": "Move the slider (on paper, read the table) and look",
    "At the end, pick one of the numbered hands from the list": "In the lesson, pick one of the "
    "numbered hands from the list at the end",
    "The step stands beside the picture, and why. Read it, find the parts in the picture, and "
    "press its button. Look at the dials and the needle after each press.": "In the lesson the "
    "step stands beside the picture, and why, with its button. Here the steps are listed below "
    "the picture. Read each one and find its parts in the picture.",
    "On this one the class reads the dials itself, and finds the slip:": "On this one the class "
    "reads the dials itself, and finds the slip. What the dials read is in the table:",
    "Set 20°43′ by eye with *Swing the slide*, which tells no number. Drag it, or nudge it along "
    "with the arrow keys, as you would with light blows of a soft hammer. When you are content, "
    "switch *Hide answers* off. Then press *Another angle* and try again. Write your errors "
    "down.": "In the lesson you swing the slide to 20°43′ by eye, and no number helps you. Here "
    "find where the pointer must then stand on the scale, and see how well you can tell it. On a "
    "screen the answers have a slider that swings it there.",
    "Drag the included angle, or type one as you would write it: 37°25′, 37 25, 37.42. Or type a "
    "taper.": "Move the slider; in the lesson you may also type an angle or a taper.",
    "Work them out, write them in, and see which slip you made, if you made one. Then the angle is "
    "yours to drag.": "Work them out on paper, then look; the lesson also tells which slip you "
    "made, if you made one.",
    "- Find an included angle whose half needs both carries.": "- Write down an included angle "
    "whose half needs both carries, and halve it.",
    "Guess first, then find it.": "Guess first, then find the two stops of the slider that it "
    "lies between.",
    "- Set *Half angle to set* back to 20°43′, and change *Base zero* to “square to bed”. Where on "
    "the scale is a half angle of 20°43′ now?": "- On a base whose zero is square to the bed, "
    "where on the scale is a half angle of 20°43′?",
    " Try a longer cone.": " And over a cone twice as long?",
    "The bench below asks for the same steps, with its own numbers. It counts eight: step 3 goes "
    "with step 2 in one press, and the swing stands by itself.": "In the lesson a bench asks for "
    "the same steps; here is its picture, to find each part in.",
    "- You have to say two things": "- At the lesson's bench you have to say two things",
    "- After each pass the verdict": "- There, after each pass, the verdict",
    "- *Show the truth* tells": "- *Show the truth* there tells",
    "Do every step right, prove it, and then look": "In the lesson do every step right, prove it, "
    "and then look",
    "Put your hand on what you want to move,": "This, too, is done on the lesson's bench: here "
    "read what you would do. Put your hand on what you want to move,",
    "*Look at* picks out a pair; then drag *Turn into the lathe*.": "A pair is picked out; in the "
    "lesson you pick others, and turn it into the lathe.",
}
TABLE = "text/markdown"
FEWEST_STOPS, SECOND_STOPS = 61, 7
# A slider of so few positions, such as the steps of a procedure, is shown whole.
FEW_POSITIONS = 121


def main(arguments: list[str] | None = None) -> int:
    """Write a handout as the arguments say; the exit code."""
    reader = argparse.ArgumentParser(
        prog="python -m tapertrig handout",
        description="Write a lesson as one HTML file for a phone, without internet.",
    )
    reader.add_argument("lesson", help="its number, for example 03")
    reader.add_argument("--out", type=Path, metavar="FILE", help="its name here when left out")
    reader.add_argument("--replace", action="store_true", help="write over a file that is there")
    choice = reader.parse_args(arguments)
    try:
        lesson = find_lesson(choice.lesson)
        out = (choice.out or Path(f"{lesson.path.stem}.html")).expanduser()
        check_place(out, choice.replace)
        print(f"Drawing lesson {lesson.number}, {lesson.title} …", flush=True)
        text = handout(lesson)
        written = write_whole(out, text, new=not choice.replace)
    except (ValueError, OSError) as reason:
        print(f"tapertrig: {reason}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("\nStopped; nothing was written.", file=sys.stderr)
        return 130
    print(f"{written}  ({len(text.encode()) / 1e6:.2f} MB)")
    return 0


def check_place(out: Path, replace: bool) -> None:
    """Refuse before the drawing, not after it."""
    if out.is_dir():
        raise ValueError(f"{out} is a folder; name a file, for example --out {out / '03.html'}")
    if not out.absolute().parent.is_dir():
        raise ValueError(f"there is no folder {out.parent}; make it first, or name another")
    if os.path.lexists(out) and not replace:
        raise ValueError(
            f"{out} is there already and stays as it is; name another file with --out, "
            "or say --replace"
        )


def handout(lesson: Lesson) -> str:
    """The whole HTML document of a lesson; the same lesson gives the same text.

    ValueError when the notebook cannot be read, or one of its panels cannot be made.
    """
    try:
        cells = json.loads(lesson.path.read_text(encoding="utf-8"))["cells"]
        sources = [text_of(cell["source"]) for cell in cells]
        kinds = [cell["cell_type"] for cell in cells]
    except (ValueError, KeyError, TypeError) as wrong:
        raise ValueError(f"{lesson.path} is no notebook that can be read: {wrong}") from wrong
    shown_panels = iter(_panels(lesson, kinds, sources))
    parts: list[tuple[str, Any]] = []
    heading = ""
    for cell, kind, source in zip(cells, kinds, sources, strict=True):
        if kind == "markdown":
            for said, here in SAID_HERE.items():
                source = source.replace(said, here)
            parts.append(("prose", prose(source)))
            heading = ([heading] + re.findall(r"^## (.+)", source, re.MULTILINE))[-1]
        elif kind == "code" and _is_panel(source):
            parts.append(("panel", next(shown_panels)))
        elif kind == "code" and (questions := _questions(source)):
            parts.append(("questions", (heading, questions)))
        elif kind == "code" and not source.startswith("panels."):
            outputs = cell.get("outputs", [])
            tables = [one["data"][TABLE] for one in outputs if TABLE in one.get("data", {})]
            parts += [("prose", prose(text_of(table))) for table in tables]
            parts += [] if tables else [("worked", worked(source, outputs))]
    title, number = f"{lesson.number} · {lesson.title}", lesson.number
    return page("handout.html", title=title, script=HANDOUT_SCRIPTS, number=number, parts=parts)


# -- panels -------------------------------------------------------------------------------


def _called(source: str) -> tuple[str, list[Any]]:
    """Which panel a line `panels.name(...)` calls, and with what; no name for another line."""
    match ast.parse(source).body:
        case [ast.Expr(ast.Call(ast.Attribute(ast.Name("panels"), name), arguments))]:
            return name, [getattr(one, "value", None) for one in arguments]
    return "", []


def _is_panel(source: str) -> bool:
    """Whether a cell is one line that shows a panel with a picture."""
    try:
        return _called(source)[0] not in ("", "questions", "ways")
    except SyntaxError:
        return False


def _questions(source: str) -> tuple[LessonQuestion, ...]:
    """The questions that a cell `panels.questions("03")` shows; none for another cell."""
    try:
        name, arguments = _called(source)
        return practice(*arguments) if name == "questions" else ()
    except SyntaxError:
        return ()


def _panels(lesson: Lesson, kinds: Sequence[str], sources: Sequence[str]) -> list[Stepping]:
    """Every panel of a lesson, its stops within what the file may take."""
    code = [source for kind, source in zip(kinds, sources, strict=True) if kind == "code"]
    names: dict[str, Any] = {}
    lines: dict[Any, str] = {}
    for source in code:
        try:
            if _is_panel(source):
                lines[_made(source, names)] = source
            else:
                _take_imports(source, names)
        except Exception as wrong:  # whatever a lesson's line raises, the person is told where
            raise ValueError(f"{lesson.path.name}: the line {source!r} fails: {wrong}") from wrong
    made = list(lines)
    stepping: list[Stepping] = []
    listed: list[Any] = []
    for number, panel in enumerate(made, 1):
        title = panel.title or type(panel).__name__
        steps = panel.steps_to_read()
        stepping.append(
            _stepping(
                Stepping(
                    number,
                    title,
                    _stop(panel),
                    _svg(panel),
                    asks=tuple(one.question for one in panel.asked),
                    only=panel.only_in_lesson,
                    steps=() if steps in listed else steps,
                ),
                panel,
                partial(_made, lines[panel], names, True),
            )
        )
        listed.append(steps)
    # A second slider is given up first where it takes most.
    for one in sorted(stepping, key=lambda one: -len(one.packed) if one.grid else 0):
        if sum(len(each.packed) for each in stepping if each.grid) > MOST_BYTES - KEPT_FOR_PROSE:
            stepping[one.number - 1] = one.main_alone() if one.grid else one
    return stepping


def _made(line: str, names: dict[str, Any], show_answers: bool = False) -> Any:
    """The panel that a lesson's line makes, as on a phone."""
    panel = eval(line.strip(), names)
    panel.style_switch.value = False
    panel.board.room = "narrow"
    panel.picture().scene.each_anew = True
    if show_answers:
        panel.answers_switch.value = False
    return panel


def _take_imports(source: str, names: dict[str, Any]) -> None:
    try:
        lines = ast.parse(source).body
    except SyntaxError:  # a line for the notebook's own shell
        return
    imports: list[ast.stmt] = [
        line for line in lines if isinstance(line, ast.Import | ast.ImportFrom)
    ]
    exec(compile(ast.Module(imports, []), "lesson", "exec"), names)


def _svg(panel: Any) -> Markup:
    """The panel's present drawing, its colours left to the style sheet."""
    return Markup(panel.picture().svg(alternative=panel.board.words["alt"]))


def _text_at(control: Any) -> str:
    return f"{control.text} {control.unit}".strip()


def _stop(panel: Any) -> Stop:
    """What the panel shows now."""
    at = _text_at(panel.controls[panel.main]) if panel.main else ""
    return Stop(panel.board.marks, at, panel.board.words)


def _positions(control: Any) -> int:
    return round((control.maximum - control.minimum) / control.step) + 1


def round_values(low: float, high: float, fewest: int) -> list[float]:
    """Evenly spaced values between two ends, at steps that people use: so many or a few more."""
    exponent = math.floor(math.log10((high - low) / fewest))
    steps = [
        lead * 10.0**exponent
        for lead in (10, 8, 7.5, 6, 5, 4, 3, 2.5, 2, 1.5, 1.2, 1, 0.8, 0.75, 0.6, 0.5)
    ]
    for step in steps:
        first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
        if last - first + 1 >= fewest:
            return [index * step for index in range(first, last + 1)]
    raise AssertionError("half of a step too small leaves room for enough values")


def _second(panel: Any) -> Any:
    """The slider a handout gives beside the main one: the first other number that is free."""
    for name, control in panel.controls.items():
        if (
            name != panel.main
            and hasattr(control, "step")
            and not control.disabled
            and control.value is not None
            and control.maximum > control.minimum
        ):
            return control
    return None


def _stepping(still: Stepping, panel: Any, anew: Callable[[], Any]) -> Stepping:
    """A panel with the stops of its main slider and of a second, the lesson's values among them.

    Where coming back to a value shows something else than before, history counts (slack in a
    screw): then the stops are the moves there and back, in order, of a panel made `anew`.
    """
    if not panel.main or panel.only_in_lesson:
        return still
    panel.answers_switch.value = False
    control, shown = panel.controls[panel.main], _svg(panel)
    start, here = control.value, _stop(panel)
    values = _values(control, panel.main_span)
    row, again = _sweep(panel, values), _sweep(panel, values[::-1])[::-1]
    stepping = replace(still, label=control.label, shown=shown, at_second=[""])
    if [one and one.words for one in row] != [one and one.words for one in again]:
        fresh = anew()
        there = [value for value in values if value > start]
        moves = [here, *_sweep(fresh, there), *_sweep(fresh, values[-2::-1])]
        return replace(stepping, grid=[[one for one in moves if one]])
    control.value = start
    second = _second(panel)
    both = None if second is None else _with_second(stepping, panel, second, values)
    if both is not None:
        return both
    kept = [one for one in row if one]
    place = next(index for index, one in enumerate(kept) if one.at == here.at)
    return replace(stepping, grid=[kept], here=(0, place))


def _values(control: Any, main_span: tuple[float, float]) -> list[float]:
    """Where the main slider stops, in order, its present value among them."""
    count, start = _positions(control), control.value
    if count <= FEW_POSITIONS:
        values = [control.minimum + index * control.step for index in range(count)]
    else:
        length = control.maximum - control.minimum
        low, high = (control.minimum + part * length for part in main_span)
        values = round_values(low, high, FEWEST_STOPS)
    return sorted([start, *(value for value in values if abs(value - start) > 1e-9)])


def _with_second(still: Stepping, panel: Any, second: Any, values: list[float]) -> Stepping | None:
    """The stops of both sliders; at each of the second one, all of the main one.

    None where the second slider moves the ends of the main one: their stops make no grid.
    """
    control = panel.controls[panel.main]
    start, before = control.value, second.value
    ends = control.minimum, control.maximum
    span = second.maximum - second.minimum
    shares = [(index + 0.5) / SECOND_STOPS for index in range(SECOND_STOPS)]
    around = [second.minimum + second.step * round(share * span / second.step) for share in shares]
    nearest = min(around, key=lambda value: abs(value - before))
    around = sorted({before, *around} - ({nearest} - {before}))
    grid, names = [], []
    for value in around:
        control.value = start
        second.value = value
        if (control.minimum, control.maximum) != ends:
            second.value = before
            control.value = start
            return None
        names.append(_text_at(second))
        grid.append(_sweep(panel, values) if second.value == value else [None] * len(values))
    second.value, control.value = before, start
    row = around.index(before)
    # What the lesson's own row cannot draw is no stop.
    drawn = [at for at in range(len(values)) if grid[row][at]]
    place = next(index for index, at in enumerate(drawn) if values[at] == start)
    return replace(
        still,
        grid=[[one[at] for at in drawn] for one in grid],
        here=(row, place),
        second=second.label,
        at_second=names,
    )


def _sweep(panel: Any, values: Iterable[float]) -> list[Stop | None]:
    """What the panel shows at each value; None where it can draw nothing."""
    control = panel.controls[panel.main]
    found: list[Stop | None] = []
    for value in values:
        control.value = min(max(value, control.minimum), control.maximum)
        found.append(None if panel.board.stale else _stop(panel))
    return found
