"""Lesson 07: a ball in a bored cone, the height it stands at, and what that proves."""

from __future__ import annotations

import contextlib
from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from typing import Any

import ipywidgets

from tapertrig.angle import Angle
from tapertrig.cone import Cone
from tapertrig.draw.ball_in_bore import BallInBoreScene, BoreState
from tapertrig.gauging import (
    HeightWindow,
    ball_clearance,
    ball_height,
    ball_rest,
    height_window,
    suitable_balls,
)
from tapertrig.gauging.inspection import ONE_BALL, TWO_BALLS, Inspection, headline
from tapertrig.job import Callout, Gauge, Instrument, Readings, Scatter, StatedAngle
from tapertrig.lathe import in_unit, length_text, places_written
from tapertrig.panels.parts.board import Row, Words
from tapertrig.panels.parts.controls import Control, Quantity, angle, choice, quantity, switch
from tapertrig.panels.parts.measuring import (
    BALL_SETS,
    correlation_rows,
    result_rows,
    rule_choice,
    settling_words,
)
from tapertrig.panels.parts.panel import Panel

GRADUATIONS = {"in": (0.001, 0.0005, 0.0001), "mm": (0.02, 0.01, 0.002)}
OWN_BALL = "another size"
PRINTS = {"in": (1.418, 1.421, 0.64), "mm": (36.0, 36.08, 16.0)}
SCATTER_ORIGIN = "twenty readings of one ball, invented"
HALF_ANGLE, HALF_ANGLE_TOLERANCE = Angle.parse("20°43′"), Angle.parse("0°06′")


def depth_words(parallel: float, top: float, unit: str) -> str:
    """What a depth micrometer reads on its parallels, and where the sign of a height comes from."""
    reads = length_text(parallel - top, unit)
    over = f"on parallels of {length_text(parallel, unit)}" if parallel else "on the face itself"
    stands = (
        f"+{length_text(top, unit)}, proud" if top >= 0 else f"−{length_text(-top, unit)}, below"
    )
    return f"{reads} {over}: {parallel:.{places_written(unit)}f} − {reads} = {stands}"


def place_rows(state: BoreState) -> list[Row]:
    """Contact circle and its clearances, the micrometer's reading, what calipers would say."""
    unit, rows = state.unit, []
    for ball, rest in zip(state.balls, state.rests, strict=True):
        if rest.reason or rest.contact is None:
            continue
        clear = ball_clearance(state.measured, ball, state.edge_break, state.floor_depth)
        rows.append(
            Row(
                f"Ball {length_text(ball, unit)} touches",
                f"on ⌀ {length_text(rest.contact.diameter, unit)}, "
                f"{length_text(rest.contact.depth, unit)} below the face: "
                f"{length_text(clear.above, unit)} clear of the "
                f"{'edge' if state.break_given else 'face (edge break not given)'}, "
                f"{length_text(clear.below, unit)} of the bottom",
                mark="wide",
            )
        )
    top = state.rests[0].height
    if top is not None and state.was_read:
        rows.append(
            Row("Depth micrometer reads", depth_words(state.parallel, top, unit), mark="wide")
        )
    if state.edge is not None:
        rows.append(
            Row(
                "Calipers across the broken edge",
                f"{length_text(state.edge.outer, unit)}, too large by "
                f"{length_text(state.edge.outer_error, unit)}",
                mark="wide",
            )
        )
    return rows


def window_rows(state: BoreState, window: HeightWindow | None) -> list[Row]:
    """The tolerance as heights of the ball."""
    if window is None:
        return []
    unit = state.unit
    lines, fine = window.graduations(state.graduation), places_written(unit) + 1
    return [
        Row(
            "The print allows heights",
            f"from {length_text(window.lowest, unit)} to {length_text(window.highest, unit)}: "
            f"{lines:.3g} graduations of the micrometer",
            mark="wide",
        ),
        Row(
            "One graduation is",
            f"{length_text(state.graduation * state.measured.taper, unit, fine)} on the diameter",
            mark="wide",
        ),
    ]


