"""Which tests run which line of the package: traced once, kept in the workplace."""

from __future__ import annotations

import hashlib
import json
import time
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final

import coverage
import pytest
from mutation.package import ROOT, copy_package, use_copy

#: What is left out of the trace: a browser, processes (which are not traced) and what is slowest.
LEFT_OUT = (
    "tests/desk/test_browser_*.py", "tests/render/test_fault*.py",
    "tests/render/test_folder_interrupt.py", "tests/render/test_folder_jobs.py",
    "tests/render/test_loading.py", "tests/test_benchmarks.py",
)  # fmt: skip


_DESK: Final = "render/desk/"
#: Slow tests of code that runs in other processes, where no trace sees it: the beginning of
#: a module's name, and the test files that judge its mutants.
UNSEEN: Final[dict[str, tuple[str, ...]]] = {
    "render/processes.py": (
        "tests/render/test_folder_jobs.py", "tests/render/test_folder_interrupt.py",
    ),
    "render/batch.py": ("tests/render/test_folder_jobs.py",),
    "render/commands/interrupts.py": (
        "tests/render/test_folder_interrupt.py", "tests/render/test_faults_streams.py",
    ),
    "render/commands/each.py": (
        "tests/render/test_folder_jobs.py", "tests/render/test_faults_streams.py",
        "tests/render/test_faults_output.py",
    ),
    "render/commands/": (
        "tests/render/test_faults_streams.py", "tests/render/test_faults_output.py",
        "tests/render/test_loading.py",
    ),
    "render/commands/desk.py": ("tests/desk/test_server.py", "tests/desk/test_share.py"),
    "render/commands/main.py": (
        "tests/render/test_faults_streams.py", "tests/render/test_folder_interrupt.py",
        "tests/render/test_loading.py",
    ),
    "render/commands/entry.py": (
        "tests/render/test_faults_streams.py", "tests/render/test_folder_interrupt.py",
        "tests/render/test_loading.py",
    ),
    "render/cluster.py": ("tests/render/test_cluster.py",),
    "render/output.py": (
        "tests/render/test_faults_output.py", "tests/render/test_folder_jobs.py",
    ),
    "render/sources.py": ("tests/render/test_faults_streams.py",),
    "render/names.py": ("tests/render/test_folder_jobs.py", "tests/render/test_faults_output.py"),
    "grammar/limits.py": ("tests/render/test_faults_size.py",),
    f"{_DESK}server.py": ("tests/desk/test_server.py", "tests/desk/test_browser_access.py"),
    f"{_DESK}folder.py": ("tests/desk/test_browser_shelf.py", "tests/desk/test_browser_text.py"),
    f"{_DESK}shelf": ("tests/desk/test_browser_shelf.py",),
    f"{_DESK}p": ("tests/desk/test_browser_page.py",),
    f"{_DESK}practice": ("tests/desk/test_browser_practice.py",),
    f"{_DESK}play": ("tests/desk/test_browser_player.py",),
    f"{_DESK}text_places.py": ("tests/desk/test_browser_player.py",),
    f"{_DESK}stand.py": ("tests/desk/test_browser_stand.py",),
    f"{_DESK}share.py": ("tests/desk/test_share.py", "tests/desk/test_browser_stand.py"),
    f"{_DESK}drafts.py": ("tests/desk/test_browser_text.py",),
    f"{_DESK}text_panel.py": ("tests/desk/test_browser_text.py",),
    f"{_DESK}highlight.py": ("tests/desk/test_browser_text.py",),
    _DESK: ("tests/desk/test_browser_page.py", "tests/desk/test_browser_text.py"),
}  # fmt: skip

#: Tests that read the source and do not run it: they judge every mutant.
READ_SOURCE: Final = ("tests/test_encodings.py",)

#: Cases of a test function that are traced; the others are taken to run the same lines.
MOST_CASES = 5
#: The tests that compare something whole: each of their cases runs lines of its own.
WHOLE = ("test_text_frozen.py", "test_page_frozen.py", "test_tree.py")


