"""Cut a chord's symbol into the pieces that are set differently."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from ...grammar.chord import Change, Chord
from ...grammar.pitch import PitchName
from .style import Symbols

#: Kind → its printed form in signs and in letters; `^` begins what is raised.
_KINDS: Final[dict[str, tuple[str, str]]] = {
    "major": ("", ""),
    "minor": ("–", "m"),
    "augmented": ("+", "aug"),
    "diminished": ("^°", "dim"),
    "dominant": ("^7", "^7"),
    "major-seventh": ("^△7", "^maj7"),
    "minor-seventh": ("–^7", "m^7"),
    "diminished-seventh": ("^°7", "dim^7"),
    "augmented-seventh": ("+^7", "^7♯5"),
    "half-diminished": ("^ø7", "m^7♭5"),
    "major-minor": ("–^△7", "m^(maj7)"),
    "major-sixth": ("^6", "^6"),
    "minor-sixth": ("–^6", "m^6"),
    "dominant-ninth": ("^9", "^9"),
    "major-ninth": ("^△9", "^maj9"),
    "minor-ninth": ("–^9", "m^9"),
    "dominant-11th": ("^11", "^11"),
    "major-11th": ("^△11", "^maj11"),
    "minor-11th": ("–^11", "m^11"),
    "dominant-13th": ("^13", "^13"),
    "major-13th": ("^△13", "^maj13"),
    "minor-13th": ("–^13", "m^13"),
    "suspended-second": ("^sus2", "^sus2"),
    "suspended-fourth": ("^sus4", "^sus4"),
    "power": ("^5", "^5"),
}
_FLAT_SEVENTH: Final = Change("add", 7, -1)
_NINTH: Final = Change("add", 9, 0)
_ALTERED: Final = frozenset(
    (Change("alter", 5, -1), Change("add", 5, 1), Change("add", 9, -1), Change("add", 9, 1))
)
#: Kinds with changes that are written as one name, the longest first.
_NAMED: Final[tuple[tuple[str, frozenset[Change], tuple[str, str]], ...]] = (
    ("dominant", _ALTERED, ("^7alt", "^7alt")),
    ("suspended-fourth", frozenset((_FLAT_SEVENTH, _NINTH, Change("add", 13))), ("^13sus4",) * 2),
    ("suspended-fourth", frozenset((_FLAT_SEVENTH, _NINTH)), ("^9sus4",) * 2),
    ("suspended-fourth", frozenset((_FLAT_SEVENTH,)), ("^7sus4",) * 2),
    ("suspended-second", frozenset((_FLAT_SEVENTH,)), ("^7sus2",) * 2),
    ("major", frozenset((_NINTH,)), ("^add9",) * 2),
    ("minor", frozenset((_NINTH,)), ("–^add9", "m^add9")),
    ("major-sixth", frozenset((_NINTH,)), ("^6/9",) * 2),
    ("minor-sixth", frozenset((_NINTH,)), ("–^6/9", "m^6/9")),
)


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


def symbol_parts(chord: Chord, symbols: Symbols) -> SymbolParts:
    """The pieces of a symbol in `signs` or in `letters`."""
    forms, left = _form(chord)
    quality, _, raised = forms[0 if symbols == "signs" else 1].partition("^")
    bass = "" if chord.bass is None else shown(chord.bass)
    root = chord.root
    sign = sign_of(root.alteration)
    return SymbolParts(root.letter, sign, quality, raised, tuple(map(_change, left)), bass)


def _form(chord: Chord) -> tuple[tuple[str, str], tuple[Change, ...]]:
    """The printed forms of a quality, and the changes that are told after it."""
    for kind, changes, forms in _NAMED:
        if chord.kind == kind and changes <= set(chord.changes):
            return forms, tuple(each for each in chord.changes if each not in changes)
    plain = f"^{chord.kind}"
    return _KINDS.get(chord.kind, (plain, plain)), chord.changes


def _change(change: Change) -> str:
    """One change as it is written: ♭9, add11, no5."""
    if change.type == "omit":
        return f"no{change.degree}"
    sign = sign_of(change.alteration)
    return f"{sign}{change.degree}" if sign or change.type == "alter" else f"add{change.degree}"
