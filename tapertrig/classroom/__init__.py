"""The classroom: lessons opened live, a school server, and what both need."""

from __future__ import annotations

import sys
from pathlib import Path

HERE = Path(__file__).parent


def jupyter_settings_folder() -> Path:
    """The folder that, named in JUPYTER_CONFIG_PATH, brings the lesson pages and quiet settings.

    The user's own Jupyter settings are neither read from it nor written to it.
    """
    return HERE / "jupyter"


def hub_settings_file() -> Path:
    """The settings file a school's JupyterHub loads with `load_subconfig`."""
    return HERE / "jupyterhub_config.py"


def skip_slow_library() -> None:
    """Keep jsonschema from loading its check of international addresses, before Jupyter starts.

    Loading it takes more than half of the time to start a server, and no schema here has one.
    jsonschema does without it where it is not installed.
    """
    sys.modules.setdefault("rfc3987_syntax", None)
