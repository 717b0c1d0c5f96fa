"""Note names as they are printed."""

from __future__ import annotations

from ...grammar.chord_display import accidental_signs
from ...grammar.pitch import PitchName


def shown(name: PitchName) -> str:
    """A note name with true signs: `E♭`."""
    return name.letter + accidental_signs(name)
