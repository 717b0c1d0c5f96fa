"""The desk without a browser and without a process: NiceGUI's simulated user."""

from __future__ import annotations

import sys
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from nicegui.testing import User
from nicegui.testing.user_simulation import user_simulation

MAIN = """
from pathlib import Path
from nicegui import ui
from midneck.render.desk.folder import TuneFolder
from midneck.render.desk.server import add_desk
add_desk(TuneFolder(Path({folder!r})))
ui.run()
"""


@asynccontextmanager
async def desk_user(folder: Path) -> AsyncIterator[User]:
    """A user of the desk on a folder, who asks it as a page of this machine would.

    The simulation forgets the modules of the package that is at its work when it ends; they come
    back, for the tests that follow in the same process hold their values.
    """
    modules = {name: each for name, each in sys.modules.items() if name.startswith("midneck")}
    try:
        async with _simulated(folder) as user:
            yield user
    finally:
        sys.modules.update(modules)


@asynccontextmanager
async def _simulated(folder: Path) -> AsyncIterator[User]:
    failure: BaseException | None = None
    with TemporaryDirectory() as place:
        main = Path(place, "main.py")
        main.write_text(MAIN.format(folder=str(folder)), encoding="utf-8")
        async with user_simulation(main_file=main) as user:
            user.http_client.base_url = "http://127.0.0.1"
            try:
                yield user
            except BaseException as error:
                # NiceGUI stops its tasks only where the simulation ends well, and the loop would
                # wait for them.
                failure = error
    if failure is not None:
        raise failure
