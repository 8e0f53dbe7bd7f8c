"""Practice problems worked again from nothing but their text, with 30-digit arithmetic (mpmath).

Balls and rolls are found as circles that touch a straight wall, not by the formulas of the
package. Source of the geometry: plane trigonometry; tapers as ISO 3040 defines them; standard
uncertainties as JCGM 100, 4.3.7 (rectangular) and 5.1.2 (root of the sum of squares).
"""

import re

import mpmath
import pytest
from mpmath import mpf

from tapertrig.practice import TOPICS, problem
from tapertrig.practice.problems import QUESTIONS

mpmath.mp.dps = 30
ANGLE = r"(\d+)°(\d+)′"
LENGTH = r"(\d+(?:\.\d+)?) (?:in|mm)"


class Text:
    """A problem's text, and the numbers that stand behind given words."""

    def __init__(self, text):
        self.words = text

    def number(self, pattern):
        found = re.search(pattern, self.words)
        assert found, (pattern, self.words)
        return mpf(found[1])

    def length(self, before, after=""):
        return self.number(before + r"\s*" + LENGTH + after)

    def angle(self):
        degrees, minutes = re.search(ANGLE, self.words).groups()
        return mpmath.radians(mpf(degrees) + mpf(minutes) / 60)

    def half(self):
        return self.angle() / 2

    def factor(self):
        return 2 if "cross dial reads diameter" in self.words else 1

    def travel(self):
        return self.length(r"(?:through|travelled|travels)")


def degrees(radians):
    return mpmath.degrees(radians)


def minutes(radians):
    return degrees(radians) * 60


def seconds(radians):
    return degrees(radians) * 3600


def swing(t):
    cross = t.length("It read") / t.factor()
    return t.half() - mpmath.asin(cross / t.travel())


def per_graduation(t):
    slide = t.length("one graduation is") / t.factor()

    def angle_at(cross):
        return mpmath.asin(cross / t.travel())

    return seconds(mpmath.diff(angle_at, t.travel() * mpmath.sin(t.half())) * slide)


def largest_half(t):
    return (t.angle() + mpmath.radians(t.number(r"± (\d+)′") / 60)) / 2


def ball_centre(half, face_diameter, radius):
    """Depth below the face at which a ball's centre is one radius from the wall."""

    def gap(depth):
        wall = face_diameter / 2 - depth * mpmath.tan(half)
        return wall * mpmath.cos(half) - radius

    return mpmath.findroot(gap, face_diameter / 2)


def face_from_ball(half, radius, height):
    centre = radius - height
    return mpmath.findroot(lambda face: ball_centre(half, face, radius) - centre, 2 * radius)


def signed_height(t, pattern):
    found = re.search(pattern + r"\s*" + LENGTH + r" (proud of|below) the face", t.words)
    return mpf(found[1]) * (1 if found[2] == "proud of" else -1)


def contact_depth(half, face, radius):
    return ball_centre(half, face, radius) + radius * mpmath.sin(half)


def largest_ball(t):
    step = mpf(1) / 16 if "1/16" in t.words else mpf(1)
    half, face = t.half(), t.length("face diameter of")
    edge_break = t.length("45° break,")
    ball = step
    while contact_depth(half, face, (ball + step) / 2) > edge_break:
        ball += step
    return ball


def two_balls(t):
    """Half angle and face diameter of the wall that touches both balls."""
    large = t.length("A ball of") / 2
    small = t.length("; a ball of") / 2
    high = signed_height(t, r"bored cone has its top")
    low = signed_height(t, r"diameter has its top")
    apart = (high - large) - (low - small)
    half = mpmath.findroot(lambda a: apart * mpmath.sin(a) - (large - small), 0.5)
    return half, face_from_ball(half, large, high)


def at_plate(t):
    """Cone diameter at the plate: a roll on the plate, one radius from the wall."""
    half, roll = t.half(), t.length("two rolls of") / 2
    centre = t.length("you measure") / 2 - roll

    def gap(foot):
        return (centre - foot - roll * mpmath.tan(half)) * mpmath.cos(half) - roll

    return 2 * mpmath.findroot(gap, centre / 2)


