"""The job sheet: what is typed is kept, what is not given stays so, and nothing else is changed."""

import dataclasses
import math
from fractions import Fraction
from pathlib import Path

import pytest
from cases import cases
from hypothesis import example, given, settings
from label_checks import assert_labels_are_clear
from random_jobs import jobs, near, patient

from tapertrig import Angle, Dial, Lathe, demo, panels
from tapertrig.job import Callout, Choices, Job
from tapertrig.job.carried import carried_line
from tapertrig.panels.job_sheet_panel import OWN_LATHE

DIALS = {
    "compound_graduation": 0.001, "compound_per_turn": 0.1, "compound_reads": "radius",
    "cross_graduation": 0.001, "cross_per_turn": 0.2, "cross_reads": "diameter",
}  # fmt: skip
UNITS = pytest.mark.parametrize("unit", ["in", "mm"])


@pytest.fixture
def panel(tmp_path):
    made = panels.job_sheet()
    made.folder = tmp_path
    return made


def press(panel, label):
    """Press a button; what the panel then says against it."""
    next(one for one in panel.presses.children if one.description == label).click()
    return panel.board.notice


def everything(panel):
    """All that a learner sees or can do at the controls."""
    traits = ("value", "text", "minimum", "maximum", "step", "unit", "options", "message")
    return {
        name: ([getattr(one, trait, None) for trait in traits], one.layout.display)
        for name, one in panel.controls.items()
    }


@UNITS
def test_nothing_touched_is_the_same_job(unit):
    # Item 9 of what was seen: +0/−0, a length of 0.64, a name lost, a dial turned, another unit.
    lathe = Lathe(
        "mm", None, Dial(0.02, 3.0, "diameter"), Dial(0.02, 4.0), base_zero=None, name="Drehbank 7"
    )
    asked = Callout("included angle", "47 18", 36.05, "mm", angle_tolerance=None)
    other = Callout("half angle", "60.00", 40.0, "mm", name="relief")
    job = Job(
        (asked, other), lathe, Choices(compound_travel=12.0, shorter_side=9.5, general_class="f"),
        title="Sitz", serial="4", made_by="ich", date="gestern",
    ).with_pass(12.0, 4.8)  # fmt: skip
    made = panels.job_sheet(unit=unit)
    made.take(job)
    assert made.current() == job
    assert made.current().file_text().count('"47 18"') == 1
    shown = made.controls
    assert (shown["print_unit"].value, shown["face_diameter"].unit) == ("mm", "mm")
    assert (shown["face_diameter"].value, shown["diameter_plus"].value) == (36.05, None)
    assert (shown["length"].value, shown["angle_tolerance"].value) == (None, None)
    assert (shown["lathe_name"].value, shown["compound_reads"].value) == ("Drehbank 7", "diameter")


def test_a_change_at_one_control_changes_that_alone(panel):
    job = dataclasses.replace(demo.job(), callouts=(demo.callout(), demo.plug_callout()))
    panel.take(job)
    panel.controls["face_diameter"].enter("36 mm")
    now = panel.current()
    in_36_mm = float(36 / Fraction("25.4"))  # 1 in is 25.4 mm exactly (ISO 80000-3)
    first = dataclasses.replace(job.callout, face_diameter=in_36_mm)
    assert now == dataclasses.replace(job, callouts=(first, demo.plug_callout()))
    panel.controls["face_diameter"].value = 1.418
    assert panel.current() == job


@UNITS
def test_a_metric_print_is_entered_whatever_the_panels_unit(unit):
    made = panels.job_sheet(unit=unit)
    made.take(Job())
    made.controls["print_unit"].value = "mm"
    made.set(kind="included angle", included_angle="52 40", face_diameter="36")
    assert made.current().callout == Callout("included angle", "52°40′", 36.0, "mm")


