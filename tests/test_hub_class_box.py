"""The class box on a real JupyterHub of 127.0.0.1: three accounts, and the kit's settings alone."""

from __future__ import annotations

import json
import os
import stat
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from urllib.error import HTTPError
from urllib.request import Request, urlopen

import nbformat
import psutil
import pytest
from running_hub import Hub, NoProxyError, install_proxy, start_hub

from tapertrig.practice.class_book import classbook_of
from tapertrig.practice.record import Entry, Record, load_record, parse_record

pytestmark = pytest.mark.slow

SENT = "Your answers go to your instructors, as those of ada."
# What a school adds: who its instructors are.
GROUP = 'c.JupyterHub.load_groups = {"instructors": {"users": ["grace"]}}'
ANSWERS = {"ada": ("99", "98", "95"), "bob": ("97",)}
# What a learner's Python does in lesson 08 and an instructor's in lesson 09.
ANSWER = """
import sys, time
from tapertrig import panels
from tapertrig.panels.parts.class_box import class_box
panel = panels.practice(topic="dials", seed=8)
panel.name.value = "Ann"
for text in sys.argv[1:]:
    panel.controls["answer"].answer(text)
box = class_box(panel.here)
while box.unsent.exists() and not box.trouble:
    time.sleep(0.05)
print(box.said)
"""
LESSON = (
    "from tapertrig import panels; panel = panels.practice(topic='dials', seed=8)",
    "panel.controls['answer'].answer('96')",
    "import time; time.sleep(3); panel.render(); panel.board.words['rows'][-1][1]",
)
READ = """
from tapertrig import panels
panel = panels.class_picture()
panel.read_box()
print(panel.board.news, *panel.book.learners, sep="; ")
"""


@pytest.fixture(scope="module")
def hub(tmp_path_factory: pytest.TempPathFactory):
    try:
        proxy = install_proxy(tmp_path_factory.mktemp("proxy"))
    except NoProxyError as missing:
        if os.environ.get("CI") == "true":
            raise
        pytest.skip(str(missing))
    lessons = tmp_path_factory.mktemp("lessons")
    cells = [nbformat.v4.new_markdown_cell("# 08 · Box"), *map(nbformat.v4.new_code_cell, LESSON)]
    nbformat.write(nbformat.v4.new_notebook(cells=cells), lessons / "08-box.ipynb")
    folder = tmp_path_factory.mktemp("hub")
    running = start_hub(folder, proxy, GROUP, TAPERTRIG_LESSONS=str(lessons))
    running.start_server("ada")
    yield running
    running.stop()


def environment(hub: Hub, learner: str) -> dict[str, str]:
    return hub.processes(learner)[0].environ()


def ask(hub: Hub, learner: str, page: str, content: bytes | None = None) -> str:
    """What the box answers a learner's own server."""
    given = environment(hub, learner)
    request = Request(f"{given['TAPERTRIG_CLASS_BOX']}/{page}", content)
    request.method = "GET" if content is None else "PUT"
    request.add_header("Authorization", f"token {given['TAPERTRIG_CLASS_BOX_KEY']}")
    with urlopen(request, timeout=20) as answer:
        return answer.read().decode()


