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
from tapertrig.boring import (
    carriage_to_change,
    cross_to_change,
    face_diameter_change,
    height_from_pip,
    height_from_rule,
    plan_cuts,
    seat_width,
    tool_height_effect,
    walls_meet,
)
from tapertrig.budget import (
    AngleBudget,
    Table,
    best_checks,
    compare,
    diameter_error,
    prospect,
    route_table,
)
from tapertrig.cone import Cone
from tapertrig.demo import FIRST_LATHE, LATHES
from tapertrig.demo import job as invented_job
from tapertrig.gauging import (
    BLOCK_SETS,
    ball_contact,
    ball_height,
    broken_edge,
    countersink_diameter,
    face_diameter_from_ball,
    face_diameter_from_rolls,
    findings,
    half_angle_from_rolls,
    half_angle_from_two_balls,
    height_window,
    sine_bar_check,
)
from tapertrig.gauging.aim import aim_at_size
from tapertrig.gauging.inspection import Inspection
from tapertrig.gauging.remedies import remedies
from tapertrig.job import Gauge, Instrument, Job, Readings, StatedAngle
from tapertrig.lathe import Dial, Lathe, length_text, places_written
from tapertrig.limits import one_of
from tapertrig.setup import (
    TaperSweep,
    axial_travel,
    cross_travel,
    cross_travel_by_carriage,
    half_angle_of_set_over,
    seam_step,
    set_over,
    set_over_by_rule,
    swing_from_known_taper,
)


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


def set_over_between(half_angle: str, work_length: float, unit: str) -> Worked:
    """The tailstock's set-over for work of a length between the centre points; the shop rule's."""
    half, said = Angle.parse(half_angle), length_text(work_length, unit)
    by_rule = set_over_by_rule(work_length, half)
    out = half_angle_of_set_over(work_length, by_rule) - half
    lines = [
        Line(name, f"length between the centre points × {function} α",
             f"{said} × {function} {half.brief()}", length_text(offset, unit, 5))
        for name, function, offset in (
            ("Set-over", "sin", set_over(work_length, half)), ("Shop rule", "tan", by_rule),
        )
    ]  # fmt: skip
    put_in = f"inverse sine of ({length_text(by_rule, unit, 5)} ÷ {said}) − {half.brief()}"
    formula = "inverse sine of (set-over ÷ length) − α"
    return Worked((*lines, Line("Rule out by", formula, put_in, _seconds(out.radians))))


def two_runs(half_angle: str, run: float, out_by: str, unit: str) -> Worked:
    """What to move between two runs of the slide, and the step that an error of it leaves."""
    half, error, said = Angle.parse(half_angle), Angle.parse(out_by), length_text(run, unit)
    step = length_text(float(seam_step(run, half, error)), unit, places_written(unit) + 1)
    moves = [
        Line(name, f"run × {function} α", f"{said} × {function} {half.brief()}",
             length_text(float(moved(run, half)), unit))
        for name, function, moved in (
            ("Carriage", "cos", axial_travel), ("Cross slide", "sin", cross_travel),
        )
    ]  # fmt: skip
    put_in = f"{said} × sin {error.brief()} ÷ cos {(half + error).brief()}"
    formula = "run × sin (error) ÷ cos (α + error)"
    return Worked((*moves, Line("Step, on radius", formula, put_in, step)))


def swept_taper(
    half_angle: str, travel: float, let_out: float, turned_let_out: float, unit: str
) -> Worked:
    """How far past a known taper the slide is swung, by two sweeps, the spindle half round."""
    half, fine = Angle.parse(half_angle), places_written(unit) + 1
    mean = TaperSweep(let_out, 0.0, turned_let_out, 0.0).let_out
    past = swing_from_known_taper(mean, travel, half)
    first, other, said = (length_text(one, unit, fine) for one in (let_out, turned_let_out, mean))
    put_in = f"{said} × cos {half.brief()} ÷ {length_text(travel, unit)}"
    told = past.dms().replace("-", "−")
    return Worked(
        (
            Line("Let out, e", "mean of both sweeps", f"({first} + {other}) ÷ 2", said),
            Line("Past the taper", "inverse sine of (e cos α ÷ s)", put_in, told),
        )
    )


def routes(half_angle: str, tolerance: str, taper_error: str) -> Table:
    """Every route on the invented lathe, side by side; the tolerance is that of the half angle."""
    half, allowed, own = map(Angle.parse, (half_angle, tolerance, taper_error))
    return route_table(LATHES[FIRST_LATHE], half, allowed, taper_error=own)


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


