"""The guided setup on the bench: from any start to proven, and what one's own hand may do."""

import random
import re
from dataclasses import replace

import pytest
from bench_starts import bench_start
from cases import sampled

from tapertrig import Angle, Dial, Lathe, panels
from tapertrig.bench import Bench, practised_hand, review
from tapertrig.bench.guided import Guided
from tapertrig.next_tap import IN_TOLERANCE, NO_TOLERANCE, OUT, PROVES
from tapertrig.panels.parts.bench_words import state_rows, step_told, verdict_told
from tapertrig.procedure import AXIAL, CROSS, TRAVEL

STARTS = range(1000)
TOLERANCE = Angle.from_dms(0, 8)
MOST_KEYS = 60


def start(seed: int, route: str = "") -> Bench:
    """One of the thousand starts; every third past 45°, by the axial travel."""
    made = bench_start(seed)
    changes = {"route": route or (CROSS if seed % 3 else AXIAL)}
    if changes["route"] == AXIAL:
        changes["half_angle"] = Angle.from_degrees(46 + made.half_angle.degrees / 2)
    return Bench.under(replace(made, half_angle_tolerance=TOLERANCE, **changes))


def by_its_words(guided: Guided) -> int:
    """Do what each step says, as a newcomer would; the keys and presses that it takes."""
    keys, typed = 0, ""
    while step := guided.step:
        said, back = "", False
        if step.action.until == TRAVEL and not typed:
            said = typed = f"{step.action.by:g}"
        if step.id == "swing" and guided.tap:
            said = f"{abs(guided.tap.missing) / 60:.1f}"
            back = guided.tap.way == "back"
            guided.do(swing=Angle.from_arc_seconds(round(60 * float(said)) * (-1 if back else 1)))
        else:
            guided.do(travel=float(typed) if step.action.until == TRAVEL else None)
        # A press; to the entry, the text, to the button again, or to the one beside it and back.
        keys += 1 + bool(said) * (len(said) + 2) + 2 * back
        assert keys < 500, "no end of it"
    return keys


@pytest.mark.parametrize("seed", sampled(STARTS, range(60)))
def test_done_by_its_words_a_setup_is_proven_from_any_start_and_nothing_is_driven_in(seed):
    bench = start(seed)
    guided = Guided(bench)
    keys = by_its_words(guided)
    assert bench.state.overruns == 0
    assert review(bench).findings == ()
    # The slide itself, which no dial shows, is in tolerance: geometry of the bench.
    assert abs(bench.truth().error) <= TOLERANCE
    if guided.tap.room is None:
        assert guided.tap.standing == IN_TOLERANCE, "what no reading can prove is not said proven"
        assert not guided.set_to
    else:
        assert guided.tap.standing == PROVES
        assert "proven within ± 0°08′" in guided.set_to
    assert keys <= MOST_KEYS


@pytest.mark.parametrize("seed", sampled(STARTS, range(30)))
def test_whatever_a_hand_has_left_the_guide_leads_out_of_it(seed):
    bench, chance = start(seed, CROSS), random.Random(f"{seed} own hand")
    guided, reach = Guided(bench), bench.conditions.reach("compound")
    for _ in range(12):
        chance.choice(
            (
                lambda: bench.turn_cross(chance.uniform(-0.3, 0.4) * reach),
                lambda: bench.turn_compound(chance.uniform(-1, 1) * reach),
                lambda: bench.swing(Angle.from_arc_seconds(chance.uniform(-2400, 2400))),
                bench.zero_all,
                bench.snug,
                bench.loosen_carriage,
                bench.read,
            )
        )()
    driven_in = bench.state.overruns
    guided.begin()
    by_its_words(guided)
    assert bench.state.overruns == driven_in
    assert guided.proven or guided.tap.room is None


@pytest.mark.parametrize("seed", sampled(STARTS, range(40)))
def test_creeping_reaches_the_null_that_a_whole_graduation_may_miss(seed):
    bench = start(seed, CROSS)
    guided = Guided(bench)
    bench.lock_carriage()
    guided.touch()
    bench.zero_indicator()
    bench.turn_cross(turns=-1)
    guided.touch()
    assert bench.indicator.value < 0
    guided.creep()
    assert bench.indicator.at_null
    assert bench.state.cross.slack == pytest.approx(bench.conditions.backlash("cross"))
    with pytest.raises(ValueError, match="touches already"):
        guided.touch()
    # However often: the next pass begins with the needle as far in as the first did.
    bench.read()
    bench.turn_cross(turns=-1)
    guided.touch()
    bench.zero_indicator()
    assert bench.state.indicator_zero > 0.3 * bench.conditions.indicator_range
    bench.turn_cross(0.2 * bench.conditions.indicator_range)
    with pytest.raises(ValueError, match="past its zero; back off a turn"):
        guided.creep()
    bench.turn_cross(-bench.conditions.indicator_range - bench.conditions.lead("cross"))
    with pytest.raises(ValueError, match="does not touch yet"):
        guided.creep()


