"""Keys by number and by name: which of two enharmonic tonics the writer's spelling asks for.

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
MOST_FIFTHS: Final = 6


def middle_of(roots: Iterable[PitchName]) -> float:
    """Where the roots lie on the line of fifths on average; 0 without any."""
    places = [root.fifths for root in roots]
    return sum(places) / len(places) if places else 0.0


def key_number(key: Key) -> int:
    """0 to 11 for major by tonic, 12 to 23 for minor."""
    return key.tonic.pitch_class + (12 if key.mode == "minor" else 0)


def key_named(number: int, middle: float) -> Key:
    """The key of a number (minor: tonic + 12), spelled nearest to a place on that line."""
    return min(_choices(number), key=lambda choice: abs(choice[0] - middle))[1]


@lru_cache(maxsize=24)
def _choices(number: int) -> tuple[tuple[int, Key], ...]:
    """The usable names with their signatures, the plainer first."""
    mode: Mode = "minor" if number >= 12 else "major"
    names = [PitchName(letter, sign) for letter in "CDEFGAB" for sign in (-1, 0, 1)]
    keys = [Key(name, mode) for name in names if name.pitch_class == number % 12]
    keys.sort(key=lambda key: abs(key.fifths))
    return tuple((key.fifths, key) for key in keys if abs(key.fifths) <= MOST_FIFTHS)
