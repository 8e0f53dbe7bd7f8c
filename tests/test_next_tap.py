"""What a pass tells at the lathe: figures against thirty digits, words against sums by hand."""

import dataclasses
import decimal
import json
import math
import re

import mpmath
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from random_jobs import patient
from test_proof import LATHES, job, passed, written_out

from tapertrig import Angle, Dial, demo
from tapertrig.budget import proves
from tapertrig.job import Choices
from tapertrig.next_tap import (
    WORDS,
    Target,
    angle_said,
    before_swing,
    figures,
    length_said,
    next_tap,
    set_now,
    set_to,
    tap_of,
)
from tapertrig.procedure import procedure

mpmath.mp.dps = 30
SECOND = mpmath.pi / 648000
INCH = LATHES["in"]


def test_lengths_and_angles_as_they_are_said():
    # By hand; a half is written upwards, which Python's own rounding does not do.
    for seconds, said in [
        (260, "4′20″"), (-240, "4′"), (35, "35″"), (0.4, "0″"), (0.5, "1″"), (2.5, "3″"),
        (59.5, "1′"), (3840, "1°04′"), (3599.7, "1°00′"), (605, "10′05″"),
    ]:  # fmt: skip
        assert angle_said(seconds) == said
    assert angle_said(35, whole=True) == "0°00′35″"
    assert angle_said(74598, whole=True) == "20°43′18″"
    assert length_said(-0.00312, "in") == ".0031"
    assert length_said(0.00005, "in") == ".0001"
    assert length_said(2.125, "in") == "2.1250"
    assert length_said(0.0785, "mm") == "0.079"
    assert length_said(12.3444, "mm") == "12.344"


@given(st.floats(0, 1e6), st.integers(0, 5))
@patient
def test_figures_are_rounded_half_up(value, places):
    exact = decimal.Decimal(value)
    step = decimal.Decimal(1).scaleb(-places)
    tie = exact / step % 1 - decimal.Decimal("0.5")
    if abs(tie) > 1e-9:  # what a float makes of the tie itself is its own affair
        wanted = exact.quantize(step, rounding=decimal.ROUND_HALF_UP)
        assert figures(value, places) == f"{wanted:.{places}f}"


@given(
    st.floats(2, 85),
    st.floats(-40, 40),
    st.sampled_from(["in", "mm"]),
    st.booleans(),
    st.none() | st.floats(1, 80),
)
@patient
def test_the_figures_of_a_pass_against_thirty_digits(degrees, off, unit, tight, radius):
    # Plane trigonometry, the budget of test_proof, and k = 2.
    asked = Angle.from_degrees(round(degrees, 3))
    a_job = job(asked.dms(3), "0°06'", unit)
    a_job = dataclasses.replace(a_job, lathe=dataclasses.replace(a_job.lathe, base_radius=radius))
    plan = a_job.plan()
    told = plan.half_angle.radians + off * float(SECOND) * 60
    done = passed(a_job, told, "tight" if tight else "eased")
    one = done.passes[0]
    tap = tap_of(done, one)

    s = mpmath.mpf(one.compound_reading) / one.compound_dial.factor
    if one.cross_reading is None:
        now = mpmath.acos(mpmath.mpf(one.axial_reading) / s)
    else:
        now = mpmath.asin(mpmath.mpf(one.cross_reading) / one.cross_dial.factor / s)
    arc_seconds = asked.arc_seconds
    missing = mpmath.mpf(arc_seconds.numerator) / arc_seconds.denominator - now / SECOND
    assert math.isclose(tap.half_angle, now / SECOND, rel_tol=1e-12)
    assert math.isclose(tap.missing, missing, rel_tol=1e-9, abs_tol=1e-7)
    u = (plan.half_angle_tolerance.radians - written_out(plan)) / 1.65
    k = 2  # JCGM 100, 6.3.3
    assert math.isclose(tap.doubt, u * k / SECOND, rel_tol=1e-9)
    if radius is None:
        assert tap.rim is None
        assert "radius is not given" in tap.swing or tap.swing == "nothing"
    else:
        assert math.isclose(tap.rim, radius * missing * SECOND, rel_tol=1e-9, abs_tol=1e-9)
        assert math.isclose(tap.doubt_rim, radius * u * k, rel_tol=1e-9)

    room, tolerance = written_out(plan) / SECOND, 360
    if min(abs(abs(missing) - edge) for edge in (room, tolerance, tap.doubt)) < 1e-6:
        return
    near = abs(missing) < room
    assert (tap.room is None) == (room <= 0)
    assert proves(done, one) == (tap.standing == "proves it") == (near and tight)
    assert (tap.standing == "not in tolerance") == (abs(missing) > tolerance)
    way = "further from" if missing > 0 else "back towards"
    if near:
        assert tap.next == WORDS["proven" if tight else "prove"]
    elif abs(missing) < tap.doubt:
        assert "chases the reading" in tap.next
    else:
        assert f"Swing {way} parallel, about {angle_said(missing)}" in tap.next
        assert ("Ease the bolts" in tap.next) == tight


