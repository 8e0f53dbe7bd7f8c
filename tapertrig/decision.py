"""Whether a measured value conforms: three outcomes, by guard band or by simple acceptance."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from statistics import NormalDist

from tapertrig.limits import InfiniteToo, finite, not_negative, one_of, positive
from tapertrig.uncertainty import COVERAGE, Contribution, student_t

CONFORMS = "conforms"
DOES_NOT_CONFORM = "does not conform"
NOT_PROVEN = "not proven"

RULES = ("guard band", "simple acceptance")
# ISO 14253-1:2017: 95 % conformance probability, one limit in play.
GUARD_FACTOR = 1.65
PROVEN = 0.95
# Rounding of a float must not turn a value that stands on a limit away from it.
_HAIR = 1e-9


@dataclass(frozen=True)
class Rule:
    """How a verdict is reached.

    "guard band" is ISO 14253-1:2017: conformity, and non-conformity just as well, must be proved
    with 95 % probability. "simple acceptance" is ASME B89.7.3.1: the limits as they stand,
    provided that the tolerance is at least `ratio` times the expanded uncertainty.
    """

    kind: str = "guard band"
    ratio: float = 4.0

    def __post_init__(self) -> None:
        one_of("decision rule", self.kind, RULES)
        positive("acceptance ratio", self.ratio, 4)

    def words(self) -> str:
        """The rule in one line, with the standard it stands in."""
        if self.kind == "guard band":
            return "ISO 14253-1:2017, guard band 1.65 u, 95 % conformance probability"
        return f"ASME B89.7.3.1, simple acceptance, ratio {self.ratio:g}:1 (tolerance ± to U)"


GUARD_BAND = Rule()


@dataclass(frozen=True)
class Judgement:
    """A verdict and the zones behind it, in the unit of the value judged.

    Inside `accept` it conforms (None when no value could be accepted); outside `reject` it does
    not; anything else is not proven. `reason` says it in words.
    """

    verdict: str
    accept: tuple[InfiniteToo, InfiniteToo] | None
    reject: tuple[InfiniteToo, InfiniteToo]
    reason: str


def coverage_factor(degrees_of_freedom: InfiniteToo = math.inf) -> float:
    """The k of U = k·u for 95 %: 2, or Student's t where that is larger (JCGM 100 6.3.3, G.4)."""
    return max(2.0, student_t(COVERAGE, degrees_of_freedom))


def guard_factor(degrees_of_freedom: InfiniteToo = math.inf) -> float:
    """The g/u of the guard band: 1.65, or Student's one-sided 95 % t where that is larger.

    ISO 14253-1:2017 gives 1.65 for a normal distribution. With few readings u itself is poorly
    known, and 1.65 would prove less than 95 % (JCGM 100 G.3).
    """
    return max(GUARD_FACTOR, student_t(2 * PROVEN - 1, degrees_of_freedom))


def of_parts(factor: Callable[[float], float], parts: Iterable[Contribution]) -> float:
    """`coverage_factor` or `guard_factor` of a sum, each part by its own: √Σ(factor·effect)² ÷ u.

    It holds what it promises however the parts compare (S. K. Banerjee, Sankhyā 22, 1960, from
    memory). Student's t at the effective degrees of freedom of JCGM 100 G.4 holds 88 % where two
    readings scatter three times as much as all else.
    """
    shares: dict[float, float] = {}
    for part in parts:
        shares[part.degrees_of_freedom] = shares.get(part.degrees_of_freedom, 0.0) + part.share
    whole = sum(share * factor(n) ** 2 for n, share in shares.items() if share)
    return math.sqrt(whole) or factor(math.inf)


