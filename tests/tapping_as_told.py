"""A hand on the simulated bench that reads its dials out to somebody and taps as it is told."""

from __future__ import annotations

import re
from collections.abc import Callable

from tapertrig import Angle
from tapertrig.bench import Bench, BenchConditions
from tapertrig.bench.hands import Hand
from tapertrig.bench.state import Pass
from tapertrig.job import Job
from tapertrig.lathe import length_text

# From what the dials show, in words, and whether the bolts are tight, to what to do next.
Told = Callable[[list[str], bool], str]


class TappingAsTold(Hand):
    """Prepares and passes by the job's own steps; between passes does what it is told."""

    def __init__(self, job: Job, tell: Told, seed: int = 0) -> None:
        plan = job.plan()
        bench = Bench.under(
            BenchConditions(
                plan.lathe,
                plan.half_angle,
                plan.compound_travel,
                plan.internal,
                seed=seed,
                route=plan.route,
                half_angle_tolerance=plan.half_angle_tolerance,
            )
        )
        super().__init__(bench, most_passes=8)
        self.tell, self.plan = tell, plan

    def said(self, line: Pass) -> list[str]:
        """What the dials show: turns counted and the collar read, or stack and needle."""
        lathe, unit = self.plan.lathe, self.plan.lathe.unit
        compound = lathe.compound_dial.words(abs(line.compound_reading), unit)
        if line.axial is None:
            return [compound, lathe.cross_dial.words(abs(line.cross_reading), unit)]
        stack = self.bench.state.stack
        return [compound, length_text(stack, unit), f"{line.axial - stack:+.4f}"]

    def _passes(self) -> bool:
        for _ in range(self.most_passes):
            self._do_all("prove" if self.bench.state.snugged else "pass")
            told = self._read_out
            if told == "Proven: leave it.":
                self._do_all("finish")
                return True
            if told.startswith("Tighten the bolts"):
                self._tighten()
                continue
            way, angle = re.search(
                r"Swing (further from|back towards) parallel, about ([\d°′″]+)", told
            ).groups()
            swing = Angle.parse(angle)
            self.bench.swing(swing if way == "further from" else -swing, told)
        return False

    def _read(self, why: str) -> None:
        # Read out while the stack still stands there.
        super()._read(why)
        line = self.bench.passes[-1]
        self._read_out = self.tell(self.said(line), line.snugged)
