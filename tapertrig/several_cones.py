"""Several cones in one bore: a seat between a relief and a throat angle, and what one cut moves.

The cones stand from the face inwards, each steeper than the one before it, and end in a straight
hole. A cut only takes metal away, so at each depth the bore is as wide as the widest of its cones
is there: every edge of a seat is where its wall meets a neighbour's. Diameters are at the face,
theoretical sharp; lengths in one unit. Formulas: plane geometry of the section through the axis.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from tapertrig.angle import Angle
from tapertrig.boring import Edge, face_diameter_change, seat_width
from tapertrig.cone import Cone
from tapertrig.limits import Given, lengths, positive, whole

MOST_CONES = 12


@dataclass(frozen=True)
class Wall:
    """What is left of one cone: between its edge towards the face and its edge further in."""

    half_angle: Angle
    upper: Edge
    lower: Edge

    @property
    def along(self) -> float:
        """Width along the wall, (D − d)/(2 sin α)."""
        return float(seat_width(self.half_angle, self.upper.diameter, self.lower.diameter))

    @property
    def across(self) -> float:
        """Width square to the axis, (D − d)/2: what is seen from the face, always the smaller."""
        return (self.upper.diameter - self.lower.diameter) / 2

    @property
    def deep(self) -> float:
        """Width along the axis."""
        return self.lower.depth - self.upper.depth


@dataclass(frozen=True)
class SeveralCones:
    """Internal cones in one bore from the face inwards, and the diameter of the hole below them.

    No cones at all is the plain hole. ValueError unless half angles get smaller inwards.
    """

    cones: tuple[Cone, ...]
    hole: float

    def __post_init__(self) -> None:
        positive("hole", self.hole, 0.75)
        if len(self.cones) > MOST_CONES:
            raise ValueError(f"there are {len(self.cones)} cones; {MOST_CONES} at most in one bore")
        if not all(cone.internal for cone in self.cones):
            raise ValueError("one of the cones is external; a bore's are internal, every one")
        for outer, inner in pairwise(self.cones):
            if outer.taper <= inner.taper:
                raise ValueError(
                    f"half angle {inner.half_angle.brief()} stands below "
                    f"{outer.half_angle.brief()}; give the cones from the face inwards, the "
                    "largest half angle first"
                )

    @classmethod
    def from_edges(cls, half_angles: Iterable[Angle], diameters: Iterable[float]) -> SeveralCones:
        """From the half angles and the diameters of all edges, the face's first, the hole last.

        There is one diameter more than angles. Each edge is the next cone's gauge plane.
        """
        angles, edges = tuple(half_angles), tuple(diameters)
        if len(edges) != len(angles) + 1:
            raise ValueError(
                f"there are {len(angles)} half angles and {len(edges)} diameters; give one "
                "diameter more than angles, the hole last"
            )
        depth, cones = 0.0, []
        for angle, (large, small) in zip(angles, pairwise(edges), strict=True):
            cones.append(Cone.from_gauge_plane(angle, large, depth))
            depth += Cone.from_gauge_plane(angle, large, 0.0).depth_of(small)
        return cls(tuple(cones), edges[-1])

    def diameter_at(self, depth: float | Given) -> Given:
        """Diameter of the bore at a depth below the face; floats or arrays."""
        below = lengths("depth", depth, 0.25, zero=True)
        widest = np.asarray(self.hole)
        for cone in self.cones:
            widest = np.maximum(widest, cone.face_diameter - below * cone.taper)
        return widest if isinstance(below, np.ndarray) else float(widest)

    @property
    def walls(self) -> tuple[Wall | None, ...]:
        """What is left of each cone; None where the others have cut it away."""
        lines = [(cone.face_diameter, cone.taper) for cone in self.cones] + [(self.hole, 0.0)]
        left: list[Wall | None] = [None] * len(self.cones)
        # Of walls that meet in one edge, the steepest goes on below it.
        at = max(range(len(lines)), key=lambda one: (lines[one][0], one))
        upper = Edge(0.0, lines[at][0])
        while at < len(self.cones):
            face, taper = lines[at]
            depth, back = min(
                ((face - lines[one][0]) / (taper - lines[one][1]), -one)
                for one in range(at + 1, len(lines))
            )
            lower = Edge(depth, face - depth * taper)
            if lower.diameter < upper.diameter:
                left[at] = Wall(self.cones[at].half_angle, upper, lower)
            at, upper = -back, lower
        return tuple(left)

    @property
    def edges(self) -> tuple[Edge, ...]:
        """Every edge from the face inwards; the last is where the straight hole begins."""
        there = [wall for wall in self.walls if wall is not None]
        if not there:
            return (Edge(0.0, self.diameter_at(0.0)),)
        return (there[0].upper, *(wall.lower for wall in there))

    def after_cut(self, cone: int, cross: float = 0.0, carriage: float = 0.0) -> SeveralCones:
        """The bore once one cone is cut deeper; the others' walls stay, and their edges move.

        `cone` counts from 0 at the face; `cross` is slide movement away from the axis,
        `carriage` towards the headstock, from where the tool last cut this cone.
        """
        cut = self._cone(cone)
        change = float(face_diameter_change(cut, cross=cross, carriage=carriage))
        opened = replace(cut, face_diameter=cut.face_diameter + change)
        return replace(self, cones=(*self.cones[:cone], opened, *self.cones[cone + 1 :]))

    def touches_at(self, half_angle: Angle) -> Edge:
        """The edge of this bore that a tool run at a half angle touches first, coming outwards."""
        taper = Cone(half_angle, self.diameter_at(0.0)).taper
        return min(self.edges, key=lambda edge: edge.diameter + edge.depth * taper)

    def order_of_cuts(self, seat: int) -> tuple[ConeCut, ...]:
        """The cuts that make this bore out of its plain hole: the seat first, then its neighbours.

        So the seat is measured while it is wide, and the others, cut from it outwards and then
        inwards, place its edges without touching it. Common practice, no source.
        """
        self._cone(seat)
        order = [seat, *range(seat - 1, -1, -1), *range(seat + 1, len(self.cones))]
        made, cuts = SeveralCones((), self.hole), []
        for number, one in enumerate(order, 1):
            cone = self.cones[one]
            touched = made.touches_at(cone.half_angle)
            change = cone.face_diameter - touched.diameter - touched.depth * cone.taper
            if change <= 0:
                raise ValueError(
                    f"the cone of half angle {cone.half_angle.brief()} and face diameter "
                    f"{cone.face_diameter:g} takes nothing off; the others leave no room for it"
                )
            made = replace(made, cones=tuple(self.cones[i] for i in sorted(order[:number])))
            cuts.append(ConeCut(one, touched, change / 2, change / cone.taper, made))
        return tuple(cuts)

    def _cone(self, cone: int) -> Cone:
        return self.cones[whole("cone", cone, 0, len(self.cones) - 1, 0)]


@dataclass(frozen=True)
class ConeCut:
    """One cone of the order of cuts, from the edge that the tool touches first to its size.

    `cross` (slide movement away from the axis) or `carriage` (towards the headstock) takes it
    there; `bore` is what then stands.
    """

    cone: int
    touched: Edge
    cross: float
    carriage: float
    bore: SeveralCones
