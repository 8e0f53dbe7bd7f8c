"""One ball, two balls, rolls: measuring a cone whose sharp edge is no longer there."""

from __future__ import annotations

import math
from typing import Any

from tapertrig.angle import Angle
from tapertrig.cone import Cone
from tapertrig.gauging import (
    ball_clearance,
    ball_height,
    ball_range,
    face_diameter_from_ball,
    face_diameter_from_rolls,
    half_angle_from_rolls,
    half_angle_from_two_balls,
    over_rolls,
    roll_constant,
)
from tapertrig.practice.mistakes import (
    ANGLE,
    BALL_ON_BREAK,
    BALL_SIGN,
    COMPLEMENT_USED,
    COSINE_FOR_SINE,
    HALVED_AFTER_ARCTANGENT,
    HALVED_AGAIN,
    INCLUDED_AS_HALF,
    MINUTES_AS_DECIMALS,
    RADIANS,
    SINE,
    SINE_FOR_TANGENT,
    TANGENT_FOR_SINE,
    TAPER_ON_RADIUS,
    Somebody,
)
from tapertrig.practice.question import (
    HALVED,
    TO_TEN_SECONDS,
    TO_THE_MINUTE,
    Numbers,
    Picture,
    Question,
    lengths_within,
)
from tapertrig.practice.shop import Shop

MOST_TRIES = 200
_TWO_BALLS = (BALL_SIGN, *SINE, RADIANS, INCLUDED_AS_HALF, HALVED_AGAIN)
_CLOSE = lengths_within(0.0005, 0.01)

_BALL = Picture(
    "balls",
    "A bored cone in section with its large end at the face, and a gauge ball resting in it.",
    lambda n: {"half_angle": n.half.degrees, "face_diameter": n.face_diameter, "ball_1": n.ball},
)
_BALLS = Picture(
    "balls",
    "A bored cone in section, with a large gauge ball and, in its turn, a small one.",
    lambda n: {
        "half_angle": n.half.degrees,
        "face_diameter": n.face_diameter,
        "ball_1": n.large_ball,
        "ball_2": n.small_ball,
    },
)
_BOTH_BALLS = {
    "ball_1": "{large_ball:1}",
    "ball_2": "{small_ball:1}",
    "height_1": "{large_height:+1}",
    "height_2": "{small_height:+1}",
}
_ROLLS = Picture(
    "rolls",
    "An external cone standing small end down on a plate, a roll at each side, once on the "
    "plate and once on two equal blocks.",
    lambda n: {"half_angle": n.half.degrees, "small_diameter": n.small},
)

_BROKEN = (
    "A bored cone has an included angle of {included_angle} and a face diameter of "
    "{face_diameter}, measured to the theoretical sharp edge. A 45° break, {edge_break} deep along "
    "the axis, was put on that edge. "
)
_TWO_TOPS = (
    "A ball of {large_ball:1} diameter in a bored cone has its top {large_stands:1} {large_side} "
    "the face; a ball of {small_ball:1} diameter has its top {small_stands:1} {small_side} the "
    "face. "
)
_CENTRES = (
    "The radii differ by R − r = {radii:2}, the tops by H − h = {heights:1}; so the centres lie "
    "{centres:2} apart.",
    "sin α = {radii:2} / {centres:2} = {ratio:.6f}.",
    "α = {half}.",
)
_CENTRE_TRIANGLE = {
    COSINE_FOR_SINE: (
        "Draw the triangle between the two ball centres and the wall: what lies opposite the half "
        "angle?",
        "The difference of the radii stands opposite the half angle, the distance of the centres "
        "is the hypotenuse: that is the sine.",
    ),
    TANGENT_FOR_SINE: (
        "Draw the triangle between the two ball centres and the wall: which side is the distance "
        "of the centres?",
        "The distance of the centres is the hypotenuse, so its partner is the sine, not the "
        "tangent.",
    ),
}
_BALL_HINTS = (
    "Draw the cone in section down to its point, with the ball in it. Where is the ball's centre?",
    "From the point of the cone to the ball's centre it is (d/2)/sin α, and to the face "
    "D/(2 tan α). Put the two on one line.",
)
_BREAK_HINTS = (
    "At what depth does the ball touch, and what is left of the cone at that depth?",
    "The ball touches on a circle of diameter d cos α; the cone is as wide as that at one depth "
    "only. The break has taken the cone away down to its own depth.",
)
_TWO_BALLS_HINTS = (
    "How far apart do the two centres lie along the axis, and by how much do the radii differ?",
    "The tops are H − h apart; each top is a radius above its centre. The difference of the radii "
    "over the distance of the centres is the sine of the half angle.",
)


