"""Lesson 05: what an error of the half angle does to the cone and to the gauge that mates it."""

from __future__ import annotations

from tapertrig.angle import Angle
from tapertrig.budget import error_from_blue, too_large_by_blue
from tapertrig.cone import Cone
from tapertrig.draw.angle_effect import LARGEST_ERROR, AngleEffectScene, EffectState
from tapertrig.draw.parts.magnified import signed_arc_text
from tapertrig.job import Job
from tapertrig.lathe import length_text, places_written
from tapertrig.panels.parts.board import Row, Words
from tapertrig.panels.parts.controls import angle, choice, quantity
from tapertrig.panels.parts.job_list import JobList

NO_BLUE, ENDS = "no blue read", ("small end", "large end")
INTERNAL, EXTERNAL = "internal, with a plug gauge", "external, with a ring gauge"


class AngleEffect(JobList[EffectState]):
    """A cone with its half angle out by a little, and where a true gauge touches it."""

    title = "What an angle error does"
    scene = AngleEffectScene
    main = "angle_error"
    lathe_in_sight = False

    def make_controls(self) -> None:
        self.job_list()
        inch = self.unit == "in"
        face, length, step = (1.418, 0.64, 0.001) if inch else (36.0, 16.0, 0.01)
        largest = LARGEST_ERROR.brief()
        self.angle_error = angle("Half angle out by", "0°03′", f"-{largest}", largest, "0°00′05″")
        self.half_angle = angle("Half angle", "20°43′", "2°", "70°")
        self.face_diameter = quantity("Face diameter", face, face / 4, face * 2, step, self.unit)
        self.length = quantity("Cone length", length, length / 8, length * 4, step, self.unit)
        self.kind = choice("Cone", [INTERNAL, EXTERNAL])
        film, over, fine = (0.0002, 0.3, 0.00005) if inch else (0.005, 8.0, 0.001)
        self.film = quantity(
            "Film of blue", film, film / 10, film * 10, fine, self.unit, 5 if inch else 3,
            optional=True,
        )  # fmt: skip
        self.shows_at = choice("On my part blue shows at", [NO_BLUE, *ENDS])
        self.shows_over = quantity(
            "over, along the wall", over, over / 15, over * 8, step, self.unit
        )

    def put_job(self, job: Job) -> None:
        """The job's cone."""
        self.put_cone(job)
        self.kind.value = INTERNAL if job.callout.internal else EXTERNAL
        self.read_state()

    def read_state(self) -> EffectState:
        cone = Cone(
            self.half_angle.angle,
            self.face_diameter.value,
            self.length.value,
            self.kind.value == INTERNAL,
        )
        return EffectState(cone, self.angle_error.angle, self.unit, self.film.value)

    def words(self, state: EffectState) -> Words:
        fit, cone = state.fit, state.cone
        fine = places_written(self.unit) + 1
        kind = "internal" if cone.internal else "external"
        given = (
            f"An {kind} cone of half angle {cone.half_angle.brief()}, "
            f"{length_text(self.length.value, self.unit)} long, right at the face, with its half "
            f"angle out by {self.error_in_words(state.angle_error)}."
        )
        if fit.gap:
            finding = (
                f"A true {state.gauge} touches at the {fit.contact}; at the {fit.gap_at} there is "
                f"a gap of {length_text(fit.gap_on_radius, self.unit, fine)} on radius."
            )
        else:
            finding = f"A true {state.gauge} touches along the whole wall."
        far = "small end" if cone.internal else "large end"
        out_by = length_text(fit.far_diameter_error, self.unit, fine)
        return Words(
            f"{given} {finding}",
            (
                Row("Gauge touches at", fit.contact),
                Row("Gap at", fit.gap_at),
                Row("Gap, square to the wall", length_text(fit.gap, self.unit, fine)),
                Row("Gap, on radius", length_text(fit.gap_on_radius, self.unit, fine)),
                Row(f"Diameter out at the {far}", out_by if out_by[0] == "−" else f"+{out_by}"),
                Row("Gauge stands off by", length_text(fit.stand_off, self.unit, fine)),
                self.blue_shown(state),
                *self.read_backwards(state),
            ),
            given,
        )

    def blue_shown(self, state: EffectState) -> Row:
        """How far blue shows with the half angle out as it is."""
        if state.blue is None:
            return Row("Blue", "how thick the film is: not given", answer=False)
        if state.blue >= state.wall:
            return Row("Blue shows", "all along the wall")
        over = length_text(state.blue, self.unit, self.length.places)
        return Row("Blue shows at", f"{state.fit.contact}, over about {over}")

    def read_backwards(self, state: EffectState) -> list[Row]:
        """What blue on a part of one's own tells: which way to swing, and about how much."""
        at, over = self.shows_at.value, self.shows_over.value
        if at == NO_BLUE:
            return []
        if over > state.wall:
            raise ValueError(
                f"blue shows over {length_text(over, self.unit)}; this cone's wall is only "
                f"{length_text(state.wall, self.unit)} long"
            )
        large = too_large_by_blue(state.cone.internal, at)
        way = ("too large", "swing back") if large else ("too small", "swing further")
        if state.film is None:
            told = f"The half angle is {way[0]}: {way[1]}. How much: no film is given."
        else:
            low, about, high = (
                _roughly(error_from_blue(state.film * times, over)) for times in (0.5, 1.0, 2.0)
            )
            told = (
                f"The half angle is {way[0]}: {way[1]} about {about}. With the film half or twice "
                f"as thick that is {low} or {high}, so it is a rough figure and no measurement. "
                "Swing, cut lightly, and blue it again, the spindle stopped and isolated."
            )
        return [Row("My blue, read backwards", told, answer=False, mark="wide")]

    def error_in_words(self, error: Angle) -> str:
        """The angle error with its sign, or nothing."""
        return signed_arc_text(error.radians) if error.arc_seconds else "nothing"


def _roughly(error: Angle) -> str:
    """An angle in whole minutes, or in tens of seconds: blue tells no more."""
    seconds = float(error.arc_seconds)
    return f"{seconds / 60:.0f}′" if seconds >= 90 else f"{max(10, round(seconds, -1)):.0f}″"
