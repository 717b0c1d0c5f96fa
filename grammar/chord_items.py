"""The words after a quality: altered, added, omitted and suspended degrees, and what they do.

Takes the pieces that the grammar finds, gives the kind and changes of the chord. An altered degree
takes the place of the plain one (C9(b9) has one ninth), an added one stands beside it. A bare 7 is
the minor seventh, as everywhere in symbols.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Final

from .pitch import PitchName, Tone
from .quality import Change
from .quality_name import is_plain, named
from .spelling import SPELLINGS

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
def with_items(quality: str, items: tuple[Item, ...]) -> tuple[str, tuple[Change, ...]]:
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
