"""Lesson 00: from a print's callout and a lathe to a setup sheet."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import ipywidgets

from tapertrig import demo
from tapertrig.angle import Angle
from tapertrig.draw.plan_view import PlanViewScene, PlanViewState
from tapertrig.job import CALLOUT_KINDS, TOLERANCE_ON, Callout, Choices, Job, Plan
from tapertrig.lathe import (
    BASE_ZEROS,
    READS,
    UNITS,
    Dial,
    Lathe,
    in_unit,
    length_text,
    places_written,
)
from tapertrig.panels.parts.board import Row, Words
from tapertrig.panels.parts.controls import (
    Control,
    Quantity,
    angle,
    choice,
    entry,
    quantity,
    switch,
)
from tapertrig.panels.parts.kept_file import KeptFile
from tapertrig.printed.setup_sheet import setup_sheet
from tapertrig.standards import GENERAL_CLASSES, STANDARD_TAPERS

OWN_LATHE = "my own lathe"
SHEET_ENDING = " setup sheet.html"

# Which controls a kind of callout uses; the others are out of sight.
USED_BY_KIND = {
    "included angle": ("included_angle",),
    "half angle": ("half_angle",),
    "taper": ("taper",),
    "taper per foot": ("taper_per_foot",),
    "two diameters": ("other_diameter",),
    "standard taper": ("standard",),
}
LATHE_CONTROLS = (
    "lathe_unit", "reach", "compound_graduation", "compound_per_turn", "cross_graduation",
    "cross_per_turn", "cross_reads", "base_zero", "compound_backlash", "cross_backlash",
)  # fmt: skip


class JobSheet(KeptFile[tuple[Job, Plan]]):
    """Callout and lathe in, setup out: plan view, numbers, job file, printable sheet."""

    title = "From print to setup"
    scene = PlanViewScene
    main = "included_angle"
    main_span = (0.02, 0.5)
    can_hide = False
    ending = ".job.json"

    def make_controls(self) -> None:
        self.add_class("tapertrig-controls-first")
        made = demo.job() if self.unit == "in" else demo.job(list(demo.LATHES)[1])
        self.job = made
        callout = made.callout
        at = in_unit(1.0, "in", self.unit)
        tenth = 0.001 if self.unit == "in" else 0.01
        size = (0.01 * at, 20 * at, tenth, self.unit)

        def in_print(length: float | None, otherwise: float) -> float:
            return in_unit(otherwise if length is None else length, callout.unit, self.unit)

        lathe = made.lathe
        self.kind = choice("The print gives", CALLOUT_KINDS, callout.kind)
        self.included_angle = angle("Included angle", callout.value, "0°02′", "179°")
        self.half_angle = angle("Half angle", "20°43′", "0°01′", "89°30′")
        self.taper = entry("Taper", "1:20", "1:20, 7:24, 5 % or 0.05")
        self.taper_per_foot = quantity("Taper per foot", 0.6, 0.01, 12, 0.001, "in/ft")
        self.standard = choice("Standard taper", list(STANDARD_TAPERS))
        self.internal = choice(
            "Cone",
            [
                ("internal, large end at the face", True),
                ("external, small end at tailstock", False),
            ],
            callout.internal,
        )
        self.face_diameter = quantity("Face diameter", in_print(callout.face_diameter, 1), *size)
        self.diameter_plus = quantity(
            "Diameter tolerance +",
            in_print(callout.diameter_plus, 0),
            0,
            0.1 * at,
            tenth / 2,
            self.unit,
            4 if self.unit == "in" else 3,
        )
        self.diameter_minus = quantity(
            "Diameter tolerance −",
            in_print(callout.diameter_minus, 0),
            0,
            0.1 * at,
            tenth / 2,
            self.unit,
            4 if self.unit == "in" else 3,
        )
        self.other_diameter = quantity("Other diameter", 0.9 * at, *size)
        self.length = quantity("Cone length", in_print(callout.length, 1), *size)
        self.has_tolerance = switch("Angle has a tolerance", True)
        self.angle_tolerance = angle("Angle tolerance ±", "0°12′", "0°00′30″", "5°", "0°00′30″")
        self.tolerance_on = choice("Tolerance is on the", TOLERANCE_ON, callout.tolerance_on)
        self.general_class = choice(
            "General tolerance class",
            [(f"{name}, {word}", name) for name, word in GENERAL_CLASSES.items()],
            "m",
        )
        self.lathe_ = choice("Lathe", [*demo.LATHES, OWN_LATHE], lathe.name)
        self.lathe_unit = choice("Lathe's unit", UNITS, lathe.unit)
        self.reach = quantity("Compound reach", lathe.compound_reach, 0.5, 300, 0.01, lathe.unit)
        self.compound_graduation = quantity(
            "Compound graduation",
            lathe.compound_dial.graduation,
            0.0001,
            1,
            0.0001,
            lathe.unit,
        )
        self.compound_per_turn = quantity(
            "Compound dial, one turn",
            lathe.compound_dial.per_turn,
            0.01,
            20,
            0.005,
            lathe.unit,
        )
        self.cross_graduation = quantity(
            "Cross graduation", lathe.cross_dial.graduation, 0.0001, 1, 0.0001, lathe.unit
        )
        self.cross_per_turn = quantity(
            "Cross dial, one turn", lathe.cross_dial.per_turn, 0.01, 20, 0.005, lathe.unit
        )
        self.cross_reads = choice("Cross dial reads", READS, lathe.cross_dial.reads)
        self.base_zero = choice("Base zero: slide is", BASE_ZEROS, lathe.base_zero)
        self.compound_backlash = quantity(
            "Compound backlash", lathe.compound_backlash, 0, 2, 0.001, lathe.unit
        )
        self.cross_backlash = quantity(
            "Cross backlash", lathe.cross_backlash, 0, 2, 0.001, lathe.unit
        )
        self.own_travel = switch("Choose the travel myself")
        self.travel = quantity(
            "Compound travel",
            made.plan().compound_travel,
            0.01,
            lathe.compound_reach,
            0.001 if lathe.unit == "in" else 0.02,
            lathe.unit,
            3,
        )
        self.order = choice(
            "Rank setups by", [("angle error", "angle error"), ("long travel", "sensitivity")]
        )
        self.title_ = entry("Title on the sheet", made.title)
        self.notes = entry("Notes", made.notes)
        self.file_controls("File name", "my job")
        self._lathe_kept: Lathe | None = None
        self._shown_example: Callout | None = None

    def arrange(self) -> list[ipywidgets.Widget]:
        self.file_presses("Save job", "Load job")
        self.on_press(
            "Write sheet", self.write_sheet, "Write the setup sheet to print", needs_entries=True
        )
        self.on_press(
            "Back to the example",
            self.back_to_example,
            "Back to the invented example, as a new job",
        )
        parts: list[ipywidgets.Widget] = []
        for first, heading in (
            ("kind", "From the print"), ("lathe", "Lathe"), ("own_travel", "Setup"),
            ("title", "Sheet and file"),
        ):  # fmt: skip
            title = ipywidgets.HTML(f"<h3>{heading}</h3>")
            title.add_class("tapertrig-heading")
            names = list(self.controls)
            parts.append((names.index(first), title))
        ordered: list[ipywidgets.Widget] = []
        headings = dict(parts)
        for index, control in enumerate(self.controls.values()):
            if index in headings:
                ordered.append(headings[index])
            ordered.append(control)
        self._show_used()
        return [*ordered, self.presses, self.style_switch]

    # -- controls that depend on each other -----------------------------------------------

    def moved(self, control: Control) -> None:
        named = {id(widget): name for name, widget in self.controls.items()}
        name = named.get(id(control), "")
        if name == "lathe":
            picked = demo.LATHES.get(control.value)
            if picked is not None:
                self._put_lathe(picked)
        elif name == "lathe_unit":
            self._change_lathe_unit()
        if name in ("kind", "internal", "face_diameter"):
            self._fit_other_diameter()
        if name in ("kind", "has_tolerance", "lathe", "own_travel", "lathe_unit"):
            self._show_used()
        super().moved(control)

    def _show_used(self) -> None:
        on = self.controls
        hidden: set[str] = set()
        for kind, names in USED_BY_KIND.items():
            if kind != self.kind.value:
                hidden |= set(names)
        hidden |= (
            {"general_class"} if self.has_tolerance.value else {"angle_tolerance", "tolerance_on"}
        )
        if self.lathe_.value != OWN_LATHE:
            hidden |= set(LATHE_CONTROLS)
        hidden |= {"order"} if self.own_travel.value else {"travel"}
        for name, control in on.items():
            control.layout.display = "none" if name in hidden else None

    def _fit_other_diameter(self) -> None:
        """Keep the other diameter on its side of the face diameter."""
        other, face = self.other_diameter, self.face_diameter.value
        inside = self.internal.value
        if (other.value < face) != inside or other.value == face:
            with self.quiet():
                fitting = face * 0.7 if inside else face * 1.4
                other.value = min(max(fitting, other.minimum), other.maximum)

    def _put_lathe(self, lathe: Lathe) -> None:
        on = self.controls
        with self.quiet():
            self.lathe_unit.value = lathe.unit
            for name in LATHE_CONTROLS[1:6] + LATHE_CONTROLS[8:]:
                on[name].unit = lathe.unit
            self.reach.value = lathe.compound_reach
            for slide, dial in (("compound", lathe.compound_dial), ("cross", lathe.cross_dial)):
                on[f"{slide}_graduation"].value = dial.graduation
                on[f"{slide}_per_turn"].value = dial.per_turn
            self.cross_reads.value = lathe.cross_dial.reads
            self.base_zero.value = lathe.base_zero
            self.compound_backlash.value = lathe.compound_backlash
            self.cross_backlash.value = lathe.cross_backlash
            self._lathe_kept = lathe

    def _change_lathe_unit(self) -> None:
        unit = self.lathe_unit.value
        dial = Dial(0.001, 0.1) if unit == "in" else Dial(0.02, 3.0)
        reach, backlash = (3.0, 0.008) if unit == "in" else (75.0, 0.2)
        self._put_lathe(Lathe(unit, reach, dial, dial, self.base_zero.value, backlash, backlash))

    # -- one state ------------------------------------------------------------------------

    def callout(self) -> Callout:
        """The callout that the controls describe."""
        kind = self.kind.value
        value: str | Angle = {
            "included angle": lambda: self.included_angle.angle,
            "half angle": lambda: self.half_angle.angle,
            "taper": lambda: self.taper.value,
            "taper per foot": lambda: self.taper_per_foot.text,
            "two diameters": lambda: "",
            "standard taper": lambda: self.standard.value,
        }[kind]()
        return Callout(
            kind=kind,
            value=value,
            face_diameter=self.face_diameter.value,
            unit=self.unit,
            internal=self.internal.value,
            diameter_plus=self.diameter_plus.value,
            diameter_minus=self.diameter_minus.value,
            angle_tolerance=self.angle_tolerance.angle if self.has_tolerance.value else None,
            tolerance_on=self.tolerance_on.value,
            other_diameter=self.other_diameter.value if kind == "two diameters" else None,
            length=self.length.value,
        )

    def lathe(self) -> Lathe:
        """The lathe that the controls describe."""
        picked = demo.LATHES.get(self.lathe_.value)
        if picked is not None:
            return picked
        kept = self._lathe_kept
        return Lathe(
            unit=self.lathe_unit.value,
            compound_reach=self.reach.value,
            compound_dial=Dial(self.compound_graduation.value, self.compound_per_turn.value),
            cross_dial=Dial(
                self.cross_graduation.value, self.cross_per_turn.value, self.cross_reads.value
            ),
            base_zero=self.base_zero.value,
            compound_backlash=self.compound_backlash.value,
            cross_backlash=self.cross_backlash.value,
            base_radius=kept.base_radius if kept else None,
            name=OWN_LATHE,
        )

    def read_state(self) -> tuple[Job, Plan]:
        lathe = self.lathe()
        travel = self.travel
        if travel.unit != lathe.unit or travel.maximum != lathe.compound_reach:
            self._fit_travel(travel, lathe)
        choices = Choices(
            compound_travel=travel.value if self.own_travel.value else None,
            order=self.order.value,
            general_class=self.general_class.value,
        )
        callout = self.callout()
        if self.job.invented and callout != self._shown_example:
            self._leave_example()
        job = replace(
            self.job,
            callout=callout,
            lathe=lathe,
            choices=choices,
            title=self.title_.value,
            notes=self.notes.value,
        )
        return job, job.plan()

    def _leave_example(self) -> None:
        """Another callout is another job: the example's part and notes are not its own."""
        example = self.job
        with self.quiet():
            for name, words in (("title", example.title), ("notes", example.notes)):
                if self.controls[name].value == words:
                    self.controls[name].value = ""
        self.job = Job(callout=example.callout, lathe=example.lathe)

    def _fit_travel(self, travel: Quantity, lathe: Lathe) -> None:
        with self.quiet():
            value = in_unit(travel.value, travel.unit, lathe.unit)
            travel.unit = lathe.unit
            travel.step = 0.001 if lathe.unit == "in" else 0.02
            travel.limit(travel.step, lathe.compound_reach)
            travel.value = min(max(value, travel.minimum), travel.maximum)

    def render(self, cause: Control | None = None) -> None:
        if self.job.invented and self._shown_example is None:
            self._shown_example = self.callout()
        super().render(cause)
        if self.last_state is not None:
            self.job = self.last_state[0]

    def scene_state(self, state: tuple[Job, Plan]) -> PlanViewState:
        plan = state[1]
        places = places_written(plan.lathe.unit)
        return PlanViewState(
            half_angle=plan.half_angle,
            base_reading=plan.base_reading,
            internal=plan.cone.internal,
            compound_words=f"compound {plan.compound_travel:.{places}f}",
            cross_words=f"cross {plan.cross_travel:.{places}f}",
            axial_words=f"axial {plan.axial_travel:.{places}f}",
        )

    def words(self, state: tuple[Job, Plan]) -> Words:
        job, plan = state
        unit = plan.lathe.unit
        rows = [Row(name, value) for name, value in plan.rows()]
        rows.append(Row("Swing", plan.swing, mark="wide"))
        best = ", ".join(
            f"{setup.compound_travel:.3f} → {setup.cross_reading:.3f} "
            f"({abs(setup.angle_error):.1f}″ left)"
            for setup in plan.setups[:4]
        )
        rows.append(Row("Whole-graduation setups", best or "none in reach", mark="wide"))
        rows += [Row("Assumed", words, mark="warning") for words in plan.assumptions]
        rows += [Row("Mind", words, mark="warning") for words in plan.warnings]
        if job.invented:
            rows.append(Row("Example", demo.MARK, mark="wide"))
        return Words(
            f"Swing the compound to a half angle of {plan.half_angle.brief()}, run it "
            f"{length_text(plan.compound_travel, unit)}, and the cross dial must show "
            f"{length_text(plan.cross_reading, unit)}.",
            tuple(rows),
        )

    # -- buttons --------------------------------------------------------------------------

    def _current(self) -> Job:
        job, _plan = self.read_state()
        self.job = job
        return job

    def write_file(self, path: Path, replace: bool) -> None:
        """Write the job file."""
        self._current().save(path, replace=replace)

    def read_file(self, path: Path) -> str:
        """Read a job file into the controls."""
        self.take(Job.load(path))
        return ""

    def write_sheet(self) -> None:
        """Write the setup sheet of the present job."""
        job = self._current()
        frame, words = self.still()
        self.write_page(SHEET_ENDING, setup_sheet(job, frame, words.splitlines()[0]), "Sheet")

    def back_to_example(self) -> None:
        """The invented example again, as a new job; what was saved stays saved."""
        self.take(demo.job() if self.unit == "in" else demo.job(list(demo.LATHES)[1]))

    def take(self, job: Job) -> None:
        """Put a job into the controls."""
        with self.all_or_nothing():
            self._put_callout(job.callout)
            self._put_choices(job)
            self.job = job
            self._shown_example = self.callout() if job.invented else None
            self.read_state()
        self._show_used()
        self.render()

    def _put_callout(self, callout: Callout) -> None:

        def here(length: float) -> float:
            return in_unit(length, callout.unit, self.unit)

        values: dict[str, Any] = {
            "kind": callout.kind,
            "internal": callout.internal,
            "face_diameter": here(callout.face_diameter),
            "diameter_plus": here(callout.diameter_plus or 0.0),
            "diameter_minus": here(callout.diameter_minus or 0.0),
            "has_tolerance": callout.angle_tolerance is not None,
            "tolerance_on": callout.tolerance_on,
        }
        if callout.length is not None:
            values["length"] = here(callout.length)
        if callout.other_diameter is not None:
            values["other_diameter"] = here(callout.other_diameter)
        if callout.angle_tolerance is not None:
            values["angle_tolerance"] = callout.angle_tolerance.degrees
        of_kind = {
            "included angle": "included_angle", "half angle": "half_angle", "taper": "taper",
            "taper per foot": "taper_per_foot", "standard taper": "standard",
        }.get(callout.kind)  # fmt: skip
        if of_kind in ("included_angle", "half_angle"):
            values[of_kind] = Angle.parse(callout.value).degrees
        elif of_kind == "taper_per_foot":
            values[of_kind] = float(callout.value)
        elif of_kind:
            values[of_kind] = callout.value
        self.put(values)

    def _put_choices(self, job: Job) -> None:
        known = job.lathe.name in demo.LATHES and demo.LATHES[job.lathe.name] == job.lathe
        self.lathe_.value = job.lathe.name if known else OWN_LATHE
        self._put_lathe(job.lathe)
        self.own_travel.value = job.choices.compound_travel is not None
        self._fit_travel(self.travel, job.lathe)
        if job.choices.compound_travel is not None:
            self.travel.value = job.choices.compound_travel
        self.order.value = job.choices.order
        self.general_class.value = job.choices.general_class
        self.title_.value, self.notes.value = job.title, job.notes
