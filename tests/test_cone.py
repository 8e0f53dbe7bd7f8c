"""Cone and the callouts that define one, against standards, manuals and old tables."""

import math
from fractions import Fraction

import numpy as np
import pytest
from cases import cases
from hypothesis import given, settings
from hypothesis import strategies as st
from reference import check_value, check_values, row_id

from tapertrig import Angle, Cone
from tapertrig.cone import parse_taper

ISO_1119 = check_values("iso1119-")
BY_ANGLE = [row for row in ISO_1119 if "x" in row["expected"]]
BY_RATIO = [row for row in ISO_1119 if "dms" in row["expected"]]


@pytest.mark.parametrize("row", BY_ANGLE, ids=row_id)
def test_iso_1119_angles_give_the_published_ratio(row):
    # ISO 1119; which rows were read (GOST R 53440-2009) and which are from memory stands in
    # the row itself.
    given_angle = row["given"].get("included_angle_deg")
    if given_angle is None:
        text = row["given"]["included_angle"].replace("deg", "°").replace("min", "′")
        angle = Angle.parse(text)
    else:
        angle = Angle.from_degrees(given_angle)
    cone = Cone.from_included(angle, 30.0)
    assert cone.ratio == pytest.approx(row["expected"]["x"], abs=0.51e-7)
    if "rad" in row["expected"]:
        assert cone.included_angle.radians == pytest.approx(row["expected"]["rad"], abs=0.51e-8)


@pytest.mark.parametrize("row", BY_RATIO, ids=row_id)
def test_iso_1119_ratios_give_the_published_angle(row):
    # ISO 1119, as above: seconds to 4 places, degrees and radians to 8.
    angle = Cone.from_taper(row["given"]["ratio"], 30.0).included_angle
    published = Angle.parse(row["expected"]["dms"])
    assert abs(angle - published).arc_seconds < Fraction("0.000051")
    if "deg" in row["expected"]:
        assert angle.degrees == pytest.approx(row["expected"]["deg"], abs=0.51e-8)
    if "rad" in row["expected"]:
        assert angle.radians == pytest.approx(row["expected"]["rad"], abs=0.51e-8)


@pytest.mark.parametrize("row", check_values("morse-"), ids=row_id)
def test_morse_ratio_is_twelve_over_the_taper_per_foot(row):
    # GOST 25307-82, table of Morse cone ratios, p. 18 (read).
    cone = Cone.from_taper_per_foot(row["given"]["taper_per_foot_in"], 0.9)
    assert cone.ratio == pytest.approx(row["expected"]["x"], abs=0.5e-3)
    assert cone.ratio == pytest.approx(12 / row["given"]["taper_per_foot_in"], rel=1e-12)


@pytest.mark.parametrize("row", check_values("r8", "5c"), ids=row_id)
def test_workholding_tapers(row):
    # Trade standards, from memory.
    text = row["given"].get("included", "20 deg").replace("deg", "°").replace("min", "′")
    cone = Cone.from_included(Angle.parse(text), 1.25)
    expected = row["expected"]
    half = Angle.parse(expected["half_dms"]) if "half_dms" in expected else Angle.from_dms(10)
    assert cone.half_angle == half
    assert cone.taper_per_foot == pytest.approx(expected["taper_per_foot_in"], abs=0.6e-6)


def test_metric_five_percent_taper():
    # ISO 296 metric tapers (read).
    row = check_value("metric5")
    cone = Cone.from_taper(row["given"]["ratio"], 80.0)
    published = Angle.parse(row["expected"]["half_dms"])
    assert abs(cone.half_angle - published).arc_seconds < Fraction("0.01")
    assert 100 * cone.taper == pytest.approx(row["expected"]["mm_per_100"], rel=1e-14)


def test_iso_3040_rate_of_taper():
    # ISO 3040:2016, clauses 3 and 5 (from memory); ASME Y14.5 says the same (read).
    row = check_value("iso3040-C")
    large, small, length = row["given"].values()
    cone = Cone.from_diameters(large, small, length)
    assert cone.taper == pytest.approx(row["expected"]["C"], rel=1e-14)
    assert f"1:{cone.ratio:g}" == row["expected"]["ratio"]


@pytest.mark.parametrize("row", check_values("compound-tpf-"), ids=row_id)
def test_army_rule_from_taper_per_foot_to_half_angle(row):
    # Two-part rule of Army OD1645, pp. 67-68: divide by 12, halve, then the arctangent.
    cone = Cone.from_taper_per_foot(row["given"]["taper_per_foot_in"], 1.0)
    assert cone.half_angle.degrees == pytest.approx(row["expected"]["half_deg"], rel=5e-8)
    published = row["expected"]["half_dms"].replace("d", "°")
    assert abs(cone.half_angle - Angle.parse(published)).arc_seconds < Fraction("0.051")


