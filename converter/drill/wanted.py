"""What progression is wanted: a name, numerals, or chords in a key.

Takes what a player typed, gives a named progression or a `Progression`. Chords whose key is not
stated are read in the key that the analysis hears.
"""

from __future__ import annotations

from dataclasses import replace
from difflib import get_close_matches
from fractions import Fraction

from ...grammar.chord import Chord
from ...grammar.key import Key
from ...grammar.pitch import PitchName
from ...grammar.progression import Progression
from ...grammar.progression_reader import chords_typed, is_music, read_progression
from ...grammar.sheet import COMMON_TIME, Meter
from ..form import unfold
from ..harmony import key_of
from .progressions import PROGRESSIONS, NamedProgression, named_progression
from .values import DrillError, Practice
from .written import Block, Sounding, write_blocks


def progression_wanted(
    text: str, key: Key | None = None, meter: Meter = COMMON_TIME
) -> NamedProgression | Progression:
    """The progression that a text names, or that it is.

    `key` is that of a progression in chords, None for the one that they are heard in. Raises
    DrillError for an unknown name, SheetError with every mistake of a typed progression.
    """
    named = named_progression(text)
    if named is not None:
        return named
    if text.strip() and not is_music(text):
        raise DrillError(_unknown(text.strip()))
    chords = chords_typed(text)
    if chords and key is None:
        key = key_heard(chords)
    return read_progression(text, key, meter)


def key_heard(chords: tuple[Chord, ...]) -> Key:
    """The key that chords of a bar each are heard in, played over and over."""
    sounding = tuple(Sounding(chord, Fraction(1)) for chord in chords)
    block = Block("", Key(PitchName("C")), sounding)
    written = write_blocks("", [block], Practice()).sheet
    header = replace(written.header, key=None)
    sections = tuple(replace(section, key=None) for section in written.sections)
    sheet = replace(written, header=header, sections=sections)
    return key_of(sheet, unfold(sheet))


def _unknown(text: str) -> str:
    names = [row.name for row in PROGRESSIONS]
    near = get_close_matches(text.lower(), [name.lower() for name in names], 1, 0.6)
    meant = [name for name in names if near and name.lower() == near[0]]
    hint = f"; did you mean {meant[0]}?" if meant else ""
    return (
        f"there is no progression {text!r}{hint}\n"
        f"There are {', '.join(names)}; or type one in numerals, as in ii7 | V7 | I6, or in chords."
    )
