"""Lesson 00: from a print's callout and a lathe to a setup sheet."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import ipywidgets

from tapertrig import demo
from tapertrig.angle import Angle
from tapertrig.draw.plan_view import PlanViewScene, PlanViewState
from tapertrig.job import CALLOUT_KINDS, TOLERANCE_ON, Callout, Choices, Job, Plan
from tapertrig.job.job import LINES
from tapertrig.lathe import UNITS, Lathe, in_unit, length_text, places_written
from tapertrig.panels.parts.board import Row, Words
from tapertrig.panels.parts.carried import HINT, LABEL, PLACEHOLDER, PRESS, taken_in
from tapertrig.panels.parts.controls import (
    Control,
    angle,
    choice,
    entry,
    or_not_given,
    quantity,
)
from tapertrig.panels.parts.kept_file import KeptFile
from tapertrig.panels.parts.lathe_entries import LENGTHS as LENGTHS_OF_LATHE
from tapertrig.panels.parts.lathe_entries import (
    OF_LATHE,
    Kinds,
    LatheEntries,
    entries_of,
    length,
    widen,
)
from tapertrig.panels.parts.lathe_list import LatheList
from tapertrig.printed.page import SHEET_ENDING
from tapertrig.printed.setup_sheet import OLDER, setup_sheet, to_the_phone
from tapertrig.setup import BY_SINE, EVERY_ROUTE, TAPER
from tapertrig.standards import GENERAL_CLASSES, STANDARD_TAPERS, standard_taper

OWN_LATHE = "my own lathe"


# What reads the text on the print for the control that shows it, for each kind that has one.
READ: dict[str, Callable[[str], Any]] = {
    "included angle": Angle.parse,
    "half angle": Angle.parse,
    "taper": str,
    "taper per foot": float,
    "standard taper": lambda text: standard_taper(text).name,
}
HOLDER = {kind: kind.replace(" ", "_") for kind in READ}
# Label, ends, and a step of the slider: in inches, the step in millimetres last.
LENGTHS: Kinds = {
    "face_diameter": ("Face diameter", 0.01, 20, 0.001, 0.01),
    "diameter_plus": ("Diameter tolerance +", 0, 0.1, 0.0005, 0.01),
    "diameter_minus": ("Diameter tolerance −", 0, 0.1, 0.0005, 0.01),
    "other_diameter": ("Other diameter", 0.01, 20, 0.001, 0.01),
    "length": ("Cone length", 0.01, 20, 0.001, 0.01),
    **LENGTHS_OF_LATHE,
    "travel": ("Travel chosen by hand", 0.01, 12, 0.001, 0.02),
}
PRINT = tuple(LENGTHS)[:5]
OTHER_AMOUNTS = ("included_angle", "half_angle", "taper_per_foot", "angle_tolerance")
TEXTS = (*LINES, "notes")
# Controls that have no empty state, or that no example sets.
ALWAYS_GIVEN = (
    "kind", "internal", "print_unit", "tolerance_on", "general_class", "lathe_unit", "route",
    "order", "travel",
)  # fmt: skip
UNIT_CHOICES = ("lathe", "print_unit", "lathe_unit")


@dataclass(frozen=True)
class SheetState:
    """The job as the controls have it, and its plan; None while it makes none."""

    job: Job
    plan: Plan | None
    lacking: str = ""


def shown_of(job: Job, lathes: Mapping[str, Lathe] = demo.LATHES) -> dict[str, Any]:
    """What the controls show of a job, by name of the control; None where it is not given.

    A lathe that is not one of `lathes`, as it stands there, is described.
    """
    cone = job.callouts[0] if job.callouts else Callout()
    lathe, choices, kind = job.lathe, job.choices, cone.kind
    shown: dict[str, Any] = {
        "kind": kind, **dict.fromkeys(HOLDER.values()), "taper": "", "internal": cone.internal,
        "print_unit": cone.unit, **{name: getattr(cone, name) for name in PRINT},
        "angle_tolerance": cone.angle_tolerance, "tolerance_on": cone.tolerance_on,
        "general_class": choices.general_class,
        "lathe": lathe and lathe.name, **dict.fromkeys(OF_LATHE),
        "lathe_name": "", "lathe_unit": lathe.unit if lathe else cone.unit,
        "travel": choices.compound_travel, "route": choices.route, "order": choices.order,
        **{name: getattr(job, name) for name in TEXTS},
    }  # fmt: skip
    if kind in READ:
        shown[HOLDER[kind]] = READ[kind](cone.value)
    if lathe is not None and lathes.get(lathe.name) != lathe:
        shown |= {"lathe": OWN_LATHE, **entries_of(lathe)}
    return shown


def _units(
    shown: Mapping[str, Any], lathes: Mapping[str, Lathe] = demo.LATHES
) -> Iterator[tuple[str, str]]:
    """The unit of each length: the print's, the lathe's own, or that of the lathe in use."""
    lathe = lathes.get(shown["lathe"] or "")
    for name in LENGTHS:
        own = shown["print_unit" if name in PRINT else "lathe_unit"]
        yield name, lathe.unit if lathe and name == "travel" else own


class JobSheet(LatheList[SheetState], LatheEntries[SheetState], KeptFile[SheetState]):
    """Callout and lathe in, setup out: plan view, numbers, job file, printable sheet.

    The panel holds a job and shows it; `current()` is that job with what has been changed at the
    controls. What no control shows, and further cones of the print, it carries along untouched.
    """

    title = "From print to setup"
    scene = PlanViewScene
    main = "included_angle"
    main_span = (0.02, 0.5)
    can_hide = has_unit = False  # print and lathe have units of their own
    ending = ".job.json"
    kinds = LENGTHS
    any_unit = True

    def make_controls(self) -> None:
        self.add_class("tapertrig-controls-first")
        self.job = demo.job(unit=self.unit)
        start = shown_of(self.job)
        self.kind = choice("The print gives", or_not_given(CALLOUT_KINDS), start["kind"])
        self.included_angle = angle(
            "Included angle", start["included_angle"], "0°02′", "179°", optional=True
        )
        self.half_angle = angle("Half angle", None, "0°01′", "89°30′", optional=True)
        self.taper = entry("Taper", "", "1:20, 7:24, 5 %, 0.05 or MT3")
        self.taper_per_foot = quantity(
            "Taper per foot", None, 0.01, 12, 0.001, "in/ft", optional=True
        )
        self.standard_taper = choice("Standard taper", or_not_given(STANDARD_TAPERS))
        self.internal = choice(
            "Cone",
            [
                ("internal, large end at the face", True),
                ("external, small end at tailstock", False),
            ],
            start["internal"],
        )
        self.print_unit = choice("Print's unit", UNITS, start["print_unit"])
        for name in PRINT:
            setattr(self, name, length(LENGTHS, name, start[name], start["print_unit"]))
        self.angle_tolerance = angle(
            "Angle tolerance ±", start["angle_tolerance"], "0°00′30″", "5°", "0°00′30″",
            optional=True,
        )  # fmt: skip
        self.tolerance_on = choice("Tolerance is on the", TOLERANCE_ON, start["tolerance_on"])
        self.general_class = choice(
            "General tolerance class",
            [(f"{name}, {word}", name) for name, word in GENERAL_CLASSES.items()],
            start["general_class"],
        )
        self.lathe_list(optional=True, last=[OWN_LATHE], start=start["lathe"])
        self.lathe_name = entry("Lathe's name", "", "as you call it")
        self.lathe_entries(start["lathe_unit"])
        self.route = choice(
            "Set by", [("what suits", None), *zip(EVERY_ROUTE, EVERY_ROUTE, strict=True)]
        )
        self.travel = length(LENGTHS, "travel", None, start["lathe_unit"])
        self.order = choice(
            "Rank setups by", [("angle error", "angle error"), ("long travel", "sensitivity")]
        )
        self.title_ = entry("Title on the sheet", start["title"])
        for name in TEXTS[1:]:
            setattr(self, name, entry(name.replace("_", " ").capitalize(), start[name]))
        self.file_controls("File name", "my job")
        self.carried = entry(LABEL, "", PLACEHOLDER)
        self._at_first = {
            name: getattr(self, f"{name}_" if name == "title" else name).value for name in start
        }
        self._complaint: tuple[Control | None, str] = None, ""
        self._drawn = Angle.from_dms(20)

    def arrange(self) -> list[ipywidgets.Widget]:
        self.file_presses("Save job", "Load job")
        self.on_press(
            "Write sheet", self.write_sheet, "Write the setup sheet to print", needs_entries=True
        )
        self.on_press(PRESS, self.take_in_readings, HINT, needs_entries=True)
        self.on_press(
            "This is my job now",
            self.claim,
            "What the example gave and nobody typed is then not given",
            needs_entries=True,
        )
        headings = {
            "kind": "From the print",
            "lathe": "Lathe",
            "route": "Setup",
            "title": "Sheet and file",
        }
        self._show_used()
        return [*self.sections(headings), self.presses]

    # -- controls that depend on each other -----------------------------------------------

    def moved(self, control: Control) -> None:
        self._follow_units()
        self._show_used()
        super().moved(control)

    def _show_used(self) -> None:
        hidden = set(HOLDER.values()) - {HOLDER.get(self.kind.value or "")}
        if self.kind.value != "two diameters":
            hidden.add("other_diameter")
        given = self.controls["angle_tolerance"].value is not None
        hidden.add("general_class" if given else "tolerance_on")
        if self.lathe.value != OWN_LATHE:
            hidden |= set(OF_LATHE)
        for name, control in self.controls.items():
            control.layout.display = "none" if name in hidden else None

    def _follow_units(self) -> None:
        """Lengths keep their size when a unit is changed: 1.5 in is then 38.1 mm."""
        units = {name: self.controls[name].value for name in UNIT_CHOICES}
        for name, unit in _units(units, self.lathes):
            control = self.controls[name]
            if control.unit != unit:
                value = control.value
                if value is not None:
                    value = in_unit(value, control.unit, unit)
                self.put_length(name, value, unit)

    def put(self, values: Mapping[str, Any]) -> None:
        """Put values into controls, all or none; the units first, as lengths follow them."""
        with self.all_or_nothing():
            super().put({name: values[name] for name in UNIT_CHOICES if name in values})
            self._follow_units()
            super().put({name: value for name, value in values.items() if name not in UNIT_CHOICES})

    def _put_shown(self, shown: Mapping[str, Any]) -> None:
        for name in OTHER_AMOUNTS:
            widen(self.controls[name], shown[name])
        for name, unit in _units(shown, self.lathes):
            self.put_length(name, shown[name], unit)
        super().put({name: value for name, value in shown.items() if name not in LENGTHS})

    def _put_job(self, job: Job) -> None:
        shown = shown_of(job, self.lathes)
        self._put_shown(shown)
        self.job = job
        self._at_first = {name: self.controls[name].value for name in shown}

    def look_in_the_book(self) -> None:
        """The job keeps its own copy of its lathe: it is described where the book's is another."""
        try:
            job = self.current()
        except ValueError:
            self._list()  # half an entry stays as it is typed
            return
        self._list()
        self.take(job)

    # -- the job as it stands -------------------------------------------------------------

    def take(self, job: Job) -> None:
        """Put a job into the controls; if it does not fit, all is as it was."""
        with self.all_or_nothing():
            self._put_job(job)
            self._show_used()
        self.render()

    def current(self) -> Job:
        """The job taken, with what has been changed since; ValueError when entries make none."""
        return self._job(self._callouts(), self._lathe())

    def _job(self, callouts: tuple[Callout, ...], lathe: Lathe | None) -> Job:
        texts = {name: self.controls[name].value for name in TEXTS if self._changed(name)}
        return replace(
            self.job, callouts=callouts, lathe=lathe, choices=self._choices(lathe), **texts
        )

    def _changed(self, *names: str) -> bool:
        def other(now: Any, first: Any) -> bool:
            if isinstance(now, float) and isinstance(first, float):
                return not math.isclose(now, first, rel_tol=1e-12)  # to another unit and back
            return bool(now != first)

        return any(other(self.controls[name].value, self._at_first[name]) for name in names)

    def _callouts(self, **instead: Any) -> tuple[Callout, ...]:
        kind, on = self.kind.value, self.controls
        holder = HOLDER.get(kind or "")
        unit = {"unit": self.print_unit.value} if self._changed("print_unit") else {}
        new = unit | {name: on[name].value for name in PRINT if unit or self._changed(name)}
        for name in ("internal", "tolerance_on"):
            if self._changed(name):
                new[name] = on[name].value
        if self._changed("angle_tolerance"):
            new["angle_tolerance"] = self.angle_tolerance.angle
        if self._changed("kind", *([holder] if holder else [])):
            new |= self._asked(kind, holder)
        new |= instead
        cones = self.job.callouts
        if not new and not cones:
            return ()
        first = cones[0] if cones else Callout(unit=self.print_unit.value)
        return (replace(first, **new), *cones[1:])

    def _asked(self, kind: str | None, holder: str | None) -> dict[str, Any]:
        """Kind and value as the print gives them; kind None while no value is given."""
        value: Any = ""
        if holder in ("included_angle", "half_angle"):
            value = self.controls[holder].angle
        elif holder == "taper_per_foot":
            value = self.taper_per_foot.value and self.taper_per_foot.text
        elif holder:
            value = self.controls[holder].value or None
        if kind == "two diameters":
            return {"kind": kind, "value": ""}
        asked = {"kind": None, "value": ""} if value is None else {"kind": kind, "value": value}
        return asked | {"other_diameter": None}

    def _lathe(self) -> Lathe | None:
        """The lathe picked or described; None where nothing of it is given."""
        on, name = self.controls, self.lathe.value
        if not self._changed("lathe", *(OF_LATHE if name == OWN_LATHE else ())):
            return self.job.lathe
        if name != OWN_LATHE:
            return self.picked_lathe()
        described = [each for each in OF_LATHE if each != "lathe_unit"]
        if all(on[each].value in (None, "") for each in described):
            return None
        if lacking := self.lacking_of_dials():
            self._complaint = lacking[0], ""
            raise ValueError(lacking[1])
        return self.entered_lathe(self.lathe_name.value, self.job.lathe)

    def _choices(self, lathe: Lathe | None) -> Choices:
        choices, was = self.job.choices, self.job.lathe
        new = {
            name: self.controls[name].value
            for name in ("general_class", "route", "order")
            if self._changed(name)
        }
        if lathe is not None and was is not None and lathe.unit != was.unit:
            for name in ("shortest_travel", "shorter_side"):
                length = getattr(choices, name)
                if length is not None:
                    new[name] = float(in_unit(length, was.unit, lathe.unit))
        if self._changed("travel"):
            new["compound_travel"] = self.travel.value
        return replace(choices, **new)

    # -- one state ------------------------------------------------------------------------

    def read_state(self) -> SheetState:
        self._complaint, lathe = (None, ""), None
        callouts = self._callouts_that_fit()
        try:
            lathe = self._lathe()
            job = self._job(callouts, lathe)
            return SheetState(job, job.plan())
        except ValueError as wrong:
            job = self._job(callouts, lathe)
            self._complaint = self._complaint[0] or self._wanted(job), str(wrong)
            return SheetState(job, None, str(wrong))

    def _callouts_that_fit(self) -> tuple[Callout, ...]:
        """The print, without a length that its cone has no room for: the half angle stands."""
        length = self.controls["length"]
        try:
            return self._callouts()
        except ValueError as wrong:
            if length.value is None or self.kind.value == "two diameters":
                raise
            try:
                found = self._callouts(length=None)
            except ValueError:
                raise wrong from None
            words = f"{wrong}. The setup does without it; nothing is saved with it."
            self._complaint = length, words
            return found

    def _wanted(self, job: Job) -> Control | None:
        """Where to say what a setup still wants."""
        if job.lathe is None:
            return self.controls["compound_graduation"] if self.lathe.value == OWN_LATHE else None
        if job.callouts and job.callout.kind is not None:
            return self.controls["reach" if job.choices.compound_travel is None else "travel"]
        return self.controls.get(HOLDER.get(self.kind.value or "", ""))

    def render(self, cause: Control | None = None) -> None:
        super().render(cause)
        control, words = self._complaint
        if words:
            self._blame(control or cause, words)
            self.board.stale = self.last_state.plan is None

    def _blame(self, cause: Control | None, words: str) -> None:
        super()._blame((words and self._complaint[0]) or cause, words)

    def scene_state(self, state: SheetState) -> PlanViewState:
        callout, plan = state.job.callouts[:1], state.plan
        if callout and callout[0].kind is not None:
            self._drawn = callout[0].half_angle
        internal = callout[0].internal if callout else True
        if plan is None:
            return PlanViewState(self._drawn, None, internal, "compound", "cross travel", "axial")
        places = places_written(plan.lathe.unit)
        return PlanViewState(
            plan.half_angle,
            plan.base_reading,
            internal,
            f"compound {plan.compound_travel:.{places}f}",
            f"cross {plan.cross_travel:.{places}f}",
            f"axial {plan.axial_travel:.{places}f}",
            square_zero=plan.lathe.base_zero == "square to bed",
        )

    def words(self, state: SheetState) -> Words:
        job, plan = state.job, state.plan
        marks = []
        if job.invented:
            marks.append(Row("Example", demo.MARK, mark="wide"))
        if changed := job.lathe_changed(self.book):
            told = f"{'; '.join(changed)}. Pick it from the list to plan with it as it is now."
            marks.append(Row("The lathe book has it otherwise", told, mark="warning"))
        if job.older:
            marks.append(Row("From an older file, check", OLDER, mark="warning"))
        if plan is None:
            asked = [Row("Print", cone.words()) for cone in job.callouts]
            return Words(f"No setup yet: {state.lacking}.", (*asked, *marks))
        unit = plan.lathe.unit
        rows = [Row(name, value) for name, value in plan.rows()]
        if job.callout.named_taper is not None:
            rows.append(Row("By its name", job.callout.named_taper.words(), mark="wide"))
        rows.append(Row("Swing", plan.swing, mark="wide"))
        rows.append(Row("This travel", plan.travel_words, mark="wide"))
        chosen = sorted(plan.setups, key=lambda row: row.compound_travel != plan.compound_travel)
        best = ", ".join(
            f"{setup.compound_travel:.3f} → {setup.cross_reading:.3f} "
            f"({abs(setup.angle_error):.1f}″ of half angle out)"
            for setup in chosen[:4]
        )
        if best:
            rows.append(Row("Travels to choose from", best, mark="wide"))
        rows += [Row("Assumed", words, mark="warning") for words in plan.assumptions]
        rows += [Row("Mind", words, mark="warning") for words in plan.warnings]
        told = (
            f"and the cross dial must show {length_text(plan.cross_reading, unit)}"
            if plan.route in BY_SINE
            else "along the known taper, and the needle must not have moved"
            if plan.route == TAPER
            else f"and along the axis it must go {length_text(plan.axial_travel, unit)}"
        )
        return Words(
            f"Swing the compound to a half angle of {plan.half_angle.brief()}, run it "
            f"{length_text(plan.compound_travel, unit)}, {told}.",
            (*rows, *marks),
        )

    # -- buttons --------------------------------------------------------------------------

    def read_file(self, path: Path) -> str:
        """Read a job file into the controls."""
        self.take(Job.load(path))
        return ""

    def write_file(self, path: Path, replace: bool) -> str:
        """Keep the job in its file, with what others have added there meanwhile."""
        self.take(self.current().keep(path, replace=replace))
        return ""

    def write_sheet(self) -> None:
        """Write the setup sheet of the present job."""
        job = self.current()
        frame, words = self.still_svg()
        sheet = setup_sheet(job, frame, words.splitlines()[0])
        self.write_page(SHEET_ENDING, sheet, "Sheet", to_the_phone())

    def take_in_readings(self) -> None:
        """Add the passes that a line from the phone brings."""
        job, told = taken_in(self.current(), self.carried.value, self.here)
        self.take(job)
        self.carried.value = ""
        self.tell(f"{told}. Save the job to keep them.")

    def begin_again(self) -> None:
        super().begin_again()
        self.job = replace(self.job, identity="")  # a new job, whatever was saved of the other

    def claim(self) -> None:
        """The job is somebody's own now: what the example gave and nobody typed is not given."""
        if not self.job.invented:
            self.take(replace(self.current(), older=False))
            return
        shown = {name: self.controls[name].value for name in self._at_first}
        examples = [
            _comparable(shown_of(make(unit=unit)))
            for make in (demo.job, demo.plug_job)
            for unit in UNITS
        ]
        typed = {
            name: shown[name]
            for name, value in _comparable(shown, self.lathes).items()
            if name in ALWAYS_GIVEN or value not in [example[name] for example in examples]
        }
        for notes in (demo.job().notes, demo.plug_job().notes, demo.MARK):
            typed["notes"] = typed.get("notes", "").replace(notes, "").strip()
        asked = Callout(unit=self.print_unit.value)
        no_words: dict[str, Any] = dict.fromkeys(TEXTS, "")
        emptied = replace(
            self.job,
            callouts=(asked, *self.job.callouts[1:]),
            lathe=None,
            invented=False,
            older=False,
            **no_words,
        )
        with self.all_or_nothing():
            self._put_job(emptied)
            self._put_shown(shown_of(emptied, self.lathes) | typed)
            self._show_used()
        self.render()
        self.tell("What the example gave and nobody typed is now empty. Save the job to keep that.")


def _comparable(
    shown: Mapping[str, Any], lathes: Mapping[str, Lathe] = demo.LATHES
) -> dict[str, Any]:
    """What is shown, lengths in inches and angles in degrees whatever they stand in."""
    lengths = {
        name: in_unit(shown[name], unit, "in")
        for name, unit in _units(shown, lathes)
        if shown[name] is not None
    }
    plain = {
        name: value.degrees if isinstance(value, Angle) else value for name, value in shown.items()
    }
    return {
        name: round(value, 9) if isinstance(value, float) else value
        for name, value in {**plain, **lengths}.items()
    }


__all__ = ["OWN_LATHE", "JobSheet", "SheetState", "shown_of"]
