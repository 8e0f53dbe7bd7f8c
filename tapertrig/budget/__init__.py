"""How sure of an angle: the slide's, other ways of setting it, and what it does to the part."""

from tapertrig.budget.gauge_fit import (
    GaugeFit,
    blue_length,
    diameter_error,
    error_from_blue,
    gauge_fit,
    seat_and_plug,
    too_large_by_blue,
)
from tapertrig.budget.other_ways import Way, by_eye, by_known_taper, by_sine_bar, compare
from tapertrig.budget.part_angle import part_angle
from tapertrig.budget.proof import (
    RESTS_ON,
    RESTS_ON_TYPICAL,
    no_longer_stated,
    not_of_now,
    part_by_proof,
    proven_pass,
    proves,
    stated_by_proof,
)
from tapertrig.budget.routes import route_budget, route_table
from tapertrig.budget.rows import REMEDIES, Budget, Group, Source, Table
from tapertrig.budget.slide_angle import (
    AXIAL,
    CROSS,
    ROUTES,
    TYPICAL,
    AngleBudget,
    Prospect,
    best_checks,
    prospect,
    proving_room,
    proving_window,
)
from tapertrig.budget.state import LIVE_TRIALS, BudgetState, ratio_text
from tapertrig.job import Cutting

__all__ = [
    "AXIAL",
    "CROSS",
    "LIVE_TRIALS",
    "REMEDIES",
    "RESTS_ON",
    "RESTS_ON_TYPICAL",
    "ROUTES",
    "TYPICAL",
    "AngleBudget",
    "Budget",
    "BudgetState",
    "Cutting",
    "GaugeFit",
    "Group",
    "Prospect",
    "Source",
    "Table",
    "Way",
    "best_checks",
    "blue_length",
    "by_eye",
    "by_known_taper",
    "by_sine_bar",
    "compare",
    "diameter_error",
    "error_from_blue",
    "gauge_fit",
    "no_longer_stated",
    "not_of_now",
    "part_angle",
    "part_by_proof",
    "prospect",
    "proven_pass",
    "proves",
    "proving_room",
    "proving_window",
    "ratio_text",
    "route_budget",
    "route_table",
    "seat_and_plug",
    "stated_by_proof",
    "too_large_by_blue",
]
