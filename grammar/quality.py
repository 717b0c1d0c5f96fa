"""The one table of chord qualities, from which everything about them is derived.

Each row says: the MusicXML `kind` that comes nearest, the degrees that sound, the canonical text
after the root, how it is printed in signs and in letters, and how else people write it. The
grammar's QUALITY terminal, the tones, the changes to the kind, the canonical text and the printed
form all come from here.

Degrees are those of the major scale on the root; `b` or `#` before the number lowers or raises it
by a semitone. In the text column what follows `:` is an alteration that joins a list when there is
one: C7#5, but C7(#5,b9). In the printed columns `^` begins what is raised and `:` what is stacked.
Spellings use the families of `spelling.FAMILIES`; any row's canonical text is a spelling too.

Sources: MusicXML 4.0, W3C Community Group Final Report, simple type `kind-value` (all 33 are rows;
a kind's first row is the kind itself); the spellings are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal

from .pitch import Tone

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
Italian            | 1 3 #6             | Italian    | ^It+6    | ^It+6      | It6 It+6 It
French             | 1 3 b5 #6          | French     | ^Fr+6    | ^Fr+6      | Fr6 Fr+6 Fr
German             | 1 3 5 #6           | German     | ^Ger+6   | ^Ger+6     | Ger6 Ger+6 Ger Gr+6
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

#: Rows that name their own notes and nothing near them: no other chord is described as one of these
#: with changes.
_ALONE: Final = frozenset(
    {
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
    }
)


@dataclass(frozen=True, slots=True)
class Change:
    """A degree added to, altered in or omitted from a quality (MusicXML `degree-type`).

    `alteration` is against the major scale: C7(♭9) adds 9 with −1.
    """

    type: ChangeType
    degree: int
    alteration: int = 0


@dataclass(frozen=True, slots=True)
class Quality:
    """One row of the table.

    `tones` are what sounds; `changes` what the MusicXML `kind` needs to sound so. Canonical text is
    `stem` and then `mark`, an alteration that can join a list. `signs` and `letters` are the
    printed forms; `spellings` the column as written. `alone`: never the base of another chord.
    """

    kind: str
    tones: tuple[Tone, ...]
    changes: tuple[Change, ...]
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


def changes_to(kind: frozenset[Tone], wanted: frozenset[Tone]) -> tuple[Change, ...]:
    """What must be changed in the tones of a kind to have the wanted ones, ordered by degree."""
    gone = {tone.degree for tone in kind - wanted}
    changes = []
    for tone in sorted(wanted - kind, key=lambda tone: (tone.degree, tone.alteration)):
        type_: ChangeType = "alter" if tone.degree in gone else "add"
        gone.discard(tone.degree)
        changes.append(Change(type_, tone.degree, tone.alteration))
    if not gone:
        return tuple(changes)
    changes += [Change("omit", degree) for degree in gone]
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
    return Tone(int(word.lstrip("b#")), word.count("#") - word.count("b"))


#: Every quality that has a name, in the order in which they are preferred.
QUALITIES: Final[tuple[Quality, ...]] = tuple(_rows())

#: The 33 kinds of MusicXML 4.0 with the tones they sound.
KIND_TONES: Final[dict[str, tuple[Tone, ...]]] = {
    row.kind: row.tones for row in reversed(QUALITIES) if not row.changes
}
