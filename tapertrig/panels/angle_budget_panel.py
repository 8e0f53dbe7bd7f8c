"""Lesson 05: what each part adds to the uncertainty of the half angle, and what it can prove."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, cast

import ipywidgets

from tapertrig.angle import Angle
from tapertrig.budget import (
    AXIAL,
    CROSS,
    LIVE_TRIALS,
    ROUTES,
    TYPICAL,
    AngleBudget,
    BudgetState,
    Cutting,
    ratio_text,
    stated_by_proof,
)
from tapertrig.cone import Cone
from tapertrig.draw.angle_budget import AngleBudgetScene
from tapertrig.draw.parts.magnified import arc_text, signed_arc_text
from tapertrig.job import Job
from tapertrig.job.file import ENDING
from tapertrig.lathe import MM_PER_INCH, Lathe, in_unit, length_text
from tapertrig.panels.parts.board import Row, Words
from tapertrig.panels.parts.controls import Control, Quantity, angle, choice, fold, quantity
from tapertrig.panels.parts.job_list import NO_JOB, JobList
from tapertrig.panels.parts.lathe_entries import widen
from tapertrig.panels.parts.lathe_list import needed

BEST = "the better one"
MANY_TRIALS = 1_000_000
MOST = 12.0  # inches, on a lathe whose travel is not given
CUTTING = ("straightness", "tool_height", "tool_wear", "spring", "warmth")
RANKED = ("To do better, first", "then")
OTHER_FIGURES = "It rests on typical figures of the slide, not on those entered here"
FOLDED = {
    "screw_error": "Screws, null, datum, quill and bolts",
    "straightness": "The cut: from the slide to the part",
}


def _turned(lathe: Lathe) -> Angle:
    slope = lathe.quill_slope
    usual: Angle = TYPICAL[lathe.unit]["datum"]
    return usual if slope is None else Angle.from_radians(math.atan(abs(slope)))


class AngleBudgetPanel(JobList[BudgetState]):
    """Whether a lathe holds a print: what adds to the doubt of the half angle, and what helps.

    First the slide's set angle, by either route; then what the cut adds, as far as it is given.
    """

    title = "How close is close"
    scene = AngleBudgetScene
    main = "half_angle"
    main_span = (0.01, 0.98)

    def __init__(self, *args: Any, **start: Any) -> None:
        super().__init__(*args, **start)
        # As wide as the panel: the picture's side is too narrow for a table.
        whole = cast(Any, self)
        whole.children = (*whole.children, *self.below)

    def make_controls(self) -> None:
        self.trials, self.cuts = LIVE_TRIALS, 0
        self.job_list()
        lathe, typical = self.lathe_in_use(), TYPICAL[self.unit]
        inch = self.unit == "in"
        reach, step = lathe.usable_travel(), lathe.compound_dial.graduation
        fine, most = (0.00005, 0.002) if inch else (0.001, 0.05)
        most_null = 0.001 if inch else 0.02

        def spread(label: str, start: float, largest: float, smallest: float) -> Quantity[float]:
            return quantity(label, start, 0.0, largest, smallest, self.unit)

        self.half_angle = angle("Half angle", "20°43′", "1°", "89°")
        self.compound_travel = quantity(
            "Compound travel", 2.8 if inch else 70.0, reach / 16, reach, step, self.unit
        )
        self.route = choice("Measured by", [BEST, *ROUTES], CROSS)
        self.tolerance = angle("Tolerance on included angle ±", "0°12′", "0°01′", "2°", "0°00′30″")
        self.compound_reading = spread(
            "Compound slide moved, each reading ±",
            lathe.compound_dial.movement_per_graduation / 2,
            most,
            fine,
        )
        self.cross_reading = spread(
            "Cross slide moved, each reading ±",
            lathe.cross_dial.movement_per_graduation / 2,
            most,
            fine,
        )
        self.axial_reading = spread(
            "Axial travel, each reading ±", typical["axial_reading"], most, fine
        )
        self.screw_error = quantity(
            "Screw error per unit of length ±", typical["screw_error"], 0.0, 0.002, 0.00005
        )
        self.null = spread("Null, standard deviation", typical["null"], most_null, most_null / 40)
        self.datum = angle(
            "Datum not parallel or square ±", typical["datum"], "0°", "0°05′", "0°00′05″"
        )
        self.snugging = angle(
            "Swing on snugging up ±", typical["snugging"], "0°", "0°05′", "0°00′05″"
        )

        nothing = "0°00′05″"

        def length(label: str, most: float, step: float = fine) -> Quantity[float | None]:
            return quantity(label, None, 0.0, most, step, self.unit, optional=True)

        self.quill_rise = angle("Quill rises by ±", None, "0°", "0°30′", nothing, optional=True)
        self.tip_height = length("Indicator's tip off centre ±", 100 * fine)
        self.quill_diameter = length("Quill diameter", 10_000 * fine * (4 if inch else 10))
        self.straightness = length("Slide out of straight at the cone's ends ±", most)
        self.tool_height = length("Tool off centre height ±", 1000 * fine, 10 * fine)
        self.tool_wear = length("Nose wears along a cut, up to", most)
        self.load = angle(
            "Load and gibs swing the slide ±", None, "0°", "0°05′", nothing, optional=True
        )
        self.spring = length("Bar and part give more at one end, up to", most)
        self.warmth = quantity("Face warmer than far end ±", None, 0.0, 40, 1, "°C", optional=True)
        self.expansion = quantity(
            "Expansion of the part, 10⁻⁶ per °C", None, 1.0, 30, 0.5, optional=True
        )
        self.length = quantity(
            "Length of the cone", 0.64 if inch else 16.0, 200 * fine, 20_000 * fine, 100 * fine,
            self.unit, optional=True,
        )  # fmt: skip
        self.face_diameter = quantity(
            "Face diameter", 1.418 if inch else 36.0, 200 * fine, 60_000 * fine, 10 * fine,
            self.unit, optional=True,
        )  # fmt: skip

    def put_job(self, job: Job) -> None:
        """Half angle and its tolerance, the cone, and the travel and route it was planned with."""
        allowed = job.callout.half_angle_tolerance
        if allowed is None:
            raise ValueError(
                "this print gives no tolerance on its angle, so there is nothing to hold; enter "
                "it in the job first"
            )
        self.put_cone(job)
        widen(self.tolerance, allowed + allowed)
        self.tolerance.value = (allowed + allowed).degrees
        self._put_cutting((job.cutting or Cutting()).in_unit(self.unit))
        if job.lathe and job.lathe.compound_reach:
            plan = job.plan()
            self.route.value, self.compound_travel.value = plan.route, plan.compound_travel
        self.read_state()

    def _put_cutting(self, known: Cutting) -> None:
        expands = known.expansion and round(known.expansion * 1e6, 6)
        load = known.load and known.load.degrees
        given = {name: getattr(known, name) for name in CUTTING}
        for name, value in {**given, "load": load, "expansion": expands}.items():
            control = self.controls[name]
            widen(control, value)
            control.value = value

    def _cutting(self) -> Cutting | None:
        given = {name: getattr(self, name).value for name in CUTTING}
        expands = self.expansion.value
        known = Cutting(
            **given, load=self.load.angle, expansion=expands and expands * 1e-6, unit=self.unit
        )
        return known if known.given else None

    def current(self) -> Job | None:
        """The job taken, with what is known of the cut; nothing else tried out here is of it."""
        if self.job is None:
            return None
        known, kept = self._cutting(), self.job.cutting
        same = kept is not None and known is not None and known == kept.in_unit(self.unit)
        return self.job if same else replace(self.job, cutting=known)

    def keep_cut(self) -> None:
        """Keep what is known of the cut in the job's file."""
        job = self.current()
        if job is None or self.there.value == NO_JOB:
            raise ValueError("pick a job of yours first; the invented part keeps nothing")
        self.job = job.keep(Path.cwd() / f"{self.there.value}{ENDING}")
        self.render()
        self.tell(
            f"Kept in {self.there.value}: lessons 06 and 07 and the record take it from there."
        )

    def lathe_picked(self, lathe: Lathe | None) -> None:
        """Half a line at each dial, a travel that this slide can make, the quill as measured."""
        lathe = self.lathe_in_use()
        reach = lathe.compound_reach or MOST * (1 if lathe.unit == "in" else MM_PER_INCH)
        self.compound_travel.step = lathe.compound_dial.movement_per_graduation
        self.compound_travel.limit(reach / 16, reach)
        for reading, dial in (
            (self.compound_reading, lathe.compound_dial),
            (self.cross_reading, lathe.cross_dial),
        ):
            half = dial.movement_per_graduation / 2
            reading.limit(0.0, max(reading.maximum, half))
            reading.value = half
        turned = _turned(lathe)
        widen(self.datum, turned)
        self.datum.value = turned.degrees

    def unit_changed(self, before: Mapping[str, Any]) -> None:
        """What is assumed in one unit is not the other's converted."""
        super().unit_changed(before)
        for name in ("null", "axial_reading"):
            was, control = before["unit"], getattr(self, name)
            usual = in_unit(TYPICAL[was][name], was, self.unit)
            if math.isclose(control.value, usual, rel_tol=1e-6):
                control.value = TYPICAL[self.unit][name]

    def arrange(self) -> list[ipywidgets.Widget]:
        self.on_press(f"Run {MANY_TRIALS:,} random trials", self.run_trials)
        hint = "A simulated part: every source by chance, as its row says"
        self.cut = self.on_press("Cut one with this setup", self.cut_one, hint)
        hint = "What the cut adds then stands in lessons 06 and 07 and on the record"
        self.on_press("Keep the cut in the job", self.keep_cut, hint, needs_entries=True)
        self.table = ipywidgets.HTML()
        self.below = fold("The budgets, row by row", [self.table])
        self.opener = self.below[0]
        self.opener.observe(lambda _change: self.guard(self.render), names="unfolded")
        return [*self.sections(FOLDED, FOLDED), self.presses]

    def _show(self, state: BudgetState, words: Words) -> None:
        super()._show(state, words)
        if self.opener.unfolded:
            both = (one.table(self.unit) for one in (state.budget, state.part) if one)
            told = "".join(table._repr_html_() for table in both)
            self.table.value = "The table waits for the answers." if self.hiding else told

    def read_state(self) -> BudgetState:
        route = self.route.value
        if route == BEST:
            both = [self._budget(one) for one in ROUTES]
            budget = min(both, key=lambda one: one.standard_uncertainty)
        else:
            budget = self._budget(route)
        cutting, cone = self._cutting(), None
        if cutting is not None:
            internal = self.job is None or self.job.callout.internal
            face, length = self.face_diameter.value, self.length.value
            if face is None or length is None:
                raise ValueError("what the cut adds needs the cone's length and face diameter")
            cone = Cone(self.half_angle.angle, face, length, internal)
        lathe = self.lathe_in_use()
        state = BudgetState(budget, self.tolerance.angle, lathe, self.trials, cone, cutting)
        state.part  # noqa: B018 (a cone or a cut that cannot be says so here)
        return state

    def _budget(self, route: str) -> AngleBudget:
        rise, quill = self.quill_rise.angle, self.quill_diameter.value
        budget = AngleBudget.on_lathe(
            self.lathe_in_use(),
            self.half_angle.angle,
            self.compound_travel.value,
            route=route,
            snugging=self.snugging.angle,
            compound_reading=self.compound_reading.value,
            cross_reading=self.cross_reading.value,
            axial_reading=self.axial_reading.value,
            screw_error=self.screw_error.value,
            null=self.null.value,
            quill_rise=rise or Angle.from_dms(0),
            tip_height=self.tip_height.value or 0.0,
            quill_radius=quill / 2 if quill else None,
        )
        # What stands there for this lathe is known as such until another figure is entered.
        if abs(self.datum.value - _turned(self.lathe_in_use()).degrees) > 1e-6:
            budget = replace(budget, datum=self.datum.angle, datum_distribution="rectangular")
        return budget

    def words(self, state: BudgetState) -> Words:
        budget, found = state.budget, state.prospect
        travel = length_text(budget.compound_travel, self.unit)
        given = (
            f"A half angle of {budget.half_angle.brief()} is checked over a compound travel of "
            f"{travel} by the {budget.route}; the print allows ±{state.tolerance.brief()} on the "
            "included angle."
        )
        answer, judged = self.answer(state), state.whole
        of = "the part's angle" if state.part else "α"
        reading = budget.cross_reading
        rows = [
            *self.stands_in(),
            *[Row("Simulated cut", self.cut_in_words(state), mark="wide")] * bool(self.cuts),
            Row(f"Standard uncertainty of {of}", arc_text(judged.standard_uncertainty)),
            Row("Expanded, U, 95 %", f"±{arc_text(found.expanded)}"),
            Row(
                "Tolerance of α, half the print's", f"±{state.half_tolerance.brief()}", answer=False
            ),
            Row("Tolerance ÷ expanded", state.ratio_text),
            Row(
                "Accept α measured within",
                f"±{arc_text(found.acceptance, inwards=True)}"
                if found.acceptance > 0
                else "nothing",
            ),
        ]
        if state.part:
            rows.append(Row("Of the slide alone, U", f"±{arc_text(budget.expanded())}"))
        if state.lathe.cross_dial.factor == 2 and budget.route == CROSS:
            shows = f"±{length_text(2 * reading, self.unit, 5)} on its dial, which reads diameter"
            rows.append(Row("Cross slide, each reading", shows, answer=False, mark="wide"))
        for name, one in zip(RANKED, state.better, strict=False):
            told = (
                f"the {one.group.name}, {one.group.share:.0%} of u²: {one.group.remedy}. Without "
                f"it U = ±{arc_text(one.expanded)}, {ratio_text(one.ratio)}."
            )
            rows.append(Row(name, told, mark="wide"))
        rows += [
            Row("Best on this lathe", self.best_in_words(state), mark="wide"),
            Row("Random trials", self.trials_in_words(state), mark="wide"),
        ]
        if stated := self.stated(state):
            rows.append(Row("Half angle for one ball, lesson 07", stated, mark="wide"))
        of_cut = state.part.left_out if state.part else ("all of the cut",)
        missing = ", ".join(dict.fromkeys((*budget.left_out, *of_cut)))
        if missing:
            rows.append(Row("Left out, not given", missing, answer=False, mark="wide"))
        return Words(
            f"{answer} {given} U = ±{arc_text(found.expanded)} at 95 %: the tolerance is "
            f"{state.ratio_text} to that.",
            tuple(rows),
            given,
        )

    def stated(self, state: BudgetState) -> str:
        """What one ball may take as its half angle, and from where; empty without a proven pass.

        The pass tells the slide's angle, the part's budget how far the part's may be from it.
        """
        job = self.current()
        if not job or (state.budget.half_angle, state.lathe) != (job.callout.half_angle, job.lathe):
            return ""
        try:
            told = stated_by_proof(job)
        except ValueError:
            return ""
        usual, slide = AngleBudget.on_lathe, state.budget
        at = usual(state.lathe, slide.half_angle, slide.compound_travel, route=slide.route)
        same = math.isclose(at.standard_uncertainty, slide.standard_uncertainty, rel_tol=1e-6)
        of = "" if same else f". {OTHER_FIGURES}"
        return f"{told.half_angle.dms()} ± {told.limit.dms()}, from the {told.origin}{of}"

    def answer(self, state: BudgetState) -> str:
        """Whether this lathe holds this print, between which readings, and what to change first."""
        who, window = "This lathe" if state.part else "The slide of this lathe", state.window
        told = {
            "with room": f"{who} holds this print, proven with the {window}.",
            "near the middle only": f"{who} holds this print only with the {window}.",
            "not at all": f"{who} does not hold this print.",
        }[state.prospect.verdict]
        if state.prospect.verdict != "with room" and state.better:
            first = state.better[0]
            told += (
                f" Change this first: the {first.group.name}; without it the tolerance is "
                f"{ratio_text(first.ratio)} to U."
            )
        alone = " Nothing is given of the cut, so nobody knows of the part."
        return told if state.part else told + alone

    def best_in_words(self, state: BudgetState) -> str:
        """The best this lathe can do, or that nobody has said how far its slide goes."""
        try:
            needed(state.lathe, "compound_reach")
        except ValueError as wanted:
            return str(wanted)
        best = state.best
        travel = length_text(best.compound_travel, self.unit)
        of = "the part" if state.part else "the slide alone"
        found = f"U = ±{arc_text(state.best_expanded)} of {of}, by the {best.route}"
        return f"{found}, over a compound travel of {travel}"

    def trials_in_words(self, state: BudgetState) -> str:
        """Standard deviation and 95 % interval of the trials, about the half angle."""
        simulated, at = state.simulated, state.budget.half_angle.radians
        if simulated is None:
            other = AXIAL if state.budget.route == CROSS else CROSS
            return f"none: the spreads reach past what a right triangle allows; use the {other}"
        low, high = (signed_arc_text(end - at) for end in simulated.symmetric)
        spread = arc_text(simulated.standard_uncertainty)
        return f"{simulated.trials:,}: standard deviation {spread}, 95 % from {low} to {high}"

    def cut_in_words(self, state: BudgetState) -> str:
        """One invented part: its half angle by chance, and the share of each source in it."""
        shares = state.cut_one(self.cuts)
        out, allowed = sum(share for _name, share in shares), state.half_tolerance
        inside = "inside" if abs(out) <= allowed.radians else "outside"
        angle = Angle.from_radians(state.budget.half_angle.radians + out).dms()
        listed = "; ".join(f"{name} {signed_arc_text(share)}" for name, share in shares)
        alone = "" if state.part else " Nothing is given of the cut, so it adds nothing here."
        return (
            f"no. {self.cuts}, an invented part drawn by chance (seed {self.cuts}): half angle "
            f"{angle}, out by {signed_arc_text(out)}, {inside} ±{allowed.brief()}. Made of: "
            f"{listed}.{alone}"
        )

    def cut_one(self) -> None:
        """Cut one more invented part; as settings change it stays, with the same luck."""
        self.cuts += 1
        self.cut.description = "Cut another one"
        self.render()

    def begin_again(self) -> None:
        """No part is cut yet."""
        super().begin_again()
        self.cuts, self.cut.description = 0, "Cut one with this setup"

    def run_trials(self) -> None:
        """Make the histogram of the present state smooth."""
        self.trials = MANY_TRIALS
        self.render()
        if self.last_state.simulated is not None:
            self.tell(f"{MANY_TRIALS:,} random trials are in the histogram.")

    def moved(self, control: Control) -> None:
        # A million trials take too long to follow a drag; they are run anew when asked for.
        if control not in self.switches:
            self.trials = LIVE_TRIALS
        super().moved(control)
