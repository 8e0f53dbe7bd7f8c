"""The checks at both ends of the library versions allowed: `python tests/oldest_newest.py`.

Makes an environment with the oldest versions that pyproject.toml allows, then one with the newest
that the package index has, and runs pytest in each. Anything after `--` goes to pytest, as in
`python tests/oldest_newest.py oldest -- -m "not browser and not slow"`.
"""

from __future__ import annotations

import argparse
import os
import re
import subprocess
import sys
import tempfile
import tomllib
import venv
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


def check(end: str, pytest_arguments: list[str]) -> int:
    """Install one end in an environment of its own and run pytest there; its exit code."""
    with tempfile.TemporaryDirectory(prefix=f"tapertrig-{end}-") as folder:
        venv.create(folder, with_pip=True)
        python = Path(folder, "Scripts" if os.name == "nt" else "bin", "python")
        install = [python, "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
        tests = ["-r", CHECKOUT / "tests" / "requirements.txt"]
        subprocess.run([*install, "--upgrade", *wanted(end), *tests], check=True)
        subprocess.run([*install, "--no-deps", "-e", CHECKOUT], check=True)
        names = "|".join(re.match(r"[A-Za-z0-9_.-]+", one)[0] for one in dependencies())
        listed = subprocess.run(
            [python, "-m", "pip", "list", "--format=freeze"],
            capture_output=True,
            text=True,
            check=True,
        )
        versions = re.findall(rf"^(?:{names})==.+$", listed.stdout, re.MULTILINE)
        print(f"{end}: {', '.join(versions)}", flush=True)
        ran = subprocess.run([python, "-m", "pytest", *pytest_arguments], cwd=CHECKOUT, check=False)
        return ran.returncode


def main() -> int:
    """Both ends, or the one named; 1 when a check failed."""
    reader = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    reader.add_argument("ends", nargs="*", help="oldest, newest; both when left out")
    arguments = sys.argv[1:]
    cut = arguments.index("--") if "--" in arguments else len(arguments)
    ends = reader.parse_args(arguments[:cut]).ends or list(ENDS)
    if unknown := set(ends) - set(ENDS):
        reader.error(f"{', '.join(sorted(unknown))}: it must be oldest or newest")
    results = {end: check(end, arguments[cut + 1 :]) for end in ends}
    for end, code in results.items():
        print(f"{end}: {'passed' if code == 0 else f'FAILED ({code})'}")
    return 1 if any(results.values()) else 0


if __name__ == "__main__":
    sys.exit(main())
