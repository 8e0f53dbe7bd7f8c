"""The law of propagation and Monte Carlo, against JCGM worked examples and general libraries."""

import math
from dataclasses import replace
from itertools import combinations

import mpmath
import numpy as np
import pytest
import uncertainties
from cases import cases
from hypothesis import given, settings
from hypothesis import strategies as st
from reference import check_value, check_values, row_id
from scipy import stats
from uncertainties import umath

from tapertrig.uncertainty import (
    Input,
    covariance,
    coverage_intervals,
    draw,
    first_order_holds,
    monte_carlo,
    numerical_sensitivities,
    propagate,
    student_t,
)

TABLE = {"rect": "rectangular", "tri": "triangular"}


def deviation_sampling_error(values):
    """Standard error of a sample's standard deviation, from its own fourth moment."""
    centred = values - values.mean()
    second = (centred**2).mean()
    return math.sqrt(((centred**4).mean() - second**2) / len(values)) / (2 * math.sqrt(second))


@pytest.mark.parametrize("row", check_values("typeB-"), ids=row_id)
def test_type_b_table(row):
    # JCGM 100 clauses 4.3.7, 4.3.9, F.2.2.1 (from memory; the divisors follow from calculus).
    kind = row["given"]["dist"]
    if kind == "resolution":
        item = Input.from_resolution("reading", 0.0, 1.0)
    else:
        item = Input("value", 0.0, 1.0, TABLE[kind])
    assert item.standard_uncertainty == pytest.approx(row["expected"]["u"], abs=0.5e-7)


@pytest.mark.parametrize(
    ("name", "exact"),
    [
        ("rectangular", stats.uniform(-1, 2)),
        ("triangular", stats.triang(0.5, -1, 2)),
        ("arcsine", stats.arcsine(-1, 2)),
        ("normal", stats.norm(0, 1)),
    ],
)
def test_each_distribution_is_drawn_as_scipy_has_it(name, exact):
    # General library: scipy.stats. JCGM 101 clause 6.4 gives the same densities.
    item = Input("value", 5.0, 0.3, name)
    assert item.standard_uncertainty == pytest.approx(0.3 * exact.std(), rel=1e-14)
    values = (draw(item, np.random.default_rng(11), 200_000) - 5.0) / 0.3
    assert stats.kstest(values, exact.cdf).pvalue > 0.01


@pytest.mark.parametrize("count", [2, 3, 5, 10])
def test_a_mean_of_few_readings_is_drawn_as_scaled_t(count):
    # JCGM 101 clause 6.4.9.2, by scipy's t: its 95 % interval is ± t·s/√n, 12.71 at two readings.
    readings = np.linspace(1.0, 1.2, count)
    item = Input.from_readings("x", readings.tolist())
    values = draw(item, np.random.default_rng(4), 200_000)
    scaled = (values - readings.mean()) / (readings.std(ddof=1) / math.sqrt(count))
    assert stats.kstest(scaled, stats.t(count - 1).cdf).pvalue > 0.01
    trials = monte_carlo(lambda x: x, [item], 400_000, seed=1)
    low, high = stats.t.interval(0.95, count - 1, readings.mean(), stats.sem(readings))
    # Four standard errors of that quantile of Cauchy's, from its density: 4 %.
    assert trials.symmetric == pytest.approx((low, high), abs=0.02 * (high - low))
    assert first_order_holds(propagate(lambda x: x, [item]), trials, 1)


