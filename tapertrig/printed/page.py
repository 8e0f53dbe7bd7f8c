"""Every page of HTML the kit makes: plain values go into a template, and are escaped there.

A template stands in `templates/` and holds a page's layout; `base.html` holds the policy, so that
no page can fetch anything. A value is a text, `Strong` text, or a tuple of both run together;
only what is HTML already, such as a figure made by another template, is `Markup`.
"""

from __future__ import annotations

import base64
import contextlib
import hashlib
import json
import os
import re
import zlib
from collections.abc import Iterable, Sequence
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from markupsafe import Markup, escape

from tapertrig import cautions
from tapertrig.limits import one_of
from tapertrig.saving import readable, write_whole

if TYPE_CHECKING:
    from jinja2 import Environment

TEMPLATES = Path(__file__).with_name("templates")
SHEET_ENDING = " setup sheet.html"
SHEET_SCRIPTS = "reading.js next_tap.js spelled.js setup_sheet.js print.js"
HANDOUT_SCRIPTS = "drawing.js unpack.js handout.js"
RECORD, PRINTING = "inspection record", "print.js"
PAPERS = {"A4": "A4", "Letter": "letter", "any": "auto"}

_RECORD_LINE = re.compile(r'<meta name="tapertrig-record" content="([^"]*)">')
_HEAD_LENGTH = 2000

# What HTML and UTF-8 cannot carry: control characters, lone surrogates, non-characters.
_UNPRINTABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")


class Strong(str):
    """Words that the eye must find: a page shows them bold."""

    __slots__ = ()

    def __html__(self) -> str:
        return f"<strong>{escape(str(self))}</strong>"


Line = str | tuple[str, ...]
Rows = Iterable[Sequence[Line]]


def as_shown(value: object) -> Markup:
    """A value as HTML shows it literally; the parts of a tuple run together without a gap.

    Characters that no page can carry (control characters, lone surrogates) become U+FFFD.
    """
    if isinstance(value, tuple):
        return Markup("").join(map(as_shown, value))
    return Markup(_UNPRINTABLE.sub("\ufffd", escape(value)))


@cache
def _templates() -> Environment:
    # Loaded with the first page: whoever prints nothing need not wait for it.
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    made = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        finalize=as_shown,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    made.filters.update(shorten=shorten, held=held, strong=Strong)
    made.policies["json.dumps_kwargs"] = {"ensure_ascii": False, "separators": (",", ":")}
    made.globals["cautions"] = cautions
    return made


def page(
    name: str, *, title: str, record: str = "", paper: str = "any", script: str = "", **values: Any
) -> str:
    """A whole HTML document: the template of that name with its values, every one of them escaped.

    `paper` asks the printer for A4 or Letter, or leaves it to the printer ("any"); `record` says
    which page this is, so that `save_page` replaces its own kind only; `script` names the files of
    `templates/` that make up the one script the page's policy lets run.
    """
    one_of("paper", paper, tuple(PAPERS))
    code = script_of(script)
    template, size = _templates().get_template(name), PAPERS[paper]
    return template.render(
        title=title, record=record, size=size, script=Markup(code), policy=policy(script), **values
    )


@cache
def script_of(names: str) -> str:
    """The one script that these files of `templates/` make up."""
    return "".join((TEMPLATES / part).read_text(encoding="utf-8") for part in names.split())


def policy(script: str = "") -> str:
    """A page's policy: it can fetch nothing, and run nothing but the script of that name."""
    told = "default-src 'none'; img-src data:; style-src 'unsafe-inline'"
    if script:
        digest = hashlib.sha256(script_of(script).encode()).digest()
        told += f"; script-src 'sha256-{base64.b64encode(digest).decode()}'"
    return told


def block(name: str, *values: Any, **named: Any) -> Markup:
    """One of the blocks of `templates/blocks.html` by itself: a table, a picture, a paragraph."""
    return getattr(_templates().get_template("blocks.html").module, name)(*values, **named)


def held(drawing: str | bytes) -> str:
    """A drawing as a `data:` address, so that the page that shows it is one file.

    `drawing` is SVG text, a `data:image/png;base64,…` string, or the bytes of a PNG; ValueError
    for anything else. It goes in as an image, so that no script or style in it reaches the page.
    """
    kind, body = None, drawing
    if isinstance(body, str) and body.startswith("data:image/png;base64,"):
        with contextlib.suppress(ValueError):
            body = base64.b64decode("".join(body.partition(",")[2].split()), validate=True)
    if isinstance(body, bytes):
        kind = "png" if body.startswith(b"\x89PNG\r\n\x1a\n") else None
    elif re.search(r"<svg[\s>]", body[:4000]):
        kind, body = "svg+xml", body.encode("utf-8", "replace")
    if kind is None or isinstance(body, str):
        raise ValueError(
            f"the drawing begins {drawing[:30]!r}; it must be SVG text, the bytes of a PNG, or a "
            "string that begins data:image/png;base64,"
        )
    return f"data:image/{kind};base64,{base64.b64encode(body).decode()}"


def packed(held: object) -> str:
    """Plain values as deflated JSON in base64, for a page's script to unpack: small, no secret."""
    text = json.dumps(held, ensure_ascii=False, separators=(",", ":"))
    packer = zlib.compressobj(9, wbits=-zlib.MAX_WBITS)
    return base64.b64encode(packer.compress(text.encode()) + packer.flush()).decode()


def shorten(text: str, longest: int) -> str:
    """Text on one line, cut to fit a printed page; the cut shows as “…”."""
    line = " ".join(text.split())
    return line if len(line) <= longest else line[: longest - 1].rstrip() + "…"


def save_page(path: str | os.PathLike[str], text: str, *, replace: bool = False) -> Path:
    """Write a page to a file, whole or not at all; returns where it is.

    An earlier page of the same `record` is replaced. ValueError, with the file untouched, when
    anything else stands there, unless `replace` is True; and when the disk refuses.
    """
    target = Path(path)
    new = not replace and not os.path.lexists(target)
    if not replace and not new:
        mark = _RECORD_LINE.search(text[:_HEAD_LENGTH])
        if not mark or not mark[1] or mark[0] not in _head_of(target):
            raise ValueError(
                f"{target.name} is another page or another file; save under another name, "
                "or say that it shall be replaced"
            )
    return write_whole(target, text, new=new)


def _head_of(target: Path) -> str:
    with readable(f"{target.name} is in the way and"), target.open("rb") as stream:
        return stream.read(_HEAD_LENGTH).decode("utf-8", "replace")
