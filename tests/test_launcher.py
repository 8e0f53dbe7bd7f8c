"""`python -m tapertrig`: a real server on 127.0.0.1, a lesson live on it, and a clean end."""

from __future__ import annotations

import html
import json
import os
import random
import re
import signal
import socket
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from urllib.error import HTTPError
from urllib.parse import urlencode
from urllib.request import HTTPCookieProcessor, Request, build_opener, urlopen

import nbformat
import psutil
import pytest
from cases import sampled
from jupyter_client import BlockingKernelClient
from running_kit import Kit, start_kit, stop_kit

from tapertrig.saving import write_whole

pytestmark = pytest.mark.slow

SLIDER = "import ipywidgets; ipywidgets.IntSlider(3)"
WHOSE = "import os; (os.environ['TAPERTRIG_STYLE'], os.getpid())"
COUNT = "open('runs.txt', 'a').write('x')"


def write_lesson(folder: Path, name: str, *lines: str) -> None:
    cells = [nbformat.v4.new_markdown_cell(f"# {name}")]
    cells += [nbformat.v4.new_code_cell(line) for line in lines]
    folder.mkdir(exist_ok=True)
    nbformat.write(nbformat.v4.new_notebook(cells=cells), folder / f"{name}.ipynb")


@pytest.fixture(scope="module")
def lessons(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("lessons")
    write_lesson(folder, "00-first", SLIDER, WHOSE, COUNT)
    write_lesson(folder, "01-second", SLIDER, WHOSE)
    write_lesson(folder, "02-raises", "1 / 0", SLIDER)
    write_lesson(folder, "03-sleeps", "import time; time.sleep(60)")
    return folder


@pytest.fixture(scope="module")
def kit(tmp_path_factory: pytest.TempPathFactory, lessons: Path):
    settings = tmp_path_factory.mktemp("settings")
    running = start_kit(tmp_path_factory.mktemp("copies"), settings, TAPERTRIG_LESSONS=str(lessons))
    yield running
    stop_kit(running)


def ask(kit: Kit, path: str, method: str = "", body: dict | None = None) -> str:
    """What a path gives, for whoever has the token; a lesson is opened."""
    method = method or ("POST" if "/lesson/" in path else "GET")
    request = Request(kit.address(path), method=method)
    if body is not None:
        request.data = json.dumps(body).encode()
    with build_opener(HTTPCookieProcessor()).open(request, timeout=60) as answer:
        return answer.read().decode()


def outputs(kit: Kit, name: str) -> list:
    content = json.loads(ask(kit, f"/api/contents/{name}.ipynb"))["content"]
    return [cell["outputs"] for cell in content["cells"] if cell["cell_type"] == "code"]


def shown_text(output: list) -> str:
    return output[0]["data"]["text/plain"]


def kernel_of(kit: Kit, name: str) -> str:
    found = [s for s in json.loads(ask(kit, "/api/sessions")) if s["path"] == f"{name}.ipynb"]
    assert len(found) == 1, found
    return found[0]["kernel"]["id"]


def run(*arguments: str, code: str | None = None, **environment: str):
    what = ["-c", code] if code else ["-m", "tapertrig"]
    return subprocess.run(
        [sys.executable, *what, *arguments],
        capture_output=True,
        text=True,
        timeout=60,
        env={**os.environ, **environment},
        check=False,
    )


# -- a lesson live ---------------------------------------------------------------------------


def test_the_lesson_has_been_run_on_its_own_kernel(kit):
    slider, whose, _ = outputs(kit, "00-first")
    assert "application/vnd.jupyter.widget-view+json" in slider[0]["data"]
    style, process = re.fullmatch(r"\('(\w+)', (\d+)\)", shown_text(whose)).groups()
    assert style == "desk"
    children = psutil.Process(kit.process.pid).children(recursive=True)
    kernel = next(child for child in children if child.pid == int(process))
    assert "tapertrig.classroom.kernel" in kernel.cmdline()
    kernel_of(kit, "00-first")


def test_the_copy_is_trusted_so_that_its_panels_show(kit):
    content = json.loads(ask(kit, "/api/contents/00-first.ipynb"))["content"]
    assert all(c["metadata"]["trusted"] for c in content["cells"] if c["cell_type"] == "code")


def test_it_answers_on_this_machine_only_and_only_with_the_token(kit):
    listening = {
        connection.laddr.ip
        for process in [
            psutil.Process(kit.process.pid),
            *psutil.Process(kit.process.pid).children(recursive=True),
        ]
        for connection in process.net_connections()
        if connection.status == psutil.CONN_LISTEN
    }
    assert listening == {"127.0.0.1"}
    for path in ("/api/contents", "/tapertrig/lesson/00", "/tapertrig/"):
        request = Request(kit.start + path, headers={"Accept": "application/json"})
        assert _served_to(request) in (403, "login"), path


def _served_to(request: Request) -> int | str:
    try:
        with urlopen(request, timeout=20) as answer:
            return "login" if "/login?" in answer.url else answer.status
    except HTTPError as refused:
        return refused.code


def test_no_news_is_asked_for_and_no_user_setting_is_written(kit):
    answer = json.loads(ask(kit, "/lab/api/settings/@jupyterlab%2Fapputils-extension:notification"))
    properties = answer["schema"]["properties"]
    assert properties["fetchNews"]["default"] == "false"
    assert properties["checkForUpdates"]["default"] is False
    assert answer["raw"].strip() in ("", "{}")
    assert kit.settings.is_dir()
    assert not (kit.settings / "lab").exists()


def test_the_page_of_lessons_lists_all(kit):
    page = html.unescape(ask(kit, "/tapertrig/"))
    assert re.findall(r'action="lesson/(\d\d)">.+?<button>(.+?)</button>', page) == [
        ("00", "00 00-first"),
        ("01", "01 01-second"),
        ("02", "02 02-raises"),
        ("03", "03 03-sleeps"),
    ]
    assert "“model not found”, open its lesson from this list" in page


def test_the_page_of_a_lesson_runs_it_in_the_style_asked_for(kit):
    page = ask(kit, "/tapertrig/lesson/01?style=projector")
    assert "running cell 2 of 2" in page
    assert 'url=/doc/tree/01-second.ipynb"' in page
    assert shown_text(outputs(kit, "01-second")[1]).startswith("('projector', ")


def test_another_style_is_taken_by_the_panels_that_are_there(kit, lessons):
    told = "open('styles.txt', 'a').write(f'{panel.style_name} {len(_instances)},')"
    watched = (
        "from ipywidgets.widgets.widget import _instances\nfrom tapertrig import panels\n"
        f"panel = panels.lost_motion()\n{told}\n"
        f"panel.style_switch.observe(lambda _change: {told}, 'value')\npanel"
    )
    write_lesson(lessons, "08-style", watched)
    for query in ("", "?style=desk", "?style=projector", "", "?style=desk"):
        ask(kit, f"/tapertrig/lesson/08{query}")
    seen = (kit.folder / "styles.txt").read_text().strip(",").split(",")
    assert [each.split()[0] for each in seen] == ["desk", "projector", "desk"]
    assert len({each.split()[1] for each in seen}) == 1, "a second set of widgets"


def test_a_live_lesson_is_joined_and_not_run_again(kit):
    before = outputs(kit, "00-first")
    page = ask(kit, "/tapertrig/lesson/00")
    assert "running" not in page
    assert outputs(kit, "00-first") == before
    assert (kit.folder / "runs.txt").read_text() == "x"


def test_two_tabs_at_once_run_it_once(kit, lessons):
    write_lesson(lessons, "05-twice", SLIDER, "open('twice.txt', 'a').write('x')")
    with ThreadPoolExecutor() as pool:
        pages = list(pool.map(lambda _: ask(kit, "/tapertrig/lesson/05"), range(2)))
    assert all("05-twice.ipynb" in page for page in pages)
    assert (kit.folder / "twice.txt").read_text() == "x"
    kernel_of(kit, "05-twice")


def test_a_restarted_kernel_gets_the_lesson_run_again(kit, lessons):
    write_lesson(lessons, "06-restarted", SLIDER, "open('restarted.txt', 'a').write('x')")
    ask(kit, "/tapertrig/lesson/06")
    kernel = kernel_of(kit, "06-restarted")
    ask(kit, f"/api/kernels/{kernel}/restart", "POST", {})
    page = ask(kit, "/tapertrig/lesson/06")
    assert "running cell 2 of 2" in page
    assert kernel_of(kit, "06-restarted") == kernel
    assert (kit.folder / "restarted.txt").read_text() == "xx"


def test_a_cell_that_fails_does_not_stop_the_others(kit):
    ask(kit, "/tapertrig/lesson/02")
    failed, slider = outputs(kit, "02-raises")
    assert failed[0]["ename"] == "ZeroDivisionError"
    assert "application/vnd.jupyter.widget-view+json" in slider[0]["data"]


def test_a_changed_copy_keeps_its_words_when_opened(kit, lessons):
    write_lesson(lessons, "07-mine", SLIDER)
    ask(kit, "/tapertrig/lesson/07")
    copy = kit.folder / "07-mine.ipynb"
    mine = nbformat.read(copy, as_version=4)
    mine.cells[0].source = "# My own words"
    nbformat.write(mine, copy)
    assert "as you left it" in ask(kit, "/tapertrig/lesson/07")
    assert nbformat.read(copy, as_version=4).cells[0].source == "# My own words"
    write_lesson(lessons, "07-mine", SLIDER, "'a newer lesson'")
    page = ask(kit, "/tapertrig/lesson/07")
    assert "kept untouched" in page
    assert nbformat.read(copy, as_version=4).cells[0].source == "# My own words"


def test_a_lesson_that_cannot_be_copied_says_why_and_can_be_tried_again(kit, lessons):
    write_lesson(lessons, "09-blocked", SLIDER)
    blocked = kit.folder / "09-blocked.ipynb"
    blocked.mkdir()
    page = ask(kit, "/tapertrig/lesson/09")
    assert "could not be opened: 09-blocked.ipynb cannot be read: is a directory" in page
    assert "<button>Try again</button>" in page
    blocked.rmdir()
    assert "Open the lesson" in ask(kit, "/tapertrig/lesson/09")


@pytest.mark.parametrize(
    ("path", "words"),
    [
        ("/tapertrig/lesson/99", "there is no lesson “99”"),
        ("/tapertrig/lesson/%3Cscript%3Ealert(1)%3C%2Fscript%3E", "&lt;script&gt;"),
        ("/tapertrig/lesson/00?style=huge", "it must be desk or projector"),
    ],
)
def test_a_page_that_does_not_exist_says_what_does(kit, path, words):
    with pytest.raises(HTTPError) as refused:
        ask(kit, path)
    assert refused.value.code == 404
    page = refused.value.read().decode()
    assert words in page
    assert "<script>" not in page


@pytest.mark.parametrize("linked", [False, True])
def test_started_again_on_the_same_copies_it_joins_the_one_running(kit, lessons, tmp_path, linked):
    settings, folder = kit.settings, kit.folder
    if linked:
        folder = tmp_path / "another way there"
        folder.symlink_to(kit.folder)
    again = run(
        "1",
        "--no-browser",
        "--folder",
        str(folder),
        TAPERTRIG_LESSONS=str(lessons),
        JUPYTER_CONFIG_DIR=str(settings),
        JUPYTER_DATA_DIR=str(settings / "share"),
        JUPYTER_RUNTIME_DIR=str(settings / "runtime"),
    )
    assert again.returncode == 0, again.stderr
    assert "running already" in again.stdout
    address = re.search(r"Open now: (\S+)", again.stdout)[1]
    assert address.startswith(f"{kit.start}/tapertrig/lesson/01?style=desk&token=")
    with build_opener(HTTPCookieProcessor()).open(address, timeout=60) as answer:
        assert "token" not in answer.url
        assert b"url=/doc/tree/01-second.ipynb" in answer.read()


def test_the_browser_is_sent_to_the_live_lesson(tmp_path, lessons):
    """It gets a file in a folder of this person only, not the token on its command line."""
    script = tmp_path / "browser.py"
    script.write_text("import sys; open(sys.argv[1], 'w').write(sys.argv[2])")
    asked = tmp_path / "asked.txt"
    kit = start_kit(
        tmp_path / "copies",
        tmp_path / "settings",
        "1",
        browser=True,
        TAPERTRIG_LESSONS=str(lessons),
        BROWSER=f"{sys.executable} {script} {asked} %s",
    )
    try:
        for _ in range(200):
            if asked.exists() and asked.read_text():
                break
            time.sleep(0.05)
        page = asked.read_text()
        assert page.startswith("file:")
        assert kit.token not in page
        file = Path(page.removeprefix("file://"))
        assert file.parent.stat().st_mode & 0o077 == 0
        target = re.search(r'href="([^"]+)"', file.read_text())[1]
        assert html.unescape(target) == kit.address("/doc/tree/01-second.ipynb")
    finally:
        stop_kit(kit)


STILLBORN = """
import os, sys
if "tapertrig.classroom.kernel" in sys.orig_argv and not os.path.exists({mark!r}):
    open({mark!r}, "w").close()
    os._exit(1)
"""


def test_a_kernel_that_dies_before_it_answers_is_replaced(tmp_path, lessons):
    mark = tmp_path / "first kernel"
    (tmp_path / "sitecustomize.py").write_text(STILLBORN.format(mark=str(mark)))
    kit = start_kit(
        tmp_path / "copies",
        tmp_path / "settings",
        "1",
        TAPERTRIG_LESSONS=str(lessons),
        PYTHONPATH=str(tmp_path),
    )
    try:
        assert mark.exists()
        slider, _ = outputs(kit, "01-second")
        assert "application/vnd.jupyter.widget-view+json" in slider[0]["data"]
        kernel_of(kit, "01-second")
    finally:
        stop_kit(kit)


# -- the door --------------------------------------------------------------------------------


def test_no_mere_address_starts_a_lesson(kit, lessons):
    """As a picture of another port asks it: with the learner's cookie, without the token."""
    write_lesson(lessons, "20-door", "open('door.txt', 'a').write('x')")
    write_lesson(lessons, "21-behind", SLIDER)
    learner = build_opener(HTTPCookieProcessor())
    learner.open(kit.address("/tapertrig/"), timeout=30).close()
    lesson, opened = f"{kit.start}/tapertrig/lesson/20", kit.folder / "door.txt"

    def get(address: str, **headers: str) -> str:
        headers = {name.replace("_", "-"): value for name, value in headers.items()}
        with learner.open(Request(address, headers=headers), timeout=60) as answer:
            return answer.read().decode()

    for address in (lesson, f"{lesson}?once=", f"{lesson}?token=guessed", f"{lesson}?once=guessed"):
        page = get(address)
        assert "<button>Open the lesson</button>" in page, address
    other_port = {"Sec_Fetch_Site": "same-site", "Sec_Fetch_Dest": "image"}
    own_picture = {"Sec_Fetch_Site": "same-origin", "Sec_Fetch_Dest": "image"}
    neighbour = f"{kit.start}/tapertrig/lesson/before-21"
    for headers in ({}, other_port, own_picture):
        assert "<button>Open the lesson</button>" in get(neighbour, **headers)
    for form in ({}, {"_xsrf": "guessed"}):
        with pytest.raises(HTTPError) as refused:
            learner.open(lesson, urlencode(form).encode(), timeout=60)
        assert refused.value.code == 403
    assert not opened.exists()
    pressed = re.search(r'name="_xsrf" value="([^"]+)"', page)[1]
    learner.open(lesson, urlencode({"_xsrf": pressed}).encode(), timeout=60).read()
    assert opened.read_text() == "x"
    own_link = {"Sec_Fetch_Site": "same-origin", "Sec_Fetch_Dest": "document"}
    assert "url=/doc/tree/20-door.ipynb" in get(neighbour, **own_link)


def test_who_brings_the_token_starts_one_lesson_once(kit, lessons):
    write_lesson(lessons, "22-once", "open('once.txt', 'a').write('x')")
    learner = build_opener(HTTPCookieProcessor())
    with learner.open(kit.address("/tapertrig/lesson/22"), timeout=60) as answer:
        assert "token" not in answer.url
        address = answer.url
        assert "url=/doc/tree/22-once.ipynb" in answer.read().decode()
    with learner.open(address, timeout=60) as answer:
        assert "<button>Open the lesson</button>" in answer.read().decode()
    assert (kit.folder / "once.txt").read_text() == "x"


def test_a_handout_is_made_once_and_served_under_a_policy(kit, lessons):
    write_lesson(lessons, "23-phone", "6 * 7")
    drawn, listed = kit.settings / "share" / "tapertrig", "/tapertrig/handout/23"
    learner = build_opener(HTTPCookieProcessor())

    def get(path: str) -> tuple[str, str]:
        with learner.open(kit.address(path), timeout=60) as answer:
            return answer.read().decode(), answer.headers["Content-Security-Policy"]

    assert "<button>Make the handout</button>" in get(listed)[0]
    for form in ({}, {"_xsrf": "guessed"}):
        with pytest.raises(HTTPError) as refused:
            learner.open(kit.start + listed, urlencode(form).encode(), timeout=60)
        assert refused.value.code == 403
    assert list(drawn.glob("23-*")) == []
    assert '<form method="post" action="handout/23">' in get("/tapertrig/")[0]
    with ThreadPoolExecutor() as pool:
        pages = list(pool.map(lambda _: ask(kit, listed, "POST"), range(2)))
    assert all('<a href="23">Open the handout</a>' in page for page in pages), pages
    (made,) = drawn.glob("23-*")
    page, policy = get(listed)
    assert page == made.read_text(encoding="utf-8")
    assert "<h1>23-phone</h1>" in page
    assert policy.startswith("default-src 'none'; img-src data:")
    assert re.search(r"script-src 'sha256-[^']+'; base-uri 'none'; form-action 'none'", policy)
    assert "unsafe-inline" not in policy.partition("script-src")[2]
    assert '<a href="handout/23" download="23-phone.html">save</a>' in get("/tapertrig/")[0]
    before = made.stat()
    ask(kit, listed, "POST")
    assert made.stat() == before, "drawn again"
    write_lesson(lessons, "23-phone", "7 * 8")
    ask(kit, listed, "POST")
    (anew,) = drawn.glob("23-*")
    assert anew != made
    (lessons / "23-phone.ipynb").write_text("torn")
    page = html.unescape(ask(kit, listed, "POST"))
    assert "could not be made" in page
    assert "no notebook that can be read" in page
    with pytest.raises(HTTPError) as refused:
        get("/tapertrig/handout/99")
    assert refused.value.code == 404
    (lessons / "23-phone.ipynb").unlink()


# -- a lesson opened again -------------------------------------------------------------------


def kernel_client(kit: Kit, name: str) -> BlockingKernelClient:
    """A way to the kernel of a lesson, as a browser has one."""
    client = BlockingKernelClient()
    client.load_connection_file(
        str(kit.settings / "runtime" / f"kernel-{kernel_of(kit, name)}.json")
    )
    client.start_channels()
    client.wait_for_ready(timeout=30)
    return client


def end_kernel(kit: Kit, name: str) -> None:
    ask(kit, f"/api/kernels/{kernel_of(kit, name)}", "DELETE")


def edit(kit: Kit, name: str, *more: str) -> Path:
    """A learner's own words and cells in a copy, put to disk past Jupyter."""
    copy = kit.folder / f"{name}.ipynb"
    mine = nbformat.read(copy, as_version=4)
    mine.cells[0].source = "# My own words"
    mine.cells[1:1] = [nbformat.v4.new_code_cell(line) for line in more]
    nbformat.write(mine, copy)
    return copy


def test_what_is_saved_while_cells_run_is_kept(kit, lessons):
    begun = "import pathlib, time; pathlib.Path('begun.txt').touch()"
    wait = "while not pathlib.Path('saved.txt').exists(): time.sleep(0.05)"
    write_lesson(lessons, "10-saved", SLIDER, begun, wait)
    with ThreadPoolExecutor() as pool:
        opening = pool.submit(ask, kit, "/tapertrig/lesson/10")
        while not (kit.folder / "begun.txt").exists():
            assert not opening.done(), opening.result()
            time.sleep(0.05)
        copy = edit(kit, "10-saved", "'a cell of my own'")
        (kit.folder / "saved.txt").touch()
        opening.result()
    kept = nbformat.read(copy, as_version=4)
    assert [cell.source for cell in kept.cells[:2]] == ["# My own words", "'a cell of my own'"]
    mine, slider, *_ = outputs(kit, "10-saved")
    assert mine == []
    assert "application/vnd.jupyter.widget-view+json" in slider[0]["data"]


def test_only_the_kits_own_cells_run_by_themselves(kit, lessons):
    write_lesson(lessons, "11-foreign", SLIDER)
    ask(kit, "/tapertrig/lesson/11")
    copy = edit(kit, "11-foreign", "open('foreign.txt', 'w')", "import os; os._exit(3)")
    mine = nbformat.read(copy, as_version=4)
    script = {"text/html": "<script>steal()</script>", "text/plain": "seen"}
    mine.cells[1].outputs = [nbformat.v4.new_output("display_data", data=script)]
    nbformat.write(mine, copy)
    end_kernel(kit, "11-foreign")
    page = html.unescape(ask(kit, "/tapertrig/lesson/11"))
    assert "cell 1, “open('foreign.txt', 'w')”: this cell is not the kit's" in page
    assert "cell 2, “import os; os._exit(3)”: this cell is not the kit's" in page
    assert not (kit.folder / "foreign.txt").exists()
    opened, killer, slider = outputs(kit, "11-foreign")
    assert opened[0]["text"].startswith("Not run by itself: this cell is not the kit's")
    assert [one.get("data") for one in opened[1:]] == [{"text/plain": "seen"}]
    assert len(killer) == 1
    assert "application/vnd.jupyter.widget-view+json" in slider[0]["data"]
    content = json.loads(ask(kit, "/api/contents/11-foreign.ipynb"))["content"]
    assert all(c["metadata"]["trusted"] for c in content["cells"] if c["cell_type"] == "code")
    # Opened on another kernel it is left again, and said once.
    end_kernel(kit, "11-foreign")
    ask(kit, "/tapertrig/lesson/11")
    assert outputs(kit, "11-foreign")[:2] == [opened, killer]


def test_a_cell_that_ends_python_is_named_and_left(kit, lessons):
    write_lesson(lessons, "12-ends", SLIDER, "import os; os._exit(3)", "2 + 2")
    page = html.unescape(ask(kit, "/tapertrig/lesson/12"))
    assert "cell 2, “import os; os._exit(3)”: this cell ended Python" in page
    assert "Open the lesson" in page
    slider, killer, rest = outputs(kit, "12-ends")
    assert (slider, rest) == ([], [])
    assert "ended Python" in killer[0]["text"]
    ask(kit, "/tapertrig/lesson/12")
    slider, killer, rest = outputs(kit, "12-ends")
    assert "application/vnd.jupyter.widget-view+json" in slider[0]["data"]
    assert "ended Python" in killer[0]["text"]
    assert shown_text(rest) == "4"


def test_a_lesson_that_is_busy_is_joined_as_it_is(kit, lessons):
    write_lesson(lessons, "13-busy", SLIDER)
    ask(kit, "/tapertrig/lesson/13")
    kernel, client = kernel_of(kit, "13-busy"), kernel_client(kit, "13-busy")
    client.execute("answer = 'not saved yet'", reply=True)
    client.execute("while True: pass")
    began = time.monotonic()
    page = ask(kit, "/tapertrig/lesson/13?style=projector")
    assert time.monotonic() - began < 30
    assert "still busy" in page
    assert kernel_of(kit, "13-busy") == kernel
    ask(kit, f"/api/kernels/{kernel}/interrupt", "POST", {})
    told = {"status": "aborted"}
    while told["status"] == "aborted":
        asked = client.execute("", user_expressions={"a": "answer"}, reply=True, timeout=30)
        told = asked["content"]
    assert told["user_expressions"]["a"]["data"]["text/plain"] == "'not saved yet'"
    client.stop_channels()


def test_what_was_run_again_and_not_saved_is_still_there_in_another_style(kit, lessons):
    made = "from tapertrig import panels; open('made.txt', 'a').write('x'); panels.lost_motion()"
    write_lesson(lessons, "14-again", made)
    ask(kit, "/tapertrig/lesson/14")
    cell = nbformat.read(kit.folder / "14-again.ipynb", as_version=4).cells[1]
    client = kernel_client(kit, "14-again")
    client.session.metadata = {"cellId": cell.id}
    client.execute(made, reply=True, timeout=30)
    client.session.metadata = {}
    ask(kit, "/tapertrig/lesson/14?style=projector")
    assert (kit.folder / "made.txt").read_text() == "xx", "run once, then again by hand"
    (shown,) = outputs(kit, "14-again")
    now = shown[0]["data"]["application/vnd.jupyter.widget-view+json"]["model_id"]
    told = client.comm_info(reply=True, timeout=30)
    assert now in told["content"]["comms"]
    client.stop_channels()


def test_a_copy_changed_outside_while_it_is_live_is_joined_with_its_panels(kit, lessons):
    write_lesson(lessons, "15-outside", SLIDER, "open('outside.txt', 'a').write('x')")
    ask(kit, "/tapertrig/lesson/15")
    before = outputs(kit, "15-outside")
    edit(kit, "15-outside")
    ask(kit, "/tapertrig/lesson/15")
    assert outputs(kit, "15-outside") == before
    assert (kit.folder / "outside.txt").read_text() == "x"


ACTS = (
    "open", "two tabs", "other style", "edit", "edit meanwhile", "save", "save meanwhile",
    "answer", "end", "stop",
)  # fmt: skip


@pytest.mark.parametrize("seed", sampled(range(1, 50), [1, 2]))
def test_whatever_happens_no_text_and_no_answer_is_gone(kit, lessons, seed):
    """A learner's words stay in the copy, an unsaved answer on its Python until that is ended."""
    name, path = f"{30 + seed}-acts", f"/tapertrig/lesson/{30 + seed}"
    write_lesson(lessons, name, "from tapertrig import panels", "panels.lost_motion()")
    draw, copy = random.Random(seed), kit.folder / f"{name}.ipynb"
    ask(kit, path)
    written: list[str] = []
    answer, acts = None, draw.sample(ACTS, len(ACTS)) + draw.choices(ACTS, k=5)
    for count, act in enumerate(acts):
        styles = [f"{path}?style={style}" for style in draw.sample(["desk", "projector"], 2)]
        with ThreadPoolExecutor() as pool:
            if act in ("answer", "end"):
                client = kernel_client(kit, name)
                code = f"answer = {count}" if act == "answer" else "import os; os._exit(3)"
                client.execute(code, reply=act == "answer")
                answer = count if act == "answer" else None
                client.stop_channels()
            elif act == "stop":
                end_kernel(kit, name)
                answer = None
            tabs = {"open": [path], "two tabs": styles, "other style": styles[:1]}
            tabs |= {"edit": [], "save": []}
            opened = [pool.submit(ask, kit, tab) for tab in tabs.get(act, [path])]
            if act.startswith(("edit", "save")):
                mine = nbformat.read(copy, as_version=4)
                written.append(f"'my words {count}'")
                mine.cells.insert(draw.randrange(4), nbformat.v4.new_code_cell(written[-1]))
                if act.startswith("edit"):
                    write_whole(copy, nbformat.writes(mine))
                else:  # as a tab that has the lesson open saves it
                    body = {"type": "notebook", "format": "json", "content": mine}
                    ask(kit, f"/api/contents/{name}.ipynb", "PUT", body)
            for one in opened:
                one.result()
        kept = [cell.source for cell in nbformat.read(copy, as_version=4).cells]
        assert set(written) <= set(kept), acts[: count + 1]
        client = kernel_client(kit, name)
        wanted = {"a": "globals().get('answer')", "p": "'panels' in globals()"}
        told = client.execute("", user_expressions=wanted, reply=True, timeout=30)["content"]
        found = {key: one["data"]["text/plain"] for key, one in told["user_expressions"].items()}
        client.stop_channels()
        assert found == {"a": repr(answer), "p": "True"}, acts[: count + 1]


HASTY = """
import sys
if "-m" in sys.orig_argv and "tapertrig" in sys.orig_argv:
    from tapertrig.classroom import live_lesson
    live_lesson.SECONDS_PER_CELL = 3
"""


def test_a_cell_without_end_costs_its_time_once(tmp_path):
    write_lesson(tmp_path / "lessons", "00-endless", SLIDER, "while True: pass")
    (tmp_path / "sitecustomize.py").write_text(HASTY)
    kit = start_kit(
        tmp_path / "copies",
        tmp_path / "settings",
        TAPERTRIG_LESSONS=str(tmp_path / "lessons"),
        PYTHONPATH=os.pathsep.join([str(tmp_path), os.environ.get("PYTHONPATH", "")]),
    )
    try:
        note, stopped = outputs(kit, "00-endless")[1]
        assert "took over" in note["text"]
        assert stopped["ename"] == "KeyboardInterrupt"
        end_kernel(kit, "00-endless")
        page = html.unescape(ask(kit, "/tapertrig/lesson/00"))
        assert "cell 2, “while True: pass”: this cell took over" in page
        assert "running cell 2" not in page
    finally:
        stop_kit(kit)


# -- the end ---------------------------------------------------------------------------------


def everything_of(process: subprocess.Popen) -> list[psutil.Process]:
    started = psutil.Process(process.pid)
    return [started, *started.children(recursive=True)]


@pytest.mark.parametrize("name", ["SIGINT", "SIGTERM"])
def test_the_end_takes_everything_along(tmp_path, lessons, name):
    kit = start_kit(tmp_path / "copies", tmp_path / "settings", "1", TAPERTRIG_LESSONS=str(lessons))
    started = everything_of(kit.process)
    assert len(started) >= 2, "no kernel was running"
    kit.process.send_signal(getattr(signal, name))
    assert kit.process.wait(20) == 0
    printed = kit.process.stdout.read()
    kit.process.stdout.close()
    assert f"Your copies are in {tmp_path / 'copies'}" in printed
    assert "Traceback" not in printed
    _, alive = psutil.wait_procs(started, timeout=10)
    assert not alive
    with pytest.raises(OSError, match="refused"):
        socket.create_connection(("127.0.0.1", int(kit.start.rsplit(":", 1)[1])), 2)
    assert list((tmp_path / "settings" / "runtime").glob("jpserver-*")) == []


def test_ctrl_c_while_a_cell_runs_ends_it_too(tmp_path, lessons):
    settings = tmp_path / "settings"
    process = subprocess.Popen(
        [sys.executable, "-m", "tapertrig", "3", "--no-browser", "--folder", tmp_path / "copies"],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        env={
            **os.environ,
            "TAPERTRIG_LESSONS": str(lessons),
            "JUPYTER_CONFIG_DIR": str(settings),
            "JUPYTER_DATA_DIR": str(settings / "share"),
            "JUPYTER_RUNTIME_DIR": str(settings / "runtime"),
        },
    )
    for line in process.stdout:
        if "running cell 1 of 1" in line:
            break
    time.sleep(0.5)
    started = everything_of(process)
    process.send_signal(signal.SIGINT)
    assert process.wait(20) == 0
    process.stdout.close()
    _, alive = psutil.wait_procs(started, timeout=10)
    assert not alive
    assert "ended Python" not in (tmp_path / "copies" / "03-sleeps.ipynb").read_text()


# -- what cannot be started ------------------------------------------------------------------


def test_a_taken_port_is_said(tmp_path, lessons):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        tried = run(
            "--no-browser",
            "--port",
            str(port),
            "--folder",
            str(tmp_path),
            TAPERTRIG_LESSONS=str(lessons),
            JUPYTER_RUNTIME_DIR=str(tmp_path / "runtime"),
        )
    assert tried.returncode == 1
    assert f"port {port} cannot be used" in tried.stderr
    assert f"--port {port + 1}" in tried.stderr
    assert "Traceback" not in tried.stderr


@pytest.mark.parametrize("port", ["70000", "0", "-1", "eight"])
def test_a_port_that_is_none_is_said(port):
    tried = run(f"--port={port}")
    assert tried.returncode == 2
    assert f"“{port}” is no port; give one from 1 to 65535, for example 8890" in tried.stderr


def test_an_unknown_lesson_is_said(lessons):
    tried = run("42", TAPERTRIG_LESSONS=str(lessons))
    assert tried.returncode == 1
    assert "there is no lesson “42”" in tried.stderr
    assert "00  00-first" in tried.stderr


def test_a_folder_that_cannot_be_made_is_said(tmp_path, lessons):
    (tmp_path / "file").write_text("")
    tried = run("--folder", str(tmp_path / "file" / "copies"), TAPERTRIG_LESSONS=str(lessons))
    assert tried.returncode == 1
    assert "cannot be made" in tried.stderr
    assert "Traceback" not in tried.stderr


def test_a_lesson_that_cannot_be_copied_is_said_and_the_server_ends(tmp_path, lessons):
    """A folder that takes no file: for root too, since a folder stands where the file should."""
    (tmp_path / "00-first.ipynb").mkdir()
    tried = run(
        "--no-browser",
        "--folder",
        str(tmp_path),
        TAPERTRIG_LESSONS=str(lessons),
        JUPYTER_RUNTIME_DIR=str(tmp_path / "runtime"),
    )
    assert tried.returncode == 1
    assert "the lesson cannot be opened" in tried.stderr
    assert "Traceback" not in tried.stderr


def test_a_full_disk_is_said_and_the_server_ends(tmp_path, lessons):
    full = (
        "import errno, os\ndef full(*_): raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))\n"
    )
    (tmp_path / "sitecustomize.py").write_text(full + "os.fsync = full\n")
    tried = run(
        "--no-browser",
        "--folder",
        str(tmp_path / "copies"),
        TAPERTRIG_LESSONS=str(lessons),
        JUPYTER_RUNTIME_DIR=str(tmp_path / "runtime"),
        PYTHONPATH=os.pathsep.join([str(tmp_path), os.environ.get("PYTHONPATH", "")]),
    )
    assert tried.returncode == 1
    assert "the lesson cannot be opened: 00-first.ipynb could not be saved" in tried.stderr
    assert "no space left on device" in tried.stderr
    assert "Traceback" not in tried.stderr
    assert list((tmp_path / "copies").iterdir()) == []


def test_a_home_that_takes_no_folder_is_said(tmp_path, lessons):
    """A file stands where Jupyter's folders should: so for root too."""
    (tmp_path / "home").write_text("")
    tried = run(
        "--no-browser",
        "--folder",
        str(tmp_path / "copies"),
        TAPERTRIG_LESSONS=str(lessons),
        HOME=str(tmp_path / "home"),
        JUPYTER_CONFIG_DIR="",
        JUPYTER_DATA_DIR="",
        JUPYTER_RUNTIME_DIR="",
    )
    assert tried.returncode == 1
    assert "needs a home folder to write in" in tried.stderr
    assert "Traceback" not in tried.stderr


def test_a_terminal_without_our_letters_keeps_no_handout_back(tmp_path):
    """The C locale of POSIX knows ASCII alone."""
    plain = {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}
    made = run("handout", "05", "--out", str(tmp_path / "05.html"), **plain)
    assert made.returncode == 0, made.stderr
    assert "</html>" in (tmp_path / "05.html").read_text(encoding="utf-8")
    assert "there is no lesson ?42?" in run("42", **plain).stderr


def test_missing_jupyterlab_is_said(tmp_path, lessons):
    code = (
        "import sys; sys.modules['jupyterlab'] = None\n"
        "from tapertrig.classroom.launcher import main; sys.exit(main(sys.argv[1:]))"
    )
    tried = run("--folder", str(tmp_path), code=code, TAPERTRIG_LESSONS=str(lessons))
    assert tried.returncode == 1
    assert "JupyterLab is missing" in tried.stderr
    assert "pip install -r requirements.txt" in tried.stderr


@pytest.mark.parametrize(
    ("before", "words"),
    [
        ("sys.version_info = (3, 9, 2)", "needs Python 3.11 or newer"),
        ("sys.modules['numpy'] = None", "numpy is not installed"),
    ],
)
def test_a_python_that_will_not_do_is_said(before, words):
    tried = run(code=f"import sys; {before}; from tapertrig import Angle")
    assert tried.returncode == 1
    assert words in tried.stderr.splitlines()[-1]


def test_the_lessons_are_listed(lessons):
    listed = run("--list", TAPERTRIG_LESSONS=str(lessons))
    assert listed.returncode == 0
    assert listed.stdout.splitlines()[:2] == ["00  00-first", "01  01-second"]
