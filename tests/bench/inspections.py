"""How often an inspection accepts a bad part or rejects a good one, against the rule's promise.

    python tests/bench/inspections.py [--count 10000] [--seed 1] [--json]

Every inspection is made on a part whose face diameter is known, through the package as the shop
would use it: errors are drawn for ball, instrument, face and half angle, a depth micrometer is
read, the record is worked out and the verdict counted. Parts stand at the upper limit and up to
two guard bands to either side of it. Half of the inspections of a row are made at each limit.
The promise is the normal probability of each verdict at an uncertainty known for good, ± two
standard deviations of sampling. With few repeats the uncertainty is itself uncertain: the guard
band is then widened by Student's t, verdicts become rarer, and still no more than 5 % of the
parts at a limit are accepted. The last column says how many 1.65 u alone would have accepted.
"""

from __future__ import annotations

import argparse
import json
import math
from dataclasses import dataclass, replace
from statistics import NormalDist

import numpy as np

from tapertrig import Angle, Cone
from tapertrig.gauging import (
    CONFORMS,
    DOES_NOT_CONFORM,
    GUARD_BAND,
    Rule,
    ball_height,
    judge,
)
from tapertrig.gauging.inspection import Finding, Inspection
from tapertrig.job import Callout, Gauge, Instrument, Readings, Scatter, StatedAngle

HALF_ANGLE = Angle.from_dms(20, 43)
TWO_MINUTES = Angle.from_dms(0, 2)
BALL, TOLERANCE = 1.25, 0.0025
AWAY_IN_GUARDS = (-2.0, -1.0, 0.0, 1.0, 2.0)


@dataclass(frozen=True)
class Shop:
    """How the readings come about; the limits are ± and rectangular, the spread is of one reading.

    With `exact=True` all errors are drawn normal, with the uncertainties that the record states,
    and nothing is rounded: the rule's own assumptions.
    """

    name: str
    rule: Rule = GUARD_BAND
    exact: bool = False
    repeats: int = 1
    spread: float = 0.0
    graduation: float = 0.001
    instrument: float = 0.0004
    face: float = 0.0003
    ball: float = 0.00005
    half_angle: Angle = TWO_MINUTES


SHOPS = (
    Shop("guard band, the rule's own assumptions", exact=True),
    Shop("guard band, rounded readings and ± limits", repeats=5, spread=0.0004),
    Shop("guard band, scatter as large as all else", repeats=3, spread=0.0014),
    Shop(
        "guard band, three repeats and little else",
        repeats=3,
        spread=0.0012,
        graduation=0.0001,
        instrument=0.00005,
        face=0.00005,
        half_angle=Angle.from_dms(0, 0, 5),
    ),
    Shop(
        "simple acceptance 4:1, its own assumptions",
        rule=Rule("simple acceptance", 4),
        exact=True,
        graduation=0.0004,
        instrument=0.0002,
        face=0.0001,
        half_angle=Angle.from_dms(0, 1),
    ),
)


def _error(random: np.random.Generator, limit: float, exact: bool) -> float:
    return random.normal(0, limit / math.sqrt(3)) if exact else random.uniform(-limit, limit)


def inspect(shop: Shop, nominal: float, true_face: float, random: np.random.Generator) -> Finding:
    """One inspection of a part whose face diameter is known."""
    off = _error(random, shop.half_angle.radians, shop.exact)
    true = Cone(Angle.from_radians(HALF_ANGLE.radians + off), true_face, 0.64)
    ball = BALL + _error(random, shop.ball, shop.exact)
    shared = _error(random, shop.instrument, shop.exact) + _error(random, shop.face, shop.exact)
    heights = float(ball_height(true, ball)) + shared
    heights = heights + random.normal(0, shop.spread, shop.repeats)
    if shop.exact:
        heights = heights + _error(random, shop.graduation / 2, True)
    else:
        heights = np.round(heights / shop.graduation) * shop.graduation
    # The rule's own assumptions want a scatter known for good: none, and that stated.
    known = Scatter(1e-12, 1e6, "drawn without any") if shop.exact else None
    print_ = Callout(
        "half angle",
        HALF_ANGLE,
        nominal,
        diameter_plus=TOLERANCE,
        diameter_minus=TOLERANCE,
        length=0.64,
    )
    read = Readings(
        "one ball",
        "in",
        (Gauge(BALL, shop.ball),),
        (tuple(heights.tolist()),),
        instrument=Instrument("depth micrometer", shop.graduation, shop.instrument),
        face_limit=shop.face,
        scatter=known,
        stated_angle=StatedAngle(HALF_ANGLE, shop.half_angle, "drawn"),
        rule=shop.rule.kind,
    )
    return Inspection(print_, read).findings()[0]


