"""A check of the half angle as it stands, what the cut adds to it, and what a tolerance asks."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

import numpy as np

from tapertrig.angle import Angle
from tapertrig.budget.part_angle import part_angle
from tapertrig.budget.rows import Budget, Group, Summed, drawn
from tapertrig.budget.slide_angle import (
    CROSS,
    AngleBudget,
    Prospect,
    best_checks,
    prospect,
)
from tapertrig.cone import Cone
from tapertrig.job import Cutting
from tapertrig.lathe import Lathe, between
from tapertrig.limits import InfiniteToo, whole
from tapertrig.setup import axial_window, cross_reading_window
from tapertrig.uncertainty import Simulated, coverage_intervals

LIVE_TRIALS, SEED = 5_000, 1
THE_CUT = "the cut"


class Better(NamedTuple):
    """What to change, what it would bring if it were gone: U (radians) and tolerance over U."""

    group: Group
    expanded: float
    ratio: InfiniteToo


@dataclass(frozen=True)
class BudgetState:
    """A check of the half angle, the print's tolerance on the included angle, and the lathe.

    With a `cone`, what `cutting` says the cut may add is counted too. `trials` is how many random
    trials are made.
    """

    budget: AngleBudget
    tolerance: Angle
    lathe: Lathe
    trials: int = LIVE_TRIALS
    cone: Cone | None = None
    cutting: Cutting | None = None

    @property
    def half_tolerance(self) -> Angle:
        """The tolerance that the half angle is held to: half of the print's."""
        return self.tolerance.half()

    @cached_property
    def part(self) -> Budget | None:
        """The budget of the part's angle; None where nothing is known of the cut."""
        if self.cone is None or self.cutting is None:
            return None
        return part_angle(self.budget, self.cone, self.cutting)

    @property
    def whole(self) -> Summed:
        """What is judged: the part's budget, or the slide's where there is none."""
        return self.part or self.budget

    @cached_property
    def of_the_cut(self) -> tuple[Group, ...]:
        """What the cut adds, by what would make it smaller."""
        return () if self.part is None else self.part.groups[1:]

    @cached_property
    def groups(self) -> tuple[Group, ...]:
        """What adds to the whole, the cut as one."""
        cut = math.hypot(*(group.effect for group in self.of_the_cut))
        variance = self.whole.standard_uncertainty**2 or 1.0
        return (*self.budget.groups, Group(THE_CUT, cut, cut**2 / variance, ""))

    @cached_property
    def better(self) -> tuple[Better, ...]:
        """What would help, that which moves most first; nothing that adds nothing."""
        whole, allowed = self.whole, self.half_tolerance.radians
        variance, found = whole.standard_uncertainty**2, []
        for group in (*self.budget.groups, *self.of_the_cut):
            if group.effect:
                left = max(variance - group.effect**2, 0.0)
                without = whole.factor * math.sqrt(left) if left > 1e-15 * variance else 0.0
                ratio = allowed / without if without else math.inf
                share = group._replace(share=group.effect**2 / variance)
                found.append(Better(share, without, ratio))
        return tuple(sorted(found, key=lambda one: -one.group.effect))

    @cached_property
    def prospect(self) -> Prospect:
        """Whether the tolerance can be proven."""
        return prospect(self.whole, self.half_tolerance)

    @cached_property
    def window(self) -> str:
        """The readings between which the tolerance is proven; empty where none proves it."""
        budget, unit = self.budget, self.lathe.unit
        if self.prospect.acceptance <= 0:
            return ""
        within = Angle.from_radians(self.prospect.acceptance)
        if budget.route == CROSS:
            dial = self.lathe.cross_dial
            ends = cross_reading_window(budget.half_angle, within, budget.compound_travel, dial)
            return f"cross dial between {between(ends, unit)}"
        ends = axial_window(budget.half_angle, within, budget.compound_travel)
        return f"stack and needle between {between(ends, unit)}"

    @cached_property
    def best(self) -> AngleBudget:
        """The same budget by the best route and travel of this lathe."""
        return best_checks(self.budget, self.lathe)[0]

    @cached_property
    def best_expanded(self) -> float:
        """U of what is judged, radians, with the slide checked by that route and travel."""
        return replace(self, budget=self.best).whole.expanded()

    @cached_property
    def simulated(self) -> Simulated | None:
        """Random trials; None where the spreads reach past what the formula allows."""
        try:
            trials = self.budget.monte_carlo(self.trials, SEED)
        except ValueError:
            return None
        rows = self.part.rows[1:] if self.part else ()
        if not any(row.effect for row in rows):
            return trials
        # A stream of its own: the same numbers again would go with those of the slide.
        random, values = np.random.default_rng((SEED, 1)), trials.values.copy()
        for _name, share in drawn(rows, random, len(values)):
            values += share
        symmetric, shortest = coverage_intervals(values)
        spread = float(values.std(ddof=1))
        return Simulated(
            float(values.mean()), spread, shortest, symmetric, trials.probability, values
        )

    def cut_one(self, seed: int) -> tuple[tuple[str, float], ...]:
        """One simulated part: what each source did to its half angle, radians, by a seed."""
        shares = drawn(self.whole.sources, np.random.default_rng(whole("seed", seed, 0, None, 1)))
        return tuple((name, float(share[0])) for name, share in shares)

    @property
    def ratio_text(self) -> str:
        """Tolerance over expanded uncertainty."""
        return ratio_text(self.prospect.ratio)

    @property
    def verdict(self) -> str:
        """Whether this lathe holds this print, or its slide as far as anybody knows, in words."""
        within = math.floor(math.degrees(self.prospect.acceptance) * 600 + 1e-9) / 10
        return {
            "with room": f"{'this lathe' if self.part else 'the slide'} holds the print",
            "near the middle only": f"proven within ±{within:.1f}′",
            "not at all": "does not hold the print",
        }[self.prospect.verdict]


def ratio_text(ratio: InfiniteToo) -> str:
    """A ratio as it is said."""
    return f"{ratio:.1f} : 1" if math.isfinite(ratio) else "no limit"