def python(hub: Hub, learner: str, code: str, *arguments: str) -> str:
    """Run Python as a learner's kernel would be: with what the hub gave to their server."""
    ran = subprocess.run(
        [sys.executable, "-c", code, *arguments],
        cwd=hub.home(learner) / "tapertrig-lessons",
        env=environment(hub, learner),
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr[-2000:]
    return ran.stdout.strip()


def service(hub: Hub) -> psutil.Process:
    for process in psutil.Process(hub.process.pid).children(recursive=True):
        if "tapertrig.classroom.class_box" in process.cmdline():
            return process
    raise LookupError("no class box runs")


def wait(for_what, seconds: float = 60) -> None:
    end = time.monotonic() + seconds
    while True:
        try:
            if for_what():
                return
        except (OSError, LookupError, psutil.Error):
            pass
        assert time.monotonic() < end, "it did not come"
        time.sleep(0.2)


def test_a_box_stopped_in_mid_class_loses_nothing(hub: Hub):
    assert python(hub, "ada", ANSWER, "99") == SENT
    first = service(hub)
    first.kill()
    told = python(hub, "ada", ANSWER, "98")
    assert told.endswith("Your answers are kept in your folder and sent later.")
    unsent = hub.home("ada") / "tapertrig-lessons" / ".for the class box"
    assert [one.answer for one in load_record(unsent).record.entries] == ["98"]
    # The class goes on arriving while the hub brings its service back, within half a minute.
    for learner in ("bob", "grace"):
        hub.start_server(learner)
    wait(lambda: service(hub).pid != first.pid and ask(hub, "grace", "class"))
    assert python(hub, "ada", ANSWER, "95") == SENT
    assert not unsent.exists()
    own = parse_record(ask(hub, "ada", "answers")).record
    assert tuple(one.answer for one in own.entries) == ANSWERS["ada"]


def test_answers_stand_under_the_login_and_an_instructor_sees_all(hub: Hub):
    python(hub, "bob", ANSWER, *ANSWERS["bob"])
    whole = json.loads(ask(hub, "grace", "class"))
    assert {
        login: tuple(one.answer for one in parse_record(text).record.entries)
        for login, text in whole.items()
    } == ANSWERS
    assert classbook_of(whole).learners == ("Ann (ada)", "Ann (bob)")
    told = python(hub, "grace", READ)
    assert told == "Read 2 learners, 4 answers.; Ann (ada); Ann (bob)"


def test_a_learner_sees_their_own_and_is_refused_the_class(hub: Hub):
    own = parse_record(ask(hub, "bob", "answers")).record
    assert [one.answer for one in own.entries] == ["97"]
    with pytest.raises(HTTPError) as refused:
        ask(hub, "bob", "class")
    assert refused.value.code == 403


def test_an_answer_in_an_open_lesson_goes_there_too(hub: Hub):
    hub.ask("/user/bob/tapertrig/lesson/08", "POST")
    copy = nbformat.read(hub.home("bob") / "tapertrig-lessons" / "08-box.ipynb", 4)
    told = copy.cells[-1].outputs[0]["data"]["text/plain"]
    assert told == "'Your answers go to your instructors, as those of bob.'"
    own = parse_record(ask(hub, "bob", "answers")).record
    assert [one.answer for one in own.entries] == [*ANSWERS["bob"], "96"]


def test_sixty_learners_at_once_each_under_their_own_login(hub: Hub):
    """Sixty accounts, each with a key of its own that the hub made and the box has not seen."""
    address = environment(hub, "ada")["TAPERTRIG_CLASS_BOX"]
    keys = {}
    for number in range(60):
        login = f"learner{number}"
        hub.ask(f"/hub/api/users/{login}", "POST")
        asked = {"scopes": ["custom:tapertrig:keep-answers"]}
        keys[login] = hub.ask(f"/hub/api/users/{login}/tokens", "POST", asked)["token"]

    def send(login: str) -> tuple[list[str], list[str]]:
        entries = tuple(Entry("dials", n, "1", False, (), 1, 2.0) for n in range(1, 21))
        request = Request(f"{address}/answers", Record(entries, "Ann").as_csv().encode())
        request.method = "PUT"
        request.add_header("Authorization", f"token {keys[login]}")
        with urlopen(request, timeout=60) as answer:
            return json.load(answer)["kept"], [entry.identity for entry in entries]

    with ThreadPoolExecutor(60) as pool:
        sent = dict(zip(keys, pool.map(send, keys), strict=True))
    whole = json.loads(ask(hub, "grace", "class"))
    for login, (kept, given) in sent.items():
        there = [one.identity for one in parse_record(whole[login]).record.entries]
        assert kept == given == there


def test_the_key_opens_the_box_and_nothing_else(hub: Hub):
    key = environment(hub, "ada")["TAPERTRIG_CLASS_BOX_KEY"]
    for path in ("/user/ada/api/contents", "/hub/api/users/ada/tokens", "/hub/api/users"):
        request = Request(hub.start + path, headers={"Authorization": f"token {key}"})
        with pytest.raises(HTTPError) as refused:
            urlopen(request, timeout=20)
        assert refused.value.code in (403, 404)


def test_the_service_that_runs_the_class_is_no_instructor(hub: Hub):
    """The token of another service, even one that may do much on the hub, does not open the box."""
    with pytest.raises(HTTPError) as refused:
        hub.ask("/services/class-box/class")
    assert refused.value.code == 403


def test_what_is_kept_is_the_hubs_alone(hub: Hub):
    folder = hub.folder / "class-box"
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert stat.S_IMODE((folder / "answers.sqlite").stat().st_mode) == 0o600
