"""An inspection: repeats, uncertainties, verdict, and its way into the job file and back."""

import dataclasses
import json
import math

import numpy as np
import pytest
import uncertainties
from bench.inspections import SHOPS, rates
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats
from uncertainties import umath

from tapertrig import Angle, Cone, demo
from tapertrig.gauging import Rule, ball_height, ball_rest, over_rolls
from tapertrig.gauging.inspection import (
    Finding,
    Inspection,
    Instrument,
    Repeats,
    as_given,
    two_figures,
)
from tapertrig.job import Job

SEAT = Cone(Angle.parse("20°43′"), 1.418, 0.64)
MADE = Cone(Angle.parse("20°44′"), 1.4196, 0.64)
PLUG = Cone.from_taper("1:10", 20.0, 60.0, internal=False)
MICROMETER = Instrument("depth micrometer", 0.001, 0.0002)
SCATTER = (-0.0002, 0.0001, 0.0003, 0.0, -0.0001)
MINUTES = Angle.from_dms(0, 3)


def readings(mean, scatter=SCATTER):
    """Repeats about a mean."""
    return tuple(float(mean) + error for error in scatter)


def one_ball(ball=1.25, made=MADE, **changed):
    """A seat measured with one ball."""
    given_ = {
        "cone": SEAT,
        "unit": "in",
        "method": "one ball",
        "gauges": (ball,),
        "readings": (readings(ball_height(made, ball)),),
        "instrument": MICROMETER,
        "diameter_limits": (1.418, 1.421),
        "half_angle_tolerance": Angle.from_dms(0, 6),
        "half_angle_limit": MINUTES,
        "gauge_limit": 0.00005,
        "face_limit": 0.0002,
        "edge_break": 0.02,
    }
    return Inspection(**(given_ | changed))


def two_balls(made=MADE, **changed):
    """A seat measured with two balls."""
    rows = (readings(ball_height(made, 1.375)), readings(ball_height(made, 1.0625), SCATTER[:3]))
    return one_ball(
        **(
            {
                "method": "two balls",
                "gauges": (1.375, 1.0625),
                "readings": rows,
                "half_angle_limit": None,
            }
            | changed
        )
    )


def rolls(**changed):
    """A plug measured over rolls."""
    given_ = {
        "cone": PLUG,
        "unit": "mm",
        "method": "rolls and blocks",
        "gauges": (8.0,),
        "readings": (
            readings(over_rolls(PLUG, 8.0), (-0.001, 0.0, 0.002)),
            readings(over_rolls(PLUG, 8.0, 40.0), (0.001, 0.0, -0.002, 0.001)),
        ),
        "instrument": Instrument("micrometer", 0.001, 0.002),
        "diameter_limits": (19.99, 20.01),
        "half_angle_tolerance": Angle.from_dms(0, 2),
        "block_height": 40.0,
        "block_limit": 0.0004,
        "gauge_limit": 0.0005,
        "face_limit": 0.001,
    }
    return Inspection(**(given_ | changed))


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


def test_one_reading_has_no_known_spread():
    assert Repeats.of([1.5]) == (1, 1.5, None, 0.0, None)
    once = one_ball(readings=((float(ball_height(MADE, 1.25)),),))
    assert any("once only" in remark for remark in once.remarks())
    with pytest.raises(ValueError, match="no reading"):
        Repeats.of([])


def test_u_of_repeats_alone_is_the_t_interval_of_scipy():
    # Everything but the spread made negligible: U is Student's interval for a mean, times 2 tan α.
    few = readings(ball_height(MADE, 1.25), (-0.003, 0.001, 0.002))
    (finding,) = one_ball(
        readings=(few,),
        instrument=Instrument("fine", 1e-9),
        half_angle_limit=Angle.from_arc_seconds(0.001),
        gauge_limit=0.0,
        face_limit=0.0,
    ).findings()
    low, high = stats.t.interval(0.95, 2, np.mean(few), stats.sem(few))
    assert finding.degrees_of_freedom == pytest.approx(2, rel=1e-6)
    assert finding.expanded == pytest.approx((high - low) / 2 * SEAT.taper, rel=1e-6)
    assert finding.factor_words == "t = 4.30 for 2 effective degrees of freedom"


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
    findings = inspection.findings()
    assert len(findings) == len(library)
    for finding, wanted in zip(findings, library, strict=True):
        assert finding.value == pytest.approx(wanted.nominal_value, rel=1e-12)
        assert finding.standard_uncertainty == pytest.approx(wanted.std_dev, rel=1e-9)
    if len(library) == 2:
        correlation = uncertainties.correlation_matrix(library)[0, 1]
        assert inspection.correlation() == pytest.approx(correlation, rel=1e-9)
    else:
        assert inspection.correlation() is None


