"""An inspection: repeats, uncertainties, verdict, and its way into the job file and back."""

import dataclasses
import math
from pathlib import Path

import numpy as np
import pytest
import uncertainties
from bench.inspections import SHOPS, rates
from cases import cases
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats
from uncertainties import umath

from tapertrig import Angle, Cone
from tapertrig.budget.rows import LENGTH, Budget, Source
from tapertrig.gauging import ball_height, ball_rest, findings, headline, over_rolls
from tapertrig.gauging.inspection import (
    Finding,
    Inspection,
    Repeats,
    as_given,
    grubbs_critical,
    outlier_in,
    rounded_up,
    scatters_more,
    two_figures,
)
from tapertrig.job import (
    Callout,
    Gauge,
    Instrument,
    Job,
    Outlier,
    Readings,
    Scatter,
    StatedAngle,
    real_date,
)
from tapertrig.uncertainty import monte_carlo

SEAT = Cone(Angle.parse("20°43′"), 1.418, 0.64)
SEAT_PRINT = Callout(
    "half angle", "20°43′", 1.418, "in", True, 0.003, 0.0, "0°06′", "half angle", length=0.64
)
MADE = Cone(Angle.parse("20°44′"), 1.4196, 0.64)
PLUG = Cone.from_taper("1:10", 20.0, 60.0, internal=False)
PLUG_PRINT = Callout(
    "taper", "1:10", 20.0, "mm", False, 0.01, 0.01, "0°02′", "half angle", length=60.0
)
MICROMETER = Instrument("depth micrometer", 0.001, 0.0002)
SCATTER = (-0.0002, 0.0001, 0.0003, 0.0, -0.0001)


def stated(seconds, half_angle=SEAT.half_angle):
    """A half angle stated within so many seconds."""
    return StatedAngle(half_angle, Angle.from_arc_seconds(seconds), "sine bar, shop's own")


def readings(mean, scatter=SCATTER):
    """Repeats about a mean."""
    return tuple(float(mean) + error for error in scatter)


def one_ball(ball=1.25, made=MADE, callout=SEAT_PRINT, floor_depth=None, **changed):
    """A seat measured with one ball."""
    given_ = {
        "method": "one ball",
        "unit": "in",
        "gauges": (Gauge(ball, 0.00005),),
        "rows": (readings(ball_height(made, ball)),),
        "instrument": MICROMETER,
        "stated_angle": stated(180),
        "face_limit": 0.0002,
        "edge_break": 0.02,
    }
    return Inspection(callout, Readings(**(given_ | changed), floor_depth=floor_depth))


def two_balls(made=MADE, **changed):
    """A seat measured with two balls."""
    rows = (readings(ball_height(made, 1.375)), readings(ball_height(made, 1.0625), SCATTER[:3]))
    given_ = {
        "method": "two balls",
        "gauges": (Gauge(1.375, 0.00005), Gauge(1.0625, 0.00005)),
        "rows": rows,
        "stated_angle": None,
    }
    return one_ball(**(given_ | changed))


def rolls(callout=PLUG_PRINT, **changed):
    """A plug measured over rolls."""
    given_ = {
        "method": "rolls and blocks",
        "unit": "mm",
        "gauges": (Gauge(8.0, 0.0005),),
        "rows": (
            readings(over_rolls(PLUG, 8.0), (-0.001, 0.0, 0.002)),
            readings(over_rolls(PLUG, 8.0, 40.0), (0.001, 0.0, -0.002, 0.001)),
        ),
        "instrument": Instrument("micrometer", 0.001, 0.002),
        "blocks": Gauge(40.0, 0.0004),
        "face_limit": 0.001,
    }
    return Inspection(callout, Readings(**(given_ | changed)))


def changed_print(**changed):
    """The seat's print with something else on it."""
    return dataclasses.replace(SEAT_PRINT, **changed)


# Certified values of NIST StRD univariate data sets, from memory.
NUMERICAL_ACCURACY = {
    "NumAcc1": ([10000001, 10000003, 10000002], 10000002, 1.0),
    "NumAcc2": ([1.2] + [1.1, 1.3] * 500, 1.2, 0.1),
    "NumAcc3": ([1000000.2] + [1000000.1, 1000000.3] * 500, 1000000.2, 0.1),
}


@pytest.mark.parametrize("name", list(NUMERICAL_ACCURACY))
def test_repeats_against_certified_values(name):
    values, mean, spread = NUMERICAL_ACCURACY[name]
    found = Repeats.of(values)
    assert found.mean == pytest.approx(mean, rel=1e-13)
    assert found.spread == pytest.approx(spread, rel=1e-8)
    assert found.degrees_of_freedom == len(values) - 1


