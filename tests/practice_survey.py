"""How well practice recognises right answers, usual mistakes and nonsense, over many problems."""

from __future__ import annotations

import math
import random
from collections import defaultdict
from dataclasses import dataclass, field
from fractions import Fraction

from practice_numbers import FOR_MINUTES, FORM, UNIT, all_numbers, form_given

from tapertrig.angle import Angle
from tapertrig.practice import TOPICS, problem

ANGLES = {"°": 1, "′": 60, "″": 3600}


def _signed(text, value):
    return f"−{text}" if value < 0 else text


def length_forms(value, unit, tolerance, dial):
    """One length, as many people would write it."""
    other, factor = ("mm", 25.4) if unit == "in" else ("in", 1 / 25.4)
    size = abs(value)
    plain = f"{size:.6f}"
    forms = [
        plain,
        f"{size:.5f}",
        plain.lstrip("0") if size >= 1e-6 else "0",
        f"{plain} {unit}",
        f"{size:.6f}{unit}",
        f"{size * factor:.6f} {other}",
        plain.replace(".", ","),
        f"x = {plain}",
        f"{round(size / tolerance) * tolerance:.6f}",
        f"{round(size / tolerance) * tolerance:.5f} {unit}",
    ]
    forms += [f'{plain}"', f"{plain} inches", f"{plain} in."] if unit == "in" else []
    forms += [f"{plain} millimetres"] if unit == "mm" else []
    fraction = Fraction(size).limit_denominator(64)
    if float(fraction) == size and fraction.denominator > 1:
        whole, rest = divmod(fraction.numerator, fraction.denominator)
        forms += [f"{fraction}", f"{whole} {rest}/{fraction.denominator}"] if whole else []
        forms += [f"{whole}-{rest}/{fraction.denominator} {unit}"] if whole else []
    if dial is not None:
        turns = math.floor(size / dial.per_turn)
        rest = size - turns * dial.per_turn
        lines = rest / dial.graduation
        forms += [
            f"{turns} turns + {lines:.3f}",
            f"{turns} turns + {lines:.2f} graduations",
            f"{turns} turns and {lines:.2f} lines",
            f"{turns} turns, {rest:.6f} {unit}",
            f"{turns} turns + {rest:.6f}",
            f"{turns}turns {lines:.2f}",
            f"{size / dial.graduation:.3f} graduations",
            f"{size / dial.per_turn:.6f} turns",
        ]
    return [_signed(form, value) if form[0] != "x" or value >= 0 else form.replace("= ", "= -")
            for form in forms]  # fmt: skip


def angle_forms(value, unit, tolerance):
    """One angle, as many people would write it; `value` in the unit asked for."""
    degrees = abs(value) / ANGLES[unit]
    _, whole, minutes, seconds = Angle.from_degrees(degrees).dms_parts(2)
    bare = f"{abs(value):.6f}"
    forms = [
        bare,
        f"{bare}{unit}",
        f"{round(abs(value) / tolerance) * tolerance:.8f}",
        f"{degrees:.7f}°",
        f"{degrees:.7f} deg",
        f"{math.radians(degrees):.9f} rad",
        f"{whole}°{minutes:02d}′{seconds:05.2f}″",
        f"{whole}°{minutes}'{seconds:.2f}\"",
        f"{whole}° {minutes}' {seconds:.2f}''",
        f"{whole} {minutes} {seconds:.2f}",
        f"{whole}-{minutes}-{seconds:.2f}",
        f"{whole}:{minutes}:{seconds:.2f}",
        f"{whole}d{minutes}m{seconds:.2f}s",
        f"{whole} deg {minutes} min {seconds:.2f} sec",
        f"{whole}°{minutes + seconds / 60:.5f}′",
        bare.replace(".", ","),
        f"α = {bare}",
    ]
    return [_signed(form, value) if form[0] != "α" or value >= 0 else form.replace("= ", "= -")
            for form in forms]  # fmt: skip


