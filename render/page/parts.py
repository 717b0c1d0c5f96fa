"""Cut a chord's symbol into the pieces that are set differently."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from ...grammar.chord import Chord
from ...grammar.pitch import PitchName

#: Kind → (on the line, raised) in signs and in letters.
_NAMES: Final[dict[str, tuple[tuple[str, str], tuple[str, str]]]] = {
    "major": (("", ""), ("", "")),
    "minor": (("m", ""), ("m", "")),
    "augmented": (("", "+"), ("aug", "")),
    "diminished": (("", "°"), ("dim", "")),
    "dominant": (("", "7"), ("", "7")),
    "major-seventh": (("", "△7"), ("", "maj7")),
    "minor-seventh": (("m", "7"), ("m", "7")),
    "diminished-seventh": (("", "°7"), ("dim", "7")),
    "augmented-seventh": (("", "+7"), ("aug", "7")),
    "half-diminished": (("", "ø7"), ("m", "7♭5")),
    "major-minor": (("m", "△7"), ("m", "maj7")),
    "major-sixth": (("", "6"), ("", "6")),
    "minor-sixth": (("m", "6"), ("m", "6")),
    "dominant-ninth": (("", "9"), ("", "9")),
    "major-ninth": (("", "△9"), ("", "maj9")),
    "minor-ninth": (("m", "9"), ("m", "9")),
    "dominant-11th": (("", "11"), ("", "11")),
    "major-11th": (("", "△11"), ("", "maj11")),
    "minor-11th": (("m", "11"), ("m", "11")),
    "dominant-13th": (("", "13"), ("", "13")),
    "major-13th": (("", "△13"), ("", "maj13")),
    "minor-13th": (("m", "13"), ("m", "13")),
    "suspended-second": (("", "sus2"), ("", "sus2")),
    "suspended-fourth": (("", "sus4"), ("", "sus4")),
    "power": (("", "5"), ("", "5")),
}


@dataclass(frozen=True, slots=True)
class SymbolParts:
    """Root letter and accidental, quality on the line, what is raised, alterations, slash bass."""

    letter: str
    accidental: str
    quality: str
    raised: str
    alterations: tuple[str, ...]
    bass: str


def sign_of(alteration: int) -> str:
    """♯ or ♭ as often as a name has them."""
    return ("♯" if alteration > 0 else "♭") * abs(alteration)


def shown(name: PitchName) -> str:
    """A note name with true signs."""
    return name.letter + sign_of(name.alteration)


def symbol_parts(chord: Chord, symbols: str) -> SymbolParts:
    """The pieces of a symbol in `signs` or in `letters`."""
    quality, raised = _NAMES.get(chord.kind, (("", chord.kind),) * 2)[symbols == "letters"]
    words = {"add": "add", "omit": "no", "alter": ""}
    changes = []
    for change in chord.changes:
        sign = sign_of(change.alteration) if change.type != "omit" else ""
        word = "" if change.type == "add" and sign else words[change.type]
        changes.append(f"{word}{sign}{change.degree}")
    bass = "" if chord.bass is None else shown(chord.bass)
    sign = sign_of(chord.root.alteration)
    return SymbolParts(chord.root.letter, sign, quality, raised, tuple(changes), bass)
