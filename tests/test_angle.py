"""Angle: reading, writing, halving; sine and arcsine of it against 50 digits."""

import math
from fractions import Fraction

import mpmath
import numpy as np
import pytest
from cases import cases
from hypothesis import example, given, settings
from hypothesis import strategies as st
from reference import check_values, row_id

from tapertrig import Angle
from tapertrig.setup import axial_travel, cross_travel, half_angle_from, half_angle_from_axial

mpmath.mp.dps = 50

# The same angle as people write it; written here by hand.
SAME_47_18 = [
    "47°18'",
    "47° 18′",
    "47°18′00″",
    "47 18",
    "47 18 00",
    "47-18",
    "47:18",
    "47-18-0",
    "47d18m",
    "47d 18m 0s",
    "47deg 18min",
    "47 DEG 18 MIN",
    "47º18´",
    "47˚18’",
    "47.3",
    "47.3°",
    "+47.3",
    "  47.30 ",
]

REFUSED = [
    "",
    " ",
    "-",
    "°",
    "abc",
    "47°60'",
    "47°18'60″",
    "47 18 60",
    "47 75",
    "47..3",
    "4.7.3",
    "47.3°18'",
    "47°18.5'30″",
    "nan",
    "inf",
    "-inf",
    "1e3",
    "47,3",
    "٤٧",  # Arabic-Indic digits
    "४७",  # Devanagari digits
    "４７",  # full-width digits
    "47°18'30″5",
    "47''18'",
    "18' 47°",
    "47° 47°",
    "2838'",  # minutes or seconds alone run past 60 only by mistake
    "170280″",
    "47-",
    "361",
    "47 18 30 5",
    "0x2f",
    "1" * 61,
    "47°\x0018'",
]


@pytest.mark.parametrize("text", SAME_47_18)
def test_reads_an_angle_as_people_write_it(text):
    assert Angle.parse(text).arc_seconds == 47 * 3600 + 18 * 60


def test_reads_seconds_with_decimals_and_negative_angles():
    assert Angle.parse("47 18 30.5").arc_seconds == Fraction("170310.5")
    assert Angle.parse("47°18'30.5''") == Angle.parse("47° 18′ 30.5″")
    assert Angle.parse("-0°10'").arc_seconds == -600
    assert Angle.parse("−0 10").arc_seconds == -600
    assert Angle.parse("18'") == Angle.parse("0.3")
    assert Angle.parse("30″").arc_seconds == 30


@pytest.mark.parametrize("text", REFUSED)
def test_refuses_what_is_no_angle_and_shows_a_form_that_works(text):
    with pytest.raises(ValueError, match="“") as caught:
        Angle.parse(text)
    assert f"“{text[:60]}" in str(caught.value)
    assert "38°24′, 38 24 30.5, 38-24, 38d24m or 38.4" in str(caught.value)


@pytest.mark.parametrize("value", [None, 47.3, b"47", ["47"]])
def test_refuses_what_is_no_text(value):
    with pytest.raises(ValueError, match="it must be text"):
        Angle.parse(value)


@given(st.text(max_size=80))
@example("9" * 60)
@example("0" * 59 + "1")
@example("1°" * 30)
@settings(max_examples=cases(200, 20_000), deadline=None)
def test_any_text_is_an_angle_or_a_value_error(text):
    try:
        angle = Angle.parse(text)
    except ValueError:
        return
    assert abs(angle.degrees) <= 360
    assert any(character in "0123456789" for character in text)


@given(st.text(alphabet="0123456789.°′″'\"-: dms+−,", max_size=14))
@settings(max_examples=cases(200, 20_000), deadline=None)
def test_any_row_of_digits_and_marks_is_an_angle_or_a_value_error(text):
    try:
        angle = Angle.parse(text)
    except ValueError:
        return
    assert Angle.parse(angle.dms(12)) == angle


arc_seconds = st.fractions(-360 * 3600, 360 * 3600, max_denominator=10**6).map(
    Angle.from_arc_seconds
)


