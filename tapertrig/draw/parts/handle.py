"""A mark that a hand may take hold of: the control it moves, and how it goes with it."""

from __future__ import annotations

from dataclasses import dataclass

from matplotlib.artist import Artist


@dataclass
class Handle:
    """Marks of a scene that move the control of a panel named `control`, if it has one.

    `motion` is how they go as the control's value rises by one, in board units and radians: a way
    (across, up), or a turn (x, y of its centre, angle anticlockwise); empty when they cannot go.
    """

    control: str
    artists: tuple[Artist, ...]
    motion: tuple[float, ...] = ()

    def slides(self, across: float, up: float) -> None:
        """The marks go this way as the value rises by one."""
        self.motion = (float(across), float(up)) if across or up else ()

    def turns(self, x: float, y: float, angle: float) -> None:
        """The marks turn about (x, y), anticlockwise, as the value rises by one."""
        self.motion = float(x), float(y), float(angle)

    def rests(self) -> None:
        """There is nothing to take hold of in this state."""
        self.motion = ()
