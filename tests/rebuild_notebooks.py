"""Run every lesson on a clean kernel and store what it showed: `python tests/rebuild_notebooks.py`.

With names (`04` or a path), only those. The list of lessons in README.md follows. Committed
notebooks are always the outcome of this command, so that a reader without Python sees the lesson
and the checks have text to compare.
"""

from __future__ import annotations

import re
import sys
import time
from pathlib import Path

import nbformat
from nbclient import NotebookClient

NOTEBOOKS = Path(__file__).parents[1] / "notebooks"
README = NOTEBOOKS.parent / "README.md"
TABLE = "| | lesson |\n| --- | --- |\n"
KERNELSPEC = {"display_name": "Python 3", "language": "python", "name": "python3"}
WIDGET_VIEW = "application/vnd.jupyter.widget-view+json"
SECONDS_PER_CELL = 120


def rebuild(notebook: nbformat.NotebookNode, folder: Path) -> nbformat.NotebookNode:
    """A clean run of the notebook, kept free of everything that differs from run to run.

    Widget views go because their model numbers are drawn anew each time and point at a kernel
    that is gone; a panel's picture and sentence stay. Raises when a cell raises.
    """
    for cell in notebook.cells:
        cell.metadata = _lasting(cell.metadata)
        if cell.cell_type == "code":
            cell.metadata["jupyter"] = {"source_hidden": True}
    NotebookClient(
        notebook,
        timeout=SECONDS_PER_CELL,
        kernel_name="python3",
        store_widget_state=False,
        record_timing=False,
        resources={"metadata": {"path": str(folder)}},
    ).execute()
    for cell in notebook.cells:
        if cell.cell_type == "code":
            cell.outputs = [_without_view(output) for output in cell.outputs]
    notebook.metadata = nbformat.from_dict(
        {"kernelspec": KERNELSPEC, "language_info": {"name": "python"}}
    )
    for index, cell in enumerate(notebook.cells):
        cell.id = f"{cell.cell_type}-{index:02d}"
    notebook.nbformat, notebook.nbformat_minor = 4, 5
    nbformat.validate(notebook)
    return notebook


def _lasting(metadata: dict) -> dict:
    return nbformat.from_dict({key: metadata[key] for key in ("tags",) if key in metadata})


def _without_view(output: nbformat.NotebookNode) -> nbformat.NotebookNode:
    output.get("data", {}).pop(WIDGET_VIEW, None)
    return output


def write(notebook: nbformat.NotebookNode, path: Path) -> bool:
    """Write the notebook if it differs from the file; whether it did."""
    text = nbformat.writes(notebook, version=nbformat.NO_CONVERT).rstrip("\n") + "\n"
    if path.exists() and path.read_text(encoding="utf-8") == text:
        return False
    path.write_text(text, encoding="utf-8", newline="\n")
    return True


def list_lessons(readme: str) -> str:
    """The README with its table of lessons as the notebooks are."""
    rows = []
    for path in sorted(NOTEBOOKS.glob("*.ipynb")):
        title = nbformat.read(path, as_version=4).cells[0].source.splitlines()[0]
        number, words = re.fullmatch(r"# (\d\d) · (.+)", title).groups()
        rows.append(f"| {number} | [{words}](notebooks/{path.name}) |\n")
    before, rest = readme.split(TABLE)
    return before + TABLE + "".join(rows) + re.sub(r"\A(\|.*\n)*", "", rest)


def main(names: list[str]) -> int:
    """Rebuild the notebooks named, or all; 1 when one of them raised."""
    paths = [_path(name) for name in names] or sorted(NOTEBOOKS.glob("*.ipynb"))
    failed = []
    for path in paths:
        begun = time.perf_counter()
        try:
            changed = write(rebuild(nbformat.read(path, as_version=4), path.parent), path)
        except Exception as error:
            failed.append(path.name)
            print(f"{path.name}: FAILED\n{error}", file=sys.stderr)
            continue
        word = "changed" if changed else "same"
        print(f"{path.name}: {word} ({time.perf_counter() - begun:.1f} s)", flush=True)
    README.write_text(list_lessons(README.read_text(encoding="utf-8")), encoding="utf-8")
    if failed:
        print(f"not rebuilt: {', '.join(failed)}", file=sys.stderr)
    return 1 if failed else 0


def _path(name: str) -> Path:
    if re.fullmatch(r"\d{1,2}", name):
        found = sorted(NOTEBOOKS.glob(f"{name.zfill(2)}-*.ipynb"))
        if not found:
            raise SystemExit(f"there is no notebook {name} in {NOTEBOOKS}")
        return found[0]
    return Path(name)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
