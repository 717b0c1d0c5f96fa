"""The twelve notes by the names that tests go through."""

from __future__ import annotations

#: One name for each pitch class, C first.
ROOTS = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
#: The same notes in their seventeen usual spellings.
SPELLINGS = "C C# Db D D# Eb E F F# Gb G G# Ab A A# Bb B".split()  # noqa: SIM905
#: Tonics of the keys with six signs at most; F# and Gb major are one on the guitar.
MAJOR_TONICS = ("C", "Db", "D", "Eb", "E", "F", "F#", "Gb", "G", "Ab", "A", "Bb", "B")
MINOR_TONICS = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B")
