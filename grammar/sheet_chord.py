"""A chord symbol in its place: read, or reported as a problem of the sheet."""

from __future__ import annotations

from .chord import Chord
from .chord_errors import ChordError
from .chord_reader import parse_chord
from .errors import Problem
from .mistakes import MAX_MISTAKES, mistake
from .sheet import WHOLE_FILE, Place


def read_chord(text: str, place: Place, problems: list[Problem]) -> Chord | None:
    """The chord that a symbol names, None (and a problem) when it names none.

    After more than `MAX_MISTAKES` nothing is read: one line can hold many times as many.
    """
    if len(problems) > MAX_MISTAKES:
        return None
    try:
        return parse_chord(text)
    except ChordError as error:
        problems.append(mistake("bad-chord", place, text, error.suggestion))
        return None


def names_chord(text: str) -> bool:
    """Whether a word is a chord symbol."""
    return read_chord(text, WHOLE_FILE, []) is not None
