"""A JupyterHub with the school's settings on 127.0.0.1, for tests: made, asked and ended.

The authenticator is for tests only. The proxy is installed from npm into a folder of its own.
"""

from __future__ import annotations

import json
import os
import secrets
import shutil
import socket
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.error import HTTPError, URLError
from urllib.request import Request, urlopen

import psutil

PROXY = "configurable-http-proxy@5.3.0"

# What a school's own file would say, with a login for tests and everything inside one folder.
SCHOOL = """
load_subconfig({settings!r})
c.JupyterHub.bind_url = "http://127.0.0.1:{port}"
c.JupyterHub.hub_port = {hub_port}
c.JupyterHub.db_url = "sqlite:///{folder}/hub.sqlite"
c.JupyterHub.cookie_secret_file = "{folder}/cookie-secret"
c.JupyterHub.log_level = "WARN"
c.ConfigurableHTTPProxy.command = [{proxy!r}]
c.ConfigurableHTTPProxy.api_url = "http://127.0.0.1:{proxy_port}"
c.ConfigurableHTTPProxy.pid_file = "{folder}/proxy.pid"
c.JupyterHub.authenticator_class = "dummy"
c.Authenticator.allow_all = True
c.JupyterHub.spawner_class = "simple"
c.SimpleLocalProcessSpawner.home_dir_template = "{folder}/homes/{{username}}"
c.Spawner.environment.update({environment!r})
if {as_root!r}:
    c.Spawner.args.append("--allow-root")
c.JupyterHub.services[0]["url"] = "http://127.0.0.1:{box_port}"
c.JupyterHub.services += [{{"name": "class", "api_token": "{token}"}}]
c.JupyterHub.load_roles += [{{
    "name": "class",
    "services": ["class"],
    "scopes": ["admin:users", "admin:servers", "access:servers", "tokens"],
}}]
{more}
"""


class NoProxyError(RuntimeError):
    """npm, or the proxy it should bring, is not to be had."""


def install_proxy(folder: Path) -> Path:
    """Install the hub's proxy by npm into `folder`; the path of its command."""
    command = folder / "node_modules" / ".bin" / "configurable-http-proxy"
    if command.exists():
        return command
    npm = shutil.which("npm")
    if npm is None:
        raise NoProxyError("npm is missing; the hub's proxy comes from it: apt install nodejs npm")
    folder.mkdir(parents=True, exist_ok=True)
    made = subprocess.run(
        [npm, "install", "--prefix", str(folder), "--no-audit", "--no-fund", PROXY],
        capture_output=True,
        text=True,
        check=False,
    )
    if made.returncode or not command.exists():
        raise NoProxyError(f"npm could not install {PROXY}:\n{made.stderr[-2000:]}")
    return command


@dataclass
class Hub:
    """A running hub: where it answers, the token of its test service, its processes."""

    start: str
    token: str
    folder: Path
    process: subprocess.Popen

    def ask(self, path: str, method: str = "GET", body: Any = None, seconds: float = 120) -> Any:
        """Ask the hub or a learner's server; the answer as JSON, or as text when it is none."""
        request = Request(self.start + path, method=method)
        request.add_header("Authorization", f"token {self.token}")
        if body is not None:
            request.data = json.dumps(body).encode()
            request.add_header("Content-Type", "application/json")
        with urlopen(request, timeout=seconds) as answer:
            text = answer.read().decode()
        try:
            return json.loads(text)
        except ValueError:
            return text

    def home(self, learner: str) -> Path:
        """A learner's home folder."""
        return self.folder / "homes" / learner

    def start_server(self, learner: str, seconds: float = 240) -> None:
        """Make a learner, start the server, wait until it is ready; retries a busy hub."""
        end = time.monotonic() + seconds
        try:
            self.ask(f"/hub/api/users/{learner}", "POST")
        except HTTPError as known:
            if known.code != 409:
                raise
        while True:
            try:
                self.ask(f"/hub/api/users/{learner}/server", "POST")
                break
            except HTTPError as refused:
                if refused.code != 429 or time.monotonic() > end:
                    raise
                time.sleep(1)
        while time.monotonic() < end:
            servers = self.ask(f"/hub/api/users/{learner}")["servers"]
            if servers.get("", {}).get("ready"):
                return
            if not servers:
                raise RuntimeError(f"the server of {learner} did not start")
            time.sleep(0.25)
        raise TimeoutError(f"the server of {learner} was not ready within {seconds} s")

    def processes(self, learner: str) -> list[psutil.Process]:
        """A learner's processes: the server and its kernels."""
        found = []
        for process in psutil.Process(self.process.pid).children(recursive=True):
            try:
                if process.environ().get("JUPYTERHUB_USER") == learner:
                    found.append(process)
            except psutil.Error:
                continue
        return found

    def stop(self) -> None:
        """End the hub and everything it started."""
        started = psutil.Process(self.process.pid).children(recursive=True)
        self.process.terminate()
        try:
            self.process.wait(60)
        except subprocess.TimeoutExpired:
            self.process.kill()
        _, alive = psutil.wait_procs(started, timeout=20)
        for process in alive:
            process.kill()


def start_hub(
    folder: Path, proxy: Path, more: str = "", seconds: float = 60, **environment: str
) -> Hub:
    """Start a hub with the kit's settings file and wait until it answers."""
    from tapertrig.classroom import hub_settings_file

    folder.mkdir(parents=True, exist_ok=True)
    port, hub_port, proxy_port, box_port = _free_ports(4)
    token = secrets.token_hex(24)
    settings = folder / "jupyterhub_config.py"
    settings.write_text(
        SCHOOL.format(
            settings=str(hub_settings_file()),
            port=port,
            hub_port=hub_port,
            proxy_port=proxy_port,
            box_port=box_port,
            folder=folder,
            proxy=str(proxy),
            token=token,
            environment=environment,
            as_root=hasattr(os, "geteuid") and os.geteuid() == 0,
            more=more,
        ),
        encoding="utf-8",
    )
    with (folder / "hub.log").open("w") as log:
        process = subprocess.Popen(
            [sys.executable, "-m", "jupyterhub", "-f", str(settings)],
            cwd=folder,
            stdin=subprocess.DEVNULL,
            stdout=log,
            stderr=subprocess.STDOUT,
            env={**os.environ, "CONFIGPROXY_AUTH_TOKEN": secrets.token_hex(24)},
        )
    hub = Hub(f"http://127.0.0.1:{port}", token, folder, process)
    end = time.monotonic() + seconds
    while time.monotonic() < end and process.poll() is None:
        try:
            hub.ask("/hub/api/", seconds=2)
            return hub
        except (URLError, OSError):
            time.sleep(0.2)
    hub_log = (folder / "hub.log").read_text()[-3000:]
    if process.poll() is None:
        hub.stop()
    raise RuntimeError(f"the hub did not answer:\n{hub_log}")


def _free_ports(count: int) -> list[int]:
    listeners = [socket.socket() for _ in range(count)]
    for listener in listeners:
        listener.bind(("127.0.0.1", 0))
    ports = [listener.getsockname()[1] for listener in listeners]
    for listener in listeners:
        listener.close()
    return ports
