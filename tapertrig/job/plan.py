"""What the machinist chooses, and the setup that follows from callout and lathe."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from tapertrig.angle import Angle
from tapertrig.cone import Cone
from tapertrig.job.callout import Callout
from tapertrig.lathe import REACH_SLACK, Lathe, between, in_unit, length_text
from tapertrig.limits import one_of, positive, where_given
from tapertrig.setup import (
    AXIAL,
    BLOCKS,
    BY_SINE,
    CROSS,
    EVERY_ROUTE,
    WholeGraduationSetup,
    angle_per_graduation,
    axial_travel,
    axial_window,
    cross_reading_window,
    cross_travel,
    nearest_line,
    set_by_eye_words,
    whole_graduation_setups,
)
from tapertrig.standards import (
    GENERAL_CLASSES,
    GENERAL_TOLERANCE_SOURCE,
    general_angular_tolerance,
)

SETUP_ORDERS = ("angle error", "sensitivity")
STEEPEST_FOR_SINE = Angle.from_dms(45)

LONGEST_SIDE_MM = 1e6
TRAVELS_LISTED, TURNS_LISTED = 10, 3


@dataclass(frozen=True)
class Choices:
    """What the machinist chooses; lengths in the lathe's unit, None where the plan shall choose.

    `route` says what is measured beside the compound travel; by itself the plan takes the cross
    travel up to 45° and the axial travel past it. `general_class` and `shorter_side` serve only
    when the print gives no angle tolerance.
    """

    compound_travel: float | None = None
    shortest_travel: float | None = None
    order: str = "angle error"
    general_class: str = "m"
    shorter_side: float | None = None
    route: str | None = None

    def __post_init__(self) -> None:
        where_given(self, positive, compound_travel=2.5, shortest_travel=2.5, shorter_side=2.5)
        if self.route is not None:
            one_of("route", self.route, EVERY_ROUTE)
        one_of("order of setups", self.order, SETUP_ORDERS)
        one_of("general tolerance class", self.general_class, tuple(GENERAL_CLASSES))

    def route_for(self, half_angle: Angle) -> str:
        """What is measured beside the compound travel: as chosen, or by the half angle."""
        return self.route or (AXIAL if half_angle > STEEPEST_FOR_SINE else CROSS)


@dataclass(frozen=True)
class Plan:
    """Everything the setup sheet says; lengths in the lathe's unit, readings as the dials show.

    `cone` is in the lathe's unit, None while the print gives no face diameter. `route` is what is
    measured beside the compound travel. `window` holds the cross readings, or on the axial route
    the axial travels, between which the half angle is in tolerance; None without a tolerance.
    `setups` lists travels to choose from with the cross reading nearest to what each asks, the
    travel of this plan among them; empty while nobody has said how far the compound goes.
    `travel_words` says why this one. `sensitivity` is the arc-seconds of half angle that one
    cross graduation stands for.
    `assumptions` and `warnings` are sentences to be shown wherever the numbers are.
    """

    lathe: Lathe
    half_angle: Angle
    internal: bool
    cone: Cone | None
    route: str
    half_angle_tolerance: Angle | None
    tolerance_is_assumed: bool
    base_reading: Angle | None
    swing: str
    compound_travel: float
    cross_travel: float
    axial_travel: float
    compound_reading: float
    cross_reading: float
    window: tuple[float, float] | None
    setups: tuple[WholeGraduationSetup, ...]
    travel_words: str
    sensitivity: float
    assumptions: tuple[str, ...]
    warnings: tuple[str, ...]

    def rows(self) -> tuple[tuple[str, str], ...]:
        """Name and value of each number, in words for a sheet or a panel."""
        unit, tolerance = self.lathe.unit, self.half_angle_tolerance
        spread = "tolerance not given" if tolerance is None else f"± {angle_text(tolerance)}"
        if self.tolerance_is_assumed:
            spread += " (assumed)"
        base = "not given which zero it uses"
        if self.base_reading is not None:
            base = f"{self.base_reading.dm()} (zero {self.lathe.base_zero})"
        told = [
            ("Included angle", angle_text(self.half_angle.double())),
            ("Half angle", f"{angle_text(self.half_angle)} {spread}"),
            ("Base reading, by eye", base),
            ("Compound travel", length_text(self.compound_travel, unit)),
            ("Compound dial", self.lathe.compound_dial.words(self.compound_reading, unit)),
            ("Cross travel", length_text(self.cross_travel, unit)),
        ]
        if self.route == BLOCKS:
            del told[4]
        if self.route in BY_SINE:
            told += [
                (
                    "Cross dial must show",
                    f"{length_text(self.cross_reading, unit)} "
                    f"({self.lathe.cross_dial.reads}-reading)",
                ),
                ("which is", self.lathe.cross_dial.words(self.cross_reading, unit)),
            ]
        else:
            told.append(("Axial travel", length_text(self.axial_travel, unit)))
        if self.window is not None:
            assumed = " (assumed)" if self.tolerance_is_assumed else ""
            told.append(("In tolerance between", between(self.window, unit) + assumed))
        if self.route in BY_SINE:
            told.append(("Axial travel", length_text(self.axial_travel, unit)))
            seconds = round(self.sensitivity)
            worth = f"{seconds}″" if seconds < 120 else Angle.from_arc_seconds(seconds).brief()
            told.append(("One cross graduation is", f"{worth} of half angle"))
        return tuple(told)


def angle_text(angle: Angle) -> str:
    """An angle as it is said: to the second, finer only where the print itself is."""
    exact = angle.arc_seconds.denominator <= 10
    return (angle if exact else Angle.from_arc_seconds(round(angle.arc_seconds))).brief()


def _choose_travel(
    half_angle: Angle, lathe: Lathe, choices: Choices
) -> tuple[float, tuple[WholeGraduationSetup, ...], str]:
    """The compound travel, the list it is chosen from, and why this one.

    The longest of whole turns that leaves half a turn of take-up; where none fits, of whole tens
    of graduations, then of graduations. Common practice, no source.
    """
    unit, chosen = lathe.unit, choices.compound_travel
    by_hand = f"{length_text(chosen or 0.0, unit)} is as chosen"
    if lathe.compound_reach is None:
        travel = lathe.usable_travel() if chosen is None else chosen
        return travel, (), f"{by_hand}; how far the compound goes is not given."
    line = lathe.compound_dial.movement_per_graduation
    usable = lathe.compound_reach - lathe.take_up
    if usable < line:
        # Nothing is left beside the half turn: a warning says so.
        usable = lathe.compound_reach
    shortest = choices.shortest_travel
    if shortest is not None and shortest <= lathe.compound_reach:
        shortest = min(shortest, usable)
    lines = whole_graduation_setups(
        half_angle, lathe, shortest, TRAVELS_LISTED, choices.order, usable
    )
    least = (usable / 2 if shortest is None else shortest) - 1e-9
    steps = {
        "turns of the compound": 2 * lathe.take_up,
        "tens of compound graduations": 10 * line,
        "compound graduations": line,
    }
    whole = {
        name: [
            travel
            for n in range(math.floor(usable / step * (1 + REACH_SLACK)), 0, -1)[:TURNS_LISTED]
            if (travel := round(n * step, 12)) >= least
        ]
        for name, step in steps.items()
    }
    turns = whole["turns of the compound"]
    name = next((name for name, travels in whole.items() if travels), "")
    if chosen is not None:
        travel, why = chosen, f"{by_hand}."
    elif name:
        travel = whole[name][0]
        kept = " that leaves half a turn to take up the backlash"
        why = (
            f"{length_text(travel, unit)} is {travel / steps[name]:.0f} whole {name}, the longest"
            f"{kept if usable < lathe.compound_reach else ''}; nothing is estimated at its dial."
        )
    else:
        travel = usable
        why = f"{length_text(usable, unit)} is all there is; no line of the dial lies near its end."
    listed = {round(one, 9): nearest_line(half_angle, one, lathe) for one in (travel, *turns)}
    listed |= {round(row.compound_travel, 9): row for row in lines}
    rows = list(listed.values())[:TRAVELS_LISTED]
    if choices.order == "sensitivity":
        rows.sort(key=lambda row: -row.compound_travel)
    return travel, tuple(rows), why


def _assumed_tolerance(
    callout: Callout, cone: Cone | None, choices: Choices, lathe: Lathe
) -> tuple[Angle | None, str]:
    """The half angle's ± tolerance where the print gives none, and what it rests on."""
    if (taper := callout.named_taper) is not None:
        return None, (
            "The print gives no angle tolerance, and the general tolerances for angles are not "
            "made for standard tapers: "
            f"{taper.allows or 'ask what the standard of the taper allows.'}"
        )
    side, why = _shorter_side_mm(callout.half_angle, callout.internal, cone, choices, lathe)
    given = general_angular_tolerance(choices.general_class, side)
    on_half = callout.kind == "half angle"
    words = GENERAL_CLASSES[choices.general_class]
    return (given if on_half else given.half()), (
        f"The print gives no angle tolerance. Assumed: ±{given.dm()} on the "
        f"{'half' if on_half else 'included'} angle, class {choices.general_class} ({words}), "
        f"{why}. {GENERAL_TOLERANCE_SOURCE}."
    )


