"""Old names of modules still lead to the modules: copies of lessons go on working."""

import importlib

import pytest

from tapertrig.moved import MOVED


@pytest.mark.parametrize("old", sorted(MOVED))
def test_an_old_name_is_the_moved_module_and_the_module_keeps_its_own_name(old):
    module = importlib.import_module(old)
    assert module is importlib.import_module(MOVED[old])
    assert module.__name__ == module.__spec__.name == MOVED[old]


def test_a_name_that_never_was_is_still_unknown():
    with pytest.raises(ModuleNotFoundError):
        importlib.import_module("tapertrig.never_was")
