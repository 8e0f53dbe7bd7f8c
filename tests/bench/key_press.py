"""Time from a key press to paint in a real Chromium, for every drawing panel, live.

    python tests/bench/key_press.py [--json] [--presses 40] [--plain] [panel ...]

A key is pressed on a slider every 120 ms, as a held arrow key or a drag does it, and the time runs
from the event of the key to the frame that shows what came of it. Three things answer on one page,
turn about: the panel's drawing, the same scene as an inline image, and a text echo of the value.
With --plain all of it is in an ordinary JupyterLab, without the kit's server and its settings.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import statistics
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import nbformat

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests"), str(ROOT / "tests" / "browser")]

from looking import wait_idle  # noqa: E402
from panels_seen import open_folds  # noqa: E402
from running_kit import start_kit, start_lab, stop_kit  # noqa: E402

from tapertrig import panels  # noqa: E402

EVERY = 0.12
ROUNDS = 4
CELLS = (
    "import ipywidgets\nfrom tapertrig import panels",
    "panel = panels.{name}(style='desk')\npanel",
    # The same panel, but each new state goes out as a picture instead of as marks.
    "other = panels.{name}(style='desk')\nimage = ipywidgets.Image(value=other.still()[0])\n"
    "image.add_class('bench-image')\n"
    # Its turn after the picture's end: one like the last would not be sent.
    "def send(message, buffers=None):\n"
    "    image.value = other.picture().png() + str(other.board.turn).encode()\n"
    "other.board.send = send\nslider = other.controls[other.main]\n"
    "slider.add_class('bench-slider')\n"
    "ipywidgets.VBox([slider, image])",
    "echo, text = type(slider)(label='echo', value=slider.value, minimum=slider.minimum, "
    "maximum=slider.maximum, step=slider.step, places=slider.places), ipywidgets.HTML()\n"
    "echo.add_class('bench-slider'), text.add_class('bench-echo')\n"
    "echo.observe(lambda change: setattr(text, 'value', str(change['new'])), names='value')\n"
    "ipywidgets.VBox([echo, text])",
)
WATCH = """([slider, target, what]) => {
    const pressed = [], took = [];
    const seen = () => {
        if (!pressed.length) return;
        const start = pressed.splice(0)[0];
        requestAnimationFrame(() => {
            const painted = new MessageChannel();
            painted.port1.onmessage = () => took.push(performance.now() - start);
            painted.port2.postMessage(0);
        });
    };
    slider.addEventListener('keydown', (event) => pressed.push(event.timeStamp), true);
    if (what === 'image') target.addEventListener('load', () => target.decode().then(seen));
    else new MutationObserver(seen).observe(target,
        what === 'panel' ? {attributes: true, attributeFilter: ['data-turn']}
            : {subtree: true, childList: true, characterData: true});
    slider.took = took;
}"""


def percentile(times: list[float], share: float) -> float:
    """A percentile, in the unit of the times."""
    return round(statistics.quantiles(times, n=100, method="inclusive")[round(100 * share) - 1], 1)


def measure(page: Any, name: str, presses: int) -> dict[str, Any]:
    """Press and look, turn about, on the page of one panel."""
    drawn = page.locator(".tapertrig-panel").first
    label = getattr(panels, name)(style="desk")
    label = label.controls[label.main].label
    ways = {
        "panel": (
            drawn.get_by_role("slider", name=label, exact=True),
            drawn.locator(".tapertrig-board"),
        ),
        "image": (
            page.locator(".bench-slider input[type=range]").first,
            page.locator("img.bench-image, .bench-image img").first,
        ),
        "echo": (
            page.locator(".bench-slider input[type=range]").last,
            page.locator(".bench-echo").first,
        ),
    }
    for what, (slider, target) in ways.items():
        page.evaluate(WATCH, [slider.element_handle(), target.element_handle(), what])
    for _ in range(ROUNDS):
        for slider, target in ways.values():
            target.scroll_into_view_if_needed()
            slider.focus()
            keys = ("ArrowLeft", "ArrowRight")
            first = 1 if slider.evaluate("slider => slider.value === slider.min") else 0
            for index in range(presses // ROUNDS):
                start = time.perf_counter()
                page.keyboard.press(keys[(index + first) % 2])
                time.sleep(max(0.0, EVERY - (time.perf_counter() - start)))
            page.wait_for_timeout(400)
    took = {what: slider.evaluate("slider => slider.took") for what, (slider, _) in ways.items()}
    for what, times in took.items():
        if len(times) < presses // 8:  # an image that cannot keep up answers several at once
            raise SystemExit(f"{name}: only {len(times)} of {presses} presses answered ({what})")
    return {
        "panel": name,
        "p50_ms": percentile(took["panel"], 0.50),
        "p95_ms": percentile(took["panel"], 0.95),
        "echo_p50_ms": percentile(took["echo"], 0.50),
        "image_p50_ms": percentile(took["image"], 0.50),
    }


def write_lessons(folder: Path, names: list[str]) -> None:
    """One lesson a panel."""
    folder.mkdir()
    for number, name in enumerate(names):
        title = nbformat.v4.new_markdown_cell(f"# {number:02} · {name}")
        cells = [nbformat.v4.new_code_cell(text.replace("{name}", name)) for text in CELLS]
        kernel = {"kernelspec": {"name": "python3", "display_name": "Python 3"}}
        book = nbformat.v4.new_notebook(cells=[title, *cells], metadata=kernel)
        nbformat.write(book, folder / lesson_file(number, name))


def lesson_file(number: int, name: str) -> str:
    """The file of one panel's lesson."""
    return f"{number:02}-{name.replace('_', '-')}.ipynb"


