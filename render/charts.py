"""The Python interface of charts: make one from a tune, save it in any format.

It holds `midneck.chart` and `midneck.Chart`; the command line makes its charts with them too.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from types import NoneType
from typing import Any, Final, TypedDict, Unpack

from ..converter.chart import CompingChart
from ..converter.hand.plan import GripPlan, PlanOptions
from ..converter.hand.player import Player
from ..converter.harmony.analysis import Area
from ..converter.practice.performance import Performance, Settings
from ..converter.prose.facts import counted
from ..grammar.frozen import frozen
from ..grammar.key import Key
from ..grammar.sheet import Sheet
from .export import (
    CHART_FORMATS,
    PLAYBACK_FORMATS,
    Files,
    export_chart,
    export_performance,
    stamped_json,
)
from .options import (
    CHART_NAMES,
    PAGE_NAMES_OF,
    Hand,
    OptionError,
    PageOptions,
    check_options,
    choose_player,
    format_of,
    in_keywords,
    one_of,
    page_style,
    plan_options,
    typed,
)
from .output import OutputError, write_files
from .sources import Tune, key_choice, load

#: What `Chart.save` writes, by the ending of the name.
SAVED_FORMATS: Final = (*CHART_FORMATS, *(ending[1:] for ending in PLAYBACK_FORMATS), "json")


class PlaybackOptions(TypedDict, total=False):
    """Options of MIDI and sound: `tempo` in the sheet's beats a minute, `choruses`, `count_in` in
    bars, `rhythm` by its name. None is the default of the sheet.
    """

    tempo: int | None
    choruses: int
    count_in: int
    rhythm: str | None


class SaveOptions(PageOptions, PlaybackOptions, total=False):
    """Options of `Chart.save`: of a page, of playback, and `tab`: MusicXML with tablature.

    `rhythm` draws its strokes over the bars of a page, None for no strokes.
    """

    tab: bool


_PLAYBACK_TYPES: Final[dict[str, tuple[type, ...]]] = {
    "tempo": (int, NoneType), "choruses": (int,), "count_in": (int,), "rhythm": (str, NoneType),
}  # fmt: skip
#: The names of the options that each format takes.
_OPTIONS: Final = {
    **{kind: names | {"rhythm"} for kind, names in PAGE_NAMES_OF.items()},
    "txt": frozenset({"analysis", "rhythm"}),
    "musicxml": frozenset({"tab"}),
    **dict.fromkeys((kind[1:] for kind in PLAYBACK_FORMATS), frozenset(_PLAYBACK_TYPES)),
    "json": frozenset[str](),
}


@frozen
class Chart:
    """A tune's comping chart for one player.

    A notebook shows its first page.
    """

    comping: CompingChart

    @property
    def sheet(self) -> Sheet:
        """The tune as it was read, in the key of the chart."""
        return self.comping.sheet

    @property
    def key(self) -> Key:
        """The key that the analysis found."""
        return self.comping.analysis.key

    @property
    def areas(self) -> tuple[Area, ...]:
        """The ii–V–I's and other areas, in the order of their first chord."""
        return self.comping.analysis.areas

    @property
    def plan(self) -> GripPlan:
        """One grip for each written chord, and how far the hand travels."""
        return self.comping.plan

    @property
    def player(self) -> Player:
        """The player that the grips are planned for."""
        return self.comping.player

    @property
    def options(self) -> PlanOptions:
        """The options that the plan was made with."""
        return self.comping.options

    def explain(self) -> str:
        """The motions of the hand and their reasons, one statement a line.

        >>> chart = midneck.chart("Key: C\\n\\n| Dm7 | G7 | Cmaj7 | % |\\n")
        >>> print(chart.explain().splitlines()[0])
        3 changes in a chorus, 2 shifts, 2 frets in all; frets 8 to 10, widest reach 23 mm.
        """
        from ..converter.prose.hand import explanation_lines

        return "\n".join(explanation_lines(self.comping))

    def save(
        self, path: str | os.PathLike[str], *, force: bool = False, **options: Unpack[SaveOptions]
    ) -> tuple[Path, ...]:
        """Write the chart in the format of the path's ending; gives the files that were written.

        Endings are .pdf .svg .png .txt .musicxml .mid .json, and .wav .ogg .flac .mp3 (extra
        `audio` for the last three); svg and png of several pages are
        several files, with -1, -2 … before the ending. A file that Midneck did not make is
        overwritten only with `force`. Raises MidneckError for another ending, for an option that is
        wrong or does not belong to the format, and when a file cannot be written; TypeError for an
        option of a wrong type.

        >>> chart = midneck.chart("| Dm7 | G7 |\\n")
        >>> [path.name for path in chart.save(folder / "two.svg", paper="a5")]
        ['two.svg']
        """
        return save_files(path, SAVED_FORMATS, lambda kind: self.files(kind, **options), force)

    def files(self, kind: str, **options: Unpack[SaveOptions]) -> Files:
        """The files of a format of `SAVED_FORMATS`: pairs of a name's ending and bytes."""
        check_options(options, _OPTIONS[one_of("format", kind, SAVED_FORMATS)], kind)
        if kind == "json":
            from .report import report

            return [(".json", stamped_json(report(self.comping)))]
        if f".{kind}" in PLAYBACK_FORMATS:
            return [(f".{kind}", export_performance(self._performance(options), f".{kind}"))]
        page = {name: value for name, value in options.items() if name in CHART_NAMES}
        tab = typed("tab", options.get("tab", False), bool)
        return export_chart(self.comping, page_style(page), kind, tab)

    def _performance(self, options: Mapping[str, Any]) -> Performance:
        """The timed strokes. Raises OptionError when they cannot be played as asked."""
        comping = self.comping
        for name, value in options.items():
            typed(name, value, *_PLAYBACK_TYPES[name])
        from ..converter.practice.perform import perform

        try:
            return perform(comping.timeline, comping.plan, Settings(**options))
        except ValueError as error:
            raise OptionError(str(error)) from error

    def _repr_svg_(self) -> str:
        """The first page, for a notebook."""
        return self.files("svg")[0][1].decode()

    def __repr__(self) -> str:
        bars = counted(self.sheet.bars[-1].last_number, "bar")
        frets = counted(self.plan.travel.shift_frets, "fret")
        title = self.sheet.header.title or "Untitled"
        return f"<Chart {title!r} in {self.key}: {bars}, shifts of {frets}>"