def test_another_unit_keeps_the_size_and_back_again_is_the_same_job(panel):
    job = panel.current()
    panel.controls["print_unit"].value = "mm"
    assert panel.current().callout.face_diameter == pytest.approx(1.418 * 25.4)
    assert panel.current().callout.unit == "mm"
    panel.controls["print_unit"].value = "in"
    assert panel.current() == job


@pytest.mark.parametrize("kind", ["included angle", "half angle"])
def test_a_print_without_diameter_length_or_tolerance_has_a_setup(panel, kind):
    panel.take(Job(lathe=demo.job().lathe))
    assert "No setup yet" in panel.board.words["sentence"]
    assert panel.board.stale
    panel.set(**{"kind": kind, kind.replace(" ", "_"): "52 40"})
    assert panel.board.notice == ""
    assert not panel.board.stale
    assert panel.last_state.plan.cone is None
    asked = panel.current().callout
    assert (asked.face_diameter, asked.length, asked.angle_tolerance) == (None, None, None)


def test_a_half_angle_is_not_refused_for_a_length_that_does_not_fit(panel):
    panel.controls["included_angle"].value = 150.0
    assert panel.last_state.plan.half_angle == Angle.parse("75°")
    assert not panel.board.stale
    assert panel.controls["included_angle"].message == ""
    assert "comes to a point" in panel.controls["length"].message
    assert "comes to a point" in press(panel, "Save job")
    assert not list(panel.folder.iterdir())
    panel.controls["length"].enter("")
    assert panel.controls["length"].message == ""
    assert press(panel, "Save job") == ""


def test_a_lathe_of_ones_own_starts_with_nothing_and_says_what_it_wants(panel):
    panel.controls["lathe"].value = OWN_LATHE
    assert panel.current().lathe is None
    dial = panel.controls["compound_graduation"]
    assert "no lathe is given" in dial.message
    panel.controls["reach"].value = 3.25
    assert "not given" in dial.message
    assert "not given" in press(panel, "Save job")
    panel.set(**DIALS)
    assert dial.message == ""
    lathe = panel.current().lathe
    bare = Lathe("in", 3.25, Dial(0.001, 0.1), Dial(0.001, 0.2, "diameter"), base_zero=None)
    assert lathe == bare
    assert (lathe.compound_backlash, lathe.cross_backlash, lathe.base_radius) == (None, None, None)
    panel.set(lathe_name="Blue lathe", base_radius="2 1/8", compound_reads="diameter")
    named = dataclasses.replace(
        bare, name="Blue lathe", base_radius=2.125, compound_dial=Dial(0.001, 0.1, "diameter")
    )
    assert panel.current().lathe == named
    panel.controls["reach"].enter("")
    assert "how far the compound slide goes is not given" in panel.controls["reach"].message
    panel.controls["travel"].value = 2.5
    assert panel.last_state.plan.compound_travel == 2.5


def test_an_invented_lathe_and_back_keeps_what_was_described(panel):
    panel.set(lathe=OWN_LATHE, reach=3.0, **DIALS)
    described = panel.current().lathe
    panel.controls["lathe"].value = demo.METRIC_LATHE
    assert panel.current().lathe == demo.LATHES[demo.METRIC_LATHE]
    panel.controls["lathe"].value = OWN_LATHE
    assert panel.current().lathe == described


@pytest.mark.parametrize(("label", "ending"), [("Save job", "job.json"), ("Write sheet", "html")])
def test_a_refused_entry_stops_every_writing(panel, label, ending):
    panel.controls["face_diameter"].enter("1,4,1")
    assert "mend what is typed first" in press(panel, label)
    assert not list(panel.folder.iterdir())
    panel.controls["face_diameter"].enter("1.42")
    assert press(panel, label) == ""
    assert [one.name.endswith(ending) for one in panel.folder.iterdir()] == [True]


