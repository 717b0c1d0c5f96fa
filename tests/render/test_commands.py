"""What every command has, and `midneck areas`, `order` and `tidy` as a user types them."""

from __future__ import annotations

import json
from pathlib import Path

import midneck
import pytest
from midneck.grammar.text import format_text
from midneck.render.commands.main import COMMANDS, run

UNTIDY = "Title: Tram Stop\nKey: C\n# mine\nA:\n|D-7|G7b9 |  CΔ|A7||\n"
Output = pytest.CaptureFixture[str]


@pytest.fixture
def folder(working_folder: Path) -> Path:
    (working_folder / "tram.txt").write_text(UNTIDY, encoding="utf-8")
    return working_folder


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


def test_areas_list_passages_and_with_all_what_is_inside(folder: Path, capsys: Output) -> None:
    bars = "C6 A7 | Dm7 G7 | C6 | % | Gm7 | C7 | Fmaj7 | Fm6 | C6 A7 | Dm7 G7 | C6 | %"
    (folder / "round.txt").write_text(f"Title: Round\n\nA:\n| {bars} ||\n", encoding="utf-8")
    assert run(["areas", "round.txt"]) == 0
    few = capsys.readouterr().out.splitlines()
    assert run(["areas", "round.txt", "--all"]) == 0
    every = capsys.readouterr().out.splitlines()
    assert [line.split()[0] for line in few if "  turnaround  " in line] == ["1–3,"]
    assert not any(line.startswith("  2–3 ") for line in few)
    assert [line.split()[0] for line in every if "  turnaround  " in line] == ["1–3", "9–11"]
    assert any(line.startswith("  2–3 ") and "ii-V-I" in line for line in every)
    assert max(map(len, every)) <= 80


def test_areas_as_data(folder: Path, capsys: Output) -> None:
    assert run(["areas", "tram.txt", "--json", "--up", "2"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["key"] == "D major"
    (area,) = data["areas"]
    assert area["chords"] == ["Em7", "A7(b9)", "Dmaj7"]
    assert area["sentence"].startswith("A ii–V–I in D major: Em7 gets ready")


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
    told = capsys.readouterr().out
    assert told.splitlines() == ["A  1–2", "A  1, 3", "B  4–5", "6 bars in all"]


def test_tidy_prints_and_leaves_the_file(folder: Path, capsys: Output) -> None:
    assert run(["tidy", "tram.txt"]) == 0
    told = capsys.readouterr().out
    assert "| Dm7 | G7(b9) | Cmaj7 | A7 ||" in told
    assert "# mine" in told
    assert (folder / "tram.txt").read_text(encoding="utf-8") == UNTIDY


def test_tidy_in_place_twice_changes_nothing(folder: Path) -> None:
    before = midneck.read(folder / "tram.txt")
    assert run(["tidy", "tram.txt", "--in-place"]) == 0
    once = (folder / "tram.txt").read_text(encoding="utf-8")
    assert once != UNTIDY
    assert run(["tidy", "tram.txt", "--in-place"]) == 0
    assert (folder / "tram.txt").read_text(encoding="utf-8") == once
    after = midneck.read(folder / "tram.txt")
    assert [one.chord for one in after.chords] == [one.chord for one in before.chords]


def test_tidy_leaves_a_sheet_that_its_text_would_change(
    folder: Path, capsys: Output, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = Path("tram.txt").read_bytes()
    monkeypatch.setattr("midneck.render.commands.tidy.write_sheet", lambda *_: "| C |\n")
    assert run(["tidy", "tram.txt", "--in-place"]) == 2
    assert "tram.txt is not tidied: its tidy text would be another sheet" in capsys.readouterr().err
    assert Path("tram.txt").read_bytes() == before


def test_tidy_can_keep_the_spelling(folder: Path, capsys: Output) -> None:
    assert run(["tidy", "tram.txt", "--keep-spelling"]) == 0
    assert "CΔ" in capsys.readouterr().out


def test_tidy_asks_where_several_sheets_go(folder: Path, capsys: Output) -> None:
    assert run(["tidy", "tram.txt", "tram.txt"]) == 2
    assert "give --in-place, or a folder" in capsys.readouterr().err


def test_tidy_leaves_a_score_as_it_is_whatever_it_is_called(folder: Path, capsys: Output) -> None:
    run(["chart", "tram.txt", "-q", "-o", "tram.musicxml"])
    score = Path("tram.musicxml").rename("score.txt")
    before = score.read_bytes()
    assert run(["tidy", "score.txt", "--in-place"]) == 2
    assert "score.txt is a score, and tidy writes text" in capsys.readouterr().err
    assert score.read_bytes() == before


def test_tidy_writes_text_under_no_other_name(folder: Path, capsys: Output) -> None:
    assert run(["tidy", "tram.txt", "-o", "tram.pdf"]) == 2
    assert "cannot write .pdf; there are: txt" in capsys.readouterr().err


def test_tidy_through_all_twelve_keys_and_back(folder: Path, capsys: Output) -> None:
    assert run(["tidy", "tram.txt"]) == 0
    home = capsys.readouterr().out
    for semitones in range(1, 12):
        assert run(["tidy", "tram.txt", "--up", str(semitones), "-o", f"up{semitones}.txt"]) == 0
        assert run(["tidy", f"up{semitones}.txt", "--down", str(semitones)]) == 0
        assert capsys.readouterr().out == home


def test_a_substitute_reaches_the_dominant_it_slides_into(folder: Path, capsys: Output) -> None:
    text = "Key: Gm\n\nA:\n| Gm6 | Eb7 | D7 | Gm6 ||\n"
    (folder / "slide.txt").write_text(text, encoding="utf-8")
    assert run(["areas", "slide.txt"]) == 0
    rows = capsys.readouterr().out.splitlines()
    (row,) = [row for row in rows if "tritone substitute" in row and "Eb7 D7" in row]
    assert row.split()[-1] == "D7"


def test_help_prints_the_format_as_it_is_in_its_file(capsys: Output) -> None:
    assert run(["help", "format"]) == 0
    told = capsys.readouterr().out
    assert told.startswith("HOW TO TYPE A TUNE\n")
    examples = [line for line in format_text().splitlines() if line.startswith("    ")]
    assert len(examples) > 50
    assert [line for line in told.splitlines() if line.startswith("    ")] == examples
    assert "REPEATS AND ENDINGS" in told
    assert max(len(line) for line in told.splitlines()) <= 80


def test_help_on_a_command_is_its_own_help(capsys: Output) -> None:
    assert run(["order", "--help"]) == 0
    own = capsys.readouterr().out
    assert run(["help", "order"]) == 0
    assert capsys.readouterr().out == own
    assert run(["help", "nothing"]) == 2
    assert "there is on format, chart" in capsys.readouterr().err
