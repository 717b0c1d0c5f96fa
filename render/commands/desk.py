"""The command desk: a folder of tunes in the browser."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from .groups import GroupedCommand
from .messages import say

if TYPE_CHECKING:
    from ..desk.folder import TuneFolder

_EXAMPLE = """\
\b
Examples:
  midneck desk my_tunes/                its tunes in the browser
  midneck desk my_tunes/ --port 8000    at an address to bookmark
  midneck desk my_tunes/ --share        and for a class to read
"""


@click.command("desk", cls=GroupedCommand, epilog=_EXAMPLE)
@click.argument("folder", default=".")
@click.option("--port", type=click.IntRange(1, 65535), help="The port; any free one otherwise.")
@click.option("--browser/--no-browser", default=True, help="Open it in the browser.")
@click.option("--share", is_flag=True, help="Show the tunes to the local network, to read alone.")
def command(folder: str, port: int | None, browser: bool, share: bool) -> None:
    """Open the tunes of FOLDER in the browser: type, see the page, print, listen."""
    place = Path(folder)
    if not place.is_dir():
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
    told = f"Midneck's desk: http://{HOST}:{chosen}/  (Ctrl-C ends it)"
    if share:
        told += f"\n{_shared(TuneFolder(place))}"
    serve(TuneFolder(place), chosen, browser, lambda: say(told))


def _shared(folder: TuneFolder) -> str:
    """Show the tunes to the local network; gives the address and its QR code as text."""
    from ..desk.share import qr_text, share

    try:
        address = share(folder)
    except OSError as error:
        raise click.UsageError(f"the tunes cannot be shared: {error.strerror}") from error
    return f"For the class, to read alone: {address}\n{qr_text(address)}"
