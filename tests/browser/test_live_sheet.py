"""The setup sheet in a phone's browser: it says what the core says, and carries it to the job."""

from __future__ import annotations

import dataclasses
import io
import json
import math
import random
import re

import pytest
from cases import cases, sampled
from pypdf import PdfReader
from sheet_steps import (
    BOXES,
    PHONE,
    STORAGE_REFUSED,
    carried,
    come_back,
    keep_pass,
    next_words,
    open_sheet,
    sideways,
    too_small,
    type_in,
)
from tapping_as_told import TappingAsTold
from test_accessibility import axe, violations
from test_carried import random_job, told, with_passes

from tapertrig import demo
from tapertrig.budget import proven_pass
from tapertrig.job import Callout, Job
from tapertrig.job.carried import carried_line, take_in
from tapertrig.next_tap import Target, next_tap, set_now, set_to, tap_of
from tapertrig.printed.setup_sheet import setup_sheet

pytestmark = pytest.mark.browser

__all__ = ["axe"]

METRIC = list(demo.LATHES)[1]
STEEP = dataclasses.replace(
    demo.job(METRIC),
    callout=Callout("half angle", "66°55'", 62.0, "mm", internal=False, angle_tolerance="0°15'"),
)
JOBS = {"cross": demo.job(), "cross, mm": demo.plug_job(METRIC), "axial": STEEP}
FIGURES = ("half_angle", "missing", "rim", "doubt", "doubt_rim", "room")
SAID = ("standing", "asks", "turns", "now", "way", "swing", "doubted", "next", "minded")


def facts_of(job: Job, cone: int = 0) -> dict:
    sheet = setup_sheet(job, cone=cone)
    return json.loads(re.search(r'id="facts">(.*?)</script>', sheet, re.DOTALL)[1])


# ---------------------------------------------------------------- the script and the core


def said_of(rng: random.Random, reading: float, dial, unit: str) -> str:
    """A reading as one person or another would say it, or a slip of the tongue."""
    words = dial.words(reading, unit)
    if rng.random() < 0.06:
        at = rng.randrange(len(words) + 1)
        return (
            words[:at] + rng.choice("0123456789 turns,./-+é in mm") + words[at + rng.randrange(2) :]
        )
    plain = f"{reading:.{rng.choice([3, 4, 5])}f}"
    return rng.choice(
        [words, words.replace(", then", ""), words.upper(), plain, plain.replace(".", ","),
         f" {plain} {unit} ", f"{reading:.0f} {rng.randrange(1, 64)}/64"]
    )  # fmt: skip


