"""Names as they are printed, with true flats and sharps: notes, keys, numerals, sentences."""

from __future__ import annotations

import re
from typing import Final

from ...grammar.chord_display import accidental_signs
from ...grammar.key import Key
from ...grammar.pitch import PitchName

#: An accidental in a numeral: bVII, V7#9, but not the b of subV7.
_IN_NUMERAL: Final = re.compile(r"(?<![A-Za-z])[b#](?=[IVivb#\d])")
#: Accidentals behind the letter of a note, and before the number of an altered degree.
_IN_SENTENCE: Final = re.compile(r"(?<=\b[A-G])[b#]{1,2}(?![a-ln-z])|(?<=[a-z\d(,])[b#](?=\d)")
_SIGNS: Final = str.maketrans({"b": "♭", "#": "♯"})


def shown(name: PitchName) -> str:
    """A note name with true signs: `E♭`."""
    return name.letter + accidental_signs(name)


def key_name(key: Key) -> str:
    """A key in words: `B♭ major`."""
    return f"{shown(key.tonic)} {key.mode}"


def key_text(key: Key) -> str:
    """A key as a label: `B♭`, or `Gm` in minor."""
    return shown(key.tonic) + ("m" if key.mode == "minor" else "")


def signed(roman: str) -> str:
    """A roman numeral with true signs for b and #."""
    return _IN_NUMERAL.sub(lambda found: found[0].translate(_SIGNS), roman)


def with_signs(text: str) -> str:
    """A sentence with true flats and sharps in its names of notes and chords."""
    return _IN_SENTENCE.sub(lambda found: found[0].translate(_SIGNS), text)
