"""Imports point down only: core, then drawings, then panels, then what starts the lessons."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

import tapertrig

PACKAGE = Path(tapertrig.__file__).parent
MODULES = sorted(PACKAGE.rglob("*.py"))

# A folder of its own floor; every other module belongs to the core.
FLOORS = {"draw": 1, "panels": 2, "classroom": 3, "__main__": 3}
ALLOWED = [
    {"numpy", "filelock"},
    {"numpy", "matplotlib"},
    {"numpy", "matplotlib", "ipywidgets", "anywidget", "traitlets", "IPython"},
]
# Further, for one folder of the core: pages are made by templates.
ALSO_ALLOWED = {"printed": {"jinja2", "markupsafe", "mistune"}}


def _floor(dotted: str) -> int:
    """The floor of tapertrig.x.y; the bare package is the core."""
    parts = dotted.split(".")
    return FLOORS.get(parts[1], 0) if len(parts) > 1 else 0


def _dotted(path: Path) -> str:
    parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def _imports(path: Path) -> set[str]:
    """Everything a module imports anywhere in it, as dotted names."""
    dotted = _dotted(path)
    package = dotted if path.name == "__init__.py" else dotted.rpartition(".")[0]
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                up = package.split(".")[: len(package.split(".")) - node.level + 1]
                base = ".".join([*up, *filter(None, [base])])
            found |= {f"{base}.{alias.name}" for alias in node.names} | {base}
    return found


def _outsiders(path: Path, floor: int) -> set[str]:
    """Imports of one module that its floor does not allow."""
    wrong = set()
    allowed = sys.stdlib_module_names | ALSO_ALLOWED.get(path.parent.name, set())
    if floor < len(ALLOWED):
        allowed |= ALLOWED[floor]
    for name in _imports(path):
        top = name.split(".")[0]
        if top == "tapertrig":
            if _floor(name) > floor:
                wrong.add(name)
        elif floor < len(ALLOWED) and top not in allowed:
            wrong.add(name)
    return wrong


@pytest.mark.parametrize("path", MODULES, ids=_dotted)
def test_imports_point_down_only(path):
    assert _outsiders(path, _floor(_dotted(path))) == set()


def test_the_check_itself_sees_a_wrong_import(tmp_path, monkeypatch):
    # A made-up core module that reaches upwards in each way there is.
    package = tmp_path / "tapertrig"
    package.mkdir()
    path = package / "wrong.py"
    path.write_text(
        "import matplotlib.pyplot\nfrom tapertrig import draw\nfrom .panels import x\n"
        "import numpy, os.path\nfrom . import cone\ndef f():\n    import ipywidgets\n"
    )
    monkeypatch.setattr(sys.modules[__name__], "PACKAGE", package)
    assert _outsiders(path, 0) == {
        "matplotlib.pyplot",
        "tapertrig.draw",
        "tapertrig.panels",
        "tapertrig.panels.x",
        "ipywidgets",
    }


def _modules_after(code: str) -> set[str]:
    run = subprocess.run(
        [sys.executable, "-c", f"{code}\nimport sys\nprint(*sys.modules)"],
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert run.returncode == 0, run.stderr
    return {name.split(".")[0] for name in run.stdout.split()}


HEAVY = {
    "jinja2",
    "matplotlib",
    "ipywidgets",
    "anywidget",
    "IPython",
    "jupyterlab",
    "traitlets",
    "PIL",
}


def test_import_tapertrig_loads_neither_matplotlib_nor_ipywidgets():
    assert _modules_after("import tapertrig") & (HEAVY | {"numpy"}) == set()
    loaded = _modules_after("from tapertrig import Angle, Cone, Dial, Lathe")
    assert "numpy" in loaded
    assert loaded & HEAVY == set()


def test_the_whole_core_loads_neither_matplotlib_nor_ipywidgets():
    core = [_dotted(path) for path in MODULES if _floor(_dotted(path)) == 0]
    assert {"tapertrig.job", "tapertrig.printed.setup_sheet", "tapertrig.demo"} <= set(core)
    assert _modules_after(f"import {', '.join(core)}") & HEAVY == set()


def test_no_module_is_called_by_a_name_that_says_nothing():
    for path in MODULES:
        assert path.stem not in {"utils", "util", "helpers", "helper", "calc", "manager", "data"}
