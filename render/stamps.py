"""Stamps: the line in every result by which Midneck knows its own files again.

A stamp is one line of ASCII: `midneck-sha256:<64 hex digits> <number>/<count> <16 hex digits>`. The
first digits are the fingerprint of the input (zeros where it is not recorded): of the source, of
all options and of the program. Then come the number of the file and the count of files of the
result. The last digits are a digest of the file itself, taken while they are zeros, so that a file
that was cut or changed is told from a whole one; a stamp of a format that is not checked keeps the
zeros. Writers put the stamp into a text field of their format; it is found by a search through the
bytes. SHA-256 is that of FIPS 180-4, the chunks of PNG are those of ISO/IEC 15948, clause 5.
"""

from __future__ import annotations

import os
import re
from collections import deque
from collections.abc import Iterator
from functools import cache
from hashlib import sha256
from itertools import count as numbers_from
from itertools import islice
from pathlib import Path
from typing import Final
from zlib import crc32

from .version import __version__

#: The text in every file that Midneck writes, except JSON.
MARK: Final = "made by Midneck"

_SCHEME: Final = "midneck-sha256:"
_DIGITS: Final = 16
_UNCHECKED: Final = "0" * _DIGITS
_STAMP: Final = re.compile(
    rb"midneck-sha256:([0-9a-f]{64}) ([0-9]{1,6})/([0-9]{1,6})(?: ([0-9a-f]{16}))?"
)
#: A file may hold stamps of others, in its texts or in the files of a zip: so many are looked at
#: from the start, and so many from the end.
_MOST_STAMPS: Final = 8
_PNG: Final = b"\x89PNG\r\n\x1a\n"
#: The chunk of a PNG file that holds the stamp begins so many bytes before it.
_PNG_FIELD: Final = b"tEXtComment\0"


@cache
def code_digest() -> str:
    """The digest of the code that makes results: a change under one version number is seen."""
    digest, root = sha256(__version__.encode()), str(Path(__file__).parents[1])
    for path in sorted(_code_files(root)):
        # Every chart reads all files: `Path.rglob` and `read_bytes` take twice as long.
        with open(path, "rb", buffering=0) as file:  # noqa: PTH123
            digest.update(f"{path[len(root) :]}\n".encode() + file.read())
    return digest.hexdigest()


def _code_files(root: str) -> Iterator[str]:
    """The files of code below the folder of the package."""
    for part in ("grammar", "converter", "render"):
        for folder, _, names in os.walk(os.path.join(root, part)):  # noqa: PTH118
            for name in names:
                if name.endswith((".py", ".lark")):
                    yield os.path.join(folder, name)  # noqa: PTH118


def fingerprint(source: bytes, *settings: object) -> str:
    """The fingerprint of a result: a hash of `source`, the code and the `repr` of the settings.

    The `repr` of plain values and dataclasses of them is the same in every run.
    """
    text = "\n".join([code_digest(), *map(repr, settings)])
    return sha256(sha256(text.encode()).digest() + source).hexdigest()


def stamp(fingerprint: str, number: int = 1, count: int = 1) -> str:
    """The stamp of the file `number` of `count` with a fingerprint, not yet checked."""
    return f"{_SCHEME}{fingerprint} {number}/{count} {_UNCHECKED}"


#: The fingerprint of an input that is not recorded, and the stamp of its result.
NO_FINGERPRINT: Final = "0" * 64
UNRECORDED: Final = stamp(NO_FINGERPRINT)
#: The mark and that stamp as one text.
SIGNATURE: Final = f"{MARK} {UNRECORDED}"


def signature(fingerprint: str | None) -> str:
    """The mark and the stamp as one text, for formats with one field for both."""
    return f"{MARK} {stamp(fingerprint or NO_FINGERPRINT)}"


def sealed(data: bytes) -> bytes:
    """The bytes of a result with the digest of the file in its last stamp; as they are without."""
    for at in reversed([match.start(4) for match in _STAMP.finditer(data) if match[4]]):
        if data[at : at + _DIGITS] == _UNCHECKED.encode():
            return _with_digits(data, at, _digest(data))
    return data


def is_stamped(path: Path) -> bool:
    """Whether a file holds a stamp, checked or not: Midneck made it. Raises OSError."""
    return _STAMP.search(path.read_bytes()) is not None


def is_whole(path: Path) -> bool:
    """Whether a file is as Midneck wrote it, by the digest in its stamp. Raises OSError."""
    return next(_checked(path.read_bytes()), None) is not None


