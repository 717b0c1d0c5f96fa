"""Voicings by search: which notes on which strings can say a chord, for any tuning.

Takes a chord, a player and a style, gives voicings. Nothing here is a picture of a shape: the bass
note of each layout is put on every bass string and fret, the tones that speak for the chord on the
strings above it, within a hand's width.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, permutations

from ...grammar.chord import Chord, Tone
from .grip import VoicedNote, Voicing
from .layouts import Layout, Tones, layouts_of
from .player import Neck, Player
from .taste import named_tones
from .wishes import Style


def voicings(chord: Chord, player: Player, style: Style) -> tuple[Voicing, ...]:
    """The voicings of a chord in a style, each once, in a fixed order.

    The first of several layouts that fits the neck at all is taken, so that a chord which the style
    cannot say (a power chord as guide tones) is still said as near to it as possible.
    """
    for layouts in layouts_of(chord, player, style):
        found = dict.fromkeys(
            voicing for layout in layouts for voicing in _search(layout, chord, player.neck)
        )
        if found:
            return tuple(found)
    return ()


def _search(layout: Layout, chord: Chord, neck: Neck) -> Iterator[Voicing]:
    omitted = _left_out(chord, layout)
    root = chord.root.pitch_class
    for bass in layout.bass_strings:
        above = [string for string in layout.upper_strings if string > bass]
        places = [
            (*zip(tones, strings, strict=True), *layout.fixed)
            for tones in permutations(layout.upper)
            for strings in combinations(above, len(tones))
        ]
        for fret in _frets_of(layout.bass[0], bass, neck):
            low = VoicedNote(_number(bass, neck), fret, neck.tuning[bass] + fret, layout.bass[1])
            for place in places:
                frets = [
                    _near(root + tone.semitones - neck.tuning[string], fret)
                    for tone, string in place
                ]
                if max(*frets, fret) - min(*frets, fret) <= layout.widest:
                    yield from _voiced(low, place, frets, omitted, neck)


def _voiced(
    low: VoicedNote,
    place: tuple[tuple[Tone, int], ...],
    frets: list[int],
    omitted: Tones,
    neck: Neck,
) -> Iterator[Voicing]:
    """The voicing of notes on frets, none when one is off the neck or not above the bass."""
    if min(frets) < 1 or max(frets) > neck.last_fret:
        return
    notes = [
        VoicedNote(_number(string, neck), fret, neck.tuning[string] + fret, tone)
        for (tone, string), fret in zip(place, frets, strict=True)
    ]
    if all(note.midi > low.midi for note in notes):
        yield Voicing((low, *notes), omitted)


def _near(semitones: int, fret: int) -> int:
    """The fret of a pitch class that is nearest to `fret`: within six frets either way."""
    return fret + (semitones - fret + 6) % 12 - 6


def _frets_of(pitch_class: int, string: int, neck: Neck) -> range:
    first = (pitch_class - neck.tuning[string]) % 12
    return range(first or 12, neck.last_fret + 1, 12)


def _number(string: int, neck: Neck) -> int:
    return len(neck.tuning) - string


def _left_out(chord: Chord, layout: Layout) -> Tones:
    """The tones named by the symbol that a layout leaves out."""
    root = chord.root.pitch_class
    tones = (*layout.upper, *(tone for tone, _ in layout.fixed))
    heard = {(root + tone.semitones) % 12 for tone in tones} | {layout.bass[0]}
    return tuple(tone for tone in named_tones(chord) if (root + tone.semitones) % 12 not in heard)
