"""A budget of uncertainty as rows: what may be out, by how much, and what that does to the result.

Every budget here is made of these rows and added up by the same rule: JCGM 100, clause 5 for the
sum of squares, k = 2 or Student's t where that is larger, each row by its own (`of_parts`).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from html import escape
from typing import NamedTuple

import numpy as np

from tapertrig.decision import coverage_factor, guard_factor, of_parts
from tapertrig.limits import Array, InfiniteToo, whole
from tapertrig.uncertainty import DIVISORS, Contribution, Input, draw

# What a row or a result is: a length in the unit at hand, an angle (radians inside, arc-seconds
# as written), a difference of temperature, a plain number.
LENGTH, ANGLE, WARMTH, NUMBER = "length", "angle", "°C", ""
_ROOTS = {"normal": "1", "rectangular": "√3", "triangular": "√6", "arcsine": "√2"}
GIVEN = "given"
INDEPENDENT = "Each row is taken as independent of every other."

REMEDIES = {
    "compound dial readings": "run a longer compound travel, or one that ends on a line",
    "cross dial readings": "choose a setup whose cross reading falls on a line, or read the cross "
    "slide with a travel indicator",
    "axial readings": "read the axial travel with a finer indicator, or end it on a line",
    "screws": "check both slides against gauge blocks and allow for what you find",
    "base scale": "indicate the slide: no eye reads whole degrees finer",
    "stop by feel": "run a longer compound travel, and meet the stop with the same light feel at "
    "both ends",
    "blocks": "fewer blocks and a better grade, wiped before they are wrung",
    "known taper": "have the taper's own half angle measured, and allow for what is found",
    "mounting": "sweep again with the spindle turned half round, and take the mean",
    "null": "use a finer indicator, repeat the null at each end and take the mean",
    "datum": "indicate the quill side against the axis first, or prove the datum on a bar turned "
    "between centres",
    "snugging up": "snug the bolts a little each in turn, and run the check again after the last",
    "slide": "check the slide better, as its own budget says",
    "straightness": "cut with the straightest part of the slide, and check over that part",
    "tool height": "bring the tool to centre height before the last cuts",
    "tool wear": "a fresh edge and a light last cut",
    "load and gibs": "snug the gibs, check in the direction of the cut, and take light last cuts",
    "spring": "a stouter bar, less overhang, and spring passes",
    "temperature gradient": "let the part cool before the last cut",
}


class Group(NamedTuple):
    """Contributions that one remedy acts on: their joint effect (radians) and share of variance."""

    name: str
    effect: float
    share: float
    remedy: str


@dataclass(frozen=True)
class Source:
    """One row: something that may be out by ± `limit`, and ∂result/∂it, its `sensitivity`.

    `limit` is the half-width, of a “normal” one the standard uncertainty; zero where no figure is
    given. `kind` says what it is (LENGTH …), `origin` where the figure comes from: given,
    measured, or assumed and on what it rests. A row that is the sum of another budget says
    `of` which.
    """

    name: str
    limit: float
    sensitivity: float
    kind: str = LENGTH
    origin: str = GIVEN
    distribution: str = "rectangular"
    degrees_of_freedom: InfiniteToo = math.inf
    estimate: float = 0.0
    group: str = ""
    of: Summed | None = None

    @property
    def input(self) -> Input:
        """The row as an input of a model."""
        return Input(
            self.name, self.estimate, self.limit, self.distribution, self.degrees_of_freedom
        )

    @property
    def standard_uncertainty(self) -> float:
        """Limit ÷ divisor of its distribution (JCGM 100, 4.3.7 and 4.3.9)."""
        return self.limit / DIVISORS[self.distribution]

    @property
    def effect(self) -> float:
        """What it adds to the result: |sensitivity| × u."""
        return abs(self.sensitivity) * self.standard_uncertainty


class Summed:
    """What rows come to together."""

    title: str
    result: str = ANGLE
    remarks: tuple[str, ...] = ()

    @property
    def sources(self) -> tuple[Source, ...]:
        """The rows."""
        raise NotImplementedError

    @cached_property
    def standard_uncertainty(self) -> float:
        """Combined standard uncertainty: the root of the sum of squares (JCGM 100, 5.1.2)."""
        return math.hypot(*(row.effect for row in self.sources))

    @property
    def degrees_of_freedom(self) -> float:
        """The effective ones, u⁴ ÷ Σ uᵢ⁴/νᵢ (Welch and Satterthwaite, JCGM 100 G.4.1)."""
        below = sum(row.effect**4 / row.degrees_of_freedom for row in self.sources)
        return self.standard_uncertainty**4 / below if below else math.inf

    @cached_property
    def factor(self) -> float:
        """The k of U = k u for 95 %: 2, or Student's t where larger, each row by its own."""
        return of_parts(coverage_factor, self._leaves())

    @cached_property
    def guard_factor(self) -> float:
        """The g/u of the guard band: 1.65 or the one-sided t, each row by its own."""
        return of_parts(guard_factor, self._leaves())

    def _leaves(self) -> Iterator[Contribution]:
        """The contributions, those of another budget each for itself."""
        for row, part in zip(self.sources, self.contributions, strict=True):
            for leaf in row.of._leaves() if row.of else ():
                yield replace(leaf, share=leaf.share * part.share)
            if row.of is None:
                yield part

    def expanded(self) -> float:
        """Expanded uncertainty U = k u, 95 %."""
        return self.factor * self.standard_uncertainty

    @cached_property
    def contributions(self) -> tuple[Contribution, ...]:
        """What each row adds, in their order; the shares of variance add up to one."""
        variance = self.standard_uncertainty**2 or 1.0
        return tuple(
            Contribution(
                row.name,
                row.standard_uncertainty,
                row.sensitivity,
                row.effect,
                row.effect**2 / variance,
                row.degrees_of_freedom,
            )
            for row in self.sources
        )

    @cached_property
    def groups(self) -> tuple[Group, ...]:
        """The rows gathered by what would make them smaller, in a fixed order."""
        variance = self.standard_uncertainty**2 or 1.0
        gathered: dict[str, list[float]] = {}
        for row in self.sources:
            gathered.setdefault(row.group, []).append(row.effect)
        found = ((name, math.hypot(*effects)) for name, effects in gathered.items())
        return tuple(Group(name, one, one**2 / variance, REMEDIES[name]) for name, one in found)

    @property
    def attack_first(self) -> Group:
        """The group with the largest effect."""
        return max(self.groups, key=lambda group: group.effect)

    @property
    def left_out(self) -> tuple[str, ...]:
        """Rows without a figure: nothing stands in for them."""
        return tuple(row.name for row in self.sources if not row.limit)

    def table(self, unit: str) -> Table:
        """All rows as they are printed, so that each figure can be worked out again."""
        return side_by_side((self,), unit)