def test_the_gauge_block_of_jcgm_101():
    # JCGM 101:2008 clause 9.5, from memory: 838 nm, u 36 nm, where JCGM 100 gives 32. Limits that
    # are themselves uncertain (its 6.4.3) are a rectangle times what the limit may be.
    inputs = (
        Input("standard", 623.0, 25, "normal", 18),
        Input("difference", 215.0, 6, "normal", 24),
        Input("random", 0.0, 4, "normal", 5),
        Input("systematic", 0.0, 7, "normal", 8),
        Input("expansion of standard", 11.5e-6, 2e-6),
        Input("temperature", -0.1, 0.2, "normal"),
        Input("cycle", 0.0, 0.5, "arcsine"),
        Input("difference of expansion", 0.0, 1e-6),
        Input("difference of temperature, of its limit", 0.0, 1.0),
        Input("limit", 0.05, 0.025),
    )

    def length(standard, difference, once, always, expansion, mean, cycle, more, part, limit):
        warm = (50e6 + standard) * (more * (mean + cycle) + expansion * part * limit)
        return standard + difference + once + always - warm

    trials = monte_carlo(length, inputs, 400_000, seed=2)
    assert (round(trials.mean), round(trials.standard_uncertainty)) == (838, 36)


def test_arcsine_draws_are_the_sine_of_their_uniform_numbers():
    # numpy's own sine, far nearer than any trial could show.
    drawn = draw(Input("value", 0.0, 1.0, "arcsine"), np.random.default_rng(6), 10_000)
    uniform = np.random.default_rng(6).random(10_000)
    assert np.abs(drawn - np.sin(np.pi * (uniform - 0.5))).max() < 1e-11


H1 = (
    Input("standard", 50.000623e6, 25, "normal", 18),
    Input("difference", 215.0, 9.7, "normal", 25.6),
    Input("expansion of standard", 11.5e-6, 1.2e-6, "normal"),
    Input("temperature", -0.1, 0.41, "normal"),
    Input("difference of expansion", 0.0, 1e-6, "rectangular", 50),
    Input("difference of temperature", 0.0, 0.05, "rectangular", 2),
)


def end_gauge(standard, difference, expansion, temperature, d_expansion, d_temperature):
    return (
        standard + difference - standard * (d_expansion * temperature + expansion * d_temperature)
    )


def test_gum_h1_end_gauge():
    # JCGM 100:2008 annex H.1, from memory: 32 nm, U99 = 93 nm, effective degrees 16.7.
    result = propagate(end_gauge, H1)
    assert result.estimate / 1e6 == pytest.approx(
        check_value("gum-h1-y")["expected"]["l_mm"], abs=5e-7
    )
    row = check_value("gum-h1-nueff")
    effects = sorted((part.effect for part in result.contributions), reverse=True)
    assert effects[:4] == pytest.approx(
        sorted(row["given"]["components_nm"], reverse=True), abs=0.05
    )
    assert effects[4:] == pytest.approx([0, 0], abs=1e-6)
    assert result.standard_uncertainty == pytest.approx(32, abs=0.5)
    # 16.76 unrounded; the annex divides a variance already rounded to 1002 nm². Both cut to 16.
    assert result.degrees_of_freedom == pytest.approx(row["expected"]["nu_eff"], abs=0.1)
    assert math.floor(result.degrees_of_freedom) == row["expected"]["truncated"]
    assert result.coverage_factor(0.99) == pytest.approx(2.92, abs=0.005)
    assert result.expanded(0.99) == pytest.approx(93, abs=0.7)


def test_gum_h1_what_the_first_order_leaves_out():
    # JCGM 100:2008 H.1.7, from memory: with second-order terms 34 nm; trials hold all orders.
    row = check_value("gum-h1-second")
    known = [replace(item, degrees_of_freedom=math.inf) for item in H1]
    trials = monte_carlo(end_gauge, known, 400_000, seed=3)
    first = propagate(end_gauge, H1).standard_uncertainty
    expected = math.hypot(first, *row["expected"]["second_order_nm"])
    assert trials.standard_uncertainty == pytest.approx(expected, abs=0.2)
    assert round(trials.standard_uncertainty) == row["expected"]["uc_nm"]


