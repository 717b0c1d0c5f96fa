"""What a command loads: the slow libraries only where they are used."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.slow

SLOW = (
    "PIL", "lark", "music21", "nicegui", "numpy", "pymupdf_fonts", "reportlab", "sqlite3",
    "urllib.request",
)  # fmt: skip
SCRIPT = """\
import sys
from midneck.render.commands.main import run
status = run(sys.argv[1:])
print(*sorted(sys.modules), file=sys.stderr)
sys.exit(status)
"""


def loaded_by(*arguments: str, cache: Path | None = None) -> set[str]:
    """Which of the slow libraries are there after the command, in a process of its own."""
    command = (sys.executable, "-c", SCRIPT, *arguments)
    there = os.environ if cache is None else os.environ | {"XDG_CACHE_HOME": str(cache)}
    done = subprocess.run(command, check=True, capture_output=True, text=True, env=there)
    return set(done.stderr.split()).intersection(SLOW)


@pytest.fixture
def sheet(tmp_path: Path) -> str:
    path = tmp_path / "tune.txt"
    path.write_text("Title: Short\n\n| Dm7 | G7 | Cmaj7 | % |\n")
    return str(path)


def test_help_needs_no_faces_and_no_reader() -> None:
    assert loaded_by("--help") == set()
    assert not loaded_by("chart", "--help") & {"music21", "pymupdf_fonts", "reportlab"}


@pytest.mark.parametrize("option", ["--text", "--words", "--json", "--explain"])
def test_what_is_printed_needs_no_faces(sheet: str, option: str) -> None:
    assert loaded_by("chart", sheet, option) == {"lark", "numpy"}


def test_faces_are_unpacked_for_the_first_page_alone(sheet: str, tmp_path: Path) -> None:
    chart = ("chart", sheet, "-o", str(tmp_path / "tune.pdf"))
    first, second = (loaded_by(*chart, cache=tmp_path / "cache") for _ in range(2))
    assert second == {"PIL", "lark", "numpy", "reportlab"}
    assert first == second | {"pymupdf_fonts"}


def test_commands_that_draw_nothing_do_without_numpy(sheet: str, tmp_path: Path) -> None:
    chart = ("chart", sheet, "-q", "-o", str(tmp_path / "tune.pdf"))
    loaded_by(*chart)
    for command in (("order", sheet), ("tidy", sheet)):
        assert loaded_by(*command) == {"lark"}, command
    assert loaded_by(*chart, "--update") == set()