def _half_of(drawn: dict[str, float]) -> Angle:
    return Angle.from_dms(drawn["included_degrees"], drawn["included_minutes"]).half()


def _ball_size(shop: Shop) -> float:
    return shop.pick(1 / 16, 1.0)


def _cone_and_ball(shop: Shop, steepest: int = 100) -> dict[str, float]:
    """A bored cone, up to an included angle, and a gauge ball that touches it below the face."""
    included = shop.included_angle(40, steepest)
    diameter = shop.length((0.75, 1.75, 0.05), (20, 45, 0.5))
    size = _ball_size(shop)
    across = shop.step(0.6, 0.9, 0.05) * diameter / math.cos(_half_of(included).radians)
    return {**included, "face_diameter": diameter, "ball": round(across / size) * size}


def _ball_height(n: Numbers) -> dict[str, Any]:
    return {
        "answer": ball_height(Cone(n.half, n.face_diameter), n.ball),
        "inside": n.face_diameter / (2 * n.tan),
        "above": n.ball / 2 * (1 + 1 / n.sin),
    }


def _ball_height_slipped(who: Somebody) -> float:
    above = who.ball / 2 * (1 + 1 / who.plain_sine(who.half))
    height = above - who.face_diameter / (2 * who.tangent(who.half))
    return -height if who.makes(BALL_SIGN) else height


def _measured_ball(shop: Shop) -> dict[str, float]:
    drawn = _cone_and_ball(shop)
    off = shop.step(*shop.pick((-0.006, 0.006, 0.0005), (-0.15, 0.15, 0.01)))
    nominal = Cone(_half_of(drawn), drawn.pop("face_diameter"))
    height = round(ball_height(nominal, drawn["ball"]) + off, shop.places + 1)
    return {**drawn, "ball_height": height}


def _diameter(half: Angle, ball: float, height: float) -> dict[str, Any]:
    """The face diameter, and what the large ball and its height bring to it."""
    answer = face_diameter_from_ball(half, ball, height)
    tan = math.tan(half.radians)
    factor = tan + 1 / math.cos(half.radians)
    return {
        "answer": answer,
        "face_diameter": answer,
        "factor": factor,
        "reach": ball * factor,
        "taken": 2 * height * tan,
    }


def _side(height: float) -> str:
    return "proud of" if height >= 0 else "below"


def _face_diameter(n: Numbers) -> dict[str, Any]:
    return {
        **_diameter(n.half, n.ball, n.ball_height),
        "stands": abs(n.ball_height),
        "side": _side(n.ball_height),
    }


def _diameter_slipped(who: Somebody, half: float, ball: float, height: float) -> float:
    reach = ball * (who.tangent(half) + 1 / who.cosine(half))
    return reach - 2 * height * who.tangent(half)


def _face_diameter_slipped(who: Somebody) -> float:
    height = -who.ball_height if who.makes(BALL_SIGN) else who.ball_height
    return _diameter_slipped(who, who.half, who.ball, height)


def _broken_edge(shop: Shop) -> dict[str, float]:
    for _ in range(MOST_TRIES):
        # A 45° break on an edge of 90° or more would take nothing off.
        drawn = _cone_and_ball(shop, 84)
        edge_break = shop.length((0.01, 0.03, 0.005), (0.3, 0.8, 0.1))
        cone = Cone(_half_of(drawn), drawn["face_diameter"])
        if drawn["ball"] < 0.98 * ball_range(cone, edge_break)[1]:
            break
    return {**drawn, "edge_break": edge_break}


def _clear_of_break(n: Numbers) -> dict[str, Any]:
    clear = ball_clearance(Cone(n.half, n.face_diameter), n.ball, n.edge_break).above
    return {"answer": clear, "depth": clear + n.edge_break}


def _clear_of_break_slipped(who: Somebody) -> float:
    inside = who.face_diameter / (2 * who.tangent(who.half))
    above = who.ball / 2 * who.cosine(who.half) ** 2 / who.plain_sine(who.half)
    return inside - above - (0 if who.makes(BALL_ON_BREAK) else who.edge_break)


def _largest_size(limit: float, step: float) -> float:
    """The largest ball in the box below a limit; one that only just fits does not count."""
    return math.ceil(limit / step - 1 - 1e-9) * step


