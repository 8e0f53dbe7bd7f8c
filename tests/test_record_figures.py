"""Every figure of an inspection record, worked out again from the words of the page alone.

The page is read as a reader has it: cells of tables and captions. Formulas are those of ball, roll
and sine written out here, sensitivities their derivatives by a complex step, t from scipy; JCGM 100
4.3.7, 4.3.9, 5.1.2 and G.4.1, ISO 14253-1:2017, Bonferroni. A figure of the results, readings and
budgets that no line here has asked for fails the test.
"""

import math
import re
from dataclasses import replace
from html.parser import HTMLParser

import numpy as np
import pytest
from scipy import stats
from test_inspection import job_with, one_ball, rolls, two_balls
from test_record import sign

from tapertrig import demo
from tapertrig.budget.proof import stated_by_proof
from tapertrig.job import Cutting
from tapertrig.printed.inspection_record import inspection_record

MORE = {
    "form": 0.0002, "dirt": 0.0001, "reseating": 0.00015, "part_temperature": 35.0,
    "gauge_temperature": 21.0, "part_expansion": 18e-6, "gauge_expansion": 11.5e-6,
    "expansion_origin": "a handbook", "temperature_limit": 0.5,
}  # fmt: skip
SECOND = math.radians(1 / 3600)
DIVISORS = {"1": 1, "√3": math.sqrt(3), "√6": math.sqrt(6), "√2": math.sqrt(2)}
UNITS = {"″": SECOND, "": 1.0, "in": 1.0, "mm": 1.0, "°C": 1.0}


def with_(made, **more):
    """An inspection with more said of its readings, signed."""
    return sign(replace(made, readings=replace(made.readings, **more)))


def job_of_a_proof():
    job = replace(
        job_with(with_(one_ball(stated_angle=None))), lathe=demo.job().lathe,
        cutting=Cutting(0.0002, 0.004, warmth=3.0, expansion=18e-6),
    )  # fmt: skip
    job = job.with_pass(2.5, 1.7687, bolts="tight", time="2031-03-09T10:00:00")
    taken = one_ball(stated_angle=stated_by_proof(job))
    return replace(job, readings=()).with_readings(with_(taken).readings, by="J. Fitter")


CASES = {
    "one ball": lambda: job_with(with_(one_ball(), **MORE)),
    "two balls": lambda: job_with(with_(two_balls(), **MORE)),
    "rolls": lambda: job_with(with_(rolls(), **MORE)),
    "cold and bare": lambda: job_with(with_(two_balls())),
    "both": lambda: job_with(with_(two_balls()), with_(one_ball(stated_angle=None))),
    "on parallels": lambda: job_with(
        with_(
            one_ball(
                reads="depth", parallel=1.0,
                rows=(tuple(1.0 - one for one in one_ball().readings.rows[0][:3]),),
            )
        )
    ),
    "two readings": lambda: job_with(
        with_(two_balls(rows=tuple(row[:2] for row in two_balls().readings.rows)))
    ),
    "by a proof": job_of_a_proof,
}  # fmt: skip


class Read(HTMLParser):
    """The page's tables: heading, caption and rows of cells; and which figures were asked for."""

    def __init__(self, page):
        super().__init__()
        self.heading, self.tables, self.at = "", [], None
        self.feed(page.partition("</style>")[2])

    def handle_starttag(self, tag, attributes):
        if tag == "table":
            self.tables.append({"heading": self.heading, "caption": "", "rows": []})
        elif tag == "tr":
            self.tables[-1]["rows"].append([])
        elif tag in ("td", "th"):
            self.tables[-1]["rows"][-1].append("")
        self.at = tag if tag in ("h2", "caption", "td", "th") else self.at
        self.heading = "" if tag == "h2" else self.heading

    def handle_endtag(self, tag):
        self.at = None if tag in ("h2", "caption", "td", "th") else self.at

    def handle_data(self, text):
        if self.at == "h2":
            self.heading += text
        elif self.at == "caption":
            self.tables[-1]["caption"] += text
        elif self.at:
            self.tables[-1]["rows"][-1][-1] += text

    def of(self, heading):
        return [table for table in self.tables if table["heading"].startswith(heading)]


