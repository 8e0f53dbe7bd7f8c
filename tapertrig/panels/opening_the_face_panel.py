"""Lesson 06: what opens the face diameter of a bored cone, and the last cuts to size."""

from __future__ import annotations

import math

import ipywidgets

from tapertrig.boring import Cut, carriage_to_change, cross_to_change
from tapertrig.cone import Cone
from tapertrig.draw.opening_the_face import (
    CARRIAGE,
    COMPOUND,
    CROSS,
    FACING,
    MEANS,
    MOST_DOWN,
    MOST_UP,
    UNITS_PER,
    OpeningState,
    OpeningTheFaceScene,
)
from tapertrig.gauging.aim import aim_at_size
from tapertrig.job import Job
from tapertrig.lathe import Lathe, in_unit, length_text
from tapertrig.panels.parts.board import Row, Words
from tapertrig.panels.parts.controls import angle, choice, quantity, switch
from tapertrig.panels.parts.job_list import JobList
from tapertrig.panels.parts.lathe_entries import widen

CUTS_LISTED = 12
# Depths of a roughing cut and of all finishing, on diameter, and their step.
DEPTHS = ("roughing_cut", "finish_allowance")
CUTS = {"in": (0.050, 0.030, 0.0005), "mm": (1.2, 0.8, 0.01)}