def test_navy_example_of_a_taper_over_six_inches():
    # US Navy 14345 (read): 1 in per foot over 6 in changes the diameter by 0.5, so the wall by
    # the set-over of 0.25.
    row = check_value("navy-offset-6")
    cone = Cone.from_taper_per_foot(row["given"]["taper_per_foot_in"], 3.0)
    change = cone.diameter_at(0.0) - cone.diameter_at(row["given"]["length_in"])
    assert change == pytest.approx(row["expected"]["diameter_change_in"], rel=1e-12)
    assert change / 2 == pytest.approx(row["expected"]["setover_in"], rel=1e-12)


def test_machine_shop_practice_taper_over_three_feet():
    # Modern Machine-Shop Practice, public domain, p. 614 (read): 1 in per foot over 3 ft.
    row = check_value("shop-practice-offset")
    cone = Cone.from_taper_per_foot(row["given"]["taper_per_foot_in"], 1.0, internal=False)
    change = cone.diameter_at(12.0 * row["given"]["length_ft"]) - cone.diameter_at(0.0)
    assert change / 2 == pytest.approx(row["expected"]["setover_in"], rel=1e-12)


def test_taper_per_foot_from_a_change_over_a_length():
    # Turning and Boring Tapers (1902-03, public domain), fig. 7 (read).
    row = check_value("tapers1902-8")
    cone = Cone.from_diameters(
        2.0, 2.0 - row["given"]["change_in"], row["given"]["length_in"], internal=True
    )
    assert cone.taper_per_foot == pytest.approx(row["expected"]["taper_per_foot_in"], rel=1e-12)


TABLE_1902 = sorted(check_values("tapers1902-tab-"), key=lambda row: row["given"]["included_deg"])
MISPRINTS_1902 = {4.0: (0.07984, 0.06984), 15.0: (0.2833, 0.2633)}


@pytest.mark.parametrize("row", TABLE_1902, ids=row_id)
def test_table_of_equivalent_tapers_of_1902(row):
    # Turning and Boring Tapers (1902-03, public domain), table of equivalent tapers (read):
    # five places, the last one off by 1 or 2 here and there.
    degrees, printed = row["given"]["included_deg"], row["expected"]["printed_taper_per_inch"]
    taper = Cone.from_included(Angle.from_degrees(degrees), 5.0).taper
    assert taper == pytest.approx(row["expected"]["correct"], rel=5e-6)
    if degrees in MISPRINTS_1902:
        as_printed, one_digit_mended = MISPRINTS_1902[degrees]
        assert printed == as_printed
        assert abs(printed - taper) > 0.009
        assert one_digit_mended == pytest.approx(taper, abs=2e-5)
    else:
        assert printed == pytest.approx(taper, abs=2e-5)


def test_two_figures_of_the_1902_table_are_misprints_by_the_table_itself():
    # The tangent is convex, so between two right entries no entry can lie above the chord that
    # joins them. Only the printed figures for 4° and 15° do: the table contradicts itself there,
    # whatever our own arithmetic says.
    angles = [row["given"]["included_deg"] for row in TABLE_1902]
    printed = [row["expected"]["printed_taper_per_inch"] for row in TABLE_1902]
    sound = [index for index, angle in enumerate(angles) if angle not in MISPRINTS_1902]
    above = set()
    for index in range(1, len(angles) - 1):
        before = max(other for other in sound if other < index)
        after = min(other for other in sound if other > index)
        chord = np.interp(
            angles[index],
            [angles[before], angles[after]],
            [printed[before], printed[after]],
        )
        if printed[index] > chord + 2e-5:
            above.add(angles[index])
    assert above == set(MISPRINTS_1902)


@pytest.mark.parametrize(
    ("text", "taper"),
    [
        ("1:20", Fraction(1, 20)),
        (" 7 : 24 ", Fraction(7, 24)),
        ("6:100", Fraction(6, 100)),
        ("1/16", Fraction(1, 16)),
        ("5 %", Fraction(1, 20)),
        ("12.5%", Fraction(1, 8)),
        ("0.05", Fraction(1, 20)),
        (".05", Fraction(1, 20)),
        (0.05, Fraction(1, 20)),
        ("1:19.002", Fraction(1000, 19002)),
    ],
)
def test_reads_a_taper_in_every_form(text, taper):
    assert parse_taper(text) == taper


@pytest.mark.parametrize(
    "text", ["", "1:", ":20", "1:0", "0:5", "0", "-1:20", "1:20%", "1:20:3", "abc", "1 20", "٥ %"]
)
def test_refuses_what_is_no_taper(text):
    with pytest.raises(ValueError, match=r"1:20, 7:24, 5 % or 0\.05"):
        parse_taper(text)


