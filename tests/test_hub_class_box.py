"""The class box on a real JupyterHub of 127.0.0.1: three accounts, and the kit's settings alone."""

from __future__ import annotations

import json
import os
import signal
import stat
import subprocess
import sys
import time
from pathlib import Path
from urllib.error import HTTPError
from urllib.request import Request, urlopen

import psutil
import pytest
from running_hub import Hub, NoProxyError, install_proxy, start_hub

from tapertrig.practice.class_book import classbook_of
from tapertrig.practice.record import parse_record

pytestmark = pytest.mark.slow

# What a school adds: who its instructors are.
GROUP = 'c.JupyterHub.load_groups = {"instructors": {"users": ["grace"]}}'
ANSWERS = {"ada": ("99", "98"), "bob": ("97",)}
# What a learner's Python does in lesson 08 and an instructor's in lesson 09.
ANSWER = """
import sys, time
from tapertrig import panels
panel = panels.practice(topic="dials", seed=8)
panel.name.value = "Ann"
for text in sys.argv[1:]:
    panel.controls["answer"].answer(text)
time.sleep(3)
"""
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
    running = start_hub(tmp_path_factory.mktemp("hub"), proxy, GROUP)
    for learner in (*ANSWERS, "grace"):
        running.start_server(learner)
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


def test_answers_stand_under_the_login_and_an_instructor_sees_all(hub: Hub):
    for learner, texts in ANSWERS.items():
        python(hub, learner, ANSWER, *texts)
    whole = json.loads(ask(hub, "grace", "class"))
    assert {
        login: tuple(one.answer for one in parse_record(text).record.entries)
        for login, text in whole.items()
    } == ANSWERS
    assert classbook_of(whole).learners == ("Ann (ada)", "Ann (bob)")
    told = python(hub, "grace", READ)
    assert told == "Read 2 learners, 3 answers.; Ann (ada); Ann (bob)"


def test_a_learner_sees_their_own_and_is_refused_the_class(hub: Hub):
    own = parse_record(ask(hub, "bob", "answers")).record
    assert [one.answer for one in own.entries] == ["97"]
    with pytest.raises(HTTPError) as refused:
        ask(hub, "bob", "class")
    assert refused.value.code == 403


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


def test_a_box_stopped_in_mid_class_loses_nothing(hub: Hub):
    first = service(hub)
    first.send_signal(signal.SIGSTOP)
    try:
        python(hub, "ada", ANSWER, "90")
    finally:
        first.send_signal(signal.SIGKILL)
    folder: Path = hub.home("ada") / "tapertrig-lessons"
    assert (folder / ".for the class box").exists()
    wait(lambda: service(hub).pid != first.pid and ask(hub, "grace", "class"))
    python(hub, "ada", ANSWER, "91")
    own = parse_record(ask(hub, "ada", "answers")).record
    assert [one.answer for one in own.entries] == [*ANSWERS["ada"], "90", "91"]
    assert not (folder / ".for the class box").exists()
