"""Time of reading sheets: a tune of 32 bars, and a book of 10,000 bars beside one of half.

Invented tunes; chord symbols have been seen before, as in a session of work. Figures for tunes are
the median over tunes, scaled to 32 bars. There is no general-purpose library for this work; the
rows show what a tune's reading, playing and writing cost, and that it grows with its length.
"""

from __future__ import annotations

from statistics import median

from benchmarks.rows import Extent, Row, at_most, in_turns
from midneck.grammar.form.unfold import unfold
from midneck.grammar.text.reader import read_sheet
from midneck.grammar.text.writer import write_sheet
from support.tunes import tune_text

MOST_TUNES = 100
BOOK_BARS = 10_000
BOOK_LINE = "A:\n| Gm7 | C7 | F6 D7 | % |\n"


def rows(extent: Extent) -> list[Row]:
    """Reading, playing and writing a tune; reading a book."""
    texts = [tune_text(seed) for seed in range(min(MOST_TUNES, extent.tunes))]
    taken = [_tune(text, max(1, extent.rounds // 5)) for text in texts]
    names = ("read 32 bars", "unfold 32 bars", "write 32 bars")
    figures = [median(each) for each in zip(*taken, strict=True)]
    return [*(Row(n, f, "ms") for n, f in zip(names, figures, strict=True)), _book(extent)]


def _tune(text: str, rounds: int) -> list[float]:
    """Reading, unfolding and writing one tune, scaled to 32 bars."""
    sheet = read_sheet(text)
    taken = in_turns(
        rounds, lambda: read_sheet(text), lambda: unfold(sheet), lambda: write_sheet(sheet)
    )
    return [each * 32 / len(sheet.bars) for each in taken]


def _book(extent: Extent) -> Row:
    lines = min(BOOK_BARS, extent.bars * 4) // 4
    half, full = (f"Time: 4/4\n{BOOK_LINE * count}" for count in (lines // 2, lines))
    half_ms, full_ms = in_turns(
        max(1, extent.rounds // 5), lambda: read_sheet(half), lambda: read_sheet(full)
    )
    work, against = f"read {lines * 4:,} bars", f"{lines // 2 * 4:,} bars"
    return Row(work, full_ms, "ms", against, half_ms, at_most(2.2))