VOLTS, AMPERES, PHASE = 4.999, 19.661e-3, 1.04446
H2 = (
    Input("V", VOLTS, 0.0032, "normal"),
    Input("I", AMPERES, 9.5e-6, "normal"),
    Input("phi", PHASE, 0.00075, "normal"),
)
H2_CORRELATIONS = {("V", "I"): -0.36, ("V", "phi"): 0.86, ("I", "phi"): -0.65}
H2_MODELS = (
    lambda v, i, phi: v / i * np.cos(phi),
    lambda v, i, phi: v / i * np.sin(phi),
    lambda v, i, phi: v / i,
)


def test_gum_h2_correlated_inputs():
    # JCGM 100:2008 annex H.2, from memory; its inputs are printed rounded, hence 2 %.
    expected = check_value("gum-h2")["expected"]
    results = [propagate(model, H2, correlations=H2_CORRELATIONS) for model in H2_MODELS]
    assert [result.estimate for result in results] == pytest.approx(
        [expected["R"], expected["X"], expected["Z"]], abs=1.5e-3
    )
    assert [result.standard_uncertainty for result in results] == pytest.approx(
        expected["u"], rel=0.02
    )
    matrix = covariance(H2_MODELS, H2, H2_CORRELATIONS)
    found = [
        matrix[a, b] / math.sqrt(matrix[a, a] * matrix[b, b]) for a, b in combinations(range(3), 2)
    ]
    assert found == pytest.approx(expected["r"], rel=0.02)
    for result in results:
        assert sum(part.share for part in result.contributions) == pytest.approx(1)


def test_correlated_inputs_against_the_uncertainties_library():
    standard = [item.standard_uncertainty for item in H2]
    matrix = np.eye(3)
    for (a, b), value in H2_CORRELATIONS.items():
        i, j = ("V", "I", "phi").index(a), ("V", "I", "phi").index(b)
        matrix[i, j] = matrix[j, i] = value
    v, i, phi = uncertainties.correlated_values(
        [VOLTS, AMPERES, PHASE], matrix * np.outer(standard, standard)
    )
    theirs = [v / i * umath.cos(phi), v / i * umath.sin(phi), v / i]
    resistance = VOLTS / AMPERES * math.cos(PHASE)
    exact = (resistance / VOLTS, -resistance / AMPERES, -resistance * math.tan(PHASE))
    given = propagate(H2_MODELS[0], H2, exact, H2_CORRELATIONS)
    assert given.standard_uncertainty == pytest.approx(theirs[0].std_dev, rel=1e-9)
    for model, other in zip(H2_MODELS, theirs, strict=True):
        result = propagate(model, H2, correlations=H2_CORRELATIONS)
        assert result.standard_uncertainty == pytest.approx(other.std_dev, rel=1e-9)
        trials = monte_carlo(model, H2, 200_000, seed=5, correlations=H2_CORRELATIONS)
        error = deviation_sampling_error(trials.values)
        assert abs(trials.standard_uncertainty - other.std_dev) < 4 * error
    assert covariance(H2_MODELS, H2, H2_CORRELATIONS) == pytest.approx(
        np.array(uncertainties.covariance_matrix(theirs)), rel=1e-8
    )


def sum_quantile(half_widths, probability):
    """Quantile of a sum of centred rectangular values: exact piecewise polynomial, 40 digits."""
    with mpmath.workdps(40):
        widths = [2 * mpmath.mpf(width) for width in half_widths]
        low = -sum(widths) / 2

        def held(x):
            total = mpmath.mpf(0)
            for size in range(len(widths) + 1):
                for some in combinations(widths, size):
                    reach = x - low - sum(some)
                    if reach > 0:
                        total += (-1) ** size * reach ** len(widths)
            return total / (mpmath.factorial(len(widths)) * mpmath.fprod(widths))

        a, b = low, -low
        for _ in range(80):
            middle = (a + b) / 2
            a, b = (middle, b) if held(middle) < probability else (a, middle)
        return float(a)