@dataclass(frozen=True, slots=True)
class Touched:
    """The trace: seconds of each test that passed, and the lines that they ran.

    `others` are the cases of a test function that were not traced, `slow` the functions (or cases)
    that are marked so.
    """

    seconds: dict[str, float]
    others: dict[str, list[str]]
    slow: frozenset[str]
    files: dict[str, str]
    data: coverage.CoverageData

    def tests_of(self, module: Path) -> dict[int, list[str]]:
        """The tests that ran each line of a module; import alone is no test."""
        lines = self.data.contexts_by_lineno(str(module))
        return {
            line: [test for test in tests if test in self.seconds] for line, tests in lines.items()
        }

    def tier(self, slow: bool) -> Touched:
        """The trace of the slow tests alone, or of the quick ones."""
        kept = {
            test: cost
            for test, cost in self.seconds.items()
            if (function_of(test) in self.slow) is slow
        }
        return replace(self, seconds=kept)

    def changed_files(self) -> list[str]:
        """Test files that are new or other than when the tests were traced."""
        return [name for name, mark in fingerprints().items() if self.files.get(name) != mark]


class _Tracer:
    """A pytest plugin: a context of the trace and the seconds of the processor for each test."""

    def __init__(self, trace: coverage.Coverage) -> None:
        self.trace = trace
        self.seconds: dict[str, float] = {}
        self.failed: set[str] = set()
        self.others: dict[str, list[str]] = {}
        self.slow: set[str] = set()

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Keep a few cases of each test function, spread over all of them."""
        functions: dict[str, list[pytest.Item]] = defaultdict(list)
        for item in items:
            functions[function_of(item.nodeid)].append(item)
            if any(item.iter_markers("slow")):
                self.slow.add(function_of(item.nodeid))
        kept = []
        for name, cases in functions.items():
            step = -(-len(cases) // MOST_CASES)
            kept += cases[::step]
            left = set(cases) - set(cases[::step])
            self.others[name] = [item.nodeid for item in cases if item in left]
        items[:] = kept

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[Any]:
        self.trace.switch_context(item.nodeid)
        start = time.process_time()
        result = yield
        self.seconds[item.nodeid] = time.process_time() - start
        self.trace.switch_context("")
        return result

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if not report.passed:
            self.failed.add(report.nodeid)


def trace_tests(workplace: Path, arguments: list[str]) -> None:
    """Run the tests on a copy of the package and store what each of them runs."""
    workplace.mkdir(parents=True, exist_ok=True)
    site, files = copy_package(workplace), fingerprints()
    use_copy(site)
    path = workplace / "lines.coverage"
    path.unlink(missing_ok=True)
    trace = coverage.Coverage(data_file=str(path), source=[str(site)], config_file=False)
    tracer = _Tracer(trace)
    trace.start()
    left_out = [f"--ignore-glob={ROOT / pattern}" for pattern in LEFT_OUT]
    options = ["-n", "0", "-p", "no:cacheprovider", "-q", *left_out]
    pytest.main([*options, *(arguments or ["tests"])], plugins=[tracer])
    trace.stop()
    trace.save()
    passed = {test: cost for test, cost in tracer.seconds.items() if test not in tracer.failed}
    stored = {
        "seconds": passed, "others": tracer.others, "slow": sorted(tracer.slow), "files": files
    }  # fmt: skip
    (workplace / "tests.json").write_text(json.dumps(stored), encoding="utf-8")


def load_trace(workplace: Path) -> Touched:
    """The stored trace. Raises FileNotFoundError when there is none."""
    stored = json.loads((workplace / "tests.json").read_text(encoding="utf-8"))
    data = coverage.CoverageData(str(workplace / "lines.coverage"))
    data.read()
    slow = frozenset(stored["slow"])
    return Touched(stored["seconds"], stored["others"], slow, stored["files"], data)


def unseen_by_trace(module: str) -> tuple[str, ...]:
    """The slow test files that are named for a module; those of the longest beginning."""
    begins = [each for each in UNSEEN if module.startswith(each)]
    return UNSEEN[max(begins, key=len)] if begins else ()


def function_of(test: str) -> str:
    """The name of the function of a test, without its case; with it where cases differ."""
    return test if compares_whole(test) else test.partition("[")[0]


def compares_whole(test: str) -> bool:
    """Whether a test compares something whole with what is frozen."""
    return test.partition("::")[0].endswith(WHOLE)


def fingerprints() -> dict[str, str]:
    """A fingerprint of every test file by its name in the checkout."""
    return {
        path.relative_to(ROOT).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted((ROOT / "tests").rglob("test_*.py"))
    }
