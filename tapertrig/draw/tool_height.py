"""A boring tool off centre height: end view at the face, and the hyperboloid that it leaves."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tapertrig.boring import HeightEffect, tool_height_effect
from tapertrig.cone import Cone
from tapertrig.draw.parts.magnified import arc_text, magnification
from tapertrig.draw.parts.scene import Scene
from tapertrig.lathe import length_text, places_written

VIEW_X, VIEW_Y, VIEW_RADIUS = 2.75, 4.3, 2.05
# The section shows the wall alone, as large as it goes: its end nearest the axis is at LOW_Y.
FACE_X, LOW_Y, PART_TOP, PART_FOOT = 15.4, 3.75, 7.4, 2.75
LONGEST, HIGHEST, ROOM = 8.6, 2.7, 0.75
BOW_Y, BOW_ROOM = 1.4, 0.42
POINTS = 61


@dataclass(frozen=True)
class HeightState:
    """A cone, the tool's height error (positive above centre), the end bored to size, the unit."""

    cone: Cone
    height_error: float
    right_at: str
    unit: str

    @cached_property
    def effect(self) -> HeightEffect:
        """What the error makes of the cone."""
        return tool_height_effect(self.cone, self.height_error, self.right_at, POINTS)

    @property
    def scale(self) -> float:
        """Board units per unit of length in the section."""
        length = self.cone.length or math.nan
        return min(LONGEST / length, 2 * HIGHEST / (length * self.cone.taper))

    @property
    def wanted(self) -> NDArray[np.float64]:
        """Radius of the cone that was wanted, face to far end."""
        return self.cone.diameter_at(self.effect.depth) / 2

    @property
    def magnification(self) -> float:
        """How many times their size the departures from the wanted cone are drawn."""
        if not self.height_error:
            return 1.0
        out = np.abs(self.effect.radius - self.wanted).max()
        return magnification(float(out) * self.scale, ROOM)

    @property
    def bow_magnification(self) -> float:
        """How many times its size the wall's departure from its best-fit cone is drawn."""
        if not self.height_error:
            return 1.0
        return magnification(float(np.abs(self.effect.departure).max()) * self.scale, BOW_ROOM)


def profiles(state: HeightState) -> NDArray[np.float64]:
    """Wanted cone, profile as cut and best-fit cone, face to far end: board units, (3, n, 2).

    Departures on radius from the wanted cone are magnified, all alike.
    """
    effect, k, times = state.effect, state.scale, state.magnification
    wanted = state.wanted
    # The departure is square to the wall; on the radius it is longer by 1/cos.
    fitted = effect.radius - effect.departure / math.cos(effect.half_angle.radians)
    x = FACE_X - k * effect.depth
    radii = (wanted, wanted + times * (effect.radius - wanted), wanted + times * (fitted - wanted))
    low = wanted.min()
    return np.array([np.column_stack([x, LOW_Y + k * (radius - low)]) for radius in radii])


def bow(state: HeightState) -> NDArray[np.float64]:
    """The wall beside its best-fit cone laid level, face to far end: board units, (n, 2).

    Up is away from the axis.
    """
    k = state.scale
    out = k * state.bow_magnification * state.effect.departure
    return np.column_stack([FACE_X - k * state.effect.depth, BOW_Y + out])


def tool_point(state: HeightState) -> NDArray[np.float64]:
    """Tool point at the face in the end view seen from the tailstock, board units.

    The operator stands to the left, where a boring tool cuts; all is drawn true.
    """
    radius = float(state.effect.radius[0])
    k = VIEW_RADIUS / radius
    path = math.sqrt(max(radius**2 - state.height_error**2, 0.0))
    return np.array([VIEW_X - k * path, VIEW_Y + k * state.height_error])


