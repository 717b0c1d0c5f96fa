"""Time and memory of reading, planning and drawing as tunes grow, each length in a fresh process.

The tunes are strings of invented choruses in all keys. A process makes one chart to have everything
imported, then times the long one; its memory is the peak of the whole process, imports included
(`ru_maxrss`, which Linux counts in kilobytes and macOS in bytes).
"""

from __future__ import annotations

import gc
import json
import resource
import subprocess
import sys
from itertools import count
from math import log
from pathlib import Path
from statistics import median
from time import process_time

from benchmarks.rows import Extent, Row, at_most
from midneck.converter.make import make_chart
from midneck.grammar.text.reader import read_sheet
from midneck.render.batch import NEW_OBJECTS
from midneck.render.page import PageStyle, lay_out, write_pdf
from support.tunes import tune_text

LENGTHS = (16, 32, 128, 512, 2048, 8192)
CHILD = f"""\
import sys; sys.path[:0] = [{str(Path(__file__).parents[1])!r}]
from benchmarks.bench_length import measure
measure(int(sys.argv[1]))
"""


def rows(extent: Extent) -> list[Row]:
    """Seconds and megabytes of each length, and the growth of time per doubling."""
    rounds = max(1, extent.rounds // 5)
    lengths = [bars for bars in LENGTHS if bars <= extent.bars]
    figures = [_figures(bars, rounds) for bars in lengths]
    found = [
        Row(f"{bars:,} bars read, planned and drawn", seconds, "s")
        for bars, (seconds, _) in zip(lengths, figures, strict=True)
    ]
    (short, (before, _)), (long, (after, memory)) = ((lengths[at], figures[at]) for at in (0, -1))
    if long > short:
        power = log(after / before) / log(long / short)
        work = f"power of the bars that time grows with, {short:,} to {long:,} bars"
        found.append(Row(work, power, "(power)", target=at_most(1.02)))
    return [*found, Row(f"peak memory of {long:,} bars", memory, "MB")]


def _figures(bars: int, rounds: int) -> tuple[float, float]:
    """Seconds and megabytes, each the median of fresh processes."""
    runs = [json.loads(_child(bars)) for _ in range(rounds)]
    seconds, megabytes = zip(*runs, strict=True)
    return median(seconds), median(megabytes)


def _child(bars: int) -> bytes:
    command = [sys.executable, "-c", CHILD, str(bars)]
    return subprocess.run(command, check=True, stdout=subprocess.PIPE).stdout


def measure(bars: int) -> None:
    """Print seconds and megabytes of one long tune, in this process."""
    gc.set_threshold(NEW_OBJECTS)  # as the command line does
    _chart(tune_text(0))
    text = long_tune(bars)
    start = process_time()
    _chart(text)
    seconds = process_time() - start
    unit = 1 if sys.platform == "darwin" else 1024
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit / 1e6
    print(json.dumps([seconds, peak]))


def _chart(text: str) -> bytes:
    """From text to PDF."""
    return write_pdf(lay_out(make_chart(read_sheet(text)), PageStyle()))


def long_tune(bars: int) -> str:
    """Invented tunes one after another, cut where there are that many bars or a line more."""
    lines = ["Title: Long Study", "Key: C", "Time: 4/4", ""]
    written = 0
    for seed in count():
        for line in tune_text(seed).partition("\n\n")[2].splitlines():
            if written >= bars and line.endswith(":"):
                return "\n".join(lines) + "\n"
            lines.append(line)
            written += max(0, line.count("|") - 1) if line.startswith("|") else 0
    raise AssertionError("there are always more tunes")
