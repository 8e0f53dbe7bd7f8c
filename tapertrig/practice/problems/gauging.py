"""One ball, two balls, rolls: measuring a cone whose sharp edge is no longer there."""

from __future__ import annotations

import math

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
    BALL_ON_BREAK,
    BALL_SIGN,
    COMPLEMENT_USED,
    COSINE_FOR_SINE,
    HALVED_AFTER_ARCTANGENT,
    HALVED_AGAIN,
    INCLUDED_AS_HALF,
    MINUTES_AS_DECIMALS,
    RADIANS,
    TANGENT_FOR_SINE,
    TAPER_ON_RADIUS,
    Given,
    Slips,
    arcsine,
    cosine,
    half_angle_from_given,
    half_angle_from_taper,
    half_angle_stated,
    on_calculator,
    tangent,
)
from tapertrig.practice.question import (
    TO_TEN_SECONDS,
    TO_THE_MINUTE,
    Asked,
    Figure,
    Question,
    figure,
    length_within,
)
from tapertrig.practice.shop import Shop, included_angle, show_included

MOST_TRIES = 200


def _balls_figure(
    cone: Cone, balls: tuple[float, ...], labels: dict[str, str], asked: str
) -> Figure:
    return figure(
        "balls",
        "A bored cone in section with its large end at the face, and a gauge ball resting in it."
        if len(balls) == 1
        else "A bored cone in section, with a large gauge ball and, in its turn, a small one.",
        {
            "half_angle": cone.half_angle.degrees,
            "face_diameter": cone.face_diameter,
            **{f"ball_{number}": ball for number, ball in enumerate(balls, start=1)},
        },
        labels,
        asked,
    )


def _cone_and_ball(shop: Shop, steepest: int = 100) -> tuple[dict[str, float], Cone, float]:
    """A bored cone, up to an included angle, and a gauge ball that touches it below the face."""
    given = shop.included_angle(40, steepest)
    diameter = shop.length((0.75, 1.75, 0.05), (20, 45, 0.5))
    cone = Cone(included_angle(given).half(), diameter)
    size = shop.pick(1 / 16, 1.0)
    contact_share = shop.step(0.6, 0.9, 0.05)
    ball = round(contact_share * diameter / math.cos(cone.half_angle.radians) / size) * size
    return given, cone, ball


def _height_of_ball(shop: Shop) -> Asked:
    given, cone, ball = _cone_and_ball(shop)
    answer = ball_height(cone, ball)
    shown, alpha = show_included(given), cone.half_angle.radians
    inside = cone.face_diameter / (2 * math.tan(alpha))
    above = ball / 2 * (1 + 1 / math.sin(alpha))
    return Asked(
        given={**given, "face_diameter": cone.face_diameter, "ball": ball},
        text=f"A bored cone has an included angle of {shown} and shall have a face diameter of "
        f"{shop.show(cone.face_diameter)}. A gauge ball of {shop.show(ball, 1)} diameter rests in "
        "it. How high must the top of the ball stand above the face? Plus means proud of the face, "
        "minus means below it.",
        precision=length_within(shop.unit, 0.0005, 0.01, signed=True),
        answer=answer,
        figure=_balls_figure(
            cone,
            (ball,),
            {
                "included_angle": shown,
                "face_diameter": shop.show(cone.face_diameter),
                "ball_1": shop.show(ball, 1),
            },
            "height of the top of the ball",
        ),
        steps=(
            f"Half angle: {shown} / 2 = {cone.half_angle}.",
            f"The point of the cone lies D / (2 tan α) = {shop.show(inside, 2)} below the face.",
            "From the point to the top of the ball it is (d/2)(1 + 1/sin α) = "
            f"{shop.show(above, 2)}.",
            f"Height: {shop.show(above, 2)} − {shop.show(inside, 2)} = "
            f"{answer:+.{shop.places + 1}f} {shop.unit}.",
        ),
    )


def _height_of_ball_slipped(given: Given, slips: Slips) -> float:
    half = half_angle_from_given(given, slips)
    above = given["ball"] / 2 * (1 + 1 / math.sin(on_calculator(half, slips)))
    height = above - given["face_diameter"] / (2 * tangent(half, slips))
    return -height if BALL_SIGN in slips else height


