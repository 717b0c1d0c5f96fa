"""What the desk keeps of what was chosen: of a folder for the next day, of a tab for a reload.

Of a folder it keeps the choices and the last open tune. Player, hand, voicings and paper are those
of the folder, a key that a tune is moved to is its own. They are a small JSON file in the user's
cache folder; a file that cannot be read counts as none.

What was chosen in a tab, and which dialog is open in it, is kept in such a file as well, for a
reload and for a desk that is started again. A tab is known by its name, which a reload keeps; the
last `MOST_TABS` tabs are kept.
"""

from __future__ import annotations

import json
from contextlib import suppress
from dataclasses import asdict, fields, is_dataclass, replace
from hashlib import sha256
from pathlib import Path
from typing import Any, Final, TypeVar, cast

from ...grammar.frozen import frozen
from ..output import OutputError, write_result
from .choices import Choices, from_query

Value = TypeVar("Value")
#: The tabs whose choices are kept.
MOST_TABS: Final = 200


@frozen
class Kept:
    """What is kept of one folder in the file at `path`."""

    path: Path

    def query(self, name: str) -> dict[str, str]:
        """The choices of the folder, with the key of a tune, as the query of an address."""
        given = self._read()
        key = _texts(given.get("keys")).get(name, "")
        return {**_texts(given.get("choices")), "key": key}

    def with_key(self, name: str, choices: Choices) -> Choices:
        """Choices with the key that is kept for a tune in place of theirs."""
        return replace(choices, key=from_query({"key": self.query(name)["key"]}).key)

    @property
    def tune(self) -> str:
        """The name of the tune that was open last, "" where none was."""
        tune = self._read().get("tune")
        return tune if isinstance(tune, str) else ""

    def keep_tune(self, name: str) -> None:
        """Keep which tune is open. Raises OutputError."""
        self._write({**self._read(), "tune": name})

    def keep(self, name: str, choices: Choices) -> None:
        """Keep what is chosen while a tune is open. Raises OutputError."""
        keys = _texts(self._read().get("keys"))
        keys.pop(name, None)
        if choices.key:
            keys[name] = choices.key
        given = choices.changed()
        given.pop("key", None)
        self._write({"tune": name, "choices": given, "keys": keys})

    def forget_key(self, name: str) -> None:
        """Forget the key of a tune that has another name now. Raises OutputError."""
        given = self._read()
        keys = _texts(given.get("keys"))
        if keys.pop(name, None) is not None:
            self._write({**given, "keys": keys})

    def _read(self) -> dict[str, Any]:
        return _object(self.path)

    def _write(self, given: dict[str, Any]) -> None:
        data = json.dumps(given, ensure_ascii=True).encode()
        if not self.path.is_file() or self.path.read_bytes() != data:
            write_result(self.path, data, force=True, sync=False)


def _texts(given: Any) -> dict[str, str]:
    """The names and texts of a JSON object, as far as it is one."""
    pairs = given.items() if isinstance(given, dict) else ()
    return {name: value for name, value in pairs if isinstance(value, str)}


class KeptTabs:
    """What is kept of the tabs of a folder: a file for each in `place`, none without a place.

    What cannot be written is kept as long as the desk runs.
    """

    def __init__(self, place: Path | None = None) -> None:
        self.place = place
        self._chosen: dict[str, dict[str, Any]] = {}

    def remember(self, tab: str, what: str, value: object) -> None:
        """Keep what was chosen in a tab, by the name of the choice.

        A value is a text, a truth value, a tuple of texts, or a frozen value of these and numbers.
        """
        chosen = {**self._of(tab), what: _plain(value)}
        self._chosen.pop(tab, None)
        self._chosen[tab] = chosen
        while len(self._chosen) > MOST_TABS:
            del self._chosen[next(iter(self._chosen))]
        if self.place is not None:
            with suppress(OutputError):
                self._write(self._path(self.place, tab), chosen)

    def recalled(self, tab: str, what: str, usual: Value) -> Value:
        """What was chosen in a tab, the usual value where nothing of its kind was.

        Of a frozen value the parts that are of the kind of the usual ones are taken.
        """
        found = self._of(tab).get(what)
        if is_dataclass(usual) and not isinstance(usual, type) and isinstance(found, dict):
            parts = {name: part for name, part in found.items() if _fits(part, usual, name)}
            return replace(usual, **parts)
        if isinstance(usual, tuple) and isinstance(found, list):
            return cast("Value", tuple(each for each in found if isinstance(each, str)))
        return found if type(found) is type(usual) else usual

    def _of(self, tab: str) -> dict[str, Any]:
        """All that was chosen in a tab."""
        if tab not in self._chosen and self.place is not None:
            return _object(self._path(self.place, tab))
        return self._chosen.get(tab, {})

    @staticmethod
    def _path(place: Path, tab: str) -> Path:
        return place / f"{sha256(tab.encode('utf-8', 'surrogatepass')).hexdigest()[:32]}.json"

    @staticmethod
    def _write(path: Path, chosen: dict[str, Any]) -> None:
        is_new = not path.exists()
        write_result(path, json.dumps(chosen).encode(), force=True, sync=False)
        if is_new:
            _remove_oldest(path.parent)


def _remove_oldest(place: Path) -> None:
    """Leave the files of the last `MOST_TABS` tabs; another desk may remove them as well."""
    with suppress(OSError):
        files = sorted(place.glob("*.json"), key=lambda path: path.stat().st_mtime_ns)
        for path in files[:-MOST_TABS]:
            path.unlink(missing_ok=True)


def _plain(value: object) -> object:
    """A value as JSON holds it."""
    if is_dataclass(value) and not isinstance(value, type):
        return asdict(value)
    return list(value) if isinstance(value, tuple) else value


def _fits(part: object, usual: object, name: str) -> bool:
    """Whether a part is of the kind of the usual one; in place of None stands a number."""
    if name not in {field.name for field in fields(cast("Any", usual))}:
        return False
    known = getattr(usual, name)
    return type(part) in ((int, type(None)) if known is None else (type(known),))


def _object(path: Path) -> dict[str, Any]:
    """The JSON object of a file; one that cannot be read counts as empty."""
    try:
        given = json.loads(path.read_bytes())
    except (OSError, ValueError, RecursionError):
        return {}
    return given if isinstance(given, dict) else {}