# In whole thousandths, as readings are; scipy warns of values that are equal but for noise.
@given(
    st.lists(st.integers(-2000, 2000).map(lambda n: n / 1000), min_size=2, max_size=20).filter(
        lambda values: len(set(values)) > 1
    )
)
@settings(deadline=None)
def test_repeats_against_scipy(values):
    found = Repeats.of(values)
    assert found.mean == pytest.approx(np.mean(values), abs=1e-12)
    assert found.spread == pytest.approx(stats.tstd(values), rel=1e-9, abs=1e-12)
    assert found.standard_uncertainty == pytest.approx(stats.sem(values), rel=1e-9, abs=1e-12)


def test_u_of_repeats_alone_is_the_t_interval_of_scipy():
    # Everything but the spread made negligible: U is Student's interval for a mean, times 2 tan α.
    few = readings(ball_height(MADE, 1.25), (-0.003, 0.001, 0.002))
    finding, _ = one_ball(
        rows=(few,),
        instrument=Instrument("fine", 1e-9, 0.0),
        stated_angle=stated(0.001),
        gauges=(Gauge(1.25, 0.0),),
        face_limit=0.0,
    ).findings()
    low, high = stats.t.interval(0.95, 2, np.mean(few), stats.sem(few))
    assert finding.budget.degrees_of_freedom == pytest.approx(2, rel=1e-6)
    assert finding.expanded == pytest.approx((high - low) / 2 * SEAT.taper, rel=1e-6)
    assert finding.factor_words == "k = 4.30 by Student's t"
    assert finding.budget.guard_factor == pytest.approx(stats.t.ppf(0.95, 2), rel=1e-6)


def test_what_lesson_07_says_of_few_readings():
    # Student's t of scipy, two-sided 95 %, n − 1 degrees of freedom.
    told = next(Path(__file__).parents[1].glob("notebooks/07-*.ipynb")).read_text("utf-8")
    two, five = (stats.t.ppf(0.975, n - 1) for n in (2, 5))
    assert f"{two:.2f} u for two readings, {five:.2f} u for five" in told


def by_library(inspection):
    """All that was found, as correlated numbers of the `uncertainties` library."""
    x = [uncertainties.ufloat(i.estimate, i.standard_uncertainty) for i in inspection.inputs()]

    def face(alpha, ball, height):
        return ball * (umath.tan(alpha) + 1 / umath.cos(alpha)) - 2 * height * umath.tan(alpha)

    if inspection.method == "one ball":
        return [face(x[5], x[0], x[1] + x[2] + x[3] + x[4])]
    if inspection.method == "two balls":
        top, low = x[1] + x[2] + x[3] + x[8], x[5] + x[6] + x[7] + x[8]
        radii = (x[0] - x[4]) / 2
        alpha = umath.asin(radii / (top - low - radii))
        return [face(alpha, x[0], top), alpha]
    low, high = x[1] + x[2] + x[3], x[4] + x[5] + x[6]
    alpha = umath.atan((high - low) / (2 * x[7]))
    return [low + x[8] - x[0] * (1 + umath.tan(alpha) + 1 / umath.cos(alpha)), alpha]


INSPECTIONS = {"one ball": one_ball(), "two balls": two_balls(), "rolls and blocks": rolls()}


@pytest.mark.parametrize("method", list(INSPECTIONS))
def test_findings_against_a_general_uncertainty_library(method):
    inspection = INSPECTIONS[method]
    library = by_library(inspection)
    for finding, wanted in zip(inspection.findings(), library, strict=False):
        assert finding.value == pytest.approx(wanted.nominal_value, rel=1e-12)
        assert finding.standard_uncertainty == pytest.approx(wanted.std_dev, rel=1e-9)
    if len(library) == 2:
        correlation = uncertainties.correlation_matrix(library)[0, 1]
        assert inspection.correlation() == pytest.approx(correlation, rel=1e-9)
    else:
        assert inspection.correlation() is None


def measured(inspection):
    """What an inspection measured."""
    return [finding for finding in inspection.findings() if finding.value is not None]


@pytest.mark.parametrize("method", list(INSPECTIONS))
def test_effective_degrees_of_freedom(method):
    # Welch–Satterthwaite, JCGM 100 equation G.2b, and Student's t for each part by its own,
    # written out; quantiles of scipy.
    inspection = INSPECTIONS[method]
    # Two rows of repeats are one scatter, with the degrees of freedom of both.
    known = sum(len(row) - 1 for row in inspection.readings.rows)
    for finding in measured(inspection):
        effects = {c.name: c.effect for c in finding.budget.contributions}
        u, rest = finding.standard_uncertainty, 0.0
        one = effects["scatter of a reading" if method != "one ball" else "height, repeats"]
        rest = u * u - one * one
        assert finding.budget.degrees_of_freedom == pytest.approx(u**4 / (one**4 / known))
        two_sided, one_sided = (max(2, stats.t.ppf(0.975, known)), stats.t.ppf(0.95, known))
        assert finding.budget.factor == pytest.approx(
            math.sqrt(two_sided**2 * one**2 + 4 * rest) / u
        )
        assert finding.budget.guard_factor == pytest.approx(
            math.sqrt(one_sided**2 * one**2 + 1.65**2 * rest) / u
        )


