"""What commands do without: slow libraries that they have no use for."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.slow

SLOW = ("numpy", "reportlab", "PIL", "music21", "sqlite3", "nicegui", "urllib.request")

SCRIPT = """\
import sys
from midneck.render.commands.main import run
for line in sys.argv[2:]:
    assert run(line.split("\\n")) == 0, line
    loaded = sorted(set(sys.argv[1].split()) & set(sys.modules))
    assert loaded == [], (line, loaded)
"""


def test_commands_without_work_for_them_leave_slow_libraries_alone(tmp_path: Path) -> None:
    sheet = tmp_path / "tune.txt"
    sheet.write_text("Title: Short\nKey: C\n\n| Dm7 | G7 | C6 | % ||\n")
    chart = [sys.executable, "-c", "from midneck.render.commands.main import main; main()"]
    subprocess.run([*chart, "chart", str(sheet), "-q"], check=True)
    lines = (
        ["--help"],
        ["order", str(sheet)],
        ["tidy", str(sheet)],
        ["chart", str(sheet), "-q", "--update"],
    )
    subprocess.run(
        [sys.executable, "-c", SCRIPT, " ".join(SLOW), *("\n".join(line) for line in lines)],
        check=True,
        stdout=subprocess.DEVNULL,
    )
