"""What every label must keep to, judged by shapely (GEOS), a geometry library of others."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import shapely
import shapely.affinity

from tapertrig.draw.parts.label import Label
from tapertrig.draw.parts.scene import Scene
from tapertrig.panels.parts.panel import Panel

HAIR = 0.05  # pixels: half of what a drawing is rounded to


def shown_labels(scene: Scene) -> list[Label]:
    """The labels that can be seen."""
    return [label for label in scene.labels if label.shown]


def assert_clear(scene: Scene, state: object) -> None:
    """Every label shown stands in the frame, off every other label and off every line.

    A thin line that leads from a label to what it names is a line to every other label.
    """
    shown = shown_labels(scene)
    assert shown
    frame = shapely.box(-HAIR, -HAIR, scene.style.width + HAIR, scene.style.height + HAIR)
    boxes = [shapely.box(*label.box).buffer(-HAIR, join_style="mitre") for label in shown]
    lines = shapely.linestrings(scene.obstacle_segments().reshape(-1, 2, 2))
    tree = shapely.STRtree(lines)
    leading = [
        (wish.label, shapely.LineString(np.column_stack(wish.leader.get_data())))
        for wish in scene.wishes
        if wish.leader is not None and wish.leader.get_visible()
    ]
    for label, box in zip(shown, boxes, strict=True):
        assert frame.contains(box), f"“{label.text}” leaves the frame at {state}"
        touched = tree.query(box, predicate="intersects")
        assert not len(touched), f"a line through “{label.text}” at {state}"
    to_board = shapely.affinity.affine_transform
    place = [1 / scene.pixels_per_unit, 0, 0, 1 / scene.pixels_per_unit, 0, scene.low]
    for label, box in zip(shown, boxes, strict=True):
        on_board = to_board(box, place)
        for own, lead in leading:
            if own is not label:
                assert not lead.intersects(on_board), (
                    f"the line to “{own.text}” through “{label.text}” at {state}"
                )
    for (one, a), (other, b) in combinations(zip(shown, boxes, strict=True), 2):
        assert not a.intersects(b), f"“{one.text}” over “{other.text}” at {state}"


def assert_labels_are_clear(panel: Panel, state: object) -> None:
    """The same of what a panel shows now."""
    assert_clear(panel.picture().scene, state)