def test_two_rows_of_repeats_are_one_scatter():
    # Pooled by hand: Σ(n − 1)s² ÷ Σ(n − 1), with numpy's variances.
    rows = two_balls().readings.rows
    variances = [np.var(row, ddof=1) for row in rows]
    weights = [len(row) - 1 for row in rows]
    for finding in two_balls().findings():
        part = finding.budget.contributions[0]
        assert part.name == "scatter of a reading"
        assert part.standard_uncertainty**2 == pytest.approx(np.average(variances, weights=weights))
        assert part.degrees_of_freedom == sum(weights)
        assert sum(c.share for c in finding.budget.contributions) == pytest.approx(1)


@pytest.mark.parametrize("method", list(INSPECTIONS))
def test_monte_carlo_agrees_within_its_sampling_error(method):
    inspection = INSPECTIONS[method]
    # As if the scatter were known for good: few repeats are drawn as t, which spreads further.
    inputs = [dataclasses.replace(one, degrees_of_freedom=math.inf) for one in inspection.inputs()]
    for finding in measured(inspection):
        model = inspection.model(finding.requirement)
        trials = monte_carlo(model, inputs, 40_000, seed=3)
        u = finding.standard_uncertainty
        assert trials.mean == pytest.approx(finding.value, abs=4 * u / math.sqrt(40_000))
        # Standard deviation of a standard deviation: u/√(2n), a little more for second order.
        assert trials.standard_uncertainty == pytest.approx(u, rel=0.02)


def test_what_is_found_is_what_was_made():
    plain = {"instrument": Instrument("fine", 1e-6, 0.0)}
    face, _ = one_ball(stated_angle=stated(180, MADE.half_angle), **plain).findings()
    wanted = MADE.face_diameter - np.mean(SCATTER) * MADE.taper
    assert face.value == pytest.approx(wanted)
    exact = tuple((float(ball_height(MADE, ball)),) * 3 for ball in (1.375, 1.0625))
    face, angle = two_balls(rows=exact, **plain).findings()
    assert face.value == pytest.approx(MADE.face_diameter)
    assert angle.value == pytest.approx(MADE.half_angle.radians)
    exact = tuple((float(over_rolls(PLUG, 8.0, block)),) * 2 for block in (0.0, 40.0))
    face, angle = rolls(rows=exact).findings()
    assert face.value == pytest.approx(20.0)
    assert angle.value == pytest.approx(PLUG.half_angle.radians)


def test_depth_readings_are_heights_seen_from_above():
    heights = one_ball()
    depths = tuple(1.0 - height for height in heights.readings.rows[0])
    below = one_ball(rows=(depths,), reads="depth", parallel=1.0)
    assert below.findings()[0].value == pytest.approx(heights.findings()[0].value)
    assert below.repeats()[0].mean == pytest.approx(heights.repeats()[0].mean)


def test_face_error_cancels_in_the_half_angle_but_not_in_the_diameter():
    quiet, loud = two_balls(face_limit=0.0), two_balls(face_limit=0.005)
    assert quiet.findings()[1].standard_uncertainty == loud.findings()[1].standard_uncertainty
    assert quiet.findings()[0].standard_uncertainty < loud.findings()[0].standard_uncertainty


VERDICTS = [
    ("conforms", 1.4195, {}),
    ("not proven", 1.4210, {}),
    ("does not conform", 1.4230, {}),
    ("not proven", 1.4195, {"rule": "simple acceptance"}),
]


@pytest.mark.parametrize(("verdict", "face", "changed"), VERDICTS)
def test_each_verdict_by_each_rule(verdict, face, changed):
    made = Cone(SEAT.half_angle, face, 0.64)
    assert one_ball(made=made, **changed).findings()[0].verdict == verdict
    if changed:
        # A finer instrument has the 4:1 that the rule asks for, and then the limits as they stand.
        fine = {
            "instrument": Instrument("fine", 0.0001, 0.0),
            "face_limit": 0.0,
            "stated_angle": stated(10),
        }
        for face, verdict in ((1.4209, "conforms"), (1.4211, "does not conform")):
            made = Cone(SEAT.half_angle, face, 0.64)
            rows = ((float(ball_height(made, 1.25)),) * 3,)
            assert one_ball(rows=rows, **fine, **changed).findings()[0].verdict == verdict


def test_the_worst_requirement_decides():
    steep = Cone(Angle.parse("21°10′"), 1.4195, 0.64)
    inspection = two_balls(made=steep, instrument=Instrument("fine", 0.0001, 0.0))
    assert [f.verdict for f in inspection.findings()] == ["conforms", "does not conform"]
    assert inspection.verdict == "does not conform"