class OpeningTheFace(JobList[OpeningState]):
    """Cross slide, carriage, compound or facing: what each does to the face diameter.

    With a job of one's own: what was measured, what to move next on one's own dials, and the
    size to aim at, which is the middle of what the measuring can prove.
    """

    title = "Opening the face"
    scene = OpeningTheFaceScene
    main = "movement"

    def make_controls(self) -> None:
        self.job_list()
        inch = self.unit == "in"
        wanted, measured, step = (1.4195, 1.300, 0.0005) if inch else (36.04, 33.0, 0.01)
        cut = CUTS[self.unit]
        self.means = choice("Before the next cut, move", MEANS, CROSS)
        self.movement = quantity(
            "Movement",
            0.020 if inch else 0.5,
            0.0,
            0.15 if inch else 4.0,
            self.lathe_in_use().cross_dial.movement_per_graduation,
            self.unit,
        )
        self.half_angle = angle("Half angle", "20°43′", "2°", "75°")
        self.wanted = quantity(
            "Face diameter wanted", wanted, wanted / 2, wanted * 2, step, self.unit
        )
        self.measured = quantity(
            "Face diameter measured", measured, wanted / 2, wanted * 2, step, self.unit,
            optional=True,
        )  # fmt: skip
        self.roughing_cut = quantity(
            "Roughing cut, on diameter", cut[0], cut[0] / 10, 3 * cut[0], cut[2], self.unit
        )
        self.finish_allowance = quantity(
            "Left for finishing, on diameter", cut[1], 0.0, 3 * cut[1], cut[2], self.unit
        )
        self.spring_pass = switch("Spring pass at the end", True)

    def arrange(self) -> list[ipywidgets.Widget]:
        self.on_press("Next cut", self.next_cut, "Move to the next cut of the plan")
        return super().arrange()

    # -- a job of one's own ---------------------------------------------------------------

    def put_job(self, job: Job) -> None:
        """Half angle, what is measured, the size to aim at."""
        callout = job.callout
        if not callout.internal:
            raise ValueError("this job's cone is external; here it is bores that are opened")
        widen(self.half_angle, callout.half_angle)
        self.half_angle.value = callout.half_angle.degrees
        aim = aim_at_size(job, self.unit)
        if aim.size is None:
            raise ValueError(f"{aim.words}; enter it in the job first")
        for control in (self.wanted, self.measured):
            control.limit(aim.size / 2, aim.size * 2)
        widen(self.measured, aim.measured)
        self.wanted.value, self.measured.value = aim.size, aim.measured
        self.movement.value = 0.0
        # Depths that nobody has changed are round figures in the job's unit too.
        for place, name in enumerate(DEPTHS):
            control = getattr(self, name)
            usual = (in_unit(CUTS[unit][place], unit, self.unit) for unit in CUTS)
            if any(math.isclose(control.value, one, rel_tol=1e-6) for one in usual):
                control.value = CUTS[self.unit][place]
        if aim.measured is not None:
            self.read_state()

    def lathe_picked(self, lathe: Lathe | None) -> None:
        """The movement goes by whole graduations of its cross dial."""
        self.movement.step = self.lathe_in_use().cross_dial.movement_per_graduation

    def read_state(self) -> OpeningState:
        if self.measured.value is None:
            raise ValueError(
                "the face diameter is not measured yet; measure it as in lesson 07, or type what "
                "you read, the spindle stopped and isolated"
            )
        state = OpeningState(
            Cone(self.half_angle.angle, self.wanted.value),
            self.measured.value,
            self.lathe_in_use(),
            self.means.value,
            self.movement.value,
            self.roughing_cut.value,
            self.finish_allowance.value,
            self.spring_pass.value,
        )
        self.check_room(state)
        return state

    def alone(self) -> Words | None:
        """Nothing planned or drawn until a diameter of this part is known."""
        if self.measured.value is not None and self.last_state is not None:
            return None
        told = "Nothing is planned or drawn until the face diameter that you measured is typed."
        return Words(told, tuple(self.job_rows(None)), told)

    def check_room(self, state: OpeningState) -> None:
        """ValueError when the corner would leave the picture."""
        k = UNITS_PER[self.unit]
        if not -2 * MOST_UP / k <= state.change <= 2 * MOST_DOWN / k:
            moved = length_text(state.movement, self.unit)
            changed = length_text(state.change, self.unit)
            raise ValueError(
                f"movement is {moved}; at this half angle it would change the face diameter by "
                f"{changed}, more than the picture holds, so take a smaller one"
            )
        state.cuts  # noqa: B018 (a plan that cannot be made says so here)

    def words(self, state: OpeningState) -> Words:
        unit, cone = self.unit, state.cone
        given = (
            f"A bore of half angle {cone.half_angle.brief()} measures "
            f"{length_text(state.measured, unit)} at the face; "
            f"{length_text(cone.face_diameter, unit)} is wanted. "
            f"{self.move_in_words(state)}"
        )
        need = max(cone.face_diameter - state.measured, 0.0)
        rows = [
            *self.job_rows(state),
            Row("Face diameter after the cut", length_text(state.diameter, unit)),
            Row("Change", _signed(state.change, unit)),
            Row("To size by cross slide", length_text(cross_to_change(need), unit)),
            Row("or by carriage", length_text(carriage_to_change(cone, need), unit)),
            Row("Why", self.reason(state), mark="wide"),
        ]
        # While answers are hidden the names of these rows alone would tell how many cuts there
        # are, and that the bore is too large.
        if self.hiding:
            rows.append(Row("Cuts planned", f"{len(state.cuts)}", mark="wide"))
        else:
            rows += [
                Row(f"Cut {number}, {cut.kind}", self.cut_in_words(cut), mark="wide")
                for number, cut in enumerate(state.cuts[:CUTS_LISTED], 1)
            ]
        if len(state.cuts) > CUTS_LISTED and not self.hiding:
            rows.append(Row("and more", f"{len(state.cuts)} cuts in all", mark="wide"))
        if state.left < 0 and state.means != COMPOUND and not self.hiding:
            over = length_text(-state.left, unit)
            rows.append(Row("Mind", f"Too large by {over}: it cannot go back.", mark="warning"))
        return Words(
            f"{given} The face diameter is then {length_text(state.diameter, unit)}.",
            tuple(rows),
            given,
        )

    def job_rows(self, state: OpeningState | None) -> list[Row]:
        """Of the job taken: what was measured, where to aim, what to move next on these dials."""
        if self.job is None:
            return []
        aim = aim_at_size(self.job, self.unit)
        reason = f": {aim.finding.reason}" if aim.finding.reason else ""
        measured = "" if aim.measured is None else f"{length_text(aim.measured, self.unit)}, "
        told = f"{measured}{aim.finding.verdict}{reason}"
        rows = [
            *self.stands_in(),
            Row("Measured on the part", told, answer=False, mark="wide"),
            Row("Aim at", aim.words, answer=False, mark="wide"),
        ]
        if aim.proven:
            rows.append(Row("Stop", "It is at size and proven; leave it so.", mark="warning"))
        elif state and (ahead := self.ahead(state)):
            cut, unit = ahead[0], self.unit
            words = state.lathe.cross_dial.words(cut.cross_reading, unit)
            at = "where it stood before cut 1"
            told = f"cross dial zeroed {at}, then {words} away from the axis, all told"
            rows.append(Row("Move next", told, mark="wide"))
        return rows

    def move_in_words(self, state: OpeningState) -> str:
        """What is moved, and how far."""
        moved = length_text(state.movement, self.unit)
        return {
            CROSS: f"The cross slide is moved {moved} away from the axis.",
            CARRIAGE: f"The carriage is moved {moved} towards the headstock.",
            COMPOUND: f"The compound slide is fed {moved} further in.",
            FACING: f"The face is cut back by {moved}.",
        }[state.means]

    def reason(self, state: OpeningState) -> str:
        """Why the face diameter changes as it does."""
        return {
            CROSS: "The whole wall moves outward by the cross movement, and the face diameter "
            "grows by twice that.",
            CARRIAGE: "The whole wall moves in by the carriage movement, and the face diameter "
            "grows by twice its tangent: 2 × movement × tan α.",
            COMPOUND: "The tool runs along the very line it cut before. The cone gets longer, "
            "not larger.",
            FACING: "The wall stays; the face meets it deeper, where the bore is narrower, and "
            "the face diameter shrinks by 2 × depth × tan α.",
        }[state.means]

    def cut_in_words(self, cut: Cut) -> str:
        """Where the cross dial must stand for a cut, what it gives, and whether to measure."""
        unit, dial = self.unit, self.lathe_in_use().cross_dial
        after = "; then stop and measure" if cut.measure_after else ""
        return (
            f"dial at {length_text(cut.cross_reading, unit)} "
            f"({dial.words(cut.cross_reading, unit)}), face "
            f"{length_text(cut.face_diameter, unit)}{after}"
        )

    @staticmethod
    def ahead(state: OpeningState) -> list[Cut]:
        """The cuts of the plan past where the cross slide stands."""
        moved = state.movement if state.means == CROSS else 0.0
        return [cut for cut in state.cuts if cut.cross_movement > moved + 1e-9]

    def next_cut(self) -> None:
        """Move the cross slide to the next cut of the plan."""
        state = self.read_state()
        ahead = self.ahead(state)
        if not ahead:
            raise ValueError(
                "every cut of this plan is taken; measure, and plan again from what you find"
            )
        cut = ahead[0]
        most = self.movement.maximum
        if cut.cross_movement > most + 1e-9:
            raise ValueError(
                f"the next cut needs a cross movement of "
                f"{length_text(cut.cross_movement, self.unit)}; the slider ends at "
                f"{length_text(most, self.unit)}, so measure and plan again from there"
            )
        self.set(means=CROSS, movement=cut.cross_movement)
        told = f"{cut.kind.capitalize()}: {self.cut_in_words(cut)}."
        if state.spring_pass and len(ahead) > 1 and ahead[1].cross_movement == cut.cross_movement:
            told += " Then the spring pass, at the same reading."
        self.tell(told)


def _signed(length: float, unit: str) -> str:
    told = length_text(length, unit)
    return told if told[0] == "−" else f"+{told}"
