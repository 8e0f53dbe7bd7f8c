"""Lines, dots and areas that are quick to move: matplotlib's own, drawn without what no scene uses.

A `Line2D` looks for units, masks and markers each time it is moved, and a `Polygon` for hatches
and effects; that takes longer than all the geometry of a scene.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.lines import Line2D
from matplotlib.patches import Polygon
from matplotlib.path import Path
from matplotlib.transforms import Affine2D
from numpy.typing import ArrayLike, NDArray

NOWHERE: NDArray[np.float64] = np.full((1, 2), np.nan)


class Stroke(Line2D):
    """A line through `points`, shape (n, 2); where one is not finite, the line is broken.

    `moved` says that they are others than when it was last drawn; `stale`, that its look may be.
    """

    points = NOWHERE
    moved = False

    def set_linestyle(self, ls: Any) -> None:
        """“solid”, or a dash pattern in line widths from its start on: (0, lengths)."""
        super().set_linestyle(ls)
        self.pattern: tuple[float, ...] = () if isinstance(ls, str) else ls[1]

    def set_data(self, x: ArrayLike, y: ArrayLike) -> None:  # type: ignore[override]
        """Move to places of shape (n,) each."""
        points = np.array([x, y], float).T
        if points.tobytes() != self.points.tobytes():
            self.points, self.moved = points, True
            self._xorig, self._yorig = points.T

    def get_path(self) -> Path:
        """The line as a path."""
        return Path(self.points)

    def draw(self, renderer: Any) -> None:
        """Draw the line."""
        self.stale = self.moved = False
        if not self.get_visible():
            return
        renderer.open_group("line2d", self.get_gid())
        gc = renderer.new_gc()
        gc.set_foreground(self.get_color())
        gc.set_alpha(self.get_alpha())
        self._ink(renderer, gc)
        gc.restore()
        renderer.close_group("line2d")

    def _ink(self, renderer: Any, gc: Any) -> None:
        width = self.get_linewidth()
        gc.set_linewidth(width)
        gc.set_dashes(0, [part * width for part in self.pattern] if self.pattern else None)
        gc.set_capstyle("butt" if self.is_dashed() else self.get_solid_capstyle())
        if len(self.points) > 1:
            renderer.draw_path(gc, self.get_path(), self.get_transform())


class Dots(Stroke):
    """A dot at each of its points."""

    def _ink(self, renderer: Any, gc: Any) -> None:
        gc.set_linewidth(self.get_markeredgewidth())
        gc.set_dashes(0, None)
        round_ = Affine2D().scale(renderer.points_to_pixels(self.get_markersize()) / 2)
        to_pixels = self.get_transform()
        renderer.draw_markers(
            gc, Path.unit_circle(), round_, self.get_path(), to_pixels, gc.get_rgb()
        )


class Area(Polygon):
    """A closed polygon; the last of its `points`, shape (n, 2), is the first again."""

    given = NOWHERE
    moved = False

    def set_xy(self, corners: ArrayLike) -> None:
        """Move to corners of shape (n, 2)."""
        given = np.array(corners, float)
        if given.tobytes() != self.given.tobytes():
            self.given, self.moved = given, True
            closed = given[0].tolist() == given[-1].tolist()
            self.points = given if closed else np.concatenate([given, given[:1]])

    def get_xy(self) -> NDArray[np.float64]:
        """Its corners, closed."""
        return self.points

    def get_path(self) -> Path:
        """The outline as a path."""
        return Path(self.points, closed=True)

    def draw(self, renderer: Any) -> None:
        """Draw the area and its edge."""
        self.stale = self.moved = False
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
