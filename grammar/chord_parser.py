"""Chord symbols: text in, a `Chord` out, or a `ChordError` that says where and why."""

from __future__ import annotations

import re
from difflib import get_close_matches
from functools import cache, lru_cache
from pathlib import Path
from typing import Final

from lark import Lark, Transformer
from lark.exceptions import UnexpectedInput
from lark.visitors import v_args

from .chord import Chord
from .errors import MidneckError
from .pitch import LETTERS, PitchName, Tone
from .quality import QUALITIES, SPELLINGS, DegreeChange, fold, is_plain, named, quality_pattern
from .tables import parser_of

# What is wrong with a chord symbol: where, what was expected there, and the nearest right thing.
#
# Columns count from 1 within the symbol as it was written.

_ROOT: Final = "a root from A to G, as in C, Bb or F#"
_QUALITY: Final = "a quality such as m7, maj7, 7, m7b5, dim7 or sus4"
_CHANGE: Final = "a changed degree such as b9, #11, add9 or no5"
_BASS: Final = "a bass note from A to G"
_NOTE: Final = re.compile("[A-G](?:bb?|##?|[x𝄫𝄪])?")


class ChordError(MidneckError, ValueError):
    """What was read is not a chord symbol.

    `column` (from 1) and `text` say where and what, `expected` what would be right there,
    `suggestion` the nearest right symbol ("" where none is near).
    """

    def __init__(
        self, message: str, column: int, text: str, expected: str, suggestion: str = ""
    ) -> None:
        said = f"column {column}: {message}; expected {expected}"
        super().__init__(f"{said}; did you mean {suggestion}?" if suggestion else said)
        self.column = column
        self.text = text
        self.expected = expected
        self.suggestion = suggestion


def explain(written: str, place: int, folded: str) -> ChordError:
    """The error for a symbol in which reading stopped at index `place`.

    `folded` is the symbol with its signs folded, "" when it was not read at all.
    """
    if not written:
        return ChordError("there is no chord symbol", 1, "", _ROOT)
    if not folded:
        return ChordError("this is too long for a chord symbol", place + 1, written[:12], _QUALITY)
    if folded[0] not in LETTERS:
        return _bad_root(written, folded)
    if folded.rstrip().endswith("/"):
        return _bad_bass(written, len(written))
    if folded[:place].rstrip().endswith("/") and folded[place] not in "(/,":
        return _bad_bass(written, place)
    return _bad_bracket(written, place, folded) or _unknown(written, place, folded)


def _bad_bracket(written: str, place: int, folded: str) -> ChordError | None:
    if folded.count("(") > folded.count(")"):
        at = folded.rfind("(")
        return ChordError("the bracket is not closed", at + 1, written[at:], ")")
    if folded[place : place + 1] != ")":
        return None
    empty = folded[:place].rstrip().endswith("(")
    said = "there is nothing in the brackets" if empty else "this closes nothing"
    return ChordError(said, place + 1, written[place:], _CHANGE)


def _unknown(written: str, place: int, folded: str) -> ChordError:
    root = _NOTE.findall(folded)[0]
    rest = written[place:]
    near = _nearest(folded[len(root) :])
    wanted = _CHANGE if place > len(root) else _QUALITY
    return ChordError(
        f"'{rest}' is not part of a chord", place + 1, rest, wanted, near and root + near
    )


def _bad_root(written: str, folded: str) -> ChordError:
    first = folded[0]
    capital = first.upper() + written[1:]
    if first in "Hh":
        hint = "B" + written[1:]
        return ChordError("H is written B here, and the German B is Bb", 1, first, _ROOT, hint)
    if first in "abcdefg":
        hint = capital if len(written) > 1 else f"{capital} or {capital}m"
        return ChordError(f"roots are capitals, not '{first}'", 1, first, _ROOT, hint)
    if folded.upper().replace(".", "").strip() == "NC":
        return ChordError("N.C. is silence, not a chord", 1, written, _ROOT)
    return ChordError(f"'{written[0]}' is not a root", 1, written, _ROOT)


def _bad_bass(written: str, place: int) -> ChordError:
    rest = written[place:]
    hint = ""
    if rest[:1] in tuple("abcdefg"):
        hint = written[:place] + rest[0].upper() + rest[1:]
    elif rest[:1] in ("H", "h"):
        hint = written[:place] + "B" + rest[1:]
    said = f"'{rest}' is not a bass note" if rest else "the bass is missing"
    return ChordError(said, place + 1, rest, _BASS, hint)


@lru_cache(maxsize=1024)
def _nearest(rest: str) -> str:
    """The nearest known quality by its canonical text, "" where none is near."""
    body, stroke, bass = rest.partition("/")
    names = [row.text for row in QUALITIES if row.text and not row.alone]
    for candidates in (names, list(SPELLINGS)):
        found = get_close_matches(body.lower(), candidates, 1, 0.6)
        if found:
            return SPELLINGS[found[0]].text + (stroke + bass if _NOTE.fullmatch(bass) else "")
    return ""


# The words after a quality: altered, added, omitted and suspended degrees, and what they do.
#
# Takes the pieces that the grammar finds, gives the kind and changes of the chord. An altered
# degree takes the place of the plain one (C9(b9) has one ninth), an added one stands beside it. A
# bare 7 is the minor seventh, as everywhere in symbols.

