"""Slips put into the kit one by one, to see whether the tests notice: `python tests/mutants.py`.

Needs `pip install cosmic-ray==8.7.0`. `python tests/mutants.py angle gauging/balls` does these
modules alone, `--share 0.1` a tenth of their slips, `--workers 2` two at a time, each in a copy
of the checkout. A module is held to the test files of its name, or where there is none, to all
that import it. Survivors are printed with what was changed. Left out are slips that change nothing
that is judged: types, decorators for the type checker, and the example in a refusal's words.
"""

from __future__ import annotations

import argparse
import ast
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path

from cosmic_ray.commands import init
from cosmic_ray.mutating import mutate_and_test
from cosmic_ray.work_db import use_db
from cosmic_ray.work_item import TestOutcome, WorkItem

CHECKOUT = Path(__file__).parents[1]
ROOMS = (".", "job", "gauging", "budget", "bench", "practice", "practice/problems", "draw/parts")
# Modules without tests of their name, and whose they are held to.
HELD_TO = {"job/passes": "job", "job/callout": "job", "job/plan": "job", "job/plain": "job_shared"}
# Their third argument, or one named `example`, is only ever shown in the words of a refusal.
CHECKS = ("finite", "positive", "not_negative", "numbers", "lengths")
# A word written in the code is one object wherever it stands: to be it is to equal it.
SAME = ("core/ReplaceComparisonOperator_Eq_Is", "core/ReplaceComparisonOperator_NotEq_IsNot")
PYTEST = "-m pytest -x -q -n0 -o addopts= -p no:cacheprovider -p no:nbval -p no:randomly"


def modules() -> list[str]:
    """All modules to be tried, as they are named on the command line."""
    found = (path for room in ROOMS for path in (CHECKOUT / "tapertrig" / room).glob("*.py"))
    return [
        path.relative_to(CHECKOUT / "tapertrig").with_suffix("").as_posix()
        for path in sorted(found)
        if path.stem not in ("__init__", "__main__", "moved", "demo", "cautions")
    ]


def tests_of(module: str) -> list[str]:
    """The test files of a module's name, or all quick ones that import it."""
    name, tests = HELD_TO.get(module, Path(module).name), CHECKOUT / "tests"
    own = [*tests.glob(f"test_{name}.py"), *sorted(tests.glob(f"test_{name}_*.py"))]
    if own:
        return [f"tests/{path.name}" for path in own]
    dotted = f"tapertrig.{module.replace('/', '.')}"
    room, _, stem = dotted.rpartition(".")
    importers = [
        f"tests/{path.name}"
        for path in sorted((CHECKOUT / "tests").glob("test_*.py"))
        if dotted in (text := path.read_text(encoding="utf-8"))
        or (f"from {room} import" in text and stem in text)
    ]
    if not importers:
        raise SystemExit(f"no test imports {dotted}")
    return importers


def command(module: str) -> str:
    """How the tests of a module are run."""
    chosen = ' -m "not slow and not browser" '
    return f"{sys.executable} {PYTEST}{chosen}{' '.join(tests_of(module))}"


def never_runs(source: str) -> list[tuple[tuple[int, int], tuple[int, int]]]:
    """From where to where there is nothing that is judged."""
    left_out: list[ast.AST | None] = []
    spans = []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.arg | ast.AnnAssign):
            left_out.append(node.annotation)
        elif isinstance(node, ast.FunctionDef):
            left_out.append(node.returns)
            if any(getattr(one, "id", "") == "overload" for one in node.decorator_list):
                # A decorator is taken out together with the blank lines before it.
                blank = 1 if node.col_offset else 2
                first = min(one.lineno for one in node.decorator_list)
                spans.append(((first - blank, 0), (node.end_lineno, node.end_col_offset)))
        elif isinstance(node, ast.Call) and getattr(node.func, "id", "") in CHECKS:
            left_out += node.args[2:]
            left_out += [named.value for named in node.keywords if named.arg == "example"]
        elif isinstance(node, ast.Call) and getattr(node.func, "id", "") == "where_given":
            left_out += [named.value for named in node.keywords]
    return spans + [
        ((node.lineno, node.col_offset - 1), (node.end_lineno, node.end_col_offset))
        for node in left_out
        if node is not None
    ]


def slips(module: str) -> list[WorkItem]:
    """Every slip to be tried in a module."""
    path = Path("tapertrig", f"{module}.py")
    outside = never_runs((CHECKOUT / path).read_text(encoding="utf-8"))
    with tempfile.TemporaryDirectory() as folder, use_db(str(Path(folder, "slips"))) as found:
        init([path], found, {})
        return [
            item
            for item in found.work_items
            for slip in item.mutations
            if slip.operator_name not in SAME
            and not any(low <= slip.start_pos and slip.end_pos <= high for low, high in outside)
        ]


def move_into_copy(parent: Path) -> None:
    """Give this worker a checkout of its own to change."""
    here = Path(tempfile.mkdtemp(dir=parent))
    keep = shutil.ignore_patterns(".*", "notebooks", "images", "__pycache__", "browser")
    shutil.copytree(CHECKOUT, here / "kit", ignore=keep)
    os.chdir(here / "kit")
    os.environ |= {"PYTHONPATH": os.getcwd(), "CI": "true"}


def attempt(item: WorkItem, run: str, seconds: float) -> tuple[bool, str]:
    """Whether the slip was noticed, and what it was."""
    result = mutate_and_test(item.mutations, run, seconds)
    return result.test_outcome != TestOutcome.SURVIVED, result.diff or ""


def main() -> int:
    """Try them all; 1 when fewer than nine in ten were noticed."""
    reader = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    reader.add_argument("modules", nargs="*", help="as angle or gauging/balls; all when left out")
    reader.add_argument("--share", type=float, default=1.0, help="of the slips, for example 0.1")
    reader.add_argument("--workers", type=int, default=1)
    choice = reader.parse_args()
    tried, killed = Counter(), Counter()
    os.chdir(CHECKOUT)
    with tempfile.TemporaryDirectory(prefix="tapertrig-mutants-") as folder:
        pool = ProcessPoolExecutor(
            choice.workers, initializer=move_into_copy, initargs=(Path(folder),)
        )
        for module in choice.modules or modules():
            run, started = command(module), time.monotonic()
            subprocess.run(run, shell=True, check=True, stdout=subprocess.DEVNULL)
            seconds = 10 + 4 * (time.monotonic() - started)
            items = slips(module)
            chosen = random.Random(module).sample(items, round(choice.share * len(items)))
            for noticed, change in pool.map(partial(attempt, run=run, seconds=seconds), chosen):
                tried[module] += 1
                killed[module] += noticed
                if not noticed:
                    print(change, flush=True)
            print(f"{module}: {killed[module]} of {tried[module]} noticed", flush=True)
        pool.shutdown()
    print(f"all: {killed.total()} of {tried.total()}")
    return int(killed.total() < 0.9 * tried.total())


if __name__ == "__main__":
    sys.exit(main())
