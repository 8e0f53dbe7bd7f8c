"""A school's JupyterHub with the kit's settings file: real hubs on 127.0.0.1."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path
from urllib.error import HTTPError
from urllib.parse import urlencode
from urllib.request import HTTPCookieProcessor, Request, build_opener, urlopen

import nbformat
import psutil
import pytest
from running_hub import Hub, NoProxyError, install_proxy, start_hub
from traitlets.config import Config

from tapertrig.classroom import hub_settings_file

pytestmark = pytest.mark.slow

BENCH = Path(__file__).parent / "bench" / "classroom.py"
NOBODY = "c.JupyterHub.authenticator_class = 'null'\nc.Authenticator.allow_all = False\n"


@pytest.fixture(scope="module")
def proxy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    try:
        return install_proxy(tmp_path_factory.mktemp("proxy"))
    except NoProxyError as missing:
        if os.environ.get("CI") == "true":
            raise
        pytest.skip(str(missing))


@pytest.fixture(scope="module")
def lessons(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("lessons")
    cells = [
        nbformat.v4.new_markdown_cell("# For the hub"),
        nbformat.v4.new_code_cell("import ipywidgets, os; ipywidgets.IntSlider(3)"),
        nbformat.v4.new_code_cell("bytearray(900 * 2**20) and 'too much'"),
        nbformat.v4.new_code_cell("sorted(k for k in os.environ if k.endswith('_NUM_THREADS'))"),
    ]
    nbformat.write(nbformat.v4.new_notebook(cells=cells), folder / "00-hub.ipynb")
    return folder


@pytest.fixture(scope="module")
def hub(proxy: Path, lessons: Path, tmp_path_factory: pytest.TempPathFactory):
    running = start_hub(
        tmp_path_factory.mktemp("hub"),
        proxy,
        "c.Spawner.mem_limit = '700M'",
        TAPERTRIG_LESSONS=str(lessons),
    )
    running.start_server("ada")
    yield running
    running.stop()


def settings() -> Config:
    """The settings file as JupyterHub reads it."""
    c = Config()
    code = hub_settings_file().read_text(encoding="utf-8")
    exec(compile(code, "jupyterhub_config.py", "exec"), {"get_config": lambda: c})
    return c


def test_by_itself_it_lets_nobody_in_and_answers_here_only():
    c = settings()
    assert c.JupyterHub.authenticator_class == "null"
    assert c.JupyterHub.bind_url == "http://127.0.0.1:8000"
    assert c.JupyterHub.hub_ip == "127.0.0.1"
    assert "Authenticator" not in c
    assert "password" not in json.dumps(c, default=str).lower()


def test_idle_learners_are_ended_and_memory_is_limited():
    c = settings()
    arguments = dict(argument.lstrip("-").split("=") for argument in c.Spawner.args)
    assert int(arguments["MappingKernelManager.cull_idle_timeout"]) == 7200
    assert arguments["MappingKernelManager.cull_connected"] == "True"
    assert int(arguments["ServerApp.shutdown_no_activity_timeout"]) > 0
    assert c.Spawner.mem_limit == "1G"


def test_a_learner_gets_the_lesson_live_in_a_folder_of_their_own(hub: Hub):
    page = hub.ask("/user/ada/tapertrig/lesson/00", "POST")
    assert "url=/user/ada/doc/tree/00-hub.ipynb" in page
    copy = hub.home("ada") / "tapertrig-lessons" / "00-hub.ipynb"
    slider, _, threads = (c.outputs for c in nbformat.read(copy, 4).cells if c.cell_type == "code")
    assert "application/vnd.jupyter.widget-view+json" in slider[0]["data"]
    assert "OPENBLAS_NUM_THREADS" in threads[0]["data"]["text/plain"]
    listed = hub.ask("/user/ada/tapertrig/")
    assert 'action="lesson/00">' in listed
    assert 'action="handout/00">' in listed


def test_a_learner_who_logs_in_opens_a_lesson_by_one_press(hub: Hub):
    """By cookies alone, as a browser does."""
    browser = build_opener(HTTPCookieProcessor())
    browser.addheaders = [("Sec-Fetch-Mode", "navigate"), ("Accept", "text/html")]

    def send(path: str, **form: str) -> str:
        body = urlencode(form).encode() if form else None
        with browser.open(hub.start + path, body, timeout=120) as answer:
            assert "token" not in answer.url
            return answer.read().decode()

    login = re.search(r'name="_xsrf" value="([^"]+)"', send("/hub/login"))[1]
    lessons = send("/hub/login?next=/user/ada/tapertrig/", username="ada", password="", _xsrf=login)
    pressed = re.search(r'name="_xsrf" value="([^"]+)"', lessons)[1]
    opening = "/user/ada/tapertrig/lesson/00"
    with pytest.raises(HTTPError) as refused:
        send(opening, _xsrf="guessed")
    assert refused.value.code == 403
    assert "url=/user/ada/doc/tree/00-hub.ipynb" in send(opening, _xsrf=pressed)


def test_a_learner_cannot_take_all_the_memory(hub: Hub):
    hub.ask("/user/ada/tapertrig/lesson/00", "POST")
    copy = hub.home("ada") / "tapertrig-lessons" / "00-hub.ipynb"
    outputs = [c.outputs for c in nbformat.read(copy, 4).cells if c.cell_type == "code"]
    assert outputs[1][0]["ename"] == "MemoryError"


def test_a_changed_copy_outlives_a_new_server(hub: Hub):
    hub.ask("/user/ada/tapertrig/lesson/00", "POST")
    copy = hub.home("ada") / "tapertrig-lessons" / "00-hub.ipynb"
    notebook = nbformat.read(copy, 4)
    notebook.cells[0].source = "# Ada's words"
    nbformat.write(notebook, copy)
    hub.ask("/hub/api/users/ada/server", "DELETE")
    hub.start_server("ada")
    assert "as you left it" in hub.ask("/user/ada/tapertrig/lesson/00", "POST")
    assert nbformat.read(copy, 4).cells[0].source == "# Ada's words"


def test_one_learner_does_not_reach_another(hub: Hub):
    token = hub.ask("/hub/api/users/bob", "POST") and hub.ask(
        "/hub/api/users/bob/tokens", "POST", {"note": "test"}
    )
    own = Request(f"{hub.start}/hub/api/user", headers={"Authorization": f"token {token['token']}"})
    with urlopen(own, timeout=20) as answer:
        assert json.load(answer)["name"] == "bob"
    request = Request(f"{hub.start}/user/ada/api/contents", headers=own.headers)
    with pytest.raises(HTTPError) as refused:
        urlopen(request, timeout=20)
    assert refused.value.code in (403, 404)


def test_kernels_draw_no_port_that_another_may_draw_too(hub: Hub):
    """Five ports for each of thirty kernels, drawn at random by thirty servers, do collide."""
    hub.ask("/user/ada/tapertrig/lesson/00", "POST")
    commands = [one.cmdline() for one in hub.processes("ada")]
    kernels = [command for command in commands if "tapertrig.classroom.kernel" in command]
    assert kernels
    for command in kernels:
        connection = json.loads(Path(command[command.index("-f") + 1]).read_text())
        assert connection["transport"] == "ipc"
        assert len(connection["ip"]) < 80, "too near the limit of a socket's name"


def test_everything_listens_on_this_machine_only(hub: Hub):
    hub_process = psutil.Process(hub.process.pid)
    addresses = {
        connection.laddr.ip
        for process in [hub_process, *hub_process.children(recursive=True)]
        for connection in process.net_connections()
        if connection.status == psutil.CONN_LISTEN
    }
    assert addresses == {"127.0.0.1"}


def test_nobody_logs_in_before_the_school_chose_how(proxy: Path, tmp_path: Path):
    running = start_hub(tmp_path / "hub", proxy, NOBODY)
    try:
        form = urlencode({"username": "admin", "password": ""}).encode()
        with pytest.raises(HTTPError) as refused:
            urlopen(Request(f"{running.start}/hub/login", data=form), timeout=20)
        assert refused.value.code in (403, 404, 405)
        with pytest.raises(HTTPError) as refused:
            urlopen(f"{running.start}/hub/home", timeout=20)
        assert refused.value.code == 403
    finally:
        running.stop()


def test_the_classroom_benchmark_loses_no_move(proxy: Path):
    """Two learners for three seconds; the real size is run by hand, see DEVELOPERS.md."""
    ran = subprocess.run(
        [sys.executable, BENCH, "--learners", "2", "--seconds", "3", "--json"],
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert ran.returncode == 0, ran.stdout + ran.stderr
    measured = json.loads(ran.stdout)
    assert measured["moves_sent"] == measured["frames"] == 12
    assert measured["moves_lost"] == 0
    assert measured["errors"] == []
    assert 500 < measured["frame_bytes"] <= 3072
    assert 0 < measured["p50_ms"] <= measured["p95_ms"] <= measured["max_ms"]


@pytest.mark.parametrize(
    ("before", "loaded"),
    [
        ("", "False False"),
        ("learner.ModuleType = lambda name: object()", "True True"),
    ],
    ids=["without the hub's own half", "whole, where that half is needed"],
)
def test_a_learners_server_leaves_the_hubs_database_out(before: str, loaded: str):
    code = (
        f"import sys; from tapertrig.classroom import learner; {before}\n"
        "serve = learner.single_user_server()\n"
        "assert callable(serve)\n"
        "print('sqlalchemy.orm' in sys.modules, 'jupyterhub.handlers.base' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=120)
    assert done.stdout.strip() == loaded, done.stderr[-2000:]
