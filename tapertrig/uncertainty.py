"""Uncertainty of a computed quantity: the law of propagation, and Monte Carlo beside it.

An `Input` is what is known of one quantity; a model is a function of the inputs' values, one
argument each, in their order. `propagate` is JCGM 100 (GUM) clause 5, `monte_carlo` JCGM 101.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist

import numpy as np

from tapertrig.limits import (
    Array,
    InfiniteToo,
    Number,
    finite,
    not_negative,
    one_of,
    positive,
    whole,
)

Model = Callable[..., Number]
Correlations = Mapping[tuple[str, str], float]

# Half-width over standard uncertainty. JCGM 100 clauses 4.3.7 and 4.3.9; the arcsine (U-shaped)
# distribution JCGM 101 clause 6.4.6.
DIVISORS = {
    "normal": 1.0,
    "rectangular": math.sqrt(3),
    "triangular": math.sqrt(6),
    "arcsine": math.sqrt(2),
}
COVERAGE = 0.95
FEWEST_TRIALS = 1000
MOST_TRIALS = 20_000_000
_BLOCK = 1 << 15
_MANY_DEGREES = 200
_SINE_TERMS = [(-1) ** k / math.factorial(2 * k + 1) for k in range(8)]


@dataclass(frozen=True)
class Input:
    """One quantity that goes into a model: name, estimate, and how far it may be out.

    `spread` is the standard uncertainty of a "normal" input, and the half-width of a
    "rectangular", "triangular" or "arcsine" one. `degrees_of_freedom` counts in `propagate`.
    """

    name: str
    estimate: float
    spread: float
    distribution: str = "rectangular"
    degrees_of_freedom: InfiniteToo = math.inf

    def __post_init__(self) -> None:
        finite(f"{self.name} estimate", self.estimate)
        not_negative(f"{self.name} spread", self.spread, 0.001)
        one_of(f"{self.name} distribution", self.distribution, tuple(DIVISORS))
        if not self.degrees_of_freedom >= 1:
            raise ValueError(
                f"{self.name} has {self.degrees_of_freedom} degrees of freedom; "
                "it must be 1 or more, for example 4 for five repeated readings"
            )

    @classmethod
    def from_resolution(cls, name: str, estimate: float, step: float) -> Input:
        """A reading to the nearest step: rectangular, half a step each way (JCGM 100 F.2.2.1)."""
        return cls(name, estimate, not_negative("step", step, 0.001) / 2, "rectangular")

    @classmethod
    def from_readings(cls, name: str, readings: Sequence[float]) -> Input:
        """The mean of repeated readings, u = s/√n with n − 1 degrees of freedom (JCGM 100 4.2)."""
        values = np.asarray([finite(f"{name} reading", value) for value in readings])
        if len(values) < 2:
            raise ValueError(
                f"{name} has {len(values)} reading{'' if len(values) == 1 else 's'}; "
                "repeat it at least twice, for example 5 times"
            )
        spread = float(values.std(ddof=1)) / math.sqrt(len(values))
        return cls(name, float(values.mean()), spread, "normal", len(values) - 1)

    @property
    def standard_uncertainty(self) -> float:
        """The spread as a standard deviation."""
        return self.spread / DIVISORS[self.distribution]


@dataclass(frozen=True)
class Contribution:
    """What one input adds. `sensitivity` is ∂model/∂input; `effect` is |sensitivity| × u.

    `share` is the part of the combined variance; the shares add up to one. With correlated
    inputs a share holds half of each covariance and may be negative.
    """

    name: str
    standard_uncertainty: float
    sensitivity: float
    effect: float
    share: float
    degrees_of_freedom: InfiniteToo = math.inf


@dataclass(frozen=True)
class Propagated:
    """Estimate and combined standard uncertainty of a model, contributions in input order.

    `degrees_of_freedom` are the effective ones of Welch and Satterthwaite; None where the
    formula does not hold, which is when an input known from few readings is correlated.
    """

    estimate: float
    standard_uncertainty: float
    degrees_of_freedom: InfiniteToo | None
    contributions: tuple[Contribution, ...]

    def coverage_factor(self, probability: float = COVERAGE) -> float:
        """The k of U = k·u: Student's t at the effective degrees of freedom, cut to a whole number.

        JCGM 100 clause G.4.1 and table G.2.
        """
        if self.degrees_of_freedom is None:
            raise ValueError(
                "no effective degrees of freedom, because an input known from few readings is "
                "correlated with another; choose the coverage factor yourself, for example 2"
            )
        return student_t(probability, self.degrees_of_freedom)

    def expanded(self, probability: float = COVERAGE) -> float:
        """Expanded uncertainty U = k·u."""
        return self.coverage_factor(probability) * self.standard_uncertainty


@dataclass(frozen=True, eq=False)
class Simulated:
    """What Monte Carlo trials of a model gave; `values` holds them all, in no order."""

    mean: float
    standard_uncertainty: float
    shortest: tuple[float, float]
    symmetric: tuple[float, float]
    probability: float
    values: Array

    @property
    def trials(self) -> int:
        """How many trials were made."""
        return len(self.values)

    def histogram(self, bars: int = 60) -> tuple[Array, Array]:
        """Bar edges and heights as a density, over twice the symmetric interval (± 4 u if normal).

        Rarer values are left out: with few readings the trials reach so far that their standard
        deviation would squeeze all the rest into one bar.
        """
        whole("bars", bars, 1, 10_000, 60)
        low, high = self.symmetric
        spare = (high - low) / 2 or 1.0
        counts, edges = np.histogram(self.values, bars, (low - spare, high + spare))
        return edges, counts / (self.trials * (edges[1] - edges[0]))


def propagate(
    model: Model,
    inputs: Sequence[Input],
    sensitivities: Sequence[float] | None = None,
    correlations: Correlations | None = None,
) -> Propagated:
    """Combine the inputs' uncertainties to first order: JCGM 100 clauses 5.1, 5.2, G.4.

    `sensitivities` are ∂model/∂input where a formula gives them; otherwise they are found
    numerically. `correlations` maps pairs of input names to correlation coefficients.
    """
    if not inputs:
        raise ValueError("inputs are empty; give one at least, as Input('travel', 2.6, 0.001)")
    gradient = np.asarray(
        numerical_sensitivities(model, inputs) if sensitivities is None else sensitivities,
        dtype=float,
    )
    if gradient.shape != (len(inputs),) or not np.isfinite(gradient).all():
        raise ValueError(
            f"sensitivities are {gradient.tolist()}; give one finite number for each of the "
            f"{len(inputs)} inputs"
        )
    standard = np.array([item.standard_uncertainty for item in inputs])
    signed = gradient * standard
    partners = correlation_matrix(inputs, correlations) @ signed if correlations else signed
    parts = signed * partners
    variance = max(float(parts.sum()), 0.0)
    shares = parts / variance if variance else np.zeros(len(inputs))
    return Propagated(
        estimate=float(model(*(item.estimate for item in inputs))),
        standard_uncertainty=math.sqrt(variance),
        degrees_of_freedom=_effective_degrees(inputs, signed, variance, correlations),
        contributions=tuple(
            Contribution(*row)
            for row in zip(
                (item.name for item in inputs),
                standard.tolist(),
                gradient.tolist(),
                np.abs(signed).tolist(),
                shares.tolist(),
                (item.degrees_of_freedom for item in inputs),
                strict=True,
            )
        ),
    )


def covariance(
    models: Sequence[Model], inputs: Sequence[Input], correlations: Correlations | None = None
) -> Array:
    """Covariance matrix of several models of the same inputs, to first order (JCGM 100 H.2.3)."""
    if not models:
        raise ValueError("models are []; give at least one, for example [lambda one, other: one]")
    jacobian = np.array([numerical_sensitivities(model, inputs) for model in models])
    signed = jacobian * [item.standard_uncertainty for item in inputs]
    return signed @ correlation_matrix(inputs, correlations) @ signed.T


def monte_carlo(
    model: Model,
    inputs: Sequence[Input],
    trials: int = 1_000_000,
    seed: int = 0,
    correlations: Correlations | None = None,
    probability: float = COVERAGE,
) -> Simulated:
    """Propagate the distributions by random trials: JCGM 101 clauses 5 to 7, intervals as in D.

    The model is called with arrays. The same seed gives the same trials. Only normal inputs may
    be correlated. A mean of few readings is drawn as Student's t (6.4.9); of two or three the
    trials then have no standard deviation that more of them would settle: take the intervals.
    """
    whole("trials", trials, FEWEST_TRIALS, MOST_TRIALS, 100_000)
    whole("seed", seed, 0, None, 1)
    _probability(probability)
    joint = _joint_root(inputs, correlations)
    random = np.random.default_rng(seed)
    values = np.empty(trials)
    # Blocks that stay in the processor's cache; whole columns of a million take twice as long.
    for start in range(0, trials, _BLOCK):
        count = min(_BLOCK, trials - start)
        drawn = [draw(item, random, count) for item in inputs]
        if joint is not None:
            _correlate(drawn, inputs, joint, random)
        with np.errstate(invalid="ignore", divide="ignore"):
            values[start : start + count] = model(*drawn)
    if not np.isfinite(values).all():
        wrong = int((~np.isfinite(values)).sum())
        raise ValueError(
            f"{wrong:,} of {trials:,} trials gave no finite value; the spreads reach past what "
            "the formula allows, so make them smaller"
        )
    symmetric, shortest = coverage_intervals(values, probability)
    mean = float(values.mean())
    deviation = float(values.std(ddof=1))
    values.flags.writeable = False
    return Simulated(mean, deviation, shortest, symmetric, probability, values)


def first_order_holds(propagated: Propagated, simulated: Simulated, digits: int = 2) -> bool:
    """Whether the trials bear the law of propagation out: JCGM 101 clause 8.

    The ends of y ± U and of the symmetric interval must agree to half a unit in the last of
    the `digits` figures (1 or 2) that the standard uncertainty would be written with.
    """
    if digits not in (1, 2):
        raise ValueError(f"digits is {digits!r}; a standard uncertainty is written with 1 or 2")
    standard = propagated.standard_uncertainty
    if standard == 0:
        return simulated.standard_uncertainty == 0
    # Rounded first, because 0.0996 is written 0.10 and its last place is the hundredth.
    last_place = math.floor(math.log10(float(f"{standard:.{digits - 1}e}"))) - digits + 1
    reach = propagated.expanded(simulated.probability)
    low, high = simulated.symmetric
    off = max(abs(propagated.estimate - reach - low), abs(propagated.estimate + reach - high))
    return off <= 0.5 * 10.0**last_place


def draw(item: Input, random: np.random.Generator, count: int) -> Array:
    """Random values of one input: JCGM 101 clauses 6.4.2, 6.4.5 to 6.4.7, and 6.4.9."""
    whole("count", count, 0, MOST_TRIALS, 1000)
    if item.spread == 0:
        return np.full(count, float(item.estimate))
    if item.distribution == "normal" and math.isfinite(item.degrees_of_freedom):
        values = random.standard_t(item.degrees_of_freedom, count)
    elif item.distribution == "normal":
        values = random.standard_normal(count)
    else:
        values = random.random(count)
        if item.distribution == "rectangular":
            values *= 2
            values -= 1
        elif item.distribution == "triangular":
            values -= random.random(count)
        else:
            _sine_of_half_turn(values)
    values *= item.spread
    values += item.estimate
    return values


def _sine_of_half_turn(values: Array) -> None:
    """Turn uniform values of 0 to 1 into sin(π(v − ½)), in place, within 1e-11.

    Eight terms of the sine's own series: numpy's sine takes over twice as long, and would alone
    make eight arcsine inputs miss four times the cost of drawing their numbers.
    """
    values -= 0.5
    values *= math.pi
    square = values * values
    series = np.full_like(values, _SINE_TERMS[-1])
    for term in reversed(_SINE_TERMS[:-1]):
        series *= square
        series += term
    values *= series


def coverage_intervals(
    values: Array, probability: float = COVERAGE
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Symmetric and shortest interval that hold the share `probability` of the values.

    JCGM 101 clauses 7.7.2 and 7.7.3. Only the two tails are sorted.
    """
    count = len(values)
    held = math.floor(probability * count + 0.5)
    spare = count - held
    if spare < 1 or held < 1:
        raise ValueError(f"{count} values are too few for a {probability:.1%} interval")
    parted = np.partition(values, (spare, held))
    low = np.sort(parted[:spare])
    # Value number held + i closes the interval that value number i opens.
    high = np.sort(parted[held:])
    first = int(np.argmin(high - low))
    middle = (spare + 1) // 2 - 1
    return (
        (float(low[middle]), float(high[middle])),
        (float(low[first]), float(high[first])),
    )


