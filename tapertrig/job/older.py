"""Jobs of the first edition, brought into the present form.

That edition filled in what nobody had given, and its files do not tell a default from an entry.
So the job is marked, zeros it put for want of a value are taken as not given, a half angle “known
to ±” is dropped because it named no source, and readings wait until somebody says of which print
they are. The same file gives the same job each time it is read.
"""

from __future__ import annotations

import hashlib
from typing import Any

from tapertrig.job.plain import canonical

_KEPT_AS_IT_IS = ("method", "unit", "reads", "measured_by", "date", "notes")


def from_first_edition(job: dict[str, Any]) -> dict[str, Any]:
    """Plain values of a first-edition job as those of the present form; KeyError when torn."""
    values = dict(job)
    inspection = values.pop("inspection")
    callout, lathe = {**values.pop("callout"), "name": ""}, values["lathe"]
    if not callout["diameter_plus"] and not callout["diameter_minus"]:
        callout |= {"diameter_plus": None, "diameter_minus": None}
    return values | {
        "callouts": [callout],
        "lathe": lathe
        | {name: lathe[name] or None for name in ("compound_backlash", "cross_backlash")},
        "choices": {**values["choices"], "route": None},
        "passes": [],
        "readings": [] if inspection is None else [_readings(inspection)],
        "revision": "",
        "serial": "",
        "quantity": "",
        "older": True,
    }


def _readings(inspection: dict[str, Any]) -> dict[str, Any]:
    def gauge(size: float, limit: float) -> dict[str, Any]:
        return {"size": size, "limit": limit or None, "identity": "", "calibrated": ""}

    rolls = inspection["method"] == "rolls and blocks"
    return {name: inspection[name] for name in _KEPT_AS_IT_IS} | {
        "gauges": [gauge(size, inspection["gauge_limit"]) for size in inspection["gauges"]],
        "rows": inspection["readings"],
        "cone": 0,
        "parallel": inspection["parallel"] if inspection["reads"] == "depth" else None,
        "blocks": gauge(inspection["block_height"], inspection["block_limit"]) if rolls else None,
        "instrument": {**inspection["instrument"], "identity": "", "calibrated": ""},
        "face_limit": inspection["face_limit"],
        "scatter": None,
        "stated_angle": None,
        "edge_break": inspection["edge_break"] or None,
        "rule": inspection["rule"]["kind"],
        "part_temperature": None,
        "gauge_temperature": None,
        "temperature_corrected": False,
        "outliers": [],
        "confirmed": [],
        "struck": False,
        "identity": hashlib.sha256(canonical(inspection).encode()).hexdigest()[:16],
    }
