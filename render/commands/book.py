"""`midneck book`: many charts as one PDF with contents, page numbers and indexes."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any, Final

import click

from ...converter.hand.player import Player
from ...converter.prose.facts import counted
from ...grammar.errors import MidneckError
from ..book.book import ORDERS, BookOptions, BookTune, book_tune, in_order
from ..book.book_file import BookFile, book_file_bytes, read_book_file
from ..books import Book
from ..charts import chart
from ..export import export_document
from ..options import OptionError
from ..output import OutputError, write_result
from ..sources import KeyChoice, fetch, files_in, load
from .each import warn
from .groups import GroupedCommand
from .messages import say
from .options import (
    chart_options,
    heading_options,
    paper_options,
    player_of,
    player_options,
    style_of,
)

_EXAMPLE: Final = """\
\b
Examples:
  midneck book tunes/ -o term.pdf --title "Autumn term" --order key
  midneck book term.toml -o term.pdf
"""


@click.command("book", cls=GroupedCommand, epilog=_EXAMPLE)
@click.argument("tunes", nargs=-1, required=True)
@click.option("-o", "--output", "out", metavar="FILE", help="The PDF (the title's name).")
@click.option("--title", help="The name of the book.")
@click.option("--by", help="Who made it, below the title.")
@click.option("--about", help="A note for the title page.")
@click.option("--order", type=click.Choice(ORDERS), help="The order of the tunes (given).")
@click.option(
    "--indexes/--no-indexes", default=None, help="Keys, areas, grips and difficulty (on)."
)
@click.option(
    "--for",
    "instrument",
    type=click.Choice(["Bb", "Eb", "F"]),
    help="For an instrument in this key.",
)
@click.option("--keep-going", is_flag=True, help="Leave out tunes that have mistakes.")
@click.option("--keep", metavar="FILE.toml", help="Write the book's file, to make it again.")
@click.option("--force", is_flag=True, help="Overwrite a file that Midneck did not make.")
@click.option("-q", "--quiet", is_flag=True, help="Print nothing but mistakes.")
@player_options
@paper_options
@chart_options
@heading_options
def command(tunes: tuple[str, ...], **given: Any) -> int:
    """Bind the charts of TUNES as one PDF: files, folders of them, or one book file (TOML)."""
    out, keep, force, quiet = (given.pop(name) for name in ("out", "keep", "force", "quiet"))
    book_file = _book_file(tunes, given)
    made, failed = _tunes(book_file, given)
    if failed and not given.pop("keep_going"):
        raise OptionError(f"{counted(failed, 'tune')} cannot be read: mend it, or add --keep-going")
    given.pop("keep_going", None)
    if not made:
        raise OptionError("there is no tune to bind: name sheets, or a folder of them")
    options = book_file.options
    book = Book(tuple(in_order(made, options.order)), options)
    path = Path(out or f"{options.title.replace(' ', '_')}.pdf")
    if path.suffix.lower() != ".pdf":
        raise OutputError(f"a book is a PDF: name a file that ends in .pdf, not {path}")
    document = book.document(replace(style_of(given), binding="book"))
    write_result(path, export_document(document, "pdf")[0][1], force)
    if keep is not None:
        content = book_file_bytes(options, book_file.tunes, Path(keep).parent)
        write_result(Path(keep), content, force)
    if not quiet:
        say(f"{options.title}: {counted(len(made), 'tune')}, {len(document.pages)} pages")
        say(f"  wrote   {path}")
    return 1 if failed else 0


def _book_file(tunes: tuple[str, ...], given: dict[str, Any]) -> BookFile:
    """The book of a file, or of names, with the options that are given."""
    if len(tunes) == 1 and tunes[0].lower().endswith(".toml"):
        book = read_book_file(tunes[0])
    else:
        book = BookFile(BookOptions(), tuple(files_in(tunes)))
    names = {"title": "title", "by": "by", "about": "note", "order": "order", "indexes": "indexes"}
    asked = {name: given.pop(option) for option, name in names.items()}
    chosen = {name: value for name, value in asked.items() if value is not None}
    return replace(book, options=replace(book.options, **chosen))


def _tunes(book: BookFile, given: dict[str, Any]) -> tuple[list[BookTune], int]:
    """The tunes of a book, and how many could not be read; each mistake is printed."""
    player: Player = player_of(given)
    key = KeyChoice(instrument=given.pop("instrument"))
    plan = {name: given.pop(name) for name in ("style", "smooth", "same_grips")}
    made: list[BookTune] = []
    failed = 0
    for name in book.tunes:
        try:
            sheet = load(fetch(name), key)
            warn(name, sheet)
            made.append(book_tune(chart(sheet, player=player, **plan).comping))
        except (MidneckError, OSError) as error:
            say(f"{name}: {error}" if name not in str(error) else str(error), err=True)
            failed += 1
    return made, failed
