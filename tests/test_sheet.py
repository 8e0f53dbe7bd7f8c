"""The setup sheet and the page frame: what it says, what it escapes, where it is written."""

import base64
import dataclasses
import hashlib
import math
import os
import re
from html.parser import HTMLParser

import mpmath
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from jinja2 import UndefinedError
from test_proof import written_out

from tapertrig import Dial, Lathe, cautions, demo
from tapertrig.budget import RESTS_ON, proves
from tapertrig.job import Callout, Choices, Job
from tapertrig.job.carried import carried_line, take_in
from tapertrig.printed.page import (
    TEMPLATES,
    Markup,
    Strong,
    as_shown,
    block,
    page,
    save_page,
    shorten,
)
from tapertrig.printed.setup_sheet import setup_sheet
from tapertrig.procedure import BLOCKS, TAPER, procedure
from tapertrig.saving import plain_file_name

SVG = '<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
PNG = b"\x89PNG\r\n\x1a\n" + bytes(20)


class Reading(HTMLParser):
    """The tags of a page in order, and the text between them that is to be read."""

    def __init__(self, text):
        super().__init__()
        self.tags, self.words, self.attributes, self.steps = [], [], [], 0
        self.unseen = ""
        self.feed(text)
        self.close()

    def handle_starttag(self, tag, attrs):
        self.unseen = tag if tag in ("script", "style") else ""
        self.tags.append(tag)
        self.attributes.append((tag, dict(attrs)))

    def handle_endtag(self, tag):
        self.unseen = ""

    def handle_data(self, data):
        if not self.unseen:
            self.words.append(data)

    @property
    def text(self):
        return " ".join("".join(self.words).split())


def _lists(sheet):
    """The numbered lists of a sheet: getting ready, a pass, proof and after."""
    return [
        [Reading(step).text for step in part.split("</ol>")[0].split("<li>")[1:]]
        for part in sheet.split("<ol>")[1:]
    ]


def _rows(sheet):
    """The rows of all tables of a sheet, each a list of texts."""
    rows = re.findall(r"<tr>(.*?)</tr>", sheet, re.DOTALL)
    return [
        [Reading(cell).text for cell in re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row, re.DOTALL)]
        for row in rows
    ]


def _values(sheet):
    return {row[0]: row[1] for row in _rows(sheet) if len(row) == 2}


def _asked(angle, *, tolerance="0°12'", internal=True, route=None, lathe=demo.FIRST_LATHE):
    """The invented job with another half angle, cone, route or lathe."""
    job = demo.job(lathe)
    callout = Callout(
        "half angle", angle, 1.418, internal=internal, angle_tolerance=tolerance,
        tolerance_on="half angle",
    )  # fmt: skip
    return dataclasses.replace(job, callout=callout, choices=Choices(route=route))


CASES = {
    f"{name.split()[0]} {angle} {'internal' if internal else 'external'} {route}": _asked(
        angle, internal=internal, route=route, lathe=name
    )
    for name in demo.LATHES
    for internal in (True, False)
    for angle, route in (("20°43'", None), ("66°55'", None), ("66°55'", "cross travel"))
}
# A print and a lathe of which hardly anything is known.
BARE = Job(
    Callout("included angle", "53°50'"),
    Lathe("in", None, Dial(0.001, 0.1), Dial(0.001, 0.1), None),
    Choices(compound_travel=2.5),
)


def test_the_sheet_says_the_numbers_of_the_plan():
    job = demo.job()
    plan, text = job.plan(), Reading(setup_sheet(job, SVG)).text
    for name, value in plan.rows():
        assert name in text
        assert " ".join(value.split()) in text
    assert plan.travel_words in text
    assert "41°26′" in text
    assert "1.4180 in +0.0030 / −0.0000" in text
    assert "± 0°12′ on the included angle" in text
    assert job.lathe.name in text
    assert job.identity in text
    for caution in (cautions.TITLE, *cautions.ALL):
        assert caution in text


