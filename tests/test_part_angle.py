"""The part's angle after the slide's: rows added up by hand, by the uncertainties library, and cut.

The cuts are simulated by plane geometry of their own: a bowed slide, a tool off centre, an end
that is worn, sprung or warm. None of them knows the budget's sensitivities.
"""

import math
import re
from dataclasses import replace

import numpy as np
import pytest
import uncertainties
import uncertainties.umath
from cases import cases
from scipy import stats

from tapertrig import Angle, Cone
from tapertrig.budget import AngleBudget, BudgetState, Cutting, part_angle
from tapertrig.budget.rows import drawn
from tapertrig.demo import LATHES

INCH, METRIC, OLD = LATHES.values()
HALF = Angle.parse("23°10′")
CONE = Cone(HALF, 1.9, 0.7)
SECOND = math.radians(1 / 3600)
SLIDE = AngleBudget.on_lathe(
    INCH, HALF, 3.0, quill_rise=Angle.from_dms(0, 4), tip_height=0.03, quill_radius=0.6
)
CUT = Cutting(0.0002, 0.02, 0.0001, Angle.from_dms(0, 0, 25), 0.00015, 6.0, 0.0000182)
UNITS = {"″": SECOND, "in": 1.0, "°C": 1.0, "": 1.0}


def straight_fit(x, y):
    """The angle of the straight line nearest to points by distances square to it (numpy's SVD)."""
    points = np.column_stack([x - x.mean(), y - y.mean()])
    along = np.linalg.svd(points, full_matrices=False)[2][0]
    return math.atan(along[1] / along[0])


def read(text):
    """A figure of a printed table and its unit."""
    found = re.fullmatch(r"(?:± |s = )?(−?[\d.]+)(?: ?(″/in|″/°C|″|in|°C))?", text)
    assert found, text
    return float(found[1].replace("−", "-")), found[2] or ""


@pytest.mark.parametrize(
    "budget",
    [SLIDE, part_angle(SLIDE, CONE, CUT), replace(SLIDE, null=0.001, null_repeats=3)],
    ids=["slide", "part", "few nulls"],
)
def test_every_figure_of_a_table_is_worked_out_again_from_its_text(budget):
    # Hand-written sums: JCGM 100, 4.3.7 and 4.3.9 divide by 1, √3, √6; 5.1.2; G.4.1.
    # k: each row by its own t of scipy (Banerjee 1960, from memory).
    by_hand, below, own = 0.0, 0.0, 0.0
    table = budget.table("in")
    text = repr(table)
    for name, limit, kind, u, degrees, per, adds, _ in table.rows[:-2]:
        divisor = {"1": 1, "√3": math.sqrt(3), "√6": math.sqrt(6)}[kind.partition("÷ ")[2]]
        assert read(u)[0] == pytest.approx(read(limit)[0] / divisor, rel=1e-3), name
        assert read(adds)[0] == pytest.approx(abs(read(per)[0]) * read(u)[0], rel=2e-3), name
        by_hand += read(adds)[0] ** 2
        below += read(adds)[0] ** 4 / float(degrees.replace("∞", "inf"))
        t = stats.t.ppf(0.975, float(degrees.replace("∞", "1000000")))
        own += (max(2, t) * read(adds)[0]) ** 2
        assert name in text
    (*_, degrees, whole, _), (*_, factor, expanded, _) = table.rows[-2:]
    degrees = degrees.partition("= ")[2]
    assert read(whole)[0] == pytest.approx(math.sqrt(by_hand), rel=1e-3)
    assert read(whole)[0] == pytest.approx(budget.standard_uncertainty / SECOND, rel=1e-3)
    known = by_hand**2 / below if below else math.inf
    assert float(degrees.replace("∞", "inf")) == pytest.approx(known, rel=1e-2)
    k = float(factor.partition("= ")[2])
    assert read(expanded)[0] == pytest.approx(k * read(whole)[0], rel=2e-3)
    assert k == pytest.approx(math.sqrt(own / by_hand), abs=0.005)


