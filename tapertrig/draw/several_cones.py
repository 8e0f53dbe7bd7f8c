"""Relief, seat and throat of one bore in section, and what a cut does to their edges."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tapertrig.angle import Angle
from tapertrig.boring import Edge
from tapertrig.budget import GaugeFit, seat_and_plug
from tapertrig.draw.parts.dial import DialCollar
from tapertrig.draw.parts.scene import Scene
from tapertrig.lathe import Lathe, length_text
from tapertrig.several_cones import SeveralCones, Wall

NAMES = ("relief", "seat", "throat")
SEAT = 1
FACE_X, HOLE_Y, LEFT, BOTTOM = 9.2, 7.5, 0.3, 0.9
WIDE, TALL = 7.8, 5.6
DIAL_X, DIAL_Y = 13.2, 7.2
MOST_CUT = {"in": 0.05, "mm": 1.2}


@dataclass(frozen=True)
class ConesState:
    """The bore as printed, the cone that is cut deeper and how far, and the plug's half angle.

    `cross` is slide movement away from the axis.
    """

    bore: SeveralCones
    cut: int
    cross: float
    plug: Angle
    lathe: Lathe

    @cached_property
    def after(self) -> SeveralCones:
        """The bore after the cut."""
        return self.bore.after_cut(self.cut, cross=self.cross)

    @property
    def seat(self) -> Wall | None:
        """What is left of the seat; None where the cut has taken it away."""
        return self.after.walls[SEAT]

    @property
    def carriage(self) -> float:
        """The same cut by the carriage, towards the headstock."""
        return 2 * self.cross / self.after.cones[self.cut].taper

    @property
    def reading(self) -> float:
        """What the cross dial shows, zeroed where this cone was cut last."""
        return float(self.lathe.cross_dial.reading(self.cross))

    @cached_property
    def fit(self) -> GaugeFit | None:
        """How the plug sits in the seat; None where there is no seat."""
        return None if self.seat is None else seat_and_plug(self.seat, self.plug)

    @property
    def touched(self) -> Edge:
        """The edge that the plug touches, whether it is the seat's or not."""
        return self.after.touches_at(self.plug)

    @property
    def per_unit(self) -> float:
        """Board units to a unit of length: the printed bore and the deepest cut go in."""
        tall = (self.bore.edges[0].diameter - self.bore.hole) / 2 + MOST_CUT[self.lathe.unit]
        return min(WIDE / self.bore.edges[-1].depth, TALL / tall)


def on_board(state: ConesState, edge: Edge) -> NDArray[np.float64]:
    """Where a depth and diameter stand in the section: board units, shape (2,)."""
    k = state.per_unit
    return np.array([FACE_X - k * edge.depth, HOLE_Y - k * (edge.diameter - state.bore.hole) / 2])


def profile(state: ConesState, bore: SeveralCones) -> NDArray[np.float64]:
    """The near wall from the face to where it leaves the picture, shape (n, 2)."""
    deepest = (FACE_X - LEFT) / state.per_unit
    seen = [edge for edge in bore.edges if edge.depth < deepest]
    return np.array(
        [on_board(state, one) for one in (*seen, Edge(deepest, bore.diameter_at(deepest)))]
    )


