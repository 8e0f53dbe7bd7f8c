"""Seeded starts for the bench: lathes, jobs and faults of every kind, drawn from one seed each."""

import random

from tapertrig import Angle, Dial, Lathe
from tapertrig.bench import BenchConditions, PitchError

MM_PER_INCH = 25.4
DIALS = {
    "mm": ((0.02, 3.0), (0.02, 4.0), (0.01, 2.0), (0.05, 5.0)),
    "in": ((0.001, 0.1), (0.001, 0.125), (0.001, 0.2), (0.0005, 0.1)),
}


def bench_start(seed: int) -> BenchConditions:
    """Both units, dial kinds, base zeros and cones; backlash 0 to 0.5 mm; 3° to 60°.

    One start in twenty has no backlash at all, one in ten uses the slide's whole reach.
    """
    rng = random.Random(seed)
    unit = rng.choice(("in", "mm"))
    per_mm = 1.0 if unit == "mm" else 1 / MM_PER_INCH
    compound_dial = Dial(*rng.choice(DIALS[unit]), "radius")
    cross_dial = Dial(*rng.choice(DIALS[unit]), rng.choice(("radius", "diameter")))
    step = compound_dial.movement_per_graduation
    whole = round(rng.uniform(55, 110) * per_mm / step)
    run = whole if rng.random() < 0.1 else round(whole * rng.uniform(0.6, 0.95))
    slack = [0.0 if rng.random() < 0.05 else rng.uniform(0, 0.5) * per_mm for _ in range(2)]
    faulty = rng.random() < 0.5
    return BenchConditions(
        lathe=Lathe(
            unit,
            whole * step,
            compound_dial,
            cross_dial,
            rng.choice(("parallel to bed", "square to bed")),
            *slack,
        ),
        half_angle=Angle.from_arc_seconds(rng.randint(3 * 3600, 60 * 3600)),
        compound_travel=run * step,
        internal=rng.random() < 0.5,
        seed=seed,
        quill_slope=rng.choice((0.0, rng.uniform(-0.0003, 0.0003))),
        compound_pitch=PitchError(rng.uniform(-2e-4, 2e-4), 0.002 * per_mm * faulty),
        cross_pitch=PitchError(rng.uniform(-2e-4, 2e-4), 0.002 * per_mm * faulty),
    )