#: What is done (`alter`, `add`, `omit`, `suspend`) and the tones it is done with.
Item = tuple[str, tuple[Tone, ...]]

_ACCIDENTALS: Final = {
    "b": -1, "-": -1, "bb": -2, "𝄫": -2, "#": 1, "+": 1, "##": 2, "x": 2, "𝄪": 2, "♮": 0, "": 0,
}  # fmt: skip
_SUSPENDED: Final = {"": (Tone(4),), "4": (Tone(4),), "2": (Tone(2),), "24": (Tone(2), Tone(4))}


@lru_cache(maxsize=1024)
def note_named(text: str) -> PitchName:
    """The note that a letter with accidentals names."""
    return PitchName(text[0], _ACCIDENTALS[text[1:]])


@lru_cache(maxsize=1024)
def item_named(action: str, text: str) -> Item:
    """The item that a word after the quality stands for."""
    word = text.lower().replace("△", "maj7").strip(",;/ ")
    for prefix in ("add", "no", "omit", "sus"):
        word = word.removeprefix(prefix)
    word = word.removeprefix(".").replace(" ", "")
    if action == "suspend":
        return action, _SUSPENDED[word]
    if action == "omit":
        word = word.rstrip("stndrh") if word[0].isdigit() else "1"
    return action, (_tone(word),)


def _tone(word: str) -> Tone:
    if word[0] in "mj":
        return Tone(7)
    number = word.lstrip("b#+-♮𝄫𝄪")
    sign = word.removesuffix(number)
    degree, alteration = int(number), _ACCIDENTALS[sign]
    if degree == 7:
        alteration += {"b": 0, "-": 0, "bb": 0}.get(sign, -1)
    return Tone(degree, alteration)


@lru_cache(maxsize=4096)
def with_items(quality: str, items: tuple[Item, ...]) -> tuple[str, tuple[DegreeChange, ...]]:
    """The kind and changes of a quality's spelling with the items that follow it."""
    own = frozenset(SPELLINGS[quality].tones)
    tones = set(own)
    for action, (*wanted,) in items:
        if action == "suspend":
            tones = {tone for tone in tones if tone.degree != 3} | set(wanted)
        elif action == "alter":
            tone = _twin(wanted[0], own)
            tones -= {old for old in own if old.degree == tone.degree and is_plain(old)}
    for action, (*wanted,) in items:
        if action == "alter":
            tones.add(_twin(wanted[0], own))
        elif action == "add":
            tones.update(wanted)
    gone = {tone.degree for action, wanted in items if action == "omit" for tone in wanted}
    return named(frozenset(tone for tone in tones if tone.degree not in gone))


def _twin(tone: Tone, own: frozenset[Tone]) -> Tone:
    """The tension an octave higher where the quality has that: C13(b6) is C13(b13)."""
    return Tone(tone.degree + 7, tone.alteration) if Tone(tone.degree + 7) in own else tone


# One chord over another: the lower one with the notes of the upper one added to it.
#
# D/C7 sounds C E G B♭ and D F♯ A, and is what players call C13(#11). The value is that of the lower
# chord, so that root, function and shell are those that the bass player hears (common practice, no
# source).

#: The tension for each pitch class above the lower root; a minor third beside a major one is a
#: sharp ninth.
_TENSIONS: Final = (
    Tone(1), Tone(9, -1), Tone(9), Tone(9, 1), Tone(3), Tone(11), Tone(11, 1), Tone(5),
    Tone(13, -1), Tone(13), Tone(7, -1), Tone(7),
)  # fmt: skip


def stacked(upper: Chord, lower: Chord) -> Chord:
    """The lower chord with the upper one's notes as added tones; the lower one's bass stays."""
    tones = set(lower.tones)
    taken = {tone.semitones % 12 for tone in tones}
    for pitch_class in upper.pitch_classes:
        above = (pitch_class - lower.root.pitch_class) % 12
        if above not in taken:
            tones.add(_TENSIONS[above])
    kind, changes = named(frozenset(tones))
    return Chord(lower.root, kind, changes, lower.bass)


# Chord symbols: text in, a `Chord` in its normal form out, or a `ChordError` that tells where.
#
# How doubtful spellings are read (common practice, no source):
#
# - An accidental after the root's letter belongs to the root: Gb5 is a power chord on G♭, G(b5) has
#   a flat fifth; C#9 is a ninth chord on C♯.
# - M and a lone maj are the major triad, m and - the minor one; a lone triangle is a major seventh.
# - After the root - means minor and + augmented, with any number but 5: C-7, C-9, C+7, C+9. C-5 and
#   C+5 are the flat and the sharp fifth. After a quality they are flat and sharp: C7-9, C7+9; a
#   last + sharpens the fifth: C7+.
# - o and 0 are diminished. C2 is Cadd9, C4 and Csus are Csus4, C7sus is C7sus4, C5 and C(no3) are
#   the power chord, C69 is C6/9. Cm+7 and Cm(#7) have a major seventh, for a bare 7 is minor.
# - After a stroke a number is an added degree (C7/13), a note the bass (C/E), a whole symbol a
#   chord below, to which the upper one's notes are added: D/C7 is C13(#11). D/Cmaj has a triad
#   below.
# - Roots are capitals; H is refused, since elsewhere B means what H means there.

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