def test_swung_the_wrong_way_the_next_pass_says_so_and_asks_again():
    guided = Guided(start(4, CROSS))
    while guided.step.id != "swing":
        guided.do(travel=guided.step.action.by if guided.step.action.until == TRAVEL else None)
    missing = guided.tap.missing
    guided.do(swing=Angle.from_arc_seconds(-missing))
    while guided.step.id != "swing":
        guided.do(travel=guided.step.action.by if guided.step.action.until == TRAVEL else None)
    assert guided.tap.standing == OUT
    assert guided.tap.missing == pytest.approx(2 * missing, rel=0.2)
    by_its_words(guided)
    assert guided.proven
    assert "correction swung the wrong way" in review(guided.bench).mistakes


# ---------------------------------------------------------------- the panel


def worked(panel) -> list[str]:
    """Go through a panel's guide by its words; what each step said."""
    told = []
    while step := panel.guided.step:
        told.append(panel.told.value)
        if step.action.until == TRAVEL:
            panel.turn_by.enter(f"{panel.bench.conditions.compound_travel:g}")
        press = panel.go
        if step.id == "swing":
            panel.swing_by.enter(f"{abs(panel.guided.tap.missing) / 60:.1f}")
            press = panel.go if panel.guided.tap.way == "further" else panel.other_way
        press.click()
        assert not panel.board.notice
    return told


@pytest.mark.parametrize(
    "asked",
    [
        {"seed": 7},
        {"unit": "mm", "seed": 5, "internal": False},
        {"half_angle": "61°20′", "seed": 2},
        {"unit": "mm", "half_angle": "57°50′", "internal": False, "seed": 9},
        {"lathe": "Old Grey (invented): inch, base zero square to the bed", "seed": 3},
    ],
)
def test_the_panel_guides_every_lathe_and_route_to_a_slide_that_is_proven(asked):
    panel = panels.indicating_bench(guide=True, **asked)
    told = worked(panel)
    assert f"<b>{PROVES}</b>" in panel.verdict.value
    assert "It proves the slide, not the part." in panel.verdict.value
    assert review(panel.bench).findings == ()
    words = " ".join(told)
    # Turns, and the length of one, in the text itself.
    lead = panel.bench.conditions.lead("compound")
    unit, places = (panel.unit, 4 if panel.unit == "in" else 3)
    assert f"one turn is {lead:.{places}f} {unit}" in words
    assert " turns" in words
    assert "<i>Why:</i>" in words
    assert panel.go.layout.display == "none"


def test_a_lathe_of_which_only_the_dials_are_known_is_guided_too():
    lathe = Lathe("mm", None, Dial(0.05, 2.0, "radius"), Dial(0.05, 5.0, "diameter"), None)
    for tolerance in (TOLERANCE, None):
        guided = Guided(Bench(lathe, Angle.parse("13°25′"), half_angle_tolerance=tolerance))
        by_its_words(guided)
        assert guided.proven is (tolerance is not None)
        assert guided.bench.state.overruns == 0
    assert guided.tap.standing == NO_TOLERANCE
    assert "no tolerance on the print" in verdict_told(guided)
    assert step_told(guided).startswith("<p><b>Not proven.</b>")


def test_the_guide_asks_for_what_the_hand_has_to_know():
    panel = panels.indicating_bench(guide=True, seed=7)
    while panel.guided.step.action.until != TRAVEL:
        assert panel.turn_by.layout.display == "none"
        panel.go.click()
    panel.go.click()
    assert "type how far" in panel.board.notice
    panel.turn_by.enter("26")
    panel.go.click()
    assert "did you mean 26 turns?" in panel.board.notice
    panel.turn_by.enter("26 turns")
    while panel.guided.step.id != "swing":
        panel.go.click()
    assert "type by how much" not in panel.board.notice
    panel.go.click()
    assert "type by how much to swing it, in minutes" in panel.board.notice
    for text in ("8′51″", "8 51", "8.85"):
        panel.swing_by.enter(text)
        assert panel.swing_by.value == pytest.approx(8.85), text
    panel.swing_by.enter("8 75")
    assert panel.swing_by.value == pytest.approx(8.85), "75 is no number of seconds"
    # The dial that the verdict comes from stands in it, and which way it is out.
    assert re.search(r"cross dial 1\.8\d+ in, .* too large", panel.verdict.value)
    panel.swing_by.enter("8 51")
    panel.other_way.click()
    while panel.guided.step.action.until != TRAVEL:
        panel.go.click()
    assert "just press" in panel.told.value


