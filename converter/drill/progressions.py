"""The table of named progressions, and how they are found by name.

Progressions and their names are common practice, no source.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from typing import Final

from ...grammar.progression import Progression
from ...grammar.text.progression import read_progression


@dataclass(frozen=True, slots=True)
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
