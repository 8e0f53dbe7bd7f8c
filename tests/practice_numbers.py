"""Right and wrong numbers of practice problems, worked out here from `.given` alone.

Nothing is imported from the package: every formula is written down again from plane geometry, and
every mistake is made by hand. Angles in degrees throughout.
"""

import math
import re
from types import SimpleNamespace

INCLUDED = "included angle used as half angle"
HALVED = "half angle halved again"
COMPLEMENT = "complement used"
NO_COMPLEMENT = "complement not used"
COSINE = "cosine for sine"
TANGENT = "tangent for sine"
RADIANS = "degrees typed with the calculator in radians"
MINUTES = "minutes typed as decimals"
DIAMETER_DIAL = "diameter dial read as radius"
RADIUS_DIAL = "radius dial read as diameter"
AFTER = "halving after the arctangent"
PER_FOOT = "taper per foot used as taper per inch"
ON_RADIUS = "forgetting that taper is on diameter"
NOT_HALVED = "tolerance on the included angle not halved"
BACKLASH = "reversal inside the backlash"
FEED = "compound feed thought to change size"
WRONG_WAY = "correction swung the wrong way"
BALL_SIGN = "ball height sign"
BREAK = "ball touching the edge break"
SUPPLEMENT = "supplement used"
INVERSE = "multiplied instead of divided or the other way"
SINE = "sine for tangent"
GROWN = "bore thought to grow by facing"
END_TO_END = "parts added end to end"
FOR_MINUTES = "degrees for minutes"
UNIT = "inches for millimetres"
FORM = "angle answered in the form it was given in"
TURN = "one turn miscounted"
OVER_ALL = "length over all for the length between centre points"
NOT_TURNED = "known taper not turned half round"
NO_COSINE = "indicator change taken without the cosine"
ACROSS = "width across taken for width along the wall"
DEPTH_SIGN = "gauge-plane depth with the wrong sign"

# Names promised to records already saved: a change here breaks old files.
ALL = (
    INCLUDED, HALVED, COMPLEMENT, NO_COMPLEMENT, COSINE, TANGENT, RADIANS, MINUTES, DIAMETER_DIAL,
    RADIUS_DIAL, AFTER, PER_FOOT, ON_RADIUS, NOT_HALVED, BACKLASH, FEED, WRONG_WAY, BALL_SIGN,
    BREAK, SUPPLEMENT, INVERSE, SINE, GROWN, END_TO_END, FOR_MINUTES, UNIT, FORM, TURN,
    OVER_ALL, NOT_TURNED, NO_COSINE, ACROSS, DEPTH_SIGN,
)  # fmt: skip

DEGREES = SimpleNamespace(
    sin=lambda a: math.sin(a * math.pi / 180),
    cos=lambda a: math.cos(a * math.pi / 180),
    tan=lambda a: math.tan(a * math.pi / 180),
    asin=lambda x: math.asin(x) * 180 / math.pi,
    acos=lambda x: math.acos(x) * 180 / math.pi,
    atan=lambda x: math.atan(x) * 180 / math.pi,
)
# The same keys pressed with the calculator set to radians, its answers taken for degrees.
IN_RADIANS = SimpleNamespace(
    sin=math.sin, cos=math.cos, tan=math.tan, asin=math.asin, acos=math.acos, atan=math.atan
)


def _half(g):
    return (g.included_degrees + g.included_minutes / 60) / 2


def _angle_slips(g, number, which=(INCLUDED, HALVED, COMPLEMENT, MINUTES, RADIANS)):
    """Wrong numbers of a problem whose answer is number(half angle, keys)."""
    included = g.included_degrees + g.included_minutes / 60
    ways = {
        INCLUDED: [included],
        HALVED: [included / 4],
        COMPLEMENT: [90 - included / 2],
        MINUTES: [
            (g.included_degrees + g.included_minutes / 100) / 2,
            # Halved first, and only then typed: 63°45′ becomes 31°52.5′, typed as 31.525.
            math.floor(g.included_degrees / 2)
            + (g.included_minutes / 2 + (30 if g.included_degrees % 2 else 0)) / 100,
        ],
    }
    wrong = {name: [number(a, DEGREES) for a in ways[name]] for name in which if name in ways}
    if RADIANS in which:
        wrong[RADIANS] = [number(included / 2, IN_RADIANS)]
    return wrong


