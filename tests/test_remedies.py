"""What would settle “not proven”: each remedy done, and then the verdict looked at."""

import dataclasses
import re

import numpy as np
import pytest
from test_inspection import (
    MICROMETER,
    SEAT,
    changed_print,
    one_ball,
    readings,
    rolls,
    stated,
    two_balls,
)  # fmt: skip

from tapertrig import Angle, Cone
from tapertrig.gauging import Rule, ball_height, judge
from tapertrig.gauging.inspection import Inspection
from tapertrig.gauging.remedies import remedies, settling, uncertainty_needed
from tapertrig.job import Gauge, Instrument, Scatter

BALLS = [0.75, 1.0, 1.0625, 1.125, 1.25, 1.375, 1.5]


def made(face):
    """A seat at the print's angle with another face diameter."""
    return Cone(SEAT.half_angle, face, 0.64)


def find(inspection, means, balls=BALLS, requirement="face diameter"):
    """The remedy of one kind."""
    (remedy,) = (
        r for r in remedies(inspection, balls) if r.means == means and r.requirement == requirement
    )
    return remedy


def verdict(inspection, requirement="face diameter"):
    """The verdict on one quantity."""
    (finding,) = (f for f in inspection.findings() if f.requirement == requirement)
    return finding.verdict


def reread(inspection, **changed):
    """The inspection with other readings of the same part."""
    return dataclasses.replace(
        inspection, readings=dataclasses.replace(inspection.readings, **changed)
    )


def numbers(words):
    """The numbers in a sentence."""
    return [float(text) for text in re.findall(r"\d+\.\d+", words)]


def test_nothing_to_settle():
    assert verdict(one_ball(made=made(1.4195))) == "conforms"
    assert remedies(one_ball(made=made(1.4195)), BALLS) == ()
    free = changed_print(diameter_plus=None, diameter_minus=None)
    assert remedies(one_ball(callout=free), BALLS) == ()


@pytest.mark.parametrize("face", [1.4204, 1.4216])
def test_a_better_instrument_settles_it(face):
    coarse = one_ball(
        made=made(face),
        stated_angle=stated(20),
        instrument=Instrument("depth micrometer", 0.001, 0.001),
    )
    assert verdict(coarse) == "not proven"
    remedy = find(coarse, "better instrument")
    assert remedy.works
    graduation, limit = numbers(remedy.words)[:2]
    assert 0 < graduation < 0.001
    assert 0 < limit < 0.001
    better = reread(coarse, instrument=Instrument("better", graduation, limit))
    assert verdict(better) == remedy.verdict == ("conforms" if face < 1.421 else "does not conform")
    # The numbers are rounded down to two figures; a tenth more would not do.
    worse = Instrument("a little better", graduation * 1.15, limit * 1.15)
    assert verdict(reread(coarse, instrument=worse)) == "not proven"


def test_more_repeats_settle_it_with_just_that_many():
    wild = (-0.0016, 0.0006, 0.0010)
    scattered = one_ball(
        made=made(1.4198),
        rows=(readings(ball_height(made(1.4198), 1.25), wild),),
        stated_angle=stated(20),
    )
    assert verdict(scattered) == "not proven"
    remedy = find(scattered, "more repeats")
    assert remedy.works
    count = int(re.match(r"\d+", remedy.words)[0])
    assert count > 3
    for repeats, wanted in ((count, remedy.verdict), (count - 1, "not proven")):
        # Readings of the same spread, made here by scaling a normal pattern.
        pattern = np.sin(np.arange(repeats) * 2.3)
        pattern = (pattern - pattern.mean()) / pattern.std(ddof=1)
        heights = scattered.repeats()[0].mean + scattered.repeats()[0].spread * pattern
        changed = reread(scattered, rows=(tuple(heights.tolist()),))
        assert verdict(changed) == wanted


def test_repeats_cannot_help_where_they_are_not_the_trouble():
    mean = float(ball_height(made(1.4205), 1.25))
    steady = one_ball(rows=((mean, mean + 1e-5, mean - 1e-5),))
    assert not find(steady, "more repeats").works
    assert "not even 25" in find(steady, "more repeats").words


def test_where_no_uncertainty_is_known_the_reason_is_the_advice():
    mean = float(ball_height(made(1.4195), 1.25))
    once = one_ball(rows=((mean,),))
    assert remedies(once, BALLS) == ()
    ((finding, (told,)),) = list(settling(once, BALLS))
    assert finding.requirement == "face diameter"
    assert told.startswith("One reading says nothing of its scatter")


