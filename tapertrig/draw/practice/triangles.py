"""Practice figures of the setup: its triangle, its parallel lines, and how sure it is."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from tapertrig.draw.practice.sketch import Sketch, unit

MIDDLE = 6.8
FAN = 5.0  # degrees an uncertainty is drawn with, far larger than it is


def _triangle(alpha: float, across: float, up: float, low: float) -> NDArray[np.float64]:
    """Start, end and foot of the setup triangle as seen from above, slide swung for a bore."""
    turn = math.radians(alpha)
    run = min(across / math.cos(turn), up / math.sin(turn))
    start = np.array([MIDDLE + run * math.cos(turn) / 2, low])
    end = start + run * unit(180 - alpha)
    return np.array([start, end, [end[0], low]])


def _sides(sketch: Sketch, corners: NDArray[np.float64]) -> None:
    start, end, foot = corners
    sketch.line("compound", start, end, weight=1.8)
    sketch.line("cross", end, foot, weight=1.6)
    sketch.line("axial", foot, start, weight=1.6)
    size = 0.3
    sketch.thin(foot + [size, 0], foot + [size, size], foot + [0, size])


def _corner(sketch: Sketch, start: NDArray[np.float64], radius: float) -> None:
    """The half angle at the start of the triangle: its value, or its letter where it is neither
    given nor asked."""
    alpha = sketch.half_angle
    if sketch.wants("half_angle"):
        sketch.arc("half_angle", start, radius, 180 - alpha, 180)
        return
    turn = np.linspace(180 - alpha, 180, 31)
    sketch.line("angle", *(start + radius * unit(one) for one in turn), weight=1.1)
    sketch.note("α", start + radius * unit(180 - alpha / 2), 180 - alpha / 2, "angle")


def draw_setup_triangle(sketch: Sketch) -> None:
    """Compound travel as hypotenuse, cross travel opposite the half angle, axial beside it."""
    alpha = sketch.half_angle
    low = 1.8
    corners = start, end, foot = _triangle(alpha, 9.0, 5.2, low)
    sketch.list_top = end[1] + 0.7
    _sides(sketch, corners)
    run = float(np.linalg.norm(end - start))
    sketch.line("axis", (foot[0] - 0.7, low), (start[0] + 0.7, low), weight=0.5)
    _corner(sketch, start, 0.32 * run)
    for along in ("compound_travel", "work_length"):
        sketch.mark(along, (start + end) / 2, 90 - alpha, "compound")
    for across in ("cross_travel", "set_over"):
        sketch.mark(across, (end + foot) / 2, 180, "cross")
    sketch.mark("axial_travel", (foot + start) / 2, -90, "axial")


def draw_budget(sketch: Sketch) -> None:
    """The setup triangle with the fan of half angles that a band at its cross travel leaves."""
    alpha = sketch.half_angle
    corners = start, end, foot = _triangle(alpha, 8.5, 4.8, 1.9)
    sketch.list_top = end[1] + 0.7
    run = float(np.linalg.norm(end - start))
    fan = [start + 1.1 * run * unit(180 - alpha - turn) for turn in (-FAN, FAN)]
    sketch.area("band", [start, *fan], weight=0.4)
    _sides(sketch, corners)
    sketch.line("axis", (foot[0] - 0.7, 1.9), (start[0] + 0.7, 1.9), weight=0.5)
    sketch.arc(
        "half angle for one graduation", start, 0.8 * run, 180 - alpha - FAN, 180 - alpha + FAN
    )
    sketch.arc("combined standard uncertainty", start, 0.8 * run, 180 - alpha, 180 - alpha - FAN)
    sketch.arc("angle_error", start, 0.8 * run, 180 - alpha, 180 - alpha - FAN)
    for along in ("compound_travel", "run"):
        sketch.mark(along, start + 0.45 * (end - start), 90 - alpha, "compound")
    sketch.mark("length", (foot + start) / 2, -90, "axial")
    sketch.mark("datum", (foot + start) / 2, -90, "axial")
    for out in ("diameter error", "step"):
        sketch.mark(out, end, 150, "cross")
    _corner(sketch, start, 0.3 * run)


def draw_parallel_lines(sketch: Sketch) -> None:
    """The spindle axis and a line parallel to it, both cut by the line of the slide."""
    alpha = sketch.half_angle
    turn = math.radians(alpha)
    high = 6.4
    apart = min(3.6, 6.0 * math.tan(turn))
    low = high - apart
    across = apart / math.tan(turn)
    at_axis = np.array([7.6 - across / 2, high])
    at_quill = np.array([7.6 + across / 2, low])
    down = unit(-alpha)
    sketch.area(
        "brass",
        [at_axis, at_axis + 0.62 * apart / math.sin(turn) * down * [1, -1],
         at_axis + 0.62 * apart / math.sin(turn) * down],
        edge=None, clear=False,
    )  # fmt: skip
    sketch.line("axis", (0.8, high), (15.2, high), weight=0.8)
    sketch.line("ink", (0.8, low), (15.2, low), weight=0.9)
    after = min(2.6, (low - 0.4) / math.sin(turn))
    sketch.line("compound", at_axis - 2.2 * down, at_quill + after * down, weight=1.6)
    mirrored = 0.62 * apart / math.sin(turn)
    sketch.line("guide", at_axis, at_axis + mirrored * unit(alpha), weight=0.8)
    radius = min(1.6, 0.6 * mirrored)
    sketch.arc("included_angle", at_axis, radius, -alpha, alpha, place=0.75)
    sketch.arc("acute angle at the parallel line", at_quill, 1.5, -alpha, 0)
    sketch.arc("obtuse angle at the parallel line", at_quill, 1.0, 0, 180 - alpha)
    if sketch.wants("angle between compound slide and cross slide"):
        sketch.line("cross", at_quill + [0, 1.5], at_quill - [0, 1.9], weight=1.4)
        sketch.arc("angle between compound slide and cross slide", at_quill, 1.2, -90, -alpha)
        sketch.note("cross slide", at_quill - [0, 1.7], 180)
    sketch.note("spindle axis", (14.5, high), 90)
    sketch.note("parallel to it", (1.8, low), -90)
    sketch.note("compound slide", at_axis - 1.2 * down, 90 - alpha)
