"""Choices of taste: which tones a plain symbol is played with, and which tones speak for a chord.

Takes a `Chord` and a `Taste`, gives tones. Common practice, no source: third and seventh (the guide
tones) carry the quality; in sixth chords the sixth stands for the seventh, in suspended chords the
fourth for the third.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from ...grammar.chord import Chord, Tone

MajorTriads = Literal["sixth", "major seventh", "triad"]
MinorTriads = Literal["minor sixth", "minor seventh", "triad"]
DiminishedTriads = Literal["diminished seventh", "triad"]
TonicSevenths = Literal["as written", "sixth", "major seventh"]

ROOT: Final = Tone(1)
_TRIAD_TOPS: Final = {
    ("major", "sixth"): Tone(6),
    ("major", "major seventh"): Tone(7),
    ("minor", "minor sixth"): Tone(6),
    ("minor", "minor seventh"): Tone(7, -1),
    ("diminished", "diminished seventh"): Tone(7, -2),
}
_COLOURS: Final = (Tone(5), Tone(9), Tone(13))


@dataclass(frozen=True, slots=True)
class Taste:
    """How a player plays what the symbol leaves open; the defaults are those of the swing era.

    `major_triads`: a plain major triad is played as a sixth chord, as a major seventh or as it
    stands; `minor_triads` as a minor sixth, a minor seventh or as it stands; `diminished_triads` as
    a diminished seventh or as it stands. `tonic_sevenths`: written sixths and major sevenths stay
    as they are, or all become sixths (swing era) or all major sevenths (later). Chords with a
    written bass are always played as they stand. Common practice, no source.
    """

    major_triads: MajorTriads = "sixth"
    minor_triads: MinorTriads = "minor sixth"
    diminished_triads: DiminishedTriads = "diminished seventh"
    tonic_sevenths: TonicSevenths = "as written"


def guide_tones(chord: Chord, taste: Taste) -> tuple[Tone | None, Tone | None]:
    """The third (or what stands for it) and the seventh (or sixth); None where it has none."""
    tones = {tone.degree: tone for tone in chord.tones}
    third = next((tones[degree] for degree in (3, 4, 2) if degree in tones), None)
    top = next((tones[degree] for degree in (7, 6) if degree in tones), None)
    if chord.kind in ("major-seventh", "major-sixth") and chord.bass is None:
        top = {"sixth": Tone(6), "major seventh": Tone(7)}.get(taste.tonic_sevenths, top)
    if top is None and chord.bass is None and not chord.changes:
        top = _triad_top(chord.kind, taste)
    return third, top


def _triad_top(kind: str, taste: Taste) -> Tone | None:
    wish = {
        "major": taste.major_triads,
        "minor": taste.minor_triads,
        "diminished": taste.diminished_triads,
    }.get(kind, "")
    return _TRIAD_TOPS.get((kind, wish))


def named_tones(chord: Chord) -> tuple[Tone, ...]:
    """The tones that the symbol itself names besides root and guide tones, the boldest first.

    Altered fifths, added and altered degrees, and the highest extension (9 of C9, 13 of C13); not
    the plain fifth, nor what is merely implied below the highest extension.
    """
    written = {change.degree for change in chord.changes if change.type != "omit"}
    tones = [tone for tone in chord.tones if tone.degree not in (1, 2, 3, 4, 6, 7)]
    highest = max((tone.degree for tone in tones if tone.degree > 7), default=0)
    said = [
        tone
        for tone in tones
        if tone.degree in written
        or tone.degree == highest
        or (tone.alteration != 0 and tone.degree == 5)
    ]
    return tuple(sorted(said, key=lambda tone: (tone.alteration == 0, -tone.degree)))


def colour_tones(chord: Chord) -> tuple[Tone, ...]:
    """What may colour a shell: the tones that the symbol names, else fifth, ninth and thirteenth.

    A thirteenth only where the chord has a major third and a seventh: on others it blurs the
    quality.
    """
    named = named_tones(chord)
    if named:
        return named
    tones = {tone.degree: tone for tone in chord.tones}
    third, seventh = tones.get(3), tones.get(7)
    bright = third is not None and third.alteration == 0 and seventh is not None
    fifth = tones.get(5)
    if fifth is not None and fifth.alteration != 0:
        return (fifth,)
    return tuple(tone for tone in _COLOURS if tone.degree != 13 or bright)
