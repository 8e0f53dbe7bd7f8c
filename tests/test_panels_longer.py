"""Lesson 12's panels: what they draw is what they say, and what is not given is not judged."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tapertrig import panels
from tapertrig.angle import Angle
from tapertrig.cautions import BETWEEN_CENTRES
from tapertrig.draw.set_over import TIMES, work_outline
from tapertrig.draw.two_runs import walls
from tapertrig.lathe import Dial, Lathe
from tapertrig.lathe_book import FILE_NAME, LatheBook


def rows(panel):
    return {name: value for name, value, _mark in panel.board.words["rows"]}


@pytest.mark.parametrize("text", ["0°10′", "1°20′", "4°"])
def test_the_works_near_side_lies_along_the_bed_and_its_far_side_at_twice_the_angle(text):
    half = Angle.parse(text)
    head_near, head_far, tail_far, tail_near = work_outline(half)
    assert head_near[1] == pytest.approx(tail_near[1], abs=1e-12)
    across, down = tail_far - head_far
    assert math.degrees(math.atan2(-down, across)) == pytest.approx(2 * TIMES * half.degrees)
    assert tail_far[1] > tail_near[1], "nothing left of the small end"


def test_what_this_lathe_can_and_what_nobody_has_said():
    panel = panels.set_over(half_angle="3°", work_length=8.4, overall=8.75, most=0.5, between=24.0)
    assert panel.last_state.verdict == "within what this lathe can do"
    assert all(one in rows(panel)["Mind"] for one in BETWEEN_CENTRES)
    # asin(0.5 / 8.4), by hand.
    assert "3°25′ on this work" in rows(panel)["This tailstock"]
    panel.set(half_angle="3°30′")
    assert panel.last_state.verdict == "further than this tailstock goes"
    assert rows(panel)["This tailstock"].startswith("does not go that far")
    panel.set(half_angle="3°", between=8.6)
    assert panel.last_state.verdict == "longer than this lathe takes"
    panel.set(overall=None)
    assert panel.last_state.verdict == "within what this lathe can do"
    assert "By the length over all" not in rows(panel)
    for name in ("most", "between"):
        panel.set(**{name: None})
        assert panel.last_state.verdict == "can it? not all is given"
    assert rows(panel)["This tailstock"].startswith("not given; ")
    assert rows(panel)["Between centres"].startswith("not given; ")


@pytest.mark.parametrize("kind", ["external", "internal"])
@pytest.mark.parametrize("error", ["-0°03′", "0°01′", "0°04′"])
def test_the_step_is_drawn_to_its_scale_and_to_its_side(kind, error):
    panel = panels.two_runs(kind=kind, angle_error=error, carriage_error=0.002)
    state = panel.last_state
    cut, wanted, times = walls(state)
    scale = (wanted[0, 0, 0] - wanted[1, 1, 0]) / state.length
    drawn = (cut[0, 1, 1] - cut[1, 0, 1]) / scale / times
    assert drawn * (-1 if kind == "internal" else 1) == pytest.approx(state.step, abs=1e-12)
    assert cut[0, 0] == pytest.approx(wanted[0, 0])
    # The far end's diameter, twice what its radius is drawn out by.
    far = 2 * (cut[1, 1, 1] - wanted[1, 1, 1]) / scale / times
    assert far == pytest.approx(state.far_out, abs=1e-12)
    slopes = np.diff(cut, axis=1)[:, 0]
    assert slopes[0] == pytest.approx(slopes[1]), "both runs lean alike"


def test_one_run_two_runs_and_too_few():
    panel = panels.two_runs(half_angle="9°20′", length=2.2)
    assert rows(panel)["One run is enough"] == "2.2295 in"
    assert panel.last_state.step == 0
    panel.set(length=3.6)
    assert "step of" in panel.board.words["sentence"]
    panel.controls["length"].value = 4.6
    # Twice 2.3 × cos 9°20′, by hand.
    assert "at most 4.5391 in" in panel.controls["length"].message
    assert "takes 3 of them" in panel.controls["length"].message


def test_a_lathe_whose_travel_nobody_gave(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    lathe = Lathe("mm", None, Dial(0.02, 2.0), Dial(0.05, 4.0), name="Shed lathe")
    LatheBook((lathe,)).save(tmp_path / FILE_NAME)
    panel = panels.two_runs(lathe="Shed lathe")
    assert panel.unit == "mm"
    assert rows(panel)["Usable compound travel"] == "not given"
    assert "cannot be told" in rows(panel)["Not given"]


@pytest.mark.parametrize("kind", ["internal, with a plug gauge", "external, with a ring gauge"])
@pytest.mark.parametrize("error", ["-0°04′", "0°02′"])
def test_blue_drawn_and_read_backwards_is_the_error_it_came_of(kind, error):
    panel = panels.angle_effect(kind=kind, angle_error=error)
    state, scene = panel.last_state, panel.picture().scene
    shows = np.column_stack(scene.blue[0].get_data())
    drawn = float(np.linalg.norm(np.diff(shows, axis=0))) / state.scale
    # Plane geometry: the gap grows by tan δ along the wall, and is a film wide where blue ends.
    assert drawn == pytest.approx(0.0002 / math.tan(math.radians(abs(int(error[-2])) / 60)))
    end = rows(panel)["Blue shows at"].split(",")[0]
    assert end == state.fit.contact
    panel.set(shows_at=end, shows_over=drawn)
    told = rows(panel)["My blue, read backwards"]
    assert f"swing {'further' if error[0] == '-' else 'back'} about {error[-2]}′" in told
    assert "rough figure" in told
    panel.set(film=None)
    assert "about" not in rows(panel)["My blue, read backwards"]
    assert rows(panel)["Blue"].endswith("not given")
    assert not scene.blue[0].get_visible()


def test_blue_all_along_and_longer_than_the_wall():
    panel = panels.angle_effect(angle_error="0°00′05″")
    assert rows(panel)["Blue shows"] == "all along the wall"
    panel.set(shows_at="large end")
    panel.controls["shows_over"].value = 2.0
    assert "wall is only 0.6842 in" in panel.controls["shows_over"].message
