"""The table of benchmarks: `python tests/benchmarks/run.py` for all, with names for some.

    python tests/benchmarks/run.py                 every bench_*.py beside this file
    python tests/benchmarks/run.py chords page     bench_chords.py and bench_page.py

Prints Markdown: the machine, then a line for each figure. Needs the libraries of the `test` extra.
"""

from __future__ import annotations

import os
import platform
import sys
import warnings
from collections.abc import Iterator
from importlib import import_module
from importlib.metadata import version
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from benchmarks.rows import FULL, HEAD, Extent, Row, line

#: Both sides of a row use one thread for their arithmetic.
os.environ["OPENBLAS_NUM_THREADS"] = "1"

HERE = Path(__file__).parent
LIBRARIES = ("lark", "reportlab", "numpy", "click", "music21", "networkx", "scipy")


def names() -> list[str]:
    """The benchmarks that there are."""
    return sorted(path.stem.removeprefix("bench_") for path in HERE.glob("bench_*.py"))


def measured(name: str, extent: Extent) -> list[Row]:
    """The rows of one benchmark."""
    rows: list[Row] = import_module(f"benchmarks.bench_{name}").rows(extent)
    return rows


def machine() -> str:
    """What the figures were taken on, in a sentence or two."""
    processor = _processor() or platform.processor() or platform.machine()
    libraries = ", ".join(f"{name} {version(name)}" for name in LIBRARIES)
    return f"{processor}, {os.cpu_count()} cores; Python {platform.python_version()}; {libraries}."


def _processor() -> str:
    info = Path("/proc/cpuinfo")
    lines = info.read_text().splitlines() if info.exists() else []
    return next((line.split(": ")[1] for line in lines if line.startswith("model name")), "")


def chosen(arguments: list[str]) -> Iterator[str]:
    """The benchmarks that were asked for, all when none was named."""
    there = names()
    for name in arguments or there:
        if name not in there:
            raise SystemExit(f"there is no benchmark {name!r}; there are: {', '.join(there)}")
        yield name


def main() -> None:
    """Measure what was asked for and print the table."""
    warnings.simplefilter("ignore")
    asked = list(chosen(sys.argv[1:]))
    print(f"{machine()}\n\n{HEAD}", flush=True)
    for name in asked:
        print("\n".join(line(row) for row in measured(name, FULL)), flush=True)


if __name__ == "__main__":
    main()