def random_passes(count: int):
    """A job's facts and target, what is typed, and what the core reads and says of it."""
    rng = random.Random(5)
    for _ in range(count // 10):
        job = random_job(rng)
        cone = len(job.callouts) - 1
        facts, target, lathe = facts_of(job, cone), Target.of(job, cone), job.lathe
        plan, unit = job.plan(cone), lathe.unit
        cross = plan.route == "cross travel"
        for _ in range(10):
            run = plan.compound_travel * rng.choice([1, 1, 1, rng.uniform(0.2, 1.2)])
            off = rng.choice([0, 1e-4, 2e-3, 1e-2, 0.03, 0.3]) * rng.uniform(-1, 1)
            along = math.sin if cross else math.cos
            side = abs(run * along(plan.half_angle.radians + off))
            turn = rng.choice([0, 0, 0, 0, 1, -1])
            compound = lathe.compound_dial.reading(abs(run + turn * target.compound_turn))
            said = [said_of(rng, compound, lathe.compound_dial, unit)]
            if cross:
                said.append(said_of(rng, lathe.cross_dial.reading(side), lathe.cross_dial, unit))
            else:
                stack = round(side, 2)
                said += [f"{stack:.2f}", f"{side - stack:+.4f}".replace("-", rng.choice("-−"))]
            tight = rng.random() < 0.4
            try:
                read = lathe.compound_dial.read(said[0], unit)
                other = lathe.cross_dial.read(said[1], unit) if cross else float(said[1])
                if not cross:
                    other += float(said[2].replace("−", "-"))
                core = dataclasses.asdict(next_tap(target, read, other, tight)) | {
                    "read": read, "other": other
                }  # fmt: skip
            except ValueError as refused:
                core = {"refused": str(refused)}
            yield facts, said, tight, core


ASK = """([jobs, asked]) => asked.map(([job, said, tight]) => {
    const {target, words, limits, dials, read} = jobs[job], {unit} = target;
    const size = (name, text) => readDial(text, dials[name], unit, read);
    try {
        const run = size('compound', said[0]);
        const other = said.length === 2 ? size('cross', said[1])
            : size('stack', said[1]) + readNeedle(said[2], dials.needle, unit, read);
        return {...nextTap(words, limits, target, run, other, tight), read: run, other};
    } catch (error) {
        return {refused: error.message};
    }
})"""


def test_the_script_says_what_the_core_says(new_page, tmp_path):
    jobs, asked, wanted = [], [], []
    for facts, said, tight, core in random_passes(cases(400, 10_000)):
        if not jobs or jobs[-1] is not facts:
            jobs.append(facts)
        asked.append([len(jobs) - 1, said, tight])
        wanted.append(core)
    page = open_sheet(new_page(), tmp_path, setup_sheet(demo.job()))
    answers = page.evaluate(ASK, [jobs, asked])
    counts = dict.fromkeys(("refused", "asks", "proves it", "no rim"), 0)
    for (_, said, _), core, script in zip(asked, wanted, answers, strict=True):
        if "refused" in core:
            assert script == core, said
            counts["refused"] += 1
            continue
        for name in ("read", "other", *FIGURES):
            assert (core[name] is None) == (script[name] is None), (said, name)
            if core[name] is not None:
                near = math.isclose(core[name], script[name], rel_tol=1e-9, abs_tol=1e-9)
                assert near, (said, name, core[name], script[name])
        for name in SAID:
            assert json.loads(json.dumps(core[name])) == script[name], (said, name)
        counts["asks"] += core["asks"]
        counts["proves it"] += core["standing"] == "proves it"
        counts["no rim"] += core["rim"] is None
    assert min(counts.values()) > len(asked) / 100, counts


def test_the_script_writes_the_line_that_the_core_reads(new_page, tmp_path):
    rng = random.Random(6)
    for _ in range(cases(3, 40)):
        bare = random_job(rng)
        taken = [with_passes(rng, bare) for _ in range(100)]
        # Fields of the line are as the page keeps them; of a line that the core wrote.
        kept = [
            [
                {
                    "minute": one.minute,
                    "compound": one.compound,
                    "reading": one.reading,
                    "tight": one.tight,
                    "struck": one.struck,
                }
                for one in fields_of(job)
            ]
            for job in taken
        ]
        page = open_sheet(new_page(), tmp_path, setup_sheet(bare))
        lines = page.evaluate("all => all.map(one => { passes = one; return line(); })", kept)
        for job, line in zip(taken, lines, strict=True):
            if job.passes:
                assert line == carried_line(job)
            assert told(take_in(bare, line)) == told(job)


def fields_of(job: Job):
    from tapertrig.job.carried import _taken_of

    return [fields for fields, _ in _taken_of(job, 0)]


# ---------------------------------------------------------------- as a person would


@pytest.mark.parametrize("kept", [True, False], ids=["storage", "storage refused"])
@pytest.mark.parametrize("name", list(JOBS))
def test_passes_from_the_bench_tapped_as_told_are_proven_and_go_into_the_job(
    new_page, tmp_path, name, kept
):
    job, page = JOBS[name], new_page()
    if not kept:
        page.add_init_script(STORAGE_REFUSED)
    open_sheet(page, tmp_path, setup_sheet(job))
    assert not sideways(page)
    hand = TappingAsTold(job, lambda said, tight: keep_pass(page, said, tight), seed=4)
    assert hand.work().proven
    assert 3 <= len(hand.bench.passes) <= 5
    assert hand.bench.state.overruns == 0

    proven = page.locator("#proven").inner_text()
    done = take_in(job, carried(page))
    assert proven == set_to(done)
    assert proven_pass(done) == done.passes[-1]
    assert [one.bolts for one in done.passes][-2:] == ["eased", "tight"]
    assert len(done.passes) == len(hand.bench.passes)
    rows = page.locator("#passes tbody tr:not(.paper):not(.entry)")
    for one, shown in zip(done.passes, rows.all(), strict=True):
        assert tap_of(done, one).now in shown.inner_text()
    assert take_in(done, carried(page)) == done
    assert not sideways(page)
    assert too_small(page) == []

    words = page.locator("#kept").inner_text()
    assert ("stays in this browser" in words) == kept
    assert ("keeps nothing" in words) != kept
    page.on("dialog", lambda dialog: dialog.accept())
    come_back(page)
    assert page.locator("#proven").inner_text() == (proven if kept else "")


def test_what_the_browser_will_not_write_stays_on_the_page(new_page, tmp_path):
    job, page = demo.job(), new_page()
    open_sheet(page, tmp_path, setup_sheet(job))
    keep_pass(page, ["32 turns", "11 turns .001"])
    # Reads as ever and refuses to write: what a full storage does.
    page.evaluate("() => { Storage.prototype.setItem = () => { throw new Error('full'); }; }")
    keep_pass(page, ["32 turns", "11 turns .051"])
    keep_pass(page, ["32 turns", "11 turns .061"])
    assert len(take_in(job, carried(page)).passes) == 3
    assert "keeps nothing" in page.locator("#kept").inner_text()
    page.get_by_role("button", name="Strike out the last pass").click()
    page.evaluate("dispatchEvent(new Event('storage'))")
    assert [one.struck for one in take_in(job, carried(page)).passes] == [False, False, True]


def test_nothing_to_swing_stands_under_leave_it(new_page, tmp_path):
    page = open_sheet(new_page(), tmp_path, setup_sheet(demo.job()))
    type_in(page, ["32 turns", "2.264"])
    assert "Before you swing" in page.locator("#told").inner_text()
    assert "typical figures" in page.locator("#told").inner_text()
    type_in(page, ["32 turns", "2.264"], tight=True)
    assert next_words(page) == "Proven: leave it."
    assert "Before you swing" not in page.locator("#told").inner_text()


def test_a_mistyped_pass_is_struck_and_not_erased(new_page, tmp_path):
    job, page = demo.job(), new_page()
    open_sheet(page, tmp_path, setup_sheet(job))
    keep_pass(page, ["32 turns", "11 turns .001"])
    first = next_words(page)
    type_in(page, ["32 turns", "10 turns .064"])
    # One cross turn: asin(2.064 / 6.4) is 18°48′51″, and 11 turns .064 is what was wanted.
    assert "Was a turn lost, one cross turn more than counted?" in next_words(page)
    keep_pass(page, ["32 turns", "10 turns .064"])
    page.get_by_role("button", name="Strike out the last pass").click()
    assert next_words(page) == first
    assert "struck out" in page.locator("#passes").inner_text()
    assert [one.struck for one in take_in(job, carried(page)).passes] == [False, True]
    page.get_by_role("button", name="Strike out the last pass").click()
    assert page.locator("#told").is_hidden()
    assert not page.get_by_role("button", name="Strike out the last pass").is_visible()


def test_what_makes_no_pass_says_so_and_cannot_be_kept(new_page, tmp_path):
    page = open_sheet(new_page(), tmp_path, setup_sheet(demo.job()))
    keep = page.get_by_role("button", name="Keep pass")
    for said, words in (
        (["32 turns", ""], "Type what the Cross dial shows, too."),
        (["32 trns", "11 turns .051"], "“32 trns” is no dial reading"),
        (["32 turns .12", "11 turns .051"], "has a turn or more beside the turns counted"),
        (["32 turns", "46.9 mm"], "is not in inches"),
        (
            ["32", "11 turns .051"],
            "32.0000 in; this slide reaches 3.2500 in; did you mean 32 turns?",
        ),
        (["3.2501", "11 turns .051"], "3.2501 in; this slide reaches 3.2500 in"),
        (["11 turns", "32 turns"], "it must be the shorter of the two"),
    ):
        type_in(page, said)
        assert words in page.locator("#wrong").inner_text()
        assert keep.is_disabled()
        assert page.locator("#told").is_hidden()
        assert not sideways(page)


def test_chips_save_the_keys_that_a_number_pad_has_not(new_page, tmp_path):
    page = open_sheet(new_page(), tmp_path, setup_sheet(STEEP))
    names = "Compound dial", "Needle, + a larger gap"
    compound, needle = (page.get_by_label(name, exact=True) for name in names)
    compound.press_sequentially("27")
    page.get_by_role("button", name="turns", exact=True).click()
    page.keyboard.type("1.5")
    assert compound.input_value() == "27 turns 1.5"
    needle.press_sequentially(".012")
    sign = page.get_by_role("button", name="+ / −")
    sign.click()
    assert needle.input_value() == "−.012"
    page.get_by_label("Stack").fill("32.2")
    page.keyboard.press("Enter")
    (one,) = take_in(STEEP, carried(page)).passes
    assert (one.compound_reading, one.axial_reading) == (82.5, 32.188)
    page.get_by_role("button", name="82.5 again").click()
    page.get_by_role("button", name="32.2 again").click()
    assert compound.input_value() == "82.5"
    assert page.get_by_label("Stack").input_value() == "32.2"


def test_the_line_goes_along_by_copying_and_as_a_small_file(new_page, tmp_path):
    job, page = demo.job(), new_page()
    open_sheet(page, tmp_path, setup_sheet(job))
    keep_pass(page, ["32 turns", "11 turns .001"])
    with page.expect_download() as started:
        page.get_by_role("link", name="Save as a small file").click()
    text = started.value.path().read_text(encoding="utf-8")
    assert started.value.suggested_filename.endswith(" readings.txt")
    assert take_in(job, text) == take_in(job, carried(page)) != job
    page.get_by_role("button", name="Copy the line").click()
    assert page.locator("#copied").inner_text() == "Copied."
    box = page.get_by_label("Compound dial")
    box.focus()
    page.keyboard.press("Control+V")
    assert box.input_value() == carried(page)


def test_a_sheet_written_after_passes_goes_on_from_them(new_page, tmp_path):
    job = demo.job().with_pass(3.2, cross_reading=2.2014)
    page = open_sheet(new_page(), tmp_path, setup_sheet(job))
    assert next_words(page) == tap_of(job, job.passes[0]).next
    keep_pass(page, ["32 turns", "11 turns .051"])
    done = take_in(job, carried(page))
    assert [one.cross_reading for one in done.passes] == [2.2014, 2.251]
    # Printed anew with both in the job: row by row what the page showed.
    shown = page.evaluate(
        "[...document.querySelectorAll('#passes tbody tr:not(.entry)')].slice(0, 2)"
        ".map(row => [...row.cells].map(cell => cell.textContent))"
    )
    again = setup_sheet(done).split('id="passes">')[1].split("<tbody>")[1].split("</tr>")
    assert [re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row) for row in again[:2]] == shown