def judge(
    measured: float,
    lower: float,
    upper: float,
    standard_uncertainty: float,
    rule: Rule = GUARD_BAND,
    degrees_of_freedom: InfiniteToo = math.inf,
    guard: float | None = None,
    coverage: float | None = None,
) -> Judgement:
    """Judge a measured value against two limits; all in one unit.

    `guard` is the g/u of the guard band, and `coverage` the k of U, where they are known better
    than from the degrees of freedom.

    Where the tolerance is so narrow that both limits are in play, 1.65 u is not enough to prove
    conformity with 95 %, and the accepted zone is narrowed until it is (JCGM 106 clause 7).
    """
    measured = finite("measured value", measured, 1.25)
    lower, upper = finite("lower limit", lower, 1.249), finite("upper limit", upper, 1.251)
    if not lower < upper:
        raise ValueError(
            f"the limits are {lower:g} and {upper:g}; the lower one must be less than the upper"
        )
    u = not_negative("standard uncertainty", standard_uncertainty, 0.0002)
    if rule.kind == "simple acceptance":
        k = coverage_factor(degrees_of_freedom)
        k = k if coverage is None else positive("coverage factor", coverage, 2)
        return _judge_simply(measured, lower, upper, k * u, rule)
    factor = guard_factor(degrees_of_freedom)
    factor = factor if guard is None else not_negative("guard factor", guard, GUARD_FACTOR)
    return _judge_with_guard(measured, lower, upper, factor * u)


def _judge_simply(
    measured: float, lower: float, upper: float, expanded: float, rule: Rule
) -> Judgement:
    half = (upper - lower) / 2
    limits = (lower, upper)
    if expanded * rule.ratio > half * (1 + _HAIR):
        return Judgement(
            NOT_PROVEN,
            None,
            (-math.inf, math.inf),
            f"the tolerance is only {half / expanded:.2g} times U; the rule asks for "
            f"{rule.ratio:g} times",
        )
    if abs(measured - (lower + upper) / 2) <= half * (1 + _HAIR):
        return Judgement(CONFORMS, limits, limits, "the measured value lies within the limits")
    return Judgement(DOES_NOT_CONFORM, limits, limits, "the measured value lies past a limit")


def _judge_with_guard(measured: float, lower: float, upper: float, guard: float) -> Judgement:
    middle, half = (lower + upper) / 2, (upper - lower) / 2
    away, hair = abs(measured - middle), half * _HAIR
    reach = _accepted_reach(half, guard)
    reject = (lower - guard, upper + guard)
    accept = None if reach is None else (middle - reach, middle + reach)
    if reach is not None and away <= reach + hair:
        verdict, reason = CONFORMS, "the measured value lies within the limits less the guard band"
    elif away >= half + guard - hair and away > half + hair:
        verdict, reason = (
            DOES_NOT_CONFORM,
            "the measured value lies past a limit by more than the guard band",
        )
    elif reach is None:
        verdict, reason = (
            NOT_PROVEN,
            "the uncertainty is too large for this tolerance: no value could be accepted",
        )
    else:
        side = "inside" if away <= half else "outside"
        verdict, reason = (
            NOT_PROVEN,
            f"the measured value lies {side} a limit, but nearer to it than the guard band",
        )
    return Judgement(verdict, accept, reject, reason)


def _accepted_reach(half: float, guard: float) -> float | None:
    """How far from the middle a value may lie and conform; None when even the middle may not."""
    if guard == 0:
        return half
    normal = NormalDist(0, guard / GUARD_FACTOR)

    def proven(away: float) -> bool:
        return normal.cdf(half - away) - normal.cdf(-half - away) >= PROVEN

    if not proven(0.0):
        return None
    reach = half - guard
    if reach >= 0 and proven(reach):
        return reach
    low, high = 0.0, half
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if proven(middle) else (low, middle)
    return low


def decide(measured: float, nominal: float, tolerance: float, standard_uncertainty: float) -> str:
    """Verdict on nominal ± tolerance by the guard band of ISO 14253-1:2017.

    "conforms", "does not conform" or "not proven"; all arguments in one unit.
    """
    nominal = finite("nominal", nominal, 1.25)
    tolerance = positive("tolerance", tolerance, 0.002)
    return judge(measured, nominal - tolerance, nominal + tolerance, standard_uncertainty).verdict
