"""Random jobs, any part of which may be not given: what every holder of a job must carry."""

import dataclasses
import math
from fractions import Fraction

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st

from tapertrig import Angle, Dial, Lathe
from tapertrig.job import (
    CALLOUT_KINDS,
    Callout,
    Choices,
    Gauge,
    Instrument,
    Job,
    Pass,
    Readings,
    Scatter,
    StatedAngle,
)
from tapertrig.job.job import LINES
from tapertrig.job.passes import AXIAL, CROSS, Aim, new_identity
from tapertrig.job.readings import Confirmation
from tapertrig.lathe import BASE_ZEROS, UNITS
from tapertrig.setup import BLOCKS, EVERY_ROUTE
from tapertrig.standards import STANDARD_TAPERS

# A job takes many draws, and a panel is slow beside them.
patient = settings(
    deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)
texts = st.text(max_size=20)
units = st.sampled_from(UNITS)
lengths = st.floats(0.05, 300, allow_subnormal=False)
small = st.floats(0, 0.04)
angles = st.fractions(Fraction(1), Fraction(44 * 3600)).map(Angle.from_arc_seconds)


def maybe(strategy):
    """A value, or None: not given."""
    return st.none() | strategy


VALUES = {
    "included angle": st.floats(0.1, 170).map(lambda d: Angle.from_degrees(d).dms(6))
    | st.sampled_from(["62 44", "47.3", "118°", " 20-18 "]),
    "half angle": st.floats(0.1, 85).map(lambda d: Angle.from_degrees(d).dms(2)),
    "taper": st.sampled_from(["1:20", "7:24", "5 %", "0.05", " 1 : 9.98 ", " mt 3", "B&S 7"]),
    "taper per foot": st.sampled_from(["0.602", "3.5", ".5", " 1.25 "]),
    "standard taper": st.sampled_from(sorted(STANDARD_TAPERS)) | st.just("morse3"),
}


@st.composite
def callouts(draw):
    kind = draw(maybe(st.sampled_from(CALLOUT_KINDS)))
    internal, plus = draw(st.booleans()), draw(maybe(st.floats(0.001, 0.04)))
    face = draw(lengths if kind == "two diameters" else maybe(lengths))
    rest = {
        "unit": draw(units),
        "internal": internal,
        "diameter_plus": plus,
        "diameter_minus": None if plus is None else draw(small),
        "angle_tolerance": draw(maybe(angles)),
        "tolerance_on": draw(st.sampled_from(["included angle", "half angle"])),
        "name": draw(texts),
    }
    if kind == "two diameters":
        factor = draw(st.floats(0.1, 0.9))
        other = face * factor if internal else face / factor
        return Callout(kind, draw(texts), face, other_diameter=other, length=draw(lengths), **rest)
    asked = Callout(kind, draw(VALUES[kind] if kind else texts), face, **rest)
    if kind is None or face is None or draw(st.booleans()):
        return asked
    to_the_point = face / 2 / math.tan(asked.half_angle.radians)
    longest = min(to_the_point, 1000) if internal else 1000
    return Callout(kind, asked.value, face, length=draw(st.floats(0.01, 0.9)) * longest, **rest)


dials = st.builds(
    lambda graduation, count, reads: Dial(graduation, graduation * count, reads),
    st.sampled_from([0.0005, 0.001, 0.02, 0.05]),
    st.integers(40, 250),
    st.sampled_from(["radius", "diameter"]),
)


def lathes(may_lack=maybe):
    """Lathes; `may_lack=lambda known: known` for those of which all is known."""
    return st.builds(
        Lathe,
        unit=units,
        compound_reach=may_lack(st.floats(20, 40)),  # beyond any turn of the dials
        compound_dial=dials,
        cross_dial=dials,
        base_zero=may_lack(st.sampled_from(BASE_ZEROS)),
        compound_backlash=may_lack(st.floats(0, 0.5)),
        cross_backlash=may_lack(st.floats(0, 0.5)),
        base_radius=maybe(st.floats(0.5, 100)),
        name=texts,
    )


choices = st.builds(
    Choices,
    compound_travel=maybe(st.floats(0.1, 0.5)),
    shortest_travel=maybe(st.floats(0.1, 0.5)),
    order=st.sampled_from(["angle error", "sensitivity"]),
    general_class=st.sampled_from(["f", "m", "c", "v"]),
    shorter_side=maybe(lengths),
    route=maybe(st.sampled_from(EVERY_ROUTE)),
)


