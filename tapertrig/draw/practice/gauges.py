"""Practice figures of gauging: balls in a bored cone, a plug on rolls and blocks."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from tapertrig.draw.parts.scene import box
from tapertrig.draw.practice.sketch import Sketch, unit

MIDDLE = 8.0
TWO_BALLS_MIDDLE = 6.6
ROLLS_MIDDLE = 5.2


def draw_balls(sketch: Sketch) -> None:
    """A bored cone in section, face up, with one or two gauge balls resting where they truly do."""
    alpha = math.radians(sketch.half_angle)
    face_diameter = float(sketch.shape["face_diameter"])
    balls = [float(sketch.shape[key]) / 2 for key in ("ball_1", "ball_2") if key in sketch.shape]
    apex_depth = face_diameter / (2 * math.tan(alpha))
    centres = [apex_depth - radius / math.sin(alpha) for radius in balls]
    lowest = max(depth + radius for depth, radius in zip(centres, balls, strict=True))
    highest = max(0.0, *(radius - depth for depth, radius in zip(centres, balls, strict=True)))
    bottom = min(0.97 * apex_depth, lowest + 0.2 * face_diameter)
    room = 4.8 if len(balls) == 1 else 4.6
    scale = min(room / (highest + bottom), 7.0 / (1.6 * face_diameter))
    face = 0.9 + bottom * scale
    middle = MIDDLE if len(balls) == 1 else TWO_BALLS_MIDDLE
    mouth, outer = face_diameter / 2, 0.8 * face_diameter
    broken = 0.05 * face_diameter if sketch.wants("edge_break") else 0.0

    def at(x: float, depth: float) -> np.ndarray:
        return np.array([middle + x * scale, face - depth * scale])

    slope = math.tan(alpha)
    for side in (1, -1):
        profile = [
            (mouth - broken * slope + broken, 0.0),
            (mouth - broken * slope, broken),
            (mouth - bottom * slope, bottom),
            (outer, bottom),
            (outer, 0.0),
        ]
        sketch.area("brass", [at(side * x, depth) for x, depth in profile])
    for depth, radius, fill in zip(centres, balls, ("metal", None), strict=False):
        sketch.circle(at(0, depth), radius * scale, fill, "guide")
    top = face + highest * scale
    sketch.list_top = top + 2.4
    sketch.line("axis", at(0, bottom) - [0, 0.2], (middle, top + 0.05), weight=0.6)
    _say_heights(sketch, at, list(zip(centres, balls, strict=True)), outer)
    _say_angles(sketch, at, apex_depth, bottom)
    sketch.mark("face_diameter", at(mouth, 0), 40)
    sketch.mark("edge_break", at(-mouth, 0), 165)
    if sketch.asked == "contact below the edge break":
        depth = apex_depth - balls[0] / math.tan(alpha) * math.cos(alpha)
        contact = apex_depth * math.tan(alpha) - depth * slope
        x = -outer - 0.6 / scale
        sketch.thin(at(-contact, depth), at(x - 0.2 / scale, depth))
        sketch.thin(at(-mouth, broken), at(x - 0.2 / scale, broken))
        sketch.span("contact below the edge break", at(x, depth), at(x, broken), 180)
    if len(balls) == 1:
        sketch.mark("ball_1", at(0, centres[0]) + balls[0] * scale * unit(130), 130)
    sketch.mark("largest ball", at(0, centres[0]) + balls[0] * scale * unit(130), 130)


def _say_heights(
    sketch: Sketch,
    at: Callable[[float, float], np.ndarray],
    resting: list[tuple[float, float]],
    outer: float,
) -> None:
    """Heights of the tops of the balls above the face, the first to the right, then the left."""
    sides = (
        (("height", "height_1", "height of the top of the ball"), 1, resting[0]),
        (("height_2",), -1, resting[-1]),
    )
    for keys, side, (depth, radius) in sides:
        if not sketch.wants(*keys):
            continue
        above = depth - radius
        x = side * (outer + 0.22 * outer)
        sketch.thin(at(side * 0.1 * radius, above), at(x * 1.04, above))
        sketch.thin(at(side * outer, 0), at(x * 1.04, 0))
        for key in keys:
            sketch.span(key, at(x, 0), at(x, above), 0 if side > 0 else 180, "cross")


def _say_angles(
    sketch: Sketch, at: Callable[[float, float], np.ndarray], apex_depth: float, bottom: float
) -> None:
    if not sketch.wants("included_angle", "half_angle"):
        return
    apex = at(0, apex_depth)
    radius = float(np.linalg.norm(at(0, bottom) - apex)) + 0.35
    alpha = sketch.half_angle
    sketch.arc("included_angle", apex, radius, 90 - alpha, 90 + alpha, place=0.3)
    sketch.arc("half_angle", apex, radius, 90, 90 - alpha)


def draw_rolls(sketch: Sketch) -> None:
    """A cone on a plate, small end down, between two rolls; and again with the rolls on blocks."""
    alpha = math.radians(sketch.half_angle)
    slope = math.tan(alpha)
    plate, height, small, roll, block = 2.6, 3.5, 1.2, 0.55, 1.9
    top = plate + height
    left, right = ROLLS_MIDDLE - 4.7, ROLLS_MIDDLE + 4.7
    sketch.area("metal", box(left, plate - 0.3, right, plate))
    cone = [
        (ROLLS_MIDDLE - small, plate),
        (ROLLS_MIDDLE + small, plate),
        (ROLLS_MIDDLE + small + height * slope, top),
        (ROLLS_MIDDLE - small - height * slope, top),
    ]
    sketch.area("brass", cone)
    sketch.line("axis", (ROLLS_MIDDLE, plate - 0.2), (ROLLS_MIDDLE, top + 0.2), weight=0.6)
    beside = small + roll * (slope + 1 / math.cos(alpha))
    _rolls_at(sketch, "over_low", beside, plate, roll, plate - 0.9, -90)
    if sketch.wants("over_high"):
        outward = beside + block * slope
        for side in (1, -1):
            left, right = sorted(
                (ROLLS_MIDDLE + side * (outward - 0.2), ROLLS_MIDDLE + side * (outward + 1.0))
            )
            corners = box(left, plate, right, plate + block)
            sketch.area("metal", corners, zorder=1, clear=False)
        _rolls_at(sketch, "over_high", outward, plate + block, roll, top + 0.6, 90)
        x = ROLLS_MIDDLE + outward + 1.4
        sketch.thin((ROLLS_MIDDLE + outward + 1.0, plate + block), (x + 0.2, plate + block))
        sketch.span("block_height", (x, plate), (x, plate + block), 0)
    sketch.mark("roll", (ROLLS_MIDDLE - beside - roll * 0.7, plate + roll * 1.7), 150)
    sketch.mark("small_diameter", (ROLLS_MIDDLE + small, plate), -60)
    apex = np.array([ROLLS_MIDDLE, plate - small / slope])
    radius, half = top - 0.9 - apex[1], sketch.half_angle
    sketch.arc("included_angle", apex, radius, 90 - half, 90 + half, place=0.75)
    sketch.arc("half_angle", apex, radius, 90, 90 - half)


def _rolls_at(
    sketch: Sketch, key: str, beside: float, level: float, roll: float, line: float, way: float
) -> None:
    """A roll either side of the cone, and the dimension over both."""
    if not sketch.wants(key):
        return
    for side in (1, -1):
        centre = (ROLLS_MIDDLE + side * beside, level + roll)
        sketch.circle(centre, roll, "metal")
        x = ROLLS_MIDDLE + side * (beside + roll)
        sketch.thin((x, level + roll), (x, line + (0.15 if way > 0 else -0.15)))
    ends = (ROLLS_MIDDLE - beside - roll, line), (ROLLS_MIDDLE + beside + roll, line)
    sketch.span(key, *ends, way)
