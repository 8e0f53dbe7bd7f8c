"""Which ball, and which two: ranking, sensitivities, covariances."""

import math
from itertools import combinations

import numpy as np
import pytest
import uncertainties
from hypothesis import given, settings
from hypothesis import strategies as st
from mpmath import mp
from uncertainties import umath

from tapertrig import Angle, Cone
from tapertrig.gauging import (
    GaugeUncertainty,
    ball_contact,
    ball_height,
    ball_pairs,
    ball_range,
    ball_sensitivities,
    suitable_balls,
    two_ball_sensitivities,
)

SEAT = Cone(Angle.parse("20°43′"), 1.418, 0.64)
BALLS = [0.75, 1.0, 1.0625, 1.125, 1.25, 1.375, 1.5, 1.625]
SPREADS = GaugeUncertainty(ball=2e-5, height=2e-4, face=1e-4, half_angle=3e-4)


def face_diameter(alpha, ball, height, lib=math):
    """The one-ball formula once more, for numbers that carry derivatives or uncertainties."""
    return ball * (lib.tan(alpha) + 1 / lib.cos(alpha)) - 2 * height * lib.tan(alpha)


def two_balls(large, top, small, low, lib=math):
    """Half angle and face diameter from two balls, likewise."""
    radii = (large - small) / 2
    alpha = lib.asin(radii / (top - low - radii))
    return alpha, face_diameter(alpha, large, top, lib)


@given(st.floats(1.0, 80.0), st.floats(0.5, 50.0), st.floats(0.01, 0.99))
@settings(deadline=None)
def test_sensitivities_against_mpmath(half_angle, face, part):
    cone = Cone(Angle.from_degrees(half_angle), face)
    ball = part * ball_range(cone)[1]
    at = (cone.half_angle.radians, ball, float(ball_height(cone, ball)))
    with mp.workdps(40):
        numeric = [
            float(mp.diff(lambda *x: face_diameter(*x, lib=mp), at, order))
            for order in ((0, 1, 0), (0, 0, 1), (1, 0, 0))
        ]
    scale = 2 * face / math.tan(at[0]) / math.cos(at[0]) ** 2
    assert ball_sensitivities(cone, ball) == pytest.approx(numeric, rel=1e-9, abs=1e-9 * scale)


@given(st.floats(2.0, 75.0), st.floats(0.05, 0.9), st.floats(0.02, 0.09))
@settings(deadline=None)
def test_two_ball_sensitivities_against_mpmath(half_angle, part, more):
    cone = Cone(Angle.from_degrees(half_angle), 1.5)
    largest = ball_range(cone)[1]
    small, large = part * largest, (part + more) * largest
    at = (large, float(ball_height(cone, large)), small, float(ball_height(cone, small)))
    found = two_ball_sensitivities(cone, large, small)
    for row in (0, 1):
        with mp.workdps(40):
            numeric = [
                float(
                    mp.diff(
                        lambda *x, row=row: two_balls(*x, lib=mp)[row],
                        at,
                        tuple(int(i == j) for j in range(4)),
                    )
                )
                for i in range(4)
            ]
        assert found[row, :4] == pytest.approx(numeric, rel=1e-7)
        # Both heights together: what face flatness or a zero error does.
        assert found[row, 4] == pytest.approx(numeric[1] + numeric[3], abs=1e-6 * abs(numeric[1]))


def by_library(large, small, spreads):
    """Half angle and face diameter of a pair as correlated numbers of `uncertainties`."""
    face = uncertainties.ufloat(0, spreads.face)
    inputs = []
    for ball in (large, small):
        inputs += [
            uncertainties.ufloat(ball, spreads.ball),
            uncertainties.ufloat(float(ball_height(SEAT, ball)), spreads.height) + face,
        ]
    return two_balls(*inputs, lib=umath)


def test_pairs_agree_with_a_general_uncertainty_library():
    pairs = ball_pairs(SEAT, BALLS, SPREADS)
    fitting = [ball for ball in BALLS if ball_range(SEAT)[0] < ball < ball_range(SEAT)[1]]
    assert {(p.small.ball_diameter, p.large.ball_diameter) for p in pairs} == set(
        combinations(fitting, 2)
    )
    for pair in pairs:
        angle, face = by_library(pair.large.ball_diameter, pair.small.ball_diameter, SPREADS)
        assert pair.half_angle_uncertainty == pytest.approx(angle.std_dev, rel=1e-9)
        assert pair.face_diameter_uncertainty == pytest.approx(face.std_dev, rel=1e-9)
        library = uncertainties.correlation_matrix([angle, face])[0, 1]
        assert pair.correlation == pytest.approx(library, rel=1e-9)


