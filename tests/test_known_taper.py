"""Setting by a known taper, travel by gauge blocks, and all routes on one lathe side by side."""

import math
import random
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
import uncertainties
from cases import cases
from uncertainties import umath

from tapertrig import Angle, Dial, Lathe, panels
from tapertrig.budget import AngleBudget, by_known_taper, route_budget, route_table
from tapertrig.budget.other_ways import KNOWN_TAPER
from tapertrig.demo import LATHES
from tapertrig.draw.known_taper import swept as drawn
from tapertrig.gauging.blocks import BLOCK_SETS, travel_stack
from tapertrig.lathe_book import FILE_NAME, LatheBook
from tapertrig.setup import BLOCKS, CROSS, EVERY_ROUTE, TAPER, TaperSweep, swing_from_known_taper

INCH, METRIC, OLD = LATHES.values()


def swept(theta, alpha, travel, far_side):
    """A swept indicator in the plane, no formula of the kit: how much the needle is let out.

    The axis is y = 0, headstock at large x; the plug's side is a line through two of its
    diameters, small end at the tailstock. The tip's holder goes along the slide's line; its stem
    is a line square to the axis, met with the plug's side by solving two equations.
    """
    side = -1.0 if far_side else 1.0
    length = 10.0
    small, large = 1.0, 1.0 + length * math.tan(alpha)
    one, other = np.array([0.0, side * small]), np.array([length, side * large])
    start = one + 0.05 * (other - one)
    holder = start + travel * np.array([math.cos(theta), side * math.sin(theta)])
    stem = np.array([0.0, 1.0])
    # holder + a·stem = one + b·(other − one)
    a, _ = np.linalg.solve(np.column_stack((stem, one - other)), one - holder)
    # The stem points to the axis: where the plug's side lies further along it, it is let out.
    return -side * a


@pytest.mark.parametrize("far_side", [False, True])
def test_the_swing_is_what_a_swept_indicator_tells(far_side):
    rng = random.Random(5)
    for _ in range(cases(300, 5000)):
        alpha = math.radians(rng.uniform(0.5, 80))
        out = math.radians(rng.uniform(-0.8, 0.8)) * min(1.0, math.degrees(alpha))
        travel = rng.uniform(0.4, 4.0)
        let_out = swept(alpha + out, alpha, travel, far_side)
        found = swing_from_known_taper(let_out, travel, Angle.from_radians(alpha))
        # Swung too far lets the needle out, and comes out positive.
        assert found.radians == pytest.approx(out, abs=1e-11)


def test_two_sweeps_half_a_turn_apart_cancel_a_leaning_taper():
    alpha, theta, travel = math.radians(14.2), math.radians(14.35), 2.2
    for lean in (0.0, 2e-4, -6e-4):
        one, other = (swept(theta, alpha + way * lean, travel, False) for way in (1, -1))
        sweep = TaperSweep(0.011, 0.011 - one, 0.012, 0.012 - other)
        found = swing_from_known_taper(sweep.let_out, travel, Angle.from_radians(alpha))
        assert found.radians == pytest.approx(theta - alpha, abs=1e-6)
        # A side that leans by a small angle at the wall: s cos θ × tan, over one end to the other.
        assert sweep.out_of_true == pytest.approx((one - other) / 2)
        alone = TaperSweep(0.011, 0.011 - one)
        assert alone.out_of_true is None
        misled = swing_from_known_taper(alone.let_out, travel, Angle.from_radians(alpha))
        assert misled.radians - (theta - alpha) == pytest.approx(-lean, abs=2e-6)


def test_readings_that_cannot_be_are_refused():
    with pytest.raises(ValueError, match="no slide can do"):
        swing_from_known_taper(3.0, 2.0, Angle.from_degrees(14))
    with pytest.raises(ValueError, match="give both ends"):
        TaperSweep(0.0, 0.001, 0.0)
    with pytest.raises(ValueError, match="compound travel"):
        swing_from_known_taper(0.001, 0.0, Angle.from_degrees(14))


