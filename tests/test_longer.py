"""Longer than the slide, and what blue tells: set-over and seams against brute force in space."""

from __future__ import annotations

import math

import mpmath
import numpy as np
import pytest
from cases import cases
from hypothesis import given, settings
from hypothesis import strategies as st
from reference import check_value
from scipy.spatial.transform import Rotation
from shapely import LineString

from tapertrig import Angle, Cone
from tapertrig.budget import blue_length, diameter_error, error_from_blue, too_large_by_blue
from tapertrig.setup import (
    half_angle_of_set_over,
    runs_needed,
    seam_step,
    set_over,
    set_over_by_rule,
)


@given(st.floats(0.05, 8), st.floats(2, 900))
@settings(max_examples=cases(25), deadline=None)
def test_work_between_offset_centres_turned_as_a_surface_of_revolution(degrees, length):
    """The tool goes along the bed; the work turns about the line between its two centre points.

    Brute force in space, turned by scipy: the angle is that of the surface, not of the formula.
    """
    half = Angle.from_degrees(degrees)
    offset = set_over(length, half)
    # Headstock centre at the origin; the tailstock's is `length` off and `offset` towards the tool.
    tail = np.array([math.sqrt(length**2 - offset**2), offset, 0.0])
    axis = tail / np.linalg.norm(tail)
    along_bed = np.linspace(0.1, 0.9, 7) * length
    tool = np.column_stack([along_bed, np.full(7, 0.6 * length), np.zeros(7)])
    turns = Rotation.from_rotvec(axis * np.linspace(0, 2 * math.pi, 24, endpoint=False)[:, None])
    surface = np.array([turn.apply(tool) for turn in turns])
    heights = surface @ axis
    radii = np.linalg.norm(surface - heights[..., None] * axis, axis=-1)
    assert np.ptp(radii, axis=0).max() < 1e-9 * length
    slope, _start = np.polyfit(heights.mean(0), radii.mean(0), 1)
    # Smaller towards the tailstock, which was set over towards the tool.
    assert math.degrees(math.atan(-slope)) == pytest.approx(degrees, rel=1e-8)
    assert half_angle_of_set_over(length, offset).degrees == pytest.approx(degrees, rel=1e-9)


@pytest.mark.parametrize(
    ("row", "length"),
    # US Navy 14345 and Modern Machine-Shop Practice, p. 614: both read; both by the shop rule.
    [(check_value("navy-offset-6"), 6.0), (check_value("shop-practice-offset"), 36.0)],
    ids=lambda value: value["id"] if isinstance(value, dict) else None,
)
def test_published_set_overs_are_the_shop_rules_and_a_hair_too_much(row, length):
    half = Cone.from_taper_per_foot(row["given"]["taper_per_foot_in"], 1.0).half_angle
    published = row["expected"]["setover_in"]
    assert set_over_by_rule(length, half) == pytest.approx(published, rel=1e-12)
    assert set_over(length, half) == pytest.approx(published * 0.99913, rel=1e-5)
    assert 7 < (half_angle_of_set_over(length, published) - half).arc_seconds < 8


@pytest.mark.parametrize("taper", [0.02, 1 / 12, 0.2])
def test_what_the_rule_costs_by_mpmath(taper):
    # General library: mpmath. 7″ at 1 in per foot, 103″ at a taper of 0.2.
    with mpmath.workdps(30):
        exact = mpmath.asin(mpmath.mpf(taper) / 2) - mpmath.atan(mpmath.mpf(taper) / 2)
        seconds = float(mpmath.degrees(exact) * 3600)
    half = Cone.from_taper(taper, 1.0).half_angle
    found = half_angle_of_set_over(8.4, set_over_by_rule(8.4, half)) - half
    assert float(found.arc_seconds) == pytest.approx(seconds, abs=1e-6)
    assert round(seconds) == {0.02: 0, 1 / 12: 7, 0.2: 103}[taper]


