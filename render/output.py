"""Atomic writes of result files; files of other programs are not overwritten.

Every file that Midneck writes holds a stamp (`stamps.py`); a file without one is overwritten only
with `force`. A result is written to a temporary file in the folder of its target, flushed to the
disk and renamed, so that a crash leaves the old file or the new one. The temporary files of killed
runs are recognised by their names, which hold the machine and the process that writes them, and
the next run that writes into their folder removes them.
"""

from __future__ import annotations

import contextlib
import errno
import os
import re
import select
import stat
import sys
import time
from collections.abc import Iterator, Sequence
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any, Final

from ..grammar.errors import MidneckError
from ..grammar.foreign_text import HARMFUL
from .stamps import is_stamped

#: The beginning and the end of the name of an unfinished file.
UNFINISHED: Final = (".midneck-", ".part")
#: The name of an unfinished file: the machine, the process, a random part.
_UNFINISHED_NAME: Final = re.compile(r"\.midneck-([0-9a-f]{8})-([0-9]{1,9})-[0-9a-f]{8}\.part")
#: An unfinished file of this age, in seconds, is from a killed run: a write takes far less.
_STALE_S: Final = 600.0
#: How long the reader of a pipe may take nothing, in seconds.
_PATIENCE_S: Final = 30.0


class OutputError(MidneckError, OSError):
    """A result cannot be written; the message says which file and what to do."""


def write_result(path: Path, data: bytes, force: bool = False, sync: bool = True) -> None:
    """Write a whole file or nothing; a missing folder is made.

    The data is flushed to the disk before the file gets its name, unless `sync` is false. A device
    or a pipe is written to directly. Raises OutputError when `path` is a folder, when it is a file
    that Midneck did not make and `force` is not set, when it is read-only, when nobody reads the
    pipe, and when the system refuses.
    """
    with _told(path):
        _check_place(path, force)
        if _is_special(path):
            _write_special(path, data)
            return
        path.parent.mkdir(parents=True, exist_ok=True)
        _clear_once(path.parent)
        _replace(Path(os.path.realpath(path)), data, sync)


def write_files(
    path: Path, files: Sequence[tuple[str, bytes]], force: bool = False, sync: bool = True
) -> tuple[Path, ...]:
    """Write a result of one or several files, as `write_result`; gives their paths.

    A single file is written to `path`; several files have the stem of `path` and their own endings.
    None is written when one of them may not be. Raises OutputError.
    """
    places = paths_of(path, [ending for ending, _ in files])
    for place in places:
        with _told(place):
            _check_place(place, force)
    for place, (_, data) in zip(places, files, strict=True):
        write_result(place, data, force, sync)
    return places


def paths_of(path: Path, endings: Sequence[str]) -> tuple[Path, ...]:
    """The paths of the files of a result: `path`, or several with its stem and the endings."""
    if len(endings) == 1:
        return (path,)
    return tuple(path.with_name(path.stem + ending) for ending in endings)


def rewrite(path: Path, data: bytes) -> None:
    """Write a user's own file anew, with its mode and its owner; links to it stay.

    Raises OutputError when the file is read-only, when it has other names (hard links), which
    would keep the old content, when its owner cannot be kept, and when the system refuses.
    """
    with _told(path):
        place = Path(os.path.realpath(path))
        if place.stat().st_nlink > 1:
            raise OutputError(
                f"{path} has other names (hard links), which would keep the old content: "
                "name another place with -o"
            )
        _clear_once(place.parent)
        _replace(place, data, sync=True, same_owner=True)


def clear_unfinished(folder: Path) -> None:
    """Remove the unfinished files of killed runs from a folder; those in use stay.

    Files of processes that run on this machine are in use, files of other machines while they are
    younger than `_STALE_S`.
    """
    start, end = UNFINISHED
    with contextlib.suppress(OSError), os.scandir(folder) as entries:
        for entry in entries:
            if entry.name.startswith(start) and entry.name.endswith(end):
                with contextlib.suppress(OSError):
                    if _is_abandoned(entry):
                        Path(entry.path).unlink()


@cache
def _clear_once(folder: Path) -> None:
    """Clear a folder before the first file that this process writes into it."""
    clear_unfinished(folder)


def _is_abandoned(entry: os.DirEntry[str]) -> bool:
    """Whether the run that wrote an unfinished file has ended. Raises OSError."""
    name = _UNFINISHED_NAME.fullmatch(entry.name)
    if name is not None and name[1] == _machine() and not _is_running(int(name[2])):
        return True
    return time.time() - entry.stat(follow_symlinks=False).st_mtime > _STALE_S


