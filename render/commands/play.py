"""`midneck play`: a tune as MIDI or sound to practise with."""

from __future__ import annotations

from pathlib import Path
from textwrap import fill
from typing import Any

import click

from ...converter.chart import CompingChart
from ...converter.hand.plan import PlanOptions
from ...converter.practice.choruses import read_swing
from ...converter.practice.perform import perform
from ...converter.practice.performance import CLICKS, PARTS, Performance, Settings, read_ladder
from ...grammar.foreign_text import one_line
from ..charts import chart
from ..export import PLAYBACK_FORMATS, Instruments, cautions, export_performance
from ..names import choices_in_name, joined_words, target
from ..output import write_result
from .each import read_tune
from .groups import GroupedCommand
from .messages import say
from .options import (
    bars_of,
    bars_option,
    force_option,
    key_choice_of,
    key_options,
    ladder_option,
    plan_options,
    player_of,
    player_options,
    rhythm_option,
)

_EXAMPLE = """\
\b
Examples:
  midneck play my_tune.txt                     writes my_tune.mid
  midneck play my_tune.txt -o slow.wav --tempo 80
  midneck play my_tune.txt -o up.wav --bars 9-16 --ladder 80:140:10
  midneck play my_tune.txt --bars B            writes my_tune_bars-B.mid
  midneck play my_tune.txt -o band.wav --soundfont general.sf2
"""


@click.command("play", cls=GroupedCommand, epilog=_EXAMPLE)
@click.argument("sheet")
@click.option("-o", "--output", "out", metavar="FILE", help="A .mid or .wav file, or a folder/.")
@click.option("--tempo", type=int, help="Beats a minute (the sheet's).")
@click.option("--choruses", type=int, default=1, help="How often the form is played (1).")
@click.option("--count-in", type=int, default=1, help="Bars of count-in (1).")
@rhythm_option
@click.option("--swing", default="auto", help="A ratio as 2:1, even, triplet, or auto (by tempo).")
@click.option("--click", "clicks", type=click.Choice(CLICKS), default="2and4", help="The click.")
@click.option("--without", type=click.Choice(PARTS), multiple=True, help="Leave out a part.")
@ladder_option
@bars_option("Loop a part of the tune: 9-16, or a section as B.")
@click.option("--soundfont", metavar="FILE", help="Sound from this SoundFont, by FluidSynth.")
@click.option("--strings-apart", is_flag=True, help="MIDI: a channel for each string.")
@force_option
@key_options
@player_options
def command(sheet: str, out: str | None, force: bool, **given: Any) -> int:
    """Play the grips of SHEET in time, with a bass line and a click to practise against."""
    if out == "-":
        raise click.UsageError("play cannot write to standard output: give -o a .mid or .wav file")
    choice, options, player = key_choice_of(given), plan_options(given), player_of(given)
    choices = choices_in_name(choice, player, options) + _choices(given, options)
    path = target(sheet, ".mid", out, False, choices)
    if path.suffix.lower() not in PLAYBACK_FORMATS:
        what = path.suffix or f"{path} without an ending"
        raise click.UsageError(f"cannot write {what}; there are: {', '.join(PLAYBACK_FORMATS)}")
    instruments = _instruments(given, path.suffix.lower())
    read = read_tune(sheet, choice)
    settings = given | {"tempo": options.tempo, "bars": bars_of(read, given["bars"])}
    comping = chart(
        read,
        player=player,
        style=options.style,
        smooth=options.smooth,
        same_grips=options.same_grips,
        tempo=options.tempo,
    ).comping
    performance = _performance(comping, settings)
    write_result(path, export_performance(performance, path.suffix.lower(), instruments), force)
    seconds = float(performance.seconds(performance.length))
    say(f"wrote {one_line(str(path))}, {seconds:.0f} seconds")
    for line in cautions(performance, bool(given["ladder"])):
        say(fill(line, 80))
    return 0


def _choices(given: dict[str, Any], options: PlanOptions) -> str:
    """The options of tempo and bars, as a part of the name of the file."""
    bars = given["bars"]
    return joined_words(
        "" if options.tempo is None else f"tempo {options.tempo}",
        f"ladder {given['ladder'].replace(':', ' ')}" if given["ladder"] else "",
        "" if bars is None else f"bars {bars}",
    )


def _instruments(given: dict[str, Any], kind: str) -> Instruments:
    """The instruments. Raises PlaybackError when they do not fit the kind of file."""
    soundfont = given["soundfont"]
    instruments = Instruments(
        None if soundfont is None else Path(soundfont), given["strings_apart"]
    )
    instruments.check(kind)
    return instruments


def _performance(chart: CompingChart, given: dict[str, Any]) -> Performance:
    """The timed strokes. Raises MidneckError when they cannot be played as asked."""
    settings = Settings(
        tempo=given["tempo"],
        choruses=given["choruses"],
        count_in=given["count_in"],
        rhythm=given["rhythm"],
        swing=read_swing(given["swing"]),
        click=given["clicks"],
        without=frozenset(given["without"]),
        ladder=read_ladder(given["ladder"]) if given["ladder"] else (),
        bars=given["bars"],
    )
    return perform(chart.timeline, chart.plan, settings)
