"""Decision rules and the coverage of few readings."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reference import check_value
from scipy import stats

from tapertrig.gauging import (
    CONFORMS,
    DOES_NOT_CONFORM,
    GUARD_BAND,
    NOT_PROVEN,
    Rule,
    coverage_factor,
    decide,
    guard_factor,
    judge,
)


def test_zones_of_the_guard_band():
    # ISO 14253-1 zones, from memory; U there is what the guard band is here.
    row = check_value("14253-zones")
    low, high, guard = (row["given"][name] for name in ("LSL", "USL", "U"))
    judgement = judge(10.0, low, high, guard / 1.65)
    assert judgement.accept == pytest.approx(row["expected"]["accept"])
    assert judgement.reject == pytest.approx(row["expected"]["reject_outside"])
    for zone in row["expected"]["uncertain"]:
        assert judge(sum(zone) / 2, low, high, guard / 1.65).verdict == NOT_PROVEN


def test_guard_factor_of_the_standard():
    # ISO 14253-1:2017, from memory: 1.65 for 95 % where one limit is in play.
    row = check_value("14253-2017")
    assert guard_factor() == row["expected"]["g_over_u"]
    assert stats.norm.cdf(guard_factor()) == pytest.approx(row["given"]["p"], abs=6e-4)


@pytest.mark.parametrize("measured", [1.2481, 1.2519, 1.25])
def test_conforms_up_to_the_guard_band(measured):
    assert decide(measured, 1.25, 0.003, 0.0006) == CONFORMS


def test_three_outcomes_on_both_sides():
    u, tolerance = 0.0002, 0.001
    guard = 1.65 * u
    for side in (-1, 1):
        for away, verdict in (
            (0.0, CONFORMS),
            (tolerance - guard - 1e-6, CONFORMS),
            (tolerance - guard + 1e-6, NOT_PROVEN),
            (tolerance, NOT_PROVEN),
            (tolerance + guard - 1e-6, NOT_PROVEN),
            (tolerance + guard + 1e-6, DOES_NOT_CONFORM),
        ):
            assert decide(1.25 + side * away, 1.25, tolerance, u) == verdict


@given(st.floats(-3, 3), st.floats(0.05, 3.0))
@settings(deadline=None)
def test_a_verdict_is_given_only_when_proved_with_95_percent(measured, u):
    # Scipy: the probability that the true value lies within ±1, from the normal distribution.
    inside = stats.norm.cdf(1, measured, u) - stats.norm.cdf(-1, measured, u)
    verdict = decide(measured, 0.0, 1.0, u)
    if verdict == CONFORMS:
        assert inside >= 0.95 - 1e-9
    elif verdict == DOES_NOT_CONFORM:
        assert 1 - inside >= 0.95 - 1e-9
    else:
        # 1.65 is 1.645 rounded up, and a value inside never fails: a hair of caution is left.
        assert inside < 0.9506
        assert 1 - inside < 0.9506 or abs(measured) < 1 + 1.65 * u


def test_a_tolerance_too_narrow_for_the_uncertainty_accepts_nothing():
    judgement = judge(0.0, -1.0, 1.0, 0.6)
    assert judgement.verdict == NOT_PROVEN
    assert judgement.accept is None
    assert "too large" in judgement.reason
    # 1.65 u alone would leave this one an accepted zone; 95 % is not proved at its ends.
    narrow = judge(0.0, -1.0, 1.0, 0.5)
    assert narrow.verdict == CONFORMS
    assert narrow.accept[1] < 1.0 - 1.65 * 0.5
    ends = stats.norm.cdf(1, narrow.accept[1], 0.5) - stats.norm.cdf(-1, narrow.accept[1], 0.5)
    assert ends == pytest.approx(0.95, abs=1e-6)


def test_without_uncertainty_the_limits_decide():
    assert decide(1.001, 1.0, 0.001, 0.0) == CONFORMS
    assert decide(1.0011, 1.0, 0.001, 0.0) == DOES_NOT_CONFORM


def test_simple_acceptance_at_a_ratio():
    # ASME B89.7.3.1-2001, the definition applied: ±5′ against U = 2′ is 2.5:1 and fails 4:1.
    row = check_value("b89-4to1-fail")
    tolerance, expanded = row["given"]["tolerance_pm_min"], row["given"]["U_min"]
    four, looser = Rule("simple acceptance", 4), Rule("simple acceptance", 2.5)
    failed = judge(0.0, -tolerance, tolerance, expanded / 2, four)
    assert failed.verdict == NOT_PROVEN
    assert f"{row['expected']['ratio']:g} times U" in failed.reason
    assert judge(0.0, -tolerance, tolerance, expanded / 2, looser).verdict == CONFORMS
    assert judge(4.99, -tolerance, tolerance, 0.5, four).verdict == CONFORMS
    assert judge(5.01, -tolerance, tolerance, 0.5, four).verdict == DOES_NOT_CONFORM
    assert judge(5.01, -tolerance, tolerance, 0.5).verdict == NOT_PROVEN


def test_a_value_on_a_limit_is_within_it():
    """Floats put about half of these a hair past the limit that they are."""
    rule = Rule("simple acceptance")
    for tenths in range(1, 400, 7):
        low, high = tenths / 10, (tenths + 3) / 10
        for on in (low, high):
            assert judge(on, low, high, 0.001, rule).verdict == CONFORMS
        for past in (low - 1e-6, high + 1e-6):
            assert judge(past, low, high, 0.001, rule).verdict == DOES_NOT_CONFORM
        # The guard band of 1.65 u from a limit: its far end is past it, a hair less is not.
        for past, less in ((low - 0.0165, 1e-6), (high + 0.0165, -1e-6)):
            assert judge(past, low, high, 0.01).verdict == DOES_NOT_CONFORM
            assert judge(past + less, low, high, 0.01).verdict == NOT_PROVEN


def test_simple_acceptance_looks_from_the_middle_of_the_limits():
    # The same numbers shifted: ±0.005 about 1.25 against U = 0.001, which is 5:1.
    rule = Rule("simple acceptance")
    for measured, verdict in (
        (1.2449, DOES_NOT_CONFORM),
        (1.2451, CONFORMS),
        (1.25, CONFORMS),
        (1.2549, CONFORMS),
        (1.2551, DOES_NOT_CONFORM),
    ):
        judgement = judge(measured, 1.245, 1.255, 0.0005, rule)
        assert judgement.verdict == verdict
        assert judgement.accept == judgement.reject == (1.245, 1.255)
        assert judgement.reason.endswith("past a limit") == (verdict == DOES_NOT_CONFORM)
    # 4:1 where no ratio is said (ASME B89.7.3.1, the common choice): U may be 0.00125 and no more.
    assert judge(1.25, 1.245, 1.255, 0.00125 / 2, rule).verdict == CONFORMS
    refused = judge(1.25, 1.245, 1.255, 0.00126 / 2, rule)
    assert (refused.verdict, refused.accept) == (NOT_PROVEN, None)
    assert refused.reject == (-math.inf, math.inf)


def test_rules_say_their_standard_and_their_figures():
    assert GUARD_BAND.words().startswith("ISO 14253-1:2017, guard band 1.65 u, 95 %")
    words = Rule("simple acceptance", 3).words()
    assert words.startswith("ASME B89.7.3.1, simple acceptance, ratio 3:1")


def test_reasons_say_on_which_side_of_a_limit_the_value_lies():
    for measured, side in ((1.2508, "inside"), (1.2512, "outside"), (1.2488, "outside")):
        assert f"lies {side} a limit, but nearer" in judge(measured, 1.249, 1.251, 0.0002).reason
    assert "within the limits less the guard band" in judge(1.25, 1.249, 1.251, 0.0002).reason
    assert "by more than the guard band" in judge(1.2514, 1.249, 1.251, 0.0002).reason
    assert "no value could be accepted" in judge(1.25, 1.249, 1.251, 0.002).reason


@pytest.mark.parametrize("degrees", [1, 2, 3, 4, 5, 9, 10, 20, 50, 100])
def test_factors_for_few_readings_against_scipy(degrees):
    assert coverage_factor(degrees) == pytest.approx(max(2, stats.t.ppf(0.975, degrees)))
    assert guard_factor(degrees) == pytest.approx(max(1.65, stats.t.ppf(0.95, degrees)))


def test_few_readings_widen_the_guard_band():
    assert judge(1.2506, 1.249, 1.251, 0.0002).verdict == CONFORMS
    few = judge(1.2506, 1.249, 1.251, 0.0002, GUARD_BAND, degrees_of_freedom=2)
    assert few.verdict == NOT_PROVEN
    assert few.reject[1] == pytest.approx(1.251 + stats.t.ppf(0.95, 2) * 0.0002)


BAD = [
    (lambda: decide(math.nan, 1.0, 0.1, 0.01), "finite"),
    (lambda: decide(1.0, 1.0, 0.0, 0.01), "more than zero"),
    (lambda: decide(1.0, 1.0, 0.1, -0.01), "zero or more"),
    (lambda: judge(1.0, 1.1, 0.9, 0.01), "limits are 1.1 and 0.9; the lower one must be less"),
    (lambda: judge(1.0, 1.0, 1.0, 0.01), "limits are 1 and 1; the lower one must be less"),
    (lambda: judge("1", 0.9, 1.1, 0.01), "measured is '1'; it must be a number"),
    (lambda: judge(1.0, None, 1.1, 0.01), "lower is None; it must be a number"),
    (lambda: judge(1.0, 0.9, math.inf, 0.01), "upper is inf; it must be a finite number"),
    (lambda: judge(1.0, 0.9, 1.1, -1.0), "standard uncertainty is -1; .* for example 0.0002$"),
    (lambda: Rule("by eye"), "guard band"),
    (lambda: Rule("simple acceptance", 0), "more than zero"),
]


@pytest.mark.parametrize(("call", "words"), BAD)
def test_bad_input_is_refused_in_words(call, words):
    with pytest.raises(ValueError, match=words):
        call()
