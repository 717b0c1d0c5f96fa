"""Chord symbols, keys, numerals and sentences as they are printed, with true flats and sharps.

In a chord symbol the root is large, its accidental bold beside it on the same baseline, so that it
belongs to nothing else; quality and extensions are light and raised. Two or more alterations are
stacked in parentheses, a slash bass hangs lower. In large print nothing is made smaller and nothing
is stacked. Lengths are points.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from ....grammar.chord import Chord, SymbolPieces, accidental_signs, symbol_pieces
from ....grammar.key import Key
from ....grammar.pitch import PRINTED_SIGNS, PitchName
from .fonts import BOLD, CAP_HEIGHT, REGULAR, spans
from .geometry import item_box
from .items import Span, Text
from .style import Symbols

#: An accidental in a numeral: bVII, V7#9, but not the b of subV7.
_IN_NUMERAL: Final = re.compile(r"(?<![A-Za-z])[b#](?=[IVivb#\d])")
#: Accidentals behind the letter of a note, and before the number of an altered degree.
_IN_SENTENCE: Final = re.compile(r"(?<=\b[A-G])[b#]{1,2}(?![a-ln-z])|(?<=[a-z\d(,])[b#](?=\d)")


def shown(name: PitchName) -> str:
    """A note name with true signs: `E♭`."""
    return name.letter + accidental_signs(name)


def key_name(key: Key) -> str:
    """A key in words: `B♭ major`."""
    return f"{shown(key.tonic)} {key.mode}"


def key_text(key: Key) -> str:
    """A key as a label: `B♭`, or `Gm` in minor."""
    return shown(key.tonic) + ("m" if key.mode == "minor" else "")


def signed(roman: str) -> str:
    """A roman numeral with true signs for b and #."""
    return _IN_NUMERAL.sub(lambda found: found[0].translate(PRINTED_SIGNS), roman)


@lru_cache(maxsize=1024)
def with_signs(text: str) -> str:
    """A sentence with true flats and sharps in its names of notes and chords."""
    return _IN_SENTENCE.sub(lambda found: found[0].translate(PRINTED_SIGNS), text)


#: The gap before the quality, in ems.
GAP: Final = 0.035
#: The size of a root's accidental beside that of the root, on whose baseline it stands.
ACCIDENTAL: Final = 0.86
#: How far an accidental moves up to its root where that is not 0.03, in ems.
KERN: Final = {"A": 0.0, "F": 0.04}
#: How far the dash of a minor chord is lifted to the middle of its root, in ems.
DASH: Final = 0.1
#: Size of stacked alterations, as a part of the root's size.
STACKED: Final = 0.52


@dataclass(frozen=True, slots=True)
class Symbol:
    """A set chord symbol: its spans from the root on, its width, and the `depth` of its ink below
    the root's baseline, at the size asked for."""

    spans: tuple[Span, ...]
    width: float
    depth: float

    def at(self, x: float, y: float) -> Text:
        """The symbol with its root's left edge at `x` on the baseline `y`."""
        return Text(x, y, self.spans)


@lru_cache(maxsize=4096)
def set_symbol(chord: Chord, size: float, symbols: Symbols, raised: float = 0.72) -> Symbol:
    """Set a symbol: `size` of the root, `raised` the part of it that extensions take."""
    pieces = symbol_pieces(chord, symbols)
    pen = _Pen()
    pen.put(pieces.root, BOLD, size)
    if pieces.accidental:
        pen.dx -= KERN.get(pieces.root, 0.03) * size
        pen.put(pieces.accidental, BOLD, size * (ACCIDENTAL if raised < 1 else 1))
        pen.dx += GAP * size
    pen.dx += GAP * size
    lift = CAP_HEIGHT * size * (1 - raised)
    dash = DASH * size if pieces.quality == "–" and raised < 1 else 0.0
    pen.put(pieces.quality, REGULAR, size * (0.5 + 0.5 * raised), dash)
    pen.put(pieces.raised, REGULAR, size * raised, lift)
    _alterations(pen, pieces, size, raised)
    if pieces.bass:
        pen.put("/", REGULAR, size * (0.5 + 0.5 * raised), -0.10 * size * (raised < 1))
        bass = pieces.bass + pieces.bass_accidental
        pen.put(bass, BOLD, size * raised, -0.16 * size * (raised < 1))
    ink = item_box(Text(0.0, 0.0, tuple(pen.out)))
    return Symbol(tuple(pen.out), pen.dx, 0.0 if ink is None else max(0.0, ink[3]))


class _Pen:
    """Collects spans from left to right."""

    def __init__(self) -> None:
        self.out: list[Span] = []
        self.dx = 0.0

    def put(self, text: str, name: str, size: float, rise: float = 0.0) -> None:
        for span in spans(text, name, size, self.dx, rise):
            self.out.append(span)
            self.dx = span.end


def _alterations(pen: _Pen, pieces: SymbolPieces, size: float, raised: float) -> None:
    """One alteration in line, more of them stacked in parentheses."""
    words = pieces.alterations
    lift = CAP_HEIGHT * size * (1 - raised)
    if not words:
        return
    if len(words) == 1 or raised == 1:
        joined = ",".join(words)
        plain = len(words) == 1 and joined[0] in "♭♯" and bool(pieces.raised)
        pen.put(joined if plain else f"({joined})", REGULAR, size * raised, lift)
        return
    half = (len(words) + 1) // 2
    above, below = _run(words[:half]), _run(words[half:])
    rows = (above if below[0] in "♭♯" else f"{above},", below)
    small = STACKED * size
    pen.put("(", REGULAR, size, 0.1 * size)
    start, ends = pen.dx, []
    for row, rise in zip(rows, (0.48 * size, 0.02 * size), strict=True):
        pen.dx = start
        pen.put(row, REGULAR, small, rise)
        ends.append(pen.dx)
    pen.dx = max(ends)
    pen.put(")", REGULAR, size, 0.1 * size)


def _run(words: tuple[str, ...]) -> str:
    """Alterations side by side; those that no sign keeps apart are parted by a comma."""
    apart = all(word[0] in "♭♯" for word in words)
    return ("" if apart else ",").join(words)
