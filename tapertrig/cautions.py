"""The cautions shown wherever hands meet the machine."""

from __future__ import annotations

TITLE = "Before your hands go near the machine"

FIRST = (
    "Your shop's own rules, local codes, the machine's manual and a qualified instructor come "
    "first; these cautions do not replace them."
)
MACHINE = (
    "Spindle stopped and isolated while you indicate, measure or deburr.",
    "Chuck key out.",
    "No indicator, micrometer, ball or hand in the bore with the power on.",
    "Carriage locked while the angle is set.",
    "Eye protection on; no gloves and no loose sleeves at a turning spindle.",
    "Check by hand that the swung compound and the extended quill clear the chuck through the "
    "whole travel.",
)
BETWEEN_CENTRES = (
    "Spindle stopped and isolated while you set the tailstock over, and whenever you measure.",
    "Centre holes clean, and bearing: set over, they bear on a part of their cones only, so take "
    "light cuts.",
    "A dead centre lubricated; slack it off and look again as the work warms and grows.",
    "Tailstock clamped and quill locked before power.",
    "The dog's tail free in its slot, and clear of tool and carriage through a whole turn by hand.",
)
ALL = (FIRST, *MACHINE)