def numerical_sensitivities(model: Model, inputs: Sequence[Input]) -> list[float]:
    """∂model/∂input at the estimates, each by a five-point central difference."""
    at = [float(item.estimate) for item in inputs]
    found = []
    for index, item in enumerate(inputs):
        # Wide enough against rounding, narrow enough that the model is smooth across it.
        step = max(0.1 * item.standard_uncertainty, 1e-4 * abs(at[index])) or 1e-4

        def moved(steps: int, index: int = index, step: float = step) -> float:
            return float(model(*at[:index], at[index] + steps * step, *at[index + 1 :]))

        found.append((moved(-2) - 8 * moved(-1) + 8 * moved(1) - moved(2)) / (12 * step))
    return found


def correlation_matrix(inputs: Sequence[Input], correlations: Correlations | None) -> Array:
    """The correlations as a matrix in input order; ValueError for ones that cannot be."""
    place = {item.name: index for index, item in enumerate(inputs)}
    if len(place) != len(inputs):
        raise ValueError("two inputs have the same name; give each a name of its own")
    matrix = np.eye(len(inputs))
    for (one, other), value in (correlations or {}).items():
        if one not in place or other not in place or one == other:
            raise ValueError(
                f"correlation between {one!r} and {other!r}; name two different inputs of "
                f"{', '.join(place)}"
            )
        if not abs(finite(f"correlation of {one} and {other}", value, 0.5)) <= 1:
            raise ValueError(
                f"correlation of {one} and {other} is {value:g}; it must lie from −1 to 1"
            )
        matrix[place[one], place[other]] = matrix[place[other], place[one]] = value
    if correlations and np.linalg.eigvalsh(matrix)[0] < -1e-9:
        raise ValueError(
            "these correlations cannot hold together: if A goes with B and B with C, A cannot go "
            "fully against C; check their signs"
        )
    return matrix