@pytest.mark.parametrize("name", list(demo.LATHES))
@pytest.mark.parametrize("order", ["angle error", "sensitivity"])
def test_the_travel_chosen_stands_first_among_the_travels(name, order):
    job = dataclasses.replace(demo.job(name), choices=Choices(order=order))
    plan, sheet = job.plan(), setup_sheet(job)
    listed = [row for row in _rows(sheet) if len(row) == 4 and row[0][0].isdigit()]
    unit, places = plan.lathe.unit, 4 if plan.lathe.unit == "in" else 3
    assert listed[0][0] == f"{plan.compound_travel:.{places}f} {unit}, chosen"
    assert not any("chosen" in row[0] for row in listed[1:])
    assert len(listed) == 5
    for travel, reading, left, line in listed:
        s, read = float(travel.split()[0]), float(reading.split()[0])
        per_line = plan.lathe.cross_dial.movement_per_graduation
        assert read / plan.lathe.cross_dial.graduation == pytest.approx(
            round(read / plan.lathe.cross_dial.graduation)
        )
        angle = math.asin(plan.lathe.cross_dial.movement(read) / s)
        off = abs(math.degrees(angle) - (20 + 43 / 60)) * 3600
        assert float(left.rstrip("″")) == pytest.approx(off, abs=0.051)
        worth = math.degrees(per_line / (s * math.cos(math.radians(20 + 43 / 60)))) * 3600
        assert float(line.rstrip("″")) == pytest.approx(worth, abs=0.51)


@pytest.mark.parametrize("job", CASES.values(), ids=CASES)
def test_the_steps_are_those_of_the_procedure(job):
    made = procedure(job.plan())
    sheet = setup_sheet(job)
    prepare, cycle, ending = _lists(sheet)
    for steps, printed in (
        (made.of("prepare"), prepare),
        (made.of("pass"), cycle),
        ((made.step("tighten"), *made.of("finish")), ending[:-1]),
    ):
        assert len(printed) == len(steps)
        for step, words in zip(steps, printed, strict=True):
            assert words.startswith(step.words)
    assert "repeat from" not in Reading(sheet).text
    ids = [step.id for step in made.of("pass")]
    # Swinging and cranking back come only after the tip is clear, and each says so.
    assert ids.index("back-off") == ids.index("swing") - 1 == len(ids) - 2
    never = "Never crank the compound towards a surface that the tip is touching."
    assert never in prepare[-1]
    assert never in cycle[0]
    assert never in cycle[ids.index("back-off")]
    assert cautions.MACHINE[0] in prepare[0]


@pytest.mark.parametrize("job", CASES.values(), ids=CASES)
def test_the_formula_of_the_reading_step_gives_the_half_angle(job):
    # Keyed in as it stands, brackets and all, what must be read gives the half angle.
    plan = job.plan()
    (step,) = [words for words in _lists(setup_sheet(job))[1] if words.startswith("Read the")]
    name, formula = re.search(r"inverse (sine|cosine) of (.+\)) ?\.", step).groups()
    told = plan.cross_reading if name == "sine" else plan.axial_travel
    formula = re.sub(r"reading|\(stack \+ needle\)", repr(told), formula.replace("mm", ""))
    value = eval(formula.replace("÷", "/").replace("×", "*").replace("in", ""))
    angle = math.degrees({"sine": math.asin, "cosine": math.acos}[name](value))
    assert angle == pytest.approx(plan.half_angle.degrees, abs=1e-9)


@pytest.mark.parametrize("route", [BLOCKS, TAPER])
def test_where_the_dials_will_not_do_the_steps_of_that_route_are_printed(route):
    first = demo.job()
    job = dataclasses.replace(first, choices=dataclasses.replace(first.choices, route=route))
    made, sheet = procedure(job.plan()), setup_sheet(job)
    prepare, cycle, _ = _lists(sheet)
    for steps, printed in ((made.of("prepare"), prepare), (made.of("pass"), cycle)):
        assert len(printed) == len(steps)
        for step, words in zip(steps, printed, strict=True):
            assert words.startswith(step.words)
    head = next(row for row in _rows(sheet) if row[0] == "Pass")
    if route == BLOCKS:
        assert head[1:3] == ["Stack", "Cross dial"]
        stack, blocks = _values(sheet)["Gauge block stack"].split(": ")
        assert float(stack.split()[0]) == job.plan().compound_travel
        assert sum(map(float, blocks.split(" + "))) == pytest.approx(job.plan().compound_travel)
        assert "until the slide meets the bare stop" in " ".join(cycle)
        # A pass is kept and judged by the stack's height, whatever the compound's dial shows.
        plan = job.plan()
        done = job.with_pass(plan.compound_travel, plan.cross_reading, bolts="tight")
        assert proves(done, done.passes[-1])
        assert done.passes[-1].half_angle.degrees == pytest.approx(plan.half_angle.degrees)
        assert take_in(job, carried_line(done)).passes[-1].aim.route == BLOCKS
    else:
        # No box takes a sweep: the sheet is paper alone, and lesson 10 works it out.
        assert head[2] == "Needle, let out"
        assert 'id="facts"' not in sheet
        assert "take readings" not in sheet
        assert "half round" in " ".join(cycle)
        with pytest.raises(ValueError, match="lesson 10"):
            job.with_pass(2.0, 1.0)