def test_what_was_proven_before_the_sheet_was_written_stands_again_when_a_pass_is_struck(
    new_page, tmp_path
):
    job = demo.job().with_pass(3.2, cross_reading=2.2645, bolts="tight")
    page = open_sheet(new_page(), tmp_path, setup_sheet(job))
    proven = page.locator("#proven")
    assert proven.inner_text() == set_to(job)
    keep_pass(page, ["32 turns", "11 turns .001"])
    assert proven.inner_text() == ""
    page.get_by_role("button", name="Strike out the last pass").click()
    assert proven.inner_text() == set_to(job) == set_to(take_in(job, carried(page)))


NOTHING = dataclasses.replace(demo.callout(), angle_tolerance=None)


@pytest.mark.parametrize("asked", [demo.callout(), NOTHING], ids=["tolerance", "none"])
def test_the_rows_are_named_on_the_page_as_on_paper(new_page, tmp_path, asked):
    job = dataclasses.replace(demo.job(), callout=asked)
    page = open_sheet(new_page(), tmp_path, setup_sheet(job))
    for cross, tight in (("11 turns .001", False), ("11 turns .041", True), ("2.264", True)):
        keep_pass(page, ["32 turns", cross], tight)
        done = take_in(job, carried(page))
        rows = page.evaluate(
            "[...document.querySelectorAll('#passes tbody tr:not(.entry)')]"
            ".map(row => [...row.cells].map(cell => cell.textContent))"
        )
        again = setup_sheet(done).split('id="passes">')[1].split("<tbody>")[1].split("</table>")[0]
        paper = [re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row) for row in again.split("</tr>")[:-1]]
        # The row typed into stands for the first blank one.
        assert [row for row in rows if any(row[1:])] == [row for row in paper if any(row[1:])]
        assert rows[-1][0] == paper[-1][0]
        proven = re.search(r'id="proven">(.*?)</p>', setup_sheet(done))[1]
        assert page.locator("#proven").inner_text() == re.sub("<.*?>", "", proven)


