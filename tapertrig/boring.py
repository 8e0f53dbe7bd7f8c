"""Boring the cone to size: what opens the face diameter, the last cuts, tool height, clearance.

Where the walls of two cones meet stands here too; whole bores of several are in `several_cones`.

Axial positions grow towards the tailstock, cross positions away from the axis. Feeding the
compound goes towards the headstock. Lengths in one unit throughout.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from tapertrig.angle import Angle, AngleOrRadians, half_angle_radians
from tapertrig.cone import Cone
from tapertrig.lathe import Lathe
from tapertrig.limits import (
    Array,
    Given,
    InfiniteToo,
    finite,
    lengths,
    not_negative,
    numbers,
    one_of,
    positive,
    true_or_false,
    whole,
)

MOST_CUTS = 200
SWEEP_CAUTION = (
    "This drawing knows only the dimensions you typed. Before you trust it, stop and isolate the "
    "spindle, take the chuck key out, and run the slide by hand through the whole travel, looking "
    "at jaws, chuck, quill, tool holder and handwheel. Your shop's rules, the machine's manual "
    "and a qualified instructor come first."
)


def face_diameter_change(
    cone: Cone,
    cross: float | Given = 0.0,
    carriage: float | Given = 0.0,
    compound: float | Given = 0.0,
    faced_off: float | Given = 0.0,
) -> Given:
    """Change of the face diameter when the slides are moved before the next cut, or the face cut.

    `cross` is slide movement away from the axis, `carriage` and `compound` are movements towards
    the headstock, `faced_off` is how much comes off the face; floats or arrays. The wall is the
    line the tool point runs along; where it meets the face gives the diameter. Plane geometry.
    """
    alpha = cone.half_angle.radians
    # The tool nears the axis as it goes into a bore, and leaves it along an external cone.
    inward = -1.0 if cone.internal else 1.0
    slide = numbers("compound movement", compound, 0.02)
    across = numbers("cross movement", cross, 0.01) + inward * slide * math.sin(alpha)
    along = numbers("carriage movement", carriage, 0.02) + slide * math.cos(alpha)
    along = along - numbers("amount faced off", faced_off, 0.005)
    return 2 * (across - inward * along * math.tan(alpha))


def cross_to_change(diameter_change: float | Given) -> Given:
    """Cross slide movement that changes the face diameter so: ΔD/2, away from the axis to grow."""
    return numbers("diameter change", diameter_change, 0.02) / 2


def carriage_to_change(cone: Cone, diameter_change: float | Given) -> Given:
    """Carriage movement towards the headstock that changes the face diameter so: ΔD/(2 tan α).

    An external cone shrinks when the carriage goes that way, hence the opposite sign.
    """
    change = numbers("diameter change", diameter_change, 0.02)
    return change / (cone.taper if cone.internal else -cone.taper)


class Edge(NamedTuple):
    """A circle where two walls of a bore meet, or a wall and the face: depth, diameter."""

    depth: float
    diameter: float


def walls_meet(cone: Cone, other: Cone) -> Edge:
    """Where two walls meet: z = (D₁ − D₂)/(C₁ − C₂) below the face, C the taper 2 tan α.

    Both cones are internal or both external, their face diameters at one face. A negative depth
    is in front of the face, where stock may stand. ValueError where the walls run side by side,
    or would meet only past the axis. Plane geometry.
    """
    if cone.internal is not other.internal:
        raise ValueError("one cone is internal and the other external; their walls do not meet so")
    if cone.taper == other.taper:
        raise ValueError(
            f"both half angles are {cone.half_angle.brief()}; such walls run side by side and "
            "never meet"
        )
    narrows = 1 if cone.internal else -1
    depth = (cone.face_diameter - other.face_diameter) / (cone.taper - other.taper) * narrows
    diameter = cone.face_diameter - narrows * depth * cone.taper
    if diameter <= 0:
        raise ValueError(
            f"the walls would meet past the axis, {depth:.4g} below the face; check both face "
            f"diameters, {cone.face_diameter:g} and {other.face_diameter:g}"
        )
    return Edge(depth, diameter)


def seat_width(
    half_angle: AngleOrRadians[Given], large: float | Given, small: float | Given
) -> Given:
    """Width of a seat along its wall, (D − d)/(2 sin α); across it is only (D − d)/2.

    Floats or arrays; ValueError unless the large diameter is the larger. Plane geometry.
    """
    wide, narrow = lengths("large diameter", large, 1.25), lengths("small diameter", small, 1.2)
    if np.any(np.less_equal(wide, narrow)):
        raise ValueError(
            f"large diameter is {np.min(wide):g} and small diameter {np.max(narrow):g}; the small "
            "one must be less, for example 1.2 and 1.25"
        )
    return (wide - narrow) / (2 * np.sin(half_angle_radians(half_angle)))


@dataclass(frozen=True)
class Cut:
    """One cut of a plan. `taken` is on diameter; the rest counts from where size was measured.

    `cross_reading` is what the cross dial shows, zeroed at the last cut before measuring;
    `carriage_travel` towards the headstock gives the same size with the cross slide left alone.
    """

    kind: str
    face_diameter: float
    taken: float
    cross_movement: float
    cross_reading: float
    carriage_travel: float
    measure_after: bool


def plan_cuts(
    cone: Cone,
    measured_diameter: float,
    lathe: Lathe,
    roughing_cut: float,
    finish_allowance: float,
    finish_cuts: int = 2,
    spring_pass: bool = True,
) -> tuple[Cut, ...]:
    """The cuts from a measured face diameter to that of `cone`, dial readings on whole lines.

    `roughing_cut` (the most one roughing cut takes) and `finish_allowance` (left for the
    finishing cuts) are on diameter. Finishing cuts are alike, so that the bar springs alike and
    what the one before last did foretells the last; only the last reading may lie between lines.
    The spring pass repeats the last reading. Measure where `measure_after` says, and plan again
    from what you find. Practice: common practice, no source.
    """
    measured = positive("measured face diameter", measured_diameter, 1.35)
    positive("roughing cut on diameter", roughing_cut, 0.04)
    positive("finish allowance on diameter", finish_allowance, 0.02)
    whole("finish cuts", finish_cuts, 1, None, 2)
    true_or_false("spring pass", spring_pass)
    grow = 1 if cone.internal else -1
    left = grow * (cone.face_diameter - measured)
    dial = lathe.cross_dial
    total = dial.reading(left / 2)
    # A thousandth of a line is far below what a hand can set.
    if total <= 1e-3 * dial.graduation:
        raise ValueError(
            f"measured face diameter is {measured:g} {lathe.unit} and {cone.face_diameter:g} is "
            "wanted; nothing is left to take off"
        )
    lines_each = math.floor(dial.reading(roughing_cut / 2) / dial.graduation + 1e-6)
    if lines_each < 1:
        raise ValueError(
            f"roughing cut is {roughing_cut:g} {lathe.unit} on diameter, less than one graduation "
            f"of the cross dial; take at least {2 * dial.movement_per_graduation:g}"
        )
    rough = max(total - dial.reading(finish_allowance / 2), 0.0)
    rough_lines = math.floor(rough / dial.graduation + 1e-6)
    count = math.ceil(rough_lines / lines_each)
    if count + finish_cuts > MOST_CUTS:
        raise ValueError(
            f"that makes {count + finish_cuts} cuts; {MOST_CUTS} are allowed, so take more "
            f"than {roughing_cut:g} {lathe.unit} at a time"
        )
    readings = [
        ("roughing", round(rough_lines * i / count) * dial.graduation) for i in range(1, count + 1)
    ]
    start = rough_lines * dial.graduation
    step = (total - start) / finish_cuts
    last = dial.settle(total, lathe.unit)
    for i in range(1, finish_cuts):
        reading = dial.nearest(start + step * i)
        # A finishing cut thinner than a line falls on the line before it, or past the last.
        if (readings[-1][1] if readings else 0.0) < reading < last:
            readings.append(("finishing", reading))
    readings.append(("finishing", last))
    if spring_pass:
        readings.append(("spring pass", last))
    cuts: list[Cut] = []
    before = 0.0
    for kind, reading in readings:
        movement = dial.movement(reading)
        change = 2 * movement
        ends_roughing = len(cuts) == count - 1
        cuts.append(
            Cut(
                kind=kind,
                # A sum of graduations carries float dust that no dial shows.
                face_diameter=round(measured + grow * change, 12),
                taken=round(change - before, 12),
                cross_movement=round(movement, 12),
                cross_reading=round(reading, 12),
                carriage_travel=change / cone.taper,
                measure_after=kind != "roughing" or ends_roughing,
            )
        )
        before = change
    return tuple(cuts)


def turned_radius(path_radius: float | Given, height_error: float | Given) -> Given:
    """Radius cut by a tool point at a height error e, running at ρ from the axis seen from above.

    √(ρ² + e²), floats or arrays: along a straight path the cone becomes a hyperboloid.
    """
    radius = numbers("radius of the path", path_radius, 0.6)
    return np.hypot(radius, numbers("tool height error", height_error, 0.01))


@dataclass(frozen=True, eq=False)
class HeightEffect:
    """What a tool off centre height makes of a cone; arrays run from the face to the far end.

    `departure` is the profile's distance, square to the wall, from the best-fit straight cone,
    positive away from the axis; `straightness` is its greatest less its least. `angle_error`
    (radians) is that of the best-fit cone, always towards a smaller angle. `far_diameter_error` is
    at the end that was not bored to size. The middle of the wall always lies nearer the axis
    than the ends do: a plug rides on the middle of such a bore, a ring on the ends of such a taper.
    """

    depth: Array
    radius: Array
    departure: Array
    half_angle: Angle
    angle_error: float
    straightness: float
    far_diameter_error: float


def tool_height_effect(
    cone: Cone, height_error: float, right_at: str = "face", points: int = 201
) -> HeightEffect:
    """The cone that a tool above or below centre cuts, with the diameter right at one end.

    `right_at` is "face" or "far end". The best-fit cone is the least-squares line through the
    profile by distances square to it, in closed form (principal axis of the points).
    """
    if cone.length is None:
        raise ValueError("this cone has no length; give one, for example length=0.75")
    height = abs(finite("tool height error", height_error, 0.01))
    one_of("right at", right_at, ("face", "far end"))
    whole("points", points, 3, 100_001, 201)
    alpha = cone.half_angle.radians
    slope = math.tan(alpha)
    depth = np.linspace(0.0, cone.length, points)
    # From the small end, which is at the far end of a bore and at the face of an external cone.
    out = cone.length - depth if cone.internal else depth
    wanted = cone.diameter_at(depth) / 2
    sized = 0 if right_at == "face" else points - 1
    if height >= wanted[sized]:
        raise ValueError(
            f"tool height error is {height:g} and the radius bored to size {wanted[sized]:g}; "
            "the error must be less than that radius"
        )
    path = math.sqrt(wanted[sized] ** 2 - height**2) + (out - out[sized]) * slope
    if path.min() < 0:
        raise ValueError(
            f"tool height error is {height:g}; the tool point would pass the axis at the small "
            "end, so the error must be smaller or the cone shorter"
        )
    radius = turned_radius(path, height)
    # How far the profile lies outside the tool's path, e²/(r + ρ): r − ρ without cancellation.
    outside = height**2 / (radius + path) if height else np.zeros(points)
    # Along and square to the path, so that the fit finds the small turn and not the whole angle.
    along = out / math.cos(alpha) + outside * math.sin(alpha)
    square = outside * math.cos(alpha)
    along, square = along - along.mean(), square - square.mean()
    turn = 0.5 * math.atan2(
        2 * float(along @ square), float(along @ along) - float(square @ square)
    )
    departure = square * math.cos(turn) - along * math.sin(turn)
    other = points - 1 - sized
    return HeightEffect(
        depth=depth,
        radius=radius,
        departure=departure,
        half_angle=cone.half_angle + Angle.from_radians(turn),
        angle_error=turn,
        straightness=float(departure.max() - departure.min()),
        far_diameter_error=float(2 * (outside[other] - outside[sized])),
    )


def height_from_pip(pip_diameter: float) -> float:
    """Tool height error from the pip left when a face is cut to its middle: half its diameter."""
    return not_negative("pip diameter", pip_diameter, 0.02) / 2


def height_from_rule(lean: Angle, bar_diameter: float, rule_thickness: float = 0.0) -> float:
    """Tool height error from a thin rule pinched lightly between tool point and a round bar.

    e = (d/2 + t) sin θ, θ the rule's lean from upright; positive when the top leans away from the
    tool, which then stands too high. Spindle stopped and isolated.
    """
    if not abs(lean.degrees) < 90:
        raise ValueError(f"lean is {lean}; it must be an Angle within ±90°, for example 2°30′")
    radius = positive("bar diameter", bar_diameter, 1.0) / 2
    thickness = not_negative("rule thickness", rule_thickness, 0.02)
    return (radius + thickness) * math.sin(lean.radians)


@dataclass(frozen=True)
class SlideLayout:
    """Chuck, quill and compound slide seen from above, for the clearance check.

    Axial positions are from any one mark on the bed, growing towards the tailstock; cross
    positions are from the axis, towards you. `chuck_radius` is that of all that turns, jaws
    included; `chuck_face` its end nearest the tailstock. `pivot_axial`, `pivot_cross` are the
    middle of the compound's base; `nose_ahead` is from there to the headstock end of the slide
    when it is run back for the start of the travel; `slide_length` reaches from that end to
    the handwheel. Leave `quill_end` out when the quill is withdrawn.
    """

    chuck_radius: float
    chuck_face: float
    slide_length: float
    slide_width: float
    pivot_axial: float
    pivot_cross: float
    nose_ahead: float
    quill_radius: float = 0.0
    quill_end: float | None = None

    def __post_init__(self) -> None:
        for name in ("chuck_radius", "slide_length", "slide_width"):
            positive(name.replace("_", " "), getattr(self, name), 3.0)
        for name in ("chuck_face", "pivot_axial", "pivot_cross", "nose_ahead"):
            finite(name.replace("_", " "), getattr(self, name), 4.0)
        if self.quill_end is not None:
            positive("quill radius", self.quill_radius, 0.6)
            if finite("quill end", self.quill_end, 6.0) <= self.chuck_face:
                raise ValueError(
                    f"quill end is at {self.quill_end:g} and the chuck face at "
                    f"{self.chuck_face:g}; the quill must stand on the tailstock side"
                )


@dataclass(frozen=True, eq=False)
class Sweep:
    """What the slide covers on its way, seen from above; outlines are 4 × 2 (axial, cross).

    `to_chuck` and `to_quill` are the least distances over the whole travel; a negative one is
    how deep the outlines overlap. `to_quill` is infinite with no quill out.
    """

    start: Array
    outline: Array
    chuck: Array
    quill: Array | None
    to_chuck: float
    to_quill: InfiniteToo

    def clears(self, margin: float) -> bool:
        """Whether both distances are at least `margin`."""
        return min(self.to_chuck, self.to_quill) >= positive("margin", margin, 0.25)


def sweep(
    layout: SlideLayout,
    half_angle: Angle | float,
    compound_travel: float,
    internal: bool = True,
) -> Sweep:
    """Run the swung slide through its travel towards the headstock; see `SWEEP_CAUTION`.

    All is seen from above as if at one height, which errs on the safe side: a slide below the
    axis passes under the widest part of a chuck. The tool holder is not in it. A rectangle run
    along its own length covers a longer rectangle, so the sweep is exact.
    """
    alpha = half_angle_radians(half_angle)
    travel = positive("compound travel", compound_travel, 2.6)
    true_or_false("internal", internal)
    ahead = np.array([-math.cos(alpha), -math.sin(alpha) if internal else math.sin(alpha)])
    aside = np.array([-ahead[1], ahead[0]]) * layout.slide_width / 2
    pivot = np.array([layout.pivot_axial, layout.pivot_cross])
    nose = pivot + layout.nose_ahead * ahead
    tail = nose - layout.slide_length * ahead
    outline = _four(nose + travel * ahead, tail, aside)
    behind = min(outline[:, 0].min(), layout.chuck_face) - 2 * layout.chuck_radius
    chuck = _upright(behind, layout.chuck_face, layout.chuck_radius)
    quill, to_quill = None, math.inf
    if layout.quill_end is not None:
        beyond = max(outline[:, 0].max(), layout.quill_end) + 2 * layout.quill_radius
        quill = _upright(layout.quill_end, beyond, layout.quill_radius)
        to_quill = distance_between(outline, quill)
    return Sweep(
        start=_four(nose, tail, aside),
        outline=outline,
        chuck=chuck,
        quill=quill,
        to_chuck=distance_between(outline, chuck),
        to_quill=to_quill,
    )


def _four(nose: Array, tail: Array, aside: Array) -> Array:
    return np.array([nose + aside, nose - aside, tail - aside, tail + aside])


def _upright(low: float, high: float, radius: float) -> Array:
    return np.array([[low, -radius], [high, -radius], [high, radius], [low, radius]])


def distance_between(one: Array, other: Array) -> float:
    """Least distance between two convex outlines (n × 2); overlapping ones give minus the depth.

    The depth is the least shift that would part them. Separating axes; plane geometry.
    """
    for shape in (one, other):
        if np.ndim(shape) != 2 or np.shape(shape)[1] != 2:
            raise ValueError(f"outline is {shape}; give its corners, each along and across")
    edges = np.concatenate([np.roll(shape, -1, 0) - shape for shape in (one, other)])
    normals = np.column_stack([edges[:, 1], -edges[:, 0]])
    normals /= np.linalg.norm(normals, axis=1)[:, None]
    along_one, along_other = one @ normals.T, other @ normals.T
    gaps = np.maximum(along_other.min(0) - along_one.max(0), along_one.min(0) - along_other.max(0))
    if gaps.max() <= 0:
        return float(gaps.max())
    return min(_corner_to_edge(one, other), _corner_to_edge(other, one))


def _corner_to_edge(corners: Array, shape: Array) -> float:
    edges = np.roll(shape, -1, 0) - shape
    from_start = corners[:, None, :] - shape[None]
    part = np.clip((from_start * edges).sum(-1) / (edges * edges).sum(-1), 0, 1)
    return float(np.linalg.norm(from_start - part[..., None] * edges, axis=-1).min())
