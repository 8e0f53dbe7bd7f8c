"""What a reader sees are examples of our own: neither check values nor the part behind them.

The check values are those of `reference/check_values.json` and the worked job of `test_setup.py`
and `test_job.py` (62°44′ and 62°45′ halved, 3.000 of compound travel; common practice, no source)
with the angle its formats are tried on. A lesson that showed them would teach the answers to its
own checks. What is let through stands below, each with its reason, and must still be there.
"""

from __future__ import annotations

import ast
import json
import re
from collections.abc import Iterator
from pathlib import Path

import nbformat
import pytest

from tapertrig.angle import Angle
from tapertrig.panels.gallery import PORTRAITS, portrait

ROOT = Path(__file__).parents[1]
REFERENCE = ROOT / "tests/reference/check_values.json"

WORKED_JOB = ("62°44′", "62°45′", "31°22′", "31°22′30″", "58°38′", "47°18′", "30°", "45°")
WORKED_LENGTHS = r"(?<![\d.])(?:3\.0+ ?(?:in\b|″)|1\.5615|1\.561\b|3\.123)"
THE_PART = r"(?i)\b(?:valves?|seats?|bored into (?:a|its) face)\b"
# Other ways to write the worked job's angles, with no degree sign to find them by.
SIGNLESS = r"(?<![\d.])(?:47[ :-]18|47d18|47\.30?|62[ :-]4[45]|62\.75|31[ :-]22|31\.375)(?!\d)"

ANGLE = re.compile(r"(?<![\d.])(\d{1,3}(?:\.\d+)?)°(?:\s?(\d{1,2}(?:\.\d+)?)[′'])?(?:(\d[\d.]*)″)?")
# Angles stay a degree from the worked job. Published tables lie so densely that a degree would
# leave nothing free: of those the very value is avoided.
MARGIN, NEAR = Angle.from_dms(1), Angle.from_dms(0, 1)
# Every slider of an angle ends somewhere below it; whole small degrees are steps, spans and limits.
SPANS_BELOW = Angle.from_dms(5, 1)

LET_THROUGH = (
    (r"\b45° (?:break|bevel|to an axial|or more)|, 45°$", "the edge break is 45° on every print"),
    (r"(?i)(?:past|up to|to below|at|of|through) 45°", "where the axial route takes over"),
    (r"(?i)(?<!valve )\bseats?\b(?! bored)", "the wall between relief and throat, lesson 11"),
    (r"^(?:15|20|75)°$", "an end of a slider, never where it stands"),
)


def published_angles() -> Iterator[Angle]:
    """Every angle of the reference file from five degrees up, given and expected."""
    for check in json.loads(REFERENCE.read_text("utf-8")):
        if check["topic"].startswith("3 "):
            continue  # the steps of the tolerance tables, which the sheet itself applies
        for name, value in {**check["given"], **check["expected"]}.items():
            if re.search(r"deg$|dms$|^angle$|^included(_angle)?$", name):
                try:
                    yield Angle.parse(re.sub(r"[a-z]+ ?", " ", str(value)).strip(" \"'"))
                except ValueError:
                    continue


AVOIDED = (
    *((Angle.parse(text), MARGIN) for text in WORKED_JOB),
    *((angle, NEAR) for angle in published_angles()),
)


def notebooks() -> Iterator[tuple[str, str]]:
    for path in sorted((ROOT / "notebooks").glob("*.ipynb")):
        for number, cell in enumerate(nbformat.read(path, as_version=4).cells):
            where = f"{path.name}, cell {number}"
            yield where, cell.source
            for output in cell.get("outputs", []):
                shown = output.get("data", {})
                yield where, output.get("text", "")
                for kind in ("text/plain", "text/html"):
                    yield where, shown.get(kind, "")


def strings_of_the_kit() -> Iterator[tuple[str, str]]:
    for path in sorted((ROOT / "tapertrig").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                yield f"{path.relative_to(ROOT)}:{node.lineno}", node.value


def test_no_message_gives_the_worked_travel_as_its_example():
    """Checks of a compound travel name an example; the worked job's is 3.0 or 3.000."""
    found = []
    for path in sorted((ROOT / "tapertrig").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Call):
                given = [one.value for one in node.args if isinstance(one, ast.Constant)]
                if any("travel" in str(one) for one in given) and 3.0 in given:
                    found.append(f"{path.name}:{node.lineno}")
    assert not found


def pages() -> Iterator[tuple[str, str]]:
    for name in ("README.md", "DEVELOPERS.md"):
        yield name, (ROOT / name).read_text("utf-8")
    for kind in ("html", "js", "css"):
        for path in sorted((ROOT / "tapertrig").rglob(f"*.{kind}")):
            yield str(path.relative_to(ROOT)), path.read_text("utf-8")


def faults(text: str) -> list[str]:
    """What of a text is a check value or the part, after what is let through."""
    for pattern, _reason in LET_THROUGH:
        text = re.sub(pattern, "", text)
    found = [m[0] for p in (WORKED_LENGTHS, THE_PART, SIGNLESS) for m in re.finditer(p, text)]
    for match in ANGLE.finditer(text):
        degrees, minutes, seconds = (match[1], match[2] or "0", match[3] or "0")
        if float(degrees) > 360 or float(minutes) >= 60 or float(seconds) >= 60:
            continue
        angle = Angle.parse(match[0])
        if angle > SPANS_BELOW and angle.degrees % 90:
            found += [match[0] for bad, margin in AVOIDED if abs(angle - bad) <= margin][:1]
    return found


@pytest.mark.parametrize("shown", [notebooks, strings_of_the_kit, pages])
def test_a_search_of_all_that_a_reader_sees_for_the_check_values_and_the_part_finds_none(shown):
    texts = list(shown())
    assert len(texts) >= 5
    found = [(where, fault) for where, text in texts for fault in faults(text)]
    assert not found, "\n".join(f"{where}: {fault}" for where, fault in found)


@pytest.mark.parametrize(("name", "panel", "start"), PORTRAITS, ids=lambda one: str(one)[:20])
def test_no_portrait_shows_them(name, panel, start):
    _frame, words = portrait(panel, start)
    assert not faults(words), name


@pytest.mark.parametrize(("pattern", "reason"), LET_THROUGH)
def test_what_is_let_through_is_still_there(pattern, reason):
    texts = [text for shown in (notebooks, strings_of_the_kit, pages) for _where, text in shown()]
    assert reason
    assert any(re.search(pattern, text) for text in texts), f"stale: {pattern}"


@pytest.mark.parametrize(
    "text",
    [
        *(
            "swing to 31°22′",
            "31°20′ is too near",
            "62 45",
            "47.3",
            "a half angle of 30°",
            "44°30′",
        ),
        *("run it 3.000 in", "reads 3.123", "a valve body", "a seat bored into a face"),
        *("1:4 is 14°15′", "the head's 10°", "half of it, 8°25′30″"),
    ],
)
def test_the_search_would_find_one(text):
    assert faults(text)
