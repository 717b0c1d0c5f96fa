"""`midneck areas`: the ii–V–I's and other areas of tunes, and what they give to practise.

Prints a table of at most 80 columns and a summary for each tune, totals after several; or, with
`--json`, one object a line for each tune. The table has the passages of the tune, with `--all` the
areas inside them too; the data have all areas with their levels.
"""

from __future__ import annotations

from typing import Any

import click

from ...converter.harmony.analyse import analyse
from ...converter.harmony.analysis import Analysis
from ...converter.timeline import timeline_of
from ...grammar.sheet import Sheet
from ..batch import one_by_one
from ..output import json_line
from ..report import area_data
from ..text import area_summary_text, area_text
from .each import for_each, read_tune, sheets_of
from .groups import GroupedCommand
from .messages import write_text
from .options import key_choice_of, key_options

_EXAMPLE = """\
\b
Examples:
  midneck areas my_tune.txt
  midneck areas my_tune.txt --all    the areas inside each passage too
  midneck areas tunes/          every tune of a folder, then the totals
  midneck areas tunes/ --json   the same as data
"""


@click.command("areas", cls=GroupedCommand, epilog=_EXAMPLE)
@click.argument("sheets", nargs=-1, required=True)
@click.option("--json", "as_json", is_flag=True, help="Print data, a line a sheet.")
@click.option("--all", "details", is_flag=True, help="List the areas inside each passage too.")
@key_options
def command(sheets: tuple[str, ...], as_json: bool, details: bool, **given: Any) -> int:
    """List the ii–V–I's and other areas of each SHEET, and the keys to practise."""
    choice = key_choice_of(given)
    analyses: list[Analysis] = []

    def work(name: str) -> None:
        sheet = read_tune(name, choice)
        analysis = analyse(timeline_of(sheet))
        analyses.append(analysis)
        text = (
            json_line(area_data(sheet, analysis, name))
            if as_json
            else _text(sheet, analysis, details)
        )
        write_text(text)

    status = for_each(sheets_of(sheets), one_by_one(work))
    if len(analyses) > 1 and not as_json:
        write_text(area_summary_text(analyses))
    return status


def _text(sheet: Sheet, analysis: Analysis, details: bool) -> str:
    table = area_text(sheet, analysis, details=details)
    return f"{table}\n{area_summary_text([analysis])}\n"
