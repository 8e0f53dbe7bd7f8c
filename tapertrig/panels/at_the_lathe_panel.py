"""Lesson 00: readings at the lathe in, the next tap out; every pass is kept at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import ipywidgets

from tapertrig import demo
from tapertrig.draw.at_the_lathe import AtTheLatheScene, AtTheLatheState, PassMark
from tapertrig.job import Job, Pass
from tapertrig.job.file import ENDING
from tapertrig.job.passes import BOLTS
from tapertrig.job.plan import angle_text
from tapertrig.lathe import Lathe, in_unit, length_text
from tapertrig.next_tap import Tap, Target, next_tap, set_now, set_to, tap_of
from tapertrig.panels.parts.board import Row, Words
from tapertrig.panels.parts.controls import Control, Reading, choice
from tapertrig.panels.parts.kept_file import IN_FOLDER, KeptFile
from tapertrig.procedure import CROSS, NEVER, Procedure, procedure

MOST_SHOWN = 6
NO_LATHE = "not given"


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
    def passes(self) -> tuple[Pass, ...]:
        """The passes at this cone, those struck out too."""
        return tuple(one for one in self.job.passes if one.aim.cone == self.cone)

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


class AtTheLathe(KeptFile[LatheState]):
    """Job and lathe from lists; type what the dials read and see how much further to swing."""

    title = "At the lathe"
    scene = AtTheLatheScene
    can_hide = False
    ending = ENDING

    def make_controls(self) -> None:
        self.add_class("tapertrig-controls-first")
        self.job = demo.job(unit=self.unit)
        self.file_controls("Kept as", placeholder="named after the job", replace="")
        assert self.there is not None
        self.there.description = "Job"
        self.lathe = choice("Lathe", [*self.lathes()])
        self.cone = choice("Cone", [("the only one", 0)])
        self.compound = Reading("Compound dial reads", self.unit)
        self.cross = Reading("Cross dial reads", self.unit)
        self.stack = Reading("Stack of blocks", self.unit)
        self.needle = Reading("Needle, + a larger gap", self.unit, least=-9999.0)
        self.bolts = choice("Bolts", BOLTS)

    def arrange(self) -> list[ipywidgets.Widget]:
        self.look()
        self._offer()
        self.on_press(
            "Add this pass", self.add_pass, "Keep what is typed as a pass", needs_entries=True
        )
        self.on_press(
            "Strike the last pass", self.strike, "It stays in the file and counts for nothing"
        )
        return [*self.controls.values(), self.presses, self.style_switch]

    # -- job and lathe --------------------------------------------------------------------

    def lathes(self) -> Mapping[str, Lathe]:
        """Every lathe to choose from, by name: the invented ones and the job's own."""
        own = self.job.lathe
        return demo.LATHES if own is None else {**demo.LATHES, own.name or "my own lathe": own}

    def take(self, job: Job) -> None:
        """Put a job in. Readings typed for another job, print or lathe are gone."""
        with self.all_or_nothing():
            asks = self._asks(self.job)
            self.job = job
            self._offer()
            if self._asks(job) != asks:
                self._empty()
            self.read_state()
        self._offer()
        self.render()

    def current(self) -> Job:
        """The job with every pass added; readings typed and not added are none of it."""
        return self.job

    def _asks(self, job: Job) -> object:
        """What a reading is taken for: it must not slip over to anything else."""
        prints = [callout.fingerprint for callout in job.callouts]
        return job.identity, prints, job.lathe, job.choices, self.cone.value

    def _offer(self) -> None:
        """Lists, units and entries as this job and its lathe have them."""
        job, lathe, names = self.job, self.job.lathe, list(self.lathes())
        with self.quiet():
            self.lathe.options = names if lathe else [NO_LATHE, *names]
            self.lathe.value = (lathe.name or "my own lathe") if lathe else NO_LATHE
            at = min(self.cone.value, max(len(job.callouts) - 1, 0))
            self.cone.options = [
                (one.name or f"cone {n}", n - 1) for n, one in enumerate(job.callouts, 1)
            ] or [("the only one", 0)]
            self.cone.value = at
            self.cone.layout.display = None if len(job.callouts) > 1 else "none"
            cross = self._by_cross()
            for one, used in (self.cross, cross), (self.stack, not cross), (self.needle, not cross):
                one.layout.display = None if used else "none"
            if lathe is not None:
                self.compound.dial, self.cross.dial = lathe.compound_dial, lathe.cross_dial
                for one in (self.compound, self.cross, self.stack, self.needle):
                    one.unit = lathe.unit

    def _by_cross(self) -> bool:
        """Whether this cone is measured by the cross travel."""
        asked = self.job.callouts[self.cone.value : self.cone.value + 1]
        if not asked or asked[0].kind is None:
            return True
        return self.job.choices.route_for(asked[0].half_angle) == CROSS

    def _empty(self) -> None:
        with self.quiet():
            for one in (self.compound, self.cross, self.stack, self.needle):
                one.value, one.typing = None, False
                one._write()

    def moved(self, control: Control) -> None:
        if control is self.there and self.there.value != IN_FOLDER:
            self.file.value = self.there.value
            self._pressed(self.load_file)
        elif control is self.lathe:
            self._pressed(self._put_lathe)
        elif control is self.cone:
            self._empty()
            self._offer()
            self.render(control)
        else:
            super().moved(control)

    def _put_lathe(self) -> None:
        """Another lathe, where no pass was taken on the one before."""
        job, lathe = self.job, self.lathes().get(self.lathe.value)
        if lathe is None or lathe == job.lathe:
            return
        if any(not one.struck for one in job.passes):
            self._offer()
            raise ValueError(
                "this job has passes, taken on the lathe it has; strike them before you choose "
                "another lathe, or begin another job"
            )
        side = job.choices.shorter_side
        if side is not None and job.lathe is not None:
            side = float(in_unit(side, job.lathe.unit, lathe.unit))
        # A travel was chosen for the slide of the lathe before.
        choices = replace(
            job.choices, compound_travel=None, shortest_travel=None, shorter_side=side
        )
        self.take(replace(job, lathe=lathe, choices=choices))

    # -- passes ---------------------------------------------------------------------------

    def _reading(self) -> tuple[float | None, float | None]:
        """What the compound dial reads, and the cross dial, or stack and needle together."""
        if self._by_cross():
            return self.compound.value, self.cross.value
        both = self.stack.value, self.needle.value
        return self.compound.value, None if None in both else sum(both)

    def add_pass(self) -> None:
        """Add what is typed as a pass, and keep it in the file at once."""
        compound, other = self._reading()
        if compound is None or other is None:
            raise ValueError("type what both dials read, as you read it, for example 9 turns .047")
        self.read_state()
        told = {"cross_reading" if self._by_cross() else "axial_reading": other}
        job = self.job.with_pass(compound, bolts=self.bolts.value, cone=self.cone.value, **told)
        self._keep(job, "Added and kept")

    def strike(self) -> None:
        """Strike out the last pass that stands at this cone."""
        last = self.last_state.last
        if last is None:
            raise ValueError("no pass stands here; there is none to strike")
        self._keep(self.job.strike(last.identity), "Struck out, and kept so")

    def _keep(self, job: Job, told: str) -> None:
        """The job in the panel and in its file; what cannot be saved stays in the panel."""
        self._empty()
        self.take(job)
        if not self.file.value.strip():
            self.file.value = self._own_name(job)
        self.take(job.keep(self.path()))
        self.look()
        self.tell(f"{told} in {self.path().name}.")

    def _own_name(self, job: Job) -> str:
        """The name of the file that holds this job, or a free one after its title."""
        plain = "".join(one for one in job.title if one.isalnum() or one in " -,").strip()[:60]
        taken = {}
        for path in self.here.glob(f"*{self.ending}"):
            try:
                taken[path.name[: -len(self.ending)]] = Job.load(path).identity
            except ValueError:
                taken[path.name[: -len(self.ending)]] = ""
        for name, identity in taken.items():
            if identity == job.identity:
                return name
        names = [plain or "my job", *(f"{plain or 'my job'} {n}" for n in range(2, 999))]
        return next(name for name in names if name not in taken)

    def read_file(self, path: Path) -> str:
        """Take a job from its file."""
        self.take(Job.load(path))
        return ""

    # -- one state ------------------------------------------------------------------------

    def read_state(self) -> LatheState:
        job, cone = self.job, self.cone.value
        try:
            target, plan = Target.of(job, cone), job.plan(cone)
        except ValueError as lacking:
            return LatheState(job, cone, None, None, f"Nothing to set yet: {lacking}.")
        steps = procedure(plan)
        compound, other = self._reading()
        typed = None
        if compound is not None and other is not None:
            try:
                typed = next_tap(target, compound, other, self.bolts.value == "tight")
            except ValueError:
                if not any(one.typing for one in (self.compound, self.cross, self.stack)):
                    raise
        return LatheState(
            job,
            cone,
            target,
            typed,
            set_now(plan, steps),
            target.room(plan.compound_travel),
            _before(steps),
        )

    def scene_state(self, state: LatheState) -> AtTheLatheState:
        target, tap = state.target, state.tap
        standing = state.job.standing(state.cone)
        marks = []
        for one in state.passes if target else ():
            name = "" if one.struck else f"pass {standing.index(one) + 1}"
            marks.append(PassMark(-tap_of(state.job, one).missing, name, one.struck))
        said = ("no pass yet",)
        if tap is not None:
            swing, _, rim = tap.swing.partition(", ")
            said = (swing.partition(" (")[0], rim, f"now {tap.now}, {tap.doubted}", tap.standing)
        return AtTheLatheState(
            target.aim if target else "",
            tuple(marks),
            -tap.missing if tap else None,
            tap.doubt if tap else None,
            target.tolerance if target else None,
            tap.room if tap else state.room,
            tuple(line for line in said if line),
        )

    def words(self, state: LatheState) -> Words:
        job, tap, last = state.job, state.tap, state.last
        rows = [Row("Set now", state.set_now, mark="wide")]
        sentence = "No pass yet. Type what the dials read at the null, as you read it."
        if tap is not None:
            told = "These readings" if state.typed else "Last pass"
            sentence = f"{told}: half angle {tap.now}. {tap.next}"
            rows += [
                Row("Half angle now", tap.now),
                Row("Swing", tap.swing),
                Row("The reading's own doubt", tap.doubted),
                Row("This pass", tap.standing),
            ]
            if said := state.typed is None and set_to(job, state.cone):
                rows.append(Row("Proof", said, mark="large"))
            rows += [Row("Mind", words, mark="wide") for words in tap.minded]
        if last is not None and state.target is not None:
            rows += self._pass_rows(state)
        if state.before:
            rows.append(Row("Before you swing", state.before, mark="warning"))
        if job.invented:
            rows.append(Row("Example", demo.MARK, mark="wide"))
        return Words(sentence, tuple(rows))

    def _pass_rows(self, state: LatheState) -> list[Row]:
        number, rows = 0, []
        for one in state.passes:
            number += not one.struck
            other = one.axial_reading if one.cross_reading is None else one.cross_reading
            assert other is not None
            tap, asked = tap_of(state.job, one), state.job.asked(one.aim.cone).half_angle
            read = f"{length_text(one.compound_reading, one.unit)}, {length_text(other, one.unit)}"
            was = (
                "" if one.aim.half_angle == asked else f", aim was {angle_text(one.aim.half_angle)}"
            )
            name = "Struck out" if one.struck else f"Pass {number}, {one.bolts}"
            rows.append(Row(name, f"{read}: {tap.now}, {tap.swing}{was}", mark="wide"))
        return rows[-MOST_SHOWN:]


def _before(steps: Procedure) -> str:
    return f"{steps.step('back-off').words} {NEVER}"


__all__ = ["AtTheLathe", "LatheState"]