def _dial_slips(g, number):
    """Wrong numbers of a problem whose answer is number(what the dial shows per movement)."""
    if g.dial_factor == 2:
        return {DIAMETER_DIAL: [number(1)]}
    return {RADIUS_DIAL: [number(2)]}


def _taper_slips(taper):
    right = DEGREES.atan(taper / 2)
    return {
        AFTER: [DEGREES.atan(taper) / 2],
        ON_RADIUS: [DEGREES.atan(taper)],
        INCLUDED: [2 * right],
        HALVED: [right / 2],
        COMPLEMENT: [90 - right],
        RADIANS: [IN_RADIANS.atan(taper / 2)],
        SINE: [DEGREES.asin(taper / 2)],
    }


def _no_error(number):
    """The number, or nothing where the calculator shows an error."""
    try:
        return [number()]
    except (ValueError, ZeroDivisionError):
        return []


def _half_angle(g, **more):
    which = (INCLUDED, HALVED, COMPLEMENT, MINUTES)
    return _half(g), {**_angle_slips(g, lambda a, _: a, which), **more}


def _neighbour(work):
    """The same with the neighbouring angle, 180° less."""

    def beside(g):
        right, wrong = work(g)
        return right, {**wrong, SUPPLEMENT: [180 - right]}

    return beside


def _decimals(g):
    right = g.half_degrees + g.half_minutes / 60
    return right, {MINUTES: [g.half_degrees + g.half_minutes / 100], HALVED: [right / 2]}


def _from_decimals(g):
    whole = math.floor(g.included_decimal)
    hundredths = round(100 * (g.included_decimal - whole))
    right = g.included_decimal / 2
    return right, {
        INCLUDED: [g.included_decimal],
        HALVED: [g.included_decimal / 4],
        COMPLEMENT: [90 - right],
        MINUTES: [(whole + hundredths / 60) / 2],
        INVERSE: [2 * g.included_decimal],
    }


def _obtuse(g):
    which = (INCLUDED, HALVED, COMPLEMENT, MINUTES)
    return 180 - _half(g), _angle_slips(g, lambda a, _: 180 - a, which)


def _complement(g):
    wrong = _angle_slips(g, lambda a, _: 90 - a, (INCLUDED, HALVED, MINUTES))
    return 90 - _half(g), {NO_COMPLEMENT: [_half(g)], **wrong}


def _from_base(g):
    reading = g.base_degrees + g.base_minutes / 60
    return 2 * (90 - reading), {
        NO_COMPLEMENT: [2 * reading],
        INCLUDED: [90 - reading],
        MINUTES: [2 * (90 - (g.base_degrees + g.base_minutes / 100))],
        INVERSE: [(90 - reading) / 2],
        SUPPLEMENT: [180 - reading],
    }


def _ratio_angle(g):
    upside_down = {INVERSE: [DEGREES.atan(g.ratio / 2)]}
    return DEGREES.atan(1 / (2 * g.ratio)), {**_taper_slips(1 / g.ratio), **upside_down}


def _per_foot_angle(g):
    tpf = g.taper_per_foot
    wrong = {PER_FOOT: [DEGREES.atan(tpf / 2)], INVERSE: [DEGREES.atan(tpf * 12 / 2)]}
    return DEGREES.atan(tpf / 24), {**wrong, **_taper_slips(tpf / 12)}


def _diameters_angle(g):
    taper = (g.large_diameter - g.small_diameter) / g.length
    return DEGREES.atan(taper / 2), _taper_slips(taper)


def _angle_per_foot(g):
    wrong = _angle_slips(g, lambda a, k: 24 * k.tan(a))
    tan = DEGREES.tan(_half(g))
    wrong |= {INVERSE: [2 * tan / 12], SINE: [24 * DEGREES.sin(_half(g))]}
    return 24 * tan, {PER_FOOT: [2 * tan], ON_RADIUS: [12 * tan], **wrong}


def _angle_ratio(g):
    wrong = _angle_slips(g, lambda a, k: 1 / (2 * k.tan(a)))
    wrong |= {INVERSE: [2 * DEGREES.tan(_half(g))], SINE: [1 / (2 * DEGREES.sin(_half(g)))]}
    return 1 / (2 * DEGREES.tan(_half(g))), {ON_RADIUS: [1 / DEGREES.tan(_half(g))], **wrong}


