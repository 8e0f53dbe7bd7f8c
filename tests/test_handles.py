"""What a hand takes hold of goes with the hand: motions against the scenes' own movement."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest

from tapertrig import panels
from tapertrig.draw.opening_the_face import CARRIAGE, COMPOUND, CROSS, FACING
from tapertrig.draw.parts.style import NARROW, STYLE_NAMES
from tapertrig.panels.parts.panel import Panel

# Panel, control, and what of the controls else is set. The hand follows the first mark.
HELD = [
    ("setup_triangle", "half_angle", {}),
    ("setup_triangle", "compound_travel", {}),
    ("lost_motion", "handwheel", {"handwheel": 0.03}),
    ("ball_in_bore", "height", {}),
    ("base_scale", "swing", {}),
    ("base_scale", "swing", {"base_zero": "square to bed"}),
    *(("opening_the_face", "movement", {"means": means}) for means in (CROSS, CARRIAGE)),
    *(("opening_the_face", "movement", {"means": means}) for means in (COMPOUND, FACING)),
    *(("several_cones", "cross", {"cut": cut}) for cut in range(3)),
]


def made(name: str, placement: str = "desk", unit: str = "in", **settings: object) -> Panel:
    panel = getattr(panels, name)(unit, "desk" if placement == NARROW else placement)
    panel.board.room = "narrow" if placement == NARROW else "wide"
    for control, value in settings.items():
        panel.controls[control].value = value
    return panel


def points(artist: object) -> np.ndarray:
    return np.array(artist.get_path().vertices)


@pytest.mark.parametrize("unit", ["in", "mm"])
@pytest.mark.parametrize("placement", [*STYLE_NAMES, NARROW])
@pytest.mark.parametrize(("name", "control", "settings"), HELD)
def test_a_mark_goes_as_its_handle_says(name, control, settings, placement, unit):
    panel = made(name, placement, unit, **settings)
    scene, moved = panel.picture().scene, panel.controls[control]
    held = [handle for handle in scene.handles if handle.control == control and handle.motion]
    assert held
    before = [(handle.motion, points(handle.artists[0])) for handle in held]
    step = moved.step
    moved.value += step
    for handle, (motion, old) in zip(held, before, strict=True):
        new = points(handle.artists[0])
        if len(motion) == 3:
            x, y, angle = motion
            turn = angle * step
            spin = np.array([[math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]])
            told = (old - (x, y)) @ spin + (x, y)
        else:
            told = old + np.multiply(motion, step)
        shown = new[np.isfinite(new).all(axis=1)]
        told = told[np.isfinite(told).all(axis=1)]
        if handle.artists[0] is getattr(scene, "after", None):
            # A wall is a line without ends: where it then lies, its ends aside.
            way, at = told[1] - told[0], shown - told[0]
            far = np.abs(way[0] * at[:, 1] - way[1] * at[:, 0]) / np.hypot(*way)
        else:
            # Graduations come in on one side and leave on the other.
            far = np.hypot(*(told[:, None] - shown[None]).transpose(2, 0, 1)).min(axis=1)
            far = np.sort(far)[: max(3, len(far) - 4)]
        size = np.abs(np.multiply(motion[-2:], step)).max()
        assert size > 1e-6
        assert far.max() < 1e-6 + 0.02 * size, (handle, far.max(), size)


def test_six_kinds_of_handle_and_no_control_without_one():
    named = set()
    for name in panels.__all__:
        panel = getattr(panels, name)()
        for control, marks, _motion in panel.picture().handles():
            known = set(panel.board.marks)
            assert set(marks) <= known
            if control in panel.board.handled:
                named.add((name, control))
    assert named == {(name, control) for name, control, _settings in HELD}


@pytest.mark.parametrize("means", [CROSS, CARRIAGE, COMPOUND, FACING])
def test_while_answers_are_hidden_the_wall_is_not_to_be_held(means):
    """How far the wall goes for a movement is what is asked."""
    panel = made("opening_the_face", means=means)
    assert [motion for _control, _marks, motion in panel.picture().handles()] != [[], []]
    panel.answers_switch.value = True
    assert [motion for _control, _marks, motion in panel.picture().handles()] == [[], []]


def test_what_a_hand_needs_is_sent_once_and_then_only_as_it_changes():
    panel = made("setup_triangle")
    sent: list[dict] = []
    panel.board.send = sent.append
    controls = panel.controls
    panel.set(half_angle="23°10′")
    assert len(sent[-1]["motions"]) == 3, "the way of the run has turned"
    panel.set(compound_travel=controls["compound_travel"].value - 0.1)
    assert "motions" not in sent[-1]
    whole = panel.board.get_state("whole")["whole"]
    ids = {controls[name].model_id for name in ("half_angle", "compound_travel")}
    assert {model for model, _marks, _motion in whole["handles"]} == ids
    for (_, _, told), motion in itertools.zip_longest(whole["handles"], sent[0]["motions"]):
        assert told == motion
