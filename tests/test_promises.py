"""What README.md and DEVELOPERS.md promise is what the checkout holds."""

from __future__ import annotations

import ast
import os
import re
import subprocess
import sys
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest
import yaml
from oldest_newest import dependencies, oldest
from rebuild_notebooks import list_lessons

CHECKOUT = Path(__file__).parents[1]
README = (CHECKOUT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (CHECKOUT / "DEVELOPERS.md").read_text(encoding="utf-8")


def commands(text: str) -> list[str]:
    blocks = re.findall(r"^```\w*\n(.*?)^```", text, re.MULTILINE | re.DOTALL)
    return [line for block in blocks for line in block.splitlines()]


def test_two_commands_each_with_its_windows_form():
    found = [line for line in commands(README) if "venv" in line]
    posix = [line for line in found if line.startswith("python3 ")]
    windows = [line for line in found if line.startswith("py ")]
    assert len(posix) == len(windows) == 2
    for unix, win in zip(posix, windows, strict=True):
        translated = unix.replace("python3 -m", "py -m", 1).replace(" &&", ";")
        assert win == translated.replace(".venv/bin/python", r".venv\Scripts\python")
    assert posix[0].endswith("-m tapertrig")
    assert posix[1].endswith("-m pytest")


def test_continuous_checks_run_the_readme_command():
    script = (CHECKOUT / ".ci" / "run").read_text(encoding="utf-8")
    pattern = re.search(r"grep -m1 -E '(.+?)' README.md", script)[1]
    found = [line for line in README.splitlines() if re.search(pattern, line)]
    assert found == [line for line in commands(README) if line.endswith("-m pytest")][:1]
    assert 'eval "$test_command"' in script
    assert os.access(CHECKOUT / ".ci" / "run", os.X_OK)


def test_the_hooks_before_a_commit_run_what_the_continuous_checks_run():
    script = (CHECKOUT / ".ci" / "run").read_text(encoding="utf-8")
    checks = re.findall(r"^\.venv/bin/(python -m (?!pip).*)$", script, re.MULTILINE)
    repositories = yaml.safe_load((CHECKOUT / ".pre-commit-config.yaml").read_text())["repos"]
    assert [one["repo"] for one in repositories] == ["local"]
    hooks = {hook["entry"]: hook for hook in repositories[0]["hooks"]}
    assert list(hooks) == [*checks, "python -m pytest"]
    assert not any(hook["pass_filenames"] for hook in hooks.values())


def test_every_package_imported_is_declared():
    """Names of packages by the metadata of what is installed; jupyterhub is for schools only."""
    imported = set()
    for path in (CHECKOUT / "tapertrig").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                imported |= {alias.name.split(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and not node.level:
                imported.add(node.module.split(".")[0])
    homes = packages_distributions()
    outside = imported - sys.stdlib_module_names - {"tapertrig", "jupyterhub"}
    needed = {plain(homes[name][0]) for name in outside}
    assert {"numpy", "traitlets", "nbclient"} <= needed
    assert needed <= {plain(re.match(r"[\w.-]+", one)[0]) for one in dependencies()}


def plain(name: str) -> str:
    return name.lower().replace("_", "-")


def test_each_lesson_is_listed_once_and_nothing_else_is():
    listed = re.findall(r"\]\(notebooks/([^)]+)\)", README)
    assert listed == sorted(path.name for path in (CHECKOUT / "notebooks").glob("*.ipynb"))
    assert list_lessons(README) == README, "run: python tests/rebuild_notebooks.py"


@pytest.mark.parametrize("text", [README, DEVELOPERS], ids=["README", "DEVELOPERS"])
def test_every_file_spoken_of_exists(text):
    linked = [target for target in re.findall(r"\]\(([^)#\s]+)", text) if "://" not in target]
    quoted = re.findall(r"`((?:tests|tapertrig|notebooks|images)/[\w./-]+)`", text)
    run = re.findall(r"\bpython (tests/[\w/]+\.py)", text)
    for target in [*linked, *quoted, *run]:
        assert (CHECKOUT / target).exists(), target


def test_the_pins_lie_within_what_the_package_allows():
    pins = dict(
        line.split("==")
        for line in (CHECKOUT / "requirements.txt").read_text().splitlines()
        if "==" in line and not line.startswith("#")
    )
    for dependency in dependencies():
        name, low, high = re.fullmatch(r"([\w-]+)>=([\d.]+),<([\d.]+)", dependency).groups()
        pin = [int(part) for part in pins[name].split(".")]
        assert [int(part) for part in low.split(".")] <= pin
        assert pin < [int(part) for part in high.split(".")]


@pytest.mark.parametrize(
    ("dependency", "version"),
    [("numpy>=2.0,<3", "numpy==2.0.0"), ("ipywidgets>=8.1.5,<9", "ipywidgets==8.1.5")],
)
def test_the_oldest_version_of_a_dependency(dependency, version):
    assert oldest(dependency) == version


def test_a_dependency_without_an_oldest_version_is_refused():
    with pytest.raises(ValueError, match=r"“numpy” names no oldest version"):
        oldest("numpy")


def test_only_the_agreed_folders_stand_at_the_top():
    listed = subprocess.run(
        ["git", "ls-files"], cwd=CHECKOUT, capture_output=True, text=True, check=False
    )
    if listed.returncode:
        pytest.skip("not a git checkout")
    tops = {line.split("/")[0] for line in listed.stdout.splitlines()}
    allowed = {"README.md", "DEVELOPERS.md", "requirements.txt", "pyproject.toml"}
    allowed |= {"notebooks", "tapertrig", "tests", "images"}
    assert {top for top in tops if not top.startswith(".")} <= allowed