@given(arc_seconds, st.integers(0, 12))
@settings(max_examples=cases(300), deadline=None)
def test_written_and_read_again_is_the_rounded_angle(angle, places):
    text = angle.dms(places)
    again = Angle.parse(text)
    assert again.dms(places) == text
    assert abs(again.arc_seconds - angle.arc_seconds) <= Fraction(1, 2 * 10**places)


@given(arc_seconds, st.integers(0, 8))
@settings(max_examples=cases(300), deadline=None)
def test_minutes_and_seconds_never_reach_sixty(angle, places):
    _, _, minutes, seconds = angle.dms_parts(places)
    assert 0 <= minutes < 60
    assert 0 <= seconds < 60
    assert "60" not in (angle.dms(places)[-4 - places :], angle.dm(places).split("°")[1][:2])


@pytest.mark.parametrize("places", range(7))
def test_a_hair_below_a_whole_degree_carries(places):
    hair = Angle.from_arc_seconds(48 * 3600 - Fraction(1, 10**9))
    decimals = "." + "0" * places if places else ""
    assert hair.dms(places) == f"48°00′00{decimals}″"
    assert hair.dm(places) == f"48°00{decimals}′"


@given(arc_seconds)
def test_halving_doubling_and_complement_are_exact(angle):
    assert angle.half().double() == angle
    assert angle.double().half() == angle
    assert angle.complement().complement() == angle
    assert angle.half().arc_seconds * 2 == angle.arc_seconds
    assert angle + angle.complement() == Angle.from_dms(90)


def test_an_odd_degree_carries_thirty_minutes_and_an_odd_minute_thirty_seconds():
    assert Angle.from_dms(62, 45).half().dms() == "31°22′30″"
    assert Angle.from_dms(63, 0).half().dms() == "31°30′00″"


def _dms(text: str) -> Angle:
    for mark in ("d", "'", '"'):
        text = text.replace(mark, " ")
    return Angle.parse(text.strip())


@pytest.mark.parametrize("row", check_values("halve-"), ids=row_id)
def test_halves_published_angles(row):
    # Angles read in ISO 1119 (GOST R 53440-2009); their halves computed with mpmath.
    half = Angle.parse(row["given"]["dms"]).half()
    assert abs(half - _dms(row["expected"]["half_dms"])).arc_seconds < Fraction(1, 100_000)
    assert half.degrees == pytest.approx(row["expected"]["half_deg"], abs=1e-10)


@pytest.mark.parametrize("row", check_values("dec2dms-"), ids=row_id)
def test_decimal_degrees_to_minutes_and_seconds(row):
    angle = Angle.from_degrees(row["given"]["deg"])
    assert abs(angle - _dms(row["expected"]["dms"])).arc_seconds < Fraction(1, 100)


@pytest.mark.parametrize("row", check_values("trig-"), ids=row_id)
def test_five_place_tables(row):
    # Any five-place table of natural sines and tangents.
    angle = Angle.parse(row["given"]["angle"])
    assert f"{cross_travel(1.0, angle):.5f}" == row["expected"]["sin5dp"]
    tangent = cross_travel(1.0, angle) / axial_travel(1.0, angle)
    assert f"{tangent:.5f}" == row["expected"]["tan5dp"]
    assert cross_travel(1.0, angle) == pytest.approx(row["expected"]["sin"], rel=1e-5)


def _ulps(value: float, exact: mpmath.mpf) -> float:
    return float(abs(mpmath.mpf(value) - exact) / mpmath.mpf(math.ulp(float(exact))))