@st.composite
def passes(draw):
    compound, cross = draw(dials), draw(dials)
    route = draw(st.sampled_from([CROSS, AXIAL, BLOCKS]))
    travel, part = draw(st.floats(0.5, 50)), draw(st.floats(0.05, 0.95))
    read = (1 if route == AXIAL else cross.factor) * travel * part
    return Pass(
        compound_reading=travel if route == BLOCKS else compound.factor * travel,
        aim=Aim(draw(angles), draw(maybe(angles)), route, draw(st.integers(0, 2))),
        compound_dial=compound,
        cross_dial=cross,
        unit=draw(units),
        base_radius=draw(maybe(lengths)),
        bolts=draw(st.sampled_from(["eased", "tight"])),
        time=draw(texts),
        struck=draw(st.booleans()),
        **{"axial_reading" if route == AXIAL else "cross_reading": read},
    )


@st.composite
def readings(draw):
    method = draw(st.sampled_from(["one ball", "two balls", "rolls and blocks"]))
    rolls, many = method == "rolls and blocks", method == "two balls"
    sizes = sorted(draw(st.lists(st.floats(0.05, 2), min_size=2, max_size=2, unique=True)))[::-1]
    row = st.lists(st.floats(0.01, 3), min_size=1, max_size=6).map(tuple)
    return Readings(
        method=method,
        unit=draw(units),
        gauges=tuple(
            Gauge(size, draw(maybe(small)), draw(texts), draw(texts)) for size in sizes[: 1 + many]
        ),
        rows=tuple(draw(row) for _ in range(1 if method == "one ball" else 2)),
        cone=draw(st.integers(0, 2)),
        reads="height" if rolls else draw(st.sampled_from(["height", "depth"])),
        parallel=draw(maybe(small)),
        blocks=Gauge(draw(lengths), draw(maybe(small))) if rolls else None,
        instrument=draw(maybe(st.builds(Instrument, texts, maybe(st.just(0.001)), maybe(small)))),
        face_limit=draw(maybe(small)),
        scatter=draw(
            maybe(
                st.builds(
                    Scatter,
                    st.floats(1e-6, 0.04),
                    st.floats(1, 60),
                    st.just("ten on a plug, shop log"),
                )
            )
        ),
        stated_angle=draw(maybe(st.builds(StatedAngle, angles, angles, st.just("sine bar")))),
        edge_break=draw(maybe(small)),
        part_temperature=draw(maybe(st.floats(5, 40))),
        temperature_corrected=draw(st.booleans()),
        measured_by=draw(texts),
        date=draw(texts),
        notes=draw(texts),
        confirmed=tuple(
            draw(st.lists(st.builds(Confirmation, st.just("0" * 16), texts, texts), max_size=2))
        ),
        struck=draw(st.booleans()),
    )


@st.composite
def jobs(draw):
    """Any job at all: no cone or three, no lathe, passes and readings of them or of none."""
    return Job(
        draw(st.lists(callouts(), max_size=3)),
        draw(maybe(lathes())),
        draw(choices),
        passes=tuple(draw(st.lists(passes(), max_size=2))),
        readings=tuple(draw(st.lists(readings(), max_size=2))),
        notes=draw(st.text(max_size=100)),
        invented=draw(st.booleans()),
        older=draw(st.booleans()),
        **{name: draw(texts) for name in LINES},
    )


# Jobs that a plan can be made of.
planned_jobs = st.builds(
    Job,
    callouts().filter(lambda asked: asked.kind is not None),
    lathes(lambda known: known),
    choices,
)


@st.composite
def near(draw, job):
    """Jobs like one that fits a panel: parts left out, readings fewer, struck or unconfirmed."""
    lacking = draw(st.lists(st.sampled_from(["length", "angle_tolerance", "limits"]), unique=True))
    without = dict.fromkeys(lacking)
    if "limits" in without:
        del without["limits"]
        without |= {"diameter_plus": None, "diameter_minus": None}
    asked = dataclasses.replace(job.callout, **without, name=draw(texts))
    read = tuple(
        dataclasses.replace(
            one,
            identity=new_identity(),
            rows=tuple(row[: draw(st.integers(1, len(row)))] for row in one.rows),
            instrument=draw(st.sampled_from([one.instrument, None, Instrument("micrometer")])),
            face_limit=draw(maybe(small)),
            stated_angle=draw(st.sampled_from([one.stated_angle, None])),
            part_temperature=draw(maybe(st.floats(5, 40))),
            confirmed=draw(st.sampled_from([one.confirmed, ()])),
            struck=draw(st.booleans()),
            **{name: draw(texts) for name in ("measured_by", "date", "notes")},
        )
        for one in job.readings
        for _ in range(draw(st.integers(0, 2)))
    )
    return dataclasses.replace(
        job,
        callouts=(asked, *draw(st.lists(callouts(), max_size=1))),
        lathe=draw(maybe(lathes())),
        passes=tuple(draw(st.lists(passes(), max_size=1))),
        readings=read,
        notes=draw(texts),
        invented=draw(st.booleans()),
    )
