"""Parts of the lathe seen from above, as the scenes share them.

Headstock to the left, tailstock to the right, the operator below the picture.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tapertrig.draw.parts.scene import Scene, box


class Quill:
    """The tailstock quill on the spindle axis, drawn once, and the tailstock it comes from.

    `side` is the height of the quill's operator side: the line the indicator bears on.
    """

    def __init__(
        self, scene: Scene, left: float, right: float, axis: float, half_width: float
    ) -> None:
        self.side = axis - half_width
        low, high, bevel = axis - half_width, axis + half_width, 0.3 * half_width
        scene.area(
            "metal",
            [
                (left + bevel, low),
                (right, low),
                (right, high),
                (left + bevel, high),
                (left, high - bevel),
                (left, low + bevel),
            ],
            moving=False,
            clear=True,
        )
        scene.area(
            "metal",
            box(right, axis - 1.35 * half_width, right + 0.9, axis + 1.35 * half_width),
            moving=False,
            clear=True,
        )


class Compound:
    """The compound slide with its crank, tool post and indicator."""

    def __init__(self, scene: Scene, width: float) -> None:
        self.width = width
        self.slide = scene.area("brass", clear=True, zorder=3)
        self.crank = scene.line("metal edge", weight=1.6, zorder=3, clear=False)
        self.post = scene.area("metal", weight=0.8, zorder=7)
        self.stem = scene.line("ink", weight=0.9, zorder=8, clear=False)
        self.point = scene.line(
            "ink",
            marker="o",
            markersize=4.5 * scene.style.scale,
            linestyle="none",
            zorder=9,
            clear=False,
        )

    def move(
        self, head: NDArray, handle: NDArray, post: NDArray, tip: NDArray
    ) -> NDArray[np.float64]:
        """Put the slide from its headstock end to its handle end, the post and the indicator.

        Returns the unit vector along the slide, from headstock end to handle end.
        """
        along = (handle - head) / np.linalg.norm(handle - head)
        side = np.array([-along[1], along[0]]) * self.width / 2
        self.slide.set_xy([head - side, handle - side, handle + side, head + side])
        knob = handle + along * 0.35
        across = side / self.width
        self.crank.set_data(*np.array([handle, knob, knob + across, knob - across, knob]).T)
        reach, half = side * 0.75, along * 0.4 * self.width / 0.9
        self.post.set_xy(
            [post - reach - half, post - reach + half, post + reach + half, post + reach - half]
        )
        self.stem.set_data(*np.array([post, tip]).T)
        self.point.set_data([tip[0]], [tip[1]])
        return along
