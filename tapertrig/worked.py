"""Worked examples as a machinist writes them: the formula, the numbers put in, the result.

`print` and a notebook's text show one line a step; a notebook shows a table. Angles are given as
people write them ("24°35′"), lengths in `unit`, "in" or "mm".
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from html import escape

from tapertrig.angle import Angle
from tapertrig.bench import reversal_cost
from tapertrig.budget import diameter_error
from tapertrig.cone import Cone
from tapertrig.lathe import Dial, Lathe, length_text
from tapertrig.setup import axial_travel, cross_travel, cross_travel_by_carriage


@dataclass(frozen=True)
class Line:
    """One step: what is found, its formula, the numbers put in, and the result with its unit."""

    name: str
    formula: str = ""
    put_in: str = ""
    result: str = ""

    def __str__(self) -> str:
        parts = [part for part in (self.formula, self.put_in, self.result) if part]
        return f"{self.name}: {' = '.join(parts)}"


@dataclass(frozen=True)
class Worked:
    """The steps of one example, in order."""

    lines: tuple[Line, ...]

    def __repr__(self) -> str:
        return "\n".join(map(str, self.lines))

    def _repr_html_(self) -> str:
        left = 'style="text-align:left"'
        rows = "".join(
            f'<tr><th scope="row" {left}>{escape(line.name)}</th><td {left}>'
            f"{escape(' = '.join(filter(None, (line.formula, line.put_in))))}</td>"
            f"<td {left}>{escape('= ' * bool(line.formula) + line.result)}</td></tr>"
            for line in self.lines
        )
        return f'<table class="tapertrig-worked"><tbody>{rows}</tbody></table>'


def listed(rows: Iterable[tuple[str, str]]) -> Worked:
    """Named results as a table: `worked.listed(plan.rows())`."""
    return Worked(tuple(Line(name, result=result) for name, result in rows))


def halving(included: str, tolerance: str = "") -> Worked:
    """The half angle of an included angle, and half of its tolerance."""
    whole = Angle.parse(included)
    lines = [Line("Half angle", "included angle ÷ 2", f"{whole.brief()} ÷ 2", whole.half().brief())]
    if tolerance:
        limit = Angle.parse(tolerance)
        half = f"± {limit.half().brief()}"
        lines.append(Line("Tolerance on it", "tolerance ÷ 2", f"± {limit.brief()} ÷ 2", half))
    return Worked(tuple(lines))


def eye_error(half_angle: str, length: float, unit: str, *errors: str) -> Worked:
    """What an angle out by each of these errors does to the diameter at the far end of a cone."""
    half = Angle.parse(half_angle)
    lines = []
    for error in map(Angle.parse, errors):
        change = float(diameter_error(length, half, error))
        tangents = f"tan {(half + error).brief()} − tan {half.brief()}"
        put_in = f"2 × {length_text(length, unit)} × ({tangents})"
        formula = "2 × length × (tan of the angle as it is − tan of the angle wanted)"
        lines.append(Line(f"{error.brief()} out", formula, put_in, length_text(change, unit)))
    return Worked(tuple(lines))


def half_angle_of_taper(taper: str) -> Worked:
    """The half angle of a taper as a print writes it: “1:16”, “5 %”."""
    cone = Cone.from_taper(taper, 1.0)
    return Worked(
        (
            Line("Taper", "change of diameter ÷ length", taper, f"{cone.taper:.6g}"),
            Line(
                "Half angle",
                "inverse tangent of (taper ÷ 2)",
                f"inverse tangent of {cone.taper / 2:.6g}",
                cone.half_angle.brief(),
            ),
        )
    )


def base_reading(half_angle: str, lathe: Lathe) -> Worked:
    """What a lathe's base reads with the slide at a half angle."""
    half = Angle.parse(half_angle)
    reading = lathe.base_reading(half).brief()
    square = lathe.base_zero == "square to bed"
    formula, put_in = (
        ("90° − half angle", f"90° − {half.brief()}") if square else ("half angle", "")
    )
    return Worked((Line(f"Base reads, zero {lathe.base_zero}", formula, put_in, reading),))


def other_angle(angle: str) -> Worked:
    """The angle beside one on a straight line."""
    one = Angle.parse(angle)
    other = Angle.from_dms(180) - one
    return Worked(
        (Line("The others", "180° − half angle", f"180° − {one.brief()}", other.brief()),)
    )


def cross_reading(half_angle: str, travel: float, unit: str, dial: Dial) -> Worked:
    """The cross travel of a compound travel, and what the cross dial shows for it."""
    half = Angle.parse(half_angle)
    cross = float(cross_travel(travel, half))
    said, moved = length_text(travel, unit), length_text(cross, unit)
    lines = [Line("Cross travel", "travel × sin α", f"{said} × sin {half.brief()}", moved)]
    if dial.factor == 2:
        reading = length_text(float(dial.reading(cross)), unit)
        formula = "2 × cross travel, unrounded"
        lines.append(Line("Dial, diameter-reading", formula, f"2 × {cross:.6f}", reading))
    return Worked(tuple(lines))


def by_carriage(half_angle: str, travel: float, unit: str) -> Worked:
    """The cross travel when the carriage is moved as far."""
    half = Angle.parse(half_angle)
    cross = length_text(float(cross_travel_by_carriage(travel, half)), unit)
    put_in = f"{length_text(travel, unit)} × tan {half.brief()}"
    return Worked(
        (Line("Cross travel, by the carriage", "carriage travel × tan α", put_in, cross),)
    )


def axial(half_angle: str, travel: float, unit: str) -> Worked:
    """The axial travel of a compound travel."""
    half = Angle.parse(half_angle)
    along = length_text(float(axial_travel(travel, half)), unit)
    put_in = f"{length_text(travel, unit)} × cos {half.brief()}"
    return Worked((Line("Axial travel", "travel × cos α", put_in, along),))


def reversal(half_angle: str, backlash: float, unit: str, *travels: float) -> Worked:
    """What one reversal on the cross screw costs the angle, at most, over each travel."""
    half = Angle.parse(half_angle)
    sine = math.sin(half.radians)
    lines = []
    for travel in travels:
        cost = Angle.from_radians(float(reversal_cost(backlash, travel, half))).minutes
        said = length_text(travel, unit)
        put_in = (
            f"inverse sine of ({sine:.5f} + {length_text(backlash, unit)} ÷ {said}) "
            f"− {half.brief()}"
        )
        formula = "inverse sine of (sin α + backlash ÷ travel) − α"
        lines.append(Line(f"Over {said}", formula, put_in, f"{cost:.1f}′"))
    return Worked(tuple(lines))
