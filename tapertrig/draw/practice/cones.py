"""Practice figures of a cone from the side: its angle, its callout, its tolerance, its boring."""

from __future__ import annotations

import math

import numpy as np

from tapertrig.draw.parts.scene import box
from tapertrig.draw.practice.sketch import Sketch, unit

AXIS = 4.3
FAN = 4.0  # degrees a tolerance is drawn with, far larger than it is


def _fitting_wall(half_angle: float, across: float, up: float) -> float:
    """The longest wall of a cone that stays within so much along the axis and beside it."""
    turn = math.radians(half_angle)
    return min(across / math.cos(turn), up / math.sin(turn))


def draw_angle(sketch: Sketch) -> None:
    """A cone opening to the right: included angle from wall to wall, half angle from the axis."""
    alpha = sketch.half_angle
    wall = _fitting_wall(alpha, 10.0, 3.4)
    apex = np.array([8.0 - 0.6 * wall * math.cos(math.radians(alpha)), AXIS])
    ends = apex + wall * unit(alpha), apex + wall * unit(-alpha)
    sketch.area("brass", [apex, *ends], edge=None, clear=False)
    for end in ends:
        sketch.line("compound", apex, end, weight=1.4)
    sketch.line("axis", apex - [0.8, 0], (min(ends[0][0] + 1.5, 15.6), AXIS), weight=0.6)
    sketch.arc("included_angle", apex, 0.68 * wall, -alpha, alpha, place=0.25)
    sketch.arc("half_angle", apex, 0.42 * wall, 0, alpha)
    sketch.mark("half_angle_in_decimals", apex + 0.42 * wall * unit(alpha / 4), 0, "angle")


def draw_cone(sketch: Sketch) -> None:
    """A cone dimensioned as a print does it: diameters at its ends, length, taper, angle."""
    alpha = sketch.half_angle
    slope = math.tan(math.radians(alpha))
    large = min(2.5, 9.0 * slope)
    run = large / slope
    apex = np.array([max(1.0, 6.6 - run / 2), 4.8])
    face, small_end = apex[0] + run, apex[0] + 0.45 * run
    small = 0.45 * large
    corners = [
        (small_end, apex[1] - small),
        (face, apex[1] - large),
        (face, apex[1] + large),
        (small_end, apex[1] + small),
    ]
    sketch.area("brass", corners)
    for low, high in ((0, 1), (3, 2)):
        sketch.line("guide", apex, corners[low], weight=0.7)
        sketch.line("compound", corners[low], corners[high], weight=1.3)
    sketch.line("axis", apex - [0.5, 0], (face + 0.5, apex[1]), weight=0.6)
    sketch.arc("included_angle", apex, 0.36 * run, -alpha, alpha)
    sketch.arc("half_angle", apex, 0.36 * run, 0, alpha, place=0.75)
    if sketch.wants("face_diameter"):
        right = face + 1.0
        for level in (-large, large):
            sketch.thin((face + 0.1, apex[1] + level), (right + 0.2, apex[1] + level))
        sketch.span("face_diameter", (right, apex[1] - large), (right, apex[1] + large), 0)
    if sketch.wants("small_diameter"):
        left = small_end - 0.25 * run
        for level in (-small, small):
            sketch.thin((small_end - 0.1, apex[1] + level), (left - 0.2, apex[1] + level))
        sketch.span("small_diameter", (left, apex[1] - small), (left, apex[1] + small), 180)
    if sketch.wants("length"):
        below = apex[1] - large - 0.6
        for x, level in ((small_end, small), (face, large)):
            sketch.thin((x, apex[1] - level - 0.1), (x, below - 0.2))
        sketch.span("length", (small_end, below), (face, below), -90)
    middle = (np.array(corners[2]) + corners[3]) / 2
    for key in ("taper", "ratio", "taper_per_foot", "seat_width"):
        sketch.mark(key, middle, 90, "compound")