def test_limits_of_a_print_in_millimetres_judge_readings_in_inches():
    # 1 in is 25.4 mm exactly (ISO 80000-3).
    in_mm = changed_print(
        face_diameter=1.418 * 25.4, unit="mm", diameter_plus=0.003 * 25.4, length=16.256
    )
    inch, mm = one_ball().findings()[0], one_ball(callout=in_mm).findings()[0]
    assert mm.verdict == inch.verdict == "conforms"
    assert mm.limits == pytest.approx(inch.limits)
    # 1.41974 in is 36.061 mm, 1.41974 × 25.4; U is 0.00108 in, 0.0274 mm.
    assert mm.result("mm").startswith(f"{inch.value * 25.4:.3f} ± 0.0")


# -- nothing measured, nothing judged ---------------------------------------------------------


def job_with(*inspected, callouts=None):
    """A job of the inspected print, its readings confirmed as of it."""
    job = Job(callouts or inspected[0].callout, drawing_number="EX-1")
    for one in inspected:
        job = job.with_readings(one.readings, by="J. Fitter")
    return job


def verdicts(job):
    """Verdicts on face diameter and half angle of each cone."""
    return [found.verdict for found in findings(job)]


def test_a_job_that_nobody_measured_has_no_verdict():
    job = Job(SEAT_PRINT)
    assert verdicts(job) == ["not measured", "not measured"]
    assert all(found.value is None for found in findings(job))
    assert findings(job)[0].limits == pytest.approx((1.418, 1.421)), "the print's all the same"
    assert [found.words("in") for found in findings(job)] == [
        "Face diameter: not measured: no readings are given",
        "Half angle: not measured: no readings are given",
    ]
    assert findings(Job()) == ()


def test_a_print_changed_after_the_measurement_waits_for_a_name():
    job = job_with(two_balls())
    assert verdicts(job) == ["conforms", "conforms"]
    other = dataclasses.replace(job, callouts=(changed_print(face_diameter=1.43),))
    assert verdicts(other) == ["not measured", "not measured"]
    assert "by name" in findings(other)[0].reason
    # Confirmed, the same readings are judged by the print as it now is.
    again = other.confirm(other.readings[0].identity, "J. Fitter")
    assert verdicts(again) == ["does not conform", "conforms"]
    assert findings(again)[0].limits == pytest.approx((1.43, 1.433))
    # Back at the first print nothing is asked again.
    assert verdicts(dataclasses.replace(other, callouts=job.callouts)) == ["conforms", "conforms"]


def test_measured_again_until_it_passes_is_not_proven():
    low = tuple(tuple(x - 0.02 for x in row) for row in two_balls().readings.rows)
    bad, good = two_balls(rows=low, date="2031-03-08"), two_balls()
    assert verdicts(job_with(bad))[0] == "does not conform"
    both = job_with(bad, good)
    assert verdicts(both)[0] == "not proven"
    assert "2031-03-08" in findings(both)[0].reason
    assert verdicts(both.strike(bad.readings.identity)) == ["conforms", "conforms"]
    # The other way round the later reading stands: a part that failed is not passed.
    assert verdicts(job_with(good, bad))[0] == "does not conform"


def test_struck_readings_count_for_nothing():
    job = job_with(two_balls())
    struck = job.strike(job.readings[0].identity)
    assert verdicts(struck) == ["not measured", "not measured"]
    assert "struck out" in findings(struck)[0].reason
    later = struck.with_readings(one_ball().readings, by="J. Fitter")
    assert verdicts(later) == ["conforms", "not measured"]


def test_the_headline_names_every_requirement_of_every_cone():
    job = job_with(one_ball())
    assert headline(findings(job)) == "Face diameter: conforms. Half angle: not measured"
    relief = changed_print(name="relief", angle_tolerance=None)
    seat = changed_print(name="seat")
    two = dataclasses.replace(job, callouts=(seat, relief))
    assert headline(findings(two)) == (
        "Seat, face diameter: conforms. Seat, half angle: not measured. "
        "Relief, face diameter: not measured. Relief, half angle: not measured"
    )
    assert [(f.cone, f.requirement) for f in findings(two)] == [
        (0, "face diameter"), (0, "half angle"), (1, "face diameter"), (1, "half angle"),
    ]  # fmt: skip


def test_no_limit_on_the_print_is_no_verdict():
    free = changed_print(diameter_plus=None, diameter_minus=None, angle_tolerance=None)
    found = findings(job_with(two_balls(callout=free)))
    assert [f.verdict for f in found] == ["no limit given", "no limit given"]
    assert all(f.expanded for f in found)
    # A standard taper's general tolerance is nobody's limit: a Morse taper nine minutes out.
    morse = Callout("standard taper", "Morse 3", 0.938, "in", True, length=3.0)
    out = Cone(morse.half_angle + Angle.from_dms(0, 9), 0.938, 3.0)
    rows = tuple(readings(ball_height(out, ball)) for ball in (0.9, 0.8))
    found = findings(
        job_with(two_balls(callout=morse, rows=rows, gauges=(Gauge(0.9, 0.0), Gauge(0.8, 0.0))))
    )
    assert [f.verdict for f in found] == ["no limit given", "no limit given"]


