"""The twelve roots in their seventeen usual spellings."""

from __future__ import annotations

ROOTS = "C C# Db D D# Eb E F F# Gb G G# Ab A A# Bb B".split()  # noqa: SIM905
