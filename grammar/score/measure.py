"""The measure of a score, as far as the form of a sheet needs it.

Each notation reads its measures into values of its own that have the attributes of
`WrittenMeasure`; bar lines, marks (also those that words stand for) and time signatures are the
values of this module. Lengths and onsets are in quarter notes from the bar line.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Final, Literal, Protocol

from ..errors import SourcePosition
from ..frozen import frozen
from ..limits import MAX_METER_BEATS
from ..sheet import METER_UNITS, PARTS_A_QUARTER, Meter

MarkKind = Literal[
    "bookmark", "coda", "dacapo", "dalsegno", "feel", "fine", "rehearsal", "segno", "sign",
    "silence", "tempo", "text", "to_coda",
]  # fmt: skip
#: The marks of the end of a measure; `sign` may be one of them.
CLOSING_MARKS: Final = frozenset({"dacapo", "dalsegno", "fine", "to_coda"})
#: The words of a jump, and of where the playing then ends.
_JUMP: Final = re.compile(r"(?P<from>d ?c|da capo|d ?s|dal segno)\b(?P<rest>.*)")
_UNTIL: Final = re.compile(r"\b(?:al?|to) ?(?:the )?(fine|coda)\b")
#: The other words and the signs of form on paper.
_WORDS: Final[dict[str, MarkKind]] = {
    "fine": "fine",
    "coda": "coda",
    "segno": "segno",
    "to coda": "to_coda",
    "al coda": "to_coda",
    "nc": "silence",
    "n c": "silence",
    "no chord": "silence",
    "tacet": "silence",
}
_SIGNS: Final = {"⊕": "coda", "𝄌": "coda", "\U0001d10b": "segno", "§": "segno"}
#: Feels that lead sheets name at their head (common practice, no source).
_FEELS: Final = re.compile(
    r"(?:(?:slow|medium|med|fast|up|easy|jazz|light|gentle|bright|up ?tempo|even|straight) ?)*"
    r"(?:swing|shuffle|bossa(?: nova)?|samba|latin|ballad|waltz|rumba|eighths|rubato)"
)


@frozen
class Mark:
    """A mark at `onset` (quarters from the bar line); `value` completes its kind.

    `dacapo` and `dalsegno`: where the playing then ends ("fine", "coda" or "" for unstated).
    `rehearsal`, `text`, `feel`: the words. `tempo`: quarters a minute. `sign`: a coda sign alone,
    which can mean To Coda or Coda.
    """

    kind: MarkKind
    onset: Fraction
    position: SourcePosition
    value: str = ""


def marks_of_words(text: str) -> Iterator[tuple[MarkKind, str]]:
    """The kinds and values of the marks that a run of words, as it is printed, stands for."""
    plain = text.lower()
    for sign, name in _SIGNS.items():
        plain = plain.replace(sign.lower(), f" {name} ")
    plain = " ".join(plain.replace(".", " ").strip(" :,()[]").split())
    jump = _JUMP.fullmatch(plain)
    if jump is not None:
        until = _UNTIL.search(jump["rest"])
        kind: MarkKind = (
            "dacapo" if jump["from"].replace(" ", "") in ("dc", "dacapo") else "dalsegno"
        )
        yield kind, until[1] if until else ""
        if jump["rest"].strip() and until is None:
            yield "text", text
    else:
        known = _WORDS.get(plain)
        if known is None and _FEELS.fullmatch(plain):
            yield "feel", text
        else:
            yield (known, "") if known else ("text", text)


@frozen
class Time:
    """A time signature; `meter` is None where the music is written without one."""

    meter: Meter | None


@frozen
class Barlines:
    """The bar lines at both ends of a measure.

    `times`: how often the repeat that closes here is played, 0 where none closes. `endings`: the
    numbers of the ending that begins here, (0,) where it has no number that can be read.
    `inside`: a repeat sign stands in the middle of the measure.
    """

    opens: bool = False
    times: int = 0
    endings: tuple[int, ...] = ()
    ending_stops: bool = False
    double: bool = False
    double_before: bool = False
    inside: bool = False


class WrittenMeasure(Protocol):
    """What the form of a score reads of each measure.

    `length`: how far its notes and rests reach, 0 for an empty one. `implicit`: the score marks it
    as no whole measure. `time` and whether a key is stated (`states_key`) are of this measure
    alone. `rest_bars`: measures of a multi-bar rest that begins here. `sounding`: it holds a note;
    `has_chords`: a chord symbol stands in it.
    """

    @property
    def length(self) -> Fraction: ...

    @property
    def implicit(self) -> bool: ...

    @property
    def time(self) -> Time | None: ...

    @property
    def states_key(self) -> bool: ...

    @property
    def rest_bars(self) -> int: ...

    @property
    def sounding(self) -> bool: ...

    @property
    def has_chords(self) -> bool: ...

    @property
    def barlines(self) -> Barlines: ...

    @property
    def marks(self) -> Sequence[Mark]: ...


def on_grid(onset: Fraction) -> Fraction:
    """An onset in quarters as a sheet can state it: one between all parts is at the 64th before."""
    return onset if PARTS_A_QUARTER % onset.denominator == 0 else Fraction(onset * 16 // 1, 16)


def meter_lasting(length: Fraction, unit: int) -> Meter:
    """The meter of a bar of `length` quarters, in the unit nearest to `unit` that counts it whole.

    Finer units are tried before longer ones. A length that no unit counts in so many beats as a
    meter may have (a piece of a tuplet) is rounded up to the next 64th, or the finest unit that
    does.
    """
    finer = [each for each in METER_UNITS if each > unit]
    for each in (unit, *finer, *reversed([each for each in METER_UNITS if each < unit])):
        beats = length * each / 4
        if beats.denominator == 1 and 1 <= beats <= MAX_METER_BEATS:
            return Meter(int(beats), each)
    counts = {each: max(1, int(-(-length * each // 4))) for each in METER_UNITS}
    return next(
        Meter(counts[each], each) for each in METER_UNITS[::-1] if counts[each] <= MAX_METER_BEATS
    )
