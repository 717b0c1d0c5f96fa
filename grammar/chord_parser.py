"""The parser of chord symbols: takes text; gives a `Chord` in normal form or raises `ChordError`.

How doubtful spellings are read (common practice, no source):

- An accidental after the root's letter belongs to the root: Gb5 is a power chord on G♭, G(b5) has
  a flat fifth; C#9 is a ninth chord on C♯.
- M and a lone maj are the major triad, m and - the minor one; a lone triangle is a major seventh.
- After the root - means minor and + augmented, with any number but 5: C-7, C-9, C+7, C+9. C-5 and
  C+5 are the flat and the sharp fifth. After a quality they are flat and sharp: C7-9, C7+9; a
  last + sharpens the fifth: C7+.
- o and 0 are diminished. C2 is Cadd9, C4 and Csus are Csus4, C7sus is C7sus4, C5 and C(no3) are
  the power chord, C69 is C6/9. Cm+7 and Cm(#7) have a major seventh; a bare 7 is minor.
- After a stroke a number is an added degree (C7/13), a note the bass (C/E), a whole symbol a
  chord below, to which the upper one's notes are added: D/C7 is C13(#11). D/Cmaj has a triad
  below.
- Roots are capitals; H is refused, since elsewhere B means what H means there.

Columns count from 1 within the symbol as it was typed.
"""

from __future__ import annotations

import re
from functools import cache, lru_cache
from pathlib import Path
from typing import Final

from lark import Lark, Transformer
from lark.exceptions import UnexpectedInput
from lark.visitors import v_args

from .checks import check_text
from .chord import Chord
from .errors import MidneckError, Problem, SourcePosition, nearest
from .limits import MAX_SYMBOL
from .mistakes import MISTAKES
from .pitch import ACCIDENTALS, ADDED_TONES, LETTERS, PitchName, Tone
from .quality import QUALITIES, SPELLINGS, DegreeChange, fold, is_plain, named, quality_pattern
from .tables import parser_of

_NOTE: Final = re.compile("[A-G](?:bb?|##?|[x𝄫𝄪])?")


class ChordError(MidneckError, ValueError):
    """A text is not a chord symbol.

    `label` names the kind of mistake in the table of mistakes, which gives `message` and
    `expected`. `column` (from 1) and `text` are the offending part, `suggestion` is the nearest
    right symbol ("" where none is near).
    """

    def __init__(self, label: str, column: int, text: str, suggestion: str = "") -> None:
        entry = MISTAKES[label]
        offending = f" '{text}'" if text else ""
        reason = f"column {column}: {entry.message}{offending}; expected {entry.expected}"
        super().__init__(f"{reason}; did you mean {suggestion}?" if suggestion else reason)
        self.label = label
        self.message = entry.message
        self.expected = entry.expected
        self.column = column
        self.text = text
        self.suggestion = suggestion

    def problem(self, position: SourcePosition) -> Problem:
        """The problem of a source in which the symbol begins at `position`."""
        at = SourcePosition(position.line, position.column + self.column - 1)
        return Problem(at, self.message, self.text, "", self.expected, self.suggestion, self.label)


def _error(symbol: str, index: int, folded: str) -> ChordError:
    """The error of a symbol that the parser left at `index`; `folded` has its signs folded."""
    opened = folded.count("(") > folded.count(")")
    if folded[0] not in LETTERS and not (opened and folded[0] == "("):
        return _bad_root(symbol, folded)
    if opened:
        return _open_bracket(symbol, folded.rfind("("))
    if folded.rstrip().endswith("/"):
        return ChordError("bass-missing", len(symbol) + 1, "")
    if folded[:index].rstrip().endswith("/") and folded[index] not in "(/,)":
        return _bad_bass(symbol, index)
    if folded[index : index + 1] == ")":
        if not folded[:index].rstrip().endswith("("):
            return ChordError("bracket-stray", index + 1, symbol[index:])
        at = folded.rfind("(", 0, index)
        return ChordError("bracket-empty", at + 1, symbol[at : index + 1])
    return _bad_quality(symbol, index, folded)