def on_rolls(t):
    low, high = t.length("on the plate you measure"), t.length(r"high,")
    return degrees(mpmath.atan((high - low) / 2 / t.length("on blocks")))


def reading(t):
    turns, lines = re.search(r"(\d+) turns and (\d+) graduations", t.words).groups()
    return mpf(turns) * t.length("one turn") + mpf(lines) * t.length("one graduation is")


def growth(t):
    return t.length("shall have") - t.length("a face diameter of")


def diameter_error(t):
    half, off = t.half(), mpmath.radians(t.number(r"half angle (\d+)′") / 60)
    return 2 * t.length(r"′ is") * (mpmath.tan(half + off) - mpmath.tan(half))


def combined(t):
    reading_each = per_graduation(t) / 2 / mpmath.sqrt(3)
    datum = t.number(r"uncertainty of (\d+)″")
    return mpmath.sqrt(2 * reading_each**2 + datum**2)


def base_square(t):
    return 90 - degrees(t.half())


def diameters_angle(t):
    large, small = t.length("diameters:"), t.length("at the face and")
    return degrees(mpmath.atan((large - small) / 2 / t.length("a depth of")))


def known_taper(t):
    """Turn the plug's side in the plane until the stem's tip stays on it from end to end.

    The slide runs at the plug's half angle and a swing more; its tip is pushed in, along the stem
    square to the axis, by how much further out the plug's side stands than the tip's path.
    """
    sense = 1 if "needle is pushed in" in t.words else -1
    change = sense * (t.length("needle is (?:pushed in|let out) by") + t.length("round, by")) / 2
    run, half = t.length("Over"), t.half()

    def short(off):
        slide = half - off
        along, out = run * mpmath.cos(slide), run * mpmath.sin(slide)
        return along * mpmath.tan(half) - out - change

    return minutes(mpmath.findroot(short, change / run))


def seat_across(t):
    return (t.length("a diameter of") - t.number(r" to ([\d.]+) (?:in|mm)")) / 2


def two_walls(t):
    """The depth at which both walls stand at one radius."""
    relief, seat = (
        mpmath.tan(mpmath.radians(mpf(d) + mpf(m) / 60) / 2) for d, m in re.findall(ANGLE, t.words)
    )
    wide, narrow = (mpf(number) / 2 for number in re.findall("measures " + LENGTH, t.words))
    return mpmath.findroot(lambda deep: wide - deep * relief - narrow + deep * seat, 0.1)


