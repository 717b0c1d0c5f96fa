"""Work on many sheets by the workers of a dask.distributed cluster (extra `cluster`).

Takes the address of a scheduler, gives a `Runner`. Sheets are read where the command runs and sent
in batches through the executor of a `Client`, a few batches ahead of the workers, so that memory
does not grow with the number of sheets. A worker makes the results of a batch and, where it sees
the folders of the results, writes them, each file whole; otherwise it sends them back and they are
written here. It finds out by probes: files with a token that this process writes into the folders.

The scheduler gives the batch of a lost worker to another one. A batch that loses one worker after
the other is tried sheet by sheet at the end, so that only the cause fails. Workers with another
Midneck, or with other versions of the libraries that decide on bytes, are refused.
"""

from __future__ import annotations

import contextlib
import gc
import logging
import os
import re
import secrets
import zlib
from collections import deque
from collections.abc import Generator, Iterable, Iterator, Sequence
from functools import cache, partial
from hashlib import sha256
from importlib import import_module
from importlib.metadata import version
from itertools import islice
from pathlib import Path
from queue import Empty, SimpleQueue
from threading import Lock
from time import monotonic
from typing import TYPE_CHECKING, Any, Final

from ..grammar.errors import MidneckError
from ..grammar.frozen import frozen
from .batch import NEW_OBJECTS, Guard, JobResult, Runner, Steps, in_order, run_step
from .version import __version__

if TYPE_CHECKING:
    from concurrent.futures import Executor, Future

    from distributed import Client

#: The most sheets of a batch: its messages cost less than a hundredth of its work.
MOST_IN_BATCH: Final = 10
#: Batches that are sent ahead for each thread of the workers.
BATCHES_AHEAD: Final = 3
#: How long a scheduler may take to answer, and a lost worker to be replaced, in seconds.
PATIENCE_S: Final = 15.0
#: How long to wait for a result before the workers are counted, in seconds.
_COUNT_S: Final = 2.0
_ADDRESS: Final = re.compile(r"(tcp|tls|ws|wss)://[^\s/]+:[0-9]{1,5}")
#: The libraries that decide on the bytes of a result.
_LIBRARIES: Final = ("lark", "mido", "numpy", "pillow", "pymupdf-fonts", "pypdfium2", "reportlab")
#: The files of the packages that decide on a result.
_SOURCES: Final = ("*.py", "*.lark", "*.tables", "*.json")
_GONE: Final = "the scheduler has gone away: start it, and run the command again with --update"
#: A batch changes the working folder and captures what is printed, which a process has once.
_TURN: Final = Lock()


class ClusterError(MidneckError, OSError):
    """A cluster cannot be used or has gone away; the message says what to do."""


def on_cluster(steps: Steps, address: str, folders: Iterable[Path]) -> Runner:
    """A runner on the workers of the scheduler at `address`, like `tcp://10.0.0.5:8786`.

    `folders` are those that results are written to. The runner raises ClusterError when the extra
    is missing, nobody answers, or a worker has another version.
    """
    if _ADDRESS.fullmatch(address) is None:
        raise ClusterError(f"{address!r} is no address of a scheduler: write tcp://HOST:PORT")
    places = sorted(set(folders))

    def run(names: Sequence[str], guard: Guard) -> Generator[JobResult, None, None]:
        with _client(address) as client, probes_in(places) as probes:
            yield from in_order(_Run(client, steps, guard, probes).results(names))

    return run


@contextlib.contextmanager
def _client(address: str) -> Iterator[Client]:
    """A client of the scheduler whose workers have this version. Raises ClusterError."""
    try:
        from distributed import Client
    except ImportError as error:
        raise ClusterError(
            "a scheduler needs the extra cluster: pip install 'midneck[cluster]'"
        ) from error
    with _unlogged():
        try:
            client = Client(address, timeout=PATIENCE_S, set_as_default=False)
        except (OSError, ValueError) as error:
            raise ClusterError(
                f"no scheduler answers at {address} within {PATIENCE_S:.0f} s: "
                "start one with  dask scheduler"
            ) from error
        try:
            _check_workers(client, address)
            yield client
        finally:
            with contextlib.suppress(OSError):
                client.close(timeout=_COUNT_S)


@contextlib.contextmanager
def _unlogged() -> Iterator[None]:
    """Keep the client from logging tracebacks of a lost scheduler, which ClusterError tells of."""
    logger = logging.getLogger("distributed.client")
    before = logger.level
    logger.setLevel(logging.CRITICAL + 1)
    try:
        yield
    finally:
        logger.setLevel(before)