@pytest.mark.parametrize(
    ("standard", "first_order", "trials_find"),
    [
        # JCGM 101:2008 clause 9.2.3, from memory.
        ((1, 1, 1, 1), 3.92, 3.88),
        # JCGM 101:2008 clause 9.2.4, from memory: one input ten times the others.
        ((1, 1, 1, 10), 19.9, 17.0),
    ],
)
def test_jcgm_101_sum_of_four_rectangular_inputs(standard, first_order, trials_find):
    half_widths = [u * math.sqrt(3) for u in standard]
    inputs = [Input(f"x{i}", 0.0, width) for i, width in enumerate(half_widths)]

    def total(*values):
        return sum(values)

    digits = 0.05 if first_order > 10 else 0.005
    result = propagate(total, inputs)
    assert result.standard_uncertainty == pytest.approx(math.hypot(*standard), rel=1e-12)
    assert result.expanded() == pytest.approx(first_order, abs=digits)
    exact = sum_quantile(half_widths, 0.975)
    assert exact == pytest.approx(trials_find, abs=digits)
    trials = monte_carlo(total, inputs, seed=2)
    assert trials.mean == pytest.approx(0, abs=4 * math.hypot(*standard) / 1000)
    # Sampling error of a quantile: √(p(1 − p)/n) over the density there, by differences.
    density = 0.001 / (sum_quantile(half_widths, 0.9755) - sum_quantile(half_widths, 0.9745))
    error = math.sqrt(0.975 * 0.025 / 1e6) / density
    assert trials.symmetric == pytest.approx((-exact, exact), abs=4 * error)
    # The shortest interval wanders along its length more than its length does.
    shortest = trials.shortest[1] - trials.shortest[0]
    assert shortest <= trials.symmetric[1] - trials.symmetric[0]
    assert shortest == pytest.approx(2 * exact, abs=8 * error)
    # JCGM 101 clause 8 as the clauses apply it, from memory: holds in 9.2.3, not in 9.2.4.
    assert first_order_holds(result, trials) == (standard == (1, 1, 1, 1))
    if standard == (1, 1, 1, 1):
        row = check_value("jcgm101-9.2.3")["expected"]
        assert (row["mcm"], row["gum"], row["u"]) == (trials_find, first_order, 2.0)


def test_the_shortest_interval_of_a_lopsided_result():
    # Exact for an exponential: shortest from 0 to −ln 0.05; symmetric −ln 0.975 to −ln 0.025.
    inputs = (Input("x", 0.5, 0.5),)
    trials = monte_carlo(lambda x: -np.log(np.maximum(x, 1e-300)), inputs, 400_000, seed=4)
    assert trials.shortest == pytest.approx((0, -math.log(0.05)), abs=0.04)
    assert trials.symmetric == pytest.approx((-math.log(0.975), -math.log(0.025)), abs=0.04)


@given(
    st.integers(20, 400),
    st.floats(0.3, 0.99),
    st.integers(0, 10_000),
)
@settings(max_examples=cases(150), deadline=None)
def test_intervals_by_full_sort_and_trying_every_one(count, probability, seed):
    # JCGM 101 clauses 7.7.2 and 7.7.3 written out.
    values = np.random.default_rng(seed).standard_normal(count) ** 3
    held = math.floor(probability * count + 0.5)
    if not 1 <= count - held < count:
        return
    symmetric, shortest = coverage_intervals(values, probability)
    ordered = sorted(values.tolist())
    every = [(ordered[i], ordered[i + held]) for i in range(count - held)]
    assert shortest[1] - shortest[0] == min(high - low for low, high in every)
    assert shortest in every
    middle = (count - held) / 2 if (count - held) % 2 == 0 else (count - held + 1) / 2
    assert symmetric == every[int(middle) - 1]


