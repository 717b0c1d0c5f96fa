"""The command desk: a folder of tunes in the browser."""

from __future__ import annotations

from pathlib import Path

import click

_EXAMPLE = """\
\b
Examples:
  midneck desk my_tunes/                its tunes in the browser
  midneck desk my_tunes/ --port 8000    at an address to bookmark
"""


@click.command("desk", epilog=_EXAMPLE)
@click.argument("folder", type=click.Path(file_okay=False, path_type=Path), default=".")
@click.option("--port", type=click.IntRange(1, 65535), help="The port; any free one otherwise.")
@click.option("--browser/--no-browser", default=True, help="Open it in the browser.")
def command(folder: Path, port: int | None, browser: bool) -> None:
    """Open the tunes of FOLDER in the browser: type, see the page, print, listen."""
    if not folder.is_dir():
        raise click.UsageError(f"there is no folder {folder}: name the folder of your tunes")
    try:
        from ..desk.server import HOST, free_port, serve
    except ImportError as error:
        raise click.UsageError(
            "the desk needs its extra: install it with  pip install 'midneck[desk]'"
        ) from error
    from ..desk.folder import TuneFolder

    try:
        chosen = free_port(port)
    except OSError as error:
        raise click.UsageError(f"port {port} is taken: give another with --port") from error
    address = f"Midneck's desk: http://{HOST}:{chosen}/  (Ctrl-C ends it)"
    serve(TuneFolder(folder), chosen, browser, lambda: click.echo(address))