def _box_of_balls(shop: Shop) -> dict[str, float]:
    size = _ball_size(shop)
    for _ in range(MOST_TRIES):
        included = shop.included_angle(50, 84)
        diameter = shop.length((0.75, 1.75, 0.05), (20, 45, 0.5))
        edge_break = shop.length((0.02, 0.06, 0.005), (0.4, 1.2, 0.1))
        cone = Cone(_half_of(included), diameter)
        sharp, broken = ball_range(cone)[1], ball_range(cone, edge_break)[1]
        if _largest_size(sharp, size) > _largest_size(broken, size):
            break
    return {
        **included,
        "face_diameter": diameter,
        "edge_break": edge_break,
        "ball_step": size,
    }


def _largest_ball(n: Numbers) -> dict[str, Any]:
    cone = Cone(n.half, n.face_diameter)
    broken = ball_range(cone, n.edge_break)[1]
    answer = _largest_size(broken, n.ball_step)
    return {
        "answer": answer,
        "ball": answer,
        "broken": broken,
        "width": cone.diameter_at(n.edge_break),
        "sizes": "every 1/16 in" if n.unit == "in" else "every whole millimetre",
    }


def _largest_ball_slipped(who: Somebody) -> float:
    edge_break = 0 if who.makes(BALL_ON_BREAK) else who.edge_break
    width = who.face_diameter - 2 * edge_break * who.tangent(who.half)
    limit = width / who.cosine(who.half)
    if limit <= who.ball_step:
        raise ValueError("no ball in the box would do")
    return _largest_size(limit, who.ball_step)


def _two_heights(shop: Shop) -> dict[str, float]:
    """Two balls and the measured heights of their tops."""
    size = _ball_size(shop)
    for _ in range(MOST_TRIES):
        sine = math.sin(Angle.from_dms(*shop.angle(22, 42)).radians)
        small = shop.step(*shop.pick((6, 10, 1), (10, 18, 1))) * size
        large = small + shop.step(*shop.pick((3, 6, 1), (5, 12, 1))) * size
        low = shop.length((-0.1, 0.15, 0.0005), (-2.5, 4, 0.01))
        high = round(low + (large - small) / 2 * (1 + 1 / sine), shop.places + 1)
        # A ball that stands higher than this touches above the face, where there is no cone.
        if high < 0.95 * large / 2 * (1 + sine):
            break
    return {"large_ball": large, "large_height": high, "small_ball": small, "small_height": low}


def _from_two(n: Numbers) -> dict[str, Any]:
    """The half angle that two balls prove, and the face diameter from the large one."""
    half = half_angle_from_two_balls(n.large_ball, n.large_height, n.small_ball, n.small_height)
    radii, heights = (n.large_ball - n.small_ball) / 2, n.large_height - n.small_height
    return {
        **_diameter(half, n.large_ball, n.large_height),
        "half": half,
        "radii": radii,
        "heights": heights,
        "centres": heights - radii,
        "ratio": radii / (heights - radii),
        "large_stands": abs(n.large_height),
        "large_side": _side(n.large_height),
        "small_stands": abs(n.small_height),
        "small_side": _side(n.small_height),
    }


def _half_of_two_slipped(who: Somebody) -> float:
    radii = (who.large_ball - who.small_ball) / 2
    low = -who.small_height if who.makes(BALL_SIGN) else who.small_height
    return who.stated(who.arcsine(radii / (who.large_height - low - radii)))


def _rolls_and_blocks(shop: Shop) -> dict[str, float]:
    small = shop.length((0.6, 1.25, 0.05), (15, 30, 0.5))
    roll = shop.one_of(shop.pick((0.25, 0.375, 0.5), (6.0, 8.0, 10.0)))
    block = shop.one_of(shop.pick((0.75, 1.0, 1.5), (20.0, 25.0, 40.0)))
    cone = Cone(Angle.from_dms(*shop.angle(6, 20)), small, internal=False)
    return {
        "over_low": round(over_rolls(cone, roll), shop.places + 1),
        "over_high": round(over_rolls(cone, roll, block), shop.places + 1),
        "block_height": block,
        "small": small,
    }


def _half_angle_on_rolls(n: Numbers) -> dict[str, Any]:
    half = half_angle_from_rolls(n.over_low, n.over_high, n.block_height)
    growth = n.over_high - n.over_low
    return {"answer": half, "half": half, "growth": growth, "wall": growth / (2 * n.block_height)}


