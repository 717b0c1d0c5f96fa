"""Every voicing of a chord on a neck, found by search: notes on strings and frets.

Takes a chord, a player and a style, gives `Voicing`s. `layouts_of` gives the strings that each tone
may use; the search puts the bass of each layout on every bass string and fret and the other tones
on the strings above it, within a hand's width. There is no table of shapes. Strings are indices
from the lowest string, 0; bass strings are those below the two guide-tone strings (4 and 3 on six
strings); shells leave the strings above silent (common practice, no source). Triads use the three
strings above their bass.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations, permutations

from ...grammar.chord import Chord, Tone
from ...grammar.frozen import frozen
from .grip import VoicedNote, Voicing
from .plan import Style
from .player import (
    AS_WRITTEN,
    ROOT,
    Neck,
    Player,
    Preferences,
    colour_tones,
    guide_tones,
    named_tones,
)

#: The maximum distance in frets between a tone added to the shell and the shell's other notes.
ADDED_FRETS = 2

#: The maximum distance in frets between a written bass and the tones above it.
BASS_FRETS = 3

#: The maximum distance in frets between the lowest and the highest fret of a voicing.
WIDEST_FRETS = 4

Tones = tuple[Tone, ...]


@frozen
class Layout:
    """One layout of a chord: the bass, the tones above it, the strings that each may use.

    `widest` is the maximum distance of two of its notes in frets, `fixed` are tones whose string is
    given.
    """

    bass: tuple[int, Tone | None]
    bass_strings: tuple[int, ...]
    upper: Tones
    upper_strings: tuple[int, ...]
    widest: int = WIDEST_FRETS
    fixed: tuple[tuple[Tone, int], ...] = ()


def layouts_of(
    chord: Chord, player: Player, style: Style, in_line: bool = False
) -> Iterator[list[Layout]]:
    """The layouts of a chord in a style; a list is tried if the list before gives no voicing.

    `in_line`: its written bass is part of a bass line on its root.
    """
    neck = player.neck
    uppers = upper_tones(chord, player.preferences)
    if style == "guide tones" and chord.bass is None:
        yield _guide_layouts(chord, player)
    if style == "four-note":
        yield _four_note_layouts(chord, player, in_line)
    if style == "colour" and chord.bass is None:
        yield _colour_layouts(chord, neck, uppers)
    if chord.bass is None:
        yield _triad_layouts(chord, player) or (
            _shell_layouts(chord, neck, uppers) + _half_diminished_layouts(chord, player)
        )
    else:
        yield _bass_layouts(chord, player, in_line)
    everywhere = tuple(range(1, len(neck.tuning)))
    yield [_layout(chord, neck, tones, everywhere, wide=True) for tones in uppers]
    yield [_layout(chord, neck, tones[:1], everywhere, wide=True) for tones in uppers]


def _shell_layouts(chord: Chord, neck: Neck, uppers: tuple[Tones, ...]) -> list[Layout]:
    """Bass and guide tones, alone and with one more tone that the symbol names."""
    guides, above = guide_strings(neck), _strings_above(neck)
    plain = [_layout(chord, neck, tones, guides) for tones in uppers]
    with_named = [
        replace(_layout(chord, neck, (*tones, tone), (*guides, *above[:1])), widest=ADDED_FRETS)
        for tones in uppers
        for tone in named_tones(chord)
        if tone not in tones
    ]
    return plain + with_named


def _triad_layouts(chord: Chord, player: Player) -> list[Layout]:
    """Root, third and plain fifth of a triad, on the three strings above its bass; else none.

    The strings of the guide tones alone give no such grip within a hand's width.
    """
    neck = player.neck
    if chord.kind not in ("major", "minor") or chord.changes:
        return []
    third, top = guide_tones(chord, player.preferences)
    if third is None or top is not None:
        return []
    fifth = tuple(tone for tone in chord.tones if tone.degree == 5)
    layout = _layout(chord, neck, (third, *fifth), ())
    last = len(neck.tuning)
    return [
        replace(
            layout,
            bass_strings=(bass,),
            upper_strings=tuple(range(bass + 1, min(bass + 4, last))),
            widest=BASS_FRETS,
        )
        for bass in layout.bass_strings
    ]


def _half_diminished_layouts(chord: Chord, player: Player) -> list[Layout]:
    """The minor sixth shell on the third of a half-diminished chord: Bbm6 for Gm7b5.

    It holds root, third and flat fifth. Players for whom a bare shell is enough get none.
    """
    neck = player.neck
    if chord.kind != "half-diminished" or chord.changes or not player.effort.unsaid_mm:
        return []
    _, third, fifth, _ = chord.tones
    bass = (chord.root.pitch_class + third.semitones) % 12, third
    plain = _layout(chord, neck, (ROOT, fifth), guide_strings(neck))
    return [replace(plain, bass=bass, widest=ADDED_FRETS)]


def _bass_layouts(chord: Chord, player: Player, in_line: bool) -> list[Layout]:
    """A written bass and two or three tones above it.

    Two tones lie on the strings of the guide tones; with the root among them, up to string 2 if no
    such grip lies inside the window. Three tones lie on the strings up to string 2.
    """
    neck = player.neck
    strings = guide_strings(neck)
    wide = (*strings, *_strings_above(neck)[:1])
    layouts = [
        replace(_layout(chord, neck, tones, wide if len(tones) > 2 else strings), widest=BASS_FRETS)
        for tones in tones_over_bass(chord, player.preferences, in_line)
    ]
    rooted = [one for one in layouts if len(one.upper) == 2 and ROOT in (one.bass[1], *one.upper)]
    low, high = player.window
    for layout in rooted:
        if any(low <= one.notes[0].fret <= high for one in _search(layout, chord, neck)):
            return layouts
    return [replace(one, upper_strings=wide) if one in rooted else one for one in layouts]


def tones_over_bass(chord: Chord, preferences: Preferences, in_line: bool) -> tuple[Tones, ...]:
    """Two or three tones above a written bass: root, guide tones, fifth, tones that are named.

    The third sounds, in the bass or above it, and over a sixth or seventh in the bass the root. In
    a bass line on one root that tone may be doubled instead, so that the bass walks under a grip
    that stays. Which other tones sound is left to their price (`Effort.unsaid_mm`).
    """
    third, top = guide_tones(chord, preferences)
    bass = bass_tone(chord)
    fifth = [tone for tone in chord.tones if tone.degree == 5]
    pool = dict.fromkeys((ROOT, third, top, *fifth, *named_tones(chord)))
    on_top = bass is not None and bass == top
    above = [tone for tone in pool if tone is not None and (tone != bass or (on_top and in_line))]
    return tuple(
        tones
        for count in (2, 3)
        for tones in combinations(above, min(count, len(above)))
        if (third is None or third in (bass, *tones)) and (ROOT in tones or not on_top or in_line)
    )


def _colour_layouts(chord: Chord, neck: Neck, uppers: tuple[Tones, ...]) -> list[Layout]:
    """A shell with a colour tone on one of the strings above it."""
    return [
        replace(_layout(chord, neck, tones, guide_strings(neck)), fixed=((tone, string),))
        for tones in uppers
        for tone in colour_tones(chord)
        if tone not in tones
        for string in _strings_above(neck)
    ]


def _doubled_layouts(chord: Chord, player: Player) -> list[Layout]:
    """The root twice, the third and the tone of a line, on the strings up to string 2."""
    neck = player.neck
    strings = (*guide_strings(neck), *_strings_above(neck)[:1])
    return [
        replace(_layout(chord, neck, (ROOT, *tones), strings), widest=BASS_FRETS)
        for tones in upper_tones(chord, player.preferences)
        if ROOT not in tones and len(tones) == 2
    ]


def _strings_above(neck: Neck) -> tuple[int, ...]:
    """The indices of the strings above those of the guide tones."""
    return tuple(range(guide_strings(neck)[-1] + 1, len(neck.tuning)))


def guide_strings(neck: Neck) -> tuple[int, ...]:
    """The indices of the two strings for third and seventh: strings 4 and 3 of six."""
    count = len(neck.tuning)
    first = count - 4 if count >= 5 else max(count - 2, 0)
    return tuple(range(first, min(first + 2, count)))


def upper_tones(chord: Chord, preferences: Preferences) -> tuple[Tones, ...]:
    """The tones above the bass in a three-note voicing, as alternatives of equal rank."""
    third, top = guide_tones(chord, preferences)
    bass = bass_tone(chord)
    guides = [tone for tone in (third, top) if tone is not None and tone != bass]
    if len(guides) == 2:
        return (tuple(guides),)
    fifth = [tone for tone in chord.tones if tone.degree == 5 and tone != bass]
    others = [tone for tone in chord.tones if tone.degree > 7 and tone != bass]
    fill = [ROOT, *fifth, *others[-1:]]
    missing = 2 - len(guides)
    return tuple(tuple(guides) + more for more in combinations(fill, min(missing, len(fill))))


def bass_tone(chord: Chord) -> Tone | None:
    """The tone of the lowest note: the root, or the written bass (None: no chord tone)."""
    if chord.bass is None:
        return ROOT
    wanted = chord.bass.pitch_class
    root = chord.root.pitch_class
    matches = (tone for tone in chord.tones if (root + tone.semitones) % 12 == wanted)
    return next(matches, None)


def _bass(chord: Chord) -> tuple[int, Tone | None]:
    name = chord.root if chord.bass is None else chord.bass
    return name.pitch_class, bass_tone(chord)


def _layout(
    chord: Chord, neck: Neck, upper: Tones, strings: tuple[int, ...], wide: bool = False
) -> Layout:
    last = len(neck.tuning) - 1 if wide else guide_strings(neck)[0]
    return Layout(_bass(chord), tuple(range(last)), upper, strings)


def _guide_layouts(chord: Chord, player: Player) -> list[Layout]:
    third, top = guide_tones(chord, player.preferences)
    if third is None or top is None:
        return []
    low, high = guide_strings(player.neck)
    root = chord.root.pitch_class
    return [
        Layout(((root + lower.semitones) % 12, lower), (low,), (upper,), (high,))
        for lower, upper in ((third, top), (top, third))
    ]


def _four_note_layouts(chord: Chord, player: Player, in_line: bool) -> list[Layout]:
    """Root, both guide tones and a fourth tone on neighbouring strings up to string 2 (or 1)."""
    count = len(player.neck.tuning)
    blocks = [tuple(range(top - 3, top)) for top in (count - 1, count) if top >= 4]
    return [
        Layout(_bass(chord), (string,), tones, block)
        for tones in _three_above(chord, player.preferences, in_line)
        for block in blocks
        for string in range(max(block[0] - 2, 0), block[0])
        if not (block[-1] == count - 1 and string < block[0] - 1)
    ]


def _three_above(chord: Chord, preferences: Preferences, in_line: bool) -> list[Tones]:
    """The three tones above the bass of four-note grips; a triad may double its root."""
    if chord.bass is not None:
        over_bass = tones_over_bass(chord, preferences, in_line)
        return [tones for tones in over_bass if len(tones) == 3]
    named = named_tones(chord) or tuple(tone for tone in chord.tones if tone.degree == 5)
    return [
        (*tones, tone)
        for tones in upper_tones(chord, preferences)
        for tone in [one for one in named if one not in tones] or [ROOT]
        if tone not in tones
    ]


def voicings(
    chord: Chord, player: Player, style: Style, in_line: bool = False
) -> tuple[Voicing, ...]:
    """The voicings of a chord in a style, each once: the first of `voicing_lists`, or none."""
    return next(voicing_lists(chord, player, style, in_line), ())


def voicing_lists(
    chord: Chord, player: Player, style: Style, in_line: bool = False
) -> Iterator[tuple[Voicing, ...]]:
    """Lists of voicings of a chord, those of the style first, then of the nearest kinds.

    Each has a fixed order and holds each voicing once; none is empty. A chord without a voicing in
    the style (a power chord as guide tones) gets those of the next list. A chord `in_line` is
    played as written; its root may be doubled, so that the line finds a string beside the third,
    and so may the sixth or seventh in its bass.
    """
    more: list[Layout] = []
    if in_line and chord.bass is None:
        player = replace(player, preferences=AS_WRITTEN)
        uppers = upper_tones(chord, AS_WRITTEN)
        more = [*_shell_layouts(chord, player.neck, uppers), *_doubled_layouts(chord, player)]
    for layouts in layouts_of(chord, player, style, in_line):
        found = dict.fromkeys(
            voicing
            for layout in (*layouts, *more)
            for voicing in _search(layout, chord, player.neck)
            if chord.bass is not None or _keeps_root(voicing, player)
        )
        if found:
            yield tuple(found)


def _keeps_root(voicing: Voicing, player: Player) -> bool:
    """Whether the root is the lowest note, or lies inside the window above another."""
    low, high = player.window
    return voicing.root == voicing.bass or low <= voicing.root.fret <= high


def _search(layout: Layout, chord: Chord, neck: Neck) -> Iterator[Voicing]:
    omitted = _left_out(chord, layout)
    root = chord.root.pitch_class
    for bass in layout.bass_strings:
        above = [string for string in layout.upper_strings if string > bass]
        placements = [
            (*zip(tones, strings, strict=True), *layout.fixed)
            for tones in permutations(layout.upper)
            for strings in combinations(above, len(tones))
        ]
        for fret in _frets_of(layout.bass[0], bass, neck):
            low = VoicedNote(_number(bass, neck), fret, neck.tuning[bass] + fret, layout.bass[1])
            for placement in placements:
                frets = [
                    _near(root + tone.semitones - neck.tuning[string], fret)
                    for tone, string in placement
                ]
                if max(*frets, fret) - min(*frets, fret) <= layout.widest:
                    yield from _voiced(low, placement, frets, omitted, neck)


def _voiced(
    low: VoicedNote,
    placement: tuple[tuple[Tone, int], ...],
    frets: list[int],
    omitted: Tones,
    neck: Neck,
) -> Iterator[Voicing]:
    """The voicing of notes on frets, none when one is off the neck or not above the bass."""
    if min(frets) < 1 or max(frets) > neck.last_fret:
        return
    notes = [
        VoicedNote(_number(string, neck), fret, neck.tuning[string] + fret, tone)
        for (tone, string), fret in zip(placement, frets, strict=True)
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


def unsounded_tones(chord: Chord, voicing: Voicing) -> Tones:
    """The tones that a symbol says but a voicing does not sound.

    First root, third and sixth or seventh, then those of `named_tones`. Examples are the flat ninth
    of C7b9 played as a plain shell, and the seventh of a half-diminished chord played as the minor
    sixth on its third. Two notes are guide tones, which never have a root.
    """
    sounding = {note.midi % 12 for note in voicing.notes}
    root = chord.root.pitch_class
    core = tuple(tone for tone in chord.tones if tone.degree in (1, 3, 6, 7))
    said = dict.fromkeys((*core, *named_tones(chord)))
    return tuple(
        tone
        for tone in said
        if (root + tone.semitones) % 12 not in sounding
        and (tone.degree != 1 or len(voicing.notes) > 2)
    )


def _left_out(chord: Chord, layout: Layout) -> Tones:
    """The tones named by the symbol that a layout leaves out, root and seventh over a bass too."""
    root = chord.root.pitch_class
    tones = (*layout.upper, *(tone for tone, _ in layout.fixed))
    given = {(root + tone.semitones) % 12 for tone in tones} | {layout.bass[0]}
    wanted = named_tones(chord)
    if chord.bass is not None or layout.bass[1] not in (ROOT, None):
        wanted = (ROOT, *(tone for tone in chord.tones if tone.degree in (6, 7)), *wanted)
    return tuple(tone for tone in wanted if (root + tone.semitones) % 12 not in given)
