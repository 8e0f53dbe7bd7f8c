"""No public function of the core takes what it cannot mean: found by introspection, each parameter.

A refusal is ours when it is a ValueError or TypeError raised by a `raise` of the kit, in words that
name the value or the parameter. Anything else that comes back must hold no NaN and no infinity that
the right values do not give too.
"""

import dataclasses
import importlib
import inspect
import linecache
import math
import pkgutil
import random
import tempfile
import warnings
from dataclasses import fields, replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

import tapertrig
from tapertrig import Angle, Cone, boring, demo, setup
from tapertrig.bench import HABITS, Bench, practised_hand
from tapertrig.bench.state import Action, Screw
from tapertrig.boring import SlideLayout
from tapertrig.budget import AngleBudget, Cutting, part_angle
from tapertrig.budget.proof import stated_by_proof
from tapertrig.decision import Judgement, Rule, coverage_factor, judge
from tapertrig.gauging.ball_choice import GaugeUncertainty, suitable_balls
from tapertrig.gauging.blocks import nearest_stack
from tapertrig.gauging.inspection import Inspection, findings
from tapertrig.job import Callout, Gauge, Instrument, Readings, Scatter, StatedAngle
from tapertrig.job.carried import Taken, carried_line
from tapertrig.job.file import JOB as JOB_FILE
from tapertrig.job.passes import Aim
from tapertrig.lathe import length_text
from tapertrig.lathe_book import LatheBook
from tapertrig.next_tap import Target, next_tap
from tapertrig.practice import problem
from tapertrig.practice.in_lessons import predictions
from tapertrig.practice.session import Session
from tapertrig.practice.shop import Shop
from tapertrig.procedure import procedure
from tapertrig.rooms import ROOMS
from tapertrig.several_cones import SeveralCones
from tapertrig.spelled import spelled
from tapertrig.uncertainty import Input, monte_carlo, propagate

KIT = str(Path(tapertrig.__file__).parent)
HALF, LATHE = Angle.from_degrees(21.3), demo.LATHES[demo.FIRST_LATHE]
CONE, PLUG = Cone(HALF, 1.4, 0.6), Cone(HALF, 1.1, 1.5, internal=False)
TEN = Angle.from_dms(0, 10)
SQUARE = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
SLIDE = AngleBudget.on_lathe(LATHE, HALF)
READ = Readings(
    "one ball", "in", (Gauge(1.25, 0.0001),), ((0.51, 0.512, 0.511),), face_limit=0.0002,
    instrument=Instrument("depth micrometer", 0.001, 0.0002), edge_break=0.01,
    stated_angle=StatedAngle(HALF, TEN, "invented"),
)  # fmt: skip
CALLOUT = Callout("half angle", HALF, 1.4, diameter_plus=0.002, diameter_minus=0.002, length=0.6)
INSPECTION = Inspection(CALLOUT, READ)
JOB = demo.job()
INPUTS = (Input("one", 1.0, 0.1), Input("other", 2.0, 0.1, "normal", 5))
BALLS = suitable_balls(CONE, (1.0, 1.25))
RANDOM = np.random.default_rng(1)
PASS = JOB.with_pass(compound_reading=2.0, cross_reading=1.4, bolts="tight").passes[-1]
LAYOUT = SlideLayout(3.0, 1.0, 8.0, 2.0, 5.0, 4.0, 3.0)
DONE = JOB.with_pass(compound_reading=2.0, cross_reading=1.4).with_readings(READ, "A. Fitter")
PLAN, BENCH, TARGET = JOB.plan(), Bench(LATHE, HALF, 2.5, seed=1), Target.of(JOB)
BENCH_PASS = BENCH.read().passes[-1]
SEVERAL = SeveralCones.from_edges((Angle.from_degrees(51), HALF), (1.4, 1.2, 1.0))
STEPS, SHOP, ASKED = procedure(PLAN), Shop(random.Random(1), "in"), problem("dials", 3)
KEEPING = Path(tempfile.mkdtemp())
KEPT, LATHES_KEPT = KEEPING / "kept.job.json", KEEPING / "my lathes.book.json"
JOB.keep(KEPT)
LatheBook((LATHE,)).keep(LATHES_KEPT)
SESSION = Session("dials", 3).answer("1.25", 4.0)
(KEEPING / "record.csv").write_text(SESSION.record.as_csv(), "utf-8")

