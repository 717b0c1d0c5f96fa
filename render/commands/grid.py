"""`midneck grid`: the fret grid of one chord as SVG."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Any

import click

from ...converter.chart import make_chart
from ...converter.hand.plan import PlanError
from ...converter.hand.wishes import PlanWishes
from ...grammar.chord import Chord
from ...grammar.errors import Problem, SheetError
from ...grammar.sheet import Bar, Header, Place, Section, Sheet, SheetChord
from ...grammar.sheet_chord import read_chord
from ..output import write_result, write_stdout
from ..page.pictures import grid_svg
from ..text_chart import fret_string
from .options import PlayerChoice, pick, player_options, wishes

_EXAMPLE = """\
\b
Examples:
  midneck grid "Dm7" --root-string 6 -o dm7.svg
  midneck grid "F#m7b5" --style four-note > chord.svg
"""


@click.command("grid", epilog=_EXAMPLE)
@click.argument("symbol")
@click.option(
    "--root-string",
    "first_root_string",
    type=click.IntRange(4, 10),
    help="The string on which the root lies: 6 or 5.",
)
@click.option("-o", "--output", "out", metavar="FILE", help="An .svg file, or - (stdout).")
@click.option("--force", is_flag=True, help="Overwrite a file that Midneck did not make.")
@player_options
def command(symbol: str, **given: Any) -> int:
    """Draw the easiest grip of the chord SYMBOL as an SVG grid."""
    out: str | None = given.pop("out")
    force: bool = given.pop("force")
    plan_wishes: PlanWishes = wishes(given)
    player = pick(PlayerChoice, given).chosen()
    chord = _chord(symbol)
    grip = make_chart(_sheet(symbol, chord), player, plan_wishes).plan.grips[0]
    if grip is None:
        raise PlanError(f"{symbol} has no grip")
    data = grid_svg(chord, grip, mirrored=player.hand == "left").encode()
    if out is None or out == "-":
        write_stdout(data)
    else:
        write_result(Path(out), data, force)
        write_stdout(f"{chord}  {fret_string(grip)}  wrote {out}\n".encode())
    return 0


def _chord(symbol: str) -> Chord:
    """The chord of a symbol. Raises SheetError with the nearest symbol."""
    problems: list[Problem] = []
    chord = read_chord(symbol.strip(), Place(1, 1), problems)
    if problems or chord is None:
        raise SheetError(tuple(problems), "chord")
    return chord


def _sheet(symbol: str, chord: Chord) -> Sheet:
    """One bar of one chord."""
    header, place = Header(title=symbol), Place(1, 1)
    written = SheetChord(chord, symbol, place, Fraction(0), Fraction(header.meter.beats))
    bar = Bar(1, header.meter, (written,), place)
    return Sheet(header, (Section("", 0, 1, place),), (bar,))
