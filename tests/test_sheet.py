"""The setup sheet and the page frame: what it says, what it escapes, where it is written."""

import dataclasses
import math
import os
import re
from html.parser import HTMLParser

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from jinja2 import UndefinedError

from tapertrig import cautions, demo
from tapertrig.job import Callout, Choices
from tapertrig.printed.page import (
    Markup,
    Strong,
    as_shown,
    block,
    page,
    page_file_name,
    save_page,
    shorten,
)
from tapertrig.printed.setup_sheet import setup_sheet

SVG = '<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
PNG = b"\x89PNG\r\n\x1a\n" + bytes(20)


class Reading(HTMLParser):
    """The tags of a page in order, and the text between them."""

    def __init__(self, text):
        super().__init__()
        self.tags, self.words, self.attributes, self.steps = [], [], [], 0
        self.feed(text)
        self.close()

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.attributes.append((tag, dict(attrs)))

    def handle_data(self, data):
        self.words.append(data)

    @property
    def text(self):
        return " ".join("".join(self.words).split())


def _steps(sheet):
    body = sheet.split("<ol>")[1].split("</ol>")[0]
    return [Reading(step).text for step in body.split("<li>")[1:]]


def test_the_sheet_says_the_numbers_of_the_plan():
    job = demo.job()
    plan, text = job.plan(), Reading(setup_sheet(job, SVG)).text
    for name, value in plan.rows():
        assert name in text
        assert " ".join(value.split()) in text
    assert plan.swing in text
    assert "41°26′" in text
    assert "1.4180 in +0.0030 / −0.0000" in text
    assert "± 0°12′00″ on the included angle" in text
    assert job.lathe.name in text
    assert job.identity in text
    for caution in (cautions.TITLE, *cautions.ALL):
        assert caution in text


def test_whole_graduation_setups_shown_are_others_than_the_one_chosen():
    job = demo.job()
    plan = job.plan()
    text = setup_sheet(job).split("Other travels")[1].split("</table>")[0]
    shown = re.findall(r'<th scope="row">([\d.]+)</th>', text)
    others = [row for row in plan.setups if row.compound_travel != plan.compound_travel]
    assert shown == [f"{row.compound_travel:.4f}" for row in others[:4]]


@pytest.mark.parametrize("name", list(demo.LATHES))
@pytest.mark.parametrize("internal", [True, False])
def test_the_slide_is_run_the_way_that_takes_the_indicator_off_the_quill(name, internal):
    # Seen from the cone itself: where it is wider, the tool, and so the indicator, stands
    # further from the axis. Depth grows towards the headstock.
    job = demo.job(name)
    job = dataclasses.replace(job, callout=dataclasses.replace(job.callout, internal=internal))
    cone = job.plan().cone
    wider_inwards = cone.diameter_at(0.1) > cone.diameter_at(0.0)
    off_the_quill = "towards the headstock" if wider_inwards else "towards the tailstock"
    other = "towards the tailstock" if wider_inwards else "towards the headstock"
    steps = _steps(setup_sheet(job))
    take_up, cross_zero, travel, cross_null = steps[3:7]
    # Lost motion: both ends of the check are reached in the same direction on each screw.
    assert take_up.startswith(f"Compound: wind well {other}, then {off_the_quill}")
    assert travel.startswith(f"Compound: go on {off_the_quill}, never back")
    assert "then in towards the axis until the indicator reads null" in cross_zero
    assert "wind in, counting turns, until the indicator is null again" in cross_null


def test_more_reading_means_swung_too_far():
    # sin grows with the angle: a greater cross reading is a greater half angle.
    step = _steps(setup_sheet(demo.job()))[7]
    assert step.startswith("More than that: swung too far, so swing back towards parallel.")


def test_sizes_in_the_last_step_follow_the_cone():
    # 0.001 in of face diameter: half of it across, half of it over tan 20°43′ along.
    step = _steps(setup_sheet(demo.job()))[9]
    assert "move the cross slide 0.001 on its dial" in step  # reads diameter
    assert "the carriage 0.0013 in" in step  # 0.0005 / 0.37818
    assert "feeding the compound only follows the cone" in step


def test_blank_boxes_for_every_pass_and_the_proof():
    body = setup_sheet(demo.job(), passes=4).split('<table class="boxes">')[1].split("</table>")[0]
    rows = body.split("<tbody>")[1].split("<tr>")[1:]
    assert [Reading(row).text for row in rows] == ["1", "2", "3", "4", "Proof, bolts tight"]
    assert all(row.count("<td></td>") == 5 for row in rows)
    for passes in (0, 13, 2.5, "4"):
        with pytest.raises(ValueError, match="passes is"):
            setup_sheet(demo.job(), passes=passes)


