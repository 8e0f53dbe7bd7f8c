"""Scripts and style sheet of the views, inlined into their widgets; nothing is fetched."""

from pathlib import Path

from tapertrig.printed.page import TEMPLATES

HERE = Path(__file__).parent


def script(*names: str) -> str:
    """The text of a view's script, of several parts in order."""
    return "".join(_text(f"{name}.js") for name in names)


def style_sheet(*names: str) -> str:
    """A style sheet, of several parts in order."""
    return "".join(_text(f"{name}.css") for name in names)


def _text(file: str) -> str:
    # What a handout shares with a panel stands with the pages.
    folder = HERE if (HERE / file).exists() else TEMPLATES
    return (folder / file).read_text(encoding="utf-8")
