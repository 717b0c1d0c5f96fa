"""The directions of a score that concern form, tempo and feel, as marks at a position.

`measure` reads all other elements. Takes a `<direction>` or `<sound>` as a `Node`; gives `Mark`s.
Words are read as on paper (D.C., D.S., al Fine, al Coda, To Coda, Coda, Segno, Fine, N.C.), the
attributes of `<sound>` as MusicXML 4.0 defines them; a mark that both give is kept once. Other
words are text for the player. Onsets are in quarter notes from the bar line, tempos in quarter
notes a minute.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from ..score.measure import Mark, MarkKind, marks_of_words
from .xml import Node, number

_FEEL_WORDS: Final = 40
_OWN_WORDS: Final = ("text-", "roman-", "push-")
#: Short words in a box are a section's label, as some programs write them.
_BOXES: Final = ("rectangle", "square", "circle", "oval")
_LABEL: Final = 12
_SOUNDS: Final[tuple[tuple[str, MarkKind], ...]] = (
    ("segno", "segno"),
    ("coda", "coda"),
    ("tocoda", "to_coda"),
    ("fine", "fine"),
)
#: Quarters in the beat units that tempo marks use.
_QUARTERS: Final = {
    "whole": Fraction(4),
    "half": Fraction(2),
    "quarter": Fraction(1),
    "eighth": Fraction(1, 2),
    "16th": Fraction(1, 4),
}


def direction_marks(node: Node, onset: Fraction) -> list[Mark]:
    """The marks of a `<direction>` or of a `<sound>` that stands alone at `onset`.

    A direction whose id begins with `text-` holds text for the player only; one with `roman-` or
    `push-` repeats what is read elsewhere and gives no mark.
    """
    id_ = node.attributes.get("id", "")
    if id_.startswith(_OWN_WORDS):
        found_words = (w for kind in node.all("direction-type") for w in kind.all("words"))
        return [Mark("text", onset, node.position, w.text) for w in found_words if id_[0] == "t"]
    found = dict.fromkeys(_kinds_and_values(node))
    kinds = {kind for kind, _ in found}
    for kind, value in list(found):
        doubled = kind in ("dacapo", "dalsegno") and not value
        if doubled and any(other == kind and end for other, end in found):
            del found[kind, value]
    if kinds & {"to_coda", "coda", "dacapo", "dalsegno"}:
        found.pop(("sign", ""), None)
    if kinds & {"to_coda", "dacapo", "dalsegno"}:
        found.pop(("coda", ""), None)
    feels = [value for kind, value in found if kind == "feel"]
    for value in feels:
        found.pop(("text", value), None)
    for value in feels[1:]:
        del found["feel", value]
    return [Mark(kind, onset, node.position, value) for kind, value in found]


def _kinds_and_values(node: Node) -> Iterator[tuple[MarkKind, str]]:
    sounds = [node] if node.name == "sound" else list(node.all("sound"))
    for kind in node.all("direction-type"):
        for sign in kind.children:
            yield from _sign(sign)
    for sound in sounds:
        yield from _sound(sound)
    if not any("tempo" in sound.attributes for sound in sounds):
        for kind in node.all("direction-type"):
            for metronome in kind.all("metronome"):
                yield from _metronome(metronome)


def _sign(node: Node) -> Iterator[tuple[MarkKind, str]]:
    boxed = node.attributes.get("enclosure") in _BOXES and len(node.text) <= _LABEL
    if node.name == "rehearsal" or boxed:
        if node.text:
            yield "rehearsal", node.text
    elif node.name == "words" and node.text:
        yield from marks_of_words(node.text)
    elif node.name == "segno":
        yield "segno", ""
    elif node.name == "coda":
        yield "sign", ""


def _sound(node: Node) -> Iterator[tuple[MarkKind, str]]:
    attributes = node.attributes
    if attributes.get("dacapo") == "yes":
        yield "dacapo", ""
    if "dalsegno" in attributes:
        yield "dalsegno", ""
    for name, kind in _SOUNDS:
        if attributes.get(name):
            yield kind, ""
    if "tempo" in attributes:
        number(attributes["tempo"], node)
        yield "tempo", attributes["tempo"]
    swing = node.find("swing")
    if swing is not None:
        ratio = "" if swing.find("straight") is not None else "swing"
        style = swing.text_of("swing-style")[:_FEEL_WORDS] or ratio
        if style:
            yield "feel", style


def _metronome(node: Node) -> Iterator[tuple[MarkKind, str]]:
    quarters = _QUARTERS.get(node.text_of("beat-unit"))
    minute = node.find("per-minute")
    digits = None if minute is None else re.search(r"\d{1,4}(?:\.\d{1,4})?", minute.text, re.ASCII)
    if quarters is None or digits is None:
        return
    dots = min(sum(1 for _ in node.all("beat-unit-dot")), 2)
    beat = quarters * (2 - Fraction(1, 2**dots))
    yield "tempo", f"{float(Fraction(digits[0]) * beat):.4f}"