def test_a_bare_angle_is_enough_of_a_print():
    bare = Callout("half angle", "20°43′", angle_tolerance="0°06′", tolerance_on="half angle")
    assert [f.verdict for f in two_balls(callout=bare).findings()] == ["no limit given", "conforms"]
    (face, angle) = one_ball(callout=Callout(), stated_angle=None).findings()
    assert (face.verdict, face.value, angle.verdict) == ("no limit given", None, "not measured")


def test_one_reading_without_a_stated_scatter_proves_nothing():
    once = {"rows": ((float(ball_height(MADE, 1.25)),),)}
    face, _ = one_ball(**once).findings()
    assert face.verdict == "not proven"
    assert "one reading says nothing of its scatter" in face.reason
    assert face.expanded is None
    assert face.result("in").endswith("U not known")
    stated_scatter = Scatter(0.0002, 9, "ten readings of a like seat, this micrometer, 2031-03-08")
    known, _ = one_ball(scatter=stated_scatter, **once).findings()
    assert known.verdict == "conforms"
    # The stated scatter takes the place of s of the repeats, with its degrees of freedom.
    parts = {c.name: c for c in known.budget.contributions}
    assert parts["scatter of a reading"].standard_uncertainty == 0.0002
    wanted = known.standard_uncertainty**4 / (parts["scatter of a reading"].effect ** 4 / 9)
    assert known.budget.degrees_of_freedom == pytest.approx(wanted)


def test_one_scatter_used_for_both_balls_is_one_input():
    rows = tuple((float(ball_height(MADE, ball)),) for ball in (1.375, 1.0625))
    made = two_balls(rows=rows, scatter=Scatter(0.0004, 6, "both balls, seven readings, pooled"))
    for finding in made.findings():
        assert sum(c.name == "scatter of a reading" for c in finding.budget.contributions) == 1
        assert sum(c.share for c in finding.budget.contributions) == pytest.approx(1)
        parts = [c.effect for c in made.contributions(finding.requirement)]
        assert finding.standard_uncertainty == pytest.approx(math.hypot(*parts))
        # Welch–Satterthwaite: the two effects together are one term, (a² + b²)²/ν, which is more
        # than a⁴/ν + b⁴/ν of two inputs.
        a, b = (
            c.effect for c in made.contributions(finding.requirement) if c.name.endswith("repeats")
        )
        one = finding.standard_uncertainty**4 / ((a * a + b * b) ** 2 / 6)
        two = finding.standard_uncertainty**4 / (a**4 / 6 + b**4 / 6)
        assert finding.budget.degrees_of_freedom == pytest.approx(one)
        assert one < two


def test_what_an_instrument_is_good_for_is_never_assumed():
    for lacking, words in (
        ({"instrument": None}, "reads to"),
        ({"instrument": Instrument("micrometer", 0.001)}, "how good the instrument is"),
        ({"gauges": (Gauge(1.25),)}, "certified within"),
        ({"face_limit": None}, "zero and face"),
    ):
        face, _ = one_ball(**lacking).findings()
        assert face.verdict == "not proven"
        assert words in face.reason


def test_where_the_half_angle_for_one_ball_comes_from():
    by_print = one_ball(stated_angle=None)
    assert by_print.inputs()[-1].spread == Angle.from_dms(0, 6).radians
    assert "the print's own tolerance" in by_print.known_half_angle.words
    by_word = one_ball()
    assert by_word.inputs()[-1].spread == Angle.from_dms(0, 3).radians
    assert "sine bar, shop's own" in by_word.known_half_angle.words
    # Nothing says how sure: the value is there, the verdict is not.
    open_angle = changed_print(angle_tolerance=None)
    face, _ = one_ball(callout=open_angle, stated_angle=None).findings()
    assert face.verdict == "not proven"
    assert "how sure of it is not given" in face.reason
    # Two balls on the same part in the same job go before the print.
    both = job_with(two_balls(), by_print)
    face, angle = findings(both)
    assert [face.verdict, angle.verdict] == ["conforms", "conforms"]
    assert face.readings.identity == by_print.readings.identity
    used = next(c for c in face.budget.contributions if c.name == "half angle")
    assert used.standard_uncertainty == pytest.approx(angle.standard_uncertainty)


# -- outliers ---------------------------------------------------------------------------------

