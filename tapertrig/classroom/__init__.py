"""The classroom: lessons opened live, a school server, and what both need."""

from __future__ import annotations

import os
import sys
from pathlib import Path

HERE = Path(__file__).parent


def use_jupyter_settings() -> None:
    """Make the Jupyter started next in this process read the kit's own settings too.

    They bring the lesson pages, the kernel of the lessons, and no news pop-up. The user's own
    Jupyter settings are not written to.
    """
    for variable in ("JUPYTER_CONFIG_PATH", "JUPYTER_PATH"):
        paths = [str(HERE / "jupyter"), os.environ.get(variable, "")]
        os.environ[variable] = os.pathsep.join(filter(None, paths))


def hub_settings_file() -> Path:
    """The settings file a school's JupyterHub loads with `load_subconfig`."""
    return HERE / "jupyterhub_config.py"


def skip_slow_library() -> None:
    """Keep jsonschema from loading its check of international addresses, before Jupyter starts.

    Loading it takes more than half of the time to start a server, and no schema here has one.
    jsonschema does without it where it is not installed.
    """
    # None bars a module; the type of sys.modules does not say so.
    for unused in ("rfc3987_syntax", "isoduration"):
        sys.modules.setdefault(unused, None)  # type: ignore[arg-type]
