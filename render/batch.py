"""Work on many sheets: what one does, where it is done, and the results in order.

A `Runner` takes the names of sheets and a `Guard`, which turns the errors of a sheet into printed
messages, and gives a `JobResult` for each sheet in the order of the names. There are three: one
sheet after the other (`one_by_one`), processes of this machine (`processes.py`), and the workers of
a cluster (`cluster.py`). What a sheet prints is captured, so that it is printed in that order.

Work that may happen in several places is `Steps`: the sheet is fetched where the command runs, the
result is made anywhere and finished where its folder is seen.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Generator, Iterable, Sequence
from contextlib import redirect_stderr, redirect_stdout
from functools import partial
from typing import Any, Final, Protocol

from ..grammar.frozen import frozen

#: New objects between two searches for garbage. Nearly all that a chart is made of lives until it
#: is written, so that Python's usual 700 find nothing many times over.
NEW_OBJECTS: Final = 100_000

#: Works on the sheet of a name; gives whether it succeeded.
Work = Callable[[str], bool]
#: Calls a step of the work on a sheet and prints its errors; gives whether there was none.
Guard = Callable[[str, Callable[[], None]], bool]


@frozen
class JobResult:
    """The result of one sheet: what it printed (`out` in UTF-8), and whether it succeeded."""

    name: str
    out: bytes
    err: str
    succeeded: bool

    def followed_by(self, later: JobResult) -> JobResult:
        """This result and that of a later step on the same sheet."""
        return JobResult(
            self.name,
            self.out + later.out,
            self.err + later.err,
            self.succeeded and later.succeeded,
        )


#: Works on sheets somewhere; closing the generator ends the work that has not begun.
Runner = Callable[[Sequence[str], Guard], Generator[JobResult, None, None]]


class Steps(Protocol):
    """Work on a sheet in three steps, whose values can be sent to other machines."""

    def fetch(self, name: str) -> Any:
        """Read a sheet where the command runs; None when nothing is left to do with it."""

    def make(self, name: str, source: Any) -> Any:
        """Make the result of a sheet without looking at any file."""

    def finish(self, name: str, made: Any) -> None:
        """Write and print the result of a sheet."""


def run_steps(name: str, steps: Steps) -> None:
    """Do all steps of the work on a sheet in this process."""
    source = steps.fetch(name)
    if source is not None:
        steps.finish(name, steps.make(name, source))


def run_job(name: str, work: Work) -> JobResult:
    """Work on the sheet of a name in this process."""
    raw, err = io.BytesIO(), io.StringIO()
    with (
        io.TextIOWrapper(raw, encoding="utf-8", newline="", errors="surrogateescape") as out,
        redirect_stdout(out),
        redirect_stderr(err),
    ):
        succeeded = work(name)
        out.flush()
        return JobResult(name, raw.getvalue(), err.getvalue(), succeeded)


def run_step(name: str, guard: Guard, step: Callable[[], Any]) -> tuple[JobResult, Any]:
    """The result of a step, and its value; that is None when the step failed."""
    values: list[Any] = []
    result = run_job(name, lambda _: guard(name, lambda: values.append(step())))
    return result, values[0] if values else None


def in_order(results: Iterable[tuple[int, JobResult]]) -> Generator[JobResult, None, None]:
    """Results with the numbers of their sheets, in any order, as results in order."""
    early: dict[int, JobResult] = {}
    turn = 0
    for number, result in results:
        early[number] = result
        while turn in early:
            yield early.pop(turn)
            turn += 1


def one_by_one(work: Callable[[str], None]) -> Runner:
    """A runner that works on one sheet after the other in this process."""
    return partial(_run_here, work=work)


def _run_here(
    names: Sequence[str], guard: Guard, work: Callable[[str], None]
) -> Generator[JobResult, None, None]:
    yield from (run_job(name, partial(guarded, guard=guard, work=work)) for name in names)


def guarded(name: str, guard: Guard, work: Callable[[str], None]) -> bool:
    """Work on a sheet under a guard; gives whether it succeeded."""
    return guard(name, partial(work, name))