# ISO 5725-2, table of critical values for Grubbs' test, one outlying observation, 1 % and 5 %,
# from memory.
GRUBBS = {
    3: (1.155, 1.155), 4: (1.496, 1.481), 5: (1.764, 1.715), 6: (1.973, 1.887),
    7: (2.139, 2.020), 8: (2.274, 2.126), 9: (2.387, 2.215), 10: (2.482, 2.290),
    15: (2.806, 2.549), 20: (3.001, 2.709), 25: (3.135, 2.822),
}  # fmt: skip


@pytest.mark.parametrize("count", list(GRUBBS))
def test_grubbs_critical_values(count):
    one, five = GRUBBS[count]
    assert grubbs_critical(count, 0.01) == pytest.approx(one, abs=0.0011)
    assert grubbs_critical(count, 0.05) == pytest.approx(five, abs=0.0011)
    # And by scipy's quantiles.
    t = stats.t.ppf(1 - 0.01 / (2 * count), count - 2)
    wanted = (count - 1) / math.sqrt(count) * math.sqrt(t**2 / (count - 2 + t**2))
    assert grubbs_critical(count) == pytest.approx(wanted, rel=1e-9)


@pytest.mark.parametrize("count", [3, 5, 10])
def test_normal_readings_are_flagged_once_in_a_hundred(count):
    rng = np.random.default_rng(7)
    trials = cases(2000, 20_000)
    flagged = sum(outlier_in(rng.normal(size=count)) is not None for _ in range(trials))
    assert flagged / trials == pytest.approx(0.01, abs=4 * math.sqrt(0.01 * 0.99 / trials))


def test_rounding_makes_no_outlier():
    assert outlier_in((0.3, 0.3, 0.3, 0.4), 0.1) is None
    assert outlier_in((0.3, 0.3, 0.3, 0.4), 0.001) == 3
    assert outlier_in((0.5, 0.5)) is None
    assert outlier_in((0.5, 0.5, 0.5)) is None


def test_an_outlier_gives_no_verdict_until_somebody_says_what_it_is():
    middle = float(ball_height(MADE, 1.25))
    slip = (*readings(middle, (0.0, 0.0002, -0.0002, 0.0001)), middle + 0.05)
    flagged = one_ball(rows=(slip,), edge_break=0.0)
    face, _ = flagged.findings()
    assert flagged.flagged == ((0, 4),)
    assert face.verdict == "not proven"
    assert "Grubbs" in face.reason
    assert "ISO 5725-2" in face.reason
    assert face.expanded is None
    struck = one_ball(rows=(slip,), outliers=(Outlier(0, 4, True, "stylus on a chip"),))
    assert struck.findings()[0].verdict == "conforms"
    assert struck.repeats()[0].count == 4
    kept = one_ball(rows=(slip,), outliers=(Outlier(0, 4, False, "read twice"),), edge_break=0.0)
    assert kept.flagged == ()
    assert kept.repeats()[0].count == 5
    assert kept.findings()[0].expanded > 0.01
    with pytest.raises(ValueError, match="why the outlier"):
        Outlier(0, 4, True, " ")
    with pytest.raises(ValueError, match="not there"):
        one_ball(outliers=(Outlier(0, 9, True, "a chip"),))


# -- words ------------------------------------------------------------------------------------


def test_result_in_words():
    of = Budget("face diameter", (Source("all", 0.00020001, 1.0, distribution="normal"),), LENGTH)
    finding = Finding(0, "face diameter", "no limit given", "", "in", value=1.418123, budget=of)
    assert finding.result("in") == "1.41812 ± 0.00041 in (k = 2)"
    # × 25.4: 36.0203 mm and 0.0101606 mm, two figures, up.
    assert finding.result("mm") == "36.020 ± 0.011 mm (k = 2)"
    few = Source("all", 0.0001, 1.0, distribution="normal", degrees_of_freedom=9)
    angle = Finding(
        0, "half angle", "no limit given", "", "in", value=Angle.parse("20°43′").radians,
        budget=Budget("half angle", (few,)),
    )  # fmt: skip
    # t(95 %, 9) = 2.262, so U = 0.0002262 rad = 46.7″, rounded up.
    words = "20°43′00″ ± 0°00′47″ (k = 2.26 by Student's t)"
    assert angle.result("in") == words


@given(st.floats(1e-9, 1e4))
def test_u_is_rounded_up_to_two_figures(value):
    up, places = rounded_up(value)
    assert value * (1 - 1e-9) <= up <= value * 1.1
    assert len(f"{up:.{places}f}".replace(".", "").lstrip("0").rstrip("0")) <= 2


@pytest.mark.parametrize(
    ("value", "words"),
    [(0.000029, "0.000029"), (0.0001, "0.00010"), (0.0999, "0.10"), (12.3, "12"), (0, "0")],
)
def test_two_figures(value, words):
    assert two_figures(value) == words


def test_lengths_as_they_were_given():
    assert [as_given(value) for value in (0.00005, 0.001, 2.0)] == ["0.00005", "0.001", "2"]