@pytest.mark.parametrize("degrees", [1, 2, 3, 4, 5, 8, 10, 16.7, 31, 100, 199, 200.9, 2501, 1e9])
def test_student_t_against_scipy(degrees):
    # General library: scipy.stats.t. JCGM 100 table G.2 (from memory) has 2.23 for ten at 95 %.
    for probability in (0.5, 0.6827, 0.95, 0.9545, 0.99, 0.9973):
        exact = stats.t.ppf((1 + probability) / 2, math.floor(degrees))
        assert student_t(probability, degrees) == pytest.approx(exact, rel=1e-9)
    assert student_t(0.95, 10) == pytest.approx(2.23, abs=0.005)
    assert student_t(0.95, math.inf) == pytest.approx(stats.norm.ppf(0.975), rel=1e-12)


def test_readings_and_their_degrees_of_freedom():
    # scipy.stats.sem, and Welch–Satterthwaite as scipy's unequal-variance t test has it.
    one = [10.01, 10.03, 10.02, 9.98, 10.00]
    two = [5.02, 5.00, 5.05, 5.01]
    inputs = (Input.from_readings("one", one), Input.from_readings("two", two))
    assert inputs[0].standard_uncertainty == pytest.approx(stats.sem(one), rel=1e-12)
    result = propagate(lambda a, b: a - b, inputs)
    assert result.degrees_of_freedom == pytest.approx(
        stats.ttest_ind(one, two, equal_var=False).df, rel=1e-9
    )


MODELS = [
    (lambda x, y: np.arcsin(x / y), lambda x, y: mpmath.asin(x / y)),
    (lambda x, y: np.arccos(x / y), lambda x, y: mpmath.acos(x / y)),
    (
        lambda x, y: x * (np.tan(y) + 1 / np.cos(y)),
        lambda x, y: x * (mpmath.tan(y) + 1 / mpmath.cos(y)),
    ),
    (lambda x, y: np.sqrt(x * x + y**3), lambda x, y: mpmath.sqrt(x * x + y**3)),
]


@pytest.mark.parametrize(("ours", "exact"), MODELS)
def test_numerical_sensitivities_against_mpmath(ours, exact):
    inputs = (Input("x", 0.61, 0.0004), Input("y", 1.23, 0.0003, "normal"))
    found = numerical_sensitivities(ours, inputs)
    for index in range(2):
        order = (1, 0) if index == 0 else (0, 1)
        expected = mpmath.diff(exact, (0.61, 1.23), order)
        assert found[index] == pytest.approx(float(expected), rel=1e-10)


def test_two_ball_half_angle_through_the_uncertainties_library():
    # sin α = (R − r)/((H − h) − (R − r)); the depth micrometer's zero is in both heights.
    inputs = (
        Input("large ball", 25.0, 0.0005),
        Input("small ball", 20.0, 0.0005),
        Input("large height", -11.8765547, 0.004, "triangular"),
        Input("small height", -39.5012438, 0.004, "triangular"),
    )

    def half_angle(large, small, high, low, asin=np.arcsin):
        step = (large - small) / 2
        return asin(step / (high - low - step))

    theirs = half_angle(
        *(uncertainties.ufloat(i.estimate, i.standard_uncertainty) for i in inputs),
        asin=umath.asin,
    )
    result = propagate(half_angle, inputs)
    assert result.estimate == pytest.approx(theirs.nominal_value, rel=1e-14)
    assert result.standard_uncertainty == pytest.approx(theirs.std_dev, rel=1e-9)
    trials = monte_carlo(half_angle, inputs, 200_000, seed=8)
    error = deviation_sampling_error(trials.values)
    assert abs(trials.standard_uncertainty - theirs.std_dev) < 4 * error
    assert abs(trials.mean - theirs.nominal_value) < 4 * theirs.std_dev / math.sqrt(200_000)


def test_full_correlation_cancels_and_doubles():
    inputs = (Input("a", 1.0, 0.2, "normal"), Input("b", 3.0, 0.2, "normal"))
    for sign, expected in ((1, 0.0), (-1, 0.4)):
        correlations = {("a", "b"): float(sign)}
        result = propagate(lambda a, b: b - a, inputs, correlations=correlations)
        assert result.standard_uncertainty == pytest.approx(expected, abs=1e-9)
        trials = monte_carlo(lambda a, b: b - a, inputs, 20_000, 1, correlations)
        assert trials.standard_uncertainty == pytest.approx(expected, rel=0.03, abs=1e-9)


