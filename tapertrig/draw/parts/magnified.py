"""Scales of drawings in round steps, so that what is drawn larger than life can say how much."""

from __future__ import annotations

import math

STEPS = (1.0, 2.0, 5.0)
# Ends of a scale of small angles, in arc-seconds: people read minutes in these steps.
ARC_ENDS = (
    10,
    20,
    30,
    40,
    60,
    120,
    180,
    240,
    360,
    480,
    600,
    720,
    1200,
    1800,
    2400,
    3600,
    7200,
    10800,
    18000,
    36000,
)


def magnification(size: float, room: float) -> float:
    """The largest of 1, 2, 5, 10, 20, … that leaves `size` times it within `room`; 1 at least."""
    if size <= 0:
        return 1.0
    times = room / size
    if times < 1:
        return 1.0
    # A hair more, because 10 ** 3 reached by logarithms may come out below 1000.
    decade = 10.0 ** math.floor(math.log10(times) + 1e-9)
    return max(step * decade for step in STEPS if step * decade <= times * (1 + 1e-9))


def arc_end(seconds: float) -> int:
    """The first end of a scale that holds so many arc-seconds; the last one if none does."""
    return next((end for end in ARC_ENDS if end >= seconds), ARC_ENDS[-1])


def arc_end_text(seconds: float) -> str:
    """An end of a scale in the unit people use: 30″, 2′ or 1°."""
    if seconds < 60:
        return f"{seconds:g}″"
    return f"{seconds / 60:g}′" if seconds < 3600 else f"{seconds / 3600:g}°"


def arc_text(radians: float, inwards: bool = False) -> str:
    """The size of an angle, small ones finely: 4.2″, 33″, 2.5′, 1.2°; `inwards` never larger."""
    seconds = abs(math.degrees(radians)) * 3600
    scale = ((9.95, 1, 1, "″"), (119.5, 1, 0, "″"), (7200, 60, 1, "′"), (math.inf, 3600, 1, "°"))
    _end, size, places, mark = next(row for row in scale if seconds < row[0])
    shown, parts = seconds / size, 10.0**places
    if inwards:
        shown = math.floor(shown * parts + 1e-9) / parts
    return f"{shown:.{places}f}{mark}"


def signed_arc_text(radians: float) -> str:
    """A small angle with its sign: +33″ or −2.5′; what rounds to nothing is never below it."""
    told = arc_text(radians)
    return f"{'−' if radians < 0 and told.strip('0.″') else '+'}{told}"
