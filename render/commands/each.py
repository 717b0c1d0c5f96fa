"""Work through several sheets: mistakes of one are printed, the others go on."""

from __future__ import annotations

import sys
from collections.abc import Callable, Generator, Iterable, Sequence
from contextlib import AbstractContextManager, closing, nullcontext
from functools import partial
from pathlib import Path
from typing import Final

import click

from ...grammar.errors import SheetError, TuneError
from ...grammar.foreign_text import one_line
from ...grammar.frozen import frozen
from ...grammar.sheet import Sheet
from ..batch import JobResult, Runner
from ..output import OutputError, write_stdout
from ..sources import InputError, KeyChoice, fetch, files_in, load
from . import interrupts
from .main import os_message, unforeseen_message
from .messages import say

#: Names of failed sheets that are listed at the end.
_MOST_LISTED: Final = 20


@frozen
class Sheets:
    """The names of the sheets that arguments stand for, and whether a folder is among those."""

    names: list[str]
    in_folder: bool

    @property
    def many(self) -> bool:
        """Whether there are several."""
        return len(self.names) > 1


def sheets_of(arguments: Sequence[str]) -> Sheets:
    """The sheets that arguments stand for. Raises click.UsageError when folders hold none."""
    names = files_in(arguments)
    if not names:
        raise click.UsageError(f"no sheets in {', '.join(arguments)}")
    return Sheets(names, any(Path(argument).is_dir() for argument in arguments))


def for_each(
    sheets: Sheets,
    run: Runner,
    on_problems: Callable[[SheetError], None] | None = None,
    progress: bool = False,
) -> int:
    """Run the work on each sheet and print its results; gives the exit status.

    That is 0 when all went well; otherwise 1 when a folder was worked through, 2 when not.
    `on_problems` is called with the mistakes of a sheet before they are printed; `progress` draws a
    bar on a terminal when there are several sheets, and mistakes are printed at its end. Both
    the runner's work and `on_problems` must be a module's own when they go to other processes.
    """
    failed, untold = [], ""
    with closing(made_by_each(sheets.names, run, progress, on_problems)) as results:
        for result in results:
            untold = _print_result(result) or untold
            if not result.succeeded:
                failed.append(result.name)
    if failed and sheets.many:
        _print_failures(failed, len(sheets.names))
    if untold:
        say(f"midneck: {untold}", err=True)
        return 2
    return (1 if sheets.in_folder else 2) if failed else 0


def made_by_each(
    names: Sequence[str],
    run: Runner,
    progress: bool,
    on_problems: Callable[[SheetError], None] | None = None,
) -> Generator[JobResult, None, None]:
    """Run the work on each sheet, give its result, not printed, and then print its messages.

    `progress` and `on_problems` are as in `for_each`. Closing the generator ends the work.
    """
    bar, messages = progress and draws_bar(len(names)), list[str]()
    with (
        closing(run(names, partial(_guarded, len(names) == 1, on_problems))) as results,
        _progress(results, len(names), bar) as steps,
    ):
        for result in steps:
            messages.append(result.err)
            yield result
            if not bar:
                _print_errors(messages)
    _print_errors(messages)


def draws_bar(count: int) -> bool:
    """Whether progress on `count` sheets is shown as a bar: for several, on a terminal."""
    streams = (sys.stdout, sys.stderr)
    return count > 1 and all(stream is not None and stream.isatty() for stream in streams)


def _progress(
    results: Iterable[JobResult], count: int, bar: bool
) -> AbstractContextManager[Iterable[JobResult]]:
    if not bar:
        return nullcontext(results)
    return click.progressbar(results, length=count, file=sys.stderr, label="charts", width=24)


def _print_result(result: JobResult) -> str:
    """Print what a sheet printed; gives why that could not be done: the other sheets go on.

    Raises BrokenPipeError when the reader is gone.
    """
    try:
        write_stdout(result.out)
    except OutputError as error:
        return str(error)
    return ""


def _print_errors(messages: list[str]) -> None:
    """Print messages on standard error and clear the list."""
    for text in messages:
        say(text, nl=False, err=True)
    messages.clear()


def _print_failures(failed: list[str], count: int) -> None:
    say(f"{len(failed)} of {count} sheets failed:", err=True)
    for name in failed[:_MOST_LISTED]:
        say(f"  {one_line(name)}", err=True)
    if len(failed) > _MOST_LISTED:
        say(f"  and {len(failed) - _MOST_LISTED} more", err=True)


def read_tune(name: str, choice: KeyChoice | None = None) -> Sheet:
    """The sheet of a file or of standard input in the chosen key, its warnings printed.

    Raises SheetError or OSError.
    """
    sheet = load(fetch(name), choice)
    warn(name, sheet)
    return sheet


def warn(name: str, sheet: Sheet) -> None:
    """Print the warnings of the reader on standard error."""
    for warning in sheet.warnings:
        say(f"{one_line(name)}: {warning}", err=True)


def _guarded(
    alone: bool,
    on_problems: Callable[[SheetError], None] | None,
    name: str,
    step: Callable[[], None],
) -> bool:
    """Do a step of the work on a sheet and print its errors; gives whether there was none.

    An error that nobody foresaw ends the command where the sheet is `alone`; other sheets go on.
    """
    try:
        with interrupts.kept():
            step()
    except SheetError as error:
        if on_problems is not None:
            on_problems(error)
        say(str(error), err=True)
    except TuneError as error:
        said = str(error)
        say(said if said.startswith(f"{name}:") else f"{one_line(name)}: {said}", err=True)
    except InputError as error:
        say(f"{one_line(name)}: {error}", err=True)
    except OSError as error:
        say(f"midneck: {os_message(error)}", err=True)
    except Exception as error:
        if alone:
            raise
        say(f"{one_line(name)}: {unforeseen_message(error)}", err=True)
    else:
        return True
    return False
