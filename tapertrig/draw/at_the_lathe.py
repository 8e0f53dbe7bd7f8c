"""The needle at the lathe: the aim, its tolerance, the zone that is proven, the passes so far."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapertrig.draw.parts.magnified import arc_end, arc_end_text
from tapertrig.draw.parts.redrawn import RedrawnScene
from tapertrig.next_tap import angle_said

PIVOT = 8.0, -1.6
RADIUS, SPAN = 8.6, np.radians(46)
BAND, NAMED = 0.6, 3


@dataclass(frozen=True)
class PassMark:
    """A pass on the scale: half angle read less the one wanted, arc-seconds, and its name."""

    off: float
    name: str = ""
    struck: bool = False


@dataclass(frozen=True)
class AtTheLatheState:
    """What the needle shows; angles in arc-seconds, None where there is none.

    `now` is what the needle stands at and `doubt` how far that may be out; `passes` are all taken
    so far, the last one last. `said` are lines to be read from afar: the first large.
    """

    aim: str
    passes: tuple[PassMark, ...]
    now: float | None
    doubt: float | None
    tolerance: float | None
    room: float | None
    said: tuple[str, ...]

    @property
    def end(self) -> int:
        """Where the scale ends: it holds the tolerance, the needle and its doubt."""
        reach = 0.0 if self.now is None else abs(self.now)
        return arc_end(
            max(60, 1.3 * (self.tolerance or 0), 1.1 * reach, reach + 1.5 * (self.doubt or 0))
        )


class AtTheLatheScene(RedrawnScene):
    """A scale with its zero, the aim, on top: left of it not swung far enough, right too far."""

    def draw(self, state: AtTheLatheState) -> None:
        self.end = state.end
        # Where there is room below the scene, letters are larger beside it.
        drop = 1.5 if self.style.spare else 0.0
        whole = np.linspace(-1.0, 1.0, 61) * self.end
        self.line("ink", *self.at(whole, RADIUS).T, weight=0.9)
        self.band("brass", state.tolerance)
        self.band("band", state.room)
        self.scale(state.aim)
        self.named("tolerance", state.tolerance, 1)
        self.named("proven", state.room, -1)
        for one in state.passes:
            self.past(one)
        for one in [one for one in state.passes if not one.struck][-NAMED:]:
            wish = self.label(size="small", leader=True)
            self.say_at(wish, one.name, self.at(one.off, RADIUS - BAND - 1.75)[0], direction=-90)
        if state.now is not None:
            self.needle(state.now, state.doubt or 0.0)
        for text, x, way in (("not far enough", 0.4, 0.0), ("too far", 15.6, 1.0)):
            self.put(self.label(size="small", free=False), text, x, 2.5 - drop / 2, way, 0.5)
        y = 2.6 - drop
        for size, text in zip(("large", "label", "small", "small"), state.said, strict=False):
            wish = self.label(size=size, free=False, bold=size == "large")
            self.put(wish, text, 8.0, y, 0.5, 0.5)
            y -= self.style.sizes[size] / self.pixels_per_unit * 1.5

    def at(self, off: ArrayLike, radius: ArrayLike) -> NDArray[np.float64]:
        """Board points, shape (n, 2), of arc-seconds off the aim; off the scale, past its end."""
        turn = SPAN * np.clip(np.atleast_1d(np.asarray(off, float)) / self.end, -1.06, 1.06)
        return np.column_stack([PIVOT[0] + radius * np.sin(turn), PIVOT[1] + radius * np.cos(turn)])

    def ring(self, low: float, high: float, inner: float, outer: float) -> NDArray[np.float64]:
        """The corners of a part of the ring between two radii."""
        along = np.linspace(low, high, 31)
        return np.concatenate([self.at(along, outer), self.at(along[::-1], inner)])

    def band(self, fill: str, half: float | None) -> None:
        if half is not None:
            corners = self.ring(-half, half, RADIUS - BAND, RADIUS)
            self.area(fill, corners, clear=True)

    def named(self, what: str, half: float | None, side: int) -> None:
        """A band's name, beside the end of it that has room."""
        if half is not None:
            wish = self.label(size="small", leader=True)
            outward = 90 - np.degrees(SPAN) * side * half / self.end
            text = f"{what} ± {angle_said(half)}"
            self.say_at(wish, text, self.at(side * half, RADIUS)[0], direction=float(outward))

    def scale(self, aim: str) -> None:
        self.put(self.label(free=False, bold=True), aim, *self.at(0, RADIUS + 0.75)[0])
        for part in np.linspace(-1, 1, 21):
            long = round(part * 10) % 5 == 0
            foot = self.at(part * self.end, RADIUS + (0.34 if long else 0.18))
            self.line(
                "ink", *np.concatenate([self.at(part * self.end, RADIUS), foot]).T, weight=0.6
            )
        for part in (-1.0, -0.5, 0.5, 1.0):
            text = f"{'−' if part < 0 else '+'}{arc_end_text(abs(part) * self.end)}"
            wish = self.label(size="small", free=False)
            self.put(wish, text, *self.at(part * self.end, RADIUS + 0.8)[0])

    def past(self, one: PassMark) -> None:
        """A pass as a short line inside the bands; one struck out is faint."""
        ends = np.concatenate([self.at(one.off, RADIUS - BAND - r) for r in (0.25, 1.5)])
        if one.struck:
            self.line("guide", *ends.T, weight=0.35)
        else:
            self.line("cross", *ends.T, weight=0.9, linestyle="solid")

    def needle(self, now: float, doubt: float) -> None:
        if doubt:
            corners = self.ring(now - doubt, now + doubt, RADIUS - BAND - 0.2, RADIUS - BAND)
            self.area("metal", corners, clear=True, zorder=6)
        ends = np.concatenate([self.at(now, r) for r in (5.2, RADIUS - 0.05)])
        self.line("compound", *ends.T, weight=2.2, zorder=8)
