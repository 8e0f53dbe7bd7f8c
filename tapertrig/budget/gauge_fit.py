"""What an angle error does to the part: the diameter it puts out, where a gauge touches."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import overload

import numpy as np

from tapertrig.angle import Angle, AngleOrRadians, angle_or_radians, half_angle_radians
from tapertrig.cone import Cone
from tapertrig.limits import Array, Given, Number, lengths, numbers, one_of, true_or_false
from tapertrig.several_cones import Wall


def diameter_error(
    length: float | Given, half_angle: AngleOrRadians[Given], angle_error: AngleOrRadians[Given]
) -> Given:
    """Diameter change over an axial length for a half angle out by δ: 2ℓ[tan(α + δ) − tan α].

    `angle_error` an Angle or radians, signed; floats or arrays; result in the unit of the length.
    """
    alpha = half_angle_radians(half_angle)
    error = numbers("angle error", getattr(angle_error, "radians", angle_error), 0.001)
    out = half_angle_radians(alpha + error, "half angle with its error")
    # tan(α + δ) − tan α as a product, so that small errors keep their figures.
    difference = np.sin(error) / (np.cos(alpha) * np.cos(out))
    return 2 * lengths("cone length", length, 0.75, zero=True) * difference


def blue_length(film: float | Given, angle_error: AngleOrRadians[Given]) -> Given:
    """How far along the wall blue shows from the end that touches: t ÷ tan |δ|, film t.

    A true gauge, wiped with blue, leaves it wherever the gap is less than the film is thick.
    `angle_error` an Angle or radians, not zero; plane geometry; unit as the film.
    """
    error = np.abs(numbers("angle error", getattr(angle_error, "radians", angle_error), 0.001))
    if np.any(error == 0):
        raise ValueError("angle error is 0; with none, blue shows all along the wall")
    out = half_angle_radians(error, "angle error")
    return lengths("film of blue", film, 0.0002) / np.tan(out)


@overload
def error_from_blue(film: float, length: float) -> Angle: ...
@overload
def error_from_blue(film: Array, length: Number) -> Array: ...
@overload
def error_from_blue(film: float, length: Array) -> Array: ...
def error_from_blue(film: Number, length: Number) -> Angle | Array:
    """About how far the half angle is out, without its sign: t over the length that shows blue.

    An Angle, or radians for arrays. A film's thickness is poorly known, and so is this.
    """
    film, length = lengths("film of blue", film, 0.0002), lengths("length of blue", length, 0.3)
    if np.any(np.greater(film, np.asarray(length) / 10)):
        raise ValueError(
            f"length of blue is {np.min(length):g} for a film of {np.max(film):g}; blue that shows "
            "over less than ten times its film says nothing of the angle"
        )
    return angle_or_radians(np.arctan(np.divide(film, length)))


def too_large_by_blue(internal: bool, shows_at: str) -> bool:
    """Whether the half angle is too large where a true gauge shows blue at that end alone.

    A plug in a bore touches at the small end where the bore opens too fast; a ring on an external
    cone at the large end. The other end: too small.
    """
    true_or_false("internal", internal)
    one_of("blue shows at", shows_at, ("small end", "large end"))
    return (shows_at == "small end") is bool(internal)


@dataclass(frozen=True)
class GaugeFit:
    """How a true gauge sits on a cone whose half angle is out. Lengths in the cone's unit.

    The face diameter is right and the gauge touches over the cone's whole length. `contact` and
    `gap_at` are "large end", "small end" or, with no error, "both ends" and "neither end".
    `gap` is square to the gauge's wall, `gap_on_radius` square to the axis. `stand_off` is how
    far the gauge is held off along the axis from where it would sit on a true cone.
    `far_diameter_error` is signed: what the other end's diameter is out by.
    """

    contact: str
    gap_at: str
    gap: float
    gap_on_radius: float
    stand_off: float
    far_diameter_error: float


def gauge_fit(cone: Cone, angle_error: Angle | float) -> GaugeFit:
    """A true plug (or ring) on `cone` when its half angle is out by δ (an Angle, or radians).

    The clearance on radius changes by tan(α + δ) − tan α per unit of depth, so it closes at one
    end: with the angle too large at the far end, with the angle too small at the face.
    """
    if cone.length is None:
        raise ValueError("this cone has no length; give one, for example length=0.75")
    change = diameter_error(cone.length, cone.half_angle, angle_error)
    radial = abs(change) / 2
    alpha = cone.half_angle.radians
    face, far = ("large end", "small end") if cone.internal else ("small end", "large end")
    if change == 0:
        contact, gap_at = "both ends", "neither end"
    else:
        contact, gap_at = (far, face) if change > 0 else (face, far)
    return GaugeFit(
        contact=contact,
        gap_at=gap_at,
        gap=radial * math.cos(alpha),
        gap_on_radius=radial,
        stand_off=radial / math.tan(alpha) if change > 0 else 0.0,
        far_diameter_error=-change if cone.internal else change,
    )


def seat_and_plug(seat: Wall, plug_half_angle: Angle) -> GaugeFit:
    """How a plug sits in a seat of another half angle; the difference is the interference angle.

    A steeper plug (the smaller half angle) touches at the seat's small end, a flatter one at its
    large end. `far_diameter_error` is then of the seat against the plug.
    """
    plug = Cone(plug_half_angle, seat.upper.diameter, seat.deep)
    return gauge_fit(plug, seat.half_angle - plug_half_angle)