def test_the_parts_angle_through_the_uncertainties_library():
    # General library: uncertainties, its own derivatives of the walls' ends.
    third = 1 / math.sqrt(3)

    def out(limit):
        return uncertainties.ufloat(0, limit * third)

    slide = uncertainties.ufloat(HALF.radians, SLIDE.standard_uncertainty)
    wall = CONE.length / math.cos(HALF.radians)
    begins, ends, worn, sprung = out(0.0002), out(0.0002), out(0.0001), out(0.00015)
    turned = uncertainties.umath.atan((ends - begins + worn + sprung) / wall)
    warm = 0.0000182 * out(6.0)
    small = CONE.face_diameter / 2 - CONE.length * math.tan(HALF.radians)
    # Warm ends shrink to size as they cool: half the difference at the face, less at the far end.
    rise = CONE.face_diameter / 2 * (1 + warm / 2) - small * (1 - warm / 2)
    cooled = uncertainties.umath.atan(rise / CONE.length) - HALF.radians
    whole = slide + turned + cooled + uncertainties.ufloat(0, 25 * SECOND * third)
    without = part_angle(SLIDE, CONE, replace(CUT, tool_height=None))
    assert without.standard_uncertainty == pytest.approx(whole.std_dev, rel=1e-6)


def bowed(bow, start, travel=3.0):
    """Angle that a slide with a bow turns the piece of it that the cone uses, off its own chord."""
    wall = CONE.length / math.cos(HALF.radians)
    ends = np.array([start, start + wall])
    off = 4 * bow * ends * (travel - ends) / travel**2
    return math.atan((off[1] - off[0]) / wall), float(np.abs(off).max())


def cut_off_centre(height):
    """Half angle less the wanted one of the wall that a tool so far off centre leaves."""
    depth = np.linspace(0, CONE.length, 400)
    out = math.sqrt((CONE.face_diameter / 2) ** 2 - height**2) - depth * math.tan(HALF.radians)
    return -straight_fit(depth, np.hypot(out, height)) - HALF.radians


def test_each_source_is_no_larger_than_its_row_says_and_not_far_below():
    rows = {row.name: row for row in part_angle(SLIDE, CONE, CUT).sources}

    def most(*names):
        return sum(rows[name].limit * abs(rows[name].sensitivity) for name in names)

    worst = max(
        abs(turn)
        for start in np.linspace(0, 2.2, 40)
        for turn, off in [bowed(0.0002, start)]
        if off <= 0.0002
    )
    both = (
        "slide out of straight where the cone begins",
        "slide out of straight where the cone ends",
    )
    assert 0.25 * most(*both) < worst <= most(*both)
    for height in (-0.02, 0.02):
        found = cut_off_centre(height)
        assert found < 0
        assert -found == pytest.approx(most("tool off centre height"), rel=2e-3)
    depth = np.array([0.0, CONE.length])
    radius = CONE.face_diameter / 2 - depth * math.tan(HALF.radians)
    warm = radius * (1 + CUT.expansion * np.array([3.0, -3.0]))
    turned = math.atan((warm[0] - warm[1]) / CONE.length) - HALF.radians
    assert turned == pytest.approx(most("face warmer than the far end"), rel=1e-3)
    wall = CONE.length / math.cos(HALF.radians)
    for name, limit in (("nose wearing along the cut", 0.0001), ("spring", 0.00015)):
        row = next(row for row in rows.values() if row.name.startswith(name))
        assert row.limit * row.sensitivity == pytest.approx(math.atan(limit / wall), rel=1e-6)


def test_what_a_climbing_quill_does_to_the_check():
    # Plane geometry: a round quill touched off its middle, at both ends of the run.
    run, radius, tip = 3.0 * math.cos(HALF.radians), 0.6, 0.03
    climb = run * math.tan(math.radians(4 / 60))
    touched = [math.sqrt(radius**2 - (tip + by) ** 2) for by in (0, climb)]
    turned = math.atan((touched[0] - touched[1]) / run)
    (row,) = (row for row in SLIDE.sources if row.name.startswith("quill's rise"))
    assert row.limit == pytest.approx(turned, rel=1e-6)
    # By hand: 4′ × 0.03/0.6 = 12.0″, and run × rise² / (2 × 0.6) = 0.64″ of the curve.
    assert row.limit / SECOND == pytest.approx(12.64, abs=0.05)
    level = replace(SLIDE, quill_rise=Angle.from_dms(0))
    assert "quill's rise with the tip off centre" in level.left_out
    with pytest.raises(ValueError, match="bring it to centre height"):
        _ = replace(SLIDE, tip_height=0.7).standard_uncertainty