@given(
    st.floats(1, 75),
    st.floats(-900, 900),
    st.floats(0.5, 80),
    st.floats(-0.05, 0.05),
    st.floats(-0.05, 0.05),
    st.booleans(),
)
@settings(max_examples=cases(60), deadline=None)
def test_two_runs_joined_by_moving_the_slides_by_shapely(
    degrees, seconds, run, carriage, cross, internal
):
    """The tool's own walls, drawn and cut by a line square to the axis at the seam: shapely."""
    half, error = Angle.from_degrees(degrees), Angle.from_arc_seconds(seconds)
    stands = math.radians(degrees + seconds / 3600)
    # Towards the headstock is +x; out of an external cone's way is +y, into a bore's axis is −y.
    out = -1 if internal else 1
    first = np.array([0.0, 400.0])
    along = np.array([math.cos(stands), out * math.sin(stands)])
    nominal = [run * math.cos(half.radians), out * run * math.sin(half.radians)]
    second = first + nominal + [carriage, out * cross]
    walls = [LineString([at - 3 * run * along, at + 3 * run * along]) for at in (first, second)]
    seam = first[0] + run * math.cos(stands)
    heights = [wall.intersection(LineString([(seam, -9e4), (seam, 9e4)])).y for wall in walls]
    # Deeper into the metal: nearer the axis outside, further from it in a bore.
    deeper = (heights[1] - heights[0]) * (1 if internal else -1)
    assert seam_step(run, half, error, carriage, cross) == pytest.approx(deeper, abs=1e-9)


def test_with_true_moves_the_step_is_what_the_first_run_had_gained():
    # Plane geometry: both pieces begin on the wall wanted, so the first has drifted off by this.
    half, error = Angle.parse("9°20′"), Angle.from_arc_seconds(150)
    gained = diameter_error(2.4 * math.cos(half.radians), half, error) / 2
    assert seam_step(2.4, half, error) == pytest.approx(gained, rel=1e-12)
    assert seam_step(2.4, half, -error) < 0 < seam_step(2.4, half, error)
    assert seam_step(2.4, half, 0.0) == 0


@pytest.mark.parametrize(
    ("length", "degrees", "travel", "runs"),
    # 3-4-5 triangle: 4 along the axis is 5 along the wall at 36.8699°.
    [(4.0, math.degrees(math.acos(0.8)), 5.0, 1), (4.0, 36.0, 2.4, 3), (4.0, 10.0, 2.4, 2),
     (0.1, 10.0, 2.4, 1)],
)  # fmt: skip
def test_runs_needed(length, degrees, travel, runs):
    assert runs_needed(length, Angle.from_degrees(degrees), travel) == runs


@given(st.floats(3, 70), st.floats(15, 900), st.floats(0.00005, 0.0005), st.booleans(),
       st.booleans())  # fmt: skip
@settings(max_examples=cases(60), deadline=None)
def test_blue_where_the_film_bridges_the_gap_by_shapely(degrees, seconds, film, internal, steep):
    """A gauge's wall against the part's, and where the part comes within a film of it: shapely."""
    error = seconds / 3600 if steep else -seconds / 3600
    length = 40.0
    # Along the axis from the small end; both walls from the end that touches.
    true, out = math.radians(degrees), math.radians(degrees + error)
    # The part's metal is outside a bore's wall and inside an external cone's: where the part
    # widens faster than the gauge, a bore leaves it at the large end, an external cone nears it.
    at_small = steep if internal else not steep
    start = np.array([0.0, 50.0]) if at_small else np.array([length, 50 + length * math.tan(true)])
    way = 1 if at_small else -1
    ends = [start + way * length * np.array([math.cos(a), math.sin(a)]) for a in (true, out)]
    gauge, part = (LineString([start, end]) for end in ends)
    clear = 1 if internal else -1
    assert clear * (ends[1] - ends[0]) @ [-math.sin(true), math.cos(true)] > 0, "it overlaps"
    shows = part.intersection(gauge.buffer(film, quad_segs=64)).length
    assert blue_length(film, math.radians(error)) == pytest.approx(shows, rel=2e-3)
    assert too_large_by_blue(internal, "small end" if at_small else "large end") is steep
    found = error_from_blue(film, blue_length(film, math.radians(error)))
    assert found.degrees == pytest.approx(abs(error), rel=1e-9)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: set_over(0.0, Angle.from_dms(2)), "work length is 0"),
        (lambda: half_angle_of_set_over(8.0, 8.0), "set-over is 8 for a work length of 8"),
        (lambda: seam_step(2.4, Angle.from_dms(89), Angle.from_dms(2)), "with its error"),
        (lambda: blue_length(0.0002, 0.0), "shows all along"),
        (lambda: error_from_blue(0.01, 0.05), "less than ten times its film"),
        (lambda: too_large_by_blue(True, "face"), "blue shows at is 'face'"),
    ],
)
def test_refused_in_words(call, words):
    with pytest.raises(ValueError, match=words):
        call()
