"""The inspection record: what it says, and that whatever is typed stays text."""

import dataclasses
import math
import re
from html.parser import HTMLParser

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_inspection import (
    changed_print,
    job_with,
    one_ball,
    readings,
    rolls,
    stated,
    two_balls,
)  # fmt: skip

from tapertrig import Cone, cautions, demo
from tapertrig.gauging import ball_height, findings
from tapertrig.job import Callout, Instrument, Job, Outlier
from tapertrig.printed.inspection_record import inspection_record
from tapertrig.printed.page import save_page

BALLS = [1.0, 1.0625, 1.125, 1.25, 1.375]
SIGNED = {"measured_by": "J. Fitter", "date": "2031-03-09"}


def record(*inspected, **rest):
    """The record of a job with these inspections, each signed."""
    return inspection_record(job_with(*(sign(one) for one in inspected)), **rest)


def sign(inspection, **changed):
    """An inspection that says who and when."""
    read = dataclasses.replace(inspection.readings, **(SIGNED | changed))
    return dataclasses.replace(inspection, readings=read)


def text_of(page):
    """The words of a page without its tags."""
    words = []

    class Words(HTMLParser):
        def handle_data(self, text):
            words.append(text)

    Words().feed(page.partition("</style>")[2])
    return " ".join(" ".join(words).split())


@pytest.mark.parametrize("inspection", [one_ball(), two_balls(), rolls()], ids=lambda i: i.method)
def test_the_record_says_what_was_found(inspection):
    job = dataclasses.replace(
        job_with(sign(inspection)),
        title="Valve seat", part="Body", revision="C", serial="4711", quantity="3",
    )  # fmt: skip
    with pytest.raises(ValueError, match="readings of 2031-03-09 wait"):
        inspection_record(job)  # they were confirmed of a part without this number
    job = job.confirm(job.readings[0].identity, "B. Setter")
    words = text_of(inspection_record(job))
    assert "Readings of 2031-03-09, as of this part and print: confirmed by B. Setter" in words
    for finding in findings(job):
        assert finding.result(inspection.unit) in words
        assert f"{finding.name}: {finding.verdict}" in words
        for contribution in finding.budget.contributions if finding.budget else ():
            assert contribution.name in words
    for told in (
        "ISO 14253-1:2017", inspection.instrument.name, inspection.method, "Valve seat", "Body",
        "EX-1, revision C", "4711, 3", "number not given, calibrated not given",
        "part not given, gauge not given; readings not corrected to 20 °C",
        "Measured by: J. Fitter", "Date: 2031-03-09", "no reading with the bolts tight",
        *cautions.ALL,
    ):  # fmt: skip
        assert told in words, told
    for row in inspection.repeats():
        assert f"{row.mean:.{5 if inspection.unit == 'in' else 4}f}" in words


def test_every_reading_stands_there_with_its_sign():
    made = Cone(one_ball().printed_angle, 1.4196, 0.64)
    wide = Callout("half angle", "45°", 1.0, angle_tolerance="0°10′")
    below = one_ball(0.3, Cone(wide.half_angle, 1.0), wide, stated_angle=None, edge_break=None)
    (sunk,) = below.readings.rows
    assert max(sunk) < 0
    words = text_of(record(below))
    for reading in below.readings.rows[0]:
        assert f"{'+' if reading > 0 else '−'}{abs(reading):.5f}" in words
    depths = tuple(0.75 - height for height in one_ball().readings.rows[0])
    words = text_of(record(one_ball(rows=(depths,), reads="depth", parallel=0.75)))
    assert "height of the ball's top over the face = parallels − reading" in words
    assert "Parallels under it 0.7500 in" in words
    many = one_ball(rows=(readings(ball_height(made, 1.25), [n * 1e-4 for n in range(25)]),))
    words = text_of(record(many))
    assert all(f"+{reading:.5f}" in words for reading in many.readings.rows[0])


def test_the_broken_edge_is_named_with_what_calipers_would_have_read():
    words = text_of(record(one_ball()))
    # 45° break 0.02 deep: D + 2·0.02·(1 − tan 20°43′) and D − 2·0.02·tan 20°43′, D as measured.
    slope = math.tan(math.radians(20 + 43 / 60))
    measured = one_ball().findings()[0].value
    outer, inner = measured + 0.04 * (1 - slope), measured - 0.04 * slope
    assert f"{outer:.4f} in on the outer edge, {inner:.4f} in on the inner" in words


def test_who_made_the_sheet_is_not_taken_for_who_measured():
    job = dataclasses.replace(job_with(sign(one_ball())), made_by="A. Planner")
    words = text_of(inspection_record(job))
    assert words.count("A. Planner") == 1
    assert "sheet made by A. Planner" in words
    assert "made by" not in text_of(record(one_ball()))