def test_the_invented_mark_stays_until_the_job_is_claimed(panel):
    panel.controls["included_angle"].enter("52 40")
    panel.controls["travel"].value = 2.5
    assert panel.current().invented
    assert press(panel, "Write sheet") == ""
    assert "Invented example" in next(panel.folder.glob("*.html")).read_text()
    identity = panel.current().identity
    assert press(panel, "This is my job now").startswith("no lathe is given")
    mine = panel.current()
    assert mine == Job(
        Callout("included angle", "52°40′"),
        choices=Choices(compound_travel=2.5),
        identity=identity,
    )
    shown = {name: one.value for name, one in panel.controls.items()}
    for name in ("face_diameter", "diameter_plus", "diameter_minus", "length", "angle_tolerance"):
        assert shown[name] is None
    assert (shown["title"], shown["notes"], shown["part"], shown["lathe"]) == ("", "", "", None)
    assert "Example" not in [name for name, *_ in panel.board.words["rows"]]


def test_an_example_shown_in_another_unit_is_still_the_example(panel):
    panel.controls["print_unit"].value = "mm"
    panel.controls["face_diameter"].value = 36.5
    press(panel, "This is my job now")
    asked = panel.current().callout
    assert asked == Callout(unit="mm", face_diameter=36.5)


def test_a_lathe_half_described_hides_neither_the_print_nor_the_claim(panel):
    panel.controls["lathe"].value = OWN_LATHE
    panel.controls["reach"].value = 3.25
    panel.controls["included_angle"].enter("52 40")
    assert panel.picture().scene.base_words.label.text == "half angle 26°20′"
    assert "not given" in panel.controls["compound_graduation"].message
    assert "not given" in press(panel, "Write sheet")
    press(panel, "This is my job now")
    assert panel.controls["reach"].value == 3.25
    assert panel.controls["face_diameter"].value is None
    panel.set(**DIALS)
    assert panel.current().callout == Callout("included angle", "52°40′")
    assert panel.current().lathe.compound_reach == 3.25


def test_one_limit_typed_over_the_example_wants_the_other(panel):
    panel.controls["diameter_plus"].value = 0.004
    press(panel, "This is my job now")
    assert panel.controls["diameter_plus"].value == 0.004
    assert panel.controls["diameter_minus"].value is None
    assert "give both" in press(panel, "Save job")


@pytest.mark.parametrize("example", [demo.MARK, demo.job().notes, demo.plug_job().notes])
def test_an_example_saved_and_loaded_is_claimed_all_the_same(panel, example):
    panel.set(included_angle="52 40", notes=f"{example} Ring gauge in drawer 3.")
    press(panel, "Save job")
    panel.set_back()
    press(panel, "Load job")
    press(panel, "This is my job now")
    mine = panel.current()
    assert (mine.callout, mine.lathe) == (Callout("included angle", "52°40′"), None)
    assert (mine.notes, mine.shop, mine.invented) == ("Ring gauge in drawer 3.", "", False)


@UNITS
def test_an_untouched_example_claimed_is_empty(unit):
    made = panels.job_sheet(unit=unit)
    identity = made.current().identity
    press(made, "This is my job now")
    assert made.current() == Job(Callout(unit=unit), identity=identity)


def test_sliders_never_ask(panel):
    for name in ("included_angle", "face_diameter", "length", "travel"):
        panel.controls[name].value = panel.controls[name].minimum + 0.5
        assert panel.board.notice == ""
    assert panel.current().invented


def test_the_route_is_chosen_and_told(panel):
    panel.controls["route"].value = "axial travel"
    assert panel.current().choices.route == "axial travel"
    assert "along the axis" in panel.board.words["sentence"]


def test_the_chosen_travel_is_in_the_list_on_the_screen(panel):
    for value in (41.5, 23.25, 88.0, 7.0):
        panel.controls["included_angle"].value = value
        plan = panel.last_state.plan
        rows = {name: told for name, told, _mark in panel.board.words["rows"]}
        assert f"{plan.compound_travel:.3f} →" in rows["Travels to choose from"]