def number(text):
    """The first figure of a text."""
    return float(re.search(r"[+−]?\d+(\.\d+)?", text)[0].replace("−", "-"))


def angle(text):
    """An angle in radians."""
    degrees, minutes, seconds = re.search(r"(\d+)°(?:([\d.]+)′)?(?:([\d.]+)″)?", text).groups()
    return (float(degrees) * 3600 + float(minutes or 0) * 60 + float(seconds or 0)) * SECOND


def last_place(text):
    """One of the last place of a figure as it is written."""
    if "°" in text:
        return 10.0 ** -len((re.search(r"\.(\d+)″", text) or ["", ""])[1]) * SECOND
    return 10.0 ** -len((re.search(r"\d\.(\d+)", text) or ["", ""])[1])


def close(text, value, rel=0.0, places=0.6):
    """That a printed figure is this value, as far as its last place goes."""
    said = angle(text) if "°" in text and "°C" not in text else number(text)
    assert said == pytest.approx(value, rel=rel, abs=places * last_place(text)), text


def bare(method, x):
    """Face diameter and half angle from sizes and heights, floats or complex."""
    if method == "rolls and blocks":
        half = np.arctan((x["high"] - x["low"]) / (2 * x["block"]))
        face = x["low"] - x["roll"] * (1 + np.tan(half) + 1 / np.cos(half))
    else:
        half, size, top = x.get("angle"), x["large"], x["top"]
        if method == "two balls":
            apart = (size - x["small"]) / 2
            half = np.arcsin(apart / (top - x["under"] - apart))
        face = size * (np.tan(half) + 1 / np.cos(half)) - 2 * top * np.tan(half)
    cold = (1 + x["gauges by"] * (x["gauges at"] - 20)) / (1 + x["part by"] * (x["part at"] - 20))
    return np.array([face * cold, half])


def moves(method, row, slope):
    """Which quantities a row of the budget moves, and by how much for one of it."""
    name, _, what = row.partition(", ")
    by = 0.5 / slope if what == "out of round" and method != "rolls and blocks" else 1.0
    heights = {"rolls and blocks": ("low", "high"), "two balls": ("top", "under")}
    here = {
        "ball diameter": "large", "large ball diameter": "large", "small ball diameter": "small",
        "height": "top", "large ball height": "top", "small ball height": "under",
        "roll diameter": "roll", "low rolls": "low", "high rolls": "high", "block height": "block",
        "half angle": "angle", "temperature of the part": "part at",
        "temperature of the gauge": "gauges at",
    }  # fmt: skip
    if name in ("face and zero", "zero"):
        return dict.fromkeys(heights.get(method, ("top",)), 1.0)
    return {here[name]: by}


def adds_up(rows, columns, own=None):
    """The table of a budget: each row's u and effect, the sum, k and U; `own` as of `k_of`."""
    *sources, whole, ends = rows
    for at in columns:
        squares = fourth = by_t = by_one_side = 0.0
        for row in sources:
            u = number(row[1]) / DIVISORS[row[2].partition("÷ ")[2]]
            assert number(row[3]) == pytest.approx(u, rel=1e-3), row
            if number(row[at + 1]):
                adds = abs(number(row[at])) * u
                assert number(row[at + 1]) == pytest.approx(adds, rel=2e-3), row
            effect, known = number(row[at + 1]), float(row[4].replace("∞", "inf"))
            two, one = (own or {}).get(row[0]) or (
                max(2.0, stats.t.ppf(0.975, min(known, 1e9))),
                max(1.65, stats.t.ppf(0.95, min(known, 1e9))),
            )
            squares, fourth = squares + effect**2, fourth + effect**4 / known
            by_t, by_one_side = by_t + (two * effect) ** 2, by_one_side + (one * effect) ** 2
        assert number(whole[at + 1]) == pytest.approx(math.sqrt(squares), rel=1e-3)
        degrees = squares**2 / fourth if fourth else math.inf
        told = whole[at].partition("= ")[2].replace("∞", "inf")
        assert float(told) == pytest.approx(degrees, rel=1e-2)
        assert number(ends[at]) == pytest.approx(math.sqrt(by_t / squares), abs=0.006)
        assert number(ends[at + 1]) == pytest.approx(math.sqrt(by_t), rel=2e-3)
        yield math.sqrt(squares), math.sqrt(by_t / squares), math.sqrt(by_one_side / squares)


