"""Notes, keys and chords moved by an interval, spelled as players read them.

Names move by letters, so that spelling keeps its sense: what was the third stays a third. What
would need a double accidental is named plainly. A key moved by semitones becomes the key of that
pitch with the fewest sharps or flats; of two alike the one that keeps to the sharps or flats of the
old key, else the flats.
"""

from __future__ import annotations

from typing import Final

from .chord import Chord
from .key import Key
from .pitch import Interval, PitchName

#: The same pitch by the letter above and by the letter below.
FLATTER: Final = Interval(1, 0)
SHARPER: Final = Interval(-1, 0)


def plain_name(name: PitchName) -> PitchName:
    """The same pitch without double accidentals: A for B𝄫, B for C♭♭♭ and so on."""
    while abs(name.alteration) > 1:
        name = name.up(SHARPER if name.alteration < 0 else FLATTER)
    return name


def transpose_chord(chord: Chord, interval: Interval) -> Chord:
    """The chord an interval above (below, when it is negative); its quality stays as it is."""
    if interval == Interval(0, 0):
        return chord
    bass = None if chord.bass is None else plain_name(chord.bass.up(interval))
    return Chord(plain_name(chord.root.up(interval)), chord.kind, chord.changes, bass)


def transpose_key(key: Key, interval: Interval) -> Key:
    """The key an interval above; one with more than seven accidentals takes its other name."""
    moved = Key(key.tonic.up(interval), key.mode)
    while abs(moved.fifths) > 7:
        other = SHARPER if moved.fifths < 0 else FLATTER
        moved = Key(moved.tonic.up(other), key.mode)
    return moved


def interval_for(key: Key, semitones: int) -> Interval:
    """The interval that leads so many semitones up (down when negative) to the plainest key.

    It is within the octave above: what lies a tone down lies a minor seventh up.
    From D eleven semitones up it is a diminished octave, to D♭; none leave the key its name.
    """
    size = semitones % 12
    steps = range(8) if size else range(1)
    return min((Interval(each, size) for each in steps), key=lambda each: _rank(key, each))


def _rank(key: Key, interval: Interval) -> tuple[int, bool, int]:
    fifths = Key(key.tonic.up(interval), key.mode).fifths
    return abs(fifths), fifths * key.fifths < 0, fifths
