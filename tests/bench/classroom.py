"""A class on one JupyterHub: `python tests/bench/classroom.py --learners 30`.

Starts a hub on 127.0.0.1 with the school's settings and a login for tests, gives each learner a
server, opens a lesson live on it, and moves a slider of the lesson's first panel through the
panel's own code: the message a browser sends goes in, the new frame comes back. Prints time to
ready, the time from move to frame, memory, processor time and moves lost. The load client shares
the machine with the server. Network addresses used: 127.0.0.1 only.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import os
import sys
import tempfile
import time
import uuid
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import psutil
from jupyter_server.services.kernels.connection.base import (
    deserialize_msg_from_ws_v1,
    serialize_msg_to_ws_v1,
)
from tornado.httpclient import HTTPRequest
from tornado.websocket import websocket_connect

sys.path.insert(0, str(Path(__file__).parents[1]))

from running_hub import Hub, NoProxyError, install_proxy, start_hub

KERNEL = "tapertrig.classroom.kernel"
MOST_LEARNERS = 60
MOST_SECONDS = 120
SECONDS_FOR_LAST_FRAME = 20
PROTOCOL = "v1.kernel.websocket.jupyter.org"


@dataclass
class Learner:
    """One learner: the way to the kernel, the slider moved, and what came back."""

    name: str
    ready: float = 0.0
    slider: str = ""
    low: float = 0.0
    high: float = 1.0
    board: str = ""
    session: str = field(default_factory=lambda: uuid.uuid4().hex)
    socket: Any = None
    waiting: list[float] = field(default_factory=list)
    took: list[float] = field(default_factory=list)
    frame_bytes: int = 0
    sent: int = 0
    errors: list[str] = field(default_factory=list)

    def message(self, kind: str, content: dict[str, Any], **metadata: str) -> bytes:
        """A message to the kernel, as a browser writes it."""
        header = {
            "msg_id": uuid.uuid4().hex,
            "session": self.session,
            "username": self.name,
            "date": "2000-01-01T00:00:00Z",
            "msg_type": kind,
            "version": "5.3",
        }
        whole = {"header": header, "parent_header": {}, "metadata": metadata, "content": content}
        return serialize_msg_to_ws_v1(whole, "shell", pack=lambda part: json.dumps(part).encode())

    async def connect(self, hub: Hub, kernel: str) -> None:
        """Join the kernel of the open lesson and find the slider and the board of a panel."""
        address = f"{hub.start}/user/{self.name}/api/kernels/{kernel}/channels"
        request = HTTPRequest(
            f"{address.replace('http', 'ws', 1)}?session_id={self.session}",
            headers={"Authorization": f"token {hub.token}"},
            request_timeout=60,
        )
        self.socket = await websocket_connect(request, subprotocols=[PROTOCOL])
        comm = uuid.uuid4().hex
        opening = {"comm_id": comm, "target_name": "jupyter.widget.control", "data": {}}
        await self.socket.write_message(
            self.message("comm_open", opening, version="1.0.0"), binary=True
        )
        asking = {"comm_id": comm, "data": {"method": "request_states"}}
        await self.socket.write_message(self.message("comm_msg", asking), binary=True)
        while True:
            kind, content = await self.read(60)
            data = content.get("data", {})
            if kind == "comm_msg" and data.get("method") == "update_states":
                break
        states = {model: entry["state"] for model, entry in data["states"].items()}
        boards = [model for model, state in states.items() if "whole" in state]
        sliders = [
            (model, state)
            for model, state in states.items()
            if {"value", "minimum", "maximum", "step"} <= set(state) and not state["disabled"]
        ]
        if not boards or not sliders:
            raise RuntimeError("the lesson shows no panel with a slider")
        self.board = boards[0]
        self.slider, state = sliders[0]
        span = state["maximum"] - state["minimum"]
        self.low = state["minimum"] + 0.3 * span
        self.high = state["minimum"] + 0.6 * span

    async def read(self, seconds: float) -> tuple[str, dict[str, Any]]:
        """The next message: its kind, its content."""
        raw = await asyncio.wait_for(self.socket.read_message(), seconds)
        if raw is None:
            raise ConnectionError("the kernel's connection closed")
        _, parts = deserialize_msg_from_ws_v1(raw)
        kind = json.loads(parts[0])["msg_type"]
        wanted = kind in ("comm_msg", "error", "stream")
        return kind, json.loads(parts[3]) if wanted else {}

    async def listen(self) -> None:
        """Take frames until cancelled; each answers the oldest move still waiting."""
        while True:
            kind, content = await self.read(600)
            now = time.perf_counter()
            if kind == "error":
                self.errors.append(f"{content.get('ename')}: {content.get('evalue')}")
            elif kind == "comm_msg" and content["comm_id"] == self.board:
                data = content["data"]
                if data.get("method") == "custom" and "marks" in data["content"]:
                    self.frame_bytes = len(json.dumps(data["content"], ensure_ascii=False).encode())
                    if self.waiting:
                        self.took.append(now - self.waiting.pop(0))
                    else:
                        self.errors.append("a frame nobody asked for")
                if data.get("method") == "update" and data["state"].get("notice"):
                    self.errors.append(data["state"]["notice"])

    async def move(self, rate: float, seconds: float, first: float) -> None:
        """Move the slider `rate` times a second, evenly, whatever comes back."""
        begun = time.perf_counter() + first
        for count in range(round(rate * seconds)):
            await asyncio.sleep(max(0.0, begun + count / rate - time.perf_counter()))
            part = (count % 20) / 20
            value = self.low + (self.high - self.low) * part
            change = {"method": "update", "state": {"value": value}, "buffer_paths": []}
            self.waiting.append(time.perf_counter())
            self.sent += 1
            content = {"comm_id": self.slider, "data": change}
            await self.socket.write_message(self.message("comm_msg", content), binary=True)
        end = time.perf_counter() + SECONDS_FOR_LAST_FRAME
        while self.waiting and time.perf_counter() < end:
            await asyncio.sleep(0.05)


def get_ready(hub: Hub, learner: Learner, lesson: str) -> str:
    """Start a learner's server and open the lesson live; the id of its kernel."""
    begun = time.perf_counter()
    hub.start_server(learner.name)
    page = hub.ask(f"/user/{learner.name}/tapertrig/lesson/{lesson}", "POST", seconds=300)
    if "Open the lesson" not in page:
        said = page.partition("<main>")[2]
        raise RuntimeError(f"{learner.name}: the lesson did not open: {said[-800:]}")
    sessions = hub.ask(f"/user/{learner.name}/api/sessions")
    learner.ready = time.perf_counter() - begun
    return sessions[0]["kernel"]["id"]