@pytest.mark.parametrize("name", ["part", "drawing_number", "revision", "serial"])
def test_readings_of_one_part_are_not_of_the_next(name):
    job = job_with(two_balls())
    assert "not measured" not in verdicts(job)
    another = dataclasses.replace(job, **{name: "another"})
    assert verdicts(another) == ["not measured"] * 2
    assert verdicts(dataclasses.replace(job, title="seen", notes="dry")) == verdicts(job)
    assert verdicts(another.confirm(job.readings[0].identity, "B. Setter")) == verdicts(job)


def test_a_reading_is_not_struck_out_at_will():
    rows = two_balls().readings.rows
    made = two_balls(rows=((*rows[0][:4], rows[0][4] + 0.0004), rows[1]))
    at_will = two_balls(rows=made.readings.rows, outliers=(Outlier(0, 4, True, "unwelcome"),))
    assert not made.flagged
    for finding in at_will.findings():
        assert finding.verdict == "not proven"
        assert "was struck out and is no outlier by Grubbs' test" in finding.reason


@pytest.mark.parametrize("count", [2, 3, 5, 10])
@pytest.mark.parametrize("degrees", [6, 9, 30, 1000])
def test_readings_that_scatter_more_than_is_stated(count, degrees):
    # The quantile of the variance ratio from scipy.
    largest = math.sqrt(stats.f.ppf(0.99, count - 1, degrees))
    stated = Scatter(0.0002, degrees, "shop log")
    for times, more in ((0.93, False), (1.07, True)):
        found = Repeats(count, 0.1, largest * times * stated.value, 0.0, count - 1)
        assert scatters_more(found, stated) is more


def test_a_stated_scatter_does_not_outweigh_readings_that_belie_it():
    rows = two_balls().readings.rows
    wide = tuple(
        tuple(x + d for x, d in zip(row, (0, 0.004, -0.004, 0.003, -0.003), strict=False))
        for row in rows
    )
    belied = two_balls(rows=wide, scatter=Scatter(0.00001, 1000, "a feeling"))
    for finding in belied.findings():
        assert finding.verdict == "not proven"
        assert "scatter more than is stated (F test at 1 %)" in finding.reason


def test_in_the_job_file_and_back(tmp_path):
    job = job_with(
        two_balls(
            scatter=Scatter(0.0002, 9, "ten readings"),
            outliers=(Outlier(0, 1, True, "a chip"),),
            date="2031-03-09",
        ),
        one_ball(),
    )
    job.save(tmp_path / "seat.job.json")
    loaded = Job.load(tmp_path / "seat.job.json")
    assert loaded == job
    assert findings(loaded) == findings(job)


def test_the_day_of_a_measurement_is_a_day():
    assert real_date(" 2031-03-09 ").isoformat() == "2031-03-09"
    for typed in ("yesterday", "", "2031-02-30", "9.3.2031"):
        with pytest.raises(ValueError, match="for example 2026-11-26"):
            real_date(typed)


def height_on(cone, ball, **rest):
    """Readings of a ball where it truly rests, cone or not."""
    return ((ball_rest(cone, ball, **rest).height,) * 3,)


REFUSED = [
    # Where the ball truly rests off the wall, its reading gives it away.
    ("edge break", {"ball": 1.51, "rows": height_on(MADE, 1.51, edge_break=0.02)}),
    ("face edge", {"ball": 1.56, "rows": height_on(MADE, 1.56), "edge_break": 0.0}),
    ("lower edge", {"ball": 0.96, "rows": height_on(MADE, 0.96)}),
    (
        "of the bottom, .* it touches",
        {"ball": 1.2, "rows": height_on(MADE, 1.2, floor_depth=0.7), "floor_depth": 0.7},
    ),
    ("drops through", {"ball": 0.5, "rows": ((-0.9,),)}),
    ("proud at most", {"rows": ((1.3,),)}),
    (
        "larger first",
        {"method": "two balls", "gauges": (Gauge(1.0), Gauge(1.25)), "rows": ((0.1,), (0.5,))},
    ),
    ("use balls", {"method": "rolls and blocks", "rows": ((1.0,), (2.0,)), "blocks": Gauge(1.0)}),
    ("use rolls", {"callout": PLUG_PRINT}),
    ("takes 2 gauge", {"method": "two balls"}),
    ("has no gauge blocks", {"blocks": Gauge(1.0)}),
    ("take from 1 to 25", {"rows": ((0.5,) * 26,)}),
    ("take from 1 to 25", {"rows": ((),)}),
    ("must be a number", {"rows": (("0.5",),)}),
    ("zero or more", {"reads": "depth", "rows": ((-0.5,),)}),
    ("zero or more", {"face_limit": -0.1}),
    ("decision rule", {"rule": "guess"}),
    ("unit", {"unit": "cm"}),
    ("must be text", {"date": 2031}),
    ("cone is -1", {"cone": -1}),
]