@pytest.mark.parametrize("job", CASES.values(), ids=CASES)
def test_past_45_degrees_the_axial_procedure_is_printed(job):
    plan, sheet = job.plan(), setup_sheet(job)
    text, values = " ".join(_lists(sheet)[1]), _values(sheet)
    axial = plan.half_angle.degrees > 45 and job.choices.route is None
    assert ("inverse cosine" in text) == axial
    assert ("inverse sine" in text) != axial
    assert ("Gauge block stack" in values) == axial
    head = next(row for row in _rows(sheet) if row[0] == "Pass")
    assert head[2] == ("Stack + needle" if axial else "Cross dial")
    if axial:
        height, blocks = values["Gauge block stack"].split(": ")
        stack = float(height.split()[0])
        assert sum(map(float, blocks.split(" + "))) == pytest.approx(stack)
        needle = float(values["Needle at the half angle"].split()[0].replace("−", "-"))
        assert {"Needle, in tolerance between", "Needle, proven between"} <= values.keys()
        want = plan.compound_travel * math.cos(plan.half_angle.radians)
        assert stack + needle == pytest.approx(want, abs=0.51e-3)


def test_the_window_that_proves_lies_inside_the_one_in_tolerance():
    # Every end as printed is put back: inside, then one place further out.
    for job in CASES.values():
        plan, values = job.plan(), _values(setup_sheet(job))
        alpha, tolerance = (
            mpmath.radians(x.degrees) for x in (plan.half_angle, plan.half_angle_tolerance)
        )
        cross = plan.route == "cross travel"
        s = mpmath.mpf(plan.compound_travel) * (plan.lathe.cross_dial.factor if cross else 1)
        angle = mpmath.asin if cross else mpmath.acos
        for name, allowed in (
            ("In tolerance between", tolerance),
            ("Proven between", written_out(plan)),
        ):
            ends = re.fullmatch(r"([\d.]+) and ([\d.]+) (?:in|mm)", values[name])
            for printed, out in zip(ends.groups(), (-1, 1), strict=True):
                place = mpmath.mpf(10) ** -len(printed.partition(".")[2])
                assert abs(angle(mpmath.mpf(printed) / s) - alpha) <= allowed
                assert abs(angle((mpmath.mpf(printed) + out * place) / s) - alpha) > allowed
        assert written_out(plan) < tolerance


def test_says_that_no_reading_proves_a_tolerance_that_is_too_narrow():
    job = _asked("20°43'", tolerance="0°0'20″")
    assert written_out(job.plan()) < 0
    sheet = setup_sheet(job)
    assert _values(sheet)["Proven between"].startswith("none")
    assert "no reading can prove this tolerance" in Reading(sheet).text
    assert RESTS_ON not in Reading(sheet).text
    assert RESTS_ON in Reading(setup_sheet(demo.job())).text


def test_an_assumed_tolerance_proves_nothing():
    job = _asked("20°43'", tolerance=None)
    sheet = setup_sheet(job)
    values = _values(sheet)
    assert values["Proven between"] == "nothing to prove: no tolerance on the print"
    assert values["In tolerance between"].endswith("(assumed)")
    assert values["Angle tolerance"] == "not given"
    assert "proven between" not in Reading(sheet).text
    (assumption,) = job.plan().assumptions
    assert f"Assumed. {assumption}" in Reading(sheet).text


def test_a_standard_taper_without_tolerance_has_none():
    # The general tolerances are not made for them; a Morse taper 9 minutes out passed by those.
    sheet = setup_sheet(
        dataclasses.replace(demo.job(), callout=Callout("standard taper", "Morse 3"))
    )
    values = _values(sheet)
    assert "tolerance not given" in values["Half angle"]
    assert {"In tolerance between", "Proven between"}.isdisjoint(values)
    assert "Not given. The print gives no angle tolerance" in Reading(sheet).text
    # What the table of Morse shanks and sockets allows is told, and is nobody's limit here.
    assert "allows 0.002 in per foot" in Reading(sheet).text
    assert "from memory: check the standard" in values["By its name"]


