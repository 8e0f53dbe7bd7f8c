"""tapertrig: setting a lathe's compound to an angle its scale cannot show, and proving it."""

import sys
from typing import TYPE_CHECKING

if sys.version_info < (3, 11):  # noqa: UP036 (a checkout can be started with any Python)
    raise ImportError(
        f"tapertrig needs Python 3.11 or newer; this is Python {sys.version.split()[0]} "
        f"({sys.executable})"
    )

if TYPE_CHECKING:
    from tapertrig.angle import Angle
    from tapertrig.cone import Cone
    from tapertrig.lathe import Dial, Lathe

__version__ = "0.1.0"
__all__ = ["Angle", "Cone", "Dial", "Lathe"]

_HOME_OF = {
    "Angle": "tapertrig.angle",
    "Cone": "tapertrig.cone",
    "Dial": "tapertrig.lathe",
    "Lathe": "tapertrig.lathe",
}


def __getattr__(name: str):
    """Load a part when it is first asked for: a school's servers never need numpy."""
    import importlib

    if name == "panels":
        return importlib.import_module("tapertrig.panels")
    if name not in _HOME_OF:
        raise AttributeError(f"module 'tapertrig' has no attribute {name!r}")
    try:
        value = getattr(importlib.import_module(_HOME_OF[name]), name)
    except ModuleNotFoundError as missing:
        raise ModuleNotFoundError(
            f"{missing.name} is not installed for this Python ({sys.executable}); install the "
            "kit: python -m pip install -r requirements.txt",
            name=missing.name,
        ) from missing
    globals()[name] = value
    return value
