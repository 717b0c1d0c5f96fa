"""`midneck book`: many charts as one PDF with contents, page numbers and indexes."""

from __future__ import annotations

import pickle
from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any, Final

import click

from ...converter.hand.plan import PlanOptions
from ...converter.hand.player import Player
from ...converter.prose.facts import counted
from ...grammar.foreign_text import one_line
from ...grammar.frozen import frozen
from ..batch import one_by_one
from ..book.book import ORDERS, BookOptions
from ..book.book_file import BookFile, book_file_bytes, read_book_file
from ..book.part import BookPart, book_part
from ..books import bound
from ..charts import chart
from ..export import export_document
from ..options import OptionError
from ..output import OutputError, write_result, write_stdout
from ..page.drawing.style import PageStyle
from ..processes import in_processes, sensible_jobs
from ..sources import STDIN, KeyChoice, fetch, files_in, load
from .each import made_by_each, warn
from .groups import GroupedCommand
from .messages import say
from .options import (
    chart_options,
    force_option,
    heading_options,
    paper_options,
    plan_options,
    player_of,
    player_options,
    quiet_option,
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
    "--drills/--no-drills", default=None, help="Drills of the tunes, shared ones once (off)."
)
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
@force_option
@click.option("--jobs", type=click.IntRange(1, 64), help="Tunes to work on at once.")
@quiet_option
@player_options
@paper_options
@chart_options
@heading_options
def command(tunes: tuple[str, ...], **given: Any) -> int:
    """Bind the charts of TUNES as one PDF: files, folders of them, or one book file (TOML)."""
    out, keep, force, quiet = (given.pop(name) for name in ("out", "keep", "force", "quiet"))
    jobs, keep_going = given.pop("jobs"), given.pop("keep_going")
    book_file = _book_file(tunes, given)
    options = book_file.options
    path = Path(out or f"{options.title.replace(' ', '_')}.pdf")
    if path.suffix.lower() != ".pdf":
        raise OutputError(f"a book is a PDF: name a file that ends in .pdf, not {path}")
    settings = _settings(options, given)
    parts = _parts(book_file.tunes, settings, jobs, not quiet)
    failed = len(book_file.tunes) - len(parts)
    if failed and not keep_going:
        raise OptionError(f"{counted(failed, 'tune')} cannot be read: mend it, or add --keep-going")
    if not parts:
        raise OptionError("there is no tune to bind: name sheets, or a folder of them")
    document = bound(parts, options, settings.style)
    write_result(path, export_document(document, "pdf")[0][1], force)
    if keep is not None:
        content = book_file_bytes(options, book_file.tunes, Path(keep).parent)
        write_result(Path(keep), content, force)
    if not quiet:
        say(f"{options.title}: {counted(len(parts), 'tune')}, {len(document.pages)} pages")
        say(f"  wrote   {one_line(str(path))}")
    return 1 if failed else 0


def _book_file(tunes: tuple[str, ...], given: dict[str, Any]) -> BookFile:
    """The book of a file, or of names, with the options that are given."""
    if len(tunes) == 1 and tunes[0].lower().endswith(".toml"):
        book = read_book_file(tunes[0])
    else:
        book = BookFile(BookOptions(), tuple(files_in(tunes)))
    names = ("title", "by", "about", "order", "drills", "indexes")
    asked = {("note" if name == "about" else name): given.pop(name) for name in names}
    chosen = {name: value for name, value in asked.items() if value is not None}
    return replace(book, options=replace(book.options, **chosen))


@frozen
class _Settings:
    """What the part of every tune is made with."""

    key: KeyChoice
    player: Player
    plan: PlanOptions
    style: PageStyle
    drills: bool


def _settings(options: BookOptions, given: dict[str, Any]) -> _Settings:
    key = KeyChoice(instrument=given.pop("instrument"))
    player, plan = player_of(given), plan_options(given)
    return _Settings(key, player, plan, replace(style_of(given), binding="book"), options.drills)


def _parts(
    names: Sequence[str], settings: _Settings, jobs: int | None, progress: bool
) -> list[BookPart]:
    """The parts of the tunes that can be read, in their order; each mistake is printed."""
    work = partial(_write_part, settings=settings)
    count = 1 if STDIN in names else jobs or sensible_jobs(len(names))
    run = one_by_one(work) if count == 1 else in_processes(work, count)
    made = made_by_each(names, run, progress)
    return [pickle.loads(result.out) for result in made if result.succeeded]


def _write_part(name: str, settings: _Settings) -> None:
    """Write the part of a tune to standard output, as bytes."""
    sheet = load(fetch(name), settings.key)
    warn(name, sheet)
    plan = settings.plan
    made = chart(
        sheet,
        player=settings.player,
        style=plan.style,
        smooth=plan.smooth,
        same_grips=plan.same_grips,
    )
    part = book_part(made.comping, settings.style, settings.drills)
    write_stdout(pickle.dumps(part, pickle.HIGHEST_PROTOCOL))
