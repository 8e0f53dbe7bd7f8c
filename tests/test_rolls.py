"""An external cone over rolls and blocks."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from reference import check_values, row_id

from tapertrig import Angle, Cone
from tapertrig.gauging import (
    face_diameter_from_rolls,
    half_angle_from_rolls,
    over_rolls,
    roll_constant,
    roll_contact,
)

PLUG = Cone(Angle.from_degrees(8.25), 20.0, 60.0, internal=False)


@pytest.mark.parametrize("row", check_values("rolls-"), ids=row_id)
def test_roll_rows(row):
    # Geometry; the method is in Mechanical Engineer's Data Handbook 7.2.2.
    given_, wanted = row["given"], row["expected"]
    angle = half_angle_from_rolls(given_["M1_mm"], given_["M2_mm"], given_["stack_H_mm"])
    assert angle.degrees == pytest.approx(wanted["half_deg"], abs=1e-6)
    small = face_diameter_from_rolls(angle, given_["roll_dia_mm"], given_["M1_mm"])
    assert small == pytest.approx(wanted["small_dia_mm"], abs=1e-6)


@pytest.mark.parametrize("row", check_values("dovetail-"), ids=row_id)
def test_roll_constant_is_the_dovetail_constant(row):
    # Handbook relation M = W + k·d, from memory: k = 1 + cot(θ/2) with θ = 90° − α.
    half_angle = Angle.from_degrees(row["given"]["theta_deg"]).complement()
    assert f"{roll_constant(half_angle):.8g}" == f"{row['expected']['k']:.8g}"


@given(st.floats(0.5, 80.0), st.floats(1.0, 60.0), st.floats(0.5, 20.0), st.floats(0.0, 100.0))
@settings(deadline=None)
def test_roll_touches_the_wall_and_stands_on_its_block(half_angle, small, roll, block):
    # Shapely: a circle standing on the block, its outer side at M/2, is tangent to the wall.
    cone = Cone(Angle.from_degrees(half_angle), small, internal=False)
    over = over_rolls(cone, roll, block)
    centre = shapely.Point(over / 2 - roll / 2, block + roll / 2)
    top = block + 2 * roll
    lean = math.tan(cone.half_angle.radians)
    wall = shapely.LineString([(small / 2, 0), (small / 2 + top * lean, top)])
    near = 1e-9 * (over + top)
    assert centre.distance(wall) == pytest.approx(roll / 2, abs=near)
    contact = roll_contact(cone, roll, block)
    touch = shapely.Point(contact.diameter / 2, contact.height)
    assert touch.distance(wall) < near
    assert touch.distance(centre) == pytest.approx(roll / 2, abs=near)


@given(st.floats(0.5, 85.0), st.floats(1.0, 60.0), st.floats(0.5, 20.0), st.floats(1.0, 100.0))
@settings(deadline=None)
def test_rolls_give_the_cone_back(half_angle, small, roll, block):
    cone = Cone(Angle.from_degrees(half_angle), small, internal=False)
    low, high = over_rolls(cone, roll), over_rolls(cone, roll, block)
    found = half_angle_from_rolls(low, high, block)
    assert found.radians == pytest.approx(cone.half_angle.radians, rel=1e-9)
    for over, height in ((low, 0.0), (high, block)):
        face = face_diameter_from_rolls(found, roll, over, height)
        assert face == pytest.approx(small, abs=1e-9 * over)


def test_arrays():
    blocks = np.array([10.0, 20.0, 40.0])
    high = over_rolls(PLUG, 8.0, blocks)
    angles = half_angle_from_rolls(over_rolls(PLUG, 8.0), high, blocks)
    assert angles == pytest.approx(np.full(3, PLUG.half_angle.radians))


BAD = [
    (lambda: over_rolls(Cone(PLUG.half_angle, 20.0), 8.0), "use balls"),
    (lambda: over_rolls(PLUG, 8.0, 57.0), "lower blocks"),
    (lambda: over_rolls(PLUG, 0.0), "more than zero"),
    (lambda: half_angle_from_rolls(50.0, 40.0, 30.0), "must be the larger"),
    (lambda: half_angle_from_rolls(40.0, 50.0, 0.0), "more than zero"),
    (lambda: face_diameter_from_rolls(PLUG.half_angle, 8.0, 15.0), "leaves no diameter"),
]


@pytest.mark.parametrize(("call", "words"), BAD)
def test_bad_input_is_refused_in_words(call, words):
    with pytest.raises(ValueError, match=words):
        call()
