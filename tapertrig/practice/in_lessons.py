"""The questions that the lessons ask: predictions in their panels, and those at their ends.

What is asked has its answer from the core, and what the usual slips lead to beside it; an answer
is read and marked as in practice. A question without an answer stays an open one.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from tapertrig.angle import Angle
from tapertrig.bench.lost_motion import play
from tapertrig.boring import (
    carriage_to_change,
    face_diameter_change,
    height_from_pip,
    seat_width,
    walls_meet,
)
from tapertrig.budget import diameter_error, error_from_blue
from tapertrig.cone import Cone
from tapertrig.decision import GUARD_FACTOR
from tapertrig.demo import LATHES
from tapertrig.gauging import broken_edge, face_diameter_from_ball
from tapertrig.lathe import Dial, Lathe
from tapertrig.limits import one_of
from tapertrig.practice import mistakes as slip
from tapertrig.practice.answers import read_answer
from tapertrig.practice.mistakes import MISTAKES
from tapertrig.practice.problem import Verdict
from tapertrig.practice.question import TO_THE_MINUTE, TO_THE_SECOND, Precision
from tapertrig.setup import (
    angle_per_graduation,
    axial_travel,
    cross_travel,
    cross_travel_by_carriage,
    half_angle_of_set_over,
    seam_step,
    set_over,
    swing_from_known_taper,
)

LENGTH = Precision("in", 0.0005, "", 4)
DECIMAL = Precision("°", 0.001, "", 3, True)
MINUTES = Precision("′", 0.1, "", 1)
NO_SLIP = "None of the usual mistakes leads to this number."
SECONDS = Precision("″", 0.5, "", 1)
FINE, METRIC = Precision("in", 0.00005, "", 5), Precision("mm", 0.002, "", 3)
RATIO = Precision("1:x", 0.003, "", 3)
WAYS = ("towards you", "away from you")
MARKS = range(1, 10)
NOTHING_TO_WRITE = " (Try it; nothing to write here.)"
WALL = (
    "The slide lies along the cone's wall on your side. Follow that wall from the tailstock to the "
    "headstock: does it come towards you or go away from you?"
)


@dataclass(frozen=True)
class LessonQuestion:
    """One question: its text, its answer and the slips that miss it.

    `answer` is a number in the unit of `precision`, one of `options`, or numbers of marks as
    "2, 4"; without one the question stays open. `slips` has what each slip leads to; one that
    practice knows brings its own hint, another one is a hint itself. `way` is how it is found.
    `frees` names the panel's controls that are let go once it is answered. `by_doing`: only the
    lesson's own controls can answer it, and no page.
    """

    text: str
    answer: float | str | None = None
    precision: Precision | None = None
    slips: Mapping[str, float | str] = field(default_factory=dict)
    way: str = ""
    options: tuple[str, ...] = ()
    dial: Dial | None = None
    frees: tuple[str, ...] = ()
    by_doing: bool = False

    @property
    def words(self) -> str:
        """The question with how near an answer must come, or that none is written."""
        if self.answer is None:
            return self.text + NOTHING_TO_WRITE
        near = f" ({self.precision.margin} counts as right)" if self.precision else ""
        return self.text + near

    @property
    def solution(self) -> str:
        """The answer as it is written, and the way to it."""
        shown = self.answer or ""
        if self.precision is not None and isinstance(self.answer, float):
            shown = self.precision.show(self.answer)
        return f"{shown} ({self.way})" if shown and self.way else f"{shown or self.way}"

    def check(self, text: str) -> Verdict:
        """Whether a typed answer is right, and which usual slip explains it where it is not."""
        try:
            found = self._read(text)
        except ValueError as wrong:
            return Verdict(False, False, None, str(wrong))
        if self._same(found, self.answer):
            return Verdict(True, True, None, f"Right: {self.solution}.", solution=self.solution)
        for name, leads_to in self.slips.items():
            if self._same(found, leads_to):
                if name not in MISTAKES:
                    return Verdict(False, True, None, f"Not right. {name}")
                words = f"Not right. This comes from one of the usual mistakes: {name}."
                return Verdict(False, True, None, words, (name,), hint=MISTAKES[name].idea)
        words = self._of_marks(found) if isinstance(found, frozenset) else NO_SLIP
        return Verdict(False, True, None, f"Not right. {words}")

    def _of_marks(self, found: frozenset[str]) -> str:
        right = frozenset(re.findall(r"\d", str(self.answer)))
        missing, wrong = len(right - found), len(found - right)
        if not wrong:
            return f"What you wrote is right as far as it goes; {missing} missing."
        if found.isdisjoint(right):
            return "None of these is it. Next to each one of 1 to 8 is an angle that is."
        if not missing:
            return f"All of them are there, and {wrong} too many."
        return "Some of these are it. Take one, and go to those across from it and in its place."

    def _read(self, text: str) -> Any:
        shown = text.strip()[:40]
        if self.precision is not None:
            return read_answer(text, self.precision.unit, self.dial)
        if self.options:
            typed = re.sub(r"\bme\b", "you", text.strip().lower())
            meant = [one for one in self.options if typed and typed in one.lower()]
            if len(meant) == 1:
                return meant[0]
            raise ValueError(f"“{shown}”: answer {' or '.join(self.options)}")
        found = [str(int(one)) for one in re.findall(r"[0-9]+", text)]
        if not found:
            raise ValueError(f"“{shown}” names no mark; write their numbers, as 1, 3, 5")
        if odd := [one for one in found if int(one) not in MARKS]:
            apart = f"; with a space between, as {' '.join(odd[0])}" if len(odd[0]) > 1 else ""
            raise ValueError(f"“{shown}”: there is no mark {odd[0]}, only 1 to 9{apart}")
        return frozenset(found)

    def _same(self, found: Any, wanted: Any) -> bool:
        if self.precision is not None:
            near = self.precision.tolerance * (1 + 1e-9)
            return any(abs(one - wanted) <= near for one in found)
        if self.options:
            return bool(found == wanted)
        return bool(found == frozenset(re.findall(r"\d", wanted)))


@dataclass(frozen=True)
class Prediction:
    """What a panel asks before it moves: its questions, where it starts, and what it hides."""

    questions: tuple[LessonQuestion, ...]
    start: Mapping[str, Any] = field(default_factory=dict)
    hides: bool = True


def _lathe(name: str) -> Lathe:
    return next(lathe for key, lathe in LATHES.items() if key.startswith(name))


def _do(text: str, answer: str) -> LessonQuestion:
    return LessonQuestion(text, way=answer, by_doing=True)


def _pick(
    text: str, right: str, other: str, not_so: str, why: str, frees: tuple[str, ...] = ()
) -> LessonQuestion:
    """One of two; `not_so` is what to look at for whoever picked the other."""
    options = tuple(sorted((right, other)))
    text = f"{text} ({' / '.join(options)})"
    return LessonQuestion(text, right, None, {not_so: other}, why, options, frees=frees)


def _half(text: str) -> LessonQuestion:
    whole = Angle.parse(text)
    _sign, degrees, minutes, _seconds = whole.dms_parts(2)
    half = whole.half().degrees
    slips: dict[str, float | str] = {
        slip.INCLUDED_AS_HALF: whole.degrees,
        slip.HALVED_AGAIN: half / 2,
        slip.MINUTES_AS_DECIMALS: (degrees + minutes / 100) / 2,
    }
    _sign, under, sixtieth, rest = whole.half().dms_parts(0)
    dotted = Angle.parse(f"{under}.{sixtieth:02}{rest:02.0f}")
    slips[f"A dot is no degree sign: written so it is {dotted.brief()}."] = dotted.degrees
    if degrees % 2:
        slips["The odd degree carries 30′ down to the minutes."] = half - 0.5
    if minutes % 2:
        slips["The odd minute carries 30″ down to the seconds."] = half - 0.5 / 60
    return LessonQuestion(
        f"What is half of {whole.brief()}, to the second?", half, TO_THE_SECOND, slips,
        f"{whole.brief()} ÷ 2",
    )  # fmt: skip


def _decimal(text: str) -> LessonQuestion:
    angle = Angle.parse(text)
    _sign, degrees, minutes, _seconds = angle.dms_parts()
    return LessonQuestion(
        f"What is {angle.brief()} in decimal degrees, to three places?", angle.degrees, DECIMAL,
        {slip.MINUTES_AS_DECIMALS: degrees + minutes / 100}, f"{degrees} + {minutes} ÷ 60",
    )  # fmt: skip


def _cross(half_angle: str, travel: float) -> LessonQuestion:
    half = Angle.parse(half_angle)
    cross = float(cross_travel(travel, half))
    return LessonQuestion(
        f"Half angle {half.brief()}, compound travel {travel:.3f} in: what is the cross travel?",
        cross,
        LENGTH,
        {
            slip.COSINE_FOR_SINE: float(axial_travel(travel, half)),
            slip.TANGENT_FOR_SINE: float(cross_travel_by_carriage(travel, half)),
            "That is what a diameter-reading dial shows; the slide moves half of it.": 2 * cross,
            slip.INCLUDED_AS_HALF: travel * math.sin(2 * half.radians),
            slip.HALVED_AGAIN: travel * math.sin(half.radians / 2),
            slip.RADIANS: abs(travel * math.sin(half.degrees)),
        },
        f"{travel:.3f} × sin {half.brief()}",
    )


def _axial(half_angle: str, travel: float) -> LessonQuestion:
    half = Angle.parse(half_angle)
    return LessonQuestion(
        "And the axial travel?",
        float(axial_travel(travel, half)),
        LENGTH,
        {
            "That is the cross travel. The axial travel lies beside the half angle: its cosine.":
                float(cross_travel(travel, half)),
            slip.INCLUDED_AS_HALF: travel * math.cos(2 * half.radians),
        },
        f"{travel:.3f} × cos {half.brief()}",
    )  # fmt: skip


def _base(half_angle: str, **more: Any) -> LessonQuestion:
    half = Angle.parse(half_angle)
    reading = _lathe("Old Grey").base_reading(half).degrees
    return LessonQuestion(
        "Old Grey's base has its zero square to the bed. What does it read for a half angle of "
        f"{half.brief()}?",
        reading,
        TO_THE_MINUTE,
        {slip.COMPLEMENT_NOT_USED: half.degrees, slip.INCLUDED_AS_HALF: 90 - 2 * half.degrees},
        f"90° − {half.brief()}",
        **more,
    )


def _marks(marks: str, reading: LessonQuestion, way: str) -> tuple[LessonQuestion, ...]:
    asked = (
        "Which of the marks 1 to 9 are the half angle? Mark 9 is on the base, from its 0 to the "
        "slide. Write their numbers with spaces between."
    )
    nine = {
        "Mark 9 is not: this zero is square to the bed, so 9 is 90° less the half angle.":
            f"{marks}, 9"
    } if "9" not in marks else {
        "Mark 9 is too: this zero is parallel to the bed, so the base shows the half angle itself.":
            marks.removesuffix(", 9")
    }  # fmt: skip
    other = WAYS[way == WAYS[0]]
    swings = "Which way does the headstock end of the slide swing?"
    wall = f"followed to the headstock, the wall on your side goes {way} as well"
    frees = ("angle", "turn", "pair", "cone", "base_zero")
    return (
        LessonQuestion(asked, marks, None, nine),
        reading,
        _pick(swings, way, other, WALL, wall, frees),
    )


def predictions() -> dict[str, Prediction]:
    """Every prediction of the lessons by the name a panel takes it by, as `ask="03 travels"`."""
    half, wide = Angle.parse("20°43′"), Angle.parse("41°26′")
    travel, cone = 2.4, Angle.parse("35°15′")
    cross, doubled = float(cross_travel(travel, half)), float(cross_travel(travel, wide))
    grown = LessonQuestion(
        f"The travel stays {travel:.3f} in. The included angle goes from 41°26′ to 82°52′, twice "
        "as much. What is the cross travel then?",
        doubled,
        LENGTH,
        {
            "The angle doubles; its sine does not.": 2 * cross,
            slip.INCLUDED_AS_HALF: travel * math.sin(2 * wide.radians),
            "That is what the diameter-reading dial shows; the slide moves half of it.":
                2 * doubled,
        },
        f"{travel:.3f} × sin 41°26′, which is less than twice {cross:.4f}",
        frees=("included_angle",),
    )  # fmt: skip
    # Of another angle: where the panel starts, its picture shows the cross travel.
    steeper = Angle.parse("23°10′")
    moved = float(cross_travel(travel, steeper))
    radius = LessonQuestion(
        f"Now the lathe: Old Grey's cross dial reads radius. Half angle {steeper.brief()}, "
        f"travel {travel:.3f} in again. What must that dial show?",
        moved,
        LENGTH,
        {slip.RADIUS_AS_DIAMETER: 2 * moved},
        f"{travel:.3f} × sin {steeper.brief()}: a radius dial shows just what the slide moves",
    )
    base = _base("20°43′", frees=("lathe",))
    external = _pick(
        "The cone is external instead, small end at the tailstock. Which way does the headstock "
        "end of the slide swing?",
        *WAYS,
        WALL,
        "the other way round from an internal cone",
        frees=("internal",),
    )
    ratio = Cone.from_included(cone, 1.0).ratio
    as_ratio = LessonQuestion(
        f"The taper of a cone of {cone.brief()} included is 1 to what?",
        ratio,
        RATIO,
        {
            "That is the taper itself, for each inch of length. Divide 1 by it.": 1 / ratio,
            slip.TAPER_ON_RADIUS: 2 * ratio,
            slip.INCLUDED_AS_HALF: 0.5 / math.tan(cone.radians),
            slip.HALVED_AFTER_ARCTANGENT: 1 / math.tan(cone.radians),
        },
        "1 ÷ (2 × tan of the half angle)",
        frees=("included_angle", "taper"),
    )
    line = Angle.parse("34°10′")
    square, parallel = _lathe("Old Grey"), _lathe("Bench Four")
    reads = {
        lathe.base_zero: LessonQuestion(
            f"The slide stands at {line.brief()}, zero {lathe.base_zero}. What does the base read?",
            lathe.base_reading(line).degrees,
            TO_THE_MINUTE,
            {not_this: other.base_reading(line).degrees},
        )
        for lathe, other, not_this in (
            (square, parallel, slip.COMPLEMENT_NOT_USED),
            (parallel, square, slip.COMPLEMENT_USED),
        )
    }
    cross_dial, moved = Dial(0.001, 0.2, "diameter"), float(cross_travel(2.2, Angle.parse("27°")))
    shows = cross_dial.reading(moved)
    dial = LessonQuestion(
        "The cross dial reads diameter, 0.200 in a turn. What does it show? You may answer in "
        "turns and lines.",
        float(shows),
        LENGTH,
        {slip.DIAMETER_AS_RADIUS: moved},
        f"twice the cross travel, {cross_dial.words(shows, 'in')}",
        dial=cross_dial,
        frees=("half_angle", "compound_travel", "compare"),
    )
    slack = LessonQuestion(
        "The backlash is 0.012 in and all of it is out: the slide follows. You crank up to 0.060 "
        "in, so the slide stands at 0.048 in. Now you turn back to 0.055 in. Where is the slide?",
        play(0.055, play(0.060, 0.0, 0.012), 0.012),
        LENGTH,
        {
            slip.BACKLASH: 0.048 - 0.005,
            "That is the handwheel; the slide is behind it by the backlash.": 0.055,
        },
        "it waits until the handwheel has come back by the whole backlash",
        frees=("handwheel",),
    )
    return {
        "00 from print to setup": Prediction(
            (grown, radius, base, external), {"travel": travel}, hides=False
        ),
        "01 an angle in all forms": Prediction(
            (_half("35°15′"), _decimal("35°15′"), as_ratio), {"included_angle": "35°15′"}
        ),
        "02 internal cone": Prediction(
            _marks("2, 4, 6, 8", reads["square to bed"], WAYS[1]),
            {"turn": 1.0, "base_zero": "square to bed"},
        ),
        "02 external cone": Prediction(
            _marks("1, 3, 5, 7, 9", reads["parallel to bed"], WAYS[0]),
            {"turn": 1.0, "cone": "external, small end at tailstock"},
        ),
        "03 travels": Prediction(
            (_cross("27°", 2.2), _axial("27°", 2.2), dial),
            {"half_angle": "27°", "compound_travel": 2.2},
        ),
        "04 backlash": Prediction((slack,), hides=False),
        "05 too steep": Prediction(_steep_05(), {"half_angle": "72°"}),
        "05 where it touches": Prediction(_touches_05(), {"angle_error": "-0°04′"}),
        "10 swept": Prediction(
            _swept_10(),
            {
                "half_angle": "16°40′",
                "compound_travel": 2.2,
                "small_end": 0.0,
                "large_end": -0.0042,
                "turned_small_end": 0.0,
                "turned_large_end": -0.0028,
            },
        ),
        "11 seat": Prediction(
            _seat_11(),
            {
                "relief": "56°",
                "seat": "38°",
                "throat": "22°",
                "face": 1.4,
                "large": 1.3,
                "small": 1.22,
                "hole": 1.1,
                "cut": 0,
                "cross": 0.0,
            },
        ),
        "12 set over": Prediction(
            _set_over_12(), {"half_angle": "2°10′", "work_length": 7.6, "overall": 7.9}
        ),
        "12 seam": Prediction(
            _seam_12(), {"half_angle": "7°50′", "length": 3.4, "angle_error": "0°03′"}
        ),
        "06 by the carriage": Prediction(
            _carriage_06(),
            {"half_angle": "27°", "means": "carriage, to the headstock", "movement": 0.060},
        ),
        "06 below centre": Prediction(_below_06(), {"height_error": -0.060}),
        "06 which is nearer": Prediction(_nearer_06(), {"half_angle": "56°"}),
        "07 a ball stands proud": Prediction(
            _proud_07(), {"half_angle": "27°", "ball": 1.25, "height": 0.6090}
        ),
    }


def prediction(name: str) -> Prediction:
    """The prediction of that name; ValueError listing them for another."""
    known = predictions()
    return known[one_of("prediction", name, tuple(known))]


def _practice_00() -> tuple[LessonQuestion, ...]:
    tolerance = LessonQuestion(
        "The print's tolerance is ± 0°20′ on the included angle. By how many minutes may the half "
        "angle be out?",
        Angle.parse("0°20′").half().minutes,
        MINUTES,
        {slip.TOLERANCE_NOT_HALVED: 20.0},
        "the tolerance is halved along with the angle",
    )
    back = _do(
        "In the first panel, save the job, change the angle, and load the job again. What came "
        "back?",
        "the angle as you saved it, and everything else with it",
    )
    return _half("53°51′"), tolerance, _cross("25°", 2.4), back


def _practice_01() -> tuple[LessonQuestion, ...]:
    allowed = LessonQuestion(
        "A print says 52° ± 0°25′ included. The half angle is 26°, give or take how many minutes?",
        Angle.parse("0°25′").half().minutes,
        MINUTES,
        {slip.TOLERANCE_NOT_HALVED: 25.0},
        "26° ± 0°12′30″",
    )
    per_foot = 0.88
    half = Cone.from_taper_per_foot(per_foot, 1.0).half_angle.degrees
    taper = LessonQuestion(
        f"A taper is {per_foot:.3f} in per foot. What is the half angle, to the minute?",
        half,
        TO_THE_MINUTE,
        {
            slip.TAPER_ON_RADIUS: math.degrees(math.atan(per_foot / 12)),
            slip.PER_FOOT_AS_PER_INCH: math.degrees(math.atan(per_foot / 2)),
        },
        f"inverse tangent of ({per_foot:.3f} ÷ 24)",
    )
    out = LessonQuestion(
        "A classmate sets 20.43° for 20°43′. How many minutes is the slide out?",
        (Angle.parse("20°43′") - Angle.parse("20.43")).minutes,
        MINUTES,
        {
            "That is all of the 43′. The 0.43° is there already: how many minutes is it?": 43.0,
            "That is what 0.43° is. 43′ was wanted: how much is missing?": 25.8,
        },
        "0.43° is only 25.8′",
    )
    base, reading = _lathe("Old Grey"), Angle.parse("65°10′")
    from_base = LessonQuestion(
        f"A base with its zero square to the bed reads {reading.brief()}. What is the included "
        "angle?",
        2 * base.base_reading(reading).degrees,
        TO_THE_MINUTE,
        {
            "That is the half angle.": base.base_reading(reading).degrees,
            slip.COMPLEMENT_NOT_USED: 2 * reading.degrees,
        },
        f"2 × (90° − {reading.brief()})",
    )
    return _decimal("8°21′"), _half("53°43′"), _half("17°21′38″"), allowed, taper, out, from_base


def _practice_02() -> tuple[LessonQuestion, ...]:
    line, included = Angle.parse("24°35′"), Angle.parse("56°12′")
    square, parallel = _lathe("Old Grey"), _lathe("Bench Four")
    other = LessonQuestion(
        f"The slide crosses the axis at {line.brief()}. Four of the eight angles are that. How "
        "large are the other four?",
        (Angle.parse("180°") - line).degrees,
        TO_THE_MINUTE,
        {"That is what is left of 90°; here the two lie on one line.": line.complement().degrees},
        f"180° − {line.brief()}",
    )
    reading = line.complement()
    half = LessonQuestion(
        f"A base with its zero square to the bed reads {reading.brief()}. What is the half angle?",
        square.base_reading(reading).degrees,
        TO_THE_MINUTE,
        {slip.COMPLEMENT_NOT_USED: reading.degrees},
        f"90° − {reading.brief()}",
    )
    cuts = LessonQuestion(
        f"A classmate wants a half angle of {line.brief()} and swings a square-zero base to "
        f"{line.brief()} on its scale. What included angle does that cut?",
        square.base_reading(line).double().degrees,
        TO_THE_MINUTE,
        {
            "That is the half angle it cuts.": square.base_reading(line).degrees,
            slip.COMPLEMENT_NOT_USED: line.double().degrees,
        },
        f"2 × (90° − {line.brief()})",
    )
    reads = LessonQuestion(
        f"The print gives {included.brief()} included, internal, large end at the face. Your "
        "base's zero is parallel to the bed. What does it read?",
        parallel.base_reading(included.half()).degrees,
        TO_THE_MINUTE,
        {
            slip.INCLUDED_AS_HALF: included.degrees,
            slip.COMPLEMENT_USED: included.half().complement().degrees,
        },
        f"{included.brief()} ÷ 2",
    )
    swings = _pick(
        "And which way does the headstock end swing?",
        *WAYS[::-1],
        WALL,
        "the wall of the bore goes away from you towards the headstock",
    )
    slope = LessonQuestion(
        "The quill's side is 2′ out of parallel. How many minutes is the half angle out?",
        Angle.parse("0°02′").minutes,
        MINUTES,
        {"It goes in one for one, not halved.": 1.0, "It goes in one for one.": 4.0},
        "one for one",
    )
    return other, half, cuts, reads, swings, slope


def _practice_03() -> tuple[LessonQuestion, ...]:
    half, travel = Angle.parse("17°"), 2.85
    wrong = float(cross_travel_by_carriage(travel, half))
    mistake = _pick(
        f"A classmate gets {wrong:.4f} for the first. Which function was pressed for the sine?",
        *("tangent", "cosine"),
        "The cosine of a small angle is nearly 1: it would give nearly the whole travel.",
        f"{travel:.3f} × tan {half.brief()}",
    )
    sharp = float(angle_per_graduation(80.0, Angle.parse("22°"), Dial(0.02, 4.0)))
    line = LessonQuestion(
        "At 22° and 80 mm of travel, how many arc-seconds of half angle is one graduation of "
        "0.02 mm on a radius-reading cross dial?",
        sharp,
        SECONDS,
        {
            "That divides by the sine; it is the cosine.": sharp / math.tan(math.radians(22)),
            slip.RADIUS_AS_DIAMETER: sharp / 2,
        },
        "0.02 ÷ (80 × cos 22°) × 206 265",
    )
    dial, cross = Dial(0.001, 0.2, "diameter"), 0.7765
    turned = LessonQuestion(
        f"The cross dial reads diameter, 0.200 in a turn. What does it show for a cross travel of "
        f"{cross:.4f} in? You may answer in turns and lines.",
        float(dial.reading(cross)),
        LENGTH,
        {slip.DIAMETER_AS_RADIUS: cross},
        dial.words(dial.reading(cross), "in"),
        dial=dial,
    )
    return _cross("17°", travel), _axial("17°", travel), mistake, line, turned


def _slips_04() -> tuple[LessonQuestion, ...]:
    much = _pick(
        "The cross screw has 0.008 in of backlash. You go past the null at the second end and turn "
        "back to it. Does the dial read too much or too little?",
        *("too little", "too much"),
        "Turned back, the handwheel goes first and the slide waits: it stands further back.",
        "on the way back the handwheel turns through the slack before the slide moves",
    )
    end = _pick(
        "You zero the indicator before the slack is out. Which end of the check is now wrong?",
        *("the first", "the second"),
        "Come onto the second end the same way, and the slack is out there.",
        "at the second the slack is out; at the first it was not, and the dial counts it in",
    )
    proved = _pick(
        "After the last swing everything agrees. You tighten the bolts and stop there. What have "
        "you proved?",
        *("nothing", "the half angle"),
        "Tightening moves things: what was read before it holds no more.",
        "only a pass with the bolts tight shows where the slide stands",
    )
    return much, end, proved


def _practice_04() -> tuple[LessonQuestion, ...]:
    most = 60 * math.degrees(0.008 / (2.6 * math.cos(Angle.parse("20°43′").radians)))
    cost = _do(
        "On the bench without the guide, make one pass with a reversal on purpose. What does the "
        "review say it cost?",
        "at most the backlash ÷ (travel × cos α): on this bench, as it comes, 0.008 ÷ (2.600 × "
        f"cos 20°43′), {most:.0f}′",
    )
    tries = _do(
        "Start number, folded under The bench, picks the bench as it was left. Set number 28 "
        "without the guide, and prove it in no more than five passes.",
        "the verdict under the buttons ends in “proves it”, and the review finds nothing",
    )
    run = _pick(
        "On an external cone, towards which end does the compound run clear of the quill?",
        *("headstock", "tailstock"),
        "Towards the tailstock this slide closes in on the axis: the tip is driven into the quill.",
        "the run is the one that leaves the quill",
    )
    return cost, tries, run, _base("20°43′")


def _steep_05() -> tuple[LessonQuestion, ...]:
    half, travel, line = Angle.parse("72°"), 2.8, 0.0005
    worth = math.degrees(line / (travel * math.cos(half.radians))) * 3600
    one = LessonQuestion(
        f"Half angle {half.brief()}, over {travel:.3f} in. One line of this cross dial, .001 on "
        f"diameter, is {line:.4f} in of slide. How many arc-seconds is it worth?",
        worth,
        SECONDS,
        {
            "That divides by the sine; the cross travel's lever is the cosine.":
                worth / math.tan(half.radians),
            slip.DIAMETER_AS_RADIUS: 2 * worth,
        },
        f"{line:.4f} ÷ ({travel:.3f} × cos {half.brief()}) × 206 265",
    )  # fmt: skip
    both = _pick(
        "Can the print's ± 0°12′ on the included angle be proven this way?",
        *("no", "yes"),
        "The half angle has 6′; one line alone is two, and screws count as the tangent.",
        "the readings and the screws together are out by more than the 6′ that the half angle has",
    )
    route = _pick(
        "Which travel would you measure instead?",
        *("axial travel", "cross travel"),
        "A longer one of the same gains little: 1/cos α stays.",
        "near 72° the axial travel's lever is 1/sin α, close to 1",
        ("half_angle", "route", "compound_travel"),
    )
    return one, both, route


def _touches_05() -> tuple[LessonQuestion, ...]:
    where = _pick(
        "The bore's half angle is 4′ too small. At which end does a true plug touch?",
        *("large end", "small end"),
        "The bore closes in too slowly: at its small end it is too large.",
        "the bore is the slimmer cone, so the plug is held at the mouth",
    )
    half, error, length = Angle.parse("20°43′"), Angle.parse("-0°04′"), 0.64
    out = float(diameter_error(length, half, error))
    by = LessonQuestion(
        f"The face is right, and the cone {length:.3f} in long. By how much is the diameter at the "
        f"small end too large? The half angle was to be {half.brief()}.",
        abs(out),
        FINE,
        {"That is on radius; the diameter counts both sides.": abs(out) / 2},
        "2 × 0.640 × (tan 20°43′ − tan 20°39′)",
        frees=(
            "angle_error", "half_angle", "face_diameter", "length", "kind", "there", "film",
            "shows_at", "shows_over",
        ),
    )  # fmt: skip
    return where, by


def _carriage_06() -> tuple[LessonQuestion, ...]:
    half, moved = Angle.parse("27°"), 0.060
    grows = float(face_diameter_change(Cone(half, 1.4), carriage=moved))
    growth = LessonQuestion(
        f"Half angle {half.brief()}: the carriage goes {moved:.3f} in towards the headstock. By "
        "how much does the face diameter grow?",
        grows,
        LENGTH,
        {
            "That is on radius; the diameter counts both sides.": grows / 2,
            "The carriage goes along the axis: it is the tangent, not the sine.":
                2 * moved * math.sin(half.radians),
        },
        f"2 × {moved:.3f} × tan {half.brief()}",
    )  # fmt: skip
    dial = LessonQuestion(
        "What would a diameter-reading cross dial have to show for the same growth?",
        grows,
        LENGTH,
        {slip.DIAMETER_AS_RADIUS: grows / 2},
        "it shows what the diameter grows by; the slide itself moves half of it",
        frees=("movement", "means"),
    )
    return growth, dial


def _below_06() -> tuple[LessonQuestion, ...]:
    angle = _pick(
        "The tool stands 0.060 in below centre. Does the half angle come out too large or too "
        "small?",
        *("too small", "too large"),
        "Off centre the radius shrinks more slowly than the tool goes in.",
        "above or below, always too small",
    )
    rides = _pick(
        "Where does a true plug touch this wall: in the middle or at the ends?",
        *("middle", "ends"),
        "The wall bows towards the axis between its ends.",
        "between its ends the wall lies nearer the axis",
        ("height_error", "right_at"),
    )
    return angle, rides


def _nearer_06() -> tuple[LessonQuestion, ...]:
    return (
        _pick(
            "The slide is swung to 56° for an internal cone. Which does it come nearer to?",
            *("quill", "chuck"),
            "The far end of a slide swung so steeply stands across the bed, behind the base.",
            "the end nearest to you swings away, and the other across the axis, where the quill is",
            (
                "half_angle",
                "compound_travel",
                "lathe",
                "kind",
                "pivot_axial",
                "pivot_cross",
                "quill_end",
                "chuck_radius",
                "slide_width",
                "nose_ahead",
                "margin",
            ),
        ),
    )


def _proud_07() -> tuple[LessonQuestion, ...]:
    half, ball, height, deep, line = Angle.parse("27°"), 1.25, 0.6090, 0.020, 0.001
    face = float(face_diameter_from_ball(half, ball, height))
    large = LessonQuestion(
        f"Half angle {half.brief()}, ball {ball:.4f} in, its top {height:.4f} in proud. How large "
        "is the face diameter?",
        face,
        LENGTH,
        {
            slip.BALL_SIGN: float(face_diameter_from_ball(half, ball, -height)),
            "That leaves out what stands proud: take off 2 × height × tan α.":
                ball * (math.tan(half.radians) + 1 / math.cos(half.radians)),
        },
        f"{ball:.4f} × (tan {half.brief()} + 1 ÷ cos {half.brief()}) − 2 × {height:.4f} × tan "
        f"{half.brief()}",
    )  # fmt: skip
    each = 2 * line * math.tan(half.radians)
    worth = LessonQuestion(
        f"How much diameter does one line of {line:.3f} in on the micrometer stand for?",
        each,
        FINE,
        {"That is on radius; the diameter counts both sides.": each / 2},
        f"2 × {line:.3f} × tan {half.brief()}",
    )
    over = LessonQuestion(
        f"The edge is broken {deep:.3f} in deep at 45°. By how much do calipers across the break "
        "read too large?",
        float(broken_edge(Cone(half, face), deep).outer_error),
        LENGTH,
        {"The wall falls away below the break too: × (1 − tan α).": 2 * deep},
        f"2 × {deep:.3f} × (1 − tan {half.brief()})",
        frees=("height", "ball", "edge_break", "half_angle"),
    )
    return large, worth, over


def _practice_05() -> tuple[LessonQuestion, ...]:
    parts = (30.0, 40.0, 10.0)
    whole = LessonQuestion(
        "Three parts add 30″, 40″ and 10″. How many arc-seconds is the whole?",
        math.hypot(*parts),
        SECONDS,
        {
            "They add as squares: seldom are all at their worst, and all the same way.": sum(parts),
            "That is without the 10″; it adds a little.": math.hypot(*parts[:2]),
        },
        "root of (30² + 40² + 10²); without the 10″ it is 50.0″",
    )
    allowed = Angle.parse("0°10′").half()
    most = float(allowed.arc_seconds / 4)
    ratio = LessonQuestion(
        "The print allows ± 0°10′ on the included angle. How many arc-seconds may U be at most, "
        "for 4 : 1?",
        most,
        SECONDS,
        {slip.TOLERANCE_NOT_HALVED: 2 * most, "That is 1 : 1.": 4 * most},
        "0°05′ ÷ 4: the tolerance is halved along with the angle",
    )
    axial, steep = 20.0, math.radians(70)
    times = LessonQuestion(
        f"At 70° a reading of the axial travel is worth {axial:g}″. How many arc-seconds is the "
        "same reading worth by the cross travel?",
        axial * math.tan(steep),
        SECONDS,
        {
            "That is the other way about.": axial / math.tan(steep),
            "Both levers count: 1/cos for the cross travel, 1/sin for the axial one.":
                axial / math.cos(steep),
        },
        f"{axial:g} × (1 ÷ cos 70°) ÷ (1 ÷ sin 70°)",
    )  # fmt: skip
    ring = _pick(
        "An external cone comes out with its half angle too large. At which end does a true ring "
        "touch?",
        *("large end", "small end"),
        "The cone grows too fast: where is it too large?",
        "the cone grows faster than the ring opens, so the ring is held at the large end",
    )
    print_ = _pick(
        "A classmate holds the half angle to ± 0°10′, straight from the print. Is that too wide or "
        "too tight?",
        *("too wide", "too tight"),
        "The print's tolerance is on the included angle; the half angle gets half of it.",
        slip.TOLERANCE_NOT_HALVED,
    )
    blued = _pick(
        "A plug shows blue at the small end of a bore only. Do you swing the slide further, or "
        "back?",
        *("back", "further"),
        "Held at its small end the plug stands clear at the mouth: the bore opens too fast.",
        "the half angle is too large",
    )
    film, over = 0.0002, 0.25
    about = LessonQuestion(
        f"The film is about {film:.4f} in thick and shows over {over:.2f} in of the wall. About "
        "how many minutes do you swing?",
        error_from_blue(film, over).minutes,
        Precision("′", 0.3, "", 1),
        {"That is the included angle; the slide follows one wall.":
            2 * error_from_blue(film, over).minutes},
        f"{film:.4f} ÷ {over:.2f} × 3438, and the film is a guess, so it is a rough figure",
    )  # fmt: skip
    return whole, ratio, times, ring, print_, blued, about


def _practice_06() -> tuple[LessonQuestion, ...]:
    grow, half = 0.012, Angle.parse("27°")
    slide = LessonQuestion(
        f"A face diameter must grow by {grow:.3f} in. How far does the cross slide go?",
        grow / 2,
        LENGTH,
        {"That is what a diameter-reading dial shows; the slide moves half of it.": grow},
        f"{grow:.3f} ÷ 2; a diameter-reading dial shows {grow:.3f}",
    )
    carriage = float(carriage_to_change(Cone(half, 1.4), grow))
    along = LessonQuestion(
        f"The same by the carriage, at a half angle of {half.brief()}. How far?",
        carriage,
        LENGTH,
        {
            "That takes the growth as if it were on radius.": 2 * carriage,
            "Divide by the tangent; the carriage goes further where the cone is slim.":
                grow / 2 * math.tan(half.radians),
        },
        f"{grow:.3f} ÷ (2 × tan {half.brief()})",
    )  # fmt: skip
    steep, off = Angle.parse("38°"), 0.1
    shrinks = -float(face_diameter_change(Cone(steep, 36.0), faced_off=off))
    faced = LessonQuestion(
        f"You face {off:g} mm off a bore of half angle {steep.brief()}. By how many mm does the "
        "face diameter shrink?",
        shrinks,
        METRIC,
        {"That is on radius; the diameter counts both sides.": shrinks / 2},
        f"2 × {off:g} × tan {steep.brief()}",
    )
    nothing = LessonQuestion(
        "A classmate feeds the compound 0.010 in further and expects 0.007 in on diameter. By how "
        "much does the face diameter grow?",
        0.0,
        LENGTH,
        {slip.COMPOUND_FEED: 0.007, "Feeding along the wall makes it longer, not larger.": 0.010},
        "nothing: the tool runs along the wall it has cut, and the cone gets longer",
    )
    pip = LessonQuestion(
        "A pip 0.6 mm across is left when a scrap bar is faced. How many mm is the tool off "
        "centre?",
        float(height_from_pip(0.6)),
        METRIC,
        {"The pip is twice the error across.": 0.6},
        "half of the pip; which way, the pip does not tell, and a rule pinched lightly does",
    )
    return slide, along, faced, nothing, pip


def _practice_07() -> tuple[LessonQuestion, ...]:
    half, ball, below = Angle.parse("17°"), 20.0, -6.5
    face = float(face_diameter_from_ball(half, ball, below))
    large = LessonQuestion(
        f"Half angle {half.brief()}, ball {ball:g} mm, its top {-below:.3f} mm below the face. How "
        "large is the face diameter?",
        face,
        METRIC,
        {slip.BALL_SIGN: float(face_diameter_from_ball(half, ball, -below))},
        f"{ball:g} × (tan {half.brief()} + 1 ÷ cos {half.brief()}) + 2 × {-below:.3f} × tan "
        f"{half.brief()}",
    )
    sign = LessonQuestion(
        "A classmate leaves out the minus sign in the first. How many mm is that out?",
        4 * -below * math.tan(half.radians),
        METRIC,
        {"It counts twice: what was to be added is taken off.":
            2 * -below * math.tan(half.radians)},
        f"4 × {-below:.3f} × tan {half.brief()}",
    )  # fmt: skip
    flat, deep = Angle.parse("22°"), 0.5
    across = LessonQuestion(
        f"Half angle {flat.brief()}, the edge broken {deep:g} mm deep at 45°. By how many mm do "
        "calipers across the break read too large?",
        float(broken_edge(Cone(flat, 36.0), deep).outer_error),
        METRIC,
        {"The wall falls away below the break too: × (1 − tan α).": 2 * deep},
        f"2 × {deep:g} × (1 − tan {flat.brief()})",
    )
    guard = LessonQuestion(
        "The limits are 36.00 and 36.08 mm, and u is 0.010 mm. From which diameter on does the "
        "bore conform by the guard band of 1.65 u?",
        36.0 + GUARD_FACTOR * 0.010,
        Precision("mm", 0.0006, "", 4),
        {"That is the limit itself; near it nothing is proven.": 36.0},
        "36.00 + 1.65 × 0.010, and up to 36.0635",
    )
    reject = _pick(
        "The same bore measures 36.09 mm. Can you reject it?",
        *("no", "yes"),
        "Outside by 0.010 is less than the guard band of 0.0165: it may still be good.",
        "it is outside, but by less than 1.65 u: not proven",
    )
    rides = _pick(
        "The ball rides on the edge break and nobody notices. Is the face diameter then worked out "
        "too large or too small?",
        *("too small", "too large"),
        "Held by the break the ball stands higher than the wall would let it.",
        "the ball stands too high, and a higher ball means a smaller bore",
    )
    return large, sign, across, guard, reject, rides


def _rolls_07() -> tuple[LessonQuestion, ...]:
    angle = _pick(
        "Over rolls, the blocks were 1.0000 in and you note them as 0.9000. Does the half angle "
        "come out too large or too small?",
        *("too large", "too small"),
        "tan α = (M₂ − M₁) ÷ (2 B): what does a smaller B do?",
        "the same rise over lower blocks is a steeper wall",
    )
    face = _pick(
        "And the small diameter at the plate?",
        *("too small", "too large"),
        "From M₁ goes off the roll × (1 + tan α + 1 ÷ cos α): that has grown.",
        "more is taken off M₁ for the rolls",
    )
    return angle, face


OVER_ALL = "L lies between the centre points; the length over all is more by both centre holes."
BOTH_WALLS = "That turns the whole taper into one wall: halve it."


TENTH = Precision("in", 0.0001, "", 4)
NOT_TURNED = "That is one sweep alone: what the taper leans is still in it."
NO_COSINE = "The needle moves square to the axis; across the slide it is less, by the cosine."


def _swept(half: Angle, travel: float, let_out: float) -> float:
    return swing_from_known_taper(let_out, travel, half).minutes


def _swept_10() -> tuple[LessonQuestion, ...]:
    half, travel, first, other = Angle.parse("16°40′"), 2.2, 0.0042, 0.0028
    mean = (first + other) / 2
    let_out = LessonQuestion(
        f"From 0 at the small end the needle goes to −{first:.4f} at the large end, and turned "
        f"half round to −{other:.4f}; plus is pushed in. By how much is it let out, on the mean?",
        mean,
        TENTH,
        {NOT_TURNED: first, "The mean is half of the sum.": first + other},
        f"({first:.4f} + {other:.4f}) ÷ 2",
    )
    out = LessonQuestion(
        f"Over {travel:.3f} in, half angle {half.brief()}: by how many minutes is the slide swung "
        "past the taper?",
        _swept(half, travel, mean),
        MINUTES,
        {
            NO_COSINE: math.degrees(math.asin(mean / travel)) * 60,
            NOT_TURNED: _swept(half, travel, first),
            "That divides by the cosine.": _swept(half, travel, mean) / math.cos(half.radians) ** 2,
        },
        f"inverse sine of ({mean:.4f} × cos {half.brief()} ÷ {travel:.3f})",
    )
    way = _pick(
        "Which way must it be swung?",
        *("back", "further"),
        "Let out means that the slide leaves the taper's side on its way to the large end.",
        "the slide runs away from the taper's side, so it stands too steep",
        frees=("large_end", "turned_large_end", "half_angle", "compound_travel", "kind"),
    )
    return let_out, out, way


def _practice_10() -> tuple[LessonQuestion, ...]:
    half, travel, let_out = Angle.parse("21°35′"), 60.0, 0.064
    cross = _pick(
        "The compound's screw is worn, its cross dial is good. Which route asks nothing of the "
        "worn screw and still measures the angle itself?",
        *("travel by blocks", "axial travel"),
        "By the axial travel the compound's dial still tells how far it ran.",
        "the stack is the travel; the screw only pushes",
    )
    out = LessonQuestion(
        f"A plug of half angle {half.brief()}, {travel:g} mm of travel; the mean of both sweeps is "
        f"{let_out:g} mm let out. By how many minutes is the slide past it?",
        _swept(half, travel, let_out),
        MINUTES,
        {NO_COSINE: math.degrees(math.asin(let_out / travel)) * 60},
        f"inverse sine of ({let_out:g} × cos {half.brief()} ÷ {travel:g})",
    )
    side = _pick(
        "An internal cone is set by a plug, its small end at the tailstock. Which side does the "
        "tip bear on?",
        *("the far side", "the operator's side"),
        "Which side slopes as the slide is swung: away from you on its way to the headstock?",
        "an internal cone's slide goes away from you there, and so does the plug's far side",
    )
    steep, run = Angle.parse("19°10′"), 2.35
    shows = LessonQuestion(
        f"Half angle {steep.brief()}, the compound run by a stack of {run:.3f} in. What must a "
        "diameter-reading cross dial show?",
        2 * float(cross_travel(run, steep)),
        LENGTH,
        {
            slip.DIAMETER_AS_RADIUS: float(cross_travel(run, steep)),
            slip.COSINE_FOR_SINE: 2 * float(axial_travel(run, steep)),
            slip.TANGENT_FOR_SINE: 2 * float(cross_travel_by_carriage(run, steep)),
        },
        f"2 × {run:.3f} × sin {steep.brief()}",
    )
    return cross, out, side, shows


def _seat_11() -> tuple[LessonQuestion, ...]:
    half, large, small = Angle.parse("38°"), 1.300, 1.220
    width = LessonQuestion(
        f"The seat runs from {large:.3f} to {small:.3f} in at a half angle of {half.brief()}. How "
        "wide is it along its wall?",
        float(seat_width(half, large, small)),
        LENGTH,
        _seat_slips(half, large - small),
        f"({large:.3f} − {small:.3f}) ÷ (2 × sin {half.brief()})",
    )
    moves = _pick(
        "The relief is cut deeper. Does the seat get wider or narrower?",
        *("narrower", "wider"),
        "Which wall do the relief and the seat share an edge on, and which of them gives way?",
        "its large end comes down the seat's wall; its small end stays",
        (
            "cross",
            "cut",
            "relief",
            "seat",
            "throat",
            "plug",
            "face",
            "large",
            "small",
            "hole",
            "lathe",
        ),
    )
    return width, moves


def _seat_slips(half: Angle, differ: float) -> dict[str, float | str]:
    return {
        "That is across, square to the axis; along its wall it is wider: ÷ sin α.": differ / 2,
        "The diameters differ by both walls; the seat is one.": differ / math.sin(half.radians),
        "That is its depth along the axis.": differ / 2 / math.tan(half.radians),
    }


def _practice_11() -> tuple[LessonQuestion, ...]:
    half, large, small = Angle.parse("37°"), 31.40, 29.60
    width = LessonQuestion(
        f"A seat of half angle {half.brief()} runs from {large:.2f} to {small:.2f} mm. How wide is "
        "it along its wall, in mm?",
        float(seat_width(half, large, small)),
        METRIC,
        _seat_slips(half, large - small),
        f"({large:.2f} − {small:.2f}) ÷ (2 × sin {half.brief()})",
    )
    bore, given, deep = Angle.parse("22°"), 18.60, 3.50
    rise = 2 * deep * math.tan(bore.radians)
    plane = LessonQuestion(
        f"A bore of half angle {bore.brief()} measures {given:.2f} mm at a gauge plane "
        f"{deep:.2f} mm below the face. What is its face diameter, in mm?",
        Cone.from_gauge_plane(bore, given, deep).face_diameter,
        METRIC,
        {
            "The plane lies in the bore, where it is narrower: the face is wider.": given - rise,
            slip.TAPER_ON_RADIUS: given + rise / 2,
        },
        f"{given:.2f} + 2 × {deep:.2f} × tan {bore.brief()}",
    )
    relief, face, seat, other = Angle.parse("56°"), 1.400, Angle.parse("38°"), 1.330
    meets = LessonQuestion(
        f"Carried up to the face, a relief of half angle {relief.brief()} measures {face:.3f} in "
        f"and a seat of half angle {seat.brief()} {other:.3f} in. How deep do their walls meet?",
        walls_meet(Cone(relief, face), Cone(seat, other)).depth,
        LENGTH,
        {
            "The diameters differ by both walls: halve it.": (face - other)
            / (math.tan(relief.radians) - math.tan(seat.radians))
        },
        f"({face:.3f} − {other:.3f}) ÷ (2 × (tan {relief.brief()} − tan {seat.brief()}))",
    )
    throat = _pick(
        "The throat is cut deeper. Which edge of the seat moves?",
        *("small end", "large end"),
        "Which wall stands below the seat?",
        "seat and throat share that edge; it comes up the seat's wall",
    )
    touches = _pick(
        "A plug stands 1° steeper than its seat: its half angle is the smaller. At which end of "
        "the seat does it touch?",
        *("small end", "large end"),
        "Going in, the steeper plug narrows more slowly than the seat. Where do they meet first?",
        "the plug narrows more slowly, so the gap closes going in",
    )
    stock = _pick(
        "The bore is measured with stock still on the face. Is what you see larger or smaller "
        "than the face diameter to come?",
        *("larger", "smaller"),
        "The bore is widest where it starts.",
        "by 2 × stock × tan α; facing takes it off again",
    )
    return width, plane, meets, throat, touches, stock


def _set_over_12() -> tuple[LessonQuestion, ...]:
    half, work, overall = Angle.parse("2°10′"), 7.6, 7.9
    offset = float(set_over(work, half))
    taken = float(set_over(overall, half))
    asked = LessonQuestion(
        f"Half angle {half.brief()}, {work:.3f} in between the centre points, {overall:.3f} in "
        "over all. How far is the tailstock set over?",
        offset,
        LENGTH,
        {OVER_ALL: taken, BOTH_WALLS: 2 * offset, slip.HALVED_AGAIN: offset / 2},
        f"{work:.3f} × sin {half.brief()}",
    )
    rule = _pick(
        "By the shop rule, length × taper ÷ 2: does the cone come out too steep or too shallow?",
        *("too steep", "too shallow"),
        "The rule is the tangent. Which is larger, tangent or sine?",
        "the tangent is a hair more than the sine, so the rule sets over a hair too far",
    )
    out = LessonQuestion(
        "And by the length over all, with the sine: how many minutes is the half angle out?",
        (half_angle_of_set_over(work, taken) - half).minutes,
        MINUTES,
        {},
        f"inverse sine of ({taken:.5f} ÷ {work:.3f}) − {half.brief()}",
        frees=("half_angle", "work_length", "overall", "most", "between"),
    )
    return asked, rule, out


def _seam_12() -> tuple[LessonQuestion, ...]:
    half, error, length = Angle.parse("7°50′"), Angle.parse("0°03′"), 3.4
    run = length / 2 / math.cos(half.radians)
    step = float(seam_step(run, half, error))
    way = _pick(
        "The slide stands 3′ too steep for both runs; the moves between them are true. At the "
        "seam, does the second run cut deeper, or leave the wall standing proud?",
        *("deeper", "proud"),
        "The first run has drifted out of the metal by its end; the second begins where it should.",
        "by its end the first run has left metal standing; the second begins on the wall wanted",
    )
    size = LessonQuestion(
        f"Each run is {run:.4f} in along the slide. How large is the step, on radius?",
        step,
        FINE,
        {"That is on diameter; a step on one wall is half of it.": 2 * step},
        f"{run:.4f} × sin {error.brief()} ÷ cos {(half + error).brief()}",
        frees=(
            "angle_error", "half_angle", "length", "joined", "kind", "carriage_error",
            "cross_error", "lathe",
        ),
    )  # fmt: skip
    return way, size


def _practice_12() -> tuple[LessonQuestion, ...]:
    taper, work, overall = 0.036, 10.5, 10.8
    half = Cone.from_taper(taper, 1.0).half_angle
    offset = float(set_over(work, half))
    asked = LessonQuestion(
        f"An external taper of {taper:g} in per inch, on work {work:.3f} in between the centre "
        f"points and {overall:.3f} in over all. How far is the tailstock set over?",
        offset,
        LENGTH,
        {OVER_ALL: float(set_over(overall, half)), BOTH_WALLS: 2 * offset},
        f"{work:.3f} × sine of the inverse tangent of ({taper:g} ÷ 2)",
    )
    way = _pick(
        "The small end is at the tailstock, the tool on your side. Which way is it set over?",
        *("towards you", "away from you"),
        "Where must the work come nearer to the tool?",
        "the tailstock's end of the work comes to the tool, and more is cut there",
    )
    longer = _pick(
        "The next piece is 0.400 in longer. With the same set-over, does its taper come out "
        "steeper or shallower?",
        *("shallower", "steeper"),
        "The set-over is the short side of a triangle, the work its long side.",
        "the same short side on a longer long side is a smaller angle",
    )
    touched = _pick(
        "The slide is a little too steep. You set the second run by touching the wall at the seam. "
        "What is left?",
        *("the far end is out", "a step"),
        "Touching makes the second run go on from where the first ended.",
        "one straight wall, and the error grows over the whole length",
    )
    steep, run = Angle.parse("11°10′"), 42.0
    cross = float(cross_travel(run, steep))
    moved = LessonQuestion(
        f"Half angle {steep.brief()}, each run {run:g} mm along the slide. Between the runs, what "
        "must a diameter-reading cross dial show, in mm?",
        2 * cross,
        METRIC,
        {
            slip.DIAMETER_AS_RADIUS: cross,
            slip.TANGENT_FOR_SINE: 2 * run * math.tan(steep.radians),
            slip.COSINE_FOR_SINE: 2 * run * math.cos(steep.radians),
        },
        f"2 × {run:g} × sin {steep.brief()}",
    )
    return asked, way, longer, touched, moved


PRACTICE: dict[str, Callable[[], tuple[LessonQuestion, ...]]] = {
    "00": _practice_00,
    "01": _practice_01,
    "02": _practice_02,
    "03": _practice_03,
    "04": _practice_04,
    "04 slips": _slips_04,
    "05": _practice_05,
    "06": _practice_06,
    "07": _practice_07,
    "07 rolls": _rolls_07,
    "10": _practice_10,
    "11": _practice_11,
    "12": _practice_12,
}


def practice(lesson: str) -> tuple[LessonQuestion, ...]:
    """The questions at the end of a lesson, by its number."""
    return PRACTICE[one_of("lesson", lesson, tuple(PRACTICE))]()
