"""The shape of every benchmark: rows of one table, and the clock that fills them.

A benchmark is a module `bench_<name>.py` with one function, `rows(extent)`, that measures and gives
`Row`s; `run.py` finds the modules and prints the table. Times of a machine drift, so ours and the
library's are taken in turns in one run (`in_turns`) and what counts is their ratio. Every figure is
the median of several rounds. Times are processor time: other work on the machine does not count.
"""

from __future__ import annotations

import gc
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from inspect import signature
from resource import RUSAGE_CHILDREN, getrusage
from statistics import median
from typing import Final

#: A clock in seconds.
Clock = Callable[[], float]


@dataclass(frozen=True, slots=True)
class Extent:
    """How much is measured: rounds of each work, how many tunes, and bars of the longest tune."""

    rounds: int
    tunes: int
    bars: int


FULL: Final = Extent(rounds=15, tunes=1000, bars=8192)
TINY: Final = Extent(rounds=1, tunes=2, bars=32)


@dataclass(frozen=True, slots=True)
class Target:
    """What a figure has to reach: at least `bound`, or at most."""

    bound: float
    at_most: bool = False

    def met_by(self, figure: float) -> bool:
        """Whether the figure reaches it."""
        return figure <= self.bound if self.at_most else figure >= self.bound

    def __str__(self) -> str:
        return f"{'≤' if self.at_most else '≥'} {self.bound:,g}"


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the table: a work, how long we take, how long the library takes.

    `ours` and `theirs` are in `unit`. Against a library the figure that counts is a ratio: how many
    times faster we are when the target is a least one, how many times as long we take when it is
    a greatest one. Without a library (`theirs` None) it is `ours` itself.
    """

    work: str
    ours: float
    unit: str
    against: str = ""
    theirs: float | None = None
    target: Target | None = None

    @property
    def figure(self) -> float:
        """The figure that the target speaks of."""
        if self.theirs is None:
            return self.ours
        if self.target is not None and self.target.at_most:
            return self.ours / self.theirs
        return self.theirs / self.ours

    @property
    def met(self) -> bool | None:
        """Whether the target is reached; None where there is none."""
        return None if self.target is None else self.target.met_by(self.figure)


def at_least(bound: float) -> Target:
    """A target from below: times faster than the library, or so many a second."""
    return Target(bound)


def at_most(bound: float) -> Target:
    """A target from above: times as long as the library, or so many megabytes."""
    return Target(bound, at_most=True)


def in_turns(
    rounds: int, *works: Callable[[], object], clock: Clock = time.process_time
) -> tuple[float, ...]:
    """The median time of each work in milliseconds; each is done once a round, in turns.

    What is there before (music21 alone has made a million objects) is not searched for rubbish
    while either side is timed.
    """
    gc.collect()
    gc.freeze()
    taken: list[list[float]] = [[] for _ in works]
    for _ in range(rounds):
        for work, times in zip(works, taken, strict=True):
            times.append(milliseconds(work, clock))
    gc.unfreeze()
    return tuple(median(times) for times in taken)


def milliseconds(work: Callable[[], object], clock: Clock = time.process_time) -> float:
    """How long one call takes."""
    start = clock()
    work()
    return 1000 * (clock() - start)


def commands_clock() -> float:
    """The processor time of all commands that this process has run, in seconds."""
    used = getrusage(RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def forget(package: str) -> Callable[[], None]:
    """What empties the caches of a package of ours, as in a command that has just started.

    What is worked out once for all, by functions that take nothing, stays.
    """
    modules = [module for name, module in sys.modules.items() if name.startswith(package)]
    values = {id(value): value for module in modules for value in vars(module).values()}
    caches = [
        value.cache_clear
        for value in values.values()
        if hasattr(value, "cache_clear") and signature(value).parameters
    ]
    assert caches

    def empty() -> None:
        for clear in caches:
            clear()

    return empty


HEAD: Final = """\
| work | ours | library | its figure | ratio | target | met |
|---|--:|---|--:|--:|--:|---|"""


def line(row: Row) -> str:
    """The row as a line of a Markdown table under `HEAD`."""
    theirs = "" if row.theirs is None else f"{_number(row.theirs)} {row.unit}"
    ratio = "" if row.theirs is None else f"{_number(row.figure)} ×"
    met = {True: "yes", False: "**no**", None: ""}[row.met]
    target = "" if row.target is None else f"{row.target}{' ×' if row.theirs is not None else ''}"
    ours = f"{_number(row.ours)} {row.unit}"
    return f"| {row.work} | {ours} | {row.against} | {theirs} | {ratio} | {target} | {met} |"


def _number(value: float) -> str:
    """Three figures, none of them after the point from a hundred on."""
    return f"{value:,.0f}" if abs(value) >= 100 else f"{value:.3g}"
