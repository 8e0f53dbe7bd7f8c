"""Named tapers and general angular tolerances against published rows."""

import math
import re
from fractions import Fraction

import mpmath
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reference import check_values, row_id

from tapertrig import Angle
from tapertrig.standards import (
    FROM_MEMORY,
    GENERAL_TOLERANCE_SOURCE,
    NAMES,
    SECOND_HAND,
    STANDARD_TAPERS,
    general_angular_tolerance,
    read_taper,
    standard_taper,
)

ISO_1119 = check_values("iso1119-angle-", "iso1119-ratio-")
MORSE = check_values("morse-")
SPECIAL_MORSE = [row for row in check_values("iso1119-sp-") if "Morse" in str(row["given"])]


def _name(row):
    given = row["given"]
    return given["ratio"] if "ratio" in given else f"{given['included_angle_deg']}°"


@pytest.mark.parametrize("row", ISO_1119, ids=row_id)
def test_iso_1119_general_series(row):
    # GOST R 53440-2009 (ISO 1119:1998, modified), clause 4.1, Table 1 (read).
    taper = standard_taper(_name(row))
    included = taper.half_angle.double()
    if "dms" in row["expected"]:
        published = Angle.parse(row["expected"]["dms"])
        assert abs(included - published).arc_seconds < Fraction("0.000051")
    else:
        assert included.radians == pytest.approx(row["expected"]["rad"], abs=0.51e-8)
    assert taper.known == row["evidence"] == "read"


@pytest.mark.parametrize("row", MORSE, ids=row_id)
def test_morse_ratios(row):
    # GOST 25307-82, Morse cone ratios, p. 18 (read); 12 over the taper per foot.
    taper = standard_taper(f"Morse {row['given']['morse']}")
    assert float(1 / taper.defined_by) == pytest.approx(row["expected"]["x"], abs=1e-9)
    assert float(1 / taper.defined_by) == pytest.approx(
        12 / row["given"]["taper_per_foot_in"], abs=0.5e-3
    )
    assert taper.known == "read"


@pytest.mark.parametrize("row", SPECIAL_MORSE, ids=row_id)
def test_morse_angles_of_the_special_series(row):
    # ISO 1119 Table 2, from memory.
    included = standard_taper(row["given"]["use"]).half_angle.double()
    published = Angle.parse(row["expected"]["dms"])
    assert abs(included - published).arc_seconds < Fraction("0.000051")


def test_steep_taper_pipe_and_metric():
    # ISO 1119 gives 7:24 as 16°35′39.4443″; 2·atan(7/48) to 50 digits (mpmath) is
    # 16°35′39.4438″, so the published figure is out by 0.0005″ and is held to 0.001″ only.
    published = Angle.parse(check_values("halve-16-35")[0]["given"]["dms"])
    included = standard_taper("7:24").half_angle.double()
    assert abs(included - published).arc_seconds < Fraction("0.001")
    with mpmath.workdps(50):
        exact = float(mpmath.degrees(2 * mpmath.atan(mpmath.mpf(7) / 48)) * 3600)
    assert float(included.arc_seconds) == pytest.approx(exact, rel=1e-15)
    # 1:16 is 3/4 in per foot (ASME B1.20.1: “diametral taper of 0.750 in./ft”, read in an
    # excerpt), and 1:20 is 5 mm in 100 mm.
    assert 12 * standard_taper("1:16 pipe").defined_by == Fraction(3, 4)
    assert 100 * standard_taper("metric 1:20").defined_by == 5


def test_every_named_taper_says_where_it_comes_from_and_how_that_is_known():
    read = {_name(row) for row in ISO_1119} | {f"Morse {row['given']['morse']}" for row in MORSE}
    for name, taper in STANDARD_TAPERS.items():
        assert taper.name == name
        assert re.search(r"ISO|ASME|GOST|Machinery's Handbook|table of Morse", taper.source)
        assert taper.known in ("read", "definition", SECOND_HAND, FROM_MEMORY)
        assert taper.known in taper.words()
        assert bool(taper.diameters) == bool(taper.diameters_source)
        assert taper.diameters_source in taper.words()
        if taper.known == "read":
            assert name in read or name.startswith("metric ")
        assert 0 < taper.half_angle.degrees < 90
    assert read <= set(STANDARD_TAPERS)
    assert {f"Morse {number}" for number in range(7)} <= set(STANDARD_TAPERS)


def test_a_taper_that_is_named_by_its_size_has_it():
    sized = 0
    for name, taper in STANDARD_TAPERS.items():
        if size := re.fullmatch(r"(\d+)°", name):
            assert taper.half_angle.degrees == pytest.approx(int(size[1]) / 2, rel=1e-12)
        elif size := re.fullmatch(r"(?:metric )?(\d+):(\d+)(?: pipe)?", name):
            with mpmath.workdps(30):
                half = mpmath.degrees(mpmath.atan(mpmath.mpf(size[1]) / (2 * int(size[2]))))
            assert taper.half_angle.degrees == pytest.approx(float(half), rel=1e-12)
        sized += bool(size)
    assert sized >= 21
    assert {"90°", "60°", *(f"1:{x}" for x in (3, 5, 8, 12, 30, 100))} <= set(STANDARD_TAPERS)