def test_the_formula_over_the_boxes_halves_a_diameter_reading():
    for name in demo.LATHES:
        job = demo.job(name)
        plan, text = job.plan(), Reading(setup_sheet(job)).text
        halved = "inverse sine of (cross reading ÷ (2 × travel))" in text
        assert halved != ("inverse sine of (cross reading ÷ travel)" in text)
        divisor = plan.compound_travel * (2 if halved else 1)
        angle = math.degrees(math.asin(plan.cross_reading / divisor))
        assert angle == pytest.approx(20 + 43 / 60, abs=1e-9)


def test_assumptions_warnings_and_invention_are_marked():
    plain = Reading(setup_sheet(dataclasses.replace(demo.job(), invented=False))).text
    assert "Invented example." not in plain
    assert "Assumed." not in plain
    assert "Look out." not in plain
    assert "Invented example." in Reading(setup_sheet(demo.job())).text
    job = dataclasses.replace(
        demo.job(),
        callout=Callout("half angle", "62°", 1.4, internal=False),
        choices=Choices(compound_travel=1.00005, route="cross travel"),
    )
    text = Reading(setup_sheet(job)).text
    plan = job.plan()
    assert len(plan.warnings) == 2
    for sentence in (*plan.assumptions, *plan.warnings):
        assert sentence in text
    assert text.count("Look out.") == 2
    assert "from memory: check the standard" in text
    assert "none on the print: see “Assumed”" in text


def test_a_metric_print_on_an_inch_lathe_shows_both_units():
    job = dataclasses.replace(
        demo.job(), callout=Callout("included angle", "41°26′", 36.0, "mm", length=12.0)
    )
    text = Reading(setup_sheet(job)).text
    assert "36.000 mm (is 1.4173 in)" in text


# ---------------------------------------------------------------- text from the user

NASTY = [
    "<script>alert(1)</script>",
    "</title></style><img src=x onerror=alert(1)>",
    '" onmouseover="alert(1)',
    "&lt;b&gt; &amp; <b>",
    "<!-- --><![CDATA[",
    "\x00\x1b[31m\ud800\ufffe",
    "javascript:alert(1)",
]


def _worded(text):
    return dataclasses.replace(
        demo.job(),
        title=text,
        part=text,
        drawing_number=text,
        material=text,
        shop=text,
        made_by=text,
        date=text,
        notes=text,
        lathe=dataclasses.replace(demo.job().lathe, name=text),
    )


UNPRINTABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")
PLAIN_TAGS = Reading(setup_sheet(_worded("plain"), SVG, drawing_words="plain")).tags


@given(st.text(alphabet=st.characters(codec=None), min_size=1, max_size=60))
@example(NASTY[0])
@example(NASTY[1])
@example(NASTY[2])
@example(NASTY[3])
@example(NASTY[4])
@example(NASTY[5])
@example(NASTY[6])
@settings(max_examples=120, deadline=None)
def test_whatever_the_user_types_is_shown_as_text_and_makes_no_tag(text):
    text = "x" + text  # never only blanks, which would leave the line out
    sheet = setup_sheet(_worded(text), SVG, drawing_words=text)
    sheet.encode("utf-8")
    seen = Reading(sheet)
    assert seen.tags == PLAIN_TAGS
    shown = " ".join(UNPRINTABLE.sub("\ufffd", shorten(text, 60)).split())
    assert shown in seen.text


@pytest.mark.parametrize("text", NASTY)
def test_nothing_in_the_page_can_run(text):
    sheet = setup_sheet(_worded(text), SVG, drawing_words=text)
    seen = Reading(sheet)
    assert "script" not in seen.tags
    assert "<script" not in sheet
    for _, attributes in seen.attributes:
        assert not [name for name in attributes if name.startswith("on")]
        assert attributes.get("src", "data:image/").startswith("data:image/")
    policy = [a for tag, a in seen.attributes if a.get("http-equiv") == "Content-Security-Policy"]
    assert policy[0]["content"].startswith("default-src 'none'")
    assert "http://" not in re.sub(r"base64,[^\"]*", "", sheet)


