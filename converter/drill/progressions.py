"""The table of named progressions and that of cycles, the orders of the keys that they go through.

Takes a name, gives a progression, or rounds of keys from the tonic that the cycle starts on.
Progressions and their names are common practice, no source.

A regular cycle repeats one step; if it returns to its start before it has reached all twelve keys,
another round starts a semitone above the start of the round before, until all keys are reached
(common practice, no source). There are gcd(step, 12) rounds of 12 / gcd(step, 12) keys.

Spelling: the name with the fewest sharps or flats. F♯ or G♭ (D♯m or E♭m) is spelled with the
accidentals of the key before it, with flats if that is C major or A minor or if there is none, so
that a row of flat keys continues in flats and changes to sharps once.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache
from random import Random
from typing import Final

from ...grammar.frozen import frozen
from ...grammar.key import Key, Tonality, keys_on
from ...grammar.pitch import PitchName
from ...grammar.progression import Progression
from ...grammar.text.progression import read_progression
from .drill import DrillError


@frozen
class NamedProgression:
    """A progression with a name.

    `title` is its heading, `text` what `read_progression` reads, `why` a sentence on its use,
    `cycle` the usual way round the keys.
    """

    name: str
    title: str
    text: str
    why: str
    cycle: str = "whole-steps"

    @property
    def progression(self) -> Progression:
        """Its chords."""
        return _read(self.text)


@cache
def _read(text: str) -> Progression:
    return read_progression(text)


#: What may stand between the numerals of a name.
_SEPARATORS: Final = re.compile(r"[\s_–—−-]+")
#: Other names, by those in the table.
_ALIASES: Final = {
    "ii-V-i": "minor-ii-V-i", "ii-V-I-minor": "minor-ii-V-i", "minor-ii-V-I": "minor-ii-V-i",
    "ii-V-I-major": "ii-V-I", "ii-V": "ii-V-chain", "I-vi-ii-V": "I-VI-ii-V",
    "iii-vi-ii-V": "iii-VI-ii-V", "tritone": "tritone-substitute", "sevenths": "dominants",
}  # fmt: skip

#: Every named progression, in the order in which they are learned.
PROGRESSIONS: Final[tuple[NamedProgression, ...]] = (
    NamedProgression(
        "ii-V-I", "ii–V–I in major", "ii7 | V7 | I6 | %",
        "The motion that most tunes are made of: the roots walk up in fourths, one guide tone "
        "holds and the other falls a semitone.",
    ),
    NamedProgression(
        "ii-V-Imaj7", "ii–V–I to a major seventh", "ii7 | V7 | Imaj7 | %",
        "The same motion with the major seventh at home, as later tunes have it.",
    ),
    NamedProgression(
        "minor-ii-V-i", "ii–V–i in minor", "iiø7 | V7b9 | i6 | %",
        "The way home in minor: half-diminished, dominant with a flat ninth, minor sixth.",
    ),
    NamedProgression(
        "ii-V-chain", "A chain of ii–Vs", "ii7 | V7",
        "Each V asks for a tonic and gets the next ii instead.",
    ),
    NamedProgression(
        "I-VI-ii-V", "I–VI–ii–V", "I6 | VI7 | ii7 | V7",
        "The turnaround that leads from a tonic back to itself.", "fourths",
    ),
    NamedProgression(
        "iii-VI-ii-V", "iii–VI–ii–V", "iii7 | VI7 | ii7 | V7",
        "Two ii–Vs in a row, the second a whole step below the first: a turnaround that begins "
        "away from home.", "fourths",
    ),
    NamedProgression(
        "tritone-substitute", "Tritone-substitute cadence", "ii7 | subV7 | I6 | %",
        "A dominant a tritone from the V stands in for it, so that the roots slide down in "
        "semitones.",
    ),
    NamedProgression(
        "backdoor", "Backdoor cadence", "iv7 | bVII7 | I6 | %",
        "Home from a tone below the tonic, by way of the minor iv.", "fourths",
    ),
    NamedProgression(
        "dominants", "Dominant sevenths", "V7",
        "Each dominant is the V of the next: third and seventh change places and fall in "
        "semitones.", "fourths",
    ),
    NamedProgression(
        "minor-sevenths", "Minor sevenths", "ii7",
        "One quality on every root, to have its shapes in the hand.", "fourths",
    ),
    NamedProgression(
        "major-sevenths", "Major sevenths", "Imaj7",
        "One quality on every root, to have its shapes in the hand.", "fourths",
    ),
    NamedProgression(
        "sixths", "Major sixths", "I6",
        "One quality on every root, to have its shapes in the hand.", "fourths",
    ),
    NamedProgression(
        "minor-sixths", "Minor sixths", "i6",
        "One quality on every root, to have its shapes in the hand.", "fourths",
    ),
    NamedProgression(
        "half-diminished", "Half-diminished chords", "iiø7",
        "One quality on every root, to have its shapes in the hand.", "fourths",
    ),
    NamedProgression(
        "diminished", "Diminished sevenths", "vii°7",
        "One quality on every root, to have its shapes in the hand.", "fourths",
    ),
)  # fmt: skip


def named_progression(text: str) -> NamedProgression | None:
    """The progression of that name, None where there is none.

    Case tells ii–V–I from ii–V–i; where no name fits in that case, it is ignored.
    """
    name = _SEPARATORS.sub("-", text.strip())
    names = {row.name: row for row in PROGRESSIONS}
    names |= {alias: names[own] for alias, own in _ALIASES.items()}
    if name in names:
        return names[name]
    by_lower_case = {known.lower(): row for known, row in reversed(names.items())}
    return by_lower_case.get(name.lower())


def find_named(name: str) -> NamedProgression:
    """A row of the table. Raises KeyError where there is none of that name."""
    return {row.name: row for row in PROGRESSIONS}[name]


Rounds = tuple[tuple[Key, ...], ...]


@frozen
class Cycle:
    """A way round the keys: `step` in semitones from each key to the next, and a description.

    `step` is 0 for the cycles that follow no step: random order and named keys.
    """

    name: str
    step: int
    description: str


#: Every cycle, in the order in which they are learned.
CYCLES: Final[tuple[Cycle, ...]] = (
    Cycle("whole-steps", -2, "down in whole steps, two rounds of six keys"),
    Cycle("fourths", 5, "up in fourths through all twelve keys"),
    Cycle("semitones-up", 1, "up in semitones through all twelve keys"),
    Cycle("semitones-down", -1, "down in semitones through all twelve keys"),
    Cycle("minor-thirds", 3, "up in minor thirds, three rounds of four keys"),
    Cycle("major-thirds", 4, "up in major thirds, four rounds of three keys"),
    Cycle("random", 0, "all twelve keys in an order drawn by lot"),
    Cycle("keys", 0, "the keys that are named, in their order"),
)


def find_cycle(name: str) -> Cycle:
    """The cycle of that name. Raises DrillError that lists all names."""
    wanted = name.strip().lower().replace(" ", "-").replace("_", "-")
    for cycle in CYCLES:
        if cycle.name == wanted:
            return cycle
    names = ", ".join(cycle.name for cycle in CYCLES)
    raise DrillError(f"there is no cycle {name!r}; there are {names}")


def stepped(start: PitchName, mode: Tonality, step: int) -> Rounds:
    """The rounds of a regular cycle from a tonic: every key of the mode once.

    `step` is in semitones.
    """
    first, rounds = start.pitch_class, []
    seen: set[int] = set()
    while len(seen) < 12:
        row, at = [], first
        while at not in seen:
            seen.add(at)
            row.append(at)
            at = (at + step) % 12
        rounds.append(row)
        first = (first + 1) % 12
    return spelled(rounds, mode, start)


def shuffled(start: PitchName, mode: Tonality, seed: int) -> Rounds:
    """All twelve keys, the start first, the others in the order that a seed draws.

    The same seed gives the same order on every machine: Python's `random.Random.shuffle`.
    """
    others = [(start.pitch_class + up) % 12 for up in range(1, 12)]
    Random(seed).shuffle(others)
    return spelled([[start.pitch_class, *others]], mode, start)


def named_keys(keys: Sequence[Key], mode: Tonality) -> Rounds:
    """One round of the keys as they are named; for a mode in minor C means C minor.

    Raises DrillError for no key, for a key named twice, and for a minor key in a major progression.
    """
    problems = [] if keys else ["no key is named: name some, as in C, F, Bb"]
    seen: set[int] = set()
    for key in keys:
        if key.tonality == "minor" and mode == "major":
            problems.append(f"{key} is no key for a progression in major: name {key.tonic}")
        if key.tonic.pitch_class in seen:
            problems.append(f"{key} is named twice: name each key once")
        seen.add(key.tonic.pitch_class)
    if problems:
        raise DrillError("\n".join(problems))
    return (tuple(Key(key.tonic, mode) for key in keys),)


def spelled(rounds: Sequence[Sequence[int]], mode: Tonality, start: PitchName) -> Rounds:
    """Pitch classes of tonics as keys; the first keeps its name where that is a usable key."""
    before: Key | None = None
    named: list[tuple[Key, ...]] = []
    for row in rounds:
        keys: list[Key] = []
        for number in row:
            key = _named(number, mode, 0 if before is None else before.fifths)
            if before is None and abs(Key(start, mode).fifths) <= 7:
                key = Key(start, mode)
            keys.append(key)
            before = key
        named.append(tuple(keys))
    return tuple(named)


def _named(number: int, mode: Tonality, side: int) -> Key:
    keys = keys_on(number, mode)
    return min(keys, key=lambda key: (abs(key.fifths), key.fifths * side < 0, key.fifths))
