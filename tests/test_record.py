"""The inspection record: what it says, and that whatever is typed stays text."""

import dataclasses
import math
import re
from html.parser import HTMLParser

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_inspection import one_ball, rolls, two_balls

from tapertrig import Angle, Cone, cautions, demo
from tapertrig.gauging import Rule
from tapertrig.gauging.inspection import Instrument
from tapertrig.printed.inspection_record import inspection_record

BALLS = [1.0, 1.0625, 1.125, 1.25, 1.375]


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
    words = text_of(inspection_record(inspection, demo.job()))
    for finding in inspection.findings():
        assert finding.words(inspection.unit) in words
        for contribution in finding.contributions:
            assert contribution.name in words
    assert f"Verdict: {inspection.verdict.upper()}" in words
    assert "ISO 14253-1:2017" in words
    assert inspection.instrument.name in words
    assert inspection.method in words
    for row in inspection.repeats():
        assert f"{row.mean:.{5 if inspection.unit == 'in' else 4}f}" in words
    assert demo.job().title in words
    for point in cautions.ALL:
        assert point in words


def test_the_broken_edge_is_named_with_what_calipers_would_have_read():
    inspection = one_ball()
    words = text_of(inspection_record(inspection))
    # 45° break 0.02 deep: D + 2·0.02·(1 − tan 20°43′) and D − 2·0.02·tan 20°43′, D as measured.
    slope = math.tan(math.radians(20 + 43 / 60))
    measured = inspection.findings()[0].value
    outer, inner = measured + 0.04 * (1 - slope), measured - 0.04 * slope
    assert f"{outer:.4f} in on the outer edge, {inner:.4f} in on the inner" in words


def test_few_readings_state_t_and_the_wider_guard_band():
    spread = (0.514, 0.519, 0.516)
    inspection = one_ball(
        readings=(spread,),
        instrument=Instrument("fine", 0.0001),
        half_angle_limit=Angle.from_dms(0, 0, 20),
    )
    words = text_of(inspection_record(inspection))
    # Student's t for 2 degrees of freedom, from tables: 4.30 two-sided, 2.92 one-sided.
    assert "t = 4.30 for 2 effective degrees of freedom" in words
    assert "(2.92 u)" in words


def test_what_is_not_proven_comes_with_advice():
    made = Cone(Angle.parse("20°43′"), 1.4203, 0.64)
    unproven = one_ball(made=made, half_angle_limit=Angle.from_dms(0, 6))
    words = text_of(inspection_record(unproven, balls=BALLS))
    assert "What would turn “not proven” into a verdict" in words
    assert "would settle it" in words
    assert "U would have to be" in words
    settled = text_of(inspection_record(one_ball()))
    assert "What would turn" not in settled


def test_simple_acceptance_names_its_ratio():
    words = text_of(inspection_record(one_ball(rule=Rule("simple acceptance", 3))))
    assert "ASME B89.7.3.1, simple acceptance, ratio 3:1" in words
    assert "Guard band" not in words


def test_without_tolerance_there_is_no_verdict():
    free = two_balls(diameter_limits=None, half_angle_tolerance=None)
    words = text_of(inspection_record(free))
    assert "No verdict" in words
    assert "no tolerance" in words


def test_the_invented_job_is_marked():
    assert "Invented example" in text_of(inspection_record(one_ball(), demo.job()))


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
    job = dataclasses.replace(
        demo.job(), title=one, part=two, shop=three, drawing_number="x" + four
    )
    typed_in = one_ball(
        notes="n" + one,
        measured_by=two,
        callout="c" + three,
        date=four,
        instrument=Instrument("m" + one, 0.001, 0.0002),
    )
    plain = one_ball(notes="n", callout="c", instrument=Instrument("m", 0.001, 0.0002))
    plain_job = dataclasses.replace(demo.job(), title="t", part="p", shop="s", drawing_number="x")
    page = inspection_record(typed_in, job)

    def outline(text):
        # A line of the page's head that nobody typed into is left out.
        return [t for t in tags_of(text) if t[0] not in ("div", "h1", "header")]

    assert outline(page) == outline(inspection_record(plain, plain_job))
    assert "<script" not in page


def test_a_drawing_is_held_in_the_page():
    drawing = '<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
    page = inspection_record(one_ball(), drawing=drawing, drawing_words="A ball in a <bore>")
    assert re.search(r'<img alt="A ball in a &lt;bore&gt;" src="data:image/svg\+xml;base64,', page)
    assert "<script" not in page
    with pytest.raises(ValueError, match="drawing begins"):
        inspection_record(one_ball(), drawing="no drawing")
    with pytest.raises(ValueError, match="paper"):
        inspection_record(one_ball(), paper="A5")