@pytest.mark.parametrize("name", list(JOBS))
def test_what_to_do_next_is_in_sight(new_page, tmp_path, name):
    """On opening, while typing over a phone's keys, after keeping, and when the page comes back."""
    job, page = JOBS[name], new_page()
    open_sheet(page, tmp_path, setup_sheet(job))
    plan, shown = job.plan(), "#do"

    def in_sight(*parts):
        for part in parts:
            box = page.locator(part).bounding_box()
            assert box["y"] >= 0, part
            assert box["y"] + box["height"] <= page.viewport_size["height"], part

    assert next_words(page) == set_now(plan)
    in_sight(shown, "#compound", "#keep")
    said = [job.lathe.compound_dial.words(plan.compound_reading, job.lathe.unit)]
    if plan.route == "cross travel":
        said.append(f"{plan.cross_reading * 0.988:.4f}")
    else:
        said += [f"{plan.axial_travel * 1.012:.2f}", "0"]
    # A phone's keys take about two fifths of it.
    page.set_viewport_size({"width": 390, "height": 640})
    for label, text in zip(BOXES[len(said)], said, strict=True):
        page.get_by_label(label, exact=True).focus()
        page.keyboard.type(text)
        in_sight(shown, ":focus")
    assert "Swing" in next_words(page)
    page.set_viewport_size(PHONE)
    page.keyboard.press("Enter")
    in_sight(shown, "#before", "#now", "#swing", "#strike")
    told = next_words(page)
    come_back(page)
    assert next_words(page) == told
    in_sight(shown)
    page.mouse.wheel(0, 20_000)
    page.wait_for_timeout(200)
    in_sight(shown)


