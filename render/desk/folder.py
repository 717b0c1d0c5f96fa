"""A folder of tunes as the desk sees it: plain files, read and saved whole.

Takes the path of a folder; gives its tunes by their names, which are names of files directly in it.
A tune carries the version of its text (a digest), and is saved only over the version that it was
opened from. Files are written beside their target and renamed into place.
"""

from __future__ import annotations

import errno
import os
import re
from hashlib import sha256
from pathlib import Path
from typing import Final

from ...grammar.errors import MidneckError
from ...grammar.files import open_file
from ...grammar.frozen import frozen
from ...grammar.limits import MAX_TEXT_BYTES, MAX_TOML_BYTES
from ..output import write_result
from ..sources import SUFFIXES, without_exports

#: The ending of the tunes that are edited; those of other notations are imported as text.
ENDING: Final = ".txt"
#: The ending of player files, and of others that are no tunes.
PLAYER_ENDING: Final = ".toml"
#: A name that every file system keeps, without a path in it.
_NAME: Final = re.compile(r"[^\x00-\x1f/\\:*?\"<>|.][^\x00-\x1f/\\:*?\"<>|]{0,119}")
#: Names that Windows gives to devices, with any ending ("Naming Files, Paths, and Namespaces",
#: Microsoft).
_DEVICE: Final = re.compile(r"con|prn|aux|nul|com\d|lpt\d", re.IGNORECASE)


class FolderError(MidneckError, OSError):
    """A tune cannot be read or saved; the message says what to do."""


class ChangedError(FolderError):
    """A tune has changed since it was opened; `theirs` is what stands in the folder now."""

    def __init__(self, name: str, theirs: Stored | None) -> None:
        what = "is gone" if theirs is None else "has changed"
        super().__init__(f"{name} {what} since you opened it")
        self.name = name
        self.theirs = theirs


@frozen
class Stored:
    """The text of a tune as it stands in the folder, and its version."""

    name: str
    text: str
    version: str


def version_of(data: bytes) -> str:
    """The version of a file: a digest of its bytes."""
    return sha256(data).hexdigest()[:24]


