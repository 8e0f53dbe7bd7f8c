"""A handout on a phone and on a large screen: by key, by touch, by mouse, and with no script."""

from __future__ import annotations

import threading
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer

import pytest
from cases import sampled
from handouts import NUMBERS, made, stops
from looking import drawn, picture_hash, wait_picture_change
from playwright.sync_api import expect
from pypdf import PdfReader

from tapertrig.classroom.kept_handouts import kept_handout
from tapertrig.classroom.lessons import find_lesson

pytestmark = pytest.mark.browser

PHONE = {"width": 390, "height": 844, "has_touch": True, "is_mobile": True}
SCREEN = {"width": 1920, "height": 1080}


@pytest.fixture(scope="module")
def served(tmp_path_factory):
    """The handout of lesson 03 on 127.0.0.1: its address, and what was asked of the server."""
    folder = tmp_path_factory.mktemp("handout")
    (folder / "03.html").write_text(made("03"), encoding="utf-8")
    asked: list[str] = []

    class Handler(SimpleHTTPRequestHandler):
        def log_message(self, *_):
            asked.append(self.path)

    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(Handler, directory=str(folder)))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_port}/03.html", asked
    server.shutdown()
    server.server_close()


@pytest.fixture
def opened(served, new_page):
    """`opened(**size)`: the page; nothing but the file itself may have been asked for."""
    address, asked = served
    asked.clear()
    requests = []

    def open_it(**options):
        page = new_page(**options)
        page.on("request", lambda request: requests.append(request.url))
        page.goto(address)
        return page

    yield open_it
    outside = [url for url in requests if not url.startswith("data:") and url != address]
    assert outside == []
    # A browser asks for a site's icon by itself where there is a server; a file has none.
    assert set(asked) <= {"/03.html", "/favicon.ico"}


class Shown:
    """The first panel of the page."""

    def __init__(self, page):
        self.page = page
        self.figure = page.locator("figure.panel").first
        self.image = self.figure.locator("svg")
        self.slider = page.get_by_role("slider", name="Half angle, Setup triangle").first
        self.slider.scroll_into_view_if_needed()

    def all(self) -> tuple:
        rows = self.figure.locator("dl > div").evaluate_all(
            "pairs => pairs.map(p => [p.children[0].textContent, p.children[1].textContent,"
            " p.className])"
        )
        return (
            self.slider.get_attribute("aria-valuetext"),
            self.image.get_attribute("aria-label"),
            self.figure.locator(".sentence").inner_text(),
            rows,
        )


def told(stop) -> tuple:
    """What the page must say at a stop."""
    at, _marks, sentence, rows = stop
    rows = [[name, value, mark and f"tapertrig-{mark}"] for name, value, mark in rows]
    return at, f"Setup triangle. {sentence}", sentence, rows


@pytest.mark.parametrize("size", [PHONE, SCREEN], ids=["phone", "1080p"])
def test_keys_step_picture_and_words_together(opened, size):
    shown = Shown(opened(**size))
    expected = stops(made("03"))[0]
    place = int(shown.slider.input_value())
    assert shown.all() == told(expected[place])
    keys = (("ArrowRight", place + 1), ("ArrowLeft", place), ("Home", 0))
    still = drawn(shown.image)
    for key, goal in (*keys, ("End", len(expected) - 1), ("Home", 0)):
        before = picture_hash(shown.image)
        shown.slider.press(key)
        wait_picture_change(shown.image, before)
        assert shown.all() == told(expected[goal]), key
        for mark_id, mark in expected[goal][1].items():
            mark_seen = shown.image.locator(f'[data-mark="{mark_id}"]')
            said = mark_seen.get_attribute("d")
            said = mark_seen.text_content() if mark_id[0] == "t" else said
            assert said == mark[0]
        if goal == place:
            assert drawn(shown.image) == still, "back at a stop, the same drawing"


def test_a_second_slider_changes_what_the_first_steps_through(opened):
    shown = Shown(opened(**PHONE))
    second = shown.page.get_by_role("slider", name="Compound travel, Setup triangle").first
    before = picture_hash(shown.image)
    second.press("Home")
    wait_picture_change(shown.image, before)
    travel = second.get_attribute("aria-valuetext").split()[0]
    assert f"a compound travel of {float(travel):.4f} in" in shown.all()[2]
    before = picture_hash(shown.image)
    shown.slider.press("End")
    wait_picture_change(shown.image, before)
    assert f"a compound travel of {float(travel):.4f} in" in shown.all()[2]
    assert shown.all()[0] in shown.all()[2]


def test_a_finger_moves_the_slider_on_a_phone(opened):
    shown = Shown(opened(**PHONE))
    box = shown.slider.bounding_box()
    assert box["height"] >= 44, "too small for a finger"
    before = picture_hash(shown.image)
    shown.page.touchscreen.tap(box["x"] + 0.9 * box["width"], box["y"] + box["height"] / 2)
    wait_picture_change(shown.image, before)
    assert int(shown.slider.input_value()) >= 40
    assert shown.all()[0] in shown.all()[2]


