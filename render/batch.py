"""Work on many sheets, in one process or several."""

from __future__ import annotations

import io
import signal
import sys
from collections.abc import Callable, Generator, Iterator, Sequence
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from dataclasses import dataclass, field
from multiprocessing import get_context, resource_tracker
from multiprocessing.connection import Connection, wait
from multiprocessing.context import SpawnProcess
from os import cpu_count
from types import FrameType
from typing import Final

# Work on one sheet of many, and catch what it prints, so that it can be told in its turn.
#
# Takes the name of a sheet and a function that works on it, gives a `JobResult`.

#: Does the work for the name of a sheet; gives whether it went well.
Work = Callable[[str], bool]
#: Sheets for each process, at least: to start a process takes as long as so many charts.
SHEETS_A_JOB: Final = 16


@dataclass(frozen=True, slots=True)
class JobResult:
    """What came of one sheet: what was printed, as UTF-8 on standard output, and whether well."""

    name: str
    out: bytes
    err: str
    well: bool


def sensible_jobs(count: int) -> int:
    """How many processes to use for so many sheets: no more than processors, none for a few."""
    return max(1, min(cpu_count() or 1, count // SHEETS_A_JOB))


def run_job(name: str, work: Work) -> JobResult:
    """Work on the sheet of a name."""
    raw, err = io.BytesIO(), io.StringIO()
    with (
        io.TextIOWrapper(raw, encoding="utf-8", newline="", errors="surrogateescape") as out,
        redirect_stdout(out),
        redirect_stderr(err),
    ):
        well = work(name)
        out.flush()
        return JobResult(name, raw.getvalue(), err.getvalue(), well)


# Several sheets at once, each in a process of its own.
#
# Processes are spawned, not forked: they share nothing with this one but a pipe each, whose end
# they take for the end of work. Leaving the batch early ends them at once; they leave whole files,
# for an end on request passes through the work as an exception.

#: How long a process that is asked to end may take to clean up, in seconds.
_GRACE_S: Final = 5.0


def run_in_processes(
    names: Sequence[str], work: Work, jobs: int
) -> Generator[JobResult, None, None]:
    """Do the work for each name, in so many processes; gives the results in the order of names.

    `work` must be a module's function, or a partial of one. Closing the generator ends them all.
    """
    pool = _Pool(work, list(enumerate(names))[::-1])
    try:
        pool.start(jobs)
        yield from _in_order(pool)
    finally:
        pool.end()


def _in_order(pool: _Pool) -> Iterator[JobResult]:
    """The results by number; those that come before their turn wait."""
    early: dict[int, JobResult] = {}
    turn = 0
    for number, told in pool.results():
        early[number] = told
        while turn in early:
            yield early.pop(turn)
            turn += 1


@dataclass(frozen=True, slots=True)
class _Worker:
    """A process, our end of its pipe, and the number and name of the sheet that it works on."""

    process: SpawnProcess
    line: Connection
    sheet: tuple[int, str]


@dataclass(slots=True)
class _Pool:
    """Processes at work; `waiting` holds the sheets that no one has begun, the next one last."""

    work: Work
    waiting: list[tuple[int, str]]
    workers: list[_Worker] = field(default_factory=list)

    def start(self, jobs: int) -> None:
        """Bring the processes to so many, as far as there are sheets, each with one to work on."""
        while len(self.workers) < jobs and self.waiting:
            ours, theirs = get_context("spawn").Pipe()
            process = get_context("spawn").Process(target=_serve, args=(theirs, self.work))
            with _interrupts_held():
                process.start()
            theirs.close()
            self.workers.append(_Worker(process, ours, self.waiting[-1]))
            self._send(self.workers[-1])

    def results(self) -> Iterator[tuple[int, JobResult]]:
        """Numbers and results as they come, until nothing is left to do."""
        while self.workers:
            ready = wait([worker.line for worker in self.workers])
            for worker in [one for one in self.workers if one.line in ready]:
                yield worker.sheet[0], self._answer(worker)

    def end(self) -> None:
        """End all processes: those at work clean up behind them, none is left."""
        with _interrupts_held():
            for worker in self.workers:
                worker.process.terminate()
            for worker in self.workers:
                worker.process.join(_GRACE_S)
                worker.process.kill()
                worker.process.join()
                worker.line.close()
        self.workers.clear()

    def _answer(self, worker: _Worker) -> JobResult:
        """What a process says of its sheet; it gets the next one, or a successor if it died."""
        self.workers.remove(worker)
        try:
            told: JobResult = worker.line.recv()
        except (EOFError, OSError):
            return self._died(worker)
        if self.waiting:
            self.workers.append(_Worker(worker.process, worker.line, self.waiting[-1]))
            self._send(self.workers[-1])
        else:
            worker.line.close()
            worker.process.join()
        return told

    def _died(self, worker: _Worker) -> JobResult:
        worker.line.close()
        worker.process.join()
        self.start(len(self.workers) + 1)
        code = worker.process.exitcode or 0
        how = f"signal {-code}" if code < 0 else f"status {code}"
        name = worker.sheet[1]
        return JobResult(name, b"", f"{name}: its process died ({how}); try it alone\n", False)

    def _send(self, worker: _Worker) -> None:
        """Hand over the last of `waiting`; a process that is gone says so when it is asked."""
        self.waiting.pop()
        try:
            worker.line.send(worker.sheet[1])
        except OSError:
            return


def _serve(line: Connection, work: Work) -> None:
    """The life of a process: names in, results out, until the other end closes."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, _leave)
    try:
        while True:
            line.send(run_job(line.recv(), work))
    except (EOFError, OSError):
        return
    finally:
        signal.signal(signal.SIGTERM, signal.SIG_IGN)


def _leave(number: int, frame: FrameType | None) -> None:
    """End on request, once: another request, or a late one, must not break into the way out."""
    signal.signal(signal.SIGTERM, signal.SIG_IGN)
    sys.exit(128 + number)


@contextmanager
def _interrupts_held() -> Iterator[None]:
    """Put off the keyboard's interrupt; a process that is started meanwhile never hears it."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    # Started with the first process, the tracker would let interrupts through to it.
    resource_tracker.ensure_running()
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
