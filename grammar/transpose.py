"""Notes, keys, chords and whole sheets moved by an interval, spelled as players read them."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from .chord import Chord
from .key import Key
from .pitch import Interval, PitchName
from .sheet import Bar, Frets, Sheet, SheetChord

# Notes, keys and chords moved by an interval, spelled as players read them.
#
# Names move by letters, so that spelling keeps its sense: what was the third stays a third. What
# would need a double accidental is named plainly. A key moved by semitones becomes the key of that
# pitch with the fewest sharps or flats; of two alike the one that keeps to the sharps or flats of
# the old key, else the flats.

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


# A sheet in another key: chords, keys and fixed grips moved, everything else as it was.
#
# Takes a sheet and an interval, gives the sheet moved by it. The interval comes from a named key,
# from semitones, or from an instrument that reads its part above where it sounds (a B♭ instrument a
# tone, an F instrument a fifth, an E♭ instrument a major sixth; MusicXML 4.0 gives the same as
# `transpose`). Unless a key is named, the new key is the one with the fewest sharps or flats; of
# two alike the one that keeps to the sharps or flats of the old key, else the flats.
#
# Names move by letters, so that spelling keeps its sense; what would need a double accidental is
# named plainly, and on the way back taken for what it stood for. A fixed grip moves along the neck
# by the same semitones, up or down an octave where that is nearer or needed; one that fits nowhere
# is dropped, and a warning says so.

#: How many semitones above its sound an instrument's part is written.
INSTRUMENTS: Final = {"Bb": 2, "F": 7, "Eb": 9}
#: Grips move within these frets; a grip with an open string stays one only where it is.
LAST_FRET: Final = 19


def interval_to_key(home: Key, target: Key) -> Interval:
    """The interval that brings a tune from its key to the tonic of another; its mode stays.

    Who asks for E♭ with a tune in C minor gets E♭ minor; D♭ minor has no signature: it is C♯ minor.
    """
    return home.tonic.interval_to(transpose_key(Key(target.tonic, home.mode), Interval(0, 0)).tonic)


def instrument_interval(home: Key, instrument: str) -> Interval:
    """The interval for an instrument in B♭, E♭ or F. Raises KeyError for another name."""
    return interval_for(home, INSTRUMENTS[instrument.replace("♭", "b")])


def transpose_sheet(sheet: Sheet, interval: Interval, home: Key | None = None) -> Sheet:
    """The sheet moved up by an interval within the octave; grips follow by the nearer way.

    `home` is the key that it leaves; left out, it is the one that the header states.
    """
    lost: list[str] = []
    leaves = sheet.header.key if home is None else home
    header = replace(sheet.header, key=_moved_key(sheet.header.key, interval))
    bars = tuple(
        replace(
            bar, chords=tuple(_moved(chord, bar, interval, leaves, lost) for chord in bar.chords)
        )
        for bar in sheet.bars
    )
    sections = tuple(
        replace(section, key=_moved_key(section.key, interval)) for section in sheet.sections
    )
    return replace(
        sheet, header=header, sections=sections, bars=bars, warnings=(*sheet.warnings, *lost)
    )


def _moved_key(key: Key | None, interval: Interval) -> Key | None:
    return None if key is None else transpose_key(key, interval)


def _moved(
    written: SheetChord, bar: Bar, interval: Interval, home: Key | None, lost: list[str]
) -> SheetChord:
    if written.chord is None or interval == Interval(0, 0):
        return written
    chord = transpose_chord(_meant_chord(written.chord, home), interval)
    pin = _moved_pin(written.pin, interval.semitones)
    if written.pin is not None and pin is None:
        lost.append(f"bar {bar.number}: the grip fixed for {written.text} fits nowhere for {chord}")
    return replace(written, chord=chord, text=str(chord), pin=pin)


def _meant_chord(chord: Chord, home: Key | None) -> Chord:
    """The chord with the names that stood for double accidentals in the key it leaves undone."""
    if home is None:
        return chord
    root = _meant(chord.root, home, chord.kind.startswith("diminished"))
    if chord.bass is None:
        return replace(chord, root=root)
    bass = chord.bass.up(chord.root.interval_to(root))
    return replace(chord, root=root, bass=bass if abs(bass.alteration) < 3 else chord.bass)


def _meant(name: PitchName, home: Key, diminished: bool) -> PitchName:
    """The name that letters alone would have given, were its double accidental in use.

    In G♭ a D7 stands for E𝄫7, the chord on the flat sixth; a diminished chord is on its way up and
    stands for the sharp one: in F♯ a G°7 stands for F𝄪°7. Other names are what they say.
    """
    place = name.fifths - home.fifths
    if diminished and place <= -5 and abs(name.up(SHARPER).alteration) > 1:
        return name.up(SHARPER)
    if not diminished and place >= 7 and abs(name.up(FLATTER).alteration) > 1:
        return name.up(FLATTER)
    return name


def _moved_pin(pin: Frets | None, semitones: int) -> Frets | None:
    """The grip moved by the nearer of the two ways round the octave that stays on the neck."""
    up = semitones % 12
    if pin is None or up == 0:
        return pin
    for shift in sorted((up, up - 12), key=abs):
        moved = tuple(None if fret is None else fret + shift for fret in pin)
        if all(fret is None or 1 <= fret <= LAST_FRET for fret in moved):
            return moved
    return None