@pytest.mark.parametrize("method", list(INSPECTIONS))
def test_effective_degrees_of_freedom(method):
    # Welch–Satterthwaite, JCGM 100 equation G.2b, written out.
    inspection = INSPECTIONS[method]
    for finding in inspection.findings():
        degrees = [i.degrees_of_freedom for i in inspection.inputs()]
        below = sum(c.effect**4 / n for c, n in zip(finding.contributions, degrees, strict=True))
        wanted = finding.standard_uncertainty**4 / below
        assert finding.degrees_of_freedom == pytest.approx(wanted)
        assert finding.factor == pytest.approx(
            max(2, stats.t.ppf(0.975, math.floor(finding.degrees_of_freedom)))
        )


@pytest.mark.parametrize("method", list(INSPECTIONS))
def test_monte_carlo_agrees_within_its_sampling_error(method):
    inspection = INSPECTIONS[method]
    for finding in inspection.findings():
        trials = inspection.monte_carlo(finding.quantity, 40_000, seed=3)
        u = finding.standard_uncertainty
        assert trials.mean == pytest.approx(finding.value, abs=4 * u / math.sqrt(40_000))
        # Standard deviation of a standard deviation: u/√(2n), a little more for second order.
        assert trials.standard_uncertainty == pytest.approx(u, rel=0.02)


def test_what_is_found_is_what_was_made():
    plain = {"instrument": Instrument("fine", 1e-6)}
    (face,) = one_ball(half_angle=MADE.half_angle, **plain).findings()
    wanted = MADE.face_diameter - np.mean(SCATTER) * MADE.taper
    assert face.value == pytest.approx(wanted)
    exact = tuple((float(ball_height(MADE, ball)),) * 3 for ball in (1.375, 1.0625))
    face, angle = two_balls(readings=exact, **plain).findings()
    assert face.value == pytest.approx(MADE.face_diameter)
    assert angle.value == pytest.approx(MADE.half_angle.radians)
    exact = tuple((float(over_rolls(PLUG, 8.0, block)),) for block in (0.0, 40.0))
    face, angle = rolls(readings=exact).findings()
    assert face.value == pytest.approx(20.0)
    assert angle.value == pytest.approx(PLUG.half_angle.radians)


def test_depth_readings_are_heights_seen_from_above():
    heights = one_ball()
    depths = tuple(1.0 - height for height in heights.readings[0])
    below = one_ball(readings=(depths,), reads="depth", parallel=1.0)
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
    ("conforms", 1.4205, {"rule": Rule("simple acceptance", 1.5)}),
    ("does not conform", 1.4215, {"rule": Rule("simple acceptance", 1.5)}),
    ("not proven", 1.4195, {"rule": Rule("simple acceptance", 4)}),
]


@pytest.mark.parametrize(("verdict", "face", "changed"), VERDICTS)
def test_each_verdict_by_each_rule(verdict, face, changed):
    made = Cone(SEAT.half_angle, face, 0.64)
    inspection = one_ball(made=made, **changed)
    assert inspection.verdict == verdict
    assert inspection.findings()[0].judgement.verdict == verdict


def test_the_worst_quantity_decides():
    steep = Cone(Angle.parse("21°10′"), 1.4195, 0.64)
    inspection = two_balls(made=steep, instrument=Instrument("fine", 0.0001))
    assert [f.judgement.verdict for f in inspection.findings()] == ["conforms", "does not conform"]
    assert inspection.verdict == "does not conform"
    free = two_balls(diameter_limits=None, half_angle_tolerance=None)
    assert free.verdict is None
    assert free.findings()[0].judgement is None