@dataclass(frozen=True)
class Budget(Summed):
    """A budget: its rows, what the result is (ANGLE or LENGTH), and what is to be said of it."""

    title: str
    rows: tuple[Source, ...]
    result: str = ANGLE
    remarks: tuple[str, ...] = ()

    @property
    def sources(self) -> tuple[Source, ...]:
        """The rows."""
        return self.rows


def drawn(
    rows: Sequence[Source], random: np.random.Generator, count: int = 1
) -> tuple[tuple[str, Array], ...]:
    """Names of the rows and what each did to the result in `count` random trials, by its own law.

    In the result's unit (angles in radians), about no error; the rows of another budget each for
    itself. What a row does is its sensitivity × a draw of it (JCGM 101, 6.4).
    """
    found: list[tuple[str, Array]] = []
    for row in rows:
        if row.of:
            found += [(n, row.sensitivity * v) for n, v in drawn(row.of.sources, random, count)]
        elif row.effect:
            by = draw(replace(row, estimate=0.0).input, random, count)
            found.append((row.name, row.sensitivity * by))
    return tuple(found)


def side_by_side(budgets: Sequence[Summed], unit: str) -> Table:
    """Budgets of the same rows as one table, with a sensitivity and an effect for each."""
    if len({len(one.sources) for one in budgets}) != 1:
        raise ValueError(
            f"{len(budgets)} budgets do not have the same rows; give those of one part"
        )
    rows, told = [], [INDEPENDENT]
    for each in zip(*(one.sources for one in budgets), strict=True):
        if not any(row.effect for row in each):
            continue
        row, effects = each[0], []
        named = {LENGTH: unit, ANGLE: "″"}.get(row.kind, row.kind)
        for one, here in zip(budgets, each, strict=True):
            # What cancels leaves a trace of the arithmetic, which is none of the result.
            felt = here.effect > 1e-9 * one.standard_uncertainty
            by = here.sensitivity * _times(one.result) / _times(row.kind)
            per = figures(by if felt else 0.0)
            over = "" if row.kind == one.result or not named else f"/{named}"
            mine = {LENGTH: unit, ANGLE: "″"}[one.result]
            effects.append(f"{per} {mine}{over}" if over else per)
            effects.append(_shown(felt * here.effect, one.result, unit))
        rows.append(
            (
                row.name,
                f"{'s =' if row.distribution == 'normal' else '±'} "
                f"{_shown(row.limit, row.kind, unit)}",
                f"{row.distribution}, ÷ {_ROOTS[row.distribution]}",
                _shown(row.standard_uncertainty, row.kind, unit),
                _degrees(row.degrees_of_freedom),
                *effects,
                row.origin,
            )
        )
    sums: list[str] = []
    ends: list[str] = []
    for one in budgets:
        by = f"k = {one.factor:.2f}" if one.factor >= 2.005 else "k = 2"
        known = f"ν = {_degrees(one.degrees_of_freedom)}"
        sums += [known, _shown(one.standard_uncertainty, one.result, unit)]
        ends += [by, _shown(one.expanded(), one.result, unit)]
        told += [line for line in one.remarks if line not in told]
    few = any(one.factor >= 2.005 for one in budgets)
    how = "k by each row's own t" if few else "k × u"
    rows.append(("Together, u", "", "", "", "", *sums, "root of the sum of squares"))
    rows.append(("U, 95 %", "", "", "", "", *ends, how))
    if missing := ", ".join(dict.fromkeys(name for one in budgets for name in one.left_out)):
        told.append(f"Left out, no figure given: {missing}.")
    several = len(budgets) > 1
    heads = [
        head
        for one in budgets
        for head in ("Sensitivity", f"Adds to u{f' of {one.title}' if several else ''}")
    ]
    title = " and ".join(one.title for one in budgets)
    return Table(title, (*COLUMNS, *heads, "The figure is"), tuple(rows), tuple(told))


