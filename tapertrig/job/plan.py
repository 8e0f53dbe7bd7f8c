"""What the machinist chooses, and the setup that follows from callout and lathe."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tapertrig.angle import Angle
from tapertrig.cone import Cone
from tapertrig.job.callout import Callout
from tapertrig.lathe import Dial, DialReading, Lathe, in_unit, length_text
from tapertrig.limits import one_of, positive
from tapertrig.setup import (
    WholeGraduationSetup,
    angle_per_graduation,
    axial_travel,
    cross_reading_window,
    cross_travel,
    swing_words,
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


@dataclass(frozen=True)
class Choices:
    """What the machinist chooses; lengths in the lathe's unit, None where the plan shall choose.

    `general_class` and `shorter_side` serve only when the print gives no angle tolerance.
    """

    compound_travel: float | None = None
    shortest_travel: float | None = None
    order: str = "angle error"
    general_class: str = "m"
    shorter_side: float | None = None

    def __post_init__(self) -> None:
        for name in ("compound_travel", "shortest_travel", "shorter_side"):
            value = getattr(self, name)
            if value is not None:
                positive(name.replace("_", " "), value, 2.5)
        one_of("order of setups", self.order, SETUP_ORDERS)
        one_of("general tolerance class", self.general_class, tuple(GENERAL_CLASSES))


@dataclass(frozen=True)
class Plan:
    """Everything the setup sheet says; lengths in the lathe's unit, readings as the dials show.

    `window` holds the cross readings between which the half angle is in tolerance; `sensitivity`
    is the arc-seconds of half angle that one cross graduation stands for. `assumptions` and
    `warnings` are sentences to be shown wherever the numbers are.
    """

    lathe: Lathe
    cone: Cone
    half_angle_tolerance: Angle
    tolerance_is_assumed: bool
    base_reading: Angle
    swing: str
    compound_travel: float
    cross_travel: float
    axial_travel: float
    compound_reading: float
    cross_reading: float
    compound_split: DialReading
    cross_split: DialReading
    window: tuple[float, float]
    setups: tuple[WholeGraduationSetup, ...]
    sensitivity: float
    assumptions: tuple[str, ...]
    warnings: tuple[str, ...]

    @property
    def half_angle(self) -> Angle:
        """The angle the compound is swung to, between cone wall and spindle axis."""
        return self.cone.half_angle

    def rows(self) -> tuple[tuple[str, str], ...]:
        """Name and value of each number, in words for a sheet or a panel."""
        unit, low, high = self.lathe.unit, *self.window
        assumed = " (assumed)" if self.tolerance_is_assumed else ""
        return (
            ("Included angle", self.cone.included_angle.dms(1)),
            ("Half angle", f"{self.half_angle.dms(1)} ± {self.half_angle_tolerance}{assumed}"),
            ("Base reading, by eye", f"{self.base_reading.dm()} ({self.lathe.base_zero})"),
            ("Compound travel", length_text(self.compound_travel, unit)),
            ("Compound dial", self.lathe.compound_dial.words(self.compound_reading, unit)),
            ("Cross travel", length_text(self.cross_travel, unit)),
            (
                "Cross dial must show",
                f"{length_text(self.cross_reading, unit)} ({self.lathe.cross_dial.reads}-reading)",
            ),
            ("which is", self.lathe.cross_dial.words(self.cross_reading, unit)),
            ("In tolerance between", f"{length_text(low, unit)} and {length_text(high, unit)}"),
            ("Axial travel", length_text(self.axial_travel, unit)),
            ("One cross graduation is", f"{self.sensitivity:.0f}″ of half angle"),
        )


def _angle_tolerance(callout: Callout, cone: Cone, choices: Choices, lathe: Lathe):
    """The half angle's ± tolerance and, when the print gives none, the assumption made."""
    if callout.angle_tolerance is not None:
        on_included = callout.tolerance_on == "included angle"
        given = callout.angle_tolerance
        return (given.half() if on_included else given), None
    side, why = _shorter_side_mm(cone, choices, lathe)
    given = general_angular_tolerance(choices.general_class, side)
    on_half = callout.kind == "half angle"
    words = GENERAL_CLASSES[choices.general_class]
    return (given if on_half else given.half()), (
        f"The print gives no angle tolerance. Assumed: ±{given.dm()} on the "
        f"{'half' if on_half else 'included'} angle, class {choices.general_class} ({words}), "
        f"{why}. {GENERAL_TOLERANCE_SOURCE}."
    )


