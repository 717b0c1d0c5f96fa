"""`midneck grid`: the fret grid of one chord as a picture, or a line or some bars of a chart."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Any

import click

from ...converter.chart import CompingChart
from ...converter.hand.grip import Grip
from ...converter.hand.plan import PlanError
from ...converter.prose.facts import bars_text
from ...grammar.bar_names import Bars
from ...grammar.chord import Chord
from ...grammar.errors import Problem, SheetError, SourcePosition
from ...grammar.frozen import frozen
from ...grammar.sheet import Bar, Header, Section, Sheet, SheetChord
from ...grammar.text.tokens import read_chord
from ..charts import chart
from ..export import export_document
from ..options import check_dpi
from ..output import write_result, write_stdout
from ..page.drawing.items import Document
from ..page.drawing.style import PageStyle
from ..page.layout import bars_picture, grid_picture, line_count, line_picture
from ..sources import KeyChoice
from ..text import fret_string
from .each import read_tune
from .groups import GroupedCommand
from .messages import write_text
from .options import (
    bars_of,
    bars_option,
    dpi_option,
    force_option,
    key_choice_of,
    key_options,
    output_format,
    player_options,
    symbols_option,
)

_EXAMPLE = """\
\b
Examples:
  midneck grid "Dm7" --root-string 6 -o dm7.svg
  midneck grid "F#m7b5" --style four-note > chord.svg
  midneck grid "C7" --from my_tune.txt -o c7.svg     the grip it has there
  midneck grid --from my_tune.txt --line 2 -o line.svg
  midneck grid --from my_tune.txt --bars 5-8 -o bridge.png --dpi 300
"""


@frozen
class _Picture:
    """A picture and the line that is printed about it."""

    document: Document
    caption: str


@frozen
class _Request:
    """What to draw: a chord, or a line or bars of a tune; `bars` narrows where a chord is sought.

    Raises click.UsageError when that is nothing, or two things at once.
    """

    symbol: str | None
    tune: str | None
    line: int | None
    bars: str | None
    style: PageStyle

    def __post_init__(self) -> None:
        if self.tune is None and (self.line is not None or self.bars is not None):
            raise click.UsageError("--line and --bars are those of a tune: add --from TUNE")
        if self.line is not None and (self.bars is not None or self.symbol is not None):
            raise click.UsageError("--line draws a whole line: leave out --bars and the chord")
        if (self.symbol, self.line, self.bars) == (None, None, None):
            raise click.UsageError(
                "name a chord, or a tune with --from and what to draw of it: --line or --bars"
            )


@click.command("grid", cls=GroupedCommand, epilog=_EXAMPLE)
@click.argument("symbol", required=False)
@click.option(
    "--root-string",
    "first_root_string",
    type=click.IntRange(4, 10),
    help="The string on which the root lies: 6 or 5.",
)
@click.option("--from", "tune", metavar="TUNE", help="Draw a part of this sheet's chart.")
@click.option("--line", type=int, help="With --from: this line of the chart (1 is the first).")
@bars_option("With --from: these bars: 5-8, 5, or a section as B.")
@click.option("-o", "--output", "out", metavar="FILE", help="An .svg or .png file, or - (stdout).")
@force_option
@symbols_option
@dpi_option
@key_options
@player_options
def command(out: str | None, force: bool, **given: Any) -> int:
    """Draw the easiest grip of the chord SYMBOL as a grid, or a part of a tune's chart."""
    kind = output_format(None, out, ("svg", "png"))
    style = PageStyle(symbols=given.pop("symbols"), dpi=given.pop("dpi"))
    check_dpi(style.dpi, kind)
    request = _Request(
        given.pop("symbol"), given.pop("tune"), given.pop("line"), given.pop("bars"), style
    )
    picture = (
        _tune_picture(request, given)
        if request.tune is not None
        else _chord_picture(request, given)
    )
    ((_, data),) = export_document(picture.document, kind, dpi=style.dpi)
    if out is None or out == "-":
        write_stdout(data)
    else:
        write_result(Path(out), data, force)
        write_text(f"{picture.caption}  wrote {out}\n")
    return 0