def _cross(g):
    s, a = g.compound_travel, _half(g)
    return s * DEGREES.sin(a), {
        COSINE: [s * DEGREES.cos(a)],
        TANGENT: [s * DEGREES.tan(a)],
        INVERSE: [s / DEGREES.sin(a)],
        **_angle_slips(g, lambda a, k: s * k.sin(a)),
    }


def _compound(g):
    c, a = g.cross_travel, _half(g)
    return c / DEGREES.sin(a), {
        COSINE: [c / DEGREES.cos(a)],
        TANGENT: [c / DEGREES.tan(a)],
        INVERSE: [c * DEGREES.sin(a)],
        **_angle_slips(g, lambda a, k: c / k.sin(a)),
    }


def _sine_answer(ratio):
    """Half angle whose sine is the ratio, and its wrong numbers."""
    right = DEGREES.asin(ratio)
    return right, {
        COSINE: [DEGREES.acos(ratio)],
        TANGENT: [DEGREES.atan(ratio)],
        RADIANS: [IN_RADIANS.asin(ratio)],
        INCLUDED: [2 * right],
        HALVED: [right / 2],
    }


def _travels_angle(g):
    right, wrong = _sine_answer(g.cross_travel / g.compound_travel)
    return right, {COMPLEMENT: [90 - right], **wrong}


def _axial(g):
    def number(a, k):
        return g.compound_travel * k.cos(a)

    divided = {INVERSE: [g.compound_travel / DEGREES.cos(_half(g))]}
    return number(_half(g), DEGREES), {**_angle_slips(g, number), **divided}


def _carriage(g):
    def number(a, k):
        return g.carriage_travel * k.tan(a)

    a, z = _half(g), g.carriage_travel
    wrong = {INVERSE: [z / DEGREES.tan(a)], SINE: [z * DEGREES.sin(a)]}
    return number(a, DEGREES), {**_angle_slips(g, number), **wrong}


def _reading(g):
    wrong = _dial_slips(g, lambda k: g.movement * k)
    return g.movement * g.dial_factor, {**wrong, INVERSE: [g.movement / g.dial_factor]}


def _movement(g):
    reading = g.turns * g.dial_per_turn + g.graduations * g.dial_graduation
    wrong = _dial_slips(g, lambda k: reading / k)
    return reading / g.dial_factor, {**wrong, INVERSE: [reading * g.dial_factor]}


def _setup_reading(g):
    k, (cross, wrong) = g.dial_factor, _cross(g)
    scaled = {name: [k * number for number in numbers] for name, numbers in wrong.items()}
    scaled[INVERSE] = [cross / k]
    return k * cross, {**scaled, **_dial_slips(g, lambda factor: factor * cross)}


def _swing_in(scale):
    def swing(g):
        ratio = g.cross_reading / g.dial_factor / g.compound_travel
        now, right = DEGREES.asin(ratio), _half(g) - DEGREES.asin(ratio)
        wrong = {
            WRONG_WAY: [-right],
            COSINE: [_half(g) - DEGREES.acos(ratio)],
            TANGENT: [_half(g) - DEGREES.atan(ratio)],
            RADIANS: [_half(g) - IN_RADIANS.asin(ratio)],
            **_angle_slips(g, lambda a, _: a - now, (INCLUDED, HALVED, COMPLEMENT, MINUTES)),
        }
        if g.dial_factor == 2:
            name, other = DIAMETER_DIAL, ratio * 2
        else:
            name, other = RADIUS_DIAL, ratio / 2
        wrong[name] = _no_error(lambda: _half(g) - DEGREES.asin(other))
        factor = scale(g)
        return factor * right, {n: [factor * w for w in values] for n, values in wrong.items()}

    return swing


def _after_reversal(g):
    def moved(k):
        return max(0.0, g.turned_back / k - g.backlash)

    wrong = _dial_slips(g, moved)
    wrong |= {BACKLASH: [g.turned_back / g.dial_factor], INVERSE: [moved(1 / g.dial_factor)]}
    return moved(g.dial_factor), wrong


