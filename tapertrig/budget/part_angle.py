"""The part's angle: the slide's set angle, and what the cut adds that no check of the slide sees.

The slide's check tells the straight line between two places on the slide. The cone is cut along
its own piece of the slide, by a tool at its own height, under load and warm.
"""

from __future__ import annotations

import math

from tapertrig.boring import tool_height_effect
from tapertrig.budget.rows import ANGLE, LENGTH, WARMTH, Budget, Source, Summed
from tapertrig.cone import Cone
from tapertrig.job import Cutting
from tapertrig.limits import finite


def part_angle(slide: Summed, cone: Cone, cutting: Cutting) -> Budget:
    """The budget of the part's half angle, after that of the slide it was cut with.

    Sensitivities by plane geometry: over a wall ℓ = length/cos α a length square to it turns it by
    1/ℓ; the tool's height by the best-fit cone of `tool_height_effect`, at its limit; a face
    warmer by 1 °C by cos²α × expansion × mean diameter ÷ (2 × length). ValueError for a cone
    without length.
    """
    if cone.length is None:
        raise ValueError("this cone has no length; without it nobody can say what the cut adds")
    length = finite("cone length", cone.length, 0.64)
    cosine = math.cos(cone.half_angle.radians)
    per = cosine / length
    face, far = cone.face_diameter, float(cone.diameter_at(length))
    height = cutting.tool_height or 0.0
    turned = abs(tool_height_effect(cone, height).angle_error) if height else 0.0
    warm = cosine**2 * (cutting.expansion or 0.0) * (face + far) / 2 / (2 * length)

    def row(
        name: str, limit: float | None, by: float, group: str, kind: str = LENGTH, also: str = ""
    ) -> Source:
        return Source(name, limit or 0.0, by, kind, cutting.origin + also, group=group)

    expands = f"; the part expands {(cutting.expansion or 0.0) * 1e6:g} × 10⁻⁶ per °C"
    tilted = cutting.warmth if cutting.expansion else 0.0
    load = cutting.load.radians if cutting.load else 0.0
    return Budget(
        "The part's angle",
        (
            Source(
                "slide's set angle", slide.standard_uncertainty, 1.0, ANGLE, "its own budget",
                "normal", slide.degrees_of_freedom, group="slide", of=slide,
            ),
            row("slide out of straight where the cone begins", cutting.straightness, -per,
                "straightness"),
            row("slide out of straight where the cone ends", cutting.straightness, per,
                "straightness"),
            row("tool off centre height", height, turned / height if height else 0.0,
                "tool height"),
            row("nose wearing along the cut", cutting.tool_wear, per, "tool wear"),
            row("load and gibs", load, 1.0, "load and gibs", ANGLE),
            row("spring of bar and part along the cut", cutting.spring, per, "spring"),
            row("face warmer than the far end", tilted, warm, "temperature gradient", WARMTH,
                expands),
        ),
        remarks=(TOOL_HEIGHT,) * bool(height),
    )  # fmt: skip


TOOL_HEIGHT = (
    "A tool off centre always cuts too small an angle, as the square of its height; it is taken "
    "either way, at its limit, because nobody corrects for it."
)
