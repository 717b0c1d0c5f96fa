"""Names for sets of tones: the row of the table that says them best, and what is left to say.

Takes a kind with changes, gives its tones, its one normal form and its canonical text. Two symbols
that name the same tones above the same root have the same normal form, however they were spelled:
C+7 and C7#5, C7b9 and C7(b9), C9(b9) and C7(b9). Tensions count as 9, 11 and 13 wherever there is a
third (C2 is Cadd9), the sixth as 13 wherever there is a seventh.

In the text an altered degree takes the place of the plain one (C9(b9) has one ninth); `add` adds
beside it. Which name is best is a matter of taste, settled by `_PRICES`.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import Final

from .pitch import Tone, accidental_text
from .quality import KIND_TONES, QUALITIES, Change, Quality, changes_to

#: What a name costs for each change to be told: C9(#11) is told better than C11(#11), C13(b9,#11)
#: better than C7(b9,#11,13). The third is the last tone to be told as an alteration.
_PRICES: Final = {"add": 10, "alter": 14, "omit": 25}
_PRICE_OF_THIRD: Final = 8
_IMPOSSIBLE: Final = 1_000_000


def _bits(tones: Iterable[Tone]) -> int:
    """A set of tones as an integer, one bit for each."""
    bits = 0
    for tone in tones:
        bits |= 1 << (8 * tone.degree + tone.alteration + 3)
    return bits


_BY_KIND: Final = {row.kind: row for row in reversed(QUALITIES) if not row.changes}
_BY_TONES: Final = {frozenset(row.tones): row for row in reversed(QUALITIES)}
_BASES: Final = tuple((row, _bits(row.tones)) for row in QUALITIES if not row.alone)

#: The tension that an added degree counts as.
_TENSIONS: Final = {2: 9, 4: 11, 6: 13}


@lru_cache(maxsize=4096)
def chord_tones(kind: str, changes: tuple[Change, ...]) -> tuple[Tone, ...]:
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


@lru_cache(maxsize=4096)
def normal_form(kind: str, changes: tuple[Change, ...]) -> tuple[str, tuple[Change, ...]]:
    """The kind and changes by which everyone says the same tones."""
    if not changes:
        return kind, changes
    return named(frozenset(chord_tones(kind, changes)))


def named(tones: frozenset[Tone]) -> tuple[str, tuple[Change, ...]]:
    """The kind and changes that name a set of tones best."""
    tones = _folded(tones)
    kind = _best_row(tones).kind
    return kind, changes_to(frozenset(KIND_TONES[kind]), tones)


@lru_cache(maxsize=4096)
def quality_parts(kind: str, changes: tuple[Change, ...]) -> tuple[Quality, tuple[str, ...]]:
    """The row that names a quality, and the words for what it has beyond the row."""
    if not changes:
        return _BY_KIND[kind], ()
    tones = _folded(frozenset(chord_tones(kind, changes)))
    row = _best_row(tones)
    return row, _words(frozenset(row.tones), tones)


@lru_cache(maxsize=4096)
def quality_text(kind: str, changes: tuple[Change, ...]) -> str:
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
    for row, bits in _BASES:
        price = _PRICES["add"] * (wanted & ~bits).bit_count()
        if price < least and bits & ~wanted:
            price = _price(frozenset(row.tones), tones)
        if price < least:
            best, least = row, price
    return best


def _price(row: frozenset[Tone], tones: frozenset[Tone]) -> int:
    """The price of telling the tones as changes to a row; past all others where it cannot be."""
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
    told = {tone.degree for tone in tones}
    gone = sorted({tone.degree for tone in row} - told)
    return (*words, *(f"no{degree}" for degree in gone))


def tone_text(tone: Tone) -> str:
    """A degree as symbols write it: `b9`, `13`, `maj7` (a bare 7 is the minor seventh)."""
    if tone == Tone(7):
        return "maj7"
    # A sharp seventh is counted from the minor one, as a bare 7 is.
    more = tone.degree == 7 and tone.alteration > 0
    return f"{accidental_text(tone.alteration + more)}{tone.degree}"
