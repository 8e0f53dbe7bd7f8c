"""Lesson 12: a cone longer than the compound travel, cut in two runs."""

from __future__ import annotations

from tapertrig.draw.parts.magnified import signed_arc_text
from tapertrig.draw.two_runs import (
    BY_DIALS,
    BY_TOUCH,
    LARGEST_ERROR,
    TwoRunsScene,
    TwoRunsState,
)
from tapertrig.lathe import Dial, Lathe, length_text, places_written
from tapertrig.lathe_book import HOW_TO_FIND
from tapertrig.panels.parts.board import Row, Words
from tapertrig.panels.parts.controls import angle, choice, quantity
from tapertrig.panels.parts.lathe_list import LatheList

LESSON_LATHE = "invented lathe of this lesson"
INTERNAL, EXTERNAL = "internal", "external"


class TwoRuns(LatheList[TwoRunsState]):
    """What to move between two runs of the compound, and the step that a small error leaves."""

    title = "Two runs joined"
    scene = TwoRunsScene
    main = "angle_error"

    def make_controls(self) -> None:
        inch, unit = self.unit == "in", self.unit
        length, step, most = (3.6, 0.01, 0.02) if inch else (92.0, 0.2, 0.5)
        fine, largest = 0.0005 if inch else 0.01, LARGEST_ERROR.brief()
        self.lathe_list(first=[LESSON_LATHE])
        self.angle_error = angle("Half angle out by", "0°02′", f"-{largest}", largest, "0°00′05″")
        self.half_angle = angle("Half angle", "9°20′", "1°", "38°")
        self.length = quantity("Cone length", length, length / 8, length * 3, step, unit)
        self.joined = choice("Second run set by", [BY_DIALS, BY_TOUCH])
        self.kind = choice("Cone", [EXTERNAL, INTERNAL])
        self.carriage_error = quantity("Carriage went too far by", 0.0, -most, most, fine, unit)
        self.cross_error = quantity("Cross slide went too far by", 0.0, -most, most, fine, unit)

    def lathe_in_use(self) -> Lathe:
        """The lathe picked, or the invented one of this lesson."""
        if picked := self.picked_lathe():
            return picked
        reach, compound, cross = (
            (2.3, Dial(0.001, 0.1), Dial(0.001, 0.2, "diameter"))
            if self.unit == "in"
            else (58.0, Dial(0.02, 2.0), Dial(0.02, 4.0, "diameter"))
        )
        return Lathe(self.unit, reach, compound, cross, name=LESSON_LATHE)

    def read_state(self) -> TwoRunsState:
        return TwoRunsState(
            self.half_angle.angle,
            self.length.value,
            self.kind.value == INTERNAL,
            self.lathe_in_use(),
            self.angle_error.angle,
            self.joined.value,
            self.carriage_error.value,
            self.cross_error.value,
        )

    def words(self, state: TwoRunsState) -> Words:
        lathe, unit = state.lathe, state.lathe.unit
        fine = places_written(unit) + 1
        out = state.angle_error
        error = signed_arc_text(out.radians) if out.arc_seconds else "nothing"
        kind = "internal" if state.internal else "external"
        given = (
            f"An {kind} cone of half angle {state.half_angle.brief()}, "
            f"{length_text(state.length, unit)} long, on a slide that is out by {error}"
        )
        reach = lathe.compound_reach
        known = "not given" if reach is None else length_text(reach, unit)
        rows = [Row("Usable compound travel", known, answer=False)]
        if reach is None:
            how = HOW_TO_FIND["compound_reach"][1]
            told = f"Whether one run is enough, or two, cannot be told. {how}"
            rows.append(Row("Not given", told, answer=False, mark="wide"))
        out_by = length_text(state.far_out, unit, fine)
        far = out_by.removeprefix("−")
        ends = Row("Far end's diameter out by", out_by if far != out_by else f"+{far}")
        if state.runs == 1:
            run = Row("One run is enough", length_text(state.run, unit))
            told = f"{given}, is cut in one run of {length_text(state.run, unit)}: no seam."
            return Words(told, (*rows, run, ends), f"{given}.")
        dial = lathe.cross_dial
        step = length_text(abs(state.step), unit, fine)
        deeper = "deeper" if state.step > 0 else "proud"
        told = f"{step} on radius, the second run {deeper}" if state.step else "none"
        way = "towards the axis" if state.internal else "away from the axis"
        rows += [Row("Each run, along the slide", length_text(state.run, unit))]
        if state.joined == BY_DIALS:
            turned = dial.words(float(dial.reading(state.cross)), unit)
            rows += [
                Row("Carriage, to the headstock", length_text(state.carriage, unit)),
                Row(f"Cross slide, {way}", length_text(state.cross, unit)),
                Row("Its dial", f"{turned} (reads {dial.reads})"),
            ]
        rows += [Row("Step at the seam", told, mark="wide"), ends, self.why(state)]
        joined = f"with the second run set by {state.joined}"
        left = f"leaves a step of {told}" if state.step else "leaves no step"
        return Words(
            f"{given}, cut in two runs {joined}, {left}; the far end's diameter is out by {far}.",
            tuple(rows),
            f"{given}, is cut in two runs {joined}.",
        )

    def why(self, state: TwoRunsState) -> Row:
        """What comes of this way to join the runs."""
        if state.joined == BY_TOUCH:
            told = (
                "The second run goes on where the first ended: no step, and the whole length is "
                "out by the slide's error. Touch with a feeler, the spindle stopped and isolated."
            )
        else:
            told = (
                "Both pieces begin where they should and lean alike. The step is what the first "
                "had gained by its end; errors of the two moves add to it."
            )
        return Row("Why", told, mark="wide")
