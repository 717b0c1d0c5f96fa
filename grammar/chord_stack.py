"""One chord over another: the lower one with the notes of the upper one added to it.

D/C7 sounds C E G B♭ and D F♯ A, and is what players call C13(#11). The value is that of the lower
chord, so that root, function and shell are those that the bass player hears (common practice, no
source).
"""

from __future__ import annotations

from typing import Final

from .chord import Chord
from .pitch import Tone
from .quality_name import named

#: The tension for each pitch class above the lower root; a minor third beside a major one is a
#: sharp ninth.
_TENSIONS: Final = (
    Tone(1), Tone(9, -1), Tone(9), Tone(9, 1), Tone(3), Tone(11), Tone(11, 1), Tone(5),
    Tone(13, -1), Tone(13), Tone(7, -1), Tone(7),
)  # fmt: skip


def stacked(upper: Chord, lower: Chord) -> Chord:
    """The lower chord with the upper one's notes as added tones; the lower one's bass stays."""
    tones = set(lower.tones)
    taken = {tone.semitones % 12 for tone in tones}
    for pitch_class in upper.pitch_classes:
        above = (pitch_class - lower.root.pitch_class) % 12
        if above not in taken:
            tones.add(_TENSIONS[above])
    kind, changes = named(frozenset(tones))
    return Chord(lower.root, kind, changes, lower.bass)
