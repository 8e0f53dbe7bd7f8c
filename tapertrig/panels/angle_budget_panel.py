"""Lesson 05: what each part adds to the uncertainty of the half angle, and what it can prove."""

from __future__ import annotations

from dataclasses import replace

import ipywidgets

from tapertrig.budget import (
    AXIAL,
    CROSS,
    LIVE_TRIALS,
    ROUTES,
    TYPICAL,
    AngleBudget,
    BudgetState,
)
from tapertrig.draw.angle_budget import AngleBudgetScene
from tapertrig.draw.parts.magnified import arc_text, signed_arc_text
from tapertrig.lathe import MM_PER_INCH, Lathe, length_text
from tapertrig.panels.parts.board import Row, Words
from tapertrig.panels.parts.controls import Control, Quantity, angle, choice, quantity
from tapertrig.panels.parts.lathe_list import LatheList, needed

BEST = "the better one"
MANY_TRIALS = 1_000_000
MOST = 12.0  # inches, on a lathe whose travel is not given


class AngleBudgetPanel(LatheList[BudgetState]):
    """Contributions to the half angle's uncertainty, by either route, beside the tolerance."""

    title = "How close is close"
    scene = AngleBudgetScene
    main = "half_angle"
    main_span = (0.01, 0.98)

    def make_controls(self) -> None:
        self.trials = LIVE_TRIALS
        self.lathe_list()
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
            "Compound slide, each reading ±",
            lathe.compound_dial.movement_per_graduation / 2,
            most,
            fine,
        )
        self.cross_reading = spread(
            "Cross slide, each reading ±", lathe.cross_dial.movement_per_graduation / 2, most, fine
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

    def lathe_in_use(self) -> Lathe:
        """The lathe picked: this list has no other name in it."""
        return self.lathes[self.lathe.value]

    def lathe_picked(self, lathe: Lathe | None) -> None:
        """Half a line at each dial, and a travel that this slide can make."""
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

    def arrange(self) -> list[ipywidgets.Widget]:
        self.on_press(f"Run {MANY_TRIALS:,} random trials", self.run_trials)
        rare = {"screw_error": "Screws, null, datum and bolts"}
        return [*self.sections(rare, rare), self.presses]

    def read_state(self) -> BudgetState:
        budget = AngleBudget(
            half_angle=self.half_angle.angle,
            compound_travel=self.lathe_in_use().check_reach(self.compound_travel.value),
            datum=self.datum.angle,
            snugging=self.snugging.angle,
            compound_reading=self.compound_reading.value,
            cross_reading=self.cross_reading.value,
            axial_reading=self.axial_reading.value,
            screw_error=self.screw_error.value,
            null=self.null.value,
        )
        route = self.route.value
        if route == BEST:
            both = [replace(budget, route=one) for one in ROUTES]
            budget = min(both, key=lambda one: one.standard_uncertainty)
        else:
            budget = replace(budget, route=route)
        return BudgetState(budget, self.tolerance.angle, self.lathe_in_use(), self.trials)

    def words(self, state: BudgetState) -> Words:
        budget, found = state.budget, state.prospect
        travel = length_text(budget.compound_travel, self.unit)
        given = (
            f"A half angle of {budget.half_angle.brief()} is checked over a compound travel of "
            f"{travel} by the {budget.route}; the print allows ±{state.tolerance.brief()} on the "
            "included angle."
        )
        rows = [
            Row("Standard uncertainty of α", arc_text(budget.standard_uncertainty)),
            Row("Expanded, U, 95 %", f"±{arc_text(found.expanded)}"),
            Row(
                "Tolerance of α, half the print's", f"±{state.half_tolerance.brief()}", answer=False
            ),
            Row("Tolerance ÷ expanded", state.ratio_text),
            Row("The tolerance", state.verdict),
            Row(
                "Accept α measured within",
                f"±{arc_text(found.acceptance)}" if found.acceptance > 0 else "nothing",
            ),
            Row("Best on this lathe", self.best_in_words(state), mark="wide"),
            Row("Random trials", self.trials_in_words(state), mark="wide"),
        ]
        if found.attack_first.effect:
            rows.append(Row("Attack first", self.first_in_words(state), mark="wide"))
        return Words(
            f"{given} Standard uncertainty u = {arc_text(budget.standard_uncertainty)}, "
            f"U = ±{arc_text(found.expanded)} at 95 %: the tolerance is {state.ratio_text} to that "
            f"and {state.verdict}.",
            tuple(rows),
            given,
        )

    def best_in_words(self, state: BudgetState) -> str:
        """The best this lathe can do, or that nobody has said how far its slide goes."""
        try:
            needed(state.lathe, "compound_reach")
        except ValueError as wanted:
            return str(wanted)
        best = state.best
        travel = length_text(best.compound_travel, self.unit)
        found = f"±{arc_text(best.expanded())} by the {best.route}"
        return f"{found}, over a compound travel of {travel}"

    def first_in_words(self, state: BudgetState) -> str:
        """The contribution to attack first, how, and what that could win at most."""
        first = state.prospect.attack_first
        return (
            f"The {first.name}, {first.share:.0%} of u²: {first.remedy}. Without that "
            f"the ratio would be {state.prospect.ratio_without_it:.1f} : 1."
        )

    def trials_in_words(self, state: BudgetState) -> str:
        """Standard deviation and both 95 % intervals of the trials, about the half angle."""
        simulated, at = state.simulated, state.budget.half_angle.radians
        if simulated is None:
            other = AXIAL if state.budget.route == CROSS else CROSS
            return f"none: the spreads reach past what a right triangle allows; use the {other}"
        middle, shortest = (
            " to ".join(signed_arc_text(end - at) for end in interval)
            for interval in (simulated.symmetric, simulated.shortest)
        )
        return (
            f"{simulated.trials:,} give a standard deviation of "
            f"{arc_text(simulated.standard_uncertainty)}; 95 % lie from {middle}, the shortest "
            f"such interval is {shortest}"
        )

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
