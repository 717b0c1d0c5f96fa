"""Interrupts of the command line: SIGINT (Ctrl-C), SIGTERM and SIGHUP (the terminal was closed).

The first one raises KeyboardInterrupt wherever the program is. Libraries may turn that into another
error or swallow it, so that it is also remembered: `kept` raises it again at the end of a step.
Python can be left with a lock that is never released when it is interrupted inside a library, for
which an orderly exit would wait for ever; `leave` ends the process without waiting.
"""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from time import monotonic
from types import FrameType
from typing import Final, NoReturn

#: The exit status after an interrupt: 128 and the number of SIGINT, as shells have it.
INTERRUPTED: Final = 130
#: Signals so soon after the first one are the same interrupt, in seconds.
_SAME_S: Final = 2.0
_NUMBERS: Final = tuple(
    getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)
)


class _Last:
    """When the last interrupt came; None before any. Signals belong to the whole process."""

    at: float | None = None


def listen() -> None:
    """Raise KeyboardInterrupt at signals from now on; an ignored SIGHUP (nohup) stays ignored."""
    _Last.at = None
    for number in _NUMBERS:
        if number == signal.SIGINT or signal.getsignal(number) is not signal.SIG_IGN:
            signal.signal(number, _interrupt)


def ignore() -> None:
    """Hear no more signals: the program is ending."""
    for number in _NUMBERS:
        signal.signal(number, signal.SIG_IGN)


def forget() -> None:
    """Let the next signal end the process as it stands: all is done."""
    for number in _NUMBERS:
        if signal.getsignal(number) is _interrupt:
            signal.signal(number, signal.SIG_DFL)


def happened() -> bool:
    """Whether the program was interrupted."""
    return _Last.at is not None


@contextmanager
def kept() -> Iterator[None]:
    """Raise KeyboardInterrupt at the end of a step in which it was swallowed or changed."""
    try:
        yield
    except Exception as error:
        if happened():
            raise KeyboardInterrupt from error
        raise
    if happened():
        raise KeyboardInterrupt


def leave() -> NoReturn:
    """End the interrupted process and those that it has started, without waiting for anything."""
    if "multiprocessing" in sys.modules:
        from multiprocessing import active_children

        for process in active_children():
            process.kill()
    for stream in (sys.stdout, sys.stderr):
        if stream is not None:
            with suppress(OSError, ValueError):
                stream.flush()
    os._exit(INTERRUPTED)


def _interrupt(number: int, frame: FrameType | None) -> None:
    """Raise KeyboardInterrupt, once for several signals in a row: they would break its clean-up."""
    now = monotonic()
    if _Last.at is None or now - _Last.at > _SAME_S:
        _Last.at = now
        raise KeyboardInterrupt
