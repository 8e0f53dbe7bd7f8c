"""tapertrig: setting a lathe's compound to an angle its scale cannot show, and proving it."""

import sys

if sys.version_info < (3, 11):  # noqa: UP036 (a checkout can be started with any Python)
    raise ImportError(
        f"tapertrig needs Python 3.11 or newer; this is Python {sys.version.split()[0]} "
        f"({sys.executable})"
    )

try:
    from tapertrig.angle import Angle
    from tapertrig.cone import Cone
    from tapertrig.lathe import Dial, Lathe
except ModuleNotFoundError as missing:
    raise ModuleNotFoundError(
        f"{missing.name} is not installed for this Python ({sys.executable}); install the kit: "
        "python -m pip install -r requirements.txt",
        name=missing.name,
    ) from missing

__version__ = "0.1.0"
__all__ = ["Angle", "Cone", "Dial", "Lathe"]


def __getattr__(name: str):
    if name == "panels":
        import importlib

        return importlib.import_module("tapertrig.panels")
    raise AttributeError(f"module 'tapertrig' has no attribute {name!r}")
