"""A folder of invented tunes made into PDF charts by `--jobs 2` and by clusters of one and two.

Real time of whole commands. Each turn begins a new cluster, whose start is not counted, as a
cluster stands before it is used; its workers then import Midneck as the processes of `--jobs` do.
"""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

from benchmarks.rows import Extent, Row, at_most
from distributed import LocalCluster
from support.tunes import tune_text

MIDNECK = str(Path(sys.executable).with_name("midneck"))
#: The least part of the tunes a second of `--jobs 2` that two workers make.
LEAST_PART = 0.85
#: The most turns: each takes as long as to make all tunes four times.
TURNS = 3


def rows(extent: Extent) -> list[Row]:
    """Real time of a tune with two processes, two workers and one worker, in turns."""
    turns = min(extent.rounds, TURNS)
    with TemporaryDirectory() as name:
        folder = Path(name, "tunes")
        folder.mkdir()
        for seed in range(extent.tunes):
            (folder / f"study-{seed:04}.txt").write_text(tune_text(seed))
        taken = [
            (_seconds(folder, "--jobs", "2"), _on_cluster(folder, 2), _on_cluster(folder, 1))
            for _ in range(turns)
        ]
    jobs, two, one = (median(times) / extent.tunes for times in zip(*taken, strict=True))
    work = f"{extent.tunes:,} tunes to PDF"
    return [
        Row(f"{work}, `--jobs 2`, beside a cluster", 1 / jobs, "tunes/s"),
        Row(f"{work}, a cluster of 2 workers", 1 / two, "tunes/s"),
        Row(f"{work}, a cluster of 1 worker", 1 / one, "tunes/s"),
        Row(
            "a tune on a cluster of 2 workers", 1000 * two, "ms", "`--jobs 2`", 1000 * jobs,
            at_most(round(1 / LEAST_PART, 2)),
        ),
    ]  # fmt: skip


def _on_cluster(folder: Path, workers: int) -> float:
    """The seconds of the command on a new cluster of so many processes."""
    with LocalCluster(n_workers=workers, threads_per_worker=1, dashboard_address=None) as cluster:
        return _seconds(folder, "--scheduler", cluster.scheduler_address)


def _seconds(folder: Path, *where: str) -> float:
    """The seconds of the command that makes all charts of a folder."""
    with TemporaryDirectory(dir=folder.parent) as out:
        command = [MIDNECK, "chart", str(folder), "-q", "-o", f"{out}/", *where]
        start = time.perf_counter()
        subprocess.run(command, check=True, capture_output=True)
        seconds = time.perf_counter() - start
        written, count = len(list(Path(out).glob("*.pdf"))), len(list(folder.iterdir()))
        if written != count:
            raise RuntimeError(f"{written} charts of {count} tunes")
        return seconds