def _check_workers(client: Client, address: str) -> None:
    """Check that there are workers, all with this version. Raises ClusterError."""
    try:
        client.wait_for_workers(1, timeout=PATIENCE_S)
    except OSError as error:
        raise ClusterError(
            f"the scheduler at {address} has no workers: start some with  dask worker {address}"
        ) from error
    try:
        programs = client.run(program)
    except Exception as error:  # what the import of a module raises at a worker
        raise ClusterError(
            f"a worker of {address} does not run Midneck {__version__} ({error}): install it there"
        ) from error
    for worker, found in sorted(programs.items()):
        check_program(worker, found, program())


def check_program(worker: str, found: dict[str, str], wanted: dict[str, str]) -> None:
    """Check that a worker makes the same bytes as the client. Raises ClusterError."""
    for name in wanted:
        if found.get(name) != wanted[name]:
            raise ClusterError(
                f"the worker {worker} has {name} {found.get(name)}, here is {wanted[name]}: "
                "install the same versions, so that the results are the same"
            )


@cache
def program() -> dict[str, str]:
    """What decides on the bytes of a result: versions, and a hash of Midneck's own files."""
    digest = sha256()
    for package in ("grammar", "converter", "render"):
        folder = Path(import_module(f"midneck.{package}").__path__[0])
        for path in sorted(path for kind in _SOURCES for path in folder.rglob(kind)):
            digest.update(path.relative_to(folder).as_posix().encode() + b"\0")
            digest.update(path.read_bytes())
    ours = {"Midneck": f"{__version__} (files {digest.hexdigest()[:8]})"}
    return ours | {name: version(name) for name in _LIBRARIES} | {"zlib": zlib.ZLIB_RUNTIME_VERSION}


@frozen
class Probes:
    """Files that a worker reads to find out whether it sees the folders of the results.

    `home` is the working folder, from which the names of sheets and results are seen.
    """

    home: str
    token: str
    paths: tuple[str, ...]

    def are_seen(self) -> bool:
        """Whether this process sees all of them and may write beside them."""
        return all(self._is_seen(Path(path)) for path in self.paths)

    def _is_seen(self, path: Path) -> bool:
        try:
            return path.read_text("ascii") == self.token and os.access(path.parent, os.W_OK)
        except OSError:
            return False


@contextlib.contextmanager
def probes_in(folders: Sequence[Path]) -> Iterator[Probes]:
    """Probes in the folders, or above those that are still missing, until the context is left."""
    token = secrets.token_hex(16)
    paths = [place / f".midneck-probe-{token}" for place in {_existing(one) for one in folders}]
    try:
        for path in paths:
            path.write_text(token, "ascii")
        yield Probes(str(Path.cwd()), token, tuple(map(str, paths)))
    finally:
        for path in paths:
            path.unlink(missing_ok=True)


def _existing(folder: Path) -> Path:
    """The folder, or the nearest one above it that exists, as a full path."""
    full = folder.absolute()
    return next((place for place in (full, *full.parents) if place.is_dir()), full)


#: The number, the name and the content of a sheet.
_Sheet = tuple[int, str, Any]


@frozen
class _Batch:
    """The sheets of a batch with their numbers, and all that a worker needs for them.

    A batch is the `last` try of its sheet when no other sheet is at the workers.
    """

    sheets: tuple[_Sheet, ...]
    steps: Steps
    guard: Guard
    probes: Probes
    program: dict[str, str]
    last: bool


@frozen
class _Done:
    """The result of a sheet at a worker; `made` is what the client must finish, or None."""

    number: int
    result: JobResult
    made: Any


def work_on(batch: _Batch) -> list[_Done]:
    """Work on a batch in this worker. Raises ClusterError when its program is another one.

    The working folder and the captured output belong to the process, so threads take turns.
    """
    from distributed import get_worker

    check_program(get_worker().address, program(), batch.program)
    with _TURN, _few_collections():
        seen = batch.probes.are_seen()
        with contextlib.chdir(batch.probes.home) if seen else contextlib.nullcontext():
            return [_work(*sheet, batch, seen) for sheet in batch.sheets]


def _work(number: int, name: str, source: Any, batch: _Batch, seen: bool) -> _Done:
    """Make the result of a sheet, and finish it where its folder is seen."""
    result, made = run_step(name, batch.guard, lambda: batch.steps.make(name, source))
    if made is None or not seen:
        return _Done(number, result, made)
    later, _ = run_step(name, batch.guard, lambda: batch.steps.finish(name, made))
    return _Done(number, result.followed_by(later), None)