WORKED = {
    "half angle from included": lambda t: degrees(t.half()),
    "half angle in decimals": lambda t: degrees(t.angle()),
    "half angle from decimals": lambda t: t.number(r"angle of ([\d.]+)°") / 2,
    "angle at the quill": lambda t: degrees(t.half()),
    "obtuse angle at the quill": lambda t: 180 - degrees(t.half()),
    "angle to the cross slide": base_square,
    "base reading, zero parallel": lambda t: degrees(t.half()),
    "base reading, zero square": base_square,
    "included angle from the base": lambda t: 2 * (90 - degrees(t.angle())),
    "half angle from a ratio": lambda t: degrees(
        mpmath.atan(1 / t.number(r"taper of 1:([\d.]+) ") / 2)
    ),
    "half angle from taper per foot": lambda t: degrees(
        mpmath.atan(t.number(r"taper of ([\d.]+) in per foot") / 12 / 2)
    ),
    "half angle from two diameters": diameters_angle,
    "taper per foot from the included angle": lambda t: 24 * mpmath.tan(t.half()),
    "ratio from the included angle": lambda t: mpmath.cot(t.half()) / 2,
    "cross travel": lambda t: t.travel() * mpmath.sin(t.half()),
    "compound travel": lambda t: t.length("move exactly") / mpmath.sin(t.half()),
    "half angle from the travels": lambda t: degrees(
        mpmath.asin(t.length("had to move") / t.travel())
    ),
    "axial travel": lambda t: t.travel() * mpmath.cos(t.half()),
    "cross travel when the carriage moves": lambda t: (
        t.length("carriage goes") * mpmath.tan(t.half())
    ),
    "reading for a movement": lambda t: t.factor() * t.length("slide to move"),
    "movement for a reading": lambda t: reading(t) / t.factor(),
    "reading for a setup": lambda t: t.factor() * t.travel() * mpmath.sin(t.half()),
    "swing still wanted": lambda t: minutes(swing(t)),
    "arc at the base": lambda t: swing(t) * t.length("has a radius of"),
    "movement after a reversal": lambda t: max(
        0, t.length("dial has gone") / t.factor() - t.length("backlash of")
    ),
    "reading when the slide follows": lambda t: (
        t.length("came up to") - t.factor() * t.length("backlash of")
    ),
    "half angle after a reversal": lambda t: degrees(
        mpmath.asin((t.length("then it read") / t.factor() - t.length("backlash of")) / t.travel())
    ),
    "half angle for one graduation": per_graduation,
    "combined standard uncertainty": combined,
    "diameter error from an angle error": diameter_error,
    "opening with the cross slide": lambda t: t.factor() * growth(t) / 2,
    "opening with the carriage": lambda t: growth(t) / 2 / mpmath.tan(t.half()),
    "feeding the compound": lambda t: mpf(0),
    "face diameter after facing": lambda t: (
        t.length("large end,") - 2 * t.length("Now") * mpmath.tan(t.half())
    ),
    "height of the ball": lambda t: (
        t.length("ball of") / 2
        - ball_centre(t.half(), t.length("face diameter of"), t.length("ball of") / 2)
    ),
    "face diameter from a ball": lambda t: face_from_ball(
        t.half(), t.length("ball of") / 2, signed_height(t, "its top stands")
    ),
    "ball clear of the edge break": lambda t: (
        contact_depth(t.half(), t.length("face diameter of"), t.length("gauge ball of") / 2)
        - t.length("45° break,")
    ),
    "largest ball clear of the break": largest_ball,
    "half angle from two balls": lambda t: degrees(two_balls(t)[0]),
    "face diameter from two balls": lambda t: two_balls(t)[1],
    "half angle from rolls": on_rolls,
    "diameter at the plate": at_plate,
    "set-over between centres": lambda t: t.length("over all and") * mpmath.sin(t.half()),
    # The first run's drift at its end, by tangents.
    "step where two runs are joined": lambda t: (
        2
        * t.length("slide,")
        * mpmath.cos(t.half())
        * (
            mpmath.tan(t.half() + mpmath.radians(t.number(r"stands (\d+)′") / 60))
            - mpmath.tan(t.half())
        )
    ),
    "angle error from blue": lambda t: minutes(
        mpmath.atan(t.length("film about") / t.length("takes it over"))
    ),
    "swing from a known taper": known_taper,
    # The wall from end to end: its run along the axis beside what the radius changes by.
    "seat width along the wall": lambda t: mpmath.hypot(
        seat_across(t), seat_across(t) * mpmath.cot(t.half())
    ),
    "face diameter from a gauge plane": lambda t: mpmath.findroot(
        lambda face: (
            mpmath.atan((face - t.length("print gives")) / 2 / t.length("gauge plane")) - t.half()
        ),
        t.length("print gives") * 1.2,
    ),
    "depth where two walls meet": two_walls,
    "tolerance on the half angle": lambda t: t.number(r"± (\d+)′") / 2,
    "largest half angle": lambda t: degrees(largest_half(t)),
    "highest cross reading": lambda t: t.factor() * t.travel() * mpmath.sin(largest_half(t)),
    "zone that is proven": lambda t: (
        t.number(r"± (\d+)′") / 2 - mpf("1.65") * t.number(r"uncertainty of ([\d.]+)′")
    ),
}


def test_every_kind_of_problem_is_worked_again():
    assert set(WORKED) == {question.name for topic in TOPICS for question in QUESTIONS[topic]}


@pytest.mark.parametrize("topic", TOPICS)
def test_answers_follow_from_the_text_alone(topic):
    met = set()
    for seed in range(40):
        each = problem(topic, seed)
        met.add(each.kind)
        again = WORKED[each.kind](Text(each.text))
        # A ball size in sixteenths is written with four decimals; nothing else is rounded.
        assert abs(again - mpf(each.answer)) < each.tolerance * 0.15, (each.kind, seed, each.text)
    assert met == {question.name for question in QUESTIONS[topic]}
