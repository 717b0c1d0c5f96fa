"""Drills as the bytes of files.

Takes a `Drill`, gives pairs of a name's ending and bytes, one for each page or exercise if a file
of the format holds only one.
"""

from __future__ import annotations

from typing import Final

from ..converter.drill.drill import Drill, Exercise, Practice
from ..converter.practice.perform import perform
from ..converter.practice.performance import Performance
from .export import (
    PLAYBACK_FORMATS,
    Files,
    cautions,
    export_document,
    export_performance,
    stamped_text,
)
from .page.drawing.style import PageStyle

#: What a drill can be written as, by the ending of the name.
DRILL_FORMATS: Final = ("pdf", "svg", "png", "txt", *(kind[1:] for kind in PLAYBACK_FORMATS))


def export_drill(
    drill: Drill, style: PageStyle, kind: str, fingerprint: str | None = None
) -> tuple[Files, list[str]]:
    """The files of a drill in a format of `DRILL_FORMATS`, and the cautions for those with sound.

    `fingerprint` is stamped into pages, None for one that is not recorded. Raises RhythmError or
    SettingsError when it cannot be played.
    """
    if kind == "txt":
        from .text import drill_text

        return [(".txt", stamped_text(drill_text(drill)))], []
    if f".{kind}" in PLAYBACK_FORMATS:
        return _export_exercises(drill, f".{kind}")
    from .page.drill.layout import lay_out_drill

    return export_document(lay_out_drill(drill, style), kind, fingerprint, style.dpi), []


def _export_exercises(drill: Drill, kind: str) -> tuple[Files, list[str]]:
    """A file for each exercise, and the cautions of all of them."""
    files: Files = []
    all_cautions: set[str] = set()
    for number, exercise in enumerate(drill.exercises, 1):
        performance = perform_exercise(exercise, drill.practice)
        ending = f"-{number}{kind}" if len(drill.exercises) > 1 else kind
        files.append((ending, export_performance(performance, kind)))
        all_cautions |= set(cautions(performance, bool(drill.practice.ladder)))
    return files, sorted(all_cautions, key=len, reverse=True)


def perform_exercise(exercise: Exercise, practice: Practice) -> Performance:
    """The timed strokes of an exercise. Raises RhythmError or SettingsError."""
    chart = exercise.chart
    return perform(chart.timeline, chart.plan, exercise.settings(practice))