def test_html_passes_through_and_text_does_not():
    assert as_shown("<b>") == "&lt;b&gt;"
    assert as_shown(Markup("<b>")) == "<b>"
    assert as_shown("\x00\ud800") == "\ufffd\ufffd"
    assert as_shown(("a<", Strong("b\x00<"), 3.5)) == "a&lt;<strong>b\ufffd&lt;</strong>3.5"
    assert block("paragraph", block("paragraph", "<b>")) == "<p><p>&lt;b&gt;</p></p>"
    assert Reading(as_shown("a'b\"c")).text == "a'b\"c"
    assert not {"'", '"'} & set(as_shown("a'b\"c"))
    assert block("table", [("<i>", "&")]).count("&lt;i&gt;") == 1
    assert block("table", [("<i>",)], ["name", "x", "y"]).count("<td></td>") == 2


def test_a_template_that_asks_for_what_it_was_not_given_says_so():
    with pytest.raises(UndefinedError, match="job"):
        page("setup_sheet.html", title="x")


def test_long_text_is_cut_so_that_it_shows():
    assert shorten("a  b\nc", 10) == "a b c"
    assert shorten("x" * 20, 10) == "x" * 9 + "…"
    sheet = setup_sheet(dataclasses.replace(demo.job(), notes="word " * 700))
    assert len(Reading(sheet.split("Notes:")[1].split("</div>")[0]).text) <= 300


# ---------------------------------------------------------------- drawings and files


@pytest.mark.parametrize(
    ("drawing", "kind"),
    [
        (SVG, "svg+xml"),
        (f'<?xml version="1.0"?>\n<!DOCTYPE svg>\n{SVG}', "svg+xml"),
        (PNG, "png"),
        ("data:image/png;base64,iVBORw0KGgo=", "png"),
    ],
)
def test_a_drawing_is_held_in_the_page(drawing, kind):
    html = block("picture", drawing, 'a "plan" view')
    ((_, shown),) = [found for found in Reading(html).attributes if found[0] == "img"]
    assert shown["src"].startswith(f"data:image/{kind};base64,")
    assert shown["alt"] == 'a "plan" view'


@pytest.mark.parametrize(
    "drawing",
    ["", "drawing.svg", b"GIF89a", 'data:image/png;base64,"><script>', "data:text/html;base64,AA"],
)
def test_refuses_what_is_no_drawing(drawing):
    with pytest.raises(ValueError, match="it must be SVG text"):
        block("picture", drawing, "x")


def bare(title, record=""):
    """A page with nothing on it."""
    return page("paper.html", title=title, record=record)


def test_paper():
    assert "size: A4;" in setup_sheet(demo.job(), paper="A4")
    assert "size: letter;" in setup_sheet(demo.job(), paper="Letter")
    with pytest.raises(ValueError, match="paper is 'A3'"):
        setup_sheet(demo.job(), paper="A3")


def test_a_sheet_replaces_its_own_earlier_copy_and_nothing_else(tmp_path):
    path = tmp_path / "seat.html"
    job, other = demo.job(), demo.job()
    save_page(path, setup_sheet(job))
    changed = setup_sheet(dataclasses.replace(job, notes="second printing"))
    assert save_page(path, changed) == path.resolve()
    assert path.read_text(encoding="utf-8") == changed
    for text in (setup_sheet(other), bare("no record"), bare("x", record="setup sheet")):
        with pytest.raises(ValueError, match=r"seat\.html is another page or another file"):
            save_page(path, text)
    assert path.read_text(encoding="utf-8") == changed
    foreign = tmp_path / "foreign.html"
    foreign.write_bytes(b"\xff\xfe not ours")
    with pytest.raises(ValueError, match="another file"):
        save_page(foreign, changed)
    assert foreign.read_bytes() == b"\xff\xfe not ours"
    save_page(foreign, changed, replace=True)
    assert foreign.read_text(encoding="utf-8") == changed
    assert sorted(os.listdir(tmp_path)) == ["foreign.html", "seat.html"]


def test_a_user_cannot_forge_the_mark_of_another_page(tmp_path):
    path = tmp_path / "seat.html"
    first = demo.job()
    save_page(path, setup_sheet(first))
    forged = f'<meta name="tapertrig-record" content="setup sheet {first.identity}">'
    with pytest.raises(ValueError, match="another page"):
        save_page(path, setup_sheet(dataclasses.replace(demo.job(), title=forged)))


def test_a_page_without_a_record_never_replaces_another(tmp_path):
    path = tmp_path / "seat.html"
    save_page(path, bare("one"))
    with pytest.raises(ValueError, match="another page"):
        save_page(path, bare("two"))


def test_page_file_names():
    assert page_file_name("seat ring") == "seat ring.html"
    assert page_file_name("seat.HTML") == "seat.HTML"
    for typed in ("../seat", "a/b", "", "aux"):
        with pytest.raises(ValueError, match=r"example seat-ring\.html"):
            page_file_name(typed)