def test_the_record_says_where_a_ball_touches_and_whether_an_edge_break_is_known():
    # By plane geometry: a ball of d touches a cone of half angle α on ⌀ d cos α, and there
    # the cone is (D − d cos α)/(2 tan α) below the face. D as measured.
    alpha = math.radians(20 + 43 / 60)
    made = one_ball()
    on = made.gauges[0] * math.cos(alpha)
    deep = (made.findings()[0].value - on) / (2 * math.tan(alpha))
    told = f"on ⌀ {on:.4f} in, {deep:.4f} in below the face"
    unsure = "whether that clears the edge break was not measured"
    words = text_of(record(made))
    assert told in words
    assert unsure not in words
    assert f"{told}; {unsure}" in text_of(record(one_ball(edge_break=None)))


def test_few_readings_state_t_and_the_wider_guard_band():
    few = one_ball(
        rows=((0.514, 0.519, 0.516),),
        instrument=Instrument("fine", 0.0001, 0.0),
        stated_angle=stated(20),
    )
    words = text_of(record(few))
    # Student's t for 2 degrees of freedom, from tables: 4.30 two-sided, 2.92 one-sided.
    assert re.search(r"k = 4\.[23]\d by Student's t", words)
    assert "k over 2: t on what few readings scatter, 2 on the rest" in words
    assert re.search(r"\(2\.9[01] u\); few readings: Student's t, each part by its own", words)


def test_what_is_not_proven_comes_with_advice():
    made = Cone(one_ball().printed_angle, 1.4203, 0.64)
    words = text_of(record(one_ball(made=made, stated_angle=stated(360)), balls=BALLS))
    assert "What would turn “not proven” into a verdict" in words
    assert "would settle it" in words
    assert "U would have to be" in words
    assert "What would turn" not in text_of(record(one_ball()))


def test_simple_acceptance_names_its_ratio():
    words = text_of(record(one_ball(rule="simple acceptance")))
    assert "ASME B89.7.3.1, simple acceptance, ratio 4:1" in words
    assert "Guard band" not in words


def test_without_tolerance_there_is_no_verdict():
    free = changed_print(diameter_plus=None, diameter_minus=None, angle_tolerance=None)
    words = text_of(record(two_balls(callout=free)))
    assert "Face diameter: no limit given. Half angle: no limit given" in words
    assert "conforms" not in words


def test_one_ball_says_where_its_half_angle_comes_from():
    assert "20°43′00″ ± 0°03′00″, stated: sine bar, shop's own" in text_of(record(one_ball()))
    by_print = text_of(record(one_ball(stated_angle=None)))
    assert "the print's own tolerance taken as the widest it may be out; it was not me" in by_print
    assert "Half angle: not measured" in by_print
    both = text_of(record(two_balls(), one_ball(stated_angle=None)))
    assert "measured on this part by two balls" in both
    assert "Measured by two balls" in both
    assert "Measured by one ball" in both


def test_a_record_of_one_part_of_several_says_so():
    twenty = dataclasses.replace(job_with(sign(one_ball())), quantity="20")
    twenty = twenty.confirm(twenty.readings[0].identity, "J. Fitter")
    assert "Quantity 20: these are the readings of one part." in text_of(inspection_record(twenty))
    assert "of one part." not in text_of(inspection_record(job_with(sign(one_ball()))))


def test_the_slide_is_another_thing_than_the_part():
    job = dataclasses.replace(job_with(sign(one_ball())), lathe=demo.job().lathe)
    eased = job.with_pass(compound_reading=2.5, cross_reading=1.7686)
    assert "Slide set to no reading with the bolts tight" in text_of(inspection_record(eased))
    tight = job.with_pass(compound_reading=2.5, cross_reading=1.7686, bolts="tight")
    words = text_of(inspection_record(tight))
    # Compound travel 2.5, cross travel 1.7686/2 on a diameter-reading dial: asin(0.35372).
    degrees = math.degrees(math.asin(1.7686 / 5))
    minutes = (degrees - 20) * 60
    wanted = f"20°{int(minutes):02d}′{(minutes % 1) * 60:02.0f}″"
    # Within T − 1.65 u of the print's 20°43′ ± 6′: proven.
    assert words.partition("Slide set to")[2].startswith(
        f" {wanted}, proven within ± 0°06′ of 20°43′ by the last pass, bolts tight. It proves the "
        "slide, not the part. Taken 20"
    )
    assert "typical figures, not measured on this lathe" in words
    assert "Half angle: not measured" in words
    eased = tight.with_pass(compound_reading=2.5, cross_reading=1.76)
    assert "Slide set to not proven: the bolts were eased after" in text_of(
        inspection_record(eased)
    )
    relief = dataclasses.replace(job.callout, name="relief")
    two = dataclasses.replace(tight, callouts=(*job.callouts, relief))
    words = text_of(inspection_record(two))
    assert f"cone 1: Slide set to {wanted}, proven" in words
    assert "relief: Slide set to no reading with the bolts tight" in words