@frozen
class TuneFolder:
    """The tunes of one folder, and the files that may describe players."""

    path: Path

    def names(self) -> tuple[str, ...]:
        """The names of its sheets and scores, sorted without regard to case. Raises FolderError.

        Files that Midneck wrote beside their sheet are not among them.
        """
        tunes = without_exports([self.path / name for name in self._files(SUFFIXES)])
        names = (path.name for path in tunes)
        return tuple(sorted(names, key=lambda name: (name.casefold(), name)))

    def player_names(self) -> tuple[str, ...]:
        """The names of the files that may describe a player by their ending. Raises FolderError."""
        return tuple(self._files((PLAYER_ENDING,)))

    def _files(self, endings: tuple[str, ...]) -> list[str]:
        """The names of all files with one of some endings."""
        try:
            found = [entry.name for entry in os.scandir(self.path) if entry.is_file()]
        except OSError as error:
            raise FolderError(f"{self.path} cannot be read: {_reason(error)}") from error
        return sorted(name for name in found if Path(name).suffix.lower() in endings)

    def place(self, name: str) -> Path:
        """The path of a tune's file. Raises FolderError for a name that is none, or leads away."""
        return self._place(name, SUFFIXES, f"tune: letters, digits, blanks, then {ENDING}")

    def _place(self, name: str, endings: tuple[str, ...], what: str) -> Path:
        if _NAME.fullmatch(name) is None or Path(name).suffix.lower() not in endings:
            raise FolderError(f"{name[:40]!r} is no name of a {what}")
        path = self.path / name
        if path.is_symlink() and not path.resolve().is_relative_to(self.path.resolve()):
            raise FolderError(f"{name} leads out of the folder and is not opened")
        return path

    def read(self, name: str) -> Stored:
        """A tune's text. Raises FolderError when it cannot be read as text."""
        data = self.data(name)
        return Stored(name, _text(name, data), version_of(data))

    def data(self, name: str) -> bytes:
        """The bytes of a tune's file. Raises FolderError."""
        return _data(self.place(name), MAX_TEXT_BYTES)

    def player_text(self, name: str) -> str:
        """The text of a file that may describe a player. Raises FolderError."""
        what = f"player file: letters, digits, blanks, then {PLAYER_ENDING}"
        place = self._place(name, (PLAYER_ENDING,), what)
        return _text(name, _data(place, MAX_TOML_BYTES))

    def has(self, name: str) -> bool:
        """Whether there is such a tune. Raises FolderError for a name that is none."""
        return self.place(name).is_file()

    def version(self, name: str) -> str | None:
        """The version that stands in the folder, None where there is no such tune."""
        try:
            return version_of(self.data(name))
        except FolderError:
            return None

    def save(self, name: str, text: str, opened: str | None) -> Stored:
        """Save a tune over the version it was `opened` from, None for a new tune.

        Raises ChangedError when another version stands there, FolderError when it cannot be
        written.
        """
        path = self.place(name)
        if self.version(name) != opened:
            theirs = self.read(name) if path.is_file() else None
            raise ChangedError(name, theirs)
        data = text.encode("utf-8", "replace")
        try:
            write_result(path, data, force=True)
        except OSError as error:
            system = error.__cause__ if isinstance(error.__cause__, OSError) else error
            raise FolderError(f"{name} cannot be saved: {_reason(system)}") from error
        return Stored(name, text, version_of(data))

    def rename(self, name: str, wanted: str) -> None:
        """Give a tune another name. Raises FolderError when that is taken or cannot be given."""
        old, new = self.place(name), self.place(wanted)
        try:
            # A hard link is made only where no file has the name; not every file system has them.
            os.link(old, new)
            old.unlink()
        except FileExistsError as error:
            raise FolderError(f"there is a {wanted} already: choose another name") from error
        except OSError as error:
            self._rename_plainly(old, new, error)

    def _rename_plainly(self, old: Path, new: Path, cause: OSError) -> None:
        if cause.errno not in (errno.EPERM, errno.ENOTSUP, errno.EMLINK, errno.ENOSYS):
            raise FolderError(f"{old.name} cannot be renamed: {_reason(cause)}") from cause
        if new.exists():
            raise FolderError(f"there is a {new.name} already: choose another name") from cause
        try:
            old.rename(new)
        except OSError as error:
            raise FolderError(f"{old.name} cannot be renamed: {_reason(error)}") from error

    def free_name(self, wanted: str) -> str:
        """A name that no file has yet: the wanted one, or with a number behind it."""
        stem = _clean(Path(wanted).stem) or "tune"
        taken = {name.casefold() for name in self._files(SUFFIXES)}
        name, number = f"{stem}{ENDING}", 2
        while name.casefold() in taken:
            name, number = f"{stem}-{number}{ENDING}", number + 1
        return name


def _data(path: Path, most: int) -> bytes:
    try:
        with open_file(path) as file:
            data = file.read(most + 1)
    except OSError as error:
        raise FolderError(f"{path.name} cannot be read: {_reason(error)}") from error
    if len(data) > most:
        raise FolderError(f"{path.name} is larger than {most:,} bytes")
    return data


def _text(name: str, data: bytes) -> str:
    try:
        return data.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    except UnicodeDecodeError as error:
        raise FolderError(f"{name} is no UTF-8 text") from error


def _clean(stem: str) -> str:
    """A stem of a file's name of letters, digits, hyphens and underscores."""
    plain = re.sub(r"[^\w-]+", "_", stem).strip("_-")[:80]
    return f"{plain}_tune" if _DEVICE.fullmatch(plain) else plain


def _reason(error: OSError) -> str:
    return (error.strerror or str(error)).lower()
