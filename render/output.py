"""Stamps and atomic writes of result files; files of other programs are not overwritten.

Every file that Midneck writes holds `MARK` in its format's field for the producer; a file without
it is overwritten only with `force`. A result is written to a temporary file in the folder of its
target and renamed, so that a crash leaves the old file; the temporary files of killed runs are
recognised by their names, and a later run removes them.

A stamp identifies the input of a file, so that the file is made again only when the input changes.
It is one line of ASCII, `midneck-sha256:<64 hex digits> <number>/<count>`: a fingerprint of the
source, of all options and of the version, then the number of the file and the count of files of the
result. Writers put it into a text field of their format; it is read by a search through the bytes.
SHA-256 is that of FIPS 180-4.
"""

from __future__ import annotations

import contextlib
import json
import os
import re
import stat
import sys
import tempfile
import time
from collections.abc import Sequence
from hashlib import sha256
from pathlib import Path
from typing import Any, Final

from ..grammar.errors import MidneckError
from ..grammar.foreign_text import HARMFUL
from .version import __version__

#: The text in every file that Midneck writes, except JSON.
MARK: Final = "made by Midneck"
#: The beginning and the end of the name of an unfinished file; the middle is random.
UNFINISHED: Final = (".midneck-", ".part")
#: The beginning of a chart's report or a drill's data, which have no field for the mark.
_DATA: Final = re.compile(rb'\{"schema": |\{"title": .*"practice": \{"repetitions": ')
#: An unfinished file of this age, in seconds, is from a killed run: a write takes far less.
_STALE_S: Final = 600.0


class OutputError(MidneckError, OSError):
    """A result cannot be written; the message says which file and what to do."""


def write_result(path: Path, data: bytes, force: bool = False) -> None:
    """Write a whole file or nothing; a missing folder is made.

    A device or a pipe is written to directly. Raises OutputError when `path` is a folder, when it
    is a file that Midneck did not make and `force` is not set, and when the system refuses.
    """
    if path.is_dir():
        raise OutputError(f"{path} is a folder: name a file in it, or end it with a slash")
    try:
        if _is_special(path):
            path.write_bytes(data)
            return
        if not force and path.exists() and not is_ours(path):
            raise OutputError(f"{path} was not made by Midneck: move it away, or add --force")
        path.parent.mkdir(parents=True, exist_ok=True)
        _replace(Path(os.path.realpath(path)), data)
    except OutputError:
        raise
    except (FileExistsError, NotADirectoryError) as error:
        raise OutputError(f"{path} cannot be written: {error.filename} is no folder") from error
    except OSError as error:
        raise OutputError(f"{path} cannot be written: {_reason(error)}") from error


def write_files(
    path: Path, files: Sequence[tuple[str, bytes]], force: bool = False
) -> tuple[Path, ...]:
    """Write a result of one or several files; gives their paths.

    A single file is written to `path`; several files have the stem of `path` and their own endings.
    Raises OutputError.
    """
    written = []
    for ending, data in files:
        written.append(path.with_name(path.stem + ending) if len(files) > 1 else path)
        write_result(written[-1], data, force)
    return tuple(written)


def is_ours(path: Path) -> bool:
    """Whether Midneck made a file, by its mark or the start of its JSON; True if it is empty."""
    data = path.read_bytes()
    marked = MARK.encode() in data or MARK.encode("utf-16-be") in data
    return not data or marked or _DATA.match(data) is not None


def clear_unfinished(folder: Path) -> None:
    """Remove unfinished files older than `_STALE_S` from a folder; newer ones may be in use."""
    start, end = UNFINISHED
    with contextlib.suppress(OSError), os.scandir(folder) as entries:
        for entry in entries:
            if entry.name.startswith(start) and entry.name.endswith(end):
                with contextlib.suppress(OSError):
                    if time.time() - entry.stat().st_mtime > _STALE_S:
                        Path(entry.path).unlink()


def write_stdout(data: bytes) -> None:
    """Write bytes to standard output, without a text encoding.

    Raises BrokenPipeError when its reader is gone, OutputError when it cannot be written otherwise.
    """
    if sys.stdout is None:
        raise OutputError("standard output is closed")
    try:
        sys.stdout.flush()
        sys.stdout.buffer.write(data)
        sys.stdout.buffer.flush()
    except BrokenPipeError:
        raise
    except OSError as error:
        raise OutputError(f"standard output cannot be written: {_reason(error)}") from error