class BallInBore(Panel[BoreState]):
    """One ball, or two, in the bore of an invented print: height to face diameter to verdict."""

    title = "Ball in the bore"
    scene = BallInBoreScene
    main = "height"

    def make_controls(self) -> None:
        unit, inch = self.unit, self.unit == "in"
        self.lower, self.upper, self.length = PRINTS[unit]
        self.diameter = (self.lower + self.upper) / 2
        self.own_unit = unit  # of the print and the micrometer, whatever unit is shown
        self._template = self._first_inspection()
        self._listed: tuple[object, ...] = ()
        step = 0.0001 if inch else 0.002
        ball, small = (1.25, 1.0625) if inch else (32.0, 27.0)
        most, least = (1.5625, 0.375) if inch else (40.0, 10.0)
        window = self._window(self._cone(HALF_ANGLE), ball)
        low, high = self._ends(window, step)
        size = (least, most, 0.0005 if inch else 0.01, unit, places_written(unit))
        self.height = quantity(
            "Height of the ball's top",
            round(window.expected / step) * step,
            low,
            high,
            step,
            unit,
            places_written(unit),
            "over the face, + proud",
        )
        own: list[tuple[str, float | None]] = [(OWN_BALL, None)]
        self.from_set = choice("Ball of the set", own)
        self.ball = quantity("Ball diameter", ball, *size)
        self.edge_break = quantity(
            "Edge break, axial depth",
            0.020 if inch else 0.5,
            0.0,
            0.12 if inch else 3.0,
            0.001 if inch else 0.02,
            unit,
        )
        self.has_floor = switch("The bore has a floor", True)
        self.floor_depth = quantity(
            "Depth to the floor",
            1.2 if inch else 30.0,
            self.length,
            1.3 if inch else 33.0,
            0.005 if inch else 0.1,
            unit,
        )
        self.half_angle = angle("Half angle", HALF_ANGLE, "15°", "38°")
        self.second = switch("Second ball, for the angle")
        self.small_ball = quantity("Smaller ball", small, *size)
        self.small_height = quantity(
            "Height of the smaller ball's top",
            round(self._expected(self._cone(HALF_ANGLE), small) / step) * step,
            -2.0 if inch else -50.0,
            2.0 if inch else 50.0,
            step,
            unit,
            places_written(unit),
        )
        self.graduation = choice("Micrometer reads to", self._graduations())
        self.half_angle_limit = angle("How sure of the half angle, ±", "0°02′", "0°00′30″", "0°10′")
        self.rule = rule_choice()

    def _graduations(self) -> list[tuple[str, float]]:
        return [
            (f"{value:g} {self.own_unit}", float(in_unit(value, self.own_unit, self.unit)))
            for value in GRADUATIONS[self.own_unit]
        ]

    def unit_changed(self, before: Mapping[str, Any]) -> None:
        # Print, part and micrometer stay; only how lengths are written changes.
        self.own_unit = before["own_unit"]
        for name in ("lower", "upper", "length", "diameter"):
            setattr(self, name, float(in_unit(before[name], before["unit"], self.unit)))
        kept = before["_template"]
        self._template = replace(kept, readings=kept.readings.in_unit(self.unit))
        picked = self.graduation.index
        self.graduation.options = self._graduations()
        self.graduation.index = picked
        height = self.height
        with contextlib.suppress(ValueError):
            cone = self._cone(self.half_angle.angle)
            low, high = self._ends(self._window(cone, self.ball.value), height.step)
            height.limit(min(low, height.value), max(high, height.value))
        self._list_balls()

    def _first_inspection(self) -> Inspection:
        """An inspection to change: all that stays the same is checked once."""
        cone, inch = self._cone(HALF_ANGLE), self.unit == "in"
        ball = 1.25 if inch else 32.0
        print_ = Callout(
            "half angle",
            HALF_ANGLE.brief(),
            self.lower,
            self.unit,
            diameter_plus=self.upper - self.lower,
            diameter_minus=0.0,
            angle_tolerance=HALF_ANGLE_TOLERANCE,
            tolerance_on="half angle",
            length=self.length,
        )
        read = Readings(
            ONE_BALL,
            self.unit,
            (Gauge(ball, 0.00005 if inch else 0.001),),
            ((float(ball_height(cone, ball)),),),
            instrument=Instrument("depth micrometer", 0.001 if inch else 0.02, 0.0),
            face_limit=0.0001 if inch else 0.002,
            scatter=Scatter(0.0002 if inch else 0.004, 19, SCATTER_ORIGIN),
        )
        return Inspection(print_, read)

    def _cone(self, half_angle: Angle) -> Cone:
        return Cone(half_angle, self.diameter, self.length)

    def _window(self, cone: Cone, ball: float) -> HeightWindow:
        return height_window(cone, ball, self.lower, self.upper)

    def _expected(self, cone: Cone, ball: float) -> float:
        return float(ball_height(cone, ball))

    def _ends(self, window: HeightWindow, step: float) -> tuple[float, float]:
        """The slider shows as much as the scale of the picture."""
        reach = 2.4 * (window.highest - window.lowest)
        middle = (window.highest + window.lowest) / 2
        return round((middle - reach) / step) * step, round((middle + reach) / step) * step

    def arrange(self) -> list[ipywidgets.Widget]:
        self.on_press("What would settle it", self.settle, "What turns “not proven” into a verdict")
        self._list_balls()
        self._show_used()
        return super().arrange()

    # -- controls that depend on each other -----------------------------------------------

    def moved(self, control: Control) -> None:
        if control is self.from_set:
            if control.value is None:
                return
            with self.quiet():
                self.ball.value = control.value
            control = self.ball
        if control in (self.second, self.has_floor):
            self._show_used()
        if control in (self.ball, self.half_angle, self.second, self.small_ball):
            with self.quiet():
                self._refit(control)
        self.render(control)
        fit = self.ball, self.half_angle, self.edge_break, self.has_floor, self.floor_depth
        if control in fit:
            self._list_balls()

    def _start(self, name: str, value: Any) -> None:
        super()._start(name, value)
        if name in ("ball", "half_angle", "second", "small_ball"):
            self._refit(self.controls[name])

    def _refit(self, control: Control) -> None:
        """The part stays; another ball, or another angle, stands at another height in it."""
        last = getattr(self, "last_state", None)
        face = last.face.value if last is not None and last.face is not None else self.diameter
        cone = replace(self._cone(self.half_angle.angle), face_diameter=face)
        with contextlib.suppress(ValueError):
            if control is not self.small_ball:
                height = self.height
                window = self._window(self._cone(cone.half_angle), self.ball.value)
                low, high = self._ends(window, height.step)
                height.limit(low, high)
                _put_height(height, self._expected(cone, self.ball.value))
            if self.second.value:
                _put_height(self.small_height, self._expected(cone, self.small_ball.value))

    def _list_balls(self) -> None:
        """The set's balls that fit, the one farthest from both ends of the cone first."""
        cone = self._cone(self.half_angle.angle)
        listed = _fitting(cone, self.unit, self.edge_break.value, self._floor())
        value = next((ball for _words, ball in listed if ball == self.ball.value), None)
        with self.quiet():
            if listed != self._listed:
                self._listed = listed
                self.from_set.options = [(OWN_BALL, None), *listed]
            self.from_set.value = value

    def _show_used(self) -> None:
        second = self.second.value
        for control in (self.small_ball, self.small_height):
            control.layout.display = None if second else "none"
        self.half_angle_limit.layout.display = "none" if second else None
        self.floor_depth.layout.display = None if self.has_floor.value else "none"

    def _floor(self) -> float | None:
        return self.floor_depth.value if self.has_floor.value else None

    # -- one state ------------------------------------------------------------------------

    def read_state(self) -> BoreState:
        cone = self._cone(self.half_angle.angle)
        second = self.second.value
        balls = (self.ball.value, self.small_ball.value)[: 1 + second]
        if second and not balls[0] > balls[1]:
            raise ValueError(
                f"the smaller ball is {balls[1]:g} and the other {balls[0]:g}; the smaller one "
                "must be smaller"
            )
        edge_break, floor = self.edge_break.value, self._floor()
        refusals = tuple(ball_rest(cone, ball, edge_break, floor).reason for ball in balls)
        inspection = None
        if not any(refusals):
            heights = (self.height.value, self.small_height.value)
            first = self._template
            limit = first.readings.gauges[0].limit
            known = StatedAngle(
                cone.half_angle, self.half_angle_limit.angle, "a sine bar check, invented"
            )
            read = replace(
                first.readings,
                method=TWO_BALLS if second else ONE_BALL,
                gauges=tuple(Gauge(ball, limit) for ball in balls),
                rows=tuple((height,) for height in heights[: len(balls)]),
                instrument=replace(first.instrument, graduation=self.graduation.value),
                stated_angle=None if second else known,
                edge_break=edge_break,
                rule=self.rule.value,
                floor_depth=floor,
            )
            asked = replace(first.callout, value=cone.half_angle.dms(3))
            inspection = Inspection(asked, read)
        return BoreState(
            cone,
            self.unit,
            balls,
            edge_break,
            floor,
            inspection,
            self.graduation.value,
            (self.lower, self.upper),
            refusals,
        )

    def render(self, cause: Control | None = None) -> None:
        """Draw, and say beside its control why a ball does not measure the cone."""
        super().render(cause)
        if self._blamed is not None:
            return
        refusals = self.last_state.refusals if self.last_state is not None else ()
        for name, refusal in zip(("ball", "small_ball"), (*refusals, "")[:2], strict=False):
            self.controls[name].complain(refusal)

    def words(self, state: BoreState) -> Words:
        unit = state.unit
        given = (
            f"A bore of half angle {state.cone.half_angle.brief()} and face diameter "
            f"{length_text(self.lower, unit)} to {length_text(self.upper, unit)}, its edge broken "
            f"{length_text(state.edge_break, unit)} deep, with "
            + ("balls of " if len(state.balls) > 1 else "a ball of ")
            + " and ".join(length_text(ball, unit) for ball in state.balls)
            + "."
        )
        rows = [Row("Nothing is measured", state.refusal, answer=False, mark="warning")]
        if state.inspection is not None:
            rows = [*result_rows(state.findings, unit), *correlation_rows(state.inspection)]
        rows += place_rows(state)
        if state.face is None or state.inspection is None:
            return Words(f"{given} {state.refusal.capitalize()}.", tuple(rows), given)
        with contextlib.suppress(ValueError):
            rows += window_rows(state, self._window(state.cone, state.balls[0]))
        scatter = state.inspection.readings.scatter
        if scatter is not None:
            told = f"s = {scatter.value:g} {unit} of one reading, from {scatter.origin}"
            rows.append(Row("Scatter", told, False, "wide"))
        rows.append(Row("Example", "Invented print, balls and micrometer.", False, "wide"))
        tops = [
            f"{length_text(abs(top), unit)} {'proud of' if top >= 0 else 'below'} the face"
            for (top,) in state.inspection.readings.rows
        ]
        own = "Their tops are" if len(tops) > 1 else "Its top is"
        given += f" {own} {' and '.join(tops)}."
        return Words(
            f"{given} The face diameter is {state.face.result(unit)}. {headline(state.findings)}.",
            tuple(rows),
            given,
        )

    def settle(self) -> None:
        """Tell what would turn “not proven” into a verdict."""
        inspection = self.read_state().inspection
        if inspection is None:
            raise ValueError("nothing is measured yet; choose a ball that rests on the cone")
        if self.hiding:
            raise ValueError("answers are hidden; show them first")
        self.tell(settling_words(inspection))


def _put_height(control: Quantity[float], height: float) -> None:
    height = round(height / control.step) * control.step
    control.value = min(max(height, control.minimum), control.maximum)


@lru_cache(maxsize=64)
def _fitting(
    cone: Cone, unit: str, edge_break: float, floor_depth: float | None
) -> tuple[tuple[str, float], ...]:
    choices = suitable_balls(cone, BALL_SETS[unit], edge_break, floor_depth)
    return tuple(
        (
            f"{length_text(one.ball_diameter, unit)}, top "
            f"{'+' if one.proud else '−'}{length_text(abs(one.height or 0.0), unit)}",
            one.ball_diameter,
        )
        for one in choices
        if one.fits
    )