def read(target, compound, cross, tight=False):
    return next_tap(target, compound, cross, tight)


def test_a_pass_in_words_worked_by_hand():
    # 3.2 at 20°43′ on a diameter dial: 2 × 3.2 × sin 20°43′ = 2.2640. Read 2.2510: asin(.351719)
    # = 20°35′33″, so 7′27″ are missing; × 2.125 × π/648000 = .0046 at the rim.
    target = Target.of(demo.job())
    tap = read(target, 3.2, 2.251)
    assert tap.now == "20°35′33″"
    assert tap.swing == "further 7′27″, .0046 in at the rim"
    assert tap.standing == "not in tolerance"
    assert tap.next == (
        "Swing further from parallel, about 7′27″, .0046 in at the rim: tip clear, light blows, "
        "the headstock end of the slide away from you."
    )
    back = read(target, 3.2, 2.277, tight=True)
    assert back.next.startswith("Ease the bolts until light blows move the slide. Swing back tow")
    assert back.next.endswith("the headstock end of the slide towards you.")
    # An external cone swings the other way.
    plug = demo.plug_job()
    outside = read(Target.of(plug), 3.2, plug.plan().cross_reading - 0.02)
    assert "further from parallel" in outside.next
    assert outside.next.endswith("towards you.")
    assert read(target, 3.2, demo.job().plan().cross_reading).swing == "nothing"
    assert "back off a turn more" not in tap.next.lower()
    more = read(target, 3.2, 2.2, tight=True).next
    assert more.startswith("Back the cross slide off first, a turn more for each half degree. Ease")
    # asin(1.6 ÷ 6.4) is 14°28′39″, six degrees short: not to be tapped.
    far = read(target, 3.2, 1.6).next
    assert "clear of the quill, and begin again" in far
    assert "Swing" not in far
    assert "turn more for" not in far


def test_a_travel_that_the_slide_has_not_is_refused_and_asks_about_turns():
    target = Target.of(demo.job())
    assert target.reach == demo.job().lathe.compound_reach == 3.25
    for compound, told in (
        (32, "compound travel is 32.0000 in; this slide reaches 3.2500 in; did you mean 32 turns?"),
        (33, "compound travel is 33.0000 in; this slide reaches 3.2500 in"),
        (3.2501, "compound travel is 3.2501 in; this slide reaches 3.2500 in"),
    ):
        for refuse in (
            lambda compound=compound: read(target, compound, 2.264),
            lambda compound=compound: demo.job().with_pass(compound, 2.264),
        ):
            with pytest.raises(ValueError, match=f"^{re.escape(told)}$"):
                refuse()
    assert read(target, 3.25, 2.3)
    # What was taken before the slide's reach was given stays.
    kept = demo.job().with_pass(3.2, 2.264)
    short = dataclasses.replace(kept, lathe=dataclasses.replace(kept.lathe, compound_reach=2.0))
    assert tap_of(short, short.passes[0]) == tap_of(kept, kept.passes[0])


