"""`midneck compare`: two plans of a tune side by side, for two players, styles or sheets."""

from __future__ import annotations

from typing import Any

import click

from ...converter.prose.compare import ChordsDifferError, comparison_lines
from ..charts import chart
from ..names import stem_of
from ..options import PRESET_NAMES, STYLE_NAMES
from .each import read_tune
from .groups import GroupedCommand
from .messages import write_text
from .options import key_choice_of, key_options

_EXAMPLE = """\
\b
Examples:
  midneck compare my_tune.txt --player adult --player small-hand
  midneck compare my_tune.txt --style shell --style four-note
  midneck compare my_tune.txt my_tune_with_other_grips.txt
  midneck compare my_tune.txt --smooth
"""


@click.command("compare", cls=GroupedCommand, epilog=_EXAMPLE)
@click.argument("sheet")
@click.argument("other", required=False)
@click.option(
    "--player",
    "players",
    multiple=True,
    metavar="FILE|PRESET",
    help=f"A player file (TOML), or one of: {', '.join(PRESET_NAMES)}; twice for two players.",
)
@click.option(
    "--style",
    "styles",
    multiple=True,
    type=click.Choice(list(STYLE_NAMES)),
    help="The voicings to use (shell); twice for two styles.",
)
@click.option("--smooth", is_flag=True, help="The second plan has the easiest hardest change.")
@key_options
def command(
    sheet: str,
    other: str | None,
    players: tuple[str, ...],
    styles: tuple[str, ...],
    smooth: bool,
    **given: Any,
) -> int:
    """Set two plans of SHEET side by side, or those of SHEET and OTHER, a sheet of its chords."""
    sides = list(
        zip(
            (sheet, other or sheet),
            _pair("--player", players, "adult"),
            _pair("--style", styles, "shell"),
            (False, smooth),
            strict=True,
        )
    )
    if len(set(sides)) == 1:
        raise click.UsageError("name two players, two styles, a second sheet, or --smooth")
    choice = key_choice_of(given)
    tunes = {name: read_tune(name, choice) for name in dict.fromkeys((sheet, other or sheet))}
    charts = [
        chart(tunes[tune], player=player, style=style, smooth=easy).comping
        for tune, player, style, easy in sides
    ]
    try:
        lines = comparison_lines(charts, [_name(side, sides) for side in sides])
    except ChordsDifferError as error:
        raise click.UsageError(str(error)) from error
    write_text("\n".join(lines) + "\n")
    return 0


def _pair(option: str, values: tuple[str, ...], usual: str) -> tuple[str, str]:
    """The two values of an option that is given twice, once or not at all."""
    if len(values) > 2:
        raise click.UsageError(f"{option} is given {len(values)} times: two plans are compared")
    first, last = (values[0], values[-1]) if values else (usual, usual)
    return first, last


_Side = tuple[str, str, str, bool]


def _name(side: _Side, sides: list[_Side]) -> str:
    """What is different about one side: `small-hand, four-note`."""
    differs = [len({one[at] for one in sides}) > 1 for at in range(len(side))]
    words = [stem_of(side[0]), side[1], side[2], "smooth" if side[3] else "least effort"]
    return ", ".join(word for word, told in zip(words, differs, strict=True) if told)
