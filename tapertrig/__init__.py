"""tapertrig: setting a lathe's compound to an angle its scale cannot show, and proving it."""

import importlib
import sys
from typing import TYPE_CHECKING

from tapertrig.moved import keep_old_names
from tapertrig.rooms import open_rooms

if sys.version_info < (3, 11):  # noqa: UP036 (a checkout can be started with any Python)
    raise ImportError(
        f"tapertrig needs Python 3.11 or newer; this is Python {sys.version.split()[0]} "
        f"({sys.executable})"
    )

if TYPE_CHECKING:
    from tapertrig.angle import Angle
    from tapertrig.cone import Cone
    from tapertrig.lathe import Dial, Lathe

keep_old_names()
open_rooms()

__version__ = "0.2.0"
__all__ = ["Angle", "Cone", "Dial", "Lathe"]

_HOME_OF = {
    "Angle": "tapertrig.angle",
    "Cone": "tapertrig.cone",
    "Dial": "tapertrig.lathe",
    "Lathe": "tapertrig.lathe",
}


def __getattr__(name: str) -> object:
    """Load a part when it is first asked for: a school's servers never need numpy."""
    home = _HOME_OF.get(name, f"tapertrig.{name}")
    try:
        if name.startswith("_"):
            raise ModuleNotFoundError(name=home)
        module = importlib.import_module(home)
    except ModuleNotFoundError as missing:
        if missing.name == home:
            raise AttributeError(f"module 'tapertrig' has no attribute {name!r}") from None
        raise ModuleNotFoundError(
            f"{missing.name} is not installed for this Python ({sys.executable}); install the "
            "kit: python -m pip install -r requirements.txt",
            name=missing.name,
        ) from missing
    return getattr(module, name) if name in _HOME_OF else module