def test_the_axial_route_speaks_of_what_is_read_there():
    job_ = dataclasses.replace(job("60°", "0°06'"), choices=Choices(route="axial travel"))
    target = Target.of(job_)
    with pytest.raises(ValueError, match="the stack and the needle's sign"):
        read(target, 1.0, 2.0)
    lost = read(target, 3.0, 2.0).next
    assert "the stack and the needle's sign" in lost
    assert "diameter" not in lost
    assert "clear of the face" in lost
    before = before_swing(procedure(job_.plan()))
    places = [
        before.index(one) for one in ("Lift the tip", "stack away", "Unlock", "Carriage back")
    ]
    assert places == sorted(places)
    assert before_swing(procedure(demo.job().plan())).startswith("Back the cross slide off")


def test_a_length_at_the_rim_too_small_to_see_is_left_out():
    target = Target.of(demo.job())
    cross = 2 * 3.2 * math.sin(math.radians(20 + 43 / 60) - 5 * math.pi / 648000)
    assert read(target, 3.2, cross).swing == "further 5″"  # 2.125 × 5″ is .00005
    cross = 2 * 3.2 * math.sin(math.radians(20 + 43 / 60) - 20 * math.pi / 648000)
    assert read(target, 3.2, cross).swing == "further 20″, .0002 in at the rim"


def test_no_tolerance_is_nothing_to_judge():
    target = Target.of(job(tolerance=None))
    assert target.tolerance is None
    tap = read(target, 3.0, 2 * 3.0 * math.sin(math.radians(20 + 43 / 60)), tight=True)
    assert tap.standing == "no tolerance on the print: nothing to judge"
    assert tap.next.endswith("leave it.")
    assert read(target, 3.0, 2.1223).next.endswith("pass once more.")
    assert read(target, 3.0, 2.1).next.startswith("Swing further")


def test_a_tolerance_that_the_check_cannot_prove_says_so():
    target = Target.of(job(tolerance="0°0'40″"))
    tap = read(target, 3.0, 2.1223)
    assert tap.room is None
    assert "No reading of this check can prove ± 0°00′40″" in tap.minded[0]
    assert tap.next.endswith("read finer, before you tap again.")


@pytest.mark.parametrize(
    ("compound", "cross", "named"),
    [
        (0.1, 0, "one compound turn less"),
        (-0.1, 0, "one compound turn more"),
        (0, 0.2, "one cross turn less"),
        (0, -0.2, "one cross turn more"),
    ],
)
def test_a_lost_turn_is_asked_about_and_names_its_screw(compound, cross, named):
    # 25° over 2.5: one compound turn of .1 is 1.07°, one cross turn more than 2° (trade's figures).
    steep = job("25°", "0°06'")
    right = 2 * 2.5 * math.sin(math.radians(25))
    tap = read(Target.of(steep), 2.5 + compound, right + cross)
    assert tap.asks
    assert "Was a turn lost" in tap.next
    assert named in tap.next
    assert "If it shows about 25°, a reading is wrong. Was a turn lost" in tap.next
    assert "if the print does ask for 25°00′: Back the cross slide off first" in tap.next
    assert "half degree. Swing" in tap.next


@pytest.mark.parametrize(
    ("zero", "aimed", "stands"),
    [
        ("parallel to bed", "about 21°,", "about 28°,"),
        ("square to bed", "about 69°,", "about 62°,"),
        (None, "about 21° from parallel,", "about 28° from parallel,"),
    ],
)
def test_a_print_typed_wrong_is_asked_about_and_mending_it_costs_no_pass(zero, aimed, stands):
    # The print asks 28°11′ and the base was set to it; 20°43′ was typed. 90° − 28°11′ is 61°49′.
    typed = job("20°43'")
    typed = dataclasses.replace(typed, lathe=dataclasses.replace(INCH, base_zero=zero))
    done = passed(typed, Angle.parse("28°11'").radians)
    tap = tap_of(done, done.passes[0])
    assert tap.asks
    assert f"If it shows {aimed} a reading is wrong" in tap.next
    assert f"If it shows {stands} it was set wrong, or the print was typed wrong" in tap.next
    mended = dataclasses.replace(done, callout=dataclasses.replace(done.callout, value="28°11'"))
    tap = tap_of(mended, mended.passes[0])
    assert not tap.asks
    assert tap.next == WORDS["proven"]
    assert tap.minded[0] == "This pass was taken for 20°43′; the print asks for 28°11′ now."


