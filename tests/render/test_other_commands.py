"""`midneck areas`, `order`, `tidy` and `grid` as a user types them."""

from __future__ import annotations

import json
from pathlib import Path
from xml.etree import ElementTree

import pytest
from midneck.grammar.reader import read_file
from midneck.render.command import COMMANDS, run

UNTIDY = "Title: Tram Stop\nKey: C\n# mine\nA:\n|D-7|G7b9 |  CΔ|A7||\n"
Output = pytest.CaptureFixture[str]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "tram.txt").write_text(UNTIDY, encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_each_command_helps_with_an_example(name: str, capsys: Output) -> None:
    assert run([name, "--help"]) == 0
    told = capsys.readouterr().out
    assert f"midneck {name} " in told.split("Example", 1)[1]
    assert max(len(line) for line in told.splitlines()) <= 80


def test_areas_are_listed_and_summed_up(folder: Path, capsys: Output) -> None:
    assert run(["areas", "tram.txt"]) == 0
    told = capsys.readouterr().out
    assert "ii-V-I" in told
    assert "C major 1" in told
    assert max(len(line) for line in told.splitlines()) <= 80


def test_areas_as_data(folder: Path, capsys: Output) -> None:
    assert run(["areas", "tram.txt", "--json", "--up", "2"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["key"] == "D major"
    assert data["areas"][0]["sentence"]


def test_areas_go_on_after_a_bad_sheet(folder: Path, capsys: Output) -> None:
    (folder / "bad.txt").write_text("A:\n| Q7 ||\n", encoding="utf-8")
    assert run(["areas", "bad.txt", "tram.txt"]) == 2
    output = capsys.readouterr()
    assert "bad.txt:2:3" in output.err
    assert "Tram Stop" in output.out


def test_the_played_order_is_printed(folder: Path, capsys: Output) -> None:
    text = "A:\n|: Dm7 |1. G7 :|2. C6 ||\nB:\n| F6 | G7 ||\n"
    (folder / "form.txt").write_text(text, encoding="utf-8")
    assert run(["order", "form.txt"]) == 0
    assert "6 bars in all" in capsys.readouterr().out


def test_tidy_prints_and_leaves_the_file(folder: Path, capsys: Output) -> None:
    assert run(["tidy", "tram.txt"]) == 0
    told = capsys.readouterr().out
    assert "| Dm7 | G7(b9) | Cmaj7 | A7 ||" in told
    assert "# mine" in told
    assert (folder / "tram.txt").read_text(encoding="utf-8") == UNTIDY


def test_tidy_in_place_twice_changes_nothing(folder: Path) -> None:
    before = read_file(folder / "tram.txt")
    assert run(["tidy", "tram.txt", "--in-place"]) == 0
    once = (folder / "tram.txt").read_text(encoding="utf-8")
    assert once != UNTIDY
    assert run(["tidy", "tram.txt", "--in-place"]) == 0
    assert (folder / "tram.txt").read_text(encoding="utf-8") == once
    after = read_file(folder / "tram.txt")
    assert [one.chord for one in after.chords] == [one.chord for one in before.chords]


def test_tidy_can_keep_the_spelling(folder: Path, capsys: Output) -> None:
    assert run(["tidy", "tram.txt", "--keep-spelling"]) == 0
    assert "CΔ" in capsys.readouterr().out


def test_tidy_asks_where_several_sheets_go(folder: Path, capsys: Output) -> None:
    assert run(["tidy", "tram.txt", "tram.txt"]) == 2
    assert "give --in-place, or a folder" in capsys.readouterr().err


def test_tidy_through_all_twelve_keys_and_back(folder: Path, capsys: Output) -> None:
    assert run(["tidy", "tram.txt"]) == 0
    home = capsys.readouterr().out
    for semitones in range(1, 12):
        assert run(["tidy", "tram.txt", "--up", str(semitones), "-o", f"up{semitones}.txt"]) == 0
        assert run(["tidy", f"up{semitones}.txt", "--down", str(semitones)]) == 0
        assert capsys.readouterr().out == home


def test_a_grid_is_drawn(folder: Path, capsys: Output) -> None:
    assert run(["grid", "Dm7", "--root-string", "6", "-o", "dm7.svg"]) == 0
    assert "10-x-10-10-x-x" in capsys.readouterr().out
    root = ElementTree.parse(folder / "dm7.svg").getroot()
    assert root.tag == "{http://www.w3.org/2000/svg}svg"


def test_a_bad_symbol_is_told_with_the_nearest(capsys: Output) -> None:
    assert run(["grid", "Dm77"]) == 2
    assert "did you mean Dm7?" in capsys.readouterr().err


@pytest.mark.parametrize("name", ["tram.mid", "tram.wav"])
def test_a_tune_is_played(name: str, folder: Path, capsys: Output) -> None:
    assert run(["play", "tram.txt", "-o", name, "--tempo", "200"]) == 0
    assert "moderate level" in capsys.readouterr().out
    assert (folder / name).read_bytes()[:4] in (b"MThd", b"RIFF")
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
        (["--bars", "²"], "is no run of bars"),
        (["--without", "guitar", "--without", "bass", "--without", "click"], "nothing is left"),
        (["-o", "tram.ogg"], "cannot write .ogg; there are: .mid, .wav"),
        (["-o", "tram"], "cannot write tram without an ending; there are: .mid, .wav"),
    ],
)
def test_what_cannot_be_played_is_said(
    wish: list[str], message: str, folder: Path, capsys: Output
) -> None:
    assert run(["play", "tram.txt", *wish]) == 2
    assert message in " ".join(capsys.readouterr().err.split())


def test_a_substitute_reaches_the_dominant_it_slides_into(folder: Path, capsys: Output) -> None:
    text = "Key: Gm\n\nA:\n| Gm6 | Eb7 | D7 | Gm6 ||\n"
    (folder / "slide.txt").write_text(text, encoding="utf-8")
    assert run(["areas", "slide.txt"]) == 0
    rows = capsys.readouterr().out.splitlines()
    (row,) = [row for row in rows if "tritone substitute" in row and "Eb7 D7" in row]
    assert row.split()[-1] == "D7"
