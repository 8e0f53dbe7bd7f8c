"""Panel: controls, one frozen state, the core, one picture with its words.

One way for everything: a control moves, the panel reads all controls into one state, the core
computes, the scene moves its artists, and the marks that change go out with the words in one
message. Only `render` writes to the board.

A panel of a lesson is a subclass, `Panel[State]`, that says which controls it has
(`make_controls`), how they make a state (`read_state`), and what the state means in words
(`words`); its `scene` draws it. A control is an attribute of the panel, so that its kind is
known to a type checker: `self.half_angle = angle("Half angle", …)` in `make_controls`, then
`self.half_angle.angle`. By name, for keywords of the panel, tests and handouts, it is
`panel.controls["half_angle"]`. Where a name is taken, `self.title_` is the control “title”.
"""

from __future__ import annotations

import os
import threading
import traceback
import weakref
from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import contextmanager
from typing import Any, ClassVar, Generic, TypeVar, cast

import ipywidgets
import traitlets

from tapertrig.angle import Angle
from tapertrig.draw.parts.drawing import Drawing
from tapertrig.draw.parts.scene import Scene
from tapertrig.draw.parts.style import NARROW, STYLES, style_named
from tapertrig.lathe import UNITS
from tapertrig.limits import one_of
from tapertrig.panels.parts.asking import Asking, asked
from tapertrig.panels.parts.board import ANSWER_FIRST, ANSWERS_HIDDEN, Board, Words
from tapertrig.panels.parts.controls import (
    LENGTH_UNITS,
    Control,
    Quantity,
    choice,
    fold,
    heading,
    keep,
    press,
    switch,
)
from tapertrig.panels.parts.presenting import Presenting
from tapertrig.panels.parts.run_again import close_whole
from tapertrig.practice.in_lessons import LessonQuestion, prediction

STYLE_VARIABLE, UNIT_VARIABLE = "TAPERTRIG_STYLE", "TAPERTRIG_UNIT"

State = TypeVar("State")


def style_at_start(style: str | None) -> str:
    """The style asked for, or the one set for the whole notebook, or the desk style."""
    return style or os.environ.get(STYLE_VARIABLE) or "desk"


def restyle(style: str) -> None:
    """Show every panel there is, and every one to come, in a style."""
    os.environ[STYLE_VARIABLE] = style_named(style).name
    for panel in [one for one in Panel.live if one.comm is not None]:
        panel.style_switch.value = style == "projector"


def unit_at_start(unit: str | None) -> str:
    """The unit asked for, or the one set for the whole class, or inches."""
    return one_of("unit", unit or os.environ.get(UNIT_VARIABLE) or "in", UNITS)


