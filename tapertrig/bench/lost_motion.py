"""Lost motion: a handwheel, the slide that trails it, and what a reversal does to an angle."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

import numpy as np

from tapertrig.angle import AngleOrRadians, half_angle_radians
from tapertrig.limits import Array, Number, lengths, not_negative

SCREWS = ("compound", "cross")
WhichScrew = Annotated[str, SCREWS]


def play(handwheel: float, slide: float, lost_motion: float) -> float:
    """Where the slide is once the handwheel stands at `handwheel`: min(max(p, w − b), w).

    The play operator of hysteresis theory (M.A. Krasnosel'skii, A.V. Pokrovskii, Systems with
    Hysteresis, 1989), with the slide trailing the handwheel by 0 to b.
    """
    return min(max(slide, handwheel - lost_motion), handwheel)


def play_path(
    handwheels: Sequence[float] | Array, lost_motion: float, slide: float | None = None
) -> Array:
    """Slide positions for a row of handwheel positions, in their order.

    `slide` is where the slide stands before the first; half the lost motion behind if not given.
    """
    path = np.asarray(handwheels, dtype=float)
    if path.ndim != 1:
        raise ValueError("handwheel positions must be one row of numbers, as [0, 0.1, 0.05]")
    lost = not_negative("lost motion", lost_motion, 0.008)
    slides = np.empty_like(path)
    at = slide
    for index, handwheel in enumerate(path):
        at = play(handwheel, handwheel - lost / 2 if at is None else at, lost)
        slides[index] = at
    return slides


def reversal_cost(
    lost_motion: Number,
    compound_travel: Number,
    half_angle: AngleOrRadians,
    screw: WhichScrew = "cross",
) -> Number:
    """What lost motion between the two ends of a check does to the angle read, in radians.

    `lost_motion` is how much more the handwheel moved than the slide, in the direction of the
    run (negative when it moved less); `compound_travel` is what the compound's dial says.
    Cross: asin(sin α + lost/s) − α; compound: asin((1 − lost/s) sin α) − α; to first order
    lost/(s cos α) and −lost·tan α/s. Floats or arrays; ValueError where no triangle is left.
    """
    travel = lengths("compound travel", compound_travel, 2.6)
    alpha = half_angle_radians(half_angle)
    share = np.asarray(lost_motion, dtype=float) / travel
    sine = np.sin(alpha) + share if screw == "cross" else np.sin(alpha) * (1 - share)
    if not (np.abs(sine) <= 1).all():
        raise ValueError(
            f"lost motion {np.max(np.abs(lost_motion)):g} is too much for a compound travel of "
            f"{np.min(travel):g}: no triangle is left; use a longer travel"
        )
    cost = np.arcsin(sine) - alpha
    return float(cost) if np.ndim(cost) == 0 else cost


@dataclass(frozen=True)
class PitchError:
    """How a screw differs from its dial: `per_length` of travel, and a wave once a turn.

    The slide stands at p(1 + per_length) + wave·sin(2πp/lead), p counted from its rear end.
    """

    per_length: float = 0.0
    wave: float = 0.0

    def __post_init__(self) -> None:
        if abs(self.per_length) > 0.01:
            raise ValueError(
                f"pitch error per length is {self.per_length:g}; it must lie within ±0.01, "
                "for example 0.0003"
            )

    def slide(self, nut: float, lead: float) -> float:
        """Where the slide stands when the dial would have it at `nut`."""
        if not (self.per_length or self.wave):
            return nut
        return nut * (1 + self.per_length) + self.wave * math.sin(2 * math.pi * nut / lead)

    def most(self, travel: float) -> float:
        """The most that it can add to, or take from, a travel of that length."""
        return abs(self.per_length) * travel + 2 * abs(self.wave)