def right_forms(each):
    """The right answer of a problem in every form the kit promises to read."""
    value, tolerance = each.answer, each.tolerance
    if each.unit in ANGLES:
        forms = angle_forms(value, each.unit, tolerance)
    elif each.unit in ("in", "mm"):
        forms = length_forms(value, each.unit, tolerance, each.dial)
    elif each.unit == "1:x":
        forms = [f"{value:.3f}", f"1:{value:.4f}", f"1 : {value:.4f}", f"x = {value:.5f}"]
    else:
        forms = [f"{value:.3f}", f"{value:.4f} in/ft", f"{value:.4f} in per foot"]
    forms += [each.answer_text, repr(value)]
    if value > 0:
        forms.append(f"+{value:.6f}")
    return forms


@dataclass
class Survey:
    """What was counted. `by_mistake` maps a mistake to [tried, refused, attributed]."""

    problems: int = 0
    forms: int = 0
    refused_right: list = field(default_factory=list)
    disagreeing: list = field(default_factory=list)
    by_mistake: dict = field(default_factory=lambda: defaultdict(lambda: [0, 0, 0]))
    unattributed: list = field(default_factory=list)
    random_by_topic: dict = field(default_factory=lambda: defaultdict(lambda: [0, 0]))

    @property
    def attributed_share(self):
        """Share of the mistakes' numbers that were attributed rightly."""
        tried = sum(row[0] for row in self.by_mistake.values())
        return sum(row[2] for row in self.by_mistake.values()) / tried

    @property
    def left_alone_share(self):
        """Share of random wrong numbers that were attributed to nothing."""
        tried = sum(row[0] for row in self.random_by_topic.values())
        return 1 - sum(row[1] for row in self.random_by_topic.values()) / tried


def survey(seeds, random_numbers=1, every_form=True):
    """Check every topic's problems for the given seeds.

    With `every_form=False` a third of the forms is typed for each problem, another third for the
    next one; and the mistakes' numbers exact in one problem, rounded as asked in the next.
    """
    result = Survey()
    for topic in TOPICS:
        for seed in seeds:
            _look_at(problem(topic, seed), result, random_numbers, every_form)
    return result


def _look_at(each, result, random_numbers, every_form):
    result.problems += 1
    right, wrong = all_numbers(each)
    if abs(right - each.answer) > 1e-3 * each.tolerance:
        result.disagreeing.append((each.topic, each.seed, right, each.answer))
    forms = right_forms(each)
    for form in forms if every_form else forms[each.seed // 2 % 3 :: 3]:
        if form_given(each.kind, form):
            verdict, row = each.check(form), result.by_mistake[FORM]
            row[0] += 1
            row[1] += not verdict.correct
            row[2] += verdict.mistakes == (FORM,)
            continue
        result.forms += 1
        if not each.check(form).correct:
            result.refused_right.append((each.topic, each.seed, form, each.answer_text))
    for mistake, values in wrong.items():
        for number in values:
            # A mistake that leads to the right number is none: the other dial, for instance.
            if abs(number - right) > 1e-3 * each.tolerance:
                # In another unit people round to as many figures, not to as many places.
                fine = abs(number) / 200 if mistake in (UNIT, FOR_MINUTES) else math.inf
                step = min(each.tolerance, fine)
                rounded = round(number / step) * step
                both = (number, rounded)
                for typed in both if every_form else (both[each.seed // 2 % 2],):
                    _type_wrong(each, mistake, typed, wrong, result)
    source = random.Random(f"wrong:{each.topic}:{each.seed}")
    reach = 2.5 * (abs(right) or max(abs(n) for values in wrong.values() for n in values))
    for _ in range(random_numbers):
        number = source.uniform(0, reach)
        if each.asked.precision.signed:
            number *= source.choice((-1, 1))
        if abs(number - right) > each.tolerance:
            row = result.random_by_topic[each.topic]
            row[0] += 1
            row[1] += each.check(f"{number:.9f}").mistake is not None


def _type_wrong(each, mistake, typed, wrong, result):
    verdict = each.check(f"{typed:.9f}")
    # Another mistake does as well when it leads to the same number within the tolerance.
    same = [
        abs(abs(other) - abs(typed)) <= each.tolerance * (1 + 1e-6)
        for other in wrong.get(verdict.mistake, ())
    ]
    attributed = len(verdict.mistakes) == 1 and any(same)
    row = result.by_mistake[mistake]
    row[0] += 1
    row[1] += not verdict.correct
    row[2] += attributed
    if not attributed:
        result.unattributed.append((each.topic, each.seed, mistake, typed, verdict.mistakes))
