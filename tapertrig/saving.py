"""Reading a file, and writing one so that it is either whole or not there: never half-written."""

from __future__ import annotations

import contextlib
import glob
import os
import re
import secrets
import shutil
import time
from collections.abc import Iterator
from pathlib import Path

LONGEST_NAME = 120
SECONDS_TO_WRITE = 3600.0
_FORBIDDEN = re.compile(r'[/\\:*?"<>|\x00-\x1f\x7f\ud800-\udfff]')
# Names that Windows keeps for devices, whatever their ending, also with a space before it.
_DEVICES = re.compile(
    r"(con|conin\$|conout\$|prn|aux|nul|com[0-9¹²³]|lpt[0-9¹²³]) *(\..*)?", re.IGNORECASE
)


def plain_file_name(text: str, ending: str) -> str:
    """A file name as typed, with `ending` added where it has none; ValueError for a path.

    Refused: any path, characters or names that some system cannot store, a leading or closing
    point, and names longer than 120 characters.
    """
    name, shown = text.strip(), f"“{text[:60]}”"
    example = f"for example clutch-cup{ending}"
    if not name:
        raise ValueError(f"{shown} is no file name; type one, {example}")
    if _FORBIDDEN.search(name):
        raise ValueError(
            f"{shown} holds a folder or a character that file names cannot have "
            f'(/ \\ : * ? " < > |); type the name alone, {example}'
        )
    if name.startswith(".") or name.endswith(".") or _DEVICES.fullmatch(name):
        raise ValueError(f"{shown} is a name some systems keep for themselves; choose, {example}")
    if not name.lower().endswith(ending.lower()):
        name += ending
    if len(name) > LONGEST_NAME or len(name.encode()) > 240:
        raise ValueError(f"{shown} is too long; {LONGEST_NAME} characters at most, {example}")
    return name


def read_whole(path: str | os.PathLike[str], longest: int, wanted: str) -> bytes:
    """What a file holds, or the first `longest` + 1 bytes of it.

    ValueError when it cannot be read, or is no file at all: `wanted` says what to choose.
    """
    source = Path(path)
    with readable(source.name):
        if source.exists() and not source.is_file():
            raise ValueError(f"{source.name} is no file; choose {wanted}")
        with source.open("rb") as stream:
            return stream.read(longest + 1)


@contextlib.contextmanager
def readable(shown: str) -> Iterator[None]:
    """Whatever the system says against reading is a ValueError in its words."""
    try:
        yield
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise ValueError(f"{shown} cannot be read: {reason}") from error


def write_whole(path: str | os.PathLike[str], content: str, *, new: bool = False) -> Path:
    """Write text (UTF-8) to a file beside the target, flush it to disk, move it into place.

    Who may read the target may read it afterwards, and nobody else. With `new=True` an existing
    target is never replaced. ValueError, in plain words, when the file cannot be written; whatever
    stood there before is then untouched.
    """
    target = Path(os.path.realpath(path))
    part = target.with_name(f".{target.name[:80]}.{secrets.token_hex(6)}.part")
    try:
        with part.open("xb") as stream:
            with contextlib.suppress(FileNotFoundError):
                shutil.copymode(target, part)
            stream.write(content.encode())
            stream.flush()
            os.fsync(stream.fileno())
        if new:
            _move_to_free_name(part, target)
        else:
            os.replace(part, target)
        _flush_folder(target.parent)
        _sweep(target)
    except OSError as error:
        raise ValueError(
            f"{target.name} could not be saved in {target.parent}: {_plain_reason(error)}; "
            "what was there before is untouched"
        ) from error
    finally:
        with contextlib.suppress(OSError):
            part.unlink()
    return target


def _move_to_free_name(part: Path, target: Path) -> None:
    # A hard link fails if the name is taken, even if it was taken a moment ago.
    try:
        os.link(part, target)
    except FileExistsError:
        raise
    except OSError:
        if target.exists():
            raise FileExistsError(target) from None
        os.replace(part, target)


def _sweep(target: Path) -> None:
    # What a machine that lost its power in the middle of a write has left; never a write under way.
    for name in glob.glob(f".{glob.escape(target.name[:80])}.*.part", root_dir=target.parent):
        with contextlib.suppress(OSError):
            if time.time() - (target.parent / name).stat().st_mtime > SECONDS_TO_WRITE:
                (target.parent / name).unlink()


def _flush_folder(folder: Path) -> None:
    # The new name itself must reach the disk; some systems cannot open a folder, and need not.
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _plain_reason(error: OSError) -> str:
    if isinstance(error, FileExistsError):
        return "a file of that name is there already"
    if isinstance(error, FileNotFoundError):
        return "there is no such folder"
    if isinstance(error, PermissionError):
        return "you may not write there (read-only folder or file)"
    return (error.strerror or str(error)).lower()
