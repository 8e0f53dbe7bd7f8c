"""A true gauge on a cone whose half angle is out: contact at one end, a gap at the other."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tapertrig.angle import Angle
from tapertrig.budget import GaugeFit, blue_length, diameter_error, gauge_fit
from tapertrig.cone import Cone
from tapertrig.draw.parts.magnified import magnification, signed_arc_text
from tapertrig.draw.parts.scene import Scene
from tapertrig.lathe import length_text, places_written

AXIS_Y, FACE_X = 3.85, 9.8
LONGEST, WIDEST = 6.4, 2.25
ROOM = 0.75
GRIP = 2.4
LARGEST_ERROR = Angle.from_dms(0, 10)


@dataclass(frozen=True)
class EffectState:
    """A cone as the print wants it, how far its half angle is out, and the unit of its lengths.

    `film` is how thick the gauge is wiped with blue, None where nobody has said.
    """

    cone: Cone
    angle_error: Angle
    unit: str
    film: float | None = None

    @cached_property
    def fit(self) -> GaugeFit:
        """How the true gauge sits."""
        return gauge_fit(self.cone, self.angle_error)

    @property
    def scale(self) -> float:
        """Board units per unit of length."""
        cone = self.cone
        widest = cone.face_diameter / 2
        if not cone.internal:
            widest += self.length * cone.taper / 2
        return min(LONGEST / self.length, WIDEST / widest)

    @property
    def length(self) -> float:
        """The cone's length; not a number when it has none."""
        return self.cone.length or math.nan

    @property
    def wall(self) -> float:
        """Length of the wall, the cone's length being along the axis."""
        return self.length / math.cos(self.cone.half_angle.radians)

    @property
    def blue(self) -> float | None:
        """How far along the wall blue shows from where the gauge touches."""
        if self.film is None:
            return None
        if not self.angle_error.arc_seconds:
            return self.wall
        return min(self.wall, float(blue_length(self.film, self.angle_error)))

    @property
    def magnification(self) -> float:
        """How many times its size the gap is drawn: the same for every error on one cone."""
        cone = self.cone
        most = diameter_error(self.length, cone.half_angle, LARGEST_ERROR) / 2
        return magnification(float(most) * self.scale, ROOM)

    @property
    def gauge(self) -> str:
        """The gauge that fits this cone."""
        return "plug gauge" if self.cone.internal else "ring gauge"