def stated_uncertainty(shop: Shop) -> float:
    """Standard uncertainty of the face diameter, the spread of a reading known for good."""
    still = replace(shop, repeats=1, spread=0.0, exact=True)
    finding = inspect(still, 1.42, 1.42, np.random.default_rng(0))
    by_height = -2 * math.tan(HALF_ANGLE.radians)
    return math.hypot(
        finding.standard_uncertainty, shop.spread * by_height / math.sqrt(shop.repeats)
    )


def promised(shop: Shop, away: float, u: float) -> tuple[float, float]:
    """Probability that a part, so far outside its limit, is accepted, and that it is rejected."""
    normal = NormalDist(0, u)
    guard = 1.65 * u if shop.rule.kind == "guard band" else 0.0
    accepted = normal.cdf(-guard - away) - normal.cdf(-2 * TOLERANCE + guard - away)
    rejected = 1 - normal.cdf(guard - away) + normal.cdf(-2 * TOLERANCE - guard - away)
    return accepted, rejected


def rates(shop: Shop, away_in_guards: float, count: int, seed: int) -> dict[str, object]:
    """Share of the inspections accepted and rejected, and what the rule promises.

    `away_in_guards` says how far outside the limit the parts are, in 1.65 u.
    """
    random = np.random.default_rng([seed, round(10 * away_in_guards) + 100])
    u = stated_uncertainty(shop)
    away = away_in_guards * 1.65 * u
    verdicts, by_165_alone = [], []
    for number in range(count):
        # The nominal wanders, so that the readings fall anywhere between two graduations.
        nominal = 1.42 + random.uniform(-0.01, 0.01)
        side = 1 if number % 2 else -1
        true_face = nominal + side * (TOLERANCE + away)
        found = inspect(shop, nominal, true_face, random)
        verdicts.append(found.verdict)
        if found.standard_uncertainty is not None:
            alone = judge(found.value, *found.limits, found.standard_uncertainty, shop.rule)
            by_165_alone.append(alone.verdict)
    accepted, rejected = promised(shop, away, u)
    return {
        "shop": shop.name,
        "away_in_guards": away_in_guards,
        "accepted": verdicts.count(CONFORMS) / count,
        "accepted_promised": accepted,
        "accepted_sampling": 2 * math.sqrt(accepted * (1 - accepted) / count),
        "rejected": verdicts.count(DOES_NOT_CONFORM) / count,
        "rejected_promised": rejected,
        "rejected_sampling": 2 * math.sqrt(rejected * (1 - rejected) / count),
        "accepted_by_165_alone": by_165_alone.count(CONFORMS) / count,
        "count": count,
    }


def main() -> None:
    """Print the table."""
    wanted = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    wanted.add_argument("--count", type=int, default=10_000)
    wanted.add_argument("--seed", type=int, default=1)
    wanted.add_argument("--json", action="store_true")
    asked = wanted.parse_args()
    # Each shop's inspections are shared out among the places of the part.
    share = asked.count // len(AWAY_IN_GUARDS)
    rows = [rates(shop, away, share, asked.seed) for shop in SHOPS for away in AWAY_IN_GUARDS]
    if asked.json:
        print(json.dumps(rows, indent=1))
        return
    for shop in SHOPS:
        u = stated_uncertainty(shop)
        print(f"\n{shop.name}: {share * len(AWAY_IN_GUARDS):,} inspections, u = {u:.6f} in")
        print(
            "  outside its limit by    accepted  promised      ±   "
            "rejected  promised      ±   1.65 u"
        )
        for row in (row for row in rows if row["shop"] == shop.name):
            print(
                f"  {row['away_in_guards']:+4.1f} guard bands    "
                f"{row['accepted']:10.2%}{row['accepted_promised']:10.2%}"
                f"{row['accepted_sampling']:7.2%} "
                f"{row['rejected']:10.2%}{row['rejected_promised']:10.2%}"
                f"{row['rejected_sampling']:7.2%} {row['accepted_by_165_alone']:8.2%}"
            )


if __name__ == "__main__":
    main()