def open_plain(page: Any, address: str) -> None:
    """Open a notebook as it is and run all its cells."""
    page.goto(address)
    wait_idle(page)
    page.evaluate("window.jupyterapp.commands.execute('notebook:run-all-cells')")
    page.locator(".bench-echo").wait_for(state="attached")
    page.locator(".tapertrig-drawing text").first.wait_for(state="attached")
    wait_idle(page)


def run(names: list[str], presses: int, plain: bool = False) -> list[dict[str, Any]]:
    """Every panel in turn, each in a lesson of its own."""
    from playwright.sync_api import sync_playwright

    found = []
    chromium = shutil.which("chromium") or shutil.which("google-chrome")
    with tempfile.TemporaryDirectory() as scratch:
        write_lessons(Path(scratch, "lessons"), names)
        os.environ["PYTHONPATH"] = os.pathsep.join([str(ROOT), os.environ.get("PYTHONPATH", "")])
        os.environ["TAPERTRIG_LESSONS"] = str(Path(scratch, "lessons"))
        start, folder = (start_lab, "lessons") if plain else (start_kit, "copies")
        kit = start(Path(scratch, folder), Path(scratch, "settings"))
        try:
            with sync_playwright() as playwright:
                browser = playwright.chromium.launch(
                    executable_path=chromium, args=["--no-sandbox", "--disable-gpu"]
                )
                for number, name in enumerate(names):
                    page = browser.new_page(viewport={"width": 1366, "height": 900})
                    page.set_default_timeout(60_000)
                    if plain:
                        open_plain(
                            page, kit.address(f"/lab/tree/{lesson_file(number, name)}?reset")
                        )
                    else:
                        page.goto(kit.address(f"/tapertrig/lesson/{number:02}"))
                        page.wait_for_url("**/doc/tree/**")
                        wait_idle(page)
                    page.wait_for_timeout(1500)
                    open_folds(page)  # a slider may lie in one
                    found.append(measure(page, name, presses))
                    page.evaluate(
                        """async () => {
                            const open = [...window.jupyterapp.shell.widgets('main')]
                                .find(one => one.sessionContext);
                            await open.sessionContext.shutdown();
                        }"""
                    )
                    page.close()
                browser.close()
        finally:
            stop_kit(kit)
    return found


def main() -> None:
    """Print a table, or JSON alone."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("panel", nargs="*", help="panels to time; all of them if none is named")
    parser.add_argument("--json", action="store_true", help="print a list of records")
    parser.add_argument("--presses", type=int, default=40)
    parser.add_argument(
        "--plain", action="store_true", help="in JupyterLab without the kit's server"
    )
    asked = parser.parse_args()
    names = asked.panel or [
        name for name in panels.__all__ if getattr(getattr(panels, name), "main", "")
    ]
    rows = run(names, asked.presses, asked.plain)
    if asked.json:
        print(json.dumps(rows, indent=1))
        return
    print(
        f"{'panel':<22}{'p50 ms':>8}{'p95 ms':>8}{'echo':>8}{'image':>8}{'of echo':>9}{'image':>7}"
    )
    for row in rows:
        p50, echo, image = row["p50_ms"], row["echo_p50_ms"], row["image_p50_ms"]
        print(
            f"{row['panel']:<22}{p50:>8.1f}{row['p95_ms']:>8.1f}{echo:>8.1f}{image:>8.1f}"
            f"{p50 / echo:>9.2f}{p50 / image:>7.2f}"
        )


if __name__ == "__main__":
    main()
