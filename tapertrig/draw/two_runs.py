"""A cone longer than the compound travel, cut in two runs: the wall, and the step at the seam."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tapertrig.angle import Angle
from tapertrig.budget import diameter_error
from tapertrig.draw.parts.magnified import magnification, signed_arc_text
from tapertrig.draw.parts.scene import Scene
from tapertrig.lathe import Lathe, length_text, places_written
from tapertrig.setup import axial_travel, cross_travel, runs_needed, seam_step

FACE_X, LOW_Y = 14.4, 2.6
LONGEST, HIGHEST, ROOM = 12.6, 3.6, 1.2
LARGEST_ERROR = Angle.from_dms(0, 5)
FOOT, TOP = 1.3, 7.6
BY_DIALS, BY_TOUCH = "the dials alone", "touching the wall at the seam"


@dataclass(frozen=True)
class TwoRunsState:
    """A cone, the lathe that cuts it, how far its slide is out, and how the runs are joined.

    `carriage_error` and `cross_error` are how much further than they should the slides went
    between the runs, by the dials alone; ValueError where two runs are too few.
    """

    half_angle: Angle
    length: float
    internal: bool
    lathe: Lathe
    angle_error: Angle
    joined: str = BY_DIALS
    carriage_error: float = 0.0
    cross_error: float = 0.0

    def __post_init__(self) -> None:
        if self.runs > 2:
            reach, unit = self.lathe.usable_travel(), self.lathe.unit
            most = 2 * float(axial_travel(reach, self.half_angle))
            raise ValueError(
                f"cone length is {length_text(self.length, unit)}; two runs of this slide make at "
                f"most {length_text(most, unit)} at this half angle, so it takes {self.runs} of "
                "them, each with its own seam"
            )

    @property
    def runs(self) -> int:
        """One or two; two where the slide's travel is not given."""
        reach = self.lathe.compound_reach
        return 2 if reach is None else runs_needed(self.length, self.half_angle, reach)

    @property
    def run(self) -> float:
        """Compound travel of each run, the runs alike."""
        return self.length / math.cos(self.half_angle.radians) / self.runs

    @property
    def carriage(self) -> float:
        """How far the carriage goes between the runs, towards the headstock."""
        return float(axial_travel(self.run, self.half_angle))

    @property
    def cross(self) -> float:
        """How far the cross slide goes with the wall between the runs."""
        return float(cross_travel(self.run, self.half_angle))

    @property
    def step(self) -> float:
        """Step on radius at the seam: positive where the second run cuts deeper."""
        if self.runs == 1 or self.joined == BY_TOUCH:
            return 0.0
        errors = self.carriage_error, self.cross_error
        return float(seam_step(self.run, self.half_angle, self.angle_error, *errors))

    @property
    def far_out(self) -> float:
        """What the far end's diameter is out by, the face right."""
        grown = float(diameter_error(self.length, self.half_angle, self.angle_error)) / 2
        return 2 * (grown - self.step) * (-1 if self.internal else 1)


def walls(state: TwoRunsState) -> tuple[NDArray[np.float64], NDArray[np.float64], float]:
    """Each run's wall as cut and as wanted, from the face on, and how often departures are drawn.

    Board units, (2 runs, 2 ends, 2) each; departures from the wall wanted are magnified.
    """
    slope = math.tan(state.half_angle.radians)
    k = min(LONGEST / state.length, HIGHEST / (state.length * slope))
    middle = state.length / state.runs
    depth = np.array([[0.0, middle], [middle, state.length]])
    drift = math.tan(state.half_angle.radians + state.angle_error.radians) - slope
    # Away from the metal of an external cone, into that of a bore.
    out = drift * depth - np.array([[0.0], [state.step]])
    # The same for every error of the slider, unless the moves between the runs were out by more.
    largest = float(diameter_error(state.length, state.half_angle, LARGEST_ERROR)) / 2
    times = magnification(max(float(np.abs(out).max()), largest) * k, ROOM)
    side = -1 if state.internal else 1
    x, up = FACE_X - k * depth, k * slope * (state.length - depth if state.internal else depth)
    wanted = np.stack([x, LOW_Y + up], axis=-1)
    return wanted + np.stack([0 * x, side * k * times * out], axis=-1), wanted, times


class TwoRunsScene(Scene):
    """Section of the wall; the spindle axis lies below it, the tailstock to the right."""

    def build(self) -> None:
        self.metal = self.area("brass", clear=True, zorder=2)
        self.wanted = self.line("guide", weight=1.1, zorder=5)
        self.cut = [self.line("compound", weight=2.0, zorder=6) for _ in range(2)]
        self.seam = self.line("cross", weight=2.4, zorder=8, linestyle="solid")
        self.caption("spindle axis below", 8.0, 0.25, 0.5, 0.5, role="axis")
        self.caption("headstock", 0.3, 0.25, 0, 0.5)
        self.caption("tailstock", 15.7, 0.25, 1, 0.5)
        self.error_words = self.label(role="angle", bold=True, free=False)
        self.drawn_words = self.label(size="small", free=False)
        self.step_words = self.label(role="cross", bold=True, leader=True)
        self.run_words = [self.label(role="compound", bold=True, leader=True) for _ in range(2)]
        self.wanted_words = self.label(size="small", leader=True)

    def move(self, state: TwoRunsState) -> None:
        cut, wanted, times = walls(state)
        hidden, unit = self.hide_answers, state.lathe.unit
        shown = wanted if hidden else cut
        two = state.runs == 2
        profile = shown.reshape(-1, 2)
        edge = TOP if state.internal else FOOT
        self.metal.set_xy([*profile, (profile[-1, 0], edge), (profile[0, 0], edge)])
        self.wanted.set_data(*wanted.reshape(-1, 2).T)
        for line, ends in zip(self.cut, shown, strict=True):
            line.set_data(*ends.T)
        self.cut[1].set_visible(two)
        seam = np.array([shown[0, 1], shown[1, 0]])
        self.seam.set_data(*seam.T)
        self.seam.set_visible(two and not hidden)
        clear = -90 if state.internal else 90
        for number, (wish, ends) in enumerate(zip(self.run_words, shown, strict=True), 1):
            words = f"run {number}: {'?' if hidden else length_text(state.run, unit)}"
            self.say_at(wish, words if two or number == 1 else "", ends.mean(0), clear)
        told = f"step {length_text(abs(state.step), unit, places_written(unit) + 1)} on radius"
        told = "step ?" if hidden else told if state.step else "no step"
        self.say_at(self.step_words, told if two else "", seam.mean(0), -clear)
        self.say_at(self.wanted_words, "wall wanted", wanted[1, 1], -clear)
        error = state.angle_error
        out = "true" if not error.arc_seconds else f"out by {signed_arc_text(error.radians)}"
        top = 11.4 if self.style.spare else 8.85
        told = f"half angle {state.half_angle.brief()}, slide {out}"
        self.put(self.error_words, told, 0.3, top, 0, 1)
        drawn = f"what it is out by: drawn {times:,.0f} times its size"
        self.put(self.drawn_words, "" if hidden else drawn, 0.3, top - 0.8, 0, 1)