def test_a_print_changed_by_a_degree_or_two_is_no_lost_turn():
    done = passed(job("20°43'"), Angle.parse("20°43'").radians, "eased")
    for value, said in (("22°13'", "about 1°30′"), ("18°43'", "about 2°")):
        asks = dataclasses.replace(done.callout, value=value)
        tap = tap_of(dataclasses.replace(done, callout=asks), done.passes[0])
        assert not tap.asks
        assert said in tap.next
        assert "aimed at" not in tap.next
        assert "was taken for 20°43′" in tap.minded[0]
    # A turn that was lost then is found by what was aimed at then.
    lost = job("25°").with_pass(2.5, 2 * 2.5 * math.sin(math.radians(25)) - 0.2)
    asks = dataclasses.replace(lost.callout, value="24°")
    tap = tap_of(dataclasses.replace(lost, callout=asks), lost.passes[0])
    assert tap.turns == ("cross more",)
    assert "If it shows about 25°" in tap.next


@given(st.floats(5, 60), st.floats(-0.002, 0.002), st.booleans(), st.floats(-1, 1))
@example(20, 0.0012, True, 0.5)
@patient
def test_what_is_proven_is_in_tolerance_however_the_quill_slopes(degrees, slope, internal, off):
    # In the plan: the tip runs s along the slide and x back, square to the axis, to the quill's
    # line, which comes towards you by the slope for each unit towards the headstock: by
    # x = s sin α ± s cos α × slope, plus on an internal cone, minus on an external one.
    kept = job(internal=internal)
    asked = Angle.from_degrees(round(degrees, 3))
    kept = dataclasses.replace(
        kept,
        callout=dataclasses.replace(kept.callout, value=asked),
        lathe=dataclasses.replace(INCH, quill_slope=slope),
        choices=Choices(route="cross travel"),
    )
    tolerance = kept.callout.half_angle_tolerance.radians
    true = asked.radians + off * tolerance
    x = 3.0 * (math.sin(true) + (1 if internal else -1) * slope * math.cos(true))
    done = kept.with_pass(3.0, 2 * x, bolts="tight")
    (one,) = done.passes
    target, beta = Target.of(done, taken=one), math.atan(slope)
    stands = one.half_angle.radians + target.slope * float(SECOND)
    assert stands == pytest.approx(true, abs=3 * slope**2 * (1 + math.tan(true)) + 1e-9)
    tap = tap_of(done, one)
    assert tap.doubt > abs(beta) / float(SECOND)
    if proves(done, one):
        assert abs(off) <= 1 + 1e-6, "proven, and out of tolerance by the quill"
    if round(abs(beta) / float(SECOND)) > 0:
        way = "further from" if (slope < 0) == internal else "nearer to"
        assert f"the slide stands that much {way} parallel than read" in " ".join(tap.minded)
    by_axis = dataclasses.replace(done, choices=Choices(route="axial travel"))
    assert Target.of(by_axis).slope == 0, "a face knows nothing of the quill"


def test_what_no_turn_tells_and_what_hides():
    steep = Target.of(job("25°", "0°06'"))
    radius_for_diameter = read(steep, 2.5, 2.5 * math.sin(math.radians(25)))
    assert radius_for_diameter.turns == ()
    assert "which dial reads diameter" in radius_for_diameter.next
    # .100 in 2.5 is 0.40° at 10° and 1.07° at 25°: the second is asked about, the first hides.
    flat = Target.of(job("10°", "0°06'"))
    tap = read(flat, 2.6, 2 * 2.5 * math.sin(math.radians(10)))
    assert not tap.asks
    (hidden,) = read(flat, 2.5, 2 * 2.5 * math.sin(math.radians(10))).minded
    assert "only 24′15″ here" in hidden  # .04 × tan 10° × 648000/π is 1454.8
    assert read(steep, 2.5, 2 * 2.5 * math.sin(math.radians(25))).minded == ()
    axial = dataclasses.replace(job("60°", "0°06'"), choices=Choices(route="axial travel"))
    missed = read(Target.of(axial), 2.4, 1.25)
    assert missed.turns == ("compound more",)


