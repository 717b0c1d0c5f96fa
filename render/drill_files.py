"""A drill in the format that is asked for, as the bytes of its files.

Takes a `Drill` and a `PageStyle`, gives pairs of a name's ending and bytes: one pair, or one for
each page or exercise where a format holds only one a file.
"""

from __future__ import annotations

from typing import Final

from ..converter.drill.values import Drill, Exercise
from ..converter.practice.performance import perform
from ..converter.practice.timing import Performance
from .page.style import PageStyle
from .playback import KINDS, cautions, played

#: What a drill can be written as, by the ending of the name.
DRILL_FORMATS: Final = ("pdf", "svg", "png", "txt", *(kind[1:] for kind in KINDS))


def drill_files(drill: Drill, style: PageStyle, kind: str) -> list[tuple[str, bytes]]:
    """The files of a drill. Raises RhythmError or SettingsError where it cannot be played."""
    if kind == "txt":
        from .drill_text import drill_text

        return [(".txt", drill_text(drill).encode())]
    if f".{kind}" in KINDS:
        return [
            (f"{ending}.{kind}", played(performance, f".{kind}"))
            for ending, performance in performances(drill)
        ]
    from .drafts import drawn
    from .page.drill import lay_out_drill

    return drawn(lay_out_drill(drill, style), kind)


def performances(drill: Drill) -> list[tuple[str, Performance]]:
    """What each exercise sounds like, with the ending of its name."""
    several = len(drill.exercises) > 1
    return [
        (f"-{number}" if several else "", _performed(drill, exercise))
        for number, exercise in enumerate(drill.exercises, 1)
    ]


def _performed(drill: Drill, exercise: Exercise) -> Performance:
    chart = exercise.chart
    return perform(chart.sheet, chart.form, chart.plan, exercise.settings(drill.practice))


def drill_cautions(drill: Drill) -> list[str]:
    """What is said beside a drill that is played: for the hands where it is long, for the ears."""
    said = (
        line
        for _, performance in performances(drill)
        for line in cautions(performance, bool(drill.practice.ladder))
    )
    return sorted(set(said), key=len, reverse=True)