@pytest.mark.parametrize("degrees", [4.3, 23.17, 41.6])
@pytest.mark.parametrize("lathe", [INCH, OLD], ids=["new", "old"])
def test_what_is_said_at_95_percent_holds_the_part_that_is_cut(lathe, degrees):
    """Slide set by a check with all its errors, then cut: the part lies within U of what was said.

    The slide alone, as if it were the part, does not.
    """
    half, random = Angle.from_degrees(degrees), np.random.default_rng(7)
    trials, travel = cases(20_000), 2.5
    cone = Cone(half, 1.9, 0.7)
    slide = AngleBudget.on_lathe(
        lathe, half, travel, quill_rise=Angle.from_dms(0, 4), tip_height=0.03, quill_radius=0.6
    )
    part = part_angle(slide, cone, CUT)
    alpha, wall = half.radians, cone.length / math.cos(half.radians)

    def flat(most):
        return random.uniform(-most, most, trials)

    # The check: readings, screws, nulls, and a quill out of parallel that climbs.
    compound = travel * (1 + flat(0.0003)) + flat(slide.compound_reading)
    compound += flat(slide.compound_reading)
    cross = (travel * math.sin(alpha) + flat(slide.cross_reading) + flat(slide.cross_reading)) * (
        1 + flat(0.0003)
    ) + random.normal(0, slide.null * math.sqrt(2), trials)
    off, climb = flat(0.03), travel * math.cos(alpha) * np.tan(flat(4 * 60 * SECOND))
    bears = np.sqrt(0.36 - off**2) - np.sqrt(0.36 - (off + climb) ** 2)
    quill = np.tan(flat(20 * SECOND)) + bears / (travel * math.cos(alpha))
    told = np.arcsin(cross / compound)
    snug = random.triangular(-30 * SECOND, 0, 30 * SECOND, trials)
    slide_off = told - alpha + np.arctan(quill) + snug
    # The cut: a bow, tool height, wear, load, spring, an end warmer than the other.
    start = random.uniform(0, travel - wall, trials)
    bow = flat(0.0002) * 4 / travel**2
    bend = bow * (travel - 2 * start - wall)
    heights = flat(0.02)
    r_face = cone.face_diameter / 2
    r_far = r_face - cone.length * math.tan(alpha)
    path = np.sqrt(r_face**2 - heights**2) - r_face + r_far
    low = np.arctan((r_face - np.hypot(path, heights)) / cone.length) - alpha
    warmed = CUT.expansion * flat(6.0) / 2
    warm = np.arctan((r_face * (1 + warmed) - r_far * (1 - warmed)) / cone.length) - alpha
    ends = (flat(0.0001) + flat(0.00015)) / wall
    error = slide_off + np.arctan(bend + ends) + low + flat(25 * SECOND) + warm
    held = float((np.abs(error) <= part.expanded()).mean())
    assert held >= 0.94
    assert float((np.abs(error) <= slide.expanded()).mean()) < held


def test_a_worn_machine_is_not_covered_by_the_slide_alone():
    """Straightness, tool height and load of a worn machine: the slide's 95 % holds far fewer."""
    random, trials = np.random.default_rng(3), 20_000
    worn = Cutting(straightness=0.0004, tool_height=0.03, load=Angle.from_dms(0, 1, 30))
    wall = CONE.length / math.cos(HALF.radians)
    part = part_angle(SLIDE, CONE, worn)
    heights = random.uniform(-0.03, 0.03, trials)
    low = np.interp(np.abs(heights), grid := np.linspace(0, 0.03, 31), [*map(cut_off_centre, grid)])
    ends = random.uniform(-0.0004, 0.0004, (2, trials))
    load = random.uniform(-90 * SECOND, 90 * SECOND, trials)
    slide = random.normal(0, SLIDE.standard_uncertainty, trials)
    error = slide + np.arctan((ends[1] - ends[0]) / wall) + low + load
    assert (np.abs(error) <= SLIDE.expanded()).mean() < 0.80
    assert (np.abs(error) <= part.expanded()).mean() >= 0.94


def test_few_nulls_count_in_the_part_as_they_do_in_the_slide():
    # General library: uncertainties, each input's share of the sine by its own derivatives; Welch
    # and Satterthwaite (JCGM 100 G.4.1) summed by hand; of three nulls Student's t for 2 (scipy).
    few = replace(SLIDE, null=0.002, null_repeats=3)
    part, third = part_angle(few, CONE, Cutting(load=Angle.from_dms(0, 2))), 1 / math.sqrt(3)

    def out(limit, divided=third):
        return uncertainties.ufloat(0, limit * divided)

    nulls, travel = out(0.002 * math.sqrt(2), 1), 3.0
    compound = (travel + out(0.0005) - out(0.0005)) * (1 + out(0.0003))
    cross = (travel * math.sin(HALF.radians) + out(0.00025) - out(0.00025)) * (1 + out(0.0003))
    turned = out(20 * SECOND) + out(few.rise) + out(30 * SECOND, 1 / math.sqrt(6))
    slide = uncertainties.umath.asin((cross + nulls) / compound) + turned
    whole = slide + out(120 * SECOND)
    alone = slide.error_components()[nulls]
    for said, found in ((few, slide), (part, whole)):
        u = found.std_dev
        assert said.standard_uncertainty == pytest.approx(u, rel=1e-6)
        assert said.degrees_of_freedom == pytest.approx(u**4 / (alone**4 / 2), rel=1e-6)
        rest = u * u - alone * alone
        exact = math.hypot(stats.t.ppf(0.975, 2) * alone, 2 * math.sqrt(rest))
        assert said.expanded() == pytest.approx(exact, rel=1e-6)
        guard = math.hypot(stats.t.ppf(0.95, 2) * alone, 1.65 * math.sqrt(rest))
        assert said.guard_factor * u == pytest.approx(guard, rel=1e-6)
    assert part.sources[0].degrees_of_freedom == few.degrees_of_freedom


