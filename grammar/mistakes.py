"""The mistakes that a sheet can hold: for each a label, what is said about it, small examples.

One table drives the messages at run time and the tests, which read every example and look for its
label.
"""

from __future__ import annotations

from typing import Final

from .errors import Problem
from .mistake import Mistake
from .mistakes_bar import BAR_MISTAKES
from .mistakes_file import FILE_MISTAKES
from .mistakes_form import FORM_MISTAKES
from .sheet import Place

#: A sheet with more is read no further: to look for the nearest chord takes its time.
MAX_MISTAKES: Final = 1_000

MISTAKES: Final[dict[str, Mistake]] = {**FILE_MISTAKES, **BAR_MISTAKES, **FORM_MISTAKES}


def mistake(
    label: str, place: Place, text: str = "", suggestion: str = "", **fields: object
) -> Problem:
    """The problem of that label at a place; `fields` fill the braces of its message."""
    entry = MISTAKES[label]
    message, expected = entry.message.format(**fields), entry.expected.format(**fields)
    return Problem(place.line, place.column, message, text, "", expected, suggestion, label)
