"""Lesson 11: a seat between a relief and a throat angle, and what one cut does to its edges."""

from __future__ import annotations

from itertools import pairwise

from tapertrig.boring import Edge
from tapertrig.draw.parts.magnified import signed_arc_text
from tapertrig.draw.several_cones import (
    MOST_CUT,
    NAMES,
    SEAT,
    ConesState,
    SeveralConesScene,
    touch_words,
)
from tapertrig.lathe import Lathe, length_text
from tapertrig.panels.parts.board import Row, Words
from tapertrig.panels.parts.controls import angle, choice, quantity
from tapertrig.panels.parts.lathe_list import LatheList
from tapertrig.several_cones import SeveralCones

EDGES = ("Diameter at the face", "Seat, large end", "Seat, small end", "Hole below the throat")


class SeveralConesPanel(LatheList[ConesState]):
    """Three cones in one bore: cut one deeper and every edge it shares moves with it."""

    title = "Several cones in one bore"
    scene = SeveralConesScene
    main = "cross"

    def make_controls(self) -> None:
        inch, unit = self.unit == "in", self.unit
        self.lathe_list()
        self.cut = choice("Cut deeper", [(name, i) for i, name in enumerate(NAMES)], 0)
        step = self.lathe_in_use().cross_dial.movement_per_graduation
        self.cross = quantity("Cross movement", 0.0, 0.0, MOST_CUT[unit], step, unit)
        self.relief = angle("Relief, half angle", "57°35′", "8°", "80°")
        self.seat = angle("Seat, half angle", "41°40′", "6°", "78°")
        self.throat = angle("Throat, half angle", "24°50′", "4°", "76°")
        self.plug = angle("Plug, half angle", "40°50′", "4°", "80°")
        starts = (1.372, 1.236, 1.148, 1.02) if inch else (34.8, 31.4, 29.2, 26.0)
        fine = 0.001 if inch else 0.02
        self.face, self.large, self.small, self.hole = (
            quantity(label, start, start / 2, start * 2, fine, unit)
            for label, start in zip(EDGES, starts, strict=True)
        )

    def lathe_picked(self, lathe: Lathe | None) -> None:
        """The movement goes by whole graduations of its cross dial."""
        self.cross.step = self.lathe_in_use().cross_dial.movement_per_graduation

    def lathe_in_use(self) -> Lathe:
        """The lathe picked; there is always one."""
        return self.lathes[self.lathe.value]

    def read_state(self) -> ConesState:
        edges = [one.value for one in (self.face, self.large, self.small, self.hole)]
        for (label, wide), (below, narrow) in pairwise(zip(EDGES, edges, strict=True)):
            if wide <= narrow:
                raise ValueError(
                    f"{label} is {length_text(wide, self.unit)} and {below} "
                    f"{length_text(narrow, self.unit)}; from the face inwards each must be less"
                )
        angles = (self.relief.angle, self.seat.angle, self.throat.angle)
        bore = SeveralCones.from_edges(angles, edges)
        return ConesState(
            bore, self.cut.value, self.cross.value, self.plug.angle, self.lathe_in_use()
        )

    def words(self, state: ConesState) -> Words:
        unit, name, seat = self.unit, NAMES[state.cut], state.seat
        cross = length_text(state.cross, unit)
        given = f"The {name} is cut {cross} deeper by the cross slide."
        if seat is None:
            told = "no seat left: its neighbours meet"
            rows = [Row("Mind", "The seat is cut away.", mark="warning")]
        else:
            told = f"the seat {length_text(seat.along, unit)} wide along its wall"
            rows = [
                Row("Seat, along its wall", length_text(seat.along, unit)),
                Row("Seat, across", length_text(seat.across, unit)),
            ]
        rows += [
            Row("Cross dial shows", state.lathe.cross_dial.words(state.reading, unit)),
            Row("or by the carriage", length_text(state.carriage, unit)),
        ]
        rows += [
            Row(label, self.edge_in_words(was, now), mark="wide")
            for label, was, now in zip(EDGES, state.bore.edges, self.edges_now(state), strict=True)
        ]
        rows += [
            Row("Interference angle", self.plug_in_words(state), mark="wide"),
            *self.order_in_words(state),
        ]
        return Words(f"{given} That leaves {told}; {touch_words(state)}.", tuple(rows), given)

    @staticmethod
    def edges_now(state: ConesState) -> list[Edge | None]:
        """The edges of the print where they are now; None for one that is gone."""
        _relief, seat, throat = state.after.walls
        return [
            Edge(0.0, state.after.diameter_at(0.0)),
            seat.upper if seat else None,
            seat.lower if seat else None,
            throat.lower if throat else None,
        ]

    def edge_in_words(self, was: Edge, now: Edge | None) -> str:
        """Diameter and depth of an edge now, and by how much the diameter has changed."""
        if now is None:
            return "gone"
        change, unit = now.diameter - was.diameter, self.unit
        moved = (
            ""
            if abs(change) < 1e-9
            else f" ({'+' if change > 0 else '−'}{length_text(abs(change), unit)})"
        )
        deep = f", {length_text(now.depth, unit)} deep" if now.depth else ""
        return f"{length_text(now.diameter, unit)}{moved}{deep}"

    def plug_in_words(self, state: ConesState) -> str:
        """How far plug and seat differ, where they touch, and the gap that is left."""
        if state.fit is None or state.seat is None:
            return touch_words(state)
        differs = signed_arc_text((state.plug - state.seat.half_angle).radians)
        told = f"plug {differs} on the half angle; {touch_words(state)}"
        if state.fit.contact == "both ends" or touch_words(state).endswith("the seat"):
            return told
        at = length_text(state.touched.diameter, self.unit)
        gap = length_text(state.fit.gap, self.unit, 4 if self.unit == "in" else 3)
        return f"{told}, diameter {at}; gap {gap} at the {state.fit.gap_at}"

    def order_in_words(self, state: ConesState) -> list[Row]:
        """The cuts of the print from its plain hole, each from where the tool first touches."""
        unit, dial = self.unit, state.lathe.cross_dial
        return [
            Row(
                f"Cut {number}, {NAMES[cut.cone]}",
                f"touch at diameter {length_text(cut.touched.diameter, unit)}, zero, then cross "
                f"{dial.words(float(dial.reading(cut.cross)), unit)} on the dial, or carriage "
                f"{length_text(cut.carriage, unit)}",
                mark="wide",
            )
            for number, cut in enumerate(state.bore.order_of_cuts(SEAT), 1)
        ]
