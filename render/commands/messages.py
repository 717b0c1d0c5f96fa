"""What commands print: text, in which nothing steers a terminal."""

from __future__ import annotations

from io import StringIO

import click

from ...grammar.foreign_text import HARMFUL, harmless
from ..output import write_stdout


def say(text: str, *, err: bool = False, nl: bool = True) -> None:
    """Print a message that may hold names and texts from outside; `err`: on standard error."""
    click.echo(harmless(text), nl=nl, err=err)


def write_text(text: str) -> None:
    """Write a result in text to standard output. Raises as `write_stdout`.

    The bytes of a file name that is not UTF-8 stay as they are, for the program that reads them.
    """
    plain = HARMFUL.sub(lambda found: found[0] if "\udc80" <= found[0] <= "\udcff" else " ", text)
    write_stdout(plain.encode("utf-8", "surrogateescape"))


def show(error: click.ClickException) -> None:
    """Print an error of the command line with the usage of its command."""
    held = StringIO()
    error.show(file=held)
    say(held.getvalue(), err=True, nl=False)
