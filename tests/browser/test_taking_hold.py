"""Taking hold of a picture: by mouse, pen and finger; the slider stays the way for the keyboard."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest
from panels_seen import PanelSeen
from playwright.sync_api import expect
from test_accessibility import axe, violations  # noqa: F401 - axe is a fixture
from test_presenting import in_theme  # noqa: F401 - a fixture

pytestmark = pytest.mark.browser

# Corners of the mark that a handle follows first, on the page.
CORNERS = """grip => {
    const [d, to] = [grip.getAttribute('d').split('z')[0], grip.getScreenCTM()];
    let at = [0, 0];
    return [...d.matchAll(/([Mlhv])(-?\\d+) ?(-?\\d+)?/g)].map(([, how, x, y = 0]) => {
        const [across, down] = how === 'v' ? [0, +x] : [+x, +y];
        at = how === 'M' ? [across, down] : [at[0] + across, at[1] + down];
        const seen = new DOMPoint(...at).matrixTransform(to);
        return [seen.x, seen.y];
    });
}"""


class Held(PanelSeen):
    """A panel whose picture is taken hold of."""

    def grip(self, name: str):
        return self.root.locator(".tapertrig-grip").filter(has_text=name).first

    def corners(self, name: str) -> list[list[float]]:
        return self.grip(name).evaluate(CORNERS)

    def middle(self, name: str, part: float = 0.5) -> tuple[float, float]:
        """A place on a four-cornered mark, a part of the way along its longer sides."""
        (ax, ay), (bx, by), (cx, cy), (dx, dy) = self.corners(name)
        x = (1 - part) * (ax + dx) / 2 + part * (bx + cx) / 2
        return x, (1 - part) * (ay + dy) / 2 + part * (by + cy) / 2

    def mouse(self, *places: tuple[float, float]) -> None:
        self.page.mouse.move(*places[0])
        self.page.mouse.down()
        for place in places[1:]:
            self.page.mouse.move(*place, steps=8)
        self.page.mouse.up()
        self.settle()

    def finger(self, *places: tuple[float, float]) -> None:
        """Touches as the browser itself hears them, so that it may scroll or not."""
        hand = self.page.context.new_cdp_session(self.page)
        (x, y), told = places[0], "Input.dispatchTouchEvent"
        hand.send(told, {"type": "touchStart", "touchPoints": [{"x": x, "y": y}]})
        for to_x, to_y in places[1:]:
            for step in range(1, 9):
                at = {"x": x + (to_x - x) * step / 8, "y": y + (to_y - y) * step / 8}
                hand.send(told, {"type": "touchMove", "touchPoints": [at]})
            x, y = to_x, to_y
        hand.send(told, {"type": "touchEnd", "touchPoints": []})
        self.settle()

    def at(self, name: str) -> float:
        return float(self.slider(name).input_value())


def aside(corners: list[list[float]], x: float, y: float) -> float:
    """How far a point lies to one side of the long edge through the first two corners."""
    (ax, ay), (bx, by) = corners[:2]
    return ((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / math.hypot(bx - ax, by - ay)


def swung(open_lesson, **options) -> Held:
    panel = Held.with_slider(open_lesson("03", **options), "Half angle")
    panel.settle()
    panel.type("Half angle", "24 15", changes=False)
    # With the slider in use, picture and sentence are in sight, and the page stays where it is.
    panel.slider("Half angle").focus()
    panel.settle()
    return panel


# The other handles: lesson, control, which of its handles, and the way the hand goes.
SLID = [
    ("03", "Compound travel", 0, "along"),
    ("03", "Compound travel", 1, "across"),
    ("07", "Height of the ball's top", 0, "up"),
    ("01", "Swing the slide", 0, "across"),
    ("06", "Movement", 1, "up"),
]


@pytest.mark.parametrize(("lesson", "name", "nth", "way"), SLID)
def test_a_mark_stays_under_the_hand(open_lesson, lesson, name, nth, way):
    panel = Held.with_slider(open_lesson(lesson, width=1366, height=768), name)
    control = panel.slider(name)
    control.evaluate("one => { one.value = one.max * 0.4; one.dispatchEvent(new Event('input')); }")
    panel.settle()
    panel.image.scroll_into_view_if_needed()
    grip = panel.root.locator(".tapertrig-grip").filter(has_text=f"drag: {name}").nth(nth)
    corners = grip.evaluate(CORNERS)
    (ax, ay), (bx, by) = corners[:2]
    size = math.hypot(bx - ax, by - ay)
    ways = {"along": (-40 * (bx - ax) / size, -40 * (by - ay) / size), "across": (-40, 0)}
    dx, dy = ways.get(way, (0, -14))
    box = panel.image.bounding_box()
    # A corner of the mark about the middle of it, and in the picture.
    x, y = min(corners, key=lambda c: math.dist(c, np.mean(corners, axis=0)))
    assert box["x"] < x < box["x"] + box["width"]
    before, stood = panel.at(name), control.input_value()
    panel.mouse((x, y), (x + dx, y + dy))
    expect(control).not_to_have_value(stood)
    panel.settle()
    assert panel.at(name) != before
    step = math.hypot(dx, dy) / abs(panel.at(name) - before)
    left = min(math.dist(corner, (x + dx, y + dy)) for corner in grip.evaluate(CORNERS))
    assert left <= 2 + step, (left, step)


SIZES = [(1366, 768, False), (1920, 1080, False), (390, 844, True)]


@pytest.mark.parametrize(("width", "height", "touched"), SIZES)
def test_the_slide_swings_under_the_hand(open_lesson, width, height, touched):
    phone = {"has_touch": True, "is_mobile": True} if touched else {}
    panel = swung(open_lesson, width=width, height=height, **phone)
    x, y = panel.middle("Half angle", 0.85)
    before = aside(panel.corners("Half angle"), x, y)
    size = panel.image.bounding_box()["width"]
    end = x - 0.06 * size, y + 0.11 * size
    scrolled = panel.image.bounding_box()["y"]
    (panel.finger if touched else panel.mouse)((x, y), end)
    assert panel.image.bounding_box()["y"] == scrolled, "the page went with the hand"
    angle = re.search(r"half angle of (\d+)°(\d+)′,", panel.sentence)
    assert angle, "not on a whole minute"
    assert 40 < int(angle[1]) < 60, "swung by a fifth of a turn or so"
    assert aside(panel.corners("Half angle"), *end) == pytest.approx(before, abs=2)
    assert panel.slider("Half angle").get_attribute("aria-valuetext") in panel.sentence


def test_it_stops_at_the_ends_of_its_slider(open_lesson):
    panel = swung(open_lesson)
    x, y = panel.middle("Half angle", 0.85)
    box = panel.image.bounding_box()
    left, top = box["x"], box["y"]
    panel.mouse((x, y), (left + 60, y), (left + 60, top + 10))
    assert "half angle of 89°" in panel.sentence
    x, y = panel.middle("Half angle", 0.85)
    panel.mouse((x, y), (left + box["width"] - 10, top + 5))
    assert "half angle of 1°" in panel.sentence


def test_past_an_end_and_back_it_is_under_the_hand_again(open_lesson):
    panel = swung(open_lesson)
    start = panel.sentence
    x, y = panel.middle("Half angle", 0.8)
    panel.mouse((x, y), (x, y - 400), (x, y))
    assert panel.sentence == start


def test_the_keyboards_way_is_the_slider(open_lesson):
    panel = swung(open_lesson)
    page, ring = panel.page, panel.root.locator(".tapertrig-ring").first
    panel.slider("Half angle").evaluate("one => one.blur()")
    clear = "rgba(0, 0, 0, 0)"
    assert ring.evaluate("one => getComputedStyle(one).stroke") == clear
    panel.entry("Half angle").focus()
    page.keyboard.press("Tab")
    assert panel.slider("Half angle").evaluate("one => one === document.activeElement")
    assert ring.evaluate("one => getComputedStyle(one).stroke") != clear, "what it moves shows"
    page.keyboard.press("Tab")
    assert ring.evaluate("one => getComputedStyle(one).stroke") == clear
    # The hand lets go of the picture and finds the slider, for the last minute.
    x, y = panel.middle("Half angle", 0.85)
    panel.mouse((x, y), (x, y + 60))
    at = panel.at("Half angle")
    page.keyboard.press("ArrowRight")
    assert panel.at("Half angle") == at + 1
    assert panel.root.evaluate("root => !root.querySelector('.tapertrig-drawing [tabindex]')")


def test_a_drag_sends_one_message_a_frame_and_none_in_waiting(open_lesson):
    panel = swung(open_lesson)
    x, y = panel.middle("Half angle", 0.85)
    sent = panel.grip("Half angle").evaluate(
        """async (grip, [x, y]) => {
            let sent = 0;
            const send = WebSocket.prototype.send;
            WebSocket.prototype.send = function (...words) { sent += 1; send.apply(this, words); };
            const hand = (type, more) => grip.dispatchEvent(new PointerEvent(type,
                {pointerId: 1, clientX: x, clientY: y + more, bubbles: true, cancelable: true}));
            grip.setPointerCapture = () => {};
            hand('pointerdown', 0);
            for (let more = 1; more <= 100; more += 1) hand('pointermove', more);
            await new Promise(requestAnimationFrame);
            await new Promise(done => setTimeout(done));
            WebSocket.prototype.send = send;
            hand('pointerup', 100);
            return sent;
        }""",
        [x, y],
    )
    assert sent == 1
    panel.settle()
    assert "24°15′" not in panel.sentence


def test_a_finger_finds_it_and_elsewhere_the_page_scrolls(open_lesson):
    panel = swung(open_lesson, width=390, height=844, has_touch=True, is_mobile=True)
    for index in range(panel.root.locator(".tapertrig-grip").count()):
        grip = panel.root.locator(".tapertrig-grip").nth(index)
        # As far as it answers to either side of the middle of a long side, square to that.
        reach = grip.evaluate(
            """grip => {
                const box = grip.getBoundingClientRect();
                const half = grip.getTotalLength() / 2, to = grip.getScreenCTM();
                let widest = 0;
                const hit = (x, y) => document.elementFromPoint(x, y) === grip;
                for (let x = box.left - 20; x < box.right + 20; x += 8) {
                    for (let y = box.top - 20; y < box.bottom + 20; y += 8) {
                        if (!hit(x, y)) continue;
                        let least = 1e9;
                        for (let turn = 0; turn < Math.PI; turn += Math.PI / 12) {
                            let across = 0;
                            for (const way of [-1, 1]) for (let go = 1; go < 90; go += 1) {
                                const [aside, down] = [Math.cos(turn), Math.sin(turn)];
                                if (!hit(x + way * go * aside, y + way * go * down)) break;
                                across += 1;
                            }
                            least = Math.min(least, across);
                        }
                        widest = Math.max(widest, least);
                    }
                }
                return widest;
            }"""
        )
        assert reach >= 44 - 1, (index, reach)
    box = panel.image.bounding_box()
    before = panel.sentence
    place = box["x"] + 20, box["y"] + box["height"] - 8
    # The picture itself stays in sight; it is the lesson that goes.
    outer = panel.page.locator(".jp-WindowedPanel-outer").element_handle()
    outer.evaluate("outer => { outer.scrollTop = 0; }")
    panel.finger(place, (place[0], place[1] - 200))
    panel.page.wait_for_function("outer => outer.scrollTop > 60", arg=outer)
    assert panel.sentence == before


@pytest.mark.parametrize("shade", ["Light", "Dark"])
def test_everyone_can_use_it(in_theme, axe, shade):  # noqa: F811
    panel = Held(in_theme(shade))
    panel.settle()
    panel.grip("Half angle").hover()
    assert violations(panel.page, axe, ".tapertrig-panel") == []