@pytest.mark.parametrize(
    ("depth", "words", "edge_break"),
    [(0.02, "edge break", 0.02), (0.0, "face edge", 0.0), (0.64, "the wall's lower end", 0.02)],
)
def test_a_seat_as_near_to_either_end_of_the_wall_as_its_reading_is_sure_is_none(
    depth, words, edge_break
):
    # Plane geometry: contact at depth z is where the bore is d cos α wide. Graduation, instrument
    # and face may each be out by what they are: 0.001 + 0.0002 + 0.0002.
    inward = math.copysign(1, 0.3 - depth)
    for away, held in ((0.0013, False), (0.0015, True)):
        wide = MADE.face_diameter - 2 * (depth + inward * away) * math.tan(MADE.half_angle.radians)
        ball = wide / math.cos(MADE.half_angle.radians)
        case = {
            "ball": ball,
            "rows": ((float(ball_height(MADE, ball)),) * 3,),
            "stated_angle": stated(180, MADE.half_angle),
            "edge_break": edge_break,
        }
        if held:
            assert one_ball(**case).findings()[0].value == pytest.approx(MADE.face_diameter)
        else:
            with pytest.raises(ValueError, match=rf"within 0\.0014 of the .*{words}"):
                one_ball(**case)


@pytest.mark.parametrize(("words", "changed"), REFUSED)
def test_bad_input_is_refused_in_words(words, changed):
    with pytest.raises(ValueError, match=words):
        one_ball(**changed)


@pytest.mark.parametrize(
    ("words", "make"),
    [
        ("gauge limit", lambda: Gauge(1.25, -0.1)),
        ("gauge diameter", lambda: Gauge(0.0)),
        ("graduation", lambda: Instrument("m", 0.0)),
        ("limit of error", lambda: Instrument("m", 0.001, -1.0)),
        ("degrees of freedom", lambda: Scatter(0.001, 0.5, "x")),
        ("origin of the scatter", lambda: Scatter(0.001, 5, " ")),
        ("stated limit", lambda: StatedAngle(SEAT.half_angle, Angle.from_dms(0), "x")),
        ("origin of the stated half", lambda: StatedAngle(SEAT.half_angle, SEAT.half_angle, "")),
    ],
)  # fmt: skip
def test_parts_of_readings_are_refused_in_words(words, make):
    with pytest.raises(ValueError, match=words):
        make()


def test_rolls_need_blocks_and_reach():
    with pytest.raises(ValueError, match="block height"):
        rolls(blocks=None)
    with pytest.raises(ValueError, match="lower blocks"):
        rolls(callout=dataclasses.replace(PLUG_PRINT, length=42.0))


def test_readings_that_fit_no_such_cone_are_no_measurement():
    outside = job_with(two_balls())
    job = dataclasses.replace(outside, callouts=(PLUG_PRINT,))
    job = job.confirm(job.readings[0].identity, "J. Fitter")
    assert verdicts(job) == ["not measured", "not measured"]
    assert "use rolls" in findings(job)[0].reason


# Four standard deviations of sampling: a true rate passes in all but one run of 16,000.
@pytest.mark.slow
@pytest.mark.parametrize("shop", [s for s in SHOPS if s.exact], ids=lambda s: s.name)
@pytest.mark.parametrize("away", [-1.0, 0.0, 1.0])
def test_simulated_inspections_keep_the_promise(shop, away):
    row = rates(shop, away, 1500, seed=5)
    for verdict in ("accepted", "rejected"):
        wanted = row[f"{verdict}_promised"]
        sampling = math.sqrt(max(wanted * (1 - wanted), 1e-3) / row["count"])
        assert row[verdict] == pytest.approx(wanted, abs=4 * sampling)


INSTRUMENTS = {shop.name: shop for shop in SHOPS if not shop.exact}


@pytest.mark.parametrize("shop", list(INSTRUMENTS))
@pytest.mark.parametrize("repeats", [1, 2, 3, 5, 10])
def test_a_part_on_the_limit_is_accepted_once_in_twenty_at_most(shop, repeats):
    count = cases(100, 20_000)
    row = rates(dataclasses.replace(INSTRUMENTS[shop], repeats=repeats), 0.0, count, seed=6)
    assert row["accepted"] <= 0.055 + 4 * math.sqrt(0.055 * 0.945 / count) * (count < 20_000)
    if repeats == 1:
        assert row["accepted"] == row["rejected"] == 0


@pytest.mark.slow
def test_two_repeats_keep_the_promise_only_with_students_t():
    shop = INSTRUMENTS["guard band, scatter as large as all else"]
    row = rates(dataclasses.replace(shop, repeats=2), 0.0, 3000, seed=6)
    sampling = math.sqrt(0.05 * 0.95 / row["count"])
    assert row["accepted"] < 0.05 + 4 * sampling
    assert row["accepted_by_165_alone"] > 0.05 + 4 * sampling
