"""Keys and chords by their sound, as the index stores them and as they are asked for.

G♭ and F♯ are one key, D♭7 and C♯7 one chord.
"""

from __future__ import annotations

from ...grammar.chord import Chord
from ...grammar.key import Key


def key_sound(key: Key) -> str:
    """A key by its sound: pitch class of the tonic and mode, as in `6 major` for G♭ and F♯."""
    return f"{key.tonic.pitch_class} {key.mode}"


def chord_sound(chord: Chord) -> str:
    """A chord by its sound: pitch classes of root and bass, and the symbol without them."""
    bass = chord.root if chord.bass is None else chord.bass
    upper = str(Chord(chord.root, chord.kind, chord.changes)).removeprefix(str(chord.root))
    return f"{chord.root.pitch_class} {upper} {bass.pitch_class}"
