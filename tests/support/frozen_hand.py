"""Grips, fingerings and their costs, whole: for chords of every kind, players and styles.

Nothing here claims to be the one right grip: it shows each cost and each order that a change of the
hand's rules alters.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from typing import Final

from midneck.converter.hand.clashes import clashes_of
from midneck.converter.hand.costs import Candidates, candidates
from midneck.converter.hand.fingerings import fingering_of, refusal
from midneck.converter.hand.grip import Grip, frets_text, grip_alternative, pitch_text
from midneck.converter.hand.plan import STYLES
from midneck.converter.hand.player import BEGINNER, SMALL_HAND, Neck, Player
from midneck.converter.hand.voicings import unsounded_tones
from midneck.converter.prose.hand import explanation_lines
from midneck.grammar.chord import Chord
from midneck.grammar.chord_parser import parse_chord
from midneck.grammar.text.reader import read_sheet

from support.charts import chart_of

SYMBOLS: Final = (
    "C", "Ebm", "F#7", "Bbmaj7", "Am7", "Dm7b5", "G°7", "Ab6", "Em6", "C7b9", "F13(#11)", "Bb7sus4",
    "D+", "G7#5", "Bm(maj7)", "C6/9", "Eb9", "Dm7/G", "C/E", "Ab7/Gb", "E7alt", "Fmaj7#5",
)  # fmt: skip
LOW: Final = Player(neck=Neck((35, 40, 45, 50, 55, 59, 64), 673.1, 22, 9.0, 14), window=(2, 9))
PLAYERS: Final = {
    "adult": Player(), "small hand": SMALL_HAND, "beginner": BEGINNER, "seven strings": LOW,
}  # fmt: skip
SHAPES: Final = 80
#: Changes with a leap, a line, a common tone, a pin, silence; the form is played round.
CHANGES: Final = (
    "| Cmaj7 | F#7 | Bm7b5 E7b9 | Am6 ||",
    "| Dm | Dm(maj7) | Dm7 | Dm6 G7 ||",
    "| Gmaj7<3 x 4 4 3 x> | N.C. | Am7 D7 | Ab7#11 ||",
    "| Cmaj7<x 3 5 3 5 x> | Fm7<x 8 10 9 x x> | Bb7 | Eb6 ||",
    "| F7 | F#°7 | Gm7 | C7 ||",
    "|: Ebmaj7 Cm7 | Fm7 Bb7 :| Eb6 ||",
)


def grips_text() -> str:
    """Candidates of the symbols for each player and style, fingerings of shapes drawn by chance."""
    lines = [*_all_candidates(), *_fingerings(), *_refusals()]
    return "".join(f"{line}\n" for line in lines)


def plans_text() -> str:
    """Why the hand plays the changes as it does, and the clashes of pinned grips."""
    return "".join(f"{line}\n" for line in _plans())


def _all_candidates() -> Iterator[str]:
    for who, player in PLAYERS.items():
        for style in STYLES if who == "adult" else ("shell",):
            for symbol in SYMBOLS:
                one = parse_chord(symbol)
                found = candidates(one, player, style)
                yield f"{symbol} {style} {who}: {len(found.grips)}"
                yield from _best(one, found)


def _best(one: Chord, found: Candidates, most: int = 3) -> Iterator[str]:
    for row, grip in enumerate(found.grips[:most]):
        costs = " ".join(f"{part:.1f}" for part in found.parts[row])
        pitches = " ".join(pitch_text(note, one) for note in grip.voicing.notes)
        missing = " ".join(map(str, unsounded_tones(one, grip.voicing)))
        yield f"  {_grip(grip)}; {pitches}; without {missing or 'none'}; {costs}"


def _grip(grip: Grip) -> str:
    barres = " ".join(f"{one.finger}@{one.fret}:{one.low}-{one.high}" for one in grip.barres)
    mutes = " ".join(f"{string}by{finger}" for string, finger in grip.mutes)
    return f"{grip_alternative(grip)}, at {grip.position}, barres {barres}, mutes {mutes}"


def _fingerings() -> Iterator[str]:
    chance = random.Random(7)
    for _ in range(SHAPES):
        low = chance.randrange(0, 9)
        frets = tuple(
            None if chance.random() < 0.35 else low + chance.randrange(0, 4) for _ in range(6)
        )
        if all(fret is None for fret in frets):
            continue
        found = fingering_of(frets, Player())
        told = "none"
        if found is not None:
            told = f"{found.fingers} {found.low} {found.high} {found.fret} {found.mutes}"
            told = f"{told} {found.counts} {found.barres}"
        yield f"{frets_text(frets)}: {told}"


def _refusals() -> Iterator[str]:
    for shape, fingers in (
        ("0 x 0 0", "2 x 3 4"), ("0 x 0", "1 x 9"), ("x 0", "x 1"),
        ("0 0 0 0 0 0 0", "1 1 1 1 1 1 1"),
        ("0 x 30", "1 x 2"), ("0 x 0 6", "1 x 2 3"), ("0 1 0", "2 1 3"), ("0 x 0 0", "2 o 3 3"),
    ):  # fmt: skip
        yield f"{shape} with {fingers}: {refusal(shape, fingers, Player()) or 'possible'}"


def _plans() -> Iterator[str]:
    for changes in CHANGES:
        text = f"Title: Study\nTempo: 150\n\n{changes}\n"
        yield changes
        for player in (Player(), BEGINNER):
            made = chart_of(text, player)
            yield from (f"  {line}" for line in explanation_lines(made))
        for clash in clashes_of(read_sheet(text).chords, made.plan.grips):
            yield f"  {clash}"
