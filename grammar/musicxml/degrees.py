"""The `<degree>` elements of a harmony, as changes to its kind.

MusicXML 4.0, `degree-alter`: for `alter` and `subtract` the alteration is against the degree that
the kind has; for `add` it is against a dominant chord. `Change.alteration` is against the major
scale.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from ..pitch import Tone
from ..quality import KIND_TONES, Change, changes_to
from .node import Node

_TYPES: Final = ("add", "alter", "subtract")
#: A tension and the chord tone an octave below it are one degree to those who write them.
_TWINS: Final = {2: 9, 9: 2, 4: 11, 11: 4, 6: 13, 13: 6}
_FOLDED: Final = {8: 1, 10: 3, 12: 5, 14: 7}


@dataclass(frozen=True, slots=True)
class _Said:
    """One degree as it is written: `alteration` is against what its `type` refers to."""

    degree: int
    alteration: int
    type: str


def against_dominant(degree: int) -> int:
    """The alteration of a dominant chord's degree against the major scale."""
    return -1 if degree == 7 else 0


def read_degrees(nodes: Iterable[Node], kind: str, remarks: list[str]) -> tuple[Change, ...]:
    """The changes that `nodes` make to `kind`, by degree; what cannot be said goes to `remarks`."""
    own = frozenset(KIND_TONES[kind])
    wanted = set(own)
    for node in nodes:
        for value, alteration, type_ in _triples(node):
            _change(wanted, _Said(_FOLDED.get(value, value), alteration, type_), own, remarks)
    if not wanted:
        remarks.append("it leaves out every degree; they are kept")
        return ()
    return changes_to(own, frozenset(wanted))


def _triples(node: Node) -> Iterator[tuple[int, int, str]]:
    """Value, alteration and type; files that put several degrees into one element are read too."""
    value = alteration = None
    for child in node.children:
        if child.name == "degree-value":
            value = _whole(child)
        elif child.name == "degree-alter":
            alteration = _whole(child) if child.text else 0
        elif child.name == "degree-type" and value is not None:
            yield value, alteration or 0, child.text
            value = alteration = None


def _whole(node: Node) -> int:
    found = node.number()
    if found.denominator != 1 or abs(found) > 14:
        raise node.fault(f"<{node.name}> should hold a small whole number")
    return int(found)


def _has_name(tone: Tone) -> bool:
    """Whether a chord symbol can say the tone: the root as it is, others with two signs at most."""
    if tone.degree == 1:
        return tone.alteration == 0
    return -2 <= tone.alteration <= 2 + against_dominant(tone.degree)


def _change(wanted: set[Tone], said: _Said, own: frozenset[Tone], remarks: list[str]) -> None:
    """Does to the `wanted` tones what one degree says."""
    degree, alteration = said.degree, said.alteration
    if not 1 <= degree <= 13 or abs(alteration) > 2 or said.type not in _TYPES:
        remarks.append(f"the degree {degree} ({said.type or 'no type'}) cannot be read")
        return
    present = {tone.degree: tone for tone in own}
    if said.type == "subtract":
        gone = present.get(degree) or present.get(_TWINS.get(degree, 0))
        if gone is None:
            remarks.append(f"it leaves out a degree {degree} that it does not have")
        else:
            wanted.discard(gone)
        return
    altered = present.get(degree) if said.type == "alter" else None
    against = against_dominant(degree) if altered is None else altered.alteration
    tone = Tone(degree, against + alteration)
    if not _has_name(tone):
        remarks.append(f"its degree {degree} ({alteration:+}) has no name and is left as it was")
        return
    wanted.discard(altered or tone)
    wanted.add(tone)
