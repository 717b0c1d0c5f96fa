"""Judge a mutant: run the tests that touch its line, quick ones first, until one of them fails.

Tests of the quick tier come first; what they do not notice goes on to slow ones, those that run the
line by the trace and those that are named for its module because the trace cannot see them.
Each mutant has a process of its own, forked from one that has loaded the other libraries, with a
limit of its processor time and of its memory. A test that fails is run again on the package as it
is: a mutant is killed by a test that passes there.
"""

from __future__ import annotations

import contextlib
import gc
import os
import re
import resource
import signal
import sys
import time
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from itertools import accumulate, chain, zip_longest
from pathlib import Path
from typing import Final, Literal

import pytest
from mutation.operators import Mutant, mutated
from mutation.package import ROOT, use_copy
from mutation.touched import Touched, compares_whole, function_of, unseen_by_trace

#: "killed" by a quick test, "slowly" by a slow one alone.
Verdict = Literal["killed", "slowly", "survived", "untouched"]

#: Tests of the first round and of the first two: few come first, for most mutants are killed by one
#: of them, and each further test file takes time to load.
FIRST, SECOND = 8, 40
#: Seconds of the processor that the last round may take by the trace.
MOST_SECONDS: Final = 15.0
#: The same for slow tests, by their processor time.
MOST_SLOW_SECONDS: Final = 40.0
#: What a test file is taken to take that starts processes or a browser.
UNSEEN_SECONDS: Final = 20.0
#: Processor time of a round: so many times what the trace took, and a start.
TIMES, START_SECONDS = 5.0, 30.0
#: What a test file that the trace does not know is taken to take.
NEW_SECONDS: Final = 5.0
MEMORY_BYTES: Final = 4 << 30
#: How pytest is run in each process.
OPTIONS: Final = ("-n", "0", "-q", "-p", "no:cacheprovider", "--no-header", "--tb=no")
#: What tests load from outside, loaded once before processes are forked.
LIBRARIES: Final = (
    "asyncio", "click", "execnet", "fontTools.ttLib", "jsonschema", "lark", "mido", "mir_eval",
    "music21", "networkx", "numpy", "PIL.Image", "pypdf", "pypdfium2",
    "reportlab.pdfgen.canvas", "scipy.sparse.csgraph", "sortedcontainers", "xml.etree.ElementTree",
    "xmlschema",
)  # fmt: skip


def load_libraries() -> None:
    """Load what tests need besides the package itself."""
    for name in LIBRARIES:
        import_module(name)
    gc.freeze()


def compile_tests(site: Path) -> None:
    """Collect all tests once, so that their compiled modules are on disk.

    A process that judges writes none, and would compile each test file again.
    """
    child = os.fork()
    if child == 0:
        _silence()
        use_copy(site)
        sys.dont_write_bytecode = False
        os._exit(int(pytest.main([*OPTIONS, "--collect-only", "tests"])))
    os.waitpid(child, 0)


def tests_for(mutant: Mutant, module: Path, touched: Touched) -> list[str]:
    """The tests that run the line of a mutant, in the order in which they judge it.

    A line that runs only at import, or once in a process and never again, is judged by the tests
    of its module, a module that holds nothing but such lines by the tests of those that import it,
    and both by the tests that compare something whole.
    """
    lines = touched.tests_of(module)
    at = next((tests for line, tests in _upwards(lines, mutant.line) if tests), [])
    every = _every(lines) or sorted(
        {test for one in _users(module) for test in _every(touched.tests_of(one))}
    )
    whole = [test for test in touched.seconds if compares_whole(test)]
    own = _in_turns(at, touched.seconds)
    if len(at) > 3 and mutant.function != "module":
        return own
    return [*dict.fromkeys([*own, *_in_turns([*every, *whole], touched.seconds)])]


def _every(lines: dict[int, list[str]]) -> list[str]:
    return sorted(set(chain.from_iterable(lines.values())))


@cache
def _users(module: Path) -> list[Path]:
    """The modules of the package that import a module by its name."""
    top = next(each for each in module.parents if each.name == "midneck")
    named = re.compile(rf"^\s*from \.[.\w]*\b{module.stem} import", re.MULTILINE)
    return [each for each in sorted(top.rglob("*.py")) if named.search(each.read_text("utf-8"))]


