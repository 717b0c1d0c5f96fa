"""Time of reading sheets: the grammar's first use, tunes of 32 bars, a book of 10,000 bars.

Run `python tests/benchmarks/bench_read.py`. Invented tunes; chord symbols have been seen before, as
in a session of work. Figures for tunes are the median over tunes, scaled to 32 bars.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

sys.path.insert(0, str(Path(__file__).parents[1]))

from midneck.converter.form import unfold
from midneck.grammar.reader import read_sheet
from midneck.grammar.sheet_writer import write_sheet
from support.tunes import tune_text

TUNES = [tune_text(seed) for seed in range(100)]
BOOK = "Time: 4/4\n" + "A:\n| Gm7 | C7 | F6 D7 | % |\n" * 2500


def milliseconds(work: Callable[[], object]) -> float:
    """The time of one call."""
    start = time.perf_counter()
    work()
    return 1000 * (time.perf_counter() - start)


def main() -> None:
    print(f"first sheet, grammar built: {milliseconds(lambda: read_sheet(TUNES[0])):8.1f} ms")
    for text in TUNES:
        read_sheet(text)
    for name, work in (("read", _read), ("play", _play), ("write", _write)):
        print(f"{name:<5} 32 bars:              {median(work(text) for text in TUNES):8.2f} ms")
    print(f"read  10,000 bars:          {milliseconds(lambda: read_sheet(BOOK)):8.1f} ms")


def _read(text: str) -> float:
    bars = len(read_sheet(text).bars)
    return milliseconds(lambda: read_sheet(text)) * 32 / bars


def _play(text: str) -> float:
    sheet = read_sheet(text)
    return milliseconds(lambda: unfold(sheet)) * 32 / len(sheet.bars)


def _write(text: str) -> float:
    sheet = read_sheet(text)
    return milliseconds(lambda: write_sheet(sheet)) * 32 / len(sheet.bars)


if __name__ == "__main__":
    main()
