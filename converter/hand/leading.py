"""Voices that a change leads by step: slides of the bass, and the lines of chords on one root.

Takes the two chords of a change, gives `Lead`s: voices that a player keeps on one string, so that
they are heard as one line. Three kinds are found: a root that moves a semitone (a tritone
substitute and its goal), a bass that moves a semitone or a tone at a written bass, and the line
inside chords on one root with one third (Cm, Cm(maj7), Cm7, Cm6). A grip change without such a
voice has a price (`Effort.slide_mm`, `Effort.line_mm`). All of this is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import pairwise

from ...grammar.chord import Chord
from ...grammar.frozen import frozen
from .player import AS_WRITTEN, guide_tones


@frozen
class Lead:
    """A voice from pitch class `start` to pitch class `goal`: `step` frets on one string.

    `lowest`: the voice is the lowest of both grips.
    """

    start: int
    goal: int
    step: int
    lowest: bool


@lru_cache(maxsize=4096)
def leads_between(start: Chord, goal: Chord) -> tuple[Lead, ...]:
    """The voices that a change from one chord to another leads by step."""
    if start.bass is None and goal.bass is None and start.root.pitch_class == goal.root.pitch_class:
        return _lines(start, goal)
    low, high = (_lowest(chord) for chord in (start, goal))
    step = (high - low + 6) % 12 - 6
    widest = 1 if start.bass is None and goal.bass is None else 2
    return (Lead(low, high, step, lowest=True),) if 0 < abs(step) <= widest else ()


def _lowest(chord: Chord) -> int:
    return (chord.root if chord.bass is None else chord.bass).pitch_class


def _lines(start: Chord, goal: Chord) -> tuple[Lead, ...]:
    """The lines by semitone above a common root, under or over a common third."""
    root = start.root.pitch_class
    return tuple(
        Lead((root + low) % 12, (root + high) % 12, high - low, lowest=False)
        for low in _line_tones(start)
        for high in _line_tones(goal)
        if abs(high - low) == 1 and _third(start) == _third(goal)
    )


def _third(chord: Chord) -> int | None:
    third = guide_tones(chord, AS_WRITTEN)[0]
    return None if third is None else third.semitones


def _line_tones(chord: Chord) -> tuple[int, ...]:
    """The tones that carry a line, in semitones: seventh or sixth; fifth and octave of a triad."""
    third, top = guide_tones(chord, AS_WRITTEN)
    if third is None or chord.kind == "diminished":
        return ()
    if top is not None:
        return (top.semitones % 12,)
    return (*(tone.semitones for tone in chord.tones if tone.degree == 5), 12)


def chords_in_lines(played: Sequence[tuple[int, Chord]]) -> frozenset[int]:
    """The indices of chords that share a line on their root, in the played order.

    Those on one root with a triad are played as written: a sixth or seventh that a player adds to a
    triad, or puts in the place of another, would break the line. The bass of Cm7/Bb walks under
    the grip of the Cm7 or Cm6/B before it. `played` are the indices and chords of a chorus with the
    first playing again at its end.
    """
    found: set[int] = set()
    run: list[tuple[int, Chord]] = []
    for one, other in pairwise(played):
        same_root = one[1].root == other[1].root
        if same_root:
            found.update(_over_walk(one, other))
        if same_root and any(not lead.lowest for lead in leads_between(one[1], other[1])):
            run += [one, other]
        else:
            found.update(_with_triad(run))
            run = []
    return frozenset(found.union(_with_triad(run)))


def _over_walk(*pair: tuple[int, Chord]) -> Iterator[int]:
    """The chords of a pair on one root whose written bass is a step from that of the other.

    The other is no triad: it has a sixth or seventh that the grip can keep.
    """
    for (index, chord), (_, other) in (pair, pair[::-1]):
        step = (_lowest(chord) - _lowest(other) + 6) % 12 - 6
        holds = guide_tones(other, AS_WRITTEN)[1] is not None
        if chord.bass is not None and 0 < abs(step) <= 2 and holds:
            yield index


def _with_triad(run: Sequence[tuple[int, Chord]]) -> list[int]:
    """The indices of a run of chords if one of them is a plain triad, else none."""
    plain = any(guide_tones(chord, AS_WRITTEN)[1] is None for _, chord in run)
    return [index for index, _ in run] if plain else []