def _effective_degrees(
    inputs: Sequence[Input],
    signed: Array,
    variance: float,
    correlations: Correlations | None,
) -> float | None:
    """Welch–Satterthwaite: u⁴ / Σ uᵢ⁴/νᵢ, JCGM 100 equation G.2b."""
    correlated = {name for pair, value in (correlations or {}).items() if value for name in pair}
    if any(math.isfinite(i.degrees_of_freedom) and i.name in correlated for i in inputs):
        return None
    below = sum(
        effect**4 / item.degrees_of_freedom
        for effect, item in zip(signed.tolist(), inputs, strict=True)
    )
    return variance**2 / below if below > 0 else math.inf


def _joint_root(
    inputs: Sequence[Input], correlations: Correlations | None
) -> tuple[list[int], Array] | None:
    """Places of the correlated inputs, and the matrix that turns independent draws into theirs."""
    if not correlations:
        return None
    matrix = correlation_matrix(inputs, correlations)
    places = [i for i in range(len(inputs)) if np.count_nonzero(matrix[i]) > 1]
    for i in places:
        if inputs[i].distribution != "normal":
            raise ValueError(
                f"{inputs[i].name} is {inputs[i].distribution} and correlated; only normal inputs "
                "can be drawn together, so name what they share as an input of its own"
            )
    # Eigenvectors and not a Cholesky factor, because full correlation (±1) is allowed.
    roots, vectors = np.linalg.eigh(matrix[np.ix_(places, places)])
    return places, vectors * np.sqrt(np.clip(roots, 0, None))


