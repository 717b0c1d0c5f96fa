"""Keys, chords and whole sheets transposed by an interval, spelled as players read them.

Names move by letters: a third stays a third. A name that would need a double accidental takes its
plain name; transposing back restores the name it replaced (`_meant`). In a sheet whole passages
take the simpler of their names (`spelling`). A key moved by semitones becomes the key of that pitch
with the fewest sharps or flats; of two alike the one that keeps to the sharps or flats of the old
key, else the flats.

A sheet's interval comes from a named key, from semitones, or from an instrument that reads its part
above where it sounds (a B♭ instrument a tone, an F instrument a fifth, an E♭ instrument a major
sixth; MusicXML 4.0, element `transpose`, has the same). A fixed grip moves along the neck by the
same semitones, up or down an octave where that is nearer or needed; one that fits nowhere is left
out, and a warning names it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from .chord import Chord
from .key import Key
from .pitch import FLATTER, SHARPER, Interval, PitchName, plain_name
from .sheet import Bar, Frets, Sheet, SheetChord
from .spelling import SpelledRoot, spelled_roots


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

    It is within the octave above: a tone down becomes a minor seventh up. Eleven semitones up from
    D it is a diminished octave, to D♭; 0 semitones are the unison.
    """
    size = semitones % 12
    steps = range(8) if size else range(1)
    return min((Interval(each, size) for each in steps), key=lambda each: _rank(key, each))


def _rank(key: Key, interval: Interval) -> tuple[int, bool, int]:
    fifths = Key(key.tonic.up(interval), key.mode).fifths
    return abs(fifths), fifths * key.fifths < 0, fifths


#: Instruments and how many semitones above their sound their parts are written.
INSTRUMENTS: Final = {"Bb": 2, "F": 7, "Eb": 9}
#: Transposed grips stay from fret 1 to this one; open strings cannot move along the neck.
LAST_FRET: Final = 19


def interval_to_key(home: Key, target: Key) -> Interval:
    """The interval from the key of a tune to the tonic of another key; the mode stays.

    The target E♭ for a tune in C minor gives E♭ minor; D♭ minor has no signature, so it gives C♯
    minor.
    """
    return home.tonic.interval_to(transpose_key(Key(target.tonic, home.mode), Interval(0, 0)).tonic)


def instrument_interval(home: Key, instrument: str) -> Interval:
    """The interval for an instrument in B♭, E♭ or F. Raises KeyError for another name."""
    return interval_for(home, INSTRUMENTS[instrument.replace("♭", "b")])


def transpose_sheet(sheet: Sheet, interval: Interval, home: Key | None = None) -> Sheet:
    """The sheet moved up by an interval within the octave; grips move up or down.

    `home` is the key that it leaves; None for the one that the header states.
    """
    lost: list[str] = []
    leaves = sheet.header.key if home is None else home
    header = replace(sheet.header, key=_moved_key(sheet.header.key, interval))
    chords = iter(_moved_chords(sheet, interval, leaves))
    bars = tuple(
        replace(
            bar,
            chords=tuple(
                _moved(written, next(chords), bar, interval, lost) for written in bar.chords
            ),
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


def _moved_chords(sheet: Sheet, interval: Interval, home: Key | None) -> list[Chord | None]:
    """The transposed chord of each written one, None for silence, spelled with simple names."""
    meant = [
        None if chord.chord is None else _meant_chord(chord.chord, home) for chord in sheet.chords
    ]
    roots = [
        SpelledRoot(
            chord.root.up(interval),
            chord.kind.startswith("major"),
            key,
            chord.kind.startswith("dominant"),
            None if chord.bass is None else chord.root.interval_to(chord.bass),
        )
        for chord, key in zip(meant, _chord_keys(sheet, home, interval), strict=True)
        if chord is not None
    ]
    names = iter(spelled_roots(roots))
    return [None if chord is None else _on_root(chord, next(names)) for chord in meant]


def _chord_keys(sheet: Sheet, home: Key | None, interval: Interval) -> Iterator[Key | None]:
    """For each written chord the transposed key that is stated last before it, else `home`."""
    stated = [_moved_key(home, interval)]
    for section in sheet.sections:
        stated.append(stated[-1] if section.key is None else _moved_key(section.key, interval))
    for bar, section_of_bar in enumerate(sheet.bar_sections):
        yield from [stated[section_of_bar + 1]] * len(sheet.chords_of(bar))


def _on_root(chord: Chord, root: PitchName) -> Chord:
    """The chord on another root, its bass at the same interval above."""
    bass = None if chord.bass is None else root.up(chord.root.interval_to(chord.bass))
    return Chord(root, chord.kind, chord.changes, None if bass is None else plain_name(bass))


def _moved(
    written: SheetChord, chord: Chord | None, bar: Bar, interval: Interval, lost: list[str]
) -> SheetChord:
    if chord is None or interval == Interval(0, 0):
        return written
    pin = _moved_pin(written.pin, interval.semitones)
    if written.pin is not None and pin is None:
        lost.append(f"bar {bar.number}: the grip fixed for {written.text} fits nowhere for {chord}")
    kept = pin == written.pin or (pin is not None and 0 not in (written.pin or ()))
    fingers = written.fingers if kept else None
    return replace(written, chord=chord, text=str(chord), pin=pin, fingers=fingers)


def _meant_chord(chord: Chord, home: Key | None) -> Chord:
    """The chord with the double accidentals that its plain names replaced in the key it leaves."""
    if home is None:
        return chord
    root = _meant(chord.root, home, chord.kind.startswith("diminished"))
    if chord.bass is None:
        return replace(chord, root=root)
    bass = chord.bass.up(chord.root.interval_to(root))
    return replace(chord, root=root, bass=bass if abs(bass.alteration) < 3 else chord.bass)


def _meant(name: PitchName, home: Key, diminished: bool) -> PitchName:
    """The name with the double accidental that a plain name replaces in a key.

    In G♭ a D7 stands for E𝄫7, the chord on the flat sixth. A diminished chord leads upwards and
    stands for the sharp name: in F♯ a G°7 stands for F𝄪°7. Other names stay.
    """
    place = name.fifths - home.fifths
    if diminished and place <= -5 and abs(name.up(SHARPER).alteration) > 1:
        return name.up(SHARPER)
    if not diminished and place >= 7 and abs(name.up(FLATTER).alteration) > 1:
        return name.up(FLATTER)
    return name


def _moved_pin(pin: Frets | None, semitones: int) -> Frets | None:
    """The grip moved up, or down an octave less: the nearer one that stays on the neck, or None."""
    up = semitones % 12
    if pin is None or up == 0:
        return pin
    for shift in sorted((up, up - 12), key=abs):
        moved = tuple(None if fret is None else fret + shift for fret in pin)
        if all(fret is None or 1 <= fret <= LAST_FRET for fret in moved):
            return moved
    return None
