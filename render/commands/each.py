"""Work through several sheets: a bad one is told, the others go on, the exit status says so."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Sequence
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path

import click

from ...converter.hand.plan import PlanError
from ...grammar.errors import SheetError
from ...grammar.sheet import Sheet
from ..command import os_message
from ..sources import files_in


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
) -> int:
    """Do `work` for the name of each sheet; gives the exit status.

    That is 0 when all went well; otherwise 1 when a folder was worked through, 2 when not.
    `refused` is called with the mistakes of a sheet before they are told; `progress` draws a bar
    on a terminal when there are several sheets.
    """
    names = names_of(sheets)
    with _steps(names, progress) as steps:
        failed = sum(not _done(name, work, refused) for name in steps)
    if failed and len(names) > 1:
        click.echo(f"{failed} of {len(names)} sheets failed", err=True)
    folder = any(Path(sheet).is_dir() for sheet in sheets)
    return (1 if folder else 2) if failed else 0


def draws_bar(count: int) -> bool:
    """Whether work on so many sheets shows as a bar, in the place of lines: on a terminal only."""
    return count > 1 and sys.stdout.isatty() and sys.stderr.isatty()


def _steps(names: list[str], progress: bool) -> AbstractContextManager[Iterable[str]]:
    if not (progress and draws_bar(len(names))):
        return nullcontext(names)
    return click.progressbar(names, file=sys.stderr, label="charts", width=24)


def warn(name: str, sheet: Sheet) -> None:
    """Tell on standard error what the reader noticed."""
    for warning in sheet.warnings:
        click.echo(f"{name}: {warning}", err=True)


def _done(
    name: str, work: Callable[[str], None], refused: Callable[[SheetError], None] | None
) -> bool:
    try:
        work(name)
    except BrokenPipeError:
        raise
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