def processor_seconds(hub: Hub, learners: list[Learner]) -> dict[str, float]:
    """Processor time used so far, by who used it."""
    spent = {"load client": sum(psutil.Process().cpu_times()[:2])}
    own = {process.pid for learner in learners for process in hub.processes(learner.name)}
    hub_process = psutil.Process(hub.process.pid)
    for process in [hub_process, *hub_process.children(recursive=True)]:
        try:
            command = process.cmdline()
            used = sum(process.cpu_times()[:2])
        except psutil.Error:
            continue
        who = "hub and proxy"
        if process.pid in own:
            who = "kernels" if KERNEL in command else "learners' servers"
        spent[who] = spent.get(who, 0.0) + used
    return spent


def memory_mebibytes(hub: Hub, learner: Learner) -> dict[str, float]:
    """Memory of a learner's server and kernel, shared pages counted in proportion."""
    taken = {"server": 0.0, "kernel": 0.0}
    for process in hub.processes(learner.name):
        kind = "kernel" if KERNEL in process.cmdline() else "server"
        taken[kind] += process.memory_full_info().pss / 2**20
    return taken


def percentile(values: list[float], part: float) -> float:
    """The value below which `part` of the values lie; nan when there are none."""
    if not values:
        return float("nan")
    return sorted(values)[min(len(values) - 1, int(part * len(values)))]


