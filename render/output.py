"""Where results go: names that follow the input, whole files, nothing of others overwritten.

Every file that Midneck writes carries `MARK` in a place its format has for the maker's name; a file
without it is somebody else's and is kept unless forced. A result is written beside its target and
renamed into place, so that a crash leaves the old file.
"""

from __future__ import annotations

import contextlib
import os
import sys
import tempfile
from pathlib import Path
from typing import Final

#: What tells our own files from others.
MARK: Final = "made by Midneck"


class OutputError(OSError):
    """A result has nowhere to go; the message says which file and what to do."""


def target(source: str, suffix: str, out: str | None, many: bool) -> Path:
    """Where the result of `source` goes: beside nothing, in the current folder, unless `out` says.

    `out` is a folder when it exists as one, ends in a slash, or when there are `many` inputs.
    Raises OutputError when `out` is a file and there are many inputs.
    """
    name = Path(source).stem + suffix if source != "-" else f"sheet{suffix}"
    if out is None:
        return Path(name)
    path = Path(out)
    if path.is_dir() or out.endswith(("/", os.sep)):
        return path / name
    if many and path.exists():
        raise OutputError(f"{out} is a file, but there are several sheets: give a folder")
    return path / name if many else path


def write_result(path: Path, data: bytes, force: bool = False) -> None:
    """Write a whole file or nothing; its folder is made when it is missing.

    Raises OutputError when `path` is a folder, or a file that is not ours and not `force`.
    """
    if path.is_dir():
        raise OutputError(f"{path} is a folder: name a file in it, or end it with a slash")
    if not force and path.exists() and not is_ours(path):
        raise OutputError(f"{path} was not made by Midneck: move it away, or add --force")
    path.parent.mkdir(parents=True, exist_ok=True)
    place = Path(os.path.realpath(path))
    try:
        handle, name = tempfile.mkstemp(prefix=f".{place.name[:40]}.", dir=place.parent)
    except OSError as error:
        raise OutputError(f"{path} cannot be written: {error.strerror}") from error
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        Path(name).chmod(_mode(place))
        Path(name).replace(place)
    except BaseException:
        with contextlib.suppress(FileNotFoundError):
            Path(name).unlink()
        raise


def is_ours(path: Path) -> bool:
    """Whether a file carries our mark (an empty file belongs to nobody and counts as ours)."""
    data = path.read_bytes()
    return not data or MARK.encode() in data or MARK.encode("utf-16-be") in data


def write_stdout(data: bytes) -> None:
    """Put bytes on standard output, past any text encoding."""
    sys.stdout.flush()
    sys.stdout.buffer.write(data)
    sys.stdout.buffer.flush()


def _mode(place: Path) -> int:
    """The permissions of the file that is replaced, or those that a new file would get."""
    if place.exists():
        return place.stat().st_mode & 0o777
    umask = os.umask(0)
    os.umask(umask)
    return 0o666 & ~umask
