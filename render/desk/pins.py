"""Grips in the text of a tune: the pin of a written chord, set or taken away.

Takes a text, the place of a chord in it and its symbol as typed; gives the changed text. Only the
angle brackets behind that chord change.
"""

from __future__ import annotations

import re
from typing import Final

from ...converter.hand.grip import Grip, frets_text
from ...grammar.errors import SourcePosition

#: What may stand between a symbol and its pin: lengths and marks stay where they are.
_PIN: Final = re.compile(r"\s*<[^<>|\n]*>")


def with_pin(text: str, position: SourcePosition, typed: str, grip: Grip | None) -> str:
    """The text with a grip fixed behind the chord at a place, None for no fixed grip.

    Gives the text unchanged where the chord does not stand there.
    """
    lines = text.split("\n")
    if not 1 <= position.line <= len(lines):
        return text
    line, start = lines[position.line - 1], position.column - 1
    if not line.startswith(typed, start):
        return text
    end = start + len(typed)
    found = _PIN.match(line, end)
    rest = line[end if found is None else found.end() :]
    pin = "" if grip is None else f"<{frets_text(grip.frets)}>"
    lines[position.line - 1] = line[:end] + pin + rest
    return "\n".join(lines)