def draw_tolerance(sketch: Sketch) -> None:
    """A cone whose walls may lie anywhere within a fan, drawn much wider than it is."""
    alpha = sketch.half_angle
    sketch.list_side = "left"
    wall = _fitting_wall(alpha + FAN, 9.0, 2.7)
    axis = 3.9
    apex = np.array([8.0 - 0.6 * wall * math.cos(math.radians(alpha)), axis])
    for side in (1, -1):
        edges = [apex + wall * unit(side * (alpha + turn)) for turn in (-FAN, FAN)]
        sketch.area("band", [apex, *edges], weight=0.4)
        sketch.line("compound", apex, apex + wall * unit(side * alpha), weight=1.2)
    right = min(apex[0] + wall * math.cos(math.radians(alpha)) + 1.5, 15.6)
    sketch.line("axis", apex - [0.8, 0], (right, axis), weight=0.6)
    sketch.arc("included_angle", apex, 0.7 * wall, -alpha, alpha, place=0.25)
    sketch.arc("largest half angle", apex, 0.45 * wall, 0, alpha + FAN, place=0.6)
    at = apex + 0.85 * wall * unit(alpha)
    sketch.mark("tolerance on the half angle", at, 90 + alpha, "angle")
    sketch.mark("proven zone of the half angle", at, 90 + alpha, "angle")
    sketch.mark("highest cross reading", apex + wall * unit(alpha + FAN), 90, "cross")


def draw_bore(sketch: Sketch) -> None:
    """A bored cone in section, large end at the face, and the tool at its near wall."""
    alpha = sketch.half_angle
    slope = math.tan(math.radians(alpha))
    mouth, outer, face, axis = 1.9, 2.8, 7.4, 4.6
    depth = min(4.2, 0.8 * mouth / slope)
    left = face - depth - 1.2
    inner = mouth - depth * slope
    for side in (1, -1):
        profile = [
            (left, inner),
            (face - depth, inner),
            (face, mouth),
            (face, outer),
            (left, outer),
        ]
        sketch.area("brass", [(x, axis + side * y) for x, y in profile])
    sketch.line("axis", (left - 0.5, axis), (face + 0.6, axis), weight=0.6)
    # The apex may lie outside the part; dashed lines carry the walls to it.
    apex = np.array([face - mouth / slope, axis])
    if sketch.wants("included_angle"):
        for side in (1, -1):
            sketch.line("guide", apex, (face - depth, axis + side * inner), weight=0.7)
        sketch.arc(
            "included_angle", apex, 0.6 * depth / math.cos(math.radians(alpha)), -alpha, alpha
        )
    right = face + 1.0
    if sketch.wants("face_diameter"):
        for side in (1, -1):
            sketch.thin((face + 0.1, axis + side * mouth), (right + 0.2, axis + side * mouth))
        sketch.span("face_diameter", (right, axis - mouth), (right, axis + mouth), 0)
    if sketch.wants("face_diameter_wanted"):
        wider = mouth + 0.5
        for side in (1, -1):
            end = (face - depth, axis + side * (inner + 0.5))
            sketch.line("guide", end, (face, axis + side * wider), weight=0.8)
            sketch.thin((face + 0.1, axis + side * wider), (14.6, axis + side * wider))
        ends = (14.4, axis - wider), (14.4, axis + wider)
        sketch.span("face_diameter_wanted", *ends, 110, place=1.0)
    if sketch.wants("faced_off", "face diameter after facing"):
        cut = 0.3 * depth
        sketch.line("guide", (face - cut, axis - outer - 0.4), (face - cut, axis + outer + 0.4))
        sketch.thin((face, axis - outer - 0.1), (face, axis - outer - 0.8))
        sketch.span(
            "faced_off", (face - cut, axis - outer - 0.6), (face, axis - outer - 0.6), -90, "axial"
        )
        radius = mouth - cut * slope
        ends = (face - cut, axis - radius), (face - cut, axis + radius)
        sketch.span("face diameter after facing", *ends, 90, "cross")
    sketch.mark("change of face diameter", (face, axis + mouth), 60, "cross")
    tip = np.array([face - 0.45 * depth, axis - mouth + 0.45 * depth * slope])
    bar = box(-0.2, 0.5, 3.2, 0.9)
    if sketch.wants("compound_feed", "cross_reading", "carriage_travel"):
        tool = [(0.0, 0.0), (0.28, 0.5), *bar[1:], (-0.2, 0.5)]
        sketch.area("metal", [tip + corner for corner in tool], zorder=6)
    along = tip + [0.4, -0.9]
    feed = along + 0.5 * unit(-alpha), along + unit(180 - alpha)
    sketch.arrow("compound_feed", *feed, -90, "compound")
    sketch.arrow("cross_reading", (9.6, axis - 2.7), (9.6, axis - 4.0), 0, "cross")
    sketch.arrow("carriage_travel", (11.0, axis - 3.3), (8.6, axis - 3.3), 0, "axial")