def _chord_picture(request: _Request, given: dict[str, Any]) -> _Picture:
    """The grid of a chord without a tune; it cannot be transposed."""
    if key_choice_of(given) != KeyChoice():
        raise click.UsageError("a chord alone has no key to leave: name it as it shall be")
    symbol = request.symbol or ""
    chord = _chord(symbol)
    comping = chart(_sheet(symbol, chord), **given).comping
    return _grid(comping, chord, comping.plan.grips[0], request.style)


def _tune_picture(request: _Request, given: dict[str, Any]) -> _Picture:
    """A line, some bars, or one chord's grip of a tune's chart."""
    sheet = read_tune(request.tune or "", key_choice_of(given))
    comping = chart(sheet, **given).comping
    if request.symbol is not None:
        return _grip_in_tune(comping, _chord(request.symbol), request)
    if request.line is not None:
        count = line_count(comping, request.style)
        if not 1 <= request.line <= count:
            raise click.UsageError(f"there is no line {request.line}; there are lines 1 to {count}")
        return _Picture(
            line_picture(comping, request.line - 1, request.style), f"line {request.line}"
        )
    bars = _bars(sheet, request)
    return _Picture(bars_picture(comping, bars, request.style), bars_text(bars))


def _bars(sheet: Sheet, request: _Request) -> Bars:
    """The bars of `--bars`, or all. Raises click.UsageError for bars that are not in the tune."""
    first, last = sheet.bars[0].number, sheet.bars[-1].last_number
    bars = bars_of(sheet, request.bars) or (first, last)
    if not first <= bars[0] <= bars[1] <= last:
        raise click.UsageError(
            f"the tune has no {bars_text(bars)}; there are bars {first} to {last}"
        )
    return bars


def _grip_in_tune(chart: CompingChart, chord: Chord, request: _Request) -> _Picture:
    """The grip that a chord has where it first occurs in the tune."""
    sheet = chart.sheet
    bars = _bars(sheet, request)
    numbers = sheet.bar_numbers
    there: list[str] = []
    for number, written, grip in zip(numbers, sheet.chords, chart.plan.grips, strict=True):
        if bars[0] <= number <= bars[1] and written.chord is not None:
            if written.chord == chord:
                drawn = _grid(chart, chord, grip, request.style)
                return _Picture(drawn.document, f"bar {number}: {drawn.caption}")
            there.append(str(written.chord))
    names = ", ".join(dict.fromkeys(there)) or "no chords"
    raise click.UsageError(f"there is no {chord} in {bars_text(bars)}; there are {names}")


def _grid(chart: CompingChart, chord: Chord, grip: Grip | None, style: PageStyle) -> _Picture:
    if grip is None:
        raise PlanError(f"{chord} has no grip")
    mirrored = chart.player.hand == "left"
    drawn = grid_picture(chord, grip, mirrored=mirrored, symbols=style.symbols)
    return _Picture(drawn, f"{chord}  {fret_string(grip)}")


def _chord(symbol: str) -> Chord:
    """The chord of a symbol. Raises SheetError with the nearest symbol."""
    problems: list[Problem] = []
    chord = read_chord(symbol.strip(), SourcePosition(1, 1), problems)
    if problems or chord is None:
        raise SheetError(tuple(problems), "chord")
    return chord


def _sheet(symbol: str, chord: Chord) -> Sheet:
    """One bar of one chord."""
    header, position = Header(title=symbol), SourcePosition(1, 1)
    written = SheetChord(chord, symbol, position, Fraction(0), Fraction(header.meter.beats))
    bar = Bar(1, header.meter, (written,), position)
    return Sheet(header, (Section("", 0, 1, position),), (bar,))