def _open_bracket(symbol: str, index: int) -> ChordError:
    """The error of a bracket that nothing closes; the symbol with `)` where that is a chord."""
    closed = f"{symbol})" if symbol.count("(") == symbol.count(")") + 1 else ""
    try:
        parse_chord(closed)
    except ChordError:
        closed = ""
    return ChordError("bracket-open", index + 1, symbol[index:], closed)


def _bad_quality(symbol: str, index: int, folded: str) -> ChordError:
    root = _NOTE.findall(folded)[0]
    label = "bad-degree" if index > len(root) else "bad-quality"
    near = _mended(symbol) or [root + name for name in _candidates(folded[len(root) :])]
    *others, last = near or [""]
    offered = f"{', '.join(others)} or {last}" if others else last
    return ChordError(label, index + 1, symbol[index:], offered)


def _mended(symbol: str) -> list[str]:
    """The symbol with signs that are easily mistaken put right, where that makes it a chord."""
    mended = symbol.replace("\\", "/").replace("(B", "(b").rstrip(".,;:")
    try:
        return [mended] if mended != symbol and parse_chord(mended) else []
    except ChordError:
        return []


def _candidates(rest: str) -> list[str]:
    """The known qualities that an unknown one may stand for, by their canonical texts.

    There are several where they sound different and none is likelier: ^ is written for a triangle
    and slips in for nothing, h stands for half-diminished, and a letter that says nothing may be
    any quality with that number.
    """
    number = re.fullmatch(r"\D*?(\d*)", rest)
    degree = number[1] if number else ""
    if rest[0] == "^" and number:
        return [f"maj{degree or '7'}", *([degree] if degree else [])]
    if rest[0] in "hH" and degree in ("", "7") and len(rest) == 1 + len(degree):
        return ["m7b5", *([degree] if degree else [])]
    near = _nearest(rest)
    if near and near == degree and degree in ("7", "9", "11", "13"):
        return [degree, f"m{degree}", f"maj{degree}"]
    return [near] if near else []


def _bad_root(symbol: str, folded: str) -> ChordError:
    first = folded[0]
    if first in "Hh":
        return ChordError("root-h", 1, first, "B" + symbol[1:])
    if first in "abcdefg":
        capital = first.upper() + symbol[1:]
        near = capital if len(symbol) > 1 else f"{capital} or {capital}m"
        return ChordError("root-small", 1, first, near)
    if folded.upper().replace(".", "").strip() == "NC":
        return ChordError("chord-silence", 1, symbol)
    return ChordError("bad-root", 1, symbol[0])


def _bad_bass(symbol: str, index: int) -> ChordError:
    rest = symbol[index:]
    near = ""
    if rest[0] in "abcdefg":
        near = symbol[:index] + rest[0].upper() + rest[1:]
    elif rest[0] in "Hh":
        near = symbol[:index] + "B" + rest[1:]
    return ChordError("bad-bass", index + 1, rest, near)


@lru_cache(maxsize=1024)
def _nearest(rest: str) -> str:
    """The nearest known quality by its canonical text, "" where none is near."""
    body, stroke, bass = rest.partition("/")
    names = [row.text for row in QUALITIES if row.text and not row.alone]
    for candidates in (names, list(SPELLINGS)):
        found = nearest(body.lower(), candidates)
        if found:
            return SPELLINGS[found].text + (stroke + bass if _NOTE.fullmatch(bass) else "")
    return ""


#: An action (`alter`, `add`, `omit`, `suspend`) and the tones that it applies to.
Item = tuple[str, tuple[Tone, ...]]

#: In symbols a dash is a flat and a plus a sharp, as in C7-9 and C7+9.
_ACCIDENTALS: Final = {**ACCIDENTALS, "-": -1, "+": 1}
_SUSPENDED: Final = {"": (Tone(4),), "4": (Tone(4),), "2": (Tone(2),), "24": (Tone(2), Tone(4))}


@lru_cache(maxsize=1024)
def note_named(text: str) -> PitchName:
    """The note that a letter with accidentals names."""
    return PitchName(text[0], _ACCIDENTALS[text[1:]])


