"""Directions: tempo and feel, rehearsal marks, words for the player, signs and jumps, numerals.

Jumps carry the words of the page and the `sound` attributes that players of MusicXML go by. Words
that say nothing about the form are marked by the direction's id (`text-…`, `roman-…`, `push-…`),
so that a reader need not guess.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from fractions import Fraction
from typing import Final

from ...grammar.sheet import Bar, Sheet
from .xml import add

#: Swing is written as two whole numbers, the second no greater than this.
_FINEST: Final = 100


def _direction(parent: ET.Element, placement: str = "above", id_: str = "") -> ET.Element:
    attributes = {"placement": placement} | ({"id": id_} if id_ else {})
    return add(parent, "direction", **attributes)


def add_words(parent: ET.Element, text: str, id_: str, below: bool = False) -> None:
    """Words that say nothing about the form."""
    direction = _direction(parent, "below" if below else "above", id_)
    add(add(direction, "direction-type"), "words", text)


def add_rehearsal(parent: ET.Element, label: str) -> None:
    """A section's label."""
    add(add(_direction(parent), "direction-type"), "rehearsal", label)


def add_tempo(parent: ET.Element, sheet: Sheet, swing: Fraction) -> None:
    """The metronome mark and the feel of the header, where it has them; `swing` is the ratio of
    its eighths.
    """
    header, beat = sheet.header, sheet.tempo_quarters
    if header.tempo is not None:
        direction = _direction(parent)
        metronome = add(add(direction, "direction-type"), "metronome", parentheses="no")
        add(metronome, "beat-unit", "quarter")
        if beat != 1:
            add(metronome, "beat-unit-dot")
        add(metronome, "per-minute", header.tempo)
        add(direction, "sound", tempo=_decimal(header.tempo * beat))
    if header.feel:
        _add_feel(parent, header.feel, swing)


def _decimal(value: Fraction) -> str:
    return str(value) if value.denominator == 1 else str(float(value))


def _add_feel(parent: ET.Element, feel: str, ratio: Fraction) -> None:
    """The feel in words, and to players the ratio in small numbers, straight for one to one."""
    direction = _direction(parent)
    add(add(direction, "direction-type"), "words", feel)
    swing = add(add(direction, "sound"), "swing")
    near = ratio.limit_denominator(_FINEST)
    if near == 1:
        add(swing, "straight")
    else:
        add(swing, "first", near.numerator)
        add(swing, "second", near.denominator)
        add(swing, "swing-type", "eighth")
    add(swing, "swing-style", feel)


def add_opening_signs(parent: ET.Element, bar: Bar) -> None:
    """The signs at a bar's start: segno, Coda."""
    if bar.segno:
        direction = _direction(parent)
        add(add(direction, "direction-type"), "segno")
        add(direction, "sound", segno="segno")
    if bar.coda:
        direction = _direction(parent)
        add(add(direction, "direction-type"), "coda")
        add(direction, "sound", coda="coda")


def add_closing_signs(parent: ET.Element, bar: Bar) -> None:
    """The words at a bar's end: To Coda, Fine, D.C. and D.S."""
    if bar.to_coda:
        _add_said(parent, "To Coda", tocoda="coda")
    if bar.fine:
        _add_said(parent, "Fine", fine="yes")
    if bar.jump is not None:
        sound = {"dacapo": "yes"} if bar.jump.to == "capo" else {"dalsegno": "segno"}
        _add_said(parent, str(bar.jump), **sound)


def _add_said(parent: ET.Element, words: str, **sound: str) -> None:
    direction = _direction(parent)
    add(add(direction, "direction-type"), "words", words)
    add(direction, "sound", **sound)