def _correlate(
    drawn: list[Array],
    inputs: Sequence[Input],
    joint: tuple[list[int], Array],
    random: np.random.Generator,
) -> None:
    """Put jointly normal values in the places of the correlated inputs."""
    places, root = joint
    together = root @ random.standard_normal((len(places), len(drawn[0])))
    for row, i in zip(together, places, strict=True):
        drawn[i] = inputs[i].estimate + inputs[i].spread * row


def _probability(value: float) -> float:
    number = positive("coverage probability", value, COVERAGE)
    if number >= 1:
        raise ValueError(f"coverage probability is {number:g}; it must be less than 1, as 0.95")
    return number


def student_t(probability: float, degrees_of_freedom: InfiniteToo) -> float:
    """The t that holds a two-sided probability; the degrees of freedom are cut to a whole number.

    JCGM 100 table G.2. For few degrees of freedom the integral is a finite series in the angle
    θ = atan(t/√ν) (Abramowitz and Stegun 26.7.3, 26.7.4), for many the expansion about the
    normal quantile (26.7.5); both to nine figures.
    """
    _probability(probability)
    if not degrees_of_freedom >= 1:
        raise ValueError(f"degrees of freedom is {degrees_of_freedom}; it must be 1 or more")
    if degrees_of_freedom < _MANY_DEGREES:
        # A float a hair below a whole number is that whole number.
        return _t_by_series(probability, math.floor(degrees_of_freedom + 1e-9))
    x = NormalDist().inv_cdf((1 + probability) / 2)
    terms = (
        (x**3 + x) / 4,
        (5 * x**5 + 16 * x**3 + 3 * x) / 96,
        (3 * x**7 + 19 * x**5 + 17 * x**3 - 15 * x) / 384,
        (79 * x**9 + 776 * x**7 + 1482 * x**5 - 1920 * x**3 - 945 * x) / 92160,
    )
    whole = degrees_of_freedom // 1 if math.isfinite(degrees_of_freedom) else math.inf
    return x + sum(term / whole**power for power, term in enumerate(terms, 1))


@lru_cache(maxsize=256)
def _t_by_series(probability: float, whole: int) -> float:
    odd = whole % 2
    # Of cos^k θ, k = 1, 3, 5… or 0, 2, 4…; each coefficient from the one before.
    steps = np.arange(1, (whole - 1) // 2 if odd else whole // 2)
    ratios = 2 * steps / (2 * steps + 1) if odd else (2 * steps - 1) / (2 * steps)
    coefficients = np.concatenate(([1.0], np.cumprod(ratios)))
    powers = 2 * np.arange(len(coefficients)) + odd
    scale = 2 / math.sqrt(math.pi) * math.exp(math.lgamma((whole + 1) / 2) - math.lgamma(whole / 2))
    theta = 0.0
    # The probability within ±θ rises ever more slowly, so Newton's steps never overshoot.
    for _ in range(60):
        cosine = math.cos(theta)
        series = 0.0 if whole == 1 else float(coefficients @ cosine**powers) * math.sin(theta)
        held = 2 * (theta + series) / math.pi if odd else series
        step = (probability - held) / (scale * cosine ** (whole - 1))
        theta += step
        if abs(step) < 1e-15:
            break
    return math.sqrt(whole) * math.tan(theta)