def test_a_measurement_that_a_later_one_replaced_says_what_it_gave():
    large = tuple(tuple(x - 0.02 for x in row) for row in two_balls().readings.rows)
    first, then = two_balls(rows=large), two_balls(edge_break=None)
    words = text_of(record(first, then))
    assert "not used (Face diameter: does not conform. Half angle: conforms)" in words
    assert "Edge break, 45° not given" in words


def test_what_the_record_refuses():
    unmeasured = Job(Callout("half angle", "20°43′", 1.418))
    with pytest.raises(ValueError, match=r"nothing is measured.*no readings are given"):
        inspection_record(unmeasured)
    with pytest.raises(ValueError, match="nothing is entered from the print"):
        inspection_record(Job())
    with pytest.raises(ValueError, match="who measured is not given"):
        inspection_record(job_with(sign(one_ball(), measured_by=" ")))
    for date in ("", "yesterday"):
        with pytest.raises(ValueError, match="date of the measurement"):
            inspection_record(job_with(sign(one_ball(), date=date)))


def test_outliers_old_files_and_what_was_struck_are_named():
    slip = (*one_ball().readings.rows[0][:4], 0.9)
    inspected = sign(one_ball(rows=(slip,), outliers=(Outlier(0, 4, True, "a chip"),)))
    job = dataclasses.replace(job_with(inspected), older=True)
    gone = sign(two_balls()).readings
    job = job.with_readings(gone).strike(gone.identity)
    words = text_of(inspection_record(job))
    assert "(+0.90000) struck" in words
    assert "struck out: a chip; Grubbs' test at 1 % (ISO 5725-2, ASTM E178)" in words
    assert "From an older file, check" in words
    assert "Also kept: two balls, 2031-03-09, struck out." in words


def test_a_second_record_does_not_take_the_place_of_the_first(tmp_path):
    page = record(one_ball())
    save_page(tmp_path / "record.html", page)
    with pytest.raises(ValueError, match="save under another name"):
        save_page(tmp_path / "record.html", page)


def test_the_invented_job_is_marked():
    job = demo.job().with_readings(sign(one_ball()).readings)
    words = text_of(inspection_record(job))
    assert 0 <= words.find("Invented example") < words.find("Part and print")


def test_the_tolerance_stands_as_on_the_print_and_halved_exactly():
    asked = changed_print(angle_tolerance="0°00′45″", tolerance_on="included angle")
    words = text_of(record(two_balls(callout=asked)))
    assert "half angle 20°43′, ± 0°00′45″ on the included angle, internal" in words
    assert "Half angle 20°43′00″ ± 0°00′22.50″" in words
    assert "Invented" not in text_of(record(one_ball()))


typed = st.text(st.characters(codec="utf-8"), max_size=60) | st.sampled_from(
    ["<script>alert(1)</script>", '"><img src=x onerror=alert(1)>', "</table></main>", "&lt;b&gt;"]
)


class Tags(HTMLParser):
    """Every tag with its attributes, in order."""

    def __init__(self):
        super().__init__()
        self.seen = []

    def handle_starttag(self, tag, attributes):
        self.seen.append((tag, [name for name, _ in attributes]))


def tags_of(page):
    """The tags of a page."""
    parser = Tags()
    parser.feed(page)
    return parser.seen


@given(typed, typed, typed, typed)
@settings(max_examples=40, deadline=None)
def test_whatever_is_typed_makes_no_tag(one, two, three, four):
    def page(one, two, three, four):
        read = sign(
            one_ball(instrument=Instrument("m" + one, 0.001, 0.0002, two, three)),
            notes="n" + one, measured_by="w" + two,
        ).readings  # fmt: skip
        job = Job(
            changed_print(name="c" + three), title=one, part=two, shop=three, serial=one,
            drawing_number="x" + four, revision=four, quantity=two, material="m" + three,
        )  # fmt: skip
        return inspection_record(job.with_readings(read))

    def outline(text):
        # A line of the page's head that nobody typed into is left out.
        return [t for t in tags_of(text) if t[0] not in ("div", "h1", "header")]

    made = page(one, two, three, four)
    assert outline(made) == outline(page("t", "p", "s", "x"))
    assert made.count("<script") == 1, "another script than the one that prints"


def test_a_drawing_is_held_in_the_page():
    drawing = '<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
    page = record(one_ball(), drawing=drawing, drawing_words="A ball in a <bore>")
    assert re.search(r'<img alt="A ball in a &lt;bore&gt;" src="data:image/svg\+xml;base64,', page)
    assert page.count("<script") == 1, "another script than the one that prints"
    with pytest.raises(ValueError, match="drawing begins"):
        record(one_ball(), drawing="no drawing")
    with pytest.raises(ValueError, match="paper"):
        record(one_ball(), paper="A5")