def test_with_one_ball_the_half_angle_is_taken_from_the_print_or_as_given():
    assumed = one_ball(half_angle_limit=None)
    assert assumed.inputs()[-1].spread == Angle.from_dms(0, 6).radians
    known = one_ball(half_angle=MADE.half_angle)
    assert known.inputs()[-1].estimate == MADE.half_angle.radians
    assert known.findings()[0].value != assumed.findings()[0].value
    assert any("not measured here" in remark for remark in known.remarks())
    with pytest.raises(ValueError, match="does not measure the half angle"):
        known.monte_carlo("half angle")


def test_result_in_words():
    finding = Finding("face diameter", 1.418123, 0.00020001, math.inf, 1.418, None, None, ())
    assert finding.words("in") == "1.41812 ± 0.00041 in (k = 2)"
    angle = Finding("half angle", Angle.parse("20°43′").radians, 0.0001, 9, 0.36, None, None, ())
    # t(95 %, 9) = 2.262, so U = 0.0002262 rad = 46.7″, rounded up.
    words = "20°43′00″ ± 0°00′47″ (t = 2.26 for 9 effective degrees of freedom)"
    assert angle.words("in") == words


@pytest.mark.parametrize(
    ("value", "words"),
    [(0.000029, "0.000029"), (0.0001, "0.00010"), (0.0999, "0.10"), (12.3, "12"), (0, "0")],
)
def test_two_figures(value, words):
    assert two_figures(value) == words


def test_lengths_as_they_were_given():
    assert [as_given(value) for value in (0.00005, 0.001, 2.0)] == ["0.00005", "0.001", "2"]


@pytest.mark.parametrize("method", list(INSPECTIONS))
def test_to_plain_and_back(method):
    inspection = INSPECTIONS[method]
    again = Inspection.from_plain(json.loads(json.dumps(inspection.to_plain())))
    assert again == inspection
    assert again.findings() == inspection.findings()


def test_in_the_job_file_and_back(tmp_path):
    job = demo.job()
    inspection = Inspection.for_job(
        job,
        method="two balls",
        gauges=(1.375, 1.0625),
        readings=two_balls().readings,
        instrument=MICROMETER,
        measured_by="Somebody invented",
    )
    kept = dataclasses.replace(job, inspection=inspection.to_plain())
    kept.save(tmp_path / "seat.job.json")
    loaded = Job.load(tmp_path / "seat.job.json")
    assert Inspection.from_plain(loaded.inspection) == inspection


def test_for_job_takes_the_print():
    job = demo.job()
    inspection = Inspection.for_job(
        job,
        method="one ball",
        gauges=(1.25,),
        readings=((float(ball_height(SEAT, 1.25)),),),
        instrument=MICROMETER,
    )
    assert inspection.cone == job.callout.cone()
    assert inspection.diameter_limits == job.callout.diameter_limits
    assert inspection.half_angle_tolerance == job.callout.angle_tolerance.half()
    assert inspection.callout == job.callout.words()
    untoleranced = dataclasses.replace(
        job, callout=dataclasses.replace(job.callout, angle_tolerance=None)
    )
    assumed = Inspection.for_job(
        untoleranced,
        method="one ball",
        gauges=(1.25,),
        readings=inspection.readings,
        instrument=MICROMETER,
    )
    assert "Assumed" in assumed.remarks()[0]


