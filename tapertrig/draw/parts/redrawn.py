"""A scene drawn afresh for each state: for pictures that are still, one after another."""

from __future__ import annotations

from typing import Any

from matplotlib.artist import Artist

from tapertrig.draw.parts.scene import Scene


class RedrawnScene(Scene):
    """Draws each new state from an empty board with `draw`; the same state is not drawn twice.

    Nothing slides here, so what a scene must show may differ wholly from state to state.
    """

    def build(self) -> None:
        self._drawn: Any = None

    def draw(self, state: Any) -> None:
        """Make the artists of a state."""
        raise NotImplementedError

    def move(self, state: Any) -> None:
        if self._drawn is not None and state == self._drawn:
            return
        for artist in self.moving:
            artist.remove()
        for kept in (self.moving, self.labels, self.wishes, self.obstacles):
            kept.clear()
        self._still_segments = None
        self.draw(state)
        self._drawn = state
        self.generation += 1

    def _keep(self, artist: Artist, moving: bool, clear: bool) -> None:
        # Whatever is drawn once in other scenes must go again in this one.
        super()._keep(artist, True, clear)
