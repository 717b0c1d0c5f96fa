"""`midneck drill`: a progression round the keys, or a tune's own, as a practice sheet."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from textwrap import fill
from typing import Any

import click

from ...converter.drill.drill import Drill
from ...converter.drill.progressions import CYCLES, PROGRESSIONS
from ...converter.drill.tune import drill_of
from ...converter.hand.player import Player
from ...converter.prose.drill import summary_lines
from ...grammar.foreign_text import one_line
from ...grammar.frozen import frozen
from ..charts import chart
from ..drill_export import DRILL_FORMATS, export_drill
from ..drill_options import DrillChoice, OptionMistakes, drill_of_progression
from ..export import Files
from ..names import choices_in_name, stem_of, target
from ..options import check_dpi
from ..output import json_line, write_files, write_only
from ..page.drawing.style import PageStyle
from ..sources import KeyChoice, fetch, load
from .each import warn
from .groups import GroupedCommand
from .messages import say, tell_earlier_pages, write_text
from .options import (
    check_print_options,
    dpi_option,
    force_option,
    group,
    hand_options,
    heading_options,
    ladder_option,
    output_format,
    output_option,
    paper_options,
    pick,
    player_of,
    quiet_option,
    rhythm_option,
    style_of,
)

_EXAMPLES = """\
\b
Examples:
  midneck drill ii-V-I --player small-hand --rhythm four-to-the-bar
  midneck drill "ii7 V7 | I6" --keys C,F,Bb --strings 5
  midneck drill "Dm7b5 | G7b9 | Cm6" --cycle fourths -o minor.pdf
  midneck drill ii-V-I --ladder 80:140:10 -o drill.wav
  midneck drill --from my_tune.txt        its own ii–V–I's and hard changes
"""


def _two_columns(title: str, rows: Iterable[tuple[str, str]]) -> str:
    """Names with their meanings in two columns, which click does not wrap."""
    return "\n".join(["\b", title, *(f"  {name:<18}  {text}" for name, text in rows)])


_EPILOG = "\n\n".join(
    (
        _EXAMPLES.rstrip(),
        _two_columns("Progressions:", ((row.name, row.text) for row in PROGRESSIONS)),
        _two_columns("Cycles:", ((row.name, row.description) for row in CYCLES)),
    )
)

_route_options = group(
    click.option("--from", "tune", metavar="TUNE", help="The practice sheet of this tune."),
    click.option("--key", metavar="KEY", help="The first key; that of typed chords or of TUNE."),
    click.option("--cycle", metavar="NAME", help="The way round the keys; listed below."),
    click.option("--keys", metavar="KEYS", help="These keys in this order: C,F,Bb."),
    click.option("--seed", type=int, metavar="N", help="All keys in the order that N draws."),
    click.option("--strings", default="6", metavar="6|5|any", help="The string to start on (6)."),
    click.option("--octave", is_flag=True, help="Jump an octave where the frets run out."),
)
_practice_options = group(
    click.option("--repetitions", type=int, default=4, help="How often each is played (4)."),
    click.option("--bars-per-chord", default="1", metavar="BARS", help="As 2 or 1/2 (1)."),
    ladder_option,
    click.option("--tempo", type=int, help="Beats a minute."),
    rhythm_option,
    click.option("--time", metavar="METER", help="As 3/4 (4/4, or the tune's)."),
    click.option("--count-in", type=int, default=1, help="Bars of count-in, when played (1)."),
)
_output_options = group(
    output_option,
    click.option("--format", "kind", type=click.Choice(DRILL_FORMATS), help="What to write (pdf)."),
    click.option("--text", is_flag=True, help="Print the drill for a terminal."),
    click.option("--json", "as_json", is_flag=True, help="Print the drill as data."),
    force_option,
    quiet_option,
)


@frozen
class _Output:
    """The options of output."""

    out: str | None
    kind: str | None
    text: bool
    as_json: bool
    force: bool
    quiet: bool

    @property
    def prints(self) -> bool:
        """Whether the drill is printed on standard output."""
        return self.text or self.as_json


@click.command("drill", cls=GroupedCommand, epilog=_EPILOG)
@click.argument("progression", nargs=-1)
@_route_options
@_practice_options
@_output_options
@hand_options
@paper_options
@dpi_option
@heading_options
def command(progression: tuple[str, ...], tune: str | None, **given: Any) -> int:
    """Print a practice sheet: a PROGRESSION round the keys, by name, in numerals or in chords."""
    mistakes = OptionMistakes()
    mistakes.get(lambda: check_print_options(given), None)
    output, choice = pick(_Output, given), pick(DrillChoice, given)
    kind = mistakes.get(lambda: output_format(output.kind, output.out, DRILL_FORMATS), "pdf")
    player = mistakes.get(lambda: player_of(given), Player())
    style = mistakes.get(lambda: style_of(given), PageStyle())
    mistakes.get(lambda: check_dpi(style.dpi, kind), None)
    text = " ".join(progression).strip()
    if tune is None:
        drill, name = drill_of_progression(text, choice, player, mistakes)
    else:
        drill, name = _tune_drill(tune, text, choice, player, mistakes)
    _print_drill(drill, output)
    if output.out is not None or not output.prints:
        files, cautions = export_drill(drill, style, kind)
        name += choices_in_name(KeyChoice(), player) + choice.in_name
        paths = _write(files, f"{name}.{kind}", output)
        if paths and not (output.quiet or output.prints):
            _print_summary(drill, paths, cautions)
    return 0


def _tune_drill(
    tune: str, text: str, choice: DrillChoice, player: Player, mistakes: OptionMistakes
) -> tuple[Drill, str]:
    """The practice sheet of a tune, and the stem of the names of its files."""
    if text:
        mistakes.add(f"give a progression or --from {tune}, not both")
    key = choice.stated_key(mistakes)
    sheet = load(fetch(tune), None if key is None else KeyChoice(key=choice.key))
    route, practice = choice.of_tune(mistakes, sheet.header)
    warn(tune, sheet)
    comping = chart(sheet, player=player).comping
    return drill_of(comping, route, practice), f"{stem_of(tune)}-drill"


def _print_drill(drill: Drill, output: _Output) -> None:
    """Print the drill as text or as data, if the options say so."""
    if output.text:
        from ..text import drill_text, terminal_width

        write_text(drill_text(drill, terminal_width()))
    if output.as_json:
        from ..report import drill_data

        write_text(json_line(drill_data(drill)))


def _write(files: Files, name: str, output: _Output) -> tuple[Path, ...]:
    """Write the files; gives their paths, none when one went to standard output."""
    if output.out == "-":
        write_only(files)
        return ()
    path = target(name, Path(name).suffix, output.out, False)
    written = write_files(path, files, output.force)
    tell_earlier_pages(path, len(written), "drill")
    return written


def _print_summary(drill: Drill, paths: tuple[Path, ...], cautions: list[str]) -> None:
    """Print what the drill holds, the paths of its files, and the cautions for playing."""
    for line in summary_lines(drill):
        say(line)
    say(f"  wrote   {one_line(', '.join(map(str, paths)))}")
    for line in cautions:
        say(fill(line, 80))
