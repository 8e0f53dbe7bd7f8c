"""`python -m tapertrig handout 03`: a lesson as one HTML file, for a phone and no internet.

The file holds the lesson's prose, what its worked examples showed, and each panel as frames made
beforehand that a slider steps through. Nothing in it is fetched, and its pictures and words are
there with scripts blocked too.
"""

from __future__ import annotations

import argparse
import ast
import io
import json
import math
import os
import sys
from collections.abc import Callable, Iterable, Sequence
from functools import partial
from pathlib import Path
from typing import Any

from tapertrig.classroom.lessons import Lesson, find_lesson
from tapertrig.printed.handout import Frame, Stepping, prose, text_of, worked
from tapertrig.printed.page import page
from tapertrig.saving import write_whole

MOST_BYTES = 3_000_000
# What the prose, its outputs and the page itself may take of it.
KEPT_FOR_PROSE = 120_000
MOST_FRAMES = 31
# A slider of so few positions, such as the steps of a procedure, is shown whole.
FEW_POSITIONS = 45


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
        _check_place(out, choice.replace)
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


def _check_place(out: Path, replace: bool) -> None:
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
    """The whole HTML document of a lesson, of at most 3 MB; the same lesson gives the same text.

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
    for cell, kind, source in zip(cells, kinds, sources, strict=True):
        if kind == "markdown":
            parts.append(("prose", prose(source)))
        elif kind == "code" and _is_panel(source):
            parts.append(("panel", next(shown_panels)))
        elif kind == "code":
            parts.append(("worked", worked(source, cell.get("outputs", []))))
    title, number = f"{lesson.number} · {lesson.title}", lesson.number
    return page("handout.html", title=title, script="handout.js", number=number, parts=parts)


# -- panels -------------------------------------------------------------------------------


def _is_panel(source: str) -> bool:
    """Whether a cell is one line `panels.name(...)`."""
    try:
        call = ast.parse(source.strip(), mode="eval").body
    except SyntaxError:
        return False
    return (
        isinstance(call, ast.Call)
        and isinstance(call.func, ast.Attribute)
        and isinstance(call.func.value, ast.Name)
        and call.func.value.id == "panels"
    )


def _panels(lesson: Lesson, kinds: Sequence[str], sources: Sequence[str]) -> list[Stepping]:
    """Every panel of a lesson, its frames within what the file may take."""
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
    stills = {panel: _frame(panel) for panel in made}
    hidden = {panel for panel in made if panel.hiding}
    alone = [len(stills[panel]) for panel in made if panel in hidden or not panel.main]
    room = MOST_BYTES - KEPT_FOR_PROSE - sum(alone)
    stepping = [panel for panel in made if panel.main]
    stepping.sort(key=lambda panel: _positions(panel) > FEW_POSITIONS)
    frames: dict[Any, list[Frame]] = {}
    for left, panel in zip(range(len(stepping), 0, -1), stepping, strict=True):
        few = _positions(panel) <= FEW_POSITIONS
        panel.answers_switch.value = False
        share = room * 4 // 5 if few else room // left
        frames[panel] = _frames(panel, share, partial(_made, lines[panel], names, True))
        room -= sum(map(len, frames[panel]))
    return [
        Stepping(
            number,
            panel.title or type(panel).__name__,
            stills[panel],
            frames.get(panel, ()),
            panel.controls[panel.main].label if panel.main else "",
            panel in hidden,
        )
        for number, panel in enumerate(made, 1)
    ]


def _made(line: str, names: dict[str, Any], show_answers: bool = False) -> Any:
    """The panel that a lesson's line makes, in the desk style."""
    panel = eval(line.strip(), names)
    panel.style_switch.value = False
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


def _frame(panel: Any) -> Frame:
    """The panel's present picture and words."""
    from PIL import Image

    out = io.BytesIO()
    with Image.open(io.BytesIO(panel.board.frame)) as image:
        image.convert("RGB").save(out, "WEBP", lossless=True, method=4, quality=80)
    at = ""
    if panel.main:
        control = panel.controls[panel.main]
        at = f"{control.text} {control.unit}".strip()
    return Frame(out.getvalue(), at, dict(panel.board.words))


def _positions(panel: Any) -> int:
    control = panel.controls[panel.main]
    return round((control.maximum - control.minimum) / control.step) + 1


def round_values(low: float, high: float, most: int) -> list[float]:
    """At most so many evenly spaced values between two ends, at steps of 1, 2 or 5 × 10ⁿ."""
    exponent = math.floor(math.log10((high - low) / most)) - 1
    for power in range(exponent, exponent + 6):
        for lead in (1, 2, 5):
            step = lead * 10.0**power
            first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
            if last - first < most:
                return [index * step for index in range(first, last + 1)]
    raise AssertionError("a step of the size of the span leaves one or two values")


def _frames(panel: Any, room: int, anew: Callable[[], Any]) -> list[Frame]:
    """Frames along the panel's main slider that fit into the room, and the one it stands at.

    Where coming back to a value shows something else than before, history counts (slack in a
    screw): then the frames are the moves there and back, in order, of a panel made `anew`.
    """
    control = panel.controls[panel.main]
    start, here = control.value, _frame(panel)
    few = _positions(panel) <= FEW_POSITIONS
    ends = (0.0, 1.0) if few else panel.main_span
    length = control.maximum - control.minimum
    low, high = (control.minimum + part * length for part in ends)
    most = min(FEW_POSITIONS if few else MOST_FRAMES, max(2, int(room / (1.2 * len(here)))))
    values = [value for value in round_values(low, high, most) if abs(value - start) > 1e-9]
    below, above = ([v for v in values if v < start], [v for v in values if v > start])
    up = _sweep(panel, above)
    again = _sweep(panel, [*above[len(above) // 2 :][:1], start])
    seen = {frame.at: frame.words for frame in [here, *up]}
    if all(seen.get(frame.at, frame.words) == frame.words for frame in again):
        moves = [*_sweep(panel, below[::-1])[::-1], here, *up]
    else:
        fresh = anew()
        thin = round_values(low, high, max(2, most // 2))
        moves = [here, *_sweep(fresh, [value for value in thin if value > start + 1e-9])]
        moves += [frame for frame in _sweep(fresh, thin[::-1]) if frame.at != moves[-1].at]
    while sum(map(len, moves)) > room and len(moves) > 2:
        place = moves.index(here)
        moves = moves[place % 2 :: 2]
    return moves


def _sweep(panel: Any, values: Iterable[float]) -> list[Frame]:
    """A frame at each value that the panel can draw."""
    control = panel.controls[panel.main]
    found = []
    for value in values:
        control.value = min(max(value, control.minimum), control.maximum)
        if not panel.board.stale:
            found.append(_frame(panel))
    return found
