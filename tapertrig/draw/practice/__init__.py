"""The picture of a practice problem: one drawing for each kind of Figure."""

from tapertrig.draw.practice.scene import (
    DRAWINGS,
    SHEET,
    SHEET_MARGIN,
    PracticeScene,
    sheet_drawing,
)

__all__ = ["DRAWINGS", "SHEET", "SHEET_MARGIN", "PracticeScene", "sheet_drawing"]