@lru_cache(maxsize=1024)
def item_named(action: str, text: str) -> Item:
    """The item that a degree after the quality (`b9`, `add9`, `no5`, `sus4`) stands for."""
    degree = text.lower().replace("△", "maj7").strip(",;/ ")
    for prefix in ("add", "no", "omit", "sus"):
        degree = degree.removeprefix(prefix)
    degree = degree.removeprefix(".").replace(" ", "")
    if action == "suspend":
        return action, _SUSPENDED[degree]
    if action == "omit":
        degree = degree.rstrip("stndrh") if degree[0].isdigit() else "1"
    return action, (_tone(degree),)


def _tone(text: str) -> Tone:
    """The tone of a degree; a bare 7 is the minor seventh."""
    if text[0] in "mj":
        return Tone(7)
    number = text.lstrip("b#+-♮𝄫𝄪")
    sign = text.removesuffix(number)
    degree, alteration = int(number), _ACCIDENTALS[sign]
    if degree == 7:
        alteration += {"b": 0, "-": 0, "bb": 0}.get(sign, -1)
    return Tone(degree, alteration)


@lru_cache(maxsize=4096)
def with_items(quality: str, items: tuple[Item, ...]) -> tuple[str, tuple[DegreeChange, ...]]:
    """The kind and changes of a quality's spelling with the items that follow it.

    An altered degree replaces the plain one, an added one is beside it.
    """
    own = frozenset(SPELLINGS[quality].tones)
    tones = set(own)
    for action, (*named_tones,) in items:
        if action == "suspend":
            tones = {tone for tone in tones if tone.degree != 3} | set(named_tones)
        elif action == "alter":
            tone = _octave_up(named_tones[0], own)
            tones -= {old for old in own if old.degree == tone.degree and is_plain(old)}
    for action, (*named_tones,) in items:
        if action == "alter":
            tones.add(_octave_up(named_tones[0], own))
        elif action == "add":
            tones.update(named_tones)
    omitted = {tone.degree for action, found in items if action == "omit" for tone in found}
    return named(frozenset(tone for tone in tones if tone.degree not in omitted))


def _octave_up(tone: Tone, own: frozenset[Tone]) -> Tone:
    """The tension an octave higher where the quality has that: C13(b6) is C13(b13)."""
    return Tone(tone.degree + 7, tone.alteration) if Tone(tone.degree + 7) in own else tone


def stacked(upper: Chord, lower: Chord) -> Chord:
    """The lower chord with its bass, and the notes of the upper one as added tones.

    D/C7 sounds C E G B♭ and D F♯ A, which players call C13(#11). Root, function and shell are
    those of the lower chord, which the bass player hears (common practice, no source).
    """
    tones = set(lower.tones)
    taken = {tone.semitones % 12 for tone in tones}
    for pitch_class in upper.pitch_classes:
        above = (pitch_class - lower.root.pitch_class) % 12
        if above not in taken:
            tones.add(ADDED_TONES[above])
    kind, changes = named(frozenset(tones))
    return Chord(lower.root, kind, changes, lower.bass)


@lru_cache(maxsize=8192)
def parse_chord(text: str) -> Chord:
    """The chord that a symbol names, in its normal form: equal chords give equal values.

    Raises ChordError.
    """
    check_text("a chord symbol", text)
    symbol = text.strip()
    if not symbol:
        raise ChordError("chord-missing", 1, "")
    if len(symbol) > MAX_SYMBOL:
        raise ChordError("chord-too-long", MAX_SYMBOL + 1, symbol[MAX_SYMBOL : MAX_SYMBOL + 12])
    folded = fold(symbol)
    try:
        chord: Chord = _parser().parse(folded)  # type: ignore[assignment]
    except UnexpectedInput as error:
        at = error.pos_in_stream
        found = _error(symbol, len(symbol) if at is None else at, folded)
        shift = len(text) - len(text.lstrip())
        raise ChordError(found.label, found.column + shift, found.text, found.suggestion) from None
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
    """A root alone is a major triad."""
    return symbol if isinstance(symbol, Chord) else Chord(symbol, "major")


def grammar_text() -> str:
    """The grammar with the terminal that the table of qualities makes."""
    rules = Path(__file__).with_name("chord.lark").read_text(encoding="utf-8")
    pattern = quality_pattern().replace("/", r"\/")
    return f"{rules}\nQUALITY.2: /{pattern}/\n"


@cache
def _parser() -> Lark:
    return parser_of(grammar_text(), "chord", ChordBuilder())