def _follows(g):
    def reading(k):
        return g.start_reading - k * g.backlash

    return reading(g.dial_factor), {BACKLASH: [g.start_reading], **_dial_slips(g, reading)}


def _reversal_angle(g):
    def ratio(k, lost):
        return (g.cross_reading / k - lost) / g.compound_travel

    k = g.dial_factor
    right, wrong = _sine_answer(ratio(k, g.backlash))
    name, other = (DIAMETER_DIAL, 1) if k == 2 else (RADIUS_DIAL, 2)
    return right, {
        COMPLEMENT: [90 - right],
        BACKLASH: _no_error(lambda: DEGREES.asin(ratio(k, 0))),
        name: _no_error(lambda: DEGREES.asin(ratio(other, g.backlash))),
        **wrong,
    }


def _seconds_per_graduation(g, a, keys, k):
    slide = g.dial_graduation / k
    return 3600 * 180 / math.pi * slide / (g.compound_travel * keys.cos(a))


def _graduation(g):
    k = g.dial_factor

    def number(a, keys, k=k):
        return _seconds_per_graduation(g, a, keys, k)

    wrong = _angle_slips(g, number, (INCLUDED, HALVED, COMPLEMENT, RADIANS))
    wrong |= _dial_slips(g, lambda factor: number(_half(g), DEGREES, factor))
    slide = g.dial_graduation / k
    times_cosine = slide * DEGREES.cos(_half(g)) / g.compound_travel
    return number(_half(g), DEGREES), {**wrong, INVERSE: [math.degrees(times_cosine) * 3600]}


def _combined(g):
    def number(a, keys, k=g.dial_factor):
        half_width = _seconds_per_graduation(g, a, keys, k) / 2
        return math.sqrt(2 * half_width**2 / 3 + g.datum_arc_seconds**2)

    wrong = _angle_slips(g, number, (INCLUDED, COMPLEMENT))
    one = _seconds_per_graduation(g, _half(g), DEGREES, g.dial_factor) / math.sqrt(12)
    wrong[END_TO_END] = [one + one + g.datum_arc_seconds]
    wrong |= _dial_slips(g, lambda factor: number(_half(g), DEGREES, factor))
    return number(_half(g), DEGREES), wrong


def _diameter_error(g):
    def number(a, _, walls=2):
        # The difference of two tangents, written with sines and cosines.
        off = g.error_minutes / 60
        return walls * g.length * DEGREES.sin(off) / (DEGREES.cos(a) * DEGREES.cos(a + off))

    def grown(key, off):
        return 2 * g.length * (key(_half(g) + off) - key(_half(g)))

    wrong = _angle_slips(g, number, (INCLUDED, HALVED, COMPLEMENT))
    wrong |= {
        SINE: [grown(DEGREES.sin, g.error_minutes / 60)],
        FOR_MINUTES: [grown(DEGREES.tan, g.error_minutes)],
    }
    return number(_half(g), DEGREES), {ON_RADIUS: [number(_half(g), DEGREES, 1)], **wrong}


def _open_cross(g):
    grow = g.face_diameter_wanted - g.face_diameter_now
    wrong = {**_dial_slips(g, lambda k: k * grow / 2), INVERSE: [2 * grow * g.dial_factor]}
    return g.dial_factor * grow / 2, {FEED: [grow / (2 * DEGREES.sin(_half(g)))], **wrong}


def _open_carriage(g):
    grow = g.face_diameter_wanted - g.face_diameter_now

    def number(a, k):
        return grow / (2 * k.tan(a))

    return number(_half(g), DEGREES), {
        FEED: [grow / (2 * DEGREES.sin(_half(g)))],
        ON_RADIUS: [grow / DEGREES.tan(_half(g))],
        INVERSE: [grow * 2 * DEGREES.tan(_half(g))],
        **_angle_slips(g, number),
    }


def _feed(g):
    return 0.0, {FEED: [2 * g.compound_feed * DEGREES.sin(_half(g))]}


def _facing(g):
    def number(a, k):
        return g.face_diameter_now - 2 * g.faced_off * k.tan(a)

    wrong = _angle_slips(g, number, (INCLUDED, HALVED, COMPLEMENT, RADIANS))
    one_wall = g.face_diameter_now - g.faced_off * DEGREES.tan(_half(g))
    wider = g.face_diameter_now + 2 * g.faced_off * DEGREES.tan(_half(g))
    return number(_half(g), DEGREES), {ON_RADIUS: [one_wall], GROWN: [wider], **wrong}


