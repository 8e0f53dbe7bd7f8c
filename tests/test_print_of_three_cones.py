"""One print of our own invention with three cones in one bore, from print to record.

Each callout is cut, measured and judged by itself. The balls' heights are those of a shapely
bore: the cones cut out one after the other, and each ball let down until it touches metal.
"""

from __future__ import annotations

import math

from shapely import LineString, Point
from test_record import text_of

from tapertrig import Angle, demo
from tapertrig.gauging.inspection import findings
from tapertrig.job import Callout, Gauge, Instrument, Job, Readings, StatedAngle
from tapertrig.printed.inspection_record import inspection_record
from tapertrig.several_cones import SeveralCones

NAMES = ("relief", "seat", "throat")
HALVES = tuple(Angle.parse(one) for one in ("57°35′", "41°40′", "24°50′"))
BORE = SeveralCones.from_edges(HALVES, (1.62, 1.30, 1.02, 0.62))
LIMIT, ANGLE = 0.004, Angle.parse("0°06′")


def job() -> Job:
    asked = [
        Callout(
            "half angle", half, round(cone.face_diameter, 4), diameter_plus=LIMIT,
            diameter_minus=LIMIT, angle_tolerance=ANGLE, tolerance_on="half angle", name=name,
        )
        for name, half, cone in zip(NAMES, HALVES, BORE.cones, strict=True)
    ]  # fmt: skip
    return Job(tuple(asked), demo.LATHES[demo.FIRST_LATHE])


def settled(cone: int) -> tuple[float, float]:
    """A ball for the middle of a wall, and the height of its top over the face, by shapely."""
    wall = BORE.walls[cone]
    middle = (wall.upper.diameter + wall.lower.diameter) / 2
    ball = round(middle / math.cos(wall.half_angle.radians), 3)
    edges = [(one.depth, one.diameter / 2) for one in BORE.edges]
    metal = LineString([(0, 3), *edges, (3, BORE.hole / 2)])
    deep, out = 2.0, -3.0  # the centre is lowered along the axis, from open air
    for _ in range(60):
        at = (deep + out) / 2
        touches = Point(at, 0).distance(metal) < ball / 2
        deep, out = (at, out) if touches else (deep, at)
    return ball, ball / 2 - out


def measured(cone: int, off: float = 0.0) -> Readings:
    ball, height = settled(cone)
    rows = tuple(round(height + off + by, 4) for by in (0.0001, -0.0001, 0.0, 0.0001, -0.0001))
    return Readings(
        "one ball", "in", (Gauge(ball, 0.00005),), (rows,), cone=cone, face_limit=0.0001,
        instrument=Instrument("height gauge", 0.0001, 0.0001), edge_break=0.0,
        stated_angle=StatedAngle(HALVES[cone], Angle.parse("0°01′"), "invented check of the slide"),
        measured_by="an invented inspector", date="2026-11-26",
    )  # fmt: skip


def cut_and_measured(off: dict[int, float]) -> Job:
    """Each cone set by a pass of its own, bolts tight, then measured with a ball of its own."""
    made = job()
    for cone, half in enumerate(HALVES):
        if half.degrees > 45:  # checked along the axis
            reads = {"axial_reading": round(2.5 * math.cos(half.radians), 4)}
        else:  # this cross dial reads diameter
            reads = {"cross_reading": round(5 * math.sin(half.radians), 4)}
        made = made.with_pass(2.5, **reads, bolts="tight", cone=cone)
    for cone in range(3):
        made = made.with_readings(measured(cone, off.get(cone, 0.0)), "an invented inspector")
    return made


def test_each_cone_of_one_print_has_its_own_lines_from_print_to_record(tmp_path):
    # A seat's ball that stands .01 too high: too small by 2 × .01 × tan 41°40′, past its limit.
    kept = cut_and_measured({1: 0.01})
    kept.keep(tmp_path / "three.job.json")
    made = Job.load(tmp_path / "three.job.json")
    faces = {one.cone: one for one in findings(made) if one.requirement == "face diameter"}
    for cone in (0, 2):
        assert faces[cone].verdict == "conforms"
        assert abs(faces[cone].value - BORE.cones[cone].face_diameter) < 0.0003
    small = 0.02 * math.tan(HALVES[1].radians)
    assert faces[1].verdict == "does not conform"
    assert abs(faces[1].value - BORE.cones[1].face_diameter + small) < 0.0003
    assert [one.cone for one in findings(made)] == [0, 0, 1, 1, 2, 2]
    words = text_of(inspection_record(made))
    for name, half in zip(NAMES, HALVES, strict=True):
        assert f"{name}: Slide set to {half.brief()[:3]}" in words
    assert words.count("does not conform") >= 1


def test_a_cone_that_nobody_measured_is_not_measured_and_the_others_are():
    made = job()
    made = made.with_readings(measured(1), "an invented inspector")
    told = {(one.cone, one.requirement): one.verdict for one in findings(made)}
    assert told[1, "face diameter"] == "conforms"
    assert {told[cone, "face diameter"] for cone in (0, 2)} == {"not measured"}
