"""A folder of invented tunes made into PDF charts, by one process and by two.

Whole commands are timed, their start included. With few tunes (as a test has) the start is all that
is seen. The processor time of a tune tells what it costs where other work goes on beside.
"""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path
from tempfile import TemporaryDirectory

from benchmarks.rows import Extent, Row, at_least, commands_clock, milliseconds
from support.tunes import tune_text

MIDNECK = str(Path(sys.executable).with_name("midneck"))


def rows(extent: Extent) -> list[Row]:
    """Tunes a second with one process and with two, and the processor time of a tune."""
    with TemporaryDirectory() as name:
        folder = Path(name, "tunes")
        folder.mkdir()
        for seed in range(extent.tunes):
            (folder / f"study-{seed:04}.txt").write_text(tune_text(seed))
        before = commands_clock()
        one = _rate(folder, jobs=1)
        a_tune = 1000 * (commands_clock() - before) / extent.tunes
        two = _rate(folder, jobs=2)
    work = f"{extent.tunes:,} tunes to PDF"
    return [
        Row(f"{work}, `--jobs 1`", one, "tunes/s"),
        Row(f"{work}, `--jobs 2`", two, "tunes/s", target=at_least(60)),
        Row("processor time of a tune to PDF", a_tune, "ms"),
    ]


def _rate(folder: Path, jobs: int) -> float:
    """Tunes a second with so many processes."""
    target, count = folder.with_name(f"by-{jobs}"), len(list(folder.iterdir()))
    command = [MIDNECK, "chart", str(folder), "-q", "-o", f"{target}/", "--jobs", str(jobs)]
    taken = milliseconds(
        lambda: subprocess.run(command, check=True, capture_output=True), time.perf_counter
    )
    written = len(list(target.glob("*.pdf")))
    if written != count:
        raise RuntimeError(f"{written} charts of {count} tunes")
    return 1000 * count / taken