def test_a_base_whose_zero_is_square_is_set_to_the_rest_of_90_and_named_so():
    square = demo.job("Old Grey (invented): inch, base zero square to the bed")
    prepare, _, _ = _lists(setup_sheet(square))
    assert "stands off parallel to the bed by 20°43′ clockwise" in prepare[2]
    assert "the base reads about 69°17′" in prepare[2]  # 90° less 20°43′
    assert "base at 0°" not in prepare[2]
    assert "90°" not in prepare[2]
    assert _values(setup_sheet(square))["Base reading, by eye"].startswith("69°17′")
    prepare, _, _ = _lists(setup_sheet(demo.job()))
    assert "base at 0°, and swing 20°43′ clockwise" in prepare[2]
    assert "the base reads about 20°43′" in prepare[2]


def test_what_nobody_gave_is_not_given():
    sheet = setup_sheet(BARE)
    text, values = Reading(sheet).text, _values(sheet)
    for name in ("Angle tolerance", "Face diameter, sharp", "Cone length"):
        assert values[name] == "not given"
    assert text.count("backlash not given") >= 2
    assert "Base: zero not given, radius not given" in text
    assert "Usable compound travel: not given" in text
    assert "name not given" in text
    assert "which zero" in values["Base reading, by eye"]
    assert "how far the compound goes is not given" in text
    assert "Travels to choose from" not in text
    assert "None" not in text
    assert "Bench Four" not in text


def test_backlash_is_said_as_the_dial_shows_it():
    text = Reading(setup_sheet(demo.job())).text
    assert "backlash .006 on the dial" in text
    # .009 of slide movement on a dial that reads diameter.
    assert "backlash .018 on the dial" in text


def test_numbers_are_as_a_machinist_reads_them():
    for job in (*CASES.values(), BARE):
        text = Reading(setup_sheet(job)).text
        assert not re.search(r"[-−]0?\.0+ ", text.replace("/ −0.0000", ""))
        assert "00.0″" not in text
        assert "graduations +" not in text
        turns = job.plan().compound_reading / job.lathe.compound_dial.per_turn
        assert f"Crank the compound {turns:.0f} turns, towards" in text


def test_what_comes_from_an_older_file_is_marked():
    older = Reading(setup_sheet(dataclasses.replace(demo.job(), older=True))).text
    assert "From an older file, check." in older
    assert "older file" not in Reading(setup_sheet(demo.job())).text


def test_sizes_in_the_last_step_follow_the_cone():
    # 0.001 in of face diameter: half of it across, half of it over tan 20°43′ along.
    step = _lists(setup_sheet(demo.job()))[2][-1]
    assert "move the cross slide .001 on its dial" in step  # reads diameter
    assert "the carriage 0.0013 in" in step  # 0.0005 / 0.37818
    assert "feeding the compound only follows the cone" in step


def _boxes(sheet):
    table = sheet.split('<table class="boxes" id="passes">')[1].split("</table>")[0]
    return _rows(table)[1:]


def test_blank_boxes_for_every_pass_and_the_proof():
    rows = _boxes(setup_sheet(demo.job(), passes=4))
    assert [row[0] for row in rows] == ["1", "2", "3", "4", "Proof, bolts tight"]
    assert all(row[1:] == [""] * 7 for row in rows)
    for passes in (0, 13, 2.5, "4"):
        with pytest.raises(ValueError, match="passes is"):
            setup_sheet(demo.job(), passes=passes)


def test_a_last_pass_with_the_bolts_tight_stands_in_the_row_of_the_proof():
    job = demo.job().with_pass(3.2, cross_reading=2.25)
    *before, proof = _boxes(setup_sheet(job.with_pass(3.2, cross_reading=2.264, bolts="tight")))
    assert [row[1] for row in before] == ["3.2000 in", *[""] * (len(before) - 1)]
    assert proof[:3] == ["Proof, bolts tight", "3.2000 in", "2.2640 in"]
    eased = job.with_pass(3.2, 2.264, bolts="tight").with_pass(3.2, 2.264)
    assert _boxes(setup_sheet(eased))[-1][1] == ""


