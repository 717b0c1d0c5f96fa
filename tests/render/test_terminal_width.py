"""Charts in text are as wide as the terminal that they are printed on."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

pty = pytest.importorskip("pty", reason="terminals of Unix")
pytestmark = pytest.mark.slow

CHART = "from midneck.render.commands.main import main; main()"


def printed_on(columns: int, *arguments: str) -> list[str]:
    """The lines that the command prints on a terminal with so many columns."""
    import fcntl
    import struct
    import termios

    master, slave = pty.openpty()
    fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", 24, columns, 0, 0))
    environment = {name: value for name, value in os.environ.items() if name != "COLUMNS"}
    with subprocess.Popen(
        [sys.executable, "-c", CHART, *arguments], stdout=slave, env=environment
    ) as process:
        os.close(slave)
        shown = b""
        try:
            while part := os.read(master, 65536):
                shown += part
        except OSError:  # how Linux tells that nobody holds the other end any more
            pass
        os.close(master)
    assert process.returncode == 0
    return shown.decode().splitlines()


def test_a_wide_terminal_is_filled_and_a_narrow_one_not_passed(tmp_path: Path) -> None:
    sheet = tmp_path / "tune.txt"
    sheet.write_text("Title: Short\nKey: C\n\n" + "| Dm7 | G7 | Cmaj7 | A7 " * 2 + "|\n")
    widths = {
        columns: max(map(len, printed_on(columns, "chart", str(sheet), "--text")))
        for columns in (60, 80, 160)
    }
    assert widths[60] <= 60 < widths[80] <= 80 < widths[160] <= 160, widths