def _shorter_side_mm(
    half_angle: Angle, internal: bool, cone: Cone | None, choices: Choices, lathe: Lathe
) -> tuple[float, str]:
    if choices.shorter_side is not None:
        side = float(in_unit(choices.shorter_side, lathe.unit, "mm"))
        return side, f"shorter side {length_text(side, 'mm', 1)} as entered"
    if cone is not None and cone.length is not None:
        side = float(in_unit(cone.length / math.cos(half_angle.radians), lathe.unit, "mm"))
        return side, f"shorter side {length_text(side, 'mm', 1)} along the cone's wall"
    if cone is not None and internal:
        to_point = cone.face_diameter / (2 * math.sin(half_angle.radians))
        side = float(in_unit(to_point, lathe.unit, "mm"))
        return side, (
            f"cone length not given, so the longest it could be, {length_text(side, 'mm', 1)} "
            "along the wall to the point (the strictest reading)"
        )
    return LONGEST_SIDE_MM, "cone length not given, so the strictest column"


def make_plan(callout: Callout, lathe: Lathe, choices: Choices | None = None) -> Plan:
    """The setup that a callout needs on a lathe.

    When no compound travel is chosen, the longest of whole turns: see `_choose_travel`.
    ValueError for a travel past the reach. Formulas: plane trigonometry; half angle and taper as
    in ISO 3040.
    """
    choices = Choices() if choices is None else choices
    alpha = callout.half_angle
    cone = None if callout.face_diameter is None else callout.in_unit(lathe.unit).cone()
    tolerance, assumption = callout.half_angle_tolerance, ""
    if tolerance is None:
        tolerance, assumption = _assumed_tolerance(callout, cone, choices, lathe)
    travel, setups, travel_words = _choose_travel(alpha, lathe, choices)
    route = choices.route_for(alpha)
    if route == BLOCKS:
        # What a set of gauge blocks makes without its finest.
        steps = 1000 if lathe.unit == "in" else 100
        travel = max(1, math.floor(travel * steps + 1e-6)) / steps
    lathe.check_reach(travel)
    cross, axial = float(cross_travel(travel, alpha)), float(axial_travel(travel, alpha))
    compound_reading = travel if route == BLOCKS else float(lathe.compound_dial.reading(travel))
    cross_reading = float(lathe.cross_dial.reading(cross))
    window = None
    if tolerance is not None and route in BY_SINE:
        window = cross_reading_window(alpha, tolerance, travel, lathe.cross_dial)
    elif tolerance is not None and route == AXIAL:
        window = axial_window(alpha, tolerance, travel)
    base = None if lathe.base_zero is None else lathe.base_reading(alpha)
    return Plan(
        lathe=lathe,
        half_angle=alpha,
        internal=callout.internal,
        cone=cone,
        route=route,
        half_angle_tolerance=tolerance,
        tolerance_is_assumed=callout.angle_tolerance is None and tolerance is not None,
        base_reading=base,
        swing=set_by_eye_words(alpha, callout.internal, lathe),
        compound_travel=travel,
        cross_travel=cross,
        axial_travel=axial,
        compound_reading=compound_reading,
        cross_reading=cross_reading,
        window=window,
        setups=setups,
        travel_words=travel_words,
        sensitivity=float(angle_per_graduation(travel, alpha, lathe.cross_dial)),
        assumptions=(assumption,) if assumption else (),
        warnings=tuple(_warnings(alpha, tolerance, travel, route, window, setups, lathe)),
    )


