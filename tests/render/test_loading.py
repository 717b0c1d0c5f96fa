"""What a command loads: the slow libraries only where they are used."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.slow

SLOW = ("lark", "music21", "numpy", "pymupdf_fonts", "reportlab")
SCRIPT = """\
import sys
from midneck.render.commands.main import run
status = run(sys.argv[1:])
print(*sorted(sys.modules), file=sys.stderr)
sys.exit(status)
"""


def loaded_by(*arguments: str) -> set[str]:
    """Which of the slow libraries are there after the command, in a process of its own."""
    command = (sys.executable, "-c", SCRIPT, *arguments)
    done = subprocess.run(command, check=True, capture_output=True, text=True)
    return set(done.stderr.split()).intersection(SLOW)


@pytest.fixture
def sheet(tmp_path: Path) -> str:
    path = tmp_path / "tune.txt"
    path.write_text("Title: Short\n\n| Dm7 | G7 | Cmaj7 | % |\n")
    return str(path)


def test_help_needs_no_faces_and_no_reader() -> None:
    assert not loaded_by("--help") & {"lark", "music21", "pymupdf_fonts", "reportlab"}
    assert not loaded_by("chart", "--help") & {"music21", "pymupdf_fonts", "reportlab"}


@pytest.mark.parametrize("option", ["--text", "--words", "--json", "--explain"])
def test_what_is_printed_needs_no_faces(sheet: str, option: str) -> None:
    assert loaded_by("chart", sheet, option) == {"lark", "numpy"}


def test_a_page_needs_the_faces_and_no_reference_library(sheet: str, tmp_path: Path) -> None:
    found = loaded_by("chart", sheet, "-o", str(tmp_path / "tune.pdf"))
    assert found == {"lark", "numpy", "pymupdf_fonts", "reportlab"}