@given(st.sampled_from(sorted(STANDARD_TAPERS)), st.randoms())
@settings(deadline=None)
def test_a_name_is_found_whatever_its_case_and_blanks(name, random):
    text = "".join(random.choice((c.lower(), c.upper(), f" {c}")) for c in name)
    assert standard_taper(text).name == name


@pytest.mark.parametrize(
    "name", ["Morse 8", "", "morse", "7:25", "pipe 1:10", "B&S 19", "JT3", "x" * 200]
)
def test_an_unknown_name_is_quoted_with_names_that_work(name):
    with pytest.raises(ValueError, match="no standard taper known here; the nearest are") as caught:
        standard_taper(name)
    nearest = str(caught.value).split("nearest are ")[1].split(";")[0].split(", ")
    assert all(near in STANDARD_TAPERS for near in nearest)


def test_the_nearest_name_is_offered():
    with pytest.raises(ValueError, match="nearest are Morse 7"):
        standard_taper("Morse 8")


def test_the_list_an_unknown_name_gets_is_the_list_there_is():
    def numbers(family):
        return [name[len(family) + 1 :] for name in STANDARD_TAPERS if name.startswith(family)]

    for family in ("Brown & Sharpe", "Jarno"):
        found = [int(number) for number in numbers(family)]
        assert found == list(range(found[0], found[-1] + 1))
        assert f"{family} {found[0]} to {found[-1]}" in NAMES
    assert numbers("Morse") == ["0", "1", "2", "3", "4", "4½", "5", "6", "7"]
    assert "Morse 0 to 7 and 4½" in NAMES
    assert f"metric {', '.join(numbers('metric')[:-1])}" in NAMES.replace(" and", ",")
    assert all(standard_taper(name) for name in ("MT3", "B&S 7", "NPT") if name in NAMES)
    assert standard_taper("1:16 pipe").name in NAMES


@pytest.mark.parametrize(
    ("name", "ways"),
    [
        # How prints and catalogues write them; common practice, no source.
        ("Morse 3", "MT3|mt 3|MT-3|3MT|#3 MT|No. 3 Morse taper|Morse taper No. 3|MK3|CM 3"),
        ("Morse 4½", "MT4½|MT 4-1/2|4 1/2 Morse|MT4.5"),
        ("Brown & Sharpe 7", "B&S 7|BS7|B & S #7|B. & S. No. 7|Brown and Sharpe taper 7|7 B&S"),
        ("Jarno 10", "jarno10|Jarno #10|No. 10 Jarno|Jarno taper no 10"),
        ("metric 80", "ME80|80 metric|Metric taper 80"),
        ("1:16 pipe", "NPT|1/2 NPT|1/2-14 NPT|BSPT|1:16|pipe 1:16|pipe taper"),
    ],
)
def test_a_taper_is_found_however_it_is_written(name, ways):
    assert {standard_taper(way).name for way in ways.split("|")} == {name}
    assert {read_taper(way).name for way in ways.split("|") if way != "1:16"} == {name}


# Tables of Morse shanks and sockets as reprinted by reference pages on the web (read; they name
# no edition): taper per foot, small end of plug, end of socket, plug depth, in inches.
MORSE_TABLE = {
    "0": (0.62460, 0.252, 0.3561, 2),
    "1": (0.59858, 0.369, 0.475, 2 + 1 / 8),
    "2": (0.59941, 0.572, 0.700, 2 + 9 / 16),
    "3": (0.60235, 0.778, 0.938, 3 + 3 / 16),
    "4": (0.62326, 1.020, 1.231, 4 + 1 / 16),
    "4½": (0.6240, 1.266, 1.5, 4.5),
    "5": (0.63151, 1.475, 1.748, 5 + 3 / 16),
    "6": (0.62565, 2.116, 2.494, 7 + 1 / 4),
    "7": (0.62400, 2.750, 3.270, 10),
}
# ISO 296, diameter at the gauge line in millimetres, from memory.
ISO_296 = dict(zip("0123456", (9.045, 12.065, 17.78, 23.825, 31.267, 44.399, 63.348), strict=True))


@pytest.mark.parametrize("number", MORSE_TABLE)
def test_morse_diameters_and_taper_agree_over_the_length_of_the_plug(number):
    per_foot, _small, socket, depth = MORSE_TABLE[number]
    taper = standard_taper(f"MT{number}")
    ends = dict(taper.diameters)
    assert 12 * float(taper.defined_by) == pytest.approx(per_foot, abs=2e-5)
    assert ends["at the gauge line"] == socket
    # The two ends are the published taper apart, to the thousandth the small end is given to.
    grown = 2 * math.tan(taper.half_angle.radians) * depth
    assert ends["at the gauge line"] - ends["at the small end"] == pytest.approx(grown, abs=5.1e-4)
    if number in ISO_296:
        assert 25.4 * ends["at the gauge line"] == pytest.approx(ISO_296[number], abs=0.51e-3)
        assert f"{ISO_296[number]:.3f} mm" in taper.words()
    assert "0.002 in per foot" in taper.allows  # the same table: "all sizes 0.002 in. per foot"
    assert 0.002 / 24 * 180 / math.pi * 3600 == pytest.approx(17, abs=0.5)


