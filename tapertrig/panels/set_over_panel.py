"""Lesson 12: a slight external taper between centres, with the tailstock set over."""

from __future__ import annotations

from tapertrig.cautions import BETWEEN_CENTRES
from tapertrig.draw.parts.magnified import arc_text, signed_arc_text
from tapertrig.draw.set_over import MOST, SetOverScene, SetOverState
from tapertrig.lathe import length_text
from tapertrig.panels.parts.board import Row, Words
from tapertrig.panels.parts.controls import angle, quantity
from tapertrig.panels.parts.panel import Panel

HOW_FAR = (
    "not given; loosen the tailstock's base screws, spindle stopped, and see on its witness mark "
    "or with an indicator how far it goes to one side"
)


class SetOver(Panel[SetOverState]):
    """How far to set the tailstock over, what the shop rule costs, whether this lathe can."""

    title = "Tailstock set over"
    scene = SetOverScene
    main = "half_angle"

    def make_controls(self) -> None:
        inch, unit = self.unit == "in", self.unit
        work, overall, most, between, step = (
            (8.4, 8.75, 0.6, 24.0, 0.01) if inch else (212.0, 221.0, 15.0, 600.0, 0.1)
        )
        self.half_angle = angle("Half angle", "1°20′", "0°02′", MOST.brief(), "0°00′10″")
        self.work_length = quantity(
            "Length between the centre points", work, work / 4, work * 4, step, unit
        )
        self.overall = quantity(
            "Length over all", overall, work / 4, work * 4, step, unit, optional=True
        )
        self.most = quantity(
            "Tailstock sets over by at most", most, most / 10, most * 4, step, unit, optional=True
        )
        self.between = quantity(
            "Lathe takes between centres", between, work / 4, between * 4, step, unit,
            optional=True,
        )  # fmt: skip

    def read_state(self) -> SetOverState:
        overall, work = self.overall.value, self.work_length.value
        if overall is not None and overall < work:
            raise ValueError(
                f"length over all is {length_text(overall, self.unit)}; it cannot be less than "
                f"the {length_text(work, self.unit)} between the centre points"
            )
        return SetOverState(
            self.half_angle.angle, work, self.unit, overall, self.most.value, self.between.value
        )

    def words(self, state: SetOverState) -> Words:
        unit = self.unit
        given = (
            f"A taper of half angle {state.half_angle.brief()} on work "
            f"{length_text(state.work_length, unit)} long between the centre points"
        )
        offset = length_text(state.set_over, unit)
        line, fine = (0.001, 3) if unit == "in" else (0.02, 2)
        worth = state.out_by(state.set_over + line)
        rows = [
            Row("Set the tailstock over by", offset),
            Row("Small end at the tailstock", "towards you", answer=False),
            Row(f"{line:.{fine}f} {unit} of set-over", f"{arc_text(worth.radians)} of half angle"),
            Row("Shop rule, L × taper ÷ 2", self.other(state, state.by_rule), mark="wide"),
        ]
        if state.overall is not None:
            # The slip goes with the sine, so that it alone is told.
            taken = state.set_over * state.overall / state.work_length
            rows.append(Row("By the length over all", self.other(state, taken), mark="wide"))
        rows += [
            Row("This tailstock", self.tailstock(state), mark="wide"),
            Row("Between centres", self.room(state), answer=False, mark="wide"),
            Row("Mind", " ".join(BETWEEN_CENTRES), answer=False, mark="wide"),
        ]
        return Words(
            f"{given} needs the tailstock set over by {offset}, towards you for a small end at the "
            f"tailstock: {state.verdict}.",
            tuple(rows),
            f"{given}.",
        )

    def other(self, state: SetOverState, offset: float) -> str:
        """Another set-over, and what it does to the cone."""
        out = state.out_by(offset).radians
        return f"{length_text(offset, self.unit)}, {signed_arc_text(out)} on the half angle"

    def tailstock(self, state: SetOverState) -> str:
        """Whether the tailstock goes so far."""
        if state.most is None:
            return HOW_FAR
        steepest = state.steepest
        reach = "" if steepest is None else f", which is {steepest.dm()} on this work"
        most = length_text(state.most, self.unit)
        does = "goes" if state.set_over <= state.most else "does not go that far: it goes"
        return f"{does} up to {most}{reach}"

    def room(self, state: SetOverState) -> str:
        """Whether the lathe takes work so long."""
        if state.between is None:
            return "not given; measure it with the tailstock at the end of the bed, quill in"
        told = length_text(state.between, self.unit)
        return f"{told}, enough" if state.whole <= state.between else f"{told}: this work is longer"
