"""The pictures that README.md shows are those the package makes."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from matplotlib.image import imread

from tapertrig.panels.gallery import PORTRAITS, paint

ROOT = Path(__file__).parents[1]


@pytest.fixture(scope="module")
def painted(tmp_path_factory):
    return {path.name: path for path in paint(tmp_path_factory.mktemp("images"))}


def test_images_holds_the_portraits_and_nothing_else(painted):
    assert {path.name for path in (ROOT / "images").iterdir()} == set(painted)


@pytest.mark.parametrize("name", [name for name, _panel, _start in PORTRAITS])
def test_committed_picture_is_what_the_package_draws_now(painted, name):
    """Compared loosely: another release of a font library may shade an edge otherwise."""
    made = imread(painted[f"{name}.png"])[..., :3].mean(axis=2)
    kept = imread(ROOT / "images" / f"{name}.png")[..., :3].mean(axis=2)
    assert made.shape == kept.shape
    assert np.mean(np.abs(made - kept) > 0.25) < 0.002, "run: python -m tapertrig.panels.gallery"


def test_readme_shows_a_picture_and_every_one_it_shows_exists():
    shown = re.findall(r"!\[([^\]]+)\]\((images/[^)]+)\)", (ROOT / "README.md").read_text("utf-8"))
    assert shown
    for words, path in shown:
        assert (ROOT / path).is_file(), path
        assert len(words.split()) >= 4, f"{path} has no words for those who cannot see it"
