"""What the panels of the indicating bench say, as rows of text."""

from __future__ import annotations

import math
from collections.abc import Iterator
from html import escape

from tapertrig import demo
from tapertrig.angle import Angle
from tapertrig.bench import Bench, BenchState, Pass, Review, Truth, angle_words, error_sources
from tapertrig.bench.guided import Guided
from tapertrig.draw.indicating_bench import dial_words, graduation_words
from tapertrig.lathe import in_unit, length_text
from tapertrig.next_tap import angle_said
from tapertrig.panels.parts.board import Row
from tapertrig.procedure import FINISH

PART_LENGTH = demo.callout().length or 0.0  # inches


def state_rows(state: BenchState) -> Iterator[Row]:
    """The dials, the indicator and what is held, as a person reads them."""
    unit = state.conditions.lathe.unit
    yield Row("Compound dial", dial_words(state, "compound"))
    yield Row("Cross dial", dial_words(state, "cross"))
    yield Row(f"Indicator ({graduation_words(state)} a graduation)", state.indicator.words)
    yield Row("Base, to half a degree", state.base_read.brief())
    if state.stack:
        yield Row("Gauge blocks", length_text(state.stack, unit), answer=False)
        if state.indicator.value is not None:  # let out where the gap is the larger
            together = length_text(state.stack - state.indicator.value, unit)
            yield Row("Stack and needle", together)
    yield Row("Carriage", "locked" if state.locked else "loose", answer=False)
    yield Row("Compound's bolts", "tight" if state.snugged else "eased", answer=False)


def assumed_rows(state: BenchState) -> Iterator[Row]:
    """What nobody has given of the lathe, and what the bench takes for it."""
    conditions, slope = state.conditions, state.conditions.quill_slope
    for words in conditions.assumed:
        yield Row("Assumed", words, answer=False, mark="warning")
    if conditions.lathe.quill_slope is None and conditions.lathe.name not in demo.LATHES:
        taken = angle_words(Angle.from_radians(math.atan(slope)))
        told = f"Quill's slope is not given: {taken} is taken."
        yield Row("Assumed", told, answer=False, mark="warning")


def pass_rows(state: BenchState) -> Iterator[Row]:
    """The column of passes."""
    for line in state.passes:
        yield Row(f"Pass {line.number}", _pass_words(line, state), mark="wide")


def _pass_words(line: Pass, state: BenchState) -> str:
    unit = state.conditions.lathe.unit
    read = f"compound {length_text(abs(line.compound_reading), unit)}, "
    if line.axial is not None:
        read += f"stack and needle {length_text(line.axial, unit)}"
    else:
        read += f"cross {length_text(abs(line.cross_reading), unit)} taken as {line.read_as}"
    if line.implied is None or line.swing_needed is None:
        return f"{read}: these make no triangle"
    needed = line.swing_needed
    way = "further" if needed.arc_seconds >= 0 else "back"
    proving = " (proving pass)" if line.snugged else ""
    return f"{read} → {line.implied.dms()}; swing {angle_words(abs(needed))} {way}{proving}"


def step_told(guided: Guided, typed: bool = False) -> str:
    """The present step as HTML: what to do, why, the caution, what is then seen.

    `typed` tells that the travel of an earlier pass stands in its entry.
    """
    step = guided.step
    if step is None:
        if guided.proven:
            (away,) = guided.steps.of(FINISH)
            return (
                "<p><b>Set, and proven.</b> Show the truth, or start again.</p>"
                f"<p><i>At the machine now:</i> {escape(away.words)}</p>"
                f"<p>⚠ {escape(away.caution)}</p>"
            )
        tap = guided.tap
        return f"<p><b>Not proven.</b> {' '.join((tap.next, *tap.minded)) if tap else ''}</p>"
    told = f"<p><b>{escape(guided.heading)}.</b> {escape(step.words)}</p>"
    if typed:
        told += "<p>The travel of the last pass stands there: just press.</p>"
    if step.caution:
        told += f"<p>⚠ {escape(step.caution)}</p>"
    if step.why:  # in front of a class the teacher says it
        told += f'<p class="tapertrig-why"><i>Why:</i> {escape(step.why)}</p>'
    seen = step.expect if not typed else ""
    return told + (f'<p class="tapertrig-then"><i>Then:</i> {escape(seen)}</p>' if seen else "")


