"""Time from a slider's message to a drawing ready to send, for every panel, and the plain way.

    python tests/bench/frames.py [--json] [--moves 200] [panel ...]

Ours: the message a browser sends when the main slider moves goes to the control; the time runs
until the marks that change and the words are sent. Plain: the same scene at the same states, with
ordinary text, at 1280 by 720 pixels on a new figure for each move, through
`ipywidgets.interactive` and the PNG that an inline figure makes. Both in one run, in eight turns
each: the frame after a plain picture, which has driven all else out of the processor's caches,
takes half as long again, and no kernel in use makes both.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import json
import statistics
import time
from collections.abc import Iterator
from typing import Any

import ipywidgets
from IPython.core.pylabtools import print_figure

from tapertrig import panels
from tapertrig.panels.parts.panel import Panel

TURNS = 8


def slider_message(value: float) -> dict[str, Any]:
    """What the browser sends when a slider is at a value."""
    update = {"method": "update", "state": {"value": value}, "buffer_paths": []}
    return {"content": {"data": update}, "buffers": []}


def plain_picture(panel: Panel) -> bytes:
    """The panel's present picture on a new figure, with ordinary text, as inline figures are."""
    scene = panel.make_scene("desk")
    scene.show(panel.scene_state(panel.last_state), panel.hiding)
    for label in scene.labels:
        scene.figure.text(
            label.left / scene.style.width,
            label.bottom / scene.style.height,
            label.text,
            color=label.colour,
            fontsize=label.size * 72 / scene.figure.dpi,
            fontweight="bold" if label.bold else "normal",
            visible=label.shown,
        )
    return print_figure(scene.figure, "png", bbox_inches="tight")


def sweep(panel: Panel, moves: int) -> Iterator[float]:
    """Values up and down the main slider, no two neighbours alike, inside what is drawable."""
    control = panel.controls[panel.main]
    last_step = round((control.maximum - control.minimum) / control.step)
    low, high = (part * last_step for part in panel.main_span)
    before = -1
    for index in range(moves):
        part = 2 * index / moves
        part = part if part <= 1 else 2 - part
        step = round(low + part * (high - low))
        if step == before:
            step += 1 if step < last_step else -1
        before = step
        yield control.minimum + step * control.step


def percentile(times: list[float], share: float) -> float:
    """A percentile in milliseconds."""
    return 1000 * statistics.quantiles(times, n=100, method="inclusive")[round(share * 100) - 1]


def measure(name: str, moves: int, plain_moves: int) -> dict[str, Any]:
    """Frame times of one panel, ours and the plain way's, turn about; nothing is printed."""
    with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
        return _measure(name, moves, plain_moves)


def _measure(name: str, moves: int, plain_moves: int) -> dict[str, Any]:
    panel: Panel = getattr(panels, name)(style="desk")
    control = panel.controls[panel.main]
    plain = ipywidgets.interactive(
        lambda **_: plain_picture(panel),
        value=ipywidgets.FloatSlider(min=control.minimum, max=control.maximum),
    )
    times: list[float] = []
    plain_times: list[float] = []
    sent: list[Any] = []
    panel.board.send = lambda message, buffers=None: sent.append(message)
    for index, value in enumerate(sweep(panel, moves)):
        before = panel.board.turn
        start = time.perf_counter()
        control._handle_msg(slider_message(value))
        took = time.perf_counter() - start
        if panel.board.turn == before:
            continue
        times.append(took)
        if index % max(1, moves // TURNS) == 0:
            for _ in range(max(1, plain_moves // TURNS)):
                start = time.perf_counter()
                plain.update()
                plain_times.append(time.perf_counter() - start)
    if len(times) < 0.9 * moves:
        raise SystemExit(f"{name}: only {len(times)} of {moves} moves made a frame")
    return {
        "panel": name,
        "p50_ms": round(percentile(times, 0.50), 2),
        "p95_ms": round(percentile(times, 0.95), 2),
        "bytes": max(len(json.dumps(message, ensure_ascii=False).encode()) for message in sent),
        "plain_p50_ms": round(percentile(plain_times, 0.50), 2),
        "plain_p95_ms": round(percentile(plain_times, 0.95), 2),
    }


def main() -> None:
    """Print a table, or JSON."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("panel", nargs="*", help="panels to time; all of them if none is named")
    parser.add_argument("--json", action="store_true", help="print a list of records")
    parser.add_argument("--moves", type=int, default=200)
    parser.add_argument("--plain-moves", type=int, default=40)
    asked = parser.parse_args()
    names = asked.panel or [
        name for name in panels.__all__ if getattr(getattr(panels, name), "main", "")
    ]
    if asked.json:
        rows = [measure(name, asked.moves, asked.plain_moves) for name in names]
        print(json.dumps(rows, indent=1))
        return
    print(f"{'panel':<22}{'p50 ms':>8}{'p95 ms':>8}{'bytes':>8}{'plain p50':>11}{'p95':>8}{'×':>6}")
    for name in names:
        row = measure(name, asked.moves, asked.plain_moves)
        ratio = row["plain_p95_ms"] / row["p95_ms"]
        print(
            f"{row['panel']:<22}{row['p50_ms']:>8.1f}{row['p95_ms']:>8.1f}{row['bytes']:>8}"
            f"{row['plain_p50_ms']:>11.1f}{row['plain_p95_ms']:>8.1f}{ratio:>6.1f}"
        )


if __name__ == "__main__":
    main()
