"""tapertrig: setting a lathe's compound to an angle its scale cannot show, and proving it."""

from tapertrig.angle import Angle
from tapertrig.cone import Cone
from tapertrig.lathe import Dial, Lathe

__version__ = "0.1.0"
__all__ = ["Angle", "Cone", "Dial", "Lathe"]


def __getattr__(name: str):
    if name == "panels":
        import importlib

        return importlib.import_module("tapertrig.panels")
    raise AttributeError(f"module 'tapertrig' has no attribute {name!r}")
