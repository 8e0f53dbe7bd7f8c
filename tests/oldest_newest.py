"""The checks at both ends of the library versions allowed: `python tests/oldest_newest.py`.

Makes an environment with the oldest versions that pyproject.toml allows, on the oldest Python of
this machine that the kit runs on, then one with the newest that the package index has on each of
its Pythons, and runs pytest in each. A Python without ready-made packages is left out, by name.
Anything after `--` goes to pytest, as in
`python tests/oldest_newest.py oldest -- -m "not browser and not slow"`.
"""

from __future__ import annotations

import argparse
import os
import re
import shutil
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

CHECKOUT = Path(__file__).parents[1]
ENDS = ("oldest", "newest")


def dependencies() -> list[str]:
    """What pyproject.toml says the kit needs."""
    return tomllib.loads((CHECKOUT / "pyproject.toml").read_text())["project"]["dependencies"]


def oldest(dependency: str) -> str:
    """The oldest version a dependency allows: "numpy>=2.0,<3" gives "numpy==2.0.0"."""
    match = re.fullmatch(r"([A-Za-z0-9_.-]+)>=([0-9.]+)(,<[0-9.]+)?", dependency)
    if match is None:
        raise ValueError(f"“{dependency}” names no oldest version; write it as numpy>=2.0,<3")
    version = match[2] if match[2].count(".") >= 2 else f"{match[2]}.0"
    return f"{match[1]}=={version}"


def wanted(end: str) -> list[str]:
    """What to install for one end."""
    return [oldest(one) for one in dependencies()] if end == "oldest" else dependencies()


def pythons() -> list[str]:
    """The Pythons of this machine that the kit runs on, the oldest first."""
    found = [f"python3.{minor}" for minor in range(11, 30) if shutil.which(f"python3.{minor}")]
    works = [
        name for name in found if subprocess.run([name, "-V"], capture_output=True).returncode == 0
    ]
    return works or [sys.executable]


def check(end: str, python: str, pytest_arguments: list[str]) -> int | None:
    """Install one end in an environment of its own and run pytest there; its exit code.

    None where packages would have to be built because nobody made them for this Python.
    """
    with tempfile.TemporaryDirectory(prefix=f"tapertrig-{end}-") as folder:
        subprocess.run([python, "-m", "venv", folder], check=True)
        inside = Path(folder, "Scripts" if os.name == "nt" else "bin", "python")
        install = [inside, "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
        tests = ["-r", CHECKOUT / "tests" / "requirements.txt"]
        ready = ["--upgrade", "--only-binary", ":all:", *wanted(end), *tests]
        if subprocess.run([*install, *ready], check=False).returncode:
            return None
        subprocess.run([*install, "--no-deps", "-e", CHECKOUT], check=True)
        names = "|".join(re.match(r"[A-Za-z0-9_.-]+", one)[0] for one in dependencies())
        listed = subprocess.run(
            [inside, "-m", "pip", "list", "--format=freeze"],
            capture_output=True,
            text=True,
            check=True,
        )
        versions = re.findall(rf"^(?:{names})==.+$", listed.stdout, re.MULTILINE | re.IGNORECASE)
        print(f"{end}, {python}: {', '.join(versions)}", flush=True)
        ran = subprocess.run([inside, "-m", "pytest", *pytest_arguments], cwd=CHECKOUT, check=False)
        return ran.returncode


def main() -> int:
    """Both ends, or the one named; 1 when a check failed or none could be made."""
    reader = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    reader.add_argument("ends", nargs="*", help="oldest, newest; both when left out")
    arguments = sys.argv[1:]
    cut = arguments.index("--") if "--" in arguments else len(arguments)
    ends = reader.parse_args(arguments[:cut]).ends or list(ENDS)
    if unknown := set(ends) - set(ENDS):
        reader.error(f"{', '.join(sorted(unknown))}: it must be oldest or newest")
    here = pythons()
    runs = [(end, python) for end in ends for python in (here[:1] if end == "oldest" else here)]
    results = {run: check(*run, arguments[cut + 1 :]) for run in runs}
    for run, code in results.items():
        said = {None: "no ready-made packages", 0: "passed"}.get(code, f"FAILED ({code})")
        print(f"{', '.join(run)}: {said}")
    made = [code for code in results.values() if code is not None]
    return 1 if any(made) or not made else 0


if __name__ == "__main__":
    sys.exit(main())
