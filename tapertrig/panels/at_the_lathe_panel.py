"""Lesson 00: readings at the lathe in, the next tap out; every pass is kept at once."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import ipywidgets

from tapertrig import demo
from tapertrig.budget import RESTS_ON_TYPICAL, not_of_now
from tapertrig.draw.at_the_lathe import AtTheLatheScene, AtTheLatheState, PassMark
from tapertrig.job import Callout, Job, Pass
from tapertrig.job.file import ENDING
from tapertrig.job.passes import BOLTS, moments
from tapertrig.job.plan import angle_text
from tapertrig.lathe import Lathe, in_unit, length_text, what_changed
from tapertrig.next_tap import WORDS, Tap, Target, before_swing, next_tap, set_now, set_to, tap_of
from tapertrig.panels.parts.board import Row, Words
from tapertrig.panels.parts.carried import HINT, LABEL, PLACEHOLDER, PRESS, taken_in
from tapertrig.panels.parts.controls import Control, Reading, choice, entry
from tapertrig.panels.parts.kept_file import IN_FOLDER, KeptFile, names_in
from tapertrig.panels.parts.lathe_list import LatheList
from tapertrig.procedure import procedure
from tapertrig.setup import BY_SINE

MOST_SHOWN = 6
UNNAMED, NOW = "lathe without a name", ", as the book has it now"


@dataclass(frozen=True)
class LatheState:
    """The job, one cone of it, and what the readings typed tell; None where nothing does."""

    job: Job
    cone: int
    target: Target | None
    typed: Tap | None
    set_now: str
    room: float | None = None
    before: str = ""

    @property
    def passes(self) -> tuple[tuple[Pass, str], ...]:
        """The passes at this cone and their names; one struck out has none."""
        names = iter(range(1, len(self.job.passes) + 1))
        here = [one for _, one in moments(self.job.passes) if one.aim.cone == self.cone]
        return tuple((one, "" if one.struck else f"pass {next(names)}") for one in here)

    @property
    def last(self) -> Pass | None:
        """The last pass that stands."""
        return next(iter(self.job.standing(self.cone)[::-1]), None)

    @property
    def tap(self) -> Tap | None:
        """What is told: of the readings typed, or else of the last pass."""
        if self.typed is None and self.last is not None and self.target is not None:
            return tap_of(self.job, self.last)
        return self.typed


class AtTheLathe(LatheList[LatheState], KeptFile[LatheState]):
    """Job and lathe from lists; type what the dials read and see how much further to swing.

    The panel holds a job and shows it. Each pass added or struck out is in its file at once.
    """

    title = "At the lathe"
    scene = AtTheLatheScene
    can_hide = has_unit = False  # print and lathe have units of their own
    any_unit = True
    ending = ENDING

    def make_controls(self) -> None:
        self.add_class("tapertrig-controls-first")
        self.job = demo.job(unit=self.unit)
        self.file_controls(
            "Kept as", placeholder="named after the job", replace="", label_list="Job"
        )
        self.lathe_list(optional=True)
        self.cone = choice("Cone", [("the only one", 0)])
        self.compound = Reading("Compound dial reads", self.unit)
        self.cross = Reading("Cross dial reads", self.unit)
        self.stack = Reading("Stack of blocks", self.unit)
        self.needle = Reading("Needle, + a larger gap", self.unit, least=-9999.0)
        self.bolts = choice("Bolts", BOLTS)
        self.readings = self.compound, self.cross, self.stack, self.needle
        self.carried = entry(LABEL, "", PLACEHOLDER)

    def arrange(self) -> list[ipywidgets.Widget]:
        self.look()
        self._follow(self._taken_for())
        self.on_press(
            "Add this pass", self.add_pass, "Keep what is typed as a pass", needs_entries=True
        )
        self.on_press(
            "Strike the last pass", self.strike, "It stays in the file and counts for nothing"
        )
        self.on_press(PRESS, self.take_in_readings, HINT, needs_entries=True)
        return super().arrange()

    # -- job and lathe --------------------------------------------------------------------

    def take(self, job: Job) -> None:
        """Put a job in. Readings typed for another job, print, lathe or cone are gone."""
        with self.all_or_nothing():
            was, self.job = self._taken_for(), job
            self._follow(was)
        self.render()

    def current(self) -> Job:
        """The job with every pass added; readings typed and not added are none of it."""
        return self.job

    @property
    def print_asks(self) -> Callout | None:
        """What the print asks of the cone chosen; None while it gives no angle."""
        here = self.job.callouts[self.cone.value :][:1]
        return here[0] if here and here[0].kind is not None else None

    @property
    def by_cross(self) -> bool:
        """Whether this cone is measured by the cross travel."""
        asked = self.print_asks
        return asked is None or self.job.choices.route_for(asked.half_angle) in BY_SINE

    def _taken_for(self) -> object:
        """What a reading is taken for: it must not slip over to anything else."""
        prints = [one.fingerprint for one in self.job.callouts]
        return self.job.identity, prints, self.job.lathe, self.job.choices, self.cone.value

    def _follow(self, was: object = None) -> None:
        """Lists, units and entries as the job has them."""
        lathe, names = self.job.lathe, [one.name for one in self.job.callouts]
        with self.quiet():
            self.lathe.options = self._options(lathe)
            self.lathe.value = self._picked_before = lathe and (lathe.name or UNNAMED)
            at = min(self.cone.value, max(len(names) - 1, 0))
            self.cone.options = [
                (name or f"cone {n + 1}", n) for n, name in enumerate(names or [""])
            ]
            self.cone.value = at
            self.cone.layout.display = None if len(names) > 1 else "none"
            for one in self.readings:
                used = one is self.compound or (one is self.cross) == self.by_cross
                one.layout.display = None if used else "none"
                if lathe is not None:
                    one.unit = lathe.unit
                if self._taken_for() != was:
                    one.empty()
            if lathe is not None:
                self.compound.dial, self.cross.dial = lathe.compound_dial, lathe.cross_dial

    def _options(self, picked: Lathe | None) -> list[Any]:
        """The job keeps its own copy of its lathe; where the book's is another, both are there."""
        own = self.job.lathe
        options = super()._options(own and replace(own, name=own.name or UNNAMED))
        if own is not None:
            name = own.name or UNNAMED
            if self.lathes[name] not in (own, replace(own, name=name)):
                self.lathes[name + NOW] = self.lathes[name]
                options.append((name + NOW, name + NOW))
            self.lathes[name] = own
        return options

    def look_in_the_book(self) -> None:
        super().look_in_the_book()
        self.render()

    def lathe_picked(self, lathe: Lathe | None) -> None:
        """Another lathe for the job, where no pass was taken on the dials of the one before."""
        job, own = self.job, self.job.lathe
        if lathe is None or lathe == own:
            return
        same = own and (own.name, own.compound_dial, own.cross_dial) == (
            lathe.name,
            lathe.compound_dial,
            lathe.cross_dial,
        )
        if not same and any(not one.struck for one in job.passes):
            raise ValueError(
                "this job has passes, taken on the lathe it has; strike them before you choose "
                "another lathe or other dials, or begin another job"
            )
        choices, was = job.choices, self._taken_for()
        if not same:
            # A travel was chosen for the slide of the lathe before.
            side = choices.shorter_side
            if side is not None and own is not None:
                side = float(in_unit(side, own.unit, lathe.unit))
            choices = replace(
                choices, compound_travel=None, shortest_travel=None, shorter_side=side
            )
        self.job = replace(job, lathe=lathe, choices=choices)
        self._follow(was)

    def moved(self, control: Control) -> None:
        if control is self.there and self.there.value != IN_FOLDER:
            self.file.value = self.there.value
            self._pressed(self.load_file)
            return
        if control is self.cone:
            self._follow()
        super().moved(control)

    # -- passes ---------------------------------------------------------------------------

    def _read(self) -> tuple[float | None, float | None]:
        """What the compound dial reads, and the cross dial, or stack and needle together."""
        stack, needle = self.stack.value, self.needle.value
        together = None if stack is None or needle is None else stack + needle
        return self.compound.value, self.cross.value if self.by_cross else together

    def add_pass(self) -> None:
        """Add what is typed as a pass, and keep it in the file at once."""
        compound, other = self._read()
        if compound is None or other is None:
            beside = "cross dial" if self.by_cross else "stack or needle"
            read = (("compound dial", compound), (beside, other))
            missing = " and ".join(name for name, value in read if value is None)
            raise ValueError(
                f"{missing}: nothing typed; type what the dials read first, as you read it: "
                "9 turns .047"
            )
        self.read_state()
        job = self.job.with_pass(
            compound,
            other if self.by_cross else None,
            None if self.by_cross else other,
            self.bolts.value,
            self.cone.value,
        )
        self._keep(job, "Added, and kept")

    def strike(self) -> None:
        """Strike out the last pass that stands at this cone."""
        if self.last_state.last is None:
            raise ValueError("no pass stands here; there is none to strike")
        self._keep(self.job.strike(self.last_state.last.identity), "Struck out, and kept so")

    def take_in_readings(self) -> None:
        """Add the passes that a line from the phone brings, and keep them at once."""
        job, told = taken_in(self.job, self.carried.value, self.here)
        self._keep(job, f"{told}, kept")
        self.carried.value = ""

    def _keep(self, job: Job, told: str) -> None:
        """The job in its file, and here as the file has it; what cannot be saved stays here."""
        with self.quiet():
            for one in self.readings:
                one.empty()
            self.bolts.value = BOLTS[0]  # tight is said anew each time: it is what proves
        try:
            self.file.value = self.file.value.strip() or self.name_of(job)
            job = job.keep(self.path())
        finally:
            self.take(job)
        self.files_changed()
        self.tell(f"{told} in {self.path().name}.")

    def name_of(self, job: Job) -> str:
        """The name of the file in this folder that holds the job, or a free one by its title."""
        plain = "".join(one for one in job.title if one.isalnum() or one in " -,").strip()[:60]
        taken: dict[str, str] = {}
        for name in names_in(self.here, self.ending):
            try:
                taken[name] = Job.load(self.here / f"{name}{self.ending}").identity
            except ValueError:
                taken[name] = ""
        names = [plain or "my job", *(f"{plain or 'my job'} {n}" for n in range(2, 999))]
        held = [name for name, identity in taken.items() if identity == job.identity]
        return next(iter(held), next(name for name in names if name not in taken))

    def read_file(self, path: Path) -> str:
        """Take a job from its file."""
        self.take(Job.load(path))
        return ""

    def begin_again(self) -> None:
        super().begin_again()
        self.job = replace(self.job, identity="")  # a new job, whatever was saved of the other
        self._follow()

    def look(self) -> None:
        """List what is in the folder; what others have saved of this job is here too."""
        super().look()
        if self.there is not None and self.file.value in self.there.options:
            with self.quiet():
                self.there.value = self.file.value
        job, name = self.job, self.file.value.strip()
        if name and job.read_as == job.rest() and (kept := job.as_kept(self.path())) != job:
            self.take(kept)

    # -- one state ------------------------------------------------------------------------

    def read_state(self) -> LatheState:
        job, cone = self.job, self.cone.value
        try:
            target, plan = Target.of(job, cone), job.plan(cone)
        except ValueError as lacking:
            return LatheState(job, cone, None, None, f"nothing yet: {lacking}.")
        steps, typed = procedure(plan), None
        compound, other = self._read()
        if compound is not None and other is not None:
            try:
                typed = next_tap(target, compound, other, self.bolts.value == "tight")
            except ValueError:
                if not any(one.typing for one in self.readings):
                    raise
        told, room = set_now(plan, steps), target.room(plan.compound_travel)
        return LatheState(job, cone, target, typed, told, room, before_swing(steps))

    def scene_state(self, state: LatheState) -> AtTheLatheState:
        target, tap = state.target, state.tap
        if target is None:
            return AtTheLatheState("", (), None, None, None, None, ("nothing to aim at",))
        passes = tuple(
            PassMark(-tap_of(state.job, one).missing, name, one.struck)
            for one, name in state.passes
            if one.aim.internal in (None, target.internal)
        )
        lacking = "no pass yet" if tap is None else ""
        if state.typed is None and state.last is not None and not_of_now(state.job, state.last):
            lacking = "take a new pass"
        if tap is None or lacking:
            return AtTheLatheState(
                target.aim, passes, None, None, target.tolerance, state.room, (lacking,)
            )
        short = _short(tap)
        rim = f"missing: {tap.swing}"
        if tap.swing.startswith(short):
            rim = tap.swing.removeprefix(short).strip(" ,()")
        lines = short, rim, f"now {tap.now}, {tap.doubted}", tap.standing
        said = tuple(filter(None, lines))
        return AtTheLatheState(
            target.aim, passes, -tap.missing, tap.doubt, target.tolerance, tap.room, said
        )

    def words(self, state: LatheState) -> Words:
        job, tap = state.job, state.tap
        rows = [Row("Set now", state.set_now, mark="wide")]
        sentence = "No pass yet. Type what the dials read at the null, as you read it."
        if tap is None and state.target is not None:
            sentence, rows = f"No pass yet. {state.set_now} Type what the dials then read.", []
        elif tap is not None:
            whose = "These readings" if state.typed else "The last pass"
            sentence = f"{whose}: half angle {tap.now}. {tap.next}"
            said = "" if state.typed else set_to(job, state.cone)
            # What hands do next stands first: below it may be out of sight.
            rows = [
                *([Row("Proof", said, mark="large")] if said else []),
                *([] if tap.next == WORDS["proven"] else self._before(state)),
                Row("Half angle now", tap.now),
                Row("Missing", tap.swing),
                Row("This pass", tap.standing),
                Row("The reading's own doubt", f"{tap.doubted}. {RESTS_ON_TYPICAL}", mark="wide"),
                *(Row("Mind", words, mark="wide") for words in tap.minded),
                *rows,
            ]
        if state.target is not None:
            rows += [self._row(job, *one) for one in state.passes[-MOST_SHOWN:]]
        book = self.lathes.get(f"{self.lathe.value}{NOW}")
        if changed := what_changed(job.lathe, book) if job.lathe and book else ():
            rows.append(Row("Lathe book", f"{'; '.join(changed)} by now", mark="warning"))
        if tap is None:
            rows += self._before(state)
        if job.invented:
            rows.append(Row("Example", demo.MARK, mark="wide"))
        return Words(sentence, tuple(rows))

    def _before(self, state: LatheState) -> list[Row]:
        return [Row("Before you swing", state.before, mark="warning")] if state.before else []

    def _row(self, job: Job, one: Pass, name: str) -> Row:
        tap, aim = tap_of(job, one), one.aim.half_angle
        was = "" if aim == job.asked(one.aim.cone).half_angle else f", aim was {angle_text(aim)}"
        read = (
            f"{length_text(one.compound_reading, one.unit)}, {length_text(one.reading, one.unit)}"
        )
        name = name.capitalize() or "Struck out"
        return Row(name, f"{read}, {one.bolts}: {tap.now}, {tap.swing}{was}", mark="wide")


def _short(tap: Tap) -> str:
    """What to do, in few words, to be read from afar."""
    if tap.asks:
        return "a lost turn?"
    if tap.next in (WORDS["prove"], WORDS["proven"]):
        return "leave it" if tap.next == WORDS["proven"] else "tighten, then prove"
    return "less than the doubt" if tap.chases else tap.swing.partition(",")[0].partition(" (")[0]


__all__ = ["AtTheLathe", "LatheState"]
