"""The command `midneck desk` as a process of its own."""

from __future__ import annotations

import os
import signal
import subprocess
from dataclasses import dataclass
from pathlib import Path

from .forge import Forge, Forged
from .run_command import MIDNECK


@dataclass
class ServedDesk:
    """`midneck desk` on a folder, as a process; `cache` is where it keeps its drafts.

    With a `forge` it is forked, without one Python starts anew.
    """

    folder: Path
    cache: Path
    options: tuple[str, ...] = ()
    process: subprocess.Popen[str] | Forged | None = None
    address: str = ""
    forge: Forge | None = None

    def start(self, port: int | None = None) -> None:
        """Start the server and wait for its address; the same port again where one is named."""
        command = ["desk", str(self.folder), "--no-browser", *self.options]
        command += ["--port", str(port)] if port else []
        # NiceGUI runs otherwise in a process that names a test of pytest.
        environment = {name: value for name, value in os.environ.items() if "PYTEST" not in name}
        environment |= {"XDG_CACHE_HOME": str(self.cache), "PYTHONUNBUFFERED": "1"}
        with (self.cache / "stderr.txt").open("a") as errors:
            if self.forge is not None:
                self.process = self.forge.command(command, environment, errors)
            else:
                self.process = subprocess.Popen(
                    [*MIDNECK, *command],
                    stdout=subprocess.PIPE,
                    stderr=errors,
                    text=True,
                    env=environment,
                    preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
                )
        assert self.process.stdout is not None
        line = self.process.stdout.readline()
        assert "http://" in line, line + (self.cache / "stderr.txt").read_text()
        self.address = "http://" + line.partition("http://")[2].split("/")[0]

    def stop(self, how: signal.Signals = signal.SIGINT) -> int:
        """Send a signal and wait for the end; gives the exit status."""
        if self.process is None:
            return 0
        self.process.send_signal(how)
        _, _ = self.process.communicate(timeout=60)
        status = self.process.returncode
        self.process = None
        return status

    @property
    def port(self) -> int:
        """The port it listens on."""
        return int(self.address.rpartition(":")[2])

    def read(self, name: str) -> str:
        """The text of a tune as it stands in the folder."""
        return (self.folder / name).read_text(encoding="utf-8")