class Section:
    """A “Measured by …” of the page: what was read, each figure checked as it is taken in."""

    def __init__(self, kept, readings, budget):
        self.method = kept["heading"].removeprefix("Measured by ")
        self.told, self.sizes = {row[0]: row[1] for row in kept["rows"]}, []
        self.sizes = [number(r[1]) for r in kept["rows"] if r[0] in ("Ball", "Rolls", "Blocks")]
        self.limits = [number(r[1].partition("±")[2]) for r in kept["rows"] if "within ±" in r[1]]
        self.counts, self.spreads, self.means = [], [], []
        depth = readings["caption"].startswith("Depth")
        for _, read, mean, spread, count in readings["rows"][1:]:
            values = np.array([number(one) for one in read.split()])
            if depth:
                values = number(self.told["Parallels under it"]) - values
            close(mean, values.mean())
            close(spread, values.std(ddof=1))
            assert int(count) == len(values)
            for kept_in, one in zip(
                (self.counts, self.spreads, self.means),
                (len(values), values.std(ddof=1), values.mean()),
                strict=True,
            ):
                kept_in.append(one)
        self.weights = np.array(self.counts) - 1
        self.pooled = math.sqrt(np.average(np.square(self.spreads), weights=self.weights))
        names = {
            "one ball": ("large", "top"),
            "two balls": ("large", "small", "top", "under"),
            "rolls and blocks": ("roll", "block", "low", "high"),
        }
        self.x = dict(zip(names[self.method], (*self.sizes, *self.means), strict=True))
        if self.method == "one ball":
            self.x["angle"] = angle(self.told["Half angle used"])
        warm = re.search(
            r"by ([+−][\d.]+) (?:in|mm): part at ([\d.]+) °C, ([\d.]+) × 10⁻⁶ per °C, gauges at "
            r"([\d.]+) °C, ([\d.]+) × 10⁻⁶; expansion: a handbook",
            budget["caption"],
        )
        found = [float(one) for one in warm.groups()[1:]] if warm else [20, 0, 20, 0]
        if warm:
            at = re.match(r"part ([\d.]+) °C, gauge ([\d.]+) °C", self.told["Temperature"])
            assert [float(one) for one in at.groups()] == [found[0], found[2]]
        scale = (1, 1e-6, 1, 1e-6)
        keys = ("part at", "part by", "gauges at", "gauges by")
        self.x |= {key: one * by for key, one, by in zip(keys, found, scale, strict=True)}
        self.face, self.half = map(float, bare(self.method, self.x))
        self.warm_face = float(bare(self.method, self.x | {"part by": 0.0, "gauges by": 0.0})[0])
        if warm:
            close(warm[1], self.face - self.warm_face)
        self.budget = budget["rows"][1:]
        self.columns = range(5, len(self.budget[-2]) - 1, 2)
        # A single column is the one whose unit it has.
        self.places = [0, 1] if len(self.columns) == 2 else [int("″" in self.budget[-1][6])]
        self.check_rows()
        self.check_edges()

    def by(self, name):
        """∂(face, half angle)/∂ a quantity, radians for angles."""
        return bare(self.method, self.x | {name: self.x[name] + 1e-30j}).imag / 1e-30

    def by_means(self):
        """The same for each mean, for one of the scatter of a single reading."""
        places = ("low", "high") if self.method == "rolls and blocks" else ("top", "under")
        return [self.by(p) / math.sqrt(n) for p, n in zip(places, self.counts, strict=True)]

    def check_rows(self):
        """Limit and sensitivity of each row, as far as the page says what they rest on."""
        instrument = re.search(r"reads to ([\d.]+) \w+, within ± ([\d.]+)", self.told["Instrument"])
        zero = next(one for name, one in self.told.items() if name.startswith("Zero"))
        gauges = iter(self.limits[: len(self.sizes)])
        slope = math.tan(self.half)
        for row in self.budget[:-2]:
            what = row[0].partition(", ")[2]
            if row[0] == "scatter of a reading" or what == "repeats":
                one = self.pooled / (math.sqrt(self.counts[0]) if what else 1)
                assert number(row[1]) == pytest.approx(one, rel=1e-3)
                assert int(row[4]) == sum(self.weights)
                if what:
                    assert row[7] == f"measured, mean of {self.counts[0]} readings"
                else:
                    close(self.told["Scatter"].partition("=")[2], self.pooled)
                    assert f"{sum(self.weights)} degrees" in self.told["Scatter"]
            else:
                limit = {
                    "graduation": float(instrument[1]) / 2, "instrument": float(instrument[2]),
                }.get(what)  # fmt: skip
                if row[0] in ("face and zero", "zero"):
                    limit = number(zero)
                elif "diameter" in row[0] or row[0] == "block height":
                    limit = next(gauges)
                if row[0] == "half angle":
                    used = self.told["Half angle used"].partition("± ")[2]
                    k = number(used.partition("k =")[2]) if "k =" in used else 1
                    # What was measured stands there with two figures, rounded up.
                    limit = angle(used) / SECOND / k
                    low = 0.999 if "stated" in row[7] else 0.9
                    assert low < number(row[1]) / limit < 1.003
                    limit = number(row[1]) if k > 1 else limit
                if limit is not None:
                    assert number(row[1]) == pytest.approx(limit), row
            if row[0] == "scatter of a reading":
                places = ("low", "high") if self.method == "rolls and blocks" else ("top", "under")
                parts = [
                    self.by(p) / math.sqrt(n) for p, n in zip(places, self.counts, strict=True)
                ]
                per = np.hypot(*parts)
            else:
                moved = moves(self.method, row[0], slope).items()
                per = sum(times * self.by(name) for name, times in moved)
            for at, place in zip(self.columns, self.places, strict=True):
                unit = re.fullmatch(r"−?[\d.]+ ?([^/]*)(?:/(.*))?", row[at])
                times = UNITS[unit[2] or ""] / (UNITS[unit[1]] if unit[2] or place else 1.0)
                wanted = per[place] * times
                assert number(row[at]) == pytest.approx(wanted, rel=2e-3, abs=1e-6 * times), row

    def check_edges(self):
        """Where the balls touch, and what calipers read on the break, of the part as it is."""
        if "Edge break, 45°" in self.told and "deep" in (told := self.told["Edge break, 45°"]):
            deep, slope = number(told), math.tan(self.half)
            outer, inner = re.findall(r"read ([\d.]+).*, ([\d.]+) in on the inner", told)[0]
            close(outer, self.warm_face + 2 * deep * (1 - slope))
            close(inner, self.warm_face - 2 * deep * slope)
        for name, told in self.told.items():
            if name.endswith("touches"):
                on, deep = re.findall(r"([\d.]+) in", told)
                wide = number(name.removeprefix("Ball ")) * math.cos(self.half)
                close(on, wide)
                close(deep, (self.warm_face - wide) / (2 * math.tan(self.half)))

    def correlation(self):
        """Of face diameter and half angle, from the rows' limits."""
        squares = np.zeros(3)
        for row in self.budget[:-2]:
            u = number(row[3]) * UNITS[row[3].partition(" ")[2]]
            if row[0] == "scatter of a reading":
                by = self.by_means()
            else:
                moved = moves(self.method, row[0], math.tan(self.half)).items()
                by = [sum(times * self.by(name) for name, times in moved)]
            for face, half in by:
                squares += np.array([face * half, face**2, half**2]) * u * u
        return squares[0] / math.sqrt(squares[1] * squares[2])


