"""The written sheet: header, sections, bars and their chords, each with its position in the file.

Beats count in the meter's lower number (a bar of 6/8 has six), from 0 at the bar line, exactly.
Written bars are numbered from 1; a pickup bar is bar 0. A bar that repeats the bar before
(`%`) or the two before (`%%`) has no chords of its own; its `simile` is 1 or 2. Positions are lines
and columns from 1.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import field
from fractions import Fraction
from itertools import accumulate
from typing import Final, Literal

from .checks import check_one_of, check_text, check_whole
from .chord import NO_CHORD, Chord
from .errors import SHOWN_TEXT, InvalidValueError, SourcePosition
from .frozen import frozen
from .key import Key
from .limits import MAX_METER_BEATS

#: Where a jump leads (the beginning or the segno), and where the tune then ends.
JumpTarget = Literal["capo", "segno"]
JumpEnd = Literal["end", "fine", "coda"]

#: The slowest and the fastest tempo, in beats a minute (common practice, no source).
TEMPOS: Final = (20, 400)
#: The tempo of a tune that states none: a medium one (common practice, no source).
USUAL_TEMPO: Final = 120

#: The parts of a quarter note that chords begin and end at: the 256th notes, and their triplets,
#: fifths and sevenths. MIDI files count them, and scores divide a quarter into no more.
PARTS_A_QUARTER: Final = 6720

#: The notes that a meter may count: whole notes to 64ths.
METER_UNITS: Final = (1, 2, 4, 8, 16, 32, 64)

#: A finger for each string as in `Frets`, 1 index to 4 little; None for an open or silent string.
Fingers = tuple[int | None, ...]

#: A grip as its frets: one for each string from string 6 to string 1, None where it is not played.
Frets = tuple[int | None, ...]


@frozen
class Meter:
    """A time signature: `beats` of a 1/`unit` note each; `cut` when it was written as cut time.

    Raises InvalidValueError for beats or a unit that no meter has.
    """

    beats: int
    unit: int
    cut: bool = False

    def __post_init__(self) -> None:
        check_whole("beats of a meter", self.beats, 1, MAX_METER_BEATS)
        check_one_of("unit of a meter", self.unit, METER_UNITS)

    @property
    def compound(self) -> bool:
        """Whether its beats are grouped in threes: 6/8, 9/8, 12/8."""
        return self.unit >= 8 and self.beats > 3 and self.beats % 3 == 0

    @property
    def quarters(self) -> Fraction:
        """The length of a whole bar in quarter notes."""
        return Fraction(4 * self.beats, self.unit)

    @property
    def tempo_quarters(self) -> Fraction:
        """The beat that a tempo counts, in quarter notes: dotted in compound eighths, else one."""
        return Fraction(3, 2) if self.compound and self.unit == 8 else Fraction(1)

    @property
    def typed(self) -> str:
        """Its text in a sheet, which `parse_meter` reads back: `6/8`, `C|` for cut time."""
        return "C|" if self.cut else str(self)

    def __str__(self) -> str:
        return f"{self.beats}/{self.unit}"

    def __repr__(self) -> str:
        return f"Meter({self.beats}, {self.unit}{', cut=True' if self.cut else ''})"


#: The meter where none is stated.
COMMON_TIME: Final = Meter(4, 4)


def parse_meter(text: str) -> Meter:
    """The meter that a text names: `6/8`, `C` for common time, `C|` or `cut` for cut time.

    Raises ValueError when it names none.
    """
    check_text("a meter", text)
    typed = " ".join(text.lower().replace("¢", "c|").split())
    if typed in ("c", "common", "common time", "𝄴"):
        return COMMON_TIME
    if typed in ("c|", "c |", "cut", "cut time", "alla breve", "𝄵"):
        return Meter(2, 2, cut=True)
    found = re.fullmatch(r"(\d{1,3}) ?/ ?(\d{1,2})", typed)
    if found is not None:
        beats, unit = int(found[1]), int(found[2])
        if 0 < beats <= MAX_METER_BEATS and unit in METER_UNITS:
            return Meter(beats, unit)
    raise ValueError(f"{text!r} is not a time signature; expected one as in 4/4, 6/8 or C|")


@frozen
class SheetChord:
    """A chord in its bar, or silence (`chord` is None: N.C.).

    `start` and `beats` are in beats of the bar's meter. `pin` fixes the grip, `fingers` its fingers
    (None: those of the player). `push`: struck an eighth early. `hold`: with a fermata. `optional`:
    in brackets; at the end of the form it leads back to the top and is left out in the last chorus.
    """

    chord: Chord | None
    text: str
    position: SourcePosition
    start: Fraction
    beats: Fraction
    pin: Frets | None = None
    push: bool = False
    hold: bool = False
    optional: bool = False
    fingers: Fingers | None = None

    def __post_init__(self) -> None:
        if self.beats <= 0 or self.start < 0:
            raise InvalidValueError(
                f"the chord {self.text[:SHOWN_TEXT]!r} lasts more than 0 beats and begins at 0 or "
                f"later, not {self.beats} from {self.start}"
            )

    @property
    def symbol(self) -> str:
        """The canonical text of the chord, or of silence."""
        return NO_CHORD if self.chord is None else str(self.chord)


@frozen
class Jump:
    """D.C. or D.S.: back to the top (`capo`) or the sign (`segno`), then to `until`.

    Its text is as on paper: `D.S. al Coda`.
    """

    to: JumpTarget
    until: JumpEnd

    def __str__(self) -> str:
        words = "D.C." if self.to == "capo" else "D.S."
        return words if self.until == "end" else f"{words} al {self.until.capitalize()}"


@frozen
class Bar:
    """One written bar.

    `repeat_open`: `|:` at its start. `repeat_close`: how often the repeat that `:|` closes is
    played in all, 0 where it closes none. `endings`: the passes for which the ending that begins
    here is played, empty where none begins. `ending_close`: the ending ends with this bar.
    `simile`: 0 its own chords, 1 the bar before again, 2 the two bars before again (the bar is
    the first or second of the two). `rest_bars`: number of bars that a multi-bar rest written
    here lasts, 0 for a plain bar; each of them has a number, of which `number` is the first (common
    practice, no source). `segno`, `coda`: the sign stands at its start; `to_coda`,
    `fine`, `jump`: the words at its end.
    """

    number: int
    meter: Meter
    chords: tuple[SheetChord, ...]
    position: SourcePosition
    repeat_open: bool = False
    repeat_close: int = 0
    endings: tuple[int, ...] = ()
    ending_close: bool = False
    simile: int = 0
    rest_bars: int = 0
    pickup: bool = False
    double_bar: bool = False
    segno: bool = False
    coda: bool = False
    to_coda: bool = False
    fine: bool = False
    jump: Jump | None = None

    @property
    def bar_count(self) -> int:
        """The bars that it counts as: all those of a multi-bar rest, else 1."""
        return max(self.rest_bars, 1)

    @property
    def last_number(self) -> int:
        """The number of the last bar that it counts as."""
        return self.number + self.bar_count - 1

    @property
    def quarters(self) -> Fraction:
        """Its length in quarter notes: a pickup lasts as long as its chords.

        Of a multi-bar rest it is the length of each bar.
        """
        if self.pickup and self.chords:
            beats = sum((chord.beats for chord in self.chords), Fraction(0))
            return beats * 4 / self.meter.unit
        return self.meter.quarters


def second_of_two(bars: Sequence[Bar], index: int) -> bool:
    """Whether a bar is the second of two that repeat the two before: one sign stands for both."""
    run = 0
    while run <= index and bars[index - run].simile == 2:
        run += 1
    return run > 0 and run % 2 == 0


def numbered(counts: Sequence[int], pickup: bool) -> list[int]:
    """The numbers of bars that count as so many each; a pickup, the first of them, is bar 0."""
    return list(accumulate(counts[:-1], initial=0 if pickup else 1))


@frozen
class Section:
    """A run of `count` bars from index `first` of the sheet, with its label ("" when unlabelled).

    `recalls` is the index of the earlier section that is played again here without being written
    out (`count` is then 0). `key` is the key that the writer states from here on; `text` holds
    lines for the player.
    """

    label: str
    first: int
    count: int
    position: SourcePosition
    recalls: int | None = None
    key: Key | None = None
    text: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.first < 0 or self.count < 0:
            raise InvalidValueError(
                f"section {self.label[:SHOWN_TEXT]!r} has {self.count} bars from {self.first}"
            )


@frozen
class Header:
    """The header lines above the music; None or "" where the sheet has none.

    `tempo` counts the sheet's beats a minute (`Sheet.tempo_quarters`): quarter notes, dotted
    quarters where the tune begins in 6/8, 9/8 or 12/8. `other` keeps the lines whose names are not
    known, as (name, value).
    """

    title: str = ""
    by: str = ""
    key: Key | None = None
    meter: Meter = COMMON_TIME
    tempo: int | None = None
    feel: str = ""
    other: tuple[tuple[str, str], ...] = ()

    def __post_init__(self) -> None:
        for name in ("title", "by", "feel"):
            check_text(name, getattr(self, name))
        if self.tempo is not None:
            check_whole("tempo", self.tempo, *TEMPOS)


@frozen
class Comment:
    """A comment (`# …`) for the writer alone; it is never printed.

    `section` is the index of the section that it is in or above, −1 in the header; `bar` the index
    of the bar after it, None above the section's label.
    """

    text: str
    section: int = -1
    bar: int | None = None


@frozen
class Transposition:
    """How a sheet was moved: from the key `home`, to be heard in `sounding`.

    `instrument` ("Bb", "Eb", "F", or "" for none) is the one that the sheet is written for, in a
    key above the one that sounds.
    """

    home: Key
    sounding: Key
    instrument: str = ""


@frozen
class Sheet:
    """A tune as written. `bars` holds every written bar in order; `sections` divides them.

    Bars, sections and chords are named by their indices: `chords` holds every written chord (and
    N.C.) in written order, and `first_chords` the index of the first chord of each bar, with the
    number of chords at its end. A section without a label that follows another one belongs to it (a
    key is stated there). `source` is the name of the text that it was read from, to which the
    positions belong ("": none). `transposition` tells how it was moved, None where it stands as
    written; like the warnings and the source, it does not count when two sheets are compared.
    """

    header: Header
    sections: tuple[Section, ...]
    bars: tuple[Bar, ...]
    comments: tuple[Comment, ...] = ()
    warnings: tuple[str, ...] = field(default=(), compare=False)
    source: str = field(default="", compare=False)
    transposition: Transposition | None = field(default=None, compare=False)
    chords: tuple[SheetChord, ...] = field(init=False, repr=False, compare=False)
    first_chords: tuple[int, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        chords = tuple(chord for bar in self.bars for chord in bar.chords)
        firsts = (0, *accumulate(len(bar.chords) for bar in self.bars))
        object.__setattr__(self, "chords", chords)
        object.__setattr__(self, "first_chords", firsts)

    def __repr__(self) -> str:
        title, key = self.header.title, self.header.key
        bars, chords = len(self.bars), len(self.chords)
        return f"<Sheet {title!r}, {key or 'no key'}, bars: {bars}, chords: {chords}>"

    def chords_of(self, bar: int) -> range:
        """The indices of the chords that are written in a bar."""
        return range(self.first_chords[bar], self.first_chords[bar + 1])

    def brackets(self, chord: int) -> tuple[bool, bool]:
        """Whether a bracket round optional chords opens before a chord, and closes after it.

        Each bar has brackets of its own.
        """
        if not self.chords[chord].optional:
            return False, False
        run = self.chords_of(self.bar_of(chord))
        before, after = chord - 1, chord + 1
        opens = before not in run or not self.chords[before].optional
        return opens, after not in run or not self.chords[after].optional

    def bar_of(self, chord: int) -> int:
        """The index of the bar that holds a chord. Raises IndexError for no such chord."""
        if not 0 <= chord < len(self.chords):
            raise IndexError(f"the sheet has no chord {chord}")
        return bisect_right(self.first_chords, chord) - 1

    def bar_number_of(self, chord: int) -> int:
        """The number of the bar that holds a chord. Raises IndexError for no such chord."""
        return self.bars[self.bar_of(chord)].number

    @property
    def bar_numbers(self) -> tuple[int, ...]:
        """For each chord the number of its bar."""
        return tuple(bar.number for bar in self.bars for _ in bar.chords)

    @property
    def bar_sections(self) -> tuple[int, ...]:
        """For each bar the index of the section that it is written in."""
        counts = enumerate(section.count for section in self.sections)
        return tuple(index for index, count in counts for _ in range(count))

    @property
    def bar_labels(self) -> tuple[str, ...]:
        """For each bar the last label before it, "" where there is none."""
        labels: list[str] = []
        label = ""
        for section in self.sections:
            if section.recalls is None:
                label = section.label or label
                labels += [label] * section.count
        return tuple(labels)

    @property
    def tempo_quarters(self) -> Fraction:
        """The beat that its tempo counts, in quarter notes: that of its first whole bar.

        A change of meter keeps the length of a quarter (common practice, no source).
        """
        meter = next((bar.meter for bar in self.bars if not bar.pickup), self.header.meter)
        return meter.tempo_quarters

    @property
    def stated_keys(self) -> tuple[Key | None, ...]:
        """For each written bar the key that a section states for it, in it or above it.

        None where no section has stated one, and the header's key applies.
        """
        keys: list[Key | None] = []
        key = None
        for section in self.sections:
            key = section.key or key
            keys += [key] * section.count
        return tuple(keys)
