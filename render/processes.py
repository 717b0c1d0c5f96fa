"""Work on many sheets in processes of this machine.

Takes the names of sheets and a function that works on one, gives a `JobResult` for each, in the
order of the names. Processes are those of `concurrent.futures.ProcessPoolExecutor`, spawned, not
forked. Closing the generator of results ends them at once. They leave no partial files, because
SIGTERM raises an exception in the work; they also end when this process is killed. The libraries
for processes are imported in the functions that use them, so that a single chart starts without
them.
"""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Callable, Generator, Iterator, Mapping, Sequence
from contextlib import contextmanager
from functools import partial
from os import cpu_count
from time import sleep
from types import FrameType
from typing import TYPE_CHECKING, Final

from .batch import Guard, JobResult, Runner, Work, guarded, in_order, run_job

if TYPE_CHECKING:
    from concurrent.futures import Executor
    from multiprocessing.process import BaseProcess

#: The minimum number of sheets for each process: its start, with imports and the first chart, takes
#: as long as that many charts, so that two processes are as fast as one at twice as many.
SHEETS_A_JOB: Final = 23
#: The signals that a terminal sends to a process and all that it has started.
_FROM_TERMINAL: Final = tuple(
    getattr(signal, name) for name in ("SIGINT", "SIGHUP") if hasattr(signal, name)
)
#: How long a process that is asked to end may take to clean up, in seconds.
_GRACE_S: Final = 5.0
#: How long a process without work may take to finish sending its last result, in seconds.
_SENDING_S: Final = 0.2


def sensible_jobs(count: int) -> int:
    """The number of processes for `count` sheets: at most one a processor, one for few sheets."""
    return max(1, min(cpu_count() or 1, count // SHEETS_A_JOB))


def in_processes(work: Callable[[str], None], jobs: int) -> Runner:
    """A runner in `jobs` processes of this machine; `work` must be a module's own, or a partial."""

    def run(names: Sequence[str], guard: Guard) -> Generator[JobResult, None, None]:
        return run_in_processes(names, partial(guarded, guard=guard, work=work), jobs)

    return run


def run_in_processes(
    names: Sequence[str], work: Work, jobs: int
) -> Generator[JobResult, None, None]:
    """Work on the sheet of each name in `jobs` processes; gives the results in order of the names.

    `work` must be a module's function, or a partial of one. Closing the generator ends the
    processes. If a process dies, the result of its sheet tells it, and the other sheets go on.
    """
    yield from in_order(_results(names, work, jobs))


def _results(names: Sequence[str], work: Work, jobs: int) -> Iterator[tuple[int, JobResult]]:
    """The indices and results of names in the order of completion.

    When a process dies, its executor breaks with all its unfinished sheets. Work starts in the
    order of names, so one of the first `jobs` unfinished sheets was the cause: each is tried alone.
    """
    waiting = dict(enumerate(names))
    while waiting:
        for number, result in _until_broken(waiting, work, jobs):
            del waiting[number]
            yield number, result
        for number in list(waiting)[:jobs]:
            yield number, _run_alone(waiting.pop(number), work)


def _until_broken(
    names: Mapping[int, str], work: Work, jobs: int
) -> Iterator[tuple[int, JobResult]]:
    """The indices and results of names, without those that a broken executor did not finish."""
    from concurrent.futures import BrokenExecutor, as_completed

    with _processes(min(jobs, len(names))) as executor:
        with _signals_blocked():
            futures = {
                executor.submit(_run_in_worker, name, work): number
                for number, name in names.items()
            }
        for future in as_completed(futures):
            if not isinstance(future.exception(), BrokenExecutor):
                yield futures[future], future.result()


def _run_alone(name: str, work: Work) -> JobResult:
    """The result of a sheet in a process of its own; if that dies, the result gives the reason."""
    from concurrent.futures import BrokenExecutor
    from multiprocessing import active_children

    others = set(active_children())
    try:
        with _processes(1) as executor:
            with _signals_blocked():
                future = executor.submit(_run_in_worker, name, work)
                [process] = set(active_children()) - others
            return future.result()
    except BrokenExecutor:
        code = process.exitcode or 0
        how = f"signal {-code}" if code < 0 else f"status {code}"
        return JobResult(name, b"", f"{name}: its process died ({how}); try it alone\n", False)


@contextmanager
def _processes(count: int) -> Iterator[Executor]:
    """An executor of `count` processes, which are ended if the context is left early."""
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import active_children, get_context

    if hasattr(signal, "pthread_sigmask"):
        _start_tracker()
    others = set(active_children())
    executor = ProcessPoolExecutor(count, get_context("spawn"), initializer=_start_worker)
    try:
        yield executor
    except BaseException as error:
        with _signals_blocked():
            _end(set(active_children()) - others)
            # An interrupt may have left a lock that the executor's thread waits for.
            executor.shutdown(wait=isinstance(error, Exception), cancel_futures=True)
        raise
    with _signals_blocked():
        executor.shutdown(cancel_futures=True)


def _end(processes: set[BaseProcess]) -> None:
    """Terminate processes; those that have not cleaned up and ended after `_GRACE_S` are killed."""
    from multiprocessing.connection import wait
    from time import monotonic

    for process in processes:
        process.terminate()
    stop, running = monotonic() + _GRACE_S, [process.sentinel for process in processes]
    while running and (left := stop - monotonic()) > 0:
        ended = wait(running, left)
        running = [sentinel for sentinel in running if sentinel not in ended]
    for process in processes:
        if process.sentinel in running:
            process.kill()


def _start_worker() -> None:
    """Prepare a process: it ignores signals from the terminal and ends with its parent."""
    from threading import Thread

    for number in _FROM_TERMINAL:
        signal.signal(number, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, _exit_soon)
    if hasattr(signal, "pthread_sigmask"):
        signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGTERM})
    Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    """Wait for the parent process to end, killed or not, and end this one.

    Work that swallows the exception of SIGTERM would go on, and then wait for sheets for ever.
    """
    from multiprocessing import parent_process

    parent = parent_process()
    if parent is not None:
        parent.join()
        os.kill(os.getpid(), signal.SIGTERM)
        sleep(_GRACE_S)
        os._exit(128 + signal.SIGTERM)