def walls(state: EffectState) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Wall of the gauge and of the part above the axis, face to far end: board units, (2, 2) each.

    The gauge is drawn true; the clearance between the two is magnified.
    """
    cone, k = state.cone, state.scale
    depth = np.array([0.0, cone.length])
    radius = cone.diameter_at(depth) / 2 * k
    x = FACE_X - depth * k
    clear = state.fit.gap_on_radius * k * state.magnification
    at_face = state.fit.gap_at == ("large end" if cone.internal else "small end")
    gap = np.array([clear, 0.0] if at_face else [0.0, clear])
    part = radius + gap if cone.internal else radius - gap
    return np.column_stack([x, AXIS_Y + radius]), np.column_stack([x, AXIS_Y + part])


def mirrored(points: NDArray[np.float64]) -> NDArray[np.float64]:
    """The same points below the axis."""
    return [0, 2 * AXIS_Y] + points * [1, -1]


class AngleEffectScene(Scene):
    """Section of part and gauge along the axis."""

    def build(self) -> None:
        self.line("axis", [0.3, 15.6], [AXIS_Y, AXIS_Y], weight=0.6, zorder=6)
        self.caption("spindle axis", 15.6, AXIS_Y + 0.08, 1, 0, role="axis")
        # What lies on the axis is one outline; what lies around it shows as two.
        self.inside = self.area("brass", clear=True, zorder=3)
        self.around = [self.area("metal", clear=True, zorder=2) for _ in range(2)]
        self.contact = self.line(
            "compound",
            marker="o",
            markersize=6 * self.style.scale,
            linestyle="none",
            zorder=8,
        )
        self.blue = [self.line("compound", weight=4.0, zorder=7) for _ in range(2)]
        self.gap = self.line("cross", weight=1.6, zorder=8, linestyle="solid")
        self.error_words = self.label(bold=True, role="angle", free=False)
        self.drawn_words = self.label(size="small", free=False)
        self.contact_words = self.label(role="compound", bold=True, leader=True)
        self.gap_words = self.label(role="cross", bold=True, leader=True)
        self.part_words = self.label(size="small", leader=True)
        self.gauge_words = self.label(size="small", leader=True)

    def move(self, state: EffectState) -> None:
        gauge, part = walls(state)
        if self.hide_answers:
            part = gauge
        if state.cone.internal:
            self._draw_plug(gauge, part)
        else:
            self._draw_ring(gauge, part)
        self._mark(state, gauge, part)
        self._say(state)

    def _outline(self, inside: list, around: list, metal_inside: bool) -> None:
        upper = np.array(inside, float)
        self.inside.set_xy(np.concatenate([upper, mirrored(upper)[::-1]]))
        upper = np.array(around, float)
        for patch, points in zip(self.around, (upper, mirrored(upper)), strict=True):
            patch.set_xy(points)
            patch.set_facecolor(self.style.colour("brass" if metal_inside else "metal"))
        self.inside.set_facecolor(self.style.colour("metal" if metal_inside else "brass"))

    def _draw_plug(self, gauge: NDArray, part: NDArray) -> None:
        (face_x, face_y), (far_x, far_y) = part
        top = AXIS_Y + WIDEST + ROOM + 0.45
        (large_x, large_y), (small_x, small_y) = gauge
        self.grip = AXIS_Y + 0.6 * (large_y - AXIS_Y)
        self._outline(
            [
                (small_x, small_y),
                (large_x, large_y),
                (large_x + 0.12, large_y),
                (large_x + 0.12, self.grip),
                (large_x + GRIP, self.grip),
            ],
            [(far_x, far_y), (face_x, face_y), (face_x, top), (far_x, top)],
            metal_inside=False,
        )

    def _draw_ring(self, gauge: NDArray, part: NDArray) -> None:
        (face_x, face_y), (far_x, far_y) = part
        (small_x, small_y), (large_x, large_y) = gauge
        top = AXIS_Y + WIDEST + 0.75
        self._outline(
            [(far_x - 1.6, far_y), (far_x, far_y), (face_x, face_y)],
            [(large_x, large_y), (small_x, small_y), (small_x, top), (large_x, top)],
            metal_inside=True,
        )

    def _mark(self, state: EffectState, gauge: NDArray, part: NDArray) -> None:
        places = places_written(state.unit) + 1
        fit = state.fit
        touching = int(np.argmin(np.abs(part[:, 1] - gauge[:, 1])))
        open_end = 1 - touching
        everywhere = fit.gap == 0
        shown = not self.hide_answers
        spots = gauge if everywhere else gauge[[touching]]
        above_and_below = np.concatenate([spots, mirrored(spots)])
        self.contact.set_data(*above_and_below.T)
        self.contact.set_visible(shown)
        share = (state.blue or 0.0) / state.wall
        shows = gauge[touching] + np.outer([0.0, share], gauge[open_end] - gauge[touching])
        for line, points in zip(self.blue, (shows, mirrored(shows)), strict=True):
            line.set_data(*points.T)
            line.set_visible(shown and bool(share))
        self.gap.set_data(*np.array([gauge[open_end], part[open_end]]).T)
        self.gap.set_visible(shown and not everywhere)
        words = "touches all along" if everywhere else f"{fit.contact} touches"
        x, y = gauge[touching]
        aside = 180 if touching else 0  # words of the face stand to the right of it
        self.say(self.contact_words, words if shown else "", x, 2 * AXIS_Y - y, aside)
        # The mark is drawn square to the axis, so it is the gap on radius that belongs to it.
        gap = f"gap {length_text(fit.gap_on_radius, state.unit, places)} on radius"
        x, y = (gauge[open_end] + part[open_end]) / 2
        self.say(self.gap_words, gap if shown and not everywhere else "", x, y, 180 - aside)

    def _say(self, state: EffectState) -> None:
        error = state.angle_error
        out = "true" if not error.arc_seconds else f"out by {signed_arc_text(error.radians)}"
        half_angle = state.cone.half_angle.brief()
        top = 11.4 if self.style.spare else 8.85
        self.put(self.error_words, f"half angle {half_angle}, {out}", 0.3, top, 0, 1)
        drawn = f"gap drawn {state.magnification:,.0f} times its size"
        x, y = (0.3, 10.5) if self.style.spare else (15.7, 8.8)
        self.put(self.drawn_words, drawn, x, y, 0 if self.style.spare else 1, 1)
        end = FACE_X - state.length * state.scale
        if state.cone.internal:
            names = (end + 0.4, AXIS_Y + WIDEST + ROOM + 0.45), (FACE_X + GRIP / 2, self.grip)
        else:
            names = (end - 1.2, AXIS_Y + 0.4), (FACE_X - 0.3, AXIS_Y + WIDEST + 0.75)
        self.say(self.part_words, "part", *names[0], 100)
        self.say(self.gauge_words, state.gauge, *names[1], 60)
