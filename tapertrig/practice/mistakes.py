"""The usual mistakes: their stable names, the hints for each, and how each goes wrong.

The names are written into records and counted over a class, so they must not change. A set of
mistakes made together is called slips here, and `Somebody` works with them.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

INCLUDED_AS_HALF = "included angle used as half angle"
HALVED_AGAIN = "half angle halved again"
COMPLEMENT_USED = "complement used"
COMPLEMENT_NOT_USED = "complement not used"
COSINE_FOR_SINE = "cosine for sine"
TANGENT_FOR_SINE = "tangent for sine"
RADIANS = "degrees typed with the calculator in radians"
MINUTES_AS_DECIMALS = "minutes typed as decimals"
DIAMETER_AS_RADIUS = "diameter dial read as radius"
RADIUS_AS_DIAMETER = "radius dial read as diameter"
HALVED_AFTER_ARCTANGENT = "halving after the arctangent"
PER_FOOT_AS_PER_INCH = "taper per foot used as taper per inch"
TAPER_ON_RADIUS = "forgetting that taper is on diameter"
TOLERANCE_NOT_HALVED = "tolerance on the included angle not halved"
BACKLASH = "reversal inside the backlash"
COMPOUND_FEED = "compound feed thought to change size"
WRONG_WAY = "correction swung the wrong way"
BALL_SIGN = "ball height sign"
BALL_ON_BREAK = "ball touching the edge break"
SUPPLEMENT_USED = "supplement used"
INVERSE_OPERATION = "multiplied instead of divided or the other way"
SINE_FOR_TANGENT = "sine for tangent"
GROWN_BY_FACING = "bore thought to grow by facing"
END_TO_END = "parts added end to end"
DEGREES_FOR_MINUTES = "degrees for minutes"
WRONG_UNIT = "inches for millimetres"
FORM_GIVEN = "angle answered in the form it was given in"
TURN_MISCOUNTED = "one turn miscounted"
LENGTH_OVER_ALL = "length over all for the length between centre points"
NOT_TURNED = "known taper not turned half round"
NO_COSINE = "indicator change taken without the cosine"
ACROSS_FOR_ALONG = "width across taken for width along the wall"
GAUGE_DEPTH_SIGN = "gauge-plane depth with the wrong sign"

DIAL = (DIAMETER_AS_RADIUS, RADIUS_AS_DIAMETER)
SINE = (COSINE_FOR_SINE, TANGENT_FOR_SINE)
ANGLE = (INCLUDED_AS_HALF, HALVED_AGAIN, COMPLEMENT_USED, RADIANS)

# Halving 63°45′ first gives 31°52.5′, typed as 31.525; typing first gives 63.45, halved 31.725.
# Both are MINUTES_AS_DECIMALS; this mark, which is no mistake of its own, tells them apart.
AFTER_HALVING = "after halving"

Slips = frozenset[str]
Given = Mapping[str, float]


@dataclass(frozen=True)
class Mistake:
    """One usual mistake: its name, a hint at the idea, and a more direct one."""

    name: str
    idea: str
    direct: str


MISTAKES: dict[str, Mistake] = {
    mistake.name: mistake
    for mistake in (
        Mistake(
            INCLUDED_AS_HALF,
            "Which angle does the print name: wall to wall, or wall to axis?",
            "The included angle runs from wall to wall. The slide follows one wall only, so halve "
            "it once; an answer asked from wall to wall is twice the half angle.",
        ),
        Mistake(
            HALVED_AGAIN,
            "Count how often the angle was halved on the way.",
            "The angle was halved once too often. Wall to wall is halved once; a half angle is "
            "used as it stands.",
        ),
        Mistake(
            COMPLEMENT_USED,
            "From which line is this angle counted: the axis, or the line square to it?",
            "You worked with 90° less the angle. Here it counts from the spindle axis, so use the "
            "half angle itself.",
        ),
        Mistake(
            COMPLEMENT_NOT_USED,
            "From which line is this angle counted, and where does the half angle count from?",
            "This angle counts from the line square to the bed; the half angle counts from the "
            "axis. The two make 90° together.",
        ),
        Mistake(
            COSINE_FOR_SINE,
            "Draw the setup triangle: does the side you want lie opposite the half angle, or "
            "beside it?",
            "The cross travel lies opposite the half angle, which makes it the sine. The cosine "
            "belongs to the axial travel.",
        ),
        Mistake(
            TANGENT_FOR_SINE,
            "Which side of the setup triangle is the compound travel?",
            "The compound travel is the hypotenuse, so its partner is the sine. The tangent "
            "belongs to a carriage movement along the axis.",
        ),
        Mistake(
            RADIANS,
            "Ask your calculator for the sine of 90°. Does it say 1?",
            "Your calculator is set to radians. Set it to degrees and work it once more.",
        ),
        Mistake(
            MINUTES_AS_DECIMALS,
            "How many minutes make a degree?",
            "Minutes are sixtieths of a degree: 18′ is 18/60 = 0.30°, not 0.18°.",
        ),
        Mistake(
            DIAMETER_AS_RADIUS,
            "What does this dial show when the slide moves a given distance?",
            "This dial reads diameter: it shows twice what the slide moves.",
        ),
        Mistake(
            RADIUS_AS_DIAMETER,
            "What does this dial show when the slide moves a given distance?",
            "This dial reads radius: it shows what the slide moves, once, not twice.",
        ),
        Mistake(
            HALVED_AFTER_ARCTANGENT,
            "Did you halve before or after taking the arctangent?",
            "Halve the taper first, then take the arctangent. Half the tangent does not belong to "
            "half the angle.",
        ),
        Mistake(
            PER_FOOT_AS_PER_INCH,
            "Over what length is this taper stated?",
            "Taper per foot is the change of diameter over 12 in; per inch it is a "
            "twelfth of that.",
        ),
        Mistake(
            TAPER_ON_RADIUS,
            "Is that change counted on the diameter, or on one wall?",
            "A taper is a change of diameter, and it is shared by two walls: one wall has half.",
        ),
        Mistake(
            TOLERANCE_NOT_HALVED,
            "Which angle does this tolerance belong to?",
            "The tolerance stands on the included angle. Halve it along with the angle.",
        ),
        Mistake(
            BACKLASH,
            "After the handwheel is turned back, when does the slide begin to follow?",
            "The slide stays where it is until the handwheel has run through the backlash. Take "
            "the backlash off the handwheel movement.",
        ),
        Mistake(
            COMPOUND_FEED,
            "Along which line does the tool go when only the compound is fed?",
            "The compound feeds the tool along the cone itself, so it follows the cone and leaves "
            "the size alone. Size comes from the cross slide or the carriage.",
        ),
        Mistake(
            WRONG_WAY,
            "Does the slide stand at more or at less than the angle you want?",
            "The correction is the wanted angle less the angle now; plus means swing further, "
            "minus means swing back. Your sign is turned round.",
        ),
        Mistake(
            BALL_SIGN,
            "Is the top of the ball above the face or below it, and which of the two is plus?",
            "A height counts plus when the top of the ball stands proud of the face and minus when "
            "it lies below. Keep the sign through the whole calculation.",
        ),
        Mistake(
            BALL_ON_BREAK,
            "Where does the cone begin, now that its edge has been broken?",
            "The edge break takes the cone away down to the depth of the break. The ball must "
            "touch below that, so count from the lower edge of the break.",
        ),
        Mistake(
            SUPPLEMENT_USED,
            "Two lines that cross make two sizes of angle. Which of the two is asked for?",
            "You have the neighbour of the angle asked for: the two make 180° together.",
        ),
        Mistake(
            INVERSE_OPERATION,
            "Should the answer come out larger or smaller than the number you began with?",
            "Somewhere you multiplied where you should divide, or divided where you should "
            "multiply. Write the rule down and put the numbers in afresh.",
        ),
        Mistake(
            SINE_FOR_TANGENT,
            "Is the hypotenuse one of the two sides you have in hand here?",
            "Both sides stand square to each other, the hypotenuse is neither of them: that is "
            "the tangent, not the sine.",
        ),
        Mistake(
            GROWN_BY_FACING,
            "The large end is at the face. Is the cone wider or narrower a little way in?",
            "Facing takes the widest part away, so the face diameter becomes smaller. Take the "
            "change off instead of adding it.",
        ),
        Mistake(
            END_TO_END,
            "Will all the parts be at their worst, and all in one direction, at one time?",
            "You added the parts end to end. Standard uncertainties that have nothing to do with "
            "one another are squared, added, and the root is taken.",
        ),
        Mistake(
            DEGREES_FOR_MINUTES,
            "Degrees or minutes: which of the two is each of your numbers in?",
            "Degrees and minutes were mixed up: one degree is 60 minutes.",
        ),
        Mistake(
            WRONG_UNIT,
            "In which unit is the answer asked, and in which is yours?",
            "Inches and millimetres were mixed up: one inch is 25.4 mm.",
        ),
        Mistake(
            FORM_GIVEN,
            "Which form is asked: decimal degrees, or degrees, minutes and seconds?",
            "Change the form too: minutes divided by 60 make the part after the point, and that "
            "part times 60 makes minutes.",
        ),
        Mistake(
            TURN_MISCOUNTED,
            "How many whole turns of the dial go into this reading?",
            "Your number is one whole turn of the dial out. Count the turns again, aloud.",
        ),
        Mistake(
            LENGTH_OVER_ALL,
            "Between which two points does the work hang while it turns?",
            "It hangs between the centre points, which lie inside the work by the depth of both "
            "centre holes; the length over all is more.",
        ),
        Mistake(
            NOT_TURNED,
            "Two sweeps were made. Which of the two tells how the taper itself leans?",
            "Neither alone: in one sweep the taper's lean adds, turned half round it takes away. "
            "Take the mean of both.",
        ),
        Mistake(
            NO_COSINE,
            "Along which line does the needle move, and square to which line is the slide out?",
            "The stem stands square to the axis. Square to the slide it is less: × cos α.",
        ),
        Mistake(
            ACROSS_FOR_ALONG,
            "Along which line is this width wanted: square to the axis, or down the wall?",
            "You have the width across, square to the axis. Along the wall it is wider: ÷ sin α.",
        ),
        Mistake(
            GAUGE_DEPTH_SIGN,
            "The large end is at the face. Is the bore wider at the face or at the gauge plane?",
            "The gauge plane lies in the bore, where it is narrower: up to the face it widens.",
        ),
    )
}


class Somebody:
    """Somebody with slips at work on a problem: each step as it comes out in those hands.

    The numbers given are attributes of their own names. Angles in degrees.
    """

    def __init__(self, given: Given, slips: Slips) -> None:
        self.given, self.slips = given, slips

    def __getattr__(self, name: str) -> float:
        return self.given[name]

    def makes(self, *mistakes: str) -> bool:
        """Whether one of these mistakes is made."""
        return not self.slips.isdisjoint(mistakes)

    def typed(self, degrees: float, minutes: float) -> float:
        """Decimal degrees of an angle in degrees and minutes, as it was typed."""
        return degrees + minutes / (100 if self.makes(MINUTES_AS_DECIMALS) else 60)

    @property
    def half(self) -> float:
        """Half angle from the included angle given."""
        degrees, minutes = self.included_degrees, self.included_minutes
        if {MINUTES_AS_DECIMALS, AFTER_HALVING} <= self.slips:
            half = degrees // 2 + (30 * (degrees % 2) + minutes / 2) / 100
            half = 2 * half if self.makes(INCLUDED_AS_HALF) else half
        else:
            included = self.typed(degrees, minutes)
            half = included if self.makes(INCLUDED_AS_HALF) else included / 2
        return self.halved_again(half)

    def halved_again(self, half: float) -> float:
        """The half angle after halving it again, or taking it from 90°, if that was done."""
        half = half / 2 if self.makes(HALVED_AGAIN) else half
        return 90 - half if self.makes(COMPLEMENT_USED) else half

    def stated(self, half: float) -> float:
        """A half angle found by calculation, as it is then written down for an answer."""
        return self.halved_again(2 * half if self.makes(INCLUDED_AS_HALF) else half)

    def on_calculator(self, degrees: float) -> float:
        """What a calculator takes the typed degrees for, in radians."""
        return degrees if self.makes(RADIANS) else math.radians(degrees)

    def off_calculator(self, radians: float) -> float:
        """What is read as degrees when an inverse function is shown."""
        return radians if self.makes(RADIANS) else math.degrees(radians)

    def sine(self, degrees: float) -> float:
        """The function pressed where the sine belongs."""
        if self.makes(COSINE_FOR_SINE):
            return self.cosine(degrees)
        if self.makes(TANGENT_FOR_SINE):
            return self.tangent(degrees)
        return self.plain_sine(degrees)

    def arcsine(self, ratio: float) -> float:
        """The inverse function pressed where the arcsine belongs, read as degrees."""
        if self.makes(COSINE_FOR_SINE):
            return self.off_calculator(math.acos(ratio))
        inverse = math.atan if self.makes(TANGENT_FOR_SINE) else math.asin
        return self.off_calculator(inverse(ratio))

    def plain_sine(self, degrees: float) -> float:
        """The sine, on the calculator as it is set, where nobody takes another function for it."""
        return math.sin(self.on_calculator(degrees))

    def cosine(self, degrees: float) -> float:
        """The cosine, on the calculator as it is set."""
        return math.cos(self.on_calculator(degrees))

    def tangent(self, degrees: float) -> float:
        """The tangent, on the calculator as it is set."""
        return math.tan(self.on_calculator(degrees))

    def half_from_taper(self, taper: float) -> float:
        """Half angle from a taper on diameter, C = change per length."""
        if self.makes(HALVED_AFTER_ARCTANGENT):
            half = self.off_calculator(math.atan(taper)) / 2
            half = 2 * half if self.makes(TAPER_ON_RADIUS) else half
        else:
            half = self.off_calculator(math.atan(taper / self.walls))
        return self.stated(half)

    @property
    def walls(self) -> int:
        """How many walls a change of diameter is taken to be shared by."""
        return 1 if self.makes(TAPER_ON_RADIUS) else 2

    @property
    def factor(self) -> int:
        """What the dial is taken to show for each unit of slide movement, 1 or 2."""
        if self.dial_factor == 2:
            return 1 if self.makes(DIAMETER_AS_RADIUS) else 2
        return 2 if self.makes(RADIUS_AS_DIAMETER) else 1