def test_alone_each_step_is_told_as_done_by_its_number_and_the_marks_stand_with_it():
    panel = panels.indicating_bench(seed=27)
    panel.hand_on.value = "the cross slide's crank"
    panel.turn_by.enter("2.5")
    panel.act(panel.hand_on.value, -1)
    said = panel.board.words["sentence"]
    assert said.startswith("Step 1. Done: turn the cross handwheel out by 2.5000 in on its dial,")
    assert "1.2500 in of slide. Witness marks: " in said  # 2.5 on a dial that reads diameter
    panel.hand_on.value = "the compound's crank"
    panel.turn_by.enter("3 turns")
    panel.act(panel.hand_on.value, -1)
    assert panel.board.words["sentence"].startswith(
        "Step 2. Done: turn the compound handwheel towards the tailstock by 0.3000 in."
    )


def test_past_45_a_hand_has_carriage_and_blocks_and_the_words_say_their_sum():
    panel = panels.indicating_bench(guide=True, half_angle="61°20′", seed=7)
    panel.turn_by.enter("26 turns")
    while panel.guided.step.action.verb != "read":
        panel.go.click()
    state, rows = panel.bench.state, {name: value for name, value, _ in panel.board.words["rows"]}
    # The gap that the face shows, by the bench's geometry: what the zero had less what it has now.
    gap = state.stack + state.indicator_zero - state.deflection
    assert float(rows["Stack and needle"].split()[0]) == pytest.approx(gap, abs=0.0004)
    panel.guide.value = False
    assert "tip and blocks" in panel.hand_on.options
    assert "the cross slide's crank" not in panel.hand_on.options
    panel.act("tip and blocks", "lift_tip")
    panel.act("tip and blocks", "take_out_blocks")
    assert not panel.bench.state.stack
    panel.act("tip and blocks", "stack_in")
    assert panel.bench.state.stack == state.stack


def test_without_the_guide_an_overrun_stops_and_the_review_tells_what_it_cost():
    panel = panels.indicating_bench(seed=7)
    assert panel.told.layout.display == "none"
    panel.turn_by.enter("3 turns")
    panel.hand_on.value = "the cross slide's crank"
    assert panel.turn_by.value is None, "so many turns of the compound are no turns of this one"
    panel.turn_by.enter("40 turns")
    panel.act("the cross slide's crank", 1)
    assert "Stopped: the tip is against the quill" in panel.board.words["sentence"]
    panel.show_truth()
    costs = [value for name, value, _ in panel.board.words["rows"] if "driven past" in name]
    assert len(costs) == 1
    assert "a broken indicator" in costs[0]


@pytest.mark.parametrize("internal", [True, False])
def test_a_dial_counts_from_zero_the_way_a_pass_runs_and_back_is_the_other_side(internal):
    guided = Guided(Bench.under(replace(bench_start(4), internal=internal, route=CROSS)))
    while guided.step.action.until != TRAVEL:
        guided.do()
    guided.do(guided.step.action.by)
    rows = {row.name: row.value for row in state_rows(guided.bench.state)}
    assert float(rows["Compound dial"].split()[0]) > 0
    assert "back" not in rows["Compound dial"]
    while guided.bench.passes == () or guided.step.id != "swing":
        guided.do()
    rows = {row.name: row.value for row in state_rows(guided.bench.state)}
    assert rows["Cross dial"].endswith(" back"), "backed off past its zero"


def test_the_truth_lists_what_the_error_is_made_of_and_the_rows_add_up():
    panel = panels.indicating_bench(seed=27, quill_slope=1.0)
    practised_hand(panel.bench)
    panel.show_truth()
    (listed,) = (v for name, v, _ in panel.board.words["rows"] if name == "The error is made of")
    told = {
        name: float(share.rstrip("″").replace("−", "-"))
        for name, share in (one.rsplit(" ", 1) for one in listed.split("; "))
    }
    together = told.pop("together")
    assert {"quill out of parallel", "cross dial between lines"} <= set(told)
    assert sum(told.values()) == pytest.approx(together, abs=0.06 * (len(told) + 6))
    true = panel.bench.truth()
    assert together == pytest.approx(true.error.minutes * 60, abs=0.051)
    panel.close()


def test_the_truth_names_the_quills_slope_where_there_is_one():
    """The lesson's claim: no pass on that quill shows it, so the truth has to."""
    for slope, named in ((3.0, True), (0.0, False)):
        panel = panels.indicating_bench(guide=True, quill_slope=slope, seed=11)
        practised_hand(panel.bench)
        told = verdict_told(panel.guided, review(panel.bench))
        assert ("quill's side was out of parallel by 3.0′" in told) is named
        panel.close()