def _upwards(lines: dict[int, list[str]], line: int) -> Iterator[tuple[int, list[str]]]:
    """A line and those above it that belong to the same statement as far as the trace knows."""
    for each in range(line, max(line - 12, 0), -1):
        if each in lines:
            yield each, lines[each]
            return


def _in_turns(tests: Iterable[str], seconds: dict[str, float]) -> list[str]:
    """Quick tests first, one case of each test function before the second of any.

    Behind the first round come the tests that compare something whole: they notice most.
    """
    cases: dict[str, list[str]] = defaultdict(list)
    for test in sorted(set(tests), key=lambda each: (seconds[each], each)):
        cases[function_of(test)].append(test)
    rounds = zip_longest(*cases.values())
    order = [test for turn in rounds for test in turn if test is not None]
    whole = [test for test in order[FIRST:] if compares_whole(test)]
    return [*dict.fromkeys([*order[:FIRST], *whole, *order])]


@cache
def _imports(file: str, stem: str) -> bool:
    """Whether a test file imports from a module of the package."""
    pattern = rf"^\s*from midneck\.[.\w]*\b{stem} import"
    return re.search(pattern, (ROOT / file).read_text("utf-8"), re.MULTILINE) is not None


def _with_others(tests: list[str], module: Path, touched: Touched) -> list[tuple[str, float]]:
    """Tests and their seconds, with the cases of their functions that were not traced.

    Behind the first round come those of the files that import from the module.
    """
    known = [(test, touched.seconds[test]) for test in tests]
    costs = {function_of(test): cost for test, cost in known}
    others = [(test, cost) for name, cost in costs.items() for test in touched.others.get(name, ())]
    near = [pair for pair in known + others if _imports(pair[0].partition("::")[0], module.stem)]
    return [*dict.fromkeys([*known[:FIRST], *near, *known, *others])]


def judge(mutant: Mutant, module: Path, site: Path, touched: Touched, new: list[str]) -> Verdict:
    """Whether a test notices a mutant; `new` are test files that the trace does not know.

    Raises RuntimeError for a quick test that fails without the mutant too; a slow one may, on a
    machine with other work, and is left out.
    """
    quick, slow = (tests_for(mutant, module, touched.tier(each)) for each in (False, True))
    unseen = unseen_by_trace(mutant.module)
    if not quick and not slow and not new and not unseen:
        return "untouched"
    tiers: tuple[tuple[Verdict, Iterator[_Round]], ...] = (
        ("killed", _quick_rounds(_with_others(quick, module, touched), new)),
        ("slowly", _slow_rounds(_with_others(slow, module, touched), [*unseen, *new])),
    )
    for verdict, one in ((verdict, one) for verdict, rounds in tiers for one in rounds):
        with _put_into(module, mutant):
            failed = _failing(one, site)
        if failed in TROUBLE or (failed and _passes(failed, site)):
            return verdict
        if failed and one.tier == "quick":
            raise RuntimeError(f"{failed} fails without a mutant: trace the tests again")
    return "survived"


@contextlib.contextmanager
def _put_into(module: Path, mutant: Mutant) -> Iterator[None]:
    """Let a module have a mutant in it for a while."""
    source = module.read_text(encoding="utf-8")
    module.write_text(mutated(source, mutant), encoding="utf-8")
    for cached in (module.parent / "__pycache__").glob(f"{module.stem}.*.pyc"):
        cached.unlink()
    try:
        yield
    finally:
        module.write_text(source, encoding="utf-8")


@cache
def _passes(test: str, site: Path) -> bool:
    """Whether a test passes on the package as it is."""
    return not _failing(_Round((test,), UNSEEN_SECONDS, free=True), site)


@dataclass(frozen=True, slots=True)
class _Round:
    """Tests that run in one process, and the seconds that they take by the trace.

    A name of a file stands for all its tests of a tier. Tests that are `free` start processes or a
    browser, which takes any room of addresses.
    """

    tests: tuple[str, ...]
    seconds: float
    tier: Literal["quick", "slow", ""] = ""
    free: bool = False


