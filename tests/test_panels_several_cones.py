"""Lesson 11's panel: what is drawn lies on the walls, and a cut moves the edges it says."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest

from tapertrig import panels
from tapertrig.draw.several_cones import SEAT, on_board


def rows(panel):
    return {name: value for name, value, _mark in panel.board.words["rows"]}


@pytest.mark.parametrize("unit", ["in", "mm"])
@pytest.mark.parametrize("cut", [0, 1, 2])
def test_the_section_leans_as_the_half_angles_say_and_the_tool_stands_on_its_wall(unit, cut):
    panel = panels.several_cones(unit=unit, cut=cut)
    panel.controls["cross"].value = 7 * panel.controls["cross"].step
    state, scene = panel.last_state, panel.picture().scene
    for wall, before in zip(state.after.walls, state.bore.walls, strict=True):
        (x, y), (inner_x, inner_y) = on_board(state, wall.upper), on_board(state, wall.lower)
        leans = math.degrees(math.atan2(inner_y - y, x - inner_x))
        assert leans == pytest.approx(wall.half_angle.degrees)
        assert before.half_angle == wall.half_angle
    drawn = np.array(scene.walls.get_data()).T
    tip = np.array(scene.tool.get_xy())[0]
    gaps = [
        abs(np.cross([*(b - a), 0], [*(tip - a), 0])[2]) / np.linalg.norm(b - a)
        for a, b in itertools.pairwise(drawn)
    ]
    assert np.argmin(gaps) == cut
    assert min(gaps) < 1e-9


def test_the_deeper_relief_takes_from_the_large_end_and_the_throat_from_the_small():
    panel = panels.several_cones(cut=0, cross=0.006)
    told = rows(panel)
    assert told["Diameter at the face"].startswith("1.3840 in (+0.0120 in)")
    assert "(−" in told["Seat, large end"]
    assert "(" not in told["Seat, small end"]
    panel.set(cut=2)
    told = rows(panel)
    assert "(+" in told["Seat, small end"]
    assert "(" not in told["Seat, large end"]
    panel.set(cut=1)
    told = rows(panel)
    assert "(+" in told["Seat, large end"]
    assert "(−" in told["Seat, small end"]


def test_a_seat_cut_away_is_said_and_not_judged():
    panel = panels.several_cones(cut=0, cross=0.04)
    assert panel.last_state.after.walls[SEAT] is None
    told = rows(panel)
    assert told["Mind"] == "The seat is cut away."
    assert told["Seat, large end"] == "gone"
    assert told["Interference angle"] == "plug finds no seat"


@pytest.mark.parametrize(
    ("plug", "said"),
    [("40°50′", "small end"), ("42°20′", "large end"), ("41°40′", "all along"),
     ("20°", "misses the seat"), ("70°", "misses the seat")],
)  # fmt: skip
def test_where_the_plug_touches(plug, said):
    panel = panels.several_cones(plug=plug)
    assert said in rows(panel)["Interference angle"]


def test_edges_that_do_not_get_smaller_inwards_are_refused_and_the_bore_stays():
    panel = panels.several_cones()
    before = panel.last_state
    panel.controls["small"].value = 1.30
    assert "each must be less" in panel.controls["small"].message
    assert panel.last_state == before
