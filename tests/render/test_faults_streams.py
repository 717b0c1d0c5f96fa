"""Streams and surroundings that are odd: closed or cut off, another locale, no home, no network."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pypdf
import pytest
from support.run_command import MIDNECK, midneck

pytestmark = pytest.mark.slow

TUNE = "Title: Tram Stop ♭\nKey: C\n\nA:\n| Dm7 | G7 | Cmaj7 | A7 ||\n"
#: Fails at the first socket, whoever asks for it, and says so.
NO_NETWORK = """
import socket, sys
def refuse(*_, **__): raise SystemExit("a socket was asked for")
class Socket(socket.socket): __init__ = refuse
socket.socket = Socket
socket.getaddrinfo = socket.create_connection = refuse
sys.addaudithook(lambda event, _: refuse() if event.startswith("socket.") else None)
from midneck.render.commands.main import run
sys.exit(run(sys.argv[1:]))
"""


#: A chart as a file and as text on standard output, in one process.
BOTH = """
import sys
from midneck.render.commands.main import run
sys.exit(run(["chart", "tram.txt", "-q", "-o", "made.pdf"]) or run(["chart", "tram.txt", "--text"]))
"""


def made(place: Path, surroundings: dict[str, str]) -> tuple[bytes, bytes]:
    """The chart of the tune in a folder as PDF and as text."""
    (place / "tram.txt").write_text(TUNE, encoding="utf-8")
    command = [sys.executable, "-c", BOTH]
    done = subprocess.run(command, cwd=place, env=surroundings, capture_output=True, check=False)
    assert (done.returncode, done.stderr) == (0, b"")
    return (place / "made.pdf").read_bytes(), done.stdout


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "tram.txt").write_text(TUNE, encoding="utf-8")
    return tmp_path


@pytest.fixture(scope="module")
def usual(tmp_path_factory: pytest.TempPathFactory) -> tuple[bytes, bytes]:
    """The chart as PDF and as text in the surroundings that the tests have."""
    return made(tmp_path_factory.mktemp("usual"), dict(os.environ))


def closed(*arguments: str, number: int, cwd: Path) -> subprocess.CompletedProcess[bytes]:
    """The command with a standard stream closed from the start."""
    return midneck(*arguments, cwd=cwd, preexec_fn=lambda: os.close(number))


def test_pipes_in_and_out(folder: Path) -> None:
    done = midneck("chart", "-", "-o", "-", input=TUNE.encode(), cwd=folder)
    assert (done.returncode, done.stderr) == (0, b"")
    assert done.stdout.startswith(b"%PDF")
    (page,) = pypdf.PdfReader(io.BytesIO(done.stdout)).pages
    assert "Tram Stop ♭" in page.extract_text()


@pytest.mark.parametrize("arguments", [["--text"], ["-o", "-"], ["--json", "--jobs", "2"], []])
def test_a_reader_that_goes_away_early(folder: Path, arguments: list[str]) -> None:
    for number in range(3):
        (folder / f"tram{number}.txt").write_text(TUNE, encoding="utf-8")
    command = [*MIDNECK, "chart", ".", *arguments]
    pipe = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
    with subprocess.Popen(command, cwd=folder, **pipe) as process:
        process.stdout.close()
        told = process.stderr.read()
        process.wait(60)
    assert process.returncode == 1
    assert told == b""


def test_streams_that_are_closed(folder: Path) -> None:
    done = closed("chart", "tram.txt", "-o", "-", number=1, cwd=folder)
    assert (done.returncode, done.stderr) == (2, b"midneck: standard output is closed\n")
    done = closed("chart", "-", number=0, cwd=folder)
    assert (done.returncode, done.stderr) == (2, b"midneck: standard input is closed\n")
    assert closed("chart", "nowhere.txt", number=2, cwd=folder).returncode == 2
    assert closed("chart", "tram.txt", number=2, cwd=folder).returncode == 0


def test_a_batch_goes_on_without_standard_output(folder: Path) -> None:
    for number in range(2):
        (folder / f"tram{number}.txt").write_text(TUNE, encoding="utf-8")
    done = closed("chart", ".", "-o", "out/", "--format", "txt", number=1, cwd=folder)
    assert (done.returncode, done.stderr) == (2, b"midneck: standard output is closed\n")
    assert len(list((folder / "out").iterdir())) == 3


def test_a_name_that_is_not_utf_8_stands_in_data(folder: Path) -> None:
    (folder / "tram.txt").rename(folder / os.fsdecode(b"caf\xe9.txt"))
    done = midneck("chart", ".", "--json", cwd=folder)
    assert (done.returncode, done.stderr) == (0, b"")
    assert os.fsencode(json.loads(done.stdout)["file"]) == b"caf\xe9.txt"


def test_an_empty_input(folder: Path) -> None:
    done = midneck("chart", "-", input=b"", cwd=folder)
    assert done.returncode == 2
    assert b"standard input: there is nothing to read" in done.stderr


@pytest.mark.parametrize(
    "odd",
    [
        {"LC_ALL": "C"},
        {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
        {"LC_ALL": "nowhere_NO.void", "TZ": "Nowhere/Odd", "HOME": "/nonexistent"},
        {"PYTHONIOENCODING": "cp1252", "PYTHONHASHSEED": "1"},
        {"TERM": None, "COLUMNS": "3", "TZ": "", "HOME": None, "PYTHONHASHSEED": "2"},
    ],
)
def test_surroundings_change_no_byte(
    tmp_path: Path, usual: tuple[bytes, bytes], odd: dict[str, str | None]
) -> None:
    there = {name: value for name, value in (os.environ | odd).items() if value is not None}
    assert made(tmp_path, there) == usual


def test_nothing_is_written_but_what_was_asked_for(folder: Path) -> None:
    home = folder / "home"
    home.mkdir()
    home.chmod(0o555)
    there = os.environ | {"HOME": str(home), "XDG_CACHE_HOME": str(home / "cache")}
    assert midneck("chart", "tram.txt", "-q", cwd=folder, env=there).returncode == 0
    # Root may write anywhere: then the typefaces are kept there.
    assert {path.name for path in home.iterdir()} <= {"cache"}
    assert {path.name for path in folder.iterdir()} == {"tram.txt", "tram.pdf", "home"}


@pytest.mark.parametrize("kind", ["pdf", "svg", "png", "txt", "musicxml"])
def test_no_network_ever(folder: Path, kind: str) -> None:
    command = [sys.executable, "-c", NO_NETWORK, "chart", "tram.txt", "-o", f"out.{kind}"]
    done = subprocess.run(command, cwd=folder, capture_output=True, timeout=60, check=False)
    assert (done.returncode, done.stderr) == (0, b"")


def test_a_socket_would_be_seen(folder: Path) -> None:
    program = NO_NETWORK.partition("from midneck")[0] + "import socket; socket.socket()"
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, check=False)
    assert b"a socket was asked for" in done.stderr
