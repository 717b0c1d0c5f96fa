"""A folder of invented tunes made into PDF charts, by one process and by two.

Whole commands are timed, their start included. With few tunes (as a test has) the start is all that
is seen. The processor time of a tune tells what it costs where other work goes on beside; its
stages are measured one after the other in this process, the start by commands that do nothing else.
"""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Sequence
from functools import partial
from itertools import pairwise
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TypeVar

from benchmarks.rows import (
    Extent,
    Row,
    at_least,
    at_most,
    commands_clock,
    in_turns,
    milliseconds,
)
from midneck.converter.chart import CompingChart
from midneck.converter.hand.plan import PlanOptions
from midneck.converter.hand.planner import plan_hand
from midneck.converter.hand.player import Player
from midneck.converter.harmony.analyse import analyse
from midneck.converter.timeline import timeline_of
from midneck.render.export import export_document
from midneck.render.output import write_result
from midneck.render.page.drawing.style import PageStyle
from midneck.render.page.layout import lay_out
from midneck.render.sources import load
from support.tunes import tune_text

T = TypeVar("T")
STYLE = PageStyle()
#: The most tunes whose stages are measured.
MOST_IN_STAGES = 200

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
        stages = _stages(sorted(folder.iterdir())[:MOST_IN_STAGES], folder.with_name("staged"))
    work = f"{extent.tunes:,} tunes to PDF"
    return [
        Row(f"{work}, `--jobs 1`", one, "tunes/s"),
        Row(f"{work}, `--jobs 2`", two, "tunes/s", target=at_least(80)),
        Row("processor time of a tune to PDF", a_tune, "ms"),
        *_starts(extent.rounds),
        *(Row(f"processor time of a tune: {name}", ms, "ms") for name, ms in stages.items()),
        Row("processor time of a tune: all stages", sum(stages.values()), "ms", target=at_most(15)),
    ]


def _starts(rounds: int) -> list[Row]:
    """The processor time of what a process does before its first tune."""
    code = {
        "start of Python": "",
        "start of Python and imports of a chart": (
            "import reportlab.pdfgen.canvas, midneck.render.commands.chart, midneck.converter.make,"
            "midneck.render.page.layout, midneck.render.page.write.pdf"
        ),
    }
    works = [partial(subprocess.run, [sys.executable, "-c", text], check=True)
             for text in code.values()]  # fmt: skip
    times = in_turns(rounds, *works, clock=commands_clock)
    return [
        Row(f"processor time of a process: {name}", ms, "ms")
        for name, ms in zip(code, times, strict=True)
    ]


def _stages(paths: Sequence[Path], out: Path) -> dict[str, float]:
    """The processor time of each stage in milliseconds a tune, from the second tune on."""
    total = dict.fromkeys(("read", "analyse", "plan", "layout", "PDF", "write"), 0.0)
    for number, path in enumerate((paths[0], *paths)):
        marks = [time.process_time()]

        def mark(value: T, marks: list[float] = marks) -> T:
            marks.append(time.process_time())
            return value

        timeline = mark(timeline_of(load(path)))
        analysis = mark(analyse(timeline))
        player, options = Player(), PlanOptions()
        plan = mark(plan_hand(timeline, player, options))
        document = mark(lay_out(CompingChart(timeline, analysis, plan, player, options), STYLE))
        [(_, data)] = mark(export_document(document, "pdf"))
        mark(write_result(out / f"{path.stem}.pdf", data))
        if number:
            for name, (start, end) in zip(total, pairwise(marks), strict=True):
                total[name] += 1000 * (end - start) / len(paths)
    return total


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
