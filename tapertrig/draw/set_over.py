"""A slight taper between centres: the tailstock set over, seen from above."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tapertrig.angle import Angle
from tapertrig.draw.parts.machine import HEADSTOCK, POST, TAILSTOCK, Body
from tapertrig.draw.parts.scene import BOARD_WIDTH, Scene, box
from tapertrig.lathe import length_text
from tapertrig.setup import (
    half_angle_of_set_over,
    set_over,
    set_over_by_rule,
)

HEAD = np.array([3.2, 5.2])
LONG, RADIUS, TIMES = 8.0, 1.5, 2  # angles are drawn so many times as large
SIZE = 0.5
MOST = Angle.from_dms(4)


@dataclass(frozen=True)
class SetOverState:
    """Work between centres: `work_length` is that between the centre points.

    What was not given is None: the length over all, how far the tailstock sets over to one side,
    and how long a piece the lathe takes between its centres.
    """

    half_angle: Angle
    work_length: float
    unit: str
    overall: float | None = None
    most: float | None = None
    between: float | None = None

    @property
    def set_over(self) -> float:
        """The set-over, unit of the work."""
        return float(set_over(self.work_length, self.half_angle))

    @property
    def by_rule(self) -> float:
        """What the shop rule sets over."""
        return float(set_over_by_rule(self.work_length, self.half_angle))

    def out_by(self, offset: float) -> Angle:
        """How much too steep the cone comes out with another set-over."""
        return half_angle_of_set_over(self.work_length, offset) - self.half_angle

    @property
    def steepest(self) -> Angle | None:
        """The steepest half angle that this tailstock reaches on this work; None: not given."""
        if self.most is None or self.most >= self.work_length:
            return None
        return half_angle_of_set_over(self.work_length, self.most)

    @property
    def whole(self) -> float:
        """What must go between the lathe's centres: all of the work, as far as it is known."""
        return self.overall or self.work_length

    @property
    def verdict(self) -> str:
        """Whether this lathe can do it."""
        if self.between is not None and self.whole > self.between:
            return "longer than this lathe takes"
        if self.most is not None and self.set_over > self.most:
            return "further than this tailstock goes"
        known = self.most is not None and self.between is not None
        return "within what this lathe can do" if known else "can it? not all is given"


def work_outline(half_angle: Angle) -> NDArray[np.float64]:
    """The work from above, its near side along the bed: board units, (4, 2).

    Near and far corner at the headstock, then far and near corner at the tailstock.
    """
    along, square = _frame(half_angle)
    end, small = HEAD + LONG * along, RADIUS - LONG * math.tan(TIMES * half_angle.radians)
    corners = [HEAD - RADIUS * square, HEAD + RADIUS * square]
    return np.array([*corners, end + small * square, end - small * square])


def _frame(half_angle: Angle) -> NDArray[np.float64]:
    """Along the work's axis towards the tailstock, and square to it, away from the operator."""
    turn = TIMES * half_angle.radians
    return np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])