def _face_diameter(shop: Shop) -> Asked:
    given, nominal, ball = _cone_and_ball(shop)
    off = shop.step(*shop.pick((-0.006, 0.006, 0.0005), (-0.15, 0.15, 0.01)))
    height = round(ball_height(nominal, ball) + off, shop.places + 1)
    half, shown = nominal.half_angle, show_included(given)
    answer = face_diameter_from_ball(half, ball, height)
    tan, secant = math.tan(half.radians), 1 / math.cos(half.radians)
    proud = "proud of" if height >= 0 else "below"
    return Asked(
        given={**given, "ball": ball, "ball_height": height},
        text=f"A bored cone has an included angle of {shown}; its sharp edge has been broken. A "
        f"gauge ball of {shop.show(ball, 1)} diameter rests in it, and its top stands "
        f"{shop.show(abs(height), 1)} {proud} the face. What is the face diameter?",
        precision=length_within(shop.unit, 0.0005, 0.01),
        answer=answer,
        figure=_balls_figure(
            Cone(half, answer),
            (ball,),
            {
                "included_angle": shown,
                "ball_1": shop.show(ball, 1),
                "height": f"{shop.show(abs(height), 1)} {proud} the face",
            },
            "face_diameter",
        ),
        steps=(
            f"Half angle: {shown} / 2 = {half}; the height is h = {height:+.{shop.places + 1}f} "
            f"{shop.unit}.",
            "D = d (tan α + 1/cos α) − 2 h tan α.",
            f"d (tan α + 1/cos α) = {shop.show(ball, 1)} × {tan + secant:.6f} = "
            f"{shop.show(ball * (tan + secant), 2)}.",
            f"2 h tan α = {2 * height * tan:+.{shop.places + 2}f} {shop.unit}.",
            f"D = {shop.show(answer, 1)}.",
        ),
    )


def _face_diameter_slipped(given: Given, slips: Slips) -> float:
    half = half_angle_from_given(given, slips)
    height = -given["ball_height"] if BALL_SIGN in slips else given["ball_height"]
    ball = given["ball"] * (tangent(half, slips) + 1 / cosine(half, slips))
    return ball - 2 * height * tangent(half, slips)


def _clear_of_break(shop: Shop) -> Asked:
    for _ in range(MOST_TRIES):
        # A 45° break on an edge of 90° or more would take nothing off.
        given, cone, ball = _cone_and_ball(shop, 84)
        edge_break = shop.length((0.01, 0.03, 0.005), (0.3, 0.8, 0.1))
        if ball < 0.98 * ball_range(cone, edge_break)[1]:
            break
    clear = ball_clearance(cone, ball, edge_break).above
    depth = clear + edge_break
    shown = show_included(given)
    return Asked(
        given={
            **given,
            "face_diameter": cone.face_diameter,
            "ball": ball,
            "edge_break": edge_break,
        },
        text=f"A bored cone has an included angle of {shown} and a face diameter of "
        f"{shop.show(cone.face_diameter)}, measured to the theoretical sharp edge. A 45° break, "
        f"{shop.show(edge_break)} deep along the axis, was put on that edge. A gauge ball of "
        f"{shop.show(ball, 1)} diameter rests in the cone. How far below the lower edge of the "
        "break does it touch?",
        precision=length_within(shop.unit, 0.0005, 0.01),
        answer=clear,
        figure=_balls_figure(
            cone,
            (ball,),
            {
                "included_angle": shown,
                "face_diameter": shop.show(cone.face_diameter),
                "ball_1": shop.show(ball, 1),
                "edge_break": shop.show(edge_break),
            },
            "contact below the edge break",
        ),
        steps=(
            f"Half angle: {shown} / 2 = {cone.half_angle}.",
            "The ball touches at a depth of D / (2 tan α) − (d/2) cos²α / sin α = "
            f"{shop.show(depth, 2)} below the face.",
            f"The break reaches down {shop.show(edge_break)}: {shop.show(depth, 2)} − "
            f"{shop.show(edge_break)} = {shop.show(clear, 1)}.",
        ),
    )


def _clear_of_break_slipped(given: Given, slips: Slips) -> float:
    half = half_angle_from_given(given, slips)
    inside = given["face_diameter"] / (2 * tangent(half, slips))
    above = given["ball"] / 2 * cosine(half, slips) ** 2 / math.sin(on_calculator(half, slips))
    return inside - above - (0 if BALL_ON_BREAK in slips else given["edge_break"])


def _largest_size(limit: float, step: float) -> float:
    """The largest ball in the box below a limit; one that only just fits does not count."""
    return math.ceil(limit / step - 1 - 1e-9) * step


