"""A graduated collar seen from the front: graduations pass an index line."""

from __future__ import annotations

import numpy as np

from tapertrig.draw.parts.scene import Scene, box
from tapertrig.lathe import Dial

SHOWN = 24
NUMBERED = 10


class DialCollar:
    """Part of a scene: a dial's collar at a place, its graduations moving past the index.

    `x`, `y` is the middle of the collar in board units. Numbers rise to the left, so a growing
    reading carries the collar to the right past the index line. Turned by hand it moves `control`,
    the movement of its slide.
    """

    def __init__(
        self, scene: Scene, x: float, y: float, width: float, height: float, control: str = ""
    ) -> None:
        self.scene, self.x, self.y, self.width, self.height = scene, x, y, width, height
        half, up = width / 2, height / 2
        body = scene.area(
            "metal",
            box(x - half, y - up, x + half, y + up),
            moving=False,
            clear=True,
        )
        self.ticks = scene.line("ink", weight=0.5, clear=False, zorder=6)
        self.handle = scene.handle(control, self.ticks, body) if control else None
        scene.line(
            "ink",
            [x, x],
            [y + up * 0.94, y + up * 1.3],
            weight=1.6,
            moving=False,
            clear=False,
            zorder=7,
            linestyle="solid",
        )
        self.name = scene.label(size="small", free=False)
        # Half of a three-figure number, and a little air, inside the collar's ends.
        self.edge = scene.style.sizes["small"] / scene.pixels_per_unit + 0.06
        self.numbers = [scene.label(size="small", free=False) for _ in range(4)]

    def move(self, dial: Dial, reading: float, caption: str) -> None:
        """Turn the collar to a reading, in what the dial shows."""
        spacing = self.width / SHOWN
        place = reading / dial.graduation
        if self.handle is not None:
            self.handle.slides(spacing / dial.movement_per_graduation, 0)
        marks = np.arange(np.ceil(place - SHOWN / 2 + 0.2), np.floor(place + SHOWN / 2 - 0.2) + 1)
        x = self.x + (place - marks) * spacing
        on_dial = np.round(marks).astype(int) % dial.graduations_per_turn
        reach = np.where(on_dial % 10 == 0, 0.55, np.where(on_dial % 5 == 0, 0.42, 0.3))
        top = self.y + self.height / 2
        gap = np.full_like(x, np.nan)
        self.ticks.set_data(
            np.column_stack([x, x, gap]).ravel(),
            np.column_stack([np.full_like(x, top), top - reach * self.height, gap]).ravel(),
        )
        numbered = [
            (number, number_x)
            for number, number_x in zip(on_dial, x, strict=True)
            if number % NUMBERED == 0 and abs(number_x - self.x) < self.width / 2 - self.edge
        ]
        low = self.y - self.height / 2 + 0.04
        for index, wish in enumerate(self.numbers):
            if index < len(numbered):
                number, number_x = numbered[index]
                self.scene.put(wish, str(number), number_x, low, 0.5, 0.0)
            else:
                wish.label.set_visible(False)
        self.scene.put(self.name, caption, self.x, top + self.height * 0.2, 0.5, 0.0)

    def blank(self, caption: str) -> None:
        """A collar that nobody has described: no graduations, no numbers."""
        self.ticks.set_data([], [])
        for wish in self.numbers:
            wish.label.set_visible(False)
        self.scene.put(self.name, caption, self.x, self.y + self.height * 0.7, 0.5, 0.0)
