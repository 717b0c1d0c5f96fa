"""Pipes and devices where files are meant are refused; a stuck program is ended; threads agree."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from midneck.grammar.files import open_file
from midneck.render.commands.main import run
from midneck.render.sound import fluidsynth

Output = pytest.CaptureFixture[str]

TUNE = "Title: Tram Stop\nKey: C\n\nA:\n| Dm7 | G7 | C6 | A7 ||\n"


@pytest.fixture
def folder(working_folder: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_CACHE_HOME", str(working_folder / "cache"))
    (working_folder / "tunes").mkdir()
    (working_folder / "tunes" / "tram.txt").write_text(TUNE, encoding="utf-8")
    os.mkfifo(working_folder / "tunes" / "pipe.txt")
    os.mkfifo(working_folder / "pipe.toml")
    return working_folder


@pytest.mark.parametrize(
    ("arguments", "status"),
    [
        (["chart", "tunes/pipe.txt"], 2),
        (["chart", "tunes", "-o", "out/", "-q"], 1),
        (["chart", "tunes/tram.txt", "--player", "pipe.toml"], 2),
        (["chart", "tunes/tram.txt", "--player", "/dev/zero"], 2),
        (["chart", "tunes/tram.txt", "--defaults", "pipe.toml"], 2),
        (["chart", "/dev/zero"], 2),
        (["book", "pipe.toml"], 2),
        (["tidy", "tunes/pipe.txt", "--in-place"], 2),
        (["play", "tunes/tram.txt", "-o", "x.wav", "--soundfont", "pipe.toml"], 2),
    ],
)
def test_a_pipe_or_a_device_is_no_file(
    folder: Path, arguments: list[str], status: int, capsys: Output
) -> None:
    assert run(arguments) == status
    assert "is a pipe or a device, not a file" in capsys.readouterr().err
    assert (folder / "out" / "tram.pdf").is_file() == (status == 1)


def test_a_search_does_not_wait_for_a_pipe(folder: Path, capsys: Output) -> None:
    assert run(["find", "tunes"]) == 0
    assert capsys.readouterr().out.count("\n") == 1


def test_a_descriptor_that_is_handed_over_is_read() -> None:
    reader, writer = os.pipe()
    os.write(writer, b"1234")
    os.close(writer)
    with open_file(f"/dev/fd/{reader}") as file:
        assert file.read() == b"1234"
    os.close(reader)


def test_a_disk_is_no_place_for_a_result(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: Output
) -> None:
    monkeypatch.setattr("stat.S_ISBLK", lambda mode: True)
    assert run(["chart", "tunes/tram.txt", "-q", "-o", "/dev/null"]) == 2
    assert "/dev/null is a disk: name a file" in capsys.readouterr().err


def test_a_synthesizer_that_is_stuck_is_ended(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: Output
) -> None:
    program = folder / "programs" / "fluidsynth"
    program.parent.mkdir()
    program.write_text("#!/bin/sh\nexec sleep 600\n", encoding="utf-8")
    program.chmod(0o755)
    (folder / "small.sf2").write_bytes(b"RIFF\x04\0\0\0sfbk")
    monkeypatch.setenv("PATH", f"{program.parent}:{os.environ['PATH']}")
    monkeypatch.setattr(fluidsynth, "_patience_s", lambda performance: 0.05)
    play = ["play", "tunes/tram.txt", "-o", "x.wav", "--soundfont", "small.sf2"]
    assert run(play) == 2
    assert "did not end within 0 seconds" in capsys.readouterr().err
    assert not Path("x.wav").exists()


@pytest.mark.slow
def test_eight_threads_of_a_fresh_process_make_the_same_files() -> None:
    """Switches of ReportLab and the umask are shared by all threads of a process."""
    script = Path(__file__).parents[1] / "support" / "eight_threads.py"
    command = [sys.executable, str(script), "pdf", "png", "svg", "musicxml"]
    told = subprocess.run(command, capture_output=True, check=True, text=True).stdout.splitlines()
    assert len(told) == 8
    assert len(set(told)) == 1
    assert told[0].count("0o100640") == 2
