"""Unsaved texts, kept in the user's cache folder, so that they survive a crash of either side.

A draft belongs to a tune of a folder and to a browser tab. It names the version of the tune that it
was typed over, so that a change of the file meanwhile is seen. Each is a small JSON file of its
own, written whole at each change of the text.
"""

from __future__ import annotations

import json
from collections.abc import Collection
from dataclasses import asdict
from hashlib import sha256
from pathlib import Path
from time import time_ns

from ...grammar.frozen import frozen
from ..cache_folder import cache_folder
from ..output import OutputError, write_result


@frozen
class Draft:
    """An unsaved text of the tune `name`, typed in `tab` over the version `opened` of its file.

    `typed_ns` is the time of its last change, in nanoseconds since 1970.
    """

    name: str
    tab: str
    text: str
    opened: str | None
    typed_ns: int


@frozen
class Drafts:
    """The drafts of one folder of tunes."""

    place: Path

    def keep(self, name: str, tab: str, text: str, opened: str | None) -> None:
        """Keep an unsaved text in place of the tab's last one. Raises OutputError."""
        draft = Draft(name, tab, text, opened, time_ns())
        data = json.dumps(asdict(draft), ensure_ascii=False).encode("utf-8", "surrogatepass")
        # Not flushed to the disk at each key: what a killed process has written stays.
        write_result(self._path(name, tab), data, force=True, sync=False)

    def drop(self, name: str, tab: str) -> None:
        """Forget the draft of a tab, if there is one."""
        try:
            self._path(name, tab).unlink(missing_ok=True)
        except OSError as error:
            raise OutputError(f"an old draft of {name} cannot be removed: {error}") from error

    def find(self, name: str, tab: str, open_tabs: Collection[str]) -> Draft | None:
        """The draft of a tune to go on with: the tab's own, else the last of a tab that is gone."""
        drafts = [draft for draft in self.all() if draft.name == name]
        own = [draft for draft in drafts if draft.tab == tab]
        left = [draft for draft in drafts if draft.tab not in open_tabs]
        return max(own or left, key=lambda draft: draft.typed_ns, default=None)

    def all(self) -> tuple[Draft, ...]:
        """Every draft of the folder that can be read."""
        found = (_read(path) for path in sorted(self.place.glob("*.json")))
        return tuple(draft for draft in found if draft is not None)

    def _path(self, name: str, tab: str) -> Path:
        key = sha256(f"{name}\0{tab}".encode("utf-8", "surrogatepass")).hexdigest()[:32]
        return self.place / f"{key}.json"


def drafts_of(folder: Path) -> Drafts:
    """The drafts of a folder, in the user's cache folder."""
    return Drafts(place_of_folder(folder))


def place_of_folder(folder: Path) -> Path:
    """Where the desk keeps what belongs to a folder, in the user's cache folder."""
    key = sha256(str(folder.resolve()).encode("utf-8", "surrogateescape")).hexdigest()[:16]
    return cache_folder() / "desk" / key


def _read(path: Path) -> Draft | None:
    try:
        return Draft(**json.loads(path.read_bytes().decode("utf-8", "surrogatepass")))
    except (OSError, ValueError, TypeError):
        return None