@contextlib.contextmanager
def _few_collections() -> Iterator[None]:
    """Search for garbage as seldom as the command line does."""
    before = gc.get_threshold()
    gc.set_threshold(NEW_OBJECTS)
    try:
        yield
    finally:
        gc.set_threshold(*before)


class _Run:
    """The batches that are at the workers, and those still to be sent."""

    def __init__(self, client: Client, steps: Steps, guard: Guard, probes: Probes) -> None:
        self._client = client
        self._steps = steps
        self._guard = guard
        self._probes = probes
        self._executor: Executor = client.get_executor(pure=False)
        #: The batches of the futures that are not done, and the futures that are.
        self._sent: dict[Future[list[_Done]], _Batch] = {}
        self._done: SimpleQueue[Future[list[_Done]]] = SimpleQueue()
        #: The results of reading the sheets that are sent.
        self._fetched: dict[int, JobResult] = {}
        #: The sheets of batches that lost one worker after the other.
        self._suspects: deque[_Sheet] = deque()
        self._threads = 0
        self._counted_s = 0.0
        self._seen_s = monotonic()

    def results(self, names: Sequence[str]) -> Iterator[tuple[int, JobResult]]:
        """The numbers and results of the sheets, in the order of completion.

        Leaving it early cancels what has not begun. Raises ClusterError.
        """
        left = enumerate(names)
        self._count()
        size = max(1, min(MOST_IN_BATCH, len(names) // (BATCHES_AHEAD * max(1, self._threads))))
        try:
            while True:
                while len(self._sent) < BATCHES_AHEAD * max(1, self._threads) and (
                    taken := list(islice(left, size))
                ):
                    yield from self._send(taken)
                if not self._sent and not self._suspects:
                    return
                if not self._sent:
                    self._submit((self._suspects.popleft(),), last=True)
                yield from self._next_results()
        finally:
            self._executor.shutdown(wait=False)

    def _send(self, taken: list[tuple[int, str]]) -> Iterator[tuple[int, JobResult]]:
        """Read sheets and send them; gives the results of those that need no work any more."""
        sheets = []
        for number, name in taken:
            result, source = run_step(name, self._guard, partial(self._steps.fetch, name))
            if source is None:
                yield number, result
            else:
                self._fetched[number] = result
                sheets.append((number, name, source))
        if sheets:
            self._submit(tuple(sheets))

    def _submit(self, sheets: tuple[_Sheet, ...], last: bool = False) -> None:
        batch = _Batch(sheets, self._steps, self._guard, self._probes, program(), last)
        future = self._executor.submit(work_on, batch)
        self._sent[future] = batch
        future.add_done_callback(self._done.put)

    def _next_results(self) -> Iterator[tuple[int, JobResult]]:
        """The results of the next batch that is done; none if that takes long."""
        if monotonic() - self._counted_s > _COUNT_S:
            self._count()
        try:
            future = self._done.get(timeout=_COUNT_S)
        except Empty:
            return
        yield from self._results_of(future, self._sent.pop(future))

    def _results_of(
        self, future: Future[list[_Done]], batch: _Batch
    ) -> Iterator[tuple[int, JobResult]]:
        """The results of a batch that is done; one that lost its workers is tried again at the end.

        Each of its sheets is then alone at the workers, so that no other one is blamed.
        """
        from distributed import KilledWorker

        if future.cancelled():
            raise ClusterError(_GONE)
        error = future.exception()
        if error is None:
            for done in future.result():
                yield done.number, self._finished(done)
        elif not isinstance(error, KilledWorker):
            raise error
        elif not batch.last:
            self._suspects.extend(batch.sheets)
        else:
            [(number, name, _)] = batch.sheets
            told = f"{name}: every worker that tried it was lost; try it alone\n"
            yield number, self._fetched.pop(number).followed_by(JobResult(name, b"", told, False))

    def _finished(self, done: _Done) -> JobResult:
        """The whole result of a sheet, which is finished here if the worker could not."""
        result = self._fetched.pop(done.number).followed_by(done.result)
        if done.made is None:
            return result
        name = done.result.name
        later, _ = run_step(name, self._guard, lambda: self._steps.finish(name, done.made))
        return result.followed_by(later)

    def _count(self) -> None:
        """Count the threads of the workers. Raises ClusterError when there are none for long."""
        try:
            self._threads = sum(self._client.nthreads().values())
        except OSError as error:
            raise ClusterError(_GONE) from error
        self._counted_s = monotonic()
        if self._threads:
            self._seen_s = self._counted_s
        elif self._counted_s - self._seen_s > PATIENCE_S:
            raise ClusterError(
                "all workers are lost: start some, and run the command again with --update"
            )
