"""Lesson 06: a tool above or below centre cuts a hyperboloid, not a cone."""

from __future__ import annotations

from tapertrig.cone import Cone
from tapertrig.draw.parts.magnified import arc_text
from tapertrig.draw.tool_height import HeightState, ToolHeightScene
from tapertrig.job import Job
from tapertrig.lathe import length_text, places_written
from tapertrig.panels.parts.board import Row, Words
from tapertrig.panels.parts.controls import angle, choice, quantity
from tapertrig.panels.parts.job_list import JobList
from tapertrig.panels.parts.lathe_entries import widen

INTERNAL, EXTERNAL = "internal", "external"


class ToolHeight(JobList[HeightState]):
    """The height error of the tool, and the angle error and bow it leaves in the wall."""

    title = "Tool height"
    scene = ToolHeightScene
    main = "height_error"
    lathe_in_sight = False

    def make_controls(self) -> None:
        self.job_list()
        inch = self.unit == "in"
        face, length, step = (1.418, 0.64, 0.001) if inch else (36.0, 16.0, 0.01)
        error, most, fine = (0.03, 0.15, 0.001) if inch else (0.8, 4.0, 0.02)
        self.height_error = quantity(
            "Tool above centre (below: minus)", error, -most, most, fine, self.unit
        )
        self.half_angle = angle("Half angle", "20°43′", "2°", "70°")
        self.face_diameter = quantity("Face diameter", face, face / 4, face * 2, step, self.unit)
        self.length = quantity("Cone length", length, length / 8, length * 4, step, self.unit)
        self.kind = choice("Cone", [INTERNAL, EXTERNAL])
        self.right_at = choice(
            "Brought to size at", [("the face", "face"), ("the far end", "far end")]
        )

    def put_job(self, job: Job) -> None:
        """The job's cone, and the tool as far off as its cut is known for."""
        self.put_cone(job)
        self.kind.value = INTERNAL if job.callout.internal else EXTERNAL
        known = self.known_height(job)
        if known is not None:
            widen(self.height_error, known)
            self.height_error.value = known
        self.read_state()

    def read_state(self) -> HeightState:
        cone = Cone(
            self.half_angle.angle,
            self.face_diameter.value,
            self.length.value,
            self.kind.value == INTERNAL,
        )
        state = HeightState(cone, self.height_error.value, self.right_at.value, self.unit)
        state.effect  # noqa: B018 (a tool that cannot cut this cone says so here)
        return state

    def words(self, state: HeightState) -> Words:
        effect, cone, unit = state.effect, state.cone, self.unit
        fine = places_written(unit) + 2
        error = state.height_error
        where = f"{length_text(abs(error), unit)} {'above' if error > 0 else 'below'}"
        given = (
            f"An {INTERNAL if cone.internal else EXTERNAL} cone of half angle "
            f"{cone.half_angle.brief()} is brought to size at the {state.right_at} with the tool "
            f"{where if error else 'at'} centre height."
        )
        finding = (
            f"The best-fit half angle is {arc_text(effect.angle_error)} too small and the wall "
            f"{length_text(effect.straightness, unit, fine)} out of straight."
            if error
            else "The wall is a true cone."
        )
        other = "far end" if state.right_at == "face" else "face"
        sign = "−" if effect.far_diameter_error < 0 else "+"
        rides = "a plug rides on the middle" if cone.internal else "a ring rides on the ends"
        return Words(
            f"{given} {finding}",
            (
                Row("Best-fit half angle", effect.half_angle.dms(1)),
                Row("Half angle too small by", arc_text(effect.angle_error)),
                Row("Wall out of straight by", length_text(effect.straightness, unit, fine)),
                Row(
                    f"Diameter out at the {other}",
                    f"{sign}{length_text(abs(effect.far_diameter_error), unit, fine)}",
                ),
                *self.kept_rows(),
                Row(
                    "On a gauge",
                    f"the middle of the wall lies nearer the axis than its ends: {rides}"
                    if error
                    else "it touches everywhere",
                    mark="wide",
                ),
            ),
            given,
        )

    def known_height(self, job: Job) -> float | None:
        """How far off centre the tool of this job's cut may stand; None where not given."""
        return job.cutting.in_unit(self.unit).tool_height if job.cutting else None

    def kept_rows(self) -> list[Row]:
        """What the job's cut says of the tool's height: the limit that lesson 05 counts with."""
        if self.job is None:
            return []
        known = self.known_height(self.job)
        told = "not given; lesson 05 keeps it, under “The cut”"
        if known is not None:
            told = f"± {length_text(known, self.unit)}, as lesson 05 counts it"
        return [Row("Tool's height in the job", told, answer=False, mark="wide")]
