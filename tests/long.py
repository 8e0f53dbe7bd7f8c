"""Everything that takes minutes: thousands of cases and the load checks.

`python tests/long.py` runs all tests with TAPERTRIG_CASES=long; what follows goes to pytest, as in
`python tests/long.py tests/test_angle.py -k halving`.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

CHECKOUT = Path(__file__).parents[1]


def main() -> int:
    """pytest's exit code."""
    return subprocess.run(
        [sys.executable, "-m", "pytest", *sys.argv[1:]],
        cwd=CHECKOUT,
        env={**os.environ, "TAPERTRIG_CASES": "long"},
        check=False,
    ).returncode


if __name__ == "__main__":
    sys.exit(main())