def test_readings_that_make_no_triangle_are_refused():
    target = Target.of(demo.job())
    for compound, cross in ((0.1, 2.264), (1.0, 2.0), (0.0, 1.0), (3.2, 0.0)):
        with pytest.raises(ValueError, match="look at the turns"):
            read(target, compound, cross)


def test_a_pass_is_judged_by_the_print_of_now_on_the_dials_of_then():
    done = passed(job(), Angle.parse("20°43'").radians)
    asks = dataclasses.replace(done.callout, value="20°50'")
    other = dataclasses.replace(done, callouts=(asks,))
    assert tap_of(other, other.passes[0]).swing.startswith("further 7′ (")
    # A dial found to read radius after all does not change what was read on it.
    changed = dataclasses.replace(INCH, cross_dial=Dial(0.001, 0.1), base_radius=3.0)
    again = dataclasses.replace(done, lathe=changed)
    then, now = tap_of(done, done.passes[0]), tap_of(again, again.passes[0])
    assert (now.half_angle, now.swing) == (then.half_angle, then.swing)
    assert then.next == WORDS["proven"]
    assert "on other dials than the job's lathe has now. Take a pass" in now.next
    assert now.standing != WORDS["proves"]
    assert set_to(again) == ""
    turned = dataclasses.replace(done.callout, internal=not done.callout.internal)
    aside = dataclasses.replace(done, callout=turned)
    assert "the aim was another: an" in tap_of(aside, aside.passes[0]).next
    assert set_to(aside) == ""
    with pytest.raises(ValueError, match="nothing is entered from the print"):
        tap_of(dataclasses.replace(done, callouts=()), done.passes[0])
    with pytest.raises(ValueError, match="no lathe is given"):
        Target.of(dataclasses.replace(done, lathe=None))


def test_the_facts_of_a_page_are_the_whole_target():
    target = Target.of(demo.job())
    again = Target(**json.loads(json.dumps(target.facts())))
    assert again == target
    assert read(again, 3.2, 2.251) == read(target, 3.2, 2.251)


@given(st.floats(5, 80), st.floats(0.05, 4), st.floats(0.05, 4), st.booleans())
@example(20, 3.2, 0.2, False)
@patient
def test_nothing_is_left_unfilled_in_what_is_said(degrees, compound, other, tight):
    target = Target.of(job(Angle.from_degrees(round(degrees, 2)).dms(2)))
    try:
        tap = next_tap(target, compound, other, tight)
        said = " ".join((tap.next, tap.swing, tap.doubted, tap.now, *tap.minded))
    except ValueError as refused:
        said = str(refused)
    assert not set("{}") & set(said)
    assert "nan" not in said


def test_what_to_set_now_and_what_it_is_set_to():
    assert set_now(demo.job().plan()) == (
        "Run the compound 32 turns, towards the tailstock; the cross dial must show 11 turns, then "
        ".064 (2.2640 in); proven between 2.2551 and 2.2728 in."
    )
    steep = dataclasses.replace(demo.job(), choices=Choices(route="axial travel"))
    told = set_now(steep.plan())
    # 3.2 × cos 20°43′ is 2.9931.
    assert "needle together must be 2.9931 in" in told
    done = demo.job().with_pass(3.2, 2.2645, bolts="tight")
    # asin(2.2645 ÷ 6.4) is 20°43′18″.
    assert set_to(done) == (
        "Slide set to 20°43′18″, proven within ± 0°06′ of 20°43′ by the last pass, bolts tight. "
        "It proves the slide, not the part."
    )
    assert set_to(done.with_pass(3.2, 2.2645)) == ""