def _seconds(radians: float) -> str:
    seconds = abs(math.degrees(radians)) * 3600
    return f"{seconds:.0f}″" if seconds < 120 else f"{seconds / 60:.1f}′"


def reading_as_angle(half_angle: str, travel: float, reading: float, unit: str) -> Worked:
    """What two readings of the cross slide, each within ± `reading`, add to the angle's u."""
    half = Angle.parse(half_angle)
    fine = places_written(unit) + 2
    one, two = reading / math.sqrt(3), reading * math.sqrt(2 / 3)
    check = AngleBudget(half, travel, cross_reading=reading)
    lever = f"({length_text(travel, unit)} × cos {half.brief()})"
    said = length_text(two, unit, fine)
    return Worked(
        (
            Line("One reading", "limit ÷ √3", f"{reading:g} {unit} ÷ √3",
                 length_text(one, unit, fine)),
            Line("Two readings", "one × √2", f"{length_text(one, unit, fine)} × √2", said),
            Line("As an angle", "both ÷ (travel × cos α) × 206 265", f"{said} ÷ {lever} × 206 265",
                 _seconds(check.standard_uncertainty)),
        )
    )  # fmt: skip


def best_check(half_angle: str, tolerance: str, lathe: Lathe) -> Worked:
    """The best check of a lathe, and whether ± `tolerance` on the included angle is proven so."""
    half, allowed = Angle.parse(half_angle), Angle.parse(tolerance).half()
    best = best_checks(AngleBudget.on_lathe(lathe, half), lathe)[0]
    found = prospect(best, allowed)
    u, k = best.standard_uncertainty, best.factor
    travel = length_text(best.compound_travel, lathe.unit)
    left = Angle.from_arc_seconds(round(math.degrees(found.acceptance) * 3600)).brief()
    return Worked(
        (
            Line("Best", result=f"{best.route}, over {travel}"),
            Line("U, 95 %", "k × u", f"{k:.3g} × {_seconds(u)}", _seconds(found.expanded)),
            Line("Ratio", "half angle's tolerance ÷ U",
                 f"{allowed.brief()} ÷ {_seconds(found.expanded)}", f"{found.ratio:.1f} : 1"),
            Line("Proven within", "tolerance − 1.65 u",
                 f"{allowed.brief()} − 1.65 × {_seconds(u)}", f"± {left}"),
        )
    )  # fmt: skip


def other_ways(half_angle: str, *lathes: Lathe) -> Worked:
    """U of four ways of setting an angle, on each of these lathes, and what each way asks for."""
    bests = [
        best_checks(AngleBudget.on_lathe(lathe, Angle.parse(half_angle)), lathe)[0]
        for lathe in lathes
    ]
    ways = [compare(best, lathe.unit) for best, lathe in zip(bests, lathes, strict=True)]
    return listed(
        (same[0].name, f"{' and '.join(_seconds(way.expanded()) for way in same)}: {same[0].needs}")
        for same in zip(*ways, strict=True)
    )


def opening(half_angle: str, measured: float, wanted: float, unit: str) -> Worked:
    """What opens a bore's face diameter to size: by the cross slide, or by the carriage."""
    cone, grow = Cone(Angle.parse(half_angle), wanted), wanted - measured
    said, tangent = length_text(grow, unit), f"tan {cone.half_angle.brief()}"
    return Worked(
        (
            Line("To grow", "wanted − measured",
                 f"{length_text(wanted, unit)} − {length_text(measured, unit)}", said),
            Line("Cross slide", "growth ÷ 2", f"{said} ÷ 2",
                 length_text(cross_to_change(grow), unit)),
            Line("or carriage", "growth ÷ (2 × tan α)", f"{said} ÷ (2 × {tangent})",
                 length_text(carriage_to_change(cone, grow), unit)),
        )
    )  # fmt: skip


