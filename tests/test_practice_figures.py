"""The picture of every kind of problem: what is given is written, what is asked bears a “?”."""

from __future__ import annotations

import math
import re
import time
from xml.etree import ElementTree

import numpy as np
import pytest
from label_checks import assert_clear, shown_labels
from matplotlib import colors
from matplotlib.lines import Line2D
from matplotlib.patches import Polygon

from tapertrig.draw.parts.drawing import Drawing
from tapertrig.draw.parts.style import COLOURS, STYLES
from tapertrig.draw.practice import (
    DRAWINGS,
    SHEET,
    PracticeScene,
    sheet_drawing,
)
from tapertrig.draw.practice.sketch import NAME_OF
from tapertrig.practice import TOPICS, problem
from tapertrig.practice.problems import QUESTIONS
from tapertrig.printed.worksheets import worksheet

SEEDS = range(1, 13)
BRASS = colors.to_rgb(COLOURS["brass"])
STYLES_USED = (*STYLES.values(), SHEET)


def problems():
    """At least two problems of each kind of question."""
    return [problem(topic, seed) for topic in TOPICS for seed in SEEDS]


@pytest.fixture(scope="module", params=STYLES_USED, ids=lambda style: style.name)
def scene(request):
    return PracticeScene(request.param)


@pytest.fixture(scope="module")
def desk():
    return PracticeScene(STYLES["desk"])


def test_the_seeds_meet_every_kind_of_question_and_figure():
    met = {(each.topic, each.kind) for each in problems()}
    assert met == {(topic, q.name) for topic in TOPICS for q in QUESTIONS[topic]}
    assert {each.figure.kind for each in problems()} == set(DRAWINGS)


def test_labels_stand_clear_of_lines_frame_and_each_other(scene):
    for each in problems():
        scene.show(each.figure)
        assert_clear(scene, f"{each.topic} {each.seed}")


def test_every_given_is_written_the_asked_is_a_question_and_the_answer_nowhere(desk):
    for each in problems():
        desk.show(each.figure)
        texts = [label.text for label in shown_labels(desk)]
        everything = " | ".join(texts)
        for key, value in each.figure.labels:
            assert key in NAME_OF, f"no short name for {key!r}"
            number = value.removesuffix(" in per foot").split(" proud")[0].split(" below")[0]
            assert number in everything, f"{key} {value} is not in the figure of {each.text}"
        assert each.figure.asked in NAME_OF
        assert sum(text.endswith("?") for text in texts) == 1, (each.topic, each.seed, texts)
        given = {value for _key, value in each.figure.labels}
        if each.answer_text not in given:
            assert each.answer_text not in everything, f"{each.topic} {each.seed}"


def slopes(scene, role):
    """Directions in degrees, 0 to 180, of the two-point lines of a role."""
    found = set()
    for artist in scene.moving:
        if isinstance(artist, Line2D) and artist.get_color() == scene.style.colour(role):
            x, y = artist.get_data()
            if len(x) == 2:
                turn = math.degrees(math.atan2(y[1] - y[0], x[1] - x[0]))
                found.add(round(turn % 180, 6))
    return found


@pytest.mark.parametrize(
    "topic", ["angle units", "parallel lines", "callouts", "setup triangle", "base zero", "budget"]
)
def test_slanting_lines_are_drawn_at_the_half_angle(desk, topic):
    for seed in SEEDS:
        each = problem(topic, seed)
        desk.show(each.figure)
        alpha = each.figure.state["half_angle"]
        at = {round(alpha % 180, 6), round((180 - alpha) % 180, 6)}
        assert slopes(desk, "compound") & at, f"{topic} {seed}: {slopes(desk, 'compound')}"


def circles(scene):
    """Centre and radius of each drawn circle, in board units."""
    found = []
    for artist in scene.moving:
        if isinstance(artist, Polygon):
            points = artist.get_xy()
        elif isinstance(artist, Line2D):
            points = np.column_stack(artist.get_data())
        else:
            continue
        if len(points) >= 49:
            centre = (points[:48].max(axis=0) + points[:48].min(axis=0)) / 2
            found.append((centre, float(np.linalg.norm(points[0] - centre))))
    return found


def test_balls_rest_on_the_walls_they_are_drawn_with(desk):
    """Distance from the ball's centre to the wall's line equals the radius: plane geometry."""
    for topic in ("one ball", "two balls"):
        for seed in SEEDS:
            each = problem(topic, seed)
            desk.show(each.figure)
            walls = [
                artist.get_xy()
                for artist in desk.moving
                if isinstance(artist, Polygon)
                and artist.get_facecolor()[:3]
                == pytest.approx((0xF7 / 255, 0xEA / 255, 0xD0 / 255))
            ]
            assert len(walls) == 2
            # Corners 1 and 2 of a section are the ends of the cone's wall.
            one, two = walls[0][1], walls[0][2]
            along = (two - one) / np.linalg.norm(two - one)
            assert abs(math.degrees(math.atan2(abs(along[0]), abs(along[1])))) == pytest.approx(
                each.figure.state["half_angle"], abs=1e-6
            )
            for centre, radius in circles(desk):
                away = centre - one
                distance = abs(away[0] * along[1] - away[1] * along[0])
                assert distance == pytest.approx(radius, rel=1e-6)


def test_one_scene_draws_any_figure_after_any_other_alike(desk):
    first, second = problem("rolls", 3).figure, problem("dials", 4).figure
    drawing = Drawing(PracticeScene(STYLES["desk"]))
    drawing.show(first)
    alone = drawing.marks
    drawing.show(second)
    assert drawing.marks != alone
    drawing.show(first)
    assert drawing.marks == alone


def test_the_sheet_drawing_is_small_and_quick_and_cut_to_what_is_inked():
    figures = [each.figure for each in problems()[::3]]
    sheet_drawing(figures[0])
    began = time.process_time()
    drawn = [sheet_drawing(figure) for figure in figures]
    each = (time.process_time() - began) / len(figures)
    assert each < 0.05, f"{1000 * each:.0f} ms for each figure"
    assert all(len(svg.encode()) < 20_000 for svg in drawn)
    for svg in drawn:
        root = ElementTree.fromstring(svg)
        left, top, width, height = map(int, root.get("viewBox").split())
        assert (left, width) == (0, 10 * SHEET.width)
        assert top >= 0
        assert top + height <= 10 * SHEET.height
        for text in root.iter("{http://www.w3.org/2000/svg}text"):
            assert top < float(text.get("y")) - 7 * float(text.get("font-size")) / 10
            assert float(text.get("y")) < top + height


def test_letters_of_a_printed_figure_are_at_least_seven_points():
    """A style's size is the em of its letters; the sheet prints a figure at a fixed width."""
    page = worksheet(1, ["dials"], 12, 1, draw=sheet_drawing)
    printed = re.search(r"figure img \{ width: (\d+)mm", page)
    for name in ("label", "small"):
        points = SHEET.sizes[name] / SHEET.width * float(printed[1]) / 25.4 * 72
        assert points >= 7.0, f"{name} letters are {points:.1f} points"
