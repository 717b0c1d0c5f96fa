"""The printed form of a chord symbol, cut into the pieces that are set differently.

Two styles: `signs` (△ ø ° + and a dash for minor) and `letters` (maj7, m7♭5, dim, aug, m), both
from the table of qualities. Pieces hold true ♭ and ♯; how large and how high they stand is decided
where they are drawn. On one line either style is a spelling of the chord and reads back.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal

from .chord import NO_CHORD, Chord
from .pitch import PitchName
from .quality_name import quality_parts

SymbolStyle = Literal["signs", "letters"]

_SIGNS: Final = str.maketrans("b#", "♭♯")


@dataclass(frozen=True, slots=True)
class SymbolPieces:
    """A symbol from left to right.

    `root` and `accidental`; `quality` on the line (m, –, +, dim); `raised` above it (7, △7, sus4);
    `alterations` to be stacked, the lowest degree first (♭9, ♯11, add13, no5); the bass under a
    stroke, "" where there is none.
    """

    root: str
    accidental: str
    quality: str
    raised: str
    alterations: tuple[str, ...]
    bass: str = ""
    bass_accidental: str = ""

    @property
    def text(self) -> str:
        """The whole symbol on one line: `E♭m7(♭5,♭9)/G♭`."""
        listed = ",".join(self.alterations)
        alone = len(self.alterations) == 1 and listed[0] in "♭♯" and bool(self.raised)
        if listed and not alone:
            listed = f"({listed})"
        bass = f"/{self.bass}{self.bass_accidental}" if self.bass else ""
        return f"{self.root}{self.accidental}{self.quality}{self.raised}{listed}{bass}"


def symbol_pieces(chord: Chord, style: SymbolStyle = "signs") -> SymbolPieces:
    """The pieces of a symbol in one of the two styles."""
    if chord.kind == "none":
        return SymbolPieces(NO_CHORD, "", "", "", ())
    quality, raised, alterations = _quality_pieces(chord, style)
    bass = ("", "") if chord.bass is None else (chord.bass.letter, accidental_signs(chord.bass))
    return SymbolPieces(
        chord.root.letter, accidental_signs(chord.root), quality, raised, alterations, *bass
    )


def accidental_signs(name: PitchName) -> str:
    """♯ or ♭ as often as a name has them."""
    return ("♯" if name.alteration > 0 else "♭") * abs(name.alteration)


def _quality_pieces(chord: Chord, style: SymbolStyle) -> tuple[str, str, tuple[str, ...]]:
    row, words = quality_parts(chord.kind, chord.changes)
    form = row.signs if style == "signs" else row.letters
    return _cut(form, words)


@lru_cache(maxsize=1024)
def _cut(form: str, words: tuple[str, ...]) -> tuple[str, str, tuple[str, ...]]:
    shown, _, mark = form.partition(":")
    quality, _, raised = shown.partition("^")
    marks = (mark,) if mark else ()
    return quality, raised, marks + tuple(_with_signs(word) for word in words)


def _with_signs(word: str) -> str:
    """♭9 for `b9`, add♯11 for `add#11`; letters of words stay."""
    prefix = next((each for each in ("add", "no", "maj") if word.startswith(each)), "")
    return prefix + word.removeprefix(prefix).translate(_SIGNS)