def moved(half_angle: str, unit: str, *, carriage: float = 0.0, faced_off: float = 0.0,
          compound: float = 0.0, internal: bool = True) -> Worked:  # fmt: skip
    """What one movement does to the face diameter."""
    cone = Cone(Angle.parse(half_angle), 1.0, internal=internal)
    tangent, sign = f"tan {cone.half_angle.brief()}", "" if internal else "−"
    by = {"carriage": carriage, "faced_off": faced_off, "compound": compound}
    name, far = next((one for one in by.items() if one[1]), ("carriage", 0.0))
    changes = float(face_diameter_change(cone, **{name: far}))
    shown = f"{'−' if changes < 0 else '+'}{length_text(abs(changes), unit)}"
    said = length_text(far, unit)
    return Worked(
        (
            {
                "carriage": Line("Carriage, to the headstock", f"{sign}2 × movement × tan α",
                                 f"{sign}2 × {said} × {tangent}", shown),
                "faced_off": Line("Faced off", "−2 × depth × tan α", f"−2 × {said} × {tangent}",
                                  shown),
                "compound": Line(f"Compound, {said} further in", result=f"{shown}: the tool runs "
                                 "along the wall that it has cut"),
            }[name],
        )
    )  # fmt: skip


def last_cuts(half_angle: str, measured: float, wanted: float, lathe: Lathe, roughing: float,
              finishing: float) -> Worked:  # fmt: skip
    """The last cuts to size, each with where the cross dial stands and the face diameter then."""
    cone = Cone(Angle.parse(half_angle), wanted)
    cuts = plan_cuts(cone, measured, lathe, roughing_cut=roughing, finish_allowance=finishing)
    return listed(
        (
            f"{number}. {cut.kind}",
            f"dial at {length_text(cut.cross_reading, lathe.unit)}, face "
            f"{length_text(cut.face_diameter, lathe.unit)}"
            f"{'; stop and measure' if cut.measure_after else ''}",
        )
        for number, cut in enumerate(cuts, 1)
    )


def size_to_aim_at(job: Job, unit: str) -> Worked:
    """The face diameter to bore for, and why that."""
    return listed([("Aim at", aim_at_size(job, unit).words)])


def tool_off_centre(half_angle: str, face: float, length: float, off: float, unit: str) -> Worked:
    """What a tool so far off centre does to the angle, and how far the wall bows."""
    found = tool_height_effect(Cone(Angle.parse(half_angle), face, length), off)
    bow = length_text(found.straightness, unit, places_written(unit) + 2)
    wall = "r = √(ρ² + e²), best-fit line along the wall"
    off_text = length_text(abs(off), unit)
    return Worked(
        (
            Line("Half angle too small by", wall, f"e = {off_text}", _seconds(found.angle_error)),
            Line("Wall out of straight by", "the most it leaves that line", f"e = {off_text}", bow),
        )
    )


def tool_height(pip: float, lean: str, bar: float, unit: str) -> Worked:
    """How far the tool is off centre, by the pip it leaves and by a rule pinched on a bar."""
    leans = Angle.parse(lean)
    return Worked(
        (
            Line("By the pip", "pip ÷ 2", f"{length_text(pip, unit)} ÷ 2",
                 length_text(height_from_pip(pip), unit)),
            Line("By the rule", "bar ÷ 2 × sin of the lean",
                 f"{length_text(bar, unit)} ÷ 2 × sin {leans.brief()}",
                 length_text(height_from_rule(leans, bar_diameter=bar), unit)),
        )
    )  # fmt: skip


def ball_stands(half_angle: str, face: float, ball: float, parallel: float, unit: str) -> Worked:
    """Where a ball's top stands over the face, what a depth micrometer reads, where it touches.

    The height is + proud; on parallels the micrometer reads parallels less height.
    """
    cone = Cone(Angle.parse(half_angle), face)
    half, top = cone.half_angle.brief(), float(ball_height(cone, ball))
    d, said = length_text(ball, unit), length_text(top, unit)
    touch = ball_contact(cone, ball)
    return Worked(
        (
            Line("Height of its top", "d ÷ 2 × (1 + 1 ÷ sin α) − D ÷ (2 × tan α)",
                 f"{d} ÷ 2 × (1 + 1 ÷ sin {half}) − {length_text(face, unit)} ÷ (2 × tan {half})",
                 said),
            Line("Micrometer reads", "parallels − height",
                 f"{length_text(parallel, unit)} − {said}", length_text(parallel - top, unit)),
            Line("so the height is", "parallels − reading",
                 f"{length_text(parallel, unit)} − {length_text(parallel - top, unit)}",
                 f"+{said}, proud"),
            Line("Touches on a circle of", "d × cos α", f"{d} × cos {half}",
                 length_text(touch.diameter, unit)),
            Line("below the face by", "D ÷ (2 × tan α) − d ÷ 2 × cos² α ÷ sin α",
                 f"{length_text(face, unit)} ÷ (2 × tan {half}) − {d} ÷ 2 × cos² {half} ÷ "
                 f"sin {half}", length_text(touch.depth, unit)),
        )
    )  # fmt: skip