class SeveralConesScene(Scene):
    """Section of the near wall, enlarged, the seat shaded; the cross dial beside it."""

    def build(self) -> None:
        self.taken = self.area("brass", edge=None, zorder=1)
        self.part = self.area("metal", clear=True, zorder=2)
        self.shade = self.area("band", edge=None, zorder=3)
        self.before = self.line("guide", weight=1.0, zorder=4)
        self.walls = self.line("compound", weight=1.8, zorder=5)
        self.seat = self.line("axial", weight=3.0, zorder=6, linestyle="solid")
        self.plug = self.line("angle", weight=1.1, linestyle=(0, (7, 2)), zorder=6)
        self.touch = self.line("angle", marker="o", linestyle="none", zorder=8)
        self.touch.set_markersize(9 * self.style.scale)
        self.tool = self.area("ink", edge=None, zorder=7, clear=True)
        self.held = self.handle("cross", self.tool)
        self.wall_words = [
            self.label(role=role, bold=True, leader=True, size="small")
            for role in ("compound", "axial", "compound")
        ]
        self.plug_words = self.label(role="angle", size="small", leader=True)
        self.caption("spindle axis ↑", LEFT, 8.85, 0, 1, role="axis")
        self.caption("operator's side ↓  enlarged", LEFT, 0.15, 0, 0)
        self.dial = DialCollar(self, DIAL_X, DIAL_Y, 5.0, 1.2)
        self.reading_words = self.label(free=False, size="small", role="cross", bold=True)
        self.along_words = self.label(bold=True, free=False, role="axial")
        self.across_words = self.label(free=False, role="axial", size="small")
        self.touch_words = self.label(free=False, role="angle", size="small")

    def move(self, state: ConesState) -> None:
        shown = state.bore if self.hide_answers else state.after
        old, new = profile(state, state.bore), profile(state, shown)
        self.taken.set_xy(_below(old))
        self.part.set_xy(_below(new))
        self.before.set_data(*old.T)
        self.walls.set_data(*new.T)
        seat = shown.walls[SEAT]
        ends = [on_board(state, one) for one in (seat.upper, seat.lower)] if seat else []
        within = [end - [0, 0.5] for end in reversed(ends)]
        self.shade.set_xy(np.reshape([*ends, *within] or [np.zeros(2)] * 3, (-1, 2)))
        self.seat.set_data(*np.reshape(ends, (-1, 2)).T)
        self._move_tool(state)
        self._move_plug(state)
        self._say(state, shown)

    def _move_tool(self, state: ConesState) -> None:
        """At one depth all along the cut: there the wall goes as the cross slide does."""
        wall = state.bore.walls[state.cut]
        assert wall is not None  # the panel draws no bore that lacks one
        depth = (wall.upper.depth + wall.lower.depth) / 2
        cross = 0.0 if self.hide_answers else state.cross
        tip = on_board(state, Edge(depth, state.bore.diameter_at(depth) + 2 * cross))
        alpha = wall.half_angle.radians
        along = np.array([math.cos(alpha), -math.sin(alpha)])
        up = np.array([math.sin(alpha), math.cos(alpha)])
        self.tool.set_xy([tip, tip + up * 0.5 + along * 0.12, tip + up * 0.5 - along * 0.12])
        if self.hide_answers:
            self.held.rests()
        else:
            self.held.slides(0, -state.per_unit)

    def _move_plug(self, state: ConesState) -> None:
        hidden = self.hide_answers
        x, y = on_board(state, state.touched)
        slope = math.tan(state.plug.radians)
        left, right = min(1.4, (HOLE_Y - y) / slope + 0.8), min(1.4, FACE_X - x + 0.8)
        line = [(x - left, y + left * slope), (x + right, y - right * slope)]
        self.plug.set_data(*np.array([] if hidden else line).reshape(-1, 2).T)
        self.touch.set_data([] if hidden else [x], [] if hidden else [y])
        told = "" if hidden else f"plug {state.plug.brief()}"
        self.say(self.plug_words, told, x + right, y - right * slope, 20)

    def _say(self, state: ConesState, shown: SeveralCones) -> None:
        unit, hidden = state.lathe.unit, self.hide_answers
        for name, words, wall in zip(NAMES, self.wall_words, shown.walls, strict=True):
            told = "" if wall is None else f"{name} {wall.half_angle.brief()}"
            middle = (
                (on_board(state, wall.upper) + on_board(state, wall.lower)) / 2
                if wall
                else np.zeros(2)
            )
            self.say_at(words, told, middle, -100)
        # Large words keep off the picture's edge.
        x, across = (15.4, 1.0) if self.style.spare else (DIAL_X, 0.5)
        dial = state.lathe.cross_dial
        what = "diameter" if dial.reads == "diameter" else "slide movement"
        named = "cross dial" if self.style.spare else f"cross dial: {what}"
        self.dial.move(dial, 0.0 if hidden else state.reading, named)
        told = f"reads {length_text(state.reading, unit)}"
        self.put(self.reading_words, "reads ?" if hidden else told, x, DIAL_Y - 0.74, across, 1)
        seat = state.seat
        wide = "no seat left" if seat is None else f"seat {length_text(seat.along, unit)}"
        seen = "" if seat is None else f"across {length_text(seat.across, unit)}"
        self.put(self.along_words, "seat ?" if hidden else wide, x, 4.4, across, 0)
        self.put(self.across_words, "" if hidden else seen, x, 3.4, across, 0)
        self.put(self.touch_words, "" if hidden else touch_words(state), x, 2.2, across, 0)


def touch_words(state: ConesState) -> str:
    """Where the plug touches: an end of the seat, all along it, or another edge."""
    if state.seat is None or state.fit is None:
        return "plug finds no seat"
    if state.fit.contact == "both ends":
        return "plug sits all along"
    end = state.seat.upper if state.fit.contact == "large end" else state.seat.lower
    if abs(state.touched.depth - end.depth) > 1e-9 * end.diameter:
        return "plug misses the seat"
    return f"plug: {state.fit.contact}"


def _below(wall: NDArray[np.float64]) -> NDArray[np.float64]:
    """Outline of the part inside the picture, under its wall."""
    return np.array([[FACE_X, BOTTOM], *wall, [LEFT, BOTTOM]])