def _warnings(
    half_angle: Angle,
    tolerance: Angle | None,
    travel: float,
    route: str,
    window: tuple[float, float] | None,
    setups: tuple[WholeGraduationSetup, ...],
    lathe: Lathe,
) -> Iterator[str]:
    if half_angle > STEEPEST_FOR_SINE and route in BY_SINE:
        yield (
            f"The half angle is {half_angle.dm()}, past 45°: the cross reading gets less "
            "sensitive. Measure the axial travel instead: the half angle is the inverse cosine "
            "of axial ÷ compound travel."
        )
    if tolerance is not None and tolerance >= half_angle:
        yield (
            f"The tolerance on the half angle, ±{tolerance.dm()}, is as wide as the half angle "
            "itself: ask what the print means."
        )
    if (
        route in BY_SINE
        and window is not None
        and window[1] - window[0] < lathe.cross_dial.graduation
    ):
        yield (
            "The whole window of cross readings is narrower than one graduation of the cross "
            "dial: use a longer travel, or a travel indicator instead of the dial."
        )
    if lathe.compound_reach is not None and travel > (lathe.compound_reach - lathe.take_up) * (
        1 + 1e-9
    ):
        yield (
            f"A travel of {length_text(travel, lathe.unit)} leaves less than half a turn of run-up "
            "before the start: the backlash cannot be taken up. Choose a shorter one."
        )
    lines = travel / lathe.compound_dial.movement_per_graduation
    if route != BLOCKS and abs(lines - round(lines)) > 1e-6 * max(1.0, lines):
        yield "The compound travel falls between two graduations of the compound dial."
    if setups and route == CROSS and not any(row.cross_reading for row in setups):
        yield "No travel within reach brings the cross dial to a whole graduation."
