"""Reading a progression: numerals, or chords in one key, as a musician types them.

Takes text such as `ii7 | V7 | I6`, `iiø7 V7b9 i6`, `| ii7 V7 | Imaj7 |`, `V7/ii`, `subV7`, or
`Dm7 G7 C6` with their key; gives a `Progression`, or raises `SheetError` with all problems in
order. Conventions, common practice, no source:

- Without bar lines each chord has a bar of its own; dashes, commas and spaces only part them.
- Where bar lines stand, chords share a bar as in a sheet, `%` is the bar before again.
- Capitals have a major third, small numerals a minor one; after them stands what stands after a
  chord's root: ii7 is a minor seventh, V7 a dominant, bare ii and V are triads.
- Degrees count from the major scale in both modes: the VI of C minor is A, its bVI is A flat.
- `minor:` or `major:` before all says the mode where the chords leave it open.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from .chord import Chord
from .errors import Problem, SheetError
from .key import Key, Mode
from .progression import Measure, Progression, Step, bar_beats, played_bars, usual_mode
from .progression_mark import read_chord_mark, read_mark
from .progression_mistakes import progression_mistake as mistake
from .progression_words import Mark, progression_marks
from .sheet import COMMON_TIME, Meter
from .sheet_chord import names_chord

#: What a progression is called in messages.
NAME: Final = "the progression"
MAX_LENGTH: Final = 1000
#: So many chords, and so many bars, a progression may have.
MAX_CHORDS: Final = 64

#: A bar as typed: each chord's mark with the marks of its slashes.
_Typed = list[list[Mark]]


def read_progression(text: str, key: Key | None = None, meter: Meter = COMMON_TIME) -> Progression:
    """The progression that a text names; `key` is needed where it is written in chords.

    `meter` is what its slashes must fill. Raises SheetError.
    """
    if len(text) > MAX_LENGTH:
        raise SheetError((mistake("too-long", 1, most=MAX_LENGTH),), NAME)
    problems: list[Problem] = []
    flat = " ".join(text.splitlines()) if "\n" in text or "\r" in text else text
    mode, marks = _stated_mode(progression_marks(flat), problems)
    _check_kinds(marks, key, problems)
    bars = tuple(_measure(bar, key, meter, problems) for bar in _bars(marks, problems))
    if not problems and not any(bars):
        problems.append(mistake("nothing", 1))
    if sum(len(bar) for bar in played_bars(bars)) > MAX_CHORDS or len(bars) > MAX_CHORDS:
        problems.append(mistake("too-many", 1, most=MAX_CHORDS))
    if problems:
        located = sorted({replace(one, source=flat) for one in problems}, key=_place)
        raise SheetError(tuple(located), NAME)
    if key is not None and any(mark.kind == "chord" for mark in marks):
        mode = key.mode
    numerals = tuple(step.numeral for bar in bars for step in bar)
    return Progression(bars, mode or usual_mode(numerals))


def is_music(text: str) -> bool:
    """Whether a text holds any numeral, bar line or chord, and is no mere name."""
    marks = progression_marks(text[:MAX_LENGTH])
    signs = any(mark.kind in ("numeral", "simile", "bar_line") for mark in marks)
    return signs or any(names_chord(mark.text) for mark in marks if mark.kind == "chord")


def chords_typed(text: str) -> tuple[Chord, ...]:
    """The chords of a progression typed in chords; none where it is in numerals, or unreadable."""
    marks = progression_marks(text[:MAX_LENGTH])
    if any(mark.kind == "numeral" for mark in marks):
        return ()
    problems: list[Problem] = []
    found = (read_chord_mark(mark, problems) for mark in marks if mark.kind == "chord")
    return tuple(chord for chord in found if chord is not None)


def _place(problem: Problem) -> tuple[int, str]:
    return problem.column, problem.label


def _stated_mode(marks: list[Mark], problems: list[Problem]) -> tuple[Mode | None, list[Mark]]:
    """The mode stated before all, and the words without it."""
    mode: Mode | None = None
    if marks and marks[0].kind == "mode":
        mode = "minor" if marks[0].text.lower().startswith("minor") else "major"
    for mark in marks[1:]:
        if mark.kind == "mode":
            problems.append(mistake("mode-late", mark.column, mark.text))
    return mode, [mark for mark in marks if mark.kind != "mode"]


def _bars(marks: list[Mark], problems: list[Problem]) -> list[_Typed]:
    """The words in bars: those that the bar lines make, else one for each chord."""
    barred = any(mark.kind == "bar_line" for mark in marks)
    bars: list[_Typed] = [[]]
    for mark in marks:
        if mark.kind == "bar_line":
            bars.append([])
        elif mark.kind == "stray":
            problems.append(mistake("stray", mark.column, mark.text))
        elif mark.kind == "beats":
            if bars[-1] and bars[-1][-1][0].kind != "simile":
                bars[-1][-1].append(mark)
            else:
                problems.append(mistake("slash-first", mark.column, mark.text))
        elif barred or not bars[-1]:
            bars[-1].append([mark])
        else:
            bars.append([[mark]])
    bars = [bar for bar in bars if bar]
    if bars and bars[0][0][0].kind == "simile":
        first = bars[0][0][0]
        problems.append(mistake("repeat-first", first.column, first.text))
    return bars


def _check_kinds(marks: list[Mark], key: Key | None, problems: list[Problem]) -> None:
    """Numerals and chords do not stand together, and chords need a key."""
    named = [mark for mark in marks if mark.kind in ("numeral", "chord")]
    for mark in named:
        if mark.kind != named[0].kind:
            problems.append(mistake("mixed", mark.column, mark.text))
    if named and named[0].kind == "chord" and key is None:
        problems.append(mistake("key-unknown", named[0].column, named[0].text))


def _measure(bar: _Typed, key: Key | None, meter: Meter, problems: list[Problem]) -> Measure:
    """The steps of a bar; none for a `%`, and none where something in it is wrong."""
    first = bar[0][0]
    similes = [words[0] for words in bar if words[0].kind == "simile"]
    if similes and len(bar) > 1:
        problems.append(mistake("repeat-mixed", similes[0].column, similes[0].text))
    if similes:
        return ()
    steps: list[Step] = []
    for mark, *slashes in bar:
        numeral = read_mark(mark, key, problems)
        if numeral is not None:
            words = 1 + sum(len(slash.text) for slash in slashes)
            steps.append(Step(numeral, words))
    if len(steps) == len(bar) and bar_beats(tuple(steps), meter) is None:
        problems.append(_does_not_fill(tuple(steps), first, meter))
    return tuple(steps)


def _does_not_fill(steps: Measure, first: Mark, meter: Meter) -> Problem:
    if all(step.words == 1 for step in steps):
        return mistake("too-many-in-bar", first.column, first.text, count=len(steps), meter=meter)
    count = sum(step.words for step in steps)
    beats = f"{meter.beats}, counting every chord and slash"
    return mistake("beat-count", first.column, first.text, count=count, meter=meter, beats=beats)