def is_current(path: Path, fingerprint: str) -> bool:
    """Whether all files of a result exist, are whole and have this fingerprint.

    They are `path`, or for several files its name with -1, -2 … before the ending.
    """
    if (1, 1) in _whole_parts(path, fingerprint):
        return True
    counts = {
        count for number, count in _whole_parts(numbered(path, 1), fingerprint) if number == 1
    }
    return any(
        all(
            (number, count) in _whole_parts(numbered(path, number), fingerprint)
            for number in range(2, count + 1)
        )
        for count in counts
    )


def numbered(path: Path, number: int) -> Path:
    """The name of one of several files of a result."""
    return path.with_name(f"{path.stem}-{number}{path.suffix}")


def earlier_pages(path: Path, count: int) -> list[Path]:
    """The stamped files that a result of other than `count` files has left beside it.

    A result of one file is `path`; one of several is its name with -1, -2 … before the ending.
    """
    left = [path] if count > 1 and (1, 1) in _parts(path) else []
    for number in numbers_from(count + 1 if count > 1 else 1):
        page = numbered(path, number)
        if not any(part == number and whole > 1 for part, whole in _parts(page)):
            return left
        left.append(page)
    return left


def stale_results(folder: Path, kind: str, stems: set[str]) -> list[Path]:
    """The charts of a kind in a folder whose names begin with the stem of no sheet.

    The name of a result is a stem, then words for choices, each after a `_`, or the number of a
    page after a `-`. Drills and books, which record no input in their stamp, are never among them.
    """
    if not folder.is_dir():
        return []
    pages = sorted(path for path in folder.iterdir() if path.suffix == f".{kind}")
    return [
        page for page in pages if stems.isdisjoint(stems_of(page.stem)) and page.is_file()
        and _records_input(page)
    ]  # fmt: skip


def _records_input(path: Path) -> bool:
    """Whether a file holds a stamp with the fingerprint of its input, as a chart does."""
    return any(match[1] != NO_FINGERPRINT.encode() for match in _stamps(path.read_bytes()))


def stems_of(name: str) -> set[str]:
    """The stems that the sheet of a result of this name (without its ending) may have."""
    ends = (match.start() for match in re.finditer(r"_|-drill|-\d+$|$", name))
    return {name[:end] for end in ends}


def _parts(path: Path) -> set[tuple[int, int]]:
    """Number and count of each stamp in a file, none for a file that does not exist."""
    if not path.is_file():
        return set()
    return {(int(match[2]), int(match[3])) for match in _stamps(path.read_bytes())}


def _whole_parts(path: Path, fingerprint: str) -> set[tuple[int, int]]:
    """Number and count of each stamp of a file with a fingerprint and the digest of the file."""
    if not path.is_file():
        return set()
    found = _checked(path.read_bytes())
    return {(int(match[2]), int(match[3])) for match in found if match[1] == fingerprint.encode()}


def _stamps(data: bytes) -> Iterator[re.Match[bytes]]:
    found = _STAMP.finditer(data)
    yield from islice(found, _MOST_STAMPS)
    yield from deque(found, _MOST_STAMPS)


def _checked(data: bytes) -> Iterator[re.Match[bytes]]:
    """The stamps whose digest is that of the data."""
    for match in _stamps(data):
        if match[4] is not None:
            blank = _with_digits(data, match.start(4), _UNCHECKED)
            if _with_digits(blank, match.start(4), _digest(blank)) == data:
                yield match


def _digest(data: bytes) -> str:
    return sha256(data).hexdigest()[:_DIGITS]


def _with_digits(data: bytes, at: int, digits: str) -> bytes:
    """The bytes of a file with other digits at a place; with new checksums in PNG and Ogg."""
    data = data[:at] + digits.encode() + data[at + _DIGITS :]
    if data.startswith(_PNG):
        return _with_png_checksum(data, data.rfind(_PNG_FIELD, 0, at))
    if data.startswith(b"OggS"):
        from . import ogg  # for one format only

        return ogg.with_checksum(data, data.rfind(ogg.PAGE, 0, at))
    return data


def _with_png_checksum(data: bytes, start: int) -> bytes:
    """A PNG file with the checksum of the chunk whose type begins at `start`, if there is one."""
    if start < 4:
        return data
    end = start + 4 + int.from_bytes(data[start - 4 : start])
    return data[:end] + crc32(data[start:end]).to_bytes(4) + data[end + 4 :]
