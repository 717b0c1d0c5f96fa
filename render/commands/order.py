"""`midneck order`: the bars of sheets in the order in which they are played."""

from __future__ import annotations

import click

from ...converter.prose.facts import describe_form, rounds_sentence
from ...grammar.form.unfold import unfold
from ..batch import one_by_one
from .each import for_each, read_tune, sheets_of
from .groups import GroupedCommand
from .messages import write_text


@click.command("order", cls=GroupedCommand, epilog="\b\nExample:\n  midneck order my_tune.txt")
@click.argument("sheets", nargs=-1, required=True)
def command(sheets: tuple[str, ...]) -> int:
    """Print the played order of each SHEET: its bars with repeats, endings and jumps followed."""
    inputs = sheets_of(sheets)
    return for_each(inputs, one_by_one(lambda name: _print(name, inputs.many)))


def _print(name: str, many: bool) -> None:
    sheet = read_tune(name)
    form = unfold(sheet)
    lines = "\n".join(filter(None, (describe_form(sheet, form), rounds_sentence(sheet, form))))
    head = f"{sheet.header.title or name}\n" if many else ""
    tail = "\n" if many else ""
    write_text(f"{head}{lines}\n{tail}")
