"""Scripts and style sheet of the views, inlined into their widgets; nothing is fetched."""

from pathlib import Path

HERE = Path(__file__).parent


def script(name: str) -> str:
    """The text of a view's script."""
    return (HERE / f"{name}.js").read_text(encoding="utf-8")


def style_sheet() -> str:
    """The style sheet that all panels share."""
    return (HERE / "panel.css").read_text(encoding="utf-8")