@pytest.mark.parametrize("order", ["half angle", "face diameter"])
def test_best_pair_first(order):
    pairs = ball_pairs(SEAT, BALLS, SPREADS, edge_break=0.02, margin=0.03, order=order)
    place = 0 if order == "half angle" else 1
    spreads = [
        by_library(p.large.ball_diameter, p.small.ball_diameter, SPREADS)[place].std_dev
        for p in pairs
    ]
    assert len(spreads) > 3
    assert spreads == pytest.approx(sorted(spreads))
    for pair in pairs:
        for choice in (pair.large, pair.small):
            depth = ball_contact(SEAT, choice.ball_diameter).depth
            assert 0.02 + 0.03 <= depth <= 0.64 - 0.03


def test_balls_farthest_from_both_ends_first_and_the_useless_last():
    choices = suitable_balls(SEAT, BALLS, edge_break=0.02, margin=0.01)
    fitting = [choice for choice in choices if choice.fits]
    clearances = [
        min(ball_contact(SEAT, c.ball_diameter).depth - 0.02, 0.64 - c.contact.depth)
        for c in fitting
    ]
    assert [c.ball_diameter for c in fitting] == [1.25, 1.125, 1.375, 1.0625]
    assert clearances == sorted(clearances, reverse=True)
    assert [c.least_clearance for c in fitting] == pytest.approx(clearances)
    reasons = {c.ball_diameter: c.reason for c in choices[len(fitting) :]}
    assert set(reasons) == {0.75, 1.0, 1.5, 1.625}
    assert "drops through" in reasons[0.75]
    assert "margin" in reasons[1.0]
    assert "edge break" in reasons[1.5]
    assert "edge break" in reasons[1.625]


def test_other_orders():
    by_angle = suitable_balls(SEAT, BALLS, order="half angle")
    harm = [c.sensitivities.half_angle for c in by_angle if c.fits]
    assert harm == sorted(harm)
    assert by_angle[0].ball_diameter == 1.5
    by_spread = suitable_balls(SEAT, BALLS, uncertainty=SPREADS, order="uncertainty")
    alpha = uncertainties.ufloat(SEAT.half_angle.radians, SPREADS.half_angle)
    spreads = []
    for choice in by_spread:
        if not choice.fits:
            continue
        height = uncertainties.ufloat(choice.height, math.hypot(SPREADS.height, SPREADS.face))
        ball = uncertainties.ufloat(choice.ball_diameter, SPREADS.ball)
        spreads.append(face_diameter(alpha, ball, height, umath).std_dev)
        assert choice.standard_uncertainty == pytest.approx(spreads[-1], rel=1e-9)
    assert spreads == sorted(spreads)


def test_height_sensitivity_is_the_same_for_every_ball():
    sensitivities = ball_sensitivities(SEAT, np.array([1.0, 1.2, 1.4]))
    assert np.ndim(sensitivities.height) == 0
    assert np.ptp(sensitivities.half_angle) > 0.5


BAD = [
    (lambda: suitable_balls(SEAT, BALLS, order="uncertainty"), "GaugeUncertainty"),
    (lambda: suitable_balls(SEAT, BALLS, order="size"), "order"),
    (lambda: suitable_balls(SEAT, [0.0]), "more than zero"),
    (lambda: suitable_balls(SEAT, BALLS, margin=-1), "zero or more"),
    (lambda: ball_pairs(SEAT, BALLS, GaugeUncertainty()), "all uncertainties are zero"),
    (lambda: GaugeUncertainty(height=-1e-4), "zero or more"),
    (lambda: two_ball_sensitivities(SEAT, 1.0, 1.25), "larger first"),
]


@pytest.mark.parametrize(("call", "words"), BAD)
def test_bad_input_is_refused_in_words(call, words):
    with pytest.raises(ValueError, match=words):
        call()