class ToolHeightScene(Scene):
    """End view at the left, section of the wall at the right."""

    def build(self) -> None:
        turn = np.linspace(0, 2 * np.pi, 90)
        ring = np.column_stack([np.cos(turn), np.sin(turn)])
        middle = np.array([VIEW_X, VIEW_Y])
        self.area("metal", middle + 1.22 * VIEW_RADIUS * ring, moving=False, zorder=1, clear=True)
        self.area("paper", middle + VIEW_RADIUS * ring, moving=False, zorder=2, clear=True)
        reach = 1.25 * VIEW_RADIUS
        self.line("axis", [VIEW_X - reach, VIEW_X + reach], [VIEW_Y] * 2, weight=0.6, moving=False)
        self.line("axis", [VIEW_X] * 2, [VIEW_Y - reach, VIEW_Y + reach], weight=0.6, moving=False)
        self.caption("seen from the tailstock", 0.2, 1.15, 0, 1)
        self.caption("operator ←", 0.2, 0.6, 0, 1)
        self.bar = self.area("brass", zorder=3)
        self.radius = self.line("compound", weight=1.2, zorder=6)
        self.height = self.line("cross", weight=1.8, zorder=7)
        self.caption("spindle axis ↓", 15.8, 2.2, 1, 0, role="axis")
        self.level = self.line("angle", weight=1.0, zorder=6)
        self.bow = self.line("compound", weight=1.8, zorder=7)
        self.bow_drawn_words = self.label(size="small", free=False)
        self.part = self.area("metal", clear=True, zorder=2)
        self.wanted = self.line("guide", weight=1.1, zorder=5)
        self.fitted = self.line("angle", weight=1.0, zorder=6)
        self.cut = self.line("compound", weight=1.8, zorder=7)
        self.height_words = self.label(role="cross", bold=True, free=False)
        self.angle_words = self.label(role="angle", bold=True, free=False)
        self.bow_words = self.label(role="compound", bold=True, free=False)
        self.drawn_words = self.label(size="small", free=False)
        self.cut_words = self.label(role="compound", size="small", bold=True, leader=True)
        self.wanted_words = self.label(size="small", leader=True)
        self.fitted_words = self.label(role="angle", size="small", bold=True, leader=True)

    def move(self, state: HeightState) -> None:
        self._move_view(state)
        self._move_section(state)
        self._say(state)

    def _move_view(self, state: HeightState) -> None:
        tip = tool_point(state)
        self.bar.set_xy(
            [tip, tip + [0.5, 0.16], tip + [1.5, 0.16], tip + [1.5, -0.34], tip + [0.3, -0.34]]
        )
        self.radius.set_data([VIEW_X, tip[0]], [VIEW_Y, tip[1]])
        self.height.set_data([tip[0], tip[0]], [VIEW_Y, tip[1]])

    def _move_section(self, state: HeightState) -> None:
        wanted, cut, fitted = profiles(state)
        shown = wanted if self.hide_answers else cut
        self.cut.set_data(*shown.T)
        self.wanted.set_data(*wanted[[0, -1]].T)
        self.fitted.set_data(*fitted[[0, -1]].T)
        changed = state.height_error != 0 and not self.hide_answers
        self.fitted.set_visible(changed)
        edge = PART_TOP if state.cone.internal else PART_FOOT
        ends = np.array([[wanted[-1, 0], edge], [wanted[0, 0], edge]])
        self.part.set_xy(np.concatenate([shown, ends]))
        self.level.set_data([wanted[-1, 0], wanted[0, 0]], [BOW_Y, BOW_Y])
        self.bow.set_data(*bow(state).T)
        for line in (self.level, self.bow):
            line.set_visible(changed)
        quarter, middle = POINTS // 4, POINTS // 2
        self.say_at(self.cut_words, "as cut" if changed else "", cut[middle], 100)
        self.say_at(self.wanted_words, "wanted", wanted[quarter], -80)
        self.say_at(
            self.fitted_words,
            "best-fit cone" if changed else "",
            (fitted[0] + 0.75 * (fitted[-1] - fitted[0])),
            -100,
        )

    def _say(self, state: HeightState) -> None:
        unit, error = state.unit, state.height_error
        where = "above" if error > 0 else "below"
        told = f"tool {length_text(abs(error), unit)} {where}" if error else "tool at centre"
        self.put(self.height_words, told, 0.2, 8.85, 0, 1)
        effect, hidden = state.effect, self.hide_answers
        angle = f"{arc_text(effect.angle_error)} too small" if error else "true"
        angle = "?" if hidden else angle
        self.put(self.angle_words, f"best-fit half angle {angle}", 15.8, 8.85, 1, 1)
        bow = "?" if hidden else length_text(effect.straightness, unit, places_written(unit) + 2)
        self.put(self.bow_words, f"out of straight {bow}", 15.8, 8.15, 1, 1)
        shown = error != 0 and not hidden
        drawn = f"error of the wall drawn {state.magnification:,.0f} times"
        self.put(self.drawn_words, drawn if shown else "", 6.8, 2.2, 0, 0)
        drawn = f"beside best-fit cone, drawn {state.bow_magnification:,.0f} times"
        self.put(self.bow_drawn_words, drawn if shown else "", 15.8, 0.15, 1, 0)
