"""Files that are read: opened so that nothing waits for a pipe or reads a device without end."""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path
from typing import BinaryIO, Final

#: Places of descriptors that the caller has opened for this process: they are read as they are.
_HANDED_OVER: Final = ("/dev/stdin", "/dev/fd/", "/proc/self/fd/")


def open_file(path: str | os.PathLike[str]) -> BinaryIO:
    """A regular file, opened to read bytes.

    Raises OSError as `open` does, and for a pipe, a socket or a device.
    """
    name = os.fspath(path)
    if name.startswith(_HANDED_OVER):
        return Path(name).open("rb")
    # A pipe that nobody writes to is opened without waiting.
    flags = os.O_RDONLY | getattr(os, "O_BINARY", 0) | getattr(os, "O_NONBLOCK", 0)
    handle = os.open(name, flags)
    try:
        kind = os.fstat(handle).st_mode
        if stat.S_ISDIR(kind):
            raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), name)
        if not stat.S_ISREG(kind):
            raise OSError(errno.EINVAL, "Is a pipe or a device, not a file", name)
        return os.fdopen(handle, "rb")
    except BaseException:
        os.close(handle)
        raise