def _every_size_of_angle(count: int) -> list[Angle]:
    rng = np.random.default_rng(20)
    seconds = np.concatenate(
        [
            rng.uniform(1, 90 * 3600 - 1, count),
            np.geomspace(1e-3, 3600, count // 2),
            90 * 3600 - np.geomspace(1e-3, 3600, count // 2),
        ]
    )
    return [Angle.from_arc_seconds(Fraction(float(value))) for value in seconds]


def test_radians_sine_and_cosine_within_4_units_in_the_last_place():
    # mpmath at 50 digits, from the exact fraction of arc-seconds.
    worst = {"radians": 0.0, "sine": 0.0, "cosine": 0.0}
    for angle in _every_size_of_angle(2000):
        exact = mpmath.radians(
            mpmath.mpf(angle.arc_seconds.numerator) / angle.arc_seconds.denominator / 3600
        )
        worst["radians"] = max(worst["radians"], _ulps(angle.radians, exact))
        worst["sine"] = max(worst["sine"], _ulps(cross_travel(1.0, angle), mpmath.sin(exact)))
        if angle.degrees <= 45:
            worst["cosine"] = max(
                worst["cosine"], _ulps(axial_travel(1.0, angle), mpmath.cos(exact))
            )
    assert max(worst.values()) < 4, worst


def test_arcsine_and_arccosine_within_4_units_in_the_last_place():
    # mpmath at 50 digits. A compound travel of 1 makes the ratio exact, so what is measured is
    # the arithmetic and not the steepness of the arcsine near 90°.
    worst = 0.0
    sides = np.concatenate(
        [np.random.default_rng(21).uniform(0, 1, 2000), np.geomspace(1e-9, 0.5, 500)]
    )
    sides = np.concatenate([sides, 1 - np.geomspace(1e-15, 0.5, 500)])
    for side in sides.tolist():
        across = half_angle_from(1.0, side).radians
        worst = max(worst, _ulps(across, mpmath.asin(mpmath.mpf(side))))
        along = half_angle_from_axial(1.0, side).radians
        worst = max(worst, _ulps(along, mpmath.acos(mpmath.mpf(side))))
    assert worst < 4, worst


def test_degrees_minutes_seconds_match_50_digits():
    for angle in _every_size_of_angle(500):
        _, degrees, minutes, seconds = angle.dms_parts(9)
        exact = mpmath.mpf(angle.arc_seconds.numerator) / angle.arc_seconds.denominator
        parts = mpmath.mpf(degrees) * 3600 + minutes * 60 + mpmath.mpf(repr(seconds))
        assert abs(parts - exact) <= mpmath.mpf("0.5000001e-9")


def test_degrees_minutes_seconds_match_a_units_library():
    # astropy.coordinates, a general astronomy library.
    coordinates = pytest.importorskip("astropy.coordinates")
    rng = np.random.default_rng(22)
    for _ in range(300):
        degrees, minutes = int(rng.integers(0, 90)), int(rng.integers(0, 60))
        seconds = round(float(rng.uniform(0, 59.99)), 3)
        text = f"{degrees}d{minutes}m{seconds}s"
        theirs = coordinates.Angle(text)
        ours = Angle.parse(text)
        assert ours.degrees == pytest.approx(theirs.degree, rel=4e-16, abs=1e-15)
        assert ours.radians == pytest.approx(theirs.radian, rel=8e-16, abs=1e-17)
        shown = theirs.to_string(unit="degree", sep=("°", "′", "″"), precision=3, pad=True)
        assert ours.dms(3).zfill(len(shown)) == shown


@given(st.floats(-360, 360))
def test_decimal_degrees_are_kept_as_written(degrees):
    assert Angle.from_degrees(degrees).degrees == degrees


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, "47", None, True, 10**400, 1e9])
def test_refuses_numbers_that_are_no_angle(value):
    for make in (Angle.from_degrees, Angle.from_radians, Angle.from_arc_seconds):
        with pytest.raises(ValueError, match=r"for example|as in"):
            make(value)


@pytest.mark.parametrize("parts", [(47, 60), (47, 18, 60), (-1,), (361,), (47, math.nan)])
def test_refuses_parts_out_of_range(parts):
    with pytest.raises(ValueError, match="must be"):
        Angle.from_dms(*parts)


def test_angles_compare_add_and_name_themselves():
    small, large = Angle.parse("0°10'"), Angle.parse("47°18'")
    assert small < large
    assert (large - small).dms() == "47°08′00″"
    assert (small - large).dms() == "-47°08′00″"
    assert abs(small - large) == large - small
    assert str(large) == "47°18′00″"
    assert repr(large) == "Angle(47°18′00.00″)"
    assert hash(large) == hash(Angle.parse("47.3"))
