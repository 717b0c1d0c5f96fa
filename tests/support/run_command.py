"""The command line in a process of its own, as faults need it: signals, limits, closed streams."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from support.tunes import tune_text

MIDNECK = [sys.executable, "-c", "from midneck.render.commands.entry import main; main()"]


def midneck(*arguments: str, **options: Any) -> subprocess.CompletedProcess[bytes]:
    """Run the command to its end; `options` are those of `subprocess.run`."""
    caught = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "timeout": 120}
    return subprocess.run([*MIDNECK, *arguments], check=False, **(caught | options))


def started(*arguments: str, cwd: Path) -> subprocess.Popen[bytes]:
    """The command at work, in a group of its own that holds its processes too.

    It hears SIGINT even where tests run in the background of a shell, which ignores it.
    """
    return subprocess.Popen(
        [*MIDNECK, *arguments],
        cwd=cwd,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        start_new_session=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    )


def tunes_in(folder: Path, count: int) -> Path:
    """A folder `tunes` with so many invented tunes."""
    place = folder / "tunes"
    place.mkdir()
    for seed in range(count):
        (place / f"tune{seed:03}.txt").write_text(tune_text(seed), encoding="utf-8")
    return place


def wait_until(true: Callable[[], bool], seconds: float = 60.0) -> None:
    """Wait for something to become true. Raises TimeoutError when it does not."""
    stop = time.monotonic() + seconds
    while not true():
        if time.monotonic() > stop:
            raise TimeoutError
        time.sleep(0.01)


def group_is_gone(group: int) -> bool:
    """Whether no process of a group is left."""
    try:
        os.killpg(group, 0)
    except ProcessLookupError:
        return True
    return False


def end(process: subprocess.Popen[bytes], number: signal.Signals, all_of_it: bool) -> bytes:
    """Send a signal to a process, or to its whole group as a terminal does; gives its messages."""
    if all_of_it:
        os.killpg(process.pid, number)
    else:
        process.send_signal(number)
    return process.communicate(timeout=60)[1]
