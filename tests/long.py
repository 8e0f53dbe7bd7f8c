"""All that takes from minutes to hours: `python tests/long.py`, or one part of it.

cases   all tests, with thousands of cases where the continuous checks take a sample
load    thirty learners on one server (`tests/bench/classroom.py`)
slips   small slips put into the code, to see whether the tests notice (`tests/mutants.py`)
pythons oldest and newest libraries, every Python here (`tests/oldest_newest.py`)

What follows `--` goes to the part, as in `python tests/long.py cases -- tests/test_angle.py`.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
from pathlib import Path

CHECKOUT = Path(__file__).parents[1]
PARTS = {
    "cases": ("-m", "pytest"),
    "load": ("tests/bench/classroom.py",),
    "slips": ("tests/mutants.py",),
    "pythons": ("tests/oldest_newest.py",),
}


def main() -> int:
    """The parts asked for, or all; 1 when one failed."""
    given = sys.argv[1:]
    cut = given.index("--") if "--" in given else len(given)
    reader = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    reader.add_argument("parts", nargs="*", help=", ".join(PARTS))
    parts = reader.parse_args(given[:cut]).parts or list(PARTS)
    if unknown := set(parts) - set(PARTS):
        reader.error(f"{', '.join(sorted(unknown))}: it must be one of {', '.join(PARTS)}")
    here = os.environ | {"TAPERTRIG_CASES": "long"}
    ended = {}
    for part in parts:
        command = [sys.executable, *PARTS[part], *given[cut + 1 :]]
        ended[part] = subprocess.run(command, cwd=CHECKOUT, env=here, check=False).returncode
    for part, code in ended.items():
        print(f"{part}: {'passed' if code == 0 else f'FAILED ({code})'}")
    return int(any(ended.values()))


if __name__ == "__main__":
    sys.exit(main())
