"""Practice figures of the lathe: a dial, the compound base, lost motion in a screw."""

from __future__ import annotations

import numpy as np

from tapertrig.draw.parts.dial import DialCollar
from tapertrig.draw.parts.scene import box
from tapertrig.draw.practice.sketch import Sketch, unit
from tapertrig.lathe import Dial

SWING = 9.0  # degrees either way a wanted swing is drawn with: its arrow has two heads


def draw_dial(sketch: Sketch) -> None:
    """A cross dial at its zero, and below it the slide that it moves."""
    shape = sketch.shape
    dial = Dial(float(shape["graduation"]), float(shape["per_turn"]), str(shape["reads"]))
    collar = DialCollar(sketch.scene, 8.0, 4.5, 12.0, 1.7)
    collar.move(dial, 0.0, f"cross dial, reads {dial.reads}")
    sketch.mark("reading", (8.0, 3.65), -90, "cross")
    sketch.area("brass", box(2.2, 0.7, 4.8, 1.7))
    sketch.line("guide", (1.6, 0.7), (8.0, 0.7), weight=0.8)
    sketch.arrow("movement", (5.0, 1.2), (7.2, 1.2), 0, "cross")
    if not sketch.wants("movement"):
        sketch.note("cross slide", (4.8, 1.2), 0)


def draw_base(sketch: Sketch) -> None:
    """The compound base from above: its zero line, the slide, and a line parallel to the axis."""
    alpha = sketch.half_angle
    centre = np.array([8.0, 4.1])
    radius, reach = 2.3, 3.1
    along = unit(180 - alpha)
    side = 0.4 * np.array([-along[1], along[0]])
    ends = centre + reach * along, centre - reach * along
    sketch.circle(centre, radius, "metal")
    sketch.area("brass", [ends[0] - side, ends[1] - side, ends[1] + side, ends[0] + side])
    sketch.line("compound", *ends, weight=1.2)
    sketch.line("axis", (3.2, centre[1]), (12.8, centre[1]), weight=0.6)
    zero = 180.0 if sketch.shape["base_zero"] == "parallel to bed" else 90.0
    if sketch.wants("base_reading"):
        sketch.line("guide", centre, centre + 3.6 * unit(zero), weight=0.9)
        sketch.arc("base_reading", centre, 3.5, zero, 180 - alpha)
        sketch.note("zero", centre + 3.6 * unit(zero), zero)
    if sketch.wants("included_angle"):
        sketch.line("guide", centre, centre + 3.5 * unit(alpha), weight=0.7)
        sketch.arc("included_angle", centre, 3.4, -alpha, alpha, place=0.75)
    swing = 180 - alpha - SWING, 180 - alpha + SWING
    sketch.arc("swing", centre, 3.5, *swing, heads=True)
    sketch.arc("arc_at_base", centre, radius + 0.3, *swing, heads=True)
    sketch.span("base_radius", centre, centre + radius * unit(-70), -90)
    sketch.note("along the bed", (3.6, centre[1]), -90)


def draw_lost_motion(sketch: Sketch) -> None:
    """A nut between two lugs of the slide: it pushes one, and the gap at the other is lost."""
    sketch.area("brass", box(3.6, 1.8, 12.4, 2.9))
    for left in (4.6, 10.4):
        sketch.area("brass", box(left, 2.9, left + 1.0, 4.3))
    sketch.area("metal", box(7.4, 3.1, 10.4, 4.9))
    for left, right in ((1.6, 7.4), (10.4, 14.4)):
        sketch.line("metal edge", (left, 4.5), (right, 4.5), weight=1.6)
    for key in ("turned_back", "reading", "cross_reading"):
        sketch.arrow(key, (10.2, 5.3), (7.6, 5.3), 90, "cross")
    sketch.arrow("movement", (8.4, 1.3), (6.0, 1.3), 0, "cross")
    sketch.span("backlash", (5.6, 3.6), (7.4, 3.6), 110, "angle")
    sketch.mark("start_reading", (10.2, 5.3), 30, "cross")
    sketch.note("screw", (13.6, 4.5), -90)
    sketch.note("slide", (12.4, 2.4), 0)
