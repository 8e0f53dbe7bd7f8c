"""One check that panels' own tests use at states the sweep of the main slider does not reach."""

from __future__ import annotations

from itertools import combinations

import numpy as np

from tapertrig.draw.parts.label import boxes_cross_segments
from tapertrig.panels.parts.panel import Panel


def assert_labels_are_clear(panel: Panel, state: object) -> None:
    """Every label shown stands in the frame, off every other label and off every line."""
    scene = panel.picture().scene
    shown = [label for label in scene.labels if label.get_visible() and label.text]
    assert shown
    segments = scene.obstacle_segments()
    for label in shown:
        left, bottom, right, top = label.box
        width, height = scene.style.width, scene.style.height
        inside = min(left, bottom, width - right, height - top) >= 0
        assert inside, f"“{label.text}” leaves the frame at {state}"
        touched = boxes_cross_segments(np.array([label.box]), segments).any()
        assert not touched, f"a line through “{label.text}” at {state}"
    for one, other in combinations(shown, 2):
        a, b = one.box, other.box
        apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
        assert apart, f"“{one.text}” over “{other.text}” at {state}"
