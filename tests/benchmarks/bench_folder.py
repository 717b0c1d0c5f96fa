"""A folder of invented tunes made into PDF charts, by one process and by two.

Whole commands are timed, their start included. With few tunes (as a test has) the start is all that
is seen.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from benchmarks.rows import Extent, Row, at_least, milliseconds
from support.tunes import tune_text

MIDNECK = str(Path(sys.executable).with_name("midneck"))


def rows(extent: Extent) -> list[Row]:
    """Tunes a second with one process and with two."""
    with TemporaryDirectory() as name:
        folder = Path(name)
        halves = [_tunes(folder / f"half-{part}", part, extent.tunes) for part in (0, 1)]
        one = _rate(extent.tunes, folder / "one", [halves])
        two = _rate(extent.tunes, folder / "two", [[half] for half in halves])
    work = f"{extent.tunes:,} tunes to PDF"
    return [
        Row(f"{work}, one process", one, "tunes/s"),
        Row(f"{work}, two processes", two, "tunes/s", target=at_least(60)),
    ]


def _tunes(folder: Path, part: int, count: int) -> Path:
    """Every other tune of so many, in a folder."""
    folder.mkdir()
    for seed in range(part, count, 2):
        (folder / f"study-{seed:04}.txt").write_text(tune_text(seed))
    return folder


def _rate(count: int, target: Path, shares: list[list[Path]]) -> float:
    """Tunes a second when each share of the folders has a process of its own."""

    def work() -> None:
        started = [
            subprocess.Popen([MIDNECK, "chart", *map(str, share), "-q", "-o", f"{target}/"])
            for share in shares
        ]
        for process in started:
            if process.wait() != 0:
                raise RuntimeError(f"{process.args} left with {process.returncode}")

    taken = milliseconds(work)
    written = len(list(target.glob("*.pdf")))
    if written != count:
        raise RuntimeError(f"{written} charts of {count} tunes")
    return 1000 * count / taken
