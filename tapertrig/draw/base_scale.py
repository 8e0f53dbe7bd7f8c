"""The degree scale of the compound base round its pointer, to scale, as a glass shows it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tapertrig.angle import Angle
from tapertrig.budget import diameter_error
from tapertrig.draw.parts.scene import BOARD_WIDTH, DOTS_PER_INCH, Scene, box
from tapertrig.lathe import MM_PER_INCH, Lathe, length_text

# About what a hand glass does, on a picture as wide as it usually stands on a screen.
MAGNIFICATION, PICTURE_INCHES = 5.0, 8.0
UNITS_PER_INCH = BOARD_WIDTH / PICTURE_INCHES * MAGNIFICATION
POINTER_X, RIM_Y = BOARD_WIDTH / 2, 6.7
RING, POINTER_LENGTH, NUMBER_DEPTH = 1.95, 1.0, 1.43
AIM_DEPTH = 1.08
LINE_LENGTHS = {10: 0.95, 5: 0.75, 1: 0.55}
# Of one degree of the rim, half is line and half is gap.
LINE_SHARE = 0.5
NUMBERED, NUMBERS = 10, 10
ERROR_X, ERROR_Y, ERROR_UNITS, ERROR_MINUTES = 1.0, 1.2, 8.0, 60
# A whole-degree scale is read to about a quarter of a degree: common practice, no source.
GOOD_EYE_MINUTES = 15
WORDS_X = 9.9
FAR_OFF = Angle.from_dms(5)


@dataclass(frozen=True)
class BaseScaleState:
    """A half angle to set by eye, and where the slide was set; lengths in the lathe's unit."""

    wanted: Angle
    swing: Angle
    lathe: Lathe
    cone_length: float

    @property
    def reading(self) -> Angle:
        """What the base scale shows at the swing."""
        return self._on_scale(self.swing)

    @property
    def wanted_reading(self) -> Angle:
        """What the base scale must show for the half angle wanted."""
        return self._on_scale(self.wanted)

    def _on_scale(self, half_angle: Angle) -> Angle:
        return half_angle if self.lathe.base_zero == "parallel to bed" else half_angle.complement()

    @property
    def error(self) -> Angle:
        """Half angle set less half angle wanted."""
        return self.swing - self.wanted

    @property
    def far_off(self) -> bool:
        """Whether the slide stands at another place on the scale altogether."""
        return abs(self.error) > FAR_OFF

    @property
    def diameter_error(self) -> float | None:
        """What the error does to the diameter over the cone length; None when far off."""
        if self.far_off or not 0 < self.swing.degrees < 90:
            return None
        return float(diameter_error(self.cone_length, self.wanted, self.error))

    @property
    def degree_width(self) -> float:
        """One degree along the rim of the scale."""
        return math.radians(1) * (self.lathe.base_radius or math.nan)

    @property
    def rim_radius(self) -> float:
        """Radius of the rim in board units."""
        per_inch = 1.0 if self.lathe.unit == "in" else MM_PER_INCH
        return (self.lathe.base_radius or math.nan) / per_inch * UNITS_PER_INCH


def error_text(error: Angle) -> str:
    """An error with its sign: +7′ or −2°10′."""
    sign = "−" if error.arc_seconds < 0 else "+"
    size = abs(error)
    if size < Angle.from_dms(1):
        return f"{sign}{round(size.minutes, 1):g}′"
    return f"{sign}{size.brief()}"


def from_pointer(state: BaseScaleState, reading: NDArray[np.float64] | float) -> NDArray:
    """Where a place of the scale stands: radians from the pointer, to the right positive.

    Swinging an internal cone's way turns the base clockwise, seen from above. Numbers rise to
    the left on a base whose zero is parallel to the bed, to the right on a square one.
    """
    right = 1.0 if state.lathe.base_zero == "parallel to bed" else -1.0
    return right * np.radians(state.reading.degrees - np.asarray(reading, float))


def on_base(
    state: BaseScaleState, turn: NDArray[np.float64] | float, depth: float
) -> NDArray[np.float64]:
    """Points at an angle from the pointer and a depth inside the rim: board units, (n, 2)."""
    radius = state.rim_radius - depth
    turn = np.atleast_1d(turn)
    return np.column_stack(
        [
            POINTER_X + radius * np.sin(turn),
            RIM_Y - state.rim_radius + radius * np.cos(turn),
        ]
    )