def slide_and_part(page):
    """The slide's set angle and budgets of slide and part; k and guard factor of the part."""
    printed = {row[0]: row[1] for table in page.of("Part and print") for row in table["rows"]}
    told = printed["Slide set to"]
    if "compound travel" not in told:
        return None
    travel = number(told.partition("compound travel of")[2])
    reads = number(told.partition("cross dial")[2]) / 2
    assert "which reads diameter" in told
    close(told, math.asin(reads / travel))
    half, length = angle(printed["Half angle"]), number(printed["Callout"].rpartition(", ")[2])
    slide, part = page.of("How sure of the slide")[0], page.of("How sure of the part")[0]
    across = travel * math.cos(half)
    per = {
        "compound reading, first end": math.tan(half) / travel / SECOND,
        "compound reading, second end": -math.tan(half) / travel / SECOND,
        "cross reading, first end": -1 / across / SECOND,
        "cross reading, second end": 1 / across / SECOND,
        "compound screw, per unit of travel": -math.tan(half) / SECOND,
        "cross screw, per unit of travel": math.tan(half) / SECOND,
        "null, both ends": math.sqrt(2) / across / SECOND,
        "quill's side out of parallel": 1, "snugging up": 1,
    }  # fmt: skip
    ((u, k, guard),) = adds_up(slide["rows"][1:], [5])
    # The slide is proven within T − 1.65 u.
    off = abs(math.asin(reads / travel) - half)
    assert off <= angle(printed["Half angle"].partition("±")[2]) - guard * u * SECOND
    face = number(printed["Face diameter, sharp"])
    small = face - 2 * length * math.tan(half)
    expands = number(next(r[7] for r in part["rows"] if "warmer" in r[0]).partition("expands")[2])
    depth, height = np.linspace(0, length, 400), 0.004
    out = math.sqrt((face / 2) ** 2 - height**2) - depth * math.tan(half)
    points = np.column_stack([depth, np.hypot(out, height)])
    along = np.linalg.svd(points - points.mean(axis=0), full_matrices=False)[2][0]
    turned = half + math.atan(along[1] / along[0])
    per |= {
        "slide's set angle": 1,
        "slide out of straight where the cone begins": -math.cos(half) / length / SECOND,
        "slide out of straight where the cone ends": math.cos(half) / length / SECOND,
        "tool off centre height": turned / height / SECOND,
        "face warmer than the far end": math.cos(half) ** 2 * expands * 1e-6 * (face + small)
        / (4 * length) / SECOND,
    }  # fmt: skip
    for row in slide["rows"][3:5]:
        # The dial reads diameter: twice what the slide moves.
        assert number(row[7].partition("shows")[2]) == pytest.approx(2 * number(row[1]))
    for row in (*slide["rows"][1:-2], *part["rows"][1:-2]):
        assert number(row[5]) == pytest.approx(per[row[0]], rel=2e-3, abs=0.02), row
    assert number(part["rows"][1][1]) == pytest.approx(u, rel=1e-3)
    ((u, k, guard),) = adds_up(part["rows"][1:], [5], {"slide's set angle": (k, guard)})
    return u, k, guard


