"""One printed page of HTML: the frame, its print style, and the blocks it is built from.

Every block takes plain text and escapes it; what a block returns is `Html` and passes through
the others unchanged. So text from a user is escaped however a page is put together.
"""

from __future__ import annotations

import base64
import html
import os
import re
from collections.abc import Iterable, Sequence
from pathlib import Path

from tapertrig.limits import one_of
from tapertrig.saving import plain_file_name, write_whole

PAPERS = {"A4": "A4", "Letter": "letter", "any": "auto"}

_RECORD = "tapertrig-record"
_RECORD_LINE = re.compile(rf'<meta name="{_RECORD}" content="([^"]*)">')
_HEAD_LENGTH = 2000

# What HTML and UTF-8 cannot carry: control characters, lone surrogates, non-characters.
_UNPRINTABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")

STYLE = """
:root { color-scheme: light; }
* { box-sizing: border-box; }
body { margin: 0; background: #e8e8e8; color: #111;
  font: 8.5pt/1.25 Arial, Helvetica, "Liberation Sans", "Noto Sans", "DejaVu Sans", sans-serif;
  font-size-adjust: 0.519; }
main { width: 190mm; margin: 8mm auto; padding: 8mm; background: #fff; }
header > * { min-width: 0; }
header { display: flex; justify-content: space-between; align-items: flex-end; gap: 6mm;
  border-bottom: 0.5mm solid #111; margin-bottom: 1.6mm; padding-bottom: 0.8mm; }
h1 { font-size: 13pt; line-height: 1.15; margin: 0; }
h2 { font-size: 9.5pt; margin: 1.6mm 0 0.5mm; }
p { margin: 0.6mm 0; }
body { overflow-wrap: anywhere; }
tbody th { white-space: nowrap; }
.aside { font-size: 8pt; text-align: right; max-width: 85mm; }
.columns { display: flex; gap: 5mm; align-items: flex-start; }
.columns > div { flex: 1 1 0; min-width: 0; }
table { border-collapse: collapse; width: calc(100% - 0.3mm); margin: 0.5mm 0; }
caption { text-align: left; font-size: 8pt; padding-bottom: 0.4mm; }
td, th { border: 0.2mm solid #777; padding: 0.2mm 1.2mm; text-align: left; vertical-align: top;
  font-weight: normal; }
thead th { background: #eee; font-size: 8pt; }
td { font-variant-numeric: tabular-nums; }
table.boxes tbody th { height: 6mm; vertical-align: middle; }
ol, ul { margin: 0.4mm 0; padding-left: 5.5mm; }
li { margin: 0.2mm 0; }
figure { margin: 0; text-align: center; }
figure img { display: block; max-width: 100%; max-height: 51mm; margin: 0 auto; }
figcaption { font-size: 8pt; }
.notice { border: 0.4mm solid #111; padding: 0.4mm 1.6mm; margin: 1mm 0; }
.caution { border: 0.5mm solid #111; border-left-width: 3mm; padding: 0.5mm 2mm;
  margin: 1.2mm 0 0; font-size: 8pt; }
.caution p { margin: 0.2mm 0; }
footer { border-top: 0.2mm solid #777; margin-top: 1.2mm; padding-top: 0.4mm; font-size: 7pt; }
.lines { display: -webkit-box; -webkit-box-orient: vertical; overflow: hidden; }
tr, figure, .notice, .caution { break-inside: avoid; }
@media print {
  body { background: #fff; -webkit-print-color-adjust: exact; print-color-adjust: exact; }
  main { width: auto; margin: 0; padding: 0; }
}
"""


class Html(str):
    """Text that is HTML already and must not be escaped again."""

    __slots__ = ()


def escape(text: object) -> Html:
    """Any text as HTML shows it literally; `Html` comes back as it is.

    Characters that no page can carry (control characters, lone surrogates) become U+FFFD.
    """
    if isinstance(text, Html):
        return text
    return Html(html.escape(_UNPRINTABLE.sub("\ufffd", str(text)), quote=True))


def join(*blocks: object) -> Html:
    """Blocks one after another; plain text among them is escaped."""
    return Html("\n".join(escape(block) for block in blocks))


def bold(text: object) -> Html:
    """Text that the eye must find."""
    return Html(f"<strong>{escape(text)}</strong>")


def sentence(*parts: object) -> Html:
    """Parts run together without a gap, for a line that mixes plain and bold text."""
    return Html("".join(escape(part) for part in parts))


def paragraph(text: object) -> Html:
    """A paragraph."""
    return Html(f"<p>{escape(text)}</p>")


def clamp(text: object, lines: int) -> Html:
    """Text that takes at most so many printed lines; what is over is cut with “…”."""
    return Html(f'<div class="lines" style="-webkit-line-clamp: {int(lines)}">{escape(text)}</div>')


def section(title: object, *blocks: object) -> Html:
    """A heading and the blocks under it."""
    return Html(f"<section><h2>{escape(title)}</h2>\n{join(*blocks)}</section>")


def columns(*blocks: object) -> Html:
    """Blocks side by side, all of one width."""
    inner = "".join(f"<div>{escape(block)}</div>" for block in blocks)
    return Html(f'<div class="columns">{inner}</div>')


