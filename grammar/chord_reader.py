"""Chord symbols: text in, a `Chord` in its normal form out, or a `ChordError` that tells where.

How doubtful spellings are read (common practice, no source):

- An accidental after the root's letter belongs to the root: Gb5 is a power chord on G♭, G(b5) has a
  flat fifth; C#9 is a ninth chord on C♯.
- M and a lone maj are the major triad, m and - the minor one; a lone triangle is a major seventh.
- After the root - means minor and + augmented, with any number but 5: C-7, C-9, C+7, C+9. C-5 and
  C+5 are the flat and the sharp fifth. After a quality they are flat and sharp: C7-9, C7+9; a last
  + sharpens the fifth: C7+.
- o and 0 are diminished. C2 is Cadd9, C4 and Csus are Csus4, C7sus is C7sus4, C5 and C(no3) are the
  power chord, C69 is C6/9. Cm+7 and Cm(#7) have a major seventh, for a bare 7 is minor.
- After a stroke a number is an added degree (C7/13), a note the bass (C/E), a whole symbol a chord
  below, to which the upper one's notes are added: D/C7 is C13(#11). D/Cmaj has a triad below.
- Roots are capitals; H is refused, since elsewhere B means what H means there.
"""

from __future__ import annotations

from functools import cache, lru_cache
from pathlib import Path
from typing import Final

from lark import Lark, Transformer
from lark.exceptions import UnexpectedInput
from lark.visitors import v_args

from .chord import Chord
from .chord_errors import explain
from .chord_items import Item, item_named, note_named, with_items
from .chord_stack import stacked
from .pitch import PitchName
from .spelling import SPELLINGS, fold, quality_pattern
from .tables import parser_of

#: No symbol is longer than this.
MAX_LENGTH: Final = 80


@lru_cache(maxsize=8192)
def parse_chord(text: str) -> Chord:
    """The chord that a symbol names, in its normal form: equal chords give equal values.

    Raises ChordError (a ValueError) with column, offending text, what was expected and the nearest
    known spelling.
    """
    text = text.strip()
    if not text or len(text) > MAX_LENGTH:
        raise explain(text[:MAX_LENGTH], min(len(text), MAX_LENGTH), "")
    folded = fold(text)
    try:
        chord: Chord = _parser().parse(folded)  # type: ignore[assignment]
    except UnexpectedInput as error:
        place = error.pos_in_stream
        raise explain(text, len(text) if place is None else place, folded) from None
    return chord


@v_args(inline=True)
class ChordBuilder(Transformer[str, Chord]):
    """Builds the chord while the parser reads: a method for each rule and alias of the grammar."""

    def alone(self, symbol: PitchName | Chord) -> Chord:
        return _chord(symbol)

    def over(self, symbol: PitchName | Chord, below: PitchName | Chord) -> Chord:
        chord = _chord(symbol)
        if isinstance(below, Chord):
            return stacked(chord, below)
        if below == chord.root:
            return chord
        return Chord(chord.root, chord.kind, chord.changes, below)

    def note(self, root: str) -> PitchName:
        return note_named(root)

    def plain(self, root: str, *items: Item) -> Chord:
        return Chord(note_named(root), *with_items("", items))

    def quality(self, root: str, quality: str, *items: Item) -> Chord:
        if items:
            return Chord(note_named(root), *with_items(quality, items))
        row = SPELLINGS[quality]
        return Chord(note_named(root), row.kind, row.changes)

    def altered(self, text: str) -> Item:
        return item_named("alter", text)

    def added(self, text: str) -> Item:
        return item_named("add", text)

    def degree(self, text: str) -> Item:
        return item_named("add", text)

    def omitted(self, text: str) -> Item:
        return item_named("omit", text)

    def suspended(self, text: str) -> Item:
        return item_named("suspend", text)


def _chord(symbol: PitchName | Chord) -> Chord:
    """A root alone is a major triad, unless it stands below."""
    return symbol if isinstance(symbol, Chord) else Chord(symbol, "major")


def grammar_text() -> str:
    """The grammar with the terminal that the table of qualities makes."""
    rules = Path(__file__).with_name("chord.lark").read_text(encoding="utf-8")
    pattern = quality_pattern().replace("/", r"\/")
    return f"{rules}\nQUALITY.2: /{pattern}/\n"


@cache
def _parser() -> Lark:
    return parser_of(grammar_text(), "start", ChordBuilder())
