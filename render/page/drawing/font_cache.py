"""Typefaces of pymupdf-fonts, unpacked once on a machine and kept in the user's cache folder.

The package holds them as LZMA data: to unpack regular and bold takes longer than to draw a chart. A
kept file is named after the size and time of the package's module, so that another version of the
package has a file of its own, and begins with a checksum (CRC-32, as in `zlib`) of what follows. A
damaged file is written anew; where the folder cannot be used, every process unpacks for itself.
"""

from __future__ import annotations

import struct
from contextlib import suppress
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import Final
from zlib import crc32

from ...cache_folder import cache_folder
from ...output import write_result

PACKAGE: Final = "pymupdf_fonts"
_CHECKSUM: Final = struct.Struct(">L")


def unpacked(module: str) -> bytes:
    """The bytes of the typeface in a module of the package, as TrueType."""
    place = _place(module)
    kept = None if place is None else _kept(place)
    if kept is not None:
        return kept
    data: bytes = import_module(f"{PACKAGE}.{module}").fontbuffer
    if place is not None:
        with suppress(OSError):
            _keep(place, data)
    return data


def _place(module: str) -> Path | None:
    """The file of the unpacked typeface; None where the package is not a folder of files."""
    spec = find_spec(PACKAGE)
    folders = None if spec is None else spec.submodule_search_locations
    try:
        state = Path(next(iter(folders or ())), f"{module}.py").stat()
        folder = cache_folder()
    except (OSError, RuntimeError, StopIteration):
        return None
    return folder / f"{module}-{state.st_size}-{state.st_mtime_ns}.ttf"


def _kept(place: Path) -> bytes | None:
    """What is kept in a file, None if it is not there or damaged."""
    try:
        with place.open("rb") as file:
            checksum, data = file.read(_CHECKSUM.size), file.read()
    except OSError:
        return None
    return data if data and checksum == _CHECKSUM.pack(crc32(data)) else None


def _keep(place: Path, data: bytes) -> None:
    """Write the file whole, for other processes may be reading or writing it."""
    write_result(place, _CHECKSUM.pack(crc32(data)) + data, force=True, sync=False)