# What each parameter is given while another one is wrong: by name, else by type.
NAMED = {
    "half_angle": HALF, "tolerance": TEN, "cone": CONE, "lathe": LATHE, "unit": "in",
    "wanted": "mm", "compound_travel": 2.6, "cross_travel": 0.94, "axial_travel": 2.4,
    "ball_diameter": 1.25, "height": 0.4, "face_diameter": 1.4, "length": 0.6, "text": "1.25",
    "large": 1.25, "small": 0.75, "over_low": 1.25, "over_high": 1.5, "model": lambda *a: sum(a),
    "models": [lambda *a: sum(a)], "inputs": INPUTS, "probability": 0.9, "measured": 1.25,
    "lower": 1.2, "upper": 1.3, "nominal": 1.25, "standard_uncertainty": 0.01, "digits": 2,
    "trials": 2000, "sensitivities": [1.0, 1.0], "requirement": "face diameter", "order": None,
    "taper": "1:10", "name": "Morse 3", "tolerance_class": "m", "graduation": 0.001,
    "per_turn": 0.1, "reads": "radius", "edge_break": 0.01, "floor_depth": 0.9,
    "distribution": "normal", "kind": "length", "readings": (1.0, 1.01, 1.03), "example": "1.25",
    "job": JOB, "budget": SLIDE, "slide": SLIDE, "degrees": 21.0, "minutes": 12.0, "seconds": 3.0,
    "radians": 0.4, "arc_seconds": 30.0, "places": 2, "count": 5, "points": 11, "swing": TEN,
    "angle_error": 0.001, "roll_diameter": 0.25, "block_height": 1.0, "balls": (1.0, 1.25, 1.3),
    "uncertainty": GaugeUncertainty(0.0001, 0.0002), "large_ball": 1.375, "small_ball": 1.0625,
    "large_height": 0.8, "small_height": 0.05, "included_angle": HALF.double(), "stack": 1.8,
    "bar_length": 5.0, "blocks": (1.0, 0.5, 0.25, 0.1), "most": 3, "layout": LAYOUT,
    "measured_diameter": 1.35, "roughing_cut": 0.02, "finish_allowance": 0.01,
    "height_error": 0.01, "path_radius": 0.6, "right_at": "face", "lean": TEN,
    "correlations": None, "values": np.linspace(1, 2, 200), "finding": findings(JOB)[0],
    "inspection": INSPECTION, "callout": CALLOUT, "asked": CALLOUT, "found": (),
    "propagated": propagate(lambda *a: sum(a), INPUTS),
    "simulated": monte_carlo(lambda *a: sum(a), INPUTS, 2000), "cross_dial": LATHE.cross_dial,
    "dial": LATHE.cross_dial, "parallel": 2.0, "reading": 1.2, "rule": Rule(),
    "base_reading": HALF, "route": "cross travel", "spread": 0.001, "compound_reading": 1.5,
    "bench": BENCH, "path": KEPT, "folder": KEEPING, "plan": PLAN,
    "target": TARGET, "screw": "cross", "habit": HABITS[0],
    "topic": "dials", "identity": DONE.passes[0].identity, "by": "A.",
    "cross_reading": 1.4, "other": 0.9, "travel": 2.5, "backlash": 0.006, "phase": "pass",
    "angle": HALF, "steps": STEPS, "book": LatheBook((LATHE,)), "problem": ASKED,
    "included": "41°26′", "work_length": 8.4, "set_over": 0.2, "cone_length": 4.2, "run": 2.4,
    "film": 0.0002, "shows_at": "small end", "internal": True,
}  # fmt: skip
TYPED = {
    "float": 0.5, "int": 3, "bool": True, "str": "given", "Angle": TEN, "Cone": CONE,
    "Lathe": LATHE, "Dial": LATHE.cross_dial, "float | None": 0.5, "str | None": "given",
    "float | Given": 0.5, "Number": 0.5, "AngleOrRadians[Given]": HALF, "Readings": READ,
    
    "Summed": SLIDE, "Cutting": Cutting(), "Repeats": INSPECTION.repeats()[0],
    "Scatter": Scatter(0.001, 5, "invented"), "InfiniteToo": 5.0, "Fraction": Fraction(5, 4),
    "tuple[float, float]": (1.0, 1.2), "Iterable[Contribution]": SLIDE.contributions,
    "Callable[[float], float]": coverage_factor, "Pass": PASS, "tuple[Source, ...]": SLIDE.sources,
    "tuple[str, ...]": ("given",), "tuple[tuple[str, ...], ...]": (("given",),),
    "tuple[Inspection, ...]": (INSPECTION,), "Group": SLIDE.attack_first,
    "tuple[float, float] | None": None, "Array | None": None,
    "int | None": 3, "BallContact[float] | None": None, "Angle | Fraction": TEN,
    "tuple[InfiniteToo, InfiniteToo] | None": None, "InfiniteToo | None": 5.0,
    "tuple[InfiniteToo, InfiniteToo]": (1.0, 2.0), "ValueError": ValueError("invented"),
    "tuple[Contribution, ...]": SLIDE.contributions, "np.random.Generator": RANDOM,
    "Input": INPUTS[0], "BallChoice": BALLS[0], "Stack": nearest_stack(1.8, (1.0, 0.5, 0.25)),
    "Angle | None": TEN, "Angle | float": 0.001, "Job": JOB, "Array": np.eye(4, 2),
    "Action": Action("note"), "BenchState": BENCH.state, "BenchConditions": BENCH.conditions,
    "Iterable[Action]": BENCH.actions, "Bench": BENCH, "Sequence[float] | Array": [0.0, 0.1],
    "Setup": PLAN, "tuple[Finding, ...]": (), "Bench | Sequence[Step]": BENCH, "Aim": PASS.aim,
    "Screw": Screw(0.1, 0.1, 0.0), "str | bytes": JOB.file_text(), "bytes | str": "problem,seed",
    "tuple[Grown, ...]": JOB.passes, "Any": "given", "Iterable[Pass]": DONE.passes,
    "tuple[WholeGraduationSetup, ...]": PLAN.setups, "tuple[Gauge, ...]": READ.gauges,
    "tuple[tuple[float, ...], ...]": READ.rows, "Target": TARGET, "Plan": PLAN, "Procedure": STEPS,
    "tuple[LessonQuestion, ...]": (), "Question": ASKED.question, "Path": KEEPING / "record.csv",
    "Numbers": ASKED.asked.numbers, "Precision": ASKED.asked.precision,
    "random.Random": SHOP.source,
    "Mapping[str, float]": {"one": 1.0}, "Mapping[str, str]": {"ada": SESSION.record.as_csv()},
    "Precision | Mapping[str, Precision]": ASKED.asked.precision,
    "tuple[str, str]": ("one", "two"), "tuple[tuple[str, str], ...]": (("one", "two"),),
    "tuple[tuple[str, float | str | bool], ...]": (("one", 2.0),), "Move": STEPS.steps[0].action,
    "tuple[Step, ...]": STEPS.steps, "Iterable[int]": (1, 2), "tuple[Line, ...]": (),
    "Iterable[tuple[str, str]]": (("one", "two"),), "Shop": SHOP, "Verdict": ASKED.check("1"),
    "str | os.PathLike[str]": KEPT, "Record": SESSION.record, "Problem": ASKED,
    "tuple[float, float, float]": (1.0, 2.0, 0.5), "Given": ASKED.asked.given,
    "Choices | None": None, "Edge": SEVERAL.edges[0], "Wall": SEVERAL.walls[0],
    "Slips": {}, "Confirmation": DONE.readings[0].confirmed[0], "dict[str, Any]": {},
    "Mapping[str, Lathe]": LatheBook((LATHE,)), "Sequence[T]": (1, 2), "T": 1.0,
} | {
    f"Callable[[{takes}], {gives}]": len
    for takes, gives in (
        ("Numbers", "Mapping[str, float | str | bool]"), ("Numbers", "Figure"),
        ("Shop", "Mapping[str, float | str]"), ("Numbers", "Mapping[str, Any]"),
        ("Somebody", "float"),
    )
}  # fmt: skip
_reads = 5.6 * math.sin(JOB.callout.half_angle.radians)
PROVEN = dataclasses.replace(JOB, cutting=Cutting(tool_height=0.005)).with_pass(
    2.8, _reads, bolts="tight"
)
OWN = {
    "budget.proof.part_by_proof": {"job": PROVEN},
    "budget.proof.stated_by_proof": {"job": PROVEN},
    "budget.proof.no_longer_stated": {"job": PROVEN, "cone": 0, "stated": stated_by_proof(PROVEN)},
    "bench.bench.Bench.turn_compound": {"movement": 0.01},
    "bench.bench.Bench.turn_cross": {"movement": 0.01},
    "worked.best_check": {"half_angle": "20°43′", "tolerance": "0°12′"},
    "worked.tool_height": {"lean": "2°18′"},
    "worked.seat_between": {"half_angle": "41°40′"},
    "worked.edge_between": {
        "half_angle": "57°35′", "face": 1.4, "inner_half_angle": "41°40′", "inner_face": 1.3,
    },
    "worked.from_gauge_plane": {"half_angle": "21°20′"},
    "worked.countersink": {"included": "82°"},
    "worked.sine_bar": {"included": "25°03′", "bar": 5.0},
    "worked.two_balls": {"ball": 1.4375, "height": 0.8721, "small": 1.0625, "small_height": 0.1566},
    "worked.rolls": {"low": 1.7362, "high": 2.1806, "blocks": 1.0, "roll": 0.25},
    "worked.inspected": {"first": 0.516},
    **{
        f"bench.state.BenchState.{name}": {"name": "cross"}
        for name in ("screw", "slide", "dial_shown", "dial_read")
    },
    "bench.lost_motion.play": {"slide": 0.1},
    "bench.performing.reading_of": {"line": BENCH_PASS},
    "bench.performing.within": {"window": (1.0, 2.0)},
    "limits.one_of": {"value": "in", "allowed": ("in", "mm")},
    "limits.real_date": {"text": "2026-11-26"},
    **{f"limits.{name}": {"value": 2.5} for name in ("finite", "positive", "not_negative")},
    "limits.true_or_false": {"value": True},
    "limits.whole": {"value": 3, "least": 1},
    "limits.line_of_text": {"value": "given"},
    "job.carried.take_in": {"line": carried_line(DONE)},
    "job.file.read_file": {"kind": JOB_FILE},
    "job.job.Job.with_pass": {"axial_reading": None, "cross_reading": 1.0},
    "job.job.Job.with_readings": {"readings": replace(READ, identity="0" * 16), "by": "A."},
    "job.job.Job.aim": {"route": "cross travel"},
    "practice.in_lessons.prediction": {"name": next(iter(predictions()))},
    "practice.in_lessons.practice": {"lesson": "03"},
    "procedure.Procedure.step": {"name": STEPS.steps[0].id},
    "job.job.Job.confirm": {"identity": READ.identity},
    "job.job.Job.is_of_this_print": {"readings": READ},
    "job.job.Job.confirmation": {"readings": READ},
    "job.readings.Scatter": {"degrees_of_freedom": 4},
    "lathe_book.LatheBook.load": {"path": LATHES_KEPT},
    "practice.record.parse_record": {"content": SESSION.record.as_csv()},
    "practice.record.Record.joined": {"other": SESSION.record},
    "practice.assignment.record_from_code": {"code": spelled((4, 1, 8, 16, 7, 3))},
    "spelled.unspelled": {"line": spelled((1, 2))},
    "standards.StandardTaper": {"source": "given", "unit": "mm"},
    "boring.walls_meet": {"other": Cone(TEN, 1.3)},
    "cone.Cone.depth_of": {"diameter": 1.25},
    "several_cones.SeveralCones.from_edges": {
        "half_angles": (Angle.from_degrees(51), HALF), "diameters": (1.4, 1.2, 1.0),
    },
    **{f"several_cones.SeveralCones.{name}": {"cone": 1, "seat": 1}
       for name in ("after_cut", "order_of_cuts")},
    "several_cones.Wall": {"upper": SEVERAL.edges[0], "lower": SEVERAL.edges[1]},
    "several_cones.ConeCut": {"cone": 1, "touched": SEVERAL.edges[0], "bore": SEVERAL},
    "several_cones.SeveralCones": {"cones": SEVERAL.cones, "hole": 1.0},
    "boring.distance_between": {"one": SQUARE, "other": SQUARE + 3},
    "budget.slide_angle.Prospect": {"tolerance": 0.01, "expanded": 0.001, "acceptance": 0.005},
    "budget.rows.side_by_side": {"budgets": (SLIDE, SLIDE)},
    "budget.rows.drawn": {"rows": SLIDE.sources},
    "decision.decide": {"tolerance": 0.01},
    "gauging.ball_choice.BallPair": {"large": BALLS[0], "small": BALLS[1]},
    "gauging.balls.depth_reading": {"parallel": 2.0},
    "gauging.balls.height_from_depth": {"parallel": 2.0},
    "gauging.blocks.nearest_stack": {"wanted": 1.35},
    "gauging.blocks.SineBarCheck": {"wanted": 1.35, "stack": TYPED["Stack"]},
    "gauging.blocks.sine_bar_check": {"cone": PLUG},
    "gauging.inspection.struck": {"readings": READ},
    "gauging.inspection.struck_at_will": {"readings": READ},
    "gauging.inspection.flagged": {"readings": READ},
    "gauging.inspection.Finding": {"cone": 0},
    "gauging.inspection.Inspection": {"readings": READ},
    "gauging.inspection.inspections": {"cone": 0},
    "gauging.inspection.findings_from": {"cone": 0, "made": ()},
    "gauging.inspection.scatters_more": {"found": TYPED["Repeats"]},
    "gauging.remedies.uncertainty_needed": {"finding": INSPECTION.findings()[0]},
    "gauging.rolls.roll_contact": {"cone": PLUG},
    "gauging.rolls.over_rolls": {"cone": PLUG},
    "gauging.rolls.face_diameter_from_rolls": {"over": 3.0},
    "written.unsigned": {"body": "1.25"},
    "written.unsigned_length": {"body": "1.25"},
}  # fmt: skip
OWN |= {
    f"lathe_book.LatheBook.{name}": {"name": LATHE.name, "new_name": "Other"}
    for name in ("without", "copy", "rename")
}
OWN |= {f"lathe_book.LatheBook.{name}": {"path": "given.book.json"} for name in ("save", "keep")}
OWN |= {
    f"worked.{name}": {
        "half_angle": "20°43′", "angle": "20°43′", "measured": 1.3, "wanted": 1.4, "face": 1.4,
        "ball": 1.25, "lower": 1.418, "upper": 1.421, "graduation": 0.001, "off": 0.02,
        "deep": 0.02, "roughing": 0.05, "finishing": 0.03, "carriage": 0.02, "parallel": 0.75,
        "faced_off": 0.0, "compound": 0.0, "out_by": "0°02′", "let_out": 0.003,
        "turned_let_out": 0.002, "tolerance": "0°05′", "taper_error": "0°00′30″",
    }
    for name in ("eye_error", "base_reading", "other_angle", "cross_reading", "by_carriage",
                 "axial", "reversal", "reading_as_angle", "other_ways", "opening", "last_cuts",
                 "tool_off_centre", "ball_stands", "heights_allowed", "face_from_ball",
                 "across_the_break", "moved", "set_over_between", "two_runs",
                 "swept_taper", "routes")
}  # fmt: skip
# What is made of values like those of one that there is.
OWN |= {
    f"{type(one).__module__[10:]}.{type(one).__name__}": {
        part.name: getattr(one, part.name) for part in fields(one) if part.init
    }
    for one in (
        TARGET, next_tap(TARGET, 2.0, 0.7), BENCH.state, BENCH.truth(), BENCH_PASS, PASS, PLAN,
        READ, STEPS, ASKED, ASKED.asked, ASKED.asked.precision, ASKED.figure, ASKED.question,
        practised_hand(BENCH), Taken(1, 2, 3, True), Aim(HALF, TEN, "cross travel"),
    )
}  # fmt: skip
SELVES = {
    "Angle": HALF, "Cone": CONE, "Dial": LATHE.cross_dial, "Lathe": LATHE, "AngleBudget": SLIDE,
    "Inspection": INSPECTION, "Finding": findings(JOB)[0], "Input": INPUTS[0],
    "Propagated": NAMED["propagated"], "Simulated": NAMED["simulated"],
    "Judgement": Judgement("conforms", None, (1.0, 2.0), ""), "Rule": Rule(),
    "Budget": part_angle(SLIDE, CONE, Cutting()), "Summed": SLIDE, "Bench": BENCH,
    "BenchState": BENCH.state, "BenchConditions": BENCH.conditions, "Job": DONE, "Plan": PLAN,
    "Callout": CALLOUT, "Choices": JOB.choices, "Readings": READ, "LatheBook": LatheBook((LATHE,)),
    "Target": TARGET, "Session": SESSION, "Record": SESSION.record, "Problem": ASKED,
    "Precision": ASKED.asked.precision, "Shop": SHOP, "Procedure": STEPS, "SeveralCones": SEVERAL,
}  # fmt: skip