def test_a_mouse_drags_the_slider_on_a_large_screen(opened):
    shown = Shown(opened(**SCREEN))
    box = shown.slider.bounding_box()
    middle = box["y"] + box["height"] / 2
    before = picture_hash(shown.image)
    shown.page.mouse.move(box["x"] + 0.4 * box["width"], middle)
    shown.page.mouse.down()
    for part in (0.3, 0.2, 0.1):
        shown.page.mouse.move(box["x"] + part * box["width"], middle)
    shown.page.mouse.up()
    wait_picture_change(shown.image, before)
    assert int(shown.slider.input_value()) <= 12
    assert shown.all()[0] in shown.all()[2]


def test_a_result_is_announced_once_after_rest(opened):
    page = opened(**SCREEN)
    shown = Shown(page)
    status = shown.figure.get_by_role("status")
    assert status.text_content() == ""
    page.evaluate(
        """status => {
            window.announced = [];
            new MutationObserver(() => window.announced.push(status.textContent))
                .observe(status, {childList: true, characterData: true, subtree: true});
        }""",
        status.element_handle(),
    )
    for _ in range(4):
        shown.slider.press("ArrowRight")
    page.wait_for_function("() => window.announced.length > 0")
    page.wait_for_timeout(1200)
    assert page.evaluate("() => window.announced") == [shown.all()[2]]


@pytest.mark.parametrize("size", [PHONE, SCREEN], ids=["phone", "1080p"])
def test_crisp_in_sight_and_nothing_wider_than_the_page(opened, size):
    page = opened(**size)
    shown = Shown(page)
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    width = shown.image.bounding_box()["width"]
    assert width >= min(0.9 * size["width"], 700), "smaller than there is room for"
    heights = shown.image.locator("text").evaluate_all(
        """all => all.filter(t => t.textContent)
            .map(t => t.getScreenCTM().a * t.getAttribute('font-size'))"""
    )
    assert min(heights) >= 12, "too small to read"
    assert page.get_by_text("Scripts are blocked").count() == 0
    if size is SCREEN:
        assert shown.figure.bounding_box()["height"] <= size["height"], "more than one screen"
        return
    # The words are below the picture on a phone: reading them, the picture stays in sight.
    shown.figure.locator("dl > div").last.evaluate("row => row.scrollIntoView({block: 'end'})")
    box = shown.image.bounding_box()
    assert -1 <= box["y"] <= size["height"] - box["height"]


@pytest.mark.parametrize("size", [PHONE, SCREEN], ids=["phone", "1080p"])
def test_with_scripts_blocked_the_still_and_its_words_stand(opened, size):
    page = opened(**size, java_script_enabled=False)
    figure = page.locator("figure.panel").first
    expected = next(stop for stop in stops(made("03"))[0] if not stop[1])
    assert figure.locator("svg").get_attribute("aria-label") == told(expected)[1]
    assert figure.locator("svg").is_visible()
    assert figure.locator("svg").bounding_box()["height"] > 150
    assert figure.locator("svg path").count() > 20
    assert figure.locator(".sentence").inner_text() == expected[2]
    assert "1.2745 in" in figure.locator("dl").inner_text()
    assert page.get_by_role("slider").count() == 0, "a slider that does nothing"
    assert page.get_by_text("Scripts are blocked here").is_visible()
    fold = page.get_by_text("Show the answers")
    fold.click()
    assert page.locator("details figure svg").is_visible()


@pytest.mark.parametrize("number", sampled(NUMBERS, ["04", "07"]))
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_no_printed_page_is_half_empty(new_page, tmp_path, number, paper):
    """Words reach into the lower half of every page but the last of the questions and of all.

    The answers begin a page of their own, which an instructor keeps back.
    """
    page = new_page()
    page.set_content(made(number))
    page.wait_for_timeout(300)
    page.pdf(path=tmp_path / "handout.pdf", format=paper)
    pages = PdfReader(tmp_path / "handout.pdf").pages
    assert len(pages) <= 13
    begun = [one.extract_text().startswith("Answers") for one in pages]
    assert begun.count(True) == 1
    for index, one in enumerate(pages[:-1]):
        if begun[index + 1]:
            continue
        heights: list[float] = []

        def see(text, page_matrix, matrix, *_font, heights=heights):
            if text.strip():
                *_, b, _c, d, _e, f = page_matrix
                heights.append(b * matrix[4] + d * matrix[5] + f)

        one.extract_text(visitor_text=see)
        assert min(heights) < 0.5 * float(one.mediabox.height), f"page {index + 1}"


def test_the_kits_list_offers_it_on_a_phone(kit, new_page):
    """Served with the learner's rights, so under a policy: its own script still runs."""
    page = new_page(**PHONE)
    page.goto(kit.address("/tapertrig/"))
    expect(page.get_by_role("button", name="handout 03")).to_be_visible()
    kept = kept_handout(find_lesson("03"), kit.settings / "share")
    kept.parent.mkdir(parents=True, exist_ok=True)
    kept.write_text(made("03"), encoding="utf-8")
    page.reload()
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    with page.expect_download() as saved:
        # Sheets that somebody has saved stand on the list too.
        row = page.get_by_role("listitem").filter(has=page.get_by_role("link", name="handout 03"))
        row.get_by_role("link", name="save", exact=True).click()
    assert saved.value.suggested_filename == "03-setup-trigonometry.html"
    assert saved.value.path().read_text(encoding="utf-8") == made("03")
    page.get_by_role("link", name="handout 03").click()
    slider = page.get_by_role("slider").first
    before = slider.get_attribute("aria-valuetext")
    slider.press("PageUp")
    expect(slider).not_to_have_attribute("aria-valuetext", before)
    kept.unlink()
