"""Lines and areas that are quick to move: matplotlib's own, drawn without what no scene uses.

A `Line2D` looks for units, masks and markers each time it is moved, and a `Polygon` for hatches
and effects; that takes longer than all the geometry of a scene.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.lines import Line2D
from matplotlib.patches import Polygon
from matplotlib.path import Path
from numpy.typing import ArrayLike, NDArray

NOWHERE: NDArray[np.float64] = np.full((1, 2), np.nan)


class Stroke(Line2D):
    """A line through `points`, shape (n, 2); where one is not finite, the line is broken."""

    def set_linestyle(self, ls: Any) -> None:
        """“solid”, or a dash pattern in line widths from its start on: (0, lengths)."""
        super().set_linestyle(ls)
        self.pattern: tuple[float, ...] = () if isinstance(ls, str) else ls[1]

    def set_data(self, x: ArrayLike, y: ArrayLike) -> None:  # type: ignore[override]
        """Move to places of shape (n,) each."""
        points = np.array([x, y], float).T
        if np.array_equal(points, getattr(self, "points", NOWHERE)):
            return
        self.points: NDArray[np.float64] = points
        self._xorig, self._yorig = points.T
        self.stale = True

    def get_path(self) -> Path:
        """The line as a path."""
        return Path(self.points)

    def draw(self, renderer: Any) -> None:
        """Draw the line."""
        self.stale = False
        if not self.get_visible() or len(self.points) < 2:
            return
        renderer.open_group("line2d", self.get_gid())
        gc = renderer.new_gc()
        gc.set_foreground(self.get_color())
        gc.set_alpha(self.get_alpha())
        gc.set_linewidth(self.get_linewidth())
        width = self.get_linewidth()
        gc.set_dashes(0, [part * width for part in self.pattern] if self.pattern else None)
        gc.set_capstyle("butt" if self.is_dashed() else self.get_solid_capstyle())
        renderer.draw_path(gc, self.get_path(), self.get_transform())
        gc.restore()
        renderer.close_group("line2d")


class Area(Polygon):
    """A closed polygon."""

    def set_xy(self, corners: ArrayLike) -> None:
        """Move to corners of shape (n, 2)."""
        given = np.array(corners, float)
        if not np.array_equal(given, getattr(self, "given", NOWHERE)):
            self.given = given
            super().set_xy(given)

    def draw(self, renderer: Any) -> None:
        """Draw the area and its edge."""
        self.stale = False
        if not self.get_visible():
            return
        renderer.open_group("patch", self.get_gid())
        gc = renderer.new_gc()
        edge: Any = self.get_edgecolor()
        gc.set_foreground(edge, isRGBA=True)
        gc.set_alpha(self.get_alpha())
        gc.set_linewidth(self.get_linewidth() if edge[3] else 0)
        gc.set_dashes(0, None)
        face: Any = self.get_facecolor()
        renderer.draw_path(gc, self.get_path(), self.get_transform(), face)
        gc.restore()
        renderer.close_group("patch")