@dataclasses.dataclass
class Wrong:
    """A dataclass of nobody's."""

    radians: str = "x"


HOSTILE = [
    math.nan, math.inf, -math.inf, None, "", "1", "external", True, [], [1.0, 2.0], [math.nan],
    object(), 1e308, -1, 0, 1j, {}, b"1", np.array(["1"]), np.array([1.0, math.nan]), Wrong(),
    10**400, {"a": 1}, [[1.0], [1.0, 2.0]],
]  # fmt: skip


def modules():
    """The modules that have doors, and the one whose functions the doors refuse with."""
    for room in sorted({*ROOMS, "limits"}):
        module = importlib.import_module(f"tapertrig.{room}")
        yield module
        for one in pkgutil.iter_modules(getattr(module, "__path__", [])):
            yield importlib.import_module(f"{module.__name__}.{one.name}")


def callables():
    """Every public function, method and constructor: name, what to call, its parameters."""
    for module in modules():
        for name, thing in list(vars(module).items()):
            if name.startswith("_") or getattr(thing, "__module__", None) != module.__name__:
                continue
            if inspect.isfunction(thing):
                yield f"{module.__name__[10:]}.{name}", thing
            elif inspect.isclass(thing) and not issubclass(thing, (tuple, Exception)):
                if dataclasses.is_dataclass(thing) and name != "Angle":
                    yield f"{module.__name__[10:]}.{name}", thing
                for key, held in list(vars(thing).items()):
                    if key.startswith("_") or not (
                        inspect.isfunction(held) or isinstance(held, (classmethod, staticmethod))
                    ):
                        continue
                    if inspect.isfunction(held) and name in SELVES:
                        yield f"{module.__name__[10:]}.{name}.{key}", getattr(SELVES[name], key)
                    elif not inspect.isfunction(held):
                        yield f"{module.__name__[10:]}.{name}.{key}", getattr(thing, key)


