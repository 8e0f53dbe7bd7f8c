"""One learner's server on a school's JupyterHub: `python -m tapertrig.classroom.learner`.

It runs as the learner, with the learner's rights: it sets the memory limit, makes the folder of
the copies, and becomes the ordinary single-user server. A lesson is copied when it is opened.
"""

from __future__ import annotations

import importlib
import importlib.util
import os
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

from tapertrig.classroom import skip_slow_library, use_jupyter_settings
from tapertrig.classroom.lessons import default_folder


def main() -> None:
    """Prepare, then run the single-user server with the arguments the hub gave."""
    limit_memory(os.environ.get("MEM_LIMIT"))
    folder = Path(os.environ.get("JUPYTERHUB_ROOT_DIR") or default_folder()).expanduser()
    folder.mkdir(parents=True, exist_ok=True)
    use_jupyter_settings()
    skip_slow_library()
    serve = single_user_server()

    # A short path: the name of a socket file holds about a hundred characters.
    with tempfile.TemporaryDirectory(prefix="tapertrig-") as runtime:
        os.environ["JUPYTER_RUNTIME_DIR"] = runtime
        sys.exit(serve())


def single_user_server() -> Callable[[], int | None]:
    """JupyterHub's single-user server, without the hub's own half where it can do without.

    To name one handler in its log it would load all of the hub's pages, and with them the
    database layer: 25 MiB for each learner, never used.
    """
    try:
        _leave_out_hub_pages()
        from jupyterhub.singleuser import main as serve
    except (ImportError, AttributeError):
        for name in [name for name in sys.modules if name.partition(".")[0] == "jupyterhub"]:
            del sys.modules[name]
        from jupyterhub.singleuser import main as serve
    return serve


def _leave_out_hub_pages() -> None:
    hub: Any = importlib.import_module("jupyterhub")
    handlers: Any = ModuleType("jupyterhub.handlers")
    pages: Any = ModuleType("jupyterhub.handlers.pages")
    handlers.__path__ = []
    handlers.pages = pages
    pages.HealthCheckHandler = type("HealthCheckHandler", (), {})
    sys.modules[handlers.__name__], sys.modules[pages.__name__] = handlers, pages
    spec: Any = importlib.util.find_spec("jupyterhub.orm")
    spec.loader = importlib.util.LazyLoader(spec.loader)
    hub.orm = sys.modules[spec.name] = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(hub.orm)


def limit_memory(limit: str | None) -> None:
    """Hold this process and each one it starts to `limit` bytes, where the system can.

    A container or systemd limits all of a learner's processes together, and does it itself; this
    is for the plain spawner, which only tells the limit.
    """
    if not limit:
        return
    try:
        import resource
    except ImportError:
        return
    _, most = resource.getrlimit(resource.RLIMIT_DATA)
    wanted = int(limit)
    if most not in (resource.RLIM_INFINITY, -1):
        wanted = min(wanted, most)
    resource.setrlimit(resource.RLIMIT_DATA, (wanted, most))


if __name__ == "__main__":
    main()
