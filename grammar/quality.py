"""Chord qualities: the one table, the best name of a set of tones, and all spellings.

Each row of the table gives the nearest MusicXML `kind`, the degrees that sound, the canonical text
after the root, the printed form in signs and in letters, and other spellings. Everything about
qualities is derived from it: the tones, the changes to the kind, the canonical text, the printed
form and the QUALITY terminal of the chord grammar.

Degrees are those of the major scale on the root; `b` or `#` before the number lowers or raises it
by a semitone. In the text column what follows `:` is an alteration that joins a list when there is
one: C7#5, but C7(#5,b9). In the printed columns `^` begins what is raised and `:` what is stacked.
Spellings use the families of `FAMILIES`; the canonical text of a row is a spelling too.

Two symbols that name the same tones above the same root have the same normal form, however they
are spelled: C+7 and C7#5, C7b9 and C7(b9), C9(b9) and C7(b9). Tensions count as 9, 11 and 13
wherever there is a third (C2 is Cadd9), the sixth as 13 wherever there is a seventh. In the text an
altered degree replaces the plain one (C9(b9) has one ninth); `add` adds beside it. The best name is
a matter of taste; `_PRICES` decides. Cm7sus4 alone keeps a name of its own beside C7sus4: it stands
where a minor seventh does.

Sources: MusicXML 4.0, W3C Community Group Final Report, simple type `kind-value` (all 33 are rows;
the first row of a kind is the kind itself); the spellings are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache
from itertools import product
from re import escape, findall, split
from typing import Final, Literal

from .frozen import frozen
from .pitch import Tone, accidental_text, alteration_of

ChangeType = Literal["add", "alter", "omit"]

_TABLE: Final = """
major              | 1 3 5              |            |          |            | {maj}
minor              | 1 b3 5             | m          | –        | m          | {min}
augmented          | 1 3 #5             | aug        | +        | aug        | {aug} {#}5 ({#}5)
diminished         | 1 b3 b5            | dim        | ^°       | dim        | {dim}
dominant           | 1 3 5 b7           | 7          | ^7       | ^7         | dom7 dom (7)
major-seventh      | 1 3 5 7            | maj7       | ^△7      | ^maj7      | {maj}7 △ △7 ({maj}7) {maj}△7
minor-seventh      | 1 b3 5 b7          | m7         | –^7      | m^7        | {min}7
diminished-seventh | 1 b3 b5 bb7        | dim7       | ^°7      | dim^7      | {dim}7
augmented-seventh  | 1 3 #5 b7          | 7:#5       | +^7      | ^7:♯5      | {aug}7 7{#}5 7+ 7aug
half-diminished    | 1 b3 b5 b7         | m7b5       | ^ø7      | m^7:♭5     | {half} {half}7 {min}7{b}5 {min}7({b}5)
major-minor        | 1 b3 5 7           | m(maj7)    | –^△7     | m^(maj7)   | {min}({maj}7) {min}{maj}7 {min}/{maj}7 {min}△ {min}△7 {min}(△7)
major-sixth        | 1 3 5 6            | 6          | ^6       | ^6         | {maj}6 add6
minor-sixth        | 1 b3 5 6           | m6         | –^6      | m^6        | {min}6
dominant-ninth     | 1 3 5 b7 9         | 9          | ^9       | ^9         | dom9 7add9 7/9
major-ninth        | 1 3 5 7 9          | maj9       | ^△9      | ^maj9      | {maj}9 △9
minor-ninth        | 1 b3 5 b7 9        | m9         | –^9      | m^9        | {min}9
dominant-11th      | 1 3 5 b7 9 11      | 11         | ^11      | ^11        | dom11
major-11th         | 1 3 5 7 9 11       | maj11      | ^△11     | ^maj11     | {maj}11 △11
minor-11th         | 1 b3 5 b7 9 11     | m11        | –^11     | m^11       | {min}11
dominant-13th      | 1 3 5 b7 9 11 13   | 13         | ^13      | ^13        | dom13
major-13th         | 1 3 5 7 9 11 13    | maj13      | ^△13     | ^maj13     | {maj}13 △13
minor-13th         | 1 b3 5 b7 9 11 13  | m13        | –^13     | m^13       | {min}13
suspended-second   | 1 2 5              | sus2       | ^sus2    | ^sus2      | {sus}2
suspended-fourth   | 1 4 5              | sus4       | ^sus4    | ^sus4      | {sus} {sus}4 4
Neapolitan         | 1 3 5              | Neapolitan | ^N6      | ^N6        | N6
Italian            | 1 3 #6             | Italian    | ^It+6    | ^It+6      | It6 It+6 It (Italian)
French             | 1 3 b5 #6          | French     | ^Fr+6    | ^Fr+6      | Fr6 Fr+6 Fr (French)
German             | 1 3 5 #6           | German     | ^Ger+6   | ^Ger+6     | Ger6 Ger+6 Ger Gr+6 (German)
pedal              | 1                  | pedal      | ^ped     | ^ped       | ped
power              | 1 5                | 5          | ^5       | ^5         | power
Tristan            | 1 #4 #6 #9         | Tristan    | ^Tristan | ^Tristan   | tristan
other              | 1                  | other      | ^?       | ^?         | ?
none               |                    | none       | N.C.     | N.C.       |
suspended-fourth   | 1 4 5 b7           | 7sus4      | ^7sus4   | ^7sus4     | 7{sus} 7{sus}4 {sus}7 7/4
suspended-fourth   | 1 4 5 b7 9         | 9sus4      | ^9sus4   | ^9sus4     | 9{sus} 9{sus}4 {sus}9 11{sus}
suspended-fourth   | 1 4 5 b7 9 13      | 13sus4     | ^13sus4  | ^13sus4    | 13{sus} 13{sus}4 {sus}13
suspended-fourth   | 1 4 5 7            | maj7sus4   | ^△7sus4  | ^maj7sus4  | {maj}7{sus}4 {maj}7{sus} △7{sus}4 △7{sus}
suspended-second   | 1 2 5 b7           | 7sus2      | ^7sus2   | ^7sus2     | 7{sus}2
minor-seventh      | 1 4 5 b7           | m7sus4     | –^7sus4  | m^7sus4    | {min}7{sus} {min}7{sus}4 {min}7({sus}) {min}7({sus}4)
minor-ninth        | 1 4 5 b7 9         | m9sus4     | –^9sus4  | m^9sus4    | {min}9{sus} {min}9{sus}4
suspended-fourth   | 1 2 4 5            | sus2sus4   | ^sus2/4  | ^sus2/4    | {sus}2{sus}4 {sus}4{sus}2 {sus}24 {sus}2/4
major              | 1 3 5 9            | add9       | ^add9    | ^add9      | 2 add2 /9 (9)
minor              | 1 b3 5 9           | m(add9)    | –^add9   | m^add9     | {min}(add9) {min}add9 {min}2 {min}add2 {min}/9
major-sixth        | 1 3 5 6 9          | 6/9        | ^6/9     | ^6/9       | 69 9/6 6add9 {maj}6/9 {maj}69
minor-sixth        | 1 b3 5 6 9         | m6/9       | –^6/9    | m^6/9      | {min}6/9 {min}69 {min}6add9
major              | 1 3 b5             | :b5        | ^:♭5     | ^:♭5       | -5
dominant           | 1 3 b5 b7          | 7:b5       | ^7:♭5    | ^7:♭5      | 7{b}5
major-seventh      | 1 3 b5 7           | maj7:b5    | ^△7:♭5   | ^maj7:♭5   | {maj}7{b}5 △7{b}5
major-seventh      | 1 3 #5 7           | maj7:#5    | +^△7     | ^maj7:♯5   | {maj}7{#}5 △7{#}5 {aug}{maj}7 {aug}△ {aug}△7 {aug}({maj}7) {maj}7+ △+ △7+
augmented-seventh  | 1 3 #5 b7 9        | 9:#5       | +^9      | ^9:♯5      | {aug}9 9{#}5 9+
dominant-ninth     | 1 3 b5 b7 9        | 9:b5       | ^9:♭5    | ^9:♭5      | 9{b}5
dominant-11th      | 1 3 #5 b7 9 11     | 11:#5      | +^11     | ^11:♯5     | {aug}11 11{#}5
dominant-13th      | 1 3 #5 b7 9 11 13  | 13:#5      | +^13     | ^13:♯5     | {aug}13 13{#}5
half-diminished    | 1 b3 b5 b7 9       | m9b5       | ^ø9      | m^9:♭5     | {half}9 {min}9{b}5 {min}9({b}5)
half-diminished    | 1 b3 b5 b7 9 11    | m11b5      | ^ø11     | m^11:♭5    | {half}11 {min}11{b}5 {min}11({b}5)
major-minor        | 1 b3 5 7 9         | m(maj9)    | –^△9     | m^(maj9)   | {min}({maj}9) {min}{maj}9 {min}/{maj}9 {min}△9
diminished         | 1 b3 b5 7          | dim(maj7)  | ^°△7     | dim^(maj7) | {dim}({maj}7) {dim}{maj}7 {dim}△ {dim}△7
major-seventh      | 1 3 #5 7 9         | maj9:#5    | +^△9     | ^maj9:♯5   | {maj}9{#}5 △9{#}5 {aug}{maj}9 {aug}△9
major-minor        | 1 b3 5 7 9 11      | m(maj11)   | –^△11    | m^(maj11)  | {min}({maj}11) {min}{maj}11 {min}△11
major-minor        | 1 b3 5 7 9 11 13   | m(maj13)   | –^△13    | m^(maj13)  | {min}({maj}13) {min}{maj}13 {min}△13
half-diminished    | 1 b3 b5 b7 9 11 13 | m13b5      | ^ø13     | m^13:♭5    | {half}13 {min}13{b}5 {min}13({b}5)
diminished-seventh | 1 b3 b5 bb7 9      | dim9       | ^°9      | dim^9      | {dim}9
diminished-seventh | 1 b3 b5 bb7 9 11   | dim11      | ^°11     | dim^11     | {dim}11
dominant           | 1 3 b5 #5 b7 b9 #9 | 7alt       | ^7alt    | ^7alt      | alt 7(alt) (alt)
other              | 1 4 b7             | quartal    | ^quartal | ^quartal   | q4 4ths
"""  # noqa: E501

#: The text of rows that are never the base of another chord with changes.
_ALONE: Final = frozenset(
    [
        "Neapolitan",
        "Italian",
        "French",
        "German",
        "pedal",
        "5",
        "Tristan",
        "other",
        "none",
        "quartal",
        "m7sus4",
        "m9sus4",
    ]
)


@frozen
class DegreeChange:
    """A degree added to, altered in or omitted from a quality (MusicXML `degree-type`).

    `alteration` is against the major scale: C7(♭9) adds 9 with −1.
    """

    type: ChangeType
    degree: int
    alteration: int = 0


@frozen
class Quality:
    """One row of the table.

    `tones` sound; `changes` turn the MusicXML `kind` into them. The canonical text is `stem`, then
    `mark`, an alteration that can join a list. `signs` and `letters` are the printed forms,
    `spellings` the column as written. `alone`: no other chord is named by it with changes.
    """

    kind: str
    tones: tuple[Tone, ...]
    changes: tuple[DegreeChange, ...]
    stem: str
    mark: str
    signs: str
    letters: str
    spellings: tuple[str, ...]
    alone: bool

    @property
    def text(self) -> str:
        """The canonical text after the root; a mark with nothing before it is in brackets."""
        return self.stem + self.mark if self.stem else f"({self.mark})" if self.mark else ""


def changes_to(kind: frozenset[Tone], wanted: frozenset[Tone]) -> tuple[DegreeChange, ...]:
    """The changes that turn the tones of a kind into the wanted ones, ordered by degree."""
    gone = {tone.degree for tone in kind - wanted}
    changes = []
    for tone in sorted(wanted - kind, key=lambda tone: (tone.degree, tone.alteration)):
        type_: ChangeType = "alter" if tone.degree in gone else "add"
        gone.discard(tone.degree)
        changes.append(DegreeChange(type_, tone.degree, tone.alteration))
    if not gone:
        return tuple(changes)
    changes += [DegreeChange("omit", degree) for degree in gone]
    return tuple(sorted(changes, key=lambda change: (change.degree, change.alteration)))


def _rows() -> Iterator[Quality]:
    kinds: dict[str, frozenset[Tone]] = {}
    for line in _TABLE.strip().splitlines():
        kind, degrees, text, signs, letters, spellings = (cell.strip() for cell in line.split("|"))
        tones = tuple(map(_tone, degrees.split()))
        base = kinds.setdefault(kind, frozenset(tones))
        stem, _, mark = text.partition(":")
        changes = changes_to(base, frozenset(tones))
        yield Quality(
            kind, tones, changes, stem, mark, signs, letters, tuple(spellings.split()),
            text in _ALONE,
        )  # fmt: skip


def _tone(word: str) -> Tone:
    degree = word.lstrip("b#")
    return Tone(int(degree), alteration_of(word.removesuffix(degree)))


#: Every quality that has a name, in the order in which they are preferred.
QUALITIES: Final[tuple[Quality, ...]] = tuple(_rows())

#: The 33 kinds of MusicXML 4.0 with the tones they sound.
KIND_TONES: Final[dict[str, tuple[Tone, ...]]] = {
    row.kind: row.tones for row in reversed(QUALITIES) if not row.changes
}

#: The price of each change in a name; the cheapest name is the best one: C9(#11) before C11(#11),
#: C13(b9,#11) before C7(b9,#11,13). An altered third costs more than any other alteration.
_PRICES: Final = {"add": 10, "alter": 14, "omit": 25}
_PRICE_OF_THIRD: Final = 8
#: The least that a tone of the row costs which is not there: it is altered to an added one.
_LEAST_GONE: Final = min(_PRICES["alter"] - _PRICES["add"], _PRICES["omit"])
_IMPOSSIBLE: Final = 1_000_000


def _bits(tones: Iterable[Tone]) -> int:
    """A set of tones as an integer, one bit for each."""
    bits = 0
    for tone in tones:
        bits |= 1 << (8 * tone.degree + tone.alteration + 3)
    return bits


_BY_KIND: Final = {row.kind: row for row in reversed(QUALITIES) if not row.changes}
_BY_TONES: Final = {frozenset(row.tones): row for row in reversed(QUALITIES)}
#: Rows with the tones of an earlier row, which their kind and changes tell from it (m7sus4).
_OTHER_ROWS: Final = {
    (row.kind, row.changes): row
    for row in QUALITIES
    if row.changes and _BY_TONES[frozenset(row.tones)] is not row
}
_BASES: Final = tuple(
    (row, _bits(row.tones), frozenset(row.tones)) for row in QUALITIES if not row.alone
)

#: The tension that an added degree counts as.
_TENSIONS: Final = {2: 9, 4: 11, 6: 13}


@lru_cache(maxsize=4096)
def chord_tones(kind: str, changes: tuple[DegreeChange, ...]) -> tuple[Tone, ...]:
    """The tones of a kind with its changes applied, ordered by degree."""
    tones = set(KIND_TONES[kind])
    for change in changes:
        if change.type != "add":
            tones -= {tone for tone in KIND_TONES[kind] if tone.degree == change.degree}
    tones |= {Tone(each.degree, each.alteration) for each in changes if each.type != "omit"}
    return tuple(sorted(tones, key=lambda tone: (tone.degree, tone.alteration)))


def is_plain(tone: Tone) -> bool:
    """Whether a tone is what its bare number means: as in the major scale, or a minor seventh."""
    return tone.alteration == 0 or (tone.degree == 7 and tone.alteration == -1)


def named(tones: frozenset[Tone]) -> tuple[str, tuple[DegreeChange, ...]]:
    """The kind and changes that name a set of tones best."""
    tones = _folded(tones)
    kind = _best_row(tones).kind
    return kind, changes_to(frozenset(KIND_TONES[kind]), tones)


@lru_cache(maxsize=4096)
def quality_parts(kind: str, changes: tuple[DegreeChange, ...]) -> tuple[Quality, tuple[str, ...]]:
    """The row that names a quality, and the words for what it has beyond the row."""
    if not changes:
        return _BY_KIND[kind], ()
    if (kind, changes) in _OTHER_ROWS:
        return _OTHER_ROWS[kind, changes], ()
    tones = _folded(frozenset(chord_tones(kind, changes)))
    row = _best_row(tones)
    return row, _words(frozenset(row.tones), tones)


@lru_cache(maxsize=4096)
def quality_text(kind: str, changes: tuple[DegreeChange, ...]) -> str:
    """The canonical text after the root: `7(b9,#11)`."""
    row, words = quality_parts(kind, changes)
    if not words:
        return row.text
    return f"{row.stem}({','.join((row.mark, *words) if row.mark else words)})"


def _folded(tones: frozenset[Tone]) -> frozenset[Tone]:
    """The tones with added seconds, fourths and sixths counted as the tensions they are."""
    degrees = {tone.degree for tone in tones}
    folded = set()
    for tone in tones:
        tension = tone.alteration != 0 or (7 if tone.degree == 6 else 3) in degrees
        degree = _TENSIONS.get(tone.degree, tone.degree) if tension else tone.degree
        folded.add(Tone(degree, tone.alteration))
    for low, high in ((2, 9), (4, 11)):
        if Tone(low) in folded:
            folded.discard(Tone(high))
    return frozenset(folded)


def _best_row(tones: frozenset[Tone]) -> Quality:
    exact = _BY_TONES.get(tones)
    if exact is not None:
        return exact
    wanted = _bits(tones)
    best, least = QUALITIES[0], _IMPOSSIBLE
    for row, bits, own in _BASES:
        gone = (bits & ~wanted).bit_count()
        price = _PRICES["add"] * (wanted & ~bits).bit_count() + _LEAST_GONE * gone
        if price < least and gone:
            price = _price(own, tones)
        if price < least:
            best, least = row, price
    return best


def _price(row: frozenset[Tone], tones: frozenset[Tone]) -> int:
    """The price of naming the tones by changes to a row, `_IMPOSSIBLE` where no changes can."""
    added = [tone.degree for tone in tones - row]
    price = _PRICES["add"] * len(added)
    for tone in row - tones:
        if tone.degree in added and is_plain(tone):
            added.remove(tone.degree)
            price += _PRICES["alter"] - _PRICES["add"]
            price += _PRICE_OF_THIRD if tone.degree == 3 else 0
        elif any(other.degree == tone.degree for other in tones):
            return _IMPOSSIBLE
        else:
            price += _PRICES["omit"]
    return price


def _words(row: frozenset[Tone], tones: frozenset[Tone]) -> tuple[str, ...]:
    plain = {tone.degree for tone in row & tones if is_plain(tone)}
    seventh = any(tone.degree == 7 for tone in row)
    words = []
    for tone in sorted(tones - row, key=lambda tone: (tone.degree, tone.alteration)):
        bare = tone.alteration != 0 or tone.degree == 7 or (seventh and tone.degree > 7)
        words.append(("" if bare and tone.degree not in plain else "add") + tone_text(tone))
    present = {tone.degree for tone in tones}
    gone = sorted({tone.degree for tone in row} - present)
    return (*words, *(f"no{degree}" for degree in gone))


def tone_text(tone: Tone) -> str:
    """A degree as symbols write it: `b9`, `13`, `maj7` (a bare 7 is the minor seventh)."""
    if tone == Tone(7):
        return "maj7"
    # A sharp seventh is counted from the minor one, as a bare 7 is.
    more = tone.degree == 7 and tone.alteration > 0
    return f"{accidental_text(tone.alteration + more)}{tone.degree}"


#: Word families in the spellings column.
FAMILIES: Final[dict[str, tuple[str, ...]]] = {
    "maj": ("maj", "Maj", "MAJ", "ma", "Ma", "MA", "M", "mj", "j", "major", "Major"),
    "min": ("m", "min", "Min", "MIN", "mi", "Mi", "MI", "-", "minor", "Minor"),
    "dim": ("dim", "Dim", "DIM", "o", "0", "diminished"),
    "aug": ("aug", "Aug", "AUG", "+", "augmented"),
    "half": ("ø", "halfdim", "half-dim", "hdim", "half-diminished"),
    "sus": ("sus", "Sus", "SUS"),
    "b": ("b", "-"),
    "#": ("#", "+"),
}

#: Signs with one meaning and the sign that they are folded to, one character for one.
SIGNS: Final[dict[str, str]] = {
    "♭": "b", "♯": "#", "−": "-", "–": "-", "—": "-", "‐": "-", "‑": "-", "＋": "+",
    "Δ": "△", "∆": "△", "▵": "△", "°": "o", "º": "o", "˚": "o", "○": "o", "Ø": "ø", "∅": "ø",
    "，": ",", "（": "(", "）": ")", "[": "(", "]": ")", "⁄": "/", "∕": "/", "\u00a0": " ",
    "²": "2", "⁴": "4", "⁵": "5", "⁶": "6", "⁷": "7", "⁹": "9",
}  # fmt: skip


_FOLD: Final = str.maketrans(SIGNS)

#: What may not follow a word: `ma` would cut `madd9` in two, `o` would cut `omit3`, `M` `Min`.
_STOPS: Final = {"ma": "(?!dd)", "o": "(?!mit|ther)", "M": "(?![iI])"}


def fold(text: str) -> str:
    """The text with each sign of `SIGNS` folded; its length, and so its columns, stay."""
    return text if text.isascii() and "[" not in text else text.translate(_FOLD)


def _expanded(pattern: str) -> Iterator[str]:
    """The pattern with each of its families spelled in each of its ways."""
    parts = split(r"[{}]", pattern)
    parts_of = [(part,) if at % 2 == 0 else FAMILIES[part] for at, part in enumerate(parts)]
    return map("".join, product(*parts_of))


#: Rows that follow a root; `none` is silence, which is written N.C. without a root.
_ROWS: Final = tuple(row for row in QUALITIES if row.kind != "none")

# Of two rows with one spelling the upper one has it: mj7 is a major seventh.
_COLUMN: Final = {
    text: row for row in reversed(_ROWS) for pattern in row.spellings for text in _expanded(pattern)
}
#: Every folded spelling of a quality; "" is the major triad.
SPELLINGS: Final[dict[str, Quality]] = {row.text: row for row in _ROWS} | _COLUMN


def quality_pattern() -> str:
    """A regular expression that matches the longest spelling that begins at a position.

    It is a prefix tree in which a family is one branch, which keeps it short and quick to compile.
    """
    patterns = {pattern for row in _ROWS for pattern in row.spellings}
    patterns |= {row.text for row in _ROWS} - _COLUMN.keys() - {""}
    tree = _tree([tuple(findall(r"\{[^}]+\}|.", pattern)) for pattern in sorted(patterns)])
    # A digit would belong to the spelling before it: C79 is not C7 and a 9.
    return rf"{tree}(?!\d)"


def _tree(patterns: list[tuple[str, ...]]) -> str:
    """The regular expression of sorted patterns; `maj` comes before `min`, which begins with m."""
    heads: dict[str, list[tuple[str, ...]]] = {}
    for pattern in patterns:
        heads.setdefault(pattern[0] if pattern else "", []).append(pattern[1:])
    ends = heads.pop("", None) is not None
    families = sorted(head for head in heads if len(head) > 1)
    letters = sorted(head for head in heads if len(head) == 1)
    branches = [_alternatives(head) + _tree(heads[head]) for head in families]
    branches += [escape(head) + _tree(heads[head]) for head in letters]
    return f"(?:{'|'.join(branches)})?" if ends and branches else _either(branches)


def _alternatives(family: str) -> str:
    words = sorted(FAMILIES[family[1:-1]], key=len, reverse=True)
    if len(words[0]) == 1:
        return f"[{''.join(map(escape, words))}]"
    return _either([escape(word) + _STOPS.get(word, "") for word in words])


def _either(branches: list[str]) -> str:
    return "".join(branches) if len(branches) < 2 else f"(?:{'|'.join(branches)})"