def _half_angle_on_rolls_slipped(who: Somebody) -> float:
    return who.half_from_taper((who.over_high - who.over_low) / who.block_height)


def _rolls_on_the_plate(shop: Shop) -> dict[str, float]:
    small = shop.length((0.6, 1.25, 0.05), (15, 30, 0.5))
    roll = shop.one_of(shop.pick((0.25, 0.375, 0.5), (6.0, 8.0, 10.0)))
    included = shop.included_angle(12, 44)
    off = shop.step(*shop.pick((-0.004, 0.004, 0.0005), (-0.1, 0.1, 0.01)))
    cone = Cone(_half_of(included), small + off, internal=False)
    low = round(over_rolls(cone, roll), shop.places + 1)
    return {**included, "roll": roll, "over_low": low, "small": small}


def _at_the_plate(n: Numbers) -> dict[str, Any]:
    factor = roll_constant(n.half)
    answer = face_diameter_from_rolls(n.half, n.roll, n.over_low)
    return {"answer": answer, "factor": factor, "reach": n.roll * factor}


def _at_the_plate_slipped(who: Somebody) -> float:
    return who.over_low - who.roll * (1 + who.tangent(who.half) + 1 / who.cosine(who.half))


QUESTIONS = (
    Question(
        "height of the ball",
        "one ball",
        _cone_and_ball,
        "A bored cone has an included angle of {included_angle} and shall have a face diameter of "
        "{face_diameter}. A gauge ball of {ball:1} diameter rests in it. How high must the top of "
        "the ball stand above the face? Plus means proud of the face, minus means below it.",
        lengths_within(0.0005, 0.01, signed=True),
        _ball_height,
        _BALL.asking(
            "height of the top of the ball", "included_angle", "face_diameter", ball_1="{ball:1}"
        ),
        (
            HALVED,
            "The point of the cone lies D / (2 tan α) = {inside:2} below the face.",
            "From the point to the top of the ball it is (d/2)(1 + 1/sin α) = {above:2}.",
            "Height: {above:2} − {inside:2} = {answer:+1}.",
        ),
        _ball_height_slipped,
        (BALL_SIGN, *ANGLE, MINUTES_AS_DECIMALS),
        _BALL_HINTS,
        further={
            SINE_FOR_TANGENT: lambda n: n.above - n.face_diameter / (2 * n.sin),
        },
    ),
    Question(
        "face diameter from a ball",
        "one ball",
        _measured_ball,
        "A bored cone has an included angle of {included_angle}; its sharp edge has been broken. A "
        "gauge ball of {ball:1} diameter rests in it, and its top stands {stands:1} {side} the "
        "face. What is the face diameter?",
        _CLOSE,
        _face_diameter,
        _BALL.asking(
            "face_diameter",
            "included_angle",
            ball_1="{ball:1}",
            height="{stands:1} {side} the face",
        ),
        (
            HALVED.removesuffix(".") + "; the height is h = {ball_height:+1}.",
            "D = d (tan α + 1/cos α) − 2 h tan α.",
            "d (tan α + 1/cos α) = {ball:1} × {factor:.6f} = {reach:2}.",
            "2 h tan α = {taken:+2}.",
            "D = {answer:1}.",
        ),
        _face_diameter_slipped,
        (BALL_SIGN, *ANGLE, MINUTES_AS_DECIMALS),
        _BALL_HINTS,
    ),
    Question(
        "ball clear of the edge break",
        "one ball",
        _broken_edge,
        _BROKEN + "A gauge ball of {ball:1} diameter rests in the cone. How far below the lower "
        "edge of the break does it touch?",
        _CLOSE,
        _clear_of_break,
        _BALL.asking(
            "contact below the edge break",
            "included_angle",
            "face_diameter",
            ball_1="{ball:1}",
            edge_break="{edge_break}",
        ),
        (
            HALVED,
            "The ball touches at a depth of D / (2 tan α) − (d/2) cos²α / sin α = {depth:2} below "
            "the face.",
            "The break reaches down {edge_break}: {depth:2} − {edge_break} = {answer:1}.",
        ),
        _clear_of_break_slipped,
        (BALL_ON_BREAK, INCLUDED_AS_HALF, COMPLEMENT_USED, RADIANS),
        _BREAK_HINTS,
    ),
    Question(
        "largest ball clear of the break",
        "one ball",
        _box_of_balls,
        _BROKEN + "Your box holds a gauge ball for {sizes} of diameter. Which is the largest that "
        "still touches the cone, not the break?",
        lengths_within(0.001, 0.02),
        _largest_ball,
        _BALL.asking("largest ball", "included_angle", "face_diameter", "edge_break"),
        (
            HALVED,
            "At the lower edge of the break the cone is D − 2 p tan α = {width:1} wide.",
            "The ball touches on a circle of d cos α, which must be smaller than that: d below "
            "{broken:1}.",
            "The largest ball in the box below that is {answer:1}.",
        ),
        _largest_ball_slipped,
        (BALL_ON_BREAK, INCLUDED_AS_HALF, HALVED_AGAIN, COMPLEMENT_USED),
        _BREAK_HINTS,
    ),
    Question(
        "half angle from two balls",
        "two balls",
        _two_heights,
        _TWO_TOPS + "What is the half angle of the cone?",
        TO_THE_MINUTE,
        lambda n: {**(found := _from_two(n)), "answer": found["half"]},
        _BALLS.asking("half_angle", **_BOTH_BALLS),
        _CENTRES,
        _half_of_two_slipped,
        _TWO_BALLS,
        _TWO_BALLS_HINTS,
        _CENTRE_TRIANGLE,
    ),
    Question(
        "face diameter from two balls",
        "two balls",
        _two_heights,
        _TWO_TOPS + "What is the face diameter of the cone?",
        lengths_within(0.001, 0.02),
        _from_two,
        _BALLS.asking("face_diameter", **_BOTH_BALLS),
        (
            *_CENTRES,
            "From the large ball: D = {large_ball:1} × {factor:.6f} − 2 × ({large_height:+1}) × "
            "{tan:.6f} = {answer:1}.",
        ),
        lambda who: _diameter_slipped(
            who, _half_of_two_slipped(who), who.large_ball, who.large_height
        ),
        _TWO_BALLS,
        _TWO_BALLS_HINTS,
        _CENTRE_TRIANGLE,
    ),
    Question(
        "half angle from rolls",
        "rolls",
        _rolls_and_blocks,
        "An external cone stands on a plate, small end down. Over two equal rolls on the plate you "
        "measure {over_low:1}; with both rolls on blocks {block_height} high, {over_high:1}. What "
        "is the half angle?",
        TO_TEN_SECONDS,
        _half_angle_on_rolls,
        _ROLLS.asking(
            "half_angle",
            over_low="{over_low:1}",
            over_high="{over_high:1}",
            block_height="{block_height}",
        ),
        (
            "Over the height of the blocks the diameter grows by {over_high:1} − {over_low:1} = "
            "{growth:1}.",
            "One wall has half of it: tan α = {growth:1} / (2 × {block_height}) = {wall:.6f}.",
            "α = {half}.",
        ),
        _half_angle_on_rolls_slipped,
        (HALVED_AFTER_ARCTANGENT, TAPER_ON_RADIUS, *ANGLE),
        (
            "By how much does the cone grow over the height of the blocks, and how much of that "
            "falls to one wall?",
            "Half of the difference of the two measurements, over the height of the blocks, is the "
            "tangent of the half angle.",
        ),
        unsaid=("small",),
        further={
            SINE_FOR_TANGENT: lambda n: math.degrees(math.asin(n.wall)),
        },
    ),
    Question(
        "diameter at the plate",
        "rolls",
        _rolls_on_the_plate,
        "An external cone with an included angle of {included_angle} stands on a plate, small end "
        "down. Over two rolls of {roll} diameter on the plate you measure {over_low:1}. What is "
        "the diameter of the cone at the plate?",
        _CLOSE,
        _at_the_plate,
        _ROLLS.asking("small_diameter", "included_angle", "roll", over_low="{over_low:1}"),
        (
            HALVED,
            "Each roll reaches out from the wall at the plate by (d/2)(1 + tan α + 1/cos α); both "
            "together by {roll} × {factor:.6f} = {reach:2}.",
            "{over_low:1} − {reach:2} = {answer:1}.",
        ),
        _at_the_plate_slipped,
        (*ANGLE, MINUTES_AS_DECIMALS),
        (
            "How far does one roll reach out from the place where the wall meets the plate?",
            "A roll reaches (d/2)(1 + tan α + 1/cos α) out from there; take both rolls off what "
            "you measured.",
        ),
        unsaid=("small",),
    ),
)
