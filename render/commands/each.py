"""Work through several sheets: a bad one is told, the others go on, the exit status says so."""

from __future__ import annotations

import sys
from collections.abc import Callable, Generator, Iterable, Sequence
from contextlib import AbstractContextManager, closing, nullcontext
from functools import partial
from pathlib import Path
from typing import Final

import click

from ...converter.hand.plan import PlanError
from ...grammar.errors import SheetError
from ...grammar.sheet import Sheet
from ..batch import JobResult, Work, run_job
from ..output import write_stdout
from ..sources import STDIN, files_in
from .main import os_message

#: Names of failed sheets that are listed at the end.
_LISTED: Final = 20


def names_of(sheets: Sequence[str]) -> list[str]:
    """The sheets that arguments stand for. Raises click.UsageError when folders hold none."""
    names = files_in(sheets)
    if not names:
        raise click.UsageError(f"no sheets in {', '.join(sheets)}")
    return names


def for_each(
    sheets: Sequence[str],
    work: Callable[[str], None],
    refused: Callable[[SheetError], None] | None = None,
    progress: bool = False,
    jobs: int = 1,
) -> int:
    """Do `work` for the name of each sheet; gives the exit status.

    That is 0 when all went well; otherwise 1 when a folder was worked through, 2 when not.
    `refused` is called with the mistakes of a sheet before they are told; `progress` draws a bar
    on a terminal when there are several sheets, and mistakes are told when it is full. With more
    than one of `jobs` both functions go to other processes, so they must be a module's own.
    """
    names = names_of(sheets)
    jobs = 1 if STDIN in names else jobs
    bar = progress and draws_bar(len(names))
    done = partial(_done, work=work, refused=refused)
    failed, held = [], []
    with closing(_told(names, done, jobs)) as each, _steps(each, len(names), bar) as steps:
        for told in steps:
            write_stdout(told.out)
            held.append(told.err)
            if not told.well:
                failed.append(told.name)
            if not bar:
                _tell(held)
    _tell(held)
    if failed and len(names) > 1:
        _sum_up(failed, len(names))
    folder = any(Path(sheet).is_dir() for sheet in sheets)
    return (1 if folder else 2) if failed else 0


def _told(names: list[str], work: Work, jobs: int) -> Generator[JobResult, None, None]:
    """What comes of each name, in their order."""
    if jobs > 1 and len(names) > 1:
        from ..batch import run_in_processes

        yield from run_in_processes(names, work, jobs)
    else:
        yield from (run_job(name, work) for name in names)


def draws_bar(count: int) -> bool:
    """Whether work on so many sheets shows as a bar, in the place of lines: on a terminal only."""
    return count > 1 and sys.stdout.isatty() and sys.stderr.isatty()


def _steps(
    each: Iterable[JobResult], count: int, bar: bool
) -> AbstractContextManager[Iterable[JobResult]]:
    if not bar:
        return nullcontext(each)
    return click.progressbar(each, length=count, file=sys.stderr, label="charts", width=24)


def _tell(held: list[str]) -> None:
    """Print what was held back for standard error."""
    for text in held:
        click.echo(text, nl=False, err=True)
    held.clear()


def _sum_up(failed: list[str], count: int) -> None:
    click.echo(f"{len(failed)} of {count} sheets failed:", err=True)
    for name in failed[:_LISTED]:
        click.echo(f"  {name}", err=True)
    if len(failed) > _LISTED:
        click.echo(f"  and {len(failed) - _LISTED} more", err=True)


def warn(name: str, sheet: Sheet) -> None:
    """Tell on standard error what the reader noticed."""
    for warning in sheet.warnings:
        click.echo(f"{name}: {warning}", err=True)


def _done(
    name: str, work: Callable[[str], None], refused: Callable[[SheetError], None] | None
) -> bool:
    try:
        work(name)
    except SheetError as error:
        if refused is not None:
            refused(error)
        click.echo(str(error), err=True)
    except PlanError as error:
        click.echo(f"{name}: {error}", err=True)
    except OSError as error:
        click.echo(f"midneck: {os_message(error)}", err=True)
    else:
        return True
    return False