def heights_allowed(half_angle: str, lower: float, upper: float, ball: float, graduation: float,
                    unit: str) -> Worked:  # fmt: skip
    """The print's limits as heights of a ball, and how many lines of the micrometer they span."""
    cone = Cone(Angle.parse(half_angle), (lower + upper) / 2)
    window = height_window(cone, ball, lower, upper)
    spread, half = upper - lower, cone.half_angle.brief()
    return Worked(
        (
            Line("The print allows", result=f"heights from {length_text(window.lowest, unit)} to "
                 f"{length_text(window.highest, unit)}"),
            Line("That is", "(upper − lower) ÷ (2 × tan α) ÷ line",
                 f"{length_text(spread, unit)} ÷ (2 × tan {half}) ÷ {graduation:g} {unit}",
                 f"{window.graduations(graduation):.1f} lines"),
        )
    )  # fmt: skip


def face_from_ball(half_angle: str, ball: float, height: float, unit: str) -> Worked:
    """The face diameter that a ball's height tells."""
    half = Angle.parse(half_angle)
    face = length_text(float(face_diameter_from_ball(half, ball, height)), unit)
    put_in = (
        f"{length_text(ball, unit)} × (tan {half.brief()} + 1 ÷ cos {half.brief()}) − 2 × "
        f"{length_text(height, unit)} × tan {half.brief()}"
    )
    return Worked((Line("Face diameter", "d × (tan α + 1 ÷ cos α) − 2 × h × tan α", put_in, face),))


def across_the_break(half_angle: str, face: float, deep: float, unit: str) -> Worked:
    """What calipers read across an edge broken so deep at 45°."""
    cone = Cone(Angle.parse(half_angle), face)
    put_in = (
        f"{length_text(face, unit)} + 2 × {length_text(deep, unit)} × (1 − tan "
        f"{cone.half_angle.brief()})"
    )
    outer = length_text(broken_edge(cone, deep).outer, unit)
    return Worked((Line("Calipers read", "D + 2 × depth × (1 − tan α)", put_in, outer),))


def two_balls(ball: float, height: float, small: float, small_height: float, unit: str) -> Worked:
    """The half angle that two balls tell."""
    found = half_angle_from_two_balls(ball, height, small, small_height)
    radii = (ball - small) / 2
    put_in = (
        f"inverse sine of {length_text(radii, unit, places_written(unit) + 1)} ÷ "
        f"({length_text(height, unit)} − {length_text(small_height, unit)} − "
        f"{length_text(radii, unit, places_written(unit) + 1)})"
    )
    formula = "inverse sine of (R − r) ÷ (H − h − (R − r))"
    return Worked((Line("Half angle", formula, put_in, found.dms()),))


def rolls(low: float, high: float, blocks: float, roll: float, unit: str) -> Worked:
    """Half angle and small diameter of an external cone, measured over rolls and blocks."""
    half = half_angle_from_rolls(low, high, block_height=blocks)
    face = float(face_diameter_from_rolls(half, roll, low))
    m1, m2 = length_text(low, unit), length_text(high, unit)
    return Worked(
        (
            Line("Half angle", "inverse tangent of (M₂ − M₁) ÷ (2 × B)",
                 f"inverse tangent of ({m2} − {m1}) ÷ (2 × {length_text(blocks, unit)})",
                 half.dms()),
            Line("Small diameter", "M₁ − d × (1 + tan α + 1 ÷ cos α)",
                 f"{m1} − {length_text(roll, unit)} × (1 + tan α + 1 ÷ cos α)",
                 length_text(face, unit)),
        )
    )  # fmt: skip


def seat_between(half_angle: str, large: float, small: float, unit: str) -> Worked:
    """The width of a seat between two edges: along its wall, and across."""
    half = Angle.parse(half_angle)
    along, across = float(seat_width(half, large, small)), (large - small) / 2
    put_in = f"({length_text(large, unit)} − {length_text(small, unit)})"
    return Worked(
        (
            Line("Along its wall", "(D − d) ÷ (2 × sin α)", f"{put_in} ÷ (2 × sin {half.brief()})",
                 length_text(along, unit)),
            Line("Across", "(D − d) ÷ 2", f"{put_in} ÷ 2", length_text(across, unit)),
        )
    )  # fmt: skip


