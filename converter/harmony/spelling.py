"""Names for keys: which of two enharmonic tonics the writer's own spelling asks for.

Pitch classes decide everything else in the analysis; names are chosen afterwards, so that
respelling a tune changes names only.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import Final

from ...grammar.key import Key, Mode
from ...grammar.pitch import PitchName

#: No key name has more accidentals in its signature than this.
MOST_FIFTHS: Final = 7


def key_named(number: int, roots: Iterable[PitchName]) -> Key:
    """The key of a number (0 to 11 major, 12 to 23 minor), spelled nearest to the roots written."""
    places = [root.fifths for root in roots]
    middle = sum(places) / len(places) if places else 0.0
    choices = _choices(number)
    return min(choices, key=lambda key: (abs(key.fifths - middle), abs(key.fifths)))


@lru_cache(maxsize=24)
def _choices(number: int) -> tuple[Key, ...]:
    mode: Mode = "minor" if number >= 12 else "major"
    names = [PitchName(letter, sign) for letter in "CDEFGAB" for sign in (-1, 0, 1)]
    keys = [Key(name, mode) for name in names if name.pitch_class == number % 12]
    keys = [key for key in keys if abs(key.fifths) <= MOST_FIFTHS]
    least = min(abs(key.fifths) for key in keys)
    return tuple(key for key in keys if abs(key.fifths) <= max(6, least))
