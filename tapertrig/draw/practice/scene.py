"""The scene that draws a problem's Figure, and the small picture for a printed worksheet."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from tapertrig.draw.parts.picture import Picture, png
from tapertrig.draw.parts.redrawn import RedrawnScene
from tapertrig.draw.parts.style import Style
from tapertrig.draw.practice.cones import draw_angle, draw_bore, draw_cone, draw_tolerance
from tapertrig.draw.practice.gauges import draw_balls, draw_rolls
from tapertrig.draw.practice.lathe_parts import draw_base, draw_dial, draw_lost_motion
from tapertrig.draw.practice.sketch import Sketch
from tapertrig.draw.practice.triangles import (
    draw_budget,
    draw_parallel_lines,
    draw_setup_triangle,
)
from tapertrig.practice import Figure

DRAWINGS = {
    "angle": draw_angle,
    "parallel lines": draw_parallel_lines,
    "cone": draw_cone,
    "setup triangle": draw_setup_triangle,
    "dial": draw_dial,
    "base": draw_base,
    "lost motion": draw_lost_motion,
    "budget": draw_budget,
    "bore": draw_bore,
    "balls": draw_balls,
    "rolls": draw_rolls,
    "tolerance": draw_tolerance,
}
# A worksheet prints its figures 51 mm wide: letters of 25 pixels come out at 7.06 points.
SHEET = Style("sheet", 512, 288, {"label": 25, "small": 25, "large": 30}, 2.3)
SHEET_MARGIN = 1


class PracticeScene(RedrawnScene):
    """A problem's Figure: what is given is labelled, what is asked bears a question mark."""

    kind = "practice"

    def draw(self, figure: Figure) -> None:
        sketch = Sketch(self, figure)
        DRAWINGS[figure.kind](sketch)
        sketch.rest()


@lru_cache(maxsize=1)
def _sheet_picture() -> Picture:
    return Picture(PracticeScene(SHEET))


def sheet_drawing(figure: Figure) -> bytes:
    """A problem's figure as a small PNG for a printed worksheet.

    Empty paper above and below is cut away, so that letters can be large and ten problems still
    fill a page.
    """
    image = _sheet_picture().image(figure)
    paper = image.getpixel((0, 0))
    inked = np.flatnonzero((np.asarray(image) != paper).any(axis=1))
    top = max(0, inked[0] - SHEET_MARGIN)
    bottom = min(image.height, inked[-1] + 1 + SHEET_MARGIN)
    return png(image.crop((0, int(top), image.width, int(bottom))))
