"""The cold start: whole commands beside the imports that they cannot do without.

Each run is a process of its own, ours and the imports alone in turns, all with one BLAS thread.
Python's byte code and the unpacked typefaces are there, as after any first run: a run of each that
is not timed writes them, whatever the environment says.
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
FEW_IMPORTS = "import click, lark"
MIDNECK = str(Path(sys.executable).with_name("midneck"))


def rows(extent: Extent) -> list[Row]:
    """A chart of one tune as PDF, and commands that draw nothing, against the imports."""
    with TemporaryDirectory() as folder:
        sheet, chart = Path(folder, "tune.txt"), Path(folder, "tune.pdf")
        sheet.write_text(tune_text(0))
        drawing = (MIDNECK, "chart", str(sheet), "-q", "-o", str(chart))
        commands = {
            "chart": drawing,
            "chart --update` with nothing to do`": (*drawing, "--update"),
            "order": (MIDNECK, "order", str(sheet)),
            "tidy": (MIDNECK, "tidy", str(sheet)),
            "--help": (MIDNECK, "--help"),
        }
        imports = [(sys.executable, "-c", line) for line in (IMPORTS, FEW_IMPORTS)]
        works = [lambda c=command: _run(*c) for command in (*imports, *commands.values())]
        for work in works:
            work()
        real = in_turns(extent.rounds, *works[:3], clock=perf_counter)
        drawn, few, *taken = in_turns(extent.rounds, *works, clock=commands_clock)
        assert chart.read_bytes().startswith(b"%PDF")
    names = [f"`midneck {name}`".replace("``", "") for name in commands]
    return [
        Row(f"{names[0]}, cold, real time", real[2], "ms", f"`{IMPORTS}`", real[0], at_most(1.8)),
        Row(f"{names[0]}, cold", taken[0], "ms", f"`{IMPORTS}`", drawn, at_most(1.8)),
        *(
            Row(f"{name}, cold", figure, "ms", f"`{FEW_IMPORTS}`", few, at_most(1.1))
            for name, figure in zip(names[1:], taken[1:], strict=True)
        ),
    ]


def _run(*command: str) -> None:
    environment = {**os.environ, "PYTHONDONTWRITEBYTECODE": "", "OPENBLAS_NUM_THREADS": "1"}
    subprocess.run(command, check=True, capture_output=True, env=environment)