def json_line(data: dict[str, Any]) -> str:
    """Data as one line of JSON with its line end; harmful characters are escaped."""
    line = json.dumps(data, ensure_ascii=False)
    return HARMFUL.sub(lambda found: json.dumps(found[0])[1:-1], line) + "\n"


def write_only(files: Sequence[tuple[str, bytes]]) -> None:
    """Write a result of one file to standard output. Raises OutputError for several files."""
    if len(files) > 1:
        raise OutputError(f"standard output takes one file, not {len(files)}: name a place with -o")
    write_stdout(files[0][1])


def _replace(path: Path, data: bytes) -> None:
    """Write a temporary file in the folder of the path and rename it to the path."""
    start, end = UNFINISHED
    handle, name = tempfile.mkstemp(prefix=start, suffix=end, dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        Path(name).chmod(_mode(path))
        Path(name).replace(path)
    except BaseException:
        with contextlib.suppress(FileNotFoundError):
            Path(name).unlink()
        raise


def _reason(error: OSError) -> str:
    """The message of the system, in lower case."""
    return (error.strerror or str(error)).lower()


def _is_special(path: Path) -> bool:
    """Whether a path exists and is not a regular file: a device, a pipe, a folder."""
    return path.exists() and not stat.S_ISREG(path.stat().st_mode)


def _mode(path: Path) -> int:
    """The permissions of the file that is replaced, or those that a new file would get."""
    if path.exists():
        return path.stat().st_mode & 0o777
    umask = os.umask(0)
    os.umask(umask)
    return 0o666 & ~umask


_SCHEME: Final = "midneck-sha256:"
_STAMP: Final = re.compile(rb"midneck-sha256:[0-9a-f]{64} [0-9]+/[0-9]+")


def fingerprint(source: bytes, *settings: object) -> str:
    """The fingerprint of a result: a hash of `source` and of the `repr` of the settings.

    The `repr` of plain values and dataclasses of them is the same in every run.
    """
    text = "\n".join([__version__, *map(repr, settings)])
    return sha256(sha256(text.encode()).digest() + source).hexdigest()


def stamp(fingerprint: str, number: int = 1, count: int = 1) -> str:
    """The stamp of the file `number` of `count` with a fingerprint."""
    return f"{_SCHEME}{fingerprint} {number}/{count}"


def is_current(path: Path, fingerprint: str) -> bool:
    """Whether all files of a result exist and have this fingerprint.

    They are `path`, or for several files its name with -1, -2 … before the ending.
    """
    if _stamp_in(path) == stamp(fingerprint):
        return True
    first = numbered(path, 1)
    stamp_text = _stamp_in(first)
    count = int(stamp_text.rpartition("/")[2]) if stamp_text is not None else 0
    return count > 0 and all(
        _stamp_in(numbered(path, number)) == stamp(fingerprint, number, count)
        for number in range(1, count + 1)
    )


def numbered(path: Path, number: int) -> Path:
    """The name of one of several files of a result."""
    return path.with_name(f"{path.stem}-{number}{path.suffix}")


def stale_results(folder: Path, kind: str, stems: set[str]) -> list[Path]:
    """The stamped files of a kind in a folder whose names begin with the stem of no sheet.

    The name of a result is a stem, then words for choices, each after a `_`, or the number of a
    page after a `-`; the practice sheet of a tune is `<stem>-drill`.
    """
    if not folder.is_dir():
        return []
    pages = sorted(path for path in folder.iterdir() if path.suffix == f".{kind}")
    ends = re.compile(r"(_|-drill|-\d+$|$)")
    return [
        page
        for page in pages
        if _stamp_in(page) is not None
        and not any(
            page.stem.startswith(stem) and ends.match(page.stem, len(stem)) for stem in stems
        )
    ]


def _stamp_in(path: Path) -> str | None:
    """The stamp in a file; None if the file does not exist or has no stamp."""
    if not path.is_file():
        return None
    match = _STAMP.search(path.read_bytes())
    return None if match is None else match.group().decode("ascii")