@given(st.text(max_size=50))
@settings(max_examples=cases(300), deadline=None)
def test_any_text_is_a_taper_or_a_value_error(text):
    try:
        taper = parse_taper(text)
    except ValueError:
        return
    assert taper > 0


half_angles = st.floats(0.01, 89.9).map(Angle.from_degrees)
sizes = st.floats(0.05, 500)


@given(half_angles, sizes)
@settings(deadline=None)
def test_every_callout_of_a_cone_gives_the_same_cone(half_angle, face):
    cone = Cone(half_angle, face)
    for other in (
        Cone.from_included(half_angle.double(), face),
        Cone.from_taper(cone.taper, face),
        Cone.from_taper_per_foot(cone.taper_per_foot, face),
    ):
        assert other.half_angle.degrees == pytest.approx(half_angle.degrees, rel=1e-12)
        assert other.face_diameter == face
    depth = 0.4 * face / cone.taper
    two = Cone.from_diameters(face, cone.diameter_at(depth), depth)
    assert two.half_angle.degrees == pytest.approx(half_angle.degrees, rel=1e-10)
    assert two.diameter_at(depth) == pytest.approx(cone.diameter_at(depth), rel=1e-12)


def test_halving_after_the_arctangent_is_a_different_angle():
    # The halving comes before the arctangent; the other order is a known mistake.
    steep = Cone.from_taper("1:1", 2.0)
    assert steep.half_angle.degrees == pytest.approx(math.degrees(math.atan(0.5)))
    assert abs(steep.half_angle.degrees - math.degrees(math.atan(1.0)) / 2) > 4


def test_an_internal_cone_narrows_and_an_external_one_widens():
    inside = Cone(Angle.from_dms(20), 2.0)
    outside = Cone(Angle.from_dms(20), 2.0, internal=False)
    depths = np.array([0.0, 0.5, 1.0])
    assert (np.diff(inside.diameter_at(depths)) < 0).all()
    assert (np.diff(outside.diameter_at(depths)) > 0).all()
    assert inside.diameter_at(0.5) == pytest.approx(2.0 - math.tan(math.radians(20)))


def test_two_diameters_put_the_right_one_at_the_face():
    assert Cone.from_diameters(1.25, 0.75, 0.5).face_diameter == 1.25
    assert Cone.from_diameters(1.25, 0.75, 0.5, internal=False).face_diameter == 0.75


@pytest.mark.parametrize("face", [0.02, 1.418, 36.0, 900.0])
def test_a_bore_may_run_to_its_very_point_and_no_deeper(face):
    for minutes in range(200, 3000, 37):
        half_angle = Angle.from_degrees(minutes / 60)
        point = face / (2 * math.tan(half_angle.radians))
        assert Cone(half_angle, face, point).diameter_at(point) == pytest.approx(0, abs=1e-8 * face)
        with pytest.raises(ValueError, match="comes to a point"):
            Cone(half_angle, face, point * (1 + 1e-6))


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: Cone(Angle.from_dms(0), 1.0), "between 0° and 90°"),
        (lambda: Cone(Angle.from_dms(90), 1.0), "between 0° and 90°"),
        (lambda: Cone(31.4, 1.0), "give an Angle"),
        (lambda: Cone(Angle.from_dms(30), 0.0), "face diameter is 0"),
        (lambda: Cone(Angle.from_dms(30), -1.0), "face diameter is -1"),
        (lambda: Cone(Angle.from_dms(30), math.nan), "face diameter is nan"),
        (lambda: Cone(Angle.from_dms(30), 1.0, 0.0), "cone length is 0"),
        # By hand: 1.0 ÷ (2 tan 30°) = 0.8660.
        (lambda: Cone(Angle.from_dms(30), 1.0, 5.0), r"comes to a point at 0\.866$"),
        (lambda: Cone.from_included(Angle.from_dms(180), 1.0), "included angle"),
        (lambda: Cone.from_diameters(0.75, 1.25, 0.5), "must be less"),
        (lambda: Cone.from_diameters(1.25, 1.25, 0.5), "must be less"),
        (lambda: Cone.from_diameters(1.25, 0.75, 0.0), "length is 0"),
        (lambda: Cone.from_taper_per_foot(math.inf, 1.0), "taper per foot is inf"),
        (
            lambda: Cone(Angle.from_dms(30), 1.0).diameter_at(5.0),
            r"comes to a point at 0\.866 below the face",
        ),
        (lambda: Cone(Angle.from_dms(30), 1.0).diameter_at(-0.1), "depth is -0.1"),
    ],
)
def test_refuses_what_makes_no_cone_and_names_the_value(make, words):
    with pytest.raises(ValueError, match=words):
        make()
