"""What stands at the start of a measure: divisions, key, time, clef, and its bar lines."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from typing import Final

from ...grammar.key import Key
from ...grammar.pitch import Interval
from ...grammar.sheet import Bar, Meter
from ...grammar.transpose import transpose_key
from .notes import Writing
from .xml import add

_STEPS: Final = ("C", "C", "D", "D", "E", "F", "F", "G", "G", "A", "A", "B")
_SHARP: Final = (1, 3, 6, 8, 10)


def add_key(attributes: ET.Element, key: Key) -> int:
    """A key signature, and its sharps; beyond seven the one with the other names is written."""
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
    """The treble clef of guitars, or that of tablature with a line and a tuning for each string."""
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
        add(string, "tuning-step", _STEPS[midi % 12])
        if midi % 12 in _SHARP:
            add(string, "tuning-alter", 1)
        add(string, "tuning-octave", midi // 12 - 1)


def add_style(attributes: ET.Element, before: int, bar: Bar) -> None:
    """Multi-bar rests, and signs that repeat one or two bars, where they begin and end.

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
    """A repeat that opens, an ending that begins."""
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
    """A repeat or ending that closes (`ending`: its passes, empty for none open), a double bar."""
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
