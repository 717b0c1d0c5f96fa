"""What a file was made of, told by itself, so that it is made again only when that changes.

A stamp is one line of ASCII, `midneck-sha256:<64 hex digits> <number>/<count>`: a fingerprint of
the source, of everything that was asked for and of Midneck's version, and which of how many files
it stands in. Writers put it where their format has a place for such a thing; it is found again by a
search through the bytes, so no file stands beside the results. SHA-256 is that of FIPS 180-4.
"""

from __future__ import annotations

import re
from hashlib import sha256
from pathlib import Path
from typing import Final

from .version import VERSION

_SCHEME: Final = "midneck-sha256:"
_STAMP: Final = re.compile(rb"midneck-sha256:[0-9a-f]{64} [0-9]+/[0-9]+")


def fingerprint(source: bytes, *settings: object) -> str:
    """The fingerprint of a result made from `source` with settings, which count by their `repr`.

    That of plain values and dataclasses of them is the same in every run.
    """
    said = "\n".join([VERSION, *map(repr, settings)])
    return sha256(sha256(said.encode()).digest() + source).hexdigest()


def stamp(of: str, number: int = 1, count: int = 1) -> str:
    """The stamp of the file `number` of `count` with a fingerprint."""
    return f"{_SCHEME}{of} {number}/{count}"


def is_current(path: Path, of: str) -> bool:
    """Whether all files of a result are there with this fingerprint.

    They are `path`, or where there are several, its name with -1, -2 … before the ending.
    """
    if _stamp_in(path) == stamp(of):
        return True
    first = numbered(path, 1)
    found = _stamp_in(first)
    count = int(found.rpartition("/")[2]) if found is not None else 0
    return count > 0 and all(
        _stamp_in(numbered(path, one)) == stamp(of, one, count) for one in range(1, count + 1)
    )


def numbered(path: Path, number: int) -> Path:
    """The name of one of several files of a result."""
    return path.with_name(f"{path.stem}-{number}{path.suffix}")


def _stamp_in(path: Path) -> str | None:
    """The stamp in a file; None when there is no such file, or none in it."""
    if not path.is_file():
        return None
    found = _STAMP.search(path.read_bytes())
    return None if found is None else found.group().decode("ascii")