def edge_between(
    half_angle: str, face: float, inner_half_angle: str, inner_face: float, unit: str
) -> Worked:
    """Where two walls of one bore meet, from their diameters carried up to the face."""
    outer, inner = (
        Cone(Angle.parse(half_angle), face), Cone(Angle.parse(inner_half_angle), inner_face)
    )  # fmt: skip
    depth, diameter = walls_meet(outer, inner)
    tangents = f"(tan {outer.half_angle.brief()} − tan {inner.half_angle.brief()})"
    put_in = f"({length_text(face, unit)} − {length_text(inner_face, unit)}) ÷ (2 × {tangents})"
    deep = length_text(depth, unit)
    across = f"{length_text(face, unit)} − 2 × {deep} × tan {outer.half_angle.brief()}"
    return Worked(
        (
            Line("Depth", "(D₁ − D₂) ÷ (2 × (tan α₁ − tan α₂))", put_in, deep),
            Line("Diameter", "D₁ − 2 × depth × tan α₁", across, length_text(diameter, unit)),
        )
    )


def from_gauge_plane(
    half_angle: str, diameter: float, depth: float, stock: float, unit: str
) -> Worked:
    """The face diameter of a bore from its gauge plane, and what stock on the face shows now."""
    cone = Cone.from_gauge_plane(Angle.parse(half_angle), diameter, depth)
    half, face = cone.half_angle.brief(), length_text(cone.face_diameter, unit)
    now = cone.face_diameter + face_diameter_change(cone, faced_off=-stock)
    return Worked(
        (
            Line("Face diameter", "D at the plane + 2 × depth × tan α",
                 f"{length_text(diameter, unit)} + 2 × {length_text(depth, unit)} × tan {half}",
                 face),
            Line("With the stock on", "face diameter + 2 × stock × tan α",
                 f"{face} + 2 × {length_text(stock, unit)} × tan {half}", length_text(now, unit)),
        )
    )  # fmt: skip


def countersink(included: str, ball: float, height: float, unit: str) -> Worked:
    """The diameter of a countersink at the surface, by a ball that stands so proud."""
    whole = Angle.parse(included)
    face = length_text(float(countersink_diameter(whole, ball, height)), unit)
    half = whole.half().brief()
    put_in = (
        f"{length_text(ball, unit)} × (tan {half} + 1 ÷ cos {half}) − 2 × "
        f"{length_text(height, unit)} × tan {half}"
    )
    return Worked(
        (Line("At the surface", "d × (tan α + 1 ÷ cos α) − 2 × h × tan α", put_in, face),)
    )


def sine_bar(included: str, bar: float, unit: str) -> Worked:
    """The stack under a sine bar for a plug's included angle, and what the nearest one leaves."""
    whole = Angle.parse(included)
    given = BLOCK_SETS[one_of("unit", unit, tuple(BLOCK_SETS))]
    check = sine_bar_check(Cone.from_included(whole, 1.0, internal=False), bar, given)
    fine = places_written(unit) + 1
    blocks = " + ".join(f"{block:g}" for block in check.stack.blocks)
    return Worked(
        (
            Line("Stack", "bar × sin of the included angle",
                 f"{length_text(bar, unit)} × sin {whole.brief()}",
                 length_text(check.wanted, unit, fine)),
            Line("Nearest of the set", result=f"{length_text(check.stack.height, unit)}: {blocks}"),
            Line("It leaves", result=f"{check.angle_error:+.1f}″".replace("-", "−")),
        )
    )  # fmt: skip


def inspected(first: float, *more: float) -> Worked:
    """Repeats with one ball on the invented job: each finding, and what would settle it."""
    read = Readings(
        "one ball", "in", (Gauge(1.25, limit=0.00005),), ((first, *more),), face_limit=0.0001,
        instrument=Instrument("depth micrometer", graduation=0.001, limit_of_error=0.0002),
        stated_angle=StatedAngle(
            Angle.parse("20°43′"), Angle.parse("0°02′"), "sine bar check of the invented plug"
        ),
        edge_break=0.020,
    )  # fmt: skip
    job = invented_job().with_readings(read, by="an invented inspector")
    told = [(one.name, one.words("in").partition(": ")[2]) for one in findings(job)]
    ways = remedies(Inspection(job.callout, read), balls=(1.0625, 1.25, 1.4375))
    return listed([*told, *(("To settle it", way.words) for way in ways)])