@pytest.mark.parametrize("turned", [False, True])
def test_how_sure_a_swept_taper_is(turned):
    # General library: uncertainties, from the readings on.
    alpha, travel, null = math.radians(14.2), 2.2, 0.0001
    ends = [uncertainties.ufloat(0.0, null) for _ in range(4 if turned else 2)]
    first = ends[0] - ends[1]
    let_out = (first + ends[2] - ends[3]) / 2 if turned else first
    second = math.radians(1 / 3600)
    taper = uncertainties.ufloat(alpha, 15 * second / math.sqrt(3))
    lean = uncertainties.ufloat(0, 20 * second / math.sqrt(3))
    set_to = taper + lean + umath.asin(let_out * math.cos(alpha) / travel)
    found = by_known_taper(
        travel, taper_error=Angle.from_dms(0, 0, 15), null=null,
        mounting=Angle.from_dms(0, 0, 20), half_angle=Angle.from_radians(alpha), turned=turned,
    )  # fmt: skip
    assert found.standard_uncertainty == pytest.approx(set_to.std_dev, rel=1e-9)


@pytest.mark.parametrize("lathe", [INCH, METRIC])
def test_how_sure_a_travel_by_blocks_is(lathe):
    # General library: uncertainties. The stop met twice, the blocks' length, and the cross slide
    # with its dial and screw; quill, bolts and null as by the cross travel.
    half = Angle.parse("17°25'")
    found = AngleBudget.on_lathe(lathe, half, 2.0, route=BLOCKS)
    third = 1 / math.sqrt(3)
    line = lathe.cross_dial.movement_per_graduation / 2 * third
    stops = [uncertainties.ufloat(0, found.compound_reading * third) for _ in range(2)]
    run = (2 + stops[0] - stops[1]) * uncertainties.ufloat(1, found.block_error * third)
    side = 2 * math.sin(half.radians) + sum(uncertainties.ufloat(0, line) for _ in range(2))
    side *= uncertainties.ufloat(1, found.screw_error * third)
    side += math.sqrt(2) * uncertainties.ufloat(0, found.null)
    quill = {True: 1.0, False: third}[lathe.quill_slope is not None] * found.datum.radians
    turned = uncertainties.ufloat(0, quill) + uncertainties.ufloat(
        0, found.snugging.radians / math.sqrt(6)
    )
    assert found.standard_uncertainty == pytest.approx(
        (umath.asin(side / run) + turned).std_dev, rel=1e-9
    )
    # The same compound by its dial and a worn screw is the worse one.
    worn = AngleBudget.on_lathe(lathe, half, 2.0, route=CROSS, screw_error=0.003)
    better = AngleBudget.on_lathe(lathe, half, 2.0, route=BLOCKS, screw_error=0.003)
    assert better.standard_uncertainty < worn.standard_uncertainty


def test_the_stack_chosen_is_wrung_of_the_set_and_ends_on_a_line_of_the_cross_dial():
    rng = random.Random(8)
    for _ in range(cases(12, 300)):
        lathe = rng.choice((INCH, METRIC, OLD))
        half = Angle.from_arc_seconds(rng.randint(3 * 3600, 44 * 3600))
        stack, line = travel_stack(half, lathe)
        exact = [Fraction(repr(block)) for block in stack.blocks]
        assert len(set(exact)) == len(exact)
        assert set(stack.blocks) <= set(BLOCK_SETS[lathe.unit])
        assert float(sum(exact)) == pytest.approx(line.compound_travel, abs=1e-12)
        assert stack.height <= lathe.usable_travel() - lathe.take_up + 1e-9
        lines = line.cross_reading / lathe.cross_dial.graduation
        assert lines == pytest.approx(round(lines), abs=1e-6)
        moved = line.cross_reading / lathe.cross_dial.factor
        left = math.degrees(math.asin(moved / stack.height)) * 3600 - float(half.arc_seconds)
        assert left == pytest.approx(line.angle_error, abs=1e-6)
        assert abs(left) < 5