def _quick_rounds(tests: list[tuple[str, float]], new: list[str]) -> Iterator[_Round]:
    """A few tests, then whole files that are new, then the others as far as time allows."""
    rest = _within(tests[SECOND:], MOST_SECONDS)
    files = [(name, NEW_SECONDS) for name in new]
    for part in (tests[:FIRST], tests[FIRST:SECOND], files, rest):
        if part:
            yield _Round(*_named(part), tier="quick")


def _slow_rounds(tests: list[tuple[str, float]], files: list[str]) -> Iterator[_Round]:
    """A few tests that are cheap, then others as far as time allows, then each file of a list."""
    known = _within(tests, MOST_SLOW_SECONDS)
    for part in (known[:FIRST], known[FIRST:]):
        if part:
            yield _Round(*_named(part), tier="slow")
    for name in files:
        yield _Round((name,), UNSEEN_SECONDS, tier="slow", free=True)


def _named(tests: list[tuple[str, float]]) -> tuple[tuple[str, ...], float]:
    return tuple(test for test, _ in tests), sum(cost for _, cost in tests)


def _within(tests: list[tuple[str, float]], most: float) -> list[tuple[str, float]]:
    """The first tests, as many as take so many seconds."""
    sums = accumulate(cost for _, cost in tests)
    return [pair for pair, spent in zip(tests, sums, strict=True) if spent <= most]


class _Chosen:
    """A pytest plugin that runs these tests alone, in this order; names of files stand for all.

    It writes the name of the first that fails into a pipe.
    """

    def __init__(self, tests: Sequence[str], pipe: int) -> None:
        self.order = {test: place for place, test in enumerate(tests)}
        self.pipe = pipe

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        def place(item: pytest.Item) -> int | None:
            return self.order.get(item.nodeid, self.order.get(item.nodeid.partition("::")[0]))

        items[:] = sorted(
            (item for item in items if place(item) is not None), key=lambda item: place(item) or 0
        )

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            os.write(self.pipe, f"{report.nodeid}\n".encode())


#: How a round ends without a failed test: it took too long, or its modules cannot be loaded.
TROUBLE: Final = ("time", "collection")


def _failing(tests: _Round, site: Path) -> str:
    """The first of the tests that fails, or what else went wrong (`TROUBLE`); "" when all pass."""
    limit = START_SECONDS + TIMES * tests.seconds
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os._exit(_run(tests, site, int(limit), writing))
    os.close(writing)
    status = _waited(child, 4 * limit)
    with os.fdopen(reading, encoding="utf-8") as told:
        failed = told.read().partition("\n")[0]
    if status == 0:
        return ""
    if failed:
        return failed
    return "time" if status is None or os.WIFSIGNALED(status) else "collection"


def _run(tests: _Round, site: Path, seconds: int, pipe: int) -> int:
    """The exit status of pytest in a process with limits; 0 only when all tests pass."""
    os.setsid()
    resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds))
    if not tests.free:
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    _silence()
    use_copy(site)
    files = sorted({test.partition("::")[0] for test in tests.tests})
    options = [*OPTIONS, "-x", *(["-m", tests.tier] if tests.tier else [])]
    try:
        status = int(pytest.main([*options, *files], plugins=[_Chosen(tests.tests, pipe)]))
    except BaseException:
        return 1
    # A file may have no tests of a tier.
    empty = status == pytest.ExitCode.NO_TESTS_COLLECTED and "::" not in "".join(tests.tests)
    return 0 if empty else status


def _silence() -> None:
    """Let this process print nothing."""
    silent = os.open(os.devnull, os.O_WRONLY)
    os.dup2(silent, 1)
    os.dup2(silent, 2)


def _waited(child: int, seconds: float) -> int | None:
    """The status that a process ends with; None when it has to be ended after so many seconds."""
    stop = time.monotonic() + seconds
    status: int | None = None
    while status is None and time.monotonic() < stop:
        ended, found = os.waitpid(child, os.WNOHANG)
        if ended:
            status = found
        else:
            time.sleep(0.02)
    with contextlib.suppress(ProcessLookupError):
        os.killpg(child, signal.SIGKILL)
    if status is None:
        os.waitpid(child, 0)
    return status
