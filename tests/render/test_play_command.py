"""`midneck play` as a user types it: what is written, what is said, what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest
from midneck.render.commands.main import run

TUNE = "Title: Tram Stop\nKey: C\n\nA:\n| Dm7 | G7(b9) | Cmaj7 | A7 ||\n"
Output = pytest.CaptureFixture[str]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "tram.txt").write_text(TUNE, encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize(("name", "start"), [("tram.mid", b"MThd"), ("tram.wav", b"RIFF")])
def test_a_tune_is_played(name: str, start: bytes, folder: Path, capsys: Output) -> None:
    assert run(["play", "tram.txt", "-o", name, "--tempo", "200"]) == 0
    assert "moderate level" in capsys.readouterr().out
    assert (folder / name).read_bytes().startswith(start)
    assert run(["play", "tram.txt", "-o", name, "--tempo", "200"]) == 0


def test_a_ladder_comes_with_a_caution(folder: Path, capsys: Output) -> None:
    assert run(["play", "tram.txt", "--ladder", "180:200:10", "--bars", "2-3"]) == 0
    told = capsys.readouterr().out
    assert "see a doctor" in " ".join(told.split())
    assert max(map(len, told.splitlines())) <= 80


def test_a_rhythm_is_found_however_it_is_typed(folder: Path) -> None:
    written = []
    for name in ("half-notes", "Half Notes", "HALF-NOTES"):
        assert run(["play", "tram.txt", "-o", "tram.mid", "--rhythm", name]) == 0
        written.append((folder / "tram.mid").read_bytes())
    assert written[0] == written[1] == written[2]


def test_what_a_sheet_has_unknown_is_said_when_it_is_played(folder: Path, capsys: Output) -> None:
    (folder / "odd.txt").write_text("Tmepo: 90\n\nA:\n| C6 ||\n", encoding="utf-8")
    assert run(["play", "odd.txt"]) == 0
    assert "Tempo" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("wish", "message"),
    [
        (["--rhythm", "polka"], "four-to-the-bar"),
        (["--swing", "lots"], "even"),
        (["--bars", "9-16"], "bar"),
        (["--ladder", "80"], "80:140:10"),
        (["--choruses", "0"], "from 1 to 100"),
        (["--ladder", "20:400:1", "--choruses", "100"], "at most 60 minutes"),
        (["--ladder", "1:1000000000:1"], "is no ladder of tempos"),
        (["--ladder", "1:999999:1"], "the tempo goes from 20 to 400"),
        (["--ladder", "²:140:10"], "is no ladder of tempos"),
        (["--ladder", "80:140:10", "--tempo", "90"], "leave the tempo out"),
        (["--swing", "1e99999999"], "is no swing"),
        (["--swing", "2:0"], "is no swing"),
        (["--bars", "²"], "names no bars"),
        (["--without", "guitar", "--without", "bass", "--without", "click"], "nothing is left"),
        (["-o", "tram.aiff"], "cannot write .aiff; there are: .mid, .wav, .ogg, .flac, .mp3"),
        (["-o", "-"], "play cannot write to standard output: give -o a .mid or .wav file"),
        (["-o", "tram"], "cannot write tram without an ending; there are: .mid, .wav"),
    ],
)
def test_what_cannot_be_played_is_said(
    wish: list[str], message: str, folder: Path, capsys: Output
) -> None:
    assert run(["play", "tram.txt", *wish]) == 2
    assert message in " ".join(capsys.readouterr().err.split())