def numbered(steps: Iterable[object]) -> Html:
    """A numbered procedure."""
    return Html("<ol>" + "".join(f"<li>{escape(step)}</li>" for step in steps) + "</ol>")


def bulleted(points: Iterable[object]) -> Html:
    """A list without order."""
    return Html("<ul>" + "".join(f"<li>{escape(point)}</li>" for point in points) + "</ul>")


def _head(cells: Iterable[object]) -> str:
    inner = "".join(f'<th scope="col">{escape(cell)}</th>' for cell in cells)
    return f"<thead><tr>{inner}</tr></thead>"


def _row(cells: Sequence[object]) -> str:
    inner = "".join(f"<td>{escape(cell)}</td>" for cell in cells[1:])
    return f'<tr><th scope="row">{escape(cells[0])}</th>{inner}</tr>'


def table(
    rows: Iterable[Sequence[object]], head: Sequence[object] = (), caption: object = ""
) -> Html:
    """A table whose first cell in each row names the row."""
    top = f"<caption>{escape(caption)}</caption>" if caption else ""
    if head:
        top += _head(head)
    body = "".join(_row(row) for row in rows)
    return Html(f"<table>{top}<tbody>{body}</tbody></table>")


def boxes(row_names: Iterable[object], head: Sequence[object], caption: object = "") -> Html:
    """Blank boxes to write in: one row a name, the first heading standing over the names."""
    blank = [""] * (len(head) - 1)
    top = f"<caption>{escape(caption)}</caption>" if caption else ""
    body = "".join(_row([name, *blank]) for name in row_names)
    return Html(f'<table class="boxes">{top}{_head(head)}<tbody>{body}</tbody></table>')


def notice(text: object) -> Html:
    """A framed line that must not be missed, such as an assumption or a warning."""
    return Html(f'<p class="notice">{escape(text)}</p>')


def caution(title: object, points: Iterable[object]) -> Html:
    """The safety box: a bold title and its cautions in one run of sentences."""
    return Html(
        f'<div class="caution" role="note"><p>{bold(title)}</p>'
        f"<p>{escape(Html(' '.join(escape(point) for point in points)))}</p></div>"
    )


def picture(drawing: str | bytes, description: object, caption: object = "") -> Html:
    """A drawing held in the page itself, so that the page is one file.

    `drawing` is SVG text, a `data:image/png;base64,…` string, or the bytes of a PNG; ValueError
    for anything else. `description` says in words what it shows, for a reader who cannot see it.
    The drawing goes in as an image, so that no script or style in it reaches the page.
    """
    if isinstance(drawing, bytes):
        kind = "png" if drawing.startswith(b"\x89PNG\r\n\x1a\n") else None
        body = base64.b64encode(drawing).decode()
    elif drawing.startswith("data:image/png;base64,"):
        kind, body = "png", drawing.partition(",")[2].strip()
        if not re.fullmatch(r"[A-Za-z0-9+/=\s]+", body):
            kind = None
    else:
        kind = "svg+xml" if re.search(r"<svg[\s>]", drawing[:4000]) else None
        body = base64.b64encode(drawing.encode("utf-8", "replace")).decode()
    if kind is None:
        shown = drawing[:30] if isinstance(drawing, str) else drawing[:8]
        raise ValueError(
            f"the drawing begins {shown!r}; it must be SVG text, the bytes of a PNG, or a "
            "string that begins data:image/png;base64,"
        )
    words = f"<figcaption>{escape(caption)}</figcaption>" if caption else ""
    return Html(
        f'<figure><img alt="{escape(description)}" src="data:image/{kind};base64,{body}">'
        f"{words}</figure>"
    )


def page(
    title: object,
    *blocks: object,
    aside: object = "",
    footer: object = "",
    paper: str = "any",
    style: str = "",
    record: str = "",
) -> str:
    """A whole HTML document that prints on A4 and on Letter.

    `aside` stands at the right of the title (part, drawing number, date); `paper` asks the
    printer for A4 or Letter, or leaves it to the printer ("any"); `style` is further CSS;
    `record` says which page this is, so that `save_page` replaces its own kind only.
    Nothing in the page can fetch or run anything: its content security policy forbids both.
    """
    one_of("paper", paper, tuple(PAPERS))
    size = f"@page {{ size: {PAPERS[paper]}; margin: 8mm; }}"
    beside = f'<div class="aside">{escape(aside)}</div>' if aside else ""
    bottom = f"<footer>{escape(footer)}</footer>" if footer else ""
    return f"""<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy"
 content="default-src 'none'; img-src data:; style-src 'unsafe-inline'">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="{_RECORD}" content="{escape(record)}">
<title>{escape(title)}</title>
<style>{size}{STYLE}{style}</style>
</head>
<body>
<main>
<header><h1>{clamp(title, 2)}</h1>{beside}</header>
{join(*blocks)}
{bottom}
</main>
</body>
</html>
"""


def page_file_name(text: str) -> str:
    """A page's file name as typed, “.html” added where it has none; a path is refused."""
    return plain_file_name(text, ".html")


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
    try:
        with target.open("rb") as stream:
            return stream.read(_HEAD_LENGTH).decode("utf-8", "replace")
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise ValueError(f"{target.name} is in the way and cannot be read: {reason}") from error
