"""Any job, taken by a measuring panel and given back untouched, is the same job, or is refused."""

import dataclasses

import pytest
from cases import cases
from hypothesis import given, settings
from hypothesis import strategies as st
from random_jobs import jobs, near, patient

from tapertrig import panels
from tapertrig.gauging import findings

PANELS = {
    (name, unit): getattr(panels, name)(unit=unit)
    for name in ("inspection", "over_rolls")
    for unit in ("in", "mm")
}


def seen(panel):
    """All that a taken job may change."""
    held = {n: (c.value, c.layout.display) for n, c in panel.controls.items()}
    return held, panel.board.marks, panel.board.words, panel.job, panel.kept


fitting = st.sampled_from([panel.job for panel in PANELS.values()]).flatmap(near)


@given(jobs() | fitting | fitting)
@settings(patient, max_examples=cases(40, 2000))
def test_any_job_is_given_back_as_it_was_or_refused_and_all_is_as_before(job):
    for panel in PANELS.values():
        before = seen(panel)
        try:
            panel.take(job)
        except ValueError:
            assert seen(panel) == before
            continue
        assert panel.current() == job
        assert panel.state_of_job().found == tuple(
            one for one in findings(job) if one.cone == panel.cone.value
        )
        assert "fault" not in panel.board.notice


@pytest.mark.parametrize(("name", "unit"), list(PANELS))
def test_no_example_holds_a_digit_that_is_not_shown(name, unit):
    panel = getattr(panels, name)(unit=unit)
    for control in panel.controls.values():
        if hasattr(control, "read") and control.value is not None:
            assert control.read(control.text) == pytest.approx(control.value, rel=1e-12, abs=1e-12)


@pytest.mark.parametrize(("name", "unit"), list(PANELS))
def test_a_job_of_ones_own_takes_over_nothing_of_the_example(name, unit):
    panel = getattr(panels, name)(unit=unit)
    own = dataclasses.replace(panel.job, readings=(), invented=False, notes="")
    panel.take(own)
    assert panel.current() == own
    assert all(value in (None, "", False, panel.methods[0], "height", "guard band")
               for value in panel._entries().values())  # fmt: skip
    told = panel.still()[1]
    assert "nvented" not in told
    assert "conforms" not in told