async def drive(
    hub: Hub, learners: list[Learner], kernels: list[str], rate: float, seconds: float
) -> None:
    """Connect all learners, then let all move at once, evenly out of step."""
    await asyncio.gather(
        *(learner.connect(hub, kernel) for learner, kernel in zip(learners, kernels, strict=True))
    )
    listening = [asyncio.create_task(learner.listen()) for learner in learners]
    await asyncio.gather(
        *(
            learner.move(rate, seconds, first=index / (rate * len(learners)))
            for index, learner in enumerate(learners)
        )
    )
    for learner, task in zip(learners, listening, strict=True):
        if task.done() and task.exception():
            learner.errors.append(repr(task.exception()))
        task.cancel()
        learner.socket.close()


def measure(count: int, lesson: str, seconds: float, rate: float, folder: Path) -> dict[str, Any]:
    """Run a class of `count` learners and return what was measured."""
    own = {name: os.environ[name] for name in ("TAPERTRIG_LESSONS",) if name in os.environ}
    proxy = install_proxy(folder / "proxy")
    hub = start_hub(folder / "hub", proxy, **own)
    try:
        learners = [Learner(f"learner-{number:02d}") for number in range(1, count + 1)]
        begun = time.perf_counter()
        with ThreadPoolExecutor(count) as pool:
            kernels = list(pool.map(lambda one: get_ready(hub, one, lesson), learners))
        all_ready = time.perf_counter() - begun
        before = processor_seconds(hub, learners)
        begun = time.perf_counter()
        asyncio.run(drive(hub, learners, kernels, rate, seconds))
        lasted = time.perf_counter() - begun
        after = processor_seconds(hub, learners)
        memory = [memory_mebibytes(hub, learner) for learner in learners]
    finally:
        hub.stop()
    took = [1000 * value for learner in learners for value in learner.took]
    ready = [learner.ready for learner in learners]
    return {
        "learners": count,
        "lesson": lesson,
        "moves_a_second_each": rate,
        "seconds": round(lasted, 1),
        "ready_p50_s": round(percentile(ready, 0.5), 1),
        "ready_all_s": round(all_ready, 1),
        "moves_sent": sum(learner.sent for learner in learners),
        "frames": len(took),
        "moves_lost": sum(learner.sent for learner in learners) - len(took),
        "errors": [f"{one.name}: {error}" for one in learners for error in one.errors],
        "p50_ms": round(percentile(took, 0.5), 1),
        "p95_ms": round(percentile(took, 0.95), 1),
        "max_ms": round(max(took, default=float("nan")), 1),
        "frame_bytes": max(learner.frame_bytes for learner in learners),
        "server_mib": round(percentile([one["server"] for one in memory], 0.5), 1),
        "kernel_mib": round(percentile([one["kernel"] for one in memory], 0.5), 1),
        "learner_mib_p50": round(percentile([sum(one.values()) for one in memory], 0.5), 1),
        "learner_mib_max": round(max(sum(one.values()) for one in memory), 1),
        "processor_share": {
            who: round((after[who] - before.get(who, 0.0)) / (lasted * psutil.cpu_count()), 3)
            for who in sorted(after)
        },
    }


def main() -> int:
    """Measure as the arguments say; 1 when a move was lost or something failed."""
    reader = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    reader.add_argument("--learners", type=int, default=30)
    reader.add_argument("--lesson", default="03")
    reader.add_argument("--seconds", type=float, default=30)
    reader.add_argument("--rate", type=float, default=2, help="moves a second of each learner")
    reader.add_argument("--json", action="store_true")
    asked = reader.parse_args()
    if not 1 <= asked.learners <= MOST_LEARNERS or not 0 < asked.seconds <= MOST_SECONDS:
        reader.error(f"at most {MOST_LEARNERS} learners and {MOST_SECONDS} seconds")
    try:
        with tempfile.TemporaryDirectory(prefix="tapertrig-class-") as folder:
            measured = measure(
                asked.learners, asked.lesson, asked.seconds, asked.rate, Path(folder)
            )
    except NoProxyError as missing:
        print(missing, file=sys.stderr)
        return 1
    if asked.json:
        print(json.dumps(measured))
    else:
        for name, value in measured.items():
            print(f"{name:20} {value}")
    return 1 if measured["moves_lost"] or measured["errors"] else 0


if __name__ == "__main__":
    sys.exit(main())
