"""The fields of an ABC tune: meter, unit note length, tempo, key, order of the parts, texts.

Each function takes the value of a field and gives what it says, None where it says nothing that a
sheet can hold. Section numbers are those of ABC 2.1.
"""

from __future__ import annotations

import html
import re
import unicodedata
from fractions import Fraction
from typing import Final

from ..foreign_text import harmless
from ..frozen import frozen
from ..key import Key, parse_key
from ..limits import MAX_METER_BEATS, MAX_PARTS
from ..score.measure import Time
from ..sheet import METER_UNITS, Meter, parse_meter

_SUM: Final = re.compile(r"\(?\s*(\d{1,3}(?:\s*\+\s*\d{1,3})*)\s*\)?\s*/\s*(\d{1,2})")


def read_meter(value: str) -> Time | None:
    """The meter of `M:` (3.1.6): `6/8`, `C`, `C|`, `(2+2+3)/8`; `none` is free meter."""
    text = value.strip()
    if text.lower() in ("none", ""):
        return Time(None)
    try:
        return Time(parse_meter(text))
    except ValueError:
        pass
    found = _SUM.fullmatch(text)
    if found is None:
        return None
    beats, unit = sum(int(part) for part in found[1].split("+")), int(found[2])
    fits = 0 < beats <= MAX_METER_BEATS and unit in METER_UNITS
    return Time(Meter(beats, unit)) if fits else None


def read_unit(value: str) -> Fraction | None:
    """The unit note length of `L:` (3.1.7) in quarter notes."""
    found = re.fullmatch(r"1(?:\s*/\s*(\d{1,3}))?", value.strip())
    if found is None or int(found[1] or 1) not in (1, 2, 4, 8, 16, 32, 64, 128, 256, 512):
        return None
    return Fraction(4, int(found[1] or 1))


def usual_unit(time: Time | None) -> Fraction:
    """The unit note length without `L:` (3.1.7): a 16th in meters below 3/4, else an eighth."""
    meter = None if time is None else time.meter
    short = meter is not None and Fraction(meter.beats, meter.unit) < Fraction(3, 4)
    return Fraction(1, 4) if short else Fraction(1, 2)


@frozen
class Tempo:
    """What `Q:` says: quarter notes a minute (None where it gives no number), and its words."""

    quarters: Fraction | None
    words: str = ""


def read_tempo(value: str, unit: Fraction) -> Tempo:
    """The tempo of `Q:` (3.1.8): `1/4=120`, `"Slow" 3/8=50`, `3/8 1/8=40`; outdated: `120`.

    A number alone counts unit note lengths a minute (10.1).
    """
    words = " ".join(re.findall(r'"([^"]*)"', value)).strip()
    rest = re.sub(r'"[^"]*"', " ", value).strip()
    beats, equals, number = rest.rpartition("=")
    minute = re.fullmatch(r"\d{1,4}(\.\d{1,3})?", number.strip())
    if minute is None:
        return Tempo(None, words)
    if not equals or not re.search(r"\d", beats):
        return Tempo(Fraction(minute[0]) * unit, words)
    parts = re.findall(r"(\d{1,3})\s*/\s*(\d{1,3})", beats)
    counted = sum((Fraction(4 * int(a), int(b)) for a, b in parts if int(b)), Fraction(0))
    return Tempo(Fraction(minute[0]) * counted if counted else None, words)


#: Modes by their first three letters, in any case (3.1.14).
_MODES: Final = {
    "": "major", "maj": "major", "ion": "major", "m": "minor", "min": "minor", "aeo": "minor",
    "dor": "dorian", "phr": "phrygian", "lyd": "lydian", "mix": "mixolydian", "loc": "locrian",
}  # fmt: skip
_KEY: Final = re.compile(r"([A-G])([#b]?)\s*([A-Za-z]*)")


@frozen
class StatedKey:
    """The key of `K:`, None for none."""

    key: Key | None


def read_key(value: str) -> StatedKey | None:
    """The key of `K:` (3.1.14), as in `Bb`, `F#m`, `D dorian`, `Gmix`; None where it names none."""
    text = value.strip()
    first = text.split(maxsplit=1)[0] if text else ""
    if first.lower() in ("", "none", "hp") or "=" in first:
        return StatedKey(None)
    found = _KEY.match(text)
    if found is None:
        return None
    tonic, word = found[1] + found[2], found[3].lower()
    spaced = text[len(tonic) :][:1].isspace()
    mode = _MODES.get(word if word == "m" else word[:3])
    if mode is None:
        if not spaced:
            return None
        mode = "major"  # a clef or another property follows
    return StatedKey(parse_key(f"{tonic} {mode}"))


def read_order(value: str) -> tuple[str, ...] | None:
    """The parts in the order that they are played (3.1.9): `AABA`, `A2B`, `(AB)3C`.

    Dots between them say nothing. None where the text is no such order, or names more than
    `MAX_PARTS` parts.
    """
    stack: list[list[str]] = [[]]
    last: list[str] = []
    for token in re.findall(r"[A-Za-z]|\d+|[()]|[^\s.]", value):
        if token.isdigit():
            extra = (int(token) - 1) * len(last)
            if not last or not 0 <= extra <= MAX_PARTS:
                return None
            stack[-1] += last * (int(token) - 1)
            last = []
        elif token == "(":
            stack.append([])
            last = []
        elif token == ")":
            if len(stack) == 1:
                return None
            last = stack.pop()
            stack[-1] += last
        elif token.isalpha():
            last = [token]
            stack[-1] += last
        else:
            return None
        if len(stack[-1]) > MAX_PARTS or len(stack) > MAX_PARTS:
            return None
    return tuple(stack[0]) if len(stack) == 1 and stack[0] else None


#: The accents of text mnemonics (8.2) as combining characters of Unicode.
_ACCENTS: Final = {
    "`": "\u0300", "'": "\u0301", "^": "\u0302", "~": "\u0303", '"': "\u0308", "u": "\u0306",
    "v": "\u030c", "c": "\u0327", ",": "\u0327", "a": "\u030a", "=": "\u0304",
}  # fmt: skip
_LIGATURES: Final = {"ss": "ß", "AE": "Æ", "ae": "æ", "OE": "Œ", "oe": "œ", "/O": "Ø", "/o": "ø"}


def plain_text(value: str) -> str:
    r"""A text string (8.2): mnemonics such as `\'e`, entities and `\u0144` as their characters."""
    value = re.sub(r"\\u([0-9a-fA-F]{4})", lambda found: _character(found[1]), value)
    value = re.sub(r"\\(ss|AE|ae|OE|oe|/O|/o)", lambda found: _LIGATURES[found[1]], value)
    value = re.sub(
        r"\\([`'^~\"uvc,a=])([A-Za-z])",
        lambda found: unicodedata.normalize("NFC", found[2] + _ACCENTS[found[1]]),
        value,
    )
    value = re.sub(r"\\([%&\\])", r"\1", value)
    return " ".join(harmless(html.unescape(value)).split())


def _character(digits: str) -> str:
    code = int(digits, 16)
    return chr(code) if not 0xD800 <= code <= 0xDFFF and code >= 32 else " "