def _largest_ball(shop: Shop) -> Asked:
    size = shop.pick(1 / 16, 1.0)
    for _ in range(MOST_TRIES):
        given = shop.included_angle(50, 84)
        diameter = shop.length((0.75, 1.75, 0.05), (20, 45, 0.5))
        edge_break = shop.length((0.02, 0.06, 0.005), (0.4, 1.2, 0.1))
        half = included_angle(given).half()
        cone = Cone(half, diameter)
        sharp, broken = ball_range(cone)[1], ball_range(cone, edge_break)[1]
        answer = _largest_size(broken, size)
        if _largest_size(sharp, size) > answer:
            break
    shown = show_included(given)
    step_words = shop.pick("every 1/16 in", "every whole millimetre")
    return Asked(
        given={
            **given,
            "face_diameter": diameter,
            "edge_break": edge_break,
            "ball_step": size,
        },
        text=f"A bored cone has an included angle of {shown} and a face diameter of "
        f"{shop.show(diameter)}, measured to the theoretical sharp edge. A 45° break, "
        f"{shop.show(edge_break)} deep along the axis, was put on that edge. Your box holds a "
        f"gauge ball for {step_words} of diameter. Which is the largest that still touches the "
        "cone, not the break?",
        precision=length_within(shop.unit, 0.001, 0.02),
        answer=answer,
        figure=_balls_figure(
            cone,
            (answer,),
            {
                "included_angle": shown,
                "face_diameter": shop.show(diameter),
                "edge_break": shop.show(edge_break),
            },
            "largest ball",
        ),
        steps=(
            f"Half angle: {shown} / 2 = {half}.",
            "At the lower edge of the break the cone is D − 2 p tan α = "
            f"{shop.show(cone.diameter_at(edge_break), 1)} wide.",
            "The ball touches on a circle of d cos α, which must be smaller than that: d below "
            f"{shop.show(broken, 1)}.",
            f"The largest ball in the box below that is {shop.show(answer, 1)}.",
        ),
    )


def _largest_ball_slipped(given: Given, slips: Slips) -> float:
    half = half_angle_from_given(given, slips)
    edge_break = 0 if BALL_ON_BREAK in slips else given["edge_break"]
    width = given["face_diameter"] - 2 * edge_break * tangent(half, slips)
    limit = width / cosine(half, slips)
    if limit <= given["ball_step"]:
        raise ValueError("no ball in the box would do")
    return _largest_size(limit, given["ball_step"])


def _two_heights(shop: Shop) -> tuple[dict[str, float], Angle]:
    """Two balls and the measured heights of their tops, and the half angle they prove."""
    size = shop.pick(1 / 16, 1.0)
    for _ in range(MOST_TRIES):
        sine = math.sin(Angle.from_dms(*shop.angle(22, 42)).radians)
        small = shop.step(*shop.pick((6, 10, 1), (10, 18, 1))) * size
        large = small + shop.step(*shop.pick((3, 6, 1), (5, 12, 1))) * size
        low = shop.length((-0.1, 0.15, 0.0005), (-2.5, 4, 0.01))
        high = round(low + (large - small) / 2 * (1 + 1 / sine), shop.places + 1)
        # A ball that stands higher than this touches above the face, where there is no cone.
        if high < 0.95 * large / 2 * (1 + sine):
            break
    given = {
        "large_ball": large,
        "large_height": high,
        "small_ball": small,
        "small_height": low,
    }
    return given, half_angle_from_two_balls(large, high, small, low)


def _two_balls_text(given: Given, shop: Shop) -> str:
    low, high = (
        f"{shop.show(abs(height), 1)} {'proud of' if height >= 0 else 'below'} the face"
        for height in (given["small_height"], given["large_height"])
    )
    return (
        f"A ball of {shop.show(given['large_ball'], 1)} diameter in a bored cone has its top "
        f"{high}; a ball of {shop.show(given['small_ball'], 1)} diameter has its top {low}."
    )


def _two_balls_labels(given: Given, shop: Shop) -> dict[str, str]:
    return {
        "ball_1": shop.show(given["large_ball"], 1),
        "ball_2": shop.show(given["small_ball"], 1),
        "height_1": f"{given['large_height']:+.{shop.places + 1}f} {shop.unit}",
        "height_2": f"{given['small_height']:+.{shop.places + 1}f} {shop.unit}",
    }


def _centres_steps(given: Given, shop: Shop, half: Angle) -> tuple[str, ...]:
    radii = (given["large_ball"] - given["small_ball"]) / 2
    heights = given["large_height"] - given["small_height"]
    return (
        f"The radii differ by R − r = {shop.show(radii, 2)}, the tops by H − h = "
        f"{shop.show(heights, 1)}; so the centres lie {shop.show(heights - radii, 2)} apart.",
        f"sin α = {shop.show(radii, 2)} / {shop.show(heights - radii, 2)} = "
        f"{radii / (heights - radii):.6f}.",
        f"α = {half}.",
    )