def right_values(call, overrides):
    """What a callable is given, by parameter; None where nobody knows a value for one."""
    given = {}
    for name, one in inspect.signature(call).parameters.items():
        if one.kind in (one.VAR_POSITIONAL, one.VAR_KEYWORD):
            continue
        if name in overrides:
            given[name] = overrides[name]
        elif one.default is not one.empty:
            given[name] = one.default
        elif name in NAMED:
            given[name] = NAMED[name]
        elif str(one.annotation) in TYPED:
            given[name] = TYPED[str(one.annotation)]
        else:
            return None
    return given


def odd_numbers(found, path=""):
    """Where NaN and infinities are in a result."""
    if isinstance(found, (float, np.floating)):
        return set() if math.isfinite(found) else {path}
    if isinstance(found, np.ndarray) and found.dtype.kind == "f":
        return set() if np.isfinite(found).all() else {path}
    if isinstance(found, (tuple, list)):
        return set().union(*(odd_numbers(one, path + "[]") for one in found))
    if dataclasses.is_dataclass(found) and not isinstance(found, (Angle, type)):
        parts = ((one.name, getattr(found, one.name)) for one in dataclasses.fields(found))
        return set().union(*(odd_numbers(one, f"{path}.{name}") for name, one in parts))
    return set()


def fault(call, given, name, value, odd):
    """What is wrong with how a call takes a wrong value; empty when it is refused or means it."""
    try:
        found = call(**(given | {name: value}))
    except (ValueError, TypeError) as refusal:
        frames = inspect.getinnerframes(refusal.__traceback__)
        file, line = frames[-1].filename, frames[-1].lineno
        words = str(refusal)
        if not file.startswith(KIT) or not linecache.getline(file, line).strip().startswith(
            "raise"
        ):
            return f"not ours: {type(refusal).__name__}: {words}"
        shown = {repr(value)[:12], str(value)[:12], name, name.replace("_", " ")}
        shown |= {f"{value:g}"} if isinstance(value, (int, float)) and abs(value) < 1e300 else set()
        return "" if len(words.split()) > 3 else f"no words: {words}"
    except Exception as other:
        return f"{type(other).__name__}: {other}"
    more = odd_numbers(found) - odd
    return f"gives {more}" if more else ""