def test_the_row_of_the_proof_holds_what_proves_and_nothing_else():
    job = demo.job().with_pass(3.2, cross_reading=2.25)
    failed = job.with_pass(3.2, cross_reading=2.251, bolts="tight")
    *before, proof = _boxes(setup_sheet(failed))
    assert [(row[0], row[2]) for row in before][:2] == [("1", "2.2500 in"), ("2", "2.2510 in")]
    assert before[1][6] == "tight"
    assert proof == ["Proof, bolts tight", *[""] * 7]
    # Nothing is proven where the print gives no tolerance, whoever tightens what.
    bare = dataclasses.replace(
        job, callout=dataclasses.replace(job.callout, angle_tolerance=None)
    ).with_pass(3.2, cross_reading=2.264, bolts="tight")
    sheet = setup_sheet(bare)
    assert _boxes(sheet)[-1][:3] == ["Last, bolts tight", "3.2000 in", "2.2640 in"]
    assert "No tolerance on the print: nothing is proven." in Reading(sheet).text
    turned = dataclasses.replace(bare, callout=dataclasses.replace(bare.callout, internal=False))
    assert _boxes(setup_sheet(turned))[-1] == ["Last, bolts tight", *[""] * 7]


def test_passes_already_taken_stand_in_their_rows():
    job = demo.job()
    first = job.with_pass(3.2, cross_reading=2.25)
    job = first.strike(first.passes[0].identity).with_pass(3.2, cross_reading=2.26)
    sheet = setup_sheet(job, passes=3)
    rows = _boxes(sheet)
    assert len(rows) == 4
    # By hand: asin(2.26 / 6.4) is 20°40′43″, 2′17″ short; 2.125 in of it in radians is .0014.
    told = "1|3.2000 in|2.2600 in|20°40′43″|further 2′17″|further .0014 in|eased|"
    assert rows[0] == told.split("|")
    assert rows[1] == ["2", *[""] * 7]
    assert "2.2500 in" not in [row[2] for row in rows]
    assert "Slide set to" not in Reading(sheet).text


def test_says_what_the_slide_is_proven_to_be_set_to():
    job = demo.job().with_pass(3.2, cross_reading=2.2645, bolts="tight")
    # By hand: asin(2.2645 / 6.4) is 20°43′18″.
    told = "Slide set to 20°43′18″, proven within ± 0°06′ of 20°43′ by the last pass, bolts tight."
    assert told in Reading(setup_sheet(job)).text
    eased = job.with_pass(3.2, cross_reading=2.2645)
    assert "Slide set to" not in Reading(setup_sheet(eased)).text
    wide = job.with_pass(3.2, cross_reading=2.2740, bolts="tight")  # in tolerance, not proven
    text = Reading(setup_sheet(wide)).text
    assert "Slide set to" not in text
    assert "The last pass, bolts tight, does not prove it" in text
    changed = dataclasses.replace(job, callout=dataclasses.replace(job.callout, value="41°46'"))
    text = Reading(setup_sheet(changed)).text
    assert "Slide set to" not in text
    assert "(aim was 20°43′)" in text


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
    kinds = [
        attributes.get("type", "runs") for tag, attributes in seen.attributes if tag == "script"
    ]
    assert kinds == ["application/json", "runs"]
    for _, attributes in seen.attributes:
        assert not [name for name in attributes if name.startswith("on")]
        assert attributes.get("src", "data:image/").startswith("data:image/")
    policy = [a for tag, a in seen.attributes if a.get("http-equiv") == "Content-Security-Policy"]
    assert policy[0]["content"].startswith("default-src 'none'")
    code = sheet.split("<script>")[1].split("</script>")[0]
    assert text not in code
    digest = base64.b64encode(hashlib.sha256(code.encode()).digest()).decode()
    assert policy[0]["content"].endswith(f"script-src 'sha256-{digest}'")
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


def test_every_page_stands_on_the_one_policy():
    for path in TEMPLATES.glob("*.html"):
        if path.name not in ("base.html", "blocks.html"):
            first = path.read_text(encoding="utf-8").partition("{% extends ")[2]
            assert re.match(r'"(base|paper)\.html" %}', first), path.name


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
    assert plain_file_name("seat ring", ".html") == "seat ring.html"
    assert plain_file_name("seat.HTML", ".html") == "seat.HTML"
    for typed in ("../seat", "a/b", "", "aux"):
        with pytest.raises(ValueError, match=r"example clutch-cup\.html"):
            plain_file_name(typed, ".html")