def test_routes_side_by_side_say_what_is_not_given():
    half, within = Angle.parse("13°35'"), Angle.from_dms(0, 6)
    table = route_table(INCH, half, within, taper_error=Angle.from_dms(0, 0, 30))
    rows = {row[0]: row for row in table.rows}
    assert set(EVERY_ROUTE) < set(rows)
    longest = INCH.usable_travel() - INCH.take_up
    budget = route_budget(INCH, half, longest, CROSS)
    said = Angle.parse(rows[CROSS][2].removeprefix("± "))
    assert 0 <= said.radians - budget.expanded() < math.radians(1 / 3600) + 1e-12
    assert rows["by eye"][3] == "not at all"
    assert rows[CROSS][3] == "with room"
    # A better taper is surer; one of which nothing is known is not judged.
    sure = [
        route_budget(INCH, half, longest, TAPER, Angle.from_dms(0, 0, n)).expanded()
        for n in (10, 50)
    ]
    assert sure[0] < sure[1]
    nothing = {row[0]: row for row in route_table(INCH, half, within).rows}[TAPER]
    assert nothing[2:] == ("not given: the taper's own error", "not given")
    assert "the known taper" in route_budget(INCH, half, longest, TAPER, None).left_out
    unknown = route_table(replace(INCH, compound_reach=None), half)
    assert [row[2].startswith("not given") for row in unknown.rows] == [True] * 5 + [False]
    assert "not given" in unknown.told[0]
    # What is typical says so.
    origins = {row.origin for row in route_budget(INCH, half, longest, TAPER, KNOWN_TAPER).sources}
    assert all("assumed" in origin for origin in origins)


def test_a_worn_dial_is_no_matter_where_no_dial_is_used():
    coarse = Lathe("in", 3.25, Dial(0.01, 0.1), Dial(0.01, 0.2, "diameter"))
    half = Angle.parse("13°35'")
    one, other = (route_budget(lathe, half, 2.5, TAPER) for lathe in (INCH, coarse))
    assert one.expanded() == other.expanded()


# The panel ---------------------------------------------------------------------------------------


def rows(panel):
    return {name: value for name, value, _mark in panel.board.words["rows"]}


@pytest.mark.parametrize("kind", ["external", "internal"])
@pytest.mark.parametrize("let_out", [0.004, -0.0035])
def test_the_gap_is_drawn_to_its_scale_and_side(kind, let_out):
    panel = panels.known_taper(
        kind=kind, half_angle="23°35′", large_end=-let_out, turned_large_end=-let_out
    )
    state = panel.last_state
    (start, end, far), times = drawn(state)
    along = end - start
    outward = along[1] * (1 if kind == "internal" else -1)
    assert math.degrees(math.atan2(outward, -along[0])) == pytest.approx(23 + 35 / 60)
    scale = math.hypot(*along) / state.compound_travel
    # Let out: the slide's line leaves the taper, away from the axis.
    gap = (far - end)[1] * (1 if kind == "internal" else -1)
    assert gap == pytest.approx(times * scale * let_out)
    assert ("back" in rows(panel)["Swing"]) == (let_out > 0)


def test_the_panel_says_what_is_missing_and_what_the_rim_moves():
    panel = panels.known_taper()
    told = rows(panel)
    # The mean of .0031 and .0019, on a rim of radius 2.2 in: by hand.
    past = math.asin(0.0025 * math.cos(math.radians(13 + 25 / 60)) / 2)
    assert told["At the rim"] == f"{2.2 * past:.5f} in"
    assert "without the taper's own error" in told["How sure"]
    assert told["Known taper"].startswith("not given: the taper's own error")
    assert all(route.capitalize() in told for route in EVERY_ROUTE)
    panel.set(taper_error="0°00′30″", turned_small_end=None, turned_large_end=None)
    told = rows(panel)
    assert "proves the tolerance" in told["Known taper"]
    assert "one way round only" in told["The taper leans"]
    panel.controls["turned_large_end"].value = 0.001
    assert "one reading of the second sweep" in panel.controls["turned_large_end"].message


def test_on_a_lathe_of_the_book_of_which_little_is_known(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    lathe = Lathe("mm", None, Dial(0.02, 2.0), Dial(0.05, 4.0), name="Shed lathe")
    LatheBook((lathe,)).save(tmp_path / FILE_NAME)
    told = rows(panels.known_taper(lathe="Shed lathe"))
    assert told["At the rim"] == "the rim's radius is not given"
    assert told["Stack for the compound"].startswith("not given how far")
    assert told["Cross travel"].startswith("not given: the travel")
    assert told["By eye"].startswith("± ")