# Brown & Sharpe, a reference page on the web (read; it names no edition): large end, small end,
# taper per foot; a plug's lengths are in the handbook to a sixteenth.
BROWN_SHARPE_TABLE = """1 .2392 .2000 .5020|2 .2997 .2500 .5020|3 .3753 .3125 .5020|4 .4207 .3500
.5024|5 .5388 .4500 .5016|6 .5996 .5000 .5033|7 .7201 .6000 .5015|8 .8987 .7500 .5010|9 1.0775
.9001 .5009|10 1.2597 1.0447 .5161|11 1.4978 1.2500 .5010|12 1.7968 1.5001 .4997|13 2.0731 1.7501
.5002|14 2.3438 2.0000 .5000|15 2.6146 2.2500 .5000|16 2.8854 2.5000 .5000"""


@pytest.mark.parametrize("row", BROWN_SHARPE_TABLE.split("|"))
def test_brown_and_sharpe_tapers(row):
    number, large, small, per_foot = map(float, row.split())
    taper = standard_taper(f"B&S {number:g}")
    assert 12 * float(taper.defined_by) == pytest.approx(per_foot, abs=0.51e-4)
    (_, small_end), (_, large_end) = taper.diameters
    assert (small_end, large_end) == (
        pytest.approx(small, abs=0.51e-4),
        pytest.approx(large, abs=0.51e-4),
    )


@pytest.mark.parametrize("number", range(2, 21))
def test_jarno_tapers(number):
    # 0.600 in per foot, and the large end in eighths, the small end in tenths, the length in
    # halves of an inch: a machinists' page on the web (read); the No. 8 there is 1, .800 and 4 in.
    taper = standard_taper(f"Jarno {number}")
    (_, small), (where, large) = taper.diameters
    length = float(re.search(r"plug ([\d.]+) in", where)[1])
    assert (8 * large, 10 * small, 2 * length) == pytest.approx((number,) * 3)
    assert (large - small) / length * 12 == pytest.approx(12 * float(taper.defined_by))
    assert 12 * taper.defined_by == Fraction(6, 10)


@pytest.mark.parametrize("number", [4, 6, 80, 100, 120, 160, 200])
def test_metric_tapers(number):
    # ISO 296: 5 mm in 100 mm (read); the number is the diameter at the gauge line (from memory).
    taper = standard_taper(f"ME {number}")
    wanted = check_values("metric5")[0]["expected"]
    assert 100 * taper.defined_by == wanted["mm_per_100"]
    assert abs(taper.half_angle - Angle.parse(wanted["half_dms"])).arc_seconds < Fraction("0.01")
    assert (taper.diameters, taper.unit) == ((("at the gauge line", number),), "mm")
    assert FROM_MEMORY in taper.words()


def test_a_typed_ratio_is_no_name_and_a_name_is_read_where_a_ratio_is():
    for text in ("1:20", "5 %", "0.05", 0.05):
        taper = read_taper(text)
        assert (taper.defined_by, taper.source) == (Fraction(1, 20), "")
    assert read_taper("MT3") == standard_taper("Morse 3")
    with pytest.raises(ValueError, match=r"Brown & Sharpe 1 to 18 \(B&S 7\), Jarno 2 to 20"):
        read_taper("B&S 25")


_SIDES = {"up to 10": (0.1, 10.0), "over 50 to 120": (50.01, 120.0), "over 400": (400.01, 5000.0)}


@pytest.mark.parametrize("row", check_values("iso2768-"), ids=row_id)
def test_general_angular_tolerance(row):
    # ISO 2768-1:1989 Table 3, from memory.
    expected = Angle.parse(row["expected"]["pm_deg_min"])
    for side in _SIDES[row["given"]["shorter_side_mm"]]:
        assert general_angular_tolerance(row["given"]["class"], side) == expected
    assert row["evidence"] == "memory"
    assert FROM_MEMORY in GENERAL_TOLERANCE_SOURCE


@given(st.sampled_from("fmcv"), st.floats(0.01, 1e5), st.floats(1.0, 100.0))
def test_a_longer_side_never_loosens_the_tolerance(tolerance_class, side, times):
    near = general_angular_tolerance(tolerance_class, side)
    assert general_angular_tolerance(tolerance_class, side * times) <= near


def test_a_coarser_class_never_tightens_the_tolerance():
    for side in (5, 30, 100, 300, 500):
        row = [general_angular_tolerance(name, side) for name in "fmcv"]
        assert row == sorted(row)
        assert row[2] > row[1]


@pytest.mark.parametrize(
    ("tolerance_class", "side", "words"),
    [("k", 40, "“f” or “m”"), ("m", 0, "shorter side is 0"), ("m", float("nan"), "is nan")],
)
def test_refuses_a_class_or_a_side_that_is_none(tolerance_class, side, words):
    with pytest.raises(ValueError, match=words):
        general_angular_tolerance(tolerance_class, side)