class SetOverScene(Scene):
    """Headstock, work, dog and tailstock from above; the set-over and the half angle."""

    def build(self) -> None:
        x, y = HEAD
        Body(self, HEADSTOCK, 1.5, moving=False).put((x + 0.5, y), SIZE)
        self.area("metal", box(x - 0.6, y - 2.2, x - 0.35, y + 2.2), moving=False, clear=True)
        centre = [(x - 0.35, y - 0.2), (x, y), (x - 0.35, y + 0.2)]
        self.area("paper", centre, moving=False, zorder=6)
        self.line("axis", [0.3, 15.7], [y, y], weight=0.6, zorder=7)
        self.caption("spindle axis", 0.3, y + 0.08, 0, 0, role="axis")
        self.caption("operator's side", 15.7, 0.1, 1, 0)
        self.work = self.area("brass", clear=True, zorder=3)
        self.dog = self.area("metal", clear=True, zorder=4)
        self.tailstock = Body(self, TAILSTOCK, 2, named=True, right=BOARD_WIDTH)
        self.quill = self.area("metal", clear=True, zorder=2.5)
        self.dead = self.area("paper", zorder=6)
        near = y - RADIUS
        Body(self, POST, 2, moving=False).put((6.2, near - 1.6), SIZE)
        tool = [(6.0, near - 1.1), (6.35, near - 1.1), (6.35, near - 0.2), (6.0, near)]
        self.area("metal", tool, moving=False, clear=True, zorder=4)
        self.path = self.line("compound", weight=1.6, zorder=6)
        self.axis = self.line("guide", weight=1.0, zorder=7)
        self.between = self.line("axial", weight=1.2, zorder=6)
        self.offset = self.line("cross", weight=2.2, zorder=8, linestyle="solid")
        self.arc = self.line("angle", weight=1.2, zorder=8)
        self.angle_words = self.label(role="angle", bold=True, leader=True)
        self.offset_words = self.label(role="cross", bold=True, leader=True)
        self.length_words = self.label(role="axial", bold=True, leader=True)
        self.path_words = self.label(role="compound", size="small", leader=True)
        self.verdict_words = self.label(bold=True, free=False)
        self.drawn_words = self.label(size="small", free=False)
        self.dog_name, self.plate_name, self.work_name = self.name(1), self.name(), self.name()

    def move(self, state: SetOverState) -> None:
        along, square = _frame(state.half_angle)
        end = HEAD + LONG * along
        corners = work_outline(state.half_angle)
        self.work.set_xy(corners)
        dog = [(0.15, -1.7), (0.45, -1.7), (0.45, 1.95), (-0.5, 1.95), (-0.5, 1.75), (0.15, 1.75)]
        self.dog.set_xy(HEAD + np.array(dog) @ np.array([along, square]))
        x, y = end
        self.dead.set_xy([(x + 0.35, y - 0.2), (x, y), (x + 0.35, y + 0.2)])
        self.quill.set_xy(box(x + 0.35, y - 0.4, x + 1.3, y + 0.4))
        self.tailstock.put((x + 1.3, y), SIZE)
        self.path.set_data([corners[0, 0] + 0.8, corners[3, 0]], corners[[0, 3], 1])
        self.axis.set_data(*np.array([HEAD, end + 0.3 * along]).T)
        self.between.set_data(*np.array([HEAD + 2.5 * square, end + 2.5 * square]).T)
        self.offset.set_data([x + 0.8] * 2, [HEAD[1], y])
        turn = np.linspace(0, TIMES * state.half_angle.radians, 12)
        self.arc.set_data(HEAD[0] + 5 * np.cos(turn), HEAD[1] - 5 * np.sin(turn))
        self._say(state, end, square)

    def _say(self, state: SetOverState, end: NDArray, square: NDArray) -> None:
        unit, hidden = state.unit, self.hide_answers
        middle = (HEAD + end) / 2
        at = np.array([HEAD[0] + 5, (HEAD[1] + middle[1]) / 2])
        self.say_at(self.angle_words, f"α {state.half_angle.brief()}", at, 20)
        told = f"set-over {'?' if hidden else length_text(state.set_over, unit)}"
        self.say(self.offset_words, told, end[0] + 0.8, (HEAD[1] + end[1]) / 2, 75)
        told = f"L {length_text(state.work_length, unit)}, point to point"
        self.say_at(self.length_words, told, middle + 2.5 * square, 90)
        self.say(self.path_words, "the tool goes along the bed", 8.6, HEAD[1] - RADIUS, -90)
        top = 11.3 if self.style.spare else 8.9
        self.put(self.verdict_words, "" if hidden else state.verdict, 0.3, top, 0, 1)
        drawn = f"angle drawn {TIMES} times its size"
        self.put(self.drawn_words, drawn, 0.3, 0.1, 0, 0)
        self.say(self.dog_name, "dog", HEAD[0] + 0.3, HEAD[1] - 1.65, -90)
        self.say(self.plate_name, "driving plate", HEAD[0] - 0.5, HEAD[1] - 2.1, -100)
        self.say_at(self.work_name, "work", middle + 0.6 * square + [1.5, 0], 90)
