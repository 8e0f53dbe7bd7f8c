"""The types that the kit promises, held by mypy."""

import subprocess
import sys
from pathlib import Path

CHECKOUT = Path(__file__).parents[1]

TYPED = """
from typing import assert_type
import numpy as np
from tapertrig import Angle, Cone, Dial
from tapertrig.gauging import ball_contact, half_angle_from_rolls, over_rolls
from tapertrig.limits import Array, lengths
from tapertrig.setup import cross_travel, half_angle_from

alpha, many, cone = Angle.from_dms(17, 3), np.ones(3), Cone(Angle.from_dms(17), 20.0)
assert_type(lengths("travel", 2), float)
assert_type(lengths("travel", many), Array)
assert_type(cross_travel(40.0, alpha), float)
assert_type(cross_travel(many, alpha), Array)
assert_type(cross_travel(40.0, many), Array)
assert_type(Dial(0.02, 3.0).reading(1.5), float)
assert_type(ball_contact(cone, 18.0).depth, float)
assert_type(ball_contact(cone, many).depth, Array)
assert_type(over_rolls(cone, many, 3.0), Array)
assert_type(half_angle_from(40.0, 12.0), Angle)
assert_type(half_angle_from(many, 12.0), Array)
assert_type(half_angle_from_rolls(40.0, 45.0, 10.0), Angle)
cross_travel("40", alpha)
"""


def test_types_hold(tmp_path):
    """mypy over the package by its settings, and over callers; it must see the last line's slip."""
    callers = tmp_path / "callers.py"
    callers.write_text(TYPED)
    ran = subprocess.run(
        [sys.executable, "-m", "mypy", "-p", "tapertrig"],
        cwd=CHECKOUT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.returncode == 0, ran.stdout
    ran = subprocess.run(
        [sys.executable, "-m", "mypy", callers],
        cwd=CHECKOUT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert [line.split(":")[1] for line in ran.stdout.splitlines() if ": error:" in line] == [
        str(TYPED.count("\n"))
    ], ran.stdout
