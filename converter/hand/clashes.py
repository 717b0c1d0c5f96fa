"""Pinned grips that contradict their symbols: notes in the place of other tones of the chord.

Takes a chord and a voicing that a player has fixed, gives a `Clash` for each note that is another
form of a tone that the symbol says: a major third in a minor chord, a flat fifth in a minor
seventh, a ninth where a flat ninth is written. Tensions that leave the quality as it is (a sharp
ninth or a flat thirteenth of a dominant, a ninth, a sharp eleventh of a major seventh) are no
clashes. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from ...grammar.chord import Chord, Tone
from ...grammar.frozen import frozen
from ...grammar.sheet import SheetChord
from .grip import Grip, VoicedNote, Voicing

#: The tone that a note is heard as when it stands against the symbol, by semitones over the root.
_HEARD: Final = {
    1: Tone(9, -1), 2: Tone(9), 3: Tone(3, -1), 4: Tone(3), 5: Tone(4), 6: Tone(5, -1), 7: Tone(5),
    8: Tone(5, 1), 9: Tone(6), 10: Tone(7, -1), 11: Tone(7),
}  # fmt: skip


@frozen
class Clash:
    """A note of the pinned grip of a written chord (`chord`: its index) that the symbol excludes.

    `tone` is what the note is heard as, `instead` the tone of the symbol in whose place it stands;
    None if the note is the lowest and the symbol writes another bass.
    """

    chord: int
    note: VoicedNote
    tone: Tone
    instead: Tone | None


def clashes_of(chords: Sequence[SheetChord], grips: Sequence[Grip | None]) -> tuple[Clash, ...]:
    """The clashes of all pinned grips of a sheet, in written order."""
    return tuple(
        clash
        for index, (written, grip) in enumerate(zip(chords, grips, strict=True))
        if written.pin is not None and written.chord is not None and grip is not None
        for clash in _clashes(index, written.chord, grip.voicing)
    )


def _clashes(index: int, chord: Chord, voicing: Voicing) -> list[Clash]:
    root = chord.root.pitch_class
    sounding = {(note.midi - root) % 12 for note in voicing.notes}
    found = []
    for note in voicing.notes:
        semitones = (note.midi - root) % 12
        instead = None if note.midi % 12 in chord.pitch_classes else _instead(
            chord, semitones, sounding
        )  # fmt: skip
        if instead is not None:
            found.append(Clash(index, note, _HEARD[semitones], instead))
    low = voicing.bass
    if chord.bass is not None and low.midi % 12 != chord.bass.pitch_class:
        heard = next((one for one in chord.tones if one.semitones % 12 == (low.midi - root) % 12),
                     _HEARD.get((low.midi - root) % 12, Tone(1)))  # fmt: skip
        found.append(Clash(index, low, heard, None))
    return found


def _instead(chord: Chord, semitones: int, sounding: set[int]) -> Tone | None:
    """The tone of a chord that a note outside it contradicts; None for a tension."""
    tones = {tone.degree: tone for tone in chord.tones}
    third, seventh, fifth = tones.get(3), tones.get(7), tones.get(5)
    dominant = third == Tone(3) and seventh == Tone(7, -1)
    if semitones in (3, 4):
        fourth = tones.get(4)
        if third is None:
            return None if fourth is None or 5 in sounding else fourth
        return None if semitones == 3 and dominant and 4 in sounding else third
    if semitones in (10, 11):
        sixth = tones.get(6) if third == Tone(3) and semitones == 10 else None
        return sixth if seventh is None else seventh
    if semitones in (6, 7, 8) and fifth is not None:
        natural = fifth.alteration == 0
        tension = semitones == 6 if third == Tone(3) and natural else semitones == 8
        return None if semitones != 7 and (dominant or tension) else fifth
    if semitones in (1, 2):
        ninth = tones.get(9)
        if ninth is not None and (ninth.alteration == 0 or semitones == 2):
            return ninth
        plain = dominant or semitones == 2 or (4 in tones and seventh == Tone(7, -1))
        return None if plain else Tone(1)
    if semitones == 5 and third == Tone(3) and 4 not in sounding:
        return third
    return None
