"""Which ball of a set to use, and which two: clearance at both ends, sensitivity, uncertainty."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Generic, NamedTuple

import numpy as np

from tapertrig.cone import Cone
from tapertrig.gauging.balls import BallContact, ball_contact, ball_rest
from tapertrig.limits import Array, Given, not_negative, one_of

BALL_ORDERS = ("clearance", "half angle", "uncertainty")
PAIR_ORDERS = ("half angle", "face diameter")


@dataclass(frozen=True)
class GaugeUncertainty:
    """Standard uncertainties: of a ball's diameter, of one height, of what all heights share.

    `face` is the common part: flatness of the face, zero of the instrument, parallels under it.
    `half_angle`, in radians, counts only where the half angle is not measured with the balls.
    """

    ball: float = 0.0
    height: float = 0.0
    face: float = 0.0
    half_angle: float = 0.0

    def __post_init__(self) -> None:
        for name in ("ball", "height", "face", "half_angle"):
            not_negative(f"standard uncertainty, {name.replace('_', ' ')}", getattr(self, name))


class BallSensitivities(NamedTuple, Generic[Given]):
    """∂D/∂d, ∂D/∂h and ∂D/∂α (per radian) of one ball at a given half angle."""

    ball: float
    height: float
    half_angle: Given


def ball_sensitivities(cone: Cone, ball_diameter: float | Given) -> BallSensitivities[Given]:
    """How the face diameter answers to ball, height and half angle; floats or arrays.

    tan α + 1/cos α, −2 tan α and 2t/cos²α, with t the depth of contact: the nearer the face the
    ball touches, the less an error of the half angle matters. The other two are the same for
    every ball.
    """
    return _sensitivities(cone, ball_contact(cone, ball_diameter).depth)


def _sensitivities(cone: Cone, depth: Given) -> BallSensitivities[Given]:
    alpha = cone.half_angle.radians
    return BallSensitivities(
        math.tan(alpha) + 1 / math.cos(alpha), -cone.taper, 2 * depth / math.cos(alpha) ** 2
    )


@dataclass(frozen=True)
class BallChoice:
    """One ball of a set: what it would show, how far it is from both ends, or why it is no use.

    `clearance_above` is from contact to edge break (or face), `clearance_below` to the bottom,
    both along the axis; `height` is + proud. All None for a ball that does not rest on the cone;
    `reason` says why, or that a clearance is less than the margin.
    """

    ball_diameter: float
    height: float | None = None
    contact: BallContact[float] | None = None
    clearance_above: float | None = None
    clearance_below: float | None = None
    sensitivities: BallSensitivities[float] | None = None
    standard_uncertainty: float | None = None
    reason: str = ""

    @property
    def fits(self) -> bool:
        """Whether the ball rests on the cone, by the margin at least at both ends."""
        return not self.reason

    @property
    def least_clearance(self) -> float:
        """The smaller of the two clearances; less than zero for a ball that is no use."""
        if self.clearance_above is None or self.clearance_below is None:
            return -math.inf
        return min(self.clearance_above, self.clearance_below)

    @property
    def proud(self) -> bool:
        """Whether its top stands above the face."""
        return self.height is not None and self.height > 0


def suitable_balls(
    cone: Cone,
    balls: Sequence[float],
    edge_break: float = 0.0,
    floor_depth: float | None = None,
    margin: float = 0.0,
    uncertainty: GaugeUncertainty | None = None,
    order: str = "clearance",
) -> list[BallChoice]:
    """Every ball of a set, best first; those that will not do last, each with its reason.

    `margin` is the least clearance wanted at either end. Order "clearance": contact farthest
    from both ends; "half angle": least harm from an error of the half angle (∂D/∂α);
    "uncertainty": least u(D), which needs `uncertainty`. The height sensitivity ∂D/∂h is
    −2 tan α for every ball and so puts none above another.
    """
    one_of("order", order, BALL_ORDERS)
    not_negative("margin", margin, 0.02)
    if order == "uncertainty" and uncertainty is None:
        raise ValueError("order “uncertainty” needs the uncertainties; give a GaugeUncertainty")
    choices = [_choice(cone, ball, edge_break, floor_depth, margin, uncertainty) for ball in balls]
    ranks = {
        "clearance": lambda choice: -choice.least_clearance,
        "half angle": lambda choice: choice.sensitivities.half_angle,
        "uncertainty": lambda choice: choice.standard_uncertainty,
    }
    fitting = sorted((choice for choice in choices if choice.fits), key=ranks[order])
    return [*fitting, *(choice for choice in choices if not choice.fits)]


def _choice(
    cone: Cone,
    ball: float,
    edge_break: float,
    floor_depth: float | None,
    margin: float,
    uncertainty: GaugeUncertainty | None,
) -> BallChoice:
    rest = ball_rest(cone, ball, edge_break, floor_depth)
    if rest.contact is None or rest.clearance is None:
        return BallChoice(ball, reason=rest.reason)
    clearance = rest.clearance
    reason = ""
    if min(clearance) < margin:
        end = "edge break or face" if clearance.above < clearance.below else "lower end"
        reason = (
            f"ball diameter is {ball:g}; it clears the {end} by only {min(clearance):.4g}, less "
            f"than the margin of {margin:g}"
        )
    partial = _sensitivities(cone, rest.contact.depth)
    return BallChoice(
        ball_diameter=ball,
        height=rest.height,
        contact=rest.contact,
        clearance_above=clearance.above,
        clearance_below=clearance.below,
        sensitivities=partial,
        standard_uncertainty=None if uncertainty is None else _face_spread(partial, uncertainty),
        reason=reason,
    )


def _face_spread(partial: BallSensitivities[float], uncertainty: GaugeUncertainty) -> float:
    return math.hypot(
        partial.ball * uncertainty.ball,
        partial.height * uncertainty.height,
        partial.height * uncertainty.face,
        partial.half_angle * uncertainty.half_angle,
    )


@dataclass(frozen=True)
class BallPair:
    """Two balls in one cone: heights, standard uncertainties of what they give, correlation.

    `half_angle_uncertainty` is in radians; `correlation` is that of half angle and face diameter.
    """

    large: BallChoice
    small: BallChoice
    half_angle_uncertainty: float
    face_diameter_uncertainty: float
    correlation: float


def ball_pairs(
    cone: Cone,
    balls: Sequence[float],
    uncertainty: GaugeUncertainty,
    edge_break: float = 0.0,
    floor_depth: float | None = None,
    margin: float = 0.0,
    order: str = "half angle",
) -> list[BallPair]:
    """All pairs of a set that both rest on the cone, best first; empty when there is none.

    `margin` is the least clearance wanted at either end. Ordered by the standard uncertainty of
    "half angle" or of "face diameter", to first order with covariances (JCGM 100 clause 5.2).
    """
    one_of("order", order, PAIR_ORDERS)
    if not uncertainty.ball and not uncertainty.height and not uncertainty.face:
        raise ValueError(
            "all uncertainties are zero, so no pair is better than another; give the height's, "
            "for example GaugeUncertainty(height=0.0002)"
        )
    fitting = [
        choice
        for choice in suitable_balls(cone, sorted(set(balls)), edge_break, floor_depth, margin)
        if choice.fits
    ]
    by_size = sorted(fitting, key=lambda choice: choice.ball_diameter)
    pairs = [_pair(cone, large, small, uncertainty) for small, large in combinations(by_size, 2)]

    def spreads(pair: BallPair) -> tuple[float, float]:
        angle, face = pair.half_angle_uncertainty, pair.face_diameter_uncertainty
        first, second = (angle, face) if order == "half angle" else (face, angle)
        # Balls equally different give equal spreads but for rounding; the other one then decides.
        return float(f"{first:.9g}"), second

    return sorted(pairs, key=spreads)


def two_ball_sensitivities(cone: Cone, large_ball: float, small_ball: float) -> Array:
    """∂α and ∂D (two rows) by large ball, large height, small ball, small height, common height.

    Through centre distance c = (R − r)/sin α: ∂α/∂H = −tan α/c, ∂α/∂d = (1 + sin α)/(2c cos α);
    ∂D by the one-ball formula with that α.
    """
    partial = ball_sensitivities(cone, large_ball)
    ball_contact(cone, small_ball)
    if not large_ball > small_ball:
        raise ValueError(
            f"the large ball is {large_ball:g} and the small one {small_ball:g}; give the larger "
            "first"
        )
    return _by_input(cone, partial, large_ball, small_ball)


def _by_input(
    cone: Cone, partial: BallSensitivities[float], large_ball: float, small_ball: float
) -> Array:
    alpha = cone.half_angle.radians
    tan, cos, sin = math.tan(alpha), math.cos(alpha), math.sin(alpha)
    apart = (large_ball - small_ball) / 2 / sin
    by_ball, by_height = (1 + sin) / (2 * apart * cos), -tan / apart
    angle = np.array([by_ball, by_height, -by_ball, -by_height, 0.0])
    face = np.array([partial.ball, partial.height, 0.0, 0.0, partial.height])
    return np.array([angle, face + partial.half_angle * angle])


def _pair(
    cone: Cone, large: BallChoice, small: BallChoice, uncertainty: GaugeUncertainty
) -> BallPair:
    partial = large.sensitivities or ball_sensitivities(cone, large.ball_diameter)
    by_input = _by_input(cone, partial, large.ball_diameter, small.ball_diameter)
    spread = np.array([uncertainty.ball, uncertainty.height] * 2 + [uncertainty.face])
    signed = by_input * spread
    covariance = signed @ signed.T
    angle, face = math.sqrt(covariance[0, 0]), math.sqrt(covariance[1, 1])
    together = float(covariance[0, 1]) / (angle * face) if angle and face else 0.0
    return BallPair(large, small, angle, face, together)