DAMAGED = [
    (lambda plain: "text", "no inspection"),
    (lambda plain: plain | {"kind": "job"}, "no inspection"),
    (lambda plain: plain | {"version": 2}, "version 2"),
    (lambda plain: plain | {"version": True}, "version True"),
    (lambda plain: {k: v for k, v in plain.items() if k != "rule"}, "missing or unknown: rule"),
    (lambda plain: plain | {"odd": 1}, "missing or unknown: odd"),
    (lambda plain: plain | {"half_angle_limit": "1/0"}, "half_angle_limit"),
    (lambda plain: plain | {"half_angle_limit": "-5"}, "half_angle_limit"),
    (lambda plain: plain | {"half_angle_limit": 5}, "half_angle_limit"),
    (lambda plain: plain | {"instrument": {"name": "x"}}, "damaged"),
    (lambda plain: plain | {"instrument": 3}, "damaged"),
    (lambda plain: plain | {"cone": {}}, "damaged"),
    (lambda plain: plain | {"cone": plain["cone"] | {"internal": "yes"}}, "internal"),
    (lambda plain: plain | {"readings": 7}, "damaged"),
    (lambda plain: plain | {"readings": [["x"]]}, "must be a number"),
    (lambda plain: plain | {"gauges": [-1.0]}, "more than zero"),
    (lambda plain: plain | {"diameter_limits": [1.0, 2.0, 3.0]}, "two diameter limits"),
    (lambda plain: plain | {"notes": 5}, "must be text"),
]


@pytest.mark.parametrize(("damage", "words"), DAMAGED)
def test_damaged_values_are_refused_in_words(damage, words):
    with pytest.raises(ValueError, match=words):
        Inspection.from_plain(damage(one_ball().to_plain()))


def height_on(cone, ball, **rest):
    """Readings of a ball where it truly rests, cone or not."""
    return ((ball_rest(cone, ball, **rest).height,) * 3,)


REFUSED = [
    # Where the ball truly rests off the wall, its reading gives it away.
    ("edge break", {"gauges": (1.51,), "readings": height_on(MADE, 1.51, edge_break=0.02)}),
    ("face edge", {"gauges": (1.56,), "readings": height_on(MADE, 1.56), "edge_break": 0.0}),
    ("lower edge", {"gauges": (0.96,), "readings": height_on(MADE, 0.96)}),
    (
        "touches the bottom",
        {"gauges": (1.2,), "readings": height_on(MADE, 1.2, floor_depth=0.7), "floor_depth": 0.7},
    ),
    ("drops through", {"gauges": (0.5,), "readings": ((-0.9,),)}),
    ("proud at most", {"readings": ((1.3,),)}),
    ("larger first", {"method": "two balls", "gauges": (1.0, 1.25), "readings": ((0.1,), (0.5,))}),
    ("use balls", {"method": "rolls and blocks"}),
    ("use rolls", {"cone": PLUG}),
    ("takes 2 gauge", {"method": "two balls"}),
    ("take from 1 to 25", {"readings": ((0.5,) * 26,)}),
    ("take from 1 to 25", {"readings": ((),)}),
    ("must be a number", {"readings": (("0.5",),)}),
    ("zero or more", {"reads": "depth", "readings": ((-0.5,),)}),
    ("zero or more", {"gauge_limit": -0.1}),
    ("must be less", {"diameter_limits": (1.42, 1.41)}),
    ("more than zero", {"half_angle_limit": Angle.from_dms(0)}),
    ("say how far", {"half_angle_limit": None, "half_angle_tolerance": None}),
    ("must be a Rule", {"rule": "guard band"}),
    ("unit", {"unit": "cm"}),
    ("must be text", {"date": 2031}),
]


@pytest.mark.parametrize(("words", "changed"), REFUSED)
def test_bad_input_is_refused_in_words(words, changed):
    with pytest.raises(ValueError, match=words):
        one_ball(**changed)


def test_rolls_need_blocks_and_reach():
    with pytest.raises(ValueError, match="block height"):
        rolls(block_height=0.0)
    with pytest.raises(ValueError, match="lower blocks"):
        rolls(cone=Cone(PLUG.half_angle, 20.0, 42.0, internal=False))


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


@pytest.mark.slow
def test_few_repeats_keep_the_promise_only_with_student_t():
    (shop,) = (s for s in SHOPS if s.repeats == 3)
    row = rates(shop, 0.0, 3000, seed=6)
    sampling = math.sqrt(0.05 * 0.95 / row["count"])
    assert row["accepted"] < 0.05 + 4 * sampling
    assert row["accepted_by_165_alone"] > 0.05 + 4 * sampling
