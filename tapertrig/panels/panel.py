"""Panel: controls, one frozen state, the core, one picture with its words.

One way for everything: a control moves, the panel reads all controls into one state, the core
computes, the scene moves its artists, the picture is encoded, and image and words change in one
message. Only `render` writes to the board.

A panel of a lesson is a subclass that says which controls it has (`make_controls`), how they
make a state (`read_state`), and what the state means in words (`words`); its `scene` draws it.
"""

from __future__ import annotations

import os
import traceback
from collections.abc import Callable
from typing import Any, ClassVar

import ipywidgets

from tapertrig.draw.picture import Picture, Scene
from tapertrig.draw.style import style_named
from tapertrig.lathe import UNITS
from tapertrig.limits import one_of
from tapertrig.panels.board import Board, Words
from tapertrig.panels.controls import Control, Quantity, press, switch

STYLE_VARIABLE = "TAPERTRIG_STYLE"


def style_at_start(style: str | None) -> str:
    """The style asked for, or the one set for the whole notebook, or the desk style."""
    return style or os.environ.get(STYLE_VARIABLE) or "desk"


class Panel(ipywidgets.Box):
    """A picture with controls, shown by one line in a notebook.

    `unit` is "in" or "mm", `style` "desk" or "projector" (or set TAPERTRIG_STYLE for all), and
    `hide_answers=True` keeps results out of sight until the class has worked them out. Further
    keyword arguments are the starting values of controls, by name. `main` names the slider that
    handouts step through and benchmarks drag, over the part `main_span` of its length.
    """

    title: ClassVar[str] = ""
    scene: ClassVar[type[Scene]]
    main: ClassVar[str] = ""
    main_span: ClassVar[tuple[float, float]] = (0.02, 0.98)
    can_hide: ClassVar[bool] = True

    def __init__(
        self,
        unit: str = "in",
        style: str | None = None,
        hide_answers: bool = False,
        **start: Any,
    ) -> None:
        self.unit = one_of("unit", unit, UNITS)
        self.controls: dict[str, Control] = self.make_controls()
        for name, value in start.items():
            if name not in self.controls:
                known = ", ".join(self.controls)
                raise ValueError(f"{name} is no control of this panel; it has {known}")
            self._start(self.controls[name], value)
        self.board = Board()
        self.renders = 0
        self.last_state: Any = None
        self._quiet = 0
        self._blamed: tuple[Quantity | None, str] = None, ""
        self._pictures: dict[str, Picture] = {}
        self.style_switch = switch(
            "Projector style", style_named(style_at_start(style)).name == "projector"
        )
        self.answers_switch = switch("Hide answers", hide_answers)
        for control in (*self.controls.values(), self.style_switch, self.answers_switch):
            if not isinstance(control, ipywidgets.Button):
                control.observe(self._moved, names="value")
        self.presses = ipywidgets.Box([])
        self.presses.add_class("tapertrig-buttons")
        self.picture_side = ipywidgets.VBox([self.board])
        self.picture_side.add_class("tapertrig-picture-side")
        self.control_side = ipywidgets.VBox(self.arrange())
        self.control_side.add_class("tapertrig-control-side")
        layout = ipywidgets.Box([self.picture_side, self.control_side])
        layout.add_class("tapertrig-layout")
        super().__init__([layout])
        self.add_class("tapertrig-panel")
        self.render()
        if self.board.notice:
            raise ValueError(self.board.notice)

    # -- what a lesson's panel says -------------------------------------------------------

    def make_controls(self) -> dict[str, Control]:
        """Controls by name, in the order they are shown."""
        raise NotImplementedError

    def read_state(self) -> Any:
        """One frozen state from all controls; ValueError in words when they do not fit."""
        raise NotImplementedError

    def words(self, state: Any) -> Words:
        """What the state means, as text."""
        raise NotImplementedError

    def scene_state(self, state: Any) -> Any:
        """What the scene draws of a state; the state itself unless a panel says otherwise."""
        return state

    def arrange(self) -> list[ipywidgets.Widget]:
        """The widgets of the control side, top to bottom."""
        switches = [self.answers_switch] if self.can_hide else []
        return [*self.controls.values(), *switches, self.style_switch, self.presses]

    def on_press(self, label: str, action: Callable[[], None], hint: str = "") -> ipywidgets.Button:
        """Add a button. What goes wrong in the action is shown, never swallowed."""
        button = press(label, hint)
        button.on_click(lambda _button: self.guard(action))
        self.presses.children = (*self.presses.children, button)
        return button

    # -- one way from control to picture --------------------------------------------------

    @property
    def style_name(self) -> str:
        """The style in use."""
        return "projector" if self.style_switch.value else "desk"

    @property
    def hiding(self) -> bool:
        """Whether answers are hidden now."""
        return self.can_hide and self.answers_switch.value

    def picture(self) -> Picture:
        """The picture of the present style, built when first asked for."""
        name = self.style_name
        if name not in self._pictures:
            self._pictures[name] = Picture(self.make_scene(name))
        return self._pictures[name]

    def make_scene(self, style: str) -> Scene:
        """A scene in a style."""
        return self.scene(style_named(style))

    def set(self, **values: Any) -> None:
        """Set several controls and draw once; a text is taken as if typed."""
        self._quiet += 1
        try:
            for name, value in values.items():
                self._start(self.controls[name], value)
        finally:
            self._quiet -= 1
        self.guard(self.render)

    @staticmethod
    def _start(control: Control, value: Any) -> None:
        if isinstance(control, Quantity) and isinstance(value, str):
            control.enter(value)
            if control.message:
                raise ValueError(control.message)
        elif isinstance(control, Quantity) and hasattr(value, "degrees"):
            control.value = value.degrees
        else:
            control.value = value

    def render(self, cause: Control | None = None) -> None:
        """Draw the present state. A ValueError goes beside the control that caused it."""
        try:
            state = self.read_state()
            words = self.words(state)
            picture = self.picture()
            picture.scene.hide_answers = self.hiding
            frame = picture.frame(self.scene_state(state))
        except ValueError as wrong:
            self._blame(cause, str(wrong))
            return
        self._blame(None, "")
        style = picture.scene.style
        for name in ("desk", "projector"):
            (self.add_class if name == style.name else self.remove_class)(f"tapertrig-{name}")
        self.board.show(frame, (style.width, style.height), words, self.hiding, self.title)
        self.last_state = state
        self.renders += 1

    def _blame(self, cause: Control | None, words: str) -> None:
        """Show why there is no picture, in one place; a complaint before it is over.

        What a control says of its own typed text is not touched.
        """
        blamed, said = self._blamed
        if blamed is not None and blamed.message == said:
            blamed.message = ""
        if isinstance(cause, Quantity):
            cause.message = words
            self._blamed = cause, words
            words = ""
        else:
            self._blamed = None, ""
        self.board.notice = words

    def tell(self, words: str) -> None:
        """Say that something is done, above the picture."""
        self.board.news = words

    def guard(self, action: Callable[[], None]) -> None:
        """Run an action of the learner's; show whatever goes wrong and keep the picture."""
        self.board.news = ""
        self.board.notice = ""
        try:
            action()
        except ValueError as wrong:
            self.board.notice = str(wrong)
        except Exception as fault:  # a fault shown is better than one that vanished in a callback
            where = traceback.extract_tb(fault.__traceback__)[-1]
            self.board.notice = (
                f"This panel has a fault: {type(fault).__name__}: {fault} "
                f"(in {where.name}, line {where.lineno}). The picture is the last good one; "
                "please report it with what you did."
            )

    def _moved(self, change: dict[str, Any]) -> None:
        if not self._quiet:
            self.guard(lambda: self.moved(change["owner"]))

    def moved(self, control: Control) -> None:
        """A control has moved. Panels whose controls depend on each other extend this."""
        self.render(control)

    # -- for readers without a kernel -----------------------------------------------------

    def still(self) -> tuple[bytes, str]:
        """The present picture as PNG, and what it says."""
        words = self.board.words
        lines = [words["alt"], *(f"{name}: {value}" for name, value, _ in words["rows"])]
        return self.board.frame, "\n".join(lines)

    def _repr_mimebundle_(self, **settings: Any) -> tuple[dict[str, Any], dict[str, Any]]:
        shown = super()._repr_mimebundle_(**settings)
        bundle, metadata = shown if isinstance(shown, tuple) else (shown, {})
        frame, text = self.still()
        bundle = {**bundle, "image/png": frame, "text/plain": text}
        return bundle, metadata