def test_the_same_seed_repeats_the_trials_and_another_does_not():
    inputs = (Input("x", 1.0, 0.1), Input("y", 2.0, 0.1, "triangular"))

    def run(seed):
        return monte_carlo(lambda x, y: x * y, inputs, 70_000, seed)

    assert (run(1).values == run(1).values).all()
    assert run(1).mean != run(2).mean
    edges, heights = run(1).histogram(40)
    assert len(edges) == 41
    assert (heights * np.diff(edges)).sum() == pytest.approx(1, abs=1e-3)
    with pytest.raises(ValueError, match="read-only"):
        run(1).values[0] = 0


def test_degrees_of_freedom_with_correlation_are_left_open():
    inputs = (Input("a", 1.0, 0.2, "normal", 4), Input("b", 3.0, 0.2, "normal"))
    result = propagate(lambda a, b: a + b, inputs, correlations={("a", "b"): 0.3})
    assert result.degrees_of_freedom is None
    with pytest.raises(ValueError, match="choose the coverage factor"):
        result.expanded()
    assert propagate(lambda a, b: a + b, inputs).degrees_of_freedom == pytest.approx(16)


AB = (Input("a", 1.0, 0.2, "normal"), Input("b", 3.0, 0.2))


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: Input("x", math.nan, 0.1), "x estimate is nan"),
        (lambda: Input("x", 1.0, -0.1), "x spread is -0.1"),
        (lambda: Input("x", 1.0, 0.1, "gaussian"), "x distribution is 'gaussian'"),
        (lambda: Input("x", 1.0, 0.1, "normal", 0), "x has 0 degrees"),
        (lambda: Input.from_readings("x", [1.0]), "x has 1 reading;"),
        (lambda: propagate(lambda a, b: a, AB, [1.0]), "each of the 2 inputs"),
        (
            lambda: propagate(lambda a, b: a, AB, [1.0, math.inf]),
            "sensitivities is .* it must be numbers in brackets",
        ),
        (lambda: propagate(lambda a, b: a, AB, None, {("a", "c"): 0.5}), "'a' and 'c'"),
        (lambda: propagate(lambda a, b: a, AB, None, {("a", "b"): 1.5}), "a and b is 1.5"),
        (lambda: propagate(lambda *v: v[0], (*AB, AB[0]), None, {("a", "b"): 0}), "same name"),
        (
            lambda: propagate(
                lambda a, b, c: a,
                (*AB, Input("c", 0.0, 1.0)),
                None,
                {("a", "b"): 0.9, ("b", "c"): 0.9, ("a", "c"): -0.9},
            ),
            "cannot hold together",
        ),
        (lambda: monte_carlo(lambda a, b: a, AB, 10), "trials is 10;"),
        (lambda: monte_carlo(lambda a, b: a, AB, 1e5), "trials is 100000.0"),
        (lambda: monte_carlo(lambda a, b: a, AB, 5000, probability=1.0), "probability is 1"),
        (
            lambda: monte_carlo(lambda a, b: a, AB, 5000, correlations={("a", "b"): 0.5}),
            "b is rectangular and correlated",
        ),
        (lambda: monte_carlo(lambda a, b: np.arcsin(a), AB, 5000), "gave no finite value"),
        (lambda: coverage_intervals(np.arange(5.0), 0.99), "too few"),
        (
            lambda: first_order_holds(
                propagate(lambda a, b: a, AB), monte_carlo(lambda a, b: a, AB, 5000), 3
            ),
            "digits is 3",
        ),
        (lambda: student_t(0.95, 0.5), "degrees of freedom is 0.5"),
    ],
)
def test_refuses_what_makes_no_budget_and_names_the_value(call, words):
    with pytest.raises(ValueError, match=words):
        call()