def test_a_standard_taper_without_a_tolerance_gets_none(panel):
    panel.take(dataclasses.replace(demo.job(), callouts=(Callout("standard taper", "Morse 3"),)))
    assert panel.last_state.plan.half_angle_tolerance is None
    assert "tolerance not given" in panel.still()[1]


def test_a_taper_typed_by_its_name_is_planned_and_says_how_it_is_known(panel):
    panel.controls["kind"].value = "taper"
    panel.controls["taper"].value = "B&S 7"
    panel.controls["angle_tolerance"].value = None
    callout, plan = panel.current().callout, panel.last_state.plan
    assert (callout.kind, callout.value) == ("taper", "B&S 7")
    assert "taper B&S 7 (Brown & Sharpe 7)" in callout.words()
    # Machinery's Handbook, 19th ed., p. 1682, at second hand: .50147 in per foot.
    assert math.tan(plan.half_angle.radians) * 24 == pytest.approx(0.50147, abs=1e-9)
    assert plan.half_angle_tolerance is None
    said = panel.still()[1]
    assert "By its name" in said
    assert "read at second hand: check the handbook" in said
    panel.controls["taper"].value = "B&S 70"
    assert "Brown & Sharpe 1 to 18" in panel.board.notice
    panel.controls["taper"].value = "1:20"
    assert "By its name" not in panel.still()[1]


def test_an_older_file_is_marked_until_somebody_has_checked_it(panel):
    panel.take(dataclasses.replace(demo.job(), invented=False, older=True))
    assert "From an older file, check" in panel.still()[1]
    before = panel.current()
    press(panel, "This is my job now")
    assert panel.current() == dataclasses.replace(before, older=False)
    assert "From an older file, check" not in panel.still()[1]


def test_a_job_that_cannot_be_put_in_leaves_all_as_it_was(panel, monkeypatch):
    panel.controls["face_diameter"].enter("nonsense")
    before, job = everything(panel), panel.current()
    put = panel._put_shown

    def then_fails(shown):
        put(shown)
        raise ValueError("Base zero cannot be 'askew'")

    monkeypatch.setattr(panel, "_put_shown", then_fails)
    metric = demo.plug_job(unit="mm")
    with pytest.raises(ValueError, match="askew"):
        panel.take(metric)
    monkeypatch.undo()
    assert everything(panel) == before
    assert panel.current() == job


def test_a_save_keeps_what_another_holder_added(panel):
    press(panel, "Save job")
    path = panel.folder / "my job.job.json"
    Job.load(path).with_pass(2.5, 1.7).save(path)
    panel.controls["notes"].value = "second ring"
    assert press(panel, "Save job") == ""
    assert Job.load(path) == panel.current()
    assert (len(panel.current().passes), panel.current().notes) == (1, "second ring")
    dataclasses.replace(Job.load(path), material="brass").save(path)
    panel.controls["notes"].value = "third ring"
    assert "changed since it was read here (material)" in press(panel, "Save job")
    assert Job.load(path).notes == "second ring"


def test_the_base_that_reads_zero_square_to_the_bed_has_an_arc_of_its_own(panel):
    def words():
        scene = panel.picture().scene
        return scene.base_words.label.text, scene.square_words.label.text

    assert words() == ("base reads 20°43′", "")
    panel.controls["lathe"].value = list(demo.LATHES)[2]
    # 90° − 20°43′ = 69°17′, counted from square to the bed.
    assert words() == ("half angle 20°43′", "base reads 69°17′")
    assert "reads zero with the slide square" in panel.last_state.plan.swing
    assert "90°" not in panel.last_state.plan.swing
    panel.set(lathe=OWN_LATHE, reach=3.0, **DIALS)
    assert words() == ("half angle 20°43′", "")


