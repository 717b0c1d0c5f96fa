"""The Python interface of drills: a progression round the keys, or exercises from a tune.

It holds `midneck.drill` and `midneck.Drill`.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any, Final, TypedDict, Unpack

from ..converter.drill.drill import Drill as PlannedDrill
from ..converter.drill.drill import DrillError, Exercise
from ..converter.drill.tune import drill_of
from ..converter.hand.player import Player
from ..grammar.frozen import frozen
from ..grammar.key import Key
from .charts import Chart, save_files
from .drill_export import DRILL_FORMATS, export_drill
from .drill_options import DrillChoice, OptionMistakes, drill_of_progression
from .export import Files, stamped_json
from .options import (
    PAGE_NAMES_OF,
    Hand,
    OptionError,
    PageOptions,
    check_options,
    choose_player,
    in_keywords,
    one_of,
    page_style,
    typed,
)

#: What `Drill.save` writes, by the ending of the name.
SAVED_FORMATS: Final = (*DRILL_FORMATS, "json")


class DrillOptions(TypedDict, total=False):
    """Options of a drill; options that are left out have their defaults.

    `key` is the first key. The order of the keys is a `cycle` by its name, a list of `keys`, or all
    keys in a random order drawn with `seed`. `strings` is 6, 5 or "any": the string on which rounds
    start; `octave` allows a jump of an octave at the end of the window. `repetitions` is the number
    for each exercise, `bars_per_chord` 2 or "1/2", `ladder` the tempos as "80:140:10", `tempo` in
    beats a minute, `rhythm` a name, `count_in` in bars, `time` a meter such as "3/4".
    """

    key: str | Key
    cycle: str
    keys: str | Sequence[str]
    seed: int
    strings: int | str
    octave: bool
    repetitions: int
    bars_per_chord: int | Fraction | str
    ladder: str
    tempo: int
    rhythm: str
    count_in: int
    time: str


_TYPES: Final[dict[str, tuple[type, ...]]] = {
    "key": (str, Key), "cycle": (str,), "keys": (str, list, tuple), "seed": (int,),
    "strings": (int, str), "octave": (bool,), "repetitions": (int,),
    "bars_per_chord": (int, Fraction, str), "ladder": (str,), "tempo": (int,), "rhythm": (str,),
    "count_in": (int,), "time": (str,),
}  # fmt: skip


@frozen
class Drill:
    """A practice sheet. A notebook shows its first page."""

    planned: PlannedDrill

    @property
    def title(self) -> str:
        """The title of the sheet."""
        return self.planned.title

    @property
    def exercises(self) -> tuple[Exercise, ...]:
        """The exercises in their order, each with its planned chart."""
        return self.planned.exercises

    def save(
        self, path: str | os.PathLike[str], *, force: bool = False, **options: Unpack[PageOptions]
    ) -> tuple[Path, ...]:
        """Write the drill in the format of the path's ending; gives the paths of its files.

        Endings are .pdf .svg .png .txt .mid .wav .json; MIDI and sound have a file for each
        exercise. Overwrites and raises like `Chart.save`.

        >>> [path.name for path in midneck.drill("ii-V-I", keys="C,F").save(folder / "two.pdf")]
        ['two.pdf']
        """
        return save_files(path, SAVED_FORMATS, lambda kind: self.files(kind, **options), force)

    def files(self, kind: str, **options: Unpack[PageOptions]) -> Files:
        """The files of a format of `SAVED_FORMATS`: pairs of a name's ending and bytes."""
        one_of("format", kind, SAVED_FORMATS)
        check_options(options, PAGE_NAMES_OF.get(kind, frozenset()), kind)
        if kind == "json":
            from .report import drill_data

            return [(".json", stamped_json(drill_data(self.planned)))]
        try:
            return export_drill(self.planned, page_style(options), kind)[0]
        except ValueError as error:
            raise OptionError(str(error)) from error

    def _repr_svg_(self) -> str:
        """The first page, for a notebook."""
        return self.files("svg")[0][1].decode()

    def __repr__(self) -> str:
        count = len(self.exercises)
        return f"<Drill {self.title!r}: {count} exercise{'s' if count != 1 else ''}>"


def drill(
    source: str | Chart,
    *,
    player: str | os.PathLike[str] | Player | None = None,
    hand: Hand | None = None,
    window: str | tuple[int, int] | None = None,
    **options: Unpack[DrillOptions],
) -> Drill:
    """The practice sheet of a progression (its name, numerals or chords), or of a tune's chart.

    `player` (None for "adult"), `hand` and `window` are as in `chart`. The drill of a chart is for
    the chart's player, so that they are not allowed with it. Raises MidneckError with all wrong
    options, PlanError when the player's hand cannot play it, TypeError for a wrong type.

    >>> drill = midneck.drill("ii7 V7 | I6", keys=["C", "F", "Bb"], strings=5)
    >>> [str(station.key) for station in drill.exercises[0].stations]
    ['C major', 'F major', 'Bb major']
    """
    typed("source", source, str, Chart)
    mistakes = OptionMistakes()
    choice = DrillChoice(**_as_typed(options))
    try:
        if isinstance(source, Chart):
            _no_other_player(player, hand, window)
            route, practice = choice.of_tune(mistakes, source.sheet.header)
            return Drill(drill_of(source.comping, route, practice))
        chosen = choose_player("adult" if player is None else player, hand, window)
        return Drill(drill_of_progression(source, choice, chosen, mistakes)[0])
    except (OptionError, DrillError) as error:
        raise OptionError(in_keywords(str(error))) from error


def _no_other_player(player: object, hand: object, window: object) -> None:
    """Raise OptionError when a player is given beside a chart, which has one."""
    given = {"player": player, "hand": hand, "window": window}
    for name, value in given.items():
        if value is not None:
            raise OptionError(
                f"the drill of a chart is for the chart's player: leave out {name}, or give it to "
                "midneck.chart"
            )


def _as_typed(options: DrillOptions) -> dict[str, Any]:
    """The options as `DrillChoice` takes them: as text, like those of the command line."""
    unknown = sorted(options.keys() - _TYPES.keys())
    if unknown:
        known = ", ".join(_TYPES)
        raise TypeError(f"there is no option {', '.join(unknown)}; options are: {known}")
    values = {name: typed(name, value, *_TYPES[name]) for name, value in options.items()}
    for name in ("key", "strings", "bars_per_chord"):
        if name in values:
            values[name] = str(values[name])
    if not isinstance(values.get("keys", ""), str):
        values["keys"] = ",".join(map(str, values["keys"]))
    return values