def _is_running(process: int) -> bool:
    """Whether there is a process of this number; True where the system cannot be asked."""
    if os.name != "posix":
        return True
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True
    return True


@cache
def _machine() -> str:
    """A word for this machine, as its folders may be shared with others."""
    name = os.uname().nodename if hasattr(os, "uname") else ""
    return sha256(name.encode()).hexdigest()[:8]


def write_stdout(data: bytes) -> None:
    """Write bytes to standard output, without a text encoding.

    Raises BrokenPipeError when its reader is gone, OutputError when it cannot be written otherwise.
    """
    if not data:
        return
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
    import json  # not for a chart: it takes time to import

    line = json.dumps(data, ensure_ascii=False)
    return HARMFUL.sub(lambda found: json.dumps(found[0])[1:-1], line) + "\n"


def write_only(files: Sequence[tuple[str, bytes]]) -> None:
    """Write a result of one file to standard output. Raises OutputError for several files."""
    if len(files) > 1:
        raise OutputError(f"standard output takes one file, not {len(files)}: name a place with -o")
    write_stdout(files[0][1])


@contextlib.contextmanager
def _told(path: Path) -> Iterator[None]:
    """Raise OutputError with the name of a file for what the system refuses."""
    try:
        yield
    except OutputError:
        raise
    except (FileExistsError, NotADirectoryError) as error:
        raise OutputError(f"{path} cannot be written: {error.filename} is no folder") from error
    except OSError as error:
        raise OutputError(f"{path} cannot be written: {_reason(error)}") from error


def _check_place(path: Path, force: bool) -> None:
    """Check that a result may be written to a path. Raises OutputError, OSError."""
    if path.is_dir():
        raise OutputError(f"{path} is a folder: name a file in it, or end it with a slash")
    if not path.exists() or _is_special(path):
        return
    if not force and not is_stamped(path):
        raise OutputError(f"{path} was not made by Midneck: move it away, or add --force")


def _replace(path: Path, data: bytes, sync: bool, same_owner: bool = False) -> None:
    """Write a temporary file in the folder of the path and rename it to the path.

    A new file gets the permissions that the system gives, another one those of the file that it
    replaces.
    """
    before = path.stat() if path.exists() else None
    if before is not None and not (before.st_mode & 0o222 and os.access(path, os.W_OK)):
        raise OutputError(f"{path} is read-only: make it writable, or name another place")
    start, end = UNFINISHED
    name = path.with_name(f"{start}{_machine()}-{os.getpid()}-{os.urandom(4).hex()}{end}")
    # The system applies the umask, which another thread could not read without changing it.
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    handle = os.open(name, flags, 0o666)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            if sync:
                os.fsync(handle)
        if before is not None:
            _keep_owner(name, path, before, same_owner)
            name.chmod(before.st_mode & 0o777)
        name.replace(path)
    except BaseException:
        with contextlib.suppress(FileNotFoundError):
            name.unlink()
        raise


def _keep_owner(new: Path, path: Path, before: os.stat_result, needed: bool) -> None:
    """Give the `new` file the owner and the group that the one at `path` had `before`.

    Raises OutputError when that is `needed` and not allowed.
    """
    now = new.stat()
    if (now.st_uid, now.st_gid) == (before.st_uid, before.st_gid):
        return
    try:
        os.chown(new, before.st_uid, before.st_gid)
    except OSError as error:
        if needed:
            raise OutputError(
                f"{path} belongs to another user or group, which cannot be kept: "
                "name another place with -o"
            ) from error


def _write_special(path: Path, data: bytes) -> None:
    """Write to a pipe that has a reader, or to a device of characters. Raises OutputError."""
    if os.name != "posix":
        path.write_bytes(data)
        return
    if stat.S_ISBLK(path.stat().st_mode):
        raise OutputError(f"{path} is a disk: name a file")
    try:
        handle = os.open(path, os.O_WRONLY | os.O_NONBLOCK | os.O_NOCTTY)
    except OSError as error:
        if error.errno == errno.ENXIO:
            raise OutputError(f"{path} is a pipe that nobody reads: name a file") from error
        raise
    try:
        left = memoryview(data)
        while left:
            if not select.select([], [handle], [], _PATIENCE_S)[1]:
                raise OutputError(f"{path} cannot be written: its reader takes nothing")
            left = left[os.write(handle, left) :]
    finally:
        os.close(handle)


def _reason(error: OSError) -> str:
    """The message of the system, in lower case."""
    return (error.strerror or str(error)).lower()


def _is_special(path: Path) -> bool:
    """Whether a path exists and is not a regular file: a device, a pipe, a folder."""
    return path.exists() and not stat.S_ISREG(path.stat().st_mode)
