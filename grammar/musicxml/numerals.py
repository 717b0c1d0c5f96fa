"""Roots that are given relative to the key: `<function>` and `<numeral>`; key signatures.

Takes the text or `Node` and the signature in force; gives a note name, None where it names none.

MusicXML 4.0: a minor key without qualification is natural minor; harmonic minor raises the
seventh, melodic minor the sixth too. In stacked functions (V of II) a function stands in the
major key of the next one.
"""

from __future__ import annotations

import re
from typing import Final

from ..frozen import frozen
from ..key import MODE_FIFTHS, Key, mode_named
from ..numeral import ROMAN
from ..pitch import LETTER_SEMITONES, Interval, PitchName, alteration_of, plain_name
from .xml import Node

#: Theoretical keys are read too: G sharp major has eight sharps.
MAX_FIFTHS: Final = 11
_FUNCTION: Final = re.compile(r"([b#♭♯]*)(VII|VI|IV|V|III|II|I)(?![IVX])", re.IGNORECASE)


@frozen
class Signature:
    """A key signature: `fifths` sharps (or flats, negative) and its mode, "" for none."""

    fifths: int
    mode: str = ""

    @property
    def key(self) -> Key:
        """The key of the signature; without a mode it is major.

        A tonic that would need a double accidental takes its plain name.
        """
        mode = mode_named(self.mode) or "major"
        return Key(plain_name(_name_on_fifths(self.fifths + MODE_FIFTHS[mode])), mode)


def _name_on_fifths(position: int) -> PitchName:
    """The note name at a position on the line of fifths: C is 0, G 1, F −1."""
    alteration, index = divmod(position + 1, 7)
    return PitchName("FCGDAEB"[index], alteration)


def function_root(text: str, key: Signature | None, tonic: PitchName | None) -> PitchName | None:
    """The root that a function such as `bVII` names; None when it names none.

    `tonic` is the root of the chord that the function applies to, None for the key's own tonic.
    """
    found = _FUNCTION.match(text.strip())
    if found is None:
        return None
    signs, roman = found.groups()
    alteration = alteration_of(signs.lower())
    if tonic is not None:
        home = Key(tonic, "major")
    elif key is not None:
        home = key.key
    else:
        return None
    return _on_scale(home, ROMAN.index(roman.upper()) + 1, alteration, ())


def numeral_root(node: Node, key: Signature | None) -> PitchName | None:
    """The root that a `<numeral>` names; None when there is no key to count in."""
    degree = node.number_of("numeral-root")
    alteration = node.number_of("numeral-alter")
    own = node.find("numeral-key")
    mode = "" if key is None else key.mode
    if own is not None:
        mode = own.text_of("numeral-mode")
        fifths = own.number_of("numeral-fifths")
        if abs(fifths) > MAX_FIFTHS:
            return None
        key = Signature(int(fifths), mode.rpartition(" ")[2])
    if key is None or degree not in range(1, 8) or alteration.denominator != 1:
        return None
    raised = {"harmonic minor": (7,), "melodic minor": (6, 7)}.get(mode, ())
    return _on_scale(key.key, int(degree), int(alteration), raised)


def _on_scale(home: Key, degree: int, alteration: int, raised: tuple[int, ...]) -> PitchName | None:
    """The name of a degree of the key's scale; minor is natural, but for the `raised` degrees."""
    own = LETTER_SEMITONES if degree in raised else home.scale
    semitones = own[degree - 1] + alteration
    name = home.tonic.up(Interval(degree - 1, semitones))
    return name if abs(name.alteration) <= 2 else None
