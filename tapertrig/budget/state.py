"""A check of the half angle as it stands: its budget, the tolerance, the lathe, random trials."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from tapertrig.angle import Angle
from tapertrig.budget.slide_angle import AngleBudget, Prospect, best_checks, prospect
from tapertrig.lathe import Lathe
from tapertrig.uncertainty import Simulated

LIVE_TRIALS, SEED = 5_000, 1


@dataclass(frozen=True)
class BudgetState:
    """A check of the half angle, the print's tolerance on the included angle, and the lathe.

    `trials` is how many random trials are made.
    """

    budget: AngleBudget
    tolerance: Angle
    lathe: Lathe
    trials: int = LIVE_TRIALS

    @property
    def half_tolerance(self) -> Angle:
        """The tolerance that the half angle is held to: half of the print's."""
        return self.tolerance.half()

    @cached_property
    def prospect(self) -> Prospect:
        """Whether the tolerance can be proven."""
        return prospect(self.budget, self.half_tolerance)

    @cached_property
    def best(self) -> AngleBudget:
        """The same budget by the best route and travel of this lathe."""
        return best_checks(self.budget, self.lathe)[0]

    @cached_property
    def simulated(self) -> Simulated | None:
        """Random trials; None where the spreads reach past what the formula allows."""
        try:
            return self.budget.monte_carlo(self.trials, SEED)
        except ValueError:
            return None

    @property
    def ratio_text(self) -> str:
        """Tolerance over expanded uncertainty."""
        ratio = self.prospect.ratio
        return f"{ratio:.1f} : 1" if math.isfinite(ratio) else "no limit"

    @property
    def verdict(self) -> str:
        """What the ratio means, in words."""
        return {
            "with room": "can be proven, with room",
            "near the middle only": "proven near the middle only",
            "not at all": "cannot be proven this way",
        }[self.prospect.verdict]
