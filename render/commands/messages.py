"""What commands print: text, in which nothing steers a terminal."""

from __future__ import annotations

from io import StringIO
from pathlib import Path
from typing import Final

import click

from ...grammar.foreign_text import HARMFUL, harmless, one_line
from ..output import write_stdout
from ..stamps import earlier_pages

#: The most characters of an error of the command line, which may repeat what was typed.
LONGEST: Final = 2_000


def say(text: str, *, err: bool = False, nl: bool = True) -> None:
    """Print a message that may hold names and texts from outside; `err`: on standard error."""
    click.echo(harmless(text), nl=nl, err=err)


def tell_earlier_pages(path: Path, count: int, result: str) -> None:
    """Name the pages that a `result` of now `count` files has left from when it had others."""
    for page in earlier_pages(path, count):
        say(f"{one_line(str(page))}: the {result} had more pages before; delete it", err=True)


def write_text(text: str) -> None:
    """Write a result in text to standard output. Raises as `write_stdout`.

    The bytes of a file name that is not UTF-8 stay as they are, for the program that reads them.
    """
    plain = HARMFUL.sub(lambda found: found[0] if "\udc80" <= found[0] <= "\udcff" else " ", text)
    write_stdout(plain.encode("utf-8", "surrogateescape"))


def show(error: click.ClickException) -> None:
    """Print an error of the command line with the usage of its command; a long one is cut."""
    held = StringIO()
    error.show(file=held)
    shown = held.getvalue()
    if len(shown) > LONGEST:
        shown = f"{shown[: LONGEST // 2]} … {shown[-LONGEST // 2 :]}"
    say(shown, err=True, nl=False)
