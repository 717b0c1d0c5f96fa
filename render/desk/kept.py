"""What the desk keeps of what was chosen: of a folder for the next day, of a tab for a reload.

Of a folder it keeps the choices and the last open tune. Player, hand, voicings and paper are those
of the folder, a key that a tune is moved to is its own. They are a small JSON file in the user's
cache folder; a file that cannot be read counts as none.

What was chosen in a tab is kept as long as the desk runs. A tab is known by its name, which a
reload keeps. Values are frozen; those of the last `MOST_TABS` tabs are kept.
"""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any, Final, TypeVar

from ...grammar.frozen import frozen
from ..output import write_result
from .choices import Choices, from_query

Value = TypeVar("Value")
#: The tabs whose choices are kept.
MOST_TABS: Final = 200
_CHOSEN: Final[dict[str, dict[str, object]]] = {}


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

    def _read(self) -> dict[str, Any]:
        try:
            given = json.loads(self.path.read_bytes())
        except (OSError, ValueError, RecursionError):
            return {}
        return given if isinstance(given, dict) else {}

    def _write(self, given: dict[str, Any]) -> None:
        data = json.dumps(given, ensure_ascii=True).encode()
        if not self.path.is_file() or self.path.read_bytes() != data:
            write_result(self.path, data, force=True, sync=False)


def _texts(given: Any) -> dict[str, str]:
    """The names and texts of a JSON object, as far as it is one."""
    pairs = given.items() if isinstance(given, dict) else ()
    return {name: value for name, value in pairs if isinstance(value, str)}


def remember(tab: str, what: str, value: object) -> None:
    """Keep what was chosen in a tab, by the name of the choice."""
    chosen = _CHOSEN.pop(tab, {})
    _CHOSEN[tab] = {**chosen, what: value}
    while len(_CHOSEN) > MOST_TABS:
        del _CHOSEN[next(iter(_CHOSEN))]


def recalled(tab: str, what: str, usual: Value) -> Value:
    """What was chosen in a tab, the usual value where nothing of its kind was."""
    found = _CHOSEN.get(tab, {}).get(what)
    return found if isinstance(found, type(usual)) else usual
