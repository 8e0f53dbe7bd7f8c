"""Lesson 02: a line across two parallels, and the lathe it becomes."""

from __future__ import annotations

from dataclasses import replace

from tapertrig.demo import LATHES
from tapertrig.draw.parallel_lines import PAIRS, ParallelLinesScene, ParallelLinesState
from tapertrig.lathe import BASE_ZEROS
from tapertrig.panels.parts.board import Row, Words
from tapertrig.panels.parts.controls import angle, choice, quantity
from tapertrig.panels.parts.panel import Panel

INTERNAL = "internal, large end at the face"
EXTERNAL = "external, small end at tailstock"


class ParallelLines(Panel[ParallelLinesState]):
    """Equal and supplementary angles; which of them is the half angle on the lathe."""

    title = "A line across two parallels"
    scene = ParallelLinesScene
    main = "angle"
    has_unit = False

    def make_controls(self) -> None:
        self.angle = angle("Angle of the line", "34°10′", "20°", "75°")
        self.turn = quantity("Turn into the lathe", 0.0, 0.0, 1.0, 0.01)
        self.pair = choice("Look at", list(PAIRS))
        self.cone = choice("Cone", [INTERNAL, EXTERNAL])
        self.base_zero = choice("Base zero", BASE_ZEROS)

    def read_state(self) -> ParallelLinesState:
        lathe = next(lathe for lathe in LATHES.values() if lathe.unit == self.unit)
        return ParallelLinesState(
            self.angle.angle,
            self.turn.value,
            self.cone.value == INTERNAL,
            replace(lathe, base_zero=self.base_zero.value),
            self.pair.value,
        )

    def words(self, state: ParallelLinesState) -> Words:
        equal = ", ".join(str(number) for number in state.acute)
        given = f"A line crosses two parallels at {state.angle.brief()}"
        half = ", ".join(str(number) for number in state.half_angle_marks)
        rows = [
            Row("Angle of the line", state.angle.brief(), answer=False),
            Row("Half angle", f"marks {half}")
            if state.is_lathe
            else Row("Equal angles, all a", f"marks {equal}"),
            Row("The others, all b", state.other.brief()),
        ]
        if state.looked_at:
            told = self._pair_in_words(state, *state.looked_at)
            rows.append(Row("Looked at", told, mark="wide"))
        if not state.is_lathe:
            return Words(
                f"{given}: marks {equal} are equal, the other four are {state.other.brief()}.",
                tuple(rows),
                f"{given}. Which of the marks are equal, and which make 180°?",
            )
        swing = "away from you" if state.internal else "towards you"
        reading = state.base_reading.brief()
        rows += [
            Row("Base reads", f"{reading} = {'90° − a' if state.square else 'a'}"),
            Row("Headstock end swings", swing),
        ]
        cone = "internal" if state.internal else "external"
        zero = state.lathe.base_zero
        return Words(
            f"The slide crosses the spindle axis and the quill side at {state.angle.brief()}, the "
            f"half angle of the {cone} cone: marks {half}. Its headstock end swings {swing}; "
            f"with its zero {zero} the base reads {reading}.",
            tuple(rows),
            f"The half angle of this {cone} cone is {state.angle.brief()}; the base's zero is "
            f"{zero}. The slide is not drawn swung: you say which way. Which marks are the half "
            "angle?",
        )

    @staticmethod
    def _pair_in_words(state: ParallelLinesState, one: int, other: int) -> str:
        sizes = f"{state.size(one).brief()} and {state.size(other).brief()}"
        kind = next(iter(PAIRS[state.pair]))
        equal = "equal" if state.size(one) == state.size(other) else "together 180°"
        return f"{one} and {other} are {kind}: {sizes}, {equal}"