def _ball_height(g):
    def number(a, k):
        # Centre of the ball above the point of the cone, the point below the face, and a radius.
        return g.ball / 2 / k.sin(a) - g.face_diameter / 2 / k.tan(a) + g.ball / 2

    right = number(_half(g), DEGREES)
    sine = (g.ball - g.face_diameter) / 2 / DEGREES.sin(_half(g)) + g.ball / 2
    return right, {BALL_SIGN: [-right], SINE: [sine], **_angle_slips(g, number)}


def _ball_face(g):
    def number(a, k, height=g.ball_height):
        return 2 * k.tan(a) * (g.ball / 2 - height) + g.ball / k.cos(a)

    wrong = _angle_slips(g, number)
    return number(_half(g), DEGREES), {
        BALL_SIGN: [number(_half(g), DEGREES, -g.ball_height)],
        **wrong,
    }


def _ball_clear(g):
    def number(a, k, edge_break=g.edge_break):
        contact = g.ball * k.cos(a)
        return (g.face_diameter - contact) / (2 * k.tan(a)) - edge_break

    wrong = _angle_slips(g, number, (INCLUDED, COMPLEMENT, RADIANS))
    return number(_half(g), DEGREES), {BREAK: [number(_half(g), DEGREES, 0)], **wrong}


def _largest(g):
    def number(a, _, edge_break=g.edge_break):
        best = 0.0
        for count in range(1, 4000):
            ball = count * g.ball_step
            contact_depth = (g.face_diameter - ball * DEGREES.cos(a)) / (2 * DEGREES.tan(a))
            if contact_depth <= edge_break + 1e-9:
                break
            best = ball
        return best

    wrong = _angle_slips(g, number, (INCLUDED, HALVED, COMPLEMENT))
    wrong = {name: [n for n in numbers if n > 0] for name, numbers in wrong.items()}
    return number(_half(g), DEGREES), {BREAK: [number(_half(g), DEGREES, 0)], **wrong}


def _two_balls_ratio(g, low):
    between_centres = (g.large_height - g.large_ball / 2) - (low - g.small_ball / 2)
    return (g.large_ball - g.small_ball) / 2 / between_centres


def _two_balls_angle(g):
    right, wrong = _sine_answer(_two_balls_ratio(g, g.small_height))
    turned = _no_error(lambda: DEGREES.asin(_two_balls_ratio(g, -g.small_height)))
    return right, {BALL_SIGN: turned, **wrong}


def _two_balls_face(g):
    def number(a, k):
        height, ball = g.large_height, g.large_ball
        return 2 * k.tan(a) * (ball / 2 - height) + ball / k.cos(a)

    right, wrong = _two_balls_angle(g)
    faces = {
        name: [number(a, IN_RADIANS if name == RADIANS else DEGREES) for a in angles]
        for name, angles in wrong.items()
    }
    return number(right, DEGREES), faces


def _rolls_angle(g):
    taper = (g.over_high - g.over_low) / g.block_height
    return DEGREES.atan(taper / 2), _taper_slips(taper)


def _rolls_diameter(g):
    def number(a, k):
        # A roll's centre stands r(tan α + sec α) off the wall's foot, its far side another r.
        reach = g.roll / 2 * (k.tan(a) + 1 / k.cos(a)) + g.roll / 2
        return g.over_low - 2 * reach

    return number(_half(g), DEGREES), _angle_slips(g, number)


def _half_tolerance(g):
    t = g.tolerance_minutes
    return t / 2, {NOT_HALVED: [t], HALVED: [t / 4], INVERSE: [2 * t]}


def _largest_half(g):
    t, included = g.tolerance_minutes / 60, g.included_degrees + g.included_minutes / 60
    decimals = _angle_slips(g, lambda a, _: a, (MINUTES,))[MINUTES]
    return (included + t) / 2, {
        NOT_HALVED: [included / 2 + t],
        INCLUDED: [included + t],
        HALVED: [(included + t) / 4],
        MINUTES: [half + g.tolerance_minutes / 200 for half in decimals],
        COMPLEMENT: [90 - (included + t) / 2],
        FOR_MINUTES: [included / 2 + g.tolerance_minutes / 2],
        INVERSE: [included / 2 + 2 * t],
    }