# What takes a value for each input of a budget has no parameters of its own; what brings the plain
# values of files into form is worded by what reads them; a shop picks among whatever it is given;
# what looks at the parts of a dataclass is tried there.
INSIDE = (
    "budget.slide_angle.AngleBudget.model", "job.older.", "job.plain.", "job.file.write_text",
    "practice.shop.Shop.one_of", "practice.shop.Shop.pick", "limits.where_given",
)  # fmt: skip
CALLS = {name: call for name, call in callables() if not name.startswith(INSIDE)}
LOOKED_AT = {"value", "text"}


DIAL, NAN, SQUARE_BASE = LATHE.cross_dial, math.nan, replace(LATHE, base_zero="square to bed")


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: setup.swing_words("external"), "internal is 'external'"),
        (lambda: Cone(HALF, 1.0, internal="external"), "internal is 'external'"),
        (lambda: DIAL.reading("1"), "movement is '1'; it must be a number"),
        (lambda: DIAL.settle(NAN, "in"), "reading is nan"),
        (lambda: DIAL.nearest(np.array([1.0, NAN])), "reading holds nan"),
        (lambda: boring.face_diameter_change(CONE, cross=NAN), "cross is nan"),
        (lambda: boring.carriage_to_change(CONE, math.inf), "diameter change is inf"),
        (lambda: boring.turned_radius(1e308, 1.7e308), "go past what can be worked out"),
        (lambda: length_text(NAN, "in"), "length is nan"),
        (lambda: Angle(NAN), "degrees, radians or seconds"),
        (lambda: Angle(47.3), "degrees, radians or seconds"),
        (lambda: HALF + 3, "both must be angles"),
        (lambda: 3 - HALF, "both must be angles"),
        (lambda: HALF < 3, "both must be angles"),
        (lambda: HALF * 2, r"\.double\(\) doubles it"),
        (lambda: 2 * HALF, r"\.double\(\) doubles it"),
        (lambda: HALF / 2, r"\.half\(\) halves one"),
        (lambda: SQUARE_BASE.half_angle_at(Angle.from_dms(100)), "half angle of -10°00′00″"),
        (lambda: judge(1.0, 0.9, 1.1, 0.01, degrees_of_freedom=None), "degrees of freedom is None"),
        (lambda: setup.cross_travel(np.ones(3), np.full(2, 0.3)), "do not go together"),
    ],
)
def test_what_once_passed_is_refused(call, words):
    with pytest.raises((ValueError, TypeError), match=words):
        call()


def test_every_public_name_is_known_here():
    known = [right_values(call, OWN.get(name, {})) for name, call in CALLS.items()]
    assert [name for name, values in zip(CALLS, known, strict=True) if values is None] == []
    assert len(CALLS) > 150


@pytest.mark.parametrize("name", CALLS)
def test_what_it_cannot_mean_is_refused_in_words(name, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    call = CALLS[name]
    given = right_values(call, OWN.get(name, {}))
    with warnings.catch_warnings():
        # What numpy warns of is refused by what it leads to.
        warnings.simplefilter("ignore")
        odd = odd_numbers(call(**given))
        # A record of what was found may say that something is infinite, or left open.
        held = inspect.signature(call).parameters
        odd |= {f".{part}" for part in held if "InfiniteToo" in str(held[part].annotation)}
        # What the doors refuse with is given its words by the kit; one value is anybody's.
        looked_at = LOOKED_AT & given.keys() if name.startswith("limits.") else given
        tried = [(part, value) for part in looked_at for value in HOSTILE]
        found = {
            (part, repr(value)[:40]): told
            for part, value in tried
            if (told := fault(call, given, part, value, odd))
        }
    assert found == {}
