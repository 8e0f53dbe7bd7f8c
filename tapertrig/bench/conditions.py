"""What a bench is before anything is done on it: lathe, job, quill, indicator, and its chances."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from tapertrig.angle import Angle, half_angle_radians
from tapertrig.bench.lost_motion import SCREWS, PitchError, WhichScrew
from tapertrig.budget.slide_angle import FEEL, TYPICAL
from tapertrig.lathe import Dial, Lathe, length_text
from tapertrig.limits import not_negative, one_of, positive
from tapertrig.procedure import AXIAL, BLOCKS, BY_EYE, CROSS, EVERY_ROUTE, TAPER

FLATTEST, STEEPEST = math.radians(0.5), math.radians(89.5)
# Common practice, no source: the smallest swing a tap gives, and what drawing up the bolts may do.
TAP_STEP = Angle.from_dms(0, 0, 15)
SNUG_SHIFT = Angle.from_dms(0, 1)
# Common practice, no source: a lever indicator, how far a loose carriage lets the tool stray, and
# what is assumed of a lathe whose reach or backlash is not given.
USUAL = {
    "in": {
        "indicator_range": 0.030,
        "indicator_graduation": 0.0005,
        "indicator_repeatability": 0.0001,
        "carriage_shake": 0.004,
        "compound_reach": 3.0,
        "backlash": 0.010,
    },
    "mm": {
        "indicator_range": 0.8,
        "indicator_graduation": 0.01,
        "indicator_repeatability": 0.002,
        "carriage_shake": 0.1,
        "compound_reach": 75.0,
        "backlash": 0.25,
    },
}

ASSUMED = ("compound_reach", "backlash")
# A length left out: the usual one on a lathe of this unit takes its place.
LEFT_OUT: Any = None


@dataclass(frozen=True)
class BenchConditions:
    """What a bench is before anything is done on it. Lengths in the lathe's unit.

    - `compound_travel`: the travel planned for the check (0.8 of the reach, on a whole
      graduation, if not given); `internal`: whether the cone is bored;
    - `route`: by the cross travel along the quill (the compound by its dial or by gauge blocks), by
      the axial travel off a face, or along a known taper;
    - `quill_slope`: how far the quill's side comes towards you per unit of length towards the
      headstock (0.0005 is 1.7′), on the axial route how far the face falls back towards it per
      unit of radius, along a taper how much steeper its side is than the half angle;
      `quill_length`: of the side that can be indicated; `taper_lean`: how far the taper's axis
      leans, which half a turn of the spindle turns round;
    - `indicator_range`, `indicator_graduation`; `indicator_repeatability` (a half-width);
    - `eye_error`: the compound base set by eye is out by up to this; `tap_scatter` (a share) and
      `tap_step`: a swing by taps misses by up to tap_scatter × swing + tap_step; `snug_shift`:
      drawing up the bolts swings the compound by up to this;
    - `carriage_shake`: how far a loose carriage lets the tool stray, to either side;
    - `half_angle_tolerance`: what the passes are to prove, if anything.

    None stands for the usual value on a lathe of this unit (common practice, no source). What the
    lathe does not give is assumed, and `assumed` says so.
    """

    lathe: Lathe
    half_angle: Angle
    compound_travel: float = LEFT_OUT
    internal: bool = True
    seed: int = 0
    quill_slope: float = 0.0
    quill_length: float = LEFT_OUT
    indicator_range: float = LEFT_OUT
    indicator_graduation: float = LEFT_OUT
    indicator_repeatability: float = LEFT_OUT
    compound_pitch: PitchError = field(default_factory=PitchError)
    cross_pitch: PitchError = field(default_factory=PitchError)
    eye_error: Angle = BY_EYE
    tap_scatter: float = 0.1
    tap_step: Angle = TAP_STEP
    snug_shift: Angle = SNUG_SHIFT
    carriage_shake: float = LEFT_OUT
    route: str = CROSS
    half_angle_tolerance: Angle | None = None
    taper_lean: Angle = field(default_factory=lambda: Angle.from_dms(0))

    def __post_init__(self) -> None:
        if not FLATTEST <= half_angle_radians(self.half_angle) <= STEEPEST:
            raise ValueError(
                f"half angle is {self.half_angle}; the bench takes 0°30′ to 89°30′, as 26°55′"
            )
        one_of("route", self.route, EVERY_ROUTE)
        reach, step = self.reach("compound"), self.lathe.compound_dial.movement_per_graduation
        usual = {
            **{k: v for k, v in USUAL[self.lathe.unit].items() if k not in ASSUMED},
            "compound_travel": round(max(1, math.floor(0.8 * reach / step + 1e-6)) * step, 12),
            "quill_length": 1.3 * reach,
        }
        for name, value in usual.items():
            given = getattr(self, name)
            fits = (
                not_negative if name in ("indicator_repeatability", "carriage_shake") else positive
            )
            checked = fits(name.replace("_", " "), value if given is None else given, value)
            object.__setattr__(self, name, checked)
        if self.lathe.compound_reach is not None:
            self.lathe.check_reach(self.compound_travel)
        if self.indicator_range < 4 * self.indicator_graduation:
            raise ValueError(
                f"indicator range {self.indicator_range:g} holds fewer than four graduations of "
                f"{self.indicator_graduation:g}; for example 0.030 and 0.0005"
            )
        if abs(self.quill_slope) > 0.05:
            raise ValueError(
                f"quill slope is {self.quill_slope:g}; it must lie within ±0.05, as 0.0005"
            )
        if not_negative("tap scatter", self.tap_scatter, 0.1) >= 1:
            raise ValueError(f"tap scatter is {self.tap_scatter:g}; it must be below 1, as 0.1")
        for name in ("eye_error", "tap_step", "snug_shift"):
            angle = getattr(self, name)
            if not 0 <= angle.degrees <= 5:
                raise ValueError(
                    f"{name.replace('_', ' ')} is {angle}; it must be an Angle from 0° to 5°, "
                    "as Angle.from_dms(0, 1)"
                )
        for screw in SCREWS:
            pitch, lead = self.pitch(screw), self.lead(screw)
            if abs(pitch.wave) * 2 * math.pi / lead >= 0.5:
                raise ValueError(
                    f"{screw} pitch error wave is {pitch.wave:g} on a lead of {lead:g}; the slide "
                    "would stand still or run back; for example 0.0002"
                )

    @property
    def outward(self) -> int:
        """Which way the slide leaves the axis: 1 to the headstock (external), −1 (internal)."""
        return -1 if self.internal else 1

    @property
    def away(self) -> int:
        """Which way the compound runs clear: 1 towards the headstock, −1 towards the tailstock.

        Off the quill by the way that leaves the axis, off a face always towards the tailstock;
        along a taper from its small end, at the tailstock.
        """
        if self.route == TAPER:
            return 1
        return -1 if self.route == AXIAL else self.outward

    @property
    def bears_from(self) -> int:
        """Which side the tip bears from: 1 the operator's, −1 the far side of a taper."""
        return self.outward if self.route == TAPER else 1

    @property
    def assumed(self) -> tuple[str, ...]:
        """What the lathe does not give and the bench plays with, one sentence each."""
        lathe, unit = self.lathe, self.lathe.unit
        told = [
            f"Backlash of the {name} screw is not given: {length_text(self.backlash(name), unit)} "
            "is assumed."
            for name, given in zip(
                SCREWS, (lathe.compound_backlash, lathe.cross_backlash), strict=True
            )
            if given is None
        ]
        if lathe.base_zero is None:
            told.append("Which zero the base uses is not given: parallel to the bed is assumed.")
        if lathe.compound_reach is None:
            reach = length_text(self.reach("compound"), unit, 2)
            told.append(f"Usable compound travel is not given: {reach} is assumed.")
        return tuple(told)

    @property
    def cross_reach(self) -> float:
        """How far the cross slide can go: twice the compound's reach."""
        return 2 * self.reach("compound")

    @property
    def quill_radius(self) -> float:
        """Half the quill's diameter, for a plan view only; no angle depends on it."""
        return 0.25 * self.reach("compound")

    @property
    def face(self) -> float:
        """Where the face of the axial route stands, towards the headstock from the middle."""
        return 0.8 * self.reach("compound")

    def dial(self, screw: WhichScrew) -> Dial:
        """The dial of that screw."""
        return self.lathe.compound_dial if screw == "compound" else self.lathe.cross_dial

    def backlash(self, screw: WhichScrew) -> float:
        """The lost motion of that screw, as given or assumed."""
        lathe = self.lathe
        given = lathe.compound_backlash if screw == "compound" else lathe.cross_backlash
        return USUAL[lathe.unit]["backlash"] if given is None else given

    def reach(self, screw: WhichScrew) -> float:
        """How far that slide can go, as given or assumed."""
        if screw == "cross":
            return self.cross_reach
        given, travel = self.lathe.compound_reach, self.compound_travel
        if given is not None:
            return given
        return max(USUAL[self.lathe.unit]["compound_reach"], 1.25 * (travel or 0.0))

    @cached_property
    def _leads(self) -> dict[str, float]:
        return {name: float(self.dial(name).movement(self.dial(name).per_turn)) for name in SCREWS}

    def lead(self, screw: WhichScrew) -> float:
        """Slide movement in one turn of that handwheel."""
        return self._leads[screw]

    def pitch(self, screw: WhichScrew) -> PitchError:
        """The pitch error of that screw."""
        return self.compound_pitch if screw == "compound" else self.cross_pitch

    def farthest(self, screw: WhichScrew) -> float:
        """The handwheel position at which the slide stands hard against its front end."""
        return self.reach(screw) + self.backlash(screw)

    def farthest_out(self, half_angle: Angle | None = None) -> Angle:
        """The most that the angle read in one faultless pass can differ from the true one.

        Every part at its limit and all the same way: a quarter graduation of each dial, two
        scatters of the null and the quarter graduation unseen on the indicator, screws, quill.
        At the wanted half angle if no other is given.
        """
        alpha = half_angle_radians(self.half_angle if half_angle is None else half_angle)
        travel, unseen = self.compound_travel, self.indicator_graduation / 4
        compound = self.dial("compound").movement_per_graduation / 4 + self.compound_pitch.most(
            travel
        )
        null = 2 * self.indicator_repeatability + unseen
        if self.route == BLOCKS:
            unit = self.lathe.unit
            compound = 2 * FEEL[unit] + TYPICAL[unit]["block_error"] * travel
        if self.route == TAPER:
            return Angle.from_radians(null * math.cos(alpha) / travel + abs(self.quill_slope))
        if self.route == AXIAL:
            side = travel * math.cos(alpha)
            out = null + abs(self.quill_slope) * travel * math.sin(alpha)
            near = math.acos(min((side + out) / (travel - compound), 1.0))
            far = math.acos(max((side - out) / (travel + compound), 0.0))
            return Angle.from_radians(max(alpha - near, far - alpha))
        side = travel * math.sin(alpha)
        cross = (
            self.dial("cross").movement_per_graduation / 4
            + null
            + self.cross_pitch.most(side)
            + abs(self.quill_slope) * travel * math.cos(alpha)
        )
        sine = min((side + cross) / (travel - compound), 1.0)
        return Angle.from_radians(math.asin(sine) - alpha)