def _highest_reading(g):
    t, included = g.tolerance_minutes / 60, g.included_degrees + g.included_minutes / 60

    def number(a, press=DEGREES.sin, k=g.dial_factor):
        return k * g.compound_travel * press(a)

    top = (included + t) / 2
    return number(top), {
        NOT_HALVED: [number(included / 2 + t)],
        INCLUDED: [number(included + t)],
        HALVED: [number(top / 2)],
        COSINE: [number(top, DEGREES.cos)],
        TANGENT: [number(top, DEGREES.tan)],
        RADIANS: [number(top, IN_RADIANS.sin)],
        FOR_MINUTES: [number((included + g.tolerance_minutes) / 2)],
        **_dial_slips(g, lambda factor: number(top, k=factor)),
    }


def _proven(g):
    t, guard = g.tolerance_minutes, 1.65 * g.standard_uncertainty_minutes
    wrong = {NOT_HALVED: [t - guard], HALVED: [t / 4 - guard], INVERSE: [2 * t - guard]}
    return t / 2 - guard, wrong


def _set_over(g):
    def number(a, k):
        return g.work_length * k.sin(a)

    a, length = _half(g), g.work_length
    return number(a, DEGREES), {
        **_angle_slips(g, number),
        COSINE: [length * DEGREES.cos(a)],
        TANGENT: [length * DEGREES.tan(a)],
        OVER_ALL: [g.over_all * DEGREES.sin(a)],
        INVERSE: [length / DEGREES.sin(a)],
    }


def _step(g):
    def number(a, _=None, walls=2, off=g.error_minutes / 60):
        # What the first run has drifted by its end: the difference of two tangents.
        along = g.run * DEGREES.cos(a)
        return walls * along * (DEGREES.tan(a + off) - DEGREES.tan(a))

    wrong = _angle_slips(g, number, (INCLUDED, HALVED, COMPLEMENT))
    wrong |= {
        ON_RADIUS: [number(_half(g), walls=1)], FOR_MINUTES: [number(_half(g), off=g.error_minutes)]
    }  # fmt: skip
    return number(_half(g)), wrong


def _blue(g):
    right = 60 * DEGREES.atan(g.film / g.blue_length)
    return right, {INCLUDED: [2 * right], HALVED: [right / 2]}


def _known_taper(g):
    def number(across, first=g.pushed_in, other=g.turned_in):
        return 60 * DEGREES.asin((first + other) / 2 * across / g.compound_travel)

    a = _half(g)
    right = number(DEGREES.cos(a))
    return right, {
        WRONG_WAY: [-right],
        NOT_TURNED: [number(DEGREES.cos(a), other=g.pushed_in)],
        NO_COSINE: [number(1)],
        INCLUDED: [number(DEGREES.cos(2 * a))],
    }


def _seat_width(g):
    a, across = _half(g), (g.large_diameter - g.small_diameter) / 2
    return across / DEGREES.sin(a), {
        **_angle_slips(g, lambda half, k: across / k.sin(half)),
        ACROSS: [across],
        ON_RADIUS: [2 * across / DEGREES.sin(a)],
        TANGENT: [across / DEGREES.tan(a)],
        INVERSE: [across * DEGREES.sin(a)],
    }


def _gauge_plane(g):
    def number(a, k, deep=g.gauge_depth):
        return g.gauge_diameter + 2 * deep * k.tan(a)

    a = _half(g)
    return number(a, DEGREES), {
        **_angle_slips(g, number),
        DEPTH_SIGN: [number(a, DEGREES, -g.gauge_depth)],
        ON_RADIUS: [number(a, DEGREES, g.gauge_depth / 2)],
        SINE: [g.gauge_diameter + 2 * g.gauge_depth * DEGREES.sin(a)],
    }


def _walls_meet(g):
    relief, seat = _half(g), (g.seat_degrees + g.seat_minutes / 60) / 2

    def number(a, b, walls=2):
        # The difference of two tangents, written with sines and cosines.
        closes = DEGREES.sin(a - b) / (DEGREES.cos(a) * DEGREES.cos(b))
        return (g.face_diameter - g.seat_face) / walls / closes

    return number(relief, seat), {
        INCLUDED: [number(2 * relief, 2 * seat)],
        HALVED: [number(relief / 2, seat / 2)],
        COMPLEMENT: [number(90 - relief, 90 - seat)],
        ON_RADIUS: [number(relief, seat, 1)],
    }