def test_what_nobody_gave_is_left_out_and_said():
    bare = part_angle(SLIDE, CONE, Cutting())
    assert bare.standard_uncertainty == pytest.approx(SLIDE.standard_uncertainty, rel=1e-12)
    told = repr(bare.table("in"))
    for name in ("out of straight", "tool off centre", "nose", "load and gibs", "spring", "warmer"):
        assert name in told.partition("Left out, no figure given:")[2]
    # A warm face without the material's expansion is no figure either.
    warm = part_angle(SLIDE, CONE, Cutting(warmth=10.0))
    assert "face warmer than the far end" in warm.left_out
    assert "0.0005" in repr(SLIDE.table("in"))  # what a diameter dial shows of ± 0.00025


def test_a_measured_slope_of_the_quill_counts_whole():
    sloped = AngleBudget.on_lathe(replace(INCH, quill_slope=0.0006), HALF)
    (row,) = (row for row in sloped.sources if row.name.startswith("quill's side"))
    assert row.standard_uncertainty == pytest.approx(math.atan(0.0006), rel=1e-9)
    assert "measured on this lathe" in row.origin
    assert replace(sloped, datum=Angle.from_dms(0, 1)).sources[7].origin == "given"


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: part_angle(SLIDE, Cone(HALF, 1.9), CUT), "has no length"),
        (lambda: Cutting(straightness=-0.001), "straightness is -0.001"),
        (lambda: Cutting(warmth=math.nan), "warmth is nan"),
        (lambda: Cutting(load=0.001), "load is 0.001; give an Angle"),
    ],
)
def test_refuses_what_no_cut_has(call, words):
    with pytest.raises(ValueError, match=words):
        call()


def test_simulated_cuts_scatter_as_the_rows_say_and_nine_in_ten_lie_within_u():
    """20,000 cuts: numpy's spread of each row, limits of its law, their sum, and U at 95 %."""
    part, count = part_angle(SLIDE, CONE, CUT), 20_000
    leaves = [row for one in (SLIDE, part) for row in one.sources if row.effect and not row.of]
    cuts = drawn(part.sources, np.random.default_rng(7), count)
    assert [name for name, _ in cuts] == [row.name for row in leaves]
    for (name, values), row in zip(cuts, leaves, strict=True):
        assert values.std(ddof=1) == pytest.approx(row.effect, rel=0.03), name
        assert abs(values.mean()) < 5 * row.effect / math.sqrt(count), name
        reach = abs(row.sensitivity) * row.limit
        if row.distribution != "normal":
            assert 0.9 * reach < abs(values).max() <= reach, name
        # The law itself, by scipy; 1e-6 is the chance that a right one is refused.
        law = {
            "normal": stats.norm(0, reach),
            "rectangular": stats.uniform(-reach, 2 * reach),
            "triangular": stats.triang(0.5, -reach, 2 * reach),
        }[row.distribution]
        assert stats.kstest(values, law.cdf).pvalue > 1e-6, name
    out = sum(values for _, values in cuts)
    assert out.std(ddof=1) == pytest.approx(part.standard_uncertainty, rel=0.03)
    assert (abs(out) <= part.expanded()).mean() == pytest.approx(0.95, abs=0.012)


def test_a_cut_is_the_same_for_the_same_seed_and_another_for_the_next():
    state = BudgetState(SLIDE, Angle.from_dms(0, 12), INCH, cone=CONE, cutting=CUT)
    assert state.cut_one(3) == state.cut_one(3) != state.cut_one(4)
    assert len(replace(state, cutting=None).cut_one(3)) < len(state.cut_one(3))
