"""Presenting: a panel alone on the screen, for a class to see from the last row."""

from __future__ import annotations

import anywidget
import ipywidgets
import traitlets

from tapertrig.panels.parts.view import script, style_sheet


class Presenting(anywidget.AnyWidget):
    """The button that fills the screen with picture, sentence and main slider.

    `worked` are the controls worked by keys there: `main` with PageDown and PageUp, `answers`
    and `unit` each with a letter; a panel names those it has.
    """

    _esm = script("stepping", "presenting")
    _css = style_sheet("presenting")

    presenting = traitlets.Bool(False).tag(sync=True)
    worked = traitlets.Dict().tag(sync=True)
    stride = traitlets.Float(0.0).tag(sync=True)  # of a click; 0 is a twentieth of the slider

    def work(self, **controls: ipywidgets.Widget | None) -> None:
        """Which controls the keys work."""
        self.worked = {name: one.model_id for name, one in controls.items() if one is not None}