@pytest.mark.parametrize("case", list(CASES))
def test_every_figure_is_worked_out_again_from_the_page_alone(case):
    job = CASES[case]()
    page = Read(inspection_record(job))
    printed = {row[0]: row[1] for table in page.of("Part and print") for row in table["rows"]}
    cut, found, sums = slide_and_part(page), {}, {}
    # Two balls first: their half angle is what one ball takes.
    headings = dict.fromkeys(t["heading"] for t in page.tables if t["heading"][:8] == "Measured")
    for heading in sorted(headings, key=lambda one: "one ball" in one):
        section = Section(*page.of(heading)[:3])
        own = {"half angle": sums[1][1:]} if 1 in sums else {}
        if cut and "proving pass" in section.told.get("Half angle used", ""):
            own = {"half angle": cut[1:]}
        added = adds_up(section.budget, section.columns, own)
        for place, one in zip(section.places, added, strict=True):
            found[place], sums[place] = (section.face, section.half)[place], one
            if place == 1:
                last = section
    (results,) = page.of("Result")
    said_below = results["caption"]
    guards = re.findall(r"(?:diameter|angle) ([\d.]+)(?: in| mm|″) \(([\d.]+) u\)", said_below)
    for row in results["rows"][1:]:
        place = int(row[0] == "Half angle")
        asked = printed["Half angle" if place else "Face diameter, sharp"]
        if place:
            middle, allowed = angle(asked), angle(asked.partition("±")[2])
            if "1:10" in printed["Callout"]:
                middle = math.atan(1 / 20)
            low, high = middle - allowed, middle + allowed
        else:
            low, high = (float(one) for one in re.findall(r"(?:from|to) ([\d.]+)", asked))
        for said, wanted in zip(row[2].split(" to "), (low, high), strict=True):
            close(said, wanted)
        if place not in found:
            assert row[1] == "not measured"
            continue
        scale = SECOND if place else 1.0
        u, k, guard = sums[place]
        value, spread = row[1].split(" ± ")
        close(value, found[place], places=1.1)
        # U to two figures and never down; no more than one of its last place up.
        expanded = k * u * scale
        said = angle(spread) if place else number(spread)
        one = 10 ** (math.floor(math.log10(expanded / scale)) - 1) * scale
        assert expanded * 0.998 <= said <= expanded * 1.002 + one
        told = re.search(r"k = ([\d.]+)", row[1])[1]
        assert float(told) == pytest.approx(k, abs=0.006)
        size, factor = guards.pop(0)
        close(size, guard * u, rel=3e-3)
        assert float(factor) == pytest.approx(guard, abs=0.006)
        away = guard * u * scale
        for said, wanted in zip(row[3].split(" to "), (low + away, high - away), strict=True):
            close(said, wanted, places=1.1)
        for said, wanted in zip(row[4].split(" to "), (low - away, high + away), strict=True):
            close(said, wanted, places=1.1)
        inside = low + away <= found[place] <= high - away
        assert row[5].startswith("conforms" if inside else "not proven"), row
    assert guards == []
    judged = len(sums)
    together = re.search(r"(\d) results at 95 % each: .* hold at (\d+) %", said_below)
    assert (together is not None) == (judged > 1)
    if together:
        assert [int(one) for one in together.groups()] == [judged, 100 - 5 * judged]
    signed = re.search(r"Correlation of half angle and face diameter: ([+−][\d.]+)", said_below)
    # Of one measurement's two results, and of no others.
    assert (signed is not None) == (len(headings) == 1 and judged == 2)
    if signed:
        close(signed[1], last.correlation())
    # A row with figures that nothing here knows of would go unchecked.
    plain = [table["rows"] for table in page.tables if "May be out by" not in table["rows"][0]]
    unread = {row[0] for rows in plain for row in rows if re.search(r"\d", " ".join(row[1:]))}
    assert unread <= KNOWN


# Rows with figures: worked out above, or typed by somebody and standing as they were.
KNOWN = {
    "", "Drawing", "Callout", "Half angle", "Face diameter, sharp", "Slide set to", "Face diameter",
    "Ball", "Rolls", "Blocks", "Instrument", "Zero, face flatness", "Zero of the micrometer",
    "Half angle used", "Temperature", "Edge break, 45°", "Scatter", "Parallels under it",
    "Ball 1.2500 in touches", "Ball 1.3750 in touches", "Ball 1.0625 in touches", "Ball 1.2500 in",
    "Ball 1.3750 in", "Ball 1.0625 in", "Over low rolls", "Over high rolls",
    "Measured by: J. Fitter",
}  # fmt: skip
