"""Nothing a page holds can fetch anything: a listening socket hears nothing, and without the
page's policy it would."""

from __future__ import annotations

import re
import threading
import time
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

import pytest
from test_record import job_with, one_ball, sign

from tapertrig import demo
from tapertrig.practice.assignment import Assignment
from tapertrig.practice.example_class import example_class
from tapertrig.printed.class_page import class_page
from tapertrig.printed.inspection_record import inspection_record
from tapertrig.printed.page import page
from tapertrig.printed.practice_page import practice_page
from tapertrig.printed.setup_sheet import setup_sheet
from tapertrig.printed.worksheets import answer_key, worksheet

pytestmark = pytest.mark.browser

PAGES = {
    "setup sheet": lambda: setup_sheet(demo.job()),
    "inspection record": lambda: inspection_record(job_with(sign(one_ball()))),
    "worksheets": lambda: worksheet(1, ["dials"], 1, 1),
    "answer key": lambda: answer_key(1, ["dials"], 1, 1),
    "class page": lambda: class_page(example_class()),
    "handout": lambda: page(
        "handout.html", title="Any", script="handout.js", number="03", parts=[]
    ),
    "practice page": lambda: practice_page(Assignment(("dials",), 1), lambda _: "<svg></svg>"),
    "lesson page": lambda: page("lesson_page.html", title="Any", refused="Any"),
}
# Each way for a page to ask for something (HTML Living Standard and Fetch): {0} is the address.
WAYS = {
    "image": '<img src="{0}" alt="">',
    "script": '<script src="{0}"></script>',
    "sheet": '<link rel="stylesheet" href="{0}">',
    "import": '<style>@import "{0}";</style>',
    "background": '<p style="background: url({0})">words</p>',
    "font": "<style>@font-face {{ font-family: f; src: url({0}) }} b {{ font: 1em f }}</style>"
    "<b>words</b>",
    "frame": '<iframe src="{0}"></iframe>',
    "object": '<object data="{0}"></object>',
    "video": '<video src="{0}" preload="auto"></video>',
    "fetch": '<script>fetch("{0}", {{mode: "no-cors"}})</script>',
    "beacon": '<script>navigator.sendBeacon("{0}")</script>',
    "handler": """<img src="data:," alt="" onerror="new Image().src = '{0}'">""",
}


@pytest.fixture(scope="module")
def listener():
    """What was asked of a server on 127.0.0.1, and its address."""
    asked: list[str] = []

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self):
            asked.append(self.path.strip("/"))
            self.send_response(204)
            self.end_headers()

        def do_POST(self):
            self.do_GET()

        def log_message(self, *_):
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield asked, f"http://127.0.0.1:{server.server_port}"
    server.shutdown()
    server.server_close()


@pytest.mark.parametrize("name", PAGES)
def test_a_page_that_tries_to_fetch_is_not_heard(chromium, listener, tmp_path, name):
    asked, address = listener
    tries = "".join(way.format(f"{address}/{kind}") for kind, way in WAYS.items())
    text = PAGES[name]()
    assert text.count("</main>") == 1
    text = text.replace("</main>", tries + "</main>")
    free, found = re.subn(r"<meta http-equiv=.Content-Security-Policy.[^>]*>", "", text)
    assert found == 1

    def heard(kind, shown, least, most):
        path = tmp_path / f"{kind}.html"
        path.write_text(shown, encoding="utf-8")
        asked.clear()
        tab = chromium.new_page()
        began = time.monotonic()
        try:
            tab.goto(path.as_uri())
            while set(asked) != set(WAYS) and time.monotonic() - began < most:
                tab.wait_for_timeout(50)
            tab.wait_for_timeout(1000 * max(0.0, least - (time.monotonic() - began)))
        finally:
            tab.close()
        return set(asked), time.monotonic() - began

    all_of_them, took = heard("without", free, 0.0, 15.0)
    assert all_of_them == set(WAYS), "a way that asks for nothing proves nothing"
    # As long as the free page took to be heard, and half a second more, is long enough here.
    assert heard("with", text, took + 0.5, 0.0)[0] == set()
