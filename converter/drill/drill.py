"""The values of a drill: exercises, each a planned chart with its stations; how they are practised.

A station is one key of an exercise. Chord indices point into the exercise's own `Sheet.chords`.
Tempos count the sheet's beats a minute (quarters; dotted quarters in 6/8, 9/8 and 12/8).
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from ...grammar.errors import MidneckError
from ...grammar.frozen import frozen
from ...grammar.key import Key
from ...grammar.progression import Progression
from ...grammar.sheet import COMMON_TIME, Meter
from ..chart import CompingChart
from ..practice.performance import Settings, SettingsError
from ..practice.rhythm import RhythmError, find_pattern

#: How often a drill may be repeated, and how many bars a chord may last.
MOST_REPETITIONS: Final = 100
MOST_BARS: Final = 8


class DrillError(MidneckError, ValueError):
    """A drill cannot be made with these options; each line of the message names one mistake."""


@frozen
class Practice:
    """How a drill is practised.

    `repetitions` of the whole exercise at each tempo. `bars_per_chord`: how long a chord lasts that
    is written as one bar. `ladder` holds the tempos, slowest first (`read_ladder` reads one);
    without one, all is played at `tempo`, None for the player's own choice. `rhythm` is a name in
    `rhythm.PATTERNS`, None for the usual one of the meter. `count_in` is in bars. Raises DrillError
    with a line for each value that is out of range.
    """

    repetitions: int = 4
    bars_per_chord: Fraction | int = 1
    ladder: tuple[int, ...] = ()
    tempo: int | None = None
    rhythm: str | None = None
    count_in: int = 1
    meter: Meter = COMMON_TIME

    def __post_init__(self) -> None:
        problems = [
            *_repetition_problems(self.repetitions),
            *_length_problems(Fraction(self.bars_per_chord), self.meter),
            *_settings_problems(self),
        ]
        if problems:
            raise DrillError("\n".join(problems))


def _repetition_problems(repetitions: int) -> list[str]:
    if 1 <= repetitions <= MOST_REPETITIONS:
        return []
    return [f"the number of repetitions goes from 1 to {MOST_REPETITIONS}; {repetitions} does not"]


def _length_problems(bars: Fraction, meter: Meter) -> list[str]:
    """The length of a chord must be a whole number of eighths."""
    if not 0 < bars <= MOST_BARS:
        return [f"a chord lasts more than 0 and at most {MOST_BARS} bars; {bars} does not"]
    if (bars * meter.beats * 8 / meter.unit).denominator != 1:
        return [f"a chord of {bars} bars of {meter} does not come out in eighths"]
    return []


def _settings_problems(practice: Practice) -> list[str]:
    """The problems that `Settings` finds; each value is checked by itself, so that all are told."""
    problems: list[str] = []
    checks: tuple[dict[str, object], ...] = (
        {"tempo": practice.tempo},
        {"ladder": practice.ladder},
        {"count_in": practice.count_in},
    )
    for values in checks:
        try:
            Settings(**values)  # type: ignore[arg-type]
        except SettingsError as error:
            problems.append(str(error))
    if list(practice.ladder) != sorted(set(practice.ladder)):
        problems.append(f"a ladder rises; {', '.join(map(str, practice.ladder))} does not")
    if practice.ladder and practice.tempo is not None:
        problems.append("a ladder has tempos of its own: leave the tempo out")
    if practice.rhythm is not None:
        try:
            find_pattern(practice.rhythm, practice.meter)
        except RhythmError as error:
            problems.append(str(error))
    return problems


@frozen
class Station:
    """One key of an exercise.

    `round` counts from 1. `chords` are the indices of its chords. `root_string` carries the root of
    the first of them. `pivot` says how the last chord of the station before becomes the first of
    this one, None where it does not. `change` says where and why the hand leaves the string set, or
    the octave, of the nearest position; None where it stays. `remark` is a further sentence, such
    as where a tune has these chords, or None.
    """

    key: Key
    round: int
    chords: range
    root_string: int
    pivot: str | None = None
    change: str | None = None
    remark: str | None = None


@frozen
class Exercise:
    """One exercise: its `name`, `why` it is worth practising, the planned chart, its stations.

    `progression` is taken round the keys; None for the chords of a tune in place. `loops`: each
    station is repeated by itself, between repeat signs; otherwise the whole is.
    """

    name: str
    why: str
    chart: CompingChart
    stations: tuple[Station, ...]
    progression: Progression | None = None
    loops: bool = False

    def settings(self, practice: Practice) -> Settings:
        """The settings of its playback, once for each repetition and each tempo."""
        return Settings(
            tempo=practice.tempo,
            choruses=1 if self.loops else practice.repetitions,
            count_in=practice.count_in,
            rhythm=practice.rhythm,
            ladder=practice.ladder,
        )


@frozen
class Drill:
    """A practice sheet: its title, its exercises in order, how they are practised.

    `notes` are sentences for its head, such as that a tune has no ii–V–I.
    """

    title: str
    exercises: tuple[Exercise, ...]
    practice: Practice
    notes: tuple[str, ...] = ()