@pytest.mark.parametrize("internal", [True, False])
@pytest.mark.parametrize("style", ["desk", "projector"])
def test_both_arcs_of_a_square_zero_are_named_clear_of_all_else(style, internal):
    made = panels.job_sheet(style=style, lathe=list(demo.LATHES)[2], internal=internal)
    made.controls["length"].value = None
    for degrees in (4, 12, 25, 41, 67, 90, 118, 150, 172):
        made.controls["included_angle"].value = float(degrees)
        assert_labels_are_clear(made, f"{degrees}°, internal {internal}")


def test_a_file_stands_where_the_panel_says(panel, tmp_path):
    assert press(panel, "Save job") == ""
    assert [one.name for one in Path(tmp_path).iterdir()] == ["my job.job.json"]


# ---------------------------------------------------------------- any job, in every panel

TAKERS = [
    name
    for name in panels.__all__
    if all(hasattr(getattr(panels, name), what) for what in ("take", "current"))
]


@pytest.mark.parametrize("name", TAKERS)
@UNITS
def test_any_job_taken_is_given_back_or_refused_in_words(name, unit):
    made = getattr(panels, name)(unit=unit)
    start = made.current() or demo.job(unit=unit)
    taken, told = [], []

    @given(near(start) | jobs())
    @example(start)
    @settings(patient, max_examples=cases(25, 2000))
    def check(job):
        made.take(start)
        before = everything(made)
        try:
            made.take(job)
        except ValueError as refusal:
            told.append(str(refusal))
            assert everything(made) == before
            assert made.current() == start
            return
        assert made.current() == job
        assert made.current().file_text().partition('"job"')[2]
        taken.append(job)

    check()
    assert taken, "every job was refused, the example too"
    assert all(len(words) > 20 for words in told)


def test_the_job_sheet_takes_every_job():
    assert "job_sheet" in TAKERS
    made = panels.job_sheet()

    @given(jobs())
    @settings(patient, max_examples=cases(25, 2000))
    def check(job):
        made.take(job)
        assert made.current() == job
        assert "fault" not in made.board.notice

    check()


# ---------------------------------------------------------------- readings from the phone


def test_readings_carried_from_the_phone_are_taken_into_the_job(panel, tmp_path):
    bare = demo.job()
    taken = bare.with_pass(3.2, cross_reading=2.2014).with_pass(3.2, 2.264, bolts="tight")
    panel.take(bare)
    panel.carried.value = carried_line(taken)
    assert press(panel, "Take the readings in") == ""
    assert [one.cross_reading for one in panel.current().passes] == [2.2014, 2.264]
    assert panel.board.news == "2 passes taken in. Save the job to keep them."
    assert panel.carried.value == ""

    (tmp_path / "ring readings.txt").write_text(f"Line:\r\n{carried_line(taken)}\r\n")
    panel.carried.value = "ring readings.txt"
    assert press(panel, "Take the readings in") == ""
    assert len(panel.current().passes) == 2
    assert "Nothing new" in panel.board.news

    for wrong, why in (
        (carried_line(taken)[:-1] + "x", "“x” is no digit"),
        (carried_line(demo.plug_job()), "and this is job"),
        ("gone.txt", "gone.txt cannot be read in this folder"),
        ("../ring.txt", "type the name alone"),
    ):
        panel.carried.value = wrong
        assert why in press(panel, "Take the readings in")
        assert len(panel.current().passes) == 2
        assert panel.carried.value == wrong


def test_a_sheet_that_is_written_says_how_it_gets_to_a_phone(panel, monkeypatch):
    monkeypatch.delenv("JUPYTERHUB_SERVICE_PREFIX", raising=False)
    assert press(panel, "Write sheet") == ""
    assert "send the file as your shop sends files, and open it there in the" in panel.board.news
    monkeypatch.setenv("JUPYTERHUB_SERVICE_PREFIX", "/user/ada/")
    assert press(panel, "Write sheet") == ""
    assert "open it from the list at /user/ada/tapertrig/" in panel.board.news