def _half_angle_of_two(shop: Shop) -> Asked:
    given, half = _two_heights(shop)
    face = face_diameter_from_ball(half, given["large_ball"], given["large_height"])
    return Asked(
        given=given,
        text=f"{_two_balls_text(given, shop)} What is the half angle of the cone?",
        precision=TO_THE_MINUTE,
        answer=half.degrees,
        figure=_balls_figure(
            Cone(half, face),
            (given["large_ball"], given["small_ball"]),
            _two_balls_labels(given, shop),
            "half_angle",
        ),
        steps=_centres_steps(given, shop, half),
    )


def _half_angle_of_two_worked(given: Given, slips: Slips) -> float:
    radii = (given["large_ball"] - given["small_ball"]) / 2
    low = -given["small_height"] if BALL_SIGN in slips else given["small_height"]
    half = arcsine(radii / (given["large_height"] - low - radii), slips)
    return half_angle_stated(half, slips)


def _face_diameter_of_two(shop: Shop) -> Asked:
    given, half = _two_heights(shop)
    ball, height = given["large_ball"], given["large_height"]
    answer = face_diameter_from_ball(half, ball, height)
    tan, secant = math.tan(half.radians), 1 / math.cos(half.radians)
    return Asked(
        given=given,
        text=f"{_two_balls_text(given, shop)} What is the face diameter of the cone?",
        precision=length_within(shop.unit, 0.001, 0.02),
        answer=answer,
        figure=_balls_figure(
            Cone(half, answer),
            (ball, given["small_ball"]),
            _two_balls_labels(given, shop),
            "face_diameter",
        ),
        steps=(
            *_centres_steps(given, shop, half),
            f"From the large ball: D = {shop.show(ball, 1)} × {tan + secant:.6f} − 2 × "
            f"({height:+.{shop.places + 1}f} {shop.unit}) × {tan:.6f} = {shop.show(answer, 1)}.",
        ),
    )


def _face_diameter_of_two_slipped(given: Given, slips: Slips) -> float:
    half = _half_angle_of_two_worked(given, slips)
    ball = given["large_ball"] * (tangent(half, slips) + 1 / cosine(half, slips))
    return ball - 2 * given["large_height"] * tangent(half, slips)


def _rolls_figure(half: Angle, small: float, labels: dict[str, str], asked: str) -> Figure:
    return figure(
        "rolls",
        "An external cone standing small end down on a plate, a roll at each side, once on the "
        "plate and once on two equal blocks.",
        {"half_angle": half.degrees, "small_diameter": small},
        labels,
        asked,
    )


def _half_angle_on_rolls(shop: Shop) -> Asked:
    small = shop.length((0.6, 1.25, 0.05), (15, 30, 0.5))
    roll = shop.one_of(shop.pick((0.25, 0.375, 0.5), (6.0, 8.0, 10.0)))
    block = shop.one_of(shop.pick((0.75, 1.0, 1.5), (20.0, 25.0, 40.0)))
    true = Angle.from_dms(*shop.angle(6, 20))
    cone = Cone(true, small, internal=False)
    low = round(over_rolls(cone, roll), shop.places + 1)
    high = round(over_rolls(cone, roll, block), shop.places + 1)
    half = half_angle_from_rolls(low, high, block)
    return Asked(
        given={"over_low": low, "over_high": high, "block_height": block},
        text="An external cone stands on a plate, small end down. Over two equal rolls on the "
        f"plate you measure {shop.show(low, 1)}; with both rolls on blocks {shop.show(block)} "
        f"high, {shop.show(high, 1)}. What is the half angle?",
        precision=TO_TEN_SECONDS,
        answer=half.degrees,
        figure=_rolls_figure(
            half,
            small,
            {
                "over_low": shop.show(low, 1),
                "over_high": shop.show(high, 1),
                "block_height": shop.show(block),
            },
            "half_angle",
        ),
        steps=(
            f"Over the height of the blocks the diameter grows by {shop.show(high, 1)} − "
            f"{shop.show(low, 1)} = {shop.show(high - low, 1)}.",
            f"One wall has half of it: tan α = {shop.show(high - low, 1)} / (2 × "
            f"{shop.show(block)}) = {(high - low) / (2 * block):.6f}.",
            f"α = {half}.",
        ),
    )


def _half_angle_on_rolls_slipped(given: Given, slips: Slips) -> float:
    taper = (given["over_high"] - given["over_low"]) / given["block_height"]
    return half_angle_from_taper(taper, slips)