def test_another_print_or_another_cone_starts_empty(new_page, tmp_path):
    job, page = demo.job(), new_page()
    open_sheet(page, tmp_path, setup_sheet(job))
    keep_pass(page, ["32 turns", "11 turns .001"])
    asked = dataclasses.replace(job.callout, angle_tolerance="0°20'")
    two = dataclasses.replace(job, callouts=(job.callout, job.callout))
    for other in (setup_sheet(dataclasses.replace(job, callout=asked)), setup_sheet(two, cone=1)):
        open_sheet(page, tmp_path, other)
        assert page.locator("#carry").is_hidden()
        # What was taken before the print was mended is not out of reach.
        line = page.locator("#earlier").inner_text()
        assert take_in(job, line).passes[0].cross_reading == 2.201
        assert not sideways(page)
    open_sheet(page, tmp_path, setup_sheet(job))
    assert page.locator("#carry").is_visible()
    assert page.locator("#earlier").is_hidden()
    open_sheet(page, tmp_path, setup_sheet(demo.job()))
    assert page.locator("#earlier").is_hidden(), "another job's"


def test_a_slow_clock_puts_no_pass_before_those_of_the_sheet(new_page, tmp_path):
    job = demo.job().with_pass(3.2, cross_reading=2.2645, bolts="tight", time="2099-01-01T10:00:00")
    page = open_sheet(new_page(), tmp_path, setup_sheet(job))
    keep_pass(page, ["32 turns", "11 turns .001"])
    done = take_in(job, carried(page))
    assert [one.bolts for one in done.standing()] == ["tight", "eased"]
    assert set_to(done) == "", "the slide was moved since it was proven"