def _run_in_worker(name: str, work: Work) -> JobResult:
    """Work on the sheet of a name; SIGTERM raises an exception in the work and ends the process.

    The executor would treat that exception as a result and continue with the next sheet.
    """
    signal.signal(signal.SIGTERM, _exit)
    if _is_exiting():
        os._exit(0)
    try:
        return run_job(name, work)
    except SystemExit as error:
        os._exit(error.code if isinstance(error.code, int) else 1)
    finally:
        signal.signal(signal.SIGTERM, _exit_soon)


def _exit(number: int, frame: FrameType | None) -> None:
    """Exit on the first signal; a second one must not interrupt the clean-up."""
    signal.signal(signal.SIGTERM, signal.SIG_IGN)
    sys.exit(128 + number)


def _exit_soon(number: int, frame: FrameType | None) -> None:
    """Exit on a signal between two sheets, when a result may still be in transmission.

    An alarm ends the process after the result has been sent; half a result would block its reader.
    """
    if hasattr(signal, "setitimer"):
        signal.setitimer(signal.ITIMER_REAL, _SENDING_S)


def _is_exiting() -> bool:
    """Whether the alarm is set: the next sheet must not be begun."""
    return hasattr(signal, "getitimer") and signal.getitimer(signal.ITIMER_REAL)[0] > 0


def _start_tracker() -> None:
    """Start the process that removes the semaphores of killed runs, and does not speak of it.

    It ignores SIGINT and SIGTERM by itself, and inherits the block of the signals of a terminal. It
    starts before anything that needs it, as it unblocks SIGINT and SIGTERM here.
    """
    from multiprocessing import resource_tracker

    quiet = "ignore::UserWarning:multiprocessing.resource_tracker"
    sys.warnoptions.append(quiet)
    before = signal.pthread_sigmask(signal.SIG_BLOCK, _FROM_TERMINAL)
    try:
        resource_tracker.ensure_running()
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
        sys.warnoptions.remove(quiet)


@contextmanager
def _signals_blocked() -> Iterator[None]:
    """Block all interrupts; threads and processes that are started meanwhile inherit the block.

    Processes accept SIGTERM again after `_start_worker`.
    """
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {*_FROM_TERMINAL, signal.SIGTERM})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