def _small_diameter(shop: Shop) -> Asked:
    small = shop.length((0.6, 1.25, 0.05), (15, 30, 0.5))
    roll = shop.one_of(shop.pick((0.25, 0.375, 0.5), (6.0, 8.0, 10.0)))
    given = shop.included_angle(12, 44)
    half, shown = included_angle(given).half(), show_included(given)
    off = shop.step(*shop.pick((-0.004, 0.004, 0.0005), (-0.1, 0.1, 0.01)))
    low = round(over_rolls(Cone(half, small + off, internal=False), roll), shop.places + 1)
    factor = roll_constant(half)
    answer = face_diameter_from_rolls(half, roll, low)
    return Asked(
        given={**given, "roll": roll, "over_low": low},
        text=f"An external cone with an included angle of {shown} stands on a plate, small end "
        f"down. Over two rolls of {shop.show(roll)} diameter on the plate you measure "
        f"{shop.show(low, 1)}. What is the diameter of the cone at the plate?",
        precision=length_within(shop.unit, 0.0005, 0.01),
        answer=answer,
        figure=_rolls_figure(
            half,
            small,
            {
                "included_angle": shown,
                "roll": shop.show(roll),
                "over_low": shop.show(low, 1),
            },
            "small_diameter",
        ),
        steps=(
            f"Half angle: {shown} / 2 = {half}.",
            "Each roll reaches out from the wall at the plate by (d/2)(1 + tan α + 1/cos α); both "
            f"together by {shop.show(roll)} × {factor:.6f} = {shop.show(roll * factor, 2)}.",
            f"{shop.show(low, 1)} − {shop.show(roll * factor, 2)} = {shop.show(answer, 1)}.",
        ),
    )


def _small_diameter_slipped(given: Given, slips: Slips) -> float:
    half = half_angle_from_given(given, slips)
    factor = 1 + tangent(half, slips) + 1 / cosine(half, slips)
    return given["over_low"] - given["roll"] * factor


_ANGLE = (INCLUDED_AS_HALF, HALVED_AGAIN, COMPLEMENT_USED, RADIANS, MINUTES_AS_DECIMALS)
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
_TWO_BALLS = (BALL_SIGN, COSINE_FOR_SINE, TANGENT_FOR_SINE, RADIANS, INCLUDED_AS_HALF, HALVED_AGAIN)

QUESTIONS = (
    Question(
        "height of the ball",
        "one ball",
        _height_of_ball,
        _height_of_ball_slipped,
        (BALL_SIGN, *_ANGLE),
        *_BALL_HINTS,
    ),
    Question(
        "face diameter from a ball",
        "one ball",
        _face_diameter,
        _face_diameter_slipped,
        (BALL_SIGN, *_ANGLE),
        *_BALL_HINTS,
    ),
    Question(
        "ball clear of the edge break",
        "one ball",
        _clear_of_break,
        _clear_of_break_slipped,
        (BALL_ON_BREAK, INCLUDED_AS_HALF, COMPLEMENT_USED, RADIANS),
        *_BREAK_HINTS,
    ),
    Question(
        "largest ball clear of the break",
        "one ball",
        _largest_ball,
        _largest_ball_slipped,
        (BALL_ON_BREAK, INCLUDED_AS_HALF, HALVED_AGAIN, COMPLEMENT_USED),
        *_BREAK_HINTS,
    ),
    Question(
        "half angle from two balls",
        "two balls",
        _half_angle_of_two,
        _half_angle_of_two_worked,
        _TWO_BALLS,
        *_TWO_BALLS_HINTS,
        _CENTRE_TRIANGLE,
    ),
    Question(
        "face diameter from two balls",
        "two balls",
        _face_diameter_of_two,
        _face_diameter_of_two_slipped,
        _TWO_BALLS,
        *_TWO_BALLS_HINTS,
        _CENTRE_TRIANGLE,
    ),
    Question(
        "half angle from rolls",
        "rolls",
        _half_angle_on_rolls,
        _half_angle_on_rolls_slipped,
        (
            HALVED_AFTER_ARCTANGENT,
            TAPER_ON_RADIUS,
            INCLUDED_AS_HALF,
            HALVED_AGAIN,
            COMPLEMENT_USED,
            RADIANS,
        ),
        "By how much does the cone grow over the height of the blocks, and how much of that falls "
        "to one wall?",
        "Half of the difference of the two measurements, over the height of the blocks, is the "
        "tangent of the half angle.",
    ),
    Question(
        "diameter at the plate",
        "rolls",
        _small_diameter,
        _small_diameter_slipped,
        _ANGLE,
        "How far does one roll reach out from the place where the wall meets the plate?",
        "A roll reaches (d/2)(1 + tan α + 1/cos α) out from there; take both rolls off what you "
        "measured.",
    ),
)
