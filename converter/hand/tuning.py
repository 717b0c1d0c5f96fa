"""Open strings by their names: `E2` is MIDI number 40, `C4` is 60.

Source: scientific pitch notation with C4 = MIDI 60, the numbering of the MIDI Manufacturers
Association.
"""

from __future__ import annotations

import re

from ...grammar.pitch import ACCIDENTALS, PitchName

_NAME = re.compile(r"([A-G])([b#♭♯]?)(-?\d)")


def midi_number(name: str) -> int:
    """The MIDI number of a note name with its octave. Raises ValueError on anything else."""
    match = _NAME.fullmatch(name.strip())
    if match is None:
        raise ValueError(f"{name!r} is not a note name with its octave, such as E2 or Bb1")
    letter, sign, octave = match.groups()
    return 12 * (int(octave) + 1) + PitchName(letter).pitch_class + ACCIDENTALS[sign]