def lines_in_view(state: BaseScaleState) -> NDArray[np.int_]:
    """The whole degrees whose lines are in the picture, counted on past 0 and 90."""
    span = math.degrees(math.asin((POINTER_X + 0.3) / state.rim_radius))
    reading = state.reading.degrees
    return np.arange(math.ceil(reading - span), math.floor(reading + span) + 1)


def number_on_scale(degree: int) -> int:
    """The number engraved at a degree counted on: it falls again past 0 and past 90."""
    return abs((degree + 90) % 180 - 90)


class BaseScaleScene(Scene):
    """A stretch of the base's rim under the pointer; below it the error in minutes."""

    def build(self) -> None:
        self.plate = self.area("metal", edge=None, zorder=0.5)
        self.ring = self.area("brass", clear=True, zorder=1)
        self.marks = self.line("ink", solid_capstyle="butt", snap=False)
        self.pointer = self.line("ink", solid_capstyle="butt", snap=False)
        self.turned = self.handle("swing", self.marks, self.ring)
        self.numbers = [self.label(free=False) for _ in range(NUMBERS)]
        self.aim = self.line("angle", weight=0.9, zorder=8)
        self.gap = self.line("angle", weight=1.4, zorder=8)
        self.aim_words = self.label(role="angle", bold=True, free=False)
        self.task = self.label(bold=True, free=False)
        self.zero_words = self.label(size="small", free=False)
        self.size_bar = self.line("ink", weight=0.6)
        self.size_words = self.label(size="small", free=False)
        self.pointer_words = self.label(size="small", free=False)
        self._build_error()
        self.arrow = self.area("angle", edge=None, zorder=7)
        self.error_words = self.label(role="angle", bold=True, free=False)
        self.part_words = self.label(role="cross", bold=True, size="small", free=False)
        self.length_words = self.label(size="small", free=False)

    def _build_error(self) -> None:
        per_minute = ERROR_UNITS / 2 / ERROR_MINUTES
        middle = ERROR_X + ERROR_UNITS / 2
        good = GOOD_EYE_MINUTES * per_minute
        self.area(
            "band",
            box(middle - good, ERROR_Y, middle + good, ERROR_Y + 0.5),
            edge=None,
            moving=False,
        )
        ends = [ERROR_X, ERROR_X + ERROR_UNITS]
        self.line("ink", ends, [ERROR_Y, ERROR_Y], weight=0.6, moving=False)
        for minutes in range(-ERROR_MINUTES, ERROR_MINUTES + 1, 15):
            x = middle + minutes * per_minute
            numbered = minutes % 30 == 0
            low = ERROR_Y - (0.16 if numbered else 0.1)
            self.line("ink", [x, x], [low, ERROR_Y], weight=0.6, moving=False)
            if numbered:
                shown = f"{minutes:+d}′".replace("-", "−") if minutes else "0"
                self.caption(shown, x, low - 0.05, 0.5, 1.0)
        self.caption("your error; shaded: within a good eye", middle, ERROR_Y + 0.6, 0.5, 0)

    def move(self, state: BaseScaleState) -> None:
        self._move_bodies(state)
        self._move_lines(state)
        self._move_aim(state)
        self._say_task(state)
        self._move_error(state)

    def _move_bodies(self, state: BaseScaleState) -> None:
        self.turned.turns(POINTER_X, RIM_Y - state.rim_radius, -math.radians(1))
        span = math.asin((POINTER_X + 0.4) / (state.rim_radius - RING))
        turn = np.linspace(-span, span, 60)
        self.ring.set_xy(np.vstack([on_base(state, turn, 0.0), on_base(state, turn[::-1], RING)]))
        above = [(BOARD_WIDTH + 1, 10.0), (-1.0, 10.0)]
        self.plate.set_xy(np.vstack([on_base(state, turn, 0.0), above]))

    def _move_lines(self, state: BaseScaleState) -> None:
        width = LINE_SHARE * math.radians(1) * state.rim_radius
        points = width * self.pixels_per_unit * 72 / DOTS_PER_INCH
        degrees = lines_in_view(state)
        turn = from_pointer(state, degrees.astype(float))
        length = np.select(
            [degrees % 10 == 0, degrees % 5 == 0],
            [LINE_LENGTHS[10], LINE_LENGTHS[5]],
            LINE_LENGTHS[1],
        )
        outer = on_base(state, turn, 0.0)
        centre = np.array([POINTER_X, RIM_Y - state.rim_radius])
        inner = centre + (outer - centre) * (1 - length / state.rim_radius)[:, None]
        ends = np.stack([outer, inner, np.full_like(outer, np.nan)], axis=1).reshape(-1, 2)
        self.marks.set_data(*ends.T)
        self.marks.set_linewidth(points)
        self.pointer.set_data([POINTER_X, POINTER_X], [RIM_Y, RIM_Y + POINTER_LENGTH])
        self.pointer.set_linewidth(points)
        places = on_base(state, turn, NUMBER_DEPTH)
        numbered = [
            (number_on_scale(int(degree)), place)
            for degree, place in zip(degrees, places, strict=True)
            if degree % NUMBERED == 0 and 0.45 < place[0] < BOARD_WIDTH - 0.45
        ]
        for index, wish in enumerate(self.numbers):
            if index < len(numbered):
                number, place = numbered[index]
                self.put(wish, str(number), *place)
            else:
                wish.label.set_visible(False)

    def _move_aim(self, state: BaseScaleState) -> None:
        turn = float(from_pointer(state, state.wanted_reading.degrees))
        inner = on_base(state, turn, RING)[0]
        shown = not self.hide_answers and 0 < inner[0] < BOARD_WIDTH
        for line in (self.aim, self.gap):
            line.set_visible(shown)
        self.aim.set_data(*np.vstack([on_base(state, turn, d) for d in (0.0, AIM_DEPTH)]).T)
        self.gap.set_data(*on_base(state, np.linspace(0, turn, 20), AIM_DEPTH).T)
        told = f"{state.wanted_reading.brief()} is here" if shown else ""
        self.aim_words.label.set_text(told)
        reach = self.aim_words.label.width / self.pixels_per_unit / 2
        x = min(max(inner[0], reach + 0.2), BOARD_WIDTH - reach - 0.2)
        # Below the lower corner of the ring over the whole width of the words.
        corner = abs(x - POINTER_X) + reach
        radius = state.rim_radius - RING
        y = RIM_Y - state.rim_radius + math.sqrt(radius**2 - corner**2) - 0.1
        self.put(self.aim_words, told, x, y, 0.5, 1)

    def _say_task(self, state: BaseScaleState) -> None:
        self.put(self.task, f"set half angle {state.wanted.brief()}", 0.3, 8.3, 0, 0)
        self.put(self.pointer_words, "pointer line", POINTER_X + 0.4, RIM_Y + 1.0, 0, 0)
        self.put(self.zero_words, f"base zero: {state.lathe.base_zero}", 0.3, 7.75, 0, 0)
        inch = state.lathe.unit == "in"
        units = UNITS_PER_INCH * (0.1 if inch else 2 / MM_PER_INCH)
        left, right, y, tick = 15.6 - units, 15.6, 8.35, 0.12
        self.size_bar.set_data(
            [left, left, np.nan, left, right, np.nan, right, right],
            [y - tick, y + tick, np.nan, y, y, np.nan, y - tick, y + tick],
        )
        self.put(self.size_words, "0.1 in" if inch else "2 mm", left - 0.15, y, 1, 0.5)

    def _move_error(self, state: BaseScaleState) -> None:
        hidden = self.hide_answers
        middle = ERROR_X + ERROR_UNITS / 2
        minutes = min(max(state.error.minutes, -ERROR_MINUTES), ERROR_MINUTES)
        x = middle + minutes * ERROR_UNITS / 2 / ERROR_MINUTES
        beyond = abs(state.error.minutes) > ERROR_MINUTES
        side = math.copysign(0.4, minutes)
        tip = (
            [(x, ERROR_Y + 0.45), (x, ERROR_Y + 0.05), (x + side, ERROR_Y + 0.25)]
            if beyond
            else [(x, ERROR_Y), (x - 0.17, ERROR_Y + 0.45), (x + 0.17, ERROR_Y + 0.45)]
        )
        self.arrow.set_xy(tip)
        self.arrow.set_visible(not hidden)
        out = state.diameter_error
        unit = state.lathe.unit
        told = "how far out is it?" if hidden else f"out by {error_text(state.error)}"
        part = "" if hidden or out is None else f"diameter out {length_text(abs(out), unit)}"
        if not hidden and state.far_off:
            part = "too far out to say more"
        self.put(self.error_words, told, WORDS_X, 1.6, 0, 0)
        self.put(self.part_words, part, WORDS_X, 1.05, 0, 0)
        length = f"over {length_text(state.cone_length, unit)} of cone" if part else ""
        self.put(self.length_words, "" if state.far_off else length, WORDS_X, 0.5, 0, 0)
