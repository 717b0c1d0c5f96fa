"""Steps of work for the workers of a cluster: as others, with what is done written down."""

from __future__ import annotations

import os
import signal
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from midneck.render import cluster
from midneck.render.batch import Steps


@dataclass(frozen=True)
class Logged:
    """The steps of other work; each writes its process and its sheet into a file `log`.

    A sheet called `die` kills the process that makes its result.
    """

    steps: Steps
    log: str

    def fetch(self, name: str) -> Any:
        return self.steps.fetch(name)

    def make(self, name: str, source: Any) -> Any:
        self._write("make", name)
        if Path(name).stem == "die":
            os.kill(os.getpid(), signal.SIGKILL)
        return self.steps.make(name, source)

    def finish(self, name: str, made: Any) -> None:
        self._write("finish", name)
        self.steps.finish(name, made)

    def _write(self, step: str, name: str) -> None:
        """One write to the end of the file, which other processes cannot divide."""
        with Path(self.log).open("ab", buffering=0) as file:
            file.write(f"{os.getpid()} {step} {name}\n".encode())


def pretend(version: str | None) -> None:
    """In a worker: have another version of Midneck; with None the real one again."""
    cluster.program.cache_clear()
    if version is not None:
        cluster.program()["Midneck"] = version
