"""The parts of a measure besides its chords and notes: attributes, bar lines, directions.

`write` orders them, `notes` holds the chords and notes. Directions are tempo and feel, rehearsal
marks, texts, signs and jumps, and numerals. Jumps have the words of the page and the `sound`
attributes for playback. The direction of words that are not about the form has an id with a prefix
(`text-…`, `roman-…`, `push-…`), by which a reader recognises it.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from fractions import Fraction
from typing import Final

from ...grammar.key import Key
from ...grammar.pitch import Interval
from ...grammar.sheet import Bar, Meter, Sheet
from ...grammar.transpose import transpose_key
from .notes import Writing
from .xml import add

#: Swing is written as two whole numbers, the second no greater than this.
_FINEST: Final = 100
#: The name of each pitch class for the tuning of a string.
_STRING_NAMES: Final = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")


def add_key(attributes: ET.Element, key: Key) -> int:
    """Add a key signature, gives its sharps; beyond seven it is that of the enharmonic key."""
    fifths = transpose_key(key, Interval(0, 0)).fifths
    element = add(attributes, "key")
    add(element, "fifths", fifths)
    add(element, "mode", key.mode)
    return fifths


def add_time(attributes: ET.Element, meter: Meter) -> None:
    """A time signature, cut time with its sign."""
    element = add(attributes, "time", **({"symbol": "cut"} if meter.cut else {}))
    add(element, "beats", meter.beats)
    add(element, "beat-type", meter.unit)


def add_clef(attributes: ET.Element, tuning: tuple[int, ...], writing: Writing) -> None:
    """Add the treble clef of guitars, or the tablature clef with a tuned line for each string."""
    clef = add(attributes, "clef")
    if writing != "tab":
        add(clef, "sign", "G")
        add(clef, "line", 2)
        add(clef, "clef-octave-change", -1)
        return
    add(clef, "sign", "TAB")
    add(clef, "line", 5)
    details = add(attributes, "staff-details")
    add(details, "staff-lines", len(tuning))
    for line, midi in enumerate(tuning, start=1):
        string = add(details, "staff-tuning", line=line)
        name = _STRING_NAMES[midi % 12]
        add(string, "tuning-step", name[0])
        if name.endswith("#"):
            add(string, "tuning-alter", 1)
        add(string, "tuning-octave", midi // 12 - 1)


def add_style(attributes: ET.Element, before: int, bar: Bar) -> None:
    """Add the start of a multi-bar rest, and the start or end of signs that repeat bars.

    `before` is the `simile` of the bar before.
    """
    if before and bar.simile != before:
        style = add(attributes, "measure-style")
        add(style, "measure-repeat", "", type="stop")
    if bar.simile and bar.simile != before:
        style = add(attributes, "measure-style")
        add(style, "measure-repeat", bar.simile, type="start", slashes=bar.simile)
    if bar.rest_bars:
        add(add(attributes, "measure-style"), "multiple-rest", bar.rest_bars)


def add_left_barline(measure: ET.Element, bar: Bar) -> None:
    """Add the start of a repeat and of an ending."""
    if not bar.repeat_open and not bar.endings:
        return
    barline = add(measure, "barline", location="left")
    if bar.repeat_open:
        add(barline, "bar-style", "heavy-light")
    if bar.endings:
        _add_ending(barline, bar.endings, "start")
    if bar.repeat_open:
        add(barline, "repeat", direction="forward")


def add_right_barline(measure: ET.Element, bar: Bar, ending: tuple[int, ...], last: bool) -> None:
    """Add the end of a repeat and of an ending (`ending`: its passes or empty), or a double bar."""
    closes = bool(bar.ending_close and ending)
    if not (bar.repeat_close or bar.double_bar or closes or last):
        return
    barline = add(measure, "barline", location="right")
    if bar.double_bar and not bar.repeat_close:
        add(barline, "bar-style", "light-light")
    elif bar.repeat_close or last:
        add(barline, "bar-style", "light-heavy")
    if closes:
        _add_ending(barline, ending, "stop" if bar.repeat_close else "discontinue")
    if bar.repeat_close:
        times = {"times": bar.repeat_close} if bar.repeat_close > 2 and not closes else {}
        add(barline, "repeat", direction="backward", **times)


def _add_ending(barline: ET.Element, passes: tuple[int, ...], type_: str) -> None:
    numbers = ", ".join(str(number) for number in passes)
    shown = f"{numbers}." if type_ == "start" else None
    add(barline, "ending", shown, number=numbers, type=type_)


def _direction(parent: ET.Element, placement: str = "above", id_: str = "") -> ET.Element:
    attributes = {"placement": placement} | ({"id": id_} if id_ else {})
    return add(parent, "direction", **attributes)


def add_words(parent: ET.Element, text: str, id_: str, below: bool = False) -> None:
    """Add words that are not about the form."""
    direction = _direction(parent, "below" if below else "above", id_)
    add(add(direction, "direction-type"), "words", text)


def add_rehearsal(parent: ET.Element, label: str) -> None:
    """A section's label."""
    add(add(_direction(parent), "direction-type"), "rehearsal", label)


def add_tempo(parent: ET.Element, sheet: Sheet, swing: Fraction) -> None:
    """Add the metronome mark and the feel of the header, if it has them.

    `swing` is the ratio of the two eighths of a beat.
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
    """Add the feel in words, and the swing ratio for playback, `straight` for 1:1."""
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
        _add_form_words(parent, "To Coda", tocoda="coda")
    if bar.fine:
        _add_form_words(parent, "Fine", fine="yes")
    if bar.jump is not None:
        sound = {"dacapo": "yes"} if bar.jump.to == "capo" else {"dalsegno": "segno"}
        _add_form_words(parent, str(bar.jump), **sound)


def _add_form_words(parent: ET.Element, words: str, **sound: str) -> None:
    direction = _direction(parent)
    add(add(direction, "direction-type"), "words", words)
    add(direction, "sound", **sound)
