"""A chord by root, kind, changed degrees and bass; its text and the printed form of its symbol.

`Chord.kind` is the name of the quality in MusicXML 4.0 (`kind-value`); `changes` add, alter or omit
degrees of it, as the `degree` elements do there. Degrees count from the root in the major scale: 3
with alteration −1 is the minor third, 7 with −1 the minor seventh, 9 with +1 the sharp ninth.

A symbol is printed in one of two styles, both from the table of qualities: `signs` (△ ø ° + and a
dash for minor) or `letters` (maj7, m7♭5, dim, aug, m). `symbol_pieces` cuts it into the pieces that
differ in size and height; they hold true ♭ and ♯. On one line either style is a spelling of the
chord and reads back.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Final, Literal

from .checks import check_type
from .errors import InvalidValueError
from .frozen import frozen
from .pitch import PRINTED_SIGNS, PitchName, Tone, accidental_text
from .quality import KIND_TONES, DegreeChange, chord_tones, quality_parts, quality_text

__all__ = ["NO_CHORD", "Chord", "DegreeChange", "Tone"]

#: How silence is written: "no chord".
NO_CHORD: Final = "N.C."


@frozen(hash_once=True)
class Chord:
    """A chord: `root`, `kind`, the `changes` to it in canonical order, and a bass when written."""

    root: PitchName
    kind: str
    changes: tuple[DegreeChange, ...] = ()
    bass: PitchName | None = None

    def __post_init__(self) -> None:
        check_type("root", self.root, PitchName)
        if self.kind not in KIND_TONES:
            raise InvalidValueError(f"{self.kind!r} is not one of the kinds of MusicXML 4.0")

    @property
    def tones(self) -> tuple[Tone, ...]:
        """The tones above the root, by degree, the changes applied; the bass is not among them."""
        return chord_tones(self.kind, self.changes) if self.changes else KIND_TONES[self.kind]

    def spelled(self, tone: Tone) -> PitchName:
        """The name of one of its tones: the third of E♭m is G♭."""
        return self.root.up(tone.interval)

    @property
    def pitch_classes(self) -> tuple[int, ...]:
        """The pitch classes it sounds, root first, the bass last when it is no chord tone."""
        root = self.root.pitch_class
        classes = [(root + tone.semitones) % 12 for tone in self.tones]
        if self.bass is not None:
            classes.append(self.bass.pitch_class)
        return tuple(dict.fromkeys(classes))

    def __repr__(self) -> str:
        return f"<Chord {self}>"

    def __str__(self) -> str:
        if self.kind == "none":
            return NO_CHORD
        bass = "" if self.bass is None else f"/{self.bass}"
        return f"{self.root}{quality_text(self.kind, self.changes)}{bass}"


SymbolStyle = Literal["signs", "letters"]


@frozen
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
    return accidental_text(name.alteration).translate(PRINTED_SIGNS)


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
    return prefix + word.removeprefix(prefix).translate(PRINTED_SIGNS)