COLUMNS = ("Source", "May be out by", "Distribution", "u of it", "ν")


@dataclass(frozen=True)
class Table:
    """A table to print: a title, heads, rows of texts, and what is said below it."""

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    told: tuple[str, ...]

    def __repr__(self) -> str:
        wide = [max(map(len, column)) for column in zip(self.head, *self.rows, strict=True)]
        lines = (
            "  ".join(cell.ljust(width) for cell, width in zip(row, wide, strict=True)).rstrip()
            for row in (self.head, *self.rows)
        )
        return "\n".join([self.title, *lines, *self.told])

    def _repr_html_(self) -> str:
        def row(cells: Sequence[str], tag: str) -> str:
            first, *rest = map(escape, cells)
            left = 'style="text-align:left;padding:1px 10px 1px 0"'
            others = "".join(f"<{tag} {left}>{cell}</{tag}>" for cell in rest)
            return f'<tr><th scope="{SCOPES[tag]}" {left}>{first}</th>{others}</tr>'

        body = "".join(row(cells, "td") for cells in self.rows)
        told = "".join(f"<p>{escape(line)}</p>" for line in self.told)
        return (
            '<div class="tapertrig-budget" style="overflow-wrap:anywhere;line-height:1.3"><table>'
            f"<caption>{escape(self.title)}</caption><thead>{row(self.head, 'th')}</thead>"
            f"<tbody>{body}</tbody></table>{told}</div>"
        )


SCOPES = {"td": "row", "th": "col"}


def figures(value: float, count: int = 4) -> str:
    """A number to so many figures and never as a power of ten."""
    whole("figures", count, 1, 17, 4)
    text = np.format_float_positional(value, count, unique=False, fractional=False, trim="-")
    return text.replace("-", "−")


def _times(kind: str) -> float:
    return math.degrees(3600) if kind == ANGLE else 1.0


def _shown(value: float, kind: str, unit: str) -> str:
    named = {LENGTH: f" {unit}", ANGLE: "″"}.get(kind, f" {kind}".rstrip())
    return figures(value * _times(kind)) + named


def _degrees(count: float) -> str:
    return "∞" if math.isinf(count) else figures(count, 3)
