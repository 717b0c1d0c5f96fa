"""`midneck others`: the nearest other grips of a tune's chords, with what each would add."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import click

from ...converter.alternatives import offered
from ...converter.chart import CompingChart
from ...converter.hand.grip import Grip, frets_text
from ...converter.prose.facts import bars_text, title_text
from ...converter.prose.hand import offer_text
from ...grammar.bar_names import Bars
from ...grammar.sheet import Sheet
from ..charts import chart
from .each import read_tune
from .groups import GroupedCommand
from .messages import write_text
from .options import (
    bars_of,
    bars_option,
    key_choice_of,
    key_options,
    player_options,
)

_EXAMPLE = """\
\b
Examples:
  midneck others my_tune.txt --bars 7
  midneck others my_tune.txt --bars 1-4 --count 5 --player small-hand
"""
_HINT = (
    "To keep a grip, write its chord in the sheet as it stands here, frets and all:",
    "the rest is planned around it. What it adds is for the whole chorus: millimetres",
    "of moving and reaching, and frets of shifting.",
)


@click.command("others", cls=GroupedCommand, epilog=_EXAMPLE)
@click.argument("sheet")
@bars_option("Only these bars: 7, 9-16, or a section as B.")
@click.option("--count", type=click.IntRange(1, 20), default=3, help="Grips for each chord (3).")
@key_options
@player_options
def command(sheet: str, bars: str | None, count: int, **given: Any) -> int:
    """List the grip of each chord of SHEET and the nearest others, each planned around."""
    read = read_tune(sheet, key_choice_of(given))
    run = bars_of(read, bars)
    comping = chart(read, **given).comping
    chosen = [
        (number, index) for index, number in enumerate(read.bar_numbers)
        if (run is None or run[0] <= number <= run[1]) and comping.plan.grips[index] is not None
    ]  # fmt: skip
    if not chosen:
        raise click.UsageError(f"no chord sounds in {_bars_name(read, run)}")
    write_text("\n".join(_lines(comping, chosen, count)) + "\n")
    return 0


def _bars_name(sheet: Sheet, bars: Bars | None) -> str:
    last = max(bar.last_number for bar in sheet.bars)
    return "this tune" if bars is None else f"{bars_text(bars)}; the last bar is {last}"


def _lines(chart: CompingChart, chosen: list[tuple[int, int]], count: int) -> Iterator[str]:
    """The plan, then each chord with its grip, the nearest others, and those of other styles."""
    plan = chart.plan
    yield f"{title_text(chart.sheet)}: {plan.travel.shift_frets} frets of shifting"
    yield from ("", *_HINT)
    ranked = offered(chart, [index for _, index in chosen], count)
    for (number, index), others in zip(chosen, ranked, strict=True):
        grip = plan.grips[index]
        assert grip is not None  # only chords with a grip were chosen
        yield from ("", f"Bar {number}: {_grip_text(chart, index, grip)}")
        for other in others:
            yield f"  {_grip_text(chart, index, other.grip)}"
            yield f"      {offer_text(chart, other)}"
        if not others:
            yield "  there is no other"


def _grip_text(chart: CompingChart, index: int, grip: Grip) -> str:
    fingers = " ".join("-" if finger is None else str(finger) for finger in grip.fingers)
    return f"{chart.sheet.chords[index].symbol}<{frets_text(grip.frets)}> fingers {fingers}"