def verdict_told(guided: Guided, judged: Review | None = None) -> str:
    """What the last pass says, as HTML for beside the buttons; with `judged`, how it was done."""
    tap, read = guided.tap, guided.bench.passes
    told = f"<b>Pass {len(read)}:</b> " if read else ""
    if tap:
        line, unit = read[-1], guided.conditions.lathe.unit
        out = f", {angle_said(tap.missing)} too {'small' if tap.missing > 0 else 'large'}"
        other, what = abs(line.cross_reading), "cross dial"
        if line.axial is not None:
            other, what = line.axial, "stack and needle"
        told += f"{what} {length_text(other, unit)}, so the half angle is now {tap.now}"
        told += f"{out * bool(tap.way)}: <b>{tap.standing}</b>. "
        told += guided.set_to
    elif read:
        told += "the readings make no triangle: look at the turns, and pass once more."
    if judged:
        slips = "; ".join(name for name, _ in _slips(judged))
        error = _error(guided.bench.truth())
        told += f"<br><b>In truth</b> the slide is {error}. {slips or 'No slip was made'}. "
        told += "".join(judged.remarks[: bool(guided.conditions.quill_slope)])
    return f"<p>{told}</p>"


def witness_row(guided: Guided) -> Row:
    """How far the compound's slide stands from its start, by a rule between the witness marks."""
    state = guided.bench.state
    unit, past = state.conditions.lathe.unit, state.slide("compound") - guided.start_at
    places, end = 2 if unit == "in" else 1, "headstock" if past > 0 else "tailstock"
    apart = f"{length_text(abs(past), unit, places)} apart, the slide's nearer the {end}"
    words = apart if round(past, places) else "meet"
    return Row("Witness marks", words, answer=False)


def _error(truth: Truth) -> str:
    size = "large" if truth.error.arc_seconds > 0 else "small"
    return f"{angle_words(abs(truth.error))} too {size}"


def _slips(review: Review) -> Iterator[tuple[str, str]]:
    """One line for a mistake, however often it was made: the review is to fit a screen."""
    for mistake in review.mistakes:
        first, *more = (one for one in review.findings if one.mistake == mistake)
        often = f" The same {len(more)} more time{'s' * (len(more) > 1)}." if more else ""
        yield f"Step {first.step}: {mistake}", f"{first.sentence}{often} {first.remedy}"


def truth_rows(bench: Bench, review: Review) -> Iterator[Row]:
    """The true angle, its error, what it does to a part, and the review."""
    truth, unit = bench.truth(), bench.conditions.lathe.unit
    length = in_unit(PART_LENGTH, "in", unit)
    over = truth.diameter_error(length)
    yield Row("True half angle", f"{truth.half_angle.dms()}, wanted {truth.wanted.dms()}", False)
    yield Row("Error", _error(truth), answer=False)
    for name, words in _slips(review):
        yield Row(name, words, False, "warning")
    for words in review.remarks:
        yield Row("Mind", words, False, "wide")
    if review.well_done:
        yield Row("Well done", " ".join(review.well_done), False, "wide")
    yield Row(
        "On the invented part",
        f"over {length_text(length, unit, 2)} of cone the diameter changes "
        f"{length_text(abs(over), unit)} too {'much' if over > 0 else 'little'}",
        False,
        "wide",
    )
    if shares := error_sources(bench):
        told = "; ".join(
            f"{name} {float(share.arc_seconds):+.1f}″".replace("-", "−")
            for name, share in (*shares, ("together", truth.error))
            if abs(share.arc_seconds) >= 0.05
        )
        yield Row("The error is made of", told, False, "wide")
