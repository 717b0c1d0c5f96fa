"""The cold start: the whole command, a chart written, beside the imports that it cannot do without.

Each run is a process of its own, ours and the imports alone in turns; Python's byte code is there,
as after any first run. The third process is Python doing nothing.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from benchmarks.rows import Extent, Row, at_most, in_turns
from support.tunes import tune_text

IMPORTS = "import lark, reportlab.pdfgen.canvas, numpy"
MIDNECK = str(Path(sys.executable).with_name("midneck"))


def rows(extent: Extent) -> list[Row]:
    """A chart of one tune as PDF, against the imports."""
    with TemporaryDirectory() as folder:
        sheet, chart = Path(folder, "tune.txt"), Path(folder, "tune.pdf")
        sheet.write_text(tune_text(0))
        ours, imports, nothing = in_turns(
            extent.rounds,
            lambda: _run(MIDNECK, "chart", str(sheet), "-q", "-o", str(chart)),
            lambda: _run(sys.executable, "-c", IMPORTS),
            lambda: _run(sys.executable, "-c", "pass"),
        )
        assert chart.read_bytes().startswith(b"%PDF")
    return [
        Row(
            "`midneck chart`, cold start to PDF", ours, "ms", f"`{IMPORTS}`", imports, at_most(2.5)
        ),
        Row("Python doing nothing", nothing, "ms"),
    ]


def _run(*command: str) -> None:
    subprocess.run(command, check=True, capture_output=True)
