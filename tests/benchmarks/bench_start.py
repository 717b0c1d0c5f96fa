"""The cold start: the whole command, a chart written, beside the imports that it cannot do without.

Each run is a process of its own, ours and the imports alone in turns. Python's byte code is there,
as after any first run: a run of each that is not timed writes it, whatever the environment says.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter

from benchmarks.rows import Extent, Row, at_most, commands_clock, in_turns
from support.tunes import tune_text

IMPORTS = "import lark, reportlab.pdfgen.canvas, numpy"
MIDNECK = str(Path(sys.executable).with_name("midneck"))


def rows(extent: Extent) -> list[Row]:
    """A chart of one tune as PDF against the imports: real time, and processor time."""
    with TemporaryDirectory() as folder:
        sheet, chart = Path(folder, "tune.txt"), Path(folder, "tune.pdf")
        sheet.write_text(tune_text(0))
        works = (
            lambda: _run(MIDNECK, "chart", str(sheet), "-q", "-o", str(chart)),
            lambda: _run(sys.executable, "-c", IMPORTS),
        )
        for work in works:
            work()
        wall = in_turns(extent.rounds, *works, clock=perf_counter)
        processor = in_turns(extent.rounds, *works, clock=commands_clock)
        assert chart.read_bytes().startswith(b"%PDF")
    against = f"`{IMPORTS}`"
    return [
        Row("`midneck chart`, cold", wall[0], "ms", against, wall[1], at_most(2.5)),
        Row(
            "`midneck chart`, cold, processor time", processor[0], "ms", against, processor[1],
            at_most(2.5),
        ),
    ]  # fmt: skip


def _run(*command: str) -> None:
    environment = {**os.environ, "PYTHONDONTWRITEBYTECODE": ""}
    subprocess.run(command, check=True, capture_output=True, env=environment)