class Panel(ipywidgets.Box, Generic[State]):
    """A picture with controls, shown by one line in a notebook.

    `unit` is "in" or "mm" (or set TAPERTRIG_UNIT for all), `style` "desk" or "projector" (or set
    TAPERTRIG_STYLE), and `hide_answers=True` keeps results out of sight until the class has
    worked them out. `ask` names a prediction of the lessons: until it is answered the panel holds
    still. Further keyword arguments are the starting values of controls, by name;
    lengths among them are inches unless `unit` is said. `main` names the slider that handouts
    step through and benchmarks drag, over the part `main_span` of its length; a full screen shows
    it too, or the one that `presents` names, and a click there goes `stride` along it.
    """

    title: ClassVar[str] = ""
    scene: ClassVar[type[Scene]]
    main: ClassVar[str] = ""
    main_span: ClassVar[tuple[float, float]] = (0.02, 0.98)
    stride: ClassVar[float] = 0.0
    can_hide: ClassVar[bool] = True
    # A panel that stands still in a handout says there why; and the steps to read instead.
    only_in_lesson: ClassVar[str] = ""

    def steps_to_read(self) -> tuple[tuple[str, str], ...]:
        """The steps that the panel guides a hand through, numbered; none for most."""
        return ()

    has_unit: ClassVar[bool] = True
    live: ClassVar[weakref.WeakSet[Panel[Any]]] = weakref.WeakSet()

    def __init__(
        self,
        unit: str | None = None,
        style: str | None = None,
        hide_answers: bool = False,
        ask: str = "",
        presents: str = "",
        **start: Any,
    ) -> None:
        asks = prediction(ask) if ask else None
        start = {**(asks.start if asks else {}), **start}
        # What a lesson says in numbers it says in inches, whatever the class works in; and what it
        # asks in inches it shows in inches.
        wanted = unit_at_start(unit or ("in" if asks else None))
        self.unit = "in" if start and unit is None and self.has_unit else wanted
        self._quiet = 0
        before = set(vars(self))
        self.make_controls()
        self.controls: dict[str, Control] = {
            name.rstrip("_"): one
            for name, one in vars(self).items()
            if isinstance(one, ipywidgets.Widget)
        }
        made = ["unit", *(set(vars(self)) - before)]
        self.unit_switch = choice("Unit", UNITS, self.unit)
        self.style_switch = switch(
            "Projector style", style_named(style_at_start(style)).name == "projector"
        )
        self.answers_switch = switch("Hide answers", hide_answers or bool(asks and asks.hides))
        self.put(start)
        self.board = Board(self.title)
        self.board.handled = {
            name: one.model_id for name, one in self.controls.items() if isinstance(one, Quantity)
        }
        self.renders = 0
        self.last_state: State = cast(Any, None)  # a panel that makes no state is not made
        # A server may send the messages of widgets to several threads of one kernel.
        self._one_at_a_time = threading.RLock()
        self._blamed: Quantity[Any] | None = None
        self._shown_as = "", False, ""
        self._pictures: dict[str, Drawing] = {}
        self.asked = asked(asks.questions, self.let_go) if asks else []
        for place, one in enumerate(self.asked, -len(self.asked)):
            one.layout.order = f"{2 * place}"
        self.switches = (self.unit_switch, self.answers_switch, self.style_switch)
        for control in (*self.controls.values(), *self.switches):
            if not isinstance(control, ipywidgets.Button):
                control.observe(self._moved, names="value")
        self.board.observe(lambda _change: self.guard(self._show_last), names="room")
        self.presenter = Presenting(stride=self.stride)
        self.presenter.observe(lambda _change: self.guard(self._show_last), names="presenting")
        main = self.controls.get(presents or self.main)
        if main is not None:
            main.add_class("tapertrig-main")
        self.presenter.work(
            main=main,
            answers=self.answers_switch if self.can_hide else None,
            unit=self.unit_switch if self.has_unit else None,
        )
        self.presses = ipywidgets.Box([])
        self.presses.add_class("tapertrig-buttons")
        self.picture_side = ipywidgets.VBox([self.board])
        self.picture_side.add_class("tapertrig-picture-side")
        aside = [*self.arrange(), self.presenter, *self._rare()]
        self.control_side = ipywidgets.VBox([*self.asked, *aside])
        self.control_side.add_class("tapertrig-control-side")
        layout = ipywidgets.Box([self.picture_side, self.control_side])
        layout.add_class("tapertrig-layout")
        super().__init__([layout])
        self.add_class("tapertrig-panel")
        if self.has_unit and "lathe" not in start:  # a lathe that is named brings its unit
            self.to_unit(wanted)
        self.render()
        if self.last_state is None:
            raise ValueError(self.board.notice)
        # Widgets are put back one by one; of the rest only what the panel itself brought.
        self._as_left = (
            [keep(one) for one in (*self.controls.values(), *self.switches[:2])],
            {name: vars(self)[name] for name in made},
        )
        if self.asked:
            self.hold_still()
        self.live.add(self)

    # -- what a lesson's panel says -------------------------------------------------------

    def make_controls(self) -> None:
        """Assign the controls to attributes, in the order they are shown."""
        raise NotImplementedError

    def read_state(self) -> State:
        """One frozen state from all controls; ValueError in words when they do not fit."""
        raise NotImplementedError

    def words(self, state: State) -> Words:
        """What the state means, as text."""
        raise NotImplementedError

    def alone(self) -> Words | None:
        """Words without a picture, where the last good one is of something else; None: it stays."""
        return None

    def scene_state(self, state: State) -> Any:
        """What the scene draws of a state; the state itself unless a panel says otherwise."""
        return state

    def arrange(self) -> list[ipywidgets.Widget]:
        """The widgets of the control side, top to bottom."""
        return [*self.controls.values(), self.presses]

    def sections(
        self, headings: Mapping[str, str], folded: Collection[str] = ()
    ) -> list[ipywidgets.Widget]:
        """All controls under headings, each by the name of its first; `folded` ones shut."""
        parts: list[tuple[str, list[ipywidgets.Widget]]] = [("", [])]
        for name, control in self.controls.items():
            if name in headings:
                parts.append((name, []))
            parts[-1][1].append(control)
        placed = parts[0][1]
        for name, inside in parts[1:]:
            said = headings[name]
            placed += fold(said, inside) if name in folded else [heading(said), *inside]
        return placed

    def _rare(self) -> list[ipywidgets.Widget]:
        """What is seldom wanted, below all else."""
        wanted = zip(self.switches, (self.has_unit, self.can_hide), strict=False)
        hint = "Puts every control back; what is saved stays saved"
        back = self.make_press("As the lesson left it", self.set_back, hint)
        often = ipywidgets.Box([one for one, here in wanted if here])
        often.add_class("tapertrig-switches")
        return [often, *fold("More", [self.style_switch, back])]

    def on_press(
        self, label: str, action: Callable[[], None], hint: str = "", *, needs_entries: bool = False
    ) -> ipywidgets.Button:
        """Add a button. What goes wrong in the action is shown, never swallowed.

        With `needs_entries` it does nothing while a typed text stands refused: for every button
        that writes or saves.
        """
        button = self.make_press(label, action, hint, needs_entries=needs_entries)
        self.presses.children = (*self.presses.children, button)
        return button

    def make_press(
        self, label: str, action: Callable[[], None], hint: str = "", *, needs_entries: bool = False
    ) -> ipywidgets.Button:
        """A guarded button, for a panel that places it itself."""
        button = press(label, hint)
        button.on_click(lambda _button: self._pressed(action, needs_entries))
        return button

    def _pressed(self, action: Callable[[], None], needs_entries: bool = False) -> None:
        def act() -> None:
            if needs_entries:
                self.entries_agree()
            action()

        self.board.notice = ""
        self.guard(act)

    def entries_agree(self) -> None:
        """ValueError while a typed text that could not be taken stands in a control in sight."""
        for control in self.controls.values():
            if (
                isinstance(control, Quantity)
                and control.refusal
                and control.layout.display != "none"
            ):
                raise ValueError(f"mend what is typed first. {control.refusal}")

    # -- one way from control to picture --------------------------------------------------

    @property
    def style_name(self) -> str:
        """The style in use."""
        return "projector" if self.style_switch.value else "desk"

    @property
    def hiding(self) -> bool:
        """Whether answers are hidden now."""
        return self.can_hide and self.answers_switch.value

    @property
    def placement(self) -> str:
        """Which placement of the scene the view has room for."""
        if self.board.room == "narrow":
            return NARROW
        return "projector" if self.presenter.presenting else self.style_name

    def picture(self, placement: str = "") -> Drawing:
        """The drawing of the present placement or another, built when first asked for."""
        name = placement or self.placement
        if name not in self._pictures:
            self._pictures[name] = Drawing(self.make_scene(name))
        return self._pictures[name]

    def make_scene(self, style: str) -> Scene:
        """A scene in a placement."""
        return self.scene(STYLES[style])

    def set(self, **values: Any) -> None:
        """Set several controls, all or none, and draw once; a text is taken as if typed."""
        self.put(values)
        self.guard(self.render)

    def put(self, values: Mapping[str, Any]) -> None:
        """Put values into controls by name, all or none, and draw nothing.

        ValueError naming value and control, and why, when one does not fit; every control then
        is as it was: value, ends of its slider, unit, options, and what it said.
        """
        with self.all_or_nothing():
            # Numbers that come with a unit are meant in it.
            for name, value in sorted(values.items(), key=lambda one: one[0] != "unit"):
                self._start(name, value)

    @contextmanager
    def all_or_nothing(self) -> Iterator[None]:
        """Whatever goes wrong meanwhile, controls and attributes are then as they were.

        For a panel that takes a job: put its values in and read the state, inside this. Nothing
        is drawn meanwhile; draw afterwards.
        """
        back = [keep(control) for control in (*self.controls.values(), self.unit_switch)]
        with self.quiet():
            attributes = dict(self.__dict__)
            try:
                yield
            except BaseException:
                for put_back in back:
                    put_back()
                self.__dict__.update(attributes)
                raise

    @contextmanager
    def quiet(self) -> Iterator[None]:
        """Controls moved meanwhile draw nothing; draw afterwards."""
        self._quiet += 1
        try:
            yield
        finally:
            self._quiet -= 1

    # -- unit, and back to the start ------------------------------------------------------

    def to_unit(self, unit: str) -> None:
        """Show all lengths in another unit; draw afterwards.

        The panel makes its controls anew in that unit, and those there are take over ends, steps
        and options: an invented lathe is then the one of that unit. A length that this lathe
        cannot hold moves to its end and says so; back again it is as it was.
        """
        if one_of("unit", unit, UNITS) == self.unit:
            return
        before = dict(vars(self))
        fitted = self._makes_state()
        ends = []
        with self.quiet():
            self.unit = self.unit_switch.value = unit
            self.make_controls()
            for name, control in before.items():
                made = vars(self)[name]
                if made is control or not isinstance(control, ipywidgets.Widget):
                    continue
                self.__dict__[name] = control
                if isinstance(control, Quantity) and control.unit in LENGTH_UNITS:
                    control.become(made)
                    ends.append((control, made.minimum, made.maximum))
                elif isinstance(control, ipywidgets.Dropdown) and control.options != made.options:
                    at = control.index or 0
                    control.options = made.options
                    control.index = min(at, len(made.options) - 1)
                close_whole(made)
            self.unit_changed(before)
            if fitted and not self._makes_state():
                for control, low, high in ends:
                    control.hold(low, high)

    def unit_changed(self, before: Mapping[str, Any]) -> None:
        """What else a panel keeps, by name as it was, in the new unit."""

    def _makes_state(self) -> bool:
        try:
            self.read_state()
        except ValueError:
            return False
        return True

    def set_back(self) -> None:
        """Every control as the lesson left it. What was saved stays saved."""
        controls, brought = self._as_left
        with self.quiet():
            for put_back in controls:
                put_back()
            self.__dict__.update(brought)
            self.begin_again()
            if self.asked:
                self.hold_still()
        self.render()
        self.tell("All is as the lesson left it. What was saved stays saved.")

    def begin_again(self) -> None:
        """What else is to be done when a panel is set back."""

    def _start(self, name: str, value: Any) -> None:
        if name == "unit" and self.has_unit:
            self.to_unit(value)
            return
        if name not in self.controls:
            known = ", ".join(self.controls)
            raise ValueError(f"{name} is no control of this panel; it has {known}")
        control = self.controls[name]
        if isinstance(control, Quantity) and isinstance(value, str):
            control.enter(value)
            if control.refusal:
                raise ValueError(control.refusal)
            return
        try:
            control.value = value.degrees if isinstance(value, Angle) else value
        except traitlets.TraitError as wrong:
            options = getattr(control, "_options_full", None) or ()
            known = ", ".join(f"{option!r}" for _label, option in options)
            allowed = f"; it can be {known}" if known else f": {wrong}"
            raise ValueError(f"{name} cannot be {value!r}{allowed}") from wrong

    def render(self, cause: Control | None = None) -> None:
        """Draw the present state. What the state has against it goes beside its cause."""
        try:
            state = self.read_state()
            words = self.words(state)
        except ValueError as wrong:
            self._blame(cause, str(wrong))
            if said := self.alone():
                self.last_state = cast(Any, None)
                self._show(None, said)
                return
            self.board.stale = True
            self._show_last()
            return
        self._blame(None, "")
        self._show(state, words)
        self.last_state = state
        self.renders += 1

    def _show(self, state: Any, words: Words) -> None:
        if self._shown_as[0] != self.style_name:
            self.remove_class(f"tapertrig-{self._shown_as[0]}")
            self.add_class(f"tapertrig-{self.style_name}")
        self._shown_as = self.style_name, self.hiding, self.placement
        locked = any(not one.done for one in self.asked)
        self.board.hidden_words = ANSWER_FIRST if locked else ANSWERS_HIDDEN
        drawn = None if state is None else self.scene_state(state)
        self.board.show(self.picture(), drawn, words, self.hiding)

    def _show_last(self) -> None:
        """Style, hiding and placement still work while the controls make no state."""
        stale = self.board.stale
        now = self.style_name, self.hiding, self.placement
        if self.last_state is not None and self._shown_as != now:
            self._show(self.last_state, self.words(self.last_state))
        elif self._shown_as != now and (said := self.alone()):
            self._show(None, said)
        self.board.stale = stale

    def _blame(self, cause: Control | None, words: str) -> None:
        """Show why there is no picture, in one place; the complaint before is over."""
        if words and cause in self.switches:
            cause = self._blamed
        if self._blamed is not None and self._blamed is not cause:
            self._blamed.complain("")
        if isinstance(cause, Quantity):
            cause.complain(words)
            self._blamed = cause
            words = ""
        else:
            self._blamed = None
        self.board.notice = words

    def tell(self, words: str) -> None:
        """Say that something is done, above the picture."""
        self.board.news = words

    def guard(self, action: Callable[[], None], by_learner: bool = True) -> None:
        """Run an action; show whatever goes wrong, and keep the picture.

        A ValueError of something the learner asked for is for the learner; any other error, and
        any error while drawing, is a fault of the kit and is shown as one.
        """
        self.board.news = ""
        try:
            with self._one_at_a_time:
                action()
        except Exception as fault:  # a fault shown is better than one that vanished in a callback
            if by_learner and isinstance(fault, ValueError):
                self.board.notice = str(fault)
                return
            where = traceback.extract_tb(fault.__traceback__)[-1]
            self.board.notice = (
                f"This panel has a fault: {type(fault).__name__}: {fault} "
                f"(in {where.name}, line {where.lineno}). The picture is the last good one; "
                "please report it with what you did."
            )

    def _moved(self, change: dict[str, Any]) -> None:
        control = change["owner"]

        def follow() -> None:
            self.to_unit(self.unit_switch.value)
            self.moved(control)

        if not self._quiet:
            self.guard(follow, by_learner=False)

    def moved(self, control: Control) -> None:
        """A control has moved. Panels whose controls depend on each other extend this."""
        self.render(control)

    # -- a prediction first ---------------------------------------------------------------

    def hold_still(self) -> None:
        """Nothing moves, and what is hidden stays so, until the questions are answered."""
        for one in (*self.controls.values(), *self._with_results()):
            one.disabled = True
        for question in (one.question for one in self.asked if one.done):
            self.let_go(question)

    def let_go(self, question: LessonQuestion) -> str:
        """Let go what a question frees; results show when the last one is answered.

        Returns the name that the first of them goes by in the panel, "" for none.
        """
        # In sight of its question; by order, so that no question still being answered is redrawn.
        place = [one.question for one in self.asked].index(question) - len(self.asked)
        freed = [self.controls[name] for name in question.frees]
        for one in freed:
            one.disabled, one.layout.order = False, f"{2 * place + 1}"
        if all(one.done for one in self.asked):
            for one in self._with_results():
                one.disabled = False
            self.answers_switch.value = False
        return "".join(name_in_sight(one) for one in freed[:1])

    def _with_results(self) -> list[Any]:
        return [self.unit_switch, self.answers_switch, *_buttons(self.control_side)]

    # -- for readers without a kernel -----------------------------------------------------

    def _still(self) -> tuple[Drawing, str]:
        """A drawing of its own, as on a desk, of what the panel shows last, and what it says."""
        drawing = Drawing(self.make_scene("desk" if self.placement == NARROW else self.style_name))
        if self.last_state is not None:
            drawing.show(self.scene_state(self.last_state), self.hiding)
        words = self.board.words
        lines = [words["alt"], *(f"{name}: {value}" for name, value, _ in words["rows"])]
        lines += [f"Predict: {one.entry.label}" for one in self.asked]
        return drawing, "\n".join(lines)

    def still(self) -> tuple[bytes, str]:
        """The present picture as PNG, for readers of code, and what it says."""
        drawing, words = self._still()
        return drawing.png(), words

    def still_svg(self) -> tuple[str, str]:
        """The present picture as SVG text, sharp on paper, and what it says."""
        drawing, words = self._still()
        return drawing.svg(), words

    def _repr_mimebundle_(self, **settings: Any) -> tuple[dict[str, Any], dict[str, Any]]:
        shown = super()._repr_mimebundle_(**settings)
        bundle, metadata = shown if isinstance(shown, tuple) else (shown, {})
        frame, text = self.still()
        bundle = {**bundle, "image/png": frame, "text/plain": text}
        return bundle, metadata


def name_in_sight(control: Control) -> str:
    """The name that stands at a control; the `label` of a list is the choice made in it."""
    return getattr(control, "description", "") or control.label


def _buttons(side: ipywidgets.Widget) -> Iterator[ipywidgets.Button]:
    """The buttons of a side, those of its questions aside."""
    for one in getattr(side, "children", ()):
        if isinstance(one, ipywidgets.Button):
            yield one
        elif not isinstance(one, Asking):
            yield from _buttons(one)
