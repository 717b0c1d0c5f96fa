"""A drill in the format that is asked for, as the bytes of its files.

Takes a `Drill` and a `PageStyle`, gives pairs of a name's ending and bytes: one pair, or one for
each page or exercise where a format holds only one a file; and the cautions that go with them.
"""

from __future__ import annotations

from typing import Final

from ..converter.drill.values import Drill, Exercise, Practice
from ..converter.practice.performance import perform
from ..converter.practice.timing import Performance
from .page.style import PageStyle
from .playback import KINDS, cautions, played

#: What a drill can be written as, by the ending of the name.
DRILL_FORMATS: Final = ("pdf", "svg", "png", "txt", *(kind[1:] for kind in KINDS))


Files = list[tuple[str, bytes]]


def drill_files(drill: Drill, style: PageStyle, kind: str) -> tuple[Files, list[str]]:
    """The files of a drill, and what is said beside those that are played: the cautions.

    Raises RhythmError or SettingsError where it cannot be played.
    """
    if kind == "txt":
        from .drill_text import drill_text

        return [(".txt", drill_text(drill).encode())], []
    if f".{kind}" in KINDS:
        return _played(drill, f".{kind}")
    from .drafts import drawn
    from .page.drill import lay_out_drill

    return drawn(lay_out_drill(drill, style), kind), []


def _played(drill: Drill, kind: str) -> tuple[Files, list[str]]:
    """A file for each exercise; for the hands it is said where one is long, for the ears always."""
    files: Files = []
    said: set[str] = set()
    for number, exercise in enumerate(drill.exercises, 1):
        performance = performed(exercise, drill.practice)
        ending = f"-{number}{kind}" if len(drill.exercises) > 1 else kind
        files.append((ending, played(performance, kind)))
        said |= set(cautions(performance, bool(drill.practice.ladder)))
    return files, sorted(said, key=len, reverse=True)


def performed(exercise: Exercise, practice: Practice) -> Performance:
    """What an exercise sounds like. Raises RhythmError or SettingsError."""
    chart = exercise.chart
    return perform(chart.sheet, chart.form, chart.plan, exercise.settings(practice))
