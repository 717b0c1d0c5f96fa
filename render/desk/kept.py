"""What the desk keeps of a folder from one day to the next: the choices, and the last open tune.

Player, hand, voicings and paper are those of the folder, a key that a tune is moved to is its own.
They are a small JSON file in the user's cache folder; a file that cannot be read counts as none.
"""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

from ...grammar.frozen import frozen
from ..output import write_result
from .choices import Choices, from_query


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