def test_more_readings_of_a_stated_scatter_settle_it():
    mean = float(ball_height(made(1.4200), 1.25))
    wide = one_ball(
        rows=((mean,),), scatter=Scatter(0.0009, 19, "twenty readings"), stated_angle=stated(20)
    )
    assert verdict(wide) == "not proven"
    remedy = find(wide, "more repeats")
    assert remedy.works
    count = int(re.match(r"\d+", remedy.words)[0])
    assert verdict(reread(wide, rows=((mean,) * count,))) == remedy.verdict
    assert verdict(reread(wide, rows=((mean,) * (count - 1),))) == "not proven"


def test_knowing_the_half_angle_better_settles_it():
    loose = one_ball(made=made(1.4200), stated_angle=stated(360))
    assert verdict(loose) == "not proven"
    remedy = find(loose, "better half angle")
    assert remedy.works
    limit = Angle.parse(re.search(r"± (\S+) would", remedy.words)[1])
    seconds = float(limit.arc_seconds)
    assert verdict(reread(loose, stated_angle=stated(seconds))) == remedy.verdict
    assert verdict(reread(loose, stated_angle=stated(seconds + 2))) == "not proven"


def test_another_ball_nearer_the_face_settles_it():
    deep = one_ball(ball=1.0625, made=made(1.4198), stated_angle=stated(360))
    assert verdict(deep) == "not proven"
    remedy = find(deep, "another ball")
    assert remedy.works
    (ball,) = numbers(remedy.words)
    # 1.5 would touch nearer the face, but within a twentieth of the depth of the break.
    assert ball == 1.375
    measured = Cone(SEAT.half_angle, deep.findings()[0].value, 0.64)
    again = reread(
        deep, gauges=(Gauge(ball, 0.00005),), rows=(readings(ball_height(measured, ball)),)
    )
    assert verdict(again) == remedy.verdict == "conforms"
    none = find(deep, "another ball", balls=[1.0625, 1.0])
    assert not none.works


def test_another_pair_settles_it():
    close = (1.125, 1.0625)
    rows = tuple(readings(ball_height(made(1.4195), ball)) for ball in close)
    fine = Instrument("fine", 0.0005, 0.0)
    held = tuple(Gauge(ball, 0.00005) for ball in close)
    inspection = two_balls(gauges=held, rows=rows, instrument=fine)
    assert inspection.verdict == "not proven"
    remedy = find(inspection, "another pair", requirement="half angle")
    assert remedy.works
    pair = tuple(numbers(remedy.words)[:2])
    assert pair == (1.375, 1.0625)
    again = two_balls(made=made(1.4195), instrument=fine)
    assert verdict(again, "half angle") == remedy.verdict


def test_rolls_have_no_balls_to_offer():
    inspection = rolls(rule="simple acceptance")
    assert inspection.verdict == "not proven"
    assert {r.means for r in remedies(inspection, BALLS)} == {"better instrument", "more repeats"}


def test_at_the_limit_nothing_helps():
    exact = float(ball_height(made(1.421), 1.25))
    inspection = one_ball(rows=((exact - 1e-5, exact, exact + 1e-5),))
    assert verdict(inspection) == "not proven"
    assert not any(remedy.works for remedy in remedies(inspection, BALLS))


@pytest.mark.parametrize("face", [1.4190, 1.4205, 1.4216])
@pytest.mark.parametrize("rule", [Rule(), Rule("simple acceptance", 4)])
def test_uncertainty_needed_is_the_edge_of_a_verdict(face, rule):
    inspection = one_ball(made=made(face), rule=rule.kind, stated_angle=stated(360))
    finding, _ = inspection.findings()
    needed = uncertainty_needed(finding, inspection)
    assert needed > 0
    for scale, proven in ((0.999, True), (1.001, False)):
        factors = {"guard": finding.budget.guard_factor, "coverage": finding.budget.factor}
        judged = judge(finding.value, *finding.limits, needed * scale, rule, **factors)
        assert (judged.verdict != "not proven") == proven
    if rule.kind == "simple acceptance":
        # By hand: U is to be a fourth of half the tolerance of .003, k of few readings and all.
        assert finding.budget.factor * needed == pytest.approx(0.0015 / 4)
    with pytest.raises(ValueError, match="no tolerance"):
        uncertainty_needed(dataclasses.replace(finding, limits=None), inspection)


def test_depth_readings_are_judged_alike():
    heights = one_ball(ball=1.0625, made=made(1.4198))
    depths = tuple(1.0 - height for height in heights.readings.rows[0])
    below = reread(heights, rows=(depths,), reads="depth", parallel=1.0)
    assert isinstance(below, Inspection)
    assert below.instrument == MICROMETER
    words = [r.words for r in remedies(below, BALLS)]
    assert words == [r.words for r in remedies(heights, BALLS)]
