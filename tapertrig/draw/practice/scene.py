"""The scene that draws a problem's Figure, and its drawing for a printed worksheet."""

from __future__ import annotations

from functools import lru_cache

from tapertrig.draw.parts.drawing import Drawing
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
SHEET_MARGIN = 2


class PracticeScene(RedrawnScene):
    """A problem's Figure: what is given is labelled, what is asked bears a question mark."""

    def draw(self, figure: Figure) -> None:
        sketch = Sketch(self, figure)
        DRAWINGS[figure.kind](sketch)
        sketch.rest()


@lru_cache(maxsize=1)
def _sheet_drawing() -> Drawing:
    return Drawing(PracticeScene(SHEET))


def sheet_drawing(figure: Figure, in_page: bool = False) -> str:
    """A problem's figure as SVG text for a printed worksheet, or as a part of a page.

    Empty paper above and below is cut away, so that letters can be large and ten problems still
    fill a page.
    """
    drawing = _sheet_drawing()
    drawing.show(figure)
    return drawing.svg(SHEET_MARGIN, figure.words if in_page else "")
