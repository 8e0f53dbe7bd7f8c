"""An external cone over two rolls and blocks, small end down on the plate.

α half angle, d_r roll diameter, B block height, M measure over the rolls. A roll beside the
cone touches it along its own length, so that the section through the axis is the whole story.
"""

from __future__ import annotations

from typing import Generic, NamedTuple, overload

import numpy as np

from tapertrig.angle import Angle, AngleOrRadians, angle_or_radians, half_angle_radians
from tapertrig.cone import Cone
from tapertrig.limits import Array, Given, Number, lengths


class RollContact(NamedTuple, Generic[Given]):
    """Where a roll touches: diameter of the cone there, and height above its small end."""

    diameter: Given
    height: Given


def roll_constant(half_angle: AngleOrRadians[Given]) -> Given:
    """What a pair of rolls adds, in roll diameters: 1 + tan α + 1/cos α.

    The same as 1 + cot(θ/2) for a dovetail of angle θ = 90° − α (handbook relation).
    """
    return _constant(half_angle_radians(half_angle))


def _constant(alpha: Given) -> Given:
    return 1 + np.tan(alpha) + 1 / np.cos(alpha)


def roll_contact(
    cone: Cone, roll_diameter: float | Given, block_height: float | Given = 0.0
) -> RollContact[Given]:
    """Where rolls on blocks touch an external cone; floats or arrays.

    ValueError when that is past the large end. Height B + (d_r/2)(1 + sin α).
    """
    height = _contact_height(
        cone,
        lengths("roll diameter", roll_diameter, 0.25),
        lengths("block height", block_height, 1.0, zero=True),
    )
    return RollContact(cone.face_diameter + height * cone.taper, height)


def _contact_height(cone: Cone, roll: float | Given, block: float | Given) -> Given:
    if cone.internal:
        raise ValueError(
            "this cone is internal; rolls measure an external cone from outside, so use balls"
        )
    height: Given = block + roll / 2 * (1 + np.sin(cone.half_angle.radians))
    if cone.length is not None and np.any(height > cone.length * (1 + 1e-9)):
        raise ValueError(
            f"the rolls touch at {np.max(height):.5g} above the small end; this cone is only "
            f"{cone.length:g} long, so use lower blocks or smaller rolls"
        )
    return height


def over_rolls(
    cone: Cone, roll_diameter: float | Given, block_height: float | Given = 0.0
) -> Given:
    """What a micrometer over two rolls reads: D + 2B tan α + d_r(1 + tan α + 1/cos α).

    D is the small diameter at the plate (the cone's face diameter); floats or arrays.
    """
    roll = lengths("roll diameter", roll_diameter, 0.25)
    block = lengths("block height", block_height, 1.0, zero=True)
    _contact_height(cone, roll, block)
    return cone.face_diameter + block * cone.taper + roll * _constant(cone.half_angle.radians)


@overload
def half_angle_from_rolls(over_low: float, over_high: float, block_height: float) -> Angle: ...
@overload
def half_angle_from_rolls(over_low: Number, over_high: Array, block_height: Number) -> Array: ...
def half_angle_from_rolls(
    over_low: Number, over_high: Number, block_height: Number
) -> Angle | Array:
    """Half angle from two measures over rolls, `block_height` apart: tan α = (M₂ − M₁)/(2B).

    An Angle, or radians for arrays. Mechanical Engineer's Data Handbook 7.2.2.
    """
    low = lengths("measure over the low rolls", over_low, 1.25)
    high = lengths("measure over the high rolls", over_high, 1.5)
    block = lengths("block height", block_height, 1.0)
    if np.any(np.asarray(high) <= np.asarray(low)):
        raise ValueError(
            f"the measure over the high rolls is {np.min(high):g} and over the low rolls "
            f"{np.max(low):g}; with the small end down the high one must be the larger"
        )
    return angle_or_radians(np.arctan2(np.subtract(high, low), np.multiply(2, block)))


def face_diameter_from_rolls(
    half_angle: AngleOrRadians[Given],
    roll_diameter: float | Given,
    over: float | Given,
    block_height: float | Given = 0.0,
) -> Given:
    """Small diameter at the plate: M − 2B tan α − d_r(1 + tan α + 1/cos α); floats or arrays."""
    alpha = half_angle_radians(half_angle)
    roll = lengths("roll diameter", roll_diameter, 0.25)
    over = lengths("measure over the rolls", over, 1.25)
    block = lengths("block height", block_height, 1.0, zero=True)
    diameter = over - 2 * block * np.tan(alpha) - roll * _constant(alpha)
    if np.any(np.asarray(diameter) <= 0):
        raise ValueError(
            f"the measure over the rolls is {np.min(over):g}; that leaves no diameter at the "
            f"plate with rolls of {np.max(roll):g}; check roll, block and half angle"
        )
    return diameter