KINDS = {
    "half angle from included": lambda g: _half_angle(
        g, **{INVERSE: [4 * _half(g)], SUPPLEMENT: [180 - 2 * _half(g)]}
    ),
    "half angle in decimals": _decimals,
    "half angle from decimals": _from_decimals,
    "angle at the quill": _neighbour(_half_angle),
    "obtuse angle at the quill": _neighbour(_obtuse),
    "angle to the cross slide": _neighbour(_complement),
    "base reading, zero parallel": _neighbour(_half_angle),
    "base reading, zero square": _neighbour(_complement),
    "included angle from the base": _from_base,
    "half angle from a ratio": _ratio_angle,
    "half angle from taper per foot": _per_foot_angle,
    "half angle from two diameters": _diameters_angle,
    "taper per foot from the included angle": _angle_per_foot,
    "ratio from the included angle": _angle_ratio,
    "cross travel": _cross,
    "compound travel": _compound,
    "half angle from the travels": _travels_angle,
    "axial travel": _axial,
    "cross travel when the carriage moves": _carriage,
    "reading for a movement": _reading,
    "movement for a reading": _movement,
    "reading for a setup": _setup_reading,
    "swing still wanted": _swing_in(lambda g: 60),
    "arc at the base": _swing_in(lambda g: g.base_radius * math.pi / 180),
    "movement after a reversal": _after_reversal,
    "reading when the slide follows": _follows,
    "half angle after a reversal": _reversal_angle,
    "half angle for one graduation": _graduation,
    "combined standard uncertainty": _combined,
    "diameter error from an angle error": _diameter_error,
    "opening with the cross slide": _open_cross,
    "opening with the carriage": _open_carriage,
    "feeding the compound": _feed,
    "face diameter after facing": _facing,
    "height of the ball": _ball_height,
    "face diameter from a ball": _ball_face,
    "ball clear of the edge break": _ball_clear,
    "largest ball clear of the break": _largest,
    "half angle from two balls": _two_balls_angle,
    "face diameter from two balls": _two_balls_face,
    "half angle from rolls": _rolls_angle,
    "diameter at the plate": _rolls_diameter,
    "tolerance on the half angle": _half_tolerance,
    "largest half angle": _largest_half,
    "highest cross reading": _highest_reading,
    "zone that is proven": _proven,
    "set-over between centres": _set_over,
    "step where two runs are joined": _step,
    "angle error from blue": _blue,
    "swing from a known taper": _known_taper,
    "seat width along the wall": _seat_width,
    "face diameter from a gauge plane": _gauge_plane,
    "depth where two walls meet": _walls_meet,
}


def numbers(kind, given):
    """The right number, and the wrong ones by mistake, of one problem."""
    return KINDS[kind](SimpleNamespace(**given))


def all_numbers(each):
    """The same with what its unit and its dial make possible: an inch is 25.4 mm (ISO 80000-3)."""
    right, wrong = numbers(each.kind, each.given)
    wrong = {name: list(values) for name, values in wrong.items()}
    for units, name, factor in ((("in", "mm"), UNIT, 25.4), (("′",), FOR_MINUTES, 60)):
        if each.unit in units:
            wrong[name] = [right * factor, right / factor]
    if each.dial is not None and right >= each.dial.per_turn:
        wrong[TURN] = [right - each.dial.per_turn, right + each.dial.per_turn]
    return right, wrong


ASKED_IN_DECIMALS = {"half angle in decimals": True, "half angle from decimals": False}
IN_DECIMALS = re.compile(r"(?:α = )?[+−]?\d+[.,]\d+(?: ?°| deg)?")


def form_given(kind, text):
    """Whether an angle is written in the form it was given in, where another form is asked."""
    decimals = bool(IN_DECIMALS.fullmatch(text))
    in_parts = len(re.findall(r"\d+(?:\.\d+)?", text)) > 1 and not decimals
    return {True: in_parts, False: decimals, None: False}[ASKED_IN_DECIMALS.get(kind)]