def test_the_list_of_lessons_brings_it_to_the_phone(kit, new_page):
    job = demo.job()
    (kit.folder / "seat & ring setup sheet.html").write_text(setup_sheet(job), encoding="utf-8")
    page = new_page(**PHONE)
    page.goto(kit.address("/tapertrig/"))
    with page.expect_download() as saved:
        page.get_by_role("link", name="save", exact=True).click()
    assert saved.value.path().read_text(encoding="utf-8") == setup_sheet(job)
    page.get_by_role("link", name="seat & ring setup sheet.html").click()
    keep_pass(page, ["32 turns", "11 turns .001"])
    come_back(page)
    assert len(take_in(job, carried(page)).passes) == 1


def test_no_other_script_runs_in_a_file_of_that_name(kit, chromium):
    # What is opened from the list stands in the server's own origin, where a script could do all
    # that the learner can.
    page = chromium.new_context().new_page()
    tries = "<script>document.title = 'ran'</script><img src='x' onerror='document.title = `ran`'>"
    for name, text in (
        ("forged", f"<title>forged</title>{tries}"),
        ("added", setup_sheet(demo.job()).replace("</main>", f"{tries}</main>")),
    ):
        (kit.folder / f"{name} setup sheet.html").write_text(text, encoding="utf-8")
        page.goto(kit.address(f"/tapertrig/sheet/{name}%20setup%20sheet.html"))
        page.wait_for_timeout(300)
        assert page.title() != "ran"
    assert page.get_by_role("button", name="Keep pass").is_visible()
    (kit.folder / "leads out setup sheet.html").symlink_to("/etc/hostname")
    for name in ("leads%20out%20setup%20sheet.html", "..%2Fx%20setup%20sheet.html", "x"):
        assert page.goto(kit.address(f"/tapertrig/sheet/{name}")).status == 404
    page.context.close()


# ---------------------------------------------------------------- paper, and everyone


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("passes", sampled([0, 3, 9], [0, 9]))
@pytest.mark.parametrize("name", list(JOBS))
def test_filled_in_or_not_it_prints_on_one_page(new_page, tmp_path, name, passes, paper):
    job, page = JOBS[name], new_page()
    open_sheet(page, tmp_path, setup_sheet(job, paper=paper))
    plan = job.plan()
    said = [job.lathe.compound_dial.words(plan.compound_reading, job.lathe.unit)]
    if plan.route == "cross travel":
        said.append(f"{plan.cross_reading:.4f}")
    else:
        said += [f"{plan.axial_travel:.2f}", "0"]
    for number in range(passes):
        keep_pass(page, said, tight=number == passes - 1)
    if passes == 3:
        type_in(page, said)
    page.emulate_media(media="print")
    printed = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True)))
    assert len(printed.pages) == 1
    text = " ".join(printed.pages[0].extract_text().split())
    assert ("Slide set to" in text) == (passes == 9)
    assert text.count(" tight") >= (passes > 0)
    for words in ("Keep pass", "Carried line", "Open the file", "Before you swing"):
        assert words not in text


def test_without_scripts_it_is_the_paper_and_says_so(chromium, tmp_path):
    context = chromium.new_context(java_script_enabled=False, viewport=PHONE)
    page = context.new_page()
    open_sheet(page, tmp_path, setup_sheet(demo.job()))
    assert page.get_by_text("Open the file in the browser").is_visible()
    assert page.get_by_text("Proof, bolts tight").is_visible()
    assert page.get_by_role("button").count() == 0
    assert page.get_by_role("textbox").count() == 0
    assert not sideways(page)
    context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("name", list(JOBS))
def test_everyone_can_use_it(new_page, tmp_path, axe, name, scheme):
    page = new_page(color_scheme=scheme)
    open_sheet(page, tmp_path, setup_sheet(JOBS[name]))
    assert violations(page, axe) == []
    said = ["1 turn", ".05"] if name != "axial" else ["2 turns", "2", "-.01"]
    keep_pass(page, said)
    type_in(page, [*said[:-1], "what"])
    assert violations(page, axe) == []
    assert too_small(page) == []
