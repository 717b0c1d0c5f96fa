"""`midneck play` as a user types it: what is written, what is said, what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest
from midneck.converter.practice.performance import CLICKS, Settings, SettingsError, read_ladder
from midneck.render.commands.main import run

TUNE = "Title: Tram Stop\nKey: C\n\nA:\n| Dm7 | G7(b9) | Cmaj7 | A7 ||\n"
Output = pytest.CaptureFixture[str]


@pytest.fixture
def folder(working_folder: Path) -> Path:
    (working_folder / "tram.txt").write_text(TUNE, encoding="utf-8")
    return working_folder


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
        (["--ladder", "80:140"], "is no ladder of tempos: write start:target:step"),
        (["--ladder", "80:140:10:1"], "is no ladder of tempos"),
        (["--ladder", "a:140:10"], "is no ladder of tempos"),
        (["--ladder", "80:140:0"], "the ladder '80:140:0' does not rise: write start:target:step"),
        (["--ladder", "90:80:10"], "the ladder '90:80:10' does not rise"),
        (["--ladder", "19:80:10"], "the tempo goes from 20 to 400; 19 does not"),
        (["--ladder", "80:401:10"], "the tempo goes from 20 to 400; 401 does not"),
        (["--click", "loud"], "'loud' is not one of 'all', '2and4', 'none'"),
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


@pytest.mark.parametrize(
    ("text", "tempos"),
    [
        ("80:120:20", (80, 100, 120)), ("80:110:20", (80, 100, 110)), ("80:80:5", (80,)),
        ("20:400:380", (20, 400)), (" 60 : 70 : 5 ", (60, 65, 70)),
    ],
)  # fmt: skip
def test_a_ladder_ends_at_its_target(text: str, tempos: tuple[int, ...]) -> None:
    assert read_ladder(text) == tempos


def test_settings_that_do_not_exist_are_refused_with_those_that_do() -> None:
    with pytest.raises(SettingsError, match=r"^there is no click '3'; there are all, 2and4, none$"):
        Settings(click="3")  # type: ignore[arg-type]
    with pytest.raises(SettingsError, match=r"^there is no rhythm 'Bosa'; did you mean 'bossa'\?$"):
        Settings(rhythm="Bosa")
    with pytest.raises(SettingsError, match=r"^there is no rhythm 'polka'; there are four-to"):
        Settings(rhythm="polka")
    with pytest.raises(SettingsError, match=r"^a ladder has tempos of its own: leave the tempo"):
        Settings(ladder=(80, 90), tempo=90)
    assert [Settings(click=click).click for click in CLICKS] == list(CLICKS)