def save_files(
    path: str | os.PathLike[str],
    formats: Sequence[str],
    files: Callable[[str], Files],
    force: bool,
) -> tuple[Path, ...]:
    """Write the `files` of the format that the path's ending names; gives their paths.

    Raises OptionError when it is none of `formats`, OutputError that names options as in Python,
    TypeError.
    """
    place = Path(path)
    made = files(format_of(place, formats))
    typed("force", force, bool)
    if "\0" in str(place):
        raise OutputError(f"{str(place)!r} is no name of a file: leave out the zero byte")
    try:
        return write_files(place, made, force)
    except OutputError as error:
        raise OutputError(in_keywords(str(error))) from error


def chart(
    tune: Tune,
    *,
    player: str | os.PathLike[str] | Player = "adult",
    hand: Hand | None = None,
    window: str | tuple[int, int] | None = None,
    style: str = "shell",
    smooth: bool = False,
    same_grips: bool = True,
    tempo: int | None = None,
    first_root_string: int | None = None,
    key: str | Key | None = None,
    up: int = 0,
    down: int = 0,
    instrument: str | None = None,
) -> Chart:
    """The comping chart of a tune: of a path, of text with a newline in it, or of a sheet.

    `player` is "adult", "small-hand", "beginner", the path of a player file or a `Player`; `hand`
    ("right", "left") and `window` (first and last fret for roots, as (3, 10)) change it. `style` is
    "shell", "guide-tones", "colour" or "four-note"; `smooth` makes the hardest change as easy as
    possible; `same_grips` gives the chords of a repeated four-bar phrase the same grips; `tempo`
    (quarter notes a minute) is the tempo of the plan, None for the sheet's; `first_root_string` is
    the string of the first root. `key`, `up`, `down` and `instrument` transpose as in `read`.
    Raises SheetError for mistakes in the tune or the player file, PlanError when a chord cannot be
    played as asked, MidneckError for a value that does not exist and for a file that cannot be read
    (an OSError too), TypeError for a wrong type.

    >>> midneck.chart("Title: Short\\nKey: C\\n\\n| Dm7 | G7 | Cmaj7 | % |\\n", key="Eb")
    <Chart 'Short' in Eb major: 4 bars, shifts of 2 frets>
    """
    chosen = choose_player(player, hand, window)
    options = plan_options(style, smooth, tempo, first_root_string, same_grips)
    sheet = load(tune, key_choice(key, up, down, instrument))
    # The planner needs numpy, which a command without work to do starts without.
    from ..converter.make import make_chart

    return Chart(make_chart(sheet, chosen, options))
