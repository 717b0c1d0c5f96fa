"""`midneck order`: the bars of sheets in the order in which they are played."""

from __future__ import annotations

import click

from ...converter.prose.form import describe_form
from ...grammar.form.unfold import unfold
from ..output import write_stdout
from ..sources import fetch, load
from .each import for_each, sheets_of, warn


@click.command("order", epilog="\b\nExample:\n  midneck order my_tune.txt")
@click.argument("sheets", nargs=-1, required=True)
def command(sheets: tuple[str, ...]) -> int:
    """Print the played order of each SHEET: its bars with repeats, endings and jumps followed."""
    found = sheets_of(sheets)
    return for_each(found, lambda name: _print(name, found.many))


def _print(name: str, many: bool) -> None:
    sheet = load(fetch(name))
    warn(name, sheet)
    lines = describe_form(sheet, unfold(sheet))
    head = f"{sheet.header.title or name}\n" if many else ""
    tail = "\n" if many else ""
    write_stdout(f"{head}{lines}\n{tail}".encode())