def _shorter_side_mm(cone: Cone, choices: Choices, lathe: Lathe) -> tuple[float, str]:
    if choices.shorter_side is not None:
        side = in_unit(choices.shorter_side, lathe.unit, "mm")
        return side, f"shorter side {length_text(side, 'mm', 1)} as entered"
    cosine = math.cos(cone.half_angle.radians)
    if cone.length is not None:
        side = in_unit(cone.length / cosine, lathe.unit, "mm")
        return side, f"shorter side {length_text(side, 'mm', 1)} along the cone's wall"
    if cone.internal:
        to_point = cone.face_diameter / (2 * math.sin(cone.half_angle.radians))
        side = in_unit(to_point, lathe.unit, "mm")
        return side, (
            f"cone length not given, so the longest it could be, {length_text(side, 'mm', 1)} "
            "along the wall to the point (the strictest reading)"
        )
    return LONGEST_SIDE_MM, "cone length not given, so the strictest column"


def _setups(half_angle: Angle, lathe: Lathe, choices: Choices) -> tuple[WholeGraduationSetup, ...]:
    return tuple(
        whole_graduation_setups(half_angle, lathe, choices.shortest_travel, order=choices.order)
    )


def make_plan(callout: Callout, lathe: Lathe, choices: Choices | None = None) -> Plan:
    """The setup that a callout needs on a lathe.

    When no compound travel is chosen, the longest of the ten whole-graduation setups that leave
    the least angle error, or the whole reach when there is none. ValueError for a travel past
    the reach. Formulas: plane trigonometry; half angle and taper as in ISO 3040.
    """
    choices = Choices() if choices is None else choices
    printed = callout.cone()
    cone = Cone(
        printed.half_angle,
        in_unit(printed.face_diameter, callout.unit, lathe.unit),
        None if printed.length is None else in_unit(printed.length, callout.unit, lathe.unit),
        printed.internal,
    )
    alpha = cone.half_angle
    tolerance, assumption = _angle_tolerance(callout, cone, choices, lathe)
    setups = _setups(alpha, lathe, choices)
    travel = choices.compound_travel
    if travel is None:
        travel = max((row.compound_travel for row in setups), default=lathe.compound_reach)
    lathe.check_reach(travel)
    cross = float(cross_travel(travel, alpha))
    compound_reading = float(lathe.compound_dial.reading(travel))
    cross_reading = float(lathe.cross_dial.reading(cross))
    window = cross_reading_window(alpha, tolerance, travel, lathe.cross_dial)
    base = lathe.base_reading(alpha)
    return Plan(
        lathe=lathe,
        cone=cone,
        half_angle_tolerance=tolerance,
        tolerance_is_assumed=assumption is not None,
        base_reading=base,
        swing=_swing(cone, lathe, base),
        compound_travel=travel,
        cross_travel=cross,
        axial_travel=float(axial_travel(travel, alpha)),
        compound_reading=compound_reading,
        cross_reading=cross_reading,
        compound_split=_split(lathe.compound_dial, compound_reading, lathe.unit),
        cross_split=_split(lathe.cross_dial, cross_reading, lathe.unit),
        window=window,
        setups=setups,
        sensitivity=float(angle_per_graduation(travel, alpha, lathe.cross_dial)),
        assumptions=() if assumption is None else (assumption,),
        warnings=tuple(_warnings(cone, tolerance, travel, window, setups, lathe)),
    )


def _split(dial: Dial, reading: float, unit: str) -> DialReading:
    return dial.split(dial.settle(reading, unit))


def _swing(cone: Cone, lathe: Lathe, base: Angle) -> str:
    start = "0°" if lathe.base_zero == "parallel to bed" else "90°"
    return (
        f"Start from parallel to the bed (base reads {start}) and swing {cone.half_angle.dm()} "
        f"{swing_words(cone.internal)}. The base then reads about {base.dm()}."
    )


def _warnings(
    cone: Cone,
    tolerance: Angle,
    travel: float,
    window: tuple[float, float],
    setups: tuple[WholeGraduationSetup, ...],
    lathe: Lathe,
):
    if cone.half_angle > STEEPEST_FOR_SINE:
        yield (
            f"The half angle is {cone.half_angle.dm()}, past 45°: the cross reading loses its "
            "grip on the angle. Measure the axial travel instead: the half angle is the inverse "
            "cosine of axial ÷ compound travel."
        )
    if tolerance >= cone.half_angle:
        yield (
            f"The tolerance on the half angle, ±{tolerance.dm()}, is as wide as the half angle "
            "itself: ask what the print means."
        )
    if window[1] - window[0] < lathe.cross_dial.graduation:
        yield (
            "The whole window of cross readings is narrower than one graduation of the cross "
            "dial: use a longer travel, or a travel indicator instead of the dial."
        )
    lines = travel / lathe.compound_dial.movement_per_graduation
    if abs(lines - round(lines)) > 1e-6 * max(1.0, lines):
        yield "The compound travel falls between two graduations of the compound dial."
    if not setups:
        yield "No travel within reach brings the cross dial to a whole graduation."
