"""`midneck tidy`: sheets in canonical form, on standard output unless a place is named."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import click

from ...grammar.frozen import frozen
from ...grammar.text.writer import reads_back, write_sheet
from ..batch import one_by_one
from ..names import Clashes, clashes, is_folder, target
from ..output import OutputError, rewrite, write_result, write_stdout
from ..sources import STDIN, KeyChoice, fetch, is_score, load
from .each import for_each, sheets_of, warn
from .groups import GroupedCommand
from .options import key_options, output_format, output_option, pick

_EXAMPLE = """\
\b
Examples:
  midneck tidy my_tune.txt                 prints it
  midneck tidy my_tune.txt --in-place      rewrites the file
  midneck tidy score.musicxml -o tune.txt  writes a score's chords as a sheet
"""


@frozen
class _Task:
    """What to do with each sheet."""

    keep_spelling: bool
    in_place: bool
    out: str | None
    force: bool
    many: bool
    choice: KeyChoice
    clashes: Clashes


@click.command("tidy", cls=GroupedCommand, epilog=_EXAMPLE)
@click.argument("sheets", nargs=-1, required=True)
@click.option("--keep-spelling", is_flag=True, help="Leave chord symbols as they were typed.")
@click.option("--in-place", is_flag=True, help="Rewrite the files themselves.")
@output_option
@click.option("--force", is_flag=True, help="Overwrite the file that -o names.")
@key_options
def command(sheets: tuple[str, ...], **given: Any) -> int:
    """Write each SHEET in canonical form: bars aligned, chords spelled one way, remarks kept."""
    inputs = sheets_of(sheets)
    task = _Task(many=inputs.many, choice=pick(KeyChoice, given), clashes=Clashes({}, {}), **given)
    _check(task)
    if task.out not in (None, "-"):
        places = {name: target(name, ".txt", task.out, task.many) for name in inputs.names}
        task = replace(task, clashes=clashes(places))
    return for_each(inputs, one_by_one(lambda name: _tidy(name, task)))


def _check(task: _Task) -> None:
    """Refuse what contradicts itself. Raises click.UsageError."""
    if task.in_place and task.out is not None:
        raise click.UsageError("--in-place and -o say different places: give one of them")
    out = task.out
    output_format(None, out, ("txt",))
    folder = out is not None and is_folder(out)
    if task.many and not (task.in_place or folder):
        raise click.UsageError("several sheets: give --in-place, or a folder with -o FOLDER/")


def _tidy(name: str, task: _Task) -> None:
    if task.in_place and name == STDIN:
        raise OutputError("standard input cannot be rewritten in place")
    task.clashes.check(name)
    source = fetch(name)
    if task.in_place and is_score(source):
        raise OutputError(f"{name} is a score, and tidy writes text: name a file with -o")
    sheet = load(source, task.choice)
    warn(name, sheet)
    text = write_sheet(sheet, task.keep_spelling)
    if not is_score(source) and not reads_back(sheet, text):
        raise OutputError(
            f"{name} is not tidied: its tidy text would be another sheet. "
            "Please report this with the sheet"
        )
    data = text.encode()
    if task.in_place:
        _write(Path(name), data, task)
    elif task.out in (None, "-"):
        write_stdout(data)
    else:
        _write(target(name, ".txt", task.out, task.many), data, task)


def _write(path: Path, data: bytes, task: _Task) -> None:
    """Write the text; a file that holds just that is left alone."""
    if path.is_file() and path.read_bytes() == data:
        return
    if task.in_place:
        rewrite(path, data)
        return
    if not task.force and path.is_file():
        raise OutputError(f"{path} exists and is different: move it away, or add --force")
    write_result(path, data, force=True)
