"""How a picture looks: its placements, colour by role, never a global setting."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from tapertrig.limits import one_of

STYLE_NAMES = ("desk", "projector")
NARROW = "narrow"

# Each role has one colour and one line in every picture. All lines and letters are at least 7:1
# on white (WCAG 2.1, contrast) and differ in line as well as hue.
COLOURS = {
    "paper": "#ffffff",
    "ink": "#1a1a1a",
    "axis": "#4a4a4a",
    "compound": "#0a3f8f",
    "cross": "#8f2a00",
    "axial": "#00563f",
    "angle": "#6b1a7a",
    "guide": "#555555",
    "metal": "#ebf0f4",
    "metal edge": "#46525c",
    "brass": "#f7ead0",
    "band": "#ddf2e8",
}

# Centre lines are chain lines (ISO 128); the three sides of the setup triangle tell apart in
# black and white too.
DASHES: dict[str, Any] = {
    "axis": (0, (14, 3, 2.5, 3)),
    "compound": "solid",
    "cross": (0, (6, 2.2)),
    "axial": (0, (2, 1.6)),
    "angle": "solid",
    "guide": (0, (4, 3)),
    "ink": "solid",
}


@dataclass(frozen=True)
class Style:
    """One placement of a scene: its size and the sizes of what is drawn on it, in pixels.

    Where `spare`, there is room above and below the scene: every label looks for a clear place,
    and what finds none is left out.
    """

    name: str
    width: int
    height: int
    sizes: dict[str, float]
    line: float
    spare: bool = False
    colours: dict[str, str] = field(default_factory=lambda: dict(COLOURS))

    @property
    def scale(self) -> float:
        """Size of a mark beside its size in the desk style."""
        return self.line / DESK_LINE

    def colour(self, role: str) -> str:
        """The colour of a role; KeyError when there is none of that name."""
        return self.colours[role]

    def stroke(self, role: str, weight: float = 1.0) -> dict[str, Any]:
        """Keyword arguments of a matplotlib line for a role, `weight` times the usual width."""
        return {
            "color": self.colour(role),
            "linestyle": DASHES.get(role, "solid"),
            "linewidth": self.line * weight,
            "solid_capstyle": "round",
            "dash_capstyle": "butt",
        }


DESK_LINE = 2.6
STYLES = {
    "desk": Style("desk", 1280, 720, {"label": 28, "small": 25, "large": 38}, DESK_LINE),
    # A panel that fills a screen of 1920 × 1080 shows this at least 1,430 pixels wide. Cap height
    # is 0.73 of the size in DejaVu Sans, so 43 px comes out at 28 px there.
    "projector": Style("projector", 1600, 900, {"label": 46, "small": 43, "large": 56}, 4.6),
    # JupyterLab on a phone 390 px wide leaves it 320: its words are 12 px high there.
    NARROW: Style(NARROW, 360, 330, {"label": 14, "small": 13.6, "large": 17}, 1.1, True),
}


def style_named(name: str) -> Style:
    """The style a panel is asked for by that name; ValueError when there is none."""
    return STYLES[one_of("style", name, STYLE_NAMES)]
